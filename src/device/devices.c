/* Every device there is. */
#include "device/device.h"

const struct device *const devices[] = {
    &device_resistor,    &device_capacitor, &device_inductor, &device_coupled,
    &device_transformer, &device_diode,     &device_valve_diode, &device_source,
    &device_triode,      &device_pentode,   &device_grid_mean, &device_load,
    &device_zener,       &device_open,      NULL,
};
