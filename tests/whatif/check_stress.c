/* What parts stand: by hand calculation, and of decks. */
#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "solve/deck_rig.h"
#include "trace/trace.h"
#include "whatif/high_mains.h"
#include "whatif/stress.h"
#include "whatif/whatif.h"
#include "whatif/withstand.h"

static void near(double got, double want, double share)
{
    ck_assert_msg(fabs(got - want) <= share * fabs(want), "%g, expected %g", got, want);
}

/* ---- copper ---- */

/* Without loss: c / (rho alpha J2) ln of the resistances' ratio, by hand. At 50 times 3 A/mm2 the loss is
 * nothing. */
START_TEST(copper_heats_adiabatically)
{
    double rate = 8890.0 * 385 / (1.724e-8 * 0.00393 * 150e6 * 150e6);
    double hot = 1 + 0.00393 * (215 - 20), warm = 1 + 0.00393 * (75 - 20);

    near(copper_seconds(&copper_usual, 50), rate * log(hot / warm), 2e-3);
}
END_TEST

/* The same differential equation in small steps. */
static double integrated(const struct copper *copper, double multiple)
{
    double warm = copper->warm, temperature = warm, step = 1e-3, seconds = 0;
    double joules = 8890.0 * 385, ohm_metres = 1 / 58e6, density = multiple * copper->density;
    double loss = ohm_metres * (1 + 0.00393 * (warm - 20)) * copper->density * copper->density /
                  (warm - copper->ambient);

    while (temperature < copper->limit && seconds < 3600) {
        double ohms = ohm_metres * (1 + 0.00393 * (temperature - 20));

        temperature += step / joules * (ohms * density * density - loss * (temperature - copper->ambient));
        seconds += step;
    }
    return seconds < 3600 ? seconds : INFINITY;
}

START_TEST(copper_follows_its_equation)
{
    static const double multiples[] = {1.2, 1.6, 2, 3, 5, 10, 20};

    for (size_t i = 0; i < sizeof multiples / sizeof *multiples; i++) {
        double got = copper_seconds(&copper_usual, multiples[i]);
        double want = integrated(&copper_usual, multiples[i]);

        if (isinf(want))
            ck_assert_msg(isinf(got), "%g times: %g", multiples[i], got);
        else
            near(got, want, 2e-3);
    }
    ck_assert(isinf(copper_seconds(&copper_usual, 1)));
    ck_assert(isnan(copper_seconds(&copper_usual, NAN)));
}
END_TEST

START_TEST(copper_in_its_range)
{
    struct withstand stands = winding_withstand(10);

    ck_assert_double_lt(stands.low, stands.seconds);
    ck_assert_double_lt(stands.seconds, stands.high);
}
END_TEST

/* ---- the other laws ---- */

START_TEST(rectifier_by_half_cycles)
{
    near(rectifier_withstand(30, 30, 0.02).seconds, 0.02, 1e-9);
    near(rectifier_withstand(30, 30 * pow(100, -0.3), 0.02).seconds, 2, 1e-9);
    ck_assert_double_lt(rectifier_withstand(30, 60, 0.02).high, 0.02);
    ck_assert_double_lt(rectifier_withstand(30, 5, 0.02).low, rectifier_withstand(30, 5, 0.02).seconds);
}
END_TEST

/* Time constant 5 s / -ln(1 - 2 / 6.25) = 12.96 s. */
START_TEST(resistor_as_tested)
{
    ck_assert(isinf(resistor_withstand(1).seconds));
    ck_assert(isnan(resistor_withstand(1.5).seconds));
    near(resistor_withstand(6.25).seconds, 5, 1e-9);
    near(resistor_withstand(20).seconds, 12.9646 * 0.105361, 1e-4);
    near(resistor_withstand(1000).seconds, 12.9646 * 2 / 1000, 2e-3);
}
END_TEST

START_TEST(capacitor_surges)
{
    ck_assert(isinf(capacitor_withstand(450, 450).seconds));
    near(capacitor_withstand(450, 490).seconds, 30, 1e-9);
    ck_assert_double_eq(capacitor_withstand(450, 500).seconds, 0);
    near(capacitor_withstand(50, 57).seconds, 30, 1e-9);
    near(film_withstand(400, 600).seconds, 60, 1e-9);
    ck_assert(isnan(capacitor_withstand(NAN, 10).seconds));
}
END_TEST

static double winding_seconds(double multiple) { return winding_withstand(multiple).seconds; }
static double resistor_seconds(double multiple) { return resistor_withstand(multiple).seconds; }
static double anode_seconds(double multiple) { return anode_withstand(multiple).seconds; }
static double ripple_seconds(double multiple) { return ripple_withstand(multiple).seconds; }
static double rectifier_seconds(double multiple) { return rectifier_withstand(1, multiple, 0.02).seconds; }
static double crystal_seconds(double multiple) { return crystal_withstand(multiple).seconds; }

/* More is never stood for longer. */
START_TEST(more_is_stood_for_less)
{
    static double (*const laws[])(double) = {winding_seconds, resistor_seconds,  anode_seconds,
                                             ripple_seconds,  rectifier_seconds, crystal_seconds};

    for (size_t i = 0; i < sizeof laws / sizeof *laws; i++) {
        double before = INFINITY;

        for (double multiple = 0.5; multiple < 100; multiple *= 1.05) {
            double now = laws[i](multiple);

            if (isnan(now))
                continue;
            ck_assert_msg(now <= before, "law %zu at %g: %g after %g", i, multiple, now, before);
            before = now;
        }
        ck_assert_double_lt(before, 10);
    }
}
END_TEST

/* ---- decks ---- */

static struct deck_rig deck;

static void teardown(void)
{
    deck_end(&deck);
}

static struct deck_rig supply_of(const char *rating, const char *link, const char *load)
{
    return deck_new(".subckt C14 L N E\n.ends\n.subckt FUSE 1 2\n.ends\n.subckt TRAFO 1 2 3 4 5\n.ends\n"
                    "XJ1 L N 0 C14\n"
                    "XF1 L LF FUSE rating=T3.15AH250V\n"
                    "XT1 LF N A 0 B TRAFO windings=\"primary 1-2 230V 14R; HT 3-4-5 280-0-280V 70+72R %s\"\n"
                    "D1 A RECT 1N4007\nD2 B RECT 1N4007\n"
                    "XF2 RECT HT FUSE rating=%s\n"
                    "C1 HT 0 47u voltage=500V\n"
                    "R1 HT 0 %s\n",
                    rating, link, load);
}

/* The short of the rail at NET. */
static const struct fault *short_at(const char *net)
{
    const struct trace *trace;
    const struct whatif *whatif;

    deck_solve(&deck);
    trace = trace_network(deck.arena, deck.network);
    whatif = whatif_run(deck.arena, deck.network, trace, deck.solution, NULL, 0);
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (strcmp(deck.network->nodes[whatif->faults[i].node].name, net) == 0)
            return &whatif->faults[i];
    ck_abort_msg("no short at %s", net);
    return NULL;
}

/* The first of REF but for those of a primary. */
static const struct stress *stress_in(const struct fault *fault, const char *ref, enum stress_what what)
{
    for (size_t i = 0; i < fault->stress_count; i++) {
        const struct branch *branch = &deck.network->branches[fault->stresses[i].branch];

        if (fault->stresses[i].what == what && strcmp(branch->part->ref, ref) == 0 &&
            (branch->section == NULL || branch->section->winding > 0))
            return &fault->stresses[i];
    }
    return NULL;
}

/* Each half of the winding carries half-waves: 280 V through 70 ohm and what the primary adds, 14 ohm by the
 * square of the turns; RMS half of the peak, ten times the rating. */
START_TEST(winding_until_the_link_opens)
{
    const struct fault *fault;
    const struct stress *winding;
    double ohms = 71 + 14.5 * pow(280 / 230.0, 2);

    deck = supply_of("200mA", "T1.25AL250V", "5k power=50W");
    fault = short_at("HT");
    ck_assert(isfinite(fault->opens_by));
    winding = stress_in(fault, "T1", STRESS_WINDING);
    ck_assert_ptr_nonnull(winding);
    near(winding->value, 280 * sqrt(2) / ohms / 2, 0.03);
    ck_assert_double_eq(winding->limit, 0.2);
    near(winding->withstands.seconds, copper_seconds(&copper_usual, winding->value / 0.2), 1e-9);
    ck_assert_int_eq(winding->verdict, STRESS_EXCEEDED);
    ck_assert(winding->sure == (fault->opens_by > winding->withstands.high));
    ck_assert_int_eq(stress_in(fault, "D1", STRESS_AVERAGE)->verdict, STRESS_EXCEEDED);
}
END_TEST

START_TEST(link_that_opens_in_time)
{
    const struct fault *fault;

    deck = supply_of("200mA", "T315mAL250V", "5k power=50W");
    fault = short_at("HT");
    for (size_t i = 0; i < fault->stress_count; i++)
        ck_assert_int_ne(fault->stresses[i].verdict, STRESS_EXCEEDED);
    ck_assert_ptr_nonnull(stress_in(fault, "T1", STRESS_WINDING));
}
END_TEST

START_TEST(unknown_rating_is_not_judged)
{
    const struct stress *winding;

    deck = supply_of("", "T1.25AL250V", "5k");
    winding = stress_in(short_at("HT"), "T1", STRESS_WINDING);
    ck_assert_ptr_nonnull(winding);
    ck_assert_int_eq(winding->verdict, STRESS_NOT_KNOWN);
    ck_assert(isnan(winding->limit) && isnan(winding->withstands.seconds));
}
END_TEST

/* Every verdict over the seconds that the same thing lasts. */
START_TEST(longer_is_never_better)
{
    struct stress_case at;
    size_t exceeded = 0;

    deck = supply_of("20mA", "T1.25AL250V", "5k power=10W");
    deck_solve(&deck);
    at = (struct stress_case){.whole = deck.network, .solved = deck.network, .solution = deck.solution};
    for (size_t branch = 0; branch < deck.network->branch_count; branch++) {
        enum stress_verdict before[STRESSES_OF_BRANCH] = {0};

        for (at.seconds = 1e-3; at.seconds < 1e6; at.seconds *= 1.7) {
            struct stress stresses[STRESSES_OF_BRANCH];
            size_t count = stress_of_branch(deck.arena, &at, branch, stresses);

            for (size_t i = 0; i < count; i++) {
                ck_assert_int_ge(stresses[i].verdict, before[i]);
                exceeded += stresses[i].verdict == STRESS_EXCEEDED && before[i] == STRESS_WITHIN;
                before[i] = stresses[i].verdict;
            }
        }
    }
    ck_assert_uint_ge(exceeded, 3); /* both halves of the winding, and the load */
}
END_TEST

/* A half-sine of peak I for half of a period T holds I2 T / 4: 25 A at 50 Hz 3.1 A2s. */
START_TEST(pulse_of_a_half_sine)
{
    struct stress stresses[STRESSES_OF_BRANCH];
    struct stress_case at;
    double peak, i2t = NAN, surge = NAN;
    size_t count;

    deck = deck_new("V1 A 0 SIN(0 325 50)\nD1 A K 1N4007\nR1 K 0 13\n");
    deck_solve(&deck);
    at = (struct stress_case){.whole = deck.network, .solved = deck.network, .solution = deck.solution,
                              .seconds = 1};
    count = stress_of_branch(deck.arena, &at, deck_branch(&deck, "D1", 0)->index, stresses);
    for (size_t i = 0; i < count; i++) {
        if (stresses[i].what == STRESS_SURGE)
            surge = stresses[i].value;
        if (stresses[i].what == STRESS_SURGE_I2T)
            i2t = stresses[i].value;
    }
    peak = 324 / 13.034;
    near(surge, peak, 0.01);
    near(i2t, peak * peak * 0.02 / 4, 0.02);
}
END_TEST

/* Nothing draws but the load: the rail without one stands at the peak of the winding, 10 % up. */
START_TEST(rail_at_high_mains)
{
    const struct solution *cold;

    deck = supply_of("200mA", "T315mAL250V", "1MEG power=1W");
    deck_solve(&deck);
    cold = high_mains_cold(deck.arena, deck.network, deck.solution);
    ck_assert_int_eq(cold->status, SOLVE_OK);
    for (size_t i = 0; i < deck.network->node_count; i++)
        if (strcmp(deck.network->nodes[i].name, "HT") == 0)
            near(cold->nodes[i].mean, 280 * sqrt(2) * 1.1, 0.01);
}
END_TEST

Suite *check_stress_suite(void);
Suite *check_stress_suite(void)
{
    Suite *suite = suite_create("stress");
    TCase *laws = tcase_create("laws"), *decks = tcase_create("decks");

    tcase_add_test(laws, copper_heats_adiabatically);
    tcase_add_test(laws, copper_follows_its_equation);
    tcase_add_test(laws, copper_in_its_range);
    tcase_add_test(laws, rectifier_by_half_cycles);
    tcase_add_test(laws, resistor_as_tested);
    tcase_add_test(laws, capacitor_surges);
    tcase_add_test(laws, more_is_stood_for_less);
    tcase_add_checked_fixture(decks, NULL, teardown);
    tcase_add_test(decks, winding_until_the_link_opens);
    tcase_add_test(decks, link_that_opens_in_time);
    tcase_add_test(decks, unknown_rating_is_not_judged);
    tcase_add_test(decks, longer_is_never_better);
    tcase_add_test(decks, pulse_of_a_half_sine);
    tcase_add_test(decks, rail_at_high_mains);
    suite_add_tcase(suite, laws);
    suite_add_tcase(suite, decks);
    return suite;
}
