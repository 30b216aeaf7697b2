/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * summary: see summary.h.  Levels are looked at at every sample and change, so extremes are those
 * of the series; first times are in first.c.
 */
#include "summary.h"

#include <math.h>
#include <string.h>

#include "amount.h"
#include "channel.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0;         /* s */
static const double LITRE = 1e3;           /* per m3 */
static const double CO2_MASS = 44.0095e-3; /* kg/mol */

void summary_init(struct summary *s)
{
    memset(s, 0, sizeof *s);
    s->tank_lowest = s->salinity_lowest = s->coldest = s->least_flow = INFINITY;
    s->tank_highest = s->salinity_highest = s->warmest = s->most_flow = -INFINITY;
    s->dry_since = s->dry_first_day = s->spill_first_day = NAN;
    first_init(&s->first);
}

/* Fills end at one level, but for rounding (a picometre): the first of equal ones is told. */
static const double SAME = 1e-9; /* m; g/kg */

static void keep_lowest(double value, double day, double *lowest, double *when)
{
    if (value < *lowest - SAME) {
        *lowest = value;
        *when = day;
    }
}

static void keep_highest(double value, double day, double *highest, double *when)
{
    if (value > *highest + SAME) {
        *highest = value;
        *when = day;
    }
}

static void see_water(struct summary *s, const struct glimpse *g)
{
    const double day = g->t / DAY;
    keep_lowest(g->signals->tank_level, day, &s->tank_lowest, &s->tank_lowest_day);
    keep_highest(g->signals->tank_level, day, &s->tank_highest, &s->tank_highest_day);
    if (g->plant->has_basin && g->plant->basin.salinity > 0.0) {
        const double salinity = channel_salinity(g);
        keep_lowest(salinity, day, &s->salinity_lowest, &s->salinity_lowest_day);
        keep_highest(salinity, day, &s->salinity_highest, &s->salinity_highest_day);
    }
    if (g->signals->feed_flow > 0.0) {
        s->coldest = fmin(s->coldest, g->signals->feed_temperature);
        s->warmest = fmax(s->warmest, g->signals->feed_temperature);
    }
    if (g->signals->product_flow > 0.0 && g->signals->float_opening >= 1.0) {
        s->least_flow = fmin(s->least_flow, g->signals->product_flow);
        s->most_flow = fmax(s->most_flow, g->signals->product_flow);
    }
}

/* Water is missing while the tank is dry and something wants it. */
static void see_dry(struct summary *s, const struct glimpse *g)
{
    const bool wanted = g->settings->draw > 0.0 || g->settings->topoff_call;
    const bool without = g->settings->tank_dry && wanted;
    if (without && isnan(s->dry_since)) {
        s->dry_since = g->t;
        if (isnan(s->dry_first_day))
            s->dry_first_day = g->t / DAY;
    } else if (!without && !isnan(s->dry_since)) {
        s->dry_time += g->t - s->dry_since;
        s->dry_since = NAN;
    }
    if (isnan(s->spill_first_day) && (g->settings->tank_brim || g->settings->basin_brim))
        s->spill_first_day = g->t / DAY;
}

static void see_renewal(struct summary *s, const struct glimpse *g)
{
    for (int k = 0; k < g->plant->stages; k++) {
        if (g->change->part != g->plant->train[k].name)
            continue;
        if (strcmp(g->change->kind, "due") == 0)
            text_copy(s->renewed_why[k], SUMMARY_WORDS, g->change->words);
        if (strcmp(g->change->kind, "replace") != 0)
            continue;
        s->renewals[k]++;
        s->renewed_day[k] = g->t / DAY;
    }
}

static void see_change(struct summary *s, const struct change *c)
{
    s->fills += strcmp(c->kind, "fill starts") == 0;
    s->topoffs += strcmp(c->kind, "top-off") == 0;
    s->trips += strcmp(c->kind, "trip") == 0;
    s->flushes += strcmp(c->kind, "flush ends") == 0;
    s->cuts += strcmp(c->kind, "power off") == 0 || strcmp(c->kind, "supply off") == 0;
}

static void see_end(struct summary *s, const struct glimpse *g)
{
    if (!isnan(s->dry_since))
        s->dry_time += g->t - s->dry_since;
    memcpy(s->x, g->x, sizeof s->x);
    s->on_floor = plant_on_floor(g->plant, g->x);
    s->days = g->t / DAY;
    s->readings = g->state->readings;
    s->inlet_trips = g->settings->inlet_trips;
    for (int k = 0; k < g->plant->stages; k++) {
        const struct stage *stage = &g->plant->train[k];
        s->used[k] =
            stage->kind->used ? stage->kind->used(&stage->params, &g->state->stage[k]) : 0.0;
    }
    balance_of(g->plant, g->state, s->balance);
}

void summary_see(void *self, const struct glimpse *g)
{
    struct summary *s = self;
    if (g->moment == MOMENT_SAMPLE || g->moment == MOMENT_CHANGE)
        see_water(s, g);
    if (g->moment == MOMENT_CHANGE || g->moment == MOMENT_START)
        see_dry(s, g);
    if (g->moment == MOMENT_CHANGE) {
        see_change(s, g->change);
        see_renewal(s, g);
    }
    if (g->moment == MOMENT_PARCEL)
        first_see(&s->first, g);
    if (g->moment == MOMENT_END)
        see_end(s, g);
}

/* ---- limits and money -------------------------------------------------------------------------
 */

static int broken(bool is, FILE *out, const char *words, double value, const char *unit)
{
    char number[SCREEN_CELL];
    if (is && out)
        fprintf(out, "  limit broken: %s: %s%s%s\n", words, screen_number(value, number),
                unit[0] ? " " : "", unit);
    return is;
}

int summary_broken(const struct summary *s, const struct plan *plan, FILE *out)
{
    const struct limits *l = &plan->limits;
    int n = 0;
    n += broken(s->on_floor > l->spill, out, "water on the floor",
                amount_number(AMOUNT_WATER, LITRE * s->on_floor), amount_unit(AMOUNT_WATER));
    n += broken(s->dry_time > l->dry, out, "went without water", s->dry_time / 3600.0, "h");
    n += broken(!isnan(s->first.day[PASSED_PRODUCT_LIMIT]), out,
                "the product reading came to its limit, first on day",
                s->first.day[PASSED_PRODUCT_LIMIT], "");
    n += broken(!isnan(s->first.day[PASSED_PERMEATE_LIMIT]), out,
                "the permeate reading came to its limit, first on day",
                s->first.day[PASSED_PERMEATE_LIMIT], "");
    n += broken(s->salinity_lowest < l->salinity_low, out, "lowest salinity", s->salinity_lowest,
                "g/kg");
    n += broken(s->salinity_highest > l->salinity_high, out, "highest salinity",
                s->salinity_highest, "g/kg");
    return n;
}

/* What has a price of its own and is replaced together. */
static int pieces(const struct stage *stage)
{
    return stage->kind == &stage_membrane ? stage->params.membrane.elements : 1;
}

double summary_renewal_cost(const struct summary *s, const struct plan *plan, const struct plant *p,
                            int stage)
{
    return s->renewals[stage] * pieces(&p->train[stage]) * plan->prices.stage[stage];
}

struct cost summary_cost(const struct summary *s, const struct plan *plan, const struct plant *p)
{
    struct cost c = { 0 };
    c.water = plan->prices.water * s->x[X_FEED];
    c.sewer =
        plan->prices.sewer * (s->x[X_DRAIN] + s->x[X_DIVERTED] + s->x[X_OVERFLOW] + s->x[X_RINSED]);
    c.electricity = plan->prices.electricity * s->x[X_ENERGY];
    for (int k = 0; k < p->stages; k++)
        c.cartridges += summary_renewal_cost(s, plan, p, k);
    c.total = c.water + c.sewer + c.electricity + c.cartridges;
    c.per_litre = s->x[X_PRODUCT] > 0.0 ? c.total / (LITRE * s->x[X_PRODUCT]) : NAN;
    return c;
}

/* ---- JSON -------------------------------------------------------------------------------------
 */

static void put(json_t *o, const char *key, double value)
{
    json_object_set_new(o, key, isfinite(value) ? json_real(value) : json_null());
}

static json_t *json_water(const struct summary *s)
{
    json_t *o = json_object();
    put(o, "feed_L", LITRE * s->x[X_FEED]);
    put(o, "drain_L", LITRE * s->x[X_DRAIN]);
    put(o, "product_L", LITRE * s->x[X_PRODUCT]);
    put(o, "drain_per_product", s->x[X_DRAIN] / s->x[X_PRODUCT]);
    put(o, "evaporated_L", LITRE * s->x[X_EVAPORATED]);
    put(o, "topped_off_L", LITRE * s->x[X_TOPOFF]);
    put(o, "drawn_L", LITRE * s->x[X_DRAWN]);
    put(o, "draws_not_met_L", LITRE * s->x[X_UNMET]);
    put(o, "overflow_pipe_L", LITRE * s->x[X_OVERFLOW]);
    put(o, "spilled_from_tank_L", LITRE * s->x[X_SPILL]);
    put(o, "on_the_floor_L", LITRE * s->on_floor);
    put(o, "spilled_from_served_water_L", LITRE * s->x[X_BASIN_SPILL]);
    put(o, "hours_making_water", s->x[X_MAKING] / 3600.0);
    put(o, "diverted_L", LITRE * s->x[X_DIVERTED]);
    put(o, "rinsed_with_product_L", LITRE * s->x[X_RINSED]);
    put(o, "flushed_new_parts_L", LITRE * s->x[X_FLUSHED]);
    put(o, "starts", s->x[X_STARTS]);
    put(o, "electricity_kWh", s->x[X_ENERGY] / 3.6e6);
    put(o, "least_product_flow_mL_min", 60e6 * s->least_flow);
    put(o, "most_product_flow_mL_min", 60e6 * s->most_flow);
    put(o, "coldest_feed_degC", s->coldest);
    put(o, "warmest_feed_degC", s->warmest);
    return o;
}

static json_t *json_levels(const struct summary *s)
{
    json_t *o = json_object();
    put(o, "tank_lowest_cm", 100.0 * s->tank_lowest);
    put(o, "tank_lowest_day", s->tank_lowest_day);
    put(o, "tank_highest_cm", 100.0 * s->tank_highest);
    put(o, "tank_highest_day", s->tank_highest_day);
    put(o, "salinity_lowest_g_kg", s->salinity_lowest);
    put(o, "salinity_highest_g_kg", s->salinity_highest);
    put(o, "hours_without_water", s->dry_time / 3600.0);
    put(o, "first_day_without_water", s->dry_first_day);
    put(o, "first_day_of_spill", s->spill_first_day);
    json_object_set_new(o, "fills", json_integer(s->fills));
    json_object_set_new(o, "top_offs", json_integer(s->topoffs));
    json_object_set_new(o, "trips", json_integer(s->trips));
    json_object_set_new(o, "flushes", json_integer(s->flushes));
    json_object_set_new(o, "low_pressure_trips", json_integer(s->inlet_trips));
    return o;
}

static json_t *json_passed(const struct summary *s)
{
    static const char *const NAME[PASSED_COUNT] = {
        [PASSED_PRODUCT_LIMIT] = "product_reading_at_limit",
        [PASSED_PERMEATE_LIMIT] = "permeate_reading_at_limit",
        [PASSED_PRODUCT_USUAL] = "product_reading_at_1_ppm",
        [PASSED_SILICA] = "silica_over_0.05_mg_L",
        [PASSED_CARBON] = "carbon_dioxide_over_1_mg_L",
        [PASSED_SODIUM] = "sodium_over_5_percent_of_permeate",
        [PASSED_CHLORINE] = "oxidant_over_0.1_mg_L_at_membrane",
    };
    json_t *o = json_object();
    for (int i = 0; i < PASSED_COUNT; i++) {
        json_t *when = json_object();
        put(when, "day", s->first.day[i]);
        put(when, "product_L", s->first.litres[i]);
        json_object_set_new(o, NAME[i], when);
    }
    return o;
}

void summary_carbon(const struct summary *s, double *co2, double *bicarbonate)
{
    *co2 = *bicarbonate = NAN;
    if (isnan(s->readings.product))
        return;
    const struct speciation forms = water_speciate(s->readings.product_c, 25.0);
    *co2 = forms.co2;
    *bicarbonate = forms.hco3;
}

static json_t *json_readings(const struct summary *s, const struct plant *p)
{
    double co2, bicarbonate;
    summary_carbon(s, &co2, &bicarbonate);
    json_t *o = json_object();
    put(o, "product_free_CO2_mg_L", 1e3 * CO2_MASS * co2);
    put(o, "product_bicarbonate_mg_L", 61.0168 * bicarbonate);
    put(o, "feed_ppm", channel_ppm(p, s->readings.feed));
    put(o, "permeate_ppm", channel_ppm(p, s->readings.permeate));
    put(o, "product_ppm", channel_ppm(p, s->readings.product));
    put(o, "product_pH", s->readings.product_ph);
    put(o, "product_silica_mg_L", 1e3 * species[SILICA].molar_mass * s->readings.product_silica);
    put(o, "product_carbon_mg_L_as_CO2", 1e3 * CO2_MASS * s->readings.product_carbon);
    return o;
}

static json_t *json_cost(const struct summary *s, const struct plan *plan, const struct plant *p)
{
    const struct cost c = summary_cost(s, plan, p);
    json_t *o = json_object();
    json_object_set_new(o, "currency", json_string(plan->prices.currency));
    put(o, "water", c.water);
    put(o, "sewer", c.sewer);
    put(o, "electricity", c.electricity);
    put(o, "cartridges", c.cartridges);
    put(o, "total", c.total);
    put(o, "per_litre_of_product", c.per_litre);
    return o;
}

static json_t *json_balance(const struct summary *s)
{
    json_t *o = json_object();
    for (int i = 0; i < BALANCE_ROWS; i++)
        put(o, s->balance[i].name, s->balance[i].error);
    return o;
}

json_t *summary_json(const struct summary *s, const struct plan *plan, const struct plant *p)
{
    json_t *o = json_object();
    if (!o)
        return NULL;
    json_object_set_new(o, "title", json_string(plan->title));
    put(o, "days", s->days);
    json_object_set_new(o, "water", json_water(s));
    json_object_set_new(o, "levels", json_levels(s));
    json_object_set_new(o, "first_passed", json_passed(s));
    json_object_set_new(o, "readings_at_end", json_readings(s, p));
    json_t *used = json_object();
    for (int k = 0; k < p->stages; k++)
        put(used, p->train[k].name, s->used[k]);
    json_object_set_new(o, "share_of_life_used", used);
    json_t *renewals = json_object();
    for (int k = 0; k < p->stages; k++)
        json_object_set_new(renewals, p->train[k].name, json_integer(s->renewals[k]));
    json_object_set_new(o, "replacements", renewals);
    json_object_set_new(o, "cost", json_cost(s, plan, p));
    json_object_set_new(o, "balance_relative_error", json_balance(s));
    json_object_set_new(o, "limits_broken", json_integer(summary_broken(s, plan, NULL)));
    return o;
}
