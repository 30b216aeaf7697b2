/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_figure: see rinse_figure.h.  The script is constant; numbers and words go in as data.
 */
#include "rinse_figure.h"

#include <limits.h>
#include <math.h>

#include "gnuplot.h"
#include "render.h"
#include "sheet.h"

enum { FINER = 4 };

static const double OCTAVE = 4.0; /* places */

/* Per cent over the best of the map. */
static void put_map(struct sheet *s, const struct rinse_found *f)
{
    const struct rinse_map *m = &f->map;
    const double best = m->cost[m->best_i][m->best_j];
    FILE *out = sheet_open(s, ".dat");
    sheet_put(out,
              "# octaves over 15 min\toctaves over 10 s\tper cent over the best\tevery h\tfor s\n");
    for (int j = 0; j <= FINER * (RINSE_MAP_J - 1); j++) {
        for (int i = 0; i <= FINER * (RINSE_MAP_I - 1); i++) {
            const double u = (double)i / FINER, v = (double)j / FINER;
            sheet_put(out, "%.6g\t%.6g\t%.5g\t%.6g\t%.6g\n", u / OCTAVE, v / OCTAVE,
                      100.0 * (rinse_map_cost(m, u, v) / best - 1.0), rinse_map_every(u) / 3600.0,
                      rinse_map_for(v));
        }
        sheet_put(out, "\n");
    }
    sheet_close(s, out);
}

static void put_places(struct sheet *s, const struct rinse_found *f)
{
    const struct rinse_map *m = &f->map;
    FILE *out = sheet_open(s, "-places.dat");
    sheet_put(out, "# octaves over 15 min\tover 10 s of what was run\n");
    for (int i = 0; i < RINSE_MAP_I; i++)
        for (int j = 0; j < RINSE_MAP_J; j++)
            if (m->known[i][j])
                sheet_put(out, "%.6g\t%.6g\n", i / OCTAVE, j / OCTAVE);
    sheet_close(s, out);
}

static void put_words(struct sheet *s, const struct rinse_found *f)
{
    const struct rinse_map *m = &f->map;
    const double best = m->cost[m->best_i][m->best_j];
    char title[WORDS_MAX * 2];
    FILE *out = sheet_open(s, "-best.dat");
    sheet_put(out, "# octaves over 15 min\tover 10 s\twords\n%.6g\t%.6g\tbest %.2f\n",
              m->best_i / OCTAVE, m->best_j / OCTAVE, best);
    sheet_close(s, out);
    out = sheet_open(s, "-title.dat");
    sheet_clean(f->scenario->plan.title, title, WORDS_MAX);
    sheet_put(out, "%s\n", title[0] ? title : "Rinses");
    sheet_close(s, out);
    out = sheet_open(s, ".par");
    sheet_put(out, "none = %.6g\n", 100.0 * (f->way[RINSE_NONE].money / best - 1.0));
    sheet_close(s, out);
}

enum status rinse_figure(const char *dir, const struct rinse_found *f,
                         const volatile sig_atomic_t *stop, const char **trouble)
{
    char path[PATH_MAX];
    struct sheet s = { .figure = "rinse" };
    *trouble = NULL;
    if (f->map.best_i < 0)
        return STATUS_OK;
    TRY(render_open(dir, &s));
    put_map(&s, f);
    put_places(&s, f);
    put_words(&s, f);
    render_script(&s, "rinse.gp");
    enum gnuplot_outcome outcome = gnuplot_find(path, sizeof path);
    if (outcome == GNUPLOT_FINE && !s.failed)
        outcome = gnuplot_draw(path, s.folder, "rinse.gp", "rinse.svg", stop);
    *trouble = gnuplot_words(outcome);
    render_close(&s);
    return sheet_status(&s);
}
