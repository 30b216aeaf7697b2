/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain_water: the equations of docs/water.md: density, acids and pH, conductivity, the
 * meter, osmotic pressure.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along_explain.h"
#include "models/water.h"
#include "text.h"

static const char PAGE[] = "water";
static const double LAMBDA = 1e4; /* S m2/mol to S cm2/mol */

static double line(struct explain *e, const char *words, const char *name, const char *equation,
                   const char *unit)
{
    return explain_line(e, &(struct explain_line){ words, name, equation, unit, PAGE, NAN });
}

/* With what the model has. */
static double model(struct explain *e, const char *words, const char *name, const char *equation,
                    double value)
{
    return explain_line(e, &(struct explain_line){ words, name, equation, "mol/m3", PAGE, value });
}

void along_explain_water(struct explain *e, double temperature)
{
    explain_given(e, "t", temperature, "degC");
    line(e, "absolute temperature", "T", "t + 273.15", "K");
    explain_line(e, &(struct explain_line){
                        "density", "rho",
                        "(999.83952 + 16.945176*t - 7.9870401e-3*t^2 - 46.170461e-6*t^3 + "
                        "105.56302e-9*t^4 - 280.54253e-12*t^5) / (1 + 16.879850e-3*t)",
                        "kg/m3", PAGE, water_density(temperature) });
    line(e, "temperature over 300 K", "Tb", "T/300", "");
    explain_line(e, &(struct explain_line){
                        "viscosity", "mu",
                        "1e-6 * (280.68*Tb^(-1.9) + 511.45*Tb^(-7.7) + 61.131*Tb^(-19.6) + "
                        "0.45903*Tb^(-40))",
                        "Pa s", PAGE, water_viscosity(temperature) });
}

/* ---- acids ------------------------------------------------------------------------------------
 */

static void water_product(struct explain *e)
{
    line(e, "density, kg/L", "d",
         "(999.83952 + 16.945176*t - 7.9870401e-3*t^2 - 46.170461e-6*t^3 + 105.56302e-9*t^4 - "
         "280.54253e-12*t^5) / (1 + 16.879850e-3*t) / 1000",
         "kg/L");
    line(e, "for the ionic product of water", "Z",
         "d*exp(-0.702132 + 8681.05/T - 24145.1*d^(2/3)/T^2)", "");
    line(e, "ionic product of water", "logKw",
         "12*(log10(1 + Z) - Z/(Z + 1)*d*(0.813876 - 51.4471/T - 0.46992*d)) - (0.61415 + "
         "48251.33/T - 67707.93/T^2 + 10102100/T^3) - 2*log10(0.018015268/d)",
         "");
}

void along_explain_acids(struct explain *e, double temperature)
{
    explain_given(e, "t", temperature, "degC");
    line(e, "absolute temperature", "T", "t + 273.15", "K");
    water_product(e);
    line(e, "carbonic acid, first step", "logK1",
         "-356.3094 - 0.06091964*T + 21834.37/T + 126.8339*log10(T) - 1684915/T^2", "");
    line(e, "second step", "logK2",
         "-107.8871 - 0.03252849*T + 5151.79/T + 38.92561*log10(T) - 563713.9/T^2", "");
    line(e, "ammonium", "logKnh4", "-(0.09018 + 2729.92/T)", "");
    explain_given(e, "logKsi", -9.83, "");
    line(e, "permittivity of water", "eps", "60954/(T + 116) - 68.937", "");
    line(e, "Davies' constant", "A_D", "1.82e6*(eps*T)^(-1.5)", "");
}

/* ---- a water ----------------------------------------------------------------------------------
 */

/* Strong ions by their symbols, in the order of the sums. */
static const int strong[] = { SODIUM,   POTASSIUM, CALCIUM, MAGNESIUM,
                              CHLORIDE, SULFATE,   NITRATE, FLUORIDE };

enum { STRONG = sizeof strong / sizeof strong[0] };

/* "Na + 2*Ca" of what is there, of one sign or of both, each by `weight`. */
static void add_ions(const double c[], int sign, int (*weight)(int z), char out[EXPLAIN_TEXT])
{
    for (int k = 0; k < STRONG; k++) {
        const int i = strong[k], z = species[i].charge, w = weight(abs(z));
        if (z * sign < 0 || !(c[i] > 0.0))
            continue;
        if (w == 1)
            text_append(out, EXPLAIN_TEXT, "%s%s", out[0] ? " + " : "", species[i].symbol);
        else
            text_append(out, EXPLAIN_TEXT, "%s%d*%s", out[0] ? " + " : "", w, species[i].symbol);
    }
}

static int once(int z)
{
    (void)z;
    return 1;
}

static int by_charge(int z)
{
    return z;
}

static int by_square(int z)
{
    return z * z;
}

static void add(char out[EXPLAIN_TEXT], const char *words)
{
    text_append(out, EXPLAIN_TEXT, "%s%s", out[0] ? " + " : "", words);
}

/* Weak ones and water's own. */
static void add_weak(const double c[], int sign, int co3, char out[EXPLAIN_TEXT])
{
    char divalent[16];
    snprintf(divalent, sizeof divalent, co3 == 1 ? "CO3" : "%d*CO3", co3);
    if (sign >= 0)
        add(out, "h");
    if (sign >= 0 && c[AMMONIUM] > 0.0)
        add(out, "NH4");
    if (sign <= 0)
        add(out, "OH");
    if (sign <= 0 && c[CARBON] > 0.0) {
        add(out, "HCO3");
        add(out, divalent);
    }
    if (sign <= 0 && c[SILICA] > 0.0)
        add(out, "H3SiO4");
}

static void take_totals(struct explain *e, const double c[])
{
    for (int k = 0; k < STRONG; k++)
        explain_given(e, species[strong[k]].symbol, c[strong[k]], "mol/m3");
    explain_given(e, "C", c[CARBON], "mol/m3");
    explain_given(e, "N", c[AMMONIUM], "mol/m3");
    explain_given(e, "Si", c[SILICA], "mol/m3");
}

static void constants(struct explain *e, const double c[])
{
    line(e, "activity of an ion of one charge", "g1",
         "10^(-A_D*(sqrt(min(I/1000, 0.5))/(1 + sqrt(min(I/1000, 0.5))) - 0.3*min(I/1000, 0.5)))",
         "");
    line(e, "water, on concentrations", "kw", "1e6*10^logKw/g1^2", "(mol/m3)2");
    if (c[CARBON] > 0.0) {
        line(e, "carbonic acid", "k1", "1000*10^logK1/g1^2", "mol/m3");
        line(e, "its second step, g2 = g1^4", "k2", "1000*10^logK2/g1^4", "mol/m3");
    }
    if (c[SILICA] > 0.0)
        line(e, "silicic acid", "ksi", "1000*10^logKsi/g1^2", "mol/m3");
    if (c[AMMONIUM] > 0.0)
        line(e, "ammonium", "knh4", "1000*10^logKnh4", "mol/m3");
}

static void weak_forms(struct explain *e, const double c[], const struct speciation *s)
{
    model(e, "hydroxide", "OH", "kw/h", s->oh);
    if (c[CARBON] > 0.0) {
        model(e, "carbon dioxide", "CO2", "C*h^2/(h^2 + k1*h + k1*k2)", s->co2);
        model(e, "bicarbonate", "HCO3", "C*k1*h/(h^2 + k1*h + k1*k2)", s->hco3);
        model(e, "carbonate", "CO3", "C*k1*k2/(h^2 + k1*h + k1*k2)", s->co3);
    }
    if (c[SILICA] > 0.0)
        model(e, "silicate", "H3SiO4", "Si*ksi/(h + ksi)", s->h3sio4);
    if (c[AMMONIUM] > 0.0) {
        model(e, "ammonia", "NH3", "N*knh4/(h + knh4)", s->nh3);
        line(e, "ammonium", "NH4", "N*h/(h + knh4)", "mol/m3");
    }
}

static void sums(struct explain *e, const double c[], const struct speciation *s)
{
    char plus[EXPLAIN_TEXT] = "", minus[EXPLAIN_TEXT] = "", all[EXPLAIN_TEXT] = "",
         strength[EXPLAIN_TEXT + 8];
    add_ions(c, 1, by_charge, plus);
    add_weak(c, 1, 2, plus);
    add_ions(c, -1, by_charge, minus);
    add_weak(c, -1, 2, minus);
    line(e, "charge of the cations", "plus", plus, "mol/m3");
    line(e, "charge of the anions: the same, that is how h was found", "minus", minus, "mol/m3");
    add_ions(c, 0, by_square, all);
    add_weak(c, 0, 4, all);
    snprintf(strength, sizeof strength, "(%s) / 2", all);
    model(e, "ionic strength: that from which the constants were taken", "I", strength,
          s->ionic_strength);
}

void along_explain_forms(struct explain *e, const double c[], double temperature)
{
    const struct speciation s = water_speciate(c, temperature);
    take_totals(e, c);
    explain_given(e, "I", s.ionic_strength, "mol/m3");
    explain_given(e, "h", s.h, "mol/m3");
    constants(e, c);
    explain_line(e, &(struct explain_line){ "pH", "pH", "-log10(g1*h/1000)", "", PAGE, s.ph });
    weak_forms(e, c, &s);
    sums(e, c, &s);
}

/* ---- conductivity -----------------------------------------------------------------------------
 */

/* Equivalents, conductance and charge of one side: "m_c", "G_c", "z_c", "L_c". */
static void side(struct explain *e, const double c[], int sign, const char *tail, const char *words)
{
    char eq[EXPLAIN_TEXT] = "", g[EXPLAIN_TEXT] = "", z[EXPLAIN_TEXT] = "", name[EXPLAIN_NAME],
         text[EXPLAIN_TEXT + 32], about[80];
    add_ions(c, sign, by_charge, eq);
    add_weak(c, sign, 2, eq);
    add_ions(c, sign, by_square, z);
    add_weak(c, sign, 4, z);
    for (int k = 0; k < STRONG; k++) {
        const int i = strong[k];
        if (species[i].charge * sign < 0 || !(c[i] > 0.0))
            continue;
        snprintf(text, sizeof text, "%.8g*%d*%s", LAMBDA * species[i].conductance,
                 abs(species[i].charge), species[i].symbol);
        add(g, text);
    }
    if (sign > 0) {
        add(g, "349.65*h");
        if (c[AMMONIUM] > 0.0)
            add(g, "73.5*NH4");
    } else {
        add(g, "198*OH");
        if (c[CARBON] > 0.0)
            add(g, "44.5*HCO3 + 69.3*2*CO3");
        if (c[SILICA] > 0.0)
            add(g, "35*H3SiO4");
    }
    snprintf(name, sizeof name, "m%s", tail);
    snprintf(about, sizeof about, "%s, equivalents", words);
    line(e, about, name, eq, "meq/L");
    snprintf(name, sizeof name, "G%s", tail);
    snprintf(about, sizeof about, "%s, conductance (docs/species.md) times equivalents", words);
    line(e, about, name, g, "uS/cm");
    snprintf(name, sizeof name, "L%s", tail);
    snprintf(text, sizeof text, "G%s/m%s", tail, tail);
    line(e, "the same per equivalent", name, text, "S cm2/eq");
    snprintf(name, sizeof name, "z%s", tail);
    snprintf(text, sizeof text, "(%s) / m%s", z, tail);
    line(e, "mean charge", name, text, "");
}

static void rossum(struct explain *e, double value)
{
    line(e, "Rossum's q", "q", "za*zc*(La + Lc)/((za + zc)*(zc*La + za*Lc))", "");
    line(e, "mean of both sides", "m", "(mc + ma) / 2", "meq/L");
    line(e, "taken off by interaction", "off",
         "(2*q*za*zc*(La + Lc)/(115.2*(za + zc)*(1 + sqrt(q))) + 0.668) * ((za + zc)*m)^1.5",
         "uS/cm");
    double off, kappa0;
    explain_value(e, "off", &off);
    explain_value(e, "Gc + Ga", &kappa0);
    explain_line(e, &(struct explain_line){ "conductivity by Rossum", "kR",
                                            off <= 0.25 * kappa0
                                                ? "Gc + Ga - off"
                                                : "(Gc + Ga)*0.5625/(0.5 + off/(Gc + Ga))",
                                            "uS/cm", PAGE, value });
}

void along_explain_meter(const struct along_told *t, const struct along_point *p)
{
    struct explain *e = t->e;
    const double *c = p->water->c;
    const struct speciation s = water_speciate(c, 25.0);
    const struct meter *meter = &t->a->plant.meter;
    side(e, c, 1, "c", "cations");
    side(e, c, -1, "a", "anions");
    rossum(e, LAMBDA * water_conductivity_rossum(c, &s));
    line(e, "activity factor of the other rule, I in mol/L", "y",
         "10^(-0.5*(sqrt(min(I/1000, 0.5))/(1 + sqrt(min(I/1000, 0.5))) - 0.3*min(I/1000, 0.5)))",
         "");
    explain_line(e, &(struct explain_line){ "conductivity by Standard Methods 2510", "kS",
                                            "(Gc + Ga)*y^2", "uS/cm", PAGE,
                                            LAMBDA * water_conductivity_2510(c, &s) });
    line(e, "share of calcium and magnesium among the cations", "hard", "2*(Ca + Mg)/mc", "");
    explain_line(e, &(struct explain_line){ "conductivity at 25 degC", "kappa",
                                            "(1 - hard)*kR + hard*kS", "uS/cm", PAGE,
                                            LAMBDA * p->conductivity });
    explain_given(e, "f", 0.1 * meter->factor, "ppm per uS/cm");
    explain_given(e, "r", 1e3 * meter->resolution, "ppm");
    explain_line(e,
                 &(struct explain_line){ "what the pocket meter shows", "shown",
                                         meter->resolution > 0.0 ? "r*round(f*kappa/r)" : "f*kappa",
                                         "ppm", PAGE, 1e3 * p->shown });
}

/* ---- osmotic pressure -------------------------------------------------------------------------
 */

void along_explain_osmotic(const struct along_told *t, double temperature, double osmolarity)
{
    struct explain *e = t->e;
    const struct parcel *w = &t->look->trace.water[t->a->plant.membrane];
    char all[EXPLAIN_TEXT] = "";
    add_ions(w->c, 0, once, all);
    add_weak(w->c, 0, 1, all);
    model(e, "ions in the water at the membrane", "n", all, osmolarity);
    line(e, "as sodium chloride, per m3 of water", "c", "(n/2) / (1 - min(17e-6*n/2, 0.5))",
         "mol/m3");
    line(e, "the same per kg", "m", "c/rho", "mol/kg");
    line(e, "osmotic coefficient", "phi",
         "1 - 0.3915*sqrt(m)/(1 + 1.2*sqrt(m)) + m*(0.0765 + 0.2664*exp(-2*sqrt(m))) + "
         "0.00127*m^2",
         "");
    explain_line(e, &(struct explain_line){ "osmotic pressure of the feed", "Pi",
                                            "phi*2*c*8.314462618*T", "Pa", PAGE,
                                            water_osmotic_pressure(osmolarity, temperature) });
}
