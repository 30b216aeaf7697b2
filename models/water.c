/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * water: properties of water, acids and pH, conductivity, osmotic pressure.  Page: docs/water.md,
 * with the equations in the same symbols and the source of every number.
 *
 * Assumes: no ion pairs, no hydrogen fluoride, sea salt and suspended solids carry no charge here;
 * activities after Davies, held at their value at 500 mol/m3 beyond it.
 */
#include "water.h"

#include <math.h>

static const double KELVIN = 273.15;
static const double GAS_CONSTANT = 8.314462618; /* R [J/(mol K)] */
static const double LN_10 = 2.302585092994046;

static double ten_to(double x)
{
    return exp(LN_10 * x);
}

double water_density(double temperature)
{
    const double t = temperature;

    return (999.83952 +
            t * (16.945176 + t * (-7.9870401e-3 +
                                  t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))) /
           (1.0 + 16.879850e-3 * t);
}

double water_viscosity(double temperature)
{
    const double tb = (temperature + KELVIN) / 300.0;

    return 1e-6 * (280.68 * pow(tb, -1.9) + 511.45 * pow(tb, -7.7) + 61.131 * pow(tb, -19.6) +
                   0.45903 * pow(tb, -40.0));
}

struct fluid water_fluid(double temperature)
{
    return (struct fluid){ temperature, water_density(temperature), water_viscosity(temperature) };
}

double water_vapour_pressure(double temperature)
{
    const double t = temperature + KELVIN;

    return exp(-5800.2206 / t + 1.3914993 +
               t * (-0.048640239 + t * (4.1764768e-5 - t * 1.4452093e-8)) + 6.5459673 * log(t));
}

double water_diffusivity(enum species s, double temperature)
{
    static const double viscosity_25 = 8.8999677368e-4; /* Pa s, water_viscosity(25) */

    return species[s].diffusivity * (temperature + KELVIN) / (25.0 + KELVIN) * viscosity_25 /
           water_viscosity(temperature);
}

struct sea water_sea(double temperature)
{
    const double t = temperature;

    return (struct sea){
        .fresh = 999.842594 +
                 t * (6.793952e-2 + t * (-9.095290e-3 +
                                         t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))),
        .a = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9))),
        .b = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6),
    };
}

double water_sea_slope(const struct sea *sea, double salinity)
{
    return sea->a + sea->b * sqrt(salinity) + 4.8314e-4 * salinity;
}

double water_sea_density(double salinity, double temperature)
{
    const struct sea sea = water_sea(temperature);

    return sea.fresh + salinity * water_sea_slope(&sea, salinity);
}

/* Ionic product of Marshall & Franck, log10 of (mol/kg)2; d is the density in kg/L. */
static double marshall_franck(double temperature, double d)
{
    const double t = temperature + KELVIN;

    return -4.098 - 3245.2 / t + 2.2362e5 / (t * t) - 3.984e7 / (t * t * t) +
           (13.957 - 1262.3 / t + 8.5641e5 / (t * t)) * log10(d);
}

double water_pure_conductivity_at(double temperature, double density)
{
    const double t = temperature, d = density / 1000.0;
    const double l00 =
        1850.0 - 1.0 / (1.0 / 1410.0 +
                        t * (2.16417e-6 + t * (1.81609e-7 + t * (-1.75297e-9 + t * 7.20708e-12))));
    const double rho_h = 16.0 - 1.0 / (1.0 / 11.6 + t * (3.26e-4 + t * (-2.3e-6 + t * 1.1e-8)));
    const double l0 = l00 * (rho_h - d) / rho_h; /* S cm2/mol */
    const double s_per_cm = 1e-3 * l0 * ten_to(0.5 * marshall_franck(t, d)) * d;

    return 100.0 * s_per_cm;
}

double water_pure_conductivity(double temperature)
{
    return water_pure_conductivity_at(temperature, water_density(temperature));
}

/* log10 of the ionic product [(mol/L)2]: IAPWS R11, Bandura & Lvov 2006; t in K. */
static double log_kw(double t)
{
    const double d = 1e-3 * water_density(t - KELVIN);
    const double z = d * exp(-0.702132 + (8681.05 - 24145.1 * cbrt(d * d) / t) / t);
    const double gas = 0.61415 + (48251.33 + (-67707.93 + 10102100.0 / t) / t) / t;
    const double water =
        -12.0 * (log10(1.0 + z) - z / (z + 1.0) * d * (0.813876 - 51.4471 / t - 0.46992 * d));

    return -(water + gas + 2.0 * log10(0.018015268 / d));
}

/* Constants at zero ionic strength and Davies' A, which depend on temperature alone. */
struct thermal {
    struct equilibria k;
    double a; /* A, (L/mol)^(1/2) */
};

static struct thermal thermal_constants(double temperature)
{
    const double t = temperature + KELVIN;
    const double log_t = log10(t);
    const double eps_t = (60954.0 / (t + 116.0) - 68.937) * t; /* permittivity times T */
    const double k1 =
        -356.3094 - 0.06091964 * t + (21834.37 - 1684915.0 / t) / t + 126.8339 * log_t;
    const double k2 = -107.8871 - 0.03252849 * t + (5151.79 - 563713.9 / t) / t + 38.92561 * log_t;
    const double knh4 = -0.09018 - 2729.92 / t;

    /* from mol/L to mol/m3; silica has 10^-9.83 mol/L at every temperature */
    const struct equilibria k = {
        .kw = 1e6 * ten_to(log_kw(t)),
        .k1 = 1e3 * ten_to(k1),
        .k2 = 1e3 * ten_to(k2),
        .ksi = 1.4791083881682e-7,
        .knh4 = 1e3 * ten_to(knh4),
        .g1 = 1.0,
    };
    return (struct thermal){ .k = k, .a = 1.82e6 / (eps_t * sqrt(eps_t)) };
}

/* Davies' function of the ionic strength: log10 g = -A z2 times it. */
static double davies(double ionic_strength)
{
    const double i = fmin(1e-3 * fmax(ionic_strength, 0.0), 0.5); /* mol/L */
    const double root = sqrt(i);

    return root / (1.0 + root) - 0.3 * i;
}

/* Puts the activity coefficients into the constants. */
static struct equilibria at_ionic_strength(const struct thermal *at, double ionic_strength)
{
    const double g1 = ten_to(-at->a * davies(ionic_strength));
    const double g1_2 = g1 * g1, g2 = g1_2 * g1_2;

    return (struct equilibria){
        .kw = at->k.kw / g1_2,
        .k1 = at->k.k1 / g1_2,
        .k2 = at->k.k2 / g2,
        .ksi = at->k.ksi / g1_2,
        .knh4 = at->k.knh4, /* NH4+ and H+ cancel */
        .g1 = g1,
    };
}

struct equilibria water_equilibria(double temperature, double ionic_strength)
{
    const struct thermal at = thermal_constants(temperature);

    return at_ionic_strength(&at, ionic_strength);
}

/* What the pH does not change [mol/m3]. */
struct totals {
    double strong; /* charge of strong cations less that of strong anions */
    double ammonia, carbon, silica;
};

/* Charge left over at [H] = h, and how it grows with ln h (the buffer intensity, positive). */
static double charge(const struct equilibria *k, const struct totals *t, double h, double *slope)
{
    const double oh = k->kw / h;
    const double nh4 = h / (h + k->knh4);
    const double h3sio4 = k->ksi / (h + k->ksi);
    const double k12 = k->k1 * k->k2;
    const double per = 1.0 / (h * (h + k->k1) + k12);
    const double co2 = h * h * per, hco3 = k->k1 * h * per, co3 = k12 * per; /* shares */

    *slope = h + oh + t->ammonia * nh4 * (1.0 - nh4) + t->silica * h3sio4 * (1.0 - h3sio4) +
             t->carbon * (co2 * hco3 + 4.0 * co2 * co3 + hco3 * co3);
    return t->strong + h - oh + t->ammonia * nh4 - t->silica * h3sio4 -
           t->carbon * (hco3 + 2.0 * co3);
}

/* Positive root of a x2 + b x - c = 0 for a, c > 0, free of cancellation. */
static double positive_root(double a, double b, double c)
{
    const double root = sqrt(b * b + 4.0 * a * c);

    return b > 0.0 ? 2.0 * c / (b + root) : (root - b) / (2.0 * a);
}

/* Closed-form estimate of [H]: as acid water where carbon is nearly all CO2, else as bicarbonate
 * water where HCO3 is nearly all that the strong ions leave room for. */
static double hydrogen_estimate(const struct equilibria *k, const struct totals *t)
{
    const double strong = t->strong + t->ammonia;
    const double weak = k->kw + k->k1 * t->carbon;
    if (strong <= 0.0 || strong * strong < weak)
        return positive_root(1.0, strong, weak);

    const double hco3 = fmin(strong, t->carbon);
    return positive_root(1.0 + hco3 / k->k1, strong - t->carbon, hco3 * k->k2 + k->kw);
}

static double clamp(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

/* Newton in ln h, kept inside a bracket that shrinks with every look; pH stays within 0 and 14. */
static double hydrogen(const struct equilibria *k, const struct totals *t, double estimate)
{
    const double least = 1e-11 / k->g1, most = 1e3 / k->g1;
    double low = least, high = most;
    double h = clamp(estimate, low, high);

    for (int i = 0; i < 100; i++) {
        double slope;
        const double f = charge(k, t, h, &slope);
        const double step = -f / slope;
        if (fabs(step) < 1e-8) /* quadratic: the next error is below rounding */
            return clamp(h * (1.0 + step), least, most);
        if (f > 0.0)
            high = h;
        else
            low = h;
        const double next = h * exp(clamp(step, -30.0, 30.0));
        h = next > low && next < high ? next : sqrt(low * high);
    }
    return h;
}

double water_hydrogen(const struct equilibria *k, double strong, double ammonia, double carbon,
                      double silica)
{
    const struct totals t = { strong, ammonia, carbon, silica };

    return hydrogen(k, &t, hydrogen_estimate(k, &t));
}

/* Charges and ionic strength of the ions that do not depend on pH. */
struct strong_ions {
    double charge;         /* mol/m3, cations less anions */
    double ionic_strength; /* mol/m3 */
};

static struct strong_ions strong_ions(const double c[])
{
    struct strong_ions sum = { 0.0, 0.0 };

    for (int i = FIRST_CATION; i <= FLUORIDE; i++) {
        const double z = i == AMMONIUM ? 0.0 : species[i].charge;
        sum.charge += z * c[i];
        sum.ionic_strength += 0.5 * z * z * c[i];
    }
    return sum;
}

/* Forms of the weak acids at a given [H]. */
static struct speciation forms(const struct equilibria *k, const struct totals *t, double h)
{
    const double k12 = k->k1 * k->k2;
    const double per = t->carbon / (h * (h + k->k1) + k12);

    return (struct speciation){
        .ph = 3.0 - log10(k->g1 * h),
        .h = h,
        .oh = k->kw / h,
        .co2 = h * h * per,
        .hco3 = k->k1 * h * per,
        .co3 = k12 * per,
        .h3sio4 = t->silica * k->ksi / (h + k->ksi),
        .nh3 = t->ammonia * k->knh4 / (h + k->knh4),
    };
}

/* The constants depend on the ionic strength and it on the forms: a fixed point, reached from the
 * strong ions alone in two to five rounds, at most eight. */
struct speciation water_speciate(const double c[], double temperature)
{
    const struct strong_ions strong = strong_ions(c);
    const struct totals t = { strong.charge, c[AMMONIUM], c[CARBON], c[SILICA] };
    const struct thermal at = thermal_constants(temperature);
    double ionic_strength = strong.ionic_strength + 0.5 * fabs(strong.charge);
    double h = 0.0;

    for (int i = 0;; i++) {
        const struct equilibria k = at_ionic_strength(&at, ionic_strength);
        h = hydrogen(&k, &t, i == 0 ? hydrogen_estimate(&k, &t) : h);
        struct speciation s = forms(&k, &t, h);
        s.ionic_strength = strong.ionic_strength +
                           0.5 * (h + s.oh + t.ammonia - s.nh3 + s.hco3 + 4.0 * s.co3 + s.h3sio4);
        if (fabs(s.ionic_strength - ionic_strength) <= 1e-10 * s.ionic_strength || i == 50)
            return s;
        ionic_strength = s.ionic_strength;
    }
}

/* One side of a mixture in the units of the conductance literature. */
struct side {
    double eq;          /* meq/L */
    double conductance; /* sum of lambda times eq [uS/cm] */
    double charge;      /* sum of |z| times eq: divided by eq, the mean |z| */
};

static void add_ion(struct side *s, double z, double lambda, double mol)
{
    const double eq = z * mol;

    s->eq += eq;
    s->conductance += 1e4 * lambda * eq; /* S m2/mol to S cm2/mol */
    s->charge += z * eq;
}

static const double LAMBDA_H = 349.65e-4, LAMBDA_OH = 198.0e-4, LAMBDA_CO3 = 69.3e-4;

/* Sums up cations and anions, H+ and OH- among them. */
static void add_up(const double c[], const struct speciation *s, struct side *cations,
                   struct side *anions)
{
    add_ion(cations, 1.0, LAMBDA_H, s->h);
    for (int i = FIRST_CATION; i < AMMONIUM; i++)
        add_ion(cations, species[i].charge, species[i].conductance, c[i]);
    add_ion(cations, 1.0, species[AMMONIUM].conductance, c[AMMONIUM] - s->nh3);

    add_ion(anions, 1.0, LAMBDA_OH, s->oh);
    for (int i = FIRST_ANION; i <= FLUORIDE; i++)
        add_ion(anions, -species[i].charge, species[i].conductance, c[i]);
    add_ion(anions, 1.0, species[CARBON].conductance, s->hco3);
    add_ion(anions, 2.0, LAMBDA_CO3, s->co3);
    add_ion(anions, 1.0, species[SILICA].conductance, s->h3sio4);
}

/* 1 - x, and from x = 0.25 on, far outside the range of the law, a curve with the same slope that
 * keeps the product with the concentration growing. */
static double share_kept(double x)
{
    static const double end = 0.25;

    return x <= end ? 1.0 - x : (1.0 - end) * (1.0 - end) / (1.0 - 2.0 * end + x);
}

static double rossum(const struct side *cations, const struct side *anions)
{
    const double zc = cations->charge / cations->eq, za = anions->charge / anions->eq;
    const double lc = cations->conductance / cations->eq, la = anions->conductance / anions->eq;
    const double m = 0.5 * (cations->eq + anions->eq);
    const double z = zc + za;
    const double q = za * zc * (la + lc) / (z * (zc * la + za * lc));
    const double ideal = cations->conductance + anions->conductance;
    const double loss = (2.0 * q * za * zc * (la + lc) / (115.2 * z * (1.0 + sqrt(q))) + 0.668) *
                        z * m * sqrt(z * m);

    return 1e-4 * ideal * share_kept(loss / ideal); /* uS/cm to S/m */
}

static double standard_2510(const struct side *cations, const struct side *anions,
                            double ionic_strength)
{
    const double y = ten_to(-0.5 * davies(ionic_strength));

    return 1e-4 * (cations->conductance + anions->conductance) * y * y;
}

double water_conductivity_rossum(const double c[], const struct speciation *s)
{
    struct side cations = { 0.0, 0.0, 0.0 }, anions = { 0.0, 0.0, 0.0 };

    add_up(c, s, &cations, &anions);
    return rossum(&cations, &anions);
}

double water_conductivity_2510(const double c[], const struct speciation *s)
{
    struct side cations = { 0.0, 0.0, 0.0 }, anions = { 0.0, 0.0, 0.0 };

    add_up(c, s, &cations, &anions);
    return standard_2510(&cations, &anions, s->ionic_strength);
}

double water_conductivity(const double c[], const struct speciation *s)
{
    struct side cations = { 0.0, 0.0, 0.0 }, anions = { 0.0, 0.0, 0.0 };

    add_up(c, s, &cations, &anions);
    const double hard = 2.0 * (c[CALCIUM] + c[MAGNESIUM]) / cations.eq;
    return (1.0 - hard) * rossum(&cations, &anions) +
           hard * standard_2510(&cations, &anions, s->ionic_strength);
}

double water_osmolarity(const double c[], const struct speciation *s)
{
    double ions = s->h + s->oh + s->hco3 + s->co3 + s->h3sio4 + c[AMMONIUM] - s->nh3;

    for (int i = FIRST_CATION; i <= FLUORIDE; i++)
        ions += i == AMMONIUM ? 0.0 : c[i];
    return ions;
}

double water_osmotic_coefficient(double molality)
{
    const double m = fmax(molality, 0.0);
    const double root = sqrt(m);

    return 1.0 - 0.3915 * root / (1.0 + 1.2 * root) + m * (0.0765 + 0.2664 * exp(-2.0 * root)) +
           0.00127 * m * m;
}

double water_osmotic_pressure(double osmolarity, double temperature)
{
    static const double volume = 17e-6;             /* apparent, of NaCl [m3/mol] */
    const double salt = 0.5 * osmolarity;           /* mol of NaCl per m3 */
    const double filled = fmin(salt * volume, 0.5); /* share of the volume that is salt */
    const double per_water = salt / (1.0 - filled); /* mol per m3 of water */
    const double m = per_water / water_density(temperature);

    return water_osmotic_coefficient(m) * 2.0 * per_water * GAS_CONSTANT * (temperature + KELVIN);
}

double water_meter(const struct meter *meter, double conductivity)
{
    const double shown = meter->factor * conductivity;

    return meter->resolution > 0.0 ? meter->resolution * round(shown / meter->resolution) : shown;
}

double water_meter_compensated(double conductivity_at_t, double temperature, double coefficient)
{
    return conductivity_at_t / (1.0 + coefficient * (temperature - 25.0));
}
