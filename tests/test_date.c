/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * date: dates of the calendar.
 */
#include <criterion/criterion.h>
#include <time.h>

#include "sim/date.h"

Test(date, knows_days_that_do_not_exist)
{
    static const char *const bad[] = { "2026-02-31",       "2026-02-29",
                                       "2026-00-10",       "2026-13-01",
                                       "2026-01-00",       "2026-1-1",
                                       "26-01-01",         "2026-01-01T24:00",
                                       "2026-01-01T07:60", "2026-01-01T7:00",
                                       "2026-01-01T07",    "2026-01-01 07:00",
                                       "2026-01-01x",      "",
                                       "1900-02-29",       "2026-03-01:30" };
    double t;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_assert_not(date_parse(bad[i], &t), "accepts %s", bad[i]);
    cr_assert(date_parse("2024-02-29", &t));
    cr_assert(date_parse("2000-02-29", &t));
}

Test(date, agrees_with_the_c_library)
{
    for (long day = -200000; day < 200000; day += 37) {
        const time_t moment = (time_t)(day * 86400 + 45296);
        struct tm tm;
        char text[40], again[40];
        double t;
        cr_assert_not_null(gmtime_r(&moment, &tm));
        strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &tm);
        cr_assert(date_parse(text, &t), "%s", text);
        cr_assert_eq(t, (double)moment, "%s", text);
        cr_assert_str_eq(date_format(t, again, sizeof again), text);
        cr_assert_eq(date_day_of_year(t), tm.tm_yday + 45296 / 86400.0, "%s", text);
    }
}

Test(date, reads_hours_minutes_and_seconds)
{
    double day, t;
    cr_assert(date_parse("2026-03-01", &day));
    cr_assert(date_parse("2026-03-01T07:30", &t));
    cr_assert_eq(t - day, 27000.0);
    cr_assert(date_parse("2026-03-01T07:30:15Z", &t));
    cr_assert_eq(t - day, 27015.0);
    cr_assert(date_looks_like("2026-99"));
    cr_assert_not(date_looks_like("30 days"));
}
