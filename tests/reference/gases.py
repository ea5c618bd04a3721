"""What several tables share: ideal and real flow through a hole. Prints no table itself."""

import math

import CoolProp.CoolProp as CP
from scipy.optimize import minimize_scalar

GAS_CONSTANT = 8.314462618
INCH_OF_WATER = 249.08891
ATMOSPHERE = 101325.0


def ideal_flux(upstream, downstream, kelvin, gamma=1.4, constant=287.05):
    """Isentropic ideal gas, coefficient 1, kg/(s m2)."""
    if downstream >= upstream:
        return 0.0
    critical = (2 / (gamma + 1)) ** (gamma / (gamma - 1))
    r = max(downstream / upstream, critical)
    inner = 2 * gamma / (gamma - 1) / (constant * kelvin) * r ** (2 / gamma) * (1 - r ** ((gamma - 1) / gamma))
    return upstream * math.sqrt(max(inner, 0.0))


def real_flux(fluid, upstream, downstream, kelvin):
    """Isentropic real gas, coefficient 1; the throat pressure by maximisation. Flux and whether choked."""
    enthalpy = CP.PropsSI("Hmass", "P", upstream, "T", kelvin, fluid)
    entropy = CP.PropsSI("Smass", "P", upstream, "T", kelvin, fluid)

    def flux(p):
        density = CP.PropsSI("Dmass", "P", p, "Smass", entropy, fluid)
        drop = enthalpy - CP.PropsSI("Hmass", "P", p, "Smass", entropy, fluid)
        return density * math.sqrt(max(2 * drop, 0.0))

    best = minimize_scalar(lambda p: -flux(p), bounds=(0.3 * upstream, 0.95 * upstream), method="bounded",
                           options={"xatol": 1e-4})
    if downstream < best.x:
        return flux(best.x), True
    return flux(downstream), False


def area(diameter):
    return math.pi / 4 * diameter**2


def perry(r):
    """Perry 1949, coefficients read in a reprint."""
    return 0.8414 - 0.1002 * r + 0.8415 * r**2 - 3.9 * r**3 + 4.6001 * r**4 - 1.6827 * r**5
