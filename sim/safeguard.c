/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard: see safeguard.h.  A safeguard is a change of the plant, faults of its own included:
 * what can fail is listed anew for each.
 */
#include "safeguard.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cases.h"

static const double YEAR = 365.25 * 86400.0; /* s */

static bool is_short(const struct overflow_found *f)
{
    const struct damage *normal = campaign_normal(f->campaign);
    return isfinite(sets_begins(normal, HARM_DRY));
}

static void sum_up(const struct overflow_found *f, struct safeguard_row *row)
{
    row->chance = f->chances.spill;
    row->short_of_water = is_short(f);
    for (int i = 0; i < f->chances.rows; i++) {
        const struct chance_row *r = &f->chances.row[i];
        if (!r->harm[HARM_TANK] && !r->harm[HARM_SERVED])
            continue;
        row->floor = fmax(row->floor, r->set->worst.floor);
        row->singles += r->set->count == 1;
        row->pairs += r->set->count == 2;
    }
}

static void price(const struct prices *p, const struct safeguard_row *without, double money,
                  struct safeguard_row *row)
{
    row->price = money;
    row->short_of_water = row->short_of_water && !without->short_of_water;
    row->avoided = (without->chance.mean - row->chance.mean) * p->safeguard_life / YEAR;
    row->per_spill = row->avoided > 0.0 ? money / row->avoided : NAN;
}

static enum status find_with(const struct scenario *s, const struct overflow_options *given,
                             const char *name, struct safeguard_row *row)
{
    struct overflow_options options = *given;
    options.name = name;
    struct overflow_found *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    const enum status status = overflow_find(f, s, &options);
    if (status == STATUS_OK)
        sum_up(f, row);
    overflow_free(f);
    free(f);
    return status;
}

/* Less often, and of equals less on the floor, comes first. */
static int by_gain(const void *a, const void *b)
{
    const struct safeguard_row *x = a, *y = b;
    if (x->chance.mean != y->chance.mean)
        return (x->chance.mean > y->chance.mean) - (x->chance.mean < y->chance.mean);
    if (x->floor != y->floor)
        return (x->floor > y->floor) - (x->floor < y->floor);
    return (x->kind > y->kind) - (x->kind < y->kind);
}

static enum status try_each(const struct overflow_found *found,
                            const struct overflow_options *options, struct progress_stage *stage,
                            struct scenario *s, struct safeguards *out)
{
    const struct prices *prices = &s->plan.prices;
    for (int kind = 0; kind < SAFEGUARD_KINDS; kind++) {
        struct safeguard_row *row = &out->row[out->rows];
        s->plant = found->scenario->plant;
        row->kind = (enum safeguard_kind)kind;
        if (!safeguard_add(row->kind, &s->plant, found, &row->words))
            continue;
        out->rows++;
        char name[CASES_NAME];
        snprintf(name, sizeof name, "safeguard %d", kind + 1);
        progress_stage_next(stage, 1.0, SAFEGUARD_KINDS - kind);
        TRY(find_with(s, options, name, row));
        price(prices, &out->without, prices->safeguard[kind], row);
    }
    qsort(out->row, (size_t)out->rows, sizeof out->row[0], by_gain);
    return STATUS_OK;
}

/* The best two together, if they change different things. */
static enum status try_both(const struct overflow_found *found,
                            const struct overflow_options *options, struct scenario *s,
                            struct safeguards *out)
{
    struct phrase words;
    s->plant = found->scenario->plant;
    for (int k = 0; k < 2; k++)
        if (out->rows < 2 || !safeguard_add(out->row[k].kind, &s->plant, found, &words))
            return STATUS_OK;
    out->two = true;
    out->both.words.words = "the first two together";
    TRY(find_with(s, options, "best two", &out->both));
    price(&s->plan.prices, &out->without, out->row[0].price + out->row[1].price, &out->both);
    return STATUS_OK;
}

enum status safeguard_try(const struct overflow_found *found, const struct overflow_options *given,
                          struct safeguards *out)
{
    struct progress_stage stage = { given->progress, given->progress_self, SAFEGUARD_BEFORE,
                                    SAFEGUARD_BEFORE };
    struct overflow_options options = *given;
    options.progress = progress_stage_show;
    options.progress_self = &stage;
    memset(out, 0, sizeof *out);
    out->without.words.words = "as it is";
    sum_up(found, &out->without);
    struct scenario *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    *s = *found->scenario; /* what it owns stays the other's */
    enum status status = try_each(found, &options, &stage, s, out);
    /* a part does not know which are the best: whoever gathers tries them */
    if (status == STATUS_OK && out->rows > 1 && !cases_partial(options.cases)) {
        progress_stage_next(&stage, 1.0, 0.0);
        status = try_both(found, &options, s, out);
    }
    free(s);
    return status;
}

/* Whether it makes a spill rarer and leaves the water that is needed. */
static bool is_of_use(const struct safeguard_row *r)
{
    return r->avoided > 0.0 && !r->short_of_water;
}

bool safeguard_priced(const struct safeguards *s)
{
    for (int i = 0; i < s->rows; i++)
        if (is_of_use(&s->row[i]) && isnan(s->row[i].price))
            return false;
    return true;
}

const struct safeguard_row *safeguard_first(const struct safeguards *s)
{
    const bool priced = safeguard_priced(s);
    const struct safeguard_row *best = NULL;
    for (int i = 0; i < s->rows; i++) {
        const struct safeguard_row *r = &s->row[i];
        /* they stand in the order of what they leave */
        if (is_of_use(r) && (!best || (priced && r->per_spill < best->per_spill)))
            best = r;
    }
    return best;
}
