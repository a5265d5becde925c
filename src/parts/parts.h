/* What every part is: kind, pin roles, ratings and model figures, and what made us think so. */
#ifndef PREARC_PARTS_PARTS_H
#define PREARC_PARTS_PARTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/quantity.h"

struct arena;
struct bench;
struct circuit;
struct diags;
struct part;
struct pin;
struct text;

enum part_kind {
    PART_UNKNOWN,
    PART_FUSE, PART_INLET, PART_SWITCH, PART_STANDBY_SWITCH, PART_TRANSFORMER,
    PART_OUTPUT_TRANSFORMER,
    PART_COUPLED_INDUCTOR, /* an inductor that a K line couples: one winding of a transformer */
    PART_CHOKE, PART_INDUCTOR, PART_RESISTOR, PART_POTENTIOMETER, PART_THERMISTOR, PART_CAPACITOR,
    PART_DIODE, PART_ZENER, PART_LED, PART_BRIDGE, PART_RECTIFIER_VALVE,
    PART_TRIODE, PART_PENTODE, /* pentodes and beam tetrodes */
    PART_TRANSISTOR, PART_FET, PART_REGULATOR, PART_OPAMP, PART_RELAY, PART_LAMP, PART_JACK,
    PART_SPEAKER,
    PART_FEED,             /* a connector that stands for an AC, HT, heater, bias or mains feed */
    PART_CONNECTOR, PART_VOLTAGE_SOURCE, PART_CURRENT_SOURCE, PART_BATTERY, PART_TEST_POINT,
    PART_MECHANICAL,       /* holes, logos, fiducials: nothing electrical */
    PART_VARISTOR,         /* surge suppressors: they conduct nothing at working volts */
    PART_LINK,             /* net ties, closed jumpers: copper */
    PART_KIND_COUNT
};

enum pin_role {
    PIN_NONE,      /* not told apart, or not connected inside */
    PIN_END,       /* either end of a part that has no polarity: resistor, fuse, choke, lamp */
    PIN_PLUS, PIN_MINUS, PIN_AC,
    PIN_ANODE, PIN_CATHODE, PIN_GRID, PIN_SCREEN, PIN_SUPPRESSOR, PIN_HEATER, PIN_HEATER_TAP,
    PIN_LIVE, PIN_NEUTRAL, PIN_EARTH,
    PIN_WINDING,   /* a winding's end or tap; see struct section */
    PIN_SHIELD,    /* winding shield, frame */
    PIN_POLE, PIN_THROW, /* switch: pole and its throws; pole to throw 0 is the drawn position */
    PIN_COLLECTOR, PIN_BASE, PIN_EMITTER, PIN_DRAIN, PIN_GATE, PIN_SOURCE,
    PIN_INPUT, PIN_OUTPUT, PIN_COMMON, /* regulator */
    PIN_SUPPLY_PLUS, PIN_SUPPLY_MINUS, /* op-amp */
    PIN_COIL, PIN_CONTACT,
    PIN_TIP, PIN_RING, PIN_SLEEVE, PIN_TIP_NORMAL, PIN_RING_NORMAL, PIN_SLEEVE_NORMAL,
    PIN_WIPER,
    PIN_FEED,
    PIN_ROLE_COUNT
};

struct pin_info {
    enum pin_role role;
    size_t unit; /* section of a double valve, pole of a switch, winding of a transformer; 0-based */
    const char *feed; /* of a board's connector that nothing is wired to: what its name says it is fed with, or NULL */
};

/* Figures a part can have. The table in parts/figure.c gives name, unit and meaning of each. */
enum figure_id {
    FIGURE_OHMS, FIGURE_FARADS, FIGURE_HENRIES, FIGURE_TOLERANCE,
    FIGURE_WIPER, /* % of the track's resistance between its first end and the wiper */
    FIGURE_RATED_VOLTS, FIGURE_RATED_WATTS, FIGURE_RATED_AMPS, FIGURE_RATED_VOLTAMPS,
    FIGURE_SATURATION_AMPS, FIGURE_EMISSION, FIGURE_SERIES_OHMS, /* diode equation */
    FIGURE_REVERSE_VOLTS, FIGURE_AVERAGE_AMPS, FIGURE_SURGE_AMPS, FIGURE_SURGE_I2T, /* rectifier limits */
    FIGURE_ZENER_VOLTS,
    FIGURE_PERVEANCE,       /* A/V^1.5 per anode */
    FIGURE_ARC_VOLTS,       /* constant drop of a gas rectifier */
    FIGURE_PEAK_AMPS, FIGURE_LEAST_SERIES_OHMS, FIGURE_LARGEST_RESERVOIR, /* rectifier valve */
    FIGURE_HEATER_VOLTS, FIGURE_HEATER_AMPS, /* of the whole valve, parallel connection */
    FIGURE_IDLE_AMPS,       /* anode, or collector; per section */
    FIGURE_SCREEN_AMPS,
    FIGURE_ANODE_VOLTS, FIGURE_ANODE_COLD_VOLTS, FIGURE_ANODE_WATTS, /* limits of a valve, per section */
    FIGURE_SCREEN_VOLTS, FIGURE_SCREEN_COLD_VOLTS, FIGURE_SCREEN_WATTS,
    FIGURE_BOTH_ANODES_WATTS,  /* two sections together */
    FIGURE_ANODE_SCREEN_WATTS, /* anode and screen together */
    FIGURE_CATHODE_AMPS, FIGURE_GRID_LEAK_SELF, FIGURE_GRID_LEAK_FIXED,
    FIGURE_HEATER_CATHODE_VOLTS,
    FIGURE_TRIODE_ANODE_VOLTS, FIGURE_TRIODE_ANODE_WATTS, FIGURE_TRIODE_CATHODE_AMPS,
    FIGURE_TRIODE_GRID_LEAK_SELF, FIGURE_TRIODE_GRID_LEAK_FIXED, /* limits of a triode-pentode's triode */
    FIGURE_HEATER_COLD_RATIO,  /* resistance of the cold heater by that of the hot one */
    FIGURE_TRIODE_MU, FIGURE_TRIODE_EXPONENT, FIGURE_TRIODE_KG1, FIGURE_TRIODE_KP, FIGURE_TRIODE_KVB,
    FIGURE_TRIODE_VCT,      /* equation of triode sections; see device/triode.c */
    FIGURE_PENTODE_MU, FIGURE_PENTODE_EXPONENT, FIGURE_PENTODE_KG1, FIGURE_PENTODE_KP,
    FIGURE_PENTODE_KVB, FIGURE_PENTODE_KG2, FIGURE_PENTODE_SCREEN_POWER, /* device/pentode.c */
    FIGURE_LOAD_AMPS,       /* a part that stands for a load */
    FIGURE_OUTPUT_VOLTS, FIGURE_QUIESCENT_AMPS, FIGURE_DROPOUT_VOLTS, /* regulator */
    FIGURE_LARGEST_INPUT_VOLTS, FIGURE_LARGEST_ACROSS_VOLTS, /* input to common; input to output */
    FIGURE_LIMIT_AMPS, FIGURE_LIMIT_WATTS, /* its current limit; see device/regulator.c */
    FIGURE_POLARITY,        /* transistors: 1 NPN or N channel, -1 PNP or P channel */
    FIGURE_FORWARD_GAIN, FIGURE_REVERSE_GAIN, FIGURE_EARLY_VOLTS, /* device/bipolar.c, with IS and N above */
    FIGURE_THRESHOLD_VOLTS, FIGURE_TRANSCONDUCTANCE, FIGURE_CHANNEL_LAMBDA, /* device/channel.c */
    FIGURE_COIL_OHMS,
    FIGURE_COLD_OHMS,       /* thermistors, lamps: before current has warmed them */
    FIGURE_DC_VOLTS, FIGURE_AC_PEAK_VOLTS, FIGURE_HERTZ, FIGURE_PHASE, /* sources; phase in radians */
    FIGURE_DC_AMPS,
    FIGURE_COUNT
};

enum figure_origin {
    FIGURE_FROM_NETLIST, /* read from the netlist (or given on the command line) */
    FIGURE_FROM_LIBRARY, /* from rules/parts by type number; WHY is its source */
    FIGURE_MEASURED,     /* at the bench; WHY says so */
    FIGURE_ASSUMED       /* WHY is the reason; LOW and HIGH its range */
};

struct figure {
    enum figure_id id;
    double value, low, high; /* SI; low == high == value if it was given */
    enum figure_origin origin;
    const char *why;
};

/* One part of a winding between two neighbouring taps. */
struct section {
    size_t winding;                /* index in part_info.windings */
    const struct pin *start, *end; /* in phase: START is the dotted end */
    struct figure volts;           /* RMS, no load; value 0 and why NULL: not known */
    struct figure ohms, amps;      /* likewise; amps is the rated RMS current */
};

struct winding {
    const char *name;
    bool primary;
    double regulation; /* share of the no-load volts lost at the rating; 0: not told */
    size_t first_section, section_count;
};

/* What a rectifier valve is made for at VOLTS RMS per anode. */
struct rating_row {
    double volts;
    double ohms;  /* least source resistance per anode; 0: not told */
    double amps;  /* largest mean current, both anodes; 0: not told */
    const char *source;
};

/* What spoke for the kind that was chosen. */
struct witness {
    const char *kind;   /* "value", "symbol", "footprint", "library", "pins", "reference", "field", "model", "letter" */
    const char *text;   /* what it said: "GZ34" */
    enum part_kind vote;
    bool decided;       /* this one carried the decision */
};

struct part_info {
    const struct part *part;
    enum part_kind kind;
    const char *type;     /* type number in upper case, "1N4007", "EL34", or NULL */
    const char *role;     /* feeds: "mains", "ht", "heater", "bias", "ac"; inlets: "C14"; or NULL */
    const char *marking;  /* fuses: the marking as drawn, or NULL if none is */
    bool closed;          /* switches: as drawn or by default; standby and mains switches count as closed */
    bool plugged;         /* jacks: a plug is in it, so its normal contacts are open */
    const char *place;    /* fuses: where it sits ("inlet drawer", "board", "panel"), or NULL */
    struct pin_info *pins; /* part->pin_count of them */
    struct section *sections;
    size_t section_count;
    struct winding *windings;
    size_t winding_count;
    struct figure *figures;
    size_t figure_count, figure_capacity;
    const char *limits;   /* "design-centre", "design-maximum", "absolute": how its limits are meant, or NULL */
    const struct rating_row *ratings; /* rectifier valves, by rising volts */
    size_t rating_count;
    struct witness *witnesses;
    size_t witness_count, witness_capacity;
    const char *doubt;    /* why the kind or a pin role stays open, what would settle it; NULL: none */
};

struct parts {
    const struct circuit *circuit;
    struct part_info *items; /* circuit->part_count of them, same order */
    size_t count;
};

struct parts_options {
    const char *data_dir;  /* rules/parts is DATA_DIR/parts */
    double mains_volts;    /* RMS; 0: what the primary says, else 230 assumed */
    double mains_hertz;    /* 0: 50 assumed */
    /* Called for every transformer once its windings are known and before missing figures are assumed; may
     * change figures of its sections. NULL: nothing is measured. */
    void (*amend_windings)(struct bench *bench, struct part_info *info);
    struct bench *bench;   /* for amend_windings */
    double mains_tolerance; /* percent either way, if given; else what the inlet's field says, else 10 */
    bool mains_tolerance_given;
    struct library *library; /* of library_read, which its owner keeps as long as the parts; NULL: it is read here */
};

/* Recognises every part of CIRCUIT. NULL, with a diagnostic, only if the library cannot be read. */
struct parts *parts_recognise(struct arena *arena, struct diags *diags,
                              const struct circuit *circuit, const struct parts_options *options);

/* The circuit as recognised, one line a part and a pin, in a canonical order that does not depend on the
 * format it came in: "part REF kind value...", then "  pin ROLE UNIT net". */
void parts_dump(const struct parts *parts, struct text *out);

const char *part_kind_name(enum part_kind kind);  /* "fuse", "rectifier-valve" */
bool part_kind_parse(const char *name, enum part_kind *kind);
const char *pin_role_name(enum pin_role role);    /* "anode" */
bool pin_role_parse(const char *name, enum pin_role *role);

/* Rows of the figure table. */
struct figure_row {
    const char *name;  /* "rated-volts": also the facts attribute */
    enum unit unit;
    const char *help;
};
extern const struct figure_row figure_rows[FIGURE_COUNT];

/* NULL if the part has no such figure. */
const struct figure *part_figure(const struct part_info *info, enum figure_id id);
/* Its value, or OTHERWISE. */
double part_figure_value(const struct part_info *info, enum figure_id id, double otherwise);
/* Rated RMS current of a section, A: as stated, or what the rated VA say of the only primary; NAN: not known. */
double part_section_amps(const struct part_info *info, const struct section *section);
/* Adds or replaces a figure. */
void part_set_figure(struct arena *arena, struct part_info *info, enum figure_id id, double value,
                     double low, double high, enum figure_origin origin, const char *why);
/* The pin of the part with this role and unit; NULL if none. */
const struct pin *part_role_pin(const struct part_info *info, enum pin_role role, size_t unit);
/* Number of units: sections of a double valve, poles of a switch. */
size_t part_unit_count(const struct part_info *info);

/* WINDING as it ought to stand in the part's windings field: its pins, what is known, and examples for
 * what is not. */
const char *part_winding_field(struct arena *arena, const struct part_info *info, size_t winding);
/* The whole field; the part's pins in the commonest order if nothing is known of its windings. */
const char *part_windings_field(struct arena *arena, const struct part_info *info);

#endif
