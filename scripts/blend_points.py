#!/usr/bin/env python3
"""Makes reference points of the catalogued blends with the general-purpose property library CoolProp (PyPI, MIT licence).

    python3 -m venv VENV && VENV/bin/pip install CoolProp
    VENV/bin/python scripts/blend_points.py [SEED] > crates/thermo/tests/data/more-blend-points.json

SI units, IIR reference state (the liquid at its bubble point at 273.15 K, where the library finds it). Blends for which the library has no
parameters are left out and listed; so is a point at which it fails.
"""
import json
import random
import sys
import tomllib

import CoolProp
from CoolProp.CoolProp import AbstractState

NAMES = {
    "R-152a": "R152A", "R-227ea": "R227EA", "R-236fa": "R236FA", "R-290": "n-Propane", "R-600": "n-Butane", "R-600a": "IsoButane",
    "R-601": "n-Pentane", "R-601a": "Isopentane", "R-717": "Ammonia", "R-744": "CarbonDioxide", "R-1270": "Propylene",
    "nitrogen": "Nitrogen", "oxygen": "Oxygen", "argon": "Argon",
}


def digits(value):
    return float(f"{value:.12g}")


def library_name(name):
    return NAMES.get(name, name.replace("-", ""))


def build(entry):
    state = AbstractState("HEOS", "&".join(library_name(name) for name in entry["components"]))
    state.set_mass_fractions([part / sum(entry["mass-percent"]) for part in entry["mass-percent"]])
    return state


def saturated(state, quality, t):
    state.update(CoolProp.QT_INPUTS, quality, t)
    other = state.saturated_vapor_keyed_output if quality == 0 else state.saturated_liquid_keyed_output
    formed = state.mole_fractions_vapor() if quality == 0 else state.mole_fractions_liquid()
    return {"p": state.p(), "rho": state.rhomass(), "h": state.hmass(), "s": state.smass(), "rho_incipient": other(CoolProp.iDmass),
            "incipient": list(formed)}


def main():
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    dice = random.Random(seed)
    with open("data/blends.toml", "rb") as file:
        blends = tomllib.load(file)["blend"]
    points, without, failed = [], [], []
    for entry in blends:
        name = entry["name"]
        try:
            state = build(entry)
        except ValueError as error:
            without.append(f"{name}: {str(error)[:90]}")
            continue
        if name == "air":
            temperatures = [80.0, 100.0, 120.0]
            shift = None
        else:
            temperatures = [dice.uniform(215, 240), dice.uniform(250, 285), dice.uniform(290, 305)]
            try:
                state.update(CoolProp.QT_INPUTS, 0, 273.15)
                shift = (state.hmass() - 200e3, state.smass() - 1e3)
            except ValueError:
                shift = None
        for t in temperatures:
            edges = []
            for kind, quality in (("bubble", 0), ("dew", 1)):
                try:
                    out = saturated(state, quality, t)
                except ValueError as error:
                    failed.append(f"{name} {kind} at {t:.3f} K: {str(error)[:60]}")
                    continue
                edges.append(out["p"])
                add(points, name, kind, {"T": t}, out, shift)
            if len(edges) < 2:
                continue
            for kind, p, phase in (("vapour", edges[1] * dice.uniform(0.1, 0.9), CoolProp.iphase_gas),
                                   ("liquid", edges[0] * dice.uniform(1.1, 3.0), CoolProp.iphase_liquid)):
                try:
                    state.specify_phase(phase)
                    state.update(CoolProp.PT_INPUTS, p, t)
                    out = {"rho": state.rhomass(), "h": state.hmass(), "s": state.smass(), "cp": state.cpmass(),
                           "cv": state.cvmass(), "w": state.speed_sound()}
                    add(points, name, kind, {"T": t, "p": p}, out, shift)
                except ValueError as error:
                    failed.append(f"{name} {kind} at {t:.3f} K: {str(error)[:60]}")
                state.unspecify_phase()
    origin = f"made with CoolProp {CoolProp.__version__} by scripts/blend_points.py, seed {seed}"
    json.dump({"origin": origin, "without": without, "failed": failed, "points": points}, sys.stdout, separators=(",", ":"))
    sys.stdout.write("\n")


def add(points, name, kind, given, out, shift):
    for key, by in zip("hs", shift or (0, 0)):
        if shift is None:
            del out[key]
        else:
            out[key] -= by
    clean = {key: [digits(x) for x in value] if isinstance(value, list) else digits(value) for key, value in out.items()}
    points.append({"id": f"{name}/{kind}/{len(points)}", "fluid": name, "type": kind,
                   "in": {key: digits(value) for key, value in given.items()}, "out": clean})


if __name__ == "__main__":
    main()
