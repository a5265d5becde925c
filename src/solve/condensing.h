/* Inside of condensed: its rows and matrices. */
#ifndef PREARC_SOLVE_CONDENSING_H
#define PREARC_SOLVE_CONDENSING_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct matrix;
struct system;

/* An entry of the whole matrix and where it goes: row and column count within active or passive rows. */
struct piece {
    int value;       /* in base_values */
    int row, column;
};

struct pieces {
    struct piece *items;
    size_t count, capacity;
};

struct condensed {
    struct arena *arena;
    struct system *system;
    size_t active_count, passive_count, state_count, drive_count;
    int *active, *passive;      /* rows */
    int *place;                 /* by row: its number among the active ones, or -1 - that among the passive ones */
    int *drives;                /* rows that sources without energy states drive */
    size_t *sources;            /* their elements */
    size_t source_count;
    size_t first_current;       /* passive rows from this one on are no node's: currents, mostly */
    struct pieces passive_pieces, coupling_in, coupling_out, active_pieces; /* PP, PA, AP, AA */
    struct matrix *matrix;      /* of the passive rows */
    int *matrix_slots;          /* by passive piece */
    double *response;           /* passive rows: what active rows (negative), states, drives make of them, a column each */
    double *base;               /* active squared: the linear part seen from there */
    double *by_state, *by_drive; /* active rows a column */
    double *new_by_state, *new_by_drive, *new_by_active; /* states, a column each */
    int *slots;                 /* by slot of the system: place in an active square; only those of nonlinear elements count */
    int *places;                /* the distinct ones */
    size_t place_count;
    double *nonlinear, *factored_at, *factors; /* active squared */
    size_t *pivots;
    double *given, *rest, *drive, *solved, *minus; /* active, active, drives, active, active */
    double *currents, *moves;   /* passive rows, of which those that are no node's are used */
    double *scratch;            /* active rows, a column each state */
    double *map, *column;       /* states squared; states */
    const double *history;
    bool fresh;                 /* condensed for the present step */
    bool usable, have_factors, pending;
    double step;
};

/* For the present step of the system: what active rows, energy states and drives make of each other. */
void condense(struct condensed *condensed);

#endif
