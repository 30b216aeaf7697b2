/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_point: the operating point of the line.  Page: docs/plant.md; the symbols are the same.
 *
 * The line has one unknown, the feed flow Q.  A trial Q gives the pressure in front of the
 * membrane; with it the drain flow Qc that the restrictor passes, and the product Qp that is left;
 * the membrane then says what it would make at these pressures.  The trial is right when it makes
 * Qp: a falling function, one root.
 */
#include "plant_point.h"

#include <math.h>

#include "root.h"

static const double GRAVITY = 9.80665;      /* m/s2 */
static const double ORIFICE = 0.62;         /* discharge coefficient of the feed valve */
static const double FLOW_TOLERANCE = 1e-11; /* relative, of the operating point */
static const double STEEP = 1e-7;           /* of the feed: a split that the feed cannot resolve */
static const double HOSE =
    1.0; /* m of the product's tube, from an open end to the sink; assumption */

double plant_point_before(const struct plant_point *o, int to, double flow)
{
    const double bore = o->p->line.supply_bore;
    const double throat = ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening; /* m2 */
    const double speed = flow / throat;                                         /* m/s */
    double pressure = o->supply - 0.5 * o->water.density * speed * speed;
    const bool boosted = plant_boosted(o->p, o->set);
    for (int i = 0; i < to; i++) {
        const struct stage *s = &o->p->train[i];
        if (s->kind != &stage_pump || boosted)
            pressure -=
                s->kind->pressure_drop(&s->params, &o->state->stage[i], flow, &o->water, pressure);
    }
    return pressure;
}

/* Pressure [Pa] that drives `flow` from the last stage to the tank. */
static double pressure_of_line(const struct plant_point *o, double flow)
{
    const struct line *l = &o->p->line;
    double pressure = l->check_opening + o->water.density * GRAVITY * l->inlet_height +
                      tube_loss(l->tube_length, l->tube_bore, flow, &o->water);
    if (o->p->fill.float_valve)
        pressure += float_valve_loss(&o->p->fill.valve, o->float_opening, flow, &o->water);
    return pressure;
}

double plant_point_behind(const struct plant_point *o, int from, double flow)
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

double plant_point_most(const struct plant_point *o)
{
    const double bore = o->p->line.supply_bore;
    return ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening *
           sqrt(2.0 * o->supply / o->water.density);
}

/* ---- the membrane ---- */

/* Parts what comes in: what the restrictor lets to the drain, the rest is product; the pressure
 * [Pa] in front of the membrane. */
static double part_feed(struct plant_point *o, double feed)
{
    const double pressure = plant_point_before(o, o->p->membrane, feed);
    const double end = pressure - membrane_channel_drop(&o->channel.film, feed);
    o->drain = restrictor_flow(&o->membrane.restrictor, end, &o->water, o->open_drain);
    o->product = feed - o->drain;
    return pressure;
}

/* What the membrane would make of `feed` at a pressure in front of it [Pa], less o->product. */
static double made_excess(struct plant_point *o, double feed, double pressure)
{
    const double back = isnan(o->held_pressure)
                            ? plant_point_behind(o, o->p->membrane + 1, fmax(o->product, 0.0))
                            : o->held_pressure;
    if (!(feed > 0.0) || !(pressure > back))
        return -o->product;
    double flux[SEGMENTS_MAX];
    o->channel.flow = feed;
    return membrane_march(&o->channel, pressure - back, o->state->osmolarity, flux) - o->product;
}

/* What the membrane would make less the product that a trial feed flow leaves for it; falls with
 * `feed`. */
static double feed_excess(double feed, void *context)
{
    struct plant_point *o = context;
    const double pressure = part_feed(o, feed);
    return o->left = made_excess(o, feed, pressure);
}

/* What the restrictor would pass less what flows to the drain; falls with `drain`. */
static double drain_excess(double drain, void *context)
{
    const struct plant_point *o = context;
    const double feed = o->product + drain;
    const double end =
        plant_point_before(o, o->p->membrane, feed) - membrane_channel_drop(&o->channel.film, feed);
    return restrictor_flow(&o->membrane.restrictor, end, &o->water, o->open_drain) - drain;
}

/* What the membrane would make less a trial product, whose drain is sought for itself; falls with
 * `product`. */
static double product_excess(double product, void *context)
{
    struct plant_point *o = context;
    o->product = product;
    o->drain =
        root_falling_near(drain_excess, o, 0.0, o->drain_most, o->drain_most, FLOW_TOLERANCE);
    const double feed = product + o->drain;
    return made_excess(o, feed, plant_point_before(o, o->p->membrane, feed));
}

double plant_point_open(struct plant_point *o)
{
    o->membrane = membrane_worn(&o->p->train[o->p->membrane].params.membrane,
                                &o->state->stage[o->p->membrane].membrane);
    const struct membrane *m = &o->membrane;
    const double drive = fmax(plant_point_before(o, o->p->membrane, 0.0), 0.0);
    o->channel = membrane_channel(m, 0.0, o->state->osmolarity, &o->water);
    o->drain_most = restrictor_flow(&m->restrictor, drive, &o->water, o->open_drain);
    /* neither osmotic nor back pressure: more than the membrane can ever make */
    return fmin(plant_point_most(o), membrane_area(m) * o->channel.A * drive);
}

/* About what a membrane that makes `free` [m3/s] at a pressure makes through a float valve: the
 * root of Q = free (1 - (Q/b)^2), with b what the valve passes at that pressure. */
static double through_float(const struct plant_point *o, double free, double pressure)
{
    if (!o->p->fill.float_valve || o->diverts_behind >= 0 || !isnan(o->held_pressure))
        return free;
    const double b = float_valve_flow(&o->p->fill.valve, o->float_opening, pressure, &o->water);
    return b > 0.0 ? 2.0 * free / (1.0 + hypot(1.0, 2.0 * free / b)) : 0.0;
}

/* Feed flow [m3/s] to begin the search with: what the membrane would make of its feed at a
 * pressure, twice, the second time at the pressure that the first leaves. */
static double feed_guess(struct plant_point *o, double most)
{
    const double able = membrane_area(&o->membrane) * o->channel.A;
    const double osmotic = o->channel.osmotic * o->state->osmolarity;
    const double back =
        isnan(o->held_pressure) ? plant_point_behind(o, o->p->membrane + 1, 0.0) : o->held_pressure;
    double pressure = plant_point_before(o, o->p->membrane, 0.0), product = 0.0;
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
 * nothing is made: that is taken at once, because any flow would agree with itself.  Where the
 * pressure drops by a step (a pump that its low-inlet switch stops) the feed is the same for every
 * split: there the product is sought, and within it the drain. */
double plant_point_make(struct plant_point *o, double most)
{
    if (!(o->drain_most > 0.0))
        return o->product = o->drain = 0.0;
    const double high = most + o->drain_most;
    const double feed =
        root_falling_near(feed_excess, o, 0.0, high, feed_guess(o, most), FLOW_TOLERANCE);
    const double last = o->product;
    part_feed(o, feed);
    const double steep = STEEP * feed;
    if (fabs(o->left) > steep || fabs(o->product - last) > steep) {
        o->product = root_falling(product_excess, o, 0.0, most, FLOW_TOLERANCE);
        product_excess(o->product, o);
    } else if (o->product <= FLOW_TOLERANCE * most) {
        o->product = 0.0;
        o->drain = feed;
    }
    return o->product;
}

double plant_point_make_against(struct plant_point *o, double pressure, double most)
{
    o->held_pressure = pressure;
    const double product = plant_point_make(o, most);
    o->held_pressure = NAN;
    return product;
}

void plant_point_shut_in(struct plant_point *o)
{
    plant_point_make_against(o, INFINITY, 0.0);
    o->product = 0.0;
}

/* ---- other flows ---- */

/* What the line lets out at a pressure less a trial flow; falls with the flow. */
static double outlet_excess(double flow, void *context)
{
    const struct plant_point *o = context;
    return o->held_pressure - plant_point_behind(o, o->p->membrane + 1, flow);
}

double plant_point_outlet(struct plant_point *o, double pressure, double most)
{
    o->held_pressure = pressure;
    const double flow = root_falling(outlet_excess, o, 0.0, most, FLOW_TOLERANCE);
    o->held_pressure = NAN;
    return flow;
}

/* Without a membrane: what pressure is left over when all that comes in goes through. */
static double pressure_excess(double flow, void *context)
{
    const struct plant_point *o = context;
    return plant_point_before(o, o->p->stages, flow) - plant_point_behind(o, o->p->stages, flow);
}

/* The same as a flow: what would come in if all losses grew with the square of the flow, less the
 * trial; falls about as fast as the flow rises. */
static double through_excess(double flow, void *context)
{
    const struct plant_point *o = context;
    const double loss = o->drive - pressure_excess(flow, context);
    return flow * sqrt(o->drive / loss) - flow;
}

double plant_point_through(struct plant_point *o)
{
    const double most = plant_point_most(o);
    o->drive = pressure_excess(0.0, o);
    if (!(o->drive > 0.0))
        return 0.0;
    return root_falling_near(through_excess, o, 0.0, most, most, FLOW_TOLERANCE);
}

/* New parts are flushed through an open end behind the last of them, by a hose of the product's
 * tube: what pressure is left over. */
static double open_end_excess(double flow, void *context)
{
    const struct plant_point *o = context;
    return plant_point_before(o, o->set->flush + 1, flow) -
           tube_loss(HOSE, o->p->line.tube_bore, flow, &o->water);
}

double plant_point_open_end(struct plant_point *o)
{
    return root_falling(open_end_excess, o, 0.0, plant_point_most(o), FLOW_TOLERANCE);
}
