/* An XML file as a tree in memory, with the place of every element. */
#ifndef PREARC_NETLIST_XML_DOCUMENT_H
#define PREARC_NETLIST_XML_DOCUMENT_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/source.h"

struct arena;
struct diags;

struct xml_document {
    const struct source *source;
    xmlDoc *tree;        /* never without a root element while open */
    struct arena *marks; /* where the elements' places are kept */
};

/* Limits that keep every step linear in the size of the file. */
/* Attributes of one element, bytes of one attribute, elements. */
enum { XML_ATTRIBUTES_MOST = 1000, XML_ATTRIBUTE_LONGEST = 9 * 1024 * 1024, XML_ELEMENTS_MOST = 8 * 1000 * 1000 };

/* Reads SOURCE. What is not well-formed is an input error, and what could be read is kept (XML 1.0
 * calls that continuing after a fatal error; the error stands). A DTD inside the file is refused:
 * entities and defaults are never expanded and nothing else is ever fetched. False if there is no
 * root element. */
bool xml_document_open(struct xml_document *document, const struct source *source,
                       struct diags *diags);
void xml_document_close(struct xml_document *document);

/* Where NODE begins; for an attribute or text, where its element does. */
struct place xml_document_place(const struct xml_document *document, const xmlNode *node);

/* The position of an element among all elements of its document, from 1; 0 for other nodes. */
size_t xml_document_number(const xmlNode *node);

/* The start tag of NODE (of its parent, if it is no element) as an excerpt for a diagnostic. */
const char *xml_document_excerpt(struct arena *arena, const xmlNode *node);

#endif
