/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_tables: what may be done before leaving, how long the served water is topped off, and what
 * becomes of cartridges and water meanwhile.
 */
#include <math.h>
#include <stdio.h>

#include "amount.h"
#include "away_inner.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */

enum { DUES_TOLD = 5 };

static char *reserve(const struct away *a, double lasts, char out[SCREEN_CELL])
{
    if (isfinite(lasts))
        return screen_span(lasts, out);
    snprintf(out, SCREEN_CELL, "%.0f+ days", floor(a->horizon / DAY));
    return out;
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
    away_odds(m->single.mean, cell[3]);
    screen_litres(m->floor, cell[4]);
}

void away_measures(const struct away *a, FILE *out)
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

void away_reserves(const struct away *a, FILE *out)
{
    static const char *const heads[COLUMNS] = { "done before", "at least", "at most", "level",
                                                "g/kg" };
    const struct away_measure *m = away_best(a);
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
        away_day(t, out);
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
                        away_day(c->as_is.ends[k], day));
            if (c->renewed & (1u << k))
                text_append(words, sizeof words, "; renewed before leaving: %s",
                            isinf(c->fresh.ends[k]) ? "it lasts"
                                                    : away_day(c->fresh.ends[k], left));
            fputs("  ", out);
            screen_wrap(out, 2, 2, words);
        }
    }
}

void away_cases(const struct away *a, FILE *out)
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

void away_dues(const struct away *a, FILE *out)
{
    char day[SCREEN_CELL], span[SCREEN_CELL], words[SCREEN_TEXT] = "";
    const int n = a->year.dues;
    if (n == 0 || a->dated)
        return;
    text_append(words, sizeof words,
                "Not in the %s before these days without a new cartridge in place: ",
                screen_span(a->span, span));
    for (int i = 0; i < n && i < DUES_TOLD; i++) {
        const struct absence_due *d = &a->year.due[i];
        text_append(words, sizeof words, "%s%s %s", i ? "; " : "",
                    a->scenario->plant.train[d->stage].name,
                    screen_day(d->t / DAY, a->scenario->plan.start_date, day));
    }
    text_append(words, sizeof words, n > DUES_TOLD ? "; and %d more." : ".", n - DUES_TOLD);
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}
