/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_shutoff: the words of storage.shutoff: all that is named there to stop the water.
 */
#include "scenario_storage.h"
#include "text.h"

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

bool *scenario_shutoff(struct fill *f, int i)
{
    bool *const flags[] = { &f->switches,      &f->float_valve,         &f->high_switch,
                            &f->run_timer,     &f->leak_sensor,         &f->drip_pan,
                            &f->shutoff_valve, &f->low_pressure_switch, &f->guard_valve };
    return flags[i];
}

const char *const *const scenario_shutoffs = shutoffs;

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
        *scenario_shutoff(fill, which) = true;
}

void scenario_shutoff_read(struct loading *l, const struct node *group, struct fill *fill)
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
        if (*scenario_shutoff(fill, i))
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

void scenario_shutoff_write(const struct fill *fill, FILE *out)
{
    struct fill copy = *fill;
    bool first = true;
    fputs("shutoff = [ ", out);
    for (int i = 0; shutoffs[i] != NULL; i++) {
        if (!*scenario_shutoff(&copy, i))
            continue;
        if (!first)
            fputs(", ", out);
        first = false;
        writer_quoted(out, shutoffs[i]);
    }
    fputs(" ];\n", out);
}
