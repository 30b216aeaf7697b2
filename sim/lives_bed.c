/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_bed: what uses the resin up, who notices its end, and what would help.
 */
#include <math.h>

#include "amount.h"
#include "lives_inner.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

static double milligrams(const double amount[], enum species i, double mass)
{
    return 1e6 * amount[i] * mass;
}

/* ---- the load ---------------------------------------------------------------------------------
 */

static void tell_species(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 3 };
    char cell[EXCHANGED_COUNT + 1][2][SCREEN_CELL];
    const char *cells[(EXCHANGED_COUNT + 2) * COLUMNS] = { "at its end", "cation sites",
                                                           "anion sites" };
    int rows = 1;
    double fresh[LOAD_RESINS] = { 1.0, 1.0 };
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        const int r = i <= LAST_CATION ? LOAD_CATION : LOAD_ANION;
        if (!(l->load.sites[r] > 0.0) || !(l->base.held[i] > 0.0))
            continue;
        const double share = l->base.held[i] / l->load.sites[r];
        fresh[r] -= share;
        cells[rows * COLUMNS] = i == CARBON ? "bicarbonate" : species[i].key;
        cells[rows * COLUMNS + 1 + r] = lives_percent(share, cell[i][0]);
        rows++;
    }
    cells[rows * COLUMNS] = "still fresh";
    for (int r = 0; r < LOAD_RESINS; r++)
        if (l->load.sites[r] > 0.0)
            cells[rows * COLUMNS + 1 + r] = lives_percent(fresh[r], cell[EXCHANGED_COUNT][r]);
    screen_table(out, cells, rows + 1, COLUMNS);
}

static void tell_sources(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 3 };
    char cell[LOAD_SOURCES][2][SCREEN_CELL];
    const char *cells[(LOAD_SOURCES + 1) * COLUMNS] = { "of what came", "cations", "anions" };
    int rows = 1;
    for (int i = 0; i < LOAD_SOURCES; i++) {
        const double *cation = l->load.share[LOAD_CATION], *anion = l->load.share[LOAD_ANION];
        if (fabs(cation[i]) < 5e-4 && fabs(anion[i]) < 5e-4)
            continue;
        cells[rows * COLUMNS] = lives_source_words(l, i);
        cells[rows * COLUMNS + 1] = lives_percent(cation[i], cell[i][0]);
        cells[rows * COLUMNS + 2] = lives_percent(anion[i], cell[i][1]);
        rows++;
    }
    screen_table(out, cells, rows, COLUMNS);
}

static void tell_hand(const struct lives *l, FILE *out)
{
    const struct load *d = &l->load;
    char words[SCREEN_TEXT] = "", cell[SCREEN_CELL];
    const char *ends = d->ends == LOAD_CATION ? "cation" : "anion";
    fputs("\nBY HAND: sites over load, as if the bed were used up to its last site\n", out);
    for (int r = 0; r < LOAD_RESINS; r++)
        if (isfinite(d->hand[r]))
            fprintf(out, "  %s %.3f eq / %.4f meq/L = %s\n",
                    r == LOAD_CATION ? "cation resin" : "anion resin ", d->sites[r],
                    LITRE * d->came[r] / d->litres,
                    amount_words(AMOUNT_WATER, d->hand[r], 0, cell));
    text_append(words, sizeof words, "Simulated: %s.  ",
                amount_words(AMOUNT_WATER, d->litres, 0, cell));
    if (!l->base.end[life_last_bed(&l->scenario->plant)].why)
        text_append(words, sizeof words, "It has not ended by then, so the two need not agree.");
    else
        text_append(words, sizeof words,
                    "The difference: when the meter comes to its limit %s of the %s sites are "
                    "used, for a front is not sharp, ",
                    lives_percent(d->used, cell), ends);
    if (l->base.end[life_last_bed(&l->scenario->plant)].why)
        text_append(words, sizeof words,
                    "and %s of what came is not held: silica and carbon that others drove off, and "
                    "what a loose bed lets past.",
                    lives_percent(d->slipped, cell));
    lives_say(out, words);
}

void lives_load(const struct lives *l, FILE *out)
{
    fputs("\nWHAT USES THE RESIN UP\n", out);
    tell_species(l, out);
    fputc('\n', out);
    tell_sources(l, out);
    lives_say(out,
              "Salts bring as many anions as cations.  How much silica is held is known in bands "
              "only: see below.");
    tell_hand(l, out);
}

/* ---- who notices ------------------------------------------------------------------------------
 */

static const struct {
    enum passed which;
    const char *words;
} passes[] = { { PASSED_SILICA, "silica (0.05 mg/L)" },
               { PASSED_CARBON, "carbon dioxide (1 mg/L)" },
               { PASSED_SODIUM, "sodium (5 % of what comes in)" } };

enum { PASSES = sizeof passes / sizeof passes[0] };

static void tell_order(const struct lives *l, FILE *out)
{
    const struct life *late = &l->load.late;
    const double step = l->scenario->plant.meter.resolution;
    int first = -1;
    for (int i = 0; i < PASSES; i++) {
        const double litres = late->first.litres[passes[i].which];
        if (isfinite(litres) && (first < 0 || litres < late->first.litres[passes[first].which]))
            first = i;
    }
    for (int i = 0; i < PASSES; i++) {
        char words[SCREEN_TEXT] = "";
        const enum passed which = passes[i].which;
        if (!isfinite(late->first.litres[which]))
            continue;
        const double meter = late->meter_first[which];
        char from[SCREEN_CELL];
        text_append(words, sizeof words, "%s%s passes from %s on; a meter shows %.3g ppm then: %s",
                    passes[i].words, i == first ? ", the first," : "",
                    amount_words(AMOUNT_WATER, late->first.litres[which], 0, from), 1e3 * meter,
                    meter < step         ? "you do not notice"
                    : meter < 2.0 * step ? "a step, which may be its error"
                                         : "you notice, if you look");
        lives_say(out, words);
    }
    if (first < 0)
        lives_say(out, "nothing passes in the time looked at.");
}

static void tell_silica(const struct lives *l, FILE *out)
{
    const struct load *d = &l->load;
    char words[SCREEN_TEXT] = "", from[SCREEN_CELL], to[SCREEN_CELL];
    double low = INFINITY, high = 0.0;
    for (int i = 0; i < LOAD_BAND; i++) {
        low = isfinite(d->silica[i]) ? fmin(low, d->silica[i]) : low;
        high = isfinite(d->silica[i]) ? fmax(high, d->silica[i]) : high;
    }
    if (!(high > 0.0)) {
        lives_say(out,
                  "Silica as a band: not before the meter comes to its limit, be its selectivity a "
                  "third or three times of what was taken.");
        return;
    }
    text_append(words, sizeof words,
                "Silica as a band: from %s to %s on, as its selectivity may be a third or "
                "three times of what was taken.",
                amount_bare(AMOUNT_WATER, low, 0, from), amount_words(AMOUNT_WATER, high, 0, to));
    lives_say(out, words);
}

void lives_notice(const struct lives *l, FILE *out)
{
    const struct load *d = &l->load;
    const struct life *b = &l->base;
    const int bed = life_last_bed(&l->scenario->plant);
    char words[SCREEN_TEXT] = "", date[SCREEN_CELL], volume[SCREEN_CELL];
    fputs("\nWHO NOTICES\n", out);
    tell_order(l, out);
    tell_silica(l, out);
    if (!b->end[bed].why)
        return;
    text_append(words, sizeof words,
                "The meter comes to %.3g ppm at %s, day %.0f.  Until then %.0f mg of silica and "
                "%.0f mg of carbon (as CO2) have passed unseen.",
                1e3 * b->due, amount_words(AMOUNT_WATER, b->bed_litres, 0, volume),
                b->bed_time / DAY, milligrams(b->passed, SILICA, species[SILICA].molar_mass),
                milligrams(b->passed, CARBON, 44.0095e-3));
    lives_say(out, words);
    words[0] = '\0';
    text_append(
        words, sizeof words,
        "With a meter that shows a step (%.3g ppm) too little and a look every %.3g days%s: "
        "seen by day %.0f%s%s at the latest, after %s; %.0f mg of silica and %.0f mg of "
        "carbon by then.",
        1e3 * l->scenario->plant.meter.resolution, d->interval / DAY,
        d->interval_given ? "" : " (assumed)", d->late.bed_time / DAY,
        lives_date(l, d->late.bed_time, date)[0] ? ", " : "", date,
        amount_words(AMOUNT_WATER, d->late.bed_litres, 0, volume),
        milligrams(d->late.passed, SILICA, species[SILICA].molar_mass),
        milligrams(d->late.passed, CARBON, 44.0095e-3));
    lives_say(out, words);
}

/* ---- what would help --------------------------------------------------------------------------
 */

void lives_help(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 5 };
    const struct helps *h = &l->helps;
    char cell[HELPS_MOST + 1][4][SCREEN_CELL], price[SCREEN_CELL], words[SCREEN_TEXT] = "";
    char name[HELPS_MOST][PHRASE_WORDS];
    const char *cells[(HELPS_MOST + 2) * COLUMNS] = { "a change", lives_water_head(), "more",
                                                      "days" };
    const double litres = l->base.bed_litres;
    int rows = 1;
    snprintf(price, sizeof price, "%.10s/%s", l->scenario->plan.prices.currency,
             amount_unit(AMOUNT_PRICE_BULK));
    cells[4] = h->price > 0.0 ? price : NULL;
    cells[5] = "as it is";
    cells[6] = lives_water(litres, cell[HELPS_MOST][0]);
    cells[8] = lives_number(l->base.bed_time / DAY, cell[HELPS_MOST][1]);
    if (h->price > 0.0)
        cells[9] = screen_number(amount_number(AMOUNT_PRICE_BULK, h->price * LITRE / litres),
                                 cell[HELPS_MOST][2]);
    rows++;
    for (int i = 0; i < h->count; i++) {
        const struct help *p = &h->list[i];
        phrase_say(&p->words, units_taste(), name[i]);
        if (p->why_not) {
            text_append(words, sizeof words, "%s%s: not tried, %s", words[0] ? ".  " : "", name[i],
                        p->why_not);
            continue;
        }
        const char **row = &cells[rows++ * COLUMNS];
        row[0] = name[i];
        row[1] = lives_water(p->litres, cell[i][0]);
        snprintf(cell[i][1], SCREEN_CELL, "%s%.0f %%", p->beyond ? "over " : "",
                 100.0 * (p->litres / litres - 1.0));
        row[2] = cell[i][1];
        row[3] = lives_number(p->t / DAY, cell[i][2]);
        if (h->price > 0.0)
            row[4] = screen_number(
                amount_number(AMOUNT_PRICE_BULK, p->beds * h->price * LITRE / p->litres),
                cell[i][3]);
    }
    fputs("\nWHAT WOULD HELP THE RESIN, each run anew with the values as given\n", out);
    screen_table(out, cells, rows, COLUMNS);
    if (h->price > 0.0)
        lives_say(out,
                  "Prices are those of the resin alone; other parts and wasted water are not in.");
    if (words[0] != '\0')
        lives_say(out, words);
}
