/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain_beds: the equations of docs/sediment.md, docs/carbon.md, docs/pump.md and
 * docs/resin.md with the numbers of a stage.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along_explain.h"
#include "models/water.h"
#include "screen.h"
#include "text.h"

static const double VISCOSITY_20 = 1.0015672646e-3, VISCOSITY_25 = 8.8999677368e-4; /* Pa s */

static const double UNITS_SEEN = 30.0; /* beyond, exp(-N) is nothing */

/* One stage of a moment. */
struct bed {
    struct explain *e;
    const struct stage *stage;
    const union stage_state *before, *after;
    const struct parcel *in, *out;
    double pressure, behind; /* Pa */
    double flow, mean;       /* m3/s as the parcel has it; by which the pressures are */
    bool runs;               /* a pump */
    const char *page;
};

static double line(const struct bed *b, const char *words, const char *name, const char *equation,
                   const char *unit)
{
    return explain_line(b->e, &(struct explain_line){ words, name, equation, unit, b->page, NAN });
}

static void explain_sediment(const struct bed *b)
{
    const struct sediment *p = &b->stage->params.sediment;
    struct explain *e = b->e;
    explain_given(e, "a", p->resistance, "Pa s/m3");
    explain_given(e, "mu20", VISCOSITY_20, "Pa s");
    explain_given(e, "M", b->before->sediment.mass, "kg");
    explain_given(e, "Mcap", p->capacity, "kg");
    explain_line(b->e, &(struct explain_line){ "pressure lost", "dP",
                                               "a*Q*(mu/mu20) / (1 - min(M/Mcap, 0.97))^2", "Pa",
                                               b->page, b->pressure - b->behind });
    explain_given(e, "Q", b->flow, "m3/s");
    if (!(b->in->c[SOLIDS] > 0.0))
        return;
    explain_given(e, "eta", p->capture, "");
    explain_given(e, "C", b->in->c[SOLIDS], "kg/m3");
    explain_given(e, "dV", b->in->volume, "m3");
    line(b, "solids kept of a minute of water", "dM", "min(eta*C*dV, max(Mcap - M, 0))", "kg");
    explain_line(b->e, &(struct explain_line){ "solids behind it", "C2", "C - dM/dV", "kg/m3",
                                               b->page, b->out->c[SOLIDS] });
}

static double left(const struct bed *b)
{
    double sum = 0.0;
    for (int i = 0; i < b->stage->params.carbon.cells; i++)
        sum += b->after->carbon.left[i];
    return sum / b->stage->params.carbon.cells;
}

static void explain_oxidant(const struct bed *b, enum species i, double rate, const char *words)
{
    struct explain *e = b->e;
    char text[SCREEN_CELL * 2], behind[EXPLAIN_NAME];
    explain_given(e, "k20", rate, "1/s");
    snprintf(text, sizeof text, "rate of %s at the temperature of the water", words);
    line(b, text, "k", "k20*exp(-E_R*(1/T - 1/293.15))", "1/s");
    explain_given(e, species[i].symbol, b->in->c[i], "mol/m3");
    snprintf(behind, sizeof behind, "%s_2", species[i].symbol);
    snprintf(text, sizeof text, "%s*exp(-k*tau*u)", species[i].symbol);
    explain_line(b->e,
                 &(struct explain_line){ words, behind, text, "mol/m3", b->page, b->out->c[i] });
}

static void explain_carbon(const struct bed *b)
{
    const struct carbon *p = &b->stage->params.carbon;
    struct explain *e = b->e;
    const double *in = b->in->c;
    explain_given(e, "a", p->resistance, "Pa s/m3");
    explain_given(e, "mu20", VISCOSITY_20, "Pa s");
    explain_line(b->e, &(struct explain_line){ "pressure lost", "dP", "a*Q*mu/mu20", "Pa", b->page,
                                               b->pressure - b->behind });
    explain_given(e, "Q", b->flow, "m3/s");
    explain_given(e, "V", p->volume, "m3");
    explain_line(b->e,
                 &(struct explain_line){ "empty-bed contact time", "tau", "V/Q", "s", b->page,
                                         carbon_contact_time(p, b->in->volume / b->in->duration) });
    if (!(in[CHLORINE] + in[CHLORAMINE] > 0.0))
        return;
    explain_given(e, "E_R", p->activation, "K");
    explain_given(e, "u", left(b), "");
    explain_words(e, "u is the share of its sites that is left, E_R the activation E/R.");
    char more[EXPLAIN_TEXT] = "Cl";
    explain_given(e, "Cl", in[CHLORIDE], "mol/m3");
    if (in[CHLORINE] > 0.0) {
        explain_oxidant(b, CHLORINE, p->chlorine_rate, "free chlorine behind it");
        text_append(more, sizeof more, " + Cl2 - Cl2_2");
    }
    if (in[CHLORAMINE] > 0.0) {
        explain_oxidant(b, CHLORAMINE, p->chloramine_rate, "monochloramine behind it");
        text_append(more, sizeof more, " + NH2Cl - NH2Cl_2");
    }
    explain_line(b->e, &(struct explain_line){ "chloride behind it", "Cl_2", more, "mol/m3",
                                               b->page, b->out->c[CHLORIDE] });
    if (!(in[CHLORAMINE] > 0.0))
        return;
    explain_given(e, "N", in[AMMONIUM], "mol/m3");
    explain_given(e, "f", p->ammonia_share, "");
    explain_line(b->e, &(struct explain_line){ "ammonia behind it, all forms", "N_2",
                                               "N + f*(NH2Cl - NH2Cl_2)", "mol/m3", b->page,
                                               b->out->c[AMMONIUM] });
}

static void explain_pump(const struct bed *b)
{
    const struct pump *p = &b->stage->params.pump;
    struct explain *e = b->e;
    if (!b->runs) {
        explain_words(e, "It stands: water runs through.");
        return;
    }
    explain_given(e, "Pin", b->pressure, "Pa");
    explain_given(e, "dP0", p->shut_head, "Pa");
    explain_given(e, "Q0", p->open_flow, "m3/s");
    explain_given(e, "Pbypass", p->bypass, "Pa");
    if (b->pressure < p->cut_out)
        explain_words(e, "Its inlet is below its cut-out: it adds nothing.");
    else
        explain_line(b->e, &(struct explain_line){ "pressure added", "dP",
                                                   "max(min(dP0*(1 - Q/Q0), Pbypass - Pin), 0)",
                                                   "Pa", b->page, b->behind - b->pressure });
}

/* ---- resin ------------------------------------------------------------------------------------
 */

static void explain_use(const struct bed *b, bool cations)
{
    const struct resin *p = &b->stage->params.resin;
    struct explain *e = b->e;
    const double sites = cations ? resin_cation_sites(p) : resin_anion_sites(p);
    char sum[EXPLAIN_TEXT] = "", name[EXPLAIN_NAME], text[96];
    double used = 0.0;
    if (!(sites > 0.0))
        return;
    explain_given(e, "share", cations ? p->cation_share : 1.0 - p->cation_share, "");
    explain_given(e, "Qr", cations ? p->cation_capacity : p->anion_capacity, "mol/m3");
    explain_line(b->e, &(struct explain_line){ cations ? "sites of the cation resin"
                                                       : "sites of the anion resin",
                                               "S", "packing*V*share*Qr", "mol", b->page, sites });
    for (int i = cations ? FIRST_CATION : FIRST_ANION; i <= (cations ? LAST_CATION : LAST_ANION);
         i++) {
        snprintf(name, sizeof name, "held_%s", species[i].symbol);
        explain_given(e, name, resin_held(p, &b->before->resin, (enum species)i), "mol");
        text_append(sum, sizeof sum, "%s%d*%s", sum[0] ? " + " : "(", abs(species[i].charge), name);
        used += resin_share(p, &b->before->resin, (enum species)i);
    }
    text_append(sum, sizeof sum, ")/S");
    snprintf(text, sizeof text,
             "share of these sites that is used; HCO3 is all carbonic acid, "
             "SiO2 all silica");
    explain_line(b->e, &(struct explain_line){ text, cations ? "used_cation" : "used_anion", sum,
                                               "", b->page, used });
}

/* The main way alone, by the bed's own function. */
static void main_way(const struct bed *b, struct parcel *out)
{
    struct resin p = b->stage->params.resin;
    static struct resin_state s;
    s = b->before->resin;
    *out = *b->in;
    out->volume *= 1.0 - p.short_flow;
    p.short_flow = 0.0;
    resin_carry(&p, &s, out);
}

static void explain_film(const struct bed *b, int i, const struct speciation *forms)
{
    const struct resin *p = &b->stage->params.resin;
    struct explain *e = b->e;
    char words[SCREEN_CELL * 2];
    if (!(b->in->c[i] > 0.0))
        return;
    explain_given(e, "D25", species[i].diffusivity, "m2/s");
    explain_given(e, "share", species[i].charge > 0 ? p->cation_share : 1.0 - p->cation_share, "");
    if (i == CARBON) {
        explain_given(e, "CO2", forms->co2, "mol/m3");
        explain_given(e, "C", b->in->c[CARBON], "mol/m3");
        line(b, "diffusivity of carbon, partly as CO2", "Di",
             "D25*(T/298.15)*(mu25/mu)*(1 + (1.91/1.185 - 1)*CO2/C)", "m2/s");
    } else {
        snprintf(words, sizeof words, "diffusivity of %s", species[i].key);
        line(b, words, "Di", "D25*(T/298.15)*(mu25/mu)", "m2/s");
    }
    line(b, "its film", "k", "film*1.09/eps * (u*d/Di)^(1/3) * Di/d", "m/s");
    const double units = line(b, "transfer units of its whole bed", "Nt",
                              "k*6*(1 - voids)/d * packing*V*share*(1 - fs) / (Q*(1 - f))", "");
    if (units < UNITS_SEEN)
        line(b, "share that a fresh bed would let past", "past", "exp(-Nt)", "");
}

static void explain_mixing(const struct bed *b, int i, const struct parcel *way)
{
    struct explain *e = b->e;
    char words[SCREEN_CELL * 2], first[EXPLAIN_NAME], second[EXPLAIN_NAME], text[SCREEN_CELL * 2];
    if (!(b->in->c[i] > 0.0))
        return;
    snprintf(first, sizeof first, "%s_1", species[i].symbol);
    snprintf(second, sizeof second, "%s_2", species[i].symbol);
    explain_given(e, species[i].symbol, b->in->c[i], "mol/m3");
    explain_given(e, first, way->c[i], "mol/m3");
    snprintf(words, sizeof words, "%s behind it: that of the bed, and what passes beside it",
             species[i].key);
    snprintf(text, sizeof text, "(1 - f)*%s + f*%s", first, species[i].symbol);
    explain_line(b->e,
                 &(struct explain_line){ words, second, text, "mol/m3", b->page, b->out->c[i] });
}

static void explain_resin(const struct bed *b)
{
    const struct resin *p = &b->stage->params.resin;
    struct explain *e = b->e;
    explain_given(e, "V", p->volume, "m3");
    explain_given(e, "L", p->depth, "m");
    explain_given(e, "d", p->bead, "m");
    explain_given(e, "packing", p->packing, "");
    explain_given(e, "voids", p->voids, "");
    explain_given(e, "film", p->film, "");
    explain_given(e, "f", p->short_flow, "");
    explain_given(e, "fs", p->short_resin, "");
    explain_given(e, "mu25", VISCOSITY_25, "Pa s");
    line(b, "voids of the bed as filled", "eps", "1 - packing*(1 - voids)", "");
    line(b, "superficial velocity", "u", "Q/(V/L)", "m/s");
    explain_line(b->e,
                 &(struct explain_line){
                     "pressure lost (Ergun)", "dP",
                     "L*(150*mu*(1 - eps)^2*u/(eps^3*d^2) + 1.75*(1 - eps)*rho*u^2/(eps^3*d))",
                     "Pa", b->page, b->pressure - b->behind });
    explain_given(e, "Q", b->flow, "m3/s");
    explain_use(b, true);
    explain_use(b, false);
    line(b, "velocity past the main way", "u", "Q*(1 - f)/((V/L)*(1 - fs))", "m/s");
    const struct speciation forms = water_speciate(b->in->c, b->in->temperature);
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        explain_film(b, i, &forms);
    if (p->short_resin > 0.0)
        return;
    struct parcel way;
    main_way(b, &way);
    explain_words(e,
                  "What leaves the main way (_1) follows cell by cell from film, beads and the pH "
                  "that both resins share: docs/resin.md, not by hand.");
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        explain_mixing(b, i, &way);
}

/* ---- any of them ------------------------------------------------------------------------------
 */

static void put_title(const struct bed *b)
{
    char title[2 * NAME_MAX_LENGTH + 64], name[4 * SCREEN_CELL];
    snprintf(title, sizeof title, "%.*s (%s)", NAME_MAX_LENGTH,
             text_escape(b->stage->name, name, sizeof name), b->stage->kind->title);
    explain_title(b->e, title, "");
}

/* Behind the membrane of a plant whose shut-off valve cycles they differ. */
static void set_flows(struct bed *b, const struct along_told *t, int k)
{
    const struct signals *s = &t->look->trace.signals;
    b->flow = b->mean = b->in->volume / b->in->duration;
    if (s->starts > 0.0 && t->a->plant.membrane >= 0 && k > t->a->plant.membrane) {
        b->mean = s->product_flow;
        explain_words(b->e, "Its pressure is that of the mean flow over the cycles of the shut-off "
                            "valve, all else that of the flow while it is open.");
    }
    explain_given(b->e, "Q", b->mean, "m3/s");
}

void along_explain_beds(const struct along_told *t, int k)
{
    static const struct {
        const struct stage_kind *kind;
        void (*explain)(const struct bed *b);
        const char *page;
    } rows[] = { { &stage_sediment, explain_sediment, "sediment" },
                 { &stage_carbon, explain_carbon, "carbon" },
                 { &stage_pump, explain_pump, "pump" },
                 { &stage_resin, explain_resin, "resin" } };
    const struct plant_trace *r = &t->look->trace;
    const double *before = r->pressure.before;
    struct bed b = { .e = t->e,
                     .stage = &t->a->plant.train[k],
                     .before = &t->look->before.stage[k],
                     .after = &t->look->after.stage[k],
                     .in = &r->water[k],
                     .out = &r->water[k + 1],
                     .pressure = before[k],
                     .behind = before[k + 1],
                     .runs = before[k + 1] > before[k] };
    put_title(&b);
    set_flows(&b, t, k);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].kind == b.stage->kind) {
            b.page = rows[i].page;
            rows[i].explain(&b);
        }
}
