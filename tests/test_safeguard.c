/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "sim/safeguard.h"

static const double DAY = 86400.0;

/* Random plants on which pairs are tried, too; with sanitizers a minute has room for one.
 * LEAT_TRIALS in the environment asks for others. */
#ifdef __SANITIZE_ADDRESS__
#define PAIRED 1
#else
#define PAIRED 4
#endif

/* Level switches alone; the tank is drawn from, no served water. */
static struct scenario switches_alone(void)
{
    static struct scenario s;
    memset(&s, 0, sizeof s);
    s.plant = fixture_plant();
    s.plant.has_basin = false;
    s.plant.topoff.kind = TOPOFF_NONE;
    s.plan = fixture_plan(1.0);
    s.plan.draw[0].every = 2.0 * DAY;
    s.plan.draw[0].first = 1.0 * DAY;
    return s;
}

static const struct safeguard_row *row_with(const struct safeguards *s, const char *word)
{
    for (int i = 0; i < s->rows; i++)
        if (strstr(s->row[i].words.words, word))
            return &s->row[i];
    cr_assert(false, "no row with \"%s\"", word);
    return NULL;
}

Test(safeguard, each_buys_what_it_can)
{
    static struct scenario s;
    s = switches_alone();
    const struct overflow_options o = { .span = 1.0 * DAY, .seed = 1 };
    static struct overflow_found f;
    cr_assert_eq(overflow_find(&f, &s, &o), STATUS_OK);
    static struct safeguards more;
    cr_assert_eq(safeguard_try(&f, &o, &more), STATUS_OK);

    cr_assert_gt(more.without.singles, 0, "a stuck solenoid spills");
    cr_assert_eq(row_with(&more, "valve of its own")->singles, 0);
    cr_assert_eq(row_with(&more, "float valve")->singles, 0);
    cr_assert_eq(row_with(&more, "overflow pipe")->singles, 0);
    cr_assert_gt(row_with(&more, "run timer")->singles, 0, "it acts on the same solenoid");

    /* a pan has no faults of its own: it cannot make it worse, and holds 10 L */
    const struct safeguard_row *pan = row_with(&more, "drip pan");
    cr_assert_eq(pan->chance.mean, more.without.chance.mean);
    cr_assert_float_eq(pan->floor, more.without.floor - 0.01, 1e-9);

    for (int i = 1; i < more.rows; i++)
        cr_assert_leq(more.row[i - 1].chance.mean, more.row[i].chance.mean, "the best comes first");
    cr_assert(more.two);
    cr_assert_leq(more.both.chance.mean, more.row[0].chance.mean);
    overflow_free(&f);
}

Test(safeguard, what_is_there_is_not_offered_again)
{
    static struct scenario s;
    s = switches_alone();
    s.plant.fill.high_switch = s.plant.fill.guard_valve = s.plant.fill.drip_pan = true;
    s.plant.fill.high_at = 0.75;
    s.plant.fill.pan_volume = 5e-3;
    const struct overflow_options o = { .span = 0.5 * DAY };
    static struct overflow_found f;
    cr_assert_eq(overflow_find(&f, &s, &o), STATUS_OK);
    static struct safeguards more;
    cr_assert_eq(safeguard_try(&f, &o, &more), STATUS_OK);
    for (int i = 0; i < more.rows; i++) {
        cr_assert_null(strstr(more.row[i].words.words, "high switch"));
        cr_assert_null(strstr(more.row[i].words.words, "drip pan"));
    }
    overflow_free(&f);
}

/* ---- a safeguard without faults of its own ------------------------------------------------------
 */

/* How it is looked for: a short span, but for a smaller tank one in which a slow leak fills either.
 */
struct way {
    bool pairs;
    double span; /* s */
};

static void search(struct sets *s, const struct plant *p, const struct plan *plan, struct way way)
{
    const struct campaign_options o = { .span = way.span, .jobs = 1 };
    struct campaign *c = NULL;
    memset(s, 0, sizeof *s);
    cr_assert_eq(campaign_create(p, plan, &o, &c), STATUS_OK);
    cr_assert_eq(way.pairs ? sets_search(s, c, p, false) : sets_search_singles(s, c, p), STATUS_OK);
    campaign_free(c);
}

/* What the new plant has and the old one had not never fails. */
static void new_parts_are_perfect(struct plan *plan, const struct plant *was,
                                  const struct plant *is)
{
    plan->risk.rates = 0;
    for (int i = 0; fault_modes[i].part; i++)
        if (fault_applies(is, &fault_modes[i]) && !fault_applies(was, &fault_modes[i]))
            plan->risk.rate[plan->risk.rates++] = (struct rate_given){
                .which = i, .kind = RATE_PER_TIME, .median = 0.0, .error_factor = 1.0, .lasts = NAN
            };
}

static double chance_of(const struct sets *s, const struct plan *plan)
{
    struct chances c;
    cr_assert_eq(chance_reckon(&c, s, plan, 1e-6, 1), STATUS_OK);
    const double mean = c.spill.mean;
    chance_free(&c);
    return mean;
}

/* How often it tried each kind; how often one lowered the chance. */
struct tally {
    int kind, tried[SAFEGUARD_KINDS], lowered;
};

/* Two kinds, the next that fit: what did not spill before does not, and the chance does not rise.
 */
static void hold_on_plant(unsigned long seed, bool pairs, struct tally *tally)
{
    static struct sets without, with;
    static struct overflow_found f;
    const struct plant p = fixture_random_plant(seed);
    struct plan plan = fixture_plan(1.0);
    const struct inflow in = overflow_inflow(&p);
    f = (struct overflow_found){ .least_inflow = in.least,
                                 .burst_product = in.most,
                                 .worst_inflow = in.worst };
    for (int looked = 0, added = 0; looked < SAFEGUARD_KINDS && added < 2; looked++) {
        struct plant safer = p;
        struct phrase words;
        const int k = tally->kind++ % SAFEGUARD_KINDS;
        if (!safeguard_add((enum safeguard_kind)k, &safer, &f, &words))
            continue;
        added++;
        tally->tried[k]++;
        new_parts_are_perfect(&plan, &p, &safer);
        const struct way way = { pairs, k == SAFEGUARD_SMALLER_TANK ? 2.0 * DAY : 0.25 * DAY };
        search(&without, &p, &plan, way);
        search(&with, &safer, &plan, way);
        const double before = chance_of(&without, &plan), after = chance_of(&with, &plan);
        cr_assert_leq(after, before * (1.0 + 1e-12), "plant %lu, %s: %g a year, %g before", seed,
                      words.words, after, before);
        tally->lowered += after < before;
        sets_free(&with);
        sets_free(&without);
    }
}

Test(safeguard, without_faults_of_its_own_never_raises_the_chance_of_single_faults)
{
    struct tally tally = { 0 };
    for (unsigned long seed = 1; seed <= 20; seed++)
        hold_on_plant(seed, false, &tally);
    for (int k = 0; k < SAFEGUARD_KINDS; k++)
        cr_expect(tally.tried[k] > 0 || k == SAFEGUARD_FLOW_LIMITER, "kind %d was never tried", k);
    cr_assert_gt(tally.lowered, 5, "and some lower it");
}

Test(safeguard, without_faults_of_its_own_never_raises_the_chance_with_pairs)
{
    const char *asked = getenv("LEAT_TRIALS");
    const unsigned long plants = asked ? strtoul(asked, NULL, 10) : PAIRED;
    struct tally tally = { 0 };
    for (unsigned long seed = 101; seed <= 100 + plants; seed++)
        hold_on_plant(seed, true, &tally);
    cr_assert_geq(tally.lowered, (int)plants / 4, "and some lower it");
}
