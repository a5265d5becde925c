/* A circuit put together from parts, nets and pins in whatever order a text netlist lists them; what contradicts
 * itself is told, and nets are never joined because of it. */
#ifndef PREARC_NETLIST_ASSEMBLY_H
#define PREARC_NETLIST_ASSEMBLY_H

#include <stdbool.h>
#include <stddef.h>

#include "base/diag.h"
#include "base/source.h"

struct arena;
struct circuit;
struct map;
struct net;
struct part;
struct read_input;

/* Parts, pins and nets of one netlist; bytes of one reference, pin number or net name. */
enum {
    ASSEMBLY_PARTS_MOST = 1000 * 1000, ASSEMBLY_PINS_MOST = 8 * 1000 * 1000,
    ASSEMBLY_NETS_MOST = 4 * 1000 * 1000, ASSEMBLY_NAME_LONGEST = 1000
};

struct assembly_net {
    const char *name;
    struct place place;
    const struct part *first; /* of the pins joined */
    size_t pin_count;
    bool shared; /* joins pins of several parts */
    bool told;   /* something was said about it */
    bool alone;  /* its name is one made up for a pin alone: not connected, unless it is shared */
    struct net *net;
};

struct assembly_pin {
    struct part *part;
    const char *number, *name, *type; /* NAME and TYPE may be NULL */
    struct assembly_net *net;         /* NULL: not connected */
    struct place place;
    bool marked; /* said to be not connected */
};

/* How the format says "not connected" by the name of a net. */
enum assembly_unconnected {
    UNCONNECTED_BY_PREFIX, /* unconnected-(, and what nobody calls a net: "?", "No Net", "N/C" */
    UNCONNECTED_BY_NAME    /* that, and the other names in use: "NC", "NC_01", "Unused_..." */
};

struct assembly {
    const struct read_input *input;
    struct arena *arena; /* the run's */
    struct circuit *circuit;
    enum assembly_unconnected unconnected;
    struct map *texts;   /* strings once each */
    struct map *parts;   /* struct part by reference, ASSEMBLY_LEFT_OUT among them */
    struct map *nets;    /* struct assembly_net by name */
    struct assembly_pin *pins;
    size_t pin_count, pin_capacity, net_count;
    bool full;           /* a limit was met and told: what comes after is left out */
    struct part *left_out;
};

/* FORMAT is the circuit's, such as "edif netlist". End with assembly_finish. */
void assembly_start(struct assembly *assembly, const struct read_input *input, const char *format);

/* TEXT's first LENGTH bytes without the blanks at both ends, kept once; bytes NUL become blanks. */
const char *assembly_text(struct assembly *assembly, const char *text, size_t length);
/* The same; NULL if nothing is left. */
const char *assembly_word(struct assembly *assembly, const char *text, size_t length);

/* The part REF, made. NULL, with a diagnostic, if there is one of that name or it cannot be. */
struct part *assembly_part(struct assembly *assembly, const char *ref, struct place place);
/* Pins of REF are left out without a word: it is a symbol, no part. */
void assembly_leave_out(struct assembly *assembly, const char *ref);
/* The part REF was listed. */
bool assembly_has(const struct assembly *assembly, const char *ref);
/* The part REF for a connection at PLACE; one that was not listed is made, with a warning. NULL if it
 * is left out. */
struct part *assembly_find(struct assembly *assembly, const char *ref, struct place place);

/* A field of PART; of two with one name the first that says something counts, and a contradiction is
 * told. */
void assembly_field(struct assembly *assembly, struct part *part, const char *name,
                    const char *value, struct place place);

/* The net NAME; a second one of that name is the same, with a warning. NULL if it cannot be. */
struct assembly_net *assembly_net(struct assembly *assembly, const char *name, struct place place);
/* The net NAME, known or new, no word about it. */
struct assembly_net *assembly_net_again(struct assembly *assembly, const char *name,
                                        struct place place);

/* NAME says that what is on it is not connected, however many pins are ("No Net"); that it is made up for a
 * pin alone ("NC_01"). */
bool assembly_is_no_net(const struct assembly *assembly, const char *name);
bool assembly_is_alone(const struct assembly *assembly, const char *name);

/* Joins a pin. Its strings must live in the arena; pin->net NULL: it is not connected. */
void assembly_join(struct assembly *assembly, const struct assembly_pin *pin);

/* Judges nets and pins and ends building; if nothing is connected that is an error. */
struct circuit *assembly_finish(struct assembly *assembly);

/* An input error or oddity at PLACE, with the text there as excerpt. */
void assembly_complain(struct assembly *assembly, enum level level, struct place place,
                       const char *expected, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

#endif
