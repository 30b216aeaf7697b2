/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film_sheet: the sheets of the moving picture.  All axes and all places are those of the whole
 * film, so that nothing jumps from frame to frame.  Page: docs/film.md.
 */
#include <math.h>
#include <string.h>

#include "film.h"
#include "screen.h"

static const double DAY = 86400.0;     /* s */
static const double THICK = 0.1;       /* share of the sites: room for words */
static const double NEAR_ACROSS = 0.1; /* of the depth, and */
static const double NEAR_UP = 0.09;    /* of the sites: words closer than that cover each other */

enum {
    METERS_HIGH = 85,
    MEMBRANE_HIGH = 140,
    MARK_APART = 130,
    METERS_WIDE = 638,
    RESISTANCES = 4
};

/* ---- resin ------------------------------------------------------------------------------------
 */

static const double *cell_of(const struct film *f, int frame, int cell)
{
    return f->frame[frame].share + (size_t)cell * FILM_LAYERS;
}

/* In the units of the taste. */
static double across(double depth)
{
    return sheet_shown("depth_cm", 100.0 * depth);
}

static double so_far(double litres)
{
    return sheet_shown("product_L", litres);
}

static double depth_of(const struct film_bed *bed, int cell)
{
    return bed->from + bed->depth * (cell + 0.5) / bed->cells;
}

/* A row of edges: each layer on top of the one before; none where there are no such sites. */
static void put_edges(FILE *out, double depth, const double share[])
{
    double edge = 0.0;
    sheet_number(out, across(depth));
    for (int k = 0; k < FILM_LAYERS; k++) {
        edge = k == FILM_ANION_LAYER ? 0.0 : edge;
        edge += isnan(share[k]) ? 0.0 : 100.0 * share[k];
        sheet_number(out, edge);
    }
    sheet_put(out, "\n");
}

/* A bed reaches from edge to edge, not from the middle of its first cell to that of its last. */
static void put_beds(FILE *out, const struct film *f, int frame)
{
    for (int b = 0; b < f->resins; b++) {
        const struct film_bed *bed = &f->resin[b];
        put_edges(out, bed->from, cell_of(f, frame, bed->first));
        for (int i = 0; i < bed->cells; i++)
            put_edges(out, depth_of(bed, i), cell_of(f, frame, bed->first + i));
        put_edges(out, bed->from + bed->depth, cell_of(f, frame, bed->first + bed->cells - 1));
    }
    sheet_put(out, "\n\n");
}

/* ---- words in the bands -----------------------------------------------------------------------
 */

struct named {
    double depth, share; /* of the whole depth; of the sites */
    double thick;
    int layer;
};

/* The middle of a band, weighted by its thickness, so that words drift with it. */
static bool name_band(const struct film *f, int frame, int layer, struct named *out)
{
    double sum = 0.0, at = 0.0, nearest = INFINITY;
    for (int pass = 0; pass < 2; pass++)
        for (int b = 0; b < f->resins; b++)
            for (int i = 0; i < f->resin[b].cells; i++) {
                const double *row = cell_of(f, frame, f->resin[b].first + i);
                const double depth = depth_of(&f->resin[b], i) / f->depth;
                const double thick = row[layer];
                if (!(thick > THICK) || depth < 0.04 || depth > 0.96)
                    continue;
                if (pass == 0) {
                    sum += thick * thick;
                    at += thick * thick * depth;
                } else if (fabs(depth - at / sum) < nearest) {
                    nearest = fabs(depth - at / sum);
                    *out = (struct named){ depth, 0.5 * thick, thick, layer };
                    for (int k = layer < FILM_ANION_LAYER ? 0 : FILM_ANION_LAYER; k < layer; k++)
                        out->share += row[k];
                }
            }
    return sum > 0.0;
}

/* Of two names that would cover each other the thicker band keeps its own. */
static void put_names(FILE *out, const struct film *f, int frame, int first, int after)
{
    struct named list[FILM_LAYERS];
    int count = 0;
    for (int k = first; k < after; k++)
        count += name_band(f, frame, k, &list[count]);
    for (int i = 0; i < count; i++) {
        bool covered = false;
        for (int j = 0; j < count; j++)
            covered |= j != i && list[j].thick > list[i].thick &&
                       fabs(list[j].depth - list[i].depth) < NEAR_ACROSS &&
                       fabs(list[j].share - list[i].share) < NEAR_UP;
        if (!covered)
            sheet_put(out, "%d\t%d\t%.5g\t%.5g\t%s\n", frame + 1, first > 0,
                      across(f->depth * list[i].depth), 100.0 * list[i].share,
                      film_layers[list[i].layer].words);
    }
}

/* A cation bed has no sites for anions. */
static void put_none(FILE *out, const struct film *f, int frame)
{
    for (int b = 0; b < f->resins; b++)
        for (int part = 0; part < 2; part++)
            if (isnan(cell_of(f, frame, f->resin[b].first)[part ? FILM_ANION_LAYER : 0]))
                sheet_put(out, "%d\t%d\t%.5g\t50\tnone\n", frame + 1, part,
                          across(f->resin[b].from + 0.5 * f->resin[b].depth));
}

static void put_resin(struct sheet *s, const struct film *f)
{
    FILE *out = sheet_open(s, ".dat"), *names = sheet_open(s, "-labels.dat");
    sheet_put(out, "# depth, then shares of the sites in %%, stacked:");
    for (int k = 0; k < FILM_LAYERS; k++)
        sheet_put(out, " %s", film_layers[k].name);
    sheet_put(out, "\n");
    sheet_put(names, "# frame\tanion resin\tdepth\tshare\twords\n");
    sheet_put(names, "0\t0\t-1\t-1\t \n"); /* gnuplot 5 crashes on labels that are none */
    for (int n = 0; n < f->frames && f->resins > 0; n++) {
        put_beds(out, f, n);
        put_names(names, f, n, 0, FILM_ANION_LAYER);
        put_names(names, f, n, FILM_ANION_LAYER, FILM_LAYERS);
        put_none(names, f, n);
    }
    sheet_close(s, out);
    sheet_close(s, names);
}

/* ---- carbon and membrane ----------------------------------------------------------------------
 */

static void put_carbon(struct sheet *s, const struct film *f)
{
    FILE *out = sheet_open(s, "-carbon.dat");
    sheet_put(out, "# of the way through the carbon in %%\tsites left in %%\n");
    for (int n = 0; n < f->frames && f->carbons > 0; n++) {
        for (int b = 0; b < f->carbons; b++) {
            const struct film_bed *bed = &f->carbon[b];
            const double *left = f->frame[n].left + bed->first;
            for (int i = -1; i <= bed->cells; i++) {
                const int cell = i < 0 ? 0 : i < bed->cells ? i : bed->cells - 1;
                const double at = i < 0 ? 0.0 : i < bed->cells ? (i + 0.5) / bed->cells : 1.0;
                sheet_put(out, "%.6g\t%.6g\n", 100.0 * (bed->from + at) / f->carbons,
                          100.0 * left[cell]);
            }
        }
        sheet_put(out, "\n\n");
    }
    sheet_close(s, out);
}

static double resistance(const struct film_frame *m)
{
    return m->scale + m->layer + m->biofilm + m->cake;
}

/* From the membrane outward: what stays, then what a rinse can take away. */
static void put_membrane(struct sheet *s, const struct film *f)
{
    FILE *out = sheet_open(s, "-membrane.dat");
    sheet_put(out, "# frame\tresistance in %% of the clean membrane's, stacked: scale\tset\t"
                   "biofilm\tloose\n");
    for (int n = 0; n < f->frames; n++) {
        const struct film_frame *m = &f->frame[n];
        const double part[RESISTANCES] = { m->scale, m->layer, m->biofilm, m->cake };
        double edge = 0.0;
        sheet_put(out, "%d", n + 1);
        for (int i = 0; i < RESISTANCES; i++)
            sheet_put(out, "\t%.6g", edge += 100.0 * part[i]);
        sheet_put(out, "\n");
    }
    sheet_close(s, out);
}

/* ---- readings ---------------------------------------------------------------------------------
 */

static void put_meters(struct sheet *s, const struct film *f)
{
    FILE *out = sheet_open(s, "-meters.dat");
    sheet_put(out, "# product so far\tfeed ppm\tpermeate ppm\tproduct ppm\n");
    for (int i = 0; i < FILM_BINS; i++) {
        if (!(f->bin[i].volume[FILM_METERS - 1] > 0.0))
            continue; /* a parcel went past it */
        sheet_number(out, so_far(film_bin_litres(f, i)));
        for (int m = 0; m < FILM_METERS; m++)
            sheet_number(out, film_reading(f, i, m));
        sheet_put(out, "\n");
    }
    sheet_close(s, out);
}

/* "resin new"; of parts replaced on one day the first, and how many more. */
static void put_mark(FILE *out, const struct film *f, int i)
{
    char name[WORDS_MAX * 2];
    int more = 0;
    for (int k = i + 1; k < f->marks && f->mark[k].t - f->mark[i].t < DAY; k++)
        more++;
    sheet_clean(f->plant->train[f->mark[i].stage].name, name, 16);
    sheet_put(out, "%.7g\t%s", so_far(f->mark[i].litres), name);
    if (more > 0)
        sheet_put(out, " +%d", more);
    sheet_put(out, " new\n");
}

/* Words beside a mark if there is room; all of them are in the answer. */
static void put_marks(struct sheet *s, const struct film *f)
{
    double free_from = -INFINITY;
    FILE *out = sheet_open(s, "-marks.dat");
    sheet_put(out, "# product so far\twords\n");
    sheet_put(out, "-1\t \n");
    for (int i = 0; i < f->marks; i++) {
        const double at = METERS_WIDE * f->mark[i].litres / f->span.litres;
        if (at < free_from) {
            sheet_put(out, "%.7g\t \n", so_far(f->mark[i].litres));
            continue;
        }
        put_mark(out, f, i);
        free_from = at + MARK_APART;
    }
    sheet_close(s, out);
}

static void put_percent(FILE *out, const char *words, double share)
{
    if (isnan(share))
        sheet_put(out, "\t ");
    else
        sheet_put(out, "\t%s %.0f %%", words, 100.0 * share);
}

static void put_frames(struct sheet *s, const struct film *f)
{
    char litres[SCREEN_CELL], number[SCREEN_CELL];
    FILE *out = sheet_open(s, "-frames.dat");
    sheet_put(out, "# frame\tproduct so far\twhen\tfeed\tpermeate\tproduct\tflow\tpassage\n");
    for (int n = 0; n < f->frames; n++) {
        const struct film_frame *m = &f->frame[n];
        sheet_put(out, "%d\t%.7g\tday %.*f: %s of product so far", n + 1, so_far(m->litres),
                  film_day_places(f), m->t / DAY, screen_litres(1e-3 * m->litres, litres));
        for (int k = 0; k < FILM_METERS; k++)
            if (k == 1 && f->plant->membrane < 0)
                sheet_put(out, "\t ");
            else if (isnan(m->reading[k]))
                sheet_put(out, "\t%s -", film_meter_names[k]);
            else
                sheet_put(out, "\t%s %s ppm", film_meter_names[k],
                          screen_number(m->reading[k], number));
        put_percent(out, "flow", m->flow);
        put_percent(out, "salt passage", m->passage);
        sheet_put(out, "\n");
    }
    sheet_close(s, out);
}

/* ---- axes -------------------------------------------------------------------------------------
 */

static void put_axes(struct sheet *s, const struct film *f)
{
    struct panel meters = { .counts = true, .height = METERS_HIGH };
    struct panel membrane = { .height = MEMBRANE_HIGH };
    double most = 0.0, thickest = 0.0;
    for (int i = 0; i < FILM_BINS; i++)
        for (int m = 0; m < FILM_METERS; m++)
            most = fmax(most, film_reading(f, i, m));
    for (int n = 0; n < f->frames; n++)
        thickest = fmax(thickest, 100.0 * resistance(&f->frame[n]));
    sheet_axis(&meters, 0.0, most, 1.0);
    sheet_axis(&membrane, 0.0, thickest, 1.0);
    const double depth = f->resins > 0 ? across(f->depth) : 1.0;
    FILE *par = sheet_open(s, ".par");
    sheet_put(par, "# axes of all frames, and what there is to draw; the script beside reads it\n");
    sheet_put(par, "frames = %d\nlitres = %.7g\nlstep = %.7g\n", f->frames, so_far(f->span.litres),
              sheet_step(so_far(f->span.litres) / 8.0));
    sheet_put(par, "xunit = '%s'\nlunit = '%s'\n", sheet_unit("depth_cm"), sheet_unit("product_L"));
    sheet_put(par, "resin = %d\ncarbon = %d\nmembrane = %d\n", f->resins, f->carbons,
              f->plant->membrane >= 0);
    sheet_put(par, "depth = %.7g\nxstep = %.7g\n", depth, sheet_step(depth / 6.0));
    sheet_put(par, "thickest = %.7g\ntstep = %.7g\n", membrane.high, membrane.step);
    sheet_put(par, "highest = %.7g\nlimit = %.7g\n", meters.high,
              isnan(f->span.limit) ? -1.0 : f->span.limit);
    for (int b = 1; b < f->resins; b++)
        sheet_put(par, "bed%d = %.7g\n", b, across(f->resin[b].from));
    for (int n = 0; n < f->frames; n++)
        sheet_put(par, "now%d = %.7g\n", n + 1, so_far(f->frame[n].litres));
    sheet_close(s, par);
}

static void put_title(struct sheet *s, const struct film *f)
{
    char words[WORDS_MAX * 2];
    sheet_clean(f->plan->title, words, WORDS_MAX);
    FILE *out = sheet_open(s, "-title.dat");
    sheet_put(out, "# title\n%s\n", words[0] ? words : " ");
    sheet_close(s, out);
}

void film_sheet(struct sheet *s, const struct film *f)
{
    put_resin(s, f);
    put_carbon(s, f);
    put_membrane(s, f);
    put_meters(s, f);
    put_marks(s, f);
    put_frames(s, f);
    put_axes(s, f);
    put_title(s, f);
}
