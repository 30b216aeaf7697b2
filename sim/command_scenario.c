/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_scenario: what the verbs that answer a question about a scenario share.
 */
#include <stdio.h>
#include <stdlib.h>

#include "command.h"

static enum status complain(const char *verb, enum status status)
{
    fprintf(stderr, "leat %s: %s\n", verb, status_words(status));
    return status;
}

enum status command_with_scenario(const struct options *o, const char *verb,
                                  enum status (*act)(const struct scenario *s,
                                                     const struct options *o))
{
    struct scenario *s = calloc(1, sizeof *s);
    struct report *report = report_create();
    if (!s || !report) {
        free(s);
        report_free(report);
        return complain(verb, STATUS_MEMORY);
    }
    enum status status = scenario_load(o->operand, o->sets, s, report);
    report_print(report, stderr, o->color);
    report_free(report);
    if (status == STATUS_OK) {
        status = act(s, o);
        scenario_free(s);
    } else {
        complain(verb, status);
    }
    free(s);
    return status;
}

enum status command_tell_json(json_t *json)
{
    if (!json)
        return STATUS_MEMORY;
    json_dumpf(json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
    putchar('\n');
    json_decref(json);
    return STATUS_OK;
}
