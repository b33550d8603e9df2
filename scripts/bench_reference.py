#!/usr/bin/env python3
"""Times our properties against a general-purpose reference library (CoolProp, MIT licence), both in one run on the same states, and prints ratios.

One line:

    python3 -m venv target/bench-python && target/bench-python/bin/pip install -q CoolProp && target/bench-python/bin/python scripts/bench_reference.py

It builds and runs `crates/thermo/benches/reference.rs`. Both sides take turns, one core each time, and the best turn of each counts (of every
handful of states). The reference
library is called through its low-level interface (one AbstractState a fluid, `update` and property methods in a loop); what such calls cost
by themselves in Python is measured with a trivial property, once for `update` and once for each property, and subtracted. `update` takes more
arguments than that, so a few tens of nanoseconds stay in favour of the reference's price; figures under 0.3 us are rough.
"""

import json
import pathlib
import subprocess
import time

import CoolProp
import CoolProp.CoolProp as cp

ROOT = pathlib.Path(__file__).resolve().parent.parent
NAMES = {"R-1234yf": "R1234yf", "R-134a": "R134a", "R-32": "R32", "R-290": "Propane", "R-744": "CO2", "R-717": "Ammonia", "R-22": "R22"}
TURNS = 4
PROPERTIES = ["p", "hmass", "smass", "cpmass", "speed_sound"]


def program():
    """Builds the benchmark and returns its path."""
    command = ["cargo", "bench", "-q", "-p", "stemwise-thermo", "--bench", "reference", "--no-run", "--message-format=json"]
    lines = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.splitlines()
    found = [json.loads(line).get("executable") for line in lines if line.startswith("{")]
    return [path for path in found if path][-1]


def best(items, each, repeats=5):
    """Nanoseconds for one item: the best of a few rounds of each handful, so that another process in between spoils little."""
    handfuls = [items[at : at + 20] for at in range(0, len(items), 20)]
    times = [float("inf")] * len(handfuls)
    for _ in range(repeats):
        for at, handful in enumerate(handfuls):
            start = time.perf_counter_ns()
            for item in handful:
                each(item)
            times[at] = min(times[at], time.perf_counter_ns() - start)
    return sum(times) / len(items)


class Reference:
    """One fluid of the reference library with its states."""

    def __init__(self, name, states):
        self.state = cp.AbstractState("HEOS", name)
        self.single, self.two, self.saturated = ([], [], [])
        for kind, t, rho, p in states:
            self.state.update(cp.DmassT_INPUTS, rho, t)
            row = (t, rho, self.state.p(), self.state.hmass(), self.state.umass())
            getattr(self, kind).append(row)

    def times(self):
        state, update = self.state, self.state.update
        floor = best(range(2000), lambda _: state.T())
        getters = [getattr(state, name) for name in PROPERTIES]

        def timed(items, pair, first, second, extra):
            calls = getters[1:] if extra else []

            def each(row):
                update(pair, first(row), second(row))
                for call in calls:
                    call()

            return best(items, each) - floor * (1 + len(calls))

        t, rho, p, h, u = (lambda row, at=at: row[at] for at in range(5))
        zero = lambda row: 0.0
        return {
            "T,rho to p,h,s,cp,w": timed(self.single, cp.DmassT_INPUTS, rho, t, True),
            "T,p to rho,h,s,cp,w": timed(self.single, cp.PT_INPUTS, p, t, True),
            "p,h, one phase": timed(self.single, cp.HmassP_INPUTS, h, p, False),
            "rho,u, one phase": timed(self.single, cp.DmassUmass_INPUTS, rho, u, False),
            "p,h, two phases": timed(self.two, cp.HmassP_INPUTS, h, p, False),
            "rho,u, two phases": timed(self.two, cp.DmassUmass_INPUTS, rho, u, False),
            "T,rho, two phases": timed(self.two, cp.DmassT_INPUTS, rho, t, False),
            "T to p,rho',rho''": timed(self.saturated, cp.QT_INPUTS, zero, t, False),
            "T,q=0 to p,h,s,cp,w": timed(self.saturated, cp.QT_INPUTS, zero, t, True),
            "p,q=0 to T,h,s,cp,w": timed(self.saturated, cp.PQ_INPUTS, p, zero, True),
        }


BLENDS = {
    "R-454B": ("R32&R1234yf", [0.689, 0.311]),
    "R-410A": ("R32&R125", [0.5, 0.5]),
    "R-448A": ("R32&R125&R1234yf&R134a&R1234ze(E)", [0.26, 0.26, 0.2, 0.21, 0.07]),
}


def blend_times(name):
    """A blend by the mixture model; temperatures where it fails are left out of its time."""
    components, parts = BLENDS[name]
    state = cp.AbstractState("HEOS", components)
    state.set_mass_fractions(parts)
    out, failed = {}, 0
    for what, q in [("bubble", 0.0), ("dew", 1.0)]:
        good = []
        for n in range(60):
            try:
                state.update(cp.QT_INPUTS, q, 233.15 + n)
                good.append(233.15 + n)
            except ValueError:
                failed += 1
        out[f"{what}, full"] = out[f"{what}, curve"] = best(good, lambda t, q=q: state.update(cp.QT_INPUTS, q, t), 3)
    some = range(0, 60, 12)
    out["T,p vapour"] = best(some, lambda n: state.update(cp.PT_INPUTS, 1e5, 253.15 + n), 1)
    enthalpies = []
    for n in some:
        state.update(cp.PT_INPUTS, 1e5, 253.15 + n)
        enthalpies.append(state.hmass())
    out["p,h vapour"] = best(enthalpies[:2], lambda h: state.update(cp.HmassP_INPUTS, h, 1e5), 1)
    return out, failed


def table_times(name, rows):
    """The reference's own tables: density and temperature to pressure and enthalpy; density and energy it does not offer."""
    start = time.perf_counter_ns()
    state = cp.AbstractState("BICUBIC&HEOS", name)
    good = []
    for t, rho, *_rest in rows:
        try:
            state.update(cp.DmassT_INPUTS, rho, t)
            good.append((t, rho))
        except ValueError:
            pass
    made = time.perf_counter_ns() - start
    floor = best(range(2000), lambda _: state.T())

    def each(row):
        state.update(cp.DmassT_INPUTS, row[1], row[0])
        state.p()
        state.hmass()

    return {"table, rho,u to T,p": best(good, each) - 3 * floor, "table, made": made}


def main():
    path = program()
    states = {}
    for line in subprocess.run([path, "states"], check=True, capture_output=True, text=True).stdout.splitlines():
        name, kind, *numbers = line.split("\t")
        states.setdefault(name, []).append((kind, *map(float, numbers)))
    references = {name: Reference(NAMES[name], rows) for name, rows in states.items()}
    ours, theirs = {}, {}

    def keep(table, key, ns):
        table[key] = min(ns, table.get(key, ns))

    failed = {}
    for turn in range(TURNS):
        for line in subprocess.run([path, "times"], check=True, capture_output=True, text=True).stdout.splitlines():
            name, what, ns = line.split("\t")
            keep(ours, (name, what), float(ns))
        for name, reference in references.items():
            for what, ns in reference.times().items():
                keep(theirs, (name, what), ns)
        for name in BLENDS if turn == 0 else []:
            blend, failed[name] = blend_times(name)
            for what, ns in blend.items():
                keep(theirs, (name, what), ns)
    for name in ["R-134a", "R-32"]:
        for what, ns in table_times(NAMES[name], references[name].single).items():
            keep(theirs, (name, what), ns)
    print(f"reference library: CoolProp {CoolProp.__version__}; microseconds a state, best of {TURNS} turns")
    for (name, what), ns in ours.items():
        if (name, what) in theirs:
            other = theirs[name, what]
            print(f"{name:10} {what:22} {ns / 1000:9.3f} ours {other / 1000:9.3f} reference {other / ns:8.1f} times")
    for name, count in failed.items():
        print(f"{name}: the reference found no answer at {count} of 120 temperatures")


if __name__ == "__main__":
    main()
