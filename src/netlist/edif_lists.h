/* The lists of an EDIF file while it is read: what each is, what is said in it, and who takes it when it opens and closes. */
#ifndef PREARC_NETLIST_EDIF_LISTS_H
#define PREARC_NETLIST_EDIF_LISTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/source.h"
#include "netlist/edif.h"

enum list {
    LIST_OTHER, LIST_TOP, LIST_EDIF, LIST_VERSION, LIST_LEVEL, LIST_ALIAS, LIST_LIBRARY, LIST_CELL, LIST_VIEW, LIST_VIEW_TYPE, LIST_INTERFACE, LIST_PORT,
    LIST_DIRECTION, LIST_DESIGNATOR, LIST_CONTENTS, LIST_PAGE, LIST_INSTANCE, LIST_PORT_INSTANCE, LIST_VIEW_REF, LIST_CELL_REF, LIST_LIBRARY_REF,
    LIST_NET, LIST_NET_PIECE, LIST_BUNDLE, LIST_JOINED, LIST_PORT_REF, LIST_GLOBAL_REF, LIST_INSTANCE_REF, LIST_OFF_PAGE, LIST_DESIGN, LIST_PROPERTY, LIST_STRING,
    LIST_INTEGER, LIST_NUMBER, LIST_EXPONENT, LIST_BOOLEAN, LIST_TRUE, LIST_FALSE, LIST_RENAME, LIST_NAME, LIST_ARRAY, LIST_MEMBER,
    LIST_DISPLAY_STRING
};

#define IN(list) ((uint64_t)1 << (list))
#define ANYWHERE (~(IN(LIST_OTHER) | IN(LIST_TOP)))

/* A list that is open, and what the lists in it said. */
struct frame {
    enum list list;
    struct edif_name name;
    const char *text;      /* its string */
    const char *reference, *library;  /* what it refers to: a cell or an instance */
    const char *numbers[3]; /* bare atoms after the name */
    size_t number_count;
    size_t size, index, reference_index;
    struct place place;
};

/* ITEMS with room for one more pointer. */
void *edif_grow(struct edif_file *file, void *items, size_t *capacity, size_t count);
/* An array's size, or 1. */
size_t edif_size(const struct frame *frame);

/* edif_cells.c */
void edif_begin_library(struct edif_file *file, struct frame *frame);
void edif_end_library(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_begin_cell(struct edif_file *file, struct frame *frame);
void edif_end_cell(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_begin_view(struct edif_file *file, struct frame *frame);
void edif_end_view(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_view_type(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_begin_page(struct edif_file *file, struct frame *frame);
void edif_begin_port(struct edif_file *file, struct frame *frame);
void edif_end_port(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_off_page(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_direction(struct edif_file *file, struct frame *frame, struct frame *around);

/* edif_contents.c */
void edif_begin_instance(struct edif_file *file, struct frame *frame);
void edif_end_instance(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_view_ref(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_cell_ref(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_library_ref(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_designator(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_port_instance(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_begin_net(struct edif_file *file, struct frame *frame);
void edif_end_net(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_join(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_instance_ref(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_design(struct edif_file *file, struct frame *frame, struct frame *around);

/* edif_texts.c */
void edif_begin_property(struct edif_file *file, struct frame *frame);
void edif_end_property(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_text(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_exponent(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_true(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_name(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_array(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_member(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_version(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_level(struct edif_file *file, struct frame *frame, struct frame *around);
void edif_end_alias(struct edif_file *file, struct frame *frame, struct frame *around);

#endif
