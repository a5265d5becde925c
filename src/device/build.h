/* What the build files share while parts become elements. */
#ifndef PREARC_DEVICE_BUILD_H
#define PREARC_DEVICE_BUILD_H

#include <stdbool.h>
#include <stddef.h>

#include "device/network.h"
#include "parts/parts.h"

struct circuit;

struct builder {
    struct network *network;
    const struct circuit *circuit;
    const struct parts *parts;
    bool *coupled; /* by part index: this inductor is in a coupled group already */
    const struct alteration *alteration; /* what is to be built otherwise than assumed; NULL: nothing */
    size_t *direct; /* what direct current ties together, once all but valves and transistors is built; see direct_path.h */
};

/* No node: a pin that is absent or not connected. */
#define NO_NODE ((size_t)-1)

/* A knee in volts for a valve's load, and for a semiconductor's. Common practice, no source: below
 * some tens of volts a valve, below about a volt a transistor no longer draws its idle current. */
#define VALVE_KNEE_VOLTS 10.0
#define SEMICONDUCTOR_KNEE_VOLTS 0.25

size_t build_node(const struct pin *pin);
/* Node of the pin with ROLE and UNIT. */
size_t build_role_node(const struct part_info *info, enum pin_role role, size_t unit);
/* Node of the N-th pin (0-based) with ROLE, whatever its unit. */
size_t build_nth_node(const struct part_info *info, enum pin_role role, size_t n);
/* The two ends of a part: PLUS and MINUS, ANODE and CATHODE, or two ENDs. False if not both are connected. */
bool build_ends(const struct part_info *info, size_t ends[2]);

/* One element with one branch between ENDS, in the direction given. */
struct element *build_two(struct builder *builder, const struct device *device,
                          const struct part_info *info, const size_t ends[2],
                          enum branch_kind kind, bool one_way);
void build_resistance(struct builder *builder, const struct part_info *info, size_t a, size_t b,
                      double ohms, enum branch_kind kind);
/* AMPS from PLUS to MINUS while there are more than KNEE volts; AMPS 0 or less: a branch that the solver leaves out. */
void build_load(struct builder *builder, const struct part_info *info, size_t plus, size_t minus,
                double amps, double knee);

/* The sentence "REF: ..." about what had to be left out. */
void build_gap(struct builder *builder, const struct part_info *info, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* altered.c: VALUE of WHAT of part REF, or what the alteration says instead. */
double build_altered(const struct alteration *alteration, const char *ref, const char *what, double value);
/* PARTS with the assumed figure that the alteration is about changed, in ARENA; PARTS itself if it is
 * about none. */
const struct parts *build_alter_parts(struct arena *arena, const struct parts *parts,
                                      const struct alteration *alteration);
/* "winding-ohms HT": FIGURE of SECTION as an assumption is called. */
const char *build_section_figure(struct arena *arena, const struct part_info *info,
                                 const struct section *section, const char *figure);

/* Records VALUE of WHAT for the part and returns it, or what is to be taken in its place. */
double build_assume(struct builder *builder, const struct part_info *info, const char *what,
                    double value, double low, double high, const char *reason);
/* The part's figure; if it has none, the assumption. */
double build_figure(struct builder *builder, const struct part_info *info, enum figure_id id,
                    double value, double low, double high, const char *reason);
bool build_has(const struct part_info *info, enum figure_id id);

/* One function a family of kinds; what each does is in its file. */
void build_resistor(struct builder *builder, const struct part_info *info);
void build_link(struct builder *builder, const struct part_info *info);
void build_thermistor(struct builder *builder, const struct part_info *info);
void build_potentiometer(struct builder *builder, const struct part_info *info);
void build_capacitor(struct builder *builder, const struct part_info *info);
void build_fuse(struct builder *builder, const struct part_info *info);
void build_switch(struct builder *builder, const struct part_info *info);
void build_relay(struct builder *builder, const struct part_info *info);
void build_lamp(struct builder *builder, const struct part_info *info);
void build_speaker(struct builder *builder, const struct part_info *info);
void build_jack(struct builder *builder, const struct part_info *info);
void build_choke(struct builder *builder, const struct part_info *info);
void build_inductor(struct builder *builder, const struct part_info *info);
void build_coupled(struct builder *builder, const struct part_info *info);
void build_transformer(struct builder *builder, const struct part_info *info);
void build_output_transformer(struct builder *builder, const struct part_info *info);
void build_diode(struct builder *builder, const struct part_info *info);
void build_led(struct builder *builder, const struct part_info *info);
void build_zener(struct builder *builder, const struct part_info *info);
void build_bridge(struct builder *builder, const struct part_info *info);
void build_rectifier_valve(struct builder *builder, const struct part_info *info);
/* Joins the ways through the valve in builder->direct; then it can be built. */
void build_valve_paths(struct builder *builder, const struct part_info *info);
void build_valve(struct builder *builder, const struct part_info *info);
/* The same of a transistor of either kind. */
void build_transistor_paths(struct builder *builder, const struct part_info *info);
void build_transistor(struct builder *builder, const struct part_info *info);
void build_regulator(struct builder *builder, const struct part_info *info);
void build_opamp(struct builder *builder, const struct part_info *info);
void build_inlet(struct builder *builder, const struct part_info *info);
void build_feed(struct builder *builder, const struct part_info *info);
void build_voltage_source(struct builder *builder, const struct part_info *info);
void build_current_source(struct builder *builder, const struct part_info *info);
void build_battery(struct builder *builder, const struct part_info *info);
void build_connector(struct builder *builder, const struct part_info *info);
void build_unknown(struct builder *builder, const struct part_info *info);

#endif
