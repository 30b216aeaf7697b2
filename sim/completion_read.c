/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * completion_read: first half of the completion: what was given, made tidy; what is assumed of the
 * minor matter; the typical shares of what is free.  Page: docs/completion.md, with their sources.
 */
#include "completion_inner.h"

/* Typical shares of the charge of each side, and what is taken of minor matter. */
static const double CLOSE_BALANCE = 0.05;   /* of all charge, within which an analysis is whole */
static const double HARDNESS_SHARE = 0.765; /* of all cations */
static const double CALCIUM_SHARE = 0.70;   /* of hardness */
static const double POTASSIUM_SHARE = 0.10; /* of sodium and potassium */
static const double CHLORIDE_SHARE = 0.50;  /* of strong anions, the next two alike */
static const double SULFATE_SHARE = 0.45;
static const double NITRATE_SHARE = 0.05;
static const double USUAL_PH = 7.5;
static const double USUAL_SILICA = 10e-3;       /* kg/m3 SiO2 */
static const double USUAL_FLUORIDE = 0.2e-3;    /* kg/m3 */
static const double USUAL_CONDUCTIVITY = 20e-3; /* S/m below which those two shrink in proportion */
static const double TITRATION_END = 4.5;        /* pH below which a titration finds no alkalinity */

static double tidy(double value, double least, double most)
{
    return completion_known(value) ? fmin(fmax(value, least), most) : NAN;
}

double completion_temperature(const struct analysis *a)
{
    return completion_known(a->temperature) ? tidy(a->temperature, 0.0, 60.0) : 25.0;
}

/* Calcium and magnesium from hardness, keeping the one that is given. */
static void split_hardness(const struct analysis *a, double ion[])
{
    const double h = 0.5 * tidy(a->hardness, 0.0, 1e3); /* mol/m3 */
    if (!completion_known(h))
        return;

    if (!completion_known(ion[CALCIUM]) && !completion_known(ion[MAGNESIUM]))
        ion[CALCIUM] = CALCIUM_SHARE * h;
    if (!completion_known(ion[CALCIUM]))
        ion[CALCIUM] = fmax(0.0, h - ion[MAGNESIUM]);
    if (!completion_known(ion[MAGNESIUM]))
        ion[MAGNESIUM] = fmax(0.0, h - ion[CALCIUM]);
}

static double rough_conductivity(const struct analysis *a, const double ion[])
{
    if (completion_known(a->conductivity))
        return fmin(fmax(a->conductivity, 0.0), 10.0);
    if (completion_known(a->dissolved))
        return fmin(fmax(a->dissolved / 6.5, 0.0), 10.0);

    double cations = 0.0, anions = 0.0; /* eq/m3; about 0.01 S/m each */
    for (enum species i = 0; i <= FLUORIDE; i++)
        if (completion_known(ion[i]))
            *(completion_cation(i) ? &cations : &anions) += ion[i] * completion_charge(i);
    if (completion_known(a->alkalinity))
        anions += fmax(a->alkalinity, 0.0);
    return 0.01 * fmax(cations, anions);
}

static void measures(const struct analysis *a, struct puzzle *z)
{
    z->temperature = completion_temperature(a);
    z->ph = tidy(a->ph, 0.0, 14.0);
    z->known[BY_ALKALINITY] = tidy(a->alkalinity, -1e3, 1e3);
    z->known[BY_BICARBONATE] = tidy(a->bicarbonate, 0.0, 1e3);
    z->known[BY_CARBON] = tidy(a->ion[CARBON], 0.0, 1e3);
    z->known[BY_DIOXIDE] = tidy(a->carbon_dioxide, 0.0, 1e3);
    if (z->known[BY_ALKALINITY] <= 0.0 && z->ph < TITRATION_END)
        z->known[BY_ALKALINITY] = NAN;
}

/* Which measures are in use.  `by_difference`: all ions are known, so that alkalinity follows from
 * them and a single carbon or carbon dioxide gives the pH. */
static void choose_measures(struct puzzle *z, bool by_difference)
{
    z->second = MEASURES;
    z->first = BY_ALKALINITY;
    while (z->first < MEASURES && !completion_known(z->known[z->first]))
        z->first++;
    z->alkalinity_free = z->first == MEASURES;
    if (z->alkalinity_free)
        z->first = BY_ALKALINITY;
    if (completion_known(z->ph))
        return;

    if (by_difference && z->first >= BY_CARBON) {
        z->second = z->first;
        z->first = BY_ALKALINITY;
        z->alkalinity_free = true;
        return;
    }
    for (enum measure m = BY_CARBON; m < MEASURES && z->second == MEASURES; m++)
        if (m > z->first && completion_known(z->known[m]) && z->known[m] > 0.0)
            z->second = m;
    if (z->second == MEASURES)
        z->ph = USUAL_PH;
}

/* Share of an ion in the charge of its side of the mean river. */
static double typical_share(enum species i)
{
    const double alkali = 1.0 - HARDNESS_SHARE, strong = 1.0 - ALKALINITY_SHARE;

    switch ((int)i) {
    case SODIUM:
        return (1.0 - POTASSIUM_SHARE) * alkali;
    case POTASSIUM:
        return POTASSIUM_SHARE * alkali;
    case CALCIUM:
        return CALCIUM_SHARE * HARDNESS_SHARE;
    case MAGNESIUM:
        return (1.0 - CALCIUM_SHARE) * HARDNESS_SHARE;
    case CHLORIDE:
        return CHLORIDE_SHARE * strong;
    case SULFATE:
        return SULFATE_SHARE * strong;
    case NITRATE:
        return NITRATE_SHARE * strong;
    default:
        return 0.0;
    }
}

/* What was given balances by itself, and no reading says that there is more: a softened water, say,
 * of sodium, bicarbonate and chloride alone.  Then there is nothing to guess. */
static bool balances(const struct analysis *a, const struct puzzle *z, const double ion[])
{
    double cations = 0.0, anions = 0.0;
    for (enum species i = 0; i <= FLUORIDE; i++)
        if (completion_known(ion[i]))
            *(completion_cation(i) ? &cations : &anions) += ion[i] * completion_charge(i);
    const double alkali = completion_known(z->known[BY_ALKALINITY])    ? z->known[BY_ALKALINITY]
                          : completion_known(z->known[BY_BICARBONATE]) ? z->known[BY_BICARBONATE]
                                                                       : NAN;
    const bool more = completion_known(a->conductivity) || completion_known(a->dissolved);
    return !more && cations > 0.0 &&
           fabs(cations - anions - alkali) <= CLOSE_BALANCE * (cations + anions + alkali);
}

static void name_none(double ion[])
{
    for (enum species i = 0; i <= FLUORIDE; i++)
        if (!completion_known(ion[i]))
            ion[i] = 0.0;
}

/* An analysis that names the main ions of a side but not potassium or nitrate had none to name. */
static void close_sides(double ion[], bool *cations_whole, bool *anions_whole,
                        bool alkalinity_known)
{
    *cations_whole = completion_known(ion[CALCIUM]) && completion_known(ion[MAGNESIUM]) &&
                     completion_known(ion[SODIUM]);
    *anions_whole = completion_known(ion[CHLORIDE]) && completion_known(ion[SULFATE]);
    if (*cations_whole && !completion_known(ion[POTASSIUM]))
        ion[POTASSIUM] = 0.0;
    if (*anions_whole && !completion_known(ion[NITRATE]))
        ion[NITRATE] = 0.0;
    if (*anions_whole && alkalinity_known && !completion_known(ion[FLUORIDE]))
        ion[FLUORIDE] = 0.0;
}

static void settle_minor(struct puzzle *z, double ion[])
{
    const double shrink = fmin(1.0, z->strength / USUAL_CONDUCTIVITY);

    if (!completion_known(ion[SILICA]))
        ion[SILICA] = shrink * USUAL_SILICA / species[SILICA].molar_mass;
    if (!completion_known(ion[FLUORIDE]))
        ion[FLUORIDE] = shrink * USUAL_FLUORIDE / species[FLUORIDE].molar_mass;
    if (!completion_known(ion[AMMONIUM]))
        ion[AMMONIUM] = 0.0;
}

struct puzzle completion_read(const struct analysis *a)
{
    struct puzzle z = { .ph = NAN };
    double ion[SPECIES_COUNT];
    bool cations_whole, anions_whole;

    for (enum species i = 0; i < SPECIES_COUNT; i++)
        ion[i] = tidy(a->ion[i], 0.0, 1e3);
    split_hardness(a, ion);
    z.strength = rough_conductivity(a, ion);
    measures(a, &z);
    const bool alkalinity_known =
        completion_known(z.known[BY_ALKALINITY]) || completion_known(z.known[BY_BICARBONATE]);
    z.balances = balances(a, &z, ion);
    if (z.balances)
        name_none(ion);
    close_sides(ion, &cations_whole, &anions_whole, alkalinity_known);
    choose_measures(&z, cations_whole && anions_whole);
    settle_minor(&z, ion);

    for (enum species i = 0; i < SPECIES_COUNT; i++) {
        const bool given = completion_known(ion[i]);
        double *side = completion_cation(i) ? &z.cations : &z.anions;
        double *shares = completion_cation(i) ? &z.cation_share : &z.anion_share;
        z.fixed[i] = given ? ion[i] : 0.0;
        z.share[i] = given ? 0.0 : typical_share(i);
        if (i <= FLUORIDE) {
            *side += z.fixed[i] * completion_charge(i);
            *shares += z.share[i];
        }
    }
    return z;
}
