/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_carry: how what is in the water moves.  Page: docs/plant.md.
 *
 * The water that moved since the parcel opened goes down the line in one piece.  What it brings in
 * and what leaves by each exit is entered in the ledger, species by species.
 */
#include <math.h>
#include <string.h>

#include "plant.h"
#include "water.h"

static const double PARCEL_FIRST = 1e-4; /* m3 of product: the first parcel tells the limits */

const char *const exit_name[EXIT_COUNT] = {
    [EXIT_DRAIN] = "drain",
    [EXIT_DIVERTED] = "diverted",
    [EXIT_OVERFLOW] = "overflow pipe",
    [EXIT_SPILL] = "spill from tank",
    [EXIT_DRAWN] = "drawn",
    [EXIT_BASIN_SPILL] = "spill from served water",
    [EXIT_AIR] = "air",
    [EXIT_CARTRIDGE] = "old cartridges",
};

/* Neumaier's compensated sum: a year of small parcels loses no digit. */
void account_add(struct account *a, double amount)
{
    const double sum = a->sum + amount;
    a->rest += fabs(a->sum) >= fabs(amount) ? (a->sum - sum) + amount : (amount - sum) + a->sum;
    a->sum = sum;
}

double account_total(const struct account *a)
{
    return a->sum + a->rest;
}

static void exit_add(struct ledger *l, enum exit_kind exit, double volume, const double amount[])
{
    account_add(&l->water_out[exit], volume);
    for (int i = 0; i < SPECIES_COUNT; i++)
        account_add(&l->out[exit][i], amount[i]);
}

static void exit_add_parcel(struct ledger *l, enum exit_kind exit, const struct parcel *w)
{
    double amount[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++)
        amount[i] = w->c[i] * w->volume;
    exit_add(l, exit, w->volume, amount);
}

double plant_held(const struct plant *p, const struct state *s, enum species i)
{
    double held = s->tank.amount[i] + s->basin.amount[i] + s->bladder.amount[i];
    for (int k = 0; k < p->stages; k++)
        held += p->train[k].kind->held(&p->train[k].params, &s->stage[k], i);
    return held;
}

double plant_water_held(const struct state *s)
{
    return s->x[X_TANK] + s->x[X_BASIN] + s->x[X_BLADDER];
}

double plant_on_floor(const struct plant *p, const double x[])
{
    const double pan = p->fill.drip_pan ? p->fill.pan_volume : 0.0;
    return fmax(x[X_SPILL] - pan, 0.0) + x[X_BASIN_SPILL];
}

static void open_parcel(struct state *s)
{
    s->opened = s->t;
    s->flow_opened = s->delivery_opened = 0.0;
    memcpy(s->x_opened, s->x, sizeof s->x);
}

/* Of the water behind a new part nothing is known yet. */
static void forget_behind(struct state *s, int stage)
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        s->readings.behind[stage][i] = NAN;
}

void plant_start(const struct plant *p, struct state *s)
{
    memset(s, 0, sizeof *s);
    for (int i = 0; i < p->stages; i++)
        p->train[i].kind->start(&p->train[i].params, &s->stage[i]);

    s->x[X_TANK] = s->tank.volume = tank_volume(&p->tank, p->tank_start);
    if (p->has_basin) {
        s->x[X_BASIN] = s->basin.volume = p->basin.volume;
        const double density = water_sea_density(p->basin.salinity, p->basin.water.mean);
        s->basin.amount[SALT] = 1e-3 * p->basin.salinity * density * p->basin.volume;
    }

    if (p->has_bladder)
        s->x[X_BLADDER] = s->bladder.volume = p->bladder.first;

    struct readings *r = &s->readings; /* nothing has been read yet */
    r->feed = r->permeate = r->product = r->product_ph = NAN;
    r->product_silica = r->product_carbon = NAN;
    for (int k = 0; k < p->stages; k++)
        forget_behind(s, k);

    const struct feed_now feed = feed_at(&p->feed, 0.0);
    const struct speciation forms = water_speciate(feed.c, feed.temperature);
    s->osmolarity = water_osmolarity(feed.c, &forms);
    s->feed_limit = INFINITY;
    s->parcel_limit = PARCEL_FIRST;

    s->ledger.water_start = plant_water_held(s);
    for (int i = 0; i < SPECIES_COUNT; i++)
        s->ledger.start[i] = plant_held(p, s, (enum species)i);
    open_parcel(s);
    plant_set_reference(p, s);
}

static double conductivity_25(const double c[])
{
    const struct speciation forms = water_speciate(c, 25.0);
    return water_conductivity(c, &forms);
}

/* One stage; its concentrate goes to the drain. */
static void pass_stage(const struct plant *p, struct state *s, int k, struct parcel *water,
                       const struct stage_passage *how)
{
    const struct stage_kind *kind = p->train[k].kind;
    double *limit = k < p->membrane ? &s->feed_limit : &s->parcel_limit;
    *limit = fmin(*limit, kind->parcel_limit(&p->train[k].params, &s->stage[k], water->c));

    struct stage_exits exits = { 0 };
    kind->carry(&p->train[k].params, &s->stage[k], water, how, &exits);
    exit_add_parcel(&s->ledger, EXIT_DRAIN, &exits.drain);
    account_add(&s->ledger.nitrogen, exits.nitrogen);
    if (water->volume > 0.0)
        memcpy(s->readings.behind[k], water->c, sizeof water->c);
}

static void read_membrane_inlet(struct state *s, const struct parcel *water)
{
    const struct speciation forms = water_speciate(water->c, water->temperature);
    s->osmolarity = water_osmolarity(water->c, &forms);
    s->readings.membrane_oxidant = water->c[CHLORINE] + water->c[CHLORAMINE];
}

/* How a parcel passes the train. */
struct passage {
    struct stage_passage how;
    const double *moved; /* of x since it opened */
    int diverts_behind;  /* the stage behind which product left, if any did */
};

/* The feed parcel passes all stages up to the membrane; what is left of it is what was made. */
static void pass_front(const struct plant *p, struct state *s, struct parcel *water,
                       const struct passage *pass)
{
    for (int k = 0; k < p->membrane; k++)
        pass_stage(p, s, k, water, &pass->how);
    if (p->membrane < 0)
        return;
    read_membrane_inlet(s, water);
    pass_stage(p, s, p->membrane, water, &pass->how);
    water->duration = pass->moved[X_MAKING];
    if (pass->how.permeate_volume > 0.0) {
        s->readings.permeate = conductivity_25(water->c);
        memcpy(s->readings.permeate_c, water->c, sizeof water->c);
    }
}

/* What runs to the drain behind the membrane, or behind a later stage that is flushed: past a
 * bladder. */
static void pass_diverted(const struct plant *p, struct state *s, struct parcel *water,
                          const struct passage *pass)
{
    struct parcel first = *water;
    first.volume = pass->moved[X_DIVERTED];
    if (first.volume <= 0.0)
        return;
    for (int k = p->membrane + 1; k <= pass->diverts_behind; k++)
        pass_stage(p, s, k, &first, &pass->how);
    exit_add_parcel(&s->ledger, EXIT_DIVERTED, &first);
    water->volume = pass->moved[X_PRODUCT];
}

/* What was made goes into the bladder; what is left of the parcel is what it delivered.  What
 * leaked back went to the drain. */
static void pass_bladder(const struct plant *p, struct state *s, struct parcel *water,
                         const double moved[])
{
    const double delivered = moved[X_DELIVERED], leaked = moved[X_LEAKED];
    const double out = delivered + leaked;
    double leaving[SPECIES_COUNT], pressure;
    if (water->volume <= 0.0)
        feed_conditions(&p->feed, s->t, &water->temperature, &pressure);
    vessel_mix(&s->bladder, water, out, 0.0, leaving);
    s->bladder.volume = fmax(s->x[X_BLADDER], 0.0);
    water->volume = delivered;
    water->duration = moved[X_DELIVERING];
    const double share = out > 0.0 ? leaked / out : 0.0;
    double back[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++) {
        back[i] = delivered > 0.0 ? share * leaving[i] : leaving[i];
        water->c[i] = delivered > 0.0 ? (leaving[i] - back[i]) / delivered : 0.0;
    }
    exit_add(&s->ledger, EXIT_DRAIN, leaked, back);
}

/* Feed that flushed new parts in front of the membrane: it passes the stages up to the open end
 * behind the last of them and runs to the drain.  What the stages behind it can take of a parcel
 * stays as it was. */
static void pass_flush(const struct plant *p, struct state *s, struct parcel water, int last)
{
    const struct stage_passage how = { 0 };
    for (int k = 0; k <= last; k++)
        pass_stage(p, s, k, &water, &how);
    exit_add_parcel(&s->ledger, EXIT_DRAIN, &water);
}

static void read_product(struct readings *r, const struct parcel *product)
{
    const struct speciation forms = water_speciate(product->c, 25.0);
    r->product = water_conductivity(product->c, &forms);
    r->product_ph = forms.ph;
    r->product_silica = product->c[SILICA];
    r->product_carbon = product->c[CARBON];
    memcpy(r->product_c, product->c, sizeof product->c);
}

/* The later stages; only a membrane asks how. */
static void pass_back(const struct plant *p, struct state *s, struct parcel *water)
{
    const struct stage_passage how = { 0 };
    for (int k = p->membrane + 1; k < p->stages; k++)
        pass_stage(p, s, k, water, &how);
    if (water->volume > 0.0)
        read_product(&s->readings, water);
}

/* What left the tank [m3] but for a rinse; of a way that an error of the integrator moved below
 * nothing, nothing left. */
static double left_tank(const double moved[])
{
    return fmax(moved[X_TOPOFF], 0.0) + fmax(moved[X_DRAWN], 0.0) + fmax(moved[X_OVERFLOW], 0.0) +
           fmax(moved[X_SPILL], 0.0);
}

/* Splits what left the tank among top-off, draws, overflow and spill by their volumes; the
 * top-off's share is what is left over, so that nothing is lost to rounding. */
static void share_outflow(struct ledger *l, const double moved[], double leaving[],
                          struct parcel *topoff)
{
    static const struct {
        int x;
        enum exit_kind exit;
    } ways[] = { { X_DRAWN, EXIT_DRAWN }, { X_OVERFLOW, EXIT_OVERFLOW }, { X_SPILL, EXIT_SPILL } };
    const double all = left_tank(moved);
    double rest[SPECIES_COUNT];
    memcpy(rest, leaving, sizeof rest);
    for (size_t w = 0; w < sizeof ways / sizeof ways[0]; w++) {
        const double volume = moved[ways[w].x];
        if (volume <= 0.0) { /* below nothing by an error of the integrator: water, but no more */
            account_add(&l->water_out[ways[w].exit], volume);
            continue;
        }
        const bool last = moved[X_TOPOFF] <= 0.0 && volume == all;
        double amount[SPECIES_COUNT];
        for (int i = 0; i < SPECIES_COUNT; i++) {
            amount[i] = last ? rest[i] : leaving[i] * (volume / all);
            rest[i] -= amount[i];
        }
        exit_add(l, ways[w].exit, volume, amount);
    }
    topoff->volume = moved[X_TOPOFF];
    for (int i = 0; i < SPECIES_COUNT; i++)
        topoff->c[i] = topoff->volume > 0.0 ? rest[i] / topoff->volume : 0.0;
}

static void carry_basin(struct state *s, const double moved[], struct parcel *topoff)
{
    double leaving[SPECIES_COUNT];
    double lost = moved[X_EVAPORATED];
    account_add(&s->ledger.water_out[EXIT_AIR], lost);
    if (lost < 0.0) { /* vapour condensed: pure water comes in */
        const double wet = topoff->volume - lost;
        for (int i = 0; i < SPECIES_COUNT; i++)
            topoff->c[i] *= topoff->volume / wet;
        topoff->volume = wet;
        lost = 0.0;
    }
    vessel_mix(&s->basin, topoff, moved[X_BASIN_SPILL], lost, leaving);
    exit_add(&s->ledger, EXIT_BASIN_SPILL, moved[X_BASIN_SPILL], leaving);
}

/* Open fresh water takes up carbon dioxide from the air; salt water holds it by its own chemistry,
 * which is not in here. */
static void breathe(const struct plant *p, struct state *s, double seconds)
{
    if (!p->open_to_air)
        return;
    const double area = tank_area(&p->tank, tank_level(&p->tank, s->tank.volume));
    account_add(&s->ledger.carbon,
                gas_exchange(&p->gas, area, &s->tank, p->tank_temperature, seconds));
    if (p->has_basin && p->basin.salinity <= 0.0)
        account_add(&s->ledger.carbon, gas_exchange(&p->gas, p->basin.open_surface, &s->basin,
                                                    p->basin.water.mean, seconds));
}

/* Stored product that was pushed along the membrane to the drain; returns the seconds that it took.
 * It leaves the tank before the rest does: while it flows the feed is shut and nothing comes in, so
 * that the order is the same to the water. */
static double rinse_membrane(const struct plant *p, struct state *s, double volume)
{
    if (!(volume > 0.0))
        return 0.0;
    const struct parcel nothing = { 0 };
    double leaving[SPECIES_COUNT];
    vessel_mix(&s->tank, &nothing, volume, 0.0, leaving);
    struct parcel water = { volume, volume / p->rinse.flow, p->tank_temperature, { 0 } };
    for (int i = 0; i < SPECIES_COUNT; i++)
        water.c[i] = leaving[i] / volume;
    membrane_rinse(&p->train[p->membrane].params.membrane, &s->stage[p->membrane].membrane, &water);
    exit_add_parcel(&s->ledger, EXIT_DRAIN, &water);
    return water.duration;
}

/* The feed since the parcel opened, entered in the ledger. */
static struct parcel take_in(const struct plant *p, struct state *s, const double moved[])
{
    const struct feed_now feed = feed_at(&p->feed, 0.5 * (s->opened + s->t));
    struct parcel water = { moved[X_FEED], moved[X_RUNNING], feed.temperature, { 0 } };
    memcpy(water.c, feed.c, sizeof water.c);
    account_add(&s->ledger.water_in, water.volume);
    for (int i = 0; i < SPECIES_COUNT; i++)
        account_add(&s->ledger.in[i], water.c[i] * water.volume);
    s->readings.feed = conductivity_25(water.c);
    return water;
}

/* Feed through the train up to the membrane; returns what was made and not diverted. */
static struct parcel make(const struct plant *p, const struct settings *set, struct state *s,
                          const double moved[])
{
    const double rest = fmax(s->t - s->opened - moved[X_MAKING], 0.0);
    const int behind = plant_diverts_behind(p, set);
    const struct passage pass = {
        .how = { .permeate_volume = moved[X_PRODUCT] + moved[X_DIVERTED],
                 .starts = moved[X_STARTS],
                 .rest = rest,
                 .rested_running = fmin(fmax(moved[X_RUNNING] - moved[X_MAKING], 0.0), rest),
                 .rinsing = set->rinsing },
        .moved = moved,
        .diverts_behind = behind >= 0 ? behind : p->membrane,
    };
    s->feed_limit = s->parcel_limit = INFINITY;
    struct parcel water = take_in(p, s, moved);
    pass_front(p, s, &water, &pass);
    pass_diverted(p, s, &water, &pass);
    return water;
}

static void rest(const struct plant *p, struct state *s, double seconds)
{
    if (p->membrane < 0)
        return;
    double temperature, pressure;
    feed_conditions(&p->feed, s->t, &temperature, &pressure);
    membrane_rest(&p->train[p->membrane].params.membrane, &s->stage[p->membrane].membrane,
                  temperature, seconds);
}

/* Where a flow begins or ends within a step, the integrator may have moved less than nothing, by
 * its tolerance.  No parcel carries that; it is entered as water, so that the sums are those of x.
 */
static void enter_backward(struct ledger *l, const double moved[], double product)
{
    const bool fed = moved[X_FEED] > 0.0;
    const double feed = fed ? 0.0 : moved[X_FEED];
    if (fed && moved[X_PRODUCT] >= 0.0)
        return;
    account_add(&l->water_in, feed);
    account_add(&l->water_out[EXIT_DRAIN], feed + product - moved[X_PRODUCT]);
}

/* The water alone: the tank's is taken to be pure, the served water keeps the balance of its salt.
 */
static void carry_water(const struct plant *p, struct state *s, const double moved[])
{
    struct parcel topoff = { .volume = moved[X_TOPOFF] };
    s->tank.volume = s->x[X_TANK];
    if (p->has_basin)
        carry_basin(s, moved, &topoff);
    s->basin.volume = s->x[X_BASIN];
    s->bladder.volume = fmax(s->x[X_BLADDER], 0.0);
    open_parcel(s);
}

void plant_carry(const struct plant *p, const struct settings *set, struct state *s)
{
    double moved[X_COUNT];
    for (int k = 0; k < X_COUNT; k++)
        moved[k] = s->x[k] - s->x_opened[k];
    if (p->water_only) {
        carry_water(p, s, moved);
        return;
    }

    const double rinsed = rinse_membrane(p, s, moved[X_RINSED]);
    const bool fed = moved[X_FEED] > 0.0, flushed = fed && plant_flushes_feed(p, set);
    struct parcel product = { 0 };
    if (flushed)
        pass_flush(p, s, take_in(p, s, moved), set->flush);
    else if (fed)
        product = make(p, set, s, moved);
    enter_backward(&s->ledger, moved, product.volume);
    if (!fed || flushed)
        rest(p, s, fmax(s->t - s->opened - rinsed, 0.0));
    /* a waterlogged bladder lets the water pass */
    if (plant_has_bladder(p, set) || moved[X_BLADDER] != 0.0)
        pass_bladder(p, s, &product, moved);
    if ((fed && !flushed) || product.volume > 0.0)
        pass_back(p, s, &product);

    const double out = left_tank(moved);
    double leaving[SPECIES_COUNT];
    vessel_mix(&s->tank, &product, out, 0.0, leaving);
    struct parcel topoff = { 0 };
    share_outflow(&s->ledger, moved, leaving, &topoff);
    if (p->has_basin)
        carry_basin(s, moved, &topoff);
    s->tank.volume = s->x[X_TANK];
    s->basin.volume = s->x[X_BASIN];
    breathe(p, s, s->t - s->opened);
    open_parcel(s);
}

void plant_replace(const struct plant *p, struct state *s, int stage)
{
    const struct stage_kind *kind = p->train[stage].kind;
    for (int i = 0; i < SPECIES_COUNT; i++)
        account_add(&s->ledger.out[EXIT_CARTRIDGE][i],
                    kind->held(&p->train[stage].params, &s->stage[stage], (enum species)i));
    kind->start(&p->train[stage].params, &s->stage[stage]);
    forget_behind(s, stage);
    if (stage == p->membrane)
        plant_set_reference(p, s);
}
