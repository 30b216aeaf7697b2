/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stage: the list and its tables, and what every kind must keep: elements conserved, concentrations
 * not negative, a used share that starts at nothing.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "models/stage.h"

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

/* Presets of a table; what is required gets the middle of its usual range. */
static void fill(char *base, const struct field *fields)
{
    for (const struct field *f = fields; f->key; f++) {
        char *at = base + f->offset;
        const double v = isnan(f->preset) ? 0.5 * (f->low + f->high) : f->preset;
        if (f->type == FIELD_NUMBER)
            memcpy(at, &v, sizeof v);
        else if (f->type == FIELD_FLAG)
            memcpy(at, &(bool){ v != 0.0 }, sizeof(bool));
        else
            memcpy(at, &(int){ (int)v }, sizeof(int));
    }
}

static union stage_params presets(const struct stage_kind *kind)
{
    union stage_params p;
    memset(&p, 0, sizeof p);
    fill((char *)&p, kind->fields);
    for (const struct stage_group *g = kind->groups; g && g->key; g++)
        fill((char *)&p + g->offset, g->fields);
    return p;
}

Test(stage, finds_every_kind_by_its_name_and_no_other)
{
    int kinds = 0;
    for (; stage_kinds[kinds]; kinds++)
        cr_assert_eq(stage_kind_named(stage_kinds[kinds]->name), stage_kinds[kinds]);
    cr_assert_null(stage_kind_named(""));
    cr_assert_null(stage_kind_named("carbo"));
    cr_assert_null(stage_kind_named("carbons"));
}

Test(stage, names_are_distinct)
{
    for (int i = 0; stage_kinds[i]; i++)
        for (int k = 0; k < i; k++)
            cr_assert_str_neq(stage_kinds[i]->name, stage_kinds[k]->name);
}

Test(stage, tables_are_ordered_ranges_around_their_presets)
{
    for (int i = 0; stage_kinds[i]; i++)
        for (const struct field *f = stage_kinds[i]->fields; f->key; f++) {
            const bool ranged = f->type != FIELD_CHOICE;
            cr_assert(!ranged || (f->min <= f->low && f->low < f->high && f->high <= f->max),
                      "%s.%s", stage_kinds[i]->name, f->key);
            cr_assert(ranged || (f->choices && f->choices[(int)f->preset]), "%s.%s",
                      stage_kinds[i]->name, f->key);
            cr_assert(!ranged || isnan(f->preset) || (f->preset >= f->low && f->preset <= f->high),
                      "%s.%s", stage_kinds[i]->name, f->key);
            cr_assert(f->doc && f->doc[0] && f->source, "%s.%s", stage_kinds[i]->name, f->key);
            cr_assert(f->offset < sizeof(union stage_params), "%s.%s", stage_kinds[i]->name,
                      f->key);
            for (const struct field *g = stage_kinds[i]->fields; g != f; g++)
                cr_assert(strcmp(f->key, g->key) != 0 && f->offset != g->offset, "%s.%s",
                          stage_kinds[i]->name, f->key);
        }
}

static struct parcel random_parcel(unsigned long *seed)
{
    struct parcel w = { .volume = draw(seed, 1e-4, 0.02), .temperature = draw(seed, 3.0, 30.0) };
    w.duration = w.volume / draw(seed, 2e-6, 2e-5);
    for (int i = 0; i < SPECIES_COUNT; i++)
        w.c[i] = draw(seed, 0.0, 1.0);
    w.c[CHLORINE] *= 0.05;
    w.c[CHLORAMINE] *= 0.05;
    w.c[SOLIDS] *= 0.01;
    w.c[SALT] = 0.0;
    return w;
}

static double held(const struct stage_kind *kind, const union stage_params *p,
                   const union stage_state *s, enum element e)
{
    double sum = 0.0;
    for (int i = 0; i < SPECIES_COUNT; i++)
        sum += species_atoms((enum species)i, e) * kind->held(p, s, (enum species)i);
    return sum;
}

static double in_parcel(const struct parcel *w, enum element e)
{
    double sum = 0.0;
    for (int i = 0; i < SPECIES_COUNT; i++)
        sum += species_atoms((enum species)i, e) * w->c[i];
    return sum * w->volume;
}

/* In + held = out + drain + nitrogen gone + held, for every element, on random waters. */
Test(stage, every_kind_conserves_every_element)
{
    static union stage_state s;
    for (int k = 0; stage_kinds[k]; k++) {
        const struct stage_kind *kind = stage_kinds[k];
        const union stage_params p = presets(kind);
        memset(&s, 0, sizeof s);
        kind->start(&p, &s);
        unsigned long seed = 17;
        for (int i = 0; i < 60; i++) {
            struct parcel w = random_parcel(&seed);
            const struct parcel in = w;
            double before[ELEMENT_COUNT];
            for (int e = 0; e < ELEMENT_COUNT; e++)
                before[e] = held(kind, &p, &s, (enum element)e);
            struct stage_exits exits = { .nitrogen = 0.0 };
            const struct stage_passage how = { .permeate_volume = 0.2 * w.volume };
            kind->carry(&p, &s, &w, &how, &exits);
            for (int e = 0; e < ELEMENT_COUNT; e++) {
                const double went_in = in_parcel(&in, (enum element)e);
                const double change = held(kind, &p, &s, (enum element)e) - before[e];
                const double gone = e == ELEMENT_NITROGEN ? exits.nitrogen : 0.0;
                cr_assert_float_eq(in_parcel(&w, (enum element)e) +
                                       in_parcel(&exits.drain, (enum element)e) + change + gone,
                                   went_in, 1e-12 * (went_in + before[e]), "%s, parcel %d, %s",
                                   kind->name, i, element_name[e]);
            }
            for (int j = 0; j < SPECIES_COUNT; j++)
                cr_assert(w.c[j] >= 0.0 && exits.drain.c[j] >= 0.0, "%s, parcel %d, species %d",
                          kind->name, i, j);
            cr_assert_float_eq(w.volume + exits.drain.volume, in.volume, 1e-15 * in.volume);
        }
    }
}

Test(stage, every_kind_starts_unused_with_a_limit_above_nothing)
{
    static union stage_state s;
    for (int k = 0; stage_kinds[k]; k++) {
        const struct stage_kind *kind = stage_kinds[k];
        const union stage_params p = presets(kind);
        unsigned long seed = 23;
        const struct parcel w = random_parcel(&seed);
        memset(&s, 0, sizeof s);
        kind->start(&p, &s);
        cr_assert_float_eq(kind->used(&p, &s), 0.0, 1e-12, "%s", kind->name);
        cr_assert_gt(kind->parcel_limit(&p, &s, w.c), 0.0, "%s", kind->name);
    }
}
