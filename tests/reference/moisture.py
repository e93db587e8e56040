# /// script
# requires-python = ">=3.10"
# dependencies = ["numpy==2.1.3"]
# ///
"""Reference for the moisture plugin: a year of condensation and drying in random assemblies under random climates.

The plugin finds the pressure in a month as the lower edge of a convex hull. Here it is found in another way, as the solution
of an obstacle problem: on the planes between slices the flows in and out balance, except where the pressure touches saturation
and water settles, or where water lies already. A primal-dual active set method solves the tridiagonal system by numpy.
Also monthly surface factors, with the saturation temperature found by bisection. Writes moisture.json beside this file.

Run with `pip install numpy==2.1.3` and `python moisture.py`.
"""

import math
import random

import numpy as np

import lines

D0 = 2e-10
DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]


def psat(t):
    if t >= 0:
        return 610.5 * math.exp(17.269 * t / (237.3 + t))
    return 610.5 * math.exp(21.875 * t / (265.5 + t))


def tsat(p):
    low, high = -60.0, 60.0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if psat(middle) < p else (low, middle)
    return (low + high) / 2


def slices(layers):
    parts = []
    for r, sd in layers:
        n = max(1, math.ceil(r / 0.25 - 1e-9))
        parts += [(r / n, sd / n)] * n
    return parts


def month(parts, rsi, rse, ti, te, pi, pe, held):
    """Gain of every inner plane, kg/(m2 s)."""
    total = rsi + sum(r for r, _ in parts) + rse
    temperatures, r = [], rsi
    temperatures.append(ti - (ti - te) * r / total)
    for part, _ in parts:
        r += part
        temperatures.append(ti - (ti - te) * r / total)
    most = np.array([psat(t) for t in temperatures])
    first, last = min(pi, most[0]), min(pe, most[-1])
    conductance = np.array([D0 / sd for _, sd in parts])
    n = len(parts) - 1
    if n < 1:
        return np.zeros(0)
    # A p = b: what flows out of a plane less what flows in.
    a = np.zeros((n, n))
    b = np.zeros(n)
    for i in range(n):
        a[i, i] = conductance[i] + conductance[i + 1]
        if i > 0:
            a[i, i - 1] = -conductance[i]
        if i < n - 1:
            a[i, i + 1] = -conductance[i + 1]
    b[0] += conductance[0] * first
    b[-1] += conductance[-1] * last
    wet = held > 0
    active = wet.copy()
    for _ in range(500):
        m, rhs = a.copy(), b.copy()
        for i in np.flatnonzero(active):
            m[i] = 0
            m[i, i] = 1
            rhs[i] = most[i + 1]
        p = np.linalg.solve(m, rhs)
        gain = b - a @ p
        scale = conductance.max()
        again = wet | (np.where(active, gain, 0) / scale + (p - most[1:-1]) > 1e-9)
        if (again == active).all():
            break
        active = again
    else:
        raise RuntimeError("the active set does not settle")
    return np.where(active, gain, 0.0)


def year(case):
    parts = slices(case["layers"])
    n = len(parts) - 1

    def run(start, held):
        rows = []
        for k in range(12):
            m = (start + k) % 12
            gain = month(parts, case["rsi"], case["rse"], *case["months"][m], held)
            held = np.maximum(0.0, held + gain * DAYS[m] * 86400)
            rows.append((m, held.copy()))
        return rows

    dry = [month(parts, case["rsi"], case["rse"], *m, np.zeros(n)).max(initial=0) > 1e-18 for m in case["months"]]
    starts = [m for m in range(12) if dry[m] and not dry[(m + 11) % 12]]
    runs = [run(start, np.zeros(n)) for start in starts or [0]]
    key = lambda rows: (rows[-1][1].sum(), max(held.sum() for _, held in rows))
    best = runs[0]
    for other in runs[1:]:
        if key(other) > key(best):
            best = other
    # Years one after another: the one that ends as it began, where there is one.
    rows, begun = best, np.zeros(n)
    for _ in range(100):
        ended = rows[-1][1]
        if abs(ended - begun).max() <= 1e-12:
            dry = [k for k in range(12) if rows[k][1].sum() == 0]
            return rows if not dry or dry[-1] == 11 else rows[dry[-1] + 1 :] + rows[: dry[-1] + 1]
        rows, begun = run(rows[0][0], ended), ended
    return best


def climate(rng):
    mean, swing = rng.uniform(-4, 18), rng.uniform(4, 18)
    ti = rng.uniform(18, 23)
    excess = rng.choice([270, 540, 810, 1080])
    months = []
    for m in range(12):
        te = mean - swing * math.cos(2 * math.pi * (m - 0.5) / 12)
        pe = rng.uniform(0.6, 0.95) * psat(te)
        inside = max(ti, te)
        pi = min(pe + excess * min(1, max(0, (20 - te) / 20)), psat(inside))
        months.append([inside, te, pi, pe])
    return months


def main():
    rng = random.Random(13788)
    cases = []
    while len(cases) < 60:
        layers = [[rng.choice([0.0, 0.05, 0.11, rng.uniform(0.3, 5.0)]), 10 ** rng.uniform(-2, 1.2)] for _ in range(rng.randint(2, 6))]
        case = {
            "rsi": rng.choice([0.10, 0.13, 0.17]),
            "rse": rng.choice([0.0, 0.04, 0.13]),
            "layers": layers,
            "months": climate(rng),
        }
        if len(slices(layers)) < 2:
            continue
        rows = year(case)
        wet = max(held.sum() for _, held in rows) > 0
        # Two in three hold water; the rest stay dry.
        if not wet and sum(1 for one in cases if one["peak"] == 0) >= 20:
            continue
        case["start"] = rows[0][0] if wet else None
        case["totals"] = [float(held.sum()) for _, held in rows]
        case["planes"] = [float(x) for x in max((held for _, held in rows), key=lambda held: held.sum())]
        case["peak"] = max(case["totals"])
        cases.append(case)
    surfaces = []
    for _ in range(40):
        ti, te, pi, _ = rng.choice(climate(rng))
        if ti - te < 0.5:
            continue
        row = [ti, te, pi]
        row += [(tsat(pi / critical) - te) / (ti - te) for critical in (0.8, 1.0)]
        surfaces.append(row)
    out = {"years": cases, "surfaces": surfaces}
    lines.write(__file__, out)
    print(len(cases), sum(c["peak"] > 0 for c in cases), sum(c["totals"][-1] > 0 for c in cases), len(surfaces))


main()
