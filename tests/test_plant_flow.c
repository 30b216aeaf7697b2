/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "at.h"
#include "fixture.h"
#include "models/plant_flow.h"

static struct state state;

static struct plant with_valve(void)
{
    struct plant p = fixture_plant();
    p.train[2].params.membrane.wear.on = false;
    p.fill = (struct fill){ .float_valve = true,
                            .valve = { 0.7, 0.02, 2.5e-3 },
                            .switch_band = 5e-3,
                            .stiction = 0.05,
                            .shutoff_valve = true,
                            .shutoff = p.fill.shutoff };
    return p;
}

static struct plant_flow flow_at(const struct plant *p, double opening)
{
    struct settings set;
    settings_init(&set);
    plant_start(p, &state);
    const struct flow_inlet in = { .temperature = 15.0, .supply = 345e3, .float_opening = opening };
    return plant_flow(p, &set, &state, &in);
}

Test(plant_flow, a_wide_open_float_leaves_the_shut_off_valve_open)
{
    const struct plant p = with_valve();
    const struct plant_flow f = flow_at(&p, 1.0);
    cr_assert_eq(f.starts, 0.0);
    cr_assert_eq(f.duty, 1.0);
    cr_assert_gt(f.product, 1e-6);
}

Test(plant_flow, a_shut_float_shuts_the_feed_only_with_the_valve)
{
    struct plant p = with_valve();
    struct plant_flow f = flow_at(&p, 0.0);
    cr_assert_eq(f.product, 0.0);
    cr_assert_lt(f.drain, 1e-12, "%g", f.drain);
    p.fill.shutoff_valve = false;
    f = flow_at(&p, 0.0);
    cr_assert_eq(f.product, 0.0);
    cr_assert_gt(f.drain, 5e-6, "concentrate runs on");
}

/* The smaller the opening, the less comes out and the smaller the duty; nothing jumps where it
 * begins. */
Test(plant_flow, cycles_join_the_steady_flow_without_a_step)
{
    const struct plant p = with_valve();
    double before = flow_at(&p, 1.0).product;
    bool cycled = false;
    for (double opening = 1.0; opening > 1e-5; opening *= 0.97) {
        const struct plant_flow f = flow_at(&p, opening);
        cr_assert_leq(f.product, before * (1.0 + 1e-9), "at %g", opening);
        cr_assert_gt(f.product, 0.90 * before, "at %g: %g after %g", opening, f.product, before);
        before = f.product;
        cycled = cycled || f.starts > 0.0;
    }
    cr_assert(cycled);
    const struct plant_flow weep = flow_at(&p, 1e-4);
    cr_assert_gt(weep.starts * 86400.0, 1000.0, "a weep makes thousands of starts a day");
    cr_assert_lt(weep.duty, 0.5);
}

Test(plant_flow, starts_are_fewer_on_a_softer_line)
{
    struct plant p = with_valve();
    const struct plant_flow stiff = flow_at(&p, 1e-4);
    p.fill.shutoff.give *= 10.0;
    const struct plant_flow soft = flow_at(&p, 1e-4);
    cr_assert_float_eq(soft.starts, 0.1 * stiff.starts, 1e-6 * stiff.starts);
    cr_assert_float_eq(soft.duty, stiff.duty, 1e-6);
}

Test(plant_flow, a_rinse_opens_the_drain_and_diverting_takes_the_back_pressure_away)
{
    struct plant p = fixture_plant();
    p.line.inlet_height = 5.0;
    plant_start(&p, &state);
    struct settings set;
    settings_init(&set);
    set.call = true;
    const struct flow_inlet in = { .temperature = 15.0, .supply = 345e3, .float_opening = 1.0 };
    const struct plant_flow plain = plant_flow(&p, &set, &state, &in);
    set.rinsing = true;
    const struct plant_flow rinse = plant_flow(&p, &set, &state, &in);
    cr_assert_gt(rinse.drain, 2.5 * plain.drain);
    set.rinsing = false;
    set.diverting = true;
    const struct plant_flow diverted = plant_flow(&p, &set, &state, &in);
    cr_assert_gt(diverted.product, 1.1 * plain.product);
}
