#include "whatif/output_transformer.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/quantity.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"

/* Ohms from here up are a primary's, below a ratio or a secondary's. */
#define LEAST_PRIMARY_OHMS 200.0
/* A resistor across a secondary of more than this, ohm, is no load. */
#define LARGEST_SPEAKER_OHMS 100.0

static double find_ohms(const struct part *part, const char *text)
{
    double ohms;

    return quantity_find(text, part->dialect, UNIT_OHM, UNIT_OHM, &ohms) && ohms > 0 ? ohms : 0;
}

/* "5k6:8", "SE 5k:8", "8k p-p / 20W", "26:1". */
static void read_ohms(struct arena *arena, struct output_transformer *transformer,
                      const char *text)
{
    const struct part *part = transformer->part;
    const char *colon = text != NULL ? strchr(text, ':') : NULL;
    double left, right;

    if (text == NULL || transformer->primary_ohms > 0 || transformer->ratio > 0)
        return;
    left = find_ohms(part, colon != NULL
                               ? arena_copy_span(arena, text, (size_t)(colon - text))
                               : text);
    right = colon != NULL ? find_ohms(part, colon + 1) : 0;
    if (left >= LEAST_PRIMARY_OHMS) {
        transformer->primary_ohms = left;
        transformer->secondary_ohms = right;
    } else if (left > 0 && right > 0) {
        transformer->ratio = left / right;
    }
}

static size_t node_of(const struct pin *pin)
{
    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

static void add_section(struct output_transformer *transformer, size_t start, size_t end,
                        double turns)
{
    if (start != SIZE_MAX && end != SIZE_MAX)
        transformer->sections[transformer->section_count++] =
            (struct wound){.start = start, .end = end, .turns = turns};
}

static struct output_transformer from_part(struct arena *arena, const struct part_info *info)
{
    struct output_transformer transformer = {.part = info->part, .turns_known = true};

    transformer.sections = arena_array(arena, info->section_count, sizeof *transformer.sections);
    for (size_t i = 0; i < info->section_count; i++)
        transformer.turns_known &= info->sections[i].volts.value > 0;
    for (size_t i = 0; i < info->section_count; i++)
        add_section(&transformer, node_of(info->sections[i].start), node_of(info->sections[i].end),
                    transformer.turns_known ? info->sections[i].volts.value : 1);
    read_ohms(arena, &transformer, part_field(info->part, "impedance"));
    read_ohms(arena, &transformer, info->part->value);
    return transformer;
}

/* Turns are as the root of the inductance. */
static struct output_transformer from_coupled(struct arena *arena, const struct element *element)
{
    struct output_transformer transformer = {.part = element->part, .turns_known = true};
    size_t count = element->section_count;

    transformer.sections = arena_array(arena, count, sizeof *transformer.sections);
    for (size_t i = 0; i < count; i++)
        add_section(&transformer, element->nodes[2 * i], element->nodes[2 * i + 1],
                    sqrt(element->matrix[i * count + i]));
    return transformer;
}

static void claim_nodes(struct output_transformers *list, size_t index)
{
    const struct output_transformer *transformer = &list->items[index];

    for (size_t i = 0; i < transformer->section_count; i++) {
        const size_t ends[] = {transformer->sections[i].start, transformer->sections[i].end};

        for (size_t k = 0; k < 2; k++)
            if (list->of_node[ends[k]] == SIZE_MAX)
                list->of_node[ends[k]] = index;
    }
}

static void add(struct arena *arena, struct output_transformers *list, size_t *capacity,
                struct output_transformer transformer)
{
    list->items = arena_grow(arena, list->items, capacity, list->count, sizeof *list->items);
    list->items[list->count] = transformer;
    claim_nodes(list, list->count++);
}

struct output_transformers output_transformers_find(struct arena *arena,
                                                    const struct network *network)
{
    struct output_transformers list = {
        .of_node = arena_array(arena, network->node_count, sizeof *list.of_node)};
    size_t capacity = 0;

    for (size_t i = 0; i < network->node_count; i++)
        list.of_node[i] = SIZE_MAX;
    for (size_t i = 0; i < network->parts->count; i++) {
        const struct part_info *info = &network->parts->items[i];

        if (info->kind == PART_OUTPUT_TRANSFORMER && !info->part->not_fitted)
            add(arena, &list, &capacity, from_part(arena, info));
    }
    for (size_t i = 0; i < network->element_count; i++)
        if (network->elements[i]->device == &device_coupled)
            add(arena, &list, &capacity, from_coupled(arena, network->elements[i]));
    return list;
}

double *output_transformer_turns(struct arena *arena, const struct network *network,
                                 const struct output_transformer *transformer, size_t origin)
{
    double *turns = arena_array(arena, network->node_count, sizeof *turns);
    bool moved = true;

    for (size_t i = 0; i < network->node_count; i++)
        turns[i] = NAN;
    turns[origin] = 0;
    while (moved) {
        moved = false;
        for (size_t i = 0; i < transformer->section_count; i++) {
            const struct wound *section = &transformer->sections[i];

            if (isnan(turns[section->start]) == isnan(turns[section->end]))
                continue;
            moved = true;
            if (isnan(turns[section->start]))
                turns[section->start] = turns[section->end] + section->turns;
            else
                turns[section->end] = turns[section->start] - section->turns;
        }
    }
    return turns;
}

/* Ohms that BRANCH puts across a section; 0: it is no load. A loudspeaker's jack may tell them
 * in its value. */
static double load_of(const struct branch *branch, const struct wound *section)
{
    bool across = (branch->from == section->start && branch->to == section->end) ||
                  (branch->to == section->start && branch->from == section->end);
    double ohms = branch->element->figures[0];

    if (!across || branch->kind != BRANCH_RESISTANCE || branch->section != NULL ||
        ohms > LARGEST_SPEAKER_OHMS)
        return 0;
    return ohms;
}

/* A jack across the section whose value says what is plugged in. */
static double plugged_in(const struct network *network, const struct wound *section)
{
    for (size_t i = 0; i < network->parts->count; i++) {
        const struct part_info *info = &network->parts->items[i];
        bool start = false, end = false;
        double ohms;

        if ((info->kind != PART_JACK && info->kind != PART_CONNECTOR) || info->part->value == NULL)
            continue;
        for (size_t p = 0; p < info->part->pin_count; p++) {
            start |= node_of(&info->part->pins[p]) == section->start;
            end |= node_of(&info->part->pins[p]) == section->end;
        }
        if (start && end &&
            quantity_find(info->part->value, info->part->dialect, UNIT_NONE, UNIT_OHM, &ohms) &&
            ohms > 0 && ohms <= LARGEST_SPEAKER_OHMS)
            return ohms;
    }
    return 0;
}

double output_transformer_reflected(const struct network *network,
                                    const struct output_transformer *transformer,
                                    const double *turns, double primary, bool *assumed)
{
    double siemens = 0;

    *assumed = false;
    for (size_t i = 0; i < transformer->section_count; i++) {
        const struct wound *section = &transformer->sections[i];
        double ratio = primary / section->turns, ohms;

        if (!isnan(turns[section->start]) && !isnan(turns[section->end]))
            continue;
        for (size_t b = 0; b < network->branch_count; b++) {
            const struct branch *branch = &network->branches[b];
            const struct part_info *info = &network->parts->items[branch->part->index];

            ohms = load_of(branch, section);
            if (ohms > 0)
                siemens += 1 / (ohms * ratio * ratio);
            *assumed |= ohms > 0 && info->kind == PART_SPEAKER &&
                        part_figure(info, FIGURE_OHMS) == NULL;
        }
        ohms = plugged_in(network, section);
        if (ohms > 0)
            siemens += 1 / (ohms * ratio * ratio);
    }
    return siemens > 0 ? 1 / siemens : 0;
}
