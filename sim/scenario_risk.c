/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_risk: the group `risk`: how often parts fail, when somebody tests and mends them.
 * Page: docs/rates.md.
 */
#include "scenario_inner.h"

#include <string.h>

#include "models/tank.h"
#include "rates.h"
#include "sizing.h"
#include "text.h"

#define HOUR 3600.0
#define DAY 86400.0
#define YEAR (366.0 * DAY)
#define RATE_YEAR (365.25 * DAY)
#define OPTIONAL FIELD_OPTIONAL

const struct field scenario_risk_fields[] = {
    NUMBER("inspected", DIM_TIME, struct risk, inspected, 365.0 * DAY, HOUR, 100.0 * YEAR, DAY,
           5.0 * YEAR, "time between tests of the parts whose faults do not show by themselves",
           "assumption: once a year"),
    NUMBER("mending", DIM_TIME, struct risk, mending, 2.0 * DAY, 0.0, 10.0 * YEAR, 0.0, 60.0 * DAY,
           "time from finding a fault to having it mended", "assumption: 2 days"),
    NUMBER("unattended", DIM_TIME, struct risk, unattended, OPTIONAL, 60.0, 10.0 * YEAR, HOUR, YEAR,
           "span without anybody there; `clock.away`, or 14 days, if left out", ""),
    NUMBER("common_cause", DIM_NONE, struct risk, common_cause, 0.1, 0.0, 1.0, 0.05, 0.2,
           "share of the faults of like switches in one vessel that strike all of them",
           "assumption: two like floats in one dirty tank; sensors 0.01 to 0.1, from memory"),
    { .key = NULL },
};

struct rate_form {
    double often[RATE_PER_DEMAND + 1]; /* by enum rate_kind; NAN but for one */
    double error_factor, lasts;
};

#define FORM struct rate_form

/* The first rows stand in the order of enum rate_kind. */
const struct field scenario_rate_fields[] = {
    NUMBER("rate", DIM_RATE, FORM, often[RATE_PER_TIME], OPTIONAL, 0.0, 1e3 / RATE_YEAR,
           1e-6 / RATE_YEAR, 100.0 / RATE_YEAR,
           "median rate at which it happens; a year has 365.25 days here", ""),
    NUMBER("probability", DIM_NONE, FORM, often[RATE_STANDING], OPTIONAL, 0.0, 1.0, 1e-6, 0.5,
           "median chance that it stands failed, whenever one looks", ""),
    NUMBER("per_demand", DIM_NONE, FORM, often[RATE_PER_DEMAND], OPTIONAL, 0.0, 1.0, 1e-7, 0.1,
           "median chance that it happens at a demand: each closing of the feed solenoid", ""),
    NUMBER("error_factor", DIM_NONE, FORM, error_factor, OPTIONAL, 1.0, 100.0, 1.0, 30.0,
           "95th over 50th percentile of the doubt; that of the default if left out", ""),
    NUMBER("lasts", DIM_TIME, FORM, lasts, OPTIONAL, 1.0, YEAR, 60.0, 30.0 * DAY,
           "median length of a power cut or supply cut", ""),
    { .key = NULL },
};

static const char *const rate_others[] = { "part", "mode", NULL };
static const char *const risk_others[] = { "rates", NULL };

/* ---- one rate -------------------------------------------------------------------------------- */

enum { KINDS = RATE_PER_DEMAND + 1, UNSAID = -1, TWICE = -2 };

struct context {
    struct loading *l;
    const struct node *n; /* of the rate */
    struct rate usual;    /* the default */
    int which, kind;      /* kind: as said, or UNSAID or TWICE */
};

static bool says(const struct context *c, const char *key)
{
    return tree_member(c->n, key) != NULL;
}

static bool complain(const struct context *c, const char *key, const char *cure, const char *words)
{
    const struct node *n = tree_member(c->n, key);
    reader_complain_key(&c->l->reader, n != NULL ? n : c->n, cure, words);
    return false;
}

/* Which of the keys says how often. */
static int said_kind(const struct context *c)
{
    int found = UNSAID;
    for (int i = 0; i < KINDS; i++) {
        const char *key = scenario_rate_fields[i].key;
        if (!says(c, key))
            continue;
        if (found != UNSAID) {
            complain(c, key, "leave one of rate, probability and per_demand out",
                     "how often it fails is said twice");
            return TWICE;
        }
        found = i;
    }
    return found;
}

/* Whether what is said of it can be said of it. */
static bool fits(const struct context *c)
{
    const bool outage = !isnan(c->usual.lasts);
    const char *key = c->kind == UNSAID ? "" : scenario_rate_fields[c->kind].key;
    char words[160];
    snprintf(words, sizeof words, "a %s comes at a rate and ends by itself", c->usual.mode);
    if (outage && c->kind != UNSAID && c->kind != RATE_PER_TIME)
        return complain(c, key, "say rate = \"1 /yr\"; lasts = \"2 h\";", words);
    snprintf(words, sizeof words, "no demands are counted for this: %s, %s", c->usual.part,
             c->usual.mode);
    if (c->kind == RATE_PER_DEMAND && c->usual.kind != RATE_PER_DEMAND)
        return complain(c, key, "say rate = \"0.02 /yr\"; or probability = 0.01;", words);
    if (says(c, "lasts") && !outage)
        return complain(c, "lasts", "leave it out; risk.mending is the time that mending takes",
                        "a fault lasts until it is mended");
    if (c->kind == UNSAID && !says(c, "error_factor") && !says(c, "lasts"))
        return complain(c, "mode", "such as rate = \"0.02 /yr\"; or probability = 0.01;",
                        "this does not say how often");
    return true;
}

static bool is_second(const struct context *c)
{
    const struct risk *risk = &c->l->out->plan.risk;
    char words[160];
    snprintf(words, sizeof words, "this has its rate already: %s, %s", c->usual.part,
             c->usual.mode);
    for (int i = 0; i < risk->rates; i++)
        if (risk->rate[i].which == c->which)
            return !complain(c, "mode", "leave one of them out", words);
    return false;
}

/* What is left out is as the default has it. */
static void left_out(const struct context *c, struct preset presets[])
{
    const struct rate *r = &c->usual;
    *presets++ = (struct preset){ "error_factor", r->error_factor, r->source };
    if (!isnan(r->lasts))
        *presets++ = (struct preset){ "lasts", r->lasts, r->source };
    if (c->kind == UNSAID)
        *presets++ = (struct preset){ scenario_rate_fields[r->kind].key, r->median, r->source };
    *presets = (struct preset){ .key = NULL };
}

static void keep(const struct context *c, const struct rate_form *form)
{
    struct risk *risk = &c->l->out->plan.risk;
    struct rate_given *g = &risk->rate[risk->rates++];
    g->which = c->which;
    g->kind = c->kind == UNSAID ? c->usual.kind : (enum rate_kind)c->kind;
    g->median = form->often[g->kind];
    g->error_factor = form->error_factor;
    g->lasts = form->lasts;
}

static void note_names(const struct context *c, const char *path)
{
    static const char *const keys[] = { "part", "mode" };
    for (int i = 0; i < 2; i++) {
        char whole[PATH_LENGTH] = "";
        text_append(whole, sizeof whole, "%s.%s", path, keys[i]);
        const struct node *n = tree_member(c->n, keys[i]);
        reader_note_text(&c->l->reader, whole, n, n->text);
    }
}

static void read_rate(struct loading *l, const struct node *n, int number)
{
    char path[PATH_LENGTH];
    snprintf(path, sizeof path, "risk.rates.%d", number);
    if (reader_group(&l->reader, n, path) == NULL)
        return;
    struct context c = { .l = l, .n = n };
    struct preset presets[4] = { { .key = NULL } };
    const bool found = scenario_fault_find(l, n, "this rate", RATES_FIRST, &c.which);
    c.kind = said_kind(&c);
    if (found) {
        c.usual = rates_default(c.which);
        note_names(&c, path);
        left_out(&c, presets);
    }
    struct rate_form form;
    const struct section s = { .path = path,
                               .group = n,
                               .fields = scenario_rate_fields,
                               .base = &form,
                               .presets = presets,
                               .preset_origin = ORIGIN_DEFAULT,
                               .others = rate_others };
    reader_section(&l->reader, &s);
    if (found && c.kind != TWICE && fits(&c) && !is_second(&c))
        keep(&c, &form);
}

/* ---- the list -------------------------------------------------------------------------------- */

static void read_rates(struct loading *l, const struct node *list)
{
    struct reader *r = &l->reader;
    int number = 1;
    if (list == NULL)
        return;
    if (list->type != NODE_LIST) {
        reader_complain(r, SEVERITY_ERROR, list, "write rates = ( { ... }, { ... } );",
                        "rates must be a list, but this is %s", tree_words(list));
        return;
    }
    if (tree_length(list) > RATES_MAX) {
        reader_complain(r, SEVERITY_ERROR, list, NULL, "%d rates are too many; at most %d",
                        tree_length(list), RATES_MAX);
        return;
    }
    for (const struct node *n = list->child; n != NULL; n = n->next)
        read_rate(l, n, number++);
}

/* One line for all that were not given: they would fill a screen. */
static void note_defaults(struct loading *l)
{
    const struct scenario *s = l->out;
    int modes = 0, defaults = 0;
    for (int i = RATES_FIRST; rates_exists(i); i++) {
        modes += rates_applies(&s->plant, i);
        defaults += rates_applies(&s->plant, i) && rates_of(&s->plan, i).given == 0;
    }
    struct value v = { .path = "risk.rates",
                       .type = FIELD_CHOICE,
                       .sd = NAN,
                       .low = NAN,
                       .high = NAN,
                       .si = NAN,
                       .origin = ORIGIN_DEFAULT,
                       .source = "docs/rates.md; leat overflow lists them" };
    snprintf(v.text, sizeof v.text, "%d of %d modes at default", defaults, modes);
    reader_note(&l->reader, &v);
}

/* ---- the group ------------------------------------------------------------------------------- */

/* Time [s] in which the need uses up what lies between the switches; INFINITY without either. */
static double time_to_use_up(const struct scenario *s)
{
    enum { HOURS = 365 * 24, EVERY = 5 };
    const struct fill *f = &s->plant.fill;
    double need = 0.0;
    for (int h = 0; h < HOURS; h += EVERY)
        need += sizing_need(&s->plant, &s->plan, h * HOUR) * EVERY / HOURS;
    if (!f->switches || !(need > 0.0))
        return INFINITY;
    return (tank_volume(&s->plant.tank, f->off_at) - tank_volume(&s->plant.tank, f->on_at)) / need;
}

static void check_unattended(struct loading *l, const struct node *said)
{
    char span[UNITS_TEXT], use[UNITS_TEXT];
    if (said == NULL || report_count(l->reader.report, SEVERITY_ERROR) > 0)
        return;
    const double unattended = l->out->plan.risk.unattended, up = time_to_use_up(l->out);
    if (isinf(up) || unattended >= up)
        return;
    reader_complain(&l->reader, SEVERITY_NOTE, said, NULL,
                    "unattended for %s the tank may not be filled once: what lies between its "
                    "switches lasts %s",
                    units_format(unattended, DIM_TIME, span, sizeof span),
                    units_format(up, DIM_TIME, use, sizeof use));
}

void scenario_risk_read(struct loading *l)
{
    struct risk *risk = &l->out->plan.risk;
    const double away = l->out->plan.away;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "risk"), "risk");
    const struct section s = { .path = "risk",
                               .group = group,
                               .fields = scenario_risk_fields,
                               .base = risk,
                               .others = risk_others };
    reader_section(&l->reader, &s);
    scenario_assume(l, &risk->unattended,
                    &(struct assumed){ "risk.unattended", DIM_TIME, away > 0.0 ? away : 14.0 * DAY,
                                       away > 0.0 ? "clock.away" : "assumption: 14 days" });
    read_rates(l, tree_member(group, "rates"));
    note_defaults(l);
    const struct node *said = tree_member(group, "unattended");
    check_unattended(l, said != NULL ? said : tree_member(tree_member(l->root, "clock"), "away"));
}

static void write_rate(const struct rate_given *g, FILE *out)
{
    struct rate_form form = { { NAN, NAN, NAN }, g->error_factor, g->lasts };
    form.often[g->kind] = g->median;
    writer_text(out, "part", rates_part(g->which));
    writer_text(out, "mode", rates_mode(g->which));
    writer_fields(out, scenario_rate_fields, &form);
}

void scenario_risk_write(const struct scenario *s, FILE *out)
{
    const struct risk *risk = &s->plan.risk;
    writer_open(out, "risk");
    writer_fields(out, scenario_risk_fields, risk);
    fputs("rates = (\n", out);
    for (int i = 0; i < risk->rates; i++) {
        fputs(i > 0 ? ", {\n" : "{\n", out);
        write_rate(&risk->rate[i], out);
        fputs("}\n", out);
    }
    fputs(");\n", out);
    writer_close(out);
}
