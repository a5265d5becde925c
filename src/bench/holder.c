/* A fuse that no drawing shows: in an inlet's drawer, in a lead. */
#include "bench/amend.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"

/* By number, then by a name that only one pin has. */
static struct pin *find_pin(struct part *part, const char *name)
{
    struct pin *found = part_pin(part, name), *named = NULL;

    for (size_t i = 0; found == NULL && i < part->pin_count; i++) {
        const char *own = part->pins[i].name;

        if (own == NULL || strcasecmp(own, name) != 0)
            continue;
        if (named != NULL)
            return NULL;
        named = &part->pins[i];
    }
    return found != NULL ? found : named;
}

static const char *pins_of(struct arena *arena, const struct part *part)
{
    enum { NAMED_LARGEST = 8 };
    struct text text = {0};
    const char *list;

    for (size_t i = 0; i < part->pin_count && i < NAMED_LARGEST; i++) {
        const struct pin *pin = &part->pins[i];

        text_print(&text, "%s%s%s%s (%s)", i > 0 ? ", " : "", pin->number,
                   pin->name != NULL ? " " : "", pin->name != NULL ? pin->name : "",
                   pin->net != NULL ? pin->net->name : "no net");
    }
    if (part->pin_count > NAMED_LARGEST)
        text_add(&text, " and more");
    list = arena_print(arena, "a pin of %s: %s", part->ref, text_bytes(&text));
    text_free(&text);
    return list;
}

/* The net between the pin and the fuse, which the drawing has not. */
static struct net *new_net(struct circuit *circuit, const struct pin *pin, struct place place)
{
    const char *name = arena_print(circuit->arena, "%s.%s", pin->part->ref,
                                   pin->name != NULL ? pin->name : pin->number);

    while (circuit_find_net(circuit, name) != NULL)
        name = arena_print(circuit->arena, "%s'", name);
    return circuit_net(circuit, name, place);
}

/* Both nets of `between`; false after an input error. */
static bool nets_between(struct bench *bench, struct statement *statement, struct circuit *circuit,
                         struct net *nets[2])
{
    const struct bench_value *value = statement_value(statement, "between");
    const char *comma = strchr(value->text, ',');
    const char *first = arena_copy_span(bench->arena, value->text, (size_t)(comma - value->text));

    nets[0] = amend_named_net(bench, statement, circuit, value, first);
    nets[1] = amend_named_net(bench, statement, circuit, value,
                              comma + 1 + strspn(comma + 1, " \t"));
    if (nets[0] != NULL && nets[0] == nets[1])
        amend_refuse(bench, statement, value, "two nets",
                     "a fuse from %s to itself protects nothing", nets[0]->name);
    return !statement->refused;
}

/* The pin of `at` and `pin`; NULL after an input error. */
static struct pin *pin_at(struct bench *bench, struct statement *statement,
                          struct circuit *circuit)
{
    struct part *part = amend_part(bench, statement, circuit, "at");
    const struct bench_value *name = statement_value(statement, "pin");
    struct pin *pin;

    if (part == NULL)
        return NULL;
    pin = name != NULL ? find_pin(part, name->text) : NULL;
    if (pin != NULL && pin->net != NULL)
        return pin;
    amend_refuse(bench, statement, name != NULL ? name : statement_value(statement, "at"),
                 pins_of(bench->arena, part), name == NULL ? "%s: say which pin= the fuse is at"
                                              : pin == NULL ? "%s has no such pin"
                                                            : "that pin of %s is on no net",
                 part->ref);
    return NULL;
}

static bool find_ends(struct bench *bench, struct statement *statement, struct circuit *circuit,
                      struct net *nets[2], struct pin **pin)
{
    bool between = statement_value(statement, "between") != NULL;

    *pin = NULL;
    if (between && (statement_value(statement, "at") != NULL ||
                    statement_value(statement, "pin") != NULL)) {
        amend_refuse(bench, statement, statement_value(statement, "between"), NULL,
                     "a holder is between two nets or at a pin, not both");
        return false;
    }
    if (between)
        return nets_between(bench, statement, circuit, nets);
    *pin = pin_at(bench, statement, circuit);
    return *pin != NULL;
}

void amend_holder(struct bench *bench, struct statement *statement, struct circuit *circuit)
{
    const struct bench_value *ref = statement_value(statement, "part");
    const char *place = statement_text(statement, "place");
    struct net *nets[2];
    struct pin *pin;
    struct part *part;

    if (circuit_find_part(circuit, ref->text) != NULL) {
        amend_refuse(bench, statement, ref, "a reference that the netlist does not use",
                     "%s is drawn; say fitted part=%s", ref->text, ref->text);
        return;
    }
    if (!find_ends(bench, statement, circuit, nets, &pin))
        return;
    if (pin != NULL) {
        nets[0] = new_net(circuit, pin, statement->place);
        nets[1] = pin->net;
        pin->net = nets[0];
    }
    part = circuit_add_part(circuit, ref->text, statement->place);
    amend_field(circuit, part, "kind", "fuse");
    amend_field(circuit, part, "place", place != NULL ? place : "holder that is not drawn");
    circuit_connect(circuit, part, "1", NULL, NULL, nets[0]);
    circuit_connect(circuit, part, "2", NULL, NULL, nets[1]);
}
