/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * dictionary: writes the words of scenarios as a dictionary of libFuzzer, from the tables that read
 * them: keys, choices, stage kinds, parts, units.  So a new key is fuzzed by itself.
 */
#include <stdio.h>
#include <string.h>

#include "models/species.h"
#include "sim/look.h"
#include "sim/parts.h"
#include "sim/read.h"
#include "sim/scenario.h"

static void put(const char *word)
{
    if (!word || word[0] == '\0')
        return;
    putchar('"');
    for (const unsigned char *p = (const unsigned char *)word; *p; p++)
        if (*p < 0x20 || *p >= 0x7f || *p == '"' || *p == '\\')
            printf("\\x%02x", *p);
        else
            putchar(*p);
    puts("\"");
}

static void put_fields(const struct field *f)
{
    for (; f->key; f++) {
        put(f->key);
        for (const char *const *word = f->choices; word && *word; word++)
            put(*word);
    }
}

static void put_unit(const char *name, enum dimension d, double factor, double offset, void *data)
{
    (void)d, (void)factor, (void)offset, (void)data;
    put(name);
}

static void put_tables(void)
{
    for (const struct scenario_table *t = scenario_tables; t->path; t++) {
        put(t->path);
        put_fields(t->fields);
    }
    for (int i = 0; stage_kinds[i]; i++) {
        put(stage_kinds[i]->name);
        put_fields(stage_kinds[i]->fields);
        for (const struct stage_group *g = stage_kinds[i]->groups; g && g->key; g++) {
            put(g->key);
            put_fields(g->fields);
        }
    }
}

int main(void)
{
    static const char *const syntax[] = { "@include", "= {",   "};",    "= (",   ");",  "[",
                                          "]",        "/*",    "*/",    "//",    "#",   ";",
                                          "true",     "false", "value", "sd",    "low", "high",
                                          "1e-9",     "..",    "log",   "T07:00" };
    put_tables();
    units_each(put_unit, NULL);
    for (const struct part *p = parts; p->name; p++)
        put(p->name);
    for (int i = 0; i < SPECIES_COUNT; i++)
        put(species[i].key);
    for (int k = 0; k < LOOK_READABLE; k++)
        put(read_instruments[k].key);
    for (size_t i = 0; i < sizeof syntax / sizeof syntax[0]; i++)
        put(syntax[i]);
    return ferror(stdout) != 0;
}
