/* Supplies at random, as text for bench_read: one seed, one supply, the same on every machine. Values keep clear of the
 * line between what counts as a fault loop and what does not: bypasses are 10 ohm or 10 megohm. */
#ifndef PREARC_TESTS_TRACE_GENERATE_H
#define PREARC_TESTS_TRACE_GENERATE_H

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>

#include "base/text.h"

struct generator {
    uint32_t state;
    struct text text;
    unsigned parts, fuses, nets;
};

static inline unsigned generate_draw(struct generator *generator, unsigned below)
{
    generator->state = generator->state * 1664525u + 1013904223u;
    return (generator->state >> 10) % below;
}

/* Once in N. */
static inline int generate_chance(struct generator *generator, unsigned n)
{
    return generate_draw(generator, n) == 0;
}

/* A net of its own name in BUFFER. */
static inline void generate_net(struct generator *generator, char *buffer, size_t size)
{
    snprintf(buffer, size, "n%u", ++generator->nets);
}

static inline void generate_two(struct generator *generator, char letter, const char *a,
                                const char *b, const char *values)
{
    text_print(&generator->text, "%c%u %s %s %s\n", letter, ++generator->parts, a, b, values);
}

/* Perhaps a fuse between FROM and a new net; END gets where the way goes on. Perhaps a bypass, a second fuse beside it, a
 * switch behind it, a small resistor behind that. */
static inline void generate_link(struct generator *generator, const char *from, char *end,
                                 size_t size)
{
    char at[16], next[16];

    snprintf(at, sizeof at, "%s", from);
    if (generate_chance(generator, 3)) {
        generate_net(generator, next, sizeof next);
        generate_two(generator, 'F', at, next, "0.05");
        generator->fuses++;
        if (generate_chance(generator, 5))
            generate_two(generator, 'R', at, next, generate_chance(generator, 2) ? "10" : "1e7");
        if (generate_chance(generator, 8))
            generate_two(generator, 'F', at, next, "0.05");
        snprintf(at, sizeof at, "%s", next);
    }
    if (generate_chance(generator, 8)) {
        generate_net(generator, next, sizeof next);
        generate_two(generator, 'S', at, next, "");
        snprintf(at, sizeof at, "%s", next);
    }
    if (generate_chance(generator, 6)) {
        generate_net(generator, next, sizeof next);
        generate_two(generator, 'R', at, next, "22");
        snprintf(at, sizeof at, "%s", next);
    }
    snprintf(end, size, "%s", at);
}

/* One or two diodes in series from A to B, now and then with a resistor across each. */
static inline void generate_diodes(struct generator *generator, const char *a, const char *b)
{
    char middle[16];

    if (!generate_chance(generator, 5)) {
        generate_two(generator, generate_chance(generator, 4) ? 'U' : 'D', a, b, "");
        return;
    }
    generate_net(generator, middle, sizeof middle);
    generate_two(generator, 'D', a, middle, "");
    generate_two(generator, 'D', middle, b, "");
    if (generate_chance(generator, 2)) {
        generate_two(generator, 'R', a, middle, "1e6");
        generate_two(generator, 'R', middle, b, "1e6");
    }
}

/* Reservoir at FROM, then droppers with capacitors and loads; NEGATIVE turns the loads round. */
static inline void generate_filter(struct generator *generator, const char *from, int negative)
{
    char at[16], next[16];
    unsigned stages = generate_draw(generator, 3);

    generate_two(generator, 'C', from, "0", "22e-6");
    generate_link(generator, from, at, sizeof at);
    generate_two(generator, 'R', at, "0", "10000");
    for (unsigned i = 0; i < stages; i++) {
        generate_net(generator, next, sizeof next);
        if (generate_chance(generator, 3))
            generate_two(generator, 'L', at, next, "5 100");
        else
            generate_two(generator, 'R', at, next, generate_chance(generator, 2) ? "470" : "22000");
        generate_two(generator, 'C', next, "0", "10e-6");
        generate_link(generator, next, at, sizeof at);
        if (negative)
            generate_two(generator, 'I', "0", at, "0.001");
        else
            generate_two(generator, 'I', at, "0", "0.001");
    }
}

static inline void generate_centre_tap(struct generator *generator, const char *w)
{
    char a[16], b[16], tap[16], plus[16];

    text_print(&generator->text, "T1 %s %sa %sm 250 60\nT1 %s %sm %sb 250 60\n", w, w, w, w, w, w);
    snprintf(a, sizeof a, "%sa", w);
    snprintf(b, sizeof b, "%sb", w);
    snprintf(tap, sizeof tap, "%sm", w);
    generate_link(generator, tap, tap, sizeof tap);
    generate_two(generator, 'S', tap, "0", "");
    if (generate_chance(generator, 4)) {
        generate_two(generator, 'R', a, "bx", "47000");
        generate_diodes(generator, "bi", "bx");
        generate_two(generator, 'C', "0", "bi", "10e-6");
        generate_two(generator, 'R', "bi", "0", "56000");
    }
    generate_link(generator, a, a, sizeof a);
    generate_link(generator, b, b, sizeof b);
    if (generate_chance(generator, 4))
        generate_two(generator, 'R', b, a, "220e3");
    generate_net(generator, plus, sizeof plus);
    generate_diodes(generator, a, plus);
    generate_diodes(generator, b, plus);
    generate_filter(generator, plus, 0);
}

static inline void generate_bridge(struct generator *generator, const char *w, int split)
{
    char a[16], b[16], plus[16], minus[16] = "0";

    text_print(&generator->text, "T1 %s %sa %sm 120 25\nT1 %s %sm %sb 120 25\n", w, w, w, w, w, w);
    snprintf(a, sizeof a, "%sa", w);
    snprintf(b, sizeof b, "%sb", w);
    generate_net(generator, plus, sizeof plus);
    if (split) {
        text_print(&generator->text, "S%u %sm 0\n", ++generator->parts, w);
        generate_net(generator, minus, sizeof minus);
    }
    generate_link(generator, a, a, sizeof a);
    generate_link(generator, b, b, sizeof b);
    generate_diodes(generator, a, plus);
    generate_diodes(generator, b, plus);
    generate_diodes(generator, minus, a);
    generate_diodes(generator, minus, b);
    generate_filter(generator, plus, 0);
    if (split)
        generate_filter(generator, minus, 1);
}

static inline void generate_half_wave(struct generator *generator, const char *w)
{
    char a[16], out[16];
    int negative = generate_chance(generator, 2);

    text_print(&generator->text, "T1 %s %sa 0 200 40\n", w, w);
    snprintf(a, sizeof a, "%sa", w);
    generate_link(generator, a, a, sizeof a);
    generate_net(generator, out, sizeof out);
    generate_diodes(generator, negative ? out : a, negative ? a : out);
    generate_filter(generator, out, negative);
}

static inline void generate_doubler(struct generator *generator, const char *w)
{
    char a[16], joint[16], plus[16], top[16];

    text_print(&generator->text, "T1 %s %sa %sj 120 25\n", w, w, w);
    snprintf(a, sizeof a, "%sa", w);
    snprintf(joint, sizeof joint, "%sj", w);
    generate_link(generator, a, a, sizeof a);
    generate_link(generator, joint, joint, sizeof joint);
    generate_net(generator, plus, sizeof plus);
    generate_diodes(generator, a, plus);
    generate_link(generator, plus, top, sizeof top);
    generate_diodes(generator, "0", a);
    generate_two(generator, 'C', top, joint, "100e-6");
    generate_two(generator, 'C', joint, "0", "100e-6");
    if (generate_chance(generator, 2)) {
        generate_two(generator, 'R', top, joint, "1e6");
        generate_two(generator, 'R', joint, "0", "1e6");
    }
    generate_filter(generator, top, 0);
}

static inline void generate_cascade(struct generator *generator, const char *w)
{
    char a[16], pumped[16], out[16];

    text_print(&generator->text, "T1 %s %sa 0 120 25\n", w, w);
    snprintf(a, sizeof a, "%sa", w);
    generate_link(generator, a, a, sizeof a);
    generate_net(generator, pumped, sizeof pumped);
    generate_two(generator, 'C', a, pumped, "100e-6");
    generate_diodes(generator, "0", pumped);
    generate_link(generator, pumped, pumped, sizeof pumped);
    generate_net(generator, out, sizeof out);
    generate_diodes(generator, pumped, out);
    generate_filter(generator, out, 0);
}

static inline void generate_rail(struct generator *generator, const char *winding)
{
    switch (generate_draw(generator, 7)) {
    case 0:
    case 1:
        generate_centre_tap(generator, winding);
        break;
    case 2:
        generate_bridge(generator, winding, 0);
        break;
    case 3:
        generate_bridge(generator, winding, 1);
        break;
    case 4:
        generate_half_wave(generator, winding);
        break;
    case 5:
        generate_doubler(generator, winding);
        break;
    default:
        generate_cascade(generator, winding);
        break;
    }
}

/* The supply of SEED, to be freed with text_free: mains, one transformer, one or two rails, at least one fuse. */
static inline struct text generate_supply(unsigned seed)
{
    struct generator generator = {.state = seed * 2654435761u + 1};

    text_add(&generator.text, "V1 l n 325\nT1 pri l n 230 10\n");
    generate_rail(&generator, "w");
    if (generate_chance(&generator, 4))
        generate_half_wave(&generator, "v");
    if (generator.fuses == 0) {
        text_free(&generator.text);
        return generate_supply(seed + 1000003);
    }
    return generator.text;
}

#endif
