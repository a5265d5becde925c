/* Facts built from stages filled by hand: a half-wave supply with a mains fuse, an HT fuse and a
 * dropper. */
#include "check_prearc.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include <libxml/relaxng.h>
#include <libxml/tree.h>

#include "base/arena.h"
#include "base/diag.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts.h"
#include "rule/rules.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

enum net_index { LIVE, LF, GND, HTA, RECT, HT, PRE, NET_COUNT };
enum branch_index {
    B_MAINS, B_F1, B_PRIMARY, B_HT, B_D1, B_F2, B_C1, B_R1, B_C2, B_R2, BRANCH_COUNT
};

static const struct {
    const char *ref, *value;
    enum part_kind kind;
    enum net_index from, to;
    enum branch_kind branch;
} rows[] = {
    {"J1", NULL, PART_INLET, LIVE, GND, BRANCH_SOURCE},
    {"F1", "T1AL250V", PART_FUSE, LIVE, LF, BRANCH_FUSE},
    {"T1", NULL, PART_TRANSFORMER, LF, GND, BRANCH_WINDING},
    {"T1", NULL, PART_TRANSFORMER, HTA, GND, BRANCH_WINDING},
    {"D1", "1N4007", PART_DIODE, HTA, RECT, BRANCH_RECTIFIER},
    {"F2", "T2AL250V", PART_FUSE, RECT, HT, BRANCH_FUSE},
    {"C1", "47u", PART_CAPACITOR, HT, GND, BRANCH_CAPACITANCE},
    {"R1", "22k", PART_RESISTOR, HT, PRE, BRANCH_RESISTANCE},
    {"C2", "22u", PART_CAPACITOR, PRE, GND, BRANCH_CAPACITANCE},
    {"R2", "100k", PART_RESISTOR, PRE, GND, BRANCH_RESISTANCE},
};

static struct arena *arena;
static struct circuit *circuit;
static struct parts parts;
static struct network network;
static struct trace trace;
static struct solution healthy;
static struct whatif whatif;
static struct findings_of_stages stages;
static struct section section;
static xmlDoc *facts;

static void make_circuit(void)
{
    static const char *const names[] = {"live", "lf", "0", "hta", "rect", "ht", "pre"};
    const struct source *source = source_from_bytes(arena, "hand.cir", "", 0);
    struct place place = {.source = source, .line = 1, .column = 1};

    circuit = circuit_new(arena, source);
    circuit->title = "Hand-made supply";
    for (size_t i = 0; i < NET_COUNT; i++)
        circuit_net(circuit, names[i], place);
    for (size_t i = 0; i < BRANCH_COUNT; i++) {
        struct part *part;

        place.line = (unsigned)i + 2;
        part = circuit_add_part(circuit, rows[i].ref, place);
        if (part == NULL)
            continue;
        part->value = rows[i].value;
        circuit_connect(circuit, part, "1", NULL, NULL, circuit->nets[rows[i].from]);
        circuit_connect(circuit, part, "2", NULL, NULL, circuit->nets[rows[i].to]);
    }
    circuit_finish(circuit);
}

static struct part_info *info_of(const char *ref)
{
    return &parts.items[circuit_find_part(circuit, ref)->index];
}

static void make_parts(void)
{
    parts = (struct parts){.circuit = circuit, .count = circuit->part_count};
    parts.items = arena_array(arena, parts.count, sizeof *parts.items);
    for (size_t i = 0; i < BRANCH_COUNT; i++) {
        struct part_info *info = info_of(rows[i].ref);

        info->part = circuit_find_part(circuit, rows[i].ref);
        info->kind = rows[i].kind;
        info->pins = arena_array(arena, info->part->pin_count, sizeof *info->pins);
        if (info->kind == PART_FUSE)
            info->marking = rows[i].value;
    }
    part_set_figure(arena, info_of("R1"), FIGURE_OHMS, 22e3, 22e3, 22e3, FIGURE_FROM_NETLIST, NULL);
    part_set_figure(arena, info_of("C1"), FIGURE_FARADS, 47e-6, 47e-6, 47e-6, FIGURE_FROM_NETLIST,
                    NULL);
    part_set_figure(arena, info_of("D1"), FIGURE_SERIES_OHMS, 0.05, 0.01, 0.1, FIGURE_ASSUMED,
                    "typical");
}

static void make_network(void)
{
    network = (struct network){.arena = arena, .parts = &parts, .hertz = 50, .ground = GND};
    for (size_t i = 0; i < NET_COUNT; i++)
        network_add_node(&network, circuit->nets[i]->name, circuit->nets[i]);
    for (size_t i = 0; i < BRANCH_COUNT; i++) {
        size_t nodes[2] = {rows[i].from, rows[i].to};
        struct element *element = network_add_element(
            &network, &device_resistor, circuit_find_part(circuit, rows[i].ref), nodes, 2);

        element->figures[0] = 1e3;
        network_add_branch(&network, element, nodes[0], nodes[1], rows[i].branch,
                           rows[i].branch == BRANCH_RECTIFIER);
    }
    section = (struct section){
        .volts = {.value = 300}, .ohms = {.value = 80}, .amps = {.value = 0.15}};
    network.branches[B_HT].section = &section;
}

static void make_supply(void)
{
    static size_t ht_branches[] = {B_HT}, mains_branches[] = {B_MAINS}, diodes[] = {B_D1};
    static struct trace_source sources[] = {
        {.id = "J1", .kind = SOURCE_INLET, .branches = mains_branches, .branch_count = 1,
         .feeder = SIZE_MAX},
        {.id = "T1.HT", .kind = SOURCE_WINDING, .winding = "HT", .branches = ht_branches,
         .branch_count = 1, .feeder = 0},
    };
    static struct rectifier rectifier = {.id = "D1", .topology = TOPOLOGY_HALF_WAVE, .source = 1,
                                         .branches = diodes, .branch_count = 1, .plus = RECT,
                                         .minus = GND};
    static size_t fuse_path[] = {B_F2}, dropper_path[] = {B_R1}, c1[] = {B_C1}, c2[] = {B_C2};
    static size_t loads[] = {B_R2};
    static struct rail_node nodes[] = {
        {.node = RECT, .upstream = SIZE_MAX},
        {.node = HT, .upstream = 0, .path = fuse_path, .path_count = 1, .capacitors = c1,
         .capacitor_count = 1},
        {.node = PRE, .upstream = 1, .path = dropper_path, .path_count = 1, .capacitors = c2,
         .capacitor_count = 1},
    };
    static struct rail rail = {.id = "rail1", .name = "ht", .source = 1, .output = RECT,
                               .back = GND,
                               .nodes = nodes, .node_count = 3, .loads = loads, .load_count = 1};

    sources[0].part = circuit_find_part(circuit, "J1");
    sources[1].part = circuit_find_part(circuit, "T1");
    trace = (struct trace){.network = &network, .sources = sources, .source_count = 2,
                           .rectifiers = &rectifier, .rectifier_count = 1, .rails = &rail,
                           .rail_count = 1};
}

static void make_trace(void)
{
    static struct cover covers[] = {
        {B_F1, RECT, 0, 0, COVERAGE_FULL, true}, {B_F1, HT, 0, 0, COVERAGE_FULL, true},
        {B_F1, PRE, 0, 0, COVERAGE_FULL, true},  {B_F2, HT, 0, 1, COVERAGE_FULL, false},
        {B_F2, PRE, 0, 1, COVERAGE_FULL, false},
    };
    static size_t live_fuses[] = {B_F1};
    static struct mains mains = {.source = 0, .conductors_told = true, .live_fused = true,
                                 .live_fuses = live_fuses, .live_fuse_count = 1, .earth_pin = true};
    static enum protection protections[NET_COUNT] = {
        [RECT] = PROTECTION_UPSTREAM, [HT] = PROTECTION_OWN, [PRE] = PROTECTION_OWN};
    static enum net_role roles[NET_COUNT];

    make_supply();
    trace.covers = covers;
    trace.cover_count = sizeof covers / sizeof *covers;
    trace.mains = &mains;
    trace.mains_count = 1;
    trace.protections = protections;
    trace.roles = roles;
}

static void make_solution(void)
{
    static struct wave nodes[NET_COUNT], branches[BRANCH_COUNT];
    static bool node_solved[NET_COUNT], branch_solved[BRANCH_COUNT];

    memset(node_solved, true, sizeof node_solved);
    memset(branch_solved, true, sizeof branch_solved);
    for (size_t i = 0; i < NET_COUNT; i++)
        nodes[i] = (struct wave){.mean = 0, .rms = 1, .low = -1, .high = 1};
    nodes[RECT] = nodes[HT] = (struct wave){.mean = 380, .rms = 380, .low = 375, .high = 385};
    nodes[PRE] = (struct wave){.mean = 300, .rms = 300, .low = 300, .high = 300};
    for (size_t i = 0; i < BRANCH_COUNT; i++)
        branches[i] = (struct wave){.mean = 0.1, .rms = 0.2, .low = 0, .high = 0.6};
    healthy = (struct solution){.status = SOLVE_OK, .hertz = 50, .nodes = nodes,
                                .branches = branches, .node_solved = node_solved,
                                .branch_solved = branch_solved};
}

static struct fuse_state fuse_state(size_t branch, const char *text)
{
    struct fuse_state state = {.branch = branch, .drawn = text};

    ck_assert(marking_parse(text, &state.marking));
    state.gates = gates_for(&state.marking, &state.assumed);
    state.known = state.marking.rated && state.gates != NULL;
    return state;
}

/* A short before the HT fuse, that the mains fuse clears; one behind it, that nothing clears;
 * one behind the dropper. */
static void make_whatif(void)
{
    static struct fuse_state fuses[2];
    static struct fault_through at_rect[] = {{0, 3, 20, 5}, {1, 0, INFINITY, 0}};
    static struct fault_through at_ht[] = {{0, 0.9, INFINITY, 2}, {1, 1.8, INFINITY, 4}};
    static struct fault_through at_pre[] = {{0, 0.3, INFINITY, 1}, {1, 0.22, INFINITY, 1}};
    static struct fault_carrier supply[] = {{B_HT, 1.8}, {B_D1, 1.8}, {B_PRIMARY, 0.9}};
    static struct fault_carrier dropper[] = {{B_R1, 0.017}};
    static struct fault faults[3];
    const struct fault made[] = {
        {.id = "short-rail1-rect", .node = RECT, .back = GND, .through = at_rect,
         .through_count = 2, .amps = 2.5, .opens_by = 20, .opened_by = 0},
        {.id = "short-rail1-ht", .node = HT, .back = GND, .through = at_ht, .through_count = 2,
         .carriers = supply, .carrier_count = 3, .amps = 1.8, .opens_by = INFINITY,
         .opened_by = SIZE_MAX},
        {.id = "short-rail1-pre", .node = PRE, .back = GND, .through = at_pre, .through_count = 2,
         .carriers = dropper, .carrier_count = 1, .amps = 0.017, .opens_by = INFINITY,
         .opened_by = SIZE_MAX},
    };

    fuses[0] = fuse_state(B_F1, "T1AL250V");
    fuses[1] = fuse_state(B_F2, "T2AL250V");
    memcpy(faults, made, sizeof faults);
    whatif = (struct whatif){.fuses = fuses, .fuse_count = 2, .faults = faults, .fault_count = 3,
                              .rail_faults = 3};
}

static void setup(void)
{
    arena = arena_new();
    make_circuit();
    make_parts();
    make_network();
    make_trace();
    make_solution();
    make_whatif();
    stages = (struct findings_of_stages){.circuit = circuit, .parts = &parts, .network = &network, .trace = &trace,
                                         .healthy = &healthy, .whatif = &whatif};
    facts = NULL;
}

static void teardown(void)
{
    xmlFreeDoc(facts);
    circuit_free(circuit);
    arena_free(arena);
}

/* The facts, valid against the schema and without a number that is none. */
static void build(void)
{
    xmlRelaxNGParserCtxt *parser = xmlRelaxNGNewParserCtxt(source_path("rules/facts.rng"));
    xmlRelaxNG *schema = xmlRelaxNGParse(parser);
    xmlRelaxNGValidCtxt *context;
    xmlChar *bytes;
    int length;

    ck_assert_ptr_nonnull(schema);
    facts = facts_build(&stages);
    xmlDocDumpMemory(facts, &bytes, &length);
    context = xmlRelaxNGNewValidCtxt(schema);
    ck_assert_msg(xmlRelaxNGValidateDoc(context, facts) == 0, "%s", (const char *)bytes);
    ck_assert_ptr_null(strstr((const char *)bytes, "\"nan\""));
    ck_assert_ptr_null(strstr((const char *)bytes, "inf\""));
    xmlFree(bytes);
    xmlRelaxNGFreeValidCtxt(context);
    xmlRelaxNGFree(schema);
    xmlRelaxNGFreeParserCtxt(parser);
}

/* The element NAME whose attribute KEY is VALUE. */
static xmlNode *element(const char *name, const char *key, const char *value)
{
    for (xmlNode *node = xmlDocGetRootElement(facts)->children; node != NULL; node = node->next) {
        xmlChar *got = xmlGetNoNsProp(node, (const xmlChar *)key);
        bool found = strcmp((const char *)node->name, name) == 0 && got != NULL &&
                     strcmp((const char *)got, value) == 0;

        xmlFree(got);
        if (found)
            return node;
    }
    ck_abort_msg("no %s with %s=%s", name, key, value);
    return NULL;
}

/* VALUE NULL: the attribute must not be there. */
static void assert_attribute(xmlNode *node, const char *name, const char *value)
{
    xmlChar *got = xmlGetNoNsProp(node, (const xmlChar *)name);

    if (value == NULL)
        ck_assert_msg(got == NULL, "%s is \"%s\"", name, (const char *)got);
    else
        ck_assert_msg(got != NULL && strcmp((const char *)got, value) == 0,
                      "%s is \"%s\", not \"%s\"", name,
                      got != NULL ? (const char *)got : "absent", value);
    xmlFree(got);
}

START_TEST(fuse_is_judged)
{
    xmlNode *fuse;

    build();
    fuse = element("fuse", "ref", "F2");
    assert_attribute(fuse, "marking", "T2AL250V");
    assert_attribute(fuse, "rated-amps", "2");
    assert_attribute(fuse, "opening-amps", "4.2");
    assert_attribute(fuse, "continuous-amps", "2");
    assert_attribute(fuse, "idle-amps", "0.2");
    assert_attribute(fuse, "normal-multiple", "10");
    assert_attribute(fuse, "placement", "rail");
    assert_attribute(fuse, "winding", "T1.HT");
    assert_attribute(fuse, "winding-amps", "0.15");
    assert_attribute(fuse, "winding-amps-at-rating", "2");
    assert_attribute(fuse, "least-fault", "short-rail1-ht");
    assert_attribute(fuse, "uncleared-fault", "short-rail1-ht");
    assert_attribute(fuse, "uncleared-amps", "1.8");
    assert_attribute(fuse, "uncleared-carriers", "T1 D1");
    assert_attribute(fuse, "rests-on", "assumption1");
    assert_attribute(element("fuse", "ref", "F1"), "placement", "mains");
    assert_attribute(element("fuse", "ref", "F1"), "uncleared-fault", NULL);
}
END_TEST

START_TEST(rail_counts_nodes_with_parts)
{
    xmlNode *rail;

    build();
    rail = element("rail", "id", "rail1");
    assert_attribute(rail, "volts", "380");
    assert_attribute(rail, "amps", "0.1");
    assert_attribute(rail, "idle-watts", "38");
    assert_attribute(rail, "protection", "own");
    assert_attribute(rail, "weakest-net", "ht");
    assert_attribute(rail, "shorts-behind-dropper", "1");
    assert_attribute(rail, "short", "short-rail1-ht");
    assert_attribute(rail, "short-cleared", "no");
    assert_attribute(rail, "bare-net", NULL); /* the mains fuse clears it */
}
END_TEST

START_TEST(short_of_bare_wiring)
{
    whatif.faults[0].opens_by = INFINITY;
    whatif.faults[0].opened_by = SIZE_MAX;
    build();
    assert_attribute(element("rail", "id", "rail1"), "bare-net", "rect");
    assert_attribute(element("rail", "id", "rail1"), "bare-short-amps", "2.5");
    whatif.faults[0].opens_by = 20;
    whatif.faults[0].opened_by = 0;
}
END_TEST

START_TEST(dropper_limits)
{
    build();
    assert_attribute(element("fault", "id", "short-rail1-ht"), "limited-by", "source");
    assert_attribute(element("fault", "id", "short-rail1-pre"), "limited-by", "dropper");
    assert_attribute(element("fault", "id", "short-rail1-ht"), "opens-by", NULL);
    assert_attribute(element("fault", "id", "short-rail1-rect"), "opens-by", "20");
    assert_attribute(element("fault", "id", "short-rail1-rect"), "opened-by", "F1");
}
END_TEST

/* R1 moved between winding and rectifier: it limits the short of ht, unless the winding is one
 * of coupled inductors, whose resistance is drawn so. */
START_TEST(resistor_ahead_of_the_rectifier)
{
    struct fault_carrier carriers[] = {{B_R1, 0.017}, {B_D1, 0.017}};

    network.branches[B_R1].from = HTA;
    network.branches[B_R1].to = RECT;
    trace.rails[0].nodes[2].path_count = 0;
    whatif.faults[1].carriers = carriers;
    whatif.faults[1].carrier_count = 2;
    build();
    assert_attribute(element("fault", "id", "short-rail1-ht"), "limited-by", "dropper");
    assert_attribute(element("rail", "id", "rail1"), "dropper-net", "ht");
    xmlFreeDoc(facts);
    network.branches[B_HT].section = NULL;
    build();
    assert_attribute(element("fault", "id", "short-rail1-ht"), "limited-by", "source");
    trace.rails[0].nodes[2].path_count = 1;
}
END_TEST

START_TEST(checks_run_over_it)
{
    const char *directory = source_path("rules/checks");
    struct diags diags = diags_start(arena);
    struct rules *rules = rules_load(arena, &diags, &directory, 1);
    size_t errors = 0;

    build();
    rules_run(rules, facts, arena, &diags);
    for (size_t i = 0; i < diags.count; i++) {
        if (diags.items[i].level != LEVEL_ERROR)
            continue;
        errors++;
        ck_assert_str_eq(diags.items[i].rule, "fuse-oversized");
        ck_assert_str_eq(diags.items[i].objects[0].name, "F2");
        ck_assert_uint_eq(diags.items[i].place.line, 7);
        ck_assert_ptr_nonnull(diags.items[i].rests_on);
        ck_assert_str_eq(diags.items[i].rests_on, "D1 series-ohms 0.05 (0.01 to 0.1) [assumption1]");
    }
    ck_assert_uint_eq(errors, 1);
    rules_free(rules);
}
END_TEST

START_TEST(nothing_solved)
{
    healthy.status = SOLVE_NOT_CONVERGED;
    healthy.blame = "D1";
    for (size_t i = 0; i < 3; i++)
        whatif.faults[i].status = SOLVE_SINGULAR;
    build();
    assert_attribute(xmlDocGetRootElement(facts), "solved", "no");
    assert_attribute(xmlDocGetRootElement(facts), "blame", "D1");
    assert_attribute(element("net", "name", "ht"), "volts", NULL);
    assert_attribute(element("fuse", "ref", "F2"), "idle-amps", NULL);
    assert_attribute(element("fuse", "ref", "F2"), "uncleared-fault", NULL);
    assert_attribute(element("fuse", "ref", "F2"), "shorts-unjudged", "2");
    assert_attribute(element("rail", "id", "rail1"), "volts", NULL);
    assert_attribute(element("rail", "id", "rail1"), "shorts-unsolved", "2");
    assert_attribute(element("fault", "id", "short-rail1-ht"), "solved", "no");
    assert_attribute(element("fault", "id", "short-rail1-ht"), "amps", NULL);
}
END_TEST

START_TEST(unknown_marking_is_not_judged)
{
    whatif.fuses[1] = (struct fuse_state){.branch = B_F2};
    build();
    assert_attribute(element("fuse", "ref", "F2"), "known", "no");
    assert_attribute(element("fuse", "ref", "F2"), "rated-amps", NULL);
    assert_attribute(element("fuse", "ref", "F2"), "uncleared-fault", NULL);
    assert_attribute(element("fuse", "ref", "F2"), "shorts-unjudged", "2");
}
END_TEST

START_TEST(source_with_a_gap_is_not_judged)
{
    const char *gaps[] = {"T1: the volts of winding HT are not known"}, *about[] = {"T1"};

    network.gaps = gaps;
    network.gap_parts = about;
    network.gap_count = 1;
    build();
    assert_attribute(element("gap", "part", "T1"), "stage", "device");
    assert_attribute(element("fuse", "ref", "F2"), "uncleared-fault", NULL);
}
END_TEST

START_TEST(stages_missing)
{
    stages.trace = NULL;
    stages.healthy = NULL;
    stages.whatif = NULL;
    build();
    element("gap", "stage", "trace");
    element("gap", "stage", "whatif");
    assert_attribute(element("fuse", "ref", "F2"), "marking", "T2AL250V");
    assert_attribute(element("fuse", "ref", "F2"), "known", "no");
}
END_TEST

START_TEST(fuse_without_branch_is_a_gap)
{
    network.branches[B_F2].kind = BRANCH_CONTACT;
    build();
    assert_attribute(element("gap", "part", "F2"), "stage", "device");
}
END_TEST

START_TEST(awkward_values)
{
    circuit_find_part(circuit, "R1")->value = "\x01" "4k7\xFF<&\"'\xED\xA0\x80\xEF\xBF\xBF\x1F";
    circuit_find_part(circuit, "R2")->value = "";
    healthy.nodes[PRE] = (struct wave){NAN, INFINITY, -INFINITY, NAN};
    healthy.branches[B_F2].rms = INFINITY;
    whatif.faults[1].amps = NAN;
    whatif.faults[1].through[1].amps = NAN;
    section.volts.value = 0;
    build();
    assert_attribute(element("part", "ref", "R1"), "value",
                     "\xEF\xBF\xBD" "4k7\xEF\xBF\xBD<&\"'\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD");
    assert_attribute(element("net", "name", "pre"), "volts", NULL);
    assert_attribute(element("source", "id", "T1.HT"), "volts", NULL);
    whatif.faults[1].through[1].amps = 1.8;
    whatif.faults[1].amps = 1.8;
}
END_TEST

START_TEST(every_figure)
{
    for (size_t i = 0; i < FIGURE_COUNT; i++)
        part_set_figure(arena, info_of("D1"), (enum figure_id)i, 1 + (double)i, 1, 99,
                        FIGURE_FROM_LIBRARY, "somewhere");
    build();
}
END_TEST

Suite *check_facts_suite(void);

Suite *check_facts_suite(void)
{
    Suite *suite = suite_create("facts");
    TCase *tests = tcase_create("document");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, fuse_is_judged);
    tcase_add_test(tests, rail_counts_nodes_with_parts);
    tcase_add_test(tests, short_of_bare_wiring);
    tcase_add_test(tests, dropper_limits);
    tcase_add_test(tests, resistor_ahead_of_the_rectifier);
    tcase_add_test(tests, checks_run_over_it);
    tcase_add_test(tests, nothing_solved);
    tcase_add_test(tests, unknown_marking_is_not_judged);
    tcase_add_test(tests, source_with_a_gap_is_not_judged);
    tcase_add_test(tests, stages_missing);
    tcase_add_test(tests, fuse_without_branch_is_a_gap);
    tcase_add_test(tests, awkward_values);
    tcase_add_test(tests, every_figure);
    suite_add_tcase(suite, tests);
    return suite;
}
