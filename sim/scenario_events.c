/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_events: the list `events`: what happens at a date.  An event that lasts is kept as two.
 */
#include "scenario_inner.h"

#include <string.h>

#include "text.h"

/* Words of enum event_kind, in its order. */
static const char *const kinds[] = { "power cut",   "power back",      "supply cut",
                                     "supply back", "hand valve shut", "hand valve open",
                                     "feed change", "fault",           "mend",
                                     "replace",     "reset",           NULL };

struct event_form {
    int what;
    double lasts, amount;
    struct feed_step step;
};

#define FORM struct event_form
#define OPTIONAL FIELD_OPTIONAL

const struct field scenario_event_fields[] = {
    { "what", FIELD_CHOICE, DIM_NONE, offsetof(FORM, what), NAN, 0, 0, 0, 0, kinds,
      "what happens; at = \"30 days\" or a date says when", "" },
    NUMBER("lasts", DIM_TIME, FORM, lasts, OPTIONAL, 1.0, 4e9, 1.0, 4e7,
           "how long; until = a date does the same; for good if left out", ""),
    NUMBER("amount", DIM_NONE, FORM, amount, OPTIONAL, 0.0, 1.0, 0.0, 1.0,
           "of a fault that has one: the opening, or the share of the bore that is left", ""),
    NUMBER("pressure_change", DIM_PRESSURE, FORM, step.pressure_change, OPTIONAL, -1.6e6, 1.6e6,
           -6e5, 6e5, "added to the supply pressure", ""),
    NUMBER("temperature_change", DIM_TEMPERATURE_DIFFERENCE, FORM, step.temperature_change,
           OPTIONAL, -40.0, 40.0, -15.0, 15.0, "added to the temperature of the feed", ""),
    NUMBER("strength", DIM_NONE, FORM, step.strength, OPTIONAL, 0.0, 100.0, 0.2, 5.0,
           "factor on all that is dissolved", ""),
    NUMBER("chlorine", DIM_MOLAR, FORM, step.chlorine, OPTIONAL, 0.0, 3.0, 0.0, 0.0565,
           "free chlorine from then on", ""),
    NUMBER("chloramine", DIM_MOLAR, FORM, step.chloramine, OPTIONAL, 0.0, 3.0, 0.0, 0.0565,
           "monochloramine from then on", ""),
    NUMBER("solids", DIM_MASS_CONCENTRATION, FORM, step.solids, OPTIONAL, 0.0, 10.0, 0.0, 0.2,
           "suspended solids from then on", ""),
    { .key = NULL },
};

static const char *const others[] = { "at", "until", "part", "mode", "stage", NULL };

/* An event with the feed step that goes with a change. */
struct dated {
    struct event event;
    struct feed_step step;
    const struct node *n; /* that said it */
};

struct list {
    struct dated dated[EVENTS_MAX];
    int count;
    bool full; /* said once */
};

struct context {
    struct loading *l;
    const struct node *n; /* of the event */
    struct list *list;
};

static void complain(const struct context *c, const char *key, const char *cure, const char *words)
{
    const struct node *n = tree_member(c->n, key);
    reader_complain(&c->l->reader, SEVERITY_ERROR, n != NULL ? n : c->n, cure, "%s", words);
}

/* Puts an event in order of time; of equal times the one that came first stays first. */
static void add(const struct context *c, const struct event *event, const struct feed_step *step)
{
    struct list *list = c->list;
    if (list->count == EVENTS_MAX) {
        if (!list->full)
            complain(c, "what", NULL, "too many events; at most 128, counting ends");
        list->full = true;
        return;
    }
    int i = list->count++;
    for (; i > 0 && list->dated[i - 1].event.at > event->at; i--)
        list->dated[i] = list->dated[i - 1];
    list->dated[i].event = *event;
    list->dated[i].n = c->n;
    if (step != NULL) {
        list->dated[i].step = *step;
        list->dated[i].step.at = event->at;
    }
}

/* ---- faults ---------------------------------------------------------------------------------- */

static bool read_fault(const struct context *c, const struct event_form *form, struct event *event)
{
    const char *place = event->kind == EVENT_MEND ? "this mend" : "this fault";
    if (!scenario_fault_find(c->l, c->n, place, 0, &event->which))
        return false;
    const struct fault_mode *m = &fault_modes[event->which];
    if (event->kind == EVENT_MEND)
        return true;
    event->amount = isnan(m->value) ? m->preset : m->value;
    if (isnan(form->amount))
        return true;
    if (!isnan(m->value)) {
        complain(c, "amount", "leave amount out", "this fault has no amount");
        return false;
    }
    event->amount = form->amount;
    return true;
}

/* ---- other kinds ----------------------------------------------------------------------------- */

static bool read_replace(const struct context *c, struct event *event)
{
    const struct plant *p = &c->l->out->plant;
    const struct node *n = tree_member(c->n, "stage");
    if (n == NULL)
        reader_missing(&c->l->reader, c->n, "this event", "stage",
                       "say which: stage = \"carbon\";");
    const char *name = reader_text(&c->l->reader, n, "stage");
    if (name == NULL)
        return false;
    event->which = scenario_stage_named(p, name);
    if (event->which >= 0)
        return true;
    char cure[640] = "one of", words[120];
    for (int i = 0; i < p->stages; i++)
        text_append(cure, sizeof cure, "%s \"%s\"", i > 0 ? "," : "", p->train[i].name);
    snprintf(words, sizeof words, "no single stage is called \"%.60s\"", name);
    complain(c, "stage", cure, words);
    return false;
}

static bool changes_nothing(const struct feed_step *s)
{
    return isnan(s->pressure_change) && isnan(s->temperature_change) && isnan(s->strength) &&
           isnan(s->chlorine) && isnan(s->chloramine) && isnan(s->solids);
}

/* What undoes a step. */
static struct feed_step undo(const struct plant *p, const struct feed_step *s)
{
    return (struct feed_step){
        .pressure_change = isnan(s->pressure_change) ? NAN : 0.0,
        .temperature_change = isnan(s->temperature_change) ? NAN : 0.0,
        .strength = isnan(s->strength) ? NAN : 1.0,
        .chlorine = isnan(s->chlorine) ? NAN : p->feed.c[CHLORINE],
        .chloramine = isnan(s->chloramine) ? NAN : p->feed.c[CHLORAMINE],
        .solids = isnan(s->solids) ? NAN : p->feed.c[SOLIDS],
    };
}

/* Keys that only some kinds of event have. */
static void check_fitting(const struct context *c, const struct event_form *form)
{
    const bool fault = form->what == EVENT_FAULT || form->what == EVENT_MEND;
    const bool change = form->what == EVENT_FEED_CHANGE;
    const struct {
        const char *key;
        bool fits;
    } keys[] = { { "part", fault },
                 { "mode", fault },
                 { "amount", fault },
                 { "stage", form->what == EVENT_REPLACE },
                 { "pressure_change", change },
                 { "temperature_change", change },
                 { "strength", change },
                 { "chlorine", change },
                 { "chloramine", change },
                 { "solids", change } };
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        char words[120];
        snprintf(words, sizeof words, "a \"%s\" has no %s", kinds[form->what], keys[i].key);
        if (!keys[i].fits && tree_member(c->n, keys[i].key) != NULL)
            complain(c, keys[i].key, NULL, words);
    }
}

/* The kind that ends one that lasts; -1 if it cannot last. */
static int end_of(int kind)
{
    switch (kind) {
    case EVENT_POWER_OFF:
    case EVENT_SUPPLY_OFF:
    case EVENT_HAND_SHUT:
    case EVENT_FAULT:
        return kind + 1;
    case EVENT_FEED_CHANGE:
        return kind;
    default:
        return -1;
    }
}

/* When an event that lasts ends; NAN if for good or wrong. */
static double read_end(const struct context *c, const struct event_form *form, double at)
{
    const struct node *lasts = tree_member(c->n, "lasts"), *until = tree_member(c->n, "until");
    double end = NAN;
    if (lasts != NULL && until != NULL)
        complain(c, "until", "leave one of them out", "\"lasts\" and \"until\" say the same twice");
    else if ((lasts != NULL || until != NULL) && end_of(form->what) < 0)
        complain(c, lasts != NULL ? "lasts" : "until", NULL, "this kind of event does not last");
    else if (lasts != NULL)
        end = at + form->lasts;
    else if (until != NULL && scenario_moment(c->l, until, "until", &end) && end <= at)
        complain(c, "until", NULL, "the event would end before it begins");
    return end;
}

static void read_event(const struct context *c, int number)
{
    char path[PATH_LENGTH];
    snprintf(path, sizeof path, "events.%d", number);
    struct event_form form;
    const struct section s = { .path = path,
                               .group = reader_group(&c->l->reader, c->n, path),
                               .fields = scenario_event_fields,
                               .base = &form,
                               .others = others };
    if (s.group == NULL)
        return;
    reader_section(&c->l->reader, &s);
    const struct node *when = tree_member(c->n, "at");
    struct event event = { 0 };
    if (when == NULL)
        reader_missing(&c->l->reader, c->n, path, "at", "add at = \"30 days\"; or a date");
    if (form.what < 0 || !scenario_moment(c->l, when, "at", &event.at))
        return;
    event.kind = (enum event_kind)form.what;
    check_fitting(c, &form);
    const bool change = event.kind == EVENT_FEED_CHANGE;
    if ((event.kind == EVENT_FAULT || event.kind == EVENT_MEND) && !read_fault(c, &form, &event))
        return;
    if (event.kind == EVENT_REPLACE && !read_replace(c, &event))
        return;
    if (change && changes_nothing(&form.step))
        complain(c, "what", "such as pressure_change = \"-100 kPa\";",
                 "this feed change changes nothing");
    add(c, &event, change ? &form.step : NULL);
    const double end = read_end(c, &form, event.at);
    if (!(end > event.at && end <= c->l->out->plan.length))
        return;
    event.at = end;
    event.amount = 0.0;
    event.kind = (enum event_kind)end_of(form.what);
    const struct feed_step back = undo(&c->l->out->plant, &form.step);
    add(c, &event, change ? &back : NULL);
}

/* How many of what an event ends are open just before it. */
static int open_before(const struct list *list, int i)
{
    const struct event *end = &list->dated[i].event;
    int open = 0;
    for (int j = 0; j < i; j++) {
        const struct event *e = &list->dated[j].event;
        if (e->which == end->which && e->kind == end->kind)
            open -= open > 0;
        else if (e->which == end->which && e->kind + 1 == end->kind)
            open++;
    }
    return open;
}

/* Warns of an end without a beginning, such as a lone "power back". */
static void check_ends(struct loading *l, const struct list *list)
{
    for (int i = 0; i < list->count; i++) {
        const enum event_kind kind = list->dated[i].event.kind;
        const bool ends = kind == EVENT_POWER_ON || kind == EVENT_SUPPLY_ON ||
                          kind == EVENT_HAND_OPEN || kind == EVENT_MEND;
        if (ends && open_before(list, i) == 0)
            reader_complain(&l->reader, SEVERITY_WARNING, list->dated[i].n,
                            "say where it begins, or leave this out",
                            "a \"%s\" without a \"%s\" before it", kinds[kind], kinds[kind - 1]);
    }
}

/* ---- the list -------------------------------------------------------------------------------- */

static void keep(struct loading *l, const struct node *node, const struct list *list)
{
    struct plan *plan = &l->out->plan;
    struct feed *feed = &l->out->plant.feed;
    for (int i = 0; i < list->count; i++) {
        plan->event[plan->events++] = list->dated[i].event;
        if (list->dated[i].event.kind != EVENT_FEED_CHANGE)
            continue;
        if (feed->steps == FEED_STEPS_MAX) {
            reader_complain(&l->reader, SEVERITY_ERROR, node, NULL,
                            "more than %d changes of the feed, counting ends", FEED_STEPS_MAX);
            return;
        }
        feed->step[feed->steps++] = list->dated[i].step;
    }
}

void scenario_events_read(struct loading *l)
{
    const struct node *list = tree_member(l->root, "events");
    if (list == NULL)
        return;
    if (list->type != NODE_LIST) {
        reader_complain(&l->reader, SEVERITY_ERROR, list, "write events = ( { ... }, { ... } );",
                        "events must be a list, but this is %s", tree_words(list));
        return;
    }
    if (tree_length(list) > EVENTS_MAX) {
        reader_complain(&l->reader, SEVERITY_ERROR, list, NULL,
                        "%d events are too many; at most %d, counting ends", tree_length(list),
                        EVENTS_MAX);
        return;
    }
    struct list dated = { .count = 0 };
    int number = 1;
    for (const struct node *n = list->child; n != NULL; n = n->next) {
        const struct context c = { l, n, &dated };
        read_event(&c, number++);
    }
    check_ends(l, &dated);
    keep(l, list, &dated);
}

static void write_event(const struct scenario *s, const struct event *e,
                        const struct feed_step *step, FILE *out)
{
    const struct feed_step none = { NAN, NAN, NAN, NAN, NAN, NAN, NAN };
    struct event_form form = { (int)e->kind, NAN, NAN, step == NULL ? none : *step };
    const bool fault = e->kind == EVENT_FAULT || e->kind == EVENT_MEND;
    if (e->kind == EVENT_FAULT && isnan(fault_modes[e->which].value))
        form.amount = e->amount;
    writer_number(out, "at", DIM_TIME, e->at);
    writer_fields(out, scenario_event_fields, &form);
    if (fault) {
        writer_text(out, "part", fault_modes[e->which].part);
        writer_text(out, "mode", fault_modes[e->which].mode);
    }
    if (e->kind == EVENT_REPLACE)
        writer_text(out, "stage", s->plant.train[e->which].name);
}

void scenario_events_write(const struct scenario *s, FILE *out)
{
    int step = 0;
    fputs("events = (\n", out);
    for (int i = 0; i < s->plan.events; i++) {
        const struct event *e = &s->plan.event[i];
        const bool change = e->kind == EVENT_FEED_CHANGE;
        fputs(i > 0 ? ", {\n" : "{\n", out);
        write_event(s, e, change ? &s->plant.feed.step[step++] : NULL, out);
        fputs("}\n", out);
    }
    fputs(");\n", out);
}
