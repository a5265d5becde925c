/* EDIF 2 0 0, both views. */
#include "netlist/text_case.h"

static struct text_case c;

static void setup(void)
{
    text_case_start(&c);
}

static void teardown(void)
{
    text_case_end(&c);
}

static void read_text(const char *text)
{
    text_case_read(&c, text, strlen(text));
}

static const char flat[] =
    "(EDIF x (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0)) (status (comment \"a (\"))\r\n"
    "(external L (edifLevel 0) (technology (numberDefinition)) (cell R (cellType GENERIC) (view v\r\n"
    " (viewType NETLIST) (interface (port &1 (direction INOUT)) (port (rename &_43_5 \"+\") (direction INPUT)\r\n"
    "  (designator \"2\")) (designator \"R?\")))))\r\n"
    "(library W (edifLevel 0) (cell T (view v (viewType NETLIST) (interface) (contents\r\n"
    " (Instance R8 (viewref v (cellRef R (libraryRef L))) (property Value (string \"10\r\nk %34%x%34% 5%\"))\r\n"
    "  (property (rename P \"PCB Footprint\") (string \"ax\")) (property N (number (e 47 -1))) (property DNP (boolean (true))))\r\n"
    " (instance &2 (viewRef V (cellRef R (libraryRef l))) (designator \"R2\") (portInstance &1 (designator \"7\")))\r\n"
    " (net(rename N1 \"/a/HT\")(joined(portRef &1(instanceRef r8))(portRef &1(instanceRef &2))))\r\n"
    " (net &_43_5V (joined (portRef &_43_5 (instanceRef R8)) (portRef &_43_5 (instanceRef &2))))))))\r\n"
    "(design (rename d \"My amp\") (cellRef T (libraryRef W))))\r\n";

START_TEST(netlist_view)
{
    const struct part *part;

    read_text(flat);
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_str_eq(c.circuit->title, "My amp");
    part = circuit_find_part(c.circuit, "R8");
    ck_assert_str_eq(part->value, "10k \"x\" 5%");
    ck_assert_str_eq(part->footprint, "ax");
    ck_assert_str_eq(part->symbol, "R");
    ck_assert_str_eq(part->library, "L");
    ck_assert_str_eq(part->prefix, "R");
    ck_assert_str_eq(part_field(part, "n"), "4.7");
    ck_assert(part->not_fitted);
    ck_assert_uint_eq(part->place.line, 6);
    ck_assert_str_eq(text_case_net(&c, "R8", "1"), "/a/HT");
    ck_assert_str_eq(text_case_net(&c, "R2", "7"), "/a/HT");
    ck_assert_str_eq(text_case_net(&c, "R8", "2"), "+5V");
    ck_assert_str_eq(part_pin(part, "2")->name, "+");
    ck_assert_str_eq(part_pin(part, "2")->type, "input");
}
END_TEST

START_TEST(schematic_view)
{
    read_text("(edif x (edifVersion 2 0 0) (library L (edifLevel 0)"
              "(cell R (view v (viewType SCHEMATIC) (interface (port a) (port b))))"
              "(cell title (view v (viewType SCHEMATIC) (interface)))"
              "(cell GND (view v (viewType SCHEMATIC) (interface (port g))))"
              "(cell T (view v (viewType SCHEMATIC) (interface) (contents\n"
              "(page P1 (instance I1 (viewRef v (cellRef R)) (designator (stringDisplay \"R1\" (display x)))"
              " (portInstance a (designator \"1\"))) (instance I2 (viewRef v (cellRef GND)))"
              " (instance I9 (viewRef v (cellRef title))) (offPageConnector O)"
              " (net A (joined (portRef a (instanceRef I1)) (portRef O)))"
              " (net N01 (joined (portRef b (instanceRef I1)) (portRef g (instanceRef I2)))))\n"
              "(page P2 (instance I1 (viewRef v (cellRef R)) (designator \"R2\")) (offPageConnector O)"
              " (net A (joined (portRef a (instanceRef I1)) (portRef O)))\n"
              " (net N02 (joined (portRef b (instanceRef I1)) (globalPortRef GND)))))))) (design d (cellRef T)))");
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_uint_eq(c.circuit->part_count, 2);
    ck_assert_str_eq(text_case_net(&c, "R1", "1"), "A");
    ck_assert_str_eq(text_case_net(&c, "R2", "a"), "A");
    ck_assert_str_eq(text_case_net(&c, "R1", "b"), "GND");
    ck_assert_str_eq(text_case_net(&c, "R2", "b"), "GND");
}
END_TEST

/* Two pages' nets of one name without a mark that they go on: one net, and a word about it. */
START_TEST(pages_without_marks)
{
    read_text("(edif x (library L (cell R (view v (viewType SCHEMATIC) (interface (port a))))"
              "(cell T (view v (viewType SCHEMATIC) (interface) (contents"
              "(page P1 (instance I1 (viewRef v (cellRef R))) (net A (joined (portRef a (instanceRef I1)))))"
              "(page P2 (instance I2 (viewRef v (cellRef R))) (net A (joined (portRef a (instanceRef I2)))))"
              ")))) (design d (cellRef T)))");
    text_case_told(&c, LEVEL_WARNING, "two nets are called A");
    ck_assert_str_eq(text_case_net(&c, "I1", "a"), "A");
    ck_assert_str_eq(text_case_net(&c, "I2", "a"), "A");
}
END_TEST

START_TEST(hierarchy_and_arrays)
{
    read_text("(edif x (library L (cell R (view v (viewType NETLIST) (interface (port a) (port b))))"
              "(cell S (view v (viewType NETLIST) (interface (port (array (rename D \"D[0:1]\") 2)) (port E)) (contents"
              " (instance R1 (viewRef v (cellRef R)))"
              " (net IN (joined (portRef (member D 0)) (portRef a (instanceRef R1))))"
              " (net OUT (joined (portRef (member D 1)) (portRef b (instanceRef R1)))))))"
              "(cell T (view v (viewType NETLIST) (interface) (contents"
              " (instance X (viewRef v (cellRef S))) (instance Y (viewRef v (cellRef S)))"
              " (net (array BUS 2) (joined (portRef D (instanceRef X))))"
              " (net HT (joined (portRef (member D 0) (instanceRef Y))))"
              " (net N1 (joined (portRef (member D 7) (instanceRef Y))))"
              " (net (array B3 3) (joined (portRef D (instanceRef Y))))))))(design d (cellRef T)))");
    ck_assert_str_eq(text_case_net(&c, "X/R1", "a"), "BUS[0]");
    ck_assert_str_eq(text_case_net(&c, "X/R1", "b"), "BUS[1]");
    ck_assert_str_eq(text_case_net(&c, "Y/R1", "a"), "HT");
    ck_assert_str_eq(text_case_net(&c, "Y/R1", "b"), "Y/OUT");
    text_case_told(&c, LEVEL_ERROR, "member 7 of an array of 2");
    text_case_told(&c, LEVEL_ERROR, "net B3 has 3 members and port D has 2");
    ck_assert_uint_eq(c.diags.count, 2);
}
END_TEST

START_TEST(cycles_are_refused)
{
    const struct diag *diag;

    read_text("(edif x (library L (cell A (view v (viewType NETLIST) (interface (port p)) (contents\n"
              "  (instance B1 (viewRef v (cellRef B))) (net N (joined (portRef p (instanceRef B1)))))))\n"
              "(cell B (view v (viewType NETLIST) (interface (port p)) (contents\n"
              "  (instance A1 (viewRef v (cellRef A)))))))(design d (cellRef A)))");
    diag = text_case_told(&c, LEVEL_ERROR, "the instance A1 is kept as one part: its cell A contains itself");
    ck_assert_uint_eq(diag->place.line, 4);
    ck_assert_uint_eq(diag->place.column, 3);
}
END_TEST

START_TEST(contradictions)
{
    read_text("(edif x (library L (cell R (view v (viewType NETLIST) (interface (port a) (port b))))"
              "(cell T (view v (viewType NETLIST) (interface) (contents\n"
              "(instance R1 (viewRef v (cellRef R))) (instance R1 (viewRef v (cellRef R)))\n"
              "(instance Q (viewRef v (cellRef NONE)))\n"
              "(net N (joined (portRef a (instanceRef R1))))\n"
              "(net M (joined (portRef a (instanceRef R1)) (portRef b (instanceRef R1)) (portRef z (instanceRef GONE))))\n"
              "(net (rename K \"N\") (joined (portRef p (instanceRef Q))))))))(design d (cellRef T)))");
    text_case_told(&c, LEVEL_ERROR, "the instance R1 is there a second time");
    text_case_told(&c, LEVEL_ERROR, "the part R1 is listed a second time");
    text_case_told(&c, LEVEL_WARNING, "which is not in the file");
    text_case_told(&c, LEVEL_ERROR, "there is no instance GONE");
    text_case_told(&c, LEVEL_WARNING, "two nets are called N");
    ck_assert_uint_eq(text_case_told(&c, LEVEL_ERROR, "pin a of R1 is in net N")->place.line, 5);
    ck_assert_str_eq(text_case_net(&c, "Q", "p"), "N (K)");
}
END_TEST

/* Sections of one part share its designator. */
START_TEST(sections)
{
    read_text("(edif x (library L (cell A (view v (viewType NETLIST) (interface (port a (designator \"1\")))))"
              "(cell B (view v (viewType NETLIST) (interface (port a (designator \"6\")))))"
              "(cell T (view v (viewType NETLIST) (interface) (contents"
              "(instance I1 (viewRef v (cellRef A)) (designator \"V1\")) (instance I2 (viewRef v (cellRef B)) (designator \"V1\"))"
              "(net N (joined (portRef a (instanceRef I1))))"
              "(net NC (joined (portRef a (instanceRef I2))))))))(design d (cellRef T)))");
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_uint_eq(c.circuit->part_count, 1);
    ck_assert_str_eq(text_case_net(&c, "V1", "1"), "N");
    ck_assert_str_eq(text_case_net(&c, "V1", "6"), "-");
}
END_TEST

/* A piece of a net, as drawn, is of that net, whatever is inside it. */
START_TEST(pieces_of_a_net)
{
    read_text("(edif x (library L (cell R (view v (viewType SCHEMATIC) (interface (port a) (port b))))"
              "(cell T (view v (viewType SCHEMATIC) (interface) (contents (page P"
              "(instance R1 (viewRef v (cellRef R))) (instance R2 (viewRef v (cellRef R)))"
              "(net A (joined (portRef a (instanceRef R1)))"
              " (net A1 (joined (portRef a (instanceRef R2))) (net A2 (figure wire))))"
              "(net (net (net B (joined (portRef b (instanceRef R1)))))))))))(design d (cellRef T)))");
    text_case_told(&c, LEVEL_ERROR, "a net without a name");
    ck_assert_uint_eq(c.diags.count, 1);
    ck_assert_str_eq(text_case_net(&c, "R1", "a"), "A");
    ck_assert_str_eq(text_case_net(&c, "R2", "a"), "A");
    ck_assert_ptr_null(part_pin(circuit_find_part(c.circuit, "R1"), "b"));
}
END_TEST

START_TEST(cut_anywhere)
{
    text_case_cuts(flat, 0);
}
END_TEST

START_TEST(hostile)
{
    struct text text = {0};

    text_add(&text, "(edif x (library L (cell C (view v (viewType NETLIST) (contents (net A (joined ");
    text_add(&text, text_case_repeat(&c, "(portRef ", 100000));
    read_text(text_bytes(&text));
    text_case_told(&c, LEVEL_ERROR, "lists inside lists are too deep");
    circuit_free(c.circuit);
    text_free(&text);
    read_text("(edif x (edifVersion 4 0 0) (library L))");
    text_case_told(&c, LEVEL_ERROR, "EDIF of version 4 is not read");
    circuit_free(c.circuit);
    read_text("(edif x (library L (cell C (view v (interface (port (array D 99999999999999999999999)))"
              "(contents (instance I (viewRef v (cellRef C))) (net A (joined (portRef (member D 18446744073709551616))))))))");
    text_case_told(&c, LEVEL_ERROR, "an array that is too large");
    text_case_told(&c, LEVEL_ERROR, "a member of an array that cannot be");
}
END_TEST

/* Ten instances in each of nine levels: a thousand million parts if nobody stopped it. */
START_TEST(grows_too_large)
{
    struct text text = {0};

    text_add(&text, "(edif x (library L (cell C0 (view v (viewType NETLIST) (interface (port p))))");
    for (int level = 1; level <= 9; level++) {
        text_print(&text, "(cell C%d (view v (viewType NETLIST) (interface (port p)) (contents", level);
        for (int i = 0; i < 10; i++)
            text_print(&text, "(instance I%d (viewRef v (cellRef C%d)))", i, level - 1);
        text_add(&text, "(net N (joined (portRef p) (portRef p (instanceRef I1)))))))");
    }
    text_add(&text, ")(design d (cellRef C9)))");
    read_text(text_bytes(&text));
    ck_assert_uint_gt(text_case_errors(&c), 0);
    text_free(&text);
}
END_TEST

/* Cell "pA" of library 1 and port "A" of view 1c (28) are two things; and port Q is found as "q". */
START_TEST(names_of_owners_stay_apart)
{
    struct text text = {0};

    text_add(&text, "(edif x (library L ");
    for (int i = 1; i <= 28; i++)
        text_print(&text, "(cell C%d (view v (viewType NETLIST) (interface (port A))))", i);
    text_add(&text, "(cell pA (view v (viewType NETLIST) (interface (port Q))))"
                    "(cell top (view v (viewType NETLIST) (contents (instance I (viewRef v (cellRef pA)))"
                    "(instance K (viewRef V (cellRef c28))) (net N (joined (portRef q (instanceRef I))"
                    "(portRef A (instanceRef K)))))))) (design d (cellRef top)))");
    read_text(text_bytes(&text));
    ck_assert_uint_eq(text_case_errors(&c), 0);
    ck_assert_uint_eq(c.circuit->net_count, 1);
    ck_assert_uint_eq(c.circuit->nets[0]->pin_count, 2);
    ck_assert_str_eq(c.circuit->nets[0]->pins[0]->number, "Q");
    text_free(&text);
}
END_TEST

Suite *check_edif_suite(void);

Suite *check_edif_suite(void)
{
    Suite *suite = suite_create("edif");
    TCase *tests = tcase_create("views");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, netlist_view);
    tcase_add_test(tests, schematic_view);
    tcase_add_test(tests, pages_without_marks);
    tcase_add_test(tests, hierarchy_and_arrays);
    tcase_add_test(tests, cycles_are_refused);
    tcase_add_test(tests, contradictions);
    tcase_add_test(tests, sections);
    tcase_add_test(tests, pieces_of_a_net);
    tcase_add_test(tests, cut_anywhere);
    tcase_add_test(tests, hostile);
    tcase_add_test(tests, grows_too_large);
    tcase_add_test(tests, names_of_owners_stay_apart);
    suite_add_tcase(suite, tests);
    return suite;
}
