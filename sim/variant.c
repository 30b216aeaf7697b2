/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * variant: see variant.h.
 */
#include "variant.h"

#include <math.h>
#include <stdlib.h>

#include "text.h"

enum { SET_LENGTH = PATH_LENGTH + UNITS_TEXT + 8 };

double variant_accepted(const struct value *v, double si)
{
    return v->min < v->max ? fmin(fmax(si, v->min), v->max) : si;
}

/* path="exact value with unit", as a person would write it after --set. */
static void write_set(const struct variant *v, char out[SET_LENGTH])
{
    char exact[UNITS_TEXT];
    out[0] = '\0';
    if (v->value->type == FIELD_COUNT)
        text_append(out, SET_LENGTH, "%s=%.0f", v->value->path, v->si);
    else if (v->value->dimension == DIM_NONE)
        text_append(out, SET_LENGTH, "%s=%.17g", v->value->path, v->si);
    else
        text_append(out, SET_LENGTH, "%s=\"%s\"", v->value->path,
                    units_exact(v->si, v->value->dimension, exact, sizeof exact));
}

enum status variant_load(const char *file, const char *const sets[], const struct variant list[],
                         int count, struct scenario *out)
{
    int given = 0;
    while (sets && sets[given])
        given++;
    const char **all = calloc((size_t)(given + count + 1), sizeof *all);
    char(*written)[SET_LENGTH] = calloc((size_t)count + 1, sizeof *written);
    struct report *report = report_create();
    enum status status = STATUS_MEMORY;
    if (all && written && report) {
        for (int i = 0; i < given; i++)
            all[i] = sets[i];
        for (int i = 0; i < count; i++) {
            write_set(&list[i], written[i]);
            all[given + i] = written[i];
        }
        status = scenario_load(file, all, out, report);
    }
    report_free(report);
    free(written);
    free(all);
    return status;
}
