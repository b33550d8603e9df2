#!/usr/bin/env python3
"""Lays published mixture parameters out in the project's own format: data/pairs.toml.

Reads binary_pairs.json, departure_functions.json and one JSON file a fluid (as the property library CoolProp 8.0.0, MIT licence, exports
them) from the folder given as the first argument. Only pairs of fluids that data/refrigerants has are written. Algebra only:
- The six pairs that are published with xi and zeta (Lemmon and Jacobsen 2004, linear reducing functions with a quadratic correction) become
  gamma-t and gamma-v of the common form, with both betas 1.
- A departure term exp(-eta (delta - epsilon)^2 - beta (delta - gamma)) becomes a Gaussian in delta with its square completed, or a plain
  exponential where eta is 0.
Pairs without published parameters are estimated by their families: reducing temperature and volume as far off the arithmetic means as those of
the published pairs of the same two families are on average. Averages and standard deviations are written beside the pairs.
Run:  PYTHONPATH=scripts python3 scripts/convert_pairs.py FOLDER
"""
import json
import math
import pathlib
import statistics
import sys
import tomllib

PAPERS = {
    "Lemmon-JPCRD-2004": "E. W. Lemmon, R. T Jacobsen, J. Phys. Chem. Ref. Data 33 (2004) 593-620",
    "Kunz-JCED-2012": "O. Kunz, W. Wagner, J. Chem. Eng. Data 57 (2012) 3032-3091 (GERG-2008)",
    "Bell-JCED-2016": "I. H. Bell, E. W. Lemmon, J. Chem. Eng. Data 61 (2016) 3752-3760",
    "Bell-JCED-2025": "I. H. Bell, J. Chem. Eng. Data (2025), doi 10.1021/acs.jced.4c00699",
    "Bell-JPCRD-2022": "I. H. Bell, J. Phys. Chem. Ref. Data 51 (2022) 013103, doi 10.1063/5.0086060",
    "Bell-JPCRD-2023": "I. H. Bell, J. Phys. Chem. Ref. Data 52 (2023) 013101, doi 10.1063/5.0135368",
    "Bell-IJT-2020": "I. H. Bell and others, Int. J. Thermophys. (2020)",
    "Gernert-Thesis-2013": "J. Gernert, doctoral thesis, Ruhr-Universitaet Bochum, 2013",
    "Akasaka-Purdue-2014": "R. Akasaka, 15th Int. Refrigeration and Air Conditioning Conference at Purdue, 2014",
    "McLinden-NISTIR-8570": "M. O. McLinden and others, NIST IR 8570",
}


FAMILIES = {
    "hydrocarbon": ["R-290", "R-600", "R-600a", "R-601", "R-601a", "R-1270"],
    "hydrofluorocarbon": ["R-23", "R-32", "R-125", "R-134a", "R-143a", "R-152a", "R-227ea", "R-236fa", "R-245fa"],
    "hydrochlorofluorocarbon": ["R-22", "R-123", "R-124", "R-141b", "R-142b"],
    "chlorofluorocarbon": ["R-12", "R-13", "R-115", "R-116", "R-218"],
    "fluoroolefin": ["R-1234yf", "R-1234ze(E)", "R-1233zd(E)", "R-1336mzz(Z)"],
}
LEAST_PAIRS = 3


def family_of(name):
    return next((family for family, names in FAMILIES.items() if name in names), None)


def estimates(pairs, fluids):
    """By two families: mean and standard deviation of (reducing value at equal parts) / (arithmetic mean), for temperature and volume."""
    groups = {}
    for one, two, (_bt, gt, _bv, gv), _pair in pairs:
        key = tuple(sorted((family_of(one) or "", family_of(two) or "")))
        if "" in key:
            continue
        (t1, v1), (t2, v2) = ((fluids[n]["reducing-temperature"], 1 / fluids[n]["reducing-density"]) for n in (one, two))
        geometric = 0.125 * (v1 ** (1 / 3) + v2 ** (1 / 3)) ** 3
        groups.setdefault(key, []).append((gt * math.sqrt(t1 * t2) / (0.5 * (t1 + t2)), gv * geometric / (0.5 * (v1 + v2))))
    for key, found in sorted(groups.items()):
        if len(found) >= LEAST_PAIRS:
            yield key, [(statistics.mean(column), statistics.stdev(column)) for column in zip(*found)], len(found)


def arr(values):
    return "[" + ", ".join(repr(float(v)) for v in values) + "]"


def reducing(folder, fluids):
    """CAS number -> (name of ours, reducing temperature, reducing density)."""
    found = {}
    import convert_refrigerants as ours

    for name, (file, *_rest) in ours.FLUIDS.items():
        data = json.loads((folder / f"{file}.json").read_text())
        toml = fluids[name]
        found[data["INFO"]["CAS"]] = (name, toml["reducing-temperature"], toml["reducing-density"])
    return found


def term_groups(function):
    """The terms as plain exponentials and Gaussians in delta."""
    if function["type"] == "Exponential":
        return [(n, d, t, ("power", l, 1.0)) for n, d, t, l in zip(*(function[k] for k in "ndtl"))]
    if function["type"] != "GERG-2008":
        raise SystemExit(f"unknown departure function {function['type']}")
    out = []
    for at, (n, d, t, eta, epsilon, beta, gamma) in enumerate(zip(*(function[k] for k in ("n", "d", "t", "eta", "epsilon", "beta", "gamma")))):
        if at < function["Npower"]:
            out.append((n, d, t, ("power", 0, 1.0)))
        elif eta == 0.0:
            out.append((n * math.exp(beta * gamma), d, t, ("power", 1 if beta else 0, beta or 1.0)))
        else:
            shift = beta / (2 * eta)
            factor = math.exp(beta * (gamma - epsilon) + beta * beta / (4 * eta))
            out.append((n * factor, d, t, ("gaussian", eta, epsilon - shift)))
    return out


def write_terms(lines, terms):
    power = [t for t in terms if t[3][0] == "power"]
    gauss = [t for t in terms if t[3][0] == "gaussian"]
    if power:
        lines += ["[[function.term]]", 'kind = "power"']
        lines += [f"{key} = {arr(t[at] for t in power)}" for at, key in enumerate("ndt")]
        lines += [f"l = {arr(t[3][1] for t in power)}"]
        if any(t[3][2] != 1.0 for t in power):
            lines += [f"g = {arr(t[3][2] for t in power)}"]
    if gauss:
        lines += ["[[function.term]]", 'kind = "gaussian"']
        lines += [f"{key} = {arr(t[at] for t in gauss)}" for at, key in enumerate("ndt")]
        lines += [f"eta = {arr(t[3][1] for t in gauss)}", f"epsilon = {arr(t[3][2] for t in gauss)}"]
        lines += [f"beta = {arr(0.0 for _ in gauss)}", f"gamma = {arr(0.0 for _ in gauss)}"]
    lines.append("")


def main():
    folder = pathlib.Path(sys.argv[1])
    files = pathlib.Path("data/refrigerants").glob("*.toml")
    fluids = {f["name"]: f for f in (tomllib.loads(p.read_text()) for p in files)}
    known = reducing(folder, fluids)
    pairs, used = [], set()
    for pair in json.loads((folder / "binary_pairs.json").read_text()):
        if pair["CAS1"] not in known or pair["CAS2"] not in known:
            continue
        one, t1, r1 = known[pair["CAS1"]]
        two, t2, r2 = known[pair["CAS2"]]
        if "xi" in pair:
            mean = 0.125 * (r1 ** (-1 / 3) + r2 ** (-1 / 3)) ** 3
            values = (1.0, 0.5 * (t1 + t2 + pair["xi"]) / math.sqrt(t1 * t2), 1.0, 0.5 * (1 / r1 + 1 / r2 + pair["zeta"]) / mean)
        else:
            values = (pair["betaT"], pair["gammaT"], pair["betaV"], pair["gammaV"])
        pairs.append((one, two, values, pair))
        if pair.get("function"):
            used.add(pair["function"])
    lines = [
        "# Mixture parameters of pairs of refrigerants: reducing functions and departure functions. As carried by CoolProp 8.0.0 (MIT licence,",
        "# see refrigerants/LICENSE-DATA); the papers' keys are from the data, their details from memory.",
        "# Made by scripts/convert_pairs.py.",
        "",
        "[papers]",
    ]
    keys = sorted({p["BibTeX"] for *_x, p in pairs})
    lines += [f"{key} = {json.dumps(PAPERS[key])}" for key in keys] + [""]
    for one, two, (bt, gt, bv, gv), pair in sorted(pairs, key=lambda p: (p[0], p[1])):
        lines += ["[[pair]]", f"of = {json.dumps([one, two])}", f"source = {json.dumps(pair['BibTeX'])}"]
        lines += [f"beta-t = {bt!r}", f"gamma-t = {gt!r}", f"beta-v = {bv!r}", f"gamma-v = {gv!r}"]
        if pair.get("function"):
            lines += [f"function = {json.dumps(pair['function'])}", f"factor = {float(pair['F'])!r}"]
        lines.append("")
    lines += ["[families]"] + [f"{family} = {json.dumps(names)}" for family, names in FAMILIES.items()] + [""]
    for families, ((t, t_spread), (v, v_spread)), count in estimates(pairs, fluids):
        lines += ["[[estimate]]", f"families = {json.dumps(list(families))}", f"pairs = {count}", 'source = "average over the published pairs of these families in this file"']
        lines += [f"temperature = {t:.6f}", f"temperature-spread = {t_spread:.6f}", f"volume = {v:.6f}", f"volume-spread = {v_spread:.6f}", ""]
    for function in json.loads((folder / "departure_functions.json").read_text()):
        if function["Name"] in used:
            lines += ["[[function]]", f"name = {json.dumps(function['Name'])}", f"source = {json.dumps(function['BibTeX'])}"]
            write_terms(lines, term_groups(function))
    pathlib.Path("data/pairs.toml").write_text("\n".join(lines).rstrip() + "\n")
    print(len(pairs), "pairs,", len(used), "departure functions")


if __name__ == "__main__":
    main()
