/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * shutoff: the closed forms of the cycle against the cycle itself, integrated for a day, and what
 * happens at the edges: nothing drawn, almost enough drawn, water that leaks back.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/shutoff.h"

static const double ML_PER_MIN = 1e-6 / 60.0, KPA = 1e3, DAY = 86400.0;

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static double draw_log(unsigned long *seed, double low, double high)
{
    return exp(draw(seed, log(low), log(high)));
}

static const struct shutoff usual = { .close_ratio = 0.65, .reopen_ratio = 0.55, .give = 5e-7 };

/* 345 kPa, 25 kPa of osmotic pressure; 31 mL/min is what it makes where the valve closes. */
static struct shutoff_line usual_line(void)
{
    return (struct shutoff_line){ .feed_pressure = 345.0 * KPA,
                                  .k = 31.0 * ML_PER_MIN / (95.75 * KPA),
                                  .p_max = 320.0 * KPA };
}

/* The orifice that lets a flow out at the pressure where the valve closes. */
static double orifice_for(const struct shutoff_line *line, double flow)
{
    return flow / sqrt(0.65 * line->feed_pressure);
}

/* ---- the cycle itself ------------------------------------------------------------------------ */

struct day {
    double open, made, out, back; /* s, m3 */
    long starts;
};

static double slope(const struct shutoff_line *l, double C, bool open, double p)
{
    const double at = fmax(p, 0.0);
    const double out = l->orifice * sqrt(at) + l->seep * at;
    return ((open ? l->k * (l->p_max - p) : -l->leak_back * at) - out) / C;
}

static double runge_kutta(const struct shutoff_line *l, double C, bool open, double p, double dt)
{
    const double k1 = slope(l, C, open, p), k2 = slope(l, C, open, p + 0.5 * dt * k1);
    const double k3 = slope(l, C, open, p + 0.5 * dt * k2), k4 = slope(l, C, open, p + dt * k3);
    return p + dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
}

/* Integrates the pressure with switching found by bisection; starts where the valve opens. */
static struct day resolved(const struct shutoff *s, const struct shutoff_line *l, double length,
                           double dt)
{
    const double C = s->give / 1e5, close_at = s->close_ratio * l->feed_pressure;
    const double open_at = s->reopen_ratio * l->feed_pressure;
    struct day d = { 0 };
    double p = open_at;
    bool open = true;
    for (double t = 0.0; t < length;) {
        double step = fmin(dt, length - t);
        double next = runge_kutta(l, C, open, p, step);
        bool turns = open ? next >= close_at : next <= open_at;
        if (turns) {
            double low = 0.0, high = step;
            for (int i = 0; i < 50; i++) {
                const double mid = 0.5 * (low + high);
                next = runge_kutta(l, C, open, p, mid);
                if (open ? next >= close_at : next <= open_at)
                    high = mid;
                else
                    low = mid;
            }
            step = high;
            next = runge_kutta(l, C, open, p, step);
        }
        const double mid = runge_kutta(l, C, open, p, 0.5 * step);
        const double root = (sqrt(p) + 4.0 * sqrt(mid) + sqrt(fmax(next, 0.0))) / 6.0;
        const double mean = (p + 4.0 * mid + next) / 6.0; /* Simpson */
        d.out += step * (l->orifice * root + l->seep * mean);
        if (open) {
            d.open += step;
            d.made += step * l->k * (l->p_max - mean);
        } else {
            d.back += step * l->leak_back * mean;
        }
        if (turns) {
            open = !open;
            d.starts += open;
        }
        p = next;
        t += step;
    }
    return d;
}

static void holds_for_a_day(const struct shutoff *s, const struct shutoff_line *l, const char *what,
                            double of)
{
    const struct shutoff_cycle c = shutoff_average(s, l);
    cr_assert(!c.open && c.starts > 0.0, "%s %g", what, of);
    const double dt = fmin(c.run, c.rest) / 20.0;
    /* a day, or as many cycles as there is patience for */
    const double length = fmin(DAY, 2000.0 / c.starts);
    const struct day d = resolved(s, l, length, dt);
    cr_assert_float_eq(d.open / length, c.duty, 0.005 * c.duty, "%s %g: duty %g, %g", what, of,
                       d.open / length, c.duty);
    cr_assert_float_eq((double)d.starts, c.starts * length, 0.005 * c.starts * length + 1.0,
                       "%s %g: %ld starts, %g", what, of, d.starts, c.starts * length);
    cr_assert_float_eq(d.made / length, c.made, 0.005 * c.made, "%s %g: made", what, of);
    cr_assert_float_eq(d.out / length, c.out, 0.005 * c.made, "%s %g: out %g, %g", what, of,
                       d.out / length, c.out);
    cr_assert_float_eq(d.back / length, c.made - c.out, 0.005 * c.made, "%s %g: back", what, of);
}

Test(shutoff, holds_against_a_resolved_day_at_any_weep)
{
    struct shutoff_line l = usual_line();
    for (double ml = 0.3; ml < 31.0; ml *= 1.7) {
        l.orifice = orifice_for(&l, ml * ML_PER_MIN);
        holds_for_a_day(&usual, &l, "mL/min", ml);
    }
}

Test(shutoff, holds_against_a_resolved_day_at_any_compliance)
{
    struct shutoff_line l = usual_line();
    struct shutoff s = usual;
    l.orifice = orifice_for(&l, 6.0 * ML_PER_MIN);
    for (s.give = 5e-8; s.give < 1.1e-5; s.give *= 3.0)
        holds_for_a_day(&s, &l, "m3/bar", s.give);
}

Test(shutoff, holds_against_a_resolved_day_with_leaks_of_all_kinds)
{
    unsigned long seed = 7;
    for (int trial = 0; trial < 25; trial++) {
        struct shutoff_line l = usual_line();
        struct shutoff s = usual;
        s.give = draw_log(&seed, 2e-7, 1e-5);
        s.reopen_ratio = draw(&seed, 0.3, 0.62);
        l.orifice = orifice_for(&l, draw(&seed, 0.0, 10.0) * ML_PER_MIN);
        l.seep = draw(&seed, 0.0, 10.0) * ML_PER_MIN / (224.0 * KPA);
        l.leak_back = draw(&seed, 0.01, 2.0) * l.k;
        holds_for_a_day(&s, &l, "trial", trial);
    }
}

/* ---- what the cycle comes to ----------------------------------------------------------------- */

/* What is drawn over what is made while open: 0.1 to 10 mL/min give 0.3 to 28 %, where 31 mL/min
 * would keep the valve open (integrated resolved cycles, computed). */
Test(shutoff, a_weep_gives_a_duty_of_a_third_of_a_percent_to_a_quarter)
{
    struct shutoff_line l = usual_line();
    cr_assert_float_eq(shutoff_threshold(&usual, &l), 31.0 * ML_PER_MIN, 1e-9 * ML_PER_MIN);
    l.orifice = orifice_for(&l, 0.1 * ML_PER_MIN);
    const double least = shutoff_average(&usual, &l).duty;
    cr_assert(least > 0.0025 && least < 0.0035, "%g", least);
    l.orifice = orifice_for(&l, 10.0 * ML_PER_MIN);
    const double most = shutoff_average(&usual, &l).duty;
    cr_assert(most > 0.25 && most < 0.29, "%g", most);
}

Test(shutoff, duty_does_not_depend_on_compliance_and_starts_go_as_its_inverse)
{
    unsigned long seed = 8;
    for (int trial = 0; trial < 200; trial++) {
        struct shutoff_line l = usual_line();
        struct shutoff s = usual;
        l.orifice = orifice_for(&l, draw(&seed, 0.1, 30.0) * ML_PER_MIN);
        const struct shutoff_cycle a = shutoff_average(&s, &l);
        s.give *= 20.0;
        const struct shutoff_cycle b = shutoff_average(&s, &l);
        cr_assert_float_eq(a.duty, b.duty, 1e-12);
        cr_assert_float_eq(a.starts, 20.0 * b.starts, 1e-12 * a.starts);
        cr_assert_float_eq(a.out, b.out, 1e-12 * a.out);
    }
}

/* Reopening 0.05 to 0.20 lower: fourfold in starts, a fifth in duty. */
Test(shutoff, the_reopening_difference_moves_starts_fourfold_and_duty_by_a_fifth)
{
    struct shutoff_line l = usual_line();
    l.orifice = orifice_for(&l, 3.0 * ML_PER_MIN);
    const struct shutoff narrow = { 0.65, 0.60, 5e-7 }, wide = { 0.65, 0.45, 5e-7 };
    const struct shutoff_cycle a = shutoff_average(&narrow, &l), b = shutoff_average(&wide, &l);
    cr_assert(a.starts / b.starts > 3.5 && a.starts / b.starts < 5.0, "%g", a.starts / b.starts);
    cr_assert(a.duty / b.duty > 1.15 && a.duty / b.duty < 1.5, "%g", a.duty / b.duty);
}

Test(shutoff, water_balances)
{
    unsigned long seed = 9;
    for (int trial = 0; trial < 1000; trial++) {
        struct shutoff_line l = usual_line();
        l.orifice = orifice_for(&l, draw_log(&seed, 1e-4, 100.0) * ML_PER_MIN);
        l.seep = draw_log(&seed, 1e-9, 1.0) * l.k;
        l.feed_pressure *= draw(&seed, 0.3, 2.0);
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        cr_assert_float_eq(c.out, c.made, 1e-12 * c.made, "trial %d", trial);
        cr_assert(c.duty > 0.0 && c.duty <= 1.0);
        cr_assert_float_eq(c.duty * l.k * (l.p_max - c.pressure), c.made, 1e-9 * c.made);
        if (c.open)
            cr_assert_eq(c.starts, 0.0);
        else
            cr_assert(c.pressure > 0.55 * l.feed_pressure && c.pressure < 0.65 * l.feed_pressure);
    }
}

Test(shutoff, leaks_that_vanish_leave_nothing_behind)
{
    struct shutoff_line l = usual_line();
    l.orifice = orifice_for(&l, 3.0 * ML_PER_MIN);
    const struct shutoff_cycle pure = shutoff_average(&usual, &l);
    double before = INFINITY;
    for (double leak = 1e-1; leak > 1e-14; leak *= 0.1) {
        l.leak_back = leak * l.k;
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        const double back = (c.made - c.out) / c.made;
        cr_assert(back > 0.0 || leak < 1e-11, "leak %g: %g", leak, back);
        cr_assert_float_eq(c.duty, pure.duty, 25.0 * leak * pure.duty + 1e-12, "leak %g", leak);
        if (leak > 1e-9) /* linear in the leak, across the change of formula too */
            cr_assert(back < 0.9 * before && back > 0.0, "leak %g: %g", leak, back);
        if (leak < 5e-4 && leak > 1e-9)
            cr_assert_float_eq(before / back, 10.0, 0.6, "leak %g: %g", leak, before / back);
        before = back;
    }
}

Test(shutoff, nothing_drawn_is_no_start_and_no_division_by_zero)
{
    const struct shutoff_line l = usual_line();
    const struct shutoff_cycle c = shutoff_average(&usual, &l);
    cr_assert(!c.open);
    cr_assert_eq(c.duty, 0.0);
    cr_assert_eq(c.starts, 0.0);
    cr_assert_eq(c.made, 0.0);
    cr_assert_eq(c.out, 0.0);
    cr_assert(isfinite(c.run) && isinf(c.rest));
    double before = 1.0;
    for (double ml = 1.0; ml > 1e-250; ml *= 1e-3) {
        struct shutoff_line weeps = usual_line();
        weeps.orifice = orifice_for(&weeps, ml * ML_PER_MIN);
        const struct shutoff_cycle w = shutoff_average(&usual, &weeps);
        cr_assert(w.duty > 0.0 && w.duty < 0.002 * before + 0.1 * (before == 1.0), "%g", ml);
        cr_assert_float_eq(w.out / (weeps.orifice * sqrt(0.6 * weeps.feed_pressure)), 1.0, 0.01);
        before = w.duty;
    }
}

/* ---- the join with a valve that stays open --------------------------------------------------- */

Test(shutoff, stays_open_from_the_threshold_on)
{
    struct shutoff_line l = usual_line();
    for (double f = 1.0 + 1e-12; f < 100.0; f *= 1.3) {
        l.orifice = orifice_for(&l, f * 31.0 * ML_PER_MIN);
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        cr_assert(c.open && c.duty == 1.0 && c.starts == 0.0, "factor %g", f);
        cr_assert_float_eq(c.out, l.k * (l.p_max - c.pressure), 1e-12 * c.out, "factor %g", f);
        cr_assert(c.pressure <= 0.65 * l.feed_pressure * (1.0 + 1e-11));
    }
}

/* Towards the threshold the time open grows as the logarithm of what is missing, so that duty goes
 * to 1 as one over it: on each side of a decade one minus duty, inverted, rises by the same. */
Test(shutoff, duty_goes_to_one_as_the_time_open_grows_without_end)
{
    struct shutoff_line l = usual_line();
    double run[13], last = 0.0;
    for (int i = 0; i < 13; i++) {
        l.orifice = orifice_for(&l, 31.0 * ML_PER_MIN * (1.0 - pow(10.0, -i - 1)));
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        cr_assert(!c.open && c.duty > last, "1e-%d short of it", i + 1);
        cr_assert_float_eq(c.out, c.made, 1e-12 * c.made);
        run[i] = c.run;
        last = c.duty;
    }
    cr_assert(last > 0.98, "%g", last);
    for (int i = 4; i < 10; i++)
        cr_assert_float_eq(run[i + 1] - run[i], run[4] - run[3], 0.01 * (run[4] - run[3]),
                           "decade %d: %g, %g", i, run[i + 1] - run[i], run[4] - run[3]);
}

/* One closing more or less in a time that grows without end: what differs from the open valve goes
 * as one over the period, in flow and in pressure. */
Test(shutoff, joins_without_a_step)
{
    struct shutoff_line at = usual_line();
    at.orifice = orifice_for(&at, 31.0 * ML_PER_MIN * (1.0 + 1e-14));
    const struct shutoff_cycle open = shutoff_average(&usual, &at);
    cr_assert(open.open);
    double flow = 0.0, pressure = 0.0;
    for (int i = 4; i < 14; i++) {
        struct shutoff_line l = usual_line();
        l.orifice = orifice_for(&l, 31.0 * ML_PER_MIN * (1.0 - pow(10.0, -i)));
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        cr_assert(!c.open);
        const double less_flow = (open.out - c.out) * (c.run + c.rest);
        const double less_pressure = (open.pressure - c.pressure) * c.run;
        if (i > 4) {
            cr_assert_float_eq(less_flow, flow, 0.03 * flow, "1e-%d: %g", i, less_flow / flow);
            cr_assert_float_eq(less_pressure, pressure, 0.03 * pressure, "1e-%d: %g", i,
                               less_pressure / pressure);
        }
        flow = less_flow;
        pressure = less_pressure;
    }
}

/* What is drawn is more, the more the outlet is open; duty and what is made too. */
Test(shutoff, more_opening_is_more_water)
{
    unsigned long seed = 10;
    for (int trial = 0; trial < 100; trial++) {
        struct shutoff_line l = usual_line();
        l.leak_back = trial % 2 ? draw_log(&seed, 1e-3, 1.0) * l.k : 0.0;
        l.p_max = draw(&seed, 240.0, 400.0) * KPA;
        double out = 0.0, duty = 0.0;
        for (double ml = 0.01; ml < 300.0; ml *= 1.1) {
            l.orifice = orifice_for(&l, ml * ML_PER_MIN);
            const struct shutoff_cycle c = shutoff_average(&usual, &l);
            cr_assert(c.out >= out && c.duty >= duty, "trial %d, %g mL/min: %g %g", trial, ml,
                      c.out - out, c.duty - duty);
            out = c.out;
            duty = c.duty;
        }
    }
}

/* ---- faults ---------------------------------------------------------------------------------- */

/* Without a check valve the product runs back through the membrane: with nothing drawn at all the
 * valve opens again and again, and concentrate runs for a good part of the time. */
Test(shutoff, without_a_check_valve_it_cycles_though_nothing_is_drawn)
{
    struct shutoff_line l = usual_line();
    l.leak_back = l.k;
    const struct shutoff_cycle c = shutoff_average(&usual, &l);
    cr_assert(!c.open && c.duty > 0.5 && c.duty < 0.9, "duty %g", c.duty);
    cr_assert_float_eq(c.out, 0.0, 1e-9 * c.made);
    struct shutoff s = usual;
    s.give = 1e-5; /* trapped air */
    const struct shutoff_cycle slow = shutoff_average(&s, &l);
    cr_assert(1.0 / slow.starts > 5.0 && 1.0 / slow.starts < 30.0, "period %g", 1.0 / slow.starts);
}

Test(shutoff, never_closes_where_the_membrane_cannot_press_so_high)
{
    struct shutoff_line l = usual_line();
    l.p_max = 0.6 * l.feed_pressure; /* salty feed */
    for (double ml = 0.0; ml < 10.0; ml += 1.0) {
        l.orifice = orifice_for(&l, ml * ML_PER_MIN);
        const struct shutoff_cycle c = shutoff_average(&usual, &l);
        cr_assert(c.open && c.duty == 1.0, "%g mL/min", ml);
    }
}

Test(shutoff, is_finite_for_anything)
{
    unsigned long seed = 12;
    for (int trial = 0; trial < 5000; trial++) {
        const struct shutoff s = { draw(&seed, 0.1, 0.95), draw(&seed, 0.05, 0.99),
                                   draw_log(&seed, 1e-9, 1e-3) };
        const struct shutoff_line l = {
            .feed_pressure = trial % 7 ? draw(&seed, -1e4, 1e6) : 0.0,
            .k = trial % 5 ? draw_log(&seed, 1e-15, 1e-9) : 0.0,
            .p_max = draw(&seed, -1e5, 1e6),
            .orifice = trial % 3 ? draw_log(&seed, 1e-16, 1e-7) : 0.0,
            .seep = trial % 4 ? draw_log(&seed, 1e-18, 1e-10) : 0.0,
            .leak_back = trial % 2 ? draw_log(&seed, 1e-18, 1e-9) : 0.0,
        };
        const struct shutoff_cycle c = shutoff_average(&s, &l);
        cr_assert(isfinite(c.duty) && isfinite(c.starts) && isfinite(c.made) && isfinite(c.out) &&
                      isfinite(c.pressure),
                  "trial %d", trial);
        cr_assert(c.duty >= 0.0 && c.duty <= 1.0 && c.starts >= 0.0 && c.out >= 0.0);
        cr_assert(c.made >= 0.0 && c.out <= c.made * (1.0 + 1e-9), "trial %d: %g %g", trial, c.out,
                  c.made);
        cr_assert(!isnan(c.run) && !isnan(c.rest));
    }
}

Test(shutoff, the_table_is_sound)
{
    for (const struct field *f = shutoff_fields; f->key; f++)
        cr_assert(f->preset >= f->low && f->preset <= f->high && f->min <= f->low &&
                      f->high <= f->max && f->offset < sizeof(struct shutoff),
                  "%s", f->key);
}

/* ---- mean pressure ------------------------------------------------------------------------------
 */

/* Mean pressure while it falls, told by the water that leaks back, where of what leaves while it
 * falls the share that goes as the pressure, not as its root, makes x of docs/shutoff.md. */
static double pressure_at(double x)
{
    struct shutoff_line line = usual_line();
    line.orifice = orifice_for(&line, 5.0 * ML_PER_MIN);
    const double high = sqrt(usual.close_ratio * line.feed_pressure);
    const double low = sqrt(usual.reopen_ratio * line.feed_pressure);
    const double m = 0.5 * (high + low), d = 0.5 * (high - low);
    line.leak_back = x * line.orifice / (d - x * m);
    const struct shutoff_cycle c = shutoff_average(&usual, &line);
    return (c.made - c.out) / ((1.0 - c.duty) * line.leak_back);
}

/* The form for small x goes over into the other one at 1e-3. */
Test(shutoff, has_no_step_in_the_mean_pressure_where_its_form_changes)
{
    const double step = pressure_at(1.001e-3) - pressure_at(0.999e-3);
    const double usual_step = pressure_at(1.003e-3) - pressure_at(1.001e-3);
    cr_assert_float_eq(step, usual_step, 1e-6 * pressure_at(1e-3), "%g, %g", step, usual_step);
}
