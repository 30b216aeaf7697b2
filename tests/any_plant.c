/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_plant: random trains, tanks and served waters.
 */
#include <math.h>
#include <string.h>

#include "any_inner.h"
#include "sim/parts.h"

/* ---- one stage ----------------------------------------------------------------------------------
 */

static const struct part *pick_part(struct maker *m, const struct stage_kind *kind)
{
    const struct part *found = NULL;
    int seen = 0;
    for (const struct part *p = parts; p->name != NULL; p++)
        if (p->kind == kind && any_chance(m, 1.0 / ++seen))
            found = p;
    return found;
}

/* A membrane is fixed by a nameplate or by both permeabilities. */
static void fix_membrane(struct maker *m, const struct stage_kind *kind)
{
    if (any_chance(m, 0.4)) {
        any_value(m, any_field(kind->fields, "water_permeability"));
        any_value(m, any_field(kind->fields, "salt_permeability"));
        return;
    }
    any_open(m->text, ANY_GROUP, "plate");
    any_fields(m, scenario_plate_fields, NULL);
    any_close(m->text);
}

static void stage_group(struct maker *m, const struct stage *stage, bool named)
{
    static const char *const fixed[] = { "water_permeability", "salt_permeability", NULL };
    const struct stage_kind *kind = stage->kind;
    const struct part *part = any_chance(m, 0.3) ? pick_part(m, kind) : NULL;
    any_open(m->text, ANY_GROUP, "");
    if (part != NULL)
        any_quoted(m, "part", part->name);
    else
        any_quoted(m, "kind", kind->name);
    if (named)
        any_quoted(m, "name", stage->name);
    any_fields(m, kind->fields, fixed);
    if (part == NULL && kind == &stage_membrane)
        fix_membrane(m, kind);
    for (const struct stage_group *g = kind->groups; g != NULL && g->key != NULL; g++) {
        if (!any_chance(m, 0.4))
            continue;
        any_open(m->text, ANY_GROUP, g->key);
        any_fields(m, g->fields, NULL);
        any_close(m->text);
    }
    any_close(m->text);
}

static bool taken(const struct plant *p, const char *name)
{
    for (int i = 0; i < p->stages; i++)
        if (strcmp(p->train[i].name, name) == 0)
            return true;
    return false;
}

/* As the program calls a stage without a name: carbon, carbon-2. */
static void name_stage(const struct plant *p, struct stage *stage)
{
    snprintf(stage->name, sizeof stage->name, "%s", stage->kind->name);
    for (int i = 2; taken(p, stage->name); i++)
        snprintf(stage->name, sizeof stage->name, "%s-%d", stage->kind->name, i);
}

static void add_stage(struct maker *m, const struct stage_kind *kind)
{
    struct plant *p = &m->plant;
    if (p->stages == STAGES_MAX)
        return;
    struct stage *stage = &p->train[p->stages];
    stage->kind = kind;
    name_stage(p, stage);
    if (kind == &stage_membrane)
        p->membrane = p->stages;
    p->stages++;
    const bool named = any_chance(m, 0.2);
    const struct part *part = pick_part(m, kind);
    if (named)
        snprintf(stage->name, sizeof stage->name, "the_%c%d", "stuv"[any_pick(m, 4)], p -> stages);
    if (!named && part != NULL && any_chance(m, 0.3))
        any_quoted(m, "", part->name);
    else
        stage_group(m, stage, named);
}

/* ---- the train ----------------------------------------------------------------------------------
 */

static int count_kinds(void)
{
    int count = 0;
    while (stage_kinds[count] != NULL)
        count++;
    return count;
}

/* Each kind in the order of the list, which is that of the trade, some twice. */
static void sensible_train(struct maker *m)
{
    for (int i = 0; stage_kinds[i] != NULL; i++) {
        const struct stage_kind *k = stage_kinds[i];
        const bool twice = k != &stage_membrane && k != &stage_pump && any_chance(m, 0.2);
        if (any_chance(m, k == &stage_membrane ? 0.85 : k == &stage_pump ? 0.25 : 0.7))
            for (int n = twice ? 2 : 1; n > 0; n--)
                add_stage(m, k);
    }
}

static void odd_train(struct maker *m)
{
    for (int n = 1 + any_pick(m, STAGES_MAX); n > 0; n--) {
        const struct stage_kind *k = stage_kinds[any_pick(m, count_kinds())];
        if (k != &stage_membrane || m->plant.membrane < 0 || any_chance(m, 0.02))
            add_stage(m, k);
    }
}

void any_train(struct maker *m)
{
    m->plant.membrane = -1;
    any_open(m->text, ANY_LIST, "train");
    if (any_chance(m, 0.6))
        sensible_train(m);
    else
        odd_train(m);
    if (m->plant.stages == 0 && !any_chance(m, 0.1)) /* an empty one is refused */
        add_stage(m, stage_kinds[any_pick(m, count_kinds())]);
    any_close(m->text);
}

/* ---- storage ------------------------------------------------------------------------------------
 */

static void any_table(struct maker *m, double height)
{
    double level = 0.0, volume = 0.0;
    const int rows = 1 + any_pick(m, 6);
    any_open(m->text, ANY_LIST, "table");
    for (int i = 1; i <= rows; i++) {
        const double next = height * i / rows;
        volume += (next - level) * any_log(m, 0.03, 0.6);
        level = next;
        any_put(m->text, "", "( \"%.6g cm\", \"%.6g L\" )", 100.0 * level, 1e3 * volume);
    }
    any_close(m->text);
}

static void size(struct maker *m, const char *key, double metres)
{
    any_number(m, scenario_storage_fields, key, metres);
}

/* The sizes of a shape, and its height. */
static double sizes(struct maker *m, const char *shape)
{
    double height = any_log(m, 0.25, 1.6);
    const double wide = any_log(m, 0.2, 0.9);
    if (strcmp(shape, "table") == 0) {
        any_table(m, height);
        return height;
    }
    if (strcmp(shape, "lying") == 0)
        height = wide * (any_chance(m, 0.5) ? 1.0 : any_between(m, 0.6, 1.0));
    if (strcmp(shape, "box") == 0 || strcmp(shape, "lying") == 0)
        size(m, "length", any_log(m, 0.2, 1.2));
    size(m, strcmp(shape, "box") == 0 ? "width" : "diameter", wide);
    if (strcmp(shape, "cone") == 0) {
        size(m, "bottom_diameter", wide * any_between(m, 0.0, 0.9));
        size(m, "cone_height", height * any_between(m, 0.1, 1.0));
    }
    if (strcmp(shape, "lying") != 0 || height < wide)
        size(m, "height", height);
    return strcmp(shape, "lying") == 0 ? fmin(height, wide) : height;
}

static void overflow(struct maker *m, double shuts, double height)
{
    const struct field *f = any_field(scenario_storage_fields, "overflow");
    m->plant.tank.overflow.kind = (enum overflow_kind)any_pick(m, any_words(f->choices));
    if (m->plant.tank.overflow.kind == OVERFLOW_NONE)
        return;
    any_quoted(m, "overflow", f->choices[m->plant.tank.overflow.kind]);
    size(m, "overflow_lip", any_between(m, shuts + 1e-3, height));
}

static void levels(struct maker *m, double height)
{
    const double shuts = any_between(m, 0.3, 0.93) * height;
    const double opens = shuts * any_between(m, 0.2, 0.98);
    size(m, "shuts_at", shuts);
    if (any_chance(m, 0.7))
        size(m, "opens_at", opens);
    overflow(m, shuts, height);
    if (m->plant.fill.float_valve && any_chance(m, 0.5))
        size(m, "float_at", any_between(m, opens, height));
    if (m->plant.fill.high_switch && any_chance(m, 0.6))
        size(m, "high_at", any_between(m, shuts + 1e-3, height));
    if (any_chance(m, 0.5))
        size(m, "outlet", any_between(m, 0.0, 0.7 * opens));
    if (any_chance(m, 0.6))
        size(m, "first", any_between(m, 0.0, height));
}

/* Words of what stops the water, as likely as people have it. */
static void shutoff(struct maker *m)
{
    struct fill *f = &m->plant.fill;
    any_open(m->text, ANY_ARRAY, "shutoff");
    for (int i = 0; scenario_shutoffs[i] != NULL; i++) {
        const bool valve = strstr(scenario_shutoffs[i], "shut-off valve") != NULL;
        const bool guard = strcmp(scenario_shutoffs[i], "guard valve") == 0;
        if (!any_chance(m, i < 2 ? 0.55 : 0.3) || (valve && m->plant.membrane < 0))
            continue;
        if (guard && !f->high_switch && !f->leak_sensor && any_chance(m, 0.9))
            continue; /* nothing would tell it to shut */
        any_quoted(m, "", scenario_shutoffs[i]);
        *scenario_shutoff(f, i) = true;
    }
    any_close(m->text);
}

void any_storage(struct maker *m)
{
    static const char *const by_hand[] = {
        "shape",   "length",   "width",        "diameter", "bottom_diameter", "cone_height",
        "height",  "outlet",   "first",        "shuts_at", "opens_at",        "float_at",
        "high_at", "overflow", "overflow_lip", NULL
    };
    const struct field *shape = any_field(scenario_storage_fields, "shape");
    const char *word = shape->choices[any_pick(m, any_words(shape->choices))];
    any_open(m->text, ANY_GROUP, "storage");
    any_quoted(m, "shape", word);
    const double height = sizes(m, word);
    shutoff(m);
    levels(m, height);
    any_fields(m, scenario_storage_fields, by_hand);
    any_groups(m, "storage");
    any_close(m->text);
}

/* ---- what a jug gave ----------------------------------------------------------------------------
 */

void any_measured(struct maker *m)
{
    if (!any_chance(m, m->plant.membrane >= 0 ? 0.08 : 0.003))
        return;
    const struct field *f = scenario_measured_fields;
    any_open(m->text, ANY_GROUP, "measured");
    any_number(m, f, "product", any_log(m, 5e-7, 3e-6));
    any_number(m, f, "drain", any_log(m, 2e-6, 1.5e-5));
    if (any_chance(m, 0.3))
        any_value(m, any_field(f, "permeate"));
    any_value(m, any_field(f, "at"));
    any_close(m->text);
}

/* ---- the served water ---------------------------------------------------------------------------
 */

/* Where the pump's hose ends, and whether air gets in. */
static void hose(struct maker *m)
{
    const bool breaks = any_chance(m, 0.5);
    m->plant.topoff.siphon_break = breaks;
    m->plant.topoff.hose_end = any_between(m, -1.0, 0.5);
    any_number(m, scenario_served_fields, "topoff_hose_end", m->plant.topoff.hose_end);
    any_put(m->text, "siphon_break", breaks ? "true" : "false");
}

void any_served(struct maker *m)
{
    static const char *const by_hand[] = {
        "topoff",    "topoff_band", "topoff_high_at", "topoff_hose_end", "siphon_break",
        "freeboard", NULL
    };
    const struct field *topoff = any_field(scenario_served_fields, "topoff");
    if (!any_chance(m, 0.75))
        return;
    m->plant.has_basin = true;
    m->plant.topoff.kind = (enum topoff_kind)any_pick(m, any_words(topoff->choices));
    any_open(m->text, ANY_GROUP, "served");
    any_quoted(m, "topoff", topoff->choices[m->plant.topoff.kind]);
    any_fields(m, scenario_served_fields, by_hand);
    if (m->plant.topoff.kind == TOPOFF_PUMP && any_chance(m, 0.5))
        hose(m);
    m->plant.topoff.high_at = NAN;
    if (m->plant.topoff.kind == TOPOFF_PUMP && any_chance(m, 0.3)) {
        /* above where the pump stops, 9 mm at most, and below the usual rim */
        m->plant.topoff.high_at = any_between(m, 0.011, 0.045);
        any_number(m, scenario_served_fields, "topoff_high_at", m->plant.topoff.high_at);
    } else if (any_chance(m, m->share)) {
        any_number(m, scenario_served_fields, "freeboard", any_log(m, 0.01, 0.5));
    }
    if (any_chance(m, 0.3))
        any_number(m, scenario_served_fields, "topoff_band", any_log(m, 1e-3, 1e-2));
    for (const struct field *f = scenario_served_cycles; f->key != NULL; f++)
        if (isnan(f->preset) || any_chance(m, m->share))
            any_cycle(m, f);
    any_groups(m, "served");
    any_close(m->text);
}
