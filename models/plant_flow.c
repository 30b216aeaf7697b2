/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_flow: the operating point of the line.  Page: docs/plant.md; the symbols are the same.
 *
 * The line has one unknown, the product flow Qp.  A trial Qp gives the back pressure; with it the
 * drain flow Qc at which the restrictor passes what arrives; the membrane then says what it would
 * make at these pressures.  The trial is right when it makes Qp: a falling function, one root.
 * Where a shut-off valve would close at that point, the flows are those of its cycles (shutoff.h).
 * A bladder that holds water parts the line in two: what is made and what is delivered, each
 * against its pressure.
 */
#include "plant_flow.h"

#include <math.h>

#include "membrane_channel.h"
#include "root.h"

static const double GRAVITY = 9.80665;      /* m/s2 */
static const double ORIFICE = 0.62;         /* discharge coefficient of the feed valve */
static const double FLOW_TOLERANCE = 1e-11; /* relative, of the operating point */
static const double BAR = 1e5;              /* Pa */
static const double HOSE =
    1.0; /* m of the product's tube, from an open end to the sink; assumption */

/* What stays the same while one operating point is sought. */
struct point {
    const struct plant *p;
    const struct settings *set;
    const struct state *state;
    struct fluid water;       /* the feed */
    struct membrane membrane; /* as wear has left it */
    struct channel channel;   /* of it */
    double open_drain;        /* share of the restrictor that is free; above 1 in a rinse */
    double held_pressure;     /* Pa on the product that is prescribed, or NAN */
    double drive;             /* Pa that is left over at no flow, without a membrane */
    int diverts_behind;       /* stage behind which the product runs to the drain, or -1 */
    double supply;            /* Pa */
    double temperature;       /* degC of the feed */
    double feed_opening;      /* 0..1 of the feed valve */
    double float_opening;     /* 0..1 */
    double product;           /* m3/s, trial */
    double drain;             /* m3/s, at that trial */
    double drain_most;        /* m3/s, what the restrictor passes when no product is made */
    bool cycling;             /* a shut-off valve works on the compliance of the line alone */
};

bool plant_flow_boosted(const struct plant *p, const struct settings *set)
{
    return set->power && set->health.booster == WORKS && !plant_flushes_feed(p, set) &&
           (!plant_has_solenoid(p) || plant_solenoid_energised(set));
}

/* Pressure [Pa] in front of stage `to` when `flow` comes in. */
static double pressure_before(const struct point *o, int to, double flow)
{
    const double bore = o->p->line.supply_bore;
    const double throat = ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening; /* m2 */
    const double speed = flow / throat;                                         /* m/s */
    double pressure = o->supply - 0.5 * o->water.density * speed * speed;
    const bool boosted = plant_flow_boosted(o->p, o->set);
    for (int i = 0; i < to; i++) {
        const struct stage *s = &o->p->train[i];
        if (s->kind != &stage_pump || boosted)
            pressure -=
                s->kind->pressure_drop(&s->params, &o->state->stage[i], flow, &o->water, pressure);
    }
    return pressure;
}

/* Pressure [Pa] that drives `flow` from the last stage to the tank. */
static double pressure_of_line(const struct point *o, double flow)
{
    const struct line *l = &o->p->line;
    double pressure = l->check_opening + o->water.density * GRAVITY * l->inlet_height +
                      tube_loss(l->tube_length, l->tube_bore, flow, &o->water);
    if (o->p->fill.float_valve)
        pressure += float_valve_loss(&o->p->fill.valve, o->float_opening, flow, &o->water);
    return pressure;
}

/* Pressure [Pa] behind stage `from - 1` that drives `flow` through the rest of the line to the
 * tank, or to where it is diverted to the drain. */
static double pressure_behind(const struct point *o, int from, double flow)
{
    double pressure = o->diverts_behind >= 0 ? 0.0 : pressure_of_line(o, flow);
    const int end = o->diverts_behind >= 0 ? o->diverts_behind + 1 : o->p->stages;
    for (int i = from; i < end; i++) {
        const struct stage *s = &o->p->train[i];
        if (s->kind != &stage_pump)
            pressure +=
                s->kind->pressure_drop(&s->params, &o->state->stage[i], flow, &o->water, pressure);
    }
    return pressure;
}

/* Parts what comes in: what the restrictor lets to the drain, the rest is product; the pressure
 * [Pa] in front of the membrane. */
static double part_feed(struct point *o, double feed)
{
    const double pressure = pressure_before(o, o->p->membrane, feed);
    const double end = pressure - membrane_channel_drop(&o->channel.film, feed);
    o->drain = restrictor_flow(&o->membrane.restrictor, end, &o->water, o->open_drain);
    o->product = feed - o->drain;
    return pressure;
}

/* What the membrane would make less the product that a trial feed flow leaves for it; falls with
 * `feed`. */
static double product_excess(double feed, void *context)
{
    struct point *o = context;
    const double pressure = part_feed(o, feed);
    const double back = isnan(o->held_pressure)
                            ? pressure_behind(o, o->p->membrane + 1, fmax(o->product, 0.0))
                            : o->held_pressure;
    if (!(feed > 0.0) || !(pressure > back))
        return -o->product;
    double flux[SEGMENTS_MAX];
    o->channel.flow = feed;
    return membrane_march(&o->channel, pressure - back, o->state->osmolarity, flux) - o->product;
}

/* Without a membrane: what pressure is left over when all that comes in goes through. */
static double pressure_excess(double flow, void *context)
{
    const struct point *o = context;
    return pressure_before(o, o->p->stages, flow) - pressure_behind(o, o->p->stages, flow);
}

/* The same as a flow: what would come in if all losses grew with the square of the flow, less the
 * trial; falls about as fast as the flow rises. */
static double through_excess(double flow, void *context)
{
    const struct point *o = context;
    const double loss = o->drive - pressure_excess(flow, context);
    return flow * sqrt(o->drive / loss) - flow;
}

/* New parts are flushed through an open end behind the last of them, by a hose of the product's
 * tube: what pressure is left over. */
static double open_end_excess(double flow, void *context)
{
    const struct point *o = context;
    return pressure_before(o, o->set->flush + 1, flow) -
           tube_loss(HOSE, o->p->line.tube_bore, flow, &o->water);
}

/* The most that the feed valve alone would let through [m3/s]. */
static double supply_most(const struct point *o)
{
    const double bore = o->p->line.supply_bore;
    return ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening *
           sqrt(2.0 * o->supply / o->water.density);
}

/* Ready to look for points of the membrane: what its restrictor passes, the bracket of its product.
 */
static double open_membrane(struct point *o)
{
    const struct membrane *m = &o->membrane;
    const double drive = fmax(pressure_before(o, o->p->membrane, 0.0), 0.0);
    o->channel = membrane_channel(m, 0.0, o->state->osmolarity, &o->water);
    o->drain_most = restrictor_flow(&m->restrictor, drive, &o->water, o->open_drain);
    /* neither osmotic nor back pressure: more than the membrane can ever make */
    return fmin(supply_most(o), membrane_area(m) * o->channel.A * drive);
}

/* About what a membrane that makes `free` [m3/s] at a pressure makes through a float valve: the
 * root of Q = free (1 - (Q/b)^2), with b what the valve passes at that pressure. */
static double through_float(const struct point *o, double free, double pressure)
{
    if (!o->p->fill.float_valve || o->diverts_behind >= 0 || !isnan(o->held_pressure))
        return free;
    const double b = float_valve_flow(&o->p->fill.valve, o->float_opening, pressure, &o->water);
    return b > 0.0 ? 2.0 * free / (1.0 + hypot(1.0, 2.0 * free / b)) : 0.0;
}

/* Feed flow [m3/s] to begin the search with: what the membrane would make of its feed at a
 * pressure, twice, the second time at the pressure that the first leaves. */
static double feed_guess(struct point *o, double most)
{
    const double able = membrane_area(&o->membrane) * o->channel.A;
    const double osmotic = o->channel.osmotic * o->state->osmolarity;
    const double back =
        isnan(o->held_pressure) ? pressure_behind(o, o->p->membrane + 1, 0.0) : o->held_pressure;
    double pressure = pressure_before(o, o->p->membrane, 0.0), product = 0.0;
    o->drain = o->drain_most;
    for (int look = 0; look < 2; look++) {
        const double pressed = fmax(pressure - back - osmotic, 0.0);
        product = fmin(through_float(o, 0.95 * able * pressed, pressed), most);
        if (look == 0)
            pressure = part_feed(o, product + o->drain);
    }
    return product + o->drain;
}

/* Product flow of the membrane, at most `most`, against its back pressure or the one prescribed;
 * leaves the drain flow that belongs to it.  With its drain quite shut all salt stays, and soon
 * nothing is made: that is taken at once, because any flow would agree with itself. */
static double membrane_makes(struct point *o, double most)
{
    if (!(o->drain_most > 0.0))
        return o->product = o->drain = 0.0;
    const double high = most + o->drain_most;
    const double feed =
        root_falling_near(product_excess, o, 0.0, high, feed_guess(o, most), FLOW_TOLERANCE);
    part_feed(o, feed);
    if (o->product <= FLOW_TOLERANCE * most) {
        o->product = 0.0;
        o->drain = feed;
    }
    return o->product;
}

static void shut_in(struct point *o)
{
    o->held_pressure = INFINITY;
    membrane_makes(o, 0.0);
    o->held_pressure = NAN;
    o->product = 0.0;
}

/* ---- the shut-off valve ---- */

/* What the line lets out at a pressure less a trial flow; falls with the flow. */
static double outlet_excess(double flow, void *context)
{
    const struct point *o = context;
    return o->held_pressure - pressure_behind(o, o->p->membrane + 1, flow);
}

/* What the valve meets at its closing pressure: what would come in and what goes out.  False if
 * more could go out than ever comes in: it never closes. */
static bool meets(struct point *o, double most, double *makes, double *out)
{
    const double high = o->p->fill.shutoff.close_ratio * o->supply;
    const bool shut = o->p->fill.float_valve && o->float_opening <= 0.0;
    if (!shut && pressure_behind(o, o->p->membrane + 1, most) <= high)
        return false;
    o->held_pressure = high;
    *makes = membrane_makes(o, most);
    *out = shut ? 0.0 : root_falling(outlet_excess, o, 0.0, most, 1e-9);
    o->held_pressure = NAN;
    return *out < *makes;
}

/* Flows of a line whose valve cycles; false if it stays open.  The valve sees the membrane as a
 * straight line through what it makes at the two pressures at which the valve turns, and the outlet
 * as an orifice that is right where it closes: so it closes just where the steady point reaches
 * that pressure. */
static bool cycles(struct point *o, double most, struct plant_flow *f)
{
    const struct shutoff *s = &o->p->fill.shutoff;
    const double low = s->reopen_ratio * o->supply, high = s->close_ratio * o->supply;
    double makes_high, out;
    if (!meets(o, most, &makes_high, &out))
        return false;
    const double drain = o->drain;
    o->held_pressure = low;
    const double makes_low = membrane_makes(o, most);
    o->held_pressure = NAN;
    const double k = fmax((makes_low - makes_high) / (high - low), 1e-18);
    const double leak = o->set->health.check_valve == WORKS ? 0.0 : o->set->health.check_valve;
    const struct shutoff_line line = { .feed_pressure = o->supply,
                                       .k = k,
                                       .p_max = high + makes_high / k,
                                       .orifice = out / sqrt(high),
                                       .leak_back = leak / BAR };
    const struct shutoff_cycle c = shutoff_average(s, &line);
    if (c.open)
        return false;
    *f = (struct plant_flow){ .product = c.out,
                              .drain = c.duty * drain,
                              .duty = c.duty,
                              .starts = c.starts,
                              .back_pressure = c.pressure };
    return true;
}

/* ---- all of it ---- */

static void solve_membrane(struct point *o, struct plant_flow *f)
{
    const struct fill *fill = &o->p->fill;
    const bool dead_end = fill->float_valve && o->float_opening <= 0.0 && o->diverts_behind < 0;
    const bool valve = o->cycling;
    if (valve && dead_end && o->set->health.check_valve == WORKS) {
        *f = (struct plant_flow){ .duty = 0.0 }; /* tight on both sides: it stays shut */
        return;
    }
    const double most = open_membrane(o);
    if (valve && o->diverts_behind < 0 && cycles(o, most, f))
        return;
    if (dead_end)
        shut_in(o);
    else
        membrane_makes(o, most);
    f->product = o->product;
    f->drain = o->drain;
}

static void pressures(const struct point *o, struct plant_flow *f)
{
    const double feed = f->product + f->drain;
    const int membrane = o->p->membrane < 0 ? o->p->stages : o->p->membrane;
    if (!(feed > 0.0))
        return;
    f->membrane_pressure = pressure_before(o, membrane, feed / f->duty);
    if (f->starts > 0.0)
        return;
    f->back_pressure = f->product > 0.0      ? pressure_behind(o, membrane + 1, f->product)
                       : o->p->membrane >= 0 ? f->membrane_pressure /* shut in */
                                             : 0.0;
}

/* The low pressure switch stands before the solenoid, behind the hand valve: with the solenoid shut
 * it sees what stands there, with the hand valve shut what is behind it has run out. */
static void see_inlet(struct point *o, struct plant_flow *f)
{
    const double feed = f->product + f->drain;
    f->inlet_pressure = plant_hand_open(o->set) ? o->supply : 0.0;
    if (!(feed > 0.0) || !plant_hand_open(o->set))
        return;
    const double opening = o->feed_opening;
    o->feed_opening = 1.0;
    f->inlet_pressure = pressure_before(o, plant_inlet_place(o->p), feed / f->duty);
    o->feed_opening = opening;
}

/* A pump behind the membrane has nothing to boost: it stands. */
static void pumping(const struct point *o, struct plant_flow *f)
{
    const double feed = (f->product + f->drain) / f->duty;
    const int end = o->p->membrane < 0 ? o->p->stages : o->p->membrane;
    for (int i = 0; i < end && feed > 0.0; i++) {
        if (o->p->train[i].kind != &stage_pump || !plant_flow_boosted(o->p, o->set))
            continue;
        const struct pump *pump = &o->p->train[i].params.pump;
        f->booster_head += pump_head(pump, feed, pressure_before(o, i, feed));
        f->power += f->duty * pump_power(pump, feed, f->booster_head);
    }
}

/* The line without a bladder, or past an empty one. */
static void solve_line(struct point *o, struct plant_flow *f)
{
    *f = (struct plant_flow){ .duty = 1.0 };
    if (o->supply <= 0.0 || o->feed_opening <= 0.0)
        return;
    o->water = water_fluid(o->temperature);
    if (o->p->membrane >= 0) {
        o->membrane = membrane_worn(&o->p->train[o->p->membrane].params.membrane,
                                    &o->state->stage[o->p->membrane].membrane);
        solve_membrane(o, f);
    } else if (!o->p->fill.float_valve || o->float_opening > 0.0) {
        const double most = supply_most(o);
        o->drive = pressure_excess(0.0, o);
        if (o->drive > 0.0)
            f->product = root_falling_near(through_excess, o, 0.0, most, most, FLOW_TOLERANCE);
    }
    if (f->duty > 0.0) {
        pressures(o, f);
        pumping(o, f);
    }
    f->delivered = o->diverts_behind >= 0 ? 0.0 : f->product;
}

/* ---- the bladder ---- */

/* An empty bladder takes no water as long as the line stands below its precharge: the line then
 * works as if it were not there.  False if it takes some. */
static bool passes_by(struct point *o, double vessel, struct plant_flow *f)
{
    const struct fill *fill = &o->p->fill;
    const bool fed = o->supply > 0.0 && o->feed_opening > 0.0;
    const bool dead_end = fill->float_valve && o->float_opening <= 0.0 && o->diverts_behind < 0;
    if (fed && dead_end && !o->cycling)
        return false;
    solve_line(o, f);
    f->mouth = fmax(f->back_pressure - o->p->line.check_opening, 0.0);
    return o->cycling || f->mouth <= vessel;
}

/* What the membrane makes against a pressure behind it [Pa]; NAN: against what lies on the way to
 * where it is diverted. */
static void make_against(struct point *o, double pressure, struct plant_flow *f)
{
    if (o->supply <= 0.0 || o->feed_opening <= 0.0)
        return;
    o->membrane = membrane_worn(&o->p->train[o->p->membrane].params.membrane,
                                &o->state->stage[o->p->membrane].membrane);
    o->held_pressure = pressure;
    membrane_makes(o, open_membrane(o));
    f->product = o->product;
    f->drain = o->drain;
    pressures(o, f);
    pumping(o, f);
    if (f->product + f->drain <=
        0.0) /* a drain that is shut: it stands under the feed's pressure */
        f->membrane_pressure = pressure_before(o, o->p->membrane, 0.0);
    if (!isnan(pressure))
        f->back_pressure = pressure;
}

/* What the line behind a pressure lets out into the tank [m3/s]: nothing while a later stage is
 * flushed. */
static double lets_out(struct point *o, double pressure)
{
    if (o->diverts_behind > o->p->membrane)
        return 0.0;
    o->diverts_behind = -1; /* behind the membrane it does not reach this part of the line */
    const struct fill *fill = &o->p->fill;
    const struct tube bare = { o->p->line.tube_length, o->p->line.tube_bore, 0.0 };
    const double drive = pressure - pressure_behind(o, o->p->membrane + 1, 0.0);
    if (!(drive > 0.0) || (fill->float_valve && o->float_opening <= 0.0))
        return 0.0;
    double most = tube_flow(&bare, drive, &o->water); /* nothing else in its way */
    if (fill->float_valve)
        most = fmin(most, float_valve_flow(&fill->valve, o->float_opening, drive, &o->water));
    o->held_pressure = pressure;
    return root_falling(outlet_excess, o, 0.0, most, FLOW_TOLERANCE);
}

static void solve_bladder(struct point *o, double vessel, struct plant_flow *f)
{
    if (!o->set->bladder_holds && passes_by(o, vessel, f))
        return;
    const double check = o->p->line.check_opening;
    const bool diverting = o->diverts_behind >= 0;
    *f = (struct plant_flow){ .duty = 1.0, .mouth = vessel };
    o->water = water_fluid(o->temperature);
    if (o->set->shutoff_shut && o->p->fill.shutoff_valve && o->set->health.shutoff_valve == WORKS)
        o->feed_opening = 0.0;
    make_against(o, diverting ? NAN : vessel + check, f);
    f->delivered = lets_out(o, vessel + check);
    if (o->set->health.check_valve != WORKS)
        f->leak = o->set->health.check_valve / BAR *
                  fmax(vessel - (diverting ? 0.0 : f->membrane_pressure), 0.0);
}

/* New parts in front of the membrane are flushed through an open end; a bladder gives meanwhile. */
static void flush_feed(struct point *o, const struct flow_inlet *in, struct plant_flow *f)
{
    o->water = water_fluid(o->temperature);
    if (o->supply > 0.0 && o->feed_opening > 0.0)
        f->drain = root_falling(open_end_excess, o, 0.0, supply_most(o), FLOW_TOLERANCE);
    f->mouth = in->vessel;
    if (in->bladder && o->set->bladder_holds)
        f->delivered = lets_out(o, in->vessel + o->p->line.check_opening);
}

/* A bladder with room for water up to the closing pressure makes the cycles of a shut-off valve so
 * long that they are followed one by one. */
static bool cycles_in_line(const struct point *o, const struct flow_inlet *in)
{
    const struct fill *fill = &o->p->fill;
    if (!fill->shutoff_valve || o->set->health.shutoff_valve != WORKS)
        return false;
    const double closes = fill->shutoff.close_ratio * in->supply - o->p->line.check_opening;
    return !in->bladder || closes <= in->vessel;
}

struct plant_flow plant_flow(const struct plant *p, const struct settings *set,
                             const struct state *state, const struct flow_inlet *in)
{
    struct plant_flow f = { .duty = 1.0 };
    struct point o = {
        .p = p,
        .set = set,
        .state = state,
        .open_drain = set->health.drain_open * (set->rinsing ? p->rinse.bypass : 1.0),
        .held_pressure = NAN,
        .diverts_behind = plant_diverts_behind(p, set),
        .supply = in->supply,
        .temperature = in->temperature,
        .feed_opening = plant_feed_opening(p, set),
        .float_opening = in->float_opening,
    };
    o.cycling = cycles_in_line(&o, in);
    if (plant_flushes_feed(p, set))
        flush_feed(&o, in, &f);
    else if (in->bladder)
        solve_bladder(&o, in->vessel, &f);
    else
        solve_line(&o, &f);
    see_inlet(&o, &f);
    return f;
}

void plant_pressures(const struct plant *p, const struct settings *set, const struct state *state,
                     const struct signals *sig, struct plant_pressures *out)
{
    const double duty = sig->duty > 0.0 ? sig->duty : 1.0;
    const double feed = sig->feed_flow / duty;
    /* a line that gives way lets the water out evenly while the valve in front of it cycles */
    const double made = sig->product_flow + sig->divert_flow;
    const int m = p->membrane < 0 ? p->stages : p->membrane;
    const struct point o = { .p = p,
                             .set = set,
                             .state = state,
                             .water = water_fluid(sig->feed_temperature),
                             .diverts_behind = plant_diverts_behind(p, set),
                             .supply = sig->supply_pressure,
                             .feed_opening = plant_feed_opening(p, set),
                             .float_opening = sig->float_opening };
    *out = (struct plant_pressures){ .concentrate = NAN, .check = p->line.check_opening };
    for (int i = 0; i <= m; i++)
        out->before[i] = pressure_before(&o, i, feed);
    for (int i = m + 1; i <= p->stages; i++)
        out->before[i] = pressure_behind(&o, i, made);
    if (p->membrane >= 0)
        out->concentrate =
            out->before[m] - membrane_channel_loss(&p->train[m].params.membrane, feed, &o.water);
    out->height = o.water.density * GRAVITY * p->line.inlet_height;
    out->tube = tube_loss(p->line.tube_length, p->line.tube_bore, made, &o.water);
    if (p->fill.float_valve)
        out->valve = float_valve_loss(&p->fill.valve, o.float_opening, made, &o.water);
}
