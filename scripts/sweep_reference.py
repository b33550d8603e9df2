#!/usr/bin/env python3
"""Random states against a general-purpose reference library (CoolProp, MIT licence): every pair of given values, near the critical point, next to
saturation and down to 10 Pa included.

    python3 -m venv target/bench-python && target/bench-python/bin/pip install -q CoolProp
    target/bench-python/bin/python scripts/sweep_reference.py pure 6000 [SEED]    # states a fluid
    target/bench-python/bin/python scripts/sweep_reference.py blends 600 [SEED]   # states a blend

Pure fluids: the library's equation is asked at random temperatures and densities, and what it says is looked for by each pair of values
(`crates/thermo/examples/sweep.rs`). Blends: ours are asked, and the library's equation has to say the same at each phase's own density and
composition; in two phases pressures and fugacities have to be equal and the parts have to add up. Its own flashes play no part: they fail at
many of these states.
"""
import collections
import math
import pathlib
import random
import subprocess
import sys
import tomllib

import CoolProp
from CoolProp.CoolProp import AbstractState

from blend_points import NAMES, build, library_name

ROOT = pathlib.Path(__file__).resolve().parent.parent
SWEEP = ["cargo", "run", "--release", "-q", "-p", "stemwise-thermo", "--example", "sweep", "--"]


def pure_fluids():
    names = [tomllib.loads(path.read_text())["name"] for path in sorted((ROOT / "data/refrigerants").glob("*.toml"))]
    return [(name, NAMES.get(name, library_name(name))) for name in names]


def pure_states(name, library, count, dice):
    state = AbstractState("HEOS", library)
    tc, low = state.T_critical(), state.Tmin()
    rhoc, gas = state.rhomass_critical(), state.gas_constant() / state.molar_mass()
    high = min(state.Tmax(), 1.5 * tc)
    most = state.pmax()

    def saturated(t):
        state.update(CoolProp.QT_INPUTS, 0, t)
        return state.saturated_liquid_keyed_output(CoolProp.iDmass), state.saturated_vapor_keyed_output(CoolProp.iDmass)

    def wide():
        t = dice.uniform(low, high)
        return t, math.exp(dice.uniform(math.log(1e3 / (gas * t)), math.log(3.3 * rhoc)))

    def thin():
        t = dice.uniform(low, high)
        return t, math.exp(dice.uniform(math.log(10), math.log(1e3))) / (gas * t)

    def critical():
        return tc * dice.uniform(0.98, 1.02), rhoc * dice.uniform(0.4, 1.7)

    def edge():
        t = dice.uniform(low, 0.995 * tc)
        liquid, vapour = saturated(t)
        by = 10 ** dice.uniform(-7, -1.5) * dice.choice([-1, 1])
        return t, dice.choice([liquid * (1 + by), vapour * (1 + by)])

    def dome():
        t = dice.uniform(low, 0.999 * tc)
        liquid, vapour = saturated(t)
        return t, 1 / (1 / liquid + dice.random() ** dice.choice([1, 4]) * (1 / vapour - 1 / liquid))

    def row(kind, t, rho):
        state.update(CoolProp.DmassT_INPUTS, rho, t)
        if not 10 < state.p() < most:
            return None
        both = state.phase() == CoolProp.iphase_twophase
        q = state.Q() if both else math.nan
        rest = [math.nan] * 3 if both else [state.cpmass(), state.cvmass(), state.speed_sound()]
        values = [t, rho, state.p(), state.hmass(), state.smass(), state.umass(), *rest, q]
        return "\t".join([name, kind, *map(repr, values)])

    yield row("wide", max(low, 0.8 * tc) if tc > 200 else 0.9 * tc, 1e-3 * rhoc) or row("wide", 1.1 * tc, 0.1 * rhoc)
    makers = [wide, thin, critical, edge, dome]
    made = 0
    while made < count:
        maker = makers[made % len(makers)]
        try:
            line = row(maker.__name__, *maker())
        except ValueError:
            line = None
        if line:
            made += 1
            yield line


def pure(count, dice):
    lines = []
    for name, library in pure_fluids():
        lines.extend(pure_states(name, library, count, dice))
    print(f"{len(lines)} states of {len(pure_fluids())} pure fluids, CoolProp {CoolProp.__version__}")
    print(subprocess.run([*SWEEP, "check"], input="\n".join(lines) + "\n", check=True, capture_output=True, text=True, cwd=ROOT).stdout)


class Prover:
    """Proves states of one blend by the library's equation alone."""

    def __init__(self, entry):
        self.state = build(entry)
        self.z = list(self.state.get_mole_fractions())
        self.worst = collections.defaultdict(float)
        self.shift = None
        self.off = []

    def at(self, t, rho, x, liquid):
        state = self.state
        state.set_mole_fractions(x)
        state.specify_phase(CoolProp.iphase_liquid if liquid else CoolProp.iphase_gas)
        state.update(CoolProp.DmassT_INPUTS, rho, t)
        return state

    def note(self, line, key, off, allowed):
        self.worst[key] = max(self.worst[key], off if math.isfinite(off) else math.inf)
        if not off <= allowed and len(self.off) < 6:
            self.off.append(f"OFF {key} {off:.2e}: {line}")

    def prove(self, line):
        words = line.split("\t")
        t, rho, p, h, s, _, cp, cv, w, q, rho_l, rho_v = map(float, words[2:14])
        kind = words[1]
        if math.isnan(q):
            state = self.at(t, rho, self.z, True)
            found = [state.p(), state.hmass(), state.smass(), state.cpmass(), state.cvmass(), state.speed_sound()]
            if self.shift is None:
                self.shift = (found[1] - h, found[2] - s)
            # A stiff liquid's pressure is as good as its density.
            stiff = rho * w * w * cv / cp
            self.note(line, f"{kind} p", abs(found[0] - p) / (p + 1e-3 * stiff), 1e-6)
            self.note(line, f"{kind} h", abs(found[1] - h - self.shift[0]) / max(abs(h), 1e5), 1e-6)
            self.note(line, f"{kind} s", abs(found[2] - s - self.shift[1]) / max(abs(s), 1e3), 1e-6)
            for key, a, b in zip(["cp", "cv", "w"], [cp, cv, w], found[3:]):
                self.note(line, f"{kind} {key}", abs(a / b - 1), 1e-5)
            return
        x, y = ([float(part) for part in text.split()] for text in words[14:16])
        sides = []
        for composition, density, liquid in ((x, rho_l, True), (y, rho_v, False)):
            state = self.at(t, density, composition, liquid)
            logs = [math.log(state.fugacity(i)) for i in range(len(x))]
            sides.append((state.p(), logs, state.hmass(), state.smass(), state.molar_mass(), state.rhomolar(), state.speed_sound()))
        liquid, vapour = sides
        stiff = rho_l * liquid[6] ** 2
        self.note(line, f"{kind} p'", abs(liquid[0] - p) / (p + 1e-3 * stiff), 1e-6)
        self.note(line, f"{kind} p''", abs(vapour[0] - p) / p, 1e-6)
        self.note(line, f"{kind} ln f", max(abs(a - b) for a, b in zip(liquid[1], vapour[1])), 1e-6)
        self.note(line, f"{kind} balance", max(abs((1 - q) * a + q * b - z) for a, b, z in zip(x, y, self.z)), 1e-8)
        mass = q * vapour[4] / (q * vapour[4] + (1 - q) * liquid[4])
        self.note(line, f"{kind} volume", abs(((1 - mass) / rho_l + mass / rho_v) * rho - 1), 1e-8)
        if self.shift:
            mixed = (1 - mass) * liquid[2] + mass * vapour[2] - self.shift[0]
            self.note(line, f"{kind} h", abs(mixed - h) / max(abs(h), 1e5), 1e-6)


def blends(count, dice):
    entries = tomllib.loads((ROOT / "data/blends.toml").read_text())["blend"]
    states, without = 0, []
    tally = collections.Counter()
    worst = collections.defaultdict(float)
    for entry in entries:
        name = entry["name"]
        seed = str(dice.randrange(1 << 40))
        lines = subprocess.run([*SWEEP, "make", name, str(count), seed], check=True, capture_output=True, text=True, cwd=ROOT).stdout.splitlines()
        for line in lines:
            if line.startswith("#tally"):
                _, kind, pair, what, number = line.split("\t")
                tally[kind, pair, what] += int(number)
            elif line.startswith("#"):
                print(line)
        lines = [line for line in lines if not line.startswith("#")]
        states += len(lines)
        try:
            prover = Prover(entry)
        except ValueError:
            without.append(name)
            continue
        for line in lines:
            try:
                prover.prove(line)
            except ValueError as error:
                prover.off.append(f"REFERENCE {str(error)[:80]}: {line}")
        for text in prover.off[:8]:
            print(text)
        for key, value in prover.worst.items():
            worst[key] = max(worst[key], value)
    print(f"{states} states of {len(entries)} blends; no parameters in CoolProp {CoolProp.__version__} for {', '.join(without)}")
    for key, value in sorted(worst.items()):
        print(f"worst {key:20} {value:.2e}")
    for (kind, pair, what), number in sorted(tally.items()):
        print(f"tally {kind:10} {pair:6} {what:18} {number}")


def main():
    what, count = sys.argv[1], int(sys.argv[2])
    dice = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    {"pure": pure, "blends": blends}[what](count, dice)


if __name__ == "__main__":
    main()
