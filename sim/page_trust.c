/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_trust: how far each answer may be trusted: how it was checked, against which data, where it
 * holds, and what is judgement.  Page: docs/page.md; sources in docs/ and tests/published/.
 */
#include <string.h>

#include "page.h"

static const struct trust {
    const char *verb; /* whose answer it is */
    const char *answer, *checked, *data, *holds, *judgement;
} rows[] = {
    { "run", "Water and matter are all there",
      "balanced in every run, and in a thousand random plants; the water of whole years solved "
      "again by another route, switch by switch",
      "none needed", "every run; see the balance above", "none" },
    { "run", "Product, drain, permeate",
      "closed forms; standardising by ASTM D4516 gives a constant; published temperature charts",
      "readings that the owner of one small element published at six pressures: flow within 3 %, "
      "salt held back "
      "within 0.25 points, after fitting to them",
      "0 to 50 degC, feed up to a few g/kg, recovery up to 0.8",
      "a nameplate is not your element: a jug test (measured) is worth more" },
    { "run", "Meter readings", "published constants and standard solutions",
      "published analyses of natural waters: within 3 %",
      "fresh and brackish water up to about 5 g/L",
      "ions that were guessed from a meter reading may be off by a factor of two" },
    { "run", "When the resin ends",
      "closed forms of column theory, published film coefficients; whole years solved again by "
      "another route end on the same days",
      "none: no bed was measured for this program",
      "waters up to tap strength, 0 to 50 degC, 0.1 to 50 mm/s",
      "carbon dioxide halves or doubles with 0.3 of pH, and the life with it; how silica is held" },
    { "run", "Chlorine behind the carbon",
      "published front of Bohart and Adams, published and trade figures", "trade figures only",
      "clean water; fines, organic matter and rests are left out",
      "capacity and speed of the block" },
    { "run", "Levels, overflow pipe", "published hydraulic formulas and tables",
      "none for pipes this small", "still water, clear pipes",
      "tube losses, meniscus, the water that switches need" },
    { "run", "Evaporation", "published formulas, tables and worked examples",
      "none: no controlled measurement of indoor tanks was found", "rooms without wind",
      "formulas differ among themselves by 1.5 to 3 times; calibrate by what you top off" },
    { "run", "Wear of the membrane",
      "published rules and tests of silt, scale and oxidants; whole years solved again by another "
      "route",
      "none", "one state of wear for all of the element", "most rates of wear are assumptions" },
    { "run", "Salt of each start", "solutions of the equations",
      "none: no measured curve was found anywhere", "rests of any length",
      "volumes beside the membrane" },
    { "run", "Cost", "sums of the above", "none needed", "the prices that were given",
      "prices change" },
    { "overflow", "Which faults spill, and when",
      "every fault and pair is simulated from the worst moments",
      "none: no tank was flooded for it", "faults of the parts in the list",
      "leaks of joints and hoses, people, frost and anything else not in the list are left out" },
    { "overflow", "How likely a spill is", "published fault trees, digit by digit",
      "rates of power and process plants, moved to small parts",
      "comparing two plants; not a promise", "the rates: good to a factor of three to ten" },
    { "life", "The range of each life", "samples and quantiles against published tables", "none",
      "spreads of the scenario, else usual ones", "the usual spreads" },
    { "rinse", "Which rinse pays",
      "searches against a fine grid, short reckonings against whole lives", "none",
      "deposits that a rinse can move",
      "constants of rinsing: each was doubted alone, see the table" },
    { "sweep", "What if", "each row is a whole run", "as for a run", "as for a run",
      "as for a run" },
    { 0 },
};

static bool is_wanted(const struct trust *t, const struct page_part *const parts[], int count)
{
    for (int i = 0; i < count; i++)
        if (strcmp(parts[i]->kind->verb, t->verb) == 0)
            return true;
    return false;
}

void page_trust(struct page *p, const struct page_part *const parts[], int count)
{
    static const char *const heads[] = { "answer",    "how it was checked", "compared with data",
                                         "holds for", "what is judgement",  NULL };
    fputs("<p>A check shows that the program does what its equations say. Only data show that the "
          "equations are "
          "those of the world. No plant was built and measured for this program: where it says "
          "<q>none</q>, the answer rests on published physics and on judgement alone.</p>\n",
          p->out);
    page_table_head(p, "How far each answer may be trusted", heads, "lllll");
    for (const struct trust *t = rows; t->verb; t++) {
        const char *cells[] = { t->answer, t->checked, t->data, t->holds, t->judgement };
        if (is_wanted(t, parts, count))
            page_table_row(p, cells, 5, "lllll");
    }
    page_table_end(p);
}
