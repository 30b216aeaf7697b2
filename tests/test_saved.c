/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"

static const double DAY = 86400.0;

/* What an observer saw after a moment, folded into one number. */
struct seen {
    double from;
    unsigned long fold;
    long count;
};

static void see_all(void *self, const struct glimpse *g)
{
    struct seen *s = self;
    if (g->t <= s->from || g->moment == MOMENT_END)
        return;
    const double numbers[] = { g->t, g->x[X_TANK], g->signals->product_flow, (double)g->moment };
    unsigned char bytes[sizeof numbers];
    memcpy(bytes, numbers, sizeof numbers);
    for (size_t i = 0; i < sizeof bytes; i++)
        s->fold = (s->fold ^ bytes[i]) * 1099511628211UL;
    s->count++;
}

static const struct run_options silent = { 0 };

/* Runs the whole plan, in two pieces by two runs if `split` lies within it. */
static void run_split(const struct plant *p, const struct plan *plan, double split,
                      struct seen *seen, struct run_saved *last)
{
    static struct run_saved half;
    const struct observer o = { see_all, seen };
    const struct run_options watched = { .observers = &o, .observer_count = 1 };
    struct run *first = run_create(p, plan, isfinite(split) ? &silent : &watched);
    cr_assert_eq(run_begin(first), STATUS_OK);
    cr_assert_eq(run_until(first, split), STATUS_OK);
    struct run *second = first;
    if (isfinite(split)) {
        run_save(first, &half);
        seen->from = run_time(first);
        run_free(first);
        second = run_create(p, plan, &watched);
        run_restore(second, &half);
    }
    cr_assert_eq(run_until(second, plan->length), STATUS_OK);
    run_end(second);
    run_save(second, last);
    run_free(second);
}

/* Guards point into the run that they were saved from. */
static void forget_pointers(struct run_saved *s)
{
    memset(s->control.guard, 0, sizeof s->control.guard);
    s->figures.calls = 0; /* counted by each stepper */
}

Test(saved, a_run_split_at_any_instant_ends_with_the_same_bits)
{
    static struct run_saved whole, joined;
    unsigned long seed = 4711;
    for (unsigned long k = 0; k < 40; k++) {
        const struct plant p = fixture_random_plant(300 + k);
        struct plan plan = fixture_plan(12.0);
        plan.event[plan.events++] = (struct event){ .at = 3.0 * DAY, .kind = EVENT_POWER_OFF };
        plan.event[plan.events++] = (struct event){ .at = 3.3 * DAY, .kind = EVENT_POWER_ON };
        plan.event[plan.events++] = (struct event){ .at = 7.0 * DAY, .kind = EVENT_REPLACE };
        if (k % 2)
            plan.commissioning = (struct commissioning){ 900.0, 1800.0, 600.0, k % 4 == 1 };
        struct seen all = { 0 }, rest = { 0 };
        const double split = plan.length * fixture_random(&seed);
        run_split(&p, &plan, split, &rest, &joined);
        all.from = rest.from;
        run_split(&p, &plan, INFINITY, &all, &whole);
        forget_pointers(&whole);
        forget_pointers(&joined);
        cr_assert_eq(all.count, rest.count, "plant %lu split at day %g", k, split / DAY);
        cr_assert_eq(all.fold, rest.fold, "plant %lu split at day %g", k, split / DAY);
        cr_assert_eq(memcmp(&whole.state, &joined.state, sizeof whole.state), 0,
                     "plant %lu split at day %g", k, split / DAY);
        cr_assert_eq(memcmp(&whole.agenda, &joined.agenda, sizeof whole.agenda), 0);
    }
}

Test(saved, a_run_may_be_split_while_it_flushes_rinses_diverts_or_is_cut_off)
{
    static struct run_saved whole, joined;
    struct plant p = fixture_plant();
    p.rinse = (struct rinse){ .at_start = 30.0,
                              .at_stop = 60.0,
                              .every = 1800.0,
                              .every_for = 20.0,
                              .bypass = 3.0,
                              .divert = 90.0,
                              .divert_below = NAN,
                              .with = RINSE_PERMEATE,
                              .flow = 1e-5 };
    struct plan plan = fixture_plan(4.0);
    plan.commissioning = (struct commissioning){ 900.0, 600.0, 300.0, true };
    plan.event[plan.events++] = (struct event){ .at = 5000.0, .kind = EVENT_POWER_OFF };
    plan.event[plan.events++] = (struct event){ .at = 5600.0, .kind = EVENT_POWER_ON };
    p.tank_start = 0.4;
    struct seen all = { 0 };
    run_split(&p, &plan, INFINITY, &all, &whole);
    for (double split = 1.0; split < 9000.0; split += 137.0) {
        struct seen rest = { 0 };
        run_split(&p, &plan, split, &rest, &joined);
        cr_assert_eq(memcmp(&whole.state, &joined.state, sizeof whole.state), 0, "split at %g s",
                     split);
    }
}

Test(saved, a_run_may_be_split_while_a_bladder_cycles_and_a_hose_runs_by_itself)
{
    static struct run_saved whole, joined;
    struct plant p = fixture_plant();
    p.fill = (struct fill){ .float_valve = true,
                            .valve = { 0.7, 0.02, 2.5e-3 },
                            .stiction = 0.05,
                            .shutoff_valve = true,
                            .shutoff = p.fill.shutoff };
    fixture_presets(&p.bladder, bladder_fields);
    p.has_bladder = true;
    p.bladder.volume = 2e-3;
    p.tank_start = 0.69;
    p.topoff.hose_end = 0.6;
    p.topoff.hose_bore = 3e-3;
    p.topoff.hose_length = 2.0;
    const struct plan plan = fixture_plan(6.0);
    struct seen all = { 0 };
    run_split(&p, &plan, INFINITY, &all, &whole);
    for (double split = 1.0; split < 6.0 * DAY; split += 40137.0) {
        struct seen rest = { 0 };
        run_split(&p, &plan, split, &rest, &joined);
        cr_assert_eq(memcmp(&whole.state, &joined.state, sizeof whole.state), 0, "split at %g s",
                     split);
    }
}
