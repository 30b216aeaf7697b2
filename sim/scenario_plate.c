/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_plate: the nameplate of a membrane.  The same gallons a day at another test pressure are
 * another membrane, so that the pressure must be said.
 */
#include <string.h>

#include "parts.h"
#include "scenario_inner.h"
#include "text.h"

#define PLATE "usual for small elements: 25 degC, 250 mg/L NaCl, 15 % recovery; trade manuals"

const struct field scenario_plate_fields[] = {
    NUMBER("permeate", DIM_FLOW, struct nameplate, permeate, NAN, 1e-9, 1e-2, 5e-7, 3e-5,
           "rated permeate flow", ""),
    NUMBER("pressure", DIM_PRESSURE, struct nameplate, pressure, NAN, 1e4, 1e7, 2.5e5, 1.6e6,
           "feed pressure of the test; without it the rating says nothing", ""),
    NUMBER("at", DIM_TEMPERATURE, struct nameplate, temperature, 25.0, 1.0, 50.0, 20.0, 30.0,
           "temperature of the test", PLATE),
    NUMBER("salt", DIM_MASS_CONCENTRATION, struct nameplate, salt, 0.25, 1e-4, 50.0, 0.1, 2.0,
           "NaCl in the feed of the test", PLATE),
    NUMBER("recovery", DIM_NONE, struct nameplate, recovery, 0.15, 0.001, 0.9, 0.05, 0.3,
           "permeate over feed in the test", PLATE),
    NUMBER("rejection", DIM_NONE, struct nameplate, rejection, 0.96, 0.1, 0.9999, 0.9, 0.995,
           "share of the feed's salt held back in the test",
           "92 to 98 % usual when new; common practice"),
    { .key = NULL },
};

enum { PLATE_PRESETS = 8 };

/* The presets of a part that concern its nameplate, without the prefix. */
static void plate_presets(const struct part *part, struct preset out[PLATE_PRESETS])
{
    int n = 0;
    for (const struct preset *p = part == NULL ? NULL : part->preset; p != NULL && p->key != NULL;
         p++)
        if (strncmp(p->key, "plate_", 6) == 0 && n + 1 < PLATE_PRESETS)
            out[n++] = (struct preset){ p->key + 6, p->si, p->source };
    out[n] = (struct preset){ .key = NULL };
}

void scenario_plate_read(struct loading *l, const struct node *n, const char *path,
                         const struct part *part, struct membrane *m)
{
    struct preset presets[PLATE_PRESETS];
    plate_presets(part, presets);
    const struct node *group =
        n->type == NODE_GROUP ? reader_group(&l->reader, tree_member(n, "plate"), "plate") : NULL;
    if (group == NULL && presets[0].key == NULL)
        return;
    char inner[PATH_LENGTH] = "";
    text_append(inner, sizeof inner, "%s.plate", path);
    struct nameplate plate;
    const int before = report_count(l->reader.report, SEVERITY_ERROR);
    const struct section s = { .path = inner,
                               .group = group == NULL ? n : group,
                               .fields = scenario_plate_fields,
                               .base = &plate,
                               .presets = presets,
                               .preset_origin = ORIGIN_PART };
    struct section defaults = s;
    if (group == NULL)
        defaults.group = NULL; /* all from the part */
    reader_section(&l->reader, &defaults);
    if (report_count(l->reader.report, SEVERITY_ERROR) > before)
        return;
    if (reader_find(n, "restrictor_flow") == NULL && part == NULL) {
        m->restrictor.flow = 3.0 * plate.permeate;
        scenario_computed(l, path, "restrictor_flow", m->restrictor.flow,
                          "three times the rated permeate; trade sizing notes say three to four");
    }
    const struct membrane given = *m;
    if (membrane_from_nameplate(m, &plate) != MEMBRANE_FITTED) {
        reader_complain(&l->reader, SEVERITY_ERROR, group == NULL ? n : group,
                        "look at its pressure and its rejection",
                        "no membrane of this area can have this nameplate");
        return;
    }
    if (reader_find(n, "water_permeability") != NULL)
        m->water_permeability = given.water_permeability;
    else
        scenario_computed(l, path, "water_permeability", m->water_permeability,
                          "from the nameplate");
    if (reader_find(n, "salt_permeability") != NULL)
        m->salt_permeability = given.salt_permeability;
    else
        scenario_computed(l, path, "salt_permeability", m->salt_permeability, "from the nameplate");
}
