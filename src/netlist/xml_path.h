/* XPath 1.0 over a netlist; of the readers only xml_path.c knows libxml2's XPath. */
#ifndef PREARC_NETLIST_XML_PATH_H
#define PREARC_NETLIST_XML_PATH_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/source.h"

struct arena;
struct diags;
struct xml_path;  /* one expression, compiled once */
struct xml_paths; /* all expressions of a dialect and what they are evaluated in */

/* Nodes in document order. */
struct xml_nodes {
    xmlNode **items;
    size_t count;
};

struct xml_paths *xml_paths_new(struct arena *arena, struct diags *diags);
void xml_paths_free(struct xml_paths *paths);

/* Binds PREFIX to a namespace. */
void xml_paths_bind(struct xml_paths *paths, const char *prefix, const char *uri);

/* Compiles TEXT, written at PLACE; NULL, with a diagnostic there, if it is no XPath expression. */
struct xml_path *xml_path_compile(struct xml_paths *paths, const char *text, struct place place);

/* From now on expressions are evaluated in TREE, read from a file of so many BYTES: all of them
 * together may take a number of steps proportional to that, so that none can rescan the document
 * for each node. */
void xml_paths_enter(struct xml_paths *paths, xmlDoc *tree, size_t bytes);

/* Evaluate PATH with NODE as context. One that fails is an input error at the expression's place,
 * told once, and reads as false, NULL, no nodes. */
bool xml_path_test(struct xml_path *path, const xmlNode *node);
/* Blanks at both ends are cut; NULL if nothing is left. Of several nodes, the first with a text. */
const char *xml_path_text(struct xml_path *path, const xmlNode *node, struct arena *arena);
struct xml_nodes xml_path_nodes(struct xml_path *path, const xmlNode *node, struct arena *arena);

/* The text of NODE, blanks at both ends cut; NULL if nothing is left. */
const char *xml_node_text(const xmlNode *node, struct arena *arena);

#endif
