#include "fuselink/fuselink.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"
#include "fuselink/marking_amount.h"
#include "fuselink/marking_colours.h"
#include "fuselink/marking_words.h"
#include "fuselink/rating.h"

/* Beyond these a figure in amperes is not a fuse's rating but, say, its breaking capacity. */
#define LEAST_AMPS 0.001
#define LARGEST_AMPS 100.0

/* No fuse-link is rated outside these. */
#define LEAST_VOLTS 10.0
#define LARGEST_VOLTS 2000.0

/* What has been read so far. */
struct reading {
    const char *p;
    struct marking *marking;
    enum fuse_speed bare_speed;       /* the letter before a bare number: "T" of "T315" */
    enum fuse_breaking bare_breaking; /* the letter after it */
    double amps, bare;
    int amounts, bares;    /* different ratings with a unit; bare numbers */
    bool speeds_differ, breakings_differ;
    bool lettered;         /* the bare number might be a reference: "T1", "Fuse 1" */
    bool decimals;         /* the bare number has a decimal mark */
    bool other;            /* other words stand in the text */
    bool unclear;          /* something that leaves the rating open */
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* Bytes of a middle dot or no-break space at P, else 0. */
static size_t wide_mark(const char *p)
{
    return strncmp(p, "\xC2\xB7", 2) == 0 || strncmp(p, "\xC2\xA0", 2) == 0 ? 2 : 0;
}

static bool starts_word(const char *p)
{
    return is_letter(*p) && wide_mark(p) == 0;
}

static const char *skip_blanks(const char *p)
{
    return p + strspn(p, " \t\r\n");
}

/* ---- collecting ---- */

static void say_speed(struct reading *reading, enum fuse_speed speed)
{
    struct marking *marking = reading->marking;

    if (speed == SPEED_UNKNOWN)
        return;
    if (marking->speed != SPEED_UNKNOWN && marking->speed != speed)
        reading->speeds_differ = true;
    marking->speed = speed;
}

static void say_breaking(struct reading *reading, enum fuse_breaking breaking)
{
    struct marking *marking = reading->marking;

    if (breaking == BREAKING_UNKNOWN)
        return;
    if (marking->breaking != BREAKING_UNKNOWN && marking->breaking != breaking)
        reading->breakings_differ = true;
    marking->breaking = breaking;
}

static void say_amps(struct reading *reading, double amps)
{
    if (amps < LEAST_AMPS || amps > LARGEST_AMPS)
        return;
    if (reading->amounts == 0 || fabs(amps - reading->amps) > 1e-6 * amps)
        reading->amounts++;
    reading->amps = amps;
}

/* Of two voltages of a kind the lower counts. */
static void say_volts(struct reading *reading, double volts, bool direct)
{
    double *said = direct ? &reading->marking->dc_volts : &reading->marking->volts;

    if (volts < LEAST_VOLTS || volts > LARGEST_VOLTS)
        return;
    if (*said == 0 || volts < *said)
        *said = volts;
}

/* ---- units ---- */

/* Letters or a word run on to the unit: "500mAT", "T250mAL", "1Aslow". NULL if it is something
 * else ("12AX7"). */
static const char *scan_run_on(struct reading *reading, const char *p)
{
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    const char *end = p;

    if (!starts_word(p))
        return p;
    if (marking_letters_scan(&end, &speed, &breaking)) {
        say_speed(reading, speed);
        say_breaking(reading, breaking);
        return end;
    }
    return marking_word_scan(&end) != NULL ? p : NULL;
}

/* An amount in amperes, P being after the number. */
static bool read_amps(struct reading *reading, const char *p, struct marking_amount amount,
                      enum fuse_speed speed)
{
    double scale;
    const char *end = marking_ampere_scan(skip_blanks(p), &scale);

    if (end == NULL)
        return false;
    if (scale == 1 && is_digit(*end))
        end = marking_infix_scan(end, &amount);
    if (end == NULL)
        return false;
    end = scan_run_on(reading, end);
    if (end == NULL)
        return false;
    say_speed(reading, speed);
    say_amps(reading, amount.value * scale);
    reading->marking->american = reading->marking->american || amount.fraction;
    reading->p = end;
    return true;
}

static bool read_volts(struct reading *reading, const char *p, double volts)
{
    static const char *const units[] = {"VDC", "V DC", "V-DC", "VAC", "VRMS", "volts", "volt", "V"};
    const size_t direct = 3; /* of these units */

    p = skip_blanks(p);
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const char *end = p + strlen(units[i]);

        if (strncasecmp(p, units[i], strlen(units[i])) == 0 && !is_letter(*end) &&
            !is_digit(*end)) {
            say_volts(reading, volts, i < direct);
            reading->p = end;
            return true;
        }
    }
    return false;
}

/* "10-20A", "250/500 mA", "1...2A": which one? "315/250V" is no question. */
static bool is_range(const char *p)
{
    double volts;

    p = skip_blanks(p);
    if (strncmp(p, "\xE2\x80\x93", 3) == 0) /* en dash */
        return true;
    if (*p == '\0' || strchr("-/+.", *p) == NULL)
        return false;
    p += strspn(p, "-/+. \t");
    if (!is_digit(*p))
        return false;
    return !number_scan_plain(&p, true, &volts) || toupper((unsigned char)*skip_blanks(p)) != 'V';
}

/* A number without a unit, as the standard prints it: "315", "T315L250V". */
static bool read_bare(struct reading *reading, const char *p, const struct marking_amount *amount,
                      enum fuse_speed speed)
{
    enum fuse_speed after_speed = SPEED_UNKNOWN;
    enum fuse_breaking breaking = BREAKING_UNKNOWN;
    const char *end = p;

    if (starts_word(p) && !marking_letters_scan(&end, &after_speed, &breaking))
        return false;
    reading->unclear = reading->unclear || is_range(end) || amount->fraction;
    reading->bare = amount->value;
    reading->decimals = amount->decimals;
    reading->bares++;
    reading->bare_speed = speed != SPEED_UNKNOWN ? speed : after_speed;
    reading->bare_breaking = breaking;
    reading->lettered = reading->lettered || speed != SPEED_UNKNOWN || after_speed != SPEED_UNKNOWN;
    reading->p = end;
    return true;
}

/* A number with what belongs to it. False, nothing read, if there is none to make sense of. */
static bool read_amount(struct reading *reading)
{
    const char *p = reading->p;
    enum fuse_speed speed;
    struct marking_amount amount;

    marking_speed_scan(&p, &speed);
    if (!marking_amount_scan(&p, &amount))
        return false;
    if (*p == '%' || *p == '"') { /* a tolerance, a length in inches */
        reading->p = p + 1;
        return true;
    }
    return read_amps(reading, p, amount, speed) ||
           (speed == SPEED_UNKNOWN && read_volts(reading, p, amount.value)) ||
           read_bare(reading, p, &amount, speed);
}

/* "L250V": the breaking capacity's letter before the voltage. */
static bool read_breaking_and_volts(struct reading *reading)
{
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    const char *p = reading->p;
    double volts;

    if (!marking_letters_scan(&p, &speed, &breaking) || speed != SPEED_UNKNOWN ||
        !is_digit(*p) || !number_scan_plain(&p, false, &volts) || !read_volts(reading, p, volts))
        return false;
    say_breaking(reading, breaking);
    return true;
}

/* ---- the whole text ---- */

static bool read_word(struct reading *reading)
{
    const struct marking_word *word = marking_word_scan(&reading->p);
    struct marking *marking = reading->marking;

    if (word == NULL)
        return false;
    say_speed(reading, word->speed);
    say_breaking(reading, word->breaking);
    if (word->size != NULL)
        marking->size = word->size;
    marking->american = marking->american || word->american;
    reading->lettered = reading->lettered || word->meaning == WORD_LABEL;
    return true;
}

/* Letters by themselves ("2A T", "F3.15A H") count once there is a rating. */
static bool read_letters(struct reading *reading)
{
    enum fuse_speed speed;
    enum fuse_breaking breaking;

    if (reading->amounts + reading->bares == 0 ||
        !marking_letters_scan(&reading->p, &speed, &breaking))
        return false;
    if (reading->amounts > 0) {
        say_speed(reading, speed);
        say_breaking(reading, breaking);
        return true;
    }
    if (speed != SPEED_UNKNOWN)
        reading->bare_speed = speed;
    if (breaking != BREAKING_UNKNOWN)
        reading->bare_breaking = breaking;
    return true;
}

static void skip_other(struct reading *reading)
{
    while (is_letter(*reading->p) || is_digit(*reading->p) || *reading->p == '.')
        reading->p++;
    reading->other = true;
}

static void read_token(struct reading *reading)
{
    const char *size = NULL;
    enum fuse_speed speed;
    double amps;

    if (marking_colours_scan(&reading->p, &amps, &speed)) {
        say_amps(reading, amps);
        say_speed(reading, speed);
        return;
    }
    if (marking_size_scan(&reading->p, &size)) {
        if (size != NULL)
            reading->marking->size = size;
        return;
    }
    if (!read_word(reading) && !read_breaking_and_volts(reading) && !read_amount(reading) &&
        !read_letters(reading))
        skip_other(reading);
}

static void read_all(struct reading *reading)
{
    if (strncmp(reading->p, "F_", 2) == 0) /* a drawing symbol's name: no speed letter */
        reading->p += 2;
    while (*reading->p != '\0') {
        char c = *reading->p;

        if (c == '?' || c == '{' || c == '=' || c == '<' || c == '>')
            reading->unclear = true;
        if (wide_mark(reading->p) > 0)
            reading->p += wide_mark(reading->p);
        else if (is_letter(c) || is_digit(c) || (c == '.' && is_digit(reading->p[1])))
            read_token(reading);
        else
            reading->p++;
    }
}

/* Exactly, not within a per cent: 7119 and 83 are valves. R20 values, rare on links and frequent
 * as voltages ("450"), only with the letter of a breaking capacity. 16 A: makers go beyond the
 * standard's 10 A. */
static bool is_printed_rating(double amps, enum fuse_breaking breaking)
{
    double preferred = breaking != BREAKING_UNKNOWN ? rating_nearest(amps) : rating_at_least(amps);

    return rating_is_listed(amps, RATING_AMERICAN, 1e-9) || amps == 16 ||
           fabs(preferred - amps) < 1e-9 * amps;
}

/* A bare number with a letter and nothing else could be a reference or a winding ("T1", "F100",
 * "T6.3"); "T315" and "T1.25" could not. */
static bool could_be_name(const struct reading *reading)
{
    bool hundreds = fmod(reading->bare, 100) == 0;

    if (!reading->lettered || reading->bare_breaking != BREAKING_UNKNOWN ||
        reading->marking->volts > 0 || reading->marking->size != NULL)
        return false;
    if (reading->decimals)
        return reading->bare == 6.3;
    return reading->bare < 100 || hundreds;
}

/* IEC 60127-2 clause 6.1 prints no unit: from 32 up it is milliamperes, to 20 amperes; between,
 * nobody knows. */
static bool accept_bare(struct reading *reading)
{
    double amps = reading->bare >= 32 ? reading->bare / 1000 : reading->bare;

    if (reading->bares != 1 || reading->other || could_be_name(reading) ||
        (reading->bare > 20 && reading->bare < 32) ||
        !is_printed_rating(amps, reading->bare_breaking))
        return false;
    say_speed(reading, reading->bare_speed);
    say_breaking(reading, reading->bare_breaking);
    reading->amps = amps;
    return true;
}

static void settle(struct reading *reading)
{
    struct marking *marking = reading->marking;

    if (!reading->unclear)
        marking->rated = reading->amounts == 1 || (reading->amounts == 0 && accept_bare(reading));
    if (marking->rated)
        marking->amps = reading->amps;
    if (reading->speeds_differ)
        marking->speed = SPEED_UNKNOWN;
    if (reading->breakings_differ)
        marking->breaking = BREAKING_UNKNOWN;
    if (marking->volts == 0)
        marking->volts = marking->dc_volts;
}

bool marking_parse(const char *text, struct marking *marking)
{
    struct reading reading = {.p = skip_blanks(text), .marking = marking};

    *marking = (struct marking){0};
    read_all(&reading);
    settle(&reading);
    return marking->rated || reading.amounts > 0 || marking->speed != SPEED_UNKNOWN ||
           marking->breaking != BREAKING_UNKNOWN || marking->size != NULL;
}
