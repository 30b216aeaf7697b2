/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_sweep: what if a value were another?  Page: docs/sweep.md.
 */
#include "command.h"

#include <stdlib.h>

#include "progress.h"
#include "render.h"
#include "screen.h"
#include "sweep.h"
#include "text.h"

struct session {
    const struct options *options;
    struct scenario scenario;
    struct sweep sweep;
    json_t *json;
    struct results results; /* with -o only */
    struct drawing drawing;
    char words[RESULTS_WORDS];
};

static enum status complain(const char *words, enum status status)
{
    char shown[RESULTS_WORDS];
    fprintf(stderr, "leat sweep: %s\n",
            words[0] ? text_escape(words, shown, sizeof shown) : status_words(status));
    return status;
}

/* ---- before -----------------------------------------------------------------------------------
 */

static enum status load(struct session *s, struct report *report)
{
    const struct options *o = s->options;
    const enum status status = scenario_load(o->operand, o->sets, &s->scenario, report);
    report_print(report, stderr, o->color);
    return status == STATUS_OK ? status : complain("", status);
}

static enum status plan(struct session *s, struct progress *progress)
{
    const struct options *o = s->options;
    const struct sweep_options options = { .file = o->operand,
                                           .sets = o->sets,
                                           .vary = o->varies,
                                           .varied = o->vary_count,
                                           .samples = o->sample,
                                           .seed = o->seed,
                                           .crew = { .jobs = o->jobs,
                                                     .progress = progress_show,
                                                     .progress_self = progress,
                                                     .stop = &command_stop } };
    char words[SWEEP_COMPLAINT] = "";
    const enum status status = sweep_plan(&s->sweep, &s->scenario, &options, words);
    return status == STATUS_OK ? status : complain(words, status);
}

/* Every row is read before the first is run: all that is wrong in one pass. */
static enum status check(struct session *s, const struct report *known)
{
    struct report *report = report_create();
    int refused = 0;
    if (!report)
        return complain("", STATUS_MEMORY);
    const enum status status = sweep_check(&s->sweep, known, report, &refused);
    report_print(report, stderr, s->options->color);
    report_free(report);
    if (status != STATUS_SCENARIO)
        return status == STATUS_OK ? status : complain("", status);
    fprintf(stderr, "leat sweep: %d of %d rows are refused; nothing was run\n", refused,
            s->sweep.rows);
    return status;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

static enum status open_folder(struct session *s)
{
    const struct options *o = s->options;
    if (!o->output)
        return STATUS_OK;
    const enum status status = results_open(&s->results, o->output, o->force, s->words);
    return s->words[0] != '\0' ? complain(s->words, status) : status;
}

static enum status draw(struct session *s)
{
    if (s->options->no_figures)
        return STATUS_OK;
    s->drawing =
        (struct drawing){ .figures = sweep_figures, .source = &s->sweep, .stop = &command_stop };
    TRY(render_figures(s->results.temporary, &s->drawing));
    if (s->drawing.stopped) { /* half a set of pictures is none */
        results_drop(&s->results, "figures");
        complain("interrupted while drawing: the folder is whole, without pictures", STATUS_OK);
        s->drawing = (struct drawing){ .stopped = true };
    } else {
        results_add_all(&s->results, "figures");
    }
    if (s->drawing.trouble)
        complain(s->drawing.trouble, STATUS_OK);
    return STATUS_OK;
}

/* Whole, or nothing is left of it. */
static enum status close_folder(struct session *s, enum status status)
{
    s->words[0] = '\0';
    if (!s->options->output)
        return status;
    if (status == STATUS_OK) {
        status = results_commit(&s->results, s->options->seed, s->words);
    } else {
        if (status == STATUS_IO && s->results.error != 0)
            results_explain(&s->results, s->words);
        results_abandon(&s->results);
    }
    return status;
}

/* ---- running ----------------------------------------------------------------------------------
 */

static enum status find(struct session *s, struct progress *progress)
{
    progress_begin(progress, !s->options->quiet);
    const enum status status = sweep_run(&s->sweep);
    progress_end(progress);
    if (status != STATUS_OK)
        return status;
    s->json = sweep_json(&s->sweep);
    return s->json ? STATUS_OK : STATUS_MEMORY;
}

static enum status find_and_keep(struct session *s, struct progress *progress)
{
    TRY(open_folder(s));
    enum status status = find(s, progress);
    if (status == STATUS_OK && s->options->output)
        status = sweep_keep(&s->sweep, s->json, &s->results);
    if (status == STATUS_OK && s->options->output)
        status = draw(s);
    status = close_folder(s, status);
    if (status != STATUS_OK && s->sweep.failed) {
        char row[SWEEP_ROW_WORDS];
        snprintf(s->words, sizeof s->words, "%s: %s",
                 sweep_row_name(&s->sweep, s->sweep.failed, row), status_words(status));
    }
    if (status != STATUS_OK || s->words[0] != '\0')
        complain(s->words, status);
    return status;
}

/* ---- what is said -----------------------------------------------------------------------------
 */

static void tell_folder(const struct session *s)
{
    char folder[RESULTS_PATH];
    if (!s->options->output)
        return;
    text_escape(s->results.final, folder, sizeof folder);
    printf("\nResults: %s/\n", folder);
    if (s->drawing.drawn > 0)
        printf("Pictures: %s/figures/ (%d)\n", folder, s->drawing.drawn);
}

/* The cheapest row of a grid, to be looked at closely. */
static void tell_next(const struct session *s)
{
    const struct sweep *w = &s->sweep;
    char file[4096], set[PATH_LENGTH + VARY_WORD + 2], quoted[4096];
    printf("%sNext: leat run %s", s->options->output ? "" : "\n",
           screen_argument(s->options->operand, file, sizeof file));
    const int row = sweep_cheapest(w);
    for (int k = 0; w->options.samples == 0 && k < w->parameters; k++) {
        snprintf(set, sizeof set, "%s=%s", w->parameter[k].key, w->row[row].point[k].word);
        printf(" --set %s", screen_argument(set, quoted, sizeof quoted));
    }
    putchar('\n');
}

static void tell(const struct session *s)
{
    const struct options *o = s->options;
    if (o->format == FORMAT_JSON) {
        json_dumpf(s->json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(9));
        putchar('\n');
        return;
    }
    if (o->format == FORMAT_CSV) {
        sweep_csv(&s->sweep, stdout);
        return;
    }
    sweep_print(&s->sweep, stdout);
    if (o->terminal)
        sweep_picture(&s->sweep, stdout);
    tell_folder(s);
    tell_next(s);
}

static bool is_broken(const struct sweep *s)
{
    const int limits = sweep_answer_named(s, "limits_broken");
    for (int i = 0; i < s->rows; i++)
        if (s->row[i].answer[limits] > 0.0)
            return true;
    return false;
}

static enum status answer(struct session *s, const struct report *known)
{
    struct progress progress;
    TRY(plan(s, &progress));
    TRY(check(s, known));
    TRY(find_and_keep(s, &progress));
    tell(s);
    if (s->drawing.stopped)
        return STATUS_INTERRUPTED;
    return is_broken(&s->sweep) ? STATUS_LIMIT : STATUS_OK;
}

enum status command_sweep(const struct options *o)
{
    struct session *s = calloc(1, sizeof *s);
    struct report *report = report_create();
    enum status status = STATUS_MEMORY;
    if (s && report) {
        s->options = o;
        status = load(s, report);
        if (status == STATUS_OK) {
            status = answer(s, report);
            scenario_free(&s->scenario);
        }
        sweep_free(&s->sweep);
        json_decref(s->json);
    } else {
        complain("", status);
    }
    report_free(report);
    free(s);
    return status;
}
