"""US Standard Atmosphere 1976 by geometric height: fluids."""

from fluids.atmosphere import ATMOSPHERE_1976

print("# US Standard Atmosphere 1976, geometric altitude; computed with PyPI fluids 1.3.1 ATMOSPHERE_1976")
print("altitude_m,pressure_pa,temperature_k")
for z in ["0", "304.8", "500", "609.6", "914.4", "1000", "1500", "1524", "2000", "2133.6", "2500", "3000", "3048", "4000"]:
    air = ATMOSPHERE_1976(float(z))
    print(f"{z},{air.P:.3f},{air.T:.4f}")
