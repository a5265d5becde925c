/* Findings, fuses, rails and what they rest on as JSON (RFC 8259). rules/findings.schema.json describes it; its version number
 * is an interface. Keys are those of the facts document. */
#include "report/report.h"

#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "base/arena.h"
#include "report/sarif_pieces.h"
#include "report/view.h"

/* Raised when something is taken away or means something else; additions leave it. */
enum { FORMAT_VERSION = 1 };

enum fact_type { FACT_TEXT, FACT_NUMBER, FACT_FLAG };

/* An attribute of the facts that is passed on, as what. */
struct fact_row {
    const char *name;
    enum fact_type type;
};

static const struct fact_row fuse_rows[] = {
    {"ref", FACT_TEXT}, {"place", FACT_TEXT}, {"placement", FACT_TEXT}, {"marking", FACT_TEXT},
    {"fitted", FACT_TEXT}, {"known", FACT_FLAG}, {"rated-amps", FACT_NUMBER},
    {"characteristic", FACT_TEXT}, {"breaking-amps", FACT_NUMBER}, {"rated-volts", FACT_NUMBER},
    {"idle-amps", FACT_NUMBER}, {"full-amps", FACT_NUMBER}, {"clipped-amps", FACT_NUMBER},
    {"switch-on-i2t", FACT_NUMBER}, {"switch-on-peak-amps", FACT_NUMBER},
    {"opening-amps", FACT_NUMBER}, {"recommended", FACT_TEXT}, {"no-recommendation", FACT_TEXT},
    {NULL, FACT_TEXT},
};
static const struct fact_row cover_rows[] = {
    {"net", FACT_TEXT}, {"rail", FACT_TEXT}, {"source", FACT_TEXT}, {"coverage", FACT_TEXT},
    {"upstream", FACT_FLAG}, {NULL, FACT_TEXT},
};
static const struct fact_row rail_rows[] = {
    {"id", FACT_TEXT}, {"name", FACT_TEXT}, {"source", FACT_TEXT}, {"volts", FACT_NUMBER},
    {"ripple-volts", FACT_NUMBER}, {"amps", FACT_NUMBER}, {"full-amps", FACT_NUMBER},
    {"clipped-amps", FACT_NUMBER}, {"best-protection", FACT_TEXT}, {NULL, FACT_TEXT},
};
static const struct fact_row node_rows[] = {
    {"net", FACT_TEXT}, {"volts", FACT_NUMBER}, {"ripple-volts", FACT_NUMBER},
    {"joules", FACT_NUMBER}, {"protection", FACT_TEXT}, {NULL, FACT_TEXT},
};
static const struct fact_row assumption_rows[] = {
    {"id", FACT_TEXT}, {"part", FACT_TEXT}, {"what", FACT_TEXT}, {"value", FACT_NUMBER},
    {"low", FACT_NUMBER}, {"high", FACT_NUMBER}, {"reason", FACT_TEXT}, {NULL, FACT_TEXT},
};
static const struct fact_row gap_rows[] = {
    {"stage", FACT_TEXT}, {"part", FACT_TEXT}, {"what", FACT_TEXT}, {"need", FACT_TEXT},
    {NULL, FACT_TEXT},
};

static const struct fact_row netlist_rows[] = {
    {"name", FACT_TEXT}, {"file", FACT_TEXT}, {"format", FACT_TEXT}, {"wires", FACT_FLAG},
    {"parts", FACT_NUMBER}, {"wired-pins", FACT_NUMBER}, {"ground", FACT_TEXT}, {"ground-net", FACT_TEXT},
    {"grounded", FACT_FLAG}, {NULL, FACT_TEXT},
};

/* A kind of fact with the list inside it, if any. */
struct fact_list {
    const char *key, *element;
    const struct fact_row *rows;
    const struct fact_list *inner;
};

static const struct fact_list covers = {"protects", "protects", cover_rows, NULL};
static const struct fact_list nodes = {"nodes", "node", node_rows, NULL};
static const struct fact_list lists[] = {
    {"fuses", "fuse", fuse_rows, &covers},
    {"rails", "rail", rail_rows, &nodes},
    {"assumptions", "assumption", assumption_rows, NULL},
    {"gaps", "gap", gap_rows, NULL},
    {"made-of", "netlist", netlist_rows, NULL},
};

static void set_fact(json_t *json, struct arena *arena, const xmlNode *node,
                     const struct fact_row *row)
{
    double number;

    if (row->type == FACT_TEXT)
        sarif_set(json, row->name, view_text(arena, node, row->name));
    else if (row->type == FACT_FLAG && view_text(arena, node, row->name) != NULL)
        json_object_set_new(json, row->name, json_boolean(view_is(node, row->name, "yes")));
    else if (row->type == FACT_NUMBER && view_number(node, row->name, &number))
        json_object_set_new(json, row->name, json_real(number));
}

static json_t *list_json(struct arena *arena, const xmlNode *parent, const struct fact_list *list)
{
    json_t *array = json_array();

    for (const xmlNode *at = view_first(parent, list->element); at != NULL; at = view_following(at)) {
        json_t *item = json_object();

        for (const struct fact_row *row = list->rows; row->name != NULL; row++)
            set_fact(item, arena, at, row);
        if (list->inner != NULL)
            json_object_set_new(item, list->inner->key, list_json(arena, at, list->inner));
        json_array_append_new(array, item);
    }
    return array;
}

static void set_place(json_t *json, const struct diag *diag)
{
    if (diag->place.line == 0)
        return;
    if (diag->place.source != NULL)
        sarif_set(json, "file", diag->place.source->name);
    json_object_set_new(json, "line", json_integer(diag->place.line));
    if (diag->place.column > 0)
        json_object_set_new(json, "column", json_integer(diag->place.column));
}

static json_t *finding_json(const struct diag *diag)
{
    json_t *json = json_object(), *objects = json_array();

    sarif_set(json, "rule", diag->rule);
    sarif_set(json, "level", level_name(diag->level));
    sarif_set(json, "message", diag->message);
    sarif_set(json, "to-do", diag->fix);
    sarif_set(json, "rests-on-assumed", diag->rests_on);
    sarif_set(json, "accepted", diag->accepted);
    sarif_set(json, "accepted-until", diag->accepted_until);
    for (size_t i = 0; i < diag->object_count; i++) {
        json_t *object = json_object();

        sarif_set(object, "kind", diag->objects[i].kind);
        sarif_set(object, "name", diag->objects[i].name);
        json_array_append_new(objects, object);
    }
    json_object_set_new(json, "about", objects);
    set_place(json, diag);
    return json;
}

static json_t *problem_json(const struct diag *diag)
{
    json_t *json = json_object();

    sarif_set(json, "level", level_name(diag->level));
    sarif_set(json, "message", diag->message);
    sarif_set(json, "text", diag->excerpt);
    sarif_set(json, "expected", diag->expected);
    set_place(json, diag);
    return json;
}

static json_t *counts_json(const struct diags *diags)
{
    size_t counts[LEVEL_ERROR + 1] = {0};
    json_t *json = json_object();

    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].rule != NULL && diags->items[i].accepted == NULL)
            counts[diags->items[i].level]++;
    for (int level = LEVEL_ERROR; level >= LEVEL_NOTE; level--)
        json_object_set_new(json, level_name((enum level)level),
                            json_integer((json_int_t)counts[level]));
    json_object_set_new(json, "accepted", json_integer((json_int_t)diag_count_accepted(diags)));
    return json;
}

static json_t *netlist_json(const struct report_input *input)
{
    const struct diags *diags = input->diags;
    const xmlNode *facts = input->facts != NULL ? xmlDocGetRootElement(input->facts) : NULL;
    json_t *json = json_object(), *findings = json_array(), *problems = json_array();
    struct arena *arena = arena_new();

    sarif_set(json, "netlist", input->netlist);
    sarif_set(json, "circuit", view_text(arena, facts, "circuit"));
    json_object_set_new(json, "read",
                        json_boolean(facts != NULL && diags->dropped == 0 &&
                                     diag_count_input(diags, LEVEL_ERROR) == 0));
    json_object_set_new(json, "counts", counts_json(diags));
    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].rule != NULL)
            json_array_append_new(findings, finding_json(&diags->items[i]));
        else
            json_array_append_new(problems, problem_json(&diags->items[i]));
    json_object_set_new(json, "findings", findings);
    json_object_set_new(json, "problems", problems);
    json_object_set_new(json, "problems-not-listed", json_integer((json_int_t)diags->dropped));
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        json_object_set_new(json, lists[i].key, list_json(arena, facts, &lists[i]));
    arena_free(arena);
    return json;
}

static void write_json(const struct report_input *inputs, size_t count, struct text *out)
{
    json_t *document = json_object(), *netlists = json_array();
    char *dump;

    sarif_set(document, "format", "prearc findings");
    json_object_set_new(document, "version", json_integer(FORMAT_VERSION));
    sarif_set(document, "prearc", inputs[0].version);
    for (size_t i = 0; i < count; i++)
        json_array_append_new(netlists, netlist_json(&inputs[i]));
    json_object_set_new(document, "netlists", netlists);
    dump = json_dumps(document, JSON_INDENT(1) | JSON_REAL_PRECISION(9));
    if (dump != NULL)
        text_add(out, dump);
    text_add_char(out, '\n');
    free(dump);
    json_decref(document);
}

const struct writer json_writer = {
    .name = "json",
    .help = "JSON, for programs of your own",
    .write = write_json,
};
