/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_overflow: can the tank overflow, by what, how likely.  Page: docs/overflow.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "picture.h"
#include "progress.h"
#include "render.h"
#include "routes.h"
#include "safeguard.h"
#include "screen.h"
#include "text.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat overflow: %s\n", words);
    return status;
}

/* What a call found, and what becomes of it. */
struct session {
    const struct options *options;
    struct overflow_found *found;
    struct routes routes;
    struct safeguards more;
    json_t *json;
    struct picture *picture; /* only if it is shown or kept */
    struct results results;  /* with -o only */
    struct drawing drawing;
    struct cases *cases; /* NULL: none */
    bool told;           /* why it failed */
    char words[RESULTS_WORDS];
};

/* ---- the folder -------------------------------------------------------------------------------
 */

static enum status open_folder(struct session *s)
{
    const struct options *o = s->options;
    const enum status status = command_open_folder("overflow", o->output, o->force, &s->results);
    s->told = status != STATUS_OK;
    return status;
}

static enum status draw(struct session *s)
{
    if (s->options->no_figures)
        return STATUS_OK;
    s->drawing =
        (struct drawing){ .figures = picture_figures, .source = s->picture, .stop = &command_stop };
    TRY(render_figures(s->results.temporary, &s->drawing));
    command_drawn("overflow", &s->results, &s->drawing);
    return STATUS_OK;
}

static enum status keep(struct session *s)
{
    if (!s->options->output)
        return STATUS_OK;
    TRY(picture_keep(s->picture, s->json, &s->results));
    TRY(draw(s));
    return STATUS_OK;
}

/* Whole, or nothing is left of it. */
static enum status close_folder(struct session *s, enum status status)
{
    if (!s->options->output)
        return status;
    status = command_close_folder(&s->results, status, s->options->seed, s->words);
    if (s->words[0] != '\0')
        complain(s->words, status);
    s->told = s->words[0] != '\0' && status != STATUS_OK;
    return status;
}

/* ---- what is said -----------------------------------------------------------------------------
 */

static void tell(const struct session *s)
{
    const struct options *o = s->options;
    if (o->format == FORMAT_JSON) {
        json_dumpf(s->json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
        putchar('\n');
        return;
    }
    char file[4096];
    overflow_print(s->found, stdout);
    if (o->years > 0)
        routes_print(&s->routes, stdout);
    if (o->safeguards)
        safeguard_print(&s->more, &s->found->scenario->plan.prices, stdout);
    if (o->terminal)
        picture_text(s->picture, stdout);
    if (s->options->output)
        command_tell_folder(&s->results, &s->drawing);
    printf("%sNext: leat %s %s%s\n", o->output ? "" : "\n", o->safeguards ? "run" : "overflow",
           screen_argument(o->operand, file, sizeof file), o->safeguards ? "" : " --safeguards");
}

/* ---- what is kept of cases --------------------------------------------------------------------
 */

static struct cases_of cases_of(const struct options *o)
{
    struct cases_of of = { .verb = "overflow" };
    snprintf(of.options, sizeof of.options, "--seed %lu --years %ld%s%s", o->seed, o->years,
             o->triples ? " --triples" : "", o->safeguards ? " --safeguards" : "");
    return of;
}

bool command_overflow_read(struct options *o, const char *text)
{
    o->triples = strstr(text, " --triples") != NULL;
    o->safeguards = strstr(text, " --safeguards") != NULL;
    return sscanf(text, "--seed %lu --years %ld", &o->seed, &o->years) == 2 &&
           strcmp(cases_of(o).options, text) == 0;
}

/* ---- finding ----------------------------------------------------------------------------------
 */

static enum status find(struct session *s, const struct scenario *scenario)
{
    const struct options *o = s->options;
    struct progress progress;
    const double before = o->safeguards ? SAFEGUARD_BEFORE : 1.0;
    struct progress_stage stage = { progress_show, &progress, 0.0,
                                    o->years > 0 ? 0.5 * before : before };
    progress_begin(&progress, !o->quiet);
    const struct overflow_options options = { .triples = o->triples,
                                              .jobs = o->jobs,
                                              .seed = o->seed,
                                              .progress = progress_stage_show,
                                              .progress_self = &stage,
                                              .stop = &command_stop,
                                              .cases = s->cases };
    enum status status = overflow_find(s->found, scenario, &options);
    if (status == STATUS_OK && o->years > 0) {
        stage.from = stage.to;
        stage.to = before;
        status = routes_find(&s->routes, s->found, o->years, o->seed);
    }
    stage.from = 0.0; /* safeguards know where they begin */
    stage.to = 1.0;
    if (status == STATUS_OK && o->safeguards)
        status = safeguard_try(s->found, &options, &s->more);
    progress_end(&progress);
    return status == STATUS_OK ? cases_finish(s->cases) : status;
}

static enum status prepare(struct session *s)
{
    const struct options *o = s->options;
    s->json = overflow_json(s->found);
    if (!s->json)
        return STATUS_MEMORY;
    if (o->years > 0)
        json_object_set_new(s->json, "simulated_years", routes_json(&s->routes));
    if (o->safeguards)
        json_object_set_new(s->json, "safeguards",
                            safeguard_json(&s->more, &s->found->scenario->plan.prices));
    return o->output || o->terminal ? picture_create(s->found, &s->picture) : STATUS_OK;
}

static enum status find_and_keep(struct session *s, const struct scenario *scenario)
{
    TRY(open_folder(s));
    enum status status = find(s, scenario);
    if (status == STATUS_OK && cases_partial(s->cases))
        return status;
    if (status == STATUS_OK)
        status = prepare(s);
    if (status == STATUS_OK)
        status = keep(s);
    return close_folder(s, status);
}

static void tell_why(const struct session *s, enum status status)
{
    const char *trouble = cases_trouble(s->cases);
    if (!s->told)
        complain(trouble[0] ? trouble : status_words(status), status);
}

static enum status find_and_tell(struct session *s, const struct scenario *scenario)
{
    const enum status status = find_and_keep(s, scenario);
    if (status != STATUS_OK)
        tell_why(s, status);
    else if (cases_partial(s->cases))
        command_store_part(s->options, s->cases);
    else
        tell(s);
    picture_free(s->picture);
    json_decref(s->json);
    overflow_free(s->found);
    return status == STATUS_OK && s->drawing.stopped ? STATUS_INTERRUPTED : status;
}

enum status command_overflow_of(const struct scenario *scenario, const struct options *o,
                                struct cases *cases)
{
    struct session *s = calloc(1, sizeof *s);
    struct overflow_found *f = calloc(1, sizeof *f);
    enum status status = STATUS_MEMORY;
    if (s && f) {
        s->options = o;
        s->found = f;
        s->cases = cases;
        status = find_and_tell(s, scenario);
    } else {
        complain(status_words(status), status);
    }
    free(f);
    free(s);
    return status;
}

static enum status find_in(const struct scenario *s, const struct options *o)
{
    const struct cases_of of = cases_of(o);
    struct cases *cases;
    TRY(command_store_open(s, o, &of, &cases));
    const enum status status = command_overflow_of(s, o, cases);
    if (status == STATUS_INTERRUPTED && cases)
        command_store_stopped(o, &of, cases);
    cases_free(cases);
    return status;
}

enum status command_overflow(const struct options *o)
{
    return command_with_scenario(o, "overflow", find_in);
}
