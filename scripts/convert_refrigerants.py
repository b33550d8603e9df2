#!/usr/bin/env python3
"""Lays published equation-of-state coefficients out in the project's own format.

Reads one JSON file a fluid (as the property library CoolProp 8.0.0, MIT licence, exports them) from the folder given as the first
argument and writes data/refrigerants/*.toml. The ideal-gas part is folded into five kinds of coefficients, which is algebra only:
  alpha0 = ln(delta) + constant + linear*tau + log*ln(tau) + sum n*tau^t + sum n*ln(1 - exp(-theta*tau)).
Run:  python3 scripts/convert_refrigerants.py FOLDER
"""
import json
import math
import pathlib
import sys

# id: (file, aliases, safety class, equation's paper). Papers' details are from memory of the citation, the keys from the data.
FLUIDS = {
    "R-12": ("R12", ["dichlorodifluoromethane"], "A1", "V. Marx, A. Pruss, W. Wagner, Neue Zustandsgleichungen fuer R 12, R 22, R 11 und R 113, VDI-Fortschritt-Ber. 19 (57), 1992"),
    "R-13": ("R13", ["chlorotrifluoromethane"], "A1", "B. Platzer, A. Polt, G. Maurer, Thermophysical Properties of Refrigerants, Springer, 1990"),
    "R-22": ("R22", ["chlorodifluoromethane"], "A1", "A. Kamei, S. W. Beyerlein, R. T Jacobsen, Int. J. Thermophys. 16 (1995) 1155-1164"),
    "R-23": ("R23", ["trifluoromethane"], "A1", "S. G. Penoncello, E. W. Lemmon, R. T Jacobsen, Z. Shan, J. Phys. Chem. Ref. Data 32 (2003) 1473-1499"),
    "R-32": ("R32", ["difluoromethane"], "A2L", "R. Tillner-Roth, A. Yokozeki, J. Phys. Chem. Ref. Data 26 (1997) 1273-1328"),
    "R-115": ("R115", ["chloropentafluoroethane"], "A1", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 60 (2015) 3745-3758"),
    "R-116": ("R116", ["hexafluoroethane"], "A1", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 51 (2006) 785-850"),
    "R-123": ("R123", ["2,2-dichloro-1,1,1-trifluoroethane"], "B1", "B. A. Younglove, M. O. McLinden, J. Phys. Chem. Ref. Data 23 (1994) 731-779"),
    "R-124": ("R124", ["2-chloro-1,1,1,2-tetrafluoroethane"], "A1", "B. de Vries, R. Tillner-Roth, H. D. Baehr, 19th Int. Congress of Refrigeration, The Hague, 1995, IVa:582-589"),
    "R-125": ("R125", ["pentafluoroethane"], "A1", "E. W. Lemmon, R. T Jacobsen, J. Phys. Chem. Ref. Data 34 (2005) 69-108"),
    "R-134a": ("R134a", ["1,1,1,2-tetrafluoroethane"], "A1", "R. Tillner-Roth, H. D. Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657-729"),
    "R-141b": ("R141b", ["1,1-dichloro-1-fluoroethane"], "none stated", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 51 (2006) 785-850"),
    "R-142b": ("R142b", ["1-chloro-1,1-difluoroethane"], "A2", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 51 (2006) 785-850"),
    "R-143a": ("R143a", ["1,1,1-trifluoroethane"], "A2L", "E. W. Lemmon, R. T Jacobsen, J. Phys. Chem. Ref. Data 29 (2000) 521-552"),
    "R-152a": ("R152A", ["1,1-difluoroethane"], "A2", "S. L. Outcalt, M. O. McLinden, J. Phys. Chem. Ref. Data 25 (1996) 605-636"),
    "R-218": ("R218", ["octafluoropropane"], "A1", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 51 (2006) 785-850"),
    "R-227ea": ("R227EA", ["1,1,1,2,3,3,3-heptafluoropropane"], "A1", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 60 (2015) 3745-3758"),
    "R-236fa": ("R236FA", ["1,1,1,3,3,3-hexafluoropropane"], "A1", "J. Pan, X. Rui, X. Zhao, L. Qiu, Fluid Phase Equilib. 321 (2012) 10-16"),
    "R-245fa": ("R245fa", ["1,1,1,3,3-pentafluoropropane"], "B1", "R. Akasaka, Y. Zhou, E. W. Lemmon, J. Phys. Chem. Ref. Data 44 (2015) 013104"),
    "R-290": ("n_Propane", ["propane"], "A3", "E. W. Lemmon, M. O. McLinden, W. Wagner, J. Chem. Eng. Data 54 (2009) 3141-3180"),
    "R-600": ("n_Butane", ["butane", "n-butane"], "A3", "D. Buecker, W. Wagner, J. Phys. Chem. Ref. Data 35 (2006) 929-1019"),
    "R-600a": ("IsoButane", ["isobutane"], "A3", "D. Buecker, W. Wagner, J. Phys. Chem. Ref. Data 35 (2006) 929-1019"),
    "R-601": ("n_Pentane", ["pentane", "n-pentane"], "A3", "M. Thol, T. Uhde, E. W. Lemmon, R. Span, Fluid Phase Equilib. (2019), equation of state for n-pentane"),
    "R-601a": ("Isopentane", ["isopentane"], "A3", "E. W. Lemmon, R. Span, J. Chem. Eng. Data 51 (2006) 785-850"),
    "R-717": ("Ammonia", ["ammonia", "NH3"], "B2L", "K. Gao, J. Wu, I. H. Bell, A. H. Harvey, E. W. Lemmon, J. Phys. Chem. Ref. Data 52 (2023) 013102"),
    "R-744": ("CarbonDioxide", ["carbon dioxide", "CO2"], "A1", "R. Span, W. Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509-1596"),
    "R-1233zd(E)": ("R1233zd_E", ["trans-1-chloro-3,3,3-trifluoropropene"], "A1", "R. Akasaka, E. W. Lemmon, J. Phys. Chem. Ref. Data 51 (2022) 023101"),
    "R-1234yf": ("R1234yf", ["2,3,3,3-tetrafluoropropene"], "A2L", "E. W. Lemmon, R. Akasaka, Int. J. Thermophys. 43 (2022) 119"),
    "R-1234ze(E)": ("R1234ze_E", ["trans-1,3,3,3-tetrafluoropropene"], "A2L", "M. Thol, E. W. Lemmon, Int. J. Thermophys. 37 (2016) 28"),
    "R-1270": ("Propylene", ["propylene", "propene"], "A3", "E. W. Lemmon et al., equation of state for propylene, 2013 (as released with the data)"),
    "R-1336mzz(Z)": ("R1336mzz_Z", ["cis-1,1,1,4,4,4-hexafluoro-2-butene"], "A1", "M. O. McLinden, R. Akasaka, J. Chem. Eng. Data 65 (2020) 4201-4214"),
    "nitrogen": ("Nitrogen", ["N2", "R-728"], "A1", "R. Span, E. W. Lemmon, R. T Jacobsen, W. Wagner, A. Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361-1433"),
    "oxygen": ("Oxygen", ["O2", "R-732"], "none stated", "R. Schmidt, W. Wagner, Fluid Phase Equilib. 19 (1985) 175-200; R. B. Stewart, R. T Jacobsen, W. Wagner, J. Phys. Chem. Ref. Data 20 (1991) 917-1021"),
    "argon": ("Argon", ["Ar", "R-740"], "A1", "C. Tegeler, R. Span, W. Wagner, J. Phys. Chem. Ref. Data 28 (1999) 779-850"),
    "water": ("Water", ["H2O", "R-718"], "A1", "W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387-535 (IAPWS-95)"),
}


def fold_ideal(terms, reducing_t):
    out = {"constant": 0.0, "linear": 0.0, "log": 0.0, "power": [], "einstein": []}
    for term in terms:
        kind = term["type"].removeprefix("IdealGasHelmholtz")
        if kind in ("Lead", "EnthalpyEntropyOffset"):
            out["constant"] += term["a1"]
            out["linear"] += term["a2"]
        elif kind == "LogTau":
            out["log"] += term["a"]
        elif kind == "Power":
            out["power"] += list(zip(term["n"], term["t"]))
        elif kind == "PlanckEinstein":
            out["einstein"] += list(zip(term["n"], term["t"]))
        elif kind == "PlanckEinsteinFunctionT":
            out["einstein"] += [(n, v / term["Tcrit"]) for n, v in zip(term["n"], term["v"])]
        elif kind in ("CP0Constant", "CP0PolyT"):
            fold_heat_capacity(out, term, kind)
        else:
            raise SystemExit(f"unknown ideal-gas term {kind}")
    return out


def fold_heat_capacity(out, term, kind):
    tc, t0 = term["Tc"], term["T0"]
    tau0 = tc / t0
    pairs = [(term["cp_over_R"], 0)] if kind == "CP0Constant" else list(zip(term["c"], term["t"]))
    for c, t in pairs:
        if t == 0:
            out["constant"] += c - c * math.log(tau0)
            out["linear"] -= c / tau0
            out["log"] += c
        elif t == -1:
            raise SystemExit("exponent -1 in a heat capacity polynomial")
        else:
            out["power"].append((-c * tc**t / (t * (t + 1)), -t))
            out["linear"] -= c * t0 ** (t + 1) / (tc * (t + 1))
            out["constant"] += c * t0**t / t


def arr(values):
    return "[" + ", ".join(repr(float(v)) for v in values) + "]"


def write_residual(lines, term):
    kind = term["type"].removeprefix("ResidualHelmholtz")
    name = {"Power": "power", "Exponential": "power", "Gaussian": "gaussian", "GaoB": "gao-b", "Lemmon2005": "double-exponential", "NonAnalytic": "non-analytic"}[kind]
    keys = {"Power": "ndtl", "Exponential": "ndtlg", "Lemmon2005": "ndtlm"}.get(kind)
    lines.append("[[residual]]")
    lines.append(f'kind = "{name}"')
    names = list(keys) if keys else [k for k in ("n", "d", "t", "eta", "beta", "gamma", "epsilon", "b", "a", "A", "B", "C", "D") if k in term]
    rename = {"A": "big-a", "B": "big-b", "C": "big-c", "D": "big-d"}
    for key in names:
        lines.append(f"{rename.get(key, key)} = {arr(term[key])}")
    lines.append("")


def dome(eos, published):
    """Where the equation's own dome closes, if that is off the published critical temperature by more than 3e-6 of it."""
    data = eos["SUPERANCILLARY"]
    top = data["meta"]["Tcrittrue / K"]
    if abs(top / published - 1) < 3e-6:
        return []
    # Every Chebyshev polynomial is 1 at the upper end.
    pressure = sum(data["jexpansions_p"][-1]["coef"])
    return [
        "[dome] # where the equation's own dome closes, a little off the published critical point",
        f"temperature = {top!r} # K",
        f"pressure = {pressure!r} # Pa",
        f"density = {data['meta']['rhocrittrue / mol/m^3']!r} # mol/m3",
        "",
    ]


def convert(folder, name, spec):
    file, aliases, safety, paper = spec
    data = json.loads((folder / f"{file}.json").read_text())
    eos = data["EOS"][0]
    red = eos["STATES"]["reducing"]
    crit = data["STATES"]["critical"]
    ideal = fold_ideal(eos["alpha0"], red["T"])
    q = json.dumps
    lines = [
        f"# {name}: Helmholtz energy equation of state. Coefficients as carried by CoolProp 8.0.0 (MIT licence, see LICENSE-DATA).",
        f"name = {q(name)}",
        f"aliases = {q(aliases)}",
        f"source = {q(paper)}",
        f"source-key = {q(eos['BibTeX_EOS'])}",
        'source-note = "key from the data; author list, journal and year from memory"',
        f"safety-class = {q(safety)}",
        'safety-source = "ANSI/ASHRAE Standard 34 (from memory)"',
        f"molar-mass = {eos['molar_mass']!r} # kg/mol",
        f"gas-constant = {eos['gas_constant']!r} # J/(mol K)",
        f"reducing-temperature = {float(red['T'])!r} # K",
        f"reducing-density = {float(red['rhomolar'])!r} # mol/m3",
        f"critical-temperature = {float(crit['T'])!r} # K",
        f"critical-pressure = {float(crit['p'])!r} # Pa",
        f"critical-density = {float(crit['rhomolar'])!r} # mol/m3",
        f"min-temperature = {float(eos['STATES']['sat_min_liquid']['T'])!r} # K, lowest of the saturation curve",
        f"max-temperature = {float(eos['T_max'])!r} # K",
        f"max-pressure = {float(eos['p_max'])!r} # Pa",
        "",
        *dome(eos, float(crit["T"])),
        "[ideal]",
        f"constant = {ideal['constant']!r}",
        f"linear = {ideal['linear']!r}",
        f"log = {ideal['log']!r}",
        f"power-n = {arr(n for n, _ in ideal['power'])}",
        f"power-t = {arr(t for _, t in ideal['power'])}",
        f"einstein-n = {arr(n for n, _ in ideal['einstein'])}",
        f"einstein-theta = {arr(t for _, t in ideal['einstein'])}",
        "",
    ]
    for key, label in (("pS", "pressure"), ("rhoL", "liquid-density"), ("rhoV", "vapour-density")):
        anc = data["ANCILLARIES"][key]
        form = "linear" if anc["type"] == "rhoLnoexp" else "exponential"
        lines += [
            f"[start.{label}] # starting values only",
            f'form = "{form}"',
            f"reducing-value = {float(anc['reducing_value'])!r}",
            f"reducing-temperature = {float(anc['T_r'])!r}",
            f"tau-factor = {str(bool(anc['using_tau_r'])).lower()}",
            f"n = {arr(anc['n'])}",
            f"t = {arr(anc['t'])}",
            "",
        ]
    for term in eos["alphar"]:
        write_residual(lines, term)
    out = pathlib.Path("data/refrigerants") / (name.lower().replace("(", "-").replace(")", "") + ".toml")
    out.write_text("\n".join(lines).rstrip() + "\n")


def main():
    folder = pathlib.Path(sys.argv[1])
    for name, spec in FLUIDS.items():
        convert(folder, name, spec)


if __name__ == "__main__":
    main()
