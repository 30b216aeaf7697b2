/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_print: the line as tables for people, 80 columns wide.  Of two moments each row stands
 * twice. Page: docs/along.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "screen.h"
#include "text.h"
#include "units.h"

static const double SEEN = 1e-6; /* of the most of it along the line, below which nothing is said */

enum { NAME_WIDE = 14, INDENT = 2, GAP = 2, ROWS_MAX = ALONG_LOOKS * ALONG_POINTS, COLUMNS = 24 };

/* One block: rows of points, columns that are packed until the screen is full. */
struct block {
    const struct along *a;
    const char *title, *about;
    int rows;
    const struct along_point *point[ROWS_MAX];
    char name[ROWS_MAX][SCREEN_CELL];
    int columns;
    char head[COLUMNS][SCREEN_CELL];
    char cell[COLUMNS][ROWS_MAX][SCREEN_CELL];
};

/* ---- names ------------------------------------------------------------------------------------
 */

/* At most NAME_WIDE characters, whole ones. */
static void put_name(const char *name, const char *before, char out[SCREEN_CELL])
{
    char safe[4 * SCREEN_CELL];
    text_escape(name, safe, sizeof safe);
    const int most = NAME_WIDE - (int)strlen(before);
    size_t n = 0;
    while (safe[n] != '\0' && (text_columns(safe, n + 1) <= most || (safe[n] & 0xc0) == 0x80))
        n++;
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%s%.*s", before, (int)n, safe);
}

static bool is_branch(const struct along_point *p)
{
    return p->kind == ALONG_CONCENTRATE || p->kind == ALONG_DRAIN;
}

/* The second moment is told by its day. */
static void put_rows(struct block *b, bool (*shown)(const struct along_point *))
{
    b->rows = b->columns = 0;
    for (int i = 0; i < b->a->look[0]->points; i++) {
        bool any = false;
        for (int n = 0; n < b->a->looks; n++)
            any |= shown(&b->a->look[n]->point[i]);
        for (int n = 0; n < b->a->looks && any; n++) {
            const struct along_point *p = &b->a->look[n]->point[i];
            char day[SCREEN_CELL];
            b->point[b->rows] = p;
            snprintf(day, sizeof day, "day %.1f", b->a->look[n]->t / 86400.0);
            put_name(n == 0 ? p->name : day, n == 0 ? (is_branch(p) ? "  " : "") : "    ",
                     b->name[b->rows++]);
        }
    }
}

/* ---- the screen -------------------------------------------------------------------------------
 */

static int wide(const struct block *b, int column)
{
    int most = (int)strlen(b->head[column]);
    for (int i = 0; i < b->rows; i++) {
        const int w = (int)strlen(b->cell[column][i]);
        most = w > most ? w : most;
    }
    return most;
}

static int name_wide(const struct block *b)
{
    int most = 0;
    for (int i = 0; i < b->rows; i++) {
        const int w = text_columns(b->name[i], strlen(b->name[i]));
        most = w > most ? w : most;
    }
    return most;
}

/* Numbers stand right; words, in a column without a head, left. */
static void put_cell(const struct block *b, int column, const char *cell, FILE *out)
{
    const bool words = b->head[column][0] == '\0';
    fprintf(out, "%*s", GAP, "");
    fprintf(out, "%*s", words ? 0 : wide(b, column), cell);
}

static void put_columns(const struct block *b, int from, int to, FILE *out)
{
    const int name = name_wide(b);
    fprintf(out, "%*s", INDENT + name, "");
    for (int j = from; j < to && b->head[j][0] != '\0'; j++)
        put_cell(b, j, b->head[j], out);
    putc('\n', out);
    for (int i = 0; i < b->rows; i++) {
        int last = to;
        while (last > from && b->cell[last - 1][i][0] == '\0')
            last--;
        const int w = text_columns(b->name[i], strlen(b->name[i]));
        fprintf(out, "%*s%s%*s", INDENT, "", b->name[i], last > from ? name - w : 0, "");
        for (int j = from; j < last; j++)
            put_cell(b, j, b->cell[j][i], out);
        putc('\n', out);
    }
}

static void put_block(const struct block *b, FILE *out)
{
    if (b->columns == 0)
        return;
    const int column = fprintf(out, "\n%s%s", b->title, b->about[0] ? "  " : "") - 1;
    screen_wrap(out, column, INDENT, b->about);
    for (int from = 0; from < b->columns;) {
        int to = from, used = INDENT + name_wide(b);
        while (to < b->columns && used + GAP + wide(b, to) <= SCREEN_COLUMNS)
            used += GAP + wide(b, to++);
        to = to > from ? to : from + 1;
        put_columns(b, from, to, out);
        from = to;
    }
}

static char (*column(struct block *b, const char *head))[SCREEN_CELL]
{
    text_copy(b->head[b->columns], SCREEN_CELL, head);
    memset(b->cell[b->columns], 0, sizeof b->cell[b->columns]);
    return b->cell[b->columns++];
}

/* ---- water ------------------------------------------------------------------------------------
 */

static bool always(const struct along_point *p)
{
    (void)p;
    return true;
}

static void put_water(struct block *b, FILE *out)
{
    b->title = "WATER";
    b->about = "behind each part; pH and conductivity at 25 degC";
    put_rows(b, always);
    char(*pressure)[SCREEN_CELL] = column(b, "pressure"), (*flow)[SCREEN_CELL] = column(b, "flow"),
    (*warm)[SCREEN_CELL] = column(b, "temp"), (*ph)[SCREEN_CELL] = column(b, "pH"),
    (*conducts)[SCREEN_CELL] = column(b, "conducts"), (*meter)[SCREEN_CELL] = column(b, "meter");
    for (int i = 0; i < b->rows; i++) {
        const struct along_point *p = b->point[i];
        units_format(p->pressure, DIM_PRESSURE, pressure[i], SCREEN_CELL);
        units_format(p->flow, DIM_FLOW, flow[i], SCREEN_CELL);
        units_format(p->water->temperature, DIM_TEMPERATURE, warm[i], SCREEN_CELL);
        snprintf(ph[i], SCREEN_CELL, "%.2f", p->ph);
        units_format(p->conductivity, DIM_CONDUCTIVITY, conducts[i], SCREEN_CELL);
        snprintf(meter[i], SCREEN_CELL, "%g ppm", 1e3 * p->shown);
    }
    put_block(b, out);
}

/* ---- what is in it ----------------------------------------------------------------------------
 */

static bool is_there(const struct block *b, int form)
{
    for (int i = 0; i < b->rows; i++)
        if (b->point[i]->form[form] > 0.0)
            return true;
    return false;
}

static void put_mass(struct block *b, FILE *out)
{
    b->title = "MG/L";
    b->about = "where the water has changed; weak acids as they are at 25 degC";
    put_rows(b, along_changes);
    for (int f = 0; f < ALONG_FORMS; f++) {
        if (!is_there(b, f) || f == FORM_H || f == FORM_OH || f == FORM_H3SIO4)
            continue;
        char(*cell)[SCREEN_CELL] = column(b, along_forms[f].symbol);
        for (int i = 0; i < b->rows; i++)
            screen_number(1e3 * along_mass((enum along_form)f) * b->point[i]->form[f], cell[i]);
    }
    put_block(b, out);
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
static void put_charges(struct block *b, int sign, FILE *out)
{
    b->title = sign > 0 ? "MEQ/L, CATIONS" : "MEQ/L, ANIONS";
    b->about = "";
    put_rows(b, changes_ions);
    for (int f = 0; f < ALONG_FORMS; f++) {
        if (along_forms[f].charge * sign <= 0 || !is_there(b, f))
            continue;
        char(*cell)[SCREEN_CELL] = column(b, along_forms[f].symbol);
        for (int i = 0; i < b->rows; i++)
            screen_number(equivalents(b->point[i], f), cell[i]);
    }
    char(*sum)[SCREEN_CELL] = column(b, "sum");
    for (int i = 0; i < b->rows; i++) {
        double all = 0.0;
        for (int f = 0; f < ALONG_FORMS; f++)
            if (along_forms[f].charge * sign > 0)
                all += equivalents(b->point[i], f);
        screen_number(all, sum[i]);
    }
    put_block(b, out);
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

static void put_taken(struct block *b, FILE *out)
{
    static const char *const names[SPECIES_COUNT] = { [CARBON] = "CO2*", [AMMONIUM] = "NH4*" };
    b->title = "TAKEN OUT";
    b->about = "of each litre that goes on, per cent of what came; negative: given off; "
               "CO2* is all carbonic acid, NH4* all ammonia";
    put_rows(b, takes);
    for (int i = 0; i < SALT; i++) {
        double most = 0.0;
        for (int k = 0; k < b->rows; k++)
            most = fmax(most, fmax(b->point[k]->came->c[i], b->point[k]->water->c[i]));
        if (!(most > 0.0))
            continue;
        char(*cell)[SCREEN_CELL] = column(b, names[i] ? names[i] : species[i].symbol);
        for (int k = 0; k < b->rows; k++)
            put_share(b->point[k]->came->c[i], b->point[k]->water->c[i], SEEN * most, cell[k]);
    }
    put_block(b, out);
}

/* ---- parts ------------------------------------------------------------------------------------
 */

static bool is_stage(const struct along_point *p)
{
    return p->kind == ALONG_STAGE;
}

static void put_parts(struct block *b, FILE *out)
{
    b->title = "PARTS";
    b->about = "pressure lost in each; negative: a booster adds it; share of its life used";
    put_rows(b, is_stage);
    char(*lost)[SCREEN_CELL] = column(b, "lost"), (*used)[SCREEN_CELL] = column(b, "used"),
    (*what)[SCREEN_CELL] = column(b, "");
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
    put_block(b, out);
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
    text_append(words, sizeof words, "%s: %s of product, %s to the drain, water of %s",
                along_when(a, n, when, sizeof when), made, drain, warm);
    if (a->plant.membrane >= 0)
        text_append(words, sizeof words,
                    "; recovery %.1f %%, %.1f %% of the feed's conductivity held back",
                    100.0 * s->product_flow / s->feed_flow, 100.0 * held_back(a, l));
    screen_wrap(out, 0, INDENT, words);
    put_notes(l, out);
}

void along_print(const struct along *a, FILE *out)
{
    struct block *b = calloc(1, sizeof *b);
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
