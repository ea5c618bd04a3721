"""Fuel trims split into a leak and an offset, and the hole that a trim needs: scipy's least squares and root finder."""

import numpy as np
from scipy.optimize import brentq, least_squares

from gases import ATMOSPHERE, GAS_CONSTANT, area, ideal_flux, perry

T, R = 293.15, GAS_CONSTANT / 0.0289652
print("# Air at 293.15 K and 101325 Pa around, leak with Perry's 1949 coefficient. 1 + trim = (1 + a)(1 + leak / metered air), fitted in a "
      "and the diameter by scipy.optimize.least_squares on the trims themselves; needed: the hole whose leak is trim x airflow at the "
      "first point, by brentq; scipy 1.17.1.")
print("points,offset_percent,diameter_mm,residual_percent,needed_mm")


def leak(mm, manifold):
    # Air goes in below the barometer and out above it.
    high, low = max(ATMOSPHERE, manifold), min(ATMOSPHERE, manifold)
    flow = area(mm / 1000) * perry(low / high) * ideal_flux(high, low, T, 1.4, R)
    return flow if manifold <= ATMOSPHERE else -flow


for points in [[(3, 18, 35), (11, 5, 32)],
               [(4, 20, 30), (20, 4, 30)],
               [(3, 18, 35), (7, 9, 30), (11, 5, 32)],
               [(2.5, 12, 28), (9, 10, 40), (14, 9, 55), (20, 8.5, 70)],
               [(3.2, 15, 40), (6, 9.5, 60), (15, 3.5, 85), (40, -1.5, 130)],
               [(3.5, -2, 35), (12, -8, 33), (18, -8.6, 45)]]:
    air, trims, pressures = (np.array(column, dtype=float) for column in zip(*points))

    def model(x):
        leaks = np.array([leak(x[1], kpa * 1000) for kpa in pressures])
        return 100 * ((1 + x[0] / 100) * (1 + leaks / (air / 1000)) - 1)

    fit = least_squares(lambda x: model(x) - trims, [0.0, 1.5], xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=[1.0, 0.1])
    needed = ""
    if trims[0] > 0:
        wanted = trims[0] / 100 * air[0] / 1000
        needed = f"{brentq(lambda mm: leak(mm, pressures[0] * 1000) - wanted, 0.01, 50, xtol=1e-13):.6f}"
    written = ";".join(f"{a} g/s = {t} % @ {p} kPa" for a, t, p in points)
    print(f"{written},{fit.x[0]:.5f},{fit.x[1]:.6f},{np.max(np.abs(fit.fun)):.5f},{needed}")
