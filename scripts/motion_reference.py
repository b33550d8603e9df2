"""A pump-down and an evacuation by other means than the crate's: SciPy's stiff integrators (BDF, and Radau beside it) of high order and small
tolerance instead of implicit Euler, properties of both phases straight from CoolProp's equation of state instead of tables, and the laws of
flow, coils and machines written anew. The networks (volumes, walls, areas, which end draws what) are those that the crate makes of
crates/rehearse/tests/small.toml; they stand in the file already, see crates/rehearse/src/reference.rs.

Adds what it finds to crates/rehearse/tests/motion_reference.json. Needs CoolProp, numpy and scipy (pip install coolprop numpy scipy).

    python scripts/motion_reference.py
"""

import json
import math
import pathlib
import sys
import time

import CoolProp
import numpy as np
import scipy
from CoolProp.CoolProp import PropsSI
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

FILE = pathlib.Path(__file__).parent.parent / "crates/rehearse/tests/motion_reference.json"
FLUID = "R134a"
R = 8.314462618
R_AIR, CV_AIR = R / 0.0289644, 2.5 * R / 0.0289644
GRAVITY, THIN, RUNNY, DENSE = 9.80665, 1.3e-5, 1.8e-4, 2e4

STATE = CoolProp.AbstractState("HEOS", FLUID)
M = STATE.molar_mass()
T_LOW, T_HIGH = 200.0, 372.0


class Saturation:
    """Both phases along the saturation line: quintic-smooth splines through the equation of state at every eighth of a kelvin."""

    def __init__(self):
        kelvin = np.linspace(T_LOW, T_HIGH, int((T_HIGH - T_LOW) * 8) + 1)
        rows = []
        for t in kelvin:
            row = []
            for q in (0, 1):
                STATE.update(CoolProp.QT_INPUTS, q, t)
                row += [STATE.rhomass(), STATE.umass(), STATE.hmass()]
            rows.append([math.log(STATE.p()), *row])
        rows = np.array(rows)
        self.of_t = CubicSpline(kelvin, rows)
        self.t_of_log = CubicSpline(rows[:, 0], kelvin)

    def at_t(self, t):
        log, rho_l, u_l, h_l, rho_v, u_v, h_v = self.of_t(min(max(t, T_LOW), T_HIGH))
        return math.exp(log), rho_l, u_l, h_l, rho_v, u_v, h_v

    def at_p(self, p):
        return self.at_t(float(self.t_of_log(math.log(p))))


SATURATION = Saturation()


def single(rho, u, guess):
    """Temperature and pressure of one phase at a density and an energy: Newton's method on the energy."""
    t = guess
    for _ in range(60):
        STATE.specify_phase(CoolProp.iphase_gas if rho < 500 else CoolProp.iphase_liquid)
        STATE.update(CoolProp.DmassT_INPUTS, rho, t)
        step = (u - STATE.umass()) / STATE.cvmass()
        t += max(-30.0, min(30.0, step))
        if abs(step) < 1e-9 * t:
            break
    STATE.update(CoolProp.DmassT_INPUTS, rho, t)
    found = t, STATE.p()
    STATE.unspecify_phase()
    return found


class State:
    """What follows from a cell's refrigerant (kg), energy (J) and air (kg)."""

    def __init__(self, cell, kg, joule, air, guess):
        volume = cell["volume"]
        self.air = 0.0
        if air > 0:
            # The trace of refrigerant that an empty space starts with is left out.
            self.t = joule / (air * CV_AIR)
            self.p = air * R_AIR * self.t / volume
            self.rho = self.rho_l = self.rho_v = air / volume
            self.h = self.h_l = self.h_v = CV_AIR * self.t + R_AIR * self.t
            self.alpha = self.x = 0.0
            self.t_sat = self.t
            self.air = 1.0
            return
        rho = max(kg / volume, 1e-9)
        u = joule / kg
        self.rho = rho

        def off(t):
            _, rho_l, u_l, _, rho_v, u_v, _ = SATURATION.at_t(t)
            v = 1 / rho
            x = (v - 1 / rho_l) / (1 / rho_v - 1 / rho_l)
            return u - (u_l + x * (u_v - u_l)), x

        self.alpha = self.x = 0.0
        two = self.two_phase(rho, off)
        if two is not None:
            self.t = self.t_sat = two
            self.p, self.rho_l, _, self.h_l, self.rho_v, _, self.h_v = SATURATION.at_t(two)
            self.h = u + self.p / rho
            self.alpha = (rho - self.rho_v) / (self.rho_l - self.rho_v)
            self.x = self.alpha * self.rho_l / rho
        else:
            self.t, self.p = single(rho, u, guess)
            self.t_sat = self.t
            self.h = self.h_l = self.h_v = u + self.p / rho
            self.rho_l = self.rho_v = rho
            if rho > 511.9:
                self.alpha = self.x = 1.0

    @staticmethod
    def two_phase(rho, off):
        # The temperature on the saturation line at which the mixture of that density has the energy: its surplus falls as it warms.
        low, high = T_LOW, T_HIGH
        # Within the dome at that density.
        def edge(t):
            _, rho_l, _, _, rho_v, _, _ = SATURATION.at_t(t)
            return rho - rho_l if rho > 511.9 else rho_v - rho
        if edge(low) > 0:
            return None
        if edge(high) > 0:
            high = brentq(edge, low, high, xtol=1e-10)
        top, bottom = off(high)[0], off(low)[0]
        if top > 0 or bottom < 0:
            return None
        return brentq(lambda t: off(t)[0], low, high, xtol=1e-10)


def smooth(z):
    z = min(max(z, 0.0), 1.0)
    return z * z * (3 - 2 * z)


def working(coil, alpha):
    if coil["condenses"]:
        return max(1 - max(alpha - coil["wet"], 0) / (1 - coil["wet"]), 0.03)
    return 1 - 0.97 * math.exp(-alpha / (0.68 * coil["wet"]))


def outlet(cell, state):
    coil = cell["coil"]
    if coil["condenses"]:
        units = min(state.alpha / coil["wet"], 3) * coil["units"]
    else:
        units = math.exp(-state.alpha / (0.68 * coil["wet"])) * coil["units"]
    return cell["around"] + (state.t_sat - cell["around"]) * math.exp(-units * max(coil["fan"], 0.1))


def stream(cell, state, draw):
    """Density, enthalpy, liquid part and vapour density of what leaves."""
    kind, start = draw
    if kind == "mixed":
        return state.rho, state.h, state.x, state.rho_v
    coil = cell["coil"]
    if kind == "bottom":
        liquid = smooth(state.alpha / start)
    elif kind == "top":
        liquid = smooth((state.alpha - start) / (1 - start))
    elif coil["condenses"]:
        liquid = smooth(state.alpha / coil["wet"])
    else:
        liquid = smooth((state.alpha - 2 * coil["wet"]) / (1 - 2 * coil["wet"]))
    h_l, h_v, rho_v = state.h_l, state.h_v, state.rho_v
    if kind == "coil":
        t = outlet(cell, state)
        if coil["condenses"]:
            h_l += (t - state.t_sat) * coil["cp_l"]
        else:
            h_v += (t - state.t_sat) * coil["cp_v"]
            rho_v *= state.t_sat / t
    rho = 1 / (liquid / state.rho_l + (1 - liquid) / rho_v)
    return rho, liquid * h_l + (1 - liquid) * h_v, liquid, rho_v


def molecular(law, up, down, rt):
    """What molecules that fly from wall to wall add to a mass flow: Knudsen and Dushman for tubes, faded out for apertures."""
    number = lambda size: size * 0.5 * (up + down) / (THIN * math.sqrt(rt))
    speed = math.sqrt(8 * rt / math.pi)
    if "bore" in law:
        radius = law["bore"] / 2
        long = law["length"] / radius
        most = 0.25 * math.pi * radius**2 * speed / (1 + 0.375 * long * (1 + 1 / (3 + 3 / 7 * long)))
        x = number(law["bore"])
        share = (1 + x) / (1 + 1.24 * x)
    else:
        most = 0.25 * law["area"] * speed
        share = 1 / math.sqrt(1 + 0.01 * number(law["diameter"]) ** 2)
    return most / rt * (up - down) * share


def passed(law, opening, source, up, dp, air):
    if dp <= 0 or opening <= 0:
        return 0.0
    rho, _, liquid, rho_v = source
    vapour = 1 - liquid
    gas = air * vapour
    limit = up * ((0.057 * gas + 0.415) * vapour + 0.9 * liquid)
    part = min(dp / limit, 1)
    area = law["area"] * opening * (1 - (-0.016 * gas + 0.311) * part * vapour)
    turbulent = 2 * area**2 * rho * min(dp, limit)
    mean = rho * (1 - 0.5 * min(dp / up, 1) * vapour)
    viscosity = RUNNY * liquid + THIN * vapour
    small = 0.5 * up / (5e-3 * up + 100)
    slow = viscosity * law["laminar"] / (mean * opening) + math.sqrt(small / (2 * rho)) / area
    flow = 2 * dp / (slow + math.sqrt(slow**2 + 4 * dp**2 / turbulent))
    if law["rarefied"] and up < DENSE:
        flow += molecular(law["rarefied"], up, max(up - dp, 0), up / rho_v) * opening * vapour
    return flow


def through(law, link, cells, a, b):
    """Mass and energy from a to b."""
    kg = watt = 0.0
    dp, head = a.p - b.p, GRAVITY * link["drop"]
    if law["open"] > 0:
        source = stream(cells[0], a, link["draw_a"])
        flow = passed(law, law["open"], source, a.p, dp + source[0] * head, a.air)
        kg, watt = flow, flow * source[1]
    if law["back"] > 0:
        source = stream(cells[1], b, link["draw_b"])
        flow = passed(law, law["back"], source, b.p, -dp - source[0] * head, b.air)
        kg, watt = kg - flow, watt - flow * source[1]
    return kg, watt


def positive(x, width):
    return x if x >= width else 0.0 if x <= -width else (x + width) ** 2 / (4 * width)


def compress(law, link, cells, a, b):
    """Mass, energy out of a, energy into b."""
    kg = out = into = 0.0
    if law["speed"] > 0:
        rho, h, _, rho_v = stream(cells[0], a, link["draw_a"])
        ratio = min(b.p / a.p, 400)
        r = (1 + positive(ratio - 1, 0.05)) / (1 - law["suction_loss"])
        filled = positive(law["filling"] * (1 - law["clearance"] * (r ** (1 / law["kappa"]) - 1)), 0.02)
        sweep = law["speed"] * law["swept"]
        kg = filled * min(rho, 4 * rho_v) * law["valves"] * sweep
        part = (law["kappa"] - 1) / law["kappa"]
        each = a.p / rho_v * (max(ratio, 1) ** part - 1) / part * law["work"]
        shaft = kg * each * (1 + law["proportional_loss"]) + law["friction"] * sweep
        out = kg * h - shaft * (1 / law["motor"] - 1) * law["in_refrigerant"]
        into = kg * h + shaft
    if law["leak"] > 0 or law["speed"] <= 0:
        reeds = {"area": law["reeds"], "laminar": 0.0, "rarefied": {"area": law["reeds"], "diameter": math.sqrt(law["reeds"])},
                 "open": 1.0 if law["speed"] <= 0 else 0.0, "back": law["leak"] / law["reeds"]}
        more, watt = through(reeds, link, cells, a, b)
        kg, out, into = kg + more, out + watt, into + watt
    return kg, out, into


class Plant:
    def __init__(self, network, air):
        self.all, self.air = network["cells"], air
        links = network["links"]
        self.links = links
        joined = {end for link in links for end in (link["a"], link["b"])}
        # What stands alone doesn't change.
        self.own = [at for at in sorted(joined) if not self.all[at]["boundless"]]
        self.place = {at: place for place, at in enumerate(self.own)}
        self.count = len(self.own)
        self.guesses = [self.all[at]["t"] for at in self.own]
        self.evaluations = 0

    def start(self):
        rows = []
        for at in self.own:
            cell = self.all[at]
            if self.air:
                kg, joule = cell["air"], cell["air"] * CV_AIR * cell["t"]
            else:
                kg = cell["refrigerant"]
                joule = kg * self.energy(kg / cell["volume"], cell["t"])
            rows += [kg, joule, cell["t_wall"]]
        return np.array(rows)

    @staticmethod
    def energy(rho, t):
        _, rho_l, u_l, _, rho_v, u_v, _ = SATURATION.at_t(t)
        if rho_v < rho < rho_l:
            x = (1 / rho - 1 / rho_l) / (1 / rho_v - 1 / rho_l)
            return u_l + x * (u_v - u_l)
        return PropsSI("U", "D", rho, "T", t, FLUID)

    def states(self, y):
        found = []
        for place, at in enumerate(self.own):
            kg, joule, _ = y[3 * place : 3 * place + 3]
            state = State(self.all[at], max(kg, 1e-12), joule, max(kg, 1e-15) if self.air else 0.0, self.guesses[place])
            self.guesses[place] = state.t
            found.append(state)
        return found

    def rates(self, _, y):
        self.evaluations += 1
        states = self.states(y)
        dy = np.zeros_like(y)
        for place, (at, state) in enumerate(zip(self.own, states)):
            cell, wall, coil = self.all[at], y[3 * place + 2], self.all[at]["coil"]
            inner, outer = cell["inner"] * state.rho / (state.rho + 0.05), cell["outer"]
            if coil:
                part = working(coil, state.alpha)
                inner, outer = inner * part, outer * part * coil["fan"]
            heat = inner * (wall - state.t)
            dy[3 * place + 1] += heat
            dy[3 * place + 2] = (outer * (cell["around"] - wall) - heat) / cell["wall"]
        for link in self.links:
            ends = link["a"], link["b"]
            if ends[0] not in self.place:
                continue
            a = states[self.place[ends[0]]]
            cells = [self.all[end] for end in ends]
            (kind, law), = link["law"].items()
            if kind == "vacuum":
                rho, h, _, rho_v = stream(cells[0], a, link["draw_a"])
                limit = law["ultimate"]
                kg = law["speed"] * positive(a.p - limit, 0.02 * limit) / a.p * min(rho, 2 * rho_v)
                out = into = kg * h
            elif kind == "compressor":
                kg, out, into = compress(law, link, cells, a, states[self.place[ends[1]]])
            else:
                kg, out = through(law, link, cells, a, states[self.place[ends[1]]])
                into = out
            dy[3 * self.place[ends[0]] : 3 * self.place[ends[0]] + 2] -= [kg, out]
            if ends[1] in self.place:
                dy[3 * self.place[ends[1]] : 3 * self.place[ends[1]] + 2] += [kg, into]
        return dy


def run(name, entry, times, method, rtol):
    plant = Plant(entry["network"], name == "evacuation")
    y = plant.start()
    scale = np.abs(y.reshape(-1, 3)).max(axis=0)
    floor = 1e-4 * rtol * np.tile(scale, plant.count)
    clock = time.process_time()
    found = solve_ivp(plant.rates, (0, times[-1]), y, method=method, t_eval=times, rtol=rtol, atol=floor)
    seconds = time.process_time() - clock
    assert found.success, found.message
    rows = []
    for t, y in zip(found.t, found.y.T):
        states = plant.states(y)
        rows.append({"s": float(t), "pa": [float(f"{state.p:.7g}") for state in states], "kg": [float(f"{kg:.7g}") for kg in y[::3]]})
    print(name, method, rtol, f"{seconds:.1f} s, {plant.evaluations} evaluations", file=sys.stderr, flush=True)
    return {"cells": plant.own, "method": method, "rtol": rtol, "seconds": seconds, "rows": rows}


def furthest(one, other):
    """The largest part by which pressures of two runs differ."""
    return max(abs(a / b - 1) for x, y in zip(one["rows"], other["rows"]) for a, b in zip(x["pa"], y["pa"]))


if __name__ == "__main__":
    whole = json.loads(FILE.read_text())
    times = {
        "pump-down": [1, 2, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 70, 80, 90, 105, 120, 150, 180, 240, 300, 360, 420, 480, 600],
        "evacuation": [1, 2, 4, 6, 8, 10, 12, 15, 18, 21, 25, 30, 35, 40, 50, 60, 75, 90, 120, 150, 180, 240, 300, 450, 600, 900],
    }
    for name, entry in whole.items():
        if name == "source" or (len(sys.argv) > 1 and name not in sys.argv[1:]):
            continue
        entry["found"] = run(name, entry, times[name], "BDF", 1e-6)
        entry["found"]["seconds"] = round(entry["found"]["seconds"], 1)
        other = run(name, entry, times[name], "Radau", 1e-5)
        entry["found"]["Radau differs by"] = float(f"{furthest(entry['found'], other):.2g}")
        entry["found"]["Radau seconds"] = round(other["seconds"], 1)
        print(name, "Radau differs by", entry["found"]["Radau differs by"], file=sys.stderr, flush=True)
    whole["source"] = f"scripts/motion_reference.py, CoolProp {CoolProp.__version__}, scipy {scipy.__version__}, numpy {np.__version__}"
    FILE.write_text(json.dumps(whole, separators=(",", ":")) + "\n")
