/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * recorder: see recorder.h.  Write errors show when the results folder is flushed.
 */
#include "recorder.h"

#include <assert.h>
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cell.h"
#include "channel.h"
#include "date.h"
#include "decimal.h"
#include "file.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

enum { ROW_MAX = RECORDER_COLUMNS * (DECIMAL_SIZE + 1) };

/* ---- series -----------------------------------------------------------------------------------
 */

static void series_header(FILE *f, const struct plant *p)
{
    for (const struct channel_row *c = channels; c->name; c++)
        fprintf(f, "%s%s", c == channels ? "" : ",", c->name);
    for (const struct channel_row *c = channels_bladder; p->has_bladder && c->name; c++)
        fprintf(f, ",%s", c->name);
    fputc('\n', f);
}

static char *series_cells(struct decimal_kept **kept, char *end, const struct channel_row *c,
                          const struct glimpse *g)
{
    for (; c->name; c++) {
        end = decimal_write_kept((*kept)++, end, c->value(g), c->places);
        *end++ = ',';
    }
    return end;
}

static void series_row(struct recorder *r, const struct glimpse *g)
{
    struct decimal_kept *kept = r->cells;
    char row[ROW_MAX], *end = series_cells(&kept, row, channels, g);
    if (g->plant->has_bladder)
        end = series_cells(&kept, end, channels_bladder, g);
    assert(kept <= r->cells + RECORDER_COLUMNS);
    end[-1] = '\n';
    fwrite(row, 1, (size_t)(end - row), r->series);
}

/* ---- events -----------------------------------------------------------------------------------
 */

/* Writes "2026-03-01T07:30:00" for t seconds after the start, to the nearest second. */
static void date_at(const char *start_date, double t, char out[32])
{
    double start = 0.0;
    date_parse(start_date, &start);
    date_format(start + floor(t + 0.5), out, 32);
}

static void events_row(struct recorder *r, const struct glimpse *g)
{
    char date[32];
    date_at(r->start_date, g->t, date);
    fprintf(r->events, "%.7f,%s,%s,", g->t / DAY, date, g->change->kind);
    cell_text(r->events, g->change->part);
    fputc(',', r->events);
    cell_text(r->events, g->change->words);
    fputc('\n', r->events);
}

/* ---- days -------------------------------------------------------------------------------------
 */

static void daily_row(struct recorder *r, const struct glimpse *g)
{
    const double *x0 = r->x_midnight, *x = g->x;
    const bool topped = g->plant->topoff.kind != TOPOFF_NONE;
    const double evaporated = topped ? fmax(0.0, x[X_EVAPORATED] - x0[X_EVAPORATED]) : 0.0;
    const double needed = evaporated + x[X_DRAWN] - x0[X_DRAWN] + x[X_UNMET] - x0[X_UNMET];
    double temperature, pressure;
    feed_conditions(&g->plant->feed, g->t - 0.5 * DAY, &temperature, &pressure);
    fprintf(r->daily, "%.0f,%.4f,%.4f,%.4f,%.3f\n", g->t / DAY,
            LITRE * (x[X_PRODUCT] - x0[X_PRODUCT]), LITRE * (x[X_DRAIN] - x0[X_DRAIN]),
            LITRE * needed, temperature);
    memcpy(r->x_midnight, x, sizeof r->x_midnight);
}

/* ---- wear -------------------------------------------------------------------------------------
 */

/* Pressure lost in the first sediment cartridge at the flow of filling freely [Pa]. */
static double sediment_drop(const struct plant *p, const struct state *s, const struct signals *sig)
{
    const struct fluid water = water_fluid(sig->feed_temperature);
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == &stage_sediment)
            return sediment_pressure_drop(&p->train[k].params.sediment, &s->stage[k].sediment,
                                          sig->feed_flow, &water);
    return NAN;
}

static void cell(FILE *f, double value, int places, char end)
{
    char text[DECIMAL_SIZE];
    fwrite(text, 1, (size_t)(decimal_write(text, value, places) - text), f);
    fputc(end, f);
}

/* As a person would find it who opens the tap that midnight. */
static void wear_row(FILE *f, const struct glimpse *g)
{
    const struct signals now = plant_filling(g->plant, g->state);
    cell(f, g->t / DAY, 0, ',');
    cell(f, 100.0 * plant_standard_flow(g->plant, g->state), 3, ',');
    cell(f, 100.0 * plant_standard_passage(g->plant, g->state), 3, ',');
    cell(f, 60e6 * now.product_flow, 3, ',');
    cell(f, 1e-3 * sediment_drop(g->plant, g->state, &now), 4, ',');
    cell(f, now.feed_temperature, 3, '\n');
}

/* ---- beds -------------------------------------------------------------------------------------
 */

static const int FRONT_COLUMNS[] = { SODIUM,  POTASSIUM, CALCIUM,  MAGNESIUM, AMMONIUM, CHLORIDE,
                                     SULFATE, NITRATE,   FLUORIDE, CARBON,    SILICA };

enum { FRONT_COUNT = sizeof FRONT_COLUMNS / sizeof FRONT_COLUMNS[0], FRONT_CATIONS = 5 };

static void front_header(FILE *f)
{
    fputs("depth_cm,free_cation", f);
    for (int k = 0; k < FRONT_COUNT; k++)
        fprintf(f, "%s,%s", k == FRONT_CATIONS ? ",free_anion" : "", species[FRONT_COLUMNS[k]].key);
    fputc('\n', f);
}

static void front_row(FILE *f, const struct resin *p, const double y[], int cell)
{
    double cations = 0.0, anions = 0.0;
    for (int i = FIRST_CATION; i <= LAST_CATION; i++)
        cations += y[i];
    for (int i = FIRST_ANION; i <= LAST_ANION; i++)
        anions += y[i];
    const bool has_cation = p->cation_share > 0.0, has_anion = p->cation_share < 1.0;
    fprintf(f, "%.3f,%.6f", 100.0 * p->depth * (cell + 0.5) / p->cells,
            has_cation ? 1.0 - cations : 0.0);
    for (int k = 0; k < FRONT_COUNT; k++) {
        if (k == FRONT_CATIONS)
            fprintf(f, ",%.6f", has_anion ? 1.0 - anions : 0.0);
        fprintf(f, ",%.6f", y[FRONT_COLUMNS[k]]);
    }
    fputc('\n', f);
}

/* One block: the first resin bed of the train as it is now, along its main path. */
static void front_block(FILE *f, const struct glimpse *g)
{
    for (int k = 0; k < g->plant->stages; k++) {
        if (g->plant->train[k].kind != &stage_resin)
            continue;
        const struct resin *p = &g->plant->train[k].params.resin;
        fprintf(f, "%s# day %.1f\n", g->t > 0.0 ? "\n\n" : "", g->t / DAY);
        front_header(f);
        for (int cell = 0; cell < p->cells; cell++)
            front_row(f, p, g->state->stage[k].resin.y[0][cell], cell);
        return;
    }
}

/* ---- all of them ------------------------------------------------------------------------------
 */

static const char *const FILES[RECORDER_FILES] = { "series.csv", "events.csv", "daily.csv",
                                                   "front.csv", "wear.csv" };

static FILE **file_of(struct recorder *r, int i)
{
    FILE **const files[RECORDER_FILES] = { &r->series, &r->events, &r->daily, &r->front, &r->wear };
    return files[i];
}

static enum status open_files(struct recorder *r, struct results *folder, const struct plan *plan)
{
    *r = (struct recorder){ 0 };
    for (int i = 0; i < RECORDER_FILES; i++)
        if (!(*file_of(r, i) = results_file(folder, FILES[i])))
            return STATUS_IO;
    memcpy(r->start_date, plan->start_date, sizeof r->start_date);
    return STATUS_OK;
}

enum status recorder_open(struct recorder *r, struct results *folder, const struct plan *plan)
{
    TRY(open_files(r, folder, plan));
    fputs("day,date,kind,part,words\n", r->events);
    fputs("day,standard_flow_percent,standard_passage_percent,product_flow_mL_min,"
          "sediment_drop_kPa,feed_temperature_degC\n",
          r->wear);
    fputs("day,produced_L,drained_L,needed_L,feed_temperature_degC\n", r->daily);
    return STATUS_OK;
}

void recorder_save(const struct recorder *r, struct recorder_saved *out)
{
    struct recorder copy = *r;
    memcpy(out->x_midnight, r->x_midnight, sizeof out->x_midnight);
    for (int i = 0; i < RECORDER_FILES; i++)
        out->size[i] = ftell(*file_of(&copy, i));
}

/* Copies the first `size` bytes of a file of the older folder, which must be just as long. */
static const char *copy_file(const char *from, const char *name, long size, FILE *out)
{
    char path[RESULTS_PATH] = "";
    text_append(path, sizeof path, "%s/%s", from, name);
    size_t length = 0;
    const char *why = NULL;
    char *bytes = file_read(path, (size_t)LONG_MAX, &length, &why);
    if (bytes && (long)length != size)
        why = "it is not as the run left it";
    if (bytes && !why)
        fwrite(bytes, 1, length, out);
    free(bytes);
    return why;
}

enum status recorder_continue(struct recorder *r, struct results *folder, const struct plan *plan,
                              const char *from, const struct recorder_saved *saved,
                              char words[RESULTS_WORDS])
{
    TRY(open_files(r, folder, plan));
    memcpy(r->x_midnight, saved->x_midnight, sizeof r->x_midnight);
    for (int i = 0; i < RECORDER_FILES; i++) {
        errno = 0;
        const char *why = copy_file(from, FILES[i], saved->size[i], *file_of(r, i));
        char shown[RESULTS_PATH];
        if (!why)
            continue;
        snprintf(words, RESULTS_WORDS, "%s/%s: %s", text_escape(from, shown, sizeof shown),
                 FILES[i], why);
        return errno == ENOMEM ? STATUS_MEMORY : STATUS_NO_INPUT;
    }
    return STATUS_OK;
}

void recorder_see(void *self, const struct glimpse *g)
{
    struct recorder *r = self;
    switch (g->moment) {
    case MOMENT_START:
        series_header(r->series, g->plant);
        memcpy(r->x_midnight, g->x, sizeof r->x_midnight);
        break;
    case MOMENT_SAMPLE:
        series_row(r, g);
        break;
    case MOMENT_CHANGE:
        events_row(r, g);
        break;
    case MOMENT_DAY:
        daily_row(r, g);
        wear_row(r->wear, g);
        break;
    case MOMENT_SNAPSHOT:
        front_block(r->front, g);
        break;
    case MOMENT_PARCEL:
    case MOMENT_END:
        break;
    }
}
