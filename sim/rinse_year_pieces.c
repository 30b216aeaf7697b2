/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_year_pieces: see rinse_year_pieces.h.
 */
#include "rinse_year_pieces.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double SILICA_SITES = 0.25; /* of a site a molecule holds, docs/resin.md */
static const double REFRESH = 0.5;       /* of its life, at which a prefilter is put back to new */

/* Charges and, of carbon and silica, the sites that they take. */
static void load_of(const double c[], double out[RINSE_SIDES])
{
    out[0] = 0.0;
    out[1] = c[CARBON] + SILICA_SITES * c[SILICA];
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (i != CARBON && i != SILICA && i != SOLIDS && i != SALT)
            out[species[i].charge < 0] += fabs((double)species[i].charge) * c[i];
}

static void see(void *self, const struct glimpse *g)
{
    struct rinse_watch *w = self;
    if (g->moment != MOMENT_PARCEL)
        return;
    const double made = g->x[X_PRODUCT] - w->product;
    if (made > 0.0) {
        double load[RINSE_SIDES];
        load_of(g->state->readings.permeate_c, load);
        for (int i = 0; i < RINSE_SIDES; i++)
            w->load[i] += load[i] * made;
    }
    w->product = g->x[X_PRODUCT];
    w->cake += g->state->stage[g->plant->membrane].membrane.wear.cake * (g->t - w->t);
    w->t = g->t;
    first_see(&w->first, g);
    if (!w->passed && !isnan(w->first.day[PASSED_PRODUCT_LIMIT])) {
        w->passed = true;
        memcpy(w->load_passed, w->load, sizeof w->load);
    }
}

double rinse_pieces_used(const struct rinse_pieces *p, int k)
{
    const struct stage *s = &p->plant->train[k];
    return s->kind->used ? s->kind->used(&s->params, &p->at.state.stage[k]) : 0.0;
}

/* A saved state that was changed by hand: signals and rates that belong to it. */
void rinse_pieces_renew(struct rinse_pieces *p)
{
    struct run_saved *s = &p->at;
    plant_evaluate(p->plant, &s->settings, &s->state, s->state.t, s->state.x, &s->before, s->dx);
    run_restore(p->run, s);
}

/* Somebody changes the prefilters in time. */
void rinse_pieces_refresh(struct rinse_pieces *p)
{
    for (int k = 0; k < p->plant->membrane; k++) {
        if (rinse_pieces_used(p, k) > REFRESH)
            p->at.state.stage[k] = p->fresh.stage[k];
        p->started[k] = rinse_pieces_used(p, k);
    }
}

enum status rinse_pieces_go(struct rinse_pieces *p, double t)
{
    const enum status status = run_pause_at(p->run, t);
    run_save(p->run, &p->at);
    for (int k = 0; k < p->plant->membrane; k++)
        p->used[k] += rinse_pieces_used(p, k) - p->started[k];
    return status;
}

struct rinse_pieces *rinse_pieces_create(const struct rinse_case *c, const struct plant *plant,
                                         double length, const volatile sig_atomic_t *stop)
{
    struct rinse_pieces *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->c = c;
    p->plant = plant;
    p->plan = c->plan;
    p->plan.length = length;
    p->observer = (struct observer){ see, &p->watch };
    p->options =
        (struct run_options){ .observers = &p->observer, .observer_count = 1, .stop = stop };
    first_init(&p->watch.first);
    plant_start(plant, &p->fresh);
    p->run = run_create(plant, &p->plan, &p->options);
    if (p->run)
        return p;
    free(p);
    return NULL;
}

void rinse_pieces_free(struct rinse_pieces *p)
{
    run_free(p->run);
    free(p);
}

struct wear_state *rinse_pieces_wear(struct rinse_pieces *p)
{
    return &p->at.state.stage[p->plant->membrane].membrane.wear;
}
