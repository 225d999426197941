"""Linear algebra, curve fitting and the rectifier's steady state by NumPy and SciPy. Usage: numerics.py OUTPUT

LU: numpy.linalg.solve and slogdet on matrices made of integers by a rule both sides know. Fit: scipy.optimize.least_squares and
curve_fit with absolute sigma on data by rule. Rectifier: solve_ivp (DOP853) in time over many cycles until one repeats, no
events and no cycle form: C dv/dt = i(v, t) - load, where i solves i = law(e(t) - v - Rs i) at every call.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import curve_fit, least_squares


def rule(i, j):
    """Integers from -50 to 50 without any library: both sides compute them."""
    return (i * 37 + j * 71 + i * j * 13 + (i * i + 3 * j * j) % 17) % 101 - 50


def linear():
    rows = []
    for n in (3, 5, 8, 13):
        a = np.array([[rule(i, j) for j in range(n)] for i in range(n)], float)
        im = np.array([[rule(j + 2, i + 5) for j in range(n)] for i in range(n)], float)
        b = np.array([rule(i, 90) for i in range(n)], float)
        z = np.linalg.solve(a + 1j * im, b.astype(complex))
        rows.append(
            {
                "n": n,
                "condition": float(np.linalg.cond(a)),
                "solution": np.linalg.solve(a, b).tolist(),
                "transposed": np.linalg.solve(a.T, b).tolist(),
                "complexReal": z.real.tolist(),
                "complexImaginary": z.imag.tolist(),
            }
        )
    return rows


def fits():
    t = np.arange(25) / 5
    wiggle = np.array([rule(i, 7) for i in range(25)]) / 1000
    decay = lambda t, a, b, c: a * np.exp(-b * t) + c
    y = decay(t, 3, 0.9, 0.5) + wiggle
    sigma = 0.02 + 0.002 * np.arange(25)
    x, covariance = curve_fit(decay, t, y, p0=[1, 1, 0], sigma=sigma, absolute_sigma=True, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    rosenbrock = least_squares(lambda x: [10 * (x[1] - x[0] ** 2), 1 - x[0], 0.1 * x[1]], [-1.2, 1], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    inverse = np.linalg.inv(rosenbrock.jac.T @ rosenbrock.jac)
    return [
        {"name": "decay with weights", "x": x.tolist(), "covariance": covariance.ravel().tolist(), "cost": float(np.sum(((decay(t, *x) - y) / sigma) ** 2))},
        {"name": "valley with a pull", "x": rosenbrock.x.tolist(), "covariance": inverse.ravel().tolist(), "cost": float(2 * rosenbrock.cost)},
    ]


CASES = [
    {"name": "EZ80, full-wave, constant current", "rms": 300, "hertz": 50, "series": 215, "farads": 50e-6, "circuit": "full-wave", "law": {"form": "power", "K": 7.433e-4, "p": 1.4878}, "amps": 0.06},
    {"name": "power law, full-wave, resistor", "rms": 230, "hertz": 50, "series": 250, "farads": 33e-6, "circuit": "full-wave", "law": {"form": "power", "K": 1.2e-3, "p": 1.5}, "ohms": 5600},
    {"name": "power law, half-wave, resistor", "rms": 250, "hertz": 60, "series": 100, "farads": 47e-6, "circuit": "half-wave", "law": {"form": "power", "K": 1.2e-3, "p": 1.5}, "ohms": 10000},
    {"name": "junction, full-wave, constant current", "rms": 240, "hertz": 60, "series": 60, "farads": 47e-6, "circuit": "full-wave", "law": {"form": "exponential", "Is": 1e-9, "nVt": 0.05}, "amps": 0.08},
]


def plate_amps(law, series, u):
    """i of i = law(u - Rs i), to rounding, by safeguarded Newton on an array."""
    u = np.asarray(u, float)
    if law["form"] == "exponential":
        # Unknown y = ln(1 + i/Is): nVt y + Rs Is (e^y - 1) = u.
        I, V = law["Is"], law["nVt"]
        w = np.maximum(u, 0)
        y = np.minimum(w / V, np.log1p(w / (series * I)))
        for _ in range(80):
            move = (V * y + series * I * np.expm1(y) - w) / (V + series * I * np.exp(y))
            y = y - move
            if np.all(np.abs(move) <= 1e-15 * (1 + np.abs(y))):
                break
        return I * np.expm1(np.maximum(y, 0))
    # Unknown d = volts across the plate: d + Rs K d^p = u, convex: from above Newton is monotone.
    K, p = law["K"], law["p"]
    w = np.maximum(u, 0)
    d = np.minimum(w, (w / (series * K)) ** (1 / p))
    d = np.maximum(d, 1e-300)
    for _ in range(80):
        move = (d + series * K * d**p - w) / (1 + series * K * p * d ** (p - 1))
        d = np.maximum(d - move, 1e-300)
        if np.all(np.abs(move) <= 1e-15 * (1e-3 + w)):
            break
    return K * d**p


def rectifier(case):
    w = 2 * np.pi * case["hertz"]
    peak = case["rms"] * np.sqrt(2)
    full = case["circuit"] == "full-wave"
    emf = lambda t: peak * (np.abs(np.cos(w * t)) if full else np.cos(w * t))
    load = lambda v: case["amps"] if "amps" in case else v / case["ohms"]
    current = lambda t, v: plate_amps(case["law"], case["series"], emf(t) - v)
    rate = lambda t, v: (current(t, v) - load(v)) / case["farads"]
    period = 1 / case["hertz"] / (2 if full else 1)
    step = period / 150

    def cycle(v):
        # From one trough of the winding to the next, where no plate conducts.
        return solve_ivp(rate, (-period / 2, period / 2), [v], method="DOP853", rtol=1e-11, atol=1e-11, max_step=step, dense_output=True)

    # Steady state: v(end) = v(start), by secants on the cycle's map.
    a, b = 0.8 * peak, 0.85 * peak
    fa, fb = cycle(a).y[0, -1] - a, cycle(b).y[0, -1] - b
    for _ in range(30):
        a, b, fa = b, b - fb * (b - a) / (fb - fa), fb
        last = cycle(b)
        fb = last.y[0, -1] - b
        if abs(fb) < 1e-9:
            break
    assert abs(fb) < 1e-8, (case["name"], fb)
    # Means by Gauss-Legendre within the steps of the integrator.
    x, g = np.polynomial.legendre.leggauss(6)
    ends = last.t
    t = (ends[:-1, None] + ends[1:, None]) / 2 + np.diff(ends)[:, None] / 2 * x
    weight = (np.diff(ends)[:, None] / 2 * g).ravel()
    t = t.ravel()
    v = last.sol(t)[0]
    i = current(t, v)
    mean = lambda f: float(np.sum(weight * f) / period)
    fine = np.linspace(-period / 2, period / 2, 40001)
    vf = last.sol(fine)[0]
    return {
        "name": case["name"],
        "dcVolts": mean(v),
        "ripplePeakToPeakVolts": float(vf.max() - vf.min()),
        "platePeakAmps": float(current(fine, vf).max()),
        # One plate over the whole mains cycle: full-wave has two pulses per cycle, one for each plate.
        "plateRmsAmps": float(np.sqrt(mean(i * i) / (2 if full else 1))),
        "meanLoadAmps": mean(i),
    }


with open(sys.argv[1], "w") as file:
    answers = {"generator": "checks/scipy/numerics.py", "linear": linear(), "fits": fits(), "rectifierCases": CASES, "rectifier": [rectifier(case) for case in CASES]}
    json.dump(answers, file, indent=1)
    file.write("\n")
