"""Decay of closed spaces in other gases, under vacuum, choked, and with a coefficient that changes: scipy."""

from scipy.integrate import solve_ivp

from gases import ATMOSPHERE, GAS_CONSTANT, area, ideal_flux, perry

GASES = {"air": (0.0289652, 1.4), "nitrogen": (0.02801348, 1.4), "carbon-dioxide": (0.0440098, 1.2967)}
print("# Isothermal decay or gain of a closed space through one hole with Perry's 1949 coefficient, numerical integration; "
      "scipy 1.17.1 solve_ivp LSODA rtol 1e-10. Air at 293.15 K around when the pressure is below zero.")
print("gas,start_pa,volume_l,diameter_mm,time_s,end_pa")


def end(gas, start, litres, d, seconds):
    molar, gamma = GASES[gas]
    constant, a, t = GAS_CONSTANT / molar, area(d / 1000), 293.15

    def slope(_, y):
        up, down = max(ATMOSPHERE, ATMOSPHERE + y[0]), min(ATMOSPHERE, ATMOSPHERE + y[0])
        flux = perry(down / up) * ideal_flux(up, down, t, gamma, constant)
        return [-(1 if y[0] > 0 else -1) * constant * t * a / (litres / 1000) * flux]

    return solve_ivp(slope, (0, seconds), [start], rtol=1e-10, atol=1e-7, method="LSODA", max_step=0.2).y[0][-1]


for case in [("air", 3487.24, 30, 0.4, 60), ("nitrogen", 3487.24, 45, 0.508, 60), ("carbon-dioxide", 3487.24, 30, 0.508, 60),
             ("air", -3487.24, 30, 0.4, 60), ("air", -20000.0, 10, 0.5, 60), ("air", -70000.0, 5, 1.0, 20),
             ("air", -70000.0, 5, 1.0, 30), ("air", 100000.0, 8, 1.5, 20), ("nitrogen", 150000.0, 8, 1.5, 10),
             ("air", 30000.0, 8, 1.0, 20)]:
    print(",".join(str(c) for c in case) + f",{end(*case):.4f}")
