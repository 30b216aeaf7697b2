/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure_wear: the sheet of wear, from wear.csv and the replacements in events.csv.
 * Page: docs/figures.md.
 */
#include "figure.h"

#include <math.h>
#include <string.h>

#include "rows.h"

enum { ROWS_MAX = 8 }; /* parts with a row of marks: no train has more stages */

/* Names of parts that were replaced, in the order in which they first were. */
struct parts {
    int count;
    char name[ROWS_MAX][WORDS_MAX * 2];
};

/* Row of a part, a new one if it has none yet; -1 if there is no room. */
static int row_of(struct parts *p, const char *text)
{
    char name[WORDS_MAX * 2];

    sheet_clean(text, name, WORDS_MAX);
    for (int i = 0; i < p->count; i++)
        if (strcmp(p->name[i], name) == 0)
            return i;
    if (p->count == ROWS_MAX)
        return -1;
    memcpy(p->name[p->count], name, sizeof name);
    return p->count++;
}

/* Of the name as much is drawn as fits beside the frame. */
static void put_mark(FILE *out, double day, int row, bool first, const char *name)
{
    char shown[WORDS_MAX * 2];

    sheet_clean(name, shown, 22);
    sheet_put(out, "%.7g\t%d\t%d\t%s\n", day, row, first, shown[0] ? shown : "-");
}

/* Marks of the replacements; each part has a row of its own, so that no mark covers another.
 * Returns the rows. */
static int put_replacements(struct sheet *s)
{
    static const char *const name[] = { "day", "kind", "part" };
    struct parts parts = { .count = 0 };
    struct rows c;
    int column[3];
    FILE *out = sheet_open(s, "-marks.dat");

    sheet_put(out, "# day\trow\tfirst of its row\tpart\n");
    if (rows_open(&c, s->results, "events.csv")) {
        if (rows_header(&c, name, 3, column) && column[1] >= 0 && column[2] >= 0)
            while (rows_next(&c)) {
                const double day = rows_number(&c, column[0]);
                if (isnan(day) || column[1] >= c.fields || column[2] >= c.fields ||
                    strcmp(c.field[column[1]], "replace") != 0)
                    continue;
                const int before = parts.count, row = row_of(&parts, c.field[column[2]]);
                if (row >= 0)
                    put_mark(out, day, row, parts.count > before, parts.name[row]);
            }
        rows_close(&c);
    }
    sheet_close(s, out);
    return parts.count;
}

/* Turns a column into per cent of its first value; nothing can be said of one that starts at 0. */
static void relate_to_first(struct thinned *t, int column)
{
    double first = NAN;
    struct thin_bin *bin = &t->bin[column * t->bins];

    for (int i = 0; i < t->bins; i++) {
        if (isnan(first))
            first = thin_mean(bin[i]);
        const double factor = first > 0.0 ? 100.0 / first : NAN;
        bin[i].low *= factor;
        bin[i].high *= factor;
        bin[i].sum *= factor;
        bin[i].count = isnan(factor) ? 0 : bin[i].count;
    }
}

/* Axis over one or two columns, and the last value of each at the end of its line. */
static void axis_of(struct panel *p, const struct thinned *t, const int column[2], double least)
{
    double low = INFINITY, high = -INFINITY;

    for (int i = 0; i < 2; i++) {
        double l, h;
        if (thin_range(t, column[i], &l, &h)) {
            low = fmin(low, l);
            high = fmax(high, h);
        }
    }
    if (low > high) { /* the train has no such part */
        sheet_axis(p, 0.0, 1.0, least);
        sheet_label(p, 0.5 * (p->low + p->high), GREY, "not in this train");
        return;
    }
    sheet_axis(p, low, high, least);
}

enum status figure_wear(struct sheet *s)
{
    static const char *const name[] = { "day",
                                        "standard_flow_percent",
                                        "product_flow_mL_min",
                                        "standard_passage_percent",
                                        "sediment_drop_kPa",
                                        "feed_temperature_degC" };
    static const char *const drawn[] = { "day",
                                         "standard_flow_percent",
                                         "product_flow_percent_of_first",
                                         "standard_passage_percent",
                                         "sediment_drop_kPa",
                                         "feed_temperature_degC" };
    static const int column[][2] = { { 1, 2 }, { 3, 3 }, { 4, 4 }, { 5, 5 } };
    static const double least[] = { 10.0, 10.0, 0.5, 2.0 }; /* narrowest axis */
    struct panel panel[] = {
        { .height = 220 }, { .height = 110 }, { .height = 90 }, { .height = 70 }
    };
    struct thinned t;

    TRY(thin_read(&t, s->results, "wear.csv", name, 6, 0.0));
    relate_to_first(&t, 2);
    sheet_taste(&t, drawn);
    for (int i = 0; i < 4; i++) {
        axis_of(&panel[i], &t, column[i], least[i] * sheet_scale(drawn[column[i][0]]));
        panel[i].unit = i < 2 ? NULL : sheet_unit(drawn[column[i][0]]);
    }
    sheet_label(&panel[0], thin_last(&t, 1), BLUE, "standardised %.0f %%", thin_last(&t, 1));
    sheet_label(&panel[0], thin_last(&t, 2), VERMILION, "as it flows %.0f %%", thin_last(&t, 2));
    sheet_label(&panel[1], thin_last(&t, 3), PURPLE, "passage %.0f %%", thin_last(&t, 3));
    sheet_label(&panel[2], thin_last(&t, 4), GREEN, "%.3g %s", thin_last(&t, 4), panel[2].unit);
    sheet_label(&panel[3], thin_last(&t, 5), BLACK, "%.3g %s", thin_last(&t, 5), panel[3].unit);

    sheet_series(s, &t, drawn);
    const int rows = put_replacements(s);
    const struct thinned span = { .from = t.from > 1.0 ? t.from : 0.0, .to = t.to };
    sheet_axes(s, panel, 4, &span, rows * (LINE + 2));
    sheet_title(s);
    thin_free(&t);
    return STATUS_OK;
}
