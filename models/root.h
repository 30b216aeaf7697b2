/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * root: where a falling function of one variable passes zero.  Regula falsi with the Illinois
 * weighting (Dowell & Jarratt 1971) and a bisection when it stalls; never leaves its bracket.
 */
#ifndef MODELS_ROOT_H
#define MODELS_ROOT_H

/* Root of f in [low, high] to a relative width `tolerance` of the bracket's scale, where f falls.  If
 * f(low) <= 0 the answer is low, if f(high) >= 0 it is high.  f must be finite in the bracket. */
double root_falling(double (*f)(double, void *), void *context, double low, double high,
                    double tolerance);

/* The same where f(low) >= 0 >= f(high) is known beforehand and f falls about as fast as -x near a
 * good guess (a quantity less its own trial value): a few looks are enough. */
double root_falling_near(double (*f)(double, void *), void *context, double low, double high,
                         double guess, double tolerance);

#endif
