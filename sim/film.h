/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film: the beds, the carbon and the membrane at even steps of the product made, from new until a
 * little after the last resin has ended: moving pictures and text.  Page: docs/film.md.
 *
 * Memory does not grow with the length of the run.
 */
#ifndef SIM_FILM_H
#define SIM_FILM_H

#include <signal.h>

#include "render.h"
#include "run.h"
#include "sheet.h"

enum {
    FILM_FRAMES = 48, /* if not said otherwise */
    FILM_FRAMES_MIN = 2,
    FILM_FRAMES_MAX = 60,
    FILM_BINS = 240, /* of readings over the product made */
    FILM_MARKS = 24,
    FILM_LAYERS = 13,
    FILM_ANION_LAYER = 6, /* the first of the anion resin; before it the cation resin */
    FILM_METERS = 3       /* feed, permeate, product */
};

/* What a site of the resin can hold, in the order of stacking: held best first, free last. */
struct film_layer {
    const char *name;  /* as a column, "calcium" */
    const char *words; /* as on a picture, "Ca" */
    char letter;       /* in a terminal */
    int species;       /* -1: free */
};

extern const struct film_layer film_layers[FILM_LAYERS];
extern const char *const film_meter_names[FILM_METERS];

/* A bed on the axis that all of its kind share. */
struct film_bed {
    int stage;
    int first, cells;   /* in the rows of a frame */
    double from, depth; /* m of resin; of carbon, blocks */
};

/* A moment. */
struct film_frame {
    double t;                    /* s */
    double litres;               /* of product since the start */
    double reading[FILM_METERS]; /* ppm, mean over the product since the frame before; NAN */
    double flow, passage;        /* of the membrane at standard conditions, 1 when new; NAN */
    /* resistance over that of the clean membrane */
    double cake, layer, scale, biofilm;
    double *share; /* [resin cell][layer], NAN where there are no such sites */
    double *left;  /* [carbon cell], share of sites left */
};

/* Readings over the product made: amounts, so that the mean is by litre. */
struct film_bin {
    double volume[FILM_METERS], amount[FILM_METERS];
};

struct film_mark { /* a part replaced */
    double t, litres;
    int stage;
};

enum film_end { FILM_CLOCK, FILM_METER, FILM_REPLACED };

struct film_span {
    double t, litres;         /* of the whole film */
    enum film_end why;        /* of the last resin */
    double end_t, end_litres; /* when it ended; NAN for FILM_CLOCK */
    double limit;             /* ppm on the meter at which it has; NAN without such a bed */
};

struct film {
    const struct plant *plant;
    const struct plan *plan;
    struct film_span span;
    int resins, carbons;
    struct film_bed resin[STAGES_MAX], carbon[STAGES_MAX];
    int resin_cells, carbon_cells;
    double depth; /* m of all resin */
    int frames;
    struct film_frame frame[FILM_FRAMES_MAX];
    struct film_bin bin[FILM_BINS];
    int marks, more_marks; /* kept, and those for which there was no room */
    struct film_mark mark[FILM_MARKS];
    double *room; /* of all frames */
};

struct film_options {
    int frames; /* 0: FILM_FRAMES; brought to FILM_FRAMES_MIN .. FILM_FRAMES_MAX */
    void (*progress)(void *self, double share); /* NULL: none */
    void *progress_self;
    const volatile sig_atomic_t *stop; /* set: stop at the next step; NULL: never */
};

/* Runs the plan twice: to find how long the film is, and to take the frames.  STATUS_SCENARIO, and
 * words, if the plant has nothing to film or makes no water.  film_free it whatever comes back. */
enum status film_record(struct film *f, const struct plant *p, const struct plan *plan,
                        const struct film_options *options, char words[RUN_WORDS]);
void film_free(struct film *f);

/* Of one kind of layer: what a frame holds [mol of charge], all beds together. */
double film_held(const struct film *f, int frame, int layer);

/* A mean reading of a bin [ppm], NAN if nothing was made in it; litres at its middle. */
double film_reading(const struct film *f, int bin, int meter);
double film_bin_litres(const struct film *f, int bin);

/* Decimals with which days tell the frames apart. */
int film_day_places(const struct film *f);

/* ---- what is made of it -----------------------------------------------------------------------
 */

/* How long the film is, why, and what is replaced in it; 80 columns wide. */
void film_tell(const struct film *f, FILE *out);

/* A frame as text: 22 lines at most, 80 columns wide. */
void film_text_frame(const struct film *f, int frame, FILE *out);

/* All frames, an empty line between; on a terminal one after the other in the same place.  False if
 * it was stopped. */
bool film_text(const struct film *f, FILE *out, const volatile sig_atomic_t *stop);

void film_csv(const struct film *f, FILE *out);

/* The sheets of film.gp; a file that could not be written shows in s->failed. */
void film_sheet(struct sheet *s, const struct film *f);

/* Draws DIR/figures/film.gif and film-001.svg ..., with the script and the data that made them beside
 * them.  A missing or failing gnuplot is no error: STATUS_OK with trouble. */
enum status film_draw(const struct film *f, const char *dir, struct drawing *d);

#endif
