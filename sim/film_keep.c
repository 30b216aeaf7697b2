/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film_keep: the numbers of the frames as CSV, a row for each, and the pictures drawn from them.
 * Page: docs/film.md.
 */
#include <limits.h>
#include <math.h>

#include "film.h"
#include "gnuplot.h"
#include "render.h"

static const double DAY = 86400.0; /* s */

/* ---- CSV --------------------------------------------------------------------------------------
 */

static void put_row(FILE *out, int frame, const char *part, double depth, const char *quantity,
                    double value)
{
    fprintf(out, "%d,\"", frame + 1);
    for (const char *c = part; *c != '\0'; c++)
        fprintf(out, "%s%c", *c == '"' ? "\"" : "", *c);
    fputs("\",", out);
    if (!isnan(depth))
        fprintf(out, "%.4g", depth);
    fprintf(out, ",%s,", quantity);
    if (!isnan(value))
        fprintf(out, "%.6g", value);
    putc('\n', out);
}

static void put_whole(const struct film *f, int n, FILE *out)
{
    static const char *const meters[FILM_METERS] = { "feed_ppm", "permeate_ppm", "product_ppm" };
    const struct film_frame *m = &f->frame[n];
    put_row(out, n, "line", NAN, "day", m->t / DAY);
    put_row(out, n, "line", NAN, "product_L", m->litres);
    for (int k = 0; k < FILM_METERS; k++)
        put_row(out, n, "line", NAN, meters[k], m->reading[k]);
    if (f->plant->membrane < 0)
        return;
    const char *name = f->plant->train[f->plant->membrane].name;
    put_row(out, n, name, NAN, "standard_flow", m->flow);
    put_row(out, n, name, NAN, "standard_passage", m->passage);
    put_row(out, n, name, NAN, "scale_resistance", m->scale);
    put_row(out, n, name, NAN, "set_resistance", m->layer);
    put_row(out, n, name, NAN, "biofilm_resistance", m->biofilm);
    put_row(out, n, name, NAN, "loose_resistance", m->cake);
}

static void put_beds(const struct film *f, int n, FILE *out)
{
    for (int b = 0; b < f->carbons; b++)
        for (int i = 0; i < f->carbon[b].cells; i++)
            put_row(out, n, f->plant->train[f->carbon[b].stage].name,
                    100.0 * (i + 0.5) / f->carbon[b].cells, "sites_left",
                    f->frame[n].left[f->carbon[b].first + i]);
    for (int b = 0; b < f->resins; b++)
        for (int i = 0; i < f->resin[b].cells; i++)
            for (int k = 0; k < FILM_LAYERS; k++)
                put_row(
                    out, n, f->plant->train[f->resin[b].stage].name,
                    100.0 * f->resin[b].depth * (i + 0.5) / f->resin[b].cells, film_layers[k].name,
                    f->frame[n].share[(size_t)(f->resin[b].first + i) * FILM_LAYERS + (size_t)k]);
}

void film_csv(const struct film *f, FILE *out)
{
    fputs("frame,part,depth,quantity,value\n", out);
    for (int n = 0; n < f->frames; n++) {
        put_whole(f, n, out);
        put_beds(f, n, out);
    }
}

/* ---- pictures ---------------------------------------------------------------------------------
 */

/* The gif with as many frames as the film, and an svg of each. */
static enum gnuplot_outcome draw(const struct film *f, const struct sheet *s, const char *path,
                                 struct drawing *d)
{
    enum gnuplot_outcome outcome = gnuplot_draw(path, s->folder, "film.gp", "film.gif", d->stop);
    if (outcome == GNUPLOT_FINE && gnuplot_frames(s->folder, "film.gif") != f->frames) {
        unlinkat(s->folder, "film.gif", 0);
        outcome = GNUPLOT_LIED;
    }
    d->drawn += outcome == GNUPLOT_FINE;
    for (int n = 1; n <= f->frames; n++) {
        char picture[32];
        snprintf(picture, sizeof picture, "film-%03d.svg", n);
        if (gnuplot_frames(s->folder, picture) == 1) {
            d->drawn++;
            continue;
        }
        unlinkat(s->folder, picture, 0);
        if (outcome == GNUPLOT_FINE)
            outcome = GNUPLOT_LIED;
    }
    return outcome;
}

enum status film_draw(const struct film *f, const char *dir, struct drawing *d)
{
    char path[PATH_MAX];
    struct sheet s = { .figure = "film", .source = f };
    *d = (struct drawing){ .stop = d->stop };
    TRY(render_open(dir, &s));
    film_sheet(&s, f);
    render_script(&s, "film.gp");
    enum gnuplot_outcome outcome = gnuplot_find(path, sizeof path);
    if (outcome == GNUPLOT_FINE && !s.failed)
        outcome = draw(f, &s, path, d);
    d->stopped = outcome == GNUPLOT_STOPPED;
    d->trouble = gnuplot_words(outcome);
    render_close(&s);
    return sheet_status(&s);
}
