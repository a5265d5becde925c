/* The decks that prearc writes of everything under tests/supplies, tests/stages and tests/amplifiers, run by
 * the general-purpose simulator ngspice from the solved state; those with valves from rest too, where the
 * simulator owes nothing to prearc's solution, and the amplifiers with one short of every rail. Volts within
 * 2 %, fuse RMS within 5 %. (check_ngspice_drawn.c runs the supplies from rest, as they were drawn.) */
#include "check_prearc.h"

#include <glob.h>

#include "base/source.h"
#include "ngspice/deck_case.h"

static glob_t decks(void)
{
    static const char *const folders[] = {"tests/supplies", "tests/stages", "tests/amplifiers"};
    glob_t found = {0};
    char pattern[4096];

    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++) {
        snprintf(pattern, sizeof pattern, "%s/*.cir", source_path(folders[i]));
        if (glob(pattern, i > 0 ? GLOB_APPEND : 0, NULL, &found) != 0)
            abort(); /* they are part of the sources */
    }
    return found;
}

static void try_deck(const struct deck_case *it, const struct fault *fault, enum deck_start start,
                     const char *path)
{
    struct text deck = deck_case_write(it, fault, start);

    if (simulator_wanted(path)) {
        struct deck_worst worst = deck_case_compare(&deck, path);

        printf("ngspice: %s, %s, from %s: volts within %.2f %%, amps RMS %.2f %%, peaks %.2f %% (%zu figures)\n",
               path, fault != NULL ? fault->id : "sound", start == DECK_REST ? "rest" : "the solution",
               worst.volts, worst.amps, worst.peaks, worst.figures);
    }
    text_free(&deck);
}

/* The first short of every rail. */
static void try_faults(struct deck_case *it, const char *path)
{
    const struct trace *trace = trace_network(it->arena, it->network);
    size_t tried = 0, rail = SIZE_MAX;

    it->whatif = whatif_run(it->arena, it->network, trace, it->solution, NULL, 0);
    for (size_t i = 0; i < it->whatif->fault_count; i++) {
        const struct fault *fault = &it->whatif->faults[i];

        if (fault->rail == SIZE_MAX || fault->rail == rail)
            continue;
        rail = fault->rail;
        ck_assert_int_eq(fault->status, SOLVE_OK);
        try_deck(it, fault, DECK_REST, path);
        tried++;
    }
    ck_assert_uint_gt(tried, 0);
}

START_TEST(deck_agrees)
{
    glob_t found = decks();
    const char *path = found.gl_pathv[_i];
    struct deck_case it = deck_case_open(path);

    try_deck(&it, NULL, DECK_SOLVED, path);
    if (strstr(path, "tests/supplies/") == NULL)
        try_deck(&it, NULL, DECK_REST, path);
    if (strstr(path, "tests/amplifiers/") != NULL)
        try_faults(&it, path);
    deck_case_end(&it);
    globfree(&found);
}
END_TEST

Suite *check_ngspice_suite(void);

Suite *check_ngspice_suite(void)
{
    Suite *suite = suite_create("ngspice");
    TCase *tests = tcase_create("decks");
    glob_t found = decks();

    tcase_set_timeout(tests, 240);
    tcase_add_loop_test(tests, deck_agrees, 0, (int)found.gl_pathc);
    globfree(&found);
    suite_add_tcase(suite, tests);
    return suite;
}
