"""Zones, machines, mains water and hot water worked by other means than mateline's; writes energy.json, which tests read.

    python3 energy.py > energy.json

A zone is solved hour by hour as one dense system of all its nodes (Gauss, with pivots), where mateline sweeps element by
element. Equations: ISO 52016-1:2017, 6.5.6 (from memory, high): air, five-node elements and two-node windows, radiation to the
mean of all inner surfaces. Heat is found by two solutions, without and with 1 kW. Machines: capacity and power on lines
between rated points (10 CFR 430, appendix M, from memory, high). Needs no package.
"""
import json
import math
import random

GLOW, HOUR = 5.13, 3600.0


def solved(matrix, side):
    rows = [row[:] + [value] for row, value in zip(matrix, side)]
    n = len(rows)
    for k in range(n):
        best = max(range(k, n), key=lambda i: abs(rows[i][k]))
        rows[k], rows[best] = rows[best], rows[k]
        for i in range(k + 1, n):
            part = rows[i][k] / rows[k][k]
            if part:
                rows[i] = [a - part * b for a, b in zip(rows[i], rows[k])]
    found = [0.0] * n
    for k in reversed(range(n)):
        found[k] = (rows[k][n] - sum(rows[k][j] * found[j] for j in range(k + 1, n))) / rows[k][k]
    return found


def zone(seed, count, hours):
    pick = random.Random(seed)
    number = lambda low, high, digits=3: round(pick.uniform(low, high), digits)
    elements = []
    for _ in range(count):
        light = pick.random() < 0.4
        resistance = number(0.3, 1.2) if light else number(0.5, 9.0)
        between = [round(1 / resistance, 9)] if light else [round(part / resistance, 9) for part in (6, 3, 3, 6)]
        inside = number(0, 120e3, 0)
        stores = [0.0, 0.0] if light else pick.choice(
            ([0, 0, 0, 0, inside], [inside / 8, inside / 4, inside / 4, inside / 4, inside / 8]))
        elements.append({"area": number(1, 60), "outer": pick.choice([24.14, 1e4]), "between": between,
                         "stores": stores, "inner": pick.choice([2.5, 5.0, 0.7])})
    air, stores, radiant = number(5, 60), number(1e5, 4e6, 0), pick.choice([0.0, 0.5])
    to_air = {"internal": 0.4, "solar": 0.1, "heat": pick.choice([0.4, 1.0])}
    area = sum(element["area"] for element in elements)
    first, size = [], 1
    for element in elements:
        first.append(size)
        size += len(element["stores"])
    state = [20.0] * size
    low, high = 20.0, number(24, 27, 1)
    told = []
    for hour in range(hours):
        outdoors = round(4 + 9 * math.sin(hour / 24 * 2 * math.pi) + pick.uniform(-3, 3), 3)
        internal, solar = number(0, 600, 1), (number(0, 9000, 1) if 8 <= hour % 24 <= 16 else 0.0)
        taken = [number(-40, 300, 1) for _ in elements]
        matrix = [[0.0] * size for _ in range(size)]
        side = [0.0] * size
        matrix[0][0] = stores / HOUR + air
        side[0] = stores / HOUR * state[0] + air * outdoors + to_air["internal"] * internal + to_air["solar"] * solar
        onto = ((1 - to_air["internal"]) * internal + (1 - to_air["solar"]) * solar) / area
        for at, element, up in zip(first, elements, taken):
            count_nodes = len(element["stores"])
            for node in range(count_nodes):
                row, k = at + node, element["stores"][node] / HOUR
                matrix[row][row] += k
                side[row] += k * state[row]
                if node == 0:
                    matrix[row][row] += element["outer"]
                    side[row] += element["outer"] * outdoors + up
                if node + 1 < count_nodes:
                    h = element["between"][node]
                    matrix[row][row] += h
                    matrix[row][row + 1] -= h
                    matrix[row + 1][row + 1] += h
                    matrix[row + 1][row] -= h
            last = at + count_nodes - 1
            matrix[last][last] += element["inner"] + GLOW
            matrix[last][0] -= element["inner"]
            matrix[0][0] += element["area"] * element["inner"]
            matrix[0][last] -= element["area"] * element["inner"]
            side[last] += onto
            for other_at, other in zip(first, elements):
                matrix[last][other_at + len(other["stores"]) - 1] -= GLOW * other["area"] / area
        def held(found):
            mean = sum(element["area"] * found[at + len(element["stores"]) - 1] for at, element in zip(first, elements)) / area
            return radiant * mean + (1 - radiant) * found[0]
        free = solved(matrix, side)
        trial = side[:]
        trial[0] += to_air["heat"] * 1000.0
        for at, element in zip(first, elements):
            trial[at + len(element["stores"]) - 1] += (1 - to_air["heat"]) * 1000.0 / area
        heated = solved(matrix, trial)
        heat = 0.0
        wanted = min(max(held(free), low), high)
        if wanted != held(free):
            heat = 1000.0 * (wanted - held(free)) / (held(heated) - held(free))
        state = [a + heat / 1000.0 * (b - a) for a, b in zip(free, heated)]
        told.append({"outdoors": outdoors, "internal": internal, "solar": solar, "taken": taken, "heat": heat, "air": state[0]})
    return {"elements": elements, "air": air, "stores": stores, "radiant": radiant, "to_air": to_air, "low": low,
            "high": high, "hours": told}


def hot_water():
    cases = []
    for gallons, mains, hot, loss in ((55, 58, 125, 0.0), (38, 45.5, 120, 0.08), (60, 71, 130, 0.2)):
        litres = gallons * 3.785412
        heat = litres * 0.992 * 4.18 * (hot - mains) / 1.8 / 3600 / (1 - loss)
        cases.append({"draw": gallons, "mains": mains, "hot": hot, "loss": loss, "kwh_a_day": heat})
    return cases


def machine():
    points, frost = [(5, 17000.0, 2350.0), (17, 22000.0, 2500.0), (47, 36000.0, 2850.0)], (35, 31500.0, 2800.0)
    found = []
    for outdoor in range(-15, 66, 5):
        if 17 < outdoor < 45:
            low, high = points[1], frost
        elif outdoor < 17:
            low, high = points[0], points[1]
        else:
            low, high = points[1], points[2]
        along = (outdoor - low[0]) / (high[0] - low[0])
        capacity, power = (low[k] + along * (high[k] - low[k]) for k in (1, 2))
        for load in (4000.0, 15000.0, 40000.0):
            share = min(1.0, load / capacity)
            found.append({"outdoor": outdoor, "load": load, "heat": share * capacity,
                          "power": share * power / (1 - 0.25 * (1 - share))})
    return found


print(json.dumps({
    "source": "zones: ISO 52016-1:2017, 6.5.6; machine: 10 CFR 430, appendix M; hot water: density and heat of water at 50 °C; all "
              "from memory, high, worked here by other means",
    "zones": [zone(seed, count, 60) for seed, count in ((1, 2), (2, 5), (3, 9))],
    "hot_water": hot_water(),
    "machine": machine(),
}, ensure_ascii=False, separators=(",", ":")))
