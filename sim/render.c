/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * render: the figures of a results folder.  Page: docs/figures.md.
 *
 * For each figure this file writes its sheet (thinned data, axes, labels) and a copy of the
 * constant script into DIR/figures, then lets gnuplot draw there.
 */
#include "render.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "embed.h"
#include "figure.h"
#include "gnuplot.h"
#include "rows.h"

/* Writes the sheet of a figure and its script, compiled in under the name `script`. */
static enum status write_sheet(struct sheet *s, const struct figure *f, const char *script)
{
    s->figure = f->name;
    s->failed = s->memory = false;
    TRY(f->write(s));

    return render_script(s, script) ? sheet_status(s) : STATUS_IO;
}

bool render_script(struct sheet *s, const char *script)
{
    const struct embedded *text = embed_find(embedded_plots, script);
    FILE *out = sheet_open(s, ".gp");
    if (text && out)
        fwrite(text->text, 1, text->size, out);
    sheet_close(s, out);
    s->failed |= !text;
    return text != NULL;
}

enum status render_open(const char *dir, struct sheet *s)
{
    const int flags = O_RDONLY | O_DIRECTORY | O_CLOEXEC;

    s->results = open(dir, flags);
    s->folder = -1;
    if (s->results < 0)
        return STATUS_NO_INPUT;
    if (mkdirat(s->results, "figures", 0777) == 0 || errno == EEXIST)
        s->folder = openat(s->results, "figures", flags | O_NOFOLLOW);
    if (s->folder >= 0)
        return STATUS_OK;
    close(s->results);
    return STATUS_NO_OUTPUT;
}

void render_close(struct sheet *s)
{
    close(s->results);
    close(s->folder);
}

/* Draws one figure whose sheet is written; a program that is missing or hangs is not tried again.
 */
static void draw(struct sheet *s, enum gnuplot_outcome *program, const char *path,
                 struct drawing *d)
{
    char script[64], picture[64];

    snprintf(script, sizeof script, "%s.gp", s->figure);
    snprintf(picture, sizeof picture, "%s.svg", s->figure);
    if (*program == GNUPLOT_MISSING || *program == GNUPLOT_HUNG) {
        unlinkat(s->folder, picture, 0);
        return;
    }
    *program = gnuplot_draw(path, s->folder, script, picture, d->stop);
    d->drawn += *program == GNUPLOT_FINE;
    d->stopped = *program == GNUPLOT_STOPPED;
    if (*program != GNUPLOT_FINE)
        d->trouble = gnuplot_words(*program);
}

enum status render_figures(const char *dir, struct drawing *d)
{
    char path[PATH_MAX], script[64];
    const struct figure *list = d->figures ? d->figures : figure_list;
    struct sheet s = { .source = d->source };
    enum gnuplot_outcome program = gnuplot_find(path, sizeof path);
    enum status status = STATUS_OK;

    *d = (struct drawing){ .stop = d->stop, .trouble = gnuplot_words(program) };
    TRY(render_open(dir, &s));
    for (int i = 0;
         list[i].name && !d->stopped && (status == STATUS_OK || status == STATUS_NO_INPUT); i++) {
        snprintf(script, sizeof script, "%s.gp", list[i].name);
        status = write_sheet(&s, &list[i], script);
        if (status == STATUS_OK)
            draw(&s, &program, path, d);
        else if (status == STATUS_NO_INPUT && !d->note)
            d->note = list[i].missing;
    }
    render_close(&s);
    if (rows_failed()) /* pictures of half the data are none */
        return STATUS_NO_INPUT;
    return status == STATUS_NO_INPUT ? STATUS_OK : status;
}

/* ---- in the terminal ---------------------------------------------------------------------- */

/* A folder of our own for the sheets, as the results may not be ours to write. */
static int open_scratch(char path[PATH_MAX])
{
    const char *top = getenv("TMPDIR");

    snprintf(path, PATH_MAX, "%s/leat-XXXXXX", top && *top == '/' ? top : "/tmp");
    return mkdtemp(path) ? open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
}

static void remove_scratch(int folder, const char *path)
{
    static const char *const ending[] = { ".gp",         ".par",       ".dat",       "-labels.dat",
                                          "-limits.dat", "-marks.dat", "-power.dat", "-supply.dat",
                                          "-title.dat",  "-dates.dat", "-size.par" };
    char name[64];

    for (int i = 0; figure_list[i].name; i++)
        for (size_t j = 0; j < sizeof ending / sizeof *ending; j++) {
            snprintf(name, sizeof name, "%s%s", figure_list[i].name, ending[j]);
            unlinkat(folder, name, 0);
        }
    close(folder);
    rmdir(path);
}

static enum status show_all(struct sheet *s, const char *path, int columns, FILE *out,
                            struct drawing *d)
{
    char script[64];

    for (int i = 0; figure_list[i].name; i++) {
        snprintf(script, sizeof script, "%s_terminal.gp", figure_list[i].name);
        const enum status status = write_sheet(s, &figure_list[i], script);
        if (status == STATUS_NO_INPUT)
            continue;
        TRY(status);
        FILE *size = sheet_open(s, "-size.par");
        sheet_put(size, "columns = %d\n", columns < 40 ? 40 : columns > 400 ? 400 : columns);
        sheet_close(s, size);
        snprintf(script, sizeof script, "%s.gp", figure_list[i].name);
        const enum gnuplot_outcome outcome = gnuplot_run(path, s->folder, script, out, d->stop);
        d->stopped = outcome == GNUPLOT_STOPPED;
        if (outcome != GNUPLOT_FINE)
            d->trouble = gnuplot_words(outcome);
        if (outcome == GNUPLOT_HUNG || d->stopped)
            break;
    }
    return fflush(out) == 0 && !ferror(out) ? STATUS_OK : STATUS_IO;
}

enum status render_terminal(const char *dir, int columns, FILE *out, struct drawing *d)
{
    char path[PATH_MAX], scratch[PATH_MAX];
    struct sheet s = { .figure = "" };
    const enum gnuplot_outcome program = gnuplot_find(path, sizeof path);

    *d = (struct drawing){ .stop = d->stop, .trouble = gnuplot_words(program) };
    if (program != GNUPLOT_FINE)
        return STATUS_OK;
    s.results = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (s.results < 0)
        return STATUS_NO_INPUT;
    s.folder = open_scratch(scratch);
    const enum status status =
        s.folder < 0 ? STATUS_NO_OUTPUT : show_all(&s, path, columns, out, d);
    if (s.folder >= 0)
        remove_scratch(s.folder, scratch);
    close(s.results);
    return status;
}
