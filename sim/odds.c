/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: rates that are poorly known, wear-out, and what a number of trials proves.
 * Page: docs/odds.md.  This file alone knows the library of distributions.
 */
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

#include "models/root.h"
#include "odds.h"

static bool inside(double p) /* a probability that is neither 0 nor 1 */
{
    return p > 0.0 && p < 1.0;
}

/* ---- lognormal, Weibull ---------------------------------------------------------------------- */

double odds_sigma(double error_factor)
{
    return error_factor >= 1.0 ? log(error_factor) / gsl_cdf_ugaussian_Pinv(0.95) : NAN;
}

double odds_mean(double median, double error_factor)
{
    const double sigma = odds_sigma(error_factor);
    return median >= 0.0 ? median * exp(sigma * sigma / 2.0) : NAN;
}

double odds_normal(double p)
{
    return p > 0.0 && p < 1.0 ? gsl_cdf_ugaussian_Pinv(p) : NAN;
}

double odds_at_most(int hits, double p, int trials)
{
    if (!(p >= 0.0 && p <= 1.0) || hits < 0 || trials < 1)
        return NAN;
    return gsl_cdf_binomial_P((unsigned)hits, p, (unsigned)trials);
}

double odds_quantile(double median, double error_factor, double p)
{
    if (!(median >= 0.0 && inside(p)))
        return NAN;
    return median * exp(odds_sigma(error_factor) * gsl_cdf_ugaussian_Pinv(p));
}

double odds_product_factor(const double error_factor[], int n)
{
    double squares = 0.0;
    for (int i = 0; i < n; i++) {
        if (!(error_factor[i] >= 1.0))
            return NAN;
        squares += log(error_factor[i]) * log(error_factor[i]);
    }
    return exp(sqrt(squares));
}

double odds_weibull_mean(double scale, double shape)
{
    return scale > 0.0 && shape > 0.0 ? scale * tgamma(1.0 + 1.0 / shape) : NAN;
}

double odds_weibull_share(double scale, double shape, double age)
{
    if (!(scale > 0.0 && shape > 0.0 && age >= 0.0))
        return NAN;
    return -expm1(-pow(age / scale, shape));
}

/* ---- intervals ------------------------------------------------------------------------------- */

static const struct odds_interval unknown = { NAN, NAN };

static bool possible(long hits, long trials)
{
    return hits >= 0 && trials >= 1 && hits <= trials && trials <= ODDS_TRIALS;
}

struct odds_interval odds_wilson(long hits, long trials, double confidence)
{
    if (!(possible(hits, trials) && inside(confidence)))
        return unknown;
    const double n = (double)trials, p = (double)hits / n;
    const double z = gsl_cdf_ugaussian_Qinv((1.0 - confidence) / 2.0), zz = z * z / n;
    const double centre = (p + zz / 2.0) / (1.0 + zz);
    const double half = z * sqrt(p * (1.0 - p) / n + zz / n / 4.0) / (1.0 + zz);
    /* the ends are exact where rounding would leave a trace */
    return (struct odds_interval){ hits == 0 ? 0.0 : centre - half,
                                   hits == trials ? 1.0 : centre + half };
}

/* Where a distribution has the share `below` below it.  The library's own inverse of beta misses 2
 * % of the cases at a thousand trials, half of them at a hundred thousand (version 2.7.1,
 * measured). */
struct quantile {
    double (*of)(double); /* a share of its log odds, a rate of its logarithm */
    double a, b;          /* b 0: gamma distribution, else beta */
    double below;
};

static double share_of(double log_odds)
{
    return 1.0 / (1.0 + exp(-log_odds));
}

static double too_low(double z, void *context)
{
    const struct quantile *q = context;
    const double x = q->of(z);
    return q->below - (q->b > 0.0 ? gsl_cdf_beta_P(x, q->a, q->b) : gsl_cdf_gamma_P(x, q->a, 1.0));
}

static double beta_quantile(double below, double a, double b)
{
    struct quantile q = { share_of, a, b, below };
    return share_of(root_falling(too_low, &q, -60.0, 60.0, 1e-14));
}

/* Half the quantile of chi-square with 2a degrees of freedom. */
static double gamma_quantile(double below, double a)
{
    struct quantile q = { exp, a, 0.0, below };
    return exp(root_falling(too_low, &q, -60.0, 60.0, 1e-14));
}

double odds_share_limit(long hits, long trials, double confidence)
{
    if (!(possible(hits, trials) && inside(confidence)))
        return NAN;
    if (hits == 0)
        return -expm1(log1p(-confidence) / (double)trials);
    if (hits == trials)
        return 1.0;
    return beta_quantile(confidence, (double)hits + 1.0, (double)(trials - hits));
}

struct odds_interval odds_clopper_pearson(long hits, long trials, double confidence)
{
    if (!(possible(hits, trials) && inside(confidence)))
        return unknown;
    const double tail = (1.0 - confidence) / 2.0;
    const double low =
        hits == 0 ? 0.0 : beta_quantile(tail, (double)hits, (double)(trials - hits) + 1.0);
    return (struct odds_interval){ low, odds_share_limit(hits, trials, 1.0 - tail) };
}

double odds_rate_limit(long events, double span, double confidence)
{
    if (!(events >= 0 && events <= ODDS_COUNT && span > 0.0 && inside(confidence)))
        return NAN;
    return gamma_quantile(confidence, (double)events + 1.0) / span;
}

struct odds_interval odds_rate_interval(long events, double span, double confidence)
{
    if (!(events >= 0 && events <= ODDS_COUNT && span > 0.0 && inside(confidence)))
        return unknown;
    const double tail = (1.0 - confidence) / 2.0;
    const double low = events == 0 ? 0.0 : gamma_quantile(tail, (double)events);
    return (struct odds_interval){ low / span, odds_rate_limit(events, span, 1.0 - tail) };
}

double odds_share(double frequency)
{
    return frequency >= 0.0 ? -expm1(-frequency) : NAN;
}

double odds_frequency_of_share(double share)
{
    return share >= 0.0 && share < 1.0 ? -log1p(-share) : NAN;
}

double odds_trials_needed(double p, double relative_error)
{
    if (!(inside(p) && relative_error > 0.0))
        return NAN;
    return (1.0 - p) / (p * relative_error * relative_error);
}

/* ---- weighted trials ------------------------------------------------------------------------- */

void odds_sample_add(struct odds_sample *s, double value, double weight)
{
    /* Welford's update: a difference of large sums would lose a small spread */
    const double off = value * weight - s->mean;
    s->n++;
    s->mean += off / (double)s->n;
    s->spread += off * (value * weight - s->mean);
}

double odds_sample_error(const struct odds_sample *s)
{
    const double n = (double)s->n;
    return s->n > 1 ? sqrt(s->spread / (n * (n - 1.0))) : NAN;
}

double odds_sample_trials(const struct odds_sample *s)
{
    const double error = odds_sample_error(s);
    return inside(s->mean) ? s->mean * (1.0 - s->mean) / (error * error) : NAN;
}

double odds_sample_hits(const struct odds_sample *s)
{
    const double n = (double)s->n, sum = n * s->mean;
    return sum > 0.0 ? sum * sum / (s->spread + sum * s->mean) : 0.0;
}

double odds_weight(double rate, double drawn, long failures, double span)
{
    if (!(rate >= 0.0 && drawn > 0.0 && failures >= 0 && span >= 0.0))
        return NAN;
    return pow(rate / drawn, (double)failures) * exp((drawn - rate) * span);
}
