/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * later: keys and words of a scenario that are planned, but not in this version.
 */
#include "later.h"

#include <stddef.h>
#include <string.h>

static const struct {
    const char *group, *key; /* group NULL: in any */
} keys[] = {
    { "", "commissioning" },
    { "control", "permeate_rinse" },
    { NULL, "low_pressure" },
};

static const struct {
    const char *key, *word;
} words[] = {
    { "shutoff", "low pressure switch" },
    { "what", "rinse" },
};

bool later_key(const char *group, const char *key)
{
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if ((keys[i].group == NULL || strcmp(keys[i].group, group) == 0) &&
            strcmp(keys[i].key, key) == 0)
            return true;
    return false;
}

bool later_word(const char *key, const char *word)
{
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(words[i].key, key) == 0 && strcmp(words[i].word, word) == 0)
            return true;
    return false;
}
