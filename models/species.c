/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * species: the table of what is dissolved or carried.  Page: docs/species.md, with the source and
 * the standing of every number.
 *
 * Assumes: HOCl and NH2Cl stand for the oxidants; the passages are for a membrane of today and are
 * judgement; resin coefficients are for sulfonated polystyrene of 8 % cross-linking and for a
 * strong-base resin of type 1.
 */
#include "species.h"

/* Columns after the symbol: charge, molar mass [kg/mol], conductance [S m2/mol of charge],
 * diffusivity [m2/s], passage, selectivity. */
const struct species_info species[SPECIES_COUNT] = {
    [SODIUM] = { "sodium", "Na", 1, 22.98977e-3, 50.08e-4, 1.334e-9, 1.0, 1.56 },
    [POTASSIUM] = { "potassium", "K", 1, 39.0983e-3, 73.48e-4, 1.957e-9, 1.1, 2.28 },
    [CALCIUM] = { "calcium", "Ca", 2, 40.078e-3, 59.47e-4, 0.792e-9, 0.4, 4.06 },
    [MAGNESIUM] = { "magnesium", "Mg", 2, 24.305e-3, 53.0e-4, 0.706e-9, 0.4, 2.59 },
    [AMMONIUM] = { "ammonium", "NH4", 1, 18.0385e-3, 73.5e-4, 1.957e-9, 1.3, 2.01 },

    [CHLORIDE] = { "chloride", "Cl", -1, 35.453e-3, 76.31e-4, 2.032e-9, 1.0, 22.0 },
    [SULFATE] = { "sulfate", "SO4", -2, 96.0626e-3, 80.0e-4, 1.065e-9, 0.25, 150.0 },
    [NITRATE] = { "nitrate", "NO3", -1, 62.0049e-3, 71.42e-4, 1.902e-9, 2.5, 65.0 },
    [FLUORIDE] = { "fluoride", "F", -1, 18.9984e-3, 55.4e-4, 1.475e-9, 1.1, 1.6 },

    [CARBON] = { "carbon", "HCO3", -1, 61.0168e-3, 44.5e-4, 1.185e-9, 1.0, 6.0 },
    [SILICA] = { "silica", "SiO2", -1, 60.0843e-3, 35.0e-4, 1.0e-9, 1.4, 1.5 },

    [CHLORINE] = { "chlorine", "Cl2", 0, 70.906e-3, 0.0, 1.5e-9, 50.0, 0.0 },
    [CHLORAMINE] = { "chloramine", "NH2Cl", 0, 70.906e-3, 0.0, 1.5e-9, 50.0, 0.0 },

    [SOLIDS] = { "solids", "solids", 0, 1.0, 0.0, 4.9e-13, 0.0, 0.0 },
    [SALT] = { "salt", "salt", 0, 1.0, 0.0, 1.611e-9, 0.0, 0.0 },
};

const char *const element_name[ELEMENT_COUNT] = {
    [ELEMENT_SODIUM] = "sodium",     [ELEMENT_POTASSIUM] = "potassium",
    [ELEMENT_CALCIUM] = "calcium",   [ELEMENT_MAGNESIUM] = "magnesium",
    [ELEMENT_NITROGEN] = "nitrogen", [ELEMENT_CHLORINE] = "chlorine",
    [ELEMENT_SULFUR] = "sulfur",     [ELEMENT_FLUORINE] = "fluorine",
    [ELEMENT_CARBON] = "carbon",     [ELEMENT_SILICON] = "silicon",
    [ELEMENT_SOLIDS] = "solids",     [ELEMENT_SALT] = "salt",
};

/* Rows of a species, columns of an element; hydrogen and oxygen are not followed. */
static const unsigned char atoms[SPECIES_COUNT][ELEMENT_COUNT] = {
    [SODIUM] = { [ELEMENT_SODIUM] = 1 },
    [POTASSIUM] = { [ELEMENT_POTASSIUM] = 1 },
    [CALCIUM] = { [ELEMENT_CALCIUM] = 1 },
    [MAGNESIUM] = { [ELEMENT_MAGNESIUM] = 1 },
    [AMMONIUM] = { [ELEMENT_NITROGEN] = 1 },
    [CHLORIDE] = { [ELEMENT_CHLORINE] = 1 },
    [SULFATE] = { [ELEMENT_SULFUR] = 1 },
    [NITRATE] = { [ELEMENT_NITROGEN] = 1 },
    [FLUORIDE] = { [ELEMENT_FLUORINE] = 1 },
    [CARBON] = { [ELEMENT_CARBON] = 1 },
    [SILICA] = { [ELEMENT_SILICON] = 1 },
    /* a mol of Cl2 equivalent is a mol of HOCl, or of NH2Cl: one atom of chlorine each */
    [CHLORINE] = { [ELEMENT_CHLORINE] = 1 },
    [CHLORAMINE] = { [ELEMENT_CHLORINE] = 1, [ELEMENT_NITROGEN] = 1 },
    [SOLIDS] = { [ELEMENT_SOLIDS] = 1 },
    [SALT] = { [ELEMENT_SALT] = 1 },
};

double species_atoms(enum species s, enum element e)
{
    return atoms[s][e];
}
