/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_print: the answer in words first, then in tables: when, why, how sure.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "date.h"
#include "lives_inner.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double LOOKS =
    6.0; /* days: the lives of what is looked at now and then are no finer */

/* ---- pieces -----------------------------------------------------------------------------------
 */

static char *water_range(const struct lives_range *r, char out[SCREEN_CELL])
{
    char low[SCREEN_CELL], high[SCREEN_CELL];
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%.16s", lives_water(r->low, low));
    if (isfinite(r->low))
        text_append(out, SCREEN_CELL, " to %.16s", lives_water(r->high, high));
    return out;
}

static char *range(const struct lives_range *r, double unit, char out[SCREEN_CELL])
{
    char low[SCREEN_CELL], high[SCREEN_CELL];
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%.16s", lives_number(r->low / unit, low));
    if (isfinite(r->low))
        text_append(out, SCREEN_CELL, " to %.16s", lives_number(r->high / unit, high));
    return out;
}

/* What came when, for people: a bed without a membrane before it gets the feed. */
const char *lives_source_words(const struct lives *l, int i)
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
    screen_entry(out, "Ends first", "%s, after %s %s of product (80 %%: %s)",
                 lives_name(l, l->first), lives_water(s->litres.median, median),
                 amount_unit(AMOUNT_WATER), water_range(&s->litres, all));
    text_append(words, sizeof words, "day %s (80 %%: %s)", lives_number(s->t.median / DAY, median),
                range(&s->t, DAY, all));
    if (lives_date(l, s->t.median, date)[0] != '\0')
        text_append(words, sizeof words, ", %s (%s to %s)", date, lives_date(l, s->t.low, low),
                    lives_date(l, s->t.high, high));
    screen_entry(out, "When", "%s", words);
    words[0] = '\0';
    text_append(words, sizeof words, "%s%s", since(l, l->first, s->t.median),
                why ? why : "with other values than given");
    if (l->load.there && l->first == life_last_bed(&l->scenario->plant)) {
        const double *share = l->load.share[l->load.ends];
        int most = 0;
        for (int i = 1; i < LOAD_SOURCES; i++)
            most = share[i] > share[most] ? i : most;
        text_append(words, sizeof words, "; %s of its load: %s", lives_percent(share[most], all),
                    lives_source_words(l, most));
    }
    screen_entry(out, "Why", "%s", words);
}

/* ---- all of them ------------------------------------------------------------------------------
 */

static void tell_all(const struct lives *l, FILE *out)
{
    enum { COLUMNS = 7 };
    char cell[STAGES_MAX][COLUMNS][SCREEN_CELL];
    const char *cells[(STAGES_MAX + 1) * COLUMNS] = {
        "part", lives_water_head(), "80 %", "days", "80 %", "until", "first"
    };
    const int stages = l->scenario->plant.stages;
    fprintf(out, "\nCONSUMABLES: medians of %d runs; 80 %% of them between\n", l->samples);
    for (int k = 0; k < stages; k++) {
        const struct lives_stage *s = &l->stage[k];
        snprintf(cell[k][0], SCREEN_CELL, "%.14s", lives_name(l, k));
        lives_water(s->litres.median, cell[k][1]);
        water_range(&s->litres, cell[k][2]);
        lives_number(s->t.median / DAY, cell[k][3]);
        range(&s->t, DAY, cell[k][4]);
        lives_date(l, s->t.median, cell[k][5]);
        lives_percent(s->first, cell[k][6]);
        for (int c = 0; c < COLUMNS; c++)
            cells[(k + 1) * COLUMNS + c] = cell[k][c];
    }
    screen_table(out, cells, stages + 1, COLUMNS);
    for (int k = 0; k < stages; k++) {
        char words[SCREEN_TEXT] = "";
        const struct life_end *e = &l->base.end[k];
        text_append(words, sizeof words, "%s: %s%s", lives_name(l, k), since(l, k, e->t),
                    e->why ? e->why : "no end within the time looked at");
        lives_say(out, words);
    }
}

void lives_print(const struct lives *l, FILE *out)
{
    tell_first(l, out);
    tell_all(l, out);
    if (l->load.there) {
        lives_load(l, out);
        lives_notice(l, out);
        lives_help(l, out);
    } else {
        fputs("\n  There is no resin at the end of the train: nothing of it is said.\n", out);
    }
    lives_inputs(l, out);
    lives_method(l, out);
}
