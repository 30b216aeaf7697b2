/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_sweep: what if a value were another?  Page: docs/sweep.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "progress.h"
#include "render.h"
#include "screen.h"
#include "sweep.h"
#include "text.h"

struct session {
    const struct options *options;
    const struct scenario *scenario;
    struct cases *cases; /* NULL: none */
    bool gathered;       /* from parts: nothing is run here */
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

static enum status plan(struct session *s, struct progress *progress)
{
    const struct options *o = s->options;
    const struct sweep_options options = { .file = s->gathered ? NULL : o->operand,
                                           .sets = o->sets,
                                           .vary = o->varies,
                                           .varied = o->vary_count,
                                           .samples = o->sample,
                                           .seed = o->seed,
                                           .crew = { .jobs = o->jobs,
                                                     .progress = progress_show,
                                                     .progress_self = progress,
                                                     .stop = &command_stop },
                                           .cases = s->cases };
    char words[SWEEP_COMPLAINT] = "";
    const enum status status = sweep_plan(&s->sweep, s->scenario, &options, words);
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

static enum status draw(struct session *s)
{
    if (s->options->no_figures)
        return STATUS_OK;
    s->drawing =
        (struct drawing){ .figures = sweep_figures, .source = &s->sweep, .stop = &command_stop };
    TRY(render_figures(s->results.temporary, &s->drawing));
    command_drawn("sweep", &s->results, &s->drawing);
    return STATUS_OK;
}

/* Whole, or nothing is left of it; a part of a sweep leaves none. */
static enum status close_folder(struct session *s, enum status status)
{
    s->words[0] = '\0';
    if (!s->options->output)
        return status;
    if (status != STATUS_OK || !cases_partial(s->cases))
        return command_close_folder(&s->results, status, s->options->seed, s->words);
    results_abandon(&s->results);
    return status;
}

/* ---- running ----------------------------------------------------------------------------------
 */

static enum status find(struct session *s, struct progress *progress)
{
    progress_begin(progress, !s->options->quiet);
    const enum status status = sweep_run(&s->sweep);
    progress_end(progress);
    if (status != STATUS_OK || cases_partial(s->cases))
        return status;
    s->json = sweep_json(&s->sweep);
    return s->json ? STATUS_OK : STATUS_MEMORY;
}

static enum status find_and_keep(struct session *s, struct progress *progress)
{
    const struct options *o = s->options;
    TRY(command_open_folder("sweep", o->output, o->force, &s->results));
    enum status status = find(s, progress);
    const bool kept = o->output && !cases_partial(s->cases);
    if (status == STATUS_OK && kept)
        status = sweep_keep(&s->sweep, s->json, &s->results);
    if (status == STATUS_OK && kept)
        status = draw(s);
    status = close_folder(s, status);
    if (status != STATUS_OK && cases_trouble(s->cases)[0] != '\0') {
        text_copy(s->words, sizeof s->words, cases_trouble(s->cases));
    } else if (status != STATUS_OK && s->sweep.failed) {
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

/* The cheapest row of a grid, to be looked at closely. */
static void tell_next(const struct session *s)
{
    const struct sweep *w = &s->sweep;
    char set[PATH_LENGTH + VARY_WORD + 2], quoted[4096];
    if (!s->options->output)
        putchar('\n');
    command_say_run(s->options->operand);
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
    if (s->options->output)
        command_tell_folder(&s->results, &s->drawing);
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

static enum status find_and_tell(struct session *s, struct progress *progress)
{
    TRY(find_and_keep(s, progress));
    if (cases_partial(s->cases)) {
        command_store_part(s->options, s->cases);
        return STATUS_OK;
    }
    tell(s);
    if (s->drawing.stopped)
        return STATUS_INTERRUPTED;
    return is_broken(&s->sweep) ? STATUS_LIMIT : STATUS_OK;
}

/* ---- what is kept of rows ---------------------------------------------------------------------
 */

/* The options that change the answer, as a person may type them. */
static bool write_options(const struct options *o, struct cases_of *of)
{
    bool fits = true;
    *of = (struct cases_of){ .verb = "sweep" };
    char *text = of->options;
    if (o->sample > 0)
        text_append(text, CASES_OPTIONS, "--seed %lu --sample %d", o->seed, o->sample);
    for (int i = 0; i < o->vary_count; i++) {
        const bool sound = !strchr(o->varies[i], '\'');
        fits =
            text_append(text, CASES_OPTIONS, "%s--vary '%s'", text[0] ? " " : "", o->varies[i]) &&
            sound && fits;
    }
    return fits;
}

bool command_sweep_read(struct options *o, const char *text)
{
    static char room[CASES_OPTIONS]; /* the texts are used as long as the program lives */
    struct cases_of same;
    text_copy(room, sizeof room, text);
    if (strncmp(room, "--seed ", 7) == 0 &&
        sscanf(room, "--seed %lu --sample %d", &o->seed, &o->sample) != 2)
        return false;
    o->vary_count = 0;
    for (char *at = room; (at = strstr(at, "--vary '")) != NULL && o->vary_count < SWEEP_KEYS;) {
        o->varies[o->vary_count++] = at += sizeof "--vary '" - 1;
        at += strcspn(at, "'");
        if (*at != '\0')
            *at++ = '\0';
    }
    return write_options(o, &same) && strcmp(same.options, text) == 0;
}

static enum status answer(struct session *s, const struct report *known)
{
    const struct options *o = s->options;
    struct progress progress;
    struct cases_of of;
    TRY(plan(s, &progress));
    TRY(check(s, known));
    if ((o->keep || o->resume) && !write_options(o, &of))
        return complain("what --vary says is too long to be kept, or has a quote in it",
                        STATUS_USAGE);
    if (o->parts > 0 && o->vary_count == 0)
        return complain("a sample of spreads cannot be split: give ranges by --vary", STATUS_USAGE);
    if (o->keep || o->resume)
        TRY(command_store_open(s->scenario, o, &of, &s->cases));
    s->sweep.options.cases = s->cases;
    const enum status status = find_and_tell(s, &progress);
    if (status == STATUS_INTERRUPTED && s->cases)
        command_store_stopped(o, &of, s->cases);
    cases_free(s->cases);
    return status;
}

/* ---- the verb ---------------------------------------------------------------------------------
 */

static void end(struct session *s)
{
    sweep_free(&s->sweep);
    json_decref(s->json);
    free(s);
}

enum status command_sweep_of(const struct scenario *scenario, const struct options *o,
                             struct cases *cases)
{
    struct session *s = calloc(1, sizeof *s);
    struct progress progress;
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    s->scenario = scenario;
    s->cases = cases;
    s->gathered = true;
    enum status status = plan(s, &progress);
    if (status == STATUS_OK)
        status = find_and_tell(s, &progress);
    end(s);
    return status;
}

static enum status sweep_in(const struct scenario *scenario, const struct options *o,
                            const struct report *known)
{
    struct session *s = calloc(1, sizeof *s);
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    s->scenario = scenario;
    const enum status status = answer(s, known);
    end(s);
    return status;
}

enum status command_sweep(const struct options *o)
{
    struct scenario *s = calloc(1, sizeof *s);
    struct report *report = report_create();
    enum status status = STATUS_MEMORY;
    if (s && report) {
        status = scenario_load(o->operand, o->sets, s, report);
        report_print(report, stderr, o->color);
    }
    if (status == STATUS_OK) {
        status = sweep_in(s, o, report);
        scenario_free(s);
    } else {
        complain("", status);
    }
    report_free(report);
    free(s);
    return status;
}
