/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chart: see chart.h.  Page: docs/show.md.
 *
 * A column of letters is a bin of the thinned series: it shows mean, least and greatest, so that no
 * spike is lost however long the series is.
 */
#include "chart.h"

#include <math.h>
#include <string.h>

#include "chart_inner.h"
#include "screen.h"
#include "sheet.h"
#include "text.h"

enum { HIGH_MOST = 16, HIGH_LEAST = 7, AXIS_CELLS = 5 };

/* One panel. */
struct pane {
    struct thinned curve[SERIES_STRETCHES];
    int curves, high;
    double low, top, step; /* of its axis, as shown */
    char cell[HIGH_MOST][CHART_WIDE + 1];
    bool mean, range, joined; /* signs that occur */
};

static double shown(const struct series_unit *u, double stored)
{
    return stored * u->factor + u->offset;
}

/* ---- values in cells --------------------------------------------------------------------------
 */

static int row_of(const struct pane *p, double y)
{
    const int row = (int)floor((p->top - y) / (p->top - p->low) * p->high);
    return row < 0 ? 0 : row >= p->high ? p->high - 1 : row;
}

static void set_axis(struct pane *p, double low, double high)
{
    if (high - low < 1e-9 * fmax(fabs(low), fabs(high)) || high <= low) {
        const double room = fmax(0.5 * fabs(high), 1e-9);
        low = low >= 0.0 ? fmax(low - room, 0.0) : low - room;
        high += room;
    }
    p->step = sheet_step((high - low) / fmax(2.0, p->high / 3.0));
    const double part = 0.25 * p->step; /* ends lie on quarters, so that few rows stay empty */
    p->low = part * floor(low / part + 1e-9);
    p->top = part * ceil(high / part - 1e-9);
}

static void put_range(struct pane *p, const struct series_unit *u, const struct thinned *t, int x)
{
    const struct thin_bin b = thin_bin(t, 1, x);
    const int a = row_of(p, shown(u, b.low)), z = row_of(p, shown(u, b.high));
    for (int row = a < z ? a : z; row <= (a < z ? z : a); row++) {
        p->cell[row][x] = ':';
        p->range |= a != z;
    }
}

/* Where rows are fewer than letters, what lies between two is joined; where rows have no number
 * there is a gap. */
static void join(struct pane *p, const struct series_unit *u, const struct thinned *t, int from,
                 int to)
{
    for (int x = from + 1; x < to; x++)
        if (thin_bin(t, 0, x).count)
            return;
    const double a = shown(u, thin_mean(thin_bin(t, 1, from)));
    const double z = shown(u, thin_mean(thin_bin(t, 1, to)));
    for (int x = from + 1; x < to; x++) {
        char *c = &p->cell[row_of(p, a + (z - a) * (x - from) / (to - from))][x];
        *c = *c == ' ' ? '.' : *c;
        p->joined = true;
    }
}

static void put_curve(struct pane *p, const struct series_unit *u, int k)
{
    const struct thinned *t = &p->curve[k];
    int last = -1;
    for (int x = 0; x < t->bins; x++) {
        if (!thin_bin(t, 1, x).count)
            continue;
        if (p->curves == 1)
            put_range(p, u, t, x);
        if (last >= 0)
            join(p, u, t, last, x);
        const double mean = shown(u, thin_mean(thin_bin(t, 1, x)));
        p->cell[row_of(p, mean)][x] = p->curves > 1 ? (char)('1' + k) : '*';
        last = x;
    }
}

/* ---- a panel ----------------------------------------------------------------------------------
 */

static enum status read_curves(struct pane *p, const struct series *s,
                               const struct series_pick *pick, const double ends[2])
{
    const struct series_file *f = pick->file;
    const char *const name[] = { f->column[f->along].name, f->column[pick->column].name };
    p->curves = f->stretches < SERIES_STRETCHES ? f->stretches : SERIES_STRETCHES;
    for (int k = 0; k < p->curves; k++) {
        const struct thin_wish wish = {
            name, 2, 0.0, ends[0], ends[1], CHART_WIDE, p->curves > 1 ? k : -1
        };
        const enum status status = thin_part(&p->curve[k], s->folder, f->name, &wish);
        if (status != STATUS_OK && status != STATUS_NO_INPUT)
            return status;
    }
    return STATUS_OK;
}

/* Least, greatest, sum and number of what is shown. */
static struct thin_bin all_of(const struct pane *p)
{
    struct thin_bin all = { .low = INFINITY, .high = -INFINITY, .last = NAN };
    for (int k = 0; k < p->curves; k++)
        for (int x = 0; x < p->curve[k].bins; x++) {
            const struct thin_bin b = thin_bin(&p->curve[k], 1, x);
            if (!b.count)
                continue;
            all.low = fmin(all.low, b.low);
            all.high = fmax(all.high, b.high);
            all.sum += b.sum;
            all.count += b.count;
            all.last = b.last;
        }
    return all;
}

static void put_head(const struct series_pick *pick, const struct thin_bin *all, FILE *out)
{
    const char *own = pick->file->column[pick->column].name;
    const struct series_unit u = series_unit_in_taste(own);
    char name[SERIES_NAME * 4], base[SERIES_NAME], low[SCREEN_CELL], high[SCREEN_CELL],
        mean[SCREEN_CELL], last[SCREEN_CELL], line[SCREEN_TEXT] = "";
    snprintf(base, sizeof base, "%.*s", u.base, own);
    text_append(line, sizeof line, "%s%s%s", text_escape(base, name, sizeof name),
                u.words[0] ? ", " : "", u.words);
    if (all->count == 0)
        text_append(line, sizeof line, ": no number here");
    else
        text_append(line, sizeof line, ": %s to %s, mean %s, last %s",
                    chart_number(shown(&u, all->low), low),
                    chart_number(shown(&u, all->high), high),
                    chart_number(shown(&u, all->sum / all->count), mean),
                    chart_number(shown(&u, all->last), last));
    screen_wrap(out, 0, 0, line);
}

static void put_rows(const struct pane *p, FILE *out)
{
    int last = -1;
    char words[HIGH_MOST][SCREEN_CELL] = { "" };
    const int places = (int)fmax(0.0, ceil(-log10(p->step) - 1e-9));
    const double first = p->step * ceil(p->low / p->step - 1e-9);
    for (double y = first; y < p->top + 1e-6 * p->step; y += p->step) {
        const int row = row_of(p, y - 1e-9 * p->step);
        if (row == last)
            continue;
        last = row;
        snprintf(words[row], SCREEN_CELL,
                 fabs(p->top) + fabs(p->low) < 1e7 && places < 6 ? "%.*f" : "%.*g",
                 places < 6 ? places : 4, fabs(y) < 1e-9 * p->step ? 0.0 : y);
    }
    for (int row = 0; row < p->high; row++) {
        int n = CHART_WIDE;
        while (n > 0 && p->cell[row][n - 1] == ' ')
            n--;
        fprintf(out, "%*.*s|%.*s\n", CHART_MARGIN, CHART_MARGIN, words[row], n, p->cell[row]);
    }
}

static void put_signs(const struct pane *p, const struct series_file *f, FILE *out)
{
    char line[SCREEN_TEXT] = "", name[SERIES_NAME * 4];
    for (int k = 0; k < p->curves && p->curves > 1; k++)
        text_append(line, sizeof line, "%s%d: %s", k ? "; " : "", k + 1,
                    text_escape(f->stretch[k], name, sizeof name));
    if (f->stretches > SERIES_STRETCHES)
        text_append(line, sizeof line, "; and %d more, not drawn", f->stretches - SERIES_STRETCHES);
    if (p->curves == 1 && p->range)
        text_append(line, sizeof line, "* mean; : least to greatest");
    if (p->joined)
        text_append(line, sizeof line, "%s. between two rows", line[0] ? "; " : "");
    if (line[0])
        screen_wrap(out, 0, CHART_MARGIN + 1, line);
}

/* A panel: its head, its letters, what they mean. */
static enum status put_pane(struct pane *p, const struct series *s, const struct series_pick *pick,
                            const double ends[2], FILE *out)
{
    const struct series_unit u = series_unit_in_taste(pick->file->column[pick->column].name);
    memset(p->cell, ' ', sizeof p->cell);
    TRY(read_curves(p, s, pick, ends));
    const struct thin_bin all = all_of(p);
    put_head(pick, &all, out);
    if (all.count == 0)
        return STATUS_OK;
    const double a = shown(&u, all.low), z = shown(&u, all.high);
    set_axis(p, fmin(a, z), fmax(a, z));
    for (int k = 0; k < p->curves; k++)
        put_curve(p, &u, k);
    put_rows(p, out);
    return STATUS_OK;
}

/* ---- the axis below ---------------------------------------------------------------------------
 */

static void put_scale(const double ends[2], const char *axis, FILE *out)
{
    const double width = ends[1] - ends[0], step = sheet_step(width / AXIS_CELLS);
    const int places = (int)fmin(fmax(0.0, ceil(-log10(step) - 1e-9)), 9.0);
    char line[CHART_WIDE + 2 * SCREEN_CELL], ruler[CHART_WIDE + 1], name[SERIES_NAME * 4];
    memset(line, ' ', sizeof line);
    memset(ruler, '-', sizeof ruler);
    int end = 0;
    for (double x = step * ceil(ends[0] / step - 1e-9); x <= ends[1] + 1e-9 * width; x += step) {
        char words[SCREEN_CELL];
        const int at = (int)fmin((x - ends[0]) / width * CHART_WIDE, CHART_WIDE - 1.0);
        const int n =
            snprintf(words, sizeof words, "%.*f", places, fabs(x) < 1e-9 * width ? 0.0 : x);
        ruler[at] = '+';
        if (at < end || at + n > CHART_WIDE)
            continue;
        memcpy(&line[at], words, (size_t)n);
        end = at + n + 1;
    }
    fprintf(out, "%*s+%.*s\n", CHART_MARGIN, "", CHART_WIDE, ruler);
    fprintf(out, "%*.*s %.*s\n", CHART_MARGIN, CHART_MARGIN, text_escape(axis, name, sizeof name),
            end > 0 ? end - 1 : 0, line);
}

static const char *axis_of(const struct series_pick *p)
{
    return p->file->along < 0 ? NULL : p->file->column[p->file->along].name;
}

static bool same_axis(const struct series_pick *a, const struct series_pick *b)
{
    return axis_of(a) && axis_of(b) && strcmp(axis_of(a), axis_of(b)) == 0;
}

/* The ends that all picks with this axis share. */
static void find_ends(const struct series_pick pick[], int picks, const struct series_pick *of,
                      const struct chart_wish *wish, double ends[2])
{
    ends[0] = INFINITY;
    ends[1] = -INFINITY;
    for (int i = 0; i < picks; i++) {
        const struct series_column *k = &pick[i].file->column[pick[i].file->along];
        if (!same_axis(&pick[i], of) || k->numbers == 0)
            continue;
        ends[0] = fmin(ends[0], k->least);
        ends[1] = fmax(ends[1], k->greatest);
    }
    if (!isnan(wish->from))
        ends[0] = wish->from;
    if (!isnan(wish->to))
        ends[1] = wish->to;
    if (!(ends[1] > ends[0]))
        ends[1] = ends[0] + 1.0;
}

enum status chart_draw(const struct series *s, const struct series_pick pick[], int picks,
                       const struct chart_wish *wish, FILE *out)
{
    const int high = picks <= 1 ? HIGH_MOST : picks == 2 ? 11 : HIGH_LEAST;
    for (int i = 0; i < picks && !ferror(out); i++) {
        const struct series_file *f = pick[i].file;
        if (!axis_of(&pick[i]) || f->stretches == 0) {
            TRY(chart_bars(s, &pick[i], out));
            continue;
        }
        struct pane p = { .high = high };
        double ends[2];
        find_ends(pick, picks, &pick[i], wish, ends);
        const enum status status = put_pane(&p, s, &pick[i], ends, out);
        const bool last = i + 1 == picks || !same_axis(&pick[i], &pick[i + 1]);
        if (status == STATUS_OK && last)
            put_scale(ends, axis_of(&pick[i]), out);
        if (status == STATUS_OK)
            put_signs(&p, f, out);
        for (int k = 0; k < p.curves; k++)
            thin_free(&p.curve[k]);
        TRY(status);
        if (last && wish->events)
            TRY(chart_events(s, axis_of(&pick[i]), ends, out));
    }
    return STATUS_OK;
}
