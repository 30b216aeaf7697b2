/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture: what the pictures and the folder of `leat overflow` show: the smallest spilling sets in the order of
 * their times, a sign for every pair, shares, levels after the worst sets.  Pages: docs/overflow.md,
 * docs/figures.md.
 */
#ifndef SIM_PICTURE_H
#define SIM_PICTURE_H

#include "figure.h"
#include "overflow.h"
#include "results.h"

enum { PICTURE_TRACKS = 3, PICTURE_POINTS = 1200 };

/* What a pair brings, in a matrix; on its diagonal a single fault. */
enum picture_sign {
    SIGN_HOUR,                  /* spills within an hour, */
    SIGN_DAY,                   /* within a day, */
    SIGN_SPAN,                  /* later in the span */
    SIGN_HOLDS,                 /* one of the two spills alone: not tried */
    SIGN_DRY,                   /* no spill, but no water where it is wanted */
    SIGN_HARMLESS,
    SIGN_APART,                 /* two modes of one part never stand together */
    SIGN_COUNT
};

extern const char picture_letter[SIGN_COUNT];

struct picture_point {
    double t;                   /* s from the moment of the trial */
    double tank;                /* m */
    double served;              /* m above its working level */
    double spilled;             /* m3 over both rims so far */
};

/* Levels after a set, in its worst trial, for some time beyond the first drop. */
struct picture_track {
    const struct chance_row *row;
    struct damage damage;       /* of this trial */
    double end;                 /* s; the points reach as far */
    int points;
    struct picture_point point[PICTURE_POINTS];
};

struct picture {
    const struct overflow_found *found;
    int spills;                 /* smallest sets that spill, all sizes */
    const struct chance_row **likely; /* the likeliest first: their numbers are those of what is printed */
    const struct chance_row **early;  /* the earliest on the floor first */
    int tracks;
    struct picture_track track[PICTURE_TRACKS]; /* of the earliest; of sets alike the likeliest */
    enum picture_sign sign[HAZARDS_MAX][HAZARDS_MAX];
};

/* What was found must outlive the picture.  STATUS_OK or what a trial said; picture_free it then, too. */
enum status picture_create(const struct overflow_found *f, struct picture **out);
void picture_free(struct picture *p);

double picture_first_drop(const struct damage *d);                          /* s; INFINITY: never */
int picture_number(const struct picture *p, const struct chance_row *row); /* from 1, as printed */
double picture_share(const struct picture *p, const struct chance *c);      /* of all spills, 0..1 */

/* "within a day": what a sign means, for a legend; returns out. */
char *picture_meaning(const struct picture *p, enum picture_sign sign, char out[80]);

/* A level of a vessel that is worth a line. */
struct picture_mark {
    double level;               /* m, in the measure of its vessel */
    const char *words;
};

enum { PICTURE_MARKS = 6 };
int picture_tank_marks(const struct plant *p, struct picture_mark out[PICTURE_MARKS]);
int picture_served_marks(const struct plant *p, struct picture_mark out[PICTURE_MARKS]);

/* All four as text, 80 columns. */
void picture_text(const struct picture *p, FILE *out);

/* The figures of its folder; each draws a struct picture, the sheet's source. */
extern const struct figure picture_figures[];
enum status picture_times(struct sheet *s);
enum status picture_pairs(struct sheet *s);
enum status picture_shares(struct sheet *s);
enum status picture_worst(struct sheet *s);

/* Writes all files but the figures and the manifest into the open folder; takes no part of json. */
enum status picture_keep(const struct picture *p, const json_t *json, struct results *r);

#endif
