#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

enum { TOKENS_LARGEST = 16, TOKEN_LARGEST = 64 };

static const double pi = 3.14159265358979323846;
static const double mains_tolerance = 10; /* percent; IEC 60038: +/-10 % of the nominal voltage */

/* A source's value in words: brackets, commas and blanks only separate. */
struct stimulus {
    const struct part *part;
    char tokens[TOKENS_LARGEST][TOKEN_LARGEST];
    size_t count, at;
    bool good; /* nothing was left out or could not be read */
};

static void cut(struct stimulus *stimulus, const char *text)
{
    static const char separators[] = " \t\r\n(),=";

    for (text += strspn(text, separators); *text != '\0'; text += strspn(text, separators)) {
        size_t length = strcspn(text, separators);

        if (stimulus->count == TOKENS_LARGEST || length >= TOKEN_LARGEST) {
            stimulus->good = false;
            return;
        }
        memcpy(stimulus->tokens[stimulus->count], text, length);
        stimulus->tokens[stimulus->count++][length] = '\0';
        text += length;
    }
}

static bool word(const struct stimulus *stimulus, const char *name)
{
    return stimulus->at < stimulus->count
           && strcasecmp(stimulus->tokens[stimulus->at], name) == 0;
}

/* The number at the cursor, which moves behind it. */
static bool number(struct stimulus *stimulus, enum unit unit, double *value)
{
    struct quantity quantity;

    if (stimulus->at >= stimulus->count
        || !quantity_parse(stimulus->tokens[stimulus->at], stimulus->part->dialect, unit, &quantity)
        || !isfinite(quantity.value))
        return false;
    stimulus->at++;
    *value = quantity.value;
    return true;
}

static enum figure_id level_figure(const struct part_info *info)
{
    return info->kind == PART_CURRENT_SOURCE ? FIGURE_DC_AMPS : FIGURE_DC_VOLTS;
}

static enum unit level_unit(const struct part_info *info)
{
    return info->kind == PART_CURRENT_SOURCE ? UNIT_AMP : UNIT_VOLT;
}

/* SIN(offset amplitude hertz delay damping degrees). */
static void read_sine(struct arena *arena, struct stimulus *stimulus, struct part_info *info)
{
    double figures[6] = {0};
    size_t count = 0;

    stimulus->at++;
    while (count < 6 && number(stimulus, count < 2 ? level_unit(info) : UNIT_NONE, &figures[count]))
        count++;
    if (count < 3 || figures[4] != 0 || figures[2] <= 0) {
        stimulus->good = false;
        return;
    }
    part_read_figure(arena, info, level_figure(info), figures[0]);
    if (info->kind == PART_CURRENT_SOURCE) {
        stimulus->good = figures[1] == 0;
        return;
    }
    part_read_figure(arena, info, FIGURE_AC_PEAK_VOLTS, figures[1]);
    part_read_figure(arena, info, FIGURE_HERTZ, figures[2]);
    part_read_figure(arena, info, FIGURE_PHASE,
                     remainder(figures[5] * pi / 180 - 2 * pi * figures[2] * figures[3], 2 * pi));
}

/* AC magnitude [degrees]. In a deck it is for small-signal analysis; on a drawing it is RMS. */
static void read_ac(struct arena *arena, struct stimulus *stimulus, struct part_info *info)
{
    bool deck = stimulus->part->dialect == QUANTITY_SPICE;
    double magnitude = 1, degrees;

    stimulus->at++;
    number(stimulus, level_unit(info), &magnitude);
    number(stimulus, UNIT_NONE, &degrees);
    if (info->kind == PART_CURRENT_SOURCE || (deck && fabs(magnitude) <= 1)
        || part_figure(info, FIGURE_AC_PEAK_VOLTS) != NULL)
        return;
    part_read_figure(arena, info, FIGURE_AC_PEAK_VOLTS, deck ? magnitude : magnitude * sqrt(2));
    if (deck)
        part_doubt(arena, info, "its AC %g is for small-signal analysis; write SIN(0 %g 50) if it "
                   "supplies the circuit", magnitude, magnitude);
}

static void read_stimulus(struct arena *arena, struct stimulus *stimulus, struct part_info *info)
{
    while (stimulus->at < stimulus->count && stimulus->good) {
        double value;

        if (word(stimulus, "SIN") || word(stimulus, "SINE")) {
            read_sine(arena, stimulus, info);
        } else if (word(stimulus, "AC")) {
            read_ac(arena, stimulus, info);
        } else if (word(stimulus, "DC")) {
            stimulus->at++;
        } else if (number(stimulus, level_unit(info), &value)) {
            if (part_figure(info, level_figure(info)) == NULL)
                part_read_figure(arena, info, level_figure(info), value);
        } else {
            stimulus->good = false;
        }
    }
}

/* "230V AC" on a drawing. */
static bool read_drawn_ac(struct arena *arena, struct stimulus *stimulus, struct part_info *info)
{
    double volts;

    if (stimulus->part->dialect == QUANTITY_SPICE || stimulus->count != 2
        || strcasecmp(stimulus->tokens[1], "AC") != 0 || !number(stimulus, UNIT_VOLT, &volts))
        return false;
    part_read_figure(arena, info, FIGURE_AC_PEAK_VOLTS, volts * sqrt(2));
    return true;
}

void source_figures(const struct recogniser *recogniser, struct part_info *info)
{
    struct stimulus stimulus = {.part = info->part, .good = true};
    const char *value = info->part->value;

    if (value != NULL)
        cut(&stimulus, value);
    if (stimulus.good && stimulus.count > 0
        && !read_drawn_ac(recogniser->arena, &stimulus, info))
        read_stimulus(recogniser->arena, &stimulus, info);
    if (part_figure(info, FIGURE_AC_PEAK_VOLTS) != NULL && part_figure(info, FIGURE_HERTZ) == NULL)
        part_doubt(recogniser->arena, info, "its frequency is not told; write SIN(0 peak hertz)");
    if (stimulus.good && stimulus.count > 0)
        return;
    part_doubt(recogniser->arena, info, "its value \"%.60s\" is not understood; write a number, or "
               "SIN(offset peak hertz)", value != NULL ? value : "");
}

static double whole_volts(const struct part_info *info, const struct winding *winding)
{
    double volts = 0;

    for (size_t s = 0; s < winding->section_count; s++)
        volts += info->sections[winding->first_section + s].volts.value;
    return volts;
}

static const struct net *end_net(const struct part_info *info, const struct winding *winding,
                                 bool last)
{
    const struct section *section =
        &info->sections[winding->first_section + (last ? winding->section_count - 1 : 0)];

    return last ? section->end->net : section->start->net;
}

/* Volts of WINDING and of the other primaries like it that are not drawn in parallel with it: those of a split primary
 * are in series, perhaps through a selector. */
static double split_volts(const struct part_info *info, const struct winding *winding)
{
    double one = whole_volts(info, winding), volts = one;

    for (size_t k = 0; k < info->winding_count; k++) {
        const struct winding *other = &info->windings[k];

        if (other == winding || !other->primary || other->section_count == 0 ||
            whole_volts(info, other) != one ||
            (end_net(info, other, false) == end_net(info, winding, false) &&
             end_net(info, other, true) == end_net(info, winding, true)))
            continue;
        volts += one;
    }
    return volts;
}

/* Volts RMS of the circuit's primaries, the first that states them; 0 if none does. */
static double primary_volts(const struct parts *parts, const char **ref)
{
    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        for (size_t k = 0; info->kind == PART_TRANSFORMER && k < info->winding_count; k++) {
            const struct winding *winding = &info->windings[k];
            double volts;

            if (!winding->primary || winding->section_count == 0)
                continue;
            volts = split_volts(info, winding);
            *ref = info->part->ref;
            if (volts >= 90 && volts <= 260)
                return volts;
        }
    }
    return 0;
}

struct mains {
    double volts, hertz; /* RMS */
    double tolerance;    /* percent */
    bool given_tolerance;
    bool given_volts, given_hertz;
    const char *why_volts, *why_hertz;
};

static struct mains find_mains(const struct recogniser *recogniser, const struct parts *parts)
{
    const struct parts_options *options = recogniser->options;
    const char *ref = NULL;
    double primary = primary_volts(parts, &ref);
    struct mains mains = {.volts = options->mains_volts, .hertz = options->mains_hertz,
                          .tolerance = options->mains_tolerance,
                          .given_tolerance = options->mains_tolerance_given};

    mains.given_volts = mains.volts > 0;
    mains.given_hertz = mains.hertz > 0;
    if (!mains.given_volts && primary > 0) {
        mains.volts = primary;
        mains.why_volts = arena_print(recogniser->arena,
                                      "mains voltage not stated; the primary of %s is for "
                                      "%g V",
                                      ref, primary);
    } else if (!mains.given_volts) {
        mains.volts = 230;
        mains.why_volts = "mains voltage not stated; 230 V taken (nominal voltage, IEC 60038)";
    }
    if (!mains.given_hertz) {
        mains.hertz = mains.volts >= 100 && mains.volts <= 127 ? 60 : 50;
        mains.why_hertz = "mains frequency not stated; 60 Hz taken for 100 to 127 V, else 50 Hz";
    }
    return mains;
}

static void set_tolerance(struct arena *arena, struct part_info *info, const struct mains *mains)
{
    if (mains->given_tolerance)
        part_set_figure(arena, info, FIGURE_TOLERANCE, mains->tolerance, mains->tolerance, mains->tolerance,
                        FIGURE_FROM_NETLIST, "given on the command line");
    else if (part_figure(info, FIGURE_TOLERANCE) == NULL)
        part_set_figure(arena, info, FIGURE_TOLERANCE, mains_tolerance, 6, 15, FIGURE_ASSUMED,
                        "per cent either way: what public supplies are allowed (IEC 60038); long lines and "
                        "generators exceed it");
}

static void set_mains(struct arena *arena, struct part_info *info, const struct mains *mains)
{
    double peak = mains->volts * sqrt(2);
    double spread;

    set_tolerance(arena, info, mains);
    spread = mains->given_volts ? 0 : part_figure_value(info, FIGURE_TOLERANCE, mains_tolerance) / 100;

    part_set_figure(arena, info, FIGURE_AC_PEAK_VOLTS, peak, peak * (1 - spread),
                    peak * (1 + spread), mains->given_volts ? FIGURE_FROM_NETLIST : FIGURE_ASSUMED,
                    mains->given_volts ? "given on the command line" : mains->why_volts);
    part_set_figure(arena, info, FIGURE_HERTZ, mains->hertz, mains->given_hertz ? mains->hertz : 50,
                    mains->given_hertz ? mains->hertz : 60,
                    mains->given_hertz ? FIGURE_FROM_NETLIST : FIGURE_ASSUMED,
                    mains->given_hertz ? "given on the command line" : mains->why_hertz);
}

/* True if TEXT holds a figure in volts: "6V3", "320V". A number alone may count anything. */
static bool says_volts(const char *text)
{
    for (size_t i = 1; text[0] != '\0' && text[i] != '\0'; i++)
        if (toupper((unsigned char)text[i]) == 'V'
            && (isdigit((unsigned char)text[i - 1]) || text[i - 1] == ' '))
            return true;
    return false;
}

/* "DC9V", "AC12V": the letters ahead of the figure are no part of it. */
static void part_letters(char *text)
{
    for (size_t i = 0; text[0] != '\0' && text[i + 1] != '\0'; i++)
        if (isdigit((unsigned char)text[i + 2]) && toupper((unsigned char)text[i + 1]) == 'C' &&
            strchr("ADad", text[i]) != NULL && (i == 0 || text[i - 1] == ' '))
            text[i] = text[i + 1] = ' ';
}

/* Volts that a feed's field volts or its value states: RMS for AC roles, else DC. */
static void feed_figures(struct arena *arena, struct part_info *info)
{
    const char *field = part_field(info->part, "volts"), *value = field != NULL ? field : info->part->value;
    char text[64], *tap;
    double volts;
    size_t length = value != NULL ? strlen(value) : 0;

    if (info->role == NULL || length == 0 || length >= sizeof text)
        return;
    for (size_t i = 0; i <= length; i++)
        text[i] = value[i] == '_' ? ' ' : value[i];
    part_letters(text);
    tap = strstr(text, "-0-"); /* 300-0-300V: from the tap to either end */
    if (tap != NULL)
        memmove(text, tap + 3, strlen(tap + 3) + 1);
    if ((field == NULL && !says_volts(text))
        || !quantity_find(text, QUANTITY_SCHEMATIC, UNIT_VOLT, UNIT_VOLT, &volts) || volts == 0)
        return;
    if (strcmp(info->role, "ht") == 0 || strcmp(info->role, "bias") == 0 || strcmp(info->role, "dc") == 0)
        part_read_figure(arena, info, FIGURE_DC_VOLTS, volts);
    else
        part_read_figure(arena, info, FIGURE_AC_PEAK_VOLTS, volts * sqrt(2));
}

void mains_figures(const struct recogniser *recogniser, struct parts *parts)
{
    struct mains mains = find_mains(recogniser, parts);

    for (size_t i = 0; i < parts->count; i++) {
        struct part_info *info = &parts->items[i];
        bool feed = info->kind == PART_FEED && info->role != NULL;

        if (info->kind == PART_INLET || (feed && strcmp(info->role, "mains") == 0))
            set_mains(recogniser->arena, info, &mains);
        else if (feed)
            feed_figures(recogniser->arena, info);
    }
}
