"""Solves cases.json by SciPy in the full nodal form (no ports, no reduction) and writes circuits.json.

Bias: scipy.optimize.fsolve on node volts. Response: complex nodal solve with slopes by differences of the laws. Harmonics:
all node volts at 2K+1 samples of one period are unknowns of one system, solved by Newton with its exact structure
(spectral differentiation matrix). Usage: circuits.py OUTPUT
"""
import json
import os
import sys

import numpy as np
from scipy.optimize import fsolve

HERE = os.path.dirname(os.path.abspath(__file__))
R0, KA, COLLECTION = 0.6, 5.0, None


def softplus(x):
    return np.logaddexp(0.0, x)


def space_current(law, vg, va):
    form = law["form"]
    if form == "island":
        e = vg + law["Vct"]
        h = np.sqrt(va * va + (law["mu"] * law["Vt"]) ** 2)
        r = law["mu"] * e / h
        phi = softplus(-KA * (r + R0)) / KA
        x = e + va / law["mu"] + law["a"] * h * phi / law["mu"]
        w = np.sqrt((va / (law["mu"] * law["k"])) ** 2 + law["Vt"] ** 2)
        return law["G"] * (w * softplus(x / w)) ** law["p"]
    if form == "koren":
        e = vg + law["Vct"]
        e1 = va / law["kp"] * softplus(law["kp"] * (1 / law["mu"] + e / np.sqrt(law["kvb"] + va * va)))
        return 2 * np.where(e1 > 0, e1, 0) ** law["ex"] / law["kg1"]
    e = va / law["mu"] + vg + law["Vct"]
    return law["G"] * (softplus(law["C"] * e) / law["C"]) ** law["gamma"]


def currents(law, vg, va, collection):
    """Plate and grid current; the grid shares the space current as the engine documents it."""
    ik = space_current(law["space"], vg, va)
    grid = law["grid"]
    if grid["form"] == "none":
        return ik, np.zeros_like(ik)
    g = grid["Gg"] * (softplus(grid["C"] * (vg - grid["Vg0"])) / grid["C"]) ** grid["xi"]
    collected = np.where(va > 0, np.exp(-((collection / np.maximum(va, 1e-9)) ** 6)), 0.0)
    ia = ik * ik / (ik + g) * collected
    return ia, ik - ia


class Circuit:
    def __init__(self, case, laws, collection):
        self.case, self.laws, self.collection = case, laws, collection
        known = {"0"}
        for part in case["parts"]:
            if part[0] == "signal":
                known.add(part[1])
            if part[0] == "V":
                known.add(part[2])
        names = []
        for part in case["parts"]:
            pins = {"signal": part[1:2], "R": part[2:4], "C": part[2:4], "V": part[2:3], "I": part[2:4], "L": part[2:4], "P": part[2:5], "T": part[2:5]}[part[0]]
            for pin in pins:
                if pin not in known and pin not in names:
                    names.append(pin)
        # An inductor's current is an unknown of its own.
        self.chokes = [p for p in case["parts"] if p[0] == "L"]
        self.names, self.known = names, known
        self.index = {name: i for i, name in enumerate(names)}
        self.n = len(names) + len(self.chokes)

    def fixed(self, name, signal):
        if name == "0":
            return 0.0
        for part in self.case["parts"]:
            if part[0] == "signal" and part[1] == name:
                return signal
            if part[0] == "V" and part[2] == name:
                return part[3]
        return None

    def linear(self, mode):
        """Constant (G), per-second (C) matrices over unknowns and known nets, and constant currents.

        mode: None; answers lists of (row, column or known name, value)."""
        g, c, j = [], [], np.zeros(self.n)
        def branch(store, a, b, value):
            for x, y in ((a, b), (b, a)):
                if x in self.index:
                    store.append((self.index[x], x, value))
                    store.append((self.index[x], y, -value))
        for part in self.case["parts"]:
            kind = part[0]
            if kind == "R":
                branch(g, part[2], part[3], 1 / part[4])
            elif kind == "C":
                branch(c, part[2], part[3], part[4])
            elif kind == "P":
                _, _, top, wiper, bottom, ohms, fraction = part
                branch(g, top, wiper, 1 / (ohms * (1 - fraction)))
                branch(g, wiper, bottom, 1 / (ohms * fraction))
            elif kind == "I":
                _, _, a, b, amps = part
                # The engine's ideal sink has a gigohm across it, so that a net may hang on it.
                branch(g, a, b, 1e-9)
                if a in self.index:
                    j[self.index[a]] += amps
                if b in self.index:
                    j[self.index[b]] -= amps
            elif kind == "T":
                _, _, p, gr, k, _, cgp, cgk, cpk = part
                branch(c, gr, p, cgp)
                branch(c, gr, k, cgk)
                branch(c, p, k, cpk)
        for m, (_, _, a, b, henries, ohms) in enumerate(self.chokes):
            row = len(self.names) + m
            if a in self.index:
                g.append((self.index[a], row, 1.0))
            if b in self.index:
                g.append((self.index[b], row, -1.0))
            g.append((row, a, -1.0))
            g.append((row, b, 1.0))
            g.append((row, row, ohms))
            c.append((row, row, henries))
        return g, c, j

    def matrices(self):
        g, c, j = self.linear(None)
        n = self.n
        G, C = np.zeros((n, n)), np.zeros((n, n))
        Gs, Cs, Gd, Cd = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
        for store, M, s, d in ((g, G, Gs, Gd), (c, C, Cs, Cd)):
            for row, column, value in store:
                if isinstance(column, int):
                    M[row, column] += value
                elif column in self.index:
                    M[row, self.index[column]] += value
                else:
                    s[row] += value * self.fixed(column, 1.0) if self.fixed(column, 0.0) != self.fixed(column, 1.0) else 0.0
                    d[row] += value * self.fixed(column, 0.0)
        return G, C, Gs, Cs, Gd, Cd, j

    def device(self, volts, signal):
        """Currents that leave the nodes into the tubes; volts (n, m), signal (m)."""
        out = np.zeros_like(volts)
        at = lambda name: volts[self.index[name]] if name in self.index else np.full(volts.shape[1], 0.0) + self.fixed(name, signal)
        for part in self.case["parts"]:
            if part[0] != "T":
                continue
            _, _, p, g, k, law = part[:6]
            ia, ig = currents(self.laws[law], at(g) - at(k), at(p) - at(k), self.collection)
            for name, value in ((p, ia), (g, ig), (k, -ia - ig)):
                if name in self.index:
                    out[self.index[name]] += value
        return out

    def bias(self):
        G, _, _, _, Gd, _, j = self.matrices()
        def residual(v):
            return G @ v + Gd + j + self.device(v[:, None], np.zeros(1))[:, 0]
        best = None
        for scale in (0.4, 0.1, 0.7, 0.9):
            start = np.zeros(self.n)
            top = max([p[3] for p in self.case["parts"] if p[0] == "V"])
            start[: len(self.names)] = top * scale
            for name in self.names:
                if name.startswith("g") and not name.startswith("g2"):
                    start[self.index[name]] = 0.0
                if name in ("k", "k1"):
                    start[self.index[name]] = 2.0
            v, _, ok, _ = fsolve(residual, start, xtol=1e-13, full_output=True, maxfev=20000)
            size = np.max(np.abs(residual(v)))
            if best is None or size < best[0]:
                best = (size, v)
        size, v = best
        for _ in range(20):
            v = v - np.linalg.solve(G + self.slopes(v), residual(v))
        assert np.max(np.abs(residual(v))) < 1e-12, (self.case["name"], np.max(np.abs(residual(v))))
        return v

    def slopes(self, v):
        """d(device)/dv by central differences of fourth order."""
        J = np.zeros((self.n, self.n))
        h = 1e-3
        f = lambda x: self.device(x[:, None], np.zeros(1))[:, 0]
        for i in range(len(self.names)):
            e = np.zeros(self.n)
            e[i] = h
            J[:, i] = (8 * (f(v + e) - f(v - e)) - (f(v + 2 * e) - f(v - 2 * e))) / (12 * h)
        return J

    def signal_slopes(self, v):
        h = 1e-3
        f = lambda s: self.device(v[:, None], np.array([s]))[:, 0]
        return (8 * (f(h) - f(-h)) - (f(2 * h) - f(-2 * h))) / (12 * h)

    def response(self, v, hertz):
        G, C, Gs, Cs, *_ = self.matrices()
        w = 2 * np.pi * hertz
        x = np.linalg.solve(G + self.slopes(v) + 1j * w * C, -(Gs + 1j * w * Cs + self.signal_slopes(v)))
        return x[self.index[self.case["output"]]]

    def harmonics(self, v0, peak, K):
        G, C, Gs, Cs, Gd, Cd, j = self.matrices()
        N = 2 * K + 1
        w = 2 * np.pi * self.case["hertz"]
        theta = 2 * np.pi * np.arange(N) / N
        D = np.zeros((N, N))
        for a in range(N):
            for b in range(N):
                if a != b:
                    D[a, b] = 0.5 * (-1) ** (a - b) / np.sin(0.5 * (theta[a] - theta[b]))
        n = self.n
        def solve(level, V):
            signal = level * np.cos(theta)
            rate = -level * w * np.sin(theta)
            for step in range(200):
                F = G @ V + w * C @ (V @ D.T) + np.outer(Gs, signal) + np.outer(Cs, rate) + (Gd + j)[:, None] + self.device(V, signal)
                J = np.kron(G, np.eye(N)) + w * np.kron(C, D)
                h = 1e-4
                for i in range(len(self.names)):
                    E = np.zeros_like(V)
                    E[i] = h
                    d = (8 * (self.device(V + E, signal) - self.device(V - E, signal)) - (self.device(V + 2 * E, signal) - self.device(V - 2 * E, signal))) / (12 * h)
                    for r in range(n):
                        J[r * N : (r + 1) * N, i * N : (i + 1) * N] += np.diag(d[r])
                dV = np.linalg.solve(J, -F.reshape(-1)).reshape(n, N)
                largest = np.max(np.abs(dV))
                V = V + dV * min(1.0, 20.0 / largest)
                if largest < 1e-9:
                    return V
            raise RuntimeError(self.case["name"])
        V = np.repeat(v0[:, None], N, axis=1)
        for level in np.linspace(peak / 4, peak, 4):
            V = solve(level, V)
        out = V[self.index[self.case["output"]]]
        spectrum = np.fft.rfft(out) / N
        return [abs(spectrum[0])] + [2 * abs(spectrum[k]) for k in range(1, min(K, 8) + 1)]


def main(target):
    with open(os.path.join(HERE, "cases.json")) as file:
        given = json.load(file)
    with open(os.path.join(HERE, "collection.json")) as file:
        collection = json.load(file)["collectionVolts"]
    answers = []
    for case in given["cases"]:
        circuit = Circuit(case, given["laws"], collection)
        v = circuit.bias()
        gains = [circuit.response(v, hertz) for hertz in case["frequencies"]]
        answers.append(
            {
                "name": case["name"],
                "netVolts": {name: float(v[circuit.index[name]]) for name in circuit.names},
                "gains": [float(abs(x)) for x in gains],
                "degrees": [float(np.degrees(np.angle(x))) for x in gains],
                "amplitudes": [float(x) for x in circuit.harmonics(v, case["peakVolts"], case["harmonics"])],
            }
        )
    with open(target, "w") as file:
        json.dump({"generator": "checks/scipy/circuits.py", "answers": answers}, file, indent=1)
        file.write("\n")


main(sys.argv[1])
