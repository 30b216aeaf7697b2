/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sample: see sample.h.
 */
#include "sample.h"

#include <gsl/gsl_qrng.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "odds.h"

static const double TENTH = 1.2815515655446004; /* standard normal, passed one time in ten */

/* The library takes seed 0 for 4357 and of others 32 bits.  0 keeps what it always had; 4357 gets
 * what 0 would have: with a bit more it is not taken for 4357. */
static gsl_rng *generator(unsigned long seed)
{
    const unsigned long as_zero = 4357, zero = (unsigned long)UINT32_MAX + 1;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    if (rng)
        gsl_rng_set(rng, seed == as_zero ? zero : seed);
    return rng;
}

bool sample_latin(double u[], int n, int dimensions, unsigned long seed)
{
    gsl_rng *rng = generator(seed);
    int *stratum = calloc((size_t)n, sizeof *stratum);
    for (int i = 0; rng && stratum && i < n; i++)
        stratum[i] = i;
    for (int d = 0; rng && stratum && d < dimensions; d++) {
        gsl_ran_shuffle(rng, stratum, (size_t)n, sizeof *stratum);
        for (int i = 0; i < n; i++)
            u[i * dimensions + d] = (stratum[i] + gsl_rng_uniform_pos(rng)) / n;
    }
    const bool done = rng && stratum;
    free(stratum);
    gsl_rng_free(rng);
    return done;
}

bool sample_sobol(double u[], int n, int dimensions, unsigned long seed)
{
    if (dimensions < 1 || dimensions > SAMPLE_DIMENSIONS)
        return false;
    gsl_rng *rng = generator(seed);
    gsl_qrng *sobol = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)dimensions);
    double shift[SAMPLE_DIMENSIONS];
    for (int d = 0; rng && sobol && d < dimensions; d++)
        shift[d] = gsl_rng_uniform_pos(rng);
    for (int i = 0; rng && sobol && i < n; i++) {
        double *point = u + (size_t)i * (size_t)dimensions;
        gsl_qrng_get(sobol, point);
        for (int d = 0; d < dimensions; d++) {
            point[d] = fmod(point[d] + shift[d], 1.0);
            if (point[d] <= 0.0)
                point[d] = 0.5 / n;
        }
    }
    const bool done = rng && sobol;
    if (sobol)
        gsl_qrng_free(sobol);
    gsl_rng_free(rng);
    return done;
}

double sample_value(const struct spread *s, double u)
{
    const double z = odds_normal(u);
    const bool range = !isnan(s->low) && !isnan(s->high);
    if (!range && isnan(s->sd))
        return s->value;
    if (!s->positive || !(s->value > 0.0) || (range && !(s->low > 0.0))) {
        const double side = z < 0.0 ? s->value - s->low : s->high - s->value;
        return s->value + z * (range ? side / TENTH : s->sd);
    }
    const double side = z < 0.0 ? log(s->value / s->low) : log(s->high / s->value);
    const double relative = s->sd / s->value;
    return s->value * exp(z * (range ? side / TENTH : sqrt(log1p(relative * relative))));
}

bool sample_again(int pick[], int n, int times, unsigned long seed)
{
    gsl_rng *rng = generator(seed);
    for (int i = 0; rng && i < n * times; i++)
        pick[i] = (int)gsl_rng_uniform_int(rng, (unsigned long)n);
    const bool done = rng;
    gsl_rng_free(rng);
    return done;
}

void sample_sort(double x[], int n)
{
    gsl_sort(x, 1, (size_t)n);
}

double sample_quantile(const double sorted[], int n, double p)
{
    const double rank = fmin(fmax(p * (n + 1) - 1.0, 0.0), n - 1.0);
    const int below = (int)rank, above = below + 1 < n ? below + 1 : below;
    const double part = rank - below;
    /* where a sample has none (INFINITY), neither has what lies between */
    return part > 0.0 ? (1.0 - part) * sorted[below] + part * sorted[above] : sorted[below];
}

/* Values below the quantile are binomial (n, p): sorted[k] lies above it when at most k are. */
struct ranks sample_quantile_ranks(int n, double p, double confidence)
{
    const double tail = 0.5 * (1.0 - confidence);
    struct ranks r = { -1, n };
    for (int k = 0; k < n; k++) {
        if (odds_at_most(k, p, n) <= tail)
            r.low = k;
        if (r.high == n && 1.0 - odds_at_most(k, p, n) <= tail)
            r.high = k;
    }
    return r;
}
