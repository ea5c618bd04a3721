"""Decay of a closed space through one hole, isothermal: numerical integration with scipy."""

import math

from scipy.integrate import solve_ivp

from gases import ATMOSPHERE, INCH_OF_WATER, area, ideal_flux

R, T = 287.05, 293.15
print("# Isothermal decay of air at 293.15 K from 14.0 inH2O (conventional) gauge to 101325 Pa ambient for 120 s through "
      "one orifice; isentropic compressible orifice flow, ideal gas gamma 1.4, R=287.05; scipy solve_ivp rtol 1e-9.")
print("# closed form: sqrt(dP) = sqrt(dP0) - Cd A p_atm/(V) sqrt(2/rho_atm)/2 t   (incompressible, p ~ p_atm). "
      "Computed with CoolProp 8.0.0, fluids 1.3.1, scipy 1.17.1")
print("V_vapour_L,d_in,P_end_inH2O_Cd0.61,P_end_inH2O_Cd0.75,P_end_inH2O_closed_form_Cd0.61,verdict_8inH2O_Cd0.61")


def exact(litres, d, coefficient):
    a = area(d * 0.0254) * coefficient

    def slope(_, y):
        return [-R * T * a / (litres / 1000) * ideal_flux(ATMOSPHERE + max(y[0], 0.0), ATMOSPHERE, T)]

    done = solve_ivp(slope, (0, 120), [14 * INCH_OF_WATER], rtol=1e-9, atol=1e-7, method="LSODA", max_step=0.5)
    return max(done.y[0][-1], 0.0) / INCH_OF_WATER


def closed(litres, d, coefficient):
    density = ATMOSPHERE / (R * T)
    root = math.sqrt(14 * INCH_OF_WATER) - coefficient * area(d * 0.0254) * ATMOSPHERE / (litres / 1000) \
        * math.sqrt(2 / density) / 2 * 120
    return max(root, 0.0) ** 2 / INCH_OF_WATER


def shown(value):
    return f"{value if value > 5e-5 else 0.0:.4f}"


for litres in (10, 20, 30, 40, 60, 80):
    for d in ("0.01", "0.02", "0.04"):
        end = exact(litres, float(d), 0.61)
        print(f"{litres},{d},{shown(end)},{shown(exact(litres, float(d), 0.75))},"
              f"{shown(closed(litres, float(d), 0.61))},{'pass' if end >= 8 else 'fail'}")
