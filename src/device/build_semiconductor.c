/* Regulators and amplifiers. */
#include "device/build.h"

#include "circuit/circuit.h"
#include "device/device.h"

/* Low drop: a pass element that is all resistance. V, and the share of the dropout at the rated current that is there without any. */
#define LOW_DROP_VOLTS 1.2
#define LOW_DROP_SHARE 0.2
#define USUAL_SHARE 0.75
/* The current limit by the rated current where a sheet gives none, from memory. */
#define LIMIT_SHARE 2.2

/* The pass element of the 78xx and LM317 drops 2 V at the rated current, of which three quarters are junctions'. */
static void set_pass(struct builder *builder, const struct part_info *info, double *figures)
{
    double dropout = build_figure(builder, info, FIGURE_DROPOUT_VOLTS, 2, 0.5, 3,
                                  "regulators need 2 V, low-drop types 0.5 V (Fairchild, LM78XX, rev. 1.3.1)");
    double rated = build_figure(builder, info, FIGURE_RATED_AMPS, 1, 0.1, 1.5,
                                "three-terminal regulators are made for 0.1 to 1.5 A");
    double still = dropout * (dropout < LOW_DROP_VOLTS ? LOW_DROP_SHARE : USUAL_SHARE);

    figures[1] = still;
    figures[2] = (dropout - still) / rated;
    figures[3] = build_figure(builder, info, FIGURE_LIMIT_AMPS, LIMIT_SHARE * rated, rated, 3 * rated,
                              "regulators limit at 1.5 to 3 times their rated current (from memory)");
    figures[4] = part_figure_value(info, FIGURE_LIMIT_WATTS, 0);
}

/* What passes to the output; without the volts it holds a branch that conducts nothing. */
static void add_pass(struct builder *builder, const struct part_info *info, size_t input,
                     size_t output, size_t common, double volts)
{
    size_t nodes[] = {input, output, common};
    struct element *element;
    bool negative = volts < 0;

    if (volts == 0 || common == NO_NODE) {
        build_load(builder, info, input, output, 0, SEMICONDUCTOR_KNEE_VOLTS);
        build_gap(builder, info, "%s, so what its output delivers is not solved; its input lacks that current",
                  volts == 0 ? "the volts it holds are not known (give its type number or a field "
                               "outputvoltage)"
                             : "its common pin is not known or not connected");
        return;
    }
    element = network_add_element(builder->network, &device_regulator, info->part, nodes, 3);
    element->figures[0] = volts;
    set_pass(builder, info, element->figures);
    network_add_branch(builder->network, element, negative ? output : input,
                       negative ? input : output, BRANCH_LOAD, true);
}

/* Its own current from input to common, and what it passes. */
void build_regulator(struct builder *builder, const struct part_info *info)
{
    size_t input = build_nth_node(info, PIN_INPUT, 0), output = build_nth_node(info, PIN_OUTPUT, 0);
    size_t common = build_nth_node(info, PIN_COMMON, 0);
    double volts = part_figure_value(info, FIGURE_OUTPUT_VOLTS, 0), amps;

    if (input == NO_NODE) {
        build_gap(builder, info, "its input is not known or not connected");
        return;
    }
    amps = build_figure(builder, info, FIGURE_QUIESCENT_AMPS, 5e-3, 1e-3, 8e-3,
                        "three-terminal regulators take 3 to 8 mA (Fairchild LM78XX, rev 1.3.1)");
    build_load(builder, info, volts < 0 ? common : input, volts < 0 ? input : common, amps,
               SEMICONDUCTOR_KNEE_VOLTS);
    if (output != NO_NODE)
        add_pass(builder, info, input, output, common, volts);
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
