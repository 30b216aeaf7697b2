/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * commission: see commission.h.  Nothing but times: who puts a cartridge in looks at the clock.
 */
#include "commission.h"

#include <math.h>

static const double DONE = 1e-6; /* s */
static const double OPEN = 0.5;  /* of the feed valve: less is dirt under its seat */

double commission_time(const struct commissioning *c, const struct stage_kind *kind)
{
    return kind == &stage_sediment || kind == &stage_carbon ? c->prefilters
           : kind == &stage_membrane                        ? c->membrane
           : kind == &stage_resin                           ? c->resin
                                                            : 0.0;
}

void commission_add(struct commission *c, int stage, double seconds, double t)
{
    c->left[stage] = seconds;
    c->added[stage] = t;
}

bool commission_pending(const struct commission *c)
{
    for (int k = 0; k < STAGES_MAX; k++)
        if (c->left[k] > 0.0)
            return true;
    return false;
}

/* In the order of the water.  Those in front of the membrane go together, through an open end
 * behind the last of them; then each part by itself. */
static int next_part(const struct commission *c, const struct plant *p)
{
    const int front = p->membrane < 0 ? p->stages : p->membrane;
    for (int k = front - 1; k >= 0; k--)
        if (c->left[k] > 0.0)
            return k;
    for (int k = front; k < p->stages; k++)
        if (c->left[k] > 0.0)
            return k;
    return -1;
}

/* Whether water comes when a person opens for it. */
static bool water_comes(const struct plant *p, const struct settings *set, int part)
{
    struct settings then = *set;
    then.flush = part;
    return set->supply > 0.0 && plant_feed_opening(p, &then) > OPEN;
}

static void take_off(struct commission *c, const struct plant *p, const struct settings *set,
                     double t)
{
    const int first = plant_flushes_feed(p, set) ? 0 : set->flush;
    for (int k = first; k >= 0 && k <= set->flush; k++) {
        c->left[k] -= t - fmax(c->since, c->added[k]);
        if (c->left[k] < DONE)
            c->left[k] = 0.0;
    }
}

bool commission_react(struct commission *c, const struct plant *p, struct settings *set, double t)
{
    const int before = set->flush;
    take_off(c, p, set, t);
    c->since = t;
    const int part = next_part(c, p);
    set->flush = part >= 0 && water_comes(p, set, part) ? part : -1;
    return set->flush != before;
}

double commission_due(const struct commission *c, const struct settings *set)
{
    return set->flush >= 0 ? c->since + c->left[set->flush] : INFINITY;
}
