/* The text netlist of parts with their pins, one a line: `( /stamp footprint ref value {Lib=symbol}`, `( pin net )`.
 * Names hold parentheses of their own, "Net-(C1-Pad2)", hence only a line's first and last count. */
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "netlist/assembly.h"
#include "netlist/plain_lines.h"
#include "netlist/reader.h"

struct stamped {
    struct assembly assembly;
    int depth;             /* 0 before the list, 1 in it, 2 in a part, 3 after the list */
    size_t comment;        /* braces that are open */
    struct place opened;   /* the list or the part */
    struct part *part;     /* being read, or NULL */
};

static bool is_comment(const struct plain_span *line)
{
    return line->length == 0 || line->text[0] == '#' || line->text[0] == '{' || line->text[0] == '*';
}

/* After comments a parenthesis, and in it another or a comment. */
static int detect(const struct source *source)
{
    struct plain_lines lines = plain_lines_start(source);
    struct plain_span line = {0};

    while (plain_line(&lines, &line) && (line.length == 0 || line.text[0] == '#'))
        ;
    if (line.length == 0 || line.text[0] != '(')
        return 0;
    line = plain_part(&line, 1, line.length - 1);
    while (line.length == 0 && plain_line(&lines, &line))
        ;
    return line.length > 0 && (line.text[0] == '(' || line.text[0] == '{') ? 2 : 0;
}

/* Takes the comment that LINE is in or starts with off it. */
static void skip_comment(struct stamped *stamped, struct plain_span *line)
{
    size_t at = 0;

    if (stamped->comment == 0 && (line->length == 0 || line->text[0] != '{'))
        return;
    for (; at < line->length; at++) {
        if (line->text[at] == '{')
            stamped->comment++;
        else if (line->text[at] == '}' && --stamped->comment == 0) {
            at++;
            break;
        }
    }
    *line = plain_part(line, at, line->length - at);
}

/* Takes `{Lib=NAME}` off the end of LINE. */
static const char *take_symbol(struct stamped *stamped, struct plain_span *line)
{
    size_t start = 0;
    struct plain_span inside;

    while (start < line->length && (line->text[start] != '{' ||
                                    !(start + 5 <= line->length &&
                                      memcmp(line->text + start, "{Lib=", 5) == 0)))
        start++;
    if (start == line->length)
        return NULL;
    inside = plain_part(line, start + 5, line->length - start - 5);
    *line = plain_part(line, 0, start);
    if (inside.length > 0 && inside.text[inside.length - 1] == '}')
        inside.length--;
    return assembly_word(&stamped->assembly, inside.text, inside.length);
}

static void begin_part(struct stamped *stamped, struct plain_span line)
{
    struct assembly *assembly = &stamped->assembly;
    struct place place = line.place;
    const char *symbol = take_symbol(stamped, &line), *value;
    struct plain_span stamp, footprint = {0}, ref = {0};

    stamped->depth = 2;
    stamped->opened = place;
    stamped->part = NULL;
    if (!plain_word(&line, &stamp) || !plain_word(&line, &footprint) || !plain_word(&line, &ref)) {
        assembly_complain(assembly, LEVEL_ERROR, place, "/stamp, footprint, reference and value",
                          "a part without a reference");
        return;
    }
    stamped->part = assembly_part(assembly, assembly_text(assembly, ref.text, ref.length), ref.place);
    if (stamped->part == NULL)
        return;
    value = assembly_word(assembly, line.text, line.length);
    stamped->part->value = value != NULL && strcmp(value, "~") != 0 ? value : NULL;
    stamped->part->symbol = symbol;
    if (!plain_is(&footprint, "$noname"))
        stamped->part->footprint = assembly_word(assembly, footprint.text, footprint.length);
}

static bool is_balanced(const struct plain_span *text)
{
    size_t depth = 0;

    for (size_t i = 0; i < text->length; i++) {
        if (text->text[i] == ')' && depth == 0)
            return false;
        depth += text->text[i] == '(';
        depth -= text->text[i] == ')';
    }
    return true;
}

/* LINE is what follows the parenthesis. */
static void take_pin(struct stamped *stamped, struct plain_span line)
{
    struct assembly *assembly = &stamped->assembly;
    struct assembly_pin pin = {.part = stamped->part, .place = line.place};
    struct plain_span number;
    const char *name;

    if (line.length > 0 && line.text[line.length - 1] == ')' && !is_balanced(&line))
        line = plain_part(&line, 0, line.length - 1);
    else
        assembly_complain(assembly, LEVEL_ERROR, line.place, "a parenthesis that closes it",
                          "a pin that is not closed");
    if (!plain_word(&line, &number) || line.length == 0) {
        assembly_complain(assembly, LEVEL_ERROR, pin.place, "the pin's number and its net",
                          "a pin without a net");
        return;
    }
    if (pin.part == NULL)
        return;
    pin.number = assembly_text(assembly, number.text, number.length);
    name = assembly_text(assembly, line.text, line.length);
    if (strcmp(name, "?") != 0 && (pin.net = assembly_net_again(assembly, name, line.place)) == NULL)
        return;
    assembly_join(assembly, &pin);
}

static void stray(struct stamped *stamped, const struct plain_span *line)
{
    assembly_complain(&stamped->assembly, LEVEL_ERROR, line->place, "a part, a pin or a parenthesis",
                      "a line that is not understood");
}

static void take_opening(struct stamped *stamped, const struct plain_span *line)
{
    struct plain_span inside = plain_part(line, 1, line->length - 1);

    if (stamped->depth == 0) {
        stamped->depth = 1;
        stamped->opened = line->place;
        skip_comment(stamped, &inside);
        if (inside.length > 0 && inside.text[0] == '(')
            begin_part(stamped, plain_part(&inside, 1, inside.length - 1));
    } else if (stamped->depth == 1) {
        begin_part(stamped, inside);
    } else {
        take_pin(stamped, inside);
    }
}

static void take_line(struct stamped *stamped, struct plain_span line)
{
    skip_comment(stamped, &line);
    if (stamped->depth == 3 || is_comment(&line))
        return;
    if (line.text[0] == '(')
        take_opening(stamped, &line);
    else if (plain_is(&line, ")"))
        stamped->depth = stamped->depth == 2 ? 1 : 3;
    else
        stray(stamped, &line);
}

static struct circuit *read_stamped(const struct read_input *input)
{
    struct stamped stamped = {0};
    struct plain_lines lines = plain_lines_start(input->source);
    struct plain_span line;

    assembly_start(&stamped.assembly, input, "text list of pins");
    stamped.assembly.unconnected = UNCONNECTED_BY_NAME;
    while (plain_line(&lines, &line))
        take_line(&stamped, line);
    if (stamped.depth != 3)
        assembly_complain(&stamped.assembly, LEVEL_ERROR, stamped.opened,
                          "a parenthesis that closes it",
                          "the file ends inside the list: it is cut short");
    return assembly_finish(&stamped.assembly);
}

const struct reader stamped_reader = {
    .name = "stamped",
    .help = "text netlists of parts with one pin a line",
    .detect = detect,
    .read = read_stamped,
};
