/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * balance: see balance.h.
 */
#include "balance.h"

#include <math.h>

static void close_row(struct balance_row *r)
{
    double out = r->destroyed;
    for (int e = 0; e < EXIT_COUNT; e++)
        out += r->out[e];
    const double through = r->start + r->in;
    r->error = through > 0.0 ? (through - out - r->held) / through : 0.0;
}

static void water_row(const struct state *s, struct balance_row *r)
{
    static const double LITRE = 1e3;
    const struct ledger *l = &s->ledger;
    *r = (struct balance_row){ .name = "water", .unit = "L" };
    r->start = LITRE * l->water_start;
    r->in = LITRE * account_total(&l->water_in);
    r->held = LITRE * plant_water_held(s);
    for (int e = 0; e < EXIT_COUNT; e++)
        r->out[e] = LITRE * account_total(&l->water_out[e]);
    close_row(r);
}

static void element_row(const struct plant *p, const struct state *s, enum element e,
                        struct balance_row *r)
{
    const struct ledger *l = &s->ledger;
    *r = (struct balance_row){ .name = element_name[e], .unit = "mol" };
    if (e == ELEMENT_SOLIDS || e == ELEMENT_SALT)
        r->unit = "kg";
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double atoms = species_atoms((enum species)i, e);
        if (atoms == 0.0)
            continue;
        r->start += atoms * l->start[i];
        r->in += atoms * account_total(&l->in[i]);
        r->held += atoms * plant_held(p, s, (enum species)i);
        for (int k = 0; k < EXIT_COUNT; k++)
            r->out[k] += atoms * account_total(&l->out[k][i]);
    }
    if (e == ELEMENT_CARBON)
        r->in += account_total(&l->carbon);
    if (e == ELEMENT_NITROGEN)
        r->destroyed = account_total(&l->nitrogen);
    close_row(r);
}

void balance_of(const struct plant *p, const struct state *s, struct balance_row row[BALANCE_ROWS])
{
    water_row(s, &row[0]);
    for (int e = 0; e < ELEMENT_COUNT; e++)
        element_row(p, s, (enum element)e, &row[1 + e]);
}

double balance_worst(const struct balance_row row[BALANCE_ROWS])
{
    double worst = 0.0;
    for (int i = 0; i < BALANCE_ROWS; i++)
        worst = fmax(worst, fabs(row[i].error));
    return worst;
}
