/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_run: what a run left, as tables: events, replacements, cost, balance.  Page: docs/page.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "page.h"
#include "memory.h"
#include "screen.h"
#include "text.h"

/* What comes more often than OFTEN is counted; the whole list ends after LISTED. */
enum { KINDS_MAX = 64, OFTEN = 12, LISTED = 1000, NAME = 64, DATES = 12 };

/* ---- events -----------------------------------------------------------------------------------
 */

enum { DAY, DATE, KIND, PART, WORDS, EVENT_COLUMNS };
static const char *const event_columns[] = { "day", "date", "kind", "part", "words" };

struct sort {
    char kind[NAME], part[NAME], first[NAME], last[NAME];
    int count;
};

struct sorts {
    struct sort list[KINDS_MAX];
    int count, events;
};

/* An event's cells; false at the end. */
static bool next_event(struct rows *rows, const int column[], const char *cell[EVENT_COLUMNS])
{
    while (rows_next(rows)) {
        bool whole = rows->fields > 0;
        for (int i = 0; i < EVENT_COLUMNS; i++) {
            whole = whole && column[i] >= 0 && column[i] < rows->fields;
            cell[i] = whole ? rows->field[column[i]] : "";
        }
        if (whole)
            return true;
    }
    return false;
}

static struct sort *sort_of(struct sorts *s, const char *const cell[])
{
    for (int i = 0; i < s->count; i++)
        if (strcmp(s->list[i].kind, cell[KIND]) == 0 && strcmp(s->list[i].part, cell[PART]) == 0)
            return &s->list[i];
    if (s->count == KINDS_MAX)
        return NULL;
    struct sort *new = &s->list[s->count++];
    text_copy(new->kind, NAME, cell[KIND]);
    text_copy(new->part, NAME, cell[PART]);
    text_copy(new->first, NAME, cell[DATE]);
    return new;
}

static void count_events(const struct page_part *part, struct sorts *s)
{
    struct rows rows;
    int column[EVENT_COLUMNS];
    const char *cell[EVENT_COLUMNS];
    memset(s, 0, sizeof *s);
    if (page_folder_rows(part, "events.csv", &rows) &&
        rows_header(&rows, event_columns, EVENT_COLUMNS, column))
        while (next_event(&rows, column, cell)) {
            struct sort *sort = sort_of(s, cell);
            s->events++;
            if (sort) {
                sort->count++;
                text_copy(sort->last, NAME, cell[DATE]);
            }
        }
    rows_close(&rows);
}

/* "2026-08-14T06:00:00" as "2026-08-14 06:00" */
static const char *moment(const char *date, char out[NAME])
{
    snprintf(out, NAME, "%.16s", date);
    char *t = strchr(out, 'T');
    if (t)
        *t = ' ';
    return out;
}

/* All of them, or only those that are not frequent. */
static void list_events(struct page *p, const struct page_part *part, struct sorts *s, bool all)
{
    static const char *const heads[] = { "day", "date (UTC)", "event", "part", "why", NULL };
    struct rows rows;
    int column[EVENT_COLUMNS], left = LISTED;
    const char *cell[EVENT_COLUMNS];
    char date[NAME], day[NAME];
    page_table_head(p, all ? "Every event" : "Events by date", heads, "rllll");
    if (page_folder_rows(part, "events.csv", &rows) &&
        rows_header(&rows, event_columns, EVENT_COLUMNS, column))
        while (left > 0 && next_event(&rows, column, cell)) {
            const struct sort *sort = sort_of(s, cell);
            if (!all && sort && sort->count > OFTEN)
                continue;
            snprintf(day, sizeof day, "%.1f", strtod(cell[DAY], NULL));
            const char *shown[] = { day, moment(cell[DATE], date), cell[KIND], cell[PART],
                                    cell[WORDS] };
            page_table_row(p, shown, EVENT_COLUMNS, "rllll");
            left--;
        }
    rows_close(&rows);
    page_table_end(p);
}

static void count_table(struct page *p, const struct sorts *s)
{
    static const char *const heads[] = { "event", "part", "times", "first", "last", NULL };
    page_table_head(p, "Events that came more than a dozen times", heads, "llrll");
    for (int i = 0; i < s->count; i++) {
        char times[NAME], first[NAME], last[NAME];
        const struct sort *e = &s->list[i];
        if (e->count <= OFTEN)
            continue;
        snprintf(times, sizeof times, "%d", e->count);
        const char *cells[] = { e->kind, e->part, times, moment(e->first, first),
                                moment(e->last, last) };
        page_table_row(p, cells, 5, "llrll");
    }
    page_table_end(p);
}

/* The long list stays shut in print, too: its rows are routine. */
static void long_list(struct page *p, const struct page_part *part, struct sorts *s)
{
    fprintf(p->out, "<details class=\"screen\">\n<summary>Every event (%d)</summary>\n", s->events);
    if (s->events > LISTED)
        fprintf(p->out, "<p>The first %d; all of them stand in events.csv.</p>\n", LISTED);
    list_events(p, part, s, true);
    fputs("</details>\n", p->out);
}

void page_events(struct page *p, const struct page_part *part)
{
    struct sorts *s = memory_zeroed(sizeof *s);
    int often = 0, seldom = 0;
    if (!s)
        return;
    count_events(part, s);
    for (int i = 0; i < s->count; i++)
        *(s->list[i].count > OFTEN ? &often : &seldom) += 1;
    fputs("<h3>Events</h3>\n", p->out);
    if (s->events == 0)
        fputs("<p>None.</p>\n", p->out);
    if (seldom > 0)
        list_events(p, part, s, false);
    if (often > 0) {
        count_table(p, s);
        long_list(p, part, s);
    }
    free(s);
}

/* ---- replacements -----------------------------------------------------------------------------
 */

/* Dates at which a part was renewed, the first DATES of them. */
static void renewals(const struct page_part *part, const char *name, char out[PAGE_WORDS])
{
    struct rows rows;
    int column[EVENT_COLUMNS], count = 0;
    const char *cell[EVENT_COLUMNS];
    out[0] = '\0';
    if (page_folder_rows(part, "events.csv", &rows) &&
        rows_header(&rows, event_columns, EVENT_COLUMNS, column))
        while (next_event(&rows, column, cell))
            if (strcmp(cell[KIND], "replace") == 0 && strcmp(cell[PART], name) == 0 &&
                count++ < DATES)
                text_append(out, PAGE_WORDS, "%s%.10s", count > 1 ? ", " : "", cell[DATE]);
    rows_close(&rows);
    if (count > DATES)
        text_append(out, PAGE_WORDS, " and %d more", count - DATES);
}

void page_replacements(struct page *p, const struct page_part *part)
{
    static const char *const heads[] = { "part", "times", "on", "used at the end", NULL };
    json_t *times = json_object_get(part->json, "replacements"), *count;
    const json_t *used = json_object_get(part->json, "share_of_life_used");
    const char *name;
    if (json_object_size(times) == 0)
        return;
    fputs("<h3>Replacements</h3>\n", p->out);
    page_table_head(p, "Replacements, and how much of its life each part has used", heads, "lrlr");
    json_object_foreach(times, name, count)
    {
        char number[NAME], share[NAME] = "", dates[PAGE_WORDS];
        const json_t *value = json_object_get(used, name);
        snprintf(number, sizeof number, "%" JSON_INTEGER_FORMAT, json_integer_value(count));
        if (json_is_number(value))
            snprintf(share, sizeof share, "%.0f %%", 100.0 * json_number_value(value));
        renewals(part, name, dates);
        const char *cells[] = { name, number, dates, share };
        page_table_row(p, cells, 4, "lrlr");
    }
    page_table_end(p);
}

/* ---- cost -------------------------------------------------------------------------------------
 */

static void cost_rows(struct page *p, const struct page_part *part)
{
    static const char *const columns[] = { "part", "amount", "currency" };
    struct rows rows;
    int column[3];
    if (page_folder_rows(part, "cost.csv", &rows) && rows_header(&rows, columns, 3, column))
        while (rows_next(&rows)) {
            char amount[SCREEN_CELL];
            const double value = rows_number(&rows, column[1]);
            if (column[0] < 0 || column[2] < 0 || rows.fields < 3 || isnan(value))
                continue;
            snprintf(amount, sizeof amount, "%.2f", value);
            const char *cells[] = { rows.field[column[0]], amount, rows.field[column[2]] };
            page_table_row(p, cells, 3, "lrl");
        }
    rows_close(&rows);
}

static void cost_total(struct page *p, const json_t *cost, const char *what, const char *key,
                       int decimals)
{
    const json_t *value = json_object_get(cost, key);
    const char *currency = json_string_value(json_object_get(cost, "currency"));
    char amount[SCREEN_CELL];
    if (!json_is_number(value))
        return;
    snprintf(amount, sizeof amount, "%.*f", decimals, json_number_value(value));
    const char *cells[] = { what, amount, currency ? currency : "" };
    page_table_row(p, cells, 3, "lrl");
}

void page_cost(struct page *p, const struct page_part *part)
{
    static const char *const heads[] = { "for", "amount", "currency", NULL };
    const json_t *cost = json_object_get(part->json, "cost");
    const json_t *total = json_object_get(cost, "total");
    fputs("<h3>Cost</h3>\n", p->out);
    if (!json_is_number(total) || !(json_number_value(total) > 0.0)) {
        fputs("<p>No prices were given, or nothing was used: nothing is counted.</p>\n", p->out);
        return;
    }
    page_table_head(p, "What the run cost", heads, "lrl");
    cost_rows(p, part);
    cost_total(p, cost, "all together", "total", 2);
    cost_total(p, cost, "a litre of product", "per_litre_of_product", 4);
    page_table_end(p);
}

/* ---- balance ----------------------------------------------------------------------------------
 */

static double largest_error(const struct page_part *part, const char **which)
{
    json_t *errors = json_object_get(part->json, "balance_relative_error"), *value;
    const char *name;
    double largest = 0.0;
    *which = "water";
    json_object_foreach(errors, name, value)
    {
        const double error = fabs(json_number_value(value));
        if (error > largest) {
            largest = error;
            *which = name;
        }
    }
    return largest;
}

static void balance_rows(struct page *p, const struct page_part *part)
{
    static const char *const columns[] = { "what", "unit",        "held_at_start",
                                           "in",   "held_at_end", "relative_error" };
    struct rows rows;
    int column[6];
    if (page_folder_rows(part, "balance.csv", &rows) && rows_header(&rows, columns, 6, column))
        while (rows_next(&rows)) {
            char text[3][SCREEN_CELL], out[SCREEN_CELL];
            const double start = rows_number(&rows, column[2]), in = rows_number(&rows, column[3]);
            const double end = rows_number(&rows, column[4]);
            if (column[0] < 0 || column[1] < 0 || column[5] < 0 || rows.fields < 6)
                continue;
            screen_number(start, text[0]);
            screen_number(in, text[1]);
            screen_number(start + in - end, out);
            screen_number(end, text[2]);
            const char *cells[] = {
                rows.field[column[0]], rows.field[column[1]], text[0], text[1], out, text[2],
                rows.field[column[5]]
            };
            page_table_row(p, cells, 7, "llrrrrr");
        }
    rows_close(&rows);
}

void page_balance(struct page *p, const struct page_part *part)
{
    static const char *const heads[] = { "what",           "unit",     "held at the start",
                                         "came in",        "went out", "held at the end",
                                         "relative error", NULL };
    const char *which;
    const double error = largest_error(part, &which);
    fputs("<h3>Balance of water and matter</h3>\n<p>What came in, less what went out, is what is "
          "held: water and "
          "every chemical element are counted through the whole run. ",
          p->out);
    fprintf(p->out, "The largest error is %.1g of what passed, of ", error);
    page_text(p->out, which);
    fputs(". That shows that nothing was lost in the reckoning; it does not show that the models "
          "are right.</p>\n",
          p->out);
    fputs("<details>\n<summary>Balance, element by element</summary>\n", p->out);
    page_table_head(p, "Balance of the run", heads, "llrrrrr");
    balance_rows(p, part);
    page_table_end(p);
    fputs("</details>\n", p->out);
}
