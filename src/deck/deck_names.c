#include "deck/deck_names.h"

#include <ctype.h>
#include <stdbool.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "device/network.h"

enum { LONGEST = 40 };

static bool is_plain(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

/* RAW with everything but letters and digits as one underscore, none at the ends; a sign in front as a
 * letter. */
static char *plain_name(struct arena *arena, const char *raw)
{
    char *name = arena_alloc(arena, LONGEST + 2);
    size_t length = 0;

    if ((raw[0] == '+' || raw[0] == '-') && is_plain(raw[1]))
        name[length++] = *raw++ == '+' ? 'p' : 'm';
    for (; *raw != '\0' && length < LONGEST; raw++)
        if (is_plain(*raw))
            name[length++] = *raw;
        else if (length > 0 && name[length - 1] != '_')
            name[length++] = '_';
    while (length > 0 && name[length - 1] == '_')
        length--;
    name[length] = '\0';
    return name;
}

static const char *in_lower_case(struct arena *arena, const char *name)
{
    char *lower = arena_copy(arena, name);

    for (char *c = lower; *c != '\0'; c++)
        *c = (char)tolower((unsigned char)*c);
    return lower;
}

/* Names taken so far, in lower case, each with the number that the next of that name may try. */
struct taken {
    struct arena *arena;
    struct map *numbers;
};

static bool add_taken(const struct taken *taken, const char *name)
{
    size_t *next = arena_alloc(taken->arena, sizeof *next);

    *next = 2;
    return map_add(taken->numbers, in_lower_case(taken->arena, name), next);
}

/* NAME, or NAME_2, NAME_3 and so on if it is taken. */
static const char *take(const struct taken *taken, const char *name)
{
    const char *tried = name;
    size_t *next;

    if (add_taken(taken, name))
        return name;
    next = map_get(taken->numbers, in_lower_case(taken->arena, name));
    do
        tried = arena_print(taken->arena, "%s_%zu", name, (*next)++);
    while (!add_taken(taken, tried));
    return tried;
}

/* What simulators take for the ground, for a quantity of their own, or for a constant. */
static void reserve(const struct taken *taken)
{
    static const char *const words[] = {"0",      "gnd",  "null",  "all",    "time", "temper", "hertz",
                                        "temp",   "freq", "frequency", "pi", "e",    "i",      "c",
                                        "kelvin", "yes",  "no",    "true",   "false", "planck", "boltz",
                                        "echarge"};

    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        add_taken(taken, words[i]);
}

/* A number alone is a name like any other; one that something follows might be read as a number. */
static const char *node_name(struct arena *arena, const char *raw)
{
    const char *name = plain_name(arena, raw);
    bool digit = name[0] >= '0' && name[0] <= '9';

    if (name[0] == '\0')
        return "net";
    if (digit && (name[0] == '0' || name[strspn(name, "0123456789")] != '\0'))
        return arena_print(arena, "n%s", name);
    return name;
}

static void name_nodes(struct arena *arena, const struct network *network,
                       struct deck_names *names)
{
    struct taken taken = {arena, map_new()};

    names->nodes = arena_array(arena, network->node_count, sizeof *names->nodes);
    reserve(&taken);
    for (size_t i = 0; i < network->node_count; i++)
        names->nodes[i] = i == network->ground
                              ? "0"
                              : take(&taken, node_name(arena, network->nodes[i].name));
    map_free(taken.numbers);
}

/* By part: how many elements it became. */
static size_t *count_elements(struct arena *arena, const struct network *network, size_t sound)
{
    size_t most = 0, *counts;

    for (size_t i = 0; i < sound; i++)
        if (network->elements[i]->part->index > most)
            most = network->elements[i]->part->index;
    counts = arena_array(arena, most + 1, sizeof *counts);
    for (size_t i = 0; i < sound; i++)
        counts[network->elements[i]->part->index]++;
    return counts;
}

static void name_elements(struct arena *arena, const struct network *network, size_t sound,
                          struct deck_names *names)
{
    struct taken taken = {arena, map_new()};
    size_t *counts = count_elements(arena, network, sound);
    const struct part *part = NULL;
    size_t number = 0;

    names->elements = arena_array(arena, network->element_count, sizeof *names->elements);
    for (size_t i = 0; i < network->element_count; i++) {
        const struct part *of = i < sound ? network->elements[i]->part : NULL;
        const char *name = of != NULL ? plain_name(arena, of->ref) : "short";

        number = of != NULL && of == part ? number + 1 : 1;
        part = of;
        if (of != NULL && counts[of->index] > 1)
            name = arena_print(arena, "%s_%zu", name, number);
        names->elements[i] = take(&taken, name[0] != '\0' ? name : "part");
    }
    map_free(taken.numbers);
}

struct deck_names deck_names_choose(struct arena *arena, const struct network *network,
                                    size_t sound)
{
    struct deck_names names;

    name_nodes(arena, network, &names);
    name_elements(arena, network, sound, &names);
    return names;
}
