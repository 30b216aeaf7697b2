/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resin: conservation, bounds, limits, convergence, and what must appear without being put in.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "models/resin.h"
#include "models/stage.h"
#include "models/water.h"
#include "tests/at.h"

static const double LITRE = 1e-3, HOUR = 3600;

/* The usual cartridge: every preset of the field table. */
static struct resin preset(void)
{
    struct resin p = { 0 };
    for (const struct field *f = stage_resin.fields; f->key; f++) {
        char *const place = (char *)&p + f->offset;
        if (f->type == FIELD_NUMBER)
            memcpy(place, &f->preset, sizeof f->preset);
        else
            memcpy(place, &(int){ (int)f->preset }, sizeof(int));
    }
    return p;
}

static struct resin packed(void)
{
    struct resin p = preset();
    p.short_flow = 0;
    return p;
}

/* Permeate of a hard well water with much carbon dioxide, pH about 6. */
static const double acid_permeate[SPECIES_COUNT] = {
    [SODIUM] = 0.12,    [POTASSIUM] = 0.01, [CALCIUM] = 0.01,  [MAGNESIUM] = 0.003,
    [AMMONIUM] = 0.004, [CHLORIDE] = 0.10,  [SULFATE] = 0.003, [NITRATE] = 0.01,
    [FLUORIDE] = 0.001, [CARBON] = 0.15,    [SILICA] = 0.01,
};

static struct parcel parcel_of(const double c[], double volume, double flow, double temperature)
{
    struct parcel w = { .volume = volume, .duration = volume / flow, .temperature = temperature };
    memcpy(w.c, c, sizeof w.c);
    return w;
}

static double conductivity(const struct parcel *w)
{
    const struct speciation s = water_speciate(w->c, w->temperature);
    return water_conductivity(w->c, &s);
}

/* A small generator (xorshift), so that the same cases are drawn everywhere. */
static double uniform(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static double between(uint64_t *seed, double low, double high) /* even in the logarithm */
{
    return low * pow(high / low, uniform(seed));
}

/* A bed of any kind: mixed or single, packed or loose, of any film. */
static struct resin random_bed(uint64_t *seed)
{
    struct resin p = preset();
    const double kind = uniform(seed);
    p.volume = between(seed, 1e-5, 1e-2);
    p.depth = between(seed, 0.02, 1);
    p.cation_share = kind < 0.15 ? 0 : kind < 0.3 ? 1 : uniform(seed);
    p.cation_capacity = between(seed, 100, 4000);
    p.anion_capacity = between(seed, 100, 4000);
    p.packing = 0.5 + 0.5 * uniform(seed);
    p.film = between(seed, 0.01, 100);
    p.short_flow = uniform(seed) < 0.5 ? 0 : 0.9 * uniform(seed);
    p.short_resin = uniform(seed) < 0.5 ? 0 : 0.9 * uniform(seed);
    p.cells = 1 + (int)(30 * uniform(seed));
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        if (uniform(seed) < 0.2)
            p.selectivity[i] = between(seed, 0.01, 1e4);
    return p;
}

/* Any water: not necessarily with ions in balance, and sometimes pure. */
static void random_water(uint64_t *seed, double c[SPECIES_COUNT])
{
    const double strength = uniform(seed) < 0.05 ? 0 : between(seed, 1e-6, 100);
    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = uniform(seed) < 0.3 ? 0 : strength * between(seed, 1e-3, 1);
}

static double load(const double c[], int first, int last) /* mol of charge per m3 if all is held */
{
    double sum = 0;
    for (int i = first; i <= last; i++)
        sum += fabs((double)species[i].charge) * c[i];
    return sum;
}

Test(resin, fresh_bed_holds_nothing)
{
    const struct resin p = preset();
    struct resin_state s;
    memset(&s, 0xff, sizeof s);
    resin_init(&p, &s);
    for (int i = 0; i < SPECIES_COUNT; i++)
        cr_assert_eq(resin_held(&p, &s, (enum species)i), 0);
    cr_assert_eq(resin_used(&p, &s), 0);
}

Test(resin, sites_are_capacity_times_settled_volume)
{
    const struct resin p = preset();
    cr_assert_float_eq(resin_cation_sites(&p), 0.6e-3 * 0.95 * 0.4 * 1900, 1e-12);
    cr_assert_float_eq(resin_anion_sites(&p), 0.6e-3 * 0.95 * 0.6 * 1100, 1e-12);
}

Test(resin, conserves_every_species_over_a_whole_life)
{
    uint64_t seed = 20240229;
    for (int trial = 0; trial < 60; trial++) {
        const struct resin p = random_bed(&seed);
        struct resin_state s;
        double c[SPECIES_COUNT], in[SPECIES_COUNT] = { 0 }, out[SPECIES_COUNT] = { 0 };
        resin_init(&p, &s);
        do
            random_water(&seed, c);
        while (load(c, FIRST_CATION, LAST_CATION) == 0 || load(c, FIRST_ANION, LAST_ANION) == 0);
        const double life = fmax(resin_cation_sites(&p) / load(c, FIRST_CATION, LAST_CATION),
                                 resin_anion_sites(&p) / load(c, FIRST_ANION, LAST_ANION));
        for (int n = 0; n < 300; n++) {
            const double volume = life / 200 * between(&seed, 0.1, 3);
            const double flow = p.volume * between(&seed, 1e-4, 1e-1);
            struct parcel w = parcel_of(c, volume, flow, 50 * uniform(&seed));
            resin_carry(&p, &s, &w);
            for (int i = 0; i < SPECIES_COUNT; i++) {
                in[i] += volume * c[i];
                out[i] += volume * w.c[i];
            }
        }
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double lost = in[i] - out[i] - resin_held(&p, &s, (enum species)i);
            cr_assert_leq(fabs(lost), 1e-12 * in[i], "trial %d, %s: %g of %g", trial,
                          species[i].key, lost, in[i]);
        }
    }
}

Test(resin, keeps_every_loading_and_both_sums_within_bounds)
{
    uint64_t seed = 7;
    for (int trial = 0; trial < 600; trial++) {
        const struct resin p = random_bed(&seed);
        struct resin_state s;
        double c[SPECIES_COUNT];
        resin_init(&p, &s);
        for (int n = 0; n < 20; n++) {
            random_water(&seed, c);
            const double volume = p.volume * between(&seed, 1e-3, 1e5);
            struct parcel w =
                parcel_of(c, volume, p.volume * between(&seed, 1e-5, 1), 50 * uniform(&seed));
            resin_carry(&p, &s, &w);
            for (int i = 0; i < SPECIES_COUNT; i++)
                cr_assert(isfinite(w.c[i]) && w.c[i] >= 0, "trial %d %s %g", trial, species[i].key,
                          w.c[i]);
            for (int path = 0; path < RESIN_PATHS; path++)
                for (int cell = 0; cell < p.cells; cell++) {
                    const double *const y = s.y[path][cell];
                    double cations = 0, anions = 0;
                    for (int i = 0; i < EXCHANGED_COUNT; i++) {
                        cr_assert(y[i] >= 0 && y[i] <= 1, "trial %d %s %g", trial, species[i].key,
                                  y[i]);
                        *(i <= LAST_CATION ? &cations : &anions) += y[i];
                    }
                    cr_assert(cations <= 1 && anions <= 1, "trial %d cell %d: 1 + %g, 1 + %g",
                              trial, cell, cations - 1, anions - 1);
                }
        }
    }
}

Test(resin, takes_ten_lives_in_one_parcel)
{
    const struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    const double volume = 10 * resin_anion_sites(&p) / load(acid_permeate, FIRST_ANION, LAST_ANION);
    struct parcel w = parcel_of(acid_permeate, volume, 8 * LITRE / HOUR, 15);
    resin_carry(&p, &s, &w);
    cr_assert_gt(resin_used(&p, &s), 0.99);
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        const double in = volume * acid_permeate[i];
        cr_assert_leq(fabs(in - volume * w.c[i] - resin_held(&p, &s, (enum species)i)), 1e-12 * in);
    }
}

Test(resin, used_up_bed_passes_its_water_unchanged)
{
    const struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    struct parcel w;
    for (int n = 0; n < 400; n++) { /* the last are lives enough for calcium and sulfate */
        w = parcel_of(acid_permeate, 1e-3 * pow(1.05, n), 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
    }
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        cr_assert_float_eq(w.c[i] / acid_permeate[i], 1, 1e-5, "%s %.9f", species[i].key,
                           w.c[i] / acid_permeate[i]);
}

/* At rest with its water each pair of ions obeys mass action at the water's own pH. */
Test(resin, loading_at_rest_obeys_mass_action)
{
    const struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    for (int n = 0; n < 400; n++) {
        struct parcel w = parcel_of(acid_permeate, 1e-3 * pow(1.05, n), 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
    }
    const struct speciation in = water_speciate(acid_permeate, 15);
    const double *const y = s.y[0][0];
    const double sodium = 1.56 * acid_permeate[SODIUM] / y[SODIUM]; /* Phi of the cations */
    const double calcium = sqrt(2 * acid_permeate[CALCIUM] * 4.06 * 1900 / y[CALCIUM]);
    const double ammonium = 2.01 * (acid_permeate[AMMONIUM] - in.nh3) / y[AMMONIUM];
    const double chloride = 22 * acid_permeate[CHLORIDE] / y[CHLORIDE]; /* Phi of the anions */
    const double sulfate = sqrt(2 * acid_permeate[SULFATE] * 150 * 1100 / y[SULFATE]);
    const double carbon = 6 * in.hco3 / y[CARBON], silica = 1.5 * in.h3sio4 / y[SILICA];
    cr_assert_float_eq(calcium / sodium, 1, 1e-4);
    cr_assert_float_eq(ammonium / sodium, 1, 1e-4);
    cr_assert_float_eq(sulfate / chloride, 1, 1e-4);
    cr_assert_float_eq(carbon / chloride, 1, 1e-4);
    cr_assert_float_eq(silica / chloride, 1, 1e-4);
}

/* Silica alone at 1 mg/L: K [H3SiO4]/[OH] at the water's own pH is a quarter of the sites, so most
 * of the bed stays unused. */
Test(resin, silica_alone_loads_a_quarter_of_the_sites)
{
    const struct resin p = packed();
    struct resin_state s;
    const double c[SPECIES_COUNT] = { [SILICA] = 1e-3 / species[SILICA].molar_mass };
    resin_init(&p, &s);
    for (int n = 0; n < 2000; n++) {
        struct parcel w = parcel_of(c, 20 * LITRE, 8 * LITRE / HOUR, 25);
        resin_carry(&p, &s, &w);
    }
    const struct speciation in = water_speciate(c, 25);
    const double ratio = 1.5 * in.h3sio4 / in.oh;
    cr_assert_float_eq(resin_share(&p, &s, SILICA), ratio / (1 + ratio), 1e-3, "%.4f",
                       resin_share(&p, &s, SILICA));
    cr_assert_float_eq(resin_share(&p, &s, SILICA), 0.25, 0.05);
}

Test(resin, acid_drives_held_cations_off_again)
{
    struct resin p = packed();
    struct resin_state s;
    p.cation_share = 1;
    resin_init(&p, &s);
    const double salt[SPECIES_COUNT] = { [SODIUM] = 1, [CALCIUM] = 1, [CHLORIDE] = 3 };
    const double acid[SPECIES_COUNT] = { [CHLORIDE] = 1000 };
    for (int n = 0; n < 500; n++) {
        struct parcel w = parcel_of(salt, 5 * LITRE, 8 * LITRE / HOUR, 25);
        resin_carry(&p, &s, &w);
    }
    cr_assert_gt(resin_used(&p, &s), 0.99);
    for (int n = 0; n < 500; n++) {
        struct parcel w = parcel_of(acid, 0.2 * LITRE, 4 * LITRE / HOUR, 25);
        resin_carry(&p, &s, &w);
    }
    cr_assert_lt(resin_used(&p, &s), 1e-3, "%g", resin_used(&p, &s));
}

Test(resin, bed_of_one_resin_leaves_the_other_ions_alone)
{
    for (int share = 0; share <= 1; share++) {
        struct resin p = packed();
        struct resin_state s;
        p.cation_share = share;
        resin_init(&p, &s);
        struct parcel w = parcel_of(acid_permeate, 1 * LITRE, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        for (int i = 0; i < EXCHANGED_COUNT; i++)
            if ((i <= LAST_CATION) != (share == 1))
                cr_assert_float_eq(w.c[i] / acid_permeate[i], 1, 1e-14, "%s", species[i].key);
            else if (i != CARBON && i != SILICA)
                cr_assert_lt(w.c[i] / acid_permeate[i], 1e-3, "%s", species[i].key);
    }
}

Test(resin, passes_what_is_not_exchanged)
{
    const struct resin p = preset();
    struct resin_state s;
    resin_init(&p, &s);
    double c[SPECIES_COUNT];
    memcpy(c, acid_permeate, sizeof c);
    c[CHLORINE] = 0.01, c[CHLORAMINE] = 0.02, c[SOLIDS] = 1e-5, c[SALT] = 3;
    struct parcel w = parcel_of(c, 1 * LITRE, 8 * LITRE / HOUR, 15);
    resin_carry(&p, &s, &w);
    for (int i = CHLORINE; i < SPECIES_COUNT; i++) {
        cr_assert_eq(w.c[i], c[i]);
        cr_assert_eq(resin_held(&p, &s, (enum species)i), 0);
    }
}

Test(resin, parcel_without_volume_changes_nothing)
{
    const struct resin p = preset();
    struct resin_state s, before;
    resin_init(&p, &s);
    before = s;
    struct parcel w = parcel_of(acid_permeate, 0, 1, 15);
    w.duration = 0;
    resin_carry(&p, &s, &w);
    cr_assert_eq(memcmp(&s, &before, sizeof s), 0);
    cr_assert_eq(memcmp(w.c, acid_permeate, sizeof w.c), 0);
}

Test(resin, parcel_in_no_time_passes_all_but_untouched)
{
    const struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    struct parcel w = parcel_of(acid_permeate, 1 * LITRE, 1, 15);
    w.duration = 0;
    resin_carry(&p, &s, &w);
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        cr_assert_float_eq(w.c[i] / acid_permeate[i], 1, 1e-4, "%s", species[i].key);
}

/* Nothing is remembered but the state: a copy of it goes on to the same bits. */
Test(resin, copied_state_goes_on_to_the_same_bits)
{
    const struct resin p = preset();
    struct resin_state s, copy;
    struct parcel w, again;
    resin_init(&p, &s);
    for (int n = 0; n < 300; n++) {
        w = parcel_of(acid_permeate, 4 * LITRE, 8 * LITRE / HOUR, 15);
        if (n == 299) {
            const struct resin_state saved = s;
            struct parcel other = parcel_of(acid_permeate, 9 * LITRE, 2 * LITRE / HOUR, 30);
            resin_carry(&p, &s, &other);
            copy = saved, s = saved, again = w;
        }
        resin_carry(&p, &s, &w);
    }
    resin_carry(&p, &copy, &again);
    cr_assert_eq(memcmp(&s, &copy, sizeof s), 0);
    cr_assert_eq(memcmp(&w, &again, sizeof w), 0);
}

/* Two paths are two beds side by side: the same as the two run apart and mixed. */
Test(resin, two_paths_are_two_beds_whose_waters_mix)
{
    struct resin p = packed();
    p.short_flow = 0.2, p.short_resin = 0.1;
    struct resin apart[] = { packed(), packed() };
    apart[0].volume *= 0.9, apart[1].volume *= 0.1;
    struct resin_state s, part[2];
    resin_init(&p, &s);
    for (int n = 0; n < 2; n++)
        resin_init(&apart[n], &part[n]);
    for (int n = 0; n < 200; n++) {
        struct parcel w = parcel_of(acid_permeate, 5 * LITRE, 8 * LITRE / HOUR, 15);
        struct parcel a = parcel_of(acid_permeate, 4 * LITRE, 6.4 * LITRE / HOUR, 15);
        struct parcel b = parcel_of(acid_permeate, 1 * LITRE, 1.6 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        resin_carry(&apart[0], &part[0], &a);
        resin_carry(&apart[1], &part[1], &b);
        for (int i = 0; i < EXCHANGED_COUNT; i++) {
            const double mixed = 0.8 * a.c[i] + 0.2 * b.c[i];
            cr_assert_float_eq(w.c[i], mixed, 1e-9 * acid_permeate[i], "parcel %d %s", n,
                               species[i].key);
        }
    }
}

Test(resin, shares_by_depth_make_the_share_of_the_bed)
{
    struct resin p = packed();
    p.short_flow = 0.2, p.short_resin = 0.1;
    struct resin_state s;
    resin_init(&p, &s);
    for (int n = 0; n < 60; n++) {
        struct parcel w = parcel_of(acid_permeate, 5 * LITRE, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
    }
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        double sum = 0;
        for (int cell = 0; cell < p.cells; cell++)
            sum += resin_share_at(&p, &s, cell, (enum species)i);
        const double share = resin_share(&p, &s, (enum species)i);
        cr_assert_float_eq(sum / p.cells, share, 1e-12, "%s", species[i].key);
    }
    cr_assert_gt(resin_share_at(&p, &s, 0, SODIUM), resin_share_at(&p, &s, p.cells - 1, SODIUM));
    cr_assert_eq(resin_share_at(&p, &s, -1, SODIUM), 0);
    cr_assert_eq(resin_share_at(&p, &s, p.cells, SODIUM), 0);
    cr_assert_eq(resin_share_at(&p, &s, 0, SOLIDS), 0);
}

/* The closed form of a short path: a step to its share of the flow when its resin is used up, at
 * T = resin/flow of the bed's life. */
Test(resin, short_path_with_little_resin_gives_a_step)
{
    struct resin p = packed();
    struct resin_state s;
    p.short_flow = 0.2, p.short_resin = 0.1;
    resin_init(&p, &s);
    const double c[SPECIES_COUNT] = { [SODIUM] = 0.2, [CHLORIDE] = 0.2 };
    const double life = resin_anion_sites(&p) / 0.2;
    double early = 0, late = 0;
    for (int n = 0; n < 400; n++) {
        struct parcel w = parcel_of(c, life / 400, 2 * LITRE / HOUR, 25);
        resin_carry(&p, &s, &w);
        if (n == 120) /* T = 0.3; the step comes at 0.5 */
            early = w.c[CHLORIDE];
        if (n == 300) /* T = 0.75 */
            late = w.c[CHLORIDE];
    }
    cr_assert_lt(early / 0.2, 1e-3);
    cr_assert_float_eq(late / 0.2, 0.2, 2e-3, "%g", late / 0.2);
}

Test(resin, loose_bed_leaks_its_share_from_the_first_litre)
{
    const struct resin p = preset();
    struct resin_state s;
    resin_init(&p, &s);
    struct parcel w = parcel_of(acid_permeate, 1 * LITRE, 8 * LITRE / HOUR, 15);
    resin_carry(&p, &s, &w);
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        cr_assert_float_eq(w.c[i] / acid_permeate[i], p.short_flow, 1e-5, "%s %g", species[i].key,
                           w.c[i] / acid_permeate[i]);
}

/* Volume at which a species first passes a share of its inlet. */
static double breakthrough(const struct resin *p, enum species i, double share, double parcel)
{
    struct resin_state s;
    resin_init(p, &s);
    double x = 0;
    for (double v = 0;; v += parcel) {
        const double before = x;
        struct parcel w = parcel_of(acid_permeate, parcel, 8 * LITRE / HOUR, 15);
        resin_carry(p, &s, &w);
        x = w.c[i] / acid_permeate[i];
        if (x >= share)
            return v + parcel * (0.5 - (x - share) / (x - before));
        cr_assert_lt(v, 100.0);
    }
}

static const struct {
    enum species i;
    double share;
} ends[] = { { SILICA, 0.05 }, { CARBON, 0.05 },   { CARBON, 0.5 },  { SODIUM, 0.05 },
             { SODIUM, 0.5 },  { CHLORIDE, 0.05 }, { CHLORIDE, 0.5 } };
enum { ENDS = sizeof ends / sizeof ends[0] };

Test(resin, halving_the_parcel_limit_moves_no_breakthrough_by_half_a_percent)
{
    const struct resin p = packed();
    const double limit = resin_parcel_limit(&p, acid_permeate);
    for (int n = 0; n < ENDS; n++) {
        const double a = breakthrough(&p, ends[n].i, ends[n].share, limit);
        const double b = breakthrough(&p, ends[n].i, ends[n].share, 0.5 * limit);
        cr_assert_float_eq(b / a, 1, 0.005, "%s %g: %.2f and %.2f L", species[ends[n].i].key,
                           ends[n].share, a / LITRE, b / LITRE);
    }
}

Test(resin, doubling_the_cells_moves_no_breakthrough_by_one_percent)
{
    for (int n = 0; n < ENDS; n++) {
        struct resin p = packed();
        const double limit = 0.5 * resin_parcel_limit(&p, acid_permeate);
        const double a = breakthrough(&p, ends[n].i, ends[n].share, limit);
        p.cells *= 2;
        const double b = breakthrough(&p, ends[n].i, ends[n].share, limit);
        cr_assert_float_eq(b / a, 1, 0.01, "%s %g: %.2f and %.2f L", species[ends[n].i].key,
                           ends[n].share, a / LITRE, b / LITRE);
    }
}

/* A linear column (K = 1) run until it is full: mean and variance of its breakthrough curve, in
 * lives, and the outlet after 0.8 lives. */
struct front {
    double mean, variance, outlet;
};

static struct front linear_front(int cells, int parcels, double transfer_units)
{
    struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    p.cation_share = p.packing = 1;
    p.cells = cells;
    p.selectivity[SODIUM] = 1;
    const double flow = 20 * LITRE / HOUR, velocity = flow * p.depth / p.volume;
    p.film = transfer_units * flow * p.bead / (6 * (1 - p.voids) * p.volume) /
             resin_film(p.bead, p.voids, velocity, water_diffusivity(SODIUM, 25));
    const double c[SPECIES_COUNT] = { [SODIUM] = 100, [CHLORIDE] = 100 }; /* far above [H] */
    const double step = 1.0 / parcels;
    double mean = 0, square = 0, outlet = 0, before = 0;
    for (int n = 0; n < 6 * parcels; n++) {
        struct parcel w = parcel_of(c, step * resin_cation_sites(&p) / 100, flow, 25);
        resin_carry(&p, &s, &w);
        const double x = w.c[SODIUM] / 100, kept = 1 - x;
        mean += kept * step;
        square += 2 * (n + 0.5) * step * kept * step;
        if (n == 4 * parcels / 5)
            outlet = 0.5 * (before + x);
        before = x;
    }
    return (struct front){ mean, square - mean * mean, outlet };
}

/* Cells of N/n transfer units are linear filters in series: the breakthrough of m parcels a life
 * has a mean of one life and a variance of coth(N/2n)/n + 1/m, the second part from the implicit
 * step. */
Test(resin, linear_front_is_as_wide_as_its_cells_and_parcels_say)
{
    const struct {
        int cells, parcels;
        double units;
    } row[] = {
        { 40, 320, 40 }, { 10, 320, 40 }, { 40, 40, 40 }, { 20, 200, 400 }, { 40, 320, 20 }
    };
    for (int n = 0; n < 5; n++) {
        const double cells = row[n].cells, step = 1.0 / row[n].parcels;
        const struct front f = linear_front(row[n].cells, row[n].parcels, row[n].units);
        const double expected = 1 / (cells * tanh(row[n].units / (2 * cells))) + step;
        cr_assert_float_eq(f.mean, 1, 1e-5, "row %d: mean %.9f", n, f.mean);
        cr_assert_float_eq(f.variance / expected, 1, 1e-3, "row %d: variance %.8f, expected %.8f",
                           n, f.variance, expected);
    }
}

Test(resin, march_is_of_second_order_in_cells_and_of_first_in_parcels)
{
    double x[4];
    for (int n = 0; n < 4; n++)
        x[n] = linear_front(16 << n, 1000, 10).outlet;
    for (int n = 0; n < 2; n++) {
        const double ratio = (x[n + 1] - x[n]) / (x[n + 2] - x[n + 1]);
        cr_assert(ratio > 3.7 && ratio < 4.3, "cells %d: %g", 16 << n, ratio);
    }
    for (int n = 0; n < 4; n++)
        x[n] = linear_front(16, 50 << n, 10).outlet;
    for (int n = 0; n < 2; n++) {
        const double ratio = (x[n + 1] - x[n]) / (x[n + 2] - x[n + 1]);
        cr_assert(ratio > 1.8 && ratio < 2.2, "parcels %d: %g", 50 << n, ratio);
    }
}

Test(resin, parcel_limit_is_a_small_part_of_a_life_and_bounded)
{
    const struct resin p = packed();
    const double life = resin_anion_sites(&p) / load(acid_permeate, FIRST_ANION, LAST_ANION);
    cr_assert_float_eq(resin_parcel_limit(&p, acid_permeate) * 8 * p.cells / life, 1, 1e-12);

    const double pure[SPECIES_COUNT] = { 0 };
    double strong[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++)
        strong[i] = 1e4 * acid_permeate[i];
    cr_assert_float_eq(resin_parcel_limit(&p, pure), 100 * p.volume, 1e-12);
    cr_assert_float_eq(resin_parcel_limit(&p, strong), 0.05 * p.volume, 1e-12);

    struct resin loose = p;
    loose.short_flow = 0.2, loose.short_resin = 0.1; /* that tenth lives half as long */
    cr_assert_float_eq(resin_parcel_limit(&loose, acid_permeate),
                       0.5 * resin_parcel_limit(&p, acid_permeate), 1e-12);
}

Test(resin, used_grows_from_nothing_to_one)
{
    const struct resin p = packed();
    struct resin_state s;
    resin_init(&p, &s);
    double before = 0;
    for (int n = 0; n < 600; n++) {
        struct parcel w = parcel_of(acid_permeate, 5 * LITRE, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        const double used = resin_used(&p, &s);
        cr_assert_geq(used, before - 1e-4, "parcel %d: %g after %g", n, used, before);
        before = used;
    }
    cr_assert_float_eq(before, 1, 1e-3);
}

Test(resin, cold_bed_and_fast_bed_leak_more)
{
    const struct {
        double flow, temperature; /* L/h, degC */
    } way[] = { { 60, 25 }, { 60, 5 }, { 120, 5 } };
    double leak[3];
    for (int n = 0; n < 3; n++) {
        const struct resin p = packed();
        struct resin_state s;
        resin_init(&p, &s);
        struct parcel w =
            parcel_of(acid_permeate, 1 * LITRE, way[n].flow * LITRE / HOUR, way[n].temperature);
        resin_carry(&p, &s, &w);
        leak[n] = w.c[SODIUM];
    }
    cr_assert_lt(leak[0], 0.5 * leak[1]);
    cr_assert_lt(leak[1], 0.5 * leak[2]);
}

Test(resin, fields_fit_their_structs_and_the_species_table)
{
    int selectivities = 0;
    for (const struct field *f = stage_resin.fields; f->key; f++) {
        cr_assert(f->type == FIELD_NUMBER || f->type == FIELD_COUNT, "%s", f->key);
        cr_assert_leq(f->offset, sizeof(struct resin) - sizeof(int), "%s", f->key);
        cr_assert(f->min <= f->low && f->low <= f->preset && f->preset <= f->high &&
                      f->high <= f->max,
                  "%s", f->key);
        cr_assert(f->doc[0] && f->source[0], "%s", f->key);
        for (int i = 0; i < EXCHANGED_COUNT; i++) {
            char key[64];
            snprintf(key, sizeof key, "selectivity_%s", species[i].key);
            if (strcmp(f->key, key) != 0)
                continue;
            selectivities++;
            cr_assert_eq(f->preset, species[i].selectivity, "%s", key);
            cr_assert_eq(f->offset,
                         offsetof(struct resin, selectivity) + (size_t)i * sizeof(double));
        }
    }
    cr_assert_eq(selectivities, EXCHANGED_COUNT);
}

Test(resin, stage_row_does_what_the_functions_do)
{
    union stage_params p = { .resin = preset() };
    union stage_state s;
    struct resin_state t;
    struct stage_exits exits = { .nitrogen = 0 };
    stage_resin.start(&p, &s);
    resin_init(&p.resin, &t);
    struct parcel a = parcel_of(acid_permeate, 3 * LITRE, 8 * LITRE / HOUR, 15), b = a;
    stage_resin.carry(&p, &s, &a, 0, &exits);
    resin_carry(&p.resin, &t, &b);
    cr_assert_eq(memcmp(&a, &b, sizeof a), 0);
    cr_assert_eq(memcmp(&s.resin, &t, sizeof t), 0);
    cr_assert_eq(stage_resin.held(&p, &s, SODIUM), resin_held(&p.resin, &t, SODIUM));
    cr_assert_eq(stage_resin.used(&p, &s), resin_used(&p.resin, &t));
    cr_assert_eq(stage_resin.parcel_limit(&p, &s, acid_permeate),
                 resin_parcel_limit(&p.resin, acid_permeate));
    cr_assert_eq(stage_resin.pressure_drop(&p, &s, 1e-5, AT(15), 1e5),
                 resin_pressure_drop(&p.resin, 1e-5, AT(15)));
    cr_assert_eq(exits.nitrogen, 0);
}

/* What follows must come out without being put in. */

Test(resin, acid_water_ends_the_anion_side_first_and_carbon_leads_it)
{
    const struct resin p = packed();
    const double limit = resin_parcel_limit(&p, acid_permeate);
    const double silica = breakthrough(&p, SILICA, 0.05, limit);
    const double carbon = breakthrough(&p, CARBON, 0.05, limit);
    const double sodium = breakthrough(&p, SODIUM, 0.05, limit);
    const double chloride = breakthrough(&p, CHLORIDE, 0.05, limit);
    cr_assert_lt(silica, carbon);
    cr_assert_lt(carbon, 0.7 * sodium);
    cr_assert_lt(carbon, 0.7 * chloride);

    struct resin_state s; /* as carbon breaks through, it holds most of what is used */
    resin_init(&p, &s);
    for (double v = 0; v < carbon; v += limit) {
        struct parcel w = parcel_of(acid_permeate, limit, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
    }
    double cations = 0;
    for (int i = FIRST_CATION; i <= LAST_CATION; i++)
        cations += resin_share(&p, &s, (enum species)i);
    cr_assert_gt(resin_used(&p, &s), 0.9);
    cr_assert_lt(cations, 0.6);
    cr_assert_gt(resin_share(&p, &s, CARBON), resin_share(&p, &s, CHLORIDE));
}

Test(resin, silica_then_carbon_leave_above_their_inlet_before_sodium)
{
    const struct resin p = packed();
    const double limit = resin_parcel_limit(&p, acid_permeate);
    struct resin_state s;
    resin_init(&p, &s);
    double silica_peak = 0, carbon_peak = 0, silica_at = 0, carbon_at = 0;
    for (double v = 0; v < 5; v += limit) {
        struct parcel w = parcel_of(acid_permeate, limit, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        if (w.c[SODIUM] > 0.01 * acid_permeate[SODIUM])
            break;
        const double silica = w.c[SILICA] / acid_permeate[SILICA];
        const double carbon = w.c[CARBON] / acid_permeate[CARBON];
        if (silica > silica_peak)
            silica_peak = silica, silica_at = v;
        if (carbon > carbon_peak)
            carbon_peak = carbon, carbon_at = v;
    }
    cr_assert_gt(silica_peak, 2);
    cr_assert_gt(carbon_peak, 1.3);
    cr_assert_lt(silica_at, carbon_at);
}

/* A meter of factor 0.5 and 1 ppm. */
Test(resin, meter_shows_nothing_of_silica_and_one_to_three_of_carbon_dioxide)
{
    const struct resin p = packed();
    const struct meter meter = { .factor = 5.0, .resolution = 1e-3 };
    const double limit = resin_parcel_limit(&p, acid_permeate);
    struct resin_state s;
    resin_init(&p, &s);
    int silica_passes = 0, carbon_passes = 0;
    for (double v = 0; v < 5; v += limit) {
        struct parcel w = parcel_of(acid_permeate, limit, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        const double shown = water_meter(&meter, conductivity(&w)) / 1e-3; /* ppm */
        if (w.c[SODIUM] > 0.01 * acid_permeate[SODIUM])
            break;
        if (w.c[SILICA] > acid_permeate[SILICA] && w.c[CARBON] < 0.05 * acid_permeate[CARBON]) {
            silica_passes++;
            cr_assert_float_eq(shown, 0, 1e-9, "%g L: %g ppm", v / LITRE, shown);
        }
        if (w.c[CARBON] > acid_permeate[CARBON]) {
            carbon_passes++;
            cr_assert(shown >= 1 - 1e-9 && shown <= 3 + 1e-9, "%g L: %g ppm", v / LITRE, shown);
        }
    }
    cr_assert_gt(silica_passes, 3);
    cr_assert_gt(carbon_passes, 10);
}

/* Sodium leak after `used` of the cation sites' life: a mixed bed against its two resins in turn.
 */
Test(resin, mixed_bed_leaks_orders_of_magnitude_less_sodium_than_a_pair)
{
    const double c[SPECIES_COUNT] = { [SODIUM] = 0.2, [CHLORIDE] = 0.2 };
    struct resin mixed = packed(), cation = packed(), anion = packed();
    mixed.cation_share = 1.1 / (1.1 + 1.9); /* as many sites of each kind */
    cation.cation_share = 1, anion.cation_share = 0;
    cation.volume *= mixed.cation_share, cation.depth *= mixed.cation_share;
    anion.volume *= 1 - mixed.cation_share, anion.depth *= 1 - mixed.cation_share;
    struct resin_state s, t, u;
    resin_init(&mixed, &s), resin_init(&cation, &t), resin_init(&anion, &u);
    const double life = resin_cation_sites(&mixed) / 0.2;
    struct parcel w, v;
    for (int n = 0; n < 300; n++) { /* to 60 % of the life */
        w = parcel_of(c, life / 500, 8 * LITRE / HOUR, 25), v = w;
        resin_carry(&mixed, &s, &w);
        resin_carry(&cation, &t, &v);
        resin_carry(&anion, &u, &v);
    }
    cr_assert_lt(w.c[SODIUM], 1e-2 * v.c[SODIUM], "mixed %g, pair %g", w.c[SODIUM] / 0.2,
                 v.c[SODIUM] / 0.2);
}

Test(resin, doubling_the_bed_more_than_doubles_the_litres)
{
    for (int n = 0; n < ENDS; n++) {
        struct resin one = packed(), two = packed();
        two.volume *= 2, two.depth *= 2;
        const double limit = resin_parcel_limit(&one, acid_permeate);
        if (ends[n].share > 0.05)
            continue;
        const double a = breakthrough(&one, ends[n].i, ends[n].share, limit);
        const double b = breakthrough(&two, ends[n].i, ends[n].share, limit);
        cr_assert_gt(b, 2.02 * a, "%s: %g and %g L", species[ends[n].i].key, a / LITRE, b / LITRE);
    }
}

Test(resin, hardness_drives_ammonium_out_above_its_inlet)
{
    const double c[SPECIES_COUNT] = { [AMMONIUM] = 0.05, [CALCIUM] = 0.1, [CHLORIDE] = 0.25 };
    struct resin p = packed();
    p.cation_share = 1;
    struct resin_state s;
    resin_init(&p, &s);
    const double volume = resin_cation_sites(&p) / 0.25 / 300;
    double peak = 0;
    for (int n = 0; n < 450; n++) {
        struct parcel w = parcel_of(c, volume, 8 * LITRE / HOUR, 15);
        resin_carry(&p, &s, &w);
        peak = fmax(peak, w.c[AMMONIUM] / c[AMMONIUM]);
    }
    cr_assert_gt(peak, 4); /* at most all of the 0.25: 5 */
    cr_assert_lt(peak, 5.001);
}
