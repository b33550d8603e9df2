#!/usr/bin/env python3
"""Makes reference points of transport properties with the general-purpose property library CoolProp (PyPI, MIT licence).

    python3 -m venv VENV && VENV/bin/pip install CoolProp
    VENV/bin/python scripts/transport_points.py [SEED] > crates/thermo/tests/data/transport-points.json

SI units. Where a fluid has two viscosity models in the library's data, the library uses the first (residual entropy scaling) and takes the molecule of
that model for the conductivity too. "entropy" is that viscosity. For "viscosity" and "conductivity" the library is given its own data with the second model (the
fluid's own published parameters) put first, so that it computes what the papers say. A point where the library raises an error has null there.
"""
import json
import random
import sys

import CoolProp
from CoolProp import CoolProp as library
from CoolProp.CoolProp import AbstractState

from convert_refrigerants import FLUIDS


def digits(value):
    return float(f"{value:.12g}")


def called(stem):
    """The library's name of a fluid's file."""
    return stem.replace("_E", "(E)").replace("_Z", "(Z)").replace("n_", "n-")


def states(state, dice):
    """Temperature and density of one-phase states all over the range that service and heat pumps use."""
    tc, low = state.T_critical(), max(state.Tmin(), 0.5 * state.T_critical())
    for part in (0.02, 0.3, 0.55, 0.75, 0.9, 0.97):
        t = low + part * (tc - low)
        for quality in (0, 1):
            state.update(CoolProp.QT_INPUTS, quality, t)
            yield ("liquid" if quality == 0 else "vapour"), t, state.rhomass()
    for _ in range(4):
        t = dice.uniform(low, 1.25 * tc)
        p = state.p_critical() * 10 ** dice.uniform(-3, 0.9)
        try:
            state.update(CoolProp.PT_INPUTS, p, t)
            yield "single", t, state.rhomass()
        except ValueError:
            pass
    yield "gas", 0.8 * tc, 1e-3
    yield "critical", 1.02 * tc, 0.9 * state.rhomass_critical()
    yield "critical", 1.005 * tc, 1.05 * state.rhomass_critical()


def attempt(compute):
    try:
        return digits(compute())
    except ValueError:
        return None


def main():
    dice = random.Random(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
    library.set_config_bool(CoolProp.OVERWRITE_FLUIDS, True)
    points = []
    for fluid, (stem, *_) in FLUIDS.items():
        name = called(stem)
        state = AbstractState("HEOS", name)
        mine = []
        for kind, t, rho in states(state, dice):
            t, rho = digits(t), digits(rho)
            mine.append({"fluid": fluid, "kind": kind, "T": t, "rho": rho})
        data = json.loads(library.get_fluid_param_string(name, "JSON"))[0]
        transport = data.get("TRANSPORT", {})
        models = transport.get("viscosity", [])
        if isinstance(models, list) and len(models) == 2:
            fill(state, mine, {"entropy": lambda: state.viscosity()})
            transport["viscosity"] = models[1]
            library.add_fluids_as_JSON("HEOS", json.dumps([data]))
            state = AbstractState("HEOS", name)
        wanted = {}
        if models:
            wanted["viscosity"] = lambda: state.viscosity()
        if "conductivity" in transport:
            wanted["conductivity"] = lambda: state.conductivity()
        fill(state, mine, wanted)
        if "surface_tension" in data["ANCILLARIES"]:
            for point in mine:
                if point["kind"] == "liquid":
                    state.update(CoolProp.QT_INPUTS, 0, point["T"])
                    point["tension"] = digits(state.surface_tension())
        points += mine
    for blend in ("R-404A", "R-407C", "R-410A", "R-507A"):
        points += of_blend(blend)
    lines = ",\n".join(json.dumps(point) for point in points)
    origin = f"CoolProp {CoolProp.__version__} (PyPI), scripts/transport_points.py; SI units; null: the library raised an error"
    print(f'{{"origin": {json.dumps(origin)}, "points": [\n{lines}\n]}}')


def of_blend(blend):
    """One-phase states off the saturation curve, where the library's pseudo-pure equation and a mixture model agree on the phase."""
    state = AbstractState("HEOS", blend.replace("-", ""))
    mine = []
    for t in (240.0, 273.15, 300.0, 330.0):
        state.update(CoolProp.QT_INPUTS, 0, t)
        bubble = state.p()
        state.update(CoolProp.QT_INPUTS, 1, t)
        dew = state.p()
        for kind, p in (("liquid", 1.5 * bubble), ("gas", 0.6 * dew)):
            state.update(CoolProp.PT_INPUTS, p, t)
            point = {"fluid": blend, "kind": kind, "T": t, "rho": digits(state.rhomass())}
            fill(state, [point], {"viscosity": lambda: state.viscosity(), "conductivity": lambda: state.conductivity()})
            if kind == "liquid":
                state.update(CoolProp.QT_INPUTS, 0, t)
                point["tension"] = digits(state.surface_tension())
            mine.append(point)
    return mine


def fill(state, points, wanted):
    for point in points:
        # A saturated state's density given back may fall into the dome by rounding, where the library has no viscosity.
        phase = {"liquid": CoolProp.iphase_liquid, "vapour": CoolProp.iphase_gas}.get(point["kind"])
        if phase is not None:
            state.specify_phase(phase)
        state.update(CoolProp.DmassT_INPUTS, point["rho"], point["T"])
        for key, compute in wanted.items():
            point[key] = attempt(compute)
        state.unspecify_phase()


if __name__ == "__main__":
    main()
