/* What a link can interrupt: current by its letter or its rating, and direct current. */
#include "fuselink/fuselink.h"

#include <math.h>
#include <string.h>

/* L: 35 A or ten times the rating, whichever is greater (Eaton S500 and Littelfuse 617 data sheets); no maker
 * seen goes beyond 100 A. E: Bel 5ET data sheet. H: Eaton S501 and S505 data sheets. All at 250 V
 * alternating. */
static const double low_amps = 35, low_multiple = 10, low_most = 100, enhanced_amps = 150, high_amps = 1500;

/* UL 248-14 as quoted in the Littelfuse fuseology selection guide, p. 12: 10,000 A at 125 V; at 250 V at
 * least this up to that rating (its last row but one, printed "0.1 to 15", is read as 10.1 to 15). */
static const double ul_amps_at_125 = 10000;
static const struct {
    double rated, amps;
} ul_at_250[] = {{1, 35}, {3.5, 100}, {10, 200}, {15, 750}, {30, 1500}};

static double low_breaking(const struct marking *marking)
{
    double multiple = marking->rated ? low_multiple * marking->amps : 0;

    return fmin(fmax(low_amps, multiple), low_most);
}

/* A link to UL 248-14 whose voltage is not marked is taken for one of 250 V; 0 above 250 V or 30 A. */
static double american_breaking(const struct marking *marking)
{
    if (marking->volts > 0 && marking->volts <= 125)
        return ul_amps_at_125;
    for (size_t i = 0; marking->volts <= 250 && i < sizeof ul_at_250 / sizeof ul_at_250[0]; i++)
        if (marking->amps <= ul_at_250[i].rated)
            return ul_at_250[i].amps;
    return 0;
}

static bool is_surely_american(const struct marking *marking)
{
    return marking->american && marking->rated && marking->size != NULL &&
           strcmp(marking->size, "3AG") == 0;
}

double marking_breaking_amps(const struct marking *marking)
{
    switch (marking->breaking) {
    case BREAKING_LOW: return low_breaking(marking);
    case BREAKING_ENHANCED: return enhanced_amps;
    case BREAKING_HIGH: return high_amps;
    default: return is_surely_american(marking) ? american_breaking(marking) : 0;
    }
}

double marking_least_breaking_amps(const struct marking *marking)
{
    double marked = marking_breaking_amps(marking);

    return marked > 0 || !marking->rated ? marked : low_breaking(marking);
}

/* ---- direct current ---- */

/* Half: the lower end of "50 to 60 %" in a trade journal's page, a weak source. */
static const double thumb_share = 0.5;

struct dc_verdict marking_dc_use(const struct marking *marking, double volts, double prospective)
{
    static const char
        *const marked = "the direct voltage marked on the link",
               *const thumb = "rule of thumb, direct volts 50 to 60 % of the alternating rating: common "
                              "practice, no source",
               *const none = "makers' sheets rate these links for alternating current alone; an alternating "
                             "rating is untested on direct current: common practice, no source";
    bool direct = marking->dc_volts > 0;
    double rated = direct ? marking->dc_volts : marking->volts;

    if (!(rated > 0) || isnan(volts))
        return (struct dc_verdict){DC_UNKNOWN, NULL};
    if (fabs(volts) > rated)
        return (struct dc_verdict){DC_VOLTS_EXCEEDED, direct ? marked : none};
    if (prospective > marking_least_breaking_amps(marking))
        return (struct dc_verdict){DC_AMPS_EXCEEDED,
                                   "breaking capacity by letter: IEC 60127-2, as makers' sheets say"};
    if (direct)
        return (struct dc_verdict){DC_OK, marked};
    return fabs(volts) <= thumb_share * rated ? (struct dc_verdict){DC_OK_BY_THUMB, thumb}
                                              : (struct dc_verdict){DC_AC_RATING, none};
}

const char *dc_use_name(enum dc_use use)
{
    static const char *const names[] = {
        [DC_OK] = "ok", [DC_OK_BY_THUMB] = "thumb", [DC_VOLTS_EXCEEDED] = "volts-exceeded",
        [DC_AMPS_EXCEEDED] = "amps-exceeded", [DC_AC_RATING] = "ac-rating", [DC_UNKNOWN] = "unknown",
    };

    return (unsigned)use < sizeof names / sizeof names[0] ? names[use] : "unknown";
}
