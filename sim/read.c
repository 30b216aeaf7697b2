/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read: see read.h.  The scenario is run to the day of the readings, so that wear, beds and season
 * are those of a run.
 */
#include "read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "models/water.h"
#include "text.h"

enum { HISTORIES = 4 }; /* sizes at which all that was is run again */

/* ---- a history --------------------------------------------------------------------------------
 */

struct part { /* of the progress */
    const struct read_options *o;
    double done, share;
};

static void show_part(void *self, double share)
{
    const struct part *p = self;
    if (p->o->progress)
        p->o->progress(p->o->progress_self, p->done + share * p->share);
}

static enum status run_to(const struct plant *p, const struct plan *plan, double t,
                          const struct part *part, struct run_saved *out, char words[READ_WORDS])
{
    const struct run_options options = { .progress = show_part,
                                         .progress_self = (void *)(uintptr_t)part,
                                         .stop = part->o->stop };
    struct run *run = run_create(p, plan, &options);
    if (!run)
        return STATUS_MEMORY;
    enum status status = run_begin(run);
    if (status == STATUS_OK)
        status = run_pause_at(run, t);
    run_save(run, out);
    if (status != STATUS_OK)
        run_explain(run, status, words);
    run_free(run);
    return status;
}

/* The whole history with more free carbon dioxide. */
static enum status rerun(struct read_found *f, struct read_cause *c, const struct read_options *o,
                         char words[READ_WORDS])
{
    struct plant *p = malloc(sizeof *p);
    struct run_saved *saved = malloc(sizeof *saved);
    enum status status = p && saved ? STATUS_OK : STATUS_MEMORY;
    for (int n = 0; n < HISTORIES && status == STATUS_OK; n++) {
        struct read_node *node = &c->node[c->nodes];
        const struct part part = { o, (n + 1.0) / (HISTORIES + 1), 1.0 / (HISTORIES + 1) };
        node->size = read_size_of_node(c->row, n, HISTORIES);
        *p = f->scenario->plant;
        const double co2 = water_speciate(p->feed.c, p->feed.temperature.mean).co2;
        p->feed.c[CARBON] += (node->size - 1.0) * co2;
        status = run_to(p, &f->scenario->plan, f->t, &part, saved, words);
        if (status == STATUS_OK)
            c->nodes += read_node_at(f, c->row, node, &saved->state);
    }
    free(saved);
    free(p);
    return status;
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static enum status no_water(char words[READ_WORDS])
{
    text_append(words, READ_WORDS,
                "the plant of the scenario makes no water at that time: look at "
                "its events, and at --pressure");
    return STATUS_SCENARIO;
}

static enum status look_all(struct read_found *f, const struct read_options *o,
                            char words[READ_WORDS])
{
    for (int i = 0; i < READ_CAUSES; i++) {
        struct read_cause *c = &f->cause[i];
        c->row = &read_rows[i];
        if (!read_nodes(f, c))
            return STATUS_MEMORY;
        if (i == 0 && c->nodes == 0)
            return no_water(words);
        if (c->row->way == READ_CO2 && c->nodes > 0 && o) {
            c->nodes = 0;
            TRY(rerun(f, c, o, words));
        }
    }
    return STATUS_OK;
}

/* The temperature and the pressure that were read are where the model is looked at. */
static void stand(struct read_found *f)
{
    const double *read = f->given.value;
    f->season_temperature = f->place.temperature;
    f->season_pressure = f->place.pressure;
    f->at_temperature = !isnan(read[LOOK_TEMPERATURE]);
    f->at_pressure = !isnan(read[LOOK_PRESSURE]);
    look_conditions(&f->place, read[LOOK_TEMPERATURE], read[LOOK_PRESSURE]);
}

enum status read_look(struct read_found *f, const struct read_given *given)
{
    char words[READ_WORDS] = "";
    f->given = *given;
    stand(f);
    TRY(look_all(f, NULL, words));
    read_fit(f);
    return STATUS_OK;
}

enum status read_find(struct read_found *f, const struct scenario *s,
                      const struct read_given *given, const struct read_options *o,
                      char words[READ_WORDS])
{
    words[0] = '\0';
    f->scenario = s;
    f->given = *given;
    f->t = isnan(o->at) ? s->plan.length : o->at;
    if (s->plant.membrane < 0) {
        text_append(words, READ_WORDS, "readings are explained for a line with a membrane only");
        return STATUS_SCENARIO;
    }
    f->saved = malloc(sizeof *f->saved);
    if (!f->saved)
        return STATUS_MEMORY;
    const struct part part = { o, 0.0, 1.0 / (HISTORIES + 1) };
    TRY(run_to(&s->plant, &s->plan, f->t, &part, f->saved, words));
    if (!look_begin(&f->place, &s->plant, &f->saved->state, &f->saved->settings))
        return STATUS_MEMORY;
    stand(f);
    TRY(look_all(f, o, words));
    read_fit(f);
    return STATUS_OK;
}

void read_free(struct read_found *f)
{
    look_end(&f->place);
    free(f->beds);
    free(f->saved);
    f->beds = NULL;
    f->saved = NULL;
}
