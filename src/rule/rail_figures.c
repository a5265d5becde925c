/* Volts and amps of a rail from the steady state. */
#include "rule/judge.h"

#include <math.h>
#include <stdint.h>

#include "device/network.h"
#include "rule/facts.h"
#include "solve/solve.h"

static bool is_solved(const struct findings_of_stages *stages)
{
    return stages->healthy != NULL && stages->healthy->status == SOLVE_OK;
}

bool judge_source_solved(const struct findings_of_stages *stages, size_t source)
{
    const struct trace_source *feeding = &stages->trace->sources[source];

    if (!is_solved(stages))
        return false;
    for (size_t i = 0; i < feeding->branch_count; i++)
        if (!stages->healthy->branch_solved[feeding->branches[i]])
            return false;
    return true;
}

/* RMS of the alternating part. */
static double alternating(const struct wave *wave)
{
    double square = wave->rms * wave->rms - wave->mean * wave->mean;

    return square > 0 ? sqrt(square) : 0;
}

double judge_node_volts(const struct findings_of_stages *stages, const struct rail *rail,
                        size_t node)
{
    const struct wave *output, *back;
    double mean;

    if (!judge_source_solved(stages, rail->source))
        return NAN;
    output = &stages->healthy->nodes[node];
    back = &stages->healthy->nodes[rail->back];
    mean = output->mean - back->mean;
    if (rail->rectifier != SIZE_MAX)
        return mean;
    /* The ends of one winding swing in opposite phase about any point along it, so their RMS
     * volts add. */
    return fmax(fabs(mean), alternating(output) + alternating(back));
}

double judge_rail_volts(const struct findings_of_stages *stages, const struct rail *rail)
{
    return judge_node_volts(stages, rail, rail->output);
}

/* Mean current that the rectifier's diodes deliver into its plus end, or draw from its minus end: that of a NEGATIVE rail; of the
 * other if they do nothing there. */
static double rectified_amps(const struct findings_of_stages *stages,
                             const struct rectifier *rectifier, bool negative)
{
    double into = 0, out_of = 0;

    for (size_t i = 0; i < rectifier->branch_count; i++) {
        size_t branch = rectifier->branches[i];
        double mean = fabs(stages->healthy->branches[branch].mean);

        if (stages->network->branches[branch].to == rectifier->plus)
            into += mean;
        if (stages->network->branches[branch].from == rectifier->minus)
            out_of += mean;
    }
    if (negative)
        return out_of > 0 ? out_of : into;
    return into > 0 ? into : out_of;
}

double judge_rail_amps(const struct findings_of_stages *stages, const struct rail *rail)
{
    const struct trace_source *source = &stages->trace->sources[rail->source];

    if (!judge_source_solved(stages, rail->source))
        return NAN;
    if (rail->rectifier != SIZE_MAX)
        return rectified_amps(stages, &stages->trace->rectifiers[rail->rectifier],
                              rail->negative);
    return source->branch_count > 0 ? stages->healthy->branches[source->branches[0]].rms : NAN;
}
