/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/balance.h"

static const double DAY = 86400.0;

/* ---- the automaton, over what its switches show ------------------------------------------------
 */

struct bench {
    struct plant p;
    struct settings set;
    struct control c;
    struct signals sig;
    double x[X_COUNT];
    struct changes log;
};

/* A tank that calls for water, with a low pressure switch of 69 and 138 kPa, 3 s and 600 s. */
static void start(struct bench *b)
{
    memset(b, 0, sizeof *b);
    b->p = fixture_plant();
    b->p.fill.low_pressure_switch = true;
    settings_init(&b->set);
    b->x[X_TANK] = tank_volume(&b->p.tank, 0.4);
    b->x[X_BASIN] = b->p.basin.volume;
    b->sig.inlet_pressure = 200e3;
    const struct sight now = { .x = b->x, .signals = &b->sig };
    control_start(&b->c, &b->p, &b->set, &now);
}

static void see(struct bench *b, double pressure, double t)
{
    b->sig.inlet_pressure = pressure;
    const struct sight now = { .x = b->x, .signals = &b->sig };
    for (int k = 0; k < 4; k++) {
        control_sense(&b->c, &b->p, &b->set, &now, &b->log);
        control_react(&b->c, &b->p, &b->set, t, &b->log);
    }
}

static int told(const struct bench *b, const char *kind)
{
    int n = 0;
    for (int i = 0; i < b->log.count; i++)
        n += strcmp(b->log.change[i].kind, kind) == 0;
    return n;
}

Test(trip, low_pressure_must_last_and_is_forgotten_after_a_dip)
{
    static struct bench b;
    start(&b);
    cr_assert(b.set.call && !b.set.trip);
    see(&b, 68e3, 10.0);
    cr_assert_not(b.set.trip);
    cr_assert_eq(trip_due(&b.c.trips, &b.p, &b.set), 13.0);
    see(&b, 139e3, 12.0);
    cr_assert(isinf(trip_due(&b.c.trips, &b.p, &b.set)), "a dip of two seconds");
    see(&b, 68e3, 20.0);
    see(&b, 68e3, 23.0);
    cr_assert(b.set.trip);
    cr_assert_eq(b.set.inlet_trips, 1);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
    cr_assert_not(plant_solenoid_energised(&b.set), "and with it the booster stands");
}

Test(trip, low_pressure_clears_at_its_upper_level_and_not_before_the_wait)
{
    static struct bench b;
    start(&b);
    see(&b, 60e3, 0.0);
    see(&b, 60e3, 3.0);
    cr_assert(b.set.trip);
    see(&b, 137e3, 700.0);
    cr_assert(b.set.trip, "between its levels it still shows low");
    cr_assert(isinf(trip_due(&b.c.trips, &b.p, &b.set)),
              "no time will clear it, only the pressure");
    see(&b, 138e3, 800.0);
    cr_assert_not(b.set.trip);

    start(&b);
    see(&b, 60e3, 0.0);
    see(&b, 60e3, 3.0);
    see(&b, 300e3, 3.0);
    cr_assert(b.set.trip);
    cr_assert_eq(trip_due(&b.c.trips, &b.p, &b.set), 603.0);
    see(&b, 300e3, 603.0);
    cr_assert_not(b.set.trip);
}

Test(trip, low_pressure_is_only_looked_at_while_the_feed_is_open)
{
    static struct bench b;
    start(&b);
    b.set.health.high_switch = 1.0; /* the stop switch shows wet: no call */
    see(&b, 0.0, 10.0);
    see(&b, 0.0, 1000.0);
    cr_assert(!b.set.call && !b.set.trip);
    cr_assert(isinf(trip_due(&b.c.trips, &b.p, &b.set)));
    b.set.health.high_switch = WORKS;
    see(&b, 0.0, 2000.0);
    cr_assert_eq(trip_due(&b.c.trips, &b.p, &b.set), 2003.0, "from the call on");
    b.set.health.controller = 0.0; /* hangs off */
    see(&b, 0.0, 2001.0);
    cr_assert(isinf(trip_due(&b.c.trips, &b.p, &b.set)));
}

Test(trip, a_faulty_low_pressure_switch_never_trips_or_always)
{
    static struct bench b;
    start(&b);
    b.set.health.inlet_switch = 1.0;
    see(&b, 0.0, 10.0);
    see(&b, 0.0, 100.0);
    cr_assert_not(b.set.trip);
    b.set.health.inlet_switch = 0.0;
    see(&b, 300e3, 200.0);
    see(&b, 300e3, 203.0);
    cr_assert(b.set.trip);
    see(&b, 300e3, 9000.0);
    cr_assert(b.set.trip, "it shows low for ever");
    b.set.health.inlet_switch = WORKS;
    see(&b, 300e3, 9001.0);
    cr_assert_not(b.set.trip, "mended");
}

Test(trip, of_a_row_of_tries_only_the_first_are_told_and_all_are_counted)
{
    static struct bench b;
    start(&b);
    double t = 0.0;
    for (int k = 0; k < 100; k++) {
        see(&b, 50e3, t);
        see(&b, 50e3, t + 3.0);
        see(&b, 300e3, t + 3.0); /* the pump stands */
        t += 603.0;
        if (k < 5)
            cr_assert_eq(b.log.count, k == 0 ? 1 : 3, "%d", b.log.count);
        see(&b, 300e3, t);
        cr_assert_not(b.set.trip, "try %d", k);
        if (b.log.count > 8)
            cr_assert_fail("the log is flooded");
    }
    cr_assert_eq(b.set.inlet_trips, 100);
    cr_assert(told(&b, "trip") == 1 && told(&b, "trip ends") == 1 && told(&b, "hunting") == 1);
    cr_assert_eq(trip_due(&b.c.trips, &b.p, &b.set), t + 603.0);
    see(&b, 300e3, t + 603.0);
    cr_assert_eq(told(&b, "hunting ends"), 1, "a try that lasts ends it");
    cr_assert(isinf(trip_due(&b.c.trips, &b.p, &b.set)));
    see(&b, 50e3, t + 9000.0);
    see(&b, 50e3, t + 9003.0);
    cr_assert_eq(told(&b, "trip"), 2, "a new one is told again");
}

/* Each protection, latched and not: its cause comes, goes, and a person resets. */
Test(trip, each_protection_latches_or_clears_itself_as_told)
{
    for (int k = 0; k < 8; k++) {
        static struct bench b;
        start(&b);
        const int part = k / 2;
        const bool latches = k % 2;
        struct fill *f = &b.p.fill;
        f->high_switch = f->leak_sensor = f->run_timer = true;
        f->longest_run = 1e6;
        f->high_latches = f->leak_latches = f->timer_latches = f->inlet.latches = latches;
        double *const health[] = { &b.set.health.guard_switch, &b.set.health.leak_sensor, NULL,
                                   &b.set.health.inlet_switch };
        const double cause[] = { 1.0, 1.0, 0.0, 0.0 };
        if (health[part])
            *health[part] = cause[part];
        else
            control_run_expired(&b.c);
        see(&b, 300e3, 10.0);
        see(&b, 300e3, 20.0);
        cr_assert(b.set.trip, "row %d", k);
        cr_assert(control_tripped(&b.c, &b.set));
        cr_assert_eq(told(&b, "trip"), 1, "row %d", k);
        const char *words = b.log.change[b.log.count - 1].words;
        cr_assert_eq(strstr(words, "until reset") != NULL, latches, "row %d: %s", k, words);
        if (health[part])
            *health[part] = WORKS;
        else
            b.set.health.high_switch = 1.0; /* the stop switch shows wet: the call ends */
        see(&b, 300e3, 2000.0);
        cr_assert_eq(b.set.trip, latches, "row %d: its cause has gone", k);
        control_reset(&b.c, &b.set);
        see(&b, 300e3, 2001.0);
        cr_assert_not(b.set.trip, "row %d", k);
        cr_assert_eq(told(&b, "trip ends"), 1, "row %d", k);
    }
}

Test(trip, a_top_off_that_ran_too_long_latches_or_clears_when_it_is_full)
{
    for (int latches = 0; latches <= 1; latches++) {
        static struct bench b;
        start(&b);
        b.p.topoff.longest_run = 100.0;
        b.p.topoff.latches = latches;
        b.set.health.topoff_switch = 0.0;
        see(&b, 300e3, 0.0);
        cr_assert_eq(control_topoff_due(&b.c, &b.p), 100.0);
        control_topoff_expired(&b.c, &b.set);
        see(&b, 300e3, 100.0);
        cr_assert(b.set.topoff_trip && b.set.topoff_call);
        b.set.health.topoff_switch = 1.0;
        see(&b, 300e3, 200.0);
        cr_assert_eq(b.set.topoff_trip, latches);
        cr_assert_eq(told(&b, "trip ends"), 1 - latches);
    }
}

/* ---- the pressure in a run ---------------------------------------------------------------------
 */

struct first {
    const char *kind;
    double at; /* s, NAN if it never came */
    int count;
};

static void see_first(void *self, const struct glimpse *g)
{
    struct first *f = self;
    if (g->moment != MOMENT_CHANGE || strcmp(g->change->kind, f->kind) != 0)
        return;
    if (f->count++ == 0)
        f->at = g->t;
}

/* Fills for days, on water that changes no cartridge; no draws, no served water. */
static struct plant filling(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.04;
    p.tank.diameter = 2.0;
    p.line.supply_bore = 1.5e-3;
    p.feed.c[SOLIDS] = p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.train[p.membrane].params.membrane.wear.on = false;
    p.fill.low_pressure_switch = true;
    return p;
}

static struct plan plan_of(double length)
{
    struct plan plan = fixture_plan(length / DAY);
    plan.draws = 0;
    return plan;
}

static struct outcome out;

static double run_first(const struct plant *p, const struct plan *plan, const char *kind)
{
    struct first f = { kind, NAN, 0 };
    const struct observer o = { see_first, &f };
    fixture_run(p, plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK, "%s at %g s", status_words(out.status), out.state.t);
    return f.at;
}

/* The inlet pressure of a plant that makes water at time t, with the cartridges of `s`. */
static double pressure_at(const struct plant *p, const struct state *s, double t)
{
    struct settings set;
    struct signals sig;
    double dx[X_COUNT];
    settings_init(&set);
    set.call = true;
    plant_evaluate(p, &set, s, t, s->x, &sig, dx);
    return sig.inlet_pressure;
}

/* When the pressure falls through `level` between two times. */
static double falls_at(const struct plant *p, double level, double low, double high)
{
    while (high - low > 1e-12 * high) {
        const double t = 0.5 * (low + high);
        *(pressure_at(p, &out.state, t) > level ? &low : &high) = t;
    }
    return high;
}

static void swing(struct plant *p)
{
    p->feed.pressure.daily = 20e3;
    p->feed.pressure.peak_hour = 0.0; /* lowest at noon */
}

Test(trip, finds_a_slow_fall_to_a_microsecond)
{
    struct plant p = filling();
    swing(&p);
    p.fill.inlet.trips = 1e3;
    struct plan plan = plan_of(0.2 * DAY);
    cr_assert(isnan(run_first(&p, &plan, "trip")));
    for (int k = 0; k < 5; k++) {
        p.fill.inlet.trips = pressure_at(&p, &out.state, (0.30 + 0.02 * k) * DAY);
        p.fill.inlet.clears = p.fill.inlet.trips + 50e3;
        const double expected = falls_at(&p, p.fill.inlet.trips, 0.25 * DAY, 0.5 * DAY);
        struct plan whole = plan_of(0.6 * DAY);
        const double at = run_first(&p, &whole, "trip");
        cr_assert_float_eq(at, expected + 3.0, 1e-6, "%.12g s instead of %.12g", at,
                           expected + 3.0);
    }
}

Test(trip, does_not_miss_a_minimum_between_two_long_steps)
{
    struct plant p = filling();
    swing(&p);
    p.fill.inlet.trips = 1e3;
    struct plan plan = plan_of(0.2 * DAY);
    run_first(&p, &plan, "trip");
    const double lowest = pressure_at(&p, &out.state, 0.5 * DAY);
    for (int k = -3; k <= 3; k++) {
        if (k == 0)
            continue;
        p.fill.inlet.trips = lowest + 5.0 * k; /* Pa */
        p.fill.inlet.clears = lowest + 30e3;
        struct plan whole = plan_of(DAY);
        const double at = run_first(&p, &whole, "trip");
        cr_assert_eq(isnan(at), k < 0, "%g Pa above the lowest: %g s", 5.0 * k, at);
    }
}

Test(trip, does_not_miss_a_dip_in_a_log_of_pressures)
{
    static const double at[] = { 0.0, 20000.0, 20060.0, 20120.0, 90000.0 };
    static const double pressure[] = { 350e3, 350e3, 120e3, 350e3, 350e3 };
    const struct feed_log log = { .rows = 5, .at = at, .pressure = pressure };
    struct plant p = filling();
    p.feed.log = &log;
    p.fill.inlet.trips = 1e3;
    struct plan plan = plan_of(15000.0);
    run_first(&p, &plan, "trip");
    p.fill.inlet.trips = 150e3;
    p.fill.inlet.clears = 200e3;
    const double expected = falls_at(&p, 150e3, 20000.0, 20060.0);
    struct plan whole = plan_of(DAY);
    const double trip = run_first(&p, &whole, "trip");
    cr_assert_float_eq(trip, expected + 3.0, 1e-6, "%.13g s instead of %.13g", trip,
                       expected + 3.0);
}

Test(trip, a_prefilter_that_clogs_trips_it_at_the_parcel_that_goes_too_far)
{
    struct plant p = filling();
    p.line.supply_bore = 6e-3;
    p.feed.c[SOLIDS] = 20e-3;
    p.train[0].params.sediment.capacity = 10e-3;
    p.fill.inlet = (struct inlet_switch){ 330e3, 340e3, 0.0, 600.0, true };
    struct plan plan = plan_of(20.0 * DAY);
    const double at = run_first(&p, &plan, "trip");
    cr_assert(at > 0.5 * DAY && at < 20.0 * DAY, "%g", at);
    p.fill.low_pressure_switch = false;
    struct plan until = plan_of(at);
    run_first(&p, &until, "trip");
    const double there = pressure_at(&p, &out.state, at);
    cr_assert(there <= 330e3 && there > 325e3, "%g Pa when it tripped", there);
    struct plan before = plan_of(at - 3600.0);
    run_first(&p, &before, "trip");
    cr_assert_gt(pressure_at(&p, &out.state, at - 3600.0), 330e3);
}

Test(trip, a_booster_on_a_weak_supply_hunts_and_every_start_is_real)
{
    struct plant p = filling();
    fixture_add_booster(&p);
    p.feed.pressure.mean = 200e3;
    p.line.supply_bore = 1.6e-3;
    p.fill.inlet.trips = 150e3;
    p.fill.inlet.clears = 190e3;
    struct plan plan = plan_of(DAY);
    struct first f = { "hunting", NAN, 0 };
    const struct observer o = { see_first, &f };
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
    const int tries = 1 + (int)((DAY - 3.0) / 603.0);
    cr_assert_eq(f.count, 1);
    cr_assert_float_eq(f.at, 606.0, 1e-6, "the second try fails too");
    cr_assert_eq(out.state.x[X_STARTS], (double)tries, "%g starts", out.state.x[X_STARTS]);
    cr_assert_float_eq(out.state.x[X_RUNNING], 3.0 * tries, 1e-6);
    cr_assert_lt(out.figures.events, 8);

    struct plan still = plan_of(DAY); /* on a stout supply it fills */
    p.line.supply_bore = 6e-3;
    cr_assert(isnan(run_first(&p, &still, "trip")));
    cr_assert_float_eq(out.state.x[X_RUNNING], DAY, 1e-6);
}

Test(trip, a_visit_resets_what_latched_if_told)
{
    for (int resets = 0; resets <= 1; resets++) {
        struct plant p = filling();
        p.fill.inlet.latches = true;
        struct plan plan = plan_of(3.0 * DAY);
        plan.visits.every = DAY;
        plan.visits.resets = resets;
        plan.event[plan.events++] = (struct event){ .at = 1000.0, .kind = EVENT_SUPPLY_OFF };
        plan.event[plan.events++] = (struct event){ .at = 2000.0, .kind = EVENT_SUPPLY_ON };
        const double at = run_first(&p, &plan, "reset");
        cr_assert_eq(isnan(at), !resets);
        const double ran = 1003.0 + (resets ? 2.0 * DAY : 0.0);
        cr_assert_float_eq(out.state.x[X_RUNNING], ran - 3.0, 1e-6, "%.9g", out.state.x[X_RUNNING]);
        cr_assert(!resets || at == DAY);
    }
}

/* ---- cuts in every phase -----------------------------------------------------------------------
 */

enum where {
    IDLE,
    FIRST_RINSE,
    DIVERTING,
    MAKING,
    RINSE,
    LAST_RINSE,
    TRIPPED_HIGH,
    TRIPPED_LEAK,
    TRIPPED_TIMER,
    TRIPPED_LOW,
    TOPOFF,
    TOPOFF_TRIPPED,
    WHERES
};

/* How the plant gets there, and what is expected of it just before the cut. */
static const struct way {
    const char *words;
    double level;            /* m at the start: 0.4 calls, 0.6 does not */
    const char *part, *mode; /* that fails at `at` */
    double at, cut;          /* s */
    bool call, trip, rinsing, diverting, hold, pumping, topoff_trip;
} ways[WHERES] = {
    [IDLE] = { "idle", 0.6, NULL, NULL, 0, 1000, .call = false },
    [FIRST_RINSE] = { "first rinse", 0.4, NULL, NULL, 0, 30, .call = true, .rinsing = true,
                      .diverting = true },
    [DIVERTING] = { "diverting", 0.4, NULL, NULL, 0, 105, .call = true, .diverting = true },
    [MAKING] = { "making", 0.4, NULL, NULL, 0, 300, .call = true },
    [RINSE] = { "rinse", 0.4, NULL, NULL, 0, 670, .call = true, .rinsing = true },
    [LAST_RINSE] = { "last rinse", 0.4, "stop switch", "shows wet", 300, 305, .rinsing = true,
                     .hold = true },
    [TRIPPED_HIGH] = { "tripped by the high switch", 0.4, "high switch", "shows wet", 300, 400,
                       .call = true, .trip = true },
    [TRIPPED_LEAK] = { "tripped by the leak sensor", 0.4, "leak sensor", "shows wet", 300, 400,
                       .call = true, .trip = true },
    [TRIPPED_TIMER] = { "tripped by the run timer", 0.4, NULL, NULL, 0, 400, .call = true,
                        .trip = true },
    [TRIPPED_LOW] = { "tripped by low pressure", 0.4, "low pressure switch", "shows low", 300, 400,
                      .call = true, .trip = true },
    [TOPOFF] = { "top-off", 0.6, "top-off switch", "shows dry", 300, 400, .pumping = true },
    [TOPOFF_TRIPPED] = { "top-off tripped", 0.6, "top-off switch", "shows dry", 300, 400,
                         .topoff_trip = true },
};

static struct plant everything(enum where w)
{
    struct plant p = fixture_plant();
    p.tank_start = ways[w].level;
    p.basin.calibration = 0.0; /* nothing evaporates: the top-off runs where it is told */
    p.rinse = (struct rinse){ .at_start = 60.0,
                              .at_stop = 30.0,
                              .every = 600.0,
                              .every_for = 20.0,
                              .bypass = 3.0,
                              .divert = 90.0,
                              .divert_below = NAN };
    struct fill *f = &p.fill;
    f->high_switch = f->leak_sensor = f->run_timer = true;
    f->low_pressure_switch = w == TRIPPED_LOW;
    f->high_at = 0.75;
    f->leak_volume = 1e-4;
    f->longest_run = w == TRIPPED_TIMER ? 250.0 : 3000.0;
    p.topoff.longest_run = w == TOPOFF_TRIPPED ? 50.0 : 500.0;
    return p;
}

static void add(struct plan *plan, double at, enum event_kind kind)
{
    int i = plan->events++;
    for (; i > 0 && plan->event[i - 1].at > at; i--)
        plan->event[i] = plan->event[i - 1];
    plan->event[i] = (struct event){ .at = at, .kind = kind };
}

static struct plan getting_there(enum where w, double length)
{
    struct plan plan = plan_of(length);
    const struct way *way = &ways[w];
    for (int k = 0; way->part != NULL && fault_modes[k].part; k++)
        if (strcmp(fault_modes[k].part, way->part) == 0 &&
            strcmp(fault_modes[k].mode, way->mode) == 0)
            plan.event[plan.events++] = (struct event){ way->at, EVENT_FAULT, k, 0.0 };
    cr_assert_eq(plan.events, way->part != NULL);
    return plan;
}

/* Looks at the run at given times: events that change nothing stop it there. */
enum { LOOKS = 4 };

struct looks {
    int count;
    struct settings set[LOOKS];
    struct signals sig[LOOKS];
    double run_trip, topoff_trip; /* s, first of each */
};

static void look(void *self, const struct glimpse *g)
{
    struct looks *l = self;
    if (g->moment != MOMENT_CHANGE)
        return;
    if (strcmp(g->change->kind, "feed change") == 0) {
        l->set[l->count] = *g->settings;
        l->sig[l->count++] = *g->signals;
    }
    if (strcmp(g->change->kind, "trip") == 0)
        *(strcmp(g->change->part, "top-off pump") == 0 ? &l->topoff_trip : &l->run_trip) = g->t;
}

static struct looks run_looks(const struct plant *p, struct plan *plan, const double at[LOOKS],
                              const char *words)
{
    struct looks l = { .run_trip = NAN, .topoff_trip = NAN };
    for (int i = 0; i < LOOKS; i++)
        add(plan, at[i], EVENT_FEED_CHANGE);
    const struct observer o = { look, &l };
    fixture_run(p, plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK, "%s", words);
    cr_assert_eq(l.count, LOOKS, "%s", words);
    struct balance_row row[BALANCE_ROWS];
    balance_of(p, &out.state, row);
    for (int i = 0; i < BALANCE_ROWS; i++)
        cr_assert_lt(fabs(row[i].error), 1e-9, "%s: %s %g", words, row[i].name, row[i].error);
    return l;
}

static void expect_before(const struct looks *l, enum where w)
{
    const struct way *way = &ways[w];
    const struct settings *s = &l->set[0];
    cr_assert_eq(s->call, way->call, "%s: call", way->words);
    cr_assert_eq(s->trip, way->trip, "%s: trip", way->words);
    cr_assert_eq(s->rinsing, way->rinsing, "%s: rinsing", way->words);
    cr_assert_eq(s->diverting, way->diverting, "%s: diverting", way->words);
    cr_assert_eq(s->hold, way->hold, "%s: hold", way->words);
    cr_assert_eq(l->sig[0].topoff_flow > 0.0, way->pumping, "%s: top-off", way->words);
    cr_assert_eq(s->topoff_trip, way->topoff_trip, "%s: top-off trip", way->words);
    cr_assert_eq(l->sig[0].feed_flow > 0.0, (way->call || way->hold) && !way->trip, "%s: flow",
                 way->words);
}

/* Without power: nothing flows, every phase has ended, what is latched or stands stays. */
static void expect_dead(const struct looks *l, enum where w, bool keeps)
{
    const struct way *way = &ways[w];
    const struct settings *s = &l->set[1];
    cr_assert(!s->power && !plant_solenoid_energised(s), "%s", way->words);
    cr_assert_eq(l->sig[1].feed_flow, 0.0, "%s", way->words);
    cr_assert_eq(l->sig[1].topoff_flow, 0.0, "%s", way->words);
    cr_assert_eq(l->sig[1].power, 0.0, "%s", way->words);
    cr_assert(!s->rinsing && !s->diverting && !s->hold, "%s", way->words);
    cr_assert_eq(s->call, way->call && keeps, "%s: call", way->words);
    cr_assert_eq(s->trip, way->trip, "%s: trip", way->words);
    cr_assert_eq(s->topoff_trip, way->topoff_trip, "%s: top-off trip", way->words);
}

/* With the power back a call stands (kept, or because the tank is low) and begins anew. */
static void expect_again(const struct looks *l, enum where w)
{
    const struct way *way = &ways[w];
    const struct settings *s = &l->set[2];
    const bool runs = way->call && !way->trip;
    cr_assert(s->power, "%s", way->words);
    cr_assert_eq(s->call, way->call, "%s: call", way->words);
    cr_assert_eq(s->trip, way->trip, "%s: trip", way->words);
    cr_assert_eq(s->rinsing, runs, "%s: a run begins with its first rinse", way->words);
    cr_assert_eq(s->diverting, runs, "%s: diverting", way->words);
    cr_assert_not(s->hold, "%s: a last rinse is not made up for", way->words);
    cr_assert_eq(l->sig[2].feed_flow > 0.0, runs, "%s: flow", way->words);
    cr_assert_eq(l->sig[2].topoff_flow > 0.0, way->pumping, "%s: top-off", way->words);
    cr_assert_eq(s->topoff_trip, way->topoff_trip, "%s: top-off trip", way->words);
}

static const double cuts[] = { 1.0, 86400.0 }; /* s */

Test(trip, power_may_fail_and_return_in_every_phase)
{
    for (int k = 0; k < 4 * WHERES; k++) {
        const enum where w = (enum where)(k / 4);
        const double lasts = cuts[k % 2], cut = ways[w].cut;
        const bool keeps = k / 2 % 2;
        struct plant p = everything(w);
        p.fill.keeps_call = keeps;
        struct plan plan = getting_there(w, cut + lasts + 5000.0);
        add(&plan, cut, EVENT_POWER_OFF);
        add(&plan, cut + lasts, EVENT_POWER_ON);
        const double at[LOOKS] = { cut - 0.25, cut + 0.5, cut + lasts + 0.25,
                                   cut + lasts + 4000.0 };
        const struct looks l = run_looks(&p, &plan, at, ways[w].words);
        expect_before(&l, w);
        expect_dead(&l, w, keeps);
        expect_again(&l, w);
        /* the counts go on where they stopped */
        if (ways[w].call && !ways[w].trip)
            cr_assert_float_eq(l.run_trip, 3000.0 + lasts, 1e-6, "%s: %.9g", ways[w].words,
                               l.run_trip);
        if (w == TOPOFF)
            cr_assert_float_eq(l.topoff_trip, 800.0 + lasts, 1e-6, "%.9g", l.topoff_trip);
    }
}

/* Without a switch for it the controller does not know that no water comes. */
Test(trip, the_supply_may_fail_and_return_in_every_phase_unseen)
{
    for (int k = 0; k < 2 * WHERES; k++) {
        const enum where w = (enum where)(k / 2);
        if (w == TRIPPED_LOW)
            continue;
        const double lasts = cuts[k % 2], cut = ways[w].cut;
        const struct plant p = everything(w);
        struct plan plan = getting_there(w, cut + lasts + 5000.0);
        add(&plan, cut, EVENT_SUPPLY_OFF);
        add(&plan, cut + lasts, EVENT_SUPPLY_ON);
        const double at[LOOKS] = { cut - 0.25, cut + 0.5, cut + lasts + 0.25,
                                   cut + lasts + 4000.0 };
        const struct looks l = run_looks(&p, &plan, at, ways[w].words);
        expect_before(&l, w);
        const struct settings *a = &l.set[0], *b = &l.set[1], *c = &l.set[2];
        cr_assert_eq(l.sig[1].feed_flow, 0.0, "%s", ways[w].words);
        cr_assert(a->call == b->call && a->trip == b->trip && a->hold == b->hold &&
                      a->rinsing == b->rinsing && a->diverting == b->diverting &&
                      a->topoff_call == b->topoff_call && a->topoff_trip == b->topoff_trip,
                  "%s: nothing is noticed", ways[w].words);
        cr_assert_eq(l.sig[2].feed_flow > 0.0, plant_solenoid_energised(c), "%s", ways[w].words);
        /* the run timer counts the time that the solenoid has power, water or not */
        if (ways[w].call && !ways[w].trip)
            cr_assert_float_eq(l.run_trip, 3000.0, 1e-6, "%s: %.9g", ways[w].words, l.run_trip);
    }
}

Test(trip, a_low_pressure_switch_sees_the_supply_fail_and_return_in_every_phase)
{
    for (int k = 0; k < 2 * WHERES; k++) {
        const enum where w = (enum where)(k / 2);
        const double lasts = cuts[k % 2], cut = ways[w].cut;
        const bool open = (ways[w].call || ways[w].hold) && !ways[w].trip;
        const bool seen = open && lasts > 3.0;
        struct plant p = everything(w);
        p.fill.low_pressure_switch = true;
        struct plan plan = getting_there(w, cut + lasts + 5000.0);
        add(&plan, cut, EVENT_SUPPLY_OFF);
        add(&plan, cut + lasts, EVENT_SUPPLY_ON);
        const double at[LOOKS] = { cut - 0.25, cut + 0.5, cut + fmin(lasts, 10.0),
                                   cut + lasts + 0.25 };
        const struct looks l = run_looks(&p, &plan, at, ways[w].words);
        expect_before(&l, w);
        cr_assert_eq(l.sig[1].feed_flow, 0.0, "%s", ways[w].words);
        cr_assert_eq(l.set[1].trip, ways[w].trip, "%s: not before its delay", ways[w].words);
        cr_assert_eq(l.set[2].trip, ways[w].trip || seen, "%s: trip", ways[w].words);
        cr_assert(!seen || (!l.set[2].rinsing && !l.set[2].diverting && !l.set[2].hold), "%s",
                  ways[w].words);
        cr_assert_eq(l.set[3].trip, ways[w].trip, "%s: the pressure is back", ways[w].words);
        const bool runs = ways[w].call && !ways[w].trip;
        cr_assert_eq(l.sig[3].feed_flow > 0.0, runs || (open && !seen), "%s: flow", ways[w].words);
        if (seen) {
            cr_assert_eq(l.set[3].rinsing, runs, "%s: from the first rinse on", ways[w].words);
            cr_assert_eq(out.state.x[X_SPILL], 0.0);
        }
        cr_assert_eq(l.set[3].inlet_trips, w == TRIPPED_LOW || seen, "%s: %d trips", ways[w].words,
                     l.set[3].inlet_trips);
    }
}
