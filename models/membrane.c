/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane: reverse-osmosis element as segments of a feed channel in series.
 * In each: J = A (P - Pp - pi(cm) + pi(cp)), cm - cp = (cb - cp) exp(J/k), cp = cb B E/(J + B E).
 * Page: docs/membrane.md, with the same symbols.
 *
 * Assumes: one permeate pressure, no mixing between segments, permeate drawn off where it is made;
 * the osmotic coefficient of the feed holds for the whole channel; for the flow of water all ions
 * are one salt with the B of NaCl.  Flux is never negative: no forward osmosis.
 */
#include "membrane.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "membrane_channel.h"
#include "water.h"

static const double KELVIN = 273.15;
static const double VISCOSITY_25 = 8.899968e-4; /* Pa s, water_viscosity(25) */
static const double LARGEST_SHARE = 0.98;       /* of the water that reaches a segment */

/* exp(U (1/298.15 - 1/T)), 1 at 25 degC */
static double arrhenius(double activation, double temperature)
{
    return exp(activation * (1.0 / (25.0 + KELVIN) - 1.0 / (temperature + KELVIN)));
}

double membrane_temperature_factor(const struct membrane *m, double temperature)
{
    const bool cold = temperature < 25.0;

    return arrhenius(cold ? m->water_activation_cold : m->water_activation, temperature);
}

double membrane_salt_factor(const struct membrane *m, double temperature)
{
    return arrhenius(m->salt_activation, temperature);
}

/* ---- the feed channel ---- */

/* Hydraulic diameter [m] of a channel with round filaments of half its height. */
static double hydraulic_diameter(const struct membrane *m)
{
    const double h = m->spacer;

    return 4.0 * m->porosity / (2.0 / h + (1.0 - m->porosity) * 8.0 / h);
}

double membrane_area(const struct membrane *m)
{
    return m->elements * m->area;
}

/* Elements that the water of the feed channel passes one after the other. */
static int in_row(const struct membrane *m)
{
    return m->joined == MEMBRANE_SERIES ? m->elements : 1;
}

/* A leaf has membrane on both sides. */
double membrane_section(const struct membrane *m)
{
    const int abreast = m->joined == MEMBRANE_PARALLEL ? m->elements : 1;

    return abreast * m->area / (2.0 * m->path) * m->spacer * m->porosity;
}

int membrane_segments(const struct membrane *m)
{
    return in_row(m) * m->segments;
}

/* D of NaCl [m2/s], as temperature over viscosity. */
static double salt_diffusivity(const struct fluid *water)
{
    const double t = water->temperature + KELVIN;

    return D_NACL * t / (25.0 + KELVIN) * VISCOSITY_25 / water->viscosity;
}

/* The film and loss of a channel at a flow of 1 m3/s, in logarithms.  The laminar layer begins anew
 * in each element, because the water is mixed on its way there; the loss adds up. */
static struct film unit_film(const struct membrane *m, const struct fluid *water)
{
    const double mu = water->viscosity, rho = water->density;
    const double D = salt_diffusivity(water);
    const double d = hydraulic_diameter(m), u = 1.0 / membrane_section(m);
    const double re = log(rho * u * d / mu), sc = log(mu / (rho * D));
    const double unit = log(m->polarization * D / d);

    return (struct film){
        .spacer = log(0.065) + 0.875 * re + 0.25 * sc + unit,
        .entry = log(1.62) + (re + sc + log(d / m->path)) / 3.0 + unit,
        .still = log(2.0 * d / m->spacer) + unit,
        .loss = log(6.23 * rho * u * u * in_row(m) * m->path / (2.0 * d)) - 0.3 * re,
    };
}

/* fmax and fmin mind NaN, which costs a call */
static double larger(double a, double b)
{
    return a > b ? a : b;
}

static double smaller(double a, double b)
{
    return a < b ? a : b;
}

double membrane_channel_hold(const struct film *f, double ln_q, double ln_d)
{
    const double spacer = f->spacer + 0.875 * ln_q + 0.75 * ln_d;
    const double entry = f->entry + (1.0 / 3.0) * (ln_q + 2.0 * ln_d);
    const double still = f->still + ln_d;

    return exp(-larger(larger(spacer, entry), still));
}

double membrane_film(const struct membrane *m, double channel_flow, double diffusivity,
                     double temperature)
{
    const struct fluid water = water_fluid(temperature);
    const struct film f = unit_film(m, &water);
    const double D = salt_diffusivity(&water);

    return 1.0 / membrane_channel_hold(&f, log(fmax(channel_flow, 0.0)), log(diffusivity / D));
}

double membrane_channel_loss(const struct membrane *m, double flow, const struct fluid *water)
{
    const struct film f = unit_film(m, water);

    return membrane_channel_drop(&f, flow);
}

double membrane_channel_drop(const struct film *f, double flow)
{
    return flow > 0.0 ? exp(f->loss + 1.7 * log(flow)) : 0.0;
}

/* ---- flow of water ---- */

struct channel membrane_channel(const struct membrane *m, double flow, double osmolarity,
                                const struct fluid *water)
{
    const double c = fmax(osmolarity, 1e-6); /* pure water has a limit, not a quotient */
    const int segments = membrane_segments(m);
    assert(segments >= 1 && segments <= SEGMENTS_MAX);

    return (struct channel){
        .segments = segments,
        .area = membrane_area(m) / segments,
        .flow = flow,
        .A = m->water_permeability * membrane_temperature_factor(m, water->temperature),
        .B = m->salt_permeability * membrane_salt_factor(m, water->temperature),
        .leak = m->leak,
        .osmotic = water_osmotic_pressure(c, water->temperature) / c,
        .film = unit_film(m, water),
    };
}

double membrane_passage(double J, double per_k, double B)
{
    return B > 0.0 ? B / (J * exp(-J * per_k) + B) : 0.0;
}

/* What a segment passes: water, and the share of the lumped salt that goes with it, cp/cb. */
struct local {
    double flux;
    double share;
};

/* The same where the film is thin, E = 1: a quadratic, and what the walk starts from. */
static struct local first_local(const struct channel *ch, double net, double pi)
{
    if (!(net > 0.0))
        return (struct local){ .flux = 0.0, .share = 1.0 };

    const double a = 1.0 + ch->leak;
    const double b = ch->B + ch->A * (pi - net * a), c = ch->A * net * ch->B;
    const double root = sqrt(b * b + 4.0 * a * c);
    const double J = b > 0.0 ? 2.0 * c / (b + root) : (root - b) / (2.0 * a);
    const double B = ch->B + ch->leak * J;

    return (struct local){ .flux = J, .share = B / (J + B) };
}

/* exp(x); near 0 by its series, there right to the last bit or two */
static inline double exp_near_0(double x)
{
    const double sixth = 1.0 / 6.0, t24 = 1.0 / 24.0, t120 = 1.0 / 120.0;
    return fabs(x) < 0.01 ? 1.0 + x * (1.0 + x * (0.5 + x * (sixth + x * (t24 + x * t120))))
                          : exp(x);
}

/* Root of J = A (net - pi (cm - cp)/cb), where (cm - cp)/cb = J E/(J + B E) with B leak included;
 * pi is that of the bulk.  The residual rises with J, so that there is one root in 0 .. A net. */
static struct local local_flux(const struct channel *ch, double net, double pi, double per_k,
                               double guess)
{
    if (!(net > 0.0))
        return (struct local){ .flux = 0.0, .share = 1.0 };

    const double most = ch->A * net, api = ch->A * pi;
    double low = 0.0, high = most;
    struct local at = { .flux = guess > low && guess < high ? guess : high };
    double J = at.flux, e = exp(-J * per_k);
    for (int i = 0; i < 60; i++) {
        const double d = J * (e + ch->leak) + ch->B; /* J E/(J + B E) = J/d, with slope n/d2 */
        const double n = ch->B + J * J * e * per_k;
        const double residual = d * ((J - most) * d + api * J); /* all times d2 */
        const double step = -residual / (d * d + api * n);
        const double next = J + step, B = ch->B + ch->leak * next;
        if (residual > 0.0)
            high = J;
        else
            low = J;
        at.share = B / (next * e * (1.0 - step * per_k) + B);
        at.flux = next;
        if (fabs(step) <= 1e-6 * J) /* quadratic: after it the error is below rounding */
            break;
        if (!(next > low && next < high))
            at.flux = 0.5 * (low + high);
        e *= exp_near_0((J - at.flux) * per_k);
        J = at.flux;
    }
    return at;
}

/* Bulk, film and loss are taken at the middle of a segment, whose flow is foreseen from the flux of
 * the segment before: second order in the segment's length. */
static inline double march(const struct channel *ch, double driving, double osmolarity,
                           double flux[], struct membrane_segment seen[])
{
    const double part = 1.0 / ch->segments, per_area = 1.0 / ch->area;
    double q = ch->flow, salt = ch->flow * osmolarity; /* m3/s and mol/s that arrive */
    double lost = 0.0, total = 0.0, change = 0.0;
    struct local at = first_local(ch, driving, ch->osmotic * osmolarity);

    for (int i = 0; i < ch->segments; i++) {
        const double half = 0.5 * smaller(ch->area * at.flux, LARGEST_SHARE * q);
        const double middle = q - half, ln_q = log(middle);
        const double bulk = salt * (q - half * at.share) / (q * middle);
        const double per_k = membrane_channel_hold(&ch->film, ln_q, 0.0);
        const double loss = part * exp(ch->film.loss + 1.7 * ln_q);
        const double net = driving - lost - 0.5 * loss, before = at.flux;

        at = local_flux(ch, net, ch->osmotic * bulk, per_k, before + change);
        const double drawn = smaller(ch->area * at.flux, LARGEST_SHARE * q);
        change = i > 0 ? at.flux - before : 0.0;
        flux[i] = drawn * per_area;
        if (seen)
            seen[i] = (struct membrane_segment){ q, middle, bulk, net, per_k, flux[i], drawn };
        total += drawn;
        q -= drawn;
        salt -= drawn * at.share * bulk;
        lost += loss;
    }
    return total;
}

double membrane_march(const struct channel *ch, double driving, double osmolarity, double flux[])
{
    return march(ch, driving, osmolarity, flux, NULL);
}

double membrane_walk(const struct membrane *m, const struct membrane_point *at,
                     struct membrane_segment seen[])
{
    double flux[SEGMENTS_MAX];
    const struct fluid water = water_fluid(at->temperature);
    const struct channel ch = membrane_channel(m, at->feed_flow, at->osmolarity, &water);
    return march(&ch, at->feed_pressure - at->permeate_pressure, at->osmolarity, flux, seen);
}

double membrane_permeate(const struct membrane *m, const struct membrane_point *at, double flux[])
{
    double own[SEGMENTS_MAX];
    double *const J = flux ? flux : own;
    const double driving = at->feed_pressure - at->permeate_pressure;

    if (!(at->feed_flow > 0.0) || !(driving > 0.0)) {
        for (int i = 0; i < membrane_segments(m); i++)
            J[i] = 0.0;
        return 0.0;
    }
    const struct fluid water = water_fluid(at->temperature);
    const struct channel ch = membrane_channel(m, at->feed_flow, at->osmolarity, &water);
    return membrane_march(&ch, driving, at->osmolarity, J);
}
