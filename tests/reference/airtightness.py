"""Reference numbers for the airtightness plugin, from scipy's own routines.

Run with numpy 2.4.6 and scipy 1.17.1:

    pip install numpy==2.4.6 scipy==1.17.1
    python airtightness.py

Prints JSON. The tests of plugins/airtightness carry these numbers and name this script as their source. What is shared
with the plugin is the data set and the definitions of the quantities; fits, quantiles, intervals and moments come from
scipy.
"""

import json

import numpy as np
import scipy
from scipy import optimize, stats

R_AIR = 287.055
RHO_0 = 1.204

# An invented test: depressurisation, zero-flow pressure already removed, 20 °C inside, 0 °C outside, 101 325 Pa.
PRESSURE = np.array([60, 55, 50, 45, 40, 35, 30, 25, 20, 15], dtype=float)
FLOW = np.array([395, 372, 351, 326, 303, 276, 250, 221, 192, 158], dtype=float)  # m³/h
INDOOR, OUTDOOR, BAROMETER = 293.15, 273.15, 101325.0


def viscosity(kelvin):
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def regression():
    rho_in, rho_out = BAROMETER / (R_AIR * INDOOR), BAROMETER / (R_AIR * OUTDOOR)
    through_leaks = FLOW * rho_in / rho_out
    x, y = np.log(PRESSURE), np.log(through_leaks)
    line = stats.linregress(x, y)
    t = stats.t.ppf(0.975, len(x) - 2)
    n, ln_c = line.slope, line.intercept
    density = (rho_out / RHO_0) ** (1 - n)
    c_l = np.exp(ln_c) * density
    # The interval of the mean response at 50 Pa, from the covariance matrix of an independent least-squares routine.
    parameters, covariance = optimize.curve_fit(lambda x, a, b: a + b * x, x, y)
    at = np.array([1.0, np.log(50.0)])
    s_y = np.sqrt(at @ covariance @ at)
    q50 = c_l * 50**n
    thick = (viscosity(OUTDOOR) / viscosity(293.15)) ** (2 * n - 1)
    c_0 = c_l * thick
    area = lambda c, dp, cd: c / 3600 * dp ** (n - 0.5) * np.sqrt(RHO_0 / 2) / cd * 1e4
    return {
        "n": n,
        "n_by_curve_fit": parameters[1],
        "c_env": np.exp(ln_c),
        "r2": line.rvalue**2,
        "c_l": c_l,
        "t": t,
        "s_n": line.stderr,
        "n_interval": [n - t * line.stderr, n + t * line.stderr],
        "s_ln_c": line.intercept_stderr,
        "c_l_interval": [c_l * np.exp(-t * line.intercept_stderr), c_l * np.exp(t * line.intercept_stderr)],
        "q50": q50,
        "q50_interval": [q50 * np.exp(-t * s_y), q50 * np.exp(t * s_y)],
        "c_0": c_0,
        "q50_e779": c_0 * 50**n,
        "ela4_cm2": area(c_l, 4.0, 1.0),
        "eqla10_cm2": area(c_l, 10.0, 0.611),
    }


def student():
    return {str(nu): stats.t.ppf(0.975, nu) for nu in (1, 2, 3, 5, 8, 13, 28, 100)}


def lognormal_sum():
    """Moments of a sum of independent lognormals with given means (m³/h) and geometric standard deviations."""
    means, spreads = [40.0, 25.0, 90.0], [2.0, 3.0, 1.5]
    parts = [stats.lognorm(s=np.log(g), scale=m / np.exp(np.log(g) ** 2 / 2)) for m, g in zip(means, spreads)]
    variances = np.array([p.var() for p in parts])
    # The distribution of the sum by convolution on a fine grid, free of random numbers.
    step, size = 0.02, 2**18
    grid = np.arange(size) * step
    transform = np.ones(size // 2 + 1, dtype=complex)
    for p in parts:
        mass = np.diff(np.concatenate([[0.0], p.cdf(grid + step / 2)]))
        transform *= np.fft.rfft(mass)
    cumulative = np.cumsum(np.fft.irfft(transform, size))
    quantile = lambda level: float(np.interp(level, cumulative, grid))
    return {
        "means": means,
        "spreads": spreads,
        "mean": float(sum(p.mean() for p in parts)),
        "variance": float(variances.sum()),
        "variance_shares": (variances / variances.sum()).tolist(),
        "p10_p50_p90": [quantile(0.1), quantile(0.5), quantile(0.9)],
        "chance_below_150": float(np.interp(150.0, grid, cumulative)),
    }


if __name__ == "__main__":
    result = {
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "regression": regression(),
        "student_t_95": student(),
        "lognormal_sum": lognormal_sum(),
    }
    print(json.dumps(result, indent=2, default=float))
