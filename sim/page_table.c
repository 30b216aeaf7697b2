/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_table: tables of a page, each in a box that moves sideways by itself, and answers in words.
 * Page: docs/page.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "page.h"
#include "screen.h"
#include "text.h"

enum { COLUMNS_MAX = 20, ROWS_SHOWN = 400 };

static const double HOUR = 3600.0; /* s */

/* ---- boxes and rows ---------------------------------------------------------------------------
 */

void page_box(struct page *p, const char *label)
{
    fputs("<section class=\"box\" tabindex=\"0\" aria-label=\"", p->out);
    page_text(p->out, label);
    fputs("\">\n", p->out);
}

void page_box_end(struct page *p)
{
    fputs("</section>\n", p->out);
}

void page_table_head(struct page *p, const char *caption, const char *const columns[],
                     const char *right)
{
    page_box(p, caption);
    fputs("<table>\n<caption>", p->out);
    page_text(p->out, caption);
    fputs("</caption>\n<thead><tr>", p->out);
    for (int i = 0; columns[i] != NULL; i++) {
        fputs(right[i] == 'r' ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">", p->out);
        page_text(p->out, columns[i]);
        fputs("</th>", p->out);
    }
    fputs("</tr></thead>\n<tbody>\n", p->out);
}

void page_table_end(struct page *p)
{
    fputs("</tbody>\n</table>\n", p->out);
    page_box_end(p);
}

/* A date, which is not broken at its hyphens. */
static bool is_date(const char *text)
{
    return strlen(text) >= 10 && strlen(text) <= 16 && text[4] == '-' && text[7] == '-' &&
           strspn(text, "0123456789-: ") == strlen(text);
}

void page_table_row(struct page *p, const char *const cells[], int count, const char *right)
{
    fputs("<tr>", p->out);
    for (int i = 0; i < count; i++) {
        fputs(i == 0 ? "<th scope=\"row\"" : "<td", p->out);
        fputs(right[i] == 'r'     ? " class=\"n\">"
              : is_date(cells[i]) ? " class=\"d\">"
                                  : ">",
              p->out);
        page_cell(p->out, cells[i]);
        fputs(i == 0 ? "</th>" : "</td>", p->out);
    }
    fputs("</tr>\n", p->out);
}

/* ---- tables from files ------------------------------------------------------------------------
 */

/* To two digits, as no chance is known better. */
static double rounded(double value)
{
    const double scale = pow(10.0, floor(log10(value)) - 1.0);
    return scale * round(value / scale);
}

/* "once in 38 years" from times a year */
static void show_often(double value, char out[SCREEN_CELL])
{
    char number[SCREEN_CELL];
    if (!(value > 0.0))
        snprintf(out, SCREEN_CELL, "never");
    else if (value < 1.0)
        snprintf(out, SCREEN_CELL, "once in %s years", screen_number(rounded(1.0 / value), number));
    else
        snprintf(out, SCREEN_CELL, "%s times a year", screen_number(rounded(value), number));
}

/* What a column holds whose unit follows the taste; AMOUNT_COUNT: nothing of the kind. */
static enum amount kind_of(const char *column)
{
    size_t stem;
    return strcmp(column, "litres") == 0 ? AMOUNT_WATER : amount_of_column(column, &stem);
}

/* A cell as it is shown: "" for none. */
static const char *show(const char *cell, int shown, enum amount kind, char out[SCREEN_CELL])
{
    char *end, number[SCREEN_CELL];
    double value = strtod(cell, &end);
    if (kind != AMOUNT_COUNT) {
        value = amount_number(kind, value);
        shown += shown >= 0 ? amount_unit_in(units_taste(), kind).places : 0;
    }
    if (shown == PAGE_AS_IT_IS || end == cell)
        return cell;
    if (!isfinite(value))
        return "";
    if (shown == PAGE_PERCENT)
        snprintf(out, SCREEN_CELL, "%s %%", screen_number(100.0 * value, number));
    else if (shown == PAGE_HOURS)
        screen_span(HOUR * value, out);
    else if (shown == PAGE_YEARLY)
        show_often(value, out);
    else if (shown == PAGE_YES_NO)
        snprintf(out, SCREEN_CELL, value != 0.0 ? "yes" : "no");
    else if (shown == PAGE_DIGITS && value != 0.0 && fabs(value) < 1e-3)
        snprintf(out, SCREEN_CELL, "%.2e", value);
    else if (shown == PAGE_DIGITS)
        screen_number(value, out);
    else
        snprintf(out, SCREEN_CELL, "%.*f", shown, value);
    return out;
}

struct layout {
    int columns, place[COLUMNS_MAX], shown[COLUMNS_MAX];
    enum amount kind[COLUMNS_MAX];
    const char *heading[COLUMNS_MAX + 1];
    char words[COLUMNS_MAX][SCREEN_CELL]; /* of headings with a unit of the taste */
    char right[COLUMNS_MAX];
    int ranked, where;
};

static void add_column(struct layout *l, int place, const struct page_column *c)
{
    if (place < 0 || l->columns == COLUMNS_MAX)
        return;
    const int i = l->columns++;
    l->place[i] = place;
    l->shown[i] = c->shown;
    l->right[i] = c->shown == PAGE_AS_IT_IS ? 'l' : 'r';
    l->kind[i] = c->shown == PAGE_AS_IT_IS ? AMOUNT_COUNT : kind_of(c->name);
    l->heading[i] = c->heading;
    if (l->kind[i] == AMOUNT_COUNT)
        return;
    snprintf(l->words[i], SCREEN_CELL, "%.*s, %s", (int)strcspn(c->heading, ","), c->heading,
             amount_unit(l->kind[i]));
    l->heading[i] = l->words[i];
}

static int place_of(const struct rows *rows, const char *name)
{
    int place = -1;
    if (name)
        rows_columns(rows, &name, 1, &place);
    return place;
}

/* Columns as the first line of the file has them; keys of a scenario hold a point and no other name
 * does so before the first answer. */
static void lay_out(struct layout *l, const struct page_table *t, const struct rows *head)
{
    *l = (struct layout){ .ranked = place_of(head, t->ranked), .where = place_of(head, t->where) };
    for (const struct page_column *c = t->columns; c->name; c++) {
        add_column(l, place_of(head, c->name), c);
        for (int i = 1; t->keys && c == t->columns && i < head->fields; i++) {
            if (!strchr(head->field[i], '.'))
                break;
            add_column(l, i,
                       &(struct page_column){ head->field[i], head->field[i], PAGE_AS_IT_IS });
        }
    }
}

static void put_row(struct page *p, const struct layout *l, const struct rows *rows)
{
    char text[COLUMNS_MAX][SCREEN_CELL];
    const char *cells[COLUMNS_MAX];
    for (int i = 0; i < l->columns; i++)
        cells[i] = l->place[i] < rows->fields
                       ? show(rows->field[l->place[i]], l->shown[i], l->kind[i], text[i])
                       : "";
    page_table_row(p, cells, l->columns, l->right);
}

/* Whether a row is wanted: number `rank` of those that have a rank, or any. */
static bool is_wanted(const struct layout *l, const struct page_table *t, const struct rows *rows,
                      int rank)
{
    if (rows->fields == 0)
        return false;
    if (l->where >= 0 && (l->where >= rows->fields || strcmp(rows->field[l->where], t->is) != 0))
        return false;
    return l->ranked < 0 ||
           (l->ranked < rows->fields && strtol(rows->field[l->ranked], NULL, 10) == rank);
}

/* Writes the rows of a rank, or all; how many. */
static int put_rows(struct page *p, const struct page_part *part, const struct page_table *t,
                    int rank)
{
    struct rows rows;
    struct layout l;
    int count = 0;
    if (!page_folder_rows(part, t->file, &rows) || !rows_next(&rows)) {
        rows_close(&rows);
        return 0;
    }
    lay_out(&l, t, &rows);
    if (rank == 1)
        page_table_head(p, t->caption, l.heading,
                        l.right); /* before the next line takes the place of the names */
    while (rows_next(&rows) && count < ROWS_SHOWN)
        if (is_wanted(&l, t, &rows, rank)) {
            put_row(p, &l, &rows);
            count++;
        }
    rows_close(&rows);
    return count;
}

/* Whether a table would have any row. */
static bool has_rows(const struct page_part *part, const struct page_table *t)
{
    struct rows rows;
    struct layout l;
    bool found = false;
    if (page_folder_rows(part, t->file, &rows) && rows_next(&rows)) {
        lay_out(&l, t, &rows);
        while (!found && rows_next(&rows))
            found = is_wanted(&l, t, &rows, 1);
    }
    rows_close(&rows);
    return found;
}

void page_csv(struct page *p, const struct page_part *part, const struct page_table *t)
{
    if (!has_rows(part, t))
        return;
    const int first = put_rows(p, part, t, 1);
    for (int rank = 2; t->ranked && first > 0 && rank <= ROWS_SHOWN; rank++)
        if (put_rows(p, part, t, rank) == 0)
            break;
    page_table_end(p);
}

/* ---- answers in words -------------------------------------------------------------------------
 */

/* "Label       words" of screen_entry, a label alone in its line included. */
static bool is_entry(const char *line, size_t n)
{
    return n > SCREEN_LABEL && line[0] != ' ' && line[SCREEN_LABEL - 1] == ' ' &&
           line[SCREEN_LABEL] != ' ';
}

static void put_span(struct page *p, const char *text, size_t n)
{
    char line[SCREEN_TEXT];
    while (n > 0 && *text == ' ') {
        text++;
        n--;
    }
    snprintf(line, sizeof line, "%.*s", (int)n, text);
    page_text(p->out, line);
}

/* The words of an entry from `line` on; returns what follows it. */
static const char *put_entry(struct page *p, const char *line)
{
    size_t n = strcspn(line, "\n");
    size_t label = SCREEN_LABEL;
    while (label > 0 && line[label - 1] == ' ')
        label--;
    fputs("<dt>", p->out);
    put_span(p, line, label);
    fputs("</dt><dd>", p->out);
    put_span(p, line + SCREEN_LABEL, n - SCREEN_LABEL);
    for (line += n; line[0] == '\n' && line[1] == ' '; line += n) {
        line++;
        n = strcspn(line, "\n");
        fputs(strspn(line, " ") == SCREEN_LABEL ? " " : "<br />",
              p->out); /* a list is set in less */
        put_span(p, line, n);
    }
    fputs("</dd>\n", p->out);
    return line[0] == '\n' ? line + 1 : line;
}

/* Where the answer begins in the words of a part. */
static const char *answer_of(const struct page_part *part)
{
    const struct page_file *f = page_folder_file(part, part->kind->words);
    const char *at = f ? f->bytes : "";
    for (int i = 0; i < part->kind->skip; i++) {
        const char *blank = strstr(at, "\n\n");
        at = blank ? blank + 2 : at;
    }
    return at;
}

void page_answer(struct page *p, const struct page_part *part)
{
    const char *at = answer_of(part);
    const bool entries = is_entry(at, strcspn(at, "\n"));
    if (entries)
        fputs("<dl class=\"answer\">\n", p->out);
    while (is_entry(at, strcspn(at, "\n")))
        at = put_entry(p, at);
    if (entries)
        fputs("</dl>\n", p->out);
}

void page_printed(struct page *p, const struct page_part *part)
{
    const char *rest = answer_of(part);
    const char *blank = is_entry(rest, strcspn(rest, "\n")) ? strstr(rest, "\n\n") : rest;
    char label[2 * PAGE_ID] = "";
    if (!blank || blank[strspn(blank, "\n")] == '\0')
        return;
    text_append(label, sizeof label, "%s: the whole answer, as it is printed", part->kind->heading);
    fputs("<details>\n<summary>The whole answer, as it is printed</summary>\n", p->out);
    page_box(p, label);
    fputs("<pre>", p->out);
    page_text(p->out, rest);
    fputs("</pre>\n", p->out);
    page_box_end(p);
    fputs("</details>\n", p->out);
}
