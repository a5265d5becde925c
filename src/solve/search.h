/* The search for the energy states that a period gives back unchanged, on one grid. */
#ifndef PREARC_SOLVE_SEARCH_H
#define PREARC_SOLVE_SEARCH_H

#include <stdbool.h>
#include <stddef.h>

#include "solve/period.h"

struct arena;
struct network;
struct system;

/* Of each stage, against the usual, where the search does not come nearer: what the stages leave open adds up to noise, which the
 * slowest state magnifies by the number of periods it takes to settle. */
#define FINE_PRECISION 1e-5

struct search {
    struct arena *work;
    const struct network *network;
    struct system *system;
    struct period period;
    double relative;
    bool shooting;         /* derivatives are affordable */
    bool have_factors;     /* of I - sensitivity, perhaps of a coarser grid */
    double *factors;
    size_t *pivots;
    double *move, *scale;  /* state_count */
    size_t periods;
    size_t worst;          /* state that moved most */
    bool stuck;            /* the last period could not be integrated */
};

struct search search_new(struct arena *work, const struct network *network,
                         struct system *system, double relative);
/* One period. False: it could not be integrated. */
bool search_run(struct search *search, bool sensitive);
/* Largest share of its scale by which a state moved over the period. */
double search_residual(const struct search *search);
/* COUNT periods, each from where the last one ended. */
void search_run_plainly(struct search *search, size_t count);

/* These two need search->shooting. On success the last period run started within TOLERANCE of the steady state, as a share of what
 * each state reaches, and period.start is where Newton's last move leads. */
bool search_shoot(struct search *search, double tolerance, int most);
bool search_creep(struct search *search, double tolerance);

#endif
