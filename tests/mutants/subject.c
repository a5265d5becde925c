/* What the facts of a sound circuit say. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "fuselink/fuselink.h"
#include "mutants/mutants.h"

static xmlXPathObject *evaluate(const struct subject *subject, const char *format, va_list arguments)
{
    char path[1024];
    xmlXPathObject *result;

    vsnprintf(path, sizeof path, format, arguments);
    result = xmlXPathEvalExpression((const xmlChar *)path, subject->xpath);
    if (result == NULL) {
        fprintf(stderr, "mutants: not an XPath: %s\n", path);
        exit(2);
    }
    return result;
}

xmlNode **subject_nodes(const struct subject *subject, const char *format, ...)
{
    va_list arguments;
    xmlXPathObject *result;
    size_t count;
    xmlNode **nodes;

    va_start(arguments, format);
    result = evaluate(subject, format, arguments);
    va_end(arguments);
    count = result->nodesetval != NULL ? (size_t)result->nodesetval->nodeNr : 0;
    nodes = arena_array(subject->drawing->arena, count + 1, sizeof *nodes);
    for (size_t i = 0; i < count; i++)
        nodes[i] = result->nodesetval->nodeTab[i];
    xmlXPathFreeObject(result);
    return nodes;
}

double subject_number(const struct subject *subject, const char *format, ...)
{
    va_list arguments;
    xmlXPathObject *result;
    double number;

    va_start(arguments, format);
    result = evaluate(subject, format, arguments);
    va_end(arguments);
    number = xmlXPathCastToNumber(result);
    xmlXPathFreeObject(result);
    return number;
}

/* The attribute's own text, which the document keeps. */
const char *said(const xmlNode *node, const char *attribute)
{
    const xmlAttr *found = xmlHasProp(node, (const xmlChar *)attribute);

    if (found == NULL)
        return NULL;
    return found->children != NULL ? (const char *)found->children->content : "";
}

double said_number(const xmlNode *node, const char *attribute)
{
    const char *text = said(node, attribute);

    return text != NULL ? strtod(text, NULL) : NAN;
}

void try_mutant(struct corpus *corpus, const struct subject *subject, struct drawing *drawing, const char *rule,
                const char *object, const char *change)
{
    struct mutant mutant = {.rule = rule, .object = object, .change = change, .drawing = drawing};

    mutant_try(corpus, subject, &mutant);
}

void try_untold(struct corpus *corpus, const struct subject *subject, struct drawing *drawing, const char *rule,
                const char *object, const char *change)
{
    struct mutant mutant = {.rule = rule, .object = object, .change = change, .drawing = drawing, .unverified = true};

    mutant_try(corpus, subject, &mutant);
}

void mark(struct piece *piece, const char *marking)
{
    if (piece->value != NULL)
        piece->value = marking;
    piece_set_field(piece, "rating", marking);
}

void bridge_over(struct drawing *drawing, const char *ref)
{
    struct piece *piece = drawing_piece(drawing, ref);
    const char *kept = piece->pins[1].net, *gone = piece->pins[0].net;

    drawing_remove(drawing, ref);
    if (strcmp(gone, "0") == 0)
        drawing_join(drawing, gone, kept);
    else
        drawing_join(drawing, kept, gone);
}

static const char *pin_says(const struct subject *subject, const char *ref, const char *role, unsigned unit,
                            const char *attribute)
{
    xmlNode **pins = subject_nodes(subject, "/facts/part[@ref='%s']/pin[@role='%s' and @unit='%u']", ref, role, unit);

    return pins[0] != NULL ? said(pins[0], attribute) : NULL;
}

const char *pin_of(const struct subject *subject, const char *ref, const char *role, unsigned unit)
{
    return pin_says(subject, ref, role, unit, "number");
}

const char *net_of(const struct subject *subject, const char *ref, const char *role, unsigned unit)
{
    return pin_says(subject, ref, role, unit, "net");
}

struct piece *put_in_series(struct drawing *drawing, struct piece *piece, const char *number, const char *letters,
                            const char *symbol, const char *value)
{
    const char *old = piece_pin(piece, number)->net;
    const char *made = drawing_cut(drawing, piece, number);

    return drawing_add(drawing, letters, symbol, value,
                       arena_print(drawing->arena, letters[0] == 'D' ? "A:%s K:%s" : "%s %s", made, old));
}

void forget_type(struct piece *piece, const struct subject *subject)
{
    xmlNode **part = subject_nodes(subject, "/facts/part[@ref='%s']", piece->ref);

    piece->value = "VALVE";
    piece->symbol = "VALVE_OF_NO_TYPE";
    for (size_t i = 0; i < piece->pin_count; i++) {
        xmlNode **pin =
            subject_nodes(subject, "/facts/part[@ref='%s']/pin[@number='%s']", piece->ref, piece->pins[i].number);
        const char *role = pin[0] != NULL ? said(pin[0], "role") : "none";
        bool second = pin[0] != NULL && said_number(pin[0], "unit") > 0;

        piece->pins[i].name = strcmp(role, "anode") == 0     ? (second ? "A2" : "A")
                              : strcmp(role, "cathode") == 0 ? (second ? "K2" : "K")
                              : strcmp(role, "grid") == 0    ? (second ? "G_2" : "G1")
                              : strcmp(role, "screen") == 0  ? "G2"
                              : strcmp(role, "heater") == 0  ? arena_print(subject->drawing->arena, "H%zu", i)
                                                             : arena_print(subject->drawing->arena, "NC%zu", i);
    }
    piece_set_field(piece, "kind", said(part[0], "kind"));
}

double preferred(double amps, bool below)
{
    size_t count;
    const double *list = rating_list(RATING_R10, &count);
    double under = list[0];

    for (size_t i = 0; i < count; i++) {
        if (list[i] >= amps * 0.999 && !below)
            return list[i];
        if (list[i] <= amps * 1.001)
            under = list[i];
    }
    return below ? under : rating_at_least(amps / 10) * 10;
}

const char *marking(struct corpus *corpus, const char *speed, double amps, const char *rest)
{
    if (amps < 1)
        return mutant_text(corpus, "%s%gmA%s", speed, round(amps * 1000), rest);
    return mutant_text(corpus, "%s%gA%s", speed, amps, rest);
}
