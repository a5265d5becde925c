/* Output stages of tests/driven, at full signal by prearc and driven in the time domain by the
 * general-purpose simulator: the same deck, its VDRIVE sources made sines of the amplitude that
 * prearc found. Mean currents of the valves and RMS of the fuses, which carry the signal too,
 * within 2 %. */
#include "check_prearc.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/text.h"
#include "solve/deck_rig.h"
#include "whatif/full_signal.h"

static const char *const decks[] = {"pair-fixed-bias", "pair-cathode-bias", "pair-ultra-linear",
                                    "single-ended", "pair-rectified"};

/* Long against every cathode and supply; a whole number of cycles of signal and mains measured. */
static const double stop = 0.3, measured = 0.1, step = 10e-6, hertz = 1000;

/* "VDRIVEA g1 0 DC 0" as a sine; B is in opposite phase. */
static void add_line(struct text *deck, const char *line, size_t length, double peak)
{
    if (length > 8 && strncmp(line, "VDRIVE", 6) == 0)
        text_print(deck, "%.*s SIN(0 %g %g)\n", (int)length - 5, line,
                   line[6] == 'B' ? -peak : peak, hertz);
    else if (length < 4 || strncmp(line, ".end", 4) != 0 || strncmp(line, ".ends", 5) == 0) {
        const char *rating = strstr(line, " rating=");
        size_t kept = rating != NULL && rating < line + length ? (size_t)(rating - line) : length;

        text_print(deck, "%.*s\n", (int)kept, line);
    }
}

static void write_driven(const struct deck_rig *rig, const struct source *source, double peak,
                         FILE *file)
{
    struct text deck = {0};
    const char *line;
    size_t length;

    for (unsigned i = 1; (line = source_line(source, i, &length)) != NULL; i++)
        add_line(&deck, line, length, peak);
    text_print(&deck, ".options reltol=1e-4\n.save all\n.tran %g %g %g %g\n", step, stop,
               stop - measured, step);
    for (size_t i = 0; i < rig->network->branch_count; i++) {
        const struct branch *branch = &rig->network->branches[i];
        const char *ref = branch->part->ref;

        if (branch->kind == BRANCH_FUSE)
            text_print(&deck, ".meas tran b%zu RMS i(v.x%s.v1) from=%g to=%g\n", i, ref,
                       stop - measured, stop);
        if (branch->kind == BRANCH_LOAD)
            text_print(&deck, ".save @b.x%s.b%c[i]\n.meas tran m%zu AVG @b.x%s.b%c[i] from=%g to=%g\n",
                       ref, "as"[branch->slot], i, ref, "as"[branch->slot], stop - measured, stop);
    }
    text_add(&deck, ".end\n");
    fputs(text_bytes(&deck), file);
    text_free(&deck);
}

static size_t compare(const struct deck_rig *rig, const struct full_signal *full, FILE *output,
                      const char *name)
{
    const struct solution *solution = full->states[SIGNAL_SINE].solution;
    char line[1024], kind;
    size_t index, compared = 0;
    double simulated;

    while (fgets(line, sizeof line, output) != NULL) {
        double got;

        if (sscanf(line, "%c%zu = %lf from", &kind, &index, &simulated) != 3 ||
            (kind != 'b' && kind != 'm'))
            continue;
        got = kind == 'b' ? full_signal_rms(full, SIGNAL_SINE, index) : solution->branches[index].mean;
        printf("driven: %s: %s %s %.4g mA, simulator %.4g mA (%+.2f %%)\n", name,
               rig->network->branches[index].part->ref,
               kind == 'b' ? "RMS" : rig->network->branches[index].slot == 0 ? "anode" : "screen",
               1e3 * got, 1e3 * simulated, (got / simulated - 1) * 100);
        fflush(stdout);
        ck_assert_msg(within(got, simulated, 2), "%s: %s: %g A, simulator %g A", name,
                      rig->network->branches[index].part->ref, got, simulated);
        compared++;
    }
    return compared;
}

static size_t expected_count(const struct deck_rig *rig)
{
    size_t count = 0;

    for (size_t i = 0; i < rig->network->branch_count; i++)
        count += rig->network->branches[i].kind == BRANCH_FUSE ||
                 rig->network->branches[i].kind == BRANCH_LOAD;
    return count;
}

static void run_simulator(struct deck_rig *rig, const struct source *source,
                          const struct full_signal *full, const char *deck)
{
    char name[] = P_tmpdir "/prearc-driven-XXXXXX", command[128];
    int descriptor = mkstemp(name);
    FILE *file, *output;

    ck_assert_int_ge(descriptor, 0);
    file = fdopen(descriptor, "w");
    write_driven(rig, source, full->states[SIGNAL_SINE].stages[0].grid_peak, file);
    fclose(file);
    snprintf(command, sizeof command, "timeout 100 ngspice -b %s 2>/dev/null </dev/null", name);
    output = popen(command, "r");
    ck_assert_ptr_nonnull(output);
    ck_assert_uint_eq(compare(rig, full, output, deck), expected_count(rig));
    pclose(output);
    unlink(name);
}

START_TEST(stage_agrees)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    const char *path = source_path(arena_print(arena, "tests/driven/%s.cir", decks[_i]));
    const struct source *source = source_read(arena, &diags, path);
    struct deck_rig rig = deck_build(source, arena);
    struct full_signal *full;

    deck_solve(&rig);
    full = full_signal_find(arena, rig.network, NULL, rig.solution);
    ck_assert_uint_eq(full->stages.count, 1);
    ck_assert_ptr_nonnull(full->states[SIGNAL_SINE].solution);
    if (system("command -v ngspice >/dev/null 2>&1") != 0) {
        fprintf(stderr, "\n*** SKIPPED: ngspice is not installed; %s was NOT compared ***\n", path);
        ck_assert_msg(getenv("CI") == NULL, "ngspice must be installed where CI runs");
    } else if (getenv("PREARC_SANITIZED") == NULL) {
        run_simulator(&rig, source, full, decks[_i]);
    }
    deck_end(&rig);
}
END_TEST

Suite *check_driven_suite(void);

Suite *check_driven_suite(void)
{
    Suite *suite = suite_create("driven");
    TCase *tests = tcase_create("stages");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, stage_agrees, 0, sizeof decks / sizeof *decks);
    suite_add_tcase(suite, tests);
    return suite;
}
