/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_water: whether what is said of the feed fits together.  A value that the completion set
 * aside is held against what the rest makes it.  Page: docs/completion.md, "Contradictions".
 *
 * Assumes that the completed water is neutral and gives back what was kept.
 */
#include "scenario_inner.h"

#include <string.h>

#include "models/water.h"
#include "text.h"

static const double MOST_DIOXIDE =
    38.0; /* mol/m3: 1.7 g/L, what water holds at 20 degC and 1 atm */
static const double DIOXIDE_MASS = 44.0095e-3; /* kg/mol */
static const double MOST_DISSOLVED = 10.0;     /* kg/m3 that the formulas are asked for */
static const double LITTLE_GIVEN = 0.30; /* share of the ions below which a water is a guess */

/* A value that was given, and what the completed water has. */
struct held {
    const char *key;
    enum dimension d;
    double given, found;
    double least;        /* below which both are nothing */
    double warn, refuse; /* factor between the two */
};

/* A value in the unit in which the key was written. */
static char *say(const struct loading *l, const struct node *n, const struct held *h, double si,
                 char out[UNITS_TEXT])
{
    const struct units_hint hint = { units_substance(h->key), l->reader.meter_factor };
    struct quantity q;
    struct units_error e;
    if (n->type == NODE_TEXT && units_parse(n->text, h->d, &hint, &q, &e))
        return units_format_like(si, &q, out, UNITS_TEXT);
    return units_format(si, h->d, out, UNITS_TEXT);
}

static void hold(struct loading *l, const struct node *group, const struct held *h)
{
    const struct node *n = reader_find(group, h->key);
    const double low = fmin(h->given, h->found), high = fmax(h->given, h->found);
    if (n == NULL || isnan(h->given) || !(high > h->least) || low < 0.0)
        return;
    const double factor = high / fmax(low, 1e-12);
    if (factor <= h->warn)
        return;
    char given[UNITS_TEXT], found[UNITS_TEXT];
    const bool bad = factor > h->refuse;
    reader_complain(
        &l->reader, bad ? SEVERITY_ERROR : SEVERITY_WARNING, n,
        bad ? "one of them is wrong, or has the wrong unit: leave out the doubtful one" : NULL,
        "%s is given as %s, but the rest makes it %s%s", h->key, say(l, n, h, h->given, given),
        say(l, n, h, h->found, found), bad ? "" : ", which is kept");
}

/* Names of what was given of the composition, as far as there is room. */
static void list_given(const struct analysis *a, char *out, size_t size)
{
    const struct {
        const char *key;
        double value;
    } rows[] = { { "hardness", a->hardness },
                 { "alkalinity", a->alkalinity },
                 { "bicarbonate", a->bicarbonate },
                 { "carbon dioxide", a->carbon_dioxide },
                 { "pH", a->ph } };
    const char *gap = "";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(rows[i].value)) {
            text_append(out, size, "%s%s", gap, rows[i].key);
            gap = ", ";
        }
    for (enum species s = 0; s <= SILICA; s++)
        if (!isnan(a->ion[s])) {
            text_append(out, size, "%s%s", gap, species[s].key);
            gap = ", ";
        }
    if (*gap == '\0')
        text_append(out, size, "what is assumed of it");
}

/* A reading below what the ions that were given need. */
static void complain_least(struct loading *l, const struct node *n, const struct held *h)
{
    char given[UNITS_TEXT], least[UNITS_TEXT], words[256] = "", cure[300] = "";
    list_given(&l->out->analysis, words, sizeof words);
    const bool bad = h->found > fmax(h->refuse * h->given, h->least);
    text_append(cure, sizeof cure, bad ? "one of them is wrong, or has the wrong unit" : "kept: %s",
                words);
    reader_complain(&l->reader, bad ? SEVERITY_ERROR : SEVERITY_WARNING, n, cure,
                    "%s is %s, but with %s alone it would be at least %s", h->key,
                    say(l, n, h, h->given, given), words, say(l, n, h, h->found, least));
}

/* Readings of all that is dissolved; true if one contradicts the ions that were given. */
static void hold_readings(struct loading *l, const struct node *group)
{
    const struct analysis *a = &l->out->analysis;
    const struct completion *c = &l->out->completion;
    const bool meter = reader_find(group, "meter") != NULL;
    const struct held rows[] = {
        { meter ? "meter" : "conductivity", meter ? DIM_METER : DIM_CONDUCTIVITY, a->conductivity,
          c->conductivity, 1e-4, 1.25, 2.0 },
        { "dissolved_solids", DIM_MASS_CONCENTRATION, a->dissolved, c->dissolved, 5e-3, 1.25, 2.0 },
    };
    const bool contradicts = l->out->completed == COMPLETION_CONTRADICTS;
    const int met = isnan(a->conductivity); /* the one that the completion went by */
    for (int i = 0; i < 2; i++)
        if (contradicts && i == met)
            complain_least(l, reader_find(group, rows[i].key), &rows[i]);
        else
            hold(l, group, &rows[i]);
}

static void hold_ions(struct loading *l, const struct node *group)
{
    const struct analysis *a = &l->out->analysis;
    const struct completion *c = &l->out->completion;
    const double at = isnan(a->temperature) ? 25.0 : a->temperature;
    const struct speciation s = water_speciate(c->c, at);
    double alkalinity = 0.0;
    for (enum species i = 0; i <= FLUORIDE; i++)
        alkalinity += c->c[i] * species[i].charge;
    const struct held rows[] = {
        /* 0.3 of pH is a factor of 2; three times that is no doubt of a strip any more */
        { "carbon_dioxide", DIM_MOLAR, a->carbon_dioxide, s.co2, 0.05, 2.0, 8.0 },
        { "alkalinity", DIM_EQUIVALENTS, a->alkalinity, alkalinity, 0.2, 1.25, 2.0 },
        { "bicarbonate", DIM_MOLAR, a->bicarbonate, s.hco3, 0.2, 1.25, 2.0 },
        { "carbon", DIM_MOLAR, a->ion[CARBON], c->c[CARBON], 0.2, 1.25, 2.0 },
        { "hardness", DIM_EQUIVALENTS, a->hardness, 2.0 * (c->c[CALCIUM] + c->c[MAGNESIUM]), 0.1,
          1.05, 1.2 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        hold(l, group, &rows[i]);
}

/* Calcium far below the hardness leaves the rest to magnesium, and the other way round. */
static void check_split(struct loading *l, const struct node *group)
{
    const struct analysis *a = &l->out->analysis;
    const double *c = l->out->completion.c;
    const bool calcium = !isnan(a->ion[CALCIUM]), magnesium = !isnan(a->ion[MAGNESIUM]);
    if (isnan(a->hardness) || calcium == magnesium)
        return;
    const enum species given = calcium ? CALCIUM : MAGNESIUM;
    const double sum = c[CALCIUM] + c[MAGNESIUM], most = calcium ? 0.6 : 0.92;
    const double rest = calcium ? c[MAGNESIUM] : c[CALCIUM];
    if (rest > most * sum)
        reader_complain(&l->reader, SEVERITY_WARNING, reader_find(group, species[given].key),
                        "compare the units of the two",
                        "%s is only %.0f %% of the hardness; the rest is taken as %s",
                        species[given].key, 100.0 * (1.0 - rest / sum),
                        calcium ? "magnesium" : "calcium");
}

/* Share of the charge of both sides that was said in some way; 1 where a reading fixes the whole.
 */
static double share_given(const struct analysis *a, const struct completion *c)
{
    if (!isnan(a->conductivity) || !isnan(a->dissolved))
        return 1.0;
    double given = 0.0, all = 0.0, alkalinity = 0.0;
    for (enum species i = 0; i <= FLUORIDE; i++) {
        const double charge = c->c[i] * species[i].charge;
        const bool hard = !isnan(a->hardness) && (i == CALCIUM || i == MAGNESIUM);
        alkalinity += charge;
        all += fabs(charge);
        given += !isnan(a->ion[i]) || hard ? fabs(charge) : 0.0;
    }
    const bool carbonate = !isnan(a->alkalinity) || !isnan(a->bicarbonate) ||
                           !isnan(a->ion[CARBON]) || !isnan(a->carbon_dioxide);
    all += fabs(alkalinity);
    given += carbonate ? fabs(alkalinity) : 0.0;
    return all > 0.0 ? given / all : 1.0;
}

#define SAY_MORE                                                                                   \
    "add what a meter shows, meter = \"245 ppm\"; or say 0 of what is not in it, hardness = "      \
    "\"0 meq/L\", alkalinity = \"0 meq/L\""

/* Few of the ions, and no reading of all: what was given is blown up to a common water. */
static void check_guess(struct loading *l, const struct node *group)
{
    const double given = share_given(&l->out->analysis, &l->out->completion);
    if (given < LITTLE_GIVEN)
        reader_complain(
            &l->reader, SEVERITY_WARNING, group, SAY_MORE,
            "only %.0f %% of the ions of this water were given; the rest is assumed, as "
            "in a common water",
            100.0 * given);
}

/* Waters that cannot be, or that the formulas do not reach. */
static void check_reach(struct loading *l, const struct node *group)
{
    const struct completion *c = &l->out->completion;
    if (c->co2 > MOST_DIOXIDE)
        reader_complain(&l->reader, SEVERITY_ERROR, group,
                        "look at the pH and the alkalinity: one of the two is wrong",
                        "this water would hold %.4g g/L of free carbon dioxide; under pure carbon "
                        "dioxide water holds 1.7",
                        c->co2 * DIOXIDE_MASS);
    if (c->dissolved > MOST_DISSOLVED)
        reader_complain(&l->reader, SEVERITY_ERROR, group,
                        share_given(&l->out->analysis, c) < LITTLE_GIVEN
                            ? "most of that is assumed: " SAY_MORE
                            : "look for a value in the wrong unit",
                        "this water has %.3g g/L dissolved; the formulas reach to %.0f",
                        c->dissolved, MOST_DISSOLVED);
}

void scenario_water_check(struct loading *l, const struct node *group)
{
    if (l->out->completed == COMPLETION_NOTHING || l->out->completed == COMPLETION_REFUSED)
        return;
    const int before = report_count(l->reader.report, SEVERITY_ERROR);
    check_reach(l, group);
    if (report_count(l->reader.report, SEVERITY_ERROR) > before)
        return; /* all else follows from that */
    hold_readings(l, group);
    hold_ions(l, group);
    check_split(l, group);
    check_guess(l, group);
}
