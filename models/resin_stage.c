/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resin_stage: the resin as a place in the train: the keys of its parameters, with the source of
 * each preset, and its row.  The bed itself is in resin.c.  Page: docs/resin.md.
 */
#include <stddef.h>

#include "resin.h"
#include "stage.h"

static const struct field fields[] = {
    { "volume", FIELD_NUMBER, DIM_VOLUME, offsetof(struct resin, volume), 0.6e-3, 1e-6, 10, 0.1e-3,
      0.1, NULL, "Volume of the bed as filled.",
      "10 inch cartridges hold 0.5 to 0.75 L: common practice" },
    { "depth", FIELD_NUMBER, DIM_LENGTH, offsetof(struct resin, depth), 0.20, 0.005, 5, 0.05, 1.5,
      NULL, "Depth of the bed along the flow.", "10 inch cartridge: common practice" },
    { "cation_share", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, cation_share), 0.4, 0, 1, 0, 1,
      NULL, "Share of the resin volume that is cation resin; 1 cation bed, 0 anion bed.",
      "DOE-HDBK-1015/2-93 chapter 4: 2 parts cation to 3 parts anion" },
    { "cation_capacity", FIELD_NUMBER, DIM_CAPACITY, offsetof(struct resin, cation_capacity), 1900,
      1, 6000, 1500, 2300, NULL, "Capacity of settled cation resin in the H form.",
      "1.8 to 2.2 eq/L: common practice" },
    { "anion_capacity", FIELD_NUMBER, DIM_CAPACITY, offsetof(struct resin, anion_capacity), 1100, 1,
      6000, 800, 1500, NULL, "Capacity of settled anion resin in the OH form.",
      "1.0 to 1.4 eq/L: common practice" },
    { "packing", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, packing), 0.95, 0.3, 1, 0.85, 1,
      NULL, "Settled resin volume over bed volume.", "0.9 to 1.0: assumption" },
    { "bead", FIELD_NUMBER, DIM_LENGTH, offsetof(struct resin, bead), 0.65e-3, 0.05e-3, 5e-3,
      0.4e-3, 1e-3, NULL, "Harmonic mean bead diameter.", "0.60 to 0.70 mm: from memory" },
    { "voids", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, voids), 0.38, 0.2, 0.8, 0.33, 0.45,
      NULL, "Void fraction of settled resin.", "0.35 to 0.40: from memory" },
    { "film", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, film), 1, 1e-3, 1e4, 0.5, 1.5, NULL,
      "Multiplier on the film coefficient.",
      "1, correlations differ by 20 %: computed from three of them, themselves from memory" },
    { "short_flow", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, short_flow), 0.005, 0, 0.95, 0,
      0.3, NULL, "Share of the flow that takes a short path through a loose bed.",
      "loosely filled, upright; 0 if packed, 0.2 lying with an air gap: assumption" },
    { "short_resin", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, short_resin), 0, 0, 0.95, 0,
      0.5, NULL, "Share of the resin that the short path meets.",
      "none upright, 0.1 lying with an air gap: assumption" },
    { "cells", FIELD_COUNT, DIM_NONE, offsetof(struct resin, cells), 40, 1, RESIN_CELLS_MAX, 20,
      RESIN_CELLS_MAX, NULL, "Cells in series along the bed; they stand for its dispersion.",
      "as spread as a well packed bed at usual flows: assumption" },
    { "selectivity_sodium", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[SODIUM]),
      1.56, 0.01, 1e4, 1.2, 2.5, NULL, "Selectivity of sodium against H+.",
      "Bonner & Smith 1957, quoted second-hand" },
    { "selectivity_potassium", FIELD_NUMBER, DIM_NONE,
      offsetof(struct resin, selectivity[POTASSIUM]), 2.28, 0.01, 1e4, 1.7, 3.5, NULL,
      "Selectivity of potassium against H+.", "Bonner & Smith 1957, quoted second-hand" },
    { "selectivity_calcium", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[CALCIUM]),
      4.06, 0.01, 1e4, 2.5, 6, NULL, "Selectivity of calcium against H+.",
      "Bonner & Smith 1957, quoted second-hand" },
    { "selectivity_magnesium", FIELD_NUMBER, DIM_NONE,
      offsetof(struct resin, selectivity[MAGNESIUM]), 2.59, 0.01, 1e4, 1.5, 4, NULL,
      "Selectivity of magnesium against H+.", "Bonner & Smith 1957, from memory" },
    { "selectivity_ammonium", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[AMMONIUM]),
      2.01, 0.01, 1e4, 1.5, 3, NULL, "Selectivity of ammonium against H+.",
      "Bonner & Smith 1957, quoted second-hand" },
    { "selectivity_chloride", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[CHLORIDE]),
      22, 0.01, 1e4, 2, 30, NULL, "Selectivity of chloride against OH-.",
      "type 1 resin, F. de Dardel 2012, quoted second-hand; another source gives 11" },
    { "selectivity_sulfate", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[SULFATE]),
      150, 0.01, 1e4, 20, 300, NULL, "Selectivity of sulfate against OH-.",
      "type 1 resin, F. de Dardel 2012, quoted second-hand" },
    { "selectivity_nitrate", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[NITRATE]),
      65, 0.01, 1e4, 8, 100, NULL, "Selectivity of nitrate against OH-.",
      "type 1 resin, F. de Dardel 2012, quoted second-hand" },
    { "selectivity_fluoride", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[FLUORIDE]),
      1.6, 0.01, 1e4, 0.5, 3, NULL, "Selectivity of fluoride against OH-.",
      "type 1 resin: from memory" },
    { "selectivity_carbon", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[CARBON]), 6,
      0.01, 1e4, 1.2, 10, NULL, "Selectivity of bicarbonate against OH-.",
      "type 1 resin: from memory" },
    { "selectivity_silica", FIELD_NUMBER, DIM_NONE, offsetof(struct resin, selectivity[SILICA]),
      1.5, 0.01, 1e4, 0.5, 3, NULL, "Selectivity of ionised silica against OH-.",
      "1 to 2: assumption" },
    { .key = NULL },
};

static void start(const union stage_params *p, union stage_state *s)
{
    resin_init(&p->resin, &s->resin);
}

static double pressure_drop(const union stage_params *p, const union stage_state *s, double flow,
                            const struct fluid *water, double inlet_pressure)
{
    (void)s, (void)inlet_pressure;
    return resin_pressure_drop(&p->resin, flow, water);
}

static void carry(const union stage_params *p, union stage_state *s, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *exits)
{
    (void)how, (void)exits;
    resin_carry(&p->resin, &s->resin, water);
}

static double held(const union stage_params *p, const union stage_state *s, enum species i)
{
    return resin_held(&p->resin, &s->resin, i);
}

static double parcel_limit(const union stage_params *p, const union stage_state *s,
                           const double c[])
{
    (void)s;
    return resin_parcel_limit(&p->resin, c);
}

static double used(const union stage_params *p, const union stage_state *s)
{
    return resin_used(&p->resin, &s->resin);
}

const struct stage_kind stage_resin = {
    .name = "resin",
    .title = "ion-exchange resin",
    .fields = fields,
    .start = start,
    .pressure_drop = pressure_drop,
    .carry = carry,
    .held = held,
    .parcel_limit = parcel_limit,
    .used = used,
};
