#include "parts/wording.h"

#include <ctype.h>
#include <string.h>

/* Words end at these; then, looked at once more, at those of the second row too. */
static const char *const separators[] = {" ,;()/|\"'", " ,;()/|\"'_-+:."};
enum { SEPARATOR_ROWS = sizeof separators / sizeof *separators, TYPE_LARGEST = 10 };

/* Base letters of U+00C0 to U+017F; a blank: none (the two signs, and letters that are not one with an accent). */
static const char base_letters[] =
    "AAAAAAACEEEEIIIIDNOOOOO OUUUUYTS" /* U+00C0 */
    "AAAAAAACEEEEIIIIDNOOOOO OUUUUYTY" /* U+00E0 */
    "AAAAAACCCCCCCCDDDDEEEEEEEEEEGGGG" /* U+0100 */
    "GGGGHHHHIIIIIIIIIIIIJJKKKLLLLLLL" /* U+0120 */
    "LLLNNNNNNNNNOOOOOOOORRRRRRSSSSSS" /* U+0140 */
    "SSTTTTTTUUUUUUUUUUUUWWYYYZZZZZZS" /* U+0160 */;

/* Cyrillic letters by Latin ones, as type numbers are transcribed: "6П3С" is "6P3S". */
static const char *const cyrillic_letters[] = {
    "A", "B", "V", "G", "D", "E", "ZH", "Z", "I", "J", "K", "L", "M", "N", "O", "P", /* U+0410 */
    "R", "S", "T", "U", "F", "H", "C", "CH", "SH", "SH", "`", "Y", "`", "E", "YU", "YA" /* U+0420 */};

/* CODE is of U+0400 to U+045F; two bytes were read. */
static size_t fold_cyrillic(unsigned code, char *out, size_t *length)
{
    const char *letters = "E"; /* those that have an accent, or are not Russian */

    if (code >= 0x410 && code < 0x450)
        letters = cyrillic_letters[(code - 0x410) % 32];
    *length = strlen(letters);
    memcpy(out, letters, *length);
    return 2;
}

size_t wording_fold(const char *text, char *out, size_t *length)
{
    const unsigned char c = (unsigned char)text[0], next = c != '\0' ? (unsigned char)text[1] : '\0';
    unsigned code = (c & 0x1Fu) << 6 | (next & 0x3Fu);

    out[0] = (char)(c < 0x80 ? toupper(c) : c);
    *length = 1;
    if ((c & 0xE0) != 0xC0 || (next & 0xC0) != 0x80)
        return 1;
    if (code >= 0xC0 && code < 0x180 && base_letters[code - 0xC0] != ' ') {
        out[0] = base_letters[code - 0xC0];
        return 2;
    }
    if (code >= 0x400 && code < 0x460)
        return fold_cyrillic(code, out, length);
    out[0] = (char)(0xC0 | code >> 6);
    out[1] = (char)(0x80 | (code & 0x3F));
    *length = 2;
    return 2;
}

char *wording_fold_all(char *text)
{
    char *out = text;
    size_t length;

    for (const char *in = text; *in != '\0'; out += length)
        in += wording_fold(in, out, &length);
    *out = '\0';
    return text;
}

/* Where a word of either row begins: at the start and after every separator. */
static void index_beginnings(struct wording *wording)
{
    const char *all = separators[SEPARATOR_ROWS - 1];

    memset(wording->begins, 0, sizeof wording->begins);
    for (size_t i = 0; i < wording->length; i++)
        if (i == 0 || strchr(all, wording->text[i - 1]) != NULL)
            wording->begins[(unsigned char)wording->text[i]] = true;
}

/* False: PATTERN fits no word of it, because none begins as it does. */
static bool may_have(const struct wording *wording, const char *pattern)
{
    if (*pattern == '\0' || strchr("?#*", *pattern) != NULL)
        return true;
    return wording->begins[(unsigned char)*pattern];
}

void wording_start(struct wording *wording, const char *text)
{
    size_t length = 0, folded;

    for (size_t i = 0; text != NULL && text[i] != '\0' && length < WORDING_LARGEST - 2; i++) {
        const unsigned char c = (unsigned char)text[i], next = (unsigned char)text[i + 1];

        /* no-break space, middle dot, multiplication sign */
        if ((c == 0xC2 && (next == 0xA0 || next == 0xB7)) || (c == 0xC3 && next == 0x97)) {
            wording->text[length++] = ' ';
            i++;
        } else if (c < 0x80 && isspace(c)) {
            wording->text[length++] = ' ';
        } else {
            i += wording_fold(text + i, wording->text + length, &folded) - 1;
            length += folded;
        }
    }
    while (length > 0 && wording->text[length - 1] == ' ')
        length--;
    wording->text[length] = '\0';
    wording->length = length;
    index_beginnings(wording);
}

static bool drop_tail(struct wording *wording, const char *tail)
{
    size_t length = strlen(tail);

    if (wording->length <= length || strcmp(wording->text + wording->length - length, tail) != 0)
        return false;
    wording->length -= length;
    wording->text[wording->length] = '\0';
    return true;
}

void wording_symbol(struct wording *wording, const char *text)
{
    char *rescue;

    wording_start(wording, text);
    rescue = strstr(wording->text, "-RESCUE");
    if (rescue != NULL && rescue != wording->text) {
        *rescue = '\0';
        wording->length = (size_t)(rescue - wording->text);
        /* what stands before it is the project's name: "F_SMALL-MYAMP" */
        rescue = strchr(wording->text, '-');
        if (rescue != NULL && rescue != wording->text
            && strncmp(wording->text, "F_SMALL-", 8) == 0) {
            *rescue = '\0';
            wording->length = (size_t)(rescue - wording->text);
        }
    }
    drop_tail(wording, ".SYM");
    drop_tail(wording, "_SMALL");
    index_beginnings(wording);
}

static bool fits(char pattern, char c)
{
    return pattern == '?' || pattern == c || (pattern == '#' && isdigit((unsigned char)c));
}

bool pattern_matches(const char *pattern, const char *text, size_t length)
{
    const char *star = NULL;
    size_t at = 0, retry = 0;

    while (at < length) {
        if (*pattern == '*') {
            star = ++pattern;
            retry = at;
        } else if (*pattern != '\0' && fits(*pattern, text[at])) {
            pattern++;
            at++;
        } else if (star != NULL) {
            pattern = star;
            at = ++retry;
        } else {
            return false;
        }
    }
    while (*pattern == '*')
        pattern++;
    return *pattern == '\0';
}

/* The next word at *CURSOR, which moves behind it; NULL at the end. */
static const char *next_word(const char **cursor, const char *stops, size_t *length)
{
    const char *word = *cursor + strspn(*cursor, stops);

    *length = strcspn(word, stops);
    *cursor = word + *length;
    return *length > 0 ? word : NULL;
}

bool wording_has(const struct wording *wording, const char *pattern, const char **word,
                 size_t *length)
{
    bool whole = *pattern == '=';

    *word = wording->text;
    *length = wording->length;
    if (wording->length == 0 || !may_have(wording, pattern + whole))
        return false;
    if (pattern_matches(pattern + whole, wording->text, wording->length))
        return true;
    for (size_t row = 0; !whole && row < SEPARATOR_ROWS; row++) {
        const char *cursor = wording->text;

        while ((*word = next_word(&cursor, separators[row], length)) != NULL)
            if (pattern_matches(pattern, *word, *length))
                return true;
    }
    return false;
}

const struct word *wording_best(const struct library *library, enum word_place place,
                                const struct wording *wording, const char **word, size_t *length)
{
    const struct word *best = NULL;

    for (size_t i = 0; i < library->word_count; i++) {
        const struct word *candidate = &library->words[i];
        const char *found;
        size_t found_length;

        if (candidate->place != place || (best != NULL && candidate->weight <= best->weight)
            || !wording_has(wording, candidate->pattern, &found, &found_length))
            continue;
        best = candidate;
        *word = found;
        *length = found_length;
    }
    return best;
}

const struct word *wording_first(const struct library *library, enum word_place place,
                                 const struct wording *wording)
{
    const char *word;
    size_t length;

    for (size_t i = 0; i < library->word_count; i++)
        if (library->words[i].place == place
            && wording_has(wording, library->words[i].pattern, &word, &length))
            return &library->words[i];
    return NULL;
}

/* "EL 84", "12 AX 7": a type number with blanks in it; *WORD and *LENGTH are left alone if there is none. */
static const struct type *spaced_type(const struct library *library, const struct wording *wording,
                                      const char **word, size_t *length)
{
    char joined[TYPE_LARGEST];
    const char *cursor = wording->text, *start;
    size_t start_length;

    while ((start = next_word(&cursor, " ", &start_length)) != NULL) {
        const char *next = start, *at;
        size_t used = 0, next_length;

        while ((at = next_word(&next, " ", &next_length)) != NULL && used + next_length < sizeof joined) {
            const struct type *type;

            memcpy(joined + used, at, next_length);
            used += next_length;
            type = at != start ? library_find(library, joined, used) : NULL;
            if (type == NULL)
                continue;
            *word = start;
            *length = (size_t)(at + next_length - start);
            return type;
        }
    }
    return NULL;
}

const struct type *wording_type(const struct library *library, const struct wording *wording,
                                const char **word, size_t *length)
{
    const struct type *type;

    *word = wording->text;
    *length = wording->length;
    type = library_find(library, *word, *length);
    for (size_t row = 0; type == NULL && row < SEPARATOR_ROWS; row++) {
        const char *cursor = wording->text;

        while (type == NULL && (*word = next_word(&cursor, separators[row], length)) != NULL)
            type = library_find(library, *word, *length);
    }
    return type != NULL ? type : spaced_type(library, wording, word, length);
}
