/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * control_watch: which levels and pressures the switches of a plant watch: the list of its guards.
 */
#include "control.h"

#include <math.h>

static const double DRY_BAND = 0.005;      /* m of water over the outlet before it delivers again */
static const double SEATS = 0.2;           /* of its stiction short of shut, a float valve seats */
static const double BLADDER_LEAST = 1e-4;  /* of its volume: the water with which it holds some */
static const double SIPHON_LEAST = 1e-3;   /* m over the hose's end: what is left in air gets in */
static const double CRUST = 0.01;          /* of the served water, which does not dry up */
static const double LEAST_MENISCUS = 1e-5; /* m: a switch with one level would chatter */
static const double BRIM_BAND = 1e-6;      /* m3 below the rim at which running over has ended */

static void watch(struct control *c, const char *name, enum channel channel, double upper,
                  double lower, bool *on)
{
    c->guard[c->guards++] = (struct guard){ name, channel, upper, lower, on, NULL };
}

static void watch_tank(struct control *c, const struct plant *p, struct settings *set)
{
    const struct fill *f = &p->fill;
    const struct tank *k = &p->tank;
    const double full = tank_full(k);
    if (f->switches) {
        watch(c, "start switch", CHANNEL_TANK_LEVEL, f->on_at + f->switch_band, f->on_at,
              &c->start_wet);
        watch(c, "stop switch", CHANNEL_TANK_LEVEL, f->off_at, f->off_at - f->switch_band,
              &c->stop_wet);
    }
    if (f->float_valve && f->stiction > 0.0) {
        const double stick = f->stiction * f->valve.band;
        watch(c, "float valve", CHANNEL_TANK_LEVEL, f->valve.shuts_at - SEATS * stick,
              f->valve.shuts_at - (1.0 + SEATS) * stick, &set->float_shut);
    }
    if (f->high_switch)
        watch(c, "high switch", CHANNEL_TANK_LEVEL, f->high_at, f->high_at - f->switch_band,
              &c->trips.high_wet);
    if (f->leak_sensor)
        watch(c, "leak sensor", CHANNEL_SPILLED, f->leak_volume, -INFINITY, &c->trips.leak_wet);
    if (k->overflow.kind != OVERFLOW_NONE)
        watch(c, "overflow", CHANNEL_TANK_LEVEL,
              k->overflow.lip + fmax(k->overflow.meniscus, LEAST_MENISCUS), k->overflow.lip,
              &set->overflow_running);
    watch(c, "rim", CHANNEL_TANK_VOLUME, full, full - BRIM_BAND, &set->tank_brim);
    watch(c, "outlet", CHANNEL_TANK_LEVEL, k->outlet + DRY_BAND, k->outlet, &c->outlet_wet);
    if (f->low_pressure_switch)
        watch(c, "low pressure switch", CHANNEL_INLET_PRESSURE, f->inlet.clears, f->inlet.trips,
              &c->trips.inlet_enough);
}

static void watch_bladder(struct control *c, const struct plant *p, struct settings *set)
{
    watch(c, "bladder tank", CHANNEL_BLADDER, BLADDER_LEAST * p->bladder.volume, 0.0,
          &set->bladder_holds);
    if (!p->fill.shutoff_valve)
        return;
    watch(c, "shut-off valve", CHANNEL_SHUTOFF, 1.0, 0.0, &set->shutoff_shut);
    c->guard[c->guards - 1].set = set;
}

static void watch_basin(struct control *c, const struct plant *p, struct settings *set)
{
    const struct basin *b = &p->basin;
    const double rim = basin_rim_volume(b);
    watch(c, "rim of served water", CHANNEL_BASIN_VOLUME, rim, rim - BRIM_BAND, &set->basin_brim);
    watch(c, "bottom of served water", CHANNEL_BASIN_VOLUME, 2.0 * CRUST * b->volume,
          CRUST * b->volume, &set->basin_wet);
    if (p->topoff.kind != TOPOFF_PUMP)
        return;
    const double dry = b->volume - p->topoff.on_below * b->surface;
    watch(c, "top-off switch", CHANNEL_BASIN_VOLUME, dry + p->topoff.off_above * b->surface, dry,
          &c->topoff_wet);
    const double high = b->volume + p->topoff.high_at * b->surface;
    if (!isnan(high))
        watch(c, "top-off high switch", CHANNEL_BASIN_VOLUME, high,
              high - p->topoff.off_above * b->surface, &c->topoff_high_wet);
    if (isfinite(p->topoff.hose_end))
        watch(c, "hose", CHANNEL_TANK_LEVEL, p->topoff.hose_end + 2.0 * SIPHON_LEAST,
              p->topoff.hose_end + SIPHON_LEAST, &c->hose_below);
}

void control_watch(struct control *c, const struct plant *p, struct settings *set)
{
    c->guards = 0;
    watch_tank(c, p, set);
    if (p->has_basin)
        watch_basin(c, p, set);
    if (p->has_bladder)
        watch_bladder(c, p, set);
}
