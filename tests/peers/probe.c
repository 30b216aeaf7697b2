/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * probe: what the models say, a question a line: WORD NUMBERS..., answered by a line of numbers.
 * For stages.py, which asks and holds its own answers against them.  It knows the headers of
 * models/ and adds nothing.  Units as in the headers.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "models/basin.h"
#include "models/bladder.h"
#include "models/carbon.h"
#include "models/evaporation.h"
#include "models/gas.h"
#include "models/holdup.h"
#include "models/membrane.h"
#include "models/resin.h"
#include "models/scaling.h"
#include "models/sediment.h"
#include "models/shutoff.h"
#include "models/tank.h"
#include "models/water.h"
#include "models/wear.h"

enum { NUMBERS = 512 };

static void answer(double x)
{
    printf(" %.17g", x);
}

/* density viscosity vapour */
static void pure(const double *a)
{
    answer(water_density(a[0]));
    answer(water_viscosity(a[0]));
    answer(water_vapour_pressure(a[0]));
}

/* water air humidity draught */
static void evaporation(const double *a)
{
    answer(evaporation_rate(a[0], a[1], a[2], a[3]));
}

/* celsius c[SPECIES_COUNT]: pH, I, osmolarity, conductivity, h, co2, hco3, co3, calcite, excess */
static void speciate(const double *a)
{
    const struct speciation s = water_speciate(a + 1, a[0]);
    answer(s.ph);
    answer(s.ionic_strength);
    answer(water_osmolarity(a + 1, &s));
    answer(water_conductivity(a + 1, &s));
    answer(s.h);
    answer(s.co2);
    answer(s.hco3);
    answer(s.co3);
    answer(scaling_calcite(a + 1, &s, a[0]));
    answer(scaling_excess(a + 1, a[0]));
}

/* osmolarity celsius */
static void osmotic(const double *a)
{
    answer(water_osmotic_pressure(a[0], a[1]));
}

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
static void membrane(const double *a)
{
    const struct membrane m = membrane_of(a);
    const struct membrane_point at = { a[12], a[13], a[14], a[15], a[16] };
    answer(membrane_permeate(&m, &at, NULL));
}

/* the membrane, volume duration celsius product c[SPECIES_COUNT]: c of the permeate */
static void passage(const double *a)
{
    const struct membrane m = membrane_of(a);
    struct parcel feed = { a[12], a[13], a[14], { 0 } }, permeate = feed, rest = feed;
    memcpy(feed.c, a + 16, sizeof feed.c);
    membrane_split(&m, &feed, a[15], &permeate, &rest);
    for (int i = 0; i < SPECIES_COUNT; i++)
        answer(permeate.c[i]);
}

/* volume depth cation_share ccap acap packing bead voids film short_flow short_resin cells,
 * celsius flow share-of-the-limit parcels each c[EXCHANGED]: litres and c of each `each`th parcel
 */
static void resin(const double *a)
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
        answer(1e3 * in.volume * i);
        for (int k = 0; k < EXCHANGED_COUNT; k++)
            answer(water.c[k]);
    }
}

/* volume chlorine_rate chloramine_rate activation capacity ammonia_share cells,
 * celsius flow chlorine chloramine parcel parcels each: litres and both oxidants */
static void carbon(const double *a)
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
        answer(1e3 * in.volume * i);
        answer(water.c[CHLORINE]);
        answer(water.c[CHLORAMINE]);
    }
}

/* resistance capture capacity, celsius solids pressure parcel parcels: litres, seconds and mass
 * when a steady pressure has driven each parcel through, the flow being that at its start */
static void sediment(const double *a)
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
    answer(t);
    answer(s.mass);
}

/* volume amount, in volume, c, out, lost: volume and amount left, amount that left */
static void vessel(const double *a)
{
    struct vessel v = { a[0], { a[1] } };
    const struct parcel in = { a[2], 1.0, 20.0, { a[3] } };
    double leaving[SPECIES_COUNT] = { 0.0 };
    vessel_mix(&v, &in, a[4], a[5], leaving);
    answer(v.volume);
    answer(v.amount[0]);
    answer(leaving[0]);
}

/* volume precharge atmosphere k p_max from to: seconds; stored at p_max/2 */
static void bladder(const double *a)
{
    const struct bladder b = { .volume = a[0], .precharge = a[1], .atmosphere = a[2] };
    answer(bladder_fill_time(&b, a[3], a[4], a[5], a[6]));
    answer(bladder_stored(&b, 0.5 * a[4]));
}

/* kind bore fall length open celsius level, flow: flow at that head, head for that flow */
static void overflow(const double *a)
{
    const struct overflow o = { .kind = (enum overflow_kind)(int)a[0],
                                .lip = 0.5,
                                .bore = a[1],
                                .fall = a[2],
                                .length = a[3],
                                .meniscus = 0.003 };
    answer(overflow_flow(&o, 0.5 + a[6], a[4], a[5]));
    answer(overflow_level(&o, a[7], a[4], a[5], 5.0) - 0.5);
}

/* shape length width diameter bottom cone height, level: volume, area, level of that volume */
static void tank(const double *a)
{
    const struct tank t = { .shape = (enum tank_shape)(int)a[0],
                            .length = a[1],
                            .width = a[2],
                            .diameter = a[3],
                            .bottom_diameter = a[4],
                            .cone_height = a[5],
                            .height = a[6] };
    const double v = tank_volume(&t, a[7]);
    answer(v);
    answer(tank_area(&t, a[7]));
    answer(tank_level(&t, v));
}

/* air film, area volume celsius seconds steps c[SPECIES_COUNT]: carbon at the end, mol/m3 */
static void gas(const double *a)
{
    const struct gas g = { a[0], a[1], 1.0 };
    struct vessel v = { .volume = a[3] };
    for (int i = 0; i < SPECIES_COUNT; i++)
        v.amount[i] = a[7 + i] * a[3];
    for (int i = 0; i < (int)a[6]; i++)
        gas_exchange(&g, a[2], &v, a[4], a[5] / a[6]);
    answer(v.amount[CARBON] / v.volume);
}

/* Vp Vf BA x y, starts rest, v w cp cc: sodium on both sides after, and mean of what came out */
static void cycles(const double *a)
{
    const struct holdup_size size = { a[0], a[1] };
    double relative[SPECIES_COUNT] = { 0.0 }, x[SPECIES_COUNT] = { a[3] },
           y[SPECIES_COUNT] = { a[4] };
    x[CHLORIDE] = a[3];
    y[CHLORIDE] = a[4];
    struct holdup h;
    holdup_init(&h, &size, x, y);
    struct parcel made = { a[7], 1.0, 20.0, { a[9] } }, drained = { a[8], 1.0, 20.0, { a[10] } };
    made.c[CHLORIDE] = a[9];
    drained.c[CHLORIDE] = a[10];
    const struct holdup_rhythm r = { a[5], a[6], a[2], relative };
    holdup_cycles(&h, &r, &made, &drained);
    answer(h.permeate.amount[0] / a[0]);
    answer(h.feed.amount[0] / a[1]);
    answer(made.c[0]);
    answer(drained.c[0]);
}

/* close reopen give, feed k p_max K G L: duty, starts, made, out */
static void shutoff(const double *a)
{
    const struct shutoff s = { a[0], a[1], a[2] };
    const struct shutoff_line line = { a[3], a[4], a[5], a[6], a[7], a[8] };
    const struct shutoff_cycle c = shutoff_average(&s, &line);
    answer(c.duty);
    answer(c.starts);
    answer(c.made);
    answer(c.out);
}

/* m f tau te e b, area flux solids, seconds steps: cake, layer, factors of A and B; the flux falls
 * with the factor of A */
static void wear(const double *a)
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
    answer(s.cake);
    answer(s.layer);
    answer(wear_flow_factor(&p, &s, a[6]));
    answer(wear_salt_factor(&p, &s));
}

/* salt volume celsius: salinity */
static void salinity(const double *a)
{
    struct vessel v = { .volume = a[1] };
    v.amount[SALT] = a[0];
    answer(basin_salinity(&v, a[2]));
}

static const struct {
    const char *word;
    int numbers;
    void (*say)(const double *);
} question[] = {
    { "pure", 1, pure },
    { "evaporation", 4, evaporation },
    { "osmotic", 2, osmotic },
    { "speciate", 1 + SPECIES_COUNT, speciate },
    { "membrane", 17, membrane },
    { "passage", 16 + SPECIES_COUNT, passage },
    { "resin", 17 + EXCHANGED_COUNT, resin },
    { "carbon", 14, carbon },
    { "sediment", 8, sediment },
    { "vessel", 6, vessel },
    { "bladder", 7, bladder },
    { "overflow", 8, overflow },
    { "tank", 8, tank },
    { "gas", 7 + SPECIES_COUNT, gas },
    { "cycles", 11, cycles },
    { "shutoff", 9, shutoff },
    { "wear", 11, wear },
    { "salinity", 3, salinity },
};

static int ask(char *line)
{
    double a[NUMBERS];
    int n = 0;
    char *rest = NULL;
    const char *word = strtok_r(line, " \n", &rest);
    for (char *t; word && n < NUMBERS && (t = strtok_r(NULL, " \n", &rest));)
        a[n++] = strtod(t, NULL);
    for (size_t i = 0; word && i < sizeof question / sizeof *question; i++) {
        if (strcmp(question[i].word, word) != 0)
            continue;
        if (question[i].numbers != n)
            return fprintf(stderr, "probe: %s: %d numbers, not %d\n", word, question[i].numbers, n);
        question[i].say(a);
        return putchar('\n'), fflush(stdout), 0;
    }
    return fprintf(stderr, "probe: no such question\n");
}

int main(void)
{
    static char line[32 * NUMBERS];
    while (fgets(line, sizeof line, stdin))
        if (ask(line) != 0)
            return 65;
    return 0;
}
