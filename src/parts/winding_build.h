/* Windings of a transformer as they are put together, whoever tells them. */
#ifndef PREARC_PARTS_WINDING_BUILD_H
#define PREARC_PARTS_WINDING_BUILD_H

#include "parts/parts.h"

enum { WINDING_PINS_LARGEST = 16, WINDINGS_LARGEST = 64 };

/* What is known of one winding. Figures of 0 are not known. */
struct winding_draft {
    const char *name;
    bool primary;
    const struct pin *pins[WINDING_PINS_LARGEST]; /* along the winding */
    size_t pin_count;
    double volts[WINDING_PINS_LARGEST]; /* V RMS per section */
    double end_volts;                   /* or end to end, taps unknown */
    double ohms[WINDING_PINS_LARGEST];
    double end_ohms;
    bool ohms_told;                     /* an ohms figure of 0 was written: an ideal winding */
    double amps;                        /* A RMS, rated */
    double voltamps;                    /* or VA of the whole winding */
    double regulation;                  /* share of the no-load volts lost at the rating */
};

void winding_add(struct arena *arena, struct part_info *info, const struct winding_draft *draft);

/* Assigns the pins, finds the primary if none is named, and doubts what stays open. */
void windings_finish(struct arena *arena, struct part_info *info);
/* Adds a doubt if the volts of a winding are not known. */
void windings_doubt_volts(struct arena *arena, struct part_info *info);

#endif
