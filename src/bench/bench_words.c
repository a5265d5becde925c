/* The statements of a bench file. */
#include "bench/bench_words.h"

#include <string.h>
#include <strings.h>

const struct statement_row statement_rows[] = {
    {BENCH_FITTED, "fitted", "fitted part=F2 marking=T315mAL250V", "marking", {"part"}, NULL, false,
     {{"part", FORM_REF, true}, {"marking", FORM_MARKING, true}, {"place", FORM_TEXT, false}}},
    {BENCH_HOLDER, "holder", "holder part=F9 at=J1 pin=L marking=T2AH250V", "marking", {"part"},
     "between at", false,
     {{"part", FORM_REF, true}, {"between", FORM_TWO_NETS, false}, {"at", FORM_REF, false},
      {"pin", FORM_TEXT, false}, {"marking", FORM_MARKING, true}, {"place", FORM_TEXT, false}}},
    {BENCH_WINDING, "winding", "winding part=T1 name=heater volts=6.5V ohms=40mR", "winding",
     {"part", "name", "pins"}, "name pins", false,
     {{"part", FORM_REF, true}, {"name", FORM_TEXT, false}, {"pins", FORM_PINS, false},
      {"volts", FORM_VOLTS_LIST, false}, {"ohms", FORM_OHMS_LIST, false},
      {"amps", FORM_AMPS, false}}},
    {BENCH_MEASURED, "measured", "measured net=HT_B volts=380V", "measured",
     {"net", "to", "reading"}, NULL, false,
     {{"net", FORM_NET, true}, {"volts", FORM_VOLTS, true}, {"to", FORM_NET, false},
      {"reading", FORM_READING, false}, {"tolerance", FORM_PERCENT, false}}},
    {BENCH_DRAWN, "drawn", "drawn part=J5 amps=80mA", "drawn", {"part"}, NULL, false,
     {{"part", FORM_REF, true}, {"amps", FORM_AMPS, true}}},
    {BENCH_LOAD, "load", "load net=HT2 amps=20mA", "load", {"net"}, NULL, false,
     {{"net", FORM_NET, true}, {"return", FORM_NET, false}, {"amps", FORM_AMPS, true}}},
    {BENCH_SWITCH, "switch", "switch part=S2 state=open", "switch", {"part"}, "state position", false,
     {{"part", FORM_REF, true}, {"state", FORM_STATE, false}, {"position", FORM_POSITION, false}}},
    {BENCH_PART, "part", "part ref=X1 is=fuse value=T1AL250V", "part", {"ref"}, NULL, true,
     {{"ref", FORM_REF, true}, {"is", FORM_KIND, false}}},
    {BENCH_MAINS, "mains", "mains volts=240V hertz=50Hz", "mains", {NULL}, "volts hertz", false,
     {{"volts", FORM_VOLTS, false}, {"hertz", FORM_HERTZ, false}}},
    {BENCH_ACCEPT, "accept",
     "accept rule=fuse-undersized fuse=F1 reason=\"as the maker fits it\" until=2027-01-01",
     "accept", {"rule", "part", "net", "rail"}, NULL, false,
     {{"rule", FORM_RULE, true}, {"part", FORM_TEXT, false}, {"net", FORM_TEXT, false},
      {"rail", FORM_TEXT, false}, {"level", FORM_LEVEL, false}, {"reason", FORM_TEXT, true},
      {"until", FORM_DATE, false}}},
};
const size_t statement_row_count = sizeof statement_rows / sizeof *statement_rows;

static const struct synonym_row {
    enum bench_word word;
    const char *key, *usual;
} synonyms[] = {
    {BENCH_FITTED, "where", "place"},  {BENCH_FITTED, "holder", "place"},
    {BENCH_HOLDER, "where", "place"},  {BENCH_HOLDER, "holder", "place"},
    {BENCH_ACCEPT, "fuse", "part"},
};

const struct statement_row *statement_row_find(const char *word)
{
    for (size_t i = 0; i < statement_row_count; i++)
        if (strcasecmp(statement_rows[i].name, word) == 0)
            return &statement_rows[i];
    return NULL;
}

const struct bench_key *statement_key_find(const struct statement_row *row, const char *key)
{
    for (const struct bench_key *at = row->keys; at->name != NULL; at++)
        if (strcmp(at->name, key) == 0)
            return at;
    return NULL;
}

const char *statement_key_usual(const struct statement_row *row, const char *key)
{
    for (size_t i = 0; i < sizeof synonyms / sizeof *synonyms; i++)
        if (synonyms[i].word == row->word && strcmp(synonyms[i].key, key) == 0)
            return synonyms[i].usual;
    return key;
}
