/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane: thin-film reverse-osmosis elements, one or a few alike, as segments of a feed channel
 * in series; solution-diffusion, film polarization, osmotic pressure, temperature.  Page:
 * docs/membrane.md.
 *
 * Assumes: one permeate pressure along the element, no mixing between segments, permeate drawn off
 * where it is made.  Flows m3/s, pressures Pa gauge, permeabilities m/(s Pa) and m/s at 25 degC.
 */
#ifndef MODELS_MEMBRANE_H
#define MODELS_MEMBRANE_H

#include "holdup.h"
#include "parcel.h"
#include "restrictor.h"
#include "wear.h"

enum { SEGMENTS_MAX = 48 };

/* How the concentrate joins elements; the product of all runs together. */
enum membrane_joined {
    MEMBRANE_SERIES,            /* what leaves one feeds the next */
    MEMBRANE_PARALLEL,          /* they share the feed */
};

/* Area, path, segments and holdup are those of one element; the restrictor is one for all. */
struct membrane {
    int elements;               /* n, all alike */
    int joined;                 /* enum membrane_joined */
    double area;                /* m2 */
    double path;                /* m, length of the feed path */
    double spacer;              /* m, height of the feed channel */
    double porosity;            /* of the spacer channel */
    double water_permeability;  /* A [m/(s Pa)] at 25 degC */
    double salt_permeability;   /* B of NaCl [m/s] at 25 degC */
    double leak;                /* s, share of flux that imperfections let by (0 to 0.01) */
    double water_activation;    /* U [K], TCF = exp(U(1/298.15 - 1/T)), at or above 25 degC */
    double water_activation_cold; /* U [K] below 25 degC */
    double salt_activation;     /* the same for B [K] */
    double polarization;        /* multiplier on the mass-transfer coefficient k */
    double relative[SPECIES_COUNT]; /* permeability relative to NaCl */
    int segments;               /* N */
    struct restrictor restrictor;
    struct wear wear;
    struct holdup_size holdup;
};

/* Of all elements together: membrane area [m2]; open cross-section of the feed channels that lie
 * side by side [m2]; segments from the inlet to where the concentrate leaves. */
double membrane_area(const struct membrane *m);
double membrane_section(const struct membrane *m);
int membrane_segments(const struct membrane *m);

/* What use does to it, and the water that stands on both sides. */
struct membrane_state {
    struct wear_state wear;
    struct holdup holdup;
};

/* Conditions at which the elements work. */
struct membrane_point {
    double feed_flow;           /* m3/s into the channel */
    double feed_pressure;       /* Pa at the channel inlet */
    double permeate_pressure;   /* Pa */
    double osmolarity;          /* mol/m3 of the feed, see water_osmolarity */
    double temperature;         /* degC */
};

/* Factors of A and of B at a temperature, 1 at 25 degC. */
double membrane_temperature_factor(const struct membrane *m, double temperature);
double membrane_salt_factor(const struct membrane *m, double temperature);

/* The membrane as it is now: A and B as wear has left them. */
struct membrane membrane_worn(const struct membrane *m, const struct membrane_state *s);

/* Stands still for a time: salt diffuses, deposits set, scale grows. */
void membrane_rest(const struct membrane *m, struct membrane_state *s, double temperature,
                   double seconds);

/* Water along the feed side, of which nothing is drawn through; what it pushes out is left in it. */
void membrane_rinse(const struct membrane *m, struct membrane_state *s, struct parcel *water);

/* Mass-transfer coefficient k [m/s] of a species at a channel flow. */
double membrane_film(const struct membrane *m, double channel_flow, double diffusivity,
                     double temperature);

/* Pressure lost along the feed channel [Pa]. */
double membrane_channel_loss(const struct membrane *m, double flow, const struct fluid *water);

/* Permeate flow [m3/s] at a point; flux[membrane_segments] [m/s] too unless NULL.  Never negative
 * (no forward osmosis), and no segment draws more than 0.98 of the water that reaches it. */
double membrane_permeate(const struct membrane *m, const struct membrane_point *at, double flux[]);

/* What a walk down the channel finds in a segment; bulk and net at its middle. */
struct membrane_segment {
    double flow, middle;        /* m3/s that reaches it; at its middle */
    double bulk;                /* mol/m3 of all ions, as one salt */
    double net;                 /* Pa, channel less permeate */
    double per_k;               /* 1/k [s/m] */
    double flux;                /* J [m/s] */
    double drawn;               /* m3/s through the membrane */
};

/* membrane_permeate, segment by segment: seen[membrane_segments].  At a point with flow and pressure. */
double membrane_walk(const struct membrane *m, const struct membrane_point *at,
                     struct membrane_segment seen[]);

/* Splits a feed parcel into permeate and concentrate, given the permeate volume (kept within 0 and
 * the feed's); every species conserved to rounding, permeate electroneutral.  Flux per segment
 * follows from the volumes.  A part without volume has the composition of the feed. */
void membrane_split(const struct membrane *m, const struct parcel *feed, double permeate_volume,
                    struct parcel *permeate, struct parcel *concentrate);

/* What the water is on its way through a split. */
struct membrane_slice {
    double flow, drawn;         /* m3/s that reaches a segment, and that it draws */
    double c[SPECIES_COUNT];    /* of the water that reaches it */
    double permeate[SPECIES_COUNT];
};

/* The same, segment by segment: seen[membrane_segments], untouched where nothing is to be parted. */
void membrane_split_slices(const struct membrane *m, const struct parcel *feed,
                           double permeate_volume, struct parcel *permeate,
                           struct parcel *concentrate, struct membrane_slice seen[]);

/* A nameplate: what a maker states of one element, turned into A and B by the same equations. */
struct nameplate {
    double permeate;            /* m3/s */
    double pressure;            /* Pa */
    double temperature;         /* degC */
    double salt;                /* kg/m3 NaCl in the feed */
    double recovery;            /* share */
    double rejection;           /* share, of the feed concentration */
};

enum {
    MEMBRANE_IMPOSSIBLE = -1, /* no A and B give this; m is as it was */
    MEMBRANE_FITTED = 0,
    MEMBRANE_SALT_KEPT = 1,   /* the conductivity is out of reach: B as it was, the rest is set */
};

/* Fills water_permeability and salt_permeability of m, whose other fields are set, so that
 * membrane_permeate and membrane_split of one element give what the plate says.  Returns
 * MEMBRANE_FITTED, or MEMBRANE_IMPOSSIBLE (pressure below osmotic, rejection out of reach of the
 * leak). */
int membrane_from_nameplate(struct membrane *m, const struct nameplate *plate);

/* What a jug, a watch and a meter gave at elements that work, all together. */
struct jug {
    double product;             /* m3/s */
    double drain;               /* m3/s */
    double temperature;         /* degC */
    double pressure;            /* Pa at the channel inlet */
    double permeate_pressure;   /* Pa */
    double c[SPECIES_COUNT];    /* of the feed */
    double conductivity;        /* of the permeate at 25 degC [S/m], or NAN */
};

/* Sets A so that the product comes out, the restrictor's flow so that the drain does, and B so that
 * the permeate of membrane_split has the conductivity.  B must be set before if that is NAN or may
 * be out of reach: CO2 conducts too, so that some readings no B explains. */
int membrane_from_jug(struct membrane *m, const struct jug *jug);

#endif
