/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * findings: see findings.h.  Every line answers one question; figures are those of summary.json.
 */
#include "findings.h"

#include <math.h>
#include <string.h>

#include "amount.h"
#include "channel.h"
#include "screen.h"
#include "sizing.h"
#include "text.h"

static const double CO2_MASS = 44.0095e-3; /* kg/mol */
static const double PERCENT = 100.0;
static const double IDLE_DRAIN = 10.0;   /* L a litre made: more than any membrane needs */
static const double PRODUCT_USUAL = 1.0; /* ppm, common practice */

struct view { /* what every line is made from */
    FILE *out;
    const struct summary *s;
    const struct plan *plan;
    const struct plant *p;
};

static const char *day_of(const struct view *v, double day, char out[SCREEN_CELL])
{
    return screen_day(day, v->plan->start_date, out);
}

/* ---- water ------------------------------------------------------------------------------------
 */

/* "91 to 137 mL/min", or "100 mL/min" where both are shown alike. */
static const char *between(enum amount a, double low, double high, int decimals,
                           char out[2 * SCREEN_CELL])
{
    char least[SCREEN_CELL], most[SCREEN_CELL];
    amount_bare(a, low, decimals, least);
    const bool alike = strcmp(least, amount_bare(a, high, decimals, most)) == 0;
    snprintf(out, 2 * SCREEN_CELL, "%s%s%s", alike ? "" : least, alike ? "" : " to ",
             amount_words(a, high, decimals, most));
    return out;
}

static void made(const struct view *v)
{
    const double *x = v->s->x;
    char product[SCREEN_CELL], drain[SCREEN_CELL], feed[SCREEN_CELL];
    char flows[2 * SCREEN_CELL], degrees[2 * SCREEN_CELL], text[SCREEN_TEXT] = "";
    text_append(text, sizeof text, "%s of product from %s of feed",
                screen_litres(x[X_PRODUCT], product), screen_litres(x[X_FEED], feed));
    if (x[X_DRAIN] > 0.0)
        text_append(text, sizeof text, "; %s to the drain", screen_litres(x[X_DRAIN], drain));
    if (x[X_DRAIN] > 0.0 && x[X_PRODUCT] > 0.0)
        text_append(text, sizeof text, ", %.2f %s a %s made", x[X_DRAIN] / x[X_PRODUCT],
                    amount_unit(AMOUNT_WATER), amount_one());
    if (isfinite(v->s->least_flow))
        text_append(text, sizeof text, ". It makes %s, feed at %s",
                    between(AMOUNT_FLOW, 60e6 * v->s->least_flow, 60e6 * v->s->most_flow, 0, flows),
                    between(AMOUNT_TEMPERATURE, v->s->coldest, v->s->warmest, 1, degrees));
    screen_entry(v->out, "Made", "%s.", text);
    if (x[X_RINSED] > 0.0)
        screen_entry(v->out, "", "Rinses of the membrane took %s of the stored product.",
                     screen_litres(x[X_RINSED], product));
    if (sizing_throttled(v->p) && x[X_DRAIN] > IDLE_DRAIN * x[X_PRODUCT])
        screen_entry(v->out, "",
                     "Most of the drain ran while the tank was full: nothing shuts the "
                     "feed.");
}

static void needed(const struct view *v)
{
    const double *x = v->s->x;
    char total[SCREEN_CELL], one[SCREEN_CELL];
    char text[SCREEN_TEXT] = "";
    const bool topped = v->p->has_basin && v->p->topoff.kind != TOPOFF_NONE;
    const double evaporated = topped ? fmax(0.0, x[X_EVAPORATED]) : 0.0;
    text_append(text, sizeof text, "%s",
                screen_litres(evaporated + x[X_DRAWN] + x[X_UNMET], total));
    if (topped && x[X_EVAPORATED] >= 0.0)
        text_append(text, sizeof text, "; %s evaporated", screen_litres(evaporated, one));
    if (x[X_DRAWN] > 0.0)
        text_append(text, sizeof text, "; %s drawn", screen_litres(x[X_DRAWN], one));
    if (x[X_UNMET] > 5e-7)
        text_append(text, sizeof text, "; %s wanted for draws was not there",
                    screen_litres(x[X_UNMET], one));
    screen_entry(v->out, "Needed", "%s.", text);
    if (v->p->has_basin && x[X_EVAPORATED] < 0.0)
        screen_entry(v->out, "", "Vapour of the room condensed on the served water: %s.",
                     screen_litres(-x[X_EVAPORATED], one));
    else if (v->p->has_basin && !topped)
        screen_entry(v->out, "", "%s evaporated, which nothing tops off.",
                     screen_litres(x[X_EVAPORATED], one));
}

static void tank(const struct view *v)
{
    const struct summary *s = v->s;
    char low[SCREEN_CELL], high[SCREEN_CELL], pipe[SCREEN_CELL];
    char lowest[SCREEN_CELL], highest[SCREEN_CELL];
    if (!isfinite(s->tank_lowest))
        return;
    screen_entry(v->out, "Tank", "lowest %s on %s, highest %s on %s.",
                 amount_words(AMOUNT_LEVEL, PERCENT * s->tank_lowest, 1, lowest),
                 day_of(v, s->tank_lowest_day, low),
                 amount_words(AMOUNT_LEVEL, PERCENT * s->tank_highest, 1, highest),
                 day_of(v, s->tank_highest_day, high));
    if (s->x[X_OVERFLOW] > 0.0)
        screen_entry(v->out, "", "%s left by the overflow pipe.",
                     screen_litres(s->x[X_OVERFLOW], pipe));
}

static void served(const struct view *v)
{
    const struct summary *s = v->s;
    char low[SCREEN_CELL], high[SCREEN_CELL];
    if (!v->p->has_basin || !isfinite(s->salinity_lowest))
        return;
    screen_entry(v->out, "Salinity", "lowest %.2f g/kg on %s, highest %.2f g/kg on %s.",
                 s->salinity_lowest, day_of(v, s->salinity_lowest_day, low), s->salinity_highest,
                 day_of(v, s->salinity_highest_day, high));
}

static void floor_water(const struct view *v)
{
    const double *x = v->s->x;
    char volume[SCREEN_CELL], day[SCREEN_CELL];
    const double spilled = x[X_SPILL] + x[X_BASIN_SPILL];
    if (spilled <= 0.0) {
        screen_entry(v->out, "Spilled", "nothing.");
        return;
    }
    const char *from = x[X_BASIN_SPILL] <= 0.0 ? "from the tank"
                       : x[X_SPILL] <= 0.0     ? "from the served water"
                                               : "from the tank and from the served water";
    screen_entry(v->out, "Spilled", "%s %s, first on %s.", screen_litres(spilled, volume), from,
                 day_of(v, v->s->spill_first_day, day));
    if (v->s->on_floor < spilled)
        screen_entry(v->out, "", "The drip pan held %s of it; %s on the floor.",
                     screen_litres(spilled - v->s->on_floor, volume),
                     screen_litres(v->s->on_floor, day));
}

static void dry(const struct view *v)
{
    char span[SCREEN_CELL], day[SCREEN_CELL];
    if (isnan(v->s->dry_first_day))
        screen_entry(v->out, "Ran dry", "never.");
    else
        screen_entry(v->out, "Ran dry", "for %s in all, first on %s.",
                     screen_span(v->s->dry_time, span), day_of(v, v->s->dry_first_day, day));
}

/* ---- what is in it ----------------------------------------------------------------------------
 */

static bool has_kind(const struct plant *p, const struct stage_kind *kind)
{
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == kind)
            return true;
    return false;
}

static void meters(const struct view *v)
{
    const struct readings *r = &v->s->readings;
    char text[SCREEN_TEXT] = "";
    if (isnan(r->feed)) {
        screen_entry(v->out, "Meters", "no water passed.");
        return;
    }
    text_append(text, sizeof text, "at the end feed %.0f ppm", channel_ppm(v->p, r->feed));
    if (v->p->membrane >= 0 && !isnan(r->permeate))
        text_append(text, sizeof text, ", permeate %.1f ppm", channel_ppm(v->p, r->permeate));
    if (isnan(r->product))
        screen_entry(v->out, "Meters", "%s; no product was made.", text);
    else
        screen_entry(v->out, "Meters", "%s, product %.1f ppm.", text,
                     channel_ppm(v->p, r->product));
}

static void say_passed(const struct view *v, enum passed which, const char *words)
{
    char day[SCREEN_CELL], volume[SCREEN_CELL];
    if (isnan(v->s->first.day[which]))
        return;
    screen_entry(v->out, "", "%s first on %s, after %s.", words,
                 day_of(v, v->s->first.day[which], day),
                 screen_litres(1e-3 * v->s->first.litres[which], volume));
}

static void product_reading(const struct view *v)
{
    const bool set = !isnan(v->plan->limits.product);
    const enum passed which = set ? PASSED_PRODUCT_LIMIT : PASSED_PRODUCT_USUAL;
    const char *why = set ? "its limit" : "common practice; no limit was set";
    char limit[SCREEN_CELL], day[SCREEN_CELL], volume[SCREEN_CELL];
    screen_number(set ? 1e3 * v->plan->limits.product : PRODUCT_USUAL, limit);
    if (!set && !has_kind(v->p, &stage_resin))
        screen_entry(v->out, "Product", "no limit was set for its reading.");
    else if (isnan(v->s->first.day[which]))
        screen_entry(v->out, "Product", "its reading stayed under %s ppm (%s).", limit, why);
    else
        screen_entry(v->out, "Product", "its reading came to %s ppm (%s) on %s, after %s.", limit,
                     why, day_of(v, v->s->first.day[which], day),
                     screen_litres(1e-3 * v->s->first.litres[which], volume));
}

static void product_at_end(const struct view *v)
{
    const struct readings *r = &v->s->readings;
    char silica[SCREEN_CELL], free[SCREEN_CELL], bound[SCREEN_CELL];
    double co2, bicarbonate;
    summary_carbon(v->s, &co2, &bicarbonate);
    screen_entry(v->out, "", "At the end: silica %s, free CO2 %s, bicarbonate %s mg/L, pH %.1f.",
                 screen_number(1e3 * species[SILICA].molar_mass * r->product_silica, silica),
                 screen_number(1e3 * CO2_MASS * co2, free),
                 screen_number(61.0168 * bicarbonate, bound), r->product_ph);
}

/* Silica and carbon dioxide hardly conduct: they come first and no meter tells. */
static void product(const struct view *v)
{
    if (isnan(v->s->readings.product)) {
        screen_entry(v->out, "Product", "no water passed.");
        return;
    }
    product_reading(v);
    if (!has_kind(v->p, &stage_resin)) {
        screen_entry(v->out, "",
                     "No resin: silica and carbon dioxide stay in it, and no meter "
                     "shows them.");
    } else {
        say_passed(v, PASSED_SILICA, "Silica over 0.05 mg/L, unseen by the meter:");
        say_passed(v, PASSED_CARBON, "Free carbon dioxide over 1 mg/L, hardly seen by the meter:");
        say_passed(v, PASSED_SODIUM, "Sodium breaking through (5 % of what comes in):");
    }
    product_at_end(v);
}

static void membrane(const struct view *v)
{
    const double limit = v->plan->limits.permeate;
    if (v->p->membrane < 0)
        return;
    const bool passed = !isnan(v->s->first.day[PASSED_PERMEATE_LIMIT]);
    const bool oxidant = !isnan(v->s->first.day[PASSED_CHLORINE]);
    if (!passed && !oxidant && isnan(limit))
        return;
    char ppm[SCREEN_CELL];
    screen_number(1e3 * limit, ppm);
    if (passed)
        screen_entry(v->out, "Membrane", "the permeate reading came to %s ppm.", ppm);
    else if (isnan(limit))
        screen_entry(v->out, "Membrane", "no limit was set for the permeate reading.");
    else
        screen_entry(v->out, "Membrane", "the permeate reading stayed under %s ppm.", ppm);
    say_passed(v, PASSED_PERMEATE_LIMIT, "Over the limit:");
    say_passed(v, PASSED_CHLORINE, "Chlorine or chloramine over 0.1 mg/L at the membrane:");
}

/* ---- what it costs ----------------------------------------------------------------------------
 */

static void cartridges(const struct view *v)
{
    char text[SCREEN_TEXT] = "";
    for (int k = 0; k < v->p->stages; k++) {
        const struct stage *stage = &v->p->train[k];
        if (stage->kind == &stage_pump || stage->kind == &stage_membrane)
            continue; /* no life of their own in the model */
        char name[4 * NAME_MAX_LENGTH];
        text_append(text, sizeof text, "%s%s %.0f %%", text[0] ? ", " : "",
                    text_escape(stage->name, name, sizeof name), PERCENT * v->s->used[k]);
    }
    if (text[0] != '\0')
        screen_entry(v->out, "Used up", "%s of the life of each cartridge.", text);
}

static bool has_prices(const struct prices *prices)
{
    double sum = prices->water + prices->sewer + prices->electricity;
    for (int k = 0; k < STAGES_MAX; k++)
        sum += prices->stage[k];
    return sum > 0.0;
}

static void cost(const struct view *v)
{
    const struct cost c = summary_cost(v->s, v->plan, v->p);
    char currency[4 * sizeof v->plan->prices.currency];
    text_escape(v->plan->prices.currency, currency, sizeof currency);
    if (c.total <= 0.0) {
        screen_entry(v->out, "Cost", "%s",
                     has_prices(&v->plan->prices) ? "nothing." : "no prices were given.");
        return;
    }
    char each[2 * SCREEN_CELL] = "", number[SCREEN_CELL];
    if (isfinite(c.per_litre))
        text_append(each, sizeof each, ", %s a %s of product",
                    screen_number(amount_number(AMOUNT_PRICE, c.per_litre), number), amount_one());
    screen_entry(v->out, "Cost",
                 "%.2f %s%s: water %.2f, sewer %.2f, electricity %.2f, cartridges %.2f.", c.total,
                 currency, each, c.water, c.sewer, c.electricity, c.cartridges);
}

static void check(const struct view *v)
{
    const double worst = balance_worst(v->s->balance);
    if (worst < 1e-6)
        screen_entry(v->out, "Balance", "water and every element close to one part in a %s.",
                     worst < 1e-12  ? "million million"
                     : worst < 1e-9 ? "billion"
                                    : "million");
    else
        screen_entry(v->out, "Balance", "does NOT close: %.4f %% of what came in is missing.",
                     PERCENT * worst);
}

static void count(char text[SCREEN_TEXT], int n, const char *one, const char *many)
{
    if (n > 0)
        text_append(text, SCREEN_TEXT, "%s%d %s", text[0] ? ", " : "", n, n == 1 ? one : many);
}

static void events(const struct view *v)
{
    char text[SCREEN_TEXT] = "";
    count(text, v->s->fills, "filling of the tank", "fillings of the tank");
    count(text, v->s->topoffs, "top-off", "top-offs");
    count(text, v->s->cuts, "cut of power or supply", "cuts of power or supply");
    count(text, v->s->trips, "trip of a protection", "trips of a protection");
    if (v->s->inlet_trips > 1)
        text_append(text, sizeof text, " (the low pressure switch, counting its tries: %d)",
                    v->s->inlet_trips);
    screen_entry(v->out, "Events", "%s.", text[0] ? text : "none");
}

static void replaced(const struct view *v)
{
    char day[SCREEN_CELL];
    for (int k = 0; k < v->p->stages; k++)
        if (v->s->renewals[k] > 0)
            screen_entry(v->out, "Replaced", "%s: %d time%s, last on %s%s%s.", v->p->train[k].name,
                         v->s->renewals[k], v->s->renewals[k] > 1 ? "s" : "",
                         day_of(v, v->s->renewed_day[k], day),
                         v->s->renewed_why[k][0] ? ": " : " as dated", v->s->renewed_why[k]);
    if (v->s->x[X_FLUSHED] > 0.0)
        screen_entry(v->out, "Flushed", "new parts, with %s of feed that went to the drain.",
                     screen_litres(v->s->x[X_FLUSHED], day));
}

void findings_print(FILE *out, const struct summary *s, const struct plan *plan,
                    const struct plant *p)
{
    static void (*const lines[])(
        const struct view *) = { made,   needed,  tank,     served,     floor_water, dry,  events,
                                 meters, product, membrane, cartridges, replaced,    cost, check };
    const struct view v = { .out = out, .s = s, .plan = plan, .p = p };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        lines[i](&v);
}
