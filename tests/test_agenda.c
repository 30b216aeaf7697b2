/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "sim/agenda.h"

Test(agenda, gives_what_is_due_in_the_order_of_its_slots)
{
    struct agenda a;
    agenda_init(&a);
    cr_assert(isinf(agenda_next(&a)));
    a.due[SLOT_DAY] = 10.0;
    a.due[SLOT_EVENT] = 10.0;
    a.due[SLOT_DRAW_START + 3] = 9.0;
    cr_assert_eq(agenda_next(&a), 9.0);
    cr_assert_eq(agenda_due(&a, 8.999), -1);
    cr_assert_eq(agenda_due(&a, 9.0), SLOT_DRAW_START + 3);
    a.due[SLOT_DRAW_START + 3] = INFINITY;
    cr_assert_eq(agenda_due(&a, 10.0), SLOT_EVENT, "events before days");
    a.due[SLOT_EVENT] = INFINITY;
    cr_assert_eq(agenda_due(&a, 10.0), SLOT_DAY);
}
