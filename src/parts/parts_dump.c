#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* A net as every format calls it: the last component of its name, ground as "0", none as "-". */
static const char *net_name(const struct pin *pin)
{
    if (pin->net == NULL)
        return "-";
    if (strcasecmp(pin->net->leaf, "GND") == 0)
        return "0";
    return pin->net->leaf;
}

static int compare_parts(const void *a, const void *b)
{
    const struct part_info *first = *(const struct part_info *const *)a;
    const struct part_info *second = *(const struct part_info *const *)b;

    return strcmp(first->part->ref, second->part->ref);
}

/* A pin and what its line says. */
struct line {
    const struct pin *pin;
    struct pin_info info;
};

static int compare_lines(const void *a, const void *b)
{
    const struct line *first = a, *second = b;

    if (first->info.role != second->info.role)
        return first->info.role < second->info.role ? -1 : 1;
    if (first->info.unit != second->info.unit)
        return first->info.unit < second->info.unit ? -1 : 1;
    return strcmp(net_name(first->pin), net_name(second->pin));
}

/* A net that joins pins; formats differ in whether and how they name the others. */
static bool is_shared(const struct net *net)
{
    return net != NULL && net->pin_count > 1;
}

static void dump_pins(const struct part_info *info, struct text *out)
{
    size_t count = info->part->pin_count, used = 0;
    struct line *lines = memory_alloc((count + 1) * sizeof *lines);

    for (size_t i = 0; i < count; i++)
        if (info->pins[i].role != PIN_NONE || is_shared(info->part->pins[i].net))
            lines[used++] = (struct line){.pin = &info->part->pins[i], .info = info->pins[i]};
    qsort(lines, used, sizeof *lines, compare_lines);
    for (size_t i = 0; i < used; i++)
        text_print(out, "  pin %s %zu %s\n", pin_role_name(lines[i].info.role), lines[i].info.unit,
                   net_name(lines[i].pin));
    free(lines);
}

/* Figures of the part's value and fields; those of a .model only a deck has. */
static void dump_figures(const struct part_info *info, struct text *out)
{
    for (int id = 0; id < FIGURE_COUNT; id++) {
        const struct figure *figure = part_figure(info, (enum figure_id)id);

        if (figure != NULL && figure->origin == FIGURE_FROM_NETLIST && figure->why == NULL)
            text_print(out, " %s=%.6g", figure_rows[id].name, figure->value);
    }
}

static void dump_section(const struct section *section, struct text *out)
{
    const struct figure *figures[] = {&section->volts, &section->ohms, &section->amps};

    text_print(out, "    section %s %s", net_name(section->start), net_name(section->end));
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
        if (figures[i]->origin == FIGURE_FROM_NETLIST && figures[i]->value != 0)
            text_print(out, " %s=%.6g", figure_rows[figures[i]->id].name, figures[i]->value);
    text_add(out, "\n");
}

static void dump_windings(const struct part_info *info, struct text *out)
{
    for (size_t i = 0; i < info->winding_count; i++) {
        const struct winding *winding = &info->windings[i];

        text_print(out, "  winding %s%s\n", winding->name, winding->primary ? " primary" : "");
        for (size_t k = 0; k < winding->section_count; k++)
            dump_section(&info->sections[winding->first_section + k], out);
    }
}

static void dump_part(const struct part_info *info, struct text *out)
{
    text_print(out, "part %s %s", info->part->ref, part_kind_name(info->kind));
    if (info->type != NULL)
        text_print(out, " type=%s", info->type);
    if (info->kind == PART_FEED && info->role != NULL)
        text_print(out, " role=%s", info->role);
    if (info->marking != NULL)
        text_print(out, " marking=\"%s\"", info->marking);
    if (info->place != NULL)
        text_print(out, " place=\"%s\"", info->place);
    if (info->kind == PART_SWITCH || info->kind == PART_STANDBY_SWITCH)
        text_add(out, info->closed ? " closed" : " open");
    if (info->plugged)
        text_add(out, " plugged");
    dump_figures(info, out);
    text_add(out, "\n");
    dump_windings(info, out);
    dump_pins(info, out);
}

void parts_dump(const struct parts *parts, struct text *out)
{
    const struct part_info **order = memory_alloc((parts->count + 1) * sizeof *order);

    for (size_t i = 0; i < parts->count; i++)
        order[i] = &parts->items[i];
    qsort(order, parts->count, sizeof *order, compare_parts);
    for (size_t i = 0; i < parts->count; i++)
        dump_part(order[i], out);
    free(order);
}
