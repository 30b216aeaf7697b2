/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resin: an ion-exchange bed as cells in series, marched from the inlet.  Page: docs/resin.md, with
 * the same symbols: y loading, c concentration, c* at the bead, e = exp(-N), Phi = [H]/y_H or
 * [OH]/y_OH, K selectivity, s total per bound form, n charge per bound form.
 *
 * Assumes: film control, mass action at the bead, one pH for both resins of a cell, water without
 * holdup.  The loading is taken at its new value, so any parcel is stable; what leaves the water is
 * what the resin gains by the same expression, so that every species is conserved to rounding.
 */
#include "resin.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "water.h"

enum { CATION, ANION, RESINS };

static const int first[RESINS] = { FIRST_CATION, FIRST_ANION };
static const int last[RESINS] = { LAST_CATION, LAST_ANION };

static const double co2_diffusivity_ratio = 1.91 / 1.185; /* of CO2 to HCO3-, docs/resin.md */

/* [H] is sought between these [mol/m3], a decade outside pH 0 to 14. */
static const double least_hydrogen = 1e-12, most_hydrogen = 1e4;

static int valence(int i)
{
    return species[i].charge > 0 ? species[i].charge : -species[i].charge;
}

/* One parcel on one path: the same for every cell. */
struct passage {
    struct equilibria k;
    bool there[RESINS];        /* is this resin in the bed? */
    int z[EXCHANGED_COUNT];    /* charge of the bound form, without its sign */
    double e[EXCHANGED_COUNT]; /* share of c - c* that is left after a cell */
    double G[EXCHANGED_COUNT]; /* (1 - e) |z| dV / sites of a cell [m3/mol] */
    double F[EXCHANGED_COUNT]; /* bound form in water per Phi^|z| y: 1/K, or 1/(2 K Qr) */
};

/* The surface water of one cell. */
struct surface {
    double h;                    /* [H] [mol/m3] */
    double phi[RESINS];          /* Phi [mol/m3] */
    double s[EXCHANGED_COUNT];   /* total per bound form */
    double s_h[EXCHANGED_COUNT]; /* d ln s / d ln h */
    double n[EXCHANGED_COUNT];   /* charge in water per bound form */
    double n_h[EXCHANGED_COUNT]; /* d ln n / d ln h */
    double b[EXCHANGED_COUNT];   /* y + G c: loading if nothing were at the surface */
    double c[EXCHANGED_COUNT];   /* water that enters the cell [mol/m3] */
};

/* Sums over the species of one resin, with slopes by ln Phi and ln h. */
struct sums {
    double y, y_phi, y_h;
    double charge, charge_phi, charge_h; /* mol/m3 */
};

/* The forms of the weak acids at the pH of the surface. */
static void surface_set(struct surface *x, const struct equilibria *k, double h)
{
    const double acid = h / k->k1, base = k->k2 / h, silicic = h / k->ksi, ammonia = k->knh4 / h;
    x->h = h;
    x->s[CARBON] = 1 + acid + base;
    x->s_h[CARBON] = (acid - base) / x->s[CARBON];
    x->n[CARBON] = 1 + 2 * base;
    x->n_h[CARBON] = -2 * base / x->n[CARBON];
    x->s[SILICA] = 1 + silicic;
    x->s_h[SILICA] = silicic / x->s[SILICA];
    x->s[AMMONIUM] = 1 + ammonia;
    x->s_h[AMMONIUM] = -ammonia / x->s[AMMONIUM];
}

static void surface_init(struct surface *x, const struct passage *p)
{
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        x->s[i] = 1;
        x->s_h[i] = x->n_h[i] = 0;
        x->n[i] = p->z[i];
    }
}

/* Loading and charge if the surface has this Phi: y = b/(1 + G s F Phi^|z|), and F Phi^|z| y of the
 * bound form in its water. */
static struct sums sum(const struct passage *p, const struct surface *x, int resin, double phi)
{
    const double phi2 = phi * phi;
    struct sums a = { 0 };
    for (int i = first[resin]; i <= last[resin]; i++) {
        const int z = p->z[i];
        const double form = p->F[i] * (z == 2 ? phi2 : phi);
        const double t = p->G[i] * x->s[i] * form;
        const double stays = 1 / (1 + t), goes = t * stays;
        const double y = x->b[i] * stays;
        const double charge = x->n[i] * form * y;
        a.y += y;
        a.y_phi -= z * goes * y;
        a.y_h -= x->s_h[i] * goes * y;
        a.charge += charge;
        a.charge_phi += z * stays * charge;
        a.charge_h += (x->n_h[i] - x->s_h[i] * goes) * charge;
    }
    return a;
}

/* Finds Phi from Phi (1 - sum y) = w, the released ion in the water; increasing where it matters.
 * Newton within a bracket, from the Phi given; the last step is taken along the tangent. */
static struct sums settle(const struct passage *p, const struct surface *x, int resin, double w,
                          double *phi)
{
    enum { ROUNDS = 100 };
    double low = w, high = INFINITY;
    double at = *phi > low ? *phi : low;
    double step = 0;
    struct sums a = sum(p, x, resin, at);
    for (int round = 0; round < ROUNDS; round++) {
        const double excess = at * (1 - a.y) - w;
        step = -excess / (1 - a.y - a.y_phi);
        if (fabs(step) <= 1e-6 * at) /* the error is then its square */
            break;
        if (excess < 0)
            low = at;
        else
            high = at;
        double next = at + step;
        if (!(next > low && next < high))
            next = isinf(high) ? 10 * low : sqrt(low * high);
        at = next;
        a = sum(p, x, resin, at);
    }
    a.charge += a.charge_phi * step / at;
    *phi = at + step;
    return a;
}

/* Charge of one sign in the surface water, its slope by ln h, and that of ln Phi. */
struct charge {
    double q, q_h; /* mol/m3 */
    double phi_h;
};

static struct charge charge_at(const struct passage *p, struct surface *x, int resin)
{
    const double w = resin == CATION ? x->h : p->k.kw / x->h;
    const double sign = resin == CATION ? 1 : -1; /* d ln w / d ln h */
    struct charge a = { w, sign * w, 0 };
    if (p->there[resin]) {
        const struct sums b = settle(p, x, resin, w, &x->phi[resin]);
        const double free = w / x->phi[resin]; /* y_H, y_OH */
        a.phi_h = (b.y_h + sign * free) / (free - b.y_phi);
        a.q += b.charge;
        a.q_h += b.charge_h + a.phi_h * b.charge_phi;
    } else {
        for (int i = first[resin]; i <= last[resin]; i++) {
            const double charge = x->n[i] * x->c[i] / x->s[i];
            a.q += charge;
            a.q_h += charge * (x->n_h[i] - x->s_h[i]);
        }
    }
    return a;
}

/* The pH at which the surface water is neutral: Newton on ln(cations/anions), which is nearly a
 * straight line in ln h, within a bracket.  Where it bends Newton can go to and fro for ever: eight
 * rounds that have not halved the bracket give way to a halving. */
static void solve(const struct passage *p, struct surface *x)
{
    enum { ROUNDS = 100, PATIENCE = 8 };
    double low = least_hydrogen, high = most_hydrogen, step = 1, width = log(high / low);
    for (int round = 0; round < ROUNDS && fabs(step) > 1e-6; round++) {
        surface_set(x, &p->k, x->h);
        const struct charge plus = charge_at(p, x, CATION), minus = charge_at(p, x, ANION);
        if (plus.q < minus.q)
            low = x->h;
        else
            high = x->h;
        step = -log(plus.q / minus.q) / (plus.q_h / plus.q - minus.q_h / minus.q);
        double next = x->h * exp(step);
        bool stalled = false;
        if (round % PATIENCE == PATIENCE - 1) {
            stalled = log(high / low) > 0.5 * width;
            width = log(high / low);
        }
        if (!(next > low && next < high) || stalled) {
            next = sqrt(low * high);
            step = log(next / x->h);
        }
        x->h = next;
        x->phi[CATION] *= exp(plus.phi_h * step);
        x->phi[ANION] *= exp(minus.phi_h * step);
    }
    surface_set(x, &p->k, x->h);
}

/* Passes the water in x->c through one cell. */
static void cell_carry(const struct passage *p, struct surface *x, double y[EXCHANGED_COUNT])
{
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        x->b[i] = y[i] + p->G[i] * x->c[i];
    solve(p, x);
    for (int resin = 0; resin < RESINS; resin++) {
        if (!p->there[resin])
            continue;
        /* beyond the error of solve(), to the side where sum y < 1 */
        const double phi = x->phi[resin] * (1 + 1e-11), phi2 = phi * phi;
        for (int i = first[resin]; i <= last[resin]; i++) {
            const double held = x->s[i] * p->F[i] * (p->z[i] == 2 ? phi2 : phi); /* c* by y */
            y[i] = x->b[i] / (1 + p->G[i] * held);
            const double surface = held * y[i];
            x->c[i] = surface + (x->c[i] - surface) * p->e[i];
        }
    }
}

static double path_flow(const struct resin *p, int path)
{
    return path == 0 ? 1 - p->short_flow : p->short_flow;
}

static double path_resin(const struct resin *p, int path)
{
    return path == 0 ? 1 - p->short_resin : p->short_resin;
}

static double resin_volume(const struct resin *p, int resin) /* m3, settled */
{
    const double share = resin == CATION ? p->cation_share : 1 - p->cation_share;
    return p->packing * p->volume * share;
}

static double capacity(const struct resin *p, int resin) /* Qr [mol/m3] */
{
    return resin == CATION ? p->cation_capacity : p->anion_capacity;
}

static double bed_voids(const struct resin *p)
{
    return 1 - p->packing * (1 - p->voids);
}

static double area(const struct resin *p) /* m2, across the flow */
{
    return p->volume / p->depth;
}

/* D [m2/s]; inorganic carbon moves partly as CO2, which is the faster. */
static double diffusivity(int i, double temperature, const struct speciation *in)
{
    const double d = water_diffusivity((enum species)i, temperature);
    const double carbon = in->co2 + in->hco3 + in->co3;
    if (i != CARBON || carbon <= 0)
        return d;
    return d * (1 + (co2_diffusivity_ratio - 1) * in->co2 / carbon);
}

static struct passage passage(const struct resin *p, int path, const struct parcel *water,
                              const struct speciation *in)
{
    const double volume = water->volume * path_flow(p, path);
    const double flow = volume / fmax(water->duration, 1e-9); /* in no time nothing is taken up */
    const double velocity = flow / (area(p) * path_resin(p, path));
    const double share = path_resin(p, path) / p->cells; /* a cell's share of the bed */
    const double surface = 6 / p->bead;                  /* m2 per m3 of beads */
    struct passage a = { .k = water_equilibria(water->temperature, in->ionic_strength) };

    for (int resin = 0; resin < RESINS; resin++) {
        const double settled = share * resin_volume(p, resin), q = capacity(p, resin);
        a.there[resin] = settled > 0;
        for (int i = first[resin]; i <= last[resin]; i++) {
            const double d = diffusivity(i, water->temperature, in);
            const double k = p->film * resin_film(p->bead, bed_voids(p), velocity, d);
            const double n = k * surface * (1 - p->voids) * settled / flow; /* transfer units */
            a.z[i] = valence(i);
            a.e[i] = exp(-n);
            a.G[i] = a.there[resin] ? -expm1(-n) * a.z[i] * volume / (settled * q) : 0;
            a.F[i] = 1 / (p->selectivity[i] * (a.z[i] == 2 ? 2 * q : 1));
        }
    }
    return a;
}

/* Sites that hold H+ or OH- in a cell, by share. */
static double fresh(const double y[EXCHANGED_COUNT], int resin)
{
    double left = 1;
    for (int i = first[resin]; i <= last[resin]; i++)
        left -= y[i];
    return left;
}

/* Passes water of composition c down one path. */
static void path_carry(const struct passage *p, const struct speciation *in, int cells,
                       double y[][EXCHANGED_COUNT], double c[])
{
    struct surface x;
    surface_init(&x, p);
    memcpy(x.c, c, sizeof x.c);
    x.h = in->h;
    x.phi[CATION] = in->h / fmax(fresh(y[0], CATION), 1e-6);
    x.phi[ANION] = in->oh / fmax(fresh(y[0], ANION), 1e-6);
    for (int cell = 0; cell < cells; cell++) /* starting from the surface upstream */
        cell_carry(p, &x, y[cell]);
    memcpy(c, x.c, sizeof x.c);
}

void resin_carry(const struct resin *p, struct resin_state *s, struct parcel *water)
{
    if (!(water->volume > 0))
        return;
    const struct speciation in = water_speciate(water->c, water->temperature);
    double out[EXCHANGED_COUNT] = { 0 };
    for (int path = 0; path < RESIN_PATHS; path++) {
        double c[EXCHANGED_COUNT];
        if (!(path_flow(p, path) > 0))
            continue;
        memcpy(c, water->c, sizeof c);
        if (path_resin(p, path) > 0) {
            const struct passage a = passage(p, path, water, &in);
            path_carry(&a, &in, p->cells, s->y[path], c);
        }
        for (int i = 0; i < EXCHANGED_COUNT; i++)
            out[i] += path_flow(p, path) * c[i];
    }
    memcpy(water->c, out, sizeof out);
}

void resin_init(const struct resin *p, struct resin_state *s)
{
    (void)p;
    memset(s, 0, sizeof *s);
}

double resin_film(double bead, double voids, double velocity, double diffusivity)
{
    return 1.09 / voids * cbrt(velocity * bead / diffusivity) * diffusivity / bead;
}

double resin_ergun(double bead, double voids, double velocity, double density, double viscosity)
{
    const double solid = 1 - voids, per = velocity / (voids * voids * voids * bead);
    return per * solid * (150 * viscosity * solid / bead + 1.75 * density * velocity);
}

double resin_pressure_drop(const struct resin *p, double flow, const struct fluid *water)
{
    const double density = water->density, viscosity = water->viscosity;
    return p->depth * resin_ergun(p->bead, bed_voids(p), flow / area(p), density, viscosity);
}

static double sites(const struct resin *p, int resin) /* mol of charge */
{
    return resin_volume(p, resin) * capacity(p, resin);
}

double resin_cation_sites(const struct resin *p)
{
    return sites(p, CATION);
}

double resin_anion_sites(const struct resin *p)
{
    return sites(p, ANION);
}

double resin_share_at(const struct resin *p, const struct resin_state *s, int cell, enum species i)
{
    double share = 0;
    if ((int)i >= EXCHANGED_COUNT || cell < 0 || cell >= p->cells)
        return 0;
    for (int path = 0; path < RESIN_PATHS; path++)
        share += path_resin(p, path) * s->y[path][cell][i];
    return share;
}

double resin_share(const struct resin *p, const struct resin_state *s, enum species i)
{
    double share = 0;
    if ((int)i >= EXCHANGED_COUNT)
        return 0;
    for (int path = 0; path < RESIN_PATHS; path++) {
        double y = 0;
        for (int cell = 0; cell < p->cells; cell++)
            y += s->y[path][cell][i];
        share += path_resin(p, path) * y / p->cells;
    }
    return share;
}

double resin_held(const struct resin *p, const struct resin_state *s, enum species i)
{
    const int resin = species[i].charge > 0 ? CATION : ANION;
    return (int)i < EXCHANGED_COUNT ? sites(p, resin) * resin_share(p, s, i) / valence((int)i) : 0;
}

double resin_used(const struct resin *p, const struct resin_state *s)
{
    double used[RESINS] = { 0 };
    for (int resin = 0; resin < RESINS; resin++)
        for (int i = first[resin]; i <= last[resin]; i++)
            used[resin] += resin_share(p, s, (enum species)i);
    return fmax(used[CATION], used[ANION]);
}

double resin_parcel_limit(const struct resin *p, const double c[])
{
    const double parcels = 8.0 * p->cells; /* in a life */
    double pace = 0;                       /* the path that is used up first, in lives of the bed */
    for (int path = 0; path < RESIN_PATHS; path++)
        if (path_resin(p, path) > 0)
            pace = fmax(pace, path_flow(p, path) / path_resin(p, path));
    double limit = 100 * p->volume;
    for (int resin = 0; resin < RESINS; resin++) {
        double load = 0; /* mol of charge per m3 */
        for (int i = first[resin]; i <= last[resin]; i++)
            load += valence(i) * c[i];
        if (sites(p, resin) > 0 && load > 0)
            limit = fmin(limit, sites(p, resin) / (load * pace * parcels));
    }
    return fmax(limit, 0.05 * p->volume);
}
