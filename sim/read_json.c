/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_json: what leat read found, for programs.  Values are SI; meters in kg/m3.
 */
#include <math.h>

#include "read.h"

static const double DAY = 86400.0; /* s */

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *readings(const struct read_found *f)
{
    json_t *all = json_object();
    for (int k = 0; k < LOOK_READABLE; k++) {
        const double value = f->cause[0].node[0].value[k];
        if (!isnan(f->given.value[k]))
            json_object_set_new(all, read_instruments[k].key,
                                json_pack("{s:o, s:o, s:o, s:o}", "read", number(f->given.value[k]),
                                          "expected", number(value), "sd", number(f->sd[k]),
                                          "error", number(read_error(f, (enum look)k, value))));
    }
    return all;
}

static json_t *explanation(const struct read_cause *c)
{
    char words[READ_WORDS];
    json_t *o =
        json_pack("{s:s, s:s, s:o, s:o, s:s}", "key", c->row->key, "title", c->row->title, "share",
                  number(c->share), "misses", number(c->misses), "fit", read_fits(c));
    if (c->row->size)
        json_object_set_new(o, "size",
                            json_pack("{s:o, s:o, s:o, s:s}", "middle", number(c->middle), "low",
                                      number(c->low), "high", number(c->high), "words",
                                      read_size(c, TASTE_METRIC, words)));
    return o;
}

static json_t *explanations(const struct read_found *f)
{
    json_t *all = json_array();
    for (int i = 0; i < f->ranked; i++)
        json_array_append_new(all, explanation(&f->cause[f->order[i]]));
    return all;
}

static json_t *not_shown(const struct read_found *f)
{
    json_t *all = json_array();
    for (int i = 1; i < READ_CAUSES; i++)
        if (f->cause[i].nodes > 0 && !f->cause[i].seen)
            json_array_append_new(all, json_string(f->cause[i].row->key));
    return all;
}

static json_t *expectation(const struct read_cause *c, enum look what)
{
    return json_pack("{s:s, s:o, s:o}", "if", c->row->key, "value", number(c->expect[what]), "sd",
                     number(c->sd[what]));
}

static json_t *measurements(const struct read_found *f)
{
    static const char *const effort[] = { "at hand", "borrowed", "kit" };
    json_t *all = json_array();
    for (int e = 0; e < READ_EFFORTS; e++) {
        const struct read_next *n = &f->next[e];
        if (!(n->removes > 0.0))
            continue;
        json_t *expect = json_array();
        for (int i = 0; i < f->ranked; i++)
            if (read_alike(f, &f->cause[f->order[i]]) ||
                &f->cause[f->order[i]] == read_rival(f, n->what))
                json_array_append_new(expect, expectation(&f->cause[f->order[i]], n->what));
        json_array_append_new(all, json_pack("{s:s, s:s, s:o, s:o}", "key",
                                             read_instruments[n->what].key, "effort", effort[e],
                                             "removes", number(n->removes), "expect", expect));
    }
    return all;
}

static json_t *unseen(const struct read_found *f)
{
    const struct read_cause *c = &f->cause[f->order[0]];
    return json_pack("{s:o, s:o, s:o, s:o}", "product_silica_kg_m3", number(c->expect[LOOK_SILICA]),
                     "permeate_co2_kg_m3", number(c->expect[LOOK_PERMEATE_CO2]),
                     "product_carbon_as_co2_kg_m3", number(c->expect[LOOK_CARBON]),
                     "membrane_oxidant_as_cl2_kg_m3", number(c->expect[LOOK_OXIDANT]));
}

static json_t *parts(const struct read_found *f)
{
    const struct plant *p = f->place.plant;
    json_t *all = json_array();
    for (int k = 0; k < p->stages; k++) {
        const struct stage *s = &p->train[k];
        json_array_append_new(
            all, json_pack("{s:s, s:o, s:b}", "stage", s->name, "used",
                           number(s->kind->used(&s->params, &f->place.state->stage[k])), "due",
                           read_is_due(f, k)));
    }
    return all;
}

json_t *read_json(const struct read_found *f)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "day", number(f->t / DAY),
                     "temperature_degC", number(f->place.temperature), "pressure_Pa",
                     number(f->place.pressure), "readings", readings(f), "explanations",
                     explanations(f), "not_shown", not_shown(f), "measure", measurements(f),
                     "unseen", unseen(f), "parts", parts(f));
}
