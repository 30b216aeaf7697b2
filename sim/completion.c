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

static const char *const measure_key[MEASURES] = { "alkalinity", "bicarbonate", "carbon",
                                                   "carbon_dioxide" };

/* A whole water. */
struct trial {
    double c[SPECIES_COUNT];
    double total;                          /* T, sum of cations [eq/m3] */
    double alkalinity;                     /* A [eq/m3] */
    double closed_sodium, closed_chloride; /* eq/m3 put there to close the balance */
    struct speciation s;
};

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
static void settle(const struct puzzle *z, struct carbonate *x, double surplus, struct trial *w)
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
static void share_out(const struct puzzle *z, struct trial *w)
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
static struct trial compose(const struct puzzle *z, double surplus)
{
    struct trial w = { .alkalinity = 0.0 };
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

/* Dissolved solids by evaporation [kg/m3]: bicarbonate turns to carbonate. */
static double dissolved_solids(const struct trial *w)
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

static double shortfall(const struct target *target, const struct trial *w)
{
    const double now = target->by_mass ? dissolved_solids(w) : water_conductivity(w->c, &w->s);

    return now - target->value;
}

/* The water of the family that meets the target (regula falsi, Illinois).  What even a strong brine
 * does not reach is left at the brine. */
static struct trial meet(const struct puzzle *z, const struct target *target, double f_low)
{
    double low = 0.0, high = fmax(0.01, 1e2 * z->strength);
    struct trial w = compose(z, high);
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
static double usual_total(const struct puzzle *z, const struct trial *least)
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

/* ---- saying what was assumed -------------------------------------------------------------- */

static void assume(struct completion *out, const char *key, double value, const char *unit,
                   const char *why)
{
    if (out->assumptions < ASSUMED_MAX)
        out->assumed[out->assumptions++] = (struct assumption){ key, value, unit, why };
}

static const char *why_ion(const struct analysis *a, enum species i)
{
    const bool hard = completion_known(a->hardness);
    const bool other =
        i == CALCIUM ? completion_known(a->ion[MAGNESIUM]) : completion_known(a->ion[CALCIUM]);

    switch ((int)i) {
    case CALCIUM:
    case MAGNESIUM:
        if (hard)
            return other ? "the rest of the hardness"
                         : "hardness split 70 to 30 by charge between calcium and magnesium "
                           "(mean river, Livingstone 1963: 69 to 31)";
        return "share of the mean river (Livingstone 1963): hardness 76.5 % of all cations";
    case SODIUM:
    case POTASSIUM:
        return "rest of the cations, split 90 to 10 between sodium and potassium (assumption; mean "
               "river 82 to 18)";
    case AMMONIUM:
        return "none, as none was given";
    case CHLORIDE:
    case SULFATE:
    case NITRATE:
        return "strong anions split 50 : 45 : 5 by charge between chloride, sulfate and nitrate "
               "(assumption; mean river 47 : 50 : 3)";
    case FLUORIDE:
        return "0.2 mg/L, less in proportion below 200 uS/cm (assumption)";
    default:
        return "10 mg/L SiO2, less in proportion below 200 uS/cm (assumption; mean river 13)";
    }
}

static void tell_ions(const struct analysis *a, const struct puzzle *z, const struct trial *w,
                      struct completion *out)
{
    for (enum species i = 0; i <= SILICA; i++) {
        const bool closes = z->balances && (i == SODIUM     ? w->closed_sodium
                                            : i == CHLORIDE ? w->closed_chloride
                                                            : 0.0) > 0.0;
        if (completion_known(a->ion[i]) || i == CARBON || closes)
            continue; /* what closes the balance is told by itself */
        const bool none =
            i <= FLUORIDE && i != AMMONIUM && !(z->share[i] > 0.0) && out->c[i] <= 0.0;
        assume(out, species[i].key, out->c[i], "mol/m3",
               none && z->balances ? "none: what was given balances without it"
               : none ? "none: the analysis names the main ions of its side and not this one"
                      : why_ion(a, i));
    }
}

static double found(const struct trial *w, enum measure m)
{
    const double value[MEASURES] = { w->alkalinity, w->s.hco3, w->c[CARBON], w->s.co2 };

    return value[m];
}

static void tell_carbonates(const struct analysis *a, const struct puzzle *z, const struct trial *w,
                            struct completion *out)
{
    if (!completion_known(a->ph))
        assume(out, "ph", w->s.ph, "pH",
               completion_known(z->ph) ? "assumed; good to about 0.5, which is a factor of 3 on CO2"
                                       : "follows from the alkalinity and the carbon or CO2 given");
    if (completion_known(a->ph) && !completion_known(a->temperature))
        assume(out, "temperature", z->temperature, "degC", "pH is taken as measured at 25 degC");
    if (z->alkalinity_free)
        assume(out, "alkalinity", w->alkalinity, "eq/m3",
               z->anion_share > 0.0
                   ? "67 % of all anions (mean river, Livingstone 1963), within what the pH allows"
                   : "what the strong ions leave, by difference");
    for (enum measure m = BY_ALKALINITY; m < MEASURES; m++)
        if (completion_known(z->known[m]) && m != z->second &&
            (m != z->first || z->alkalinity_free))
            assume(out, measure_key[m], found(w, m), "mol/m3",
                   "follows from the rest; the value given is set aside");
}

/* Readings that could not be met because the ions decide, and what closed the balance. */
static void tell_closing(const struct analysis *a, const struct trial *w, bool met,
                         struct completion *out)
{
    const double sum = 2.0 * (w->c[CALCIUM] + w->c[MAGNESIUM]);

    if (w->closed_sodium > 1e-9 * w->total)
        assume(out, "sodium", w->closed_sodium, "eq/m3", "added to close the balance of charge");
    if (w->closed_chloride > 1e-9 * w->total)
        assume(out, "chloride", w->closed_chloride, "eq/m3",
               "added to close the balance of charge");
    if (completion_known(a->hardness) && fabs(sum - a->hardness) > 1e-6 * (sum + fabs(a->hardness)))
        assume(out, "hardness", sum, "eq/m3",
               "of calcium and magnesium; the value given is set aside");
    if (completion_known(a->conductivity) && !met)
        assume(out, "conductivity", out->conductivity, "S/m",
               "of the ions; the value given is set aside");
    if (completion_known(a->dissolved) && (completion_known(a->conductivity) || !met))
        assume(out, "dissolved", dissolved_solids(w), "kg/m3",
               "of the ions; the value given is set aside");
}

/* Free CO2 at another pH with the same alkalinity. */
static double dioxide_at(const struct trial *w, double temperature, double ph)
{
    const struct equilibria k = water_equilibria(temperature, w->s.ionic_strength);
    const struct carbonate x = { &k, w->c[SILICA], w->c[AMMONIUM], carbonate_hydrogen(&k, ph) };

    return carbonate_share(&x, 0) * carbonate_for(&x, BY_ALKALINITY, w->alkalinity);
}

static double whole_balance(const struct puzzle *z, const struct trial *w)
{
    const double closed = w->closed_sodium + w->closed_chloride;
    const double anions = z->anions + w->alkalinity;
    const bool whole = z->cation_share <= 0.0 && z->anion_share <= 0.0 && !z->alkalinity_free;

    if (!whole && !(closed > 1e-9 * w->total))
        return NAN;
    return z->cations + anions > 0.0 ? 100.0 * (z->cations - anions) / (z->cations + anions) : 0.0;
}

static void fill(const struct puzzle *z, const struct trial *w, struct completion *out)
{
    memcpy(out->c, w->c, sizeof out->c);
    out->ph = w->s.ph;
    out->conductivity = water_conductivity(w->c, &w->s);
    out->dissolved = dissolved_solids(w);
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
    struct trial w = { .total = 0.0 };

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
    struct trial w = compose(&z, 0.0);
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
    tell_ions(a, &z, &w, out);
    tell_carbonates(a, &z, &w, out);
    tell_closing(a, &w, met, out);
    return result;
}
