#include <config.h>

/* The windings field of a transformer:
 *   windings = winding { (";" | ",") winding }
 *   winding  = [name] pins volts [ohms] [amps] [regulation], separated by blanks or ":"
 *   pins     = pin { "-" pin }, two or more, in order along the winding, the dotted end first
 *   volts    = "230V" end to end, "345-0-345V" about a tap, or "345+345V" per section; RMS, no load
 *   ohms     = "150R" end to end, or "75+75R" per section
 *   amps     = "150mA", rated, RMS; or "100VA", of the whole winding
 *   A percentage, "10%", is the regulation: the share of the no-load volts lost at the rating.
 */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/winding_build.h"

enum { WORD_LARGEST = 128 };

/* A winding being read. */
struct reading {
    const struct recogniser *recogniser;
    struct part_info *info;
    struct winding_draft draft;
};

static bool split(char *text, const char *stops, char **words, size_t limit, size_t *count)
{
    char *rest = NULL;

    *count = 0;
    for (char *word = strtok_r(text, stops, &rest); word != NULL;
         word = strtok_r(NULL, stops, &rest)) {
        if (*count == limit)
            return false;
        words[(*count)++] = word;
    }
    return true;
}

/* The pin NAME names: by number, then by a name that only one pin has. */
static const struct pin *find_pin(const struct part *part, const char *name)
{
    const struct pin *found = part_pin(part, name);

    for (size_t i = 0; found == NULL && i < part->pin_count; i++)
        if (part->pins[i].name != NULL && strcasecmp(part->pins[i].name, name) == 0)
            found = &part->pins[i];
    return found;
}

/* "3-4-5": true if WORD is two or more pins of the part joined by dashes. A pin's own name may hold
 * a dash. */
static bool read_pins(struct reading *reading, const char *word)
{
    const struct part *part = reading->info->part;
    const char *cursor = word;
    size_t count = 0;

    while (*cursor != '\0') {
        const struct pin *pin = NULL;
        char name[WORD_LARGEST];
        size_t length = 0;

        for (size_t end = strcspn(cursor, "-"); pin == NULL;
             end += 1 + strcspn(cursor + end + 1, "-")) {
            if (end > 0 && end < sizeof name) {
                memcpy(name, cursor, end);
                name[end] = '\0';
                pin = find_pin(part, name);
                length = end;
            }
            if (cursor[end] == '\0')
                break;
        }
        if (pin == NULL || count == WINDING_PINS_LARGEST)
            return false;
        reading->draft.pins[count++] = pin;
        cursor += length + (cursor[length] == '-');
    }
    reading->draft.pin_count = count;
    return count >= 2;
}

static bool is_unit_word(const char *word, const char *const *units)
{
    size_t length = strlen(word);

    for (size_t i = 0; units[i] != NULL; i++) {
        size_t unit = strlen(units[i]);

        if (length > unit && strcasecmp(word + length - unit, units[i]) == 0)
            return true;
    }
    return false;
}

/* The figures of WORD, joined by JOINTS; a figure without unit takes UNIT. How many, or 0 if one is
 * wrong. */
static size_t read_list(struct reading *reading, char *word, const char *joints, enum unit unit,
                        double *values)
{
    char *figures[WINDING_PINS_LARGEST];
    size_t count, joint_count = 0;
    struct quantity quantity;

    for (const char *c = word; *c != '\0'; c++)
        joint_count += strchr(joints, *c) != NULL;
    if (!split(word, joints, figures, WINDING_PINS_LARGEST, &count) || count != joint_count + 1)
        return 0;
    for (size_t i = 0; i < count; i++) {
        if (!quantity_parse(figures[i], reading->info->part->dialect, unit, &quantity)
            || (quantity.unit != unit && quantity.unit != UNIT_NONE) || !(quantity.value >= 0))
            return 0;
        values[i] = quantity.value;
    }
    return count;
}

static size_t sections_of(const struct reading *reading)
{
    return reading->draft.pin_count - 1;
}

/* "345-0-345V": potentials of the pins about the tap marked 0; sections are the differences. */
static bool volts_about_tap(struct reading *reading, double *values, size_t count)
{
    size_t zero = 0;

    if (count != reading->draft.pin_count)
        return false;
    while (zero < count && values[zero] != 0)
        zero++;
    if (zero == count)
        return false;
    for (size_t i = 0; i + 1 < count; i++) {
        double step = i < zero ? values[i] - values[i + 1] : values[i + 1] - values[i];

        if (!(step > 0))
            return false;
        reading->draft.volts[i] = step;
    }
    return true;
}

static bool spread(double *out, size_t sections, const double *values, size_t count)
{
    if (count != sections)
        return false;
    for (size_t i = 0; i < count; i++)
        out[i] = values[i];
    return true;
}

static bool read_volts(struct reading *reading, const char *text)
{
    double values[WINDING_PINS_LARGEST];
    char word[WORD_LARGEST];
    bool plus = strchr(text, '+') != NULL;
    size_t count;

    if (strlen(text) >= sizeof word)
        return false;
    strcpy(word, text);
    count = read_list(reading, word, plus ? "+" : "-", UNIT_VOLT, values);
    if (count == 0)
        return false;
    if (!plus && count > 1 && volts_about_tap(reading, values, count))
        return true;
    for (size_t i = 0; i < count; i++)
        if (values[i] == 0)
            return false;
    if (count > 1 || sections_of(reading) == 1)
        return spread(reading->draft.volts, sections_of(reading), values, count);
    reading->draft.end_volts = values[0];
    return true;
}

static bool read_ohms(struct reading *reading, const char *text)
{
    double values[WINDING_PINS_LARGEST];
    char word[WORD_LARGEST];
    size_t count;

    if (strlen(text) >= sizeof word)
        return false;
    strcpy(word, text);
    count = read_list(reading, word, "+", UNIT_OHM, values);
    reading->draft.ohms_told = count > 0;
    if (count == 1 && sections_of(reading) > 1) {
        reading->draft.end_ohms = values[0];
        return true;
    }
    return count > 0 && spread(reading->draft.ohms, sections_of(reading), values, count);
}

/* One figure of UNIT above 0. */
static bool read_one(struct reading *reading, const char *text, enum unit unit, double *value)
{
    char word[WORD_LARGEST];

    if (strlen(text) >= sizeof word)
        return false;
    strcpy(word, text);
    return read_list(reading, word, "", unit, value) == 1 && *value > 0;
}

static bool read_regulation(struct reading *reading, const char *text)
{
    double percent;

    if (!read_one(reading, text, UNIT_PERCENT, &percent) || percent > 60)
        return false;
    reading->draft.regulation = percent / 100;
    return true;
}

/* Reads the figure WORD by its unit. */
static bool read_figure(struct reading *reading, const char *word)
{
    static const char *const voltamp_units[] = {"VA", NULL};
    static const char *const percent_units[] = {"%", NULL};
    static const char *const volt_units[] = {"V", NULL};
    static const char *const amp_units[] = {"A", NULL};

    if (is_unit_word(word, voltamp_units))
        return read_one(reading, word, UNIT_VOLTAMP, &reading->draft.voltamps);
    if (is_unit_word(word, percent_units))
        return read_regulation(reading, word);
    if (is_unit_word(word, volt_units))
        return read_volts(reading, word);
    if (is_unit_word(word, amp_units))
        return read_one(reading, word, UNIT_AMP, &reading->draft.amps);
    return read_ohms(reading, word);
}

static bool is_primary_name(const char *name)
{
    static const char *const names[] = {"mains", "p", NULL};

    if (strncasecmp(name, "pri", 3) == 0)
        return true;
    for (size_t i = 0; names[i] != NULL; i++)
        if (strcasecmp(name, names[i]) == 0)
            return true;
    return false;
}

static void complain(struct reading *reading, const char *piece, const char *what)
{
    part_doubt(reading->recogniser->arena, reading->info,
               "its windings field is wrong at \"%.60s\": %s", piece, what);
}

static bool read_words(struct reading *reading, char **words, size_t count)
{
    size_t at = 0;

    if (count > 1 && !read_pins(reading, words[0])) {
        reading->draft.name = arena_copy(reading->recogniser->arena, words[0]);
        reading->draft.primary = is_primary_name(words[0]);
        at = 1;
    }
    if (at == count || !read_pins(reading, words[at])) {
        complain(reading, words[at == count ? at - 1 : at],
                 "expected two pins or more of the part, joined by dashes");
        return false;
    }
    for (at++; at < count; at++) {
        if (!read_figure(reading, words[at])) {
            complain(reading, words[at],
                     "expected volts such as 345-0-345V, ohms such as 75+75R or "
                     "amperes such as 150mA, one figure a section");
            return false;
        }
    }
    return true;
}

static void read_winding(struct reading *reading, char *text)
{
    char *words[8];
    size_t count;

    reading->draft = (struct winding_draft){0};
    if (!split(text, " :\t\r\n", words, sizeof words / sizeof *words, &count)) {
        complain(reading, words[7], "too many figures");
        return;
    }
    if (count > 0 && read_words(reading, words, count))
        winding_add(reading->recogniser->arena, reading->info, &reading->draft);
}

static void read_field(const struct recogniser *recogniser, struct part_info *info,
                       const char *field)
{
    struct reading reading = {.recogniser = recogniser, .info = info};
    char *copy = arena_copy(recogniser->arena, field), *rest = NULL;
    const char *stops = strchr(field, ';') != NULL ? ";" : ","; /* a comma may be a decimal mark */
    size_t read = 0;

    for (char *text = strtok_r(copy, stops, &rest); text != NULL;
         text = strtok_r(NULL, stops, &rest)) {
        if (read++ == WINDINGS_LARGEST) {
            complain(&reading, text, "too many windings");
            return;
        }
        read_winding(&reading, text);
    }
    if (info->winding_count == 0)
        complain(&reading, field, "no winding could be read");
}

static void finish(const struct recogniser *recogniser, struct part_info *info)
{
    windings_finish(recogniser->arena, info);
    if (recogniser->options->amend_windings != NULL)
        recogniser->options->amend_windings(recogniser->options->bench, info);
    windings_doubt_volts(recogniser->arena, info);
    windings_assume_ohms(recogniser, info);
}

void windings_assign(const struct recogniser *recogniser, struct part_info *info)
{
    const char *field = part_field(info->part, "windings");

    if (field != NULL)
        read_field(recogniser, info, field);
    if (field != NULL || windings_from_names(recogniser, info))
        finish(recogniser, info);
}

void windings_find_rest(const struct recogniser *recogniser, const struct parts *parts,
                        struct part_info *info)
{
    bool guessed;

    if (part_field(info->part, "windings") != NULL)
        return;
    guessed = windings_guess(recogniser, parts, info);
    part_doubt(recogniser->arena, info,
               guessed ? "its windings are not told; taken by what its pins are connected to; check with an "
                         "ohmmeter and add the field windings, with your figures in place of these: "
                         "windings=\"%s\""
                       : "which pins are the ends of which winding is not told; add the field windings, "
                         "with your pins and figures in place of these: windings=\"%s\"",
               part_windings_field(recogniser->arena, info));
    finish(recogniser, info);
}
