/* Diagnostics: input errors and findings, one type, one list, sorted once. */
#ifndef PREARC_BASE_DIAG_H
#define PREARC_BASE_DIAG_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"

struct arena;

/* From least to most severe. LEVEL_UNVERIFIED: something could not be checked. */
enum level { LEVEL_NOTE, LEVEL_UNVERIFIED, LEVEL_WARNING, LEVEL_ERROR };

/* "note", "unverified", "warning", "error". */
const char *level_name(enum level level);
/* Reads such a name; false if it is none. */
bool level_parse(const char *name, enum level *level);

/* What a finding is about: a part or a net. */
struct diag_object {
    const char *kind; /* "part", "net", "rail", "source", "fault" */
    const char *name;
};

struct diag {
    enum level level;
    const char *rule;     /* the check's id; NULL for an input error */
    const char *message;  /* what is wrong, with the figures */
    const char *fix;      /* what to do, or NULL */
    const char *expected; /* input errors: what was expected, or NULL */
    const char *excerpt;  /* input errors: the text at fault, or NULL */
    const char *rests_on; /* findings: the assumed values that its figures rest on, or NULL */
    struct place place;   /* where in the input, line 0 if nowhere */
    const struct diag_object *objects; /* first is the one the finding stands for */
    size_t object_count;
    const char *accepted;       /* findings: why it is accepted, or NULL */
    const char *accepted_until; /* a date, or NULL: for good */
    struct place accepted_at;   /* where that is said */
};

struct diags {
    struct arena *arena; /* strings and items live here */
    struct diag *items;
    size_t count, capacity;
    size_t dropped; /* input errors not kept, past DIAG_INPUT_LARGEST */
};

/* So many input errors are kept of one run; the rest are counted. */
enum { DIAG_INPUT_LARGEST = 200 };

/* Starts an empty list in ARENA. */
struct diags diags_start(struct arena *arena);

/* Adds a copy of *DIAG (its strings are not copied, they must live in the arena or be constant). */
void diag_add(struct diags *diags, const struct diag *diag);

/* An input error (LEVEL_ERROR) or oddity (LEVEL_WARNING, LEVEL_NOTE) at PLACE. EXCERPT is cut to 60
 * characters and copied; EXPECTED is copied; both may be NULL. */
void diag_input(struct diags *diags, enum level level, struct place place, const char *excerpt,
                const char *expected, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* How many are at LEVEL or above; input errors only, or findings only, but for those accepted. */
size_t diag_count_input(const struct diags *diags, enum level level);
size_t diag_count_findings(const struct diags *diags, enum level level);
/* Findings that are accepted, whatever their level. */
size_t diag_count_accepted(const struct diags *diags);

/* Input errors first in order of place, then findings: most severe first, then rule, then object; those
 * accepted last. */
void diags_sort(struct diags *diags);

#endif
