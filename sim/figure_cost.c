/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure_cost: the sheet of what a run cost, from cost.csv: a bar for each row, in its order.
 * Page: docs/figures.md.
 */
#include "figure.h"

#include <math.h>
#include <string.h>

#include "rows.h"

enum { BARS_MAX = 40, BAR_HIGH = 26 /* px */ };

struct bill {
    int bars;
    double total, most;
    bool mixed; /* more than one currency: there is no total */
    char currency[WORDS_MAX * 2];
};

/* A bar, numbered from the top.  The most that is taken from a name is what fits beside the bar. */
static void put_bar(FILE *out, struct bill *b, const struct rows *c, const int column[])
{
    const double amount = rows_number(c, column[1]);
    char part[WORDS_MAX * 2], currency[WORDS_MAX * 2] = "";

    if (isnan(amount) || column[0] >= c->fields || b->bars == BARS_MAX)
        return;
    sheet_clean(c->field[column[0]], part, 24);
    if (column[2] >= 0 && column[2] < c->fields)
        sheet_clean(c->field[column[2]], currency, 12);
    if (b->bars == 0)
        memcpy(b->currency, currency, sizeof currency);
    b->mixed |= strcmp(b->currency, currency) != 0;
    b->total += amount;
    b->most = fmax(b->most, amount);
    sheet_put(out, "%d\t%.9g\t%s\t%.2f %s\n", ++b->bars, amount, part[0] ? part : "-", amount,
              currency);
}

static void put_total(struct sheet *s, const struct bill *b)
{
    FILE *out = sheet_open(s, "-labels.dat");

    sheet_put(out, "# words under the title\n");
    if (b->mixed)
        sheet_put(out, "What the run cost\n");
    else
        sheet_put(out, "What the run cost: %.2f %s in all\n", b->total, b->currency);
    sheet_close(s, out);
}

enum status figure_cost(struct sheet *s)
{
    static const char *const name[] = { "part", "amount", "currency" };
    struct bill b = { .bars = 0 };
    struct rows c;
    int column[3];

    if (!rows_open(&c, s->results, "cost.csv"))
        return STATUS_NO_INPUT;
    if (rows_header(&c, name, 3, column) && column[0] >= 0 && column[1] >= 0) {
        FILE *out = sheet_open(s, ".dat");
        sheet_put(out, "# bar\tamount\tpart\twords\n");
        while (rows_next(&c))
            put_bar(out, &b, &c, column);
        sheet_close(s, out);
    }
    rows_close(&c);
    if (b.bars == 0)
        return STATUS_NO_INPUT;

    struct panel bars = { .height = BAR_HIGH * b.bars };
    sheet_axis(&bars, 0.0, b.most, 1.0);
    put_total(s, &b);
    const int high = TITLE_HIGH + bars.height + FOOT;
    FILE *par = sheet_open(s, ".par");
    sheet_put(par, "# number of bars, the axis and places in the figure\n");
    sheet_put(par, "bars = %d\nxmax = %.9g\nxstep = %.9g\n", b.bars, bars.high,
              sheet_step(bars.high / 8.0));
    sheet_put(par, "high = %d\nwide = %d\nleft = %d\nright = %d\ntop1 = %.6f\nlow1 = %.6f\n", high,
              WIDTH, 2 * LEFT + 24, RIGHT, 1.0 - (double)TITLE_HIGH / high, (double)FOOT / high);
    sheet_close(s, par);
    sheet_title(s);
    return STATUS_OK;
}
