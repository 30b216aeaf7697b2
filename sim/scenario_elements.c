/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_elements: a membrane of more than one element: what its keys, which are those of one,
 * mean for all.  Page: docs/membrane.md.
 */
#include "scenario_inner.h"

static void check_segments(struct loading *l, const struct node *n, const struct membrane *m)
{
    const int segments = membrane_segments(m);
    if (segments <= SEGMENTS_MAX)
        return;
    char cure[80];
    snprintf(cure, sizeof cure, "write segments = %d; or fewer", SEGMENTS_MAX / m->elements);
    reader_complain(&l->reader, SEVERITY_ERROR, reader_find(n, "segments"), cure,
                    "%d elements in series have %d segments; at most %d are possible", m->elements,
                    segments, SEGMENTS_MAX);
}

/* There is one restrictor.  Left out, it suits the product of all as that of one suits one. */
static void suit_restrictor(struct loading *l, const struct node *n, const char *path,
                            struct membrane *m)
{
    if (m->elements == 1 || reader_find(n, "restrictor_flow") != NULL)
        return;
    m->restrictor.flow *= m->elements;
    scenario_computed(l, path, "restrictor_flow", m->restrictor.flow,
                      "what suits one element, times their number: trade notes size it by the "
                      "rated permeate");
}

void scenario_elements_check(struct loading *l, const struct node *n, const char *path,
                             struct membrane *m)
{
    check_segments(l, n, m);
    suit_restrictor(l, n, path, m);
}
