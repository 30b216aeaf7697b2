/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure_inputs: the sheet of what a life hangs on, from inputs.csv: a bar for each input, its
 * whole share of the variance with its interval, and in it what it has alone.  Page:
 * docs/figures.md.
 */
#include "figure.h"

#include <math.h>

#include "rows.h"

enum { BARS_MAX = 20, BAR_HIGH = 26 /* px */ };

static const double LEAST_END = 110.0; /* % */

enum { INPUT, TOTAL, TOTAL_LOW, TOTAL_HIGH, FIRST, COLUMNS };

static const char *const name[COLUMNS] = { "input", "total", "total_low", "total_high", "first" };

/* A bar, numbered from the top, in percent; *most is as far as a bar or an interval reaches. */
static int put_bars(FILE *out, struct rows *c, const int column[], double *most)
{
    int bars = 0;
    sheet_put(out, "# bar\ttotal\tlow\thigh\talone\tinput\n");
    while (rows_next(c) && bars < BARS_MAX) {
        char input[WORDS_MAX * 2];
        const double total = rows_number(c, column[TOTAL]);
        if (isnan(total) || column[INPUT] >= c->fields)
            continue;
        sheet_clean(c->field[column[INPUT]], input, 36);
        *most = fmax(*most, 100.0 * fmax(total, rows_number(c, column[TOTAL_HIGH])));
        *most = fmax(*most, 100.0 * rows_number(c, column[FIRST]));
        sheet_put(out, "%d\t%.9g\t%.9g\t%.9g\t%.9g\t%s\n", ++bars, 100.0 * total,
                  100.0 * rows_number(c, column[TOTAL_LOW]),
                  100.0 * rows_number(c, column[TOTAL_HIGH]),
                  100.0 * fmax(rows_number(c, column[FIRST]), 0.0), input[0] ? input : "-");
    }
    return bars;
}

/* The axis ends at 110 % (all of the variance, and room), or where an interval does. */
static void put_frame(struct sheet *s, int bars, double most)
{
    struct panel axis = { .height = 400 };
    sheet_axis(&axis, 0.0, most, 1.0);
    const double end = most <= LEAST_END ? LEAST_END : axis.high;
    const int high = TITLE_HIGH + BAR_HIGH * bars + FOOT;
    FILE *out = sheet_open(s, "-labels.dat");
    sheet_put(out, "# words under the title\n"
                   "What the life hangs on: share of its variance, %%, with 90 %% intervals; dark: "
                   "alone\n");
    sheet_close(s, out);
    out = sheet_open(s, ".par");
    sheet_put(out, "# number of bars and places in the figure\n");
    sheet_put(out, "bars = %d\nhigh = %d\nwide = %d\nleft = %d\nright = %d\n", bars, high, WIDTH,
              3 * LEFT + 24, RIGHT);
    sheet_put(out, "xmax = %.9g\nxstep = %.9g\n", end, fmax(axis.step, 20.0));
    sheet_put(out, "top1 = %.6f\nlow1 = %.6f\n", 1.0 - (double)TITLE_HIGH / high,
              (double)FOOT / high);
    sheet_close(s, out);
}

enum status figure_inputs(struct sheet *s)
{
    struct rows c;
    int column[COLUMNS], bars = 0;
    double most = 0.0;
    if (!rows_open(&c, s->results, "inputs.csv"))
        return STATUS_NO_INPUT;
    bool whole = rows_header(&c, name, COLUMNS, column);
    for (int i = 0; whole && i < COLUMNS; i++)
        whole = column[i] >= 0;
    if (whole) {
        FILE *out = sheet_open(s, ".dat");
        bars = put_bars(out, &c, column, &most);
        sheet_close(s, out);
    }
    rows_close(&c);
    if (bars == 0)
        return STATUS_NO_INPUT;
    put_frame(s, bars, most);
    sheet_title(s);
    return STATUS_OK;
}
