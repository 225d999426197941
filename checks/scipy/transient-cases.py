"""Solves circuits in time by SciPy's Radau and writes transient-cases.json. Usage: transient-cases.py OUTPUT

Full nodal equations of their own, no modes, no ports. `two-stages`: every net has capacitance, v' = C^-1 (s(t) - G v - i(v)),
20 mV peak sine from the operating point. `diode-rc`: 50 Hz through 100 ohm and a power-law diode into 20 uF and 10k, from
empty. `junction-choke`: rectified sine, junction, choke and second capacitor; its state has a current.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp


def koren(vg, va):
    mu, ex, kg1, kp, kvb = 100.0, 1.4, 1060.0, 600.0, 300.0
    e1 = va / kp * np.logaddexp(0.0, kp * (1 / mu + vg / np.sqrt(kvb + va * va)))
    return 2 * max(e1, 0.0) ** ex / kg1


def koren_slopes(vg, va):
    mu, ex, kg1, kp, kvb = 100.0, 1.4, 1060.0, 600.0, 300.0
    root = np.sqrt(kvb + va * va)
    z = kp * (1 / mu + vg / root)
    sp, sg = np.logaddexp(0.0, z), 1 / (1 + np.exp(-z))
    e1 = va / kp * sp
    slope = 2 * ex * e1 ** (ex - 1) / kg1
    return slope * va * sg / root, slope * (sp / kp - va * va * sg * vg / root**3)


class TwoStages:
    names = ["g1", "p1", "k1", "g2", "p2", "k2", "out", "b"]

    def __init__(self):
        at = {name: i for i, name in enumerate(self.names)}
        n = len(self.names)
        self.G, self.C, self.s, self.dc = np.zeros((n, n)), np.zeros((n, n)), np.zeros(n), np.zeros(n)

        def two(matrix, a, b, value):
            for x in (a, b):
                if x in at:
                    matrix[at[x], at[x]] += value
            if a in at and b in at:
                matrix[at[a], at[b]] -= value
                matrix[at[b], at[a]] -= value

        for a, b, ohms in [("in", "g1", 68e3), ("g1", "0", 1e6), ("p1", "b", 1e5), ("p2", "b", 1e5), ("k1", "0", 1500), ("k2", "0", 1500),
                           ("g2", "0", 470e3), ("out", "0", 1e5), ("b", "300", 10e3)]:
            two(self.G, a, b, 1 / ohms)
        for a, b, farads in [("k1", "0", 22e-6), ("k2", "0", 22e-6), ("p1", "g2", 22e-9), ("p2", "out", 1e-6), ("out", "0", 100e-12), ("b", "0", 22e-6)]:
            two(self.C, a, b, farads)
        for t in "12":
            for a, b, farads in [("g", "p", 1.7e-12), ("g", "k", 1.6e-12), ("p", "k", 0.5e-12)]:
                two(self.C, a + t, b + t, farads)
        self.s[at["g1"]] = 1 / 68e3
        self.dc[at["b"]] = 300 / 10e3
        self.inverse = np.linalg.inv(self.C)
        self.tubes = [(at["p1"], at["g1"], at["k1"]), (at["p2"], at["g2"], at["k2"])]
        self.bias = np.array([0, 191, 1.36, 0, 191, 1.36, 0, 282])
        for _ in range(20):
            self.bias = self.bias - np.linalg.solve(self.jacobian(0.0, self.bias), self.rate(0.0, self.bias))

    def flow(self, t, v):
        f = self.s * (0.02 * np.sin(2000 * np.pi * t)) + self.dc - self.G @ v
        for p, g, k in self.tubes:
            i = koren(v[g] - v[k], v[p] - v[k])
            f[p] -= i
            f[k] += i
        return f

    def rate(self, t, v):
        return self.inverse @ self.flow(t, v)

    def jacobian(self, _, v):
        J = -self.G.copy()
        for p, g, k in self.tubes:
            gm, gp = koren_slopes(v[g] - v[k], v[p] - v[k])
            for row, sign in ((p, -1), (k, 1)):
                J[row, g] += sign * gm
                J[row, p] += sign * gp
                J[row, k] -= sign * (gm + gp)
        return self.inverse @ J


def two_stages():
    circuit = TwoStages()
    times = np.linspace(0, 0.02, 201)
    solved = solve_ivp(circuit.rate, (0, 0.02), circuit.bias, method="Radau", jac=circuit.jacobian, t_eval=times, rtol=1e-11, atol=1e-10)
    return {"name": "two-stages", "seconds": times.tolist(), "volts": {"out": solved.y[6].tolist(), "p1": solved.y[1].tolist()}}


def diode_rc():
    peak, ohms, farads, load, K, p = 325.0, 100.0, 20e-6, 1e4, 7.433e-4, 1.4878

    # The diode stands between node a (behind the resistor, 1 nF to ground) and c.
    def rate(t, y):
        a, c = y
        i = K * max(a - c, 0.0) ** p
        return [((peak * np.sin(100 * np.pi * t) - a) / ohms - i) / 1e-9, (i - c / load) / farads]

    times = np.linspace(0, 0.1, 101)
    solved = solve_ivp(rate, (0, 0.1), [0.0, 0.0], method="Radau", t_eval=times, rtol=1e-9, atol=1e-9, max_step=2e-4)
    return {"name": "diode-rc", "seconds": times.tolist(), "volts": {"c": solved.y[1].tolist()}}


def junction_choke():
    peak, ohms, c1, henries, series, c2, load, saturation, neper = 300.0, 120.0, 10e-6, 10.0, 200.0, 32e-6, 8e3, 1e-9, 0.1

    # No capacitance at the junction's anode: its volts follow from the current through ohms.
    def current(u):
        if u <= -1:
            return -saturation
        low, high = 0.0, max(u, 0.0) / ohms + 1e-6
        for _ in range(200):
            i = 0.5 * (low + high)
            if neper * np.log(i / saturation + 1) + ohms * i < u:
                low = i
            else:
                high = i
        return 0.5 * (low + high)

    def rate(t, y):
        v1, i, v2 = y
        return [(current(abs(peak * np.sin(100 * np.pi * t)) - v1) - i) / c1, (v1 - v2 - series * i) / henries, (i - v2 / load) / c2]

    times, volts, amps, state = [0.0], [0.0], [0.0], [0.0, 0.0, 0.0]
    for half in range(10):
        wanted = np.linspace(half * 0.01, half * 0.01 + 0.01, 11)
        solved = solve_ivp(rate, (wanted[0], wanted[-1]), state, method="Radau", t_eval=wanted, rtol=1e-9, atol=1e-10, max_step=2e-4)
        state = solved.y[:, -1]
        times += wanted[1:].tolist()
        volts += solved.y[2][1:].tolist()
        amps += solved.y[1][1:].tolist()
    return {"name": "junction-choke", "seconds": times, "volts": {"v2": volts}, "amps": {"L": amps}}


if __name__ == "__main__":
    with open(sys.argv[1], "w") as out:
        json.dump({"made by": "transient-cases.py", "answers": [two_stages(), diode_rc(), junction_choke()]}, out)
        out.write("\n")
