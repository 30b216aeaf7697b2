/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * wear: deposit dc/dt = f g - c/tau, dl/dt = (1 - f) g + c/tau with g = C J/m; calcite by the
 * excess of saturation at the wall; B exp(ln 2 D/D2 + b t); A by creep, oxidants and resistances in
 * series. Page: docs/wear.md, with the same symbols and the standing of every number.
 *
 * Assumes: one state for the whole membrane; what sticks is too little to be missed in the
 * concentrate, but for the calcite; nothing is rinsed off while water is drawn through; scale does
 * not dissolve; oxidants in resting water are used up at once.
 */
#include "wear.h"

#include <math.h>

#include "scaling.h"
#include "water.h"

static const double CALCITE_VOLUME = 36.93e-6; /* m3/mol */
static const double MG_PER_L = 1e-3;     /* kg/m3, in which the oxidant's constants are given */
static const double DAMAGE_MOST = 7.0;   /* ln B/B0: a thousandfold is no membrane any more */
static const double SWELLING_MOST = 3.0; /* A/A0, as far as it was measured */

/* ---- what it does to the membrane ---- */

static double swelling(const struct wear *p, double dose)
{
    const double past = fmax(dose / MG_PER_L - p->oxidant_threshold, 0.0);

    return fmin(1.0 + p->oxidant_swelling * past, SWELLING_MOST);
}

double wear_flow_factor(const struct wear *p, const struct wear_state *s, double area)
{
    const double crept = 1.0 - p->creep * (1.0 - exp(-s->run / p->creep_time));
    const double scale = s->scale * CALCITE_VOLUME / (area * p->scale_halving);

    return crept * swelling(p, s->dose) / (1.0 + s->cake + s->layer + scale + s->biofilm);
}

double wear_salt_factor(const struct wear *p, const struct wear_state *s)
{
    const double doublings = s->dose / (MG_PER_L * p->oxidant_doubling);

    return exp(fmin(log(2.0) * doublings + p->ageing * s->age, DAMAGE_MOST));
}

/* ---- what is done to it ---- */

/* Deposit over t: growth g of R/R_m, removal r of the loose part, both per s and steady. */
static void deposit(const struct wear *p, struct wear_state *s, double g, double r, double t)
{
    const double loose = p->reversible * g;
    const double rate = r + 1.0 / p->consolidation;
    const double gone = -expm1(-rate * t); /* share */
    const double left = s->cake * (1.0 - gone) + loose * gone / rate;
    const double moved = fmax(s->cake + loose * t - left, 0.0);

    s->layer += (g - loose) * t + moved / (p->consolidation * rate);
    s->cake = left;
}

static void oxidise(const struct wear *p, struct wear_state *s, const double c[], double t)
{
    const double chlorine = species[CHLORINE].molar_mass * c[CHLORINE];
    const double chloramine = species[CHLORAMINE].molar_mass * c[CHLORAMINE];

    s->dose += (chlorine + p->chloramine_weight * chloramine) * t;
}

/* Calcite from a water beside the membrane over t.  It grows by omega - 1, which falls in
 * proportion as what is above saturation is used up: first order, at most all of it. */
static double precipitate(const struct wear *p, double area, double polarization, double t,
                          struct parcel *w)
{
    double wall[SPECIES_COUNT];
    const struct speciation bulk = water_speciate(w->c, w->temperature);
    scaling_wall(w->c, &bulk, polarization, wall);
    const struct speciation at_wall = water_speciate(wall, w->temperature);
    const double omega = pow(10.0, scaling_calcite(wall, &at_wall, w->temperature));
    if (!(omega > 1.0 && w->volume > 0.0))
        return 0.0;

    const double excess = w->volume * scaling_excess(wall, w->temperature) / polarization;
    const double growth = p->scale_growth / CALCITE_VOLUME * area * (omega - 1.0); /* mol/s */
    const double x = excess > 0.0 ? -excess * expm1(-growth * t / excess) : 0.0;
    w->c[CALCIUM] -= x / w->volume;
    w->c[CARBON] -= x / w->volume;
    return x;
}

/* Rate [1/s] at which a flow along the membrane takes the loose deposit away. */
static double removal(const struct wear *p, double speed)
{
    return speed > 0.0 ? p->rinse_rate * pow(speed / p->rinse_speed, p->rinse_exponent) : 0.0;
}

double wear_carry(const struct wear *p, struct wear_state *s, const struct wear_load *load,
                  struct parcel *concentrate)
{
    const double t = load->duration;
    if (!p->on || !(t > 0.0))
        return 0.0;

    const double brought = load->c[SOLIDS] * load->drawn / load->area; /* kg/m2 */
    deposit(p, s, brought / (p->solids_halving * t), removal(p, load->rinse), t);
    oxidise(p, s, load->c, t);
    s->run += t;
    s->age += t;
    const double x = precipitate(p, load->area, load->polarization, t, concentrate);
    s->scale += x;
    return x;
}

double wear_rest(const struct wear *p, struct wear_state *s, double area, double duration,
                 struct parcel *held)
{
    if (!p->on || !(duration > 0.0))
        return 0.0;

    deposit(p, s, 0.0, 0.0, duration);
    s->biofilm += p->biofilm * duration;
    s->age += duration;
    const double x = precipitate(p, area, 1.0, duration, held);
    s->scale += x;
    return x;
}

void wear_rinse(const struct wear *p, struct wear_state *s, double speed,
                const struct parcel *water)
{
    const double t = water->duration;
    if (!p->on || !(t > 0.0))
        return;

    deposit(p, s, 0.0, removal(p, speed), t);
    oxidise(p, s, water->c, t);
    s->age += t;
}

/* ---- fields ---- */

static const char JUDGED[] = "assumption";

const struct field wear_fields[] = {
    { "on", FIELD_FLAG, DIM_NONE, offsetof(struct wear, on), 1.0, 0.0, 1.0, 0.0, 1.0, NULL,
      "whether the membrane fouls, scales and ages", "choice" },
    { "solids_halving", FIELD_NUMBER, DIM_MASS, offsetof(struct wear, solids_halving), 6.64e-3,
      1e-6, 1e3, 1e-3, 0.2, NULL,
      "solids brought to each m2 of membrane whose deposit halves the flow",
      "computed from the design rule of 7 % a year (from memory) at 0.05 mg/L and 10 m3/m2 a "
      "year" },
    { "reversible_share", FIELD_NUMBER, DIM_NONE, offsetof(struct wear, reversible), 0.7, 0.0, 1.0,
      0.6, 0.8, NULL, "share of a new deposit that a rinse can take away", JUDGED },
    { "consolidation", FIELD_NUMBER, DIM_TIME, offsetof(struct wear, consolidation), 259200.0, 60.0,
      1e9, 86400.0, 864000.0, NULL, "time in which a loose deposit sets",
      "assumption: a few days" },
    { "rinse_rate", FIELD_NUMBER, DIM_RATE, offsetof(struct wear, rinse_rate), 8.5e-3, 0.0, 10.0,
      6e-3, 15e-3, NULL, "rate at which a rinse takes the loose deposit away at rinse_speed",
      "assumption: 40 % in a minute, of a range from 30 to 60 %" },
    { "rinse_speed", FIELD_NUMBER, DIM_VELOCITY, offsetof(struct wear, rinse_speed), 0.09, 1e-4,
      10.0, 0.03, 0.3, NULL, "cross-flow of that rate",
      "computed: 2 L/min in a 1.8 x 12 in element" },
    { "rinse_exponent", FIELD_NUMBER, DIM_NONE, offsetof(struct wear, rinse_exponent), 1.7, 0.0,
      4.0, 1.0, 2.0, NULL, "power of the cross-flow with which the rate grows",
      "assumption: in proportion to the shear, which grows as its 1.7th power" },
    { "scale_growth", FIELD_NUMBER, DIM_VELOCITY, offsetof(struct wear, scale_growth), 1.85e-15,
      0.0, 1e-9, 1e-16, 1e-13, NULL,
      "growth of calcite on the membrane where it is saturated twofold",
      "assumption: a ten-thousandth of the rate on bare calcite, which is from memory" },
    { "scale_halving", FIELD_NUMBER, DIM_LENGTH, offsetof(struct wear, scale_halving), 1.85e-6,
      1e-9, 1e-3, 3e-7, 5e-6, NULL, "mean thickness of calcite that halves the flow",
      "assumption: 5 g/m2" },
    { "oxidant_doubling", FIELD_NUMBER, DIM_TIME, offsetof(struct wear, oxidant_doubling), 3.6e6,
      1.0, 1e12, 1.8e6, 1.8e7, NULL,
      "time in 1 mg/L of free chlorine that doubles the salt passage",
      "assumption fitted to trade notes: damage after 200 to 1000 mg/L h" },
    { "oxidant_threshold", FIELD_NUMBER, DIM_TIME, offsetof(struct wear, oxidant_threshold), 1.44e6,
      0.0, 1e12, 7.2e5, 3.6e6, NULL, "time in 1 mg/L of free chlorine before the flow rises",
      "a study of chlorinated polyamide: history counts above 400 mg/L h" },
    { "oxidant_swelling", FIELD_NUMBER, DIM_RATE, offsetof(struct wear, oxidant_swelling),
      1.944444e-7, 0.0, 1.0, 0.0, 1e-6, NULL, "rise of the flow in 1 mg/L past that threshold",
      "assumption fitted to the same study: threefold at 3120 mg/L h" },
    { "chloramine_weight", FIELD_NUMBER, DIM_NONE, offsetof(struct wear, chloramine_weight),
      1.0 / 300.0, 0.0, 1.0, 0.001, 0.02, NULL,
      "damage by chloramine over that by as much free chlorine",
      "assumption: about 300 000 mg/L h are borne, from memory" },
    { "ageing", FIELD_NUMBER, DIM_RATE, offsetof(struct wear, ageing), 7.2e-10, 0.0, 1e-6, 0.0,
      3.1e-9, NULL, "growth of salt permeability with time, oxidants apart",
      "computed from the design rules of +10 % passage and -7 % flow a year (from memory)" },
    { "biofilm", FIELD_NUMBER, DIM_RATE, offsetof(struct wear, biofilm), 0.0, 0.0, 1e-3, 0.0, 3e-8,
      NULL, "growth of resistance at rest, over that of the membrane", "assumption; off" },
    { "creep", FIELD_NUMBER, DIM_NONE, offsetof(struct wear, creep), 0.05, 0.0, 0.9, 0.0, 0.15,
      NULL, "share of its flow that a new element loses as it settles", "assumption" },
    { "creep_time", FIELD_NUMBER, DIM_TIME, offsetof(struct wear, creep_time), 180000.0, 60.0, 1e9,
      36000.0, 720000.0, NULL, "service in which it settles", "assumption: 50 hours" },
    { .key = NULL },
};

/* ---- indices of colloids ---- */

double wear_sdi(double first, double last, double span)
{
    return 100.0 * (1.0 - first / last) / (span / 60.0);
}

double wear_sdi_of_cake(double a, double b)
{
    const double sample = 0.5e-3, span = 900.0;                            /* m3, s */
    const double passed = 2.0 * span / (a + sqrt(a * a + 4.0 * b * span)); /* m3 after the span */
    const double first = sample * (a + b * sample);
    const double last = sample * (a + b * (2.0 * passed + sample));

    return wear_sdi(first, last, span);
}
