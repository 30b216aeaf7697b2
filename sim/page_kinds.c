/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_kinds: what each verb leaves in a folder, and which of it a page shows.  Page: docs/page.md.
 */
#include "page.h"

#define END                                                                                        \
    {                                                                                              \
        NULL, NULL, 0                                                                              \
    }

/* ---- overflow ---------------------------------------------------------------------------------
 */

static const struct page_column set_columns[] = {
    { "number", "No.", PAGE_AS_IT_IS },
    { "names", "faults", PAGE_AS_IT_IS },
    { "first_drop_h", "first drop after", PAGE_HOURS },
    { "floor_L", "on the floor, L", 0 },
    { "pipe_L", "into the overflow pipe, L", 0 },
    { "leak_sensed_h", "a leak sensor would act after", PAGE_HOURS },
    { "mean_a_year", "how often", PAGE_YEARLY },
    { "high_a_year", "if parts fail often", PAGE_YEARLY },
    { "low_a_year", "if they fail seldom", PAGE_YEARLY },
    END,
};

static const struct page_column fault_columns[] = {
    { "names", "fault", PAGE_AS_IT_IS },
    { "harm", "harm", PAGE_AS_IT_IS },
    { "first_drop_h", "first drop after", PAGE_HOURS },
    { "floor_L", "on the floor, L", 0 },
    { "pipe_runs_h", "overflow pipe runs after", PAGE_HOURS },
    { "short_h", "short of water after", PAGE_HOURS },
    { "highest_level_cm", "highest level, cm", 1 },
    END,
};

static const struct page_column part_columns[] = {
    { "part", "part", PAGE_AS_IT_IS },
    { "share", "share in all spills", PAGE_PERCENT },
    { "mean_a_year", "how often", PAGE_YEARLY },
    { "high_a_year", "if it fails often", PAGE_YEARLY },
    { "low_a_year", "if it fails seldom", PAGE_YEARLY },
    END,
};

static const struct page_table overflow_tables[] = {
    { .file = "sets.csv",
      .caption = "Smallest sets of faults that spill, the likeliest first",
      .columns = set_columns,
      .ranked = "number" },
    { .file = "parts.csv",
      .caption = "Parts that have a share in spills",
      .columns = part_columns },
    { .file = "sets.csv",
      .caption = "Every single fault, each from its worst moment",
      .columns = fault_columns,
      .where = "faults",
      .is = "1" },
    { 0 },
};

/* ---- life -------------------------------------------------------------------------------------
 */

static const struct page_column life_columns[] = {
    { "part", "part", PAGE_AS_IT_IS },
    { "median_L", "median, L", 0 },
    { "low_L", "one in ten sooner, L", 0 },
    { "high_L", "one in ten later, L", 0 },
    { "median_days", "days, median", 0 },
    { "low_days", "one in ten sooner, days", 0 },
    { "high_days", "one in ten later, days", 0 },
    { "first_share", "is the first to end", PAGE_PERCENT },
    END,
};

static const struct page_column help_columns[] = {
    { "change", "change", PAGE_AS_IT_IS },
    { "litres", "life of the bed, L", 0 },
    { "days", "days", 0 },
    { "beds", "beds", 0 },
    END,
};

static const struct page_column load_columns[] = {
    { "source", "what uses the resin up", PAGE_AS_IT_IS },
    { "cation_share", "of the cation resin", PAGE_PERCENT },
    { "anion_share", "of the anion resin", PAGE_PERCENT },
    END,
};

static const struct page_table life_tables[] = {
    { .file = "lives.csv", .caption = "When each part ends", .columns = life_columns },
    { .file = "load.csv", .caption = "What came onto the resin", .columns = load_columns },
    { .file = "helps.csv", .caption = "What would help", .columns = help_columns },
    { 0 },
};

/* ---- rinse ------------------------------------------------------------------------------------
 */

static const struct page_column way_columns[] = {
    { "way", "rinse", PAGE_AS_IT_IS },
    { "at_start_s", "at start, s", PAGE_DIGITS },
    { "at_stop_s", "at stop, s", PAGE_DIGITS },
    { "every_h", "every, h of making", PAGE_DIGITS },
    { "for_s", "for, s", PAGE_DIGITS },
    { "divert_s", "first product diverted, s", PAGE_DIGITS },
    { "cost_a_year", "money a year", 2 },
    { "drain_L", "to the drain a year, L", 0 },
    { "membrane_days", "life of the membrane, days", 0 },
    { "resin_days", "life of the resin, days", 0 },
    END,
};

static const struct page_column doubt_columns[] = {
    { "key", "what nobody has measured", PAGE_AS_IT_IS },
    { "value_SI", "if it were (SI units)", PAGE_DIGITS },
    { "cost_without_rinse", "money a year, no rinse", 2 },
    { "cost_of_the_programme", "with this rinse", 2 },
    { "cheapest_tried", "cheapest tried", 2 },
    { "holds", "the answer holds", PAGE_YES_NO },
    END,
};

static const struct page_table rinse_tables[] = {
    { .file = "ways.csv",
      .caption = "The ways of rinsing, each at its best",
      .columns = way_columns },
    { .file = "doubts.csv",
      .caption = "Whether the answer survives what nobody has measured",
      .columns = doubt_columns },
    { 0 },
};

/* ---- sweep ------------------------------------------------------------------------------------
 */

static const struct page_column sweep_columns[] = {
    { "row", "row", PAGE_AS_IT_IS },
    { "money_per_year", "money a year", 2 },
    { "product_L", "product, L", 0 },
    { "drain_L", "to the drain, L", 0 },
    { "least_product_flow_mL_min", "least product, mL/min", PAGE_DIGITS },
    { "tank_lowest_cm", "tank lowest, cm", 1 },
    { "on_the_floor_L", "on the floor, L", 0 },
    { "limits_broken", "limits broken", 0 },
    END,
};

static const struct page_table sweep_tables[] = {
    { .file = "sweep.csv",
      .caption = "The rows, each a whole run",
      .columns = sweep_columns,
      .keys = true },
    { 0 },
};

/* ---- run --------------------------------------------------------------------------------------
 */

static const struct page_table run_tables[] = { { 0 } };

const struct page_kind page_kinds[] = {
    { .verb = "run",
      .mark = "summary.json",
      .json = "summary.json",
      .words = "summary.txt",
      .skip = 1,
      .heading = "What will happen",
      .question =
          "What water does this plant make and waste, what happens in its tank, when do its "
          "cartridges need care, and what does it cost?",
      .tables = run_tables },
    { .verb = "overflow",
      .mark = "overflow.json",
      .json = "overflow.json",
      .words = "overflow.txt",
      .heading = "Can it overflow",
      .question =
          "Can the tank or the served water run over, by which faults of parts, how soon, and "
          "how likely is that?",
      .tables = overflow_tables },
    { .verb = "life",
      .mark = "lives.csv",
      .words = "life.txt",
      .heading = "How long cartridges last",
      .question = "When does each cartridge end, why, how sure is that, and what would help?",
      .tables = life_tables },
    { .verb = "rinse",
      .mark = "rinse.json",
      .json = "rinse.json",
      .words = "answer.txt",
      .heading = "How to rinse",
      .question = "When and how long should the membrane be rinsed, and does it pay?",
      .tables = rinse_tables },
    { .verb = "sweep",
      .mark = "sweep.json",
      .json = "sweep.json",
      .words = "sweep.txt",
      .heading = "What if",
      .question = "What if a value of the scenario were another?",
      .tables = sweep_tables,
      .many = true },
    { 0 },
};
