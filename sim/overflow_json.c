/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * overflow_json: the same answer for programs.  SI units and units in the names; null is never.
 */
#include <math.h>

#include "overflow.h"

static const double HOUR = 3600.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static json_t *damage_json(const struct damage *d)
{
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "tank_spills_after_h",
        number(d->spill / HOUR), "served_spills_after_h", number(d->basin_spill / HOUR),
        "overflow_pipe_after_h", number(d->overflow / HOUR), "dry_after_h", number(d->dry / HOUR),
        "served_short_after_h", number(d->low / HOUR), "leak_sensed_after_h",
        number(d->sensed / HOUR), "tank_spilled_L", number(LITRE * d->spilled), "served_spilled_L",
        number(LITRE * d->basin_spilled), "floor_L", number(LITRE * d->floor), "overflow_pipe_L",
        number(LITRE * d->overflowed), "highest_level_cm", number(100.0 * d->highest),
        "lowest_salinity_g_kg", number(d->salinity));
}

static json_t *chance_json(const struct chance *c)
{
    return json_pack("{s:o, s:o, s:o}", "mean_a_year", number(c->mean), "low_a_year",
                     number(c->low), "high_a_year", number(c->high));
}

static json_t *names_json(const struct sets *s, const struct set *one)
{
    json_t *names = json_array();
    for (int i = 0; i < one->count; i++) {
        const struct hazard *h = &s->hazard[one->hazard[i]];
        json_array_append_new(names, json_pack("{s:s, s:s}", "part", h->part, "mode", h->mode));
    }
    return names;
}

static json_t *set_json(const struct overflow_found *f, const struct set *s)
{
    const struct moment_saved *m = campaign_moment(f->campaign, s->first.moment);
    json_t *after = json_array();
    for (int i = 0; i < s->count; i++)
        json_array_append_new(after, number(s->first.strike[i].after / HOUR));
    return json_pack("{s:o, s:s, s:o, s:o, s:o}", "faults", names_json(&f->sets, s), "worst_moment",
                     m->words, "worst_moment_day", number(m->t / (24.0 * HOUR)), "each_after_h",
                     after, "worst", damage_json(&s->worst));
}

json_t *overflow_json(const struct overflow_found *f)
{
    json_t *sets = json_array(), *singles = json_array();
    for (int i = 0; i < f->chances.rows; i++) {
        const struct chance_row *r = &f->chances.row[i];
        json_t *one = set_json(f, r->set);
        json_object_set_new(one, "chance", chance_json(&r->chance));
        json_object_set_new(one, "tank", json_boolean(r->harm[HARM_TANK]));
        json_object_set_new(one, "served", json_boolean(r->harm[HARM_SERVED]));
        json_object_set_new(one, "dry", json_boolean(r->harm[HARM_DRY]));
        json_array_append_new(sets, one);
    }
    for (int i = 0; i < f->sets.hazards; i++)
        json_array_append_new(singles, set_json(f, &f->sets.single[i]));
    const struct chances *c = &f->chances;
    return json_pack("{s:o, s:i, s:i, s:i, s:i, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "span_h", number(f->span / HOUR), "faults_tried", f->sets.hazards,
                     "pairs_tried", f->sets.pairs_tried, "triples_tried", f->sets.triples_tried,
                     "moments", campaign_moments(f->campaign), "runs", (json_int_t)f->sets.runs,
                     "normal_year", damage_json(campaign_normal(f->campaign)), "spill",
                     chance_json(&c->spill), "tank", chance_json(&c->total[HARM_TANK]), "served",
                     chance_json(&c->total[HARM_SERVED]), "dry", chance_json(&c->total[HARM_DRY]),
                     "worst_inflow_L_h", number(LITRE * HOUR * f->worst_inflow), "sets", sets,
                     "singles", singles);
}
