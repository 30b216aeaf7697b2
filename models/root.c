/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * root: see root.h.  f(low) > 0 > f(high) holds all the time.
 */
#include "root.h"

#include <math.h>
#include <stdbool.h>

enum { STEPS_MAX = 120 };

double root_falling(double (*f)(double, void *), void *context, double low, double high,
                    double tolerance)
{
    double f_low = f(low, context);
    if (f_low <= 0.0)
        return low;
    double f_high = f(high, context);
    if (f_high >= 0.0)
        return high;

    const double width = tolerance * fmax(fabs(low), fabs(high));
    double last = low;
    for (int step = 0; step < STEPS_MAX && high - low > width; step++) {
        /* every fourth step halves the bracket, so that no shape of f can stall the search */
        double x =
            step % 4 == 3 ? 0.5 * (low + high) : low + (high - low) * f_low / (f_low - f_high);
        double y = f(x, context);
        if (y == 0.0 || fabs(x - last) <= 0.25 * width)
            return x;
        if (y > 0.0) {
            f_high *= low == last ? 0.5 : 1.0;
            low = x;
            f_low = y;
        } else {
            f_low *= high == last ? 0.5 : 1.0;
            high = x;
            f_high = y;
        }
        last = x;
    }
    return last;
}

/* Secant steps, the first with slope -1; a step that leaves the bracket, or three that have not
 * halved it, give way to a halving.  A step is as wrong as its slope: as long as no halving was
 * needed and every look left a quarter at most, the next is the last if the share by which the
 * slope still changed leaves it within the tolerance. */
double root_falling_near(double (*f)(double, void *), void *context, double low, double high,
                         double guess, double tolerance)
{
    const double width = tolerance * fmax(fabs(low), fabs(high));
    double x = fmin(fmax(guess, low), high), y = f(x, context), slope = -1.0;
    double before = high - low, changed = 1.0;
    bool smooth = true;
    for (int step = 0; step < STEPS_MAX && y != 0.0; step++) {
        if (y > 0.0)
            low = x;
        else
            high = x;
        if (high - low <= width)
            break;
        double next = x - y / slope;
        const bool stalled = step % 4 == 3 && high - low > 0.5 * before;
        if (!(next > low && next < high) || stalled) {
            next = 0.5 * (low + high);
            smooth = false;
        }
        if (step % 4 == 3)
            before = high - low;
        const double wrong = smooth ? changed : 1.0; /* share of the step */
        if (wrong * fabs(next - x) <= 0.25 * width)
            return next;
        const double y_next = f(next, context), was = slope;
        slope = (y_next - y) / (next - x);
        slope = slope < 0.0 ? slope : -1.0;
        changed = step > 0 ? fmin(fabs(slope / was - 1.0), 1.0) : 1.0;
        smooth = smooth && fabs(y_next) < 0.25 * fabs(y);
        x = next;
        y = y_next;
    }
    return x;
}
