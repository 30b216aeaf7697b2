/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * models/gas.c against published values.  The source stands beside each check; "computed" marks
 * values worked out from published constants.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/gas.h"
#include "models/water.h"

/* Plummer & Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011: log10 KH in mol/(L atm), its
 * coefficients read in the abstract; -1.4679 at 25 degC computed from them, 0.001. */
Test(gas, has_the_solubility_of_plummer_and_busenberg)
{
    const double log_kh = log10(gas_solubility(25.0) * 101325.0 / 1e3);
    cr_assert(fabs(log_kh + 1.4679) < 0.001, "%g", log_kh);
}

/* Pure water left open to the air at 25 degC.  Computed from those constants: pH 5.631 and 0.92
 * uS/cm at 360 ppm, 5.598 and 1.00 at 420; the CRC Handbook gives 1.10 uS/cm for water in
 * laboratory air (15 %). */
Test(gas, pure_water_drifts_to_one_microsiemens)
{
    const double rows[][3] = { { 360, 5.631, 0.92 }, { 420, 5.598, 1.00 } };
    for (size_t i = 0; i < 2; i++) {
        const struct gas g = { 1e-6 * rows[i][0], 2e-5, 1.0 };
        struct vessel v = { .volume = 0.1 };
        double came = 0.0;
        for (int hour = 0; hour < 24 * 30; hour++)
            came += gas_exchange(&g, 0.25, &v, 25.0, 3600.0);
        cr_assert(fabs(came - v.amount[CARBON]) < 1e-12 * came);
        double c[SPECIES_COUNT] = { 0.0 };
        c[CARBON] = v.amount[CARBON] / v.volume;
        const struct speciation s = water_speciate(c, 25.0);
        cr_assert(fabs(s.ph - rows[i][1]) < 0.002, "%g ppm: pH %g", rows[i][0], s.ph);
        const double us = water_conductivity(c, &s) / 1e-4;
        cr_assert(fabs(us - rows[i][2]) < 0.01, "%g ppm: %g uS/cm", rows[i][0], us);
        if (rows[i][0] > 400) /* laboratory air of today */
            cr_assert(fabs(us / 1.10 - 1.0) < 0.15, "%g ppm", rows[i][0]);
    }
}
