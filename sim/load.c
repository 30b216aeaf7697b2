/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * load: see load.h.  What came when is found by leaving it out: the same litres on the same tape
 * without damage, then without start-up salt too, then without chloramine.  The differences add up
 * by themselves.
 */
#include "load.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */
static const double WEEK = 7.0;    /* days between looks if nothing is said: an assumption */
static const double BAND = 3.0;    /* factor of the selectivity of silica: an assumption */

const char *const load_source_words[LOAD_SOURCES] = {
    "salt in the steady permeate", "salt of starts",     "salt through oxidant damage",
    "ammonium from chloramine",    "carbon dioxide gas", "silica (were all of it held)",
};

struct seeking {
    const struct plant *plant;
    const struct plan *plan;
    const struct tape *tape;
    double horizon;
};

/* ---- charges ----------------------------------------------------------------------------------
 */

static double charge_of(const double load[], int first, int last)
{
    double sum = 0.0;
    for (int i = first; i <= last; i++)
        sum += load[i] * abs(species[i].charge);
    return sum;
}

static double cations(const double load[])
{
    return charge_of(load, FIRST_CATION, LAST_CATION);
}

/* Anions that go with the cations, strong ones and bicarbonate; the carbon that is left is CO2. */
static double salts(const double load[])
{
    const double strong = charge_of(load, CHLORIDE, FLUORIDE);
    return fmin(fmax(cations(load), strong), strong + load[CARBON]);
}

static double carbon_dioxide(const double load[])
{
    return charge_of(load, CHLORIDE, CARBON) - salts(load);
}

/* ---- by when it came --------------------------------------------------------------------------
 */

/* The load of so many litres under other circumstances; what a parcel goes beyond is taken off. */
static enum status load_without(const struct seeking *s, const struct plant *p,
                                struct life_options o, const struct life *all,
                                double out[SPECIES_COUNT])
{
    struct life life;
    o.horizon = s->horizon;
    o.product = all->bed_litres / LITRE;
    TRY(life_follow(&life, p, s->plan, s->tape, &o));
    for (int i = 0; i < SPECIES_COUNT; i++)
        out[i] = life.load[i] * all->bed_litres / life.bed_litres;
    return STATUS_OK;
}

struct told_apart { /* loads, mol */
    const double *all;
    double sound[SPECIES_COUNT], calm[SPECIES_COUNT], clean[SPECIES_COUNT];
};

static void share_out(const struct told_apart *t, double (*count)(const double[]), double total,
                      double share[LOAD_SOURCES])
{
    if (!(total > 0.0))
        return;
    share[LOAD_STEADY] = count(t->clean) / total;
    share[LOAD_CHLORAMINE] = (count(t->calm) - count(t->clean)) / total;
    share[LOAD_START] = (count(t->sound) - count(t->calm)) / total;
    share[LOAD_DAMAGE] = (count(t->all) - count(t->sound)) / total;
}

static enum status tell_apart(const struct seeking *s, const struct life *all, struct load *l)
{
    const struct life_options sound = { .without_damage = true };
    const struct life_options calm = { .without_damage = true, .without_start_salt = true };
    struct told_apart t = { .all = all->load };
    struct plant *clean = malloc(sizeof *clean);
    if (!clean)
        return STATUS_MEMORY;
    *clean = *s->plant;
    clean->feed.c[CHLORAMINE] = 0.0;
    enum status status = load_without(s, s->plant, sound, all, t.sound);
    if (status == STATUS_OK)
        status = load_without(s, s->plant, calm, all, t.calm);
    if (status == STATUS_OK)
        status = load_without(s, clean, calm, all, t.clean);
    free(clean);
    TRY(status);
    share_out(&t, cations, l->came[LOAD_CATION], l->share[LOAD_CATION]);
    share_out(&t, salts, l->came[LOAD_ANION], l->share[LOAD_ANION]);
    if (l->came[LOAD_ANION] > 0.0) {
        l->share[LOAD_ANION][LOAD_CO2] = carbon_dioxide(all->load) / l->came[LOAD_ANION];
        l->share[LOAD_ANION][LOAD_SILICA] = all->load[SILICA] / l->came[LOAD_ANION];
    }
    return STATUS_OK;
}

/* ---- by hand ----------------------------------------------------------------------------------
 */

static void weigh(const struct plant *p, const struct life *all, struct load *l)
{
    l->litres = all->bed_litres;
    l->sites[LOAD_CATION] = life_cation_sites(p);
    l->sites[LOAD_ANION] = life_anion_sites(p);
    l->came[LOAD_CATION] = cations(all->load);
    l->came[LOAD_ANION] = charge_of(all->load, FIRST_ANION, LAST_ANION);
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        l->held[i <= LAST_CATION ? LOAD_CATION : LOAD_ANION] += all->held[i];
    double used[LOAD_RESINS] = { 0.0 };
    for (int r = 0; r < LOAD_RESINS; r++) {
        const bool there = l->sites[r] > 0.0 && l->came[r] > 0.0;
        l->hand[r] = there ? l->litres * l->sites[r] / l->came[r] : INFINITY;
        used[r] = there ? l->held[r] / l->sites[r] : 0.0;
    }
    l->ends = used[LOAD_CATION] > used[LOAD_ANION] ? LOAD_CATION : LOAD_ANION;
    l->used = used[l->ends];
    l->slipped = l->came[l->ends] > 0.0 ? 1.0 - l->held[l->ends] / l->came[l->ends] : 0.0;
}

/* ---- what no meter shows ----------------------------------------------------------------------
 */

static enum status try_silica(const struct seeking *s, struct plant *p, int which, struct load *l)
{
    const struct life_options o = { .horizon = s->horizon, .last_bed_only = true };
    struct life life;
    *p = *s->plant;
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == &stage_resin)
            p->train[k].params.resin.selectivity[SILICA] *= pow(BAND, which - 1);
    TRY(life_follow(&life, p, s->plan, s->tape, &o));
    l->silica[which] = life.first.litres[PASSED_SILICA];
    l->bed[which] = life.bed_litres;
    return STATUS_OK;
}

static enum status find_unseen(const struct seeking *s, struct load *l)
{
    struct plant *p = malloc(sizeof *p);
    enum status status = p ? STATUS_OK : STATUS_MEMORY;
    for (int which = 0; which < LOAD_BAND && status == STATUS_OK; which++)
        status = try_silica(s, p, which, l);
    free(p);
    TRY(status);
    l->interval_given = isfinite(s->plan->visits.every);
    l->interval = l->interval_given ? s->plan->visits.every : WEEK * DAY;
    const struct life_options late = { .horizon = s->horizon,
                                       .last_bed_only = true,
                                       .late = s->plant->meter.resolution,
                                       .later = l->interval };
    return life_follow(&l->late, s->plant, s->plan, s->tape, &late);
}

enum status load_find(struct load *l, const struct plant *p, const struct plan *plan,
                      const struct tape *tape, const struct life *life, double horizon)
{
    const struct seeking s = { p, plan, tape, horizon };
    *l = (struct load){ .there = life_last_bed(p) >= 0 && life->bed_litres > 0.0 };
    if (!l->there)
        return STATUS_OK;
    weigh(p, life, l);
    TRY(tell_apart(&s, life, l));
    return find_unseen(&s, l);
}
