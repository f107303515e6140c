#!/usr/bin/env python3
"""Compares the program's reports with the independent reference, case by case.

    python3 tests/oracles/compare.py [--bin PATH] [CASE.json...]     compares; without cases, all demo cases,
                                                                     the worked arches and the open aorta
    python3 tests/oracles/compare.py --reference CASE.json...        prints the reference alone, no program needed

The program is found through --bin or EXTRADOS_BIN. The open aorta is a folder with centreline.vtk and
lumen.stl, found through EXTRADOS_OPEN_DATA; without it its checks are listed as not run. Needs numpy and
scipy. Exit status: 0 all passed, 1 a difference beyond its limit, 2 the comparison could not be made.
"""
import argparse
import json
import math
import os
import pathlib
import sys
import tempfile

import numpy as np

import outside
from checks import changed, report_of, run
from reference import Reference, dot, load, unit, wrap_deg

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
# Largest difference that two right answers may have: far below what a CT resolves.
LIMIT_MM = 0.05
LIMIT_DEG = 0.1
# A curvature wrong by this shifts a wall of 17 mm by 0.05 mm over 30 mm.
LIMIT_PER_MM = 1e-4

TUNNEL_FIELDS = ("mouth_station_mm", "mouth_clock_deg", "offset_mm", "clearance_mm", "edge_clearance_mm", "clearance_centreline_mm",
                 "clock_error_deg", "clock_error_wall_mm", "straight_mm")
QUANTITIES = ("centreline length", "residual", "arch plane", "centreline points", "tangent", "outer curve", "outer wall points", "curvature", "twist drift",
              "ostium wall points", "take-off", "mouth points", "mouth nearest station", "mouth nearest clock",
              *(f.rsplit("_", 1)[0].replace("_", " ") + (" (degrees)" if f == "clock_error_deg" else "") for f in TUNNEL_FIELDS), "origin to first ostium", "keep-clear distance")
OPEN_FIGURES = ("length 197.8 mm", "residual 0.45 to 0.60 mm", "plane normal", "twist drift at 0, 40, 67, 140", "two openings")


def limit_of(quantity):
    """Limit and unit of a quantity."""
    if quantity == "curvature":
        return LIMIT_PER_MM, "1/mm"
    if quantity in ("arch plane", "tangent", "outer curve", "twist drift", "take-off", "mouth nearest clock", "mouth clock", "clock error (degrees)"):
        return LIMIT_DEG, "deg"
    return LIMIT_MM, "mm"


def angle_deg(a, b):
    """Angle between directions, exact for small ones too."""
    a, b = unit(a), unit(b)
    return np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b), axis=-1), dot(a, b)))


class Comparison:
    """Largest difference per quantity of one case, and what is missing."""

    def __init__(self, name):
        self.name, self.largest, self.misses = name, {}, []

    def add(self, quantity, difference, where):
        """Notes a difference; not a number is a miss."""
        difference = float(difference)
        limit, unit_name = limit_of(quantity)
        if not difference <= self.largest.get(quantity, -1.0):
            self.largest[quantity] = difference
        if not difference <= limit:
            self.misses.append(f"{quantity}: {where} differs by {difference:.4g} {unit_name}")

    def both(self, quantity, theirs, ours, where):
        """Compares two numbers of which either may be unknown."""
        if theirs is None and ours is None:
            return
        if theirs is None or ours is None:
            self.largest[quantity] = math.nan
            self.misses.append(f"{quantity}: {where} is {'unknown' if theirs is None else theirs} in the report, {'unknown' if ours is None else round(ours, 4)} in the reference")
            return
        d = wrap_deg(theirs - ours) if limit_of(quantity)[1] == "deg" else theirs - ours
        self.add(quantity, abs(d), where)


def compare(name, case, report, ref=None):
    """Compares one report with the reference of its case."""
    out, ref = Comparison(name), ref or Reference(case)
    a, line = ref.anatomy, ref.anatomy.line
    c = report["centreline"]
    out.both("centreline length", c["length_mm"], line.length, "centreline")
    out.both("residual", c["residual_rms_mm"], math.sqrt(np.mean(line.residual**2)), "centreline rms")
    normal = np.array(report["arch_plane"]["normal_lps"])
    out.add("arch plane", min(angle_deg(normal, a.normal), angle_deg(-normal, a.normal)), "normal")

    known = [q for q in report["stations"] if q.get("outer_lps") and line.start - 1e-6 <= q["station_mm"] <= line.end + 1e-6]
    if len(known) < 0.9 * len(report["stations"]) or not known:
        out.misses.append(f"outer curve: only {len(known)} of {len(report['stations'])} stations carry it")
        out.largest["outer curve"] = math.nan
    if known:
        s = np.array([q["station_mm"] for q in known])
        t, o, _ = a.frame(s)
        p = line.point(s)
        theirs = {k: np.array([q[k] for q in known], float) for k in ("point_lps_mm", "tangent_lps", "outer_lps", "curvature_per_mm")}
        r = a.lumen.radius(s, 0.0)[:, None]
        kappa = np.linalg.norm(line.curvature_vector(s), axis=1)
        for quantity, d in (
            ("centreline points", np.linalg.norm(theirs["point_lps_mm"] - p, axis=1)),
            ("tangent", angle_deg(theirs["tangent_lps"], t)),
            ("outer curve", angle_deg(theirs["outer_lps"], o)),
            ("outer wall points", np.linalg.norm(theirs["point_lps_mm"] + r * theirs["outer_lps"] - p - r * o, axis=1)),
            ("curvature", np.abs(theirs["curvature_per_mm"] - kappa)),
        ):
            i = int(np.nanargmax(d))
            out.add(quantity, d[i] if np.all(np.isfinite(d)) else math.nan, f"station {s[i]:.2f}")
        drift = a.drift_deg(s)
        for q, ours in zip(known, drift):
            out.both("twist drift", q.get("twist_drift_deg"), float(ours), f"station {q['station_mm']:.2f}")

    ostia = {q["id"]: q for q in report["ostia"]}
    for q in a.ostia:
        theirs = ostia.get(q["id"], {}).get("wall_point_lps_mm") or [math.nan] * 3
        out.add("ostium wall points", np.linalg.norm(np.array(theirs) - a.wall_point(q["station_mm"], q["clock_deg"])), q["id"])
    vessels = {q["id"]: q for q in report.get("vessels", [])}
    for name_of in a.vessels:
        ours = a.takeoff(name_of)
        if ours is not None:
            theirs = vessels.get(name_of, {}).get("takeoff_lps") or [math.nan] * 3
            out.add("take-off", angle_deg(theirs, ours), name_of)

    rows = {(q["component"], q["id"], q["length_kept_by"]): q for q in report.get("tunnels", []) if q["lie"] == "middle"}
    for ours in ref.tunnels:
        key = (ours["component"], ours["id"], ours["length_kept_by"])
        theirs, where = rows.pop(key, {}), " ".join(key)
        for quantity, field in zip(QUANTITIES[14:14 + len(TUNNEL_FIELDS)], TUNNEL_FIELDS):
            out.both(quantity, theirs.get(field), ours.get(field), where)
        mouth = theirs.get("mouth_lps_mm")
        if mouth and "mouth_lps_mm" in ours:
            out.add("mouth points", np.linalg.norm(np.array(mouth) - ours["mouth_lps_mm"]), where)
            # The report's own mouth point, looked up by trying every point of the reference curve.
            s, clock = a.nearest(np.array(mouth))
            out.both("mouth nearest station", theirs["mouth_station_mm"], s, where)
            out.both("mouth nearest clock", theirs["mouth_clock_deg"], clock, where)
        elif "mouth_lps_mm" in ours:
            out.largest["mouth points"] = math.nan
            out.misses.append(f"mouth points: {where} has none in the report")
    for key in rows:
        out.misses.append(f"mouth points: the report has a tunnel the reference lacks: {' '.join(key)}")
        out.largest["mouth points"] = math.nan

    lengths = {q["id"]: q for q in case.get("rules", []) if q["measure"] == "anatomy.origin_to_first_ostium_mm"}
    for v in report.get("verdicts", []):
        rule = lengths.get(v["rule"])
        if rule is not None and line.origin_marked and a.ostia[0].get("along_mm") is not None:
            ours = a.origin_to_edge(rule.get("line") or "inner", rule.get("to") != "centre")
            out.both("origin to first ostium", v["value"], ours, v["rule"])
        if v["measure"] == "keep_clear.distance_mm" and ref.keep_clear.get(v["of"]) is not None:
            middle = ref.keep_clear[v["of"]]
            if v["hangs_on"]["lie"] == "middle":
                out.both("keep-clear distance", v["value"], middle, v["of"])
            else:
                # The worst of three ways to lie, of which this reference knows one: it may be worse than
                # that one, never better.
                out.both("keep-clear distance", max(v["value"], middle), middle, v["of"])
    return out


def spoilt(report):
    """The same report with one number made wrong at a time: (what is spoilt, the quantity that must show it, report)."""
    middle = len(report["stations"]) // 2
    # This reference recomputes the tunnels of a graft in the middle of the lumen.
    last = max(place for place, tunnel in enumerate(report["tunnels"]) if tunnel["lie"] == "middle")
    yield "a shorter centreline", "centreline length", changed(report, ["centreline", "length_mm"], -0.1)
    yield "a moved centreline point", "centreline points", changed(report, ["stations", middle, "point_lps_mm", 1], 0.1)
    yield "a turned outer curve", "outer curve", changed(report, ["stations", middle, "outer_lps", 0], 0.01)
    yield "a wrong twist drift", "twist drift", changed(report, ["stations", middle, "twist_drift_deg"], 0.2)
    yield "a moved ostium", "ostium wall points", changed(report, ["ostia", 0, "wall_point_lps_mm", 2], 0.1)
    yield "a wrong clearance", "clearance", changed(report, ["tunnels", 0, "clearance_mm"], 0.1)
    yield "a wrong edge clearance", "edge clearance", changed(report, ["tunnels", last, "edge_clearance_mm"], -0.1)
    yield "a wrong clock error", "clock error (degrees)", changed(report, ["tunnels", last, "clock_error_deg"], 0.2)
    yield "a mouth that is not where its station says", "mouth nearest station", changed(report, ["tunnels", 0, "mouth_station_mm"], 0.1)
    yield "a tunnel left out", "mouth points", {**report, "tunnels": report["tunnels"][1:]}


def open_aorta(program, folder, scratch):
    """The open aorta as a case with a demo graft drawn into it, and its report."""
    path = scratch / "open-aorta.json"
    run(program, "import", pathlib.Path(folder) / "centreline.vtk", "--unit", "cm", "--axes", "L,P,-S", "-o", path)
    case = load(path)
    graft = load(ROOT / "demo-data" / "graft-three-tunnel-shelf.json")
    for key in ("format", "version"):
        graft.pop(key, None)
    served = {v["id"] for v in case["anatomy"]["vessels"]}
    graft["tunnels"] = [t for t in graft["tunnels"] if t["serves"] in served]
    case["components"] = [{"id": "arch", "kind": "arch_graft", "stage": 1, "graft": graft, "placement": {"held_u_mm": 0, "station_mm": 9, "clock_deg": 14}}]
    path.write_text(json.dumps(case), encoding="utf-8")
    return case, report_of(program, path)


def open_figures(report):
    """Published and hand-worked figures of the open aorta that the report must show: (quantity, expected, got, tolerance, unit) of each."""
    c, plane = report["centreline"], np.array(report["arch_plane"]["normal_lps"])
    off = min(float(angle_deg(plane * k, [0.517, -0.809, 0.282])) for k in (1, -1))
    found = {
        OPEN_FIGURES[0]: [("centreline length", 197.8, c["length_mm"], 0.5, "mm")],
        OPEN_FIGURES[1]: [("residual", 0.525, c["residual_rms_mm"], 0.075, "mm")],
        OPEN_FIGURES[2]: [("arch plane, off (.517, -.809, .282)", 0, off, 3, "°")],
        OPEN_FIGURES[3]: [],
    }
    for target, drift in ((0, -8), (40, -2), (67, 0), (140, 3)):
        own = min(report["stations"], key=lambda q: abs(q["station_mm"] - target))
        found[OPEN_FIGURES[3]] += [(f"twist drift near {target} mm", drift, own["twist_drift_deg"], 1, "°"), (f"station near {target} mm", target, own["station_mm"], 1, "mm")]
    ostia = sorted(report["ostia"], key=lambda q: q["station_mm"])
    found[OPEN_FIGURES[4]] = [("number of openings", 2, len(ostia), 0, "")]
    for own, (name, station, tolerance, clock, vessels) in zip(ostia, (("first", 67.5, 2, 14, "IA LCCA"), ("second", 88.0, 1.5, 12, "LSA"))):
        found[OPEN_FIGURES[4]] += [
            (f"{name} opening, station", station, own["station_mm"], tolerance, "mm"),
            (f"{name} opening, clock", clock, own["clock_deg"], 5, "°"),
            (f"{name} opening, vessels", vessels, " ".join(sorted(own["vessels"])), None, ""),
        ]
    return found


def table(results):
    """Largest difference per quantity and case."""
    names = [r.name for r in results]
    width = max(11, *(len(n) + 2 for n in names))
    print(f"{'largest difference':<28}{'limit':>8}  " + "".join(f"{n:>{width}}" for n in names))
    for quantity in QUANTITIES:
        if any(quantity in r.largest for r in results):
            limit, unit_name = limit_of(quantity)
            cells = []
            for r in results:
                v = r.largest.get(quantity)
                cells.append("-" if v is None else "missing" if math.isnan(v) else f"{v:.2e}" + ("" if v <= limit else " !"))
            print(f"{quantity:<22}{unit_name:>6}{limit:>8g}  " + "".join(f"{x:>{width}}" for x in cells))


def main():
    parser = argparse.ArgumentParser(description="Compares the program's reports with the independent reference.")
    parser.add_argument("cases", nargs="*", type=pathlib.Path)
    parser.add_argument("--bin", default=os.environ.get("EXTRADOS_BIN"), help="the program extrados (or EXTRADOS_BIN)")
    parser.add_argument("--reference", action="store_true", help="print the reference alone")
    options = parser.parse_args()
    given = options.cases
    paths = given or sorted(q for q in (ROOT / "demo-data").glob("*.json") if load(q).get("format") == "extrados-case") + sorted((ROOT / "tests" / "reference").glob("worked-arch*.json"))
    if options.reference:
        for path in paths:
            print(path.name)
            print(Reference(load(path)).text())
        return 0
    if not options.bin:
        print("The program was not named: give --bin PATH or set EXTRADOS_BIN.", file=sys.stderr)
        return 2

    results, figures, broken, proved = [], {}, [], []
    for path in paths:
        try:
            case, report = load(path), report_of(options.bin, path)
            ref = Reference(case)
            results.append(compare(path.stem, case, report, ref))
            if not given and not proved and all(q.get("edge_clearance_mm") is not None for q in report.get("tunnels", [{}])):
                # The comparison itself must be able to fail: spoil one number at a time and see that it is noticed.
                proved = [(what, any(m.startswith(quantity + ":") for m in compare(path.stem, case, bad, ref).misses)) for what, quantity, bad in spoilt(report)]
        except (RuntimeError, ValueError, KeyError, TypeError, OSError) as fault:
            broken.append(f"{path.name}: {type(fault).__name__}: {fault}")
    folder = os.environ.get("EXTRADOS_OPEN_DATA")
    if not given and folder:
        try:
            with tempfile.TemporaryDirectory() as scratch:
                case, report = open_aorta(options.bin, folder, pathlib.Path(scratch))
            results.append(compare("open-aorta", case, report))
            figures = open_figures(report)
        except (RuntimeError, ValueError, KeyError, TypeError, OSError) as fault:
            broken.append(f"open aorta: {type(fault).__name__}: {fault}")

    if results:
        table(results)
    passed = failed = 0
    for r in results:
        bad = {m.split(":")[0] for m in r.misses}
        for quantity, difference in r.largest.items():
            outside.compared("independent reference (tests/oracles/reference.py)", f"{r.name}: {quantity}", difference, *limit_of(quantity))
        passed += len(set(r.largest) - bad)
        failed += len(bad)
        for miss in r.misses[:20]:
            print(f"MISS {r.name}: {miss}")
        if len(r.misses) > 20:
            print(f"MISS {r.name}: and {len(r.misses) - 20} more")
    for what, checks in figures.items():
        good = True
        for quantity, expected, got, tolerance, unit in checks:
            outside.record("published and hand-worked figures of the open aorta", quantity, "open aorta", expected, got, tolerance, unit)
            good &= got == expected if tolerance is None else got is not None and abs(got - expected) <= tolerance
        said = ", ".join(got if isinstance(got, str) else f"{got:.4g}" for _, _, got, _, _ in checks)
        print(f"{'ok  ' if good else 'MISS'} open-aorta: {what}: {said}")
        passed, failed = passed + good, failed + (not good)
    for what, noticed in proved:
        if not noticed:
            print(f"MISS the comparison does not notice {what}")
        passed, failed = passed + noticed, failed + (not noticed)
    if not given and not proved:
        broken.append("no report could be used to show that the comparison can fail")
    for sentence in broken:
        print(f"MISS {sentence}")
        failed += 1
    if not given and not folder:
        for what in (*QUANTITIES, *OPEN_FIGURES):
            print(f"NOT RUN: open aorta: {what} (EXTRADOS_OPEN_DATA is not set)")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
