/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_measured: the group `measured`: what a jug, a watch and a meter gave.  It fixes the
 * membrane and the drain restrictor better than any nameplate.
 */
#include "scenario_inner.h"

#include <string.h>

#include "amount.h"
#include "models/valve.h"
#include "models/water.h"
#include "text.h"

#define GRAVITY 9.80665
#define ORIFICE 0.62

struct measured_form {
    double product, drain, permeate, at, pressure;
};

const struct field scenario_measured_fields[] = {
    NUMBER("product", DIM_FLOW, struct measured_form, product, NAN, 1e-9, 1e-2, 3e-7, 2e-5,
           "product flow, from a jug and a watch", ""),
    NUMBER("drain", DIM_FLOW, struct measured_form, drain, NAN, 1e-9, 1e-2, 1e-6, 5e-5,
           "drain flow, from a jug and a watch", ""),
    NUMBER("permeate", DIM_METER, struct measured_form, permeate, FIELD_OPTIONAL, 0.0, 1.0, 0.0,
           0.02, "what the meter shows behind the membrane; carbon dioxide conducts too", ""),
    NUMBER("at", DIM_TEMPERATURE, struct measured_form, at, NAN, 0.5, 45.0, 3.0, 35.0,
           "temperature of the water at that time", ""),
    NUMBER("pressure", DIM_PRESSURE, struct measured_form, pressure, FIELD_OPTIONAL, 1e4, 1.6e6,
           1.4e5, 6e5, "supply pressure at that time; the mean if left out", ""),
    { .key = NULL },
};

/* Pressure lost [Pa] in the feed valve, an orifice, as in models/plant.c. */
static double valve_loss(double bore, double flow, const struct fluid *water)
{
    const double speed = flow / (ORIFICE * M_PI / 4.0 * bore * bore);
    return 0.5 * water->density * speed * speed;
}

/* Pressure lost [Pa] in the fresh stages from first to last - 1. */
static double lost(const struct plant *p, int first, int last, const struct jug *jug, double flow)
{
    static const union stage_state zero;
    const struct fluid water = water_fluid(jug->temperature);
    double pressure = jug->pressure, sum = 0.0;
    for (int i = first; i < last; i++) {
        const struct stage *s = &p->train[i];
        union stage_state state = zero;
        s->kind->start(&s->params, &state);
        if (s->kind->pressure_drop == NULL)
            continue;
        const double drop = s->kind->pressure_drop(&s->params, &state, flow, &water, pressure);
        sum += drop;
        pressure -= drop;
    }
    return sum;
}

/* Replaces the note of a value; what was said of it before is told, and odd values too. */
static void note(struct loading *l, const struct node *group, const char *key, double si)
{
    char path[PATH_LENGTH] = "";
    const struct plant *p = &l->out->plant;
    text_append(path, sizeof path, "train.%s.%s", p->train[p->membrane].name, key);
    struct value *v = reader_noted(l->reader.values, path);
    if (v == NULL)
        return;
    if (v->origin == ORIGIN_FILE || v->origin == ORIGIN_COMMAND_LINE)
        reader_complain(&l->reader, SEVERITY_WARNING, group, "leave one of them out",
                        "the jug test replaces the %s that is given", key);
    v->si = si;
    v->origin = ORIGIN_COMPUTED;
    v->source = "from the jug test in `measured`";
    reader_show(v);
    char shown[TEXT_LENGTH];
    for (const struct field *f = stage_membrane.fields; f->key != NULL; f++)
        if (strcmp(f->key, key) == 0 && (si < f->low || si > f->high))
            reader_complain(&l->reader, SEVERITY_WARNING, group,
                            "look at the flows, the temperature and the pressure",
                            "the jug test gives an unusual %s of %s", key, reader_shown(v, shown));
}

static void apply(struct loading *l, const struct node *group, const struct measured_form *form)
{
    struct plant *p = &l->out->plant;
    struct membrane *m = &p->train[p->membrane].params.membrane;
    struct jug jug = { .product = form->product,
                       .drain = form->drain,
                       .temperature = form->at,
                       .conductivity = form->permeate };
    memcpy(jug.c, p->feed.c, sizeof jug.c);
    jug.c[CHLORINE] = jug.c[CHLORAMINE] = 0.0;
    const struct fluid water = water_fluid(form->at);
    jug.pressure = isnan(form->pressure) ? p->feed.pressure.mean : form->pressure;
    const double flow = form->product + form->drain;
    jug.pressure -= valve_loss(p->line.supply_bore, flow, &water);
    jug.pressure -= lost(p, 0, p->membrane, &jug, flow);
    jug.permeate_pressure =
        lost(p, p->membrane + 1, p->stages, &jug, form->product) +
        tube_loss(p->line.tube_length, p->line.tube_bore, form->product, &water) +
        p->line.check_opening + water.density * GRAVITY * p->line.inlet_height;
    const int outcome = membrane_from_jug(m, &jug);
    if (outcome == MEMBRANE_IMPOSSIBLE) {
        char pressure[AMOUNT_CELL];
        reader_complain(&l->reader, SEVERITY_ERROR, group, "look at the flows and the pressure",
                        "no membrane gives these flows at %s",
                        amount_words(AMOUNT_PRESSURE, jug.pressure / 1e3, 0, pressure));
        return;
    }
    if (outcome == MEMBRANE_SALT_KEPT)
        reader_complain(&l->reader, SEVERITY_WARNING, tree_member(group, "permeate"),
                        "the salt passage is kept as the nameplate or the default says",
                        "no salt passage explains this reading: carbon dioxide conducts too");
    note(l, group, "water_permeability", m->water_permeability);
    note(l, group, "restrictor_flow", m->restrictor.flow);
    if (outcome == MEMBRANE_FITTED && !isnan(form->permeate))
        note(l, group, "salt_permeability", m->salt_permeability);
}

void scenario_measured_read(struct loading *l)
{
    const struct node *n = tree_member(l->root, "measured");
    const struct node *group = reader_group(&l->reader, n, "measured");
    if (group == NULL)
        return;
    struct measured_form form;
    const struct section s = {
        .path = "measured", .group = group, .fields = scenario_measured_fields, .base = &form
    };
    reader_section(&l->reader, &s);
    if (report_count(l->reader.report, SEVERITY_ERROR) > 0)
        return; /* it would be computed from nonsense */
    if (l->out->plant.membrane < 0)
        reader_complain(&l->reader, SEVERITY_ERROR, group, "leave the group out",
                        "a jug test needs a membrane");
    else
        apply(l, group, &form);
}
