/* Which links are on a maker's list that was seen: rating, speed, breaking capacity, rated voltage. */
#include "fuselink/fuselink.h"

#include <math.h>

struct offer {
    const char *source;
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    double least, largest;     /* rated, A */
    double ac_volts, dc_volts; /* rated; 0: no such rating */
};

/* 5x20. At 500 V alternating the S505H breaks 100 A, at 400 V direct 1500 A. */
static const struct offer offers[] = {
    {"Eaton/Bussmann S500 data sheet", SPEED_F, BREAKING_LOW, 0.032, 10, 250, 0},
    {"Eaton/Bussmann S501 data sheet", SPEED_F, BREAKING_HIGH, 0.050, 10, 250, 0},
    {"Littelfuse 218 data sheet", SPEED_T, BREAKING_LOW, 0.032, 16, 250, 0},
    {"Littelfuse 215 data sheet", SPEED_T, BREAKING_HIGH, 0.125, 20, 250, 0},
    {"Littelfuse 477 and Eaton/Bussmann S505H data sheets", SPEED_T, BREAKING_HIGH, 0.5, 10, 500, 400},
};

enum { OFFER_COUNT = sizeof offers / sizeof offers[0] };

/* On direct current an alternating rating is taken for half of it, as marking_dc_use does. */
static double volts_of(const struct offer *offer, bool dc)
{
    return dc ? fmax(offer->dc_volts, offer->ac_volts / 2) : offer->ac_volts;
}

bool fuselink_is_offered(const struct marking *marking, double volts, bool dc, const char **source)
{
    for (size_t i = 0; i < OFFER_COUNT; i++) {
        const struct offer *offer = &offers[i];

        if (offer->speed != marking->speed || offer->breaking != marking->breaking ||
            marking->amps < offer->least * 0.999 || marking->amps > offer->largest * 1.001 ||
            volts > volts_of(offer, dc))
            continue;
        *source = offer->source;
        return true;
    }
    return false;
}

double fuselink_volts_at_least(double volts, bool dc)
{
    double least = INFINITY;

    for (size_t i = 0; i < OFFER_COUNT; i++)
        if (volts_of(&offers[i], dc) >= volts)
            least = fmin(least, volts_of(&offers[i], dc));
    return isfinite(least) ? least : 0;
}
