/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plan: what a scenario says beyond the plant itself: time, draws, dated events, limits, prices,
 * risk.
 */
#ifndef SIM_PLAN_H
#define SIM_PLAN_H

#include "commission.h"
#include "models/plant.h"

enum { DRAWS_MAX = 16, EVENTS_MAX = 128, TITLE_MAX = 120, RATES_MAX = 64 };

/* Takes a volume at a rate, every so often, first at `first`. */
struct draw {
    double take;                /* m3 */
    double every;               /* s between starts; INFINITY: once */
    double first;               /* s */
    double rate;                /* m3/s */
};

enum event_kind {
    EVENT_POWER_OFF, EVENT_POWER_ON, EVENT_SUPPLY_OFF, EVENT_SUPPLY_ON, EVENT_HAND_SHUT,
    EVENT_HAND_OPEN, EVENT_FEED_CHANGE, EVENT_FAULT, EVENT_MEND, EVENT_REPLACE, EVENT_RESET
};

struct event {
    double at;                  /* s */
    enum event_kind kind;
    int which;                  /* fault: row of fault_modes; replace: stage */
    double amount;              /* fault: what is put in place of NAN */
};

struct limits {                 /* NAN: not asked for */
    double permeate, product;   /* kg/m3 on the meter at which membrane and resin are due */
    double salinity_low, salinity_high; /* g/kg */
    double spill;               /* m3; default 0 */
    double dry;                 /* s that the served water may go without; default 0 */
};

/* When a person who looks replaces a cartridge; NAN: not by this. */
struct rule {
    double calendar;            /* s since it was put in */
    double reading;             /* kg/m3 on the meter behind it, at or above */
    double pressure_drop;       /* Pa across it at the flow of the moment, at or above */
    double flow;                /* share of its standardised flow when new, at or below (membrane) */
    double passage;             /* factor on its standardised salt passage when new, at or above */
    double oxidant;             /* kg/m3 of Cl2 behind it, at or above (carbon; a test strip) */
};

struct visits {
    double every;               /* s between looks; INFINITY: nobody looks */
    double delay;               /* s from a look to the new cartridge */
    bool resets;                /* whoever looks also resets what has tripped */
};

/* Further protections, see safeguard.h. */
enum safeguard_kind {
    SAFEGUARD_HIGH_SWITCH, SAFEGUARD_LEAK_SENSOR, SAFEGUARD_FLOAT_VALVE, SAFEGUARD_OVERFLOW_PIPE,
    SAFEGUARD_RUN_TIMER, SAFEGUARD_TOPOFF_TIMER, SAFEGUARD_TOPOFF_SWITCH, SAFEGUARD_SMALLER_TANK,
    SAFEGUARD_FLOW_LIMITER, SAFEGUARD_DRIP_PAN, SAFEGUARD_KINDS
};

struct prices {
    double water, sewer;        /* money/m3 */
    double electricity;         /* money/J */
    double stage[STAGES_MAX];   /* money for a cartridge, or an element */
    char currency[12];
    double safeguard[SAFEGUARD_KINDS]; /* money, once; NAN: not given */
    double safeguard_life;      /* s that one lasts */
};

enum rate_kind {
    RATE_PER_TIME,              /* 1/s */
    RATE_STANDING,              /* chance that it stands failed at any time */
    RATE_PER_DEMAND             /* chance at each demand, see rates.h */
};

/* What the scenario puts in place of a default of rates.h. */
struct rate_given {
    int which;                  /* row of fault_modes, or what comes from outside, see rates.h */
    enum rate_kind kind;
    double median;              /* 1/s, or a chance */
    double error_factor;        /* 95th over 50th percentile */
    double lasts;               /* s, median; NAN of what is no outage */
};

struct risk {
    double inspected;           /* s between tests of the parts whose faults do not show */
    double mending;             /* s from finding to mended */
    double unattended;          /* s without anybody there */
    double common_cause;        /* share of the faults of like switches that strike all of them */
    int rates;
    struct rate_given rate[RATES_MAX];
};

struct plan {
    char title[TITLE_MAX + 1];
    double length;              /* s */
    double away;                /* s without anybody there (0: not given) */
    char start_date[24];        /* "2026-01-01" */
    double record;              /* s between rows of series.csv */
    double tolerance;           /* relative, of the integrator */
    int draws;
    struct draw draw[DRAWS_MAX];
    int events;
    struct event event[EVENTS_MAX];     /* in order of time */
    struct limits limits;
    struct visits visits;
    struct rule rule[STAGES_MAX];
    struct prices prices;
    struct risk risk;
    struct commissioning commissioning;
};

#endif
