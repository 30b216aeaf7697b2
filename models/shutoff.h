/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * shutoff: an automatic shut-off valve that closes the feed at a share of the feed pressure on the
 * product side, and the short cycles that it makes with the compliance of the product line.  Page:
 * docs/shutoff.md, with the same symbols.
 *
 * Closed forms for what the cycles come to: duty, starts, flows.  Pressures are Pa gauge.
 */
#ifndef MODELS_SHUTOFF_H
#define MODELS_SHUTOFF_H

#include <stdbool.h>

#include "field.h"

struct shutoff {
    double close_ratio;         /* product over feed pressure at which it closes */
    double reopen_ratio;        /* and at which it opens again, below close_ratio */
    double give;                /* m3 that the product line takes up per bar (1e5 Pa): 1e5 C */
};

extern const struct field shutoff_fields[];

/* What the valve works with.  p is the pressure in the product line. */
struct shutoff_line {
    double feed_pressure;       /* Pa in front of the valve, the same open and shut */
    double k;                   /* m3/(s Pa): while open the membrane makes k (p_max - p) */
    double p_max;               /* Pa at which it makes nothing: feed less osmotic pressure */
    double orifice;             /* K: the float valve, or its weep, lets K sqrt(p) out [m3/s] */
    double seep;                /* G: and a line or joint G p [m3/s] */
    double leak_back;           /* L: while shut L p goes back; 0 with a sound check valve [m3/s] */
};

struct shutoff_cycle {
    bool open;                  /* it never closes */
    double duty;                /* share of time open */
    double starts;              /* 1/s */
    double run, rest;           /* s open, s shut, of one cycle; INFINITY where it does not end */
    double pressure;            /* Pa in the product line, mean while open (0 if it never is) */
    double made;                /* m3/s through the membrane, mean over all time */
    double out;                 /* m3/s that reach the tank, mean over all time */
};

struct shutoff_cycle shutoff_average(const struct shutoff *s, const struct shutoff_line *line);

/* Outflow [m3/s] from which on the valve stays open for good. */
double shutoff_threshold(const struct shutoff *s, const struct shutoff_line *line);

#endif
