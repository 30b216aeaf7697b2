/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_check: is the scenario sound, what was assumed, and what follows at a glance.
 * Page: docs/commands.md.  Every figure comes from the model functions that a run uses (sizing.h).
 */
#include "command.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "scenario.h"
#include "screen.h"
#include "sizing.h"
#include "text.h"

static const double DAY = 86400.0;              /* s */
static const double LITRE = 1e3;                /* per m3 */
static const double ML_PER_MIN = 60e6;          /* per m3/s */
static const double CO2_MASS = 44.0095e-3;      /* kg/mol */
static const double CHLORINE_CONTACT = 30.0;    /* s, rule for a carbon block */
static const double CHLORAMINE_CONTACT = 600.0; /* s, rule for complete removal */

enum { ORIGIN_COLUMN = 46 };

struct check {
    struct scenario scenario;
    struct sizing sizing;
};

/* ---- every value ------------------------------------------------------------------------------
 */

static void origin_words(const struct value *v, char out[], size_t size)
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
        origin_words(v, from, sizeof from);
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

static void tell_feed(const struct check *k)
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

static void tell_stoppers(const struct check *k)
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

static void tell_flows(const struct check *k)
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

static const char *end_words(enum sizing_end why)
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

static void tell_life(const struct check *k, int stage)
{
    const struct stage *s = &k->scenario.plant.train[stage];
    const struct sizing_life *l = k->sizing.life[stage];
    if (s->kind == &stage_membrane || s->kind == &stage_pump)
        return;
    printf("  %s (%s): ", s->name, s->kind->title);
    const struct sizing_life *middle = &l[LIFE_MIDDLE];
    tell_span(middle->litres, k->sizing.need_mean);
    printf("\n    %s\n", end_words(middle->why));
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

static void tell_contact(const struct check *k, int stage)
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

static void tell_consumables(const struct check *k)
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

/* ---- for other programs -----------------------------------------------------------------------
 */

/* A text cell: quoted, quotes doubled, and never the start of a spreadsheet formula. */
static void csv_cell(const char *text)
{
    printf("\"%s", text[0] && strchr("=+-@", text[0]) ? "'" : "");
    for (; *text; text++) {
        if (*text == '"')
            putchar('"');
        putchar((unsigned char)*text < ' ' ? ' ' : *text);
    }
    putchar('"');
}

static void tell_csv(const struct scenario *s)
{
    puts("path,value,si,from");
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        char from[256];
        origin_words(v, from, sizeof from);
        csv_cell(v->path);
        putchar(',');
        csv_cell(v->text);
        printf(isfinite(v->si) ? ",%.17g," : ",,", v->si);
        csv_cell(from);
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
        origin_words(v, from, sizeof from);
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
        put(point, "product_mL_min", product(&z->point[i]));
        put(point, "drain_mL_min", drain(&z->point[i]));
        put(point, "salt_held_back_percent", rejects(&z->point[i]));
        put(point, "hours_to_lip_or_rim", z->fill_time[i] / 3600.0);
        json_object_set_new(o, NAME[i], point);
    }
    return o;
}

static json_t *json_lives(const struct check *k)
{
    const struct plant *p = &k->scenario.plant;
    json_t *o = json_object();
    for (int i = 0; i < p->stages; i++) {
        json_t *life = json_object();
        put(life, "short_L", k->sizing.life[i][LIFE_SHORT].litres);
        put(life, "middle_L", k->sizing.life[i][LIFE_MIDDLE].litres);
        put(life, "long_L", k->sizing.life[i][LIFE_LONG].litres);
        json_object_set_new(life, "why",
                            json_string(end_words(k->sizing.life[i][LIFE_MIDDLE].why)));
        put(life, "contact_s", k->sizing.contact[i]);
        json_object_set_new(o, p->train[i].name, life);
    }
    return o;
}

static void tell_json(const struct check *k)
{
    json_t *o = json_object();
    json_object_set_new(o, "feed_mol_m3", json_feed(&k->scenario.completion));
    json_object_set_new(o, "flows", json_points(&k->sizing));
    put(o, "needed_mean_L_day", LITRE * DAY * k->sizing.need_mean);
    put(o, "needed_most_L_day", LITRE * DAY * k->sizing.need_most);
    json_object_set_new(o, "lives", json_lives(k));
    json_object_set_new(o, "values", json_values(&k->scenario));
    json_dumpf(o, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(17));
    putchar('\n');
    json_decref(o);
}

/* ---- for people -------------------------------------------------------------------------------
 */

static void tell(const struct check *k, const struct options *o)
{
    if (o->format == FORMAT_CSV) {
        tell_csv(&k->scenario);
        return;
    }
    if (o->format == FORMAT_JSON) {
        tell_json(k);
        return;
    }
    if (!o->quiet)
        tell_values(&k->scenario);
    tell_feed(k);
    tell_stoppers(k);
    tell_flows(k);
    tell_consumables(k);
    tell_cautions();
    char file[1024];
    text_escape(o->operand, file, sizeof file);
    printf("The scenario is sound.\nNext: leat run %s\n", file);
}

enum status command_check(const struct options *o)
{
    struct check *k = calloc(1, sizeof *k);
    struct report *report = report_create();
    if (!k || !report) {
        report_free(report);
        free(k);
        return STATUS_MEMORY;
    }
    const enum status status = scenario_load(o->operand, o->sets, &k->scenario, report);
    report_print(report, stderr, o->color);
    report_free(report);
    if (status == STATUS_OK) {
        const struct completion *c = &k->scenario.completion;
        const struct sizing_doubt doubt = { c->co2, c->co2_low, c->co2_high };
        sizing_of(&k->scenario.plant, &k->scenario.plan, &doubt, &k->sizing);
        tell(k, o);
        scenario_free(&k->scenario);
    }
    free(k);
    return status;
}
