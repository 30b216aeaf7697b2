/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * species: what is dissolved or carried, one row each.  Page: docs/species.md.
 *
 * Concentrations are mol/m3 (= mmol/L), but SOLIDS and SALT are kg/m3.  Three rows are totals whose
 * forms follow from the pH: AMMONIUM (NH4+ and NH3), CARBON (CO2, HCO3-, CO3--) and SILICA (H4SiO4
 * and H3SiO4-).  CHLORINE (HOCl) and CHLORAMINE (NH2Cl) are mol of Cl2 equivalent and carry no
 * charge.  H+ and OH- are not kept: they follow from electroneutrality.
 */
#ifndef MODELS_SPECIES_H
#define MODELS_SPECIES_H

enum species {
    /* cations */
    SODIUM,
    POTASSIUM,
    CALCIUM,
    MAGNESIUM,
    AMMONIUM,
    /* strong anions */
    CHLORIDE,
    SULFATE,
    NITRATE,
    FLUORIDE,
    /* weak acids, as totals */
    CARBON,
    SILICA,
    /* oxidants */
    CHLORINE,
    CHLORAMINE,
    /* kg/m3: suspended matter, and the sea salt of the served water */
    SOLIDS,
    SALT,
    SPECIES_COUNT
};

enum {
    FIRST_CATION = SODIUM,
    LAST_CATION = AMMONIUM,
    FIRST_ANION = CHLORIDE,
    LAST_ANION = SILICA,         /* anions a resin may hold, weak acids too */
    EXCHANGED_COUNT = SILICA + 1 /* rows 0..SILICA may sit on a resin */
};

enum element {
    ELEMENT_SODIUM,
    ELEMENT_POTASSIUM,
    ELEMENT_CALCIUM,
    ELEMENT_MAGNESIUM,
    ELEMENT_NITROGEN,
    ELEMENT_CHLORINE,
    ELEMENT_SULFUR,
    ELEMENT_FLUORINE,
    ELEMENT_CARBON,
    ELEMENT_SILICON,
    /* not elements, but conserved alike */
    ELEMENT_SOLIDS,
    ELEMENT_SALT,
    ELEMENT_COUNT
};

struct species_info {
    const char *key;    /* scenario key and column name: "sodium" */
    const char *symbol; /* "Na" */
    int charge;         /* of the form that a resin holds: Na +1, SO4 -2, CARBON -1, SILICA -1 */
    double molar_mass;  /* kg/mol, of the form in which analyses state it (HCO3, SiO2, Cl2) */
    double conductance; /* limiting equivalent conductance at 25 degC [S m2/mol of charge] */
    double diffusivity; /* at 25 degC [m2/s] */
    double passage;     /* membrane permeability relative to NaCl, default */
    double selectivity; /* resin coefficient against H+ or OH-, default; 0 if not exchanged */
};

extern const struct species_info species[SPECIES_COUNT];

extern const char *const element_name[ELEMENT_COUNT];

/* Atoms of the element in one mol (one kg) of the species. */
double species_atoms(enum species s, enum element e);

#endif
