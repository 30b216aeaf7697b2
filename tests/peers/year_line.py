# SPDX-License-Identifier: GPL-3.0-or-later
#
# The line at one moment, for year.py: operating point and what passes the membrane.  docs/plant.md,
# docs/membrane.md, docs/water.md, docs/restrictor.md, docs/valve.md, docs/standard.md.  The channel is an
# integral along its length (Runge and Kutta), the flow of the feed one unknown, found by the secant.
import math

import peer
from peer import CHARGE, G

ALL = peer.NAMES[:13]
STRONG = [(ALL.index(k), z) for k, z in CHARGE.items() if k != "ammonium"]
NH4, CARBON, SILICA, CL2, NH2CL = (ALL.index(k) for k in
                                   ("ammonium", "carbon", "silica", "chlorine", "chloramine"))
CA, CHLORIDE = ALL.index("calcium"), ALL.index("chloride")
peer.DIFFUSIVITY.update(chlorine=1.5e-9, chloramine=1.5e-9)
ACIDS = {}


def acids(t):
    if t not in ACIDS:
        if len(ACIDS) > 20000:
            ACIDS.clear()
        kw, k1, k2, ks, kn, A = peer.acids(t)
        ACIDS[t] = (1e6 * 10**kw, 1e3 * 10**k1, 1e3 * 10**k2, 1e3 * 10**ks, 1e3 * 10**kn, A)
    return ACIDS[t]


class Forms:
    """Forms of a composition (a list in the order of ALL) at t: Newton in ln [H], ionic strength repeated."""

    def __init__(self, c, t, like=None):
        kw, k1, k2, ks, kn, A = acids(t)
        self.c, self.t = c, t
        strong = sum(z * c[i] for i, z in STRONG)
        squares = sum(z * z * c[i] for i, z in STRONG)
        C, Si, N = c[CARBON], c[SILICA], c[NH4]
        h, I = (like.h, like.I) if like else (1e-4, 0.5 * squares)
        for _ in range(40):
            root = math.sqrt(I / 1000)
            lg = -A * (root / (1 + root) - 0.3 * I / 1000)
            g1, g2 = 10**lg, 10**(4 * lg)
            w, a1, a2, as_ = kw / g1**2, k1 / g1**2, k2 / g2, ks / g1**2
            for _ in range(200):
                d = h * h + a1 * h + a1 * a2
                f = strong + h - w / h + N * h / (h + kn) - C * (a1 * h + 2 * a1 * a2) / d - Si * as_ / (h + as_)
                df = h + w / h + N * kn * h / (h + kn)**2 + C * h * (a1 * h * h + 4 * a1 * a2 * h + a1 * a1 * a2) / d**2 \
                    + Si * as_ * h / (h + as_)**2
                step = max(-2.0, min(2.0, f / df))
                h *= math.exp(-step)
                if abs(step) < 1e-12:
                    break
            d = h * h + a1 * h + a1 * a2
            co3, hco3, nh4, h3 = C * a1 * a2 / d, C * a1 * h / d, N * h / (h + kn), Si * as_ / (h + as_)
            before, I = I, 0.5 * (squares + h + w / h + nh4 + hco3 + 4 * co3 + h3)
            if abs(I - before) <= 1e-11 * I:
                break
        self.h, self.oh, self.I, self.g1, self.g2 = h, w / h, I, g1, g2
        self.hco3, self.co3, self.co2, self.nh4, self.h3 = hco3, co3, C * h * h / d, nh4, h3
        self.kw, self.k1, self.k2, self.ks, self.kn = w, a1, a2, as_, kn
        self.pH = -math.log10(g1 * h / 1000)

    def osmolarity(self):
        return sum(self.c[i] for i, _ in STRONG) + self.h + self.oh + self.nh4 + self.hco3 + self.co3 + self.h3

    def calcite(self):
        """Ion product of calcite over its solubility."""
        T = self.t + 273.15
        K = -171.9065 - 0.077993 * T + 2839.319 / T + 71.595 * math.log10(T)
        return self.g2**2 * 1e-6 * self.c[CA] * self.co3 / 10**K


def reading(c):
    """What a meter of 0.5 ppm per uS/cm shows [ppm], at 25 degC."""
    return 5e3 * peer.Water(dict(zip(ALL, c)), 25.0).conductivity()


def rk4(slope, y, strips):
    h = 1.0 / strips
    for _ in range(strips):
        k1 = slope(y)
        k2 = slope([a + 0.5 * h * b for a, b in zip(y, k1)])
        k3 = slope([a + 0.5 * h * b for a, b in zip(y, k2)])
        k4 = slope([a + h * b for a, b in zip(y, k3)])
        y = [a + h / 6 * (p + 2 * q + 2 * r + s) for a, p, q, r, s in zip(y, k1, k2, k3, k4)]
    return y


class Membrane:
    """Of one temperature, wear and osmolarity."""

    def __init__(self, v, t, n, fA, fB):
        self.__dict__.update(area=v["area"], path=v["path"], leak=v["leak"], t=t, n=n, v=v)
        T = t + 273.15
        U = v["water_activation"] if t >= 25 else v["water_activation_cold"]
        self.TCF = math.exp(U * (1 / 298.15 - 1 / T))
        self.A = fA * v["water_permeability"] * self.TCF
        self.B = fB * v["salt_permeability"] * math.exp(v["salt_activation"] * (1 / 298.15 - 1 / T))
        self.mu, self.rho = peer.viscosity(t), peer.density(t)
        s, e = v["spacer"], v["porosity"]
        self.d = 4 * e / (2 / s + (1 - e) * 8 / s)
        self.section = self.area / (2 * self.path) * s * e
        self.pi_n = peer.osmotic_pressure(n, t) / n
        self.still, self.film = s / 2, v["polarization"]
        self.D = {}

    def k(self, q, kind="NaCl"):
        D = self.D.get(kind)
        if D is None:
            D = self.D[kind] = peer.diffusivity(kind, self.t)
        Re, Sc = self.rho * q / self.section * self.d / self.mu, self.mu / (self.rho * D)
        return self.film * max(0.065 * Re**0.875 * Sc**0.25 * D / self.d,
                               1.62 * (Re * Sc * self.d / self.path)**(1 / 3) * D / self.d, D / self.still)

    def flux(self, drive, pi, k):
        """Flux, and the passage of NaCl: J is the one root of a rising function, by Newton."""
        if drive <= 0:
            return 0.0, 1.0
        J = self.A * max(drive - pi, 0.02 * drive)
        for _ in range(60):
            E = math.exp(min(J / k, 50.0))
            b = self.B + self.leak * J
            part = J * E / (J + b * E)
            f = J - self.A * (drive - pi * part)
            dpart = (E * (1 + J / k) * (J + b * E) - J * E * (1 + self.leak * E + b * E / k)) / (J + b * E)**2
            step = f / (1 + self.A * pi * dpart)
            J = J - step if step < J else 0.5 * J
            if abs(step) < 1e-13 * J:
                break
        E = math.exp(J / k)
        b = self.B + self.leak * J
        return J, b * E / (J + b * E)

    def fall(self, q):
        u = q / self.section
        return 6.23 * (self.rho * u * self.d / self.mu)**-0.3 * self.rho * u * u / (2 * self.d) * self.path

    def product(self, feed, P, Pp, loss=True, strips=2):
        def slope(y):
            q, p, n = y
            J, through = self.flux(p - Pp, self.pi_n * n / q, self.k(q))
            return [-J * self.area, -self.fall(q) if loss else 0.0, -J * self.area * through * n / q]
        return feed - rk4(slope, [feed, P, feed * self.n], strips)[0]

    def split(self, c, feed, product, strips=2):
        """Permeate and concentrate of a composition."""
        a, b = product / (self.A * self.area), 1.02 * product / (self.A * self.area) + self.pi_n * self.n
        fa, fb = (self.product(feed, x, 0.0, False, strips) - product for x in (a, b))
        for _ in range(40):
            if abs(fb) < 1e-10 * product or fb == fa:
                break
            a, fa, b = b, fb, b - fb * (b - a) / (fb - fa)
            fb = self.product(feed, b, 0.0, False, strips) - product
        like = [None]

        def slope(y):
            q, n = y[0], y[1]
            J, through = self.flux(b, self.pi_n * n / q, self.k(q))
            out = self.passed([max(x, 0.0) / q for x in y[2:]], J, q, like)
            return [-J * self.area, -J * self.area * through * n / q] + [-J * self.area * x for x in out]
        y = rk4(slope, [feed, feed * self.n] + [feed * x for x in c], strips)
        cp = [(feed * x - z) / product for x, z in zip(c, y[2:])]
        cc = [max(z, 0.0) / y[0] for z in y[2:]]
        return cp, cc

    def through(self, kind, J, q, relative):
        E = math.exp(J / self.k(q, kind))
        b = relative * self.B + self.leak * J
        return b * E / (J + b * E)

    def passed(self, c, J, q, like):
        w = like[0] = Forms(c, self.t, like[0])
        rel = lambda k: self.v["passage_" + k]
        ions = [(i, z, c[i], ALL[i], rel(ALL[i])) for i, z in STRONG if c[i] > 0]
        ions += [(-1, -1, w.hco3, "HCO3", rel("carbon")), (-2, -2, w.co3, "CO3", rel("sulfate")),
                 (-3, 1, w.h, "H", 1.0), (-4, -1, w.oh, "OH", 1.0)]
        if c[NH4] > 0:
            ions.append((NH4, 1, w.nh4, "ammonium", rel("ammonium")))
        came = {i: x * self.through(kind, J, q, r) for i, _, x, kind, r in ions}
        cat, an = (sum(abs(z) * came[i] for i, z, *_ in ions if z * s > 0) for s in (1, -1))
        r = math.sqrt(an / cat)
        over, under = {}, []
        for i, z, x, *_ in ions:
            over[i] = min(came[i] * (r if z > 0 else 1 / r), x)
        cat, an = (sum(abs(z) * over[i] for i, z, *_ in ions if z * s > 0) for s in (1, -1))
        for i, z, *_ in ions:
            over[i] *= min(1.0, an / cat) if z > 0 else min(1.0, cat / an)
        out = [0.0] * len(c)
        for i, x in over.items():
            if i >= 0:
                out[i] = x
        out[CARBON] = w.co2 + over[-1] + over[-2]
        out[NH4] += c[NH4] - w.nh4
        for i in (SILICA, CL2, NH2CL):
            if c[i] > 0:
                out[i] = c[i] * self.through(ALL[i], J, q, rel(ALL[i]))
        return out

    def at_wall(self, cc, feed, product):
        """Saturation with calcite at the wall where the concentrate leaves: what is held back is E times as
        concentrated; CO2 goes there as it is, and the forms follow from all of the carbon."""
        E = math.exp(product / self.area / self.k(feed - product))
        co2 = Forms(cc, self.t).co2
        wall = [E * x for x in cc]
        wall[CARBON] = co2 + E * (cc[CARBON] - co2)
        return Forms(wall, self.t).calcite()


class Line:
    """Flows at a moment.  `v`: the stages; `mode`: dict of bypass, divert, flush."""

    def __init__(self, plant, t, ps, n, fA, fB, used):
        self.p, self.t, self.ps = plant, t, ps
        self.rho, self.mu = peer.density(t), peer.viscosity(t)
        self.thick = self.mu / peer.viscosity(20.0)
        self.m = Membrane(plant.membrane, t, n, fA, fB) if plant.membrane else None
        self.used = used

    def stage_loss(self, s, Q):
        if s["kind"] == "sediment":
            return s["resistance"] * Q * self.thick / (1 - min(self.used, 0.97))**2
        if s["kind"] == "carbon":
            return s["resistance"] * Q * self.thick
        eps, u, d = 1 - s["packing"] * (1 - s["voids"]), Q * s["depth"] / s["volume"], s["bead"]
        return s["depth"] * (150 * self.mu * (1 - eps)**2 * u / (eps**3 * d * d) +
                             1.75 * (1 - eps) * self.rho * u * u / (eps**3 * d))

    def tube(self, Q):
        L, D = self.p.storage["tube_length"], self.p.storage["tube_bore"]
        w = Q / (math.pi / 4 * D * D)
        Re = self.rho * w * D / self.mu
        if Re <= 0:
            return 0.0
        jain = lambda Re: 0.25 / math.log10(1.5e-6 / D / 3.7 + 5.74 / Re**0.9)**2
        if Re < 2300:
            f = 64 / Re
        elif Re > 4000:
            f = jain(Re)
        else:
            low, high = 64 * 2300, jain(4000) * 4000**2
            f = (low + (high - low) * (Re - 2300) / 1700) / Re**2
        return f * L / D * self.rho * w * w / 2

    def front(self, Q):
        bore = 0.62 * math.pi / 4 * self.p.feed["valve_bore"]**2
        return self.ps - 0.5 * self.rho * (Q / bore)**2 - sum(self.stage_loss(s, Q) for s in self.p.before)

    def back(self, Qp, mode):
        if mode.get("divert"):
            return 0.0
        loss = sum(self.stage_loss(s, Qp) for s in self.p.after)
        if mode.get("flush"):
            return loss
        S = self.p.storage
        return loss + self.tube(Qp) + S["check_opening"] * bool(S["check_valve"]) + self.rho * G * S["inlet_height"]

    def drain(self, P, Q, mode):
        v = self.p.membrane
        return mode.get("bypass", 1.0) * v["restrictor_flow"] * \
            (max(P - self.m.fall(Q), 0.0) / v["restrictor_pressure"])**v["restrictor_exponent"] * \
            (peer.viscosity(25.0) / self.mu)**v["restrictor_viscosity"]

    def flows(self, mode, guess):
        """Feed, product, pressure at the membrane."""
        def over(Q):
            P = self.front(Q)
            if not self.m:
                return P - self.back(Q, mode), Q, P
            product = Q - self.drain(P, Q, mode)
            return self.m.product(Q, P, self.back(product, mode)) - product, product, P
        a, b = guess, guess * 1.001
        fa, fb = over(a), over(b)
        for _ in range(50):
            if abs(b - a) < 1e-12 * b or fb[0] == fa[0]:
                break
            step = -fb[0] * (b - a) / (fb[0] - fa[0])
            a, b, fa = b, b + max(-0.5 * b, min(0.5 * b, step)), fb
            fb = over(b)
        return b, fb[1], fb[2]
