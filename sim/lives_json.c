/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_json: the same answer for programs, and as files of a folder.  Units in the names; null:
 * never.
 */
#include <math.h>

#include "lives.h"
#include "recorder.h"

static const double DAY = 86400.0; /* s */

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static json_t *range_json(const struct lives_range *r, double unit)
{
    return json_pack("{s:o, s:o, s:o, s:[oo], s:[oo]}", "low", number(r->low / unit), "median",
                     number(r->median / unit), "high", number(r->high / unit), "low_between",
                     number(r->low_least / unit), number(r->low_most / unit), "high_between",
                     number(r->high_least / unit), number(r->high_most / unit));
}

static json_t *stages_json(const struct lives *l)
{
    json_t *list = json_array();
    for (int k = 0; k < l->scenario->plant.stages; k++) {
        const struct life_end *e = &l->base.end[k];
        json_array_append_new(list,
                              json_pack("{s:s, s:s, s:s?, s:o, s:o, s:o, s:o, s:o}", "name",
                                        l->scenario->plant.train[k].name, "kind",
                                        l->scenario->plant.train[k].kind->name, "why", e->why,
                                        "days", range_json(&l->stage[k].t, DAY), "litres",
                                        range_json(&l->stage[k].litres, 1.0), "days_as_given",
                                        number(e->t / DAY), "litres_as_given", number(e->litres),
                                        "ends_first_share", number(l->stage[k].first)));
    }
    return list;
}

static json_t *resin_json(const struct load *d, int r)
{
    json_t *shares = json_object();
    for (int i = 0; i < LOAD_SOURCES; i++)
        json_object_set_new(shares, load_source_words[i], number(d->share[r][i]));
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "sites_eq", number(d->sites[r]), "came_eq",
                     number(d->came[r]), "held_eq", number(d->held[r]), "by_hand_L",
                     number(d->hand[r]), "shares", shares);
}

static json_t *load_json(const struct lives *l)
{
    const struct load *d = &l->load;
    json_t *held = json_object();
    if (!d->there) {
        json_decref(held);
        return json_null();
    }
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        json_object_set_new(
            held, species[i].key,
            number(l->base.held[i] / d->sites[i <= LAST_CATION ? LOAD_CATION : LOAD_ANION]));
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:[ooo], s:o, s:o, s:o, s:o}", "litres",
        number(d->litres), "cation", resin_json(d, LOAD_CATION), "anion", resin_json(d, LOAD_ANION),
        "held_share_of_sites", held, "used_share", number(d->used), "slipped_share",
        number(d->slipped), "meter_ppm_at_end", number(1e3 * l->base.meter), "silica_from_L",
        number(d->silica[0]), number(d->silica[1]), number(d->silica[2]), "unseen_silica_mol",
        number(l->base.passed[SILICA]), "unseen_carbon_mol", number(l->base.passed[CARBON]),
        "seen_at_the_latest_day", number(d->late.bed_time / DAY), "seen_at_the_latest_L",
        number(d->late.bed_litres));
}

static json_t *helps_json(const struct helps *h)
{
    json_t *list = json_array();
    for (int i = 0; i < h->count; i++) {
        const struct help *p = &h->list[i];
        char words[PHRASE_WORDS];
        json_array_append_new(list,
                              json_pack("{s:s, s:s?, s:o, s:o, s:b, s:i}", "change",
                                        phrase_say(&p->words, TASTE_METRIC, words), "not_tried",
                                        p->why_not, "litres", number(p->why_not ? NAN : p->litres),
                                        "days", number(p->why_not ? NAN : p->t / DAY), "beyond",
                                        p->beyond, "beds", p->beds));
    }
    return list;
}

static json_t *inputs_json(const struct lives *l)
{
    json_t *list = json_array();
    for (int k = 0; k < l->doubts.count; k++) {
        const struct lives_input *p = &l->input[k];
        const struct sobol_index *x = &p->index;
        json_array_append_new(
            list, json_pack("{s:s, s:b, s:b, s:o, s:[oo], s:o, s:[oo]}", "input", p->doubt->words,
                            "given", p->doubt->given != NULL, "shortens", p->shortens, "first",
                            number(x->first), "first_between", number(x->first_low),
                            number(x->first_high), "total", number(x->total), "total_between",
                            number(x->total_low), number(x->total_high)));
    }
    return list;
}

json_t *lives_json(const struct lives *l)
{
    return json_pack("{s:o, s:i, s:I, s:i, s:s?, s:o, s:o, s:o, s:o, s:o}", "horizon_days",
                     number(l->horizon / DAY), "samples", l->samples, "runs", (json_int_t)l->runs,
                     "unsound", l->unsound, "ends_first",
                     l->first >= 0 ? l->scenario->plant.train[l->first].name : NULL, "parts",
                     stages_json(l), "resin", load_json(l), "helps", helps_json(&l->helps),
                     "inputs", inputs_json(l), "largest_change_with_half", number(l->change));
}

/* ---- files ------------------------------------------------------------------------------------
 */

static void put(FILE *f, const char *name, double x)
{
    if (isfinite(x))
        fprintf(f, ",%.9g", x);
    else
        fprintf(f, ",%s", name);
}

static enum status write_lives(const struct lives *l, struct results *r)
{
    FILE *f = results_file(r, "lives.csv");
    if (!f)
        return STATUS_IO;
    fputs("part,low_days,median_days,high_days,low_L,median_L,high_L,first_share\n", f);
    for (int k = 0; k < l->scenario->plant.stages; k++) {
        const struct lives_stage *s = &l->stage[k];
        const double x[] = { s->t.low / DAY, s->t.median / DAY, s->t.high / DAY,
                             s->litres.low,  s->litres.median,  s->litres.high };
        fprintf(f, "%s", l->scenario->plant.train[k].name);
        for (int i = 0; i < 6; i++)
            put(f, "", x[i]);
        fprintf(f, ",%.9g\n", s->first);
    }
    return STATUS_OK;
}

static enum status write_load(const struct load *d, struct results *r)
{
    FILE *f = results_file(r, "load.csv");
    if (!f)
        return STATUS_IO;
    fputs("source,cation_share,anion_share\n", f);
    for (int i = 0; i < LOAD_SOURCES; i++)
        fprintf(f, "\"%s\",%.9g,%.9g\n", load_source_words[i], d->share[LOAD_CATION][i],
                d->share[LOAD_ANION][i]);
    return STATUS_OK;
}

static enum status write_helps(const struct helps *h, struct results *r)
{
    char words[PHRASE_WORDS];
    FILE *f = results_file(r, "helps.csv");
    if (!f)
        return STATUS_IO;
    fputs("change,litres,days,beds\n", f);
    for (int i = 0; i < h->count; i++)
        if (!h->list[i].why_not)
            fprintf(f, "\"%s\",%.9g,%.9g,%d\n", phrase_say(&h->list[i].words, TASTE_METRIC, words),
                    h->list[i].litres, h->list[i].t / DAY, h->list[i].beds);
    return STATUS_OK;
}

static enum status write_inputs(const struct lives *l, struct results *r)
{
    FILE *f = results_file(r, "inputs.csv");
    if (!f)
        return STATUS_IO;
    fputs("input,total,total_low,total_high,first,first_low,first_high\n", f);
    for (int k = 0; k < l->doubts.count; k++) {
        const struct sobol_index *x = &l->input[k].index;
        fprintf(f, "\"%s\",%.9g,%.9g,%.9g,%.9g,%.9g,%.9g\n", l->input[k].doubt->words, x->total,
                x->total_low, x->total_high, x->first, x->first_low, x->first_high);
    }
    return STATUS_OK;
}

enum status lives_files(const struct lives *l, struct results *r)
{
    TRY(recorder_limits(r, &l->scenario->plant, &l->scenario->plan)); /* it has the title */
    TRY(write_lives(l, r));
    if (l->load.there) {
        TRY(write_load(&l->load, r));
        TRY(write_helps(&l->helps, r));
    }
    return write_inputs(l, r);
}
