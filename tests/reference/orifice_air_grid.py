"""Air through a hole by three routes: own ideal gas, CoolProp, fluids."""

from fluids.flow_meter import flow_meter_discharge, nozzle_expansibility

from gases import ATMOSPHERE, INCH_OF_WATER, area, ideal_flux, real_flux

PSI = 6894.757293168
print("# Air mass flow through a Cd=1 orifice, zero approach velocity, stagnation T=293.15 K.")
print("# mdot_ideal: ideal gas gamma=1.4 R=287.05 J/(kg K), own code. mdot_coolprop: real-gas isentropic nozzle "
      "(HEOS Air). mdot_fluids: fluids.nozzle_expansibility + flow_meter_discharge, beta=0.001, C=1 (subsonic rows only).")
print("# Q_std = mdot_ideal / ideal density at the stated reference.")
print("# Computed with CoolProp 8.0.0, fluids 1.3.1, scipy 1.17.1")
print("case,p_up_Pa,p_down_Pa,ratio,regime,d_mm,mdot_ideal_g_s,mdot_coolprop_g_s,mdot_fluids_g_s,"
      "Q_std20C_101325_L_min,Q_std15C_101325_L_min,Q_norm0C_101325_L_min,ideal_minus_coolprop_pct")
CASES = [(f"{n} {unit} g{extra} to atmosphere", ATMOSPHERE + float(n) * step, ATMOSPHERE) for n, unit, step, extra in [
    ("0.5", "kPa", 1000, ""), ("1.0", "kPa", 1000, ""), ("8", "inH2O", INCH_OF_WATER, ""),
    ("10", "inH2O", INCH_OF_WATER, ""), ("13", "inH2O", INCH_OF_WATER, ""),
    ("14", "inH2O", INCH_OF_WATER, " (3.49 kPa)"), ("4.1", "kPa", 1000, ""), ("0.5", "psi", PSI, ""),
    ("1", "psi", PSI, ""), ("2", "psi", PSI, ""), ("5", "psi", PSI, ""), ("10", "psi", PSI, ""),
    ("15", "psi", PSI, ""), ("20", "psi", PSI, ""), ("30", "psi", PSI, "")]]
CASES += [(f"atmosphere to manifold {k} kPa abs", ATMOSPHERE, k * 1000.0) for k in range(20, 100, 10)]
CASES += [(f"5000 ft ambient to manifold {k} kPa abs", 84311.057, k * 1000.0) for k in range(20, 90, 10)]


def by_fluids(up, down, d):
    """The discharge equation takes a pipe around the hole: one a thousand times as wide."""
    wide = d / 0.001
    density = up / (287.05 * 293.15)
    epsilon = nozzle_expansibility(D=wide, Do=d, P1=up, P2=down, k=1.4)
    return flow_meter_discharge(D=wide, Do=d, P1=up, P2=down, rho=density, C=1.0, expansibility=epsilon)


for name, up, down in CASES:
    ideal = ideal_flux(up, down, 293.15)
    real, _ = real_flux("Air", up, down, 293.15)
    subsonic = down / up > (2 / 2.4) ** 3.5
    for d in ["0.25", "0.5", "0.508", "0.75", "1.0", "1.016", "1.5", "2.0", "2.5", "3.0", "4.0", "5.0", "6.0"]:
        a = area(float(d) / 1000)
        volumes = [ideal * a / (ATMOSPHERE / (287.05 * t)) * 60000 for t in (293.15, 288.15, 273.15)]
        fluids = f"{by_fluids(up, down, float(d) / 1000) * 1000:.6e}" if subsonic else ""
        print(f"{name},{up:.3f},{down:.3f},{down / up:.6f},{'subsonic' if subsonic else 'choked'},{d},"
              f"{ideal * a * 1000:.6e},{real * a * 1000:.6e},{fluids},"
              + ",".join(f"{q:.6e}" for q in volumes) + f",{(ideal / real - 1) * 100:+.4f}")
