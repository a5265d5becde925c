/* The constants of a valve's equation, from the figures of its type. */
#ifndef PREARC_DEVICE_VALVE_CONSTANTS_H
#define PREARC_DEVICE_VALVE_CONSTANTS_H

#include <stdbool.h>

struct device;
struct part_info;

/* Fills FIGURES (ELEMENT_FIGURES of them) of device_pentode or device_triode and returns which.
 * NULL: not all are known. */
const struct device *valve_constants(const struct part_info *info, bool pentode, double *figures);

#endif
