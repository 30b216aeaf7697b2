/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep: see sweep.h.  Rows are independent: what comes out does not depend on how many threads
 * there are.  No run draws at random, so all rows meet the same seasons, draws and dated events.
 */
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "memory.h"
#include "sample.h"
#include "text.h"
#include "variant.h"

enum { SET_ROOM = PATH_LENGTH + VARY_WORD + 4 };

/* ---- which rows -------------------------------------------------------------------------------
 */

static enum status read_vary(struct sweep *s, char words[SWEEP_COMPLAINT])
{
    const struct sweep_options *o = &s->options;
    if (o->varied > SWEEP_KEYS) {
        snprintf(words, SWEEP_COMPLAINT, "--vary can be given twice at most, not %d times",
                 o->varied);
        return STATUS_USAGE;
    }
    for (int i = 0; i < o->varied; i++) {
        struct vary *v = &s->vary[i];
        if (!vary_parse(o->vary[i], o->samples > 0, v, words))
            return STATUS_USAGE;
        for (int k = 0; k < i; k++)
            if (strcmp(s->vary[k].key, v->key) == 0) {
                snprintf(words, SWEEP_COMPLAINT, "%s is varied twice", v->key);
                return STATUS_USAGE;
            }
        s->parameter[s->parameters++] = (struct sweep_parameter){
            .key = v->key, .unit = v->unit, .numbers = v->numbers, .log = v->log
        };
    }
    return STATUS_OK;
}

static enum status make_rows(struct sweep *s, long rows, char words[SWEEP_COMPLAINT])
{
    if (rows > SWEEP_ROWS) {
        snprintf(words, SWEEP_COMPLAINT, "%ld rows are too many: %d at most, each is a whole run",
                 rows, SWEEP_ROWS);
        return STATUS_USAGE;
    }
    s->row = calloc((size_t)rows, sizeof *s->row);
    s->rows = s->row ? (int)rows : 0;
    return s->row ? STATUS_OK : STATUS_MEMORY;
}

static enum status plan_grid(struct sweep *s, char words[SWEEP_COMPLAINT])
{
    const int inner = s->parameters > 1 ? s->vary[1].count : 1;
    if (s->parameters == 0) {
        snprintf(words, SWEEP_COMPLAINT,
                 "what shall vary?  --vary KEY=FROM..TO/N, or --sample N for the spreads that the "
                 "scenario gives");
        return STATUS_USAGE;
    }
    TRY(make_rows(s, (long)s->vary[0].count * inner, words));
    for (int i = 0; i < s->rows; i++) {
        s->row[i].point[0] = s->vary[0].point[i / inner];
        if (s->parameters > 1)
            s->row[i].point[1] = s->vary[1].point[i % inner];
    }
    return STATUS_OK;
}

/* ---- a sample ---------------------------------------------------------------------------------
 */

static bool is_spread(const struct value *v)
{
    const bool number = v->type == FIELD_NUMBER || v->type == FIELD_COUNT;
    return number && (!isnan(v->sd) || (!isnan(v->low) && !isnan(v->high)));
}

/* A draw of a value with a spread, in the unit of the scenario's resolved form. */
static void draw(const struct value *v, double u, struct vary_point *out)
{
    const struct spread spread = { v->si, v->sd, v->low, v->high, v->min >= 0.0 };
    const double si = variant_accepted(v, sample_value(&spread, u));
    char exact[UNITS_TEXT];
    if (v->type == FIELD_COUNT)
        snprintf(out->word, VARY_WORD, "%.0f", si);
    else if (v->dimension == DIM_NONE)
        snprintf(out->word, VARY_WORD, "%.12g", si);
    else
        snprintf(out->word, VARY_WORD, "%s", units_exact(si, v->dimension, exact, sizeof exact));
    out->number = strtod(out->word, NULL);
}

static const char *unit_of(const struct value *v)
{
    return v->type == FIELD_COUNT || v->dimension == DIM_NONE ? "" : units_si(v->dimension);
}

/* The values with a spread, in the order of the scenario. */
static enum status find_spreads(struct sweep *s, const struct value *of[SWEEP_PARAMETERS],
                                char words[SWEEP_COMPLAINT])
{
    const struct values *values = &s->scenario->values;
    for (int i = 0; i < values->count; i++) {
        const struct value *v = &values->list[i];
        if (!is_spread(v))
            continue;
        if (s->parameters == SWEEP_PARAMETERS) {
            snprintf(words, SWEEP_COMPLAINT, "the scenario gives more than %d spreads",
                     SWEEP_PARAMETERS);
            return STATUS_USAGE;
        }
        of[s->parameters] = v;
        s->parameter[s->parameters++] =
            (struct sweep_parameter){ .key = v->path, .unit = unit_of(v), .numbers = true };
    }
    if (s->parameters > 0)
        return STATUS_OK;
    snprintf(words, SWEEP_COMPLAINT,
             "the scenario gives no spread to sample from, such as pH = { value = 7.4; sd = 0.1; };"
             " or give a range: --vary KEY=FROM..TO");
    return STATUS_USAGE;
}

static enum status plan_sample(struct sweep *s, char words[SWEEP_COMPLAINT])
{
    const struct value *of[SWEEP_PARAMETERS] = { NULL };
    const int n = s->options.samples;
    if (s->parameters == 0)
        TRY(find_spreads(s, of, words));
    TRY(make_rows(s, n, words));
    double *u = calloc((size_t)n * (size_t)s->parameters, sizeof *u);
    const bool drawn = u && sample_latin(u, n, s->parameters, s->options.seed);
    for (int i = 0; drawn && i < n; i++)
        for (int k = 0; k < s->parameters; k++) {
            const double share = u[i * s->parameters + k];
            if (of[k])
                draw(of[k], share, &s->row[i].point[k]);
            else
                vary_at(&s->vary[k], share, &s->row[i].point[k]);
        }
    free(u);
    return drawn ? STATUS_OK : STATUS_MEMORY;
}

enum status sweep_plan(struct sweep *s, const struct scenario *scenario,
                       const struct sweep_options *options, char words[SWEEP_COMPLAINT])
{
    s->scenario = scenario;
    s->options = *options;
    TRY(read_vary(s, words));
    TRY(options->samples > 0 ? plan_sample(s, words) : plan_grid(s, words));
    sweep_answers(s);
    return STATUS_OK;
}

void sweep_free(struct sweep *s)
{
    free(s->row);
}

/* ---- a row's scenario -------------------------------------------------------------------------
 */

/* A change of the command line that gives the spread of a parameter, or says what is varied anyway.
 */
static bool is_varied(const struct sweep *s, const char *set)
{
    for (int k = 0; k < s->parameters; k++) {
        const size_t n = strlen(s->parameter[k].key);
        if (strncmp(set, s->parameter[k].key, n) == 0 && set[n] == '=')
            return true;
    }
    return false;
}

static enum status load(const struct sweep *s, const struct sweep_row *r, struct scenario *out,
                        struct report *report)
{
    const char *const *sets = s->options.sets;
    int given = 0;
    while (sets && sets[given])
        given++;
    const char **all = calloc((size_t)(given + s->parameters + 1), sizeof *all);
    char(*written)[SET_ROOM] = calloc((size_t)s->parameters, sizeof *written);
    enum status status = STATUS_MEMORY;
    if (all && written) {
        int n = 0;
        for (int i = 0; i < given; i++)
            if (!is_varied(s, sets[i]))
                all[n++] = sets[i];
        for (int k = 0; k < s->parameters; k++) {
            snprintf(written[k], SET_ROOM, "%s=%s", s->parameter[k].key, r->point[k].word);
            all[n++] = written[k];
        }
        status = scenario_load(s->options.file, all, out, report);
    }
    free(written);
    free(all);
    return status;
}

/* The answers are of one plant: a change must leave its stages where they are. */
static bool is_alike(const struct plant *a, const struct plant *b)
{
    bool alike = a->stages == b->stages;
    for (int k = 0; alike && k < a->stages; k++)
        alike = strcmp(a->train[k].name, b->train[k].name) == 0;
    return alike;
}

static enum status check_row(struct sweep *s, struct sweep_row *r, struct scenario *room,
                             struct report *report)
{
    enum status status = load(s, r, room, report);
    if (status != STATUS_OK)
        return status;
    if (!is_alike(&room->plant, &s->scenario->plant)) {
        const struct place nowhere = { .file = NULL };
        report_add(report, SEVERITY_ERROR, nowhere, NULL, NULL,
                   "a change may not alter which stages there are: sweep each train by itself");
        status = STATUS_SCENARIO;
    }
    scenario_free(room);
    return status;
}

enum status sweep_check(struct sweep *s, const struct report *known, struct report *report,
                        int *refused)
{
    struct scenario *room = calloc(1, sizeof *room);
    enum status status = room ? STATUS_OK : STATUS_MEMORY;
    *refused = 0;
    for (int i = 0; i < s->rows && status == STATUS_OK; i++) {
        struct report *one = report_create();
        if (s->options.crew.stop && *s->options.crew.stop)
            status = STATUS_INTERRUPTED;
        else if (!one)
            status = STATUS_MEMORY;
        if (status == STATUS_OK) {
            s->row[i].status = check_row(s, &s->row[i], room, one);
            *refused += s->row[i].status != STATUS_OK;
            if (s->row[i].status == STATUS_MEMORY)
                status = STATUS_MEMORY;
            report_add_new(report, one, known);
        }
        report_free(one);
    }
    free(room);
    return status != STATUS_OK ? status : *refused > 0 ? STATUS_SCENARIO : STATUS_OK;
}

/* ---- its run ----------------------------------------------------------------------------------
 */

static enum status run_row(const struct sweep *s, struct sweep_row *r, struct scenario *scenario)
{
    struct summary *summary = malloc(sizeof *summary);
    if (!summary)
        return STATUS_MEMORY;
    summary_init(summary);
    const struct observer observer = { summary_see, summary };
    const struct run_options options = { .observers = &observer,
                                         .observer_count = 1,
                                         .stop = s->options.crew.stop };
    struct run_figures figures;
    char words[RUN_WORDS];
    const enum status status =
        run_simulate(&scenario->plant, &scenario->plan, &options, &figures, words);
    if (status == STATUS_OK)
        sweep_answer_row(s, summary, scenario, r->answer);
    free(summary);
    return status;
}

/* What is kept of a row: plain bytes. */
struct result {
    double status; /* an enum status */
    double answer[SWEEP_ANSWERS];
};

struct going {
    const struct sweep *sweep;
    struct result *result;
};

static void work(void *self, long i)
{
    const struct going *g = self;
    struct sweep_row *r = &g->sweep->row[i];
    struct scenario *scenario = calloc(1, sizeof *scenario);
    struct report *report = report_create();
    r->status = STATUS_MEMORY;
    if (scenario && report)
        r->status = g->sweep->options.file ? load(g->sweep, r, scenario, report) : STATUS_NO_INPUT;
    if (r->status == STATUS_OK) {
        r->status = run_row(g->sweep, r, scenario);
        scenario_free(scenario);
    }
    report_free(report);
    free(scenario);
    if (r->status == STATUS_MEMORY)
        memory_ran_out(); /* no result to be kept */
    g->result[i].status = r->status;
    memcpy(g->result[i].answer, r->answer, sizeof r->answer);
}

/* A row that could not be read, or was stopped, may go well another time. */
static bool is_sound(const void *result)
{
    const enum status status = (enum status)((const struct result *)result)->status;
    return status == STATUS_OK || status_exit(status) == EX_SOFTWARE;
}

static enum status take(struct sweep *s, const struct result result[])
{
    for (int i = 0; i < s->rows; i++) {
        s->row[i].status = (enum status)result[i].status;
        memcpy(s->row[i].answer, result[i].answer, sizeof s->row[i].answer);
        if (s->row[i].status != STATUS_OK)
            return (s->failed = &s->row[i])->status;
    }
    return STATUS_OK;
}

enum status sweep_run(struct sweep *s)
{
    struct going g = { s, calloc((size_t)s->rows, sizeof *g.result) };
    if (!g.result)
        return STATUS_MEMORY;
    const struct cases_list list = { .name = "rows",
                                     .count = s->rows,
                                     .size = sizeof *g.result,
                                     .results = g.result,
                                     .sound = is_sound };
    enum status status = cases_crew(s->options.cases, &s->options.crew, &list, work, &g);
    if (status == STATUS_OK)
        status = take(s, g.result);
    if (status == STATUS_OK && s->options.cases)
        status = cases_finish(s->options.cases);
    free(g.result);
    return status;
}
