/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_served: the group `served`: the open water that is topped off.
 */
#include "scenario_inner.h"

#include <string.h>

struct served_form {
    struct basin basin;
    struct topoff topoff;
    int kind;
};

#define FORM struct served_form

/* Words of enum topoff_kind, in its order. */
static const char *const topoffs[] = { "none", "pump and float switch", "gravity float", NULL };

const struct field scenario_served_fields[] = {
    NUMBER("surface", DIM_AREA, FORM, basin.surface, NAN, 1e-3, 1e3, 0.05, 20.0,
           "surface where the level moves (of the sump, if there is one)", ""),
    NUMBER("open_surface", DIM_AREA, FORM, basin.open_surface, FIELD_OPTIONAL, 0.0, 1e3, 0.05, 20.0,
           "surface that evaporates; as surface if left out", ""),
    NUMBER("volume", DIM_VOLUME, FORM, basin.volume, NAN, 1e-4, 1e3, 0.01, 20.0,
           "volume at the working level", ""),
    NUMBER("freeboard", DIM_LENGTH, FORM, basin.freeboard, 0.05, 0.0, 5.0, 0.01, 0.5,
           "from the working level to the rim", "assumption"),
    NUMBER("calibration", DIM_NONE, FORM, basin.calibration, 1.0, 0.0, 20.0, 0.3, 3.0,
           "measured over modelled evaporation", "none is known"),
    NUMBER("salinity", (enum dimension)DIM_SALINITY, FORM, basin.salinity, 0.0, 0.0, 100.0, 0.0,
           45.0, "salt of the served water at the start", "assumption: fresh water"),
    CHOICE("topoff", FORM, kind, TOPOFF_NONE, topoffs, "what tops it off from the tank",
           "assumption: nothing was named"),
    NUMBER("topoff_flow", DIM_FLOW, FORM, topoff.flow, 2e-3 / 60.0, 1e-8, 0.1, 1e-6, 5e-4,
           "flow of the top-off pump; of a gravity float its most, 0.5 L/min if left out",
           "assumption: 2 L/min"),
    NUMBER("topoff_float_band", DIM_LENGTH, FORM, topoff.band, 0.02, 1e-4, 1.0, 1e-3, 0.1,
           "fall below the working level that opens a gravity float fully",
           "small lever valves 10 to 40 mm; common practice, from memory"),
    NUMBER("topoff_below", DIM_LENGTH, FORM, topoff.on_below, 5e-3, 0.0, 1.0, 1e-3, 0.05,
           "below the working level, where the pump starts", "assumption"),
    NUMBER("topoff_band", DIM_LENGTH, FORM, topoff.off_above, 5e-3, 1e-5, 1.0, 1e-3, 0.05,
           "above its start, where the pump stops", "magnetic floats 1 to 5 mm; common practice"),
    NUMBER("topoff_longest_run", DIM_TIME, FORM, topoff.longest_run, FIELD_OPTIONAL, 1.0,
           31622400.0, 10.0, 86400.0,
           "longest run of the pump, after which it is tripped; no limit if left out", ""),
    FLAG("topoff_latches", FORM, topoff.latches, 1.0,
         "after its longest run the pump stands until reset, else until the switch shows wet",
         "assumption"),
    NUMBER(
        "topoff_high_at", DIM_LENGTH, FORM, topoff.high_at, FIELD_OPTIONAL, -1.0, 5.0, 1e-3, 0.5,
        "above the working level, where a second switch cuts the power of the pump; none if left "
        "out",
        ""),
    NUMBER("topoff_power", DIM_POWER, FORM, topoff.power, 10.0, 0.0, 1e3, 1.0, 60.0,
           "power of the top-off pump", "assumption"),
    NUMBER(
        "topoff_hose_end", DIM_LENGTH, FORM, topoff.hose_end, FIELD_OPTIONAL, -10.0, 10.0, -2.0,
        2.5,
        "where the pump's hose ends, above the floor of the storage tank (below it: negative); if "
        "it ends under the served water, that water's level; left out, it never siphons",
        ""),
    NUMBER("topoff_hose_bore", DIM_LENGTH, FORM, topoff.hose_bore, 6e-3, 5e-4, 0.1, 3e-3, 0.02,
           "bore of that hose", "assumption"),
    NUMBER("topoff_hose_length", DIM_LENGTH, FORM, topoff.hose_length, 2.0, 0.01, 100.0, 0.3, 20.0,
           "length of that hose", "assumption"),
    FLAG(
        "siphon_break", FORM, topoff.siphon_break, 1.0,
        "air gets into the hose when the pump stops: a hole above the water, or an end in free air "
        "above the tank's rim",
        "assumption"),
    { .key = NULL },
};

const struct field scenario_served_cycles[] = {
    NUMBER("water", DIM_TEMPERATURE, struct cycle, mean, NAN, 1.0, 45.0, 10.0, 35.0,
           "temperature of the served water; a cycle", ""),
    NUMBER("air", DIM_TEMPERATURE, struct cycle, mean, 21.0, 0.0, 45.0, 10.0, 35.0,
           "temperature of the room; a cycle", "assumption: a heated room"),
    NUMBER("humidity", DIM_NONE, struct cycle, mean, 0.45, 0.0, 1.0, 0.15, 0.85,
           "relative humidity of the room; a cycle",
           "EN 15026 annex C, from memory: 30 % in hard frost to 60 % in summer; the middle"),
    NUMBER("draught", DIM_VELOCITY, struct cycle, mean, 0.05, 0.0, 5.0, 0.0, 1.0,
           "speed of the air over the water; a cycle", "assumption: a still room"),
    { .key = NULL },
};

/* The cycles of a basin, in the order of their fields. */
enum { CYCLES = 4 };

static struct cycle *cycle_of(struct basin *b, int i)
{
    struct cycle *const cycles[CYCLES] = { &b->water, &b->air, &b->humidity, &b->draught };
    return cycles[i];
}

/* A float lets less through than a pump. */
static const struct preset float_presets[] = {
    { "topoff_flow", 0.5e-3 / 60.0, "assumption: 0.5 L/min by gravity" },
    { .key = NULL },
};

static bool is_float(const struct node *group)
{
    const struct node *n = tree_member(group, "topoff");
    return n != NULL && n->type == NODE_TEXT && strcmp(n->text, topoffs[TOPOFF_FLOAT]) == 0;
}

/* A float has neither timer nor switch. */
static void check_float(struct loading *l, const struct node *group, struct topoff *t)
{
    if (isfinite(t->longest_run))
        reader_complain(&l->reader, SEVERITY_WARNING, reader_find(group, "topoff_longest_run"),
                        "leave it out", "a gravity float has no timer that could end its run");
    t->longest_run = INFINITY;
}

/* Only a pump's hose can run by itself when it should not. */
static void check_hose(struct loading *l, const struct section *s)
{
    struct served_form *f = s->base;
    static const char *const keys[] = { "topoff_hose_end", "topoff_hose_bore", "topoff_hose_length",
                                        "siphon_break" };
    const bool pump = f->topoff.kind == TOPOFF_PUMP;
    for (size_t i = 0; i < sizeof keys / sizeof *keys && !pump; i++)
        reader_unused(&l->reader, s, keys[i], "no pump tops it off");
    if (!pump)
        f->topoff.hose_end = NAN;
    if (pump && !f->topoff.siphon_break && isnan(f->topoff.hose_end))
        reader_complain(&l->reader, SEVERITY_WARNING, reader_find(s->group, "siphon_break"),
                        "add topoff_hose_end = \"30 cm\"; above the floor of the storage tank",
                        "without the height of the hose's end nobody can tell whether it siphons; "
                        "the run takes it that it does not");
}

/* The second switch must be dry whenever the first has had its way, and wet before the rim. */
static void check_high(struct loading *l, const struct section *s)
{
    struct served_form *f = s->base;
    const struct node *n = reader_find(s->group, "topoff_high_at");
    if (f->topoff.kind != TOPOFF_PUMP) {
        reader_unused(&l->reader, s, "topoff_high_at", "no pump tops it off");
        f->topoff.high_at = NAN;
    }
    if (f->topoff.high_at <= f->topoff.off_above - f->topoff.on_below)
        reader_complain(&l->reader, SEVERITY_ERROR, n, "put it between that and the rim",
                        "the second switch would stop the pump at or below the level at which its "
                        "first one does");
    if (f->topoff.high_at >= f->basin.freeboard)
        reader_complain(&l->reader, SEVERITY_ERROR, n, "put it below the rim: see freeboard",
                        "the served water would run over before the second switch is wet");
}

static const char *const others[] = { "water", "air", "humidity", "draught", NULL };

void scenario_served_read(struct loading *l)
{
    struct plant *p = &l->out->plant;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "served"), "served");
    p->topoff.longest_run = INFINITY;
    p->topoff.hose_end = p->topoff.high_at = NAN;
    if (group == NULL)
        return;
    struct served_form form;
    memset(&form, 0, sizeof form);
    const struct section s = { .path = "served",
                               .group = group,
                               .fields = scenario_served_fields,
                               .base = &form,
                               .presets = is_float(group) ? float_presets : NULL,
                               .preset_origin = ORIGIN_DEFAULT,
                               .others = others };
    reader_section(&l->reader, &s);
    if (isnan(form.basin.open_surface))
        form.basin.open_surface = form.basin.surface;
    if (isnan(form.topoff.longest_run))
        form.topoff.longest_run = INFINITY;
    form.topoff.kind = form.kind < 0 ? TOPOFF_NONE : (enum topoff_kind)form.kind;
    if (form.topoff.kind == TOPOFF_FLOAT)
        check_float(l, group, &form.topoff);
    check_hose(l, &s);
    check_high(l, &s);
    form.basin.start_day = date_day_of_year(l->start);
    p->has_basin = true;
    p->basin = form.basin;
    p->topoff = form.topoff;
    for (int i = 0; i < CYCLES; i++)
        scenario_cycle_read(l, group, "served", &scenario_served_cycles[i], cycle_of(&p->basin, i));
    if (form.topoff.kind != TOPOFF_FLOAT &&
        form.topoff.off_above > form.topoff.on_below + form.basin.freeboard)
        reader_complain(&l->reader, SEVERITY_ERROR, reader_find(group, "topoff_band"),
                        "make topoff_band smaller", "the top-off pump would stop above the rim");
}

void scenario_served_write(const struct scenario *s, FILE *out)
{
    if (!s->plant.has_basin)
        return;
    struct served_form form;
    memset(&form, 0, sizeof form);
    form.basin = s->plant.basin;
    form.topoff = s->plant.topoff;
    form.kind = (int)s->plant.topoff.kind;
    writer_open(out, "served");
    writer_fields(out, scenario_served_fields, &form);
    for (int i = 0; i < CYCLES; i++)
        writer_cycle(out, &scenario_served_cycles[i], cycle_of(&form.basin, i));
    writer_close(out);
}
