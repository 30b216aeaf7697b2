# SPDX-License-Identifier: GPL-3.0-or-later
#
# Water, membrane and evaporation: docs/water.md, docs/membrane.md, docs/basin.md, docs/scaling.md.
import math

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from peer import (CHARGE, NAMES, R, Water, density, diffusivity, flat, osmotic_pressure,
                  random_water, vapour, viscosity)

PASSAGE = dict(sodium=1.0, potassium=1.1, calcium=0.4, magnesium=0.4, chloride=1.0, sulfate=0.25,
               nitrate=2.5, fluoride=1.1, silica=1.4)


# ---- water --------------------------------------------------------------------------------------

def calcite(water, c=None):
    T = water.t + 273.15
    K = -171.9065 - 0.077993 * T + 2839.319 / T + 71.595 * math.log10(T)
    return math.log10(water.g2**2 * 1e-6 * water.c["calcium"] * water.co3) - K


def excess(c, t):
    """Calcite that brings a water down to saturation."""
    def over(x):
        less = dict(c, calcium=c["calcium"] - x, carbon=c["carbon"] - x)
        return calcite(Water(less, t))
    top = 0.999999 * min(c["calcium"], c["carbon"])
    return 0.0 if over(0.0) <= 0.0 else brentq(over, 0.0, top, xtol=1e-13)


def water(probe, table, rng):
    t = np.linspace(0.0, 50.0, 101)
    said = np.array([probe("pure", x) for x in t])
    for i, (name, law) in enumerate((("density", density), ("viscosity", viscosity),
                                     ("vapour pressure", vapour))):
        table.hold("water: " + name, [law(x) for x in t], said[:, i], 1e-13)
    waters = [(random_water(rng, 1.0, rng.uniform(0.2, 1.03)), rng.uniform(0.0, 40.0)) for _ in range(200)]
    said = np.array([probe("speciate", t, flat(c)) for c, t in waters])
    mine = [Water(c, t) for c, t in waters]
    table.hold("carbonates: pH", [w.pH for w in mine], said[:, 0], 1e-8, relative=False)
    table.hold("carbonates: free CO2", [w.co2 for w in mine], said[:, 5], 1e-8)
    table.hold("carbonates: CO3--", [w.co3 for w in mine], said[:, 7], 1e-8)
    table.hold("osmolarity", [w.osmolarity() for w in mine], said[:, 2], 1e-9)
    table.hold("osmotic pressure", [osmotic_pressure(w.osmolarity(), w.t) for w in mine],
               [probe("osmotic", w.osmolarity(), w.t)[0] for w in mine], 1e-9)
    table.hold("conductivity", [w.conductivity() for w in mine], said[:, 3], 1e-9)
    table.hold("calcite: index", [calcite(w) for w in mine], said[:, 8], 1e-8, relative=False)
    hard = [(random_water(rng, 3.0, rng.uniform(0.9, 1.05)), rng.uniform(0.0, 40.0)) for _ in range(60)]
    left = [(excess(c, t), probe("speciate", t, flat(c))[9]) for c, t in hard]
    table.hold("calcite: hard waters without excess", sum(a == 0.0 for a, _ in left),
               sum(b == 0.0 for _, b in left), 0, relative=False)
    left = [pair for pair in left if pair[0] > 0.0]
    table.hold("calcite: excess", [a for a, _ in left], [b for _, b in left], 1e-5)


# ---- evaporation --------------------------------------------------------------------------------

def evaporation_of(tw, ta, humidity, v):
    P, pw, pr = 101325.0, vapour(tw), humidity * vapour(ta)
    W = lambda p: 0.621945 * p / (P - p)
    dry = lambda p, t: (P - p) / (287.042 * (t + 273.15))
    rw, rr = dry(pw, tw), dry(pr, ta)
    natural = 35 * rw * max(rr - rw, 0.0)**(1 / 3) * (W(pw) - W(pr))
    forced = 5e-5 * (pw - pr)
    S = (natural if abs(natural) > abs(forced) else forced) / 3600
    carrier = lambda u: 0.74 * (0.0885 + 0.0779 * u) * (pw - pr) / 1000 / (2501 - 2.381 * tw)
    if v >= 0.1:
        return carrier(v)
    x, M = v / 0.1, carrier(0.1)
    return S + x**2 * ((3 - 2 * x) * (M - S) - (1 - x) * (M - carrier(0.0)))


def evaporation(probe, table, rng):
    rooms = [(rng.uniform(5, 40), rng.uniform(5, 40), rng.uniform(0.05, 1.0),
              rng.choice([0.0, rng.uniform(0, 0.1), rng.uniform(0.1, 2)])) for _ in range(1000)]
    mine = np.array([evaporation_of(*r) for r in rooms])
    said = np.array([probe("evaporation", *r)[0] for r in rooms])
    table.hold("evaporation, mm/day", 86400 * mine, 86400 * said, 1e-9, relative=False)


# ---- membrane -----------------------------------------------------------------------------------

class Membrane:
    """A channel as an integral along its length, by DOP853; each flux by Brent's method."""

    numbers = dict(area=0.42, path=0.25, spacer=5e-4, porosity=0.9, A=2.515e-11, B=8.265e-8,
                   leak=0.002, U=2640.0, U_cold=3020.0, Us=3490.0, film=1.0)

    def __init__(self, t, n, **other):
        self.__dict__.update(self.numbers)
        self.__dict__.update(other)
        T = t + 273.15
        self.t, self.n = t, n
        self.At = self.A * math.exp((self.U if t >= 25 else self.U_cold) * (1 / 298.15 - 1 / T))
        self.Bt = self.B * math.exp(self.Us * (1 / 298.15 - 1 / T))
        self.mu, self.rho = viscosity(t), density(t)
        self.d = 4 * self.porosity / (2 / self.spacer + (1 - self.porosity) * 8 / self.spacer)
        self.section = self.area / (2 * self.path) * self.spacer * self.porosity
        self.pi_n = osmotic_pressure(n, t) / n

    def row(self, segments):
        return [getattr(self, k) for k in self.numbers] + [segments]

    def film_of(self, q, D):
        Re, Sc = self.rho * q / self.section * self.d / self.mu, self.mu / (self.rho * D)
        return self.film * max(0.065 * Re**0.875 * Sc**0.25 * D / self.d,
                               1.62 * (Re * Sc * self.d / self.path)**(1 / 3) * D / self.d,
                               D / (self.spacer / 2))

    def flux(self, drive, pi, k):
        def f(J):
            E = math.exp(J / k)
            return self.At * (drive - pi * J * E / (J + (self.Bt + self.leak * J) * E)) - J
        return brentq(f, 1e-18, self.At * drive * 1.000001, xtol=1e-22, rtol=1e-14) if drive > 0 else 0.0

    def through(self, D, J, q, relative=1.0):
        E = math.exp(J / self.film_of(q, D))
        b = relative * self.Bt + self.leak * J
        return b * E / (J + b * E)

    def along(self, P, Pp, loss=True):
        D = diffusivity("NaCl", self.t)

        def slope(x, y):
            q, p, n = y
            J = self.flux(p - Pp, self.pi_n * n / q, self.film_of(q, D))
            Re, u = self.rho * q / self.section * self.d / self.mu, q / self.section
            fall = 6.23 * Re**-0.3 * self.rho * u * u / (2 * self.d) * self.path if loss else 0.0
            return [-J * self.area, -fall, -J * self.area * self.through(D, J, q) * n / q]
        return slope

    def product(self, feed, P, Pp):
        y0 = [feed, P, feed * self.n]
        out = solve_ivp(self.along(P, Pp), (0, 1), y0, method="DOP853", rtol=1e-11, atol=1e-18)
        return feed - out.y[0, -1]


def membrane_flow(probe, table, rng):
    for name, strong, most, film, may in (("tap water", 9, 0.45, 1.0, (1e-4, 2e-6)),
                                          ("any water", 20, 0.6, 0.6, (1e-3, 2e-5))):
        mine, said = [], {6: [], 24: [], 48: []}
        while len(mine) < 60:
            m = Membrane(rng.uniform(4, 30), rng.uniform(1, strong), film=rng.uniform(film, 1 / film))
            feed, P, Pp = rng.uniform(5e-6, 2e-5), rng.uniform(2e5, 6e5), rng.uniform(0, 1e5)
            product = m.product(feed, P, Pp)
            if product > most * feed:
                continue
            mine.append(product)
            for n in said:
                said[n].append(probe("membrane", m.row(n), feed, P, Pp, m.n, m.t)[0])
        table.hold("membrane, %s: flow, 6 segments" % name, mine, said[6], may[0])
        table.hold("membrane, %s: flow, 48 segments" % name, mine, said[48], may[1])
        off = [np.median(np.abs(np.array(said[n]) / mine - 1)) for n in (6, 24)]
        table.hold("membrane, %s: order of convergence" % name, 2.0,
                   math.log(off[0] / off[1]) / math.log(4), 0.3, relative=False)


class Split(Membrane):
    """What passes: all ions along the channel, one driving pressure that gives the product."""

    kept = [k for k in NAMES[:11] if k != "ammonium"]

    def permeate(self, c, feed, product):
        def miss(P):
            return self.run(c, feed, P)[0] - product
        P = brentq(miss, 0.3 * product / (self.At * self.area), 4 * product / (self.At * self.area) + 2e5,
                   xtol=1e-3)
        return self.run(c, feed, P)[1]

    def run(self, c, feed, P):
        D = diffusivity("NaCl", self.t)

        def slope(x, y):
            q, n = y[0], y[1]
            J = self.flux(P, self.pi_n * n / q, self.film_of(q, D))
            bulk = {k: max(a / q, 0.0) for k, a in zip(self.kept, y[2:])}
            out = self.passed(bulk, J, q)
            return [-J * self.area, -J * self.area * self.through(D, J, q) * n / q] + \
                [-J * self.area * out[k] for k in self.kept]
        y0 = [feed, feed * self.n] + [feed * c.get(k, 0.0) for k in self.kept]
        y = solve_ivp(slope, (0, 1), y0, rtol=1e-7, atol=1e-16).y[:, -1]
        made = feed - y[0]
        return made, {k: (feed * c.get(k, 0.0) - a) / made for k, a in zip(self.kept, y[2:])}

    def passed(self, bulk, J, q):
        """Concentrations in what passes there, neutral."""
        w = Water(bulk, self.t)
        ions = [[k, CHARGE[k], bulk[k], diffusivity(k, self.t), PASSAGE[k]] for k in self.kept if k in CHARGE]
        ions += [["HCO3", -1, w.hco3, diffusivity("HCO3", self.t), 1.0],
                 ["CO3", -2, w.co3, diffusivity("CO3", self.t), PASSAGE["sulfate"]],
                 ["H", 1, w.h, diffusivity("H", self.t), 1.0],
                 ["OH", -1, w.oh, diffusivity("OH", self.t), 1.0]]
        came = {i[0]: i[2] * self.through(i[3], J, q, i[4]) for i in ions}
        cat = sum(i[1] * came[i[0]] for i in ions if i[1] > 0)
        an = sum(-i[1] * came[i[0]] for i in ions if i[1] < 0)
        r = math.sqrt(an / cat)
        out = {i[0]: came[i[0]] * (r if i[1] > 0 else 1 / r) for i in ions}
        out["carbon"] = w.co2 + out["HCO3"] + out["CO3"]
        out["silica"] = bulk["silica"] * self.through(diffusivity("silica", self.t), J, q, PASSAGE["silica"])
        return out


def membrane_passage(probe, table, rng):
    waters = [dict(sodium=3.0, chloride=3.0),
              dict(calcium=0.8, magnesium=0.3, sodium=1.0, potassium=0.1, chloride=0.7, sulfate=0.4,
                   nitrate=0.1, carbon=1.7, silica=0.2)]
    for name, c in zip(("table salt", "tap water"), waters):
        m = Split(14.0, Water(c, 14.0).osmolarity())
        feed, product = 1.2e-5, 3.0e-6
        mine, off = m.permeate(c, feed, product), []
        ions = [k for k in m.kept if c.get(k, 0.0) > 0 and k != "carbon"]
        for n, may, carbon_may in ((6, 1e-3, 6e-3), (48, 1.5e-4, 7e-4)):
            said = dict(zip(NAMES, probe("passage", m.row(n), 100 * feed, 100.0, m.t, 100 * product, flat(c))))
            table.hold("what passes, %s: %d segments" % (name, n), [mine[k] for k in ions],
                       [said[k] for k in ions], may)
            if "carbon" in c:
                table.hold("what passes, %s: carbon, %d segments" % (name, n), mine["carbon"],
                           said["carbon"], carbon_may)
                off.append(said["carbon"] / mine["carbon"] - 1)
        if off:
            table.hold("what passes, carbon: order of convergence", 1.0,
                       math.log(off[0] / off[1]) / math.log(8), 0.1, relative=False)


def all_of_them(probe, table, rng):
    water(probe, table, rng)
    evaporation(probe, table, rng)
    membrane_flow(probe, table, rng)
    membrane_passage(probe, table, rng)
