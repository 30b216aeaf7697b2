/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <inttypes.h>

#include "sim/stream.h"

/* splitmix64 from the seed 1234567: five values that public tests of it print (from memory). */
Test(stream, is_the_splitmix64_that_is_published)
{
    static const uint64_t printed[] = {
        UINT64_C(6457827717110365317), UINT64_C(3203168211198807973), UINT64_C(9817491932198370423),
        UINT64_C(4593380528125082431), UINT64_C(16408922859458223821)
    };
    struct stream s = { 1234567 };
    for (size_t i = 0; i < sizeof printed / sizeof printed[0]; i++) {
        const uint64_t got = stream_next(&s);
        cr_assert_eq(got, printed[i], "number %zu is %" PRIu64, i, got);
    }
}
