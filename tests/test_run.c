/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "fixture.h"
#include "sim/balance.h"

static const double DAY = 86400.0;

/* ---- event times against closed form -----------------------------------------------------------
 */

struct first_change {
    const char *kind;
    double at; /* s, NAN if it never came */
    int count;
};

static void see_change(void *self, const struct glimpse *g)
{
    struct first_change *f = self;
    if (g->moment != MOMENT_CHANGE || strcmp(g->change->kind, f->kind) != 0)
        return;
    if (f->count++ == 0)
        f->at = g->t;
}

/* No basin, no draws: the tank only fills, at the flow that one evaluation gives. */
static struct plant only_filling(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.4;                         /* below the start switch: fills at once */
    p.train[2].params.membrane.wear.on = false; /* and at a flow that does not change */
    return p;
}

static double steady_flow(const struct plant *p)
{
    static struct state s;
    struct signals sig;
    double dx[X_COUNT];
    struct settings set;
    settings_init(&set);
    set.call = true;
    plant_start(p, &s);
    plant_evaluate(p, &set, &s, 0.0, s.x, &sig, dx);
    return sig.product_flow;
}

Test(run, stops_filling_at_the_time_of_the_closed_form)
{
    struct plant p = only_filling();
    /* the flow must not change while it fills: no deposit, and no oxidant that turns to chloride */
    p.feed.c[SOLIDS] = p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    struct plan plan = fixture_plan(2.0);
    plan.draws = 0;
    struct first_change f = { "fill stops", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
    const double area = M_PI / 4.0 * 0.25;
    const double flow = out.state.x[X_PRODUCT] / out.state.x[X_MAKING];
    cr_assert_float_eq(flow, steady_flow(&p), 1e-9 * flow);
    cr_assert_float_eq(f.at, area * 0.3 / flow, 1e-6, "%.9g s instead of %.9g", f.at,
                       area * 0.3 / flow);
}

Test(run, ends_a_draw_and_a_drained_tank_at_the_time_of_the_closed_form)
{
    struct plant p = only_filling();
    p.tank_start = 0.6;
    struct plan plan = fixture_plan(1.0);
    plan.event[plan.events++] = (struct event){ .at = 0.0, .kind = EVENT_SUPPLY_OFF };
    plan.draw[0] = (struct draw){ 0.5, INFINITY, 3600.0, 10e-3 / 60.0 };
    struct first_change f = { "dry", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    const double area = M_PI / 4.0 * 0.25;
    const double at = 3600.0 + area * (0.6 - 0.03) / (10e-3 / 60.0);
    cr_assert_float_eq(f.at, at, 1e-6, "%.9g s instead of %.9g", f.at, at);
    cr_assert_float_eq(out.state.x[X_DRAWN], area * 0.57, 1e-9);
    cr_assert_float_eq(out.state.x[X_UNMET], 0.5 - area * 0.57, 1e-9, "the rest was not met");
}

/* From the start on, the first fault of that part, or of that mode. */
static void break_part(struct plan *plan, const char *name)
{
    int k = 0;
    while (strcmp(fault_modes[k].part, name) != 0 && strcmp(fault_modes[k].mode, name) != 0)
        k++;
    plan->event[plan->events++] = (struct event){ 0.0, EVENT_FAULT, k, 0.0 };
}

/* ---- what stops the water ----------------------------------------------------------------------
 */

Test(run, a_stop_switch_that_shows_dry_fills_the_room)
{
    struct plant p = only_filling();
    struct plan plan = fixture_plan(3.0);
    plan.draws = 0;
    break_part(&plan, "stop switch");
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double made = out.state.x[X_PRODUCT];
    const double room = tank_full(&p.tank) - tank_volume(&p.tank, p.tank_start);
    cr_assert_gt(out.state.x[X_SPILL], 0.05);
    cr_assert_float_eq(out.state.x[X_SPILL], made - room, 1e-9 * made, "what the tank cannot hold");
}

Test(run, a_drip_pan_holds_its_volume_and_the_leak_sensor_in_it_shuts_the_feed)
{
    struct plant p = only_filling();
    p.fill.drip_pan = p.fill.leak_sensor = true;
    p.fill.pan_volume = 2e-3;
    p.fill.leak_volume = 0.5e-3;
    struct plan plan = fixture_plan(3.0);
    plan.draws = 0;
    break_part(&plan, "stop switch");
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(out.state.x[X_SPILL], 0.5e-3, 1e-9, "the sensor trips and latches");
    cr_assert_eq(plant_on_floor(&p, out.state.x), 0.0);
    p.fill.leak_sensor = false;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_gt(out.state.x[X_SPILL], 0.05);
    cr_assert_float_eq(plant_on_floor(&p, out.state.x), out.state.x[X_SPILL] - 2e-3, 1e-15);
}

Test(run, a_high_switch_keeps_it_off_the_floor)
{
    struct plant p = only_filling();
    p.fill.high_switch = true;
    p.fill.high_at = 0.75;
    struct plan plan = fixture_plan(3.0);
    plan.draws = 0;
    break_part(&plan, "stop switch");
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_eq(out.state.x[X_SPILL], 0.0);
    cr_assert_float_eq(out.signals.tank_level, 0.75, 1e-9);
}

Test(run, the_run_timer_keeps_its_count_through_a_power_cut)
{
    struct plant p = only_filling();
    p.fill.run_timer = true;
    p.fill.longest_run = 3600.0;
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    /* 1000 s on, 5000 s off, then the other 2600 s */
    plan.event[plan.events++] = (struct event){ .at = 1000.0, .kind = EVENT_POWER_OFF };
    plan.event[plan.events++] = (struct event){ .at = 6000.0, .kind = EVENT_POWER_ON };
    struct first_change f = { "trip", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_float_eq(f.at, 8600.0, 1e-6, "tripped at %.9g", f.at);
    cr_assert_float_eq(out.state.x[X_RUNNING], 3600.0, 1e-6);
}

Test(run, a_run_timer_that_is_mended_late_trips_at_once)
{
    struct plant p = only_filling();
    p.fill.run_timer = true;
    p.fill.longest_run = 3600.0;
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    break_part(&plan, "run timer");
    plan.event[plan.events++] = (struct event){ 7200.0, EVENT_MEND, plan.event[0].which, 0.0 };
    struct first_change f = { "trip", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
    cr_assert_eq(f.at, 7200.0, "tripped at %.9g", f.at);
    cr_assert_float_eq(out.state.x[X_RUNNING], 7200.0, 1e-6);
}

Test(run, overlapping_cuts_end_with_the_last_of_them)
{
    struct plant p = only_filling();
    struct plan plan = fixture_plan(2.0);
    plan.draws = 0;
    plan.event[plan.events++] = (struct event){ .at = 1000.0, .kind = EVENT_POWER_OFF };
    plan.event[plan.events++] = (struct event){ .at = 1500.0, .kind = EVENT_POWER_OFF };
    plan.event[plan.events++] = (struct event){ .at = 2000.0, .kind = EVENT_POWER_ON };
    plan.event[plan.events++] = (struct event){ .at = 3000.0, .kind = EVENT_POWER_ON };
    struct first_change f = { "power on", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(f.at, 3000.0);
    cr_assert_eq(f.count, 1, "told once");
}

Test(run, the_overflow_pipe_carries_what_comes_in)
{
    struct plant p = only_filling();
    p.tank.overflow = (struct overflow){ OVERFLOW_STANDPIPE, 0.74, 0.025, 1.0, 1.0, 3e-3 };
    struct plan plan = fixture_plan(4.0);
    plan.draws = 0;
    break_part(&plan, "feed solenoid");
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_eq(out.state.x[X_SPILL], 0.0);
    cr_assert_gt(out.state.x[X_OVERFLOW], 0.1);
    cr_assert_float_eq(out.signals.overflow_flow, out.signals.product_flow,
                       1e-5 * out.signals.product_flow, "the level settles");
    cr_assert_float_eq(out.signals.tank_level,
                       overflow_level(&p.tank.overflow, out.signals.product_flow, 1.0, 20.0, 0.8),
                       1e-6);
}

/* ---- conservation ------------------------------------------------------------------------------
 */

Test(run, conserves_water_and_every_element_in_200_random_plants)
{
    for (unsigned long seed = 1; seed <= 200; seed++) {
        const struct plant p = fixture_random_plant(seed);
        struct plan plan = fixture_plan(12.0);
        plan.draw[0].first = 1.0 * DAY;
        plan.draw[0].every = 3.0 * DAY;
        if (seed % 2)
            plan.commissioning = (struct commissioning){ 400.0, 900.0, 300.0, seed % 4 == 1 };
        plan.event[plan.events++] =
            (struct event){ 2.5 * DAY, EVENT_REPLACE, (int)(seed % (unsigned long)p.stages), 0.0 };
        for (int k = 0; fault_modes[k].part && plan.events < 9; k++)
            if (fault_applies(&p, &fault_modes[k]) && (seed * 7 + (unsigned long)k) % 5 == 0)
                plan.event[plan.events++] = (struct event){ (3.5 + plan.events * 0.5) * DAY,
                                                            EVENT_FAULT, k, fault_modes[k].preset };
        static struct outcome out;
        fixture_run(&p, &plan, NULL, &out);
        cr_assert_eq(out.status, STATUS_OK, "seed %lu: %s", seed, "did not run");
        struct balance_row row[BALANCE_ROWS];
        balance_of(&p, &out.state, row);
        for (int i = 0; i < BALANCE_ROWS; i++)
            cr_assert_lt(fabs(row[i].error), 1e-9, "seed %lu: %s %g", seed, row[i].name,
                         row[i].error);
        for (int i = 0; i < SPECIES_COUNT; i++)
            cr_assert_geq(out.state.tank.amount[i], 0.0, "seed %lu: %s", seed, species[i].key);
    }
}

static void expect_balance(const struct plant *p, const struct outcome *out, double within)
{
    struct balance_row row[BALANCE_ROWS];
    balance_of(p, &out->state, row);
    for (int i = 0; i < BALANCE_ROWS; i++)
        cr_assert_lt(fabs(row[i].error), within, "%s %g", row[i].name, row[i].error);
}

/* A step that ends where the supply returns once saw the change at its end, and moved water that
 * never was. */
Test(run, a_supply_that_returns_moves_nothing_before_it_does)
{
    struct plant p = only_filling();
    p.feed.steps = 2;
    p.feed.step[0] = (struct feed_step){ 0.3 * DAY, -1e6, NAN, NAN, NAN, NAN, NAN };
    p.feed.step[1] = (struct feed_step){ 1.3 * DAY, 0.0, NAN, NAN, NAN, NAN, NAN };
    p.fill.switches = false;
    p.tank_start = 0.1;
    struct plan plan = fixture_plan(1.3);
    plan.draws = 0;
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double made = out.state.x[X_RUNNING];
    cr_assert_float_eq(made, 0.3 * DAY, 1e-6, "%.9g s with feed flowing", made);
    plan.length = 2.0 * DAY;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(out.state.x[X_RUNNING], 1.0 * DAY, 1e-6);
    expect_balance(&p, &out, 1e-12);
}

/* It once ran into volumes below nothing, and into concentrations that are no numbers. */
Test(run, served_water_that_dries_up_keeps_a_hundredth_and_all_of_its_salt)
{
    for (int salty = 0; salty < 2; salty++) {
        struct plant p = fixture_plant();
        p.open_to_air = true;
        p.topoff.kind = TOPOFF_FLOAT;
        p.topoff.flow = 2e-8; /* less than what evaporates */
        p.basin.volume = 10e-3;
        p.basin.salinity = salty ? 35.0 : 0.0;
        struct plan plan = fixture_plan(10.0);
        plan.tolerance = 1e-5;
        static struct outcome out;
        fixture_run(&p, &plan, NULL, &out);
        cr_assert_eq(out.status, STATUS_OK);
        const double *x = out.state.x;
        cr_assert_float_eq(x[X_BASIN], 0.01 * p.basin.volume, 1e-6 * p.basin.volume);
        cr_assert_float_eq(x[X_EVAPORATED], 0.99 * p.basin.volume + x[X_TOPOFF], 1e-8);
        cr_assert_eq(out.signals.evaporation, out.signals.topoff_flow);
        cr_assert_float_eq(out.state.basin.amount[SALT], out.state.ledger.start[SALT], 1e-12);
        for (int i = 0; i < SPECIES_COUNT; i++)
            cr_assert_geq(out.state.basin.amount[i], 0.0, "%s", species[i].key);
        expect_balance(&p, &out, 1e-12);
    }
}

static void see_first(void *self, const struct glimpse *g)
{
    double *first = self;
    if (g->moment == MOMENT_SAMPLE && isnan(first[0])) {
        first[0] = g->t;
        first[1] = g->x[X_TANK];
    }
}

Test(run, the_first_row_is_the_start)
{
    const struct plant p = only_filling(); /* fills from the first second on */
    const struct plan plan = fixture_plan(1.0);
    double first[2] = { NAN, NAN };
    const struct observer o = { see_first, first };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(first[0], 0.0);
    cr_assert_float_eq(first[1], tank_volume(&p.tank, p.tank_start), 1e-15);
}

/* ---- repeatability and convergence -------------------------------------------------------------
 */

Test(run, gives_the_same_bits_twice)
{
    const struct plant p = fixture_random_plant(7);
    const struct plan plan = fixture_plan(20.0);
    static struct outcome a, b;
    fixture_run(&p, &plan, NULL, &a);
    fixture_run(&p, &plan, NULL, &b);
    cr_assert_eq(memcmp(&a.state, &b.state, sizeof a.state), 0);
}

Test(run, does_not_depend_on_how_often_it_is_recorded)
{
    const struct plant p = fixture_plant();
    struct plan plan = fixture_plan(30.0);
    static struct outcome a, b;
    fixture_run(&p, &plan, NULL, &a);
    plan.record = 7.0;
    fixture_run(&p, &plan, NULL, &b);
    cr_assert_eq(memcmp(&a.state, &b.state, sizeof a.state), 0, "rows only look");
}

/* The answers of 120 days that a person would ask for. */
struct answers {
    double product, drain, lowest, sodium, carbon;
};

static void see_lowest(void *self, const struct glimpse *g)
{
    double *lowest = self;
    if (g->moment == MOMENT_SAMPLE || g->moment == MOMENT_CHANGE)
        *lowest = fmin(*lowest, g->signals->tank_level);
}

static struct answers answers_of(const struct plant *p, double tolerance)
{
    struct plan plan = fixture_plan(120.0);
    plan.tolerance = tolerance;
    struct answers a = { .lowest = INFINITY };
    const struct observer o = { see_lowest, &a.lowest };
    static struct outcome out;
    fixture_run(p, &plan, &o, &out);
    a.product = out.state.x[X_PRODUCT];
    a.drain = out.state.x[X_DRAIN];
    a.sodium = plant_held(p, &out.state, SODIUM);
    a.carbon = plant_held(p, &out.state, CARBON);
    return a;
}

static void compare(const char *what, struct answers a, struct answers b, double within)
{
    const double pair[][2] = { { a.product, b.product },
                               { a.drain, b.drain },
                               { a.lowest, b.lowest },
                               { a.sodium, b.sodium },
                               { a.carbon, b.carbon } };
    static const char *const NAME[] = { "product", "drain", "lowest level", "sodium held",
                                        "carbon held" };
    for (int i = 0; i < 5; i++)
        cr_expect_lt(fabs(pair[i][0] / pair[i][1] - 1.0), within, "%s: %s moves by %.2e", what,
                     NAME[i], pair[i][0] / pair[i][1] - 1.0);
}

Test(run, does_not_move_when_tolerance_or_parcels_are_halved)
{
    struct plant p = fixture_plant();
    p.feed.temperature = (struct cycle){ 12.0, 6.0, 220.0, 0.5, 15.0 };
    const struct answers a = answers_of(&p, 1e-7);
    compare("tolerance", a, answers_of(&p, 0.5e-7), 2e-4);
    struct plant fine = p;
    fine.parcel_scale = 0.5;
    compare("parcels", a, answers_of(&fine, 1e-7), 2e-3);
}

Test(run, does_not_move_when_segments_or_cells_are_doubled)
{
    struct plant p = fixture_plant();
    const struct answers a = answers_of(&p, 1e-7);
    struct plant fine = p;
    fine.train[2].params.membrane.segments *= 2;
    compare("segments", a, answers_of(&fine, 1e-7), 5e-3);
    fine = p;
    fine.train[3].params.resin.cells *= 2;
    compare("resin cells", a, answers_of(&fine, 1e-7), 5e-3);
    fine = p;
    fine.train[1].params.carbon.cells *= 2;
    compare("carbon cells", a, answers_of(&fine, 1e-7), 1e-4);
}

/* ---- what must come out without being put in ---------------------------------------------------
 */

Test(run, cold_water_cuts_production)
{
    struct plant p = fixture_plant();
    const double mild = steady_flow(&p);
    p.feed.temperature.mean = 4.0;
    const double cold = steady_flow(&p);
    cr_assert_lt(cold, 0.8 * mild, "%g against %g", cold, mild);
    cr_assert_gt(cold, 0.6 * mild);
}

Test(run, without_a_shutoff_valve_a_float_valve_lets_concentrate_run_on)
{
    struct plant p = only_filling();
    p.fill =
        (struct fill){ .float_valve = true, .valve = { 0.7, 0.02, 2.5e-3 }, .switch_band = 5e-3 };
    struct plan plan = fixture_plan(4.0);
    plan.draws = 0;
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_eq(out.status, STATUS_OK);
    cr_assert_float_eq(out.signals.tank_level, 0.7, 1e-3);
    cr_assert_lt(out.signals.product_flow, 1e-3 * out.signals.drain_flow);
    cr_assert_gt(out.signals.drain_flow * DAY, 0.3, "hundreds of litres a day to the drain");
}

Test(run, overfilled_salt_water_freshens)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(3.0);
    break_part(&plan, "does not stop");
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_gt(out.state.x[X_BASIN_SPILL], 0.01, "it runs over its rim");
    cr_assert_lt(basin_salinity(&out.state.basin, 25.0), 30.0);
}

/* ---- wear, start-up salt, cycles ---------------------------------------------------------------
 */

static double carbon_share(const struct plant *p, const struct outcome *out, enum species i)
{
    return resin_share(&p->train[3].params.resin, &out->state.stage[3].resin, i);
}

static struct plant float_only(void)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0; /* this is about salt */
    p.fill = (struct fill){ .float_valve = true,
                            .valve = { 0.7, 0.02, 2.5e-3 },
                            .switch_band = 5e-3,
                            .stiction = 0.05,
                            .shutoff = p.fill.shutoff };
    return p;
}

/* Fills that shared a parcel shared their start-up salt: of sodium, 17 % too much was held with the
 * valve, 92 % without. */
Test(run, a_float_valve_with_or_without_shut_off_valve_does_not_move_when_parcels_are_halved)
{
    for (int valve = 0; valve < 2; valve++) {
        struct plant p = float_only();
        p.fill.shutoff_valve = valve;
        const struct answers a = answers_of(&p, 1e-7);
        for (double scale = 0.5; scale > 0.2; scale *= 0.5) {
            p.parcel_scale = scale;
            const struct answers b = answers_of(&p, 1e-7);
            compare(valve ? "with valve" : "without", a, b, 4e-3);
        }
    }
}

/* A switch that opens above where it shuts, which no scenario may say, never settles. */
Test(run, ends_where_a_switch_never_settles)
{
    struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(10.0);
    p.fill.switch_band = -0.2;
    const struct run_options none = { 0 };
    struct run_figures figures;
    char words[RUN_WORDS] = "";
    cr_assert_eq(run_simulate(&p, &plan, &none, &figures, words), STATUS_CHATTER, "%s", words);
}

Test(run, many_small_starts_cost_resin_and_diverting_gives_it_back)
{
    static struct outcome out;
    struct plan plan = fixture_plan(30.0);
    plan.draws = 0;
    struct plant few = fixture_plant();
    few.feed.c[CHLORINE] = few.feed.c[CHLORAMINE] = 0.0;
    fixture_run(&few, &plan, NULL, &out);
    const double few_starts = out.state.x[X_STARTS];
    const double few_sodium = carbon_share(&few, &out, SODIUM) / out.state.x[X_PRODUCT];

    struct plant many = few; /* a switch with a band of a millimetre or two starts all the time */
    many.fill.on_at = 0.598;
    many.fill.off_at = 0.602;
    many.fill.switch_band = 5e-4;
    fixture_run(&many, &plan, NULL, &out);
    cr_assert_gt(out.state.x[X_STARTS], 5.0 * few_starts);
    const double many_sodium = carbon_share(&many, &out, SODIUM) / out.state.x[X_PRODUCT];
    cr_assert_gt(many_sodium, 1.3 * few_sodium, "%g against %g", many_sodium, few_sodium);

    struct plant divert = many;
    divert.rinse.divert = 120.0;
    fixture_run(&divert, &plan, NULL, &out);
    const double diverted = carbon_share(&divert, &out, SODIUM) / out.state.x[X_PRODUCT];
    cr_assert_lt(diverted, 0.5 * (few_sodium + many_sodium), "%g, few starts %g, many %g", diverted,
                 few_sodium, many_sodium);
    cr_assert_gt(out.state.x[X_DIVERTED], 0.0);
}

/* Small fillings and long rests, in hard water: what matters is what stands on the membrane. */
static struct plant often_at_rest(void)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.feed.c[CALCIUM] = 3.0;
    p.feed.c[CARBON] = 6.5;
    p.feed.temperature.mean = 20.0;
    p.fill.on_at = 0.58;
    p.fill.off_at = 0.61;
    p.fill.switch_band = 5e-4;
    return p;
}

Test(run, a_rinse_with_product_at_stop_spares_resin_and_membrane)
{
    static struct outcome out;
    struct plan plan = fixture_plan(30.0);
    plan.draws = 0;
    struct plant none = often_at_rest();
    fixture_run(&none, &plan, NULL, &out);
    const double rests = out.state.x[X_STARTS];
    const double sodium = carbon_share(&none, &out, SODIUM) / out.state.x[X_PRODUCT];
    const double scale = out.state.stage[2].membrane.wear.scale / out.state.x[X_PRODUCT];
    cr_assert_gt(rests, 10.0);
    cr_assert_gt(scale, 0.0);

    struct plant feed = none;
    feed.rinse.at_stop = 60.0;
    fixture_run(&feed, &plan, NULL, &out);
    const double feed_sodium = carbon_share(&none, &out, SODIUM) / out.state.x[X_PRODUCT];
    cr_assert_eq(out.state.x[X_RINSED], 0.0);

    struct plant product = feed;
    product.rinse.with = RINSE_PERMEATE;
    product.rinse.flow = 1e-3 / 60.0;
    struct first_change f = { "rinse ends", NAN, 0 };
    const struct observer o = { see_change, &f };
    fixture_run(&product, &plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
    cr_assert_float_eq(out.state.x[X_RINSED], f.count * 1e-3, 1e-9, "a litre each, %d times",
                       f.count);
    cr_assert_gt(f.count, 10);
    const double made = out.state.x[X_PRODUCT];
    cr_assert_lt(carbon_share(&none, &out, SODIUM) / made, feed_sodium);
    cr_assert_lt(feed_sodium, sodium);
    cr_assert_lt(out.state.stage[2].membrane.wear.scale / made, 0.9 * scale);
    struct balance_row row[BALANCE_ROWS];
    balance_of(&product, &out.state, row);
    cr_assert_lt(balance_worst(row), 1e-12);
}

/* Twice the same run but for the rinse: the tank lacks just what the pump took. */
Test(run, a_rinse_with_product_costs_the_tank_flow_times_time)
{
    struct plant p = only_filling();
    p.feed.c[SOLIDS] = p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    struct plan plan = fixture_plan(2.0);
    plan.draws = 0;
    static struct outcome without, with;
    fixture_run(&p, &plan, NULL, &without);
    p.rinse.at_stop = 90.0;
    p.rinse.with = RINSE_PERMEATE;
    p.rinse.flow = 0.8e-3 / 60.0;
    fixture_run(&p, &plan, NULL, &with);
    cr_assert_float_eq(with.state.x[X_RINSED], 1.2e-3, 1e-12);
    cr_assert_float_eq(with.state.x[X_TANK], without.state.x[X_TANK] - 1.2e-3, 1e-9);
    cr_assert_float_eq(with.state.x[X_FEED], without.state.x[X_FEED],
                       1e-9 * without.state.x[X_FEED]);
}

Test(run, without_a_shut_off_valve_hundreds_of_litres_a_day_run_to_the_drain)
{
    static struct outcome out;
    const struct plan plan = fixture_plan(10.0);
    struct plant p = float_only();
    fixture_run(&p, &plan, NULL, &out);
    const double bare = out.state.x[X_DRAIN];
    p.fill.shutoff_valve = true;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_gt(bare, 5.0);
    cr_assert_lt(out.state.x[X_DRAIN], 0.1 * bare);
}

Test(run, oxidant_through_a_spent_carbon_ruins_the_membrane)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORINE] = 0.03; /* 2 mg/L */
    p.train[1].params.carbon.capacity *= 1e-3;
    struct plan plan = fixture_plan(60.0);
    plan.draw[0].every = 1.0 * DAY;
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_gt(out.state.stage[2].membrane.wear.dose, 0.0);
    const double dose = 1e3 * out.state.stage[2].membrane.wear.dose / 3600.0; /* mg/L h */
    cr_assert_gt(dose, 300.0, "%g", dose);
    cr_assert_gt(plant_standard_passage(&p, &out.state), 1.2, "%g at %g mg/L h",
                 plant_standard_passage(&p, &out.state), dose);
}

Test(run, rules_renew_what_a_person_finds_due)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(100.0);
    plan.visits.every = 10.0 * DAY;
    plan.visits.delay = 2.0 * DAY;
    plan.rule[0].calendar = 25.0 * DAY;
    struct first_change f = { "replace", NAN, 0 };
    const struct observer o = { see_change, &f };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(f.at, 32.0 * DAY, "found on day 30, new on day 32: %g", f.at / DAY);
    cr_assert_eq(f.count, 3, "and on days 62 and 92");
}

/* Replacements of a stage, and what had been made by each. */
struct put_in {
    const char *part;
    int count;
    double made[64];
};

static void see_put_in(void *self, const struct glimpse *g)
{
    struct put_in *s = self;
    if (g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0 &&
        strcmp(g->change->part, s->part) == 0 && s->count < 64)
        s->made[s->count++] = g->x[X_PRODUCT] + g->x[X_DIVERTED];
}

static void watch_rules(const struct plant *p, const struct plan *plan, struct put_in *seen)
{
    const struct observer o = { see_put_in, seen };
    static struct outcome out;
    fixture_run(p, plan, &o, &out);
}

Test(run, the_meter_behind_the_first_of_two_beds_is_its_own)
{
    struct plant p = fixture_plant();
    p.train[4] = p.train[3];
    p.stages = 5;
    snprintf(p.train[3].name, sizeof p.train[3].name, "first");
    p.train[3].params.resin.volume = 1e-4;
    struct plan plan = fixture_plan(200.0);
    plan.visits.every = 10.0 * DAY;
    plan.rule[4] = plan.rule[3];
    plan.rule[3].reading = 3e-3;
    plan.rule[4].reading = 3e-3;
    struct put_in first = { .part = "first" }, second = { .part = p.train[4].name };
    watch_rules(&p, &plan, &first);
    cr_assert_gt(first.count, 1, "a small bed ends again and again");
    watch_rules(&p, &plan, &second);
    cr_assert_eq(second.count, 0, "what it lets through the second takes");
}

Test(run, a_strip_behind_the_carbon_tells_without_a_membrane)
{
    struct plant p = fixture_plant();
    p.stages = 2;
    p.membrane = -1;
    p.train[1].params.carbon.capacity = 1e-4;
    p.feed.c[CHLORINE] = 0.0141; /* 1 mg/L */
    struct plan plan = fixture_plan(100.0);
    plan.visits.every = 10.0 * DAY;
    plan.rule[1].oxidant = 0.5e-3;
    struct put_in carbon = { .part = p.train[1].name };
    watch_rules(&p, &plan, &carbon);
    cr_assert_gt(carbon.count, 0, "0.1 g of chlorine are in 100 L");
}

Test(run, a_new_cartridge_is_not_due_by_the_water_of_the_old_one)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.train[3].params.resin.volume = 5e-5;
    struct plan plan = fixture_plan(300.0);
    plan.draw[0].every = 20.0 * DAY;
    plan.visits.every = 5.0 * DAY;
    plan.rule[3].reading = 2e-3;
    struct put_in resin = { .part = p.train[3].name };
    watch_rules(&p, &plan, &resin);
    cr_assert_gt(resin.count, 2, "%d", resin.count);
    for (int i = 1; i < resin.count; i++)
        cr_expect_gt(resin.made[i], resin.made[i - 1] + 1e-3, "number %d", i);
}

/* The life of one membrane: the run is stopped when it is replaced. */
struct life {
    volatile sig_atomic_t over;
    double t, x[X_COUNT];
};

static void see_life(void *self, const struct glimpse *g)
{
    struct life *l = self;
    if (l->over)
        return;
    l->t = g->t;
    memcpy(l->x, g->x, sizeof l->x);
    l->over = g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0;
}

/* Invented: a membrane without a cartridge before it on a water with 0.2 mg/L of fine solids, 60 L
 * a day, two minutes of rinse every so often; replaced at 0.85 of its flow. */
static struct life life_of_a_fouling_membrane(double rinse_every)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.train[0] = p.train[p.membrane];
    p.stages = 1;
    p.membrane = 0;
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.feed.c[SOLIDS] = 0.2e-3;
    p.fill.on_at = 0.35;
    p.solenoid_power = 8.0;
    p.rinse.every = rinse_every;
    p.rinse.every_for = 120.0;
    p.rinse.bypass = 3.0;
    struct plan plan = fixture_plan(1000.0);
    plan.record = DAY;
    plan.draw[0] = (struct draw){ 60e-3, DAY, 9.0 * 3600.0, 10e-3 / 60.0 };
    plan.visits.every = 6.0 * 3600.0;
    plan.rule[0].flow = 0.85;
    struct life life = { 0 };
    const struct observer o = { see_life, &life };
    const struct run_options options = { .observers = &o, .observer_count = 1, .stop = &life.over };
    struct run_figures figures;
    char words[RUN_WORDS];
    run_simulate(&p, &plan, &options, &figures, words);
    cr_assert(life.over, "it is replaced within %g days", plan.length / DAY);
    return life;
}

/* What a year costs in money: water, sewer and electricity at the default prices of a scenario, and
 * membranes at 40 each (invented). */
static double yearly_cost(const struct life *l)
{
    const double spent =
        1.908 * l->x[X_FEED] + 2.138 * l->x[X_DRAIN] + 0.17 / 3.6e6 * l->x[X_ENERGY] + 40.0;
    return spent * 365.25 * DAY / l->t;
}

Test(run, rinsing_too_rarely_and_too_often_both_cost_more)
{
    static const double hours[] = { 0.1, 0.3, 1.0, 3.0, 10.0, 100.0 };
    enum { INTERVALS = sizeof hours / sizeof *hours, MIDDLE = 2 };
    double cost[INTERVALS], days[INTERVALS], feed[INTERVALS];
    for (int i = 0; i < INTERVALS; i++) {
        const struct life l = life_of_a_fouling_membrane(3600.0 * hours[i]);
        cost[i] = yearly_cost(&l);
        days[i] = l.t / DAY;
        feed[i] = l.x[X_FEED] / l.x[X_PRODUCT];
        cr_log_info("every %5.1f h of making: %4.0f days, %.2f L of feed a litre, %.0f a year",
                    hours[i], days[i], feed[i], cost[i]);
        if (i > 0) { /* what pulls to the two sides */
            cr_expect_lt(days[i], days[i - 1], "the membrane lasts less long");
            cr_expect_lt(feed[i], feed[i - 1], "less water goes to the drain");
        }
    }
    for (int i = 0; i < INTERVALS; i++)
        cr_expect(i == MIDDLE || cost[i] > cost[MIDDLE], "every %g h", hours[i]);
    /* a decade to either side */
    cr_expect_gt(cost[0], 1.1 * cost[MIDDLE], "too often: %g", cost[0] / cost[MIDDLE]);
    cr_expect_gt(cost[4], 1.1 * cost[MIDDLE], "too rarely: %g", cost[4] / cost[MIDDLE]);
    cr_expect_gt(cost[5], cost[4]);
}

Test(run, open_pure_water_takes_up_carbon_dioxide)
{
    struct plant p = fixture_plant();
    p.open_to_air = true;
    const struct plan plan = fixture_plan(20.0);
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double co2 = out.state.tank.amount[CARBON] / out.state.x[X_TANK];
    cr_assert_gt(co2, 0.5 * gas_equilibrium(&p.gas, 20.0), "%g mol/m3", co2);
    struct balance_row row[BALANCE_ROWS];
    balance_of(&p, &out.state, row);
    cr_assert_lt(balance_worst(row), 1e-12);
}

/* Fresh water through a full vessel: S = S0 exp(-v/V) from the rim on (storage handbook form),
 * whatever the parcels. */
Test(run, an_overfill_freshens_by_the_closed_form_whatever_the_parcels)
{
    struct plan plan = fixture_plan(2.0);
    plan.draws = 0;
    break_part(&plan, "does not stop");
    for (int k = 0; k < 3; k++) {
        struct plant p = fixture_plant();
        p.parcel_scale = k == 0 ? 1.0 : k == 1 ? 0.1 : 4.0;
        p.tank_start = 0.75;
        static struct outcome out;
        fixture_run(&p, &plan, NULL, &out);
        const double rim = basin_rim_volume(&p.basin), spilled = out.state.x[X_BASIN_SPILL];
        const double start = 1e-3 * 35.0 * water_sea_density(35.0, 25.0) * p.basin.volume;
        cr_assert_gt(spilled, 0.03);
        cr_assert_float_eq(out.state.basin.amount[SALT], start * exp(-spilled / rim), 1e-9 * start,
                           "scale %g: %g kg of %g", p.parcel_scale, out.state.basin.amount[SALT],
                           start * exp(-spilled / rim));
    }
}
