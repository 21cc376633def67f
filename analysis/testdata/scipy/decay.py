"""Reference fits of a decay with SciPy (curve_fit, method lm, absolute_sigma=True).

Writes decay.csv (t in s, v in V, sigma in V: a made-up slow discharge with sigma that grows towards the
start, and noise from numpy's PCG64 with seed 20) and decay.json (parameters tau, v_inf, height = V0 - V_inf
at t = 0 and their covariance, with V_inf free and at ground). Run: python3 decay.py
"""

import json

import numpy
import scipy
from scipy.optimize import curve_fit

rng = numpy.random.default_rng(20)
t = numpy.round(numpy.linspace(0.25, 44.75, 90), 2)
sigma = numpy.round(0.03 + 0.05 * numpy.exp(-t / 5), 4)
v = numpy.round(0.15 + 8.8 * numpy.exp(-t / 10.3) + sigma * rng.standard_normal(t.size), 4)
numpy.savetxt("decay.csv", numpy.column_stack([t, v, sigma]), delimiter=",", fmt="%.6g", header="t_s,v_v,sigma_v", comments="")


def free(t, tau, v_inf, height):
    return v_inf + height * numpy.exp(-t / tau)


def ground(t, tau, height):
    return height * numpy.exp(-t / tau)


out = {"scipy": scipy.__version__, "numpy": numpy.__version__}
for name, f, start in [("free", free, (8, 0, 9)), ("ground", ground, (8, 9))]:
    x, cov = curve_fit(f, t, v, p0=start, sigma=sigma, absolute_sigma=True, ftol=1e-14, xtol=1e-14, gtol=1e-14)
    out[name] = {"parameters": x.tolist(), "covariance": cov.tolist()}
with open("decay.json", "w") as file:
    json.dump(out, file, indent=1)
