/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * answer_selftest: makes a model give a wrong answer on purpose, by one part in ten thousand.  Linked with the
 * tests of that model by --wrap: they must fail, which tests/run.sh and CTest demand.
 */
#include "models/restrictor.h"

/* Names that the linker makes. */
double __real_restrictor_flow(const struct restrictor *r, double pressure,
                              const struct fluid *water, double open);
double __wrap_restrictor_flow(const struct restrictor *r, double pressure,
                              const struct fluid *water, double open);

double __wrap_restrictor_flow(const struct restrictor *r, double pressure,
                              const struct fluid *water, double open)
{
    return 1.0001 * __real_restrictor_flow(r, pressure, water, open);
}
