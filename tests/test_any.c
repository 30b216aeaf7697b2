/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any: what must hold in every run, in many random scenarios.  How many: LEAT_TRIALS in the
 * environment; LEAT_SEED is the first seed.  A scenario that breaks a rule is shrunk and printed.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <glob.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "any_check.h"
#include "fixture.h"
#include "sim/parts.h"
#include "sim/scenario_inner.h"

#ifndef LEAT_TRIALS
#define LEAT_TRIALS 1000
#endif

enum { SHARES = 4, BROKEN_MOST = 3 };
static const double REFUSED_MOST = 0.15; /* of all; a generator that makes more of them is poor */

TestSuite(any, .timeout = 36000);

static unsigned long setting(const char *name, unsigned long preset)
{
    const char *text = getenv(name);
    return text != NULL ? strtoul(text, NULL, 10) : preset;
}

static char *text_of(const struct any_text *t)
{
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    any_print(t, f);
    fclose(f);
    return text;
}

/* ---- every rule in many scenarios ---------------------------------------------------------------
 */

/* Prints the shrunk scenario, which can be put into a file as it is. */
static void tell(const struct any_share *s, any_property *property)
{
    static struct any_text text;
    struct any_verdict v = s->verdict;
    any_make(s->seed, &text);
    any_shrink(&text, property, &v);
    char *words = text_of(&text);
    fprintf(stderr, "// seed %lu: %s\n%s\n", s->seed, v.words, words);
    cr_expect(false, "seed %lu: %s\n%s", s->seed, v.words, words);
    free(words);
}

/* Every SHARES-th seed from the first + share on. */
static struct any_share go_through(int share, unsigned long trials, any_property *property)
{
    const unsigned long first = setting("LEAT_SEED", 1), end = first + trials;
    struct any_share s = { .seed = first + (unsigned long)share };
    for (int broken = 0; s.seed < end && broken < BROKEN_MOST; broken++) {
        any_share(&s, SHARES, end, property);
        if (s.verdict.outcome != ANY_BROKEN)
            break;
        tell(&s, property);
        s.seed += SHARES;
    }
    return s;
}

static void hold(int share)
{
    const struct any_share s = go_through(share, setting("LEAT_TRIALS", LEAT_TRIALS), any_sound);
    fprintf(stderr,
            "any: %d scenarios, %d refused, %d cut short, %ld steps, %ld parcels, balance %.1e\n",
            s.tried, s.refused, s.cut, s.steps, s.parcels, s.worst);
    cr_expect_leq(s.refused, 3 + (int)(REFUSED_MOST * s.tried), "%d of %d refused", s.refused,
                  s.tried);
}

Test(any, conserves_and_keeps_its_bounds_first_share)
{
    hold(0);
}

Test(any, conserves_and_keeps_its_bounds_second_share)
{
    hold(1);
}

Test(any, conserves_and_keeps_its_bounds_third_share)
{
    hold(2);
}

Test(any, conserves_and_keeps_its_bounds_fourth_share)
{
    hold(3);
}

Test(any, does_not_depend_on_how_often_it_is_recorded)
{
    go_through(0, setting("LEAT_TRIALS", LEAT_TRIALS) / 3, any_same_records);
}

/* ---- what was found
 * --------------------------------------------------------------------------------- */

/* Shrunk scenarios that once broke a rule; each says which. */
Test(any, what_once_broke_a_rule_breaks_none)
{
    glob_t found;
    cr_assert_eq(glob("tests/found/*.cfg", 0, NULL, &found), 0);
    cr_assert_geq(found.gl_pathc, 8);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        struct any_verdict v;
        any_judge_file(found.gl_pathv[i], any_sound, &v);
        cr_expect_eq(v.outcome, ANY_SOUND, "%s: %s", found.gl_pathv[i], v.words);
    }
    globfree(&found);
}

/* ---- the generator ------------------------------------------------------------------------------
 */

enum { COVERED = 6000 };

static void no_property(const struct scenario *s, struct any_verdict *v)
{
    (void)s;
    (void)v;
}

/* All that was said in the valid ones of many scenarios. */
static char *all_said(void)
{
    static struct any_text t;
    char *said = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&said, &size);
    for (unsigned long seed = 1; seed <= COVERED; seed++) {
        struct any_verdict v;
        any_make(seed, &t);
        any_judge(&t, no_property, &v);
        if (v.outcome != ANY_SOUND)
            continue;
        for (int i = 0; i < t.count; i++)
            fprintf(f, " %s = %s", t.item[i].key, t.item[i].value);
    }
    fclose(f);
    return said;
}

static void expect_said(const char *all, const char *before, const char *word, const char *after)
{
    char text[ANY_WORDS];
    snprintf(text, sizeof text, "%s%s%s", before, word, after);
    cr_expect_not_null(strstr(all, text), "%s is in none of %d scenarios", word, COVERED);
}

static void expect_fields(const char *all, const struct field *fields)
{
    for (const struct field *f = fields; f->key != NULL; f++) {
        expect_said(all, " ", f->key, " =");
        for (int i = 0; f->choices != NULL && f->choices[i] != NULL; i++)
            expect_said(all, "\"", f->choices[i], "\"");
    }
}

/* So that a new key that is never said, or never in a valid scenario, does not go unseen. */
Test(any, says_every_key_kind_word_and_fault_in_valid_scenarios)
{
    char *all = all_said();
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        expect_fields(all, t->fields);
    for (int i = 0; stage_kinds[i] != NULL; i++) {
        expect_said(all, "kind = \"", stage_kinds[i]->name, "\"");
        expect_fields(all, stage_kinds[i]->fields);
        for (const struct stage_group *g = stage_kinds[i]->groups; g && g->key; g++)
            expect_fields(all, g->fields);
    }
    for (const struct part *p = parts; p->name != NULL; p++)
        expect_said(all, "\"", p->name, "\"");
    for (int i = 0; scenario_shutoffs[i] != NULL; i++)
        expect_said(all, "\"", scenario_shutoffs[i], "\"");
    for (const struct fault_mode *m = fault_modes; m->part != NULL; m++) {
        expect_said(all, "part = \"", m->part, "\"");
        expect_said(all, "mode = \"", m->mode, "\"");
    }
    free(all);
}

Test(any, gives_the_same_text_for_the_same_seed)
{
    static struct any_text a, b;
    any_make(17, &a);
    any_make(18, &b);
    char *first = text_of(&a), *other = text_of(&b);
    any_make(17, &b);
    char *again = text_of(&b);
    cr_assert_str_eq(first, again);
    cr_assert_str_neq(first, other);
    free(first);
    free(other);
    free(again);
}

/* ---- the shrinker -------------------------------------------------------------------------------
 */

/* Wrong on purpose: no scenario has a carbon stage and a draw. */
static void no_carbon_with_a_draw(const struct scenario *s, struct any_verdict *v)
{
    for (int i = 0; i < s->plant.stages; i++)
        if (s->plant.train[i].kind == &stage_carbon && s->plan.draws > 0) {
            v->outcome = ANY_BROKEN;
            snprintf(v->rule, sizeof v->rule, "carbon and a draw");
        }
}

/* The first scenario that breaks a property, shrunk; its text. */
static char *shrunk(any_property *property, struct any_verdict *v)
{
    static struct any_text t;
    for (unsigned long seed = 1; seed < 100; seed++) {
        any_make(seed, &t);
        any_try(&t, property, v);
        if (v->outcome == ANY_BROKEN)
            break;
    }
    cr_assert_eq(v->outcome, ANY_BROKEN, "no seed breaks it");
    const int before = any_left(&t);
    any_shrink(&t, property, v);
    cr_assert_lt(any_left(&t), before);
    return text_of(&t);
}

static int count(const char *text, const char *what)
{
    int n = 0;
    for (const char *p = text; (p = strstr(p, what)) != NULL; p++)
        n++;
    return n;
}

Test(any, shrinks_a_wrong_property_to_a_carbon_and_a_draw)
{
    struct any_verdict v;
    char *text = shrunk(no_carbon_with_a_draw, &v);
    static const char *const gone[] = { "served", "events", "visits",   "limits",
                                        "prices", "title",  "clock",    "sediment",
                                        "resin",  "pump",   "membrane", NULL };
    for (int i = 0; gone[i] != NULL; i++)
        cr_expect_null(strstr(text, gone[i]), "%s is left of\n%s", gone[i], text);
    cr_expect_eq(count(text, "\"carbon"), 1, "%s", text);
    cr_expect_eq(count(text, "take"), 1, "%s", text);
    cr_expect_leq(count(text, "\n"), 16, "%s", text);
    cr_expect_leq(count(text, " = "), 18, "%s", text);
    free(text);
}

/* ---- the rules ----------------------------------------------------------------------------------
 */

/* What a wrong program would do; an observer has no right to. */
static struct state *spoilt(const struct glimpse *g)
{
    return (struct state *)g->state;
}

static struct signals *spoilt_signals(const struct glimpse *g)
{
    return (struct signals *)g->signals;
}

static void leak(const struct glimpse *g)
{
    spoilt(g)->stage[0].sediment.mass *= 1.0 - 1e-8;
}

static void creation(const struct glimpse *g)
{
    spoilt(g)->basin.amount[AMMONIUM] += 1e-9;
}

static void negative(const struct glimpse *g)
{
    spoilt(g)->tank.amount[NITRATE] = -1e-30;
}

static void negative_in_holdup(const struct glimpse *g)
{
    spoilt(g)->stage[2].membrane.holdup.feed.amount[FLUORIDE] = -1e-30;
}

static void too_much_resin(const struct glimpse *g)
{
    spoilt(g)->stage[3].resin.y[0][5][SODIUM] += 1.01;
}

static void spent_carbon(const struct glimpse *g)
{
    spoilt(g)->stage[1].carbon.left[3] = -1e-9;
}

static void fouled(const struct glimpse *g)
{
    spoilt(g)->stage[2].membrane.wear.cake = -1e-9;
}

static void clogged(const struct glimpse *g)
{
    spoilt(g)->stage[0].sediment.mass = 1.001 * g->plant->train[0].params.sediment.capacity;
}

static void too_full(const struct glimpse *g)
{
    ((double *)g->x)[X_TANK] = 1.001 * tank_full(&g->plant->tank);
}

static void unknown_signal(const struct glimpse *g)
{
    spoilt_signals(g)->booster_head = NAN;
}

static void too_wide(const struct glimpse *g)
{
    spoilt_signals(g)->duty = 1.001;
}

static void backward(const struct glimpse *g)
{
    spoilt_signals(g)->drain_flow = -1e-12;
}

struct spoiler {
    void (*spoil)(const struct glimpse *);
    const char *rule;
};

static void see_spoil(void *self, const struct glimpse *g)
{
    const struct spoiler *s = self;
    if (g->moment == MOMENT_PARCEL && g->t > 86400.0)
        s->spoil(g);
}

Test(any, each_rule_sees_what_breaks_it)
{
    static struct spoiler rows[] = {
        { leak, "the balance closes" },           { creation, "the balance closes" },
        { negative, "no negative amounts" },      { negative_in_holdup, "no negative amounts" },
        { too_much_resin, "shares in [0, 1]" },   { spent_carbon, "shares in [0, 1]" },
        { clogged, "shares in [0, 1]" },          { fouled, "wear is not negative" },
        { too_full, "volumes in their vessels" }, { unknown_signal, "signals are finite" },
        { too_wide, "signals in their bounds" },  { backward, "signals in their bounds" },
    };
    static struct scenario s;
    s.plant = fixture_plant();
    s.plan = fixture_plan(6.0);
    struct any_verdict v = { .outcome = ANY_SOUND };
    any_sound(&s, &v);
    cr_assert_eq(v.outcome, ANY_SOUND, "%s", v.words);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct observer o = { see_spoil, &rows[i] };
        v = (struct any_verdict){ .outcome = ANY_SOUND };
        any_sound_with(&s, &o, &v);
        cr_expect_eq(v.outcome, ANY_BROKEN, "row %zu, \"%s\", goes unseen", i, rows[i].rule);
        cr_expect_str_eq(v.rule, rows[i].rule, "row %zu: %s", i, v.words);
    }
}

/* Chloride vanishes from tanks that are drawn from: found, and shrunk to a draw. */
static void see_leak(void *self, const struct glimpse *g)
{
    (void)self;
    if (g->moment == MOMENT_PARCEL && g->x[X_DRAWN] > 0.0)
        spoilt(g)->tank.amount[CHLORIDE] *= 1.0 - 1e-6;
}

static void sound_but_for_a_leak(const struct scenario *s, struct any_verdict *v)
{
    const struct observer o = { see_leak, NULL };
    any_sound_with(s, &o, v);
}

Test(any, finds_a_leak_and_shrinks_it_to_what_it_needs)
{
    struct any_verdict v;
    char *text = shrunk(sound_but_for_a_leak, &v);
    cr_expect_str_eq(v.rule, "the balance closes");
    cr_expect_not_null(strstr(v.words, "chlorine"), "%s", v.words);
    cr_expect_eq(count(text, "take"), 1, "%s", text);
    cr_expect_null(strstr(text, "served"), "%s", text);
    cr_expect_leq(count(text, "\n"), 20, "%s", text);
    free(text);
}

static void crash(const struct scenario *s, struct any_verdict *v)
{
    (void)v;
    if (s->plant.fill.high_switch)
        abort();
}

Test(any, a_crash_is_a_verdict_and_shrinks)
{
    struct any_verdict v;
    char *text = shrunk(crash, &v);
    cr_expect_str_eq(v.rule, "no crash");
    cr_expect_not_null(strstr(text, "high switch"), "%s", text);
    cr_expect_leq(count(text, "\n"), 16, "%s", text);
    free(text);
}
