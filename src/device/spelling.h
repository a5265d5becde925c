/* How an element is written as lines of a SPICE deck.
 *
 * A device's function `spell` adds the lines of one element to OUT, each with its newline, the equation
 * spelled out with the element's own figures: what its `stamp` solves, no more and no less. It may make
 *
 * - elements: a letter of SPICE, then NAME, then, if it makes several of one letter, "__" and a word ("B"
 *   NAME "__anode"); - nodes of its own: NAME "__" and a word. No other name in the deck holds "__".
 *
 * SPICE knows "+" as the start of a continued line, `IC=` on C and L for what they hold at time 0, and the
 * functions of B sources used here: max, abs, exp, ln, sqrt, atan, pwr(x,y) = |x|^y with the sign of x, and
 * C ? A : B. */
#ifndef PREARC_DEVICE_SPELLING_H
#define PREARC_DEVICE_SPELLING_H

struct text;

struct spelling {
    struct text *out;
    const char *name;         /* of the element: letters, digits, single underscores; unique in the deck */
    const char *const *nodes; /* name of each terminal's node, as in element->nodes */
    const double *start;      /* energy states at time 0, as many as device->states says; zeros: from rest */
    double gmin;              /* S: across junctions and valves */
};

/* Digits of every figure: what a double holds, but for rounding. */
#define SPELL_FIGURE "%.12g"

/* F: a constant capacitance across every junction, less than any has, and the one thing in a deck that
 * prearc leaves out. Without it the step of a simulator may find no end where all diodes of a bridge stop at
 * once and nothing holds the winding. */
#define SPELL_STRAY_FARADS 1e-12

/* What the functions `spell` share. */

/* "V(A,B)" in a form that holds if one of them is the reference, or both are the same. */
void spell_volts(struct text *out, const char *a, const char *b);
/* ln(1 + e^X), without overflow, of the volts X of the element's own node WORD. */
void spell_ramp(const struct spelling *spelling, const char *word);
/* A resistance between two nodes; WORD as above, or NULL. */
void spell_resistor(const struct spelling *spelling, const char *word, const char *a,
                    const char *b, double ohms);
/* gmin between two nodes; WORD as above. */
void spell_gmin(const struct spelling *spelling, const char *word, const char *a, const char *b);
/* D and its model: IS, A; N; RS, ohm. */
void spell_junction(const struct spelling *spelling, const char *anode, const char *cathode,
                    double saturation, double emission, double ohms);

#endif
