/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_values: what was given, what was assumed, and where every value came from.  Page:
 * docs/page.md.
 */
#include <stdlib.h>
#include <string.h>

#include "page.h"
#include "text.h"
#include "units.h"

enum {
    PATH,
    VALUE,
    ORIGIN,
    WORDS,
    SHOWN,
    QUANTITY = SHOWN,
    SI,
    COLUMNS,
    GROUPS_MAX = 40,
    GROUP_ROOM = 64
};
static const char *const columns[] = { "path", "value", "origin", "words", "quantity", "SI" };

struct group {
    char name[GROUP_ROOM];
    int values, said; /* by the scenario or the command line */
};

struct groups {
    struct group list[GROUPS_MAX];
    int count, values, said;
};

static bool next_value(struct rows *rows, const int column[], const char *cell[COLUMNS])
{
    while (rows_next(rows)) {
        bool whole = rows->fields > 0;
        for (int i = 0; i < COLUMNS; i++) {
            const bool there = column[i] >= 0 && column[i] < rows->fields;
            whole = whole && (there || i >= SHOWN);
            cell[i] = there ? rows->field[column[i]] : "";
        }
        if (whole)
            return true;
    }
    return false;
}

static bool is_said(const char *origin)
{
    return strcmp(origin, "given") == 0 || strcmp(origin, "changed") == 0;
}

static bool is_in(const char *path, const char *group)
{
    const size_t n = strlen(group);
    return strncmp(path, group, n) == 0 && (path[n] == '.' || path[n] == '\0');
}

/* The group of a value, the first word of its path, made if it is new; NULL if there are too many.
 */
static struct group *group_of(struct groups *g, const char *path)
{
    for (int i = 0; i < g->count; i++)
        if (is_in(path, g->list[i].name))
            return &g->list[i];
    if (g->count == GROUPS_MAX)
        return NULL;
    struct group *new = &g->list[g->count++];
    *new = (struct group){ .values = 0 };
    snprintf(new->name, sizeof new->name, "%.*s", (int)strcspn(path, "."), path);
    return new;
}

static bool find_groups(const struct page_part *part, struct groups *g)
{
    struct rows rows;
    int column[COLUMNS];
    const char *cell[COLUMNS];
    memset(g, 0, sizeof *g);
    if (page_folder_rows(part, "values.csv", &rows) && rows_header(&rows, columns, COLUMNS, column))
        while (next_value(&rows, column, cell)) {
            struct group *group = group_of(g, cell[PATH]);
            const bool said = is_said(cell[ORIGIN]);
            g->values++;
            g->said += said;
            if (group) {
                group->values++;
                group->said += said;
            }
        }
    rows_close(&rows);
    return g->values > 0;
}

static const char *origin_words(const char *origin)
{
    return is_said(origin)                   ? "given"
           : strcmp(origin, "default") == 0  ? "assumed"
           : strcmp(origin, "part") == 0     ? "of the part"
           : strcmp(origin, "computed") == 0 ? "computed"
                                             : "";
}

/* A value in the units of the taste, unless it is in somebody's own words. */
static const char *in_taste(const char *const cell[], char out[UNITS_TEXT])
{
    char *end;
    const double si = strtod(cell[SI], &end);
    for (int d = 0; end != cell[SI] && units_taste() != TASTE_METRIC && d < DIM_ALL; d++)
        if (strcmp(units_dimension_name((enum dimension)d), cell[QUANTITY]) == 0)
            return units_format(si, (enum dimension)d, out, UNITS_TEXT);
    return cell[VALUE];
}

static void put_value(struct page *p, const char *const cell[])
{
    char text[UNITS_TEXT];
    const char *cells[] = { cell[PATH], in_taste(cell, text), origin_words(cell[ORIGIN]),
                            cell[WORDS] };
    page_table_row(p, cells, SHOWN, "llll");
}

static void put_group(struct page *p, const struct page_part *part, const struct group *group)
{
    static const char *const heads[] = { "key", "value", "is", "from", NULL };
    struct rows rows;
    int column[COLUMNS];
    const char *cell[COLUMNS];
    char caption[GROUP_ROOM + 40];
    fputs("<details>\n<summary>", p->out);
    page_text(p->out, group->name);
    fprintf(p->out, ": %d value%s, %d not given</summary>\n", group->values,
            group->values == 1 ? "" : "s", group->values - group->said);
    snprintf(caption, sizeof caption, "Values of %s", group->name);
    page_table_head(p, caption, heads, "llll");
    if (page_folder_rows(part, "values.csv", &rows) && rows_header(&rows, columns, COLUMNS, column))
        while (next_value(&rows, column, cell))
            if (is_in(cell[PATH], group->name))
                put_value(p, cell);
    rows_close(&rows);
    page_table_end(p);
    fputs("</details>\n", p->out);
}

void page_values(struct page *p, const struct page_part *part)
{
    struct groups g;
    if (!find_groups(part, &g)) {
        fputs("<p>This folder does not say which values were given and which assumed; the folder "
              "of a run "
              "does.</p>\n",
              p->out);
        return;
    }
    fprintf(p->out,
            "<p>Of %d values %d were given. The other %d were not: each says where it came from, "
            "be it a published "
            "source, common practice of the trade, memory, or plain assumption. Say in the "
            "scenario what you know "
            "better.</p>\n",
            g.values, g.said, g.values - g.said);
    for (int i = 0; i < g.count; i++)
        put_group(p, part, &g.list[i]);
}
