/* Time against current for each fuse, both logarithmic: what the standard promises for the marking, and what the amplifier asks of it. */
#include "study/study.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/view.h"
#include "study/drawing.h"
#include "study/markup.h"
#include "study/page.h"

/* The field of the plot in its picture. */
enum { WIDTH = 336, HEIGHT = 250, LEFT = 44, RIGHT = 328, UPPER = 26, LOWER = 210, MOST_GATES = 8 };

static const double shortest = 1e-3, longest = 1e4; /* s */

struct gate {
    double amps, holds, opens; /* 0: no promise */
};

/* Something that flows through the fuse; seconds 0: for ever. */
struct point {
    const char *words;
    double amps, seconds;
    const char *sign;
};

struct plot {
    const struct study *study;
    struct text svg;
    double rated, least, largest; /* A: rating, ends of the axis */
    struct gate gates[MOST_GATES];
    size_t gate_count;
    struct point *points;
    size_t point_count, point_capacity;
};

static double x_of(const struct plot *plot, double amps)
{
    double share = log(amps / plot->least) / log(plot->largest / plot->least);

    return LEFT + fmax(0, fmin(1, share)) * (RIGHT - LEFT);
}

static double y_of(double seconds)
{
    double share = log(seconds / shortest) / log(longest / shortest);

    return LOWER - fmax(0, fmin(1, share)) * (LOWER - UPPER);
}

static void read_gates(struct plot *plot, const xmlNode *fuse, const char *element)
{
    plot->gate_count = 0;
    for (const xmlNode *at = view_first(fuse, element); at != NULL && plot->gate_count < MOST_GATES; at = view_following(at)) {
        struct gate *gate = &plot->gates[plot->gate_count];

        *gate = (struct gate){0};
        if (!view_number(at, "amps", &gate->amps) || gate->amps <= 0)
            continue;
        view_number(at, "holds", &gate->holds);
        view_number(at, "opens", &gate->opens);
        plot->gate_count++;
    }
}

/* Less than this share of the rating is nothing to a link, and off the plot. */
static const double least_share = 1e-3;

static void add_point(struct plot *plot, const char *words, double amps, double seconds, const char *sign)
{
    if (!(amps >= least_share * plot->rated && isfinite(amps)))
        return;
    plot->points = arena_grow(plot->study->arena, plot->points, &plot->point_capacity, plot->point_count,
                              sizeof *plot->points);
    plot->points[plot->point_count++] = (struct point){words, amps, seconds, sign};
}

static void read_points(struct plot *plot, const xmlNode *fuse)
{
    const struct study *study = plot->study;
    const char *ref = view_text(study->arena, fuse, "ref");
    double amps, seconds;

    if (view_number(fuse, "idle-amps", &amps))
        add_point(plot, "idle", amps, 0, "i");
    if (view_number(fuse, "full-amps", &amps))
        add_point(plot, "full signal", amps, 0, "f");
    if (view_number(fuse, "clipped-amps", &amps))
        add_point(plot, "clipped", amps, 0, "c");
    if (view_number(fuse, "switch-on-i2t", &amps) && view_number(fuse, "switch-on-seconds", &seconds) && seconds > 0)
        add_point(plot, "switch-on, as a steady current for as long", sqrt(amps / seconds), seconds, "s");
    for (const xmlNode *at = view_first(study->facts, "fault"); at != NULL; at = view_following(at)) {
        const char *words = view_text(study->arena, at, "what"), *net = view_text(study->arena, at, "net");

        for (const xmlNode *through = view_first(at, "through"); through != NULL; through = view_following(through)) {
            if (!view_is(through, "fuse", ref) || !view_number(through, "amps", &amps))
                continue;
            seconds = longest;
            view_number(through, "opens-by", &seconds);
            add_point(plot, words != NULL ? words : arena_print(study->arena, "short at %s", net != NULL ? net : "?"), amps,
                      seconds, NULL);
        }
    }
}

/* Whole decades round everything. */
static void set_axis(struct plot *plot)
{
    double least = plot->rated, largest = 12 * plot->rated;

    for (size_t i = 0; i < plot->point_count; i++) {
        least = fmin(least, plot->points[i].amps);
        largest = fmax(largest, plot->points[i].amps);
    }
    plot->least = pow(10, floor(log10(least * 0.8)));
    plot->largest = pow(10, ceil(log10(largest * 1.2)));
}

static void add_vertex(const struct plot *plot, struct text *path, double amps, double seconds)
{
    text_print(path, "%s%.2f %.2f", path->length == 0 ? "M" : "L", x_of(plot, amps), y_of(seconds));
}

/* Down the adiabatic line from the last gate, where I2t stays, to the end of the field. */
static void add_adiabatic(const struct plot *plot, struct text *path, double amps, double seconds)
{
    double end = fmin(plot->largest, amps * sqrt(seconds / shortest));

    add_vertex(plot, path, end, seconds * (amps / end) * (amps / end));
}

static void draw_region(struct plot *plot, const char *kind, const char *fill, struct text *path)
{
    bool right = strcmp(fill, "none") == 0; /* only outlined, over the other */

    text_print(&plot->svg, "<path class=\"%s\" d=\"%sZ\" fill=\"%s\" stroke=\"currentColor\" %s/>", kind, text_bytes(path), fill,
               right ? "stroke-width=\"1.1\" stroke-dasharray=\"6 3\"" : "stroke-width=\"1.5\"");
    text_free(path);
}

/* Where the link must have opened: right of the first such gate, above the line through them. */
static void draw_opening(struct plot *plot, const char *kind, const char *fill)
{
    const struct gate *last = NULL;
    struct text path = {0};

    for (size_t i = 0; i < plot->gate_count; i++) {
        if (plot->gates[i].opens <= 0)
            continue;
        if (last == NULL)
            add_vertex(plot, &path, plot->gates[i].amps, longest);
        last = &plot->gates[i];
        add_vertex(plot, &path, last->amps, last->opens);
    }
    if (last == NULL)
        return;
    add_adiabatic(plot, &path, last->amps, last->opens);
    add_vertex(plot, &path, plot->largest, shortest);
    add_vertex(plot, &path, plot->largest, longest);
    draw_region(plot, kind, fill, &path);
}

/* Where it must hold: up to the rating for ever, then below the line through the gates. */
static void draw_holding(struct plot *plot, const char *kind, const char *fill)
{
    const struct gate *last = NULL;
    struct text path = {0};

    add_vertex(plot, &path, plot->least, shortest);
    add_vertex(plot, &path, plot->least, longest);
    add_vertex(plot, &path, plot->rated, longest);
    for (size_t i = 0; i < plot->gate_count; i++) {
        if (plot->gates[i].holds <= 0)
            continue;
        if (last == NULL && plot->gates[i].amps > plot->rated)
            add_vertex(plot, &path, plot->rated, plot->gates[i].holds);
        last = &plot->gates[i];
        add_vertex(plot, &path, last->amps, last->holds);
    }
    if (last != NULL && last == &plot->gates[plot->gate_count - 1])
        add_adiabatic(plot, &path, last->amps, last->holds);
    add_vertex(plot, &path, last != NULL && last == &plot->gates[plot->gate_count - 1]
                                ? fmin(plot->largest, last->amps * sqrt(last->holds / shortest))
                            : last != NULL ? last->amps : plot->rated, shortest);
    draw_region(plot, kind, fill, &path);
}

static void draw_grid(struct plot *plot)
{
    static const struct {
        double seconds;
        const char *label;
    } times[] = {{1e-3, "1 ms"}, {1e-2, "10 ms"}, {0.1, "0.1 s"}, {1, "1 s"}, {10, "10 s"}, {100, "100 s"}, {1e3, "1000 s"}, {1e4, "10000 s"}};

    for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
        draw_line(&plot->svg, LEFT, y_of(times[i].seconds), RIGHT, y_of(times[i].seconds), "stroke-width=\".5\" opacity=\".35\"");
        draw_label(&plot->svg, LEFT - 4, y_of(times[i].seconds) + 3, "end", 9, times[i].label, 10);
    }
    for (double amps = plot->least; amps <= plot->largest * 1.01; amps *= 10) {
        draw_line(&plot->svg, x_of(plot, amps), UPPER, x_of(plot, amps), LOWER, "stroke-width=\".5\" opacity=\".35\"");
        draw_label(&plot->svg, x_of(plot, amps), LOWER + 12, amps * 3 > plot->largest ? "end" : "middle", 9, study_quantity(plot->study, amps, UNIT_AMP), 10);
    }
    draw_label(&plot->svg, RIGHT, LOWER + 26, "end", 9, "current, RMS", 20);
}

/* Whether B would be drawn over A. */
static bool is_same_spot(const struct plot *plot, const struct point *a, const struct point *b)
{
    return a->sign == NULL && b->sign == NULL && hypot(x_of(plot, a->amps) - x_of(plot, b->amps),
                                                       y_of(a->seconds) - y_of(b->seconds)) < 9;
}

/* What flows for ever at the foot, a fault at the time by which the link has opened. */
static void draw_sign(struct plot *plot, const struct point *point, const char *sign)
{
    double x = x_of(plot, point->amps), y = point->seconds <= 0 ? LOWER - 9 : y_of(fmax(point->seconds, shortest));

    if (point->seconds <= 0)
        draw_line(&plot->svg, x, UPPER, x, LOWER, "stroke-width=\"1.2\" stroke-dasharray=\"3 3\"");
    text_print(&plot->svg, "<circle class=\"point\" data-amps=\"%.6g\" data-seconds=\"%.6g\" cx=\"%.2f\" cy=\"%.2f\" r=\"6.5\" "
                           "stroke=\"currentColor\" style=\"fill:var(--paper)\"/>",
               point->amps, point->seconds, x, y);
    draw_label(&plot->svg, x, y + 3, "middle", 9, sign, 3);
}

/* "740 mA", or from the least to the largest of the COUNT points at AT. */
static const char *amps_words(const struct plot *plot, const struct point *at, size_t count)
{
    double least = at[0].amps, most = at[0].amps;
    const char *low, *high;

    for (size_t i = 1; i < count; i++) {
        least = fmin(least, at[i].amps);
        most = fmax(most, at[i].amps);
    }
    low = study_quantity(plot->study, least, UNIT_AMP);
    high = study_quantity(plot->study, most, UNIT_AMP);
    return strcmp(low, high) == 0 ? low : arena_print(plot->study->arena, "%s to %s", low, high);
}

/* The same of the time in which the link has opened; the points fall in it. */
static const char *opening_words(const struct plot *plot, const struct point *at, size_t count)
{
    const char *last = study_seconds(plot->study, at[0].seconds), *first = study_seconds(plot->study, at[count - 1].seconds);

    if (at[0].seconds >= longest)
        return "need not open";
    return strcmp(first, last) == 0 ? arena_print(plot->study->arena, "open within %s", last)
                                    : arena_print(plot->study->arena, "open within %s to %s", first, last);
}

/* The line of the COUNT points at one spot, of which AT is the first. */
static void add_legend(const struct plot *plot, struct text *legend, const struct point *at, size_t count, const char *sign)
{
    text_print(legend, "\n%s ", sign);
    for (size_t i = 0; i < count; i++)
        text_print(legend, "%s%s", i > 0 ? "; " : "", at[i].words);
    text_print(legend, ": %s", amps_words(plot, at, count));
    if (at->sign == NULL)
        text_print(legend, ", %s", opening_words(plot, at, count));
    else if (at->seconds > 0)
        text_print(legend, " for %s", study_seconds(plot->study, at->seconds));
}

/* A line for each sign. A sign at each point: a letter for what flows for ever, a number for a fault, or for several at the same
 * spot. */
static const char *draw_points(struct plot *plot)
{
    struct text legend = {0};
    size_t number = 0, count;
    const char *copy;

    for (size_t i = 0; i < plot->point_count; i += count) {
        const struct point *at = &plot->points[i];
        const char *sign = at->sign != NULL ? at->sign : arena_print(plot->study->arena, "%zu", ++number);

        for (count = 1; i + count < plot->point_count && is_same_spot(plot, &at[count - 1], &at[count]);)
            count++;
        draw_sign(plot, at, sign);
        add_legend(plot, &legend, at, count, sign);
    }
    copy = arena_copy(plot->study->arena, text_bytes(&legend));
    text_free(&legend);
    return copy;
}

/* Faults after what flows for ever; those at one spot next to each other. */
static int compare_points(const void *left, const void *right)
{
    const struct point *a = left, *b = right;

    if ((a->sign == NULL) != (b->sign == NULL))
        return a->sign == NULL ? 1 : -1;
    if (a->sign != NULL)
        return (a->amps > b->amps) - (a->amps < b->amps);
    if (a->seconds != b->seconds)
        return a->seconds > b->seconds ? -1 : 1;
    return (a->amps > b->amps) - (a->amps < b->amps);
}

static const char *promises(const struct plot *plot)
{
    struct text words = {0};
    const char *copy;

    for (size_t i = 0; i < plot->gate_count; i++) {
        const struct gate *gate = &plot->gates[i];

        text_print(&words, "%s%s:", i > 0 ? "; " : "", study_quantity(plot->study, gate->amps, UNIT_AMP));
        if (gate->holds > 0)
            text_print(&words, " holds %s", study_seconds(plot->study, gate->holds));
        if (gate->opens > 0)
            text_print(&words, "%s open by %s", gate->holds > 0 ? "," : "", study_seconds(plot->study, gate->opens));
    }
    copy = arena_copy(plot->study->arena, text_bytes(&words));
    text_free(&words);
    return copy;
}

/* The fields of the right marking, outlined, where it is another one. */
static void draw_right(struct plot *plot, const xmlNode *fuse, const char *marking)
{
    const char *right = view_text(plot->study->arena, fuse, "recommended");
    struct plot other = *plot; /* the same picture and axes */

    read_gates(&other, fuse, "right-gate");
    if (right == NULL || strcmp(right, marking) == 0 || other.gate_count == 0 ||
        !view_number(fuse, "recommended-amps", &other.rated))
        return;
    draw_holding(&other, "right-holds", "none");
    draw_opening(&other, "right-opens", "none");
    plot->svg = other.svg;
}

static void draw_plot(const struct study *study, const xmlNode *fuse)
{
    const char *ref = view_text(study->arena, fuse, "ref"), *fitted = view_text(study->arena, fuse, "fitted");
    const char *marking = fitted != NULL ? fitted : view_text(study->arena, fuse, "marking");
    const char *standard = view_text(study->arena, fuse, "standard"), *legend;
    struct plot plot = {.study = study};

    read_gates(&plot, fuse, "gate");
    if (!view_number(fuse, "rated-amps", &plot.rated) || plot.rated <= 0 || plot.gate_count == 0) {
        page_item(study->page, ref != NULL ? ref : "?", "marking not known, so nothing is promised: no plot");
        return;
    }
    read_points(&plot, fuse);
    qsort(plot.points, plot.point_count, sizeof *plot.points, compare_points);
    set_axis(&plot);
    draw_start(&plot.svg, WIDTH, HEIGHT, arena_print(study->arena, "Time and current of fuse %s, %s", ref, marking));
    text_add(&plot.svg, "<defs><pattern id=\"must\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">"
                        "<path d=\"M0 0V6\" stroke=\"currentColor\" opacity=\".5\"/></pattern><pattern id=\"hold\" width=\"7\" height=\"7\" "
                        "patternUnits=\"userSpaceOnUse\"><circle cx=\"3.5\" cy=\"3.5\" r=\".9\" fill=\"currentColor\" opacity=\".5\"/></pattern></defs>");
    text_print(&plot.svg, "<g class=\"field\" data-least-amps=\"%.6g\" data-largest-amps=\"%.6g\" data-shortest=\"%g\" data-longest=\"%g\" "
                          "data-left=\"%d\" data-right=\"%d\" data-upper=\"%d\" data-lower=\"%d\">",
               plot.least, plot.largest, shortest, longest, LEFT, RIGHT, UPPER, LOWER);
    draw_label(&plot.svg, LEFT, 14, "start", 12, arena_print(study->arena, "%s  %s", ref, marking), 40);
    draw_grid(&plot);
    draw_holding(&plot, "holds", "url(#hold)");
    draw_opening(&plot, "opens", "url(#must)");
    draw_right(&plot, fuse, marking);
    draw_label(&plot.svg, (LEFT + x_of(&plot, plot.rated)) / 2, LOWER - 26, "middle", 10, "holds", 10);
    draw_label(&plot.svg, RIGHT - 4, UPPER + 14, "end", 10, "must open", 12);
    legend = draw_points(&plot);
    text_add(&plot.svg, "</g>");
    draw_end(&plot.svg);
    page_figure(study->page, arena_copy(study->arena, text_bytes(&plot.svg)),
                arena_print(study->arena, "%s %s (%s). %s.%s", ref, marking, standard != NULL ? standard : "no sheet", promises(&plot), legend));
    text_free(&plot.svg);
}

void study_plots(const struct study *study)
{
    if (view_first(study->facts, "fuse") == NULL)
        return;
    page_section(study->page, "plots", "Time and current of each fuse");
    page_say(study->page, "Dotted field: the link must hold. Hatched field: it must have opened. Between them it may do either. "
                          "Broken lines: the same of the right marking where it is another. i idle, f full signal, c clipped, s switch-on; numbers are "
                          "faults, at the time by which this fuse has opened, at the top if it need not.");
    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at))
        draw_plot(study, at);
}
