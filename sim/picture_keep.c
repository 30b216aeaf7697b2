/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture_keep: the files of the folder that `leat overflow` leaves.  Page: docs/results.md.
 * A cell that is empty never came to be.
 */
#include <math.h>

#include "picture.h"
#include "recorder.h"
#include "resolved.h"

static const double HOUR = 3600.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

static void put_cell(FILE *f, double value)
{
    if (isfinite(value))
        fprintf(f, ",%.6g", value);
    else
        fputc(',', f);
}

/* ---- sets.csv ---------------------------------------------------------------------------------
 */

static const struct chance_row *row_of(const struct picture *p, const struct set *s)
{
    const struct chances *c = &p->found->chances;
    for (int i = 0; i < c->rows; i++)
        if (c->row[i].set == s)
            return &c->row[i];
    return NULL;
}

static void put_damage(FILE *f, const struct damage *d)
{
    put_cell(f, picture_first_drop(d) / HOUR);
    put_cell(f, d->spill / HOUR);
    put_cell(f, d->basin_spill / HOUR);
    put_cell(f, LITRE * d->floor);
    put_cell(f, LITRE * d->spilled);
    put_cell(f, LITRE * d->basin_spilled);
    put_cell(f, d->overflow / HOUR);
    put_cell(f, LITRE * d->overflowed);
    put_cell(f, sets_begins(d, HARM_DRY) / HOUR);
    put_cell(f, d->sensed / HOUR);
    put_cell(f, 100.0 * d->highest);
    put_cell(f, d->salinity);
}

static void put_set(const struct picture *p, const struct set *s, FILE *f)
{
    char name[SET_WORDS];
    if (!s->tried)
        return;
    const struct chance_row *row = row_of(p, s);
    const struct moment_saved *m = campaign_moment(p->found->campaign, s->first.moment);
    const int number = row ? picture_number(p, row) : 0;
    if (number > 0)
        fprintf(f, "%d", number);
    fprintf(f, ",%d,\"%s\",%s", s->count, sets_name(&p->found->sets, s, name),
            number > 0                                   ? "spill"
            : isfinite(sets_begins(&s->worst, HARM_DRY)) ? "short"
                                                         : "none");
    put_damage(f, &s->worst);
    const struct chance *c = row ? &row->chance : NULL;
    put_cell(f, c ? c->mean : NAN);
    put_cell(f, c ? c->low : NAN);
    put_cell(f, c ? c->high : NAN);
    put_cell(f, m->t / (24.0 * HOUR));
    for (int i = 0; i < STRIKES_MAX; i++)
        put_cell(f, i < s->count ? s->first.strike[i].after / HOUR : NAN);
    fputc('\n', f);
}

static enum status keep_sets(const struct picture *p, struct results *r)
{
    const struct sets *s = &p->found->sets;
    FILE *f = results_file(r, "sets.csv");
    if (!f)
        return STATUS_IO;
    fputs("number,faults,names,harm,first_drop_h,tank_spills_h,served_spills_h,floor_L,"
          "tank_spilled_L,served_spilled_L,pipe_runs_h,pipe_L,short_h,leak_sensed_h,"
          "highest_level_cm,lowest_salinity_g_kg,mean_a_year,low_a_year,high_a_year,"
          "moment_day,first_after_h,second_after_h,third_after_h\n",
          f);
    for (int i = 0; i < s->hazards; i++)
        put_set(p, &s->single[i], f);
    for (int i = 0; i < s->pairs; i++)
        put_set(p, &s->pair[i], f);
    for (int i = 0; i < s->triples; i++)
        put_set(p, &s->triple[i], f);
    return STATUS_OK;
}

/* ---- the others -------------------------------------------------------------------------------
 */

static enum status keep_parts(const struct picture *p, struct results *r)
{
    const struct chances *c = &p->found->chances;
    FILE *f = results_file(r, "parts.csv");
    if (!f)
        return STATUS_IO;
    fputs("part,share,mean_a_year,low_a_year,high_a_year\n", f);
    for (int i = 0; i < c->parts; i++) {
        fprintf(f, "\"%s\"", c->part[i].part);
        put_cell(f, picture_share(p, &c->part[i].chance));
        put_cell(f, c->part[i].chance.mean);
        put_cell(f, c->part[i].chance.low);
        put_cell(f, c->part[i].chance.high);
        fputc('\n', f);
    }
    return STATUS_OK;
}

static enum status keep_levels(const struct picture *p, struct results *r)
{
    FILE *f = results_file(r, "levels.csv");
    if (!f)
        return STATUS_IO;
    fputs("number,hour,tank_level_cm,served_level_mm,spilled_L\n", f);
    for (int i = 0; i < p->tracks; i++)
        for (int k = 0; k < p->track[i].points; k++) {
            const struct picture_point *at = &p->track[i].point[k];
            fprintf(f, "%d", picture_number(p, p->track[i].row));
            put_cell(f, at->t / HOUR);
            put_cell(f, 100.0 * at->tank);
            put_cell(f, p->found->scenario->plant.has_basin ? 1e3 * at->served : NAN);
            put_cell(f, LITRE * at->spilled);
            fputc('\n', f);
        }
    return STATUS_OK;
}

enum status picture_keep(const struct picture *p, const json_t *json, struct results *r)
{
    const struct scenario *s = p->found->scenario;
    TRY(keep_sets(p, r));
    TRY(keep_parts(p, r));
    TRY(keep_levels(p, r));
    TRY(recorder_limits(r, &s->plant, &s->plan));
    TRY(resolved_keep(s, r));
    FILE *words = results_file(r, "overflow.txt"), *f = results_file(r, "overflow.json");
    if (!words || !f)
        return STATUS_IO;
    overflow_print(p->found, words);
    json_dumpf(json, f, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
    fputc('\n', f);
    return results_flush(r); /* whoever draws reads what is on the disk */
}
