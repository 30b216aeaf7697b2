/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * completion_tell: says what of a completed feed was assumed, and why.  Page: docs/completion.md.
 */
#include <math.h>

#include "completion_inner.h"

static const char *const measure_key[MEASURES] = { "alkalinity", "bicarbonate", "carbon",
                                                   "carbon_dioxide" };

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

static void tell_ions(const struct analysis *a, const struct puzzle *z,
                      const struct completion_trial *w, struct completion *out)
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

static double found(const struct completion_trial *w, enum measure m)
{
    const double value[MEASURES] = { w->alkalinity, w->s.hco3, w->c[CARBON], w->s.co2 };

    return value[m];
}

static void tell_carbonates(const struct analysis *a, const struct puzzle *z,
                            const struct completion_trial *w, struct completion *out)
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
static void tell_closing(const struct analysis *a, const struct completion_trial *w, bool met,
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
        assume(out, "dissolved", completion_solids(w), "kg/m3",
               "of the ions; the value given is set aside");
}

void completion_tell(const struct analysis *a, const struct puzzle *z,
                     const struct completion_trial *w, bool met, struct completion *out)
{
    tell_ions(a, z, w, out);
    tell_carbonates(a, z, w, out);
    tell_closing(a, w, met, out);
}
