/* The circuit as it is at the moment of switch-on. */
#ifndef PREARC_WHATIF_COLD_NETWORK_H
#define PREARC_WHATIF_COLD_NETWORK_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct assumption;
struct network;
struct warming;

struct cold_network {
    struct network *network;   /* branches of the whole keep their numbers; those of core inrush come after them */
    struct warming *warmings;
    size_t warming_count, warming_capacity;
    struct assumption *assumptions; /* what was taken for it */
    size_t assumption_count, assumption_capacity;
    const char **coreless;     /* transformers whose core's inrush could not be told, refs */
    size_t coreless_count, coreless_capacity;
    bool has_heaters, has_cores, has_valve_rectifier;
};

/* Valves draw nothing; heaters, lamps and inrush limiters are cold and warm; rectifier valves begin to conduct; every transformer
 * core that can be told draws its inrush. NETWORK must outlive it. */
struct cold_network *cold_network_new(struct arena *arena, const struct network *network);
/* The same without core inrush: the mains came at its crest. */
void cold_network_at_crest(struct cold_network *cold);
/* The same with heaters and rectifiers warm, as when a standby switch is closed; also without core inrush. */
void cold_network_warmed(struct cold_network *cold);

#endif
