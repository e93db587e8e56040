# /// script
# requires-python = ">=3.10"
# dependencies = ["numpy==2.1.3", "scipy==1.14.1"]
# ///
"""Reference for the materials plugin: mean emission factors over a period by adaptive quadrature, the steady
concentration in a room by integrating its mass balance until nothing changes, and the power law through several tests
by least squares. Writes materials.json beside this file.

Run with `pip install numpy==2.1.3 scipy==1.14.1` and `python materials.py`.
"""

import math

import numpy as np
from scipy.integrate import quad, solve_ivp

import lines

DAY = 86_400.0


def power(e0, t0, n):
    return lambda t: e0 * (t / t0) ** (-n)


def two_part(e0, t0, share, fast, slow):
    return lambda t: e0 * (share * math.exp(-fast * (t - t0)) + (1 - share) * math.exp(-slow * (t - t0)))


def mean(law, a, b):
    value, error = quad(law, a, b, epsabs=0, epsrel=1e-13, limit=500)
    assert error < 1e-9 * value
    return value / (b - a)


means = []
for n in [0.0, 0.25, 0.5, 0.9, 1.0, 1.0 + 1e-9, 1.4, 2.0]:
    for a, b in [(14.0, 15.0), (28.0, 393.0), (7.0, 3650.0)]:
        law = power(5.0, 14.0, n)
        means.append({"law": "power", "factor": 5.0, "age": 14.0, "power": n, "from": a, "to": b,
                      "at_from": law(a), "mean": mean(law, a, b)})
for share, fast, slow in [(0.7, 0.1, 0.002), (1.0, 0.03, 0.0), (0.0, 1.0, 0.0), (0.4, 0.02, 1e-9)]:
    for a, b in [(14.0, 15.0), (28.0, 393.0)]:
        law = two_part(12.0, 14.0, share, fast, slow)
        means.append({"law": "two-part", "factor": 12.0, "age": 14.0, "fast_share": share, "fast_rate": fast,
                      "slow_rate": slow, "from": a, "to": b, "at_from": law(a), "mean": mean(law, a, b)})

rooms = []
for volume, flow, parts in [
    (30.0, 18.0, [(5.0, 12.0)]),
    (547.0, 125.81, [(4.0, 211.0), (0.5, 560.0), (6.0, 18.0)]),
    (12.0, 2.0, [(20.0, 3.0), (1.0, 40.0)]),
]:
    source = sum(e * a for e, a in parts)
    hours = 60 * volume / flow
    found = solve_ivp(lambda t, c: (source - flow * c) / volume, (0, hours), [0.0], method="Radau", rtol=1e-11, atol=1e-13)
    rooms.append({"volume": volume, "flow": flow, "parts": parts, "concentration": float(found.y[0][-1])})

fits = []
for ages, factors in [
    ([14.0, 28.0], [9.0, 5.0]),
    ([3.0, 14.0, 28.0], [40.0, 12.0, 7.5]),
    ([7.0, 14.0, 28.0, 90.0], [10.0, 9.0, 6.0, 5.5]),
]:
    slope, constant = np.polyfit(np.log(ages), np.log(factors), 1)
    fits.append({"ages": ages, "factors": factors, "power": -float(slope),
                 "factor_at_first": float(np.exp(constant + slope * np.log(ages[0])))})

out = {"made_with": "numpy 2.1.3, scipy 1.14.1", "means": means, "rooms": rooms, "fits": fits}
lines.write(__file__, out)
