/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * routes_print: both routes side by side, for a plumber and for programs.
 */
#include <math.h>

#include "calm.h"
#include "routes.h"
#include "screen.h"
#include "text.h"

static const double LITRE = 1e3; /* per m3 */
static const double FEW = 10.0;  /* equal hits, below which an error is not to be trusted */

static double two_digits(double x)
{
    const double unit = x > 0.0 ? pow(10.0, floor(log10(x)) - 1.0) : 1.0;
    return round(x / unit) * unit;
}

static void say(FILE *out, int margin, const char *words)
{
    for (int i = 0; i < margin; i++)
        fputc(' ', out);
    screen_wrap(out, margin, margin, words);
}

static void tell_route(FILE *out, const char *name, const char *words)
{
    say(out, 2, name);
    say(out, 6, words);
}

static void tell_sets(const struct routes *r, FILE *out)
{
    char words[CHANCE_WORDS];
    const double mean = r->found->chances.spill.mean;
    tell_route(out, "From the smallest sets, each from its worst moment:",
               mean > 0.0 ? chance_once(mean, words) : "none found");
}

static void tell_plain(const struct routes *r, FILE *out)
{
    const struct years_found *p = &r->plain;
    char name[SCREEN_TEXT] = "", words[SCREEN_TEXT] = "", chance[CHANCE_WORDS], litres[SCREEN_CELL];
    text_append(name, sizeof name, "From %ld simulated years with random faults:", p->years);
    if (p->spills > 0)
        text_append(words, sizeof words,
                    "%s; %ld of the years put water over a rim (tank %ld, served water %ld), %s on "
                    "the floor in the mean",
                    chance_words(&r->simulated, chance), p->spills, p->tank, p->served,
                    screen_litres(p->floor, litres));
    else
        text_append(words, sizeof words, "none: at most about %s",
                    chance_once(r->simulated.high, chance));
    tell_route(out, name, words);
}

static void tell_weighted(const struct routes *r, FILE *out)
{
    char name[SCREEN_TEXT] = "", words[SCREEN_TEXT] = "", chance[CHANCE_WORDS];
    if (r->weighted.years == 0 || r->nothing_fails)
        return;
    text_append(name, sizeof name,
                "From %ld more, what matters failing %.2g times as often, weighted:",
                r->weighted.years, r->times);
    if (r->weighted.spills == 0)
        text_append(words, sizeof words, "none; more years are needed (--years)");
    else
        text_append(words, sizeof words, "%s; worth %.*f equal hits%s",
                    chance_words(&r->reckoned, chance), r->hits < FEW ? 1 : 0, two_digits(r->hits),
                    r->hits < FEW ? ": TOO FEW TO BE TRUSTED, more years are needed (--years)"
                                  : "");
    tell_route(out, name, words);
}

/* What it means if the two do not agree. */
static const char *verdict(const struct routes *r)
{
    const double sets = r->found->chances.spill.mean;
    if (r->nothing_fails)
        return "All rates of the scenario are 0: nothing ever fails, so nothing is said.";
    if (sets < r->simulated.low)
        return "The years say MORE than the sets: there is water that comes later than in the span "
               "of "
               "a trial, or of more faults than were tried together.  Believe the years.";
    if (sets > r->simulated.high)
        return "The years say less, as they should: the sets take the worst moment, long cuts, and "
               "nobody who mends.";
    return "They agree within what so many years can show.";
}

static void tell_how(const struct routes *r, FILE *out)
{
    const struct plant *p = &r->found->scenario->plant;
    const struct risk *risk = &r->found->scenario->plan.risk;
    char words[SCREEN_TEXT] = "", inspected[SCREEN_CELL], mending[SCREEN_CELL];
    text_append(
        words, sizeof words,
        "Bounds in brackets hold 9 times in 10, for these rates.  A year begins with all parts "
        "tested and sound, and they are tested every %s; who sees that water is short has "
        "it mended %s later; what does not show stays.",
        screen_span(risk->inspected, inspected), screen_span(risk->mending, mending));
    text_append(words, sizeof words, "  %s", calm_words(p));
    say(out, 2, words);
}

void routes_print(const struct routes *r, FILE *out)
{
    fputs("\nHOW LIKELY, BY TWO ROUTES\n", out);
    if (r->spills_anyway) {
        say(out, 2, "A normal year spills without any fault: years with faults tell no more.");
        return;
    }
    tell_sets(r, out);
    tell_plain(r, out);
    tell_weighted(r, out);
    say(out, 2, verdict(r));
    tell_how(r, out);
}

/* ---- for programs -----------------------------------------------------------------------------
 */

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static json_t *chance_json(const struct chance *c)
{
    return json_pack("{s:o, s:o, s:o}", "mean_a_year", number(c->mean), "low_a_year",
                     number(c->low), "high_a_year", number(c->high));
}

json_t *routes_json(const struct routes *r)
{
    const struct years_found *p = &r->plain, *w = &r->weighted;
    if (r->spills_anyway)
        return json_pack("{s:b}", "normal_year_spills", 1);
    return json_pack(
        "{s:I, s:I, s:I, s:I, s:I, s:o, s:o, s:o, s:b, s:{s:I, s:o, s:o, s:o, s:o, s:o}}", "years",
        (json_int_t)p->years, "years_with_spill", (json_int_t)p->spills, "tank",
        (json_int_t)p->tank, "served", (json_int_t)p->served, "years_dry", (json_int_t)p->dry,
        "floor_L_mean", number(LITRE * p->floor), "share",
        number((double)p->spills / (double)p->years), "chance", chance_json(&r->simulated),
        "chemistry_steers_water", calm_is_steered(&r->found->scenario->plant), "weighted", "years",
        (json_int_t)w->years, "times", number(r->times), "share", number(w->weighted.mean),
        "standard_error", number(w->years > 1 ? odds_sample_error(&w->weighted) : NAN),
        "equal_hits", number(r->hits), "chance", chance_json(&r->reckoned));
}
