/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_along: part by part of the line at a date.  Page: docs/along.md.
 */
#include "command.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "along_explain.h"
#include "along_sheet.h"
#include "memory.h"
#include "progress.h"
#include "render.h"
#include "results.h"
#include "screen.h"
#include "text.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat along: %s\n", words[0] ? words : status_words(status));
    return status;
}

static void put_explained(const struct along *a, FILE *out)
{
    static struct explain e;
    along_explain(a, &e, NULL, out);
}

static enum status tell_part(const struct along *a, const char *only)
{
    static struct explain e;
    char *told = NULL, shown[SCREEN_CELL];
    size_t size = 0;
    FILE *out = memory_stream(&told, &size);
    if (!out)
        return complain("", STATUS_MEMORY);
    along_explain(a, &e, only, out);
    fclose(out);
    if (e.shown > 0) {
        fputs(told, stdout);
    } else {
        fprintf(stderr, "leat along: no title has \"%s\" in it.  There are:\n  ",
                text_escape(only, shown, sizeof shown));
        screen_wrap(stderr, 2, 2, e.passed);
    }
    free(told);
    return e.shown > 0 ? STATUS_OK : STATUS_USAGE;
}

/* ---- a folder ---------------------------------------------------------------------------------
 */

struct session {
    const struct options *options;
    struct along along;
    struct results results; /* with -o only */
    struct drawing drawing;
};

static enum status write_files(struct session *s)
{
    static const struct {
        const char *name;
        void (*write)(const struct along *a, FILE *out);
    } tables[] = { { "line.csv", along_csv },
                   { "answer.txt", along_print },
                   { "explain.txt", put_explained } };
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        FILE *out = results_file(&s->results, tables[i].name);
        if (!out)
            return STATUS_IO;
        tables[i].write(&s->along, out);
    }
    json_t *json = along_json(&s->along);
    FILE *out = json ? results_file(&s->results, "along.json") : NULL;
    const bool fine = out && json_dumpf(json, out, JSON_INDENT(2) | JSON_REAL_PRECISION(9)) == 0;
    json_decref(json);
    if (!fine)
        return json ? STATUS_IO : STATUS_MEMORY;
    fputc('\n', out);
    return results_flush(&s->results);
}

static enum status draw(struct session *s)
{
    if (s->options->no_figures)
        return STATUS_OK;
    s->drawing =
        (struct drawing){ .figures = along_figures, .source = &s->along, .stop = &command_stop };
    TRY(render_figures(s->results.temporary, &s->drawing));
    command_drawn("along", &s->results, &s->drawing);
    return STATUS_OK;
}

/* Whole, or nothing is left of it. */
static enum status keep(struct session *s)
{
    char words[RESULTS_WORDS] = "";
    enum status status = write_files(s);
    if (status == STATUS_OK)
        status = draw(s);
    status = command_close_folder(&s->results, status, 0, words);
    return status != STATUS_OK || words[0] ? complain(words, status) : status;
}

/* ---- what is said -----------------------------------------------------------------------------
 */

static void tell_next(const struct session *s)
{
    char file[4096];
    screen_argument(s->options->operand, file, sizeof file);
    if (s->along.looks == 1)
        printf("%sNext: leat along %s --compare \"%.0f days\"\n", s->options->output ? "" : "\n",
               file, floor(s->along.scenario->plan.length / 86400.0));
    else
        printf("%sNext: leat life %s\n", s->options->output ? "" : "\n", file);
}

static enum status tell(const struct session *s)
{
    const struct options *o = s->options;
    if (o->format == FORMAT_JSON)
        return command_tell_json(along_json(&s->along));
    if (o->format == FORMAT_CSV) {
        along_csv(&s->along, stdout);
        return STATUS_OK;
    }
    if (o->only)
        return tell_part(&s->along, o->only);
    along_print(&s->along, stdout);
    if (o->explain)
        put_explained(&s->along, stdout);
    if (o->terminal)
        along_picture(&s->along, stdout);
    if (s->options->output)
        command_tell_folder(&s->results, &s->drawing);
    tell_next(s);
    return STATUS_OK;
}

/* ---- the verb ---------------------------------------------------------------------------------
 */

static enum status take_moments(const struct scenario *s, const struct options *o,
                                struct along_options *out)
{
    char words[SCENARIO_WORDS] = "";
    if (o->explain && o->format != FORMAT_TABLE)
        return complain("--explain goes with the table: leave out --format", STATUS_USAGE);
    if (o->only && (!o->explain || o->output))
        return complain("--only goes with --explain, and without --output", STATUS_USAGE);
    out->at[0] = 0.0;
    out->looks = o->compare ? 2 : 1;
    if (o->at && !scenario_when(s, o->at, &out->at[0], words))
        return complain(words, STATUS_USAGE);
    if (o->compare && !scenario_when(s, o->compare, &out->at[1], words))
        return complain(words, STATUS_USAGE);
    return STATUS_OK;
}

static enum status find(struct session *s, const struct scenario *scenario)
{
    char words[ALONG_TEXT] = "";
    struct progress progress;
    struct along_options options = { .progress = progress_show,
                                     .progress_self = &progress,
                                     .stop = &command_stop };
    TRY(take_moments(scenario, s->options, &options));
    progress_begin(&progress, !s->options->quiet);
    const enum status status = along_find(&s->along, scenario, &options, words);
    progress_end(&progress);
    return status == STATUS_OK ? status : complain(words, status);
}

static enum status answer(struct session *s, const struct scenario *scenario)
{
    const struct options *o = s->options;
    TRY(command_open_folder("along", o->output, o->force, &s->results));
    enum status status = find(s, scenario);
    if (o->output && status == STATUS_OK)
        status = keep(s);
    else if (o->output)
        results_abandon(&s->results);
    if (status == STATUS_OK)
        status = tell(s);
    return status == STATUS_OK && s->drawing.stopped ? STATUS_INTERRUPTED : status;
}

static enum status find_and_tell(const struct scenario *scenario, const struct options *o)
{
    struct session *s = calloc(1, sizeof *s);
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    const enum status status = answer(s, scenario);
    along_free(&s->along);
    free(s);
    return status;
}

enum status command_along(const struct options *o)
{
    return command_with_scenario(o, "along", o->animate ? command_film : find_and_tell);
}
