/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_year: see rinse_year.h.
 */
#include "rinse_year.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calm.h"
#include "rinse_year_pieces.h"
#include "sizing.h"

static const double DAY = 86400.0;                    /* s */
static const double YEAR = 365.25 * 86400.0;          /* s */
static const double FLOW_DUE = 0.85;                  /* common practice: 10 to 15 % of flow lost */
static const double PASSAGE_DUE = 2.0;                /* assumption: it keeps back half as well */
static const double LONGEST = 10.0;                   /* years that any part is kept: assumption */
static const double MEMBRANE_PRICE = 40.0;            /* assumption */
static const double RESIN_PRICE = 25.0;               /* assumption */
static const double BED_LEAST = 0.3, BED_MOST = 0.95; /* used, between which a reading ends a bed */

enum { PIECES = 12, BED_PIECES = 12 * 5, HALVINGS = 60 };

/* ---- wear in the middle of a life -------------------------------------------------------------
 */

static struct wear_state wear_sum(const struct wear_state *a, double f, const struct wear_state *b)
{
    return (struct wear_state){ .cake = a->cake + f * b->cake,
                                .layer = fmax(a->layer + f * b->layer, 0.0),
                                .scale = fmax(a->scale + f * b->scale, 0.0),
                                .dose = fmax(a->dose + f * b->dose, 0.0),
                                .biofilm = fmax(a->biofilm + f * b->biofilm, 0.0),
                                .run = fmax(a->run + f * b->run, 0.0),
                                .age = fmax(a->age + f * b->age, 0.0) };
}

/* Gained over `t` at rates [1/s]; the loose deposit does not grow with time. */
static struct wear_state wear_after(const struct wear_state *rates, double t, double cake)
{
    static const struct wear_state none = { 0 };
    struct wear_state w = wear_sum(&none, t, rates);
    w.cake = cake;
    return w;
}

static double flow_at(const struct rinse_case *c, const struct wear_state *w)
{
    const struct membrane *m = &c->plant.train[c->plant.membrane].params.membrane;
    return wear_flow_factor(&m->wear, w, membrane_area(m));
}

static enum rinse_end ended(const struct rinse_case *c, const struct wear_state *w)
{
    const struct membrane *m = &c->plant.train[c->plant.membrane].params.membrane;
    const double flow = flow_at(c, w);
    if (flow <= c->flow)
        return RINSE_END_FLOW;
    return wear_salt_factor(&m->wear, w) / flow >= c->passage ? RINSE_END_PASSAGE : RINSE_END_NONE;
}

/* When a membrane that wears at these rates is due [s]. */
static double life_of(const struct rinse_case *c, const struct wear_state *rates, double cake,
                      enum rinse_end *why)
{
    const double longest =
        fmin(LONGEST * YEAR, isnan(c->membrane_calendar) ? INFINITY : c->membrane_calendar);
    struct wear_state w = wear_after(rates, longest, cake);
    *why = ended(c, &w);
    if (*why == RINSE_END_NONE) {
        *why = RINSE_END_CALENDAR;
        return longest;
    }
    double from = 0.0, to = longest;
    for (int i = 0; i < HALVINGS; i++) {
        const double t = 0.5 * (from + to);
        w = wear_after(rates, t, cake);
        const enum rinse_end then = ended(c, &w);
        if (then == RINSE_END_NONE)
            from = t;
        else
            to = t;
        *why = then == RINSE_END_NONE ? *why : then;
    }
    return to;
}

static void undisturbed(struct plan *plan)
{
    calm_plan(plan);
    plan->commissioning.at_start = false;
}

/* ---- a year -----------------------------------------------------------------------------------
 */

struct gained {
    struct wear_state wear;         /* over */
    double time;                    /* s */
    double x[X_COUNT];              /* at the start of the year */
    double load[RINSE_SIDES], cake; /* the same of the watch */
    double used[STAGES_MAX];
};

static void begin_year(const struct rinse_pieces *p, struct gained *g)
{
    memcpy(g->x, p->at.state.x, sizeof g->x);
    memcpy(g->load, p->watch.load, sizeof g->load);
    memcpy(g->used, p->used, sizeof g->used);
    g->cake = p->watch.cake;
}

/* Puts the wear where the middle of a life lies, less half of what the piece will add. */
static void put_midway(struct rinse_pieces *p, const struct wear_state *rates, double piece)
{
    struct wear_state *w = rinse_pieces_wear(p);
    enum rinse_end why;
    const double life = life_of(p->c, rates, w->cake, &why);
    *w = wear_after(rates, fmax(0.5 * life - 0.5 * piece, 0.0), w->cake);
}

static struct wear_state rates_of(const struct wear_state *gained, double time)
{
    static const struct wear_state none = { 0 };
    return wear_sum(&none, 1.0 / time, gained);
}

static enum status run_year(struct rinse_pieces *p, struct gained *g)
{
    const double piece = p->c->span / PIECES;
    TRY(run_begin(p->run));
    TRY(rinse_pieces_go(p, piece)); /* from new, to see about how fast it wears */
    begin_year(p, g);
    struct wear_state rates = rates_of(rinse_pieces_wear(p), piece);
    for (int i = 1; i <= PIECES; i++) {
        put_midway(p, &rates, piece);
        rinse_pieces_refresh(p);
        rinse_pieces_renew(p);
        const struct wear_state before = *rinse_pieces_wear(p);
        TRY(rinse_pieces_go(p, (i + 1) * piece));
        const struct wear_state more = wear_sum(rinse_pieces_wear(p), -1.0, &before);
        g->wear = wear_sum(&g->wear, 1.0, &more);
        g->time += piece;
        rates = rates_of(&g->wear, g->time);
    }
    return STATUS_OK;
}

static double money_of_prefilters(const struct rinse_pieces *p, const struct gained *g,
                                  double scale)
{
    double sum = 0.0;
    for (int k = 0; k < p->plant->membrane; k++) {
        const double calendar = p->plan.rule[k].calendar; /* NAN: not by this */
        const double lives = scale * (p->used[k] - g->used[k]);
        sum += p->plan.prices.stage[k] * (calendar > 0.0 ? fmax(lives, YEAR / calendar) : lives);
    }
    return sum;
}

static double bed_life(const struct rinse_case *c, double load_of_year)
{
    double life = fmin(YEAR * c->resin_load / load_of_year, LONGEST * YEAR);
    return isnan(c->resin_calendar) ? life : fmin(life, c->resin_calendar);
}

/* What was made and what was used differ by what stands in the tank: counted is what was used. */
static void count(const struct rinse_pieces *p, const struct gained *g, struct rinse_year *y)
{
    const struct rinse_case *c = p->c;
    const struct prices *prices = &c->plan.prices;
    double d[X_COUNT];
    for (int k = 0; k < X_COUNT; k++)
        d[k] = p->at.state.x[k] - g->x[k];
    const double used = d[X_TOPOFF] + d[X_DRAWN], net = d[X_DELIVERED] - d[X_RINSED];
    if (!(used > 0.0 && net > 0.0))
        return;
    const double made = used / net, scale = made * YEAR / g->time;
    y->served = used * YEAR / g->time;
    y->feed = scale * d[X_FEED];
    y->lost = scale * (d[X_DIVERTED] + d[X_RINSED]);
    y->drain = scale * d[X_DRAIN] + y->lost;
    y->water = prices->water * y->feed;
    y->sewer = prices->sewer * y->drain;
    y->electricity = prices->electricity * scale * d[X_ENERGY];
    struct wear_state rates = rates_of(&g->wear, g->time / made);
    rates.age = 1.0;
    const double cake = (p->watch.cake - g->cake) / g->time;
    y->membrane_life = life_of(c, &rates, cake, &y->membrane_end);
    y->membrane = c->membrane_price * YEAR / y->membrane_life;
    const struct wear_state settled = wear_after(&rates, YEAR, 0.0), new = { .run = settled.run };
    y->flow_lost = 1.0 - flow_at(c, &settled) / flow_at(c, &new);
    y->resin_life = INFINITY;
    if (c->has_resin) {
        const int side = c->load_side;
        y->resin_life = bed_life(c, scale * (p->watch.load[side] - g->load[side]));
        y->resin = c->resin_price * YEAR / y->resin_life;
    }
    y->prefilters = money_of_prefilters(p, g, scale);
    y->total = y->water + y->sewer + y->electricity + y->membrane + y->resin + y->prefilters;
}

struct rinse_year rinse_year_of(const struct rinse_case *c, const struct rinse *programme,
                                const volatile sig_atomic_t *stop)
{
    struct rinse_year y = { .status = STATUS_MEMORY, .total = INFINITY };
    struct plant *plant = malloc(sizeof *plant);
    struct rinse_pieces *p = NULL;
    if (plant) {
        *plant = c->plant;
        plant->rinse = *programme;
        p = rinse_pieces_create(c, plant, c->span * (PIECES + 2) / PIECES, stop);
    }
    if (p) {
        struct gained g = { 0 };
        y.status = run_year(p, &g);
        if (y.status == STATUS_OK)
            count(p, &g, &y);
        rinse_pieces_free(p);
    }
    free(plant);
    return y;
}

struct rinse rinse_year_none(const struct rinse *like)
{
    return (struct rinse){
        .every = INFINITY, .bypass = like->bypass, .divert_below = NAN, .flow = like->flow
    };
}

/* ---- what all have in common ------------------------------------------------------------------
 */

static int pieces_of(const struct stage *s)
{
    return s->kind == &stage_membrane ? s->params.membrane.elements : 1;
}

static void take_prices(struct rinse_case *c, const struct plant *p, const struct plan *plan)
{
    double membrane = plan->prices.stage[p->membrane];
    c->membrane_assumed = !(membrane > 0.0);
    c->membrane_price =
        pieces_of(&p->train[p->membrane]) * (c->membrane_assumed ? MEMBRANE_PRICE : membrane);
    c->membrane_calendar = plan->rule[p->membrane].calendar;
    c->resin_calendar = NAN;
    for (int k = p->membrane + 1; k < p->stages; k++) {
        if (p->train[k].kind != &stage_resin)
            continue;
        c->has_resin = true;
        const double price = plan->prices.stage[k];
        c->resin_assumed |= !(price > 0.0);
        c->resin_price += price > 0.0 ? price : RESIN_PRICE;
        c->resin_calendar = fmin(c->resin_calendar, plan->rule[k].calendar);
    }
}

static void take_rules(struct rinse_case *c, const struct rule *rule)
{
    c->flow_assumed = isnan(rule->flow) && isnan(rule->passage);
    c->flow = c->flow_assumed ? FLOW_DUE : rule->flow > 0.0 ? rule->flow : 0.0;
    c->passage = c->flow_assumed ? PASSAGE_DUE : rule->passage > 0.0 ? rule->passage : INFINITY;
}

/* Which side of the last bed is fuller. */
static int fuller_side(const struct resin *p, const struct resin_state *s)
{
    double used[RINSE_SIDES] = { 0 };
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (i != SOLIDS && i != SALT && i != CHLORINE && i != CHLORAMINE)
            used[!(species[i].charge > 0)] += resin_share(p, s, (enum species)i);
    return used[1] > used[0];
}

/* Runs the beds to their end behind a membrane in the middle of its life, without any rinse. */
static enum status run_beds(struct rinse_case *c, struct rinse_pieces *p, int bed)
{
    const double piece = 365.0 / 12.0 * DAY;
    TRY(run_begin(p->run));
    for (int i = 1; i <= BED_PIECES; i++) {
        TRY(rinse_pieces_go(p, i * piece));
        const double used = rinse_pieces_used(p, bed);
        const bool read = p->watch.passed && used > BED_LEAST;
        if (read || used > BED_MOST || i == BED_PIECES) {
            c->load_side =
                fuller_side(&p->plant->train[bed].params.resin, &p->at.state.stage[bed].resin);
            c->resin_load = read ? p->watch.load_passed[c->load_side]
                                 : p->watch.load[c->load_side] / fmax(used, 1e-9);
            return STATUS_OK;
        }
        rinse_pieces_refresh(p);
        rinse_pieces_renew(p);
    }
    return STATUS_OK;
}

/* Wear that does not move, half-way to where the membrane is due. */
static enum status fill_beds(struct rinse_case *c, const struct plant *p,
                             const volatile sig_atomic_t *stop)
{
    struct plant *still = malloc(sizeof *still);
    if (!still)
        return STATUS_MEMORY;
    *still = *p;
    calm_feed(still);
    still->rinse = rinse_year_none(&p->rinse);
    int bed = p->membrane;
    for (int k = p->membrane + 1; k < p->stages; k++)
        bed = p->train[k].kind == &stage_resin ? k : bed;
    struct membrane *m = &still->train[p->membrane].params.membrane;
    m->wear.on = false;
    m->water_permeability *= 0.5 * (1.0 - m->wear.creep + fmax(c->flow, 0.5));
    enum status status = STATUS_MEMORY;
    struct rinse_pieces *run =
        rinse_pieces_create(c, still, (BED_PIECES + 1) * 365.0 / 12.0 * DAY, stop);
    if (run) {
        run->plan.limits.product = sizing_product_limit(&c->plan);
        status = run_beds(c, run, bed);
        rinse_pieces_free(run);
    }
    free(still);
    return status;
}

enum status rinse_year_prepare(struct rinse_case *c, const struct plant *p, const struct plan *plan,
                               double span, const volatile sig_atomic_t *stop)
{
    memset(c, 0, sizeof *c);
    c->plant = *p;
    c->plant.stages = p->membrane + 1;
    calm_feed(&c->plant);
    c->plan = *plan;
    c->span = span;
    undisturbed(&c->plan);
    take_prices(c, p, plan);
    take_rules(c, &plan->rule[p->membrane]);
    return c->has_resin ? fill_beds(c, p, stop) : STATUS_OK;
}
