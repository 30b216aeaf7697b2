/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tape: see tape.h.
 */
#include "tape.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calm.h"

static const double DAY = 86400.0; /* s */
static const double YEAR = 365.0;  /* days */

struct recorder {
    struct tape *tape;
    double t, x[X_COUNT]; /* at the last look */
    bool full;            /* out of memory */
};

static struct stretch *add(struct recorder *r, const struct settings *set)
{
    struct tape *t = r->tape;
    if (t->count == t->room) {
        const int room = t->room ? 2 * t->room : 256;
        struct stretch *list = realloc(t->list, (size_t)room * sizeof *list);
        r->full = !list;
        if (!list)
            return NULL;
        t->list = list;
        t->room = room;
    }
    struct stretch *s = &t->list[t->count++];
    *s = (struct stretch){ .rinsing = set->rinsing, .diverting = set->diverting };
    return s;
}

static void see(void *self, const struct glimpse *g)
{
    struct recorder *r = self;
    if ((g->moment != MOMENT_PARCEL && g->moment != MOMENT_END) || g->t <= r->t || r->full)
        return;
    struct stretch *s = add(r, g->settings);
    if (!s)
        return;
    s->lasts += g->t - r->t;
    s->t = g->t;
    for (int k = 0; k < X_COUNT; k++)
        s->moved[k] += g->x[k] - r->x[k];
    r->t = g->t;
    memcpy(r->x, g->x, sizeof r->x);
}

/* The parts are taken to have been flushed. */
static struct plan normal_year(const struct plan *plan)
{
    struct plan p = *plan;
    calm_plan(&p);
    p.commissioning.at_start = false;
    p.length = YEAR * DAY;
    return p;
}

enum status tape_record(struct tape *tape, const struct plant *p, const struct plan *plan)
{
    *tape = (struct tape){ .length = YEAR * DAY };
    struct plant water = *p;
    calm_water(&water);
    const struct plan year = normal_year(plan);
    struct recorder r = { .tape = tape };
    r.x[X_TANK] = tank_volume(&p->tank, p->tank_start);
    const struct observer o = { see, &r };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run_figures figures;
    char words[RUN_WORDS];
    const enum status status = run_simulate(&water, &year, &options, &figures, words);
    for (int i = 0; i < tape->count; i++)
        tape->product += tape->list[i].moved[X_PRODUCT];
    return r.full ? STATUS_MEMORY : status;
}

void tape_free(struct tape *tape)
{
    free(tape->list);
    *tape = (struct tape){ 0 };
}
