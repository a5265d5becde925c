/* Sound circuits with one thing wrong, each of which some check has to see. */
#ifndef PREARC_TESTS_MUTANTS_MUTANTS_H
#define PREARC_TESTS_MUTANTS_MUTANTS_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>
#include <libxml/xpath.h>

#include "mutants/drawing.h"

struct corpus;

/* A sound circuit. */
struct subject {
    const char *name;
    struct drawing *drawing;
    xmlDoc *facts;
    xmlXPathContext *xpath;
};

/* One mutant. What it names must be an object of a finding of RULE. */
struct mutant {
    const char *rule;
    const char *object; /* part, net, rail, source or fault; NULL: any */
    const char *change; /* in words: "F2: T8AL250V" */
    struct drawing *drawing;
    const char *bench; /* text of a bench file, or NULL */
    bool unverified;   /* information was taken away: only an unverified finding will do */
    bool bare;         /* formats without fields and names of pins carry it too */
    bool deck_only;
};

/* A mutant of that drawing in words; RULE has to name OBJECT. */
void try_mutant(struct corpus *corpus, const struct subject *subject, struct drawing *drawing, const char *rule,
                const char *object, const char *change);
/* The same with a part of the information gone: an unverified finding is wanted. */
void try_untold(struct corpus *corpus, const struct subject *subject, struct drawing *drawing, const char *rule,
                const char *object, const char *change);

/* A hazard: what makes its mutants of a subject. */
struct hazard {
    const char *rule;
    void (*make)(struct corpus *corpus, const struct subject *subject);
};

extern const struct hazard mains_hazards[], fuse_hazards[], supply_hazards[], part_hazards[], told_hazards[],
    failure_hazards[];

/* A copy of the subject's drawing to change; lives until the next mutant is tried. */
struct drawing *mutant_start(struct corpus *corpus, const struct subject *subject);
/* Writes it in every format that carries it, runs prearc over each, tells what came of it. */
void mutant_try(struct corpus *corpus, const struct subject *subject, const struct mutant *mutant);
/* Lives as long as the hazard is being made. */
const char *mutant_text(struct corpus *corpus, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* ---- what the facts of the sound circuit say ---- */

/* Elements that XPATH finds, "//fuse[...]"; NULL past the last. Lives as long as the subject. */
xmlNode **subject_nodes(const struct subject *subject, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* An attribute; NULL if there is none. Lives as long as the subject. */
const char *said(const xmlNode *node, const char *attribute);
/* As a number; NAN if there is none. */
double said_number(const xmlNode *node, const char *attribute);
/* XPATH as a number. */
double subject_number(const struct subject *subject, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The number of the pin of REF with that role, the net it is on; NULL if there is none. */
const char *pin_of(const struct subject *subject, const char *ref, const char *role, unsigned unit);
const char *net_of(const struct subject *subject, const char *ref, const char *role, unsigned unit);
/* A part with two pins between pin NUMBER of PIECE and what that is on now. */
struct piece *put_in_series(struct drawing *drawing, struct piece *piece, const char *number, const char *letters,
                            const char *symbol, const char *value);

/* Gives a fuse that marking, wherever its own stands. */
void mark(struct piece *piece, const char *marking);
/* Makes a valve one of no known type, which says by its pins and a field what it is. */
void forget_type(struct piece *piece, const struct subject *subject);
/* Takes a part out and joins what it was between. */
void bridge_over(struct drawing *drawing, const char *ref);

/* The preferred rating of R10 (IEC 60127-1), A, next at or above LEAST, or, with BELOW, next at or below. */
double preferred(double amps, bool below);
/* A marking of that rating: "T315mAH250V". SPEED: "F", "T". REST: "H250V". */
const char *marking(struct corpus *corpus, const char *speed, double amps, const char *rest);

#endif
