/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain_membrane: the equations of docs/membrane.md, docs/wear.md and docs/restrictor.md:
 * the
 * flow of water segment by segment.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along_explain_inner.h"
#include "models/water.h"
#include "screen.h"
#include "text.h"

enum { TOLD = 12 }; /* segments that are told one by one */

static const double VISCOSITY_25 = 8.899968e-4; /* Pa s */
static const double LARGEST_SHARE = 0.98;       /* of the water that reaches a segment */

static const char PAGE[] = "membrane";

static double line(struct explain *e, const char *words, const char *name, const char *equation,
                   const char *unit)
{
    return explain_line(e, &(struct explain_line){ words, name, equation, unit, PAGE, NAN });
}

/* ---- what it is made of -----------------------------------------------------------------------
 */

static void explain_wear(struct along_membrane *m)
{
    struct explain *e = m->e;
    const struct wear *p = &m->new->wear;
    const struct wear_state *s = &m->state->wear;
    const double area = membrane_area(m->new);
    const int opened = explain_open(e);
    explain_given(e, "e", p->creep, "");
    explain_given(e, "t_run", s->run, "s");
    explain_given(e, "te", p->creep_time, "s");
    explain_given(e, "a", p->oxidant_swelling, "1/s");
    explain_given(e, "D", s->dose, "kg s/m3");
    explain_given(e, "D0", p->oxidant_threshold, "s");
    explain_given(e, "D2", p->oxidant_doubling, "s");
    explain_given(e, "c", s->cake, "");
    explain_given(e, "l", s->layer, "");
    explain_given(e, "o", s->biofilm, "");
    explain_given(e, "N", s->scale, "mol");
    explain_given(e, "area", area, "m2");
    explain_given(e, "s", p->scale_halving, "m");
    explain_given(e, "b", p->ageing, "1/s");
    explain_given(e, "t_age", s->age, "s");
    explain_line(e, &(struct explain_line){ "dose of oxidants, as time in 1 mg/L", "D1", "D/0.001",
                                            "s", "wear", NAN });
    const double wa = explain_line(
        e, &(struct explain_line){ "what wear leaves of A", "wA",
                                   "(1 - e*(1 - exp(-t_run/te))) * min(1 + a*max(D1 - D0, 0), 3) / "
                                   "(1 + c + l + o + N*36.93e-6/(area*s))",
                                   "", "wear", wear_flow_factor(p, s, area) });
    const double wb = explain_line(e, &(struct explain_line){ "what wear makes of B", "wB",
                                                              "exp(min(ln(2)*D1/D2 + b*t_age, 7))",
                                                              "", "wear", wear_salt_factor(p, s) });
    explain_close(e, opened);
    explain_given(e, "wA", wa, "");
    explain_given(e, "wB", wb, "");
}

static void explain_permeabilities(struct along_membrane *m)
{
    struct explain *e = m->e;
    explain_given(e, "A25", m->new->water_permeability, "m/(s Pa)");
    explain_given(e, "B25", m->new->salt_permeability, "m/s");
    explain_given(e, "U", m->T < 25.0 ? m->new->water_activation_cold : m->new->water_activation,
                  "K");
    explain_given(e, "Us", m->new->salt_activation, "K");
    explain_line(e, &(struct explain_line){ "permeability of water, worn, at the temperature", "A",
                                            "A25*wA*exp(U*(1/298.15 - 1/T))", "m/(s Pa)", PAGE,
                                            m->worn.water_permeability *
                                                membrane_temperature_factor(m->new, m->T) });
    explain_line(e, &(struct explain_line){ "permeability of NaCl, worn, at the temperature", "B",
                                            "B25*wB*exp(Us*(1/298.15 - 1/T))", "m/s", PAGE,
                                            m->worn.salt_permeability *
                                                membrane_salt_factor(m->new, m->T) });
}

static void explain_channel(struct along_membrane *m)
{
    struct explain *e = m->e;
    const struct membrane *p = m->new;
    const bool series = p->joined == MEMBRANE_SERIES;
    explain_given(e, "e", p->porosity, "");
    explain_given(e, "h", p->spacer, "m");
    explain_given(e, "L", p->path, "m");
    explain_given(e, "area", p->area, "m2");
    explain_given(e, "s", p->leak, "");
    explain_given(e, "x", p->polarization, "");
    explain_given(e, "abreast", series ? 1 : p->elements, "");
    explain_given(e, "row", series ? p->elements : 1, "");
    explain_given(e, "seg", m->segments, "");
    line(e, "hydraulic diameter of the channel", "d", "4*e/(2/h + (1 - e)*8/h)", "m");
    explain_line(e, &(struct explain_line){ "its cross-section", "S", "abreast*area/(2*L)*h*e",
                                            "m2", PAGE, membrane_section(p) });
    line(e, "area of a segment", "as", "area*abreast*row/seg", "m2");
    explain_given(e, "mu25", VISCOSITY_25, "Pa s");
    line(e, "diffusivity of NaCl", "D", "1.61e-9*(T/298.15)*(mu25/mu)", "m2/s");
    line(e, "Schmidt number", "Sc", "mu/(rho*D)", "");
}

/* ---- flow of water ----------------------------------------------------------------------------
 */

static void explain_flux(struct along_membrane *m, int i)
{
    const struct membrane_segment *s = &m->segment[i];
    char name[EXPLAIN_NAME];
    explain_line(m->e, &(struct explain_line){ "B with the leak", "B'", "B + s*J", "m/s", PAGE,
                                               m->worn.salt_permeability *
                                                       membrane_salt_factor(m->new, m->T) +
                                                   m->new->leak * s->flux });
    if (s->drawn < LARGEST_SHARE * s->flow * (1.0 - 1e-9))
        explain_line(m->e, &(struct explain_line){ "flux: the J that agrees with itself", "J",
                                                   "A*(net - Pi/n*cb * J*E/(J + B'*E))", "m/s", PAGE,
                                                   s->flux });
    snprintf(name, sizeof name, "w%d", i + 1);
    explain_line(m->e, &(struct explain_line){ "water drawn through it", name, "as*J", "m3/s", PAGE,
                                               s->drawn });
}

/* What the next segment gets. */
static void go_on(struct along_membrane *m, int i)
{
    static const struct {
        const char *name, *equation, *unit;
    } rows[] = { { "lost", "lost + dP", "Pa" }, { "J0", "J", "m/s" } };
    char salt[SCREEN_CELL], left[SCREEN_CELL];
    double value;
    if (i + 1 == m->segments)
        return;
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        explain_value(m->e, rows[k].equation, &value);
        explain_given(m->e, rows[k].name, value, rows[k].unit);
    }
    snprintf(salt, sizeof salt, "salt - w%d*pass0*cb", i + 1);
    snprintf(left, sizeof left, "q - w%d", i + 1);
    line(m->e, "share of salt that goes through, cp over cb", "pass0", "B'*E/(J + B'*E)", "");
    line(m->e, "ions that go on", "salt", salt, "mol/s");
    explain_line(m->e, &(struct explain_line){ "water that goes on", "q", left, "m3/s", PAGE,
                                               m->segment[i + 1].flow });
}

/* The first has no segment before it: as if the film were not there, a quadratic. */
static void explain_start(struct along_membrane *m)
{
    struct explain *e = m->e;
    explain_words(
        e, "For the first segment the flux before it is that without a film, E = 1: the root "
           "of a2 J^2 + b2 J - c2 = 0.");
    explain_given(e, "lost", 0.0, "Pa");
    explain_given(e, "q", m->feed, "m3/s");
    line(e, "ions that come", "salt", "Q*n", "mol/s");
    line(e, "its parts", "a2", "1 + s", "");
    line(e, "and", "b2", "B + A*(Pi - (P - Pp)*(1 + s))", "m/s");
    line(e, "and", "c2", "A*(P - Pp)*B", "m2/s2");
    line(e, "flux without a film", "J0", "(sqrt(b2^2 + 4*a2*c2) - b2) / (2*a2)", "m/s");
    line(e, "share of salt that would go through", "pass0", "(B + s*J0)/(J0 + B + s*J0)", "");
}

static void explain_segment(struct along_membrane *m, int i)
{
    struct explain *e = m->e;
    const struct membrane_segment *s = &m->segment[i];
    char words[SCREEN_TEXT];
    snprintf(words, sizeof words, "Segment %d of %d.", i + 1, m->segments);
    explain_words(e, words);
    explain_line(e, &(struct explain_line){ "flow at its middle, foreseen from the flux before it",
                                            "qm", "q - min(as*J0, 0.98*q)/2", "m3/s", PAGE,
                                            s->middle });
    explain_line(e, &(struct explain_line){ "its ions there", "cb",
                                            "salt*(q - min(as*J0, 0.98*q)/2*pass0)/(q*qm)",
                                            "mol/m3", PAGE, s->bulk });
    explain_given(e, "J", s->flux, "m/s");
    line(e, "speed", "u", "qm/S", "m/s");
    line(e, "Reynolds number", "Re", "rho*u*d/mu", "");
    explain_line(e, &(struct explain_line){
                        "film: spacer, entry or still, the largest", "k",
                        "x*max(max(0.065*Re^0.875*Sc^0.25, 1.62*(Re*Sc*d/L)^(1/3)) * D/d, D/(h/2))",
                        "m/s", PAGE, 1.0 / s->per_k });
    line(e, "polarization", "E", "exp(J/k)", "");
    line(e, "pressure lost along it", "dP", "6.23*Re^(-0.3)*rho*u^2/(2*d) * row*L/seg", "Pa");
    explain_line(e, &(struct explain_line){ "net pressure: channel at its middle, less permeate",
                                            "net", "P - Pp - lost - dP/2", "Pa", PAGE, s->net });
    explain_flux(m, i);
    go_on(m, i);
}

static void explain_segments(struct along_membrane *m)
{
    struct explain *e = m->e;
    char sum[EXPLAIN_TEXT] = "";
    if (m->segments <= TOLD)
        explain_start(m);
    else
        explain_words(e, "The channel has more segments than are told one by one.");
    for (int i = 0; i < m->segments; i++) {
        char name[EXPLAIN_NAME];
        snprintf(name, sizeof name, "w%d", i + 1);
        if (m->segments <= TOLD)
            explain_segment(m, i);
        else
            explain_given(e, name, m->segment[i].drawn, "m3/s");
        text_append(sum, sizeof sum, "%s%s", i > 0 ? " + " : "", name);
    }
    explain_line(e, &(struct explain_line){ "permeate", "Qp", sum, "m3/s", PAGE, m->made });
}

static void explain_restrictor(struct along_membrane *m)
{
    struct explain *e = m->e;
    const struct plant_pressures *at = &m->t->look->trace.pressure;
    const struct restrictor *r = &m->new->restrictor;
    const int opened = explain_open(e);
    line(e, "speed at the inlet", "u", "Q/S", "m/s");
    line(e, "Reynolds number", "Re", "rho*u*d/mu", "");
    explain_line(e, &(struct explain_line){ "pressure at the end of the channel", "Pc",
                                            "P - 6.23*Re^(-0.3)*rho*u^2/(2*d) * row*L", "Pa", PAGE,
                                            at->concentrate });
    explain_given(e, "open", m->t->look->settings.health.drain_open, "");
    explain_given(e, "Q0", r->flow, "m3/s");
    explain_given(e, "dP0", r->pressure, "Pa");
    explain_given(e, "nr", r->exponent, "");
    explain_given(e, "p", r->viscosity_exponent, "");
    explain_line(e, &(struct explain_line){ "drain: what the restrictor passes", "Qc",
                                            "open*Q0 * (Pc/dP0)^nr * (mu25/mu)^p", "m3/s",
                                            "restrictor", m->drain });
    explain_close(e, opened);
    explain_given(e, "Qc", m->drain, "m3/s");
    explain_line(e, &(struct explain_line){ "feed", "Q", "Qp + Qc", "m3/s", PAGE, m->feed });
    line(e, "recovery, per cent", "recovery", "100*Qp/Q", "");
}

static void explain_flow(struct along_membrane *m)
{
    struct explain *e = m->e;
    const struct plant_trace *r = &m->t->look->trace;
    const int k = m->t->a->plant.membrane;
    explain_given(e, "P", r->pressure.before[k], "Pa");
    explain_given(e, "Pp", r->pressure.before[k + 1], "Pa");
    explain_given(e, "Q", m->feed, "m3/s");
    explain_channel(m);
    if (r->signals.starts > 0.0) {
        explain_words(e,
                      "The shut-off valve opens and shuts meanwhile: no steady point to explain.");
        explain_given(e, "Qp", m->made, "m3/s");
        explain_given(e, "Qc", m->drain, "m3/s");
        return;
    }
    explain_segments(m);
    explain_restrictor(m);
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static void gather(struct along_membrane *m)
{
    const struct plant_trace *r = &m->t->look->trace;
    const int k = m->t->a->plant.membrane;
    const struct parcel *in = &r->water[k];
    struct parcel permeate, drain;
    m->new = &m->t->a->plant.train[k].params.membrane;
    m->state = &m->t->look->before.stage[k].membrane;
    m->worn = membrane_worn(m->new, m->state);
    m->T = in->temperature;
    m->feed = in->volume / in->duration;
    m->made = r->water[k + 1].volume / in->duration;
    m->drain = r->drain.volume / in->duration;
    m->segments = membrane_segments(m->new);
    const struct membrane_point at = { m->feed, r->pressure.before[k], r->pressure.before[k + 1],
                                       m->t->look->after.osmolarity, m->T };
    membrane_walk(&m->worn, &at, m->segment);
    membrane_split_slices(&m->worn, in, r->water[k + 1].volume, &permeate, &drain, m->slice);
}

static void explain_inlet(struct along_membrane *m)
{
    struct explain *e = m->e;
    const struct parcel *in = &m->t->look->trace.water[m->t->a->plant.membrane];
    const double n = m->t->look->after.osmolarity;
    const int opened = explain_open(e);
    explain_words(e, "Constants of acids at the temperature of the water, then its forms.");
    along_explain_acids(e, m->T);
    along_explain_forms(e, in->c, m->T);
    along_explain_osmotic(m->t, m->T, n);
    explain_close(e, opened);
    explain_given(e, "n", n, "mol/m3");
    explain_given(e, "Pi", water_osmotic_pressure(n, m->T), "Pa");
}

void along_explain_membrane(const struct along_told *t)
{
    static struct along_membrane m;
    m = (struct along_membrane){ .e = t->e, .t = t };
    gather(&m);
    explain_title(t->e, "MEMBRANE", "");
    explain_inlet(&m);
    explain_wear(&m);
    explain_permeabilities(&m);
    explain_flow(&m);
    along_explain_salt(&m);
}
