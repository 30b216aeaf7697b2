/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_json: the same answer for programs, as JSON and as tables.
 */
#include <math.h>

#include "rinse_find.h"

static const double DAY = 86400.0, LITRE = 1e3;

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static void put(json_t *o, const char *key, double value)
{
    json_object_set_new(o, key, number(value));
}

static json_t *programme_json(const struct rinse *r)
{
    json_t *o = json_object();
    put(o, "at_start_s", r->at_start);
    put(o, "at_stop_s", r->at_stop);
    json_object_set_new(o, "with", json_string(r->with == RINSE_PERMEATE ? "permeate" : "feed"));
    put(o, "every_h", r->every / 3600.0);
    put(o, "for_s", r->every_for);
    put(o, "divert_s", r->divert);
    put(o, "bypass", r->bypass);
    return o;
}

static json_t *try_json(const char *name, const struct rinse_try *t)
{
    json_t *o = json_object();
    const struct rinse_year *y = &t->year;
    json_object_set_new(o, "way", json_string(name));
    json_object_set_new(o, "programme", programme_json(&t->programme));
    put(o, "cost_a_year", t->money);
    put(o, "water", y->water);
    put(o, "sewer", y->sewer);
    put(o, "electricity", y->electricity);
    put(o, "membrane", y->membrane);
    put(o, "resin", y->resin);
    put(o, "prefilters", y->prefilters);
    put(o, "drain_L_a_year", LITRE * y->drain);
    put(o, "product_lost_L_a_year", LITRE * y->lost);
    put(o, "membrane_days", y->membrane_life / DAY);
    put(o, "resin_days", y->resin_life / DAY);
    return o;
}

static json_t *ways_json(const struct rinse_found *f)
{
    json_t *list = json_array();
    for (int w = 0; w < RINSE_WAYS; w++) {
        const char *name = rinse_ways_words((enum rinse_way)w);
        if (f->way[w].there)
            json_array_append_new(list, try_json(name, &f->way[w]));
        if (f->diverting[w].there)
            json_array_append_new(list, try_json(name, &f->diverting[w]));
    }
    return list;
}

static json_t *doubts_json(const struct rinse_found *f)
{
    json_t *list = json_array();
    for (int i = 0; i < f->doubts; i++) {
        const struct rinse_doubt *d = &f->doubt[i];
        json_t *o = json_object();
        json_object_set_new(o, "key", json_string(d->key));
        put(o, "value_SI", d->value);
        put(o, "cost_without_rinse", d->none);
        put(o, "cost_of_the_programme", d->subject);
        put(o, "cheapest_tried", d->cheapest);
        put(o, "flow_lost_a_year", d->flow_lost);
        json_object_set_new(o, "holds", json_boolean(d->holds));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *map_json(const struct rinse_map *m)
{
    json_t *o = json_object(), *every = json_array(), *length = json_array(), *cost = json_array();
    for (int i = 0; i < RINSE_MAP_I; i++)
        json_array_append_new(every, json_real(rinse_map_every(i) / 3600.0));
    for (int j = 0; j < RINSE_MAP_J; j++) {
        json_t *row = json_array();
        json_array_append_new(length, json_real(rinse_map_for(j)));
        for (int i = 0; i < RINSE_MAP_I; i++)
            json_array_append_new(row, json_real(m->cost[i][j]));
        json_array_append_new(cost, row);
    }
    json_object_set_new(o, "every_h", every);
    json_object_set_new(o, "for_s", length);
    json_object_set_new(o, "cost_a_year_by_for_and_every", cost);
    json_object_set_new(o, "places_run", json_integer(m->runs));
    return o;
}

json_t *rinse_json(const struct rinse_found *f)
{
    json_t *o = json_object();
    if (!o)
        return NULL;
    const struct rinse_region r = rinse_ways_region(&f->map);
    json_object_set_new(o, "currency", json_string(f->scenario->plan.prices.currency));
    json_object_set_new(o, "pays", json_boolean(f->pays));
    json_object_set_new(o, "survives", json_boolean(f->survives));
    json_object_set_new(o, "best",
                        f->pays && f->survives ? try_json(rinse_ways_words(f->best), &f->subject)
                                               : json_null());
    json_object_set_new(o, "cheapest_rinse", try_json(rinse_ways_words(f->best), &f->subject));
    put(o, "saves_a_year", f->way[RINSE_NONE].money - f->subject.money);
    put(o, "saves_at_least", f->low);
    put(o, "saves_at_most", f->high);
    json_object_set_new(o, "within_5_percent_of_the_map",
                        json_pack("{s:f, s:f, s:f, s:f}", "every_from_h", r.every_from / 3600.0,
                                  "every_to_h", r.every_to / 3600.0, "for_from_s", r.for_from,
                                  "for_to_s", r.for_to));
    json_object_set_new(o, "ways", ways_json(f));
    json_object_set_new(o, "doubts", doubts_json(f));
    json_object_set_new(o, "map", map_json(&f->map));
    json_object_set_new(o, "runs", json_integer(f->runs));
    return o;
}

/* ---- tables -------------------------------------------------------------------------------------
 */

void rinse_csv_map(const struct rinse_found *f, FILE *out)
{
    const struct rinse_map *m = &f->map;
    fputs("every_h,for_s,was_run,cost_a_year,drain_L,product_lost_L,membrane_days,resin_days\n",
          out);
    for (int i = 0; i < RINSE_MAP_I; i++)
        for (int j = 0; j < RINSE_MAP_J; j++) {
            const struct rinse_year *y = &m->year[i][j];
            fprintf(out, "%.7g,%.7g,%d,%.4f", rinse_map_every(i) / 3600.0, rinse_map_for(j),
                    m->known[i][j], m->cost[i][j]);
            if (m->known[i][j])
                fprintf(out, ",%.3f,%.3f,%.3f,", LITRE * y->drain, LITRE * y->lost,
                        y->membrane_life / DAY);
            else
                fputs(",,,,", out);
            if (m->known[i][j] && isfinite(y->resin_life))
                fprintf(out, "%.3f", y->resin_life / DAY);
            fputc('\n', out);
        }
}

static void csv_row(const char *name, const struct rinse_try *t, FILE *out)
{
    const struct rinse *r = &t->programme;
    if (!t->there)
        return;
    fprintf(out, "\"%s\",%g,%g,%s,", name, r->at_start, r->at_stop,
            r->with == RINSE_PERMEATE ? "permeate" : "feed");
    if (isfinite(r->every))
        fprintf(out, "%.7g", r->every / 3600.0);
    fprintf(out, ",%.7g,%g,%.4f,%.3f,%.3f,%.3f,", r->every_for, r->divert, t->money,
            LITRE * t->year.drain, LITRE * t->year.lost, t->year.membrane_life / DAY);
    if (isfinite(t->year.resin_life))
        fprintf(out, "%.3f", t->year.resin_life / DAY);
    fputc('\n', out);
}

void rinse_csv_ways(const struct rinse_found *f, FILE *out)
{
    fputs("way,at_start_s,at_stop_s,with,every_h,for_s,divert_s,cost_a_year,drain_L,product_lost_L,"
          "membrane_days,resin_days\n",
          out);
    for (int w = 0; w < RINSE_WAYS; w++) {
        csv_row(rinse_ways_words((enum rinse_way)w), &f->way[w], out);
        csv_row(rinse_ways_words((enum rinse_way)w), &f->diverting[w], out);
    }
}

void rinse_csv_doubts(const struct rinse_found *f, FILE *out)
{
    fputs("key,value_SI,cost_without_rinse,cost_of_the_programme,cheapest_tried,holds\n", out);
    for (int i = 0; i < f->doubts; i++) {
        const struct rinse_doubt *d = &f->doubt[i];
        fprintf(out, "%s,%.7g,%.4f,%.4f,%.4f,%d\n", d->key, d->value, d->none, d->subject,
                d->cheapest, d->holds);
    }
}
