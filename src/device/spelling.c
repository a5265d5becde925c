#include "device/spelling.h"

#include <string.h>

#include "base/text.h"

void spell_volts(struct text *out, const char *a, const char *b)
{
    if (strcmp(a, b) == 0)
        text_add(out, "0");
    else if (strcmp(b, "0") == 0)
        text_print(out, "V(%s)", a);
    else if (strcmp(a, "0") == 0)
        text_print(out, "(-V(%s))", b);
    else
        text_print(out, "V(%s,%s)", a, b);
}

void spell_ramp(const struct spelling *spelling, const char *word)
{
    text_print(spelling->out, "(max(V(%s__%s),0)+ln(1+exp(-abs(V(%s__%s)))))", spelling->name, word,
               spelling->name, word);
}

void spell_resistor(const struct spelling *spelling, const char *word, const char *a,
                    const char *b, double ohms)
{
    text_print(spelling->out, "R%s%s%s %s %s " SPELL_FIGURE "\n", spelling->name,
               word != NULL ? "__" : "", word != NULL ? word : "", a, b, ohms);
}

void spell_gmin(const struct spelling *spelling, const char *word, const char *a, const char *b)
{
    if (spelling->gmin > 0 && strcmp(a, b) != 0)
        spell_resistor(spelling, word, a, b, 1 / spelling->gmin);
}

void spell_junction(const struct spelling *spelling, const char *anode, const char *cathode,
                    double saturation, double emission, double ohms)
{
    const char *name = spelling->name;

    text_print(spelling->out, "D%s %s %s D%s__model\n", name, anode, cathode, name);
    text_print(spelling->out,
               ".model D%s__model D(IS=" SPELL_FIGURE " N=" SPELL_FIGURE " RS=" SPELL_FIGURE
               " CJO=" SPELL_FIGURE " M=0)\n",
               name, saturation, emission, ohms > 0 ? ohms : 0, SPELL_STRAY_FARADS);
}
