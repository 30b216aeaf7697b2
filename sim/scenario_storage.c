/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_storage: the group `storage`: product line, tank, and all that stops the water.
 */
#include "scenario_inner.h"

#include <string.h>

#include "amount.h"
#include "text.h"

struct storage_form {
    struct tank tank;
    struct line line;
    struct fill fill;
    struct gas gas;
    int shape, overflow;
    double shuts_at, opens_at, float_at, high_at, first;
    bool check_valve, open_to_air;
    double temperature, solenoid_power;
    struct bladder bladder;
};

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

/* ---- complaints, notes
 * ------------------------------------------------------------------------------ */

/* The node of a key, or the group if it was left out. */
static const struct node *at_key(const struct node *group, const char *key)
{
    const struct node *n = reader_find(group, key);
    return n != NULL ? n : group;
}

static void complain(struct loading *l, const struct node *group, const char *key, const char *cure,
                     const char *words)
{
    reader_complain(&l->reader, SEVERITY_ERROR, at_key(group, key), cure, "%s", words);
}

void scenario_supply(struct loading *l, const char *key, double *level, double value,
                     const char *source)
{
    char path[PATH_LENGTH] = "";
    text_append(path, sizeof path, "storage.%s", key);
    scenario_assume(l, level, &(struct assumed){ path, DIM_LENGTH, value, source });
}

static double or_zero(double value)
{
    return isnan(value) ? 0.0 : value;
}

/* ---- what stops the water -------------------------------------------------------------------- */

static const char *const shutoffs[] = { "level switches",
                                        "float valve",
                                        "high switch",
                                        "run timer",
                                        "leak sensor",
                                        "drip pan",
                                        "automatic shut-off valve",
                                        "low pressure switch",
                                        "guard valve",
                                        NULL };

enum { SHUTOFFS = sizeof shutoffs / sizeof *shutoffs - 1 };

static bool *shutoff(struct fill *f, int i)
{
    bool *const flags[] = { &f->switches,      &f->float_valve,         &f->high_switch,
                            &f->run_timer,     &f->leak_sensor,         &f->drip_pan,
                            &f->shutoff_valve, &f->low_pressure_switch, &f->guard_valve };
    return flags[i];
}

const char *const *const scenario_shutoffs = shutoffs;

bool *scenario_shutoff(struct fill *f, int i)
{
    return shutoff(f, i);
}

/* A list of words is read like a choice, word by word. */
static void read_word(struct loading *l, const struct node *n, struct fill *fill)
{
    const struct field fields[] = {
        { "shutoff", FIELD_CHOICE, DIM_NONE, 0, NAN, 0, 0, 0, 0, shutoffs, "", "" },
        { .key = NULL },
    };
    struct node copy = *n, one = { .type = NODE_GROUP, .child = &copy, .last = &copy };
    char name[] = "shutoff";
    copy.name = name;
    copy.next = NULL;
    int which = -1;
    const struct section s = { .path = "storage", .group = &one, .fields = fields, .base = &which };
    reader_section(&l->reader, &s);
    if (which >= 0)
        *shutoff(fill, which) = true;
}

static void read_shutoff(struct loading *l, const struct node *group, struct fill *fill)
{
    const struct node *list = tree_member(group, "shutoff");
    if (list == NULL) {
        reader_missing(&l->reader, group, "storage", "shutoff",
                       "say what stops the water: shutoff = [ \"float valve\" ]; or \"level "
                       "switches\", \"high switch\", \"run timer\", \"leak sensor\", \"drip pan\", "
                       "\"automatic shut-off valve\", \"low pressure switch\"");
        return;
    }
    const int before = report_count(l->reader.report, SEVERITY_ERROR);
    if (list->type == NODE_LIST && tree_length(list) > SHUTOFFS) {
        reader_complain(&l->reader, SEVERITY_ERROR, list, NULL,
                        "%d shutoffs are too many; there are %d", tree_length(list), SHUTOFFS);
        return;
    }
    if (list->type == NODE_TEXT) {
        read_word(l, list, fill);
    } else if (list->type == NODE_LIST) {
        for (const struct node *n = list->child; n != NULL; n = n->next)
            read_word(l, n, fill);
    } else {
        reader_complain(&l->reader, SEVERITY_ERROR, list, "write shutoff = [ \"float valve\" ];",
                        "shutoff must be a list of words, but this is %s", tree_words(list));
        return;
    }
    char words[2 * TEXT_LENGTH] = "";
    for (int i = 0; shutoffs[i] != NULL; i++)
        if (*shutoff(fill, i))
            text_append(words, sizeof words, "%s%s", words[0] == '\0' ? "" : ", ", shutoffs[i]);
    reader_note_text(&l->reader, "storage.shutoff", list, words[0] == '\0' ? "nothing" : words);
    const bool understood = report_count(l->reader.report, SEVERITY_ERROR) == before;
    if (understood && fill->guard_valve && !fill->high_switch && !fill->leak_sensor)
        reader_complain(&l->reader, SEVERITY_ERROR, list, "add \"high switch\" or \"leak sensor\"",
                        "nothing tells the guard valve to shut");
    if (understood && !fill->switches && !fill->float_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, list,
                        "\"float valve\" or \"level switches\" would",
                        "nothing stops the water when the tank is full");
}

/* A solenoid without switches is always called: its timer counts on. */
static void check_timer(struct loading *l, const struct node *group, const struct fill *f)
{
    char span[UNITS_TEXT];
    if (f->run_timer && !f->switches)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "shutoff"),
                        "add \"level switches\", or leave the run timer out",
                        "without level switches the call never ends: after %s the run timer shuts "
                        "the feed once and for all",
                        units_format(f->longest_run, DIM_TIME, span, sizeof span));
}

static void check_valve(struct loading *l, const struct node *group, const struct storage_form *f)
{
    const struct shutoff *v = &f->fill.shutoff;
    const struct node *n = at_key(group, "shutoff"), *said = tree_member(group, "valve");
    if (!f->fill.shutoff_valve) {
        if (said != NULL)
            complain(l, group, "valve", "add \"automatic shut-off valve\" to shutoff",
                     "a shut-off valve is described, but none is there");
        return;
    }
    if (v->reopen_ratio >= v->close_ratio)
        complain(l, said == NULL ? group : said,
                 tree_member(said, "reopen_ratio") != NULL ? "reopen_ratio" : "close_ratio",
                 "it opens again at a lower pressure, a tenth of the feed's below is usual",
                 "the shut-off valve would open again before it closes");
    if (!scenario_train_has_membrane(l))
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "leave it out, or put a membrane in the train",
                        "an automatic shut-off valve needs a membrane, whose product closes it");
    if (!f->fill.float_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, n, "add \"float valve\"",
                        "nothing shuts the product, so that the shut-off valve never closes");
    if (!f->check_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "check_valve"),
                        "an event may say it: part = \"check valve\"; mode = \"leaks back\";",
                        "without a check valve a shut-off valve opens again and again; the run "
                        "takes the line as tight");
}

/* A bladder that could never take water: the least pressure of its air over the most of the line.
 */
static bool stays_empty(const struct loading *l, const struct storage_form *f)
{
    const struct plant *p = &l->out->plant;
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == &stage_pump)
            return false; /* what it adds is not known here */
    const double share = f->fill.shutoff_valve ? f->fill.shutoff.close_ratio : 1.0;
    const double check = f->check_valve ? f->line.check_opening : 0.0;
    return f->bladder.precharge >= share * cycle_highest(&p->feed.pressure) - check;
}

static void check_bladder(struct loading *l, const struct node *group, const struct storage_form *f)
{
    static const double STRONGEST = 1.6e6; /* Pa: more than any supply */
    const struct node *n = tree_member(group, "bladder");
    if (n == NULL)
        return;
    if (!scenario_train_has_membrane(l))
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "leave it out, or put a membrane in the train",
                        "a bladder tank needs a membrane, whose product fills it");
    if (bladder_pressure(&f->bladder, f->bladder.first) > STRONGEST)
        complain(l, n, "first", "make first smaller; half the volume is usual when full",
                 "the bladder tank cannot hold so much water at the start");
    if (!f->fill.float_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, n, "add \"float valve\" to shutoff",
                        "nothing shuts the product, so that the bladder tank hardly fills");
    if (!f->check_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "check_valve"),
                        "an event may say it: part = \"check valve\"; mode = \"leaks back\";",
                        "without a check valve a bladder tank runs back through the membrane; the "
                        "run takes the line as tight");
    if (l->out->plant.stages > 0 && stays_empty(l, f))
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(n, "precharge"),
                        "let air out of it, until its precharge is well below the pressure of the "
                        "product",
                        "the bladder tank never takes water: %s",
                        f->fill.shutoff_valve
                            ? "the shut-off valve closes before the product comes to its precharge"
                            : "its precharge is above the feed pressure");
}

/* ---- levels ---------------------------------------------------------------------------------- */

/* Where the tank runs over. */
static double filling_top(const struct storage_form *f)
{
    return f->overflow == OVERFLOW_NONE ? f->tank.height : f->tank.overflow.lip;
}

static bool said(const struct node *group, const char *key)
{
    return reader_find(group, key) != NULL;
}

static void supply_levels(struct loading *l, struct storage_form *f)
{
    const double top = filling_top(f);
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

/* Warns of a float valve that shuts elsewhere than where filling is said to stop. */
static void check_float(struct loading *l, const struct node *group, const struct storage_form *f)
{
    char words[2][UNITS_TEXT];
    const bool apart = f->fill.float_valve && fabs(f->float_at - f->shuts_at) > 1e-9;
    if (!apart || (f->fill.switches && f->float_at > f->shuts_at))
        return;
    units_format(f->float_at, DIM_LENGTH, words[0], sizeof words[0]);
    units_format(f->shuts_at, DIM_LENGTH, words[1], sizeof words[1]);
    if (f->fill.switches)
        reader_complain(
            &l->reader, SEVERITY_WARNING, at_key(group, "float_at"),
            "put float_at above shuts_at, or shuts_at below float_at",
            "the float valve shuts at %s, so that the stop switch at %s is never reached", words[0],
            words[1]);
    else
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "float_at"),
                        "leave float_at out, or make the two equal",
                        "without level switches the float valve alone stops the water: at %s, not "
                        "at the %s of shuts_at",
                        words[0], words[1]);
}

/* Warns of what was said of parts that are not there. */
static void check_unused(struct loading *l, const struct section *s)
{
    const struct storage_form *f = s->base;
    const struct {
        bool used;
        const char *why, *keys[5];
    } rows[] = {
        { f->fill.float_valve,
          "no float valve is among shutoff",
          { "float_at", "float_band", "float_seat" } },
        { f->fill.high_switch,
          "no high switch is among shutoff",
          { "high_at", "high_switch_latches" } },
        { f->fill.high_switch || f->fill.switches,
          "no switch is among shutoff",
          { "switch_band" } },
        { f->fill.run_timer,
          "no run timer is among shutoff",
          { "longest_run", "run_timer_latches", "run_timer_restarts" } },
        { f->fill.leak_sensor,
          "no leak sensor is among shutoff",
          { "leak_volume", "leak_sensor_latches" } },
        { f->fill.drip_pan, "no drip pan is among shutoff", { "pan_volume" } },
        { f->check_valve, "check_valve is false", { "check_opening" } },
        { f->overflow != OVERFLOW_NONE,
          "there is no overflow",
          { "overflow_bore", "overflow_fall", "overflow_length", "overflow_meniscus" } },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int k = 0; k < 5 && rows[i].keys[k] != NULL && !rows[i].used; k++)
            reader_unused(&l->reader, s, rows[i].keys[k], rows[i].why);
}

static void check_levels(struct loading *l, const struct node *group, const struct storage_form *f)
{
    const double rim = f->tank.height, top = filling_top(f);
    const bool low = f->shuts_at <= top; /* else what follows from it is not to blame */
    const struct {
        const char *key;
        double level;
    } below_rim[] = { { "shuts_at", f->shuts_at },  { "float_at", f->float_at },
                      { "high_at", f->high_at },    { "overflow_lip", f->tank.overflow.lip },
                      { "outlet", f->tank.outlet }, { "first", f->first } };
    for (size_t i = 0; i < sizeof below_rim / sizeof *below_rim; i++)
        if (below_rim[i].level > rim && (f->shuts_at <= rim || said(group, below_rim[i].key))) {
            char cure[80];
            snprintf(cure, sizeof cure, "the rim stands at %.4g %s",
                     amount_number(AMOUNT_LEVEL, 100.0 * rim), amount_unit(AMOUNT_LEVEL));
            reader_complain(&l->reader, SEVERITY_ERROR, at_key(group, below_rim[i].key), cure,
                            "%s lies above the rim of the tank", below_rim[i].key);
        }
    if (f->opens_at >= f->shuts_at)
        complain(l, group, "opens_at", "opens_at is the lower level, where filling begins",
                 "filling would begin above the level where it stops");
    if (f->fill.high_switch && f->high_at <= f->shuts_at && (low || said(group, "high_at")))
        complain(l, group, "high_at", "put it between shuts_at and the rim",
                 "the high switch does not lie above shuts_at and would trip at every fill");
    check_float(l, group, f);
    if (f->overflow != OVERFLOW_NONE && f->tank.overflow.lip <= f->shuts_at) {
        char cure[80], gap[AMOUNT_CELL];
        snprintf(cure, sizeof cure, "put it at least %s above shuts_at",
                 amount_words(AMOUNT_THIN, 25.0, 0, gap));
        complain(l, group, "overflow_lip", cure, "the overflow would run before the tank is full");
    }
    if (f->tank.outlet >= f->shuts_at)
        complain(l, group, "outlet", NULL, "the outlet lies above the level where filling stops");
    else if (f->fill.switches && f->tank.outlet > f->opens_at)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "outlet"),
                        "put the outlet, or what sucks there, below opens_at",
                        "the outlet lies above the level where filling begins: once drawn down to "
                        "it, the tank is never filled again");
}

/* ---- the group ------------------------------------------------------------------------------- */

static int guess_shape(const struct node *group)
{
    if (tree_member(group, "table") != NULL)
        return TANK_TABLE;
    return tree_member(group, "width") != NULL ? TANK_BOX : TANK_UPRIGHT;
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
    read_shutoff(l, group, &form.fill);
    scenario_inlet_read(l, group, &form.fill);
    check_timer(l, group, &form.fill);
    check_valve(l, group, &form);
    l->out->plant.has_bladder = tree_member(group, "bladder") != NULL;
    if (l->out->plant.has_bladder)
        scenario_within_read(l, group, "storage", &bladder_group, &form);
    check_bladder(l, group, &form);
    if (form.overflow == OVERFLOW_NONE && !isnan(form.tank.overflow.lip))
        complain(l, group, "overflow_lip", "write overflow = \"standpipe\"; or \"side\"",
                 "an overflow is described, but none is there");
    if (form.overflow != OVERFLOW_NONE)
        scenario_supply(l, "overflow_lip", &form.tank.overflow.lip, form.shuts_at + 0.025,
                        "25 mm above the shut-off level: NHBC Standards 2020, 8.1.4");
    supply_levels(l, &form);
    check_levels(l, group, &form);
    check_unused(l, &s);
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

static void write_shutoff(const struct fill *fill, FILE *out)
{
    struct fill copy = *fill;
    bool first = true;
    fputs("shutoff = [ ", out);
    for (int i = 0; shutoffs[i] != NULL; i++) {
        if (!*shutoff(&copy, i))
            continue;
        if (!first)
            fputs(", ", out);
        first = false;
        writer_quoted(out, shutoffs[i]);
    }
    fputs(" ];\n", out);
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
    write_shutoff(&p->fill, out);
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
