/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The operating point of the line, from docs/plant.md, docs/membrane.md, docs/valve.md,
 * docs/restrictor.md, docs/sediment.md, docs/carbon.md, docs/resin.md.  By another route than the
 * program's: the unknown is the feed flow, found by the secant from the flow before; the channel
 * of the membrane is an integral along its length (Runge and Kutta), not a row of segments.
 */
#include "peer.h"

#include <math.h>

static const double R = 8.314462618, G = 9.80665, CD = 0.62;

/* ---- membrane ----------------------------------------------------------------------------------
 */

struct channel {
    double A, B, leak, mu, rho, D, Sc, film;
    double d, section, path, spacer; /* hydraulic diameter, open cross-section */
    double n, pi_of_n;               /* osmolarity of the feed, mol/m3; Pa per mol/m3 of it */
    double Pp, area;
    int strips;
};

static double arrhenius(double u, double T)
{
    return exp(u * (1.0 / 298.15 - 1.0 / T));
}

static double osmotic_coefficient(double n, double rho)
{
    const double c = 0.5 * n / (1.0 - 17e-6 * 0.5 * n), m = c / rho, s = sqrt(m);
    const double phi = 1.0 - 0.3915 * s / (1.0 + 1.2 * s) + m * (0.0765 + 0.2664 * exp(-2.0 * s)) +
                       0.00127 * m * m;
    return phi * c / (0.5 * n);
}

static struct channel channel_at(const struct peer *p, double celsius)
{
    const struct peer_membrane *m = &p->ro;
    const double T = celsius + 273.15, h = m->spacer, e = m->porosity;
    struct channel c = { .leak = m->leak, .film = m->film, .path = m->path, .spacer = h };
    c.A = m->A * arrhenius(celsius >= 25.0 ? m->U : m->U_cold, T);
    c.B = m->B * arrhenius(m->Us, T);
    c.mu = peer_viscosity(celsius);
    c.rho = peer_density(celsius);
    c.D = 1.61e-9 * T / 298.15 * peer_viscosity(25.0) / c.mu;
    c.Sc = c.mu / (c.rho * c.D);
    c.d = 4.0 * e / (2.0 / h + (1.0 - e) * 8.0 / h);
    c.section = m->area / (2.0 * m->path) * h * e;
    c.n = peer_osmolarity(p, celsius);
    c.pi_of_n = osmotic_coefficient(c.n, c.rho) * R * T;
    c.area = m->area;
    c.strips = m->strips;
    return c;
}

static double film_coefficient(const struct channel *c, double q)
{
    const double Re = c->rho * q / c->section * c->d / c->mu;
    const double spacer = 0.065 * pow(Re, 0.875) * sqrt(sqrt(c->Sc)) * c->D / c->d;
    const double entry = 1.62 * cbrt(Re * c->Sc * c->d / c->path) * c->D / c->d;
    const double still = c->D / (0.5 * c->spacer);
    return c->film * fmax(fmax(spacer, entry), still);
}

static double loss_per_length(const struct channel *c, double q)
{
    const double u = q / c->section, Re = c->rho * u * c->d / c->mu;
    return q > 0.0 ? 6.23 * pow(Re, -0.3) * c->rho * u * u / (2.0 * c->d) : 0.0;
}

/* Flux where the bulk has an osmotic pressure pi, by the secant. */
static double flux(const struct channel *c, const double P_pi_k[3], double *passage)
{
    const double drive = P_pi_k[0] - c->Pp, pi = P_pi_k[1], k = P_pi_k[2];
    if (drive <= 0.0)
        return *passage = 1.0, 0.0;
    double J = c->A * fmax(drive - pi, 0.05 * drive), last = 0.0, f_last = c->A * drive;
    for (int i = 0; i < 60; i++) {
        const double E = exp(J / k), b = c->B + c->leak * J;
        *passage = b * E / (J + b * E);
        const double f = c->A * (drive - pi * E * J / (J + b * E)) - J;
        if (fabs(f) < 1e-14 * J || J == last)
            break;
        const double slope = (f - f_last) / (J - last);
        last = J, f_last = f;
        J = fmax(J - f / slope, 1e-3 * J);
        if (fabs(J - last) < 1e-15 * J)
            break;
    }
    return J;
}

/* y: flow, pressure, flow of ions; along the share x of the length. */
static void along(const struct channel *c, const double y[3], double dy[3])
{
    double passage;
    const double n = y[2] / y[0];
    const double J =
        flux(c, (double[3]){ y[1], c->pi_of_n * n, film_coefficient(c, y[0]) }, &passage);
    dy[0] = -J * c->area;
    dy[1] = -loss_per_length(c, y[0]) * c->path;
    dy[2] = -J * c->area * passage * n;
}

static double made(const struct channel *c, double feed, double pressure)
{
    const double h = 1.0 / c->strips;
    double y[3] = { feed, pressure, feed * c->n };
    for (int i = 0; i < c->strips; i++) {
        double k[4][3], z[3];
        along(c, y, k[0]);
        for (int s = 1; s < 4; s++) {
            for (int j = 0; j < 3; j++)
                z[j] = y[j] + (s < 3 ? 0.5 : 1.0) * h * k[s - 1][j];
            if (z[0] < 1e-3 * feed)
                return feed;
            along(c, z, k[s]);
        }
        for (int j = 0; j < 3; j++)
            y[j] += h / 6.0 * (k[0][j] + 2.0 * k[1][j] + 2.0 * k[2][j] + k[3][j]);
        if (y[0] < 1e-3 * feed)
            return feed;
    }
    return feed - y[0];
}

double peer_membrane_product(const struct peer *p, double celsius, double feed,
                             const double pressure[2])
{
    struct channel c = channel_at(p, celsius);
    c.Pp = pressure[1];
    return made(&c, feed, pressure[0]);
}

/* ---- losses ------------------------------------------------------------------------------------
 */

static double orifice(double Q, double area, double rho)
{
    return 0.5 * rho * Q * fabs(Q) / (CD * area * CD * area);
}

static double tube_loss(const struct peer *p, double Q, double rho, double mu)
{
    const double D = p->tube_bore, v = Q / (0.25 * M_PI * D * D), Re = rho * fabs(v) * D / mu;
    const double laminar = 64.0 / fmax(Re, 1e-300);
    double f = laminar;
    if (Re > 2300.0) {
        const double at = fmax(Re, 4000.0);
        const double g = log10(1.5e-6 / D / 3.7 + 5.74 / pow(at, 0.9));
        f = 0.25 / (g * g);
        if (Re < 4000.0) { /* the loss, not f, is linear in Re */
            const double low = 64.0 / 2300.0 * 2300.0 * 2300.0, high = f * 4000.0 * 4000.0;
            f = (low + (high - low) * (Re - 2300.0) / 1700.0) / (Re * Re);
        }
    }
    return Q == 0.0 ? 0.0 : f * p->tube_length / D * rho * v * fabs(v) / 2.0;
}

static double resin_loss(const struct peer *p, double Q, double rho, double mu)
{
    const double u = Q / (p->bed / p->depth), e = p->eps, d = p->bead;
    return p->depth * (150.0 * mu * (1.0 - e) * (1.0 - e) * u / (e * e * e * d * d) +
                       1.75 * (1.0 - e) * rho * u * u / (e * e * e * d));
}

double peer_float_opening(const struct peer *p, double level)
{
    return fmin(fmax((p->shuts_at - level) / p->float_band, 0.0), 1.0);
}

/* ---- operating point ---------------------------------------------------------------------------
 */

struct trial {
    const struct peer *p;
    const struct peer_mode *mode;
    struct channel channel;
    double supply, rho, mu, mu20, thin, held, level; /* thin: what cold does to the drain */
};

static double inlet_pressure(const struct trial *t, double Q)
{
    const struct peer *p = t->p;
    const double share = 1.0 - fmin(t->held / p->capacity, 0.97);
    return t->supply - orifice(Q, 0.25 * M_PI * p->valve_bore * p->valve_bore, t->rho) -
           p->sediment_a * Q * t->mu / t->mu20 / (share * share) -
           p->carbon_a * Q * t->mu / t->mu20;
}

static double back_pressure(const struct trial *t, double Qp)
{
    const struct peer *p = t->p;
    const double bed = resin_loss(p, Qp, t->rho, t->mu);
    if (t->mode->flush)
        return bed;
    double valve = 0.0;
    if (p->floats) {
        const double x = fmax(peer_float_opening(p, t->level), 1e-9);
        valve = orifice(Qp, x * 0.25 * M_PI * p->seat * p->seat, t->rho);
    }
    return bed + p->check_opening + t->rho * G * p->inlet + tube_loss(p, Qp, t->rho, t->mu) + valve;
}

static double drain_at(const struct trial *t, double Q, double Pm)
{
    const struct peer_membrane *m = &t->p->ro;
    const double P = fmax(Pm - loss_per_length(&t->channel, Q) * m->path, 0.0);
    return m->drain * pow(P / m->drain_at, m->drain_n) * t->thin;
}

/* How much more the membrane makes at a feed flow than is left of it for the product. */
static double over(struct trial *t, double Q, struct peer_flow *flow)
{
    const double Pm = inlet_pressure(t, Q);
    flow->drain = Pm > 0.0 ? drain_at(t, Q, Pm) : 0.0;
    flow->product = Q - flow->drain;
    if (flow->product <= 0.0)
        return 1e-6 - flow->product;
    t->channel.Pp = back_pressure(t, flow->product);
    return made(&t->channel, Q, Pm) - flow->product;
}

/* With the float seated only the drain runs. */
static double only_drain(const struct trial *t)
{
    double low = 0.0, high = 1e-3;
    for (int i = 0; i < 60; i++) {
        const double mid = 0.5 * (low + high), Pm = inlet_pressure(t, mid);
        *((Pm > 0.0 ? drain_at(t, mid, Pm) : 0.0) > mid ? &low : &high) = mid;
    }
    return 0.5 * (low + high);
}

/* Regula falsi in a bracket, steered by the secant. */
static double feed_flow(struct trial *t, double guess, struct peer_flow *flow)
{
    double low = 0.0, high = 1e-3;
    double x = guess > 0.0 ? guess : 1e-5, f = over(t, x, flow), last = x, f_last = f;
    for (int i = 0; i < 200; i++) {
        *(f > 0.0 ? &low : &high) = x;
        double next = i == 0 ? x * (f > 0.0 ? 1.001 : 0.999) : x - f * (x - last) / (f - f_last);
        if (!(next > low && next < high))
            next = 0.5 * (low + high);
        last = x, f_last = f;
        x = next;
        f = over(t, x, flow);
        if (f == 0.0 || fabs(x - last) < 1e-14 * x)
            break;
    }
    return x;
}

struct peer_flow peer_line(const struct peer *p, const struct peer_mode *m, double time,
                           const double held_level[2], double *guess)
{
    struct peer_flow flow = { 0.0, 0.0 };
    const bool open = p->switches ? m->power && (m->call || m->flush) : true;
    if (!open || !m->supply)
        return flow;
    struct trial t = { .p = p, .mode = m, .held = held_level[0], .level = held_level[1] };
    t.channel = channel_at(p, peer_cycle_at(&p->temperature, p->start_day, time));
    t.supply = peer_cycle_at(&p->pressure, p->start_day, time);
    t.rho = t.channel.rho;
    t.mu = t.channel.mu;
    t.mu20 = peer_viscosity(20.0);
    t.thin = pow(peer_viscosity(25.0) / t.mu, p->ro.drain_p);
    if (p->floats && m->seated && !m->flush)
        flow.drain = only_drain(&t);
    else
        *guess = feed_flow(&t, *guess, &flow);
    return flow;
}
