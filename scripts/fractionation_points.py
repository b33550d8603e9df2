#!/usr/bin/env python3
"""Works out vapour and liquid leaks of blends with the general-purpose property library CoolProp (PyPI, MIT licence), step by step.

    python3 -m venv VENV && VENV/bin/pip install CoolProp
    VENV/bin/python scripts/fractionation_points.py > crates/thermo/tests/data/fractionation-points.json

A vessel of 10 L at a constant temperature; at every step the pressure is sought at which the library's two-phase state at temperature,
pressure and overall composition has the vessel's density. Classical Runge-Kutta steps of fourth order by mass left.
"""
import json
import sys

import CoolProp
from CoolProp.CoolProp import AbstractState

VOLUME = 0.010
CASES = [
    # blend, components, mass fractions, °C, kg, phase that leaves, part left, steps
    ("R-407C", "R32&R125&R134a", [0.23, 0.25, 0.52], 25.0, 8.0, "vapour", 0.5, 80),
    ("R-407C", "R32&R125&R134a", [0.23, 0.25, 0.52], 25.0, 8.0, "liquid", 0.5, 60),
    ("R-454C", "R32&R1234yf", [0.215, 0.785], 0.0, 8.0, "vapour", 0.4, 100),
    ("R-455A", "CO2&R32&R1234yf", [0.03, 0.215, 0.755], 25.0, 8.0, "vapour", 0.5, 100),
    ("R-404A", "R125&R143a&R134a", [0.44, 0.52, 0.04], -20.0, 8.0, "vapour", 0.3, 100),
    ("R-410A", "R32&R125", [0.5, 0.5], 40.0, 6.0, "vapour", 0.5, 80),
]


class Vessel:
    def __init__(self, fluids, kelvin):
        self.state, self.kelvin = AbstractState("HEOS", fluids), kelvin
        n = len(fluids.split("&"))
        self.molar = [AbstractState("HEOS", name).molar_mass() for name in fluids.split("&")][:n]

    def flash(self, amounts):
        """The two-phase state with the vessel's density: by vapour fraction, which the library takes with a temperature."""
        total = sum(amounts)
        self.state.set_mole_fractions([a / total for a in amounts])
        wanted = total / VOLUME

        def gap(q):
            self.state.update(CoolProp.QT_INPUTS, q, self.kelvin)
            liquid, vapour = self.state.saturated_liquid_keyed_output, self.state.saturated_vapor_keyed_output
            l, v = liquid(CoolProp.iDmolar), vapour(CoolProp.iDmolar)
            return 1.0 / ((1 - q) / l + q / v) / wanted - 1.0

        low, high = 1e-6, 1.0 - 1e-6
        a, b = gap(low), gap(high)
        for _ in range(100):
            mid = low + (high - low) * a / (a - b) if _ % 3 != 2 else 0.5 * (low + high)
            here = gap(mid)
            if abs(here) < 1e-12:
                break
            if here > 0:
                low, a = mid, here
            else:
                high, b = mid, here
        return self.state.p(), self.state.mole_fractions_liquid(), self.state.mole_fractions_vapor()

    def slope(self, amounts, phase):
        _, x, y = self.flash(amounts)
        leaving = y if phase == "vapour" else x
        mass = sum(part * molar for part, molar in zip(leaving, self.molar))
        return [part / mass for part in leaving]


def run(name, fluids, mass, celsius, kg, phase, left, steps):
    vessel = Vessel(fluids, celsius + 273.15)
    amounts = [kg * w / molar for w, molar in zip(mass, vessel.molar)]
    h = -kg * (1 - left) / steps
    add = lambda a, s, f: [x + f * y for x, y in zip(a, s)]
    for _ in range(steps):
        k1 = vessel.slope(amounts, phase)
        k2 = vessel.slope(add(amounts, k1, h / 2), phase)
        k3 = vessel.slope(add(amounts, k2, h / 2), phase)
        k4 = vessel.slope(add(amounts, k3, h), phase)
        amounts = [a + h / 6 * (p + 2 * q + 2 * r + s) for a, p, q, r, s in zip(amounts, k1, k2, k3, k4)]
    p, x, y = vessel.flash(amounts)
    masses = [a * molar for a, molar in zip(amounts, vessel.molar)]
    digits = lambda values: [float(f"{value:.10g}") for value in values]
    return {"blend": name, "celsius": celsius, "litres": VOLUME * 1000, "kg": kg, "phase": phase, "part_left": left,
            "pressure": digits([p])[0], "mass_fractions": digits([m / sum(masses) for m in masses]), "x": digits(x), "y": digits(y)}


def main():
    points = []
    for case in CASES:
        try:
            points.append(run(*case))
        except ValueError as error:
            print(case[0], error, file=sys.stderr)
    origin = f"made with CoolProp {CoolProp.__version__} by scripts/fractionation_points.py"
    json.dump({"origin": origin, "points": points}, sys.stdout, indent=1)
    print()


main()
