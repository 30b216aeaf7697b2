/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_nodes: what would be read if an explanation held, at a dozen sizes of it, and what the
 * doubts of the model add to that.  Page: docs/read.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "read.h"

static const double SPENT_MOST = 0.8; /* share of the permeate's reading: a bed that has ended */
static const double SPENT_STEP = 1.25;

enum { PARCELS_MAX = 8000 };

static double *number_at(struct look_change *c, size_t offset)
{
    return (double *)((char *)c + offset);
}

static struct look_change change_of(const struct read_row *row, double size,
                                    const struct state *beds)
{
    struct look_change c = look_change_none();
    if (row->way == READ_TIMES || row->way == READ_CO2)
        *number_at(&c, row->offset) *= size;
    else if (row->way == READ_PLUS)
        *number_at(&c, row->offset) += size;
    c.beds = beds;
    return c;
}

static void add_doubt(const struct read_found *f, const struct read_doubt *d, struct look_change *c)
{
    const bool read = d->by < LOOK_COUNT && !isnan(f->given.value[d->by]);
    const double sd = read ? d->sd_read : d->sd;
    if (d->ratio)
        *number_at(c, d->offset) *= exp(sd);
    else
        *number_at(c, d->offset) += sd;
}

bool read_node_at(const struct read_found *f, const struct read_row *row, struct read_node *n,
                  const struct state *beds)
{
    const struct look_change c = change_of(row, n->size, beds);
    if (!look_at(&f->place, &c, n->value))
        return false;
    for (int d = 0; d < READ_DOUBTS; d++) {
        struct look_change doubted = c;
        double value[LOOK_COUNT];
        add_doubt(f, &read_doubts[d], &doubted);
        if (!look_at(&f->place, &doubted, value))
            return false;
        for (int k = 0; k < LOOK_COUNT; k++)
            n->slope[d][k] = value[k] - n->value[k];
    }
    return true;
}

/* ---- beds -------------------------------------------------------------------------------------
 */

static double shares(const struct read_node *n)
{
    return n->value[LOOK_PRODUCT_AGAIN] / n->value[LOOK_PERMEATE_AGAIN];
}

/* Lets a parcel of permeate through the beds; returns the share of its conductivity that came
 * through. */
static double pass_beds(const struct plant *p, struct state *s, struct parcel water)
{
    const struct stage_passage how = { 0 };
    const struct speciation in = water_speciate(water.c, 25.0);
    const double before = water_conductivity(water.c, &in);
    double least = INFINITY;
    for (int k = p->membrane + 1; k < p->stages; k++)
        least =
            fmin(least, p->train[k].kind->parcel_limit(&p->train[k].params, &s->stage[k], water.c));
    water.duration *= 0.5 * least / water.volume;
    water.volume = 0.5 * least;
    for (int k = p->membrane + 1; k < p->stages; k++) {
        struct stage_exits exits = { 0 };
        p->train[k].kind->carry(&p->train[k].params, &s->stage[k], &water, &how, &exits);
    }
    const struct speciation out = water_speciate(water.c, 25.0);
    return water_conductivity(water.c, &out) / before;
}

/* Spends the beds until they let ever more through.  A bed that is spent by the model already is no
 * explanation of its own. */
static void spend(struct read_found *f, struct read_cause *c)
{
    const struct plant *p = f->place.plant;
    const struct parcel water = look_permeate(&f->place);
    const double now = shares(&f->cause[0].node[0]);
    const double low = fmax(c->row->low, SPENT_STEP * now);
    if (!(water.volume > 0.0) || now > SPENT_MOST)
        return;
    const double ratio = pow(c->row->high / low, 1.0 / (READ_NODES - 1));
    struct state *s = &f->beds[READ_NODES];
    *s = *f->place.state;
    double wanted = low, before = now;
    for (int n = 0; n < PARCELS_MAX && c->nodes < READ_NODES; n++) {
        if (pass_beds(p, s, water) < wanted)
            continue;
        struct read_node *node = &c->node[c->nodes];
        f->beds[c->nodes] = *s;
        if (!read_node_at(f, c->row, node, &f->beds[c->nodes]))
            continue;
        node->size = shares(node);
        if (node->size > before) {
            before = node->size;
            c->nodes++;
        }
        wanted = fmax(wanted, node->size) * ratio;
    }
}

static void renew(struct read_found *f, struct read_cause *c)
{
    const struct plant *p = f->place.plant;
    f->beds[0] = *f->place.state;
    for (int k = p->membrane + 1; k < p->stages; k++)
        p->train[k].kind->start(&p->train[k].params, &f->beds[0].stage[k]);
    c->nodes = read_node_at(f, c->row, &c->node[0], &f->beds[0]);
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static bool has_before(const struct plant *p, const struct stage_kind *kind)
{
    for (int k = 0; k < p->membrane; k++)
        if (p->train[k].kind == kind)
            return true;
    return false;
}

static bool has_resin(const struct plant *p)
{
    for (int k = p->membrane + 1; k < p->stages; k++)
        if (p->train[k].kind == &stage_resin)
            return true;
    return false;
}

static bool makes_sense(const struct read_found *f, const struct read_row *row)
{
    static const double ROOM = 3.0; /* K off 25 degC */
    const struct plant *p = f->place.plant;
    switch (row->needs) {
    case READ_NEEDS_PREFILTER:
        return has_before(p, &stage_sediment) || has_before(p, &stage_carbon);
    case READ_NEEDS_RESIN:
        return has_resin(p);
    case READ_NEEDS_NO_GAUGE:
        return isnan(f->given.value[LOOK_PRESSURE]);
    case READ_NEEDS_NO_THERMOMETER:
        return isnan(f->given.value[LOOK_TEMPERATURE]);
    case READ_NEEDS_COLD_OR_WARM:
        return fabs(f->place.temperature - 25.0) > ROOM;
    case READ_NEEDS_NOTHING:
        break;
    }
    return true;
}

double read_size_of_node(const struct read_row *row, int node, int nodes)
{
    const double share = nodes > 1 ? (double)node / (nodes - 1) : 0.0;
    return row->ratio ? row->low * pow(row->high / row->low, share)
                      : row->low + share * (row->high - row->low);
}

/* Sizes at which no water is made are left out: no reading could be taken there. */
static void spread_out(struct read_found *f, struct read_cause *c)
{
    const bool one = c->row->way == READ_AS_IS;
    for (int n = 0; n < (one ? 1 : READ_NODES); n++) {
        struct read_node *node = &c->node[c->nodes];
        node->size = one ? 0.0 : read_size_of_node(c->row, n, READ_NODES);
        c->nodes += read_node_at(f, c->row, node, NULL);
    }
}

bool read_nodes(struct read_found *f, struct read_cause *c)
{
    c->nodes = 0;
    if (!makes_sense(f, c->row))
        return true;
    if (!f->beds)
        f->beds = malloc((READ_NODES + 1) * sizeof *f->beds);
    if (!f->beds)
        return false;
    if (c->row->way == READ_SPENT)
        spend(f, c);
    else if (c->row->way == READ_FRESH)
        renew(f, c);
    else
        spread_out(f, c);
    return true;
}
