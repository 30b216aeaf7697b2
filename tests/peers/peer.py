# SPDX-License-Identifier: GPL-3.0-or-later
#
# What the second solutions in Python share: the program that answers for the models, the table of
# comparisons, and the properties of water, written down from docs/water.md and docs/species.md.
import math
import subprocess
import sys

import numpy as np
from scipy.optimize import brentq

R, G, FARADAY = 8.314462618, 9.80665, 96485.33212

NAMES = ["sodium", "potassium", "calcium", "magnesium", "ammonium", "chloride", "sulfate", "nitrate",
         "fluoride", "carbon", "silica", "chlorine", "chloramine", "solids", "salt"]
CHARGE = dict(sodium=1, potassium=1, calcium=2, magnesium=2, ammonium=1, chloride=-1, sulfate=-2,
              nitrate=-1, fluoride=-1)
# CRC Handbook, Ionic Conductivity and Diffusion at Infinite Dilution, 1e-4 S m2/mol of charge and
# 1e-9 m2/s (from memory: the page names the table and does not print it).
CONDUCTANCE = dict(sodium=50.08, potassium=73.48, calcium=59.47, magnesium=53.0, ammonium=73.5,
                   chloride=76.31, sulfate=80.0, nitrate=71.42, fluoride=55.4)
H_CONDUCTS, OH_CONDUCTS, HCO3_CONDUCTS, CO3_CONDUCTS, H3SIO4_CONDUCTS = 349.65, 198.0, 44.5, 69.3, 35.0
DIFFUSIVITY = dict(sodium=1.334e-9, potassium=1.957e-9, calcium=0.792e-9, magnesium=0.706e-9,
                   ammonium=1.957e-9)
for _name in ("chloride", "sulfate", "nitrate", "fluoride"):
    DIFFUSIVITY[_name] = R * 298.15 / FARADAY**2 * 1e-4 * CONDUCTANCE[_name] / abs(CHARGE[_name])
DIFFUSIVITY["HCO3"] = R * 298.15 / FARADAY**2 * 1e-4 * HCO3_CONDUCTS
DIFFUSIVITY.update(CO3=0.923e-9, silica=1.0e-9, NaCl=1.61e-9, CO2=1.91e-9, H=9.311e-9, OH=5.273e-9)


class Probe:
    """Asks probe.c."""

    def __init__(self, path):
        self.process = subprocess.Popen([path], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                        text=True)

    def __call__(self, word, *numbers):
        flat = []
        for n in numbers:
            flat.extend(n if isinstance(n, (list, tuple, np.ndarray)) else [n])
        self.process.stdin.write(word + "".join(" %.17g" % x for x in flat) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        if not line:
            sys.exit("stages: probe gave no answer to " + word)
        return [float(x) for x in line.split()]


class Table:
    """Lines of comparisons; a difference that is not a number fails."""

    def __init__(self):
        self.passed = self.failed = 0

    def hold(self, what, peer, leat, tolerance, relative=True):
        peer, leat = np.atleast_1d(peer).astype(float), np.atleast_1d(leat).astype(float)
        apart = np.abs(leat - peer)
        if relative:
            apart = apart / np.where(peer == 0.0, 1.0, np.abs(peer))
        worst = int(np.argmax(np.where(np.isnan(apart), np.inf, apart)))
        good = bool(np.all(apart <= tolerance)) and peer.shape == leat.shape
        self.passed += good
        self.failed += not good
        print("%-6s %-58s %14.8g %14.8g %9.1e %8.0e" %
              ("ok" if good else "FAILED", what if len(peer) == 1 else "%s, %d of them" %
               (what, len(peer)), peer[worst], leat[worst], apart[worst], tolerance), flush=True)

    def end(self):
        print("%d passed, %d failed" % (self.passed, self.failed))
        sys.exit(1 if self.failed else 0)


# ---- docs/water.md ------------------------------------------------------------------------------

def density(t):
    return (999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 +
            105.56302e-9 * t**4 - 280.54253e-12 * t**5) / (1 + 16.879850e-3 * t)


def viscosity(t):
    b = (t + 273.15) / 300
    return 1e-6 * (280.68 * b**-1.9 + 511.45 * b**-7.7 + 61.131 * b**-19.6 + 0.45903 * b**-40)


def vapour(t):
    T = t + 273.15
    return math.exp(-5800.2206 / T + 1.3914993 - 0.048640239 * T + 4.1764768e-5 * T**2 -
                    1.4452093e-8 * T**3 + 6.5459673 * math.log(T))


def diffusivity(name, t):
    return DIFFUSIVITY[name] * (t + 273.15) / 298.15 * viscosity(25) / viscosity(t)


def acids(t):
    """log10 of Kw, K1, K2, Ksi, Knh4 in mol/L, and Davies' A."""
    T, d, log = t + 273.15, density(t) / 1000, math.log10
    Z = d * math.exp(-0.702132 + 8681.05 / T - 24145.1 * d**(2 / 3) / T**2)
    kw = (12 * (log(1 + Z) - Z / (Z + 1) * d * (0.813876 - 51.4471 / T - 0.46992 * d)) -
          (0.61415 + 48251.33 / T - 67707.93 / T**2 + 10102100 / T**3) - 2 * log(0.018015268 / d))
    k1 = -356.3094 - 0.06091964 * T + 21834.37 / T + 126.8339 * log(T) - 1684915 / T**2
    k2 = -107.8871 - 0.03252849 * T + 5151.79 / T + 38.92561 * log(T) - 563713.9 / T**2
    eps = 60954 / (T + 116) - 68.937
    return kw, k1, k2, -9.83, -(0.09018 + 2729.92 / T), 1.82e6 * (eps * T)**-1.5


class Water:
    """A composition [mol/m3] as a dict; its forms by Brent's method in log10 [H], the ionic
    strength by repeating until it stands."""

    def __init__(self, c, t, ionic=None):
        self.c, self.t = c, t
        self.strong = sum(z * c.get(k, 0.0) for k, z in CHARGE.items() if k != "ammonium")
        self.I = ionic if ionic is not None else 0.0
        for _ in range(1 if ionic is not None else 60):
            before = self.I
            self.constants()
            self.h = 10**brentq(lambda lg: self.charge(10**lg), -11, 3, xtol=1e-14, rtol=1e-15)
            self.forms(self.h)
            if ionic is None:
                self.I = self.strength()
            if abs(self.I - before) <= 1e-13 * self.I:
                break
        self.pH = -math.log10(self.g1 * self.h / 1000)

    def constants(self):
        kw, k1, k2, ks, kn, A = acids(self.t)
        I = self.I / 1000
        bracket = math.sqrt(I) / (1 + math.sqrt(I)) - 0.3 * I
        self.g1, self.g2 = 10**(-A * bracket), 10**(-4 * A * bracket)
        self.kw = 1e6 * 10**kw / self.g1**2
        self.k1, self.k2 = 1e3 * 10**k1 / self.g1**2, 1e3 * 10**k2 / self.g2
        self.ks, self.kn = 1e3 * 10**ks / self.g1**2, 1e3 * 10**kn

    def forms(self, h):
        C, Si, N = (self.c.get(k, 0.0) for k in ("carbon", "silica", "ammonium"))
        all_ = h * h + self.k1 * h + self.k1 * self.k2
        self.oh = self.kw / h
        self.co2, self.hco3, self.co3 = C * h * h / all_, C * self.k1 * h / all_, C * self.k1 * self.k2 / all_
        self.h3sio4, self.nh4 = Si * self.ks / (h + self.ks), N * h / (h + self.kn)

    def charge(self, h):
        self.forms(h)
        return self.strong + h + self.nh4 - self.oh - self.hco3 - 2 * self.co3 - self.h3sio4

    def ions(self):
        """(charge, conductance, concentration) of each."""
        c = [(z, CONDUCTANCE[k], self.c.get(k, 0.0)) for k, z in CHARGE.items() if k != "ammonium"]
        return c + [(1, CONDUCTANCE["ammonium"], self.nh4), (1, H_CONDUCTS, self.h),
                    (-1, OH_CONDUCTS, self.oh), (-1, HCO3_CONDUCTS, self.hco3),
                    (-2, CO3_CONDUCTS, self.co3), (-1, H3SIO4_CONDUCTS, self.h3sio4)]

    def strength(self):
        return 0.5 * sum(z * z * c for z, _, c in self.ions())

    def osmolarity(self):
        return sum(c for _, _, c in self.ions())

    def conductivity(self):
        """S/m; Rossum's form going over to that of Standard Methods."""
        cat = [(z, l, z * c) for z, l, c in self.ions() if z > 0 and c > 0]
        an = [(-z, l, -z * c) for z, l, c in self.ions() if z < 0 and c > 0]
        mc, ma = sum(e for _, _, e in cat), sum(e for _, _, e in an)
        Gc, Ga = sum(l * e for _, l, e in cat), sum(l * e for _, l, e in an)
        Lc, La, zc, za = Gc / mc, Ga / ma, sum(z * e for z, _, e in cat) / mc, sum(z * e for z, _, e in an) / ma
        m = 0.5 * (mc + ma)
        q = za * zc * (La + Lc) / ((za + zc) * (zc * La + za * Lc))
        off = (2 * q * za * zc * (La + Lc) / (115.2 * (za + zc) * (1 + math.sqrt(q))) + 0.668) * \
            ((za + zc) * m)**1.5
        I = self.I / 1000
        y = 10**(-0.5 * (math.sqrt(I) / (1 + math.sqrt(I)) - 0.3 * I))
        hard = 2 * (self.c.get("calcium", 0.0) + self.c.get("magnesium", 0.0)) / mc
        return 1e-4 * ((1 - hard) * (Gc + Ga - off) + hard * (Gc + Ga) * y * y)


def osmotic_pressure(n, t):
    c = 0.5 * n / (1 - 17e-6 * 0.5 * n)
    m = c / density(t)
    phi = 1 - 0.3915 * math.sqrt(m) / (1 + 1.2 * math.sqrt(m)) + \
        m * (0.0765 + 0.2664 * math.exp(-2 * math.sqrt(m))) + 0.00127 * m**2
    return phi * 2 * c * R * (t + 273.15)


def flat(c):
    return [c.get(k, 0.0) for k in NAMES]


def random_water(rng, hard, alkaline):
    """A natural water, `hard` times as hard as most, with `alkaline` of bicarbonate a mol of carbon;
    chloride or sodium makes up the charge."""
    c = {k: 10**rng.uniform(-2, 0.5) for k in ("calcium", "magnesium", "sodium", "potassium",
                                               "chloride", "sulfate", "nitrate", "carbon", "silica")}
    if hard > 1.0:
        c["calcium"], c["carbon"] = rng.uniform(0.3, 1) * hard, rng.uniform(0.5, 1.5) * hard
    over = sum(CHARGE[k] * c[k] for k in c if k in CHARGE) - alkaline * c["carbon"]
    c["chloride" if over > 0 else "sodium"] += abs(over)
    return c
