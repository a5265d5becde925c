/* Parts as public netlists have them: every value that was seen on a kind of part with every symbol, reference and set of pins
 * that was seen on it. Each must be told for what it is; a doubtful one may stay unknown, with what would settle it, but is never
 * taken for something else. Spellings of public netlists (common practice, no source). */
#include <config.h>

#include "made_circuit.h"

enum { SHAPES_MOST = 16, VALUES_MOST = 48 };

static const struct sort {
    const char *name;
    enum part_kind kinds[2]; /* either */
    size_t unknown;          /* so many may stay unknown */
    struct shape {
        const char *ref, *symbol, *library, *footprint, *pins;
    } shapes[SHAPES_MOST];
    const char *values[VALUES_MOST]; /* "" is none */
} sorts[] = {
    {"fuse", {PART_FUSE}, 0,
     {{"F1", "FUSE", NULL, NULL, "1 2"}, {"F2", "FUSE-HOLDER", NULL, "fuse_holder_CQ-2", "1 2"},
      {"F3", "Fuse", "Device", "Fuse_Holder_509200", "1 2"}, {"F4", "F_Small", "Device", NULL, "1 2"}, {"F1", "Fuse_Small", NULL, NULL, "1 2"},
      {"F1", "F_Small-amp-rescue", NULL, NULL, "1 2"}, {"F1", "fuse-2.sym", NULL, "3557-2", "1 2"}, {"F1", NULL, NULL, NULL, "1 2"},
      {"FUSE", NULL, NULL, "Fuseholder_Cylinder-6.3x32mm", "1 2"}},
     {"", "Fuse", "F_Small", "1A SB", "2A slo-blo", "1A Slow", "3A Slow", "500mAT", "T1A", "T1.25A", "T2A", "T500mA", "1A", "2A", "3A",
      "4A", "0.6A", "200mA", "F_5A", "F_10A", "2 A", "3 A", "1 A slo-blo", "3.15 A slow-blow", "\xC2\xBE A", "\xC2\xBD A", "T500 mA",
      "T2 A", "FUSE", "T1,6A", "2A/250V", "630mA T"}},
    {"capacitor", {PART_CAPACITOR}, 0,
     {{"C7", "CP", "Device", "CP_Radial_D10.0mm", "1 2"}, {"CK", "C", NULL, NULL, "1 2"}, {"C1", "CAPAPOL", NULL, NULL, "1 2"}},
     {"", "Fuse", "22n", ".022u", "680\xC2\xB5" "F", "1nF/450V", "100nF / 63V", "20u 600V", "50+50u", "47,0 x 450V", "0,1", "TBD", "*", "CP"}},
    {"test-point", {PART_TEST_POINT}, 0,
     {{"F5A", "TESTPOINT", NULL, "TPTHRU", "1"}, {"F6.3CT", "TESTPOINT", NULL, NULL, "1"}, {"TP44", "TESTPOINT", NULL, NULL, "1"}}, {""}},
    {"inlet", {PART_INLET, PART_FEED}, 0,
     {{"J1", "IEC_60320_C14_Receptacle", NULL, NULL, "1:L 2:N 3:PE"}, {"J1", "Conn_WallSocket_Earth", NULL, NULL, "1:L 2:N 3:PE"},
      {"CONN1", "mains-entry-1", NULL, NULL, "1 2 3"}, {"MAIN", "mains-entry-1", NULL, NULL, "1 2 3"}, {"MS", "mains-plug-2", NULL, NULL, "1 2"}},
     {"", "Conn_WallSocket_Earth", "N/E/L", "MAINS_ENTRY", "MAINS_CONNECTOR"}},
    {"transformer", {PART_TRANSFORMER, PART_OUTPUT_TRANSFORMER}, 0,
     {{"T1", "OT_PP", NULL, NULL, "1:AA 2:AB 3:CT 4:SA 5:SB"}, {"T2", "PT", NULL, NULL, "1 2 3 4 5 6 7"}, {"T1", "OT_SE", NULL, NULL, "1 2 3 4"},
      {"TR1", "TRANSFORMER-3-2", NULL, NULL, "1 2 3 4 5"}, {"T3", "TRANSFORMER-2-2", NULL, NULL, "1 2 3 4"},
      {"T1", "Transformer_1P_2S", "Device", "PinHeader_1x05", "1:AA 2:AB 3:SA 4:SB 5:SC 6:SD"},
      {"T1", "Transformer_1P_SS", NULL, NULL, "1:AA 2:AB 3:SA 4:SC 5:SB"}, {"T4", "Transformer_SP_S2S", NULL, NULL, "1 2 3 4 5 6"},
      {"T2", "Transformer_Audio", NULL, NULL, "1:AA 2:AB 3:SA 4:SB"}, {"T2", "TRANSF1", NULL, NULL, "1 2 3 4"}},
     {"", "290AX", "8k:8", "SE 5k:8", "4k a-a", "8k p-p / 20W", "4\xCE\xA9", "280-0-280 V", "125P34A \xC2\xB7 340-0-340 V", "OT", "PP OT",
      "Trafo", "\xC3\x9C" "bertrager", "Transformer", "n/a", "part not legible", "~"}},
    {"choke", {PART_CHOKE}, 0,
     {{"L1", "CHOKE", NULL, NULL, "1 2"}, {"T2", "CHOKE", NULL, NULL, "1 2"}, {"CH1", "CHOKE", NULL, NULL, "1 2"},
      {"L1", "L_Iron", "Device", NULL, "1 2"}, {"L1", "L_Core_Iron", NULL, NULL, "1 2"}, {"TR2", "CHOKE", NULL, NULL, "1 2"}},
     {"", "125C1A", "choke", "CH.", "10-20H", "20H", "14684", "L_Iron", "Drossel", "~"}},
    {"triode", {PART_TRIODE}, 0,
     {{"V1", "TRIODE", "valves", "Valve_Noval_P", "1:A 2:G 3:K"}, {"U1", "ECC83", "Valve", "NOVAL", "1:A 2:G 3:K"}, {"V2", NULL, NULL, NULL, "1 2 3"},
      {"T1", "TRIODE", NULL, NULL, "1:A 2:G 3:K"}, {"V1", "TRIODE", NULL, NULL, "1:~ 2:~ 3:~"}},
     {"ECC83", "12AX7", "12AT7", "ECC82", "12AY7", "ECC82/12AU7", "6N1P", "6S52N-V", "12AX7 CF", "ECC83 osc", "ECC82 mod"}},
    {"pentode", {PART_PENTODE}, 0,
     {{"V1", "PENTODE", "tubes", "Valve_Octal", "1:A 2:G1 3:K 4:G2"}, {"X1", "EL34", "ru_valves", "OKTAL", "3:A 5:G1 8:K 4:G2 2:F1 7:F2"},
      {"U3", "EL84", "Valve", NULL, "7:A 2:G1 3:K 9:G2"}, {"V2", NULL, NULL, NULL, "3 4 5 8"}},
     {"6V6GT", "KT88", "6L6GC", "KT66", "EL84", "5881", "EF86", "6973", "EL34", "EL84/6BQ5", "6P14P", "7591s"}},
    {"rectifier valve", {PART_RECTIFIER_VALVE}, 0,
     {{"V6A", "DIODE_TUBE", NULL, NULL, "1:A 2:K"}, {"V5", "5U4GB", NULL, "Valve_Octal", "2 4 6 8"}, {"X1", "GZ34-2", NULL, NULL, "2 4 6 8"},
      {"V1", NULL, NULL, NULL, "2 4 6 8"}},
     {"GZ34", "5Y3GT", "5U4GA", "5U4GB", "5U4G", "EZ81", "83", "EZ80/6V4", "GZ34 (5AR4)"}},
    {"bridge", {PART_BRIDGE}, 0,
     {{"D1", "D_Bridge_+-AA", "Device", "Diode_Bridge_Vishay_GBL", "1:+ 2:- 3:~ 4:~"}, {"BR1", "BRIDGE", NULL, "bridge_DFM", "1 2 3 4"},
      {"U1", "BridgeRectRound", NULL, "GBPC-W", "1:+ 2:~~ 3:- 4:~~"}, {"D1", "B125C1500G-Diode_Bridge", NULL, "rect_bridge_4x24", "1:+ 2:- 3:~ 4:~"}},
     {"", "~", "4 x 1N4007", "BRIDGE", "Bridge", "400V/25A", "35A/200A", "DF10-G"}},
    {"diode", {PART_DIODE}, 0,
     {{"D1", "D", "Device", "D_DO-41_SOD81", "1:K 2:A"}, {"DR1", "DIODE_SS", NULL, NULL, "1 2"}, {"D1", "D_Schottky", NULL, "TO-220-2", "1:K 2:A"},
      {"D2", "1N4007", NULL, "DO-41", "1:K 2:A"}},
     {"", "1N4007", "MBR1645", "1N4004", "1N4001", "18TQ045", "UF5408", "BY359-1500", "BY228", "1N5408", "SEL", "selenium", "Si", "Si x3",
      "IS107", "A10D10", "1008"}},
    {"jack", {PART_JACK}, 0,
     {{"J1", "JACK", NULL, "JACK-NMJ4HCD2", "1 2"}, {"JSPK", "JACK", NULL, NULL, "1 2"}, {"J2", "Conn_Coaxial", "Connector", "RCA", "1 2"},
      {"J1", "JACK-MONOSW", NULL, "BTOR1", "1 2 3"}, {"J1", "AudioJack2", NULL, NULL, "T S"}, {"J3", "AudioJack2_SwitchT", NULL, NULL, "T S TN"},
      {"J4", "CONN-JACK-1/4\"", NULL, NULL, "1 2"}, {"J4", "CONN-JACK-XLR-3", NULL, NULL, "1 2 3"}, {"J8", "SpeakON_NL2", NULL, NULL, "1 2"},
      {"H1", "JACK", NULL, NULL, "1 2"}, {"JREV", "JACK", NULL, NULL, "1 2"}},
     {"", "1/4 in", "Jack 6.3mm", "INPUT", "SEND", "RETURN", "SPEAKER", "OUTPUT", "Line IN", "4", "Speaker 4\xCE\xA9", "spkr", "ext spkr",
      "In_R1", "Conn_Left_Channel", "vibrato fsw", "~"}},
    {"power socket", {PART_CONNECTOR, PART_FEED}, 0,
     {{"J5", "Barrel_Jack", "Connector", "BarrelJack_Horizontal", "1 2"}, {"J5", "pwrjack", NULL, NULL, "1 2"}}, {"", "DC9V", "12V", "~"}},
    {"switch", {PART_SWITCH, PART_STANDBY_SWITCH}, 0,
     {{"SW1", "SWITCH", NULL, "PinHeader_1x02", "1 2"}, {"S1", "SWITCH-PANEL-SPST", NULL, NULL, "1 2"}, {"SW2", "SW_SPDT", NULL, NULL, "1 2 3"},
      {"SW1", "SW_DPST_x2", NULL, NULL, "1 2 3 4"}, {"SW1", "SW_DPDT_x2", NULL, NULL, "1 2 3 4 5 6"}, {"U7", "SW-SPST", NULL, NULL, "1 2"},
      {"SWSTBY", "SWITCH", NULL, NULL, "1 2"}, {"SWGND", "SWITCH", NULL, NULL, "1 2"}, {"SEL", "SWITCH", NULL, NULL, "1 2 3"}},
     {"", "Standby", "STANDBY", "POWER", "AC", "AC sw", "DPST", "SPST", "SPDT", "BRIGHT", "240/220/120", "16/8/4", "gnd sw", "P/T"}},
    {"relay", {PART_RELAY}, 0,
     {{"K1", "FINDER-30.22", "Relay", "Relay_DPDT_Finder_30.22", "1 2 3 4 5"}, {"RLY", "G6E", "Relay", NULL, "1 2 3 4 5"}},
     {"FINDER-30.22", "G6E", "RELAY_40.51", "ADW11", ""}},
    {"lamp", {PART_LAMP}, 0, {{"PL1", "LAMP", NULL, NULL, "1 2"}, {"GL1", "INDICATOR-NEON-BULB-NE2", NULL, NULL, "1 2"}}, {"", "6.3 V", "pilot"}},
    {"feed", {PART_FEED}, 0,
     {{"P1", "CONN_2", NULL, NULL, "1 2"}, {"J1", "CONN_01X01", NULL, NULL, "1"}, {"P3", "Conn_01x02", "Connector", "PinHeader_1x02", "1 2"},
      {"J7", "Screw_Terminal_01x01", "Connector", NULL, "1"}},
     {"320V_AC", "133V_AC", "230V_AC", "450VAC_In", "6V3_AC", "7V5_AC", "12V5_AC", "HT_AC", "BIAS_AC", "HT", "+450V", "HEAT", "B+"}},
    {"connector", {PART_CONNECTOR}, 0,
     {{"P1", "CONN_2", NULL, NULL, "1 2"}, {"J1", "CONN_01X01", NULL, NULL, "1"}, {"P3", "Conn_01x02", "Connector", "PinHeader_1x02", "1 2"},
      {"J7", "Screw_Terminal_01x01", "Connector", NULL, "1"}},
     {"", "R+", "R-", "Red1", "OT pur", "Choke1", "Stabi", "EARTH", "Chassis_GND", "GND"}},
};
enum { SORTS = sizeof sorts / sizeof *sorts };

/* INFO is a part of SORT with the symbol SHAPE; true if it stays unknown. */
static bool is_unknown(const struct sort *sort, const struct shape *shape, const struct part_info *info)
{
    const char *value = info->part->value != NULL ? info->part->value : "";
    bool unknown = info->kind == PART_UNKNOWN;
    size_t decided = 0;

    ck_assert_msg(unknown || info->kind == sort->kinds[0] || info->kind == sort->kinds[1],
                  "%s %s \"%s\", %s is taken for a %s", sort->name, shape->ref, value,
                  shape->symbol != NULL ? shape->symbol : "no symbol", part_kind_name(info->kind));
    for (size_t i = 0; i < info->witness_count; i++)
        decided += info->witnesses[i].decided;
    ck_assert_msg(unknown ? info->doubt != NULL : decided == 1, "%s %s \"%s\": %zu witnesses carried it", sort->name,
                  shape->ref, value, decided);
    return unknown;
}

/* The parts of SORT with the symbol SHAPE and each value; how many stay unknown. */
static size_t count_unknown(const struct sort *sort, const struct shape *shape)
{
    struct made made = made_start();
    size_t unknown = 0;

    for (size_t i = 0; i < VALUES_MOST && sort->values[i] != NULL; i++) {
        const char *value = sort->values[i];
        struct part *part = made_part(&made, arena_print(made.arena, "%s (%zu)", shape->ref, i),
                                      *value != '\0' ? value : NULL, shape->symbol);

        part->own_ref = shape->ref;
        part->library = shape->library;
        part->footprint = shape->footprint;
        made_pins(&made, part, shape->pins);
    }
    made_recognise(&made);
    for (size_t i = 0; i < made.parts->count; i++)
        unknown += is_unknown(sort, shape, &made.parts->items[i]);
    made_end(&made);
    return unknown;
}

START_TEST(kind_is_told)
{
    const struct sort *sort = &sorts[_i];
    size_t unknown = 0;

    for (size_t i = 0; i < SHAPES_MOST && sort->shapes[i].ref != NULL; i++)
        unknown += count_unknown(sort, &sort->shapes[i]);
    ck_assert_msg(unknown <= sort->unknown, "%s: %zu stay unknown", sort->name, unknown);
}
END_TEST

Suite *check_dirt_suite(void);

Suite *check_dirt_suite(void)
{
    Suite *suite = suite_create("dirt");
    TCase *tests = tcase_create("table");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, kind_is_told, 0, SORTS);
    suite_add_tcase(suite, tests);
    return suite;
}
