/* A device model: one file each, one const struct each. */
#ifndef PREARC_DEVICE_DEVICE_H
#define PREARC_DEVICE_DEVICE_H

#include <stdbool.h>
#include <stddef.h>

struct element;
struct spelling;

/* What a device sees and fills in while one linear system of the Newton iteration is set up.
 * Unknowns: node voltages, then one current for each branch unknown a device asks for. The reference
 * node has row STAMP_GROUND, which is dropped. */
struct stamp {
    struct stamp_target *matrix; /* NULL: only the right-hand side is wanted; use stamp_add */
    double *rhs;             /* right-hand side by row */
    const double *guess;     /* present guess of all unknowns, by row */
    double *limits;          /* V each limiting element was last linearised at, from element_rows.limit on */
    double time;             /* s; sources are evaluated at it */
    double step;             /* s: gamma*h of the implicit stage; 0 at an operating point */
    const double *history;   /* energy states at the stage's start: V across a capacitor, A in an inductor */
    double source_scale;     /* 0..1, source stepping */
    double gmin;             /* S, across junctions */
    bool first;              /* first iteration: no limiting against LIMITS */
    bool unlimited;          /* no limiting at all: the solver itself looks how far to go */
    bool limited;            /* set by a device that had to limit its voltage */
};

enum { STAMP_GROUND = -1 };
enum { ELEMENT_LIMITS = 3 }; /* entries in limits of each element */

/* Rows that belong to an element. */
struct element_rows {
    const int *nodes;   /* row of each terminal, STAMP_GROUND for the reference */
    int current;        /* row of its first branch unknown, -1 if it has none */
    int state;          /* its first entry in history, -1 if it has none */
    int limit;          /* its first entry in limits */
};

/* Where stamp_add puts the entries: through ADD if that is given, else, in the order in which they come, into
 * VALUES at SLOTS (recorded before; entries in the reference's row or column do not count). */
struct stamp_target {
    void (*add)(void *context, int row, int column, double value);
    void *context;
    double *values;
    const int *slots;
    size_t next; /* in slots */
};

#include "device/stamp.h"

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
