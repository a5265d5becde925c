/* Numbers, expressions and parameters of decks. */
#include "netlist/spice_case.h"
#include "netlist/spice_expression.h"

static struct spice_case c;

static void setup(void)
{
    case_start(&c);
}

static void teardown(void)
{
    case_end(&c);
}

static double number(const char *text)
{
    double value = -1;

    ck_assert_uint_eq(spice_number(text, strlen(text), &value), strlen(text));
    return value;
}

START_TEST(numbers)
{
    double ignored;

    assert_within(number("4.7k"), 4700, 1e-9);
    assert_within(number("10uF"), 1e-5, 1e-9);
    assert_within(number("47\xC2\xB5" "F"), 47e-6, 1e-9);
    assert_within(number("1Meg"), 1e6, 1e-9);
    assert_within(number("1M"), 1e-3, 1e-9);
    assert_within(number("100Ohm"), 100, 1e-9);
    assert_within(number("8R"), 8, 1e-9);
    assert_within(number("2mil"), 50.8e-6, 1e-9);
    assert_within(number(".5T"), 5e11, 1e-9);
    assert_within(number("1e-3"), 1e-3, 1e-9);
    assert_within(number("1.5E+2k"), 150e3, 1e-9);
    assert_within(number("1e"), 1, 1e-9);
    assert_within(number("3.G"), 3e9, 1e-9);
    ck_assert_uint_eq(spice_number("4k7", 3, &ignored), 0);
    ck_assert_uint_eq(spice_number("k7", 2, &ignored), 0);
    ck_assert_uint_eq(spice_number(".", 1, &ignored), 0);
    ck_assert_uint_eq(spice_number("", 0, &ignored), 0);
}
END_TEST

static double worked_out(const char *text)
{
    double value = -1;
    struct spice_failure failure;

    ck_assert_msg(spice_evaluate(text, strlen(text), NULL, &value, &failure), "%s: %.*s %s", text,
                  (int)failure.length, failure.at, failure.what);
    return value;
}

START_TEST(expressions)
{
    assert_within(worked_out("1+2*3"), 7, 1e-12);
    assert_within(worked_out("(1+2)*3"), 9, 1e-12);
    assert_within(worked_out("2**3**2"), 512, 1e-12);
    assert_within(worked_out("-2**2"), -4, 1e-12);
    assert_within(worked_out("2*-3"), -6, 1e-12);
    assert_within(worked_out("--3 - +1"), 2, 1e-12);
    assert_within(worked_out("10 - 4 - 3"), 3, 1e-12);
    assert_within(worked_out("8/4/2"), 1, 1e-12);
    assert_within(worked_out("2**-1"), 0.5, 1e-12);
    assert_within(worked_out("230*sqrt(2)"), 325.269119345812, 1e-9);
    assert_within(worked_out("max(min(3,4), 2k/1k)"), 3, 1e-12);
    assert_within(worked_out("log10(1k)+ln(exp(2))"), 5, 1e-9);
    assert_within(worked_out("{2*{3+4}}"), 14, 1e-12);
    assert_within(worked_out("PI"), 3.14159265358979, 1e-9);
}
END_TEST

static void assert_fails(const char *text, const char *what, size_t at)
{
    double value = -7;
    struct spice_failure failure;

    ck_assert_msg(!spice_evaluate(text, strlen(text), NULL, &value, &failure), "%s gives %g", text,
                  value);
    ck_assert_msg(strcmp(failure.what, what) == 0, "%s: %s", text, failure.what);
    ck_assert_uint_eq((size_t)(failure.at - text), at);
    ck_assert(value == -7);
}

START_TEST(expressions_that_fail)
{
    assert_fails("", "ends where a value is due", 0);
    assert_fails("1+", "ends where a value is due", 2);
    assert_fails("(1", "has a parenthesis that is never closed", 2);
    assert_fails("1)", "closes nothing", 1);
    assert_fails("(1,2)", "closes the wrong number of values", 4);
    assert_fails("min(1)", "closes the wrong number of values", 5);
    assert_fails("min(1,2,3)", "closes the wrong number of values", 9);
    assert_fails("1,2", "cannot be read here", 1);
    assert_fails("1 2", "cannot be read here", 2);
    assert_fails("1+x2", "has no value", 2);
    assert_fails("V(a)*2", "is not a known function", 0);
    assert_fails("1/0", "has no finite value", 0);
    assert_fails("ln(0)", "has no finite value", 0);
    assert_fails("a?1:2", "has no value", 0);
    assert_fails("1?2:3", "cannot be read here", 1);
    assert_fails("4k7+1", "is not a number", 0);
    assert_fails("1*/2", "cannot be read here", 2);
    assert_fails("sqrt()", "cannot be read here", 5);
}
END_TEST

START_TEST(parameters)
{
    case_read_text(&c, "t\n.param a=2 b={a*3} c = 'a + b' d=a*2\n+ e = 1 + 2, f=7\nR1 x 0 {b}\n"
                       "R2 x 0 '2*c'\nR3 x 0 d\nR4 x 0 {e}\nR5 x 0 {f}\nV1 x 0 SIN({a} {b*10} 50)\n"
                       "R6 x 0 {late}\n.param late={later+1}\n.param later=4\nR7 x 0 {2k}\n"
                       "C1 x 0 {1u/3}\nR8 x 0 5{a}\n");
    assert_silent(&c);
    assert_value(&c, "R1", "6");
    assert_value(&c, "R2", "16");
    assert_value(&c, "R3", "4");
    assert_value(&c, "R4", "3");
    assert_value(&c, "R5", "7");
    assert_value(&c, "V1", "SIN(2 60 50)");
    assert_value(&c, "R6", "5");
    assert_value(&c, "R7", "2000");
    assert_value(&c, "C1", "3.33333333e-07");
}
END_TEST

START_TEST(parameters_without_value)
{
    const struct diag *diag;

    case_read_text(&c, "t\n.param a={b} b={a} s=\"text\"\nR1 x 0 {a}\nR2 x 0 {s*2}\n"
                       "R3 x 0 {int(X1)*1R}\nR4 x 0 {none}\nR5 x 0 {1+\nR6 x 0 5\n");
    assert_value(&c, "R1", "{a}");
    case_diag(&c, LEVEL_WARNING, 3, 1, "R1: the value is not known: a has no value");
    case_diag(&c, LEVEL_WARNING, 4, 1, "R2: the value is not known: s has no value");
    assert_value(&c, "R3", "{int(X1)*1R}");
    case_diag(&c, LEVEL_WARNING, 5, 1, "X1 has no value");
    diag = case_diag(&c, LEVEL_WARNING, 6, 1, "none has no value");
    ck_assert_str_eq(diag->excerpt, "{none}");
    case_diag(&c, LEVEL_ERROR, 7, 8, "{ is never closed");
    assert_value(&c, "R6", "5");
}
END_TEST

START_TEST(parameters_of_instances)
{
    case_read_text(&c, "t\n.param g=10 r=99\nX1 a S\nX2 a S r=3\nX3 a S PARAMS: r = {g*2}\n"
                       "X4 a S PARAMS:r=4\nX5 a S params : r=6\n.subckt S p params: r=1 q={r*2}\n"
                       ".param l={r+g}\nR1 p 0 {r}\nR2 p 0 {q}\nR3 p 0 {l}\nX1 p T r={r*100}\n"
                       ".ends\n.subckt T p PARAMS: r=5\nR4 p 0 {r}\n.ends\nR9 a 0 {r}\n");
    assert_silent(&c);
    assert_value(&c, "X1.R1", "1");
    assert_value(&c, "X1.R2", "2");
    assert_value(&c, "X1.R3", "11");
    assert_value(&c, "X1.X1.R4", "100");
    assert_value(&c, "X2.R1", "3");
    assert_value(&c, "X2.R2", "6");
    assert_value(&c, "X2.X1.R4", "300");
    assert_value(&c, "X3.R1", "20");
    assert_value(&c, "X4.R1", "4");
    assert_value(&c, "X5.R1", "6");
    assert_value(&c, "R9", "99");
}
END_TEST

START_TEST(failures_are_told_once)
{
    case_read_text(&c, "t\nX1 a S\nX2 a S\nX3 a S\n.subckt S p\nR1 p 0 {none}\n.ends\n");
    ck_assert_uint_eq(c.diags.count, 1);
    assert_value(&c, "X3.R1", "{none}");
}
END_TEST

START_TEST(fields_are_worked_out)
{
    case_read_text(&c, "t\n.param i=0.3\nXF1 a b FUSE rating={i*2} place='no number'\n");
    assert_field(&c, "F1", "rating", "0.6");
    assert_field(&c, "F1", "place", "'no number'");
    case_diag(&c, LEVEL_WARNING, 3, 1, "XF1: the value is not known: no has no value");
}
END_TEST

START_TEST(long_chains)
{
    char deck[65536];
    size_t at = 0;

    at += (size_t)sprintf(deck + at, "t\n.param p0=1\n");
    for (int i = 1; i < 1000; i++)
        at += (size_t)sprintf(deck + at, ".param p%d={p%d+1}\n", i, i - 1);
    for (int i = 0; i < 100; i++)
        at += (size_t)sprintf(deck + at, ".param q%d={q%d+1}\n", i, i + 1);
    sprintf(deck + at, ".param q100=1\nR1 a 0 {p999}\nR2 a 0 {q99}\nR3 a 0 {q0}\n");
    case_read_text(&c, deck);
    assert_value(&c, "R1", "1000");
    assert_value(&c, "R2", "2");
    assert_value(&c, "R3", "{q0}"); /* the chain is too long: unknown, not wrong */
}
END_TEST

Suite *check_spice_params_suite(void);

Suite *check_spice_params_suite(void)
{
    Suite *suite = suite_create("spice parameters");
    TCase *tests = tcase_create("parameters");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, numbers);
    tcase_add_test(tests, expressions);
    tcase_add_test(tests, expressions_that_fail);
    tcase_add_test(tests, parameters);
    tcase_add_test(tests, parameters_without_value);
    tcase_add_test(tests, parameters_of_instances);
    tcase_add_test(tests, failures_are_told_once);
    tcase_add_test(tests, fields_are_worked_out);
    tcase_add_test(tests, long_chains);
    suite_add_tcase(suite, tests);
    return suite;
}
