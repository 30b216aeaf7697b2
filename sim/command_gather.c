/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_gather: the parts of a campaign as if it had not been split.  Page: docs/campaigns.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "results.h"
#include "text.h"

static const struct gathered {
    const char *verb;
    bool (*read)(struct options *o, const char *text);
    enum status (*answer)(const struct scenario *s, const struct options *o, struct cases *cases);
} verbs[] = {
    { "overflow", command_overflow_read, command_overflow_of },
    { "sweep", command_sweep_read, command_sweep_of },
};

enum { VERBS = sizeof verbs / sizeof verbs[0] };

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat gather: %s\n", words);
    return status;
}

/* The scenario that lies in the folder; its warnings were told when the parts were run. */
static enum status load(const char *folder, const struct cases *k, struct scenario *s, bool color)
{
    char path[RESULTS_PATH] = "";
    struct report *report = report_create();
    if (!report)
        return complain(status_words(STATUS_MEMORY), STATUS_MEMORY);
    text_append(path, sizeof path, "%s/%s", folder, CASES_SCENARIO);
    enum status status = scenario_load(path, NULL, s, report);
    if (status != STATUS_OK)
        report_print(report, stderr, color);
    report_free(report);
    if (status == STATUS_OK && !cases_fits(k, s)) {
        char words[RESULTS_PATH + 64], shown[RESULTS_PATH];
        snprintf(words, sizeof words, "%s: it was changed since",
                 text_escape(path, shown, sizeof shown));
        scenario_free(s);
        return complain(words, STATUS_NO_INPUT);
    }
    return status;
}

static enum status answer(const struct options *given, const struct scenario *s,
                          const struct cases_of *of, struct cases *k)
{
    struct options o = *given;
    o.operand = of->file;
    for (int i = 0; i < VERBS; i++) {
        if (strcmp(verbs[i].verb, of->verb) != 0 || !verbs[i].read(&o, of->options))
            continue;
        const enum status status = verbs[i].answer(s, &o, k);
        if (status == STATUS_OK && cases_run(k) > 0 && !o.quiet)
            fprintf(stderr, "leat gather: %ld cases that no part has were run here\n",
                    cases_run(k));
        return status;
    }
    return complain("the parts are of a verb that this version does not know", STATUS_NO_INPUT);
}

enum status command_gather(const struct options *o)
{
    struct cases *k = NULL;
    struct cases_of of;
    char words[CASES_WORDS];
    enum status status = cases_gather(&k, o->operands, o->operand_count, &of, words);
    if (status != STATUS_OK)
        return complain(words, status);
    struct scenario *s = calloc(1, sizeof *s);
    if (!s) {
        cases_free(k);
        return complain(status_words(STATUS_MEMORY), STATUS_MEMORY);
    }
    status = load(o->operands[0], k, s, o->color);
    if (status == STATUS_OK) {
        status = answer(o, s, &of, k);
        scenario_free(s);
    }
    free(s);
    cases_free(k);
    return status;
}
