/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_year_pieces: a run that stops again and again, so that wear and prefilters can be set anew, and what is
 * watched meanwhile.  For rinse_year.c.
 */
#ifndef SIM_RINSE_YEAR_PIECES_H
#define SIM_RINSE_YEAR_PIECES_H

#include "first.h"
#include "rinse_year.h"
#include "run.h"

enum { RINSE_SIDES = 2 }; /* of what loads the beds: cations, anions */

struct rinse_watch {
    double product;           /* m3 made up to the last parcel */
    double load[RINSE_SIDES]; /* mol of charge towards the beds: cations, anions */
    double t, cake;           /* s up to the last parcel; integral of the loose deposit [s] */
    struct first first;
    bool passed; /* the product's reading has come to its limit, and */
    double load_passed[RINSE_SIDES];
};

struct rinse_pieces {
    const struct rinse_case *c;
    const struct plant *plant;
    struct plan plan;
    struct run_options options;
    struct observer observer;
    struct rinse_watch watch;
    struct run *run;
    struct run_saved at;
    struct state fresh;
    double used[STAGES_MAX];    /* lives of the prefilters, so far */
    double started[STAGES_MAX]; /* used at the start of the piece */
};

/* A run of a plant over a length [s], from new; NULL: out of memory. */
struct rinse_pieces *rinse_pieces_create(const struct rinse_case *c, const struct plant *plant, double length,
                                         const volatile sig_atomic_t *stop);
void rinse_pieces_free(struct rinse_pieces *p);

/* The share of its life that stage k has used, where the run now stands. */
double rinse_pieces_used(const struct rinse_pieces *p, int k);

/* Goes on to t, where its state may be changed: its prefilters put back to new if they are half used; its wear.
 * After a change it is renewed. */
enum status rinse_pieces_go(struct rinse_pieces *p, double t);
void rinse_pieces_refresh(struct rinse_pieces *p);
struct wear_state *rinse_pieces_wear(struct rinse_pieces *p);
void rinse_pieces_renew(struct rinse_pieces *p);

#endif
