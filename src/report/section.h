/* The sections of the text report, in the order in which they are read. */
#ifndef PREARC_REPORT_SECTION_H
#define PREARC_REPORT_SECTION_H

#include <libxml/tree.h>

struct arena;
struct map;
struct report_input;
struct sheet;

/* What a section works with. */
struct section_input {
    const struct report_input *report;
    const struct sheet *sheet;
    const xmlNode *facts; /* the facts document's root; NULL: the netlist could not be read */
    struct arena *arena;
};

void section_caution(const struct section_input *input);  /* report/caution.c */
void section_problems(const struct section_input *input); /* input errors: report/problems.c */
void section_findings(const struct section_input *input);
void section_fuses(const struct section_input *input);    /* report/supply_tables.c */
void section_rails(const struct section_input *input);
/* What FUSE protects, in words: "all of HT; of BIAS from upstream: B1, B2". Of INPUT only the arena is used; RAILS are the rail
 * elements by id (view_map). report/protects.c */
const char *section_protects(const struct section_input *input, const struct map *rails, const xmlNode *fuse);
void section_output_stages(const struct section_input *input); /* report/output_stages.c */
void section_scope(const struct section_input *input);    /* report/scope.c */
void section_tally(const struct section_input *input);

#endif
