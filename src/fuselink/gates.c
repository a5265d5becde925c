#include "fuselink/fuselink.h"

#include <math.h>
#include <string.h>

#include "fuselink/gates_table.h"

/* ---- choosing ---- */

struct choice {
    enum gates_group group;
    const char *assumed; /* NULL if the marking says it all */
};

static struct choice choose_american(const struct marking *marking)
{
    bool slow = marking->speed == SPEED_T || marking->speed == SPEED_TT;

    if (marking->american && marking->size != NULL && strcmp(marking->size, "3AG") == 0)
        return (struct choice){slow ? GATES_UL_SLOW : GATES_UL_OTHER, NULL};
    if (slow)
        return (struct choice){GATES_SLOW,
                               "it is not said whether the link is to IEC 60127-2 or to UL "
                               "248-14: the latest opening of both is taken"};
    return (struct choice){GATES_ANY,
                           "it is not said whether the link is to IEC 60127-2 or to UL 248-14: the "
                           "latest opening of all their speeds is taken"};
}

static struct choice choose_quick(enum fuse_breaking breaking)
{
    switch (breaking) {
    case BREAKING_LOW: return (struct choice){GATES_SHEET_2, NULL};
    case BREAKING_HIGH: return (struct choice){GATES_SHEET_1, NULL};
    default:
        return (struct choice){GATES_F, "breaking capacity not marked L or H: the latest opening "
                                        "of IEC 60127-2 sheets 1 and 2 is taken"};
    }
}

static struct choice choose_slow(enum fuse_breaking breaking)
{
    switch (breaking) {
    case BREAKING_LOW: return (struct choice){GATES_SHEET_3, NULL};
    case BREAKING_HIGH: return (struct choice){GATES_SHEET_5, NULL};
    case BREAKING_ENHANCED: return (struct choice){GATES_SHEET_6, NULL};
    default:
        return (struct choice){GATES_T, "breaking capacity not marked: the latest opening of "
                                        "IEC 60127-2 sheets 3, 5 and 6 is taken"};
    }
}

static struct choice choose_unknown_speed(enum fuse_breaking breaking)
{
    if (breaking == BREAKING_LOW)
        return (struct choice){GATES_L, "speed not marked: the latest opening of IEC 60127-2 "
                                        "sheets 2 and 3 is taken"};
    return (struct choice){GATES_IEC, "speed not marked: the latest opening of all sheets of "
                                      "IEC 60127-2 is taken"};
}

static struct choice choose(const struct marking *marking)
{
    bool other_size = marking->size != NULL && strcmp(marking->size, "5x20") != 0;

    if (marking->american || other_size)
        return choose_american(marking);
    switch (marking->speed) {
    case SPEED_F: return choose_quick(marking->breaking);
    case SPEED_T: return choose_slow(marking->breaking);
    case SPEED_FF:
        return (struct choice){GATES_FF, "no sheet has FF: it opens by the time that F must, and "
                                         "no hold is promised"};
    case SPEED_M:
        return (struct choice){GATES_IEC, "no sheet has M, which lies between F and T: the latest "
                                          "opening of all sheets of IEC 60127-2 is taken"};
    case SPEED_TT:
        return (struct choice){GATES_TT, "no sheet has TT: no opening is promised, and it holds as "
                                         "long as T must"};
    default: return choose_unknown_speed(marking->breaking);
    }
}

/* The first row of GROUP whose ratings reach AMPS; a rating between two rows takes the upper one.
 * NULL if AMPS is outside all. */
static const struct gates *find(enum gates_group group, double amps)
{
    for (size_t i = 0; i < gates_table_count; i++) {
        const struct gates *gates = &gates_table[i].gates;

        if (gates_table[i].group != group)
            continue;
        if (amps <= gates->largest_amps * 1.001)
            return amps >= gates->least_amps * 0.999 ||
                           (i > 0 && gates_table[i - 1].group == group)
                       ? gates
                       : NULL;
    }
    return NULL;
}

/* A sheet may start higher than the rating (F 32 mA with H); then the worst of its speed, then
 * nothing is promised. */
static const struct gates *find_wider(const struct choice *choice, double amps)
{
    enum gates_group wider = choice->group == GATES_SHEET_1   ? GATES_F
                             : choice->group == GATES_SHEET_5 ? GATES_T
                             : choice->group == GATES_SHEET_6 ? GATES_T
                             : choice->group == GATES_UL_SLOW ? GATES_UL_OTHER
                                                              : GATES_NONE;

    return wider == GATES_NONE ? NULL : find(wider, amps);
}

const struct gates *gates_for(const struct marking *marking, const char **assumed)
{
    struct choice choice = choose(marking);
    const struct gates *gates;

    *assumed = NULL;
    if (!marking->rated)
        return NULL;
    *assumed = choice.assumed;
    gates = find(choice.group, marking->amps);
    if (gates != NULL)
        return gates;
    gates = find_wider(&choice, marking->amps);
    *assumed = gates != NULL ? "the sheet for this marking does not cover the rating: the latest "
                               "opening of those of the same speed that do is taken"
                             : "no sheet covers the rating: no opening and no hold is promised";
    return gates != NULL ? gates : find(GATES_NONE, marking->amps);
}

/* ---- times ---- */

/* A gate's current against one computed elsewhere: equal within rounding. */
static bool reaches(double multiple, double gate)
{
    return multiple >= gate * (1 - 1e-9);
}

/* The time at MULTIPLE on the straight line, log-log, from one gate to the next. */
static double between(double multiple, double low, double low_time, double high, double high_time)
{
    double slope = log(high_time / low_time) / log(high / low);

    return multiple <= low ? low_time : low_time * pow(multiple / low, slope);
}

/* Beyond the last gate the link melts before heat can leave it: I2t stays as at that gate. */
static double adiabatic(double multiple, double last, double time)
{
    return multiple <= last ? time : time * (last / multiple) * (last / multiple);
}

double gates_opens_by(const struct gates *gates, double rated_amps, double amps)
{
    double multiple = fabs(amps) / rated_amps;
    const struct gate *below = NULL;

    for (size_t i = 0; i < gates->count; i++) {
        const struct gate *gate = &gates->gates[i];

        if (gate->opens <= 0)
            continue;
        if (!reaches(multiple, gate->multiple))
            return below == NULL ? INFINITY
                                 : between(multiple, below->multiple, below->opens,
                                           gate->multiple, gate->opens);
        below = gate;
    }
    return below == NULL ? INFINITY : adiabatic(multiple, below->multiple, below->opens);
}

/* Below the first gate the link holds at least as long as at it. Past a last gate without a hold,
 * nothing is promised. */
double gates_holds(const struct gates *gates, double rated_amps, double amps)
{
    double multiple = fabs(amps) / rated_amps;
    const struct gate *below = NULL;

    if (reaches(1, multiple))
        return INFINITY;
    for (size_t i = 0; i < gates->count; i++) {
        const struct gate *gate = &gates->gates[i];

        if (gate->holds <= 0)
            continue;
        if (multiple <= gate->multiple)
            return below == NULL ? gate->holds
                                 : between(multiple, below->multiple, below->holds,
                                           gate->multiple, gate->holds);
        below = gate;
    }
    if (below == NULL || below != &gates->gates[gates->count - 1] || isnan(multiple))
        return 0;
    return adiabatic(multiple, below->multiple, below->holds);
}

double gates_opening_amps(const struct gates *gates, double rated_amps)
{
    for (size_t i = 0; i < gates->count; i++)
        if (gates->gates[i].opens > 0)
            return gates->gates[i].multiple * rated_amps;
    return INFINITY;
}

enum gates_region gates_region(const struct gates *gates, double rated_amps, double amps, double seconds)
{
    if (seconds < gates_holds(gates, rated_amps, amps))
        return REGION_HOLDS;
    return seconds >= gates_opens_by(gates, rated_amps, amps) ? REGION_OPENS : REGION_MAY_OPEN;
}
