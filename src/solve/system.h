/* The equations of a network: modified nodal analysis. Rows are the nodes but the reference, then the branch
 * unknowns of the elements. */
#ifndef PREARC_SOLVE_SYSTEM_H
#define PREARC_SOLVE_SYSTEM_H

#include <stdbool.h>
#include <stddef.h>

#include "device/device.h"

struct arena;
struct condensed;
struct matrix;
struct matrix_entry;
struct network;

/* Sparse links between energy states and rows: value times state enters a right-hand side (injections), value times
 * unknown makes a state (extractions). */
struct link {
    int state, row;
    double value;
};

struct system {
    const struct network *network;
    size_t size;               /* rows */
    size_t state_count;
    bool *is_volts;            /* by state: the volts of a capacitor, not a current */
    int *node_rows;            /* by node; STAMP_GROUND for the reference */
    struct element_rows *rows; /* by element */
    size_t *first_slots;       /* by element, in slots; one more for the end */
    int *slots;
    struct matrix_entry *entries; /* by slot: row and column */
    size_t slot_count;
    int *tied;                 /* diagonal slots of rows tied to the reference because nothing else does it */
    size_t tied_count;
    size_t *linear, *driven, *nonlinear; /* element indices; driven: linear with a right-hand side */
    size_t linear_count, driven_count, nonlinear_count;
    bool amplifies;           /* one of its devices does */
    struct matrix *matrix;
    double *base_values;       /* of the linear elements at the present step */
    double *base_rhs;
    double *rhs, *residual, *spare, *left, *trial; /* workspace, size of each */
    double *factored;          /* the values last factored */
    bool have_factors;
    double *x;                 /* solved unknowns, size of them */
    struct stamp stamp;        /* its guess is x */
    struct stamp_target target;
    struct link *injections, *extractions; /* for the step they were made at */
    size_t injection_count, extraction_count;
    struct condensed *condensed; /* made by period_new; NULL: none */
    double precision;          /* of a stage, in shares of the usual tolerance; 1 at first */
    double work;               /* spent so far: rows solved for; past MOST_WORK nothing converges */
    double most_work;          /* SYSTEM_MOST_WORK, or a share of it */
    int worst;                 /* row that moved most in the last iteration, or has no pivot; -1: none */
    bool singular;             /* the last failure was a singular matrix */
};

/* Conductance across a junction, S: 0.04 uA at 400 V, well below any leakage. */
#define SYSTEM_GMIN 1e-10

/* Factors are kept while no value moves by more than this share, S or 1. */
#define SYSTEM_KEPT_SHARE 0.01
#define SYSTEM_KEPT_SIEMENS 1e-9

/* Several times what an amplifier needs, a few seconds; then the search is given up. */
#define SYSTEM_MOST_WORK(size) (2e7 + 2e4 * (double)(size))

/* Workspace lives in ARENA; end with system_free. */
struct system *system_new(struct arena *arena, const struct network *network);
void system_free(struct system *system);

size_t system_node_rows(const struct system *system);
/* Adds element INDEX to the present target of the stamp. */
void system_stamp_element(struct system *system, size_t index);
/* The linear part for an implicit stage of STEP seconds (0: operating point). */
void system_set_step(struct system *system, double step);
/* Solves one stage at TIME from HISTORY; x is the start and the result. False: not converged, or singular. */
bool system_solve(struct system *system, double time, const double *history);
/* The move of ROW, V or A, below which Newton's method has settled. */
double system_tolerance(const struct system *system, int row);
/* The least that is of any current's row, A. */
double system_least_current_move(const struct system *system);
/* The energy states at x. */
void system_store(const struct system *system, double *states);
/* Currents of all branches at x. HISTORY as in the stage that gave x. */
void system_amps(struct system *system, const double *history, double *amps);
/* Fills injections and extractions for the present step. */
void system_link(struct system *system, struct arena *arena);
/* Name of the net or part that ROW belongs to; NULL for -1. */
const char *system_row_name(const struct system *system, int row);
/* Part or net that STATE belongs to. */
const char *system_state_name(const struct system *system, size_t state);

#endif
