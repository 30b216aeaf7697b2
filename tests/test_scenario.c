/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario: whole files; every key of every table with bad values; what is written is read again.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "folder.h"
#include "sim/parts.h"
#include "sim/resolved.h"
#include "sim/scenario.h"
#include "sim/text.h"

enum { TEXT_MAX = 40000 };

TestSuite(scenario, .init = folder_enter, .fini = folder_leave, .timeout = 300);

/* ---- loading ----------------------------------------------------------------------------------
 */

struct loaded {
    struct scenario s;
    enum status status;
    char *said;
    int errors, warnings;
};

static struct loaded *load(const char *name, const char *const sets[])
{
    struct loaded *l = calloc(1, sizeof *l);
    struct report *r = report_create();
    l->status = scenario_load(name, sets, &l->s, r);
    size_t size = 0;
    FILE *f = open_memstream(&l->said, &size);
    report_print(r, f, false);
    fclose(f);
    l->errors = report_count(r, SEVERITY_ERROR);
    l->warnings = report_count(r, SEVERITY_WARNING);
    report_free(r);
    return l;
}

static struct loaded *load_text(const char *text, const char *const sets[])
{
    folder_put("a.cfg", text);
    return load("a.cfg", sets);
}

static void discard(struct loaded *l)
{
    if (l->status == STATUS_OK)
        scenario_free(&l->s);
    free(l->said);
    free(l);
}

/* ---- scenarios --------------------------------------------------------------------------------
 */

#define FEED                                                                                       \
    "feed = { meter = \"245 ppm\"; hardness = \"150 mg/L as CaCO3\"; pH = 7.4;"                    \
    " alkalinity = \"120 mg/L as CaCO3\"; pressure = \"50 psi\"; coldest = \"6 degC\";"            \
    " warmest = \"18 degC\"; treatment = \"chloramine\"; };\n"
#define TRAIN                                                                                      \
    "train = ( \"sediment 5 um\", \"carbon block 10 in\", \"membrane 75 gal/day\","                \
    " \"mixed bed 10 in\" );\n"
#define STORAGE                                                                                    \
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"                  \
    " shutoff = [ \"float valve\" ]; overflow = \"none\"; };\n"
#define SWITCHED                                                                                   \
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"                  \
    " shutoff = [ \"level switches\" ]; overflow = \"none\"; };\n"
#define SERVED                                                                                     \
    "served = { surface = \"1.1 m2\"; volume = \"400 L\"; water = \"25 degC\";"                    \
    " topoff = \"pump and float switch\"; };\n"

static const char shortest[] = FEED TRAIN STORAGE SERVED
    "measured = { product = \"140 mL/min\"; drain = \"620 mL/min\"; permeate = \"7 ppm\";"
    " at = \"18 degC\"; };\n"
    "draws = ( { take = \"60 L\"; every = \"14 days\"; } );\n"
    "clock = { length = \"365 days\"; away = \"14 days\"; };\n";

static const char longest[] =
    "title = \"Full \\\"house\\\" \\\\ \xc2\xb5 \\x41\";\n"
    "meter = { scale = \"ppm700\"; resolution = \"0.1 ppm\"; };\n"
    "feed = { sodium = \"20 mg/L\"; potassium = \"2 mg/L\"; calcium = \"60 mg/L\"; magnesium = "
    "\"10 "
    "mg/L\"; chloride = \"35 mg/L\"; sulfate = \"40 mg/L\"; nitrate = \"3 mg/L as N\"; bicarbonate "
    "= "
    "\"170 mg/L\"; silica = \"10 mg/L\"; pH = 7.5; close = \"sodium\"; chlorine = \"1 mg/L as "
    "Cl2\";"
    " solids = \"1 mg/L\"; pressure = { value = \"3.5 bar\"; sd = \"0.2 bar\"; }; pressure_swing = "
    "\"5 psi\"; temperature = { mean = \"55 degF\"; season = \"5 K\"; daily = \"1 K\"; };"
    " log = \"log.csv\"; };\n"
    "train = ( { part = \"sediment 5 um\"; name = \"first\"; capture = \"90 %\"; },\n"
    " \"carbon block 10 in\", \"carbon block 10 in fine\", \"booster pump\",\n"
    " { kind = \"membrane\"; name = \"ro\"; plate = { permeate = \"75 gal/day\"; pressure = \"65 "
    "psi\";"
    " rejection = \"97 %\"; }; restrictor = { flow = \"600 mL/min\"; }; passage = { nitrate = 3; "
    "}; wear = { creep = \"8 %\"; ageing = \"1e-9 1/s\"; }; holdup = { feed = \"200 mL\"; "
    "}; "
    "},\n"
    " \"cation bed 10 in\", \"anion bed 10 in\", { part = \"mixed bed 20 in\"; cells = 60; } );\n"
    "storage = { table = ( ( \"10 cm\", \"20 L\" ), ( \"50 cm\", \"130 L\" ), ( \"1 m\", \"300 L\" "
    ") );"
    " shuts_at = \"70 cm\"; shutoff = [ \"level switches\", \"float valve\", \"high switch\","
    " \"run timer\", \"leak sensor\", \"drip pan\", \"automatic shut-off valve\" ]; overflow = "
    "\"standpipe\"; check_valve = false; valve = { close_ratio = \"66 %\"; reopen_ratio = 0.5; };"
    " bladder = { volume = \"11 L\"; precharge = \"7 psi\"; first = \"1.3 L\"; };"
    " gas = { carbon_dioxide = 1e-3; }; open_to_air = false; float_stiction = \"8 %\";"
    " overflow_lip = \"85 cm\"; first = \"30 cm\"; keeps_call = false; };\n"
    "served = { surface = \"0.4 m2\"; open_surface = \"1.1 m2\"; volume = \"400 L\"; water = \"25 "
    "degC\"; humidity = { winter = \"30 %\"; summer = \"60 %\"; }; draught = { mean = \"0.1 m/s\"; "
    "daily"
    " = \"0.05 m/s\"; }; salinity = \"35 g/kg\"; topoff = \"pump and float switch\";"
    " topoff_longest_run = \"10 min\"; topoff_hose_end = \"-11 cm\"; siphon_break = false; };\n"
    "draws = ( { take = \"60 L\"; every = \"14 days\"; }, { take = \"1 L\"; first = \"3 days\"; } "
    ");\n"
    "events = ( { at = \"2026-03-01T07:00\"; what = \"power cut\"; lasts = \"3 h\"; },\n"
    " { at = \"20 days\"; what = \"feed change\"; pressure_change = \"-1 bar\"; chlorine = \"2 "
    "mg/L\";"
    " until = \"2026-02-01\"; },\n"
    " { at = \"30 days\"; what = \"fault\"; part = \"float valve\"; mode = \"weeps\"; amount = "
    "0.01;"
    " lasts = \"2 days\"; },\n"
    " { at = \"40 days\"; what = \"replace\"; stage = \"ro\"; }, { at = \"50 days\"; what = "
    "\"reset\"; },\n"
    " { at = \"364.9 days\"; what = \"supply cut\"; lasts = \"1 day\"; } );\n"
    "control = { rinse = { at_start = \"60 s\"; at_stop = \"30 s\"; every = \"1 h\"; for = \"45 "
    "s\"; "
    "bypass = 4; with = \"permeate\"; flow = \"0.8 L/min\"; }; divert = \"90 s\"; divert_below = "
    "\"20 ppm\"; };\n"
    "visits = { every = \"14 days\"; delay = \"3 days\"; };\n"
    "replace = { first = { pressure_drop = \"10 psi\"; calendar = \"180 days\"; };\n"
    " carbon-2 = { oxidant = \"0.1 mg/L\"; }; ro = { flow = \"67 %\"; passage = 2; };\n"
    " resin-3 = { reading = \"1 ppm\"; }; };\n"
    "commissioning = { prefilters = \"20 min\"; membrane = \"2 h\"; resin = \"0 s\"; at_start = "
    "true; };\n"
    "risk = { inspected = \"90 days\"; mending = \"1 day\"; unattended = \"21 days\";"
    " common_cause = \"5 %\"; rates = ( { part = \"float valve\"; mode = \"sticks open\"; rate ="
    " \"0.03 /yr\"; error_factor = 4; }, { part = \"overflow pipe\"; mode = \"blocked\";"
    " probability = \"2 %\"; }, { part = \"feed solenoid\"; mode = \"sticks open\"; per_demand ="
    " 2e-4; }, { part = \"mains\"; mode = \"power cut\"; lasts = \"5 h\"; } ); };\n"
    "limits = { permeate = \"20 ppm\"; product = \"1 ppm\"; salinity_low = \"33 g/kg\"; "
    "salinity_high ="
    " \"36 g/kg\"; };\n"
    "prices = { currency = \"EUR\"; water = \"3.2 /m3\"; electricity = \"0.30 /kWh\"; cartridges = "
    "{"
    " ro = 60; carbon = 22.5; }; safeguards = { overflow_pipe = 40; life = \"3000 days\"; }; };\n"
    "clock = { start = \"2026-01-10T06:30\"; };\nrecords = { every = \"1 h\"; };\n"
    "numerics = { tolerance = 1e-7; };\n";

static const char log_text[] = "date,temperature_degC,pressure_kPa,meter_ppm\n"
                               "2026-01-10T06:30,5.5,350,245\n2026-02-10,7.25,345,260\n"
                               "2026-08-01,17,340,230\n";

/* ---- a few values -----------------------------------------------------------------------------
 */

Test(scenario, loads_a_dozen_lines)
{
    struct loaded *l = load_text(shortest, NULL);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct plant *p = &l->s.plant;
    cr_assert_eq(p->stages, 4);
    cr_assert_eq(p->membrane, 2);
    cr_assert_eq(p->train[2].kind, &stage_membrane);
    cr_assert_str_eq(p->train[3].name, "resin");
    cr_assert_float_eq(p->feed.pressure.mean, 344737.86, 0.01);
    cr_assert_float_eq(cycle_lowest(&p->feed.temperature), 6.0, 1e-12);
    cr_assert_float_eq(p->feed.c[CHLORAMINE], 2e-3 / 70.906e-3, 1e-15);
    cr_assert_float_eq(2.0 * (p->feed.c[CALCIUM] + p->feed.c[MAGNESIUM]), 0.15 / 50.04345e-3, 1e-9);
    cr_assert(p->fill.float_valve && !p->fill.switches);
    cr_assert(p->has_basin && p->topoff.kind == TOPOFF_PUMP && isinf(p->topoff.longest_run));
    cr_assert_eq(l->s.plan.length, 365.0 * 86400.0);
    cr_assert_eq(l->s.plan.draw[0].every, 14.0 * 86400.0);
    cr_assert_eq(l->s.plan.draw[0].first, 14.0 * 86400.0);
    for (int i = 0; i < l->s.values.count; i++)
        cr_assert(l->s.values.list[i].origin != ORIGIN_DEFAULT ||
                  l->s.values.list[i].source != NULL);
    discard(l);
}

Test(scenario, loads_everything_that_can_be_said)
{
    folder_put("log.csv", log_text);
    struct loaded *l = load_text(longest, NULL);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct plant *p = &l->s.plant;
    cr_assert_eq(p->stages, 8);
    cr_assert_float_eq(p->feed.temperature.mean, 115.0 / 9.0, 1e-12);
    cr_assert_eq(p->feed.start_day, 9.0 + 6.5 / 24.0);
    cr_assert_eq(p->meter.factor, 7.0);
    cr_assert_eq(p->train[4].params.membrane.relative[NITRATE], 3.0);
    cr_assert_eq(p->tank.rows, 4);
    cr_assert_eq(p->tank.height, 1.0);
    cr_assert_eq(p->feed.steps, 2);
    cr_assert_eq(p->feed.step[1].pressure_change, 0.0, "the end undoes the change");
    cr_assert_eq(p->feed.step[1].chlorine, p->feed.c[CHLORINE]);
    cr_assert_eq(l->s.plan.events, 9, "the last one does not end within the run");
    for (int i = 1; i < l->s.plan.events; i++)
        cr_assert_geq(l->s.plan.event[i].at, l->s.plan.event[i - 1].at);
    cr_assert_eq(p->feed.log->rows, 3);
    cr_assert_eq(p->feed.log->at[0], 0.0);
    cr_assert_eq(p->feed.log->pressure[1], 345e3);
    cr_assert_eq(l->s.plan.prices.stage[4], 60.0);
    cr_assert_eq(l->s.plan.prices.safeguard[SAFEGUARD_OVERFLOW_PIPE], 40.0);
    cr_assert(isnan(l->s.plan.prices.safeguard[SAFEGUARD_DRIP_PAN]),
              "nobody said what a pan costs");
    cr_assert_eq(p->train[4].params.membrane.wear.creep, 0.08);
    cr_assert_float_eq(p->train[4].params.membrane.holdup.feed, 2e-4, 1e-18);
    cr_assert(p->fill.shutoff_valve && !p->open_to_air);
    cr_assert_eq(p->fill.shutoff.close_ratio, 0.66);
    cr_assert_eq(p->fill.stiction, 0.08);
    cr_assert_eq(p->gas.air, 1e-3);
    const struct rinse *r = &p->rinse;
    cr_assert(r->at_start == 60.0 && r->at_stop == 30.0 && r->every == 3600.0);
    cr_assert(r->every_for == 45.0 && r->bypass == 4.0 && r->divert == 90.0);
    cr_assert_float_eq(r->divert_below, 0.02, 1e-15);
    cr_assert_eq(l->s.plan.visits.every, 14.0 * 86400.0);
    cr_assert_eq(l->s.plan.visits.delay, 3.0 * 86400.0);
    cr_assert_eq(l->s.plan.rule[0].calendar, 180.0 * 86400.0);
    cr_assert_float_eq(l->s.plan.rule[2].oxidant, 1e-4, 1e-18);
    cr_assert(l->s.plan.rule[4].flow == 0.67 && l->s.plan.rule[4].passage == 2.0);
    cr_assert_float_eq(l->s.plan.rule[7].reading, 1e-3, 1e-17);
    cr_assert(isnan(l->s.plan.rule[7].calendar) && isnan(l->s.plan.rule[5].reading));
    discard(l);
}

static struct membrane membrane_of(const char *text, const char *const sets[],
                                   enum origin *restrictor)
{
    struct loaded *l = load_text(text, sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct plant *p = &l->s.plant;
    const struct value *v = reader_noted(&l->s.values, "train.membrane.restrictor_flow");
    const struct membrane m = p->train[p->membrane].params.membrane;
    cr_assert_eq(v->si, m.restrictor.flow);
    *restrictor = v->origin;
    discard(l);
    return m;
}

/* Plate and permeabilities are those of one element; the restrictor is one for all. */
Test(scenario, suits_the_restrictor_to_the_elements)
{
    static const char *const two[] = { "train.membrane.elements=2", NULL };
    static const char *const given[] = { "train.membrane.elements=2",
                                         "train.membrane.restrictor.flow=700 mL/min", NULL };
    static const char *const four[] = { "train.membrane.elements=4",
                                        "train.membrane.joined=parallel", NULL };
    const double ml_a_min = 1e-6 / 60.0;
    enum origin origin;
    const struct membrane one = membrane_of(FEED TRAIN STORAGE, NULL, &origin);
    cr_assert_eq(one.elements, 1);
    cr_assert_eq(origin, ORIGIN_PART);
    const struct membrane m = membrane_of(FEED TRAIN STORAGE, two, &origin);
    cr_assert_eq(m.elements, 2);
    cr_assert_eq(m.joined, MEMBRANE_SERIES);
    cr_assert_eq(m.water_permeability, one.water_permeability);
    cr_assert_eq(m.salt_permeability, one.salt_permeability);
    cr_assert_eq(m.area, one.area);
    cr_assert_float_eq(m.restrictor.flow / ml_a_min, 1050.0, 1e-9);
    cr_assert_eq(origin, ORIGIN_COMPUTED);
    const struct membrane kept = membrane_of(FEED TRAIN STORAGE, given, &origin);
    cr_assert_float_eq(kept.restrictor.flow / ml_a_min, 700.0, 1e-9);
    cr_assert_eq(origin, ORIGIN_COMMAND_LINE);
    static const char plate[] = FEED STORAGE
        "train = ( { kind = \"membrane\"; plate = { permeate = \"75 gal/day\"; pressure = \"50"
        " psi\"; }; } );";
    const struct membrane by_plate = membrane_of(plate, four, &origin);
    cr_assert_float_eq(by_plate.restrictor.flow * 86400.0 / 3.785411784e-3, 900.0, 1e-9,
                       "three times the permeate of four");
    cr_assert_eq(by_plate.joined, MEMBRANE_PARALLEL);
}

/* The measured flows must come out of the fitted membrane. */
Test(scenario, fits_the_membrane_to_a_jug_test)
{
    struct loaded *l = load_text(shortest, NULL);
    const struct value *a = reader_noted(&l->s.values, "train.membrane.water_permeability");
    const struct value *q = reader_noted(&l->s.values, "train.membrane.restrictor_flow");
    cr_assert_eq(a->origin, ORIGIN_COMPUTED);
    cr_assert_eq(a->si, l->s.plant.train[2].params.membrane.water_permeability);
    cr_assert_eq(q->origin, ORIGIN_COMPUTED);
    const double by_jug = a->si;
    discard(l);
    l = load_text(FEED TRAIN STORAGE, NULL);
    cr_assert_neq(l->s.plant.train[2].params.membrane.water_permeability, by_jug);
    discard(l);
}

Test(scenario, knows_that_a_rating_needs_its_pressure)
{
    double a[2];
    static const char *const pressures[] = { "50 psi", "65 psi" };
    for (int i = 0; i < 2; i++) {
        char text[2000];
        snprintf(text, sizeof text,
                 FEED STORAGE
                 "train = ( { kind = \"membrane\"; plate = { permeate = \"75 gal/day\";"
                 " pressure = \"%s\"; }; } );\n",
                 pressures[i]);
        struct loaded *l = load_text(text, NULL);
        cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
        a[i] = l->s.plant.train[0].params.membrane.water_permeability;
        discard(l);
    }
    /* 15 psi more of about 47 net */
    cr_assert_float_eq(a[0] / a[1], 65.0 / 50.0, 0.05);
}

/* ---- the command line -------------------------------------------------------------------------
 */

Test(scenario, takes_changes_of_the_command_line)
{
    const char *const sets[] = {
        "feed.pressure=60 psi",
        "train.membrane.area=0.45 m2",
        "train.membrane.plate.pressure=\"65 psi\"",
        "train.resin.cells=50",
        "storage.check_valve=false",
        "storage.shutoff=[ \"level switches\", \"run timer\" ]",
        "draws.1.take=30 L",
        "limits.product=2 ppm",
        "served={ surface = \"1 m2\"; volume = \"100 L\"; water = \"20 degC\"; }",
        NULL
    };
    struct loaded *l = load_text(
        FEED TRAIN STORAGE "draws = ( { take = \"60 L\"; every = \"14 days\"; } );", sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct plant *p = &l->s.plant;
    cr_assert_float_eq(p->feed.pressure.mean, 413685.4, 0.1);
    cr_assert_eq(p->train[2].params.membrane.area, 0.45);
    cr_assert_eq(p->train[3].params.resin.cells, 50);
    cr_assert_eq(p->line.check_opening, 0.0);
    cr_assert(p->fill.switches && p->fill.run_timer && !p->fill.float_valve);
    cr_assert_float_eq(l->s.plan.draw[0].take, 0.03, 1e-15);
    cr_assert_float_eq(l->s.plan.limits.product, 2e-3, 1e-15);
    cr_assert_eq(p->basin.volume, 0.1);
    const struct value *v = reader_noted(&l->s.values, "feed.pressure");
    cr_assert_eq(v->origin, ORIGIN_COMMAND_LINE);
    cr_assert_str_eq(v->place.file, "--set feed.pressure=60 psi");
    discard(l);
}

Test(scenario, warns_of_a_change_that_another_undoes)
{
    const char *const sets[] = { "feed.pressure=60 psi", "feed.pressure_swing=1 psi",
                                 "feed.pressure=50 psi", NULL };
    struct loaded *l = load_text(FEED TRAIN STORAGE, sets);
    cr_expect(l->status == STATUS_OK && l->warnings == 1, "%s", l->said);
    cr_expect_not_null(strstr(l->said, "feed.pressure was set before"), "%s", l->said);
    discard(l);
}

Test(scenario, finds_a_stage_by_its_name_or_its_kind)
{
    static const char *const paths[] = { "train.ro.area=0.45 m2", "train.membrane.area=0.45 m2" };
    for (int i = 0; i < 2; i++) {
        const char *const sets[] = { paths[i], NULL };
        struct loaded *l = load_text(
            FEED STORAGE "train = ( { part = \"membrane 75 gal/day\"; name = \"ro\"; } );", sets);
        cr_assert_eq(l->status, STATUS_OK, "%s: %s", paths[i], l->said);
        cr_assert_eq(l->s.plant.train[0].params.membrane.area, 0.45);
        discard(l);
    }
}

Test(scenario, refuses_changes_that_make_no_sense)
{
    static const struct {
        const char *set, *words;
    } rows[] = { { "feed.presure=60 psi", "did you mean \"pressure\"?" },
                 { "fed.pressure=60 psi", "unknown key \"fed\"" },
                 { "feed.pressure", "write --set group.key=value" },
                 { "=5", "write --set" },
                 { "feed..pressure=5", "words with points" },
                 { "feed.pressure=60", "a bare number" },
                 { "feed.pressure=", "an empty text" },
                 { "train.membran.area=1 m2", "did you mean \"membrane\"?" },
                 { "train.membrane.are=1 m2", "did you mean \"area\"?" },
                 { "draws.7.take=1 L", "no element" },
                 { "feed.pH.x=1", "has no key" },
                 { "storage.shutoff=[ \"float valve\"", "the end of the list" },
                 { "storage.shutoff={ a = 1", "not closed" },
                 { "events.1.at=3 days", "this scenario has no events yet" },
                 { "feed.pressure.winter=3 bar", "--set 'feed.pressure={ winter = ...; ... }'" },
                 { "title=a\x1b[31m", "control characters" },
                 { "title=\"\\x00\"", "no plain character" },
                 { "title=\xe2\x80\xae", "control characters" },
                 { "title=\xff", "not UTF-8" } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *const sets[] = { rows[i].set, NULL };
        struct loaded *l = load_text(
            FEED TRAIN STORAGE "draws = ( { take = \"1 L\"; every = \"1 day\"; } );", sets);
        cr_assert(l->status == STATUS_SCENARIO && strstr(l->said, rows[i].words) != NULL, "%s: %s",
                  rows[i].set, l->said);
        cr_assert_not_null(strstr(l->said, "--set"), "%s: %s", rows[i].set, l->said);
        discard(l);
    }
}

/* ---- groups of a stage ------------------------------------------------------------------------
 */

/* Also where the stage is named by a text: every field of every group is as its table says. */
Test(scenario, fills_the_groups_of_a_stage_with_their_defaults)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    int seen = 0;
    for (int i = 0; i < l->s.plant.stages; i++) {
        const struct stage *s = &l->s.plant.train[i];
        for (const struct stage_group *g = s->kind->groups; g != NULL && g->key != NULL; g++)
            for (const struct field *f = g->fields; f->key != NULL; f++) {
                char path[PATH_LENGTH];
                snprintf(path, sizeof path, "train.%s.%s.%s", s->name, g->key, f->key);
                const struct value *v = reader_noted(&l->s.values, path);
                const char *at = (const char *)&s->params + g->offset + f->offset;
                cr_assert(v != NULL && v->origin == ORIGIN_DEFAULT && v->si == f->preset, "%s",
                          path);
                cr_assert_eq(f->type == FIELD_FLAG ? *(const bool *)at : *(const double *)at,
                             f->preset, "%s", path);
                seen++;
            }
    }
    cr_assert_gt(seen, 10);
    discard(l);
}

Test(scenario, reaches_the_groups_of_a_stage_from_file_and_command_line)
{
    const char *const sets[] = { "train.membrane.wear.on=false",
                                 "train.membrane.holdup.feed=210 mL", NULL };
    struct loaded *l = load_text(
        FEED STORAGE "train = ( { part = \"membrane 75 gal/day\"; wear = { creep = 0.1; };"
                     " } );\n",
        sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct membrane *m = &l->s.plant.train[0].params.membrane;
    cr_assert(!m->wear.on && m->wear.creep == 0.1);
    cr_assert_float_eq(m->holdup.feed, 2.1e-4, 1e-18);
    discard(l);
    l = load_text(FEED TRAIN STORAGE, sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    cr_assert(!l->s.plant.train[2].params.membrane.wear.on);
    discard(l);
    l = load_text(FEED STORAGE "train = ( \"mixed bed 10 in\", { part = \"membrane 75 gal/day\";"
                               " wear = 5; }, { kind = \"carbon\"; wear = { }; } );\n",
                  NULL);
    cr_assert_not_null(strstr(l->said, "wear must be a group"), "%s", l->said);
    cr_assert_not_null(strstr(l->said, "unknown key \"wear\" in train.carbon"), "%s", l->said);
    discard(l);
}

/* ---- what is told of parts that do not go together --------------------------------------------
 */

struct told {
    const char *text, *words; /* text: after FEED and a train; words NULL: nothing is told */
    bool error;
};

#define TANK "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\"; "
#define CARBON "train = ( \"carbon block 10 in\" );\n"

static void expect_told(const struct told *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        char text[3000];
        snprintf(text, sizeof text, FEED "%s", rows[i].text);
        struct loaded *l = load_text(text, NULL);
        cr_assert_eq(l->status, rows[i].error ? STATUS_SCENARIO : STATUS_OK, "%s: %s", rows[i].text,
                     l->said);
        if (rows[i].words == NULL)
            cr_assert_eq(l->warnings, 0, "%s: %s", rows[i].text, l->said);
        else
            cr_assert_not_null(strstr(l->said, rows[i].words), "%s: %s", rows[i].text, l->said);
        cr_assert_leq(l->errors, 1, "%s: %s", rows[i].text, l->said);
        discard(l);
    }
}

#define EXPECT_TOLD(rows) expect_told(rows, sizeof(rows) / sizeof *(rows))

Test(scenario, tells_what_a_shut_off_valve_needs)
{
    static const struct told rows[] = {
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; };", NULL,
          false },
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\" ]; };", "never closes", false },
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\", \"level switches\" ]; };",
          "never closes", false },
        { CARBON TANK "shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; };",
          "needs a membrane", true },
        { TRAIN TANK "shutoff = [ \"float valve\" ]; valve = { close_ratio = 0.6; }; };",
          "none is there", true },
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; valve = {"
                     " reopen_ratio = 0.7; }; };",
          "before it closes", true },
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; valve = {"
                     " close_ratio = 0.5; }; };",
          "before it closes", true },
        { TRAIN TANK "shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; check_valve ="
                     " false; };",
          "opens again and again", false },
        { TRAIN TANK "shutoff = [ \"float valve\", \"run timer\" ]; };", "after 12 h the run timer",
          false },
        { TRAIN TANK "shutoff = [ \"level switches\", \"run timer\" ]; };", NULL, false },
        { TRAIN TANK "shutoff = [ \"float valve\", \"leak sensor\" ]; };", NULL, false },
    };
    EXPECT_TOLD(rows);
}

Test(scenario, a_bladder_tank_is_there_if_its_group_is)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    cr_assert_not(l->s.plant.has_bladder);
    cr_assert_null(reader_noted(&l->s.values, "storage.bladder.volume"));
    discard(l);
    l = load_text(FEED TRAIN TANK "shutoff = [ \"float valve\" ]; bladder = { precharge = \"0.4 "
                                  "bar\"; }; };",
                  NULL);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    cr_assert(l->s.plant.has_bladder);
    cr_assert_float_eq(l->s.plant.bladder.volume, 12e-3, 1e-15);
    cr_assert_float_eq(l->s.plant.bladder.precharge, 4e4, 1e-9);
    discard(l);
}

Test(scenario, tells_what_a_bladder_tank_needs)
{
    static const struct told rows[] = {
        { TRAIN TANK "shutoff = [ \"level switches\" ]; bladder = { volume = \"12 L\"; }; };",
          "hardly fills", false },
        { TRAIN TANK "shutoff = [ \"float valve\" ]; bladder = { first = \"11.9 L\"; }; };",
          "cannot hold so much", true },
        { TRAIN TANK "shutoff = [ \"float valve\" ]; check_valve = false; bladder = { }; };",
          "runs back through the membrane", false },
        { TRAIN TANK "shutoff = [ \"float valve\" ]; bladder = { precharge = \"5 bar\"; }; };",
          "never takes water: its precharge", false },
        { TRAIN TANK "shutoff = [ \"float valve\", \"automatic shut-off valve\" ]; bladder = { "
                     "precharge = \"2.5 bar\"; }; };",
          "never takes water: the shut-off valve", false },
        { "train = ( \"sediment 5 um\", \"mixed bed 10 in\" ); " TANK
          "shutoff = [ \"float valve\" ]; bladder = { }; };",
          "needs a membrane", true },
        { TRAIN TANK "shutoff = [ \"float valve\" ]; bladder = { }; };", NULL, false },
    };
    EXPECT_TOLD(rows);
}

#define OPEN_WATER "served = { surface = \"1 m2\"; volume = \"400 L\"; water = \"25 degC\"; "

Test(scenario, tells_what_a_siphon_needs)
{
    static const struct told rows[] = {
        { TRAIN STORAGE OPEN_WATER "topoff = \"pump and float switch\"; siphon_break = false; };",
          "nobody can tell whether it siphons", false },
        { TRAIN STORAGE OPEN_WATER "topoff = \"gravity float\"; topoff_hose_end = \"10 cm\"; };",
          "no pump tops it off", false },
        { TRAIN STORAGE OPEN_WATER
          "topoff = \"pump and float switch\"; topoff_hose_end = \"-30 cm\"; "
          "siphon_break = false; };",
          NULL, false },
    };
    EXPECT_TOLD(rows);
}

Test(scenario, a_gravity_float_lets_less_through_than_a_pump)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE
                                 "served = { surface = \"1 m2\"; volume = \"400 L\"; water = \"25 "
                                 "degC\"; topoff = \"gravity float\"; };",
                                 NULL);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    const struct topoff *t = &l->s.plant.topoff;
    cr_assert_eq(t->kind, TOPOFF_FLOAT);
    cr_assert_float_eq(t->flow, 0.5e-3 / 60.0, 1e-18);
    cr_assert_eq(t->band, 0.02);
    cr_assert_str_eq(reader_noted(&l->s.values, "served.topoff_flow")->source,
                     "assumption: 0.5 L/min by gravity");
    discard(l);
    static const struct told rows[] = {
        { TRAIN STORAGE "served = { surface = \"1 m2\"; volume = \"400 L\"; water = \"25 degC\";"
                        " topoff = \"gravity float\"; topoff_longest_run = \"10 min\"; };",
          "has no timer", false },
    };
    EXPECT_TOLD(rows);
}

/* ---- control ----------------------------------------------------------------------------------
 */

static struct rinse rinse_of(const char *control)
{
    char text[3000];
    snprintf(text, sizeof text, FEED TRAIN SWITCHED "%s", control);
    struct loaded *l = load_text(text, NULL);
    cr_assert(l->status == STATUS_OK && l->warnings == 0, "%s: %s", control, l->said);
    const struct rinse r = l->s.plant.rinse;
    discard(l);
    return r;
}

Test(scenario, neither_rinses_nor_diverts_unless_it_is_said)
{
    struct rinse r = rinse_of("");
    cr_assert(r.at_start == 0.0 && r.at_stop == 0.0 && isinf(r.every) && r.every_for == 0.0);
    cr_assert(r.bypass == 3.0 && r.divert == 0.0 && isnan(r.divert_below));
    r = rinse_of("control = { rinse_every = \"4 h\"; };");
    cr_assert(r.every == 14400.0 && r.every_for == 60.0, "a minute");
    r = rinse_of("control = { divert_below = \"20 ppm\"; };");
    cr_assert(r.divert == 600.0 && isinf(r.every) && r.every_for == 0.0, "ten minutes at most");
    r = rinse_of("control = { divert = \"90 s\"; };");
    cr_assert(r.divert == 90.0 && isnan(r.divert_below));
}

Test(scenario, tells_what_rinses_and_diverting_need)
{
    static const struct told rows[] = {
        { TRAIN SWITCHED "control = { rinse_every = \"1 min\"; rinse_for = \"60 s\"; };",
          "last longer", true },
        { TRAIN SWITCHED "control = { rinse_every = \"1 min\"; };", "last longer", true },
        { TRAIN SWITCHED "control = { rinse_for = \"60 s\"; };", "does not say how often", true },
        { TRAIN SWITCHED "control = { rinse_bypass = 4; };", "no rinse is asked for", false },
        { TRAIN STORAGE "control = { rinse_every = \"1 h\"; };", "need a feed solenoid", true },
        { TRAIN STORAGE "control = { divert = \"90 s\"; };", "need a feed solenoid", true },
        { CARBON SWITCHED "control = { divert = \"90 s\"; };", "diverting needs a membrane", true },
        { CARBON SWITCHED "control = { rinse_at_start = \"90 s\"; };", "a rinse needs a membrane",
          true },
        { TRAIN TANK "shutoff = [ \"float valve\", \"leak sensor\" ]; };"
                     "control = { rinse_at_stop = \"60 s\"; };",
          "hardly happens", false },
        { TRAIN TANK "shutoff = [ \"float valve\", \"leak sensor\" ]; };"
                     "control = { rinse_every = \"1 h\"; };",
          NULL, false },
        { TRAIN SWITCHED "control = { rinse_with = \"permeate\"; };", "no rinse at stop", false },
        { TRAIN SWITCHED "control = { rinse_at_stop = \"60 s\"; rinse_flow = \"2 L/min\"; };",
          "the feed rinses", false },
        { TRAIN SWITCHED "control = { rinse_at_stop = \"60 min\"; rinse_with = \"permeate\"; };",
          "new filling", true },
        { TRAIN SWITCHED "control = { rinse_at_stop = \"60 s\"; rinse_with = \"permeate\"; };",
          NULL, false },
        { TRAIN SWITCHED "control = { rinse_at_stop = \"60 s\"; rinse_with = \"product\"; };",
          "permeate", true },
        { TRAIN SWITCHED "control = { };", NULL, false },
    };
    EXPECT_TOLD(rows);
}

/* ---- commissioning ----------------------------------------------------------------------------
 */

Test(scenario, flushes_new_parts_as_is_usual_unless_it_is_said)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    const struct commissioning *c = &l->s.plan.commissioning;
    cr_assert(c->prefilters == 900.0 && c->membrane == 1800.0 && c->resin == 600.0);
    cr_assert_not(c->at_start, "a working plant");
    cr_assert_not_null(
        strstr(reader_noted(&l->s.values, "commissioning.membrane")->source, "common practice"));
    discard(l);
    l = load_text(FEED TRAIN STORAGE "commissioning = { membrane = \"2 h\"; resin = \"0 s\";"
                                     " at_start = true; };",
                  NULL);
    cr_assert(l->status == STATUS_OK && l->warnings == 0, "%s", l->said);
    c = &l->s.plan.commissioning;
    cr_assert(c->membrane == 7200.0 && c->resin == 0.0 && c->at_start);
    discard(l);
}

Test(scenario, tells_what_commissioning_has_no_part_for)
{
    static const struct told rows[] = {
        { CARBON STORAGE "commissioning = { membrane = \"1 h\"; };", "has no such part", false },
        { CARBON STORAGE "commissioning = { resin = \"5 min\"; };", "has no such part", false },
        { TRAIN STORAGE "commissioning = { prefilters = \"5 min\"; };", NULL, false },
        { TRAIN STORAGE "commissioning = { prefilters = \"2 days\"; };", "must lie between", true },
        { TRAIN STORAGE "commissioning = { carbon = \"5 min\"; };", "unknown key", true },
    };
    EXPECT_TOLD(rows);
}

/* ---- visits and replacement -------------------------------------------------------------------
 */

Test(scenario, nobody_looks_unless_it_is_said)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    cr_assert(isinf(l->s.plan.visits.every) && l->s.plan.visits.delay == 0.0);
    for (int i = 0; i < STAGES_MAX; i++) {
        const struct rule *r = &l->s.plan.rule[i];
        cr_assert(isnan(r->calendar) && isnan(r->reading) && isnan(r->pressure_drop) &&
                  isnan(r->flow) && isnan(r->passage) && isnan(r->oxidant));
    }
    discard(l);
    l = load_text(FEED TRAIN STORAGE "replace = { carbon = { calendar = \"180 days\"; }; };", NULL);
    cr_assert_eq(l->s.plan.visits.every, 7.0 * 86400.0, "rules without visits: once a week");
    cr_assert_eq(reader_noted(&l->s.values, "visits.every")->origin, ORIGIN_DEFAULT);
    cr_assert_eq(l->s.plan.rule[1].calendar, 180.0 * 86400.0);
    discard(l);
    const char *const sets[] = { "replace.resin.reading=1 ppm", "visits.every=2 days", NULL };
    l = load_text(FEED TRAIN STORAGE, sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    cr_assert_float_eq(l->s.plan.rule[3].reading, 1e-3, 1e-17);
    cr_assert_eq(l->s.plan.visits.every, 2.0 * 86400.0);
    discard(l);
}

Test(scenario, refuses_rules_that_do_not_fit)
{
    static const char *const names[] = { "sediment", "carbon", "pump", "membrane", "resin" };
    static const struct {
        const char *rule, *fits; /* names of the stages that it is for */
    } rules[] = { { "calendar = \"180 days\";", "sediment carbon pump membrane resin" },
                  { "reading = \"5 ppm\";", "membrane resin" },
                  { "pressure_drop = \"10 psi\";", "sediment carbon resin" },
                  { "flow = 0.7;", "membrane" },
                  { "passage = 2;", "membrane" },
                  { "oxidant = \"0.1 mg/L\";", "carbon" } };
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
            char text[3000];
            snprintf(text, sizeof text,
                     FEED STORAGE "train = ( \"sediment 5 um\", \"carbon block 10 in\", \"booster"
                                  " pump\", \"membrane 75 gal/day\", \"mixed bed 10 in\" );\n"
                                  "replace = { %s = { %s }; };",
                     names[k], rules[i].rule);
            struct loaded *l = load_text(text, NULL);
            const bool fits = strstr(rules[i].fits, names[k]) != NULL;
            cr_assert_eq(l->status, fits ? STATUS_OK : STATUS_SCENARIO, "%s for %s: %s",
                         rules[i].rule, names[k], l->said);
            cr_assert(fits || strstr(l->said, "is no rule for a stage") != NULL, "%s", l->said);
            discard(l);
        }
}

Test(scenario, tells_what_rules_need)
{
    static const struct told rows[] = {
        { TRAIN STORAGE "replace = { resn = { calendar = \"1 day\"; }; };",
          "did you mean \"resin\"?", true },
        { TRAIN STORAGE "replace = { resin = { }; };", "has no rule", true },
        { TRAIN STORAGE "replace = { resin = 5; };", "resin must be a group", true },
        { TRAIN STORAGE "replace = \"soon\";", "replace must be a group", true },
        { TRAIN STORAGE "visits = { every = \"7 days\"; };", "no rule in `replace`", false },
        { "train = ( { part = \"membrane 75 gal/day\"; name = \"ro\"; } );" STORAGE
          "replace = { ro = { passage = 2; }; membrane = { flow = 0.7; }; };",
          "has its rules already", true },
        { "train = ( \"carbon block 10 in\", { part = \"membrane 75 gal/day\"; wear = { on = "
          "false; }; } );" STORAGE "replace = { membrane = { flow = 0.7; }; };",
          "does not wear", false },
    };
    EXPECT_TOLD(rows);
}

/* ---- warnings of the train --------------------------------------------------------------------
 */

Test(scenario, warns_of_an_order_that_harms)
{
    static const struct {
        const char *train, *words;
    } rows[] = {
        { "\"membrane 75 gal/day\"", "no carbon stands before the membrane" },
        { "\"carbon block 10 in\"", "no membrane" },
        { "\"carbon block 10 in\", \"mixed bed 10 in\", \"membrane 75 gal/day\"",
          "behind a resin" },
        { "\"membrane 75 gal/day\", \"carbon block 10 in\"", "stands behind the membrane" },
        { "\"carbon block 10 in\", \"sediment 5 um\", \"membrane 75 gal/day\"",
          "what it should protect" },
        { "\"carbon block 10 in\", \"membrane 75 gal/day\", \"booster pump\"", "cannot help it" }
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[2000];
        snprintf(text, sizeof text, FEED STORAGE "train = ( %s );\n", rows[i].train);
        struct loaded *l = load_text(text, NULL);
        cr_assert(l->status == STATUS_OK && strstr(l->said, rows[i].words) != NULL, "%s: %s",
                  rows[i].train, l->said);
        discard(l);
    }
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    cr_assert_eq(l->warnings, 0, "%s", l->said);
    discard(l);
}

Test(scenario, warns_of_a_second_oxidant)
{
    const char *const sets[] = { "feed.chlorine=1 mg/L", NULL };
    struct loaded *l = load_text(FEED TRAIN STORAGE, sets);
    cr_expect(l->status == STATUS_OK && l->warnings == 1, "%s", l->said);
    cr_expect_not_null(strstr(l->said, "treatment is \"chloramine\", but chlorine is given"), "%s",
                       l->said);
    discard(l);
    const char *const same[] = { "feed.chloramine=1 mg/L", NULL };
    l = load_text(FEED TRAIN STORAGE, same);
    cr_expect_eq(l->warnings, 0, "%s", l->said);
    discard(l);
}

Test(scenario, knows_every_generic_part)
{
    for (const struct part *part = parts; part->name != NULL; part++) {
        char text[2000];
        snprintf(text, sizeof text, FEED STORAGE "train = ( \"%s\" );\n", part->name);
        struct loaded *l = load_text(text, NULL);
        cr_assert_eq(l->status, STATUS_OK, "%s: %s", part->name, l->said);
        cr_assert_eq(l->s.plant.train[0].kind, part->kind);
        for (const struct preset *p = part->preset; p->key != NULL; p++) {
            char path[PATH_LENGTH];
            const bool plate = strncmp(p->key, "plate_", 6) == 0;
            snprintf(path, sizeof path, "train.%s.%s%s", part->kind->name, plate ? "plate." : "",
                     plate ? p->key + 6 : p->key);
            const struct value *v = reader_noted(&l->s.values, path);
            cr_assert(v != NULL && v->si == p->si && v->origin == ORIGIN_PART, "%s of %s", p->key,
                      part->name);
        }
        discard(l);
    }
}

/* ---- every key with bad values ----------------------------------------------------------------
 */

/* A scenario whose group under test has the keys that it needs, each on a line of its own. */
struct bench {
    const char *path;
    const char *open, *close;
    const char *needs[6]; /* key = value; */
    const char *rest;     /* the other groups */
};

static const struct bench benches[] = {
    { "meter", "meter = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "feed",
      "feed = {",
      "};",
      { "meter = \"245 ppm\";", "pressure = \"50 psi\";" },
      TRAIN STORAGE },
    { "plate",
      "train = ( { kind = \"membrane\"; plate = {",
      "}; } );",
      { "permeate = \"75 gal/day\";", "pressure = \"50 psi\";" },
      FEED STORAGE },
    { "measured",
      "measured = {",
      "};",
      { "product = \"140 mL/min\";", "drain = \"620 mL/min\";", "at = \"18 degC\";" },
      FEED TRAIN STORAGE },
    { "storage",
      "storage = {",
      "};",
      { "diameter = \"50 cm\";", "height = \"80 cm\";", "shuts_at = \"70 cm\";",
        "shutoff = \"float valve\";" },
      FEED TRAIN },
    { "storage.valve",
      "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"
      " shutoff = [ \"automatic shut-off valve\", \"float valve\" ]; valve = {",
      "}; };",
      { NULL },
      FEED TRAIN },
    { "storage.bladder",
      "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"
      " shutoff = \"float valve\"; bladder = {",
      "}; };",
      { NULL },
      FEED TRAIN },
    { "storage.gas",
      "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"
      " shutoff = \"float valve\"; gas = {",
      "}; };",
      { NULL },
      FEED TRAIN },
    { "storage.low_pressure",
      "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";"
      " shutoff = [ \"low pressure switch\", \"float valve\" ]; low_pressure = {",
      "}; };",
      { NULL },
      FEED TRAIN },
    { "control", "control = {", "};", { NULL }, FEED TRAIN SWITCHED },
    { "visits", "visits = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "replace",
      "replace = { resin = {",
      "}; };",
      { "calendar = \"180 days\";" },
      FEED TRAIN STORAGE },
    { "commissioning", "commissioning = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "risk", "risk = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "risk.rates",
      "risk = { rates = ( {",
      "} ); };",
      { "part = \"supply\";", "mode = \"supply cut\";", "rate = \"2 /yr\";" },
      FEED TRAIN STORAGE },
    { "served",
      "served = {",
      "};",
      { "surface = \"1 m2\";", "volume = \"400 L\";", "water = \"25 degC\";" },
      FEED TRAIN STORAGE },
    { "draws",
      "draws = ( {",
      "} );",
      { "take = \"60 L\";", "every = \"14 days\";" },
      FEED TRAIN STORAGE },
    { "events",
      "events = ( {",
      "} );",
      { "at = \"3 days\";", "what = \"feed change\";", "strength = 1.1;" },
      FEED TRAIN STORAGE },
    { "limits", "limits = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "prices", "prices = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "prices.safeguards", "prices = { safeguards = {", "}; };", { NULL }, FEED TRAIN STORAGE },
    { "clock", "clock = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "records", "records = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "numerics", "numerics = {", "};", { NULL }, FEED TRAIN STORAGE },
    { "sediment", "train = ( { kind = \"sediment\";", "} );", { NULL }, FEED STORAGE },
    { "carbon", "train = ( { kind = \"carbon\";", "} );", { NULL }, FEED STORAGE },
    { "pump", "train = ( { kind = \"pump\";", "} );", { NULL }, FEED STORAGE },
    { "membrane", "train = ( { part = \"membrane 75 gal/day\";", "} );", { NULL }, FEED STORAGE },
    { "membrane.wear",
      "train = ( { part = \"membrane 75 gal/day\"; wear = {",
      "}; } );",
      { NULL },
      FEED STORAGE },
    { "membrane.holdup",
      "train = ( { part = \"membrane 75 gal/day\"; holdup = {",
      "}; } );",
      { NULL },
      FEED STORAGE },
    { "resin", "train = ( { kind = \"resin\";", "} );", { NULL }, FEED STORAGE },
};

static const struct bench *bench_of(const char *path)
{
    for (size_t i = 0; i < sizeof benches / sizeof *benches; i++)
        if (strcmp(benches[i].path, path) == 0)
            return &benches[i];
    cr_assert_fail("no bench for %s: a new table needs one", path);
    return NULL;
}

/* The line that `line` is put on: always the second. */
static struct loaded *load_bench(const struct bench *b, const char *key, const char *line)
{
    char text[8000] = "";
    const size_t n = strlen(key);
    text_append(text, sizeof text, "%s\n%s\n", b->open, line);
    for (int i = 0; i < 6 && b->needs[i] != NULL; i++)
        if (strncmp(b->needs[i], key, n) != 0 || b->needs[i][n] != ' ')
            text_append(text, sizeof text, "%s\n", b->needs[i]);
    cr_assert(text_append(text, sizeof text, "%s\n%s", b->close, b->rest));
    return load_text(text, NULL);
}

static int tried;

/* A bad value is an error on its line, with a column. */
static void expect_bad(const struct bench *b, const struct field *f, const char *value)
{
    char line[300];
    snprintf(line, sizeof line, "  %s = %s;", f->key, value);
    struct loaded *l = load_bench(b, f->key, line);
    char place[80];
    const char *equals = strstr(line, "= ");
    /* of a spread the bad part is marked, which stands further on */
    const int column = (int)(equals - line) + 3;
    snprintf(place, sizeof place, value[0] == '{' ? "a.cfg:2:" : "a.cfg:2:%d: error: ", column);
    cr_assert(l->status == STATUS_SCENARIO && strstr(l->said, place) != NULL,
              "%s of %s, expected at %s: %s", line, b->path, place, l->said);
    discard(l);
    tried++;
}

static void try_field(const struct bench *b, const struct field *f)
{
    char value[128], number[64];
    const bool bare =
        f->type == FIELD_NUMBER && (f->dimension == DIM_NONE || f->dimension == DIM_PRICE);
    expect_bad(b, f, "( 1, 2 )");
    expect_bad(b, f, "{ value = \"nonsense\"; sd = 1; }");
    expect_bad(b, f, "\"nonsense\"");
    expect_bad(b, f, "\"\"");
    expect_bad(b, f, f->type == FIELD_FLAG ? "\"true\"" : "true");
    if (f->type == FIELD_CHOICE || f->type == FIELD_FLAG) {
        expect_bad(b, f, "1");
        return;
    }
    expect_bad(b, f, "\"nan\"");
    expect_bad(b, f, "\"inf\"");
    if (f->type == FIELD_COUNT) {
        expect_bad(b, f, "1.5");
        snprintf(value, sizeof value, "%d", (int)f->max + 1);
        expect_bad(b, f, value);
        snprintf(value, sizeof value, "%d", (int)f->min - 1);
        expect_bad(b, f, value);
        return;
    }
    if (!bare)
        expect_bad(b, f, "5");
    expect_bad(b, f, f->dimension == DIM_POWER ? "\"5 psi\"" : "\"5 kW\"");
    expect_bad(b, f, "\"5 furlongs\"");
    expect_bad(b, f, "\"1,5 m\"");
    snprintf(value, sizeof value, "\"1e400 %s\"", units_si(f->dimension));
    expect_bad(b, f, value);
    const double step = f->max - f->min;
    snprintf(value, sizeof value, "\"%s\"",
             units_exact(f->max + step, f->dimension, number, sizeof number));
    expect_bad(b, f, value);
    snprintf(value, sizeof value, "\"%s\"",
             units_exact(f->min - step, f->dimension, number, sizeof number));
    expect_bad(b, f, value);
}

/* A key with a letter dropped is unknown, and the key itself or one as near is named. */
static void try_name(const struct bench *b, const struct field *f)
{
    char bad[64], line[200], words[200];
    const size_t n = strlen(f->key);
    if (n < 5)
        return;
    snprintf(bad, sizeof bad, "%.*s%s", (int)(n / 2), f->key, f->key + n / 2 + 1);
    snprintf(line, sizeof line, "  %s = 1;", bad);
    struct loaded *l = load_bench(b, bad, line);
    snprintf(words, sizeof words, "a.cfg:2:3: error: unknown key \"%s\"", bad);
    cr_assert_not_null(strstr(l->said, words), "%s: %s", bad, l->said);
    const char *hint = strstr(l->said, "did you mean \"");
    char name[64] = "";
    cr_assert(hint != NULL && sscanf(hint, "did you mean \"%63[^\"]", name) == 1, "%s: %s", bad,
              l->said);
    cr_assert_eq(text_distance(bad, name), 1, "%s for %s", name, bad);
    discard(l);
    tried++;
}

static void try_table(const struct field *fields, const char *path)
{
    const struct bench *b = bench_of(path);
    struct loaded *l = load_bench(b, "", "");
    cr_assert_eq(l->status, STATUS_OK, "%s itself: %s", path, l->said);
    discard(l);
    for (const struct field *f = fields; f->key != NULL; f++) {
        try_field(b, f);
        try_name(b, f);
    }
}

Test(scenario, refuses_every_bad_value_of_every_key)
{
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        try_table(t->fields, t->path);
    for (int i = 0; stage_kinds[i] != NULL; i++)
        try_table(stage_kinds[i]->fields, stage_kinds[i]->name);
    for (int i = 0; stage_kinds[i] != NULL; i++)
        for (const struct stage_group *g = stage_kinds[i]->groups; g != NULL && g->key != NULL;
             g++) {
            char path[PATH_LENGTH];
            snprintf(path, sizeof path, "%s.%s", stage_kinds[i]->name, g->key);
            try_table(g->fields, path);
        }
    cr_assert_gt(tried, 2000, "%d", tried);
}

/* ---- written and read again -------------------------------------------------------------------
 */

/* What may differ: where the log lies in memory. */
static void forget_pointers(struct scenario *s)
{
    s->plant.feed.log = NULL;
}

static void expect_same_log(const struct feed_log *a, const struct feed_log *b)
{
    cr_assert_eq(a == NULL, b == NULL);
    if (a == NULL)
        return;
    const size_t bytes = sizeof(double) * (size_t)a->rows;
    cr_assert_eq(a->rows, b->rows);
    cr_assert_eq(memcmp(a->at, b->at, bytes), 0);
    cr_assert_eq(memcmp(a->temperature, b->temperature, bytes), 0);
    cr_assert_eq(memcmp(a->pressure, b->pressure, bytes), 0);
    cr_assert_eq(memcmp(a->strength, b->strength, bytes), 0);
}

/* Loads a.cfg, writes it, loads that: the same plant and plan to the last bit. */
static void expect_round_trip(const char *what)
{
    struct loaded *first = load("a.cfg", NULL);
    cr_assert_eq(first->status, STATUS_OK, "%s: %s", what, first->said);
    FILE *f = fopen("b.cfg", "w");
    resolved_write(&first->s, f);
    fclose(f);
    if (first->s.log != NULL) {
        f = fopen(RESOLVED_LOG, "w");
        resolved_write_log(first->s.log, f);
        fclose(f);
    }
    struct loaded *second = load("b.cfg", NULL);
    cr_assert_eq(second->status, STATUS_OK, "%s, written: %s", what, second->said);
    expect_same_log(first->s.log, second->s.log);
    forget_pointers(&first->s);
    forget_pointers(&second->s);
    const struct plant *p = &first->s.plant, *q = &second->s.plant;
    cr_assert_eq(memcmp(&p->feed, &q->feed, sizeof p->feed), 0, "%s: feed", what);
    cr_assert_eq(memcmp(&p->train, &q->train, sizeof p->train), 0, "%s: train", what);
    cr_assert_eq(memcmp(&p->fill, &q->fill, sizeof p->fill), 0, "%s: fill", what);
    cr_assert_eq(memcmp(&p->tank, &q->tank, sizeof p->tank), 0, "%s: tank", what);
    cr_assert_eq(memcmp(&p->basin, &q->basin, sizeof p->basin), 0, "%s: basin", what);
    cr_assert_eq(memcmp(p, q, sizeof *p), 0, "%s: plant", what);
    cr_assert_eq(memcmp(&first->s.plan, &second->s.plan, sizeof first->s.plan), 0, "%s: plan",
                 what);
    discard(first);
    discard(second);
}

Test(scenario, written_and_read_again_has_the_same_bits)
{
    folder_put("a.cfg", shortest);
    expect_round_trip("shortest");
    folder_put("log.csv", log_text);
    folder_put("a.cfg", longest);
    expect_round_trip("longest");
    static const char *const tanks[] = {
        "shape = \"box\"; length = \"50 cm\"; width = \"40 cm\"; height = \"80 cm\";",
        "shape = \"lying\"; length = \"90 cm\"; diameter = \"80 cm\";",
        "shape = \"cone\"; diameter = \"50 cm\"; bottom_diameter = \"5 cm\"; cone_height = \"20 "
        "cm\";"
        " height = \"80 cm\";",
    };
    for (size_t i = 0; i < sizeof tanks / sizeof *tanks; i++) {
        char text[3000];
        snprintf(text, sizeof text,
                 FEED TRAIN
                 "storage = { %s shuts_at = \"70 cm\"; shutoff = \"float valve\"; overflow ="
                 " \"side\"; };\n",
                 tanks[i]);
        folder_put("a.cfg", text);
        expect_round_trip(tanks[i]);
    }
}

static unsigned long long seed = 2026;

static double chance(void)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(seed >> 11) / 9007199254740992.0;
}

/* Random values within the usual range, each key with chance 0.7. */
static void random_fields(FILE *f, const struct field *fields, const char *const leave_out[])
{
    for (; fields->key != NULL; fields++) {
        bool skip = chance() < 0.3;
        for (int i = 0; leave_out[i] != NULL; i++)
            skip = skip || strncmp(leave_out[i], fields->key, strlen(leave_out[i])) == 0;
        char text[64];
        const double low = fmax(fields->low, -1e6), high = fmin(fields->high, 1e6);
        if (skip)
            continue;
        if (fields->type == FIELD_NUMBER)
            fprintf(
                f, "%s = \"%s\";\n", fields->key,
                units_exact(low + chance() * (high - low), fields->dimension, text, sizeof text));
        else if (fields->type == FIELD_COUNT)
            fprintf(f, "%s = %d;\n", fields->key, (int)(low + chance() * (high - low)));
        else if (fields->type == FIELD_FLAG)
            fprintf(f, "%s = %s;\n", fields->key, chance() < 0.5 ? "true" : "false");
    }
}

/* What a membrane of random fields has beside them; in series there are at most 48 segments. */
static void random_membrane(FILE *f)
{
    fprintf(f, "elements = %d; segments = %d; joined = \"%s\";\n", 1 + (int)(4.0 * chance()),
            4 + (int)(9.0 * chance()), chance() < 0.5 ? "series" : "parallel");
    fputs("plate = { permeate = \"75 gal/day\"; pressure = \"60 psi\"; };\n", f);
}

/* Whether there is a membrane. */
static bool random_train(FILE *f)
{
    static const char *const nothing[] = { "water_perm", "salt_perm", "elements", "segments",
                                           NULL };
    static const char *const none[] = { NULL };
    const int count = 1 + (int)(chance() * STAGES_MAX);
    bool membrane = false;
    fputs("train = (", f);
    for (int i = 0; i < count; i++) {
        const struct stage_kind *k = stage_kinds[(int)(chance() * 5.0)];
        if (k == &stage_membrane && membrane)
            k = &stage_carbon;
        membrane = membrane || k == &stage_membrane;
        fprintf(f, "%s { kind = \"%s\";\n", i > 0 ? "," : "", k->name);
        random_fields(f, k->fields, nothing);
        if (k == &stage_membrane)
            random_membrane(f);
        for (const struct stage_group *g = k->groups; g != NULL && g->key != NULL; g++) {
            fprintf(f, "%s = {\n", g->key);
            random_fields(f, g->fields, none);
            fputs("};\n", f);
        }
        fputs("}\n", f);
    }
    fputs(");\n", f);
    return membrane;
}

static void random_inner(FILE *f, const char *key, const char *path)
{
    static const char *const nothing[] = { NULL };
    fprintf(f, "%s = {\n", key);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        if (strcmp(t->path, path) == 0)
            random_fields(f, t->fields, nothing);
    fputs("};\n", f);
}

/* What only a plant with a membrane and a solenoid can do. */
static void random_control(FILE *f)
{
    fprintf(f, "control = { rinse_every = \"%.17g s\"; %s %s };\n", 1000.0 + 1e4 * chance(),
            chance() < 0.5 ? "rinse_for = \"71.3 s\"; rinse_bypass = 2.7;" : "",
            chance() < 0.3   ? "divert_below = \"13 ppm\";"
            : chance() < 0.5 ? "divert = \"77.7 s\"; rinse_at_start = \"11.1 s\";"
                             : "");
    fprintf(f, "replace = { membrane = { flow = %.17g; passage = 2.2; }; };\n",
            0.5 + 0.4 * chance());
}

/* Rates by each of the keys that can say one, some of them left to their defaults. */
static void random_risk(FILE *f, bool membrane)
{
    static const char *const none[] = { NULL };
    const bool by_rate = chance() < 0.5;
    fputs("risk = {\n", f);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        if (strcmp(t->path, "risk") == 0)
            random_fields(f, t->fields, none);
    fprintf(f, "rates = ( { part = \"supply\"; mode = \"supply cut\"; error_factor = %.17g; }",
            1.0 + 20.0 * chance());
    if (membrane && chance() < 0.7)
        fprintf(f, ", { part = \"drain line\"; mode = \"kinked\"; %s = \"%.17g %s\"; }",
                by_rate ? "rate" : "probability", 30.0 * chance(), by_rate ? "/yr" : "%");
    if (chance() < 0.5)
        fprintf(f, ", { part = \"mains\"; mode = \"power cut\"; lasts = \"%.17g h\"; }",
                0.1 + chance());
    fputs(" );\n};\n", f);
}

/* Pressures that fit together and to the 50 psi of the feed. */
static void random_low_pressure(FILE *f)
{
    const double trips = 3e4 + 2e5 * chance(), clears = trips + 1e5 * chance();
    fprintf(f, "low_pressure = { trips = \"%.17g Pa\"; wait = \"%.17g s\"; %s", trips,
            60.0 + 1e4 * chance(), chance() < 0.5 ? "latches = true; delay = \"1.7 s\";" : "");
    if (chance() < 0.5)
        fprintf(f, "clears = \"%.17g Pa\";", clears);
    fputs("};\n", f);
}

static void random_scenario(FILE *f)
{
    static const char *const feed[] = { "conductivity", "meter",     "close",    "cold",
                                        "warm",         "hard",      "alk",      "carbon",
                                        "bicarb",       "dissolved", "pressure", "sodium",
                                        "chloride",     "sulfate",   NULL };
    static const char *const level[] = { "first",  "opens",  "float_at", "high",     "overflow_lip",
                                         "outlet", "length", "width",    "diameter", "bottom",
                                         "cone",   "height", "shuts",    NULL };
    static const char *const served[] = { "surface", "volume",         "topoff_band", "freeboard",
                                          "water",   "topoff_high_at", NULL };
    static const char *const none[] = { "salinity", NULL };
    fputs("feed = { meter = \"600 ppm\"; close = \"sodium\"; pressure = \"50 psi\";\n", f);
    random_fields(f, (scenario_tables + 1)->fields, feed);
    fputs("};\n", f);
    const bool membrane = random_train(f), switches = chance() < 0.5, valve = chance() < 0.5;
    fprintf(f, "storage = { diameter = \"%.17g m\"; height = \"1.5 m\"; shuts_at = \"%.17g m\";\n",
            0.3 + chance(), 0.6 + 0.5 * chance());
    const bool low_pressure = chance() < 0.5;
    fprintf(f, "shutoff = [ \"%s\"%s%s%s ]; overflow = \"%s\";\n",
            switches ? "level switches" : "float valve",
            membrane && valve ? ", \"automatic shut-off valve\"" : "",
            chance() < 0.5 ? ", \"high switch\", \"leak sensor\"" : "",
            low_pressure ? ", \"low pressure switch\"" : "", chance() < 0.5 ? "none" : "side");
    if (low_pressure)
        random_low_pressure(f);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        if (strcmp(t->path, "storage") == 0)
            random_fields(f, t->fields, level);
    random_inner(f, "gas", "storage.gas");
    if (membrane && valve)
        random_inner(f, "valve", "storage.valve");
    if (membrane && chance() < 0.5) {
        static const char *const never[] = { "first", NULL };
        fputs("bladder = {\n", f);
        random_fields(f, bladder_fields, never);
        fputs("};\n", f);
    }
    fputs("};\n", f);
    if (membrane && switches)
        random_control(f);
    random_inner(f, "visits", "visits");
    random_risk(f, membrane);
    fprintf(f,
            "served = { surface = \"1 m2\"; volume = \"400 L\"; water = \"24.3 degC\";"
            " topoff = \"%s\";\n",
            chance() < 0.5 ? "gravity float"
                           : "pump and float switch\"; topoff_high_at = \"3.3456789 cm");
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        if (strcmp(t->path, "served") == 0)
            random_fields(f, t->fields, served);
    fputs("};\n", f);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++) {
        if (strstr("limits prices clock records numerics meter", t->path) == NULL)
            continue;
        fprintf(f, "%s = {\n", t->path);
        random_fields(f, t->fields, none);
        fputs("};\n", f);
    }
}

Test(scenario, random_ones_survive_writing_to_the_last_bit)
{
    for (int i = 0; i < 150; i++) {
        char what[40];
        snprintf(what, sizeof what, "random scenario %d", i);
        FILE *f = fopen("a.cfg", "w");
        random_scenario(f);
        fclose(f);
        expect_round_trip(what);
    }
}

/* ---- logs -------------------------------------------------------------------------------------
 */

Test(scenario, refuses_bad_logs)
{
    static const struct {
        const char *csv, *words;
    } rows[] = { { "time_days;temperature_degC\n0;10\n",
                   "log.csv:1:1: error: the columns are separated" },
                 { "", "no rows" },
                 { "time_days,temperature_degC\n", "no rows" },
                 { "temperature_degC\n5\n", "one column must be the time" },
                 { "time_days\n5\n", "no column holds a reading" },
                 { "time_days,temprature_degC\n0,5\n", "did you mean temperature_degC?" },
                 { "time_days,temperature_degC\n0,5\n1,nan\n", "log.csv:3:3: error: \"nan\"" },
                 { "time_days,temperature_degC\n0,5\n1,\"5,5\"\n", "decimal point" },
                 { "time_days,temperature_degC\n0,5\n1,500\n", "out of range" },
                 { "time_days,temperature_degC\n0,5\n1\n", "1 cells, but the header has 2" },
                 { "time_days,temperature_degC\n0,5\n1,2,3\n", "more cells" },
                 { "time_days,temperature_degC\n1,5\n0,6\n", "not in order" },
                 { "date,temperature_degC\n2026-02-30,5\n", "not a date that exists" },
                 { "time_days,temperature_degC\n0,5\n1,\"6\"7\n", "stray quote" },
                 { "time_days,temperature_degC\n0,5\n1,\"6\n", "quote is not closed" },
                 { "time_days,temperature_degC\n0,5\n1,\x1b[31m\n",
                   "log.csv:3:3: error: a control character (byte 27)" },
                 { "time_days,time_h,temperature_degC\n0,0,1\n", "two columns say the same" } };
    char text[4000];
    snprintf(text, sizeof text, "%.*s log = \"log.csv\"; };\n%s", (int)sizeof FEED - 5, FEED,
             TRAIN STORAGE);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        folder_put("log.csv", rows[i].csv);
        struct loaded *l = load_text(text, NULL);
        cr_assert(l->status == STATUS_SCENARIO && strstr(l->said, rows[i].words) != NULL,
                  "'%s': %s", rows[i].csv, l->said);
        discard(l);
    }
    const char with_nul[] = "time_days,temperature_degC\n0,5\n1,10\0005\n";
    FILE *f = fopen("log.csv", "w");
    cr_assert_eq(fwrite(with_nul, 1, sizeof with_nul - 1, f), sizeof with_nul - 1);
    fclose(f);
    struct loaded *cut = load_text(text, NULL);
    cr_assert_not_null(strstr(cut->said, "log.csv:3:5: error: a control character (byte 0)"), "%s",
                       cut->said);
    discard(cut);
    folder_put("log.csv", "\xef\xbb\xbftime_days,temperature_degC\r\n# a remark\n0,5\r\n1,\"6\"");
    struct loaded *l = load_text(text, NULL);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    cr_assert_eq(l->s.log->rows, 2);
    cr_assert_eq(l->s.log->temperature[1], 6.0);
    cr_assert_null(l->s.log->pressure);
    discard(l);
}

static struct loaded *load_with_log(const char *csv)
{
    char text[4000];
    snprintf(text, sizeof text, "%.*s log = \"log.csv\"; };\n%s", (int)sizeof FEED - 5, FEED,
             TRAIN STORAGE);
    folder_put("log.csv", csv);
    return load_text(text, NULL);
}

Test(scenario, names_every_bad_cell_of_a_log_up_to_twenty)
{
    struct loaded *l = load_with_log("time_days,temperature_degC,pressure_bar\n0,5,3\n1,x,y\n"
                                     "2,6,3\n3,6,\"4,5\"\n1,6,3\n4,6\n5,6,3\n");
    cr_assert_eq(l->errors, 4, "%s", l->said);
    static const char *const words[] = { "log.csv:3:3: error: \"x\"", "log.csv:5:5: error: \"4,5\"",
                                         "log.csv:6: error: the rows are not in order",
                                         "log.csv:7: error: 2 cells" };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        cr_expect_not_null(strstr(l->said, words[i]), "%s: %s", words[i], l->said);
    discard(l);

    char csv[4000] = "time_days,temperature_degC\n";
    for (int i = 0; i < 50; i++)
        text_append(csv, sizeof csv, "%d,warm\n", i);
    l = load_with_log(csv);
    cr_assert_eq(l->errors, 20, "%s", l->said);
    discard(l);
}

Test(scenario, warns_of_a_log_that_lies_outside_the_run)
{
    static const struct {
        const char *csv, *words;
        int warnings;
    } rows[] = { { "time_days,temperature_degC\n400,5\n500,6\n", "after the run: the first", 1 },
                 { "time_days,temperature_degC\n-20,5\n-10,6\n", "before the run: the last", 1 },
                 { "date,temperature_degC\n2019-01-01,5\n", "before the run", 1 },
                 { "time_days,temperature_degC\n-20,5\n0,6\n", "", 0 },
                 { "time_days,temperature_degC\n365,5\n", "", 0 } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct loaded *l = load_with_log(rows[i].csv);
        cr_assert_eq(l->status, STATUS_OK, "%s: %s", rows[i].csv, l->said);
        cr_expect_eq(l->warnings, rows[i].warnings, "%s: %s", rows[i].csv, l->said);
        cr_expect_not_null(strstr(l->said, rows[i].words), "%s: %s", rows[i].csv, l->said);
        discard(l);
    }
}

/* ---- what does not fit together ---------------------------------------------------------------
 */

/* Loads the shortest line with other groups in place of some. */
static struct loaded *load_groups(const char *feed, const char *storage, const char *rest)
{
    char text[4000];
    snprintf(text, sizeof text, "feed = { %s pressure = \"50 psi\"; };\n" TRAIN "%s\n%s\n", feed,
             storage == NULL ? STORAGE : storage, rest == NULL ? "" : rest);
    return load_text(text, NULL);
}

Test(scenario, holds_what_is_said_of_the_feed_against_the_rest_of_it)
{
    static const struct {
        const char *feed, *words; /* words NULL: not a word */
        int errors;
    } rows[] = {
        { "carbon_dioxide = \"50 mg/L\"; pH = 9; alkalinity = \"100 mg/L as CaCO3\";",
          "carbon_dioxide is given as 50 mg/L, but the rest makes it 0.16", 1 },
        { "carbon_dioxide = \"18 mg/L\"; pH = 7.5; alkalinity = \"100 mg/L as CaCO3\";",
          "warning: carbon_dioxide is given as 18 mg/L", 0 },
        { "carbon_dioxide = \"5 mg/L\"; pH = 7.5; alkalinity = \"100 mg/L as CaCO3\";", NULL, 0 },
        { "bicarbonate = \"300 mg/L\"; alkalinity = \"100 mg/L as CaCO3\"; pH = 7.5;",
          "bicarbonate is given as 300 mg/L", 1 },
        { "bicarbonate = \"122 mg/L\"; alkalinity = \"100 mg/L as CaCO3\"; pH = 7.5;", NULL, 0 },
        { "pH = 3; alkalinity = \"200 mg/L as CaCO3\";", "g/L of free carbon dioxide", 1 },
        { "pH = 5.7; alkalinity = \"20 mg/L as CaCO3\";", NULL, 0 },
        { "hardness = \"300 mg/L as CaCO3\"; meter = \"50 ppm\";",
          "error: meter is 50 ppm, but with hardness alone", 1 },
        { "hardness = \"300 mg/L as CaCO3\"; meter = \"250 ppm\";",
          "warning: meter is 250 ppm, but with hardness alone", 0 },
        { "hardness = \"300 mg/L as CaCO3\"; meter = \"350 ppm\";", NULL, 0 },
        { "sodium = \"50 mg/L\"; conductivity = \"30 uS/cm\";",
          "conductivity is 30 uS/cm, but with sodium alone", 1 },
        { "hardness = \"300 mg/L as CaCO3\"; dissolved_solids = \"100 mg/L\";",
          "dissolved_solids is 100 mg/L, but with hardness alone", 1 },
        { "meter = \"245 ppm\"; dissolved_solids = \"2000 mg/L\";",
          "dissolved_solids is given as 2000 mg/L", 1 },
        { "meter = \"245 ppm\"; dissolved_solids = \"300 mg/L\";", NULL, 0 },
        { "calcium = \"40 mg/L\"; magnesium = \"10 mg/L\"; hardness = \"300 mg/L as CaCO3\";",
          "hardness is given as 300 mg/L as CaCO3, but the rest makes it 141", 1 },
        { "calcium = \"200 mg/L\"; hardness = \"300 mg/L as CaCO3\";", "hardness is given", 1 },
        { "calcium = \"40 mg/L\"; hardness = \"300 mg/L as CaCO3\";",
          "warning: calcium is only 33 % of the hardness", 0 },
        { "calcium = \"80 mg/L\"; hardness = \"300 mg/L as CaCO3\";", NULL, 0 },
        { "meter = \"50000 ppm\";", "g/L dissolved; the formulas reach to 10", 1 },
        { "meter = \"0 ppm\";", "what is assumed of it", 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct loaded *l = load_groups(rows[i].feed, NULL, NULL);
        cr_expect_eq(l->errors, rows[i].errors, "%s: %s", rows[i].feed, l->said);
        if (rows[i].words == NULL)
            cr_expect_eq(l->warnings, 0, "%s: %s", rows[i].feed, l->said);
        else
            cr_expect_not_null(strstr(l->said, rows[i].words), "%s: %s", rows[i].feed, l->said);
        discard(l);
    }
}

#define TANK "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\"; "

Test(scenario, warns_of_what_has_no_effect)
{
    static const struct {
        const char *storage, *words;
    } rows[] = {
        { TANK "shutoff = \"float valve\"; length = \"1 m\"; };", "length has no effect" },
        { TANK "shutoff = \"level switches\"; float_at = \"75 cm\"; };",
          "float_at has no effect: no float valve" },
        { TANK "shutoff = \"float valve\"; high_at = \"75 cm\"; };", "high_at has no effect" },
        { TANK "shutoff = \"float valve\"; longest_run = \"3 h\"; };",
          "longest_run has no effect" },
        { TANK "shutoff = \"float valve\"; overflow_bore = \"25 mm\"; };",
          "overflow_bore has no effect: there is no overflow" },
        { TANK "shutoff = \"float valve\"; float_at = \"60 cm\"; };",
          "the float valve alone stops the water: at 60 cm" },
        { TANK "shutoff = [ \"float valve\", \"level switches\" ]; float_at = \"60 cm\"; };",
          "the stop switch at 70 cm is never reached" },
        { TANK
          "shutoff = \"float valve\"; shape = \"upright\"; table = ( ( \"1 m\", \"9 L\" ) ); };",
          "table has no effect" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct loaded *l = load_groups("meter = \"245 ppm\";", rows[i].storage, NULL);
        cr_expect(l->status == STATUS_OK && l->warnings == 1, "%s: %s", rows[i].storage, l->said);
        cr_expect_not_null(strstr(l->said, rows[i].words), "%s: %s", rows[i].storage, l->said);
        discard(l);
    }
    struct loaded *l = load_groups("meter = \"245 ppm\";",
                                   TANK "shutoff = [ \"float valve\", \"level switches\" ];"
                                        " float_at = \"73 cm\"; };",
                                   NULL);
    cr_expect_eq(l->warnings, 0, "%s", l->said);
    discard(l);
}

Test(scenario, warns_of_an_end_without_a_beginning)
{
    static const struct {
        const char *events, *words;
        int warnings;
    } rows[] = {
        { "{ at = \"3 days\"; what = \"power back\"; }", "\"power back\" without a \"power cut\"",
          1 },
        { "{ at = \"3 days\"; what = \"power back\"; }, { at = \"4 days\"; what = \"power cut\"; }",
          "power back", 1 },
        { "{ at = \"3 days\"; what = \"supply cut\"; }, { at = \"4 days\"; what = \"power back\"; "
          "}",
          "power back", 1 },
        { "{ at = \"3 days\"; what = \"power cut\"; lasts = \"1 day\"; },"
          " { at = \"5 days\"; what = \"power back\"; }",
          "power back", 1 },
        { "{ at = \"3 days\"; what = \"mend\"; part = \"float valve\"; mode = \"sticks open\"; }",
          "\"mend\" without a \"fault\"", 1 },
        { "{ at = \"1 day\"; what = \"power cut\"; lasts = \"1 day\"; },"
          " { at = \"1.5 days\"; what = \"power cut\"; lasts = \"1 day\"; }",
          "", 0 },
        { "{ at = \"4 days\"; what = \"hand valve open\"; },"
          " { at = \"3 days\"; what = \"hand valve shut\"; }",
          "", 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char events[400];
        snprintf(events, sizeof events, "events = ( %s );", rows[i].events);
        struct loaded *l = load_groups("meter = \"245 ppm\";", NULL, events);
        cr_expect_eq(l->warnings, rows[i].warnings, "%s: %s", events, l->said);
        cr_expect_not_null(strstr(l->said, rows[i].words), "%s: %s", events, l->said);
        discard(l);
    }
}

Test(scenario, complains_once_of_one_mistake)
{
    static const struct {
        const char *feed, *storage, *rest, *words;
    } rows[] = {
        { "meter = \"245 blah\";", NULL, NULL, "unknown unit \"blah\"" },
        { "meter = \"245 ppm\";", NULL, "draws = ( { take = \"1 L\"; every = \"1 s\"; } );",
          "every is out of range" },
        { "meter = \"245 ppm\";",
          "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"90 cm\"; shutoff = "
          "[ \"float valve\", \"high switch\" ]; };",
          NULL, "shuts_at lies above the rim" },
        { "meter = \"245 ppm\"; pH = \"x\";", NULL, NULL, "write pH = 7.5;" },
        { "meter = \"245 ppm\"; pressure_swing = \"0x10 bar\";", NULL, NULL, "decimal" },
        { "meter = \"245 ppm\";", NULL,
          "events = ( { at = \"1 day\"; what = \"mend\"; part = \"float valve\"; } );",
          "missing in this mend" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct loaded *l = load_groups(rows[i].feed, rows[i].storage, rows[i].rest);
        cr_expect_eq(l->errors, 1, "%zu: %s", i, l->said);
        cr_expect_not_null(strstr(l->said, rows[i].words), "%s: %s", rows[i].words, l->said);
        discard(l);
    }
}

Test(scenario, says_once_that_a_list_is_too_long)
{
    enum { MANY = 20000 };
    static const struct {
        const char *open, *row, *close;
    } rows[] = { { "events = (", "{ at = \"3 days\"; what = \"power cat\"; }", " );" },
                 { "draws = (", "{ tak = 1; }", " );" } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        FILE *f = fopen("a.cfg", "w");
        fprintf(f, "%s%s%s%s", FEED, TRAIN, STORAGE, rows[i].open);
        for (int k = 0; k < MANY; k++)
            fprintf(f, "%s%s\n", k > 0 ? ", " : "", rows[i].row);
        fputs(rows[i].close, f);
        fclose(f);
        struct loaded *l = load("a.cfg", NULL);
        cr_expect_eq(l->errors, 1, "%s: %.2000s", rows[i].open, l->said);
        cr_expect_not_null(strstr(l->said, "are too many"), "%s: %.2000s", rows[i].open, l->said);
        discard(l);
    }
}

Test(scenario, names_the_file_of_what_is_missing)
{
    struct loaded *l = load_text("", NULL);
    cr_expect_eq(l->errors, 3, "%s", l->said);
    cr_expect_eq(strncmp(l->said, "a.cfg: error: ", 14), 0, "%s", l->said);
    discard(l);
}

/* ---- risk -------------------------------------------------------------------------------------
 */

static const struct value *noted(const struct loaded *l, const char *path)
{
    const struct value *v = reader_noted((struct values *)&l->s.values, path);
    cr_assert_not_null(v, "%s", path);
    return v;
}

Test(scenario, takes_the_span_without_anybody_from_the_clock)
{
    static const struct {
        const char *rest;
        double days;
        const char *source;
    } rows[] = {
        { "", 14.0, "assumption: 14 days" },
        { "clock = { away = \"21 days\"; };", 21.0, "clock.away" },
        { "clock = { away = \"0 s\"; };", 14.0, "assumption: 14 days" },
        { "clock = { away = \"21 days\"; }; risk = { unattended = \"3 days\"; };", 3.0, "" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[3000];
        snprintf(text, sizeof text, FEED TRAIN STORAGE "%s", rows[i].rest);
        struct loaded *l = load_text(text, NULL);
        cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
        cr_expect_str_eq(l->said, "", "nothing is told: %s", l->said);
        cr_expect_eq(l->s.plan.risk.unattended, rows[i].days * 86400.0, "%s", rows[i].rest);
        cr_expect_str_eq(noted(l, "risk.unattended")->source, rows[i].source);
        discard(l);
    }
}

Test(scenario, reads_rates_in_every_way_of_saying_them)
{
    folder_put("log.csv", log_text);
    struct loaded *l = load_text(longest, NULL);
    const struct risk *r = &l->s.plan.risk;
    cr_assert_eq(r->rates, 4, "%s", l->said);
    cr_expect(r->inspected == 90.0 * 86400.0 && r->mending == 86400.0);
    cr_expect(r->unattended == 21.0 * 86400.0 && r->common_cause == 0.05);
    cr_expect(r->rate[0].kind == RATE_PER_TIME && r->rate[0].error_factor == 4.0);
    cr_expect_float_eq(r->rate[0].median, 0.03 / (365.25 * 86400.0), 1e-22);
    cr_expect(r->rate[1].kind == RATE_STANDING && r->rate[1].median == 0.02);
    cr_expect_eq(r->rate[1].error_factor, 5.0, "that of the default");
    cr_expect(r->rate[2].kind == RATE_PER_DEMAND && r->rate[2].median == 2e-4);
    cr_expect(r->rate[3].kind == RATE_PER_TIME && r->rate[3].lasts == 18000.0);
    cr_expect_float_eq(r->rate[3].median, 1.0 / (365.25 * 86400.0), 1e-22, "the default");
    cr_expect(isnan(r->rate[0].lasts) && isnan(r->rate[2].lasts));
    cr_expect_eq(noted(l, "risk.rates.1.rate")->origin, ORIGIN_FILE);
    cr_expect_eq(noted(l, "risk.rates.4.rate")->origin, ORIGIN_DEFAULT);
    cr_expect_str_eq(noted(l, "risk.rates.3.mode")->text, "sticks open");
    discard(l);
}

/* `check` shows the many defaults as one line. */
Test(scenario, counts_the_rates_that_are_at_default)
{
    struct loaded *l = load_text(FEED TRAIN STORAGE, NULL);
    /* a float valve, a drain line, the supply that surges, the hand valve, the two cuts: 4, 1, 1,
     * 1, 2 */
    cr_expect_str_eq(noted(l, "risk.rates")->text, "9 of 9 modes at default");
    discard(l);
    l = load_text(FEED TRAIN STORAGE
                  "risk = { rates = ( { part = \"float valve\"; mode = \"weeps\";"
                  " rate = \"1 /yr\"; } ); };",
                  NULL);
    cr_expect_str_eq(noted(l, "risk.rates")->text, "8 of 9 modes at default");
    const char *const sets[] = { "risk.rates.1.rate=0.5 /yr", "risk.common_cause=0.2", NULL };
    discard(l);
    l = load_text(FEED TRAIN STORAGE
                  "risk = { rates = ( { part = \"float valve\"; mode = \"weeps\";"
                  " rate = \"1 /yr\"; } ); };",
                  sets);
    cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
    cr_expect_float_eq(l->s.plan.risk.rate[0].median, 0.5 / (365.25 * 86400.0), 1e-22);
    cr_expect_eq(l->s.plan.risk.common_cause, 0.2);
    discard(l);
}

Test(scenario, tells_of_a_span_in_which_nothing_is_filled)
{
    static const char served[] = "served = { surface = \"1.1 m2\"; volume = \"400 L\"; water ="
                                 " \"25 degC\"; topoff = \"pump and float switch\"; };";
    static const struct {
        const char *storage, *span;
        bool told;
    } rows[] = { { SWITCHED, "1 h", true },
                 { SWITCHED, "30 days", false },
                 { STORAGE, "1 h", false } }; /* a float valve fills all the time */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[3000];
        snprintf(text, sizeof text, FEED TRAIN "%s%s risk = { unattended = \"%s\"; };",
                 rows[i].storage, served, rows[i].span);
        struct loaded *l = load_text(text, NULL);
        cr_assert_eq(l->status, STATUS_OK, "%s", l->said);
        cr_expect_eq(strstr(l->said, "note: unattended for 1 h") != NULL, rows[i].told, "%s",
                     l->said);
        discard(l);
    }
}

Test(scenario, says_once_what_is_wrong_with_a_rate)
{
#define RATES(list) TRAIN SWITCHED "risk = { rates = ( " list " ); };"
#define START "{ part = \"start switch\"; mode = \"shows dry\"; "
#define CUT "{ part = \"mains\"; mode = \"power cut\"; "
    static const struct told rows[] = {
        { RATES(START "rate = \"0.02 /yr\"; }"), NULL, false },
        { RATES(START "probability = 0.02; }"), NULL, false },
        { RATES(START "error_factor = 3; }"), NULL, false },
        { RATES(CUT "rate = \"5 /yr\"; lasts = \"30 min\"; }"), NULL, false },
        { RATES(START "}"), "does not say how often", true },
        { RATES(START "rate = \"1 /yr\"; probability = 0.1; }"), "said twice", true },
        { RATES(START "rate = 0.02; }"), "rate needs a unit", true },
        { RATES(START "rate = \"-1 /yr\"; }"), "rate is out of range", true },
        { RATES(START "rate = \"2 yr\"; }"), "unknown unit \"yr\"", true },
        { RATES(START "probability = 1.5; }"), "probability is out of range", true },
        { RATES(START "per_demand = 0.001; }"), "no demands are counted", true },
        { RATES(START "error_factor = 0; }"), "error_factor is out of range", true },
        { RATES(START "error_factor = 0.5; }"), "error_factor is out of range", true },
        { RATES(START "rate = \"1 /yr\"; lasts = \"1 h\"; }"), "until it is mended", true },
        { RATES(CUT "probability = 0.1; }"), "ends by itself", true },
        { RATES(CUT "per_demand = 0.1; }"), "ends by itself", true },
        { RATES(START "rate = \"1 /yr\"; }, " START "rate = \"2 /yr\"; }"), "rate already", true },
        { RATES("{ part = \"start swich\"; mode = \"shows dry\"; }"), "\"start switch\"?", true },
        { RATES("{ part = \"start switch\"; mode = \"shows dri\"; }"), "\"shows dry\"?", true },
        { RATES("{ part = \"mains\"; mode = \"power cat\"; }"), "\"power cut\"?", true },
        { RATES("{ part = \"leak sensor\"; mode = \"dead\"; rate = \"1 /yr\"; }"),
          "no leak sensor that could fail", true },
        { RATES("{ mode = \"dead\"; rate = \"1 /yr\"; }"), "\"part\" is missing", true },
        { RATES(START "rate = \"1 /yr\"; often = 5; }"), "unknown key \"often\"", true },
        { RATES("5"), "must be a group", true },
        { TRAIN SWITCHED "risk = { rates = \"many\"; };", "rates must be a list", true },
        { TRAIN SWITCHED "risk = { inspected = \"0 days\"; };", "inspected is out of range", true },
    };
    EXPECT_TOLD(rows);
}

Test(scenario, an_event_is_no_fault_that_comes_from_outside)
{
    static const struct told rows[] = {
        { TRAIN STORAGE "events = ( { at = \"3 days\"; what = \"fault\"; part = \"mains\"; mode ="
                        " \"power cut\"; } );",
          "unknown part \"mains\"", true },
    };
    EXPECT_TOLD(rows);
}
