/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance_makes: what is made and wasted with fresh cartridges, what is needed, and what it costs.
 */
#include "glance_inner.h"

#include <math.h>
#include <stdio.h>

#include "amount.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0;     /* s */
static const double LITRE = 1e3;       /* per m3 */
static const double ML_PER_MIN = 60e6; /* per m3/s */

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
    glance_item("WHILE THE TANK IS FULL ", words);
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
    glance_item("over the year ", words);
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
    glance_item("costs a year ", words);
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
    glance_item("membrane elements: ", words);
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
    glance_item("each rinse at stop takes ", words);
}

void glance_makes(const struct glance *k)
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
