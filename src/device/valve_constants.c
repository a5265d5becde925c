#include "device/valve_constants.h"

#include <stddef.h>

#include "device/device.h"
#include "parts/parts.h"

static const enum figure_id triode_figures[] = {
    FIGURE_TRIODE_MU, FIGURE_TRIODE_EXPONENT, FIGURE_TRIODE_KG1,
    FIGURE_TRIODE_KP, FIGURE_TRIODE_KVB,      FIGURE_TRIODE_VCT};
static const enum figure_id pentode_figures[] = {
    FIGURE_PENTODE_MU,  FIGURE_PENTODE_EXPONENT, FIGURE_PENTODE_KG1,         FIGURE_PENTODE_KP,
    FIGURE_PENTODE_KVB, FIGURE_PENTODE_KG2,      FIGURE_PENTODE_SCREEN_POWER};
enum {
    TRIODE_FIGURES = sizeof triode_figures / sizeof *triode_figures,
    PENTODE_FIGURES = sizeof pentode_figures / sizeof *pentode_figures,
};

/* COUNT of them, of which only the last may be 0 or less. False: not all are known. */
static bool read_constants(const struct part_info *info, const enum figure_id *ids, size_t count,
                           double *figures)
{
    for (size_t i = 0; i < count; i++) {
        if (part_figure(info, ids[i]) == NULL)
            return false;
        figures[i] = part_figure_value(info, ids[i], 0);
        if (i + 1 < count && !(figures[i] > 0))
            return false;
    }
    return figures[1] > 1;
}

const struct device *valve_constants(const struct part_info *info, bool pentode, double *figures)
{
    bool known = pentode ? read_constants(info, pentode_figures, PENTODE_FIGURES, figures)
                         : read_constants(info, triode_figures, TRIODE_FIGURES, figures);

    if (!known)
        return NULL;
    return pentode ? &device_pentode : &device_triode;
}

/* IS, A, and N; RS with what published models put in series, ohm (2 kohm for triodes, 1 kohm for power valves; usual, no
 * source). */
void valve_grid_diode(bool pentode, double *figures)
{
    figures[0] = 1e-9;
    figures[1] = 1;
    figures[2] = pentode ? 1001 : 2001;
}
