/* The bench sheet of one netlist, from the findings and the facts document alone. */
#ifndef PREARC_STUDY_STUDY_H
#define PREARC_STUDY_STUDY_H

#include <stdbool.h>

#include <libxml/tree.h>

#include "base/quantity.h"

struct arena;
struct page;
struct report_input;
struct text;

/* REPORT->facts is given. At 100 columns, or as one HTML document. BEFORE, if not NULL: only what differs from it. */
void study_write(const struct report_input *report, const struct report_input *before, bool html,
                 struct text *out);

/* What a chapter works with. */
struct study {
    struct arena *arena;
    struct page *page;
    const xmlNode *facts; /* the document's root */
    const struct report_input *report;
};

/* The chapters, in the order in which they are read. */
void study_cautions(const struct study *study);  /* study_words.c */
void study_plainly(const struct study *study);
void study_fuses(const struct study *study);     /* study_fuses.c */
void study_map(const struct study *study);       /* fuse_map.c */
void study_plots(const struct study *study);     /* fuse_plot.c */
void study_findings(const struct study *study);  /* study_words.c */
void study_rails(const struct study *study);     /* study_rails.c */
void study_bench(const struct study *study);     /* study_bench.c */
void study_jacks(const struct study *study);     /* study_jacks.c */
void study_faults(const struct study *study);    /* study_faults.c */
void study_unchecked(const struct study *study); /* study_words.c */
void study_assumed(const struct study *study);

/* In place of the chapters. */
void study_compare(const struct study *after, const struct study *before); /* study_compare.c */

/* VALUE with engineering prefix and unit, in the study's arena. */
const char *study_quantity(const struct study *study, double value, enum unit unit);
/* "4.8 s", "2 min 10 s", "3 h". */
const char *study_seconds(const struct study *study, double seconds);

#endif
