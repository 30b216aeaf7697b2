/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film: frames against the state of a run, and the span against its readings.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "models/species.h"
#include "sim/film.h"
#include "sim/scenario.h"

static const double DAY = 86400.0; /* s */

static struct film film;
static char words[RUN_WORDS];

static void record(const struct plant *p, const struct plan *plan, int frames)
{
    const struct film_options o = { .frames = frames };
    cr_assert_eq(film_record(&film, p, plan, &o, words), STATUS_OK, "%s", words);
}

static const double *row(int frame, int cell)
{
    return film.frame[frame].share + cell * FILM_LAYERS;
}

/* The fixture with a bed so small that it ends within weeks. */
static struct plant small_bed(void)
{
    struct plant p = fixture_plant();
    for (int k = 0; k < p.stages; k++)
        if (p.train[k].kind == &stage_resin)
            p.train[k].params.resin.volume *= 0.2;
    return p;
}

static int bed_of(const struct plant *p)
{
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == &stage_resin)
            return k;
    return -1;
}

Test(film, shares_of_each_depth_make_one)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(30.0);
    record(&p, &plan, 12);
    for (int n = 0; n < film.frames; n++)
        for (int cell = 0; cell < film.resin_cells; cell++) {
            double cations = 0.0, anions = 0.0;
            for (int k = 0; k < FILM_LAYERS; k++) {
                cr_assert_geq(row(n, cell)[k], -1e-12);
                cr_assert_leq(row(n, cell)[k], 1.0 + 1e-12);
                *(k < FILM_ANION_LAYER ? &cations : &anions) += row(n, cell)[k];
            }
            cr_assert_float_eq(cations, 1.0, 1e-12, "frame %d cell %d", n, cell);
            cr_assert_float_eq(anions, 1.0, 1e-12, "frame %d cell %d", n, cell);
        }
    film_free(&film);
}

Test(film, the_first_frame_is_new)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(10.0);
    record(&p, &plan, 5);
    const struct film_frame *first = &film.frame[0];
    cr_assert_eq(first->t, 0.0);
    cr_assert_eq(first->litres, 0.0);
    for (int cell = 0; cell < film.resin_cells; cell++) {
        cr_assert_eq(row(0, cell)[FILM_ANION_LAYER - 1], 1.0);
        cr_assert_eq(row(0, cell)[FILM_LAYERS - 1], 1.0);
    }
    for (int cell = 0; cell < film.carbon_cells; cell++)
        cr_assert_eq(first->left[cell], 1.0);
    cr_assert_eq(first->cake + first->layer + first->scale + first->biofilm, 0.0);
    cr_assert_float_eq(first->flow, 1.0, 1e-9);
    cr_assert(isnan(first->reading[0]));
    film_free(&film);
}

/* Deepest cell whose sites are taken by half, -1 if none. */
static int front(int frame, int free_layer)
{
    int at = -1;
    for (int cell = 0; cell < film.resin_cells; cell++)
        if (row(frame, cell)[free_layer] < 0.5)
            at = cell;
    return at;
}

Test(film, fronts_only_advance)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(60.0);
    record(&p, &plan, 30);
    cr_assert_eq(film.marks, 0);
    for (int n = 1; n < film.frames; n++) {
        cr_assert_geq(front(n, FILM_ANION_LAYER - 1), front(n - 1, FILM_ANION_LAYER - 1));
        cr_assert_geq(front(n, FILM_LAYERS - 1), front(n - 1, FILM_LAYERS - 1));
        for (int cell = 0; cell < film.carbon_cells; cell++)
            cr_assert_leq(film.frame[n].left[cell], film.frame[n - 1].left[cell]);
    }
    cr_assert_geq(front(film.frames - 1, FILM_LAYERS - 1), film.resin_cells * 4 / 5,
                  "the anion resin is all but full at the end");
    film_free(&film);
}

Test(film, frames_are_even_steps_of_what_is_made)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(60.0);
    record(&p, &plan, 25);
    const double step = film.span.litres / 24.0;
    for (int n = 0; n < 25; n++)
        cr_assert_float_eq(film.frame[n].litres, n * step, 0.3 * step, "frame %d: %g L, not %g", n,
                           film.frame[n].litres, n * step);
    cr_assert_eq(film.frame[24].t, film.span.t);
    film_free(&film);
}

/* A film that lasts as long as the clock ends where the run ends. */
Test(film, the_last_frame_is_the_state_of_the_run)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(15.0);
    static struct outcome run;
    fixture_run(&p, &plan, NULL, &run);
    record(&p, &plan, 6);
    cr_assert_eq(film.span.why, FILM_CLOCK);
    const struct film_frame *last = &film.frame[5];
    cr_assert_float_eq(last->t, 15.0 * DAY, 1e-6);
    cr_assert_float_eq(last->litres, 1e3 * run.state.x[X_PRODUCT], 1e-9 * last->litres);
    const int bed = bed_of(&p);
    for (int cell = 0; cell < film.resin_cells; cell++)
        for (int k = 0; k < FILM_LAYERS; k++)
            if (film_layers[k].species >= 0)
                cr_assert_float_eq(row(5, cell)[k],
                                   resin_share_at(&p.train[bed].params.resin,
                                                  &run.state.stage[bed].resin, cell,
                                                  (enum species)film_layers[k].species),
                                   1e-12);
    const struct wear_state *w = &run.state.stage[p.membrane].membrane.wear;
    cr_assert_gt(w->layer, 0.0);
    cr_assert_eq(last->layer, w->layer);
    cr_assert_eq(last->cake, w->cake);
    cr_assert_float_eq(last->flow, plant_standard_flow(&p, &run.state), 1e-12);
    film_free(&film);
}

/* What a loose packing lets past, and what its short path meets, are in it. */
Test(film, a_frame_holds_what_the_bed_holds)
{
    struct plant p = small_bed();
    const int bed = bed_of(&p);
    p.train[bed].params.resin.short_flow = 0.2;
    p.train[bed].params.resin.short_resin = 0.1;
    const struct plan plan = fixture_plan(8.0);
    static struct outcome run;
    fixture_run(&p, &plan, NULL, &run);
    record(&p, &plan, 4);
    const struct resin *resin = &p.train[bed].params.resin;
    double sites[2] = { 0.0, 0.0 }, held = 0.0;
    cr_assert_eq(film.span.t, plan.length, "the film is as long as the run");
    for (int k = 0; k < FILM_LAYERS; k++) {
        const int i = film_layers[k].species;
        const double amount = film_held(&film, 3, k);
        sites[k >= FILM_ANION_LAYER] += amount;
        if (i < 0)
            continue;
        const double wanted = resin_held(resin, &run.state.stage[bed].resin, (enum species)i) *
                              abs(species[i].charge);
        held += wanted;
        if (species[i].charge != 0)
            cr_assert_float_eq(amount, wanted, 1e-12 + 1e-9 * wanted, "%s: %g, not %g",
                               film_layers[k].name, amount, wanted);
    }
    cr_assert_gt(held, 0.0);
    cr_assert_float_eq(sites[0], resin_cation_sites(resin), 1e-9 * sites[0]);
    cr_assert_float_eq(sites[1], resin_anion_sites(resin), 1e-9 * sites[1]);
    film_free(&film);
}

/* The reading comes to its limit where the film says, and a fifth is left to be seen. */
Test(film, it_lasts_a_fifth_longer_than_the_last_resin)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(100.0);
    record(&p, &plan, 20);
    cr_assert_eq(film.span.why, FILM_METER);
    cr_assert_geq(film.span.litres, 1.2 * film.span.end_litres);
    cr_assert_leq(film.span.litres, 1.25 * film.span.end_litres);
    cr_assert_lt(film.span.t, plan.length);
    int over = 0;
    for (int i = 0; i < FILM_BINS; i++) {
        const double ppm = film_reading(&film, i, 2), at = film_bin_litres(&film, i);
        if (at < 0.97 * film.span.end_litres && !isnan(ppm))
            cr_assert_lt(ppm, film.span.limit, "%g ppm at %g L", ppm, at);
        over += at > 1.05 * film.span.end_litres && ppm >= film.span.limit;
    }
    cr_assert_gt(over, 5);
    film_free(&film);
}

/* The fixture's tank is full: the first water is made on day 5.  A bed replaced before that has not
 * ended. */
Test(film, a_bed_replaced_is_new_again)
{
    const struct plant p = small_bed();
    struct plan plan = fixture_plan(100.0);
    plan.events = 2;
    plan.event[0] = (struct event){ .at = 1.0 * DAY, .kind = EVENT_REPLACE, .which = bed_of(&p) };
    plan.event[1] = (struct event){ .at = 15.0 * DAY, .kind = EVENT_REPLACE, .which = bed_of(&p) };
    record(&p, &plan, 40);
    cr_assert_eq(film.span.why, FILM_REPLACED);
    cr_assert_float_eq(film.span.end_t, 15.0 * DAY, 1.0);
    cr_assert_eq(film.marks, 2);
    cr_assert_eq(film.mark[1].stage, bed_of(&p));
    int falls = 0;
    for (int n = 1; n < film.frames; n++)
        falls += film_held(&film, n, FILM_LAYERS - 1) > film_held(&film, n - 1, FILM_LAYERS - 1);
    cr_assert_eq(falls, 1, "free sites come back once, not %d times", falls);
    film_free(&film);
}

/* Nobody looks at a plant without anything that changes, or that stands still. */
Test(film, what_would_not_move_is_refused)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(5.0);
    const struct film_options o = { .frames = 0 };
    p.stages = 1;
    p.membrane = -1;
    cr_assert_eq(p.train[0].kind, &stage_sediment);
    cr_assert_eq(film_record(&film, &p, &plan, &o, words), STATUS_SCENARIO);
    cr_assert(strstr(words, "no resin"), "%s", words);
    film_free(&film);

    p = fixture_plant();
    plan.events = 1;
    plan.event[0] = (struct event){ .at = 0.0, .kind = EVENT_SUPPLY_OFF };
    cr_assert_eq(film_record(&film, &p, &plan, &o, words), STATUS_SCENARIO);
    cr_assert(strstr(words, "no water"), "%s", words);
    film_free(&film);
}

Test(film, frames_are_never_more_than_there_is_room_for)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(6.0);
    record(&p, &plan, 1000);
    cr_assert_eq(film.frames, FILM_FRAMES_MAX);
    film_free(&film);
    record(&p, &plan, 1);
    cr_assert_eq(film.frames, FILM_FRAMES_MIN);
    film_free(&film);
}

Test(film, it_stops_when_asked)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(5.0);
    const volatile sig_atomic_t stop = 2;
    const struct film_options o = { .stop = &stop };
    cr_assert_eq(film_record(&film, &p, &plan, &o, words), STATUS_INTERRUPTED);
    film_free(&film);
}

/* ---- text and rows ----------------------------------------------------------------------------
 */

static char text[1 << 21];

static void into_text(void (*write)(const struct film *, FILE *))
{
    memset(text, 0, sizeof text);
    FILE *out = fmemopen(text, sizeof text - 1, "w");
    cr_assert_not_null(out);
    write(&film, out);
    fclose(out);
}

static void all_frames(const struct film *f, FILE *out)
{
    cr_assert(film_text(f, out, NULL));
}

Test(film, frames_as_text_fit_a_small_terminal)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(30.0);
    record(&p, &plan, 8);
    into_text(all_frames);
    int lines = 0, frames = 0;
    for (char *line = text; *line != '\0';) {
        const size_t length = strcspn(line, "\n");
        cr_assert_leq(length, 80, "%.*s", (int)length, line);
        frames += strncmp(line, "frame ", 6) == 0;
        lines = length == 0 ? 0 : lines + 1;
        cr_assert_leq(lines, 23);
        line += length + (line[length] == '\n');
    }
    cr_assert_eq(frames, 8);
    cr_assert_null(strchr(text, '\033'), "no controls where there is no terminal");
    film_free(&film);
}

Test(film, rows_are_the_frames)
{
    const struct plant p = small_bed();
    const struct plan plan = fixture_plan(30.0);
    record(&p, &plan, 3);
    into_text(film_csv);
    int rows = -1; /* the head */
    for (const char *c = text; *c != '\0'; c++)
        rows += *c == '\n';
    cr_assert_eq(rows, 3 * (5 + 6 + film.carbon_cells + FILM_LAYERS * film.resin_cells));
    cr_assert_not_null(strstr(text, "1,\"line\",,product_L,0\n"));
    cr_assert_not_null(strstr(text, ",free_anion,1\n"));
    film_free(&film);
}

/* ---- a scenario -------------------------------------------------------------------------------
 */

Test(film, the_demo_shows_its_resin_from_new_to_spent)
{
    static struct scenario s;
    struct report *report = report_create();
    cr_assert_eq(scenario_load("scenarios/demo.cfg", NULL, &s, report), STATUS_OK);
    report_free(report);
    record(&s.plant, &s.plan, 0);
    cr_assert_eq(film.frames, FILM_FRAMES);
    cr_assert_eq(film.span.why, FILM_METER);
    const double sites = film_held(&film, 0, FILM_LAYERS - 1);
    cr_assert_lt(film_held(&film, film.frames - 1, FILM_LAYERS - 1), 0.02 * sites);
    cr_assert_gt(film_held(&film, film.frames / 2, FILM_LAYERS - 1), 0.2 * sites);
    film_free(&film);
    scenario_free(&s);
}
