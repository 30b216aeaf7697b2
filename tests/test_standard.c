/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * models/standard.c: closed forms, and an unworn membrane of the program itself, whose standardised
 * flow and passage must not move with the season.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/membrane.h"
#include "models/restrictor.h"
#include "models/root.h"
#include "models/stage.h"
#include "models/standard.h"
#include "models/water.h"
#include "tests/at.h"

static const double NACL = 58.44277e-3; /* kg/mol */
static const double D_NACL = 1.61e-9;   /* m2/s at 25 degC */

Test(standard, same_conditions_change_nothing)
{
    const struct standard_point at = { .pressure = 4e5,
                                       .loss = 2e3,
                                       .permeate_pressure = 1e4,
                                       .brine_osmotic = 3e4,
                                       .permeate_osmotic = 1e3,
                                       .factor = 0.7,
                                       .salt_factor = 0.6,
                                       .feed = 0.3,
                                       .brine = 0.35 };
    cr_expect_float_eq(standard_flow(3.0, &at, &at), 3.0, 1e-15);
    cr_expect_float_eq(standard_passage(0.02, &at, &at), 0.02, 1e-16);
}

Test(standard, there_and_back_is_the_beginning)
{
    const struct standard_point a = { .pressure = 4e5,
                                      .brine_osmotic = 3e4,
                                      .factor = 0.7,
                                      .salt_factor = 0.6,
                                      .feed = 0.3,
                                      .brine = 0.35 };
    const struct standard_point b = { .pressure = 3e5,
                                      .brine_osmotic = 2e4,
                                      .factor = 1.0,
                                      .salt_factor = 1.0,
                                      .feed = 0.2,
                                      .brine = 0.21 };
    cr_expect_float_eq(standard_flow(standard_flow(3.0, &a, &b), &b, &a), 3.0, 1e-14);
    cr_expect_float_eq(standard_passage(standard_passage(0.02, &a, &b), &b, &a), 0.02, 1e-16);
}

Test(standard, mean_of_feed_and_concentrate_is_the_feed_where_nothing_is_recovered)
{
    cr_expect_eq(standard_brine(0.3, 0.0), 0.3);
    double before = 0.3;
    for (double y = 1e-13; y < 1.0; y = fmin(3.0 * y, y + 0.05)) {
        const double brine = standard_brine(0.3, y);
        cr_expect(brine >= before * (1.0 - 1e-12) && brine < 0.3 / (1.0 - y) + 1e-12, "%g: %g", y,
                  brine);
        before = brine;
    }
    cr_expect(isfinite(standard_brine(0.3, 1.0)));
}

/* ---- an unworn membrane ---- */

static struct membrane element(double polarization)
{
    struct membrane m = { 0 };
    for (const struct field *f = stage_membrane.fields; f->key; f++) {
        if (f->type != FIELD_NUMBER)
            *(int *)((char *)&m + f->offset) = (int)f->preset;
        else
            *(double *)((char *)&m + f->offset) = f->preset;
    }
    m.polarization = polarization;
    m.leak = 0.0; /* the practice knows none */
    const struct nameplate plate = { 50 * 4.3812636e-8, 345e3, 25.0, 0.3, 0.2, 0.97 };
    cr_assert_eq(membrane_from_nameplate(&m, &plate), MEMBRANE_FITTED);
    m.restrictor.flow = 4.0 * plate.permeate;
    return m;
}

/* Element and restrictor at a pressure: feed flow that both agree on. */
struct line {
    const struct membrane *m;
    struct membrane_point at;
};

static double surplus(double feed_flow, void *of)
{
    struct line *l = of;
    l->at.feed_flow = feed_flow;
    const struct fluid water = water_fluid(l->at.temperature);
    return restrictor_flow(&l->m->restrictor, l->at.feed_pressure, &water, 1.0) +
           membrane_permeate(l->m, &l->at, NULL) - feed_flow;
}

/* What a meter reads there. */
struct reading {
    double flow, passage;
    struct standard_point point;
};

/* salt in kg/m3 NaCl; wall: whether concentrations and osmotic pressure are those of the wall. */
static struct reading read_line(const struct membrane *m, double pressure, double temperature,
                                double salt, int wall)
{
    struct line l = {
        m,
        { .feed_pressure = pressure, .osmolarity = 2.0 * salt / NACL, .temperature = temperature }
    };
    l.at.feed_flow = root_falling(surplus, &l, 1e-7, 1e-4, 1e-12);
    const double feed = l.at.feed_flow, flow = membrane_permeate(m, &l.at, NULL);
    const struct parcel in = { .volume = feed,
                               .duration = 1.0,
                               .temperature = temperature,
                               .c = { [SODIUM] = salt / NACL, [CHLORIDE] = salt / NACL } };
    struct parcel permeate, drain;
    membrane_split(m, &in, flow, &permeate, &drain);

    const double cp = permeate.c[SODIUM] * NACL, middle = feed - 0.5 * flow;
    const double D = D_NACL * water_diffusivity(SODIUM, temperature) / species[SODIUM].diffusivity;
    const double E = exp(flow / m->area / membrane_film(m, middle, D, temperature));
    const double mean = standard_brine(salt, flow / feed);
    const double brine = wall ? cp + (mean - cp) * E : mean;
    return (struct reading){
        flow,
        cp / salt,
        { .pressure = pressure,
          .loss = membrane_channel_loss(m, middle, AT(temperature)),
          .brine_osmotic = water_osmotic_pressure(2.0 * brine / NACL, temperature),
          .permeate_osmotic = water_osmotic_pressure(2.0 * cp / NACL, temperature),
          .factor = membrane_temperature_factor(m, temperature),
          .salt_factor = membrane_salt_factor(m, temperature),
          .feed = salt,
          .brine = brine },
    };
}

/* How far flow and passage stray from 1 over seasons, pressures and salts: lowest, highest. */
struct stray {
    double flow[2], passage[2];
};

static struct stray stray_of(const struct membrane *m, int wall)
{
    const struct reading home = read_line(m, 345e3, 25.0, 0.3, wall);
    struct stray s = { { 1.0, 1.0 }, { 1.0, 1.0 } };
    for (double t = 5.0; t <= 35.0; t += 5.0)
        for (double p = 250e3; p <= 650e3; p += 100e3)
            for (double salt = 0.1; salt <= 0.6; salt += 0.25) {
                const struct reading r = read_line(m, p, t, salt, wall);
                const double q = standard_flow(r.flow, &r.point, &home.point) / home.flow;
                const double x = standard_passage(r.passage, &r.point, &home.point) / home.passage;
                s.flow[0] = fmin(s.flow[0], q);
                s.flow[1] = fmax(s.flow[1], q);
                s.passage[0] = fmin(s.passage[0], x);
                s.passage[1] = fmax(s.passage[1], x);
            }
    cr_log_info("film x %g, %s: flow %.4f to %.4f, passage %.4f to %.4f", m->polarization,
                wall ? "wall" : "bulk", s.flow[0], s.flow[1], s.passage[0], s.passage[1]);
    return s;
}

Test(standard, flow_and_passage_of_a_thin_film_do_not_move)
{
    const struct membrane m = element(1e3);
    const struct stray s = stray_of(&m, 0);
    cr_expect(s.flow[0] > 0.9995 && s.flow[1] < 1.0005, "%g to %g", s.flow[0], s.flow[1]);
    cr_expect(s.passage[0] > 0.97 && s.passage[1] < 1.03, "%g to %g", s.passage[0], s.passage[1]);
}

Test(standard, wall_concentrations_keep_both_where_polarization_matters)
{
    const struct membrane m = element(1.0);
    const struct stray bulk = stray_of(&m, 0), wall = stray_of(&m, 1);
    cr_expect(wall.flow[0] > 0.995 && wall.flow[1] < 1.005, "%g to %g", wall.flow[0], wall.flow[1]);
    cr_expect(wall.passage[0] > 0.97 && wall.passage[1] < 1.03, "%g to %g", wall.passage[0],
              wall.passage[1]);
    cr_expect_gt(bulk.flow[1] - bulk.flow[0], 5.0 * (wall.flow[1] - wall.flow[0]));
    cr_expect_gt(bulk.passage[1] - bulk.passage[0], wall.passage[1] - wall.passage[0]);
}

Test(standard, wear_shows_as_what_it_is)
{
    /* a membrane that lost a tenth of A, and let pass a quarter more, is told from winter */
    const struct membrane fresh = element(1.0);
    struct membrane worn = fresh;
    worn.water_permeability *= 0.90;
    worn.salt_permeability *= 1.25;
    const struct reading home = read_line(&fresh, 345e3, 25.0, 0.3, 1);
    for (double t = 5.0; t <= 30.0; t += 5.0) {
        const struct reading r = read_line(&worn, 345e3, t, 0.3, 1);
        const double q = standard_flow(r.flow, &r.point, &home.point) / home.flow;
        const double x = standard_passage(r.passage, &r.point, &home.point) / home.passage;
        cr_expect_float_eq(q, 0.90, 0.01, "%g degC: %g", t, q);
        cr_expect_float_eq(x, 1.25 / 0.90, 0.06, "%g degC: %g", t, x);
    }
}
