/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_print: the answer in words first, then the rows, 80 columns wide.  Page: docs/sweep.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "screen.h"
#include "sweep.h"
#include "text.h"

enum { ROWS_SHOWN = 40, COLUMNS_MOST = 12, PLACES_SHOWN = 8 };

/* ---- values -----------------------------------------------------------------------------------
 */

char *sweep_row_name(const struct sweep *s, const struct sweep_row *r, char out[SWEEP_ROW_WORDS])
{
    out[0] = '\0';
    for (int k = 0; k < s->parameters; k++)
        text_append(out, SWEEP_ROW_WORDS, "%s%s = %s", k > 0 ? ", " : "", s->parameter[k].key,
                    r->point[k].word);
    return out;
}

static char *value_words(const struct sweep_answer *a, double value, char out[SCREEN_CELL])
{
    char number[SCREEN_CELL];
    if (isnan(value))
        snprintf(out, SCREEN_CELL, "never");
    else
        snprintf(out, SCREEN_CELL, "%s%s%s", screen_number(value, number),
                 a->people.unit[0] ? " " : "", a->people.unit);
    return out;
}

static double at(const struct sweep *s, const struct sweep_move *m, int row)
{
    return sweep_shown_answer(s, row, m->answer);
}

/* As written; what was drawn in three digits. */
static const char *point_words(const struct sweep *s, int row, int k, char out[VARY_WORDS])
{
    char number[SCREEN_CELL];
    const struct vary_point *p = &s->row[row].point[k];
    const char *unit = s->parameter[k].unit;
    snprintf(out, VARY_WORDS, "%s%s%s", screen_number(p->number, number), unit[0] ? " " : "", unit);
    return s->options.samples > 0 ? out : p->word;
}

/* The row without its keys: "35 psi", "35 psi and 4". */
static char *place_words(const struct sweep *s, int row, char out[SWEEP_ROW_WORDS])
{
    char cell[VARY_WORDS];
    out[0] = '\0';
    if (s->options.samples > 0 && s->parameters > SWEEP_KEYS)
        text_append(out, SWEEP_ROW_WORDS, "row %d", row + 1);
    else
        for (int k = 0; k < s->parameters; k++)
            text_append(out, SWEEP_ROW_WORDS, "%s%s", k > 0 ? " and " : "",
                        point_words(s, row, k, cell));
    return out;
}

static const char *plural(int n)
{
    return n == 1 ? "" : "s";
}

/* ---- the first three lines --------------------------------------------------------------------
 */

static const char *course_words(enum course c)
{
    static const char *const words[] = {
        [COURSE_SAME] = "the same",
        [COURSE_UP] = "steadily up",
        [COURSE_DOWN] = "steadily down",
        [COURSE_TOP] = "with the most inside",
        [COURSE_BOTTOM] = "with the least inside",
        [COURSE_UNEVEN] = "up and down",
    };
    return words[c];
}

static void tell_line(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    const struct sweep_answer *a = &s->answer[m->answer];
    char first[SCREEN_CELL], last[SCREEN_CELL], low[SCREEN_CELL], high[SCREEN_CELL],
        here[SWEEP_ROW_WORDS];
    char words[SCREEN_TEXT] = "";
    text_append(words, sizeof words, "%s moves most: %s at %s", a->people.words,
                value_words(a, at(s, m, 0), first), s->row[0].point[0].word);
    text_append(words, sizeof words, ", %s at %s", value_words(a, at(s, m, s->rows - 1), last),
                s->row[s->rows - 1].point[0].word);
    if (m->known < s->rows)
        text_append(words, sizeof words, "; it comes in %d of %d rows", m->known, s->rows);
    else
        text_append(words, sizeof words, ", %s", course_words(m->course));
    if (m->course == COURSE_TOP || m->course == COURSE_UNEVEN)
        text_append(words, sizeof words, ": most %s at %s", value_words(a, at(s, m, m->high), high),
                    place_words(s, m->high, here));
    if (m->course == COURSE_BOTTOM || m->course == COURSE_UNEVEN)
        text_append(words, sizeof words, "%s least %s at %s",
                    m->course == COURSE_BOTTOM ? ":" : ",", value_words(a, at(s, m, m->low), low),
                    place_words(s, m->low, here));
    screen_entry(out, "What if?", "%s.", words);
}

static void tell_spread(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    const struct sweep_answer *a = &s->answer[m->answer];
    char low[SCREEN_CELL], high[SCREEN_CELL], there[SWEEP_ROW_WORDS], here[SWEEP_ROW_WORDS];
    char never[SCREEN_CELL] = "";
    if (m->known < s->rows)
        snprintf(never, sizeof never, "; it comes in %d of %d rows", m->known, s->rows);
    screen_entry(out, "What if?", "%s moves most: from %s (%s) to %s (%s)%s.", a->people.words,
                 value_words(a, at(s, m, m->low), low), place_words(s, m->low, here),
                 value_words(a, at(s, m, m->high), high), place_words(s, m->high, there), never);
}

static void tell_most(const struct sweep *s, const struct sweep_move *m, FILE *out)
{
    if (m->size <= 0.0)
        screen_entry(out, "What if?", "nothing moves: all %d rows answer the same.", s->rows);
    else if (m->known == 0 || m->course == COURSE_SAME)
        tell_spread(s, m, out);
    else
        tell_line(s, m, out);
}

static void tell_money(const struct sweep *s, FILE *out)
{
    const struct sweep_answer *a = &s->answer[ANSWER_MONEY];
    struct sweep_move all[SWEEP_ANSWERS];
    sweep_moves(s, all);
    const struct sweep_move *m = all;
    while (m->answer != ANSWER_MONEY)
        m++;
    char low[SCREEN_CELL], high[SCREEN_CELL], here[SWEEP_ROW_WORDS], there[SWEEP_ROW_WORDS];
    value_words(a, at(s, m, m->low), low);
    value_words(a, at(s, m, m->high), high);
    if (strcmp(low, high) == 0)
        screen_entry(out, "Money", "%s in every row.", low);
    else
        screen_entry(out, "Money", "least %s at %s, most %s at %s.", low,
                     place_words(s, m->low, here), high, place_words(s, m->high, there));
}

static void tell_limits(const struct sweep *s, FILE *out)
{
    const int limits = sweep_answer_named(s, "limits_broken");
    int broken = 0;
    char words[SCREEN_TEXT] = "", here[SWEEP_ROW_WORDS];
    for (int i = 0; i < s->rows; i++) {
        if (!(s->row[i].answer[limits] > 0.0))
            continue;
        if (++broken <= PLACES_SHOWN)
            text_append(words, sizeof words, "%s%s", broken > 1 ? "; " : ": ",
                        place_words(s, i, here));
    }
    if (broken > PLACES_SHOWN)
        text_append(words, sizeof words, "; and others");
    screen_entry(out, "Limits", "broken in %d of %d rows%s.", broken, s->rows,
                 broken < s->rows ? words : "");
}

/* ---- rows -------------------------------------------------------------------------------------
 */

char *sweep_cell(double value, char out[SCREEN_CELL])
{
    if (isnan(value))
        snprintf(out, SCREEN_CELL, "never");
    else
        screen_number(value, out);
    return out;
}

static int width_of(const char *words)
{
    return text_columns(words, strlen(words));
}

static int column_width(const struct sweep *s, int answer, int shown)
{
    int wide = width_of(s->answer[answer].head);
    for (int i = 0; i < shown; i++) {
        char cell[SCREEN_CELL];
        const int w = width_of(sweep_cell(sweep_shown_answer(s, i, answer), cell));
        wide = w > wide ? w : wide;
    }
    return wide;
}

/* How many of the answers that move find room beside the keys. */
static int choose_columns(const struct sweep *s, const struct sweep_move m[], int moving, int shown,
                          int chosen[])
{
    int room = SCREEN_COLUMNS, n = 0;
    for (int k = 0; k < s->parameters; k++) {
        int wide = width_of(s->parameter[k].key);
        for (int i = 0; i < shown; i++)
            wide =
                wide > width_of(s->row[i].point[k].word) ? wide : width_of(s->row[i].point[k].word);
        room -= wide + 2;
    }
    for (int j = 0; j < moving && n + s->parameters < COLUMNS_MOST; j++) {
        const int wide = column_width(s, m[j].answer, shown) + 2;
        if (wide > room)
            continue;
        room -= wide;
        chosen[n++] = m[j].answer;
    }
    return n;
}

static void print_table(const struct sweep *s, const int chosen[], int columns, int shown,
                        FILE *out)
{
    static char cell[ROWS_SHOWN][COLUMNS_MOST][SCREEN_CELL];
    const char *cells[(ROWS_SHOWN + 1) * COLUMNS_MOST];
    const int wide = s->parameters + columns;
    for (int c = 0; c < wide; c++)
        cells[c] =
            c < s->parameters ? s->parameter[c].key : s->answer[chosen[c - s->parameters]].head;
    for (int i = 0; i < shown; i++)
        for (int c = 0; c < wide; c++)
            cells[(i + 1) * wide + c] =
                c < s->parameters
                    ? s->row[i].point[c].word
                    : sweep_cell(sweep_shown_answer(s, i, chosen[c - s->parameters]), cell[i][c]);
    screen_table(out, cells, shown + 1, wide);
}

/* What the plant has not (served water without salt) is in no list. */
void sweep_print_same(const struct sweep *s, const struct sweep_move m[], int moving, FILE *out)
{
    char same[SCREEN_TEXT] = "", never[SCREEN_TEXT] = "";
    for (int j = moving; j < s->answers; j++) {
        const struct sweep_answer *a = &s->answer[m[j].answer];
        char cell[SCREEN_CELL];
        if (m[j].known > 0)
            text_append(same, sizeof same, "%s%s %s", same[0] ? ", " : "", a->head,
                        sweep_cell(at(s, &m[j], m[j].low), cell));
        else if (a->passes)
            text_append(never, sizeof never, "%s%s", never[0] ? ", " : "", a->head);
    }
    if (same[0] != '\0') {
        fputs("  the same in every row: ", out);
        screen_wrap(out, 25, 2, same);
    }
    if (never[0] != '\0') {
        fputs("  never in any row: ", out);
        screen_wrap(out, 20, 2, never);
    }
}

/* What the table has no column for. */
static void tell_rest(const struct sweep *s, const struct sweep_move m[], int moving,
                      const int chosen[], int columns, FILE *out)
{
    char words[SCREEN_TEXT] = "";
    int left = 0;
    for (int j = 0; j < moving; j++) {
        bool there = false;
        for (int c = 0; c < columns; c++)
            there = there || chosen[c] == m[j].answer;
        if (!there)
            text_append(words, sizeof words, "%s%s", left++ > 0 ? ", " : "",
                        s->answer[m[j].answer].head);
    }
    if (left > 0) {
        fputs("  also moving (--format csv): ", out);
        screen_wrap(out, 30, 2, words);
    }
    sweep_print_same(s, m, moving, out);
}

static void print_rows(const struct sweep *s, const struct sweep_move m[], int moving, FILE *out)
{
    int chosen[COLUMNS_MOST];
    const int shown = s->rows < ROWS_SHOWN ? s->rows : ROWS_SHOWN;
    const int columns = choose_columns(s, m, moving, shown, chosen);
    fputs("\nROWS, each a whole run; money first, then what moves most\n", out);
    print_table(s, chosen, columns, shown, out);
    if (shown < s->rows)
        fprintf(out, "  and %d more row%s: --format csv, or sweep.csv of -o DIR\n", s->rows - shown,
                plural(s->rows - shown));
    tell_rest(s, m, moving, chosen, columns, out);
}

/* -----------------------------------------------------------------------------------------------
 */

void sweep_print(const struct sweep *s, FILE *out)
{
    struct sweep_move m[SWEEP_ANSWERS];
    char span[SCREEN_CELL];
    const int moving = sweep_moves(s, m);
    tell_most(s, &m[0], out);
    tell_money(s, out);
    tell_limits(s, out);
    sweep_shown(s, m);
    if (s->options.samples > 0)
        sweep_print_sample(s, m, moving, out);
    else
        print_rows(s, m, moving, out);
    fprintf(out, "  every row meets the same seasons, draws and dated events for %s\n",
            screen_span(s->scenario->plan.length, span));
}
