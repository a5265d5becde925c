/* The text netlist of sections: `$PACKAGES` with `footprint ! device ! value ; references`, `$NETS` with
 * `name ; part.pin part.pin`; a comma at the end of a line goes on. Read twice, as a pin "A.1.2" can be split only
 * when the parts are known. */
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/assembly.h"
#include "netlist/plain_lines.h"
#include "netlist/reader.h"

enum section { OUTSIDE, PACKAGES, NETS, SKIPPED };

/* One half of a statement: spans of its lines, each a word, a quoted text or a mark. */
struct sections {
    struct assembly assembly;
    enum section pass, section;
    bool ended;     /* by $END */
    bool going_on;  /* the last line ended in a comma */
    bool after;     /* past the semicolon of the statement */
    size_t segment; /* exclamation marks so far */
    struct place start;
    struct text segments[3]; /* footprint, device, value, or a net's name in the first */
    struct assembly_net *net;
};

enum { LINES_LOOKED_AT = 100 };

static int detect(const struct source *source)
{
    struct plain_lines lines = plain_lines_start(source);
    struct plain_span line;

    for (int i = 0; i < LINES_LOOKED_AT && plain_line(&lines, &line); i++)
        if (plain_is(&line, "$PACKAGES") || plain_is(&line, "$NETS"))
            return 2;
    return 0;
}

static void complain(struct sections *sections, struct place place, const char *expected,
                     const char *message)
{
    if (sections->pass == NETS) /* once */
        assembly_complain(&sections->assembly, LEVEL_ERROR, place, expected, "%s", message);
}

/* What follows the quote END without a blank belongs to the word: 'Mix Out'.1 */
static void take_tail(struct sections *sections, struct plain_span *line, struct plain_span *word,
                      const char *end)
{
    struct text text = {0};
    struct plain_span tail;

    if (end == NULL || line->length == 0 || line->text != end + 1 ||
        strchr("!;,'", line->text[0]) != NULL)
        return;
    plain_word(line, &tail);
    text_add_span(&text, word->text, word->length);
    text_add_span(&text, tail.text, tail.length);
    while (text.length > 0 && strchr(",;", text.bytes[text.length - 1]) != NULL)
        text.length--;
    word->text = assembly_text(&sections->assembly, text_bytes(&text), text.length);
    word->length = strlen(word->text);
    text_free(&text);
}

/* Takes the next word, '...' without its quotes, or one of the marks ! ; , off LINE. */
static bool take_word(struct sections *sections, struct plain_span *line, struct plain_span *word,
                      bool *quoted)
{
    const char *text = line->text;
    size_t length = 0;

    *quoted = false;
    if (line->length == 0)
        return false;
    if (text[0] == '\'') {
        const char *end = memchr(text + 1, '\'', line->length - 1);

        *quoted = true;
        length = end != NULL ? (size_t)(end - text) - 1 : line->length - 1;
        if (end == NULL)
            complain(sections, line->place, "a quote that closes it", "a name that is not closed");
        *word = plain_part(line, 1, length);
        *line = plain_part(line, length + 1 + (end != NULL), line->length - length - 1 - (end != NULL));
        take_tail(sections, line, word, end);
        return true;
    }
    length = strchr("!;,", text[0]) != NULL ? 1 : 0;
    while (length < line->length && (length == 0 || strchr("!;,", text[0]) == NULL) &&
           strchr("!;, \t", text[length]) == NULL)
        length++;
    *word = plain_part(line, 0, length);
    *line = plain_part(line, length, line->length - length);
    return true;
}

static const char *segment_text(struct sections *sections, size_t segment)
{
    const struct text *text = &sections->segments[segment];

    return assembly_word(&sections->assembly, text_bytes(text), text->length);
}

static void take_reference(struct sections *sections, const struct plain_span *word)
{
    struct assembly *assembly = &sections->assembly;
    const char *value = segment_text(sections, 2), *ref;
    struct part *part;

    ref = assembly_word(assembly, word->text, word->length);
    part = ref != NULL ? assembly_part(assembly, ref, word->place) : NULL;
    if (part == NULL)
        return;
    part->footprint = segment_text(sections, 0);
    part->symbol = segment_text(sections, 1);
    part->value = value != NULL && strcmp(value, "~") != 0 ? value : NULL;
}

static void take_connection(struct sections *sections, const struct plain_span *word)
{
    struct assembly *assembly = &sections->assembly;
    struct assembly_pin pin = {.net = sections->net, .place = word->place};
    const char *ref;

    if (!plain_split(assembly, word, '.', &ref, &pin.number)) {
        complain(sections, word->place, "a part and its pin, such as R1.2",
                 "a connection that is none");
        return;
    }
    pin.part = assembly_find(assembly, ref, word->place);
    if (pin.part != NULL && pin.net != NULL)
        assembly_join(assembly, &pin);
}

static void take_semicolon(struct sections *sections)
{
    const char *name = segment_text(sections, 0);

    sections->after = true;
    sections->net = NULL;
    if (sections->section != NETS || sections->pass != NETS)
        return;
    if (name == NULL)
        complain(sections, sections->start, "the net's name", "a net without a name");
    else
        sections->net = assembly_net(&sections->assembly, name, sections->start);
}

static void add_to_segment(struct sections *sections, const struct plain_span *word)
{
    struct text *text;

    if (sections->segment >= 3)
        return; /* tolerance and what else there is */
    text = &sections->segments[sections->segment];
    if (text->length > 0)
        text_add_char(text, ' ');
    text_add_span(text, word->text, word->length);
}

static void take_statement_word(struct sections *sections, const struct plain_span *word, bool quoted)
{
    if (!quoted && plain_is(word, ","))
        return;
    if (!sections->after && !quoted && plain_is(word, ";"))
        take_semicolon(sections);
    else if (!sections->after && !quoted && plain_is(word, "!"))
        sections->segment++;
    else if (!sections->after)
        add_to_segment(sections, word);
    else if (sections->section == sections->pass && sections->section == PACKAGES)
        take_reference(sections, word);
    else if (sections->section == sections->pass)
        take_connection(sections, word);
}

static void start_statement(struct sections *sections, const struct plain_span *line)
{
    sections->start = line->place;
    sections->after = false;
    sections->segment = 0;
    for (size_t i = 0; i < 3; i++)
        sections->segments[i].length = 0;
}

static void take_section(struct sections *sections, const struct plain_span *line)
{
    if (sections->going_on)
        complain(sections, line->place, "the line that goes on after the comma",
                 "a statement that is cut short");
    sections->going_on = false;
    sections->ended |= plain_starts(line, "$END");
    sections->section = plain_is(line, "$PACKAGES") ? PACKAGES
                        : plain_is(line, "$NETS")   ? NETS
                                                    : SKIPPED;
}

static void take_line(struct sections *sections, struct plain_span line)
{
    bool quoted = false, comma = line.length > 0 && line.text[line.length - 1] == ',';
    struct plain_span word;

    if (line.length == 0)
        return;
    if (line.text[0] == '$') {
        take_section(sections, &line);
        return;
    }
    if (sections->section != PACKAGES && sections->section != NETS)
        return;
    if (!sections->going_on)
        start_statement(sections, &line);
    sections->going_on = comma;
    while (take_word(sections, &line, &word, &quoted))
        take_statement_word(sections, &word, quoted);
    if (!comma && !sections->after)
        complain(sections, sections->start, "what it is, a semicolon, and what it holds",
                 "a statement without a semicolon");
}

static void run_pass(struct sections *sections, enum section pass, const struct source *source)
{
    struct plain_lines lines = plain_lines_start(source);
    struct plain_span line;

    sections->pass = pass;
    sections->section = OUTSIDE;
    sections->ended = sections->going_on = false;
    while (!sections->ended && plain_line(&lines, &line))
        take_line(sections, line);
    if (!sections->ended)
        complain(sections, (struct place){.source = source, .line = lines.line, .column = 1}, "$END",
                 "the file does not end with $END: it is cut short");
}

static struct circuit *read_packages(const struct read_input *input)
{
    struct sections sections = {0};

    assembly_start(&sections.assembly, input, "text in sections");
    sections.assembly.unconnected = UNCONNECTED_BY_NAME;
    run_pass(&sections, PACKAGES, input->source);
    run_pass(&sections, NETS, input->source);
    for (size_t i = 0; i < 3; i++)
        text_free(&sections.segments[i]);
    return assembly_finish(&sections.assembly);
}

const struct reader packages_reader = {
    .name = "packages",
    .help = "text netlists with $PACKAGES and $NETS",
    .detect = detect,
    .read = read_packages,
};
