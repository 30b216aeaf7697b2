/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * recorder: see recorder.h.  Write errors show when the results folder is flushed.
 */
#include "recorder.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "date.h"
#include "decimal.h"
#include "file.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
static const double LITRE = 1e3;   /* per m3 */

enum { ROW_MAX = 1024 };

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

static char *series_cells(char *end, const struct channel_row *c, const struct glimpse *g)
{
    for (; c->name; c++) {
        end = decimal_write(end, c->value(g), c->places);
        *end++ = ',';
    }
    return end;
}

static void series_row(FILE *f, const struct glimpse *g)
{
    char row[ROW_MAX], *end = series_cells(row, channels, g);
    if (g->plant->has_bladder)
        end = series_cells(end, channels_bladder, g);
    end[-1] = '\n';
    fwrite(row, 1, (size_t)(end - row), f);
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

/* Names of parts come from scenarios: quoted, and never the start of a spreadsheet formula. */
static void quoted(FILE *f, const char *text)
{
    fputc('"', f);
    if (strchr("=+-@", text[0]) && text[0])
        fputc('\'', f);
    for (; *text; text++) {
        if (*text == '"')
            fputc('"', f);
        fputc(*text, f);
    }
    fputc('"', f);
}

static void events_row(struct recorder *r, const struct glimpse *g)
{
    char date[32];
    date_at(r->start_date, g->t, date);
    fprintf(r->events, "%.7f,%s,%s,", g->t / DAY, date, g->change->kind);
    quoted(r->events, g->change->part);
    fputc(',', r->events);
    quoted(r->events, g->change->words);
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
        series_row(r->series, g);
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

static void limit_row(FILE *f, const char *key, double value)
{
    if (isfinite(value))
        fprintf(f, "%s,%.6g\n", key, value);
}

enum status recorder_limits(struct results *folder, const struct plant *p, const struct plan *plan)
{
    FILE *f = results_file(folder, "limits.csv");
    if (!f)
        return STATUS_IO;
    fputs("key,value\n", f);
    limit_row(f, "tank_rim_cm", 100.0 * p->tank.height);
    limit_row(f, "tank_outlet_cm", 100.0 * p->tank.outlet);
    limit_row(f, "fill_on_cm", p->fill.switches ? 100.0 * p->fill.on_at : NAN);
    limit_row(f, "fill_off_cm",
              p->fill.switches      ? 100.0 * p->fill.off_at
              : p->fill.float_valve ? 100.0 * p->fill.valve.shuts_at
                                    : NAN);
    limit_row(f, "overflow_lip_cm",
              p->tank.overflow.kind != OVERFLOW_NONE ? 100.0 * p->tank.overflow.lip : NAN);
    limit_row(f, "permeate_limit_ppm", 1e3 * plan->limits.permeate);
    limit_row(f, "product_limit_ppm", 1e3 * plan->limits.product);
    fputs("title,", f);
    quoted(f, plan->title);
    fputc('\n', f);
    return STATUS_OK;
}

enum status recorder_cost(struct results *folder, const struct cost_row *rows, int count,
                          const char *currency)
{
    FILE *f = results_file(folder, "cost.csv");
    if (!f)
        return STATUS_IO;
    fputs("part,amount,currency\n", f);
    for (int i = 0; i < count; i++) {
        quoted(f, rows[i].part);
        fprintf(f, ",%.4f,", rows[i].amount);
        quoted(f, currency);
        fputc('\n', f);
    }
    return STATUS_OK;
}

/* ---- the start-up pulse ------------------------------------------------------------------------
 */

enum { PULSE_SECONDS = 300, PULSE_STEP = 2 };

/* One run of five minutes after a rest, a parcel every two seconds. */
static void pulse_block(FILE *f, const struct plant *p, struct parcel feed, double made,
                        double rest)
{
    const struct stage *m = &p->train[p->membrane];
    union stage_state state;
    m->kind->start(&m->params, &state);
    feed.duration = 3600.0;
    feed.volume *= feed.duration;
    struct stage_passage how = { .permeate_volume = made * feed.duration };
    struct stage_exits exits = { 0 };
    struct parcel water = feed;
    m->kind->carry(&m->params, &state, &water, &how, &exits);
    membrane_rest(&m->params.membrane, &state.membrane, feed.temperature, rest);
    for (int t = 0; t < PULSE_SECONDS; t += PULSE_STEP) {
        water = feed;
        water.duration = PULSE_STEP;
        water.volume = feed.volume / feed.duration * PULSE_STEP;
        how.permeate_volume = made * PULSE_STEP;
        m->kind->carry(&m->params, &state, &water, &how, &exits);
        const struct speciation forms = water_speciate(water.c, 25.0);
        const double shown = p->meter.factor * water_conductivity(water.c, &forms);
        fprintf(f, "%d,%.3f,%.3g\n", t + PULSE_STEP, 1e3 * shown, rest / 3600.0);
    }
}

enum status recorder_pulse(struct results *folder, const struct plant *p)
{
    static const double REST[] = { 0.25, 1.0, 8.0, 24.0 }; /* h */
    if (p->membrane < 0)
        return STATUS_OK;
    FILE *f = results_file(folder, "pulse.csv");
    if (!f)
        return STATUS_IO;
    struct state *s = calloc(1, sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    plant_start(p, s);
    const struct signals sig = plant_filling(p, s);
    struct parcel feed = { .volume = sig.feed_flow, .temperature = sig.feed_temperature };
    const struct feed_now now = feed_at(&p->feed, 0.0);
    memcpy(feed.c, now.c, sizeof feed.c);
    free(s);
    fputs("second,permeate_ppm,rest_h\n", f);
    for (size_t i = 0; i < sizeof REST / sizeof REST[0] && sig.feed_flow > 0.0; i++) {
        if (i > 0)
            fputs("\n\n", f);
        pulse_block(f, p, feed, sig.product_flow, 3600.0 * REST[i]);
    }
    return STATUS_OK;
}

enum status recorder_balance(struct results *folder, const struct balance_row *rows)
{
    FILE *f = results_file(folder, "balance.csv");
    if (!f)
        return STATUS_IO;
    fputs("what,unit,held_at_start,in", f);
    for (int e = 0; e < EXIT_COUNT; e++) {
        fputs(",out_", f);
        for (const char *c = exit_name[e]; *c; c++)
            fputc(*c == ' ' ? '_' : *c, f);
    }
    fputs(",destroyed,held_at_end,relative_error\n", f);
    for (int i = 0; i < BALANCE_ROWS; i++) {
        const struct balance_row *r = &rows[i];
        fprintf(f, "%s,%s,%.12g,%.12g", r->name, r->unit, r->start, r->in);
        for (int e = 0; e < EXIT_COUNT; e++)
            fprintf(f, ",%.12g", r->out[e]);
        fprintf(f, ",%.12g,%.12g,%.3g\n", r->destroyed, r->held, r->error);
    }
    return STATUS_OK;
}
