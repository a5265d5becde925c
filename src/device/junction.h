/* The nonlinear two-terminal devices share one form: a current and a slope at a voltage. */
#ifndef PREARC_DEVICE_JUNCTION_H
#define PREARC_DEVICE_JUNCTION_H

struct element_rows;
struct stamp;

/* A point of a curve i(v). */
struct tangent {
    double amps, siemens;
};

/* Shockley's junction, IS (exp(v/(N Vt)) - 1), in series with OHMS (0: none), at VOLTS across both. VT is N kT/q in V. */
struct tangent junction_tangent(double saturation, double vt, double ohms, double volts);

/* kT/q at 300.15 K, V (CODATA k and e): the usual reference temperature of circuit simulators. */
#define THERMAL_VOLTS 0.025864926

/* VOLTS of a junction without resistance as Newton may take them: up to CRITICAL they are free, above they climb by no more than
 * the logarithm of what was asked from BEFORE (the usual limit of circuit simulators). VT as above. Sets stamp->limited. */
double junction_limit(struct stamp *stamp, double saturation, double vt, double before, double volts);

/* RAMP of WIDTH volts: zero well below 0, VOLTS times SIEMENS well above, smooth between. */
struct tangent ramp_tangent(double siemens, double width, double volts);

/* Volts from node 0 to node 1 at the present guess. */
double two_terminal_volts(const struct element_rows *rows, const struct stamp *stamp);

/* Adds the tangent of a curve taken at VOLTS, with gmin across it. */
void two_terminal_stamp(const struct element_rows *rows, struct stamp *stamp,
                        struct tangent tangent, double volts);

#endif
