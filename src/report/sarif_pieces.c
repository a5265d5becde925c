#include "report/sarif_pieces.h"

#include <stdbool.h>
#include <string.h>

#include "base/text.h"
#include "report/glyph.h"

void sarif_set(json_t *json, const char *key, const char *string)
{
    struct text valid = {0};

    if (string == NULL)
        return;
    glyph_add_plain(&valid, string, strlen(string));
    json_object_set_new(json, key, json_string(text_bytes(&valid)));
    text_free(&valid);
}

void sarif_set_message(json_t *json, const char *key, const char *string)
{
    bool link = string != NULL && strstr(string, "](") != NULL;
    struct text text = {0};
    json_t *message;

    if (string == NULL)
        return;
    for (const char *at = string; *at != '\0'; at++) {
        if (*at == '{' || *at == '}')
            text_add_char(&text, *at);
        else if (link && (*at == '[' || *at == ']'))
            text_add_char(&text, '\\');
        text_add_char(&text, *at);
    }
    message = json_object();
    sarif_set(message, "text", text_bytes(&text));
    json_object_set_new(json, key, message);
    text_free(&text);
}

const char *sarif_level(enum level level)
{
    static const char *const names[] = {
        [LEVEL_NOTE] = "note", [LEVEL_UNVERIFIED] = "none", [LEVEL_WARNING] = "warning",
        [LEVEL_ERROR] = "error",
    };

    return names[level];
}

/* PATH as a URI reference (RFC 3986): what is not unreserved or a slash is percent-encoded, so that
 * no file name can pass for a scheme. An absolute path becomes a file URI. */
static void add_uri(struct text *uri, const char *path)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                                "0123456789-._~/";

    if (path[0] == '/') {
        text_add(uri, "file:///");
        path += strspn(path, "/");
    }
    for (const char *at = path; *at != '\0'; at++)
        if (strchr(plain, *at) != NULL)
            text_add_char(uri, *at);
        else
            text_print(uri, "%%%02X", (unsigned)(unsigned char)*at);
}

static json_t *physical(const struct place *place, const char *netlist)
{
    json_t *json = json_object(), *artifact = json_object();
    struct text uri = {0};

    add_uri(&uri, place->source != NULL ? place->source->name : netlist);
    json_object_set_new(artifact, "uri", json_string(text_bytes(&uri)));
    json_object_set_new(json, "artifactLocation", artifact);
    text_free(&uri);
    if (place->line > 0) {
        json_t *region = json_pack("{s:I}", "startLine", (json_int_t)place->line);

        if (place->column > 0)
            json_object_set_new(region, "startColumn", json_integer(place->column));
        json_object_set_new(json, "region", region);
    }
    return json;
}

static json_t *logical(const struct diag *diag)
{
    json_t *list = json_array();

    for (size_t i = 0; i < diag->object_count; i++) {
        const struct diag_object *object = &diag->objects[i];
        json_t *json = json_object();
        struct text full = {0};

        text_print(&full, "%s/%s", object->kind != NULL ? object->kind : "part", object->name);
        sarif_set(json, "kind", object->kind != NULL ? object->kind : "part");
        sarif_set(json, "name", object->name);
        sarif_set(json, "fullyQualifiedName", text_bytes(&full));
        json_array_append_new(list, json);
        text_free(&full);
    }
    return list;
}

json_t *sarif_location(const struct place *place, const char *netlist)
{
    json_t *location = json_object();

    json_object_set_new(location, "physicalLocation", physical(place, netlist));
    return location;
}

json_t *sarif_locations(const struct diag *diag, const char *netlist)
{
    json_t *list = json_array(), *location = sarif_location(&diag->place, netlist);

    if (diag->object_count > 0)
        json_object_set_new(location, "logicalLocations", logical(diag));
    json_array_append_new(list, location);
    return list;
}
