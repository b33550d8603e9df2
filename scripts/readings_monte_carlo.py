"""Uncertainty of derived readings by Monte Carlo (JCGM 101:2008) with a general-purpose property library.

Writes crates/readings/tests/monte_carlo.json, against which the crate's own propagation is tested.
Needs: numpy, CoolProp (8.0.0 when the file was made).

    python scripts/readings_monte_carlo.py > crates/readings/tests/monte_carlo.json
"""

import json
import sys

import CoolProp
import numpy as np
from CoolProp.CoolProp import AbstractState, PropsSI, PT_INPUTS, PSmass_INPUTS

DRAWS = 40_000
rng = np.random.default_rng(20261127)


def draw(value, half):
    return rng.uniform(value - half, value + half, DRAWS)


def saturation_temperature(fluid, pascal):
    # A fine table of the saturation curve: as exact as the draws need, and far faster than one call a draw.
    grid = np.linspace(pascal.min() * 0.999, pascal.max() * 1.001, 2000)
    return np.interp(pascal, grid, PropsSI("T", "P", grid, "Q", 1, fluid))


def states(fluid, kelvin, pascal):
    state = AbstractState("HEOS", fluid)
    h, s = np.empty(DRAWS), np.empty(DRAWS)
    for i in range(DRAWS):
        state.update(PT_INPUTS, pascal[i], kelvin[i])
        h[i], s[i] = state.hmass(), state.smass()
    return h, s


def isentropic_enthalpy(fluid, pascal, entropy):
    state = AbstractState("HEOS", fluid)
    h = np.empty(DRAWS)
    for i in range(DRAWS):
        state.update(PSmass_INPUTS, pascal[i], entropy[i])
        h[i] = state.hmass()
    return h


def case(fluid, suction, discharge, suction_line, discharge_line, liquid_line, outdoor, power, p_half_low, p_half_high, t_half, contact):
    """Gauge pressures in Pa, temperatures in K; halves of rectangles; contact: part of the way to the air."""
    atmosphere = draw(101_325.0, 2000.0)
    data = draw(0.0, 0.001)
    low = draw(suction, p_half_low) + atmosphere
    high = draw(discharge, p_half_high) + atmosphere

    def pipe(kelvin):
        return draw(kelvin, t_half) + draw(0.0, contact * abs(kelvin - outdoor))

    t1, t2, t3 = pipe(suction_line), pipe(discharge_line), pipe(liquid_line)
    evaporating = saturation_temperature(fluid, low * (1 + data))
    condensing = saturation_temperature(fluid, high * (1 + data))
    h1, s1 = states(fluid, t1, low)
    h2, _ = states(fluid, t2, high)
    h3, _ = states(fluid, t3, high)
    ideal = isentropic_enthalpy(fluid, high, s1)
    watts = draw(power, 0.01 * power)
    results = {
        "evaporating": evaporating,
        "condensing-dew": condensing,
        "compression-ratio": high / low,
        "superheat": t1 - evaporating,
        "subcooling": condensing - t3,
        "discharge-superheat": t2 - condensing,
        "isentropic-efficiency": (ideal - h1) / (h2 - h1),
        "cop": (h1 - h3) / (h2 - h1),
        "mass-flow": watts / (h2 - h1),
        "capacity": watts / (h2 - h1) * (h1 - h3),
    }
    inputs = dict(
        fluid=fluid, suction_gauge=suction, discharge_gauge=discharge, suction_line=suction_line, discharge_line=discharge_line,
        liquid_line=liquid_line, outdoor=outdoor, power=power, p_half_low=p_half_low, p_half_high=p_half_high, t_half=t_half, contact=contact,
    )
    results = {
        name: dict(mean=float(np.mean(x)), sd=float(np.std(x, ddof=1)), low=float(np.quantile(x, 0.025)), high=float(np.quantile(x, 0.975)))
        for name, x in results.items()
    }
    return dict(inputs=inputs, results=results)


cases = [
    case("R134a", 2.0e5, 9.2e5, 283.15, 343.15, 308.15, 298.15, 900.0, 8e3, 24e3, 0.5, 0.02),
    case("R32", 8.3e5, 26.0e5, 288.15, 358.15, 311.15, 303.15, 1500.0, 16e3, 64e3, 1.0, 0.05),
    case("R290", 3.0e5, 13.0e5, 275.15, 343.15, 308.15, 298.15, 400.0, 40e3, 40e3, 0.3, 0.0),
]
source = f"CoolProp {CoolProp.__version__}, numpy {np.__version__}, {DRAWS} draws, seed 20261127"
json.dump(dict(source=source, cases=cases), sys.stdout, indent=1)
sys.stdout.write("\n")
