/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_run: loads a scenario, simulates it, leaves a results folder, says what was found.
 * Pages: docs/commands.md, docs/results.md.
 */
#include "command.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "findings.h"
#include "origin.h"
#include "progress.h"
#include "recorder.h"
#include "render.h"
#include "resolved.h"
#include "results.h"
#include "saved.h"
#include "scenario.h"
#include "screen.h"
#include "text.h"

struct session {
    const struct options *options;
    struct scenario scenario;
    struct results results;
    struct recorder recorder;
    struct summary summary;
    struct run_figures figures;
    json_t *json;              /* the summary */
    bool interrupted, stopped; /* by a person, or where --until said */
    double until;              /* s */
    struct saved *saved;       /* read by --resume, or left when the run stopped early */
    struct drawing drawing;
    char target[RESULTS_PATH];
    char words[RESULTS_WORDS];
};

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat run: %s\n", words[0] ? words : status_words(status));
    return status;
}

/* ---- before -----------------------------------------------------------------------------------
 */

static enum status load(struct session *s)
{
    const struct options *o = s->options;
    struct report *report = report_create();
    if (!report)
        return complain("", STATUS_MEMORY);
    const enum status status = scenario_load(o->operand, o->sets, &s->scenario, report);
    report_print(report, stderr, o->color);
    report_free(report);
    return status == STATUS_OK ? status : complain("", status);
}

static void choose_target(struct session *s)
{
    const struct options *o = s->options;
    if (o->output) {
        if (!text_copy(s->target, sizeof s->target, o->output))
            s->target[0] = '\0';
        return;
    }
    command_results_of(o->operand, s->target);
}

static enum status open_results(struct session *s)
{
    choose_target(s);
    return command_open_folder("run", s->target, s->options->force, &s->results);
}

/* ---- the run ----------------------------------------------------------------------------------
 */

/* Observers as they were, or fresh. */
static enum status set_out(struct session *s)
{
    summary_init(&s->summary);
    if (!s->options->resume)
        return recorder_open(&s->recorder, &s->results, &s->scenario.plan);
    s->summary = s->saved->summary;
    const enum status status = recorder_continue(&s->recorder, &s->results, &s->scenario.plan,
                                                 s->options->resume, &s->saved->recorder, s->words);
    return status == STATUS_NO_INPUT ? complain(s->words, status) : status;
}

/* What is needed to go on; before the end is told, which carries what is under way. */
static enum status keep(struct session *s, const struct run *run)
{
    run_save(run, &s->saved->run);
    TRY(saved_fill(s->saved, &s->scenario, &s->summary, &s->recorder));
    FILE *f = results_file(&s->results, SAVED_NAME);
    if (!f)
        return STATUS_IO;
    saved_write(s->saved, f);
    return STATUS_OK;
}

static enum status go(struct session *s, struct run *run)
{
    enum status status = STATUS_OK;
    if (s->options->resume)
        run_restore(run, &s->saved->run);
    else
        status = run_begin(run);
    if (status == STATUS_OK)
        status = run_until(run, s->until);
    if (status == STATUS_OK || status == STATUS_INTERRUPTED) {
        s->interrupted = status == STATUS_INTERRUPTED;
        s->stopped = !s->interrupted && run_time(run) < s->scenario.plan.length;
        if (s->interrupted || s->stopped)
            TRY(keep(s, run));
        run_end(run);
    }
    char words[RUN_WORDS];
    run_explain(run, status, words);
    s->figures = run_worked(run);
    if (status != STATUS_OK)
        complain(words, status);
    return s->interrupted ? STATUS_OK : status;
}

static enum status simulate(struct session *s)
{
    TRY(set_out(s));
    const struct observer observers[] = { { recorder_see, &s->recorder },
                                          { summary_see, &s->summary } };
    struct progress progress;
    progress_begin(&progress, !s->options->quiet);
    const struct run_options options = { .observers = observers,
                                         .observer_count = 2,
                                         .progress = progress_show,
                                         .progress_self = &progress,
                                         .stop = &command_stop };
    struct run *run = run_create(&s->scenario.plant, &s->scenario.plan, &options);
    const enum status status = run ? go(s, run) : STATUS_MEMORY;
    run_free(run);
    progress_end(&progress);
    return status;
}

/* ---- what was found ---------------------------------------------------------------------------
 */

static void tell_span(const struct session *s, FILE *out)
{
    char span[SCREEN_CELL];
    fprintf(out, "%s from %s%s\n\n", screen_span(86400.0 * s->summary.days, span),
            s->scenario.plan.start_date,
            s->interrupted ? "; interrupted, the rest was not computed"
            : s->stopped   ? "; stopped there, the rest was not computed"
                           : "");
}

static void tell_limits(const struct session *s, FILE *out)
{
    const int broken = summary_broken(&s->summary, &s->scenario.plan, NULL);
    if (broken == 0) {
        screen_entry(out, "Limits", "none was broken.");
        return;
    }
    screen_entry(out, "Limits", "%d broken:", broken);
    summary_broken(&s->summary, &s->scenario.plan, out);
}

static void tell_found(const struct session *s, FILE *out)
{
    findings_print(out, &s->summary, &s->scenario.plan, &s->scenario.plant);
    tell_limits(s, out);
}

/* ---- after ------------------------------------------------------------------------------------
 */

static enum status write_summary(struct session *s)
{
    s->json = summary_json(&s->summary, &s->scenario.plan, &s->scenario.plant);
    if (!s->json)
        return STATUS_MEMORY;
    json_object_set_new(s->json, "status",
                        json_string(s->interrupted ? "interrupted"
                                    : s->stopped   ? "stopped"
                                                   : "complete"));
    FILE *f = results_file(&s->results, "summary.json");
    if (!f)
        return STATUS_IO;
    /* nine digits: what differs between machines is beyond them */
    json_dumpf(s->json, f, JSON_INDENT(2) | JSON_REAL_PRECISION(9));
    fputc('\n', f);
    return STATUS_OK;
}

static enum status write_cost(struct session *s)
{
    const struct plant *p = &s->scenario.plant;
    const struct plan *plan = &s->scenario.plan;
    const struct cost c = summary_cost(&s->summary, plan, p);
    struct cost_row rows[3 + STAGES_MAX] = { { "water", c.water },
                                             { "sewer", c.sewer },
                                             { "electricity", c.electricity } };
    for (int k = 0; k < p->stages; k++)
        rows[3 + k] =
            (struct cost_row){ p->train[k].name, summary_renewal_cost(&s->summary, plan, p, k) };
    return recorder_cost(&s->results, rows, 3 + p->stages, plan->prices.currency);
}

/* What is printed, and where every value came from: what a report is made from. */
static enum status write_words(struct session *s)
{
    FILE *words = results_file(&s->results, "summary.txt");
    FILE *values = results_file(&s->results, "values.csv");
    if (!words || !values)
        return STATUS_IO;
    tell_span(s, words);
    tell_found(s, words);
    origin_write(&s->scenario.values, s->options->operand, values);
    return STATUS_OK;
}

static enum status write_files(struct session *s)
{
    TRY(recorder_balance(&s->results, s->summary.balance));
    TRY(recorder_limits(&s->results, &s->scenario.plant, &s->scenario.plan));
    TRY(write_cost(s));
    TRY(recorder_pulse(&s->results, &s->scenario.plant));
    TRY(resolved_keep(&s->scenario, &s->results));
    TRY(write_summary(s));
    TRY(write_words(s));
    return results_flush(&s->results); /* whoever draws reads what is on the disk */
}

static enum status draw(struct session *s)
{
    if (s->options->no_figures || s->interrupted)
        return STATUS_OK;
    s->drawing.stop = &command_stop;
    TRY(render_figures(s->results.temporary, &s->drawing));
    command_drawn("run", &s->results, &s->drawing);
    return STATUS_OK;
}

/* Everything between the empty folder and the whole one; on failure nothing is left. */
static enum status fill(struct session *s)
{
    enum status status = simulate(s);
    const bool told = status != STATUS_OK && status != STATUS_IO && status != STATUS_MEMORY;
    if (status == STATUS_OK)
        status = write_files(s);
    if (status == STATUS_OK)
        status = draw(s);
    status = command_close_folder(&s->results, status, s->options->seed, s->words);
    if (!told && (status != STATUS_OK || s->words[0] != '\0'))
        complain(s->words, status);
    return status;
}

/* ---- what is said -----------------------------------------------------------------------------
 */

static void tell_head(const struct session *s)
{
    const struct plan *plan = &s->scenario.plan;
    char title[4 * TITLE_MAX + 1];
    text_escape(plan->title, title, sizeof title);
    if (title[0] != '\0')
        screen_wrap(stdout, 0, 0, title);
    tell_span(s, stdout);
}

/* A change that this scenario can take: less pressure, or no draws. */
static void example(const struct scenario *s, char out[SCREEN_CELL])
{
    const double lower = 0.8;
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        if (strcmp(v->path, "feed.pressure") == 0 && isfinite(v->si) && v->si > 0.0) {
            snprintf(out, SCREEN_CELL, "'feed.pressure=\"%.3g %s\"'",
                     amount_number(AMOUNT_BAR, 1e-5 * lower * v->si), amount_unit(AMOUNT_BAR));
            return;
        }
    }
    snprintf(out, SCREEN_CELL, "'draws=()'");
}

static void tell_next(const struct session *s)
{
    char file[RESULTS_PATH], other[RESULTS_PATH];
    char quoted[RESULTS_PATH], change[SCREEN_CELL];
    command_tell_folder(&s->results, &s->drawing);
    screen_argument(s->options->operand, file, sizeof file);
    command_room(s->results.final, other);
    if (s->interrupted || s->stopped) {
        char more[RESULTS_PATH];
        printf("Next: leat run %s --resume %s -o %s\n", file,
               screen_argument(s->results.final, quoted, sizeof quoted),
               screen_argument(other, more, sizeof more));
        return;
    }
    example(&s->scenario, change);
    printf("Next: leat run %s -o %s --set %s\n", file,
           screen_argument(other, quoted, sizeof quoted), change);
}

static void tell(struct session *s)
{
    const struct options *o = s->options;
    if (o->format == FORMAT_JSON) {
        json_dumpf(s->json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(9));
        putchar('\n');
        return;
    }
    if (o->quiet)
        return;
    tell_head(s);
    tell_found(s, stdout);
    if (o->terminal) {
        putchar('\n');
        struct drawing text = { .stop = &command_stop };
        render_terminal(s->results.final, SCREEN_COLUMNS, stdout, &text);
        s->drawing.stopped |= text.stopped;
        if (text.trouble && !s->drawing.trouble)
            complain(text.trouble, STATUS_OK);
    }
    tell_next(s);
}

/* What --until and --resume say. */
static enum status choose_pieces(struct session *s)
{
    const struct options *o = s->options;
    s->until = s->scenario.plan.length;
    if (o->until && !scenario_when(&s->scenario, o->until, &s->until, s->words))
        return complain(s->words, STATUS_USAGE);
    s->saved = calloc(1, sizeof *s->saved);
    if (!s->saved)
        return complain("", STATUS_MEMORY);
    if (o->resume) {
        const enum status status = saved_read(s->saved, o->resume, &s->scenario, s->words);
        if (status != STATUS_OK)
            return complain(s->words, status);
    }
    if (!o->resume || s->until > s->saved->run.state.t)
        return STATUS_OK;
    return complain("--until lies before the moment at which that run stopped", STATUS_USAGE);
}

static enum status run(struct session *s)
{
    TRY(choose_pieces(s));
    TRY(open_results(s));
    TRY(fill(s));
    tell(s);
    if (s->interrupted || s->drawing.stopped)
        return STATUS_INTERRUPTED;
    return summary_broken(&s->summary, &s->scenario.plan, NULL) > 0 ? STATUS_LIMIT : STATUS_OK;
}

enum status command_run(const struct options *o)
{
    struct session *s = calloc(1, sizeof *s);
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    enum status status = load(s);
    if (status == STATUS_OK) {
        status = run(s);
        scenario_free(&s->scenario);
    }
    json_decref(s->json);
    free(s->saved);
    free(s);
    return status;
}
