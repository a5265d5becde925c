/* Several netlists that make one circuit: a deck among them, the chassis wiring, has pins of the others' parts as nodes,
 * J1.2 or preamp:J1.2. Netlists that no deck refers to, and decks that refer to none, stay by themselves. */
#ifndef PREARC_NETLIST_BOARDS_H
#define PREARC_NETLIST_BOARDS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"

struct arena;
struct circuit;
struct diags;
struct net;
struct pin;

/* One netlist. The caller sets the first three. */
struct board {
    struct circuit *circuit;      /* NULL: it could not be read */
    const struct source *source;  /* NULL: likewise */
    struct diags *diags;          /* what is wrong with its references goes there */
    const char *name;             /* what qualifies references to it: "preamp" of x/preamp.xml */
    size_t group;                 /* index of the first board of its circuit */
    bool wires;                   /* a deck that refers to others */
};

/* NODE of a deck is PIN of another board. */
struct board_wire {
    size_t deck, board;
    const char *node;
    struct net *net; /* of the deck */
    struct pin *pin; /* of the board */
    struct place place;
};

struct boards {
    struct arena *arena;
    struct board *items;
    size_t count;
    struct board_wire *wires;
    size_t wire_count, wire_capacity;
};

/* Names the boards, finds the wires and with them the groups. A node that can mean two pins, or one that does not
 * exist, is an input error of the deck. */
void boards_find(struct boards *boards);

/* boards_pins.c: looks at every node of every deck; adds wires, and joins groups in PARENTS (a forest of boards). */
void boards_find_wires(struct boards *boards, size_t *parents);

/* A name as a node of a deck can have it, letters in upper case; in ARENA. */
const char *boards_key(struct arena *arena, const char *text, size_t length);

/* The circuit of the boards of GROUP, of which there are several. References and net names that are not the only ones of
 * their name get their board's name in front, preamp:R1; nets are one only where a deck says so. Everything it points
 * to but for what is made here lives as long as the boards' circuits. */
struct circuit *boards_join(struct arena *arena, struct boards *boards, size_t group);

#endif
