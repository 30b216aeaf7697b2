/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_check: is the scenario sound, what was assumed, and what follows at a glance.
 * Page: docs/commands.md.  Every figure comes from the model functions that a run uses (sizing.h).
 */
#include "command.h"

#include <stdlib.h>

#include "glance.h"
#include "screen.h"

static void tell(const struct glance *k, const struct options *o)
{
    glance_print(k, !o->quiet);
    puts("The scenario is sound.");
    command_say_run(o->operand);
    putchar('\n');
}

static enum status show(struct glance *k, const struct options *o)
{
    const struct completion *c = &k->scenario.completion;
    const struct sizing_doubt doubt = { c->co2, c->co2_low, c->co2_high };
    TRY(sizing_of(&k->scenario.plant, &k->scenario.plan, &doubt, &k->sizing));
    if (o->format == FORMAT_CSV)
        glance_csv(k);
    else if (o->format == FORMAT_JSON)
        glance_json(k);
    else
        tell(k, o);
    return STATUS_OK;
}

enum status command_check(const struct options *o)
{
    struct glance *k = calloc(1, sizeof *k);
    struct report *report = report_create();
    if (!k || !report) {
        report_free(report);
        free(k);
        return STATUS_MEMORY;
    }
    enum status status = scenario_load(o->operand, o->sets, &k->scenario, report);
    report_print(report, stderr, o->color);
    report_free(report);
    if (status == STATUS_OK) {
        status = show(k, o);
        scenario_free(&k->scenario);
    }
    free(k);
    return status;
}
