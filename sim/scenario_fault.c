/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_fault: what fails, by the names of its part and of the way in which it fails.
 */
#include "scenario_inner.h"

#include <string.h>

#include "rates.h"
#include "text.h"

struct naming {
    struct loading *l;
    const struct node *group; /* with the keys part and mode */
    int from;
    const char *part, *mode;
};

static void complain(const struct naming *k, const char *key, const char *cure, const char *words)
{
    const struct node *n = tree_member(k->group, key);
    reader_complain(&k->l->reader, SEVERITY_ERROR, n != NULL ? n : k->group, cure, "%s", words);
}

static bool is_part(const struct naming *k)
{
    for (int i = k->from; rates_exists(i); i++)
        if (strcmp(rates_part(i), k->part) == 0)
            return true;
    return false;
}

static void complain_part(const struct naming *k)
{
    char cure[640] = "this plant has", words[160];
    struct nearest near = text_nearest_to(k->part);
    const char *last = "";
    for (int i = k->from; rates_exists(i); i++) {
        if (!rates_applies(&k->l->out->plant, i) || strcmp(rates_part(i), last) == 0)
            continue;
        text_append(cure, sizeof cure, "%s \"%s\"", last[0] != '\0' ? "," : "", rates_part(i));
        text_nearest_try(&near, rates_part(i));
        last = rates_part(i);
    }
    if (is_part(k)) {
        snprintf(words, sizeof words, "this plant has no %s that could fail", k->part);
    } else {
        snprintf(words, sizeof words, "unknown part \"%.60s\"", k->part);
        if (near.name != NULL)
            text_append(words, sizeof words, ": did you mean \"%s\"?", near.name);
    }
    complain(k, "part", cure, words);
}

static void complain_mode(const struct naming *k)
{
    char cure[400] = "", words[240];
    struct nearest near = text_nearest_to(k->mode);
    for (int i = k->from; rates_exists(i); i++) {
        if (strcmp(rates_part(i), k->part) != 0)
            continue;
        text_append(cure, sizeof cure, "%s\"%s\"", cure[0] == '\0' ? "one of " : ", ",
                    rates_mode(i));
        text_nearest_try(&near, rates_mode(i));
    }
    snprintf(words, sizeof words, "\"%.60s\" is no way in which the %s fails", k->mode, k->part);
    if (near.name != NULL)
        text_append(words, sizeof words, ": did you mean \"%s\"?", near.name);
    complain(k, "mode", cure, words);
}

bool scenario_fault_find(struct loading *l, const struct node *group, const char *place, int from,
                         int *which)
{
    struct reader *r = &l->reader;
    const struct node *part = tree_member(group, "part"), *mode = tree_member(group, "mode");
    if (part == NULL)
        reader_missing(r, group, place, "part", "add part = \"float valve\";");
    if (mode == NULL)
        reader_missing(r, group, place, "mode", "add mode = \"sticks open\";");
    const struct naming k = { l, group, from, reader_text(r, part, "part"),
                              reader_text(r, mode, "mode") };
    if (k.part == NULL || k.mode == NULL)
        return false;
    bool known = false;
    for (int i = from; rates_exists(i); i++) {
        if (strcmp(rates_part(i), k.part) != 0 || !rates_applies(&l->out->plant, i))
            continue;
        known = true;
        *which = i;
        if (strcmp(rates_mode(i), k.mode) == 0)
            return true;
    }
    if (known)
        complain_mode(&k);
    else
        complain_part(&k);
    return false;
}
