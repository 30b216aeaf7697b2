/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance: see glance.h.  What is printed here for people; glance_data.c has it for programs.
 */
#include "glance.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0;              /* s */
static const double LITRE = 1e3;                /* per m3 */
static const double ML_PER_MIN = 60e6;          /* per m3/s */
static const double CO2_MASS = 44.0095e-3;      /* kg/mol */
static const double CHLORINE_CONTACT = 30.0;    /* s, rule for a carbon block */
static const double CHLORAMINE_CONTACT = 600.0; /* s, rule for complete removal */

enum { ORIGIN_COLUMN = 46 };

/* ---- every value ------------------------------------------------------------------------------
 */

void glance_origin(const struct value *v, char out[], size_t size)
{
    switch (v->origin) {
    case ORIGIN_FILE:
        snprintf(out, size, "%s:%d", v->place.file ? v->place.file : "file", v->place.line);
        return;
    case ORIGIN_COMMAND_LINE:
        snprintf(out, size, "command line");
        return;
    case ORIGIN_PART:
        snprintf(out, size, "part: %s", v->source);
        return;
    case ORIGIN_DEFAULT:
        snprintf(out, size, "default%s%s", v->source[0] ? ": " : "", v->source);
        return;
    case ORIGIN_COMPUTED:
        snprintf(out, size, "computed%s%s", v->source[0] ? ": " : "", v->source);
        return;
    }
}

static void tell_values(const struct scenario *s)
{
    puts("VALUES: what was given, what was assumed, and where from");
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        char from[256], safe[512], text[4 * TEXT_LENGTH];
        glance_origin(v, from, sizeof from);
        text_escape(from, safe, sizeof safe);
        text_escape(v->text, text, sizeof text);
        char what[PATH_LENGTH + sizeof text + 4];
        snprintf(what, sizeof what, "%s = %s", v->path, text);
        if (strlen(what) > ORIGIN_COLUMN - 3) { /* too long to stand beside its origin */
            printf("  ");
            screen_wrap(stdout, 2, 4, what);
            printf("%*s", ORIGIN_COLUMN, "");
        } else {
            printf("  %-*s ", ORIGIN_COLUMN - 3, what);
        }
        screen_wrap(stdout, ORIGIN_COLUMN, ORIGIN_COLUMN, safe);
    }
    putchar('\n');
}

/* ---- the feed ---------------------------------------------------------------------------------
 */

static const char *given_or_assumed(const struct completion *c, const char *key)
{
    for (int i = 0; i < c->assumptions; i++)
        if (strcmp(c->assumed[i].key, key) == 0)
            return "assumed";
    return "";
}

static void tell_ion(const struct completion *c, int i)
{
    const double amount = c->c[i];
    if (amount <= 0.0)
        return;
    const int charge = abs(species[i].charge);
    printf("  %-12s %9.3g mg/L", species[i].key, 1e3 * species[i].molar_mass * amount);
    if (i <= FLUORIDE)
        printf(" %9.3f meq/L", charge * amount);
    else
        printf(" %15s", "");
    printf("   %s\n", given_or_assumed(c, species[i].key));
}

static void tell_feed(const struct glance *k)
{
    const struct completion *c = &k->scenario.completion;
    puts("FEED as completed");
    for (int i = 0; i <= FLUORIDE; i++)
        tell_ion(c, i);
    const struct speciation forms = water_speciate(c->c, 25.0);
    printf("  %-12s %9.3g mg/L\n", "bicarbonate", 61.0168 * forms.hco3);
    tell_ion(c, SILICA);
    printf("  %-12s %9.3g mg/L   with pH 0.3 off: %.2g to %.2g mg/L\n", "free CO2",
           1e3 * CO2_MASS * c->co2, 1e3 * CO2_MASS * c->co2_low, 1e3 * CO2_MASS * c->co2_high);
    printf("  pH %.2f, %.0f uS/cm at 25 degC; a pocket meter shows %.0f ppm\n", c->ph,
           1e4 * c->conductivity, channel_ppm(&k->scenario.plant, c->conductivity));
    if (isfinite(c->balance))
        printf("  ion balance of what was given: %+.1f %%\n", c->balance);
    for (int i = 0; i < c->assumptions; i++) {
        const int column = printf("  assumed: %s %.4g %s: ", c->assumed[i].key, c->assumed[i].value,
                                  c->assumed[i].unit);
        screen_wrap(stdout, column, 11, c->assumed[i].why);
    }
    putchar('\n');
}

/* ---- what stops the water ---------------------------------------------------------------------
 */

static void stopper(const char *what, const char *sticks)
{
    printf("  %s", what);
    screen_wrap(stdout, 2 + (int)strlen(what), 4, sticks);
}

static void tell_stoppers(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    const struct sizing *z = &k->sizing;
    char until[SCREEN_CELL], most[SCREEN_CELL];
    screen_span(z->fill_time[SIZING_WARMEST], until);
    screen_litres(3600.0 * z->point[SIZING_WARMEST].signals.product_flow, most);
    puts("WHAT STOPS THE WATER");
    const bool over = p->tank.overflow.kind != OVERFLOW_NONE;
    if (p->fill.switches)
        printf("  Level switches: the tank fills from %.1f to %.1f cm, by a feed solenoid.\n",
               100.0 * p->fill.on_at, 100.0 * p->fill.off_at);
    if (p->fill.float_valve)
        printf("  A float valve on the product shuts at %.1f cm.\n",
               100.0 * p->fill.valve.shuts_at);
    if (!p->fill.switches && !p->fill.float_valve)
        stopper("Nothing: ", "no level switch and no float valve; the tank fills for ever.");
    if (p->fill.float_valve && !plant_has_solenoid(p))
        stopper("Nothing shuts the feed: ",
                "while the float valve is shut the membrane's drain goes on running, all night.");
    if (p->fill.switches || p->fill.float_valve)
        printf("  If that sticks open: %s to the %s, then %s an hour.\n", until,
               over ? "overflow" : "rim", most);
    if (over) {
        char dependable[SCREEN_CELL];
        screen_litres(3600.0 * overflow_dependable(&p->tank.overflow, p->tank.height, 1.0),
                      dependable);
        printf("  The overflow pipe takes %s an hour dependably: %s.\n", dependable,
               z->floor_rate > 0.0 ? "LESS than comes in" : "enough, while it is clear");
    } else {
        printf("  No overflow pipe: all of it goes on the floor%s.\n",
               p->fill.drip_pan ? " once the pan is full" : "");
    }
    if (p->fill.high_switch)
        printf("  An independent high switch at %.1f cm shuts the feed solenoid.\n",
               100.0 * p->fill.high_at);
    if (p->fill.run_timer)
        printf("  A run timer shuts it after %s.\n", screen_span(p->fill.longest_run, until));
    if (p->fill.leak_sensor)
        printf("  A leak sensor shuts it after %s on the floor.\n",
               screen_litres(p->fill.leak_volume, until));
    putchar('\n');
}

/* ---- makes and needs --------------------------------------------------------------------------
 */

static void tell_row(const char *words, const struct sizing *z,
                     double (*value)(const struct sizing_point *), const char *format)
{
    printf("  %-36s", words);
    for (int i = 0; i < SIZING_CASES; i++)
        printf(format, value(&z->point[i]));
    putchar('\n');
}

static double temperature(const struct sizing_point *p)
{
    return p->temperature;
}

static double pressure(const struct sizing_point *p)
{
    return 1e-5 * p->pressure;
}

static double product(const struct sizing_point *p)
{
    return ML_PER_MIN * p->signals.product_flow;
}

static double drain(const struct sizing_point *p)
{
    return ML_PER_MIN * p->signals.drain_flow;
}

static double makes(const struct sizing_point *p)
{
    return LITRE * DAY * p->signals.product_flow;
}

static double wastes(const struct sizing_point *p)
{
    return p->signals.drain_flow / p->signals.product_flow;
}

static double rejects(const struct sizing_point *p)
{
    return 100.0 * p->rejection;
}

static void tell_flows(const struct glance *k)
{
    const struct sizing *z = &k->sizing;
    const bool membrane = k->scenario.plant.membrane >= 0;
    puts("MAKES AND NEEDS, fresh cartridges          coldest      mean   warmest");
    tell_row("feed temperature, degC", z, temperature, "%10.1f");
    tell_row("feed pressure, bar", z, pressure, "%10.2f");
    tell_row("product, mL/min", z, product, "%10.0f");
    tell_row("product if it ran all day, L/day", z, makes, "%10.0f");
    if (membrane) {
        tell_row("drain, mL/min", z, drain, "%10.0f");
        tell_row("litres to the drain per litre made", z, wastes, "%10.1f");
        tell_row("salt held back by the membrane, %", z, rejects, "%10.1f");
    }
    const double most = LITRE * DAY * z->need_most;
    printf("  needed: %.1f L/day on average, %.1f in the month that needs most\n",
           LITRE * DAY * z->need_mean, most);
    const double coldest = makes(&z->point[SIZING_COLDEST]);
    if (most > coldest)
        puts("  NOT ENOUGH in the coldest weeks: the tank will run dry.");
    else if (most > 0.0)
        printf("  on a cold day it must run %.1f hours for that\n", 24.0 * most / coldest);
    putchar('\n');
}

/* ---- consumables ------------------------------------------------------------------------------
 */

static void tell_span(double litres, double need)
{
    if (isinf(litres))
        printf("more than ten years");
    else if (litres < 1.0)
        printf("over from the first litre");
    else if (need > 0.0)
        printf("%.0f L, %.0f days", litres, litres / (LITRE * DAY * need));
    else
        printf("%.0f L", litres);
}

const char *glance_end(enum sizing_end why)
{
    static const char *const WORDS[] = {
        [END_NONE] = "does not end within ten years",
        [END_DEPOSIT] = "clogged with sediment",
        [END_OXIDANT] = "lets 0.1 mg/L of oxidant through to the membrane",
        [END_READING] = "the product reading comes to its limit (1 ppm if none is set)",
    };
    return WORDS[why];
}

/* What holds the sites of a spent bed, the largest first. */
static void tell_shares(const struct sizing_life *l)
{
    char words[SCREEN_TEXT] = "";
    bool told[SPECIES_COUNT] = { false };
    for (int n = 0; n < 4; n++) {
        int most = -1;
        for (int i = 0; i < EXCHANGED_COUNT; i++)
            if (!told[i] && l->share[i] > 0.02 && (most < 0 || l->share[i] > l->share[most]))
                most = i;
        if (most < 0)
            break;
        told[most] = true;
        text_append(words, sizeof words, "%s%s %.0f %%", n > 0 ? ", " : "",
                    most == CARBON ? "carbon dioxide and bicarbonate" : species[most].key,
                    100.0 * l->share[most]);
    }
    const int column = printf("    what uses it up, share of its own resin: ");
    screen_wrap(stdout, column, 6, words);
}

static void tell_life(const struct glance *k, int stage)
{
    const struct stage *s = &k->scenario.plant.train[stage];
    const struct sizing_life *l = k->sizing.life[stage];
    if (s->kind == &stage_membrane || s->kind == &stage_pump)
        return;
    printf("  %s (%s): ", s->name, s->kind->title);
    const struct sizing_life *middle = &l[LIFE_MIDDLE];
    tell_span(middle->litres, k->sizing.need_mean);
    printf("\n    %s\n", glance_end(middle->why));
    if (isfinite(l[LIFE_SHORT].litres) && middle->litres >= 1.0) {
        printf("    range (%s): ", s->kind == &stage_resin ? "CO2 of a pH 0.3 lower or higher"
                                                           : "the usual range of its capacity");
        tell_span(l[LIFE_SHORT].litres, 0.0);
        printf(" to ");
        tell_span(l[LIFE_LONG].litres, 0.0);
        puts("");
    }
    if (s->kind != &stage_resin || middle->why != END_READING)
        return;
    tell_shares(middle);
    if (isfinite(middle->unseen) && middle->unseen < middle->litres)
        printf("    silica passes from %.0f L on, and the meter does not show it\n",
               middle->unseen);
}

static void tell_contact(const struct glance *k, int stage)
{
    const struct plant *p = &k->scenario.plant;
    const double seconds = k->sizing.contact[stage];
    if (p->train[stage].kind != &stage_carbon)
        return;
    const bool chloramine = p->feed.c[CHLORAMINE] > 0.0;
    const double rule = chloramine ? CHLORAMINE_CONTACT : CHLORINE_CONTACT;
    char words[SCREEN_TEXT];
    snprintf(words, sizeof words,
             "contact %.0f s at the highest flow; rule of the trade for %s: %.0f s%s", seconds,
             chloramine ? "chloramine" : "chlorine", rule,
             seconds < rule ? ", so expect only part of it removed" : "");
    printf("    ");
    screen_wrap(stdout, 4, 4, words);
}

static void tell_consumables(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    puts("CONSUMABLES on steady mean water: litres of product, days of need");
    for (int i = 0; i < p->stages; i++) {
        tell_life(k, i);
        tell_contact(k, i);
    }
    puts("  membrane: its wear is not in this version; common practice: change it when the\n"
         "    corrected flow is down by a third or rejection falls under 95 %.");
    putchar('\n');
}

/* ---- the end ----------------------------------------------------------------------------------
 */

static void tell_cautions(void)
{
    puts("CAUTIONS");
    static const char *const CAUTIONS[] = {
        "A simulation is no substitute for an independent physical safeguard: an overflow to a "
        "drain, a leak sensor that shuts the feed, the hand valve shut when you leave.",
        "Electricity near water: drip loops, residual-current protection, nothing plugged in below "
        "the water level.",
        "Air gaps at the tank inlet and at the drain; never join purified or served water to the "
        "house supply.",
        "One litre weighs a kilogram: ask whether the floor carries the full tank.",
        "Stored low-mineral water is not drinking water by itself, and attacks copper, brass and "
        "zinc.",
        "Chlorine and chloramine harm animals and membranes.",
        "Local codes and licensed trades come first in plumbing and wiring.",
    };
    for (size_t i = 0; i < sizeof CAUTIONS / sizeof CAUTIONS[0]; i++) {
        printf("  - ");
        screen_wrap(stdout, 4, 4, CAUTIONS[i]);
    }
    putchar('\n');
}

void glance_print(const struct glance *k, bool values)
{
    if (values)
        tell_values(&k->scenario);
    tell_feed(k);
    tell_stoppers(k);
    tell_flows(k);
    tell_consumables(k);
    tell_cautions();
}
