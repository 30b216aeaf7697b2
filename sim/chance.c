/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chance: see chance.h.  Means of rates are multiplied, never medians; the spread comes from
 * sampling each rate from its lognormal, the same draw for every set that holds it.
 *
 * Assumes that faults are found at inspections only, all on one day.
 */
#include "chance.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "odds.h"
#include "rates.h"
#include "text.h"

enum { SAMPLES = 1000 };

static const double YEAR = 365.25 * 86400.0; /* s */

struct reckoning {
    const struct sets *sets;
    const struct plan *plan;
    double demands; /* 1/s */
    unsigned long seed;
    int which[HAZARDS_MAX]; /* of rates.h */
    struct rate rate[HAZARDS_MAX];
    double factor[HAZARDS_MAX]; /* of the present sample, on the median */
};

int chance_number(const struct hazard *h)
{
    return h->kind == HAZARD_POWER    ? RATES_POWER_CUT
           : h->kind == HAZARD_SUPPLY ? RATES_SUPPLY_CUT
                                      : h->row;
}

static struct odds_part part_of(const struct reckoning *r, int hazard)
{
    const struct rate *rate = &r->rate[hazard];
    const double value = rate->median * r->factor[hazard];
    if (rate->kind == RATE_STANDING)
        return (struct odds_part){ .standing = fmin(value, 1.0) };
    struct rate now = *rate;
    now.median = value;
    const double per_time = rates_per_time(&now, r->demands);
    if (isfinite(rate->lasts)) /* seen at once, and over by itself */
        return (struct odds_part){ .starts = per_time,
                                   .standing = fmin(per_time * rate->lasts, 1.0) };
    return (struct odds_part){ .starts = per_time, .hides = per_time };
}

/* Two like switches that fail of one cause are an event of their own. */
static double common_cause(const struct reckoning *r, const struct set *s,
                           const struct odds_part part[])
{
    if (s->count != 2 || !rates_alike(r->which[s->hazard[0]], r->which[s->hazard[1]]))
        return 0.0;
    return r->plan->risk.common_cause * fmin(part[0].starts, part[1].starts);
}

static double frequency(const struct reckoning *r, const struct set *s)
{
    struct odds_part part[STRIKES_MAX];
    for (int i = 0; i < s->count; i++)
        part[i] = part_of(r, s->hazard[i]);
    const uint64_t all = (UINT64_C(1) << s->count) - 1;
    return YEAR * (odds_frequency(all, part, s->count, r->plan->risk.inspected) +
                   common_cause(r, s, part));
}

/* ---- spreads ----------------------------------------------------------------------------------
 */

/* A number in (0, 1) that depends on its three arguments alone (a splitmix64 step). */
static double uniform(unsigned long seed, int sample, int hazard)
{
    uint64_t z = (uint64_t)seed * UINT64_C(0x9e3779b97f4a7c15) +
                 (uint64_t)sample * UINT64_C(0xbf58476d1ce4e5b9) +
                 (uint64_t)(hazard + 1) * UINT64_C(0x94d049bb133111eb);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    z ^= z >> 31;
    return ((double)(z >> 11) + 0.5) * 0x1p-53;
}

static void draw_factors(struct reckoning *r, int sample)
{
    for (int i = 0; i < r->sets->hazards; i++)
        r->factor[i] =
            odds_quantile(1.0, r->rate[i].error_factor, uniform(r->seed, sample, r->which[i]));
}

static void mean_factors(struct reckoning *r)
{
    for (int i = 0; i < r->sets->hazards; i++)
        r->factor[i] = odds_mean(1.0, r->rate[i].error_factor);
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void spread_of(double sample[SAMPLES], struct chance *out)
{
    qsort(sample, SAMPLES, sizeof *sample, by_value);
    out->low = sample[SAMPLES / 20];
    out->high = sample[SAMPLES - 1 - SAMPLES / 20];
}

enum { TOTALS = HARM_COUNT + 1 }; /* the last: any spill */

struct samples {
    double total[TOTALS][SAMPLES];
    double *row; /* [rows][SAMPLES] */
};

static void add_sample(const struct reckoning *r, const struct chances *c, struct samples *s,
                       int sample)
{
    for (int i = 0; i < c->rows; i++) {
        const struct chance_row *row = &c->row[i];
        const double f = frequency(r, row->set);
        s->row[i * SAMPLES + sample] = f;
        for (int h = 0; h < HARM_COUNT; h++)
            s->total[h][sample] += row->harm[h] ? f : 0.0;
        s->total[HARM_COUNT][sample] += row->harm[HARM_TANK] || row->harm[HARM_SERVED] ? f : 0.0;
    }
}

static void keep_means(const struct reckoning *r, struct chances *c)
{
    for (int i = 0; i < c->rows; i++) {
        struct chance_row *row = &c->row[i];
        row->chance.mean = frequency(r, row->set);
        for (int h = 0; h < HARM_COUNT; h++)
            c->total[h].mean += row->harm[h] ? row->chance.mean : 0.0;
        c->spill.mean += row->harm[HARM_TANK] || row->harm[HARM_SERVED] ? row->chance.mean : 0.0;
    }
}

/* ---- parts ------------------------------------------------------------------------------------
 */

bool chance_spills(const struct chance_row *r)
{
    return r->harm[HARM_TANK] || r->harm[HARM_SERVED];
}

static bool holds(const struct sets *s, const struct set *one, const char *part)
{
    for (int i = 0; i < one->count; i++)
        if (strcmp(s->hazard[one->hazard[i]].part, part) == 0)
            return true;
    return false;
}

/* A set counts once for each part that it holds.  The samples of the rows must be in their order.
 */
static struct chance chance_of_part(const struct chances *c, const struct sets *s,
                                    const struct samples *samples, const char *part)
{
    struct chance chance = { 0 };
    double total[SAMPLES] = { 0.0 };
    for (int i = 0; i < c->rows; i++) {
        if (!chance_spills(&c->row[i]) || !holds(s, c->row[i].set, part))
            continue;
        chance.mean += c->row[i].chance.mean;
        for (int k = 0; k < SAMPLES; k++)
            total[k] += samples->row[i * SAMPLES + k];
    }
    spread_of(total, &chance);
    return chance;
}

static int by_part_chance(const void *a, const void *b)
{
    const double x = ((const struct chance_part *)a)->chance.mean;
    const double y = ((const struct chance_part *)b)->chance.mean;
    return (x < y) - (x > y);
}

static void keep_parts(struct chances *c, const struct sets *s, const struct samples *samples)
{
    for (int i = 0; i < s->hazards; i++) {
        const char *part = s->hazard[i].part;
        bool known = false;
        for (int k = 0; k < c->parts; k++)
            known = known || strcmp(c->part[k].part, part) == 0;
        const struct chance chance = chance_of_part(c, s, samples, part);
        if (!known && chance.mean > 0.0)
            c->part[c->parts++] = (struct chance_part){ part, chance };
    }
    qsort(c->part, (size_t)c->parts, sizeof c->part[0], by_part_chance);
}

/* ---- rows -------------------------------------------------------------------------------------
 */

static void add_row(struct chances *c, const struct set *s)
{
    struct chance_row row = { .set = s };
    bool any = false;
    for (int h = 0; h < HARM_COUNT; h++) {
        /* dryness by pairs tells little: a single fault is enough everywhere */
        row.harm[h] =
            isfinite(sets_begins(&s->worst, (enum harm)h)) && (h != HARM_DRY || s->count == 1);
        any = any || row.harm[h];
    }
    if (s->tried && any)
        c->row[c->rows++] = row;
}

static int by_chance(const void *a, const void *b)
{
    const double x = ((const struct chance_row *)a)->chance.mean;
    const double y = ((const struct chance_row *)b)->chance.mean;
    return (x < y) - (x > y);
}

enum status chance_reckon(struct chances *c, const struct sets *s, const struct plan *plan,
                          double demands, unsigned long seed)
{
    *c = (struct chances){ 0 };
    struct reckoning r = { .sets = s, .plan = plan, .demands = demands, .seed = seed };
    const size_t most = (size_t)(s->hazards + s->pairs + s->triples);
    struct samples *samples = calloc(1, sizeof *samples);
    c->row = calloc(most, sizeof *c->row);
    if (!samples || !c->row)
        return free(samples), STATUS_MEMORY;
    for (int i = 0; i < s->hazards; i++) {
        r.which[i] = chance_number(&s->hazard[i]);
        r.rate[i] = rates_of(plan, r.which[i]);
        add_row(c, &s->single[i]);
    }
    for (int i = 0; i < s->pairs; i++)
        add_row(c, &s->pair[i]);
    for (int i = 0; i < s->triples; i++)
        add_row(c, &s->triple[i]);
    mean_factors(&r);
    keep_means(&r, c);
    qsort(c->row, (size_t)c->rows, sizeof *c->row, by_chance);

    samples->row = calloc((size_t)(c->rows + 1) * SAMPLES, sizeof(double));
    if (!samples->row)
        return free(samples), STATUS_MEMORY;
    for (int k = 0; k < SAMPLES; k++) {
        draw_factors(&r, k);
        add_sample(&r, c, samples, k);
    }
    keep_parts(c, s, samples);
    for (int i = 0; i < c->rows; i++)
        spread_of(&samples->row[i * SAMPLES], &c->row[i].chance);
    for (int h = 0; h < HARM_COUNT; h++)
        spread_of(samples->total[h], &c->total[h]);
    spread_of(samples->total[HARM_COUNT], &c->spill);
    free(samples->row);
    free(samples);
    return STATUS_OK;
}

void chance_free(struct chances *c)
{
    free(c->row);
    c->row = NULL;
}

/* ---- words ------------------------------------------------------------------------------------
 */

/* One or two digits: more are never known. */
static void about(double x, char out[32])
{
    const double scale = pow(10.0, floor(log10(x)) - (x < 10.0 ? 0.0 : 1.0));
    snprintf(out, 32, "%.6g", scale * floor(x / scale + 0.5));
}

static void once_in(double frequency, char out[48])
{
    char number[32];
    if (!(frequency > 0.0)) {
        snprintf(out, 48, "never");
        return;
    }
    about(frequency < 1.0 ? 1.0 / frequency : frequency, number);
    if (strcmp(number, "1") == 0)
        snprintf(out, 48, "once a year");
    else if (frequency < 1.0)
        snprintf(out, 48, "once in %s years", number);
    else
        snprintf(out, 48, "%s times a year", number);
}

char *chance_words(const struct chance *c, char out[CHANCE_WORDS])
{
    char mean[48], low[48], high[48];
    once_in(c->mean, mean);
    once_in(c->low, low);
    once_in(c->high, high);
    out[0] = '\0';
    text_append(out, CHANCE_WORDS, c->mean > 0.0 ? "%s (%s to %s)" : "none found", mean, low, high);
    return out;
}

char *chance_once(double frequency, char out[CHANCE_WORDS])
{
    once_in(frequency, out);
    return out;
}
