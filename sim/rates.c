/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rates: how often parts fail, as data.  Page: docs/rates.md, which has the sources in full.
 *
 * Nobody has published how often the small parts of a household fail.  The values come from power
 * plants, process plants and laboratories, and are moved to small, dirty, seldom tested parts.
 */
#include "rates.h"

#include <math.h>
#include <string.h>

#define YEAR (365.25 * 86400.0)
#define HOUR 3600.0
#define PER_TIME(per_year) RATE_PER_TIME, (per_year) / YEAR
#define STANDING(chance) RATE_STANDING, chance
#define PER_DEMAND(chance) RATE_PER_DEMAND, chance
#define TANK_SWITCH "level switch of the tank"
#define SERVED_SWITCH "level switch of the served water"

#define SWITCH_FAILS                                                                               \
    "instrument channel 1e-6 /h, limit switch 3e-4 a demand (NRC estimates); raised for fouling"
#define REGULATOR "pressure regulator, all modes, 0.1 /yr (process plants)"
#define PUMP "any pump stops, 0.1 /yr (process plants); worn at 35 000 h: 0.01 a year at 2 h a day"
#define CONTROLLER "basic control loop 0.1 /yr (process plants), split 20 to 80"

/* Columns: part, mode, kind and median, error factor, length, like, trust, source. */
const struct rate rates_defaults[] = {
    { "feed solenoid", "sticks open", PER_DEMAND(1e-3), 3.0, NAN, NULL, RATE_QUOTED,
      "solenoid valve fails to operate, 1e-3 a demand (NRC estimates)", 0 },
    { "feed solenoid", "sticks shut", PER_TIME(0.05), 3.0, NAN, NULL, RATE_BUILT,
      "solenoid valve wears out, 0.09 in its first year (Weibull tables); half of that", 0 },
    { "feed solenoid", "weeps", PER_TIME(0.03), 5.0, NAN, NULL, RATE_BUILT,
      "between 1e-3 a demand to close (NRC estimates) and wear-out (Weibull tables)", 0 },

    { "float valve", "sticks open", PER_TIME(0.02), 5.0, NAN, NULL, RATE_BUILT, REGULATOR, 0 },
    { "float valve", "sticks shut", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "as often as it sticks open", 0 },
    { "float valve", "sticks part open", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "as often as it sticks open", 0 },
    { "float valve", "weeps", PER_TIME(0.1), 3.0, NAN, NULL, RATE_BUILT, REGULATOR, 0 },

    { "start switch", "shows dry", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "start switch", "shows wet", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "stop switch", "shows dry", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "stop switch", "shows wet", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "high switch", "shows dry", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "high switch", "shows wet", PER_TIME(0.01), 10.0, NAN, TANK_SWITCH, RATE_BUILT, SWITCH_FAILS,
      0 },
    { "top-off switch", "shows dry", PER_TIME(0.01), 10.0, NAN, SERVED_SWITCH, RATE_BUILT,
      SWITCH_FAILS, 0 },
    { "top-off switch", "shows wet", PER_TIME(0.01), 10.0, NAN, SERVED_SWITCH, RATE_BUILT,
      SWITCH_FAILS, 0 },

    { "top-off high switch", "shows dry", PER_TIME(0.01), 10.0, NAN, SERVED_SWITCH, RATE_BUILT,
      SWITCH_FAILS, 0 },
    { "top-off high switch", "shows wet", PER_TIME(0.01), 10.0, NAN, SERVED_SWITCH, RATE_BUILT,
      SWITCH_FAILS, 0 },

    { "leak sensor", "dead", PER_TIME(0.1), 3.0, NAN, NULL, RATE_BUILT,
      "found dead 5 times in 100 when tested once a year (assumption): 0.1 /yr (computed)", 0 },
    { "leak sensor", "shows wet", PER_TIME(0.1), 5.0, NAN, NULL, RATE_NEAREST,
      "low end of false trips of an interlock, 0.1 to 1 /yr (process plants)", 0 },
    { "run timer", "never ends", PER_TIME(5e-3), 5.0, NAN, NULL, RATE_BUILT,
      "relay contact and clock: relay short 1e-8 /h (NRC estimates), raised", 0 },

    { "top-off float", "sticks open", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "as the float valve of the tank", 0 },
    { "top-off float", "sticks shut", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "as the float valve of the tank", 0 },
    { "top-off float", "sticks part open", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "as the float valve of the tank", 0 },

    { "booster pump", "dead", PER_TIME(0.1), 5.0, NAN, NULL, RATE_BUILT, PUMP, 0 },
    { "top-off pump", "dead", PER_TIME(0.1), 5.0, NAN, NULL, RATE_BUILT, PUMP, 0 },
    { "top-off pump", "does not stop", PER_TIME(1e-3), 10.0, NAN, NULL, RATE_BUILT,
      "its relay is welded: relay 1e-8 /h, solid state 1e-7 to 1e-6 /h (NRC estimates)", 0 },
    { "controller", "hangs off", PER_TIME(0.08), 3.0, NAN, NULL, RATE_BUILT, CONTROLLER, 0 },
    { "controller", "hangs on", PER_TIME(0.02), 3.0, NAN, NULL, RATE_BUILT, CONTROLLER, 0 },

    { "shut-off valve", "never closes", PER_TIME(0.1), 3.0, NAN, NULL, RATE_BUILT, REGULATOR, 0 },
    { "check valve", "leaks back", PER_TIME(0.03), 10.0, NAN, NULL, RATE_BUILT,
      "ten times 3e-7 /h (NRC estimates): small, dirty, seldom tested", 0 },
    { "overflow pipe", "blocked", STANDING(0.01), 5.0, NAN, NULL, RATE_BUILT,
      "passive overflow line, sized and clear, 1e-3 to 1e-2 (from memory)", 0 },
    { "drain line", "kinked", PER_TIME(0.01), 10.0, NAN, NULL, RATE_NEAREST,
      "a line blocked as often as an overflow pipe is found blocked, 0.01", 0 },
    { "bladder tank", "waterlogged", PER_TIME(0.02), 10.0, NAN, NULL, RATE_NEAREST,
      "its rubber bursts as often as a float valve sticks open", 0 },
    { "bladder tank", "loses its air", PER_TIME(0.02), 10.0, NAN, NULL, RATE_NEAREST,
      "as often as its rubber bursts", 0 },
    { "siphon break", "blocked", STANDING(0.01), 5.0, NAN, NULL, RATE_NEAREST,
      "found blocked as often as an overflow pipe", 0 },

    { "low pressure switch", "shows low", PER_TIME(0.01), 10.0, NAN, NULL, RATE_NEAREST,
      "as a level switch", 0 },
    { "low pressure switch", "never trips", PER_TIME(0.01), 10.0, NAN, NULL, RATE_NEAREST,
      "as a level switch", 0 },

    { "supply pressure", "surges", PER_TIME(0.03), 5.0, NAN, NULL, RATE_NEAREST,
      "a third of " REGULATOR, 0 },
    { "guard valve", "sticks open", PER_TIME(0.02), 5.0, NAN, NULL, RATE_NEAREST,
      "below the wear-out of a solenoid that works daily, 0.09 in its first year (Weibull tables)",
      0 },
    { "guard valve", "sticks shut", PER_TIME(0.05), 3.0, NAN, NULL, RATE_NEAREST,
      "as the feed solenoid", 0 },
    { "hand valve", "left shut", PER_TIME(0.02), 5.0, NAN, NULL, RATE_BUILT,
      "two works a year (assumption), a step left out in 1 of 100 (handbook: 0.003 to 0.05)", 0 },

    /* from outside */
    { "mains", "power cut", PER_TIME(1.0), 3.0, 2.0 * HOUR, NULL, RATE_QUOTED,
      "loss of a site's supply 1e-4 /h (NRC estimates); 0.1 to 10 by place; length assumed", 0 },
    { "supply", "supply cut", PER_TIME(1.0), 5.0, 4.0 * HOUR, NULL, RATE_NEAREST,
      "as often as a power cut; length assumed", 0 },
    { .part = NULL },
};

/* ---- names ----------------------------------------------------------------------------------- */

static const char *const outside[][2] = { { "mains", "power cut" }, { "supply", "supply cut" } };

const char *rates_part(int which)
{
    return which < 0 ? outside[-1 - which][0] : fault_modes[which].part;
}

const char *rates_mode(int which)
{
    return which < 0 ? outside[-1 - which][1] : fault_modes[which].mode;
}

bool rates_exists(int which)
{
    return which < 0 || fault_modes[which].part != NULL;
}

bool rates_applies(const struct plant *p, int which)
{
    return which < 0 || fault_applies(p, &fault_modes[which]);
}

/* ---- what holds ------------------------------------------------------------------------------ */

struct rate rates_default(int which)
{
    for (const struct rate *r = rates_defaults; r->part != NULL; r++)
        if (strcmp(r->part, rates_part(which)) == 0 && strcmp(r->mode, rates_mode(which)) == 0)
            return *r;
    return (struct rate){ .part = rates_part(which),
                          .mode = rates_mode(which),
                          .median = NAN,
                          .error_factor = NAN,
                          .lasts = NAN,
                          .trust = RATE_NEAREST,
                          .source = "no row in the table of rates" };
}

struct rate rates_of(const struct plan *plan, int which)
{
    struct rate r = rates_default(which);
    for (int i = 0; i < plan->risk.rates; i++) {
        const struct rate_given *g = &plan->risk.rate[i];
        if (g->which != which)
            continue;
        r.kind = g->kind;
        r.median = g->median;
        r.error_factor = g->error_factor;
        r.lasts = g->lasts;
        r.trust = RATE_GIVEN;
        r.source = "the scenario";
        r.given = i + 1;
    }
    return r;
}

bool rates_alike(int which, int other)
{
    const struct rate a = rates_default(which), b = rates_default(other);
    return which != other && a.like != NULL && b.like != NULL && strcmp(a.like, b.like) == 0 &&
           strcmp(a.mode, b.mode) == 0;
}

/* ---- numbers --------------------------------------------------------------------------------- */

double rates_per_time(const struct rate *r, double demands)
{
    switch (r->kind) {
    case RATE_PER_TIME:
        return r->median;
    case RATE_PER_DEMAND:
        return r->median * demands;
    case RATE_STANDING:
        break;
    }
    return NAN;
}

const char *rates_trust_words(enum rate_trust trust)
{
    static const char *const words[] = {
        [RATE_QUOTED] = "published, second-hand",
        [RATE_BUILT] = "assumption, between published",
        [RATE_NEAREST] = "assumption, nearest",
        [RATE_GIVEN] = "given",
    };
    return words[trust];
}
