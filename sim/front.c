/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * front: the sheet of the figure of the resin front.  Page: docs/figures.md.
 */
#include "front.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"

enum { DATES_MAX = 4, DEPTHS_MAX = 512, LAYERS = 13, FIRST_ANION_LAYER = 7 };

/* Columns of front.csv: depth, then the layers of each resin in the order in which they are
 * stacked, from what is held best to the sites that are still free. */
static const char *const layer[LAYERS + 1] = { "depth_cm", "calcium",   "magnesium",   "potassium",
                                               "ammonium", "sodium",    "free_cation", "sulfate",
                                               "nitrate",  "chloride",  "carbon",      "silica",
                                               "fluoride", "free_anion" };
static const char *const layer_words[LAYERS + 1] = { "",     "Ca",   "Mg",  "K",   "NH4",
                                                     "Na",   "free", "SO4", "NO3", "Cl",
                                                     "HCO3", "SiO2", "F",   "free" };

struct front {
    int panel; /* of the block that is read, 0 before the first */
    int depths;
    double stack[DEPTHS_MAX][LAYERS + 1];
    double deepest;
    FILE *data, *labels;
};

/* Names a layer where it is thickest, if it is thick enough for words; words stay off the edges and
 * off each other. */
static void name_layers(const struct front *f)
{
    double named_at[LAYERS], named_height[LAYERS];
    int named = 0;

    for (int i = 1; i <= LAYERS; i++) {
        double thickest = 0.0, at = 0.0, height = 0.0;
        int first = 0;
        if (i == FIRST_ANION_LAYER)
            named = 0; /* the other resin has a frame of its own */
        for (int j = f->depths / 12; j < f->depths - f->depths / 12; j++) {
            const double below = i == 1 || i == FIRST_ANION_LAYER ? 0.0 : f->stack[j][i - 1];
            const double thick = f->stack[j][i] - below;
            if (thick > 1.02 * thickest)
                first = j;
            if (thick > 0.98 * thickest) { /* in the middle of where it is as thick as anywhere */
                const int middle = (first + j) / 2;
                at = f->stack[middle][0];
                height = 0.5 * (f->stack[middle][i] +
                                (i == 1 || i == FIRST_ANION_LAYER ? 0.0 : f->stack[middle][i - 1]));
                thickest = fmax(thickest, thick);
            }
        }
        bool free_place = thickest > 0.04;
        for (int k = 0; k < named; k++)
            if (fabs(at - named_at[k]) < 0.25 * f->stack[f->depths - 1][0] &&
                fabs(height - named_height[k]) < 0.05)
                free_place = false;
        if (!free_place)
            continue;
        named_at[named] = at;
        named_height[named++] = height;
        sheet_put(f->labels, "%d\t%d\t%.5g\t%.5g\t%s\t%d\n", f->panel, i >= FIRST_ANION_LAYER, at,
                  height, layer_words[i], thickest > 0.1);
    }
}

static void end_block(struct front *f)
{
    if (f->depths == 0)
        return;
    for (int j = 0; j < f->depths; j++) {
        for (int i = 0; i <= LAYERS; i++)
            sheet_number(f->data, f->stack[j][i]);
        sheet_put(f->data, "\n");
    }
    sheet_put(f->data, "\n\n");
    name_layers(f);
    f->depths = 0;
}

static void add_depth(struct front *f, const struct rows *c, const int column[])
{
    if (f->depths == DEPTHS_MAX)
        return;
    double *row = f->stack[f->depths++];
    row[0] = sheet_shown(layer[0], rows_number(c, column[0]));
    f->deepest = fmax(f->deepest, row[0]);
    for (int i = 1; i <= LAYERS; i++) {
        const double value = rows_number(c, column[i]);
        const double below = i == 1 || i == FIRST_ANION_LAYER ? 0.0 : row[i - 1];
        row[i] = below + (isnan(value) ? 0.0 : value);
    }
}

/* A comment "# day 91.3" begins a block.  Day 0 shows a fresh bed, that is nothing: it is left out.
 */
static bool begins_block(const struct rows *c)
{
    return c->comment && strncmp(c->comment, " day ", 5) == 0 && strtod(c->comment + 5, NULL) > 0.0;
}

/* Whether a block is one of the dates drawn: first, last, and evenly between. */
static bool drawn(int block, int blocks)
{
    if (blocks <= DATES_MAX)
        return true;
    for (int k = 0; k < DATES_MAX; k++)
        if (block == (k * (blocks - 1) + (DATES_MAX - 1) / 2) / (DATES_MAX - 1))
            return true;
    return false;
}

/* Reads all blocks; the header may stand once or in each. */
static void read_front(struct front *f, struct rows *c, int blocks, FILE *dates)
{
    int column[LAYERS + 1];
    bool take = false;

    for (int i = 0; i <= LAYERS; i++)
        column[i] = i;
    for (int block = -1; rows_next(c);) {
        if (begins_block(c)) {
            end_block(f);
            take = drawn(++block, blocks);
            f->panel += take;
            const double day = strtod(c->comment + 5, NULL);
            if (take)
                sheet_put(dates, day < 10.0 ? "%d\tday %.2g\n" : "%d\tday %.0f\n", f->panel, day);
        } else if (c->fields > 0 && strcmp(c->field[0], layer[0]) == 0) {
            rows_columns(c, layer, LAYERS + 1, column);
        } else if (take && !isnan(rows_number(c, column[0]))) {
            add_depth(f, c, column);
        }
    }
    end_block(f);
}

enum status front_sheet(struct sheet *s)
{
    struct rows c;
    int blocks = 0;
    struct front *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    if (rows_open(&c, s->results, "front.csv")) {
        while (rows_next(&c))
            blocks += begins_block(&c);
        rewind(c.file);
    }
    if (blocks > 0) {
        FILE *dates = sheet_open(s, "-dates.dat"), *par = sheet_open(s, ".par");
        f->data = sheet_open(s, ".dat");
        f->labels = sheet_open(s, "-labels.dat");
        char depth[WORDS_MAX];
        sheet_put(f->data,
                  "# %s, then shares stacked:", sheet_column(layer[0], depth, sizeof depth));
        for (int i = 1; i <= LAYERS; i++)
            sheet_put(f->data, " %s", layer[i]);
        sheet_put(f->data, "\n");
        sheet_put(f->labels, "# panel\tresin\tdepth\tshare\twords\tthick\n");
        read_front(f, &c, blocks, dates);
        const double deepest = f->deepest > 0.0 ? f->deepest : 1.0;
        sheet_put(par, "# panels, and the depth of the bed\n");
        sheet_put(par, "panels = %d\ndeepest = %.7g\nxstep = %.7g\nxunit = '%s'\n", f->panel,
                  deepest, sheet_step(deepest / 4.0), sheet_unit(layer[0]));
        sheet_close(s, dates);
        sheet_close(s, par);
        sheet_close(s, f->data);
        sheet_close(s, f->labels);
        sheet_title(s);
    }
    const bool found = f->panel > 0 && f->deepest > 0.0;
    rows_close(&c);
    free(f);
    return found ? STATUS_OK : STATUS_NO_INPUT;
}
