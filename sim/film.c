/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film: see film.h.  The first run finds the span, the second takes the frames (film_take.c).
 */
#include "film_inner.h"

#include <math.h>
#include <stdlib.h>

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

static void look_see(void *self, const struct glimpse *g)
{
    struct look *l = self;
    double c[SPECIES_COUNT];
    if (l->done || (g->moment != MOMENT_PARCEL && g->moment != MOMENT_CHANGE))
        return;
    if (l->bed >= 0 && film_replaces(g, l->bed))
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

static int choose_frames(int wanted)
{
    if (wanted <= 0)
        return FILM_FRAMES;
    return wanted < FILM_FRAMES_MIN   ? FILM_FRAMES_MIN
           : wanted > FILM_FRAMES_MAX ? FILM_FRAMES_MAX
                                      : wanted;
}

enum status film_record(struct film *f, const struct plant *p, const struct plan *plan,
                        const struct film_options *options, char words[RUN_WORDS])
{
    const bool never = false;
    *f = (struct film){ .plant = p, .plan = plan };
    f->frames = choose_frames(options->frames);
    words[0] = '\0';
    find_beds(f);
    if (f->resins == 0 && f->carbons == 0 && p->membrane < 0) {
        snprintf(words, RUN_WORDS,
                 "there is no resin, no carbon and no membrane in this line: nothing would move");
        return STATUS_SCENARIO;
    }
    TRY(find_span(f, options, words));
    TRY(make_room(f));
    struct film_camera c = { .film = f };
    const struct piece w = { options, 0.5, 1.0, f->span.t, &never };
    return watch(f, (struct observer){ film_camera_see, &c }, &w, words);
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

int film_day_places(const struct film *f)
{
    static const double FEW = 5.0 * 86400.0; /* s */
    return f->span.t < FEW ? 3 : 1;
}
