/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance: see glance.h.  What is printed here for people; glance_data.c has it for programs.
 */
#include "glance.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "channel.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0;              /* s */
static const double LITRE = 1e3;                /* per m3 */
static const double ML_PER_MIN = 60e6;          /* per m3/s */
static const double CO2_MASS = 44.0095e-3;      /* kg/mol */
static const double METER_AT = 25.0;            /* degC that meters correct to */
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
        char from[256], safe[512], text[4 * TEXT_LENGTH], shown[TEXT_LENGTH];
        glance_origin(v, from, sizeof from);
        text_escape(from, safe, sizeof safe);
        text_escape(reader_shown(v, shown), text, sizeof text);
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

/* Closing the balance moves an ion that was given; any other in the list was not. */
static const char *given_or_assumed(const struct scenario *s, int i)
{
    const struct completion *c = &s->completion;
    for (int n = 0; n < c->assumptions; n++)
        if (strcmp(c->assumed[n].key, species[i].key) == 0)
            return isnan(s->analysis.ion[i]) ? "   assumed" : "   given, moved to balance";
    return "";
}

static void tell_ion(const struct scenario *s, int i)
{
    const double amount = s->completion.c[i];
    char mass[SCREEN_CELL];
    if (amount <= 0.0)
        return;
    const char *known = given_or_assumed(s, i);
    printf("  %-12s %9s mg/L", species[i].key,
           screen_number(1e3 * species[i].molar_mass * amount, mass));
    if (i <= FLUORIDE)
        printf(" %9.3f meq/L", abs(species[i].charge) * amount);
    else if (known[0] != '\0')
        printf(" %15s", "");
    printf("%s\n", known);
}

static void tell_carbon_dioxide(const struct completion *c)
{
    char co2[SCREEN_CELL], low[SCREEN_CELL], high[SCREEN_CELL];
    printf("  %-12s %9s mg/L   with pH 0.3 off: %s to %s mg/L\n", "free CO2",
           screen_number(1e3 * CO2_MASS * c->co2, co2),
           screen_number(1e3 * CO2_MASS * c->co2_low, low),
           screen_number(1e3 * CO2_MASS * c->co2_high, high));
}

static void tell_feed(const struct glance *k)
{
    const struct completion *c = &k->scenario.completion;
    puts("FEED as completed");
    for (int i = 0; i <= FLUORIDE; i++)
        tell_ion(&k->scenario, i);
    char number[SCREEN_CELL];
    const struct speciation forms = water_speciate(c->c, 25.0);
    printf("  %-12s %9s mg/L\n", "bicarbonate", screen_number(61.0168 * forms.hco3, number));
    tell_ion(&k->scenario, SILICA);
    tell_carbon_dioxide(c);
    printf("  pH %.2f, %.0f uS/cm at %.0f %s; a pocket meter shows %.0f ppm\n", c->ph,
           1e4 * c->conductivity, amount_number(AMOUNT_TEMPERATURE, METER_AT),
           amount_unit(AMOUNT_TEMPERATURE), channel_ppm(&k->scenario.plant, c->conductivity));
    if (isfinite(c->balance))
        printf("  ion balance of what was given: %+.1f %%\n", c->balance);
    for (int i = 0; i < c->assumptions; i++) {
        const bool warm = strcmp(c->assumed[i].unit, "degC") == 0;
        const double value = c->assumed[i].value;
        const int column =
            printf("  assumed: %s %s %s: ", c->assumed[i].key,
                   screen_number(warm ? amount_number(AMOUNT_TEMPERATURE, value) : value, number),
                   warm ? amount_unit(AMOUNT_TEMPERATURE) : c->assumed[i].unit);
        char why[SCREEN_TEXT];
        snprintf(why, sizeof why, "pH is taken as measured at %.0f %s",
                 amount_number(AMOUNT_TEMPERATURE, value), amount_unit(AMOUNT_TEMPERATURE));
        screen_wrap(stdout, column, 11, warm ? why : c->assumed[i].why);
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

/* A weak supply that stands well and gives way as soon as water flows. */
static void tell_hunting(const struct inlet_switch *s, const struct sizing *z)
{
    char words[SCREEN_TEXT] = "";
    int low = 0, worst = 0;
    for (int i = 0; i < SIZING_CASES; i++) {
        low += z->point[i].signals.inlet_pressure <= s->trips;
        if (z->point[i].signals.inlet_pressure < z->point[worst].signals.inlet_pressure)
            worst = i;
    }
    if (low == 0)
        return;
    char stands[SCREEN_CELL], left[SCREEN_CELL];
    text_append(
        words, sizeof words, "of %s there %s are left when water flows; ",
        amount_words(AMOUNT_PRESSURE, 1e-3 * z->point[worst].pressure, 0, stands),
        amount_words(AMOUNT_PRESSURE, 1e-3 * z->point[worst].signals.inlet_pressure, 0, left));
    text_append(words, sizeof words, "%s",
                s->latches ? "the first of these latches it."
                           : "it starts, trips, waits and starts again.");
    stopper(low == SIZING_CASES ? "IT TRIPS AT EVERY START: "
                                : "IT TRIPS WHERE THE SUPPLY IS LOW: ",
            words);
}

static void tell_low_pressure(const struct plant *p, const struct sizing *z)
{
    const struct inlet_switch *s = &p->fill.inlet;
    const int place = plant_inlet_place(p);
    if (!p->fill.low_pressure_switch)
        return;
    char trips[SCREEN_CELL], words[SCREEN_TEXT] = "";
    text_append(words, sizeof words, "at the %s shuts the feed under %s.",
                p->train[place].kind->title,
                amount_words(AMOUNT_PRESSURE, 1e-3 * s->trips, 0, trips));
    stopper("A low pressure switch ", words);
    tell_hunting(s, z);
}

/* What tells the one feed solenoid to shut, each on its line; returns how many do. */
static int tell_solenoid(const struct fill *f)
{
    char cell[SCREEN_CELL], from[SCREEN_CELL];
    if (f->switches)
        printf("  Level switches: the tank fills from %s to %s, by a feed solenoid.\n",
               amount_bare(AMOUNT_LEVEL, 100.0 * f->on_at, 1, from),
               amount_words(AMOUNT_LEVEL, 100.0 * f->off_at, 1, cell));
    if (f->high_switch && !f->guard_valve)
        printf("  A high switch at %s tells the feed solenoid to shut.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->high_at, 1, cell));
    if (f->run_timer)
        printf("  A run timer tells the feed solenoid to shut after %s.\n",
               screen_span(f->longest_run, cell));
    if (f->leak_sensor && !f->guard_valve)
        printf("  A leak sensor tells the feed solenoid to shut after %s on the floor.\n",
               screen_litres(f->leak_volume, cell));
    return f->switches + f->run_timer + (f->guard_valve ? 0 : f->high_switch + f->leak_sensor);
}

/* Protections with a valve of their own. */
static void tell_guard_valve(const struct fill *f)
{
    char cell[SCREEN_CELL];
    if (!f->guard_valve)
        return;
    if (f->high_switch)
        printf("  A high switch at %s tells a guard valve of its own to shut.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->high_at, 1, cell));
    if (f->leak_sensor)
        printf("  A leak sensor tells the guard valve to shut after %s on the floor.\n",
               screen_litres(f->leak_volume, cell));
}

/* Which of them stay tripped when their cause has gone. */
static void tell_latches(const struct fill *f)
{
    const struct {
        bool latches;
        const char *part;
    } rows[] = { { f->high_switch && f->high_latches, "the high switch" },
                 { f->run_timer && f->timer_latches, "the run timer" },
                 { f->leak_sensor && f->leak_latches, "the leak sensor" },
                 { f->low_pressure_switch && f->inlet.latches, "the low pressure switch" } };
    char words[SCREEN_TEXT] = "";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].latches)
            text_append(words, sizeof words, "%s%s", words[0] ? ", " : "", rows[i].part);
    if (words[0] == '\0')
        return;
    text_append(words, sizeof words, ".");
    stopper("Once tripped, shut until somebody resets: ", words);
}

/* A fill that is longer than the run timer allows trips it though nothing has failed: at worst on a
 * cold day, after the largest draw from a tank that was about to be filled. */
static void tell_timer(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    const struct plan *plan = &k->scenario.plan;
    const double flow = k->sizing.point[SIZING_COLDEST].signals.product_flow;
    if (!p->fill.run_timer || !p->fill.switches || !(flow > 0.0))
        return;
    double draw = 0.0;
    for (int i = 0; i < plan->draws; i++)
        draw = fmax(draw, plan->draw[i].take);
    const double full = tank_volume(&p->tank, p->fill.off_at);
    const double missing = fmin(full - tank_volume(&p->tank, p->fill.on_at) + draw,
                                full - tank_volume(&p->tank, p->tank.outlet));
    if (missing / flow <= p->fill.longest_run)
        return;
    char words[SCREEN_TEXT] = "", litres[SCREEN_CELL], takes[SCREEN_CELL];
    text_append(words, sizeof words,
                "on a cold day %s take %s%s; the run timer trips then, though nothing has failed.",
                screen_litres(missing, litres), screen_span(missing / flow, takes),
                draw > 0.0 ? " to fill in after the largest draw" : " to fill in");
    stopper("TOO SHORT A RUN TIMER: ", words);
}

/* However many give the order, one valve has to obey it. */
static void tell_one_valve(const struct fill *f, int orders)
{
    char cell[SCREEN_CELL];
    if (orders > 1)
        stopper(orders > 2 ? "ALL OF THESE " : "BOTH OF THESE ",
                orders > 2
                    ? "act on ONE feed solenoid: if that itself sticks open or weeps, none of "
                      "them stops the water."
                    : "act on ONE feed solenoid: if that itself sticks open or weeps, "
                      "neither stops the water.");
    else if (orders == 1)
        stopper("The feed solenoid ",
                f->guard_valve ? "may stick open or weep: then the guard valve is left."
                : f->float_valve
                    ? "may stick open or weep: then only the float valve is left."
                    : "is the only valve: if that itself sticks open or weeps, nothing "
                      "else stops the water.");
    if (f->float_valve)
        printf("  A float valve on the product shuts at %s%s.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->valve.shuts_at, 1, cell),
               orders > 0 ? ", whatever the solenoid does" : "");
}

/* What happens when the parts named above fail. */
static void tell_failure(const struct glance *k, int orders)
{
    const struct plant *p = &k->scenario.plant;
    const struct sizing *z = &k->sizing;
    char until[SCREEN_CELL], most[SCREEN_CELL], words[SCREEN_TEXT] = "";
    const double flow = z->point[SIZING_WARMEST].signals.product_flow;
    if (orders == 0 && !p->fill.float_valve)
        stopper("Nothing: ", "no level switch and no float valve; the tank fills for ever.");
    if (p->fill.shutoff_valve)
        stopper("A shut-off valve ", "closes the feed once the float valve is shut and the product "
                                     "pressure has come up; a float that "
                                     "weeps makes it open and close for ever.");
    if (z->throttled)
        stopper("Nothing shuts the feed: ",
                "while the float valve is shut the membrane's drain goes on running, all night.");
    if ((orders == 0 && !p->fill.float_valve) || !(flow > 0.0))
        return;
    text_append(words, sizeof words, "%s to the %s, then %s an hour.",
                screen_span(z->fill_time[SIZING_WARMEST], until),
                p->tank.overflow.kind != OVERFLOW_NONE ? "overflow" : "rim",
                screen_litres(3600.0 * flow, most));
    stopper(!p->fill.float_valve ? "If the feed solenoid sticks open: "
            : orders == 0        ? "If the float valve sticks open: "
                                 : "If the feed solenoid and the float valve stick open: ",
            words);
}

static void tell_overflow(const struct plant *p, const struct sizing *z)
{
    char dependable[SCREEN_CELL];
    if (p->tank.overflow.kind == OVERFLOW_NONE) {
        printf("  No overflow pipe: all of it goes on the floor%s.\n",
               p->fill.drip_pan ? " once the pan is full" : "");
        return;
    }
    screen_litres(3600.0 * overflow_dependable(&p->tank.overflow, p->tank.height, 1.0), dependable);
    char words[SCREEN_TEXT] = "";
    text_append(words, sizeof words, "takes %s an hour dependably: %s.", dependable,
                z->floor_rate > 0.0 ? "LESS than comes in" : "enough, while it is clear");
    stopper("The overflow pipe ", words);
}

/* Water that no valve on the feed holds back. */
static void tell_bladder(const struct glance *k)
{
    const struct sizing *z = &k->sizing;
    char words[SCREEN_TEXT] = "", gives[SCREEN_CELL], room[SCREEN_CELL], pressure[SCREEN_CELL];
    if (!k->scenario.plant.has_bladder)
        return;
    screen_litres(z->bladder_gives, gives);
    screen_litres(z->room, room);
    text_append(
        words, sizeof words,
        "after the feed is shut the bladder still gives up to %s (it comes to %s). "
        "Above where filling stops the tank has room for %s: %s.",
        gives, amount_words(AMOUNT_BAR, 1e-5 * z->bladder_pressure, 1, pressure), room,
        z->bladder_gives > z->room
            ? "LESS; with a float valve that sticks open the rest runs over, whatever shuts "
              "the feed"
            : "enough for it alone");
    stopper("A bladder tank: ", words);
}

static void tell_siphon(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    const struct sizing_siphon *s = &k->sizing.siphon;
    char words[SCREEN_TEXT] = "", brings[SCREEN_CELL], cell[SCREEN_CELL];
    char from[SCREEN_CELL], to[SCREEN_CELL];
    if (!(s->brings > 0.0))
        return;
    text_append(
        words, sizeof words,
        "%s it goes on by itself when the pump stops: %s a minute at first, %s in all, from "
        "%s down to %s, %s.",
        p->topoff.siphon_break ? "if its siphon break is blocked," : "WITHOUT A SIPHON BREAK",
        screen_litres(60.0 * s->flow, cell), screen_litres(s->brings, brings),
        amount_bare(AMOUNT_LEVEL, 100.0 * s->from, 1, from),
        amount_words(AMOUNT_LEVEL, 100.0 * s->to, 1, to),
        s->to < s->filling_from ? "and then, without an end, all that is made"
                                : "before the tank is filled again");
    if (s->spills > 0.0)
        text_append(words, sizeof words, " Of that %s run over the rim of the served water.",
                    screen_litres(s->spills, cell));
    else
        text_append(words, sizeof words, " The served water holds that much.");
    if (p->basin.salinity > 0.0)
        text_append(words, sizeof words, " Its salinity falls from %.1f to %.1f g/kg.",
                    p->basin.salinity, s->salinity);
    stopper("The hose of the top-off pump: ", words);
}

static void tell_stoppers(const struct glance *k)
{
    const struct fill *f = &k->scenario.plant.fill;
    puts("WHAT STOPS THE WATER");
    const int orders = tell_solenoid(f);
    tell_one_valve(f, orders);
    tell_guard_valve(f);
    tell_low_pressure(&k->scenario.plant, &k->sizing);
    tell_latches(f);
    tell_timer(k);
    tell_failure(k, orders);
    tell_overflow(&k->scenario.plant, &k->sizing);
    tell_bladder(k);
    tell_siphon(k);
    putchar('\n');
}

/* ---- makes and needs --------------------------------------------------------------------------
 */

struct row {
    const char *words;
    enum amount kind; /* AMOUNT_COUNT: a number without a unit */
    int places;
    double (*value)(const struct sizing_point *);
};

static void tell_row(const struct row *r, const struct sizing *z)
{
    const bool bare = r->kind == AMOUNT_COUNT;
    char words[SCREEN_CELL], cell[SCREEN_CELL];
    snprintf(words, sizeof words, "%s%s%s", r->words, bare ? "" : ", ",
             bare ? "" : amount_unit(r->kind));
    printf("  %-36s", words);
    for (int i = 0; i < SIZING_CASES; i++) {
        const double number = r->value(&z->point[i]);
        if (isfinite(number) && bare)
            printf("%10.*f", r->places, number);
        else if (isfinite(number))
            printf("%10s", amount_bare(r->kind, number, r->places, cell));
        else
            printf("%10s", "-");
    }
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

/* Of pure water nothing can be held back: the sign of what rounding leaves says nothing. */
static double rejects(const struct sizing_point *p)
{
    return fabs(p->rejection) < 5e-4 ? 0.0 : 100.0 * p->rejection;
}

static void tell_hours(double hours)
{
    if (hours < 0.25)
        printf("  on a cold day it must run %.0f min for that\n", fmax(1.0, 60.0 * hours));
    else
        printf("  on a cold day it must run %.1f hours for that\n", hours);
}

static void tell_need(const struct sizing *z)
{
    char mean[SCREEN_CELL], worst[SCREEN_CELL];
    const double most = LITRE * DAY * z->need_most;
    const double coldest = makes(&z->point[SIZING_COLDEST]);
    if (!(z->need_most > 0.0)) {
        puts("  needed: nothing that comes again (nothing topped off that evaporates, no repeated "
             "draw)");
        return;
    }
    printf("  needed: %s on average, %s in the month that needs most\n",
           amount_words(AMOUNT_A_DAY, LITRE * DAY * z->need_mean, 1, mean),
           amount_bare(AMOUNT_A_DAY, most, 1, worst));
    if (!(coldest > 0.0))
        puts("  NOTHING IS MADE in the coldest weeks: the tank will run dry.");
    else if (most > coldest)
        puts("  NOT ENOUGH in the coldest weeks: the tank will run dry.");
    else if (!z->throttled)
        tell_hours(24.0 * most / coldest);
}

/* A float valve stops the product, not the drain: said in litres, and what it does to the salt. */
static void tell_rest(const struct sizing *z)
{
    char words[SCREEN_TEXT] = "", number[SCREEN_CELL];
    if (!(z->rest_drain > 0.0))
        return;
    text_append(words, sizeof words,
                "%s run to the drain, though nothing is made: no solenoid shuts the feed",
                amount_words(AMOUNT_A_DAY, LITRE * DAY * z->rest_drain, 0, number));
    stopper("WHILE THE TANK IS FULL ", words);
    if (!(z->need_mean > 0.0))
        return;
    words[0] = '\0';
    text_append(words, sizeof words, "%.0f %s to the drain per %s made; ",
                z->drain / z->pace.signals.product_flow, amount_unit(AMOUNT_WATER), amount_one());
    text_append(words, sizeof words,
                "throttled to %s %s, the membrane holds back %.1f %% of the salt, not %.1f %%",
                screen_number(amount_number(AMOUNT_FLOW, ML_PER_MIN * z->pace.signals.product_flow),
                              number),
                amount_unit(AMOUNT_FLOW), 100.0 * z->pace.rejection,
                100.0 * z->point[SIZING_MEAN].rejection);
    stopper("over the year ", words);
}

static void tell_year(const struct sizing *z, const struct prices *c)
{
    const double year = 365.25 * DAY;
    const double water = year * z->feed * c->water, sewer = year * z->drain * c->sewer;
    const double electricity = year * z->power * c->electricity;
    if (!(water + sewer + electricity > 0.0))
        return;
    char currency[4 * sizeof c->currency], words[SCREEN_TEXT] = "";
    text_escape(c->currency, currency, sizeof currency);
    text_append(words, sizeof words,
                "%.2f %s: water %.2f, sewer %.2f, electricity %.2f; cartridges not counted",
                water + sewer + electricity, currency, water, sewer, electricity);
    stopper("costs a year ", words);
}

/* Of more than one element: how they are joined, and whether the restrictor was made for all. */
static void tell_elements(const struct glance *k)
{
    const struct stage *stage = &k->scenario.plant.train[k->scenario.plant.membrane];
    const struct membrane *m = &stage->params.membrane;
    if (m->elements < 2)
        return;
    char path[PATH_LENGTH] = "", words[SCREEN_TEXT] = "";
    text_append(path, sizeof path, "train.%s.restrictor_flow", stage->name);
    const struct value *v = reader_noted((struct values *)&k->scenario.values, path);
    const bool given = v != NULL && v->origin != ORIGIN_COMPUTED;
    text_append(words, sizeof words, "%d in %s on the concentrate, one restrictor for all%s",
                m->elements, m->joined == MEMBRANE_SERIES ? "series" : "parallel",
                given ? ": as it is given, not times their number" : "");
    stopper("membrane elements: ", words);
}

static void tell_rinse(const struct glance *k)
{
    const struct rinse *r = &k->scenario.plant.rinse;
    char span[SCREEN_CELL], volume[SCREEN_CELL], words[SCREEN_TEXT] = "";
    if (!(k->sizing.rinse > 0.0))
        return;
    text_append(words, sizeof words,
                "%s of %s in %s; of what stood on the membrane's feed side %.2g %% is left",
                screen_litres(k->sizing.rinse, volume),
                r->with == RINSE_PERMEATE ? "stored product" : "feed, to the drain,",
                screen_span(r->at_stop, span), 100.0 * k->sizing.rinse_left);
    stopper("each rinse at stop takes ", words);
}

static void tell_flows(const struct glance *k)
{
    const struct sizing *z = &k->sizing;
    const bool membrane = k->scenario.plant.membrane >= 0;
    puts("MAKES AND NEEDS, fresh cartridges          coldest      mean   warmest");
    char wasted[SCREEN_CELL];
    snprintf(wasted, sizeof wasted, "%ss to the drain per %s made", amount_one(), amount_one());
    const struct row rows[] = {
        { "feed temperature", AMOUNT_TEMPERATURE, 1, temperature },
        { "feed pressure", AMOUNT_BAR, 2, pressure },
        { "product", AMOUNT_FLOW, 0, product },
        { "product if it ran all day", AMOUNT_A_DAY, 0, makes },
        { "drain", AMOUNT_FLOW, 0, drain },
        { wasted, AMOUNT_COUNT, 1, wastes },
        { "salt held back by the membrane", AMOUNT_PERCENT, 1, rejects },
    };
    enum { ROWS = sizeof rows / sizeof rows[0], PLAIN = 4 };
    for (int i = 0; i < (membrane ? ROWS : PLAIN); i++)
        tell_row(&rows[i], z);
    if (membrane)
        tell_elements(k);
    tell_need(z);
    tell_rest(z);
    tell_rinse(k);
    tell_year(z, &k->scenario.plan.prices);
    putchar('\n');
}
/* ---- consumables ------------------------------------------------------------------------------
 */

static void tell_litres(double litres, double horizon)
{
    char cell[SCREEN_CELL];
    printf("%s%s", isinf(litres) ? "more than " : "",
           amount_words(AMOUNT_WATER, isinf(litres) ? horizon : litres, 0, cell));
}

static void tell_span(double litres, const struct sizing *z, int which)
{
    const double ten_years = z->need_mean * 3652.5 * DAY; /* m3 */
    if (litres < 1.0) {
        printf("over from the first %s", amount_one());
        return;
    }
    if (isinf(litres) && ten_years > 0.0 && z->horizon[which] >= ten_years)
        printf("more than ten years");
    else
        tell_litres(litres, LITRE * z->horizon[which]);
    if (isinf(litres) && ten_years > 0.0 && z->horizon[which] >= ten_years)
        return;
    if (z->need_mean > 0.0)
        printf(", %.0f days", fmin(litres / LITRE, z->horizon[which]) / (DAY * z->need_mean));
}

const char *glance_end(const struct stage *s, enum sizing_end why)
{
    switch (why) {
    case END_NONE:
        return "does not end within what was looked at";
    case END_UNKNOWN:
        return s->kind == &stage_membrane || s->kind == &stage_pump
                   ? "a run shows its wear"
                   : "no membrane or meter right behind it tells when it ends";
    case END_DEPOSIT:
        return "clogged with sediment";
    case END_OXIDANT:
        return "lets 0.1 mg/L of oxidant through to the membrane";
    case END_READING:
        return "the product reading comes to its limit (1 ppm if none is set)";
    }
    return "";
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
    if (words[0] == '\0')
        return;
    const int column = printf("    what uses it up, share of its own resin: ");
    screen_wrap(stdout, column, 6, words);
}

/* How the reading ends a bed; what loose packing lets past a fresh one is no end. */
static void tell_reading(const struct glance *k, const struct sizing_life *l)
{
    const bool set = !isnan(k->scenario.plan.limits.product);
    const double limit = sizing_product_limit(&k->scenario.plan);
    char words[SCREEN_TEXT] = "", fresh[SCREEN_CELL], due[SCREEN_CELL], least[SCREEN_CELL];
    screen_number(1e3 * limit, least);
    screen_number(1e3 * l->due, due);
    if (l->fresh >= limit)
        text_append(words, sizeof words,
                    "even a fresh bed shows %s ppm on this water (loose packing or too fast a flow "
                    "lets a share past)"
                    ", so it never keeps to %s ppm; this is its life to %s ppm",
                    screen_number(1e3 * l->fresh, fresh), least, due);
    else
        text_append(words, sizeof words, "the product reading comes to %s ppm (%s)", due,
                    set ? "its limit" : "common practice; no limit is set");
    printf("    ");
    screen_wrap(stdout, 4, 4, words);
}

static void tell_range(const struct glance *k, const struct stage *s, const struct sizing_life *l)
{
    const double *horizon = k->sizing.horizon;
    if (isinf(l[LIFE_SHORT].litres) || l[LIFE_MIDDLE].litres < 1.0)
        return;
    printf("    range (%s): ", s->kind == &stage_resin ? "CO2 of a pH 0.3 lower or higher"
                                                       : "the usual range of its capacity");
    tell_litres(l[LIFE_SHORT].litres, LITRE * horizon[LIFE_SHORT]);
    printf(" to ");
    tell_litres(l[LIFE_LONG].litres, LITRE * horizon[LIFE_LONG]);
    putchar('\n');
}

static void tell_life(const struct glance *k, int stage)
{
    const struct stage *s = &k->scenario.plant.train[stage];
    const struct sizing_life *l = k->sizing.life[stage];
    const struct sizing_life *middle = &l[LIFE_MIDDLE];
    char cell[SCREEN_CELL];
    if (s->kind == &stage_membrane || s->kind == &stage_pump)
        return;
    printf("  %s (%s):%s", s->name, s->kind->title, middle->why == END_UNKNOWN ? "" : " ");
    if (middle->why == END_UNKNOWN) {
        printf("\n    %s\n", glance_end(s, END_UNKNOWN));
        return;
    }
    tell_span(middle->litres, &k->sizing, LIFE_MIDDLE);
    putchar('\n');
    if (!isnan(middle->due))
        tell_reading(k, middle);
    else if (middle->why != END_NONE)
        printf("    %s\n", glance_end(s, middle->why));
    tell_range(k, s, l);
    if (s->kind != &stage_resin || middle->why != END_READING)
        return;
    tell_shares(middle);
    if (middle->unseen < 1.0)
        printf("    silica passes from the first %s on, and the meter does not show it\n",
               amount_one());
    else if (middle->unseen < middle->litres)
        printf("    silica passes from %s on, and the meter does not show it\n",
               amount_words(AMOUNT_WATER, middle->unseen, 0, cell));
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

/* How near the concentrate is to dropping scale at the wall, at the mean conditions. */
static void tell_scale(const struct sizing *z)
{
    const struct {
        const char *what;
        double index;
    } rows[] = { { "calcite", z->calcite }, { "gypsum", z->gypsum }, { "silica", z->silica } };
    printf("    saturation at its wall (log10):");
    for (int i = 0; i < 3; i++)
        printf("%s %s %.1f", i > 0 ? "," : "", rows[i].what, rows[i].index);
    putchar('\n');
    for (int i = 0; i < 3; i++)
        if (rows[i].index > 0.0)
            printf("      %s can form\n", rows[i].what);
}

static void tell_membrane(const struct glance *k)
{
    puts("  membrane: due when its standardised flow is down by a third or its rejection\n"
         "    under 95 % (common practice); wear.csv of a run shows both");
    const struct plant *p = &k->scenario.plant;
    if (!p->train[p->membrane].params.membrane.wear.on)
        puts("    its wear is switched off in this scenario");
    tell_scale(&k->sizing);
    if (p->feed.c[CHLORINE] > 0.0)
        puts("    most to be feared: chlorine, once the carbon in front of it lets it through");
}

/* The largest share of what used a bed up. */
static const char *used_up_by(const struct sizing_life *l)
{
    int most = CARBON;
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        if (l->share[i] > l->share[most])
            most = i;
    return most == CARBON ? "carbon dioxide and bicarbonate" : species[most].key;
}

/* In one line, the first to end first, and why. */
static void tell_order(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    bool told[STAGES_MAX] = { false };
    char words[SCREEN_TEXT] = "", litres[SCREEN_CELL];
    for (int n = 0; n < p->stages; n++) {
        int next = -1;
        for (int i = 0; i < p->stages; i++) {
            const double life = k->sizing.life[i][LIFE_MIDDLE].litres;
            const bool ends = isfinite(life) && k->sizing.life[i][LIFE_MIDDLE].why > END_UNKNOWN;
            if (ends && !told[i] && (next < 0 || life < k->sizing.life[next][LIFE_MIDDLE].litres))
                next = i;
        }
        if (next < 0)
            break;
        told[next] = true;
        const struct sizing_life *l = &k->sizing.life[next][LIFE_MIDDLE];
        const bool at_once = l->litres < 1.0; /* as tell_span says it */
        text_append(words, sizeof words, "%s%s %s%s (%s)", n == 0 ? "" : ", then ",
                    p->train[next].name, at_once ? "from the first " : "at ",
                    at_once ? amount_one() : screen_litres(l->litres / LITRE, litres),
                    l->why == END_READING   ? used_up_by(l)
                    : l->why == END_OXIDANT ? "oxidant comes through"
                                            : "clogged");
    }
    if (words[0] != '\0')
        stopper("First to end: ", words);
}

static void tell_consumables(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    printf("CONSUMABLES on steady mean water: %ss of product, days of need\n", amount_one());
    if (!(k->sizing.need_mean > 0.0))
        puts("  days cannot be told without a need");
    if (k->sizing.throttled && k->sizing.need_mean > 0.0)
        stopper("Counted with the drain that never rests, ",
                "and, at worst, with the saltier water of a membrane throttled to an even need; "
                "where the need "
                "comes in gulps the resin lasts longer, but shows more than its limit for a while "
                "before each shutting.");
    tell_order(k);
    for (int i = 0; i < p->stages; i++) {
        tell_life(k, i);
        tell_contact(k, i);
    }
    if (p->membrane >= 0)
        tell_membrane(k);
    putchar('\n');
}

/* Why a new part is flushed before use: common practice, from memory. */
static const char *flushed_out(const struct stage_kind *kind)
{
    return kind == &stage_sediment   ? "loose fibres and dust"
           : kind == &stage_carbon   ? "fines of carbon"
           : kind == &stage_membrane ? "its preservative; the product is not kept meanwhile"
                                     : "amines and fines; the product is not kept meanwhile";
}

static void tell_new_parts(const struct glance *k)
{
    const struct scenario *s = &k->scenario;
    puts("NEW PARTS, flushed to the drain before use; feed for each alone, mean water");
    for (int i = 0; i < s->plant.stages; i++) {
        const struct stage *part = &s->plant.train[i];
        const double time = commission_time(&s->plan.commissioning, part->kind);
        char span[SCREEN_CELL], volume[SCREEN_CELL], words[SCREEN_TEXT] = "";
        if (part->kind == &stage_pump)
            continue;
        if (time > 0.0)
            text_append(words, sizeof words, ": %s, %s: %s", screen_span(time, span),
                        screen_litres(k->sizing.flush[i], volume), flushed_out(part->kind));
        else
            text_append(words, sizeof words, ": not flushed");
        stopper(part->name, words);
    }
    puts(s->plan.commissioning.at_start ? "  those at the start are new: they are flushed first"
                                        : "  those at the start are taken to have been flushed");
    putchar('\n');
}

/* ---- the end ----------------------------------------------------------------------------------
 */

static void tell_cautions(void)
{
    puts("CAUTIONS");
    const char *const CAUTIONS[] = {
        "A simulation is no substitute for an independent physical safeguard: an overflow to a "
        "drain, a leak sensor that shuts the feed, the hand valve shut when you leave.",
        "Electricity near water: drip loops, residual-current protection, nothing plugged in below "
        "the water level.",
        "Air gaps at the tank inlet and at the drain; never join purified or served water to the "
        "house supply.",
        units_taste() == TASTE_US
            ? "One gallon weighs 8.3 lb: ask whether the floor carries the full tank."
            : "One litre weighs a kilogram: ask whether the floor carries the full tank.",
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
    tell_new_parts(k);
    tell_cautions();
}
