"""Times SciPy on the 20 ms of two stages (checks/scipy/transient-cases.py); prints JSON: per method and tolerance [seconds, error].

Processor seconds, best of several runs; the error is the largest over 201 samples of `out` against the committed reference.
solve_ivp(LSODA) and odeint are given the analytic Jacobian; the right-hand side is scalar Python for the tubes and NumPy for
the network, as such users write it.
"""
import importlib.util
import json
import os
import time

import numpy as np
from scipy.integrate import odeint, solve_ivp

HERE = os.path.dirname(os.path.abspath(__file__))
FOLDER = os.path.join(HERE, "..", "checks", "scipy")
spec = importlib.util.spec_from_file_location("cases", os.path.join(FOLDER, "transient-cases.py"))
cases = importlib.util.module_from_spec(spec)
spec.loader.exec_module(cases)
with open(os.path.join(FOLDER, "transient-cases.json")) as file:
    wanted = np.array(next(a for a in json.load(file)["answers"] if a["name"] == "two-stages")["volts"]["out"])

circuit = cases.TwoStages()
times = np.linspace(0, 0.02, 201)


def run(method, tolerance):
    if method == "odeint":
        return odeint(circuit.rate, circuit.bias, times, Dfun=circuit.jacobian, tfirst=True, rtol=0.1 * tolerance, atol=tolerance, mxstep=100000)[:, 6]
    return solve_ivp(circuit.rate, (0, 0.02), circuit.bias, method="LSODA", jac=circuit.jacobian, t_eval=times, rtol=0.1 * tolerance, atol=tolerance).y[6]


answer = {}
for method in ("LSODA", "odeint"):
    answer[method] = []
    for tolerance in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9):
        spent = []
        for _ in range(5):
            start = time.process_time()
            out = run(method, tolerance)
            spent.append(time.process_time() - start)
        answer[method].append([min(spent), float(np.max(np.abs(out - wanted)))])
print(json.dumps(answer))
