/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure_pulse: the sheet of the start-up salt, from pulse.csv: the reading behind the membrane in
 * the first minutes after rests of several lengths.  Page: docs/figures.md.
 */
#include "figure.h"

#include <math.h>

#include "rows.h"

/* As many lines as there are colours and dashes that can be told apart. */
static const enum colour colours[] = { BLUE, GREEN, PURPLE, VERMILION, BLACK, GREY };

enum { LINES_MAX = sizeof colours / sizeof *colours };

struct pulse {
    int lines;
    double to, most; /* last second, greatest reading */
};

/* Names a line by its rest, where it begins: there the lines are farthest apart. */
static void name_line(struct panel *p, double reading, enum colour colour, double hours)
{
    if (hours < 1.0)
        sheet_label(p, reading, colour, "%.3g min", 60.0 * hours);
    else
        sheet_label(p, reading, colour, "%.3g h", hours);
}

/* Copies the blocks; an empty line ends one. */
static void read_pulse(struct pulse *k, struct rows *c, FILE *out, struct panel *p)
{
    static const char *const name[] = { "second", "permeate_ppm", "rest_h" };
    int column[3];
    bool within = false;

    if (!rows_header(c, name, 3, column))
        return;
    while (rows_next(c)) {
        const double second = rows_number(c, column[0]), reading = rows_number(c, column[1]);
        if (c->fields == 0 && !c->comment)
            within = false;
        if (isnan(second) || isnan(reading) || (!within && k->lines == LINES_MAX))
            continue;
        if (!within) {
            sheet_put(out, "%s", k->lines > 0 ? "\n\n" : "");
            name_line(p, reading, colours[k->lines++], rows_number(c, column[2]));
        }
        within = true;
        sheet_put(out, "%.7g\t%.7g\t%.4g\n", second, reading, rows_number(c, column[2]));
        k->to = fmax(k->to, second);
        k->most = fmax(k->most, reading);
    }
}

enum status figure_pulse(struct sheet *s)
{
    struct panel panel = { .height = 360, .counts = true };
    struct pulse k = { .lines = 0 };
    struct rows c;

    if (!rows_open(&c, s->results, "pulse.csv"))
        return STATUS_NO_INPUT;
    FILE *out = sheet_open(s, ".dat");
    sheet_put(out, "# second\tpermeate_ppm\trest_h\n");
    read_pulse(&k, &c, out, &panel);
    sheet_close(s, out);
    rows_close(&c);
    if (k.lines == 0 || k.to <= 0.0)
        return STATUS_NO_INPUT;

    panel.high = 1.3 * fmax(k.most, 10.0);
    panel.step = 1.0; /* the script has tics of its own */
    FILE *limit = sheet_open(s, "-limits.dat");
    const double reading = sheet_limit(s, "permeate_limit_ppm", NULL);
    sheet_put(limit, "# y\tname\n");
    if (reading <= panel.high)
        sheet_put(limit, "%.9g\tpermeate limit\n", reading);
    sheet_close(s, limit);
    const struct thinned span = { .from = -0.1 * k.to, .to = k.to }; /* names stand before 0 */
    sheet_axes(s, &panel, 1, &span, LINE);
    sheet_title(s);
    return STATUS_OK;
}
