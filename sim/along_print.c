/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_print: the line as tables for people, 80 columns wide.  Of two moments each row stands
 * twice. Page: docs/along.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "along_block.h"
#include "memory.h"
#include "screen.h"
#include "text.h"
#include "units.h"

static const double SEEN = 1e-6; /* of the most of it along the line, below which nothing is said */

/* ---- water ------------------------------------------------------------------------------------
 */

static bool always(const struct along_point *p)
{
    (void)p;
    return true;
}

static void put_water(struct along_block *b, FILE *out)
{
    b->title = "WATER";
    b->about = "behind each part; pH and conductivity at 25 degC";
    along_block_rows(b, always);
    char(*pressure)[SCREEN_CELL] = along_block_column(b, "pressure"),
    (*flow)[SCREEN_CELL] = along_block_column(b, "flow"),
    (*warm)[SCREEN_CELL] = along_block_column(b, "temp"),
    (*ph)[SCREEN_CELL] = along_block_column(b, "pH"),
    (*conducts)[SCREEN_CELL] = along_block_column(b, "conducts"),
    (*meter)[SCREEN_CELL] = along_block_column(b, "meter");
    for (int i = 0; i < b->rows; i++) {
        const struct along_point *p = b->point[i];
        units_format(p->pressure, DIM_PRESSURE, pressure[i], SCREEN_CELL);
        units_format(p->flow, DIM_FLOW, flow[i], SCREEN_CELL);
        units_format(p->water->temperature, DIM_TEMPERATURE, warm[i], SCREEN_CELL);
        snprintf(ph[i], SCREEN_CELL, "%.2f", p->ph);
        units_format(p->conductivity, DIM_CONDUCTIVITY, conducts[i], SCREEN_CELL);
        snprintf(meter[i], SCREEN_CELL, "%g ppm", 1e3 * p->shown);
    }
    along_block_print(b, out);
}

/* ---- what is in it ----------------------------------------------------------------------------
 */

static bool is_there(const struct along_block *b, int form)
{
    for (int i = 0; i < b->rows; i++)
        if (b->point[i]->form[form] > 0.0)
            return true;
    return false;
}

static void put_mass(struct along_block *b, FILE *out)
{
    b->title = "MG/L";
    b->about = "where the water has changed; weak acids as they are at 25 degC";
    along_block_rows(b, along_changes);
    for (int f = 0; f < ALONG_FORMS; f++) {
        if (!is_there(b, f) || f == FORM_H || f == FORM_OH || f == FORM_H3SIO4)
            continue;
        char(*cell)[SCREEN_CELL] = along_block_column(b, along_forms[f].symbol);
        for (int i = 0; i < b->rows; i++)
            screen_number(1e3 * along_mass((enum along_form)f) * b->point[i]->form[f], cell[i]);
    }
    along_block_print(b, out);
}

static double equivalents(const struct along_point *p, int form)
{
    return abs(along_forms[form].charge) * p->form[form];
}

/* Whether ions are others than in front of it. */
static bool changes_ions(const struct along_point *p)
{
    const size_t size = EXCHANGED_COUNT * sizeof p->water->c[0];
    return along_changes(p) &&
           (p->kind != ALONG_STAGE || memcmp(p->came->c, p->water->c, size) != 0);
}

/* Of one sign, with their sum: that of the other sign is the same. */
static void put_charges(struct along_block *b, int sign, FILE *out)
{
    b->title = sign > 0 ? "MEQ/L, CATIONS" : "MEQ/L, ANIONS";
    b->about = "";
    along_block_rows(b, changes_ions);
    for (int f = 0; f < ALONG_FORMS; f++) {
        if (along_forms[f].charge * sign <= 0 || !is_there(b, f))
            continue;
        char(*cell)[SCREEN_CELL] = along_block_column(b, along_forms[f].symbol);
        for (int i = 0; i < b->rows; i++)
            screen_number(equivalents(b->point[i], f), cell[i]);
    }
    char(*sum)[SCREEN_CELL] = along_block_column(b, "sum");
    for (int i = 0; i < b->rows; i++) {
        double all = 0.0;
        for (int f = 0; f < ALONG_FORMS; f++)
            if (along_forms[f].charge * sign > 0)
                all += equivalents(b->point[i], f);
        screen_number(all, sum[i]);
    }
    along_block_print(b, out);
}

/* ---- what is taken out ------------------------------------------------------------------------
 */

static bool takes(const struct along_point *p)
{
    return p->kind == ALONG_STAGE && along_changes(p);
}

/* "98.6", "-12", "new" of what was not there before; never 100 of what is not quite gone. */
static void put_share(double came, double went, double least, char out[SCREEN_CELL])
{
    const double share = 100.0 * (1.0 - went / came);
    if (came <= least && went <= least)
        return;
    if (came <= least)
        text_copy(out, SCREEN_CELL, "new");
    else if (fabs(share) < 0.05)
        text_copy(out, SCREEN_CELL, "0");
    else if (share > 99.0 && share < 100.0)
        snprintf(out, SCREEN_CELL, "%.2f", fmin(share, 99.99));
    else
        snprintf(out, SCREEN_CELL, "%.*f", fabs(share) < 99.95 ? 1 : 0, share);
}

static void put_taken(struct along_block *b, FILE *out)
{
    static const char *const names[SPECIES_COUNT] = { [CARBON] = "CO2*", [AMMONIUM] = "NH4*" };
    b->title = "TAKEN OUT";
    b->about = "of each litre that goes on, per cent of what came; negative: given off; "
               "CO2* is all carbonic acid, NH4* all ammonia";
    along_block_rows(b, takes);
    for (int i = 0; i < SALT; i++) {
        double most = 0.0;
        for (int k = 0; k < b->rows; k++)
            most = fmax(most, fmax(b->point[k]->came->c[i], b->point[k]->water->c[i]));
        if (!(most > 0.0))
            continue;
        char(*cell)[SCREEN_CELL] = along_block_column(b, names[i] ? names[i] : species[i].symbol);
        for (int k = 0; k < b->rows; k++)
            put_share(b->point[k]->came->c[i], b->point[k]->water->c[i], SEEN * most, cell[k]);
    }
    along_block_print(b, out);
}

/* ---- parts ------------------------------------------------------------------------------------
 */

static bool is_stage(const struct along_point *p)
{
    return p->kind == ALONG_STAGE;
}

static void put_parts(struct along_block *b, FILE *out)
{
    b->title = "PARTS";
    b->about = "pressure lost in each; negative: a booster adds it; share of its life used";
    along_block_rows(b, is_stage);
    char(*lost)[SCREEN_CELL] = along_block_column(b, "lost"),
    (*used)[SCREEN_CELL] = along_block_column(b, "used"),
    (*what)[SCREEN_CELL] = along_block_column(b, "");
    for (int i = 0; i < b->rows; i++) {
        const struct along_point *p = b->point[i];
        const struct along_look *l = b->a->look[i % b->a->looks];
        const struct stage *s = &b->a->plant.train[p->stage];
        units_format(p->lost, DIM_PRESSURE, lost[i], SCREEN_CELL);
        if (s->kind != &stage_pump)
            snprintf(used[i], SCREEN_CELL, "%.1f %%",
                     100.0 * s->kind->used(&s->params, &l->before.stage[p->stage]));
        if (i % b->a->looks == 0)
            text_copy(what[i], SCREEN_CELL, s->kind->title);
    }
    along_block_print(b, out);
}

/* ---- the head ---------------------------------------------------------------------------------
 */

static void put_notes(const struct along_look *l, FILE *out)
{
    for (const char *line = l->notes, *end; (end = strchr(line, '\n')); line = end + 1) {
        char words[ALONG_TEXT] = "";
        text_append(words, sizeof words, "%.*s", (int)(end - line), line);
        fputs("  note: ", out);
        screen_wrap(out, 8, 8, words);
    }
}

static double held_back(const struct along *a, const struct along_look *l)
{
    for (int i = 0; i < l->points; i++)
        if (l->point[i].stage == a->plant.membrane && l->point[i].kind == ALONG_STAGE)
            return 1.0 - l->point[i].conductivity / l->point[0].conductivity;
    return NAN;
}

static void put_head(const struct along *a, int n, FILE *out)
{
    const struct along_look *l = a->look[n];
    const struct signals *s = &l->trace.signals;
    char when[SCREEN_CELL], made[SCREEN_CELL], drain[SCREEN_CELL], warm[SCREEN_CELL],
        words[SCREEN_TEXT] = "";
    units_format(s->product_flow / s->duty, DIM_FLOW, made, sizeof made);
    units_format(s->drain_flow / s->duty, DIM_FLOW, drain, sizeof drain);
    units_format(s->feed_temperature, DIM_TEMPERATURE, warm, sizeof warm);
    text_append(words, sizeof words, "%s: %s of product", along_when(a, n, when, sizeof when),
                made);
    if (a->plant.membrane >= 0)
        text_append(words, sizeof words, ", %s to the drain", drain);
    text_append(words, sizeof words, ", water of %s", warm);
    const double held = held_back(a, l);
    if (a->plant.membrane >= 0)
        text_append(words, sizeof words,
                    "; recovery %.1f %%, %.1f %% of the feed's conductivity held back",
                    100.0 * s->product_flow / s->feed_flow, fabs(held) < 5e-4 ? 0.0 : 100.0 * held);
    screen_wrap(out, 0, 2, words);
    put_notes(l, out);
}

void along_print(const struct along *a, FILE *out)
{
    struct along_block *b = memory_zeroed(sizeof *b);
    if (!b)
        return;
    b->a = a;
    fputs("ALONG THE LINE, as it makes water steadily into an empty tank\n", out);
    for (int n = 0; n < a->looks; n++)
        put_head(a, n, out);
    put_water(b, out);
    put_mass(b, out);
    put_charges(b, 1, out);
    put_charges(b, -1, out);
    put_taken(b, out);
    put_parts(b, out);
    free(b);
}
