/* Dialect files: what they can say, and what is said about wrong ones. */
#define _POSIX_C_SOURCE 200809L /* mkstemp */
#include "check_prearc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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
static char dialect_path[64];

static void setup(void)
{
    int file;

    strcpy(dialect_path, P_tmpdir "/check_xml_dialect.XXXXXX");
    file = mkstemp(dialect_path);
    ck_assert_int_ge(file, 0);
    close(file);
    arena = arena_new();
    diags = diags_start(arena);
    options = (struct read_options){.data_dir = arena_copy(arena, source_path("rules"))};
    circuit = NULL;
}

static void teardown(void)
{
    circuit_free(circuit);
    arena_free(arena);
    unlink(dialect_path);
}

static void read_source(const struct source *source)
{
    struct read_input input = {arena, &diags, source, &options};

    ck_assert_ptr_nonnull(source);
    circuit = xml_reader.read(&input);
}

static void read_text(const char *text)
{
    read_source(source_from_bytes(arena, "test.xml", text, strlen(text)));
}

/* Reads TEXT with the user's dialect DIALECT. */
static void read_by(const char *dialect, const char *text)
{
    FILE *file = fopen(dialect_path, "w");

    ck_assert_ptr_nonnull(file);
    fputs(dialect, file);
    fclose(file);
    options.dialect_file = dialect_path;
    read_text(text);
}

static const struct diag *told(enum level level, const char *text)
{
    for (size_t i = 0; i < diags.count; i++)
        if (diags.items[i].level == level && strstr(diags.items[i].message, text) != NULL)
            return &diags.items[i];
    ck_abort_msg("no %s saying '%s' among %zu (first: %s)", level_name(level), text, diags.count,
                 diags.count > 0 ? diags.items[0].message : "-");
    return NULL;
}

static const char *net(const char *ref, const char *number)
{
    const struct part *part = circuit_find_part(circuit, ref);
    const struct pin *pin = part != NULL ? part_pin(part, number) : NULL;

    ck_assert_msg(pin != NULL, "no pin %s of %s", number, ref);
    return pin->net != NULL ? pin->net->name : "(none)";
}

START_TEST(ipc_2581)
{
    const struct part *r1, *r2, *v1;

    read_source(source_read(arena, &diags, source_path("tests/netlist/xml/ipc-2581.xml")));
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_str_eq(circuit->format, "xml ipc-2581");
    ck_assert_uint_eq(circuit->part_count, 3);
    r1 = circuit_find_part(circuit, "R1");
    r2 = circuit_find_part(circuit, "R2");
    v1 = circuit_find_part(circuit, "V1");
    ck_assert_str_eq(r1->value, "10k"); /* from the bill of materials */
    ck_assert_str_eq(r1->symbol, "R");  /* from the board, which comes first */
    ck_assert_str_eq(r1->description, "Resistor 10k");
    ck_assert_str_eq(part_field(r1, "note"), "film");
    ck_assert_str_eq(part_field(r1, "power"), "0.25W");
    ck_assert(!r1->not_fitted);
    ck_assert(r2->not_fitted);
    ck_assert_str_eq(v1->value, "ECC82");
    ck_assert_str_eq(part_pin(v1, "1")->name, "A");
    ck_assert_str_eq(net("V1", "1"), "ANODE");
    ck_assert_str_eq(net("R1", "2"), "ANODE");
    ck_assert_str_eq(net("R2", "1"), "(none)"); /* "No Net" joins nothing, shared or not */
    ck_assert_str_eq(net("V1", "2"), "(none)");
    ck_assert_uint_eq(circuit->net_count, 2);
    ck_assert_uint_eq(r1->pin_count, 2); /* pin 1 is written on two layers */
}
END_TEST

/* The three places where IPC-2581 says what is joined to what, by revision; a prefix or none for the namespace. */
static const struct {
    const char *revision, *prefix, *nets;
} places[] = {
    {"A", "", "<LogicalNet name='HT'><PinRef componentRef='F1' pin='2'/><PinRef componentRef='C1' pin='1'/></LogicalNet>"
              "<LogicalNet name='No Net'><PinRef componentRef='F1' pin='1'/><PinRef componentRef='C1' pin='2'/></LogicalNet>"},
    {"B", "", "<PadStack net='HT'><LayerPad layerRef='TOP'><PinRef componentRef='F1' pin='2'/></LayerPad>"
              "<LayerPad layerRef='BOTTOM'><PinRef componentRef='F1' pin='2'/></LayerPad></PadStack>"
              "<PadStack net='HT'><LayerPad layerRef='TOP'><PinRef componentRef='C1' pin='1'/></LayerPad></PadStack>"
              "<PadStack net='Unused_1f'><LayerPad layerRef='TOP'><PinRef componentRef='F1' pin='1'/></LayerPad></PadStack>"
              "<PadStack net='No Net'><LayerPad layerRef='TOP'><PinRef componentRef='C1' pin='2'/></LayerPad></PadStack>"},
    {"B1", "", "<LayerFeature layerRef='TOP'><Set net='HT'><Pad padstackDefRef='P'><PinRef componentRef='F1' pin='2'/></Pad>"
               "</Set><Set net='HT'><Pad padstackDefRef='P'><PinRef componentRef='C1' pin='1'/></Pad></Set>"
               "<Set net='No Net'><Pad><PinRef componentRef='F1' pin='1'/></Pad></Set>"
               "<Set net='No Net'><Pad><PinRef componentRef='C1' pin='2'/></Pad></Set></LayerFeature>"},
    {"C", "ipc", "<ipc:LayerFeature layerRef='TOP'><ipc:Set net='HT'><ipc:Pad><ipc:PinRef componentRef='F1' pin='2'/></ipc:Pad>"
                 "<ipc:Pad><ipc:PinRef componentRef='C1' pin='1'/></ipc:Pad></ipc:Set>"
                 "<ipc:Set net='Unused_0'><ipc:Pad><ipc:PinRef componentRef='F1' pin='1'/></ipc:Pad></ipc:Set>"
                 "<ipc:Set net='Unused_1'><ipc:Pad><ipc:PinRef componentRef='C1' pin='2'/></ipc:Pad></ipc:Set>"
                 "</ipc:LayerFeature><ipc:PhyNetGroup><ipc:PhyNet name='HT'/></ipc:PhyNetGroup>"},
};

START_TEST(ipc_2581_places)
{
    const char *p = places[_i].prefix, *c = *p != '\0' ? ":" : "";
    struct text text = {0};

    text_print(&text, "<?xml version = \"1.0\" encoding = \"UTF-8\"?>\n<%s%sIPC-2581 revision='%s' xmlns%s%s="
               "'http://webstds.ipc.org/2581'><%s%sEcad><%s%sCadData><%s%sStep name='board'><%s%sPackage name='AXIAL'>"
               "<%s%sPin number='1' name='+'/><%s%sPin number='2' name='-'/></%s%sPackage>",
               p, c, places[_i].revision, c, p, p, c, p, c, p, c, p, c, p, c, p, c, p, c);
    for (int i = 0; i < 2; i++)
        text_print(&text, "<%s%sComponent refDes='%s' packageRef='AXIAL' part='%s'/>", p, c, i == 0 ? "F1" : "C1",
                   i == 0 ? "FUSE-5X20" : "CAPACITOR-5P");
    text_print(&text, "%s</%s%sStep></%s%sCadData></%s%sEcad></%s%sIPC-2581>", places[_i].nets, p, c, p, c, p, c, p, c);
    read_text(text_bytes(&text));
    text_free(&text);
    ck_assert_msg(diags.count == 0, "%s", diags.count > 0 ? diags.items[0].message : "");
    ck_assert_uint_eq(circuit->part_count, 2);
    ck_assert_uint_eq(circuit->net_count, 1);
    ck_assert_str_eq(net("F1", "2"), "HT");
    ck_assert_str_eq(net("C1", "1"), "HT");
    ck_assert_str_eq(net("F1", "1"), "(none)");
    ck_assert_str_eq(net("C1", "2"), "(none)");
    ck_assert_str_eq(part_pin(circuit_find_part(circuit, "C1"), "1")->name, "+");
    ck_assert_str_eq(circuit_find_part(circuit, "F1")->symbol, "FUSE-5X20");
}
END_TEST

START_TEST(bill_of_materials_alone)
{
    read_text("<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Bom><BomItem><RefDes name='R1'/>"
              "</BomItem></Bom></IPC-2581>");
    told(LEVEL_ERROR, "1 part and no connections");
}
END_TEST

static const char bench[] =
    "<dialect name='bench'>\n"
    "<detect>/bench</detect>\n"
    "<empty text='-'/>\n"
    "<components select='/bench/item'><ref>@name</ref><value>@worth</value><value>note</value>\n"
    "<field select='@*' name='name()' value='.'/></components>\n"
    "<connections select='/bench/item/leg'><net>@to</net><component>../@name</component>\n"
    "<pin>@nr</pin><pin>position()</pin></connections>\n"
    "<unconnected><net equals='nc'/></unconnected>\n"
    "</dialect>";

/* A form where the parts hold their pins, as nobody has built in. */
START_TEST(users_dialect)
{
    read_by(bench, "<bench><item name='R1' worth='-'><note> 4k7 </note><leg nr='a' to='X'/>"
                   "<leg nr='b' to='nc'/></item>"
                   "<item name='R2' worth='1k'><leg nr='a' to='X'/></item></bench>");
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_str_eq(circuit->format, "xml bench");
    ck_assert_str_eq(circuit_find_part(circuit, "R1")->value, "4k7"); /* "-" is no value */
    ck_assert_str_eq(circuit_find_part(circuit, "R2")->value, "1k");
    ck_assert_str_eq(part_field(circuit_find_part(circuit, "R2"), "worth"), "1k");
    ck_assert_str_eq(net("R1", "a"), "X");
    ck_assert_str_eq(net("R1", "b"), "(none)");
    ck_assert_uint_eq(circuit_find_net(circuit, "X")->pin_count, 2);
}
END_TEST

START_TEST(users_dialect_comes_first)
{
    read_by("<dialect name='mine'><detect>/export</detect>"
            "<components select='/export/p'><ref>@r</ref></components>"
            "<connections select='/export/p'><net>@n</net><component>@r</component><pin>1</pin>"
            "</connections></dialect>",
            "<export><components/><nets/><p r='R1' n='A'/></export>");
    ck_assert_str_eq(circuit->format, "xml mine");
    ck_assert_str_eq(net("R1", "1"), "A");
}
END_TEST

START_TEST(users_dialect_for_another_file)
{
    read_by(bench, "<export><components><comp ref='R1'/></components>"
                   "<nets><net name='A'><node ref='R1' pin='1'/></net></nets></export>");
    told(LEVEL_WARNING, "does not know this file");
    ck_assert_str_eq(circuit->format, "xml export");
}
END_TEST

START_TEST(users_dialect_missing)
{
    options.dialect_file = "/nowhere/at/all.xml";
    read_text("<export><components><comp ref='R1'/></components>"
              "<nets><net name='A'><node ref='R1' pin='1'/></net></nets></export>");
    told(LEVEL_ERROR, "cannot read /nowhere/at/all.xml");
    ck_assert_str_eq(circuit->format, "xml export");
}
END_TEST

START_TEST(no_dialects)
{
    options.data_dir = "/nowhere";
    read_text("<export/>");
    told(LEVEL_WARNING, "no dialects in /nowhere/dialects");
    told(LEVEL_ERROR, "root element <export>");
}
END_TEST

/* A drawing in a form of its own: nets in pieces on two sheets, values and pads in the library, taps of units of parts. */
START_TEST(drawing)
{
    const struct part *v1, *v2;

    options.dialect_file = arena_copy(arena, source_path("tests/netlist/xml/drawing-dialect.xml"));
    read_source(source_read(arena, &diags, source_path("tests/netlist/xml/drawing.xml")));
    ck_assert_msg(diags.count == 0, "%s", diags.count > 0 ? diags.items[0].message : "");
    ck_assert_str_eq(circuit->title, "Supply on two sheets (invented)");
    ck_assert_uint_eq(circuit->part_count, 6); /* the mark of a rail is no part */
    v1 = circuit_find_part(circuit, "V1");
    v2 = circuit_find_part(circuit, "V2");
    ck_assert_str_eq(v1->value, "EZ81"); /* of its kind */
    ck_assert_str_eq(v2->value, "EZ80"); /* its own */
    ck_assert_str_eq(v2->symbol, "EZ81");
    ck_assert_str_eq(part_field(v2, "note"), "spare");
    ck_assert_str_eq(v1->prefix, "V");
    ck_assert_str_eq(v1->footprint, "-TURRET");
    ck_assert_str_eq(circuit_find_part(circuit, "R2")->value, "R"); /* NA is no value */
    ck_assert_str_eq(circuit_find_part(circuit, "C1")->prefix, "C"); /* of two kinds of one name its own */
    ck_assert(circuit_find_part(circuit, "C1")->not_fitted);
    ck_assert_str_eq(net("V1", "11"), "HTA"); /* pads by kind, make, unit and end */
    ck_assert_str_eq(net("V1", "12"), "HTB");
    ck_assert_str_eq(net("V1", "13"), "HOT"); /* one end, two pads */
    ck_assert_str_eq(net("V1", "14"), "HOT");
    ck_assert_str_eq(net("V1", "15"), "H1");
    ck_assert_str_eq(net("V2", "3"), "HOT"); /* the same end of another make */
    ck_assert_str_eq(net("F1", "2"), "HT"); /* sheet 1 */
    ck_assert_str_eq(net("R1", "1"), "HT"); /* sheet 2 */
    ck_assert_str_eq(net("C1", "P"), "HT");
    ck_assert_str_eq(net("C1", "N"), "GND");
    ck_assert_str_eq(net("R2", "1"), "GND"); /* two wires of one sheet */
    ck_assert_str_eq(net("R2", "2"), "(none)");
    ck_assert_uint_eq(circuit->net_count, 6);
    ck_assert_str_eq(part_pin(v1, "13")->name, "K");
}
END_TEST

static const struct {
    const char *dialect, *message;
    unsigned line;
} wrong[] = {
    {"<dialect name='x'>\n<detect>/x</detect><table name='t' rows='/r'><key row='@a' component='@b'/><column name='c'>"
     ".</column></table>\n<connections select='/x'><net>@n</net>\n<component table='t' column='c'/><pin>@p</pin>"
     "</connections></dialect>", "needs the part to be known", 4},
    {"<dialect name='x'>\n<detect>/x</detect><table name='t' rows='/r'><key row='@a' node='@b'/><column name='c'>"
     ".</column></table>\n<components select='/x'><ref>@r</ref>\n<value table='t' column='c'/></components></dialect>",
     "needs a connection", 4},
    {"<dialect name='x'>\n<detect>/x</detect>\n<connections select='/x'><net>@n</net><component>a</component>\n"
     "<pin split='maybe'>@p</pin></connections></dialect>", "neither yes nor no", 4},
    {"<dialect name='x'>\n<detect>/x</detect>\n<table name='t' rows='/r'><key row='@a' node='@b' column='c'/></table>"
     "</dialect>", "a column of no table", 3},
    {"<dialect name='x'>\n<detect>/x[</detect>\n</dialect>", "cannot be used: it is not valid", 2},
    {"<dialect name='x'>\n\n<detct>/x</detct>\n</dialect>", "unknown element", 3},
    {"<dialect name='x'>\n<detect often='yes'>/x</detect>\n</dialect>", "unknown attribute 'often'", 2},
    {"<dialect name='x'>\n<detect>/i:x</detect><components select='/x'><ref>@r</ref></components>"
     "<connections select='/x'><net>@n</net><component>@c</component><pin>@p</pin></connections>\n"
     "</dialect>", "prefix that no <namespace> binds", 2},
    {"<dialect name='x'>\n<detect>/x</detect>\n<components select='/x'><ref>@r</ref>\n"
     "<value table='t' column='c'/></components></dialect>", "no table 't'", 4},
    {"<dialect name='x'>\n<detect>/x</detect><table name='t' rows='/r'><key row='@a' node='@b'/></table>"
     "\n<components select='/x'><ref>@r</ref>\n<value table='t' column='c'/></components></dialect>",
     "table 't' has no column 'c'", 4},
    {"<dialect name='x'>\n<detect>/x</detect>\n<table name='t' rows='/r'>\n<key row='@a'/></table></dialect>",
     "compared with one thing", 4},
    {"<dialect name='x'>\n<detect>/x</detect>\n<components select='/x'/></dialect>",
     "needs a reference", 3},
    {"<dialect name='x'>\n<detect>/x</detect>\n<connections select='/x'>\n<component>a</component>"
     "<pin>b</pin></connections></dialect>", "needs a net", 3},
    {"<dialect name='x'>\n<components>\n</components></dialect>", "attribute is missing", 2},
    {"<dialect name='x'>\n<detect>/x</detect>\n</dialect>", "no parts or no connections", 1},
    {"<dialect>\n<detect>/x</detect>\n</dialect>", "attribute is missing", 1},
    {"<dialect name='x'>\n<unconnected>\n<net/></unconnected></dialect>", "without a text", 3},
    {"\n<sonata/>", "not a dialect file", 2},
    {"<dialect name='x'>\n<detect>", "XML: ", 2},
};

START_TEST(wrong_dialect)
{
    const struct diag *diag;

    read_by(wrong[_i].dialect, "<x/>");
    diag = told(LEVEL_ERROR, wrong[_i].message);
    ck_assert_str_eq(diag->place.source->name, dialect_path);
    ck_assert_uint_eq(diag->place.line, wrong[_i].line);
    ck_assert_ptr_nonnull(diag->expected);
}
END_TEST

/* An expression that looks through the whole document for every node is stopped. */
START_TEST(rescanning_expression)
{
    static const char dialect[] =
        "<dialect name='slow'><detect>/x</detect>"
        "<components select='/x/c'><ref>@r</ref></components>\n"
        "<connections select='/x/n'>\n<net>count(//n[@r])</net><component>@r</component>"
        "<pin>@r</pin></connections></dialect>";
    struct text text = {0};
    const struct diag *diag;

    text_add(&text, "<x>");
    for (int i = 0; i < 6000; i++)
        text_print(&text, "<c r='R%d'/><n r='R%d'/>", i, i);
    text_add(&text, "</x>");
    read_by(dialect, text_bytes(&text));
    text_free(&text);
    diag = told(LEVEL_ERROR, "it takes more steps than the size of the file allows");
    ck_assert_uint_eq(diag->place.line, 3);
}
END_TEST

Suite *check_xml_dialect_suite(void);

Suite *check_xml_dialect_suite(void)
{
    Suite *suite = suite_create("xml dialects");
    TCase *tests = tcase_create("dialects");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, ipc_2581);
    tcase_add_test(tests, bill_of_materials_alone);
    tcase_add_loop_test(tests, ipc_2581_places, 0, (int)(sizeof places / sizeof *places));
    tcase_add_test(tests, drawing);
    tcase_add_test(tests, users_dialect);
    tcase_add_test(tests, users_dialect_comes_first);
    tcase_add_test(tests, users_dialect_for_another_file);
    tcase_add_test(tests, users_dialect_missing);
    tcase_add_test(tests, no_dialects);
    tcase_add_loop_test(tests, wrong_dialect, 0, (int)(sizeof wrong / sizeof *wrong));
    tcase_add_test(tests, rescanning_expression);
    suite_add_tcase(suite, tests);
    return suite;
}
