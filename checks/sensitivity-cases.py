"""Derivatives of the circuits in scipy/cases.json to every value of every part, by differences of whole SciPy solves.

The solves are those of scipy/circuits.py (full nodal form, no ports, no adjoint). Per neper: Richardson's central differences
of steps 4e-3 and 2e-3. Usage: sensitivity-cases.py OUTPUT
"""
import copy
import json
import os
import sys
from math import exp

import numpy as np

HERE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "scipy")
with open(os.path.join(HERE, "circuits.py")) as file:
    source = file.read()
space = {"__file__": os.path.join(HERE, "circuits.py"), "__name__": "circuits"}
exec(compile(source[: source.rindex("main(sys.argv[1])")], "circuits.py", "exec"), space)
Circuit = space["Circuit"]

# Place of each value in a part's row, by kind.
VALUES = {
    "R": {"ohms": 4},
    "C": {"farads": 4},
    "V": {"volts": 3},
    "I": {"amps": 4},
    "L": {"henries": 4, "seriesOhms": 5},
    "P": {"ohms": 5, "fraction": 6},
    "T": {"gridPlateFarads": 6, "gridCathodeFarads": 7, "plateCathodeFarads": 8},
    "signal": {},
}
STEP = 2e-3


def figures(case, laws, collection):
    circuit = Circuit(case, laws, collection)
    v = circuit.bias()
    amplitudes = circuit.harmonics(v, case["peakVolts"], case["harmonics"])
    gain = 20 * np.log10(abs(circuit.response(v, case["hertz"])))
    decibels = 20 * np.log10(np.array(amplitudes[1:3]))
    nets = [v[circuit.index[name]] for name in circuit.names]
    return circuit.names, np.array([*nets, gain, decibels[0], decibels[1] - decibels[0]])


def moved(case, row, place, nepers):
    other = copy.deepcopy(case)
    other["parts"][row][place] *= exp(nepers)
    return other


def main(target):
    with open(os.path.join(HERE, "cases.json")) as file:
        given = json.load(file)
    with open(os.path.join(HERE, "collection.json")) as file:
        collection = json.load(file)["collectionVolts"]
    answers = []
    for case in given["cases"]:
        names, _ = figures(case, given["laws"], collection)
        at = lambda row, place, h: figures(moved(case, row, place, h), given["laws"], collection)[1]
        rows = []
        for row, part in enumerate(case["parts"]):
            for name, place in VALUES[part[0]].items():
                wide = (at(row, place, 2 * STEP) - at(row, place, -2 * STEP)) / (4 * STEP)
                narrow = (at(row, place, STEP) - at(row, place, -STEP)) / (2 * STEP)
                d = (4 * narrow - wide) / 3
                rows.append(
                    {
                        "part": part[1],
                        "value": name,
                        "netVolts": {net: float(f"{x:.9g}") for net, x in zip(names, d)},
                        "gainDecibels": float(f"{d[-3]:.9g}"),
                        "fundamentalDecibels": float(f"{d[-2]:.9g}"),
                        "h2Decibels": float(f"{d[-1]:.9g}"),
                    }
                )
        answers.append({"name": case["name"], "rows": rows})
        print(case["name"], len(rows), file=sys.stderr, flush=True)
        with open(target, "w") as file:
            json.dump({"generator": "checks/sensitivity-cases.py", "answers": answers}, file, indent=1)
            file.write("\n")


main(sys.argv[1])
