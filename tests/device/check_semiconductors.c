/* Transistors and regulators: their stamps, what data sheets print, and what the netlist makes of them. */
#include "check_prearc.h"

#include <math.h>

#include "device/device.h"
#include "device/tangent.h"
#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
/* kT/q at 27 degrees C, V, worked out from CODATA's k and e. */
#define VT 0.025864926

static const double npn[ELEMENT_FIGURES] = {1e-14, 200, 5, 80, 1, 1};
static const double pnp[ELEMENT_FIGURES] = {3e-12, 50, 2, 0, -1, 1};
static const double darlington[ELEMENT_FIGURES] = {1e-12, 2500, 5, 100, 1, 2};

/* The emitter is two of the four terminals. SIGN turns the volts over. */
static struct bench bipolar_bench(const double *figures, double collector, double base)
{
    struct bench bench = bench_new(&device_bipolar, 4, 2, figures);

    bench.fresh = true;
    bench.rows[2] = 2;
    bench.rows[3] = 1;
    bench.size = 3;
    bench.element.node_count = 3;
    bench.x[0] = 7 + figures[4] * collector;
    bench.x[1] = 7;
    bench.x[2] = 7 + figures[4] * base;
    return bench;
}

/* Active, saturated, cut off, inverted. */
START_TEST(bipolar_tangents)
{
    static const double collectors[] = {-8, -0.5, 0.02, 0.2, 0.7, 3, 60};
    static const double bases[] = {-4, 0, 0.3, 0.5, 0.57};
    static const double *const all[] = {npn, pnp, darlington};

    for (size_t f = 0; f < COUNT(all); f++)
        for (size_t c = 0; c < COUNT(collectors); c++)
            for (size_t b = 0; b < COUNT(bases); b++) {
                struct bench bench = bipolar_bench(all[f], collectors[c], bases[b]);
                bool n = all[f][4] > 0;

                if (bases[b] - collectors[c] > 0.57)
                    continue; /* the base-collector junction is limited there */
                assert_tangent(&bench);
                assert_amps(&bench, (size_t[]){n ? 0 : 1, n ? 2 : 1},
                            (size_t[]){n ? 1 : 0, n ? 1 : 2});
            }
}
END_TEST

static void bipolar_amps(const double *figures, double collector, double base, double *amps)
{
    struct bench bench = bipolar_bench(figures, collector, base);
    struct stamp_target target;
    struct stamp stamp = stamp_at(&bench, &target);

    stamp.gmin = 0;
    bench.device->amps(&bench.element, &bench.element_rows, &stamp, amps);
}

/* The same with a node of its own for what steers them: of a bipolar the fifth, of a channel the fourth. */
START_TEST(averaged_tangents)
{
    static const double means[] = {-1, 0.3, 0.55};
    struct bench bench;

    for (size_t i = 0; i < COUNT(means); i++) {
        bench = bipolar_bench(pnp, 9, 0.4);
        bench.element.node_count = 5;
        bench.rows[4] = 3;
        bench.size = 4;
        bench.x[3] = -means[i];
        assert_tangent(&bench);
        bench = bench_new(&device_channel, 4, 1, (double[ELEMENT_FIGURES]){2e-3, -2, 0.01, -1});
        bench.fresh = true;
        bench.x[0] = 5 - 3 * means[i];
        bench.x[1] = 8;
        bench.x[3] = -means[i];
        assert_tangent(&bench);
        assert_amps(&bench, (size_t[]){1}, (size_t[]){0});
    }
    bench = bench_new(&device_mean_filter, 3, 1, (double[ELEMENT_FIGURES]){100});
    bench.x[0] = 3;
    bench.x[2] = 1;
    assert_tangent(&bench);
    bench.step = 0;
    assert_tangent(&bench);
}
END_TEST

/* By hand: at 0.6 V the collector carries IS e^(0.6/VT) (1 + 4.4/80), the base 1/200 of that without the Early factor; an emitter
 * used as collector gains BR; and the sheet's law: 60 mV more (VT ln 10) is ten times the current. */
START_TEST(bipolar_by_hand)
{
    double amps[2], more[2], plain = 1e-14 * (exp(0.6 / VT) - 1);

    bipolar_amps(npn, 5, 0.6, amps);
    assert_within(amps[0], plain * (1 + 4.4 / 80), 1e-4);
    assert_within(amps[1], plain / 200, 1e-3);
    bipolar_amps(npn, 5, 0.6 + VT * log(10), more);
    assert_within(more[0] / amps[0], 10, 0.1);
    bipolar_amps(pnp, 10, 0.6, amps);
    assert_within(amps[0] / amps[1], 50, 1e-3);
    bipolar_amps(pnp, -5, -4.4, amps);
    assert_within((-amps[0] - amps[1]) / amps[1], 2, 1e-3);
    bipolar_amps(npn, 5, -2, amps);
    ck_assert(fabs(amps[0]) < 1e-12 && fabs(amps[1]) < 1e-12);
}
END_TEST

static const double power_mos[ELEMENT_FIGURES] = {7, 3.6, 0.005, 1};
static const double p_mos[ELEMENT_FIGURES] = {4, 3.6, 0, -1};
static const double junction_fet[ELEMENT_FIGURES] = {2e-3, -2, 0.01, 1};

static struct bench channel_bench(const double *figures, double drain, double gate)
{
    struct bench bench = bench_new(&device_channel, 3, 1, figures);

    bench.fresh = true;
    bench.x[0] = 7 + figures[3] * drain;
    bench.x[1] = 7;
    bench.x[2] = 7 + figures[3] * gate;
    return bench;
}

static double channel_amps(const double *figures, double drain, double gate)
{
    struct bench bench = channel_bench(figures, drain, gate);
    struct stamp_target target;
    struct stamp stamp = stamp_at(&bench, &target);
    double amps;

    stamp.gmin = 0;
    bench.device->amps(&bench.element, &bench.element_rows, &stamp, &amps);
    return amps;
}

START_TEST(channel_tangents)
{
    static const double drains[] = {-30, -0.4, -0.01, 0.01, 0.3, 1.2, 50};
    static const double gates[] = {-6, -1.9, -1, 0, 3.5, 3.65, 5};
    static const double *const all[] = {power_mos, p_mos, junction_fet};

    for (size_t f = 0; f < COUNT(all); f++)
        for (size_t d = 0; d < COUNT(drains); d++)
            for (size_t g = 0; g < COUNT(gates); g++) {
                struct bench bench = channel_bench(all[f], drains[d], gates[g]);
                bool n = all[f][3] > 0;

                assert_tangent(&bench);
                assert_amps(&bench, (size_t[]){!n}, (size_t[]){n});
            }
}
END_TEST

/* By hand, from KP/2 (vgs - VT)^2 (1 + LAMBDA vds) and KP ((vgs - VT) - vds/2) vds; a junction gate at 0 V carries BETA VT^2; drain and
 * source may change places. */
START_TEST(channel_by_hand)
{
    assert_within(channel_amps(power_mos, 20, 4.6), 3.5 * 1.1, 0.01);
    assert_within(channel_amps(power_mos, 0.1, 5.6), 7 * (2 - 0.05) * 0.1 * 1.0005, 0.01);
    assert_within(channel_amps(p_mos, 20, 4.6), 2, 0.01);
    assert_within(channel_amps(junction_fet, 15, 0), 4e-3 * 1.15, 0.01);
    assert_within(channel_amps(power_mos, -0.1, 4.6), -channel_amps(power_mos, 0.1, 4.7), 1e-6);
    ck_assert(channel_amps(power_mos, 20, 3) < 1e-6);
}
END_TEST

static const double fixed_5[ELEMENT_FIGURES] = {5, 1.5, 0.5, 2.2, 8};
static const double fixed_minus_12[ELEMENT_FIGURES] = {-12, 0.825, 0.275, 2.2, 8};
static const double unprotected[ELEMENT_FIGURES] = {1.25, 1.5, 3, 2.2, 0};

static struct bench regulator_bench(const double *figures, double input, double output)
{
    struct bench bench = bench_new(&device_regulator, 3, 1, figures);
    double sign = figures[0] < 0 ? -1 : 1;

    bench.fresh = true;
    bench.x[0] = 3 + sign * input;
    bench.x[1] = 3 + sign * output;
    bench.x[2] = 3;
    return bench;
}

static double regulator_amps(const double *figures, double input, double output)
{
    struct bench bench = regulator_bench(figures, input, output);
    struct stamp_target target;
    struct stamp stamp = stamp_at(&bench, &target);
    double amps;

    stamp.gmin = 0;
    bench.device->amps(&bench.element, &bench.element_rows, &stamp, &amps);
    return amps;
}

START_TEST(regulator_tangents)
{
    static const double *const all[] = {fixed_5, fixed_minus_12, unprotected};
    static const double inputs[] = {-5, 0, 6, 7.1, 20, 35};
    static const double lacks[] = {-3, -0.01, 0, 0.004, 1};

    for (size_t f = 0; f < COUNT(all); f++)
        for (size_t i = 0; i < COUNT(inputs); i++)
            for (size_t l = 0; l < COUNT(lacks); l++) {
                struct bench bench =
                    regulator_bench(all[f], inputs[i], fabs(all[f][0]) - lacks[l]);
                bool n = all[f][0] > 0;

                assert_tangent(&bench);
                assert_amps(&bench, (size_t[]){!n}, (size_t[]){n});
            }
}
END_TEST

/* More input or a lower output never lets less through while the limit is not reached, and nothing ever flows back. */
START_TEST(regulator_monotone)
{
    for (double input = 0; input < 30; input += 0.5) {
        double before = INFINITY;

        for (double output = 4.9; output < 8; output += 1e-3) {
            double amps = regulator_amps(fixed_5, input, output);

            ck_assert_msg(amps >= 0, "%g V in, %g V out: %g A", input, output, amps);
            if (output > 4.98)
                ck_assert_msg(amps <= before + 1e-12, "%g V in, %g V out", input, output);
            before = amps;
        }
    }
}
END_TEST

/* 7805: 750 mA into a short at 10 V in (Texas Instruments, uA7805), 230 mA at 35 V, peak 2.2 A (Fairchild, LM78XX, rev. 1.3.1). */
START_TEST(printed_limits)
{
    assert_within(regulator_amps(fixed_5, 10, 0), 0.75, 3);
    assert_within(regulator_amps(fixed_5, 35, 0), 0.23, 3);
    ck_assert(regulator_amps(fixed_5, 10, 4.9) > 1 && regulator_amps(fixed_5, 10, 4.9) < 2.2);
}
END_TEST

/* Symbols of the decks below. */
#define SYMBOLS                                                                                    \
    ".subckt REGULATOR IN COM OUT\n.ends\n.subckt NPN C B E\n.ends\n"                               \
    ".subckt PNP C B E\n.ends\n.subckt TRANSISTOR C B E\n.ends\n"                                   \
    ".subckt RELAY A1 A2 11 12 14\n.ends\n.subckt NMOS D G S\n.ends\n"

/* Fairchild, LM78XX, rev. 1.3.1: 5 V within 4 %, load regulation 100 mV at most from 5 mA to 1.5 A, dropout 2 V at 1 A, 5 mA
 * quiescent. */
START_TEST(printed_7805)
{
    struct deck_rig light = deck_new(SYMBOLS "V1 in 0 DC 10\nXU1 in 0 out REGULATOR value=7805\nR1 out 0 1k\n.end\n");
    struct deck_rig heavy = deck_new(SYMBOLS "V1 in 0 DC 10\nXU1 in 0 out REGULATOR value=7805\nR1 out 0 5\n.end\n");
    struct deck_rig low = deck_new(SYMBOLS "V1 in 0 DC 6\nXU1 in 0 out REGULATOR value=7805\nI1 out 0 DC 1\n.end\n");

    deck_solve(&light);
    deck_solve(&heavy);
    deck_solve(&low);
    assert_within(deck_volts(&light, "out"), 5, 4);
    assert_within(deck_volts(&heavy, "out"), 5, 4);
    ck_assert(deck_volts(&light, "out") - deck_volts(&heavy, "out") < 0.1);
    assert_within(6 - deck_volts(&low, "out"), 2, 5);
    assert_within(-deck_amps(&light, "V1", 0) - deck_volts(&light, "out") / 1000, 5e-3, 2);
    ck_assert_uint_eq(heavy.network->gap_count, 0);
    deck_end(&light);
    deck_end(&heavy);
    deck_end(&low);
}
END_TEST

/* LM317: 1.25 V (1 + R2/R1) + the adjust pin's current through R2 (the sheet's own formula, from memory). */
START_TEST(adjustable)
{
    struct deck_rig rig = deck_new(SYMBOLS "V1 in 0 DC 30\nXU1 in adj out REGULATOR value=LM317\n"
                                   "R1 out adj 240\nR2 adj 0 2.4k\nR3 out 0 100\n"
                                   "V2 nin 0 DC -30\nXU2 nin nadj nout REGULATOR value=LM337\n"
                                   "R4 nout nadj 120\nR5 nadj 0 1.2k\nR6 nout 0 100\n.end\n");

    deck_solve(&rig);
    assert_within(deck_volts(&rig, "out"), 1.25 * 11 + 50e-6 * 2400, 0.5);
    assert_within(deck_volts(&rig, "nout"), -1.25 * 11 - 65e-6 * 1200, 0.5);
    deck_end(&rig);
}
END_TEST

/* The volts of a type that the library does not list stand in its number; of one that says nothing, nothing is passed on, with a
 * gap. */
START_TEST(unknown_regulators)
{
    struct deck_rig rig = deck_new(SYMBOLS "V1 in 0 DC 20\nXU1 in 0 a REGULATOR value=XR78M10\nR1 a 0 100\n"
                                   "XU2 in 0 b REGULATOR value=stabi\nR2 b 0 100\n"
                                   "XU3 in 0 c REGULATOR value=stabi outputvoltage=9V\nR3 c 0 100\n.end\n");

    deck_solve(&rig);
    assert_within(deck_volts(&rig, "a"), 10, 1);
    ck_assert(fabs(deck_volts(&rig, "b")) < 0.01);
    assert_within(deck_volts(&rig, "c"), 9, 1);
    ck_assert_uint_eq(rig.network->gap_count, 1);
    ck_assert_str_eq(rig.network->gap_parts[0], "U2");
    deck_end(&rig);
}
END_TEST

/* What a transistor becomes, and whether a gap says why it is a load. */
static void assert_built(const char *lines, const struct device *device, bool gap)
{
    struct deck_rig rig = deck_new(SYMBOLS "V9 p 0 DC 20\nR1 p c 1k\n%s.end\n", lines);

    ck_assert_msg(deck_branch(&rig, "Q1", 0)->element->device == device, "%s", lines);
    ck_assert_msg(deck_branch(&rig, "Q1", 0)->kind == BRANCH_LOAD, "%s", lines);
    ck_assert_msg((rig.network->gap_count > 0) == gap, "%s", lines);
    deck_solve(&rig);
    deck_end(&rig);
}

START_TEST(built)
{
    static const char bias[] = "R2 p b 470k\n";
    char lines[256];
    static const struct {
        const char *line;
        const struct device *device;
        bool biased, gap;
    } rows[] = {
        {"XQ1 c b 0 TRANSISTOR value=BC547\n", &device_bipolar, true, false},
        {"XQ1 c b 0 NPN value=UNHEARD123\n", &device_bipolar, true, false},
        {"XQ1 c b 0 TRANSISTOR value=2SD9999\n", &device_bipolar, true, false},
        {"Q1 c b 0 QM\n.model QM NPN(BF=50)\n", &device_bipolar, true, false},
        {"XQ1 c b 0 TRANSISTOR value=UNHEARD123\n", &device_open, true, true},
        {"XQ1 c b 0 TRANSISTOR value=BC547 idlecurrent=3mA\n", &device_load, true, false},
        {"XQ1 c b 0 TRANSISTOR value=BC547\nC1 b 0 1u\n", &device_open, false, true},
        {"XQ1 c b 0 TRANSISTOR value=BC547\nQ2 p p b QM\n.model QM NPN(BF=50)\n", &device_bipolar, false, false},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        snprintf(lines, sizeof lines, "%s%s", rows[i].biased ? bias : "", rows[i].line);
        assert_built(lines, rows[i].device, rows[i].gap);
    }
}
END_TEST

/* Every transistor of the library conducts at 0.1 mA or more when it is biased as its polarity asks. */
START_TEST(every_type)
{
    static const struct {
        const char *type;
        bool fet;
        double polarity;
    } types[] = {
        {"BC546", false, 1},    {"BC556B", false, -1},  {"2N3904", false, 1},    {"2N3906", false, -1},
        {"2N5551", false, 1},   {"2N5401", false, -1},  {"BD139", false, 1},     {"BD140", false, -1},
        {"MJE340", false, 1},   {"MJE350", false, -1},  {"MPSA42", false, 1},    {"MPSA92", false, -1},
        {"TIP31C", false, 1},   {"TIP42C", false, -1},  {"TIP35C", false, 1},    {"2N3055", false, 1},
        {"MJ2955", false, -1},  {"MJ15003", false, 1},  {"MJ15025", false, -1},  {"2SC5200", false, 1},
        {"2SA1943", false, -1}, {"TIP122", false, 1},   {"TIP127", false, -1},   {"TIP147", false, -1},
        {"IRF540", true, 1},    {"IRF9540", true, -1},  {"IRFP240", true, 1},    {"IRFP9240", true, -1},
        {"IRF820", true, 1},    {"BS170", true, 1},     {"BS250", true, -1},     {"2N7000", true, 1},
        {"J201", true, 1},      {"2N5457", true, 1},    {"BF245A", true, 1},     {"J113", true, 1},
    };

    for (size_t i = 0; i < COUNT(types); i++) {
        struct deck_rig rig = deck_new(
            ".subckt BIPOLAR C B E\n.ends\n.subckt FET D G S\n.ends\n"
            "V9 p 0 DC %g\nR1 p c 470\nR2 c b %s\nR3 b 0 10MEG\nXQ1 c b 0 %s value=%s\n.end\n",
            20 * types[i].polarity, types[i].fet ? "10k" : "100k", types[i].fet ? "FET" : "BIPOLAR",
            types[i].type);
        double amps;

        ck_assert_msg(rig.network->gap_count == 0, "%s", types[i].type);
        deck_solve(&rig);
        amps = deck_amps(&rig, "Q1", 0);
        ck_assert_msg(amps > 1e-4 && amps < 43e-3, "%s: %g A", types[i].type, amps);
        deck_end(&rig);
    }
}
END_TEST

/* BC547B: 0.66 V at 2 mA, gain 290 (typical of the sheet, from memory). */
START_TEST(printed_small_signal)
{
    struct deck_rig rig = deck_new(SYMBOLS "V9 c 0 DC 5\nR1 c b 629k\n"
                                   "XQ1 c b 0 NPN value=BC547B\n.end\n");

    deck_solve(&rig);
    assert_within(deck_volts(&rig, "b"), 0.66, 2);
    assert_within(deck_amps(&rig, "Q1", 0), 2e-3, 8);
    deck_end(&rig);
}
END_TEST

/* Relay: of 12 V, 400 ohm (Shenle, JQC-3F(T73) relay sheet); its working contact closed unless it has released. */
START_TEST(relays)
{
    struct deck_rig rig = deck_new(SYMBOLS "V9 p 0 DC 12\nXK1 p 0 p r w RELAY value=12V\nR1 w 0 100\nR2 r 0 100\n"
                                   "XK2 p 0 p x y RELAY value=12V state=open\nR3 y 0 100\nR4 x 0 100\n.end\n");

    deck_solve(&rig);
    assert_within(deck_amps(&rig, "K1", 0), 0.03, 1);
    assert_within(deck_volts(&rig, "w"), 12, 1);
    assert_within(deck_volts(&rig, "x"), 12, 1);
    ck_assert(fabs(deck_volts(&rig, "r")) < 1e-3 && fabs(deck_volts(&rig, "y")) < 1e-3);
    ck_assert_uint_eq(rig.network->gap_count, 0);
    deck_end(&rig);
}
END_TEST

Suite *check_semiconductors_suite(void);

Suite *check_semiconductors_suite(void)
{
    Suite *suite = suite_create("semiconductors");
    TCase *tests = tcase_create("equations");

    tcase_add_test(tests, bipolar_tangents);
    tcase_add_test(tests, averaged_tangents);
    tcase_add_test(tests, bipolar_by_hand);
    tcase_add_test(tests, channel_tangents);
    tcase_add_test(tests, channel_by_hand);
    tcase_add_test(tests, regulator_tangents);
    tcase_add_test(tests, regulator_monotone);
    tcase_add_test(tests, printed_limits);
    suite_add_tcase(suite, tests);
    tests = tcase_create("built");
    tcase_add_test(tests, printed_7805);
    tcase_add_test(tests, adjustable);
    tcase_add_test(tests, unknown_regulators);
    tcase_add_test(tests, built);
    tcase_add_test(tests, every_type);
    tcase_add_test(tests, printed_small_signal);
    tcase_add_test(tests, relays);
    suite_add_tcase(suite, tests);
    return suite;
}
