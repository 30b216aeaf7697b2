/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: faults that wait until a test finds them, alone and together.  Page: docs/odds.md.
 *
 * Means of products are taken by Gauss and Legendre's rule on panels that double in width from the
 * time scale of the fastest part.  Every term is positive, so tiny odds keep their digits, where
 * the closed form, a difference of exponentials, would lose them all.
 */
#include <math.h>
#include <stdbool.h>

#include "odds.h"

static bool share(double p)
{
    return p >= 0.0 && p <= 1.0;
}

static bool rate_or_time(double x)
{
    return x >= 0.0 && isfinite(x);
}

/* ---- one part -------------------------------------------------------------------------------- */

/* 1 - (1 - e^-x)/x, by its series where the difference would cancel. */
static double missing(double x)
{
    if (x > 1.0)
        return 1.0 + expm1(-x) / x;
    double term = x / 2.0, sum = term;
    for (int k = 3; fabs(term) > 1e-17 * sum; k++) {
        term *= -x / k;
        sum += term;
    }
    return sum;
}

double odds_hidden(double rate, double interval)
{
    return rate_or_time(rate) && rate_or_time(interval) ? missing(rate * interval) : NAN;
}

/* Intervals are of two kinds: begun with a sound part, or with one that a test has found failed. */
double odds_hidden_mended(double rate, double interval, double mending)
{
    if (!(rate_or_time(rate) && interval > 0.0 && isfinite(interval) && mending >= 0.0 &&
          mending <= interval))
        return NAN;
    const double rest = interval - mending;
    const double fails = -expm1(-rate * interval), again = -expm1(-rate * rest);
    const double mended = fails / (1.0 + fails - again); /* share of the second kind */
    return (1.0 - mended) * missing(rate * interval) +
           mended * (mending + rest * missing(rate * rest)) / interval;
}

double odds_hidden_partly(double rate, double interval, double coverage, double life)
{
    if (!(rate_or_time(rate) && rate_or_time(interval) && share(coverage) && life >= interval &&
          isfinite(life)))
        return NAN;
    const double unfound = (1.0 - coverage) * rate;
    const double all = missing(rate * interval);
    const double late = missing(unfound * life), early = missing(unfound * interval);
    return (all * (1.0 - late) + (late - early)) / (1.0 - early);
}

double odds_revealed(double rate, double mending)
{
    if (!(rate_or_time(rate) && rate_or_time(mending)))
        return NAN;
    return rate * mending / (1.0 + rate * mending);
}

/* ---- parts together -------------------------------------------------------------------------- */

struct group {
    const struct odds_part *part;
    uint64_t set;
    double interval;
};

static int lowest(uint64_t set)
{
    return __builtin_ctzll(set);
}

static double failed(const struct odds_part *p, double t)
{
    return p->standing - (1.0 - p->standing) * expm1(-p->hides * t);
}

static double all_failed(const struct group *g, double t)
{
    double product = 1.0;
    for (uint64_t left = g->set; left; left &= left - 1)
        product *= failed(&g->part[lowest(left)], t);
    return product;
}

static double completions(const struct group *g, double t)
{
    double sum = 0.0;
    for (uint64_t left = g->set; left; left &= left - 1) {
        const struct odds_part *last = &g->part[lowest(left)];
        const struct group others = { g->part, g->set & ~(left & -left), g->interval };
        if (last->starts > 0.0)
            sum += last->starts * (1.0 - failed(last, t)) * all_failed(&others, t);
    }
    return sum;
}

typedef double at_time(const struct group *, double);

/* Over a panel of the interval, in shares of it.  Ten points, exact for polynomials up to the 19th
 * degree (Abramowitz & Stegun, table 25.4). */
static double integral(at_time *f, const struct group *g, double from, double to)
{
    static const double node[] = { 0.148874338981631211, 0.433395394129247191, 0.679409568299024406,
                                   0.865063366688984511, 0.973906528517171720 };
    static const double weight[] = { 0.295524224714752870, 0.269266719309996355,
                                     0.219086362515982044, 0.149451349150580593,
                                     0.066671344308688138 };
    const double middle = (from + to) / 2.0, half = (to - from) / 2.0;
    double sum = 0.0;
    for (int i = 0; i < 5; i++)
        sum += weight[i] * (f(g, (middle - half * node[i]) * g->interval) +
                            f(g, (middle + half * node[i]) * g->interval));
    return half * sum;
}

static double mean_over(at_time *f, const struct group *g)
{
    double fastest = 0.0;
    for (uint64_t left = g->set; left; left &= left - 1)
        fastest = fmax(fastest, g->part[lowest(left)].hides * g->interval);
    int halvings = fastest > 1.0 ? ilogb(fastest) + 1 : 0;
    double sum = integral(f, g, 0.0, ldexp(1.0, -halvings));
    for (; halvings > 0; halvings--)
        sum += integral(f, g, ldexp(1.0, -halvings), ldexp(1.0, 1 - halvings));
    return sum;
}

static bool sound(uint64_t set, const struct odds_part part[], int parts, double interval)
{
    if (parts < 0 || parts > ODDS_EVENTS || (parts < ODDS_EVENTS && set >> parts) ||
        !rate_or_time(interval))
        return false;
    for (uint64_t left = set; left; left &= left - 1) {
        const struct odds_part *p = &part[lowest(left)];
        if (!(rate_or_time(p->starts) && rate_or_time(p->hides) && share(p->standing) &&
              isfinite(p->hides * interval)))
            return false;
    }
    return true;
}

double odds_waiting(uint64_t set, const struct odds_part part[], int parts, double interval)
{
    const struct group g = { part, set, interval };
    return sound(set, part, parts, interval) ? mean_over(all_failed, &g) : NAN;
}

double odds_frequency(uint64_t set, const struct odds_part part[], int parts, double interval)
{
    const struct group g = { part, set, interval };
    return sound(set, part, parts, interval) ? mean_over(completions, &g) : NAN;
}

/* ---- common cause ---------------------------------------------------------------------------- */

struct odds_split odds_split(double rate, double beta)
{
    if (!(rate_or_time(rate) && share(beta)))
        return (struct odds_split){ NAN, NAN };
    return (struct odds_split){ (1.0 - beta) * rate, beta * rate };
}

double odds_pair(double rate, double interval, double beta)
{
    const struct odds_split split = odds_split(rate, beta);
    const struct odds_part part[] = { { .hides = split.together },
                                      { .hides = split.alone },
                                      { .hides = split.alone } };
    return odds_hidden(split.together, interval) + odds_waiting(6, part, 3, interval) -
           odds_waiting(7, part, 3, interval);
}

double odds_iec_single(double rate, double interval, double mending)
{
    if (!(rate_or_time(rate) && rate_or_time(interval) && rate_or_time(mending)))
        return NAN;
    return rate * (interval / 2.0 + mending);
}

double odds_iec_pair(double rate, double interval, double mending, double beta)
{
    const struct odds_split split = odds_split(rate, beta);
    return 2.0 * odds_iec_single(split.alone, interval, mending) * split.alone *
               (interval / 3.0 + mending) +
           odds_iec_single(split.together, interval, mending);
}
