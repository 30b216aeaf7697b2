/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_feed: the groups `meter` and `feed`: what the supply is, as far as it is known.
 */
#include "scenario_inner.h"

#include <string.h>

#include "readings.h"
#include "text.h"

#define COLD_DAY 44.0 /* 14 February */
#define HALF_YEAR 182.625

/* ---- the pocket meter ------------------------------------------------------------------------ */

struct meter_form {
    int scale;
    double resolution;
};

static const char *const scales[] = { "ppm500", "ppm640", "ppm700", NULL };
static const double factor_of_scale[] = { 5.0, 6.4, 7.0 }; /* kg/m3 per S/m */

const struct field scenario_meter_fields[] = {
    CHOICE("scale", struct meter_form, scale, 0, scales,
           "what the pocket meter shows: 0.5, 0.64 or 0.7 ppm per uS/cm",
           "0.5 ppm per uS/cm is usual; common practice"),
    NUMBER("resolution", DIM_MASS_CONCENTRATION, struct meter_form, resolution, 1e-3, 0.0, 0.1,
           1e-5, 1e-2, "smallest step that the meter shows", "1 ppm is usual; common practice"),
    { .key = NULL },
};

static void read_meter(struct loading *l)
{
    struct meter_form form;
    const struct section s = {
        .path = "meter",
        .group = reader_group(&l->reader, tree_member(l->root, "meter"), "meter"),
        .fields = scenario_meter_fields,
        .base = &form,
    };
    reader_section(&l->reader, &s);
    l->out->plant.meter.factor = factor_of_scale[form.scale < 0 ? 0 : form.scale];
    l->out->plant.meter.resolution = form.resolution;
    l->reader.meter_factor = l->out->plant.meter.factor;
}

/* ---- the feed -------------------------------------------------------------------------------- */

enum treatment { TREATMENT_NONE, TREATMENT_CHLORINE, TREATMENT_CHLORAMINE };

struct feed_form {
    struct analysis a;
    double meter;
    int close, treatment;
    double coldest, warmest, coldest_day, temperature_swing;
    double pressure_swing, pressure_season;
    double valve_bore;
};

static const char *const closings[] = { "refuse", "sodium", NULL };
static const char *const treatments[] = { "none", "chlorine", "chloramine", NULL };

#define FORM struct feed_form
#define OPTIONAL FIELD_OPTIONAL
#define ION(key, which, usual)                                                                     \
    NUMBER(key, DIM_MOLAR, FORM, a.ion[which], OPTIONAL, 0.0, 1000.0, 0.0, usual,                  \
           "dissolved " key, "")

const struct field scenario_feed_fields[] = {
    ION("sodium", SODIUM, 20.0),
    ION("potassium", POTASSIUM, 2.0),
    ION("calcium", CALCIUM, 5.0),
    ION("magnesium", MAGNESIUM, 3.0),
    ION("ammonium", AMMONIUM, 1.0),
    ION("chloride", CHLORIDE, 20.0),
    ION("sulfate", SULFATE, 5.0),
    ION("nitrate", NITRATE, 1.0),
    ION("fluoride", FLUORIDE, 0.2),
    ION("silica", SILICA, 1.5),
    NUMBER("bicarbonate", DIM_MOLAR, FORM, a.bicarbonate, OPTIONAL, 0.0, 1000.0, 0.0, 10.0,
           "HCO3- as an analysis states it", ""),
    NUMBER("carbon_dioxide", DIM_MOLAR, FORM, a.carbon_dioxide, OPTIONAL, 0.0, 100.0, 0.0, 3.0,
           "free CO2", ""),
    NUMBER("carbon", DIM_MOLAR, FORM, a.ion[CARBON], OPTIONAL, 0.0, 1000.0, 0.0, 13.0,
           "total inorganic carbon: CO2, HCO3- and CO3--", ""),
    NUMBER("hardness", DIM_EQUIVALENTS, FORM, a.hardness, OPTIONAL, 0.0, 500.0, 0.0, 12.0,
           "calcium and magnesium together", ""),
    NUMBER("alkalinity", DIM_EQUIVALENTS, FORM, a.alkalinity, OPTIONAL, -100.0, 500.0, 0.0, 10.0,
           "alkalinity to the end point", ""),
    NUMBER("pH", DIM_NONE, FORM, a.ph, OPTIONAL, 0.0, 14.0, 5.0, 10.0, "pH at the temperature `at`",
           ""),
    NUMBER("at", DIM_TEMPERATURE, FORM, a.temperature, 25.0, -5.0, 60.0, 0.0, 40.0,
           "temperature of the analysis", "laboratories report at 25 degC; common practice"),
    NUMBER("conductivity", DIM_CONDUCTIVITY, FORM, a.conductivity, OPTIONAL, 0.0, 20.0, 1e-4, 0.5,
           "conductivity at 25 degC", ""),
    NUMBER("meter", DIM_METER, FORM, meter, OPTIONAL, 0.0, 20.0, 1e-4, 0.5,
           "what a pocket meter shows in the feed", ""),
    NUMBER("dissolved_solids", DIM_MASS_CONCENTRATION, FORM, a.dissolved, OPTIONAL, 0.0, 100.0, 0.0,
           2.0, "total dissolved solids by evaporation", ""),
    CHOICE(
        "close", FORM, close, 0, closings,
        "an analysis whose charges do not balance: refuse it over 20 %, or close it: with sodium, "
        "where anions are too many, else with chloride",
        "assumption: refuse"),
    CHOICE("treatment", FORM, treatment, 0, treatments, "disinfectant in the supply",
           "assumption: none was named"),
    NUMBER("chlorine", DIM_MOLAR, FORM, a.ion[CHLORINE], OPTIONAL, 0.0, 3.0, 0.0, 0.0565,
           "free chlorine, as Cl2", ""),
    NUMBER("chloramine", DIM_MOLAR, FORM, a.ion[CHLORAMINE], OPTIONAL, 0.0, 3.0, 0.0, 0.0565,
           "monochloramine, as Cl2", ""),
    NUMBER("solids", DIM_MASS_CONCENTRATION, FORM, a.ion[SOLIDS], 0.3e-3, 0.0, 1.0, 0.0, 0.02,
           "suspended solids", "assumption: treated town water"),
    NUMBER("coldest", DIM_TEMPERATURE, FORM, coldest, OPTIONAL, 0.1, 50.0, 2.0, 30.0,
           "coldest feed of the year", ""),
    NUMBER("warmest", DIM_TEMPERATURE, FORM, warmest, OPTIONAL, 0.1, 50.0, 5.0, 35.0,
           "warmest feed of the year", ""),
    NUMBER(
        "coldest_day", DIM_NONE, FORM, coldest_day, COLD_DAY, 0.0, 366.0, 0.0, 366.0,
        "day of the year of the coldest feed, 0 for 1 January",
        "Burch & Christensen 2007, form from memory: 29 days after 15 January at 10 degC mean air"),
    NUMBER("temperature_swing", DIM_TEMPERATURE_DIFFERENCE, FORM, temperature_swing, 0.0, 0.0, 20.0,
           0.0, 5.0, "half the swing over a day", "assumption: none"),
    NUMBER("pressure_swing", DIM_PRESSURE, FORM, pressure_swing, 0.0, 0.0, 1e6, 0.0, 1e5,
           "half the swing over a day, highest at 3 in the night",
           "assumption: none; 35 to 70 kPa is common practice"),
    NUMBER("pressure_season", DIM_PRESSURE, FORM, pressure_season, 0.0, 0.0, 1e6, 0.0, 1e5,
           "half the swing over a year, highest in mid-January", "assumption: none"),
    NUMBER("valve_bore", DIM_LENGTH, FORM, valve_bore, 4.3e-3, 1e-4, 0.05, 2e-3, 0.02,
           "bore of the valve in the feed", "assumption: as the tube, nominal 1/4 in"),
    { .key = NULL },
};

const struct field scenario_feed_cycles[] = {
    NUMBER("temperature", DIM_TEMPERATURE, struct cycle, mean, 15.0, 0.1, 50.0, 2.0, 35.0,
           "temperature of the feed, if it is not said by coldest and warmest; a cycle",
           "typical incoming water is 10 to 15 degC; a general page"),
    NUMBER("pressure", DIM_PRESSURE, struct cycle, mean, NAN, 1e3, 1.6e6, 1.4e5, 6e5,
           "supply pressure at the inlet; a cycle", ""),
    { .key = NULL },
};

static const struct field *const temperature_field = &scenario_feed_cycles[0];
static const struct field *const pressure_field = &scenario_feed_cycles[1];

static const char *const others[] = { "temperature", "pressure", "log", NULL };

/* Two ways to say one thing. */
static void only_one(struct loading *l, const struct node *group, const char *a, const char *b)
{
    const struct node *n = tree_member(group, b);
    if (tree_member(group, a) != NULL && n != NULL)
        reader_complain(&l->reader, SEVERITY_ERROR, n, "leave one of them out",
                        "\"%s\" and \"%s\" say the same thing twice", a, b);
}

static void read_temperature(struct loading *l, const struct node *group,
                             const struct feed_form *form)
{
    struct cycle *c = &l->out->plant.feed.temperature;
    const bool cold = tree_member(group, "coldest") != NULL;
    const bool warm = tree_member(group, "warmest") != NULL;
    only_one(l, group, "coldest", "temperature");
    if (!cold && !warm) {
        scenario_cycle_read(l, group, "feed", temperature_field, c);
        if (form->temperature_swing > 0.0)
            c->daily = form->temperature_swing;
        return;
    }
    if (cold != warm)
        reader_missing(&l->reader, group, "feed", cold ? "warmest" : "coldest",
                       "the season needs both");
    else if (form->coldest > form->warmest)
        reader_complain(&l->reader, SEVERITY_ERROR, tree_member(group, "coldest"), NULL,
                        "the coldest feed is warmer than the warmest");
    *c = (struct cycle){ .mean = 0.5 * (form->coldest + form->warmest),
                         .season = 0.5 * (form->warmest - form->coldest),
                         .peak_day = form->coldest_day + HALF_YEAR,
                         .daily = form->temperature_swing,
                         .peak_hour = 17.0 };
}

static void read_pressure(struct loading *l, const struct node *group, const struct feed_form *form)
{
    struct cycle *c = &l->out->plant.feed.pressure;
    scenario_cycle_read(l, group, "feed", pressure_field, c);
    const struct node *n = tree_member(group, "pressure");
    if (n != NULL && n->type == NODE_GROUP && tree_member(n, "mean") != NULL)
        return;
    c->season = form->pressure_season;
    c->peak_day = 14.0;
    c->daily = form->pressure_swing;
    c->peak_hour = 3.0;
    if (cycle_lowest(c) < 0.0)
        reader_complain(&l->reader, SEVERITY_ERROR, n, NULL,
                        "with its swings the supply pressure falls below nothing");
}

/* Level of a disinfectant that was only named. */
static void assume_level(struct loading *l, struct feed_form *form, enum species s, double level)
{
    if (!isnan(form->a.ion[s]))
        return;
    form->a.ion[s] = level / species[s].molar_mass;
    struct value v = { .dimension = DIM_MOLAR,
                       .si = form->a.ion[s],
                       .sd = NAN,
                       .low = NAN,
                       .high = NAN,
                       .origin = ORIGIN_DEFAULT,
                       .source = "US limit 4 mg/L as Cl2, most systems use about half; US EPA" };
    snprintf(v.path, sizeof v.path, "feed.%s", species[s].key);
    snprintf(v.text, sizeof v.text, "%g mg/L as Cl2", level * 1e3);
    if (s == CHLORINE)
        v.source = "assumption: usual at the tap of a chlorinated supply";
    reader_note(&l->reader, &v);
}

static void read_treatment(struct loading *l, const struct node *group, struct feed_form *form)
{
    if (form->treatment == TREATMENT_CHLORINE)
        assume_level(l, form, CHLORINE, 1e-3);
    if (form->treatment == TREATMENT_CHLORAMINE)
        assume_level(l, form, CHLORAMINE, 2e-3);
    const struct node *said = tree_member(group, "treatment");
    for (enum species s = CHLORINE; s <= CHLORAMINE; s++) {
        const bool there = form->a.ion[s] > 0.0;
        const bool named =
            form->treatment == (s == CHLORINE ? TREATMENT_CHLORINE : TREATMENT_CHLORAMINE);
        if (there && said != NULL && !named)
            reader_complain(&l->reader, SEVERITY_WARNING, said,
                            form->treatment == TREATMENT_NONE ? NULL : "both are in the water now",
                            "treatment is \"%s\", but %s is given", treatments[form->treatment],
                            species[s].key);
        if (isnan(form->a.ion[s]))
            form->a.ion[s] = 0.0;
    }
    form->a.ion[SALT] = 0.0;
}

/* Whether what was said of the composition could be read: if not, all that follows from it would be
 * a false complaint. */
static bool readable(const struct node *group, const struct feed_form *form)
{
    for (const struct field *f = scenario_feed_fields; strcmp(f->key, "close") != 0; f++) {
        double value;
        memcpy(&value, (const char *)form + f->offset, sizeof value);
        if (isnan(value) && reader_find(group, f->key) != NULL)
            return false;
    }
    return true;
}

static void complete(struct loading *l, const struct node *group)
{
    struct scenario *out = l->out;
    struct reader *r = &l->reader;
    out->completed = completion_make(&out->analysis, &out->completion);
    memcpy(out->plant.feed.c, out->completion.c, sizeof out->plant.feed.c);
    switch (out->completed) {
    case COMPLETION_UNBALANCED:
        reader_complain(r, SEVERITY_WARNING, group, NULL,
                        "the charges of the analysis are %.0f %% out of balance; closed as "
                        "docs/completion.md says",
                        out->completion.balance);
        break;
    case COMPLETION_REFUSED:
        reader_complain(r, SEVERITY_ERROR, group,
                        "look for a value in the wrong unit, or write close = \"sodium\";",
                        "the charges of the analysis are %.0f %% out of balance",
                        out->completion.balance);
        break;
    case COMPLETION_NOTHING:
        reader_complain(r, SEVERITY_ERROR, group, "a meter reading is enough: meter = \"245 ppm\";",
                        "nothing is said of what is dissolved in the feed");
        break;
    default:
        break;
    }
    scenario_water_check(l, group);
}

/* Warns of a log that says nothing of the time that is simulated. */
static void check_span(struct loading *l, const struct node *n, const struct feed_log *log)
{
    const bool before = log->at[log->rows - 1] < 0.0;
    if (before || log->at[0] > l->out->plan.length)
        reader_complain(&l->reader, SEVERITY_WARNING, n,
                        "its times count from clock.start; compare the dates",
                        "all readings lie %s the run: the %s one is used throughout",
                        before ? "before" : "after", before ? "last" : "first");
}

static void read_log(struct loading *l, const struct node *group)
{
    const struct node *n = tree_member(group, "log");
    const char *name = reader_text(&l->reader, n, "feed.log");
    if (name == NULL)
        return;
    reader_note_text(&l->reader, "feed.log", n, name);
    const struct readings_setting setting = { l->start, l->out->completion.conductivity };
    l->out->log = readings_load(&l->reader, n, name, &setting);
    l->out->plant.feed.log = l->out->log;
    if (l->out->log != NULL)
        check_span(l, n, l->out->log);
}

void scenario_feed_read(struct loading *l)
{
    read_meter(l);
    const struct node *n = tree_member(l->root, "feed");
    const struct node *group = reader_group(&l->reader, n, "feed");
    if (n == NULL)
        reader_missing(&l->reader, NULL, "", "feed", "add feed = { meter = \"245 ppm\"; ... };");
    if (group == NULL)
        return;
    struct feed_form form = { 0 };
    for (int i = 0; i < SPECIES_COUNT; i++)
        form.a.ion[i] = NAN;
    const struct section s = { .path = "feed",
                               .group = group,
                               .fields = scenario_feed_fields,
                               .base = &form,
                               .others = others };
    reader_section(&l->reader, &s);
    only_one(l, group, "conductivity", "meter");
    if (!isnan(form.meter))
        form.a.conductivity = form.meter;
    form.a.close_by_sodium = form.close == 1;
    read_treatment(l, group, &form);
    l->out->analysis = form.a;
    l->out->plant.line.supply_bore = form.valve_bore;
    read_temperature(l, group, &form);
    read_pressure(l, group, &form);
    if (readable(group, &form))
        complete(l, group);
    read_log(l, group);
}

/* ---- writing --------------------------------------------------------------------------------- */

static void write_meter(const struct meter *m, FILE *out)
{
    struct meter_form form = { .resolution = m->resolution };
    for (int i = 0; scales[i] != NULL; i++)
        if (factor_of_scale[i] == m->factor)
            form.scale = i;
    writer_open(out, "meter");
    writer_fields(out, scenario_meter_fields, &form);
    writer_close(out);
}

void scenario_feed_write(const struct scenario *s, FILE *out)
{
    const struct feed *f = &s->plant.feed;
    struct feed_form form = { .a = { .bicarbonate = NAN,
                                     .carbon_dioxide = NAN,
                                     .hardness = NAN,
                                     .alkalinity = NAN,
                                     .ph = NAN,
                                     .temperature = 25.0,
                                     .conductivity = NAN,
                                     .dissolved = NAN },
                              .meter = NAN,
                              .treatment = -1,
                              .coldest = NAN,
                              .warmest = NAN,
                              .coldest_day = NAN,
                              .temperature_swing = NAN,
                              .pressure_swing = NAN,
                              .pressure_season = NAN,
                              .valve_bore = s->plant.line.supply_bore };
    memcpy(form.a.ion, f->c, sizeof f->c);
    write_meter(&s->plant.meter, out);
    writer_open(out, "feed");
    writer_fields(out, scenario_feed_fields, &form);
    writer_cycle(out, temperature_field, &f->temperature);
    writer_cycle(out, pressure_field, &f->pressure);
    if (f->log != NULL)
        writer_text(out, "log", "feed_log.csv");
    writer_close(out);
}
