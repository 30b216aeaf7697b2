/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_picture: the picture of a sweep as plain text, 80 columns wide: bars along one key, digits
 * over two, dots of a sample.  Page: docs/sweep.md.
 */
#include <math.h>
#include <string.h>

#include "screen.h"
#include "sweep.h"

enum { SHOWN = 6, BAR_WIDE = 44, NAME_WIDE = 20, MAP_WIDE = 56, CHART_WIDE = 60, CHART_HIGH = 12 };

static double value_of(const struct sweep *s, const struct sweep_move *m, int row)
{
    return sweep_shown_answer(s, row, m->answer);
}

/* 0 to 1 between the least and the greatest. */
static double share_of(const struct sweep *s, const struct sweep_move *m, double value)
{
    const double low = value_of(s, m, m->low), high = value_of(s, m, m->high);
    return high > low ? (value - low) / (high - low) : 0.5;
}

static void put_head(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    const struct sweep_answer *a = &s->answer[m->answer];
    fprintf(out, "\n%s%s%s\n", a->people.words, a->people.unit[0] ? ", " : "", a->people.unit);
}

/* ---- one key ----------------------------------------------------------------------------------
 */

/* Bars begin at 0 if that is not far from the least, else at the least. */
static void put_bars(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    const double low = value_of(s, m, m->low), high = value_of(s, m, m->high);
    const double from = low >= 0.0 && low < 0.7 * high ? 0.0 : low - 0.1 * (high - low);
    put_head(s, m, out);
    for (int i = 0; i < s->rows; i++) {
        char number[SCREEN_CELL] = "never";
        const double value = value_of(s, m, i);
        int n = 0;
        if (!isnan(value)) {
            screen_number(value, number);
            n = high > from ? (int)floor(BAR_WIDE * (value - from) / (high - from) + 0.5) : 0;
        }
        fprintf(out, "  %-*.*s |", NAME_WIDE, NAME_WIDE, s->row[i].point[0].word);
        for (int k = 0; k < n; k++)
            putc('#', out);
        fprintf(out, " %s\n", number);
    }
    if (from != 0.0) {
        char start[SCREEN_CELL];
        fprintf(out, "  %*s  bars begin at %s\n", NAME_WIDE, "", screen_number(from, start));
    }
}

/* ---- two keys ---------------------------------------------------------------------------------
 */

static char digit_of(const struct sweep *s, const struct sweep_move *m, int row)
{
    const double value = value_of(s, m, row);
    return isnan(value) ? '-' : (char)('0' + (int)fmin(10.0 * share_of(s, m, value), 9.0));
}

static void put_map(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    const int columns = s->vary[1].count, shown = columns < MAP_WIDE ? columns : MAP_WIDE;
    const int step = 2 * shown <= MAP_WIDE ? 2 : 1;
    char low[SCREEN_CELL], high[SCREEN_CELL];
    put_head(s, m, out);
    fprintf(out, "  0: %s, 9: %s, -: never\n", screen_number(value_of(s, m, m->low), low),
            screen_number(value_of(s, m, m->high), high));
    for (int i = s->vary[0].count - 1; i >= 0; i--) {
        fprintf(out, "  %-*.*s ", NAME_WIDE, NAME_WIDE, s->vary[0].point[i].word);
        for (int j = 0; j < shown; j++)
            fprintf(out, "%*c", step, digit_of(s, m, i * columns + j));
        putc('\n', out);
    }
    fprintf(out, "  %*s  across: %s from %s to %s\n", NAME_WIDE, "", s->vary[1].key,
            s->vary[1].point[0].word, s->vary[1].point[shown - 1].word);
}

/* ---- a sample ---------------------------------------------------------------------------------
 */

static void put_dots(const struct sweep *s, const struct sweep_move *m, int parameter, FILE *out)
{
    char line[CHART_HIGH][CHART_WIDE + 1];
    double least = INFINITY, most = -INFINITY;
    char low[SCREEN_CELL], high[SCREEN_CELL];
    for (int y = 0; y < CHART_HIGH; y++) {
        memset(line[y], ' ', CHART_WIDE);
        line[y][CHART_WIDE] = '\0';
    }
    for (int i = 0; i < s->rows; i++) {
        least = fmin(least, s->row[i].point[parameter].number);
        most = fmax(most, s->row[i].point[parameter].number);
    }
    for (int i = 0; i < s->rows; i++) {
        const double value = value_of(s, m, i), x = s->row[i].point[parameter].number;
        if (isnan(value) || !(most > least))
            continue;
        const int column = (int)((CHART_WIDE - 1) * (x - least) / (most - least) + 0.5);
        const int row = (int)((CHART_HIGH - 1) * share_of(s, m, value) + 0.5);
        line[CHART_HIGH - 1 - row][column] = '*';
    }
    put_head(s, m, out);
    for (int y = 0; y < CHART_HIGH; y++) {
        int end = CHART_WIDE;
        while (end > 0 && line[y][end - 1] == ' ')
            end--;
        fprintf(out, "  %10s |%.*s\n",
                y == 0                ? screen_number(value_of(s, m, m->high), high)
                : y == CHART_HIGH - 1 ? screen_number(value_of(s, m, m->low), low)
                                      : "",
                end, line[y]);
    }
    fprintf(out, "  %10s  over %.40s from %s to ", "", s->parameter[parameter].key,
            screen_number(least, low));
    fprintf(out, "%s %s\n", screen_number(most, high), s->parameter[parameter].unit);
}

/* The parameter with which an answer's ranks go best. */
static int foremost(const struct sweep *s, int answer)
{
    int best = 0;
    double most = -1.0;
    for (int k = 0; k < s->parameters; k++) {
        const double rank = fabs(sweep_rank(s, answer, k));
        if (rank > most) {
            most = rank;
            best = k;
        }
    }
    return best;
}

/* -----------------------------------------------------------------------------------------------
 */

void sweep_picture(const struct sweep *s, FILE *out)
{
    struct sweep_move m[SWEEP_ANSWERS];
    const int moving = sweep_shown(s, m), shown = moving < SHOWN ? moving : SHOWN;
    for (int j = 0; j < shown; j++)
        if (s->options.samples > 0)
            put_dots(s, &m[j], foremost(s, m[j].answer), out);
        else if (s->parameters > 1)
            put_map(s, &m[j], out);
        else
            put_bars(s, &m[j], out);
}
