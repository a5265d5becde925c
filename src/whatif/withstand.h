/* How long parts stand more than their ratings: closed forms of time against overload. */
#ifndef PREARC_WHATIF_WITHSTAND_H
#define PREARC_WHATIF_WITHSTAND_H

/* A time with its likely range, s. INFINITY: for ever; NAN: nothing is said of it. */
struct withstand {
    double seconds, low, high;
};

/* A copper winding that heats by its own losses and gives heat off in proportion to its rise, so that its
 * rated current takes it to WARM for ever: what the iron takes up besides is left out. Degrees Celsius. */
struct copper {
    double density; /* A/m2 at the rated current */
    double ambient, warm, limit;
};

/* Transformers and chokes of unknown make. 2.5 to 4 A/mm2 at the rating: common practice, no source. 70 to
 * 80 degrees at work: from memory. Limit: what IEC 60950-1, annex C.1, and IEC 61558-1, table 3, allow a
 * winding that a fuse protects to reach in a fault, from memory: 215 (insulation of class E to IEC 60085,
 * 120 for its whole life), 200 (class A, 105) to 225 (class B, 130). */
extern const struct copper copper_usual, copper_least, copper_most;

/* Seconds until COPPER, warm from its work, reaches its limit with MULTIPLE times its rated current. Copper:
 * 1/58 ohm mm2/m at 20 degrees, 0.00393 per degree, 8890 kg/m3 (IEC 60028); 385 J/kg/K (from memory). */
double copper_seconds(const struct copper *copper, double multiple);
struct withstand winding_withstand(double multiple);

/* A silicon rectifier: half-cycles of AMPS peak, one a PERIOD (s), of which a single one may have
 * SURGE_AMPS. N in a row may have SURGE_AMPS / N^0.3 (0.25 to 0.35): the curves of peak surge current
 * against cycles that makers print for rectifiers of 1 to 3 A, 1 to 100 cycles, from memory; beyond those
 * the same is taken, up to the continuous rating. */
struct withstand rectifier_withstand(double surge_amps, double amps, double period);

/* A resistor at MULTIPLE times its rated watts. Its rise follows its load with one time constant; it stands
 * 6.25 times for 5 s (2.5 times the rated volts, the short-time overload of IEC 60115-1, from memory) and
 * twice for ever, charring slowly (common practice, no source): between once and twice nothing is said. */
struct withstand resistor_withstand(double multiple);

/* An electrode at MULTIPLE times its watts: an anode glows within tens of seconds at twice its limit, a
 * screen grid, which is wire, in a third of that; up to 1.5 times they age. Common practice, no source. */
struct withstand anode_withstand(double multiple);
struct withstand screen_withstand(double multiple);

/* A transistor at MULTIPLE times its watts, which are meant for a case of 25 degrees: the crystal follows
 * within a second (thermal time constants of 0.1 to 1 s from crystal to case, from memory). */
struct withstand crystal_withstand(double multiple);

/* An electrolytic capacitor of RATED_VOLTS at VOLTS: 1.15 times for 30 s, above 315 V 1.1 times (surge
 * voltage of IEC 60384-4, from memory); nothing above. */
struct withstand capacitor_withstand(double rated_volts, double volts);
/* A film or paper capacitor: 1.6 times for a minute (voltage proof of IEC 60384-2 and -16, from memory). */
struct withstand film_withstand(double rated_volts, double volts);
/* At MULTIPLE times its rated ripple current: its heat comes within ten minutes (from memory), and twice the
 * heat for ever shortens its life only: up to 1.5 times nothing is said. */
struct withstand ripple_withstand(double multiple);

/* At once, and for ever. */
extern const struct withstand withstand_nothing, withstand_for_ever, withstand_not_said;

#endif
