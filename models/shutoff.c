/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * shutoff: the cycle of a shut-off valve in closed form.  Page: docs/shutoff.md, same symbols.
 *   open: C dp/dt = k (p_max - p) - K sqrt(p) - G p      from p_open up to p_close
 *   shut: C dp/dt = - K sqrt(p) - (G + L) p              back down to p_open
 * With u = sqrt(p) both are rational in u.
 *
 * Assumes: a linear membrane, a constant compliance, a feed side that follows at once.
 */
#include "shutoff.h"

#include <math.h>
#include <stddef.h>

static const double BAR = 1e5;         /* Pa */
static const double LEAST_BAND = 1e-3; /* of p_close, between closing and opening again */

/* u from `low` to `high` at a cycle. */
struct range {
    double low, high;
};

static struct range range_of(const struct shutoff *s, const struct shutoff_line *line)
{
    const double p_close = s->close_ratio * fmax(line->feed_pressure, 0.0);
    const double p_open = fmin(s->reopen_ratio * line->feed_pressure, (1.0 - LEAST_BAND) * p_close);
    return (struct range){ sqrt(fmax(p_open, 0.0)), sqrt(p_close) };
}

/* The steady state of an open valve: u+ and u- with (k + G)(u+ - u)(u - u-) = net inflow. */
struct steady {
    double up, um;
};

static struct steady steady_of(const struct shutoff_line *l)
{
    const double half = 0.5 * l->orifice / (l->k + l->seep);
    const double um = -half - sqrt(half * half + l->k * l->p_max / (l->k + l->seep));
    return (struct steady){ l->k * l->p_max / ((l->k + l->seep) * -um), um };
}

/* Integrals of u^m du/((u+ - u)(u - u-)) over the range, m = 1 and 3: half of time and of p times
 * time, each times (k + G)/C. */
struct filling {
    double time, pressure;
};

static struct filling filling(const struct steady *at, const struct range *r)
{
    const double up = at->up, um = at->um;
    const double a = log((up - r->low) / (up - r->high)) / (up - um);
    const double b = log((r->high - um) / (r->low - um)) / (up - um);
    return (struct filling){
        .time = up * a + um * b,
        .pressure = -0.5 * (r->high * r->high - r->low * r->low) - (up + um) * (r->high - r->low) +
                    up * up * up * a + um * um * um * b,
    };
}

/* ln(1 + z)/z */
static double log1p_over(double z)
{
    return z < 1e-8 ? 1.0 - 0.5 * z : log1p(z) / z;
}

/* 1/s: one over the time that the pressure takes to fall, 0 if it does not. */
static double emptying_rate(const struct shutoff_line *l, double C, const struct range *r)
{
    const double H = l->seep + l->leak_back, du = r->high - r->low;
    const double w = l->orifice + H * r->low;
    if (!(w > 0.0))
        return 0.0;
    return w / (2.0 * C * du * log1p_over(H * du / w));
}

/* (1/x - 1/artanh x)/x */
static double lag(double x)
{
    return x < 1e-3 ? 1.0 / 3.0 + 4.0 * x * x / 45.0 : (1.0 / x - 1.0 / atanh(x)) / x;
}

/* Mean of p while the pressure falls: of u^2 with the weight 1/(K + H u).  With m the middle of the
 * range, d half of it and x = H d/(K + H m) it is m^2 + d^2 lag - 2 m d x lag. */
static double falling_pressure(const struct shutoff_line *l, const struct range *r)
{
    const double H = l->seep + l->leak_back;
    const double m = 0.5 * (r->high + r->low), d = 0.5 * (r->high - r->low);
    const double w = l->orifice + H * m;
    const double x = w > 0.0 ? H * d / w : 0.0;
    return m * m + d * (d - 2.0 * m * x) * lag(x);
}

/* A valve that never closes: at the balance of membrane and outlet. */
static struct shutoff_cycle always_open(const struct shutoff_line *l)
{
    struct shutoff_cycle c = { .open = true, .duty = 1.0, .run = INFINITY };
    if (l->k > 0.0 && l->p_max > 0.0) {
        const double u = steady_of(l).up;
        c.pressure = u * u;
        c.made = c.out = l->orifice * u + l->seep * u * u;
    }
    return c;
}

double shutoff_threshold(const struct shutoff *s, const struct shutoff_line *line)
{
    const struct range r = range_of(s, line);
    return fmax(line->k * (line->p_max - r.high * r.high), 0.0);
}

struct shutoff_cycle shutoff_average(const struct shutoff *s, const struct shutoff_line *line)
{
    const double C = s->give / BAR;
    const struct range r = range_of(s, line);
    const double drawn = line->orifice * r.high + line->seep * r.high * r.high;
    if (!(r.high > 0.0) || !(drawn < shutoff_threshold(s, line)))
        return always_open(line);

    const struct steady at = steady_of(line);
    if (!(at.up > r.high)) /* on the threshold, to rounding */
        return always_open(line);
    const struct filling fill = filling(&at, &r);
    const double opens = emptying_rate(line, C, &r);
    const double closes = (line->k + line->seep) / (2.0 * C * fill.time);

    struct shutoff_cycle c = {
        .duty = opens / (opens + closes),
        .starts = opens * closes / (opens + closes),
        .run = 1.0 / closes,
        .rest = opens > 0.0 ? 1.0 / opens : INFINITY,
        .pressure = fill.pressure / fill.time,
    };
    c.made = c.duty * line->k * (line->p_max - c.pressure);
    c.out = fmax(c.made - (1.0 - c.duty) * line->leak_back * falling_pressure(line, &r), 0.0);
    if (!(opens > 0.0))
        c.pressure = 0.0;
    return c;
}

const struct field shutoff_fields[] = {
    { "close_ratio", FIELD_NUMBER, DIM_NONE, offsetof(struct shutoff, close_ratio), 0.65, 0.1, 0.95,
      0.6, 0.67, NULL, "product pressure over feed pressure at which it shuts the feed",
      "trade texts: 0.6, 0.65 and two thirds" },
    { "reopen_ratio", FIELD_NUMBER, DIM_NONE, offsetof(struct shutoff, reopen_ratio), 0.55, 0.05,
      0.94, 0.45, 0.6, NULL, "the same ratio at which it opens again",
      "0.05 to 0.20 lower across trade texts; 0.10 is an assumption" },
    { "line_give", FIELD_NUMBER, DIM_VOLUME, offsetof(struct shutoff, give), 5e-7, 1e-9, 1e-3, 5e-8,
      1e-5, NULL, "water that the product line takes up for each bar of pressure",
      "assumption; tube 0.012 mL per metre, trapped air 2 to 10 mL (computed)" },
    { .key = NULL },
};
