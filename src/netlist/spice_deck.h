/* A SPICE deck as written: scopes (it and its subcircuits), their cards, models, parameters. */
#ifndef PREARC_NETLIST_SPICE_DECK_H
#define PREARC_NETLIST_SPICE_DECK_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "netlist/reader.h"
#include "netlist/spice_lines.h"
#include "netlist/spice_tokens.h"

struct map;
struct spice_scope;

/* Files open at one time, the deck itself among them. */
enum { SPICE_FILES_DEEPEST = 16 };
/* Subcircuits defined inside each other, and instances inside instances. */
enum { SPICE_NESTING_DEEPEST = 32 };
/* Pins of one part, nodes of a subcircuit, inductors of one coupling. */
enum { SPICE_PINS_MOST = 1000 };

/* name=value of a .param, .subckt or .model card. */
struct spice_setting {
    const char *name;
    const char *text; /* as written, without "..." */
    bool quoted;      /* was "..." */
    const struct spice_line *line;
    size_t offset; /* of the value, bytes into the line */
};

struct spice_settings {
    struct spice_setting *items;
    size_t count, capacity;
};

/* An element. */
struct spice_card {
    const struct spice_line *line;
    struct spice_token *tokens; /* [0] is the name */
    size_t count;
    const struct spice_token **words; /* the tokens after the name that are no settings */
    size_t word_count;
    bool again; /* the name was there before */
    bool noted; /* something was said about it: an instance made twice says nothing twice */
};

struct spice_model {
    const char *name, *type; /* TYPE in upper case */
    struct spice_settings settings;
    const struct spice_line *line;
    bool shared;       /* already in the circuit, for all instances of its scope */
    const char *known; /* the name it has in the circuit */
};

struct spice_scope {
    unsigned id;
    unsigned depth; /* 0 the deck itself */
    const char *name;
    struct spice_scope *parent; /* NULL: the deck itself */
    const struct spice_line *line;
    const char **formals;
    size_t formal_count, formal_capacity;
    struct spice_settings defaults;   /* of the .subckt card */
    struct spice_settings parameters; /* its .param cards */
    struct spice_card **cards;
    size_t card_count, card_capacity;
    struct spice_model **models;
    size_t model_count, model_capacity;
    bool judged;      /* the next three are known */
    bool behavioural; /* equations inside: it stands for one part */
    bool coupled;     /* inductors coupled inside: a transformer that can be filled in */
    bool fused;       /* a fuse inside, which must be seen */
    bool open; /* its instances are being made: meeting it again is a cycle */
};

/* What the deck's index holds, by scope and lower-case name. */
enum spice_kind {
    SPICE_ELEMENT = 'e',  /* struct spice_card */
    SPICE_NODE = 'n',     /* any pointer: the name is a node for sure */
    SPICE_NC = 'c',       /* size_t: how often the name stands in the scope */
    SPICE_MODEL = 'm',    /* struct spice_model */
    SPICE_SUBCKT = 's',   /* struct spice_scope */
    SPICE_FORMAL = 'f',   /* size_t: index in scope->formals */
    SPICE_GLOBAL = 'g'    /* any pointer; in the deck's own scope */
};

/* `.connect A B ...`: these nodes are one. */
struct spice_wire {
    const struct spice_line *line;
    const struct spice_token *nodes;
    size_t count;
};

/* An open file. */
struct spice_file {
    struct spice_cursor cursor;
    const char *path;    /* canonical, or NULL */
    const struct spice_line *includer; /* NULL: the deck itself */
    size_t last_ends;    /* byte of the last .ends, 0 if none */
    bool sectioned;      /* has .endl: `.lib NAME` starts a section of it */
    const char *section; /* the one wanted, or NULL for all that is outside sections */
    bool section_found;
};

/* Lines being left out until UNTIL comes. */
struct spice_skip {
    const char *from, *until; /* ".control", ".endc"; NULL: nothing is */
    const struct spice_line *line;
    size_t depth; /* of .if inside .if */
};

struct spice_deck {
    struct arena *arena;
    struct diags *diags;
    const struct read_options *options;
    const char *title;
    struct map *index;
    struct text key;
    struct spice_scope *top, *scope; /* the deck itself; the one being read */
    unsigned scope_count;
    struct spice_file files[SPICE_FILES_DEEPEST];
    size_t file_count;
    size_t included_files, included_bytes;
    const char *folder; /* canonical, of the deck; NULL if it is not known */
    const char *folder_as_given; /* the same as the deck's path has it, with its slash, or "" */
    struct spice_wire *wires;
    size_t wire_count, wire_capacity;
    struct spice_skip skip;
    bool ended;
};

/* Reads the whole deck with its includes. Free with spice_deck_free what it took from the heap. */
void spice_deck_read(struct spice_deck *deck, const struct read_input *input);
void spice_deck_free(struct spice_deck *deck);

/* The index. spice_add: false if it was there already. spice_find looks in SCOPE alone,
 * spice_find_up in those around it too. */
bool spice_add(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
               const char *name, void *value);
void *spice_find(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
                 const char *name);
void *spice_find_up(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
                    const char *name);

/* A card that starts with '.'; TOKENS are those of LINE. */
void spice_take_dot_card(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens);

/* True if LINE is left out, as .control ... .endc is. */
bool spice_skips(struct spice_deck *deck, const struct spice_line *line);
/* Starts leaving out, if NAME is a card that does so. */
bool spice_skip_starts(struct spice_deck *deck, const struct spice_line *line, const char *name);
void spice_skip_ends_with_deck(struct spice_deck *deck);

/* .include and .lib. */
void spice_include(struct spice_deck *deck, const struct spice_line *line,
                   const struct spice_token *path, const char *section);
/* To be called when a file has been read: says so if the section that was wanted is not in it. */
void spice_close_file(struct spice_deck *deck);
void spice_open_main(struct spice_deck *deck, const struct source *source);

void spice_add_setting(struct spice_deck *deck, struct spice_settings *settings,
                       const struct spice_line *line, const struct spice_token *token);

/* Longer names than this (bytes) are refused: they would be copied for every instance. */
enum { SPICE_NAME_LONGEST = 200 };
bool spice_name_fits(struct spice_deck *deck, const struct spice_line *line,
                     const struct spice_token *token);

#endif
