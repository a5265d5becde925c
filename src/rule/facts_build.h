/* Inside of facts_build: what its sections share. */
#ifndef PREARC_RULE_FACTS_BUILD_H
#define PREARC_RULE_FACTS_BUILD_H

#include <libxml/tree.h>

#include "device/network.h"
#include "rule/facts.h"

struct arena;
struct cover;
struct fault;
struct fuse_entry;
struct fuse_state;
struct fuse_view;
struct gates;
struct judge;
struct mains;
struct map;
struct net;
struct part_info;
struct rail;
struct rectifier;
struct trace;
struct trace_source;
struct ways;

struct facts_build {
    struct arena *arena;
    const struct findings_of_stages *stages;
    const struct judge *judge;
    const struct fuse_entry *fuse_entries; /* judge->fuses, same order */
    double *source_volts;       /* by trace source: V as its element tells, once it is there; NAN: it does not */
    xmlNode *root;
    const struct assumption *assumptions; /* of the network and of the parts' figures */
    size_t assumption_count;
    struct facts_rests *rests;  /* what rests on them */
    struct map *gaps_seen;      /* "part\nwhat" */
    const struct part *const *unknown_parts; /* fitted, but something of them is not known */
    size_t unknown_part_count;
    struct ways *ways;
    const size_t *rail_of_node; /* by node: index of the rail that it is on or fed from,
                                 * SIZE_MAX: none */
};

/* The sections, in the document's order. */
void facts_add_assumptions(const struct facts_build *build);
void facts_add_gaps(const struct facts_build *build);
/* Gaps: currents told at the bench that do not flow. */
void facts_add_lost_loads(const struct facts_build *build);
void facts_add_nets(const struct facts_build *build);
void facts_add_parts(const struct facts_build *build);
void facts_add_sources(struct facts_build *build);
void facts_add_mains(const struct facts_build *build);
/* Switches, earth, inlet: attributes of NODE, the element of MAINS; then its capacitors, its last children. */
void facts_add_mains_side(const struct facts_build *build, xmlNode *node, const struct mains *mains);
void facts_add_line_capacitors(const struct facts_build *build, xmlNode *node, const struct mains *mains);
/* Refs of the diodes through which SOURCE, a winding, is shorted in one half-cycle: "D1 D2"; NULL: none. */
const char *facts_shorted_by(const struct facts_build *build, const struct trace_source *source);
void facts_add_rectifiers(const struct facts_build *build);
/* In PARENT an element for each valve of RECTIFIER: what it stands and what RAIL (NULL: none) asks of it. */
void facts_add_valves(const struct facts_build *build, xmlNode *parent,
                      const struct rectifier *rectifier, const struct rail *rail);
void facts_add_rails(const struct facts_build *build);
/* Heaters, standby switch: attributes of NODE, the element of RAIL. */
void facts_add_rail_practice(const struct facts_build *build, xmlNode *node, const struct rail *rail);
/* How many pins are on NET, and which is alone there though it is meant to lead somewhere: attributes of ELEMENT. */
void facts_add_lone_pin(const struct facts_build *build, xmlNode *element, const struct net *net);
/* What lies across a fuse: fact attributes bridge and bridged-by of NODE, absent if nothing does. */
void facts_add_bridge(const struct facts_build *build, xmlNode *node, size_t fuse_branch);
/* The link in the holder against the design's marking and against what is computed: NODE is the fuse's element, complete
 * but for its children. */
void facts_add_fitted(const struct facts_build *build, xmlNode *node,
                      const struct fuse_state *state);
/* The right marking for the place of a fuse, and what it is asked to break: attributes of NODE, the fuse's
 * element, which has its other attributes already. UNKNOWN_LOADS: refs, or NULL. */
void facts_add_recommendation(const struct facts_build *build, xmlNode *node, const struct fuse_view *view,
                              const char *unknown_loads);
/* What a standard promises for a link of RATED_AMPS: a gate an element NAME, in A and s. */
void facts_add_gates(xmlNode *node, const char *name, const struct gates *gates, double rated_amps);
void facts_add_fuses(const struct facts_build *build);
/* Full signal: attributes of a rail, of node INDEX on it, of a fuse; absent where it was not found. */
void facts_add_full_rail(const struct facts_build *build, xmlNode *node, const struct rail *rail);
void facts_add_full_node(const struct facts_build *build, xmlNode *node, const struct rail *rail,
                         size_t index);
void facts_add_full_fuse(const struct facts_build *build, xmlNode *node, size_t branch);
/* A RMS in a branch with the output stages driven to clipping; NAN: not known. */
double facts_full_rms(const struct facts_build *build, size_t branch);
void facts_add_output_stages(const struct facts_build *build);
void facts_add_jacks(const struct facts_build *build);
/* The volts at NODE and what could feed it: attributes of CONTACT. */
void facts_add_contact(const struct facts_build *build, xmlNode *contact, size_t node);
/* What the tip at NODE drives, and how open it is without a plug. */
void facts_add_input(const struct facts_build *build, xmlNode *contact, size_t node, bool plugged);
void facts_add_loudspeaker_sides(const struct facts_build *build);
void facts_add_sections(const struct facts_build *build);
void facts_add_strings(const struct facts_build *build);
/* The capacitor that goes on from node MIDDLE where ABOVE ends, if they are two in series; NULL: they are not. */
const struct branch *facts_string_below(const struct facts_build *build, size_t middle, const struct branch *above);
/* Parts whose rating is not told and would matter; after the parts. */
void facts_add_unrated(const struct facts_build *build);
void facts_add_silicon(const struct facts_build *build);
void facts_add_faults(const struct facts_build *build);
void facts_add_bench(const struct facts_build *build);

/* Gathers the assumptions of the network and of the parts' figures, each once. */
void facts_gather_assumptions(struct facts_build *build);

void facts_find_unknown_parts(struct facts_build *build);
/* The refs of those on one of the rails whose flag in RAILS (RAIL_COUNT of them) is set: what such
 * a rail delivers is a lower bound. NULL if there are none. */
const char *facts_unknown_loads(const struct facts_build *build, const bool *rails,
                                size_t rail_count);

/* The sound circuit was solved. */
bool facts_solved(const struct facts_build *build);
const struct part_info *facts_part(const struct facts_build *build, const struct part *part);
const char *facts_branch_ref(const struct facts_build *build, size_t branch);
const char *facts_node_name(const struct facts_build *build, size_t node);

/* A RMS through FAULT; NAN if its source has no volts in the computed circuit. */
double facts_fault_amps(const struct facts_build *build, const struct fault *fault);

/* The refs of the parts that carry FAULT, each once: "T1 D1 L1"; NULL if none are told. */
const char *facts_carriers(const struct facts_build *build, const struct fault *fault);

/* V RMS without load of section INDEX of SOURCE where no winding volts are stated: coupled inductors by
 * their turns ratio, else what the part gives; NAN: not known. */
double facts_source_part_volts(const struct facts_build *build, const struct trace_source *source,
                               size_t index);

/* What SOURCE may give for ever, A RMS: the least of its sections' ratings, else its part's; NAN: not known. */
double facts_source_rated_amps(const struct facts_build *build, const struct trace_source *source);

/* The winding that fuse branch FUSE stands in the way of. */
struct winding_load {
    const char *id; /* NULL: none of known rated current; then the figures are NAN */
    double amps;    /* its rated current, A RMS */
    double ratio;   /* its current to the fuse's */
};
struct winding_load facts_winding_load(const struct facts_build *build, size_t fuse);

/* What is told of the fuse of branch FUSE; NULL: it is no fuse. */
const struct fuse_entry *facts_fuse(const struct facts_build *build, size_t fuse);

#endif
