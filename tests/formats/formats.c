/* Every format but the deck: nested lists, EDIF, the plain lists, XML. */
#include "formats/formats.h"

#include <string.h>

#include "circuit/circuit.h"
#include "formats/deck_writer.h"
#include "formats/ipc_writer.h"
#include "formats/words.h"

/* How a form of nested lists writes its texts. */
struct style {
    bool quoted; /* always; else only what needs it */
    bool newest; /* properties, pin functions with their number, unconnected- nets */
    bool bare;   /* no symbols, fields, names of pins */
};

static void put_quoted(FILE *out, const char *text)
{
    putc('"', out);
    for (; *text != '\0'; text++) {
        if (*text == '"' || *text == '\\')
            putc('\\', out);
        putc(*text, out);
    }
    putc('"', out);
}

static void put_text(FILE *out, const struct style *style, const char *text)
{
    if (style->quoted || *text == '\0' || strpbrk(text, " ()\"\n\t%{}") != NULL)
        put_quoted(out, text);
    else
        fputs(text, out);
}

static void put_pair(FILE *out, const struct style *style, const char *word, const char *text)
{
    fprintf(out, "(%s ", word);
    put_text(out, style, text);
    putc(')', out);
}

static void put_component(FILE *out, const struct style *style, const struct part *part)
{
    fprintf(out, "    (comp ");
    put_pair(out, style, "ref", part->ref);
    fprintf(out, "\n      ");
    put_pair(out, style, "value", part->value != NULL ? part->value : "~");
    if (part->footprint != NULL)
        put_pair(out, style, "footprint", part->footprint);
    if (part->field_count > 0 && !style->bare)
        fprintf(out, "\n      (fields");
    for (size_t i = 0; i < part->field_count && !style->bare; i++) {
        fprintf(out, "\n        (field (name ");
        put_text(out, style, part->fields[i].name);
        fprintf(out, ") ");
        if (part->fields[i].value[0] != '\0')
            put_text(out, style, part->fields[i].value);
        fprintf(out, ")%s", i + 1 == part->field_count ? ")" : "");
    }
    if (!style->bare) {
        fprintf(out, "\n      (libsource ");
        put_pair(out, style, "lib", or_empty(part->library));
        putc(' ', out);
        put_pair(out, style, "part", or_empty(part->symbol));
        fprintf(out, " (description %s))", style->quoted ? "\"\"" : "");
    }
    if (part->not_fitted)
        fprintf(out, "\n      (property (name \"dnp\"))");
    for (size_t i = 0; style->newest && !style->bare && i < part->field_count; i++)
        if (is_described(&part->fields[i])) {
            fprintf(out, "\n      (property ");
            put_pair(out, style, "name", part->fields[i].name);
            put_pair(out, style, "value", part->fields[i].value);
            putc(')', out);
        }
    fprintf(out, "\n      (sheetpath (names /) (tstamps /)))\n");
}

static void put_node(FILE *out, const struct style *style, const struct pin *pin)
{
    fprintf(out, "\n      (node ");
    put_pair(out, style, "ref", pin->part->ref);
    put_pair(out, style, "pin", pin->number);
    if (pin->name != NULL && !style->bare) {
        fprintf(out, "(pinfunction ");
        if (style->newest)
            fprintf(out, "\"%s_%s\"", pin->name, pin->number);
        else
            put_text(out, style, pin->name);
        fprintf(out, ") (pintype passive)");
    }
    putc(')', out);
}

/* The symbol of every part, for the names of its pins; of two with one name the first counts. */
static void put_symbols(FILE *out, const struct style *style, const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        fprintf(out, "    (libpart ");
        put_pair(out, style, "lib", or_empty(part->library));
        put_pair(out, style, "part", or_empty(part->symbol));
        fprintf(out, "\n      (fields (field (name Reference) ");
        put_text(out, style, or_empty(part->prefix));
        fprintf(out, ")))\n");
    }
}

static void put_loose_pins(FILE *out, const struct style *style, const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            if (pin->net != NULL)
                continue;
            fprintf(out, "    (net (code 0) (name \"unconnected-(%s-Pad%s)\")", pin->part->ref, pin->number);
            put_node(out, style, pin);
            fprintf(out, ")\n");
        }
}

static void write_export(FILE *out, const struct circuit *circuit, const struct style *style)
{
    fprintf(out, "(export (version %s)\n  (design (source x) (sheet (number 1) (name /) (title_block (title ",
            style->quoted ? "\"E\"" : "D");
    put_text(out, style, or_empty(circuit->title));
    fprintf(out, "))))\n  (components\n");
    for (size_t i = 0; i < circuit->part_count; i++)
        put_component(out, style, circuit->parts[i]);
    fprintf(out, "  )\n  (libparts\n");
    if (style->newest)
        put_symbols(out, style, circuit);
    fprintf(out, "  )\n  (nets\n");
    for (size_t i = 0; i < circuit->net_count; i++) {
        const struct net *net = circuit->nets[i];

        fprintf(out, "    (net (code %zu) ", i + 1);
        put_pair(out, style, "name", net->name);
        for (size_t k = 0; k < net->pin_count; k++)
            put_node(out, style, net->pins[k]);
        fprintf(out, ")\n");
    }
    put_loose_pins(out, style, circuit);
    fprintf(out, "  )\n)\n");
}

/* An EDIF string, broken at column 80 as some writers do. */
static void put_string(FILE *out, const char *text)
{
    putc('"', out);
    for (size_t i = 0; text[i] != '\0'; i++) {
        if (text[i] == '"' || text[i] == '%')
            fprintf(out, "%%%d%%", text[i]);
        else
            putc(text[i], out);
        if (i % 40 == 39)
            fputs("\r\n", out);
    }
    putc('"', out);
}

/* Parts that a deck gives no symbol have that of their letter. */
static const char *cell_name(const struct part *part)
{
    static const char *const plain[] = {"R", "C", "L", "D", "Q"};

    for (size_t i = 0; part->symbol == NULL && i < sizeof plain / sizeof *plain; i++)
        if (part->letter == plain[i][0])
            return plain[i];
    return or_empty(part->symbol);
}

/* One library per part's library and symbol would join what differs: a cell a part, called after its symbol. */
static void put_cells(FILE *out, const struct circuit *circuit, bool schematic)
{
    for (size_t i = 0; i < circuit->part_count; i++) {
        fprintf(out, "(%s (rename L%zu ", i % 2 == 0 ? "library" : "external", i);
        put_string(out, or_empty(circuit->parts[i]->library));
        fprintf(out, ") (edifLevel 0) (technology (numberDefinition))\r\n(cell (rename S ");
        put_string(out, cell_name(circuit->parts[i]));
        fprintf(out, ")");
        fprintf(out, " (cellType GENERIC) (view v (viewType %s) (interface", schematic ? "SCHEMATIC" : "NETLIST");
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            fprintf(out, "\r\n  (port (rename P%zu ", k);
            put_string(out, pin->name != NULL ? pin->name : pin->number);
            fprintf(out, ") (direction INOUT)");
            if (!schematic) {
                fprintf(out, " (designator ");
                put_string(out, pin->number);
                fprintf(out, ")");
            }
            fprintf(out, ")");
        }
        fprintf(out, "))))\r\n");
    }
}

static void put_property(FILE *out, const char *name, const char *value)
{
    fprintf(out, "\r\n    (property (rename F_X ");
    put_string(out, name);
    fprintf(out, ") (string ");
    put_string(out, value);
    fprintf(out, "))");
}

static void put_instance(FILE *out, const struct part *part, bool schematic)
{
    fprintf(out, "   (Instance I%zu (viewref v (cellRef S (libraryRef L%zu)))", part->index, part->index);
    if (schematic)
        fprintf(out, "\r\n    (transform (origin (pt 0 0)))");
    fprintf(out, " (designator ");
    if (schematic)
        fprintf(out, "(stringDisplay ");
    put_string(out, part->ref);
    fprintf(out, schematic ? " (display T)))" : ")");
    for (size_t i = 0; schematic && i < part->pin_count; i++) {
        fprintf(out, "\r\n    (portInstance P%zu (designator ", i);
        put_string(out, part->pins[i].number);
        fprintf(out, "))");
    }
    if (part->value != NULL)
        put_property(out, "Value", part->value);
    if (part->footprint != NULL)
        put_property(out, "PCB Footprint", part->footprint);
    if (part->not_fitted)
        fprintf(out, "(property DNP (boolean (true)))");
    for (size_t i = 0; i < part->field_count; i++)
        if (is_described(&part->fields[i]))
            put_property(out, part->fields[i].name, part->fields[i].value);
    fprintf(out, ")\r\n");
}

/* Pins of NET whose part is on PAGE of PAGES. */
static void put_net(FILE *out, const struct net *net, size_t page, size_t pages)
{
    size_t here = 0;

    for (size_t i = 0; i < net->pin_count; i++)
        here += net->pins[i]->part->index % pages == page;
    if (here == 0)
        return;
    fprintf(out, "   (net(rename N%zu_%zu ", net->index, page);
    put_string(out, net->name);
    fprintf(out, ")\r\n    (joined");
    for (size_t i = 0; i < net->pin_count; i++)
        if (net->pins[i]->part->index % pages == page)
            fprintf(out, "\r\n     (portRef P%zu (instanceRef i%zu))", net->pins[i]->index, net->pins[i]->part->index);
    if (pages > 1)
        fprintf(out, "\r\n     (portRef OFF%zu)", net->index);
    fprintf(out, "))\r\n");
}

static void put_loose_edif(FILE *out, const struct part *part, size_t page)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].net == NULL)
            fprintf(out, "   (net (rename NC%zu_%zu_%zu \"NC_%zu\") (joined (portRef P%zu (instanceRef I%zu))))\r\n",
                    page, part->index, i, part->index, i, part->index);
}

static void write_edif(FILE *out, const struct circuit *circuit, bool schematic)
{
    size_t pages = schematic ? 3 : 1;

    fprintf(out, "(EDIF (rename x ");
    put_string(out, or_empty(circuit->title));
    fprintf(out, ") (EDIFVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))\r\n"
                 "(status (written (timestamp 2001 1 1 1 1 1) (comment \"by hand ((\")))\r\n");
    put_cells(out, circuit, schematic);
    fprintf(out,
            "(library D (edifLevel 0) (technology (numberDefinition))\r\n (cell TOP (cellType GENERIC)\r\n"
            "  (view v (viewType %s) (interface)\r\n  (contents\r\n",
            schematic ? "SCHEMATIC" : "NETLIST");
    for (size_t page = 0; page < pages; page++) {
        if (schematic)
            fprintf(out, "   (page P%zu\r\n", page);
        for (size_t i = 0; i < circuit->part_count; i++)
            if (i % pages == page)
                put_instance(out, circuit->parts[i], schematic);
        for (size_t i = 0; schematic && i < circuit->net_count; i++)
            fprintf(out, "   (offPageConnector OFF%zu)\r\n", i);
        for (size_t i = 0; i < circuit->net_count; i++)
            put_net(out, circuit->nets[i], page, pages);
        for (size_t i = page; i < circuit->part_count; i += pages)
            put_loose_edif(out, circuit->parts[i], page);
        if (schematic)
            fprintf(out, "   )\r\n");
    }
    fprintf(out, "  ))))\r\n(design (rename d ");
    put_string(out, or_empty(circuit->title));
    fprintf(out, ") (cellRef TOP (libraryRef D))))\r\n");
}

static void write_brackets(FILE *out, const struct circuit *circuit)
{
    for (size_t i = 0; i < circuit->part_count; i++)
        fprintf(out, "[\r\n%s\r\n%s\r\n%s\r\n\r\n\r\n]\r\n", circuit->parts[i]->ref,
                or_empty(circuit->parts[i]->footprint), or_empty(circuit->parts[i]->value));
    for (size_t i = 0; i < circuit->net_count; i++) {
        fprintf(out, "(\r\n%s\r\n", circuit->nets[i]->name);
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            fprintf(out, "%s-%s\r\n", circuit->nets[i]->pins[k]->part->ref, circuit->nets[i]->pins[k]->number);
        fprintf(out, ")\r\n");
    }
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++)
            if (circuit->parts[i]->pins[k].net == NULL)
                fprintf(out, "(\r\nunconnected-%zu-%zu\r\n%s-%s\r\n)\r\n", i, k, circuit->parts[i]->ref,
                        circuit->parts[i]->pins[k].number);
}

static void write_packages(FILE *out, const struct circuit *circuit)
{
    fprintf(out, "$PACKAGES\n");
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        fprintf(out, "'%s' ! '%s' ! '%s'; '%s'\n", or_empty(part->footprint), or_empty(part->symbol),
                or_empty(part->value), part->ref);
    }
    fprintf(out, "$NETS\n");
    for (size_t i = 0; i < circuit->net_count; i++) {
        fprintf(out, "'%s'; ", circuit->nets[i]->name);
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            fprintf(out, "%s.%s%s", circuit->nets[i]->pins[k]->part->ref, circuit->nets[i]->pins[k]->number,
                    k + 1 == circuit->nets[i]->pin_count ? "\n"
                    : k % 3 == 2                         ? ",\n    "
                                                         : " ");
    }
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++)
            if (circuit->parts[i]->pins[k].net == NULL)
                fprintf(out, "Unused_%zu_%zu; %s.%s\n", i, k, circuit->parts[i]->ref,
                        circuit->parts[i]->pins[k].number);
    fprintf(out, "$END\n");
}

static void write_stamped(FILE *out, const struct circuit *circuit)
{
    fprintf(out, "# Netlist Version 1.1 created  today\n(\n");
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        fprintf(out, " ( /%zu %s %s %s {Lib=%s}\n", i, part->footprint != NULL ? part->footprint : "$noname", part->ref,
                part->value != NULL ? part->value : "~", or_empty(part->symbol));
        for (size_t k = 0; k < part->pin_count; k++)
            fprintf(out, "  (    %s %s )\n", part->pins[k].number,
                    part->pins[k].net != NULL ? part->pins[k].net->name : "?");
        fprintf(out, " )\n");
    }
    fprintf(out, ")\n*\n{ Allowed footprints by component:\n$component C1\n C*\n$endlist\n}\n#End\n");
}

/* ---- XML ---- */

static void put_element(FILE *out, const char *name, const char *text)
{
    fprintf(out, "<%s>", name);
    put_escaped(out, text);
    fprintf(out, "</%s>", name);
}

static void put_xml_component(FILE *out, const struct part *part)
{
    fprintf(out, "<comp");
    put_attribute(out, "ref", part->ref);
    fprintf(out, ">");
    put_element(out, "value", part->value != NULL ? part->value : "~");
    if (part->footprint != NULL)
        put_element(out, "footprint", part->footprint);
    fprintf(out, "<fields>");
    for (size_t i = 0; i < part->field_count; i++)
        if (is_described(&part->fields[i])) {
            fprintf(out, "<field");
            put_attribute(out, "name", part->fields[i].name);
            fprintf(out, ">");
            put_escaped(out, part->fields[i].value);
            fprintf(out, "</field>");
        }
    fprintf(out, "</fields><libsource");
    put_attribute(out, "lib", or_empty(part->library));
    put_attribute(out, "part", or_empty(part->symbol));
    fprintf(out, "/>%s</comp>\n", part->not_fitted ? "<property name=\"dnp\"/>" : "");
}

static void put_xml_node(FILE *out, const struct pin *pin)
{
    fprintf(out, "<node");
    put_attribute(out, "ref", pin->part->ref);
    put_attribute(out, "pin", pin->number);
    if (pin->name != NULL)
        put_attribute(out, "pinfunction", pin->name);
    fprintf(out, "/>\n");
}

static void write_xml(FILE *out, const struct circuit *circuit)
{
    fprintf(
        out,
        "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<export version=\"E\"><design><sheet name=\"/\"><title_block>");
    put_element(out, "title", or_empty(circuit->title));
    fprintf(out, "</title_block></sheet></design>\n<components>\n");
    for (size_t i = 0; i < circuit->part_count; i++)
        put_xml_component(out, circuit->parts[i]);
    fprintf(out, "</components>\n<nets>\n");
    for (size_t i = 0; i < circuit->net_count; i++) {
        fprintf(out, "<net code=\"%zu\"", i + 1);
        put_attribute(out, "name", circuit->nets[i]->name);
        fprintf(out, ">\n");
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            put_xml_node(out, circuit->nets[i]->pins[k]);
        fprintf(out, "</net>\n");
    }
    fprintf(out, "</nets></export>\n");
}

/* ---- all of them ---- */

bool format_write(FILE *out, const char *format, const struct circuit *circuit)
{
    struct style style = {.quoted = strcmp(format, "export-old") != 0,
                          .newest = strcmp(format, "export-new") == 0,
                          .bare = strcmp(format, "export-bare") == 0};

    if (strcmp(format, "export-xml") == 0)
        write_xml(out, circuit);
    else if (strncmp(format, "export-", 7) == 0)
        write_export(out, circuit, &style);
    else if (strcmp(format, "edif-netlist") == 0 || strcmp(format, "edif-schematic") == 0)
        write_edif(out, circuit, strcmp(format, "edif-schematic") == 0);
    else if (strncmp(format, "ipc-2581-", 9) == 0)
        return format_write_ipc_2581(out, circuit, format + 9);
    else if (strcmp(format, "brackets") == 0)
        write_brackets(out, circuit);
    else if (strcmp(format, "packages") == 0)
        write_packages(out, circuit);
    else if (strcmp(format, "stamped") == 0)
        write_stamped(out, circuit);
    else if (strcmp(format, "deck") == 0)
        format_write_deck(out, circuit);
    else
        return false;
    return true;
}
