/* The circuit with one assumed value changed: to learn what rests on it. */
#include "device/build.h"

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"

static bool is_about(const struct alteration *alteration, const char *ref, const char *what)
{
    return alteration != NULL && alteration->assumption->part != NULL &&
           strcmp(alteration->assumption->part, ref) == 0 &&
           strcmp(alteration->assumption->what, what) == 0;
}

double build_altered(const struct alteration *alteration, const char *ref, const char *what, double value)
{
    if (!is_about(alteration, ref, what))
        return value;
    return alteration->assumption->value != 0
               ? value * (alteration->instead / alteration->assumption->value)
               : alteration->instead;
}

const char *build_section_figure(struct arena *arena, const struct part_info *info,
                                 const struct section *section, const char *figure)
{
    const char *name = info->windings[section->winding].name;

    return name != NULL && name[0] != '\0' ? arena_print(arena, "%s %s", figure, name) : figure;
}

static void alter_figure(const struct alteration *alteration, const char *ref, const char *what,
                         struct figure *figure)
{
    if (figure->origin == FIGURE_ASSUMED && figure->why != NULL)
        figure->value = build_altered(alteration, ref, what, figure->value);
}

static void alter_sections(struct arena *arena, struct part_info *info,
                           const struct alteration *alteration)
{
    struct section *sections = arena_array(arena, info->section_count, sizeof *sections);

    if (info->section_count > 0)
        memcpy(sections, info->sections, info->section_count * sizeof *sections);
    info->sections = sections;
    for (size_t i = 0; i < info->section_count; i++) {
        alter_figure(alteration, info->part->ref,
                     build_section_figure(arena, info, &sections[i], "winding-volts"),
                     &sections[i].volts);
        alter_figure(alteration, info->part->ref,
                     build_section_figure(arena, info, &sections[i], "winding-ohms"),
                     &sections[i].ohms);
    }
}

static void alter_part(struct arena *arena, struct part_info *info,
                       const struct alteration *alteration)
{
    struct figure *figures = arena_array(arena, info->figure_count, sizeof *figures);

    if (info->figure_count > 0)
        memcpy(figures, info->figures, info->figure_count * sizeof *figures);
    info->figures = figures;
    info->figure_capacity = info->figure_count;
    for (size_t i = 0; i < info->figure_count; i++)
        alter_figure(alteration, info->part->ref, figure_rows[figures[i].id].name, &figures[i]);
    alter_sections(arena, info, alteration);
}

const struct parts *build_alter_parts(struct arena *arena, const struct parts *parts,
                                      const struct alteration *alteration)
{
    struct parts *altered;

    if (alteration == NULL || alteration->assumption->part == NULL)
        return parts;
    altered = arena_alloc(arena, sizeof *altered);
    *altered = *parts;
    altered->items = arena_array(arena, parts->count, sizeof *altered->items);
    memcpy(altered->items, parts->items, parts->count * sizeof *altered->items);
    for (size_t i = 0; i < parts->count; i++)
        if (strcmp(parts->items[i].part->ref, alteration->assumption->part) == 0)
            alter_part(arena, &altered->items[i], alteration);
    return altered;
}
