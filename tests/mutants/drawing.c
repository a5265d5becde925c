#include "mutants/drawing.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"

static void grow(struct drawing *drawing)
{
    struct piece **old = drawing->pieces;

    if (drawing->count < drawing->capacity)
        return;
    drawing->capacity = drawing->capacity * 2 + 32;
    drawing->pieces = arena_array(drawing->arena, drawing->capacity, sizeof(struct piece *));
    for (size_t i = 0; i < drawing->count; i++)
        drawing->pieces[i] = old[i];
}

static struct piece *piece_of(struct arena *arena, const struct part *part)
{
    struct piece *piece = arena_alloc(arena, sizeof *piece);

    piece->ref = part->ref;
    piece->value = part->value;
    piece->symbol = part->symbol;
    piece->library = part->library;
    piece->footprint = part->footprint;
    piece->letter = part->letter;
    for (size_t i = 0; i < part->pin_count && i < PIECE_PINS; i++)
        piece->pins[piece->pin_count++] = (struct piece_pin){
            part->pins[i].number, part->pins[i].name, part->pins[i].net != NULL ? part->pins[i].net->name : NULL};
    for (size_t i = 0; i < part->field_count && i < PIECE_FIELDS; i++)
        piece->fields[piece->field_count++] = (struct piece_field){part->fields[i].name, part->fields[i].value};
    return piece;
}

struct drawing *drawing_of(struct arena *arena, const struct circuit *circuit)
{
    struct drawing *drawing = arena_alloc(arena, sizeof *drawing);

    drawing->arena = arena;
    drawing->origin = circuit;
    for (size_t i = 0; i < circuit->part_count; i++) {
        grow(drawing);
        drawing->pieces[drawing->count++] = piece_of(arena, circuit->parts[i]);
    }
    return drawing;
}

struct drawing *drawing_copy(const struct drawing *drawing, struct arena *arena)
{
    struct drawing *copy = arena_alloc(arena, sizeof *copy);

    *copy = *drawing;
    copy->arena = arena;
    copy->capacity = copy->count = 0;
    copy->pieces = NULL;
    for (size_t i = 0; i < drawing->count; i++) {
        grow(copy);
        copy->pieces[copy->count] = arena_alloc(arena, sizeof(struct piece));
        *copy->pieces[copy->count++] = *drawing->pieces[i];
    }
    return copy;
}

/* ---- back to a circuit ---- */

static void add_models(struct circuit *circuit, const struct circuit *origin, struct place nowhere)
{
    for (size_t i = 0; i < origin->model_count; i++) {
        struct model *model = circuit_add_model(circuit, origin->models[i]->name, origin->models[i]->type, nowhere);

        for (size_t k = 0; k < origin->models[i]->parameter_count; k++)
            circuit_add_parameter(circuit, model, origin->models[i]->parameters[k].name,
                                  origin->models[i]->parameters[k].value);
    }
    for (size_t i = 0; i < origin->coupling_count; i++) {
        const struct coupling *old = &origin->couplings[i];
        struct coupling *coupling = circuit_add_coupling(circuit, old->ref, old->coefficient, nowhere);

        for (size_t k = 0; k < old->inductor_count; k++)
            circuit_couple(circuit, coupling, old->inductors[k]);
    }
}

struct circuit *drawing_circuit(const struct drawing *drawing, struct arena *arena)
{
    struct place nowhere = {0};
    struct circuit *circuit = circuit_new(arena, NULL);

    circuit->title = drawing->origin->title;
    for (size_t i = 0; i < drawing->count; i++) {
        const struct piece *piece = drawing->pieces[i];
        struct part *part = circuit_add_part(circuit, piece->ref, nowhere);

        part->value = piece->value;
        part->symbol = piece->symbol;
        part->library = piece->library;
        part->footprint = piece->footprint;
        part->letter = piece->letter;
        for (size_t k = 0; k < piece->pin_count; k++)
            circuit_connect(circuit, part, piece->pins[k].number, piece->pins[k].name, NULL,
                            piece->pins[k].net != NULL ? circuit_net(circuit, piece->pins[k].net, nowhere) : NULL);
        for (size_t k = 0; k < piece->field_count; k++)
            circuit_add_field(circuit, part, piece->fields[k].name, piece->fields[k].value);
    }
    add_models(circuit, drawing->origin, nowhere);
    circuit_finish(circuit);
    return circuit;
}

/* ---- looking ---- */

struct piece *drawing_piece(const struct drawing *drawing, const char *ref)
{
    for (size_t i = 0; i < drawing->count; i++)
        if (strcmp(drawing->pieces[i]->ref, ref) == 0)
            return drawing->pieces[i];
    return NULL;
}

struct piece_pin *piece_pin(struct piece *piece, const char *number)
{
    for (size_t i = 0; i < piece->pin_count; i++)
        if (strcmp(piece->pins[i].number, number) == 0)
            return &piece->pins[i];
    return NULL;
}

const char *piece_field(const struct piece *piece, const char *name)
{
    for (size_t i = 0; i < piece->field_count; i++)
        if (strcmp(piece->fields[i].name, name) == 0)
            return piece->fields[i].value;
    return NULL;
}

size_t drawing_pins_on(const struct drawing *drawing, const char *net)
{
    size_t count = 0;

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->pieces[i]->pin_count; k++)
            count += drawing->pieces[i]->pins[k].net != NULL && strcmp(drawing->pieces[i]->pins[k].net, net) == 0;
    return count;
}

bool piece_is_on(const struct piece *piece, const char *net)
{
    for (size_t i = 0; i < piece->pin_count; i++)
        if (piece->pins[i].net != NULL && strcmp(piece->pins[i].net, net) == 0)
            return true;
    return false;
}

const char *piece_other(const struct piece *piece, const char *net)
{
    return strcmp(piece->pins[0].net, net) == 0 ? piece->pins[1].net : piece->pins[0].net;
}

/* ---- changing ---- */

void piece_set_field(struct piece *piece, const char *name, const char *value)
{
    for (size_t i = 0; i < piece->field_count; i++) {
        if (strcmp(piece->fields[i].name, name) != 0)
            continue;
        if (value != NULL)
            piece->fields[i].value = value;
        else
            piece->fields[i] = piece->fields[--piece->field_count];
        return;
    }
    if (value != NULL && piece->field_count < PIECE_FIELDS)
        piece->fields[piece->field_count++] = (struct piece_field){name, value};
}

const char *drawing_net(struct drawing *drawing)
{
    return arena_print(drawing->arena, "MADE_%u", ++drawing->added);
}

static void add_pins(struct drawing *drawing, struct piece *piece, const char *pins)
{
    static const char *const numbers[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9"};
    char *copy = arena_copy(drawing->arena, pins), *rest = NULL;

    for (char *word = strtok_r(copy, " ", &rest); word != NULL; word = strtok_r(NULL, " ", &rest)) {
        char *colon = strchr(word, ':');

        if (colon != NULL)
            *colon = '\0';
        piece->pins[piece->pin_count] = (struct piece_pin){numbers[piece->pin_count], colon != NULL ? word : NULL,
                                                           colon != NULL ? colon + 1 : word};
        piece->pin_count++;
    }
}

struct piece *drawing_add(struct drawing *drawing, const char *letters, const char *symbol, const char *value,
                          const char *pins)
{
    struct piece *piece = arena_alloc(drawing->arena, sizeof *piece);
    bool plain = letters[1] == '\0' && strchr("RCDV", letters[0]) != NULL;
    unsigned number = 901;

    while (drawing_piece(drawing, arena_print(drawing->arena, "%s%u", letters, number)) != NULL)
        number++;
    piece->ref = arena_print(drawing->arena, "%s%u", letters, number);
    piece->letter = plain ? letters[0] : 'X';
    piece->symbol = symbol;
    piece->value = value;
    add_pins(drawing, piece, pins);
    grow(drawing);
    drawing->pieces[drawing->count++] = piece;
    return piece;
}

void drawing_remove(struct drawing *drawing, const char *ref)
{
    for (size_t i = 0; i < drawing->count; i++)
        if (strcmp(drawing->pieces[i]->ref, ref) == 0) {
            memmove(&drawing->pieces[i], &drawing->pieces[i + 1], (drawing->count - i - 1) * sizeof(struct piece *));
            drawing->count--;
            return;
        }
}

void drawing_join(struct drawing *drawing, const char *kept, const char *gone)
{
    /* GONE may be the very text that is being changed. */
    const char *name = arena_copy(drawing->arena, gone);

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->pieces[i]->pin_count; k++)
            if (drawing->pieces[i]->pins[k].net != NULL && strcmp(drawing->pieces[i]->pins[k].net, name) == 0)
                drawing->pieces[i]->pins[k].net = kept;
}

const char *drawing_cut(struct drawing *drawing, struct piece *piece, const char *number)
{
    struct piece_pin *pin = piece_pin(piece, number);

    return pin->net = drawing_net(drawing);
}
