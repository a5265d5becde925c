/* Transistors, regulators, amplifiers: the current they draw. */
#include "device/build.h"

#include "circuit/circuit.h"
#include "device/device.h"

/* Whether the model card says that current flows the other way: PNP, PJF, PMOS. */
static bool is_p_type(const struct builder *builder, const struct part_info *info)
{
    const char *names[] = {info->part->symbol, info->part->value};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const struct model *model =
            names[i] != NULL ? circuit_find_model(builder->circuit, names[i]) : NULL;

        if (model != NULL && model->type != NULL)
            return model->type[0] == 'P';
    }
    return false;
}

static void add_transistor(struct builder *builder, const struct part_info *info, size_t top,
                           size_t bottom, const char *terminal)
{
    double amps = part_figure_value(info, FIGURE_IDLE_AMPS, 0);

    if (top == NO_NODE || bottom == NO_NODE)
        return;
    if (amps <= 0)
        build_gap(builder, info, "its %s current is not known; add a field idlecurrent", terminal);
    if (is_p_type(builder, info))
        build_load(builder, info, bottom, top, amps, SEMICONDUCTOR_KNEE_VOLTS);
    else
        build_load(builder, info, top, bottom, amps, SEMICONDUCTOR_KNEE_VOLTS);
}

void build_transistor(struct builder *builder, const struct part_info *info)
{
    add_transistor(builder, info, build_nth_node(info, PIN_COLLECTOR, 0),
                   build_nth_node(info, PIN_EMITTER, 0), "collector");
}

void build_fet(struct builder *builder, const struct part_info *info)
{
    add_transistor(builder, info, build_nth_node(info, PIN_DRAIN, 0),
                   build_nth_node(info, PIN_SOURCE, 0), "drain");
}

/* Its own current from input to common. What passes to the output is not solved. */
void build_regulator(struct builder *builder, const struct part_info *info)
{
    size_t input = build_nth_node(info, PIN_INPUT, 0), output = build_nth_node(info, PIN_OUTPUT, 0);
    size_t common = build_nth_node(info, PIN_COMMON, 0);
    bool negative = part_figure_value(info, FIGURE_OUTPUT_VOLTS, 0) < 0;
    double amps;

    if (input == NO_NODE) {
        build_gap(builder, info, "its input is not known or not connected");
        return;
    }
    amps = build_figure(builder, info, FIGURE_QUIESCENT_AMPS, 5e-3, 1e-3, 8e-3,
                        "three-terminal regulators take 3 to 8 mA (Fairchild LM78XX, rev 1.3.1)");
    build_load(builder, info, negative ? common : input, negative ? input : common, amps,
               SEMICONDUCTOR_KNEE_VOLTS);
    if (output == NO_NODE)
        return;
    build_load(builder, info, negative ? output : input, negative ? input : output, 0,
               SEMICONDUCTOR_KNEE_VOLTS);
    build_gap(builder, info, "what its output delivers is not solved; its input lacks that current");
}

void build_opamp(struct builder *builder, const struct part_info *info)
{
    size_t plus = build_nth_node(info, PIN_SUPPLY_PLUS, 0);
    size_t minus = build_nth_node(info, PIN_SUPPLY_MINUS, 0);

    if (plus == NO_NODE || minus == NO_NODE)
        return;
    build_load(builder, info, plus, minus,
               build_figure(builder, info, FIGURE_QUIESCENT_AMPS, 5e-3, 1.4e-3, 16e-3,
                            "operational amplifiers take 1.4 mA (one TL07x) to 16 mA (NE5532)"),
               SEMICONDUCTOR_KNEE_VOLTS);
}
