/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "models/water.h"
#include "sim/read.h"

static const double DAYS = 100.0;

/* ---- two plants -------------------------------------------------------------------------------
 */

static struct scenario *scenario_of(const struct plant *p)
{
    struct scenario *s = calloc(1, sizeof *s);
    s->plant = *p;
    s->plan = fixture_plan(DAYS);
    return s;
}

/* Cold soft acid water, a larger element, a finer meter. */
static struct plant other_plant(void)
{
    struct plant p = fixture_plant();
    for (int i = 0; i < CARBON; i++)
        p.feed.c[i] *= 0.4;
    p.feed.c[CARBON] *= 0.6;
    p.feed.temperature = (struct cycle){ .mean = 9.0 };
    p.feed.pressure.mean *= 1.3;
    p.train[p.membrane].params.membrane.area *= 1.3;
    p.meter.resolution = 1e-4;
    return p;
}

struct bench {
    struct scenario *scenario;
    struct read_found *found;
};

static struct bench bench_of(struct plant p)
{
    struct bench b = { scenario_of(&p), calloc(1, sizeof *b.found) };
    const struct read_options o = { .at = NAN };
    const struct read_given given = read_nothing(&p.meter);
    char words[READ_WORDS];
    cr_assert_eq(read_find(b.found, b.scenario, &given, &o, words), STATUS_OK, "%s", words);
    return b;
}

static void bench_free(struct bench *b)
{
    read_free(b->found);
    free(b->found);
    free(b->scenario);
}

__attribute__((unused)) static int cause_named(const char *key)
{
    for (int i = 0; i < READ_CAUSES; i++)
        if (strcmp(read_rows[i].key, key) == 0)
            return i;
    cr_assert(false, "no explanation %s", key);
    return -1;
}

/* ---- measuring --------------------------------------------------------------------------------
 */

/* As the instrument shows it: meters to their last digit, jugs to a hundredth. */
static double measured(const struct bench *b, int k, const double truth[])
{
    const double digit = b->scenario->plant.meter.resolution;
    if (read_instruments[k].meter)
        return digit * round(truth[k] / digit);
    if (k == LOOK_FLOW || k == LOOK_DRAIN)
        return 1e-8 * round(truth[k] / 1e-8);
    return truth[k];
}

static void measure(struct bench *b, int k, const double truth[])
{
    b->found->given.value[k] = measured(b, k, truth);
    read_fit(b->found);
}

static void measure_meters(struct bench *b, const double truth[])
{
    b->found->given = read_nothing(&b->scenario->plant.meter);
    for (int k = LOOK_FEED; k <= LOOK_PRODUCT; k++)
        measure(b, k, truth);
}

static int place_of(const struct read_found *f, int cause)
{
    for (int i = 0; i < f->ranked; i++)
        if (f->order[i] == cause)
            return i;
    return -1;
}

Test(read, explore)
{
    for (int plant = 0; plant < 2; plant++) {
        struct bench b = bench_of(plant ? other_plant() : fixture_plant());
        struct read_found *f = b.found;
        for (int i = 0; i < READ_CAUSES; i++)
            for (int n = 0; n < f->cause[i].nodes; n += 3) {
                const double *truth = f->cause[i].node[n].value;
                measure_meters(&b, truth);
                char size[READ_CELL], a[READ_CELL], c[READ_CELL], d[READ_CELL];
                snprintf(size, sizeof size, "%.3g", f->cause[i].node[n].size);
                printf("%d %s %s: [%s %s %s] d%.1f", plant, read_rows[i].key, size, read_value(0,truth[0],a),read_value(1,truth[1],c),read_value(2,truth[2],d), f->cause[0].misses*sqrt(3));
                for (int round = 0; round < 6; round++) {
                    const int at = place_of(f, i);
                    printf(" | #%d %.2f top %s %.2f", at + 1, at < 0 ? NAN : f->cause[i].share,
                           f->cause[f->order[0]].row->key, f->cause[f->order[0]].share);
                    struct read_next best = { 0 };
                    for (int e = 0; e < READ_EFFORTS; e++)
                        if (f->next[e].removes > best.removes)
                            best = f->next[e];
                    if (f->cause[f->order[0]].share > 3.0 * f->cause[f->order[1]].share && f->order[0]!=0)
                        break;
                    if (best.removes < 0.1)
                        break;
                    printf(" +%s(%.2f)", read_instruments[best.what].key, best.removes);
                    measure(&b, (int)best.what, truth);
                }
                printf("\n");
            }
        bench_free(&b);
    }
}
