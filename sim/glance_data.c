/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance_data: what `check` found, for other programs: CSV of every value, JSON of all.
 */
#include <jansson.h>
#include <math.h>
#include <string.h>

#include "cell.h"
#include "glance.h"

static const double DAY = 86400.0;     /* s */
static const double LITRE = 1e3;       /* per m3 */
static const double ML_PER_MIN = 60e6; /* per m3/s */

void glance_csv(const struct glance *k)
{
    const struct scenario *s = &k->scenario;
    puts("path,value,si,from");
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        char from[256];
        glance_origin(v, from, sizeof from);
        cell_text(stdout, v->path);
        putchar(',');
        cell_text(stdout, v->text);
        printf(isfinite(v->si) ? ",%.17g," : ",,", v->si);
        cell_text(stdout, from);
        putchar('\n');
    }
}

static void put(json_t *o, const char *key, double value)
{
    json_object_set_new(o, key, isfinite(value) ? json_real(value) : json_null());
}

static json_t *json_values(const struct scenario *s)
{
    json_t *list = json_array();
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        char from[256];
        glance_origin(v, from, sizeof from);
        json_t *row = json_object();
        json_object_set_new(row, "path", json_string(v->path));
        json_object_set_new(row, "value", json_string(v->text));
        put(row, "si", v->si);
        json_object_set_new(row, "from", json_string(from));
        json_array_append_new(list, row);
    }
    return list;
}

static json_t *json_feed(const struct completion *c)
{
    json_t *o = json_object();
    for (int i = 0; i < SPECIES_COUNT; i++)
        put(o, species[i].key, c->c[i]);
    put(o, "pH", c->ph);
    put(o, "conductivity_uS_cm", 1e4 * c->conductivity);
    put(o, "free_CO2_mol_m3", c->co2);
    put(o, "free_CO2_low_mol_m3", c->co2_low);
    put(o, "free_CO2_high_mol_m3", c->co2_high);
    put(o, "ion_balance_percent", c->balance);
    return o;
}

static json_t *json_points(const struct sizing *z)
{
    static const char *const NAME[SIZING_CASES] = { "coldest", "mean", "warmest" };
    json_t *o = json_object();
    for (int i = 0; i < SIZING_CASES; i++) {
        json_t *point = json_object();
        put(point, "temperature_degC", z->point[i].temperature);
        put(point, "pressure_kPa", 1e-3 * z->point[i].pressure);
        put(point, "product_mL_min", ML_PER_MIN * z->point[i].signals.product_flow);
        put(point, "drain_mL_min", ML_PER_MIN * z->point[i].signals.drain_flow);
        put(point, "salt_held_back_percent", 100.0 * z->point[i].rejection);
        put(point, "hours_to_lip_or_rim", z->fill_time[i] / 3600.0);
        json_object_set_new(o, NAME[i], point);
    }
    return o;
}

static json_t *json_lives(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    json_t *o = json_object();
    for (int i = 0; i < p->stages; i++) {
        json_t *life = json_object();
        put(life, "short_L", k->sizing.life[i][LIFE_SHORT].litres);
        put(life, "middle_L", k->sizing.life[i][LIFE_MIDDLE].litres);
        put(life, "long_L", k->sizing.life[i][LIFE_LONG].litres);
        json_object_set_new(
            life, "why", json_string(glance_end(&p->train[i], k->sizing.life[i][LIFE_MIDDLE].why)));
        put(life, "contact_s", k->sizing.contact[i]);
        put(life, "flush_when_new_L", LITRE * k->sizing.flush[i]);
        json_object_set_new(o, p->train[i].name, life);
    }
    return o;
}

void glance_json(const struct glance *k)
{
    json_t *o = json_object();
    json_object_set_new(o, "feed_mol_m3", json_feed(&k->scenario.completion));
    json_object_set_new(o, "flows", json_points(&k->sizing));
    put(o, "needed_mean_L_day", LITRE * DAY * k->sizing.need_mean);
    put(o, "needed_most_L_day", LITRE * DAY * k->sizing.need_most);
    put(o, "drain_at_rest_L_day", LITRE * DAY * k->sizing.rest_drain);
    put(o, "rinse_at_stop_L", LITRE * k->sizing.rinse);
    put(o, "feed_mean_L_day", LITRE * DAY * k->sizing.feed);
    put(o, "drain_mean_L_day", LITRE * DAY * k->sizing.drain);
    if (k->scenario.plant.has_bladder) {
        put(o, "bladder_gives_after_feed_is_shut_L", LITRE * k->sizing.bladder_gives);
        put(o, "bladder_highest_pressure_kPa", 1e-3 * k->sizing.bladder_pressure);
    }
    if (k->sizing.siphon.brings > 0.0) {
        put(o, "siphon_brings_L", LITRE * k->sizing.siphon.brings);
        put(o, "siphon_spills_L", LITRE * k->sizing.siphon.spills);
    }
    json_object_set_new(o, "lives", json_lives(k));
    json_object_set_new(o, "values", json_values(&k->scenario));
    json_dumpf(o, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(17));
    putchar('\n');
    json_decref(o);
}
