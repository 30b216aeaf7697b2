/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * units: units of a scenario against other converters and against published factors.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "sim/units.h"

struct row {
    const char *text;
    enum dimension d;
    double units, udunits; /* SI */
};

static const struct row rows[] = {
#include "tests/referee/units_table.h"
};

static double si(const char *text, enum dimension d, const char *substance)
{
    const struct units_hint hint = { substance == NULL ? NULL : units_substance(substance), 0.0 };
    struct quantity q;
    struct units_error e;
    cr_assert(units_parse(text, d, &hint, &q, &e), "%s: %s", text, e.what);
    return q.si;
}

static double off(double is, double should)
{
    return fabs(is - should) / fmax(fabs(should), 1e-300);
}

/* GNU units: the exact definitions; 26.85 degC is a difference of large numbers there. */
Test(published_units, agree_with_the_units_program)
{
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double is = si(rows[i].text, rows[i].d, NULL);
        cr_assert_lt(off(is, rows[i].units), 3e-15, "%s: %.17g, not %.17g", rows[i].text, is,
                     rows[i].units);
    }
}

/* libudunits2: all to 1e-12, but its US gallon is rounded to 3.785412 L, 5.7e-8 off the exact one,
 * and with it the fluid ounce; its ounce to 28.34952 g, 1.1e-7 off (exact: 28.349523125 g, NIST
 * Handbook 44). */
Test(published_units, agree_with_udunits_but_for_its_rounded_gallon_and_ounce)
{
    int known = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (isnan(rows[i].udunits))
            continue;
        const bool gallon =
            strstr(rows[i].text, "gal") != NULL || strstr(rows[i].text, "gp") != NULL;
        const bool ounce = strstr(rows[i].text, "oz") != NULL;
        const double is = si(rows[i].text, rows[i].d, NULL);
        cr_assert_lt(off(is, rows[i].udunits),
                     ounce    ? 1.2e-7
                     : gallon ? 6e-8
                              : 1e-12,
                     "%s: %.17g, not %.17g", rows[i].text, is, rows[i].udunits);
        known++;
    }
    cr_assert_gt(known, 40);
}

/* CaCO3 100.0869 g/mol, so 50 043.45 mg/eq; 1 kgr/ft3 as CaCO3 = 0.0457273 eq/L (computed from the
 * definitions of grain and foot). */
Test(published_units, count_hardness_as_calcium_carbonate)
{
    cr_assert_lt(off(si("50.04345 mg/L as CaCO3", DIM_EQUIVALENTS, NULL), 1.0), 1e-12);
    cr_assert_lt(off(si("1 kgr/ft3 as CaCO3", DIM_CAPACITY, NULL), 45.7273), 1e-6);
    cr_assert_lt(off(si("10000 gr/ft3 as CaCO3", DIM_CAPACITY, NULL), 457.0), 1e-3);
    cr_assert_lt(off(si("1 gpg", DIM_EQUIVALENTS, NULL), 17.118061 / 50.04345), 1e-7);
}

/* DIN 38409-6, from memory: 1 German degree is 0.178 mmol/L of Ca + Mg, 17.85 mg/L as CaCO3;
 * 1 French degree is 10 mg/L as CaCO3. */
Test(published_units, know_the_degrees_of_hardness)
{
    cr_assert_float_eq(si("1 dH", DIM_EQUIVALENTS, NULL) / 2.0, 0.178, 0.0005);
    cr_assert_lt(
        off(si("1 dH", DIM_EQUIVALENTS, NULL), si("17.85 mg/L as CaCO3", DIM_EQUIVALENTS, NULL)),
        5e-4);
    cr_assert_lt(
        off(si("1 fH", DIM_EQUIVALENTS, NULL), si("10 mg/L as CaCO3", DIM_EQUIVALENTS, NULL)),
        1e-12);
}

/* 1 mol NH2Cl counts as 1 mol Cl2, 70.906 g; 4 mg/L as Cl2 are 0.7902 mg/L of N (computed). */
Test(published_units, count_chloramine_as_chlorine)
{
    const double n = si("4 mg/L as Cl2", DIM_MOLAR, "chloramine") * 14.0067;
    cr_assert_float_eq(n, 0.7902, 0.00005);
}

/* US limit of nitrate: 10 mg/L as N is 44.3 mg/L as NO3 (EPA and WHO state both, from memory). */
Test(published_units, tell_nitrogen_from_nitrate)
{
    cr_assert_float_eq(si("10 mg/L as N", DIM_MOLAR, "nitrate") * 62.0049, 44.27, 0.01);
}
