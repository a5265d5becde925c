/* The output stages: what they draw without a signal, driven to clipping, and far beyond. */
#include "report/section.h"

#include "base/arena.h"
#include "report/sheet.h"
#include "report/view.h"

static const char *or_dash(const char *text)
{
    return text != NULL ? text : "-";
}

/* "push-pull AB" */
static const char *circuit_of(struct arena *arena, const xmlNode *stage)
{
    const char *circuit = or_dash(view_text(arena, stage, "circuit"));
    const char *class = view_text(arena, stage, "class");
    const char *method = view_is(stage, "method", "estimate") ? ", estimated" : "";

    return arena_print(arena, "%s%s%s%s", circuit, class != NULL ? ", class " : "",
                       class != NULL ? class : "", method);
}

/* Anodes and screens, or collectors: "147 mA + 17.5 mA". */
static const char *amps_of(struct arena *arena, const xmlNode *stage, const char *name,
                           const char *screens)
{
    double screen;

    if (!view_number(stage, screens, &screen) || screen <= 0)
        return view_quantity(arena, stage, name, UNIT_AMP);
    return arena_print(arena, "%s + %s", view_quantity(arena, stage, name, UNIT_AMP),
                       view_quantity(arena, stage, screens, UNIT_AMP));
}

static struct table_row stage_row(struct arena *arena, const xmlNode *stage)
{
    return (struct table_row){{
        or_dash(view_text(arena, stage, "parts")),
        circuit_of(arena, stage),
        view_quantity(arena, stage, "load-ohms", UNIT_OHM),
        amps_of(arena, stage, "idle-amps", "idle-screen-amps"),
        amps_of(arena, stage, "full-amps", "full-screen-amps"),
        amps_of(arena, stage, "clipped-amps", "clipped-screen-amps"),
        view_quantity(arena, stage, "full-watts", UNIT_WATT),
    }};
}

void section_output_stages(const struct section_input *input)
{
    size_t count = input->facts != NULL ? view_count(input->facts, "output-stage") : 0, at = 0;
    struct table_row *rows = arena_array(input->arena, count + 1, sizeof *rows);

    if (count == 0)
        return;
    sheet_heading(input->sheet, "OUTPUT STAGES");
    rows[at++] = (struct table_row){{"parts", "circuit", "load", "idle", "full signal",
                                     "overdriven", "output"}};
    for (const xmlNode *stage = view_first(input->facts, "output-stage"); stage != NULL;
         stage = view_following(stage))
        rows[at++] = stage_row(input->arena, stage);
    sheet_table(input->sheet, rows, at, 7);
    sheet_item(input->sheet, SHEET_PLAIN, NULL,
               "Mean currents of the whole stage, anodes + screens. Full signal: a sine that just "
               "begins to clip. Overdriven: a square wave, the most that the stage comes to.");
}
