/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Properties of water and of the feed, and evaporation, from docs/water.md, docs/species.md,
 * docs/feed.md and docs/basin.md.
 */
#include "peer.h"

#include <math.h>

double peer_cycle_at(const struct peer_cycle *c, double start_day, double t)
{
    const double day = start_day + t / 86400.0;
    return c->mean + c->season * cos(2.0 * M_PI * (day - c->peak_day) / 365.25) +
           c->daily * cos(2.0 * M_PI * (24.0 * day - c->peak_hour) / 24.0);
}

double peer_density(double t)
{
    return (999.83952 +
            t * (16.945176 + t * (-7.9870401e-3 +
                                  t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t))))) /
           (1.0 + 16.879850e-3 * t);
}

double peer_viscosity(double t)
{
    const double b = (t + 273.15) / 300.0;
    return 1e-6 * (280.68 * pow(b, -1.9) + 511.45 * pow(b, -7.7) + 61.131 * pow(b, -19.6) +
                   0.45903 * pow(b, -40.0));
}

double peer_vapour(double t)
{
    const double T = t + 273.15;
    return exp(-5800.2206 / T + 1.3914993 - 0.048640239 * T + 4.1764768e-5 * T * T -
               1.4452093e-8 * T * T * T + 6.5459673 * log(T));
}

/* Constants on activities, mol/L. */
struct acids {
    double w, one, two, silica, davies;
};

static struct acids acids_at(double t)
{
    const double T = t + 273.15, d = peer_density(t) / 1000.0;
    const double Z = d * exp(-0.702132 + 8681.05 / T - 24145.1 * pow(d, 2.0 / 3.0) / (T * T));
    const double log_w =
        12.0 * (log10(1.0 + Z) - Z / (Z + 1.0) * d * (0.813876 - 51.4471 / T - 0.46992 * d)) -
        (0.61415 + 48251.33 / T - 67707.93 / (T * T) + 10102100.0 / (T * T * T)) -
        2.0 * log10(0.018015268 / d);
    const double log_1 =
        -356.3094 - 0.06091964 * T + 21834.37 / T + 126.8339 * log10(T) - 1684915.0 / (T * T);
    const double log_2 =
        -107.8871 - 0.03252849 * T + 5151.79 / T + 38.92561 * log10(T) - 563713.9 / (T * T);
    const double eps = 60954.0 / (T + 116.0) - 68.937;
    return (struct acids){ pow(10.0, log_w), pow(10.0, log_1), pow(10.0, log_2), pow(10.0, -9.83),
                           1.82e6 * pow(eps * T, -1.5) };
}

/* Charge that is over at [H] = h, all mol/m3; n becomes the ions' number, ionic their strength. */
static double charge(const struct peer *p, const struct acids *a, const double h_g[2], double n[2])
{
    const double h = h_g[0], g1 = h_g[1], g2 = g1 * g1 * g1 * g1;
    const double kw = 1e6 * a->w / (g1 * g1), k1 = 1e3 * a->one / (g1 * g1), k2 = 1e3 * a->two / g2;
    const double ks = 1e3 * a->silica / (g1 * g1);
    const double all = h * h + k1 * h + k1 * k2;
    const double bi = p->carbon * k1 * h / all, carbonate = p->carbon * k1 * k2 / all;
    const double si = p->silica * ks / (h + ks), oh = kw / h;
    n[0] = p->ions + h + oh + bi + carbonate + si;
    n[1] = h + oh + bi + 4.0 * carbonate + si; /* sum z^2 c of these */
    return p->strong + h - oh - bi - 2.0 * carbonate - si;
}

/* Halving in ln h: slow and sure. */
static double osmolarity_at(const struct peer *p, double t, double strong_squares)
{
    const struct acids a = acids_at(t);
    double g1 = 1.0, n[2] = { 0.0, 0.0 };
    for (int round = 0; round < 30; round++) {
        double low = log(1e-11), high = log(1e3);
        for (int i = 0; i < 100; i++) {
            const double mid = 0.5 * (low + high);
            *(charge(p, &a, (double[2]){ exp(mid), g1 }, n) > 0.0 ? &high : &low) = mid;
        }
        const double ionic = 0.5e-3 * (strong_squares + n[1]), root = sqrt(ionic);
        g1 = pow(10.0, -a.davies * (root / (1.0 + root) - 0.3 * ionic));
    }
    return n[0];
}

void peer_osmolarities(struct peer *p)
{
    const double strong_squares = p->osmolarity[0]; /* left there by the reader */
    for (int i = 0; i < OSMO_ROWS; i++)
        p->osmolarity[i] = osmolarity_at(p, 0.5 * i, strong_squares);
}

double peer_osmolarity(const struct peer *p, double t)
{
    const double at = fmin(fmax(2.0 * t, 0.0), OSMO_ROWS - 1.001);
    const int i = (int)at;
    return p->osmolarity[i] + (at - i) * (p->osmolarity[i + 1] - p->osmolarity[i]);
}

static double carrier(double v, double dp, double water)
{
    return (0.0885 + 0.0779 * v) * dp / 1000.0 / (2501.0 - 2.381 * water); /* kg/(m2 s) */
}

static double shah(double water, double air, double humidity)
{
    const double P = 101325.0, pw = peer_vapour(water), pr = humidity * peer_vapour(air);
    const double Ww = 0.621945 * pw / (P - pw), Wr = 0.621945 * pr / (P - pr);
    const double rw = (P - pw) / (287.042 * (water + 273.15));
    const double rr = (P - pr) / (287.042 * (air + 273.15));
    const double natural = rr > rw ? 35.0 * rw * cbrt(rr - rw) * (Ww - Wr) : 0.0;
    const double forced = 5e-5 * (pw - pr);
    return (fabs(natural) > fabs(forced) ? natural : forced) / 3600.0;
}

double peer_evaporation(const struct peer *p, double t)
{
    const double water = peer_cycle_at(&p->water, p->start_day, t);
    const double air = peer_cycle_at(&p->air, p->start_day, t);
    const double humidity = peer_cycle_at(&p->humidity, p->start_day, t);
    const double v = peer_cycle_at(&p->draught, p->start_day, t);
    const double dp = peer_vapour(water) - humidity * peer_vapour(air);
    double e = 0.74 * carrier(v, dp, water);
    if (v < 0.1) {
        const double x = v / 0.1, S = shah(water, air, humidity);
        const double M = 0.74 * carrier(0.1, dp, water), R = M - 0.74 * carrier(0.0, dp, water);
        e = S + x * x * ((3.0 - 2.0 * x) * (M - S) - (1.0 - x) * R);
    }
    return p->calibration * p->open_surface * e / peer_density(water);
}
