/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/safeguard.h"

static const double DAY = 86400.0;

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
        if (strstr(s->row[i].words, word))
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
        cr_assert_null(strstr(more.row[i].words, "high switch"));
        cr_assert_null(strstr(more.row[i].words, "drip pan"));
    }
    overflow_free(&f);
}
