/* Chokes, inductors, transformers. */
#include "device/build.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"

/* Whether NET joins the choke to a resistor and to nothing else. */
static bool meets_resistor(const struct builder *builder, const struct part_info *info,
                           const struct net *net)
{
    for (size_t i = 0; net->pin_count == 2 && i < 2; i++) {
        const struct part *part = net->pins[i]->part;

        if (part != info->part && builder->parts->items[part->index].kind == PART_RESISTOR)
            return true;
    }
    return false;
}

/* Whoever draws a resistor in series with the bare choke has drawn its winding's resistance. */
static double choke_ohms(struct builder *builder, const struct part_info *info,
                         const size_t ends[2])
{
    for (size_t i = 0; i < 2 && !build_has(info, FIGURE_OHMS); i++)
        if (meets_resistor(builder, info, builder->circuit->nets[ends[i]]))
            return 0;
    return build_figure(builder, info, FIGURE_OHMS, 100, 30, 400,
                        "smoothing chokes of valve amplifiers (common practice, no source)");
}

void build_choke(struct builder *builder, const struct part_info *info)
{
    struct element *element;
    size_t ends[2];

    if (!build_ends(info, ends))
        return;
    element = build_two(builder, &device_inductor, info, ends, BRANCH_INDUCTANCE, false);
    element->figures[0] = build_figure(builder, info, FIGURE_HENRIES, 10, 2, 20,
                                       "smoothing chokes of valve amplifiers (common practice, no source)");
    element->figures[1] = choke_ohms(builder, info, ends);
}

void build_inductor(struct builder *builder, const struct part_info *info)
{
    double henries = part_figure_value(info, FIGURE_HENRIES, 0);
    struct element *element;
    size_t ends[2];

    if (!build_ends(info, ends))
        return;
    if (henries <= 0) {
        build_gap(builder, info, "its inductance is not known; give it a value");
        return;
    }
    element = build_two(builder, &device_inductor, info, ends, BRANCH_INDUCTANCE, false);
    element->figures[0] = henries;
    element->figures[1] = part_figure_value(info, FIGURE_OHMS, 0); /* as drawn: none */
}

static const char *ohms_of(const struct builder *builder, const struct part_info *info,
                           const struct section *section)
{
    return build_section_figure(builder->network->arena, info, section, "winding-ohms");
}

/* The sections of an output or signal transformer are so many ohms to DC; nothing is coupled. */
void build_output_transformer(struct builder *builder, const struct part_info *info)
{
    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        size_t a = build_node(section->start), b = build_node(section->end);
        bool primary = info->windings[section->winding].primary;
        double ohms = section->ohms.value;

        if (a == NO_NODE || b == NO_NODE)
            continue;
        if (section->ohms.why == NULL && ohms <= 0)
            ohms = build_assume(builder, info, ohms_of(builder, info, section), primary ? 100 : 0.5,
                                primary ? 30 : 0.1, primary ? 400 : 2,
                                "DC resistance of output transformers (common practice, no source)");
        else if (section->ohms.origin == FIGURE_ASSUMED)
            ohms = build_assume(builder, info, primary ? "winding-ohms" : "secondary-ohms", ohms,
                                section->ohms.low, section->ohms.high, section->ohms.why);
        build_resistance(builder, info, a, b, ohms, BRANCH_RESISTANCE);
        builder->network->branches[builder->network->branch_count - 1].section = section;
    }
}

static bool has_volts(const struct section *section)
{
    return section->volts.value > 0 && build_node(section->start) != NO_NODE &&
           build_node(section->end) != NO_NODE;
}

/* The current a section is made for, A: as rated, else its share of the rated VA; 0: not known. */
static double rated_amps(const struct part_info *info, const struct section *section)
{
    if (section->amps.value > 0)
        return section->amps.value;
    if (info->windings[section->winding].primary && build_has(info, FIGURE_RATED_VOLTAMPS))
        return part_figure_value(info, FIGURE_RATED_VOLTAMPS, 0) / section->volts.value;
    return 0;
}

/* Half of a regulation of 10 % falls in each winding; without a rated current, by the size of the volts. */
static double section_ohms(struct builder *builder, const struct part_info *info,
                           const struct section *section)
{
    double volts = section->volts.value, amps = rated_amps(info, section), ohms;

    if (section->ohms.value > 0 || section->ohms.why != NULL)
        return section->ohms.value;
    if (amps > 0) {
        ohms = 0.05 * volts / amps;
        return build_assume(builder, info, ohms_of(builder, info, section), ohms, ohms / 3, ohms * 2,
                            "5 % drop at the rated current (transformers of 30 to 300 VA regulate "
                            "within 6 to 20 %, half of it in each winding)");
    }
    if (info->windings[section->winding].primary) {
        ohms = 20 * volts * volts / (230 * 230);
        return build_assume(builder, info, ohms_of(builder, info, section), ohms, ohms * 0.3, ohms * 3,
                            "primaries of 100 to 200 VA have 8 to 30 ohm at 230 V (from memory)");
    }
    ohms = volts > 100 ? 80 : 0.05 * volts / 3;
    return build_assume(builder, info, ohms_of(builder, info, section), ohms, ohms * 0.25, ohms * 4,
                        volts > 100 ? "HT windings have 20 to 300 ohm a half (from memory)"
                                    : "5 % drop at 3 A (common practice, no source)");
}

/* Seen at SECTION. A magnetising current of a tenth of the full-load current, which itself drops 5 % of the volts. */
static double magnetising_henries(struct builder *builder, const struct part_info *info,
                                  const struct section *section, double ohms)
{
    double hertz = 50; /* lower than that no mains transformer is made for */
    double amps = rated_amps(info, section), henries;

    if (amps <= 0)
        amps = 0.05 * section->volts.value / (ohms > 1e-3 ? ohms : 1e-3);
    henries = section->volts.value / (6.283185307179586 * hertz * 0.1 * amps);
    return build_assume(builder, info, "magnetising-henries", henries, henries / 3, henries * 10,
                        "magnetising current is 5 to 30 % of full load in EI, under 2 % in "
                        "toroidal transformers (from memory)");
}

/* A transformer of which nothing can be computed. One without connected pins has no field to show. */
static void gap_of_windings(struct builder *builder, const struct part_info *info)
{
    const char *field = part_windings_field(builder->network->arena, info);

    if (field[0] != '\0')
        build_gap(builder, info,
                  "its windings are not known; add the field windings, with your pins and figures in "
                  "place of these: windings=\"%s\"", field);
    else
        build_gap(builder, info, "its windings are not known, and none of its pins is connected");
}

/* Sections whose volts are not known are kept as windings that the solver leaves out, for whoever follows the wires. */
static void add_unknown_sections(struct builder *builder, const struct part_info *info)
{
    size_t left_out = 0;

    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        size_t ends[2] = {build_node(section->start), build_node(section->end)};

        if (has_volts(section) || ends[0] == NO_NODE || ends[1] == NO_NODE)
            continue;
        build_two(builder, &device_open, info, ends, BRANCH_WINDING, false);
        builder->network->branches[builder->network->branch_count - 1].section = section;
        build_gap(builder, info,
                  "the volts of winding %s are not known; give them in the field windings, with your "
                  "figures in place of these: \"%s\"", info->windings[section->winding].name,
                  part_winding_field(builder->network->arena, info, section->winding));
        left_out++;
    }
    if (info->section_count == 0 && left_out == 0)
        gap_of_windings(builder, info);
}

/* The first section of the primary, else of all: where the magnetising inductance is counted. */
static size_t first_primary(const struct part_info *info, const struct section *const *known,
                            size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (info->windings[known[i]->winding].primary)
            return i;
    return 0;
}

static void add_core(struct builder *builder, const struct part_info *info,
                     const struct section **known, size_t count)
{
    struct arena *arena = builder->network->arena;
    size_t *nodes = arena_array(arena, 2 * count, sizeof *nodes);
    double *turns = arena_array(arena, count, sizeof *turns);
    double *ohms = arena_array(arena, count, sizeof *ohms);
    struct element *element;
    size_t first = first_primary(info, known, count);

    for (size_t i = 0; i < count; i++) {
        nodes[2 * i] = build_node(known[i]->start);
        nodes[2 * i + 1] = build_node(known[i]->end);
        turns[i] = known[i]->volts.value;
        ohms[i] = section_ohms(builder, info, known[i]);
    }
    element = network_add_element(builder->network, &device_transformer, info->part, nodes,
                                  2 * count);
    element->section_count = count;
    element->turns = turns;
    element->ohms = ohms;
    element->figures[0] = magnetising_henries(builder, info, known[first], ohms[first]) *
                          (turns[0] / turns[first]) * (turns[0] / turns[first]);
    for (size_t i = 0; i < count; i++)
        network_add_branch(builder->network, element, nodes[2 * i], nodes[2 * i + 1],
                           BRANCH_WINDING, false)
            ->section = known[i];
}

void build_transformer(struct builder *builder, const struct part_info *info)
{
    const struct section **known =
        arena_array(builder->network->arena, info->section_count, sizeof *known);
    size_t count = 0;

    for (size_t i = 0; i < info->section_count; i++)
        if (has_volts(&info->sections[i]))
            known[count++] = &info->sections[i];
    if (count > 0)
        add_core(builder, info, known, count);
    add_unknown_sections(builder, info);
}
