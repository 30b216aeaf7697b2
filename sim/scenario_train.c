/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_train: the list `train`: stages in the order of the water, each a generic part named by
 * a text or a group that says it in full.
 */
#include "scenario_inner.h"

#include <ctype.h>
#include <string.h>

#include "parts.h"
#include "text.h"

/* ---- one stage ------------------------------------------------------------------------------- */

static void complain_part(struct loading *l, const struct node *n, const char *name)
{
    char cure[640] = "one of";
    struct nearest near = text_nearest_to(name);
    for (const struct part *p = parts; p->name != NULL; p++) {
        text_nearest_try(&near, p->name);
        text_append(cure, sizeof cure, "%s \"%s\"", p == parts ? "" : ",", p->name);
    }
    if (near.name != NULL)
        reader_complain(&l->reader, SEVERITY_ERROR, n, cure,
                        "unknown part \"%.80s\": did you mean \"%s\"?", name, near.name);
    else
        reader_complain(&l->reader, SEVERITY_ERROR, n, cure, "unknown part \"%.80s\"", name);
}

static void complain_kind(struct loading *l, const struct node *n, const char *name)
{
    char cure[256] = "one of";
    for (int i = 0; stage_kinds[i] != NULL; i++)
        text_append(cure, sizeof cure, "%s \"%s\"", i == 0 ? "" : ",", stage_kinds[i]->name);
    reader_complain(&l->reader, SEVERITY_ERROR, n, cure, "unknown kind \"%.80s\" of stage", name);
}

/* What a node says it is, without complaints. */
static const struct stage_kind *kind_of(const struct node *n, const struct part **part)
{
    *part = NULL;
    const struct node *named = n->type == NODE_GROUP ? tree_member(n, "part") : n;
    if (named != NULL && named->type == NODE_TEXT)
        *part = parts_find(named->text);
    if (*part != NULL)
        return (*part)->kind;
    const struct node *kind = tree_member(n, "kind");
    return kind != NULL && kind->type == NODE_TEXT ? stage_kind_named(kind->text) : NULL;
}

const struct stage_kind *scenario_train_kind(const struct node *n)
{
    const struct part *part;
    return kind_of(n, &part);
}

/* The same with complaints. */
static const struct stage_kind *read_kind(struct loading *l, const struct node *n,
                                          const struct part **part)
{
    const struct stage_kind *kind = kind_of(n, part);
    if (n->type != NODE_TEXT && n->type != NODE_GROUP) {
        reader_complain(&l->reader, SEVERITY_ERROR, n, "write \"carbon block 10 in\"",
                        "a stage must be a text or a group, but this is %s", tree_words(n));
        return NULL;
    }
    const struct node *named = n->type == NODE_TEXT ? n : tree_member(n, "part");
    const struct node *said = tree_member(n, "kind");
    const char *part_name = reader_text(&l->reader, named, "part");
    const char *kind_name = reader_text(&l->reader, said, "kind");
    if (part_name != NULL && *part == NULL)
        complain_part(l, named, part_name);
    else if (kind_name != NULL && stage_kind_named(kind_name) == NULL)
        complain_kind(l, said, kind_name);
    else if (*part != NULL && kind_name != NULL && stage_kind_named(kind_name) != kind)
        reader_complain(&l->reader, SEVERITY_ERROR, said, "leave kind out",
                        "\"%s\" is a part of another kind", part_name);
    else if (named == NULL && said == NULL)
        reader_missing(&l->reader, n, "this stage", "part", "or kind = \"carbon\";");
    else
        return kind;
    return NULL;
}

/* What is kept for the permeabilities until a nameplate or a jug test gives them. */
static bool has_both(const struct node *n)
{
    return reader_find(n, "water_permeability") != NULL &&
           reader_find(n, "salt_permeability") != NULL;
}

static bool has_plate(const struct node *n, const struct part *part)
{
    return part != NULL || tree_member(n, "plate") != NULL;
}

/* Default of B where only a jug test without a reading is known. */
#define SALT_PERMEABILITY 1.3e-7

enum { STAGE_PRESETS = PART_PRESETS + 3, STAGE_KEYS = 12 };

/* What the part says, and what holds until a nameplate or a jug test gives the permeabilities. */
static void list_presets(const struct part *part, bool later, struct preset out[STAGE_PRESETS])
{
    int count = 0;
    for (const struct preset *p = part == NULL ? NULL : part->preset; p != NULL && p->key != NULL;
         p++)
        out[count++] = *p;
    if (later) {
        out[count++] = (struct preset){ "water_permeability", 1e-11, "" };
        out[count++] = (struct preset){ "salt_permeability", SALT_PERMEABILITY,
                                        "assumption: usual for a small element" };
    }
    out[count] = (struct preset){ .key = NULL };
}

/* Keys of a stage that are not in the table of its kind; ended by NULL. */
static void list_keys(const struct stage_kind *kind, const char *out[STAGE_KEYS])
{
    static const char *const all[] = { "part", "kind", "name", NULL };
    int count = 0;
    for (int i = 0; all[i] != NULL; i++)
        out[count++] = all[i];
    if (kind == &stage_membrane)
        out[count++] = "plate";
    for (const struct stage_group *g = kind->groups; g != NULL && g->key != NULL; g++)
        if (count + 1 < STAGE_KEYS)
            out[count++] = g->key;
    out[count] = NULL;
}

static void read_stage(struct loading *l, const struct node *n, struct stage *stage,
                       const struct part *part)
{
    const bool membrane = stage->kind == &stage_membrane;
    const bool later = membrane && (has_plate(n, part) || tree_member(l->root, "measured") != NULL);
    char path[PATH_LENGTH] = "";
    text_append(path, sizeof path, "train.%s", stage->name);
    struct preset presets[STAGE_PRESETS];
    list_presets(part, later, presets);
    const char *keys[STAGE_KEYS];
    list_keys(stage->kind, keys);
    const struct node *group = n->type == NODE_GROUP ? n : NULL;
    const struct section s = { .path = path,
                               .group = group,
                               .fields = stage->kind->fields,
                               .base = &stage->params,
                               .presets = presets,
                               .preset_origin = ORIGIN_PART,
                               .others = keys };
    for (const struct stage_group *g = stage->kind->groups; g != NULL && g->key != NULL; g++)
        scenario_within_read(l, group, path, g, &stage->params);
    if (membrane && !later && !has_both(group)) {
        reader_check_keys(&l->reader, &s);
        reader_missing(
            &l->reader, n, path, "plate",
            "add plate = { permeate = \"75 gal/day\"; pressure = \"50 psi\"; }; or a jug "
            "test in `measured`");
        return;
    }
    reader_section(&l->reader, &s);
    if (membrane && !has_both(group))
        scenario_plate_read(l, n, path, part, &stage->params.membrane);
    if (membrane)
        scenario_elements_check(l, n, path, &stage->params.membrane);
}

/* ---- names ----------------------------------------------------------------------------------- */

static bool is_name(const char *text)
{
    if (text[0] == '\0' || strlen(text) > NAME_MAX_LENGTH || !isalpha((unsigned char)text[0]))
        return false;
    for (const char *p = text; *p != '\0'; p++)
        if (!isalnum((unsigned char)*p) && *p != '-' && *p != '_')
            return false;
    return true;
}

static bool taken(char names[][NAME_MAX_LENGTH + 1], int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return false;
}

int scenario_train_names(const struct node *list, char names[][NAME_MAX_LENGTH + 1])
{
    int count = 0;
    if (list == NULL || list->type != NODE_LIST)
        return 0;
    for (const struct node *n = list->child; n != NULL && count < STAGES_MAX; n = n->next) {
        const struct part *part;
        const struct stage_kind *kind = kind_of(n, &part);
        const struct node *given = tree_member(n, "name");
        char *name = names[count];
        text_copy(name, NAME_MAX_LENGTH + 1, kind == NULL ? "" : kind->name);
        if (given != NULL && given->type == NODE_TEXT && is_name(given->text))
            text_copy(name, NAME_MAX_LENGTH + 1, given->text);
        else
            for (int i = 2; kind != NULL && taken(names, count, name); i++)
                snprintf(name, NAME_MAX_LENGTH + 1, "%s-%d", kind->name, i);
        count++;
    }
    return count;
}

int scenario_stage_named(const struct plant *p, const char *name)
{
    int of_kind = -1, count = 0;
    for (int i = 0; i < p->stages; i++) {
        if (strcmp(p->train[i].name, name) == 0)
            return i;
        if (strcmp(p->train[i].kind->name, name) == 0) {
            of_kind = i;
            count++;
        }
    }
    return count == 1 ? of_kind : -1;
}

static void check_name(struct loading *l, const struct node *n, const struct plant *p)
{
    const struct node *given = tree_member(n, "name");
    const char *name = reader_text(&l->reader, given, "name");
    if (name == NULL)
        return;
    if (!is_name(name))
        reader_complain(&l->reader, SEVERITY_ERROR, given, "such as name = \"ro\";",
                        "a name begins with a letter and has letters, digits, - and _, at most %d",
                        NAME_MAX_LENGTH);
    for (int i = 0; i < p->stages; i++)
        if (strcmp(p->train[i].name, name) == 0)
            reader_complain(&l->reader, SEVERITY_ERROR, given, NULL,
                            "another stage has the name \"%s\"", name);
}

/* ---- order ----------------------------------------------------------------------------------- */

static void warn(struct loading *l, const struct node *list, int stage, const char *words)
{
    const struct node *n = list->child;
    for (int i = 0; i < stage; i++)
        n = n->next;
    reader_complain(&l->reader, SEVERITY_WARNING, n, NULL, "%s", words);
}

static void check_order(struct loading *l, const struct node *list)
{
    const struct plant *p = &l->out->plant;
    const bool oxidant = p->feed.c[CHLORINE] > 0.0 || p->feed.c[CHLORAMINE] > 0.0;
    bool carbon = false, resin = false, membrane = false;
    for (int i = 0; i < p->stages; i++) {
        const struct stage_kind *k = p->train[i].kind;
        if (k == &stage_membrane) {
            if (resin)
                warn(l, list, i, "the membrane stands behind a resin, which takes the whole feed");
            if (oxidant && !carbon)
                warn(l, list, i,
                     "the feed is chlorinated and no carbon stands before the membrane");
        }
        if (k == &stage_pump && membrane)
            warn(l, list, i, "the pump stands behind the membrane and cannot help it");
        if (k == &stage_carbon && membrane && oxidant && !carbon)
            warn(l, list, i, "the carbon stands behind the membrane, where chlorine comes first");
        if (k == &stage_sediment && (carbon || membrane))
            warn(l, list, i, "the sediment cartridge stands behind what it should protect");
        carbon = carbon || k == &stage_carbon;
        resin = resin || k == &stage_resin;
        membrane = membrane || k == &stage_membrane;
    }
    if (!membrane)
        reader_complain(&l->reader, SEVERITY_WARNING, list, NULL,
                        "no membrane: all of the feed goes to the tank");
}

bool scenario_train_has_membrane(const struct loading *l)
{
    const struct node *list = tree_member(l->root, "train");
    const bool understood =
        list != NULL && list->type == NODE_LIST && tree_length(list) == l->out->plant.stages;
    return l->out->plant.membrane >= 0 || !understood;
}

/* ---- the train ------------------------------------------------------------------------------- */

static void add_stage(struct loading *l, const struct node *n, const char *name)
{
    struct plant *p = &l->out->plant;
    const struct part *part;
    const struct stage_kind *kind = read_kind(l, n, &part);
    if (kind == NULL)
        return;
    if (kind == &stage_membrane && p->membrane >= 0) {
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "elements alike stand in one stage: { part = \"membrane 75 gal/day\"; "
                        "elements = 2; joined = \"series\"; } or \"parallel\"",
                        "the train has a membrane already");
        return;
    }
    check_name(l, n, p);
    struct stage *stage = &p->train[p->stages];
    stage->kind = kind;
    text_copy(stage->name, sizeof stage->name, name);
    char path[PATH_LENGTH] = "";
    text_append(path, sizeof path, "train.%s", name);
    reader_note_text(&l->reader, path, n, part == NULL ? kind->title : part->name);
    read_stage(l, n, stage, part);
    if (kind == &stage_membrane)
        p->membrane = p->stages;
    p->stages++;
}

void scenario_train_read(struct loading *l)
{
    l->out->plant.membrane = -1;
    const struct node *list = tree_member(l->root, "train");
    if (list == NULL) {
        reader_missing(&l->reader, NULL, "", "train",
                       "add train = ( \"sediment 5 um\", \"carbon block 10 in\", \"membrane 75 "
                       "gal/day\" );");
        return;
    }
    if (list->type != NODE_LIST) {
        reader_complain(&l->reader, SEVERITY_ERROR, list,
                        "write train = ( \"sediment 5 um\", ... );",
                        "train must be a list, but this is %s", tree_words(list));
        return;
    }
    const int length = tree_length(list);
    if (length == 0)
        reader_complain(&l->reader, SEVERITY_ERROR, list, NULL, "the train is empty");
    if (length > STAGES_MAX) {
        reader_complain(&l->reader, SEVERITY_ERROR, list, NULL,
                        "the train has %d stages; at most %d are possible", length, STAGES_MAX);
        return;
    }
    char names[STAGES_MAX][NAME_MAX_LENGTH + 1];
    scenario_train_names(list, names);
    const int before = report_count(l->reader.report, SEVERITY_ERROR);
    int i = 0;
    for (const struct node *n = list->child; n != NULL; n = n->next)
        add_stage(l, n, names[i++]);
    if (length > 0 && report_count(l->reader.report, SEVERITY_ERROR) == before)
        check_order(l, list);
}

void scenario_train_write(const struct scenario *s, FILE *out)
{
    fputs("train = (\n", out);
    for (int i = 0; i < s->plant.stages; i++) {
        const struct stage *stage = &s->plant.train[i];
        fputs(i > 0 ? ", {\n" : "{\n", out);
        writer_text(out, "kind", stage->kind->name);
        writer_text(out, "name", stage->name);
        writer_fields(out, stage->kind->fields, &stage->params);
        for (const struct stage_group *g = stage->kind->groups; g != NULL && g->key != NULL; g++)
            scenario_within_write(g, &stage->params, out);
        fputs("}\n", out);
    }
    fputs(");\n", out);
}
