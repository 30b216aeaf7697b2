/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing: the plant at a glance, for `check`: what it makes and needs, warm and cold, what stops
 * the water, how long each cartridge lasts on steady water.  It calls the same model functions as a
 * run.
 */
#ifndef SIM_SIZING_H
#define SIM_SIZING_H

#include "plan.h"
#include "report.h"

enum sizing_case { SIZING_COLDEST, SIZING_MEAN, SIZING_WARMEST, SIZING_CASES };

struct sizing_point {
    double temperature;     /* degC */
    double pressure;        /* Pa */
    struct signals signals; /* fresh cartridges, tank filling freely */
    double rejection;       /* share of the conductivity that the membrane keeps back */
};

/* Why a cartridge ends. */
enum sizing_end {
    END_NONE,    /* not within the horizon */
    END_UNKNOWN, /* nothing in this version says when: membrane, pump, what no meter stands behind
                  */
    END_DEPOSIT, /* clogged */
    END_OXIDANT, /* oxidant at the membrane over 0.1 mg/L */
    END_READING, /* the meter behind the bed is over its limit */
};

struct sizing_life {
    enum sizing_end why;
    double litres; /* of product until then; INFINITY if beyond the horizon */
    double fresh;  /* kg/m3 on the meter behind the fresh bed (last resin only) */
    double due; /* kg/m3 on the meter at which it has ended: the limit, over `fresh` if need be */
    double unseen; /* L of product at which silica first passed 0.05 mg/L; INFINITY if never */
    double share[SPECIES_COUNT]; /* of its own resin's sites at the end (resin only) */
};

/* The doubts that a life's range comes from, all bad together, none, all good together: free CO2 as
 * the doubt of the pH has it; dirt and oxidant capacities at the ends of their usual range. */
enum { LIFE_SHORT, LIFE_MIDDLE, LIFE_LONG, SIZING_LIVES };

/* What the hose of the top-off pump brings by itself, from a full tank; nothing if it cannot. */
struct sizing_siphon {
    double from, to;     /* m, levels of the tank */
    double filling_from; /* m, at or below which it is filled meanwhile */
    double brings;       /* m3 */
    double flow;         /* m3/s at first */
    double spills;       /* m3 of it over the rim of the served water */
    double salinity;     /* g/kg of the served water afterwards */
};

struct sizing {
    double calcite, gypsum, silica; /* log10 of saturation at the wall, mean conditions */
    struct sizing_point point[SIZING_CASES];
    bool throttled; /* no solenoid ends a filling, the float valve does: the drain never rests */
    struct sizing_point pace; /* mean: if throttled, at the level where the product is the need */
    double rest_drain;        /* m3/s to the drain while the tank is full, mean */
    double feed, drain;       /* m3/s over a mean year, and */
    double power;             /* W of the line */
    double horizon[SIZING_LIVES];   /* m3 of product over which lives were looked for */
    double need_mean, need_most;    /* m3/s: evaporation and draws; most: the dearest month */
    double fill_time[SIZING_CASES]; /* s from the level at which filling stops to the lip or rim */
    double floor_rate;              /* m3/s onto the floor if nothing stops it, warmest */
    struct sizing_life life[STAGES_MAX][SIZING_LIVES];
    double contact[STAGES_MAX]; /* s, carbon blocks, at the warmest (most flow) */
    double flush[STAGES_MAX];   /* m3 of feed that a new part is flushed with, mean */
    double rinse;               /* m3 along the membrane in a rinse at stop, mean, and */
    double rinse_left;          /* share of what stood on its feed side that it leaves there */
    double room;                /* m3 above where filling stops, to the lip or rim */
    double bladder_pressure;    /* Pa, the most that a bladder comes to, at the highest feed */
    double bladder_gives;       /* m3 that it then gives to the tank after the feed is shut */
    struct sizing_siphon siphon;
};

/* `co2_low`, `co2_high`: doubt of the free CO2 [mol/m3] about `co2` that the feed holds. */
struct sizing_doubt {
    double co2, co2_low, co2_high;
};

/* STATUS_MEMORY: *out is not to be read. */
enum status sizing_of(const struct plant *p, const struct plan *plan,
                      const struct sizing_doubt *doubt, struct sizing *out);

/* Whether a float valve, not a solenoid, ends the filling. */
bool sizing_throttled(const struct plant *p);

/* The reading [kg/m3] at which the last bed is due: that of the plan, or 1 ppm, common practice. */
double sizing_product_limit(const struct plan *plan);

/* Mean need [m3/s] of evaporation and draws at time t of the year (draws spread evenly); vapour that
 * condenses takes nothing off it. */
double sizing_need(const struct plant *p, const struct plan *plan, double t);

#endif
