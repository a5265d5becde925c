/* Parts of an EDIF netlist: what an instance, its cell and its properties say. */
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "netlist/edif.h"

/* Keys (see field_key) of the properties that say one thing, the surest first; ends with NULL. */
static const char *const value_keys[] = {"value", "partvalue", "val", "comment", NULL};
static const char *const footprint_keys[] = {"footprint", "pcbfootprint", "modulevalue", NULL};
static const char *const description_keys[] = {"description", NULL};
static const char *const reference_keys[] = {"partreference", "refdes", "designator", NULL};
static const char *const unfitted_keys[] = {"dnp", "donotplace", "donotpopulate", "donotfit",
                                            "notfitted", NULL};

static const struct edif_property *find_property(struct edif_file *file,
                                                 const struct edif_properties *properties,
                                                 const char *key)
{
    for (size_t i = 0; i < properties->count; i++)
        if (strncasecmp(properties->items[i].name, key, 1) == 0 &&
            strcmp(field_key(file->scratch, properties->items[i].name), key) == 0)
            return &properties->items[i];
    return NULL;
}

static const char *find_value(struct edif_file *file, const struct edif_properties *properties,
                              const char *const *keys)
{
    for (; *keys != NULL; keys++) {
        const struct edif_property *property = find_property(file, properties, *keys);

        if (property != NULL && *property->value != '\0' && strcmp(property->value, "~") != 0)
            return property->value;
    }
    return NULL;
}

const char *edif_reference(struct edif_file *file, const struct edif_properties *properties)
{
    return find_value(file, properties, reference_keys);
}

/* A flag counts if it is there and does not deny itself. */
static bool is_unfitted(struct edif_file *file, const struct edif_properties *properties)
{
    for (const char *const *key = unfitted_keys; *key != NULL; key++) {
        const struct edif_property *property = find_property(file, properties, *key);

        if (property != NULL && strcasecmp(property->value, "false") != 0 &&
            strcasecmp(property->value, "no") != 0 && strcmp(property->value, "0") != 0)
            return true;
    }
    return false;
}

/* What PROPERTIES say and PART does not know yet. */
static void fill_from(struct edif_file *file, struct part *part,
                      const struct edif_properties *properties)
{
    if (part->value == NULL)
        part->value = find_value(file, properties, value_keys);
    if (part->footprint == NULL)
        part->footprint = find_value(file, properties, footprint_keys);
    if (part->description == NULL)
        part->description = find_value(file, properties, description_keys);
    part->not_fitted |= is_unfitted(file, properties);
}

static void add_fields(struct edif_file *file, struct part *part,
                       const struct edif_properties *properties)
{
    for (size_t i = 0; i < properties->count; i++) {
        const struct edif_property *property = &properties->items[i];
        const char *value = strcmp(property->value, "~") != 0 ? property->value : "";

        assembly_field(&file->assembly, part, property->name, value, property->place);
    }
}

/* Fields of the symbol that the part does not have. */
static void add_missing_fields(struct edif_file *file, struct part *part,
                               const struct edif_properties *properties)
{
    size_t own = part->field_count;

    for (size_t i = 0; i < properties->count; i++) {
        const struct edif_property *property = &properties->items[i];
        bool known = false;

        for (size_t k = 0; k < own && !known; k++)
            known = strcmp(part->fields[k].name, property->name) == 0;
        if (!known)
            assembly_field(&file->assembly, part, property->name, property->value,
                           property->place);
    }
}

/* "F?" is drawn as F and a number. */
static const char *prefix_of(struct edif_file *file, const struct edif_view *view)
{
    size_t length = view != NULL && view->prefix != NULL ? strlen(view->prefix) : 0;

    while (length > 0 && strchr("?*#", view->prefix[length - 1]) != NULL)
        length--;
    return length > 0 ? assembly_word(&file->assembly, view->prefix, length) : NULL;
}

static void fill_part(struct edif_file *file, struct part *part,
                      const struct edif_instance *instance, const struct edif_view *view)
{
    fill_from(file, part, &instance->properties);
    add_fields(file, part, &instance->properties);
    part->symbol = instance->cell;
    part->library = instance->library;
    part->prefix = prefix_of(file, view);
    if (view == NULL)
        return;
    part->symbol = edif_called(file, &view->cell->name);
    if (view->cell->library->name.id != NULL)
        part->library = edif_called(file, &view->cell->library->name);
    fill_from(file, part, &view->properties);
    fill_from(file, part, &view->cell->properties);
    add_missing_fields(file, part, &view->properties);
    add_missing_fields(file, part, &view->cell->properties);
}

/* The part REF; another one called REF has been told of, so that this one is called by its id too. */
static struct part *new_part(struct edif_file *file, const char *ref,
                             const struct edif_instance *instance)
{
    struct part *part = assembly_part(&file->assembly, ref, instance->place);

    if (part != NULL || file->assembly.full || instance->name.id == NULL)
        return part;
    ref = arena_print(file->assembly.arena, "%s (%s)", ref, instance->name.id);
    return assembly_has(&file->assembly, ref) ? NULL
                                              : assembly_part(&file->assembly, ref, instance->place);
}

struct part *edif_make_part(struct edif_file *file, const char *path,
                            const struct edif_instance *instance, const struct edif_view *view,
                            size_t index)
{
    struct arena *arena = file->assembly.arena;
    const char *ref = instance->designator;
    struct part *part;

    if (ref == NULL && instance->name.id == NULL)
        return NULL;
    if (ref == NULL)
        ref = edif_called(file, &instance->name);
    if (*path != '\0')
        ref = arena_print(arena, "%s%s", path, ref);
    if (index != EDIF_WHOLE)
        ref = arena_print(arena, "%s[%zu]", ref, index);
    else if (instance->designator != NULL && assembly_has(&file->assembly, ref)) {
        /* another section of the part */
        part = assembly_find(&file->assembly, ref, instance->place);
        if (part != NULL) {
            fill_from(file, part, &instance->properties);
            add_fields(file, part, &instance->properties);
        }
        return part;
    }
    part = new_part(file, ref, instance);
    if (part != NULL)
        fill_part(file, part, instance, view);
    return part;
}
