/* What valves become in a network; complete amplifiers. */
#include "check_prearc.h"

#include "device/device.h"
#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static bool has_gap(const struct deck_rig *rig, const char *part, const char *words)
{
    for (size_t i = 0; i < rig->network->gap_count; i++)
        if (strcmp(rig->network->gap_parts[i], part) == 0 &&
            strstr(rig->network->gaps[i], words) != NULL)
            return true;
    return false;
}

static bool is_assumed(const struct deck_rig *rig, const char *part, const char *what)
{
    for (size_t i = 0; i < rig->network->assumption_count; i++) {
        const struct assumption *item = &rig->network->assumptions[i];

        if (item->part != NULL && strcmp(item->part, part) == 0 && strcmp(item->what, what) == 0)
            return true;
    }
    return false;
}

static const struct device *device_of(const struct deck_rig *rig, const char *ref, size_t n)
{
    return deck_branch(rig, ref, n)->element->device;
}

/* A current that the netlist gives is taken, in place of the equation. */
START_TEST(told_current)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\nR1 b a 10k\nR2 g 0 1MEG\n"
                                   "XV1 a g 0 TRIODE value=ECC82 idle_current=3mA\n.end\n");

    ck_assert_ptr_eq(device_of(&rig, "V1", 0), &device_load);
    ck_assert_uint_eq(rig.network->assumption_count, 0);
    deck_solve(&rig);
    assert_within(deck_amps(&rig, "V1", 0), 3e-3, 0.1);
    deck_end(&rig);
}
END_TEST

/* The coupling capacitor alone holds no grid: what the valve draws is not known, and that is said. */
START_TEST(floating_grid)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\nR1 b a 10k\nC1 b g 22n\n"
                                   "XV1 a g 0 TRIODE value=ECC82\n"
                                   "R2 b a2 5k\nR3 b s2 1k\nC2 a g2 22n\n"
                                   "XV2 a2 s2 g2 0 PENTODE value=EL84\n.end\n");

    ck_assert(has_gap(&rig, "V1", "grid"));
    ck_assert(has_gap(&rig, "V2", "grid"));
    ck_assert(is_assumed(&rig, "V1", "idle-amps"));
    ck_assert(is_assumed(&rig, "V2", "idle-amps"));
    ck_assert(is_assumed(&rig, "V2", "screen-amps"));
    ck_assert_ptr_eq(device_of(&rig, "V1", 0), &device_load);
    ck_assert_ptr_eq(device_of(&rig, "V2", 1), &device_load);
    deck_end(&rig);
}
END_TEST

/* A grid at the anode of the stage before it has a way: through the anode resistor. */
START_TEST(direct_coupled_grid)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\nR1 b a 100k\nR2 k1 0 1k5\nR3 g 0 1MEG\n"
                                   "XV1 a g k1 TRIODE value=12AX7\nR4 k2 0 100k\n"
                                   "XV2 b a k2 TRIODE value=12AX7\n.end\n");

    ck_assert_uint_eq(rig.network->gap_count, 0);
    ck_assert_ptr_eq(device_of(&rig, "V2", 0), &device_triode);
    deck_solve(&rig);
    ck_assert_double_ge(deck_volts(&rig, "k2"), deck_volts(&rig, "a"));
    ck_assert_double_le(deck_volts(&rig, "k2"), deck_volts(&rig, "a") + 2);
    deck_end(&rig);
}
END_TEST

/* A type without constants keeps the load; a screen that is not connected is said. */
START_TEST(no_constants)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\nR1 b a 10k\nR2 g 0 1MEG\nR3 k 0 1k5\n"
                                   "XV1 a g k TRIODE value=5751\n.end\n");

    ck_assert_ptr_eq(device_of(&rig, "V1", 0), &device_load);
    ck_assert(is_assumed(&rig, "V1", "idle-amps"));
    deck_end(&rig);
}
END_TEST

/* The triode of a triode-pentode has its own constants. */
START_TEST(triode_pentode)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 200\nV11 gt 0 DC -1.5\nV12 gp 0 DC -16\n"
                                   "V13 at 0 DC 170\n"
                                   "XV1 at gt 0 b b gp 0 TRIODE_PENTODE value=ECL82\n.end\n");
    bool seen_triode = false, seen_pentode = false;

    ck_assert_uint_eq(rig.network->gap_count, 0);
    deck_solve(&rig);
    for (size_t n = 0; n < 7; n++) {
        if (device_of(&rig, "V1", n) == &device_triode) {
            /* 1.3 to 3.7 mA (Electro-Harmonix, 6BM8EH factory sheet) */
            ck_assert_double_ge(deck_amps(&rig, "V1", n), 1.3e-3);
            ck_assert_double_le(deck_amps(&rig, "V1", n), 3.7e-3);
            seen_triode = true;
        } else if (device_of(&rig, "V1", n) == &device_pentode && !seen_pentode) {
            /* 35 mA (from memory) */
            assert_within(deck_amps(&rig, "V1", n), 35e-3, 20);
            seen_pentode = true;
        }
    }
    ck_assert(seen_triode && seen_pentode);
    deck_end(&rig);
}
END_TEST

/* Every type of which the library has one constant has them all, and becomes a valve that conducts. */
START_TEST(every_type)
{
    static const struct {
        const char *type;
        bool pentode;
    } types[] = {{"12AX7", false}, {"12AT7", false}, {"12AU7", false}, {"12AY7", false},
                 {"6SN7", false},  {"6SL7", false},  {"5814", false},  {"6072", false},
                 {"EF86", true},   {"EL84", true},   {"EL34", true},   {"6V6GT", true},
                 {"6L6GC", true},  {"5881", true},   {"KT66", true},   {"KT88", true},
                 {"6550", true},   {"6AQ5", true},   {"7591", true},   {"6973", true},
                 {"6L6G", true},   {"7189", true},   {"6550A", true},  {"6SN7GTB", false}};

    for (size_t i = 0; i < COUNT(types); i++) {
        struct deck_rig rig = deck_new("V10 b 0 DC 250\nR1 b a 1k\nR2 g 0 470k\nR3 k 0 470\n"
                                       "XV1 a %s g k %s value=%s\n.end\n",
                                       types[i].pentode ? "b" : "", types[i].pentode ? "PENTODE" : "TRIODE",
                                       types[i].type);

        ck_assert_msg(device_of(&rig, "V1", 0) ==
                          (types[i].pentode ? &device_pentode : &device_triode),
                      "%s", types[i].type);
        deck_solve(&rig);
        ck_assert_msg(deck_amps(&rig, "V1", 0) > 1e-3 && deck_amps(&rig, "V1", 0) < 50e-3,
                      "%s: %g A", types[i].type, deck_amps(&rig, "V1", 0));
        deck_end(&rig);
    }
}
END_TEST

/* Both amplifiers of tests/stages: solved, and twice to the same bits. */
START_TEST(amplifiers)
{
    static const char *const decks[] = {"tests/stages/push-pull-fixed-bias.cir",
                                        "tests/stages/push-pull-cathode-bias.cir"};
    const char *path = decks[_i];
    struct arena *arenas[2] = {arena_new(), arena_new()};
    struct deck_rig rigs[2];

    for (size_t i = 0; i < 2; i++) {
        struct diags diags = diags_start(arenas[i]);

        rigs[i] = deck_build(source_read(arenas[i], &diags, source_path(path)), arenas[i]);
        ck_assert_uint_eq(rigs[i].network->gap_count, 0);
        deck_solve(&rigs[i]);
    }
    ck_assert_mem_eq(rigs[0].solution->nodes, rigs[1].solution->nodes,
                     rigs[0].network->node_count * sizeof *rigs[0].solution->nodes);
    ck_assert_mem_eq(rigs[0].solution->branches, rigs[1].solution->branches,
                     rigs[0].network->branch_count * sizeof *rigs[0].solution->branches);
    deck_end(&rigs[0]);
    deck_end(&rigs[1]);
}
END_TEST

Suite *check_stages_suite(void);

Suite *check_stages_suite(void)
{
    Suite *suite = suite_create("stages");
    TCase *tests = tcase_create("built");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, told_current);
    tcase_add_test(tests, floating_grid);
    tcase_add_test(tests, direct_coupled_grid);
    tcase_add_test(tests, no_constants);
    tcase_add_test(tests, triode_pentode);
    tcase_add_test(tests, every_type);
    tcase_add_loop_test(tests, amplifiers, 0, 2);
    suite_add_tcase(suite, tests);
    return suite;
}
