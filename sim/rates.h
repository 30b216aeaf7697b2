/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rates: how often parts fail.  Page: docs/rates.md.
 *
 * One table holds a default for every row of fault_modes and for what comes from outside: cuts of
 * power and supply.  A value is the median of a lognormal spread; a chance needs the mean.  What
 * fails is numbered: a row of fault_modes from 0 on, or RATES_POWER_CUT, RATES_SUPPLY_CUT below 0.
 */
#ifndef SIM_RATES_H
#define SIM_RATES_H

#include "plan.h"

enum { RATES_FIRST = -2, RATES_SUPPLY_CUT = RATES_FIRST, RATES_POWER_CUT };

enum rate_trust {
    RATE_QUOTED,                /* published, quoted second-hand */
    RATE_BUILT,                 /* assumption, between published values of like parts */
    RATE_NEAREST,               /* assumption, after the nearest row; nothing was found for it */
    RATE_GIVEN                  /* by the scenario */
};

struct rate {
    const char *part, *mode;    /* "float valve", "sticks open" */
    enum rate_kind kind;        /* a demand is the end of a filling: a closing of the solenoid */
    double median;              /* 1/s, or a chance */
    double error_factor;        /* 95th over 50th percentile */
    double lasts;               /* s, median of an outage; NAN of what is no outage */
    const char *like;           /* rows of one word and one mode may fail of one cause; or NULL */
    enum rate_trust trust;
    const char *source;
    int given;                  /* element of risk.rates that says it, from 1; 0: the default */
};

/* The defaults; ended by a row whose part is NULL. */
extern const struct rate rates_defaults[];

/* What fails, by its number: names; whether there is such a number; whether the plant can fail so. */
const char *rates_part(int which);
const char *rates_mode(int which);
bool rates_exists(int which);
bool rates_applies(const struct plant *p, int which);

/* The default; of a mode that the table has forgotten all numbers are NAN. */
struct rate rates_default(int which);

/* What holds in this plan: the scenario's or the default. */
struct rate rates_of(const struct plan *plan, int which);

/* Whether two are like switches in one vessel, failing the same way: common_cause concerns them. */
bool rates_alike(int which, int other);

/* Median made a rate [1/s] by the demands [1/s] that the plant makes; NAN of a standing chance. */
double rates_per_time(const struct rate *r, double demands);

/* "published, second-hand" */
const char *rates_trust_words(enum rate_trust trust);

#endif
