/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>

#include "sim/progress.h"

static void note(void *self, double share)
{
    *(double *)self = share;
}

/* Pieces that cost 1, 3 and 4, the last two told as 9 before: a guess that is too high jumps ahead, never back. */
Test(progress, of_pieces_becomes_one_that_never_goes_back)
{
    double share = 0.0, last = 0.0;
    struct progress_stage p = { note, &share, 0.0, 0.0 };
    const double cost[] = { 1.0, 3.0, 4.0 }, later[] = { 9.0, 4.0, 0.0 };
    const double ends[] = { 0.1, 0.1 + 0.9 * 3.0 / 7.0, 1.0 };
    for (int i = 0; i < 3; i++) {
        progress_stage_next(&p, cost[i], later[i]);
        for (int k = 1; k <= 4; k++) {
            progress_stage_show(&p, 0.25 * k);
            cr_assert_gt(share, last);
            last = share;
        }
        cr_assert_float_eq(share, ends[i], 1e-12);
    }
}

Test(progress, of_a_piece_within_a_piece_stays_in_it)
{
    double share = 0.0;
    struct progress_stage outer = { note, &share, 0.25, 0.75 };
    struct progress_stage inner = { progress_stage_show, &outer, 0.5, 1.0 };
    progress_stage_show(&inner, 0.0);
    cr_assert_float_eq(share, 0.5, 1e-12);
    progress_stage_show(&inner, 1.0);
    cr_assert_float_eq(share, 0.75, 1e-12);
}

Test(progress, that_nobody_looks_at_does_no_harm)
{
    struct progress_stage p = { NULL, NULL, 0.0, 0.0 };
    progress_stage_next(&p, 0.0, 0.0);
    progress_stage_show(&p, 1.0);
    cr_assert_eq(p.to, 0.0);
}
