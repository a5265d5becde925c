/* The right link for a place: the smallest that carries what is normal there and still opens in every fault.
 */
#ifndef PREARC_FUSELINK_RECOMMEND_H
#define PREARC_FUSELINK_RECOMMEND_H

#include <stdbool.h>
#include <stddef.h>

#include "fuselink/fuselink.h"

struct need_fault {
    double amps;      /* RMS through the fuse while it lasts */
    double withstand; /* s that what it protects lasts; INFINITY: not known */
    bool alone;       /* no other fuse protects that place */
};

/* What a place asks of its fuse. NAN: not known. */
struct fuse_need {
    double idle_amps, full_amps;  /* RMS, in normal use: no signal, full signal */
    double clipped_amps;          /* RMS, an upper bound for a clipped signal */
    double pulse_i2t;             /* A2s at switch-on */
    double pulse_seconds;         /* its duration */
    const struct pulse_point *pulse_points; /* how it passes; none: all of it within pulse_seconds */
    size_t pulse_point_count;
    double pulses;                /* switchings that the link is to last */
    const struct need_fault *faults; /* that it must clear by itself */
    size_t fault_count;
    double link_ohms;             /* of the link that the faults were computed with */
    double winding_amps;          /* RMS that the winding it protects may carry for ever */
    double winding_ratio;         /* RMS in that winding to RMS in the fuse */
    double volts;                 /* that it breaks: RMS, or direct */
    bool dc;
    double prospective_amps;      /* RMS in the worst short */
    bool surges;                  /* it stands ahead of a transformer or a reservoir */
    bool american;                /* a link to UL 248-14 is wanted, else one of 5x20 to IEC 60127-2 */
};

/* What a link does not do; several may be set. */
enum {
    MISFIT_CARRYING = 1,  /* normal current with its margin above what it may carry for ever */
    MISFIT_PULSE = 2,     /* switch-on ages or opens it */
    MISFIT_FAULT = 4,     /* some fault not surely cleared in time */
    MISFIT_WINDING = 8,   /* lets the winding carry more than twice its rating for ever */
    MISFIT_BREAKING = 16, /* breaking capacity below the prospective current */
    MISFIT_MULTIPLE =
        32 /* many times the largest normal current, and no fault that it alone clears shows that it would open */
};

/* Margins over the largest normal current: 1.5 over that at full signal; 2 where only the idle current is
 * known. Common practice: valve-amplifier builders' rules say 1.5 to 2 times, or 1.25 for heating times 1.25
 * for nuisance. */
#define NEED_MARGIN_FULL 1.5
#define NEED_MARGIN_IDLE 2.0
/* Latest clearing, s, and the multiple of its rated current that a winding is left to carry: as in
 * fuse-oversized; common practice, no source. */
#define NEED_CLEARING_SECONDS 300.0
#define NEED_WINDING_MULTIPLE 2.0
/* Multiple of the largest normal current, and the rating, A, from which on it counts: likewise. */
#define NEED_NORMAL_MULTIPLE 8.0
#define NEED_MULTIPLE_FROM_AMPS 0.25

/* MISFIT_ bits of MARKING in that place; 0: it fits. Not rated: all of them. */
unsigned need_misfit(const struct fuse_need *need, const struct marking *marking);

/* RMS through MARKING's link in FAULT, A: what was computed, less what its greater resistance takes at the
 * volts of the place; where that was computed with a link of more resistance it is left as it is. */
double need_fault_amps(const struct fuse_need *need, const struct need_fault *fault,
                       const struct marking *marking);

/* RMS that the link must be able to carry for ever, A; NAN: not known. */
double need_carrying_amps(const struct fuse_need *need);

enum no_recommendation {
    RECOMMENDATION_FOUND,
    NO_FAULT_CURRENT,  /* what carries the normal current does not open in some fault */
    NO_SWITCH_ON,      /* what stands switch-on opens too late */
    NO_BREAKING,       /* none breaks the prospective current */
    NO_VOLTAGE,        /* none seen is rated for those volts */
    NO_WINDING,        /* what carries the normal current lets the winding overheat */
    NO_RATING,         /* normal current above the largest rating */
    NO_CURRENT,        /* normal current not known */
    NO_RECOMMENDATION_COUNT
};

struct recommendation {
    enum no_recommendation reason;
    struct marking
        marking; /* the link; where no voltage is high enough, the one that the currents ask for (volts 0);
                  * else, where there is one, the smallest that carries the normal current */
    const char *offer;       /* the list it is on at those volts; NULL: on none that was seen */
    size_t missed;           /* NO_FAULT_CURRENT: index of a fault that this link misses; else SIZE_MAX */
};

struct recommendation need_recommend(const struct fuse_need *need);

/* The marking as --fitted takes it: "T315mAL250V", "1A slo-blo 3AG 250V". BUFFER of at least 40 bytes;
 * returns it. */
char *recommendation_print(const struct recommendation *recommendation, char *buffer, size_t size);

/* "fault-current-too-small" and so on; NULL if found. And what would help, a sentence. */
const char *no_recommendation_id(enum no_recommendation reason);
const char *no_recommendation_help(enum no_recommendation reason);

#endif
