#include "check_prearc.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

static struct arena *arena;
static struct diags diags;
static struct read_options options;
static struct circuit *circuit;

static void setup(void)
{
    arena = arena_new();
    diags = diags_start(arena);
    options = (struct read_options){.data_dir = arena_copy(arena, source_path("rules"))};
    circuit = NULL;
}

static void teardown(void)
{
    circuit_free(circuit);
    arena_free(arena);
}

static void read_bytes(const char *bytes, size_t length)
{
    struct read_input input = {arena, &diags, source_from_bytes(arena, "test.xml", bytes, length),
                               &options};

    circuit = xml_reader.read(&input);
}

static void read_text(const char *text)
{
    read_bytes(text, strlen(text));
}

static void read_fixture(const char *name)
{
    const char *path = arena_print(arena, "tests/netlist/xml/%s", name);
    struct read_input input = {arena, &diags, source_read(arena, &diags, source_path(path)),
                               &options};

    ck_assert_ptr_nonnull(input.source);
    circuit = xml_reader.read(&input);
    ck_assert_ptr_nonnull(circuit);
}

/* An <export> whose components and nets are the texts given. */
static void read_export(const char *components, const char *nets)
{
    read_text(arena_print(arena,
                          "<export><components>%s</components>\n<nets>%s</nets></export>",
                          components, nets));
}

static const struct part *part(const char *ref)
{
    const struct part *found = circuit_find_part(circuit, ref);

    ck_assert_msg(found != NULL, "no part %s", ref);
    return found;
}

static const struct pin *pin(const char *ref, const char *number)
{
    const struct pin *found = part_pin(part(ref), number);

    ck_assert_msg(found != NULL, "no pin %s of %s", number, ref);
    return found;
}

static const char *net(const char *ref, const char *number)
{
    const struct pin *found = pin(ref, number);

    return found->net != NULL ? found->net->name : "(none)";
}

/* The first input diagnostic whose message holds TEXT. */
static const struct diag *told(enum level level, const char *text)
{
    for (size_t i = 0; i < diags.count; i++)
        if (diags.items[i].level == level && strstr(diags.items[i].message, text) != NULL)
            return &diags.items[i];
    ck_abort_msg("no %s saying '%s' among %zu (first: %s)", level_name(level), text, diags.count,
                 diags.count > 0 ? diags.items[0].message : "-");
    return NULL;
}

static void assert_quiet(void)
{
    ck_assert_msg(diags.count == 0, "%s", diags.count > 0 ? diags.items[0].message : "");
}

START_TEST(old_export_parts)
{
    read_fixture("export-old.xml");
    assert_quiet();
    ck_assert_str_eq(circuit->format, "xml export");
    ck_assert_str_eq(circuit->title, "Larch 4 W");
    ck_assert_uint_eq(circuit->part_count, 7);
    ck_assert_ptr_null(circuit_find_part(circuit, "#FLG01"));
    ck_assert_str_eq(part("F1")->value, "T500mA");
    ck_assert_str_eq(part("F1")->symbol, "FUSE");
    ck_assert_str_eq(part("F1")->library, "device");
    ck_assert_str_eq(part("F1")->footprint, "Fuse_Holder_20mm");
    ck_assert_str_eq(part("F1")->sheet, "/psu/");
    ck_assert_str_eq(part_field(part("F1"), "rating"), "T500mAL250V");
    ck_assert_str_eq(part_field(part("F1"), "place"), "inlet drawer");
    ck_assert_ptr_null(part("T1")->value);
    ck_assert_str_eq(part("T1")->description, "Mains transformer, one secondary");
    ck_assert_int_eq(part("F1")->letter, 0);
    ck_assert_int_eq(part("F1")->dialect, QUANTITY_SCHEMATIC);
    ck_assert(!part("F1")->not_fitted);
}
END_TEST

START_TEST(old_export_joins)
{
    read_fixture("export-old.xml");
    ck_assert_str_eq(part("T1")->prefix, "T");
    ck_assert_str_eq(part("BR1")->prefix, "D");
    ck_assert_str_eq(part("V2")->prefix, "V"); /* by alias */
    ck_assert_str_eq(pin("V2", "1")->name, "A");
    ck_assert_str_eq(pin("V2", "3")->name, "K");
    ck_assert_str_eq(pin("V2", "3")->type, "bidirectional");
    ck_assert_str_eq(pin("V2", "9")->type, "unspecified");
    ck_assert_str_eq(part("V1")->library, "larch-amp");
    ck_assert_str_eq(part("V1")->symbol, "12AX7");
    ck_assert_ptr_null(part("V1")->prefix); /* its symbol is not in the file */
    ck_assert_ptr_null(pin("V1", "1")->name);
}
END_TEST

START_TEST(old_export_sentinel_pin_names)
{
    read_fixture("export-old.xml");
    ck_assert_ptr_null(pin("F1", "1")->name);
    ck_assert_str_eq(pin("BR1", "1")->name, "+");
    ck_assert_str_eq(pin("BR1", "3")->name, "~");
    ck_assert_str_eq(pin("BR1", "4")->type, "open_collector");
    ck_assert_str_eq(pin("T1", "4")->name, "~");
}
END_TEST

START_TEST(old_export_nets)
{
    const struct net *ht;

    read_fixture("export-old.xml");
    ck_assert_uint_eq(circuit->net_count, 10);
    ck_assert_str_eq(net("F1", "2"), "/psu/LIVE");
    ck_assert_str_eq(net("T1", "1"), "/psu/LIVE");
    ck_assert_str_eq(net("F1", "1"), "Net-(F1-Pad1)");
    ht = circuit_find_net(circuit, "/psu/HT");
    ck_assert_str_eq(ht->leaf, "HT");
    ck_assert_uint_eq(ht->pin_count, 5); /* V2 pin 1 is written twice */
    ck_assert_uint_eq(circuit_find_net(circuit, "GND")->pin_count, 4);
}
END_TEST

START_TEST(places)
{
    read_fixture("export-old.xml");
    ck_assert_uint_eq(part("F1")->place.line, 11);
    ck_assert_uint_eq(part("F1")->place.column, 5);
    ck_assert_uint_eq(circuit_find_net(circuit, "NEUTRAL")->place.line, 79);
    ck_assert_str_eq(strrchr(part("F1")->place.source->name, '/'), "/export-old.xml");
}
END_TEST

START_TEST(place_of_a_tag_over_several_lines)
{
    read_export("<comp ref='R1'/>\n  <!-- \xC3\xBC --> <comp\n   ref='R2'\n  />",
                "<net name='A'><node ref='R2' pin='1'/></net>");
    ck_assert_uint_eq(part("R1")->place.line, 1);
    ck_assert_uint_eq(part("R1")->place.column, 21);
    ck_assert_uint_eq(part("R2")->place.line, 2);
    ck_assert_uint_eq(part("R2")->place.column, 14);
}
END_TEST

START_TEST(new_export_parts)
{
    read_fixture("export-new.xml");
    ck_assert_uint_eq(circuit->part_count, 3);
    ck_assert(part("F2")->not_fitted);
    ck_assert(!part("R1")->not_fitted);
    ck_assert_ptr_null(part("F2")->value);
    ck_assert_str_eq(part("F2")->description, "Fuse, small symbol");
    ck_assert_str_eq(part("R1")->description, "Anode load");
    ck_assert_str_eq(part_field(part("F2"), "rating"), "T315mA");
    ck_assert_str_eq(part_field(part("R1"), "power"), "1W");
    ck_assert_str_eq(part_field(part("R1"), "note"), "carbon film");
    ck_assert_uint_eq(part("R1")->field_count, 3);
    ck_assert_str_eq(part("F2")->prefix, "F");
}
END_TEST

START_TEST(new_export_contradictory_field)
{
    const struct diag *diag;

    read_fixture("export-new.xml");
    ck_assert_str_eq(part_field(part("R1"), "tolerance"), "5%");
    diag = told(LEVEL_WARNING, "field Tolerance of R1 is \"5%\" and \"10%\"");
    ck_assert_uint_eq(diag->place.line, 20);
}
END_TEST

START_TEST(new_export_pins)
{
    read_fixture("export-new.xml");
    ck_assert_str_eq(pin("V1", "7")->name, "A");
    ck_assert_str_eq(pin("V1", "2")->name, "GND_2"); /* the library's own name ends so */
    ck_assert_str_eq(pin("V1", "5")->name, "F");     /* not in the library: "_5" dropped */
    ck_assert_str_eq(pin("V1", "4")->name, "F1");
    ck_assert_ptr_null(pin("R1", "1")->name);
    ck_assert_str_eq(pin("R1", "1")->type, "passive");
    ck_assert_str_eq(pin("V1", "5")->type, "passive");
}
END_TEST

START_TEST(new_export_unconnected)
{
    read_fixture("export-new.xml");
    ck_assert_ptr_null(pin("V1", "6")->net);
    ck_assert_str_eq(pin("V1", "6")->type, "no_connect");
    ck_assert_ptr_null(pin("V1", "5")->net);
    ck_assert_ptr_null(circuit_find_net(circuit, "unconnected-(V1-NC-Pad6)"));
    ck_assert_ptr_null(circuit_find_net(circuit, "SPARE"));
    ck_assert_uint_eq(circuit->net_count, 4);
    ck_assert_str_eq(circuit_find_net(circuit, "/amp/out/ANODE")->leaf, "ANODE");
}
END_TEST

/* A mark for a lone pin where the net joins two parts: the connection is safe to believe. */
START_TEST(mark_contradicting_a_connection)
{
    read_fixture("export-new.xml");
    ck_assert_str_eq(net("V1", "4"), "SUPPLY");
    ck_assert_str_eq(net("F2", "1"), "SUPPLY");
    told(LEVEL_WARNING, "pin 4 of V1 is marked as not connected, but net SUPPLY");
}
END_TEST

START_TEST(net_centric)
{
    read_fixture("netlist.xml");
    assert_quiet();
    ck_assert_str_eq(circuit->format, "xml netlist");
    ck_assert_uint_eq(circuit->part_count, 3);
    ck_assert_uint_eq(circuit->net_count, 4);
    ck_assert_str_eq(part("R8")->value, "220\xCE\xA9 Resistor");
    ck_assert_str_eq(net("R8", "connector0"), "R8.connector0");
    ck_assert_str_eq(net("D2", "connector1"), "R8.connector0");
    ck_assert_str_eq(pin("D2", "connector1")->name, "anode");
    ck_assert_str_eq(net("R8", "connector1"), "GND");
    ck_assert_str_eq(net("D2", "connector0"), "D2.connector0");
    ck_assert_str_eq(net("U1", "connector6"), "GND (U1.connector6)"); /* not the other GND */
}
END_TEST

START_TEST(pin_in_two_nets)
{
    const struct diag *diag;

    read_export("<comp ref='R1'/>", "<net name='A'><node ref='R1' pin='1'/></net>\n"
                                    "<net name='B'><node ref='R1' pin='1'/></net>");
    diag = told(LEVEL_ERROR, "pin 1 of R1 is in net A and in net B");
    ck_assert_uint_eq(diag->place.line, 3);
    ck_assert_uint_eq(diag->place.column, 15);
    ck_assert_str_eq(diag->excerpt, "<node ref=\"R1\" pin=\"1\">");
    ck_assert_str_eq(net("R1", "1"), "A");
    ck_assert_uint_eq(part("R1")->pin_count, 1);
}
END_TEST

START_TEST(part_listed_twice)
{
    read_export("<comp ref='R1'><value>1k</value></comp>\n<comp ref='R1'><value>2k</value></comp>",
                "<net name='A'><node ref='R1' pin='1'/></net>");
    ck_assert_uint_eq(told(LEVEL_ERROR, "R1 is listed a second time")->place.line, 2);
    ck_assert_str_eq(part("R1")->value, "1k");
}
END_TEST

START_TEST(part_not_listed)
{
    read_export("", "<net name='A'><node ref='R9' pin='1'/><node ref='R9' pin='2'/></net>");
    told(LEVEL_WARNING, "R9 is connected but not listed");
    ck_assert_uint_eq(diags.count, 1);
    ck_assert_uint_eq(part("R9")->pin_count, 2);
}
END_TEST

START_TEST(two_nets_of_one_name)
{
    read_export("<comp ref='R1'/>", "<net name='A'><node ref='R1' pin='1'/></net>"
                                    "<net name='A'><node ref='R1' pin='2'/></net>");
    told(LEVEL_WARNING, "two nets are called A");
    ck_assert_uint_eq(circuit->net_count, 1);
}
END_TEST

START_TEST(net_without_a_name)
{
    read_export("<comp ref='R1'/>", "<net name=''><node ref='R1' pin='1'/></net>"
                                    "<net><node ref='R1' pin='2'/></net>");
    ck_assert_str_eq(net("R1", "1"), "R1.1");
    ck_assert_str_eq(net("R1", "2"), "R1.2");
}
END_TEST

START_TEST(connection_without_a_pin)
{
    read_export("<comp ref='R1'/>", "<net name='A'><node ref='R1'/><node pin='2'/></net>");
    told(LEVEL_ERROR, "a connection without a pin number");
    told(LEVEL_ERROR, "a connection without a part");
    told(LEVEL_ERROR, "1 part and no connections");
}
END_TEST

START_TEST(no_connections)
{
    read_export("<comp ref='R1'/><comp ref='R2'/>", "");
    told(LEVEL_ERROR, "the file lists 2 parts and no connections");
}
END_TEST

START_TEST(unknown_root)
{
    const struct diag *diag;

    read_text("<?xml version='1.0'?>\n<sonata key='D'/>");
    ck_assert_ptr_null(circuit);
    diag = told(LEVEL_ERROR, "root element <sonata>");
    ck_assert_uint_eq(diag->place.line, 2);
    ck_assert_ptr_nonnull(strstr(diag->expected, "export, ipc-2581, netlist"));
    ck_assert_ptr_nonnull(strstr(diag->expected, "write a dialect file"));
}
END_TEST

static int detected(const char *bytes, size_t length)
{
    return xml_reader.detect(source_from_bytes(arena, "x", bytes, length));
}

START_TEST(detection)
{
    ck_assert_int_eq(detected("<a/>", 4), 2);
    ck_assert_int_eq(detected("\r\n\t <a/>", 8), 2);
    ck_assert_int_eq(detected("\xEF\xBB\xBF<a/>", 7), 2);
    ck_assert_int_eq(detected("\xEF\xBB\xBF<a>\xB5</a>", 11), 2);
    ck_assert_int_eq(detected("<\0a\0b\0/\0>\0", 10), 2);
    ck_assert_int_eq(detected("\xFE\xFF\0<\0a\0/\0>", 10), 2);
    ck_assert_int_eq(detected("\xFF\xFER\0" "1\0", 6), 0);
    ck_assert_int_eq(detected("* deck\n", 7), 0);
    ck_assert_int_eq(detected("(export", 7), 0);
    ck_assert_int_eq(detected("", 0), 0);
}
END_TEST

/* TEXT, which is ASCII, as UTF-16. */
static char *utf16(const char *text, bool big, size_t *length)
{
    char *bytes = arena_alloc(arena, 2 * strlen(text) + 1);

    for (size_t i = 0; text[i] != '\0'; i++)
        bytes[2 * i + (big ? 1 : 0)] = text[i];
    *length = 2 * strlen(text);
    return bytes;
}

static const char small[] = "<?xml version='1.0' encoding='UTF-16'?>\n<export><components><comp ref='R1'/>"
                            "</components><nets><net name='A'><node ref='R1' pin='1'/></net>"
                            "</nets></export>";

START_TEST(utf16_without_mark)
{
    size_t length;
    char *bytes = utf16(small, _i == 1, &length);

    read_bytes(bytes, length);
    assert_quiet();
    ck_assert_str_eq(net("R1", "1"), "A");
}
END_TEST

START_TEST(latin1_by_declaration)
{
    read_text("<?xml version='1.0' encoding='ISO-8859-1'?><export><components><comp ref='C1'>"
              "<value>47\xB5" "F</value></comp></components>"
              "<nets><net name='A'><node ref='C1' pin='1'/></net></nets></export>");
    assert_quiet();
    ck_assert_str_eq(part("C1")->value, "47\xC2\xB5" "F");
}
END_TEST

/* Hand-edited files have Latin-1 micro signs and say UTF-8 or nothing. */
START_TEST(latin1_undeclared)
{
    static const char *const heads[] = {"", "\xEF\xBB\xBF", "<?xml version='1.0'?>",
                                        "<?xml version=\"1.0\" encoding=\"utf-8\"?>"};

    read_text(arena_print(arena, "%s<export><components><comp ref='C1'><value>47\xB5" "F</value>"
                          "</comp></components><nets><net name='A'><node ref='C1' pin='1'/></net>"
                          "</nets></export>", heads[_i]));
    told(LEVEL_WARNING, "not valid UTF-8; it is read as ISO-8859-1");
    ck_assert_uint_eq(diags.count, 1);
    ck_assert_str_eq(part("C1")->value, "47\xC2\xB5" "F");
    ck_assert_str_eq(net("C1", "1"), "A");
}
END_TEST

Suite *check_xml_suite(void);

Suite *check_xml_suite(void)
{
    Suite *suite = suite_create("xml");
    TCase *tests = tcase_create("reading");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, old_export_parts);
    tcase_add_test(tests, old_export_joins);
    tcase_add_test(tests, old_export_sentinel_pin_names);
    tcase_add_test(tests, old_export_nets);
    tcase_add_test(tests, places);
    tcase_add_test(tests, place_of_a_tag_over_several_lines);
    tcase_add_test(tests, new_export_parts);
    tcase_add_test(tests, new_export_contradictory_field);
    tcase_add_test(tests, new_export_pins);
    tcase_add_test(tests, new_export_unconnected);
    tcase_add_test(tests, mark_contradicting_a_connection);
    tcase_add_test(tests, net_centric);
    tcase_add_test(tests, pin_in_two_nets);
    tcase_add_test(tests, part_listed_twice);
    tcase_add_test(tests, part_not_listed);
    tcase_add_test(tests, two_nets_of_one_name);
    tcase_add_test(tests, net_without_a_name);
    tcase_add_test(tests, connection_without_a_pin);
    tcase_add_test(tests, no_connections);
    tcase_add_test(tests, unknown_root);
    tcase_add_test(tests, detection);
    tcase_add_loop_test(tests, utf16_without_mark, 0, 2);
    tcase_add_test(tests, latin1_by_declaration);
    tcase_add_loop_test(tests, latin1_undeclared, 0, 4);
    suite_add_tcase(suite, tests);
    return suite;
}
