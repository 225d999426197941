"""Times SciPy and NumPy on the work of bench.ts; prints JSON of seconds. The same equations, written as such users write them."""
import importlib.util
import json
import os
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

HERE = os.path.dirname(os.path.abspath(__file__))
sys.argv = ["circuits.py", os.devnull]
spec = importlib.util.spec_from_file_location("circuits", os.path.join(HERE, "..", "checks", "scipy", "circuits.py"))
circuits = importlib.util.module_from_spec(spec)
spec.loader.exec_module(circuits)

LAWS = {
    "a": {"space": {"form": "island", "G": 1.2688e-3, "mu": 20.825, "p": 1.3705, "k": 5.683, "a": 0.2933, "Vt": 0.1805, "Vct": 0.226}, "grid": {"form": "none"}}
}
CASE = {
    "name": "channel", "output": "out", "hertz": 1000,
    "parts": [
        ["signal", "in", 0, 0], ["P", "drive", "in", "w", "0", 50e3, 0.5], ["R", "stop", "w", "ga", 220], ["R", "Ra", "b", "pa", 15e3], ["R", "Rk", "ka", "0", 680],
        ["C", "Ck", "ka", "0", 470e-6], ["C", "Cc", "pa", "gb", 100e-9], ["R", "Rg", "gb", "tap", 470e3], ["R", "Rk1", "kb", "tap", 820], ["R", "Rk2", "tap", "0", 8200],
        ["R", "Ro", "kb", "o1", 100], ["C", "Co", "o1", "out", 4.7e-6], ["R", "level", "out", "0", 25e3], ["R", "load", "out", "0", 10e3], ["C", "cable", "out", "0", 1e-9],
        ["V", "hv", "hv", 250], ["R", "Rb", "hv", "b", 2200], ["C", "Cb", "b", "0", 47e-6],
        ["T", "a", "pa", "ga", "ka", "a", 1.5e-12, 1.6e-12, 0.5e-12], ["T", "b", "b", "gb", "kb", "a", 1.5e-12, 1.6e-12, 0.5e-12],
    ],
}


def median(work, times):
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return sorted(spent)[len(spent) // 2]


circuit = circuits.Circuit(CASE, LAWS, 1.5)
bias = circuit.bias()
G, C, Gs, Cs, Gd, Cd, j = circuit.matrices()
residual = lambda v: G @ v + Gd + j + circuit.device(v[:, None], np.zeros(1))[:, 0]
start = bias * 0.9
slopes = circuit.slopes(bias)
frequencies = np.logspace(1, 5.3, 200)


def response():
    for f in frequencies:
        w = 2 * np.pi * f
        np.linalg.solve(G + slopes + 1j * w * C, -(Gs + 1j * w * Cs))


def rectifier():
    peak, w, farads, ohms, K, p, load = 300 * 2**0.5, 2 * np.pi * 50, 50e-6, 215.0, 7.433e-4, 1.4878, 0.06
    grid = np.linspace(0, 200, 2001)
    amps = K * grid**p
    total = grid + ohms * amps

    def rate(t, y):
        u = abs(peak * np.sin(w * t)) - y[0]
        return [(np.interp(u, total, amps) - load) / farads if u > 0 else -load / farads]

    # Half-cycles until the volts repeat within 1 mV.
    y, t, before = [330.0], 0.0, None
    for _ in range(400):
        solved = solve_ivp(rate, (t, t + 0.01), y, method="LSODA", rtol=1e-7, atol=1e-6, max_step=2e-4)
        y, t = [solved.y[0, -1]], t + 0.01
        if before is not None and abs(y[0] - before) < 1e-4:
            return y
        before = y[0]
    return y


print(
    json.dumps(
        {
            "bias": median(lambda: fsolve(residual, start, xtol=1e-10), 21),
            "response": median(response, 11),
            "harmonics": median(lambda: circuit.harmonics(bias, 2 * 2**0.5, 12), 3),
            "rectifier": median(rectifier, 3),
        }
    )
)
