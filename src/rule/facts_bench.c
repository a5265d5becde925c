/* What was said at the bench: the statements, and what was measured beside what is computed. */
#include "rule/facts_build.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "bench/bench.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "rule/facts_xml.h"
#include "solve/solve.h"

/* Readings may be this far off where no tolerance is given: valves, mains and meters differ by as much.
 * Common practice, no source. Per cent. */
static const double usual_tolerance = 10;
/* Nearer than this is the same: the last digit of a hand meter. Common practice, no source. V. */
static const double least_difference = 0.1;
/* A net whose mean is below this share of its RMS is one that people measure on the AC range. Common practice,
 * no source. */
static const double alternating_share = 0.1;

static const struct wave *wave_of(const struct facts_build *build, const char *net)
{
    const struct net *found = net != NULL ? circuit_find_net(build->stages->circuit, net) : NULL;

    return found != NULL && facts_solved(build) ? &build->stages->healthy->nodes[found->index]
                                                : NULL;
}

static bool is_alternating(const struct statement *statement, const struct wave *wave)
{
    const char *reading = statement_text(statement, "reading");

    if (reading != NULL)
        return strcasecmp(reading, "ac") == 0;
    return wave != NULL && fabs(wave->mean) < alternating_share * wave->rms;
}

/* V; NAN where it is not computed: RMS between two nets, neither of which is ground. */
static double computed_volts(const struct facts_build *build, const struct statement *statement,
                             bool alternating)
{
    const struct wave *wave = wave_of(build, statement_text(statement, "net"));
    const struct wave *to = wave_of(build, statement_text(statement, "to"));

    if (wave == NULL)
        return NAN;
    if (alternating)
        return to == NULL || to->rms < least_difference ? wave->rms : NAN;
    return wave->mean - (to != NULL ? to->mean : 0);
}

static const char *net_name(const struct facts_build *build, const struct statement *statement,
                            const char *key)
{
    const char *text = statement_text(statement, key);
    const struct net *net = text != NULL ? circuit_find_net(build->stages->circuit, text) : NULL;

    return net != NULL ? net->name : NULL;
}

static void add_measured(const struct facts_build *build, const struct statement *statement)
{
    const struct wave *wave = wave_of(build, statement_text(statement, "net"));
    bool alternating = is_alternating(statement, wave);
    double volts = NAN, computed = computed_volts(build, statement, alternating);
    double tolerance = usual_tolerance;
    xmlNode *node = fact_element(build->root, "measured");

    statement_quantity(statement, "volts", UNIT_VOLT, &volts);
    statement_quantity(statement, "tolerance", UNIT_PERCENT, &tolerance);
    fact_text(node, "net", net_name(build, statement, "net"));
    fact_text(node, "to", net_name(build, statement, "to"));
    fact_text(node, "reading", alternating ? "ac" : "dc");
    fact_number(node, "volts", volts);
    fact_number(node, "computed-volts", computed);
    fact_number(node, "off-volts", fabs(volts - computed));
    fact_number(node, "allowed-volts", fmax(fabs(computed) * tolerance / 100, least_difference));
    fact_number(node, "tolerance-percent", tolerance);
    fact_place(node, &statement->place);
}

static void add_statement(const struct facts_build *build, const struct statement *statement)
{
    xmlNode *node = fact_element(build->root, "bench");

    fact_text(node, "text", statement->text);
    fact_place(node, &statement->place);
}

void facts_add_bench(const struct facts_build *build)
{
    const struct bench *bench = build->stages->bench;

    for (size_t i = 0; bench != NULL && i < bench->count; i++)
        if (!bench->items[i]->refused)
            add_statement(build, bench->items[i]);
    for (size_t i = 0; bench != NULL && i < bench->count; i++)
        if (!bench->items[i]->refused && bench->items[i]->word == BENCH_MEASURED)
            add_measured(build, bench->items[i]);
}

/* A RMS through the loads that the part REF became; NAN: it became none. */
static double load_amps(const struct facts_build *build, const char *ref)
{
    const struct network *network = build->stages->network;
    double amps = NAN;

    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_LOAD &&
            strcasecmp(network->branches[i].part->ref, ref) == 0)
            amps = facts_solved(build) ? build->stages->healthy->branches[i].rms : INFINITY;
    return amps;
}

static void add_lost_load(const struct facts_build *build, const struct statement *statement)
{
    const char *ref = statement->word == BENCH_DRAWN
                          ? statement_text(statement, "part")
                          : arena_print(build->arena, "load on %s",
                                        net_name(build, statement, "net"));
    double said = 0;
    xmlNode *node;

    statement_quantity(statement, "amps", UNIT_AMP, &said);
    if (said == 0 || load_amps(build, ref) > said / 2)
        return;
    node = fact_element(build->root, "gap");
    fact_text(node, "stage", "device");
    fact_text(node, "part", ref);
    fact_text(node, "what",
              "the current said to be drawn there does not flow in the computed circuit");
    fact_text(node, "need",
              "the net that feeds it, above the one it goes back to, and no open switch before it");
}

void facts_add_lost_loads(const struct facts_build *build)
{
    const struct bench *bench = build->stages->bench;

    for (size_t i = 0; bench != NULL && i < bench->count; i++)
        if (!bench->items[i]->refused &&
            (bench->items[i]->word == BENCH_DRAWN || bench->items[i]->word == BENCH_LOAD))
            add_lost_load(build, bench->items[i]);
}
