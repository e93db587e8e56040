"""Reference values for the ventilation plugin, computed with scipy.

Writes ventilation.json beside this file: random air-flow networks solved by optimize.root, random zones of mixed air
integrated by integrate.solve_ivp, and Colebrook's equation solved by optimize.brentq. Nothing here shares code with the
plugin. Needs numpy 2.3.5 and scipy 1.16.3 (Python 3.11):

    pip install numpy==2.3.5 scipy==1.16.3
    python ventilation.py
"""

import math

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, root

import lines

PINNED = {"numpy": "2.3.5", "scipy": "1.16.3"}
LINEAR_BELOW = 1e-3  # Pa: a path is linear below this, so that its slope stays finite


def flow(coefficient, exponent, drop):
    small = np.abs(drop) < LINEAR_BELOW
    linear = coefficient * LINEAR_BELOW ** (exponent - 1.0) * drop
    power = coefficient * np.maximum(np.abs(drop), LINEAR_BELOW) ** exponent * np.sign(drop)
    return np.where(small, linear, power)


def network(rng):
    """A connected network with leakage from some zones; a few doors more than a tree needs."""
    count = int(rng.integers(2, 16))
    fans = rng.uniform(-0.03, 0.03, count)
    pairs = [(int(rng.integers(0, zone)), zone) for zone in range(1, count)]
    for _ in range(int(rng.integers(0, count))):
        a, b = rng.choice(count, 2, replace=False)
        pairs.append((int(a), int(b)))
    paths = [(a, b, float(rng.uniform(0.003, 0.05)), float(rng.choice([0.5, 0.5, 0.6]))) for a, b in pairs]
    leaky = rng.choice(count, max(1, count // 2), replace=False)
    leaks = [(int(zone), float(rng.uniform(2e-4, 5e-3)), 0.65) for zone in sorted(leaky)]

    start, end, size, power = (np.array(column) for column in zip(*paths))
    zone, leak, exponent = (np.array(column) for column in zip(*leaks))
    start, end, zone = start.astype(int), end.astype(int), zone.astype(int)

    def excess(pressure):
        left = fans.copy()
        through = flow(size, power, pressure[start] - pressure[end])
        np.add.at(left, start, -through)
        np.add.at(left, end, through)
        np.add.at(left, zone, -flow(leak, exponent, pressure[zone]))
        return left

    best = None
    for attempt in range(200):
        guess = rng.normal(0.0, 3.0 * 1.5 ** (attempt % 8), count)
        found = root(excess, guess, method=["hybr", "lm"][attempt % 2], tol=1e-13)
        residual = float(np.max(np.abs(excess(found.x))))
        if best is None or residual < best[0]:
            best = (residual, found.x)
        if residual < 1e-12:
            break
    residual, pressure = best
    assert residual < 1e-11, residual
    return {
        "fans": fans.tolist(),
        "paths": [list(path) for path in paths],
        "leaks": [list(leak) for leak in leaks],
        "pressures": pressure.tolist(),
        "path_flows": flow(size, power, pressure[start] - pressure[end]).tolist(),
        "leak_flows": flow(leak, exponent, -pressure[zone]).tolist(),
        "residual": residual,
    }


def night(rng):
    """Zones with random flows, watched for eight hours."""
    count = int(rng.integers(1, 9))
    volumes = rng.uniform(8.0, 120.0, count)
    outdoor = rng.uniform(0.0, 0.02, count) * rng.integers(0, 2, count)
    transfers = []
    for _ in range(2 * count if count > 1 else 0):
        a, b = rng.choice(count, 2, replace=False)
        transfers.append((int(a), int(b), float(rng.uniform(0.0, 0.02))))
    source = rng.uniform(0.0, 8e-6, count) * rng.integers(0, 2, count)
    start = rng.uniform(0.0, 6e-4, count)

    matrix = np.zeros((count, count))
    for zone in range(count):
        matrix[zone, zone] -= outdoor[zone] / volumes[zone]
    for a, b, through in transfers:
        matrix[b, a] += through / volumes[b]
        matrix[b, b] -= through / volumes[b]
    times = [0.0, 600.0, 3600.0, 7200.0, 14400.0, 21600.0, 28800.0]
    solved = solve_ivp(
        lambda _, state: matrix @ state + source / volumes,
        (0.0, 28800.0),
        start,
        method="DOP853",
        t_eval=times,
        rtol=1e-12,
        atol=1e-16,
    )
    assert solved.success
    return {
        "volumes": volumes.tolist(),
        "outdoor": outdoor.tolist(),
        "transfers": [list(transfer) for transfer in transfers],
        "source": source.tolist(),
        "start": start.tolist(),
        "times": times,
        "values": solved.y.tolist(),
    }


def colebrook(rng):
    reynolds = float(10 ** rng.uniform(math.log10(4000.0), 6.0))
    rough = float(rng.choice([0.0, 10 ** rng.uniform(-5.0, -1.5)]))

    def left(root_):
        return 1.0 / root_ + 2.0 * math.log10(rough / 3.7 + 2.51 / (reynolds * root_))

    return {"reynolds": reynolds, "rough": rough, "factor": brentq(left, 0.05, 0.6, xtol=1e-15, rtol=1e-14) ** 2}


def main():
    versions = {"numpy": np.__version__, "scipy": scipy.__version__}
    assert versions == PINNED, versions
    rng = np.random.default_rng(62_2)
    result = {
        "made_by": "ventilation.py",
        "versions": versions,
        "networks": [network(rng) for _ in range(24)],
        "nights": [night(rng) for _ in range(24)],
        "friction": [colebrook(rng) for _ in range(24)],
    }
    lines.write(__file__, result)


main()
