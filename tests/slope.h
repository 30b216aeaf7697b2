/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * slope: the observed order of a method: slope of ln error over ln size, by least squares.  It prints what it saw, which
 * is what docs/accuracy.md quotes.
 */
#ifndef TESTS_SLOPE_H
#define TESTS_SLOPE_H

#include <math.h>
#include <stdio.h>

static inline double slope_of(const char *what, const double size[], const double error[], int n)
{
    double mx = 0.0, my = 0.0, xx = 0.0, xy = 0.0;
    for (int i = 0; i < n; i++) {
        mx += log(size[i]) / n;
        my += log(error[i]) / n;
    }
    for (int i = 0; i < n; i++) {
        const double x = log(size[i]) - mx;
        xx += x * x;
        xy += x * (log(error[i]) - my);
    }
    fprintf(stderr, "order: %s: %.3f (", what, xy / xx);
    for (int i = 0; i < n; i++)
        fprintf(stderr, "%s%.3g: %.2e", i == 0 ? "" : ", ", size[i], error[i]);
    fprintf(stderr, ")\n");
    return xy / xx;
}

#endif
