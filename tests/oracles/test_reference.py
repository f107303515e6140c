#!/usr/bin/env python3
"""Shows that the reference itself is right: closed forms, laws, and a second road to the same number.

    python3 tests/oracles/test_reference.py

A reference that is wrong would make a right program look wrong, so nothing here uses the program.
Needs numpy and scipy.
"""
import copy
import math
import pathlib
import sys

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation

import reference
from checks import roughness, told
from reference import Anatomy, Reference, dot, load

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
WORKED = ROOT / "tests" / "reference"
DEMOS = [ROOT / "demo-data" / f"{name}.json" for name in ("plain-arch", "steep-arch", "dissection", "common-trunk")]
# Points 1 mm apart, joined without smoothing: the curvature's step at the bend is spread over one gap.
JOINED_MM = 0.07
# Smoothed over 7 mm a bend of radius 40 moves by this much, one of radius 30 by the larger one.
SMOOTHED_MM, SMOOTHED_TIGHT_MM = 0.3, 0.5

# Straight to 30, radius 40, lumen 34, graft edge at 8; lengths by hand.
P1 = {"IA": (50.0, 20.0, 28.5), "LCCA": (66.0, 19.0, 27.075), "LSA": (125.0, 22.0, 31.35)}
P2 = {"IA": (44.035, 25.965), "LCCA": (55.263, 29.737), "LSA": (96.667, -6.333)}
RESULTS = []


def check(what, difference, limit):
    """Notes one check; not a number fails."""
    RESULTS.append((what, float(difference), limit, bool(difference <= limit)))


def with_smoothing(case, b):
    case = copy.deepcopy(case)
    case["anatomy"]["centreline"]["smoothing_length_mm"] = b
    return case


def worked_arches():
    arch = load(WORKED / "worked-arch.json")
    for b, limit in ((0, JOINED_MM), (7, SMOOTHED_MM)):
        for t in Reference(with_smoothing(arch, b)).tunnels:
            name = f"worked arch, smoothing {b}, {t['serves']}, {t['length_kept_by']}"
            expected = P1[t["serves"]] if t["length_kept_by"] == "axis" else P2[t["serves"]]
            check(name + ": mouth station", abs(t["mouth_station_mm"] - expected[0]), limit)
            check(name + ": centreline clearance", abs(t["clearance_centreline_mm"] - expected[1]), limit)
            if len(expected) == 3:
                check(name + ": wall clearance", abs(t["clearance_mm"] - expected[2]), limit)
            check(name + ": clock error", abs(t["clock_error_deg"]), 0.01)
    turned = copy.deepcopy(arch)
    turned["components"][0]["graft"]["tunnels"][2]["flow"] = "antegrade"
    third = [t for t in Reference(turned).tunnels if t["id"] == "t3" and t["length_kept_by"] == "axis"][0]
    check("worked arch: the third tunnel called antegrade has -22", abs(third["clearance_centreline_mm"] + 22), JOINED_MM)
    shifted = copy.deepcopy(arch)
    shifted["components"][0]["placement"]["station_mm"] -= 5
    for t, expected in zip(Reference(shifted).tunnels[:3], (25, 24, 17)):
        check(f"worked arch, 5 mm upstream, {t['serves']}", abs(t["clearance_centreline_mm"] - expected), JOINED_MM)
    first = copy.deepcopy(arch)
    first["anatomy"]["ostia"][0]["station_mm"] = 63 + 7 * 40 / 57
    for case, name, lengths, tight in ((first, "radius 40", (48.975, 63.0, 77.025), SMOOTHED_MM), (load(WORKED / "worked-arch-short.json"), "radius 30", (31.0, 55.0, 79.0), SMOOTHED_TIGHT_MM)):
        for b, limit in ((0, JOINED_MM), (7, tight)):
            a = Anatomy(with_smoothing(case, b))
            for line, expected in zip(("inner", "centre", "outer"), lengths):
                check(f"{name}, smoothing {b}: origin to the ostium's edge, {line}", abs(a.origin_to_edge(line) - expected), limit)


def bare(points, ostia, b=0, diameter=30.0):
    """A case with points, ostia and a round lumen only."""
    return {"clock": {"three_oclock_is": "front_left"}, "components": [],
            "anatomy": {"centreline": {"points_lps_mm": points.tolist(), "smoothing_length_mm": b, "origin_at_mm": 0}, "lumen": [{"station_mm": 0, "kind": "area", "diameter_mm": diameter}],
                        "ostia": [{"id": f"o{i}", "station_mm": s, "clock_deg": c, "along_mm": 10} for i, (s, c) in enumerate(ostia)], "vessels": []}}


def closed_forms():
    # Helix: a line carried without twist turns against the Frenet normal by minus torsion times length.
    t = np.linspace(0, 2.5 * math.pi, 400)
    a = Anatomy(bare(np.stack([20 * np.cos(t), 20 * np.sin(t), 5 * t], axis=-1), [(60, 0), (100, 0)], diameter=8.0))
    check("helix: length of 1.25 turns", abs(a.line.length - 161.913979293), 1e-3)
    turns = []
    for s in (40.0, 120.0):  # away from the ends, where a natural spline has no curvature
        x = a.line.parameter(s)
        r = next(run(x) for low, high, run in a._carried if low <= x <= high)
        tangent, k = a.line.tangent(s), reference.unit(a.line.curvature_vector(s))
        turns.append(math.atan2(dot(r, np.cross(tangent, k)), dot(r, k)))
    turn = (turns[1] - turns[0] + math.pi) % (2 * math.pi) - math.pi
    check("helix: carried line against the Frenet normal over 80 mm, deg", abs(math.degrees(turn + 0.0117647058824 * 80)), 0.01)
    # Flat arc in the plane through z and (1/2, sqrt3/2, 0): outer side and clock in closed form.
    across = np.array([0.5, math.sqrt(3) / 2, 0])
    u = np.radians(np.arange(0, 180.5, 1.5))
    a = Anatomy(bare(np.stack([40 * (-math.cos(q) * across + math.sin(q) * np.array([0, 0, 1])) for q in u]), [(50, 0), (70, 0)]))
    _, o, side = a.frame(40 * math.radians(100))
    check("arc: T x o at 100 degrees", np.linalg.norm(side - [0.866025403784, -0.5, 0]), 1e-4)
    s, clock = a.nearest(np.array([9.13975487798, 5.56991551761, 53.2735587965]))
    check("arc: station of the ostium", abs(s - 69.8131700798), 5e-3)
    check("arc: clock of the ostium, deg", abs(clock - 20), 1e-3)
    middle = 40 * math.pi
    for deg in (0, 30, 60, 90, 120, 150, 180):
        expected = (math.pi / 2) * (40 + 15 * math.cos(math.radians(deg)))
        check(f"arc: wall length at {deg} degrees over a quarter turn", abs(a.wall_length(middle / 4, 3 * middle / 4, deg) - expected), 2e-3)


def two_roads():
    # The spline of the reference against a dense solution of the same normal equations.
    rng = np.random.default_rng(3)
    x = np.cumsum(rng.uniform(0.5, 3, 60))
    y = np.stack([np.sin(x / 20), np.cos(x / 15), x / 30], axis=-1) * 20 + rng.normal(0, 0.3, (60, 3))
    w, (q, r) = reference.local_spacing(x), roughness(x)
    dense = y - 7.0**4 * (q / w[:, None]) @ np.linalg.solve(r + 7.0**4 * q.T @ (q / w[:, None]), q.T @ y)
    fitted = reference.fit(x, y, 7)
    check("smoothing spline: values at the points, dense solution", abs(fitted(x) - dense).max(), 1e-8)
    natural = CubicSpline(x, dense, bc_type="natural")
    at = np.linspace(x[0], x[-1], 999)
    check("smoothing spline: second derivative between the points", abs(fitted(at, 2) - natural(at, 2)).max(), 1e-8)
    # Twist drift again, by integrating how the outer direction turns about the tangent.
    for path in DEMOS:
        a = Anatomy(load(path))
        s = np.linspace(a.line.start, a.line.end, 40001)
        _, o, b = a.frame(s)
        rate = -dot(np.gradient(o, s, axis=0, edge_order=2), b)
        total = np.concatenate([[0], np.cumsum((rate[1:] + rate[:-1]) / 2 * np.diff(s))])
        total -= np.interp(a.first, s, total)
        check(f"{path.stem}: twist drift by quadrature, deg", abs(reference.wrap_deg(np.degrees(total) - a.drift_deg(s))).max(), 0.01)


def laws():
    for path in DEMOS[:2]:
        case = load(path)
        turned = copy.deepcopy(case)
        move = Rotation.from_rotvec([0.4, -1.1, 0.7])
        turned["anatomy"]["centreline"]["points_lps_mm"] = (move.apply(np.array(case["anatomy"]["centreline"]["points_lps_mm"])) + [11, -7, 30]).tolist()
        one, other = Reference(case), Reference(turned)
        for field in ("clearance_mm", "clock_error_deg", "straight_mm", "mouth_station_mm"):
            check(f"{path.stem}: {field} does not change when the patient is turned", max(abs(p[field] - q[field]) for p, q in zip(one.tunnels, other.tunnels)), 1e-4)
        slid = copy.deepcopy(case)
        slid["components"][0]["placement"]["clock_deg"] += 25
        for p, q in zip(one.tunnels, Reference(slid).tunnels):
            check(f"{path.stem}: turning by 25 degrees turns {p['id']} and does not slide it", abs(q["clock_error_deg"] - p["clock_error_deg"] - 25) + abs(q["mouth_station_mm"] - p["mouth_station_mm"]), 1e-3)
        for t in one.tunnels:
            lie = reference.Lie(one.anatomy, case["components"][0], t["length_kept_by"])
            tunnel = next(q for q in case["components"][0]["graft"]["tunnels"] if q["id"] == t["id"])
            check(f"{path.stem}: {t['id']} looked up by its point lies where it was put", abs(t["mouth_station_mm"] - lie.station(tunnel["mouth_u_mm"])), 1e-3)


def main():
    for part in (worked_arches, closed_forms, two_roads, laws):
        part()
    return told(RESULTS, "closed forms and laws, of the reference itself (tests/oracles/test_reference.py)", beside=True)


if __name__ == "__main__":
    sys.exit(main())
