#include "netlist/spice_names.h"

#include <ctype.h>
#include <stddef.h>
#include <string.h>
#include <strings.h>

#include "netlist/spice_expression.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

bool spice_is_ground(const char *node)
{
    return strcmp(node, "0") == 0 || strcasecmp(node, "gnd") == 0 ||
           strcasecmp(node, "gnd!") == 0;
}

static const char *skip_digits(const char *at)
{
    while (isdigit((unsigned char)*at))
        at++;
    return at;
}

bool spice_is_never_connected(const char *node)
{
    return strcmp(node, "?") == 0 || strcasecmp(node, "n/c") == 0 ||
           strncasecmp(node, "unconnected-", 12) == 0;
}

bool spice_is_unconnected(const char *node)
{
    const char *at = node + 2;

    if (spice_is_never_connected(node))
        return true;
    if (strncasecmp(node, "nc", 2) != 0)
        return false;
    at += *at == '_' || *at == '-';
    return *at != '\0' && *skip_digits(at) == '\0';
}

bool spice_is_plausible_ref(const char *name)
{
    const char *at = name;

    while (isalpha((unsigned char)*at))
        at++;
    if (at == name || at - name > 5 || !isdigit((unsigned char)*at))
        return false;
    at = skip_digits(at);
    while (isalnum((unsigned char)*at) || *at == '_' || *at == '-')
        at++;
    return *at == '\0';
}

/* References whose first letters are never the simulator's own: letter in front, then this. */
static const struct added {
    char letter;
    const char *prefix;
} added[] = {
    {'D', "LED"}, {'D', "BR"}, {'D', "ZD"}, {'R', "RV"},  {'R', "VR"},
    {'R', "POT"}, {'R', "TH"}, {'M', "Q"},  {'J', "Q"},
};

const char *spice_strip_letter(const char *name)
{
    char letter = (char)toupper((unsigned char)name[0]);
    const char *rest = name + 1;

    if (strncmp(rest, "\xC2\xA7", 2) == 0 && rest[2] != '\0')
        return rest + 2;
    if (!spice_is_plausible_ref(rest))
        return name;
    if (letter == 'X')
        return rest;
    for (size_t i = 0; i < COUNT(added); i++) {
        size_t length = strlen(added[i].prefix);

        if (letter == added[i].letter && strncasecmp(rest, added[i].prefix, length) == 0 &&
            isdigit((unsigned char)rest[length]))
            return rest;
    }
    return name;
}

/* Trade words in the names of subcircuits that stand for one part. */
static const char *const part_words[] = {
    "fuse",   "valve",  "tube",  "triode", "pentode", "tetrode", "rectif", "lamp",   "bulb",
    "neon",   "jack",   "switch", "spst",  "spdt",    "dpst",    "dpdt",   "relay",  "inlet",
    "mains",  "choke",  "transf", "trafo", "xfmr",    "speaker", "socket", "plug",   "connector",
    "opamp",  "regulator", "bridge", "thermistor", "varistor", "potentiometer", "battery",
};

static bool contains(const char *text, const char *word)
{
    size_t length = strlen(word);

    for (; *text != '\0'; text++)
        if (strncasecmp(text, word, length) == 0)
            return true;
    return false;
}

bool spice_names_a_fuse(const char *subcircuit)
{
    return contains(subcircuit, "fuse");
}

static const char *skip_letters(const char *at)
{
    while (isalpha((unsigned char)*at))
        at++;
    return at;
}

/* Mullard-Philips and old British forms: ECC83, EL34, GZ34, KT88, EZ81. */
static bool is_european_valve(const char *name)
{
    const char *at = skip_letters(name), *end = skip_digits(at);
    size_t letters = (size_t)(at - name), digits = (size_t)(end - at);

    if (letters < 2 || letters > 4 || digits < 2 || digits > 4)
        return false;
    return strchr("DEGPUK", toupper((unsigned char)name[0])) != NULL &&
           strchr("ABCDFHKLMNQTYZ", toupper((unsigned char)name[1])) != NULL;
}

/* American forms, valves and semiconductors: 12AX7, 6V6GT, 5Y3GT, 1N4007, 2N3055. */
static bool is_american_type(const char *name)
{
    const char *letters = skip_digits(name), *digits = skip_letters(letters);
    size_t first = (size_t)(letters - name), middle = (size_t)(digits - letters);

    return first >= 1 && first <= 2 && middle >= 1 && middle <= 2 &&
           isdigit((unsigned char)*digits);
}

bool spice_names_a_part(const char *subcircuit)
{
    if (is_european_valve(subcircuit) || is_american_type(subcircuit))
        return true;
    for (size_t i = 0; i < COUNT(part_words); i++)
        if (contains(subcircuit, part_words[i]))
            return true;
    return false;
}

static const char *const part_fields[] = {
    "rating",  "voltage", "power", "tolerance", "windings", "idlecurrent", "screencurrent",
    "current", "load",    "ohms",  "resistance", "place",   "type",        "kind",
    "state",   "value",
};

bool spice_is_part_field(const char *key)
{
    for (size_t i = 0; i < COUNT(part_fields); i++)
        if (strcmp(part_fields[i], key) == 0)
            return true;
    return false;
}

static const char *const source_words[] = {
    "DC", "AC", "SIN", "SINE", "PULSE", "PWL", "EXP", "SFFM", "AM", "TRNOISE", "TRRANDOM",
    "EXTERNAL", "WAVEFILE", "PWLFILE",
};

bool spice_is_source_word(const char *word)
{
    size_t length = (size_t)(skip_letters(word) - word);

    if (word[length] != '\0' && word[length] != '(')
        return false;
    for (size_t i = 0; i < COUNT(source_words); i++)
        if (strlen(source_words[i]) == length && strncasecmp(source_words[i], word, length) == 0)
            return true;
    return false;
}

bool spice_is_numeric(const char *text)
{
    double ignored;
    size_t length = strlen(text), sign = *text == '-' || *text == '+';

    return length > sign && spice_number(text + sign, length - sign, &ignored) == length - sign;
}
