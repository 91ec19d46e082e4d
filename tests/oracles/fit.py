"""A second opinion on `stopwright fit`: the same equations through numpy's singular value decomposition.

The equations are built here anew from the design (p = (D/2 + z)·csc α + H·cot α − e, direct measurements as further
equations, u = w/√3, effective variance for angles), weighted, and solved by numpy.linalg.lstsq; covariance by
numpy.linalg.inv of RᵀR from a QR factorisation. Compared are parameters, covariance, residuals and predictions.

    python3 tests/oracles/fit.py target/release/stopwright
"""

import json
import math
import os
import random
import subprocess
import sys
import tempfile

import numpy as np

from program import Program
from report import Report

FILES = 20
ANGLES = [22.0, 31.0, 44.0]


def rectangular(within):
    return within / math.sqrt(3.0)


def make(seed):
    """A random guide's known settings: two seats, several blades, some direct measurements."""
    rng = random.Random(seed)
    while True:
        d, e = rng.uniform(14, 50), rng.uniform(0, 28)
        heights = {"iron": rng.uniform(6, 27), "chisel": rng.uniform(4, 20)}
        locates = {"iron": "underside", "chisel": rng.choice(["back", "sides"])}
        if all((d / 2 + h * math.cos(math.pi / 4)) / math.sin(math.pi / 4) - e > 5 for h in heights.values()):
            break
    known = []
    for _ in range(rng.randint(8, 40)):
        seat = rng.choice(["iron", "chisel"])
        t, taper = rng.choice([2.4, 3.2, 4.0]), rng.choice([0.0, -0.3, 0.5])
        level, beta = rng.choice([0.0, -5.0]), round(rng.uniform(18, 42), 2)
        pair = {"seat": seat, "thickness": t, "taper": taper, "roller_level": level}
        if locates[seat] == "sides":
            pair["land"] = 2.0
        p = projection(d, heights[seat], e, locates[seat], pair, beta)
        if p < 1 or p > 290:
            continue
        within = rng.choice([0.1, 0.25, 0.5])
        pair["angle"] = {"value": beta, "within": rng.choice([0.0, 0.1, 0.3])}
        # Errors no larger than a quarter of the tolerance: nothing is left out as disagreeing.
        pair["projection"] = {"value": p + within * rng.uniform(-0.25, 0.25), "within": within}
        known.append(pair)
    measured = {"roller": {"diameter": {"value": d, "within": 0.05}}, "face": {},
                "seats": {s: {"locates": locates[s]} for s in heights}}
    if rng.random() < 0.5:
        measured["face"]["over_roller"] = {"value": e + d / 2 + 0.03, "within": 0.1}
    measured["seats"]["iron"]["over_roller"] = {"value": heights["iron"] + d / 2 + 4.0 - 0.02, "within": 0.1}
    measured["seats"]["iron"]["gauge"] = {"value": 4.0, "within": 0.02}
    measured["seats"]["chisel"]["height"] = {"value": heights["chisel"] + 0.01, "within": 0.2}
    return {"format": 1, "name": f"oracle {seed}", "measured": measured, "known": known}


def dip(locates, pair, beta):
    return math.radians(beta + (pair["taper"] if locates == "underside" else 0.0))


def edge(locates, pair):
    return {"underside": pair["thickness"], "back": 0.0, "sides": pair.get("land", 0.0) / 2}[locates]


def projection(d, h, e, locates, pair, beta):
    a = dip(locates, pair, beta)
    return ((d / 2 + pair["roller_level"]) + (h + edge(locates, pair)) * math.cos(a)) / math.sin(a) - e


def row(locates, pair, beta, column):
    a = dip(locates, pair, beta)
    out = [0.5 / math.sin(a), 0.0, 0.0, -1.0]
    out[column] = 1 / math.tan(a)
    return out


def solve(data):
    """Parameters (D, h iron, h chisel, e), covariance and residuals of the pairs."""
    m = data["measured"]
    column = {"iron": 1, "chisel": 2}
    x = np.array([30.0, 12.5, 12.5, 20.0])
    for _ in range(100):
        rows, values, sigmas = [], [], []
        for pair in data["known"]:
            seat = pair["seat"]
            locates, beta = m["seats"][seat]["locates"], pair["angle"]["value"]
            a = dip(locates, pair, beta)
            own = (pair["roller_level"] + edge(locates, pair) * math.cos(a)) / math.sin(a)
            level = x[column[seat]] + edge(locates, pair)
            slope = -((x[0] / 2 + pair["roller_level"]) * math.cos(a) + level) / math.sin(a) ** 2
            sigma = math.hypot(rectangular(pair["projection"]["within"]),
                               slope * rectangular(math.radians(pair["angle"]["within"])))
            rows.append(row(locates, pair, beta, column[seat]))
            values.append(pair["projection"]["value"] - own)
            sigmas.append(sigma)

        def direct(coefficients, value, sigma):
            rows.append(coefficients)
            values.append(value)
            sigmas.append(sigma)

        direct([1, 0, 0, 0], m["roller"]["diameter"]["value"], rectangular(m["roller"]["diameter"]["within"]))
        iron = m["seats"]["iron"]
        spread = math.hypot(rectangular(iron["over_roller"]["within"]), rectangular(iron["gauge"]["within"]))
        direct([0.5, 1, 0, 0], iron["over_roller"]["value"] - iron["gauge"]["value"], spread)
        chisel = m["seats"]["chisel"]["height"]
        direct([0, 0, 1, 0], chisel["value"], rectangular(chisel["within"]))
        if "over_roller" in m["face"]:
            n = m["face"]["over_roller"]
            direct([0.5, 0, 0, 1], n["value"], rectangular(n["within"]))
        a, b, s = np.array(rows), np.array(values), np.array(sigmas)
        new = np.linalg.lstsq(a / s[:, None], b / s, rcond=None)[0]
        done = np.max(np.abs(new - x)) < 1e-13
        x = new
        if done:
            break
    r = np.linalg.qr(a / s[:, None], mode="r")
    inverse = np.linalg.inv(r)
    return x, inverse @ inverse.T, (b - a @ x)[: len(data["known"])]


def compare(binary, seed):
    data = make(seed)
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "known.json")
        with open(path, "w", encoding="utf-8") as out:
            json.dump(data, out)
        angles = ",".join(str(a) for a in ANGLES)
        run = subprocess.run([binary, "fit", path, "--angles", angles, "--json"], capture_output=True, text=True)
    if run.returncode != 0:
        return False, run.stderr
    report = json.loads(run.stdout)
    if report["disagreeing"]:
        return False, f"left out or doubted {report['disagreeing']}"
    x, covariance, residuals = solve(data)
    scale = np.sqrt(np.outer(np.diag(covariance), np.diag(covariance)))
    worst = {
        "parameters": np.max(np.abs(np.array([p["value"] for p in report["parameters"]]) - x)),
        "covariance": np.max(np.abs(np.array(report["covariance"]["matrix"]) - covariance) / scale),
        "residuals": np.max(np.abs(np.array([r["residual"] for r in report["residuals"]]) - residuals)),
    }
    column = {"iron": 1, "chisel": 2}
    predictions = []
    for p in report["predicted"]:
        if p["projection"] is None:
            continue
        locates = data["measured"]["seats"][p["seat"]]["locates"]
        pair = {"thickness": p["thickness"], "taper": p["taper"], "roller_level": p["roller_level"], "land": 2.0}
        g = np.array(row(locates, pair, p["angle"], column[p["seat"]]))
        mine = projection(x[0], x[column[p["seat"]]], x[3], locates, pair, p["angle"])
        predictions.append(abs(p["projection"] - mine))
        predictions.append(abs(p["uncertainty"] - 2 * math.sqrt(g @ covariance @ g)))
    worst["predictions"] = max(predictions)
    worst["in use"] = max(in_use(binary, data, report, covariance), default=0.0)
    ok = all(v < 1e-8 for v in worst.values())
    return ok, f"{len(data['known'])} pairs, largest differences " + ", ".join(f"{k} {v:.1e}" for k, v in worst.items())


def in_use(binary, data, report, covariance):
    """Differences of the uncertainty that `offsets` states with the file of known settings as the guide: 2 sqrt(g C g)."""
    if not report["whole"]:
        return
    column = {"iron": 1, "chisel": 2}
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "known.json")
        with open(path, "w", encoding="utf-8") as out:
            json.dump(data, out)
        for p in report["predicted"]:
            if p["projection"] is None:
                continue
            blade = [f"--seat={p['seat']}", f"--thickness={p['thickness']}", f"--taper={p['taper']}", "--land=2.0",
                     f"--roller-level={p['roller_level']}", f"--angles={p['angle']}"]
            run = subprocess.run([binary, "offsets", path, *blade, "--json"], capture_output=True, text=True)
            if run.returncode != 0:
                raise RuntimeError(run.stderr)
            pair = {"taper": p["taper"], "land": 2.0}
            locates = data["measured"]["seats"][p["seat"]]["locates"]
            g = np.array(row(locates, pair, p["angle"], column[p["seat"]]))
            stated = json.loads(run.stdout)["lanes"][0]["projection_uncertainty"]
            yield abs(stated - 2 * math.sqrt(g @ covariance @ g))


GROUPS = {"fit": "numpy: weighted least squares of seeded known settings gives the same guide and predictions"}


def check(program, report):
    """Seeded files."""
    for seed in range(FILES):
        agrees, detail = compare(program.binary, seed)
        report.expect("fit", agrees, f"fit {seed}: {detail}")


if __name__ == "__main__":
    found = Report()
    check(Program(sys.argv[1]), found)
    sys.exit(0 if found.print(GROUPS) else 1)
