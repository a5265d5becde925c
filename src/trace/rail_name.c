/* Names of rails: what a person wrote on a net beats what an editor made up. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/tracing.h"

/* Starts of net names that say "supply". Trade usage, no source. */
static const char *const supply_starts[] = {
    "ht", "b+", "hv", "+", "-", "vcc", "vdd", "vee", "vss", "vpp", "bias", "heater", "fil", "lt",
    "v+", "v-", "screen", "psu", "supply", "raw",
};

static bool only_digits(const char *text)
{
    if (*text == '\0')
        return false;
    while (isdigit((unsigned char)*text))
        text++;
    return *text == '\0';
}

/* Numbers, "N001", "N$12", "Net-(C1-Pad2)", "unconnected...", and names of inner nodes are made by programs. */
bool name_is_made_up(const char *name)
{
    if (*name == '\0' || only_digits(name) || strncasecmp(name, "net-", 4) == 0 ||
        strncasecmp(name, "unconnected", 11) == 0 || strchr(name, '(') != NULL)
        return true;
    if (name[0] == 'N' || name[0] == 'n')
        return only_digits(name + 1) || name[1] == '$' ||
               (name[1] == '-' && only_digits(name + 2));
    return false;
}

static int telling(const struct tracing *tracing, size_t node)
{
    const char *name = conduction_node_name(tracing->conduction, node);

    if (name_is_made_up(name))
        return 0;
    for (size_t i = 0; i < sizeof supply_starts / sizeof *supply_starts; i++)
        if (strncasecmp(name, supply_starts[i], strlen(supply_starts[i])) == 0)
            return 2;
    return 1;
}

const char *rail_telling_name(const struct tracing *tracing, const struct rail *rail)
{
    size_t best = rail->output;
    int most = telling(tracing, best);

    for (size_t i = 0; i < rail->node_count && most < 2; i++) {
        int now = telling(tracing, rail->nodes[i].node);

        if (now > most) {
            most = now;
            best = rail->nodes[i].node;
        }
    }
    return conduction_node_name(tracing->conduction, best);
}

static bool same_name(const struct trace *trace, size_t a, size_t b)
{
    return a != b && strcasecmp(trace->rails[a].name, trace->rails[b].name) == 0;
}

static const char *distinction(const struct trace *trace, const struct rail *rail, int pass)
{
    if (pass == 0)
        return trace->sources[rail->source].id;
    if (pass == 1 && rail->rectifier < trace->rectifier_count)
        return trace->rectifiers[rail->rectifier].id;
    return rail->id;
}

/* The name of each rail that another one has too gets its source behind it, and if that is the same its
 * rectifier, else its number. */
void rails_tell_apart(struct tracing *tracing)
{
    struct trace *trace = &tracing->trace;
    struct arena *arena = tracing->conduction->arena;
    const char **names = arena_array(arena, trace->rail_count + 1, sizeof *names);

    for (int pass = 0; pass < 3; pass++) {
        for (size_t i = 0; i < trace->rail_count; i++) {
            const struct rail *rail = &trace->rails[i];
            bool shared = false;

            for (size_t k = 0; k < trace->rail_count && !shared; k++)
                shared = same_name(trace, i, k);
            names[i] = shared ? arena_print(arena, "%s %s", rail->name, distinction(trace, rail, pass))
                              : rail->name;
        }
        for (size_t i = 0; i < trace->rail_count; i++)
            trace->rails[i].name = names[i];
    }
}
