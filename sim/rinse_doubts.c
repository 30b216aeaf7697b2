/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_doubts: the answer again at both ends of the usual range of each constant that nobody has
 * measured and that the scenario does not give.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rinse_find.h"

static const char *const keys[] = { "solids_halving", "reversible_share", "consolidation",
                                    "rinse_rate",     "rinse_exponent",   "scale_growth",
                                    "scale_halving" };

enum { KEYS = sizeof keys / sizeof *keys, CANDIDATES = 2 * RINSE_WAYS + RINSE_BESIDES + 2 };

/* Whether the scenario itself gives it: then it is taken to be known. */
static bool given(const struct scenario *s, const char *stage, const char *key)
{
    char path[PATH_LENGTH];
    snprintf(path, sizeof path, "train.%s.wear.%s", stage, key);
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        if (strcmp(v->path, path) == 0)
            return v->origin == ORIGIN_FILE || v->origin == ORIGIN_COMMAND_LINE;
    }
    return false;
}

static const struct field *field_of(const char *key)
{
    for (const struct field *w = wear_fields; w->key; w++)
        if (strcmp(w->key, key) == 0)
            return w;
    return NULL;
}

static void list(struct rinse_found *f)
{
    const char *stage = f->c.plant.train[f->c.plant.membrane].name;
    for (int k = 0; k < KEYS; k++) {
        const struct field *w = field_of(keys[k]);
        if (!w || given(f->scenario, stage, keys[k]))
            continue;
        const double end[] = { w->low, w->high };
        for (int e = 0; e < 2; e++)
            f->doubt[f->doubts++] =
                (struct rinse_doubt){ .key = w->key, .field = w, .value = end[e] };
    }
}

/* What could be better there: every way at its best, and what lies beside the best.  First none,
 * then the best itself. */
static int candidates(const struct rinse_found *f, struct rinse out[CANDIDATES])
{
    int n = 0;
    out[n++] = f->way[RINSE_NONE].programme;
    out[n++] = f->subject.programme;
    for (int w = RINSE_START; w < RINSE_WAYS; w++)
        if (f->way[w].there && (enum rinse_way)w != f->best)
            out[n++] = f->way[w].programme;
    for (int b = 0; b < RINSE_BESIDES; b++)
        if (f->beside[b].there)
            out[n++] = f->beside[b].programme;
    return n;
}

static void judge(const struct rinse_found *f, struct rinse_doubt *d,
                  const struct rinse_task task[], int n)
{
    const double enough = f->way[RINSE_NONE].year.served;
    d->none = rinse_map_money(&task[0].year, enough);
    d->subject = rinse_map_money(&task[1].year, enough);
    d->flow_lost = task[0].year.flow_lost;
    d->cheapest = d->none;
    for (int i = 1; i < n; i++)
        d->cheapest = fmin(d->cheapest, rinse_map_money(&task[i].year, enough));
    const double named = f->pays ? d->subject : d->none;
    d->holds = named <= RINSE_NEAR * d->cheapest;
}

static enum status run(struct rinse_found *f, struct rinse_case cases[], struct rinse_task task[],
                       const struct rinse_options *o)
{
    struct rinse programme[CANDIDATES];
    const int n = candidates(f, programme);
    for (int d = 0; d < f->doubts; d++) {
        cases[d] = f->c;
        struct wear *wear = &cases[d].plant.train[f->c.plant.membrane].params.membrane.wear;
        *(double *)((char *)wear + f->doubt[d].field->offset) = f->doubt[d].value;
        for (int i = 0; i < n; i++)
            task[d * n + i] = (struct rinse_task){ .c = &cases[d], .programme = programme[i] };
    }
    TRY(rinse_task_all(task, f->doubts * n, o));
    f->runs += f->doubts * n;
    for (int d = 0; d < f->doubts; d++)
        judge(f, &f->doubt[d], &task[d * n], n);
    return STATUS_OK;
}

enum status rinse_doubts(struct rinse_found *f, const struct rinse_options *o)
{
    list(f);
    struct rinse_case *cases = calloc(RINSE_DOUBTS_MAX, sizeof *cases);
    struct rinse_task *task = calloc(RINSE_DOUBTS_MAX * CANDIDATES, sizeof *task);
    const enum status status = cases && task ? run(f, cases, task, o) : STATUS_MEMORY;
    free(cases);
    free(task);
    TRY(status);
    f->survives = true;
    f->low = f->high = f->way[RINSE_NONE].money - f->subject.money;
    for (int d = 0; d < f->doubts; d++) {
        f->survives = f->survives && f->doubt[d].holds;
        f->low = fmin(f->low, f->doubt[d].none - f->doubt[d].subject);
        f->high = fmax(f->high, f->doubt[d].none - f->doubt[d].subject);
    }
    return STATUS_OK;
}
