#include "fuselink/marking_colours.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "fuselink/rating.h"

enum { BANDS = 4, FIGURES = 10, COLOURS = 12, SPELLINGS = 8 };

/* By figure, as on resistors (IEC 60062); the codes of two letters are those of IEC 60757. The last two no
 * link has. */
static const char *const colours[COLOURS][SPELLINGS] = {
    {"black", "schwarz", "noir", "negro", "nero", "BK"},
    {"brown", "braun", "marron", "brun", "marr\xC3\xB3n", "marrone", "BN"},
    {"red", "rot", "rouge", "rojo", "rosso", "RD"},
    {"orange", "naranja", "arancione", "arancio", "OG"},
    {"yellow", "gelb", "jaune", "amarillo", "giallo", "YE"},
    {"green", "gr\xC3\xBCn", "gruen", "vert", "verde", "GN"},
    {"blue", "blau", "bleu", "azul", "blu", "BU"},
    {"violet", "violett", "purple", "violeta", "viola", "morado", "VT"},
    {"grey", "gray", "grau", "gris", "grigio", "GY"},
    {"white", "wei\xC3\x9F", "weiss", "blanc", "blanco", "bianco", "WH"},
    {"gold", "or", "oro", "GD"},
    {"silver", "silber", "argent", "plata", "argento", "SR"},
};

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* The figure of the colour at *CURSOR, which moves past it and what parts it from the next; -1: none. */
static int colour_scan(const char **cursor)
{
    for (int figure = 0; figure < COLOURS; figure++)
        for (size_t i = 0; i < SPELLINGS && colours[figure][i] != NULL; i++) {
            size_t length = strlen(colours[figure][i]);

            if (strncasecmp(*cursor, colours[figure][i], length) != 0 || is_letter((*cursor)[length]))
                continue;
            *cursor += length;
            *cursor += strspn(*cursor, " \t-/,;+_");
            return figure;
        }
    return -1;
}

/* The fourth band: IEC 60127-1 annex A. */
static enum fuse_speed speed_of(int figure)
{
    switch (figure) {
    case 0: return SPEED_FF;
    case 2: return SPEED_F;
    case 4: return SPEED_M;
    case 6: return SPEED_T;
    case 8: return SPEED_TT;
    default: return SPEED_UNKNOWN;
    }
}

/* The preferred rating that begins with these two figures, A; 0: none. 315 mA has the bands 3, 1 and tens. */
static double rating_of(int first, int second, int power)
{
    static const double thirds[] = {0, 2, 4, 5}; /* 1.12 and 2.24, 1.25 and 3.15 end so */
    double scale = pow(10, power), two = (10 * first + second) * scale / 1000;

    for (size_t i = 0; i < sizeof thirds / sizeof thirds[0]; i++) {
        double amps = two + thirds[i] * scale / 1e4;

        if (rating_is_listed(amps, RATING_R10, 1e-6) || rating_is_listed(amps, RATING_R20, 1e-6))
            return amps;
    }
    return 0;
}

bool marking_colours_scan(const char **cursor, double *amps, enum fuse_speed *speed)
{
    const char *p = *cursor;
    int bands[BANDS];

    for (size_t i = 0; i < BANDS; i++) {
        bands[i] = colour_scan(&p);
        if (bands[i] < 0 || bands[i] >= FIGURES)
            return false;
    }
    *amps = rating_of(bands[0], bands[1], bands[2]);
    *speed = speed_of(bands[3]);
    if (*amps <= 0 || *speed == SPEED_UNKNOWN || colour_scan(&(const char *){p}) >= 0)
        return false;
    *cursor = p;
    return true;
}
