# SPDX-License-Identifier: GPL-3.0-or-later
#
# What is used up: resin, carbon, sediment cartridge, deposits.  docs/resin.md, docs/carbon.md,
# docs/sediment.md, docs/wear.md.  A bed is followed cell by cell, each through all of time, by a
# stiff integrator; the program goes parcel by parcel through all cells, and converges with them.
import math

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import brentq

from peer import CHARGE, NAMES, Water, diffusivity, viscosity

SELECTIVITY = dict(sodium=1.56, potassium=2.28, calcium=4.06, magnesium=2.59, ammonium=2.01, chloride=22.0,
                   sulfate=150.0, nitrate=65.0, fluoride=1.6, carbon=6.0, silica=1.5)
Z = dict(CHARGE, carbon=-1, silica=-1)


class Bed:
    """A mixed bed of n cells.  Along a cell a species goes to its concentration at the bead."""

    numbers = dict(volume=6e-4, depth=0.2, share=0.4, cation_capacity=1900.0, anion_capacity=1100.0,
                   packing=0.95, bead=6.5e-4, voids=0.38, film=1.0, short_flow=0.0, short_resin=0.0,
                   cells=40)

    def __init__(self, c, t, flow, **other):
        self.__dict__.update(self.numbers)
        self.__dict__.update(other)
        self.c, self.t, self.q = c, t, flow
        self.water = Water(c, t)
        self.cations = [k for k in NAMES[:11] if Z.get(k, 0) > 0 and c.get(k, 0.0) > 0]
        self.anions = [k for k in NAMES[:11] if Z.get(k, 0) < 0 and c.get(k, 0.0) > 0]
        self.kinds = self.cations + self.anions
        settled = self.volume * self.packing
        part = {k: self.share if Z[k] > 0 else 1 - self.share for k in self.kinds}
        self.capacity = {k: self.cation_capacity if Z[k] > 0 else self.anion_capacity for k in self.kinds}
        self.sites = {k: settled * part[k] * self.capacity[k] / self.cells for k in self.kinds}
        eps = 1 - self.packing * (1 - self.voids)
        u, d = flow / (self.volume / self.depth), self.bead
        self.e = {}
        for k in self.kinds:
            D = self.mobility(k)
            film = self.film * 1.09 / eps * (u * d / D)**(1 / 3) * D / d
            area = 6 * (1 - self.voids) / d * settled * part[k] / self.cells
            self.e[k] = math.exp(-film * area / flow)

    def mobility(self, k):
        if k != "carbon":
            return diffusivity(k, self.t)
        w = self.water
        return (w.co2 * diffusivity("CO2", self.t) + w.hco3 * diffusivity("HCO3", self.t)) / (w.co2 + w.hco3)

    def surface(self, h, y, fresh):
        """Charge that is over at the bead for [H] = h, and the concentrations there."""
        w, out = self.water, []
        phi, over = {1: h / fresh[0], -1: w.kw / h / fresh[1]}, h - w.kw / h
        for k, share in zip(self.kinds, y):
            z = Z[k]
            bound = phi[1 if z > 0 else -1]**abs(z) * share / SELECTIVITY[k]
            if abs(z) == 2:
                bound = bound / (2 * self.capacity[k])
            over = over + z * bound
            if k == "carbon":
                over = over - 2 * bound * w.k2 / h
                bound = bound * (1 + h / w.k1 + w.k2 / h)
            elif k == "silica":
                bound = bound * (1 + h / w.ks)
            out.append(bound)
        return over, out

    def at_bead(self, state):
        """Concentrations at the bead for the loadings: the one [H] at which they are neutral.  What is
        still fresh of both resins is a state of its own, its logarithm: a difference loses digits."""
        y, fresh = [max(s, 0.0) for s in state[:-2]], [math.exp(min(max(f, -80), 1)) for f in state[-2:]]
        lg = brentq(lambda lg: self.surface(math.exp(lg), y, fresh)[0], -90.0, 60.0, xtol=1e-13, rtol=1e-14)
        return self.surface(math.exp(lg), y, fresh)[1]

    def cell(self, t, came):
        """What has left a cell by the times t, sum and rate, if came(t) comes in.  The sums are states, too,
        so that nothing is lost between two looks."""
        n, m = len(self.cations), len(self.kinds)
        stays = [self.e[k] for k in self.kinds]
        pull = [abs(Z[k]) * self.q / self.sites[k] for k in self.kinds]

        def leaves(time, y):
            now = came(time)
            return now, [s + (c - s) * e for c, s, e in zip(now, self.at_bead(y[:m + 2]), stays)]

        def slope(time, y):
            now, out = leaves(time, y)
            up = [(c - o) * p for c, o, p in zip(now, out, pull)]
            return up + [-sum(up[:n]) / math.exp(y[m]), -sum(up[n:]) / math.exp(y[m + 1])] + out
        small = [1e-9] * m + [1e-6] * 2 + [1e-9 * self.c[k] * t[-1] for k in self.kinds]
        with np.errstate(over="ignore"):  # of steps for derivatives by states on which nothing depends
            run = solve_ivp(slope, (0, t[-1]), [0.0] * (2 * m + 2), method="BDF", t_eval=t, rtol=1e-6, atol=small)
        return run.y[m + 2:].T, np.array([leaves(x, y)[1] for x, y in zip(t, run.y.T)])

    def passed(self, last, looks=2000):
        """Litres, and what of each kind has passed [mol/m3 L]: one cell after the other, each through
        all of time."""
        t, first = np.linspace(0.0, last / 1e3 / self.q, looks), [self.c[k] for k in self.kinds]
        came = lambda time: first
        for _ in range(self.cells):
            total, rate = self.cell(t, came)
            came = CubicHermiteSpline(t, total, rate).derivative()
        return 1e3 * self.q * t, 1e3 * self.q * total

    def row(self):
        return [getattr(self, k) for k in self.numbers]


def crossing(litres, c, level):
    """Litres at which c first rises past a level, along a straight line."""
    i = int(np.argmax(np.array(c) > level))
    if i == 0:
        return math.nan
    return litres[i - 1] + (level - c[i - 1]) / (c[i] - c[i - 1]) * (litres[i] - litres[i - 1])


def resin_of(probe, table, name, bed, last, may):
    """When so much has passed as a given number of litres bring: a front is narrower than a cell, so
    that the concentration itself climbs by a step a cell, and what it has summed to does not."""
    litres, summed = bed.passed(last)
    inlet = [bed.c.get(k, 0.0) for k in NAMES[:11]]
    for scale, ok in zip((1.0, 0.1), may):
        one = probe("resin", bed.row(), bed.t, bed.q, scale, 1, 1, inlet)[0]
        said = np.array(probe("resin", bed.row(), bed.t, bed.q, scale, int(last / one), 1, inlet)).reshape(-1, 12)
        for i, k in enumerate(bed.kinds):
            for share in (0.01, 0.05):
                level = share * last * bed.c[k]
                a = crossing(litres, summed[:, i], level)
                b = crossing(said[:, 0], one * np.cumsum(said[:, 1 + NAMES.index(k)]), level)
                if not math.isnan(a):
                    table.hold("%s: L till %g %% of %s passed, parcel %g" % (name, 100 * share, k, scale), a, b, ok)


def resin(probe, table, rng):
    acid = dict(sodium=0.120, chloride=0.100, carbon=0.150, silica=0.010)
    salt = dict(sodium=0.5, calcium=0.1, chloride=0.6, sulfate=0.05)
    resin_of(probe, table, "resin, permeate", Bed(acid, 15.0, 8e-3 / 3600, cells=12), 3800.0, (6e-3, 1e-3))
    resin_of(probe, table, "resin, salt", Bed(salt, 25.0, 15e-3 / 3600, cells=12), 900.0, (6e-3, 1e-3))


# ---- carbon -------------------------------------------------------------------------------------

class Block:
    """Only the mean of the sites left counts, whatever the place: one state."""

    numbers = dict(volume=5.88e-4, chlorine_rate=0.4167, chloramine_rate=0.0208, activation=2947.0,
                   capacity=0.0189, ammonia_share=1.0, cells=20)

    def __init__(self, **other):
        self.__dict__.update(self.numbers)
        self.__dict__.update(other)

    def outlet(self, t, q, chlorine, chloramine, litres):
        T, N = t + 273.15, self.capacity / 0.070906
        fit = math.exp(-self.activation * (1 / T - 1 / 293.15))
        kinds = ((chlorine, self.chlorine_rate, 1.0),
                 (chloramine, self.chloramine_rate, 1.5 * self.ammonia_share - 0.5))
        out = lambda u: [c * math.exp(-k * fit * self.volume / q * u) for c, k, _ in kinds]
        f = lambda V, u: [-sum(n * (c - left) for (c, _, n), left in zip(kinds, out(u[0]))) / N]
        V = np.array(litres) / 1e3
        run = solve_ivp(f, (0, V[-1]), [1.0], method="DOP853", t_eval=V, rtol=1e-11, atol=1e-13)
        return np.array([out(u) for u in run.y[0]])


def carbon(probe, table, rng):
    for name, block, t, q, cl, ca, last in (
            ("chlorine", Block(), 15.0, 655e-6 / 60, 0.0141, 0.0, 30000.0),
            ("chlorine, a fast flow", Block(), 20.0, 3.785e-3 / 60, 0.0141, 0.0, 30000.0),
            ("both, half as ammonia", Block(ammonia_share=0.5), 8.0, 400e-6 / 60, 0.01, 0.02, 20000.0)):
        sites = block.capacity / 0.070906
        for scale, may in ((1.0, 8e-3), (0.1, 8e-4)):
            parcel = scale * 0.005 * sites / (cl + ca)
            said = np.array(probe("carbon", [getattr(block, k) for k in block.numbers], t, q, cl, ca, parcel,
                                  int(last / 1e3 / parcel), 1)).reshape(-1, 3)
            mine = block.outlet(t, q, cl, ca, said[:, 0] - 500 * parcel)
            column = 0 if ca == 0 else 1
            for share in ((0.1, 0.5) if ca == 0 else (0.75,)):
                a = crossing(said[:, 0], mine[:, column], share * (cl, ca)[column])
                b = crossing(said[:, 0], said[:, 1 + column], share * (cl, ca)[column])
                table.hold("carbon, %s: L to %g, parcel %g" % (name, share, scale), a, b, may)


# ---- sediment and deposits ----------------------------------------------------------------------

def sediment(probe, table, rng):
    a, eta, full, t, C, P, V = 3.6e7, 0.95, 0.1, 10.0, 5e-3, 2e4, 18.0
    flow = lambda M: P / (a * viscosity(t) / viscosity(20)) * (1 - M / full)**2
    # dM/dV = eta C is at once solved, dt/dV = 1/Q is not.
    run = solve_ivp(lambda v, y: [eta * C, 1 / flow(y[0])], (0, V), [0.0, 0.0], rtol=1e-11, atol=1e-14)
    for n, may in ((171, 3e-2), (20000, 3e-4)): # 171: half a hundredth of the capacity each
        time, mass = probe("sediment", a, eta, full, t, C, P, V / n, n)
        table.hold("sediment: s for 18 m3, %d parcels" % n, run.y[1, -1], time, may)
        table.hold("sediment: kg held, %d parcels" % n, run.y[0, -1], mass, 1e-12)


def wear(probe, table, rng):
    m, f, tau, te, e, b, area, J0, C = 6.64e-3, 0.7, 2.592e5, 1.8e5, 0.05, 7.2e-10, 0.42, 8e-6, 3e-4
    last = 86400.0 * 40
    factor = lambda t, y: (1 - e * (1 - math.exp(-t / te))) / (1 + y[0] + y[1])

    def slope(t, y):
        g = C * J0 * factor(t, y) / m
        return [f * g - y[0] / tau, (1 - f) * g + y[0] / tau]
    y = solve_ivp(slope, (0, last), [0.0, 0.0], rtol=1e-11, atol=1e-14).y[:, -1]
    mine = [y[0], y[1], factor(last, y), math.exp(b * last)]
    for n, may in ((160, 1e-2), (16000, 1e-4)):
        table.hold("wear: cake, layer, A, B in %d parcels" % n, mine,
                   probe("wear", m, f, tau, te, e, b, area, J0, C, last, n), may)


def all_of_them(probe, table, rng):
    resin(probe, table, rng)
    carbon(probe, table, rng)
    sediment(probe, table, rng)
    wear(probe, table, rng)
