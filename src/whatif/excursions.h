/* What the supply does besides idling: full signal and switch-on, found side by side. */
#ifndef PREARC_WHATIF_EXCURSIONS_H
#define PREARC_WHATIF_EXCURSIONS_H

struct arena;
struct full_signal;
struct network;
struct solution;
struct switch_on;
struct trace;
struct whatif;

struct excursions {
    struct full_signal *full;     /* full_signal.h */
    struct switch_on *switch_on;  /* switch_on.h; NULL where the healthy state is not known */
};

/* Of NETWORK, whose steady state is HEALTHY; WHATIF for its list of fuses. All in ARENA. */
struct excursions excursions_find(struct arena *arena, const struct network *network, const struct trace *trace,
                                  const struct solution *healthy, const struct whatif *whatif);

#endif
