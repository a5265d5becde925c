/* A circuit in the three revisions of IPC-2581. */
#include "formats/ipc_writer.h"

#include <string.h>

#include "circuit/circuit.h"
#include "formats/words.h"

/* IPC-2581: where revisions say what is joined, where they say values, and whether the namespace has a prefix. */
struct revision {
    const char *name, *prefix;
    enum { IN_LOGICAL_NETS, IN_PAD_STACKS, IN_LAYER_FEATURES } nets;
    bool billed; /* values and fields in the bill of materials */
};

static const struct revision revisions[] = {
    {"A", "", IN_LOGICAL_NETS, false},
    {"B", "", IN_PAD_STACKS, true},
    {"C", "ipc:", IN_LAYER_FEATURES, false},
};

/* One pair of a part, in the words of the place where it stands. */
static void put_said(FILE *out, const struct revision *revision, const char *name, const char *value)
{
    const char *p = revision->prefix;

    fprintf(out, revision->billed ? "<%sTextual" : "<%sNonstandardAttribute", p);
    put_attribute(out, revision->billed ? "textualCharacteristicName" : "name", name);
    put_attribute(out, revision->billed ? "textualCharacteristicValue" : "value", value);
    fprintf(out, revision->billed ? "/>" : " type=\"STRING\"/>");
}

static void put_all_said(FILE *out, const struct revision *revision, const struct part *part)
{
    if (part->value != NULL)
        put_said(out, revision, "VALUE", part->value);
    for (size_t i = 0; i < part->field_count; i++)
        if (is_described(&part->fields[i]))
            put_said(out, revision, part->fields[i].name, part->fields[i].value);
}

static void put_bill(FILE *out, const struct revision *revision, const struct circuit *circuit)
{
    const char *p = revision->prefix;

    fprintf(out, "<%sBom name=\"bill\">\n", p);
    for (size_t i = 0; i < circuit->part_count; i++) {
        fprintf(out, "<%sBomItem OEMDesignNumberRef=\"\" quantity=\"1\" category=\"ELECTRICAL\"><%sRefDes", p, p);
        put_attribute(out, "name", circuit->parts[i]->ref);
        fprintf(out, " packageRef=\"K%zu\" populate=\"true\"/><%sCharacteristics category=\"ELECTRICAL\">", i, p);
        put_all_said(out, revision, circuit->parts[i]);
        fprintf(out, "</%sCharacteristics></%sBomItem>\n", p, p);
    }
    fprintf(out, "</%sBom>\n", p);
}

static void put_packages(FILE *out, const struct revision *revision, const struct circuit *circuit)
{
    const char *p = revision->prefix;

    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        fprintf(out, "<%sPackage name=\"K%zu\" type=\"OTHER\">", p, i);
        for (size_t k = 0; k < part->pin_count; k++) {
            fprintf(out, "<%sPin", p);
            put_attribute(out, "number", part->pins[k].number);
            if (part->pins[k].name != NULL)
                put_attribute(out, "name", part->pins[k].name);
            fprintf(out, " type=\"THRU\" electricalType=\"ELECTRICAL\"/>");
        }
        fprintf(out, "</%sPackage>\n<%sComponent", p, p);
        put_attribute(out, "refDes", part->ref);
        fprintf(out, " packageRef=\"K%zu\"", i);
        put_attribute(out, "part", or_empty(part->symbol));
        fprintf(out, " layerRef=\"TOP\" mountType=\"THMT\">");
        if (!revision->billed)
            put_all_said(out, revision, part);
        fprintf(out, "</%sComponent>\n", p);
    }
}

static void put_pin_ref(FILE *out, const struct revision *revision, const struct pin *pin)
{
    fprintf(out, "<%sPinRef", revision->prefix);
    put_attribute(out, "componentRef", pin->part->ref);
    put_attribute(out, "pin", pin->number);
    fprintf(out, "/>");
}

/* PIN on the net NAME, where the revision says so; twice, as on two layers. */
static void put_joined(FILE *out, const struct revision *revision, const struct pin *pin, const char *name)
{
    const char *p = revision->prefix;

    if (revision->nets == IN_LOGICAL_NETS)
        fprintf(out, "<%sLogicalNet", p), put_attribute(out, "name", name), fprintf(out, ">");
    else if (revision->nets == IN_PAD_STACKS)
        fprintf(out, "<%sPadStack", p), put_attribute(out, "net", name), fprintf(out, "><%sLayerPad layerRef=\"TOP\">", p);
    else
        fprintf(out, "<%sLayerFeature layerRef=\"TOP\"><%sSet", p, p), put_attribute(out, "net", name), fprintf(out, "><%sPad>", p);
    put_pin_ref(out, revision, pin);
    if (revision->nets == IN_LOGICAL_NETS)
        put_pin_ref(out, revision, pin), fprintf(out, "</%sLogicalNet>\n", p);
    else if (revision->nets == IN_PAD_STACKS)
        fprintf(out, "</%sLayerPad><%sLayerPad layerRef=\"BOTTOM\">", p, p), put_pin_ref(out, revision, pin), fprintf(out, "</%sLayerPad></%sPadStack>\n", p, p);
    else
        fprintf(out, "</%sPad></%sSet></%sLayerFeature>\n", p, p, p);
}

static void write_as(FILE *out, const struct circuit *circuit, const struct revision *revision)
{
    const char *p = revision->prefix;

    fprintf(out, "<?xml version = \"1.0\" encoding = \"UTF-8\"?>\n<%sIPC-2581 revision=\"%s\" xmlns%s=\"http://webstds.ipc.org/2581\">\n", p,
           revision->name, *p != '\0' ? ":ipc" : "");
    if (revision->billed)
        put_bill(out, revision, circuit);
    fprintf(out, "<%sEcad><%sCadData><%sStep name=\"board\">\n", p, p, p);
    put_packages(out, revision, circuit);
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            const struct pin *pin = &circuit->parts[i]->pins[k];

            put_joined(out, revision, pin, pin->net != NULL ? pin->net->name : "No Net");
        }
    fprintf(out, "</%sStep></%sCadData></%sEcad></%sIPC-2581>\n", p, p, p, p);
}

bool format_write_ipc_2581(FILE *out, const struct circuit *circuit, const char *revision)
{
    for (size_t i = 0; i < sizeof revisions / sizeof *revisions; i++)
        if (strcmp(revision, revisions[i].name) == 0) {
            write_as(out, circuit, &revisions[i]);
            return true;
        }
    return false;
}
