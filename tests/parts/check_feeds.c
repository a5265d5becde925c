#include <config.h>

#include <math.h>

#include "made_circuit.h"

/* What people write on the connectors of a board and what it stands for; NULL: for no feed. Spellings of public netlists, and the
 * trade's words in other languages (common practice, no source). */
static const struct row {
    const char *value, *role;
} rows[] = {
    {"320V_AC", "ac"}, {"133V_AC", "ac"}, {"450VAC_In", "ac"}, {"HT_AC", "ac"}, {"BIAS_AC", "ac"}, {"7V5_AC", "ac"},
    {"230V_AC", "mains"}, {"6V3_AC", "heater"}, {"12V6", "heater"}, {"HT", "ht"}, {"B+", "ht"}, {"B++ (fuse)", "ht"},
    {"+450V", "ht"}, {"HEAT", "heater"}, {"BIAS", "bias"}, {"Mains", "mains"}, {"High voltage", "ht"},
    {"Heater 6.3V", "heater"}, {"filaments", "heater"},
    /* German */
    {"Heizung", "heater"}, {"Heizspannung", "heater"}, {"Netz", "mains"}, {"Netzspannung", "mains"}, {"NETZANSCHLUSS", "mains"},
    {"Anodenspannung", "ht"}, {"Hochspannung", "ht"}, {"Gittervorspannung", "bias"}, {"Trafo", "ac"},
    {"Wechselspannung", "ac"}, {"230V~", "mains"}, {"275V~", "ac"},
    /* French */
    {"secteur", "mains"}, {"Chauffage", "heater"}, {"Haute tension", "ht"}, {"polarisation", "bias"}, {"Neutre", "mains"},
    /* Italian */
    {"rete", "mains"}, {"Rete 230V", "mains"}, {"filamenti", "heater"}, {"accensione", "heater"}, {"alta tensione", "ht"},
    {"anodica", "ht"}, {"polarizzazione", "bias"},
    /* Spanish, Portuguese */
    {"Red el\xC3\xA9" "ctrica", "mains"}, {"L\xC3\x8DNEA", "mains"}, {"calefactor", "heater"}, {"Filamentos", "heater"},
    {"Alta tensi\xC3\xB3n", "ht"}, {"polarizaci\xC3\xB3n", "bias"}, {"Polarizacion", "bias"}, {"320VCA", "ac"},
    {"rede el\xC3\xA9trica", "mains"}, {"alta tens\xC3\xA3o", "ht"}, {"aquecimento", "heater"},
    /* Dutch, Scandinavian, Polish, Russian */
    {"Gloeispanning", "heater"}, {"hoogspanning", "ht"}, {"netspanning", "mains"}, {"Gl\xC3\xB6" "dsp\xC3\xA4nning", "heater"},
    {"GL\xC3\x96" "DSTR\xC3\x96M", "heater"}, {"n\xC3\xA4tsp\xC3\xA4nning", "mains"}, {"h\xC3\xB6gsp\xC3\xA4nning", "ht"},
    {"\xC5\xBB" "arzenie", "heater"}, {"sie\xC4\x87", "mains"}, {"\xD0\xBD\xD0\xB0\xD0\xBA\xD0\xB0\xD0\xBB", "heater"},
    {"\xD0\xA1\xD0\xB5\xD1\x82\xD1\x8C", "mains"}, {"\xD0\xB0\xD0\xBD\xD0\xBE\xD0\xB4", "ht"},
    /* feeds nobody */
    {"OT pur", NULL}, {"Choke1", NULL}, {"Drossel", NULL}, {"Stabi", NULL}, {"SPEAKER OUT", NULL}, {"EARTH", NULL},
    {"Chassis_GND", NULL}, {"GND", NULL}, {"Red1", NULL}, {"R+", NULL}, {"R-", NULL}, {"CONN_2", NULL}, {"signal", NULL},
    {"to preamp", NULL}, {"fsw", NULL}, {"Lautsprecher", NULL}, {"Network", NULL}, {"reverb", NULL}, {"Rotary", NULL},
};
enum { ROWS = sizeof rows / sizeof *rows };

static const struct part_info *recognised(struct made *made, const struct row *row)
{
    struct part *part = made_part(made, "P1", row->value, "CONN_2");

    made_pins(made, part, "1 2");
    made_recognise(made);
    return &made->parts->items[0];
}

START_TEST(role_is_told)
{
    const struct row *row = &rows[_i];
    struct made made = made_start();
    const struct part_info *info = recognised(&made, row);

    ck_assert_msg((info->kind == PART_FEED) == (row->role != NULL), "\"%s\" is a %s", row->value,
                  part_kind_name(info->kind));
    if (row->role != NULL)
        ck_assert_msg(strcmp(info->role, row->role) == 0, "\"%s\" is %s, not %s", row->value, info->role, row->role);
    made_end(&made);
}
END_TEST

/* What was decided says what spoke for it, and one witness alone carried it. */
START_TEST(witness_is_told)
{
    struct made made = made_start();
    const struct part_info *info = recognised(&made, &rows[_i]);
    size_t decided = 0;

    for (size_t i = 0; i < info->witness_count; i++)
        decided += info->witnesses[i].decided && info->witnesses[i].vote == info->kind;
    ck_assert_msg(info->kind == PART_UNKNOWN || decided == 1, "\"%s\": %zu witnesses carried it", rows[_i].value, decided);
    made_end(&made);
}
END_TEST

static const struct volts_row {
    const char *value, *volts, *role;
    enum figure_id figure;
    double want; /* 0: not known */
} volts_rows[] = {
    {"HT_AC", NULL, "ac", FIGURE_AC_PEAK_VOLTS, 0},
    {"HT_AC", "320V", "ac", FIGURE_AC_PEAK_VOLTS, 452.548},
    {"320V_AC", NULL, "ac", FIGURE_AC_PEAK_VOLTS, 452.548},
    {"320V_AC", "300V", "ac", FIGURE_AC_PEAK_VOLTS, 424.264}, /* what the field says counts */
    {"300-0-300V_AC", NULL, "ac", FIGURE_AC_PEAK_VOLTS, 424.264},
    {"HT_AC", "280-0-280V", "ac", FIGURE_AC_PEAK_VOLTS, 395.98},
    {"HT", "410", "ht", FIGURE_DC_VOLTS, 410},
    {"Bias", "-52V", "bias", FIGURE_DC_VOLTS, -52},
    {"Heizung", "6,3V", "heater", FIGURE_AC_PEAK_VOLTS, 8.9095},
};
enum { VOLTS_ROWS = sizeof volts_rows / sizeof *volts_rows };

START_TEST(volts_are_told)
{
    const struct volts_row *row = &volts_rows[_i];
    struct made made = made_start();
    struct part *part = made_part(&made, "P1", row->value, "CONN_2");
    const struct part_info *info;

    made_pins(&made, part, "1 2");
    if (row->volts != NULL)
        circuit_add_field(made.circuit, part, "volts", row->volts);
    made_recognise(&made);
    info = &made.parts->items[0];
    ck_assert_str_eq(info->role, row->role);
    ck_assert_msg(fabs(part_figure_value(info, row->figure, 0) - row->want) < 0.01, "%s %s: %g", row->value,
                  row->volts, part_figure_value(info, row->figure, 0));
    made_end(&made);
}
END_TEST

Suite *check_feeds_suite(void);

Suite *check_feeds_suite(void)
{
    Suite *suite = suite_create("feeds");
    TCase *tests = tcase_create("table");

    tcase_add_loop_test(tests, role_is_told, 0, ROWS);
    tcase_add_loop_test(tests, witness_is_told, 0, ROWS);
    tcase_add_loop_test(tests, volts_are_told, 0, VOLTS_ROWS);
    suite_add_tcase(suite, tests);
    return suite;
}
