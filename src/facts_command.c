/* prearc facts FILE: the facts document. */
#include "cli.h"

#include <stdint.h>

#include <libxml/tree.h>

#include "base/text.h"
#include "output.h"
#include "run.h"

static bool write_facts(const char *path, xmlDoc *facts)
{
    struct text text = {0};
    xmlChar *bytes = NULL;
    int length = 0;
    bool written;

    xmlDocDumpFormatMemoryEnc(facts, &bytes, &length, "UTF-8", 1);
    if (bytes == NULL) {
        output_complain("the facts document cannot be written as XML");
        return false;
    }
    text_add_span(&text, (const char *)bytes, (size_t)length);
    xmlFree(bytes);
    written = output_write(path, &text);
    text_free(&text);
    return written;
}

static int facts(const struct options *options)
{
    struct run *run = run_one(options, options->operands, options->operand_count);
    bool good = run != NULL && run_complain(run);

    if (run != NULL && run->facts != NULL && !write_facts(options->output, run->facts))
        good = false;
    run_free(run);
    return good ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command facts_command = {
    .name = "facts",
    .arguments = "FILE...",
    .help = "all that was read and computed, as XML",
    .bit = ON_FACTS,
    .least = 1,
    .most = SIZE_MAX,
    .run = facts,
};
