/* What a link survives of short pulses. */
#include "fuselink/fuselink.h"

#include <math.h>

/* Halvings of the current's range, in log: far below the width of any gate. Multiples of the rating that are looked at; a pulse
 * that is shorter than SHORTEST loses no heat. */
enum { HALVINGS = 26 };
#define LEAST_MULTIPLE 1.0001
#define MOST_MULTIPLE 1e4
#define SHORTEST 1e-3

typedef double time_at(const struct gates *gates, double rated_amps, double amps);

/* The largest multiple of the rating at which TIME is SECONDS or more; 0: none. */
static double largest_multiple(time_at *time, const struct gates *gates, double seconds)
{
    double low = LEAST_MULTIPLE, high = MOST_MULTIPLE;

    if (!(time(gates, 1, low) >= seconds))
        return 0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = sqrt(low * high);

        if (time(gates, 1, middle) >= seconds)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* A2s per A2 of the rating that it must hold for SECONDS. */
static double held_i2t(const struct gates *gates, double seconds)
{
    double multiple = gates != NULL ? largest_multiple(gates_holds, gates, seconds) : 0;

    return multiple * multiple * seconds;
}

/* Likewise halfway to what must open by then. */
static double halfway_i2t(const struct gates *gates, double seconds)
{
    return largest_multiple(gates_holds, gates, seconds) *
           largest_multiple(gates_opens_by, gates, seconds) * seconds;
}

double marking_pulse_i2t(const struct marking *marking, const struct gates *gates, double seconds,
                         bool *printed)
{
    double square = marking->amps * marking->amps, held = held_i2t(gates, seconds) * square;
    double low = 0, high = 0, raised;

    *printed = marking_melting_i2t(marking, &low, &high);
    if (!*printed || held <= 0)
        return *printed ? low : held;
    raised = held * fmax(1, low / (held_i2t(gates, SHORTEST) * square));
    return fmax(fmax(low, held), fmin(raised, halfway_i2t(gates, seconds) * square));
}

double marking_pulse_share(const struct marking *marking, const struct gates *gates,
                           const struct pulse_point *points, size_t count, double *stands, bool *printed)
{
    double largest = 0, least = marking_pulse_i2t(marking, gates, SHORTEST, printed);

    if (stands != NULL)
        *stands = least;
    for (size_t i = 0; i < count; i++) {
        double melting, share;

        if (points[i].i2t <= largest * least) /* none melts it with less than the least */
            continue;
        melting = marking_pulse_i2t(marking, gates, points[i].seconds, printed);
        share = melting > 0 ? points[i].i2t / melting : INFINITY;
        if (share <= largest)
            continue;
        largest = share;
        if (stands != NULL)
            *stands = melting;
    }
    return largest;
}

double pulse_count(double share)
{
    for (double count = 1e5; count >= 100; count /= 10)
        if (share <= fuselink_pulse_share(count))
            return count;
    return share <= 1 ? 1 : 0;
}
