"""Factors of the units to SI: Pint's own definitions."""

import pint

REGISTRY = pint.UnitRegistry()
NAMES = {
    "kPa": "kilopascal", "hPa": "hectopascal", "bar": "bar", "mbar": "millibar", "psi": "psi",
    "inH2O": "inch_H2O", "inHg": "inch_Hg", "mmHg": "mmHg", "mmH2O": "0.1 * cmH2O", "atm": "atm",
    "L/min": "liter/minute", "L/h": "liter/hour", "L/s": "liter/second", "mL/min": "milliliter/minute", "m3/h": "meter**3/hour", "cfm": "foot**3/minute", "cfh": "foot**3/hour",
    "g/s": "gram/second", "kg/h": "kilogram/hour", "g/min": "gram/minute", "lb/min": "pound/minute",
    "mm": "millimeter", "in": "inch", "ft": "foot", "mm2": "millimeter**2", "in2": "inch**2",
    "L": "liter", "mL": "milliliter", "gal": "gallon", "ft3": "foot**3",
    "mV": "millivolt", "kohm": "kiloohm", "mA": "milliampere", "ms": "millisecond", "min": "minute", "h": "hour",
    "deg": "degree", "V/psi": "volt/psi", "mV/kPa": "millivolt/kilopascal",
}
print("# SI value of one unit by Pint 0.25.3; inches of water and of mercury are its conventional ones.")
print("unit,factor")
for ours, theirs in NAMES.items():
    print(f"{ours},{REGISTRY.Quantity(theirs).to_base_units().magnitude:.12e}")
