/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives: see lives.h.  Every sample has a tape of its own, as flows hang on the inputs; those that
 * differ from another in an input that moves no water share its tape.
 */
#include "lives.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DAY = 86400.0;          /* s */
static const double HORIZON = 10.0 * 365.0; /* days: ten times the year of the tape */
static const double CONFIDENCE = 0.9;       /* of the ranges of quantiles */

/* What one sample came to. */
struct row {
    double t[STAGES_MAX], litres[STAGES_MAX];
    bool unsound;
};

struct search {
    struct lives *lives;
    const struct lives_options *options;
    int n, dimensions;
    int judged;          /* rows of n from which the inputs are judged */
    double *points;      /* of indices.h */
    double *answer;      /* in the same order */
    struct row *rows;    /* 2 n */
    enum status *status; /* n */
};

/* ---- one sample -------------------------------------------------------------------------------
 */

static const double *point(const struct search *s, int block, long i)
{
    const size_t row = (size_t)block * (size_t)s->n + (size_t)i;
    return s->points + row * (size_t)s->dimensions;
}

/* Litres of the bed, or else the time of the first end: up to the horizon where there is none. */
static double answer_of(const struct lives *l, const struct life *life)
{
    const int bed = life_last_bed(&l->scenario->plant);
    if (bed >= 0)
        return life->bed_litres;
    double first = l->horizon;
    for (int k = 0; k < l->scenario->plant.stages; k++)
        first = fmin(first, life->end[k].t);
    return first;
}

static enum status draw(const struct search *s, int block, long i, struct drawn *d)
{
    return doubts_draw(&s->lives->doubts, s->lives->scenario, s->options->file, s->options->sets,
                       point(s, block, i), d)
               ? STATUS_OK
               : STATUS_MEMORY;
}

/* Follows a drawing on a tape, which is recorded first if it is empty. */
static enum status follow(const struct search *s, const struct drawn *d, struct tape *tape,
                          bool bed_only, struct life *life)
{
    const struct life_options o = {
        .horizon = s->lives->horizon,
        .last_bed_only = bed_only && life_last_bed(&d->plant) >= 0,
    };
    if (!tape->list)
        TRY(tape_record(tape, &d->plant, &d->plan));
    return life_follow(life, &d->plant, &d->plan, tape, &o);
}

static void keep(struct search *s, int block, long i, const struct drawn *d,
                 const struct life *life)
{
    struct row *r = &s->rows[(size_t)block * (size_t)s->n + (size_t)i];
    for (int k = 0; k < d->plant.stages; k++) {
        r->t[k] = life->end[k].t;
        r->litres[k] = life->end[k].litres;
    }
    r->unsound = d->unsound;
}

/* A drawing of its own: the whole line. */
static enum status whole(struct search *s, int block, long i, struct drawn *d, struct tape *tape)
{
    struct life life;
    TRY(draw(s, block, i, d));
    const enum status status = follow(s, d, tape, false, &life);
    if (status == STATUS_OK) {
        keep(s, block, i, d, &life);
        s->answer[(size_t)block * (size_t)s->n + (size_t)i] = answer_of(s->lives, &life);
    }
    doubts_put_back(d);
    return status;
}

/* The drawing A with input k of B: only what the inputs are judged by. */
static enum status mixed(struct search *s, int k, long i, struct drawn *d, struct tape *tape)
{
    struct tape own = { 0 };
    struct life life;
    TRY(draw(s, 2 + k, i, d));
    const bool moves = s->lives->doubts.list[k].moves_water;
    const enum status status = follow(s, d, moves ? &own : tape, true, &life);
    if (status == STATUS_OK)
        s->answer[(size_t)(2 + k) * (size_t)s->n + (size_t)i] = answer_of(s->lives, &life);
    tape_free(&own);
    doubts_put_back(d);
    return status;
}

static enum status all_of(struct search *s, long i, struct drawn *d)
{
    struct tape tape = { 0 }, other = { 0 };
    enum status status = whole(s, 0, i, d, &tape);
    if (status == STATUS_OK)
        status = whole(s, 1, i, d, &other);
    tape_free(&other);
    for (int k = 0; i < s->judged && k < s->dimensions && status == STATUS_OK; k++) {
        const volatile sig_atomic_t *stop = s->options->crew.stop;
        status = stop && *stop ? STATUS_INTERRUPTED : mixed(s, k, i, d, &tape);
    }
    tape_free(&tape);
    return status;
}

static void work(void *self, long i)
{
    struct search *s = self;
    struct drawn *d = calloc(1, sizeof *d);
    s->status[i] = d ? all_of(s, i, d) : STATUS_MEMORY;
    free(d);
}

/* ---- ranges -----------------------------------------------------------------------------------
 */

static double at_rank(const double sorted[], int n, int rank)
{
    return rank < 0 ? -INFINITY : rank >= n ? INFINITY : sorted[rank];
}

static struct lives_range range_of(double x[], int n)
{
    const struct ranks low = sample_quantile_ranks(n, 0.1, CONFIDENCE);
    const struct ranks high = sample_quantile_ranks(n, 0.9, CONFIDENCE);
    sample_sort(x, n);
    return (struct lives_range){ .low = sample_quantile(x, n, 0.1),
                                 .median = sample_quantile(x, n, 0.5),
                                 .high = sample_quantile(x, n, 0.9),
                                 .low_least = at_rank(x, n, low.low),
                                 .low_most = at_rank(x, n, low.high),
                                 .high_least = at_rank(x, n, high.low),
                                 .high_most = at_rank(x, n, high.high) };
}

static int first_of(const struct row *r, int stages)
{
    int first = -1;
    for (int k = 0; k < stages; k++)
        if (isfinite(r->t[k]) && (first < 0 || r->t[k] < r->t[first]))
            first = k;
    return first;
}

static bool find_ranges(const struct search *s)
{
    struct lives *l = s->lives;
    const int n = 2 * s->n, stages = l->scenario->plant.stages;
    double *x = calloc((size_t)n, sizeof *x);
    if (!x)
        return false;
    l->first = -1;
    for (int k = 0; k < stages; k++) {
        for (int i = 0; i < n; i++)
            x[i] = s->rows[i].t[k];
        l->stage[k].t = range_of(x, n);
        for (int i = 0; i < n; i++)
            x[i] = s->rows[i].litres[k];
        l->stage[k].litres = range_of(x, n);
        const double median = l->stage[k].t.median;
        if (isfinite(median) && (l->first < 0 || median < l->stage[l->first].t.median))
            l->first = k;
    }
    for (int i = 0; i < n; i++) {
        const int first = first_of(&s->rows[i], stages);
        if (first >= 0)
            l->stage[first].first += 1.0 / n;
        l->unsound += s->rows[i].unsound;
    }
    free(x);
    return true;
}

/* ---- inputs -----------------------------------------------------------------------------------
 */

/* Whether the answer falls as the input rises, from the drawings A. */
static bool falls(const struct search *s, int k)
{
    double mean = 0.0, slope = 0.0;
    for (int i = 0; i < s->n; i++)
        mean += s->answer[i] / s->n;
    for (int i = 0; i < s->n; i++)
        slope += (point(s, 0, i)[k] - 0.5) * (s->answer[i] - mean);
    return slope < 0.0;
}

static int by_total(const void *a, const void *b)
{
    const struct lives_input *x = a, *y = b;
    const double d = y->index.total - x->index.total;
    return d > 0.0 ? 1 : d < 0.0 ? -1 : x->doubt < y->doubt ? -1 : x->doubt > y->doubt;
}

/* From the first rows only. */
static bool reckon(const struct search *s, int rows, struct sobol_index index[])
{
    const int blocks = s->dimensions + 2;
    double *y = calloc((size_t)(rows * blocks), sizeof *y);
    for (int b = 0; y && b < blocks; b++)
        memcpy(y + b * rows, s->answer + b * s->n, (size_t)rows * sizeof *y);
    const bool done = y && indices_reckon(y, rows, s->dimensions, s->options->seed, index);
    free(y);
    return done;
}

static bool find_inputs(const struct search *s)
{
    struct lives *l = s->lives;
    struct sobol_index index[DOUBTS_MAX], half[DOUBTS_MAX];
    if (!reckon(s, s->judged, index) || !reckon(s, s->judged / 2, half))
        return false;
    for (int k = 0; k < s->dimensions; k++) {
        l->input[k] = (struct lives_input){ &l->doubts.list[k], index[k], falls(s, k) };
        l->change = fmax(l->change, fabs(half[k].total - index[k].total));
    }
    qsort(l->input, (size_t)s->dimensions, sizeof l->input[0], by_total);
    return true;
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static enum status sample(struct search *s)
{
    if (!indices_points(s->points, s->n, s->dimensions, s->options->seed))
        return STATUS_MEMORY;
    if (!crew_all(&s->options->crew, s->n, work, s))
        return STATUS_INTERRUPTED;
    for (int i = 0; i < s->n; i++)
        TRY(s->status[i]);
    s->lives->runs = 2L * s->n + (long)s->judged * s->dimensions;
    s->lives->rows = s->judged;
    return find_ranges(s) && find_inputs(s) ? STATUS_OK : STATUS_MEMORY;
}

static enum status sample_all(struct lives *l, const struct lives_options *o)
{
    struct search s = {
        .lives = l, .options = o, .n = l->samples / 2, .dimensions = l->doubts.count
    };
    s.judged = s.n / 2;
    const size_t n = (size_t)s.n, runs = n * (size_t)(s.dimensions + 2);
    s.points = calloc(runs * (size_t)s.dimensions, sizeof *s.points);
    s.answer = calloc(runs, sizeof *s.answer);
    s.rows = calloc(2 * n, sizeof *s.rows);
    s.status = calloc(n, sizeof *s.status);
    const bool room = s.points && s.answer && s.rows && s.status;
    const enum status status = room ? sample(&s) : STATUS_MEMORY;
    free(s.status);
    free(s.rows);
    free(s.answer);
    free(s.points);
    return status;
}

enum status lives_find(struct lives *l, const struct scenario *s, const struct lives_options *o)
{
    *l = (struct lives){ .scenario = s,
                         .horizon = HORIZON * DAY,
                         .samples = 2 * (o->samples / 2),
                         .judged = life_last_bed(&s->plant) };
    const struct life_options all = { .horizon = l->horizon };
    doubts_find(&l->doubts, s);
    TRY(tape_record(&l->tape, &s->plant, &s->plan));
    TRY(life_follow(&l->base, &s->plant, &s->plan, &l->tape, &all));
    TRY(load_find(&l->load, &s->plant, &s->plan, &l->tape, &l->base, l->horizon));
    TRY(helps_find(&l->helps, &s->plant, &s->plan, &l->base, l->horizon, &o->crew));
    TRY(sample_all(l, o));
    if (l->judged < 0)
        l->judged = l->first;
    return STATUS_OK;
}

void lives_free(struct lives *l)
{
    tape_free(&l->tape);
}
