/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * indices: which inputs an answer hangs on, by shares of its variance (Sobol 1993).  Page:
 * docs/sample.md.
 */
#ifndef SIM_INDICES_H
#define SIM_INDICES_H

#include <stdbool.h>

struct sobol_index {
    double first, first_low, first_high; /* share that the input has by itself */
    double total, total_low, total_high; /* and together with others */
};

/* The points that must be evaluated, u[n (dimensions + 2)][dimensions]: n of A, n of B, and for each
 * dimension n of A with that dimension of B (Saltelli 2002).  A and B are the halves of one shifted
 * Sobol sequence of 2 x dimensions.  False: out of memory, or too many dimensions (20). */
bool indices_points(double u[], int n, int dimensions, unsigned long seed);

/* From the answers y at those points; estimators of Saltelli et al. (2010) for the first, of Jansen
 * (1999) for the total; bounds are the 5th and 95th percentile of 500 bootstrap samples.  An answer that
 * never varies has indices of 0.  False: out of memory. */
bool indices_reckon(const double y[], int n, int dimensions, unsigned long seed,
                    struct sobol_index out[]);

#endif
