/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_map: see rinse_map.h.  Cells of two octaves are halved three times at most, and only where
 * the cost is near the best and a plane through the corners misses what lies between.
 */
#include "rinse_map.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double LEAST_EVERY = 900.0; /* s */
static const double LEAST_FOR = 10.0;    /* s */
static const double STEPS = 4.0;         /* places in an octave */
static const double NEAR = 1.06;         /* of the best: what lies beyond need not be fine */
static const double BEND = 2e-3;         /* of the best that interpolating may miss */
static const double SHORT = 0.995;       /* of the need: less does not serve */

enum { COARSE = 8, RUNS_MAX = 120, BESIDE = 5, CELLS_MAX = RINSE_MAP_I * RINSE_MAP_J };

double rinse_map_every(double i)
{
    return LEAST_EVERY * exp2(i / STEPS);
}

double rinse_map_for(double j)
{
    return LEAST_FOR * exp2(j / STEPS);
}

double rinse_map_money(const struct rinse_year *y, double enough)
{
    return y->served > 0.0 ? y->total * fmax(enough / y->served, 1.0) : 1e6;
}

/* ---- running places ----------------------------------------------------------------------------
 */

struct spot {
    int i, j;
};

static void look_for_best(struct rinse_map *m)
{
    m->best_i = m->best_j = -1;
    for (int i = 0; i < RINSE_MAP_I; i++)
        for (int j = 0; j < RINSE_MAP_J; j++) {
            if (!m->known[i][j] || m->year[i][j].served < SHORT * m->enough)
                continue;
            if (m->best_i < 0 || m->cost[i][j] < m->cost[m->best_i][m->best_j]) {
                m->best_i = i;
                m->best_j = j;
            }
        }
}

/* Runs those of the places that are not known yet. */
static enum status run_places(struct rinse_map *m, const struct rinse_case *c,
                              const struct spot place[], int n, const struct rinse_options *o)
{
    struct rinse_task *task = calloc((size_t)(n > 0 ? n : 1), sizeof *task);
    if (!task)
        return STATUS_MEMORY;
    for (int k = 0; k < n; k++) {
        task[k].c = c;
        task[k].programme = m->base;
        task[k].programme.every = rinse_map_every(place[k].i);
        task[k].programme.every_for = rinse_map_for(place[k].j);
    }
    const enum status status = rinse_task_all(task, n, o);
    for (int k = 0; k < n; k++) {
        const int i = place[k].i, j = place[k].j;
        m->known[i][j] = true;
        m->year[i][j] = task[k].year;
        m->cost[i][j] = rinse_map_money(&task[k].year, m->enough);
    }
    m->runs += n;
    free(task);
    look_for_best(m);
    return status;
}

/* ---- cells -------------------------------------------------------------------------------------
 */

struct cell {
    int i, j;     /* its first corner */
    double least; /* of its corners */
};

static double within(const struct rinse_map *m, const struct cell *c, int size, double i, double j)
{
    const double u = (i - c->i) / size, v = (j - c->j) / size;
    const int i1 = c->i + size, j1 = c->j + size;
    return (1.0 - u) * ((1.0 - v) * m->cost[c->i][c->j] + v * m->cost[c->i][j1]) +
           u * ((1.0 - v) * m->cost[i1][c->j] + v * m->cost[i1][j1]);
}

/* Half-way on the four sides, and the middle. */
static void beside(const struct cell *c, int half, struct spot out[BESIDE])
{
    const int i = c->i, j = c->j;
    const struct spot p[BESIDE] = { { i + half, j + half },
                                    { i + half, j },
                                    { i + half, j + 2 * half },
                                    { i, j + half },
                                    { i + 2 * half, j + half } };
    memcpy(out, p, sizeof p);
}

static double missed(const struct rinse_map *m, const struct cell *c, int size)
{
    struct spot p[BESIDE];
    double most = 0.0;
    beside(c, size / 2, p);
    for (int k = 0; k < BESIDE; k++)
        most = fmax(most, fabs(m->cost[p[k].i][p[k].j] - within(m, c, size, p[k].i, p[k].j)));
    return most;
}

static double least_corner(const struct rinse_map *m, const struct cell *c, int size)
{
    const int i = c->i + size, j = c->j + size;
    return fmin(fmin(m->cost[c->i][c->j], m->cost[i][c->j]), fmin(m->cost[c->i][j], m->cost[i][j]));
}

static int cheapest_first(const void *a, const void *b)
{
    const struct cell *x = a, *y = b;
    if (x->least != y->least)
        return x->least < y->least ? -1 : 1;
    return x->i != y->i ? x->i - y->i : x->j - y->j;
}

/* Places that the cells lack, each once, as many as may still be run; *cells: how many cells they
 * are enough for. */
static int lacking(const struct rinse_map *m, const struct cell cell[], int *cells, int size,
                   struct spot out[])
{
    bool wanted[RINSE_MAP_I][RINSE_MAP_J] = { { false } };
    int n = 0;
    for (int k = 0; k < *cells; k++) {
        struct spot p[BESIDE];
        beside(&cell[k], size / 2, p);
        if (m->runs + n + BESIDE > RUNS_MAX) {
            *cells = k;
            break;
        }
        for (int b = 0; b < BESIDE; b++) {
            if (m->known[p[b].i][p[b].j] || wanted[p[b].i][p[b].j])
                continue;
            wanted[p[b].i][p[b].j] = true;
            out[n++] = p[b];
        }
    }
    return n;
}

/* Of the cells those near the best, the cheapest first. */
static int near_best(const struct rinse_map *m, struct cell cell[], int cells, int size)
{
    double best = INFINITY;
    int n = 0;
    for (int i = 0; i < RINSE_MAP_I; i++)
        for (int j = 0; j < RINSE_MAP_J; j++)
            best = m->known[i][j] ? fmin(best, m->cost[i][j]) : best;
    for (int k = 0; k < cells; k++) {
        cell[k].least = least_corner(m, &cell[k], size);
        if (cell[k].least <= NEAR * best)
            cell[n++] = cell[k];
    }
    qsort(cell, (size_t)n, sizeof *cell, cheapest_first);
    return n;
}

/* The quarters of those cells that bend. */
static int quarters(const struct rinse_map *m, const struct cell cell[], int cells, int size,
                    struct cell out[])
{
    const int half = size / 2;
    int n = 0;
    for (int k = 0; k < cells; k++) {
        if (missed(m, &cell[k], size) <= BEND * cell[k].least)
            continue;
        for (int q = 0; q < 4; q++)
            out[n++] =
                (struct cell){ cell[k].i + half * (q & 1), cell[k].j + half * (q >> 1), 0.0 };
    }
    return n;
}

/* ---- the whole map -----------------------------------------------------------------------------
 */

/* Between the corners of a cell, finer where its middle was run. */
static void fill(struct rinse_map *m, struct cell c, int size)
{
    const int half = size / 2;
    if (size == 1)
        return;
    struct spot p[BESIDE];
    beside(&c, half, p);
    bool halved = true;
    for (int k = 0; k < BESIDE; k++)
        halved = halved && m->known[p[k].i][p[k].j];
    if (halved) {
        for (int q = 0; q < 4; q++)
            fill(m, (struct cell){ c.i + half * (q & 1), c.j + half * (q >> 1), 0.0 }, half);
        return;
    }
    for (int i = c.i; i <= c.i + size; i++)
        for (int j = c.j; j <= c.j + size; j++)
            if (!m->known[i][j])
                m->cost[i][j] = within(m, &c, size, i, j);
}

static int coarse_cells(struct cell out[])
{
    int n = 0;
    for (int i = 0; i + COARSE < RINSE_MAP_I; i += COARSE)
        for (int j = 0; j + COARSE < RINSE_MAP_J; j += COARSE)
            out[n++] = (struct cell){ i, j, 0.0 };
    return n;
}

static enum status refine(struct rinse_map *m, const struct rinse_case *c, struct cell cell[],
                          struct cell next[], const struct rinse_options *o)
{
    static const int FINEST = 2;
    struct spot place[RUNS_MAX + BESIDE];
    int cells = coarse_cells(cell);
    for (int size = COARSE; size >= FINEST && cells > 0; size /= 2) {
        cells = near_best(m, cell, cells, size);
        const int n = lacking(m, cell, &cells, size, place);
        TRY(run_places(m, c, place, n, o));
        cells = quarters(m, cell, cells, size, next);
        memcpy(cell, next, sizeof *cell * (size_t)cells);
    }
    return STATUS_OK;
}

enum status rinse_map_make(struct rinse_map *m, const struct rinse_case *c,
                           const struct rinse_options *options)
{
    struct spot place[CELLS_MAX];
    struct cell *cell = calloc(2 * CELLS_MAX, sizeof *cell);
    int n = 0;
    if (!cell)
        return STATUS_MEMORY;
    for (int i = 0; i < RINSE_MAP_I; i += COARSE)
        for (int j = 0; j < RINSE_MAP_J; j += COARSE)
            place[n++] = (struct spot){ i, j };
    m->runs = 0;
    memset(m->known, 0, sizeof m->known);
    enum status status = run_places(m, c, place, n, options);
    if (status == STATUS_OK)
        status = refine(m, c, cell, cell + CELLS_MAX, options);
    const int cells = coarse_cells(cell);
    for (int k = 0; k < cells && status == STATUS_OK; k++)
        fill(m, cell[k], COARSE);
    free(cell);
    return status;
}

double rinse_map_cost(const struct rinse_map *m, double i, double j)
{
    const struct cell c = { (int)fmin(fmax(floor(i), 0.0), RINSE_MAP_I - 2),
                            (int)fmin(fmax(floor(j), 0.0), RINSE_MAP_J - 2), 0.0 };
    return within(m, &c, 1, fmin(fmax(i, 0.0), RINSE_MAP_I - 1),
                  fmin(fmax(j, 0.0), RINSE_MAP_J - 1));
}
