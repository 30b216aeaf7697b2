/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_print: the answer in words first, then the ways beside each other, for a person with a hand
 * on a controller.
 */
#include <math.h>
#include <string.h>

#include "amount.h"
#include "rinse_find.h"
#include "screen.h"
#include "text.h"

static const double LITRE = 1e3; /* per m3 */

enum { COLUMNS = 7, WORDS = SCREEN_TEXT };

static const char *currency(const struct rinse_found *f)
{
    return f->scenario->plan.prices.currency[0] ? f->scenario->plan.prices.currency : "money";
}

static double saved(const struct rinse_found *f)
{
    return f->way[RINSE_NONE].money - f->subject.money;
}

/* ---- three lines --------------------------------------------------------------------------------
 */

static void tell_answer(const struct rinse_found *f, FILE *out)
{
    const double none = f->way[RINSE_NONE].money;
    if (f->pays && f->survives)
        screen_entry(out, "Rinse?", "Yes: it saves %.2f %s of %.2f a year (%.2f to %.2f).",
                     saved(f), currency(f), none, f->low, f->high);
    else if (f->pays)
        screen_entry(out, "Rinse?", "Perhaps: it saves %.2f %s of %.2f a year, or %.2f to %.2f.",
                     saved(f), currency(f), none, f->low, f->high);
    else if (saved(f) > 0.0)
        screen_entry(out, "Rinse?",
                     "Hardly: the cheapest rinse saves %.2f %s of %.2f a year (%.2f to %.2f).",
                     saved(f), currency(f), none, f->low, f->high);
    else
        screen_entry(out, "Rinse?",
                     "No: it does not pay on this feed.  The cheapest costs %.2f %s more than none "
                     "(%.2f to %.2f), of %.2f a year.",
                     -saved(f), currency(f), -f->high, -f->low, none);
}

/* The constants at whose ends another answer would be better by more than the margin. */
static void hangs_on(const struct rinse_found *f, char *words, size_t size)
{
    for (int d = 0; d < f->doubts; d++) {
        char value[SCREEN_CELL];
        if (!f->doubt[d].holds)
            text_append(
                words, size, "%s%s at %s (%.0f %% dearer than the cheapest there)",
                words[0] ? "; " : "", f->doubt[d].key,
                units_format(f->doubt[d].value, f->doubt[d].field->dimension, value, sizeof value),
                100.0 * ((f->pays ? f->doubt[d].subject : f->doubt[d].none) / f->doubt[d].cheapest -
                         1.0));
    }
}

static void tell_best(const struct rinse_found *f, FILE *out)
{
    char programme[RINSE_WORDS], words[WORDS] = "";
    rinse_ways_programme(&f->subject.programme, programme);
    if (f->pays && f->survives)
        screen_entry(out, "Best", "%s.", programme);
    else if (f->pays) {
        hangs_on(f, words, sizeof words);
        screen_entry(out, "Best", "none can be named.  As assumed: %s.  It hangs on %s.", programme,
                     words);
    } else {
        screen_entry(out, "Best", "none.  The cheapest rinse would be: %s.", programme);
    }
}

static void tell_lives(const struct rinse_found *f, FILE *out)
{
    const struct rinse_year *none = &f->way[RINSE_NONE].year, *best = &f->subject.year;
    char a[SCREEN_CELL], b[SCREEN_CELL], drain[SCREEN_CELL], less[SCREEN_CELL], words[WORDS] = "";
    screen_span(best->membrane_life, a);
    if (strcmp(a, screen_span(none->membrane_life, b)) == 0)
        text_append(words, sizeof words, "the membrane lasts %s as without it", a);
    else
        text_append(words, sizeof words, "the membrane lasts %s instead of %s", a, b);
    text_append(words, sizeof words, ", %s instead of %s a year go to the drain",
                screen_litres(best->drain, drain), screen_litres(none->drain, less));
    if (f->c.has_resin)
        text_append(words, sizeof words, "; resin %s instead of %s",
                    screen_span(best->resin_life, a), screen_span(none->resin_life, b));
    screen_entry(out, "With it", "%s.", words);
}

/* ---- why flat, why sharp ------------------------------------------------------------------------
 */

static double water_of(const struct rinse_year *y)
{
    return y->water + y->sewer + y->electricity + y->prefilters;
}

static void tell_beside(const struct rinse_found *f, char *words, size_t size)
{
    static const char *const how[RINSE_BESIDES] = { "four times as often", "a quarter as often",
                                                    "half as long", "twice as long" };
    text_append(words, size, "Beside the answer, ");
    for (int b = 0; b < RINSE_BESIDES; b++) {
        const struct rinse_year *y = &f->beside[b].year, *best = &f->subject.year;
        if (!f->beside[b].there)
            continue;
        text_append(words, size, "%s: water %+.2f, membranes %+.2f", how[b],
                    water_of(y) - water_of(best), y->membrane - best->membrane);
        if (f->c.has_resin && fabs(y->resin - best->resin) >= 0.005)
            text_append(words, size, ", resin %+.2f", y->resin - best->resin);
        text_append(words, size, "; ");
    }
    const size_t n = strlen(words);
    if (n > 1)
        snprintf(words + n - 2, size - n + 2, ".");
}

static void tell_shape(const struct rinse_found *f, FILE *out)
{
    static const double SHARP = 6.0, FLAT = 32.0; /* last over first interval as good as the best */
    const struct rinse_map *m = &f->map;
    const struct rinse_region r = rinse_ways_region(m);
    const struct rinse_year *none = &f->way[RINSE_NONE].year;
    char a[SCREEN_CELL], b[SCREEN_CELL], c[SCREEN_CELL], d[SCREEN_CELL], words[WORDS] = "";
    const double ratio = r.every_to / r.every_from;
    text_append(
        words, sizeof words,
        "%s: within 5 %% of the best of the map lie intervals from %s to %s and durations from "
        "%s to %s.  Of a year's cost %.0f %% are membranes, which is all that rinsing off "
        "the deposit can save.  ",
        ratio < SHARP  ? "Sharp"
        : ratio < FLAT ? "Neither"
                       : "Flat",
        screen_span(r.every_from, a), screen_span(r.every_to, b), screen_span(r.for_from, c),
        screen_span(r.for_to, d), 100.0 * none->membrane / none->total);
    tell_beside(f, words, sizeof words);
    screen_entry(out, "Flat?", "%s", words);
}

/* ---- tables -------------------------------------------------------------------------------------
 */

struct sheet_of_cells {
    int rows;
    char cell[2 * RINSE_WAYS][COLUMNS][RINSE_WORDS];
    const char *cells[(2 * RINSE_WAYS + 1) * COLUMNS];
};

static void add_row(struct sheet_of_cells *s, const char *name, const struct rinse_try *t)
{
    char(*c)[RINSE_WORDS] = s->cell[s->rows++];
    char text[SCREEN_CELL];
    snprintf(c[0], RINSE_WORDS, "%s", name);
    snprintf(c[1], RINSE_WORDS, "%.2f", t->money);
    snprintf(c[2], RINSE_WORDS, "%s",
             screen_number(floor(amount_number(AMOUNT_WATER, LITRE * t->year.drain) + 0.5), text));
    snprintf(c[3], RINSE_WORDS, "%s", amount_bare(AMOUNT_WATER, LITRE * t->year.lost, 0, text));
    snprintf(c[4], RINSE_WORDS, "%s", screen_span(t->year.membrane_life, text));
    snprintf(c[5], RINSE_WORDS, "%s",
             isfinite(t->year.resin_life) ? screen_span(t->year.resin_life, text) : "-");
    snprintf(c[6], RINSE_WORDS, "%s",
             isnan(t->programme.divert_below) && t->programme.divert <= 0.0
                 ? "-"
                 : screen_span(t->programme.divert, text));
    for (int k = 0; k < COLUMNS; k++)
        s->cells[s->rows * COLUMNS + k] = c[k];
}

static void tell_ways(const struct rinse_found *f, FILE *out)
{
    char drain[SCREEN_CELL], lost[SCREEN_CELL];
    snprintf(drain, sizeof drain, "drain %s", amount_unit(AMOUNT_WATER));
    snprintf(lost, sizeof lost, "lost %s", amount_unit(AMOUNT_WATER));
    struct sheet_of_cells s = { .cells = { "rinse", currency(f), drain, lost, "membrane", "resin",
                                           "divert" } };
    char words[RINSE_WORDS];
    fputs("\nTHE WAYS, each at its best; a year of the water that is needed\n", out);
    for (int w = 0; w < RINSE_WAYS; w++) {
        if (f->way[w].there)
            add_row(&s, rinse_ways_words((enum rinse_way)w), &f->way[w]);
        if (f->diverting[w].there)
            add_row(&s, "  and diverting", &f->diverting[w]);
    }
    screen_table(out, s.cells, s.rows + 1, COLUMNS);
    for (int w = RINSE_OWN; w < RINSE_WAYS; w++)
        if (f->way[w].there) {
            const int column = fprintf(out, "  %s: ", rinse_ways_words((enum rinse_way)w));
            screen_wrap(out, column, 4, rinse_ways_programme(&f->way[w].programme, words));
        }
    if (!f->c.plant.fill.switches)
        fputs("  at start, at stop: not here; without level switches a run hardly ever begins or "
              "ends\n",
              out);
}

static void tell_drains(const struct rinse_found *f, FILE *out)
{
    char words[WORDS] = "that passes so many times as much in a rinse: ";
    for (int d = 0; d < RINSE_DRAINS; d++)
        text_append(words, sizeof words, "%s%gx %.2f", d ? ", " : "", f->drain[d].programme.bypass,
                    f->drain[d].money);
    fputs("  with a drain ", out);
    screen_wrap(out, 15, 4, words);
}

static void tell_doubts(const struct rinse_found *f, FILE *out)
{
    enum { CELLS = 5 };
    char cell[RINSE_DOUBTS_MAX][CELLS][SCREEN_CELL];
    const char *cells[(RINSE_DOUBTS_MAX + 1) * CELLS] = { "constant", "at", "rinse saves",
                                                          "over cheapest", "flow lost a year" };
    fputs("\nWHAT NOBODY HAS MEASURED, at both ends of its usual range\n", out);
    for (int i = 0; i < f->doubts; i++) {
        const struct rinse_doubt *d = &f->doubt[i];
        const double named = f->pays ? d->subject : d->none;
        char(*c)[SCREEN_CELL] = cell[i];
        snprintf(c[0], SCREEN_CELL, "%s",
                 i % 2 == 0 || strcmp(d->key, d[-1].key) != 0 ? d->key : "");
        units_format(d->value, d->field->dimension, c[1], SCREEN_CELL);
        snprintf(c[2], SCREEN_CELL, "%.2f", d->none - d->subject);
        snprintf(c[3], SCREEN_CELL, "%.1f %%%s", fmax(100.0 * (named / d->cheapest - 1.0), 0.0),
                 d->holds ? "" : " !");
        snprintf(c[4], SCREEN_CELL, "%.1f %%", 100.0 * d->flow_lost);
        for (int k = 0; k < CELLS; k++)
            cells[(i + 1) * CELLS + k] = c[k];
    }
    screen_table(out, cells, f->doubts + 1, CELLS);
    if (f->doubts == 0)
        fputs("  nothing: the scenario gives all of them\n", out);
}

static void tell_assumed(const struct rinse_found *f, FILE *out)
{
    const struct rinse_case *c = &f->c;
    char words[WORDS] = "";
    if (c->flow_assumed)
        text_append(
            words, sizeof words,
            "a membrane is due at %.2f of its flow or %.1f times its salt passage, settled; ",
            c->flow, c->passage);
    if (c->membrane_assumed)
        text_append(words, sizeof words, "membranes cost %.2f; ", c->membrane_price);
    if (c->resin_assumed)
        text_append(words, sizeof words, "resin costs %.2f; ", c->resin_price);
    text_append(words, sizeof words,
                "nothing is kept longer than ten years; nobody's time costs "
                "anything.  %d years were run.",
                f->runs);
    screen_entry(out, "\nAssumed", "%s", words);
}

void rinse_print(const struct rinse_found *f, FILE *out)
{
    tell_answer(f, out);
    tell_best(f, out);
    tell_lives(f, out);
    tell_shape(f, out);
    tell_ways(f, out);
    tell_drains(f, out);
    rinse_chart(f, out);
    tell_doubts(f, out);
    tell_assumed(f, out);
}
