/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_storage: the group `storage`: product line, tank, and all that stops the water.
 */
#include "scenario_storage.h"

#include <string.h>

#include "text.h"

#define FORM struct storage_form
#define LEVEL(key, member, doc)                                                                    \
    NUMBER(key, DIM_LENGTH, FORM, member, FIELD_OPTIONAL, 0.0, 10.0, 0.0, 2.5, doc, "")
#define SIZE(key, member, doc)                                                                     \
    NUMBER(key, DIM_LENGTH, FORM, member, FIELD_OPTIONAL, 0.01, 10.0, 0.1, 2.5, doc, "")

static const char *const shapes[] = { "box", "upright", "lying", "cone", "table", NULL };
static const char *const overflows[] = { "none", "standpipe", "side", NULL };

const struct field scenario_storage_fields[] = {
    CHOICE("shape", FORM, shape, TANK_UPRIGHT, shapes, "form of the tank",
           "the keys given: upright unless it has a width or a table"),
    SIZE("length", tank.length, "inside length of a box or of a lying cylinder"),
    SIZE("width", tank.width, "inside width of a box"),
    SIZE("diameter", tank.diameter, "inside diameter of a cylinder, or of the top of a cone"),
    LEVEL("bottom_diameter", tank.bottom_diameter, "inside diameter of the bottom of a cone"),
    LEVEL("cone_height", tank.cone_height, "height of the cone under the cylinder"),
    SIZE("height", tank.height, "from the bottom to the rim"),
    NUMBER("outlet", DIM_LENGTH, FORM, tank.outlet, 0.02, 0.0, 10.0, 0.0, 0.3,
           "level below which nothing can be drawn", "assumption"),
    LEVEL("first", first, "level at the start; half-way between opens_at and shuts_at if left out"),
    NUMBER("shuts_at", DIM_LENGTH, FORM, shuts_at, NAN, 0.001, 10.0, 0.05, 2.5,
           "level at which filling stops", ""),
    LEVEL("opens_at", opens_at,
          "level at which filling begins; a tenth of the height below "
          "shuts_at if left out"),
    LEVEL("float_at", float_at,
          "level at which the float valve is shut; shuts_at, or 2 cm above it "
          "beside level switches, if left out"),
    NUMBER("float_band", DIM_LENGTH, FORM, fill.valve.band, 0.02, 1e-4, 1.0, 1e-3, 0.1,
           "fall of the level that opens the float valve fully",
           "small lever valves 10 to 40 mm; common practice, from memory"),
    NUMBER("float_seat", DIM_LENGTH, FORM, fill.valve.seat, 3e-3, 1e-4, 0.05, 1e-3, 0.012,
           "bore of the seat of the float valve", "assumption"),
    NUMBER("float_stiction", DIM_NONE, FORM, fill.stiction, 0.05, 0.0, 0.5, 0.01, 0.2,
           "share of its band that the level falls before a float valve that has shut opens again",
           "assumption"),
    LEVEL("high_at", high_at,
          "level of the independent high switch; half-way from shuts_at to the "
          "rim or the overflow if left out"),
    NUMBER("longest_run", DIM_TIME, FORM, fill.longest_run, 43200.0, 1.0, 31622400.0, 600.0,
           604800.0, "longest fill that the run timer allows", "assumption: 12 h"),
    FLAG("high_switch_latches", FORM, fill.high_latches, 0.0,
         "its trip lasts until reset, else until the water has fallen", "assumption"),
    FLAG("run_timer_latches", FORM, fill.timer_latches, 1.0,
         "its trip lasts until reset, else until the call ends", "assumption"),
    FLAG("run_timer_restarts", FORM, fill.timer_restarts, 0.0,
         "a power cut sets its count back to nothing", "assumption: it keeps its count"),
    FLAG("leak_sensor_latches", FORM, fill.leak_latches, 1.0,
         "its trip lasts until reset, else while it shows wet", "assumption"),
    NUMBER("leak_volume", DIM_VOLUME, FORM, fill.leak_volume, 5e-5, 0.0, 1.0, 0.0, 2e-3,
           "water that the leak sensor needs", "assumption: 50 mL"),
    NUMBER("pan_volume", DIM_VOLUME, FORM, fill.pan_volume, 5e-3, 0.0, 1.0, 5e-4, 0.1,
           "water that the drip pan holds", "assumption: 5 L"),
    NUMBER("switch_band", DIM_LENGTH, FORM, fill.switch_band, 5e-3, 1e-5, 0.5, 5e-4, 0.05,
           "fall of the level that resets a single switch",
           "magnetic floats 1 to 5 mm; common practice"),
    FLAG("keeps_call", FORM, fill.keeps_call, 1.0,
         "after a power cut a tank between its switches goes on filling", "assumption"),
    CHOICE("overflow", FORM, overflow, OVERFLOW_NONE, overflows, "overflow pipe to a drain",
           "assumption: none was named"),
    LEVEL("overflow_lip", tank.overflow.lip,
          "level of its lip or invert; 25 mm above shuts_at if left out"),
    NUMBER("overflow_bore", DIM_LENGTH, FORM, tank.overflow.bore, 0.019, 1e-3, 0.3, 0.01, 0.06,
           "bore of the overflow", "at least 19 mm: NHBC Standards 2020, 8.1.4"),
    NUMBER("overflow_fall", DIM_LENGTH, FORM, tank.overflow.fall, 0.5, 0.0, 20.0, 0.1, 3.0,
           "height that the overflow pipe falls", "assumption"),
    NUMBER("overflow_length", DIM_LENGTH, FORM, tank.overflow.length, 1.0, 0.01, 100.0, 0.1, 10.0,
           "length of the overflow pipe", "assumption"),
    NUMBER("overflow_meniscus", DIM_LENGTH, FORM, tank.overflow.meniscus, 3e-3, 0.0, 0.05, 0.0,
           5e-3, "rise above the lip before it runs", "assumption: surface tension, 2 to 3 mm"),
    NUMBER("tube_length", DIM_LENGTH, FORM, line.tube_length, 2.0, 0.01, 100.0, 0.1, 20.0,
           "product tube to the tank", "assumption"),
    NUMBER("tube_bore", DIM_LENGTH, FORM, line.tube_bore, 4.3e-3, 5e-4, 0.05, 2e-3, 0.013,
           "bore of the product tube", "nominal 1/4 in tube; computed 4.32 mm"),
    FLAG("check_valve", FORM, check_valve, 1.0, "check valve in the product line", "assumption"),
    NUMBER("check_opening", DIM_PRESSURE, FORM, line.check_opening, 1e4, 0.0, 3e5, 0.0, 3e4,
           "pressure lost in the check valve", "5 to 30 kPa; from memory"),
    NUMBER("inlet_height", DIM_LENGTH, FORM, line.inlet_height, 0.0, -10.0, 30.0, -2.0, 5.0,
           "inlet of the tank above the membrane", "assumption: level"),
    FLAG("open_to_air", FORM, open_to_air, 1.0,
         "the water in the tank and the served water exchange carbon dioxide with the air",
         "assumption: a vented lid"),
    NUMBER("temperature", DIM_TEMPERATURE, FORM, temperature, 20.0, 1.0, 45.0, 10.0, 30.0,
           "temperature of the stored water", "assumption: a room"),
    NUMBER("solenoid_power", DIM_POWER, FORM, solenoid_power, 8.0, 0.0, 100.0, 2.0, 15.0,
           "power of the feed solenoid while it is open", "assumption"),
    { .key = NULL },
};

static const char *const others[] = { "shutoff", "table",        "valve", "gas",
                                      "bladder", "low_pressure", NULL };

/* In groups of their own: the automatic shut-off valve, a bladder tank, and the air. */
static const struct stage_group valve_group = { "valve", shutoff_fields,
                                                offsetof(FORM, fill.shutoff) };
static const struct stage_group bladder_group = { "bladder", bladder_fields,
                                                  offsetof(FORM, bladder) };
static const struct stage_group gas_group = { "gas", gas_fields, offsetof(FORM, gas) };

void scenario_supply(struct loading *l, const char *key, double *level, double value,
                     const char *source)
{
    char path[PATH_LENGTH] = "";
    text_append(path, sizeof path, "storage.%s", key);
    scenario_assume(l, level, &(struct assumed){ path, DIM_LENGTH, value, source });
}

double scenario_storage_top(const struct storage_form *f)
{
    return f->overflow == OVERFLOW_NONE ? f->tank.height : f->tank.overflow.lip;
}

static void supply_levels(struct loading *l, struct storage_form *f)
{
    const double top = scenario_storage_top(f);
    scenario_supply(l, "opens_at", &f->opens_at,
                    fmax(f->shuts_at - 0.1 * f->tank.height, 0.5 * f->shuts_at),
                    "assumption: a tenth of the height below shuts_at");
    if (f->fill.float_valve)
        scenario_supply(l, "float_at", &f->float_at,
                        f->fill.switches ? fmin(f->shuts_at + 0.02, f->tank.height) : f->shuts_at,
                        "shuts_at, or 2 cm above it beside level switches");
    if (f->fill.high_switch)
        scenario_supply(l, "high_at", &f->high_at, 0.5 * (f->shuts_at + top),
                        "assumption: half-way from shuts_at to the rim or overflow");
    scenario_supply(l, "first", &f->first, 0.5 * (f->opens_at + f->shuts_at),
                    "half-way between opens_at and shuts_at");
}

/* ---- the group ------------------------------------------------------------------------------- */

static int guess_shape(const struct node *group)
{
    if (tree_member(group, "table") != NULL)
        return TANK_TABLE;
    return tree_member(group, "width") != NULL ? TANK_BOX : TANK_UPRIGHT;
}

static double or_zero(double value)
{
    return isnan(value) ? 0.0 : value;
}

static void keep(struct loading *l, const struct storage_form *f)
{
    struct plant *p = &l->out->plant;
    const double bore = p->line.supply_bore;
    p->tank = f->tank;
    p->tank.overflow.kind = (enum overflow_kind)(f->overflow < 0 ? 0 : f->overflow);
    if (f->overflow == OVERFLOW_NONE)
        p->tank.overflow.lip = 0.0;
    p->line = f->line;
    p->line.supply_bore = bore;
    if (!f->check_valve)
        p->line.check_opening = 0.0;
    p->fill = f->fill;
    p->fill.on_at = f->opens_at;
    p->fill.off_at = f->shuts_at;
    p->fill.valve.shuts_at = f->fill.float_valve ? or_zero(f->float_at) : 0.0;
    p->fill.high_at = f->fill.high_switch ? or_zero(f->high_at) : 0.0;
    p->open_to_air = f->open_to_air;
    p->gas = f->gas;
    p->tank_start = f->first;
    p->tank_temperature = f->temperature;
    p->solenoid_power = f->solenoid_power;
    p->bladder = f->bladder;
}

void scenario_storage_read(struct loading *l)
{
    const struct node *n = tree_member(l->root, "storage");
    const struct node *group = reader_group(&l->reader, n, "storage");
    if (n == NULL)
        reader_missing(&l->reader, NULL, "", "storage",
                       "add storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 "
                       "cm\"; shutoff = [ \"float valve\" ]; };");
    if (group == NULL)
        return;
    struct storage_form form;
    memset(&form, 0, sizeof form);
    const struct preset presets[] = {
        { "shape", guess_shape(group), "the keys given" },
        { .key = NULL },
    };
    const struct section s = { .path = "storage",
                               .group = group,
                               .fields = scenario_storage_fields,
                               .base = &form,
                               .presets = presets,
                               .preset_origin = ORIGIN_COMPUTED,
                               .others = others };
    reader_section(&l->reader, &s);
    form.tank.shape = (enum tank_shape)(form.shape < 0 ? TANK_UPRIGHT : form.shape);
    scenario_tank_read(l, &s, &form.tank);
    scenario_within_read(l, group, "storage", &valve_group, &form);
    scenario_within_read(l, group, "storage", &gas_group, &form);
    scenario_shutoff_read(l, group, &form.fill);
    scenario_inlet_read(l, group, &form.fill);
    scenario_storage_check_shutoff(l, group, &form);
    l->out->plant.has_bladder = tree_member(group, "bladder") != NULL;
    if (l->out->plant.has_bladder)
        scenario_within_read(l, group, "storage", &bladder_group, &form);
    scenario_storage_check_bladder(l, group, &form);
    scenario_storage_check_overflow(l, group, &form);
    if (form.overflow != OVERFLOW_NONE)
        scenario_supply(l, "overflow_lip", &form.tank.overflow.lip, form.shuts_at + 0.025,
                        "25 mm above the shut-off level: NHBC Standards 2020, 8.1.4");
    supply_levels(l, &form);
    scenario_storage_check_levels(l, group, &form);
    scenario_storage_check_unused(l, &s);
    keep(l, &form);
}

/* ---- writing --------------------------------------------------------------------------------- */

static double or_nan(double value)
{
    return value == 0.0 ? NAN : value;
}

static void write_table(const struct tank *t, FILE *out)
{
    char level[UNITS_TEXT], volume[UNITS_TEXT];
    fputs("table = (\n", out);
    for (int i = 0; i < t->rows; i++)
        fprintf(out, "%s( \"%s\", \"%s\" )\n", i > 0 ? ", " : "",
                units_exact(t->table_level[i], DIM_LENGTH, level, sizeof level),
                units_exact(t->table_volume[i], DIM_VOLUME, volume, sizeof volume));
    fputs(");\n", out);
}

void scenario_storage_write(const struct scenario *s, FILE *out)
{
    const struct plant *p = &s->plant;
    struct storage_form form;
    memset(&form, 0, sizeof form);
    form.tank = p->tank;
    form.tank.length = or_nan(p->tank.length);
    form.tank.width = or_nan(p->tank.width);
    form.tank.diameter = or_nan(p->tank.diameter);
    form.tank.bottom_diameter = p->tank.shape == TANK_CONE ? p->tank.bottom_diameter : NAN;
    form.tank.cone_height = p->tank.shape == TANK_CONE ? p->tank.cone_height : NAN;
    if (p->tank.overflow.kind == OVERFLOW_NONE)
        form.tank.overflow.lip = NAN;
    if (p->tank.shape == TANK_TABLE)
        form.tank.height = NAN;
    form.line = p->line;
    form.fill = p->fill;
    form.shape = (int)p->tank.shape;
    form.overflow = (int)p->tank.overflow.kind;
    form.shuts_at = p->fill.off_at;
    form.opens_at = p->fill.on_at;
    form.float_at = p->fill.float_valve ? p->fill.valve.shuts_at : NAN;
    form.high_at = p->fill.high_switch ? p->fill.high_at : NAN;
    form.first = p->tank_start;
    form.check_valve = true; /* its pressure says it all */
    form.open_to_air = p->open_to_air;
    form.gas = p->gas;
    form.bladder = p->bladder;
    form.temperature = p->tank_temperature;
    form.solenoid_power = p->solenoid_power;
    writer_open(out, "storage");
    writer_fields(out, scenario_storage_fields, &form);
    scenario_shutoff_write(&p->fill, out);
    if (p->tank.shape == TANK_TABLE)
        write_table(&p->tank, out);
    if (p->fill.shutoff_valve)
        scenario_within_write(&valve_group, &form, out);
    if (p->has_bladder)
        scenario_within_write(&bladder_group, &form, out);
    scenario_within_write(&gas_group, &form, out);
    scenario_inlet_write(&p->fill, out);
    writer_close(out);
}
