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

/* The valve closes most when the float lets little through. */
Test(plant_flow, a_valve_that_cycles_drains_only_while_it_is_open)
{
    const struct plant p = with_valve();
    const struct membrane *m = &p.train[p.membrane].params.membrane;
    const struct fluid water = water_fluid(15.0);
    for (double opening = 1e-3; opening < 0.01; opening *= 2.0) {
        const struct plant_flow f = flow_at(&p, opening);
        cr_assert(f.starts > 0.0 && f.duty < 0.9, "it cycles: %g", f.duty);
        const double feed = (f.product + f.drain) / f.duty;
        const double end = f.membrane_pressure - membrane_channel_loss(m, feed, &water);
        const double passes = restrictor_flow(&m->restrictor, end, &water, 1.0);
        cr_expect_float_eq(f.drain, f.duty * passes, 0.02 * f.drain, "%g of %g", f.drain, passes);
    }
}

Test(plant_flow, a_booster_takes_power_only_while_the_valve_is_open)
{
    struct plant p = with_valve();
    fixture_add_booster(&p);
    for (double opening = 2e-3; opening < 1.1; opening *= 20.0) {
        const struct plant_flow f = flow_at(&p, opening);
        const double feed = (f.product + f.drain) / f.duty;
        const double running = pump_power(&p.train[2].params.pump, feed, f.booster_head);
        cr_assert_gt(running, 1.0);
        cr_expect_float_eq(f.power, f.duty * running, 1e-9 * running);
    }
}

/* What pushes at an empty bladder behind its check valve is what drives the product, less the
 * pressure that opens that valve. */
Test(plant_flow, an_empty_bladder_sees_the_line_behind_the_check_valve)
{
    struct plant p = fixture_plant();
    p.has_bladder = true;
    p.line.check_opening = 20e3;
    p.line.inlet_height = 3.0;
    struct settings set;
    settings_init(&set);
    set.call = true;
    plant_start(&p, &state);
    const struct flow_inlet in = {
        .temperature = 15.0, .supply = 345e3, .float_opening = 1.0, .bladder = true, .vessel = 200e3
    };
    const struct plant_flow f = plant_flow(&p, &set, &state, &in);
    const struct fluid water = water_fluid(15.0);
    const double behind = water.density * 9.80665 * 3.0 +
                          tube_loss(p.line.tube_length, p.line.tube_bore, f.product, &water) +
                          resin_pressure_drop(&p.train[3].params.resin, f.product, &water);
    cr_assert(f.product > 0.0 && f.mouth < 200e3);
    cr_expect_float_eq(f.mouth, behind, 1e-6 * behind, "%g, not %g", f.mouth, behind);
}

Test(plant_flow, a_pump_behind_the_membrane_stands)
{
    struct plant p = with_valve();
    p.fill.shutoff_valve = false;
    const struct plant_flow without = flow_at(&p, 1.0);
    fixture_stage(&p.train[p.stages++], &stage_pump);
    const struct plant_flow with = flow_at(&p, 1.0);
    cr_assert_eq(with.product, without.product);
    cr_assert_eq(with.drain, without.drain);
    cr_assert_eq(with.power, without.power);
    cr_assert_eq(with.booster_head, 0.0);
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

/* ---- new parts
 * -----------------------------------------------------------------------------------
 */

Test(plant_flow, new_prefilters_are_flushed_through_an_open_end)
{
    struct plant p = fixture_plant();
    p.fill.float_valve = true;
    plant_start(&p, &state);
    struct settings set;
    settings_init(&set);
    const struct flow_inlet in = { .temperature = 15.0,
                                   .supply = 345e3,
                                   .float_opening = 0.0 }; /* and the float valve is shut */
    double before = INFINITY;
    for (int k = 0; k < p.membrane; k++) {
        set.flush = k;
        const struct plant_flow f = plant_flow(&p, &set, &state, &in);
        const struct fluid water = water_fluid(15.0);
        const double throat = 0.62 * M_PI / 4.0 * p.line.supply_bore * p.line.supply_bore;
        double lost = 0.5 * water.density * f.drain / throat * f.drain / throat +
                      tube_loss(1.0, p.line.tube_bore, f.drain, &water);
        for (int i = 0; i <= k; i++)
            lost += p.train[i].kind->pressure_drop(&p.train[i].params, &state.stage[i], f.drain,
                                                   &water, 345e3 - lost);
        cr_assert_float_eq(lost, 345e3, 1e-3, "%d: %g Pa", k, lost);
        cr_assert_eq(f.product, 0.0);
        cr_assert_eq(f.membrane_pressure, 0.0, "nothing reaches the membrane");
        cr_assert_lt(f.drain, before, "the carbon is one more to pass");
        before = f.drain;
    }
}

Test(plant_flow, a_new_bed_is_flushed_against_its_own_loss_alone)
{
    struct plant p = fixture_plant();
    p.fill.float_valve = true;
    p.line.inlet_height = 5.0;
    plant_start(&p, &state);
    struct settings set;
    settings_init(&set);
    const struct flow_inlet in = { .temperature = 15.0,
                                   .supply = 345e3,
                                   .float_opening = 0.0 }; /* the float valve is shut */
    const struct fluid water = water_fluid(15.0);
    set.flush = 3;
    const struct plant_flow bed = plant_flow(&p, &set, &state, &in);
    cr_assert_gt(bed.product, 0.0);
    cr_assert_float_eq(bed.back_pressure,
                       resin_pressure_drop(&p.train[3].params.resin, bed.product, &water), 1e-6);
    set.flush = 2;
    const struct plant_flow membrane = plant_flow(&p, &set, &state, &in);
    set.flush = -1;
    set.call = set.diverting = true;
    const struct plant_flow diverted = plant_flow(&p, &set, &state, &in);
    cr_assert_eq(membrane.product, diverted.product, "the same as diverting the first product");
    cr_assert_gt(membrane.product, bed.product);
}

Test(plant_flow, the_booster_stays_off_while_prefilters_are_flushed)
{
    struct plant p = fixture_plant();
    fixture_add_booster(&p);
    struct settings set;
    settings_init(&set);
    set.call = true;
    cr_assert(plant_boosted(&p, &set));
    set.flush = 1;
    cr_assert_not(plant_boosted(&p, &set));
    set.flush = 3;
    cr_assert(plant_boosted(&p, &set));
}

/* ---- what a low pressure switch sees ---- */

static struct plant_flow called(const struct plant *p, struct settings *set)
{
    plant_start(p, &state);
    const struct flow_inlet in = { .temperature = 15.0, .supply = 345e3, .float_opening = 1.0 };
    set->call = true;
    return plant_flow(p, set, &state, &in);
}

Test(plant_flow, the_inlet_pressure_is_the_supply_less_valve_and_prefilters)
{
    struct plant p = fixture_plant();
    p.line.supply_bore = 2e-3;
    struct settings set;
    settings_init(&set);
    const struct plant_flow f = called(&p, &set);
    const double q = f.product + f.drain;
    const struct fluid water = water_fluid(15.0);
    const double speed = q / (0.62 * M_PI / 4.0 * 4e-6);
    double expected = 345e3 - 0.5 * water.density * speed * speed;
    for (int i = 0; i < 2; i++)
        expected -= p.train[i].kind->pressure_drop(&p.train[i].params, &state.stage[i], q, &water,
                                                   expected);
    cr_assert_float_eq(f.inlet_pressure, expected, 1e-6);
    cr_assert_float_eq(f.inlet_pressure, f.membrane_pressure, 1e-6, "no pump: the same place");
    cr_assert_lt(expected, 344e3);
}

Test(plant_flow, a_booster_pulls_down_the_pressure_in_front_of_it)
{
    struct plant p = fixture_plant();
    p.line.supply_bore = 2e-3;
    struct settings set;
    settings_init(&set);
    const double without = called(&p, &set).inlet_pressure;
    fixture_add_booster(&p);
    cr_assert_eq(plant_inlet_place(&p), 2);
    const struct plant_flow f = called(&p, &set);
    cr_assert_lt(f.inlet_pressure, without - 1e3);
    cr_assert_float_eq(f.membrane_pressure, f.inlet_pressure + f.booster_head, 1e-3);
}

Test(plant_flow, a_switch_before_the_solenoid_sees_what_stands_there)
{
    struct plant p = fixture_plant();
    struct settings set;
    settings_init(&set);
    const struct flow_inlet in = { .temperature = 15.0, .supply = 345e3, .float_opening = 1.0 };
    plant_start(&p, &state);
    cr_assert_eq(plant_flow(&p, &set, &state, &in).inlet_pressure, 345e3, "shut");
    set.health.solenoid_weep = 1e-4;
    const struct plant_flow weep = plant_flow(&p, &set, &state, &in);
    cr_assert(weep.drain > 0.0 && weep.membrane_pressure < 100e3);
    cr_assert_gt(weep.inlet_pressure, 344e3, "a weep does not pull it down");
    set.hand_valve = false;
    cr_assert_eq(plant_flow(&p, &set, &state, &in).inlet_pressure, 0.0, "run out behind it");
    set.hand_valve = true;
    const struct flow_inlet cut = { .temperature = 15.0, .supply = 0.0, .float_opening = 1.0 };
    cr_assert_eq(plant_flow(&p, &set, &state, &cut).inlet_pressure, 0.0);
    p.membrane = -1;
    cr_assert_eq(plant_inlet_place(&p), 0);
}

/* Whatever the elements: they could pass each other all salt for ever, and any flow would do. */
Test(plant_flow, without_a_drain_nothing_is_made)
{
    struct plant p = fixture_plant();
    plant_start(&p, &state);
    struct settings set;
    settings_init(&set);
    set.call = true;
    const struct flow_inlet in = { .temperature = 15.0, .supply = 345e3, .float_opening = 1.0 };
    for (int elements = 1; elements <= 4; elements++) {
        p.train[2].params.membrane.elements = elements;
        set.health.drain_open = 0.0;
        cr_assert_eq(plant_flow(&p, &set, &state, &in).product, 0.0);
        cr_assert_eq(plant_flow(&p, &set, &state, &in).drain, 0.0);
        set.health.drain_open = 0.05;
        cr_assert_gt(plant_flow(&p, &set, &state, &in).product, 1e-8);
    }
}
