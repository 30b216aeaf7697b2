/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_sample: what a sampled sweep tells: quantiles, and what each answer hangs on.  Page:
 * docs/sweep.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sample.h"
#include "sweep.h"

enum { KEY_WIDE = 24 };

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* What never came counts as later than all. */
static void sorted_values(const struct sweep *s, int answer, double out[])
{
    for (int i = 0; i < s->rows; i++) {
        const double value = s->row[i].answer[answer];
        out[i] = isnan(value) ? INFINITY : value;
    }
    qsort(out, (size_t)s->rows, sizeof *out, by_value);
}

/* The parameter that an answer hangs on most, by ranks. */
static int strongest(const struct sweep *s, int answer, double *rank)
{
    int best = -1;
    *rank = NAN;
    for (int k = 0; k < s->parameters; k++) {
        const double r = sweep_rank(s, answer, k);
        if (!isnan(r) && (best < 0 || fabs(r) > fabs(*rank))) {
            best = k;
            *rank = r;
        }
    }
    return best;
}

static void quantile_cell(const struct sweep *s, int answer, const double sorted[], double p,
                          char out[SCREEN_CELL])
{
    const double value = sample_quantile(sorted, s->rows, p);
    sweep_cell(isfinite(value) ? sweep_in_taste(s, answer, value) : NAN, out);
}

/* The end of a long key tells more than its beginning. */
static const char *key_end(const char *key)
{
    const size_t n = strlen(key);
    return n > KEY_WIDE ? key + n - KEY_WIDE : key;
}

void sweep_print_sample(const struct sweep *s, const struct sweep_move m[], int moving, FILE *out)
{
    enum { COLUMNS = 6 };
    static char cell[SWEEP_ANSWERS][COLUMNS][SCREEN_CELL];
    const char *cells[(SWEEP_ANSWERS + 1) * COLUMNS] = { "answer", "5 %",      "median",
                                                         "95 %",   "hangs on", "rank" };
    double *sorted = calloc((size_t)s->rows, sizeof *sorted);
    for (int j = 0; sorted && j < moving; j++) {
        const struct sweep_answer *a = &s->answer[m[j].answer];
        double rank;
        sorted_values(s, m[j].answer, sorted);
        snprintf(cell[j][0], SCREEN_CELL, "%s", a->head);
        quantile_cell(s, m[j].answer, sorted, 0.05, cell[j][1]);
        quantile_cell(s, m[j].answer, sorted, 0.5, cell[j][2]);
        quantile_cell(s, m[j].answer, sorted, 0.95, cell[j][3]);
        const int k = strongest(s, m[j].answer, &rank);
        snprintf(cell[j][4], SCREEN_CELL, "%s", k < 0 ? "-" : key_end(s->parameter[k].key));
        snprintf(cell[j][5], SCREEN_CELL, k < 0 ? "-" : "%+.2f", rank);
        for (int c = 0; c < COLUMNS; c++)
            cells[(j + 1) * COLUMNS + c] = cell[j][c];
    }
    free(sorted);
    fprintf(out,
            "\n%d ROWS SAMPLED (Latin hypercube), each a whole run; rank: correlation of ranks\n"
            "with what the answer hangs on most\n",
            s->rows);
    screen_table(out, cells, moving + 1, COLUMNS);
    sweep_print_same(s, m, moving, out);
}
