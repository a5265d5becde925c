/* The constants of a valve's equation, from the figures of its type. */
#ifndef PREARC_DEVICE_VALVE_CONSTANTS_H
#define PREARC_DEVICE_VALVE_CONSTANTS_H

#include <stdbool.h>

struct device;
struct part_info;

/* Fills FIGURES (ELEMENT_FIGURES of them) of device_pentode or device_triode and returns which.
 * NULL: not all are known. */
const struct device *valve_constants(const struct part_info *info, bool pentode, double *figures);

/* The grid as a diode: fills the FIGURES of a device_diode. */
void valve_grid_diode(bool pentode, double *figures);
/* s, of the filter that hands a valve the mean volts of its grid: long against every coupling of an amplifier. */
#define VALVE_GRID_MEAN_SECONDS 100.0

#endif
