/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * course: see course.h.  Of each day only those bytes are kept that are not as on the first day:
 * beds do not change where the water alone is followed.
 */
#include "course.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "memory.h"

static const double DAY = 86400.0; /* s */
static const double MARGIN = 1e-6; /* m3 beside the volumes of the course */

enum { DAYS = 366, AROUND = 15, BLOCK = 64, VOLUMES = 3 };

static const int volume[VOLUMES] = { X_TANK, X_BASIN, X_BLADDER };

struct block {
    size_t at;
    unsigned char bytes[BLOCK];
};

struct day {
    double t;                           /* s */
    double low[VOLUMES], high[VOLUMES]; /* m3, in the day that ends here or begins */
    bool tripped;
    int blocks;
    struct block *block;
};

struct course {
    struct run_saved first;
    bool wet;
    int days;
    struct day day[DAYS];
};

/* ---- keeping ----------------------------------------------------------------------------------
 */

static size_t block_size(size_t at)
{
    const size_t left = sizeof(struct run_saved) - at;
    return left < BLOCK ? left : BLOCK;
}

static enum status keep(struct course *c, const struct run_saved *s)
{
    struct day *d = &c->day[c->days];
    const unsigned char *old = (const unsigned char *)&c->first, *new = (const unsigned char *)s;
    d->t = s->state.t;
    d->tripped = control_tripped(&s->control, &s->settings);
    for (size_t at = 0; at < sizeof *s; at += BLOCK)
        d->blocks += memcmp(old + at, new + at, block_size(at)) != 0;
    d->block = calloc((size_t)d->blocks + 1, sizeof *d->block);
    if (!d->block)
        return STATUS_MEMORY;
    int n = 0;
    for (size_t at = 0; at < sizeof *s; at += BLOCK) {
        if (memcmp(old + at, new + at, block_size(at)) == 0)
            continue;
        d->block[n].at = at;
        memcpy(d->block[n++].bytes, new + at, block_size(at));
    }
    c->days++;
    return STATUS_OK;
}

static void fetch(const struct course *c, int k, struct run_saved *out)
{
    *out = c->first;
    for (int i = 0; i < c->day[k].blocks; i++) {
        const struct block *b = &c->day[k].block[i];
        memcpy((unsigned char *)out + b->at, b->bytes, block_size(b->at));
    }
}

static int day_of(double t)
{
    return (int)fmin(fmax(t / DAY, 0.0), DAYS - 1);
}

static void see(void *self, const struct glimpse *g)
{
    struct course *c = self;
    struct day *d = &c->day[day_of(g->t)];
    for (int v = 0; v < VOLUMES; v++) {
        d->low[v] = fmin(d->low[v], g->x[volume[v]]);
        d->high[v] = fmax(d->high[v], g->x[volume[v]]);
    }
    c->wet = c->wet || g->signals->spill_flow > 0.0 || g->signals->basin_spill_flow > 0.0;
}

static enum status keep_days(struct course *c, struct run *r)
{
    struct run_saved *s = malloc(sizeof *s);
    enum status status = s ? run_begin(r) : STATUS_MEMORY;
    if (status == STATUS_OK)
        run_save(r, &c->first);
    while (status == STATUS_OK && c->days < DAYS && !c->wet) {
        run_save(r, s);
        status = keep(c, s);
        if (status == STATUS_OK)
            status = run_until(r, c->days * DAY);
    }
    free(s);
    return status;
}

enum status course_create(const struct plant *p, const struct plan *plan,
                          const struct hazard *hazard, struct course **out)
{
    struct course *c = calloc(1, sizeof *c);
    if (!c)
        return STATUS_MEMORY;
    for (int k = 0; k < DAYS; k++)
        for (int v = 0; v < VOLUMES; v++) {
            c->day[k].low[v] = INFINITY;
            c->day[k].high[v] = -INFINITY;
        }
    struct plan with = *plan;
    if (hazard)
        with.events = hazard_events(hazard, 0.0, with.event);
    const struct observer o = { see, c };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run *r = run_create(p, &with, &options);
    const enum status status = r ? keep_days(c, r) : STATUS_MEMORY;
    run_free(r);
    if (status == STATUS_OK)
        *out = c;
    else
        course_free(c);
    return status;
}

void course_free(struct course *c)
{
    for (int k = 0; c && k < DAYS; k++)
        free(c->day[k].block);
    free(c);
}

/* ---- using ------------------------------------------------------------------------------------
 */

bool course_dry(const struct course *c)
{
    return !c->wet;
}

double course_take_up(const struct course *c, double t, struct run_saved *out)
{
    int k = day_of(t);
    if (k >= c->days)
        k = c->days - 1;
    while (k > 0 && c->day[k].t > t)
        k--;
    fetch(c, k, out);
    return c->day[k].t;
}

bool course_holds(const struct course *c, double t, const struct run_saved *s)
{
    const int middle = day_of(t);
    for (int v = 0; v < VOLUMES; v++) {
        double low = INFINITY, high = -INFINITY;
        for (int k = middle - AROUND; k <= middle + AROUND; k++) {
            if (k < 0 || k >= c->days)
                continue;
            low = fmin(low, c->day[k].low[v]);
            high = fmax(high, c->day[k].high[v]);
        }
        const double x = s->state.x[volume[v]];
        if (!(x >= low - MARGIN && x <= high + MARGIN))
            return false;
    }
    return control_tripped(&s->control, &s->settings) == c->day[middle].tripped;
}

bool course_same(const struct course *c, const struct plant *p, const struct plan *plan)
{
    static const struct run_options none = { 0 };
    struct run_saved *s = malloc(2 * sizeof *s);
    struct run *r = s ? run_create(p, plan, &none) : NULL;
    if (!r)
        memory_ran_out(); /* that they differ would be no answer */
    bool same = r && run_begin(r) == STATUS_OK;
    for (int k = 1; same && k < c->days; k++) {
        same = run_until(r, k * DAY) == STATUS_OK;
        run_save(r, &s[0]);
        fetch(c, k, &s[1]);
        same = same && s[0].state.t == s[1].state.t &&
               memcmp(s[0].state.x, s[1].state.x, sizeof s[0].state.x) == 0 &&
               control_tripped(&s[0].control, &s[0].settings) == c->day[k].tripped;
    }
    run_free(r);
    free(s);
    return same;
}
