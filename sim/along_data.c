/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_data: the line as CSV and JSON, everything in full.  Page: docs/along.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "cell.h"
#include "screen.h"

static const double DAY = 86400.0;     /* s */
static const double ML_PER_MIN = 60e6; /* per m3/s */

static const char *const kinds[] = { [ALONG_FEED] = "feed",   [ALONG_VALVE] = "feed valve",
                                     [ALONG_STAGE] = "stage", [ALONG_CONCENTRATE] = "concentrate",
                                     [ALONG_DRAIN] = "drain", [ALONG_INLET] = "tank inlet" };

static const char *kind_of(const struct along *a, const struct along_point *p)
{
    return p->kind == ALONG_STAGE ? a->plant.train[p->stage].kind->name : kinds[p->kind];
}

/* ---- numbers ----------------------------------------------------------------------------------
 */

static double pressure(const struct along_point *p)
{
    return 1e-3 * p->pressure;
}

static double lost(const struct along_point *p)
{
    return 1e-3 * p->lost;
}

static double flow(const struct along_point *p)
{
    return ML_PER_MIN * p->flow;
}

static double temperature(const struct along_point *p)
{
    return p->water->temperature;
}

static double ph(const struct along_point *p)
{
    return p->ph;
}

static double ph_here(const struct along_point *p)
{
    return p->ph_here;
}

static double conductivity(const struct along_point *p)
{
    return 1e4 * p->conductivity;
}

static double meter(const struct along_point *p)
{
    return 1e3 * p->shown;
}

static const struct {
    const char *name;
    double (*value)(const struct along_point *p);
} numbers[] = { { "pressure_kPa", pressure },
                { "lost_kPa", lost },
                { "flow_mL_per_min", flow },
                { "temperature_C", temperature },
                { "pH_25C", ph },
                { "pH", ph_here },
                { "conductivity_uS_per_cm", conductivity },
                { "meter_ppm", meter } };

enum { NUMBERS = sizeof numbers / sizeof numbers[0] };

static double mass_of(const struct along_point *p, int form)
{
    return 1e3 * along_mass((enum along_form)form) * p->form[form];
}

static double charge_of(const struct along_point *p, int form)
{
    return abs(along_forms[form].charge) * p->form[form];
}

/* Only of what a part can take out; NAN without any that came. */
static double taken(const struct along_point *p, int i)
{
    return p->kind == ALONG_STAGE ? 100.0 * along_taken(p, (enum species)i) : NAN;
}

/* ---- CSV --------------------------------------------------------------------------------------
 */

static void cell(FILE *out, double value)
{
    if (isfinite(value))
        fprintf(out, ",%.9g", value);
    else
        putc(',', out);
}

static void csv_head(FILE *out)
{
    fputs("day,part,kind", out);
    for (int k = 0; k < NUMBERS; k++)
        fprintf(out, ",%s", numbers[k].name);
    for (int f = 0; f < ALONG_FORMS; f++)
        fprintf(out, ",%s_mg_per_L", along_forms[f].key);
    for (int f = 0; f < ALONG_FORMS; f++)
        if (along_forms[f].charge != 0)
            fprintf(out, ",%s_meq_per_L", along_forms[f].key);
    for (int i = 0; i < SALT; i++)
        fprintf(out, ",%s_taken_percent", species[i].key);
    putc('\n', out);
}

static void csv_row(const struct along *a, const struct along_look *l, const struct along_point *p,
                    FILE *out)
{
    fprintf(out, "%.7f,", l->t / DAY);
    cell_text(out, p->name);
    fprintf(out, ",%s", kind_of(a, p));
    for (int k = 0; k < NUMBERS; k++)
        cell(out, numbers[k].value(p));
    for (int f = 0; f < ALONG_FORMS; f++)
        cell(out, mass_of(p, f));
    for (int f = 0; f < ALONG_FORMS; f++)
        if (along_forms[f].charge != 0)
            cell(out, charge_of(p, f));
    for (int i = 0; i < SALT; i++)
        cell(out, taken(p, i));
    putc('\n', out);
}

void along_csv(const struct along *a, FILE *out)
{
    csv_head(out);
    for (int n = 0; n < a->looks; n++)
        for (int i = 0; i < a->look[n]->points; i++)
            csv_row(a, a->look[n], &a->look[n]->point[i], out);
}

/* ---- JSON -------------------------------------------------------------------------------------
 */

static void set(json_t *object, const char *key, double value)
{
    json_object_set_new(object, key, isfinite(value) ? json_real(value) : json_null());
}

/* mg/min (ug of nothing is lost: what came is what went on, to the drain, and stayed). */
static json_t *json_amounts(const struct along_point *p)
{
    json_t *o = json_object();
    for (int i = 0; i < SALT; i++) {
        const struct along_balance b = along_balance(p, (enum species)i);
        const double mg = 60e6 * species[i].molar_mass; /* mg/min per mol/s */
        json_t *one = json_object();
        set(one, "came", mg * b.came);
        set(one, "went_on", mg * b.on);
        set(one, "to_drain", mg * b.drained);
        set(one, "stayed", mg * b.stayed);
        set(one, "taken_percent", taken(p, i));
        json_object_set_new(o, species[i].key, one);
    }
    return o;
}

static json_t *json_point(const struct along *a, const struct along_look *l,
                          const struct along_point *p)
{
    json_t *o = json_object(), *mass = json_object(), *charge = json_object();
    json_object_set_new(o, "part", json_string(p->name));
    json_object_set_new(o, "kind", json_string(kind_of(a, p)));
    for (int k = 0; k < NUMBERS; k++)
        set(o, numbers[k].name, numbers[k].value(p));
    for (int f = 0; f < ALONG_FORMS; f++) {
        set(mass, along_forms[f].key, mass_of(p, f));
        if (along_forms[f].charge != 0)
            set(charge, along_forms[f].key, charge_of(p, f));
    }
    json_object_set_new(o, "mg_per_L", mass);
    json_object_set_new(o, "meq_per_L", charge);
    if (p->kind != ALONG_STAGE)
        return o;
    const struct stage *s = &a->plant.train[p->stage];
    set(o, "used_percent", 100.0 * s->kind->used(&s->params, &l->before.stage[p->stage]));
    json_object_set_new(o, "mg_per_min", json_amounts(p));
    set(o, "nitrogen_gas_mg_per_min", 14.0067e3 * l->trace.nitrogen[p->stage]);
    return o;
}

static json_t *json_notes(const struct along_look *l)
{
    json_t *list = json_array();
    for (const char *line = l->notes, *end; (end = strchr(line, '\n')); line = end + 1)
        json_array_append_new(list, json_stringn(line, (size_t)(end - line)));
    return list;
}

static json_t *json_look(const struct along *a, int n)
{
    const struct along_look *l = a->look[n];
    const struct signals *s = &l->trace.signals;
    char when[SCREEN_CELL];
    json_t *o = json_object(), *line = json_array();
    set(o, "day", l->t / DAY);
    json_object_set_new(o, "when", json_string(along_when(a, n, when, sizeof when)));
    json_object_set_new(o, "resting_in_the_run", json_boolean(l->resting));
    json_object_set_new(o, "notes", json_notes(l));
    set(o, "product_mL_per_min", ML_PER_MIN * s->product_flow / s->duty);
    set(o, "drain_mL_per_min", ML_PER_MIN * s->drain_flow / s->duty);
    set(o, "recovery_percent", 100.0 * s->product_flow / s->feed_flow);
    set(o, "open_share", s->duty);
    for (int i = 0; i < l->points; i++)
        json_array_append_new(line, json_point(a, l, &l->point[i]));
    json_object_set_new(o, "line", line);
    return o;
}

json_t *along_json(const struct along *a)
{
    json_t *o = json_object(), *looks = json_array();
    for (int n = 0; n < a->looks; n++)
        json_array_append_new(looks, json_look(a, n));
    json_object_set_new(o, "along", looks);
    return o;
}
