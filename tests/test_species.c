/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of models/species.c.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "models/species.h"

Test(species, has_a_distinct_key_and_a_symbol_in_every_row)
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        cr_assert(species[i].key && species[i].key[0] != '\0', "row %d has no key", i);
        cr_assert(species[i].symbol && species[i].symbol[0] != '\0', "row %d has no symbol", i);
        for (int j = 0; j < i; j++)
            cr_assert(strcmp(species[i].key, species[j].key) != 0, "%s twice", species[i].key);
    }
}

Test(species, has_a_distinct_name_for_every_element)
{
    for (int i = 0; i < ELEMENT_COUNT; i++) {
        cr_assert(element_name[i] && element_name[i][0] != '\0', "element %d has no name", i);
        for (int j = 0; j < i; j++)
            cr_assert(strcmp(element_name[i], element_name[j]) != 0, "%s twice", element_name[i]);
    }
}

Test(species, has_values_that_are_physical)
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const struct species_info *s = &species[i];
        cr_assert(s->molar_mass > 0.0 && s->diffusivity > 0.0, "%s", s->key);
        cr_assert(s->diffusivity < 10e-9, "%s diffuses faster than H+", s->key);
        cr_assert(s->passage >= 0.0 && s->selectivity >= 0.0, "%s", s->key);
    }
}

Test(species, charges_what_conducts_and_what_a_resin_holds)
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const struct species_info *s = &species[i];
        const bool exchanged = i < EXCHANGED_COUNT;
        cr_assert_eq(s->charge != 0, exchanged, "%s", s->key);
        cr_assert_eq(s->conductance > 0.0, exchanged, "%s", s->key);
        cr_assert_eq(s->selectivity > 0.0, exchanged, "%s", s->key);
    }
}

Test(species, lists_cations_first_and_anions_after_them)
{
    for (int i = FIRST_CATION; i <= LAST_CATION; i++)
        cr_assert(species[i].charge > 0, "%s", species[i].key);
    for (int i = FIRST_ANION; i <= LAST_ANION; i++)
        cr_assert(species[i].charge < 0, "%s", species[i].key);
    cr_assert_eq(LAST_CATION + 1, FIRST_ANION);
    cr_assert_eq(LAST_ANION + 1, EXCHANGED_COUNT);
}

/* Nernst-Einstein D = (R T/F2)(lambda/|z|): the columns come from one compilation and must agree.
 * Silica is left out: its diffusivity is of the uncharged acid, its conductance of the ion. */
Test(species, has_conductance_and_diffusivity_that_belong_together)
{
    const double r = 8.314462618, f = 96485.33212, t = 298.15;

    for (int i = 0; i < SILICA; i++) {
        const double d = r * t / (f * f) * species[i].conductance / abs(species[i].charge);
        cr_assert(fabs(d / species[i].diffusivity - 1.0) < 1e-3, "%s: %g against %g",
                  species[i].key, d, species[i].diffusivity);
    }
}

Test(species, has_atoms_of_one_element_but_for_chloramine)
{
    for (int s = 0; s < SPECIES_COUNT; s++) {
        double sum = 0.0;
        for (int e = 0; e < ELEMENT_COUNT; e++)
            sum += species_atoms((enum species)s, (enum element)e);
        cr_assert_eq(sum, s == CHLORAMINE ? 2.0 : 1.0, "%s has %g", species[s].key, sum);
    }
}

Test(species, has_every_element_in_some_species)
{
    for (int e = 0; e < ELEMENT_COUNT; e++) {
        double sum = 0.0;
        for (int s = 0; s < SPECIES_COUNT; s++)
            sum += species_atoms((enum species)s, (enum element)e);
        cr_assert(sum > 0.0, "%s", element_name[e]);
    }
}

/* NH2Cl + H2O -> NH4+ + Cl- + O on the carbon: nitrogen and chlorine go over one to one. */
Test(species, keeps_nitrogen_and_chlorine_when_chloramine_falls_apart)
{
    for (int e = 0; e < ELEMENT_COUNT; e++) {
        const enum element el = (enum element)e;
        cr_assert_eq(species_atoms(CHLORAMINE, el),
                     species_atoms(AMMONIUM, el) + species_atoms(CHLORIDE, el), "%s",
                     element_name[e]);
        cr_assert_eq(species_atoms(CHLORINE, el), species_atoms(CHLORIDE, el), "%s",
                     element_name[e]);
    }
}

/* The atoms weigh no more than the form in which analyses state the species. */
Test(species, weighs_at_least_what_its_atoms_weigh)
{
    const double mass[] = {
        [ELEMENT_SODIUM] = 22.98977e-3,  [ELEMENT_POTASSIUM] = 39.0983e-3,
        [ELEMENT_CALCIUM] = 40.078e-3,   [ELEMENT_MAGNESIUM] = 24.305e-3,
        [ELEMENT_NITROGEN] = 14.0067e-3, [ELEMENT_CHLORINE] = 35.453e-3,
        [ELEMENT_SULFUR] = 32.065e-3,    [ELEMENT_FLUORINE] = 18.9984e-3,
        [ELEMENT_CARBON] = 12.0107e-3,   [ELEMENT_SILICON] = 28.0855e-3,
        [ELEMENT_SOLIDS] = 1.0,          [ELEMENT_SALT] = 1.0,
    };

    for (int s = 0; s < SPECIES_COUNT; s++) {
        double sum = 0.0;
        for (int e = 0; e < ELEMENT_COUNT; e++)
            sum += mass[e] * species_atoms((enum species)s, (enum element)e);
        cr_assert(species[s].molar_mass >= sum * (1.0 - 1e-12), "%s: %g", species[s].key, sum);
    }
}
