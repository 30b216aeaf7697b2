/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure: sheets of the figures over time.  Page: docs/figures.md.
 */
#include "figure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "front.h"
#include "rows.h"
#include "thin.h"

/* ---- events ------------------------------------------------------------------------------- */

enum { SPANS_MAX = 512, MARKS_MAX = 512, ROWS_MAX = 3 };

/* Something that stands above the levels: a mark at its day, and words if there is room. */
struct mark {
    double day;
    int row;       /* of its words, -1 without */
    bool leftward; /* words end at the mark */
    enum colour colour;
    char shape;                /* one letter, that the script turns into a shape */
    char text[WORDS_MAX * 2];  /* what is drawn */
    char words[WORDS_MAX * 2]; /* what the file keeps beside it */
};

struct marks {
    int count;
    struct mark mark[MARKS_MAX];
};

static const struct {
    const char *kind;
    char shape;
    enum colour colour;
    bool names_part;
} shown[] = { { "spill", 's', VERMILION, false },
              { "dry", 'd', VERMILION, false },
              { "trip", 't', PURPLE, true },
              { "fault", 'f', PURPLE, true },
              { "replace", 'r', GREEN, true } };

static void add_mark(struct marks *m, const struct rows *c, const int column[])
{
    const char *kind = c->field[column[1]];
    const char *part = column[2] >= 0 && column[2] < c->fields ? c->field[column[2]] : "";
    const char *words = column[3] >= 0 && column[3] < c->fields ? c->field[column[3]] : "";

    for (size_t i = 0; i < sizeof shown / sizeof *shown && m->count < MARKS_MAX; i++) {
        if (strcmp(kind, shown[i].kind) != 0)
            continue;
        struct mark *mark = &m->mark[m->count++];
        char name[WORDS_MAX * 2];
        *mark = (struct mark){ .day = rows_number(c, column[0]),
                               .row = -1,
                               .colour = shown[i].colour,
                               .shape = shown[i].shape };
        sheet_clean(part, name, 24);
        snprintf(mark->text, sizeof mark->text, "%s%s%.80s", kind,
                 shown[i].names_part && name[0] ? " " : "", shown[i].names_part ? name : "");
        sheet_clean(words, mark->words, WORDS_MAX);
    }
}

/* Cuts of power and supply: blocks that begin with "x off" and end with "x on". */
static void put_cut(FILE *out, const struct rows *c, const int column[], const char *what,
                    double *since, double end)
{
    const char *kind = c ? c->field[column[1]] : "";
    const size_t length = strlen(what);
    const double day = c ? rows_number(c, column[0]) : end;
    const bool named = strncmp(kind, what, length) == 0;

    if (named && strcmp(kind + length, " off") == 0 && isnan(*since)) {
        *since = day;
    } else if (!isnan(*since) && (!c || (named && strcmp(kind + length, " on") == 0))) {
        sheet_put(out, "%.7g\t%.7g\n", *since, day);
        *since = NAN;
    }
}

/* Reads events.csv: marks, and the two files of cuts. */
static void read_events(struct sheet *s, struct marks *m, double end)
{
    static const char *const name[] = { "day", "kind", "part", "words" };
    FILE *power = sheet_open(s, "-power.dat"), *supply = sheet_open(s, "-supply.dat");
    double power_since = NAN, supply_since = NAN;
    int column[4];
    struct rows c;

    sheet_put(power, "# power off from day\tto day\n");
    sheet_put(supply, "# supply off from day\tto day\n");
    if (rows_open(&c, s->results, "events.csv")) {
        if (rows_header(&c, name, 4, column) && column[0] >= 0 && column[1] >= 0)
            while (rows_next(&c)) {
                if (column[1] >= c.fields || isnan(rows_number(&c, column[0])))
                    continue;
                put_cut(power, &c, column, "power", &power_since, end);
                put_cut(supply, &c, column, "supply", &supply_since, end);
                add_mark(m, &c, column);
            }
        put_cut(power, NULL, column, "power", &power_since, end);
        put_cut(supply, NULL, column, "supply", &supply_since, end);
        rows_close(&c);
    }
    sheet_close(s, power);
    sheet_close(s, supply);
}

/* Px that words take beside their mark. */
struct extent {
    double from, to;
};

static struct extent extent_of(const struct mark *m, const struct thinned *t, bool leftward)
{
    const double span = t->to > t->from ? t->to - t->from : 1.0;
    const double at = LEFT + (RIGHT - LEFT) * (m->day - t->from) / span;
    const double length = 8.0 + 6.6 * (double)strlen(m->text);

    return leftward ? (struct extent){ at - length, at - 4.0 }
                    : (struct extent){ at + 4.0, at + length };
}

static bool fits(const struct marks *m, const struct thinned *t, struct mark *mark, int row)
{
    const struct extent e = extent_of(mark, t, mark->leftward);

    for (int i = 0; i < m->count; i++) {
        const struct mark *other = &m->mark[i];
        const struct extent o = extent_of(other, t, other->leftward);
        const bool same = other->row >= 0 && strcmp(other->text, mark->text) == 0;
        if (other->row == row && e.from < o.to + 6.0 && o.from < e.to + 6.0)
            return false;
        if (same && fabs(e.from - o.from) < 120.0) /* said once is enough */
            return false;
    }
    return e.from >= 4.0;
}

/* Gives words a row where they fit; the first kinds in `shown` choose first.  Marks without words
 * stand in a row of their own, the lowest.  Returns rows used. */
static int place_marks(struct marks *m, const struct thinned *t)
{
    bool without_words = false;
    int rows = 0;

    for (size_t kind = 0; kind < sizeof shown / sizeof *shown; kind++)
        for (int i = 0; i < m->count; i++) {
            struct mark *mark = &m->mark[i];
            if (mark->shape != shown[kind].shape)
                continue;
            mark->leftward = extent_of(mark, t, false).to > WIDTH - 8.0;
            for (int row = 0; row < ROWS_MAX && mark->row < 0; row++)
                if (fits(m, t, mark, row)) {
                    mark->row = row;
                    rows = row >= rows ? row + 1 : rows;
                }
            without_words |= mark->row < 0;
        }
    return rows + without_words;
}

static void put_marks(struct sheet *s, const struct marks *m, int rows)
{
    FILE *out = sheet_open(s, "-marks.dat");

    sheet_put(out, "# day\ty\tcolour\tshape\tside\ttext\twords\n");
    for (int i = 0; i < m->count; i++) {
        const struct mark *k = &m->mark[i];
        sheet_put(out, "%.7g\t%g\t%d\t%c\t%c\t%s\t%s\n", k->day,
                  rows - 0.5 - (k->row < 0 ? rows - 1 : k->row), k->colour, k->shape,
                  k->row < 0    ? '-'
                  : k->leftward ? 'l'
                                : 'r',
                  k->text, k->words[0] ? k->words : "-");
    }
    sheet_close(s, out);
}

/* ---- the figures -------------------------------------------------------------------------- */

static enum status levels(struct sheet *s)
{
    static const char *const name[] = {
        "day",           "tank_level_cm",       "basin_level_mm",
        "salinity_g_kg", "product_flow_mL_min", "evaporation_L_day"
    };
    static const struct {
        const char *key, *words;
    } line[] = { { "tank_rim_cm", "rim" },
                 { "overflow_lip_cm", "overflow lip" },
                 { "fill_off_cm", "filling stops" },
                 { "fill_on_cm", "filling starts" },
                 { "tank_outlet_cm", "outlet" } };
    struct panel panel[] = {
        { .height = 210 }, { .height = 110 }, { .height = 110 }, { .height = 110 }
    };
    static const double least[] = { 1.0, 2.0, 0.2, 1.0 }; /* narrowest axis */
    struct thinned t;
    struct marks *m = calloc(1, sizeof *m);
    if (!m)
        return STATUS_MEMORY;

    const enum status status = thin_read(&t, s->results, "series.csv", name, 6, 0.0);
    if (status == STATUS_OK) {
        sheet_taste(&t, name);
        double low = 0.0, high = 0.0;
        const bool salt = thin_range(&t, 3, &low, &high) && high > 0.0;
        /* without served water nothing evaporates; an older file does not say */
        const bool served = !thin_range(&t, 5, &low, &high) || low != 0.0 || high != 0.0;
        const int column[] = { 1, served ? 2 : 4, salt ? 3 : 4, 4 };
        const int panels = !served ? 2 : salt ? 4 : 3;
        for (int i = 0; i < panels; i++) {
            low = high = 0.0;
            thin_range(&t, column[i], &low, &high);
            if (i == 0)
                high = 1.04 * fmax(high, fmax(0.0, sheet_limit(s, "tank_rim_cm", NULL)));
            sheet_axis(&panel[i], column[i] == 1 || column[i] == 4 ? 0.0 : low, high,
                       least[column[i] - 1] * sheet_scale(name[column[i]]));
            panel[i].unit = sheet_unit(name[column[i]]);
        }
        FILE *lines = sheet_open(s, "-limits.dat");
        sheet_put(lines, "# panel\ty\tname\n");
        for (size_t i = 0; i < sizeof line / sizeof *line; i++)
            sheet_line(lines, &panel[0], 1, sheet_limit(s, line[i].key, NULL), line[i].words);
        sheet_close(s, lines);
        read_events(s, m, t.to);
        const int rows = place_marks(m, &t);
        put_marks(s, m, rows);
        sheet_series(s, &t, name);
        sheet_axes(s, panel, panels, &t, rows * (LINE + 2));
        sheet_title(s);
        thin_free(&t);
    }
    free(m);
    return status;
}

/* The last reading, as the summary has it, at the end of its line of means: "7" for a whole number
 * as a meter shows it, else three digits. */
static void meter_label(struct panel *p, const struct thinned *t, int column, enum colour colour,
                        const char *name)
{
    const double last = thin_newest(t, column);
    sheet_label(p, thin_last(t, column), colour, last >= 100.0 ? "%s %.0f" : "%s %.3g", name, last);
}

static enum status meters(struct sheet *s)
{
    static const char *const name[] = { "day",
                                        "feed_meter_ppm",
                                        "permeate_meter_ppm",
                                        "product_meter_ppm",
                                        "product_silica_mg_L",
                                        "product_carbon_mg_L_as_CO2" };
    struct panel panel[] = { { .height = 270, .counts = true }, { .height = 170 } };
    struct thinned t;
    double low = 0.0, high = 0.0, most = 0.0;

    TRY(thin_read(&t, s->results, "series.csv", name, 6, 0.0));
    for (int i = 1; i <= 3; i++)
        if (thin_range(&t, i, &low, &high))
            most = fmax(most, high);
    sheet_axis(&panel[0], 0.0, fmax(most, 10.0), 10.0);
    panel[0].high = fmax(most, 10.0) * 1.3;
    most = 0.0;
    for (int i = 4; i <= 5; i++)
        if (thin_range(&t, i, &low, &high))
            most = fmax(most, high);
    sheet_axis(&panel[1], 0.0, most, 0.1);

    meter_label(&panel[0], &t, 1, BLACK, "feed");
    meter_label(&panel[0], &t, 2, BLUE, "permeate");
    meter_label(&panel[0], &t, 3, VERMILION, "product");
    meter_label(&panel[1], &t, 4, PURPLE, "silica");
    meter_label(&panel[1], &t, 5, GREEN, "carbon as CO2");
    FILE *lines = sheet_open(s, "-limits.dat");
    sheet_put(lines, "# panel\ty\tname\n");
    sheet_line(lines, &panel[0], 1, sheet_limit(s, "permeate_limit_ppm", NULL), "permeate limit");
    sheet_line(lines, &panel[0], 1, sheet_limit(s, "product_limit_ppm", NULL), "product limit");
    sheet_close(s, lines);
    sheet_series(s, &t, name);
    sheet_axes(s, panel, 2, &t, 0);
    sheet_title(s);
    thin_free(&t);
    return STATUS_OK;
}

/* Days are joined to fortnights where a year would be a fence of lines. */
static enum status production(struct sheet *s)
{
    static const char *const name[] = { "day", "produced_L", "drained_L", "needed_L",
                                        "feed_temperature_degC" };
    struct panel panel[] = { { .height = 270 }, { .height = 130 } };
    struct thinned t;
    double low = 0.0, high = 0.0, most = 0.0;

    TRY(thin_read(&t, s->results, "daily.csv", name, 5, 0.0));
    if (t.to - t.from > 120.0) {
        thin_free(&t);
        TRY(thin_read(&t, s->results, "daily.csv", name, 5, 14.0));
    }
    sheet_taste(&t, name);
    for (int i = 1; i <= 3; i++) /* means are drawn */
        for (int bin = 0; bin < t.bins; bin++) {
            const double mean = thin_mean(thin_bin(&t, i, bin));
            most = isnan(mean) ? most : fmax(most, mean);
        }
    char each_day[AMOUNT_CELL];
    snprintf(each_day, sizeof each_day, "%ss a day", amount_one());
    sheet_axis(&panel[0], 0.0, most, 1.0);
    panel[0].unit = each_day;
    thin_range(&t, 4, &low, &high);
    sheet_axis(&panel[1], low, high, 1.0);
    panel[1].unit = sheet_unit(name[4]);

    sheet_label(&panel[0], thin_last(&t, 1), BLUE, "made");
    sheet_label(&panel[0], thin_last(&t, 2), GREY, "to the drain");
    sheet_label(&panel[0], thin_last(&t, 3), VERMILION, "needed");
    sheet_series(s, &t, name);
    sheet_axes(s, panel, 2, &t, 0);
    sheet_title(s);
    thin_free(&t);
    return STATUS_OK;
}

const struct figure figure_list[] = {
    { "levels", levels, "series.csv is missing: no figure of it" },
    { "meters", meters, "series.csv is missing: no figure of it" },
    { "production", production, "daily.csv is missing: no figure of it" },
    { "front", front_sheet, "front.csv has no date after the start: no figure of it" },
    { "wear", figure_wear, NULL },
    { "cost", figure_cost, NULL },
    { "pulse", figure_pulse, NULL },
    { "inputs", figure_inputs, NULL },
    { NULL, NULL, NULL }
};
