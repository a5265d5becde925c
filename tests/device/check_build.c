#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"

/* Circuits whose parts are told by hand what they are. */

enum { MOST_PARTS = 32 };

static struct arena *arena;
static struct circuit *circuit;
static struct part_info infos[MOST_PARTS];

static void setup(void)
{
    arena = arena_new();
    circuit = circuit_new(arena, NULL);
    memset(infos, 0, sizeof infos);
}

static void teardown(void)
{
    circuit_free(circuit);
    arena_free(arena);
}

struct pin_row {
    enum pin_role role;
    size_t unit;
    const char *net; /* NULL: not connected */
};

/* A part with COUNT pins numbered from 1. */
static struct part_info *add(const char *ref, enum part_kind kind, const struct pin_row *pins,
                             size_t count)
{
    struct part *part = circuit_add_part(circuit, ref, (struct place){0});
    struct part_info *info = &infos[part->index];

    info->kind = kind;
    info->pins = arena_array(arena, count, sizeof *info->pins);
    for (size_t i = 0; i < count; i++) {
        circuit_connect(circuit, part, arena_print(arena, "%zu", i + 1), NULL, NULL,
                        pins[i].net != NULL ? circuit_net(circuit, pins[i].net, (struct place){0})
                                            : NULL);
        info->pins[i] = (struct pin_info){.role = pins[i].role, .unit = pins[i].unit};
    }
    return info;
}

static void set(struct part_info *info, enum figure_id id, double value)
{
    part_set_figure(arena, info, id, value, value, value, FIGURE_FROM_NETLIST, "test");
}

static struct part_info *add_two(const char *ref, enum part_kind kind, const char *a,
                                 const char *b)
{
    return add(ref, kind, (struct pin_row[]){{PIN_END, 0, a}, {PIN_END, 0, b}}, 2);
}

static void add_value(const char *ref, enum part_kind kind, const char *a, const char *b,
                      enum figure_id id, double value)
{
    set(add_two(ref, kind, a, b), id, value);
}

static struct network *built(void)
{
    struct parts *parts = arena_alloc(arena, sizeof *parts);

    circuit_finish(circuit);
    for (size_t i = 0; i < circuit->part_count; i++)
        infos[i].part = circuit->parts[i];
    *parts = (struct parts){.circuit = circuit, .items = infos, .count = circuit->part_count};
    return network_build(arena, parts);
}

/* The N-th branch (0-based) of REF; NULL if there are fewer. */
static const struct branch *branch(const struct network *network, const char *ref, size_t n)
{
    for (size_t i = 0; i < network->branch_count; i++)
        if (strcmp(network->branches[i].part->ref, ref) == 0 && n-- == 0)
            return &network->branches[i];
    return NULL;
}

static void assert_branch(const struct network *network, const char *ref, size_t n,
                          enum branch_kind kind, const char *from, const char *to)
{
    const struct branch *found = branch(network, ref, n);

    ck_assert_msg(found != NULL, "%s has no branch %zu", ref, n);
    ck_assert_int_eq(found->kind, kind);
    ck_assert_str_eq(network->nodes[found->from].name, from);
    ck_assert_str_eq(network->nodes[found->to].name, to);
}

static bool has_gap(const struct network *network, const char *ref)
{
    for (size_t i = 0; i < network->gap_count; i++)
        if (strcmp(network->gap_parts[i], ref) == 0 &&
            strncmp(network->gaps[i], ref, strlen(ref)) == 0)
            return true;
    return false;
}

static const struct assumption *assumption(const struct network *network, const char *ref,
                                           const char *what)
{
    for (size_t i = 0; i < network->assumption_count; i++) {
        const struct assumption *item = &network->assumptions[i];

        if (strcmp(item->what, what) == 0 &&
            (ref == NULL ? item->part == NULL : item->part != NULL && strcmp(item->part, ref) == 0))
            return item;
    }
    return NULL;
}

static double ohms_of(const struct network *network, const char *ref, size_t n)
{
    const struct branch *found = branch(network, ref, n);

    ck_assert_ptr_nonnull(found);
    return found->element->figures[0];
}

START_TEST(bridge_becomes_four_diodes)
{
    struct network *network;

    add("D1", PART_BRIDGE,
        (struct pin_row[]){{PIN_AC, 0, "a"}, {PIN_AC, 0, "b"}, {PIN_PLUS, 0, "p"},
                           {PIN_MINUS, 0, "0"}}, 4);
    network = built();
    assert_branch(network, "D1", 0, BRANCH_RECTIFIER, "a", "p");
    assert_branch(network, "D1", 1, BRANCH_RECTIFIER, "0", "a");
    assert_branch(network, "D1", 2, BRANCH_RECTIFIER, "b", "p");
    assert_branch(network, "D1", 3, BRANCH_RECTIFIER, "0", "b");
    ck_assert_ptr_null(branch(network, "D1", 4));
    ck_assert(branch(network, "D1", 0)->one_way);
    ck_assert_ptr_nonnull(assumption(network, "D1", "diode-volts"));
}
END_TEST

/* 12AX7: 12.6 V 150 mA in series, 6.3 V 300 mA in parallel; each half 42 ohm. */
static struct part_info *add_double_triode(const char *h1, const char *h2, const char *tap)
{
    struct part_info *info =
        add("V1", PART_TRIODE,
            (struct pin_row[]){{PIN_ANODE, 1, "a2"}, {PIN_GRID, 1, "g2"}, {PIN_CATHODE, 1, "k2"},
                               {PIN_HEATER, 0, h1}, {PIN_HEATER, 0, h2}, {PIN_ANODE, 0, "a1"},
                               {PIN_GRID, 0, "g1"}, {PIN_CATHODE, 0, "0"},
                               {PIN_HEATER_TAP, 0, tap}}, 9);

    set(info, FIGURE_HEATER_VOLTS, 6.3);
    set(info, FIGURE_HEATER_AMPS, 0.3);
    return info;
}

START_TEST(double_triode)
{
    struct network *network;

    set(add_double_triode("h", "h", "0"), FIGURE_IDLE_AMPS, 1.2e-3);
    network = built();
    assert_branch(network, "V1", 0, BRANCH_LOAD, "a1", "0");
    assert_branch(network, "V1", 1, BRANCH_LOAD, "a2", "k2");
    ck_assert_ptr_eq(branch(network, "V1", 0)->element->device, &device_load);
    assert_branch(network, "V1", 2, BRANCH_RESISTANCE, "h", "0");
    assert_branch(network, "V1", 3, BRANCH_RESISTANCE, "h", "0");
    assert_within(ohms_of(network, "V1", 2), 42, 0.1);
    assert_within(ohms_of(network, "V1", 3), 42, 0.1);
    ck_assert(!has_gap(network, "V1"));
}
END_TEST

START_TEST(heaters_in_series)
{
    struct network *network;

    add_double_triode("h", "0", NULL);
    network = built();
    assert_branch(network, "V1", 2, BRANCH_RESISTANCE, "h", "0");
    assert_within(ohms_of(network, "V1", 2), 84, 0.1);
    /* no anode current told: the way is there, nothing flows, and it is said */
    ck_assert_ptr_eq(branch(network, "V1", 0)->element->device, &device_open);
    ck_assert(has_gap(network, "V1"));
}
END_TEST

START_TEST(directly_heated_rectifier)
{
    struct part_info *info =
        add("V2", PART_RECTIFIER_VALVE,
            (struct pin_row[]){{PIN_HEATER, 0, "f1"}, {PIN_ANODE, 1, "b"}, {PIN_ANODE, 0, "a"},
                               {PIN_HEATER, 0, "f2"}}, 4);
    struct network *network;

    set(info, FIGURE_PERVEANCE, 2.69e-4);
    set(info, FIGURE_HEATER_VOLTS, 5);
    set(info, FIGURE_HEATER_AMPS, 2);
    network = built();
    assert_branch(network, "V2", 0, BRANCH_RECTIFIER, "b", "f1");
    assert_branch(network, "V2", 1, BRANCH_RECTIFIER, "a", "f1");
    assert_branch(network, "V2", 2, BRANCH_RESISTANCE, "f1", "f2");
    assert_within(ohms_of(network, "V2", 2), 2.5, 0.1);
    ck_assert_double_eq(ohms_of(network, "V2", 0), 2.69e-4);
}
END_TEST

START_TEST(pentode_screen)
{
    struct part_info *info =
        add("V3", PART_PENTODE,
            (struct pin_row[]){{PIN_ANODE, 0, "a"}, {PIN_SCREEN, 0, "s"}, {PIN_CATHODE, 0, "k"}},
            3);
    struct network *network;

    set(info, FIGURE_IDLE_AMPS, 0.04);
    network = built();
    assert_branch(network, "V3", 0, BRANCH_LOAD, "a", "k");
    assert_branch(network, "V3", 1, BRANCH_LOAD, "s", "k");
    assert_within(ohms_of(network, "V3", 1), 0.004, 0.1);
    ck_assert_ptr_nonnull(assumption(network, "V3", "screen-amps"));
}
END_TEST

static void add_transformer(double secondary_volts)
{
    struct part_info *info =
        add("T1", PART_TRANSFORMER,
            (struct pin_row[]){{PIN_WINDING, 0, "L"}, {PIN_WINDING, 0, "N"},
                               {PIN_WINDING, 1, "a"}, {PIN_WINDING, 1, "0"}}, 4);
    const struct pin *pins = circuit_find_part(circuit, "T1")->pins;

    info->windings = arena_array(arena, 2, sizeof *info->windings);
    info->windings[0] = (struct winding){.name = "pri", .primary = true, .section_count = 1};
    info->windings[1] = (struct winding){.name = "HT", .first_section = 1, .section_count = 1};
    info->winding_count = info->section_count = 2;
    info->sections = arena_array(arena, 2, sizeof *info->sections);
    info->sections[0] = (struct section){.start = &pins[0], .end = &pins[1],
                                         .volts = {.value = 230, .why = "test"}};
    info->sections[1] = (struct section){.winding = 1, .start = &pins[2], .end = &pins[3],
                                         .volts = {.value = secondary_volts}};
}

static void add_inlet(const char *earth)
{
    struct part_info *info =
        add("J1", PART_INLET,
            (struct pin_row[]){{PIN_LIVE, 0, "L"}, {PIN_NEUTRAL, 0, "N"}, {PIN_EARTH, 0, earth}},
            3);

    set(info, FIGURE_AC_PEAK_VOLTS, 325);
    set(info, FIGURE_HERTZ, 60);
}

START_TEST(transformer_and_inlet)
{
    struct network *network;
    struct solution *solution;

    add_inlet("0");
    add_transformer(300);
    add_value("R1", PART_RESISTOR, "a", "0", FIGURE_OHMS, 100e3);
    network = built();
    assert_branch(network, "J1", 0, BRANCH_SOURCE, "L", "N");
    assert_branch(network, "J1", 1, BRANCH_RESISTANCE, "N", "0");
    assert_branch(network, "T1", 0, BRANCH_WINDING, "L", "N");
    assert_branch(network, "T1", 1, BRANCH_WINDING, "a", "0");
    ck_assert_ptr_eq(branch(network, "T1", 1)->section, &infos[1].sections[1]);
    ck_assert_double_eq(network->hertz, 60);
    ck_assert_ptr_nonnull(assumption(network, "J1", "mains-ohms"));
    ck_assert_ptr_nonnull(assumption(network, "T1", "winding-ohms HT"));
    ck_assert_ptr_nonnull(assumption(network, "T1", "magnetising-henries"));
    for (size_t i = 0; i < network->assumption_count; i++) {
        const struct assumption *item = &network->assumptions[i];

        ck_assert_msg(item->low <= item->value && item->value <= item->high, "%s", item->what);
        ck_assert_ptr_nonnull(item->reason);
    }
    solution = solve_steady(arena, network, NULL);
    ck_assert_int_eq(solution->status, SOLVE_OK);
    assert_within(solution->nodes[circuit_find_net(circuit, "a")->index].rms,
                  325 / sqrt(2) * 300 / 230, 2);
}
END_TEST

/* The wires stay to be followed; nothing is solved, and it is said. */
START_TEST(winding_of_unknown_volts)
{
    struct network *network;

    add_inlet(NULL);
    add_transformer(0);
    network = built();
    assert_branch(network, "T1", 0, BRANCH_WINDING, "L", "N");
    assert_branch(network, "T1", 1, BRANCH_WINDING, "a", "0");
    ck_assert_ptr_eq(branch(network, "T1", 1)->element->device, &device_open);
    ck_assert(has_gap(network, "T1"));
    ck_assert_ptr_null(branch(network, "J1", 1));
    ck_assert_int_eq(solve_steady(arena, network, NULL)->status, SOLVE_OK);
}
END_TEST

static void couple(const char *ref, const char *a, const char *b)
{
    struct coupling *coupling = circuit_add_coupling(circuit, ref, 0.99, (struct place){0});

    circuit_couple(circuit, coupling, a);
    circuit_couple(circuit, coupling, b);
}

/* K lines in pairs are one group, and the pair that none names gets the product. */
START_TEST(coupled_group)
{
    const struct element *element;
    struct network *network;

    add_value("L1", PART_COUPLED_INDUCTOR, "a", "0", FIGURE_HENRIES, 10);
    add_value("L2", PART_COUPLED_INDUCTOR, "b", "0", FIGURE_HENRIES, 40);
    add_value("L3", PART_COUPLED_INDUCTOR, "c", "0", FIGURE_HENRIES, 0.1);
    couple("K1", "L1", "L2");
    couple("K2", "L1", "L3");
    network = built();
    ck_assert_uint_eq(network->element_count, 1);
    element = network->elements[0];
    ck_assert_ptr_eq(element->device, &device_coupled);
    assert_branch(network, "L1", 0, BRANCH_WINDING, "a", "0");
    assert_branch(network, "L2", 0, BRANCH_WINDING, "b", "0");
    assert_branch(network, "L3", 0, BRANCH_WINDING, "c", "0");
    assert_within(element->matrix[1], 0.99 * 20, 0.01);
    assert_within(element->matrix[4], 40, 0.01);
    assert_within(element->matrix[5], 0.99 * 0.99 * 2, 0.01);
    ck_assert_ptr_nonnull(assumption(network, "L1", "coupling"));
}
END_TEST

START_TEST(passive_parts)
{
    struct part_info *info;
    struct network *network;

    add_two("F1", PART_FUSE, "a", "b");
    info = add("S1", PART_SWITCH,
               (struct pin_row[]){{PIN_POLE, 0, "a"}, {PIN_THROW, 0, "c"}, {PIN_THROW, 0, "d"},
                                  {PIN_POLE, 1, "e"}, {PIN_THROW, 1, "f"}}, 5);
    info->closed = true;
    info = add("RV1", PART_POTENTIOMETER,
               (struct pin_row[]){{PIN_END, 0, "a"}, {PIN_WIPER, 0, "w"}, {PIN_END, 0, "0"}}, 3);
    set(info, FIGURE_OHMS, 100e3);
    add_two("R1", PART_RESISTOR, "a", "0");
    add("J2", PART_JACK,
        (struct pin_row[]){{PIN_TIP, 0, "t"}, {PIN_SLEEVE, 0, "0"}, {PIN_TIP_NORMAL, 0, "0"}}, 3);
    add_value("C1", PART_CAPACITOR, "w", "0", FIGURE_FARADS, 1e-9);
    network = built();
    assert_branch(network, "F1", 0, BRANCH_FUSE, "a", "b");
    ck_assert_ptr_nonnull(assumption(network, "F1", "ohms"));
    assert_branch(network, "S1", 0, BRANCH_CONTACT, "a", "c");
    assert_branch(network, "S1", 1, BRANCH_CONTACT, "e", "f");
    ck_assert_ptr_null(branch(network, "S1", 2));
    assert_branch(network, "RV1", 0, BRANCH_RESISTANCE, "a", "w");
    assert_branch(network, "RV1", 1, BRANCH_RESISTANCE, "w", "0");
    assert_within(ohms_of(network, "RV1", 1), 50e3, 0.1);
    ck_assert(has_gap(network, "R1"));
    ck_assert_ptr_null(branch(network, "R1", 0));
    assert_branch(network, "J2", 0, BRANCH_CONTACT, "t", "0");
    assert_branch(network, "C1", 0, BRANCH_CAPACITANCE, "w", "0");
    ck_assert_ptr_null(assumption(network, NULL, "ground-net"));
}
END_TEST

/* No plug is assumed, and said; a plug opens the normal contacts, and then nothing is assumed. */
START_TEST(normal_contacts)
{
    static const struct pin_row rows[] = {
        {PIN_TIP, 0, "t"}, {PIN_SLEEVE, 0, "0"}, {PIN_TIP_NORMAL, 0, "n"}};
    struct part_info *info;
    struct network *network;

    add("J1", PART_JACK, rows, 3);
    info = add("J2", PART_JACK, rows, 3);
    info->plugged = true;
    circuit_add_field(circuit, circuit->parts[1], "plugged", "yes");
    add("J3", PART_JACK, rows, 2);
    network = built();
    assert_branch(network, "J1", 0, BRANCH_CONTACT, "t", "n");
    ck_assert_ptr_nonnull(assumption(network, "J1", "plugged"));
    ck_assert_ptr_null(branch(network, "J2", 0));
    ck_assert_ptr_null(assumption(network, "J2", "plugged"));
    ck_assert_ptr_null(assumption(network, "J3", "plugged"));
}
END_TEST

/* A track is halved unless the field wiper says where the wiper stands. */
START_TEST(wiper)
{
    static const struct pin_row rows[] = {{PIN_END, 0, "a"}, {PIN_WIPER, 0, "w"}, {PIN_END, 0, "0"}};
    struct part_info *info = add("RV1", PART_POTENTIOMETER, rows, 3);
    struct network *network;

    set(info, FIGURE_OHMS, 10e3);
    info = add("RV2", PART_POTENTIOMETER, rows, 3);
    set(info, FIGURE_OHMS, 10e3);
    set(info, FIGURE_WIPER, 20);
    network = built();
    assert_within(ohms_of(network, "RV1", 0), 5e3, 0.1);
    ck_assert_ptr_nonnull(assumption(network, "RV1", "wiper"));
    assert_within(ohms_of(network, "RV2", 0), 2e3, 0.1);
    assert_within(ohms_of(network, "RV2", 1), 8e3, 0.1);
    ck_assert_ptr_null(assumption(network, "RV2", "wiper"));
}
END_TEST

/* By its resistance, by volts and amps, by volts and watts; else it is a gap. */
START_TEST(lamps)
{
    struct network *network;

    add_value("LP1", PART_LAMP, "a", "0", FIGURE_OHMS, 42);
    set(&infos[0], FIGURE_RATED_VOLTS, 6.3);
    add_value("LP2", PART_LAMP, "a", "0", FIGURE_RATED_VOLTS, 6.3);
    set(&infos[1], FIGURE_RATED_AMPS, 0.15);
    add_value("LP3", PART_LAMP, "a", "0", FIGURE_RATED_VOLTS, 24);
    set(&infos[2], FIGURE_RATED_WATTS, 2);
    add_value("LP4", PART_LAMP, "a", "0", FIGURE_RATED_VOLTS, 6.3);
    network = built();
    assert_within(ohms_of(network, "LP1", 0), 42, 0.1);
    assert_within(ohms_of(network, "LP2", 0), 42, 0.1);
    assert_within(ohms_of(network, "LP3", 0), 288, 0.1);
    ck_assert_ptr_null(branch(network, "LP4", 0));
    ck_assert(has_gap(network, "LP4"));
}
END_TEST

START_TEST(unknown_part_and_ground)
{
    struct network *network;

    add("X1", PART_UNKNOWN, (struct pin_row[]){{PIN_NONE, 0, "bus"}, {PIN_NONE, 0, "a"}}, 2);
    add_value("R1", PART_RESISTOR, "bus", "a", FIGURE_OHMS, 10);
    add_value("R2", PART_RESISTOR, "bus", "b", FIGURE_OHMS, 10);
    network = built();
    ck_assert(has_gap(network, "X1"));
    ck_assert_str_eq(network->nodes[network->ground].name, "bus");
    ck_assert_ptr_nonnull(assumption(network, NULL, "ground-net"));
}
END_TEST

START_TEST(no_parts_at_all)
{
    struct network *network = built();

    ck_assert_uint_eq(network->element_count, 0);
    ck_assert_uint_eq(network->node_count, 1);
    ck_assert_int_eq(solve_steady(arena, network, NULL)->status, SOLVE_OK);
}
END_TEST

Suite *check_build_suite(void);

Suite *check_build_suite(void)
{
    Suite *suite = suite_create("network from parts");
    TCase *tests = tcase_create("parts");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, bridge_becomes_four_diodes);
    tcase_add_test(tests, double_triode);
    tcase_add_test(tests, heaters_in_series);
    tcase_add_test(tests, directly_heated_rectifier);
    tcase_add_test(tests, pentode_screen);
    tcase_add_test(tests, transformer_and_inlet);
    tcase_add_test(tests, winding_of_unknown_volts);
    tcase_add_test(tests, coupled_group);
    tcase_add_test(tests, passive_parts);
    tcase_add_test(tests, normal_contacts);
    tcase_add_test(tests, wiper);
    tcase_add_test(tests, lamps);
    tcase_add_test(tests, unknown_part_and_ground);
    tcase_add_test(tests, no_parts_at_all);
    suite_add_tcase(suite, tests);
    return suite;
}
