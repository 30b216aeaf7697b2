/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * history: see history.h.  Each source is a Poisson process of its own stream; what strikes a part
 * that has failed already is drawn, too, and does nothing.
 */
#include "history.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "odds.h"
#include "rates.h"
#include "stream.h"

static const double CHANCE_MOST = 0.5; /* that a standing chance is raised to */

/* ---- rates ------------------------------------------------------------------------------------
 */

static void add_pairs(struct risks *r, const struct plan *plan)
{
    for (int a = 0; a < r->hazards; a++)
        for (int b = a + 1; b < r->hazards && r->pairs < PAIRS_MAX; b++) {
            if (!rates_alike(chance_number(&r->hazard[a]), chance_number(&r->hazard[b])))
                continue;
            r->pair[r->pairs][0] = a;
            r->pair[r->pairs][1] = b;
            r->rate[r->hazards + r->pairs++] =
                plan->risk.common_cause * fmin(r->rate[a], r->rate[b]);
        }
}

void history_risks(struct risks *r, const struct plant *p, const struct plan *plan, double demands)
{
    *r = (struct risks){ .inspected = plan->risk.inspected };
    r->hazards = hazard_list(p, r->hazard);
    for (int i = 0; i < r->hazards; i++) {
        struct rate rate = rates_of(plan, chance_number(&r->hazard[i]));
        rate.median *= odds_mean(1.0, rate.error_factor);
        r->stands[i] = rate.kind == RATE_STANDING;
        if (r->stands[i])
            r->chance[i] = fmin(rate.median, 1.0);
        else
            r->rate[i] = rates_per_time(&rate, demands);
        if (isfinite(rate.lasts))
            r->hazard[i].lasts = rate.lasts;
    }
    add_pairs(r, plan);
}

/* ---- drawing ----------------------------------------------------------------------------------
 */

bool history_add(struct history *h, const struct happening *what)
{
    if (h->count == h->room) {
        const int room = h->room ? 2 * h->room : 32;
        struct happening *more = realloc(h->happening, (size_t)room * sizeof *more);
        if (!more)
            return false;
        h->happening = more;
        h->room = room;
    }
    int i = h->count++;
    for (; i > 0 && h->happening[i - 1].at > what->at; i--)
        h->happening[i] = h->happening[i - 1];
    h->happening[i] = *what;
    return true;
}

static double times_of(const struct risks *r, const struct likelier *l, int source)
{
    if (source < r->hazards)
        return l->times[source];
    const int *pair = r->pair[source - r->hazards];
    return fmax(l->times[pair[0]], l->times[pair[1]]);
}

static double raised(const struct risks *r, const struct likelier *l, int hazard)
{
    const double chance = r->chance[hazard];
    return fmax(chance, fmin(chance * l->times[hazard], CHANCE_MOST));
}

static bool add_standing(struct history *h, const struct risks *r, const struct likelier *l,
                         int hazard, struct stream *s)
{
    const double p = r->chance[hazard], drawn = raised(r, l, hazard);
    const bool failed = stream_uniform(s) < drawn;
    h->standing *= failed ? p / drawn : drawn < 1.0 ? (1.0 - p) / (1.0 - drawn) : 1.0;
    const struct happening fail = { 0.0, HAPPENS_FAIL, hazard, -1 };
    return !failed || history_add(h, &fail);
}

static bool strike(struct history *h, const struct hazard *hazard, const struct happening *what)
{
    struct happening one = *what;
    if (hazard->kind == HAZARD_FAULT)
        return history_add(h, &one);
    one.kind = HAPPENS_CUT;
    if (!history_add(h, &one))
        return false;
    one.kind = HAPPENS_BACK;
    one.at += hazard->lasts;
    return history_add(h, &one);
}

/* All that one source does within the span. */
static bool add_source(struct history *h, const struct risks *r, int source, struct stream *s,
                       double rate, double span)
{
    const bool pair = source >= r->hazards;
    for (double t = stream_wait(s, rate); t < span; t += stream_wait(s, rate)) {
        for (int k = 0; k < (pair ? 2 : 1); k++) {
            const int hazard = pair ? r->pair[source - r->hazards][k] : source;
            const struct happening what = { t, HAPPENS_FAIL, hazard, k == 0 ? source : -1 };
            if (!strike(h, &r->hazard[hazard], &what))
                return false;
        }
    }
    return true;
}

static bool add_inspections(struct history *h, const struct risks *r, double span)
{
    for (int i = 1; i * r->inspected < span; i++) {
        const struct happening look = { i * r->inspected, HAPPENS_INSPECTION, -1, -1 };
        if (!history_add(h, &look))
            return false;
    }
    return true;
}

bool history_draw(struct history *h, const struct risks *r, const struct likelier *likelier,
                  uint64_t seed, uint64_t k, double span)
{
    *h = (struct history){ .standing = 1.0 };
    bool ok = add_inspections(h, r, span);
    for (int source = 0; ok && source < r->hazards + r->pairs; source++) {
        struct stream s = stream_of(seed, k, (uint64_t)source);
        if (source < r->hazards && r->stands[source])
            ok = add_standing(h, r, likelier, source, &s);
        else
            ok =
                add_source(h, r, source, &s, r->rate[source] * times_of(r, likelier, source), span);
    }
    return ok;
}

void history_free(struct history *h)
{
    free(h->happening);
    *h = (struct history){ 0 };
}

/* ---- weight -----------------------------------------------------------------------------------
 */

double history_weight(const struct history *h, const struct risks *r,
                      const struct likelier *likelier, double t)
{
    long struck[SOURCES_MAX] = { 0 };
    for (int i = 0; i < h->count && h->happening[i].at <= t; i++) {
        const struct happening *what = &h->happening[i];
        if (what->source >= 0 && what->kind != HAPPENS_BACK)
            struck[what->source]++;
    }
    double weight = h->standing;
    for (int source = 0; source < r->hazards + r->pairs; source++) {
        const double rate = r->rate[source];
        if (rate > 0.0)
            weight *= odds_weight(rate, rate * times_of(r, likelier, source), struck[source], t);
    }
    return weight;
}
