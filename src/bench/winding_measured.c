/* Volts, ohms and amps of windings as measured, in place of what the netlist says or was derived. */
#include "bench/amend.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/text.h"
#include "bench/bench_form.h"
#include "circuit/circuit.h"
#include "parts/parts.h"

enum { SECTIONS_LARGEST = 16 };

/* The sections that a statement is about. */
struct span {
    size_t first, count; /* in info->sections */
};

static bool is_pin(const struct pin *pin, const char *name, size_t length)
{
    return (strlen(pin->number) == length && strncasecmp(pin->number, name, length) == 0) ||
           (pin->name != NULL && strlen(pin->name) == length &&
            strncasecmp(pin->name, name, length) == 0);
}

static bool is_between(const struct section *section, const char *pins)
{
    size_t dash = strcspn(pins, "-");
    const char *second = pins + dash + 1;

    return (is_pin(section->start, pins, dash) && is_pin(section->end, second, strlen(second))) ||
           (is_pin(section->end, pins, dash) && is_pin(section->start, second, strlen(second)));
}

static bool find_span(const struct part_info *info, const char *name, const char *pins,
                      struct span *span)
{
    for (size_t i = 0; i < info->winding_count; i++) {
        const struct winding *winding = &info->windings[i];

        if (name != NULL && strcasecmp(winding->name, name) != 0)
            continue;
        *span = (struct span){winding->first_section, winding->section_count};
        if (pins == NULL)
            return true;
        for (size_t k = 0; k < winding->section_count; k++)
            if (is_between(&info->sections[winding->first_section + k], pins)) {
                *span = (struct span){winding->first_section + k, 1};
                return true;
            }
    }
    return false;
}

/* "HT (3-4, 4-5), heater (6-7)" */
static const char *windings_of(struct arena *arena, const struct part_info *info)
{
    struct text text = {0};
    const char *list;

    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        bool first = i == 0 || section[-1].winding != section->winding;
        bool last = i + 1 == info->section_count || section[1].winding != section->winding;

        text_print(&text, "%s%s%s%s-%s%s", i > 0 ? ", " : "",
                   first ? info->windings[section->winding].name : "", first ? " (" : "",
                   section->start->number, section->end->number, last ? ")" : "");
    }
    list = arena_print(arena, "one of its windings and sections: %s",
                       info->section_count > 0 ? text_bytes(&text) : "none is known");
    text_free(&text);
    return list;
}

static struct figure measured(enum figure_id id, double value)
{
    return (struct figure){.id = id, .value = value, .low = value, .high = value,
                           .origin = FIGURE_MEASURED, .why = "measured at the bench"};
}

/* "300-0-300": what stands between neighbours. False unless one of COUNT + 1 figures is 0. */
static bool about_tap(double *values, size_t count)
{
    size_t zero = 0;

    while (zero <= count && values[zero] != 0)
        zero++;
    if (zero > count)
        return false;
    for (size_t i = 0; i < count; i++) {
        double step = i < zero ? values[i] - values[i + 1] : values[i + 1] - values[i];

        if (!(step > 0))
            return false;
        values[i] = step;
    }
    return true;
}

/* One figure a section from the text of KEY. */
static bool read_list(struct bench *bench, struct statement *statement, const char *key,
                      enum unit unit, size_t count, double *values)
{
    const struct bench_value *value = statement_value(statement, key);
    unsigned read = bench_figures(value->text, "+", (int)unit, values, SECTIONS_LARGEST);

    if (read == count && read > 0)
        return true;
    if (unit == UNIT_VOLT && strchr(value->text, '-') != NULL &&
        bench_figures(value->text, "-", (int)unit, values, SECTIONS_LARGEST) == count + 1 &&
        about_tap(values, count))
        return true;
    amend_refuse(bench, statement, value,
                 "pins= of one section, or one figure a section joined by +",
                 "%zu section%s and not as many figures", count, count == 1 ? "" : "s");
    return false;
}

static bool is_measured(const struct figure *figure)
{
    return figure->origin == FIGURE_MEASURED;
}

static struct figure *figure_of(struct section *section, enum unit unit)
{
    return unit == UNIT_VOLT ? &section->volts : unit == UNIT_OHM ? &section->ohms : &section->amps;
}

static void amend_figures(struct bench *bench, struct statement *statement, const char *key,
                          enum unit unit, struct section *sections, size_t count)
{
    static const enum figure_id ids[] = {[UNIT_VOLT] = FIGURE_RATED_VOLTS,
                                         [UNIT_OHM] = FIGURE_OHMS,
                                         [UNIT_AMP] = FIGURE_RATED_AMPS};
    double values[SECTIONS_LARGEST] = {0};

    if (statement_value(statement, key) == NULL)
        return;
    if (unit == UNIT_AMP) {
        for (size_t i = 0; i < count && i < SECTIONS_LARGEST; i++)
            statement_quantity(statement, key, unit, &values[i]);
    } else if (!read_list(bench, statement, key, unit, count, values)) {
        return;
    }
    for (size_t i = 0; i < count && i < SECTIONS_LARGEST; i++) {
        if (is_measured(figure_of(&sections[i], unit))) {
            amend_refuse(bench, statement, statement_value(statement, key), NULL,
                         "another statement gives the %s of that section already", key);
            return;
        }
        *figure_of(&sections[i], unit) = measured(ids[unit], values[i]);
    }
}

static void amend_winding(struct bench *bench, struct statement *statement,
                          struct part_info *info)
{
    const char *name = statement_text(statement, "name"), *pins = statement_text(statement, "pins");
    struct span span;

    if (!find_span(info, name, pins, &span)) {
        amend_refuse(bench, statement, statement_value(statement, name != NULL ? "name" : "pins"),
                     windings_of(bench->arena, info), "%s has no such winding or section",
                     info->part->ref);
        return;
    }
    amend_figures(bench, statement, "volts", UNIT_VOLT, &info->sections[span.first], span.count);
    amend_figures(bench, statement, "ohms", UNIT_OHM, &info->sections[span.first], span.count);
    amend_figures(bench, statement, "amps", UNIT_AMP, &info->sections[span.first], span.count);
}

void bench_amend_windings(struct bench *bench, struct part_info *info)
{
    for (size_t i = 0; i < bench->count; i++) {
        struct statement *statement = bench->items[i];

        if (statement->word == BENCH_WINDING && !statement->refused &&
            strcasecmp(statement_text(statement, "part"), info->part->ref) == 0)
            amend_winding(bench, statement, info);
    }
}
