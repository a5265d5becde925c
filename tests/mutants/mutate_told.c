/* What can be wrong with what is said at the bench. */
#include <math.h>

#include "mutants/mutants.h"

static void try_bench(struct corpus *corpus, const struct subject *subject, const char *rule, const char *object,
                      const char *bench, bool unverified, const char *change)
{
    struct mutant mutant = {.rule = rule, .object = object, .bench = bench, .change = change, .unverified = unverified};

    mutant.drawing = mutant_start(corpus, subject);
    mutant_try(corpus, subject, &mutant);
}

/* A link twice as large in the holder, accepted until yesterday's end; or accepted where the right link is in it. */
static void accept(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = subject_nodes(subject, "/facts/fuse[@known='yes']"); *fuse != NULL; fuse++) {
        const char *ref = said(*fuse, "ref");
        double amps = said_number(*fuse, "rated-amps");

        try_bench(corpus, subject, "acceptance-expired", ref,
                  mutant_text(corpus,
                              "fitted part=%s marking=%s\naccept rule=fuse-fitted-differs part=%s reason=\"none to "
                              "hand\" until=2025-06-30\n",
                              ref, marking(corpus, "T", preferred(2 * amps, false), "H250V"), ref),
                  false, mutant_text(corpus, "larger link as %s, accepted until last year", ref));
        try_bench(corpus, subject, "acceptance-unmatched", ref,
                  mutant_text(corpus, "accept rule=fuse-in-protective-earth part=%s reason=\"as built\"\n", ref), false,
                  mutant_text(corpus, "accepted of %s what is not there", ref));
    }
}

static void measure(struct corpus *corpus, const struct subject *subject)
{
    static const double shares[] = {0.4, 0.6, 1.6};

    for (xmlNode **node = subject_nodes(subject, "/facts/rail/node[@volts>5 or @volts<-5]"); *node != NULL; node++)
        for (size_t i = 0; i < 3; i++) {
            const char *net = said(*node, "net");

            try_bench(corpus, subject, "net-measured-differs", net,
                      mutant_text(corpus, "measured net=%s volts=%.2fV reading=dc\n", net,
                                  shares[i] * said_number(*node, "volts")),
                      false, mutant_text(corpus, "%g of what is computed measured at %s", shares[i], net));
        }
}

const struct hazard told_hazards[] = {
    {"acceptance-expired", accept},
    {"net-measured-differs", measure},
    {NULL, NULL},
};
