/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The membrane against published figures.  Sources and their standing stand beside each check;
 * trade pages are cited without names.  Units of the sources: 1 gal/day = 4.3812636e-8 m3/s, 1 psi
 * = 6894.757 Pa, 1 L/(m2 h) = 1/3.6e6 m/s.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/membrane.h"
#include "models/root.h"
#include "models/water.h"
#include "tests/at.h"

static const double GPD = 4.3812636e-8;
static const double PSI = 6894.757;
static const double LMH = 1.0 / 3.6e6;      /* m/s */
static const double LMH_BAR = 1.0 / 3.6e11; /* m/(s Pa) */
static const double NACL = 58.44277e-3;     /* kg/mol */

static struct membrane element(double area)
{
    struct membrane m = { .elements = 1,
                          .area = area,
                          .path = 0.25,
                          .spacer = 0.5e-3,
                          .porosity = 0.9,
                          .water_activation = 2640.0,
                          .water_activation_cold = 3020.0,
                          .salt_activation = 3490.0,
                          .polarization = 1.0,
                          .segments = 6,
                          .restrictor = { .flow = 1e-5,
                                          .pressure = 60.0 * 6894.757,
                                          .exponent = 0.556,
                                          .viscosity_exponent = 0.113 } };
    for (int i = 0; i < SPECIES_COUNT; i++)
        m.relative[i] = species[i].passage;
    return m;
}

/* ---- temperature ---- */

Test(published_membrane, temperature_chart_with_two_activations)
{
    /* Trade chart, 25 degC basis, reciprocal factor (read); U 2640 K at or above 25 degC and 3020 K
     * below from trade notes (read).  0.15 %. */
    static const double chart[][2] = { { 10, 1.711 }, { 12, 1.588 }, { 14, 1.475 }, { 15, 1.422 },
                                       { 16, 1.371 }, { 18, 1.276 }, { 20, 1.189 }, { 22, 1.109 },
                                       { 24, 1.035 }, { 26, 0.971 }, { 27, 0.943 }, { 28, 0.915 },
                                       { 29, 0.889 } };
    const struct membrane m = element(0.42);
    for (size_t i = 0; i < sizeof chart / sizeof *chart; i++) {
        const double factor = membrane_temperature_factor(&m, chart[i][0]);
        cr_expect_float_eq(factor * chart[i][1], 1.0, 0.0015, "%g degC: %g", chart[i][0], factor);
    }
    /* the line worked in it: 1800 gal/day at 77 F are 1266 at 59 F */
    cr_expect_float_eq(1800.0 * membrane_temperature_factor(&m, 15.0) / 1266.0, 1.0, 0.0015);
}

Test(published_membrane, temperature_chart_with_one_activation)
{
    /* A second trade chart, direct factor (read); one U of 2700 K was fitted to it.  0.3 %. */
    static const double chart[][2] = { { 5, 0.521 },  { 10, 0.620 }, { 15, 0.730 }, { 20, 0.857 },
                                       { 25, 1.000 }, { 30, 1.161 }, { 34, 1.304 } };
    struct membrane m = element(0.42);
    m.water_activation = m.water_activation_cold = 2700.0;
    for (size_t i = 0; i < sizeof chart / sizeof *chart; i++) {
        const double factor = membrane_temperature_factor(&m, chart[i][0]);
        cr_expect_float_eq(factor / chart[i][1], 1.0, 0.003, "%g degC: %g", chart[i][0], factor);
    }
}

/* ---- film and channel ---- */

Test(published_membrane, spacer_channel_of_schock_and_miquel)
{
    /* Schock & Miquel, Desalination 64 (1987) 339: Sh = 0.065 Re^0.875 Sc^0.25 and
     * lambda = 6.23 Re^-0.3 (from memory); at Re 200 and Sc 560 computed Sh 32.61, lambda 1.271.
     * 0.2 %. */
    struct membrane m = element(0.42);
    const double nu = water_viscosity(25.0) / water_density(25.0), h = m.spacer;
    const double d = 4.0 * m.porosity / (2.0 / h + (1.0 - m.porosity) * 8.0 / h);
    const double section = m.area / (2.0 * m.path) * h * m.porosity;
    const double u = 200.0 * nu / d, q = u * section, D = nu / 560.0;
    m.path = 0.25;
    const double sh = membrane_film(&m, q, D, 25.0) * d / D;
    cr_expect_float_eq(sh / 32.61, 1.0, 0.002, "%g", sh);
    const double lambda =
        membrane_channel_loss(&m, q, AT(25.0)) * 2.0 * d / (m.path * water_density(25.0) * u * u);
    cr_expect_float_eq(lambda / 1.271, 1.0, 0.002, "%g", lambda);
}

Test(published_membrane, channel_of_a_small_element)
{
    /* Computed for 0.42 m2, 0.25 m, 0.5 mm, porosity 0.9 at 985 mL/min: k 1.61e-5 m/s by Schock &
     * Miquel, 1.44e-5 by the laminar entry, loss 0.8 kPa.  Rounded figures, so 0.7 % and 5 %. */
    const struct membrane m = element(0.42);
    const double q = 197e-6 / 60.0 / 0.2, D = 1.61e-9;
    cr_expect_float_eq(membrane_film(&m, q, D, 25.0) / 1.61e-5, 1.0, 0.007);
    cr_expect_float_eq(membrane_channel_loss(&m, q, AT(25.0)) / 800.0, 1.0, 0.05, "%g",
                       membrane_channel_loss(&m, q, AT(25.0)));
    /* at a quarter of the flow the entry law rules: 1.44e-5 (1/4)^(1/3) */
    cr_expect_float_eq(membrane_film(&m, 0.25 * q, D, 25.0) / (1.44e-5 * cbrt(0.25)), 1.0, 0.007);
}

/* ---- nameplates ---- */

Test(published_membrane, permeabilities_of_usual_nameplates)
{
    /* A and B of plates usual in the trade, computed with cm = cfb exp(0.7 Y), a rule for 40 inch
     * elements (membrane manuals; Taylor & Jacobs in Mallevialle et al. 1996, from memory).  This
     * model has a film instead; its k is set here so that exp(J/k) = exp(0.7 Y) at the plate, and
     * the rest must agree: A within 0.5 %, B within 2 %. */
    static const struct {
        double gpd, pressure, salt, recovery, rejection, area, A, B;
    } row[] = {
        { 50, 50 * 6894.757, 0.25, 0.15, 0.96, 0.42, 5.855, 0.646 },
        { 75, 50 * 6894.757, 0.25, 0.15, 0.98, 0.42, 8.795, 0.476 },
        { 75, 65 * 6894.757, 0.25, 0.15, 0.98, 0.42, 6.648, 0.476 },
        { 100, 65 * 6894.757, 0.25, 0.15, 0.97, 0.46, 8.089, 0.877 },
        { 50, 345e3, 0.30, 0.22, 0.96, 0.42, 5.991, 0.588 }, /* conditions of ASTM D5615 (read) */
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct membrane m = element(row[i].area);
        const double flow = row[i].gpd * GPD, feed = flow / row[i].recovery;
        const double k = membrane_film(&m, feed - 0.5 * flow, 1.61e-9, 25.0);
        m.polarization = flow / m.area / k / (0.7 * row[i].recovery);
        const struct nameplate plate = { flow,        row[i].pressure, 25.0,
                                         row[i].salt, row[i].recovery, row[i].rejection };
        cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
        const double A = m.water_permeability / LMH_BAR, B = m.salt_permeability / LMH;
        cr_expect_float_eq(A / row[i].A, 1.0, 0.005, "row %zu: A %g", i, A);
        cr_expect_float_eq(B / row[i].B, 1.0, 0.02, "row %zu: B %g", i, B);
        /* With the film as it is, wall concentration and so A are higher, at most by what the
         * doubled osmotic pressure of the feed could cost. */
        m.polarization = 1.0;
        cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
        const double pi = water_osmotic_pressure(2.0 * row[i].salt / NACL, 25.0);
        const double film = m.water_permeability / LMH_BAR;
        cr_expect(film > A && film < A * (1.0 + 1.2 * pi / (row[i].pressure - 2.0 * pi)),
                  "row %zu: A %g with the film", i, film);
    }
}

Test(published_membrane, flux_class_of_a_small_element)
{
    /* Trade note (read): 11 gal/(ft2 d) on 4.5 ft2; that is 49.5 gal/day, 18.68 L/(m2 h) on 0.418
     * m2. 0.1 %. */
    struct membrane m = element(4.5 * 0.092903);
    const struct nameplate plate = { 49.5 * GPD, 60 * PSI, 25.0, 0.25, 0.15, 0.97 };
    cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
    const struct membrane_point at = { .feed_flow = plate.permeate / plate.recovery,
                                       .feed_pressure = plate.pressure,
                                       .osmolarity = 2.0 * plate.salt / NACL,
                                       .temperature = 25.0 };
    double flux[SEGMENTS_MAX], mean = 0.0;
    membrane_permeate(&m, &at, flux);
    for (int i = 0; i < m.segments; i++)
        mean += flux[i] / m.segments;
    cr_expect_float_eq(mean / LMH / 18.68, 1.0, 0.001, "%g", mean / LMH);
}

/* ---- a line with a restrictor ---- */

struct line {
    const struct membrane *m;
    struct membrane_point at;
    double drain;
};

static double more_product(double product, void *context)
{
    struct line *l = context;
    l->at.feed_flow = product + l->drain;
    return membrane_permeate(l->m, &l->at, NULL) - product;
}

/* Product flow where the restrictor sets the drain; c of NaCl [mol/m3]. */
static double run_line(struct line *l, double pressure, double back, double c, double temperature)
{
    l->drain = restrictor_flow(&l->m->restrictor, pressure, AT(temperature), 1.0);
    l->at = (struct membrane_point){ .feed_pressure = pressure,
                                     .permeate_pressure = back,
                                     .osmolarity = 2.0 * c,
                                     .temperature = temperature };
    return root_falling(more_product, l, 0.0, 1e-4, 1e-12);
}

static struct parcel permeate_of(const struct line *l, double product, double c)
{
    const struct parcel feed = { .volume = product + l->drain,
                                 .duration = 1.0,
                                 .temperature = l->at.temperature,
                                 .c = { [SODIUM] = c, [CHLORIDE] = c } };
    struct parcel permeate, concentrate;
    membrane_split(l->m, &feed, product, &permeate, &concentrate);
    return permeate;
}

Test(published_membrane, small_element_against_pressure_temperature_and_back_pressure)
{
    /* Computed for the 75 gal/day element at 50 psi on 300 mg/L, an orifice of 450 mL/min at 60
     * psi, B growing like A, cm = cfb exp(0.7 Y) with Y of the moment.  Here k is set to that law
     * at the nameplate alone and then follows flux and flow, so 1.5 % on flow and 0.3 points on
     * rejection are what the two laws leave; 1 % is not reached (40 psi: 1.3 %). */
    static const double row[][5] = { /* psi, degC, back psi, mL/min, rejection % */
                                     { 60, 25, 0, 231.4, 97.80 },  { 60, 10, 0, 137.7, 98.13 },
                                     { 60, 25, 30, 108.5, 96.20 }, { 60, 25, 40, 67.8, 94.50 },
                                     { 40, 25, 0, 148.3, 96.83 },  { 80, 25, 0, 315.0, 98.29 }
    };
    struct membrane m = element(0.42);
    const struct nameplate plate = { 75 * GPD, 50 * PSI, 25.0, 0.25, 0.15, 0.98 };
    const double k = membrane_film(&m, plate.permeate / 0.15 - 0.5 * plate.permeate, 1.61e-9, 25.0);
    m.polarization = plate.permeate / m.area / k / (0.7 * 0.15);
    m.restrictor =
        (struct restrictor){ .flow = 450e-6 / 60.0, .pressure = 60 * PSI, .exponent = 0.5 };
    m.salt_activation = m.water_activation_cold;
    cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
    const double c = 0.3 / NACL;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct line l = { .m = &m };
        const double product = run_line(&l, row[i][0] * PSI, row[i][2] * PSI, c, row[i][1]);
        const double rejection = 100.0 * (1.0 - permeate_of(&l, product, c).c[SODIUM] / c);
        cr_expect_float_eq(product * 6e7 / row[i][3], 1.0, 0.015, "row %zu: %g", i, product * 6e7);
        cr_expect_float_eq(rejection, row[i][4], 0.3, "row %zu: %g", i, rejection);
    }
}

/* A supplier's measurements of one small element in a hobby forum (read): 80.8 F, feed 1150 uS/cm.
 */
static const double FORUM[][3] = { /* psi, gal/day, rejection % */
                                   { 35, 39.3, 97.5 }, { 45, 55.2, 98.2 }, { 55, 67.9, 98.3 },
                                   { 65, 81.8, 98.3 }, { 75, 97.7, 98.5 }, { 85, 111.5, 98.7 }
};
static const double FORUM_TEMPERATURE = (80.8 - 32.0) / 1.8;

/* Falls with c: how much NaCl [mol/m3] conducts 1150 uS/cm at 25 degC less than c. */
static double conducts_less(double c, void *context)
{
    const double water[SPECIES_COUNT] = { [SODIUM] = c, [CHLORIDE] = c };
    const struct speciation s = water_speciate(water, 25.0);
    (void)context;
    return 0.1150 - water_conductivity(water, &s);
}

struct forum_fit {
    struct membrane m;
    double c; /* mol/m3 */
};

/* Mean relative error of the six flows, measured less computed, for an A. */
static double flow_missing(double A, void *context)
{
    struct forum_fit *f = context;
    struct line l = { .m = &f->m };
    double mean = 0.0;
    f->m.water_permeability = A;
    for (size_t i = 0; i < 6; i++)
        mean += 1.0 -
                run_line(&l, FORUM[i][0] * PSI, 0.0, f->c, FORUM_TEMPERATURE) / (FORUM[i][1] * GPD);
    return mean / 6.0;
}

/* The element of the forum: feed as NaCl of that conductivity, A fitted to all six flows.  Its
 * restrictor was not told: four times the product at 65 psi, common practice. */
static struct forum_fit forum_element(void)
{
    struct forum_fit f = { .m = element(0.42),
                           .c = root_falling(conducts_less, NULL, 1, 20, 1e-9) };
    f.m.salt_permeability = 0.2 * LMH;
    f.m.restrictor.pressure = 65 * PSI;
    f.m.restrictor.flow = 4.0 * 81.8 * GPD;
    f.m.water_permeability = root_falling(flow_missing, &f, 2 * LMH_BAR, 20 * LMH_BAR, 1e-9);
    return f;
}

Test(published_membrane, flow_of_a_real_element_against_pressure)
{
    /* Each within 3 %.  Ratios to the reading at 65 psi cannot be had so close: that reading lies
     * 1.1 % below, and that at 45 psi 2.2 % above, the straight line of least squares through them
     * (Q = 1.4354 (P - 7.36), gal/day and psi), whose ratio of the two is off by 3.2 % too. */
    const struct forum_fit f = forum_element();
    struct line l = { .m = &f.m };
    double worst = 0.0;
    for (size_t i = 0; i < 6; i++) {
        const double q = run_line(&l, FORUM[i][0] * PSI, 0.0, f.c, FORUM_TEMPERATURE) / GPD;
        cr_expect_float_eq(q / FORUM[i][1], 1.0, 0.03, "%g psi: %g", FORUM[i][0], q);
        worst = fmax(worst, fabs(q / FORUM[i][1] - 1.0));
    }
    cr_log_info("A %.2f L/(m2 h bar), flows within %.1f %%", f.m.water_permeability / LMH_BAR,
                100.0 * worst);
}

/* Rejections less the measured ones, in points; the largest, and the mean in *mean. */
static double rejection_errors(const struct membrane *m, double c, double *mean)
{
    struct line l = { .m = m };
    double worst = 0.0;
    *mean = 0.0;
    for (size_t i = 0; i < 6; i++) {
        const double q = run_line(&l, FORUM[i][0] * PSI, 0.0, c, FORUM_TEMPERATURE);
        const double r = 100.0 * (1.0 - permeate_of(&l, q, c).c[SODIUM] / c);
        *mean += (r - FORUM[i][2]) / 6.0;
        worst = fmax(worst, fabs(r - FORUM[i][2]));
    }
    return worst;
}

static double mean_error(double B, void *context)
{
    struct forum_fit *f = context;
    double mean;
    f->m.salt_permeability = B;
    rejection_errors(&f->m, f->c, &mean);
    return mean;
}

Test(published_membrane, rejection_of_a_real_element_against_pressure)
{
    /* Same data, B fitted to their mean: within 0.25 points with a leak of 0.002, within 0.55
     * without.  (Without a film the data ask for a leak of 0.0077; the film explains most of it.)
     */
    struct forum_fit f = forum_element();
    for (int leak = 0; leak < 2; leak++) {
        f.m.leak = leak ? 0.002 : 0.0;
        f.m.salt_permeability = root_falling(mean_error, &f, 0.01 * LMH, 2.0 * LMH, 1e-6);
        double mean;
        const double worst = rejection_errors(&f.m, f.c, &mean);
        cr_log_info("leak %g: B %.3f L/(m2 h), worst %.2f points", f.m.leak,
                    f.m.salt_permeability / LMH, worst);
        cr_expect_float_eq(mean, 0.0, 1e-3);
        cr_expect_lt(worst, leak ? 0.25 : 0.55, "leak %g: %g points", f.m.leak, worst);
    }
}

/* ---- standardised performance ---- */

/* What ASTM D4516 needs of one state of work. */
struct state {
    double flow;        /* m3/s */
    double pressure;    /* Pa, feed */
    double loss;        /* Pa, along the channel */
    double feed;        /* kg/m3 NaCl */
    double permeate;    /* kg/m3 NaCl */
    double recovery;    /* share */
    double temperature; /* degC */
};

static double osmotic(double salt, double temperature)
{
    return water_osmotic_pressure(2.0 * salt / NACL, temperature);
}

/* Net driving pressure times temperature factor, with the log mean of the feed-brine side. */
static double drive(const struct membrane *m, const struct state *s)
{
    const double mean = s->feed * log(1.0 / (1.0 - s->recovery)) / s->recovery;
    const double pi = osmotic(mean, s->temperature) - osmotic(s->permeate, s->temperature);
    return (s->pressure - 0.5 * s->loss - pi) * membrane_temperature_factor(m, s->temperature);
}

Test(published_membrane, flow_standardised_by_astm_d4516_is_constant)
{
    /* Permeate flow by equation 1 of D4516 (form confirmed in a guide to D4516-19a, read).  It
     * knows no polarization: with a thin film the flow of an unfouled membrane is the same at any
     * temperature, pressure and salt within 1 %.  (With the film as it is, the same span of states
     * moves it by -6 to +4 %, which is polarization's share.) */
    struct membrane m = element(0.42);
    m.leak = 0.002;
    m.polarization = 1e3;
    const struct nameplate plate = { 50 * GPD, 345e3, 25.0, 0.3, 0.2, 0.97 };
    cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
    m.restrictor.flow = 4.0 * plate.permeate;
    const struct state standard = { .pressure = 345e3,
                                    .loss =
                                        membrane_channel_loss(&m, 4.5 * plate.permeate, AT(25.0)),
                                    .feed = 0.3,
                                    .permeate = 0.009,
                                    .recovery = 0.2,
                                    .temperature = 25.0 };
    for (double t = 5.0; t <= 35.0; t += 5.0)
        for (double p = 250e3; p <= 650e3; p += 100e3)
            for (double salt = 0.1; salt <= 0.6; salt += 0.1) {
                struct line l = { .m = &m };
                struct state s = { .pressure = p, .feed = salt, .temperature = t };
                s.flow = run_line(&l, p, 0.0, salt / NACL, t);
                s.recovery = s.flow / (s.flow + l.drain);
                s.loss = membrane_channel_loss(&m, l.drain + 0.5 * s.flow, AT(t));
                s.permeate = permeate_of(&l, s.flow, salt / NACL).c[SODIUM] * NACL;
                const double q = s.flow * drive(&m, &standard) / drive(&m, &s);
                cr_expect_float_eq(q / plate.permeate, 1.0, 0.01, "%g degC, %g Pa, %g kg/m3", t, p,
                                   salt);
            }
}

Test(published_membrane, cold_raises_the_ratio_of_waste)
{
    /* From 25 to 10 degC with U = 3020 K the ratio of waste to product grows 1.71 times with an
     * orifice, 1.62 with a smooth turbulent tube, 1.17 with a laminar one: computed from the flow
     * and viscosity laws at equal net pressure, so on nearly pure water here.  1 %. */
    static const double law[][3] = { /* n, p, ratio */
                                     { 0.5, 0.0, 1.71 },
                                     { 4.0 / 7.0, 1.0 / 7.0, 1.62 },
                                     { 1.0, 1.0, 1.17 }
    };
    for (size_t i = 0; i < 3; i++) {
        struct membrane m = element(0.42);
        m.water_permeability = 6.0 * LMH_BAR;
        m.salt_permeability = 0.3 * LMH;
        m.restrictor.exponent = law[i][0];
        m.restrictor.viscosity_exponent = law[i][1];
        struct line l = { .m = &m };
        const double warm = run_line(&l, 4e5, 0.0, 0.01, 25.0), warm_drain = l.drain;
        const double cold = run_line(&l, 4e5, 0.0, 0.01, 10.0), cold_drain = l.drain;
        const double ratio = cold_drain / cold / (warm_drain / warm);
        cr_expect_float_eq(ratio / law[i][2], 1.0, 0.01, "n %g: %g", law[i][0], ratio);
    }
}
