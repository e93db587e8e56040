"""Solves the conduction plugin's matrices by other means, beside the plugin itself, and prints ratios.

The program of `conduction.rs` writes a matrix and says what solving it took there. The same matrix is then solved by
scipy's `spsolve` and, where scikit-sparse is installed, by CHOLMOD, each in a process of its own so that the memory it
takes can be told. All in one run; everything on one thread. Needs Python 3.11 or later with

    apt-get install libsuitesparse-dev libopenblas-dev
    pip install "cython<3.2" numpy==2.4.6 scipy==1.17.1 scikit-sparse==0.4.16

    cargo bench -p mateline-tests --bench conduction --no-run     # prints the path of the program
    python conduction.py PROGRAM
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time

SIZES = [10_000, 100_000, 1_000_000]
ONE_THREAD = {name: "1" for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "RAYON_NUM_THREADS")}


def load(folder):
    import numpy as np
    import scipy.sparse as sparse

    with open(os.path.join(folder, "matrix.bin"), "rb") as file:
        cells, entries = np.fromfile(file, "<u8", 2)
        starts = np.fromfile(file, "<u4", int(cells) + 1).astype(np.int32)
        rows = np.fromfile(file, "<u4", int(entries)).astype(np.int32)
        values = np.fromfile(file, "<f8", int(entries))
        side = np.fromfile(file, "<f8", int(cells))
    upper = sparse.csc_matrix((values, rows, starts), (int(cells), int(cells)))
    whole = (upper + sparse.triu(upper, 1).T).tocsc()
    return whole, side


def peak():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def one(solver, folder):
    whole, side = load(folder)
    if solver == "spsolve":
        import scipy
        from scipy.sparse.linalg import spsolve

        version = f"scipy {scipy.__version__}"
        work = lambda: spsolve(whole, side)
    else:
        try:
            import sksparse
            from sksparse.cholmod import cholesky
        except ImportError as error:
            print(json.dumps({"missing": str(error)}))
            return
        version = f"scikit-sparse {getattr(sksparse, '__version__', 'unknown')}"
        work = lambda: cholesky(whole)(side)
    before, best = peak(), float("inf")
    for _ in range(1 if whole.shape[0] > 500_000 else 3):
        start = time.perf_counter()
        found = work()
        best = min(best, time.perf_counter() - start)
    print(json.dumps({"solve_ms": best * 1e3, "memory_mb": peak() - before, "sum": float(found.sum()), "of": version}))


def run(command):
    done = subprocess.run(command, env={**os.environ, **ONE_THREAD}, capture_output=True, text=True)
    if done.returncode != 0:
        return {"missing": done.stderr.strip().splitlines()[-1] if done.stderr.strip() else "it ended early"}
    said = done.stdout.strip().splitlines()
    return json.loads(said[-1]) if said else {"missing": "it said nothing"}


def main(program, sizes):
    print(f"{'cells':>9} {'solver':<24} {'time':>12} {'to ours':>8} {'memory':>10} {'to ours':>8}")
    for size in sizes:
        with tempfile.TemporaryDirectory() as folder:
            ours = run([program, "matrix", folder, str(size)])
            if "missing" in ours:
                print(f"{size:>9} {'this solver':<24} not run: {ours['missing']}")
                continue
            rows = [("this solver", ours)]
            for solver in ("spsolve", "cholmod"):
                rows.append((solver, run([sys.executable, __file__, "--one", solver, folder])))
            for name, row in rows:
                if "missing" in row:
                    print(f"{ours['cells']:>9} {name:<24} not run: {row['missing']}")
                    continue
                if abs(row["sum"] / ours["sum"] - 1) > 1e-6:
                    print(f"{name} differs: {row['sum']} against {ours['sum']}")
                print(
                    f"{ours['cells']:>9} {row.get('of', name):<24} {row['solve_ms']:>9.1f} ms"
                    f" {row['solve_ms'] / ours['solve_ms']:>8.2f} {row['memory_mb']:>7.0f} MB"
                    f" {row['memory_mb'] / max(ours['memory_mb'], 1e-9):>8.2f}"
                )
            print(f"{'':>9} ours in products with a vector: {ours['solve_ms'] / ours['product_ms']:.0f}")


if __name__ == "__main__":
    if sys.argv[1] == "--one":
        one(sys.argv[2], sys.argv[3])
    else:
        main(os.path.abspath(sys.argv[1]), [int(size) for size in sys.argv[2:]] or SIZES)
