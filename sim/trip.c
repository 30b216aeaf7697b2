/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * trip: see trip.h.  A pump that starts pulls the pressure in front of it down, one that stops lets
 * it rise: where the supply is weak a low pressure switch that clears itself tries again and again.
 * That is real, and every try is run; only the first of such a row are told.
 */
#include "trip.h"

#include <math.h>

static const unsigned HIGH = 1, LEAK = 2, TIMER = 4, INLET = 8, HUNTING = 16; /* bits of `told` */

bool trip_shows(double health, bool sound)
{
    return health == WORKS ? sound : health > 0.5;
}

/* ---- the low pressure switch ---- */

static bool shows_enough(const struct trips *trips, const struct settings *set)
{
    return trip_shows(set->health.inlet_switch, trips->inlet_enough);
}

/* A try that has lasted so long counts as a run; one that trips before that as hunting. */
static double settles_at(const struct trips *trips, const struct inlet_switch *s)
{
    return trips->inlet_tried + (s->delay + s->wait);
}

static void trip_inlet(struct trips *trips, const struct inlet_switch *s, struct settings *set,
                       double t)
{
    trips->hunting = trips->hunting || (!isnan(trips->inlet_tried) && t < settles_at(trips, s));
    trips->inlet_tripped = true;
    trips->inlet_retry = t + s->wait;
    trips->inlet_low_since = NAN;
    set->inlet_trips++;
}

/* It looks while the feed solenoid has power: in a line that is shut nothing can run dry. */
static void react_inlet(struct trips *trips, const struct inlet_switch *s, struct settings *set,
                        double t)
{
    const bool enough = shows_enough(trips, set);
    if (trips->inlet_tripped && !s->latches && enough && t >= trips->inlet_retry) {
        trips->inlet_tripped = false;
        trips->inlet_tried = t;
    }
    const bool looks = plant_solenoid_energised(set) && set->flush < 0; /* who flushes stands by */
    if (enough || trips->inlet_tripped || !looks)
        trips->inlet_low_since = NAN;
    else if (isnan(trips->inlet_low_since))
        trips->inlet_low_since = t;
    if (t >= trips->inlet_low_since + s->delay)
        trip_inlet(trips, s, set, t);
    if (trips->hunting && !trips->inlet_tripped && t >= settles_at(trips, s))
        trips->hunting = false;
}

double trip_due(const struct trips *trips, const struct plant *p, const struct settings *set)
{
    const struct inlet_switch *s = &p->fill.inlet;
    double due = INFINITY;
    if (!p->fill.low_pressure_switch || !set->power)
        return due;
    if (!isnan(trips->inlet_low_since))
        due = trips->inlet_low_since + s->delay;
    if (trips->inlet_tripped && !s->latches && shows_enough(trips, set))
        due = fmin(due, trips->inlet_retry);
    if (trips->hunting && !trips->inlet_tripped)
        due = fmin(due, settles_at(trips, s));
    return due;
}

/* ---- all of them ---- */

void trip_react(struct trips *trips, const struct plant *p, struct settings *set, double t)
{
    const struct fill *f = &p->fill;
    const struct health *h = &set->health;
    const bool high = f->high_switch && trip_shows(h->guard_switch, trips->high_wet);
    const bool leak = f->leak_sensor && trip_shows(h->leak_sensor, trips->leak_wet);
    trips->high_tripped = high || (f->high_latches && trips->high_tripped);
    trips->leak_tripped = leak || (f->leak_latches && trips->leak_tripped);
    /* what the run timer stands against is this call */
    trips->timer_tripped = trips->timer_tripped && (f->timer_latches || set->call);
    if (f->low_pressure_switch)
        react_inlet(trips, &f->inlet, set, t);
    const unsigned guards = f->guard_valve ? HIGH | LEAK : 0U; /* these have a valve of their own */
    set->guard_trip = (trip_causes(trips) & guards) != 0;
    set->trip = (trip_causes(trips) & ~guards) != 0;
}

void trip_without_power(struct trips *trips)
{
    trips->inlet_low_since = NAN;
}

unsigned trip_causes(const struct trips *trips)
{
    return (trips->high_tripped ? HIGH : 0U) | (trips->leak_tripped ? LEAK : 0U) |
           (trips->timer_tripped ? TIMER : 0U) | (trips->inlet_tripped ? INLET : 0U);
}

void trip_tell(struct trips *trips, const struct plant *p, struct changes *log)
{
    const struct fill *f = &p->fill;
    static const char *const guarded[][2] = {
        { "the high switch tells the guard valve to shut",
          "the high switch tells the guard valve to shut, until reset" },
        { "the leak sensor tells the guard valve to shut",
          "the leak sensor tells the guard valve to shut, until reset" },
    };
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
    const unsigned quiet = trips->hunting ? INLET : 0U;
    const unsigned before = trips->told, causes = trip_causes(trips);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (!(causes & ~before & ~quiet & rows[i].cause))
            continue;
        const bool own = f->guard_valve && i < sizeof guarded / sizeof *guarded;
        changes_add(log, "trip", own ? "guard valve" : "feed solenoid",
                    own               ? guarded[i][rows[i].latches]
                    : rows[i].latches ? rows[i].latched
                                      : rows[i].words);
    }
    if (causes == 0 && (before & ~(quiet | HUNTING)) != 0)
        changes_add(log, "trip ends", "feed solenoid",
                    "nothing tells the feed solenoid to stay shut any more");
    const unsigned hunting = trips->hunting ? HUNTING : 0U;
    if (hunting & ~before)
        changes_add(log, "hunting", "low pressure switch",
                    "each try pulls the pressure down again; more of them are only counted");
    else if (before & ~hunting & HUNTING)
        changes_add(log, "hunting ends", "low pressure switch", "a try has lasted");
    trips->told = causes | hunting;
}

void trip_reset(struct trips *trips)
{
    trips->high_tripped = trips->leak_tripped = trips->timer_tripped = trips->inlet_tripped = false;
    trips->hunting = false; /* a person saw it: nothing is left to tell */
    trips->told &= ~HUNTING;
    trips->inlet_tried = trips->inlet_low_since = NAN;
}
