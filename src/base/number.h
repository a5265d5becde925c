/* Plain decimal numbers, the same in every locale. */
#ifndef PREARC_BASE_NUMBER_H
#define PREARC_BASE_NUMBER_H

#include <stdbool.h>

/* More digits than this in one number and it is refused. */
enum { NUMBER_DIGITS_LARGEST = 60 };

/* Reads an unsigned number at *CURSOR: digits, a decimal mark (a dot; with COMMA also a comma
 * between digits), an exponent ("1e6"). False, nothing changed, if there is none, if it has too
 * many digits, if it overflows or underflows, or if a comma may be a thousands mark ("10,000"). */
bool number_scan(const char **cursor, bool comma, double *value);

/* The same without exponents, where an "E" says something else ("T1E250V"). */
bool number_scan_plain(const char **cursor, bool comma, double *value);

/* Reads a fraction that is one character (a quarter, a half, three quarters, an eighth, three
 * eighths), in UTF-8. Returns its value; 0, nothing changed, if there is none. */
double number_fraction_sign(const char **cursor);

#endif
