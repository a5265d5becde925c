/* A device model: one file each, one const struct each. */
#ifndef PREARC_DEVICE_DEVICE_H
#define PREARC_DEVICE_DEVICE_H

#include <stdbool.h>
#include <stddef.h>

#include "device/stamp.h"

struct element;
struct spelling;

enum { ELEMENT_LIMITS = 3 }; /* entries in limits of each element */

/* Rows that belong to an element. */
struct element_rows {
    const int *nodes;   /* row of each terminal, STAMP_GROUND for the reference */
    int current;        /* row of its first branch unknown, -1 if it has none */
    int state;          /* its first entry in history, -1 if it has none */
    int limit;          /* its first entry in limits */
};

struct device {
    const char *name;
    /* Branch unknowns and energy states of an element (they may depend on its section count). */
    size_t (*unknowns)(const struct element *element);
    size_t (*states)(const struct element *element);
    /* Adds the linearised element. Must touch the same matrix entries whatever the guess. */
    void (*stamp)(const struct element *element, const struct element_rows *rows,
                  struct stamp *stamp);
    /* Currents (A) of its branches, FROM -> TO, at the solved unknowns; AMPS has branch_count entries. */
    void (*amps)(const struct element *element, const struct element_rows *rows,
                 const struct stamp *stamp, double *amps);
    /* New energy states at the solved unknowns; NULL if it has none. */
    void (*store)(const struct element *element, const struct element_rows *rows,
                  const double *unknowns, double *states);
    /* Writes the element as lines of a SPICE deck (device/spelling.h). NULL: `prearc deck` refuses the circuit, naming the
     * part. */
    void (*spell)(const struct element *element, const struct spelling *spelling);
    bool linear; /* its stamp does not depend on the guess */
    bool amplifies; /* a current follows volts elsewhere so steeply that no search along a step of Newton's is to be trusted */
};

/* figures[] of each are listed at the top of its file. */
extern const struct device device_resistor;    /* also fuses, contacts, lamps, heaters */
extern const struct device device_capacitor;
extern const struct device device_inductor;    /* with series resistance */
extern const struct device device_coupled;     /* K group: inductance matrix and resistances */
extern const struct device device_transformer; /* windings on one core, magnetising inductance */
extern const struct device device_diode;
extern const struct device device_valve_diode; /* 3/2 law */
extern const struct device device_source;      /* DC + sine, series resistance */
extern const struct device device_triode;
extern const struct device device_pentode;     /* also beam tetrodes */
extern const struct device device_mean_filter; /* the grid volts that both follow */
extern const struct device device_bipolar;     /* NPN or PNP transistor */
extern const struct device device_channel;     /* of a field-effect transistor */
extern const struct device device_regulator;   /* three-terminal regulator, input to output */
extern const struct device device_load;        /* draws a stated current while it has volts */
extern const struct device device_zener;
extern const struct device device_open;        /* conducts nothing */
/* No netlist holds them, only copies made for a question: */
extern const struct device device_averaged;    /* an output valve under drive: its mean currents */
extern const struct device device_core_inrush; /* of a saturated transformer core, at switch-on */

/* All of the above, ended by NULL (devices.c). */
extern const struct device *const devices[];

#endif
