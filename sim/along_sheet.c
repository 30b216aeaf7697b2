/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_sheet: the picture of the line (along.gp): at each part whose water has changed the ions as
 * stacked bars, cations beside anions, each part on a scale of its own; below, on one scale of
 * powers of ten, what changes by thousands.  All places are computed here, in px from the upper
 * left. Page: docs/along.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "along_sheet.h"
#include "screen.h"
#include "units.h"

enum {
    PLACES_MAX = STAGES_MAX + 2,
    AT_LEFT = 150,  /* px of the first place */
    AT_RIGHT = 860, /* px where the last one ends */
    BARS_HIGH = 190,
    ROW_HIGH = 330, /* of one moment: head, bars, words */
    POWERS_HIGH = 200,
    NAMED_HIGH = 12, /* px that a piece needs to be named in it */
    CURVES = 3
};

static const double LEAST = 1e-6; /* meq/L, mmol/L: less is not drawn */

/* Light fills under black names; the name tells as much as the colour. */
static const struct piece {
    enum along_form form;
    int colour;
} pieces[] = { { FORM_CA, 0x9cc6e0 },     { FORM_MG, 0xcfe3f0 },  { FORM_NA, 0xf5e6a8 },
               { FORM_K, 0xe8c27a },      { FORM_NH4, 0xd9b8cf }, { FORM_H, 0xecc3a6 },
               { FORM_HCO3, 0xc7bfe0 },   { FORM_CO3, 0xe6e1f4 }, { FORM_SO4, 0xdcdcdc },
               { FORM_CL, 0xa9d8c8 },     { FORM_NO3, 0xf0c9de }, { FORM_F, 0xf4f4e0 },
               { FORM_H3SIO4, 0xc4c4c4 }, { FORM_OH, 0xecc3a6 } };

/* Places along the product's way, then the concentrate, apart. */
struct places {
    int count;
    int point[PLACES_MAX]; /* of a look */
    double x[PLACES_MAX];  /* px of the middle */
    double pitch;          /* px from one to the next */
};

static bool changes_ions(const struct along *a, int i)
{
    for (int n = 0; n < a->looks; n++) {
        const struct along_point *p = &a->look[n]->point[i];
        const size_t size = EXCHANGED_COUNT * sizeof p->water->c[0];
        if (p->kind == ALONG_FEED ||
            (p->kind == ALONG_STAGE && memcmp(p->came->c, p->water->c, size) != 0))
            return true;
    }
    return false;
}

static struct places find_places(const struct along *a)
{
    struct places s = { 0 };
    int branch = -1;
    for (int i = 0; i < a->look[0]->points; i++) {
        if (a->look[0]->point[i].kind == ALONG_CONCENTRATE)
            branch = i;
        else if (changes_ions(a, i))
            s.point[s.count++] = i;
    }
    if (branch >= 0)
        s.point[s.count++] = branch;
    const double slots = s.count + (branch >= 0 ? 0.4 : 0.0);
    s.pitch = fmin((AT_RIGHT - AT_LEFT) / slots, 170.0);
    for (int k = 0; k < s.count; k++) {
        const bool apart = branch >= 0 && k == s.count - 1;
        s.x[k] = AT_LEFT + s.pitch * (k + 0.5 + (apart ? 0.4 : 0.0));
    }
    return s;
}

static const struct along_point *point_at(const struct along_look *l, const struct places *s, int k)
{
    return &l->point[s->point[k]];
}

static double equivalents(const struct along_point *p, enum along_form f)
{
    return abs(along_forms[f].charge) * p->form[f];
}

double along_sum(const struct along_point *p, int sign)
{
    double sum = 0.0;
    for (int f = 0; f < ALONG_FORMS; f++)
        if (along_forms[f].charge * sign > 0)
            sum += equivalents(p, (enum along_form)f);
    return sum;
}

/* ---- files ------------------------------------------------------------------------------------
 */

struct files {
    FILE *boxes;  /* left, right, top, low, colour */
    FILE *words;  /* x, y, way (-1 begins, 0 middle, 1 ends there), colour, text */
    FILE *curves; /* x, y, number of the curve, colour; blank lines between */
};

static void put_words(struct files *f, double x, double y, int way, const char *text)
{
    char clean[WORDS_MAX * 2];
    sheet_clean(text, clean, WORDS_MAX);
    sheet_put(f->words, "%.1f\t%.1f\t%d\t%d\t%s\n", x, y, way, BLACK, clean[0] ? clean : " ");
}

/* ---- bars -------------------------------------------------------------------------------------
 */

struct bar {
    double left, right, low; /* px */
};

/* One sign of one place, from below. */
static void put_stack(struct files *f, const struct along_point *p, int sign, const struct bar *b)
{
    const double all = along_sum(p, sign);
    double y = b->low;
    for (size_t k = 0; k < sizeof pieces / sizeof *pieces && all > 0.0; k++) {
        const struct along_form_row *row = &along_forms[pieces[k].form];
        const double high = BARS_HIGH * equivalents(p, pieces[k].form) / all;
        if (row->charge * sign <= 0 || !(high > 0.05))
            continue;
        sheet_put(f->boxes, "%.1f\t%.1f\t%.2f\t%.2f\t%d\n", b->left, b->right, y - high, y,
                  pieces[k].colour);
        if (high >= NAMED_HIGH)
            put_words(f, 0.5 * (b->left + b->right), y - 0.5 * high, 0, row->symbol);
        y -= high;
    }
}

static void put_numbers(struct files *f, const struct along_point *p, double x, double y,
                        double pitch)
{
    char sum[SCREEN_CELL], text[SCREEN_CELL];
    put_words(f, x, y - BARS_HIGH - 12, 0, strcat(screen_number(along_sum(p, 1), sum), " meq/L"));
    sheet_put(f->words, "%.1f\t%.1f\t0\t%d\t", x, y + 14, BLACK);
    char clean[WORDS_MAX * 2];
    sheet_clean(p->name, clean, pitch < 100.0 ? 13 : 16);
    sheet_put(f->words, "%s\n", clean);
    snprintf(text, sizeof text, "%g ppm", 1e3 * p->shown);
    put_words(f, x, y + 31, 0, text);
    snprintf(text, sizeof text, "%.2f", p->ph);
    put_words(f, x, y + 46, 0, text);
    put_words(f, x, y + 61, 0, units_format(p->pressure, DIM_PRESSURE, text, sizeof text));
    put_words(f, x, y + 76, 0, units_format(p->flow, DIM_FLOW, text, sizeof text));
}

static void put_row(struct files *f, const struct along *a, int n, const struct places *s,
                    double top)
{
    static const char *const heads[] = { "behind", "meter", "pH at 25 degC", "pressure", "flow" };
    const double low = top + 46 + BARS_HIGH, wide = fmin(0.42 * s->pitch, 52.0);
    char when[SCREEN_CELL];
    put_words(f, LEFT - 46, top + 8, -1, along_when(a, n, when, sizeof when));
    for (size_t k = 0; k < sizeof heads / sizeof *heads; k++)
        put_words(f, LEFT - 46, low + (k == 0 ? 14.0 : 16.0 + 15.0 * (double)k), -1, heads[k]);
    for (int k = 0; k < s->count; k++) {
        const struct along_point *p = point_at(a->look[n], s, k);
        put_stack(f, p, 1, &(const struct bar){ s->x[k] - wide - 2, s->x[k] - 2, low });
        put_stack(f, p, -1, &(const struct bar){ s->x[k] + 2, s->x[k] + wide + 2, low });
        put_numbers(f, p, s->x[k], low, s->pitch);
    }
}

/* ---- powers of ten ----------------------------------------------------------------------------
 */

static const struct curve {
    const char *name;
    enum colour colour;
} curves[CURVES] = { { "ions, meq/L", BLUE },
                     { "CO2, mmol/L", VERMILION },
                     { "SiO2, mmol/L", GREEN } };

static double curve_at(const struct along_point *p, int curve)
{
    return curve == 0 ? along_sum(p, 1) : p->form[curve == 1 ? FORM_CO2 : FORM_SIO2];
}

struct scale {
    double top, low; /* px */
    int least, most; /* powers */
};

static double y_of(const struct scale *s, double value)
{
    const double share = (log10(value) - s->least) / (s->most - s->least);
    return s->low - share * (s->low - s->top);
}

static struct scale find_scale(const struct along *a, const struct places *s, double top)
{
    double least = INFINITY, most = 0.0;
    for (int n = 0; n < a->looks; n++)
        for (int k = 0; k < s->count; k++)
            for (int c = 0; c < CURVES; c++) {
                const double v = curve_at(point_at(a->look[n], s, k), c);
                if (v < LEAST)
                    continue;
                least = fmin(least, v);
                most = fmax(most, v);
            }
    struct scale q = { top, top + POWERS_HIGH, -1, 1 };
    if (most > 0.0) {
        q.least = (int)floor(log10(least));
        q.most = (int)ceil(log10(most));
    }
    q.most += q.most == q.least;
    return q;
}

static void put_axis(struct files *f, const struct scale *q)
{
    char text[SCREEN_CELL];
    for (int power = q->least; power <= q->most; power++) {
        const double y = y_of(q, pow(10.0, power));
        sheet_put(f->curves, "%d\t%.1f\t-1\t%d\n%d\t%.1f\t-1\t%d\n\n", AT_LEFT, y, 0xe0e0e0,
                  AT_RIGHT, y, 0xe0e0e0);
        put_words(f, AT_LEFT - 8, y, 1, screen_number(pow(10.0, power), text));
    }
}

static void put_curve(struct files *f, const struct along *a, int n, const struct places *s,
                      const struct scale *q, int curve)
{
    for (int k = 0; k < s->count; k++) {
        const struct along_point *p = point_at(a->look[n], s, k);
        const double v = curve_at(p, curve);
        if (p->kind == ALONG_CONCENTRATE)
            sheet_put(f->curves, "\n");
        if (v >= LEAST)
            sheet_put(f->curves, "%.1f\t%.1f\t%d\t%d\n", s->x[k], y_of(q, v), curve + CURVES * n,
                      curves[curve].colour);
    }
    sheet_put(f->curves, "\n");
}

/* Each sign is drawn in its place, beside its name. */
static void put_key(struct files *f, const struct along *a, const struct scale *q)
{
    double x = AT_LEFT;
    for (int n = 0; n < a->looks; n++)
        for (int c = 0; c < CURVES; c++) {
            char text[WORDS_MAX], day[SCREEN_CELL] = "";
            if (a->looks > 1)
                snprintf(day, sizeof day, ", day %.0f", a->look[n]->t / 86400.0);
            snprintf(text, sizeof text, "%s%s", curves[c].name, day);
            sheet_put(f->curves, "%.1f\t%.1f\t%d\t%d\n\n", x + 240.0 * c, q->low + 18.0 + 17.0 * n,
                      c + CURVES * n, curves[c].colour);
            put_words(f, x + 240.0 * c + 10, q->low + 18.0 + 17.0 * n, -1, text);
        }
}

/* ---- the sheet --------------------------------------------------------------------------------
 */

static void put_title(struct sheet *s, const struct along *a)
{
    char title[WORDS_MAX * 2];
    FILE *out = sheet_open(s, "-title.dat");
    sheet_clean(a->scenario->plan.title, title, WORDS_MAX);
    sheet_put(out, "%s\n", title[0] ? title : "Along the line");
    sheet_close(s, out);
}

enum status along_sheet(struct sheet *s)
{
    const struct along *a = s->source;
    const struct places places = find_places(a);
    const double powers = TITLE_HIGH + a->looks * ROW_HIGH + 34.0;
    struct files f = { sheet_open(s, ".dat"), sheet_open(s, "-words.dat"),
                       sheet_open(s, "-curves.dat") };
    sheet_put(f.boxes, "# left\tright\ttop\tlow\tcolour\n");
    sheet_put(f.words, "# x\ty\tway\tcolour\twords\n");
    sheet_put(f.curves, "# x\ty\tcurve\tcolour\n");
    for (int n = 0; n < a->looks; n++)
        put_row(&f, a, n, &places, TITLE_HIGH + n * ROW_HIGH);
    const struct scale scale = find_scale(a, &places, powers);
    put_words(&f, LEFT - 46, powers - 20.0, -1,
              "Ions, and what conducts hardly or not at all, on one scale of powers of ten");
    put_axis(&f, &scale);
    for (int n = 0; n < a->looks; n++)
        for (int c = 0; c < CURVES; c++)
            put_curve(&f, a, n, &places, &scale, c);
    put_key(&f, a, &scale);
    sheet_close(s, f.boxes);
    sheet_close(s, f.words);
    sheet_close(s, f.curves);
    put_title(s, a);
    FILE *par = sheet_open(s, ".par");
    sheet_put(par, "# size of the figure; the script beside reads it\nwide = %d\nhigh = %d\n",
              WIDTH, (int)powers + POWERS_HIGH + 22 + 17 * a->looks);
    sheet_close(s, par);
    return sheet_status(s);
}

const struct figure along_figures[] = { { "along", along_sheet, NULL }, { NULL, NULL, NULL } };
