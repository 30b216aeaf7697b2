/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * manual: every key of a scenario and every generic part as tables.
 */
#include "manual.h"

#include <math.h>
#include <string.h>

#include "parts.h"
#include "scenario.h"

enum { CELL = 96 };

static void write_default(const struct field *f, FILE *out)
{
    char text[CELL];
    if (isnan(f->preset))
        fputs("needed", out);
    else if (!isfinite(f->preset))
        fputs("may be left out", out);
    else if (f->type == FIELD_CHOICE)
        fprintf(out, "`%s`", f->choices[(int)f->preset]);
    else if (f->type == FIELD_FLAG)
        fputs(f->preset > 0.0 ? "true" : "false", out);
    else
        fputs(units_format(f->preset, f->dimension, text, sizeof text), out);
}

static void write_range(const struct field *f, double low, double high, FILE *out)
{
    char a[CELL], b[CELL];
    if (f->type == FIELD_NUMBER || f->type == FIELD_COUNT)
        fprintf(out, "%s to %s", units_format(low, f->dimension, a, sizeof a),
                units_format(high, f->dimension, b, sizeof b));
}

static void write_choices(const struct field *f, FILE *out)
{
    for (const char *const *c = f->choices; c != NULL && *c != NULL; c++)
        fprintf(out, "%s`%s`", c == f->choices ? "; " : ", ", *c);
}

static void write_row(const struct field *f, FILE *out)
{
    fprintf(out, "| `%s` | %s", f->key, f->doc);
    write_choices(f, out);
    fputs(" | ", out);
    write_default(f, out);
    fputs(" | ", out);
    write_range(f, f->low, f->high, out);
    fputs(" | ", out);
    write_range(f, f->min, f->max, out);
    fprintf(out, " | %s |\n", f->source == NULL ? "" : f->source);
}

static void write_title(const char *title, FILE *out)
{
    fprintf(out, "\n## %s\n\n| key | what | default | usual | possible | source of the default |\n",
            title);
    fputs("|---|---|---|---|---|---|\n", out);
}

static void write_rows(const struct field *fields, FILE *out)
{
    for (; fields->key != NULL; fields++)
        write_row(fields, out);
}

/* Keys that stand in a group of the stage. */
static void write_groups(const struct stage_kind *kind, FILE *out)
{
    for (const struct stage_group *g = kind->groups; g != NULL && g->key != NULL; g++) {
        char title[CELL];
        snprintf(title, sizeof title, "train, kind = \"%s\": %s = { ... }", kind->name, g->key);
        write_title(title, out);
        write_rows(g->fields, out);
    }
}

static void write_part(const struct part *part, FILE *out)
{
    fprintf(out, "| `%s` | %s | %s | ", part->name, part->kind->name, part->doc);
    for (const struct preset *p = part->preset; p->key != NULL; p++)
        fprintf(out, "%s`%s`: %s", p == part->preset ? "" : "; ", p->key, p->source);
    fputs(" |\n", out);
}

void manual_write(FILE *out)
{
    fputs("# Every key of a scenario\n\nMade from the tables of the program; docs/scenario.md says "
          "how "
          "they are used.  Values outside the usual range are warned of, outside the possible one "
          "refused.\n",
          out);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++) {
        /* a group may have two tables, one after the other */
        if (t == scenario_tables || strcmp(t->path, t[-1].path) != 0)
            write_title(t->path, out);
        write_rows(t->fields, out);
    }
    for (int i = 0; stage_kinds[i] != NULL; i++) {
        char title[CELL];
        snprintf(title, sizeof title, "train, kind = \"%s\" (%s)", stage_kinds[i]->name,
                 stage_kinds[i]->title);
        write_title(title, out);
        write_rows(stage_kinds[i]->fields, out);
        write_groups(stage_kinds[i], out);
    }
    fputs("\n## Generic parts\n\n| part | kind | what | differs from the kind by, with source |\n"
          "|---|---|---|---|\n",
          out);
    for (const struct part *p = parts; p->name != NULL; p++)
        write_part(p, out);
}
