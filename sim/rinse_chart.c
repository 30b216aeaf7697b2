/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_chart: the map of interval by duration for a terminal: the best, what is as good as it, and
 * what is dearer than not to rinse at all.
 */
#include <math.h>
#include <string.h>

#include "rinse_find.h"
#include "screen.h"

enum { WIDTH = 61, ACROSS = RINSE_MAP_I - 1, MARGIN = 9, ROW_STEP = 2, TICK = 8 };

static const double ALIKE = 1.01;

/* One place; ever dearer from the best outwards. */
static char mark(const struct rinse_found *f, double i, double j)
{
    const struct rinse_map *m = &f->map;
    const double best = m->cost[m->best_i][m->best_j], cost = rinse_map_cost(m, i, j);
    if (cost >= f->way[RINSE_NONE].money)
        return '#';
    return cost <= ALIKE * best ? '=' : cost <= RINSE_NEAR * best ? '-' : '.';
}

static void axis(FILE *out)
{
    char line[WIDTH + 16], span[SCREEN_CELL];
    memset(line, ' ', sizeof line);
    for (int i = 0; i <= ACROSS; i += TICK) {
        const int at = i * (WIDTH - 1) / ACROSS;
        screen_span(rinse_map_every(i), span);
        memcpy(line + at, span, strlen(span));
    }
    line[WIDTH + 8] = '\0';
    for (int k = WIDTH + 7; k >= 0 && line[k] == ' '; k--)
        line[k] = '\0';
    fprintf(out, "%*s  %s\n", MARGIN, "", line);
}

void rinse_chart(const struct rinse_found *f, FILE *out)
{
    const struct rinse_map *m = &f->map;
    const int column = (m->best_i * (WIDTH - 1) + ACROSS / 2) / ACROSS;
    fputs("\nMAP: how long (up) after how much making of water (across)\n", out);
    for (int j = RINSE_MAP_J - 1; j >= 0; j -= ROW_STEP) {
        char line[WIDTH + 1], span[SCREEN_CELL];
        for (int k = 0; k < WIDTH; k++)
            line[k] = mark(f, (double)k * ACROSS / (WIDTH - 1), j);
        line[WIDTH] = '\0';
        if (m->best_j - m->best_j % ROW_STEP == j)
            line[column] = '*';
        fprintf(out, "%*s |%s\n", MARGIN, screen_span(rinse_map_for(j), span), line);
    }
    axis(out);
    fputs("  * the best of the map   = within 1 % of it   - within 5 %   . beyond that\n"
          "  # dearer than no rinse at all\n",
          out);
}
