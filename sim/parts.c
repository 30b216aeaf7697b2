/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * parts: generic parts that a scenario names by a string.
 *
 * A part is a kind of stage and what differs from the defaults of that kind.  Nameplates state
 * their test pressure: the same gallons a day at 65 psi instead of 50 are a membrane 30 % less
 * permeable.
 */
#include "parts.h"

#include <string.h>

#define GALLON_A_DAY (3.785411784e-3 / 86400.0)
#define PSI 6894.757293168361
#define ML_A_MIN (1e-6 / 60.0)

#define PLATE_50 "usual nameplate of small elements at 50 psi, 25 degC, 250 mg/L, 15 %; from memory"
#define PLATE_65                                                                                   \
    "usual nameplate of small elements at 65 psi, 25 degC, 250 mg/L, 15 %; trade manuals"
#define REJECTION "92 to 98 % usual when new; common practice"
#define RESTRICTOR "trade sizing note of drain restrictors, marked at about 60 psi"
#define AREA "trade note: 0.27 to 0.46 m2 for a 1.8 x 12 in element"

const struct part parts[] = {
    { "sediment 1 um",
      &stage_sediment,
      "fine depth cartridge, 10 in",
      { { "rating", 1e-6, "the part" },
        { "resistance", 1.2e8, "assumption: ten times a 10 um cartridge" } } },
    { "sediment 5 um",
      &stage_sediment,
      "depth cartridge, 10 in",
      { { "rating", 5e-6, "the part" } } },
    { "sediment 10 um",
      &stage_sediment,
      "coarse depth cartridge, 10 in",
      { { "rating", 10e-6, "the part" },
        { "resistance", 1.206e7,
          "trade data: 0.73 psi at 6.6 gal/min; computed 0.201 kPa per L/min" } } },
    { "carbon block 10 in", &stage_carbon, "carbon block of 5 um, 10 in", { { NULL, 0.0, NULL } } },
    { "carbon block 10 in fine",
      &stage_carbon,
      "carbon block of 0.5 to 1 um, 10 in",
      { { "resistance", 8.8e8, "assumption: twice that of a 5 um block" },
        { "chlorine_rate", 0.8334, "assumption: finer grain, twice the rate of a 5 um block" },
        { "chloramine_rate", 0.0416,
          "assumption: finer grain, twice the rate of a 5 um block" } } },
    { "booster pump", &stage_pump, "small diaphragm pump", { { NULL, 0.0, NULL } } },
    { "membrane 50 gal/day",
      &stage_membrane,
      "50 gal/day at 50 psi, 96 % rejection",
      { { "area", 0.42, AREA },
        { "plate_permeate", 50.0 * GALLON_A_DAY, "the part" },
        { "plate_pressure", 50.0 * PSI, PLATE_50 },
        { "plate_rejection", 0.96, REJECTION },
        { "restrictor_flow", 420.0 * ML_A_MIN, RESTRICTOR } } },
    { "membrane 75 gal/day",
      &stage_membrane,
      "75 gal/day at 50 psi, 98 % rejection",
      { { "area", 0.42, AREA },
        { "plate_permeate", 75.0 * GALLON_A_DAY, "the part" },
        { "plate_pressure", 50.0 * PSI, PLATE_50 },
        { "plate_rejection", 0.98, REJECTION },
        { "restrictor_flow", 525.0 * ML_A_MIN, RESTRICTOR } } },
    { "membrane 100 gal/day",
      &stage_membrane,
      "100 gal/day at 65 psi, 97 % rejection",
      { { "area", 0.46, AREA },
        { "plate_permeate", 100.0 * GALLON_A_DAY, "the part" },
        { "plate_pressure", 65.0 * PSI, PLATE_65 },
        { "plate_rejection", 0.97, REJECTION },
        { "restrictor_flow", 800.0 * ML_A_MIN, RESTRICTOR } } },
    { "mixed bed 10 in",
      &stage_resin,
      "mixed resin in a 10 in cartridge",
      { { NULL, 0.0, NULL } } },
    { "mixed bed 20 in",
      &stage_resin,
      "mixed resin in a 20 in cartridge",
      { { "volume", 1.2e-3, "assumption: twice the 10 in cartridge" },
        { "depth", 0.40, "assumption: twice the 10 in cartridge" } } },
    { "cation bed 10 in",
      &stage_resin,
      "cation resin alone in a 10 in cartridge",
      { { "cation_share", 1.0, "the part" } } },
    { "anion bed 10 in",
      &stage_resin,
      "anion resin alone in a 10 in cartridge",
      { { "cation_share", 0.0, "the part" } } },
    { .name = NULL },
};

const struct part *parts_find(const char *name)
{
    for (const struct part *p = parts; p->name != NULL; p++)
        if (strcmp(p->name, name) == 0)
            return p;
    return NULL;
}
