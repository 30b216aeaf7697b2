/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * alike: what must come out the same, or more, or twice as much, when a scenario is said in another
 * way, run in two halves, or made larger.  Random scenarios (tests/any.h) and random plants;
 * LEAT_TRIALS and LEAT_SEED as in test_any.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "any_check.h"
#include "fixture.h"
#include "sim/units.h"

static const double DAY = 86400.0; /* s */
static const double SHORT = 5.0;   /* days that a random scenario is run here */

enum { STEPS_MOST = 2500 };

TestSuite(alike, .timeout = 36000);

static int trials(int preset)
{
    const char *text = getenv("LEAT_TRIALS");
    return text != NULL ? (int)strtol(text, NULL, 10) : preset;
}

static unsigned long first_seed(void)
{
    const char *text = getenv("LEAT_SEED");
    return text != NULL ? strtoul(text, NULL, 10) : 1;
}

/* ---- the end of a run ---------------------------------------------------------------------------
 */

struct ended {
    bool known; /* came to its end in time */
    struct state state;
    volatile sig_atomic_t stop;
    int steps;
};

static void count_step(void *self, double share)
{
    struct ended *e = self;
    (void)share;
    e->stop = ++e->steps >= STEPS_MOST;
}

static void see_end(void *self, const struct glimpse *g)
{
    struct ended *e = self;
    if (g->moment == MOMENT_END)
        e->state = *g->state;
}

static struct ended last; /* of the scenario that was judged last */

static void run_short(const struct scenario *s, struct any_verdict *v)
{
    struct plan plan = s->plan;
    plan.length = fmin(plan.length, SHORT * DAY);
    const struct observer observer = { see_end, &last };
    const struct run_options options = { .observers = &observer,
                                         .observer_count = 1,
                                         .progress = count_step,
                                         .progress_self = &last,
                                         .stop = &last.stop };
    struct run_figures figures;
    char words[RUN_WORDS];
    (void)v;
    last = (struct ended){ 0 };
    last.known = run_simulate(&s->plant, &plan, &options, &figures, words) == STATUS_OK;
}

static bool judge(const struct any_text *t, struct ended *out)
{
    struct any_verdict v;
    last = (struct ended){ 0 };
    any_judge(t, run_short, &v);
    *out = last;
    return v.outcome == ANY_SOUND;
}

/* Largest difference of the totals, as a share of what moved. */
static double apart(const struct state *a, const struct state *b)
{
    double most = 1e-3, worst = 0.0;
    for (int k = 0; k < X_COUNT; k++)
        if (k != X_TIME && k != X_STARTS && k != X_ENERGY && k != X_RUNNING && k != X_MAKING &&
            k != X_DELIVERING)
            most = fmax(most, fabs(a->x[k]));
    for (int k = 0; k <= X_BASIN_SPILL; k++)
        worst = fmax(worst, fabs(a->x[k] - b->x[k]) / most);
    return worst;
}

/* ---- said in another way ------------------------------------------------------------------------
 */

/* Puts what a group holds in another order; a list keeps its own. */
static void shuffle(struct any_text *t, int first, int end, unsigned long *seed)
{
    static struct any_item copy[ANY_ITEMS];
    int start[ANY_ITEMS], count = 0, to = first;
    for (int i = first; i < end; i += t->item[i].size)
        start[count++] = i;
    for (int i = count - 1; i > 0; i--) {
        const int k = (int)(fixture_random(seed) * (i + 1)), kept = start[i];
        start[i] = start[k];
        start[k] = kept;
    }
    memcpy(copy, t->item, sizeof copy);
    for (int i = 0; i < count; i++) {
        memcpy(&t->item[to], &copy[start[i]], (size_t)copy[start[i]].size * sizeof *copy);
        to += copy[start[i]].size;
    }
}

static void shuffle_all(struct any_text *t, unsigned long *seed)
{
    shuffle(t, 0, t->count, seed);
    for (int i = 0; i < t->count; i++)
        if (t->item[i].form == ANY_GROUP)
            shuffle(t, i + 1, i + t->item[i].size, seed);
}

Test(alike, the_order_of_keys_and_groups_changes_nothing)
{
    static struct any_text text;
    static struct ended a, b;
    int compared = 0;
    for (int trial = 0; trial < trials(60); trial++) {
        unsigned long seed = first_seed() + (unsigned long)trial;
        any_make(seed, &text);
        const bool good = judge(&text, &a);
        shuffle_all(&text, &seed);
        cr_assert_eq(judge(&text, &b), good, "seed %d: refused in one order only", trial + 1);
        if (!good || !a.known)
            continue;
        compared++;
        cr_expect_eq(memcmp(&a.state, &b.state, sizeof a.state), 0, "seed %lu: off by %g",
                     first_seed() + (unsigned long)trial, apart(&a.state, &b.state));
    }
    cr_expect_geq(compared, trials(60) / 3, "only %d compared", compared);
}

/* A unit of a dimension drawn out of all. */
struct lot {
    enum dimension d;
    unsigned long *seed;
    int seen;
    char name[UNITS_TEXT];
    double factor, offset;
};

static void draw_unit(const char *name, enum dimension d, double factor, double offset, void *data)
{
    struct lot *lot = data;
    if (d != lot->d || fixture_random(lot->seed) >= 1.0 / ++lot->seen)
        return;
    snprintf(lot->name, sizeof lot->name, "%s", name);
    lot->factor = factor;
    lot->offset = offset;
}

/* The one dimension that a text is a quantity of, else DIM_COUNT; what needs a hint is left as it
 * is. */
static enum dimension only_dimension(const char *text, struct quantity *q)
{
    enum dimension only = DIM_COUNT;
    struct units_error e;
    struct quantity found;
    for (int d = 0; d < DIM_COUNT; d++) {
        if (!units_parse(text, (enum dimension)d, NULL, &found, &e))
            continue;
        if (only != DIM_COUNT || d == DIM_METER || d == DIM_MOLAR || d == DIM_NONE)
            return DIM_COUNT;
        only = (enum dimension)d;
        *q = found;
    }
    return only;
}

/* Says a quoted quantity in another unit, with all digits; true if it did. */
static bool reword(struct any_item *item, unsigned long *seed)
{
    char text[ANY_WORDS];
    struct quantity q;
    const size_t length = strlen(item->value);
    if (item->form != ANY_VALUE || length < 3 || item->value[0] != '"')
        return false;
    snprintf(text, sizeof text, "%.*s", (int)length - 2, item->value + 1);
    struct lot lot = { .d = only_dimension(text, &q), .seed = seed };
    if (lot.d == DIM_COUNT)
        return false;
    units_each(draw_unit, &lot);
    if (lot.seen == 0)
        return false;
    char other[ANY_WORDS];
    snprintf(other, sizeof other, "%.17g %s", q.si / lot.factor - lot.offset, lot.name);
    struct quantity back;
    struct units_error e;
    if (!units_parse(other, lot.d, NULL, &back, &e))
        return false;
    cr_assert_leq(fabs(back.si - q.si), 1e-15 * fabs(q.si) * 4.0, "%s is not %s", other, text);
    snprintf(item->value, sizeof item->value, "\"%.120s\"", other);
    return true;
}

/* A value at the very end of its range may round over it: such a scenario is left out. */
Test(alike, other_units_change_nothing_beyond_rounding)
{
    static struct any_text text;
    static struct ended a, b;
    int compared = 0, reworded = 0;
    double worst = 0.0;
    for (int trial = 0; trial < trials(60); trial++) {
        unsigned long seed = first_seed() + (unsigned long)trial;
        any_make(seed, &text);
        if (!judge(&text, &a) || !a.known)
            continue;
        for (int i = 0; i < text.count; i++)
            reworded += reword(&text.item[i], &seed);
        if (!judge(&text, &b) || !b.known)
            continue;
        compared++;
        const double off = apart(&a.state, &b.state);
        cr_expect_lt(off, 1e-6, "seed %lu: off by %g", first_seed() + (unsigned long)trial, off);
        worst = fmax(worst, off);
    }
    fprintf(stderr, "alike: %d scenarios, %d values in other units, at most %.1e apart\n", compared,
            reworded, worst);
    cr_expect_geq(compared, trials(60) / 3, "only %d compared", compared);
    cr_expect_geq(reworded, 5 * compared);
}

/* ---- two halves ---------------------------------------------------------------------------------
 */

/* By way of run_saved if the split lies within. */
static bool in_pieces(const struct scenario *s, double split, struct state *end)
{
    static struct run_saved saved;
    struct plan plan = s->plan;
    plan.length = fmin(plan.length, SHORT * DAY);
    last = (struct ended){ 0 };
    const struct run_options options = { .progress = count_step,
                                         .progress_self = &last,
                                         .stop = &last.stop };
    struct run *r = run_create(&s->plant, &plan, &options);
    enum status status = run_begin(r);
    if (status == STATUS_OK)
        status = run_until(r, fmin(split, plan.length));
    if (status == STATUS_OK && split < plan.length) {
        run_save(r, &saved);
        run_free(r);
        r = run_create(&s->plant, &plan, &options);
        run_restore(r, &saved);
        status = run_until(r, plan.length);
    }
    run_end(r);
    run_save(r, &saved);
    run_free(r);
    *end = saved.state;
    return status == STATUS_OK;
}

static void halves(const struct scenario *s, struct any_verdict *v)
{
    static struct state whole, joined;
    unsigned long seed = (unsigned long)(1e6 * s->plant.tank.height);
    const double split = fixture_random(&seed) * fmin(s->plan.length, SHORT * DAY);
    const bool known = in_pieces(s, INFINITY, &whole) && in_pieces(s, split, &joined);
    v->cut = !known;
    if (!known || memcmp(&whole, &joined, sizeof whole) == 0)
        return;
    v->outcome = ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "two halves are one");
    snprintf(v->words, sizeof v->words, "split at day %g: off by %g", split / DAY,
             apart(&whole, &joined));
}

Test(alike, two_halves_are_one_whatever_the_scenario)
{
    static struct any_text text;
    int compared = 0;
    for (int trial = 0; trial < trials(60); trial++) {
        struct any_verdict v;
        const unsigned long seed = first_seed() + (unsigned long)trial;
        any_make(seed, &text);
        any_judge(&text, halves, &v);
        cr_expect_neq(v.outcome, ANY_BROKEN, "seed %lu: %s", seed, v.words);
        compared += v.outcome == ANY_SOUND && !v.cut;
    }
    cr_expect_geq(compared, trials(60) / 3, "only %d compared", compared);
}

/* ---- twice as large -----------------------------------------------------------------------------
 */

static void double_stage(struct stage *s)
{
    if (s->kind == &stage_sediment) {
        s->params.sediment.capacity *= 2.0;
        s->params.sediment.resistance /= 2.0;
    } else if (s->kind == &stage_carbon) {
        s->params.carbon.volume *= 2.0;
        s->params.carbon.capacity *= 2.0;
        s->params.carbon.resistance /= 2.0;
    } else if (s->kind == &stage_pump) {
        s->params.pump.open_flow *= 2.0;
    } else if (s->kind == &stage_resin) {
        s->params.resin.volume *= 2.0;
    } else {
        s->params.membrane.area *= 2.0; /* of the same path: a wider channel */
        s->params.membrane.restrictor.flow *= 2.0;
        s->params.membrane.holdup.permeate *= 2.0;
        s->params.membrane.holdup.feed *= 2.0;
    }
}

/* All that has an extent; a tube is none that doubles, and is left out of both. */
static struct plant twice(const struct plant *p)
{
    struct plant q = *p;
    for (int i = 0; i < q.stages; i++)
        double_stage(&q.train[i]);
    q.line.supply_bore *= sqrt(2.0);
    q.fill.valve.seat *= sqrt(2.0);
    q.fill.shutoff.give *= 2.0;
    q.tank = tank_scaled(&p->tank, 2.0);
    q.basin.surface *= 2.0;
    q.basin.open_surface *= 2.0;
    q.basin.volume *= 2.0;
    q.topoff.flow *= 2.0;
    q.rinse.flow *= 2.0;
    return q;
}

static struct plant short_tube(unsigned long seed)
{
    struct plant p = fixture_random_plant(seed);
    p.line.tube_length = 0.0;
    p.tank.overflow.kind = OVERFLOW_NONE;
    return p;
}

static struct signals filling(const struct plant *p)
{
    static struct state s;
    struct settings set;
    struct signals sig;
    double dx[X_COUNT];
    settings_init(&set);
    set.call = true;
    plant_start(p, &s);
    plant_evaluate(p, &set, &s, 0.0, s.x, &sig, dx);
    return sig;
}

Test(alike, a_plant_of_twice_the_size_has_twice_the_flows)
{
    for (unsigned long seed = 1; seed <= 200; seed++) {
        const struct plant p = short_tube(seed), q = twice(&p);
        const struct signals a = filling(&p), b = filling(&q);
        const double pair[][2] = { { a.product_flow, b.product_flow },
                                   { a.feed_flow, b.feed_flow },
                                   { a.drain_flow, b.drain_flow },
                                   { a.evaporation, b.evaporation } };
        for (int i = 0; i < 4; i++)
            cr_expect_float_eq(pair[i][1], 2.0 * pair[i][0], 1e-8 * a.feed_flow,
                               "plant %lu, flow %d", seed, i);
        cr_expect_float_eq(b.membrane_pressure, a.membrane_pressure, 1.0, "plant %lu", seed);
    }
}

/* The first parcel has its own size, and with it a small part of what dissolves. */
Test(alike, and_a_run_twice_the_totals)
{
    static struct outcome a, b;
    for (unsigned long seed = 1; seed <= 12; seed++) {
        const struct plant p = short_tube(seed), q = twice(&p);
        struct plan plan = fixture_plan(20.0), more = plan;
        more.draw[0].take *= 2.0;
        more.draw[0].rate *= 2.0;
        fixture_run(&p, &plan, NULL, &a);
        fixture_run(&q, &more, NULL, &b);
        for (int k = 0; k <= X_DRAWN; k++)
            cr_expect_float_eq(b.state.x[k], 2.0 * a.state.x[k], 1e-3 * a.state.x[X_FEED],
                               "plant %lu, x[%d]: %g and %g", seed, k, a.state.x[k], b.state.x[k]);
        const double held[] = { plant_held(&p, &a.state, SODIUM),
                                plant_held(&q, &b.state, SODIUM) };
        cr_expect_float_eq(held[1] / held[0], 2.0, 0.01, "plant %lu: sodium %g and %g", seed,
                           held[0], held[1]);
    }
}

/* ---- more of it ---------------------------------------------------------------------------------
 */

Test(alike, more_membrane_never_makes_less)
{
    unsigned long draw = 5;
    int seen = 0;
    for (unsigned long seed = 1; seed <= 300; seed++) {
        struct plant p = fixture_random_plant(seed);
        if (p.membrane < 0)
            continue;
        struct membrane *m = &p.train[p.membrane].params.membrane;
        double before = 0.0;
        m->area *= 0.5;
        for (int step = 0; step < 8; step++) {
            const struct signals sig = filling(&p);
            cr_expect_geq(sig.product_flow, before * (1.0 - 1e-9),
                          "plant %lu: %g m2 make %g, less %g", seed, m->area, sig.product_flow,
                          before);
            before = sig.product_flow;
            m->area *= 1.0 + 0.3 * fixture_random(&draw);
        }
        seen += before > 0.0;
    }
    cr_expect_gt(seen, 100);
}

/* Whatever is open: at the same state more demand lets the water fall the faster. */
Test(alike, more_demand_never_raises_the_rate_of_the_tank)
{
    static struct state s;
    unsigned long draw = 6;
    for (unsigned long seed = 1; seed <= 200; seed++) {
        const struct plant p = fixture_random_plant(seed);
        struct settings set;
        struct signals sig;
        double dx[X_COUNT], before = INFINITY;
        settings_init(&set);
        set.call = fixture_random(&draw) < 0.5;
        set.tank_dry = fixture_random(&draw) < 0.3;
        set.topoff_call = fixture_random(&draw) < 0.5;
        set.overflow_running = fixture_random(&draw) < 0.5;
        plant_start(&p, &s);
        s.x[X_TANK] *= fixture_random(&draw);
        for (int step = 0; step < 6; step++) {
            set.draw = 2e-5 * step;
            plant_evaluate(&p, &set, &s, 0.0, s.x, &sig, dx);
            cr_expect_leq(dx[X_TANK], before + 1e-18, "plant %lu, draw %g: %g above %g", seed,
                          set.draw, dx[X_TANK], before);
            before = dx[X_TANK];
        }
    }
}

/* And over a run where a float valve fills, which has no memory as switches have. */
struct levels {
    double level[800];
    int count;
};

static void see_level(void *self, const struct glimpse *g)
{
    struct levels *l = self;
    if (g->moment == MOMENT_SAMPLE && l->count < 800)
        l->level[l->count++] = g->signals->tank_level;
}

Test(alike, more_demand_never_raises_a_tank_that_a_float_fills)
{
    static struct levels before, now;
    struct plant p = fixture_plant();
    p.fill = (struct fill){ .float_valve = true, .valve = { 0.7, 0.02, 2.5e-3 } };
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    for (int step = 0; step < 5; step++) {
        struct plan plan = fixture_plan(4.0);
        static struct outcome out;
        plan.draw[0] = (struct draw){ 10e-3 * step, DAY, 0.3 * DAY, 8e-3 / 60.0 };
        plan.draws = step > 0;
        const struct observer o = { see_level, &now };
        now.count = 0;
        fixture_run(&p, &plan, &o, &out);
        cr_assert_geq(now.count, 500);
        for (int k = 0; step > 0 && k < now.count; k++)
            cr_expect_leq(now.level[k], before.level[k] + 1e-5, "%d x 10 L, row %d: %g above %g",
                          step, k, now.level[k], before.level[k]);
        before = now;
    }
}
