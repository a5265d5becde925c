/* The text netlist of blocks: `[` reference, footprint, value `]` for a part, `(` name, pins `)` for a net, one item a
 * line. Read twice, as a pin "A-1-2" can be split only when the parts are known. */
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "netlist/assembly.h"
#include "netlist/plain_lines.h"
#include "netlist/reader.h"

enum pass { PARTS, NETS };

struct blocks {
    struct assembly assembly;
    enum pass pass;
    char open;               /* '[', '(' or '{', 0 outside blocks */
    struct place opened;
    size_t line;             /* of the block, 0: the bracket's own */
    struct part *part;       /* of the block, or NULL */
    struct assembly_net *net; /* of the block, or NULL */
    bool strayed;            /* a line outside blocks was told of */
};

static bool starts_data(char c)
{
    return c == '{' || c == '"' || c == '[' || c == ']';
}

/* A bracket alone on the first line, and not what begins a document of another kind. */
static int detect(const struct source *source)
{
    struct plain_lines lines = plain_lines_start(source);
    struct plain_span line = {0};
    char bracket;

    while (plain_line(&lines, &line) && line.length == 0)
        ;
    if (!plain_is(&line, "[") && !plain_is(&line, "("))
        return 0;
    bracket = line.text[0];
    while (plain_line(&lines, &line) && line.length == 0)
        ;
    if (line.length == 0)
        return 1;
    if (bracket == '(')
        return line.text[0] == '(' || line.text[0] == '{' ? 0 : 2;
    return starts_data(line.text[0]) ? 0 : 2;
}

static void complain(struct blocks *blocks, enum level level, struct place place,
                     const char *expected, const char *message)
{
    if (blocks->pass == NETS) /* once */
        assembly_complain(&blocks->assembly, level, place, expected, "%s", message);
}

static void take_part_line(struct blocks *blocks, const struct plain_span *line)
{
    struct assembly *assembly = &blocks->assembly;
    const char *text = assembly_word(assembly, line->text, line->length);

    if (blocks->pass == NETS)
        return;
    if (blocks->line == 1)
        blocks->part = assembly_part(assembly, text, line->place);
    if (blocks->part == NULL || text == NULL)
        return;
    if (blocks->line == 2)
        blocks->part->footprint = text;
    else if (blocks->line == 3)
        blocks->part->value = strcmp(text, "~") != 0 ? text : NULL;
    else if (blocks->line > 3 && blocks->part->description == NULL)
        blocks->part->description = text;
}

static void take_pin_line(struct blocks *blocks, const struct plain_span *line)
{
    struct assembly *assembly = &blocks->assembly;
    struct assembly_pin pin = {.net = blocks->net, .place = line->place};
    struct plain_span rest = *line, word;
    const char *ref = NULL;
    bool split;

    plain_word(&rest, &word);
    if (word.length > 0 && word.text[word.length - 1] == ',')
        word.length--;
    split = plain_split(assembly, line, '-', &ref, &pin.number) && assembly_has(assembly, ref);
    if (!split && !plain_split(assembly, &word, '-', &ref, &pin.number) &&
        !plain_split(assembly, line, '-', &ref, &pin.number)) {
        complain(blocks, LEVEL_ERROR, line->place, "a part and its pin, such as R1-2",
                 "a connection that is none");
        return;
    }
    pin.part = assembly_find(assembly, ref, line->place);
    if (pin.part != NULL && pin.net != NULL)
        assembly_join(assembly, &pin);
}

static void take_net_line(struct blocks *blocks, const struct plain_span *line)
{
    struct assembly *assembly = &blocks->assembly;

    if (blocks->pass == PARTS)
        return;
    if (blocks->line > 1)
        take_pin_line(blocks, line);
    else
        blocks->net = assembly_net(assembly, assembly_text(assembly, line->text, line->length),
                                   line->place);
}

static void close_block(struct blocks *blocks)
{
    if (blocks->line == 0 && blocks->open == '[')
        complain(blocks, LEVEL_ERROR, blocks->opened, "a reference such as R1",
                 "a part without a reference");
    else if (blocks->line == 0 && blocks->open == '(')
        complain(blocks, LEVEL_ERROR, blocks->opened, "the net's name", "a net without a name");
    blocks->open = 0;
}

static void open_block(struct blocks *blocks, const struct plain_span *line)
{
    if (blocks->open != 0)
        complain(blocks, LEVEL_ERROR, blocks->opened, "the bracket that closes it",
                 "a block that is not closed");
    blocks->open = line->text[0];
    blocks->opened = line->place;
    blocks->line = 0;
    blocks->part = NULL;
    blocks->net = NULL;
}

static void take_line(struct blocks *blocks, const struct plain_span *line)
{
    static const char opening[] = "[({", closing[] = "])}";
    const char *bracket = line->length == 1 ? strchr(opening, line->text[0]) : NULL;

    if (line->length == 0 && blocks->line == 0)
        return;
    if (bracket != NULL && blocks->open != '{') {
        open_block(blocks, line);
    } else if (line->length == 1 && blocks->open != 0 &&
               line->text[0] == closing[strchr(opening, blocks->open) - opening]) {
        close_block(blocks);
    } else if (blocks->open == '[') {
        blocks->line++;
        take_part_line(blocks, line);
    } else if (blocks->open == '(' && line->length > 0) {
        blocks->line++;
        take_net_line(blocks, line);
    } else if (blocks->open == 0 && line->length > 0 && blocks->pass == NETS && !blocks->strayed) {
        blocks->strayed = true;
        complain(blocks, LEVEL_WARNING, line->place, "blocks in [ ] and ( )",
                 "text outside the blocks is not read");
    }
}

static void run_pass(struct blocks *blocks, enum pass pass, const struct source *source)
{
    struct plain_lines lines = plain_lines_start(source);
    struct plain_span line;

    blocks->pass = pass;
    blocks->open = 0;
    while (plain_line(&lines, &line))
        take_line(blocks, &line);
    if (blocks->open != 0)
        complain(blocks, LEVEL_ERROR, blocks->opened, "the bracket that closes it",
                 "the file ends inside a block: it is cut short");
}

static struct circuit *read_brackets(const struct read_input *input)
{
    struct blocks blocks = {0};

    assembly_start(&blocks.assembly, input, "text in brackets");
    blocks.assembly.unconnected = UNCONNECTED_BY_NAME;
    run_pass(&blocks, PARTS, input->source);
    run_pass(&blocks, NETS, input->source);
    return assembly_finish(&blocks.assembly);
}

const struct reader brackets_reader = {
    .name = "brackets",
    .help = "text netlists of [part] and (net) blocks",
    .detect = detect,
    .read = read_brackets,
};
