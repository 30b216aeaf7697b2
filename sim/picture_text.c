/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture_text: the pictures of `leat overflow` as plain text, 80 columns wide: no plotting
 * program, no colour, every sign a letter.  Page: docs/figures.md.
 */
#include <math.h>
#include <string.h>

#include "amount.h"
#include "picture.h"
#include "screen.h"
#include "text.h"

static const double HOUR = 3600.0; /* s */

enum { SHOWN = 12, MARGIN = 4, BAR_WIDE = 46, SHARE_WIDE = 30, CHART_WIDE = 60, CHART_HIGH = 10 };

static void put_name(const struct picture *p, const struct chance_row *r, FILE *out)
{
    char name[SET_WORDS];
    fprintf(out, "%3d. ", picture_number(p, r));
    screen_wrap(out, 5, 5, sets_name(&p->found->sets, r->set, name));
}

static void put_many(FILE *out, char c, int n)
{
    for (int i = 0; i < n; i++)
        putc(c, out);
}

/* ---- times ------------------------------------------------------------------------------------
 */

/* Columns that a time takes on a logarithmic axis from a minute to the end of the span. */
static int column_of(const struct picture *p, double t)
{
    const double from = 60.0, to = fmax(p->found->span, 2.0 * HOUR);
    const double share = log(fmax(t, from) / from) / log(to / from);
    return (int)floor(share * (BAR_WIDE - 1) + 0.5);
}

static void put_axis(const struct picture *p, FILE *out)
{
    static const struct {
        double t;
        const char *words;
    } tics[] = { { 60.0, "1min" },       { 600.0, "10min" },  { 3600.0, "1h" },
                 { 6.0 * 3600.0, "6h" }, { 86400.0, "1day" }, { 604800.0, "1week" } };
    char line[BAR_WIDE + 8];
    memset(line, ' ', sizeof line);
    int end = 0;
    for (size_t i = 0; i < sizeof tics / sizeof *tics; i++) {
        const int at = column_of(p, tics[i].t), n = (int)strlen(tics[i].words);
        if (tics[i].t > p->found->span || at < end || at + n > BAR_WIDE)
            continue;
        memcpy(&line[at], tics[i].words, (size_t)n);
        end = at + n + 1;
    }
    fprintf(out, "     %.*s\n", BAR_WIDE, line);
}

static void put_times(const struct picture *p, FILE *out)
{
    char span[SCREEN_CELL];
    fprintf(out,
            "\nTIME TO THE FIRST DROP, worst first (T tank, S served water), and what is on the\n"
            "floor in %s; from the first fault, logarithmic\n",
            screen_span(p->found->span, span));
    put_axis(p, out);
    for (int i = 0; i < p->spills && i < SHOWN; i++) {
        const struct damage *d = &p->early[i]->set->worst;
        char after[SCREEN_CELL], litres[SCREEN_CELL];
        const int n = column_of(p, picture_first_drop(d));
        put_name(p, p->early[i], out);
        fputs("     ", out);
        put_many(out, '-', n);
        fprintf(out, "%c%*s %9s %10s\n", d->spill <= d->basin_spill ? 'T' : 'S', BAR_WIDE - 1 - n,
                "", screen_span(picture_first_drop(d), after), screen_litres(d->floor, litres));
    }
    if (p->spills > SHOWN)
        fprintf(out, "     and %d more, later than these\n", p->spills - SHOWN);
}

/* ---- matrix -----------------------------------------------------------------------------------
 */

static void put_numbers(int n, int name, int step, FILE *out)
{
    if (n > 9) {
        fprintf(out, "%*s", MARGIN + name, "");
        for (int i = 1; i <= n; i++)
            fprintf(out, "%*s%c", step - 1, "", i < 10 ? ' ' : '0' + i / 10);
        putc('\n', out);
    }
    fprintf(out, "%*s", MARGIN + name, "");
    for (int i = 1; i <= n; i++)
        fprintf(out, "%*s%c", step - 1, "", '0' + i % 10);
    putc('\n', out);
}

static void put_pairs(const struct picture *p, FILE *out)
{
    const struct sets *s = &p->found->sets;
    const int n = s->hazards, step = n <= 22 ? 2 : 1;
    const int name = (int)fmin(32.0, SCREEN_COLUMNS - 1 - MARGIN - step * n);
    fputs("\nMATRIX OF PAIRS, from the worst moment; on the diagonal the fault alone\n", out);
    put_numbers(n, name, step, out);
    for (int i = 0; i < n; i++) {
        char words[SCREEN_CELL] = "";
        text_append(words, sizeof words, "%s %s", s->hazard[i].part, s->hazard[i].mode);
        fprintf(out, "%2d. %-*.*s", i + 1, name, name, words);
        for (int j = 0; j < n; j++)
            fprintf(out, "%*s%c", step - 1, "", picture_letter[p->sign[i][j]]);
        putc('\n', out);
    }
    for (int i = 0; i < SIGN_COUNT; i++) {
        char words[80];
        fprintf(out, "  %c  %s\n", i == SIGN_APART ? '_' : picture_letter[i],
                picture_meaning(p, (enum picture_sign)i, words));
    }
}

/* ---- shares -----------------------------------------------------------------------------------
 */

static void put_share(const struct picture *p, const struct chance *c, FILE *out)
{
    const double share = picture_share(p, c);
    const int n = (int)floor(share * SHARE_WIDE + 0.5);
    char words[CHANCE_WORDS], line[SCREEN_TEXT] = "";
    chance_words(c, words);
    fputs("     ", out);
    put_many(out, '#', n);
    put_many(out, '.', SHARE_WIDE - n);
    text_append(line, sizeof line, "%3.0f %%", 100.0 * share);
    fprintf(out, " %s\n     ", line);
    screen_wrap(out, 5, 5, words);
}

static void put_shares(const struct picture *p, FILE *out)
{
    const struct chances *c = &p->found->chances;
    if (!(c->spill.mean > 0.0))
        return;
    fputs("\nWHAT A SPILL WOULD COME FROM: share of each set, how often (5 to 95 %)\n", out);
    for (int i = 0; i < p->spills && i < SHOWN; i++) {
        put_name(p, p->likely[i], out);
        put_share(p, &p->likely[i]->chance, out);
    }
    if (p->spills > SHOWN)
        fprintf(out, "     and %d more, each less likely\n", p->spills - SHOWN);
    fputs("\nBY PART: all sets that hold it (a pair counts for both of its parts)\n", out);
    for (int i = 0; i < c->parts && i < SHOWN; i++) {
        fprintf(out, "     %s\n", c->part[i].part);
        put_share(p, &c->part[i].chance, out);
    }
}

/* ---- levels -----------------------------------------------------------------------------------
 */

struct chart {
    double low, high; /* of the axis */
    char cell[CHART_HIGH][CHART_WIDE];
    const char *words[CHART_HIGH]; /* of the line in a row, NULL: none */
};

static int row_of(const struct chart *c, double y)
{
    const int row = (int)floor((c->high - y) / (c->high - c->low) * CHART_HIGH);
    return row < 0 ? 0 : row >= CHART_HIGH ? CHART_HIGH - 1 : row;
}

/* cm of a tank, mm of served water, or inches */
static double shown(bool tank, double metres)
{
    return tank ? amount_number(AMOUNT_LEVEL, 100.0 * metres)
                : amount_number(AMOUNT_THIN, 1e3 * metres);
}

static double level_of(const struct picture_point *k, bool tank)
{
    return shown(tank, tank ? k->tank : k->served);
}

/* Level at a time, straight between the points. */
static double level_at(const struct picture_track *k, double t, bool tank)
{
    int i = 1;
    while (i < k->points - 1 && k->point[i].t < t)
        i++;
    const struct picture_point *a = &k->point[i - 1], *b = &k->point[i];
    const double share = b->t > a->t ? fmin((t - a->t) / (b->t - a->t), 1.0) : 0.0;
    return level_of(a, tank) + share * (level_of(b, tank) - level_of(a, tank));
}

/* From the lowest level to the highest that counts, with a rim at the top. */
static void set_chart(struct chart *c, const struct picture_track *k, bool tank,
                      const struct picture_mark mark[], int marks)
{
    double low = INFINITY, high = -INFINITY;
    for (int i = 0; i < k->points; i++) {
        low = fmin(low, level_of(&k->point[i], tank));
        high = fmax(high, level_of(&k->point[i], tank));
    }
    for (int i = 0; i < marks; i++)
        high = fmax(high, shown(tank, mark[i].level));
    *c = (struct chart){ .low = low, .high = high + 1e-6 * (high - low) + 1e-9 };
    memset(c->cell, ' ', sizeof c->cell);
    for (int i = 0; i < marks; i++) {
        const double level = shown(tank, mark[i].level);
        const int row = row_of(c, level);
        if (level < low || c->words[row])
            continue;
        c->words[row] = mark[i].words;
        memset(c->cell[row], '-', CHART_WIDE);
    }
    for (int x = 0; x < CHART_WIDE; x++)
        c->cell[row_of(c, level_at(k, k->end * (x + 0.5) / CHART_WIDE, tank))][x] = '*';
}

static void put_track(const struct picture *p, const struct picture_track *k, FILE *out)
{
    const struct plant *plant = &p->found->scenario->plant;
    const bool tank = k->damage.spill <= k->damage.basin_spill;
    struct picture_mark mark[PICTURE_MARKS];
    const int marks = tank ? picture_tank_marks(plant, mark) : picture_served_marks(plant, mark);
    const double drop = picture_first_drop(&k->damage);
    const int at = (int)fmin(drop / k->end * CHART_WIDE, CHART_WIDE - 1.0);
    char after[SCREEN_CELL], end[SCREEN_CELL];
    const int places = units_taste() == TASTE_US ? 2 : 1;
    struct chart c;
    set_chart(&c, k, tank, mark, marks);
    put_name(p, k->row, out);
    fprintf(out, "     %s, %s; ^ runs over after %s\n", tank ? "tank level" : "served water",
            amount_unit(tank ? AMOUNT_LEVEL : AMOUNT_THIN), screen_span(drop, after));
    for (int i = 0; i < CHART_HIGH; i++) {
        const double y = c.high - (c.high - c.low) * (i + 0.5) / CHART_HIGH;
        fprintf(out, "%6.*f|%.*s%s%s\n", places, y, CHART_WIDE, c.cell[i], c.words[i] ? " " : "",
                c.words[i] ? c.words[i] : "");
    }
    fprintf(out, "      0%*s^%*s%s\n", at, "", CHART_WIDE - 1 - at, "", screen_span(k->end, end));
}

void picture_text(const struct picture *p, FILE *out)
{
    if (p->spills == 0)
        fputs("\nNothing that was tried spills: there is only the matrix of pairs to draw.\n", out);
    else
        put_times(p, out);
    put_pairs(p, out);
    if (p->spills == 0)
        return;
    put_shares(p, out);
    fputs("\nLEVELS after the sets that spill soonest\n", out);
    for (int i = 0; i < p->tracks; i++)
        put_track(p, &p->track[i], out);
}
