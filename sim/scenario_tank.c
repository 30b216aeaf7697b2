/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_tank: the shape of the tank, also as a table of levels and volumes.
 */
#include "scenario_inner.h"

static void complain(struct loading *l, const struct node *group, const char *key, const char *cure,
                     const char *words)
{
    const struct node *n = reader_find(group, key);
    reader_complain(&l->reader, SEVERITY_ERROR, n != NULL ? n : group, cure, "%s", words);
}

static bool read_cell(struct loading *l, const struct node *n, enum dimension d, double *si)
{
    struct quantity q;
    struct units_error e;
    if (n == NULL || n->type != NODE_TEXT) {
        reader_complain(&l->reader, SEVERITY_ERROR, n, "a row is ( \"10 cm\", \"20 L\" )",
                        "a level and a volume must stand here, with units");
        return false;
    }
    if (!units_parse(n->text, d, NULL, &q, &e)) {
        reader_complain(&l->reader, SEVERITY_ERROR, n, e.cure, "%s", e.what);
        return false;
    }
    *si = q.si;
    return true;
}

static bool add_row(struct loading *l, struct tank *t, const struct node *n, double level,
                    double volume)
{
    const int i = t->rows;
    const bool first = i == 0;
    if (first ? level != 0.0 || volume != 0.0
              : !(level > t->table_level[i - 1]) || !(volume > t->table_volume[i - 1])) {
        reader_complain(&l->reader, SEVERITY_ERROR, n, NULL,
                        "levels and volumes of the table must rise from row to row");
        return false;
    }
    t->table_level[i] = level;
    t->table_volume[i] = volume;
    t->rows++;
    return true;
}

/* table = ( ("10 cm", "20 L"), ... ); the empty tank need not be said. */
static void read_table(struct loading *l, const struct node *list, struct tank *t)
{
    if (list->type != NODE_LIST || tree_length(list) < 1 || tree_length(list) >= TANK_TABLE_MAX) {
        reader_complain(&l->reader, SEVERITY_ERROR, list,
                        "write table = ( ( \"10 cm\", \"20 L\" ), ... );",
                        "a tank table is a list of 1 to %d rows", TANK_TABLE_MAX - 1);
        return;
    }
    for (const struct node *row = list->child; row != NULL; row = row->next) {
        const bool pair = row->type == NODE_LIST && tree_length(row) == 2;
        double level, volume;
        if (!pair)
            reader_complain(&l->reader, SEVERITY_ERROR, row, "a row is ( \"10 cm\", \"20 L\" )",
                            "a row of the table is a level and a volume");
        if (!pair || !read_cell(l, row->child, DIM_LENGTH, &level) ||
            !read_cell(l, row->child->next, DIM_VOLUME, &volume))
            return;
        if (t->rows == 0 && (level != 0.0 || volume != 0.0) && !add_row(l, t, row, 0.0, 0.0))
            return;
        if (!add_row(l, t, row, level, volume))
            return;
    }
    t->height = t->table_level[t->rows - 1];
}

static void need(struct loading *l, const struct node *group, const char *key, double value)
{
    if (isnan(value) && reader_find(group, key) == NULL) {
        char cure[64];
        snprintf(cure, sizeof cure, "add %s = \"50 cm\";", key);
        reader_missing(&l->reader, group, "storage", key, cure);
    }
}

static double or_zero(double value)
{
    return isnan(value) ? 0.0 : value;
}

/* Warns of sizes that this shape does not have, and forgets them. */
static void drop_unused(struct loading *l, const struct section *s, struct tank *t)
{
    const bool box = t->shape == TANK_BOX, cone = t->shape == TANK_CONE;
    const bool table = t->shape == TANK_TABLE;
    const struct {
        bool used;
        double *size;
        const char *key, *why;
    } rows[] = {
        { box || t->shape == TANK_LYING, &t->length, "length",
          "only a box or a lying cylinder has a length" },
        { box, &t->width, "width", "only a box has a width" },
        { !box && !table, &t->diameter, "diameter", "only a cylinder or a cone has a diameter" },
        { cone, &t->bottom_diameter, "bottom_diameter", "only a cone has one" },
        { cone, &t->cone_height, "cone_height", "only a cone has one" },
        { !table, &t->height, "height", "the last row of the table is the rim" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (rows[i].used)
            continue;
        reader_unused(&l->reader, s, rows[i].key, rows[i].why);
        *rows[i].size = NAN;
    }
    const struct node *n = tree_member(s->group, "table");
    if (n != NULL && !table)
        reader_complain(&l->reader, SEVERITY_WARNING, n, "write shape = \"table\"; or leave it out",
                        "table has no effect: the shape is another");
}

void scenario_tank_read(struct loading *l, const struct section *s, struct tank *t)
{
    const struct node *group = s->group;
    drop_unused(l, s, t);
    const struct node *table = tree_member(group, "table");
    const bool box = t->shape == TANK_BOX, lying = t->shape == TANK_LYING;
    if (lying)
        scenario_supply(l, "height", &t->height, t->diameter, "the diameter of a lying cylinder");
    if (box || lying)
        need(l, group, "length", t->length);
    if (box)
        need(l, group, "width", t->width);
    if (!box && t->shape != TANK_TABLE)
        need(l, group, "diameter", t->diameter);
    if (t->shape == TANK_CONE) {
        need(l, group, "bottom_diameter", t->bottom_diameter);
        need(l, group, "cone_height", t->cone_height);
        if (t->cone_height > t->height)
            complain(l, group, "cone_height", NULL, "the cone is higher than the tank");
        if (t->bottom_diameter > t->diameter)
            complain(l, group, "bottom_diameter", NULL, "the cone is wider below than above");
    }
    if (lying && t->height > t->diameter)
        complain(l, group, "height", "leave height out",
                 "a lying cylinder is not higher than its diameter");
    if (t->shape == TANK_TABLE && table != NULL)
        read_table(l, table, t);
    else if (t->shape == TANK_TABLE)
        reader_missing(&l->reader, group, "storage", "table",
                       "add table = ( ( \"10 cm\", \"20 L\" ), ... );");
    else
        need(l, group, "height", t->height);
    t->length = or_zero(t->length);
    t->width = or_zero(t->width);
    t->diameter = or_zero(t->diameter);
    t->bottom_diameter = or_zero(t->bottom_diameter);
    t->cone_height = or_zero(t->cone_height);
}
