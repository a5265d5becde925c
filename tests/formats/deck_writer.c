#include "formats/deck_writer.h"

#include <ctype.h>
#include <string.h>

#include "circuit/circuit.h"

/* Parts of a letter of their own; all others are instances of a subcircuit of their symbol's name. */
static bool is_plain(const struct part *part)
{
    return part->letter != 0 && strchr("RCLDQMJVIB", part->letter) != NULL;
}

static bool has_names(const struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].name == NULL)
            return false;
    return part->pin_count > 0;
}

static bool is_first_of_symbol(const struct circuit *circuit, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (!is_plain(circuit->parts[i]) && circuit->parts[i]->symbol != NULL &&
            strcmp(circuit->parts[i]->symbol, circuit->parts[index]->symbol) == 0)
            return false;
    return true;
}

/* The names of an instance's pins, as a subcircuit without contents. */
static void put_pinning(FILE *out, const struct circuit *circuit, size_t index)
{
    const struct part *part = circuit->parts[index];

    if (is_plain(part) || part->symbol == NULL || !has_names(part) || !is_first_of_symbol(circuit, index))
        return;
    fprintf(out, ".subckt %s", part->symbol);
    for (size_t i = 0; i < part->pin_count; i++)
        fprintf(out, " %s", part->pins[i].name);
    fprintf(out, "\n.ends\n");
}

static void put_model(FILE *out, const struct model *model)
{
    fprintf(out, ".model %s %s(", model->name, model->type);
    for (size_t i = 0; i < model->parameter_count; i++)
        fprintf(out, "%s%s=%s", i > 0 ? " " : "", model->parameters[i].name, model->parameters[i].value);
    fprintf(out, ")\n");
}

static void put_nets(FILE *out, const struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].net != NULL)
            fprintf(out, " %s", part->pins[i].net->name);
        else
            fprintf(out, " NC_%s_%s", part->ref, part->pins[i].number);
}

static void put_fields(FILE *out, const struct part *part, bool valued)
{
    if (valued && part->value != NULL)
        fprintf(out, " value=\"%s\"", part->value);
    for (size_t i = 0; i < part->field_count; i++)
        if (strcmp(part->fields[i].key, "value") != 0)
            fprintf(out, " %s=\"%s\"", part->fields[i].name, part->fields[i].value);
}

static void put_part(FILE *out, const struct part *part)
{
    bool plain = is_plain(part);
    const char *type = plain ? part->value : part->symbol;

    /* A reference keeps its letter: D1 is D1, XF1 is F1, and so is VMAINS. */
    if (!plain || toupper((unsigned char)part->ref[0]) != part->letter)
        putc(plain ? part->letter : 'X', out);
    fputs(part->ref, out);
    put_nets(out, part);
    fprintf(out, " %s", type != NULL ? type : "");
    put_fields(out, part, !plain);
    putc('\n', out);
}

void format_write_deck(FILE *out, const struct circuit *circuit)
{
    fprintf(out, "%s\n", circuit->title != NULL ? circuit->title : "untitled");
    for (size_t i = 0; i < circuit->part_count; i++)
        put_pinning(out, circuit, i);
    for (size_t i = 0; i < circuit->model_count; i++)
        put_model(out, circuit->models[i]);
    for (size_t i = 0; i < circuit->part_count; i++)
        put_part(out, circuit->parts[i]);
    for (size_t i = 0; i < circuit->coupling_count; i++) {
        const struct coupling *coupling = &circuit->couplings[i];

        fprintf(out, "%s", coupling->ref);
        for (size_t k = 0; k < coupling->inductor_count; k++)
            fprintf(out, " %s", coupling->inductors[k]);
        fprintf(out, " %.9g\n", coupling->coefficient);
    }
    fprintf(out, ".end\n");
}
