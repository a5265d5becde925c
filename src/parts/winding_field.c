/* The windings field that a transformer ought to have: what is known of it, and examples for the rest. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* Figures to show the form with, by the start of a winding's name. Common practice, no source. */
static const struct example {
    const char *start;
    const char *one, *tapped; /* of one section, of two */
} examples[] = {
    {"pri", "230V 12R 0.5A", "115+115V 6+6R 0.5A"},
    {"mains", "230V 12R 0.5A", "115+115V 6+6R 0.5A"},
    {"ht", "300V 60R 150mA", "300-0-300V 55+58R 250mA"},
    {"heat", "6.3V 0.05R 4A", "3.15-0-3.15V 0.05+0.05R 4A"},
    {"htr", "6.3V 0.05R 4A", "3.15-0-3.15V 0.05+0.05R 4A"},
    {"fil", "6.3V 0.05R 4A", "3.15-0-3.15V 0.05+0.05R 4A"},
    {"bias", "50V 20R 100mA", "50-0-50V 20+20R 100mA"},
    {"", "12V 1R 1A", "300-0-300V 55+58R 250mA"},
};

static const struct example *example_of(const struct winding *winding)
{
    const struct example *example = examples;

    if (winding->primary)
        return example;
    while (strncasecmp(winding->name, example->start, strlen(example->start)) != 0 ||
           (strncasecmp(winding->name, "htr", 3) == 0 && strcmp(example->start, "ht") == 0))
        example++;
    return example;
}

/* A name may hold nothing that separates. */
static void add_name(struct text *text, const char *name)
{
    for (; *name != '\0'; name++)
        text_add_char(text, isalnum((unsigned char)*name) || *name == '.' ? *name : '_');
}

static bool knows(const struct part_info *info, const struct winding *winding, bool ohms)
{
    bool known = winding->section_count > 0;

    for (size_t i = 0; i < winding->section_count; i++) {
        const struct section *section = &info->sections[winding->first_section + i];
        const struct figure *figure = ohms ? &section->ohms : &section->volts;

        known = known && figure->value > 0 && figure->origin != FIGURE_ASSUMED;
    }
    return known;
}

static void add_figures(struct text *text, const struct part_info *info,
                        const struct winding *winding, bool ohms)
{
    for (size_t i = 0; i < winding->section_count; i++) {
        const struct section *section = &info->sections[winding->first_section + i];

        text_print(text, "%s%.4g", i > 0 ? "+" : " ", ohms ? section->ohms.value : section->volts.value);
    }
    text_add(text, ohms ? "R" : "V");
}

static void add_winding(struct text *text, const struct part_info *info,
                        const struct winding *winding)
{
    const struct section *first = &info->sections[winding->first_section];
    const struct example *example = example_of(winding);

    add_name(text, winding->name);
    text_print(text, " %s", first->start->number);
    for (size_t i = 0; i < winding->section_count; i++)
        text_print(text, "-%s", first[i].end->number);
    if (!knows(info, winding, false)) {
        text_print(text, " %s", winding->section_count == 2 ? example->tapped : example->one);
        return;
    }
    add_figures(text, info, winding, false);
    if (knows(info, winding, true))
        add_figures(text, info, winding, true);
    if (first->amps.value > 0)
        text_print(text, " %.4gA", first->amps.value);
}

const char *part_winding_field(struct arena *arena, const struct part_info *info, size_t winding)
{
    struct text text = {0};
    const char *field;

    add_winding(&text, info, &info->windings[winding]);
    field = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return field;
}

/* Nothing is known: the part's own pins in the commonest arrangement. */
static void add_plain(struct arena *arena, struct text *text, const struct part *part)
{
    static const struct {
        const char *name, *figures;
        size_t pins;
    } plain[] = {{"primary", "230V 12R 0.5A", 2},
                 {"HT", "300-0-300V 55+58R 250mA", 3},
                 {"heater", "6.3V 0.05R 4A", 2},
                 {"bias", "50V 20R 100mA", 2}};
    const struct pin **order = pins_in_order(arena, part);
    size_t at = 0;

    for (size_t i = 0; i < sizeof plain / sizeof *plain && at + plain[i].pins <= part->pin_count; i++) {
        text_print(text, "%s%s ", i > 0 ? "; " : "", plain[i].name);
        for (size_t k = 0; k < plain[i].pins; k++)
            text_print(text, "%s%s", k > 0 ? "-" : "", order[at++]->number);
        text_print(text, " %s", plain[i].figures);
    }
}

const char *part_windings_field(struct arena *arena, const struct part_info *info)
{
    struct text text = {0};
    const char *field;

    for (size_t i = 0; i < info->winding_count; i++) {
        text_add(&text, i > 0 ? "; " : "");
        add_winding(&text, info, &info->windings[i]);
    }
    if (info->winding_count == 0)
        add_plain(arena, &text, info->part);
    field = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return field;
}
