/* Findings as SARIF 2.1.0 (OASIS Standard), one run a netlist. */
#include "report/report.h"

#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "base/arena.h"
#include "report/view.h"
#include "report/sarif_pieces.h"

static json_t *rule_json(const struct report_rule *rule)
{
    json_t *json = json_object();

    sarif_set(json, "id", rule->id);
    sarif_set_message(json, "shortDescription", rule->title);
    sarif_set_message(json, "fullDescription", rule->why);
    sarif_set_message(json, "help", rule->fix);
    json_object_set_new(json, "defaultConfiguration",
                        json_pack("{s:s}", "level", sarif_level(rule->level)));
    if (rule->source != NULL) {
        json_t *properties = json_object();

        sarif_set(properties, "source", rule->source);
        json_object_set_new(json, "properties", properties);
    }
    return json;
}

static json_t *driver_json(const struct report_input *input)
{
    json_t *driver = json_object(), *rules = json_array();

    sarif_set(driver, "name", "prearc");
    sarif_set(driver, "version", input->version);
    for (size_t i = 0; i < input->rule_count; i++)
        json_array_append_new(rules, rule_json(&input->rules[i]));
    json_object_set_new(driver, "rules", rules);
    return driver;
}

static void set_rule_index(json_t *result, const struct report_input *input, const char *id)
{
    for (size_t i = 0; i < input->rule_count; i++)
        if (strcmp(input->rules[i].id, id) == 0) {
            json_object_set_new(result, "ruleIndex", json_integer((json_int_t)i));
            return;
        }
}

/* SARIF 2.1.0, 3.27.23: all results of a run have the property or none has. */
static json_t *suppressions_json(const struct report_input *input, const struct diag *diag)
{
    json_t *list = json_array(), *suppression = json_object();
    struct text why = {0};

    if (diag->accepted == NULL) {
        json_decref(suppression);
        return list;
    }
    text_print(&why, "%s%s%s", diag->accepted, diag->accepted_until != NULL ? " (until " : "",
               diag->accepted_until != NULL ? diag->accepted_until : "");
    if (diag->accepted_until != NULL)
        text_add_char(&why, ')');
    sarif_set(suppression, "kind", "external");
    sarif_set(suppression, "status", "accepted");
    sarif_set(suppression, "justification", text_bytes(&why));
    json_object_set_new(suppression, "location",
                        sarif_location(&diag->accepted_at, report_file(input)));
    json_array_append_new(list, suppression);
    text_free(&why);
    return list;
}

static json_t *result_json(const struct report_input *input, const struct diag *diag)
{
    json_t *result = json_object();
    bool open = diag->level == LEVEL_UNVERIFIED;

    sarif_set(result, "ruleId", diag->rule);
    set_rule_index(result, input, diag->rule);
    sarif_set(result, "kind", open ? "open" : "fail");
    sarif_set(result, "level", open ? "none" : sarif_level(diag->level));
    sarif_set_message(result, "message", diag->message);
    json_object_set_new(result, "locations", sarif_locations(diag, report_file(input)));
    if (diag_count_accepted(input->diags) > 0)
        json_object_set_new(result, "suppressions", suppressions_json(input, diag));
    if (diag->fix != NULL || diag->rests_on != NULL) {
        json_t *properties = json_object();

        sarif_set(properties, "toDo", diag->fix);
        sarif_set(properties, "restsOnAssumed", diag->rests_on);
        json_object_set_new(result, "properties", properties);
    }
    return result;
}

static json_t *notification_json(const struct report_input *input, const struct diag *diag)
{
    json_t *notification = json_object();
    struct text message = {0};

    text_add(&message, diag->message != NULL ? diag->message : "");
    if (diag->excerpt != NULL)
        text_print(&message, ": %s", diag->excerpt);
    if (diag->expected != NULL)
        text_print(&message, "; expected %s", diag->expected);
    sarif_set(notification, "level", sarif_level(diag->level));
    sarif_set_message(notification, "message", text_bytes(&message));
    json_object_set_new(notification, "locations", sarif_locations(diag, report_file(input)));
    text_free(&message);
    return notification;
}

static void add_dropped(json_t *notifications, size_t dropped)
{
    json_t *notification = json_object();
    struct text message = {0};

    text_print(&message, "%zu more places could not be read and are not listed", dropped);
    sarif_set(notification, "level", "error");
    sarif_set_message(notification, "message", text_bytes(&message));
    json_array_append_new(notifications, notification);
    text_free(&message);
}

/* The checks that the command line left out. */
static json_t *overrides_json(const struct report_input *input)
{
    json_t *list = json_array();

    for (size_t i = 0; i < input->rule_count; i++) {
        json_t *override;

        if (!input->rules[i].skipped)
            continue;
        override = json_pack("{s:{s:I},s:{s:b}}", "descriptor", "index", (json_int_t)i,
                             "configuration", "enabled", 0);
        sarif_set(json_object_get(override, "descriptor"), "id", input->rules[i].id);
        json_array_append_new(list, override);
    }
    return list;
}

static json_t *invocation_json(const struct report_input *input)
{
    const struct diags *diags = input->diags;
    json_t *invocation = json_object(), *notifications = json_array();
    bool read = input->facts != NULL && diag_count_input(diags, LEVEL_ERROR) == 0 &&
                diags->dropped == 0;

    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].rule == NULL)
            json_array_append_new(notifications, notification_json(input, &diags->items[i]));
    if (diags->dropped > 0)
        add_dropped(notifications, diags->dropped);
    json_object_set_new(invocation, "executionSuccessful", json_boolean(read));
    json_object_set_new(invocation, "toolExecutionNotifications", notifications);
    json_object_set_new(invocation, "ruleConfigurationOverrides", overrides_json(input));
    return invocation;
}

/* The elements ELEMENT of the facts with all their attributes, as objects of strings. */
static json_t *facts_json(const xmlNode *facts, const char *element)
{
    json_t *list = json_array();
    struct arena *arena = arena_new();

    for (const xmlNode *at = view_first(facts, element); at != NULL; at = view_following(at)) {
        json_t *item = json_object();

        for (const xmlAttr *attr = at->properties; attr != NULL; attr = attr->next)
            sarif_set(item, (const char *)attr->name,
                      view_text(arena, at, (const char *)attr->name));
        json_array_append_new(list, item);
    }
    arena_free(arena);
    return list;
}

/* What the results rest on and what was left out: SARIF has no place of its own for either. */
static json_t *properties_json(const struct report_input *input)
{
    const xmlNode *facts = input->facts != NULL ? xmlDocGetRootElement(input->facts) : NULL;
    json_t *properties = json_object();

    json_object_set_new(properties, "assumptions", facts_json(facts, "assumption"));
    json_object_set_new(properties, "gaps", facts_json(facts, "gap"));
    json_object_set_new(properties, "bench", facts_json(facts, "bench"));
    return properties;
}

static json_t *run_json(const struct report_input *input)
{
    json_t *run = json_object(), *tool = json_object(), *results = json_array();
    json_t *invocations = json_array();

    json_object_set_new(tool, "driver", driver_json(input));
    json_object_set_new(run, "tool", tool);
    json_object_set_new(run, "columnKind", json_string("unicodeCodePoints"));
    json_array_append_new(invocations, invocation_json(input));
    json_object_set_new(run, "invocations", invocations);
    for (size_t i = 0; i < input->diags->count; i++)
        if (input->diags->items[i].rule != NULL)
            json_array_append_new(results, result_json(input, &input->diags->items[i]));
    json_object_set_new(run, "results", results);
    json_object_set_new(run, "properties", properties_json(input));
    return run;
}

static void write_sarif(const struct report_input *inputs, size_t count, struct text *out)
{
    json_t *log = json_object(), *runs = json_array();
    char *dump;

    json_object_set_new(log, "$schema",
                        json_string("https://json.schemastore.org/sarif-2.1.0-rtm.5.json"));
    json_object_set_new(log, "version", json_string("2.1.0"));
    for (size_t i = 0; i < count; i++)
        json_array_append_new(runs, run_json(&inputs[i]));
    json_object_set_new(log, "runs", runs);
    dump = json_dumps(log, JSON_INDENT(1));
    if (dump != NULL)
        text_add(out, dump);
    text_add_char(out, '\n');
    free(dump);
    json_decref(log);
}

const struct writer sarif_writer = {
    .name = "sarif",
    .help = "SARIF 2.1.0, for programs",
    .write = write_sarif,
};
