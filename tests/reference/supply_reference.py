"""A regulated supply behind a restriction against a hole, and the filling of a space: scipy."""

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from gases import ATMOSPHERE, GAS_CONSTANT, INCH_OF_WATER, area, ideal_flux, perry

T, R = 293.15, GAS_CONSTANT / 0.0289652
DENSITY = ATMOSPHERE / (R * T)
print("# Air at 293.15 K and 101325 Pa around. Restriction sized by the open flow at the set pressure (constant coefficient), hole with "
      "Perry's 1949 coefficient; equilibrium by brentq, filling time to the target from none by solve_ivp; scipy 1.17.1.")
print("set_inH2O,open_L_min,hole_mm,pressure_inH2O,flow_L_min,volume_L,target_inH2O,time_s")


def supply(set_, open_, inside):
    whole = ideal_flux(ATMOSPHERE + set_, ATMOSPHERE, T, 1.4, R)
    return open_ * DENSITY * ideal_flux(ATMOSPHERE + set_, ATMOSPHERE + inside, T, 1.4, R) / whole


def leak(d, inside):
    if inside <= 0:
        return 0.0
    up = ATMOSPHERE + inside
    return area(d) * perry(ATMOSPHERE / up) * ideal_flux(up, ATMOSPHERE, T, 1.4, R)


for set_in, open_l, mm, litres, target in [(14, 10, 0.5, 30, 13), (14, 10, 1.016, 30, 12), (14, 5, 1.016, 60, 10), (14, 15, 2.0, 20, 5),
                                           (30, 20, 1.5, 10, 25), (14, 10, 3.0, 30, 2)]:
    set_, open_, d = set_in * INCH_OF_WATER, open_l / 60000, mm / 1000
    p = brentq(lambda x: supply(set_, open_, x) - leak(d, x), 0.0, set_ * (1 - 1e-15), xtol=1e-9)
    done = solve_ivp(lambda _, y: [R * T / (litres / 1000) * (supply(set_, open_, y[0]) - leak(d, y[0]))], (0, 4000), [0.0],
                     events=[lambda _, y: y[0] - target * INCH_OF_WATER], rtol=1e-9, atol=1e-6, method="LSODA", max_step=0.2)
    time = f"{done.t_events[0][0]:.4f}" if len(done.t_events[0]) else ""
    print(f"{set_in},{open_l},{mm},{p / INCH_OF_WATER:.5f},{leak(d, p) / DENSITY * 60000:.5f},{litres},{target},{time}")
