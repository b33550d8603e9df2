#!/usr/bin/env python3
"""Times a pump-down and an evacuation of a small circuit against the same model written with general-purpose tools (SciPy's stiff integrator, CoolProp's
properties: scripts/motion_reference.py), both in one run, and prints ratios.

One line:

    python3 -m venv target/bench-python && target/bench-python/bin/pip install -q CoolProp numpy scipy && target/bench-python/bin/python scripts/bench_motion.py

It builds and runs `crates/rehearse/benches/reference.rs`. Both sides take turns, one core each time, and the best turn of each counts. Neither side's
tables of properties are timed, and of Python's time only that of its own process counts. How far each side's pressures are at most from those of the reference kept in the tests (BDF with a tolerance of 1e-6)
is printed beside its time: a time says little without its error. The Python side is run with the tolerances that follow, so that its cheapest answer
that is as near as ours can be picked.
"""

import contextlib
import io
import json
import pathlib
import subprocess

import CoolProp
import numpy
import scipy

import motion_reference

ROOT = pathlib.Path(__file__).resolve().parent.parent
TURNS = 2
TRIED = [("BDF", 1e-3), ("BDF", 3e-4), ("BDF", 1e-4), ("BDF", 1e-6)]


def program():
    """Builds the benchmark and returns its path."""
    command = ["cargo", "bench", "-q", "-p", "stemwise-rehearse", "--bench", "reference", "--no-run", "--message-format=json"]
    lines = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.splitlines()
    found = [json.loads(line).get("executable") for line in lines if line.startswith("{")]
    return [path for path in found if path][-1]


def off(pressures, entry):
    """The largest part by which pressures differ from the reference's."""
    rows = [row["pa"] for row in entry["found"]["rows"]]
    return max(abs(a / b - 1) for one, other in zip(pressures, rows, strict=True) for a, b in zip(one, other, strict=True))


def main():
    path = program()
    whole = json.loads(motion_reference.FILE.read_text())
    ours, theirs = {}, {}
    for _ in range(TURNS):
        for line in subprocess.run([path], check=True, capture_output=True, text=True).stdout.splitlines():
            found = json.loads(line)
            name = found["run"]
            seconds = min(found["seconds"], ours.get(name, (float("inf"),))[0])
            ours[name] = (seconds, off(found["pa"], whole[name]))
        for name in ours:
            times = [row["s"] for row in whole[name]["found"]["rows"]]
            for method, rtol in TRIED:
                with contextlib.redirect_stderr(io.StringIO()):
                    found = motion_reference.run(name, whole[name], times, method, rtol)
                key = (name, method, rtol)
                seconds = min(found["seconds"], theirs.get(key, (float("inf"),))[0])
                theirs[key] = (seconds, off([row["pa"] for row in found["rows"]], whole[name]))
    print(f"scipy {scipy.__version__}, CoolProp {CoolProp.__version__}, numpy {numpy.__version__}; best of {TURNS} turns")
    for name, (seconds, error) in ours.items():
        print(f"{name}: ours {seconds * 1e3:.2f} ms, off by {100 * error:.2f} % at most")
        for (run, method, rtol), (other, far) in theirs.items():
            if run == name:
                print(f"  {method} {rtol:g}: {other * 1e3:8.0f} ms, off by {100 * far:.3f} %, {other / seconds:8.0f} times ours")
        near = [other for (run, *_), (other, far) in theirs.items() if run == name and far <= error]
        if near:
            print(f"  as near as ours at the least cost: {min(near) / seconds:.0f} times ours")


if __name__ == "__main__":
    main()
