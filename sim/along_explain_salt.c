/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain_salt: the equations of docs/membrane.md for what passes: form by form in the first
 * segment, then the sums over all of them, rejection, concentrate.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along_explain_inner.h"
#include "models/water.h"
#include "screen.h"
#include "text.h"

static const char PAGE[] = "membrane";

static double line(struct explain *e, const char *words, const char *name, const char *equation,
                   const char *unit)
{
    return explain_line(e, &(struct explain_line){ words, name, equation, unit, PAGE, NAN });
}

/* ---- what passes in the first segment ---------------------------------------------------------
 */

/* Of a charged form; neutral ones pass by the same, without the rule. */
struct form {
    const char *symbol;
    int charge;
    double relative, diffusivity; /* m2/s at 25 degC */
    double c;                     /* mol/m3, in the water that comes */
};

enum { FORMS = 16 };

static int list_forms(const struct along_membrane *m, const struct speciation *s,
                      struct form f[FORMS])
{
    const double *c = m->slice[0].c, *rel = m->new->relative;
    int n = 0;
    for (int i = FIRST_CATION; i <= FLUORIDE; i++)
        f[n++] = (struct form){ species[i].symbol, species[i].charge, rel[i],
                                species[i].diffusivity, i == AMMONIUM ? c[i] - s->nh3 : c[i] };
    f[n++] = (struct form){ "HCO3", -1, rel[CARBON], species[CARBON].diffusivity, s->hco3 };
    f[n++] = (struct form){ "CO3", -2, rel[SULFATE], 0.923e-9, s->co3 };
    f[n++] = (struct form){ "H", 1, 1.0, 1.61e-9, s->h };
    f[n++] = (struct form){ "OH", -1, 1.0, 1.61e-9, s->oh };
    for (int i = SILICA; i <= CHLORAMINE; i++)
        f[n++] = (struct form){ species[i].symbol, 0, rel[i], species[i].diffusivity, c[i] };
    int kept = 0;
    for (int i = 0; i < n; i++)
        if (f[i].c > 0.0)
            f[kept++] = f[i];
    return kept;
}

/* As it would come alone: "Na_p". */
static void explain_alone(struct along_membrane *m, const struct form *f)
{
    struct explain *e = m->e;
    char words[SCREEN_CELL], name[EXPLAIN_NAME];
    explain_given(e, "rel", f->relative, "");
    explain_given(e, "D25", f->diffusivity, "m2/s");
    explain_given(e, "c", f->c, "mol/m3");
    snprintf(words, sizeof words, "diffusivity of %s", f->symbol);
    line(e, words, "Di", "D25*D/1.61e-9", "m2/s");
    snprintf(words, sizeof words, "film of %s", f->symbol);
    line(e, words, "k",
         "x*max(max(0.065*Re^0.875 * (mu/(rho*Di))^0.25, 1.62*(Re * mu/(rho*Di) * d/L)^(1/3)) "
         "* Di/d, Di/(h/2))",
         "m/s");
    snprintf(words, sizeof words, "passage of %s, cp over cb", f->symbol);
    line(e, words, "pass", "(rel*B + s*J)*exp(J/k) / (J + (rel*B + s*J)*exp(J/k))", "");
    snprintf(words, sizeof words, "%s in the permeate, taken alone", f->symbol);
    snprintf(name, sizeof name, "%s_p", f->symbol);
    line(e, words, name, "pass*c*(q - w/2*pass)/(q - w/2)", "mol/m3");
}

static void charge_sums(struct along_membrane *m, const struct form f[], int n, const char *tail,
                        const char *words)
{
    for (int sign = 1; sign >= -1; sign -= 2) {
        char sum[EXPLAIN_TEXT] = "", name[EXPLAIN_NAME], about[SCREEN_CELL * 2];
        for (int i = 0; i < n; i++)
            if (f[i].charge * sign > 0)
                text_append(sum, sizeof sum, "%s%d*%s%s", sum[0] ? " + " : "", abs(f[i].charge),
                            f[i].symbol, tail);
        snprintf(name, sizeof name, "%s%s", sign > 0 ? "plus" : "minus", tail);
        snprintf(about, sizeof about, "charge of the %s %s", sign > 0 ? "cations" : "anions",
                 words);
        line(m->e, about, name, sum[0] ? sum : "0", "mol/m3");
    }
}

static void explain_rule(struct along_membrane *m, const struct form f[], int n)
{
    struct explain *e = m->e;
    charge_sums(m, f, n, "_p", "taken alone");
    line(e, "the rule of electroneutrality", "r", "sqrt(minus_p/plus_p)", "");
    for (int i = 0; i < n; i++) {
        char words[SCREEN_CELL], name[EXPLAIN_NAME], text[SCREEN_CELL];
        if (f[i].charge == 0)
            continue;
        explain_given(e, "c", f[i].c, "mol/m3");
        snprintf(words, sizeof words, "%s by that rule, at most what comes", f[i].symbol);
        snprintf(name, sizeof name, "%s_r", f[i].symbol);
        snprintf(text, sizeof text, f[i].charge > 0 ? "min(%s_p*r, c)" : "min(%s_p/r, c)",
                 f[i].symbol);
        line(e, words, name, text, "mol/m3");
    }
    charge_sums(m, f, n, "_r", "by that rule");
}

/* What the model found of a species in the first segment. */
static void explain_found(struct along_membrane *m, const struct form *f)
{
    const double *out = m->slice[0].permeate;
    char words[SCREEN_CELL], name[EXPLAIN_NAME], text[SCREEN_CELL * 2];
    double value = NAN;
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (strcmp(species[i].symbol, f->symbol) == 0 && i != AMMONIUM && i != CARBON)
            value = out[i];
    snprintf(words, sizeof words, "%s in the permeate of the first segment", f->symbol);
    snprintf(name, sizeof name, "%s_s1", f->symbol);
    if (f->charge == 0)
        snprintf(text, sizeof text, "%s_p", f->symbol);
    else
        snprintf(text, sizeof text, "%s_r*min(%s/%s, 1)", f->symbol,
                 f->charge > 0 ? "minus_r" : "plus_r", f->charge > 0 ? "plus_r" : "minus_r");
    explain_line(m->e, &(struct explain_line){ words, name, text, "mol/m3", PAGE, value });
}

static void explain_gases(struct along_membrane *m, const struct speciation *s)
{
    struct explain *e = m->e;
    const double *out = m->slice[0].permeate;
    if (s->co2 > 0.0) {
        explain_given(e, "CO2", s->co2, "mol/m3");
        explain_line(e, &(struct explain_line){ "all carbonic acid there: CO2 passes freely",
                                                "C_s1", "HCO3_s1 + CO3_s1 + CO2", "mol/m3", PAGE,
                                                out[CARBON] });
    }
    if (s->nh3 > 0.0) {
        explain_given(e, "NH3", s->nh3, "mol/m3");
        explain_line(e, &(struct explain_line){ "all ammonia there: NH3 passes freely", "N_s1",
                                                "NH4_s1 + NH3", "mol/m3", PAGE, out[AMMONIUM] });
    }
}

static void explain_first(struct along_membrane *m)
{
    struct explain *e = m->e;
    struct form f[FORMS];
    const struct membrane_slice *s = &m->slice[0];
    const struct speciation forms = water_speciate(s->c, m->T);
    const int n = list_forms(m, &forms, f), opened = explain_open(e);
    explain_words(e,
                  "What passes in the first segment, form by form (docs/membrane.md, What passes); "
                  "the others go alike, each with the water that the one before left.");
    explain_given(e, "q", s->flow, "m3/s");
    explain_given(e, "w", s->drawn, "m3/s");
    line(e, "flux of the first segment", "J", "w/as", "m/s");
    line(e, "Reynolds number at its middle", "Re", "rho*(q - w/2)/S*d/mu", "");
    for (int i = 0; i < n; i++)
        explain_alone(m, &f[i]);
    explain_rule(m, f, n);
    for (int i = 0; i < n; i++)
        explain_found(m, &f[i]);
    explain_gases(m, &forms);
    explain_close(e, opened);
}

/* ---- sums -------------------------------------------------------------------------------------
 */

static void explain_species(struct along_membrane *m, int i)
{
    struct explain *e = m->e;
    const struct plant_trace *r = &m->t->look->trace;
    const int k = m->t->a->plant.membrane;
    char words[SCREEN_CELL * 2], sum[EXPLAIN_TEXT] = "(", name[EXPLAIN_NAME];
    const char *unit = i == SOLIDS ? "kg/m3" : "mol/m3";
    if (!(r->water[k].c[i] > 0.0))
        return;
    for (int j = 0; j < m->segments; j++) {
        snprintf(name, sizeof name, "c%d", j + 1);
        explain_given(e, name, m->slice[j].permeate[i], unit);
        snprintf(name, sizeof name, "w%d", j + 1);
        explain_given(e, name, m->slice[j].drawn, "m3/s");
        text_append(sum, sizeof sum, "%sw%d*c%d", j > 0 ? " + " : "", j + 1, j + 1);
    }
    text_append(sum, sizeof sum, ")/Qp");
    const char *what = i == CARBON     ? "all carbonic acid"
                       : i == AMMONIUM ? "all ammonia"
                                       : species[i].key;
    explain_given(e, "cf", r->water[k].c[i], unit);
    snprintf(words, sizeof words, "%s in the permeate, from what each segment lets pass", what);
    explain_line(e, &(struct explain_line){ words, "cp", sum, unit, PAGE, r->water[k + 1].c[i] });
    snprintf(words, sizeof words, "salt passage of %s", what);
    line(e, words, "SP", "cp/cf", "");
    snprintf(words, sizeof words, "rejection of %s, per cent", what);
    line(e, words, "R", "100*(1 - SP)", "");
    snprintf(words, sizeof words, "%s in the concentrate: feed less permeate", what);
    explain_line(
        e, &(struct explain_line){ words, "cc", "(Q*cf - Qp*cp)/Qc", unit, PAGE, r->drain.c[i] });
}

void along_explain_salt(struct along_membrane *m)
{
    explain_first(m);
    for (int i = 0; i < SALT; i++)
        explain_species(m, i);
}
