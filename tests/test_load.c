/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * load, helps: shares that add up, the life by hand, what helps and what is refused.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "sim/helps.h"
#include "sim/load.h"
#include "sim/scenario.h"

static const double DAY = 86400.0; /* s */
static const double YEARS = 10.0 * 365.0 * 86400.0;

static void load(const char *name, const char *const sets[], struct scenario *s)
{
    char path[200];
    snprintf(path, sizeof path, "scenarios/%s.cfg", name);
    struct report *report = report_create();
    cr_assert_eq(scenario_load(path, sets, s, report), STATUS_OK);
    report_free(report);
}

static struct life bed_of(const struct plant *p, const struct plan *plan, struct load *l)
{
    struct tape tape;
    struct life life;
    const struct life_options o = { .horizon = YEARS, .last_bed_only = true };
    cr_assert_eq(tape_record(&tape, p, plan), STATUS_OK);
    cr_assert_eq(life_follow(&life, p, plan, &tape, &o), STATUS_OK);
    if (l)
        cr_assert_eq(load_find(l, p, plan, &tape, &life, YEARS), STATUS_OK);
    tape_free(&tape);
    return life;
}

static double sum(const double share[LOAD_SOURCES])
{
    double s = 0.0;
    for (int i = 0; i < LOAD_SOURCES; i++)
        s += share[i];
    return s;
}

Test(load, shares_sum_to_one_and_what_came_is_held_or_passed)
{
    static const char *const names[] = { "demo", "chloramine", "acid_well" };
    for (size_t n = 0; n < sizeof names / sizeof names[0]; n++) {
        static struct scenario s;
        struct load l;
        load(names[n], NULL, &s);
        const struct life life = bed_of(&s.plant, &s.plan, &l);
        for (int r = 0; r < LOAD_RESINS; r++) {
            cr_assert_float_eq(sum(l.share[r]), 1.0, 1e-9, "%s %d: %.12g", names[n], r,
                               sum(l.share[r]));
            cr_assert_leq(l.held[r], l.sites[r] * (1.0 + 1e-9));
            for (int i = 0; i < LOAD_SOURCES; i++)
                cr_assert_geq(l.share[r][i], -1e-3, "%s %d %d", names[n], r, i);
        }
        cr_assert_float_eq(l.litres, l.hand[l.ends] * l.used / (1.0 - l.slipped), 1e-6 * l.litres);
        cr_assert_eq(l.litres, life.bed_litres);
        cr_assert_eq(l.share[LOAD_CATION][LOAD_CO2], 0.0);
        const bool chloramine = s.plant.feed.c[CHLORAMINE] > 0.0;
        cr_assert_eq(l.share[LOAD_CATION][LOAD_CHLORAMINE] > 1e-3, chloramine, "%s", names[n]);
        scenario_free(&s);
    }
}

/* Of a sharp front on one salt the handbook's balance is all there is: throughput = capacity over
 * equivalents per litre (F. Helfferich, Ion Exchange, 1962, chapter 9, from memory). */
Test(load, of_one_salt_on_a_sharp_front_is_the_balance_by_hand)
{
    static struct scenario s;
    struct load l;
    load("demo", NULL, &s);
    struct plant *p = &s.plant;
    memset(p->feed.c, 0, sizeof p->feed.c);
    p->feed.c[SODIUM] = p->feed.c[CHLORIDE] = 8.0;
    struct resin *r = &p->train[life_last_bed(p)].params.resin;
    r->short_flow = 0.0;
    r->cells = RESIN_CELLS_MAX;
    r->film = 100.0;
    bed_of(p, &s.plan, &l);
    cr_assert_eq(l.ends, LOAD_ANION);
    cr_assert_float_eq(l.litres, l.hand[LOAD_ANION], 0.03 * l.litres, "%g L, %g by hand", l.litres,
                       l.hand[LOAD_ANION]);
    cr_assert_lt(l.slipped, 0.005);
    scenario_free(&s);
}

Test(load, the_bed_lasts_the_less_the_more_carbon_dioxide_comes)
{
    static struct scenario s;
    load("demo", NULL, &s);
    double before = INFINITY;
    for (int i = 0; i < 6; i++) {
        struct plant p = s.plant;
        p.feed.c[CARBON] += 0.08 * i;
        const double litres = bed_of(&p, &s.plan, NULL).bed_litres;
        cr_assert_lt(litres, before, "%d: %g, %g", i, litres, before);
        before = litres;
    }
    scenario_free(&s);
}

Test(load, is_seen_the_later_the_worse_the_meter_and_the_rarer_the_look)
{
    static struct scenario s;
    const char *const sets[] = { "visits={every=\"30 days\";resets=false;}",
                                 "replace.resin.reading=\"1 ppm\"", NULL };
    struct load l;
    load("demo", sets, &s);
    const struct life life = bed_of(&s.plant, &s.plan, &l);
    cr_assert(l.interval_given);
    cr_assert_float_eq(l.interval, 30.0 * DAY, 1.0);
    cr_assert_geq(l.late.bed_time, life.bed_time + 30.0 * DAY);
    cr_assert_gt(l.late.passed[SILICA], life.passed[SILICA]);
    cr_assert_lt(l.silica[0], l.silica[2], "what is better held comes later");
    scenario_free(&s);
}

/* ---- helps ------------------------------------------------------------------------------------
 */

static const struct help *help_with(const struct helps *h, const char *words)
{
    for (int i = 0; i < h->count; i++)
        if (strstr(h->list[i].words.words, words))
            return &h->list[i];
    cr_assert_fail("no %s", words);
    return NULL;
}

static void find_helps(const struct plant *p, const struct plan *plan, struct helps *h)
{
    const struct crew crew = { .jobs = 1 };
    const struct life life = bed_of(p, plan, NULL);
    cr_assert_eq(helps_find(h, p, plan, &life, YEARS, &crew), STATUS_OK);
}

Test(helps, a_second_bed_doubles_the_litres_and_the_fuller_resin_wants_more_room)
{
    static struct scenario s;
    struct helps h;
    load("demo", NULL, &s);
    const double litres = bed_of(&s.plant, &s.plan, NULL).bed_litres;
    find_helps(&s.plant, &s.plan, &h);
    const struct help *second = help_with(&h, "second bed");
    cr_assert_float_eq(second->litres, 2.0 * litres, 0.05 * litres);
    cr_assert_eq(second->beds, 2);
    cr_assert_gt(help_with(&h, "less cation")->litres, litres);
    cr_assert_lt(help_with(&h, "more cation")->litres, litres);
    scenario_free(&s);
}

Test(helps, what_the_models_do_not_cover_is_refused)
{
    static struct scenario s;
    struct helps h;
    load("demo", NULL, &s);
    struct plant *p = &s.plant;
    p->train[p->membrane].params.membrane.area = 80.0; /* of at most 100 m2 */
    p->fill.on_at = p->tank.outlet + 0.01;
    p->train[p->stages - 1].params.resin.cation_share = 0.05;
    find_helps(p, &s.plan, &h);
    cr_assert_not_null(help_with(&h, "4/3 of the area")->why_not);
    cr_assert_not_null(help_with(&h, "less cation")->why_not);
    cr_assert_not_null(help_with(&h, "fewer starts")->why_not);
    cr_assert_null(help_with(&h, "more cation")->why_not);
    while (p->stages < STAGES_MAX) {
        p->train[p->stages] = p->train[p->stages - 1];
        p->stages++;
    }
    find_helps(p, &s.plan, &h);
    cr_assert_not_null(help_with(&h, "second bed")->why_not);
    scenario_free(&s);
}
