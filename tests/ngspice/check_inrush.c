/* The transient from rest of every deck under tests/supplies, by prearc and by the general-purpose simulator ngspice: I2t of
 * each fuse over the first SECONDS and its peak within 2 %. The deck is the same file, but for the fuse markings, which the
 * simulator does not know. */
#include "check_prearc.h"

#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "solve/deck_rig.h"
#include "solve/start_up.h"

/* Past the charging of every reservoir there. */
#define SECONDS 0.4
#define STEP 10e-6

/* The mains comes at its crossing and at its crest. */
static const double angles[] = {0, 1.5707963267948966};
enum { ANGLES = sizeof angles / sizeof *angles };

struct bench {
    struct deck_rig rig;
    struct surge *surges;
    size_t surge_count;
};

static struct bench bench_run(const char *path, double angle)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    struct bench bench = {.rig = deck_build(source_read(arena, &diags, path), arena)};
    const struct network *network = bench.rig.network;
    struct start_up_options options = {.angle = angle, .seconds = SECONDS};

    bench.surges = arena_array(arena, network->branch_count, sizeof *bench.surges);
    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_FUSE)
            bench.surges[bench.surge_count++].branch = i;
    start_up_run(arena, network, &options, bench.surges, bench.surge_count);
    return bench;
}

/* LINE of the deck without its rating; the mains starts at ANGLE. */
static void add_line(struct text *deck, const char *line, size_t length, double angle)
{
    const char *rating = NULL;

    for (size_t i = 0; i + 8 < length && rating == NULL; i++)
        if (strncmp(line + i, " rating=", 8) == 0)
            rating = line + i;
    if (length > 6 && strncmp(line, "VMAINS", 6) == 0) {
        ck_assert(line[length - 1] == ')');
        text_print(deck, "%.*s 0 0 %.10g)\n", (int)length - 1, line, angle * 180 / 3.141592653589793);
        return;
    }
    text_print(deck, "%.*s\n", (int)(rating != NULL ? (size_t)(rating - line) : length), line);
}

static void write_deck(const struct bench *bench, const struct source *source, double angle,
                       FILE *file)
{
    struct text deck = {0};
    size_t length;
    const char *line;

    for (unsigned i = 1; (line = source_line(source, i, &length)) != NULL; i++)
        if (length < 4 || strncmp(line, ".end", 4) != 0 || strncmp(line, ".ends", 5) == 0)
            add_line(&deck, line, length, angle);
    text_print(&deck, ".options reltol=1e-4\n.tran %g %g 0 %g uic\n", STEP, SECONDS, STEP);
    for (size_t i = 0; i < bench->surge_count; i++) {
        const char *ref = bench->rig.network->branches[bench->surges[i].branch].part->ref;

        text_print(&deck, "BQ%zu q%zu 0 V=i(v.x%s.v1)^2\nRQ%zu q%zu 0 1\n", i, i, ref, i, i);
        text_print(&deck, ".meas tran s%zu INTEG v(q%zu) from=0 to=%g\n", i, i, SECONDS);
        text_print(&deck, ".meas tran p%zu MAX v(q%zu) from=0 to=%g\n", i, i, SECONDS);
    }
    text_add(&deck, ".end\n");
    fputs(text_bytes(&deck), file);
    text_free(&deck);
}

/* A2s until SECONDS: it may have stopped before, when nothing changed any more. */
static double total(const struct surge *surge)
{
    const struct surge_point *last = &surge->points[surge->point_count - 1];

    return last->i2t + surge->settled_square * (SECONDS - last->seconds);
}

static double worst(double got, double want)
{
    return (got / want - 1) * 100;
}

static void compare(const struct bench *bench, char kind, size_t index, double simulated,
                    const char *path)
{
    const struct surge *surge = &bench->surges[index];
    const char *ref = bench->rig.network->branches[surge->branch].part->ref;
    double got = kind == 's' ? total(surge) : surge->peak;
    double want = kind == 's' ? simulated : sqrt(simulated);

    printf("ngspice: %s: %s %s %.4g, simulator %.4g (%+.2f %%)\n", path, ref,
           kind == 's' ? "A2s" : "A peak", got, want, worst(got, want));
    ck_assert_msg(fabs(worst(got, want)) <= 2, "%s: %s: %g, simulator %g", path, ref, got, want);
}

static size_t compare_output(const struct bench *bench, FILE *output, const char *path)
{
    char line[1024], kind;
    size_t index, compared = 0;
    double value;

    while (fgets(line, sizeof line, output) != NULL)
        if (sscanf(line, "%c%zu = %lf", &kind, &index, &value) == 3 &&
            (kind == 's' || kind == 'p') && index < bench->surge_count) {
            compare(bench, kind, index, value, path);
            compared++;
        }
    return compared;
}

static glob_t decks(void)
{
    glob_t found = {0};
    char pattern[4096];

    snprintf(pattern, sizeof pattern, "%s/*.cir", source_path("tests/supplies"));
    if (glob(pattern, 0, NULL, &found) != 0) {
        fprintf(stderr, "no decks: %s\n", pattern);
        exit(1);
    }
    return found;
}

static int must_skip(const char *path)
{
    if (getenv("PREARC_SANITIZED") != NULL)
        return 1; /* the plain build compares; here it is the solving that is watched */
    if (system("command -v ngspice >/dev/null 2>&1") == 0)
        return 0;
    fprintf(stderr, "\n*** SKIPPED: ngspice is not installed; %s was NOT compared ***\n", path);
    ck_assert_msg(getenv("CI") == NULL, "ngspice must be installed where CI runs");
    return 1;
}

START_TEST(inrush_agrees)
{
    glob_t found = decks();
    const char *path = found.gl_pathv[_i / ANGLES];
    char name[] = P_tmpdir "/prearc-inrush-XXXXXX", command[128];
    double angle = angles[_i % ANGLES];
    struct bench bench = bench_run(path, angle);
    FILE *file, *output;
    int descriptor;

    ck_assert_uint_gt(bench.surge_count, 0);
    for (size_t i = 0; i < bench.surge_count; i++)
        ck_assert_msg(bench.surges[i].status == SOLVE_OK, "%s: stuck at %s", path,
                      bench.surges[i].blame);
    if (!must_skip(path)) {
        descriptor = mkstemp(name);
        ck_assert_int_ge(descriptor, 0);
        file = fdopen(descriptor, "w");
        write_deck(&bench, source_read(bench.rig.arena, &bench.rig.diags, path), angle, file);
        fclose(file);
        snprintf(command, sizeof command, "timeout 100 ngspice -b %s 2>/dev/null </dev/null", name);
        output = popen(command, "r");
        ck_assert_ptr_nonnull(output);
        ck_assert_uint_eq(compare_output(&bench, output, path), 2 * bench.surge_count);
        pclose(output);
        unlink(name);
    }
    deck_end(&bench.rig);
    globfree(&found);
}
END_TEST

Suite *check_inrush_suite(void);

Suite *check_inrush_suite(void)
{
    Suite *suite = suite_create("inrush against ngspice");
    TCase *tests = tcase_create("decks");
    glob_t found = decks();

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, inrush_agrees, 0, (int)found.gl_pathc * ANGLES);
    globfree(&found);
    suite_add_tcase(suite, tests);
    return suite;
}
