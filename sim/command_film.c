/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_film: leat along FILE --animate: frames in the terminal, or the moving picture and its
 * numbers in a folder.  Page: docs/film.md.
 */
#include "command.h"

#include <stdlib.h>

#include "film.h"
#include "progress.h"
#include "resolved.h"
#include "results.h"
#include "screen.h"
#include "text.h"

struct session {
    const struct options *options;
    const struct scenario *scenario;
    struct film film;
    struct results results; /* with -o only */
    struct drawing drawing;
    char words[RESULTS_WORDS];
};

static enum status complain(const char *words, enum status status)
{
    char shown[RESULTS_WORDS];
    fprintf(stderr, "leat along: %s\n",
            words[0] ? text_escape(words, shown, sizeof shown) : status_words(status));
    return status;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

static void write_frames(const struct film *f, FILE *out)
{
    film_tell(f, out);
    for (int n = 0; n < f->frames; n++) {
        putc('\n', out);
        film_text_frame(f, n, out);
    }
}

static enum status write_files(struct session *s)
{
    struct results *r = &s->results;
    const struct feed_log *log = s->scenario->plant.feed.log;
    FILE *csv = results_file(r, "film.csv"), *words = results_file(r, "film.txt");
    FILE *resolved = results_file(r, "scenario.resolved.cfg");
    FILE *readings = log ? results_file(r, RESOLVED_LOG) : NULL;
    if (!csv || !words || !resolved || (log && !readings))
        return STATUS_IO;
    film_csv(&s->film, csv);
    write_frames(&s->film, words);
    resolved_write(s->scenario, resolved);
    if (log)
        resolved_write_log(log, readings);
    return results_flush(r);
}

static enum status draw(struct session *s)
{
    if (s->options->no_figures)
        return STATUS_OK;
    s->drawing = (struct drawing){ .stop = &command_stop };
    TRY(film_draw(&s->film, s->results.temporary, &s->drawing));
    command_drawn("along", &s->results, &s->drawing);
    return STATUS_OK;
}

/* ---- the film ---------------------------------------------------------------------------------
 */

static enum status record(struct session *s)
{
    struct progress progress;
    char words[RUN_WORDS] = "";
    progress_begin(&progress, !s->options->quiet);
    const struct film_options options = { .frames = s->options->frames,
                                          .progress = progress_show,
                                          .progress_self = &progress,
                                          .stop = &command_stop };
    const enum status status =
        film_record(&s->film, &s->scenario->plant, &s->scenario->plan, &options, words);
    progress_end(&progress);
    text_copy(s->words, sizeof s->words, words);
    return status == STATUS_OK ? status : complain(words, status);
}

static enum status record_and_keep(struct session *s)
{
    const struct options *o = s->options;
    TRY(command_open_folder("along", o->output, o->force, &s->results));
    enum status status = record(s);
    if (!o->output)
        return status;
    const bool recorded = status == STATUS_OK;
    if (status == STATUS_OK)
        status = write_files(s);
    if (status == STATUS_OK)
        status = draw(s);
    status = command_close_folder(&s->results, status, o->seed, s->words);
    if (recorded && (status != STATUS_OK || s->words[0] != '\0'))
        complain(s->words, status);
    return status;
}

static void tell_next(const struct session *s)
{
    char file[4096], folder[RESULTS_PATH];
    screen_argument(s->options->operand, file, sizeof file);
    if (!s->options->output) {
        printf("Next: leat along %s --animate -o DIR\n", file);
        return;
    }
    text_escape(s->results.final, folder, sizeof folder);
    printf("\nResults: %s/\n", folder);
    if (s->drawing.drawn > 0)
        printf("Pictures: %s/figures/film.gif and %d frames beside it\n", folder,
               s->drawing.drawn - 1);
    printf("Next: leat life %s\n", file);
}

static enum status tell(const struct session *s)
{
    const struct options *o = s->options;
    if (o->format == FORMAT_CSV) {
        film_csv(&s->film, stdout);
        return STATUS_OK;
    }
    const bool moving = !o->output || o->terminal;
    if (moving && !film_text(&s->film, stdout, &command_stop))
        return STATUS_INTERRUPTED;
    if (moving)
        putchar('\n');
    film_tell(&s->film, stdout);
    tell_next(s);
    return s->drawing.stopped ? STATUS_INTERRUPTED : STATUS_OK;
}

enum status command_film(const struct scenario *scenario, const struct options *o)
{
    if (o->format == FORMAT_JSON)
        return complain("a film has no JSON: its numbers are --format csv", STATUS_USAGE);
    struct session *s = calloc(1, sizeof *s);
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    s->scenario = scenario;
    enum status status = record_and_keep(s);
    if (status == STATUS_OK)
        status = tell(s);
    film_free(&s->film);
    free(s);
    return status;
}
