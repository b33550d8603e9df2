"""Logs of vacuum gauges from a simulator of its own: other equations, another integrator and another language than the crate that reads them.

Decay (valve to the pump shut): two spaces (the system, and the stub with the gauge) with air and water vapour each, a film of water that
cools as it evaporates, water in oil and on walls, a leak, elastomers that give off gas, a drifting room, and a gauge with noise, steps and a
wrong gain. Pull-down: a hose in ten cells, a pump with an ultimate pressure, the same film, a leak. Integrated with SciPy's BDF.

Writes crates/readings/tests/vacuum_logs.json. Needs numpy and scipy.

    python scripts/vacuum_logs.py > crates/readings/tests/vacuum_logs.json
"""

import json
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp

rng = np.random.default_rng(7_2026)
R, M_WATER, ETA = 8.314462618, 0.018015, 1.82e-5
MICRON = 0.133322


def water_pressure(t):
    # Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539: over ice and over liquid water.
    if t < 273.16:
        return np.exp(9.550426 - 5723.265 / t + 3.53068 * np.log(t) - 0.00728332 * t)
    return np.exp(
        54.842763 - 6763.22 / t - 4.210 * np.log(t) + 0.000367 * t
        + np.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * np.log(t) + 0.014025 * t)
    )


def tube(d, length, mean):
    viscous = np.pi * d**4 * mean / (128 * ETA * length)
    molecular = 121.2 * d**3 / length
    return viscous + 0.9 * molecular


def readings(pascal):
    gain = rng.uniform(0.95, 1.05)
    read = pascal / MICRON * gain * (1 + rng.normal(0, 0.004, pascal.size)) + rng.normal(0, 1.0, pascal.size)
    step = np.where(read < 1000, 1, np.where(read < 10_000, 10, 100))
    return (np.round(read / step) * step).astype(int)


def film(m, t_film, p_water, t_wall, area):
    # kg/s: kinetic, slowed by the oil on it, and gone when the film is gone.
    return area * 2e-6 * (water_pressure(t_film) - p_water) * m / (m + 2e-7)


def decay(kind):
    volume = np.exp(rng.uniform(np.log(0.004), np.log(0.03)))
    minutes = rng.uniform(35, 60)
    t0 = rng.uniform(288, 303)
    drift = rng.uniform(-0.6, 0.6) / 3600
    p0 = rng.uniform(15, 60)
    leak = water = 0.0
    if kind in ("leak", "both"):
        leak = np.exp(rng.uniform(np.log(60), np.log(500))) / 3600 * volume
    elif kind == "tight":
        leak = rng.uniform(0, 1.5) / 3600 * volume
    if kind == "wet":
        water = np.exp(rng.uniform(np.log(60), np.log(700)))
    elif kind == "both":
        water = leak / volume * minutes * 60 * np.exp(rng.uniform(np.log(0.4), np.log(2.5)))
        water = min(max(water, 50), 900)
    elif kind == "soaked":
        water = 20_000.0
    mass = water * volume * M_WATER / (R * t0)
    split = rng.uniform(0.3, 1.0)
    m_film, m_oil = mass * split, mass * (1 - split)
    # Slow enough to be seen, fast enough to end within the test.
    seconds = rng.uniform(90, minutes * 60 / 6)
    area = m_film / seconds / (2e-6 * water_pressure(t0)) if m_film > 0 else 0.0
    if kind == "soaked":
        area = rng.uniform(1, 6) * volume / 240 * M_WATER / (R * t0) / 2e-6
    tau_oil = rng.uniform(60, minutes * 60 / 7)
    keeps = rng.uniform(0, 0.08) * m_oil / max(water, 1)
    heat = 2.45e6 * area * 2e-6 * 140 * rng.uniform(1, 6)
    capacity = max(heat * rng.uniform(5, 20), 1e-6)
    elastomer, settled = rng.uniform(0, 12) / 3600 * volume, rng.uniform(300, 3600)
    stub = rng.uniform(2e-5, 8e-5)
    d, length = rng.choice([0.0048, 0.0064, 0.0095]), rng.uniform(0.5, 1.8)
    behind = rng.choice([0.0, 1.0]) * rng.uniform(0.2, 0.6)

    def slope(time, y):
        air, steam, air_b, steam_b, left, t_film, oil = y
        warm = t0 + drift * time
        evaporates = film(max(left, 0.0), t_film, steam, warm, area)
        from_oil = (max(oil, 0.0) - keeps * steam) / tau_oil
        c = tube(d, length, (air + steam + air_b + steam_b) / 2)
        q_air, q_steam = c * (air - air_b), c * (steam - steam_b)
        gas = R * warm / M_WATER
        out = elastomer * settled / (settled + time)
        return [
            (leak + out - q_air) / volume,
            ((evaporates + from_oil) * gas - q_steam) / volume,
            q_air / stub,
            q_steam / stub,
            -evaporates,
            (heat * (warm - t_film) - 2.45e6 * evaporates) / capacity if area > 0 else 0.0,
            -from_oil,
        ]

    low = p0 * (1 - behind)
    y = [0.8 * p0, 0.2 * p0, 0.8 * low, 0.2 * low, m_film, t0 - (1.0 if area > 0 else 0.0), m_oil]
    interval = rng.choice([10, 30, 60, 0])
    end = minutes * 60
    times = np.arange(0, end, interval) if interval else np.sort(np.append(rng.uniform(0, end, 60), 0.0))
    done = solve_ivp(slope, (0, end), y, method="BDF", t_eval=times, rtol=1e-7, atol=[1e-6] * 4 + [1e-13, 1e-4, 1e-13], max_step=20)
    assert done.success, done.message
    pressure = (done.y[2] + done.y[3]) * (1 + drift * done.t / t0)
    # A gauge that logs less often than every 30 s is thinned so that the file stays small.
    keep = slice(None, None, 6 if interval == 10 else 2 if interval == 30 else 1)
    micron = readings(pressure)[keep]
    return dict(
        kind=kind, volume_l=round(volume * 1e3, 3), kelvin=round(t0, 2), leak=leak, water_kg=float(mass - max(done.y[6][-1], 0.0) - max(done.y[4][-1], 0.0)),
        seconds=[round(float(t), 1) for t in done.t[keep]], micron=[int(x) for x in micron],
    )


def pull_down(name, volume, d, length, speed, ultimate, leak, water_g, minutes):
    cells = 10
    t0 = 295.15
    piece = length / cells
    cell = np.pi / 4 * d * d * piece
    area = 0.0 if water_g == 0 else 4e-3

    def slope(time, y):
        p, left, t_film = y[:cells + 1], y[cells + 1], y[cells + 2]
        q = np.empty(cells + 1)
        for i in range(cells):
            span = piece if i else piece / 2
            q[i] = tube(d, span, (p[i] + p[i + 1]) / 2) * (p[i] - p[i + 1])
        q[cells] = max(speed * (p[cells] - ultimate), 0.0)
        wet = film(max(left, 0.0), t_film, p[0], t0, area) if area else 0.0
        out = np.empty(cells + 3)
        out[0] = (leak + wet * R * t0 / M_WATER - q[0]) / volume
        out[1:cells + 1] = (q[:cells] - q[1:]) / cell
        out[cells + 1] = -wet
        out[cells + 2] = (0.15 * (t0 - t_film) - 2.45e6 * wet) / 4.0 if area else 0.0
        return out

    y = [101_325.0] * (cells + 1) + [water_g * 1e-3, t0]
    end = minutes * 60
    times = np.unique(np.concatenate([np.arange(0, min(300, end), 5), np.arange(0, end, 30)]))
    done = solve_ivp(slope, (0, end), y, method="BDF", t_eval=times, rtol=1e-6, atol=[1e-4] * (cells + 1) + [1e-10, 1e-4])
    assert done.success, done.message
    p = done.y[0]
    # Gauges of this kind show nothing above 25 000 micron.
    shown = p / MICRON < 25_000
    reach = np.nonzero(p <= 500 * MICRON)[0]
    return dict(
        name=name, volume_l=volume * 1e3, bore_mm=d * 1e3, length_m=length, pump_m3_per_s=speed, ultimate_pa=ultimate, leak=leak, water_g=water_g,
        kelvin=t0, reaches_500_s=float(done.t[reach[0]]) if reach.size else None,
        seconds=[round(float(t), 1) for t in done.t[shown]], micron=[int(x) for x in readings(p[shown])],
    )


decays = [decay(kind) for kind, count in [("tight", 50), ("leak", 60), ("wet", 60), ("both", 60), ("soaked", 20)] for _ in range(count)]
cfm = 0.47195e-3
pulls = [
    pull_down("a quarter-inch hose", 0.012, 0.0048, 1.5, 5 * cfm, 2.0, 1e-6, 0, 60),
    pull_down("a half-inch hose", 0.012, 0.0127, 1.5, 5 * cfm, 2.0, 1e-6, 0, 20),
    pull_down("a three-eighths hose, large", 0.040, 0.0080, 1.0, 8 * cfm, 1.0, 1e-6, 0, 60),
    pull_down("a leak", 0.012, 0.0080, 1.5, 5 * cfm, 2.0, 3e-2, 0, 40),
    pull_down("a leak and a thin hose", 0.008, 0.0048, 1.5, 5 * cfm, 2.0, 1.2e-2, 0, 60),
    pull_down("old oil in the pump", 0.012, 0.0127, 1.5, 5 * cfm, 150.0, 1e-6, 0, 40),
    pull_down("water", 0.012, 0.0080, 1.5, 5 * cfm, 2.0, 1e-6, 3.0, 40),
    pull_down("a small pump", 0.030, 0.0127, 0.9, 1.5 * cfm, 3.0, 1e-6, 0, 60),
]
source = f"scripts/vacuum_logs.py, numpy {np.__version__}, scipy {scipy.__version__} (solve_ivp, BDF); invented systems"
json.dump(dict(source=source, decays=decays, pulls=pulls), sys.stdout, separators=(",", ":"))
sys.stdout.write("\n")
