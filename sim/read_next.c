/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_next: which further measurement would tell most between the explanations that are left.
 * Page: docs/read.md.
 */
#include <math.h>
#include <string.h>

#include "read.h"

bool read_alike(const struct read_found *f, const struct read_cause *c)
{
    return c->nodes > 0 && c->seen && READ_ALIKE * c->share >= f->cause[f->order[0]].share;
}

/* Errors between what two explanations expect of a measurement. */
static double apart(const struct read_cause *a, const struct read_cause *b, enum look k)
{
    const double variance = 0.5 * (a->sd[k] * a->sd[k] + b->sd[k] * b->sd[k]);
    return variance > 0.0 ? fabs(a->expect[k] - b->expect[k]) / sqrt(variance) : 0.0;
}

/* One less Bhattacharyya's overlap of two normal densities. */
static double parts(const struct read_cause *a, const struct read_cause *b, enum look k)
{
    const double d = apart(a, b, k);
    return -expm1(-d * d / 8.0);
}

/* Of all pairs of explanations, by their shares, how much comes apart. */
static double removes(const struct read_found *f, enum look k)
{
    double sum = 0.0, all = 0.0;
    for (int i = 0; i < f->ranked; i++)
        for (int j = 0; j < i; j++) {
            const struct read_cause *a = &f->cause[f->order[i]], *b = &f->cause[f->order[j]];
            const double weight = a->share * b->share;
            sum += weight * parts(a, b, k);
            all += weight;
        }
    return all > 0.0 ? sum / all : 0.0;
}

const struct read_cause *read_rival(const struct read_found *f, enum look what)
{
    const struct read_cause *best = NULL;
    double most = 0.0;
    for (int i = 1; i < f->ranked; i++) {
        const struct read_cause *c = &f->cause[f->order[i]];
        const double weight = c->share * parts(&f->cause[f->order[0]], c, what);
        if (weight > most) {
            most = weight;
            best = c;
        }
    }
    return best;
}

void read_choose(struct read_found *f)
{
    memset(f->next, 0, sizeof f->next);
    for (int k = 0; k < LOOK_READABLE; k++) {
        struct read_next *next = &f->next[read_instruments[k].effort];
        if (!isnan(f->given.value[k]))
            continue;
        const double part = removes(f, (enum look)k);
        if (part > next->removes)
            *next = (struct read_next){ (enum look)k, part };
    }
}

bool read_settled(const struct read_found *f)
{
    static const double SETTLED = 0.95; /* share of the likeliest */
    return f->cause[f->order[0]].share >= SETTLED;
}

const struct read_next *read_best(const struct read_found *f)
{
    for (int e = 0; e < READ_EFFORTS && !read_settled(f); e++)
        if (f->next[e].removes > READ_TELLS)
            return &f->next[e];
    return NULL;
}
