#include "parts/parts.h"

#include <math.h>

#include "base/arena.h"

const struct figure_row figure_rows[FIGURE_COUNT] = {
    [FIGURE_OHMS] = {"ohms", UNIT_OHM, "resistance; of a choke, lamp or fuse its DC resistance"},
    [FIGURE_FARADS] = {"farads", UNIT_FARAD, "capacitance"},
    [FIGURE_HENRIES] = {"henries", UNIT_HENRY, "inductance"},
    [FIGURE_TOLERANCE] = {"tolerance", UNIT_PERCENT, "tolerance either way"},
    [FIGURE_WIPER] = {"wiper", UNIT_PERCENT,
                      "share of the track's resistance between its first end and the wiper"},
    [FIGURE_RATED_VOLTS] = {"rated-volts", UNIT_VOLT, "largest working voltage"},
    [FIGURE_RATED_WATTS] = {"rated-watts", UNIT_WATT, "largest dissipation"},
    [FIGURE_RATED_AMPS] = {"rated-amps", UNIT_AMP, "largest continuous current"},
    [FIGURE_RATED_VOLTAMPS] = {"rated-voltamps", UNIT_VOLTAMP, "apparent power of a transformer"},
    [FIGURE_SATURATION_AMPS] = {"saturation-amps", UNIT_AMP, "IS of the diode equation"},
    [FIGURE_EMISSION] = {"emission", UNIT_NONE, "N of the diode equation"},
    [FIGURE_SERIES_OHMS] = {"series-ohms", UNIT_OHM, "RS of the diode equation"},
    [FIGURE_REVERSE_VOLTS] = {"reverse-volts", UNIT_VOLT, "largest repetitive reverse voltage"},
    [FIGURE_AVERAGE_AMPS] = {"average-amps", UNIT_AMP,
                             "largest mean forward current; of a rectifier valve, both anodes"},
    [FIGURE_SURGE_AMPS] = {"surge-amps", UNIT_AMP, "largest single half-cycle, peak"},
    [FIGURE_SURGE_I2T] = {"surge-i2t", UNIT_NONE, "largest I2t under 10 ms, A2s"},
    [FIGURE_ZENER_VOLTS] = {"zener-volts", UNIT_VOLT, "nominal breakdown voltage"},
    [FIGURE_PERVEANCE] = {"perveance", UNIT_NONE, "A/V^1.5 per anode"},
    [FIGURE_ARC_VOLTS] = {"arc-volts", UNIT_VOLT, "constant drop of a gas rectifier"},
    [FIGURE_PEAK_AMPS] = {"peak-amps", UNIT_AMP, "largest peak current per anode"},
    [FIGURE_LEAST_SERIES_OHMS] = {"least-series-ohms", UNIT_OHM,
                                  "least source resistance per anode at the largest voltage"},
    [FIGURE_LARGEST_RESERVOIR] = {"largest-reservoir", UNIT_FARAD, "largest reservoir capacitor"},
    [FIGURE_HEATER_VOLTS] = {"heater-volts", UNIT_VOLT, "heater, sections in parallel"},
    [FIGURE_HEATER_AMPS] = {"heater-amps", UNIT_AMP, "heater of the whole valve, in parallel"},
    [FIGURE_IDLE_AMPS] = {"idle-amps", UNIT_AMP, "anode or collector current per section, idle"},
    [FIGURE_SCREEN_AMPS] = {"screen-amps", UNIT_AMP, "screen-grid current, idle"},
    [FIGURE_ANODE_VOLTS] = {"anode-volts", UNIT_VOLT, "largest anode volts, conducting"},
    [FIGURE_ANODE_COLD_VOLTS] = {"anode-cold-volts", UNIT_VOLT, "largest anode volts, no current"},
    [FIGURE_ANODE_WATTS] = {"anode-watts", UNIT_WATT, "largest anode dissipation, per section"},
    [FIGURE_SCREEN_VOLTS] = {"screen-volts", UNIT_VOLT, "largest screen volts, conducting"},
    [FIGURE_SCREEN_COLD_VOLTS] = {"screen-cold-volts", UNIT_VOLT, "largest screen volts, no current"},
    [FIGURE_SCREEN_WATTS] = {"screen-watts", UNIT_WATT, "largest screen dissipation"},
    [FIGURE_BOTH_ANODES_WATTS] = {"both-anodes-watts", UNIT_WATT,
                                  "largest dissipation of both anodes together"},
    [FIGURE_ANODE_SCREEN_WATTS] = {"anode-screen-watts", UNIT_WATT,
                                   "largest dissipation of anode and screen together"},
    [FIGURE_CATHODE_AMPS] = {"cathode-amps", UNIT_AMP, "largest mean cathode current, per section"},
    [FIGURE_GRID_LEAK_SELF] = {"grid-leak-self", UNIT_OHM,
                               "largest grid leak, biased by a cathode resistor"},
    [FIGURE_GRID_LEAK_FIXED] = {"grid-leak-fixed", UNIT_OHM, "largest grid leak, fixed bias"},
    [FIGURE_HEATER_CATHODE_VOLTS] = {"heater-cathode-volts", UNIT_VOLT,
                                     "most between heater and cathode, cathode positive"},
    [FIGURE_TRIODE_ANODE_VOLTS] = {"triode-anode-volts", UNIT_VOLT,
                                   "largest anode volts of a triode-pentode's triode"},
    [FIGURE_TRIODE_ANODE_WATTS] = {"triode-anode-watts", UNIT_WATT,
                                   "largest anode dissipation of a triode-pentode's triode"},
    [FIGURE_TRIODE_CATHODE_AMPS] = {"triode-cathode-amps", UNIT_AMP,
                                    "largest mean cathode current of a triode-pentode's triode"},
    [FIGURE_TRIODE_GRID_LEAK_SELF] = {"triode-grid-leak-self", UNIT_OHM,
                                      "as grid-leak-self, of a triode-pentode's triode"},
    [FIGURE_TRIODE_GRID_LEAK_FIXED] = {"triode-grid-leak-fixed", UNIT_OHM,
                                       "as grid-leak-fixed, of a triode-pentode's triode"},
    [FIGURE_HEATER_COLD_RATIO] = {"heater-cold-ratio", UNIT_NONE,
                                  "resistance of the cold heater by that of the hot one"},
    [FIGURE_TRIODE_MU] = {"triode-mu", UNIT_NONE, "mu of the triode equation"},
    [FIGURE_TRIODE_EXPONENT] = {"triode-exponent", UNIT_NONE, "Ex of the triode equation"},
    [FIGURE_TRIODE_KG1] = {"triode-kg1", UNIT_NONE, "Kg1 of the triode equation, V^Ex/A"},
    [FIGURE_TRIODE_KP] = {"triode-kp", UNIT_NONE, "Kp of the triode equation"},
    [FIGURE_TRIODE_KVB] = {"triode-kvb", UNIT_NONE, "Kvb of the triode equation, V^2"},
    [FIGURE_TRIODE_VCT] = {"triode-vct", UNIT_VOLT, "contact potential of the triode equation"},
    [FIGURE_PENTODE_MU] = {"pentode-mu", UNIT_NONE, "mu of the pentode equation, grid to screen"},
    [FIGURE_PENTODE_EXPONENT] = {"pentode-exponent", UNIT_NONE, "Ex of the pentode equation"},
    [FIGURE_PENTODE_KG1] = {"pentode-kg1", UNIT_NONE, "Kg1 of the pentode equation, V^Ex/A"},
    [FIGURE_PENTODE_KP] = {"pentode-kp", UNIT_NONE, "Kp of the pentode equation"},
    [FIGURE_PENTODE_KVB] = {"pentode-kvb", UNIT_VOLT, "Kvb of the pentode equation"},
    [FIGURE_PENTODE_KG2] = {"pentode-kg2", UNIT_NONE, "Kg2 of the pentode equation, V^Ex/A"},
    [FIGURE_PENTODE_SCREEN_POWER] = {"pentode-screen-power", UNIT_NONE,
                                     "power of screen to anode volts in the screen's current"},
    [FIGURE_LOAD_AMPS] = {"load-amps", UNIT_AMP, "current drawn by a part that stands for a load"},
    [FIGURE_OUTPUT_VOLTS] = {"output-volts", UNIT_VOLT, "regulated output, signed"},
    [FIGURE_QUIESCENT_AMPS] = {"quiescent-amps", UNIT_AMP, "current of its own, no load"},
    [FIGURE_DROPOUT_VOLTS] = {"dropout-volts", UNIT_VOLT, "least input above output"},
    [FIGURE_LARGEST_INPUT_VOLTS] = {"largest-input-volts", UNIT_VOLT, "largest input of a regulator, against common"},
    [FIGURE_LARGEST_ACROSS_VOLTS] = {"largest-across-volts", UNIT_VOLT, "most between input and output of a regulator"},
    [FIGURE_LIMIT_AMPS] = {"limit-amps", UNIT_AMP, "current limit of a regulator, at little headroom"},
    [FIGURE_LIMIT_WATTS] = {"limit-watts", UNIT_WATT,
                            "what a regulator's safe-area protection allows; the limit falls with it"},
    [FIGURE_POLARITY] = {"polarity", UNIT_NONE, "1: NPN or N channel; -1: PNP or P channel"},
    [FIGURE_FORWARD_GAIN] = {"forward-gain", UNIT_NONE, "BF: collector by base current"},
    [FIGURE_REVERSE_GAIN] = {"reverse-gain", UNIT_NONE, "BR: the same with emitter and collector exchanged"},
    [FIGURE_EARLY_VOLTS] = {"early-volts", UNIT_VOLT, "VAF; 0: the collector's volts do not count"},
    [FIGURE_THRESHOLD_VOLTS] = {"threshold-volts", UNIT_VOLT,
                                "gate to source where the channel begins to conduct, signed as on the sheet"},
    [FIGURE_TRANSCONDUCTANCE] = {"transconductance", UNIT_NONE,
                                 "KP of a channel's square law, A/V^2; of a junction gate 2 BETA"},
    [FIGURE_CHANNEL_LAMBDA] = {"channel-lambda", UNIT_NONE, "channel-length modulation, 1/V"},
    [FIGURE_COIL_OHMS] = {"coil-ohms", UNIT_OHM, "relay coil"},
    [FIGURE_COLD_OHMS] = {"cold-ohms", UNIT_OHM, "resistance before current has warmed the part"},
    [FIGURE_DC_VOLTS] = {"dc-volts", UNIT_VOLT, "mean voltage of a source"},
    [FIGURE_AC_PEAK_VOLTS] = {"ac-peak-volts", UNIT_VOLT, "amplitude of a source"},
    [FIGURE_HERTZ] = {"hertz", UNIT_HERTZ, "frequency of a source"},
    [FIGURE_PHASE] = {"phase", UNIT_NONE, "phase of a source, rad"},
    [FIGURE_DC_AMPS] = {"dc-amps", UNIT_AMP, "mean current of a current source"},
};

const struct figure *part_figure(const struct part_info *info, enum figure_id id)
{
    for (size_t i = 0; i < info->figure_count; i++)
        if (info->figures[i].id == id)
            return &info->figures[i];
    return NULL;
}

double part_figure_value(const struct part_info *info, enum figure_id id, double otherwise)
{
    const struct figure *figure = part_figure(info, id);

    return figure != NULL ? figure->value : otherwise;
}

double part_section_amps(const struct part_info *info, const struct section *section)
{
    const struct winding *winding = &info->windings[section->winding];
    double voltamps = part_figure_value(info, FIGURE_RATED_VOLTAMPS, 0);
    size_t primaries = 0;

    if (section->amps.value > 0)
        return section->amps.value;
    for (size_t i = 0; i < info->winding_count; i++)
        primaries += info->windings[i].primary;
    if (!winding->primary || primaries != 1 || winding->section_count != 1 || !(section->volts.value > 0) || !(voltamps > 0))
        return NAN;
    return voltamps / section->volts.value;
}

static struct figure *figure_slot(struct arena *arena, struct part_info *info, enum figure_id id)
{
    for (size_t i = 0; i < info->figure_count; i++)
        if (info->figures[i].id == id)
            return &info->figures[i];
    info->figures = arena_grow(arena, info->figures, &info->figure_capacity, info->figure_count,
                               sizeof *info->figures);
    return &info->figures[info->figure_count++];
}

void part_set_figure(struct arena *arena, struct part_info *info, enum figure_id id, double value,
                     double low, double high, enum figure_origin origin, const char *why)
{
    *figure_slot(arena, info, id) = (struct figure){
        .id = id, .value = value, .low = low, .high = high, .origin = origin, .why = why};
}
