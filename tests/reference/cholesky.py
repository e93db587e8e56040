"""Reference values for the factor of the junctions plugin, computed with scipy.

Writes cholesky.json beside this file: random symmetric positive definite matrices, most of them of a net of
conductances whose sizes span up to six powers of ten, with right-hand sides and scipy's solutions of them. Needs numpy
2.3.5 and scipy 1.16.3 (Python 3.11):

    pip install numpy==2.3.5 scipy==1.16.3
    python cholesky.py
"""

import json
import pathlib

import numpy as np
import scipy
import scipy.sparse as sparse
from scipy.sparse.linalg import spsolve

PINNED = {"numpy": "2.3.5", "scipy": "1.16.3"}


def net(rng, size, links, powers):
    """Random pairs joined by conductances, and a few tied to what surrounds them; numbered at random."""
    matrix = sparse.lil_matrix((size, size))
    for _ in range(links):
        one, other = (int(n) for n in rng.integers(0, size, 2))
        if one == other:
            continue
        conductance = 10 ** rng.uniform(-powers / 2, powers / 2)
        matrix[one, one] += conductance
        matrix[other, other] += conductance
        matrix[one, other] -= conductance
        matrix[other, one] -= conductance
    for node in range(size):
        matrix[node, node] += 10 ** rng.uniform(-1, 1) if rng.random() < 0.3 else 1e-3
    return matrix.tocsc()


def dense(rng, size):
    """A full matrix."""
    half = rng.standard_normal((size, size))
    return sparse.csc_matrix(half @ half.T + size * np.eye(size))


def case(rng, matrix):
    size = matrix.shape[0]
    upper = sparse.triu(matrix, format="csc")
    upper.sort_indices()
    sides = rng.standard_normal((size, int(rng.integers(1, 7))))
    found = spsolve(matrix, sides).reshape(sides.shape)
    return {
        "starts": upper.indptr.tolist(),
        "rows": upper.indices.tolist(),
        "values": upper.data.tolist(),
        "sides": sides.T.tolist(),
        "found": found.T.tolist(),
    }


def main():
    assert np.__version__ == PINNED["numpy"] and scipy.__version__ == PINNED["scipy"]
    rng = np.random.default_rng(20261129)
    matrices = [net(rng, size, links, powers) for size, links, powers in [
        (1, 0, 0), (2, 1, 0), (5, 8, 2), (16, 20, 2), (17, 40, 4), (33, 60, 4), (40, 30, 6), (60, 240, 6), (90, 120, 4),
    ]] + [dense(rng, 7), dense(rng, 23)]
    cases = [case(rng, matrix) for matrix in matrices]
    text = "[\n" + ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases) + "\n]\n"
    (pathlib.Path(__file__).parent / "cholesky.json").write_text(text)


if __name__ == "__main__":
    main()
