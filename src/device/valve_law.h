/* What triodes and pentodes share: the law of the cathode current, limiting, stamping. Volts of
 * electrodes are against the cathode throughout. */
#ifndef PREARC_DEVICE_VALVE_LAW_H
#define PREARC_DEVICE_VALVE_LAW_H

#include "device/device.h"

enum valve_electrode { VALVE_ANODE, VALVE_GRID, VALVE_SCREEN, VALVE_ELECTRODE_COUNT };

/* Volts of the electrodes; of a triode's screen 0. */
struct valve_volts {
    double of[VALVE_ELECTRODE_COUNT];
};

/* A current, A, and its slope by the volts of each electrode, S. */
struct valve_current {
    double amps, by[VALVE_ELECTRODE_COUNT];
};

/* Rows of the matrix. A triode's screen is STAMP_GROUND, and no current depends on it. */
struct valve_rows {
    int electrodes[VALVE_ELECTRODE_COUNT], cathode;
};

/* Constants of the drive: amplification factor; Kp; Kvb, V^2; contact potential, V. */
struct drive_law {
    double mu, kp, kvb, contact;
};

/* The drive, V, and its slopes by the volts of the attracting electrode and of the grid. */
struct drive {
    double volts, by_attractor, by_grid;
};

/* E = (A/Kp) ln(1 + exp(Kp (1/mu + (G + contact)/sqrt(Kvb + A^2)))), 0 for A <= 0 (N. Koren, Glass Audio 8(5), 1996; the
 * contact potential as in later fits). A: volts of a triode's anode or a pentode's screen; G: of the grid. */
struct drive valve_drive(const struct drive_law *law, double attractor, double grid);

/* E^EXPONENT / DIVISOR, A, with its slope by E, S, for E >= 0 and EXPONENT > 1. */
struct valve_power {
    double amps, slope;
};
struct valve_power valve_power(double volts, double exponent, double divisor);

struct valve_volts valve_guess(const struct stamp *stamp, const struct valve_rows *rows);

/* The volts to linearise at: the present guess, or a point on the way to it from where the element was linearised last
 * (at LIMITS), if there CURRENT would fall too far at once. Keeps them in LIMITS. */
typedef struct valve_current valve_current_at(const struct element *element,
                                              const struct valve_volts *volts);
struct valve_volts valve_limit(const struct element *element, valve_current_at *current,
                               double *limits, struct stamp *stamp, struct valve_volts guess);

/* Adds the tangent at VOLTS of a current from electrode FROM to the cathode, and gmin. */
void valve_stamp(struct stamp *stamp, const struct valve_rows *rows, enum valve_electrode from,
                 const struct valve_current *current, const struct valve_volts *volts);

/* The drive of a deck's valve at its inner node "e", out of the volts of these nodes. */
void valve_spell_drive(const struct drive_law *law, const struct spelling *spelling,
                       const char *attractor, const char *cathode, const char *grid);

#endif
