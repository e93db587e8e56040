"""Zones that touch, worked by scipy's sparse factors; writes zones.json, which a test reads.

    python3 zones.py > zones.json

All nodes of all zones, their mean surfaces and their airs are one sparse system (ISO 52016-1:2017, 6.5.6, from memory, high),
where mateline sweeps element by element and solves a band of airs. Heat is found by trying every way in which zones can be
free, held at the lower or held at the higher temperature, and keeping the one that contradicts nothing. Needs numpy and scipy.
"""
import itertools
import json
import math
import random

import numpy as np
from scipy.sparse import lil_matrix
from scipy.sparse.linalg import splu

GLOW, HOUR = 5.13, 3600.0
INSIDE, SUN, HEAT = 0.4, 0.1, 0.4


def case(seed, count, links, low, high, hours):
    pick = random.Random(seed)
    number = lambda least, most, digits=3: round(pick.uniform(least, most), digits)
    zones = []
    for _ in range(count):
        elements = []
        for place in range(3):
            resistance = number(0.3, 1.2) if place == 2 else number(1.5, 8.0)
            parts = (1,) if place == 2 else (6, 3, 3, 6)
            inside = number(5e3, 90e3, 0)
            elements.append({"area": number(4, 40), "outer": 24.14, "between": [round(part / resistance, 9) for part in parts],
                             "stores": [0.0, 0.0] if place == 2 else [0, 0, 0, 0, inside], "inner": pick.choice([2.5, 5.0, 0.7])})
        zones.append({"elements": elements, "air": number(4, 25), "stores": number(1e5, 1e6, 0)})
    size = sum(2 + sum(len(one["stores"]) for one in zone["elements"]) for zone in zones)
    matrix, stores = lil_matrix((size, size)), np.zeros(size)
    airs, means, places, outers, areas = [], [], [], [], []
    at = 0
    for zone in zones:
        air, mean = at, at + 1
        at += 2
        area = sum(one["area"] for one in zone["elements"])
        airs.append(air), means.append(mean), areas.append(area)
        matrix[air, air] += zone["stores"] / HOUR + zone["air"]
        stores[air] = zone["stores"] / HOUR
        matrix[mean, mean] += 1.0
        inner, outer = [], []
        for one in zone["elements"]:
            for node, store in enumerate(one["stores"]):
                row = at + node
                stores[row] = store / HOUR
                matrix[row, row] += store / HOUR
                if node + 1 < len(one["stores"]):
                    h = one["between"][node]
                    matrix[row, row] += h
                    matrix[row, row + 1] -= h
                    matrix[row + 1, row + 1] += h
                    matrix[row + 1, row] -= h
            last = at + len(one["stores"]) - 1
            matrix[at, at] += one["outer"]
            matrix[last, last] += one["inner"] + GLOW
            matrix[last, air] -= one["inner"]
            matrix[last, mean] -= GLOW
            matrix[air, air] += one["area"] * one["inner"]
            matrix[air, last] -= one["area"] * one["inner"]
            matrix[mean, last] -= one["area"] / area
            inner.append(last), outer.append(at)
            at += len(one["stores"])
        places.append(inner), outers.append(outer)
    for one, other, by in links:
        for here, there in ((one, other), (other, one)):
            matrix[airs[here], airs[here]] += by
            matrix[airs[here], airs[there]] -= by
    factors = splu(matrix.tocsc())
    watts = np.zeros((size, count))
    for zone in range(count):
        watts[airs[zone], zone] = HEAT
        for row in places[zone]:
            watts[row, zone] = (1 - HEAT) / areas[zone]
    raised = factors.solve(watts)
    felt = lambda found: np.array([0.5 * (found[air] + found[mean]) for air, mean in zip(airs, means)])
    by_heat = np.array([felt(raised[:, zone]) for zone in range(count)]).T
    state, told, before = np.full(size, 20.0), [], None
    for hour in range(hours):
        outdoors = round(9 + 11 * math.sin((hour - 9) / 24 * 2 * math.pi) + pick.uniform(-3, 3), 3)
        side, brought = stores * state, []
        for zone, given in enumerate(zones):
            internal, solar = number(0, 250, 1), (number(0, 2500, 1) if 8 <= hour % 24 <= 16 else 0.0)
            taken = [number(-40, 200, 1) for _ in given["elements"]]
            side[airs[zone]] += given["air"] * outdoors + INSIDE * internal + SUN * solar
            for row in places[zone]:
                side[row] += ((1 - INSIDE) * internal + (1 - SUN) * solar) / areas[zone]
            for row, one, up in zip(outers[zone], given["elements"], taken):
                side[row] += one["outer"] * outdoors + up
            brought.append({"internal": internal, "solar": solar, "taken": taken})
        free = factors.solve(side)
        heat = heats(felt(free), by_heat, low, high)
        state = free + raised @ heat
        for zone, one in enumerate(brought):
            one.update(heat=float(heat[zone]), air=float(state[airs[zone]]), mean=float(state[means[zone]]))
        told.append({"outdoors": outdoors, "zones": brought})
    return {"zones": zones, "links": links, "low": low, "high": high, "hours": told}


def heats(free, by_heat, low, high):
    """The heat of each zone: of all ways the one in which nothing is heated above the lower or cooled below the higher bound."""
    count, found = len(free), []
    for ways in itertools.product((None, low, high), repeat=count):
        held = [zone for zone in range(count) if ways[zone] is not None]
        if any(ways[zone] is not None and math.isinf(ways[zone]) for zone in held):
            continue
        heat = np.zeros(count)
        if held:
            to = np.array([ways[zone] - free[zone] for zone in held])
            heat[held] = np.linalg.solve(by_heat[np.ix_(held, held)], to)
        felt = free + by_heat @ heat
        small = 1e-9
        sound = all(
            low - small <= felt[zone] <= high + small if ways[zone] is None
            else (heat[zone] >= -small if ways[zone] == low else heat[zone] <= small)
            for zone in range(count))
        if sound:
            found.append(heat)
    assert found and all(np.allclose(found[0], other, atol=1e-6) for other in found), "one way and no other"
    return found[0]


# A row of three; five, of which some touch across; and a ring held at nothing above.
CASES = [
    (1, 3, [(0, 1, 45.0), (1, 2, 80.0)], 20.0, 25.0),
    (2, 5, [(0, 1, 20.0), (0, 2, 60.0), (1, 3, 35.0), (2, 3, 15.0), (2, 4, 90.0), (3, 4, 12.0)], 20.0, 24.0),
    (3, 4, [(0, 1, 30.0), (1, 2, 30.0), (2, 3, 30.0), (0, 3, 30.0)], 20.0, math.inf),
]

if __name__ == "__main__":
    cases = [case(*one, 72) for one in CASES]
    for one in cases:
        if math.isinf(one["high"]):
            one["high"] = None
    print(json.dumps({"source": "ISO 52016-1:2017, 6.5.6, thermally coupled zones (from memory), by scipy's sparse factors", "cases": cases}))
