"""A zone's year of hours by scipy, beside mateline's.

    cargo bench -p mateline-tests --bench energy -- network zone.json
    python3 energy.py zone.json          # numpy and scipy

The matrix of all nodes is factored once by scipy's sparse LU; each hour is solved twice, without heat and with 1 kW.
"""
import json
import sys
import time

import numpy as np
from scipy.sparse import lil_matrix
from scipy.sparse.linalg import splu

case = json.load(open(sys.argv[1]))
GLOW, HOUR = 5.13, 3600.0
elements = case["elements"]
first, size = [], 1
for element in elements:
    first.append(size)
    size += len(element["stores"])
area = sum(element["area"] for element in elements)
last = np.array([at + len(element["stores"]) - 1 for at, element in zip(first, elements)])
areas = np.array([element["area"] for element in elements])
matrix, keeps = lil_matrix((size + 1, size + 1)), np.zeros(size + 1)
mean = size
keeps[0] = case["stores"] / HOUR
matrix[0, 0] = keeps[0] + case["air"]
matrix[mean, mean] = -area
outer = np.zeros(size + 1)
for at, element in zip(first, elements):
    nodes = len(element["stores"])
    for node in range(nodes):
        row = at + node
        keeps[row] = element["stores"][node] / HOUR
        matrix[row, row] += keeps[row]
        if node + 1 < nodes:
            h = element["between"][node]
            matrix[row, row] += h
            matrix[row, row + 1] -= h
            matrix[row + 1, row + 1] += h
            matrix[row + 1, row] -= h
    matrix[at, at] += element["outer"]
    outer[at] = element["outer"]
    end = at + nodes - 1
    matrix[end, end] += element["inner"] + GLOW
    matrix[end, 0] -= element["inner"]
    matrix[end, mean] -= GLOW
    matrix[0, 0] += element["area"] * element["inner"]
    matrix[0, end] -= element["area"] * element["inner"]
    matrix[mean, end] = element["area"]
start = time.perf_counter()
factors = splu(matrix.tocsc())
watts = np.zeros(size + 1)
watts[0] = 400.0
watts[last] = 600.0 / area
warm = factors.solve(watts)
held = lambda state: 0.5 * state[0] + 0.5 * state[mean]
state, total = np.full(size + 1, 20.0), 0.0
up = np.zeros(size + 1)
up[np.array(first)] = 1.0
for outdoors, taken, sun in case["hours"]:
    side = keeps * state + outer * outdoors + taken * up
    side[0] += case["air"] * outdoors + 0.4 * 400.0 + 0.1 * sun
    side[last] += (0.6 * 400.0 + 0.9 * sun) / area
    free = factors.solve(side)
    heat = 1000.0 * (min(max(held(free), 20.0), 25.0) - held(free)) / held(warm)
    state = free + heat / 1000.0 * warm
    total += abs(heat)
took = (time.perf_counter() - start) * 1e3
print(f"{len(elements)} elements: scipy {took:.1f} ms, mateline {case['milliseconds']:.1f} ms, {took / case['milliseconds']:.0f} times")
print(f"heat in and out: {total:.3f} beside {case['sum']:.3f}, {abs(total / case['sum'] - 1):.1e} apart")
