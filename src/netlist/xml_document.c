#include "netlist/xml_document.h"

#include <string.h>
#include <strings.h>

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/xmlerror.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/text.h"

/* What an element's _private points at. */
struct mark {
    size_t number;
    unsigned line, column;
};

/* Kept in the parser's _private while it runs. */
struct parsing {
    struct xml_document *document;
    struct diags *diags;
    size_t elements, errors;
};

/* So many errors of one file are shown with the text around them; finding it costs a scan. */
enum { EXCERPTS_LARGEST = 20 };

/* What an error of libxml2's means; its own words where MESSAGE is NULL. */
struct meaning {
    int code;
    const char *message, *expected;
};

static const struct meaning meanings[] = {
    {XML_ERR_DOCUMENT_EMPTY, "the file holds no XML element", "an XML document"},
    {XML_ERR_DOCUMENT_END, NULL, "one root element and nothing after it"},
    {XML_ERR_TAG_NAME_MISMATCH, NULL, "the end tag of the element begun last"},
    {XML_ERR_TAG_NOT_FINISHED, NULL, "an end tag for every element begun"},
    {XML_ERR_GT_REQUIRED, "a tag is not ended", "'>' at the end of the tag"},
    {XML_ERR_LTSLASH_REQUIRED, "an element is not ended", "an end tag"},
    {XML_ERR_ATTRIBUTE_NOT_STARTED, "an attribute value without quotes", "a quoted value"},
    {XML_ERR_ATTRIBUTE_NOT_FINISHED, "an attribute value is not ended", "the closing quote"},
    {XML_ERR_ATTRIBUTE_WITHOUT_VALUE, NULL, "an attribute written name=\"value\""},
    {XML_ERR_ATTRIBUTE_REDEFINED, NULL, "each attribute once in an element"},
    {XML_ERR_LT_IN_ATTRIBUTE, "a '<' in an attribute value", "&lt; in its place"},
    {XML_ERR_SPACE_REQUIRED, "an attribute cannot be read", "name=\"value\", a blank before it"},
    {XML_ERR_NAME_REQUIRED, "a name is missing", "a name after '<', '&' or a blank in a tag"},
    {XML_ERR_INVALID_CHAR, "a character that XML does not allow",
     "characters of XML 1.0, clause 2.2"},
    {XML_ERR_INVALID_CHARREF, "a character number that cannot be read", "a number such as &#956;"},
    {XML_ERR_INVALID_ENCODING, "the text is not in the encoding it says, UTF-8 if it says none",
     "an encoding=\"...\" that is true"},
    {XML_ERR_UNSUPPORTED_ENCODING, NULL, "an encoding that can be read, such as UTF-8"},
    {XML_ERR_UNKNOWN_ENCODING, NULL, "an encoding that can be read, such as UTF-8"},
    {XML_ERR_UNDECLARED_ENTITY, NULL, "&amp; &lt; &gt; &quot; &apos; or a character number"},
    {XML_WAR_UNDECLARED_ENTITY, NULL, "&amp; &lt; &gt; &quot; &apos; or a character number"},
    {XML_ERR_ENTITYREF_SEMICOL_MISSING, "a bare '&'", "&amp; in its place"},
    {XML_ERR_MISPLACED_CDATA_END, "']]>' in a text", "]]&gt; in its place"},
    {XML_ERR_HYPHEN_IN_COMMENT, "'--' in a comment", "no '--' before the end of a comment"},
    {XML_ERR_COMMENT_NOT_FINISHED, "a comment is not ended", "'-->'"},
    {XML_ERR_CDATA_NOT_FINISHED, "a CDATA section is not ended", "']]>'"},
    {XML_ERR_PI_NOT_FINISHED, "a processing instruction is not ended", "'?>'"},
    {XML_ERR_XMLDECL_NOT_FINISHED, "the XML declaration is not ended", "'?>'"},
    {XML_ERR_INTERNAL_ERROR, "the file passes a limit of the XML parser",
     "at most 256 elements within each other"},
    {XML_NS_ERR_UNDEFINED_NAMESPACE, NULL, "a namespace declared for the prefix"},
};

static struct meaning meaning_of(int code)
{
    for (size_t i = 0; i < sizeof meanings / sizeof *meanings; i++)
        if (meanings[i].code == code)
            return meanings[i];
    return (struct meaning){code, NULL, "well-formed XML 1.0"};
}

/* The text of line LINE from some characters before COLUMN on; NULL if there is no such line. */
static const char *excerpt_at(struct arena *arena, const struct source *source, unsigned line,
                              unsigned column)
{
    size_t length, from = column > 40 ? column - 40 : 0;
    const char *text = source_line(source, line, &length);

    if (text == NULL)
        return NULL;
    if (from >= length)
        from = length > 40 ? length - 40 : 0;
    while (from > 0 && (text[from] & 0xC0) == 0x80)
        from--;
    while (from < length && (text[from] == ' ' || text[from] == '\t'))
        from++;
    length -= from;
    return arena_copy_span(arena, text + from, length < 300 ? length : 300);
}

/* A libxml2 message without its line end. */
static const char *message_of(struct arena *arena, const char *message)
{
    size_t length = message != NULL ? strcspn(message, "\r\n") : 0;

    return length > 0 ? arena_copy_span(arena, message, length) : "not well-formed";
}

#if LIBXML_VERSION >= 21200
static void report(void *data, const xmlError *error)
#else
static void report(void *data, xmlErrorPtr error)
#endif
{
    xmlParserCtxt *parser = data;
    struct parsing *parsing = parser->_private;
    struct arena *arena = parsing->diags->arena;
    struct place place = {parsing->document->source, error->line > 0 ? (unsigned)error->line : 0,
                          error->int2 > 0 ? (unsigned)error->int2 : 1};
    struct meaning meaning = meaning_of(error->code);
    const char *excerpt = NULL;

    if (error->code == XML_ERR_USER_STOP)
        return;
    if (parsing->diags->dropped > 0) {
        parsing->diags->dropped++;
        return;
    }
    if (parsing->errors++ < EXCERPTS_LARGEST)
        excerpt = excerpt_at(arena, place.source, place.line, place.column);
    diag_input(parsing->diags, error->level == XML_ERR_WARNING ? LEVEL_WARNING : LEVEL_ERROR, place,
               excerpt, meaning.expected, "XML: %s",
               meaning.message != NULL ? meaning.message : message_of(arena, error->message));
}

/* Called at <!DOCTYPE name ...; if a DTD follows inside, reading ends here. */
static void refuse_dtd(void *data, const xmlChar *name, const xmlChar *external,
                       const xmlChar *system)
{
    xmlParserCtxt *parser = data;
    struct parsing *parsing = parser->_private;
    struct place place = {parsing->document->source, (unsigned)parser->input->line,
                          (unsigned)parser->input->col};

    if (*parser->input->cur != '[') {
        xmlSAX2InternalSubset(data, name, external, system);
        return;
    }
    diag_input(parsing->diags, LEVEL_ERROR, place,
               excerpt_at(parsing->diags->arena, place.source, place.line, place.column),
               "a document without a DTD inside: delete [...] from its DOCTYPE",
               "the document declares its own DTD; entities and defaults are not read");
    xmlStopParser(parser);
}

/* The place of the start tag whose end the parser has just reached. */
static void mark_place(const xmlParserInput *input, struct mark *mark)
{
    const xmlChar *at = input->cur;
    unsigned back = 0, lines = 0;

    while (at > input->base && *at != '<') {
        at--;
        lines += *at == '\n';
        back += (*at & 0xC0) != 0x80;
    }
    mark->line = (unsigned)input->line - lines;
    if (lines == 0) {
        mark->column = (unsigned)input->col > back ? (unsigned)input->col - back : 1;
        return;
    }
    for (mark->column = 1; at > input->base && at[-1] != '\n'; at--)
        mark->column += (at[-1] & 0xC0) != 0x80;
}

static void start_element(void *data, const xmlChar *name, const xmlChar *prefix,
                          const xmlChar *uri, int namespaces, const xmlChar **declared, int count,
                          int defaulted, const xmlChar **attributes)
{
    xmlParserCtxt *parser = data;
    struct parsing *parsing = parser->_private;
    struct mark *mark = arena_alloc(parsing->document->marks, sizeof *mark);
    const xmlNode *before = parser->node;

    xmlSAX2StartElementNs(data, name, prefix, uri, namespaces, declared, count, defaulted,
                          attributes);
    mark->number = ++parsing->elements;
    mark_place(parser->input, mark);
    if (parser->node != NULL && parser->node != before)
        parser->node->_private = mark;
}

static bool is_blank_text(const xmlChar *text, int length)
{
    for (int i = 0; i < length; i++)
        if (text[i] != ' ' && text[i] != '\n' && text[i] != '\t' && text[i] != '\r')
            return false;
    return true;
}

/* The blanks between elements, half of all nodes otherwise, are not kept; those inside a text, which may come in
 * pieces, are. */
static void take_text(void *data, const xmlChar *text, int length)
{
    const xmlParserCtxt *parser = data;
    const xmlNode *last = parser->node != NULL ? parser->node->last : NULL;

    if ((last != NULL && last->type == XML_TEXT_NODE) || !is_blank_text(text, length))
        xmlSAX2Characters(data, text, length);
}

/* Past the end of a comment, CDATA section or instruction that starts at AT. */
static const char *skip_to(const char *at, const char *end, const char *closing)
{
    size_t length = strlen(closing);

    for (; at < end; at++) {
        at = memchr(at, closing[0], (size_t)(end - at));
        if (at == NULL || (size_t)(end - at) < length)
            return end;
        if (memcmp(at, closing, length) == 0)
            return at + length;
    }
    return end;
}

/* What a document holds more of than is read, and where. */
struct excess {
    const char *at; /* NULL: of nothing */
    const char *expected, *message;
};

/* Past the start tag at AT, whose attributes are looked at. */
static const char *skip_tag(const char *at, const char *end, struct excess *excess)
{
    const char *start = at;
    size_t quoted = 0;

    for (; at < end && *at != '>'; at++) {
        const char *value = at + 1;

        if (*at != '"' && *at != '\'')
            continue;
        at = memchr(value, *at, (size_t)(end - value));
        if (at == NULL)
            at = end;
        if (++quoted > XML_ATTRIBUTES_MOST)
            *excess = (struct excess){start, "at most 1000 attributes", "an element with more attributes than any netlist has; "
                                      "the file is not read"};
        else if ((size_t)(at - value) > XML_ATTRIBUTE_LONGEST)
            *excess = (struct excess){value, "at most 9 MiB in an attribute", "an attribute longer than any netlist has; "
                                      "the file is not read"};
        if (excess->at != NULL || at == end)
            return end;
    }
    return at;
}

/* libxml2 compares each attribute of an element with all others of it, and keeps some hundred bytes of each element: what has a
 * great many is refused before it gets there. */
static struct excess find_excess(const char *at, const char *end)
{
    struct excess excess = {0};
    size_t elements = 0;

    while (excess.at == NULL && at < end && (at = memchr(at, '<', (size_t)(end - at))) != NULL) {
        size_t left = (size_t)(end - at);

        if (left >= 4 && memcmp(at, "<!--", 4) == 0)
            at = skip_to(at + 4, end, "-->");
        else if (left >= 9 && memcmp(at, "<![CDATA[", 9) == 0)
            at = skip_to(at + 9, end, "]]>");
        else if (left >= 2 && at[1] == '?')
            at = skip_to(at + 2, end, "?>");
        else if (left >= 2 && at[1] == '/')
            at++;
        else if (elements++ == XML_ELEMENTS_MOST)
            excess = (struct excess){at, "at most 8 million elements", "more elements than are read; the file is not read at all"};
        else
            at = skip_tag(at + 1, end, &excess);
    }
    return excess;
}

static struct place place_in_text(const struct source *source, const char *at)
{
    struct place place = {source, 1, 1};

    for (const char *c = source->text; c < at; c++) {
        place.column += (*c & 0xC0) != 0x80;
        if (*c == '\n') {
            place.line++;
            place.column = 1;
        }
    }
    return place;
}

static bool is_bearable(const struct source *source, struct diags *diags)
{
    struct excess excess = find_excess(source->text, source->text + source->length);

    if (excess.at == NULL)
        return true;
    diag_input(diags, LEVEL_ERROR, place_in_text(source, excess.at), excess.at, excess.expected, "%s", excess.message);
    return false;
}

/* Whether the file's bytes are not UTF-8 although it says so, or says nothing of its encoding. */
static bool mistaken_encoding(const struct source *source)
{
    const char *end, *at;

    if (strcmp(source->encoding, "ISO-8859-1") != 0)
        return false;
    if (strncmp(source->raw, "<?xml", 5) != 0 || (end = strstr(source->raw, "?>")) == NULL)
        return true;
    at = strstr(source->raw, "encoding");
    if (at == NULL || at > end)
        return true;
    at += strcspn(at, "\"'?");
    return strncasecmp(at + 1, "UTF-8", 5) == 0;
}

static xmlDoc *parse(xmlParserCtxt *parser, const struct source *source, struct diags *diags)
{
    int options = XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_NOCDATA | XML_PARSE_RECOVER | XML_PARSE_COMPACT;
    bool mistaken = mistaken_encoding(source);
    /* A byte order mark read as Latin-1 is six bytes of UTF-8. */
    size_t mark = mistaken && strncmp(source->raw, "\xEF\xBB\xBF", 3) == 0 ? 6 : 0;

    if (mistaken)
        diag_input(diags, LEVEL_WARNING, (struct place){source, 1, 1}, NULL,
                   "UTF-8, or an XML declaration with the true encoding",
                   "the file is not valid UTF-8; it is read as ISO-8859-1");
    if (mistaken || strncmp(source->encoding, "UTF-16", 6) == 0)
        return xmlCtxtReadMemory(parser, source->text + mark, (int)(source->length - mark),
                                 source->name, "UTF-8", options | XML_PARSE_IGNORE_ENC);
    return xmlCtxtReadMemory(parser, source->raw, (int)source->raw_length, source->name, NULL,
                             options);
}

bool xml_document_open(struct xml_document *document, const struct source *source,
                       struct diags *diags)
{
    struct parsing parsing = {.document = document, .diags = diags};
    xmlParserCtxt *parser;

    *document = (struct xml_document){.source = source};
    if (!is_bearable(source, diags))
        return false;
    parser = xmlNewParserCtxt();
    if (parser == NULL)
        return false;
    document->marks = arena_new();
    parser->_private = &parsing;
    parser->sax->serror = report;
    parser->sax->internalSubset = refuse_dtd;
    parser->sax->startElementNs = start_element;
    parser->sax->characters = parser->sax->ignorableWhitespace = take_text;
    document->tree = parse(parser, source, diags);
    xmlFreeParserCtxt(parser);
    if (document->tree != NULL && xmlDocGetRootElement(document->tree) != NULL)
        return true;
    if (parsing.errors == 0 && diag_count_input(diags, LEVEL_ERROR) == 0)
        diag_input(diags, LEVEL_ERROR, (struct place){source, 1, 1}, NULL, "an XML document",
                   "the file holds no XML element");
    xml_document_close(document);
    return false;
}

void xml_document_close(struct xml_document *document)
{
    xmlFreeDoc(document->tree);
    arena_free(document->marks);
    document->tree = NULL;
    document->marks = NULL;
}

static const xmlNode *element_of(const xmlNode *node)
{
    while (node != NULL && node->type != XML_ELEMENT_NODE)
        node = node->parent;
    return node;
}

struct place xml_document_place(const struct xml_document *document, const xmlNode *node)
{
    const xmlNode *element = element_of(node);
    const struct mark *mark = element != NULL ? element->_private : NULL;
    long line;

    if (mark != NULL)
        return (struct place){document->source, mark->line, mark->column};
    line = element != NULL ? xmlGetLineNo(element) : 0;
    return (struct place){document->source, line > 0 ? (unsigned)line : 0, 1};
}

size_t xml_document_number(const xmlNode *node)
{
    const struct mark *mark = node->type == XML_ELEMENT_NODE ? node->_private : NULL;

    return mark != NULL ? mark->number : 0;
}

const char *xml_document_excerpt(struct arena *arena, const xmlNode *node)
{
    const xmlNode *element = element_of(node);
    struct text text = {0};
    const char *copy;

    if (element == NULL)
        return NULL;
    text_print(&text, "<%s", (const char *)element->name);
    for (const xmlAttr *a = element->properties; a != NULL && text.length < 300; a = a->next)
        text_print(&text, " %s=\"%.300s\"", (const char *)a->name,
                   a->children != NULL && a->children->content != NULL
                       ? (const char *)a->children->content : "");
    text_add_char(&text, '>');
    copy = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return copy;
}
