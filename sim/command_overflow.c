/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_overflow: can the tank overflow, by what, how likely.  Page: docs/overflow.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "progress.h"
#include "safeguard.h"
#include "screen.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat overflow: %s\n", words);
    return status;
}

static enum status tell(const struct overflow_found *f, const struct safeguards *more,
                        const struct options *o)
{
    if (o->format == FORMAT_JSON) {
        json_t *json = overflow_json(f);
        if (!json)
            return STATUS_MEMORY;
        if (more)
            json_object_set_new(json, "safeguards", safeguard_json(more));
        json_dumpf(json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
        putchar('\n');
        json_decref(json);
        return STATUS_OK;
    }
    char file[4096];
    overflow_print(f, stdout);
    if (more)
        safeguard_print(more, stdout);
    printf("\nNext: leat %s %s%s\n", more ? "run" : "overflow",
           screen_argument(o->operand, file, sizeof file), more ? "" : " --safeguards");
    return STATUS_OK;
}

/* ---- what is kept -----------------------------------------------------------------------------
 */

void command_overflow_write(const struct options *o, char out[CASES_OPTIONS])
{
    snprintf(out, CASES_OPTIONS, "--seed %lu%s%s", o->seed, o->triples ? " --triples" : "",
             o->safeguards ? " --safeguards" : "");
}

bool command_overflow_read(struct options *o, const char *text)
{
    char again[CASES_OPTIONS];
    o->triples = strstr(text, " --triples") != NULL;
    o->safeguards = strstr(text, " --safeguards") != NULL;
    if (sscanf(text, "--seed %lu", &o->seed) != 1)
        return false;
    command_overflow_write(o, again);
    return strcmp(again, text) == 0;
}

static const char *folder_of(const struct options *o)
{
    return o->resume ? o->resume : o->keep;
}

static enum status open_store(const struct scenario *s, const struct options *o,
                              struct cases **cases)
{
    *cases = NULL;
    if (!folder_of(o))
        return STATUS_OK;
    struct cases_of of = { .verb = "overflow", .file = o->operand, .part = 1, .parts = 1 };
    if (o->parts > 0) {
        of.part = o->part;
        of.parts = o->parts;
    }
    command_overflow_write(o, of.options);
    char words[CASES_WORDS];
    const enum status status = cases_open(cases, folder_of(o), s, &of, o->keep != NULL, words);
    return status == STATUS_OK ? status : complain(words, status);
}

/* What to type to go on: all that was said but for the folder. */
static void tell_how_to_resume(const struct options *o, long known)
{
    char name[4096], options[CASES_OPTIONS];
    command_overflow_write(o, options);
    fprintf(stderr, "leat overflow: %ld results are kept in %s\n", known,
            screen_argument(folder_of(o), name, sizeof name));
    fprintf(stderr, "Next: leat overflow %s", screen_argument(o->operand, name, sizeof name));
    for (int i = 0; i < o->set_count; i++)
        fprintf(stderr, " --set %s", screen_argument(o->sets[i], name, sizeof name));
    fprintf(stderr, " %s", options);
    if (o->parts > 0)
        fprintf(stderr, " --shard %d/%d", o->part, o->parts);
    fprintf(stderr, " --resume %s\n", screen_argument(folder_of(o), name, sizeof name));
}

static void tell_part(const struct options *o, const struct cases *cases)
{
    char name[4096];
    screen_argument(folder_of(o), name, sizeof name);
    printf("Part %d of %d is done: %ld results are in %s\n", o->part, o->parts, cases_known(cases),
           name);
    printf("Next: leat gather %s DIR...   (the folders of all %d parts)\n", name, o->parts);
}

/* ---- the search -------------------------------------------------------------------------------
 */

static enum status find(struct overflow_found *f, const struct scenario *s, const struct options *o,
                        struct cases *cases, struct safeguards *more)
{
    struct progress progress;
    struct progress_stage stage = { progress_show, &progress, 0.0,
                                    o->safeguards ? SAFEGUARD_BEFORE : 1.0 };
    progress_begin(&progress, !o->quiet);
    const struct overflow_options options = { .triples = o->triples,
                                              .jobs = o->jobs,
                                              .seed = o->seed,
                                              .progress = progress_stage_show,
                                              .progress_self = &stage,
                                              .stop = &command_stop,
                                              .cases = cases };
    enum status status = overflow_find(f, s, &options);
    stage.to = 1.0;
    if (status == STATUS_OK && o->safeguards)
        status = safeguard_try(f, &options, more);
    progress_end(&progress);
    return status;
}

enum status command_overflow_of(const struct scenario *s, const struct options *o,
                                struct cases *cases)
{
    struct overflow_found *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    struct safeguards more;
    enum status status = find(f, s, o, cases, &more);
    if (status == STATUS_OK)
        status = cases_finish(cases);
    if (status == STATUS_OK && cases_partial(cases))
        tell_part(o, cases);
    else if (status == STATUS_OK)
        status = tell(f, o->safeguards ? &more : NULL, o);
    overflow_free(f);
    free(f);
    return status;
}

static enum status answer(const struct scenario *s, const struct options *o)
{
    struct cases *cases;
    TRY(open_store(s, o, &cases));
    const enum status status = command_overflow_of(s, o, cases);
    const char *trouble = cases_trouble(cases);
    if (status != STATUS_OK)
        complain(trouble[0] ? trouble : status_words(status), status);
    if (status == STATUS_INTERRUPTED && cases)
        tell_how_to_resume(o, cases_known(cases));
    cases_free(cases);
    return status;
}

enum status command_overflow(const struct options *o)
{
    struct scenario *s = calloc(1, sizeof *s);
    struct report *report = report_create();
    if (!s || !report) {
        free(s);
        report_free(report);
        return complain(status_words(STATUS_MEMORY), STATUS_MEMORY);
    }
    enum status status = scenario_load(o->operand, o->sets, s, report);
    report_print(report, stderr, o->color);
    report_free(report);
    if (status == STATUS_OK) {
        status = answer(s, o);
        scenario_free(s);
    } else {
        complain(status_words(status), status);
    }
    free(s);
    return status;
}
