# Writes sine.json: a record and its four-parameter sine fit by SciPy (scipy.optimize.curve_fit,
# Levenberg-Marquardt of MINPACK, absolute_sigma=True). Run: python3 sine.py > sine.json
import json
import numpy as np
import scipy
from scipy.optimize import curve_fit


def wave(t, m, a, b, f):
    return m + a * np.cos(2 * np.pi * f * t) + b * np.sin(2 * np.pi * f * t)


rng = np.random.default_rng(1057)
t = np.round(np.linspace(0, 10e-3, 120), 7)
t = np.delete(t, slice(50, 65))  # a gap
sigma = np.round(0.03 * (1 + rng.random(t.size)), 4)
v = np.round(wave(t, 1.3, 0.9, -1.7, 273.0) + sigma * rng.standard_normal(t.size), 5)
p, cov = curve_fit(wave, t, v, p0=[1, 1, -1, 270], sigma=sigma, absolute_sigma=True, xtol=1e-15, ftol=1e-15)
r = (v - wave(t, *p)) / sigma
print(json.dumps({
    "scipy": scipy.__version__, "t": t.tolist(), "v": v.tolist(), "sigma": sigma.tolist(),
    "mean": p[0], "amplitude": float(np.hypot(p[1], p[2])), "frequency": p[3],
    "u_mean": float(np.sqrt(cov[0, 0])), "u_frequency": float(np.sqrt(cov[3, 3])),
    "u_amplitude": float(np.sqrt(np.array([p[1], p[2]]) @ cov[1:3, 1:3] @ np.array([p[1], p[2]])) / np.hypot(p[1], p[2])),
    "chi_square": float(r @ r)}))
