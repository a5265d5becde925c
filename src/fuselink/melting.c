#include "fuselink/fuselink.h"

#include <math.h>
#include <string.h>

#include "fuselink/melting_table.h"

/* Between ratings further apart than this (two steps of R5) nothing is read. */
#define LARGEST_STEP 2.6

/* Cold resistance of a link of which nothing is known, ohm: common practice, no source. It is
 * that of a 1 to 2 A link. */
#define UNKNOWN_OHMS 0.1

enum figure { FIGURE_OHMS, FIGURE_LOW, FIGURE_HIGH };

static double figure_of(const struct melting_cell *cell, enum figure figure)
{
    return figure == FIGURE_OHMS ? cell->ohms : figure == FIGURE_LOW ? cell->low : cell->high;
}

static double log_log(double x, double x1, double y1, double x2, double y2)
{
    return y1 * pow(x / x1, log(y2 / y1) / log(x2 / x1));
}

/* FIGURE of COLUMN at AMPS, straight in log-log between two ratings; 0 if the column does not
 * cover it. */
static double read_column(const struct melting_column *column, enum figure figure, double amps)
{
    const struct melting_cell *below = NULL;

    for (size_t i = 0; i < column->count; i++) {
        const struct melting_cell *cell = &column->cells[i];
        double value = figure_of(cell, figure);

        if (value <= 0)
            continue;
        if (fabs(cell->amps - amps) <= 0.001 * amps)
            return value;
        if (cell->amps > amps)
            return below == NULL || cell->amps / below->amps > LARGEST_STEP
                       ? 0
                       : log_log(amps, below->amps, figure_of(below, figure), cell->amps, value);
        below = cell;
    }
    return 0;
}

/* ---- which columns a marking may mean ---- */

static bool speed_fits(enum fuse_speed marked, enum fuse_speed column)
{
    return marked == SPEED_UNKNOWN || marked == column;
}

/* E has no column of its own and lies between L and H. */
static bool breaking_fits(enum fuse_breaking marked, enum fuse_breaking column)
{
    return marked == BREAKING_UNKNOWN || marked == BREAKING_ENHANCED ||
           column == BREAKING_UNKNOWN || marked == column;
}

static bool is_large(const struct marking *marking)
{
    return marking->size != NULL && strcmp(marking->size, "5x20") != 0;
}

/* Links to UL 248-14 only if the marking is written their way, 3AG only if the size may be that. */
static bool column_fits(const struct melting_column *column, const struct marking *marking)
{
    bool american = marking->american || is_large(marking);

    if (column->breaking == BREAKING_UNKNOWN && !american)
        return false;
    if (column->small ? is_large(marking) : marking->size != NULL && !is_large(marking))
        return false;
    return speed_fits(marking->speed, column->speed) &&
           breaking_fits(marking->breaking, column->breaking);
}

bool marking_melting_i2t(const struct marking *marking, double *low, double *high)
{
    bool found = false;

    for (size_t i = 0; marking->rated && i < melting_table_count; i++) {
        const struct melting_column *column = &melting_table[i];
        double least = read_column(column, FIGURE_LOW, marking->amps);
        double most = read_column(column, FIGURE_HIGH, marking->amps);

        if (least <= 0 || !column_fits(column, marking))
            continue;
        *low = found ? fmin(*low, least) : least;
        *high = found ? fmax(*high, most) : most;
        found = true;
    }
    return found;
}

/* ---- cold resistance ---- */

/* The geometric mean over the columns that fit MARKING, or with ANY over all of its speed; 0 if
 * none covers AMPS. */
static double mean_ohms(const struct marking *marking, bool any, double amps)
{
    double sum = 0;
    size_t count = 0;

    for (size_t i = 0; i < melting_table_count; i++) {
        const struct melting_column *column = &melting_table[i];
        double ohms = read_column(column, FIGURE_OHMS, amps);

        if (ohms <= 0 || !(any ? speed_fits(marking->speed, column->speed)
                               : column_fits(column, marking)))
            continue;
        sum += log(ohms);
        count++;
    }
    return count > 0 ? exp(sum / (double)count) : 0;
}

/* FF is read as F, TT as T; M, which lies between and has one column only, as either. */
static struct marking with_tabled_speed(const struct marking *marking)
{
    struct marking tabled = *marking;

    if (marking->speed == SPEED_FF)
        tabled.speed = SPEED_F;
    else if (marking->speed == SPEED_TT)
        tabled.speed = SPEED_T;
    else if (marking->speed == SPEED_M)
        tabled.speed = SPEED_UNKNOWN;
    return tabled;
}

/* Outside the tables the resistance is taken to go as 1/In from the nearest rating there: common
 * practice, no source. */
double marking_cold_ohms(const struct marking *marking)
{
    struct marking tabled = with_tabled_speed(marking);
    struct marking any_speed = {.rated = true};
    double amps = marking->amps, inside, ohms;

    if (!marking->rated || !(amps > 0))
        return UNKNOWN_OHMS;
    inside = fmin(fmax(amps, 0.032), 10);
    ohms = mean_ohms(&tabled, false, inside);
    if (ohms <= 0)
        ohms = mean_ohms(&tabled, true, inside);
    if (ohms <= 0)
        ohms = mean_ohms(&any_speed, true, inside);
    return ohms > 0 ? ohms * inside / amps : UNKNOWN_OHMS;
}
