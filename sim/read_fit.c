/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_fit: how well each explanation fits what was read.  Page: docs/read.md, with the same
 * symbols.
 *
 * For a given size the readings are normal about what the model shows, with C = S'S + R: S what the
 * doubts of the model add, R the errors of measuring.  Sizes are tried all along their range, so
 * that the evidence is a plain mean and nothing has to be minimised.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "read.h"

enum { FINE = 120, READ_MOST = LOOK_READABLE };

static const double PRIOR_NOTHING = 10.0; /* to 1 of each explanation; assumption */
static const double SEEN = 2.0;           /* standard deviations */
static const double LEAST_WEIGHT = 1e-4;  /* of the largest: less does not count for a prediction */

double read_error(const struct read_found *f, enum look what, double value)
{
    static const int METER[] = {
        [LOOK_FEED] = 0,       [LOOK_PERMEATE] = 1,       [LOOK_PRODUCT] = 2,
        [LOOK_FEED_AGAIN] = 0, [LOOK_PERMEATE_AGAIN] = 1, [LOOK_PRODUCT_AGAIN] = 2,
        [LOOK_THROTTLED] = 1
    };
    const struct read_instrument *i = &read_instruments[what];
    const double digit = i->meter ? 0.5 * f->given.digit[METER[what]] : 0.0;
    return sqrt(i->relative * value * i->relative * value + i->absolute * i->absolute +
                digit * digit);
}

/* ---- what was read, against one node ----------------------------------------------------------
 */

struct against {
    int n; /* readings */
    int what[READ_MOST];
    double L[READ_MOST][READ_MOST]; /* C = L L' */
    double z[READ_MOST];            /* L z = reading - value */
    double square, log_det;
};

/* A temperature and a pressure at which the model stands are not fitted. */
static bool fitted(const struct read_found *f, int k)
{
    return !isnan(f->given.value[k]) && !(k == LOOK_PRESSURE && f->at_pressure) &&
           !(k == LOOK_TEMPERATURE && f->at_temperature);
}

static double covariance(const struct read_node *n, int a, int b)
{
    double sum = 0.0;
    for (int d = 0; d < READ_DOUBTS; d++)
        sum += n->slope[d][a] * n->slope[d][b];
    return sum;
}

/* Cholesky's factor of C, row by row. */
static void factorise(const struct read_found *f, const struct read_node *n, struct against *a)
{
    a->log_det = 0.0;
    for (int i = 0; i < a->n; i++)
        for (int j = 0; j <= i; j++) {
            double sum = covariance(n, a->what[i], a->what[j]);
            if (i == j) {
                const double e = read_error(f, (enum look)a->what[i], n->value[a->what[i]]);
                sum += e * e;
            }
            for (int k = 0; k < j; k++)
                sum -= a->L[i][k] * a->L[j][k];
            a->L[i][j] = i == j ? sqrt(fmax(sum, 1e-300)) : sum / a->L[j][j];
            if (i == j)
                a->log_det += 2.0 * log(a->L[i][i]);
        }
}

static void solve(const struct against *a, const double right[], double z[])
{
    for (int i = 0; i < a->n; i++) {
        double sum = right[i];
        for (int k = 0; k < i; k++)
            sum -= a->L[i][k] * z[k];
        z[i] = sum / a->L[i][i];
    }
}

static double square(const double z[], int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++)
        sum += z[i] * z[i];
    return sum;
}

static void set_against(const struct read_found *f, const struct read_node *n, struct against *a)
{
    double miss[READ_MOST];
    a->n = 0;
    for (int k = 0; k < READ_MOST; k++)
        if (fitted(f, k)) {
            miss[a->n] = f->given.value[k] - n->value[k];
            a->what[a->n++] = k;
        }
    factorise(f, n, a);
    solve(a, miss, a->z);
    a->square = square(a->z, a->n);
}

static double likelihood(const struct against *a)
{
    return -0.5 * (a->square + a->log_det);
}

/* ---- along the sizes --------------------------------------------------------------------------
 */

static double place_of(const struct read_cause *c, double size)
{
    return c->row->ratio ? log(size) : size;
}

/* The node at a place between those there are: linear in all of it. */
static void between(const struct read_cause *c, double x, struct read_node *out)
{
    int i = 0;
    while (i < c->nodes - 2 && x > place_of(c, c->node[i + 1].size))
        i++;
    const struct read_node *a = &c->node[i], *b = &c->node[i + 1];
    const double xa = place_of(c, a->size), xb = place_of(c, b->size);
    const double s = (x - xa) / (xb - xa);
    out->size = c->row->ratio ? exp(x) : x;
    for (int k = 0; k < LOOK_COUNT; k++) {
        out->value[k] = a->value[k] + s * (b->value[k] - a->value[k]);
        for (int d = 0; d < READ_DOUBTS; d++)
            out->slope[d][k] = a->slope[d][k] + s * (b->slope[d][k] - a->slope[d][k]);
    }
}

static int sizes(const struct read_cause *c)
{
    return c->nodes > 1 ? FINE : 1;
}

static void size_at(const struct read_cause *c, int i, struct read_node *out)
{
    if (c->nodes == 1) {
        *out = c->node[0];
        return;
    }
    const double low = place_of(c, c->node[0].size);
    const double high = place_of(c, c->node[c->nodes - 1].size);
    between(c, low + (high - low) * (i + 0.5) / FINE, out);
}

/* What another measurement would show if this size held, given what was read: normal, with mean and
 * variance. */
static void predict(const struct read_found *f, const struct read_node *n, const struct against *a,
                    int k, double *mean, double *variance)
{
    double with[READ_MOST], w[READ_MOST] = { 0.0 };
    for (int i = 0; i < a->n; i++)
        with[i] = covariance(n, k, a->what[i]);
    solve(a, with, w);
    double shift = 0.0;
    for (int i = 0; i < a->n; i++)
        shift += w[i] * a->z[i];
    *mean = n->value[k] + shift;
    const double e = k < LOOK_READABLE ? read_error(f, (enum look)k, n->value[k]) : 0.0;
    *variance = fmax(covariance(n, k, k) - square(w, a->n), 0.0) + e * e;
}

struct along { /* likelihoods at all sizes, over the largest */
    double weight[FINE], sum, most;
    double size[FINE];
};

static void go_along(const struct read_found *f, struct read_cause *c, struct along *l)
{
    const int n = sizes(c);
    double least = INFINITY;
    l->most = -INFINITY;
    for (int i = 0; i < n; i++) {
        struct read_node node;
        struct against a;
        size_at(c, i, &node);
        set_against(f, &node, &a);
        l->weight[i] = likelihood(&a);
        l->size[i] = node.size;
        l->most = fmax(l->most, l->weight[i]);
        least = fmin(least, a.square);
        c->misses = a.n > 0 ? sqrt(least / a.n) : 0.0;
    }
    l->sum = 0.0;
    for (int i = 0; i < n; i++)
        l->sum += l->weight[i] = exp(l->weight[i] - l->most);
    c->evidence = l->most + log(l->sum / n);
}

static double quantile(const struct along *l, int n, double p)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += l->weight[i];
        if (sum >= p * l->sum)
            return l->size[i];
    }
    return l->size[n - 1];
}

/* Means and spreads over all sizes, by their weights. */
static void expect(const struct read_found *f, struct read_cause *c, const struct along *l)
{
    double sum = 0.0, first[LOOK_COUNT] = { 0.0 }, second[LOOK_COUNT] = { 0.0 };
    for (int i = 0; i < sizes(c); i++) {
        struct read_node node;
        struct against a;
        if (l->weight[i] < LEAST_WEIGHT)
            continue;
        size_at(c, i, &node);
        set_against(f, &node, &a);
        sum += l->weight[i];
        for (int k = 0; k < LOOK_COUNT; k++) {
            double mean, variance;
            predict(f, &node, &a, k, &mean, &variance);
            first[k] += l->weight[i] * mean;
            second[k] += l->weight[i] * (mean * mean + variance);
        }
    }
    for (int k = 0; k < LOOK_COUNT; k++) {
        c->expect[k] = first[k] / sum;
        c->sd[k] = sqrt(fmax(second[k] / sum - c->expect[k] * c->expect[k], 0.0));
    }
}

/* Whether the readings could tell it from nothing: at any size they would lie two standard
 * deviations off. */
static bool is_seen(const struct read_found *f, const struct read_cause *c)
{
    const struct read_node *base = &f->cause[0].node[0];
    struct against a;
    set_against(f, base, &a);
    for (int n = 0; n < c->nodes; n++) {
        double off[READ_MOST], z[READ_MOST];
        for (int i = 0; i < a.n; i++)
            off[i] = c->node[n].value[a.what[i]] - base->value[a.what[i]];
        solve(&a, off, z);
        if (sqrt(square(z, a.n)) > SEEN)
            return true;
    }
    return false;
}

static void fit_cause(struct read_found *f, struct read_cause *c)
{
    struct along l;
    c->seen = c == &f->cause[0] || is_seen(f, c);
    go_along(f, c, &l);
    c->low = quantile(&l, sizes(c), 0.05);
    c->middle = quantile(&l, sizes(c), 0.5);
    c->high = quantile(&l, sizes(c), 0.95);
    expect(f, c, &l);
}

/* ---- ranks ------------------------------------------------------------------------------------
 */

static void share_out(struct read_found *f)
{
    double most = -INFINITY, sum = 0.0;
    for (int i = 0; i < f->ranked; i++)
        most = fmax(most, f->cause[f->order[i]].evidence);
    for (int i = 0; i < f->ranked; i++) {
        struct read_cause *c = &f->cause[f->order[i]];
        c->share = exp(c->evidence - most) * (f->order[i] == 0 ? PRIOR_NOTHING : 1.0);
        sum += c->share;
    }
    for (int i = 0; i < f->ranked; i++)
        f->cause[f->order[i]].share /= sum;
}

static void rank(struct read_found *f)
{
    f->ranked = 0;
    for (int i = 0; i < READ_CAUSES; i++)
        if (f->cause[i].nodes > 0 && f->cause[i].seen)
            f->order[f->ranked++] = i;
    share_out(f);
    for (int i = 1; i < f->ranked; i++)
        for (int j = i; j > 0 && f->cause[f->order[j]].share > f->cause[f->order[j - 1]].share;
             j--) {
            const int other = f->order[j];
            f->order[j] = f->order[j - 1];
            f->order[j - 1] = other;
        }
}

void read_fit(struct read_found *f)
{
    const struct read_node *base = &f->cause[0].node[0];
    for (int k = 0; k < LOOK_COUNT; k++) {
        const double e = k < LOOK_READABLE ? read_error(f, (enum look)k, base->value[k]) : 0.0;
        f->sd[k] = sqrt(covariance(base, k, k) + e * e);
    }
    for (int i = 0; i < READ_CAUSES; i++)
        if (f->cause[i].nodes > 0)
            fit_cause(f, &f->cause[i]);
    rank(f);
    read_choose(f);
}
