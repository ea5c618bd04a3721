"""Density, ratio of specific heats, molar mass and viscosity of the gases: CoolProp."""

import CoolProp.CoolProp as CP

print("# computed with PyPI CoolProp 8.0.0")
print("gas,temperature_k,pressure_pa,density_kg_m3,gamma,molar_mass_kg_mol,viscosity_pa_s")
for gas in ["Air", "Nitrogen", "CarbonDioxide"]:
    for t in [273.15, 288.15, 293.15, 313.15]:
        at = ("T", t, "P", 101325, gas)
        gamma = CP.PropsSI("Cpmass", *at) / CP.PropsSI("Cvmass", *at)
        print(f"{gas},{t},101325,{CP.PropsSI('Dmass', *at):.6f},{gamma:.6f},"
              f"{CP.PropsSI('molarmass', gas):.8f},{CP.PropsSI('viscosity', *at):.6e}")
