/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_trace: a minute of steady production, followed from stage to stage by the functions of a
 * run.  Pages: docs/plant.md, docs/along.md.
 */
#include <math.h>
#include <string.h>

#include "plant.h"
#include "water.h"

static const double MINUTE = 60.0; /* s */

static void pass(const struct plant *p, struct state *work, int k, struct plant_trace *out)
{
    const struct stage_passage how = { 0 };
    struct stage_exits exits = { 0 };
    const struct stage *stage = &p->train[k];
    out->water[k + 1] = out->water[k];
    stage->kind->carry(&stage->params, &work->stage[k], &out->water[k + 1], &how, &exits);
    out->nitrogen[k] = exits.nitrogen;
}

static struct parcel minute_of_feed(const struct plant *p, double t, double flow)
{
    const struct feed_now feed = feed_at(&p->feed, t);
    struct parcel water = { MINUTE * flow, MINUTE, feed.temperature, { 0 } };
    memcpy(water.c, feed.c, sizeof water.c);
    return water;
}

/* Up to the membrane, or to the end; its osmotic pressure is that of the water which gets there,
 * and carbon alone changes that, with the flow by next to nothing: the third round is the last. */
static bool pass_front(const struct plant *p, const struct settings *set, const struct state *s,
                       struct state *work, struct plant_trace *out)
{
    enum { ROUNDS = 3 };
    const int end = p->membrane < 0 ? p->stages : p->membrane;
    double osmolarity = s->osmolarity;
    for (int round = 0; round < ROUNDS; round++) {
        const double x[X_COUNT] = { 0.0 }; /* an empty tank */
        double dx[X_COUNT];
        *work = *s;
        work->osmolarity = osmolarity;
        struct signals *sig = &out->signals;
        plant_evaluate(p, set, work, s->t, x, sig, dx);
        if (!(sig->product_flow > 0.0) || !(sig->duty > 0.0))
            return false;
        plant_pressures(p, set, work, sig, &out->pressure);
        out->water[0] = minute_of_feed(p, s->t, sig->feed_flow / sig->duty);
        for (int k = 0; k < end; k++)
            pass(p, work, k, out);
        const struct speciation forms =
            water_speciate(out->water[end].c, out->water[end].temperature);
        osmolarity = water_osmolarity(out->water[end].c, &forms);
    }
    return true;
}

bool plant_trace(const struct plant *p, const struct settings *set, const struct state *s,
                 struct state *work, struct plant_trace *out)
{
    *out = (struct plant_trace){ 0 };
    if (!pass_front(p, set, s, work, out))
        return false;
    const int m = p->membrane;
    if (m < 0)
        return true;
    const struct membrane worn = membrane_worn(&p->train[m].params.membrane, &s->stage[m].membrane);
    const double made = MINUTE * out->signals.product_flow / out->signals.duty;
    membrane_split(&worn, &out->water[m], made, &out->water[m + 1], &out->drain);
    for (int k = m + 1; k < p->stages; k++)
        pass(p, work, k, out);
    return true;
}
