/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_rows: the explanations that are tried, how far the model may be off, and what measuring
 * costs and how well it is done.  Page: docs/read.md.  Every number here is an assumption unless
 * its row says otherwise.
 */
#include <stddef.h>

#include "read.h"

#define OF(member) offsetof(struct look_change, member)

static const char NEVER[] = "";

const struct read_row read_rows[READ_CAUSES] = {
    { "nothing", "nothing is wrong", NULL, NEVER, READ_AS_IS, READ_NEEDS_NOTHING, 0, 0, 0, false,
      1 },
    { "feed", "changed feed", "%s times the dissolved matter", "assumption: another well or river",
      READ_TIMES, READ_NEEDS_NOTHING, OF(strength), 0.3, 3, true, 1 },
    { "membrane", "tired membrane", "%s times the salt of the model's gets through",
      "assumption: what is still called a membrane", READ_TIMES, READ_NEEDS_NOTHING, OF(salt), 1.2,
      10, true, 1 },
    { "membrane_better", "membrane better than thought",
      "%s times the salt of the model's gets through", "assumption: a new one, or a better make",
      READ_TIMES, READ_NEEDS_NOTHING, OF(salt), 0.3, 0.83, true, 1 },
    { "fouled", "fouled or scaled membrane", "%s times the water of the model's gets through",
      "assumption: common practice replaces it at two thirds", READ_TIMES, READ_NEEDS_NOTHING,
      OF(water), 0.3, 0.85, true, 1 },
    { "chlorine", "membrane attacked by chlorine", "as by %s mg/L h more than the model has",
      "docs/wear.md: from where water gains to where it is ruined", READ_PLUS, READ_NEEDS_NOTHING,
      OF(dose), 400 * 3.6, 3000 * 3.6, true, 1 / 3.6 },
    { "seal", "leaking seal", "feed that is %s % of the product comes past",
      "assumption: from what a meter sees to a missing ring", READ_PLUS, READ_NEEDS_NOTHING,
      OF(seal), 0.002, 0.2, true, 100 },
    { "colder", "colder water than thought", "by %s K", "assumption", READ_PLUS,
      READ_NEEDS_NO_THERMOMETER, OF(temperature), -12, -2, false, -1 },
    { "warmer", "warmer water than thought", "by %s K", "assumption", READ_PLUS,
      READ_NEEDS_NO_THERMOMETER, OF(temperature), 2, 12, false, 1 },
    { "pressure", "lower feed pressure", "%s times that of the scenario", "assumption", READ_TIMES,
      READ_NEEDS_NO_GAUGE, OF(pressure), 0.3, 0.9, true, 1 },
    { "prefilter", "clogged prefilters", "%s times the pressure of the feed gets through",
      "assumption", READ_TIMES, READ_NEEDS_PREFILTER, OF(clog), 0.3, 0.9, true, 1 },
    { "drain_closed", "closed or kinked drain", "passes %s times what it should", "assumption",
      READ_TIMES, READ_NEEDS_NOTHING, OF(drain), 0.05, 0.8, true, 1 },
    { "drain_open", "drain too open", "passes %s times what it should",
      "assumption: a flush valve left open, a missing restrictor", READ_TIMES, READ_NEEDS_NOTHING,
      OF(drain), 1.25, 8, true, 1 },
    { "resin", "spent resin", "lets %s % of the permeate's reading through",
      "computed by letting more permeate through", READ_SPENT, READ_NEEDS_RESIN, 0, 0.02, 0.95,
      true, 100 },
    { "resin_path", "short path through the resin", "%s % of the water meets no resin",
      "assumption: a bed that was not packed or has a leaking seal", READ_PLUS, READ_NEEDS_RESIN,
      OF(bypass), 0.05, 0.95, true, 100 },
    { "resin_fresh", "resin fresher than thought", NULL, "a bed that was renewed", READ_FRESH,
      READ_NEEDS_RESIN, 0, 0, 0, false, 1 },
    { "co2", "more carbon dioxide than thought", "%s times as much",
      "assumption: a pH read 0.2 to 1 too high", READ_CO2, READ_NEEDS_RESIN, OF(carbon), 1.5, 10,
      true, 1 },
    { "probe_feed", "feed meter is off", "shows %s times the truth", "assumption", READ_TIMES,
      READ_NEEDS_NOTHING, OF(probe[0]), 0.3, 3, true, 1 },
    { "probe_permeate", "permeate meter is off", "shows %s times the truth", "assumption",
      READ_TIMES, READ_NEEDS_NOTHING, OF(probe[1]), 0.3, 3, true, 1 },
    { "probe_product", "product meter is off", "shows %s times the truth", "assumption", READ_TIMES,
      READ_NEEDS_RESIN, OF(probe[2]), 0.3, 3, true, 1 },
    { "compensation", "meters do not correct for temperature", "%s % of it is missing",
      "a part of 2 % per K to all of it", READ_PLUS, READ_NEEDS_COLD_OR_WARM, OF(uncorrected), 0.3,
      1, false, 100 },
};

const struct read_doubt read_doubts[READ_DOUBTS] = {
    { "strength of the feed", "assumption: from day to day", OF(strength), true, 0.10, 0.10,
      LOOK_COUNT },
    { "free CO2", "assumption: pH known to 0.15", OF(carbon), true, 0.35, 0.35, LOOK_COUNT },
    { "temperature", "assumption: weather, against the season's mean", OF(temperature), false, 1.5,
      0.5, LOOK_TEMPERATURE },
    { "pressure", "assumption: hours of the day", OF(pressure), true, 0.05, 0.03, LOOK_PRESSURE },
    { "water through the membrane", "trade note: lots scatter by 15 %; less where measured",
      OF(water), true, 0.10, 0.10, LOOK_COUNT },
    { "salt through it", "assumption", OF(salt), true, 0.25, 0.25, LOOK_COUNT },
    { "drain restrictor", "assumption", OF(drain), true, 0.05, 0.05, LOOK_COUNT },
    { "packing of the resin", "assumption", OF(packing), true, 0.5, 0.5, LOOK_COUNT },
    { "how a leak grows with pressure", "a hole 0.5, a gap 1", OF(seal_power), false, 0.2, 0.2,
      LOOK_COUNT },
};

const struct read_instrument read_instruments[LOOK_READABLE] = {
    [LOOK_FEED] = { "feed", "feed", "read the meter in the feed", 0.02, 0, true, READ_AT_HAND,
                    DIM_METER },
    [LOOK_PERMEATE] = { "permeate", "permeate", "read the meter behind the membrane", 0.02, 0, true,
                        READ_AT_HAND, DIM_METER },
    [LOOK_PRODUCT] = { "product", "product", "read the meter behind the resin", 0.02, 0, true,
                       READ_AT_HAND, DIM_METER },
    [LOOK_FLOW] = { "flow", "product flow", "catch the product in a jug by the watch", 0.03, 0,
                    false, READ_AT_HAND, DIM_FLOW },
    [LOOK_DRAIN] = { "drain", "drain flow", "catch the drain in a jug by the watch", 0.03, 0, false,
                     READ_AT_HAND, DIM_FLOW },
    [LOOK_PRESSURE] = { "pressure", "feed pressure", "read a gauge at the inlet, water running",
                        0.03, 0, false, READ_BORROWED, DIM_PRESSURE },
    [LOOK_TEMPERATURE] = { "temperature", "temperature", "hold a thermometer into the feed", 0, 0.5,
                           false, READ_AT_HAND, DIM_TEMPERATURE },
    [LOOK_FEED_AGAIN] = { "feed_again", "feed, second meter",
                          "read the feed with another meter, in a glass at room temperature", 0.02,
                          0, true, READ_BORROWED, DIM_METER },
    [LOOK_PERMEATE_AGAIN] = { "permeate_again", "permeate, second meter",
                              "read the permeate with another meter, in a glass at room "
                              "temperature",
                              0.02, 0, true, READ_BORROWED, DIM_METER },
    [LOOK_PRODUCT_AGAIN] = { "product_again", "product, second meter",
                             "read the product with another meter, in a glass at room temperature",
                             0.02, 0, true, READ_BORROWED, DIM_METER },
    [LOOK_THROTTLED] = { "throttled", "permeate, throttled",
                         "throttle the feed until the membrane has 0.6 of its pressure (a gauge), "
                         "and "
                         "read the permeate after ten minutes",
                         0.04, 0, true, READ_BORROWED, DIM_METER },
    [LOOK_PH] = { "ph", "pH of the feed", "take the pH of the feed with a strip or drops", 0, 0.25,
                  false, READ_BORROWED, DIM_NONE },
    [LOOK_HARDNESS] = { "hardness", "hardness of the permeate",
                        "drop test of the permeate's hardness, with a large sample", 0.05, 1e-3,
                        false, READ_BOUGHT, DIM_MASS_CONCENTRATION },
    [LOOK_SILICA] = { "silica", "silica of the product", "test the product for silica with a kit",
                      0.1, 5e-5, false, READ_BOUGHT, DIM_MASS_CONCENTRATION },
};
