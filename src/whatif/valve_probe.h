/* The equation of a valve at given volts, as the solver would see it. */
#ifndef PREARC_WHATIF_VALVE_PROBE_H
#define PREARC_WHATIF_VALVE_PROBE_H

struct element;

/* Volts of the electrodes against the cathode. */
struct electrode_volts {
    double anode, screen, grid;
};

/* Currents, A, and their slopes by the volts of anode and screen, S. A triode's screen draws nothing. */
struct valve_point {
    double anode, anode_by_anode, anode_by_screen;
    double screen, screen_by_anode, screen_by_screen;
};

/* VALVE is of device_pentode or device_triode; only its figures are looked at. */
struct valve_point valve_probe(const struct element *valve, struct electrode_volts volts);

#endif
