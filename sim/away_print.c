/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_print: the answer in three lines, what to do before leaving, and what it rests on.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "amount.h"
#include "away_inner.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double OFTEN = 0.095; /* above it a chance is said in percent */

enum { FAULTS_TOLD = 5 };

/* ---- small words ------------------------------------------------------------------------------
 */

char *away_odds(double p, char out[SCREEN_CELL])
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

char *away_day(double t, char out[SCREEN_CELL])
{
    snprintf(out, SCREEN_CELL, "day %.1f", t / DAY);
    return out;
}

const struct away_measure *away_best(const struct away *a)
{
    return &a->measure[a->best];
}

void away_names(const struct away *a, unsigned which, char *out, size_t size)
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
    const struct damage *d = &away_best(a)->worst.damage;
    char after[SCREEN_CELL];
    if (isfinite(d->spill) || isfinite(d->basin_spill))
        screen_entry(out, "Leave?", "NO, not for %s: without any fault water runs over.", span);
    else if (isfinite(sets_begins(d, HARM_DRY)))
        screen_entry(out, "Leave?", "NO, not for %s: %s after %s.", span,
                     isfinite(d->low) && !(d->dry <= d->low) ? "the served water goes short"
                                                             : "the tank runs dry",
                     screen_span(sets_begins(d, HARM_DRY), after));
    else if (!away_best(a)->holds)
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
    away_names(a, a->renew, renew, sizeof renew);
    if (away_answers(a) == AWAY_NO)
        tell_no(a, span, out);
    else if (away_best(a)->door->deeds && a->renew)
        screen_entry(out, "Leave?", "YES for %s; first renew: %s; then %s.", span, renew,
                     away_best(a)->door->words);
    else if (away_best(a)->door->deeds)
        screen_entry(out, "Leave?", "YES for %s; first %s.", span, away_best(a)->door->words);
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
    const struct away_measure *m = away_best(a);
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
                    away_day(c->best.ends[stage], cell));
    else
        text_append(words, sizeof words, "no cartridge ends");
    if (isfinite(worst_bad(a)))
        text_append(words, sizeof words, "; bad water from %s", away_day(worst_bad(a), cell));
    screen_entry(out, "No fault", "%s.", words);
}

/* "1 in 690 absences, 3631 L at most" */
static void flood_words(const struct away_measure *m, char *words, size_t size)
{
    char chance[SCREEN_CELL], litres[SCREEN_CELL];
    if (m->spills == 0)
        text_append(words, size, "none of the %d tried floods", m->sets->hazards);
    else
        text_append(words, size, "%s, %s at most", away_odds(m->single.mean, chance),
                    screen_litres(m->floor, litres));
}

static void tell_fault(const struct away *a, FILE *out)
{
    const struct away_measure *none = &a->measure[0], *m = away_best(a);
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
                screen_span(begins, after), screen_litres(d->floor, litres), away_odds(p, chance));
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
        fprintf(out, "  all together %s such absences (%s to %s)\n", away_odds(m->spill.mean, mean),
                away_odds(m->spill.low, low), away_odds(m->spill.high, high));
    if (a->scenario->plant.has_basin && m->holds)
        fprintf(out, "  the served water short, by one of %d faults: %s\n", m->dries,
                away_odds(m->dry.mean, mean));
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
    const unsigned deeds = away_best(a)->door->deeds;
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
    const struct chance_row *r = likeliest(&away_best(a)->chances);
    char words[SCREEN_TEXT], renew[SCREEN_TEXT];
    int number = 0;
    fputs("\nBEFORE YOU LEAVE\n", out);
    if (a->renew) {
        words[0] = '\0';
        away_names(a, a->renew, renew, sizeof renew);
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
    if (away_best(a)->door->deeds & DEED_SHUT)
        item(&number, "Back home: open the valve, and let the first product run to the drain.",
             out);
    if (r && (away_best(a)->door->deeds & DEED_SHUT))
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
    away_measures(a, out);
    away_reserves(a, out);
    away_cases(a, out);
    away_dues(a, out);
    tell_floods(a, &a->measure[0], out);
    if (a->best > 0)
        tell_floods(a, away_best(a), out);
    tell_todo(a, out);
    tell_short_span(a, out);
    tell_method(a, out);
}
