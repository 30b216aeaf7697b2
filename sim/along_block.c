/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_block: see along_block.h.
 */
#include "along_block.h"

#include <string.h>

#include "text.h"

enum { NAME_WIDE = 14, INDENT = 2, GAP = 2 };

/* ---- names ------------------------------------------------------------------------------------
 */

/* At most NAME_WIDE characters, whole ones. */
static void put_name(const char *name, const char *before, char out[SCREEN_CELL])
{
    char safe[4 * SCREEN_CELL];
    text_escape(name, safe, sizeof safe);
    const int most = NAME_WIDE - (int)strlen(before);
    size_t n = 0;
    while (safe[n] != '\0' && (text_columns(safe, n + 1) <= most || (safe[n] & 0xc0) == 0x80))
        n++;
    out[0] = '\0';
    text_append(out, SCREEN_CELL, "%s%.*s", before, (int)n, safe);
}

static bool is_branch(const struct along_point *p)
{
    return p->kind == ALONG_CONCENTRATE || p->kind == ALONG_DRAIN;
}

/* The second moment is told by its day. */
void along_block_rows(struct along_block *b, bool (*shown)(const struct along_point *))
{
    b->rows = b->columns = 0;
    for (int i = 0; i < b->a->look[0]->points; i++) {
        bool any = false;
        for (int n = 0; n < b->a->looks; n++)
            any |= shown(&b->a->look[n]->point[i]);
        for (int n = 0; n < b->a->looks && any; n++) {
            const struct along_point *p = &b->a->look[n]->point[i];
            char day[SCREEN_CELL];
            b->point[b->rows] = p;
            snprintf(day, sizeof day, "day %.1f", b->a->look[n]->t / 86400.0);
            put_name(n == 0 ? p->name : day, n == 0 ? (is_branch(p) ? "  " : "") : "    ",
                     b->name[b->rows++]);
        }
    }
}

/* ---- the screen -------------------------------------------------------------------------------
 */

static int wide(const struct along_block *b, int column)
{
    int most = (int)strlen(b->head[column]);
    for (int i = 0; i < b->rows; i++) {
        const int w = (int)strlen(b->cell[column][i]);
        most = w > most ? w : most;
    }
    return most;
}

static int name_wide(const struct along_block *b)
{
    int most = 0;
    for (int i = 0; i < b->rows; i++) {
        const int w = text_columns(b->name[i], strlen(b->name[i]));
        most = w > most ? w : most;
    }
    return most;
}

/* Numbers stand right; words, in a column without a head, left. */
static void put_cell(const struct along_block *b, int column, const char *cell, FILE *out)
{
    const bool words = b->head[column][0] == '\0';
    fprintf(out, "%*s", GAP, "");
    fprintf(out, "%*s", words ? 0 : wide(b, column), cell);
}

static void put_columns(const struct along_block *b, int from, int to, FILE *out)
{
    const int name = name_wide(b);
    fprintf(out, "%*s", INDENT + name, "");
    for (int j = from; j < to && b->head[j][0] != '\0'; j++)
        put_cell(b, j, b->head[j], out);
    putc('\n', out);
    for (int i = 0; i < b->rows; i++) {
        int last = to;
        while (last > from && b->cell[last - 1][i][0] == '\0')
            last--;
        const int w = text_columns(b->name[i], strlen(b->name[i]));
        fprintf(out, "%*s%s%*s", INDENT, "", b->name[i], last > from ? name - w : 0, "");
        for (int j = from; j < last; j++)
            put_cell(b, j, b->cell[j][i], out);
        putc('\n', out);
    }
}

void along_block_print(const struct along_block *b, FILE *out)
{
    if (b->columns == 0)
        return;
    const int column = fprintf(out, "\n%s%s", b->title, b->about[0] ? "  " : "") - 1;
    screen_wrap(out, column, INDENT, b->about);
    for (int from = 0; from < b->columns;) {
        int to = from, used = INDENT + name_wide(b);
        while (to < b->columns && used + GAP + wide(b, to) <= SCREEN_COLUMNS)
            used += GAP + wide(b, to++);
        to = to > from ? to : from + 1;
        put_columns(b, from, to, out);
        from = to;
    }
}

char (*along_block_column(struct along_block *b, const char *head))[SCREEN_CELL]
{
    text_copy(b->head[b->columns], SCREEN_CELL, head);
    memset(b->cell[b->columns], 0, sizeof b->cell[b->columns]);
    return b->cell[b->columns++];
}
