/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture_levels: the sheets of the matrix of pairs, and of the levels after the worst sets.
 * Page: docs/figures.md.
 */
#include "picture.h"

#include <math.h>

#include "amount.h"
#include "screen.h"

static const double HOUR = 3600.0; /* s */

/* ---- matrix of pairs --------------------------------------------------------------------------
 */

enum { CELL_MOST = 22, CELL_LEAST = 13, MATRIX_WIDE = 560, MATRIX_LEFT = 236, NAMES_HIGH = 205 };
enum { LEGEND_LINE = 20, WHITE = 0xffffff };

/* The darker the sooner, so that it also reads in black and white. */
static const struct ink {
    int fill, letter;
} inks[SIGN_COUNT] = {
    [SIGN_HOUR] = { 0x8c2d04, WHITE }, [SIGN_DAY] = { 0xe08a3c, BLACK },
    [SIGN_SPAN] = { 0xf8d8b0, BLACK }, [SIGN_HOLDS] = { 0xe4e4e4, GREY },
    [SIGN_DRY] = { 0xcfe3f1, BLACK },  [SIGN_HARMLESS] = { WHITE, GREY },
    [SIGN_APART] = { WHITE, WHITE },
};

static void put_cells(struct sheet *s, const struct picture *p)
{
    const int n = p->found->sets.hazards;
    FILE *out = sheet_open(s, ".dat");
    sheet_put(out, "# column\trow\tcolour\tcolour of the letter\tletter\tsingle\n");
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++) {
            const enum picture_sign sign = p->sign[i][j];
            if (sign != SIGN_APART)
                sheet_put(out, "%d\t%d\t%d\t%d\t%c\t%d\n", j + 1, i + 1, inks[sign].fill,
                          inks[sign].letter, picture_letter[sign], i == j);
        }
    sheet_close(s, out);
}

static void put_legend(struct sheet *s, const struct picture *p)
{
    FILE *out = sheet_open(s, "-legend.dat");
    sheet_put(out, "# line\tcolumn\tcolour\tcolour of the letter\tletter\twords\n");
    for (int i = 0; i < SIGN_APART; i++) {
        char words[80];
        sheet_put(out, "%d\t%d\t%d\t%d\t%c\t%s\n", i % 3, i / 3, inks[i].fill, inks[i].letter,
                  picture_letter[i], picture_meaning(p, (enum picture_sign)i, words));
    }
    sheet_close(s, out);
}

enum status picture_pairs(struct sheet *s)
{
    const struct picture *p = s->source;
    const struct sets *sets = &p->found->sets;
    const int n = sets->hazards, fits = MATRIX_WIDE / (n > 0 ? n : 1);
    const int cell = fits > CELL_MOST ? CELL_MOST : fits < CELL_LEAST ? CELL_LEAST : fits;
    FILE *names = sheet_open(s, "-labels.dat");
    sheet_put(names, "# number\tfault\n");
    for (int i = 0; i < n; i++) {
        char words[WORDS_MAX], name[WORDS_MAX * 2];
        snprintf(words, sizeof words, "%s %s", sets->hazard[i].part, sets->hazard[i].mode);
        sheet_clean(words, name, 32);
        sheet_put(names, "%d\t%s\n", i + 1, name);
    }
    sheet_close(s, names);
    put_cells(s, p);
    put_legend(s, p);
    FILE *par = sheet_open(s, ".par");
    sheet_put(par, "# places in the figure, px; the script beside reads them\n");
    sheet_put(par, "n = %d\ncell = %d\nleft = %d\ntop = %d\nwide = %d\nhigh = %d\nline = %d\n", n,
              cell, MATRIX_LEFT, TITLE_HIGH + NAMES_HIGH, WIDTH,
              TITLE_HIGH + NAMES_HIGH + n * cell + 5 * LEGEND_LINE + GAP, LEGEND_LINE);
    sheet_close(s, par);
    sheet_title(s);
    return STATUS_OK;
}

/* ---- levels after the worst sets --------------------------------------------------------------
 */

enum { TRACK_HEAD = 52, TRACK_HIGH = 160, TRACK_FOOT = 50, SERVED_LEFT = 540 };

static const double LONG = 72.0; /* h, from which on days are easier to read */

/* A measure of the time axis of a track: days or hours. */
static double unit_of(const struct picture_track *k)
{
    return k->end > LONG * HOUR ? 24.0 * HOUR : HOUR;
}

/* Levels of tank and served water are shown in cm and mm, or in inches. */
static const struct {
    double per_metre;
    enum amount kind;
} vessel[2] = { { 100.0, AMOUNT_LEVEL }, { 1e3, AMOUNT_THIN } };

static double shown(int v, double metres)
{
    return amount_number(vessel[v].kind, vessel[v].per_metre * metres);
}

static void put_lines(FILE *out, struct panel *p, int number, const struct picture_mark mark[],
                      int marks)
{
    const int v = number % 2 == 0;
    for (int i = 0; i < marks; i++)
        sheet_line(out, p, number, shown(v, mark[i].level), mark[i].words);
}

/* Labels that had to be moved are led to their lines. */
static void put_track_labels(FILE *out, struct panel *p, int number)
{
    sheet_spread(p);
    for (int i = 0; i < p->labels; i++)
        sheet_put(out, "%d\t%.9g\t%.9g\t%d\t%s\n", number, p->label[i].y,
                  p->low + (p->high - p->low) * p->label[i].place / p->height, p->label[i].colour,
                  p->label[i].text);
}

/* Axes of the two vessels; both hold their rims. */
static void set_axes(const struct picture_track *k, const struct plant *plant, struct panel pair[2])
{
    double low[2] = { INFINITY, INFINITY }, high[2] = { -INFINITY, -INFINITY };
    for (int i = 0; i < k->points; i++) {
        const double level[2] = { shown(0, k->point[i].tank), shown(1, k->point[i].served) };
        for (int v = 0; v < 2; v++) {
            low[v] = fmin(low[v], level[v]);
            high[v] = fmax(high[v], level[v]);
        }
    }
    const double rim[2] = { shown(0, plant->tank.height), shown(1, plant->basin.freeboard) };
    const double least[2] = { shown(0, plant->fill.on_at), shown(1, -plant->topoff.on_below) };
    const bool starts[2] = { plant->fill.switches, plant->topoff.kind == TOPOFF_PUMP };
    for (int v = 0; v < 2; v++) {
        pair[v] = (struct panel){ .height = TRACK_HIGH };
        const double from = starts[v] ? fmin(low[v], least[v]) : low[v];
        const double to = fmax(high[v], rim[v]), room = 0.06 * (to - from);
        const double one = amount_unit_in(units_taste(), vessel[v].kind).factor;
        sheet_axis(&pair[v], from, to, v == 0 ? one : 2.0 * one);
        pair[v].low = from - room;
        pair[v].high = fmax(to, from + one) + room;
    }
}

struct levels {
    FILE *data, *lines, *labels, *marks, *heads, *par;
};

/* "1. float valve weeps: the tank runs over its rim after 45 h", and in which order. */
static void put_track_head(const struct picture *p, const struct picture_track *k, FILE *out)
{
    char name[SET_WORDS], clean[WORDS_MAX * 2], after[SCREEN_CELL], litres[SCREEN_CELL];
    const struct damage *d = &k->damage;
    sheet_clean(sets_name(&p->found->sets, k->row->set, name), clean, WORDS_MAX);
    sheet_put(out, "%d. %s\t", picture_number(p, k->row), clean);
    sheet_put(out, "%s runs over its rim after %s; %s over it by the end of this picture\n",
              d->spill <= d->basin_spill ? "the tank" : "the served water",
              screen_span(picture_first_drop(d), after),
              screen_litres(k->point[k->points - 1].spilled, litres));
}

static void put_marks_of(const struct picture_track *k, int number, FILE *out)
{
    const double unit = unit_of(k);
    const struct trial *t = &k->row->set->first;
    for (int i = 0; i < t->count; i++)
        sheet_put(out, "%d\t%.7g\tf\n", number, t->strike[i].after / unit);
    if (isfinite(k->damage.spill))
        sheet_put(out, "%d\t%.7g\tt\n", number, k->damage.spill / unit);
    if (isfinite(k->damage.basin_spill))
        sheet_put(out, "%d\t%.7g\ts\n", number, k->damage.basin_spill / unit);
}

static void put_track(const struct picture *p, int i, const struct levels *f)
{
    const struct plant *plant = &p->found->scenario->plant;
    const struct picture_track *k = &p->track[i];
    const double unit = unit_of(k);
    struct picture_mark mark[PICTURE_MARKS];
    struct panel pair[2];
    set_axes(k, plant, pair);
    put_lines(f->lines, &pair[0], 2 * i + 1, mark, picture_tank_marks(plant, mark));
    put_lines(f->lines, &pair[1], 2 * i + 2, mark, picture_served_marks(plant, mark));
    for (int v = 0; v < 2; v++) {
        put_track_labels(f->labels, &pair[v], 2 * i + v + 1);
        sheet_put(f->par, "ymin%d = %.9g\nymax%d = %.9g\nystep%d = %.9g\n", 2 * i + v + 1,
                  pair[v].low, 2 * i + v + 1, pair[v].high, 2 * i + v + 1, pair[v].step);
    }
    sheet_put(f->par, "xmax%d = %.9g\nxstep%d = %.9g\ndays%d = %d\n", i + 1, k->end / unit, i + 1,
              sheet_step(k->end / unit / 7.0), i + 1, unit > HOUR);
    put_track_head(p, k, f->heads);
    put_marks_of(k, i + 1, f->marks);
    for (int j = 0; j < k->points; j++)
        sheet_put(f->data, "%d\t%.7g\t%.7g\t%.7g\n", i + 1, k->point[j].t / unit,
                  shown(0, k->point[j].tank), shown(1, k->point[j].served));
}

static void open_levels(struct sheet *s, struct levels *f)
{
    *f = (struct levels){ sheet_open(s, ".dat"),        sheet_open(s, "-limits.dat"),
                          sheet_open(s, "-labels.dat"), sheet_open(s, "-marks.dat"),
                          sheet_open(s, "-heads.dat"),  sheet_open(s, ".par") };
    sheet_put(f->data, "# picture\ttime\ttank %s\tserved water %s\n", amount_unit(AMOUNT_LEVEL),
              amount_unit(AMOUNT_THIN));
    sheet_put(f->lines, "# panel\ty\tname\n");
    sheet_put(f->labels, "# panel\ty of the line\ty of the words\tcolour\twords\n");
    sheet_put(f->marks, "# picture\ttime\tfault, or first drop of tank or served water\n");
    sheet_put(f->heads, "# set\twhat comes of it\n");
    sheet_put(f->par, "# axes and places in the figure; the script beside reads them\n");
    sheet_put(f->par, "tankunit = '%s'\nservedunit = '%s'\n", amount_unit(AMOUNT_LEVEL),
              amount_unit(AMOUNT_THIN));
}

enum status picture_worst(struct sheet *s)
{
    const struct picture *p = s->source;
    const bool served = p->found->scenario->plant.has_basin;
    struct levels f;
    if (p->tracks == 0)
        return STATUS_NO_INPUT;
    open_levels(s, &f);
    for (int i = 0; i < p->tracks; i++)
        put_track(p, i, &f);
    sheet_put(f.par, "tracks = %d\nserved = %d\nhigh = %d\nwide = %d\n", p->tracks, served,
              TITLE_HIGH + p->tracks * (TRACK_HEAD + TRACK_HIGH + TRACK_FOOT), WIDTH);
    sheet_put(f.par, "first = %d\nhead = %d\npanel = %d\nfoot = %d\n", TITLE_HIGH, TRACK_HEAD,
              TRACK_HIGH, TRACK_FOOT);
    sheet_put(f.par, "left1 = %d\nright1 = %d\nleft2 = %d\nright2 = %d\n", LEFT,
              served ? SERVED_LEFT - 150 : RIGHT, SERVED_LEFT, WIDTH - 80);
    FILE *const all[] = { f.data, f.lines, f.labels, f.marks, f.heads, f.par };
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        sheet_close(s, all[i]);
    sheet_title(s);
    return STATUS_OK;
}
