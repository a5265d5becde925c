/* Every form of input with every sort of damage: an error with its place, or a sound reading, never a crash. One row a
 * form, one column a sort of damage. */
#include "netlist/text_case.h"

#include "bench/bench.h"
#include "netlist/xml_dialect.h"

enum { DEEP = 100000, TOKEN = 1 << 20, CUT_MOST = 1000 /* bytes of a whole text */ };

/* What reads a form. */
typedef void read_bytes(struct text_case *c, const char *bytes, size_t length);

static const struct source *copied(struct text_case *c, const char *bytes, size_t length)
{
    return source_from_bytes(c->arena, "x", arena_copy_span(c->arena, bytes, length), length);
}

static void read_dialect(struct text_case *c, const char *bytes, size_t length)
{
    struct xml_dialect *dialect = xml_dialect_load(c->arena, &c->diags, copied(c, bytes, length));

    ck_assert(dialect != NULL || text_case_errors(c) > 0);
    xml_dialect_free(dialect);
}

static void read_bench(struct text_case *c, const char *bytes, size_t length)
{
    static const char ring[] = "t\nXF1 a 0 FUSE\nR1 a 0 1k\n.end\n";
    struct bench *bench = bench_new(c->arena, &c->diags);

    text_case_read(c, ring, sizeof ring - 1);
    bench_read(bench, copied(c, bytes, length));
    bench_amend(bench, c->circuit);
    bench_free(bench);
}

/* A text, and what is said of it: NULL if it is read without an error, "" if any error will do. */
struct damage {
    const char *text, *told;
};

/* HEAD, then PIECE many times; what closes it never comes. */
struct repeated {
    const char *head, *piece;
};

static const struct form {
    const char *name, *whole;
    read_bytes *read;
    struct repeated deep, token;
    struct damage twice;    /* one pin twice in one net */
    struct damage two_nets; /* one pin in two nets */
    struct damage cycle;    /* a hierarchy that contains itself; TEXT NULL: the form has none */
    struct damage overflow; /* numbers beyond 64 bits */
} forms[] = {
    {"deck", "t\nR1 a b 1k\nC1 b 0 {2*3u}\n.subckt S x y\nR2 x y 1k\n.ends\nX1 a 0 S\n.end\n", text_case_read,
     {"t\nR1 a 0 {", "("}, {"t\nR1 a 0 1k\nR", "9"},
     {"t\nXQ1 a a b BOX\nR1 a b 1k\n.end\n", NULL}, {"t\nR1 a b 1k\nR1 c d 1k\n.end\n", "R1"},
     {"t\n.subckt A x\nX1 x B\n.ends\n.subckt B x\nX1 x A\n.ends\nX1 n A\nR1 n 0 1\n.end\n", ""},
     {"t\n.param n=99999999999999999999999999\nR1 a b {n**n**n}\nC1 a b 1e999999999999999999999\n.end\n", NULL}},
    {"export",
     "<export><components><comp ref='R1'><value>1k</value></comp></components><nets><net name='A'><node ref='R1' "
     "pin='1'/></net></nets></export>",
     text_case_read, {"<export><components>", "<comp ref='R1'>"},
     {"<export><components><comp ref='R1'/></components><nets><net name='A'><node ref='R1' pin='", "9"},
     {"<export><components><comp ref='R1'/></components><nets><net name='A'><node ref='R1' pin='1'/><node ref='R1' "
      "pin='1'/></net></nets></export>", NULL},
     {"<export><components><comp ref='R1'/></components><nets><net name='A'><node ref='R1' pin='1'/></net><net "
      "name='B'><node ref='R1' pin='1'/></net></nets></export>", "pin 1 of R1 is in net A and in net B"},
     {NULL, NULL},
     {"<export><components><comp ref='R1'/></components><nets><net code='99999999999999999999' name='A'><node ref='R1' "
      "pin='18446744073709551616'/></net></nets></export>", NULL}},
    {"netlist",
     "<netlist><net><connector id='c0' name='A'><part id='1' label='R1' title='1k Resistor'/></connector><connector "
     "id='c0'><part id='2' label='R2' title='R'/></connector></net></netlist>",
     text_case_read, {"<netlist>", "<net><connector><part>"},
     {"<netlist><net><connector id='c0'><part id='1' label='", "R"},
     {"<netlist><net><connector id='c0'><part id='1' label='R1'/></connector><connector id='c0'><part id='1' "
      "label='R1'/></connector></net></netlist>", NULL},
     {"<netlist><net><connector id='c0'><part id='1' label='R1'/></connector></net><net><connector id='c0'><part "
      "id='1' label='R1'/></connector></net></netlist>", "pin c0 of R1 is in net"},
     {NULL, NULL},
     {"<netlist><net><connector id='c99999999999999999999'><part id='-18446744073709551617' label='R1'/></connector>"
      "</net></netlist>", NULL}},
    {"ipc-2581",
     "<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Ecad><CadData><Step><Component refDes='R1' packageRef='p'/>"
     "<LogicalNet name='A'><PinRef componentRef='R1' pin='1'/></LogicalNet></Step></CadData></Ecad></IPC-2581>",
     text_case_read, {"<IPC-2581 xmlns='http://webstds.ipc.org/2581'>", "<Ecad><CadData><Step>"},
     {"<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Ecad><CadData><Step><Component refDes='", "R"},
     {"<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Ecad><CadData><Step><Component refDes='R1'/><LogicalNet name='A'>"
      "<PinRef componentRef='R1' pin='1'/><PinRef componentRef='R1' pin='1'/></LogicalNet></Step></CadData></Ecad>"
      "</IPC-2581>", NULL},
     {"<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Ecad><CadData><Step><Component refDes='R1'/><LogicalNet name='A'>"
      "<PinRef componentRef='R1' pin='1'/></LogicalNet><LogicalNet name='B'><PinRef componentRef='R1' pin='1'/>"
      "</LogicalNet></Step></CadData></Ecad></IPC-2581>", "pin 1 of R1 is in net A and in net B"},
     {NULL, NULL},
     {"<IPC-2581 xmlns='http://webstds.ipc.org/2581'><Bom><BomItem quantity='99999999999999999999' "
      "pinCount='-9223372036854775809'/></Bom><Ecad><CadData><Step><Component refDes='R1'/><LogicalNet name='A'><PinRef "
      "componentRef='R1' pin='99999999999999999999'/></LogicalNet></Step></CadData></Ecad></IPC-2581>", NULL}},
    {"lists", "(export (components (comp (ref R1) (value 1k))) (nets (net (name A) (node (ref R1) (pin 1)))))",
     text_case_read, {"(export (nets (net ", "(node "}, {"(export (nets (net (name \"", "N"},
     {"(export (components (comp (ref R1))) (nets (net (name A) (node (ref R1) (pin 1)) (node (ref R1) (pin 1)))))",
      NULL},
     {"(export (components (comp (ref R1))) (nets (net (name A) (node (ref R1) (pin 1))) (net (name B) (node (ref R1) "
      "(pin 1)))))", "pin 1 of R1 is in net A"},
     {NULL, NULL},
     {"(export (components (comp (ref R1))) (nets (net (code 99999999999999999999) (name A) (node (ref R1) (pin "
      "18446744073709551616)))))", NULL}},
    {"edif",
     "(edif x (edifVersion 2 0 0) (library L (cell R (view v (viewType NETLIST) (interface (port a)))) (cell T (view v "
     "(viewType NETLIST) (contents (instance R1 (viewRef v (cellRef R))) (net A (joined (portRef a (instanceRef R1))))))))"
     " (design d (cellRef T)))",
     text_case_read, {"(edif x (library L (cell T (view v (contents ", "(net "},
     {"(edif x (library L (cell T (view v (contents (instance R1 (property V (string \"", "9"},
     {"(edif x (library L (cell R (view v (interface (port a)))) (cell T (view v (contents (instance R1 (viewRef v "
      "(cellRef R))) (net A (joined (portRef a (instanceRef R1)) (portRef a (instanceRef R1)))))))) (design d (cellRef "
      "T)))", NULL},
     {"(edif x (library L (cell R (view v (interface (port a)))) (cell T (view v (contents (instance R1 (viewRef v "
      "(cellRef R))) (net A (joined (portRef a (instanceRef R1)))) (net B (joined (portRef a (instanceRef R1)))))))) "
      "(design d (cellRef T)))", "pin a of R1 is in net A"},
     {"(edif x (library L (cell A (view v (interface (port p)) (contents (instance I (viewRef v (cellRef B))) (net N "
      "(joined (portRef p (instanceRef I))))))) (cell B (view v (interface (port p)) (contents (instance I (viewRef v "
      "(cellRef A))))))) (design d (cellRef A)))", "contains itself"},
     {"(edif x (library L (cell R (view v (interface (port (array a 99999999999999999999))))) (cell T (view v (contents "
      "(instance R1 (viewRef v (cellRef R)) (property V (number (e 9 99999999999999999999)))) (net A (joined (portRef "
      "(member a 18446744073709551616) (instanceRef R1)))))))) (design d (cellRef T)))", "an array that is too large"}},
    {"brackets", "[\nR1\nAX\n1k\n]\n[\nR2\n\n2k\n]\n(\nA\nR1-1\nR2-1\n)\n", text_case_read,
     {"[\nR1\n]\n(\nA\n", "(\n"}, {"[\nR1\n]\n(\nA\nR1-", "9"},
     {"[\nR1\n]\n(\nA\nR1-1\nR1-1\n)\n", NULL}, {"[\nR1\n]\n(\nA\nR1-1\n)\n(\nB\nR1-1\n)\n", "pin 1 of R1 is in net A"},
     {NULL, NULL}, {"[\nR1\n]\n(\n99999999999999999999\nR1-18446744073709551616\n)\n", NULL}},
    {"sections", "$PACKAGES\nAX ! R ! 1k ; R1 R2\n$NETS\nA ; R1.1 R2.1\n$END\n", text_case_read,
     {"$PACKAGES\n!R!1k;R1\n$NETS\n", "A;"}, {"$PACKAGES\n!R!1k;R1\n$NETS\nA ; R1.", "9"},
     {"$PACKAGES\n!R!1k;R1\n$NETS\nA;R1.1 R1.1\n$END\n", NULL},
     {"$PACKAGES\n!R!1k;R1\n$NETS\nA;R1.1\nB;R1.1\n$END\n", "pin 1 of R1 is in net A"}, {NULL, NULL},
     {"$PACKAGES\n!R!1k;R1\n$NETS\n99999999999999999999;R1.18446744073709551616\n$END\n", NULL}},
    {"stamped", "(\n ( /1 $noname R1 1k {Lib=R}\n  ( 1 A )\n )\n ( /2 $noname R2 2k\n  ( 1 A )\n )\n)\n*\n",
     text_case_read, {"(\n", "( "}, {"(\n ( /1 $noname R1 1k\n  ( 1 ", "N"},
     {"(\n ( /1 $noname R1 1k\n  ( 1 A )\n  ( 1 A )\n )\n)\n", NULL},
     {"(\n ( /1 $noname R1 1k\n  ( 1 A )\n  ( 1 B )\n )\n)\n", "pin 1 of R1 is in net A"}, {NULL, NULL},
     {"(\n ( /99999999999999999999 $noname R1 1k\n  ( 18446744073709551616 A )\n )\n)\n", NULL}},
    {"bench file", "part ref=R1 value=2k\nload net=a amps=20mA\nmains volts=240V\n", read_bench,
     {"part ref=R1 value=", "\"'"}, {"part ref=R1 value=", "9"},
     {"part ref=R1 value=1k\npart ref=R1 value=1k\n", ""}, {"holder part=F9 at=R1 pin=1 marking=T1A\n", NULL},
     {NULL, NULL}, {"mains volts=1e99999999999999999999V\nload net=a amps=99999999999999999999999999999999999999\n", ""}},
    {"dialect file",
     "<dialect name='d'><detect>/a</detect><components select='/a/b'><ref>@r</ref></components><connections "
     "select='/a/c'><net>@n</net><component>@r</component><pin>@p</pin></connections></dialect>",
     read_dialect, {"<dialect name='d'>", "<components select='/a'>"}, {"<dialect name='d'><detect>", "(a)"},
     {"<dialect name='d'><detect>/a</detect><detect>/b</detect></dialect>", "a second <detect>"},
     {"<dialect name='d'><detect>count(</detect></dialect>", ""},
     {"<dialect name='d'><detect>/a</detect><table name='t' rows='/a'><key row='@k' table='t'/><column name='c'>@c"
      "</column></table></dialect>", ""},
     {"<dialect name='d'><detect>/a[99999999999999999999 = 1e999]</detect></dialect>", ""}},
};
enum { FORMS = sizeof forms / sizeof *forms };

/* Every error has its place but that of an empty file; every pin is on the net that lists it and is the only one of its number. */
static void check_sound(const struct form *form, const struct text_case *c)
{
    ck_assert_msg(c->circuit != NULL || form->read != text_case_read || text_case_errors(c) > 0, "%s: nothing said",
                  form->name);
    for (size_t i = 0; i < c->diags.count; i++)
        if (c->diags.items[i].level == LEVEL_ERROR && strstr(c->diags.items[i].message, "holds no parts") == NULL)
            ck_assert_msg(c->diags.items[i].place.line > 0 && c->diags.items[i].place.column > 0, "%s: no place: %s",
                          form->name, c->diags.items[i].message);
    for (size_t i = 0; c->circuit != NULL && i < c->circuit->net_count; i++)
        for (size_t k = 0; k < c->circuit->nets[i]->pin_count; k++)
            ck_assert_ptr_eq(c->circuit->nets[i]->pins[k]->net, c->circuit->nets[i]);
    for (size_t i = 0; c->circuit != NULL && i < c->circuit->part_count; i++)
        for (size_t k = 0; k < c->circuit->parts[i]->pin_count && k < 100; k++)
            ck_assert_ptr_eq(part_pin(c->circuit->parts[i], c->circuit->parts[i]->pins[k].number),
                             &c->circuit->parts[i]->pins[k]);
}

/* Reads TEXT; TOLD as in struct damage. */
static void try_text(const struct form *form, const char *sort, const char *text, size_t length, const char *told)
{
    struct text_case c;

    text_case_start(&c);
    form->read(&c, text, length);
    check_sound(form, &c);
    if (told == NULL)
        ck_assert_msg(text_case_errors(&c) == 0, "%s, %s: %s", form->name, sort, c.diags.items[0].message);
    else if (*told == '\0')
        ck_assert_msg(text_case_errors(&c) > 0, "%s, %s: nothing said", form->name, sort);
    else
        text_case_told(&c, LEVEL_ERROR, told);
    text_case_end(&c);
}

static void try_repeated(const struct form *form, const char *sort, const struct repeated *repeated, size_t count)
{
    struct text text = {0};

    text_add(&text, repeated->head);
    for (size_t i = 0; i < count; i++)
        text_add(&text, repeated->piece);
    try_text(form, sort, text_bytes(&text), text.length, "");
    text_free(&text);
}

START_TEST(whole)
{
    try_text(&forms[_i], "whole", forms[_i].whole, strlen(forms[_i].whole), NULL);
}
END_TEST

START_TEST(cut_at_every_byte)
{
    const struct form *form = &forms[_i];
    struct text_case c;

    for (size_t length = 0; length < strlen(form->whole); length++) {
        text_case_start(&c);
        form->read(&c, form->whole, length);
        check_sound(form, &c);
        text_case_end(&c);
    }
}
END_TEST

/* Every byte of the text becomes NUL, in its turn. */
START_TEST(nul_at_every_byte)
{
    const struct form *form = &forms[_i];
    size_t length = strlen(form->whole);
    char copy[CUT_MOST];
    struct text_case c;

    ck_assert_uint_lt(length, sizeof copy);
    for (size_t at = 0; at < length; at++) {
        memcpy(copy, form->whole, length);
        copy[at] = '\0';
        text_case_start(&c);
        form->read(&c, copy, length);
        check_sound(form, &c);
        text_case_end(&c);
    }
}
END_TEST

START_TEST(deep)
{
    try_repeated(&forms[_i], "deep", &forms[_i].deep, DEEP);
}
END_TEST

START_TEST(token_of_a_megabyte)
{
    try_repeated(&forms[_i], "token", &forms[_i].token, TOKEN);
}
END_TEST

START_TEST(contradictions_and_overflows)
{
    const struct form *form = &forms[_i];
    const struct {
        const char *sort;
        const struct damage *damage;
    } sorts[] = {{"pin twice", &form->twice}, {"pin in two nets", &form->two_nets}, {"cycle", &form->cycle},
                 {"overflow", &form->overflow}};

    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++)
        if (sorts[i].damage->text != NULL)
            try_text(form, sorts[i].sort, sorts[i].damage->text, strlen(sorts[i].damage->text), sorts[i].damage->told);
}
END_TEST

Suite *check_hostile_forms_suite(void);

Suite *check_hostile_forms_suite(void)
{
    Suite *suite = suite_create("hostile forms");
    TCase *tests = tcase_create("table");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, whole, 0, FORMS);
    tcase_add_loop_test(tests, cut_at_every_byte, 0, FORMS);
    tcase_add_loop_test(tests, nul_at_every_byte, 0, FORMS);
    tcase_add_loop_test(tests, deep, 0, FORMS);
    tcase_add_loop_test(tests, token_of_a_megabyte, 0, FORMS);
    tcase_add_loop_test(tests, contradictions_and_overflows, 0, FORMS);
    suite_add_tcase(suite, tests);
    return suite;
}
