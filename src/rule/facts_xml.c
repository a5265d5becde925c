#include "rule/facts_xml.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"

static const char replacement[] = "\xEF\xBF\xBD"; /* U+FFFD */

xmlNode *fact_element(xmlNode *parent, const char *name)
{
    return xmlNewChild(parent, NULL, (const xmlChar *)name, NULL);
}

/* Bytes of the UTF-8 character at TEXT, its code point in *CODE; 0 if it is none. */
static size_t decode(const char *text, unsigned *code)
{
    static const struct {
        unsigned char mask, lead;
        unsigned least;
    } forms[] = {{0x80, 0x00, 0}, {0xE0, 0xC0, 0x80}, {0xF0, 0xE0, 0x800}, {0xF8, 0xF0, 0x10000}};
    const unsigned char *bytes = (const unsigned char *)text;

    for (size_t i = 0; i < 4; i++) {
        if ((bytes[0] & forms[i].mask) != forms[i].lead)
            continue;
        *code = bytes[0] & (unsigned char)~forms[i].mask;
        for (size_t j = 1; j <= i; j++) {
            if ((bytes[j] & 0xC0) != 0x80)
                return 0;
            *code = *code << 6 | (bytes[j] & 0x3F);
        }
        return *code >= forms[i].least ? i + 1 : 0;
    }
    return 0;
}

/* XML 1.0, production 2 (Char). */
static bool is_xml_char(unsigned code)
{
    return code == '\t' || code == '\n' || code == '\r' || (code >= 0x20 && code <= 0xD7FF) ||
           (code >= 0xE000 && code <= 0xFFFD) || (code >= 0x10000 && code <= 0x10FFFF);
}

static void add_harmless(struct text *out, const char *text)
{
    while (*text != '\0') {
        unsigned code = 0;
        size_t length = decode(text, &code);

        if (length > 0 && is_xml_char(code))
            text_add_span(out, text, length);
        else
            text_add(out, replacement);
        text += length > 0 ? length : 1;
    }
}

void fact_text(xmlNode *node, const char *name, const char *text)
{
    struct text harmless = {0};

    if (text == NULL)
        return;
    add_harmless(&harmless, text);
    xmlNewProp(node, (const xmlChar *)name, (const xmlChar *)text_bytes(&harmless));
    text_free(&harmless);
}

double fact_read_number(xmlNode *node, const char *name)
{
    xmlChar *text = xmlGetProp(node, (const xmlChar *)name);
    const char *at = (const char *)text;
    bool negative = at != NULL && *at == '-';
    double number = NAN;

    at += negative;
    if (at == NULL || !number_scan(&at, false, &number) || *at != '\0')
        number = NAN;
    xmlFree(text);
    return negative ? -number : number;
}

void fact_number(xmlNode *node, const char *name, double number)
{
    char buffer[32];

    if (!isfinite(number))
        return;
    snprintf(buffer, sizeof buffer, "%.6g", number == 0 ? 0.0 : number);
    fact_text(node, name, buffer);
}

void fact_count(xmlNode *node, const char *name, unsigned long long count)
{
    char buffer[32];

    snprintf(buffer, sizeof buffer, "%llu", count);
    fact_text(node, name, buffer);
}

void fact_flag(xmlNode *node, const char *name, bool flag)
{
    fact_text(node, name, flag ? "yes" : "no");
}

void fact_place(xmlNode *node, const struct place *place)
{
    if (place->line == 0)
        return;
    if (place->source != NULL)
        fact_text(node, "file", place->source->name);
    fact_count(node, "line", place->line);
    fact_count(node, "column", place->column);
}
