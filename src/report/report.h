/* Writers of findings: from the findings and the facts document alone. */
#ifndef PREARC_REPORT_REPORT_H
#define PREARC_REPORT_REPORT_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/diag.h"
#include "base/text.h"

/* What reports say of a check; the caller copies it from the rules. */
struct report_rule {
    const char *id, *title, *why, *fix, *source;
    enum level level;
    bool skipped; /* it did not run */
};

/* What is reported of one netlist. */
struct report_input {
    const struct diags *diags; /* sorted */
    xmlDoc *facts;             /* NULL if the netlist could not be read */
    const struct report_rule *rules;
    size_t rule_count;
    const char *netlist;       /* the input's name as given; of several that make one circuit all of them */
    const char *file;          /* of several: the deck that wires the others; NULL: the netlist */
    const char *version;       /* of prearc */
    bool colour;               /* terminal escapes allowed */
};

struct writer {
    const char *name; /* --format's word */
    const char *help;
    /* COUNT netlists, at least one, in one document. */
    void (*write)(const struct report_input *inputs, size_t count, struct text *out);
};

extern const struct writer text_writer;  /* report/text_report.c */
extern const struct writer sarif_writer; /* report/sarif.c */
extern const struct writer json_writer;  /* report/json_report.c */

/* The file in which what has no place of its own is said to be. */
const char *report_file(const struct report_input *input);

/* Only the input errors, as the text report shows them; nothing if there are none. */
void report_problems(const struct report_input *input, struct text *out);

/* NULL-terminated table. */
extern const struct writer *const writers[];

#endif
