"""Service calls to split air conditioners that another simulator runs (steady_reference.py: marched coils, an isentropic search for the orifice's flow,
a general-purpose property library), for the ranker of faults, which has never seen it: each built a little differently than its file says, a quarter
sound, the others with one fault of any size that costs at least 4 % of capacity or of efficiency. Readings are written as they are; the
test reads them with its instruments.

Writes crates/readings/tests/fault_calls.json. Needs CoolProp, numpy and scipy; about 8 s a call.

    python scripts/fault_calls.py 160 > crates/readings/tests/fault_calls.json
"""

import json
import math
import random
import sys

import numpy as np
import steady_reference as simulator

READ = ["suction_pa", "discharge_pa", "suction_line_k", "outlet_k", "liquid_line_k", "liquid_end_k", "discharge_line_k", "condenser_off_k",
        "air_off_k", "power_w"]
# Of the tuning that the ranker takes a system to have, one standard deviation, in parts.
SPREAD = {"condenser": 0.06, "evaporator": 0.06, "condenser_fan": 0.05, "evaporator_fan": 0.05, "swept": 0.025, "losses": 0.08, "opening": 0.03,
          "shell": 0.25, "line": 0.25, "charge": 0.015}
# The id that the ranker knows, how its size is drawn, and what it does.
FAULTS = {
    "undercharge": ((0.10, 0.40), lambda size: {"charge": 1 - size}),
    "overcharge": ((0.10, 0.40), lambda size: {"charge": 1 + size}),
    "non-condensables": ((0.6, 4.0), lambda size: {"air_kg": size * 1e5 * simulator.VOLUME["condenser"] / (simulator.AIR_GAS_CONSTANT * 310.0)}),
    "liquid-restriction": ((0.30, 0.85), lambda size: {"restriction": size}),
    "metering-starved": ((0.2, 0.6), lambda size: {"metering": 1 - size}),
    "metering-flooding": ((0.25, 1.0), lambda size: {"metering": 1 + size}),
    "condenser-fouling": ((0.25, 0.80), lambda size: {"condenser_air": 1 - size}),
    "evaporator-fouling": ((0.25, 0.75), lambda size: {"evaporator_air": 1 - size}),
    "compressor-valves": ((0.12, 0.5), lambda size: {"leak_back": size}),
}


# Flow, heat and charge close within this part; instruments read no finer.
WITHIN = 4e-3
LN_P = np.arange(math.log(3e5), math.log(56e5), 5e-4)
SATURATION = [("t", "T", 1), ("h_l", "H", 0), ("h_v", "H", 1), ("rho_l", "D", 0), ("rho_v", "D", 1), ("s_l", "S", 0), ("s_v", "S", 1)]
TABLE = {name: np.array([simulator.prop(what, P=p, Q=q) for p in np.exp(LN_P)]) for name, what, q in SATURATION}


class Dome(simulator.Dome):
    """The saturation curve out of a table of it, every 0.05 % in pressure."""

    def __init__(self, p):
        self.p = p
        for name, column in TABLE.items():
            setattr(self, name, float(np.interp(math.log(p), LN_P, column)))


def orifice(p, h, down, opening=1.0):
    """As the reference's, on the table: along the isentrope what has not flashed keeps its density."""
    s, rho = simulator.prop("S", P=p, H=h), simulator.prop("D", P=p, H=h)
    ln_p = np.linspace(math.log(down), math.log(0.9999 * p), 1500)
    t = {name: np.interp(ln_p, LN_P, column) for name, column in TABLE.items()}
    x = np.clip((s - t["s_l"]) / (t["s_v"] - t["s_l"]), 0, 1)
    flashed = s > t["s_l"]
    drop = np.where(flashed, h - (t["h_l"] + x * (t["h_v"] - t["h_l"])), (p - np.exp(ln_p)) / rho)
    there = np.where(flashed, 1 / ((1 - x) / t["rho_l"] + x / t["rho_v"]), rho)
    bore = 1e-3 * simulator.SIZES["evaporator bore of the opening before it"]
    return 0.7 * opening * math.pi / 4 * bore**2 * float(np.max(there * np.sqrt(np.maximum(2 * drop, 0))))


def call(dice, start):
    usual = {
        "outdoor_k": dice.uniform(293.0, 311.0), "indoor_k": 299.15 + dice.uniform(-2.5, 2.5), "humidity": dice.uniform(0.35, 0.65),
        "built": {name: math.exp(spread * dice.gauss(0, 1)) for name, spread in SPREAD.items()},
    }
    fault = None if dice.random() < 0.25 else dice.choice(list(FAULTS))
    size = dice.uniform(*FAULTS[fault][0]) if fault else 0.0
    found, at = simulator.balance(usual, start, WITHIN)
    if fault:
        well = found
        for part in (0.5, 1.0):
            found, at = simulator.balance({**usual, **FAULTS[fault][1](part * size)}, at, WITHIN)
        gone = [found["capacity_w"] / well["capacity_w"], found["capacity_w"] / found["power_w"] / (well["capacity_w"] / well["power_w"])]
        if all(abs(part - 1) < 0.04 for part in gone):
            return None
    read = {name: float(f"{found[name]:.7g}") for name in READ}
    return {"fault": fault, "size": round(size, 4), "outdoor_k": round(usual["outdoor_k"], 3), "indoor_k": round(usual["indoor_k"], 3),
            "found": read, "superheat_k": round(found["superheat_k"], 2), "subcooling_k": round(found["subcooling_k"], 2)}


def main():
    simulator.STEPS, simulator.Dome, simulator.orifice = 60, Dome, orifice
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 160
    dice = random.Random(20261128)
    calls, unsolved, small = [], 0, 0
    while len(calls) < many:
        try:
            found = call(dice, list(simulator.START))
        except (AssertionError, ValueError, OverflowError) as why:
            unsolved += 1
            print("left out, not solved:", str(why)[:150], file=sys.stderr, flush=True)
            continue
        if found is None:
            small += 1
            continue
        calls.append(found)
        print(len(calls), found, file=sys.stderr, flush=True)
    print(f"{unsolved} not solved, {small} too small to be called a fault", file=sys.stderr)
    body = ",\n  ".join(json.dumps(found) for found in calls)
    print(f'{{"source": {json.dumps(simulator.SOURCE)}, "example": "split-air-conditioner",\n "calls": [\n  {body}\n ]}}')


if __name__ == "__main__":
    main()
