/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: sets of independent events that make something happen together.  Page: docs/odds.md.
 *
 * The exact chance is found by deciding one event after the other.  Every term is positive, so tiny
 * chances keep their digits, which inclusion and exclusion would not.
 */
#include <math.h>
#include <stdbool.h>

#include "odds.h"

/* Does set i hold one of those kept, or a smaller one that is yet to come? */
static bool redundant(const uint64_t set[], int sets, int kept, int i)
{
    for (int j = 0; j < kept; j++)
        if (!(set[j] & ~set[i]))
            return true;
    for (int j = i + 1; j < sets; j++)
        if (!(set[j] & ~set[i]) && set[j] != set[i])
            return true;
    return false;
}

int odds_minimal(uint64_t set[], int sets)
{
    int kept = 0;
    for (int i = 0; i < sets; i++)
        if (!redundant(set, sets, kept, i))
            set[kept++] = set[i];
    return kept;
}

static bool sound(const struct odds_tree *t)
{
    if (t->sets < 0 || t->events < 0 || t->events > ODDS_EVENTS)
        return false;
    for (int i = 0; i < t->events; i++)
        if (!(t->p[i] >= 0.0 && t->p[i] <= 1.0))
            return false;
    for (int j = 0; j < t->sets; j++)
        if (t->events < ODDS_EVENTS && t->set[j] >> t->events)
            return false;
    return true;
}

static double product(const struct odds_tree *t, uint64_t set)
{
    double p = 1.0;
    for (; set; set &= set - 1)
        p *= t->p[__builtin_ctzll(set)];
    return p;
}

double odds_rare(const struct odds_tree *t)
{
    if (!sound(t))
        return NAN;
    double sum = 0.0;
    for (int j = 0; j < t->sets; j++)
        sum += product(t, t->set[j]);
    return sum;
}

double odds_bound(const struct odds_tree *t)
{
    if (!sound(t))
        return NAN;
    double none = 0.0; /* logarithm of the chance that no set is complete */
    for (int j = 0; j < t->sets; j++)
        none += log1p(-product(t, t->set[j]));
    return -expm1(none);
}

/* ---- exact ----------------------------------------------------------------------------------- */

struct decided {
    uint64_t happened, missed;
    uint64_t wanted; /* only sets that hold all of these count */
};

/* Chance, given what is decided.  The next event to decide is of the set that lacks the fewest. */
static double chance(const struct odds_tree *t, struct decided d)
{
    uint64_t next = 0;
    for (int j = 0; j < t->sets; j++) {
        const uint64_t set = t->set[j], open = set & ~d.happened;
        if (set & d.missed || d.wanted & ~set)
            continue;
        if (!open)
            return 1.0;
        if (!next || __builtin_popcountll(open) < __builtin_popcountll(next))
            next = open;
    }
    if (!next)
        return 0.0;
    const uint64_t bit = next & -next;
    const double p = t->p[__builtin_ctzll(bit)];
    const struct decided yes = { d.happened | bit, d.missed, d.wanted };
    const struct decided no = { d.happened, d.missed | bit, d.wanted };
    return p * chance(t, yes) + (1.0 - p) * chance(t, no);
}

double odds_exact(const struct odds_tree *t)
{
    return sound(t) ? chance(t, (struct decided){ 0 }) : NAN;
}

struct odds_importance odds_importance(const struct odds_tree *t, int event)
{
    if (!sound(t) || event < 0 || event >= t->events)
        return (struct odds_importance){ NAN, NAN, NAN, NAN, NAN, NAN };
    const uint64_t bit = (uint64_t)1 << event;
    const double p = t->p[event], all = odds_exact(t);
    const double sure = chance(t, (struct decided){ .happened = bit });
    const double never = chance(t, (struct decided){ .missed = bit });
    return (struct odds_importance){
        .birnbaum = sure - never,
        .criticality = (sure - never) * p / all,
        .fussell_vesely = chance(t, (struct decided){ .wanted = bit }) / all,
        .achievement = sure / all,
        .reduction = all / never,
        .diagnostic = p * sure / all,
    };
}
