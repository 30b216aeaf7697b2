/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_keep: the rows as CSV and JSON, and the files of the folder.  An empty cell, or null: it
 * never came.  Page: docs/sweep.md.
 */
#include <math.h>

#include "resolved.h"
#include "sweep.h"

/* ---- CSV --------------------------------------------------------------------------------------
 */

static void quoted(FILE *out, const char *text)
{
    putc('"', out);
    for (; *text != '\0'; text++) {
        if (*text == '"')
            putc('"', out);
        putc(*text, out);
    }
    putc('"', out);
}

void sweep_csv(const struct sweep *s, FILE *out)
{
    fputs("row", out);
    for (int k = 0; k < s->parameters; k++) {
        putc(',', out);
        quoted(out, s->parameter[k].key);
    }
    for (int j = 0; j < s->answers; j++) {
        putc(',', out);
        quoted(out, s->answer[j].name);
    }
    putc('\n', out);
    for (int i = 0; i < s->rows; i++) {
        fprintf(out, "%d", i + 1);
        for (int k = 0; k < s->parameters; k++) {
            putc(',', out);
            quoted(out, s->row[i].point[k].word);
        }
        for (int j = 0; j < s->answers; j++)
            if (isnan(s->row[i].answer[j]))
                putc(',', out);
            else
                fprintf(out, ",%.9g", s->row[i].answer[j]);
        putc('\n', out);
    }
}

/* ---- JSON -------------------------------------------------------------------------------------
 */

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *json_parameters(const struct sweep *s)
{
    json_t *list = json_array();
    for (int k = 0; k < s->parameters; k++) {
        json_t *o = json_object();
        json_object_set_new(o, "key", json_string(s->parameter[k].key));
        json_object_set_new(o, "unit", json_string(s->parameter[k].unit));
        json_object_set_new(o, "numbers", json_boolean(s->parameter[k].numbers));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *json_answers(const struct sweep *s)
{
    json_t *list = json_array();
    for (int j = 0; j < s->answers; j++) {
        json_t *o = json_object();
        json_object_set_new(o, "name", json_string(s->answer[j].name));
        json_object_set_new(o, "words", json_string(s->answer[j].data.words));
        json_object_set_new(o, "unit", json_string(s->answer[j].data.unit));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *json_row(const struct sweep *s, const struct sweep_row *r)
{
    json_t *o = json_object(), *set = json_object(), *answers = json_object();
    for (int k = 0; k < s->parameters; k++)
        json_object_set_new(set, s->parameter[k].key, json_string(r->point[k].word));
    for (int j = 0; j < s->answers; j++)
        json_object_set_new(answers, s->answer[j].name, number(r->answer[j]));
    json_object_set_new(o, "set", set);
    json_object_set_new(o, "answers", answers);
    return o;
}

json_t *sweep_json(const struct sweep *s)
{
    json_t *o = json_object(), *rows = json_array();
    if (!o || !rows) {
        json_decref(o);
        json_decref(rows);
        return NULL;
    }
    json_object_set_new(o, "title", json_string(s->scenario->plan.title));
    json_object_set_new(o, "days", json_real(s->scenario->plan.length / 86400.0));
    json_object_set_new(o, "currency", json_string(s->scenario->plan.prices.currency));
    json_object_set_new(o, "sampled", json_boolean(s->options.samples > 0));
    json_object_set_new(o, "seed", json_integer((json_int_t)s->options.seed));
    json_object_set_new(o, "parameters", json_parameters(s));
    json_object_set_new(o, "answers", json_answers(s));
    for (int i = 0; i < s->rows; i++)
        json_array_append_new(rows, json_row(s, &s->row[i]));
    json_object_set_new(o, "rows", rows);
    return o;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

enum status sweep_keep(const struct sweep *s, const json_t *json, struct results *r)
{
    FILE *csv = results_file(r, "sweep.csv"), *f = results_file(r, "sweep.json");
    FILE *words = results_file(r, "sweep.txt");
    if (!csv || !f || !words)
        return STATUS_IO;
    sweep_csv(s, csv);
    json_dumpf(json, f, JSON_INDENT(2) | JSON_REAL_PRECISION(9));
    fputc('\n', f);
    sweep_print(s, words);
    TRY(resolved_keep(s->scenario, r));
    return results_flush(r); /* whoever draws reads what is on the disk */
}
