/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "any_check.h"

#include <float.h>
#include <math.h>
#include <stddef.h>
#include <stdarg.h>
#include <string.h>

#include "sim/balance.h"

static const double DAY = 86400.0;    /* s */
static const double BALANCE = 1e-9;   /* relative */
static const double ROUNDING = 1e-12; /* of shares and of what cannot be negative, relative */
static const double TYPICAL = 1e-2;   /* m3, of which the integrator keeps its tolerance */
static const double RIM = 1e-6;       /* m3 and relative: the rim is a mode with a band */

enum { STEPS_MOST = 2500, PARCELS_MOST = 800 }; /* longer runs are cut short there */

struct watch {
    struct any_verdict *verdict;
    const struct observer *first;
    volatile sig_atomic_t stop;
    double scale[SPECIES_COUNT]; /* what came in of each, for rounding */
};

__attribute__((format(printf, 4, 5))) static void broken(struct watch *w, const struct glimpse *g,
                                                         const char *rule, const char *format, ...)
{
    struct any_verdict *v = w->verdict;
    if (v->outcome == ANY_BROKEN)
        return; /* the first one tells */
    v->outcome = ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "%s", rule);
    const int used = snprintf(v->words, sizeof v->words, "%s, day %.6f: ", rule, g->t / DAY);
    va_list list;
    va_start(list, format);
    vsnprintf(v->words + used, sizeof v->words - (size_t)used, format, list);
    va_end(list);
    w->stop = 1;
}

/* ---- signals ------------------------------------------------------------------------------------
 */

struct bound {
    const char *name;
    size_t offset; /* in struct signals */
    double low, high;
};

#define SIGNAL(member, low, high)                                                                  \
    {                                                                                              \
#member, offsetof(struct signals, member), low, high                                       \
    }

static const struct bound bounds[] = {
    SIGNAL(float_opening, 0.0, 1.0),     SIGNAL(duty, 0.0, 1.0),
    SIGNAL(feed_flow, 0.0, INFINITY),    SIGNAL(drain_flow, 0.0, INFINITY),
    SIGNAL(product_flow, 0.0, INFINITY), SIGNAL(overflow_flow, 0.0, INFINITY),
    SIGNAL(spill_flow, 0.0, INFINITY),   SIGNAL(topoff_flow, 0.0, INFINITY),
    SIGNAL(draw_flow, 0.0, INFINITY),    SIGNAL(basin_spill_flow, 0.0, INFINITY),
    SIGNAL(divert_flow, 0.0, INFINITY),  SIGNAL(starts, 0.0, INFINITY),
    SIGNAL(power, 0.0, INFINITY),        SIGNAL(supply_pressure, 0.0, INFINITY),
    SIGNAL(tank_level, 0.0, INFINITY),
};

/* Signals are a plain row of doubles. */
static void check_signals(struct watch *w, const struct glimpse *g)
{
    const double *all = (const double *)g->signals;
    for (size_t k = 0; k < offsetof(struct signals, line) / sizeof *all; k++)
        if (!isfinite(all[k]))
            broken(w, g, "signals are finite", "number %zu is %g", k, all[k]);
    for (size_t k = 0; k < sizeof bounds / sizeof *bounds; k++) {
        const double value = all[bounds[k].offset / sizeof *all];
        if (!(value >= bounds[k].low && value <= bounds[k].high))
            broken(w, g, "signals in their bounds", "%s is %.17g", bounds[k].name, value);
    }
    const double opening = plant_feed_opening(g->plant, g->settings);
    if (!(opening >= 0.0 && opening <= 1.0))
        broken(w, g, "openings in [0, 1]", "the feed is %g open", opening);
}

/* ---- volumes ------------------------------------------------------------------------------------
 */

static void check_volume(struct watch *w, const struct glimpse *g, const char *name, double volume,
                         double full)
{
    const double error = 10.0 * g->plan->tolerance * TYPICAL; /* of the integrator, in some steps */
    if (!(volume >= -error && volume <= full * (1.0 + RIM) + RIM + error))
        broken(w, g, "volumes in their vessels", "%s holds %.17g of %.17g m3", name, volume, full);
}

static void check_volumes(struct watch *w, const struct glimpse *g)
{
    for (int k = 0; k < X_COUNT; k++)
        if (!isfinite(g->x[k]))
            broken(w, g, "states are finite", "x[%d] is %g", k, g->x[k]);
    check_volume(w, g, "the tank", g->x[X_TANK], tank_full(&g->plant->tank));
    if (g->plant->has_basin)
        check_volume(w, g, "the basin", g->x[X_BASIN], basin_rim_volume(&g->plant->basin));
}

/* ---- amounts ------------------------------------------------------------------------------------
 */

static void note_scale(struct watch *w, const struct glimpse *g)
{
    const struct ledger *l = &g->state->ledger;
    for (int i = 0; i < SPECIES_COUNT; i++)
        w->scale[i] = l->start[i] + account_total(&l->in[i]);
}

/* What underflows may end at -1e-321: DBL_MIN is nothing. */
static void check_vessel(struct watch *w, const struct glimpse *g, const char *name,
                         const struct vessel *v)
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (!(v->amount[i] >= -DBL_MIN) || !isfinite(v->amount[i]))
            broken(w, g, "no negative amounts", "%s of %s is %.17g", species[i].key, name,
                   v->amount[i]);
}

static void check_composition(struct watch *w, const struct glimpse *g, const char *name,
                              const double c[])
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (!(c[i] >= -DBL_MIN) || !isfinite(c[i]))
            broken(w, g, "no negative concentrations", "%s of the %s is %.17g", species[i].key,
                   name, c[i]);
}

static void check_exits(struct watch *w, const struct glimpse *g)
{
    const struct ledger *l = &g->state->ledger;
    for (int e = 0; e < EXIT_COUNT; e++)
        for (int i = 0; i < SPECIES_COUNT; i++)
            if (!(account_total(&l->out[e][i]) >= -ROUNDING * w->scale[i]))
                broken(w, g, "no negative amounts", "%s left by %s: %.17g", species[i].key,
                       exit_name[e], account_total(&l->out[e][i]));
}

/* ---- beds ---------------------------------------------------------------------------------------
 */

static void check_share(struct watch *w, const struct glimpse *g, const char *what, int stage,
                        double share)
{
    if (!(share >= 0.0 && share <= 1.0 + ROUNDING))
        broken(w, g, "shares in [0, 1]", "%s of %s is %.17g", what, g->plant->train[stage].name,
               share);
}

static void check_cell(struct watch *w, const struct glimpse *g, int stage, const double y[])
{
    double cations = 0.0, anions = 0.0;
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        check_share(w, g, species[i].key, stage, y[i]);
        *(i <= LAST_CATION ? &cations : &anions) += y[i];
    }
    check_share(w, g, "all cations", stage, cations);
    check_share(w, g, "all anions", stage, anions);
}

static void check_resin(struct watch *w, const struct glimpse *g, int stage)
{
    const struct resin *p = &g->plant->train[stage].params.resin;
    const struct resin_state *s = &g->state->stage[stage].resin;
    for (int path = 0; path < RESIN_PATHS; path++)
        for (int k = 0; k < p->cells; k++)
            check_cell(w, g, stage, s->y[path][k]);
}

static void check_carbon(struct watch *w, const struct glimpse *g, int stage)
{
    for (int k = 0; k < g->plant->train[stage].params.carbon.cells; k++)
        check_share(w, g, "what is left", stage, g->state->stage[stage].carbon.left[k]);
}

static void check_sediment(struct watch *w, const struct glimpse *g, int stage)
{
    const double capacity = g->plant->train[stage].params.sediment.capacity;
    check_share(w, g, "what it holds", stage, g->state->stage[stage].sediment.mass / capacity);
}

/* A and B of a membrane: swollen threefold at most, worn a thousandfold at most. */
static void check_membrane(struct watch *w, const struct glimpse *g, int stage)
{
    const struct membrane *p = &g->plant->train[stage].params.membrane;
    const struct membrane_state *s = &g->state->stage[stage].membrane;
    const double wear[] = { s->wear.cake, s->wear.layer,   s->wear.scale, s->wear.dose,
                            s->wear.run,  s->wear.biofilm, s->wear.age };
    for (size_t k = 0; k < sizeof wear / sizeof *wear; k++)
        if (!(wear[k] >= 0.0))
            broken(w, g, "wear is not negative", "number %zu of %s is %.17g", k,
                   g->plant->train[stage].name, wear[k]);
    const double flow = wear_flow_factor(&p->wear, &s->wear, p->area);
    const double salt = wear_salt_factor(&p->wear, &s->wear);
    if (!(flow > 0.0 && flow <= 3.0) || !(salt >= 1.0 && salt <= 1100.0))
        broken(w, g, "wear in its range", "flow %g, salt %g", flow, salt);
    check_vessel(w, g, "the permeate side", &s->holdup.permeate);
    check_vessel(w, g, "the feed side", &s->holdup.feed);
}

static const struct {
    const struct stage_kind *kind;
    void (*check)(struct watch *, const struct glimpse *, int);
} kinds[] = {
    { &stage_sediment, check_sediment },
    { &stage_carbon, check_carbon },
    { &stage_resin, check_resin },
    { &stage_membrane, check_membrane },
};

/* What holds for every kind, and what for this one. */
static void check_stage(struct watch *w, const struct glimpse *g, int stage)
{
    const struct stage *s = &g->plant->train[stage];
    const union stage_state *state = &g->state->stage[stage];
    check_share(w, g, "the used share", stage, s->kind->used(&s->params, state));
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double held = s->kind->held(&s->params, state, (enum species)i);
        if (!(held >= -DBL_MIN) || !isfinite(held))
            broken(w, g, "no negative amounts", "%s in %s is %.17g", species[i].key, s->name, held);
    }
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        if (kinds[k].kind == s->kind)
            kinds[k].check(w, g, stage);
}

/* ---- the balance --------------------------------------------------------------------------------
 */

static void check_balance(struct watch *w, const struct glimpse *g)
{
    struct balance_row row[BALANCE_ROWS];
    balance_of(g->plant, g->state, row);
    for (int k = 0; k < BALANCE_ROWS; k++) {
        if (!(fabs(row[k].error) <= BALANCE))
            broken(w, g, "the balance closes", "%s is off by %g", row[k].name, row[k].error);
        /* of what never came in, nothing may be there */
        if (row[k].start + row[k].in == 0.0 && row[k].held != 0.0)
            broken(w, g, "the balance closes", "%g %s of %s came from nothing", row[k].held,
                   row[k].unit, row[k].name);
    }
    w->verdict->worst = fmax(w->verdict->worst, balance_worst(row));
}

/* ---- looking ------------------------------------------------------------------------------------
 */

/* Beds, vessels and ledger are those of the last parcel. */
static void see_parcel(struct watch *w, const struct glimpse *g)
{
    note_scale(w, g);
    check_vessel(w, g, "the tank", &g->state->tank);
    check_vessel(w, g, "the basin", &g->state->basin);
    check_composition(w, g, "product", g->state->readings.product_c);
    check_composition(w, g, "permeate", g->state->readings.permeate_c);
    check_exits(w, g);
    for (int k = 0; k < g->plant->stages; k++)
        check_stage(w, g, k);
    check_balance(w, g);
}

static void see(void *self, const struct glimpse *g)
{
    struct watch *w = self;
    if (w->first != NULL)
        w->first->see(w->first->self, g);
    if (w->verdict->outcome == ANY_BROKEN)
        return;
    check_signals(w, g);
    check_volumes(w, g);
    if (g->moment == MOMENT_PARCEL || g->moment == MOMENT_START || g->moment == MOMENT_END)
        see_parcel(w, g);
    w->verdict->parcels += g->moment == MOMENT_PARCEL;
}

static void count_step(void *self, double share)
{
    struct watch *w = self;
    (void)share;
    if (++w->verdict->steps >= STEPS_MOST || w->verdict->parcels >= PARCELS_MOST) {
        w->verdict->cut = true;
        w->stop = 1;
    }
}

/* A run that ended by itself, or was stopped by us. */
static void note_end(struct any_verdict *v, enum status status, const char *words)
{
    if (status == STATUS_OK || status == STATUS_INTERRUPTED || v->outcome == ANY_BROKEN)
        return;
    v->outcome = ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "the run ends well");
    snprintf(v->words, sizeof v->words, "%s", words);
}

void any_sound_with(const struct scenario *s, const struct observer *first, struct any_verdict *v)
{
    struct watch w = { .verdict = v, .first = first };
    const struct observer observer = { see, &w };
    const struct run_options options = { .observers = &observer,
                                         .observer_count = 1,
                                         .progress = count_step,
                                         .progress_self = &w,
                                         .stop = &w.stop };
    struct run_figures figures;
    char words[RUN_WORDS];
    note_end(v, run_simulate(&s->plant, &s->plan, &options, &figures, words), words);
}

void any_sound(const struct scenario *s, struct any_verdict *v)
{
    any_sound_with(s, NULL, v);
}

/* ---- how often it is recorded -------------------------------------------------------------------
 */

/* All that a run gave: its final state and signals, and a sum over the events. */
struct trace {
    struct any_verdict verdict;
    volatile sig_atomic_t stop;
    unsigned long events;
    struct state state;
    struct signals signals;
};

static void mix(struct trace *t, const void *bytes, size_t size)
{
    for (const unsigned char *p = bytes; size > 0; size--)
        t->events = (t->events ^ *p++) * 1099511628211UL; /* FNV-1a */
}

static void see_trace(void *self, const struct glimpse *g)
{
    struct trace *t = self;
    if (g->moment == MOMENT_CHANGE) {
        mix(t, &g->t, sizeof g->t);
        mix(t, g->change->kind, strlen(g->change->kind));
        mix(t, g->change->part, strlen(g->change->part));
        mix(t, g->change->words, strlen(g->change->words));
    }
    t->verdict.parcels += g->moment == MOMENT_PARCEL;
    if (g->moment == MOMENT_END) {
        t->state = *g->state;
        t->signals = *g->signals;
    }
}

static void count_trace(void *self, double share)
{
    struct trace *t = self;
    (void)share;
    t->stop = ++t->verdict.steps >= STEPS_MOST || t->verdict.parcels >= PARCELS_MOST;
}

static void run_trace(const struct scenario *s, double record, struct trace *t)
{
    memset(t, 0, sizeof *t);
    struct plan plan = s->plan;
    plan.record = record;
    const struct observer observer = { see_trace, t };
    const struct run_options options = { .observers = &observer,
                                         .observer_count = 1,
                                         .progress = count_trace,
                                         .progress_self = t,
                                         .stop = &t->stop };
    struct run_figures figures;
    char words[RUN_WORDS];
    note_end(&t->verdict, run_simulate(&s->plant, &plan, &options, &figures, words), words);
}

void any_same_records(const struct scenario *s, struct any_verdict *v)
{
    static struct trace often, seldom;
    run_trace(s, 60.0, &often);
    run_trace(s, DAY, &seldom);
    const bool same = memcmp(&often.state, &seldom.state, sizeof often.state) == 0 &&
                      memcmp(&often.signals, &seldom.signals, offsetof(struct signals, line)) == 0;
    v->steps = often.verdict.steps;
    v->parcels = often.verdict.parcels;
    v->cut = often.stop != 0;
    if (same && often.events == seldom.events)
        return;
    v->outcome = ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "records only look");
    snprintf(v->words, sizeof v->words, "other %s with records every minute than every day",
             same ? "events" : "totals");
}
