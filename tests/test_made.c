/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * made: manufactured solutions of the beds.  A smooth history of the whole bed is chosen, the water
 * that must come in and a source in each cell follow from it exactly, and what the bed makes of
 * them is compared with what was chosen. So the order is seen with the real, bent equations, not
 * only where a closed form exists.  The segments of the membrane have a closed form.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "models/carbon.h"
#include "models/membrane.h"
#include "models/membrane_channel.h"
#include "models/resin.h"
#include "models/root.h"
#include "models/stage.h"
#include "models/water.h"
#include "tests/slope.h"

enum { SIZES = 6 };

static void preset(void *base, const struct field *fields)
{
    for (const struct field *f = fields; f->key; f++) {
        char *at = (char *)base + f->offset;
        if (f->type == FIELD_NUMBER)
            *(double *)at = f->preset;
        else
            *(int *)at = (int)f->preset;
    }
}

/* ---- carbon -------------------------------------------------------------------------------------
 */

/* Sites left, from the inlet to z in 0..1, at the time s in 0..1 of the test: the integral of
 * 0.75 - 0.35 s2 + 0.2 (1 + s2/2) sin(3 z - 0.7); and its growth in time. */
static double sites_above(double z, double s)
{
    const double wave = (cos(0.7) - cos(3.0 * z - 0.7)) / 3.0;
    return (0.75 - 0.35 * s * s) * z + 0.2 * (1.0 + 0.5 * s * s) * wave;
}

static double sites_growth_above(double z, double s)
{
    const double wave = (cos(0.7) - cos(3.0 * z - 0.7)) / 3.0;
    return 2.0 * s * (-0.35 * z + 0.1 * wave);
}

/* Both oxidants at a depth and time [mol/m3]. */
struct carbon_made {
    struct carbon p;
    double units[2]; /* k tau of the whole fresh block */
    double pace[2];  /* lives of the block that 1 mol/m3 of each would use in the test */
};

static double oxidant(const struct carbon_made *m, int which, double z, double s)
{
    const double inlet = which == 0 ? 0.02 * (1.0 + 0.5 * sin(4.0 * s)) : 0.03 + 0.01 * s;
    return inlet * exp(-m->units[which] * sites_above(z, s));
}

/* Over a cell, in a piece of time that ends at s: the growth that was chosen plus what the oxidants
 * would use up. */
static double carbon_source(const struct carbon_made *m, int cell, double s)
{
    const double a = (double)cell / m->p.cells, b = (cell + 1.0) / m->p.cells;
    double source = (sites_growth_above(b, s) - sites_growth_above(a, s)) * m->p.cells;
    for (int which = 0; which < 2; which++)
        source += m->pace[which] * (oxidant(m, which, a, s) - oxidant(m, which, b, s)) * m->p.cells;
    return source;
}

static struct carbon_made carbon_of(int cells, double flow, double span)
{
    struct carbon_made m;
    memset(&m, 0, sizeof m);
    preset(&m.p, stage_carbon.fields);
    m.p.cells = cells;
    m.p.ammonia_share = 0.6; /* 0.4 sites a molecule of chloramine */
    m.p.chloramine_rate = 0.1;
    const double tau = carbon_contact_time(&m.p, flow);
    const double lives = flow * span / (m.p.capacity / species[CHLORINE].molar_mass);
    m.units[0] = m.p.chlorine_rate * tau;
    m.units[1] = m.p.chloramine_rate * tau;
    m.pace[0] = lives;
    m.pace[1] = lives * 0.4;
    return m;
}

/* Largest error of what leaves, over what came in. */
static double carbon_error(int cells, int parcels)
{
    const double flow = 3e-5, span = 3.0 * 86400.0;
    const struct carbon_made m = carbon_of(cells, flow, span);
    struct carbon_state state;
    double worst = 0.0, nitrogen = 0.0;
    carbon_init(&m.p, &state);
    for (int i = 0; i < cells; i++)
        state.left[i] =
            (sites_above((i + 1.0) / cells, 0.0) - sites_above((double)i / cells, 0.0)) * cells;
    for (int k = 1; k <= parcels; k++) {
        const double s = (double)k / parcels, piece = span / parcels;
        struct parcel w = { .volume = flow * piece, .duration = piece, .temperature = 20.0 };
        for (int i = 0; i < cells; i++)
            state.left[i] += carbon_source(&m, i, s) / parcels;
        w.c[CHLORINE] = oxidant(&m, 0, 0.0, s);
        w.c[CHLORAMINE] = oxidant(&m, 1, 0.0, s);
        carbon_carry(&m.p, &state, &w, &nitrogen);
        worst = fmax(worst, fabs(w.c[CHLORINE] - oxidant(&m, 0, 1.0, s)) / 0.02);
        worst = fmax(worst, fabs(w.c[CHLORAMINE] - oxidant(&m, 1, 1.0, s)) / 0.03);
    }
    return worst;
}

Test(made, carbon_is_of_first_order_in_the_parcel)
{
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = 1.0 / (40 << i);
        error[i] = carbon_error(20, 40 << i);
    }
    const double slope = slope_of("carbon, parcels", size, error, SIZES);
    cr_expect_float_eq(slope, 1.0, 0.05, "%g", slope);
    cr_expect_lt(error[SIZES - 1], 3e-4, "%g", error[SIZES - 1]);
}

Test(made, carbon_has_no_error_of_its_cells)
{
    const double one = carbon_error(1, 100);
    static const int cells[] = { 2, 5, 20, 64 };
    for (int i = 0; i < 4; i++)
        cr_expect_float_eq(carbon_error(cells[i], 100), one, 1e-11, "%d cells: %.3e, one: %.3e",
                           cells[i], carbon_error(cells[i], 100), one);
}

/* ---- resin --------------------------------------------------------------------------------------
 */

/* A bed of cation resin and an acid water of 100 mol/m3: sodium against hydrogen, c* = T y/(y + K
 * (1 - y)).  Chosen is the sodium in the water; from it c* = c + c'/N, and the loading by the
 * isotherm. */
static const double ALL = 100.0, UNITS = 6.0;

static double sodium(double z, double s)
{
    return ALL * (0.45 + 0.2 * sin(2.0 * z + 1.5 * s) + 0.1 * s);
}

static double sodium_slope(double z, double s)
{
    return ALL * 0.4 * cos(2.0 * z + 1.5 * s);
}

/* At the bead, and its growth in time. */
static double bead(double z, double s)
{
    return sodium(z, s) + sodium_slope(z, s) / UNITS;
}

static double bead_growth(double z, double s)
{
    return ALL * (0.3 * cos(2.0 * z + 1.5 * s) + 0.1 - 0.6 * sin(2.0 * z + 1.5 * s) / UNITS);
}

/* Of sodium: y = K x/(1 + (K - 1) x), x being its share of the water at the bead. */
static double loading(double K, double surface)
{
    const double x = surface / ALL;
    return K * x / (1.0 + (K - 1.0) * x);
}

static double loading_slope(double K, double surface)
{
    const double x = surface / ALL, d = 1.0 + (K - 1.0) * x;
    return K / (d * d) / ALL;
}

static double resin_source(double K, double z, double s, double lives)
{
    return loading_slope(K, bead(z, s)) * bead_growth(z, s) + lives / ALL * sodium_slope(z, s);
}

/* The bed whose film gives UNITS at this flow. */
static struct resin bed_of(int cells, double flow)
{
    struct resin p;
    memset(&p, 0, sizeof p);
    preset(&p, stage_resin.fields);
    p.short_flow = 0.0;
    p.cation_share = p.packing = 1.0;
    p.cells = cells;
    const double velocity = flow * p.depth / p.volume;
    p.film = UNITS * flow * p.bead / (6.0 * (1.0 - p.voids) * p.volume) /
             resin_film(p.bead, p.voids, velocity, water_diffusivity(SODIUM, 25.0));
    return p;
}

/* Largest error of the sodium that leaves, over all of it. */
static double resin_error(int cells, int parcels)
{
    const double flow = 5e-6, lives = 1.5;
    const struct resin p = bed_of(cells, flow);
    const double K = p.selectivity[SODIUM];
    struct resin_state state;
    resin_init(&p, &state);
    for (int i = 0; i < cells; i++)
        state.y[0][i][SODIUM] = loading(K, bead((i + 0.5) / cells, 0.0));
    double worst = 0.0;
    for (int k = 1; k <= parcels; k++) {
        const double s = (double)k / parcels,
                     volume = lives * resin_cation_sites(&p) / ALL / parcels;
        struct parcel w = { .volume = volume, .duration = volume / flow, .temperature = 25.0 };
        for (int i = 0; i < cells; i++)
            state.y[0][i][SODIUM] += resin_source(K, (i + 0.5) / cells, s, lives) / parcels;
        w.c[SODIUM] = sodium(0.0, s);
        w.c[CHLORIDE] = ALL;
        resin_carry(&p, &state, &w);
        worst = fmax(worst, fabs(w.c[SODIUM] - sodium(1.0, s)) / ALL);
    }
    return worst;
}

/* Parcels by the square of the cells, so that both errors fall alike. */
Test(made, resin_is_of_second_order_in_cells)
{
    static const int cells[SIZES] = { 12, 16, 24, 32, 48, 64 };
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = 1.0 / cells[i];
        error[i] = resin_error(cells[i], cells[i] * cells[i]);
    }
    const double slope = slope_of("resin, cells", size, error, SIZES);
    cr_expect_float_eq(slope, 2.0, 0.1, "%g", slope);
}

Test(made, resin_is_of_first_order_in_the_parcel)
{
    double size[SIZES], error[SIZES];
    for (int i = 0; i < 5; i++) {
        size[i] = 1.0 / (10 << i);
        error[i] = resin_error(RESIN_CELLS_MAX, 10 << i);
    }
    const double slope = slope_of("resin, parcels", size, error, 5);
    cr_expect_float_eq(slope, 1.0, 0.1, "%g", slope);
}

/* ---- segments of the membrane -------------------------------------------------------------------
 */

/* No salt passes, there is no film and no loss along the channel: dq/da = -A (P - p q0/q), which is
 * solved by (q0 - q)/P + p q0/P2 ln((P q0 - p q0)/(P q - p q0)) = A a. */
static double missing_area(double made, void *of)
{
    const double *v = of; /* q0, P, p, A times area */
    const double q = v[0] - made;
    return v[3] - made / v[1] -
           v[2] * v[0] / (v[1] * v[1]) * log((v[1] - v[2]) * v[0] / (v[1] * q - v[2] * v[0]));
}

static double made_exactly(const struct membrane *m, const struct membrane_point *at)
{
    const struct fluid water = water_fluid(at->temperature);
    const struct channel ch = membrane_channel(m, at->feed_flow, at->osmolarity, &water);
    double v[4] = { at->feed_flow, at->feed_pressure, ch.osmotic * at->osmolarity,
                    ch.A * membrane_area(m) };
    return root_falling(missing_area, v, 0.0, v[0] * (1.0 - v[2] / v[1]) * (1.0 - 1e-12), 1e-15);
}

Test(made, membrane_is_of_second_order_in_segments)
{
    static const int segments[SIZES] = { 16, 20, 24, 32, 40, 48 };
    struct membrane p, *m = &p;
    memset(m, 0, sizeof *m);
    preset(m, stage_membrane.fields);
    m->elements = 1;
    m->water_permeability = 1.1e-11;
    m->path = 1e-4;
    m->polarization = 1e12;
    m->salt_permeability = 1e-30;
    m->leak = 0.0;
    const struct membrane_point at = {
        .feed_flow = 3e-6, .feed_pressure = 4e5, .osmolarity = 30.0, .temperature = 25.0
    };
    const double exact = made_exactly(m, &at);
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        m->segments = segments[i];
        size[i] = 1.0 / segments[i];
        error[i] = fabs(membrane_permeate(m, &at, NULL) / exact - 1.0);
    }
    const double slope = slope_of("membrane, segments", size, error, SIZES);
    cr_expect_float_eq(slope, 2.0, 0.1, "%g", slope);
    cr_expect(exact > 0.4 * at.feed_flow && exact < 0.9 * at.feed_flow,
              "a case that asks something: %g", exact);
}
