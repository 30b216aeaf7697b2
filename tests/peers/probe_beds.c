/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The half of the probe that asks what is used up or let through: membrane, resin, carbon, sediment
 * cartridge, deposits.  See probe.c.
 */
#include "probe.h"

#include <string.h>

#include "models/carbon.h"
#include "models/membrane.h"
#include "models/resin.h"
#include "models/sediment.h"
#include "models/wear.h"

/* area path spacer porosity A B leak U Ucold Us film segments */
static struct membrane membrane_of(const double *a)
{
    struct membrane m = { .elements = 1,
                          .area = a[0],
                          .path = a[1],
                          .spacer = a[2],
                          .porosity = a[3],
                          .water_permeability = a[4],
                          .salt_permeability = a[5],
                          .leak = a[6],
                          .water_activation = a[7],
                          .water_activation_cold = a[8],
                          .salt_activation = a[9],
                          .polarization = a[10],
                          .segments = (int)a[11] };
    for (int i = 0; i < SPECIES_COUNT; i++)
        m.relative[i] = species[i].passage;
    return m;
}

/* the membrane, flow pressure permeate-pressure osmolarity celsius: product */
void probe_membrane(const double *a)
{
    const struct membrane m = membrane_of(a);
    const struct membrane_point at = { a[12], a[13], a[14], a[15], a[16] };
    probe_answer(membrane_permeate(&m, &at, NULL));
}

/* the membrane, volume duration celsius product c[SPECIES_COUNT]: c of the permeate */
void probe_passage(const double *a)
{
    const struct membrane m = membrane_of(a);
    struct parcel feed = { a[12], a[13], a[14], { 0 } }, permeate = feed, rest = feed;
    memcpy(feed.c, a + 16, sizeof feed.c);
    membrane_split(&m, &feed, a[15], &permeate, &rest);
    for (int i = 0; i < SPECIES_COUNT; i++)
        probe_answer(permeate.c[i]);
}

/* volume depth cation_share ccap acap packing bead voids film short_flow short_resin cells,
 * celsius flow share-of-the-limit parcels each c[EXCHANGED]: litres and c of each `each`th parcel
 */
void probe_resin(const double *a)
{
    static struct resin_state s;
    struct resin p = { .volume = a[0],
                       .depth = a[1],
                       .cation_share = a[2],
                       .cation_capacity = a[3],
                       .anion_capacity = a[4],
                       .packing = a[5],
                       .bead = a[6],
                       .voids = a[7],
                       .film = a[8],
                       .short_flow = a[9],
                       .short_resin = a[10],
                       .cells = (int)a[11] };
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        p.selectivity[i] = species[i].selectivity;
    resin_init(&p, &s);
    struct parcel in = { .temperature = a[12] };
    memcpy(in.c, a + 17, EXCHANGED_COUNT * sizeof *a);
    in.volume = a[14] * resin_parcel_limit(&p, in.c);
    in.duration = in.volume / a[13];
    for (int i = 1; i <= (int)a[15]; i++) {
        struct parcel water = in;
        resin_carry(&p, &s, &water);
        if (i % (int)a[16] != 0)
            continue;
        probe_answer(1e3 * in.volume * i);
        for (int k = 0; k < EXCHANGED_COUNT; k++)
            probe_answer(water.c[k]);
    }
}

/* volume chlorine_rate chloramine_rate activation capacity ammonia_share cells,
 * celsius flow chlorine chloramine parcel parcels each: litres and both oxidants */
void probe_carbon(const double *a)
{
    const struct carbon p = { .volume = a[0],
                              .resistance = 1.0,
                              .chlorine_rate = a[1],
                              .chloramine_rate = a[2],
                              .activation = a[3],
                              .capacity = a[4],
                              .ammonia_share = a[5],
                              .cells = (int)a[6] };
    struct carbon_state s;
    carbon_init(&p, &s);
    struct parcel in = { a[11], a[11] / a[8], a[7], { 0 } };
    in.c[CHLORINE] = a[9];
    in.c[CHLORAMINE] = a[10];
    double nitrogen = 0.0;
    for (int i = 1; i <= (int)a[12]; i++) {
        struct parcel water = in;
        carbon_carry(&p, &s, &water, &nitrogen);
        if (i % (int)a[13] != 0)
            continue;
        probe_answer(1e3 * in.volume * i);
        probe_answer(water.c[CHLORINE]);
        probe_answer(water.c[CHLORAMINE]);
    }
}

/* resistance capture capacity, celsius solids pressure parcel parcels: litres, seconds and mass
 * when a steady pressure has driven each parcel through, the flow being that at its start */
void probe_sediment(const double *a)
{
    const struct sediment p = { 5e-6, a[0], a[1], a[2] };
    struct sediment_state s = { 0.0 };
    const struct fluid water = water_fluid(a[3]);
    double t = 0.0;
    for (int i = 0; i < (int)a[7]; i++) {
        const double flow = a[5] / sediment_pressure_drop(&p, &s, 1.0, &water);
        struct parcel parcel = { a[6], a[6] / flow, a[3], { 0 } };
        parcel.c[SOLIDS] = a[4];
        sediment_carry(&p, &s, &parcel);
        t += parcel.duration;
    }
    probe_answer(t);
    probe_answer(s.mass);
}

/* m f tau te e b, area flux solids, seconds steps: cake, layer, factors of A and B; the flux falls
 * with the factor of A */
void probe_wear(const double *a)
{
    const struct wear p = { .on = true,
                            .solids_halving = a[0],
                            .reversible = a[1],
                            .consolidation = a[2],
                            .rinse_rate = 0.01,
                            .rinse_speed = 0.1,
                            .rinse_exponent = 1.7,
                            .scale_growth = 0.0,
                            .scale_halving = 1.0,
                            .oxidant_doubling = 3.6e6,
                            .oxidant_threshold = 1.4e6,
                            .oxidant_swelling = 2e-7,
                            .chloramine_weight = 0.003,
                            .ageing = a[5],
                            .creep = a[4],
                            .creep_time = a[3] };
    struct wear_state s = { 0 };
    const double dt = a[9] / a[10];
    for (int i = 0; i < (int)a[10]; i++) {
        double c[SPECIES_COUNT] = { 0.0 };
        c[SOLIDS] = a[8];
        const double drawn = a[6] * a[7] * wear_flow_factor(&p, &s, a[6]) * dt;
        struct parcel concentrate = { 3.0 * drawn, dt, 20.0, { 0.0 } };
        const struct wear_load load = { a[6], drawn, dt, 1.2, c, 0.0 };
        wear_carry(&p, &s, &load, &concentrate);
    }
    probe_answer(s.cake);
    probe_answer(s.layer);
    probe_answer(wear_flow_factor(&p, &s, a[6]));
    probe_answer(wear_salt_factor(&p, &s));
}
