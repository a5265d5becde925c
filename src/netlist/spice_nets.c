/* Nodes of a deck and the nets they are. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "netlist/spice_build.h"
#include "netlist/spice_names.h"

/* The net PATH NAME, whatever the case; made as it is written first. */
static struct net *named_net(struct spice_build *build, const char *path, const char *name,
                             struct place place)
{
    struct net *net;

    build->key.length = 0;
    text_add(&build->key, path);
    text_add(&build->key, name);
    for (size_t i = 0; i < build->key.length; i++)
        build->key.bytes[i] = (char)tolower((unsigned char)build->key.bytes[i]);
    net = map_get(build->nets, text_bytes(&build->key));
    if (net != NULL)
        return net;
    net = circuit_net(build->circuit, arena_print(build->arena, "%s%s", path, name), place);
    if (*path != '\0') {
        const char *slash = strrchr(net->name, '/');

        net->inner = true;
        net->leaf = slash != NULL && slash[1] != '\0' ? slash + 1 : net->name + strlen(path);
    }
    map_add(build->nets, arena_copy(build->arena, text_bytes(&build->key)), net);
    build->work += build->key.length;
    return net;
}

static bool is_global(struct spice_build *build, const char *name)
{
    return strncasecmp(name, "$g_", 3) == 0 ||
           spice_find(build->deck, build->deck->top, SPICE_GLOBAL, name) != NULL;
}

/* A numbered "not connected" that stands there twice is a connection after all. */
static bool is_open_end(struct spice_element *element, const char *name)
{
    const size_t *uses;

    if (!spice_is_unconnected(name))
        return false;
    uses = spice_find(element->build->deck, element->at->scope, SPICE_NC, name);
    return spice_is_never_connected(name) || uses == NULL || *uses < 2;
}

struct net *spice_net(struct spice_element *element, const struct spice_token *word)
{
    struct spice_build *build = element->build;
    struct place place = spice_place(element->card->line, word->offset);
    const size_t *formal;

    if (spice_is_ground(word->text))
        return named_net(build, "", "0", place);
    formal = spice_find(build->deck, element->at->scope, SPICE_FORMAL, word->text);
    if (formal != NULL && element->at->bound[*formal] != NULL)
        return element->at->bound[*formal];
    if (formal == NULL && is_global(build, word->text))
        return named_net(build, "", word->text, place);
    if (formal == NULL && is_open_end(element, word->text))
        return NULL;
    return named_net(build, element->at->path, word->text, place);
}

bool spice_is_node(const struct spice_element *element, const char *word)
{
    struct spice_deck *deck = element->build->deck;
    const struct spice_scope *scope = element->at->scope;

    return spice_is_ground(word) || spice_is_unconnected(word) ||
           spice_find(deck, scope, SPICE_NODE, word) != NULL ||
           spice_find(deck, scope, SPICE_FORMAL, word) != NULL ||
           spice_find(deck, deck->top, SPICE_GLOBAL, word) != NULL;
}
