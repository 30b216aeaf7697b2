/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * completion: from what a person knows of the feed to a charge-balanced composition; its second
 * half, after completion_read.c. Page: docs/completion.md, with the rule in the same words and the
 * source of every share.
 *
 * Alkalinity A is what strong ions leave over: A = sum of cations - sum of strong anions, by
 * charge, ammonium counted as a cation.  The sum of cations T = A + S is the one unknown: each side
 * keeps what was given and shares the rest of T among what was not; a conductivity, or the
 * dissolved solids, fix T.  Assumes a fresh water of the common kind: its shares are those of the
 * mean river.
 */
#include <string.h>

#include "completion_inner.h"

static const double MOST_DIOXIDE = 1.0;    /* mol/m3 CO2 that a guessed alkalinity may imply */
static const double WARN_BALANCE = 5.0;    /* %, of what was given */
static const double REFUSE_BALANCE = 20.0; /* % */
static const double PH_DOUBT = 0.3;        /* of a strip, or of the report of a plant */
static const double MOST_DOUBT = 4.0;  /* factor on CO2: carbonates go as h to h^2, acids do not */
static const double NO_DIOXIDE = 0.02; /* mol/m3 */

/* [H] at which the second measure follows from the first: it grows with [H], but for total carbon
 * over bicarbonate, which has two answers, of which the more acid one is meant. */
static double hydrogen_between(const struct puzzle *z, const struct carbonate *at, double first)
{
    struct carbonate x = *at;
    double low = carbonate_hydrogen(x.k, 12.0), high = carbonate_hydrogen(x.k, 2.0);
    if (z->first == BY_BICARBONATE && z->second == BY_CARBON)
        low = sqrt(x.k->k1 * x.k->k2);

    for (int i = 0; i < 80; i++) {
        x.h = sqrt(low * high);
        const double carbon = carbonate_for(&x, z->first, first);
        if (carbonate_measure(&x, z->second, carbon) < z->known[z->second])
            low = x.h;
        else
            high = x.h;
    }
    return x.h;
}

/* ---- one water of the family -------------------------------------------------------------- */

/* Alkalinity that nobody measured: its typical share, or all that the strong anions leave of T
 * where they are known.  A pH sets bounds: carbon is not negative, and a guess may not imply more
 * than MOST_DIOXIDE, as acid water would. */
static double guess_alkalinity(const struct puzzle *z, struct carbonate *x, double surplus,
                               double *total)
{
    const double least = completion_known(z->ph) ? carbonate_other_alkalinity(x) : -INFINITY;
    *total = fmax(z->cations, z->anions + least) + surplus;
    const double rest = *total - z->anions;
    if (z->anion_share <= 0.0)
        return rest;

    const double most =
        carbonate_measure(x, BY_ALKALINITY, carbonate_for(x, BY_DIOXIDE, MOST_DIOXIDE));
    const double share = rest * ALKALINITY_SHARE / (ALKALINITY_SHARE + z->anion_share);
    return fmax(fmin(share, most), least);
}

/* Settles carbon, alkalinity and T at `surplus` eq/m3 above the least T. */
static void settle(const struct puzzle *z, struct carbonate *x, double surplus,
                   struct completion_trial *w)
{
    enum measure by = z->first;
    double value = z->known[by];
    if (completion_known(z->ph))
        x->h = carbonate_hydrogen(x->k, z->ph);
    if (z->alkalinity_free) {
        by = BY_ALKALINITY;
        value = guess_alkalinity(z, x, surplus, &w->total);
    }
    if (!completion_known(z->ph))
        x->h = hydrogen_between(z, x, value);

    w->c[CARBON] = z->second == BY_CARBON ? z->known[BY_CARBON] : carbonate_for(x, by, value);
    w->alkalinity = by == BY_ALKALINITY ? value : carbonate_measure(x, BY_ALKALINITY, w->c[CARBON]);
    if (!z->alkalinity_free)
        w->total = fmax(z->cations, z->anions + w->alkalinity) + surplus;
}

/* Shares out what the fixed ions leave of T; what no ion may take closes on sodium or chloride. */
static void share_out(const struct puzzle *z, struct completion_trial *w)
{
    const double cations = fmax(0.0, w->total - z->cations);
    const double anions = fmax(0.0, w->total - (z->anions + w->alkalinity));

    for (enum species i = 0; i <= FLUORIDE; i++) {
        const double rest = completion_cation(i) ? cations : anions;
        const double sum = completion_cation(i) ? z->cation_share : z->anion_share;
        w->c[i] = z->fixed[i];
        if (z->share[i] > 0.0)
            w->c[i] += rest * z->share[i] / sum / completion_charge(i);
    }
    w->closed_sodium = z->cation_share > 0.0 ? 0.0 : cations;
    w->closed_chloride = z->anion_share > 0.0 ? 0.0 : anions;
    w->c[SODIUM] += w->closed_sodium;
    w->c[CHLORIDE] += w->closed_chloride;
}

/* The activities need the ionic strength, and it needs the composition: repeated until it stays. */
static struct completion_trial compose(const struct puzzle *z, double surplus)
{
    struct completion_trial w = { .alkalinity = 0.0 };
    double ionic_strength = 1e3 * z->strength * 0.16;

    memcpy(w.c, z->fixed, sizeof w.c);
    for (int i = 0; i < 30; i++) {
        const struct equilibria k = water_equilibria(z->temperature, ionic_strength);
        struct carbonate x = { &k, w.c[SILICA], w.c[AMMONIUM], 1e-4 };
        settle(z, &x, surplus, &w);
        share_out(z, &w);
        w.s = water_speciate(w.c, z->temperature);
        const double change = fabs(w.s.ionic_strength - ionic_strength);
        ionic_strength = w.s.ionic_strength;
        if (change <= 1e-12 * ionic_strength)
            break;
    }
    return w;
}

double completion_solids(const struct completion_trial *w)
{
    static const double carbonate = 60.0089e-3; /* kg/mol */
    double sum =
        w->c[SILICA] * species[SILICA].molar_mass + (0.5 * w->s.hco3 + w->s.co3) * carbonate;

    for (enum species i = 0; i <= FLUORIDE; i++)
        sum += w->c[i] * species[i].molar_mass;
    return sum;
}

/* ---- finding T ---------------------------------------------------------------------------- */

struct target {
    bool by_mass; /* dissolved solids [kg/m3], else conductivity [S/m] */
    double value;
};

static double shortfall(const struct target *target, const struct completion_trial *w)
{
    const double now = target->by_mass ? completion_solids(w) : water_conductivity(w->c, &w->s);

    return now - target->value;
}

/* The water of the family that meets the target (regula falsi, Illinois).  What even a strong brine
 * does not reach is left at the brine. */
static struct completion_trial meet(const struct puzzle *z, const struct target *target,
                                    double f_low)
{
    double low = 0.0, high = fmax(0.01, 1e2 * z->strength);
    struct completion_trial w = compose(z, high);
    double f_high = shortfall(target, &w);

    while (f_high < 0.0 && high < 1e3) {
        low = high;
        f_low = f_high;
        high *= 2.0;
        w = compose(z, high);
        f_high = shortfall(target, &w);
    }
    for (int i = 0, side = 0; f_high > 0.0 && i < 100; i++) {
        const double x = (low * f_high - high * f_low) / (f_high - f_low);
        w = compose(z, x);
        const double f = shortfall(target, &w);
        if (fabs(f) <= 1e-12 * target->value || !(x > low && x < high))
            break;
        if (f > 0.0) {
            high = x, f_high = f;
            f_low *= side > 0 ? 0.5 : 1.0;
            side = 1;
        } else {
            low = x, f_low = f;
            f_high *= side < 0 ? 0.5 : 1.0;
            side = -1;
        }
    }
    return w;
}

/* T where nothing measured it: what was given has its typical share of its side; a side of which
 * less than a tenth is given says nothing.  0 if neither says anything. */
static double usual_total(const struct puzzle *z, const struct completion_trial *least)
{
    const double cations = 1.0 - z->cation_share;
    const double anions = 1.0 - z->anion_share - (z->alkalinity_free ? ALKALINITY_SHARE : 0.0);
    const double sum = z->anions + (z->alkalinity_free ? 0.0 : least->alkalinity);

    return fmax(cations > 0.1 ? z->cations / cations : 0.0, anions > 0.1 ? sum / anions : 0.0);
}

/* Whether cations and anions were given, if only some that say nothing of the rest, as ammonium
 * and nitrate: then they are all. */
static bool both_sides(const struct analysis *a)
{
    bool cations = false, anions = false;
    for (enum species i = 0; i <= FLUORIDE; i++)
        if (a->ion[i] > 0.0)
            *(completion_cation(i) ? &cations : &anions) = true;
    return cations && anions;
}

/* ---- the answer --------------------------------------------------------------------------- */

/* Free CO2 at another pH with the same alkalinity. */
static double dioxide_at(const struct completion_trial *w, double temperature, double ph)
{
    const struct equilibria k = water_equilibria(temperature, w->s.ionic_strength);
    const struct carbonate x = { &k, w->c[SILICA], w->c[AMMONIUM], carbonate_hydrogen(&k, ph) };

    return carbonate_share(&x, 0) * carbonate_for(&x, BY_ALKALINITY, w->alkalinity);
}

static double whole_balance(const struct puzzle *z, const struct completion_trial *w)
{
    const double closed = w->closed_sodium + w->closed_chloride;
    const double anions = z->anions + w->alkalinity;
    const bool whole = z->cation_share <= 0.0 && z->anion_share <= 0.0 && !z->alkalinity_free;

    if (!whole && !(closed > 1e-9 * w->total))
        return NAN;
    return z->cations + anions > 0.0 ? 100.0 * (z->cations - anions) / (z->cations + anions) : 0.0;
}

static void fill(const struct puzzle *z, const struct completion_trial *w, struct completion *out)
{
    memcpy(out->c, w->c, sizeof out->c);
    out->ph = w->s.ph;
    out->conductivity = water_conductivity(w->c, &w->s);
    out->dissolved = completion_solids(w);
    out->co2 = w->s.co2;
    const double low = dioxide_at(w, z->temperature, w->s.ph + PH_DOUBT);
    const double high = dioxide_at(w, z->temperature, w->s.ph - PH_DOUBT);
    const bool much = out->co2 > NO_DIOXIDE; /* else the factor is one of nothing */
    out->co2_low = fmin(out->co2, much ? fmax(low, out->co2 / MOST_DOUBT) : low);
    out->co2_high = fmax(out->co2, much ? fmin(high, out->co2 * MOST_DOUBT) : high);
}

/* All ions, total carbon and silica given and nothing else: a composition, not an analysis. */
static bool complete(const struct analysis *a)
{
    const double other[] = { a->bicarbonate, a->carbon_dioxide, a->hardness, a->alkalinity,
                             a->ph,          a->conductivity,   a->dissolved };

    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        if (completion_known(other[i]))
            return false;
    for (enum species i = 0; i <= SILICA; i++)
        if (!completion_known(a->ion[i]) || a->ion[i] < 0.0)
            return false;
    return true;
}

static enum completion_outcome pass_through(const struct analysis *a, struct completion *out)
{
    struct puzzle z = { .temperature = completion_temperature(a) };
    struct completion_trial w = { .total = 0.0 };

    for (enum species i = 0; i < SPECIES_COUNT; i++)
        w.c[i] = completion_known(a->ion[i]) ? a->ion[i] : 0.0;
    for (enum species i = 0; i <= FLUORIDE; i++)
        w.alkalinity += w.c[i] * species[i].charge;
    w.s = water_speciate(w.c, z.temperature);
    fill(&z, &w, out);
    out->conductivity_least = out->conductivity;
    out->balance = NAN; /* alkalinity is the difference: there is nothing to hold it against */
    return COMPLETION_FINE;
}

static enum completion_outcome outcome(const struct analysis *a, double balance)
{
    if (!completion_known(balance) || fabs(balance) <= WARN_BALANCE)
        return COMPLETION_FINE;
    return fabs(balance) <= REFUSE_BALANCE || a->close_by_sodium ? COMPLETION_UNBALANCED
                                                                 : COMPLETION_REFUSED;
}

enum completion_outcome completion_make(const struct analysis *a, struct completion *out)
{
    *out = (struct completion){ .balance = NAN };
    if (complete(a))
        return pass_through(a, out);

    const struct puzzle z = completion_read(a);
    struct completion_trial w = compose(&z, 0.0);
    const bool by_mass = !completion_known(a->conductivity);
    const struct target target = { by_mass, by_mass ? a->dissolved : a->conductivity };
    const bool open = z.cation_share > 0.0 && (z.anion_share > 0.0 || z.alkalinity_free);
    enum completion_outcome result = outcome(a, out->balance = whole_balance(&z, &w));
    bool met = false;

    out->conductivity_least = water_conductivity(w.c, &w.s);
    if (completion_known(target.value)) {
        const double over = shortfall(&target, &w);
        met = open && over <= 0.0;
        if (met)
            w = meet(&z, &target, over);
        else if (open)
            result = COMPLETION_CONTRADICTS;
    } else if (open) {
        const double total = usual_total(&z, &w);
        if (!(total > 0.0) && !both_sides(a))
            result = COMPLETION_NOTHING;
        w = compose(&z, fmax(0.0, total - w.total));
    } else if (!(w.total > 0.0)) {
        result = COMPLETION_NOTHING;
    }
    fill(&z, &w, out);
    completion_tell(a, &z, &w, met, out);
    return result;
}
