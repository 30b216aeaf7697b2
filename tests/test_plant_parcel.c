/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "fixture.h"

static struct state state;

/* A parcel of 2 L that opened an hour ago, in a line that makes 0.1 L/min of 0.4 L/min. */
static struct signals half_way(const struct plant *p, struct settings *set)
{
    settings_init(set);
    plant_start(p, &state);
    state.t = 3600.0;
    state.feed_limit = 10e-3;
    state.parcel_limit = 2e-3;
    state.x[X_PRODUCT] = 0.8e-3;
    state.x[X_DIVERTED] = 0.2e-3;
    state.x[X_FEED] = 4e-3;
    state.flow_opened = 1e-4 / 60.0;
    return (struct signals){ .feed_flow = 4e-4 / 60.0, .product_flow = 1e-4 / 60.0, .duty = 1.0 };
}

Test(plant_parcel, ends_at_the_first_of_its_limits)
{
    struct settings set;
    const struct plant p = fixture_plant();
    struct signals sig = half_way(&p, &set);
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 600.0, 1e-9); /* 1 L of product */
    state.x[X_FEED] = 8e-3;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 300.0, 1e-9); /* 2 L of feed */
    sig.topoff_flow = 1e-3;
    state.x[X_TOPOFF] = 0.02 * p.basin.volume - 0.1;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 100.0, 1e-9);
    state.t = 86400.0 - 30.0;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 30.0, 1e-9);
    cr_expect_not(plant_parcel_due(&p, &set, &state, &sig));
    state.t = 86400.0;
    cr_expect_eq(plant_parcel_left(&p, &set, &state, &sig), 0.0);
    cr_expect(plant_parcel_due(&p, &set, &state, &sig));
}

Test(plant_parcel, smaller_parcels_end_sooner)
{
    struct settings set;
    struct plant p = fixture_plant();
    const struct signals sig = half_way(&p, &set);
    p.parcel_scale = 0.75;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 300.0, 1e-9);
    state.x[X_FEED] = 7e-3; /* of 7.5 L */
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 75.0, 1e-9);
    p.parcel_scale = 0.5;
    cr_expect_eq(plant_parcel_left(&p, &set, &state, &sig), 0.0);
}

Test(plant_parcel, who_waits_for_a_reading_gets_one_every_two_seconds_and_later_less_often)
{
    struct settings set;
    struct plant p = fixture_plant();
    const struct signals sig = half_way(&p, &set);
    set.diverting = true;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 600.0, 1e-9);
    p.rinse.divert_below = 1e-3;
    state.opened = state.t - 0.5;
    set.diverted_since = state.opened - 30.0;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 1.5, 1e-9);
    set.diverted_since = state.opened - 200.0;
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &sig), 9.5, 1e-9);
}

Test(plant_parcel, closes_when_its_flow_changes_unless_it_holds_hardly_anything)
{
    struct settings set;
    const struct plant p = fixture_plant();
    struct signals sig = half_way(&p, &set);
    sig.product_flow *= 1.39;
    cr_expect_not(plant_parcel_due(&p, &set, &state, &sig));
    sig.product_flow *= 1.02;
    cr_expect(plant_parcel_due(&p, &set, &state, &sig));
    state.x[X_FEED] = state.x[X_PRODUCT] = state.x[X_DIVERTED] = 0.0;
    cr_expect_not(plant_parcel_due(&p, &set, &state, &sig));
}

Test(plant_parcel, nothing_that_flows_is_no_limit)
{
    struct settings set;
    const struct plant p = fixture_plant();
    half_way(&p, &set);
    const struct signals rest = { .duty = 1.0 };
    cr_expect_float_eq(plant_parcel_left(&p, &set, &state, &rest), 86400.0 - 3600.0, 1e-9);
}

struct past {
    double product, limit; /* m3 at the end of the last parcel, and what it may be from there on */
    double worst;          /* share of a limit that a parcel came to */
    int parcels;
};

static void see_past(void *self, const struct glimpse *g)
{
    struct past *past = self;
    if (g->moment != MOMENT_PARCEL)
        return;
    const double product = g->x[X_PRODUCT] + g->x[X_DIVERTED];
    if (product > past->product) {
        past->worst = fmax(past->worst, (product - past->product) / past->limit);
        past->parcels++;
    }
    past->product = product;
    past->limit = g->state->parcel_limit;
}

/* A second past the end of the smallest parcel is more than a hundredth of it. */
Test(plant_parcel, steps_end_just_behind_the_end_of_a_parcel)
{
    static struct outcome out;
    for (unsigned long seed = 1; seed <= 20; seed++) {
        const struct plant p = fixture_random_plant(seed);
        const struct plan plan = fixture_plan(30.0);
        struct past past = { .limit = 1e-4 };
        const struct observer o = { see_past, &past };
        fixture_run(&p, &plan, &o, &out);
        if (p.membrane < 0 || past.parcels == 0)
            continue;
        cr_expect_lt(past.worst, 1.05, "seed %lu: %g of %d parcels", seed, past.worst,
                     past.parcels);
    }
}
