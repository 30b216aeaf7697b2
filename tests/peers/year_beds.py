# SPDX-License-Identifier: GPL-3.0-or-later
#
# Resin beds through a history of water, for year.py.  docs/resin.md.  Every cell is a differential
# equation in the volume that passed; it is solved by a stiffly accurate Runge and Kutta method of two
# stages (order 2), all cells at once along the diagonals of cell and parcel, since a cell needs only the cell before it.
import math

import numpy as np

import peer
from year_line import ALL, CARBON, NH4, SILICA, Forms

SMALL = 1 - 1 / math.sqrt(2)
METHODS = {1: ([[1.0]], [1.0]), 2: ([[SMALL, 0.0], [1 - SMALL, SMALL]], [1 - SMALL, SMALL])}


class Bed:
    def __init__(self, v, kinds, order=2):
        """kinds: indices into ALL that are exchanged."""
        self.v, self.n, self.order = v, int(v["cells"]), order
        self.kinds = kinds
        self.z = np.array([abs(peer.CHARGE.get(ALL[k], 1)) for k in kinds])
        self.cation = np.array([peer.CHARGE.get(ALL[k], -1) > 0 for k in kinds])
        share = np.where(self.cation, v["cation_share"], 1 - v["cation_share"])
        Q = np.where(self.cation, v["cation_capacity"], v["anion_capacity"])
        self.settled = v["volume"] * v["packing"] * share * (1 - v["short_resin"])
        self.sites = self.settled * Q / self.n
        self.K = np.array([v["selectivity_" + ALL[k]] for k in kinds]) * np.where(self.z == 2, 2 * Q, 1.0)
        self.there = self.sites > 0
        self.y = np.zeros((self.n, len(kinds)))
        self.lnh = np.full(self.n, math.log(1e-4))
        self.x = {True: np.full(self.n, -9.0), False: np.full(self.n, -9.0)}
        self.eps = 1 - v["packing"] * (1 - v["voids"])

    def numbers(self, c, t, q, dV):
        """e and (1 - e) z dV/S of each kind, and the acid constants of the entering water."""
        v, w = self.v, Forms(c, t)
        q, dV = q * (1 - v["short_flow"]), dV * (1 - v["short_flow"])
        u, d = q * v["depth"] / (v["volume"] * (1 - v["short_resin"])), v["bead"]
        D = np.array([peer.diffusivity(ALL[k], t) if k != CARBON else
                      (w.co2 * peer.diffusivity("CO2", t) + w.hco3 * peer.diffusivity("HCO3", t)) /
                      max(w.co2 + w.hco3, 1e-30) for k in self.kinds])
        film = v["film"] * 1.09 / self.eps * (u * d / D)**(1 / 3) * D / d
        e = np.exp(-film * 6 * (1 - v["voids"]) / d * self.settled / self.n / q)
        G = np.where(self.there, (1 - e) * self.z * dV / np.where(self.there, self.sites, 1.0), 0.0)
        return e, G, (w.kw, w.k1, w.k2, w.ks, w.kn)

    def at_bead(self, cells, b, G, cin, eq):
        """c* and loadings of the cells for y = b + G (cin - c*): one [H] each at which the surface is neutral."""
        at, B, x = np.arange(len(cells)), b + G * cin, self.lnh[cells].copy()
        start = {s: self.x[s][cells].copy() for s in (True, False)}
        lo, hi = np.full(len(cells), -70.0), np.full(len(cells), 45.0)
        last, f_last = x.copy(), np.full(len(cells), np.nan)
        star, y = np.empty_like(B), np.empty_like(B)
        for turn in range(120):
            now = {s: start[s][at] for s in (True, False)}
            f, star[at], y[at] = self.look(x[at], now, (b[at], B[at], G[at], cin[at]), [c[at] for c in eq])
            for s in (True, False):
                start[s][at] = now[s]
            lo[at], hi[at] = np.where(f < 0, x[at], lo[at]), np.where(f > 0, x[at], hi[at])
            with np.errstate(invalid="ignore", divide="ignore"):
                new = x[at] - f * (x[at] - last[at]) / (f - f_last[at])
            new = np.where(np.isfinite(new), new, x[at] - 0.5 * f)
            out = (new <= lo[at]) | (new >= hi[at]) | (turn > 15 and turn % 3 == 0)
            new = np.where(out, 0.5 * (lo[at] + hi[at]), new)
            new = np.where(f == 0, x[at], new)
            last[at], f_last[at] = x[at], f
            going = (np.abs(new - x[at]) > 1e-9) & (np.abs(f) > 1e-10)
            x[at] = np.where(going, new, x[at])
            at = at[going]
            if len(at) == 0:
                break
        else:
            raise ArithmeticError("no root at a bead")
        self.lnh[cells] = x
        for s in (True, False):
            self.x[s][cells] = start[s]
        return star, y

    def look(self, lnh, start, given, eq):
        """ln of cations over anions at the beads, the water there, the loadings."""
        b, B, G, cin = given
        kw, k1, k2, ks, kn = eq
        h, s = np.exp(lnh), np.ones_like(B)
        for i, k in enumerate(self.kinds):
            if k == CARBON:
                s[:, i] = 1 + h / k1 + k2 / h
            elif k == SILICA:
                s[:, i] = 1 + h / ks
            elif k == NH4:
                s[:, i] = 1 + kn / h
        bound, y = cin / s, b.copy()
        for sign in (True, False):
            group = (self.cation == sign) & self.there
            if group.any():
                self.share(sign, group, lnh if sign else np.log(kw) - lnh, start, B, G, s, bound, y)
        z = self.z * bound
        cat, an = z[:, self.cation].sum(1) + h, z[:, ~self.cation].sum(1) + kw / h
        if CARBON in self.kinds:
            an = an + 2 * bound[:, self.kinds.index(CARBON)] * k2 / h
        return np.log(cat) - np.log(an), bound * s, y

    def share(self, sign, group, goal, start, B, G, s, bound, y):
        """ln Phi of one resin, at which Phi (1 - sum y) is exp(goal), and what follows."""
        z, Bg, a = self.z[group], B[:, group], G[:, group] * s[:, group] / self.K[group]
        x = np.maximum(start[sign], goal)
        lo, hi = goal - 1e-9, goal + 90.0
        for turn in range(200):
            g = a * np.exp(np.outer(x, z))
            part = Bg / (1 + g)
            left = 1 - part.sum(1)
            slope = 1 + (part * z * g / (1 + g)).sum(1) / np.where(left > 0, left, 1.0)
            F = x + np.log(np.where(left > 0, left, 1e-300)) - goal
            lo, hi = np.where(F < 0, np.maximum(x, lo), lo), np.where(F >= 0, np.minimum(x, hi), hi)
            new = x - F / slope
            new = np.where((left <= 0) | (new < lo) | (new > hi), 0.5 * (lo + hi), new)
            done = np.abs(new - x) < 1e-12 * np.maximum(1.0, np.abs(x))
            x = new
            if done.all():
                break
        start[sign] = x
        power = np.exp(np.outer(x, z))
        y[:, group] = Bg / (1 + a * power)
        bound[:, group] = power * y[:, group] / self.K[group]

    def run(self, parcels):
        """parcels: (c in the order of ALL, t, q, dV).  Returns what leaves, a row a parcel."""
        A, weights = METHODS[self.order]
        stages, N, n = len(weights), len(parcels), self.n
        made = [self.numbers(*p) for p in parcels]
        e, G = np.array([m[0] for m in made]), np.array([m[1] for m in made])
        eq = np.array([m[2] for m in made])
        into = np.array([[p[0][k] for k in self.kinds] for p in parcels])
        flow = np.zeros((stages, n, len(self.kinds)))     # what last left each cell
        out = into.copy()
        for d in range(N + n - 1):
            cells = np.arange(max(0, d - N + 1), min(n, d + 1))
            p = d - cells
            came = flow[:, cells - 1, :].copy()
            if cells[0] == 0:
                came[:, 0, :] = into[d]
            rate, y0, g = [], self.y[cells], G[p]
            for s in range(stages):
                b = y0 + sum((A[s][j] * rate[j] for j in range(s)), np.zeros_like(y0))
                star, y = self.at_bead(cells, b, A[s][s] * g, came[s], tuple(eq[p].T))
                rate.append(g * (came[s] - star))
                flow[s, cells, :] = np.where(self.there, star + (came[s] - star) * e[p], came[s])
            self.y[cells] = y
            if cells[-1] == n - 1:
                out[d - n + 1] = sum(w * flow[s, n - 1, :] for s, w in enumerate(weights))
        short = self.v["short_flow"]
        result = np.array([p[0] for p in parcels])
        result[:, self.kinds] = (1 - short) * out + short * into
        return result

    def held(self):
        """mol of each of ALL."""
        out = np.zeros(len(ALL))
        out[self.kinds] = self.sites * self.y.sum(0) / self.z
        return out

    def used(self):
        """Share of the sites taken, of the fuller resin."""
        return max(self.y[:, self.cation & self.there].sum(1).mean() if (self.cation & self.there).any() else 0.0,
                   self.y[:, ~self.cation & self.there].sum(1).mean() if (~self.cation & self.there).any() else 0.0)
