/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film_take: the observer that takes the frames of a film and reads the meters between them.
 * Page: docs/film.md.
 */
#include <math.h>
#include <string.h>

#include "channel.h"
#include "film_inner.h"

static const double LITRE = 1e3; /* per m3 */

bool film_replaces(const struct glimpse *g, int stage)
{
    return g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0 &&
           strcmp(g->change->part, g->plant->train[stage].name) == 0;
}

static void take_beds(const struct film *f, const struct glimpse *g, struct film_frame *out)
{
    for (int b = 0; b < f->resins; b++) {
        const struct film_bed *bed = &f->resin[b];
        const struct resin *p = &g->plant->train[bed->stage].params.resin;
        const struct resin_state *s = &g->state->stage[bed->stage].resin;
        for (int cell = 0; cell < bed->cells; cell++) {
            double *row = out->share + (bed->first + cell) * FILM_LAYERS, taken = 0.0;
            for (int k = 0; k < FILM_LAYERS; k++) {
                const int i = film_layers[k].species;
                const bool sites =
                    (k < FILM_ANION_LAYER ? resin_cation_sites(p) : resin_anion_sites(p)) > 0.0;
                taken = k == 0 || k == FILM_ANION_LAYER ? 0.0 : taken;
                row[k] = i < 0 ? 1.0 - taken : resin_share_at(p, s, cell, (enum species)i);
                taken += row[k];
                if (!sites)
                    row[k] = NAN;
            }
        }
    }
    for (int b = 0; b < f->carbons; b++)
        for (int cell = 0; cell < f->carbon[b].cells; cell++)
            out->left[f->carbon[b].first + cell] =
                g->state->stage[f->carbon[b].stage].carbon.left[cell];
}

/* What scale adds to the resistance, by the function that the membrane itself goes by. */
static double scale_resistance(const struct membrane *m, const struct wear_state *s)
{
    const struct wear_state alone = { .scale = s->scale };
    return 1.0 / wear_flow_factor(&m->wear, &alone, membrane_area(m)) - 1.0;
}

static void take_membrane(const struct glimpse *g, struct film_frame *out)
{
    const int k = g->plant->membrane;
    out->flow = out->passage = NAN;
    if (k < 0)
        return;
    const struct wear_state *w = &g->state->stage[k].membrane.wear;
    out->flow = plant_standard_flow(g->plant, g->state);
    out->passage = plant_standard_passage(g->plant, g->state);
    out->cake = w->cake;
    out->layer = w->layer;
    out->biofilm = w->biofilm;
    out->scale = scale_resistance(&g->plant->train[k].params.membrane, w);
}

static void take(struct film_camera *c, const struct glimpse *g)
{
    struct film_frame *out = &c->film->frame[c->next];
    out->t = g->t;
    out->litres = LITRE * g->x[X_PRODUCT];
    for (int m = 0; m < FILM_METERS; m++)
        out->reading[m] = c->since.volume[m] > 0.0 ? c->since.amount[m] / c->since.volume[m] : NAN;
    take_beds(c->film, g, out);
    take_membrane(g, out);
    c->since = (struct film_bin){ 0 };
    c->next++;
}

static void add_reading(struct film_bin *b, int meter, double volume, double ppm)
{
    if (isnan(ppm))
        return;
    b->volume[meter] += volume;
    b->amount[meter] += volume * ppm;
}

static void read_meters(struct film_camera *c, const struct glimpse *g)
{
    const struct readings *r = &g->state->readings;
    const double conductivity[FILM_METERS] = { r->feed, g->plant->membrane < 0 ? NAN : r->permeate,
                                               r->product };
    struct film *f = c->film;
    const double made = g->x[X_PRODUCT], volume = made - c->made;
    const int bin = (int)(FILM_BINS * LITRE * (made - 0.5 * volume) / f->span.litres);
    c->made = made;
    if (!(volume > 0.0))
        return;
    for (int m = 0; m < FILM_METERS; m++) {
        const double ppm = channel_ppm(g->plant, conductivity[m]);
        add_reading(&f->bin[bin < FILM_BINS ? bin : FILM_BINS - 1], m, volume, ppm);
        add_reading(&c->since, m, volume, ppm);
    }
}

static void mark(struct film *f, const struct glimpse *g)
{
    for (int k = 0; k < g->plant->stages; k++) {
        if (!film_replaces(g, k))
            continue;
        if (f->marks < FILM_MARKS)
            f->mark[f->marks++] = (struct film_mark){ g->t, LITRE * g->x[X_PRODUCT], k };
        else
            f->more_marks++;
        return;
    }
}

/* Even steps of the product made.  A parcel that is larger than a step stands still for some. */
static bool is_due(const struct film_camera *c, const struct glimpse *g)
{
    const struct film *f = c->film;
    return c->next < f->frames - 1 &&
           LITRE * g->x[X_PRODUCT] >= f->span.litres * c->next / (f->frames - 1);
}

void film_camera_see(void *self, const struct glimpse *g)
{
    struct film_camera *c = self;
    switch (g->moment) {
    case MOMENT_START:
        take(c, g);
        break;
    case MOMENT_PARCEL:
        read_meters(c, g);
        while (is_due(c, g))
            take(c, g);
        break;
    case MOMENT_CHANGE:
        mark(c->film, g);
        break;
    case MOMENT_END:
        while (c->next < c->film->frames)
            take(c, g);
        break;
    case MOMENT_SAMPLE:
    case MOMENT_DAY:
    case MOMENT_SNAPSHOT:
        break;
    }
}
