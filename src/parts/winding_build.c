#include "parts/winding_build.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* Mains voltages that a primary may be wound for, V RMS (IEC 60038: 230 V, 120 V, their forerunners
 * and Japan's 100 V). */
static const double mains_volts[] = {100, 110, 115, 117, 120, 127, 220, 230, 240, 250};

static struct figure told(enum figure_id id, double value)
{
    return (struct figure){.id = id, .value = value, .low = value, .high = value,
                           .origin = FIGURE_FROM_NETLIST};
}

static double sum(const double *values, size_t count)
{
    double total = 0;

    for (size_t i = 0; i < count; i++)
        total += values[i];
    return total;
}

/* OHMS end to end, in proportion to the volts where they are known, else in equal parts. */
static double share(const struct winding_draft *draft, size_t section)
{
    size_t sections = draft->pin_count - 1;
    double total = sum(draft->volts, sections);

    if (draft->end_ohms == 0)
        return draft->ohms[section];
    return draft->end_ohms * (total > 0 ? draft->volts[section] / total : 1.0 / (double)sections);
}

static double rated_amps(const struct winding_draft *draft)
{
    double volts = draft->end_volts > 0 ? draft->end_volts : sum(draft->volts, draft->pin_count - 1);

    return draft->amps == 0 && draft->voltamps > 0 && volts > 0 ? draft->voltamps / volts : draft->amps;
}

static void add_sections(struct part_info *info, const struct winding_draft *draft)
{
    for (size_t i = 0; i + 1 < draft->pin_count; i++) {
        struct section *section = &info->sections[info->section_count++];

        *section = (struct section){.winding = info->winding_count, .start = draft->pins[i],
                                    .end = draft->pins[i + 1]};
        section->volts = told(FIGURE_RATED_VOLTS, draft->volts[i]);
        section->ohms = told(FIGURE_OHMS, share(draft, i));
        section->amps = told(FIGURE_RATED_AMPS, rated_amps(draft));
        if (section->ohms.value == 0 && draft->ohms_told)
            section->ohms.why = "stated as 0";
    }
}

/* Volts end to end of a tapped winding: equal halves for one tap, by a stated assumption. */
static void halve(struct arena *arena, struct part_info *info, const struct winding_draft *draft)
{
    size_t sections = draft->pin_count - 1;

    if (draft->end_volts == 0)
        return;
    for (size_t i = 0; i < sections; i++) {
        struct figure *volts = &info->sections[info->section_count - sections + i].volts;

        volts->value = draft->end_volts / (double)sections;
        volts->low = 0;
        volts->high = draft->end_volts;
        volts->origin = FIGURE_ASSUMED;
        volts->why = arena_print(arena,
                                 "winding %s states its volts end to end; its taps are taken as "
                                 "equally spaced",
                                 draft->name != NULL ? draft->name : "");
    }
}

static void grow(struct arena *arena, struct part_info *info, size_t sections)
{
    struct section *moved = arena_array(arena, info->section_count + sections, sizeof *moved);
    struct winding *windings = arena_array(arena, info->winding_count + 1, sizeof *windings);

    if (info->section_count > 0)
        memcpy(moved, info->sections, info->section_count * sizeof *moved);
    if (info->winding_count > 0)
        memcpy(windings, info->windings, info->winding_count * sizeof *windings);
    info->sections = moved;
    info->windings = windings;
}

void winding_add(struct arena *arena, struct part_info *info, const struct winding_draft *draft)
{
    size_t sections = draft->pin_count - 1;

    grow(arena, info, sections);
    info->windings[info->winding_count] = (struct winding){
        .name = draft->name != NULL ? draft->name
                                    : arena_print(arena, "winding %zu", info->winding_count + 1),
        .primary = draft->primary, .regulation = draft->regulation, .first_section = info->section_count,
        .section_count = sections};
    add_sections(info, draft);
    halve(arena, info, draft);
    info->winding_count++;
}

static double winding_volts(const struct part_info *info, const struct winding *winding)
{
    double total = 0;

    for (size_t i = 0; i < winding->section_count; i++)
        total += info->sections[winding->first_section + i].volts.value;
    return total;
}

static bool is_mains(double volts)
{
    for (size_t i = 0; i < sizeof mains_volts / sizeof *mains_volts; i++)
        if (volts == mains_volts[i])
            return true;
    return false;
}

/* A mains transformer whose primary is not named: the only winding of a mains voltage is it, or those of
 * one such voltage of at most 127 V, as the halves of a split primary have. Two of 230 V may be an
 * isolating transformer. */
static void find_primary(struct arena *arena, struct part_info *info)
{
    double volts = 0;
    size_t found = 0;
    bool alike = true;

    for (size_t i = 0; i < info->winding_count; i++) {
        double own = winding_volts(info, &info->windings[i]);

        if (info->windings[i].primary)
            return;
        if (!is_mains(own))
            continue;
        alike = alike && (found == 0 || (volts == own && own <= 127));
        volts = own;
        found++;
    }
    for (size_t i = 0; alike && found > 0 && i < info->winding_count; i++)
        info->windings[i].primary = winding_volts(info, &info->windings[i]) == volts;
    if ((!alike || found == 0) && info->winding_count > 0)
        part_doubt(arena, info, "its primary is not told; name it pri in the windings field");
}

static void assign_pins(struct arena *arena, struct part_info *info)
{
    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        const struct pin *ends[] = {section->start, section->end};

        for (size_t k = 0; k < 2; k++) {
            struct pin_info *pin = &info->pins[ends[k]->index];

            if (pin->role == PIN_WINDING && pin->unit != section->winding)
                part_doubt(arena, info, "pin %s is in two windings; correct the windings field",
                           ends[k]->number);
            *pin = (struct pin_info){.role = PIN_WINDING, .unit = section->winding};
        }
    }
}

static bool is_shield(const struct pin *pin)
{
    static const char *const names[] = {"SHIELD", "SCREEN", "SCR", "FRAME",
                                        "CORE",   "GND",    "PE",  "SHVC"};
    const char *label = pin_label(pin);

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcasecmp(label, names[i]) == 0)
            return true;
    return false;
}

static void doubt_rest(struct arena *arena, struct part_info *info)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];

        if (info->pins[i].role != PIN_NONE)
            continue;
        if (is_shield(pin))
            info->pins[i].role = PIN_SHIELD;
        else if (pin->net != NULL && pin->net->pin_count > 1 && info->winding_count > 0) {
            part_doubt(arena, info, "pin %s is in no winding; add it to the windings field",
                       pin->number);
            return;
        }
    }
}

void windings_doubt_volts(struct arena *arena, struct part_info *info)
{
    bool shown = info->doubt != NULL && strstr(info->doubt, "windings=") != NULL;

    for (size_t i = 0; i < info->section_count; i++) {
        if (info->sections[i].volts.value > 0 || info->kind == PART_OUTPUT_TRANSFORMER)
            continue;
        part_doubt(arena, info,
                   "the volts of winding %s are not known; state them in the windings field%s%s%s",
                   info->windings[info->sections[i].winding].name, shown ? "" : ", such as: windings=\"",
                   shown ? "" : part_windings_field(arena, info), shown ? "" : "\"");
        return;
    }
}

void windings_finish(struct arena *arena, struct part_info *info)
{
    assign_pins(arena, info);
    find_primary(arena, info);
    doubt_rest(arena, info);
}
