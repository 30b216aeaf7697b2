/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * probe: what the models say, a question a line: WORD NUMBERS..., answered by a line of numbers.
 * For stages.py, which asks and holds its own answers against them.  It knows the headers of
 * models/ and adds nothing.  Units as in the headers.
 */
#include "probe.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "models/basin.h"
#include "models/bladder.h"
#include "models/evaporation.h"
#include "models/gas.h"
#include "models/holdup.h"
#include "models/scaling.h"
#include "models/shutoff.h"
#include "models/tank.h"
#include "models/water.h"

enum { NUMBERS = 512 };

void probe_answer(double x)
{
    printf(" %.17g", x);
}

/* density viscosity vapour */
static void pure(const double *a)
{
    probe_answer(water_density(a[0]));
    probe_answer(water_viscosity(a[0]));
    probe_answer(water_vapour_pressure(a[0]));
}

/* water air humidity draught */
static void evaporation(const double *a)
{
    probe_answer(evaporation_rate(a[0], a[1], a[2], a[3]));
}

/* celsius c[SPECIES_COUNT]: pH, I, osmolarity, conductivity, h, co2, hco3, co3, calcite, excess */
static void speciate(const double *a)
{
    const struct speciation s = water_speciate(a + 1, a[0]);
    probe_answer(s.ph);
    probe_answer(s.ionic_strength);
    probe_answer(water_osmolarity(a + 1, &s));
    probe_answer(water_conductivity(a + 1, &s));
    probe_answer(s.h);
    probe_answer(s.co2);
    probe_answer(s.hco3);
    probe_answer(s.co3);
    probe_answer(scaling_calcite(a + 1, &s, a[0]));
    probe_answer(scaling_excess(a + 1, a[0]));
}

/* osmolarity celsius */
static void osmotic(const double *a)
{
    probe_answer(water_osmotic_pressure(a[0], a[1]));
}

/* volume amount, in volume, c, out, lost: volume and amount left, amount that left */
static void vessel(const double *a)
{
    struct vessel v = { a[0], { a[1] } };
    const struct parcel in = { a[2], 1.0, 20.0, { a[3] } };
    double leaving[SPECIES_COUNT] = { 0.0 };
    vessel_mix(&v, &in, a[4], a[5], leaving);
    probe_answer(v.volume);
    probe_answer(v.amount[0]);
    probe_answer(leaving[0]);
}

/* volume precharge atmosphere k p_max from to: seconds; stored at p_max/2 */
static void bladder(const double *a)
{
    const struct bladder b = { .volume = a[0], .precharge = a[1], .atmosphere = a[2] };
    probe_answer(bladder_fill_time(&b, a[3], a[4], a[5], a[6]));
    probe_answer(bladder_stored(&b, 0.5 * a[4]));
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
    probe_answer(overflow_flow(&o, 0.5 + a[6], a[4], a[5]));
    probe_answer(overflow_level(&o, a[7], a[4], a[5], 5.0) - 0.5);
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
    probe_answer(v);
    probe_answer(tank_area(&t, a[7]));
    probe_answer(tank_level(&t, v));
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
    probe_answer(v.amount[CARBON] / v.volume);
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
    probe_answer(h.permeate.amount[0] / a[0]);
    probe_answer(h.feed.amount[0] / a[1]);
    probe_answer(made.c[0]);
    probe_answer(drained.c[0]);
}

/* close reopen give, feed k p_max K G L: duty, starts, made, out */
static void shutoff(const double *a)
{
    const struct shutoff s = { a[0], a[1], a[2] };
    const struct shutoff_line line = { a[3], a[4], a[5], a[6], a[7], a[8] };
    const struct shutoff_cycle c = shutoff_average(&s, &line);
    probe_answer(c.duty);
    probe_answer(c.starts);
    probe_answer(c.made);
    probe_answer(c.out);
}

/* salt volume celsius: salinity */
static void salinity(const double *a)
{
    struct vessel v = { .volume = a[1] };
    v.amount[SALT] = a[0];
    probe_answer(basin_salinity(&v, a[2]));
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
    { "membrane", 17, probe_membrane },
    { "passage", 16 + SPECIES_COUNT, probe_passage },
    { "resin", 17 + EXCHANGED_COUNT, probe_resin },
    { "carbon", 14, probe_carbon },
    { "sediment", 8, probe_sediment },
    { "vessel", 6, vessel },
    { "bladder", 7, bladder },
    { "overflow", 8, overflow },
    { "tank", 8, tank },
    { "gas", 7 + SPECIES_COUNT, gas },
    { "cycles", 11, cycles },
    { "shutoff", 9, shutoff },
    { "wear", 11, probe_wear },
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
