/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_upkeep: the groups `visits`, `replace` and `commissioning`: when somebody looks, and at
 * what he finds he puts in a new cartridge, and how long he flushes it before use.
 */
#include "scenario_inner.h"

#include <string.h>

#include "text.h"

#define DAY 86400.0
#define YEAR (366.0 * DAY)
#define OPTIONAL FIELD_OPTIONAL

const struct field scenario_visit_fields[] = {
    NUMBER("every", DIM_TIME, struct visits, every, OPTIONAL, 3600.0, 100.0 * YEAR, DAY, YEAR,
           "time from one look to the next; if left out, 7 days where `replace` has rules or "
           "`resets` is true, else nobody looks",
           ""),
    NUMBER("delay", DIM_TIME, struct visits, delay, 0.0, 0.0, YEAR, 0.0, 60.0 * DAY,
           "time from a look to the new cartridge", "none: spares lie ready; assumption"),
    FLAG("resets", struct visits, resets, 0.0, "whoever looks also resets what has tripped",
         "assumption: it takes an event"),
    { .key = NULL },
};

const struct field scenario_rule_fields[] = {
    NUMBER("calendar", DIM_TIME, struct rule, calendar, OPTIONAL, DAY, 100.0 * YEAR, 30.0 * DAY,
           10.0 * YEAR, "time in service", ""),
    NUMBER("reading", DIM_MASS_CONCENTRATION, struct rule, reading, OPTIONAL, 1e-6, 10.0, 1e-3,
           0.05, "meter reading behind it, at or above; of membrane and resin", ""),
    NUMBER("pressure_drop", DIM_PRESSURE, struct rule, pressure_drop, OPTIONAL, 100.0, 1.6e6, 1e4,
           2e5, "pressure lost in it, at or above; of sediment, carbon and resin", ""),
    NUMBER("flow", DIM_NONE, struct rule, flow, OPTIONAL, 0.01, 1.0, 0.5, 0.95,
           "share of its standardised flow when new, at or below; of the membrane", ""),
    NUMBER("passage", DIM_NONE, struct rule, passage, OPTIONAL, 1.0, 1000.0, 1.1, 10.0,
           "its standardised salt passage over that when new, at or above; of the membrane", ""),
    NUMBER("oxidant", DIM_MASS_CONCENTRATION, struct rule, oxidant, OPTIONAL, 1e-6, 0.1, 2e-5, 1e-3,
           "chlorine and chloramine behind it as Cl2, at or above; of the carbon", ""),
    { .key = NULL },
};

static const char CUSTOM[] = "common practice: 15 min to the drain; it carries fines out";

const struct field scenario_commissioning_fields[] = {
    NUMBER("prefilters", DIM_TIME, struct commissioning, prefilters, 900.0, 0.0, DAY, 0.0, 3600.0,
           "how long a new sediment or carbon cartridge is flushed to the drain", CUSTOM),
    NUMBER("membrane", DIM_TIME, struct commissioning, membrane, 1800.0, 0.0, DAY, 0.0, 14400.0,
           "how long the product of a new membrane goes to the drain",
           "common practice: 30 min or more, or a full tank; it carries the preservative out"),
    NUMBER("resin", DIM_TIME, struct commissioning, resin, 600.0, 0.0, DAY, 0.0, 3600.0,
           "how long the product of a new resin bed goes to the drain",
           "assumption: some bed volumes; they carry amines out"),
    FLAG("at_start", struct commissioning, at_start, 0.0,
         "the cartridges at the start of the run are new, and still to be flushed",
         "assumption: they were flushed before"),
    { .key = NULL },
};

/* ---- what fits ------------------------------------------------------------------------------- */

static bool fits(const char *key, const struct stage_kind *k)
{
    const struct {
        const char *key;
        bool fits;
    } rows[] = {
        { "reading", k == &stage_membrane || k == &stage_resin },
        { "pressure_drop", k == &stage_sediment || k == &stage_carbon || k == &stage_resin },
        { "flow", k == &stage_membrane },
        { "passage", k == &stage_membrane },
        { "oxidant", k == &stage_carbon },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].key, key) == 0)
            return rows[i].fits;
    return true;
}

static void check_fitting(struct loading *l, const struct node *group, const struct stage *stage)
{
    char cure[200] = "its rules are";
    for (const struct field *f = scenario_rule_fields; f->key != NULL; f++)
        if (fits(f->key, stage->kind))
            text_append(cure, sizeof cure, "%s %s", f == scenario_rule_fields ? "" : ",", f->key);
    for (const struct field *f = scenario_rule_fields; f->key != NULL; f++) {
        const struct node *n = tree_member(group, f->key);
        char words[120];
        snprintf(words, sizeof words, "\"%s\" is no rule for a stage of the kind \"%s\"", f->key,
                 stage->kind->name);
        if (n != NULL && !fits(f->key, stage->kind))
            reader_complain_key(&l->reader, n, cure, words);
    }
}

/* Rules that wait for what cannot come. */
static void check_wear(struct loading *l, const struct node *group, const struct stage *stage)
{
    static const char *const keys[] = { "flow", "passage", NULL };
    if (stage->kind != &stage_membrane || stage->params.membrane.wear.on)
        return;
    for (int i = 0; keys[i] != NULL; i++) {
        const struct node *n = tree_member(group, keys[i]);
        if (n != NULL)
            reader_complain(&l->reader, SEVERITY_WARNING, n, "set wear = { on = true; }",
                            "the membrane does not wear, so that its %s stays as new", keys[i]);
    }
}

/* ---- one stage ------------------------------------------------------------------------------- */

static const struct rule no_rule = { NAN, NAN, NAN, NAN, NAN, NAN };

static bool is_rule(const struct rule *r)
{
    return !isnan(r->calendar) || !isnan(r->reading) || !isnan(r->pressure_drop) ||
           !isnan(r->flow) || !isnan(r->passage) || !isnan(r->oxidant);
}

static void complain_stage(struct loading *l, const struct node *n)
{
    const struct plant *p = &l->out->plant;
    char cure[640] = "one of", words[160];
    struct nearest near = text_nearest_to(n->name);
    for (int i = 0; i < p->stages; i++) {
        text_append(cure, sizeof cure, "%s \"%s\"", i > 0 ? "," : "", p->train[i].name);
        text_nearest_try(&near, p->train[i].name);
    }
    snprintf(words, sizeof words, "no single stage is called \"%.60s\"", n->name);
    if (near.name != NULL)
        text_append(words, sizeof words, ": did you mean \"%s\"?", near.name);
    reader_complain_key(&l->reader, n, cure, words);
}

static void read_rule(struct loading *l, const struct node *n)
{
    const int i = scenario_stage_named(&l->out->plant, n->name);
    const struct node *group = reader_group(&l->reader, n, n->name);
    if (i < 0)
        complain_stage(l, n);
    if (i < 0 || group == NULL)
        return;
    const struct stage *stage = &l->out->plant.train[i];
    struct rule *rule = &l->out->plan.rule[i];
    if (is_rule(rule))
        reader_complain_key(&l->reader, n, "put its rules in one group",
                            "this stage has its rules already");
    char path[PATH_LENGTH] = "";
    text_append(path, sizeof path, "replace.%s", stage->name);
    const struct section s = {
        .path = path, .group = group, .fields = scenario_rule_fields, .base = rule
    };
    reader_section(&l->reader, &s);
    check_fitting(l, group, stage);
    check_wear(l, group, stage);
    if (group->child == NULL)
        reader_complain_key(&l->reader, n, "such as calendar = \"180 days\";",
                            "this group has no rule");
}

/* ---- the groups ----------------------------------------------------------------------------- */

static void read_visits(struct loading *l, bool rules)
{
    struct visits *v = &l->out->plan.visits;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "visits"), "visits");
    const struct section s = {
        .path = "visits", .group = group, .fields = scenario_visit_fields, .base = v
    };
    reader_section(&l->reader, &s);
    const bool acts = rules || v->resets;
    if (!isnan(v->every) && !acts)
        reader_complain(&l->reader, SEVERITY_WARNING, group,
                        "such as replace = { resin = { reading = \"1 ppm\"; }; };",
                        "somebody looks, but no rule in `replace` says what to do");
    if (acts)
        scenario_assume(l, &v->every,
                        &(struct assumed){ "visits.every", DIM_TIME, 7.0 * DAY,
                                           "assumption: somebody looks once a week" });
    if (isnan(v->every))
        v->every = INFINITY;
}

/* Times for what the train does not have. */
static void check_parts(struct loading *l, const struct section *s)
{
    const struct {
        const char *key;
        const struct stage_kind *kind[2];
    } rows[] = { { "prefilters", { &stage_sediment, &stage_carbon } },
                 { "membrane", { &stage_membrane, &stage_membrane } },
                 { "resin", { &stage_resin, &stage_resin } } };
    const struct plant *p = &l->out->plant;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        bool there = false;
        for (int k = 0; k < p->stages; k++)
            there =
                there || p->train[k].kind == rows[i].kind[0] || p->train[k].kind == rows[i].kind[1];
        if (!there)
            reader_unused(&l->reader, s, rows[i].key, "the train has no such part");
    }
}

static void read_commissioning(struct loading *l)
{
    const struct section s = {
        .path = "commissioning",
        .group = reader_group(&l->reader, tree_member(l->root, "commissioning"), "commissioning"),
        .fields = scenario_commissioning_fields,
        .base = &l->out->plan.commissioning
    };
    reader_section(&l->reader, &s);
    check_parts(l, &s);
}

void scenario_upkeep_read(struct loading *l)
{
    struct plan *plan = &l->out->plan;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "replace"), "replace");
    for (int i = 0; i < STAGES_MAX; i++)
        plan->rule[i] = no_rule;
    for (const struct node *n = group == NULL ? NULL : group->child; n != NULL; n = n->next)
        read_rule(l, n);
    read_visits(l, group != NULL && group->child != NULL);
    read_commissioning(l);
}

void scenario_upkeep_write(const struct scenario *s, FILE *out)
{
    writer_open(out, "visits");
    writer_fields(out, scenario_visit_fields, &s->plan.visits);
    writer_close(out);
    writer_open(out, "replace");
    for (int i = 0; i < s->plant.stages; i++) {
        if (!is_rule(&s->plan.rule[i]))
            continue;
        writer_open(out, s->plant.train[i].name);
        writer_fields(out, scenario_rule_fields, &s->plan.rule[i]);
        writer_close(out);
    }
    writer_close(out);
    writer_open(out, "commissioning");
    writer_fields(out, scenario_commissioning_fields, &s->plan.commissioning);
    writer_close(out);
}
