/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * manual: the page of keys leaves nothing out.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "sim/manual.h"
#include "sim/parts.h"
#include "sim/scenario.h"

static char *page;

static void expect_keys(const struct field *fields, const char *of)
{
    for (; fields->key != NULL; fields++) {
        char cell[96];
        snprintf(cell, sizeof cell, "| `%s` | %s", fields->key, fields->doc);
        cr_assert_not_null(strstr(page, cell), "%s of %s", fields->key, of);
        cr_assert_gt(strlen(fields->doc), 0, "%s of %s says nothing", fields->key, of);
        const bool has_default = fields->preset > -INFINITY && fields->preset < INFINITY;
        cr_assert(!has_default || strlen(fields->source) > 0, "%s of %s: whence its default?",
                  fields->key, of);
    }
}

Test(manual, names_every_key_and_the_source_of_every_default)
{
    size_t size = 0;
    FILE *f = open_memstream(&page, &size);
    manual_write(f);
    fclose(f);
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++)
        expect_keys(t->fields, t->path);
    for (int i = 0; stage_kinds[i] != NULL; i++)
        expect_keys(stage_kinds[i]->fields, stage_kinds[i]->name);
    for (int i = 0; stage_kinds[i] != NULL; i++)
        for (const struct stage_group *g = stage_kinds[i]->groups; g != NULL && g->key != NULL; g++)
            expect_keys(g->fields, g->key);
    for (const struct part *p = parts; p->name != NULL; p++)
        cr_assert_not_null(strstr(page, p->name), "%s", p->name);
    free(page);
}
