/* Names, numbers and texts of an EDIF file, and the properties they make; version and level. */
#include "netlist/edif_lists.h"

#include <ctype.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

/* The whole of TEXT as a number not above MOST. */
static bool parse_count(const char *text, size_t most, size_t *count)
{
    char *end;
    unsigned long long value;

    if (text == NULL || !isdigit((unsigned char)text[0]))
        return false;
    errno = 0;
    value = strtoull(text, &end, 10);
    if (errno != 0 || *end != '\0' || value > most)
        return false;
    *count = (size_t)value;
    return true;
}

void edif_begin_property(struct edif_file *file, struct frame *frame)
{
    file->property = (struct edif_property){.place = frame->place};
}

void edif_end_property(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_properties *properties = around->list == LIST_INSTANCE ? &file->instance->properties
                                         : around->list == LIST_CELL   ? &file->cell->properties
                                                                  : &file->view->properties;

    if (frame->name.id == NULL)
        return;
    file->property.name = edif_called(file, &frame->name);
    file->property.value = frame->text != NULL           ? frame->text
                           : frame->numbers[0] != NULL ? frame->numbers[0]
                                                         : "";
    properties->items = arena_grow(file->scratch, properties->items, &properties->capacity,
                                   properties->count, sizeof *properties->items);
    properties->items[properties->count++] = file->property;
}

/* A string or number that stands in another list. */
void edif_end_text(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->text = frame->text != NULL ? frame->text : frame->name.id;
}

/* (e MANTISSA LIST_EXPONENT), a number to the base of ten. */
void edif_end_exponent(struct edif_file *file, struct frame *frame, struct frame *around)
{
    const char *mantissa = frame->name.id, *exponent = frame->numbers[0];
    double value;
    char *end;

    if (mantissa == NULL || exponent == NULL)
        return;
    value = strtod(arena_print(file->scratch, "%se%s", mantissa, exponent), &end);
    if (*end != '\0' || value > 1e300 || value < -1e300)
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a mantissa and an exponent",
                          "a number that cannot be");
    else
        around->text = arena_print(file->assembly.arena, "%.15g", value);
}

void edif_end_true(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->text = frame->list == LIST_TRUE ? "true" : "false";
}

void edif_end_name(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->name = frame->name;
    if (frame->text != NULL)
        around->name.display = frame->text;
    if (frame->size > 0)
        around->size = frame->size;
}

void edif_end_array(struct edif_file *file, struct frame *frame, struct frame *around)
{
    edif_end_name(file, frame, around);
    if (frame->number_count == 1 &&
        parse_count(frame->numbers[0], EDIF_ARRAY_LARGEST, &around->size) && around->size > 0)
        return;
    around->size = 1;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place,
                      "a name and one size of 1 to 4096",
                      "an array that is too large or has several dimensions is read as one item");
}

void edif_end_member(struct edif_file *file, struct frame *frame, struct frame *around)
{
    around->name = frame->name;
    if (frame->number_count == 1 &&
        parse_count(frame->numbers[0], EDIF_ARRAY_LARGEST - 1, &around->index))
        return;
    around->name.id = NULL;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a name and one index below 4096",
                      "a member of an array that cannot be is left out");
}

void edif_end_version(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    if (frame->name.id == NULL || strcmp(frame->name.id, "2") == 0)
        return;
    file->refused = true;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "(edifVersion 2 0 0)",
                      "EDIF of version %s is not read", frame->name.id);
}

void edif_end_level(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    if (frame->name.id != NULL && strcmp(frame->name.id, "0") != 0)
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "(edifLevel 0)",
                          "EDIF of level %s is read as level 0", frame->name.id);
}

void edif_end_alias(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "keywords as the standard has them",
                      "words that stand for keywords are not read");
}
