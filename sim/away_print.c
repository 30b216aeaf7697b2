/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_print: the answer in three lines, what to do before leaving, and what it rests on.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "amount.h"
#include "away.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double OFTEN = 0.095; /* above it a chance is said in percent */

enum { FAULTS_TOLD = 5 };

/* ---- small words ------------------------------------------------------------------------------
 */

/* "1 in 40", "23 %": two digits at most. */
static char *odds(double p, char out[SCREEN_CELL])
{
    if (!(p > 0.0)) {
        snprintf(out, SCREEN_CELL, "none");
        return out;
    }
    if (p > OFTEN) {
        snprintf(out, SCREEN_CELL, p > 0.99 ? "over 99 %%" : "%.0f %%", 100.0 * p);
        return out;
    }
    const double in = 1.0 / p, scale = pow(10.0, floor(log10(in)) - 1.0);
    snprintf(out, SCREEN_CELL, "1 in %.0f", scale * floor(in / scale + 0.5));
    return out;
}

/* "day 3.2" of the absence, counted from leaving. */
static char *day_of(double t, char out[SCREEN_CELL])
{
    snprintf(out, SCREEN_CELL, "day %.1f", t / DAY);
    return out;
}

static char *reserve(const struct away *a, double lasts, char out[SCREEN_CELL])
{
    if (isfinite(lasts))
        return screen_span(lasts, out);
    snprintf(out, SCREEN_CELL, "%.0f+ days", floor(a->horizon / DAY));
    return out;
}

static const struct away_measure *best_of(const struct away *a)
{
    return &a->measure[a->best];
}

static void names(const struct away *a, unsigned which, char *out, size_t size)
{
    out[0] = '\0';
    for (int k = 0; k < a->scenario->plant.stages; k++)
        if (which & (1u << k))
            text_append(out, size, "%s%s", out[0] ? ", " : "", a->scenario->plant.train[k].name);
}

static const struct chance_row *likeliest(const struct chances *c)
{
    for (int i = 0; i < c->rows; i++)
        if (c->row[i].harm[HARM_TANK] || c->row[i].harm[HARM_SERVED])
            return &c->row[i];
    return NULL;
}

/* ---- the first three lines --------------------------------------------------------------------
 */

static void tell_no(const struct away *a, const char *span, FILE *out)
{
    const struct damage *d = &best_of(a)->worst.damage;
    char after[SCREEN_CELL];
    if (isfinite(d->spill) || isfinite(d->basin_spill))
        screen_entry(out, "Leave?", "NO, not for %s: without any fault water runs over.", span);
    else if (isfinite(sets_begins(d, HARM_DRY)))
        screen_entry(out, "Leave?", "NO, not for %s: %s after %s.", span,
                     isfinite(d->low) && !(d->dry <= d->low) ? "the served water goes short"
                                                             : "the tank runs dry",
                     screen_span(sets_begins(d, HARM_DRY), after));
    else if (!best_of(a)->holds)
        screen_entry(out, "Leave?",
                     "NO, not for %s: the salt of the served water leaves its limits.", span);
    else
        screen_entry(out, "Leave?", "NO, not for %s: the water goes bad, new cartridges or not.",
                     span);
}

static void tell_answer(const struct away *a, FILE *out)
{
    char span[SCREEN_CELL], renew[SCREEN_TEXT];
    screen_span(a->span, span);
    names(a, a->renew, renew, sizeof renew);
    if (away_answers(a) == AWAY_NO)
        tell_no(a, span, out);
    else if (best_of(a)->door->deeds && a->renew)
        screen_entry(out, "Leave?", "YES for %s; first renew: %s; then %s.", span, renew,
                     best_of(a)->door->words);
    else if (best_of(a)->door->deeds)
        screen_entry(out, "Leave?", "YES for %s; first %s.", span, best_of(a)->door->words);
    else if (a->renew)
        screen_entry(out, "Leave?", "YES for %s; first renew: %s.", span, renew);
    else
        screen_entry(out, "Leave?", "YES for %s, with nothing done before.", span);
}

/* The first cartridge to end in the cases as they are or with the best measure. */
static const struct away_case *first_end(const struct away *a, bool best, int *stage)
{
    const struct away_case *found = NULL;
    double least = INFINITY;
    for (int i = 0; i < a->cases; i++) {
        const struct absence *b = best ? &a->cases_of[i].best : &a->cases_of[i].as_is;
        for (int k = 0; k < a->scenario->plant.stages; k++)
            if (b->ends[k] < least) {
                least = b->ends[k];
                found = &a->cases_of[i];
                *stage = k;
            }
    }
    return found;
}

static double worst_bad(const struct away *a)
{
    double bad = INFINITY;
    for (int i = 0; i < a->cases; i++)
        bad = fmin(bad, a->cases_of[i].best.bad);
    return bad;
}

static void tell_meanwhile(const struct away *a, FILE *out)
{
    const struct away_measure *m = best_of(a);
    char words[SCREEN_TEXT] = "", cell[SCREEN_CELL];
    int stage = 0;
    if (!a->scenario->plant.has_basin)
        text_append(words, sizeof words, "nothing is topped off; ");
    else if (isfinite(m->lasts_least))
        text_append(words, sizeof words, "topped off for %s at least; ",
                    screen_span(m->lasts_least, cell));
    else
        text_append(words, sizeof words, "always topped off; ");
    const struct away_case *c = first_end(a, true, &stage);
    if (c)
        text_append(words, sizeof words, "%s ends on %s", a->scenario->plant.train[stage].name,
                    day_of(c->best.ends[stage], cell));
    else
        text_append(words, sizeof words, "no cartridge ends");
    if (isfinite(worst_bad(a)))
        text_append(words, sizeof words, "; bad water from %s", day_of(worst_bad(a), cell));
    screen_entry(out, "No fault", "%s.", words);
}

/* "1 in 690 absences, 3631 L at most" */
static void flood_words(const struct away_measure *m, char *words, size_t size)
{
    char chance[SCREEN_CELL], litres[SCREEN_CELL];
    if (m->spills == 0)
        text_append(words, size, "none of the %d tried floods", m->sets->hazards);
    else
        text_append(words, size, "%s, %s at most", odds(m->single.mean, chance),
                    screen_litres(m->floor, litres));
}

static void tell_fault(const struct away *a, FILE *out)
{
    const struct away_measure *none = &a->measure[0], *m = best_of(a);
    char words[SCREEN_TEXT] = "";
    if (none->spills > 0)
        text_append(words, sizeof words, "floods: ");
    flood_words(none, words, sizeof words);
    if (m != none && (none->spills > 0 || m->spills > 0)) {
        text_append(words, sizeof words, "; then: ");
        flood_words(m, words, sizeof words);
    }
    screen_entry(out, "A fault", "%s.", words);
}

/* ---- measures ---------------------------------------------------------------------------------
 */

enum { COLUMNS = 5, TABLE = (DOORS + 1) * COLUMNS };

static void tell_table(const struct away *a, const char *const heads[COLUMNS],
                       void (*row)(const struct away *, const struct away_measure *,
                                   char cell[COLUMNS][SCREEN_CELL]),
                       FILE *out)
{
    static char cell[DOORS][COLUMNS][SCREEN_CELL];
    const char *cells[TABLE];
    for (int c = 0; c < COLUMNS; c++)
        cells[c] = heads[c];
    for (int i = 0; i < a->measures; i++) {
        snprintf(cell[i][0], SCREEN_CELL, "%s%s", a->measure[i].door->words,
                 i == a->best ? " *" : "");
        row(a, &a->measure[i], cell[i]);
        for (int c = 0; c < COLUMNS; c++)
            cells[(i + 1) * COLUMNS + c] = cell[i][c];
    }
    screen_table(out, cells, a->measures + 1, COLUMNS);
}

static void fault_row(const struct away *a, const struct away_measure *m,
                      char cell[COLUMNS][SCREEN_CELL])
{
    (void)a;
    snprintf(cell[1], SCREEN_CELL, "%s", m->holds ? "yes" : "NO");
    snprintf(cell[2], SCREEN_CELL, "%d", m->spills);
    odds(m->single.mean, cell[3]);
    screen_litres(m->floor, cell[4]);
}

static void tell_measures(const struct away *a, FILE *out)
{
    static const char *const heads[COLUMNS] = { "done before", "enough", "flood", "chance",
                                                "on floor" };
    char words[SCREEN_TEXT] = "";
    fputs("\nWHAT MAY BE DONE BEFORE, from the worst moment of a year\n", out);
    tell_table(a, heads, fault_row, out);
    text_append(words, sizeof words,
                "* the best.  Enough: without a fault the served water is topped off to the end.  "
                "Flood: so many of the %d single faults tried put water over a rim; the chance of "
                "one in such an absence; the most on the floor.",
                a->overflow.sets.hazards);
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

static void reserve_row(const struct away *a, const struct away_measure *m,
                        char cell[COLUMNS][SCREEN_CELL])
{
    reserve(a, m->lasts_least, cell[1]);
    reserve(a, m->lasts_most, cell[2]);
    const double least = fmin(m->worst.served_least, 0.0);
    amount_words(AMOUNT_LEVEL, least > -5e-4 ? 0.0 : 100.0 * least, 1, cell[3]); /* no "-0.0" */
    if (m->worst.salinity_most > 0.0)
        snprintf(cell[4], SCREEN_CELL, "%.3g", m->worst.salinity_most);
    else
        snprintf(cell[4], SCREEN_CELL, "-");
}

static void tell_reserves(const struct away *a, FILE *out)
{
    static const char *const heads[COLUMNS] = { "done before", "at least", "at most", "level",
                                                "g/kg" };
    const struct away_measure *m = best_of(a);
    char words[SCREEN_TEXT] = "", span[SCREEN_CELL], day[SCREEN_CELL];
    if (!a->scenario->plant.has_basin)
        return;
    fputs("\nHOW LONG THE SERVED WATER IS TOPPED OFF, without a fault\n", out);
    tell_table(a, heads, reserve_row, out);
    text_append(words, sizeof words,
                "At least, at most: from the worst and the best moment of leaving, until the tank "
                "is dry or a twentieth is missing.  Level and salt: the lowest and the highest of "
                "the served water within %s.",
                screen_span(a->span, span));
    if (isfinite(m->lasts_least))
        text_append(words, sizeof words, "  With the best: shortest when left on %s.",
                    screen_day(campaign_moment(a->overflow.campaign, m->lasts_moment)->t / DAY,
                               a->scenario->plan.start_date, day));
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

/* ---- cartridges and water ---------------------------------------------------------------------
 */

static void put_time(double t, char out[SCREEN_CELL])
{
    if (isfinite(t))
        day_of(t, out);
    else
        snprintf(out, SCREEN_CELL, "-");
}

enum { HEAD = 5, ROWS = STAGES_MAX + HEAD, CASE_COLUMNS = 1 + AWAY_CASES };

static int fill_rows(const struct away *a, char cell[ROWS][CASE_COLUMNS][SCREEN_CELL])
{
    const struct plant *p = &a->scenario->plant;
    int n = 0;
    snprintf(cell[n++][0], SCREEN_CELL, "product made");
    if (absence_judges(p, &a->scenario->plan))
        snprintf(cell[n++][0], SCREEN_CELL, "product reading over %.3g ppm",
                 1e3 * absence_limit(&a->scenario->plan));
    else
        snprintf(cell[n++][0], SCREEN_CELL, "product reading: no limit set");
    snprintf(cell[n++][0], SCREEN_CELL, "silica in it (no meter shows)");
    snprintf(cell[n++][0], SCREEN_CELL, "served water short");
    snprintf(cell[n++][0], SCREEN_CELL, "water over a rim");
    for (int k = 0; k < p->stages; k++)
        snprintf(cell[n++][0], SCREEN_CELL, "%.20s ends", p->train[k].name);
    for (int i = 0; i < a->cases; i++) {
        const struct absence *b = &a->cases_of[i].as_is;
        screen_litres(b->made, cell[0][i + 1]);
        put_time(b->bad, cell[1][i + 1]);
        put_time(b->silica, cell[2][i + 1]);
        put_time(fmin(b->dry, b->low), cell[3][i + 1]);
        put_time(b->spill, cell[4][i + 1]);
        for (int k = 0; k < p->stages; k++)
            put_time(b->ends[k], cell[HEAD + k][i + 1]);
    }
    return n;
}

static void tell_why(const struct away *a, FILE *out)
{
    char day[SCREEN_CELL], words[SCREEN_TEXT], left[SCREEN_CELL];
    for (int i = 0; i < a->cases; i++) {
        const struct away_case *c = &a->cases_of[i];
        for (int k = 0; k < a->scenario->plant.stages; k++) {
            if (isinf(c->as_is.ends[k]))
                continue;
            words[0] = '\0';
            text_append(words, sizeof words, "%s, %s: %s on %s of the absence",
                        a->scenario->plant.train[k].name, c->words, c->as_is.why[k],
                        day_of(c->as_is.ends[k], day));
            if (c->renewed & (1u << k))
                text_append(words, sizeof words, "; renewed before leaving: %s",
                            isinf(c->fresh.ends[k]) ? "it lasts" : day_of(c->fresh.ends[k], left));
            fputs("  ", out);
            screen_wrap(out, 2, 2, words);
        }
    }
}

static void tell_cases(const struct away *a, FILE *out)
{
    static char cell[ROWS][CASE_COLUMNS][SCREEN_CELL];
    static char heads[AWAY_CASES][SCREEN_CELL];
    const char *cells[(ROWS + 2) * CASE_COLUMNS] = { NULL };
    const int columns = 1 + a->cases, rows = fill_rows(a, cell);
    cells[0] = "without a fault, nothing done";
    cells[columns] = "leaving on";
    for (int i = 0; i < a->cases; i++) {
        cells[1 + i] = a->cases_of[i].words;
        snprintf(heads[i], SCREEN_CELL, "day %.1f", a->cases_of[i].t / DAY);
        cells[columns + 1 + i] = heads[i];
    }
    for (int r = 0; r < rows; r++)
        for (int c = 0; c < columns; c++)
            cells[(r + 2) * columns + c] = cell[r][c];
    fputs("\nTHE WATER AND THE CARTRIDGES MEANWHILE, with the whole chemistry\n", out);
    screen_table(out, cells, rows + 2, columns);
    tell_why(a, out);
}

static void tell_dues(const struct away *a, FILE *out)
{
    char day[SCREEN_CELL], span[SCREEN_CELL], words[SCREEN_TEXT] = "";
    const int n = a->year.dues;
    if (n == 0 || a->dated)
        return;
    text_append(words, sizeof words,
                "Not in the %s before these days without a new cartridge in place: ",
                screen_span(a->span, span));
    for (int i = 0; i < n && i < FAULTS_TOLD; i++) {
        const struct absence_due *d = &a->year.due[i];
        text_append(words, sizeof words, "%s%s %s", i ? "; " : "",
                    a->scenario->plant.train[d->stage].name,
                    screen_day(d->t / DAY, a->scenario->plan.start_date, day));
    }
    text_append(words, sizeof words, n > FAULTS_TOLD ? "; and %d more." : ".", n - FAULTS_TOLD);
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

/* ---- faults -----------------------------------------------------------------------------------
 */

static void tell_flood(const struct away *a, const struct away_measure *m,
                       const struct chance_row *r, FILE *out)
{
    const struct damage *d = &r->set->worst;
    const double begins = fmin(d->spill, d->basin_spill);
    const double years = a->span + campaign_cycle(a->overflow.campaign);
    char name[SET_WORDS], after[SCREEN_CELL], litres[SCREEN_CELL], chance[SCREEN_CELL];
    char words[SCREEN_TEXT] = "";
    const double p = -expm1(-r->chance.mean * years / (365.25 * DAY));
    text_append(words, sizeof words, "%s: %s over its rim after %s, %s on the floor at most; %s",
                sets_name(m->sets, r->set, name),
                d->spill <= d->basin_spill ? "the tank" : "the served water",
                screen_span(begins, after), screen_litres(d->floor, litres), odds(p, chance));
    fputs("  - ", out);
    screen_wrap(out, 4, 4, words);
}

static void tell_floods(const struct away *a, const struct away_measure *m, FILE *out)
{
    char mean[SCREEN_CELL], low[SCREEN_CELL], high[SCREEN_CELL];
    int told = 0, more = 0;
    fprintf(out, "\nWHAT FLOODS, %s\n", m->door->deeds ? m->door->words : "nothing done");
    for (int i = 0; i < m->chances.rows; i++) {
        const struct chance_row *r = &m->chances.row[i];
        if (!r->harm[HARM_TANK] && !r->harm[HARM_SERVED])
            continue;
        if (told++ < FAULTS_TOLD)
            tell_flood(a, m, r, out);
        else
            more++;
    }
    if (more > 0)
        fprintf(out, "  - and %d more, each less likely: see --format json\n", more);
    if (told == 0)
        fprintf(out, "  none of the %d faults and %d pairs tried\n", m->sets->hazards,
                m->sets->pairs_tried);
    else
        fprintf(out, "  all together %s such absences (%s to %s)\n", odds(m->spill.mean, mean),
                odds(m->spill.low, low), odds(m->spill.high, high));
    if (a->scenario->plant.has_basin && m->holds)
        fprintf(out, "  the served water short, by one of %d faults: %s\n", m->dries,
                odds(m->dry.mean, mean));
}

/* ---- what to do -------------------------------------------------------------------------------
 */

static void item(int *number, const char *words, FILE *out)
{
    fprintf(out, "%3d. ", ++*number);
    screen_wrap(out, 5, 5, words);
}

static void tell_deeds(const struct away *a, int *number, FILE *out)
{
    const unsigned deeds = best_of(a)->door->deeds;
    if (deeds & DEED_FILL)
        item(number, "Fill the tank: lift the start switch for a moment, wait until filling stops.",
             out);
    if (deeds & DEED_SHUT)
        item(number,
             "Shut the hand valve of the supply, in front of the first cartridge.  Nothing passes "
             "the cartridges then; a line that comes off there is dry, too.",
             out);
    if (deeds & DEED_TOPOFF)
        item(number, "Unplug the top-off pump.", out);
    if (deeds & DEED_MAINS)
        item(number, "Unplug the system from the mains.", out);
}

static void tell_todo(const struct away *a, FILE *out)
{
    const struct plant *p = &a->overflow.scenario->plant;
    const struct chance_row *r = likeliest(&best_of(a)->chances);
    char words[SCREEN_TEXT], renew[SCREEN_TEXT];
    int number = 0;
    fputs("\nBEFORE YOU LEAVE\n", out);
    if (a->renew) {
        words[0] = '\0';
        names(a, a->renew, renew, sizeof renew);
        text_append(words, sizeof words, "Renew and flush: %s.", renew);
        item(&number, words, out);
    }
    tell_deeds(a, &number, out);
    words[0] = '\0';
    if (p->tank.overflow.kind != OVERFLOW_NONE)
        text_append(words, sizeof words, "See that the overflow's way to the drain is free.  ");
    if (p->fill.leak_sensor)
        text_append(words, sizeof words, "Try the leak sensor.  ");
    text_append(words, sizeof words, "Ask somebody to look in.");
    item(&number, words, out);
    if (best_of(a)->door->deeds & DEED_SHUT)
        item(&number, "Back home: open the valve, and let the first product run to the drain.",
             out);
    if (r && (best_of(a)->door->deeds & DEED_SHUT))
        item(&number,
             "What is left can still flood from the tank through the top-off: no valve of the "
             "supply stops that.",
             out);
}

static void tell_short_span(const struct away *a, FILE *out)
{
    const double cycle = campaign_cycle(a->overflow.campaign);
    char each[SCREEN_CELL], span[SCREEN_CELL], words[SCREEN_TEXT] = "";
    if (cycle <= a->span)
        return;
    text_append(words, sizeof words,
                "The tank is filled every %s: in %s perhaps not once.  What fails in its filling "
                "may show only later.",
                screen_span(cycle, each), screen_span(a->span, span));
    fputs("\n  ", out);
    screen_wrap(out, 2, 2, words);
}

static void tell_method(const struct away *a, FILE *out)
{
    char words[SCREEN_TEXT] = "", span[SCREEN_CELL];
    fputs("\nHOW THIS WAS FOUND\n  ", out);
    text_append(words, sizeof words,
                "%s without anybody there: no draws, visits or dated events%s.  Water, without a "
                "fault and with each of %d faults, from %d moments of a normal year; %d pairs as "
                "it is and those of the best measure.  Chances hold for one absence, from the "
                "worst moment: a bound from above; rates are borrowed from other trades.",
                screen_span(a->span, span), a->assumed ? " (clock.away is not given: assumed)" : "",
                a->overflow.sets.hazards, campaign_moments(a->overflow.campaign),
                a->overflow.sets.pairs_tried);
    screen_wrap(out, 2, 2, words);
    fputs("  ", out);
    screen_wrap(
        out, 2, 2,
        "Not in here: leaks of joints, hoses and housings, frost, people who make mistakes, "
        "germs in water that stands.  None found does not mean none there.");
    fputs("  ", out);
    screen_wrap(out, 2, 2,
                "A simulation is no substitute for an independent physical safeguard: an overflow "
                "to a drain, a leak sensor that shuts the feed.  Plugs out with dry hands.  Local "
                "codes and licensed trades come first.");
}

void away_print(const struct away *a, FILE *out)
{
    tell_answer(a, out);
    tell_meanwhile(a, out);
    tell_fault(a, out);
    if (away_breaks(a))
        screen_entry(out, "Limits", "of the scenario are broken, with nothing done and no fault.");
    tell_measures(a, out);
    tell_reserves(a, out);
    tell_cases(a, out);
    tell_dues(a, out);
    tell_floods(a, &a->measure[0], out);
    if (a->best > 0)
        tell_floods(a, best_of(a), out);
    tell_todo(a, out);
    tell_short_span(a, out);
    tell_method(a, out);
}
