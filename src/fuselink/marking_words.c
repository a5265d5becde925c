#include "fuselink/marking_words.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"

/* Letters and meanings: IEC 60127-1 clause 6.1 and IEC 60127-2 clause 6.1. Words and American
 * sizes: common practice, as found in drawings and parts lists. A link called slow in words is
 * time-lag. */
static const struct marking_word words[] = {
    {"slo-blo", WORD_SPEED, .speed = SPEED_T, .american = true},
    {"slo-blow", WORD_SPEED, .speed = SPEED_T, .american = true},
    {"slow-blo", WORD_SPEED, .speed = SPEED_T, .american = true},
    {"slow-blow", WORD_SPEED, .speed = SPEED_T, .american = true},
    {"slow-acting", WORD_SPEED, .speed = SPEED_T},
    {"slow", WORD_SPEED, .speed = SPEED_T},
    {"sb", WORD_SPEED, .speed = SPEED_T, .american = true},
    {"time-lag", WORD_SPEED, .speed = SPEED_T},
    {"time-delay", WORD_SPEED, .speed = SPEED_T},
    {"delayed", WORD_SPEED, .speed = SPEED_T},
    {"anti-surge", WORD_SPEED, .speed = SPEED_T},
    {"tr\xC3\xA4ge", WORD_SPEED, .speed = SPEED_T},
    {"tr\xC3\x84ge", WORD_SPEED, .speed = SPEED_T},
    {"traege", WORD_SPEED, .speed = SPEED_T},
    {"quick-acting", WORD_SPEED, .speed = SPEED_F},
    {"quick-blow", WORD_SPEED, .speed = SPEED_F},
    {"quick", WORD_SPEED, .speed = SPEED_F},
    {"fast-acting", WORD_SPEED, .speed = SPEED_F},
    {"fast-blow", WORD_SPEED, .speed = SPEED_F},
    {"fast", WORD_SPEED, .speed = SPEED_F},
    {"flink", WORD_SPEED, .speed = SPEED_F},
    {"super-flink", WORD_SPEED, .speed = SPEED_FF},
    {"super-fast", WORD_SPEED, .speed = SPEED_FF},
    {"very-fast", WORD_SPEED, .speed = SPEED_FF},
    {"very-quick-acting", WORD_SPEED, .speed = SPEED_FF},
    {"mittel-tr\xC3\xA4ge", WORD_SPEED, .speed = SPEED_M},
    {"medium-time-lag", WORD_SPEED, .speed = SPEED_M},
    {"super-tr\xC3\xA4ge", WORD_SPEED, .speed = SPEED_TT},
    {"long-time-lag", WORD_SPEED, .speed = SPEED_TT},
    {"hbc", WORD_BREAKING, .breaking = BREAKING_HIGH},
    {"hrc", WORD_BREAKING, .breaking = BREAKING_HIGH},
    {"high-breaking-capacity", WORD_BREAKING, .breaking = BREAKING_HIGH},
    {"enhanced-breaking-capacity", WORD_BREAKING, .breaking = BREAKING_ENHANCED},
    {"lbc", WORD_BREAKING, .breaking = BREAKING_LOW},
    {"low-breaking-capacity", WORD_BREAKING, .breaking = BREAKING_LOW},
    {"3ag", WORD_SIZE, .size = "3AG", .american = true},
    {"3ab", WORD_SIZE, .size = "3AG", .american = true},
    {"agc", WORD_SPEED, .speed = SPEED_F, .size = "3AG", .american = true},
    {"mdl", WORD_SPEED, .speed = SPEED_T, .size = "3AG", .american = true},
    {"gma", WORD_SPEED, .speed = SPEED_F, .size = "5x20", .american = true},
    {"gmd", WORD_SPEED, .speed = SPEED_T, .size = "5x20", .american = true},
    {"fuse-link", .meaning = WORD_LABEL},
    {"fuse", .meaning = WORD_LABEL},
    {"sicherung", .meaning = WORD_LABEL},
    {"glass", .meaning = WORD_PLAIN},
    {"ceramic", .meaning = WORD_PLAIN},
    {"cartridge", .meaning = WORD_PLAIN},
    {"ac", .meaning = WORD_PLAIN},
    {"dc", .meaning = WORD_PLAIN},
    {"mm", .meaning = WORD_PLAIN},
};

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* The end of PATTERN at P, or NULL. */
static const char *match(const char *p, const char *pattern)
{
    for (; *pattern != '\0'; pattern++)
        if (*pattern == '-')
            p += strspn(p, " -_");
        else if (tolower((unsigned char)*p) == tolower((unsigned char)*pattern))
            p++;
        else
            return NULL;
    return is_letter(*p) || isdigit((unsigned char)*p) ? NULL : p;
}

const struct marking_word *marking_word_scan(const char **cursor)
{
    const struct marking_word *found = NULL;
    const char *longest = *cursor;

    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        const char *end = match(*cursor, words[i].text);

        if (end != NULL && end > longest) {
            longest = end;
            found = &words[i];
        }
    }
    *cursor = longest;
    return found;
}

static enum fuse_speed speed_letters(const char **cursor)
{
    static const struct {
        const char *text;
        enum fuse_speed speed;
    } rows[] = {{"FF", SPEED_FF}, {"TT", SPEED_TT}, {"F", SPEED_F}, {"T", SPEED_T}};

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (strncasecmp(*cursor, rows[i].text, strlen(rows[i].text)) == 0) {
            *cursor += strlen(rows[i].text);
            return rows[i].speed;
        }
    if (**cursor != 'M') /* a small m is a multiplier */
        return SPEED_UNKNOWN;
    ++*cursor;
    return SPEED_M;
}

static enum fuse_breaking breaking_letter(const char **cursor)
{
    enum fuse_breaking breaking = BREAKING_UNKNOWN;

    switch (toupper((unsigned char)**cursor)) {
    case 'L': breaking = BREAKING_LOW; break;
    case 'E': breaking = BREAKING_ENHANCED; break;
    case 'H': breaking = BREAKING_HIGH; break;
    default: return breaking;
    }
    ++*cursor;
    return breaking;
}

bool marking_letters_scan(const char **cursor, enum fuse_speed *speed, enum fuse_breaking *breaking)
{
    const char *p = *cursor;
    enum fuse_breaking first = breaking_letter(&p);

    *speed = speed_letters(&p);
    *breaking = first != BREAKING_UNKNOWN ? first : breaking_letter(&p);
    if (p == *cursor || is_letter(*p))
        return false;
    *cursor = p;
    return true;
}

bool marking_speed_scan(const char **cursor, enum fuse_speed *speed)
{
    const char *p = *cursor;

    *speed = speed_letters(&p);
    if (*speed == SPEED_UNKNOWN)
        return false;
    p += strspn(p, " \t_");
    if (!isdigit((unsigned char)*p) && *p != '.' && (unsigned char)*p < 0x80)
        return false;
    *cursor = p;
    return true;
}

static const char *skip_blanks(const char *p)
{
    return p + strspn(p, " \t");
}

static const char *size_named(double diameter, double length)
{
    if (fabs(diameter - 5) < 0.01 && (fabs(length - 20) < 0.01))
        return "5x20";
    if (diameter > 6.2 && diameter < 6.4 && length > 29.9 && length < 32.1)
        return "6.3x32";
    return fabs(diameter - 6) < 0.01 && fabs(length - 32) < 0.01 ? "6.3x32" : NULL;
}

/* "2x2A" and "2 x 2 A" are two links, no size. */
static bool amperes_follow(const char *p)
{
    p = skip_blanks(p);
    p += *p == 'm' || *p == 'M';
    return (*p == 'A' || *p == 'a') && !is_letter(p[1]);
}

bool marking_size_scan(const char **cursor, const char **size)
{
    const char *p = *cursor;
    double diameter, length;

    if (!number_scan_plain(&p, true, &diameter))
        return false;
    p = skip_blanks(p);
    if (*p == 'x' || *p == 'X')
        p++;
    else if (strncmp(p, "\xC3\x97", 2) == 0)
        p += 2;
    else
        return false;
    p = skip_blanks(p);
    if (!number_scan_plain(&p, true, &length) || amperes_follow(p))
        return false;
    if (is_letter(*p) && strncasecmp(p, "mm", 2) != 0)
        return false;
    *size = size_named(diameter, length);
    *cursor = p;
    return true;
}
