/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sets: see sets.h.
 *
 * A single hazard is tried from every kept moment.  A pair is tried from the moments that were
 * worst for singles: both at once (a protection that had failed unseen, and what calls for it), and
 * one after the other, in both orders, half a cycle and half a span apart.  A set that holds a
 * smaller spilling one is not tried: it tells nothing new.
 */
#include "sets.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "cases.h"
#include "memory.h"
#include "progress.h"
#include "text.h"

enum { PAIR_MOMENTS = 6, TRIPLE_MOMENTS = 4, ORDERS = 5 };

struct search {
    struct sets *sets;
    const struct campaign *campaign;
    int moment[MOMENTS_MAX]; /* for pairs and triples */
    int moments;
    double apart[2];   /* s */
    struct set *all;   /* of the present round */
    struct kept *kept; /* what comes of them */
    double later;      /* runs that may come after this round, at most */
};

/* What came of a set, without gaps and pointers. */
enum { DAMAGES = (sizeof(struct damage) - offsetof(struct damage, spill)) / sizeof(double) };

struct kept {
    double tried, status;
    double worst[DAMAGES];
    double moment, after[STRIKES_MAX];
};

static_assert(offsetof(struct damage, spill) + DAMAGES * sizeof(double) == sizeof(struct damage),
              "but for the status a damage is numbers");

double sets_begins(const struct damage *d, enum harm h)
{
    switch (h) {
    case HARM_TANK:
        return d->spill;
    case HARM_SERVED:
        return d->basin_spill;
    case HARM_DRY:
        return fmin(d->dry, d->low);
    case HARM_COUNT:
        break;
    }
    return INFINITY;
}

static double first_drop(const struct damage *d)
{
    return fmin(d->spill, d->basin_spill);
}

bool sets_spills(const struct set *s)
{
    return isfinite(first_drop(&s->worst));
}

/* ---- one set ----------------------------------------------------------------------------------
 */

static void worsen(struct damage *worst, const struct damage *d)
{
    if (d->status != STATUS_OK)
        worst->status = d->status;
    double *const earliest[] = { &worst->spill, &worst->basin_spill, &worst->overflow,
                                 &worst->dry,   &worst->low,         &worst->sensed };
    const double times[] = { d->spill, d->basin_spill, d->overflow, d->dry, d->low, d->sensed };
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++)
        *earliest[i] = fmin(*earliest[i], times[i]);
    double *const most[] = { &worst->spilled, &worst->basin_spilled, &worst->overflowed,
                             &worst->unmet,   &worst->floor,         &worst->highest };
    const double amounts[] = { d->spilled, d->basin_spilled, d->overflowed,
                               d->unmet,   d->floor,         d->highest };
    for (size_t i = 0; i < sizeof amounts / sizeof amounts[0]; i++)
        *most[i] = fmax(*most[i], amounts[i]);
    worst->salinity = fmin(worst->salinity, d->salinity);
}

/* Earlier on the floor, else more of it, else earlier dry. */
static bool is_worse(const struct damage *d, const struct damage *than)
{
    if (first_drop(d) != first_drop(than))
        return first_drop(d) < first_drop(than);
    if (d->floor != than->floor)
        return d->floor > than->floor;
    return sets_begins(d, HARM_DRY) < sets_begins(than, HARM_DRY);
}

static void try_one(const struct search *s, struct set *set, const struct trial *t,
                    struct damage *of_first)
{
    const struct damage d = campaign_try(s->campaign, t, NULL);
    worsen(&set->worst, &d);
    if (set->first.count == 0 || is_worse(&d, of_first)) {
        set->first = *t;
        *of_first = d;
    }
}

/* Seconds from the first strike to each, for one of the orders. */
static void delay(const struct search *s, int order, int count, struct strike strike[])
{
    for (int i = 0; i < count; i++)
        strike[i].after = 0.0;
    if (order > 0 && count == 2)
        strike[order % 2].after = s->apart[(order - 1) / 2];
}

static int orders_of(int count)
{
    return count == 2 ? ORDERS : 1;
}

static int moments_of(const struct search *s, int count)
{
    return count == 3 && s->moments > TRIPLE_MOMENTS ? TRIPLE_MOMENTS : s->moments;
}

static void try_set(const struct search *s, struct set *set)
{
    struct damage of_first = campaign_unhurt();
    set->worst = of_first;
    set->tried = true;
    const int orders = orders_of(set->count), moments = moments_of(s, set->count);
    for (int m = 0; m < moments; m++)
        for (int o = 0; o < orders; o++) {
            struct trial t = { .moment = s->moment[m], .count = set->count };
            for (int i = 0; i < set->count; i++)
                t.strike[i].hazard = &s->sets->hazard[set->hazard[i]];
            delay(s, o, set->count, t.strike);
            try_one(s, set, &t, &of_first);
        }
}

static void pack(const struct set *set, struct kept *k)
{
    *k = (struct kept){ .tried = 1.0, .status = set->worst.status, .moment = set->first.moment };
    memcpy(k->worst, (const char *)&set->worst + offsetof(struct damage, spill), sizeof k->worst);
    for (int i = 0; i < set->count; i++)
        k->after[i] = set->first.strike[i].after;
}

static void unpack(const struct kept *k, const struct sets *sets, struct set *set)
{
    if (k->tried == 0.0)
        return;
    set->tried = true;
    set->worst.status = (enum status)k->status;
    memcpy((char *)&set->worst + offsetof(struct damage, spill), k->worst, sizeof k->worst);
    set->first = (struct trial){ .moment = (int)k->moment, .count = set->count };
    for (int i = 0; i < set->count; i++)
        set->first.strike[i] = (struct strike){ &sets->hazard[set->hazard[i]], k->after[i] };
}

static void work(void *self, long i)
{
    const struct search *s = self;
    struct set set = s->all[i];
    try_set(s, &set);
    if (set.worst.status == STATUS_MEMORY)
        memory_ran_out(); /* no result to be kept */
    pack(&set, &s->kept[i]);
}

typedef bool worth(const struct search *s, const struct set *set);

static int choose(const struct search *s, int n, worth *is_worth, bool wanted[])
{
    int k = 0;
    for (int i = 0; i < n; i++)
        k += wanted[i] = is_worth(s, &s->all[i]);
    return k;
}

static void next_stage(const struct search *s, int tried)
{
    struct progress_stage *stage = campaign_asked(s->campaign)->stage;
    const int count = s->all[0].count;
    if (stage && tried > 0)
        progress_stage_next(stage, (double)tried * moments_of(s, count) * orders_of(count),
                            s->later);
}

/* Tries all sets that hold no smaller one that spills. */
static enum status try_all(struct search *s, struct cases_list *l, int *tried, worth *is_worth)
{
    bool *wanted = calloc((size_t)l->count + 1, sizeof *wanted);
    s->kept = calloc((size_t)l->count + 1, sizeof *s->kept);
    enum status status = STATUS_MEMORY;
    if (wanted && s->kept) {
        *tried = choose(s, (int)l->count, is_worth, wanted);
        next_stage(s, *tried);
        l->wanted = wanted;
        l->results = s->kept;
        l->size = sizeof *s->kept;
        status = cases_all(s->campaign, l, work, s);
    }
    for (long i = 0; i < l->count && status == STATUS_OK; i++) {
        unpack(&s->kept[i], s->sets, &s->all[i]);
        status = s->all[i].worst.status;
    }
    free(wanted);
    free(s->kept);
    return status;
}

/* ---- singles ----------------------------------------------------------------------------------
 */

static bool always(const struct search *s, const struct set *set)
{
    (void)s;
    (void)set;
    return true;
}

static enum status search_singles(struct search *s)
{
    struct sets *sets = s->sets;
    s->moments = campaign_moments(s->campaign);
    for (int m = 0; m < s->moments; m++)
        s->moment[m] = m;
    for (int i = 0; i < sets->hazards; i++)
        sets->single[i] = (struct set){ .count = 1, .hazard = { i } };
    struct cases_list all = { .name = "singles", .count = sets->hazards, .everywhere = true };
    int tried;
    s->all = sets->single;
    TRY(try_all(s, &all, &tried, always));
    sets->runs += (long)tried * s->moments;
    return STATUS_OK;
}

/* The moments at which singles were worst come first, most often worst before others. */
static void keep_worst_moments(struct search *s)
{
    int votes[MOMENTS_MAX] = { 0 };
    const int all = s->moments;
    for (int i = 0; i < s->sets->hazards; i++)
        votes[s->sets->single[i].first.moment]++;
    /* the rest are taken from all over the list, not from its beginning */
    for (int m = 0; m < all; m += (all + 3) / 4)
        votes[m]++;
    s->moments = 0;
    while (s->moments < PAIR_MOMENTS && s->moments < all) {
        int best = 0;
        for (int m = 1; m < all; m++)
            if (votes[m] > votes[best])
                best = m;
        s->moment[s->moments++] = best;
        votes[best] = -1;
    }
    s->sets->moments_of_pairs = s->moments;
}

/* ---- pairs and triples ------------------------------------------------------------------------
 */

static bool pair_worth(const struct search *s, const struct set *set)
{
    const struct set *single = s->sets->single;
    return !sets_spills(&single[set->hazard[0]]) && !sets_spills(&single[set->hazard[1]]);
}

static const struct set *pair_of(const struct sets *s, int a, int b)
{
    for (int i = 0; i < s->pairs; i++)
        if (s->pair[i].hazard[0] == a && s->pair[i].hazard[1] == b)
            return &s->pair[i];
    return NULL;
}

static bool triple_worth(const struct search *s, const struct set *set)
{
    for (int i = 0; i < 3; i++)
        if (sets_spills(&s->sets->single[set->hazard[i]]))
            return false;
    for (int i = 0; i < 3; i++)
        for (int j = i + 1; j < 3; j++) {
            const struct set *pair = pair_of(s->sets, set->hazard[i], set->hazard[j]);
            if (pair && pair->tried && sets_spills(pair))
                return false;
        }
    return true;
}

static bool together(const struct sets *s, int a, int b)
{
    return hazard_together(&s->hazard[a], &s->hazard[b]);
}

static enum status search_pairs(struct search *s)
{
    struct sets *sets = s->sets;
    const int n = sets->hazards;
    sets->pair = calloc((size_t)(n * n), sizeof *sets->pair);
    if (!sets->pair)
        return STATUS_MEMORY;
    for (int i = 0; i < n; i++)
        for (int j = i + 1; j < n; j++)
            if (together(sets, i, j))
                sets->pair[sets->pairs++] = (struct set){ .count = 2, .hazard = { i, j } };
    struct cases_list all = { .name = "pairs", .count = sets->pairs };
    s->all = sets->pair;
    TRY(try_all(s, &all, &sets->pairs_tried, pair_worth));
    sets->runs += (long)sets->pairs_tried * s->moments * ORDERS;
    return STATUS_OK;
}

static enum status search_triples(struct search *s)
{
    struct sets *sets = s->sets;
    const int n = sets->hazards;
    sets->triple = calloc((size_t)(n * n * n / 6 + 1), sizeof *sets->triple);
    if (!sets->triple)
        return STATUS_MEMORY;
    for (int i = 0; i < n; i++)
        for (int j = i + 1; j < n; j++)
            for (int k = j + 1; k < n; k++)
                if (together(sets, i, j) && together(sets, i, k) && together(sets, j, k))
                    sets->triple[sets->triples++] =
                        (struct set){ .count = 3, .hazard = { i, j, k } };
    struct cases_list all = { .name = "triples", .count = sets->triples };
    s->all = sets->triple;
    TRY(try_all(s, &all, &sets->triples_tried, triple_worth));
    sets->runs +=
        (long)sets->triples_tried * (s->moments < TRIPLE_MOMENTS ? s->moments : TRIPLE_MOMENTS);
    return STATUS_OK;
}

enum status sets_search(struct sets *sets, const struct campaign *c, const struct plant *p,
                        bool triples)
{
    *sets = (struct sets){ 0 };
    sets->hazards = hazard_list(p, sets->hazard);
    struct search s = { .sets = sets, .campaign = c };
    const double span = campaign_span(c);
    s.apart[0] = fmin(0.5 * campaign_cycle(c), 0.25 * span);
    s.apart[1] = 0.5 * span;
    const double n = sets->hazards;
    const double of_triples = triples ? n * n * n / 6.0 * TRIPLE_MOMENTS : 0.0;
    s.later = n * n / 2.0 * PAIR_MOMENTS * ORDERS + of_triples;
    TRY(search_singles(&s));
    keep_worst_moments(&s);
    s.later = of_triples;
    TRY(search_pairs(&s));
    s.later = 0.0;
    return triples ? search_triples(&s) : STATUS_OK;
}

enum status sets_search_singles(struct sets *sets, const struct campaign *c, const struct plant *p)
{
    *sets = (struct sets){ 0 };
    sets->hazards = hazard_list(p, sets->hazard);
    struct search s = { .sets = sets, .campaign = c };
    return search_singles(&s);
}

void sets_free(struct sets *s)
{
    free(s->pair);
    free(s->triple);
    s->pair = s->triple = NULL;
}

char *sets_name(const struct sets *s, const struct set *one, char out[SET_WORDS])
{
    out[0] = '\0';
    for (int i = 0; i < one->count; i++)
        text_append(out, SET_WORDS, "%s%s %s", i > 0 ? " + " : "", s->hazard[one->hazard[i]].part,
                    s->hazard[one->hazard[i]].mode);
    return out;
}
