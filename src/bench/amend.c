/* Statements that change the circuit before its parts are recognised. */
#include "bench/amend.h"

#include <stdarg.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/nearest.h"
#include "circuit/circuit.h"

void amend_refuse(struct bench *bench, struct statement *statement,
                  const struct bench_value *value, const char *expected, const char *format, ...)
{
    const char *message;
    va_list args;

    va_start(args, format);
    message = arena_vprint(bench->arena, format, args);
    va_end(args);
    diag_input(bench->diags, LEVEL_ERROR, value != NULL ? value->place : statement->place,
               value != NULL ? value->text : NULL, expected, "%s", message);
    statement->refused = true;
}

static void refuse_name(struct bench *bench, struct statement *statement,
                        const struct bench_value *value, const char *name, const char *what,
                        const char *nearest)
{
    amend_refuse(bench, statement, value, NULL, "there is no %s %.100s in the netlist%s%s", what,
                 name, nearest != NULL ? "; the nearest is " : "", nearest != NULL ? nearest : "");
}

struct part *amend_part(struct bench *bench, struct statement *statement,
                        const struct circuit *circuit, const char *key)
{
    const struct bench_value *value = statement_value(statement, key);
    struct part *part = value != NULL ? circuit_find_part(circuit, value->text) : NULL;
    struct nearest nearest;

    if (value == NULL || part != NULL)
        return part;
    if (circuit_same_refs(circuit, bench->arena, value->text) != NULL) {
        amend_refuse(bench, statement, value, circuit_same_refs(circuit, bench->arena, value->text),
                     "%.100s is in several netlists: say which", value->text);
        return NULL;
    }
    nearest = nearest_start(value->text, strlen(value->text));
    for (size_t i = 0; i < circuit->part_count && bench->diags->dropped == 0; i++)
        nearest_offer(&nearest, circuit->parts[i]->ref);
    refuse_name(bench, statement, value, value->text, "part", nearest.name);
    return NULL;
}

struct net *amend_named_net(struct bench *bench, struct statement *statement,
                            const struct circuit *circuit, const struct bench_value *value,
                            const char *name)
{
    struct net *net = circuit_find_net(circuit, name);
    struct nearest nearest = nearest_start(name, strlen(name));

    if (net != NULL)
        return net;
    for (size_t i = 0; i < circuit->net_count && bench->diags->dropped == 0; i++)
        nearest_offer(&nearest, circuit->nets[i]->name);
    refuse_name(bench, statement, value, name, "net", nearest.name);
    return NULL;
}

struct net *amend_net(struct bench *bench, struct statement *statement,
                      const struct circuit *circuit, const char *key)
{
    const struct bench_value *value = statement_value(statement, key);

    return value != NULL ? amend_named_net(bench, statement, circuit, value, value->text) : NULL;
}

static void drop_field(struct part *part, const char *key)
{
    for (size_t i = 0; i < part->field_count; i++)
        if (strcmp(part->fields[i].key, key) == 0)
            part->fields[i].value = "";
}

/* Two spellings of one field: the one that was measured must not lose to the other. */
static void drop_synonym(struct part *part, const char *key)
{
    if (strcmp(key, "ohms") == 0)
        drop_field(part, "resistance");
    else if (strcmp(key, "resistance") == 0)
        drop_field(part, "ohms");
}

void amend_field(struct circuit *circuit, struct part *part, const char *name, const char *text)
{
    const char *key = field_key(circuit->arena, name);

    drop_synonym(part, key);
    drop_field(part, key);
    circuit_add_field(circuit, part, name, text);
}

/* TEXT as a part of a deck would say it: there an M is milli, and 4k7 is 4k. */
static const char *in_dialect(struct arena *arena, const struct part *part, const char *text)
{
    struct quantity meant, read;

    if (part->dialect != QUANTITY_SPICE ||
        !quantity_parse(text, QUANTITY_SCHEMATIC, UNIT_NONE, &meant) || meant.unit > UNIT_HENRY ||
        (quantity_parse(text, QUANTITY_SPICE, UNIT_NONE, &read) && read.value == meant.value))
        return text;
    return arena_print(arena, "%.9g", meant.value);
}

/* A corrected value replaces what fields said of the same figure: they would win over it. */
static void amend_value(struct arena *arena, struct part *part, const char *value)
{
    struct quantity quantity;

    part->value = in_dialect(arena, part, value);
    drop_field(part, "rating");
    if (!quantity_parse(value, QUANTITY_SCHEMATIC, UNIT_OHM, &quantity))
        return;
    if (quantity.unit == UNIT_FARAD)
        drop_field(part, "capacitance");
    else if (quantity.unit == UNIT_HENRY)
        drop_field(part, "inductance");
    else if (part->letter != 'L') {
        drop_field(part, "ohms");
        drop_field(part, "resistance");
    }
}

static void amend_one_field(struct circuit *circuit, struct part *part,
                            const struct bench_value *value)
{
    if (strcmp(value->key, "is") == 0) {
        drop_field(part, "type");
        amend_field(circuit, part, "kind", value->text);
    } else if (strcmp(value->key, "fitted") == 0) {
        part->not_fitted = strcasecmp(value->text, "no") == 0;
    } else if (strcmp(value->key, "ref") != 0 && strcmp(value->key, "value") != 0) {
        amend_field(circuit, part, value->name, in_dialect(circuit->arena, part, value->text));
    }
}

/* The value first: a field told beside it stays. */
static void amend_part_itself(struct bench *bench, struct statement *statement,
                              struct circuit *circuit)
{
    struct part *part = amend_part(bench, statement, circuit, "ref");

    if (part == NULL)
        return;
    if (statement_text(statement, "value") != NULL)
        amend_value(bench->arena, part, statement_text(statement, "value"));
    for (size_t i = 0; i < statement->value_count; i++)
        amend_one_field(circuit, part, &statement->values[i]);
}

static void amend_fitted(struct bench *bench, struct statement *statement,
                         struct circuit *circuit)
{
    struct part *part = amend_part(bench, statement, circuit, "part");
    const char *place = statement_text(statement, "place");

    if (part != NULL && place != NULL)
        amend_field(circuit, part, "place", place);
}

static void amend_drawn(struct bench *bench, struct statement *statement, struct circuit *circuit)
{
    struct part *part = amend_part(bench, statement, circuit, "part");

    if (part != NULL)
        amend_field(circuit, part, "load", statement_text(statement, "amps"));
}

/* A changeover switch is drawn in position 1. */
static void amend_switch(struct bench *bench, struct statement *statement,
                         struct circuit *circuit)
{
    struct part *part = amend_part(bench, statement, circuit, "part");
    const char *state = statement_text(statement, "state");
    const char *position = statement_text(statement, "position");

    if (part == NULL)
        return;
    if (state != NULL && position != NULL)
        amend_refuse(bench, statement, statement_value(statement, "position"), NULL,
                     "a switch has a state or a position, not both");
    else
        amend_field(circuit, part, "state",
                    state != NULL ? state : *position == '1' ? "closed" : "open");
}

static struct net *ground(const struct circuit *circuit)
{
    static const char *const names[] = {"0", "gnd", "chassis", "ground", "0v"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        for (size_t k = 0; k < circuit->net_count; k++)
            if (strcasecmp(circuit->nets[k]->leaf, names[i]) == 0)
                return circuit->nets[k];
    return NULL;
}

/* A load that is drawn nowhere becomes a part that stands for it. */
static void amend_load(struct bench *bench, struct statement *statement, struct circuit *circuit)
{
    struct net *net = amend_net(bench, statement, circuit, "net");
    bool told = statement_value(statement, "return") != NULL;
    struct net *back = told ? amend_net(bench, statement, circuit, "return") : ground(circuit);
    struct part *part;

    if (back == NULL && !told && net != NULL)
        amend_refuse(bench, statement, NULL, "return= and the net that the current goes back to",
                     "no net is named as ground");
    if (back == net && net != NULL)
        amend_refuse(bench, statement, statement_value(statement, "net"), NULL,
                     "a load from %s to itself draws nothing", net->name);
    if (net == NULL || statement->refused)
        return;
    part = circuit_add_part(circuit, arena_print(bench->arena, "load on %s", net->name),
                            statement->place);
    if (part == NULL) {
        amend_refuse(bench, statement, NULL, NULL, "the netlist has a part of that name");
        return;
    }
    amend_field(circuit, part, "kind", "connector");
    amend_field(circuit, part, "load", statement_text(statement, "amps"));
    circuit_connect(circuit, part, "1", NULL, NULL, net);
    circuit_connect(circuit, part, "2", NULL, NULL, back);
}

static void amend_winding(struct bench *bench, struct statement *statement,
                          struct circuit *circuit)
{
    amend_part(bench, statement, circuit, "part");
}

static void amend_measured(struct bench *bench, struct statement *statement,
                           struct circuit *circuit)
{
    amend_net(bench, statement, circuit, "net");
    amend_net(bench, statement, circuit, "to");
}

/* Holders make parts, and kinds come before what goes by them. */
static const struct amend_row {
    enum bench_word word;
    void (*amend)(struct bench *bench, struct statement *statement, struct circuit *circuit);
} amend_rows[] = {
    {BENCH_HOLDER, amend_holder},   {BENCH_PART, amend_part_itself}, {BENCH_FITTED, amend_fitted},
    {BENCH_WINDING, amend_winding}, {BENCH_MEASURED, amend_measured}, {BENCH_DRAWN, amend_drawn},
    {BENCH_SWITCH, amend_switch},   {BENCH_LOAD, amend_load},
};

void bench_amend(struct bench *bench, struct circuit *circuit)
{
    for (size_t i = 0; i < sizeof amend_rows / sizeof *amend_rows; i++)
        for (size_t k = 0; k < bench->count; k++)
            if (bench->items[k]->word == amend_rows[i].word)
                amend_rows[i].amend(bench, bench->items[k], circuit);
    if (bench->count > 0)
        circuit_finish(circuit);
}
