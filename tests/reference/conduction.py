"""Reference values for the junctions plugin, computed with scipy.

Writes conduction.json beside this file: random sections of rectangles solved by bilinear finite elements on even grids
of three sizes, extrapolated to size zero. Nothing here shares code with the plugin, which uses finite volumes on graded
grids; the two discretisations approach the answer from different sides. Needs numpy 2.3.5 and scipy 1.16.3 (Python
3.11):

    pip install numpy==2.3.5 scipy==1.16.3
    python conduction.py
"""


import numpy as np
import scipy
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

import lines

PINNED = {"numpy": "2.3.5", "scipy": "1.16.3"}
STEP = 0.02  # m: every edge of a section lies on a multiple of it
MOST = 900_000  # elements of the finest of three grids, each twice as fine as the one before

# Stiffness of a square bilinear element of unit conductivity, nodes counter-clockwise from the lower left.
ELEMENT = np.array([[4, -1, -2, -1], [-1, 4, -1, -2], [-2, -1, 4, -1], [-1, -2, -1, 4]]) / 6.0
# Film on an element's edge of unit length and unit heat transfer coefficient.
FILM = np.array([[2, 1], [1, 2]]) / 6.0


def section(rng):
    """Fields of material on an uneven lattice, with one to three corners cut away; warm above, cold below."""
    nx, ny = int(rng.integers(3, 6)), int(rng.integers(3, 6))
    widths, heights = rng.integers(1, 8, nx), rng.integers(1, 8, ny)
    conductivity = 10 ** rng.uniform(np.log10(0.025), np.log10(3.0), (ny, nx))
    if rng.random() < 0.4:
        conductivity[int(rng.integers(0, ny)), int(rng.integers(0, nx))] = 50.0
    solid = np.ones((ny, nx), bool)
    for _ in range(int(rng.integers(1, 4))):
        row, column = (ny - 1 if rng.random() < 0.5 else 0), (nx - 1 if rng.random() < 0.5 else 0)
        solid[row, column] = False
    x, y = np.concatenate([[0], np.cumsum(widths)]), np.concatenate([[0], np.cumsum(heights)])
    films = [round(float(rng.uniform(0.03, 0.3)), 3) for _ in range(3)]
    third = rng.random() < 0.5
    edges = []  # (x0, y0, x1, y1, environment), in steps; 0 cold, 1 warm, 2 a second cold one
    for row in range(ny):
        for column in range(nx):
            if not solid[row, column]:
                continue
            x0, x1, y0, y1 = x[column], x[column + 1], y[row], y[row + 1]
            # A cut corner belongs to the side it is cut from.
            cold = lambda of: 2 if third and of >= nx / 2 else 0
            if row == ny - 1 or not solid[row + 1, column]:
                edges.append((x0, y1, x1, y1, 1))
            if row == 0 or not solid[row - 1, column]:
                edges.append((x0, y0, x1, y0, cold(column)))
            if column > 0 and not solid[row, column - 1]:
                edges.append((x0, y0, x0, y1, 1 if row == ny - 1 else cold(column - 1)))
            if column + 1 < nx and not solid[row, column + 1]:
                edges.append((x1, y0, x1, y1, 1 if row == ny - 1 else cold(column + 1)))
    count = 3 if any(edge[4] == 2 for edge in edges) else 2
    return x, y, conductivity, solid, [tuple(int(v) for v in edge) for edge in edges], films[:count]


def couple(x, y, conductivity, solid, edges, films, cuts):
    """Heat between the environments by bilinear elements with `cuts` elements along a step."""
    nx, ny, size = x[-1] * cuts, y[-1] * cuts, STEP / cuts
    column = np.searchsorted(x, (np.arange(nx) + 0.5) / cuts) - 1
    row = np.searchsorted(y, (np.arange(ny) + 0.5) / cuts) - 1
    k = np.where(solid, conductivity, 0.0)[np.ix_(row, column)]
    jj, ii = np.nonzero(k)
    node = lambda i, j: j * (nx + 1) + i
    nodes = np.stack([node(ii, jj), node(ii + 1, jj), node(ii + 1, jj + 1), node(ii, jj + 1)], axis=1)
    rows = np.repeat(nodes, 4, axis=1).ravel()
    columns = np.tile(nodes, (1, 4)).ravel()
    values = (k[jj, ii][:, None] * ELEMENT.ravel()[None, :]).ravel()
    count = (nx + 1) * (ny + 1)
    loads = np.zeros((count, len(films)))
    for x0, y0, x1, y1, environment in edges:
        along = np.arange(max(x1 - x0, y1 - y0) * cuts)
        if y0 == y1:
            a, b = node(x0 * cuts + along, y0 * cuts), node(x0 * cuts + along + 1, y0 * cuts)
        else:
            a, b = node(x0 * cuts, y0 * cuts + along), node(x0 * cuts, y0 * cuts + along + 1)
        h = size / films[environment]
        rows = np.concatenate([rows, a, a, b, b])
        columns = np.concatenate([columns, a, b, a, b])
        values = np.concatenate([values, *[np.full(len(along), h * f) for f in FILM.ravel()]])
        np.add.at(loads[:, environment], a, h / 2)
        np.add.at(loads[:, environment], b, h / 2)
    matrix = sparse.csc_matrix((values, (rows, columns)), shape=(count, count))
    used = np.flatnonzero(matrix.diagonal() > 0)
    solved = splu(matrix[used][:, used]).solve(loads[used])
    # Flow from environment i into the section when only j is warm: film area of i times (own - weighted temperature).
    return np.diag(loads.sum(axis=0)) - loads[used].T @ solved


def main():
    found = {"numpy": np.__version__, "scipy": scipy.__version__}
    assert found == PINNED, f"{found} is not {PINNED}"
    rng = np.random.default_rng(20261125)
    cases = []
    for _ in range(12):
        x, y, conductivity, solid, edges, films = section(rng)
        finest = 2 ** int(np.log2(np.sqrt(MOST / (x[-1] * y[-1]))))
        coarse, middle, fine = (
            couple(x, y, conductivity, solid, edges, films, cuts) for cuts in (finest // 4, finest // 2, finest)
        )
        # Corners between materials make the order of convergence differ; take it from the three grids.
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.clip((coarse - middle) / (middle - fine), 2.0, 4.0)
        limit = fine + (fine - middle) / (ratio - 1.0)
        parts = [
            [x[c] * STEP, y[r] * STEP, x[c + 1] * STEP, y[r + 1] * STEP, conductivity[r, c]]
            for r in range(len(y) - 1)
            for c in range(len(x) - 1)
            if solid[r, c]
        ]
        cases.append(
            {
                "parts": [[round(float(v), 6) for v in part] for part in parts],
                "surfaces": [[round(float(v) * STEP, 6) for v in edge[:4]] + [edge[4]] for edge in edges],
                "resistances": films,
                "coupling": [
                    [float(-limit[i, j]) if i != j else 0.0 for j in range(len(films))] for i in range(len(films))
                ],
                # The last step of the extrapolation, for each coupling.
                "uncertainty": [[float(abs(limit[i, j] - fine[i, j])) for j in range(len(films))] for i in range(len(films))],
            }
        )
    out = {"made_by": "conduction.py", "versions": PINNED, "sections": cases}
    lines.write(__file__, out)
    print("largest step of an extrapolation:", max(max(max(row) for row in case["uncertainty"]) for case in cases))


if __name__ == "__main__":
    main()
