/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film: see film.h.  The first run finds the span, the second takes the frames.
 */
#include "film.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "first.h"
#include "life.h"
#include "screen.h"
#include "sizing.h"

static const double LITRE = 1e3;    /* per m3 */
static const double AFTER = 1.2;    /* a fifth more than the life of the resin: what comes then */
static const double PIECE = 1800.0; /* s between looks at the progress, at least */

const struct film_layer film_layers[FILM_LAYERS] = {
    { "calcium", "Ca", 'C', CALCIUM },    { "magnesium", "Mg", 'M', MAGNESIUM },
    { "potassium", "K", 'K', POTASSIUM }, { "ammonium", "NH4", 'A', AMMONIUM },
    { "sodium", "Na", 'N', SODIUM },      { "free_cation", "free", '.', -1 },
    { "sulfate", "SO4", 'S', SULFATE },   { "nitrate", "NO3", 'T', NITRATE },
    { "chloride", "Cl", 'L', CHLORIDE },  { "carbon", "HCO3", 'B', CARBON },
    { "silica", "SiO2", 'I', SILICA },    { "fluoride", "F", 'F', FLUORIDE },
    { "free_anion", "free", '.', -1 },
};

const char *const film_meter_names[FILM_METERS] = { "feed", "permeate", "product" };

/* ---- how long -------------------------------------------------------------------------------- */

struct look {
    struct film_span *span;
    struct caught jug;
    double seen;  /* m3 of product until the last parcel */
    double limit; /* kg/m3, NAN before the first litre */
    int bed;      /* the last one, or -1 */
    bool done;
};

static void end_bed(struct look *l, enum film_end why, const struct glimpse *g)
{
    if (l->span->why != FILM_CLOCK || !(g->x[X_PRODUCT] > 0.0))
        return; /* nothing has passed it: that was no life */
    l->span->why = why;
    l->span->end_t = g->t;
    l->span->end_litres = LITRE * g->x[X_PRODUCT];
}

/* As leat life: at the first litre what loose packing lets past a fresh bed is no end of it. */
static void read_meter(struct look *l, const struct glimpse *g, const double c[])
{
    const double meter = first_meter(g->plant, c);
    if (isnan(l->limit)) {
        const double rule = g->plan->rule[l->bed].reading;
        const double limit = isnan(rule) ? sizing_product_limit(g->plan) : rule;
        l->limit = meter >= limit ? meter + limit : limit;
        l->span->limit = 1e3 * l->limit;
    }
    if (meter >= l->limit)
        end_bed(l, FILM_METER, g);
}

static bool replaces(const struct glimpse *g, int stage)
{
    return g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0 &&
           strcmp(g->change->part, g->plant->train[stage].name) == 0;
}

static void look_see(void *self, const struct glimpse *g)
{
    struct look *l = self;
    double c[SPECIES_COUNT];
    if (l->done || (g->moment != MOMENT_PARCEL && g->moment != MOMENT_CHANGE))
        return;
    if (l->bed >= 0 && replaces(g, l->bed))
        end_bed(l, FILM_REPLACED, g);
    if (g->moment == MOMENT_PARCEL && l->bed >= 0) {
        const double product = g->x[g->plant->has_bladder ? X_DELIVERED : X_PRODUCT];
        if (first_catch(&l->jug, product - l->seen, g->state->readings.product_c, c))
            read_meter(l, g, c);
        l->seen = product;
    }
    l->span->t = g->t;
    l->span->litres = LITRE * g->x[X_PRODUCT];
    l->done = l->span->why != FILM_CLOCK && l->span->litres >= AFTER * l->span->end_litres;
}

/* ---- frames -----------------------------------------------------------------------------------
 */

struct camera {
    struct film *film;
    int next;              /* frame to be taken */
    double made;           /* m3 until the last parcel */
    struct film_bin since; /* the last frame */
};

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

static void take(struct camera *c, const struct glimpse *g)
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

static void read_meters(struct camera *c, const struct glimpse *g)
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
        if (!replaces(g, k))
            continue;
        if (f->marks < FILM_MARKS)
            f->mark[f->marks++] = (struct film_mark){ g->t, LITRE * g->x[X_PRODUCT], k };
        else
            f->more_marks++;
        return;
    }
}

/* Even steps of the product made.  A parcel that is larger than a step stands still for some. */
static bool is_due(const struct camera *c, const struct glimpse *g)
{
    const struct film *f = c->film;
    return c->next < f->frames - 1 &&
           LITRE * g->x[X_PRODUCT] >= f->span.litres * c->next / (f->frames - 1);
}

static void camera_see(void *self, const struct glimpse *g)
{
    struct camera *c = self;
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

/* ---- runs -------------------------------------------------------------------------------------
 */

struct piece { /* of the work */
    const struct film_options *options;
    double from, to; /* of the progress */
    double end;      /* s */
    const bool *done;
};

static enum status go(struct run *r, const struct piece *w)
{
    enum status status = run_begin(r);
    const double step = fmax(w->end / 400.0, PIECE);
    for (double t = step; status == STATUS_OK && !*w->done; t += step) {
        if (w->options->progress)
            w->options->progress(w->options->progress_self,
                                 w->from + (w->to - w->from) * fmin(t / w->end, 1.0));
        status = t < w->end ? run_until(r, t) : run_pause_at(r, w->end);
        if (t >= w->end)
            break;
    }
    if (status == STATUS_OK)
        run_end(r);
    return status;
}

static enum status watch(const struct film *f, struct observer o, const struct piece *w,
                         char words[RUN_WORDS])
{
    const struct run_options options = { .observers = &o,
                                         .observer_count = 1,
                                         .stop = w->options->stop };
    struct plan *plan = malloc(sizeof *plan);
    if (!plan)
        return STATUS_MEMORY;
    *plan = *f->plan;
    plan->record = 2.0 * plan->length; /* nobody reads a series */
    struct run *r = run_create(f->plant, plan, &options);
    enum status status = r ? go(r, w) : STATUS_MEMORY;
    if (r && status != STATUS_OK)
        run_explain(r, status, words);
    run_free(r);
    free(plan);
    return status;
}

static enum status find_span(struct film *f, const struct film_options *options,
                             char words[RUN_WORDS])
{
    struct look l = { .span = &f->span, .limit = NAN, .bed = life_last_bed(f->plant) };
    const struct piece w = { options, 0.0, 0.5, f->plan->length, &l.done };
    f->span = (struct film_span){ .end_t = NAN, .end_litres = NAN, .limit = NAN };
    TRY(watch(f, (struct observer){ look_see, &l }, &w, words));
    if (f->span.litres > 0.0)
        return STATUS_OK;
    char span[SCREEN_CELL];
    snprintf(words, RUN_WORDS, "no water is made in %s: nothing would move",
             screen_span(f->plan->length, span));
    return STATUS_SCENARIO;
}

/* ---- beds -------------------------------------------------------------------------------------
 */

static void find_beds(struct film *f)
{
    for (int k = 0; k < f->plant->stages; k++) {
        const struct stage *s = &f->plant->train[k];
        if (s->kind == &stage_resin) {
            const struct resin *p = &s->params.resin;
            f->resin[f->resins++] =
                (struct film_bed){ k, f->resin_cells, p->cells, f->depth, p->depth };
            f->resin_cells += p->cells;
            f->depth += p->depth;
        } else if (s->kind == &stage_carbon) {
            const int cells = s->params.carbon.cells;
            f->carbon[f->carbons] = (struct film_bed){ k, f->carbon_cells, cells, f->carbons, 1.0 };
            f->carbons++;
            f->carbon_cells += cells;
        }
    }
}

static enum status make_room(struct film *f)
{
    const size_t shares = (size_t)(f->resin_cells * FILM_LAYERS);
    const size_t each = shares + (size_t)f->carbon_cells;
    f->room = calloc(each * (size_t)f->frames + 1, sizeof *f->room);
    if (!f->room)
        return STATUS_MEMORY;
    for (int i = 0; i < f->frames; i++) {
        f->frame[i].share = f->room + (size_t)i * each;
        f->frame[i].left = f->frame[i].share + shares;
    }
    return STATUS_OK;
}

enum status film_record(struct film *f, const struct plant *p, const struct plan *plan,
                        const struct film_options *options, char words[RUN_WORDS])
{
    const bool never = false;
    *f = (struct film){ .plant = p, .plan = plan };
    f->frames = options->frames > 0 ? options->frames : FILM_FRAMES;
    words[0] = '\0';
    find_beds(f);
    if (f->resins == 0 && f->carbons == 0 && p->membrane < 0) {
        snprintf(words, RUN_WORDS,
                 "there is no resin, no carbon and no membrane in this line: nothing would move");
        return STATUS_SCENARIO;
    }
    TRY(find_span(f, options, words));
    TRY(make_room(f));
    struct camera c = { .film = f };
    const struct piece w = { options, 0.5, 1.0, f->span.t, &never };
    return watch(f, (struct observer){ camera_see, &c }, &w, words);
}

void film_free(struct film *f)
{
    free(f->room);
    f->room = NULL;
}

/* ---- reading it -------------------------------------------------------------------------------
 */

double film_held(const struct film *f, int frame, int layer)
{
    double held = 0.0;
    for (int b = 0; b < f->resins; b++) {
        const struct film_bed *bed = &f->resin[b];
        const struct resin *p = &f->plant->train[bed->stage].params.resin;
        const double sites =
            layer < FILM_ANION_LAYER ? resin_cation_sites(p) : resin_anion_sites(p);
        for (int cell = 0; cell < bed->cells && sites > 0.0; cell++)
            held += sites / bed->cells *
                    f->frame[frame].share[(bed->first + cell) * FILM_LAYERS + layer];
    }
    return held;
}

double film_reading(const struct film *f, int bin, int meter)
{
    const struct film_bin *b = &f->bin[bin];
    return b->volume[meter] > 0.0 ? b->amount[meter] / b->volume[meter] : NAN;
}

double film_bin_litres(const struct film *f, int bin)
{
    return f->span.litres * (bin + 0.5) / FILM_BINS;
}
