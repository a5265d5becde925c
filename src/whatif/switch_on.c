#include "whatif/switch_on.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/start_up.h"
#include "trace/trace.h"
#include "whatif/cold_network.h"
#include "whatif/whatif.h"

#define QUARTER_TURN 1.5707963267948966
/* M is looked up at times that grow by this factor. */
#define TIME_FACTOR 1.1
/* J counts as reached at this share of its largest. */
#define REACHED_SHARE 0.95
/* A pulse longer than this is a heater's, s. */
#define HEATER_PULSE 0.3

struct switching {
    struct arena *arena, *work;
    const struct network *network;
    const struct trace *trace;
    const struct whatif *whatif;
    const struct solution *healthy;
    struct cold_network *cold;
    struct switch_on *result;
};

static struct surge *run_at(const struct switching *switching, double angle, bool until_smooth)
{
    size_t count = switching->whatif->fuse_count;
    struct surge *surges = arena_array(switching->work, count, sizeof *surges);
    struct start_up_options options = {.warmings = switching->cold->warmings,
                                       .warming_count = switching->cold->warming_count,
                                       .angle = angle,
                                       .until_smooth = until_smooth};

    for (size_t i = 0; i < count; i++)
        surges[i].branch = switching->whatif->fuses[i].branch;
    start_up_run(switching->work, switching->cold->network, &options, surges, count);
    return surges;
}

/* From where the short run ends on the fuse carries what it carries in the long one. */
static void splice(struct arena *work, struct surge *shorter, const struct surge *longer)
{
    const struct surge_point *last;
    double before = 0;

    if (shorter->status != SOLVE_OK || shorter->point_count == 0)
        return;
    last = &shorter->points[shorter->point_count - 1];
    double end = last->seconds, total = last->i2t;

    for (size_t i = 0; i < longer->point_count; i++) {
        const struct surge_point *point = &longer->points[i];

        if (point->seconds <= end * (1 + 1e-9)) {
            before = point->i2t;
            continue;
        }
        shorter->points = arena_grow(work, shorter->points, &shorter->point_capacity,
                                     shorter->point_count, sizeof *shorter->points);
        shorter->points[shorter->point_count++] =
            (struct surge_point){point->seconds, total + point->i2t - before};
    }
    shorter->settled_square = longer->settled_square;
}

static double excess_at(const struct surge *surge, size_t point)
{
    return surge->points[point].i2t - surge->settled_square * surge->points[point].seconds;
}

/* The pulse itself: largest J and when it is as good as reached. */
static void measure(const struct surge *surge, struct fuse_switch_on *out)
{
    out->peak = surge->peak;
    for (size_t i = 1; i < surge->point_count; i++)
        out->i2t = fmax(out->i2t, excess_at(surge, i));
    for (size_t i = 1; i < surge->point_count; i++)
        if (excess_at(surge, i) >= REACHED_SHARE * out->i2t) {
            out->seconds = surge->points[i].seconds;
            break;
        }
}

/* The pulse in stretches of time, each with its largest J, which then counts at its beginning. */
static void condense(struct arena *arena, const struct surge *surge, struct fuse_switch_on *out)
{
    double from = 0, most = 0;

    for (size_t i = 1; i < surge->point_count; i++) {
        double seconds = surge->points[i].seconds;

        if (from == 0 || seconds > TIME_FACTOR * from) {
            from = seconds;
            most = 0;
            out->points = arena_grow(arena, out->points, &out->point_capacity, out->point_count++,
                                     sizeof *out->points);
        }
        most = fmax(most, excess_at(surge, i));
        out->points[out->point_count - 1] = (struct pulse_point){from, most};
    }
}

static void judge(const struct fuse_state *fuse, struct fuse_switch_on *out)
{
    out->judged = fuse->known;
    if (!fuse->known || out->point_count == 0)
        return;
    out->share = marking_pulse_share(&fuse->marking, fuse->gates, out->points, out->point_count,
                                     &out->stands, &out->printed);
    out->count = pulse_count(out->share);
}

/* Both pulses one after the other. */
static void join_points(struct arena *arena, struct fuse_switch_on *kept, const struct fuse_switch_on *other)
{
    for (size_t i = 0; i < other->point_count; i++) {
        kept->points = arena_grow(arena, kept->points, &kept->point_capacity, kept->point_count,
                                  sizeof *kept->points);
        kept->points[kept->point_count++] = other->points[i];
    }
}

/* Keeps the worse of two, with the points of both. */
static void keep_worse(struct arena *arena, struct fuse_switch_on *kept, const struct fuse_switch_on *other)
{
    double peak = fmax(kept->peak, other->peak);
    struct fuse_switch_on before = *kept;

    if (kept->status != SOLVE_OK)
        return;
    if (kept->event == NULL || other->status != SOLVE_OK || other->share > kept->share ||
        (!other->judged && other->i2t > kept->i2t))
        *kept = *other;
    kept->points = before.points;
    kept->point_count = before.point_count;
    kept->point_capacity = before.point_capacity;
    join_points(arena, kept, other);
    kept->peak = peak;
}

static void take_in(const struct switching *switching, const struct surge *surges,
                    const char *event)
{
    for (size_t i = 0; i < switching->whatif->fuse_count; i++) {
        struct fuse_switch_on fuse = {.status = surges[i].status, .event = event};

        if (!switching->healthy->branch_solved[switching->whatif->fuses[i].branch])
            fuse.status = SOLVE_NOT_KNOWN;
        if (surges[i].blame != NULL)
            fuse.blame = arena_copy(switching->arena, surges[i].blame);
        if (fuse.status == SOLVE_OK) {
            measure(&surges[i], &fuse);
            condense(switching->arena, &surges[i], &fuse);
            judge(&switching->whatif->fuses[i], &fuse);
        }
        keep_worse(switching->arena, &switching->result->fuses[i], &fuse);
    }
}

static void switch_mains(struct switching *switching)
{
    struct surge *crossing = run_at(switching, 0, false), *crest;

    take_in(switching, crossing, "mains");
    if (switching->network->hertz <= 0)
        return;
    cold_network_at_crest(switching->cold);
    crest = run_at(switching, QUARTER_TURN, true);
    for (size_t i = 0; i < switching->whatif->fuse_count; i++)
        splice(switching->work, &crest[i], &crossing[i]);
    take_in(switching, crest, "mains");
}

static bool has_standby(const struct parts *parts)
{
    for (size_t i = 0; i < parts->count; i++)
        if (parts->items[i].kind == PART_STANDBY_SWITCH)
            return true;
    return false;
}

static void switch_standby(struct switching *switching)
{
    if (!switching->cold->has_valve_rectifier || !has_standby(switching->network->parts))
        return;
    cold_network_warmed(switching->cold);
    take_in(switching, run_at(switching, QUARTER_TURN, false), "standby");
}

static bool is_among(const size_t *branches, size_t count, size_t branch)
{
    for (size_t i = 0; i < count; i++)
        if (branches[i] == branch)
            return true;
    return false;
}

/* Whether the branch carries what the primaries draw. */
static bool is_in_mains(const struct trace *trace, size_t branch)
{
    for (size_t i = 0; i < trace->mains_count; i++) {
        const struct mains *mains = &trace->mains[i];

        if (is_among(mains->live_fuses, mains->live_fuse_count, branch) ||
            is_among(mains->neutral_fuses, mains->neutral_fuse_count, branch))
            return true;
    }
    return false;
}

/* Whether a fuse's pulse rests on ASSUMPTION. */
static bool matters(const struct assumption *assumption, const struct fuse_switch_on *fuse,
                    bool mains)
{
    if (strncmp(assumption->what, "core-", 5) == 0)
        return mains && strcmp(fuse->event, "mains") == 0;
    if (strncmp(assumption->what, "heater-", 7) == 0)
        return fuse->seconds > HEATER_PULSE;
    return strncmp(assumption->what, "rectifier-", 10) == 0 || mains;
}

/* The assumptions that a fuse's pulse rests on. */
static void find_rests(const struct switching *switching, struct fuse_switch_on *fuse, bool mains)
{
    fuse->rests = arena_array(switching->arena, switching->cold->assumption_count, sizeof *fuse->rests);
    for (size_t i = 0; i < switching->cold->assumption_count; i++)
        if (matters(&switching->cold->assumptions[i], fuse, mains))
            fuse->rests[fuse->rest_count++] = &switching->cold->assumptions[i];
}

static const char *missing(const struct switching *switching)
{
    struct text text = {0};
    const char *refs = NULL;

    for (size_t i = 0; i < switching->cold->coreless_count; i++)
        text_print(&text, "%s%s", i > 0 ? " " : "", switching->cold->coreless[i]);
    if (switching->cold->coreless_count > 0)
        refs = arena_copy(switching->arena, text_bytes(&text));
    text_free(&text);
    return refs;
}

static void annotate(const struct switching *switching)
{
    for (size_t i = 0; i < switching->result->fuse_count; i++) {
        struct fuse_switch_on *fuse = &switching->result->fuses[i];
        bool mains = is_in_mains(switching->trace, switching->whatif->fuses[i].branch);

        if (fuse->status != SOLVE_OK)
            continue;
        find_rests(switching, fuse, mains);
        fuse->missing = mains ? missing(switching) : NULL;
    }
}

struct switch_on *switch_on_run(struct arena *arena, const struct network *network,
                                const struct trace *trace, const struct solution *healthy,
                                const struct whatif *whatif)
{
    struct switching switching = {.arena = arena, .network = network, .trace = trace,
                                  .whatif = whatif, .healthy = healthy};

    if (healthy == NULL || healthy->status != SOLVE_OK)
        return NULL;
    switching.work = arena_new();
    switching.cold = cold_network_new(arena, network);
    switching.result = arena_alloc(arena, sizeof *switching.result);
    switching.result->fuse_count = whatif->fuse_count;
    switching.result->fuses =
        arena_array(arena, whatif->fuse_count, sizeof *switching.result->fuses);
    switching.result->assumptions = switching.cold->assumptions;
    switching.result->assumption_count = switching.cold->assumption_count;
    switch_mains(&switching);
    switch_standby(&switching);
    annotate(&switching);
    arena_free(switching.work);
    return switching.result;
}
