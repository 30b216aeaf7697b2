/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_overflow: can the tank overflow, by what, how likely.  Page: docs/overflow.md.
 */
#include "command.h"

#include <stdlib.h>

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
    const struct prices *prices = &f->scenario->plan.prices;
    if (o->format == FORMAT_JSON) {
        json_t *json = overflow_json(f);
        if (!json)
            return STATUS_MEMORY;
        if (more)
            json_object_set_new(json, "safeguards", safeguard_json(more, prices));
        json_dumpf(json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
        putchar('\n');
        json_decref(json);
        return STATUS_OK;
    }
    char file[4096];
    overflow_print(f, stdout);
    if (more)
        safeguard_print(more, prices, stdout);
    printf("\nNext: leat %s %s%s\n", more ? "run" : "overflow",
           screen_argument(o->operand, file, sizeof file), more ? "" : " --safeguards");
    return STATUS_OK;
}

static enum status find_and_tell(const struct scenario *s, const struct options *o)
{
    struct overflow_found *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    struct progress progress;
    progress_begin(&progress, !o->quiet);
    const struct overflow_options options = { .triples = o->triples,
                                              .jobs = o->jobs,
                                              .seed = o->seed,
                                              .progress = progress_show,
                                              .progress_self = &progress,
                                              .stop = &command_stop };
    struct safeguards more;
    enum status status = overflow_find(f, s, &options);
    if (status == STATUS_OK && o->safeguards)
        status = safeguard_try(f, &options, &more);
    progress_end(&progress);
    if (status == STATUS_OK)
        status = tell(f, o->safeguards ? &more : NULL, o);
    overflow_free(f);
    free(f);
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
        status = find_and_tell(s, o);
        scenario_free(s);
    }
    free(s);
    return status == STATUS_OK ? status : complain(status_words(status), status);
}
