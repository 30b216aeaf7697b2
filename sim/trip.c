/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * trip: see trip.h.  A pump that starts pulls the pressure in front of it down, one that stops lets
 * it rise: where the supply is weak a low pressure switch that clears itself tries again and again.
 * That is real, and every try is run; only the first of such a row are told.
 */
#include "trip.h"

#include <math.h>

enum { HIGH = 1, LEAK = 2, TIMER = 4, INLET = 8 };

bool trip_shows(double health, bool sound)
{
    return health == WORKS ? sound : health > 0.5;
}

/* ---- the low pressure switch ---- */

static bool shows_enough(const struct control *c, const struct settings *set)
{
    return trip_shows(set->health.inlet_switch, c->inlet_enough);
}

/* A try that has lasted so long counts as a run; one that trips before that as hunting. */
static double settles_at(const struct control *c, const struct inlet_switch *s)
{
    return c->inlet_tried + (s->delay + s->wait);
}

static void trip_inlet(struct control *c, const struct inlet_switch *s, struct settings *set,
                       double t)
{
    c->hunting = c->hunting || (!isnan(c->inlet_tried) && t < settles_at(c, s));
    c->inlet_tripped = true;
    c->inlet_retry = t + s->wait;
    c->inlet_low_since = NAN;
    set->inlet_trips++;
}

/* It looks while the feed solenoid has power: in a line that is shut nothing can run dry. */
static void react_inlet(struct control *c, const struct inlet_switch *s, struct settings *set,
                        double t)
{
    const bool enough = shows_enough(c, set);
    if (c->inlet_tripped && !s->latches && enough && t >= c->inlet_retry) {
        c->inlet_tripped = false;
        c->inlet_tried = t;
    }
    if (enough || c->inlet_tripped || !plant_solenoid_energised(set))
        c->inlet_low_since = NAN;
    else if (isnan(c->inlet_low_since))
        c->inlet_low_since = t;
    if (t >= c->inlet_low_since + s->delay)
        trip_inlet(c, s, set, t);
    if (c->hunting && !c->inlet_tripped && t >= settles_at(c, s))
        c->hunting = false;
}

double trip_due(const struct control *c, const struct plant *p, const struct settings *set)
{
    const struct inlet_switch *s = &p->fill.inlet;
    double due = INFINITY;
    if (!p->fill.low_pressure_switch || !set->power)
        return due;
    if (!isnan(c->inlet_low_since))
        due = c->inlet_low_since + s->delay;
    if (c->inlet_tripped && !s->latches && shows_enough(c, set))
        due = fmin(due, c->inlet_retry);
    if (c->hunting && !c->inlet_tripped)
        due = fmin(due, settles_at(c, s));
    return due;
}

/* ---- all of them ---- */

void trip_react(struct control *c, const struct plant *p, struct settings *set, double t)
{
    const struct fill *f = &p->fill;
    const struct health *h = &set->health;
    const bool high = f->high_switch && trip_shows(h->guard_switch, c->high_wet);
    const bool leak = f->leak_sensor && trip_shows(h->leak_sensor, c->leak_wet);
    c->high_tripped = high || (f->high_latches && c->high_tripped);
    c->leak_tripped = leak || (f->leak_latches && c->leak_tripped);
    /* what the run timer stands against is this call */
    c->timer_tripped = c->timer_tripped && (f->timer_latches || set->call);
    if (f->low_pressure_switch)
        react_inlet(c, &f->inlet, set, t);
    set->trip = trip_causes(c) != 0;
}

void trip_without_power(struct control *c)
{
    c->inlet_low_since = NAN;
}

unsigned trip_causes(const struct control *c)
{
    return (c->high_tripped ? HIGH : 0U) | (c->leak_tripped ? LEAK : 0U) |
           (c->timer_tripped ? TIMER : 0U) | (c->inlet_tripped ? INLET : 0U);
}

void trip_tell(struct control *c, const struct plant *p, struct changes *log)
{
    const struct fill *f = &p->fill;
    const struct {
        unsigned cause;
        bool latches;
        const char *words, *latched;
    } rows[] = {
        { HIGH, f->high_latches, "the high switch tells the feed solenoid to shut",
          "the high switch tells the feed solenoid to shut, until reset" },
        { LEAK, f->leak_latches, "the leak sensor tells the feed solenoid to shut",
          "the leak sensor tells the feed solenoid to shut, until reset" },
        { TIMER, f->timer_latches, "the run timer tells the feed solenoid to shut",
          "the run timer tells the feed solenoid to shut, until reset" },
        { INLET, f->inlet.latches, "the low pressure switch tells the feed solenoid to shut",
          "the low pressure switch tells the feed solenoid to shut, until reset" },
    };
    /* of a row of tries only the first are told */
    const unsigned quiet = c->hunting ? INLET : 0U;
    const unsigned before = c->told, now = trip_causes(c);
    c->told = now;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (now & ~before & ~quiet & rows[i].cause)
            changes_add(log, "trip", "feed solenoid",
                        rows[i].latches ? rows[i].latched : rows[i].words);
    if (now == 0 && (before & ~quiet) != 0)
        changes_add(log, "trip ends", "feed solenoid",
                    "nothing tells the feed solenoid to stay shut any more");
}

void trip_reset(struct control *c)
{
    c->high_tripped = c->leak_tripped = c->timer_tripped = c->inlet_tripped = false;
    c->hunting = false;
    c->inlet_tried = c->inlet_low_since = NAN;
}
