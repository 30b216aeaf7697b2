/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The bladder tank in the plant, and the top-off's hose that runs by itself: filling times and
 * draining against closed forms, water and elements, events.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "at.h"
#include "fixture.h"
#include "models/plant_flow.h"
#include "sim/balance.h"

static const double HOUR = 3600.0, DAY = 86400.0;

static struct outcome out;

/* A float valve alone stops the product; a bladder in front of it; no oxidant, no wear. */
static struct plant with_bladder(void)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = p.feed.c[SOLIDS] = 0.0;
    p.train[p.membrane].params.membrane.wear.on = false;
    p.fill = (struct fill){ .float_valve = true,
                            .valve = { 0.7, 0.02, 2.5e-3 },
                            .switch_band = 5e-3,
                            .stiction = 0.05,
                            .shutoff = p.fill.shutoff };
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    fixture_presets(&p.bladder, bladder_fields);
    p.bladder.precharge_loss = 0.0;
    p.has_bladder = true;
    return p;
}

static struct plan quiet(double days)
{
    struct plan plan = fixture_plan(days);
    plan.draws = 0;
    return plan;
}

static int mode_of(const char *part, const char *mode)
{
    int k = 0;
    while (strcmp(fault_modes[k].part, part) != 0 || strcmp(fault_modes[k].mode, mode) != 0)
        k++;
    return k;
}

static void at(struct plan *plan, double t, enum event_kind kind)
{
    plan->event[plan->events++] = (struct event){ .at = t, .kind = kind };
}

static void fault(struct plan *plan, double t, const char *part, const char *mode, double amount)
{
    const int k = mode_of(part, mode);
    plan->event[plan->events++] =
        (struct event){ t, EVENT_FAULT, k,
                        isnan(fault_modes[k].value) ? amount : fault_modes[k].value };
}

struct log {
    const char *kind;
    int count;
    double first, last; /* s */
    struct state state; /* at the first */
};

static void see(void *self, const struct glimpse *g)
{
    struct log *l = self;
    if (g->moment != MOMENT_CHANGE || strcmp(g->change->kind, l->kind) != 0)
        return;
    if (l->count++ == 0) {
        l->first = g->t;
        l->state = *g->state;
    }
    l->last = g->t;
}

static void run_logged(const struct plant *p, const struct plan *plan, struct log *l,
                       const char *kind)
{
    memset(l, 0, sizeof *l);
    l->kind = kind;
    l->first = l->last = NAN;
    const struct observer o = { see, l };
    fixture_run(p, plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
}

static void assert_balanced(const struct plant *p, double within, const char *what)
{
    struct balance_row row[BALANCE_ROWS];
    balance_of(p, &out.state, row);
    for (int i = 0; i < BALANCE_ROWS; i++)
        cr_assert_lt(fabs(row[i].error), within, "%s: %s %g", what, row[i].name, row[i].error);
}

static double made_against(const struct plant *p, double pressure)
{
    static struct state state;
    struct settings set;
    settings_init(&set);
    set.bladder_holds = true;
    plant_start(p, &state);
    const struct flow_inlet in = { p->feed.temperature.mean, p->feed.pressure.mean, 0.0, true,
                                   pressure };
    return plant_flow(p, &set, &state, &in).product;
}

/* ---- filling -----------------------------------------------------------------------------------
 */

/* The tank is full, the float shut: the membrane fills the bladder, and what it makes against a
 * pressure is nearly a straight line.  Against the closed form with the line through both ends. */
Test(plant_bladder, fills_in_the_time_of_the_closed_form)
{
    struct plant p = with_bladder();
    p.tank_start = 0.72;
    for (int i = 0; i < SPECIES_COUNT; i++)
        p.feed.c[i] *= 1e-3; /* hardly any osmotic pressure: a straight line */
    const double low = p.bladder.precharge, high = 2.2e5;
    const double q0 = made_against(&p, low), q1 = made_against(&p, high);
    const double k = (q0 - q1) / (high - low), p_max = low + q0 / k;
    const double to = bladder_stored(&p.bladder, high);
    const double t = bladder_fill_time(&p.bladder, k, p_max, 0.0, to);
    struct plan plan = quiet(t / DAY);
    plan.tolerance = 1e-9;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(out.state.x[X_BLADDER], to, 3e-3 * to, "%g L instead of %g after %g h",
                       1e3 * out.state.x[X_BLADDER], 1e3 * to, t / HOUR);
    cr_assert_float_eq(out.signals.bladder_pressure, high, 5e-3 * high);
    cr_assert_eq(out.state.x[X_DELIVERED], 0.0);
    assert_balanced(&p, 1e-12, "filling");
}

/* The same by Runge and Kutta's method over what the plant makes, osmotic pressure and all. */
Test(plant_bladder, fills_as_an_independent_integration_does)
{
    struct plant p = with_bladder();
    p.tank_start = 0.72;
    struct plan plan = quiet(2.0 / 24.0);
    plan.tolerance = 1e-9;
    fixture_run(&p, &plan, NULL, &out);
    double w = 0.0;
    const int steps = 200;
    const double dt = plan.length / steps;
    for (int i = 0; i < steps; i++) {
        const double a = made_against(&p, bladder_pressure(&p.bladder, w));
        const double b = made_against(&p, bladder_pressure(&p.bladder, w + 0.5 * dt * a));
        const double c = made_against(&p, bladder_pressure(&p.bladder, w + 0.5 * dt * b));
        const double d = made_against(&p, bladder_pressure(&p.bladder, w + dt * c));
        w += dt / 6.0 * (a + 2.0 * b + 2.0 * c + d);
    }
    cr_assert_float_eq(out.state.x[X_BLADDER], w, 1e-6 * w, "%.9g instead of %.9g",
                       out.state.x[X_BLADDER], w);
}

Test(plant_bladder, while_the_float_is_open_it_stays_empty_and_changes_nothing)
{
    struct plant p = with_bladder();
    p.tank_start = 0.2;
    const struct plan plan = quiet(0.5);
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_eq(out.state.x[X_BLADDER], 0.0);
    static struct outcome with;
    with = out;
    p.has_bladder = false;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(with.state.x[X_TANK], out.state.x[X_TANK], 1e-15);
    for (int i = 0; i < SPECIES_COUNT; i++)
        cr_assert_float_eq(with.state.tank.amount[i], out.state.tank.amount[i],
                           1e-9 * out.state.tank.amount[i] + 1e-18, "%s", species[i].key);
}

/* ---- after the feed is shut --------------------------------------------------------------------
 */

/* The bladder is full and the float sticks open when somebody has shut the feed: all that it holds
 * runs into the tank, in the time that an independent quadrature of dw/Q(w) takes. */
Test(plant_bladder, goes_on_filling_the_tank_after_the_feed_is_shut)
{
    struct plant p = with_bladder();
    p.tank_start = 0.5;
    p.bladder.first = 6e-3;
    struct plan plan = quiet(0.25);
    plan.tolerance = 1e-9;
    at(&plan, 0.0, EVENT_HAND_SHUT);
    struct log l;
    run_logged(&p, &plan, &l, "bladder empty");
    cr_assert_eq(l.count, 1);
    const double before = tank_volume(&p.tank, 0.5);
    cr_assert_float_eq(out.state.x[X_TANK] - before, 6e-3, 1e-12, "all of it");
    cr_assert_float_eq(out.state.x[X_BLADDER], 0.0, 1e-12);
    cr_assert_eq(out.state.x[X_FEED], 0.0);
    assert_balanced(&p, 1e-12, "blowdown");

    static struct state state;
    struct settings set;
    settings_init(&set);
    set.hand_valve = false;
    set.bladder_holds = true;
    plant_start(&p, &state);
    double t = 0.0;
    const int parts = 2000;
    for (int i = 0; i < parts; i++) {
        const double w = 6e-3 * (i + 0.5) / parts;
        const struct flow_inlet in = { p.feed.temperature.mean, p.feed.pressure.mean, 1.0, true,
                                       bladder_pressure(&p.bladder, w) };
        t += 6e-3 / parts / plant_flow(&p, &set, &state, &in).delivered;
    }
    cr_assert_float_eq(l.first, t, 1e-5 * t, "%.6g s instead of %.6g", l.first, t);
}

/* No precharge, a long thin tube alone: laminar, Q = p/R, and dw/dt = -(P0 V/(V - w) - P0)/R with
 * P0 the outside air has a closed form: t = R/P0 (V ln(w0/w1) - (w0 - w1)). */
Test(plant_bladder, runs_out_through_a_thin_tube_in_the_time_of_the_closed_form)
{
    struct plant p = with_bladder();
    p.stages = 3; /* no resin */
    p.fill.float_valve = false;
    p.fill.switches = true;
    p.fill.on_at = 0.1;
    p.fill.off_at = 0.7;
    p.tank_start = 0.3;
    p.line = (struct line){ 6e-3, 200.0, 2e-3, 0.0, 0.0 };
    p.bladder.precharge = 0.0;
    p.bladder.first = 4e-3;
    struct plan plan = quiet(1.0);
    plan.tolerance = 1e-10;
    fixture_run(&p, &plan, NULL, &out);
    const double w0 = 4e-3, w1 = out.state.x[X_BLADDER], V = p.bladder.volume;
    const struct fluid water = water_fluid(p.feed.temperature.mean);
    const double R = 128.0 * water.viscosity * 200.0 / (M_PI * pow(2e-3, 4.0));
    const double t = R / p.bladder.atmosphere * (V * log(w0 / w1) - (w0 - w1));
    cr_assert_lt(w1, 0.5 * w0, "%g", w1);
    cr_assert_float_eq(t, plan.length, 1e-6 * plan.length, "%g s instead of %g", t, plan.length);
}

Test(plant_bladder, a_float_that_shuts_keeps_the_rest_in_it)
{
    struct plant p = with_bladder();
    p.tank_start = 0.69;
    p.bladder.first = 6e-3;
    struct plan plan = quiet(0.5);
    at(&plan, 0.0, EVENT_SUPPLY_OFF);
    fixture_run(&p, &plan, NULL, &out);
    const double room = tank_volume(&p.tank, 0.7) - tank_volume(&p.tank, 0.69);
    const double given = 6e-3 - out.state.x[X_BLADDER];
    cr_assert_gt(given, 0.9 * room);
    cr_assert_lt(given, room);
    cr_assert_gt(out.state.x[X_BLADDER], 3e-3);
    assert_balanced(&p, 1e-12, "float shut");
}

/* What a protection cannot stop: the high switch shuts the feed, the float sticks open, and the
 * bladder spills over the rim. */
Test(plant_bladder, spills_what_no_solenoid_can_stop)
{
    struct plant p = with_bladder();
    p.fill.high_switch = true;
    p.fill.high_at = 0.79;
    p.tank_start = 0.79;
    p.bladder.first = 6e-3;
    struct plan plan = quiet(1.0);
    fault(&plan, 0.0, "float valve", "sticks open", 0.0);
    fixture_run(&p, &plan, NULL, &out);
    const double room = tank_full(&p.tank) - tank_volume(&p.tank, 0.79);
    cr_assert_eq(out.state.x[X_FEED], 0.0, "the solenoid is shut all the time");
    cr_assert_float_eq(out.state.x[X_SPILL], 6e-3 - room, 1e-9);
    assert_balanced(&p, 1e-12, "spill");
}

/* ---- the shut-off valve ------------------------------------------------------------------------
 */

static struct plant cycling(double volume)
{
    struct plant p = with_bladder();
    p.fill.shutoff_valve = true;
    p.tank_start = 0.72;
    p.bladder.volume = volume;
    return p;
}

/* A weep of the float empties the bladder between two fillings: period and duty by quadrature. */
Test(plant_bladder, a_weep_makes_the_valve_cycle_as_the_quadrature_says)
{
    struct plant p = cycling(12e-3);
    p.tank.height = 2.0;
    struct plan plan = quiet(20.0);
    plan.tolerance = 1e-9;
    fault(&plan, 0.0, "float valve", "weeps", 2e-3);
    struct log l;
    run_logged(&p, &plan, &l, "valve shut");
    const double period = (l.last - l.first) / (l.count - 1);

    static struct state state;
    struct settings set;
    settings_init(&set);
    set.bladder_holds = true;
    set.health.float_weep = 2e-3;
    plant_start(&p, &state);
    state.osmolarity = out.state.osmolarity;
    const double feed = p.feed.pressure.mean, check = p.line.check_opening;
    const double w0 = bladder_stored(&p.bladder, p.fill.shutoff.reopen_ratio * feed - check);
    const double w1 = bladder_stored(&p.bladder, p.fill.shutoff.close_ratio * feed - check);
    double open = 0.0, shut = 0.0;
    const int parts = 2000;
    for (int i = 0; i < parts; i++) {
        const double w = w0 + (w1 - w0) * (i + 0.5) / parts;
        const struct flow_inlet in = { p.feed.temperature.mean, feed, 2e-3, true,
                                       bladder_pressure(&p.bladder, w) };
        set.shutoff_shut = false;
        const struct plant_flow f = plant_flow(&p, &set, &state, &in);
        open += (w1 - w0) / parts / (f.product - f.delivered);
        set.shutoff_shut = true;
        shut += (w1 - w0) / parts / plant_flow(&p, &set, &state, &in).delivered;
    }
    cr_assert_gt(l.count, 5);
    cr_assert_float_eq(period, open + shut, 1e-4 * period, "%g s instead of %g (%g open)", period,
                       open + shut, open);
    assert_balanced(&p, 1e-9, "cycles");
}

/* A bladder of any size against the averaged cycles of a line that takes up as much between the two
 * pressures.  Starts within 1 %, what comes out within 1 %, duty and drain within 1.5 %: the
 * averaged cycle takes membrane and outlet as a straight line and an orifice, and air for a spring.
 */
Test(plant_bladder, its_cycles_join_the_averaged_ones)
{
    for (double weep = 3e-4; weep < 6e-3; weep *= 4.0)
        for (double volume = 0.1e-3; volume < 15e-3; volume *= 5.0) {
            struct plant p = cycling(volume);
            p.tank.height = 4.0;
            const double feed = p.feed.pressure.mean, check = p.line.check_opening;
            const double low = p.fill.shutoff.reopen_ratio * feed - check;
            const double high = p.fill.shutoff.close_ratio * feed - check;
            p.bladder.first = bladder_stored(&p.bladder, 0.5 * (low + high));
            struct plan plan = quiet(volume < 1e-3 ? 1.0 : 20.0);
            fault(&plan, 0.0, "float valve", "weeps", weep);
            fixture_run(&p, &plan, NULL, &out);
            static struct outcome resolved;
            resolved = out;
            p.fill.shutoff.give = bladder_drawdown(&p.bladder, high, low) / (high - low) * 1e5;
            p.has_bladder = false;
            fixture_run(&p, &plan, NULL, &out);
            const struct {
                const char *what;
                int x;
                double within, counted;
            } rows[] = { { "starts", X_STARTS, 1e-2, 1.0 },
                         { "delivered", X_DELIVERED, 1e-2, 0.0 },
                         { "running", X_RUNNING, 1.5e-2, 0.0 },
                         { "drain", X_DRAIN, 1.5e-2, 0.0 } };
            for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
                const double got = resolved.state.x[rows[i].x], mean = out.state.x[rows[i].x];
                cr_assert_float_eq(got, mean, rows[i].within * mean + rows[i].counted,
                                   "%s, weep %g, %g L: %g, averaged %g", rows[i].what, weep,
                                   1e3 * volume, got, mean);
            }
        }
}

Test(plant_bladder, a_tight_float_lets_the_valve_rest)
{
    struct plant p = cycling(12e-3);
    const struct plan plan = quiet(5.0);
    struct log l;
    run_logged(&p, &plan, &l, "valve shut");
    cr_assert_eq(l.count, 1, "shut once, %d", l.count);
    cr_assert_eq(out.signals.feed_flow, 0.0);
    cr_assert_lt(out.figures.events, 20);
    const double high = p.fill.shutoff.close_ratio * p.feed.pressure.mean - p.line.check_opening;
    cr_assert_float_eq(out.state.x[X_BLADDER], bladder_stored(&p.bladder, high), 1e-9);

    struct plan broken = plan;
    fault(&broken, 0.0, "shut-off valve", "never closes", 0.0);
    fixture_run(&p, &broken, NULL, &out);
    cr_assert_gt(out.signals.drain_flow * DAY, 0.3, "hundreds of litres a day");
}

/* The feed pressure rises in the night: the valve opens for it though nothing was drawn. */
Test(plant_bladder, a_rise_of_the_feed_pressure_opens_the_valve)
{
    struct plant p = cycling(12e-3);
    p.feed.pressure.daily = 0.15 * p.feed.pressure.mean;
    p.feed.pressure.peak_hour = 12.0; /* it closes while the pressure is low */
    struct plan plan = quiet(4.0);
    plan.tolerance = 1e-9;
    struct log l;
    run_logged(&p, &plan, &l, "valve open");
    cr_assert_geq(l.count, 1, "%d", l.count);
    const double feed = cycle_at(&p.feed.pressure, 0.0, l.first);
    const double stored =
        bladder_stored(&p.bladder, p.fill.shutoff.reopen_ratio * feed - p.line.check_opening);
    cr_assert_float_eq(l.state.x[X_BLADDER], stored, 1e-9, "%g instead of %g L",
                       1e3 * l.state.x[X_BLADDER], 1e3 * stored);
    cr_assert_lt(out.figures.events, 100, "no chatter: %ld", out.figures.events);
}

/* ---- faults ------------------------------------------------------------------------------------
 */

/* A check valve that leaks while the feed is shut: dw/dt = -L p(w), Boyle's law in closed form:
 * with no precharge t = (V ln(w0/w1) - (w0 - w1))/(L P0). */
Test(plant_bladder, runs_back_through_a_leaking_check_valve_by_the_closed_form)
{
    struct plant p = with_bladder();
    p.tank_start = 0.75;
    p.bladder.precharge = 0.0;
    p.bladder.first = 6e-3;
    struct plan plan = quiet(1.0);
    plan.tolerance = 1e-10;
    at(&plan, 0.0, EVENT_SUPPLY_OFF);
    fault(&plan, 0.0, "check valve", "leaks back", 3e-6 / 60.0);
    fixture_run(&p, &plan, NULL, &out);
    const double w0 = 6e-3, w1 = out.state.x[X_BLADDER], L = 3e-6 / 60.0 / 1e5;
    const double t = (p.bladder.volume * log(w0 / w1) - (w0 - w1)) / (L * p.bladder.atmosphere);
    cr_assert_float_eq(t, plan.length, 1e-6 * plan.length, "%g s instead of %g", t, plan.length);
    cr_assert_float_eq(out.state.x[X_DRAIN], w0 - w1, 1e-12);
    cr_assert_float_eq(out.state.x[X_LEAKED], w0 - w1, 1e-12);
    assert_balanced(&p, 1e-12, "leak");
}

Test(plant_bladder, waterlogged_it_is_as_good_as_absent)
{
    struct plant p = cycling(12e-3);
    struct plan plan = quiet(2.0);
    fault(&plan, 0.0, "float valve", "weeps", 2e-3);
    struct plan logged = plan;
    fault(&logged, 0.0, "bladder tank", "waterlogged", 0.0);
    fixture_run(&p, &logged, NULL, &out);
    cr_assert_eq(out.state.x[X_BLADDER], 0.0);
    const double starts = out.state.x[X_STARTS];
    cr_assert_gt(starts, 1000.0, "short cycles");
    p.has_bladder = false;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(starts, out.state.x[X_STARTS], 1.5, "%g, %g", starts, out.state.x[X_STARTS]);
}

Test(plant_bladder, without_its_air_it_holds_more_and_gives_less_above_a_pressure)
{
    struct plant p = cycling(12e-3);
    struct plan plan = quiet(3.0);
    fixture_run(&p, &plan, NULL, &out);
    const double held = out.state.x[X_BLADDER];
    fault(&plan, 0.0, "bladder tank", "loses its air", 0.2);
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_gt(out.state.x[X_BLADDER], 1.02 * held, "%g against %g", out.state.x[X_BLADDER],
                 held);
    struct plan late = quiet(3.0);
    fault(&late, 1.5 * DAY, "bladder tank", "loses its air", 0.2);
    fixture_run(&p, &late, NULL, &out);
    const double high = p.fill.shutoff.close_ratio * p.feed.pressure.mean - p.line.check_opening;
    p.bladder.precharge *= 0.2;
    cr_assert_float_eq(out.state.x[X_BLADDER], bladder_stored(&p.bladder, high), 1e-9,
                       "it fills up again");
}

/* ---- all of it ---------------------------------------------------------------------------------
 */

Test(plant_bladder, conserves_water_and_every_element_in_random_plants)
{
    int held = 0, cycled = 0, leaked = 0, siphoned = 0;
    for (unsigned long seed = 1; seed <= 120; seed++) {
        struct plant p = fixture_random_plant(seed);
        unsigned long r = seed;
        if (p.membrane < 0)
            continue;
        fixture_presets(&p.bladder, bladder_fields);
        p.has_bladder = true;
        p.bladder.volume = 1e-3 + 20e-3 * fixture_random(&r);
        p.bladder.precharge = 1e5 * fixture_random(&r);
        p.bladder.first = 0.3 * p.bladder.volume * fixture_random(&r);
        p.fill.float_valve = fixture_random(&r) < 0.8;
        p.fill.stiction = 0.05;
        if (fixture_random(&r) < 0.5)
            p.fill.switches = false;
        if (p.topoff.kind == TOPOFF_PUMP) {
            p.topoff.hose_end = 0.6 * fixture_random(&r);
            p.topoff.hose_bore = 3e-3;
            p.topoff.hose_length = 2.0;
            p.topoff.siphon_break = fixture_random(&r) < 0.5;
        }
        struct plan plan = fixture_plan(8.0);
        plan.draw[0].first = 1.0 * DAY;
        plan.draw[0].every = 2.0 * DAY;
        plan.draw[0].take = 20e-3;
        for (int k = 0; fault_modes[k].part && plan.events < 8; k++)
            if (fault_applies(&p, &fault_modes[k]) && (seed * 7 + (unsigned long)k) % 4 == 0)
                plan.event[plan.events++] = (struct event){ (3.0 + plan.events * 0.5) * DAY,
                                                            EVENT_FAULT, k, fault_modes[k].preset };
        struct log l;
        run_logged(&p, &plan, &l, "siphon");
        siphoned += l.count;
        char name[32];
        snprintf(name, sizeof name, "seed %lu", seed);
        assert_balanced(&p, 1e-9, name);
        for (int i = 0; i < SPECIES_COUNT; i++)
            cr_assert_geq(out.state.bladder.amount[i], 0.0, "seed %lu: %s", seed, species[i].key);
        held += out.state.x[X_BLADDER] > 1e-4;
        cycled += out.state.x[X_DELIVERED] != out.state.x[X_PRODUCT];
        leaked += out.state.x[X_LEAKED] > 0.0;
        cr_assert_lt(out.figures.events, 20000, "seed %lu: %ld events", seed, out.figures.events);
    }
    cr_assert_gt(held, 20, "%d", held);
    cr_assert_gt(cycled, 20, "%d", cycled);
    cr_assert_gt(leaked, 5, "%d", leaked);
    cr_assert_gt(siphoned, 20, "%d", siphoned);
}

Test(plant_bladder, does_not_move_when_tolerance_or_parcels_are_halved)
{
    struct plant p = cycling(12e-3);
    p.tank_start = 0.6;
    struct plan plan = fixture_plan(20.0);
    plan.draw[0] = (struct draw){ 15e-3, 1.0 * DAY, 0.5 * DAY, 8e-3 / 60.0 };
    plan.tolerance = 1e-7;
    fixture_run(&p, &plan, NULL, &out);
    static struct outcome coarse;
    coarse = out;
    plan.tolerance = 1e-9;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_float_eq(coarse.state.x[X_PRODUCT], out.state.x[X_PRODUCT],
                       1e-4 * out.state.x[X_PRODUCT]);
    cr_assert_float_eq(coarse.state.x[X_BLADDER], out.state.x[X_BLADDER],
                       1e-3 * out.state.x[X_BLADDER]);
    plan.tolerance = 1e-7;
    double sodium[2];
    for (int i = 0; i < 2; i++) {
        p.parcel_scale = 0.25 / (1 + i);
        fixture_run(&p, &plan, NULL, &out);
        sodium[i] = plant_held(&p, &out.state, SODIUM);
    }
    cr_assert_float_eq(sodium[0], sodium[1], 5e-4 * sodium[1], "%g against %g", sodium[0],
                       sodium[1]);
    /* parcels as they are: two fillings in one parcel share their salt */
    const double usual = plant_held(&p, &coarse.state, SODIUM);
    cr_assert_float_eq(usual, sodium[1], 1.5e-2 * sodium[1], "%g against %g", usual, sodium[1]);
}

/* ---- the hose that runs by itself --------------------------------------------------------------
 */

/* Served water far below its rim, a hose that ends at 0.2 m above the floor of the tank; the feed
 * is cut off, so that the tank only loses. */
static struct plant with_hose(double bore, double length)
{
    struct plant p = fixture_plant();
    p.basin.freeboard = 1.0;
    p.basin.open_surface = 1e-3;
    p.basin.draught.mean = 0.0;
    p.topoff.hose_end = 0.2;
    p.topoff.hose_bore = bore;
    p.topoff.hose_length = length;
    p.topoff.siphon_break = false;
    return p;
}

static struct plan dry_supply(double days)
{
    struct plan plan = quiet(days);
    at(&plan, 0.0, EVENT_SUPPLY_OFF);
    return plan;
}

/* The pump is made to run from the start and mended a minute later: then the hose goes on. */
static void pump_a_minute(struct plan *plan)
{
    fault(plan, 0.0, "top-off pump", "does not stop", 0.0);
    plan->event[plan->events++] = (struct event){
        .at = 60.0, .kind = EVENT_MEND, .which = mode_of("top-off pump", "does not stop")
    };
}

/* Laminar: Q = pi d^4 rho g h/(128 mu L), so that h falls as exp(-t/T), T = A 128 mu L/(pi d^4 rho
 * g); it ends a millimetre above the hose's end. */
Test(siphon, empties_the_tank_to_the_end_of_the_hose_in_the_time_of_the_closed_form)
{
    struct plant p = with_hose(3e-3, 20.0);
    struct plan plan = dry_supply(30.0);
    plan.tolerance = 1e-9;
    pump_a_minute(&plan);
    struct log l;
    run_logged(&p, &plan, &l, "siphon ends");
    const struct fluid w = water_fluid(p.tank_temperature);
    const double area = M_PI / 4.0 * 0.25;
    const double T =
        area * 128.0 * w.viscosity * 20.0 / (M_PI * pow(3e-3, 4.0) * w.density * 9.80665);
    const double h0 = p.tank_start - 60.0 * p.topoff.flow / area - p.topoff.hose_end;
    const double t = 60.0 + T * log(h0 / 1e-3);
    cr_assert_eq(l.count, 1);
    cr_assert_float_eq(l.first, t, 3e-3 * t, "%g s instead of %g", l.first, t);
    cr_assert_float_eq(out.signals.tank_level, p.topoff.hose_end + 1e-3, 1e-9);
    assert_balanced(&p, 1e-12, "hose");
}

/* A short wide hose: entrance, exit and turbulent friction, by quadrature of A dh/Q(h). */
Test(siphon, a_wide_hose_agrees_with_a_quadrature)
{
    struct plant p = with_hose(8e-3, 1.5);
    struct plan plan = dry_supply(3.0);
    plan.tolerance = 1e-9;
    pump_a_minute(&plan);
    struct log l;
    run_logged(&p, &plan, &l, "siphon ends");
    const double area = M_PI / 4.0 * 0.25;
    const double top = p.tank_start - 60.0 * p.topoff.flow / area;
    const double end = p.topoff.hose_end + 1e-3;
    double t = 60.0;
    const int parts = 20000;
    for (int i = 0; i < parts; i++)
        t += area * (top - end) / parts /
             plant_siphon_flow(&p, end + (top - end) * (i + 0.5) / parts);
    cr_assert_float_eq(l.first, t, 1e-4 * t, "%g s instead of %g", l.first, t);
}

/* 2 m of hose, 0.5 m of head: 0.60, 1.65 and 4.68 L/min for bores of 4.32, 6.35 and 9.5 mm by
 * Blasius's law and 1.5 velocity heads (computed, storage handbook form; 20 % where it is neither
 * laminar nor turbulent). */
Test(siphon, passes_what_the_friction_law_says)
{
    const double bore[] = { 4.32e-3, 6.35e-3, 9.5e-3 }, flow[] = { 0.60, 1.65, 4.68 };
    const double within[] = { 0.2, 0.06, 0.06 };
    for (int i = 0; i < 3; i++) {
        struct plant p = with_hose(bore[i], 2.0);
        const double got = 60e3 * plant_siphon_flow(&p, 0.7);
        cr_assert_float_eq(got, flow[i], within[i] * flow[i], "%g mm: %g L/min", 1e3 * bore[i],
                           got);
    }
    const struct plant p = with_hose(6e-3, 2.0);
    cr_assert_eq(plant_siphon_flow(&p, 0.2), 0.0);
    cr_assert_eq(plant_siphon_flow(&p, 0.1), 0.0);
}

Test(siphon, a_break_prevents_it_until_it_is_blocked)
{
    struct plant p = with_hose(6e-3, 2.0);
    p.topoff.siphon_break = true;
    struct plan plan = dry_supply(1.0), blocked = plan;
    pump_a_minute(&plan);
    struct log l;
    run_logged(&p, &plan, &l, "siphon");
    cr_assert_eq(l.count, 0);
    cr_assert_float_eq(out.state.x[X_TOPOFF], 60.0 * p.topoff.flow, 1e-9);
    fault(&blocked, 0.0, "siphon break", "blocked", 0.0);
    pump_a_minute(&blocked);
    run_logged(&p, &blocked, &l, "siphon");
    cr_assert_eq(l.count, 1);
    cr_assert_float_eq(l.first, 60.0, 1e-6);
    cr_assert_gt(out.state.x[X_TOPOFF], 0.05);
}

Test(siphon, a_power_cut_does_not_stop_it_and_the_outlet_does)
{
    struct plant p = with_hose(6e-3, 2.0);
    p.topoff.hose_end = -0.5; /* below the floor of the tank */
    struct plan plan = dry_supply(2.0);
    pump_a_minute(&plan);
    plan.event[1].at = 0.0;
    plan.event[plan.events - 1] = (struct event){ .at = 60.0, .kind = EVENT_POWER_OFF };
    struct log l;
    run_logged(&p, &plan, &l, "siphon ends");
    cr_assert_eq(l.count, 1);
    cr_assert_float_eq(out.signals.tank_level, p.tank.outlet, 1e-6);
    cr_assert_float_eq(l.state.x[X_TOPOFF], M_PI / 4.0 * 0.25 * (p.tank_start - p.tank.outlet),
                       1e-6);
}

Test(siphon, runs_the_served_water_over_and_freshens_it)
{
    struct plant p = with_hose(6e-3, 2.0);
    p.basin.freeboard = 0.02;
    struct plan plan = dry_supply(1.0);
    pump_a_minute(&plan);
    fixture_run(&p, &plan, NULL, &out);
    const double brought = out.state.x[X_TOPOFF];
    const double room = basin_rim_volume(&p.basin) - p.basin.volume;
    cr_assert_gt(brought, room + 0.02);
    cr_assert_float_eq(out.state.x[X_BASIN_SPILL], brought - room, 1e-5, "%g of %g L",
                       1e3 * out.state.x[X_BASIN_SPILL], 1e3 * (brought - room));
    const double salt = 1e-3 * 35.0 * water_sea_density(35.0, 25.0) * p.basin.volume;
    const double left = salt * exp(-out.state.x[X_BASIN_SPILL] / basin_rim_volume(&p.basin));
    cr_assert_float_eq(out.state.basin.amount[SALT], left, 1e-4 * left);
    assert_balanced(&p, 1e-12, "spill");
}
