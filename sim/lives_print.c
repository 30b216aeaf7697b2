/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_print: the answer in words first, then in tables: when, why, how sure.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "date.h"
#include "lives.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */
static const double LOOKS =
    6.0; /* days: the lives of what is looked at now and then are no finer */
static const double NOTHING = 5e-3; /* share of the variance that is not worth a bar */

enum { BAR = 16, NAME = 33 };

/* ---- pieces -----------------------------------------------------------------------------------
 */

static const char *name_of(const struct lives *l, int k)
{
    return l->scenario->plant.train[k].name;
}

static void say(FILE *out, const char *words)
{
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

/* The date so long after the start, or nothing if the scenario has none. */
static char *date_of(const struct lives *l, double t, char out[SCREEN_CELL])
{
    double began;
    char date[32];
    out[0] = '\0';
    if (!date_parse(l->scenario->plan.start_date, &began))
        return out;
    if (!isfinite(t)) {
        snprintf(out, SCREEN_CELL, "later");
        return out;
    }
    snprintf(out, SCREEN_CELL, "%.10s", date_format(began + t, date, sizeof date));
    return out;
}

/* A number, or that there is none within the horizon. */
static char *number(double x, char out[SCREEN_CELL])
{
    snprintf(out, SCREEN_CELL, isfinite(x) ? "%.0f" : "longer", x);
    return out;
}

/* The same of litres. */
static char *water(double litres, char out[SCREEN_CELL])
{
    return isfinite(litres) ? amount_bare(AMOUNT_WATER, litres, 0, out) : number(litres, out);
}

/* Head of their column: no wider than its numbers need. */
static const char *water_head(void)
{
    return units_taste() == TASTE_METRIC ? "litres" : amount_unit(AMOUNT_WATER);
}

static char *water_range(const struct lives_range *r, char out[SCREEN_CELL])
{
    char low[SCREEN_CELL], high[SCREEN_CELL];
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%.16s", water(r->low, low));
    if (isfinite(r->low))
        text_append(out, SCREEN_CELL, " to %.16s", water(r->high, high));
    return out;
}

static char *range(const struct lives_range *r, double unit, char out[SCREEN_CELL])
{
    char low[SCREEN_CELL], high[SCREEN_CELL];
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%.16s", number(r->low / unit, low));
    if (isfinite(r->low))
        text_append(out, SCREEN_CELL, " to %.16s", number(r->high / unit, high));
    return out;
}

static char *percent(double share, char out[SCREEN_CELL])
{
    const double shown = 100.0 * share;
    snprintf(out, SCREEN_CELL,
             fabs(shown) < 0.05   ? "0 %%"
             : fabs(shown) < 9.95 ? "%.1f %%"
                                  : "%.0f %%",
             shown);
    return out;
}

/* What came when, for people: a bed without a membrane before it gets the feed. */
static const char *source_words(const struct lives *l, int i)
{
    const struct plant *p = &l->scenario->plant;
    const bool permeate = p->membrane >= 0 && life_last_bed(p) > p->membrane;
    return i == LOAD_STEADY && !permeate ? "salt in the feed" : load_source_words[i];
}

/* What is looked at now and then and has ended at the first look never was what it should be. */
static const char *since(const struct lives *l, int k, double t)
{
    const bool bed = k == life_last_bed(&l->scenario->plant);
    return !bed && t < LOOKS * DAY ? "from the start " : "";
}

static double milligrams(const double amount[], enum species i, double mass)
{
    return 1e6 * amount[i] * mass;
}

/* ---- the first three lines --------------------------------------------------------------------
 */

static void tell_first(const struct lives *l, FILE *out)
{
    char median[SCREEN_CELL], all[SCREEN_CELL], date[SCREEN_CELL], low[SCREEN_CELL];
    char high[SCREEN_CELL], words[SCREEN_TEXT] = "";
    if (l->first < 0) {
        screen_entry(out, "Ends first", "nothing within %.0f years, by the median of %d runs.",
                     l->horizon / (365.0 * DAY), l->samples);
        screen_entry(out, "When", "later.");
        screen_entry(out, "Why", "nothing that was judged comes to its limit.");
        return;
    }
    const struct lives_stage *s = &l->stage[l->first];
    const char *why = l->base.end[l->first].why;
    screen_entry(out, "Ends first", "%s, after %s %s of product (80 %%: %s)", name_of(l, l->first),
                 water(s->litres.median, median), amount_unit(AMOUNT_WATER),
                 water_range(&s->litres, all));
    text_append(words, sizeof words, "day %s (80 %%: %s)", number(s->t.median / DAY, median),
                range(&s->t, DAY, all));
    if (date_of(l, s->t.median, date)[0] != '\0')
        text_append(words, sizeof words, ", %s (%s to %s)", date, date_of(l, s->t.low, low),
                    date_of(l, s->t.high, high));
    screen_entry(out, "When", "%s", words);
    words[0] = '\0';
    text_append(words, sizeof words, "%s%s", since(l, l->first, s->t.median),
                why ? why : "with other values than given");
    if (l->load.there && l->first == life_last_bed(&l->scenario->plant)) {
        const double *share = l->load.share[l->load.ends];
        int most = 0;
        for (int i = 1; i < LOAD_SOURCES; i++)
            most = share[i] > share[most] ? i : most;
        text_append(words, sizeof words, "; %s of its load: %s", percent(share[most], all),
                    source_words(l, most));
    }
    screen_entry(out, "Why", "%s", words);
}

/* ---- all of them ------------------------------------------------------------------------------
 */

static void tell_all(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 7 };
    char cell[STAGES_MAX][COLUMNS][SCREEN_CELL];
    const char *cells[(STAGES_MAX + 1) * COLUMNS] = { "part", water_head(), "80 %", "days",
                                                      "80 %", "until",      "first" };
    const int stages = l->scenario->plant.stages;
    fprintf(out, "\nCONSUMABLES: medians of %d runs; 80 %% of them between\n", l->samples);
    for (int k = 0; k < stages; k++) {
        const struct lives_stage *s = &l->stage[k];
        snprintf(cell[k][0], SCREEN_CELL, "%.14s", name_of(l, k));
        water(s->litres.median, cell[k][1]);
        water_range(&s->litres, cell[k][2]);
        number(s->t.median / DAY, cell[k][3]);
        range(&s->t, DAY, cell[k][4]);
        date_of(l, s->t.median, cell[k][5]);
        percent(s->first, cell[k][6]);
        for (int c = 0; c < COLUMNS; c++)
            cells[(k + 1) * COLUMNS + c] = cell[k][c];
    }
    screen_table(out, cells, stages + 1, COLUMNS);
    for (int k = 0; k < stages; k++) {
        char words[SCREEN_TEXT] = "";
        const struct life_end *e = &l->base.end[k];
        text_append(words, sizeof words, "%s: %s%s", name_of(l, k), since(l, k, e->t),
                    e->why ? e->why : "no end within the time looked at");
        say(out, words);
    }
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
        cells[rows * COLUMNS + 1 + r] = percent(share, cell[i][0]);
        rows++;
    }
    cells[rows * COLUMNS] = "still fresh";
    for (int r = 0; r < LOAD_RESINS; r++)
        if (l->load.sites[r] > 0.0)
            cells[rows * COLUMNS + 1 + r] = percent(fresh[r], cell[EXCHANGED_COUNT][r]);
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
        cells[rows * COLUMNS] = source_words(l, i);
        cells[rows * COLUMNS + 1] = percent(cation[i], cell[i][0]);
        cells[rows * COLUMNS + 2] = percent(anion[i], cell[i][1]);
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
                    percent(d->used, cell), ends);
    if (l->base.end[life_last_bed(&l->scenario->plant)].why)
        text_append(words, sizeof words,
                    "and %s of what came is not held: silica and carbon that others drove off, and "
                    "what a loose bed lets past.",
                    percent(d->slipped, cell));
    say(out, words);
}

static void tell_load(const struct lives *l, FILE *out)
{
    fputs("\nWHAT USES THE RESIN UP\n", out);
    tell_species(l, out);
    fputc('\n', out);
    tell_sources(l, out);
    say(out, "Salts bring as many anions as cations.  How much silica is held is known in bands "
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
        say(out, words);
    }
    if (first < 0)
        say(out, "nothing passes in the time looked at.");
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
        say(out, "Silica as a band: not before the meter comes to its limit, be its selectivity a "
                 "third or three times of what was taken.");
        return;
    }
    text_append(words, sizeof words,
                "Silica as a band: from %s to %s on, as its selectivity may be a third or "
                "three times of what was taken.",
                amount_bare(AMOUNT_WATER, low, 0, from), amount_words(AMOUNT_WATER, high, 0, to));
    say(out, words);
}

static void tell_notice(const struct lives *l, FILE *out)
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
    say(out, words);
    words[0] = '\0';
    text_append(
        words, sizeof words,
        "With a meter that shows a step (%.3g ppm) too little and a look every %.3g days%s: "
        "seen by day %.0f%s%s at the latest, after %s; %.0f mg of silica and %.0f mg of "
        "carbon by then.",
        1e3 * l->scenario->plant.meter.resolution, d->interval / DAY,
        d->interval_given ? "" : " (assumed)", d->late.bed_time / DAY,
        date_of(l, d->late.bed_time, date)[0] ? ", " : "", date,
        amount_words(AMOUNT_WATER, d->late.bed_litres, 0, volume),
        milligrams(d->late.passed, SILICA, species[SILICA].molar_mass),
        milligrams(d->late.passed, CARBON, 44.0095e-3));
    say(out, words);
}

/* ---- what would help --------------------------------------------------------------------------
 */

static void tell_helps(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 5 };
    const struct helps *h = &l->helps;
    char cell[HELPS_MOST + 1][4][SCREEN_CELL], price[SCREEN_CELL], words[SCREEN_TEXT] = "";
    char name[HELPS_MOST][PHRASE_WORDS];
    const char *cells[(HELPS_MOST + 2) * COLUMNS] = { "a change", water_head(), "more", "days" };
    const double litres = l->base.bed_litres;
    int rows = 1;
    snprintf(price, sizeof price, "%.10s/%s", l->scenario->plan.prices.currency,
             amount_unit(AMOUNT_PRICE_BULK));
    cells[4] = h->price > 0.0 ? price : NULL;
    cells[5] = "as it is";
    cells[6] = water(litres, cell[HELPS_MOST][0]);
    cells[8] = number(l->base.bed_time / DAY, cell[HELPS_MOST][1]);
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
        row[1] = water(p->litres, cell[i][0]);
        snprintf(cell[i][1], SCREEN_CELL, "%s%.0f %%", p->beyond ? "over " : "",
                 100.0 * (p->litres / litres - 1.0));
        row[2] = cell[i][1];
        row[3] = number(p->t / DAY, cell[i][2]);
        if (h->price > 0.0)
            row[4] = screen_number(
                amount_number(AMOUNT_PRICE_BULK, p->beds * h->price * LITRE / p->litres),
                cell[i][3]);
    }
    fputs("\nWHAT WOULD HELP THE RESIN, each run anew with the values as given\n", out);
    screen_table(out, cells, rows, COLUMNS);
    if (h->price > 0.0)
        say(out, "Prices are those of the resin alone; other parts and wasted water are not in.");
    if (words[0] != '\0')
        say(out, words);
}

/* ---- how sure ---------------------------------------------------------------------------------
 */

/* A share of a variance, in per cent: what an estimate has beyond none and all is its noise. */
static double shown(double share)
{
    return 100.0 * fmin(fmax(share, 0.0), 1.0);
}

static void tell_inputs(const struct lives *l, FILE *out)
{
    char rest[SCREEN_TEXT] = "", words[SCREEN_TEXT] = "";
    const bool bed = life_last_bed(&l->scenario->plant) >= 0;
    fprintf(out, "\nWHICH INPUTS MATTER for the %s%s: %% of variance (90 %% interval)\n",
            bed ? amount_one() : "first end", bed ? "s of the resin" : "");
    fprintf(out, "  %-*s %-*s  %12s %13s\n", NAME, "", BAR, "", "with others", "alone");
    for (int k = 0; k < l->doubts.count; k++) {
        const struct lives_input *p = &l->input[k];
        const struct sobol_index *x = &p->index;
        if (x->total < NOTHING) {
            text_append(rest, sizeof rest, "%s%s", rest[0] ? ", " : "", p->doubt->words);
            continue;
        }
        char bar[BAR + 1] = "";
        memset(bar, '#', BAR);
        bar[(int)lround(BAR * fmin(x->total, 1.0))] = '\0';
        fprintf(out, "  %-*.*s %-*s %3.0f (%2.0f-%3.0f)  %3.0f (%2.0f-%3.0f)\n", NAME, NAME,
                p->doubt->words, BAR, bar, shown(x->total), shown(x->total_low),
                shown(x->total_high), shown(x->first), shown(x->first_low), shown(x->first_high));
    }
    if (rest[0] != '\0') {
        text_append(words, sizeof words, "Next to nothing: %s.", rest);
        say(out, words);
    }
    words[0] = '\0';
    text_append(words, sizeof words,
                "From %ld runs, %d for each share; with half of them no share differs by more than "
                "%.0f points.",
                l->runs, l->rows, 100.0 * l->change);
    say(out, words);
}

/* A factor is the same in all units; the one amount that is added is one of temperature. */
static const char *size_of(const struct doubt_usual *usual, char out[UNITS_TEXT])
{
    char one[UNITS_TEXT];
    if (usual->spread.positive)
        return usual->size;
    snprintf(out, UNITS_TEXT, "sd %.40s",
             units_format(usual->spread.sd, DIM_TEMPERATURE_DIFFERENCE, one, sizeof one));
    return out;
}

static void tell_doubt(const struct doubt *d, FILE *out)
{
    char words[SCREEN_TEXT] = "", one[UNITS_TEXT], other[UNITS_TEXT], value[TEXT_LENGTH];
    if (d->usual) {
        text_append(words, sizeof words, "%s; %s", size_of(d->usual, one), d->usual->source);
    } else if (!isnan(d->spread.sd)) {
        const enum dimension as = d->given->dimension == DIM_TEMPERATURE
                                      ? DIM_TEMPERATURE_DIFFERENCE
                                      : d->given->dimension;
        text_append(words, sizeof words, "given: %s, sd %s", reader_shown(d->given, value),
                    units_format(d->spread.sd, as, one, sizeof one));
    } else {
        text_append(words, sizeof words, "given: %s, %s to %s", reader_shown(d->given, value),
                    units_format(d->spread.low, d->given->dimension, one, sizeof one),
                    units_format(d->spread.high, d->given->dimension, other, sizeof other));
    }
    fprintf(out, "  %-*.*s ", NAME, NAME, d->words);
    screen_wrap(out, NAME + 3, NAME + 3, words);
}

static bool replaces_by_date(const struct plan *plan)
{
    for (int i = 0; i < plan->events; i++)
        if (plan->event[i].kind == EVENT_REPLACE)
            return true;
    return false;
}

static void tell_method(const struct lives *l, FILE *out)
{
    const struct plan *plan = &l->scenario->plan;
    char words[SCREEN_TEXT] = "";
    fputs("\nHOW WELL THE INPUTS ARE KNOWN: one time in ten below, one in ten above\n", out);
    for (int k = 0; k < l->doubts.count; k++)
        tell_doubt(&l->doubts.list[k], out);
    if (l->doubts.left_out > 0)
        text_append(words, sizeof words, "%d more had no room and were held.  ",
                    l->doubts.left_out);
    if (l->unsound > 0)
        text_append(words, sizeof words,
                    "In %d of %d runs the spreads of the scenario together made no sound one; "
                    "their values were held.  ",
                    l->unsound, l->samples);
    if (replaces_by_date(plan))
        text_append(words, sizeof words,
                    "Dated events, replacements among them, are left out: each part lasts as it "
                    "would by itself.  ");
    else if (plan->events > 0)
        text_append(words, sizeof words, "Dated events are left out.  ");
    text_append(words, sizeof words,
                "What is in front of a part is renewed when it ends.  Lives of all but the resin "
                "are good to 5 days, no further than %.0f years.  Not in here: errors of the model "
                "itself (docs/life.md).",
                l->horizon / (365.0 * DAY));
    say(out, words);
}

void lives_print(const struct lives *l, FILE *out)
{
    tell_first(l, out);
    tell_all(l, out);
    if (l->load.there) {
        tell_load(l, out);
        tell_notice(l, out);
        tell_helps(l, out);
    } else {
        fputs("\n  There is no resin at the end of the train: nothing of it is said.\n", out);
    }
    tell_inputs(l, out);
    tell_method(l, out);
}
