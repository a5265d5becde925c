#include "fuselink/recommend.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* A normal current below this, A RMS, a hundredth of the smallest rating, says that what the fuse feeds is
 * not in the circuit. */
static const double least_normal_amps = 0.00032;

/* Largest rating of IEC 60127-2, and of what the gates for UL 248-14 are known for up to 30 A, A. */
static const double largest_iec = 10, largest_ul = 30;

/* Above 250 V alternating the only links seen (Eaton/Bussmann S505H data sheet) break this, A. */
static const double breaking_above_250 = 100;

/* ---- does a link fit? ---- */

double need_carrying_amps(const struct fuse_need *need)
{
    double normal = isfinite(need->full_amps) ? fmax(need->full_amps, need->idle_amps) * NEED_MARGIN_FULL
                                              : need->idle_amps * NEED_MARGIN_IDLE;

    if (!(normal >= least_normal_amps) || isinf(normal))
        return NAN;
    return isfinite(need->clipped_amps) ? fmax(normal, need->clipped_amps) : normal;
}

/* Whether a pulse as it passes, or one of that I2t and duration, stays below the share that so many of them may have. */
static bool holds_pulse(const struct fuse_need *need, const struct marking *marking,
                        const struct gates *gates)
{
    struct pulse_point whole = {need->pulse_seconds, need->pulse_i2t};
    bool passes = need->pulse_point_count > 0, printed;

    if (isnan(need->pulse_i2t) || need->pulse_i2t <= 0)
        return true;
    return marking_pulse_share(marking, gates, passes ? need->pulse_points : &whole,
                               passes ? need->pulse_point_count : 1, NULL, &printed) <=
           fuselink_pulse_share(need->pulses);
}

/* What its own resistance has more than that of the link computed with, ohm. */
static double more_ohms(const struct fuse_need *need, const struct marking *marking)
{
    return fmax(0, marking_cold_ohms(marking) - need->link_ohms); /* fmax passes over NAN */
}

static double less_amps(const struct fuse_need *need, const struct need_fault *fault, double ohms)
{
    double volts = fabs(need->volts);

    return ohms > 0 && volts > 0 ? fault->amps / (1 + fault->amps * ohms / volts) : fault->amps;
}

double need_fault_amps(const struct fuse_need *need, const struct need_fault *fault,
                       const struct marking *marking)
{
    return less_amps(need, fault, more_ohms(need, marking));
}

/* The first fault that it does not clear; SIZE_MAX: none. */
static size_t first_missed(const struct fuse_need *need, const struct marking *marking,
                           const struct gates *gates)
{
    double ohms = need->fault_count > 0 ? more_ohms(need, marking) : 0;

    for (size_t i = 0; i < need->fault_count; i++) {
        const struct need_fault *fault = &need->faults[i];
        double by = fmin(NEED_CLEARING_SECONDS, fault->withstand); /* fmin passes over NAN */

        if (!(gates_opens_by(gates, marking->amps, less_amps(need, fault, ohms)) <= by))
            return i;
    }
    return SIZE_MAX;
}

static bool spares_winding(const struct fuse_need *need, const struct marking *marking, const struct gates *gates)
{
    double ratio = isfinite(need->winding_ratio) && need->winding_ratio > 0 ? need->winding_ratio : 1;

    (void)gates;
    return !isfinite(need->winding_amps) || need->winding_amps <= 0 ||
           marking->amps * ratio <= NEED_WINDING_MULTIPLE * need->winding_amps;
}

static bool is_in_proportion(const struct fuse_need *need, const struct marking *marking, const struct gates *gates)
{
    (void)gates;
    for (size_t i = 0; i < need->fault_count; i++)
        if (need->faults[i].alone)
            return true; /* the fault tells whether it opens */
    return marking->amps <= NEED_MULTIPLE_FROM_AMPS ||
           !(marking->amps > NEED_NORMAL_MULTIPLE * fmax(need->idle_amps, need->full_amps)); /* fmax passes over NAN */
}

/* Where the prospective current is not known the high breaking capacity is asked for, which is the most there
 * is. */
static bool breaks(const struct fuse_need *need, const struct marking *marking, const struct gates *gates)
{
    double amps = marking_least_breaking_amps(marking);

    (void)gates;
    if (marking->volts > 250 && !need->dc)
        amps = fmin(amps, breaking_above_250);
    if (isnan(need->prospective_amps))
        return marking->american || marking->breaking == BREAKING_HIGH;
    return need->prospective_amps <= amps;
}

/* Whether MARKING fits in one respect. */
typedef bool fits(const struct fuse_need *need, const struct marking *marking, const struct gates *gates);

static bool carries(const struct fuse_need *need, const struct marking *marking, const struct gates *gates)
{
    (void)gates;
    return need_carrying_amps(need) <= marking_continuous_amps(marking);
}

static bool clears(const struct fuse_need *need, const struct marking *marking, const struct gates *gates)
{
    return first_missed(need, marking, gates) == SIZE_MAX;
}

/* What takes least to find out first. */
static const struct {
    unsigned misfit;
    fits *fits;
} respects[] = {
    {MISFIT_CARRYING, carries},       {MISFIT_WINDING, spares_winding},
    {MISFIT_BREAKING, breaks},        {MISFIT_MULTIPLE, is_in_proportion},
    {MISFIT_FAULT, clears},           {MISFIT_PULSE, holds_pulse},
};
enum { RESPECTS = sizeof respects / sizeof *respects };

unsigned need_misfit(const struct fuse_need *need, const struct marking *marking)
{
    const char *assumed;
    const struct gates *gates = gates_for(marking, &assumed);
    unsigned misfit = 0;

    for (size_t i = 0; i < RESPECTS; i++)
        if (gates == NULL || !respects[i].fits(need, marking, gates))
            misfit |= respects[i].misfit;
    return misfit;
}

/* Whether it fits but for FORGIVEN; looks no further than it must. */
static bool is_fit(const struct fuse_need *need, const struct marking *marking, unsigned forgiven)
{
    const char *assumed;
    const struct gates *gates = gates_for(marking, &assumed);

    for (size_t i = 0; i < RESPECTS; i++)
        if ((respects[i].misfit & ~forgiven) != 0 &&
            (gates == NULL || !respects[i].fits(need, marking, gates)))
            return false;
    return true;
}

/* ---- choosing one ---- */

struct search {
    const struct fuse_need *need;
    enum fuse_speed speeds[2]; /* to be tried at each rating */
    size_t speed_count;
    double volts;              /* to be asked for, alternating or direct; 0: none high enough, or not known */
    bool direct;               /* a direct rating is asked for */
};

/* Ahead of a transformer or a reservoir a link is time-lag: common practice. Elsewhere it may be
 * quick-acting, and is where the pulse at switch-on is known to leave it alone. */
static void choose_speeds(struct search *search)
{
    bool quick_first = isfinite(search->need->pulse_i2t);

    search->speeds[0] = quick_first && !search->need->surges ? SPEED_F : SPEED_T;
    search->speeds[1] = quick_first ? SPEED_T : SPEED_F;
    search->speed_count = search->need->surges ? 1 : 2;
}

/* Links to UL 248-14: 125 and 250 V, read in their makers' sheets; the columns for direct current there could
 * not be read, so that the rule of half the alternating volts is all there is. */
static double american_volts(double volts, bool dc)
{
    double asked = dc ? 2 * volts : volts;

    return asked <= 125 ? 125 : asked <= 250 ? 250 : 0;
}

static void choose_volts(struct search *search)
{
    const struct fuse_need *need = search->need;
    double volts = fabs(need->volts);

    if (isnan(volts))
        return;
    if (need->american) {
        search->volts = american_volts(volts, need->dc);
        return;
    }
    search->volts = fuselink_volts_at_least(volts, need->dc);
    search->direct = need->dc && search->volts > 125;
    if (need->dc && search->volts > 0 && !search->direct)
        search->volts = 250; /* an alternating rating, of which half is taken */
}

static struct marking candidate(const struct search *search, double amps, enum fuse_speed speed,
                                enum fuse_breaking breaking)
{
    struct marking marking = {.rated = true, .amps = amps, .speed = speed, .breaking = breaking,
                              .volts = search->volts};

    if (search->direct)
        marking.dc_volts = search->volts;
    if (search->need->american) {
        marking.american = true;
        marking.size = "3AG";
        marking.breaking = BREAKING_UNKNOWN;
    }
    return marking;
}

static const char *offer_of(const struct search *search, const struct marking *marking)
{
    const char *source = NULL;

    if (search->need->american)
        return marking->volts > 0 ? "makers' lists of links to UL 248-14" : NULL;
    fuselink_is_offered(marking, isnan(search->need->volts) ? 0 : fabs(search->need->volts), search->need->dc,
                        &source);
    return source;
}

/* Links like it are on a list for some volts. */
static bool is_made(const struct marking *marking)
{
    const char *source;

    return marking->american || fuselink_is_offered(marking, 0, false, &source);
}

/* What only links of high breaking capacity are made for: volts above the usual. */
static bool needs_high(const struct search *search)
{
    return search->direct || search->volts > 250;
}

static bool try_rating(const struct search *search, double amps, unsigned forgiven, bool offered,
                       struct recommendation *found)
{
    static const enum fuse_breaking letters[] = {BREAKING_LOW, BREAKING_HIGH};

    for (size_t s = 0; s < search->speed_count; s++)
        for (size_t b = needs_high(search) ? 1 : 0; b < 2; b++) {
            struct marking marking = candidate(search, amps, search->speeds[s], letters[b]);
            const char *offer = offer_of(search, &marking);

            if ((offered && offer == NULL) || !is_made(&marking) ||
                !is_fit(search->need, &marking, forgiven))
                continue;
            found->marking = marking;
            found->offer = offer;
            return true;
        }
    return false;
}

/* The smallest rating that fits but for FORGIVEN; OFFERED: on a list that was seen for those volts. */
static bool find(const struct search *search, unsigned forgiven, bool offered, struct recommendation *found)
{
    bool american = search->need->american;
    size_t count;
    const double *ratings = rating_list(american ? RATING_AMERICAN : RATING_R10, &count);

    for (size_t i = 0; i < count && ratings[i] <= (american ? largest_ul : largest_iec); i++)
        if (try_rating(search, ratings[i], forgiven, offered, found))
            return true;
    return false;
}

/* The one thing that, left aside, lets some link fit; what is easiest to change first. */
static enum no_recommendation reason_of(const struct search *search)
{
    static const struct {
        unsigned forgiven;
        enum no_recommendation reason;
    } rows[] = {
        {MISFIT_PULSE, NO_SWITCH_ON},
        {MISFIT_FAULT, NO_FAULT_CURRENT},
        {MISFIT_WINDING, NO_WINDING},
        {MISFIT_BREAKING, NO_BREAKING},
        {MISFIT_MULTIPLE, NO_FAULT_CURRENT}, /* no fault is known that it would open in */
    };
    struct recommendation unused = {0};

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (find(search, rows[i].forgiven, false, &unused))
            return rows[i].reason;
    return NO_FAULT_CURRENT;
}

/* None fits: the smallest that carries the normal current, and why it does not do. */
static void explain(const struct search *search, struct recommendation *none)
{
    const char *assumed;

    if (!find(search, ~(unsigned)MISFIT_CARRYING, false, none)) {
        none->reason = NO_RATING;
        return;
    }
    none->reason = reason_of(search);
    if (none->reason == NO_FAULT_CURRENT)
        none->missed = first_missed(search->need, &none->marking, gates_for(&none->marking, &assumed));
}

/* To UL 248-14 larger links break more: one is not taken for that alone. */
static bool is_larger_to_break(const struct search *search, const struct recommendation *found)
{
    struct recommendation smaller = {0};

    return search->need->american && find(search, MISFIT_BREAKING, true, &smaller) &&
           smaller.marking.amps < found->marking.amps;
}

struct recommendation need_recommend(const struct fuse_need *need)
{
    struct recommendation result = {.missed = SIZE_MAX};
    struct search search = {.need = need};

    if (isnan(need_carrying_amps(need))) {
        result.reason = NO_CURRENT;
        return result;
    }
    choose_speeds(&search);
    choose_volts(&search);
    if (!find(&search, 0, true, &result) && !find(&search, 0, false, &result))
        explain(&search, &result);
    else if (!isnan(need->volts) && search.volts <= 0)
        result.reason = NO_VOLTAGE;
    else if (is_larger_to_break(&search, &result))
        result.reason = NO_BREAKING;
    return result;
}

/* ---- words ---- */

char *recommendation_print(const struct recommendation *recommendation, char *buffer, size_t size)
{
    const struct marking *marking = &recommendation->marking;
    struct marking bare = {.rated = true, .amps = marking->amps};
    char amps[32], volts[16] = "";

    if (!marking->american)
        return marking_print(marking, buffer, size);
    marking_print(&bare, amps, sizeof amps);
    if (marking->volts > 0)
        snprintf(volts, sizeof volts, " %.0fV", marking->volts);
    snprintf(buffer, size, "%s %s 3AG%s", amps, marking->speed == SPEED_T ? "slo-blo" : "fast", volts);
    return buffer;
}

struct help {
    const char *id, *help;
};

static const struct help helps[NO_RECOMMENDATION_COUNT] = {
    [NO_FAULT_CURRENT] =
        {"fault-current-too-small",
         "Put a fuse into each leg of the winding or nearer to the source, where the fault current is "
         "larger, or use a winding of less resistance."},
    [NO_SWITCH_ON] =
        {"switch-on-pulse-too-large",
         "Use a soft start or an NTC resistor, a smaller reservoir, or a time-lag link of more melting "
         "I2t than the tables have."},
    [NO_BREAKING] =
        {"breaking-capacity",
         "Put a link of sufficient breaking capacity upstream, or move the fuse to where the winding "
         "limits the current."},
    [NO_VOLTAGE] =
        {"voltage-rating",
         "Put the fuse on the alternating side of the rectifier, a link in each conducting leg, or ask a "
         "maker for a link rated for those volts."},
    [NO_WINDING] =
        {"winding-rating",
         "A thermal cut-out in the transformer, or a winding of more rated current, does what no fuse can "
         "here."},
    [NO_RATING] =
        {"rating-outside-series",
         "The normal current is above the largest rating of such links: split the circuit, or use a link "
         "or circuit-breaker of another sort."},
    [NO_CURRENT] = {"unknown-current",
                    "Measure the normal current through the fuse, or give the loads that it feeds."},
};

const char *no_recommendation_id(enum no_recommendation reason)
{
    return (unsigned)reason < NO_RECOMMENDATION_COUNT ? helps[reason].id : NULL;
}

const char *no_recommendation_help(enum no_recommendation reason)
{
    return (unsigned)reason < NO_RECOMMENDATION_COUNT ? helps[reason].help : NULL;
}
