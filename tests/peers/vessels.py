# SPDX-License-Identifier: GPL-3.0-or-later
#
# Vessels: mixing, tank shapes, overflow, bladder, the air, water at rest, a shut-off valve, salinity.
# docs/parcel.md, docs/tank.md, docs/valve.md, docs/bladder.md, docs/gas.md, docs/holdup.md,
# docs/shutoff.md, docs/basin.md.
import math

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.linalg import expm
from scipy.optimize import brentq

from peer import G, Water, density, flat, viscosity


def mixing(probe, table, rng):
    mine, said = [], []
    for _ in range(60):
        V0, m0, qi, c, ql = 10**rng.uniform(-2, 0), rng.uniform(0, 1), rng.uniform(0, 0.5), rng.uniform(0, 5), 0.0
        qo, ql = rng.uniform(0, 0.8) * (V0 + qi), rng.uniform(0, 0.1) * V0
        V = lambda t: V0 + (qi - qo - ql) * t
        run = solve_ivp(lambda t, y: [qi * c - qo * y[0] / V(t)], (0, 1), [m0], method="DOP853",
                        rtol=1e-12, atol=1e-14)
        mine.append(run.y[0, -1])
        said.append(probe("vessel", V0, m0, qi, c, qo, ql)[1])
    table.hold("mixing: what stays in a vessel", mine, said, 1e-9)


# ---- tank ---------------------------------------------------------------------------------------

def shapes(probe, table, rng):
    width = {
        "box": lambda h: 0.7 * 0.4,
        "upright": lambda h: math.pi * 0.5**2 / 4,
        "lying": lambda h: 2 * 0.7 * math.sqrt(max(0.25**2 - (h - 0.25)**2, 0.0)),
        "cone": lambda h: math.pi * (0.04 + (0.25 - 0.04) * min(h / 0.2, 1.0))**2,
    }
    size = dict(box=(0, 0.7, 0.4, 0, 0, 0, 0.8), upright=(1, 0, 0, 0.5, 0, 0, 0.8),
                lying=(2, 0.7, 0, 0.5, 0, 0, 0.5), cone=(3, 0, 0, 0.5, 0.08, 0.2, 0.8))
    for name, area in width.items():
        levels = rng.uniform(0.01, 0.99, 20) * size[name][6]
        mine = [quad(area, 0, h, points=[min(0.2, h)], epsabs=1e-14, epsrel=1e-12, limit=200)[0] for h in levels]
        said = np.array([probe("tank", size[name], h) for h in levels])
        table.hold("tank, %s: volume" % name, mine, said[:, 0], 1e-9)
        back = [brentq(lambda h: quad(area, 0, h, points=[min(0.2, h)], epsrel=1e-11)[0] - v, 0, size[name][6],
                       xtol=1e-12) for v in said[:5, 0]]
        table.hold("tank, %s: level of a volume" % name, back, said[:5, 2], 1e-8)


def friction(Re, rough):
    jain = lambda Re: 0.25 / math.log10(rough / 3.7 + 5.74 / Re**0.9)**2
    if Re < 2300:
        return 64 / Re
    if Re > 4000:
        return jain(Re)
    low, high = 64 * 2300, jain(4000) * 4000**2
    return (low + (high - low) * (Re - 2300) / 1700) / Re**2


def mouth(kind, D, H, phi):
    A, Cd = math.pi * D * D / 4, 0.6
    if kind == 1:
        return min(2 / 3 * Cd * math.sqrt(2 * G) * math.pi * D * H**1.5, phi * Cd * A * math.sqrt(2 * G * H))
    head = lambda w: D * (1 - math.cos(w)) / 2 + D * (w - math.sin(w) * math.cos(w)) / (8 * math.sin(w))
    w = brentq(lambda w: head(w) - H, 1e-6, math.pi - 1e-9, xtol=1e-15)
    area = D * D * (w - math.sin(w) * math.cos(w)) / 4
    critical = area * math.sqrt(G * area / (D * math.sin(w)))
    if H > D:
        critical = min(critical, Cd * A * math.sqrt(2 * G * (H - D / 2)))
    return phi * critical


def pipe(D, head, length, phi, t):
    A, nu = math.pi * D * D / 4, viscosity(t) / density(t)
    over = lambda V: (1 + 2.5 + friction(V * D / nu, 1.5e-6 / D) * length / D) * V * V / (2 * G) - head
    return phi * A * brentq(over, 1e-9, 50.0, xtol=1e-15)


def overflow(probe, table, rng):
    for kind, name in ((1, "standpipe"), (2, "side outlet")):
        mine, said, heads, levels = [], [], [], []
        for _ in range(60):
            D, fall, length = rng.uniform(0.012, 0.05), rng.uniform(0.0, 1.0), rng.uniform(0.1, 3.0)
            phi, t, H = rng.choice([1.0, rng.uniform(0.2, 1.0)]), rng.uniform(5, 30), 10**rng.uniform(-2.7, -0.8)
            flow = lambda H: min(mouth(kind, D, H, phi), pipe(D, H + fall, length, phi, t))
            Q = flow(0.5 * H)
            answer = probe("overflow", kind, D, fall, length, phi, t, H, Q)
            mine.append(flow(H))
            said.append(answer[0])
            heads.append(brentq(lambda h: flow(h) - Q, 1e-6, 1.0, xtol=1e-14))
            levels.append(answer[1])
        table.hold("overflow, %s: flow" % name, mine, said, 1e-6)
        table.hold("overflow, %s: head of a flow, m" % name, heads, levels, 1e-6, relative=False)


# ---- pressure -----------------------------------------------------------------------------------

def bladder(probe, table, rng):
    mine, said = [], []
    for _ in range(20):
        V, pre, atm, k = rng.uniform(5e-3, 5e-2), rng.uniform(3e4, 1e5), 101325.0, 10**rng.uniform(-12, -11)
        top = rng.uniform(2e5, 4e5)
        P = lambda w: (pre + atm) * V / (V - w) - atm
        full = V * (1 - (pre + atm) / (top + atm))
        a, b = rng.uniform(0, 0.5) * full, rng.uniform(0.6, 0.999) * full
        run = solve_ivp(lambda w, t: [1 / (k * (top - P(w)))], (a, b), [0.0], method="DOP853", rtol=1e-11)
        mine.append(run.y[0, -1])
        said.append(probe("bladder", V, pre, atm, k, top, a, b)[0])
    table.hold("bladder: s to fill", mine, said, 1e-8)


def shutoff(probe, table, rng):
    feed, k, p_max, give = 345e3, 1.9e-12, 320e3, 0.5e-6
    C, pc, po = give / 1e5, 0.65 * feed, 0.55 * feed
    for weep, seep, back in ((1, 0, 0), (10, 0, 0), (10.8, 0, 0), (3, 3, 0), (4, 1, 5)):
        K, Gs, L = weep * 1e-6 / 60 / math.sqrt(pc), seep * 1e-6 / 60 / pc, back * 1e-6 / 60 / pc
        out = lambda p: K * math.sqrt(max(p, 0.0)) + Gs * p

        def leg(rate, extra, start, end):
            stop = lambda t, y: y[0] - end
            stop.terminal = True
            stop.direction = 1 if end > start else -1
            run = solve_ivp(lambda t, y: [rate(y[0]) / C, extra(y[0]), out(y[0])], (0, 1e6), [start, 0.0, 0.0],
                            method="DOP853", rtol=1e-11, atol=1e-13, events=stop)
            return run.t[-1], run.y[1, -1], run.y[2, -1]
        makes = lambda p: k * (p_max - p)
        t1, made, out1 = leg(lambda p: makes(p) - out(p), makes, po, pc)
        t2, _, out2 = leg(lambda p: -out(p) - L * p, lambda p: L * p, pc, po)
        mine = [t1 / (t1 + t2), 1 / (t1 + t2), made / (t1 + t2), (out1 + out2) / (t1 + t2)]
        table.hold("shut-off valve: all at a weep of %g mL/min" % weep, mine,
                   probe("shutoff", 0.65, 0.55, give, feed, k, p_max, K, Gs, L), 1e-7)


# ---- at rest ------------------------------------------------------------------------------------

def gas(probe, table, rng):
    waters = (("pure", dict()), ("acid permeate", dict(sodium=0.1, chloride=0.1, carbon=0.3)),
              ("alkaline", dict(sodium=1.0, carbon=0.95)))
    area, V, film, air, last = 0.25, 0.1, 2e-5, 420e-6, 43200.0
    for name, c in waters:
        t = 18.0
        T = t + 273.15
        kh = 10**(108.3865 + 0.01985076 * T - 6919.53 / T - 40.45154 * math.log10(T) + 669365 / T**2)
        there = 1e3 * kh * air
        slope = lambda time, y: [film * area / V * (there - Water(dict(c, carbon=max(y[0], 0.0)), t).co2)]
        mine = solve_ivp(slope, (0, last), [c.get("carbon", 0.0)], rtol=1e-8, atol=1e-12).y[0, -1]
        for n, may in ((4, 1e-2), (400, 1e-4)):
            table.hold("air: carbon of %s water, %d steps" % (name, n), mine,
                       probe("gas", air, film, area, V, t, last, n, flat(c))[0], may)


def holdup(probe, table, rng):
    Vp, Vf, cp, cc = 6e-5, 1.94e-4, 0.05, 4.0
    for n, rest, v, w in ((1, 3600.0, 2e-5, 8e-5), (7, 400.0, 1.4e-4, 5e-4), (1000, 20.0, 2e-3, 8e-3)):
        BA, x, y = 5e-8, 0.5, 3.0
        # State x, y, 1 and what came out of both sides; a rest and a run are matrices.
        still, flow = np.zeros((5, 5)), np.zeros((5, 5))
        still[0, :2], still[1, :2] = [-BA / Vp, BA / Vp], [BA / Vf, -BA / Vf]
        a, b = v / n, w / n
        flow[0, 0], flow[0, 2], flow[1, 1], flow[1, 2] = -a / Vp, a * cp / Vp, -b / Vf, b * cc / Vf
        flow[3, 0], flow[4, 1] = a, b
        cycle = expm(flow) @ expm(still * rest)
        end = np.linalg.matrix_power(cycle, n) @ np.array([x, y, 1.0, 0.0, 0.0])
        mine = [end[0], end[1], end[3] / v, end[4] / w]
        table.hold("holdup: both sides, both outlets, %d cycles" % n, mine,
                   probe("cycles", Vp, Vf, BA, x, y, n, rest, v, w, cp, cc), 1e-9)


def sea_density(S, t):
    """One-atmosphere equation of state EOS-80, UNESCO 1983."""
    pure = (999.842594 + 6.793952e-2 * t - 9.095290e-3 * t**2 + 1.001685e-4 * t**3 -
            1.120083e-6 * t**4 + 6.536332e-9 * t**5)
    A = (8.24493e-1 - 4.0899e-3 * t + 7.6438e-5 * t**2 - 8.2467e-7 * t**3 + 5.3875e-9 * t**4)
    B = -5.72466e-3 + 1.0227e-4 * t - 1.6546e-6 * t**2
    return pure + A * S + B * S**1.5 + 4.8314e-4 * S**2


def salinity(probe, table, rng):
    mine, said = [], []
    for _ in range(30):
        m, V, t = rng.uniform(0.1, 25), rng.uniform(0.3, 0.5), rng.uniform(5, 30)
        mine.append(brentq(lambda S: sea_density(S, t) * S * V / 1000 - m, 0, 300, xtol=1e-13))
        said.append(probe("salinity", m, V, t)[0])
    table.hold("salinity, g/kg", mine, said, 1e-6, relative=False)


def all_of_them(probe, table, rng):
    for part in (mixing, shapes, overflow, bladder, shutoff, gas, holdup, salinity):
        part(probe, table, rng)
