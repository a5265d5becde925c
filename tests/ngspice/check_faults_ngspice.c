/* Failures of every kind beside the general-purpose simulator ngspice: of each amplifier the first fault of each kind but
 * shorts of rails (check_ngspice.c has those), from the faulted circuit's solved state; where the simulator finds no step from
 * there, from rest, where it owes nothing to prearc; where it finds none at all, the next fault of that kind. Volts within 2 %, RMS currents, of every fuse too, within 5 %. */
#include "check_prearc.h"

#include <glob.h>
#include <stdio.h>

#include "base/source.h"
#include "ngspice/deck_case.h"

enum { SITES = SITE_FUSE + 1 };

static glob_t amplifiers(void)
{
    glob_t found = {0};
    char pattern[4096];

    snprintf(pattern, sizeof pattern, "%s/*.cir", source_path("tests/amplifiers"));
    if (glob(pattern, 0, NULL, &found) != 0)
        abort(); /* they are part of the sources */
    return found;
}

/* False: the simulator did not get through it. */
static bool try_from(const struct deck_case *it, const struct fault *fault, enum deck_start start, const char *path)
{
    struct text deck = deck_case_write(it, fault, start);
    char *said = simulator_run(&deck);
    bool through = strstr(said, "Timestep too small") == NULL;

    if (through) {
        struct deck_worst worst = deck_case_hold(&deck, said, path);

        printf("ngspice: %s, %s, from %s: volts within %.2f %%, amps RMS %.2f %%, peaks %.2f %% (%zu figures)\n", path,
               fault->id, start == DECK_REST ? "rest" : "the solution", worst.volts, worst.amps, worst.peaks,
               worst.figures);
    }
    free(said);
    text_free(&deck);
    return through;
}

static bool try_fault(const struct deck_case *it, const struct fault *fault, const char *path)
{
    if (!simulator_wanted(path) || try_from(it, fault, DECK_SOLVED, path) || try_from(it, fault, DECK_REST, path))
        return true;
    printf("ngspice: %s, %s: the simulator gives up, from the solution and from rest\n", path, fault->id);
    return false;
}

START_TEST(faults_agree)
{
    glob_t found = amplifiers();
    const char *path = found.gl_pathv[_i];
    struct deck_case it = deck_case_open(path);
    const struct trace *trace = trace_network(it.arena, it.network);
    bool tried[SITES] = {[SITE_RAIL] = true};
    size_t count = 0;

    it.whatif = whatif_run(it.arena, it.network, trace, it.solution, NULL, 0);
    for (size_t i = 0; i < it.whatif->fault_count; i++) {
        const struct fault *fault = &it.whatif->faults[i];

        ck_assert_msg(fault->status == SOLVE_OK, "%s: %s not solved (%s)", path, fault->id, fault->blame);
        if (tried[fault->site] || fault->amps > 1e4)
            continue;
        tried[fault->site] = try_fault(&it, fault, path);
        count += tried[fault->site];
    }
    ck_assert_uint_ge(count, 3);
    deck_case_end(&it);
    globfree(&found);
}
END_TEST

Suite *check_faults_ngspice_suite(void);

Suite *check_faults_ngspice_suite(void)
{
    Suite *suite = suite_create("faults_ngspice");
    TCase *tests = tcase_create("faults");
    glob_t found = amplifiers();

    tcase_set_timeout(tests, 240);
    tcase_add_loop_test(tests, faults_agree, 0, (int)found.gl_pathc);
    globfree(&found);
    suite_add_tcase(suite, tests);
    return suite;
}
