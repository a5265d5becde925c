#include "netlist/reader.h"

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "base/text.h"

static const struct reader *const readers[] = {
    &xml_reader,      &export_reader,  &edif_reader, &brackets_reader,
    &packages_reader, &stamped_reader, &spice_reader /* knows least surely: last */
};

enum { READER_COUNT = sizeof readers / sizeof *readers };

/* The surest reader, the first of those that are equally sure; NULL if none knows the format. */
static const struct reader *surest(const struct source *source)
{
    const struct reader *best = NULL;
    int most = 0;

    for (size_t i = 0; i < READER_COUNT; i++) {
        int sure = readers[i]->detect(source);

        if (sure > most) {
            most = sure;
            best = readers[i];
        }
    }
    return best;
}

static void report_unknown(const struct read_input *input)
{
    struct text known = {0};
    const char *line;
    size_t length = 0;
    struct place place = {.source = input->source, .line = 1, .column = 1};

    for (size_t i = 0; i < READER_COUNT; i++)
        text_print(&known, "%s%s", i > 0 ? "; or " : "", readers[i]->help);
    line = source_line(input->source, 1, &length);
    diag_input(input->diags, LEVEL_ERROR, place,
               line != NULL ? arena_copy_span(input->arena, line, length) : NULL,
               text_bytes(&known), "%s is in no netlist format known here", input->source->name);
    text_free(&known);
}

struct circuit *netlist_read(const struct read_input *input)
{
    const struct reader *reader = surest(input->source);

    if (reader != NULL)
        return reader->read(input);
    report_unknown(input);
    return NULL;
}
