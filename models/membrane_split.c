/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane_split: species by species, what of a parcel passes the membrane.
 * cp = cb B E/(J + B E), E = exp(J/k), B = relative B(NaCl) + leak J, and one rule that keeps the
 * permeate electroneutral.  Page: docs/membrane.md, with the same symbols.
 *
 * Assumes: gases (CO2, NH3) pass freely, silica as H4SiO4, CO3-- like sulfate; solids and sea salt
 * not at all; water of a segment has the forms that its inlet had.
 */
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "membrane.h"
#include "membrane_channel.h"
#include "root.h"
#include "water.h"

static const double D_CARBONATE = 0.923e-9; /* m2/s at 25 degC */

/* Where the flux is known in sum and its distribution follows from one driving pressure. */
struct spread {
    const struct channel *channel;
    double osmolarity, total;
    double *flux;
};

static double missing(double driving, void *of)
{
    const struct spread *s = of;

    return s->total - membrane_march(s->channel, driving, s->osmolarity, s->flux);
}

/* Fills flux[] so that its sum over the area is `total`: as one driving pressure would, or evenly
 * where no pressure presses so much through. */
static void spread_flux(const struct channel *ch, double osmolarity, double total, double flux[])
{
    struct spread s = { ch, osmolarity, total, flux };
    const double whole = ch->area * ch->segments;
    const double low = total / (ch->A * whole); /* would do without osmosis and loss */
    double width = 2.0 * ch->osmotic * osmolarity + 0.1 * low;
    double high = low + width;
    bool reached = missing(high, &s) <= 0.0;
    for (int i = 0; i < 20 && !reached; i++) {
        width *= 4.0;
        high = low + width;
        reached = missing(high, &s) <= 0.0;
    }
    if (reached)
        missing(root_falling(missing, &s, low, high, 1e-11), &s); /* leaves the flux */

    double sum = 0.0;
    for (int i = 0; i < ch->segments; i++)
        sum += ch->area * flux[i];
    for (int i = 0; i < ch->segments; i++) /* takes out what the root left over */
        flux[i] = reached ? flux[i] * (total / sum) : total / whole;
}

/* Forms that pass apart: the species, with AMMONIUM as NH4+ and CARBON as HCO3-, then the rest. */
enum { CARBONATE = SPECIES_COUNT, HYDROGEN, HYDROXIDE, FORM_COUNT };

static int form_charge(int form)
{
    switch (form) {
    case CARBONATE:
        return -2;
    case HYDROGEN:
        return 1;
    case HYDROXIDE:
        return -1;
    case SILICA: /* as H4SiO4 */
        return 0;
    default:
        return species[form].charge;
    }
}

static void forms_of(const double c[], const struct speciation *s, double form[FORM_COUNT])
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        form[i] = c[i];
    form[AMMONIUM] = fmax(c[AMMONIUM] - s->nh3, 0.0);
    form[CARBON] = s->hco3;
    form[CARBONATE] = s->co3;
    form[HYDROGEN] = s->h;
    form[HYDROXIDE] = s->oh;
}

/* What does not change from segment to segment, for each form. */
struct solutes {
    double relative[FORM_COUNT]; /* B over that of NaCl; 0: does not pass at all */
    double ln_d[FORM_COUNT];     /* ln(D/D of NaCl) */
};

static struct solutes solutes_of(const struct membrane *m)
{
    struct solutes s;

    for (int i = 0; i < SPECIES_COUNT; i++) {
        s.relative[i] = i == SOLIDS || i == SALT ? 0.0 : m->relative[i];
        s.ln_d[i] = log(species[i].diffusivity / D_NACL);
    }
    s.relative[CARBONATE] = m->relative[SULFATE]; /* the other divalent anion */
    s.ln_d[CARBONATE] = log(D_CARBONATE / D_NACL);
    s.relative[HYDROGEN] = s.relative[HYDROXIDE] = 1.0;
    s.ln_d[HYDROGEN] = s.ln_d[HYDROXIDE] = 0.0;
    return s;
}

/* Charge [mol/m3] of the cations and of the anions of a permeate. */
static void charges(const double permeate[FORM_COUNT], double *cations, double *anions)
{
    *cations = *anions = 0.0;
    for (int i = 0; i < FORM_COUNT; i++) {
        const double charge = form_charge(i) * permeate[i];
        if (charge > 0.0)
            *cations += charge;
        else
            *anions -= charge;
    }
}

/* The rule of electroneutrality: passages of cations times r, of anions over r, with
 * r = sqrt(anions/cations) of the permeate as it came; nothing above its bulk; what then is left
 * over on the larger side is taken down in proportion.  H+ and OH- take part, so that acid and lye,
 * which have no other partner, have a limit too. */
static void neutralise(const double bulk[FORM_COUNT], double permeate[FORM_COUNT])
{
    double cations, anions;
    charges(permeate, &cations, &anions);
    const double r = sqrt(anions / cations);

    for (int i = 0; i < FORM_COUNT; i++) {
        const int z = form_charge(i);
        if (z != 0)
            permeate[i] = fmin(z > 0 ? permeate[i] * r : permeate[i] / r, bulk[i]);
    }
    charges(permeate, &cations, &anions);
    const double on_cations = fmin(anions / cations, 1.0), on_anions = fmin(cations / anions, 1.0);
    for (int i = 0; i < FORM_COUNT; i++) {
        const int z = form_charge(i);
        permeate[i] *= z > 0 ? on_cations : z < 0 ? on_anions : 1.0;
    }
}

/* A segment during a split. */
struct slice {
    double flow;     /* that reaches it [m3/s] */
    double drawn;    /* through the membrane [m3/s] */
    double flux;     /* J [m/s] */
    const double *c; /* composition of the water that reaches it */
};

/* Composition of the permeate of a slice. */
static void slice_permeate(const struct channel *ch, const struct solutes *of,
                           const struct slice *at, const struct speciation *s, double out[])
{
    const double half = 0.5 * at->drawn;
    const double ln_q = log(at->flow - half);
    double bulk[FORM_COUNT], permeate[FORM_COUNT];

    forms_of(at->c, s, bulk);
    for (int i = 0; i < FORM_COUNT; i++) {
        const double B =
            of->relative[i] > 0.0 ? of->relative[i] * ch->B + ch->leak * at->flux : 0.0;
        const double per_k = membrane_channel_hold(&ch->film, ln_q, of->ln_d[i]);
        const double share = membrane_passage(at->flux, per_k, B);
        permeate[i] = share * bulk[i] * (at->flow - half * share) / (at->flow - half);
    }
    neutralise(bulk, permeate);
    for (int i = 0; i < SPECIES_COUNT; i++)
        out[i] = permeate[i];
    out[CARBON] += permeate[CARBONATE] + s->co2; /* gases pass freely */
    out[AMMONIUM] += s->nh3;
}

/* Carries water of composition c down the channel and adds up what passes, passed[] [mol/s]. */
static void carry_solutes(const struct channel *ch, const struct solutes *of,
                          const struct parcel *in, const double flux[], double passed[],
                          struct membrane_slice seen[])
{
    double c[SPECIES_COUNT], out[SPECIES_COUNT];
    double q = ch->flow;

    for (int j = 0; j < SPECIES_COUNT; j++) {
        c[j] = in->c[j];
        passed[j] = 0.0;
    }
    for (int i = 0; i < ch->segments; i++) {
        const struct slice at = { .flow = q, .drawn = ch->area * flux[i], .flux = flux[i], .c = c };
        const struct speciation s = water_speciate(c, in->temperature);
        slice_permeate(ch, of, &at, &s, out);
        if (seen) {
            seen[i].flow = q;
            seen[i].drawn = at.drawn;
            memcpy(seen[i].c, c, sizeof c);
            memcpy(seen[i].permeate, out, sizeof out);
        }

        const double left = fmax(q - at.drawn, 1e-9 * q);
        for (int j = 0; j < SPECIES_COUNT; j++) {
            passed[j] += at.drawn * out[j];
            c[j] = fmax(q * c[j] - at.drawn * out[j], 0.0) / left;
        }
        q = left;
    }
}

void membrane_split(const struct membrane *m, const struct parcel *feed, double permeate_volume,
                    struct parcel *permeate, struct parcel *concentrate)
{
    membrane_split_slices(m, feed, permeate_volume, permeate, concentrate, NULL);
}

void membrane_split_slices(const struct membrane *m, const struct parcel *feed,
                           double permeate_volume, struct parcel *permeate,
                           struct parcel *concentrate, struct membrane_slice seen[])
{
    const struct parcel in = *feed;
    *permeate = *concentrate = in;
    permeate->volume = fmin(fmax(permeate_volume, 0.0), in.volume);
    concentrate->volume = in.volume - permeate->volume;
    if (!(permeate->volume > 0.0) || !(concentrate->volume > 0.0))
        return; /* nothing to part: the one that has the water is the feed */

    const double duration = fmax(in.duration, 1e-9);
    const struct speciation s = water_speciate(in.c, in.temperature);
    const double osmolarity = water_osmolarity(in.c, &s);
    const struct fluid fluid = water_fluid(in.temperature);
    const struct channel ch = membrane_channel(m, in.volume / duration, osmolarity, &fluid);
    const struct solutes of = solutes_of(m);
    double flux[SEGMENTS_MAX], passed[SPECIES_COUNT];

    spread_flux(&ch, osmolarity, permeate->volume / duration, flux);
    carry_solutes(&ch, &of, &in, flux, passed, seen);
    for (int j = 0; j < SPECIES_COUNT; j++) {
        const double held = in.c[j] * in.volume;
        const double out = fmin(passed[j] * duration, held);
        permeate->c[j] = out / permeate->volume;
        concentrate->c[j] = (held - out) / concentrate->volume;
    }
}
