#!/usr/bin/env python3
"""Makes reference points of pure refrigerants with the general-purpose property library CoolProp (PyPI, MIT licence).

    python3 -m venv VENV && VENV/bin/pip install CoolProp
    VENV/bin/python scripts/reference_points.py [SEED] > crates/thermo/tests/data/more-points.json

SI units, IIR reference state (h = 200 kJ/kg, s = 1 kJ/(kg K) for the saturated liquid at 273.15 K). Only fluids that have a saturation there.
"""
import json
import math
import random
import sys

import CoolProp
from CoolProp.CoolProp import AbstractState

FLUIDS = {
    "R-12": "R12", "R-13": "R13", "R-22": "R22", "R-23": "R23", "R-32": "R32", "R-115": "R115", "R-123": "R123", "R-124": "R124",
    "R-125": "R125", "R-134a": "R134a", "R-141b": "R141b", "R-142b": "R142b", "R-143a": "R143a", "R-152a": "R152A", "R-227ea": "R227EA",
    "R-236fa": "R236FA", "R-245fa": "R245fa", "R-290": "n-Propane", "R-600": "n-Butane", "R-600a": "IsoButane", "R-601a": "Isopentane",
    "R-717": "Ammonia", "R-744": "CarbonDioxide", "R-1233zd(E)": "R1233zd(E)", "R-1234yf": "R1234yf", "R-1234ze(E)": "R1234ze(E)",
    "R-1270": "Propylene", "R-1336mzz(Z)": "R1336mzz(Z)",
}


def digits(value):
    return float(f"{value:.12g}")


def saturation(state, t):
    out = {}
    for name, quality in (("l", 0), ("v", 1)):
        state.update(CoolProp.QT_INPUTS, quality, t)
        out |= {"p": state.p(), f"rho_{name}": state.rhomass(), f"h_{name}": state.hmass(), f"s_{name}": state.smass()}
        out |= {f"cp_{name}": state.cpmass(), f"w_{name}": state.speed_sound()}
    return out


def single(state):
    return {"h": state.hmass(), "s": state.smass(), "cp": state.cpmass(), "cv": state.cvmass(), "w": state.speed_sound()}


def main():
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    dice = random.Random(seed)
    points = []

    def add(fluid, kind, given, out, shift):
        for key in out:
            if key[0] in "hs" and key.split("_")[0] in ("h", "s"):
                out[key] -= shift[key[0]]
        points.append({"id": f"{fluid}/{kind}/{len(points)}", "fluid": fluid, "type": kind,
                       "in": {k: digits(v) for k, v in given.items()}, "out": {k: digits(v) for k, v in out.items()}})

    for fluid, name in FLUIDS.items():
        state = AbstractState("HEOS", name)
        tc, low = state.T_critical(), max(state.Tmin(), 0.45 * state.T_critical())
        state.update(CoolProp.QT_INPUTS, 0, 273.15)
        shift = {"h": state.hmass() - 200e3, "s": state.smass() - 1e3}
        # One of the saturation points within 1 % of the critical temperature is left to its own test.
        for part in [dice.random() for _ in range(5)] + [0.985]:
            t = digits(low + part * 0.985 / 0.985 * (tc - low) * (1.0 if part == 0.985 else 0.97))
            add(fluid, "sat", {"T": t}, saturation(state, t), shift)
        made = 0
        while made < 8:
            t = digits(low + dice.random() * (1.15 * tc - low))
            p = digits(math.exp(dice.uniform(math.log(50.0 if made == 0 else 2e4), math.log(1.5e7))))
            if made == 0:
                p = digits(dice.uniform(10.0, 90.0))
            try:
                state.update(CoolProp.PT_INPUTS, p, t)
                rho = state.rhomass()
                near = abs(t / tc - 1) < 0.03 and 0.4 < rho / state.rhomass_critical() < 1.7
                if near or (t < tc and abs(p / saturation(AbstractState("HEOS", name), t)["p"] - 1) < 0.01):
                    continue
                state.update(CoolProp.PT_INPUTS, p, t)
                add(fluid, "pT", {"p": p, "T": t}, {"rho": rho} | single(state), shift)
                made += 1
            except ValueError:
                continue
    json.dump({"origin": f"made with CoolProp {CoolProp.__version__} by scripts/reference_points.py, seed {seed}", "points": points},
              sys.stdout, separators=(",", ":"))


main()
