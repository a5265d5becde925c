#include "solve/descent.h"

#include <math.h>
#include <string.h>

#include "device/network.h"
#include "solve/matrix.h"
#include "solve/system.h"

/* A slope this share of the first one is level enough. */
#define LEVEL 0.1
enum { MOST_HALVINGS = 60 };

/* The line x + t step. The slope along it is the sum over the nodes of the step times the current that is too much there;
 * the linear elements' part of it is a straight line in t. */
struct line {
    struct system *system;
    const double *step;
    double *trial;
    double slope_at_0, slope_at_1; /* of the linear part, W */
    double sum;                    /* of the nonlinear part, while it is added up */
};

/* Power that the linear elements leave at the nodes at X. */
static double linear_slope(const struct line *line, const double *x)
{
    struct system *system = line->system;
    double *left = system->left, sum = 0;

    matrix_residual(system->matrix, system->base_values, x, system->base_rhs, left);
    for (size_t i = 0; i < system_node_rows(system); i++)
        sum -= line->step[i] * left[i];
    return sum;
}

static void add_slope(void *context, int row, int column, double value)
{
    struct line *line = context;

    line->sum += line->step[row] * value * line->trial[column];
}

/* Slope of the co-content at T. A tangent's current at its own point is the current. */
static double slope_at(struct line *line, double t)
{
    struct system *system = line->system;
    struct stamp *stamp = &system->stamp;
    struct stamp_target target = {.add = add_slope, .context = line};
    struct stamp kept = *stamp;

    for (size_t i = 0; i < system->size; i++)
        line->trial[i] = system->x[i] + t * line->step[i];
    memset(system->left, 0, system->size * sizeof(double));
    line->sum = 0;
    stamp->matrix = &target;
    stamp->rhs = system->left;
    stamp->guess = line->trial;
    for (size_t i = 0; i < system->nonlinear_count; i++) {
        size_t index = system->nonlinear[i];
        const struct element *element = system->network->elements[index];

        element->device->stamp(element, &system->rows[index], stamp);
    }
    for (size_t i = 0; i < system_node_rows(system); i++)
        line->sum -= line->step[i] * system->left[i];
    *stamp = kept;
    return line->slope_at_0 + t * (line->slope_at_1 - line->slope_at_0) + line->sum;
}

double descent_share(struct system *system)
{
    struct line line = {.system = system, .step = system->residual, .trial = system->trial};
    double first, low = 0, high = 1;

    line.slope_at_0 = linear_slope(&line, system->x);
    for (size_t i = 0; i < system->size; i++)
        line.trial[i] = system->x[i] + system->residual[i];
    line.slope_at_1 = linear_slope(&line, line.trial);
    first = slope_at(&line, 0);
    if (!(first < 0) || !(slope_at(&line, 1) > -LEVEL * first))
        return 1;
    for (int i = 0; i < MOST_HALVINGS; i++) {
        double middle = (low + high) / 2, slope = slope_at(&line, middle);

        if (fabs(slope) <= -LEVEL * first)
            return middle;
        if (slope < 0)
            low = middle;
        else
            high = middle;
    }
    return high;
}
