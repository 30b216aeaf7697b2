/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * indices: see indices.h.
 */
#include "indices.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sample.h"

enum { RESAMPLED = 500 };

bool indices_points(double u[], int n, int dimensions, unsigned long seed)
{
    const size_t d = (size_t)dimensions, rows = (size_t)n;
    double *both = calloc(rows * 2 * d, sizeof *both);
    const bool done = both && sample_sobol(both, n, 2 * dimensions, seed);
    for (size_t i = 0; done && i < rows; i++) {
        const double *a = both + i * 2 * d, *b = a + d;
        memcpy(u + i * d, a, d * sizeof *u);
        memcpy(u + (rows + i) * d, b, d * sizeof *u);
        for (size_t k = 0; k < d; k++) {
            double *mixed = u + ((2 + k) * rows + i) * d;
            memcpy(mixed, a, d * sizeof *u);
            mixed[k] = b[k];
        }
    }
    free(both);
    return done;
}

/* Both indices of one input, from the rows that `pick` names (each once if NULL). */
static void index_of(const double y[], int n, int k, const int pick[], double *first, double *total)
{
    const double *a = y, *b = y + n, *mixed = y + (size_t)(2 + k) * (size_t)n;
    double mean = 0.0, variance = 0.0, alone = 0.0, with = 0.0;
    for (int j = 0; j < n; j++) {
        const int i = pick ? pick[j] : j;
        mean += 0.5 * (a[i] + b[i]) / n;
    }
    for (int j = 0; j < n; j++) {
        const int i = pick ? pick[j] : j;
        const double da = a[i] - mean, db = b[i] - mean, dm = mixed[i] - a[i];
        variance += 0.5 * (da * da + db * db) / n;
        alone += db * dm / n; /* b less the mean: the same in the limit, with less noise */
        with += 0.5 * dm * dm / n;
    }
    *first = variance > 0.0 ? alone / variance : 0.0;
    *total = variance > 0.0 ? with / variance : 0.0;
}

static void bounds(double value[], double *low, double *high)
{
    sample_sort(value, RESAMPLED);
    *low = sample_quantile(value, RESAMPLED, 0.05);
    *high = sample_quantile(value, RESAMPLED, 0.95);
}

bool indices_reckon(const double y[], int n, int dimensions, unsigned long seed,
                    struct sobol_index out[])
{
    int *pick = calloc((size_t)n * RESAMPLED, sizeof *pick);
    const bool done = pick && sample_again(pick, n, RESAMPLED, seed);
    for (int k = 0; done && k < dimensions; k++) {
        double first[RESAMPLED], total[RESAMPLED];
        index_of(y, n, k, NULL, &out[k].first, &out[k].total);
        for (int r = 0; r < RESAMPLED; r++)
            index_of(y, n, k, pick + (size_t)r * (size_t)n, &first[r], &total[r]);
        bounds(first, &out[k].first_low, &out[k].first_high);
        bounds(total, &out[k].total_low, &out[k].total_high);
    }
    free(pick);
    return done;
}
