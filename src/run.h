/* One netlist, or several that make one circuit, through the whole pipeline: read, recognise, trace, solve, what-if, facts, rules. */
#ifndef PREARC_RUN_H
#define PREARC_RUN_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/diag.h"

struct arena;
struct bench;
struct options;
struct report_input;
struct text;

/* Owns the arena and with it every stage's result. A stage that was not reached is NULL. */
struct run {
    struct arena *arena;
    struct diags diags;      /* input errors, and findings once run_check was called; sorted */
    const char *netlist;     /* as given; of several "psu.xml + preamp.xml + chassis.cir" */
    const char *data_dir;
    const char *refusal;     /* why the options do not fit this netlist (a use error), or NULL */
    const struct source *source;
    struct circuit *circuit;
    struct bench *bench;     /* never NULL */
    struct parts *parts;
    struct network *network;
    struct trace *trace;
    struct solution *healthy;
    struct whatif *whatif;
    xmlDoc *facts;
    struct rules *rules;
    struct run **members;    /* what each netlist was read into, if there are several */
    size_t member_count;
};

/* Netlists that were read: a run for each circuit that they make. */
struct runs {
    struct run **items;
    size_t count;
    const char *apart; /* more than one: why they are not one circuit */
};

/* Reads the netlists PATHS and finds out which of them make one circuit. The array is in the options' arena. */
struct runs runs_read(const struct options *options, const char *const *paths, size_t count);
void runs_free(struct runs *runs);

/* Goes on as far as the facts document: look at refusal, diags, facts. */
void run_go_on(struct run *run, const struct options *options);

/* The one circuit of the netlists PATHS, as far as the facts document; NULL, after a message, if they are several. */
struct run *run_one(const struct options *options, const char *const *paths, size_t count);

/* Runs PATH as far as the facts document. Never NULL: look at refusal, diags, facts. */
struct run *run_new(const struct options *options, const char *path);

/* Loads the checks and runs them over the facts, if there are facts. */
void run_check(struct run *run, const struct options *options);

/* The checks of DATA_DIR and of --rules; NULL, and *WHY says why, if there are none at all. */
struct rules *run_load_rules(struct arena *arena, struct diags *diags, const char *data_dir,
                             const struct options *options, const char **why);

/* What the writers want to know; strings and arrays are the run's. */
struct report_input run_report(const struct run *run, bool colour);

/* Tells on standard error what could not be read; true if everything could. */
bool run_complain(const struct run *run);

void run_free(struct run *run);

#endif
