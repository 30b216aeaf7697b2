/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario: from a file to a plant and a plan.
 */
#include "scenario.h"

#include <stdlib.h>
#include <string.h>

#include "scenario_inner.h"
#include "text.h"

static const char *const groups[] = { "title",    "meter",  "feed",    "train",         "storage",
                                      "measured", "served", "control", "draws",         "events",
                                      "limits",   "visits", "replace", "commissioning", "risk",
                                      "prices",   "clock",  "records", "numerics",      NULL };

const struct scenario_table scenario_tables[] = {
    { "meter", scenario_meter_fields },
    { "feed", scenario_feed_fields },
    { "feed", scenario_feed_cycles },
    { "plate", scenario_plate_fields },
    { "measured", scenario_measured_fields },
    { "storage", scenario_storage_fields },
    { "served", scenario_served_fields },
    { "served", scenario_served_cycles },
    { "storage.valve", shutoff_fields },
    { "storage.bladder", bladder_fields },
    { "storage.gas", gas_fields },
    { "storage.low_pressure", scenario_inlet_fields },
    { "control", scenario_control_fields },
    { "draws", scenario_draw_fields },
    { "events", scenario_event_fields },
    { "limits", scenario_limit_fields },
    { "visits", scenario_visit_fields },
    { "replace", scenario_rule_fields },
    { "commissioning", scenario_commissioning_fields },
    { "risk", scenario_risk_fields },
    { "risk.rates", scenario_rate_fields },
    { "prices", scenario_price_fields },
    { "prices.safeguards", scenario_safeguard_fields },
    { "clock", scenario_clock_fields },
    { "records", scenario_record_fields },
    { "numerics", scenario_numerics_fields },
    { NULL, NULL },
};

void scenario_within_read(struct loading *l, const struct node *outer, const char *path,
                          const struct stage_group *inner, void *base)
{
    char whole[PATH_LENGTH] = "";
    text_append(whole, sizeof whole, "%s.%s", path, inner->key);
    const struct section s = { .path = whole,
                               .group = reader_group(&l->reader, tree_member(outer, inner->key),
                                                     inner->key),
                               .fields = inner->fields,
                               .base = (char *)base + inner->offset };
    reader_section(&l->reader, &s);
}

void scenario_within_write(const struct stage_group *inner, const void *base, FILE *out)
{
    writer_open(out, inner->key);
    writer_fields(out, inner->fields, (const char *)base + inner->offset);
    writer_close(out);
}

void scenario_assume(struct loading *l, double *value, const struct assumed *a)
{
    if (!isnan(*value) || isnan(a->si))
        return;
    *value = a->si;
    struct value v = { .dimension = a->dimension,
                       .si = a->si,
                       .sd = NAN,
                       .low = NAN,
                       .high = NAN,
                       .origin = ORIGIN_DEFAULT,
                       .source = a->source };
    text_copy(v.path, sizeof v.path, a->path);
    reader_show(&v);
    reader_note(&l->reader, &v);
}

void scenario_computed(struct loading *l, const char *path, const char *key, double si,
                       const char *source)
{
    char name[PATH_LENGTH] = "";
    text_append(name, sizeof name, "%s.%s", path, key);
    struct value *v = reader_noted(l->reader.values, name);
    if (v == NULL)
        return;
    v->si = si;
    v->origin = ORIGIN_COMPUTED;
    v->source = source;
    reader_show(v);
}

static void read_groups(struct loading *l)
{
    const struct section top = { .path = "", .group = l->root, .others = groups };
    reader_check_keys(&l->reader, &top);
    scenario_clock_read(l);
    scenario_feed_read(l);
    scenario_train_read(l);
    scenario_storage_read(l);
    scenario_measured_read(l);
    scenario_served_read(l);
    scenario_control_read(l);
    scenario_plan_read(l);
    scenario_upkeep_read(l);
    scenario_events_read(l);
    scenario_risk_read(l);
    scenario_trips_check(l);
}

static enum status load(struct loading *l, const char *path, const char *const sets[])
{
    TRY(source_read(path, l->reader.report, &l->out->source));
    l->reader.source = l->out->source;
    TRY(tree_parse(l->out->source, l->reader.report, &l->root));
    enum status status = STATUS_OK;
    for (; sets != NULL && *sets != NULL; sets++) {
        const enum status one = scenario_set(l, *sets);
        status = one == STATUS_OK ? status : one;
    }
    if (status == STATUS_MEMORY)
        return status;
    read_groups(l);
    if (l->out->values.lost)
        return STATUS_MEMORY;
    return report_count(l->reader.report, SEVERITY_ERROR) > 0 ? STATUS_SCENARIO : status;
}

enum status scenario_load(const char *path, const char *const sets[], struct scenario *out,
                          struct report *report)
{
    /* every byte, so that two plants can be compared as memory */
    memset(out, 0, sizeof *out);
    struct loading l = { .reader = { .report = report, .values = &out->values }, .out = out };
    enum status status = load(&l, path, sets);
    if (report_lost(report))
        status = STATUS_MEMORY;
    tree_free(l.root);
    if (status != STATUS_OK)
        scenario_free(out);
    return status;
}

void scenario_free(struct scenario *s)
{
    for (int i = 0; i < s->words_count; i++)
        free(s->words[i]);
    free(s->words);
    free(s->log);
    free(s->values.list);
    source_free(s->source);
    memset(s, 0, sizeof *s);
}
