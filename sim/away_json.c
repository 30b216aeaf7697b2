/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_json: the same answer for programs.  Units stand in the names; null is never, or none.
 */
#include <math.h>

#include "away.h"

static const double HOUR = 3600.0; /* s */
static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

static void put(json_t *o, const char *key, double value)
{
    json_object_set_new(o, key, isfinite(value) ? json_real(value) : json_null());
}

static json_t *chance_json(const struct chance *c)
{
    json_t *o = json_object();
    put(o, "mean", c->mean);
    put(o, "low", c->low);
    put(o, "high", c->high);
    return o;
}

static json_t *fault_json(const struct away_measure *m, const struct chance_row *r)
{
    const struct damage *d = &r->set->worst;
    char name[SET_WORDS];
    json_t *o =
        json_pack("{s:s, s:b, s:b, s:b}", "faults", sets_name(m->sets, r->set, name), "tank",
                  r->harm[HARM_TANK], "served", r->harm[HARM_SERVED], "dry", r->harm[HARM_DRY]);
    put(o, "tank_spills_after_h", d->spill / HOUR);
    put(o, "served_spills_after_h", d->basin_spill / HOUR);
    put(o, "short_after_h", sets_begins(d, HARM_DRY) / HOUR);
    put(o, "floor_L", LITRE * d->floor);
    put(o, "mean_a_year", r->chance.mean);
    return o;
}

static json_t *measure_json(const struct away *a, const struct away_measure *m)
{
    const struct away_stay *w = &m->worst;
    const struct moment_saved *worst = campaign_moment(a->overflow.campaign, m->worst_moment);
    json_t *faults = json_array();
    json_t *o = json_pack("{s:s, s:b, s:i, s:i, s:i, s:b, s:s}", "measure", m->door->name, "holds",
                          m->holds, "faults_tried", m->sets->hazards, "faults_that_spill",
                          m->spills, "faults_that_leave_short", m->dries, "pairs_tried_too",
                          m->pairs, "worst_moment", worst->words);
    put(o, "worst_moment_day", worst->t / DAY);
    put(o, "lasts_least_h", m->lasts_least / HOUR);
    put(o, "lasts_most_h", m->lasts_most / HOUR);
    put(o, "tank_spills_after_h", w->damage.spill / HOUR);
    put(o, "served_spills_after_h", w->damage.basin_spill / HOUR);
    put(o, "dry_after_h", w->damage.dry / HOUR);
    put(o, "served_short_after_h", w->damage.low / HOUR);
    put(o, "lowest_tank_level_cm", 100.0 * w->tank_least);
    put(o, "lowest_served_level_cm", 100.0 * w->served_least);
    put(o, "lowest_salinity_g_kg", w->damage.salinity);
    put(o, "highest_salinity_g_kg", w->salinity_most);
    put(o, "floor_of_one_fault_L", LITRE * m->floor);
    json_object_set_new(o, "chance_of_one_fault_that_spills", chance_json(&m->single));
    json_object_set_new(o, "chance_of_any_spill_tried", chance_json(&m->spill));
    json_object_set_new(o, "chance_of_one_fault_that_leaves_short", chance_json(&m->dry));
    for (int i = 0; i < m->chances.rows; i++)
        json_array_append_new(faults, fault_json(m, &m->chances.row[i]));
    json_object_set_new(o, "sets", faults);
    return o;
}

static json_t *absence_json(const struct away *a, const struct absence *b)
{
    json_t *o = json_object(), *ends = json_array();
    put(o, "left_day", b->left / DAY);
    put(o, "product_L", LITRE * b->made);
    put(o, "product_bad_after_h", b->bad / HOUR);
    put(o, "silica_after_h", b->silica / HOUR);
    put(o, "dry_after_h", b->dry / HOUR);
    put(o, "served_short_after_h", b->low / HOUR);
    put(o, "spills_after_h", b->spill / HOUR);
    put(o, "lowest_salinity_g_kg", b->salinity_least);
    put(o, "highest_salinity_g_kg", b->salinity_most);
    for (int k = 0; k < a->scenario->plant.stages; k++) {
        if (isinf(b->ends[k]))
            continue;
        json_t *e =
            json_pack("{s:s, s:s}", "stage", a->scenario->plant.train[k].name, "why", b->why[k]);
        put(e, "after_h", b->ends[k] / HOUR);
        json_array_append_new(ends, e);
    }
    json_object_set_new(o, "ends", ends);
    return o;
}

static json_t *case_json(const struct away *a, const struct away_case *c)
{
    json_t *o = json_pack("{s:s}", "case", c->words);
    json_object_set_new(o, "nothing_done", absence_json(a, &c->as_is));
    json_object_set_new(o, "best_measure", absence_json(a, &c->best));
    json_object_set_new(o, "ended_ones_renewed",
                        c->renewed ? absence_json(a, &c->fresh) : json_null());
    return o;
}

json_t *away_json(const struct away *a)
{
    static const char *const answers[] = { "yes", "if", "no" };
    json_t *o =
        json_pack("{s:s, s:s, s:b, s:i, s:i, s:i}", "leave", answers[away_answers(a)],
                  "best_measure", a->measure[a->best].door->name, "limit_broken", away_breaks(a),
                  "faults_tried", a->overflow.sets.hazards, "pairs_tried",
                  a->overflow.sets.pairs_tried, "moments", campaign_moments(a->overflow.campaign));
    json_t *measures = json_array(), *cases = json_array(), *renew = json_array();
    json_t *dues = json_array();
    if (!o)
        return NULL;
    put(o, "span_h", a->span / HOUR);
    put(o, "reserve_followed_h", a->horizon / HOUR);
    put(o, "fill_cycle_h", campaign_cycle(a->overflow.campaign) / HOUR);
    for (int k = 0; k < a->scenario->plant.stages; k++)
        if (a->renew & (1u << k))
            json_array_append_new(renew, json_string(a->scenario->plant.train[k].name));
    for (int i = 0; i < a->measures; i++)
        json_array_append_new(measures, measure_json(a, &a->measure[i]));
    for (int i = 0; i < a->cases; i++)
        json_array_append_new(cases, case_json(a, &a->cases_of[i]));
    for (int i = 0; i < a->year.dues; i++) {
        const struct absence_due *d = &a->year.due[i];
        json_t *e = json_pack("{s:s, s:s}", "stage", a->scenario->plant.train[d->stage].name, "why",
                              d->why);
        put(e, "day", d->t / DAY);
        json_array_append_new(dues, e);
    }
    json_object_set_new(o, "renew", renew);
    json_object_set_new(o, "measures", measures);
    json_object_set_new(o, "absences", cases);
    json_object_set_new(o, "ends_in_the_year", dues);
    return o;
}
