/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A referee: converts  NUMBER UNIT TARGET  with libudunits2 and prints 17 digits, or nan.
 * Number and unit are given apart: parsed as one, "77 degF" is 77 times a unit with an offset.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <udunits2.h>

int main(int argc, char **argv)
{
    if (argc != 4)
        return 64;
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    ut_unit *from = ut_parse(system, argv[2], UT_UTF8), *to = ut_parse(system, argv[3], UT_UTF8);
    double value = NAN;
    if (from != NULL && to != NULL && ut_are_convertible(from, to)) {
        cv_converter *converter = ut_get_converter(from, to);
        value = cv_convert_double(converter, strtod(argv[1], NULL));
        cv_free(converter);
    }
    printf("%.17g\n", value);
    ut_free(from);
    ut_free(to);
    ut_free_system(system);
    return 0;
}
