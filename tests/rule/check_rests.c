/* Every list of what a figure rests on names assumptions that are there, and whatever moves when an
 * assumed value goes to an end of its range lists it. */
#include "check_prearc.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <libxml/parser.h>
#include <libxml/tree.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "fitting.h"
#include "netlist/reader.h"
#include "parts/parts.h"
#include "rule/facts.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/full_signal.h"
#include "whatif/switch_on.h"
#include "whatif/whatif.h"

static const double moved_share = 1e-3;

/* Supplies, whole amplifiers, boards of which little is known. */
static const char *const netlists[] = {
    "netlists/heronsgate-40/spice/sound.cir", "tests/coverage/two-transformers.cir",
    "tests/coverage/k-windings.cir",          "tests/coverage/doubler-after.cir",
    "tests/coverage/bias-own-winding.cir",    "tests/coverage/rect-5u4gb.cir",
    "tests/coverage/feeds-board.xml",         "tests/coverage/german.xml",
};

struct stage_run {
    struct arena *arena;
    struct diags diags;
    struct circuit *circuit;
    struct parts *parts;
    struct network *network;
    struct trace *trace;
    xmlDoc *facts; /* as assumed */
};

/* All on one fine grid: left to itself the solver chooses one for each, and those agree within 0.5 % only. */
static const struct solve_options one_grid = {.steps = 1024};

static xmlDoc *facts_of(struct stage_run *run, struct network *network)
{
    struct findings_of_stages stages = {.circuit = run->circuit, .parts = run->parts,
                                        .network = network};

    stages.trace = run->trace = trace_network(run->arena, network);
    stages.healthy = solve_steady(run->arena, network, &one_grid);
    stages.whatif = whatif_run(run->arena, network, stages.trace, stages.healthy, NULL, 0);
    stages.full = full_signal_find(run->arena, network, stages.trace, stages.healthy);
    stages.switch_on = switch_on_run(run->arena, network, stages.trace, stages.healthy, stages.whatif);
    return facts_build(&stages);
}

/* As far as the parts; nothing is solved. */
static struct stage_run read_parts(const char *name)
{
    char data_dir[4096];
    struct stage_run run = {.arena = arena_new()};
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};
    struct read_input input = {.arena = run.arena, .options = &read};

    snprintf(data_dir, sizeof data_dir, "%s", source_path("rules"));
    run.diags = diags_start(run.arena);
    input.diags = &run.diags;
    input.source = source_read(run.arena, &run.diags, source_path(name));
    ck_assert_msg(input.source != NULL, "%s", name);
    run.circuit = netlist_read(&input);
    ck_assert_ptr_nonnull(run.circuit);
    run.parts = parts_recognise(run.arena, &run.diags, run.circuit, &options);
    return run;
}

static struct stage_run start(const char *name)
{
    struct stage_run run = read_parts(name);

    run.network = network_build(run.arena, run.parts);
    run.facts = facts_of(&run, run.network);
    return run;
}

/* The facts as prearc tells them, which tests/list keeps for every test that asks for this netlist. */
static struct stage_run start_told(const char *name)
{
    struct stage_run run = read_parts(name);
    char folder[] = P_tmpdir "/prearc-facts-XXXXXX", command[12288];
    const char *top = getenv("top_builddir");
    bool good;

    fitting_resistances(run.arena, run.parts, NULL, 0); /* as every command does */
    run.network = network_build(run.arena, run.parts);
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(command, sizeof command, "SOURCE_DATE_EPOCH=1767225600 '%s/tests/list' '%s/of.' '%s'", top != NULL ? top : ".",
             folder, source_path(name));
    good = system(command) == 0;
    snprintf(command, sizeof command, "%s/of.facts.xml", folder);
    run.facts = good ? xmlReadFile(command, NULL, XML_PARSE_NONET) : NULL;
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    good = system(command) == 0;
    ck_assert_msg(run.facts != NULL && good, "%s: no facts", name);
    return run;
}

static void finish(struct stage_run *run)
{
    xmlFreeDoc(run->facts);
    circuit_free(run->circuit);
    arena_free(run->arena);
}

static char *text_of(const xmlNode *node, const char *name)
{
    return (char *)xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)name);
}

static bool number_of(const xmlNode *node, const char *name, double *value)
{
    char *text = text_of(node, name);
    bool given = text != NULL;

    if (given)
        *value = strtod(text, NULL);
    xmlFree(text);
    return given;
}

/* What the solver computes, and beside what a change of it is to be seen: a mean of 1e-6 V of a node that
 * swings 300 V is nothing. */
static const struct computed_row {
    const char *element, *attribute, *scale;
} computed[] = {
    {"net", "volts", "high"},      {"net", "rms-volts", "high"}, {"net", "low", "rms-volts"},
    {"net", "high", "rms-volts"},  {"net", "ripple-volts", "high"},
    {"part", "amps", NULL},        {"part", "watts", NULL},
    {"current", "mean", "peak"},   {"current", "rms", "peak"},   {"current", "peak", NULL},
    {"rectifier", "average-amps", NULL}, {"rectifier", "peak-amps", NULL},
    {"rectifier", "reverse-volts", NULL},
    {"rail", "volts", NULL},       {"rail", "amps", NULL},       {"rail", "idle-watts", NULL},
    {"rail", "ripple-volts", "volts"},
    {"node", "volts", NULL},       {"load", "amps", NULL},       {"node", "joules", NULL},
    {"fuse", "idle-amps", NULL},   {"fuse", "normal-multiple", NULL},
    {"fuse", "full-amps", NULL},   {"fuse", "clipped-amps", NULL}, {"rail", "full-amps", NULL},
    {"rail", "full-volts", NULL},  {"rail", "clipped-amps", NULL}, {"node", "full-volts", NULL},
    {"output-stage", "idle-amps", NULL}, {"output-stage", "full-amps", NULL}, {"output-stage", "clipped-amps", NULL},
    {"rail", "cold-ohms", NULL},   {"node", "seconds-to-60V", NULL},
    {"fuse", "switch-on-i2t", "switch-on-peak-amps"}, {"fuse", "switch-on-peak-amps", NULL},
    {"fuse", "uncleared-amps", NULL}, {"fuse", "slowest-seconds", NULL},
    {"fault", "amps", NULL},       {"fault", "opens-by", NULL},  {"through", "amps", NULL},
    {"carrier", "amps", NULL},     {"contact", "volts", NULL},
};
enum { COMPUTED_ROWS = sizeof computed / sizeof *computed };

static bool is_named(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

/* Whether NODE or what it is in rests on assumption ID. */
static bool rests_on(const xmlNode *node, const char *id)
{
    bool found = false;

    for (; node != NULL && node->parent != NULL && node->parent->type == XML_ELEMENT_NODE && !found;
         node = node->parent) {
        char *list = text_of(node, "rests-on"), *rest = NULL;

        found = list != NULL && strcmp(list, "every") == 0;
        for (char *word = list != NULL ? strtok_r(list, " ", &rest) : NULL; word != NULL && !found;
             word = strtok_r(NULL, " ", &rest))
            found = strcmp(word, id) == 0;
        xmlFree(list);
    }
    return found;
}

static size_t compare_row(const xmlNode *before, const xmlNode *after, const struct computed_row *row,
                          const char *id, const char *what)
{
    double old, new, scale = 0;

    if (!is_named(before, row->element) || !number_of(before, row->attribute, &old) ||
        !number_of(after, row->attribute, &new))
        return 0;
    if (row->scale != NULL)
        number_of(before, row->scale, &scale);
    if (fabs(new - old) <= moved_share * fmax(fabs(old), 1e-3 * fabs(scale)) || fabs(new - old) < 1e-8)
        return 0;
    ck_assert_msg(rests_on(before, id), "%s %s of line %ld went from %g to %g with %s, which is not listed",
                  row->element, row->attribute, xmlGetLineNo((xmlNode *)before), old, new, what);
    return 1;
}

/* Both documents have the same elements, for the circuit is the same. Figures that moved are counted. */
static size_t compare(const xmlNode *before, const xmlNode *after, const char *id, const char *what)
{
    size_t moved = 0;

    for (; before != NULL && after != NULL; before = before->next, after = after->next) {
        if (!xmlStrEqual(before->name, after->name))
            break;
        for (size_t i = 0; i < COMPUTED_ROWS; i++)
            moved += compare_row(before, after, &computed[i], id, what);
        moved += compare(before->children, after->children, id, what);
    }
    return moved;
}

static const struct assumption *find(const struct network *network, const char *part, const char *what)
{
    for (size_t i = 0; i < network->assumption_count; i++)
        if (network->assumptions[i].part != NULL && part != NULL &&
            strcmp(network->assumptions[i].part, part) == 0 &&
            strcmp(network->assumptions[i].what, what) == 0)
            return &network->assumptions[i];
    return NULL;
}

static size_t move(struct stage_run *run, const struct assumption *assumption, double instead,
                   const char *id)
{
    struct alteration alteration = {assumption, instead};
    xmlDoc *facts = facts_of(run, network_build_altered(run->arena, run->parts, &alteration));
    char what[200];
    size_t moved;

    snprintf(what, sizeof what, "%s %s at %g", assumption->part, assumption->what, instead);
    moved = compare(xmlDocGetRootElement(run->facts)->children, xmlDocGetRootElement(facts)->children,
                    id, what);
    xmlFreeDoc(facts);
    return moved;
}

START_TEST(what_moves_is_listed)
{
    struct stage_run run = start(netlists[_i]);
    size_t moved = 0;

    for (xmlNode *at = xmlDocGetRootElement(run.facts)->children; at != NULL; at = at->next) {
        char *id = text_of(at, "id"), *part = text_of(at, "part"), *what = text_of(at, "what");
        const struct assumption *assumption =
            is_named(at, "assumption") ? find(run.network, part, what) : NULL;

        if (assumption != NULL && assumption->low != assumption->value)
            moved += move(&run, assumption, assumption->low, id);
        if (assumption != NULL && assumption->high != assumption->value)
            moved += move(&run, assumption, assumption->high, id);
        xmlFree(id);
        xmlFree(part);
        xmlFree(what);
    }
    ck_assert_msg(moved > 20, "%s: %zu figures moved", netlists[_i], moved);
    finish(&run);
}
END_TEST

/* Every network assumption is listed in the facts. */
static void assert_all_listed(const struct stage_run *run, const char *name)
{
    for (size_t i = 0; i < run->network->assumption_count; i++) {
        const struct assumption *assumption = &run->network->assumptions[i];
        bool listed = false;

        for (xmlNode *at = xmlDocGetRootElement(run->facts)->children; at != NULL && !listed;
             at = at->next) {
            char *part = text_of(at, "part"), *what = text_of(at, "what");

            listed = is_named(at, "assumption") && what != NULL && strcmp(what, assumption->what) == 0 &&
                     (part == NULL) == (assumption->part == NULL) &&
                     (part == NULL || strcmp(part, assumption->part) == 0);
            xmlFree(part);
            xmlFree(what);
        }
        ck_assert_msg(listed, "%s: %s %s is not listed", name, assumption->part, assumption->what);
    }
}

static void assert_resolves(const struct stage_run *run, const xmlNode *node, const char *name)
{
    char *list = text_of(node, "rests-on"), *rest = NULL;

    ck_assert_msg(list == NULL || list[0] != '\0', "%s: an empty list", name);
    for (char *id = list != NULL ? strtok_r(list, " ", &rest) : NULL; id != NULL;
         id = strtok_r(NULL, " ", &rest)) {
        bool found = strcmp(id, "every") == 0;

        for (xmlNode *at = xmlDocGetRootElement(run->facts)->children; at != NULL && !found;
             at = at->next) {
            char *own = text_of(at, "id");

            found = is_named(at, "assumption") && own != NULL && strcmp(own, id) == 0;
            xmlFree(own);
        }
        ck_assert_msg(found, "%s: %s is no assumption", name, id);
    }
    xmlFree(list);
}

/* In a circuit fed by an inlet whose volts are assumed, no rail voltage and no current is without that
 * assumption. */
static size_t assert_rests(const struct stage_run *run, const xmlNode *node, const char *inlet,
                           const char *name)
{
    static const struct computed_row rows[] = {
        {"fuse", "idle-amps", NULL}, {"rectifier", "average-amps", NULL}, {"rail", "volts", NULL},
        {"fault", "amps", NULL}};
    size_t count = 0;
    double value;

    for (; node != NULL; node = node->next) {
        assert_resolves(run, node, name);
        for (size_t i = 0; inlet != NULL && i < sizeof rows / sizeof *rows; i++) {
            if (!is_named(node, rows[i].element) || !number_of(node, rows[i].attribute, &value) ||
                fabs(value) < 1e-6)
                continue;
            count++;
            ck_assert_msg(rests_on(node, inlet), "%s: %s %s %g does not rest on the mains", name,
                          rows[i].element, rows[i].attribute, value);
        }
        count += assert_rests(run, node->children, inlet, name);
    }
    return count;
}

/* The id of the mains' volts if they are assumed and nothing else feeds the circuit; caller frees. */
static char *mains_id(const struct stage_run *run)
{
    char *id = NULL;

    for (xmlNode *at = xmlDocGetRootElement(run->facts)->children; at != NULL; at = at->next) {
        char *what = text_of(at, "what"), *kind = text_of(at, "kind");
        bool other = is_named(at, "source") && strcmp(kind, "inlet") != 0 && strcmp(kind, "winding") != 0;
        bool mains = is_named(at, "assumption") && strcmp(what, "ac-peak-volts") == 0;

        if (other || (mains && id != NULL)) {
            xmlFree(what);
            xmlFree(kind);
            xmlFree(id);
            return NULL;
        }
        if (mains)
            id = text_of(at, "id");
        xmlFree(what);
        xmlFree(kind);
    }
    return id;
}

static size_t walk_file(const char *name)
{
    struct stage_run run = start_told(name);
    char *inlet = mains_id(&run);
    size_t count;

    assert_all_listed(&run, name);
    count = assert_rests(&run, xmlDocGetRootElement(run.facts), inlet, name);
    xmlFree(inlet);
    finish(&run);
    return count;
}

static const char *const folders[] = {"netlists/heronsgate-40/spice", "netlists/heronsgate-40/xml",
                                      "tests/coverage", "tests/supplies", "tests/stages"};

START_TEST(every_list_resolves)
{
    DIR *folder = opendir(source_path(folders[_i]));
    size_t files = 0, figures = 0;

    ck_assert_ptr_nonnull(folder);
    for (struct dirent *entry = readdir(folder); entry != NULL; entry = readdir(folder)) {
        const char *dot = strrchr(entry->d_name, '.');
        char name[512];

        if (dot == NULL || (strcmp(dot, ".cir") != 0 && strcmp(dot, ".xml") != 0))
            continue;
        snprintf(name, sizeof name, "%s/%s", folders[_i], entry->d_name);
        figures += walk_file(name);
        files++;
    }
    closedir(folder);
    ck_assert_uint_gt(files, 1);
    ck_assert_msg(_i > 2 || figures > 20, "%s: %zu figures", folders[_i], figures);
}
END_TEST

Suite *check_rests_suite(void);
Suite *check_rests_suite(void)
{
    Suite *suite = suite_create("check_rests");
    TCase *tests = tcase_create("rests");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, what_moves_is_listed, 0, sizeof netlists / sizeof *netlists);
    tcase_add_loop_test(tests, every_list_resolves, 0, sizeof folders / sizeof *folders);
    suite_add_tcase(suite, tests);
    return suite;
}
