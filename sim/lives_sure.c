/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_sure: on which inputs the answer hangs, how well they are known, and how it was found.
 */
#include <math.h>
#include <string.h>

#include "amount.h"
#include "lives_inner.h"
#include "text.h"

static const double DAY = 86400.0;  /* s */
static const double NOTHING = 5e-3; /* share of the variance that is not worth a bar */

enum { BAR = 16, NAME = 33 };

/* A share of a variance, in per cent: what an estimate has beyond none and all is its noise. */
static double shown(double share)
{
    return 100.0 * fmin(fmax(share, 0.0), 1.0);
}

void lives_inputs(const struct lives *l, FILE *out)
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
        lives_say(out, words);
    }
    words[0] = '\0';
    text_append(words, sizeof words,
                "From %ld runs, %d for each share; with half of them no share differs by more than "
                "%.0f points.",
                l->runs, l->rows, 100.0 * l->change);
    lives_say(out, words);
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

void lives_method(const struct lives *l, FILE *out)
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
    lives_say(out, words);
}
