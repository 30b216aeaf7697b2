/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_parcel: how much water goes down the line in one piece.  Page: docs/plant.md.
 *
 * A parcel closes when one of its limits is reached, each an amount that grows at a rate: water at
 * the stages before and behind the membrane, water that tops off, time.  It also closes when a flow
 * changes by much, since a parcel passes the line at one flow.
 */
#include <math.h>

#include "plant.h"

static const double SERVED_SHARE = 0.02;      /* of the served water that a parcel may top off */
static const double DIVERT_LOOK = 2.0;        /* s, and */
static const double DIVERT_SHARE = 0.05;      /* of the time that was waited */
static const double PARCEL_LONGEST = 86400;   /* s */
static const double PARCEL_FLOW_CHANGE = 1.4; /* ratio of flows that closes a parcel */
static const double PARCEL_LEAST = 0.05; /* share of its limit below which a change of flow waits */

/* One limit of a parcel: the most that may move, what has moved, how fast more does. */
struct limit {
    double most, moved, rate;
};

/* Share of a limit that is used up; one that is not there is never used. */
static double used(const struct limit *l)
{
    return l->moved > 0.0 ? l->moved / l->most : 0.0;
}

/* Seconds to a limit. */
static double left(const struct limit *l)
{
    if (used(l) >= 1.0)
        return 0.0;
    return l->rate > 0.0 ? (l->most - l->moved) / l->rate : INFINITY;
}

static double moved(const struct state *s, int i)
{
    return s->x[i] - s->x_opened[i];
}

static struct limit limit_of_age(const struct state *s, double most)
{
    return (struct limit){ most, s->t - s->opened, 1.0 };
}

/* Served water that is diluted must not wait for the end of a long parcel. */
static struct limit limit_of_topoff(const struct plant *p, const struct state *s,
                                    const struct signals *sig)
{
    const double most = p->has_basin ? SERVED_SHARE * p->basin.volume * p->parcel_scale : INFINITY;
    return (struct limit){ most, moved(s, X_TOPOFF), sig->topoff_flow };
}

enum { FEED, MADE, DELIVERED, STAGES };

/* Limits of the stages before the membrane, and of those behind it: what is made is all that goes
 * through them, but a bladder gives at its own flow, and new parts are flushed with feed. */
static void limits_of_stages(const struct plant *p, const struct settings *set,
                             const struct state *s, const struct signals *sig,
                             struct limit out[STAGES])
{
    const double feed = s->feed_limit * p->parcel_scale;
    const double product = s->parcel_limit * p->parcel_scale;
    out[FEED] = (struct limit){ feed, moved(s, X_FEED), sig->feed_flow };
    out[MADE] = (struct limit){ product, moved(s, X_PRODUCT) + moved(s, X_DIVERTED),
                                sig->product_flow + sig->divert_flow };
    out[DELIVERED] = (struct limit){ INFINITY, 0.0, 0.0 };
    if (plant_flushes_feed(p, set))
        out[MADE] = (struct limit){ product, moved(s, X_FEED), sig->feed_flow };
    else if (p->has_bladder)
        out[DELIVERED] = (struct limit){ product, moved(s, X_DELIVERED), sig->delivery_flow };
}

double plant_parcel_left(const struct plant *p, const struct settings *set, const struct state *s,
                         const struct signals *sig)
{
    const struct limit topoff = limit_of_topoff(p, s, sig);
    const double scale = p->water_only ? 1.0 : p->parcel_scale;
    const struct limit age = limit_of_age(s, PARCEL_LONGEST * scale);
    double time = fmin(left(&topoff), left(&age));
    if (p->water_only)
        return time;
    if (set->diverting && !isnan(p->rinse.divert_below)) {
        /* who waits for a reading looks every couple of seconds, later not so often */
        const double waited = s->opened - set->diverted_since;
        const struct limit look = limit_of_age(s, fmax(DIVERT_LOOK, DIVERT_SHARE * waited));
        time = fmin(time, left(&look));
    }
    struct limit stage[STAGES];
    limits_of_stages(p, set, s, sig, stage);
    for (int i = 0; i < STAGES; i++)
        time = fmin(time, left(&stage[i]));
    return time;
}

/* Whether a flow is another than when the parcel opened. */
static bool has_changed(double flow, double opened)
{
    const double ratio = flow / opened;
    return opened > 0.0 && (ratio > PARCEL_FLOW_CHANGE || ratio < 1.0 / PARCEL_FLOW_CHANGE);
}

static bool flow_changed(const struct plant *p, const struct settings *set, const struct state *s,
                         const struct signals *sig)
{
    struct limit stage[STAGES];
    limits_of_stages(p, set, s, sig, stage);
    double share = 0.0;
    for (int i = 0; i < STAGES; i++)
        share = fmax(share, used(&stage[i]));
    if (share < PARCEL_LEAST)
        return false;
    return (sig->feed_flow > 0.0 && has_changed(sig->product_flow, s->flow_opened)) ||
           (p->has_bladder && has_changed(sig->delivery_flow, s->delivery_opened));
}

bool plant_parcel_due(const struct plant *p, const struct settings *set, const struct state *s,
                      const struct signals *sig)
{
    return plant_parcel_left(p, set, s, sig) <= 0.0 ||
           (!p->water_only && flow_changed(p, set, s, sig));
}
