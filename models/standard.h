/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * standard: permeate flow and salt passage brought to standard conditions by the practice of ASTM
 * D4516, so that wear and season are told apart.  Page: docs/standard.md.
 *
 * With wall concentrations in place of those of the bulk it stays true where polarization matters.
 */
#ifndef MODELS_STANDARD_H
#define MODELS_STANDARD_H

struct standard_point {       /* actual or standard conditions */
    double pressure;          /* Pa at the inlet of the channel */
    double loss;              /* Pa lost along it */
    double permeate_pressure; /* Pa */
    double brine_osmotic;     /* Pa of the mean of feed and concentrate (or at the wall) */
    double permeate_osmotic;  /* Pa */
    double factor;            /* of water permeability by temperature, TCF */
    double salt_factor;       /* of salt permeability by temperature, STCF */
    double feed;              /* kg/m3 or mol/m3, the same for both points */
    double brine;             /* mean of feed and concentrate (or at the wall), likewise */
};

/* Mean of feed and concentrate: Cf ln(1/(1 - Y))/Y. */
double standard_brine(double feed, double recovery);

/* Osmotic pressure [Pa] of a concentration [kg/m3] below 20 kg/m3, as the practice has it. */
double standard_osmotic(double concentration, double temperature);

/* Net driving pressure [Pa]. */
double standard_driving(const struct standard_point *at);

/* Permeate flow that the membrane would give at the standard point, in the unit of `flow`. */
double standard_flow(double flow, const struct standard_point *actual,
                     const struct standard_point *standard);

/* Salt passage (permeate over feed) that it would have there. */
double standard_passage(double passage, const struct standard_point *actual,
                        const struct standard_point *standard);

#endif
