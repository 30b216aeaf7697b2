/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sample: points of a unit cube, values within a spread, and what a sample tells of a quantile.  Page:
 * docs/sample.md.
 */
#ifndef SIM_SAMPLE_H
#define SIM_SAMPLE_H

#include <stdbool.h>

/* Dimensions up to which the library's Sobol sequence is sound; beyond it returns garbage. */
enum { SAMPLE_DIMENSIONS = 40 };

/* Fills u[n][dimensions] with values between 0 and 1, ends left out.  Latin hypercube (McKay, Beckman
 * and Conover 1979): each of n equal strata of each dimension holds one point.  False: out of
 * memory. */
bool sample_latin(double u[], int n, int dimensions, unsigned long seed);

/* Sobol's sequence, shifted as a whole by a random vector (Cranley and Patterson 1976): evenly
 * spread, and without bias.  False: out of memory, or not 1 to SAMPLE_DIMENSIONS. */
bool sample_sobol(double u[], int n, int dimensions, unsigned long seed);

/* How well a number is known: by a standard deviation, or by the values that one time in ten it is below
 * and above.  What is not given is NAN. */
struct spread {
    double value;               /* median */
    double sd, low, high;
    bool positive;              /* spread by ratios, never at or below 0 */
};

/* The value that is not passed with probability u, 0 < u < 1: normal, or lognormal if positive; with
 * low and high a half of one on either side of the median. */
double sample_value(const struct spread *s, double u);

/* Rows of n drawn with replacement, n of them so many times (bootstrap).  False: out of memory. */
bool sample_again(int pick[], int n, int times, unsigned long seed);

/* Puts values in order, the least first; INFINITY is the greatest. */
void sample_sort(double x[], int n);

/* Quantile p of n sorted values, between the nearest two by their mean ranks i/(n + 1). */
double sample_quantile(const double sorted[], int n, double p);

/* Ranks (from 0) between which the quantile p of the population lies with this confidence at least,
 * exactly, whatever the distribution (binomial; Conover, section 3.2).  -1 or n: no sample value bounds
 * it on that side. */
struct ranks {
    int low, high;
};

struct ranks sample_quantile_ranks(int n, double p, double confidence);

#endif
