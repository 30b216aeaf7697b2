/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_sheet: the sheets of the figures of a sweep: the answers that move, as small multiples over
 * one key or the parameters of a sample (sweep.gp), or as maps over two keys (map.gp).  Pages:
 * docs/sweep.md, docs/figures.md.
 */
#include <math.h>
#include <string.h>

#include "screen.h"
#include "sweep.h"
#include "text.h"

enum {
    ACROSS = 3,
    PANELS_MAX = 9,
    PITCH = 285, /* px from one panel to the next */
    PANEL_WIDE = 200,
    PANEL_HIGH = 150,
    MAP_HIGH = 190,
    HEAD_HIGH = 46,
    AXIS_HIGH = 60,
    CELLS_LETTERED = 6, /* along a side: numbers in every cell */
    CELL_WIDE = 6,      /* characters */
    TICS = 6
};

const struct figure sweep_figures[] = { { "sweep", sweep_over_key,
                                          "no answer moves: there is nothing to draw" },
                                        { "map", sweep_map, NULL },
                                        { NULL, NULL, NULL } };

static void put_file(struct sheet *s, const char *ending, const char *words)
{
    char clean[WORDS_MAX * 2];
    FILE *out = sheet_open(s, ending);
    sheet_clean(words, clean, WORDS_MAX);
    sheet_put(out, "# words\n%s\n", clean[0] ? clean : " ");
    sheet_close(s, out);
}

/* Places of panels, as shares of the sheet. */
static int put_frames(FILE *par, int panels, int panel_high)
{
    const int down = (panels + ACROSS - 1) / ACROSS;
    const int pitch = HEAD_HIGH + panel_high + AXIS_HIGH;
    const int high = TITLE_HIGH + down * pitch;
    sheet_put(par, "# axes and places in the figure; the script beside reads them\n");
    sheet_put(par, "panels = %d\nhigh = %d\nwide = %d\nhead = %d\n", panels, high, WIDTH,
              HEAD_HIGH);
    for (int k = 0; k < panels; k++) {
        const int left = LEFT + (k % ACROSS) * PITCH;
        const int top = TITLE_HIGH + (k / ACROSS) * pitch + HEAD_HIGH;
        sheet_put(par, "left%d = %d\nright%d = %d\ntop%d = %d\nlow%d = %d\n", k + 1, left, k + 1,
                  left + PANEL_WIDE, k + 1, top, k + 1, top + panel_high);
    }
    return high;
}

static void put_head(FILE *out, const struct sweep *w, const struct sweep_move *m, const char *key)
{
    const struct sweep_answer *a = &w->answer[m->answer];
    char words[WORDS_MAX * 2], unit[WORDS_MAX * 2], name[WORDS_MAX * 2];
    sheet_clean(a->people.words, words, 44);
    sheet_clean(a->people.unit, unit, 20);
    sheet_clean(key, name, 40);
    sheet_put(out, "%s\t%s\t%s\n", words, unit[0] ? unit : " ", name[0] ? name : " ");
}

static double value_of(const struct sweep *w, const struct sweep_move *m, int row)
{
    return sweep_shown_answer(w, row, m->answer);
}

/* ---- over one key -----------------------------------------------------------------------------
 */

/* Words stand at 1, 2, 3. */
static double x_of(const struct sweep *w, int row, int parameter)
{
    return w->parameter[parameter].numbers ? w->row[row].point[parameter].number : row + 1.0;
}

static void put_panel(struct sheet *s, FILE *par, FILE *out, const struct sweep_move *m, int number,
                      int parameter)
{
    const struct sweep *w = s->source;
    const bool log = w->parameter[parameter].log;
    double least = INFINITY, most = -INFINITY;
    for (int i = 0; i < w->rows; i++) {
        const double x = x_of(w, i, parameter);
        least = fmin(least, x);
        most = fmax(most, x);
        sheet_put(out, "%d\t", number);
        sheet_number(out, x);
        sheet_number(out, value_of(w, m, i));
        sheet_put(out, "\n");
    }
    struct panel y = { .height = PANEL_HIGH };
    sheet_axis(&y, value_of(w, m, m->low), value_of(w, m, m->high), 0.0);
    const double margin = log ? pow(most / least, 0.04) : 0.04 * (most - least);
    sheet_put(par, "ymin%d = %.9g\nymax%d = %.9g\nystep%d = %.9g\n", number, y.low, number, y.high,
              number, y.step);
    sheet_put(par, "xmin%d = %.9g\nxmax%d = %.9g\nxlog%d = %d\n", number,
              log ? least / margin : least - margin, number, log ? most * margin : most + margin,
              number, log);
    sheet_put(par, "xstep%d = %.9g\n", number, sheet_step((most - least) / 4.0));
}

/* Words below the axis; a file must not be empty, so one stands outside. */
static void put_tics(struct sheet *s)
{
    const struct sweep *w = s->source;
    const int stride = (w->rows + TICS - 1) / TICS;
    FILE *out = sheet_open(s, "-tics.dat");
    sheet_put(out, "# x\tword\n-1000000\t \n");
    for (int i = 0; !w->parameter[0].numbers && i < w->rows; i += stride) {
        char word[WORDS_MAX * 2];
        sheet_clean(w->row[i].point[0].word, word, 14);
        sheet_put(out, "%d\t%s\n", i + 1, word);
    }
    sheet_close(s, out);
}

/* Along one key each answer has a panel; a sample shows the first answers over every parameter. */
static int choose_panels(const struct sweep *w, int moving, int answer[], int parameter[])
{
    int n = 0;
    for (int j = 0; j < moving && n < PANELS_MAX; j++)
        for (int k = 0; k < w->parameters && n < PANELS_MAX; k++) {
            answer[n] = j;
            parameter[n++] = k;
        }
    return n;
}

enum status sweep_over_key(struct sheet *s)
{
    const struct sweep *w = s->source;
    struct sweep_move m[SWEEP_ANSWERS];
    int answer[PANELS_MAX], parameter[PANELS_MAX];
    const int moving = sweep_shown(w, m);
    if (moving == 0 || (w->parameters > 1 && w->options.samples == 0))
        return STATUS_NO_INPUT;
    const int panels = choose_panels(w, moving, answer, parameter);

    FILE *par = sheet_open(s, ".par"), *out = sheet_open(s, ".dat");
    FILE *heads = sheet_open(s, "-heads.dat");
    put_frames(par, panels, PANEL_HIGH);
    sheet_put(par, "lines = %d\nwords = %d\n", w->options.samples == 0 && w->parameter[0].numbers,
              !w->parameter[0].numbers);
    sheet_put(out, "# panel\tkey\tanswer\n");
    sheet_put(heads, "# answer\tunit\tkey\n");
    for (int n = 0; n < panels; n++) {
        const struct sweep_parameter *p = &w->parameter[parameter[n]];
        char key[PATH_LENGTH + UNITS_TEXT + 4];
        snprintf(key, sizeof key, "%s%s%s", p->key, p->unit[0] ? ", " : "", p->unit);
        put_panel(s, par, out, &m[answer[n]], n + 1, parameter[n]);
        put_head(heads, w, &m[answer[n]], key);
    }
    sheet_close(s, par);
    sheet_close(s, out);
    sheet_close(s, heads);
    put_tics(s);
    put_file(s, "-title.dat", w->scenario->plan.title);
    return STATUS_OK;
}

/* ---- over two keys ----------------------------------------------------------------------------
 */

/* Light is little, dark is much; numbers on it in black or white. */
static void put_cell(FILE *out, const struct sweep *w, const struct sweep_move *m, int row,
                     bool lettered)
{
    const double value = value_of(w, m, row), low = value_of(w, m, m->low),
                 high = value_of(w, m, m->high);
    const double share = high > low ? (value - low) / (high - low) : 0.0;
    const int grey = isnan(value) ? 255 : (int)(240.0 - 170.0 * share);
    char number[SCREEN_CELL] = "never";
    if (!isnan(value) && strlen(screen_number(value, number)) > CELL_WIDE && value < 1.0)
        snprintf(number, sizeof number, "%.1g", value);
    sheet_put(out, "%d\t%d\t%s\n", grey * 0x10101, grey < 140 ? 0xffffff : 0x000000,
              lettered ? number : " ");
}

static void put_map(FILE *out, const struct sweep *w, const struct sweep_move *m, int number)
{
    const int nx = w->vary[1].count, ny = w->vary[0].count;
    const int step_x = (nx + CELLS_LETTERED - 1) / CELLS_LETTERED;
    const int step_y = (ny + 2 * CELLS_LETTERED - 1) / (2 * CELLS_LETTERED);
    for (int i = 0; i < ny; i++)
        for (int j = 0; j < nx; j++) {
            sheet_put(out, "%d\t%d\t%d\t", number, j + 1, i + 1);
            put_cell(out, w, m, i * nx + j, j % step_x == 0 && i % step_y == 0);
        }
}

static void put_axis(FILE *out, const struct vary *v, char axis)
{
    const int most = axis == 'x' ? 5 : 10, stride = (v->count + most - 1) / most;
    for (int i = 0; i < v->count; i += stride) {
        char word[WORDS_MAX * 2], number[SCREEN_CELL];
        if (v->numbers)
            snprintf(word, sizeof word, "%s", screen_number(v->point[i].number, number));
        else
            sheet_clean(v->point[i].word, word, 9);
        sheet_put(out, "%c\t%d\t%s\n", axis, i + 1, word);
    }
}

enum status sweep_map(struct sheet *s)
{
    const struct sweep *w = s->source;
    struct sweep_move m[SWEEP_ANSWERS];
    const int moving = sweep_shown(w, m), panels = moving < PANELS_MAX ? moving : PANELS_MAX;
    if (moving == 0 || w->parameters != 2 || w->options.samples > 0)
        return STATUS_NO_INPUT;
    const struct vary *down = &w->vary[0], *across = &w->vary[1];
    char words[2 * PATH_LENGTH + 2 * UNITS_TEXT + 40] = "";

    FILE *par = sheet_open(s, ".par"), *out = sheet_open(s, ".dat");
    FILE *heads = sheet_open(s, "-heads.dat"), *tics = sheet_open(s, "-tics.dat");
    put_frames(par, panels, MAP_HIGH);
    sheet_put(par, "across = %d\ndown = %d\n", across->count, down->count);
    sheet_put(out, "# panel\tacross\tup\tgrey\tcolour of words\twords\n");
    sheet_put(heads, "# answer\tunit\tkey\n");
    sheet_put(tics, "# axis\tplace\tword\n");
    for (int n = 0; n < panels; n++) {
        put_map(out, w, &m[n], n + 1);
        put_head(heads, w, &m[n], "");
    }
    put_axis(tics, across, 'x');
    put_axis(tics, down, 'y');
    sheet_close(s, par);
    sheet_close(s, out);
    sheet_close(s, heads);
    sheet_close(s, tics);
    put_file(s, "-title.dat", w->scenario->plan.title);
    text_append(words, sizeof words, "across: %s%s%s; up: %s%s%s; darker is more", across->key,
                across->unit[0] ? ", " : "", across->unit, down->key, down->unit[0] ? ", " : "",
                down->unit);
    put_file(s, "-words.dat", words);
    return STATUS_OK;
}
