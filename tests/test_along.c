/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/along.h"

static struct scenario scenario;

static void load(const char *path, const char *const sets[])
{
    struct report *report = report_create();
    cr_assert_eq(scenario_load(path, sets, &scenario, report), STATUS_OK, "%s", path);
    report_free(report);
}

static enum status find(struct along *a, double at, double compare, char words[ALONG_TEXT])
{
    const struct along_options o = { .at = { at, compare }, .looks = isnan(compare) ? 1 : 2 };
    return along_find(a, &scenario, &o, words);
}

static const double DAY = 86400.0;

/* Ions of both signs, and what came against what went, at every part. */
static void check_look(const struct along *a, const struct along_look *l, const char *path)
{
    cr_assert_eq(l->points, a->plant.stages + (a->plant.membrane < 0 ? 3 : 5));
    for (int n = 0; n < l->points; n++) {
        const struct along_point *p = &l->point[n];
        double charge = 0.0, all = 0.0, carbon = 0.0;
        for (int f = 0; f < ALONG_FORMS; f++) {
            charge += along_forms[f].charge * p->form[f];
            all += abs(along_forms[f].charge) * p->form[f];
            if (along_forms[f].of == CARBON)
                carbon += p->form[f];
        }
        cr_assert_float_eq(charge, 0.0, 1e-9 * all, "%s: %s", path, p->name);
        cr_assert_float_eq(carbon, p->water->c[CARBON], 1e-9 * carbon);
        for (int i = 0; i < SPECIES_COUNT && p->kind == ALONG_STAGE; i++) {
            const struct along_balance b = along_balance(p, (enum species)i);
            const struct stage *s = &a->plant.train[p->stage];
            if (p->stage == a->plant.membrane)
                cr_assert_float_eq(b.stayed, 0.0, 1e-12 * b.came, "%s: %s", path, species[i].key);
            else if (s->kind != &stage_carbon)
                cr_assert_float_eq(
                    60.0 * b.stayed,
                    s->kind->held(&s->params, &l->after.stage[p->stage], (enum species)i) -
                        s->kind->held(&s->params, &l->before.stage[p->stage], (enum species)i),
                    1e-9 * 60.0 * b.came + 1e-13, "%s: %s of %s", path, species[i].key, p->name);
        }
    }
}

Test(along, balances_at_every_part_of_every_scenario)
{
    static const char *const paths[] = { "scenarios/demo.cfg",       "scenarios/acid_well.cfg",
                                         "scenarios/chloramine.cfg", "scenarios/cold_hard.cfg",
                                         "scenarios/float_only.cfg", "tests/golden/dozen.cfg" };
    for (size_t k = 0; k < sizeof paths / sizeof *paths; k++) {
        struct along a;
        char words[ALONG_TEXT];
        load(paths[k], NULL);
        cr_assert_eq(find(&a, 0.0, 20.0 * DAY, words), STATUS_OK, "%s: %s", paths[k], words);
        for (int n = 0; n < a.looks; n++)
            check_look(&a, a.look[n], paths[k]);
        along_free(&a);
        scenario_free(&scenario);
    }
}

Test(along, does_not_mind_the_order_of_two_moments)
{
    struct along a, b;
    char words[ALONG_TEXT];
    load("scenarios/demo.cfg", NULL);
    cr_assert_eq(find(&a, 3.0 * DAY, 30.0 * DAY, words), STATUS_OK);
    cr_assert_eq(find(&b, 30.0 * DAY, 3.0 * DAY, words), STATUS_OK);
    for (int n = 0; n < 2; n++) {
        cr_assert_eq(a.look[n]->t, b.look[1 - n]->t);
        cr_assert_eq(memcmp(a.look[n]->trace.water, b.look[1 - n]->trace.water,
                            sizeof a.look[n]->trace.water),
                     0);
    }
    along_free(&a);
    along_free(&b);
    scenario_free(&scenario);
}

/* The plant fills as wear.csv of a run has it that day, but for the osmotic pressure of another
 * parcel. */
Test(along, makes_what_a_run_says_the_plant_makes)
{
    struct along a;
    char words[ALONG_TEXT];
    load("scenarios/demo.cfg", NULL);
    cr_assert_eq(find(&a, 120.0 * DAY, 30.0 * DAY, words), STATUS_OK);
    for (int n = 0; n < a.looks; n++) {
        const struct along_look *l = a.look[n];
        const struct signals now = plant_filling(&a.plant, &l->before);
        cr_assert_float_eq(l->trace.signals.product_flow, now.product_flow,
                           1e-4 * now.product_flow);
        cr_assert_float_eq(l->trace.signals.drain_flow, now.drain_flow, 1e-4 * now.drain_flow);
        const struct along_point *inlet = &l->point[l->points - 1];
        cr_assert_float_eq(inlet->flow, now.product_flow, 1e-4 * now.product_flow);
        cr_assert_eq(inlet->pressure, 0.0);
    }
    along_free(&a);
    scenario_free(&scenario);
}

/* The swing of the day is left out, faults stay in. */
Test(along, says_what_was_not_sound)
{
    struct along a;
    char words[ALONG_TEXT];
    load("scenarios/demo.cfg", NULL);
    cr_assert_eq(find(&a, 170.5 * DAY, NAN, words), STATUS_SCENARIO);
    cr_assert(strstr(words, "the supply is cut off"), "%s", words);
    along_free(&a);
    scenario_free(&scenario);
    static const char *const sets[] = {
        "events=({ at = \"1 day\"; what = \"fault\"; part = \"drain line\"; mode = \"kinked\"; "
        "amount = 0.5; })",
        NULL
    };
    load("scenarios/demo.cfg", sets);
    cr_assert_eq(find(&a, 2.0 * DAY, 0.0, words), STATUS_OK, "%s", words);
    cr_assert(strstr(a.look[0]->notes, "drain line kinked"), "%s", a.look[0]->notes);
    cr_assert_str_empty(a.look[1]->notes);
    const double share = a.look[0]->trace.signals.drain_flow / a.look[1]->trace.signals.drain_flow;
    cr_assert_float_eq(share, 0.5, 0.03);
    along_free(&a);
    scenario_free(&scenario);
}
