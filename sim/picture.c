/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture: see picture.h.
 */
#include "picture.h"

#include <math.h>
#include <stdlib.h>

#include "screen.h"

static const double HOUR = 3600.0; /* s */
static const double DAY = 86400.0; /* s */
static const double BEYOND = 1.5;  /* times the first drop that a track is followed */

static const double ALIKE = 0.01; /* of two times or amounts that look the same in a picture */

enum { EVEN_POINTS = 400, CHANGE_POINTS = 1000, LOOKS = 20000 };

const char picture_letter[SIGN_COUNT] = { 'H', 'D', 'L', '+', 'o', '.', ' ' };

double picture_first_drop(const struct damage *d)
{
    return fmin(d->spill, d->basin_spill);
}

int picture_number(const struct picture *p, const struct chance_row *row)
{
    for (int i = 0; i < p->spills; i++)
        if (p->likely[i] == row)
            return i + 1;
    return 0;
}

double picture_share(const struct picture *p, const struct chance *c)
{
    const double all = p->found->chances.spill.mean;
    return all > 0.0 ? c->mean / all : 0.0;
}

/* ---- signs ------------------------------------------------------------------------------------
 */

static enum picture_sign sign_of(const struct set *s)
{
    const double drop = picture_first_drop(&s->worst);
    if (!s->tried)
        return SIGN_HOLDS;
    if (drop <= HOUR)
        return SIGN_HOUR;
    if (drop <= DAY)
        return SIGN_DAY;
    if (isfinite(drop))
        return SIGN_SPAN;
    return isfinite(sets_begins(&s->worst, HARM_DRY)) ? SIGN_DRY : SIGN_HARMLESS;
}

static void put_signs(struct picture *p)
{
    const struct sets *s = &p->found->sets;
    for (int i = 0; i < s->hazards; i++) {
        for (int j = 0; j < s->hazards; j++)
            p->sign[i][j] = SIGN_APART;
        p->sign[i][i] = sign_of(&s->single[i]);
    }
    for (int k = 0; k < s->pairs; k++) {
        const int a = s->pair[k].hazard[0], b = s->pair[k].hazard[1];
        p->sign[a][b] = p->sign[b][a] = sign_of(&s->pair[k]);
    }
}

char *picture_meaning(const struct picture *p, enum picture_sign sign, char out[80])
{
    char span[SCREEN_CELL];
    static const char *const words[SIGN_COUNT] = {
        [SIGN_HOUR] = "spills within an hour",
        [SIGN_DAY] = "spills within a day",
        [SIGN_SPAN] = "spills later, within",
        [SIGN_HOLDS] = "not tried: one of the two spills alone",
        [SIGN_DRY] = "no spill, but runs short of water",
        [SIGN_HARMLESS] = "neither",
        [SIGN_APART] = "never together: one part",
    };
    snprintf(out, 80, sign == SIGN_SPAN ? "%s %s" : "%s", words[sign],
             screen_span(p->found->span, span));
    return out;
}

/* ---- orders -----------------------------------------------------------------------------------
 */

/* Earlier on the floor, else more of it, else likelier. */
static int by_time(const void *a, const void *b)
{
    const struct chance_row *const x = *(const struct chance_row *const *)a;
    const struct chance_row *const y = *(const struct chance_row *const *)b;
    const struct damage *const d = &x->set->worst, *const e = &y->set->worst;
    const double now = picture_first_drop(d), then = picture_first_drop(e);
    if (now != then)
        return now < then ? -1 : 1;
    if (d->floor != e->floor)
        return d->floor > e->floor ? -1 : 1;
    if (x->chance.mean != y->chance.mean)
        return x->chance.mean > y->chance.mean ? -1 : 1;
    return (x > y) - (x < y);
}

static enum status put_orders(struct picture *p)
{
    const struct chances *c = &p->found->chances;
    const size_t room = (size_t)(c->rows + 1);
    p->likely = calloc(room, sizeof *p->likely);
    p->early = calloc(room, sizeof *p->early);
    if (!p->likely || !p->early)
        return STATUS_MEMORY;
    for (int i = 0; i < c->rows; i++)
        if (chance_spills(&c->row[i])) {
            p->likely[p->spills] = p->early[p->spills] = &c->row[i];
            p->spills++;
        }
    qsort(p->early, (size_t)p->spills, sizeof *p->early, by_time);
    return STATUS_OK;
}

/* ---- levels -----------------------------------------------------------------------------------
 */

struct follower {
    struct picture_track *track;
    double from;    /* s */
    double spilled; /* m3, before */
};

static void put_point(struct follower *w, const struct plant *p, double t, const double x[])
{
    struct picture_track *k = w->track;
    k->point[k->points++] =
        (struct picture_point){ .t = t,
                                .tank = tank_level(&p->tank, x[X_TANK]),
                                .served = p->has_basin ? basin_level(&p->basin, x[X_BASIN]) : 0.0,
                                .spilled = x[X_SPILL] + x[X_BASIN_SPILL] - w->spilled };
}

/* Looks are even; a change is kept where it comes, unless it comes with a crowd of others. */
static void follow(void *self, const struct glimpse *g)
{
    struct follower *w = self;
    struct picture_track *k = w->track;
    const double t = g->t - w->from, last = k->point[k->points - 1].t;
    const double least =
        k->end / (g->moment == MOMENT_CHANGE ? (double)CHANGE_POINTS : (double)EVEN_POINTS);
    if (last < k->end && k->points < PICTURE_POINTS && t - last >= least)
        put_point(w, g->plant, t, g->x);
}

static enum status follow_row(const struct overflow_found *f, const struct chance_row *row,
                              struct picture_track *k)
{
    struct trial trial = row->set->first;
    const struct moment_saved *m = campaign_moment(f->campaign, trial.moment);
    const double *x = m->saved.state.x;
    struct follower w = { .track = k, .from = m->t, .spilled = x[X_SPILL] + x[X_BASIN_SPILL] };
    const struct observer o = { follow, &w };
    k->row = row;
    k->end = fmin(f->span, fmax(BEYOND * picture_first_drop(&row->set->worst), HOUR));
    trial.look = fmax(k->end / EVEN_POINTS, f->span / LOOKS);
    put_point(&w, &f->scenario->plant, 0.0, x);
    k->damage = campaign_try(f->campaign, &trial, &o);
    return k->damage.status;
}

static bool near(double a, double b)
{
    if (!isfinite(a) || !isfinite(b))
        return isfinite(a) == isfinite(b);
    return fabs(a - b) <= ALIKE * fmax(fabs(a), fabs(b));
}

/* Whether a set that does the same is followed already: a second picture would tell nothing new. */
static bool is_followed(const struct picture *p, const struct chance_row *row)
{
    const struct damage *d = &row->set->worst;
    for (int i = 0; i < p->tracks; i++) {
        const struct damage *e = &p->track[i].row->set->worst;
        if (near(d->spill, e->spill) && near(d->basin_spill, e->basin_spill) &&
            near(d->floor, e->floor))
            return true;
    }
    return false;
}

enum status picture_create(const struct overflow_found *f, struct picture **out)
{
    struct picture *p = *out = calloc(1, sizeof *p);
    if (!p)
        return STATUS_MEMORY;
    p->found = f;
    put_signs(p);
    TRY(put_orders(p));
    for (int i = 0; i < p->spills && p->tracks < PICTURE_TRACKS; i++) {
        if (is_followed(p, p->early[i]))
            continue;
        TRY(follow_row(f, p->early[i], &p->track[p->tracks]));
        p->tracks++;
    }
    return STATUS_OK;
}

void picture_free(struct picture *p)
{
    if (!p)
        return;
    free(p->likely);
    free(p->early);
    free(p);
}

/* ---- levels worth a line ----------------------------------------------------------------------
 */

static int put_marks(const struct picture_mark all[], const bool there[], int n,
                     struct picture_mark out[PICTURE_MARKS])
{
    int k = 0;
    for (int i = 0; i < n; i++)
        if (there[i] && isfinite(all[i].level))
            out[k++] = all[i];
    return k;
}

int picture_tank_marks(const struct plant *p, struct picture_mark out[PICTURE_MARKS])
{
    const struct fill *f = &p->fill;
    const struct picture_mark all[] = {
        { p->tank.height, "rim" },           { p->tank.overflow.lip, "pipe" },
        { f->high_at, "high switch" },       { f->off_at, "stop switch" },
        { f->valve.shuts_at, "float shut" }, { f->on_at, "start switch" },
    };
    const bool there[] = { true,           p->tank.overflow.kind != OVERFLOW_NONE,
                           f->high_switch, f->switches,
                           f->float_valve, f->switches };
    return put_marks(all, there, PICTURE_MARKS, out);
}

int picture_served_marks(const struct plant *p, struct picture_mark out[PICTURE_MARKS])
{
    const struct topoff *t = &p->topoff;
    const bool pump = t->kind == TOPOFF_PUMP;
    const struct picture_mark all[] = { { p->basin.freeboard, "rim" },
                                        { t->off_above - t->on_below, "pump off" },
                                        { -t->on_below, "pump on" } };
    const bool there[] = { p->has_basin, p->has_basin && pump, p->has_basin && pump };
    return put_marks(all, there, 3, out);
}
