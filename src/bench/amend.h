/* Inside of the bench stage: names of the netlist that a statement uses. */
#ifndef PREARC_BENCH_AMEND_H
#define PREARC_BENCH_AMEND_H

#include "bench/bench.h"

struct net;
struct part;

/* An input error at VALUE (NULL: at the statement); the statement is refused. */
void amend_refuse(struct bench *bench, struct statement *statement,
                  const struct bench_value *value, const char *expected, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* The part or net that the value of KEY names; NULL after an input error, or if the statement has no
 * such key. */
struct part *amend_part(struct bench *bench, struct statement *statement,
                        const struct circuit *circuit, const char *key);
struct net *amend_net(struct bench *bench, struct statement *statement,
                      const struct circuit *circuit, const char *key);
/* NAME, of VALUE. */
struct net *amend_named_net(struct bench *bench, struct statement *statement,
                            const struct circuit *circuit, const struct bench_value *value,
                            const char *name);

/* Field NAME of PART becomes TEXT, whatever it was. */
void amend_field(struct circuit *circuit, struct part *part, const char *name, const char *text);

/* holder.c: the fuse of STATEMENT, in series with a pin or between two nets. */
void amend_holder(struct bench *bench, struct statement *statement, struct circuit *circuit);

#endif
