/* Every device that a netlist may hold. */
#include "device/device.h"

const struct device *const devices[] = {
    &device_resistor,    &device_capacitor, &device_inductor, &device_coupled,
    &device_transformer, &device_diode,     &device_valve_diode, &device_source,
    &device_triode,      &device_pentode,   &device_mean_filter, &device_load,
    &device_zener,       &device_open,      &device_bipolar,   &device_channel,
    &device_regulator,   NULL,
};
