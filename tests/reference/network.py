"""A zone's year by scipy's sparse factors, beside mateline's sweep: the same heat, and how much longer it takes.

    cargo bench -p mateline-tests --bench energy -- network zone.json
    python3 network.py zone.json

The file holds the elements, the hours and what mateline took and found. All nodes of all elements, the mean surface and the
air are one sparse system (ISO 52016-1:2017, 6.5.6, from memory, high), factored once; each hour is solved once, and the heat
that holds what people feel follows from the answer to a watt. Needs numpy and scipy.
"""
import json
import sys
import time

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

GLOW, HOUR = 5.13, 3600.0
# Shares to the air: of gains inside, of the sun, of heating and cooling.
INSIDE, SUN, HEAT = 0.4, 0.1, 0.4
GAINS = 400.0
LOW, HIGH = 20.0, 25.0


def main(name):
    given = json.load(open(name))
    elements, hours = given["elements"], given["hours"]
    area = sum(one["area"] for one in elements)
    rows, columns, values = [], [], []

    def add(row, column, value):
        rows.append(row)
        columns.append(column)
        values.append(value)

    count = sum(len(one["stores"]) for one in elements)
    mean, air = count, count + 1
    size = count + 2
    stores, outer, taken, inner = np.zeros(size), np.zeros(size), np.zeros(size), np.zeros(size)
    first = 0
    for one in elements:
        last = first + len(one["stores"]) - 1
        between = one["between"]
        for place, store in enumerate(one["stores"]):
            node = first + place
            out = one["outer"] if node == first else between[place - 1]
            into = one["inner"] + GLOW if node == last else between[place]
            stores[node] = store / HOUR
            add(node, node, store / HOUR + out + into)
            if node > first:
                add(node, node - 1, -out)
            if node < last:
                add(node, node + 1, -into)
        outer[first], taken[first] = one["outer"], 1.0
        add(last, air, -one["inner"])
        add(last, mean, -GLOW)
        inner[last] = 1.0
        add(mean, last, -one["area"] / area)
        add(air, last, -one["area"] * one["inner"])
        first = last + 1
    add(mean, mean, 1.0)
    film = sum(one["area"] * one["inner"] for one in elements)
    add(air, air, given["stores"] / HOUR + film + given["air"])
    stores[air] = given["stores"] / HOUR
    matrix = coo_matrix((values, (rows, columns)), shape=(size, size)).tocsc()

    begun = time.perf_counter()
    factors = splu(matrix)
    to_surfaces = (1.0 - HEAT) / area * inner
    watt = to_surfaces.copy()
    watt[air] = HEAT
    watt = factors.solve(watt)
    felt_by_watt = 0.5 * (watt[air] + watt[mean])
    state = np.full(size, 20.0)
    total = 0.0
    for outdoors, took, sun in hours:
        side = stores * state + outer * outdoors + taken * took
        side += ((1.0 - INSIDE) * GAINS + (1.0 - SUN) * sun) / area * inner
        side[air] += given["air"] * outdoors + INSIDE * GAINS + SUN * sun
        free = factors.solve(side)
        felt = 0.5 * (free[air] + free[mean])
        heat = (min(max(felt, LOW), HIGH) - felt) / felt_by_watt
        state = free + heat * watt
        total += abs(heat)
    took = (time.perf_counter() - begun) * 1e3
    own = given["milliseconds"]
    print(f"{len(elements)} elements, {size} nodes, {len(hours)} hours")
    print(f"scipy    {took:9.1f} ms, {total:.6f} Wh")
    print(f"mateline {own:9.1f} ms, {given['sum']:.6f} Wh, {took / own:.0f} times as fast")
    assert abs(total / given["sum"] - 1.0) < 1e-9


if __name__ == "__main__":
    main(sys.argv[1])
