/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * overflow_print: the answer in words first, then in tables, for a person with a wet floor.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "amount.h"
#include "overflow.h"
#include "rates.h"
#include "screen.h"
#include "text.h"

static const double HOUR = 3600.0; /* s */

enum { LINES_MAX = 12 };

static double first_drop(const struct damage *d)
{
    return fmin(d->spill, d->basin_spill);
}

static const char *which_rim(const struct damage *d)
{
    return d->spill <= d->basin_spill ? "the tank runs over its rim"
                                      : "the served water runs over its rim";
}

static bool is_spill(const struct chance_row *r)
{
    return r->harm[HARM_TANK] || r->harm[HARM_SERVED];
}

static int count_spills(const struct overflow_found *f, int size)
{
    int n = 0;
    for (int i = 0; i < f->chances.rows; i++)
        n += is_spill(&f->chances.row[i]) && f->chances.row[i].set->count == size;
    return n;
}

static const struct chance_row *likeliest(const struct overflow_found *f)
{
    for (int i = 0; i < f->chances.rows; i++)
        if (is_spill(&f->chances.row[i]))
            return &f->chances.row[i];
    return NULL;
}

/* "none found" is said of sets; of one that was found, with rates of nothing, it would be wrong. */
static char *how_often(const struct chance *c, bool found, char out[CHANCE_WORDS])
{
    if (found && !(c->mean > 0.0))
        snprintf(out, CHANCE_WORDS, "never, by the rates that were given");
    else
        chance_words(c, out);
    return out;
}

/* ---- the first three lines --------------------------------------------------------------------
 */

/* A plant that spills while all works. */
static bool spills_anyway(const struct overflow_found *f)
{
    return isfinite(first_drop(campaign_normal(f->campaign)));
}

static void tell_whether(const struct overflow_found *f, FILE *out)
{
    char words[SCREEN_TEXT] = "", span[SCREEN_CELL];
    const int singles = count_spills(f, 1), pairs = count_spills(f, 2);
    screen_span(f->span, span);
    if (spills_anyway(f))
        text_append(words, sizeof words, "YES, without any fault: within a normal year %s.",
                    which_rim(campaign_normal(f->campaign)));
    else if (singles > 0)
        text_append(
            words, sizeof words,
            "YES, and one fault is enough: %d of the %d tried put%s water over a rim within "
            "%s.",
            singles, f->sets.hazards, singles == 1 ? "s" : "", span);
    else if (pairs > 0)
        text_append(words, sizeof words,
                    "NOT BY ONE FAULT: none of the %d tried.  But %d of the %d pairs put%s water "
                    "over a rim within %s.",
                    f->sets.hazards, pairs, f->sets.pairs_tried, pairs == 1 ? "s" : "", span);
    else
        text_append(words, sizeof words,
                    "None of the %d faults and %d pairs tried puts water over a rim within %s.",
                    f->sets.hazards, f->sets.pairs_tried, span);
    screen_entry(out, "Overflow?", "%s", words);
}

static void tell_by_what(const struct overflow_found *f, FILE *out)
{
    const struct chance_row *r = likeliest(f);
    const struct damage *normal = campaign_normal(f->campaign);
    char name[SET_WORDS], after[SCREEN_CELL], litres[SCREEN_CELL];
    if (spills_anyway(f)) {
        screen_entry(out, "By what", "nothing has to fail: %s after %s, %s on the floor in a year.",
                     which_rim(normal), screen_span(first_drop(normal), after),
                     screen_litres(normal->floor, litres));
        return;
    }
    if (!r) {
        screen_entry(out, "By what", "nothing that was tried.");
        return;
    }
    const struct damage *d = &r->set->worst;
    screen_entry(out, "By what", "likeliest: %s: %s after %s, then up to %s on the floor.",
                 sets_name(&f->sets, r->set, name), which_rim(d), screen_span(first_drop(d), after),
                 screen_litres(d->floor, litres));
}

static void tell_how_likely(const struct overflow_found *f, FILE *out)
{
    char words[CHANCE_WORDS];
    if (spills_anyway(f)) {
        screen_entry(out, "How likely", "certain: it comes without a fault.");
        return;
    }
    screen_entry(out, "How likely", "%s, all sets together; rates are borrowed from other trades.",
                 how_often(&f->chances.spill, likeliest(f) != NULL, words));
}

/* ---- sets -------------------------------------------------------------------------------------
 */

static void tell_amounts(const struct overflow_found *f, const struct damage *d, char *words,
                         size_t size)
{
    char after[SCREEN_CELL], litres[SCREEN_CELL], pipe[SCREEN_CELL], span[SCREEN_CELL];
    text_append(words, size, "%s after %s; ", which_rim(d), screen_span(first_drop(d), after));
    if (d->floor > 0.0)
        text_append(words, size, "%s on the floor in %s", screen_litres(d->floor, litres),
                    screen_span(f->span, span));
    else
        text_append(words, size, "the drip pan holds it");
    if (d->overflowed > 0.0)
        text_append(words, size, ", %s into the overflow pipe", screen_litres(d->overflowed, pipe));
    const double salinity = f->scenario->plant.basin.salinity;
    if (f->scenario->plant.has_basin && salinity > 0.0 && d->salinity < 0.99 * salinity)
        text_append(words, size, "; the served water freshens from %.3g to %.3g g/kg", salinity,
                    d->salinity);
    if (isfinite(d->sensed))
        text_append(words, size,
                    f->scenario->plant.fill.leak_sensor
                        ? "; enough for the leak sensor"
                        : "; a leak sensor under the tank would see it");
    else if (isfinite(d->basin_spill))
        text_append(words, size, "; a leak sensor under the tank would not see it");
}

static void tell_set(const struct overflow_found *f, const struct chance_row *r, int number,
                     FILE *out)
{
    char name[SET_WORDS], chance[CHANCE_WORDS], words[SCREEN_TEXT] = "";
    fprintf(out, "%3d. ", number);
    screen_wrap(out, 5, 5, sets_name(&f->sets, r->set, name));
    tell_amounts(f, &r->set->worst, words, sizeof words);
    fputs("     ", out);
    screen_wrap(out, 5, 5, words);
    fprintf(out, "     %s\n", how_often(&r->chance, true, chance));
}

static void tell_sets(const struct overflow_found *f, FILE *out)
{
    fputs("\nSMALLEST SETS THAT SPILL, the likeliest first\n", out);
    if (spills_anyway(f)) {
        fputs("  ", out);
        screen_wrap(out, 2, 2,
                    "Without any fault water runs over a rim already; with these it does "
                    "as well, mostly for no reason of theirs.");
    }
    int number = 0;
    for (int i = 0; i < f->chances.rows; i++) {
        if (!is_spill(&f->chances.row[i]))
            continue;
        if (++number <= LINES_MAX)
            tell_set(f, &f->chances.row[i], number, out);
    }
    if (number > LINES_MAX)
        fprintf(out, "     and %d more, each less likely: see --format json\n", number - LINES_MAX);
    if (number == 0)
        fputs("  none\n", out);
}

/* ---- single faults ----------------------------------------------------------------------------
 */

static void time_cell(double t, char out[SCREEN_CELL])
{
    if (isfinite(t))
        screen_span(t, out);
    else
        snprintf(out, SCREEN_CELL, "-");
}

static void tell_singles(const struct overflow_found *f, FILE *out)
{
    enum { COLUMNS = 5 };
    static char cell[HAZARDS_MAX][COLUMNS][SCREEN_CELL];
    const char *cells[(HAZARDS_MAX + 1) * COLUMNS] = { "fault", "spills", "on floor", "pipe runs",
                                                       "short of it" };
    fputs("\nEVERY SINGLE FAULT, each from its worst moment\n", out);
    for (int i = 0; i < f->sets.hazards; i++) {
        const struct set *s = &f->sets.single[i];
        char name[SET_WORDS];
        snprintf(cell[i][0], SCREEN_CELL, "%.*s", SCREEN_CELL - 1, sets_name(&f->sets, s, name));
        time_cell(first_drop(&s->worst), cell[i][1]);
        screen_litres(s->worst.floor, cell[i][2]);
        time_cell(s->worst.overflow, cell[i][3]);
        time_cell(sets_begins(&s->worst, HARM_DRY), cell[i][4]);
        for (int c = 0; c < COLUMNS; c++)
            cells[(i + 1) * COLUMNS + c] = cell[i][c];
    }
    screen_table(out, cells, f->sets.hazards + 1, COLUMNS);
}

/* ---- the pipe, and what is no overflow --------------------------------------------------------
 */

static void tell_pipe(const struct overflow_found *f, FILE *out)
{
    const struct tank *t = &f->scenario->plant.tank;
    const struct overflow *o = &t->overflow;
    char comes[SCREEN_CELL], takes[SCREEN_CELL], words[SCREEN_TEXT] = "";
    fputs("\nOVERFLOW PIPE\n", out);
    screen_litres(HOUR * f->worst_inflow, comes);
    if (o->kind == OVERFLOW_NONE) {
        fprintf(out, "  none; the most that comes in is %s an hour\n", comes);
        return;
    }
    const double dependable = overflow_dependable(o, t->height, 1.0);
    const double level =
        overflow_level(o, f->worst_inflow, 1.0, f->scenario->plant.tank_temperature, t->height);
    text_append(words, sizeof words,
                "the most that comes in: %s an hour; it takes %s an hour dependably: %s", comes,
                screen_litres(HOUR * dependable, takes),
                dependable >= f->worst_inflow ? "enough, while it is clear" : "TOO LITTLE");
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
    if (isfinite(level))
        fprintf(out, "  the level settles at %s, %s below the rim\n",
                amount_words(AMOUNT_LEVEL, 100.0 * level, 1, comes),
                amount_words(AMOUNT_LEVEL, 100.0 * (t->height - level), 1, takes));
    else
        fputs("  the level does not settle below the rim\n", out);
}

static void tell_bursts(const struct overflow_found *f, FILE *out)
{
    char supply[SCREEN_CELL], product[SCREEN_CELL], words[SCREEN_TEXT] = "";
    fputs("\nNO OVERFLOW, BUT WET: lines that come off\n  ", out);
    text_append(
        words, sizeof words,
        "In front of the feed valve: up to %s an hour; only a closed supply valve stops it. "
        "Behind the %s: %s an hour while water is called for, and it is called for "
        "until somebody comes.",
        screen_litres(HOUR * f->burst_supply, supply),
        f->scenario->plant.membrane >= 0 ? "membrane" : "cartridges",
        screen_litres(HOUR * f->burst_product, product));
    screen_wrap(out, 2, 2, words);
}

static void tell_method(const struct overflow_found *f, FILE *out)
{
    char words[SCREEN_TEXT] = "", span[SCREEN_CELL], inspected[SCREEN_CELL];
    int given = 0;
    for (int i = RATES_FIRST; rates_exists(i); i++)
        given += rates_applies(&f->scenario->plant, i) && rates_of(&f->scenario->plan, i).given > 0;
    fputs("\nHOW THIS WAS FOUND\n  ", out);
    text_append(
        words, sizeof words,
        "%d faults from %d moments of a normal year, %d pairs from the %d worst of these, at "
        "once and in both orders; each run for %s without anybody there and without draws: "
        "%ld runs.  %d pairs hold a fault that spills by itself and were not tried.",
        f->sets.hazards, campaign_moments(f->campaign), f->sets.pairs_tried,
        f->sets.moments_of_pairs, screen_span(f->span, span), f->sets.runs,
        f->sets.pairs - f->sets.pairs_tried);
    screen_wrap(out, 2, 2, words);
    words[0] = '\0';
    text_append(
        words, sizeof words,
        "Chances: rates from power and process plants, moved to small parts (docs/rates.md); "
        "%d given by the scenario; parts tested every %s; bounds are the 5th and 95th "
        "percentile of what the rates may be.",
        given, screen_span(f->scenario->plan.risk.inspected, inspected));
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
    fputs("  ", out);
    screen_wrap(
        out, 2, 2,
        "Not in here: leaks of joints, hoses and housings, people who make mistakes, frost, "
        "anything not on the list above.  None found does not mean none there.");
    fputs("  ", out);
    screen_wrap(
        out, 2, 2,
        "A simulation is no substitute for an independent physical safeguard: an overflow to "
        "a drain, a leak sensor that shuts the feed, the hand valve shut when you leave.  "
        "Local codes and licensed trades come first.");
}

void overflow_print(const struct overflow_found *f, FILE *out)
{
    tell_whether(f, out);
    tell_by_what(f, out);
    tell_how_likely(f, out);
    tell_sets(f, out);
    tell_singles(f, out);
    tell_pipe(f, out);
    tell_bursts(f, out);
    tell_method(f, out);
}
