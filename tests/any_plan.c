/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_plan: random draws, events and rules of replacement.
 */
#include <math.h>
#include <string.h>

#include "any_inner.h"

static const double DAY = 86400.0, HOUR = 3600.0; /* s */

/* ---- draws --------------------------------------------------------------------------------------
 */

/* It must be over when the next begins. */
static void draw(struct maker *m)
{
    const struct field *f = scenario_draw_fields;
    const double take = any_log(m, 1e-4, 0.2), rate = any_log(m, 5e-6, 5e-4);
    const double every = fmax(any_log(m, HOUR, 10.0 * DAY), 1.05 * take / rate);
    any_open(m->text, ANY_GROUP, "");
    any_number(m, f, "take", take);
    any_number(m, f, "rate", rate);
    const bool again = any_chance(m, 0.8);
    if (again)
        any_number(m, f, "every", every);
    if (!again || any_chance(m, 0.5))
        any_number(m, f, "first", any_between(m, 0.0, m->length));
    any_close(m->text);
}

void any_draws(struct maker *m)
{
    const int count = any_chance(m, 0.3) ? 0 : 1 + any_pick(m, 3);
    if (count == 0)
        return;
    any_open(m->text, ANY_LIST, "draws");
    for (int i = 0; i < count; i++)
        draw(m);
    any_close(m->text);
}

/* ---- events -------------------------------------------------------------------------------------
 */

static double moment(struct maker *m, const char *key, double from)
{
    const double at = any_between(m, from, m->length);
    any_put(m->text, key, "\"%.3f h\"", floor(1e3 * at / HOUR) / 1e3);
    return at;
}

const struct fault_mode *any_fault(struct maker *m)
{
    const struct fault_mode *found = NULL;
    int seen = 0;
    for (const struct fault_mode *f = fault_modes; f->part != NULL; f++)
        if (fault_applies(&m->plant, f) && any_chance(m, 1.0 / ++seen))
            found = f;
    if (found == NULL)
        found = fault_modes; /* which this plant cannot have */
    any_quoted(m, "part", found->part);
    any_quoted(m, "mode", found->mode);
    return found;
}

static void fault(struct maker *m, bool mends)
{
    const struct fault_mode *f = any_fault(m);
    if (isnan(f->value) && !mends && any_chance(m, 0.4))
        any_put(m->text, "amount", "%.3g",
                f->preset > 0.0 && f->preset < 1e-4 ? any_log(m, 1e-9, 1e-5)
                                                    : any_between(m, 0.0, 1.0));
}

static void feed_change(struct maker *m)
{
    static const char *const others[] = { "what", "lasts", "amount", NULL };
    const int before = m->text->count;
    any_fields(m, scenario_event_fields, others);
    if (m->text->count == before)
        any_value(m, any_field(scenario_event_fields, "strength"));
}

static void ending(struct maker *m, double at)
{
    if (any_chance(m, 0.5))
        any_number(m, scenario_event_fields, "lasts", any_log(m, 60.0, 5.0 * DAY));
    else if (any_chance(m, 0.5))
        moment(m, "until", at + 60.0);
}

static void event(struct maker *m)
{
    const struct field *f = any_field(scenario_event_fields, "what");
    const int kind = any_pick(m, any_words(f->choices));
    const char *what = f->choices[kind];
    if (kind == EVENT_REPLACE && m->plant.stages == 0)
        return;
    any_open(m->text, ANY_GROUP, "");
    const double at = moment(m, "at", 0.0);
    any_quoted(m, "what", what);
    if (kind == EVENT_FAULT || kind == EVENT_MEND)
        fault(m, kind == EVENT_MEND);
    if (kind == EVENT_FEED_CHANGE)
        feed_change(m);
    if (kind == EVENT_REPLACE)
        any_quoted(m, "stage", m->plant.train[any_pick(m, m->plant.stages)].name);
    if (at + 120.0 < m->length &&
        (kind == EVENT_POWER_OFF || kind == EVENT_SUPPLY_OFF || kind == EVENT_HAND_SHUT ||
         kind == EVENT_FAULT || kind == EVENT_FEED_CHANGE))
        ending(m, at);
    any_close(m->text);
}

void any_events(struct maker *m)
{
    const int count = any_chance(m, 0.3) ? 0 : 1 + any_pick(m, 8);
    if (count == 0)
        return;
    any_open(m->text, ANY_LIST, "events");
    for (int i = 0; i < count; i++)
        event(m);
    any_close(m->text);
}

/* ---- rules of replacement -----------------------------------------------------------------------
 */

/* Rules that not every stage has; one without a row here fits all. */
static bool rule_fits(const char *key, const struct stage_kind *k)
{
    if (strcmp(key, "reading") == 0)
        return k == &stage_membrane || k == &stage_resin;
    if (strcmp(key, "pressure_drop") == 0)
        return k == &stage_sediment || k == &stage_carbon || k == &stage_resin;
    if (strcmp(key, "flow") == 0 || strcmp(key, "passage") == 0)
        return k == &stage_membrane;
    return strcmp(key, "oxidant") != 0 || k == &stage_carbon;
}

static void rules(struct maker *m, const struct stage *stage)
{
    const struct field *f = scenario_rule_fields;
    any_open(m->text, ANY_GROUP, stage->name);
    any_number(m, f, "calendar", any_log(m, 1.0, 30.0) * DAY);
    for (; f->key != NULL; f++)
        if (strcmp(f->key, "calendar") != 0 && rule_fits(f->key, stage->kind) && any_chance(m, 0.4))
            any_value(m, f);
    any_close(m->text);
}

void any_replace(struct maker *m)
{
    if (!any_chance(m, 0.35))
        return;
    any_open(m->text, ANY_GROUP, "replace");
    for (int i = 0; i < m->plant.stages; i++)
        if (any_chance(m, 0.5))
            rules(m, &m->plant.train[i]);
    any_close(m->text);
}
