/* The transient after switch-on against closed forms. */
#include "check_prearc.h"

#include <math.h>

#include "solve/rig.h"
#include "solve/start_up.h"
#include "solve/warming.h"

#define PI 3.141592653589793

static struct rig rig;

static void teardown(void)
{
    arena_free(rig.arena);
}

static struct surge run_with(const struct start_up_options *options, size_t branch)
{
    struct surge surge = {.branch = branch};

    start_up_run(rig.arena, rig.network, options, &surge, 1);
    ck_assert_msg(surge.status == SOLVE_OK, "status %d at %s", surge.status, surge.blame);
    ck_assert_uint_gt(surge.point_count, 1);
    for (size_t i = 1; i < surge.point_count; i++) {
        ck_assert(surge.points[i].seconds > surge.points[i - 1].seconds);
        ck_assert(surge.points[i].i2t >= surge.points[i - 1].i2t);
    }
    return surge;
}

static struct surge run(double angle, size_t branch)
{
    return run_with(&(struct start_up_options){.angle = angle}, branch);
}

static double total(const struct surge *surge)
{
    return surge->points[surge->point_count - 1].i2t;
}

static double ended(const struct surge *surge)
{
    return surge->points[surge->point_count - 1].seconds;
}

/* A2s above what it carries in the end. */
static double excess(const struct surge *surge)
{
    return total(surge) - surge->settled_square * ended(surge);
}

/* 100 uF through 50 ohm from 100 V: I2t = V^2 C / 2 R, whatever the time constant is against the step. */
START_TEST(capacitor_through_resistor)
{
    static const double ohms[] = {0.5, 5, 50, 500, 1e4};
    struct surge surge;
    size_t fuse;

    rig = rig_new(0);
    rig_direct(&rig, "V1", "p", "0", 100);
    fuse = rig_resistor(&rig, "F1", "p", "a", ohms[_i]);
    rig_capacitor(&rig, "C1", "a", "0", 100e-6);
    surge = run(0, fuse);
    ck_assert_msg(within(total(&surge), 0.5 / ohms[_i], 1.5), "%g ohm: %g A2s, not %g", ohms[_i],
                  total(&surge), 0.5 / ohms[_i]);
    ck_assert_msg(within(surge.peak, 100 / ohms[_i], 35), "%g A", surge.peak);
}
END_TEST

/* The same from the crest of a sine, through a diode: the mains charges the capacitor in 50 us. The diode drops about 0.9 of 325
 * V. */
START_TEST(capacitor_behind_diode_at_crest)
{
    struct surge surge;
    size_t fuse;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "p", "0", 325, 0, 0);
    fuse = rig_resistor(&rig, "F1", "p", "a", 5);
    rig_diode(&rig, "D1", "a", "b", 7e-9, 1.8, 0.034);
    rig_capacitor(&rig, "C1", "b", "0", 10e-6);
    surge = run(PI / 2, fuse);
    ck_assert_msg(within(total(&surge), 324 * 324 * 10e-6 / 2 / 5.034, 3), "%g A2s", total(&surge));
    ck_assert_msg(within(surge.peak, 324 / 5.034, 5), "%g A", surge.peak);
}
END_TEST

/* At the crossing the same capacitor follows the sine: i = w C V cos wt for a quarter of a period, then nothing. */
START_TEST(capacitor_behind_diode_at_crossing)
{
    double amps = 2 * PI * 50 * 10e-6 * 324;
    struct surge surge;
    size_t fuse;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "p", "0", 325, 1, 0);
    fuse = rig_resistor(&rig, "F1", "p", "a", 5);
    rig_diode(&rig, "D1", "a", "b", 7e-9, 1.8, 0.034);
    rig_capacitor(&rig, "C1", "b", "0", 10e-6);
    surge = run(0, fuse);
    ck_assert_msg(within(total(&surge), amps * amps * 0.0025, 3), "%g A2s, not %g", total(&surge),
                  amps * amps * 0.0025);
    ck_assert_msg(within(surge.peak, amps, 3), "%g A", surge.peak);
}
END_TEST

/* Choke and capacitor: half of what the source gives is lost in the resistance, so I2t = V^2 C / 2 R whatever L is; the peak is
 * that of the damped sine. */
START_TEST(choke_and_capacitor)
{
    double henries = 1, farads = 50e-6, ohms = 60, volts = 300;
    double damping = ohms / 2 / henries, w = sqrt(1 / henries / farads - damping * damping);
    double crest = atan2(w, damping) / w;
    double peak = volts / w / henries * exp(-damping * crest) * sin(w * crest);
    struct surge surge;
    size_t fuse;

    rig = rig_new(0);
    rig_direct(&rig, "V1", "p", "0", volts);
    fuse = rig_resistor(&rig, "F1", "p", "a", 10);
    rig_inductor(&rig, "L1", "a", "b", henries, ohms - 10);
    rig_capacitor(&rig, "C1", "b", "0", farads);
    surge = run(0, fuse);
    ck_assert_msg(within(total(&surge), volts * volts * farads / 2 / ohms, 1), "%g A2s",
                  total(&surge));
    ck_assert_msg(within(surge.peak, peak, 1), "%g A, not %g", surge.peak, peak);
}
END_TEST

/* An inductor at a crossing: i = V/wL (exp(-t R/L) - cos wt) for R small; the offset dies in L/R, which is many periods. */
START_TEST(offset_of_an_inductor)
{
    double henries = 2, ohms = 5, w = 2 * PI * 50, amps = 325 / w / henries;
    double offset = henries / 2 / ohms; /* of exp^2; the mixed term is (cos, exp) = nearly 0 */
    struct surge surge;
    size_t fuse;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "p", "0", 325, 0, 0);
    fuse = rig_resistor(&rig, "F1", "p", "a", ohms);
    rig_inductor(&rig, "L1", "a", "0", henries, 0);
    surge = run(0, fuse);
    ck_assert_msg(within(excess(&surge), amps * amps * offset, 2), "%g A2s, not %g",
                  excess(&surge), amps * amps * offset);
    ck_assert_msg(within(surge.settled_square, amps * amps / 2, 1), "%g", surge.settled_square);
    ck_assert_msg(within(surge.peak, 2 * amps, 2), "%g A", surge.peak);
}
END_TEST

/* With r the cold share and tau the time constant, R = Rh (1 - (1 - r) exp(-t/tau)) on constant volts gives an excess of
 * Ih^2 tau (ln(1/r) + 1/r - 1). */
START_TEST(heater_warms)
{
    static const double cold[] = {0.12, 1.0 / 6, 0.37}, seconds[] = {4, 2.9, 0.1};
    double ohms = 7, amps = 6.3 / ohms, r = cold[_i];
    double want = amps * amps * seconds[_i] * (log(1 / r) + 1 / r - 1);
    struct warming warming = {.course = WARMING_EXPONENTIAL, .cold = r * ohms, .hot = ohms,
                              .seconds = seconds[_i]};
    struct surge surge;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "p", "0", 6.3 * sqrt(2), 0, 0);
    warming.element = rig.network->branches[rig_resistor(&rig, "R1", "p", "0", ohms)].element->index;
    surge = run_with(&(struct start_up_options){.warmings = &warming, .warming_count = 1}, 1);
    ck_assert_msg(within(excess(&surge), want, 5), "%g A2s, not %g", excess(&surge), want);
    /* The first crest comes after 5 ms; the resistance is held over each period. */
    ck_assert_msg(within(surge.peak,
                         sqrt(2) * amps / (1 - (1 - r) * exp(-0.005 / seconds[_i])), 10),
                  "%g A", surge.peak);
    ck_assert_msg(within(sqrt(surge.settled_square), amps, 2), "%g", surge.settled_square);
}
END_TEST

/* Half-waves of 10 A that fall by exp(-1/2) a period: the first of them 10^2 T/4, and so on. */
START_TEST(core_inrush_dies)
{
    double want = 100 * 0.02 / 4 / (1 - exp(-1.0));
    struct warming warming = {.course = WARMING_EXPONENTIAL, .cold = 10 * exp(0.25), .hot = 0,
                              .seconds = 0.04};
    struct surge surge;
    size_t fuse;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "p", "0", 325, 2, 0);
    fuse = rig_resistor(&rig, "F1", "p", "a", 1);
    rig_resistor(&rig, "R1", "a", "0", 1e6);
    warming.element =
        rig.network
            ->branches[rig_add(&rig, "T1", &device_core_inrush, "a", "0", (double[5]){10, 50, 2})]
            .element->index;
    surge = run_with(&(struct start_up_options){.warmings = &warming, .warming_count = 1}, fuse);
    ck_assert_msg(within(total(&surge), want, 1), "%g A2s, not %g", total(&surge), want);
    ck_assert_msg(within(surge.peak, 10, 1), "%g A", surge.peak);
}
END_TEST

/* A rectifier valve that warms charges its reservoir the more slowly the more slowly it warms, and never with less charge. */
START_TEST(valve_warms)
{
    double before = INFINITY;

    for (int i = 0; i < 3; i++) {
        struct warming warming = {.course = WARMING_LINEAR, .cold = 0, .hot = 3.57e-3,
                                  .delay = 0.5, .seconds = 0.02 + i};
        struct surge surge;
        size_t fuse;

        rig = rig_new(50);
        rig_sine(&rig, "V1", "a", "0", 424, 0, 100);
        warming.element =
            rig.network
                ->branches[rig_add(&rig, "V2", &device_valve_diode, "a", "b", (double[5]){3.57e-3})]
                .element->index;
        fuse = rig_resistor(&rig, "F1", "b", "c", 1);
        rig_capacitor(&rig, "C1", "c", "0", 47e-6);
        surge = run_with(&(struct start_up_options){.warmings = &warming, .warming_count = 1}, fuse);
        ck_assert(surge.points[50].i2t < 1e-9);
        ck_assert_msg(total(&surge) < before, "%g A2s", total(&surge));
        ck_assert_double_gt(total(&surge), 0.001);
        before = total(&surge);
        teardown();
    }
    rig = rig_new(50);
}
END_TEST

/* Two runs give the same bits. */
START_TEST(twice_the_same)
{
    double first = 0;

    for (int i = 0; i < 2; i++) {
        struct surge surge;
        size_t fuse;

        rig = rig_new(50);
        rig_sine(&rig, "V1", "p", "0", 325, 0, 10);
        fuse = rig_resistor(&rig, "F1", "p", "a", 5);
        rig_diode(&rig, "D1", "a", "b", 7e-9, 1.8, 0.034);
        rig_capacitor(&rig, "C1", "b", "0", 100e-6);
        rig_resistor(&rig, "R1", "b", "c", 1e4);
        rig_capacitor(&rig, "C2", "c", "0", 22e-6);
        surge = run(0, fuse);
        if (i > 0)
            ck_assert(total(&surge) == first);
        first = total(&surge);
        teardown();
    }
    rig = rig_new(50);
}
END_TEST

Suite *check_start_up_suite(void);
Suite *check_start_up_suite(void)
{
    Suite *suite = suite_create("start-up");
    TCase *cases = tcase_create("closed forms");

    tcase_add_checked_fixture(cases, NULL, teardown);
    tcase_add_loop_test(cases, capacitor_through_resistor, 0, 5);
    tcase_add_test(cases, capacitor_behind_diode_at_crest);
    tcase_add_test(cases, capacitor_behind_diode_at_crossing);
    tcase_add_test(cases, choke_and_capacitor);
    tcase_add_test(cases, offset_of_an_inductor);
    tcase_add_loop_test(cases, heater_warms, 0, 3);
    tcase_add_test(cases, core_inrush_dies);
    tcase_add_test(cases, valve_warms);
    tcase_add_test(cases, twice_the_same);
    suite_add_tcase(suite, cases);
    return suite;
}
