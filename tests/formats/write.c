/* Writes a netlist, read by prearc's own readers, in another format, with the quirks of the programs that write it.
 * Usage: write FORMAT FILE >OUT; FORMAT "none" only reads; with BARE, what brackets cannot say is left out. */
#include "config.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

/* How a form of nested lists writes its texts. */
struct style {
    bool quoted; /* always; else only what needs it */
    bool newest; /* properties, pin functions with their number, unconnected- nets */
    bool bare;   /* no symbols, fields, names of pins */
};

static const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

static void put_quoted(const char *text)
{
    putchar('"');
    for (; *text != '\0'; text++) {
        if (*text == '"' || *text == '\\')
            putchar('\\');
        putchar(*text);
    }
    putchar('"');
}

static void put_text(const struct style *style, const char *text)
{
    if (style->quoted || *text == '\0' || strpbrk(text, " ()\"\n\t%{}") != NULL)
        put_quoted(text);
    else
        fputs(text, stdout);
}

static void put_pair(const struct style *style, const char *word, const char *text)
{
    printf("(%s ", word);
    put_text(style, text);
    putchar(')');
}

static bool is_described(const struct field *field)
{
    return strcmp(field->key, "value") != 0;
}

static void put_component(const struct style *style, const struct part *part)
{
    printf("    (comp ");
    put_pair(style, "ref", part->ref);
    printf("\n      ");
    put_pair(style, "value", part->value != NULL ? part->value : "~");
    if (part->footprint != NULL)
        put_pair(style, "footprint", part->footprint);
    if (part->field_count > 0 && !style->bare)
        printf("\n      (fields");
    for (size_t i = 0; i < part->field_count && !style->bare; i++) {
        printf("\n        (field (name ");
        put_text(style, part->fields[i].name);
        printf(") ");
        if (part->fields[i].value[0] != '\0')
            put_text(style, part->fields[i].value);
        printf(")%s", i + 1 == part->field_count ? ")" : "");
    }
    if (!style->bare) {
        printf("\n      (libsource ");
        put_pair(style, "lib", or_empty(part->library));
        putchar(' ');
        put_pair(style, "part", or_empty(part->symbol));
        printf(" (description %s))", style->quoted ? "\"\"" : "");
    }
    if (part->not_fitted)
        printf("\n      (property (name \"dnp\"))");
    for (size_t i = 0; style->newest && !style->bare && i < part->field_count; i++)
        if (is_described(&part->fields[i])) {
            printf("\n      (property ");
            put_pair(style, "name", part->fields[i].name);
            put_pair(style, "value", part->fields[i].value);
            putchar(')');
        }
    printf("\n      (sheetpath (names /) (tstamps /)))\n");
}

static void put_node(const struct style *style, const struct pin *pin)
{
    printf("\n      (node ");
    put_pair(style, "ref", pin->part->ref);
    put_pair(style, "pin", pin->number);
    if (pin->name != NULL && !style->bare) {
        printf("(pinfunction ");
        if (style->newest)
            printf("\"%s_%s\"", pin->name, pin->number);
        else
            put_text(style, pin->name);
        printf(") (pintype passive)");
    }
    putchar(')');
}

/* The symbol of every part, for the names of its pins; of two with one name the first counts. */
static void put_symbols(const struct style *style, const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        printf("    (libpart ");
        put_pair(style, "lib", or_empty(part->library));
        put_pair(style, "part", or_empty(part->symbol));
        printf("\n      (fields (field (name Reference) ");
        put_text(style, or_empty(part->prefix));
        printf(")))\n");
    }
}

static void put_loose_pins(const struct style *style, const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            if (pin->net != NULL)
                continue;
            printf("    (net (code 0) (name \"unconnected-(%s-Pad%s)\")", pin->part->ref, pin->number);
            put_node(style, pin);
            printf(")\n");
        }
}

static void write_export(const struct circuit *circuit, const struct style *style)
{
    printf("(export (version %s)\n  (design (source x) (sheet (number 1) (name /) (title_block (title ",
           style->quoted ? "\"E\"" : "D");
    put_text(style, or_empty(circuit->title));
    printf("))))\n  (components\n");
    for (size_t i = 0; i < circuit->part_count; i++)
        put_component(style, circuit->parts[i]);
    printf("  )\n  (libparts\n");
    if (style->newest)
        put_symbols(style, circuit);
    printf("  )\n  (nets\n");
    for (size_t i = 0; i < circuit->net_count; i++) {
        const struct net *net = circuit->nets[i];

        printf("    (net (code %zu) ", i + 1);
        put_pair(style, "name", net->name);
        for (size_t k = 0; k < net->pin_count; k++)
            put_node(style, net->pins[k]);
        printf(")\n");
    }
    put_loose_pins(style, circuit);
    printf("  )\n)\n");
}

/* An EDIF string, broken at column 80 as some writers do. */
static void put_string(const char *text)
{
    putchar('"');
    for (size_t i = 0; text[i] != '\0'; i++) {
        if (text[i] == '"' || text[i] == '%')
            printf("%%%d%%", text[i]);
        else
            putchar(text[i]);
        if (i % 40 == 39)
            fputs("\r\n", stdout);
    }
    putchar('"');
}

/* One library per part's library and symbol would join what differs: a cell a part, called after its symbol. */
static void put_cells(const struct circuit *circuit, bool schematic)
{
    for (size_t i = 0; i < circuit->part_count; i++) {
        printf("(%s (rename L%zu ", i % 2 == 0 ? "library" : "external", i);
        put_string(or_empty(circuit->parts[i]->library));
        printf(") (edifLevel 0) (technology (numberDefinition))\r\n(cell (rename S ");
        put_string(or_empty(circuit->parts[i]->symbol));
        printf(")");
        printf(" (cellType GENERIC) (view v (viewType %s) (interface",
               schematic ? "SCHEMATIC" : "NETLIST");
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            printf("\r\n  (port (rename P%zu ", k);
            put_string(pin->name != NULL ? pin->name : pin->number);
            printf(") (direction INOUT)");
            if (!schematic) {
                printf(" (designator ");
                put_string(pin->number);
                printf(")");
            }
            printf(")");
        }
        printf("))))\r\n");
    }
}

static void put_property(const char *name, const char *value)
{
    printf("\r\n    (property (rename F_X ");
    put_string(name);
    printf(") (string ");
    put_string(value);
    printf("))");
}

static void put_instance(const struct part *part, bool schematic)
{
    printf("   (Instance I%zu (viewref v (cellRef S (libraryRef L%zu)))", part->index, part->index);
    if (schematic)
        printf("\r\n    (transform (origin (pt 0 0)))");
    printf(" (designator ");
    if (schematic)
        printf("(stringDisplay ");
    put_string(part->ref);
    printf(schematic ? " (display T)))" : ")");
    for (size_t i = 0; schematic && i < part->pin_count; i++) {
        printf("\r\n    (portInstance P%zu (designator ", i);
        put_string(part->pins[i].number);
        printf("))");
    }
    if (part->value != NULL)
        put_property("Value", part->value);
    if (part->footprint != NULL)
        put_property("PCB Footprint", part->footprint);
    if (part->not_fitted)
        printf("(property DNP (boolean (true)))");
    for (size_t i = 0; i < part->field_count; i++)
        if (is_described(&part->fields[i]))
            put_property(part->fields[i].name, part->fields[i].value);
    printf(")\r\n");
}

/* Pins of NET whose part is on PAGE of PAGES. */
static void put_net(const struct net *net, size_t page, size_t pages)
{
    size_t here = 0;

    for (size_t i = 0; i < net->pin_count; i++)
        here += net->pins[i]->part->index % pages == page;
    if (here == 0)
        return;
    printf("   (net(rename N%zu_%zu ", net->index, page);
    put_string(net->name);
    printf(")\r\n    (joined");
    for (size_t i = 0; i < net->pin_count; i++)
        if (net->pins[i]->part->index % pages == page)
            printf("\r\n     (portRef P%zu (instanceRef i%zu))", net->pins[i]->index,
                   net->pins[i]->part->index);
    if (pages > 1)
        printf("\r\n     (portRef OFF%zu)", net->index);
    printf("))\r\n");
}

static void put_loose_edif(const struct part *part, size_t page)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].net == NULL)
            printf("   (net (rename NC%zu_%zu_%zu \"NC_%zu\") (joined (portRef P%zu (instanceRef I%zu))))\r\n",
                   page, part->index, i, part->index, i, part->index);
}

static void write_edif(const struct circuit *circuit, bool schematic)
{
    size_t pages = schematic ? 3 : 1;

    printf("(EDIF (rename x ");
    put_string(or_empty(circuit->title));
    printf(") (EDIFVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))\r\n"
           "(status (written (timestamp 2001 1 1 1 1 1) (comment \"by hand ((\")))\r\n");
    put_cells(circuit, schematic);
    printf("(library D (edifLevel 0) (technology (numberDefinition))\r\n (cell TOP (cellType GENERIC)\r\n"
           "  (view v (viewType %s) (interface)\r\n  (contents\r\n",
           schematic ? "SCHEMATIC" : "NETLIST");
    for (size_t page = 0; page < pages; page++) {
        if (schematic)
            printf("   (page P%zu\r\n", page);
        for (size_t i = 0; i < circuit->part_count; i++)
            if (i % pages == page)
                put_instance(circuit->parts[i], schematic);
        for (size_t i = 0; schematic && i < circuit->net_count; i++)
            printf("   (offPageConnector OFF%zu)\r\n", i);
        for (size_t i = 0; i < circuit->net_count; i++)
            put_net(circuit->nets[i], page, pages);
        for (size_t i = page; i < circuit->part_count; i += pages)
            put_loose_edif(circuit->parts[i], page);
        if (schematic)
            printf("   )\r\n");
    }
    printf("  ))))\r\n(design (rename d ");
    put_string(or_empty(circuit->title));
    printf(") (cellRef TOP (libraryRef D))))\r\n");
}

static void write_brackets(const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++)
        printf("[\r\n%s\r\n%s\r\n%s\r\n\r\n\r\n]\r\n", circuit->parts[i]->ref,
               or_empty(circuit->parts[i]->footprint), or_empty(circuit->parts[i]->value));
    for (size_t i = 0; i < circuit->net_count; i++) {
        printf("(\r\n%s\r\n", circuit->nets[i]->name);
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            printf("%s-%s\r\n", circuit->nets[i]->pins[k]->part->ref,
                   circuit->nets[i]->pins[k]->number);
        printf(")\r\n");
    }
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++)
            if (circuit->parts[i]->pins[k].net == NULL)
                printf("(\r\nunconnected-%zu-%zu\r\n%s-%s\r\n)\r\n", i, k, circuit->parts[i]->ref,
                       circuit->parts[i]->pins[k].number);
}

static void write_packages(const struct circuit *circuit)
{
    printf("$PACKAGES\n");
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        printf("'%s' ! '%s' ! '%s'; '%s'\n", or_empty(part->footprint), or_empty(part->symbol),
               or_empty(part->value), part->ref);
    }
    printf("$NETS\n");
    for (size_t i = 0; i < circuit->net_count; i++) {
        printf("'%s'; ", circuit->nets[i]->name);
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            printf("%s.%s%s", circuit->nets[i]->pins[k]->part->ref,
                   circuit->nets[i]->pins[k]->number,
                   k + 1 == circuit->nets[i]->pin_count ? "\n" : k % 3 == 2 ? ",\n    " : " ");
    }
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++)
            if (circuit->parts[i]->pins[k].net == NULL)
                printf("Unused_%zu_%zu; %s.%s\n", i, k, circuit->parts[i]->ref,
                       circuit->parts[i]->pins[k].number);
    printf("$END\n");
}

static void write_stamped(const struct circuit *circuit)
{
    printf("# Netlist Version 1.1 created  today\n(\n");
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        printf(" ( /%zu %s %s %s {Lib=%s}\n", i, part->footprint != NULL ? part->footprint : "$noname",
               part->ref, part->value != NULL ? part->value : "~", or_empty(part->symbol));
        for (size_t k = 0; k < part->pin_count; k++)
            printf("  (    %s %s )\n", part->pins[k].number,
                   part->pins[k].net != NULL ? part->pins[k].net->name : "?");
        printf(" )\n");
    }
    printf(")\n*\n{ Allowed footprints by component:\n$component C1\n C*\n$endlist\n}\n#End\n");
}

/* IPC-2581: where revisions say what is joined, where they say values, and whether the namespace has a prefix. */
struct revision {
    const char *name, *prefix;
    enum { IN_LOGICAL_NETS, IN_PAD_STACKS, IN_LAYER_FEATURES } nets;
    bool billed; /* values and fields in the bill of materials */
};

static const struct revision revisions[] = {
    {"A", "", IN_LOGICAL_NETS, false},
    {"B", "", IN_PAD_STACKS, true},
    {"C", "ipc:", IN_LAYER_FEATURES, false},
};

static void put_attribute(const char *name, const char *text)
{
    printf(" %s=\"", name);
    for (; *text != '\0'; text++)
        if (strchr("<&\"", *text) != NULL)
            printf("&#%d;", *text);
        else
            putchar(*text);
    putchar('"');
}

/* One pair of a part, in the words of the place where it stands. */
static void put_said(const struct revision *revision, const char *name, const char *value)
{
    const char *p = revision->prefix;

    printf(revision->billed ? "<%sTextual" : "<%sNonstandardAttribute", p);
    put_attribute(revision->billed ? "textualCharacteristicName" : "name", name);
    put_attribute(revision->billed ? "textualCharacteristicValue" : "value", value);
    printf(revision->billed ? "/>" : " type=\"STRING\"/>");
}

static void put_all_said(const struct revision *revision, const struct part *part)
{
    if (part->value != NULL)
        put_said(revision, "VALUE", part->value);
    for (size_t i = 0; i < part->field_count; i++)
        if (is_described(&part->fields[i]))
            put_said(revision, part->fields[i].name, part->fields[i].value);
}

static void put_bill(const struct revision *revision, const struct circuit *circuit)
{
    const char *p = revision->prefix;

    printf("<%sBom name=\"bill\">\n", p);
    for (size_t i = 0; i < circuit->part_count; i++) {
        printf("<%sBomItem OEMDesignNumberRef=\"\" quantity=\"1\" category=\"ELECTRICAL\"><%sRefDes", p, p);
        put_attribute("name", circuit->parts[i]->ref);
        printf(" packageRef=\"K%zu\" populate=\"true\"/><%sCharacteristics category=\"ELECTRICAL\">", i, p);
        put_all_said(revision, circuit->parts[i]);
        printf("</%sCharacteristics></%sBomItem>\n", p, p);
    }
    printf("</%sBom>\n", p);
}

static void put_packages(const struct revision *revision, const struct circuit *circuit)
{
    const char *p = revision->prefix;

    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        printf("<%sPackage name=\"K%zu\" type=\"OTHER\">", p, i);
        for (size_t k = 0; k < part->pin_count; k++) {
            printf("<%sPin", p);
            put_attribute("number", part->pins[k].number);
            if (part->pins[k].name != NULL)
                put_attribute("name", part->pins[k].name);
            printf(" type=\"THRU\" electricalType=\"ELECTRICAL\"/>");
        }
        printf("</%sPackage>\n<%sComponent", p, p);
        put_attribute("refDes", part->ref);
        printf(" packageRef=\"K%zu\"", i);
        put_attribute("part", or_empty(part->symbol));
        printf(" layerRef=\"TOP\" mountType=\"THMT\">");
        if (!revision->billed)
            put_all_said(revision, part);
        printf("</%sComponent>\n", p);
    }
}

static void put_pin_ref(const struct revision *revision, const struct pin *pin)
{
    printf("<%sPinRef", revision->prefix);
    put_attribute("componentRef", pin->part->ref);
    put_attribute("pin", pin->number);
    printf("/>");
}

/* PIN on the net NAME, where the revision says so; twice, as on two layers. */
static void put_joined(const struct revision *revision, const struct pin *pin, const char *name)
{
    const char *p = revision->prefix;

    if (revision->nets == IN_LOGICAL_NETS)
        printf("<%sLogicalNet", p), put_attribute("name", name), printf(">");
    else if (revision->nets == IN_PAD_STACKS)
        printf("<%sPadStack", p), put_attribute("net", name), printf("><%sLayerPad layerRef=\"TOP\">", p);
    else
        printf("<%sLayerFeature layerRef=\"TOP\"><%sSet", p, p), put_attribute("net", name), printf("><%sPad>", p);
    put_pin_ref(revision, pin);
    if (revision->nets == IN_LOGICAL_NETS)
        put_pin_ref(revision, pin), printf("</%sLogicalNet>\n", p);
    else if (revision->nets == IN_PAD_STACKS)
        printf("</%sLayerPad><%sLayerPad layerRef=\"BOTTOM\">", p, p), put_pin_ref(revision, pin), printf("</%sLayerPad></%sPadStack>\n", p, p);
    else
        printf("</%sPad></%sSet></%sLayerFeature>\n", p, p, p);
}

static void write_ipc_2581(const struct circuit *circuit, const struct revision *revision)
{
    const char *p = revision->prefix;

    printf("<?xml version = \"1.0\" encoding = \"UTF-8\"?>\n<%sIPC-2581 revision=\"%s\" xmlns%s=\"http://webstds.ipc.org/2581\">\n", p,
           revision->name, *p != '\0' ? ":ipc" : "");
    if (revision->billed)
        put_bill(revision, circuit);
    printf("<%sEcad><%sCadData><%sStep name=\"board\">\n", p, p, p);
    put_packages(revision, circuit);
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            put_joined(revision, pin, pin->net != NULL ? pin->net->name : "No Net");
        }
    printf("</%sStep></%sCadData></%sEcad></%sIPC-2581>\n", p, p, p, p);
}

static void write_as(const char *format, const struct circuit *circuit)
{
    struct style style = {.quoted = strcmp(format, "export-old") != 0,
                          .newest = strcmp(format, "export-new") == 0,
                          .bare = strcmp(format, "export-bare") == 0};

    if (strncmp(format, "export-", 7) == 0)
        write_export(circuit, &style);
    else if (strcmp(format, "edif-netlist") == 0 || strcmp(format, "edif-schematic") == 0)
        write_edif(circuit, strcmp(format, "edif-schematic") == 0);
    else if (strncmp(format, "ipc-2581-", 9) == 0)
        for (size_t i = 0; i < sizeof revisions / sizeof *revisions; i++) {
            if (strcmp(format + 9, revisions[i].name) == 0)
                write_ipc_2581(circuit, &revisions[i]);
        }
    else if (strcmp(format, "brackets") == 0)
        write_brackets(circuit);
    else if (strcmp(format, "packages") == 0)
        write_packages(circuit);
    else if (strcmp(format, "stamped") == 0)
        write_stamped(circuit);
}

int main(int argc, char **argv)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    struct read_options options = {.data_dir = argc == 4 ? argv[3] : "rules"};
    const struct source *source = argc >= 3 ? source_read(arena, &diags, argv[2]) : NULL;
    struct read_input input = {arena, &diags, source, &options};
    struct circuit *circuit = source != NULL ? netlist_read(&input) : NULL;

    for (size_t i = 0; i < diags.count; i++)
        fprintf(stderr, "%u:%u: %s\n", diags.items[i].place.line, diags.items[i].place.column,
                diags.items[i].message);
    if (circuit == NULL) {
        fprintf(stderr, "usage: write FORMAT FILE [RULES]\n");
        return 2;
    }
    write_as(argv[1], circuit);
    fprintf(stderr, "%zu parts, %zu nets\n", circuit->part_count, circuit->net_count);
    circuit_free(circuit);
    arena_free(arena);
    return 0;
}
