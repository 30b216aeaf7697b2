/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * screen: see screen.h.
 */
#include "screen.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "amount.h"
#include "date.h"
#include "text.h"

enum { COLUMNS_MAX = 16 };

static const double DAY = 86400.0; /* s */

bool screen_overwrites(FILE *out)
{
    const char *terminal = getenv("TERM");
    return isatty(fileno(out)) && terminal && strcmp(terminal, "dumb") != 0;
}

bool screen_color(FILE *out, bool unwanted)
{
    const char *none = getenv("NO_COLOR");
    return !unwanted && !(none && none[0] != '\0') && screen_overwrites(out);
}

void screen_wrap(FILE *out, int at, int margin, const char *text)
{
    int column = at > margin ? at : margin;
    bool first = true; /* word of its line */
    fprintf(out, "%*s", column - at, "");
    while (*text != '\0') {
        if (*text == '\n' || *text == ' ') {
            if (*text == '\n') {
                fprintf(out, "\n%*s", margin, "");
                column = margin;
                first = true;
            }
            text++;
            continue;
        }
        const size_t length = strcspn(text, " \n");
        const int width = text_columns(text, length);
        if (!first && column + 1 + width > SCREEN_COLUMNS) {
            fprintf(out, "\n%*s", margin, "");
            column = margin;
            first = true;
        }
        fprintf(out, "%s%.*s", first ? "" : " ", (int)length, text);
        column += width + !first;
        first = false;
        text += length;
    }
    fputc('\n', out);
}

void screen_entry(FILE *out, const char *label, const char *format, ...)
{
    char text[SCREEN_TEXT];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    const int width = text_columns(label, strlen(label));
    fprintf(out, "%s%s", label, width < SCREEN_LABEL ? "" : " ");
    screen_wrap(out, width < SCREEN_LABEL ? width : width + 1, SCREEN_LABEL, text);
}

/* ---- tables -----------------------------------------------------------------------------------
 */

static int cell_width(const char *cell)
{
    char shown[4 * SCREEN_COLUMNS];
    if (!cell)
        return 0;
    text_escape(cell, shown, sizeof shown);
    return text_columns(shown, strlen(shown));
}

static void put_cell(FILE *out, const char *cell, int width, bool left)
{
    char shown[4 * SCREEN_COLUMNS] = "";
    if (cell)
        text_escape(cell, shown, sizeof shown);
    const int rest = width - text_columns(shown, strlen(shown)), gap = rest > 0 ? rest : 0;
    fprintf(out, "%*s%s%*s", left ? 0 : gap, "", shown, left ? gap : 0, "");
}

void screen_table(FILE *out, const char *const cells[], int rows, int columns)
{
    int width[COLUMNS_MAX] = { 0 };
    columns = columns < COLUMNS_MAX ? columns : COLUMNS_MAX;
    for (int i = 0; i < rows * columns; i++) {
        const int w = cell_width(cells[i]);
        if (w > width[i % columns])
            width[i % columns] = w;
    }
    for (int i = 0; i < rows; i++) {
        const char *const *row = &cells[i * columns];
        int last = columns; /* no blanks at the end of a line */
        while (last > 1 && !row[last - 1])
            last--;
        for (int j = 0; j < last; j++) {
            fputs("  ", out);
            put_cell(out, row[j], last > 1 ? width[j] : 0, j == 0);
        }
        fputc('\n', out);
    }
}

/* ---- quantities -------------------------------------------------------------------------------
 */

char *screen_litres(double volume, char out[SCREEN_CELL])
{
    return amount_volume_in(units_taste(), volume, out);
}

char *screen_number(double value, char out[SCREEN_CELL])
{
    enum { DIGITS = 3, PLACES = 6 };
    const double size = fabs(value);
    const int before = size > 0.0 && isfinite(size) ? (int)floor(log10(size)) + 1 : 1;
    const int places = before >= DIGITS ? 0 : DIGITS - before > PLACES ? PLACES : DIGITS - before;
    snprintf(out, SCREEN_CELL, "%.*f", places, value);
    if (strchr(out, '.')) { /* no zeros at its end */
        size_t n = strlen(out);
        while (out[n - 1] == '0')
            out[--n] = '\0';
        if (out[n - 1] == '.')
            out[n - 1] = '\0';
    }
    return out;
}

char *screen_argument(const char *name, char *out, size_t size)
{
    static const char PLAIN[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                "_./+-:@%,=";
    bool control = false;
    for (const char *c = name; *c; c++)
        control |= (unsigned char)*c < ' ' || *c == 0x7f;
    out[0] = '\0';
    text_append(out, size, "%s", name[0] == '-' ? "./" : "");
    if (name[0] != '\0' && name[strspn(name, PLAIN)] == '\0') {
        text_append(out, size, "%s", name);
        return out;
    }
    text_append(out, size, control ? "$'" : "'");
    for (const char *c = name; *c; c++)
        if (control && ((unsigned char)*c < ' ' || *c == 0x7f))
            text_append(out, size, "\\%03o", (unsigned)(unsigned char)*c);
        else if (control && (*c == '\'' || *c == '\\'))
            text_append(out, size, "\\%c", *c);
        else
            text_append(out, size, *c == '\'' ? "'\\''" : "%c", *c);
    text_append(out, size, "'");
    return out;
}

char *screen_span(double seconds, char out[SCREEN_CELL])
{
    static const struct {
        double from, unit;
        const char *name;
    } spans[] = { { 2.0 * 86400.0, 86400.0, "days" },
                  { 2.0 * 3600.0, 3600.0, "h" },
                  { 2.0 * 60.0, 60.0, "min" },
                  { 0.0, 1.0, "s" } };
    int i = 0;
    while (i < 3 && seconds < spans[i].from)
        i++;
    const double n = seconds / spans[i].unit;
    snprintf(out, SCREEN_CELL, n < 999.5 ? "%.3g %s" : "%.0f %s", n, spans[i].name);
    return out;
}

char *screen_day(double day, const char *start, char out[SCREEN_CELL])
{
    double began;
    snprintf(out, SCREEN_CELL, "day %.1f", day);
    if (date_parse(start, &began)) {
        char date[32];
        date_format(began + day * DAY, date, sizeof date);
        text_append(out, SCREEN_CELL, " (%.10s)", date);
    }
    return out;
}
