/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * holdup: diffusion between two well-mixed volumes at rest, wash-out in service, and n cycles of
 * both as one linear map raised to the power n.  Page: docs/holdup.md, with the same symbols.
 *
 * Assumes: no osmosis at rest, no film, all ions with the B of NaCl.  That keeps both sides
 * neutral, and CO2, which is the same on both sides of a membrane at work, stays the same.
 */
#include "holdup.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

void holdup_init(struct holdup *h, const struct holdup_size *size, const double permeate[],
                 const double feed[])
{
    h->permeate.volume = size->permeate;
    h->feed.volume = size->feed;
    for (int i = 0; i < SPECIES_COUNT; i++) {
        h->permeate.amount[i] = permeate[i] * size->permeate;
        h->feed.amount[i] = feed[i] * size->feed;
    }
}

/* B over that of NaCl: neutral solutes have their own, ions move together, the rest stays. */
static double permeability(int i, const double relative[])
{
    switch (i) {
    case SILICA:
    case CHLORINE:
    case CHLORAMINE:
        return relative[i];
    case SOLIDS:
    case SALT:
        return 0.0;
    default:
        return 1.0;
    }
}

/* t/tau2: what is left of a difference between the sides is exp of minus this. */
static double decay(const struct holdup *h, double BA, double seconds)
{
    return BA * seconds * (1.0 / h->permeate.volume + 1.0 / h->feed.volume);
}

void holdup_rest(struct holdup *h, double BA, const double relative[], double seconds)
{
    const double Vp = h->permeate.volume, Vf = h->feed.volume;
    double *np = h->permeate.amount, *nf = h->feed.amount;

    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double B = permeability(i, relative) * BA;
        const double s = -expm1(-decay(h, B, seconds));
        const double moved = s * (nf[i] * Vp - np[i] * Vf) / (Vp + Vf);
        np[i] += moved;
        nf[i] -= moved;
    }
}

/* Sends a parcel through a side. */
static void wash(struct vessel *v, struct parcel *water)
{
    if (!(water->volume > 0.0))
        return;
    const double volume = v->volume;
    double leaving[SPECIES_COUNT];
    vessel_mix(v, water, water->volume, 0.0, leaving);
    v->volume = volume; /* to the last digit */
    for (int i = 0; i < SPECIES_COUNT; i++)
        water->c[i] = leaving[i] / water->volume;
}

void holdup_pass(struct holdup *h, struct parcel *permeate, struct parcel *concentrate)
{
    wash(&h->permeate, permeate);
    wash(&h->feed, concentrate);
}

void holdup_rinse(struct holdup *h, struct parcel *water)
{
    wash(&h->feed, water);
}

/* A pair of concentrations: permeate side, feed side. */
struct pair {
    double x, y;
};

/* One cycle of rest and run takes a pair z to z* + M (z - z*), with M = W R; n of them by the
 * eigenvalues exp(l1) > exp(l2) of M and the projection E on the first. */
struct map {
    double sa, sb;         /* s Vf/(Vp + Vf), s Vp/(Vp + Vf): R = 1 + [-sa sa; sb -sb] */
    double p, q;           /* exp(-v/Vp), exp(-w/Vf): W */
    double P, Q;           /* 1 - p, 1 - q */
    double D;              /* determinant of 1 - M */
    double e11, e12, e21;  /* E, e22 = 1 - e11 */
    double power1, power2; /* exp(n l) */
    double sum1, sum2;     /* 1 + exp(l) + ... + exp((n-1) l) */
};

static double geometric_sum(double n, double l)
{
    return l == 0.0 ? n : expm1(n * l) / expm1(l);
}

/* The volumes are those of n runs together; B is that of the solute times area. */
static struct map map_of(const struct holdup *h, const struct holdup_rhythm *r, double B,
                         double permeate, double concentrate)
{
    const double Vp = h->permeate.volume, Vf = h->feed.volume, n = r->starts;
    const double at_rest = decay(h, B, r->rest), s = -expm1(-at_rest);
    const double alpha = permeate / (n * Vp), beta = concentrate / (n * Vf);
    struct map m = { .sa = s * Vf / (Vp + Vf), .sb = s * Vp / (Vp + Vf) };

    m.p = exp(-alpha);
    m.q = exp(-beta);
    m.P = -expm1(-alpha);
    m.Q = -expm1(-beta);
    m.D = m.P * m.Q + m.P * m.q * m.sb + m.Q * m.p * m.sa;

    /* M times exp(least), so that long runs do not underflow */
    const double least = fmin(alpha, beta);
    const double p = exp(least - alpha), q = exp(least - beta);
    const double m11 = p * (1.0 - m.sa), m12 = p * m.sa, m21 = q * m.sb, m22 = q * (1.0 - m.sb);
    const double gap = sqrt((m11 - m22) * (m11 - m22) + 4.0 * m12 * m21);
    const double l1 = log(0.5 * (m11 + m22 + gap)) - least;
    const double l2 = -alpha - beta - at_rest - l1; /* det M = p q (1 - s) */
    m.e11 = gap > 0.0 ? 0.5 * (1.0 + (m11 - m22) / gap) : 1.0;
    m.e12 = gap > 0.0 ? m12 / gap : 0.0;
    m.e21 = gap > 0.0 ? m21 / gap : 0.0;
    m.power1 = exp(n * l1);
    m.power2 = exp(n * l2);
    m.sum1 = geometric_sum(n, l1);
    m.sum2 = geometric_sum(n, l2);
    return m;
}

/* z*, at the end of a run, when the membrane makes c.x of permeate and c.y of concentrate. */
static struct pair settled(const struct map *m, struct pair c)
{
    return (struct pair){
        ((m->Q + m->q * m->sb) * m->P * c.x + m->p * m->sa * m->Q * c.y) / m->D,
        (m->q * m->sb * m->P * c.x + (m->P + m->p * m->sa) * m->Q * c.y) / m->D,
    };
}

/* f(M) d, given f of both eigenvalues. */
static struct pair apply(const struct map *m, double f1, double f2, struct pair d)
{
    const struct pair e = { m->e11 * d.x + m->e12 * d.y, m->e21 * d.x + (1.0 - m->e11) * d.y };
    return (struct pair){ f2 * d.x + (f1 - f2) * e.x, f2 * d.y + (f1 - f2) * e.y };
}

/* What a side has, held and left to come out: shares it so that nothing is lost to rounding. */
static void share(double all, double kept, double *held, struct parcel *water, int i)
{
    *held = water->volume > 0.0 ? fmin(fmax(kept, 0.0), all) : all;
    if (water->volume > 0.0)
        water->c[i] = (all - *held) / water->volume;
}

/* What one species does: changes the amounts held, and the concentrations of both parcels. */
static void cycle_species(struct holdup *h, const struct map *m, double n, int i,
                          struct parcel *parcel[2])
{
    const double Vp = h->permeate.volume, Vf = h->feed.volume;
    double *np = &h->permeate.amount[i], *nf = &h->feed.amount[i];
    const struct pair c = { parcel[0]->c[i], parcel[1]->c[i] };
    const double in_p = *np + parcel[0]->volume * c.x, in_f = *nf + parcel[1]->volume * c.y;

    const struct pair z = settled(m, c);
    const struct pair d = { *np / Vp - z.x, *nf / Vf - z.y };
    const struct pair sum = apply(m, m->sum1, m->sum2, d);
    const struct pair last = apply(m, m->power1, m->power2, d);

    /* over all rests: n times the settled difference y - x, and what the start adds to it */
    const double steady = n * m->P * m->Q * (c.y - c.x) / m->D;
    const double crossed = Vp * m->sa * (steady + sum.y - sum.x);
    const double crosses = fmin(fmax(crossed, -in_p), in_f); /* to rounding */
    share(in_p + crosses, Vp * (z.x + last.x), np, parcel[0], i);
    share(in_f - crosses, Vf * (z.y + last.y), nf, parcel[1], i);
}

/* Without flow there is nothing to settle to. */
static bool settles(const struct map *m)
{
    return m->D > 0.0;
}

/* n whole cycles, as holdup_cycles. */
static void whole_cycles(struct holdup *h, const struct holdup_rhythm *r, struct parcel *permeate,
                         struct parcel *concentrate)
{
    struct parcel *parcel[2] = { permeate, concentrate };
    const struct map ions = map_of(h, r, r->BA, permeate->volume, concentrate->volume);
    if (!settles(&ions)) {
        holdup_rest(h, r->BA, r->relative, r->rest * r->starts);
        return;
    }
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double relative = permeability(i, r->relative);
        struct map m = ions;
        if (relative != 1.0)
            m = map_of(h, r, relative * r->BA, permeate->volume, concentrate->volume);
        cycle_species(h, &m, r->starts, i, parcel);
    }
}

/* Splits off a part of a parcel, and joins it again with what became of it. */
static struct parcel split(struct parcel *water, double part)
{
    struct parcel other = *water;
    other.volume *= part;
    water->volume -= other.volume;
    return other;
}

static void join(struct parcel *water, const struct parcel *other)
{
    const double all = water->volume + other->volume;
    if (!(all > 0.0))
        return;
    for (int i = 0; i < SPECIES_COUNT; i++)
        water->c[i] = (water->volume * water->c[i] + other->volume * other->c[i]) / all;
    water->volume = all;
}

void holdup_cycles(struct holdup *h, const struct holdup_rhythm *r, struct parcel *permeate,
                   struct parcel *concentrate)
{
    const double volume[2] = { permeate->volume, concentrate->volume };
    struct holdup_rhythm whole = *r;
    whole.starts = floor(fmax(r->starts, 0.0));
    const double over = fmax(r->starts, 0.0) - whole.starts;
    const double part = whole.starts > 0.0 ? over / r->starts : 1.0;

    /* the cycle that is not whole comes last: its share of a rest and of a run */
    struct parcel last[2] = { split(permeate, part), split(concentrate, part) };
    if (whole.starts > 0.0)
        whole_cycles(h, &whole, permeate, concentrate);
    holdup_rest(h, r->BA, r->relative, r->rest * over);
    holdup_pass(h, &last[0], &last[1]);
    join(permeate, &last[0]);
    join(concentrate, &last[1]);
    permeate->volume = volume[0];
    concentrate->volume = volume[1];
}

struct holdup_swing holdup_swing(const struct holdup *h, const struct holdup_rhythm *r,
                                 const struct parcel *permeate, const struct parcel *concentrate,
                                 int i)
{
    const double B = permeability(i, r->relative) * r->BA;
    const struct map m = map_of(h, r, B, permeate->volume, concentrate->volume);
    const struct pair c = { permeate->c[i], concentrate->c[i] };
    if (!settles(&m)) /* any state would do: that of no flow is none */
        return (struct holdup_swing){ c.x, c.x, c.x };

    const struct pair z = settled(&m, c);
    const double pushed = m.P * m.sa * m.Q * (c.y - c.x) / m.D; /* of Vp, by one cycle */
    const double v = permeate->volume / r->starts;
    return (struct holdup_swing){
        .rest = z.x + m.sa * (z.y - z.x),
        .end = z.x,
        .mean = v > 0.0 ? c.x + h->permeate.volume * pushed / v : z.x,
    };
}

const struct field holdup_fields[] = {
    { "permeate", FIELD_NUMBER, DIM_VOLUME, offsetof(struct holdup_size, permeate), 6e-5,
      1e-6, 1e-2, 3.6e-5, 8.4e-5, NULL, "water on the permeate side of the membrane",
      "computed from the geometry of a 1.8 x 12 in element, +-40 %" },
    { "feed", FIELD_NUMBER, DIM_VOLUME, offsetof(struct holdup_size, feed), 1.94e-4, 1e-6,
      1e-2, 1.44e-4, 2.44e-4, NULL, "water on the feed side of the membrane, with its housing",
      "computed from the geometry: 0.094 L of channel and 0.05 to 0.15 L of housing" },
    { .key = NULL },
};
