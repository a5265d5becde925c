#include <config.h>

#include "made_circuit.h"

/* What a part looks like and what it is. Spellings are those of public netlists (common practice,
 * no source). */
static const struct row {
    const char *ref, *value, *library, *symbol, *prefix, *pins;
    enum part_kind kind;
    const char *type; /* NULL: not asked */
} rows[] = {
    /* fuses */
    {"F1", "1A SB", NULL, "FUSE", NULL, "1 2", PART_FUSE, NULL},
    {"F1", NULL, NULL, "F_Small", "F", "1 2", PART_FUSE, NULL},
    {"F1", "Fuse", "Device", "Fuse", "F", "1 2", PART_FUSE, NULL},
    {"FUSE", "3A Slow", NULL, "Fuse_Small", NULL, "1 2", PART_FUSE, NULL},
    {"F2", "F_Small", NULL, "F_Small-power_amp-rescue", "F", "1 2", PART_FUSE, NULL},
    {"F3", "500mAT", NULL, "fuse-2.sym", NULL, "1 2", PART_FUSE, NULL},
    {"F4", "T1.25A", NULL, "FUSE-HOLDER", "F", "1 2", PART_FUSE, NULL},
    {"F5", "2A slo-blo", NULL, NULL, NULL, "1 2", PART_FUSE, NULL},
    {"F6", "T315mAL250V", NULL, NULL, NULL, "1 2", PART_FUSE, NULL},
    {"F7", "\xC2\xBE A slo-blo", NULL, "FUSE", NULL, "1 2", PART_FUSE, NULL},
    {"FUSE1", "0.1", NULL, NULL, NULL, "1 2", PART_FUSE, NULL},
    {"F8", NULL, NULL, "FUSE-HOLDER", NULL, "1 2", PART_FUSE, NULL},
    /* not fuses */
    {"F5A", NULL, NULL, "TESTPOINT", "TP", "1", PART_TEST_POINT, NULL},
    {"F12.6B", NULL, NULL, "TESTPOINT", NULL, "1", PART_TEST_POINT, NULL},
    {"F6.3CT", NULL, NULL, "TESTPOINT", NULL, "1", PART_TEST_POINT, NULL},
    {"C7", "Fuse", NULL, "C", "C", "1 2", PART_CAPACITOR, NULL},
    {"C7", "Fuse", NULL, "CP", NULL, "1 2", PART_CAPACITOR, NULL},
    {"C7", "Fuse", NULL, NULL, NULL, "1 2", PART_UNKNOWN, NULL},
    {"J3", "B++ (fuse)", NULL, "CONN_2", "J", "1 2", PART_FEED, NULL},
    {"T1", "EL34", NULL, "PENTODE", "T", "1:A 2:G2 3:G1 4:K", PART_PENTODE, "EL34"},
    {"T2", "choke", NULL, "CHOKE", "T", "1 2", PART_CHOKE, NULL},
    {"T2", "10-20H", NULL, "CHOKE", NULL, "1 2", PART_CHOKE, NULL},
    {"V3", "6V6GT", "valves", "EL84", "V", "7:A 9:G2 2:G1 3:K", PART_PENTODE, "6V6GT"},
    {"V1", "ECC82", "Valve", "ECC83", "U", "6:A 7:G 8:K", PART_TRIODE, "ECC82"},
    {"J5", NULL, "Connector", "Barrel_Jack", "J", "1 2", PART_CONNECTOR, NULL},
    {"J5", "RETURN", "Connector", "Barrel_Jack", "J", "1 2", PART_JACK, NULL},
    {"R12", "83", "Device", "R", "R", "1 2", PART_RESISTOR, NULL},
    /* mains */
    {"J1", "IEC", NULL, "IEC_60320_C14_Receptacle", "J", "1:L 2:N 3:PE", PART_INLET, "C14"},
    {"J1", "Conn_WallSocket_Earth", NULL, "Conn_WallSocket_Earth", "J", "1:L 2:N 3:E", PART_INLET,
     NULL},
    {"CONN1", NULL, NULL, "mains-entry-1", "CONN", "1 2 3", PART_INLET, NULL},
    {"MAIN", NULL, NULL, "mains-plug-2", NULL, "1 2 3", PART_INLET, NULL},
    {"P1", "230V_AC", NULL, "CONN3", "P", "1 2 3", PART_FEED, NULL},
    {"U4", NULL, NULL, "OUTLET-RECEPTABLE-SINGLE", "U", "1 2 3", PART_CONNECTOR, NULL},
    {"J2", "N/E/L", NULL, NULL, NULL, "1:L 2:N 3:E", PART_INLET, NULL},
    /* transformers */
    {"T1", NULL, NULL, "PT", "T", "1 2 3 4", PART_TRANSFORMER, NULL},
    {"T1", "280-0-280 V", NULL, "Transformer_1P_2S", "T", "1 2 3 4", PART_TRANSFORMER, NULL},
    {"T2", "8k:8", NULL, "OT_SE", "T", "1 2 3 4", PART_OUTPUT_TRANSFORMER, NULL},
    {"T2", "SE 5k:8", NULL, "TEZ0.5-D-1", "T", "1 2 3 4", PART_OUTPUT_TRANSFORMER, NULL},
    {"T2", "4k a-a", NULL, "OT_PP", "T", "1 2 3 4 5", PART_OUTPUT_TRANSFORMER, NULL},
    {"T2", "8k p-p / 20W", NULL, NULL, NULL, "1 2 3 4 5", PART_OUTPUT_TRANSFORMER, NULL},
    {"TR1", "Trafo", NULL, "TRANSFORMER-3-2", "TR", "1 2 3 4 5", PART_TRANSFORMER, NULL},
    {"T3", "PP OT", NULL, "TRANSFORMER-2-2", "T", "1 2 3 4", PART_OUTPUT_TRANSFORMER, NULL},
    {"T1",
     "\xC3\x9C"
     "bertrager",
     NULL, "TRANSF1", "T", "1 2 3 4", PART_TRANSFORMER, NULL},
    {"T4", NULL, NULL, "DualPwrTrf", "T", "1 2 3 4", PART_TRANSFORMER, NULL},
    {"T5", NULL, NULL, "RackOPT", "T", "1 2 3 4", PART_OUTPUT_TRANSFORMER, NULL},
    {"T1", NULL, NULL, NULL, "T", "1:AA 2:AB 3:SA 4:SB", PART_TRANSFORMER, NULL},
    {"T1", "230 V 120 VA", NULL, "Transformer_Mains", NULL, "1 2 3 4", PART_TRANSFORMER, NULL},
    {"T2", "5k6:8", NULL, "OT_PP", NULL, "1 2 3 4 5", PART_OUTPUT_TRANSFORMER, NULL},
    {"T2", NULL, NULL, "Transformer_Output", NULL, "1 2 3 4 5", PART_OUTPUT_TRANSFORMER, NULL},
    {"T1", NULL, NULL, "MAINS_TX", "T", "1 2 3 4", PART_TRANSFORMER, NULL},
    {"J1", "C14", NULL, "IEC_Inlet_C14", NULL, "1:L 2:N 3:E", PART_INLET, "C14"},
    /* chokes, inductors */
    {"L1", "20H", NULL, "L_Iron", "L", "1 2", PART_CHOKE, NULL},
    {"L2", "10uH", "Device", "L", "L", "1 2", PART_INDUCTOR, NULL},
    {"CH1", "CH.", NULL, "CHOKE", NULL, "1 2", PART_CHOKE, NULL},
    {"L1", "Drossel", NULL, "L_Core_Iron", "L", "1 2", PART_CHOKE, NULL},
    {"L1", "125C1A", NULL, "CHOKE", "L", "1 2", PART_CHOKE, NULL},
    /* valves */
    {"V1", "ECC83", "valves", "ECC83", "V", "1:A 2:G 3:K", PART_TRIODE, "ECC83"},
    {"V1", "12AX7", NULL, "TRIODE", "V", "1:A 2:G 3:K", PART_TRIODE, "12AX7"},
    {"U2", "12AT7", "Valve", "12AT7-P", "U", "1 2 3", PART_TRIODE, "12AT7"},
    {"V5", "EL84/6BQ5", NULL, "PENTODE", "V", "1 2 3 7 9", PART_PENTODE, "EL84"},
    {"V6", "12AX7 CF", NULL, "TRIODE", "V", "1 2 3", PART_TRIODE, "12AX7"},
    {"V7", "ECC83 osc", NULL, "TRIODE", "V", "1 2 3", PART_TRIODE, "ECC83"},
    {"V8", "ECC82/12AU7", NULL, "TRIODE", NULL, "1 2 3", PART_TRIODE, "ECC82"},
    {"V9", "7591s", NULL, "PENTODE", NULL, "1 2 3 4", PART_PENTODE, "7591S"},
    {"V9", "6N1P", "ru_valves", "6N1P", "V", "1 2 3", PART_TRIODE, "6N1P"},
    {"V9", "6P14P", "ru_valves", "PENTODE", "V", "1 2 3 7 9", PART_PENTODE, "6P14P"},
    {"V9", "6S52N-V", "ru_valves", "TRIODE", "V", "1 2 3", PART_TRIODE, "6S52N-V"},
    {"V2", "KT88", NULL, NULL, NULL, "3 4 5 8", PART_PENTODE, "KT88"},
    {"V2", "6L6GC", NULL, "PENTODE", "V", "1 2 3 4", PART_PENTODE, "6L6GC"},
    {"V2", "5881", NULL, "PENTODE", "V", "1 2 3 4", PART_PENTODE, "5881"},
    {"V2", "EL34B", NULL, "EL34", "V", "1 2 3 4", PART_PENTODE, "EL34B"},
    {"V2", "12AY7", NULL, "TRIODE", "V", "1 2 3", PART_TRIODE, "12AY7"},
    {"V2", "EF86", NULL, "PENTODE", "V", "1 2 3", PART_PENTODE, "EF86"},
    {"V2", NULL, "valves", NULL, "V", "1 2 3", PART_UNKNOWN, NULL},
    {"V2", NULL, "valves", "TRIODE", "V", "1:A 2:G 3:K", PART_TRIODE, NULL},
    {"X1", "KT66", "tubes", "KT66", "X", "1 2 3", PART_PENTODE, "KT66"},
    /* rectifier valves */
    {"V6A", "GZ34", NULL, "DIODE_TUBE", "V", "1:A 2:K", PART_RECTIFIER_VALVE, "GZ34"},
    {"V5", "GZ34 (5AR4)", NULL, "GZ34-2", "V", "2 4 6 8", PART_RECTIFIER_VALVE, "GZ34"},
    {"X1", "5Y3GT", NULL, "DIODE_TUBE", NULL, "2 4 6 8", PART_RECTIFIER_VALVE, "5Y3GT"},
    {"V1", "EZ80/6V4", NULL, "DIODE_TUBE", NULL, "1 3 4 5 7", PART_RECTIFIER_VALVE, "EZ80"},
    {"V1", "83", NULL, "DIODE_TUBE", "V", "1 2 3 4", PART_RECTIFIER_VALVE, "83"},
    {"V1", "5U4GA", NULL, "5U4GB", "V", "2 4 6 8", PART_RECTIFIER_VALVE, "5U4GA"},
    {"V1", NULL, NULL, "DIODE_TUBE", "V", "1:A 2:K", PART_RECTIFIER_VALVE, NULL},
    {"V4", "EZ81", "Valve", "EZ81", "U", "1 3 4 5 7", PART_RECTIFIER_VALVE, "EZ81"},
    /* bridges */
    {"D5", NULL, NULL, "D_Bridge_+-AA", "D", "1:+ 2:- 3:~ 4:~", PART_BRIDGE, NULL},
    {"BR1", "BRIDGE", NULL, "BRIDGE", "BR", "1 2 3 4", PART_BRIDGE, NULL},
    {"D1", "4 x 1N4007", NULL, "BRIDGE", "D", "1:V+ 2:~1 3:~2 4:V-", PART_BRIDGE, "1N4007"},
    {"U1", "400V/25A", NULL, "BridgeRectRound", "U", "1:+ 2:~~ 3:- 4:~~", PART_BRIDGE, NULL},
    {"BR2", "DF10-G", NULL, NULL, NULL, "1 2 3 4", PART_BRIDGE, "DF10-G"},
    {"D1", "1N4007", NULL, "BRIDGE", "D", "1:+ 2:- 3:~ 4:~", PART_BRIDGE, "1N4007"},
    {"D1", NULL, NULL, "B125C1500G-Diode_Bridge", "D", "1:+ 2:- 3:~ 4:~", PART_BRIDGE, NULL},
    {"D8", NULL, NULL, NULL, "D", "1:+ 2:- 3:~ 4:~", PART_BRIDGE, NULL},
    /* diodes */
    {"D1", "1N4007", "Device", "D", "D", "1:K 2:A", PART_DIODE, "1N4007"},
    {"D1", "1N4007", NULL, "1N4007", "D", "1:K 2:A", PART_DIODE, "1N4007"},
    {"DR1", "UF5408", NULL, "D", "D", "1:K 2:A", PART_DIODE, "UF5408"},
    {"D1", "BY359-1500", NULL, "D_Schottky", "D", "1:K 2:A", PART_DIODE, "BY359-1500"},
    {"D1", "selenium", NULL, "DIODE_SS", "D", "1 2", PART_DIODE, NULL},
    {"D2", "1N4742A", NULL, "D_Zener", "D", "1:K 2:A", PART_ZENER, "1N4742A"},
    {"D2", "12V", NULL, "D_Zener", "D", "1:K 2:A", PART_ZENER, NULL},
    {"D2", "BZX85C12", NULL, "D", "D", "1:K 2:A", PART_ZENER, "BZX85C12"},
    {"D3", "LED", NULL, "LED", "D", "1:K 2:A", PART_LED, NULL},
    {"D1", "MBR1645", NULL, "D", "D", "1:K 2:A", PART_DIODE, "MBR1645"},
    {"D9", NULL, NULL, "D", "D", "1:K 2:A", PART_DIODE, NULL},
    /* jacks, speakers */
    {"J1", "1/4 in", NULL, "JACK", "J", "1:T 2:S", PART_JACK, NULL},
    {"J1", "INPUT", NULL, "JACK-MONOSW", "J", "1 2 3", PART_JACK, NULL},
    {"JSPK", "SPEAKER", NULL, "JACK", "J", "1 2", PART_JACK, NULL},
    {"J2", NULL, NULL, "AudioJack2_SwitchT", "J", "1:T 2:S 3:TN", PART_JACK, NULL},
    {"J2", NULL, NULL, "SpeakON_NL2", "J", "1 2", PART_JACK, NULL},
    {"J2", "In_R1", "Connector", "Conn_Coaxial", "J", "1 2", PART_JACK, NULL},
    {"J2", NULL, NULL, "CONN-JACK-1/4\"", "J", "1 2", PART_JACK, NULL},
    {"LS1", "Speaker 4\xCE\xA9", NULL, "Speaker", "LS", "1 2", PART_SPEAKER, NULL},
    {"H1", NULL, NULL, "JACK", NULL, "1 2", PART_JACK, NULL},
    /* switches */
    {"SW1", "Standby", NULL, "SWITCH", "SW", "1 2", PART_STANDBY_SWITCH, NULL},
    {"S1", "STANDBY", NULL, "SWITCH-PANEL-SPST", "S", "1 2", PART_STANDBY_SWITCH, NULL},
    {"SWSTBY", NULL, NULL, "SWITCH", NULL, "1 2", PART_STANDBY_SWITCH, NULL},
    {"SW2", "POWER", NULL, "SW_DPST_x2", "SW", "1 2 3 4", PART_SWITCH, NULL},
    {"U7", "AC", NULL, "SW-SPST", "U", "1 2", PART_SWITCH, NULL},
    {"SEL", "240/220/120", NULL, "SW_SPDT", NULL, "1 2 3", PART_SWITCH, NULL},
    {"SW3", "BRIGHT", NULL, "SW_SPDT", "SW", "1 2 3", PART_SWITCH, NULL},
    {"SWAC", "AC sw", NULL, NULL, NULL, "1 2", PART_SWITCH, NULL},
    {"SW-BRIL", "DPST", NULL, NULL, NULL, "1 2", PART_SWITCH, NULL},
    /* relays, lamps, thermistors */
    {"K1", "FINDER-30.22", "Relay", "FINDER-30.22", "K", "A1 A2 11 14", PART_RELAY, NULL},
    {"K2", "G6E", "Relay", "G6E", "K", "1 2 3", PART_RELAY, NULL},
    {"RLY1", "RELAY_40.51", NULL, NULL, NULL, "1 2 3", PART_RELAY, NULL},
    {"PL1", "6.3 V", NULL, "LAMP", NULL, "1 2", PART_LAMP, NULL},
    {"GL1", "pilot", NULL, "INDICATOR-NEON-BULB-NE2", NULL, "1 2", PART_LAMP, NULL},
    {"TH1", "CL-60", NULL, "Thermistor", "TH", "1 2", PART_THERMISTOR, NULL},
    /* connectors that stand for something */
    {"P1", "320V_AC", NULL, "CONN_2", "P", "1 2", PART_FEED, NULL},
    {"P2", "6V3_AC", NULL, "CONN_2", "P", "1 2", PART_FEED, NULL},
    {"P3", "HT", NULL, "CONN_01X01", "P", "1", PART_FEED, NULL},
    {"P3", "+450V", NULL, "CONN_01X01", "P", "1", PART_FEED, NULL},
    {"P3", "HEAT", NULL, "Conn_01x02", "J", "1 2", PART_FEED, NULL},
    {"J8", "BIAS_AC", NULL, "Screw_Terminal_01x02", "J", "1 2", PART_FEED, NULL},
    {"P4", "Heizung", NULL, "CONN_2", "P", "1 2", PART_FEED, NULL},
    {"P5", "OT pur", NULL, "CONN_2", "P", "1 2", PART_CONNECTOR, NULL},
    {"P5", "Choke1", NULL, "CONN_2", "P", "1 2", PART_CONNECTOR, NULL},
    {"P5", "EARTH", NULL, "CONN_01X01", "P", "1", PART_CONNECTOR, NULL},
    {"P6", "Trafo", NULL, "CONN_2", "P", "1 2", PART_FEED, NULL},
    {"P7", "CONN_3", NULL, "CONN_3", "P", "1=in 2=out 3=GND", PART_CONNECTOR, NULL},
    {"P8", "CONN_2", NULL, "CONN_2", "P", "1=/psu/HT_AC 2=GND", PART_FEED, NULL},
    /* the rest */
    {"R1", "4k7", "Device", "R", "R", "1 2", PART_RESISTOR, NULL},
    {"RK", "1.5k", NULL, NULL, NULL, "1 2", PART_RESISTOR, NULL},
    {"RTAIL", "10k 1W", NULL, "RESISTOR-1", "R", "1 2", PART_RESISTOR, NULL},
    {"Rf1_L1", "20k", "Device", "R_Small", "R", "1 2", PART_RESISTOR, NULL},
    {"RV1", "1M-A", "Device", "R_POT", "RV", "1:1 2:2 3:3", PART_POTENTIOMETER, NULL},
    {"VR60", "250kA", NULL, "POT", "VR", "1 2 3", PART_POTENTIOMETER, NULL},
    {"C1",
     "47\xC2\xB5"
     "F/450V",
     "Device", "CP", "C", "1 2", PART_CAPACITOR, NULL},
    {"CK", ".022u", NULL, NULL, NULL, "1 2", PART_CAPACITOR, NULL},
    {"C2", "50+50u", NULL, "CAPAPOL", "C", "1 2 3", PART_CAPACITOR, NULL},
    {"Q1", "BC547", "Transistor_BJT", "BC547", "Q", "1:C 2:B 3:E", PART_TRANSISTOR, "BC547"},
    {"Q2", "IRF820", NULL, "Q_NMOS_GDS", "Q", "1:G 2:D 3:S", PART_FET, "IRF820"},
    {"U1", "LM7812_TO220", "Regulator_Linear", "LM7812_TO220", "U", "1:VI 2:GND 3:VO",
     PART_REGULATOR, NULL},
    {"U2", "78L05", NULL, NULL, "U", "1 2 3", PART_REGULATOR, "78L05"},
    {"U3", "TL072", "Amplifier_Operational", "TL072", "U", "1 2 3 4 5 6 7 8", PART_OPAMP, "TL072"},
    {"BT1", "9V", "Device", "Battery", "BT", "1:+ 2:-", PART_BATTERY, NULL},
    {"H1", "MountingHole", "Mechanical", "MountingHole_Pad", "H", "1", PART_MECHANICAL, NULL},
    {"TP44", NULL, "Connector", "TestPoint", "TP", "1", PART_TEST_POINT, NULL},
    {"Part1", "220\xCE\xA9 Resistor", NULL, NULL, NULL, "connector0 connector1", PART_RESISTOR,
     NULL},
    {"OPTO", NULL, NULL, NULL, NULL, "1 2 3 4", PART_UNKNOWN, NULL},
    {"?", NULL, NULL, NULL, NULL, "1", PART_UNKNOWN, NULL},
};
enum { ROWS = sizeof rows / sizeof *rows };

START_TEST(kind_is_told)
{
    const struct row *row = &rows[_i];
    struct made made = made_start();
    struct part *part = made_part(&made, row->ref, row->value, row->symbol);
    struct part_info *info;

    part->library = row->library;
    part->prefix = row->prefix;
    made_pins(&made, part, row->pins);
    made_recognise(&made);
    info = &made.parts->items[0];
    ck_assert_msg(info->kind == row->kind, "%s value %s symbol %s: got %s, want %s (%s)", row->ref,
                  row->value, row->symbol, part_kind_name(info->kind), part_kind_name(row->kind),
                  info->doubt != NULL ? info->doubt : "no doubt");
    if (row->type != NULL)
        ck_assert_str_eq(info->type != NULL ? info->type : "none", row->type);
    if (info->kind == PART_UNKNOWN)
        ck_assert_ptr_nonnull(info->doubt);
    made_end(&made);
}
END_TEST

Suite *check_kinds_suite(void);

Suite *check_kinds_suite(void)
{
    Suite *suite = suite_create("kinds");
    TCase *tests = tcase_create("table");

    tcase_add_loop_test(tests, kind_is_told, 0, ROWS);
    suite_add_tcase(suite, tests);
    return suite;
}
