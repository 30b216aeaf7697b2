/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "at.h"
#include "fixture.h"

static struct state state;

static struct signals evaluate(const struct plant *p, const struct settings *set, double t,
                               double dx[X_COUNT])
{
    struct signals sig;
    plant_evaluate(p, set, &state, t, state.x, &sig, dx);
    return sig;
}

static struct settings filling(void)
{
    struct settings set;
    settings_init(&set);
    set.call = true;
    return set;
}

/* The operating point is one at which every part agrees on its flow and pressure. */
Test(plant, finds_the_flow_on_which_all_parts_agree)
{
    for (unsigned long seed = 1; seed <= 100; seed++) {
        const struct plant p = fixture_random_plant(seed);
        if (p.membrane < 0)
            continue;
        const struct membrane *m = &p.train[p.membrane].params.membrane;
        plant_start(&p, &state);
        state.x[X_TANK] = tank_volume(&p.tank, 0.3);
        const struct settings set = filling();
        double dx[X_COUNT];
        const struct signals s = evaluate(&p, &set, 3600.0, dx);
        const double T = s.feed_temperature;
        cr_assert_gt(s.product_flow, 0.0, "seed %lu", seed);
        cr_assert_float_eq(s.feed_flow, s.product_flow + s.drain_flow, 1e-15);
        const double loss = membrane_channel_loss(m, s.feed_flow, AT(T));
        cr_assert_float_eq(restrictor_flow(&m->restrictor, s.membrane_pressure - loss, AT(T), 1.0),
                           s.drain_flow, 1e-9 * s.drain_flow, "seed %lu", seed);
        const struct membrane_point at = { s.feed_flow, s.membrane_pressure, s.back_pressure,
                                           state.osmolarity, T };
        cr_assert_float_eq(membrane_permeate(m, &at, NULL), s.product_flow, 1e-8 * s.product_flow,
                           "seed %lu", seed);
    }
}

Test(plant, a_bare_resin_bed_takes_what_the_line_lets_through)
{
    struct plant p = fixture_plant();
    p.stages = 0;
    p.membrane = -1;
    fixture_stage(&p.train[p.stages++], &stage_resin);
    p.line.tube_bore = 2e-3;
    p.line.tube_length = 20.0;
    plant_start(&p, &state);
    const struct settings set = filling();
    double dx[X_COUNT];
    const struct signals s = evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(s.drain_flow, 0.0);
    const double lost = resin_pressure_drop(&p.train[0].params.resin, s.product_flow, AT(12.0)) +
                        tube_loss(20.0, 2e-3, s.product_flow, AT(12.0)) + p.line.check_opening +
                        water_density(12.0) * 9.80665 * p.line.inlet_height;
    const double v = s.product_flow / (0.62 * M_PI / 4.0 * p.line.supply_bore * p.line.supply_bore);
    cr_assert_float_eq(lost + 0.5 * water_density(12.0) * v * v, s.supply_pressure, 1.0);
}

Test(plant, rates_of_water_add_up)
{
    for (unsigned long seed = 1; seed <= 100; seed++) {
        const struct plant p = fixture_random_plant(seed);
        plant_start(&p, &state);
        struct settings set = filling();
        set.draw = 1e-4;
        set.tank_brim = seed % 2;
        set.basin_brim = seed % 3 == 0;
        set.topoff_call = seed % 5 < 3;
        set.rinse_pump = seed % 7 == 0;
        double dx[X_COUNT];
        evaluate(&p, &set, 1e5, dx);
        cr_assert_float_eq(dx[X_FEED], dx[X_PRODUCT] + dx[X_DRAIN], 1e-18);
        cr_assert_float_eq(dx[X_TANK],
                           dx[X_PRODUCT] - dx[X_TOPOFF] - dx[X_DRAWN] - dx[X_RINSED] -
                               dx[X_OVERFLOW] - dx[X_SPILL],
                           1e-18);
        cr_assert_float_eq(dx[X_BASIN], dx[X_TOPOFF] - dx[X_EVAPORATED] - dx[X_BASIN_SPILL], 1e-18);
    }
}

Test(plant, the_solenoid_shuts_everything_before_the_tank)
{
    const struct plant p = fixture_plant();
    plant_start(&p, &state);
    struct settings set;
    settings_init(&set); /* no call */
    double dx[X_COUNT];
    const struct signals s = evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(s.feed_flow, 0.0);
    cr_assert_eq(s.power, 0.0);
    set.health.solenoid_weep = 1e-3; /* dirt under the seat */
    const struct signals weeping = evaluate(&p, &set, 0.0, dx);
    cr_assert_gt(weeping.feed_flow, 0.0);
    cr_assert_lt(weeping.feed_flow, 1e-6);
}

Test(plant, a_pump_makes_more_and_costs_power)
{
    struct plant p = fixture_plant();
    plant_start(&p, &state);
    const struct settings set = filling();
    double dx[X_COUNT];
    const struct signals before = evaluate(&p, &set, 0.0, dx);
    struct plant q = p;
    fixture_add_booster(&q);
    plant_start(&q, &state);
    const struct signals after = evaluate(&q, &set, 0.0, dx);
    cr_assert_gt(after.product_flow, 1.2 * before.product_flow);
    cr_assert_gt(after.booster_head, 1e5);
    cr_assert_gt(after.power, before.power + 3.0);
}

/* One parcel: 5 L of product from 20 L of feed. */
static void carry_five_litres(const struct plant *p)
{
    plant_start(p, &state);
    state.x[X_FEED] += 20e-3;
    state.x[X_PRODUCT] += 5e-3;
    state.x[X_DRAIN] += 15e-3;
    state.x[X_TANK] += 5e-3;
    state.x[X_RUNNING] += 2000.0;
    state.x[X_MAKING] += 2000.0;
    state.t = 2000.0;
    const struct settings set = filling();
    plant_carry(p, &set, &state);
}

/* The fixture with so many elements on a restrictor that suits so many. */
static struct plant several(int elements, enum membrane_joined joined, double restrictors)
{
    struct plant p = fixture_plant();
    struct membrane *m = &p.train[p.membrane].params.membrane;
    m->elements = elements;
    m->joined = joined;
    m->restrictor.flow *= restrictors;
    return p;
}

static struct signals working(const struct plant *p)
{
    plant_start(p, &state);
    const struct settings set = filling();
    double dx[X_COUNT];
    return evaluate(p, &set, 0.0, dx);
}

/* Ten minutes at the flows that the plant finds. */
static struct signals carry_ten_minutes(const struct plant *p)
{
    const struct signals s = working(p);
    const double seconds = 600.0;
    state.x[X_FEED] += s.feed_flow * seconds;
    state.x[X_PRODUCT] += s.product_flow * seconds;
    state.x[X_TANK] += s.product_flow * seconds;
    state.x[X_DRAIN] += s.drain_flow * seconds;
    state.x[X_RUNNING] += seconds;
    state.x[X_MAKING] += seconds;
    state.t = seconds;
    const struct settings set = filling();
    plant_carry(p, &set, &state);
    return s;
}

Test(plant, a_second_element_shortens_the_contact_with_carbon)
{
    const struct plant one = several(1, MEMBRANE_SERIES, 1.0);
    const struct carbon *block = &one.train[1].params.carbon;
    const double in = one.feed.c[CHLORINE] + one.feed.c[CHLORAMINE];
    const struct signals single = carry_ten_minutes(&one);
    const double left = state.readings.membrane_oxidant;
    for (int joined = 0; joined < 2; joined++) {
        const struct plant two = several(2, (enum membrane_joined)joined, 2.0);
        const struct signals s = carry_ten_minutes(&two);
        const double contact =
            carbon_contact_time(block, s.feed_flow) / carbon_contact_time(block, single.feed_flow);
        cr_expect(contact > 0.5 && contact < 0.53, "twice the flow, less what the line loses: %g",
                  contact);
        /* chloramine falls as exp(-k tau); chlorine is gone long before */
        const double share = one.feed.c[CHLORAMINE] / in;
        const double decay = log(share * in / left);
        const double now = log(share * in / state.readings.membrane_oxidant);
        cr_expect_float_eq(now / decay, contact, 0.01, "%g against %g", now / decay, contact);
        cr_expect_gt(state.readings.membrane_oxidant, 1.1 * left);
    }
}

Test(plant, elements_on_one_restrictor_recover_more)
{
    const struct plant one = several(1, MEMBRANE_SERIES, 1.0);
    const struct signals a = working(&one);
    const double recovery = a.product_flow / a.feed_flow;
    for (int joined = 0; joined < 2; joined++) {
        const struct plant suited = several(2, (enum membrane_joined)joined, 2.0);
        const struct plant not = several(2, (enum membrane_joined)joined, 1.0);
        const struct signals b = working(&suited), c = working(&not );
        cr_expect_float_eq(b.product_flow / b.feed_flow / recovery, 1.0, 0.03, "joined %d", joined);
        cr_expect_float_eq(b.product_flow / a.product_flow, 2.0, 0.1);
        cr_expect_float_eq(c.drain_flow / a.drain_flow, 1.0, 0.02);
        cr_expect_gt(c.product_flow / c.feed_flow, 1.5 * recovery);
    }
}

static double conductivity(const double c[])
{
    const struct speciation s = water_speciate(c, 25.0);
    return water_conductivity(c, &s);
}

Test(plant, the_permeate_is_more_acid_than_the_feed)
{
    const struct plant p = fixture_plant();
    carry_five_litres(&p);
    const double feed_ph = water_speciate(p.feed.c, 12.0).ph;
    const double permeate_ph = water_speciate(state.readings.permeate_c, 12.0).ph;
    cr_assert_lt(permeate_ph, feed_ph - 0.8, "%g against %g", permeate_ph, feed_ph);
    cr_assert_float_eq(state.readings.permeate, conductivity(state.readings.permeate_c), 1e-15);
    cr_assert_lt(state.readings.product, 0.1 * state.readings.permeate);
}

Test(plant, a_replaced_cartridge_takes_what_it_held_with_it)
{
    const struct plant p = fixture_plant();
    carry_five_litres(&p);
    const double held = plant_held(&p, &state, SODIUM);
    const double bed = resin_held(&p.train[3].params.resin, &state.stage[3].resin, SODIUM);
    cr_assert_gt(bed, 0.0);
    plant_replace(&p, &state, 3);
    cr_assert_float_eq(plant_held(&p, &state, SODIUM), held - bed, 1e-15);
    cr_assert_float_eq(account_total(&state.ledger.out[EXIT_CARTRIDGE][SODIUM]), bed, 1e-15);
}

Test(plant, compensated_sums_lose_no_digit)
{
    struct account a = { 0 };
    account_add(&a, 1e9);
    for (int i = 0; i < 1000000; i++)
        account_add(&a, 1e-8);
    account_add(&a, -1e9);
    cr_assert_float_eq(account_total(&a), 1e-2, 1e-12); /* a plain sum loses all of it */
}

Test(plant, every_fault_of_a_part_that_is_there_can_be_put_and_mended)
{
    struct plant p = fixture_plant();
    p.fill.float_valve = p.fill.high_switch = p.fill.run_timer = p.fill.leak_sensor = true;
    p.tank.overflow.kind = OVERFLOW_STANDPIPE;
    p.tank.overflow.bore = 0.02;
    struct settings sound;
    settings_init(&sound);
    int applies = 0;
    for (const struct fault_mode *m = fault_modes; m->part; m++) {
        double *health = (double *)((char *)&sound + m->offset);
        cr_assert_eq(*health, m->sound, "%s %s", m->part, m->mode);
        cr_assert(isnan(m->value) || m->value != m->sound, "%s %s", m->part, m->mode);
        applies += fault_applies(&p, m);
    }
    cr_assert_geq(applies, 20);
}

Test(plant, sees_the_supply_with_what_is_left_of_it_and_its_surge)
{
    static struct state s;
    const struct plant p = fixture_plant();
    struct settings set;
    struct signals sig;
    double dx[X_COUNT];
    settings_init(&set);
    set.call = true;
    plant_start(&p, &s);
    for (int k = 0; k < 6; k++) {
        set.supply = 0.5 + 0.1 * k;
        set.health.surge = 0.25 * (k % 3);
        plant_evaluate(&p, &set, &s, 0.0, s.x, &sig, dx);
        cr_expect_float_eq(sig.supply_pressure,
                           set.supply * (1.0 + set.health.surge) * p.feed.pressure.mean, 1e-6);
        cr_expect_gt(sig.product_flow, 0.0);
    }
}

/* What is asked for and not given is unmet, and nothing else is. */
Test(plant, counts_as_unmet_what_a_dry_tank_does_not_give)
{
    static struct state s;
    const struct plant p = fixture_plant();
    struct settings set;
    struct signals sig;
    double dx[X_COUNT];
    settings_init(&set);
    plant_start(&p, &s);
    set.draw = 1e-4;
    plant_evaluate(&p, &set, &s, 0.0, s.x, &sig, dx);
    cr_expect_eq(dx[X_UNMET], 0.0, "there is enough");
    cr_expect_eq(dx[X_DRAWN], 1e-4);
    set.tank_dry = true;
    plant_evaluate(&p, &set, &s, 0.0, s.x, &sig, dx);
    cr_expect_eq(dx[X_UNMET], 1e-4, "nothing comes");
    cr_expect_eq(dx[X_DRAWN], 0.0);
    set.call = true;
    plant_evaluate(&p, &set, &s, 0.0, s.x, &sig, dx);
    cr_expect_gt(dx[X_DRAWN], 0.0, "only what comes in");
    cr_expect_float_eq(dx[X_DRAWN] + dx[X_UNMET], 1e-4, 1e-18);
}

Test(plant, the_floor_gets_what_a_pan_cannot_hold_and_all_of_the_served_waters_spill)
{
    struct plant p = fixture_plant();
    double x[X_COUNT] = { 0.0 };
    x[X_SPILL] = 5e-3;
    x[X_BASIN_SPILL] = 1e-3;
    cr_expect_float_eq(plant_on_floor(&p, x), 6e-3, 1e-15);
    p.fill.pan_volume = 4e-3;
    cr_expect_float_eq(plant_on_floor(&p, x), 6e-3, 1e-15, "there is no pan");
    p.fill.drip_pan = true;
    cr_expect_float_eq(plant_on_floor(&p, x), 2e-3, 1e-15);
    p.fill.pan_volume = 8e-3;
    cr_expect_float_eq(plant_on_floor(&p, x), 1e-3, 1e-15,
                       "the pan does not stand under the served water");
}

/* ---- the rinse with stored product --------------------------------------------------------------
 */

static struct plant rinsed_plant(void)
{
    struct plant p = fixture_plant();
    p.rinse.with = RINSE_PERMEATE;
    p.rinse.flow = 1e-3 / 60.0;
    return p;
}

Test(plant, a_rinse_with_product_takes_it_from_the_tank_while_the_feed_is_shut)
{
    const struct plant p = rinsed_plant();
    plant_start(&p, &state);
    struct settings set = filling();
    set.rinse_pump = set.rinsing = true;
    double dx[X_COUNT];
    evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(dx[X_RINSED], p.rinse.flow);
    cr_assert_eq(dx[X_TANK], -p.rinse.flow);
    cr_assert_eq(dx[X_FEED], 0.0, "though the tank calls");
    set.health.controller = 1.0;
    evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(dx[X_RINSED], 0.0, "a controller that hangs orders no rinse");
    set.health.controller = WORKS;
    set.power = false;
    evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(dx[X_RINSED], 0.0, "the pump needs power");
}

Test(plant, a_rinse_from_a_dry_tank_gets_its_share_of_what_comes_in)
{
    const struct plant p = rinsed_plant();
    plant_start(&p, &state);
    struct settings set = filling();
    set.rinse_pump = set.tank_dry = true;
    double dx[X_COUNT];
    evaluate(&p, &set, 0.0, dx);
    cr_assert_eq(dx[X_RINSED], 0.0, "nothing comes in");
    set.health.solenoid = 1.0; /* sticks open: product comes in all the same */
    set.draw = 3.0 * p.rinse.flow;
    evaluate(&p, &set, 0.0, dx);
    cr_assert_gt(dx[X_PRODUCT], 0.0);
    cr_assert_float_eq(dx[X_RINSED], 0.25 * dx[X_PRODUCT], 1e-9 * dx[X_PRODUCT]);
    cr_assert_float_eq(dx[X_DRAWN], 0.75 * dx[X_PRODUCT], 1e-9 * dx[X_PRODUCT]);
}

/* What stands on the feed side falls to that of the tank as exp(-V/Vf); the permeate side is not
 * touched; what leaves goes to the drain. */
Test(plant, a_rinse_with_product_displaces_the_feed_side_by_the_closed_form)
{
    const struct plant p = rinsed_plant();
    const double V = 0.5e-3;
    carry_five_litres(&p);
    const struct holdup before = state.stage[2].membrane.holdup;
    const double Vf = before.feed.volume;
    double tank[SPECIES_COUNT], all[SPECIES_COUNT], drained[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++) {
        tank[i] = state.tank.amount[i] / state.tank.volume;
        all[i] = plant_held(&p, &state, (enum species)i);
        drained[i] = account_total(&state.ledger.out[EXIT_DRAIN][i]);
    }
    const double water = account_total(&state.ledger.water_out[EXIT_DRAIN]);
    state.x[X_RINSED] += V;
    state.x[X_TANK] -= V;
    state.t += V / p.rinse.flow;
    struct settings set = filling();
    set.rinse_pump = true;
    plant_carry(&p, &set, &state);
    const struct holdup *after = &state.stage[2].membrane.holdup;
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double was = before.feed.amount[i] / Vf;
        const double is = tank[i] + (was - tank[i]) * exp(-V / Vf);
        cr_assert_float_eq(after->feed.amount[i] / Vf, is, 1e-12 * (was + tank[i]), "%s",
                           species[i].key);
        cr_assert_eq(after->permeate.amount[i], before.permeate.amount[i]);
        const double gone = account_total(&state.ledger.out[EXIT_DRAIN][i]) - drained[i];
        cr_assert_float_eq(all[i] - gone, plant_held(&p, &state, (enum species)i), 1e-13 * all[i],
                           "%s", species[i].key);
    }
    cr_assert_float_eq(account_total(&state.ledger.water_out[EXIT_DRAIN]) - water, V, 1e-17);
    cr_assert_lt(after->feed.amount[CALCIUM], 0.1 * before.feed.amount[CALCIUM]);
}

/* What leaves the tank by three ways at once is entered by its way, water and salt alike. */
Test(plant, each_way_out_of_the_tank_has_an_account_of_its_own)
{
    static struct state s;
    struct settings set;
    const struct plant p = fixture_plant();
    const struct {
        int x;
        enum exit_kind exit;
        double volume; /* m3 */
    } ways[] = { { X_DRAWN, EXIT_DRAWN, 0.003 },
                 { X_OVERFLOW, EXIT_OVERFLOW, 0.002 },
                 { X_SPILL, EXIT_SPILL, 0.001 } };
    settings_init(&set);
    plant_start(&p, &s);
    const double volume = s.x[X_TANK];
    s.tank.amount[SODIUM] = 2.0 * volume;
    for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
        s.x[ways[w].x] += ways[w].volume;
        s.x[X_TANK] -= ways[w].volume;
    }
    s.t += 60.0;
    plant_carry(&p, &set, &s);
    for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
        const enum exit_kind e = ways[w].exit;
        cr_expect_float_eq(account_total(&s.ledger.water_out[e]), ways[w].volume, 1e-15, "%s",
                           exit_name[e]);
        cr_expect_float_eq(account_total(&s.ledger.out[e][SODIUM]), 2.0 * ways[w].volume, 1e-12,
                           "%s", exit_name[e]);
    }
}

/* Vapour that condenses on the served water brings water and no salt, beside the top-off. */
Test(plant, condensed_water_brings_no_salt)
{
    static struct state s;
    struct settings set;
    const struct plant p = fixture_plant();
    settings_init(&set);
    plant_start(&p, &s);
    s.tank.amount[SODIUM] = 2.0 * s.x[X_TANK];
    const double before = s.basin.amount[SODIUM];
    s.x[X_TOPOFF] += 0.002;
    s.x[X_TANK] -= 0.002;
    s.x[X_EVAPORATED] -= 0.001;
    s.x[X_BASIN] += 0.003;
    s.t += 60.0;
    plant_carry(&p, &set, &s);
    cr_expect_float_eq(s.basin.amount[SODIUM] - before, 2.0 * 0.002, 1e-12);
    cr_expect_float_eq(account_total(&s.ledger.water_out[EXIT_AIR]), -0.001, 1e-15);
}

/* Half the resistance of the membrane lies upon it: two thirds of the flow, and the salt that
 * passes meets two thirds of the water. */
Test(plant, what_lies_on_the_membrane_raises_its_standardised_passage)
{
    struct plant p = fixture_plant();
    p.train[p.membrane].params.membrane.leak = 0.0;
    plant_start(&p, &state);
    cr_expect_float_eq(plant_standard_passage(&p, &state), 1.0, 1e-12);
    state.stage[p.membrane].membrane.wear.layer = 0.5;
    cr_expect_float_eq(plant_standard_passage(&p, &state), 1.5, 1e-9);
    cr_expect_float_eq(plant_standard_flow(&p, &state), 1.0 / 1.5, 0.01);
}
