/* .model cards and the circuit's models. */
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"

const struct spice_model *spice_model(const struct spice_element *element, const char *name)
{
    if (strlen(name) > SPICE_NAME_LONGEST)
        return NULL;
    return spice_find_up(element->build->deck, element->at->scope, SPICE_MODEL, name);
}

/* True if instances of a subcircuit may each have another model of it. */
static bool depends_on_instance(const struct spice_model *model)
{
    for (size_t i = 0; i < model->settings.count; i++)
        if (!model->settings.items[i].quoted &&
            strpbrk(model->settings.items[i].text, "{'") != NULL)
            return true;
    return false;
}

/* A model of the circuit called NAME, or PATH NAME if that name is another model's. */
static struct model *new_model(struct spice_build *build, const struct spice_instance *at,
                               const struct spice_model *from, bool own)
{
    struct circuit *circuit = build->circuit;
    struct place place = spice_place(from->line, 0);
    struct model *model =
        own ? NULL : circuit_add_model(circuit, from->name, from->type, place);

    if (model == NULL)
        model = circuit_add_model(circuit,
                                  arena_print(build->arena, "%s%s", at->path, from->name),
                                  from->type, place);
    return model;
}

static void build_model(struct spice_build *build, const struct spice_instance *at,
                        struct spice_model *from)
{
    struct spice_token name = {.text = from->name};
    struct spice_card card = {.line = from->line, .tokens = &name, .count = 1,
                              .noted = from->known != NULL};
    struct spice_element element = {.build = build, .at = at, .card = &card};
    bool own = at->parent != NULL && depends_on_instance(from);
    struct model *model;

    if (from->shared)
        return;
    model = new_model(build, at, from, own);
    from->shared = !own;
    from->known = model != NULL ? model->name : from->name;
    for (size_t i = 0; model != NULL && i < from->settings.count; i++) {
        const struct spice_setting *setting = &from->settings.items[i];

        circuit_add_parameter(build->circuit, model, setting->name,
                              setting->quoted ? setting->text
                                              : spice_value(&element, setting->text, true));
    }
}

void spice_build_models(struct spice_build *build, const struct spice_instance *at)
{
    for (size_t i = 0; i < at->scope->model_count; i++) {
        build->work += at->scope->models[i]->line->length;
        build_model(build, at, at->scope->models[i]);
    }
}
