#!/usr/bin/env python3
"""Bridging paths by another road: scipy lets a Bézier curve slide down from an arc-line-arc.

    python3 tests/oracles/test_bridging_paths.py             checks the file and, where EXTRADOS_BIN names the program, its reports
    python3 tests/oracles/test_bridging_paths.py --write     writes tests/reference/bridging-paths.json

The file holds 50 random gentle pairs of poses with length, integral of the squared curvature and least radius
of the curve that bends least, and 24 wild pairs for which descent runs away into a loop: longer than three straight
distances, or turning by more than 270 degrees. The native test `bridging_curve` holds the library against the same
file. In reports of the demo cases every path is worked out again from the case alone. Lengths in mm; nothing here is the
program's.
"""
import json
import math
import os
import pathlib
import sys

import numpy as np
from scipy.optimize import fsolve, minimize
from scipy.special import comb

import outside
from checks import report_of
from reference import Anatomy, Lie, load, unit

ROOT = pathlib.Path(__file__).resolve().parents[2]
FILE = ROOT / "tests" / "reference" / "bridging-paths.json"
DEMOS = ("plain-arch", "steep-arch", "dissection", "common-trunk")
# What two right answers may differ by.
LENGTH_SHARE, BENDING_SHARE, RADIUS_SHARE = 0.005, 0.005, 0.01
# Overlap in the tunnel and landing in the vessel, mm.
OVERLAP, LANDING, LANDING_LSA = 15, 15, 25
RESULTS = []
DEGREE = 9
GENTLE, WILD, SEED = 50, 24, 20
NODES, WEIGHTS = np.polynomial.legendre.leggauss(60)
NODES, WEIGHTS = (NODES + 1) / 2, WEIGHTS / 2
FINE = np.linspace(0, 1, 1201)


def bernstein(n, u):
    """Values of the Bernstein polynomials of a degree, one row for each parameter."""
    return np.array([comb(n, i) * u**i * (1 - u) ** (n - i) for i in range(n + 1)]).T


FIRST, SECOND = bernstein(DEGREE - 1, NODES), bernstein(DEGREE - 2, NODES)
FIRST_FINE, SECOND_FINE = bernstein(DEGREE - 1, FINE), bernstein(DEGREE - 2, FINE)


def speed_and_curvature2(points, first, second):
    """Speed and squared curvature of a Bézier curve where the polynomials were taken."""
    a = first @ np.diff(points, axis=0) * DEGREE
    b = second @ np.diff(points, 2, axis=0) * DEGREE * (DEGREE - 1)
    speed = np.linalg.norm(a, axis=1)
    return speed, np.sum(np.cross(a, b) ** 2, axis=1) / np.maximum(speed, 1e-9) ** 6


def arc_line_arc(d, t0, t1, rho, steps=240):
    """Points of a path of two arcs of one radius with a line between, from the origin to d; None where there is none."""
    def arc(t, q):
        angle = math.acos(np.clip(t @ q, -1, 1))
        side = q - (t @ q) * t
        size = np.linalg.norm(side)
        return angle, side / size if size > 1e-12 else np.zeros(3)

    def direction(z):
        return np.array([math.cos(z[1]) * math.cos(z[0]), math.cos(z[1]) * math.sin(z[0]), math.sin(z[1])])

    def middle(q):
        (a0, n0), (a1, n1) = arc(t0, q), arc(-t1, -q)
        begin = rho * (math.sin(a0) * t0 + (1 - math.cos(a0)) * n0)
        end = d + rho * (-math.sin(a1) * t1 + (1 - math.cos(a1)) * n1)
        return a0, n0, a1, n1, begin, end

    def miss(z):
        q = direction(z)
        gap = middle(q)[5] - middle(q)[4]
        e = np.array([-math.sin(z[0]), math.cos(z[0]), 0])
        return [gap @ e, gap @ np.cross(q, e)]

    z, _, found, _ = fsolve(miss, [math.atan2(d[1], d[0]), math.atan2(d[2], math.hypot(d[0], d[1]))], full_output=True)
    q = direction(z)
    a0, n0, a1, n1, begin, end = middle(q)
    if found != 1 or (end - begin) @ q < 0 or np.linalg.norm(miss(z)) > 1e-8:
        return None
    straight = np.linalg.norm(end - begin)
    total = rho * (a0 + a1) + straight
    points = []
    for s in np.linspace(0, total, steps):
        if s <= rho * a0:
            points.append(rho * (math.sin(s / rho) * t0 + (1 - math.cos(s / rho)) * n0))
        elif s <= rho * a0 + straight:
            points.append(begin + (s - rho * a0) * q)
        else:
            a = (total - s) / rho
            points.append(d + rho * (-math.sin(a) * t1 + (1 - math.cos(a)) * n1))
    return np.array(points)


def fitted(points, t0, t1):
    """Unknowns of the Bézier curve nearest to points: its two tangent lengths and inner control points."""
    u = np.linspace(0, 1, len(points))
    b = bernstein(DEGREE, u)
    start, end = points[0], points[-1]
    rest = points - np.outer(b[:, 0] + b[:, 1], start) - np.outer(b[:, -1] + b[:, -2], end)
    columns = [np.outer(b[:, 1], t0).ravel(), -np.outer(b[:, -2], t1).ravel()]
    for i in range(2, DEGREE - 1):
        columns += [np.outer(b[:, i], axis).ravel() for axis in np.eye(3)]
    x = np.linalg.lstsq(np.array(columns).T, rest.ravel(), rcond=None)[0]
    return np.concatenate([np.log(np.maximum(x[:2], 1e-2)), x[2:]])


def least_bending(d, t0, t1):
    """Length, integral of the squared curvature and least radius of the curve that descent from an arc-line-arc ends in; None
    where it runs away."""
    distance = np.linalg.norm(d)
    end = d / distance
    begun = next((p for rho in (0.25, 0.15, 0.08, 0.03) if (p := arc_line_arc(end, t0, t1, rho)) is not None), None)
    if begun is None:
        return None

    def control(x):
        return np.vstack([np.zeros(3), math.exp(x[0]) * t0, x[2:].reshape(-1, 3), end - math.exp(x[1]) * t1, end])

    def bending(x):
        if np.max(np.abs(x)) > 1e3:
            return 0.0
        speed, curvature2 = speed_and_curvature2(control(x), FIRST, SECOND)
        length = WEIGHTS @ speed
        # A curve may be run through in many ways; an even pace is preferred, too weakly to change its shape.
        return WEIGHTS @ (curvature2 * speed) + 1e-4 * (WEIGHTS @ (speed / length - 1) ** 2)

    def too_long(x):
        speed, _ = speed_and_curvature2(control(x), FIRST, SECOND)
        if WEIGHTS @ speed > 4:
            raise StopIteration

    try:
        found = minimize(bending, fitted(begun, t0, t1), method="BFGS", callback=too_long, options={"gtol": 1e-7, "maxiter": 2000})
    except StopIteration:
        return None
    points = control(found.x)
    speed, curvature2 = speed_and_curvature2(points, FIRST, SECOND)
    length, turn = WEIGHTS @ speed, WEIGHTS @ (np.sqrt(curvature2) * speed)
    if not (length <= 3 and turn <= math.radians(270)):
        return None
    _, fine = speed_and_curvature2(points, FIRST_FINE, SECOND_FINE)
    return length * distance, WEIGHTS @ (curvature2 * speed) / distance, distance / math.sqrt(fine.max())


def tilted(rng, axis, least_deg, most_deg):
    """A random unit vector whose angle to an axis lies between two."""
    a = math.radians(rng.uniform(least_deg, most_deg))
    side = rng.normal(size=3)
    side -= (side @ axis) * axis
    return math.cos(a) * axis + math.sin(a) * side / np.linalg.norm(side)


def pairs():
    """Gentle and wild pairs of poses: from the origin along t0 to d along t1."""
    rng = np.random.default_rng(SEED)
    for kind, count, least, most in (("gentle", GENTLE, 5, 65), ("wild", WILD, 115, 165)):
        for _ in range(count):
            way = tilted(rng, np.array([0.0, 0.0, 1.0]), 0, 180)
            d = rng.uniform(8, 50) * way
            yield kind, *(np.round(v, 6) for v in (d, tilted(rng, way, least, most), tilted(rng, way, least, most)))


def computed():
    """The contents of the file."""
    out = []
    for kind, d, t0, t1 in pairs():
        found = least_bending(d, unit(t0), unit(t1))
        row = {"kind": kind, "to_mm": d.tolist(), "direction_at_start": t0.tolist(), "direction_at_end": t1.tolist()}
        if found is not None:
            row.update(length_mm=round(found[0], 5), bending_per_mm=float(f"{found[1]:.6g}"), least_radius_mm=round(found[2], 4))
        out.append(row)
    return out


def check(what, good):
    """Notes a check and says one that fails."""
    RESULTS.append(bool(good))
    if not good:
        print("MISS", what)


def apart(a, b):
    """Difference as a share."""
    return abs(a / b - 1)


def check_file():
    """The file is as scipy computes it."""
    rows, anew = json.loads(FILE.read_text(encoding="utf-8")), computed()
    check("number of pairs", len(rows) == GENTLE + WILD)
    for k, (row, new) in enumerate(zip(rows, anew)):
        same = all(row[key] == new[key] for key in ("to_mm", "direction_at_start", "direction_at_end"))
        check(f"pair {k}: poses", same and ("length_mm" in row) == ("length_mm" in new) == (row["kind"] == "gentle"))
        for key in ("length_mm", "bending_per_mm", "least_radius_mm"):
            if key in row and key in new:
                check(f"pair {k}: {key} {row[key]}, computed {new[key]}", apart(row[key], new[key]) < 1e-3)


def check_known():
    """Values of a Bézier curve of degree 13: the method finds them with degree 9."""
    turn = math.radians(65)
    for d, t1, *expected in (
        ((30, 12, 8), (0.6, 0, 0.8), 35.2452, 0.0763869, 13.10),
        ((30, 8, 0), (1, 0, 0), 31.2611, 0.0260363, 20.18),
        ((22 + 25 * math.cos(turn), 25 * math.sin(turn), 0), (math.cos(turn), math.sin(turn), 0), 41.9425, 0.0311573, 32.25),
    ):
        found = least_bending(np.array(d, float), np.array([1.0, 0, 0]), np.array(t1, float))
        for value, known, share in zip(found or (), expected, (1e-4, 1e-4, 2e-3)):
            check(f"known curve to {d}: {value}, expected {known}", apart(value, known) < share)
        check(f"known curve to {d}", found is not None)


def mouth_direction(anatomy, lie, tunnel):
    """d = cos rise (± cos side t + sin side e_phi) + sin rise e_r, on a graft that lies on the centreline."""
    u = tunnel["mouth_u_mm"]
    t, o, b = anatomy.frame(lie.station(u))
    th = math.radians(lie.clock(u, tunnel["mouth_clock_deg"]))
    out, around = math.cos(th) * o + math.sin(th) * b, math.cos(th) * b - math.sin(th) * o
    rise, side = (math.radians(tunnel.get(key) or 0) for key in ("rise_deg", "side_deg"))
    ahead = t if tunnel["flow"] == "antegrade" else -t
    return math.cos(rise) * (math.cos(side) * ahead + math.sin(side) * around) + math.sin(rise) * out


def check_report(program, name):
    """Every path of a demo's report, where the graft lies on the centreline."""
    path = ROOT / "demo-data" / f"{name}.json"
    case = load(path)
    report, anatomy = report_of(program, path), Anatomy(case)
    grafts = {c["id"]: c for c in case["components"] if c.get("graft") and c.get("placement")}
    lies = {}
    for row in report["tunnels"]:
        if row["lie"] != "middle":
            continue
        component, kept = grafts[row["component"]], row["length_kept_by"]
        lie = lies.setdefault((row["component"], kept), None) or Lie(anatomy, component, kept)
        lies[row["component"], kept] = lie
        tunnel = next(t for t in component["graft"]["tunnels"] if t["id"] == row["id"])
        what = f"{name} {row['id']} ({kept})"
        if row["state"] == "wrong_side":
            check(f"{what}: no path on the wrong side", row["path"]["length_mm"] is None and row["path"]["why"])
            continue
        ostium, vessel = anatomy.ostium_of(row["serves"]), anatomy.vessels[row["serves"]]
        end = anatomy.wall_point(ostium["station_mm"], ostium["clock_deg"])
        d, t0 = end - lie.mouth(tunnel), mouth_direction(anatomy, lie, tunnel)
        t1 = anatomy.takeoff(row["serves"])
        found = least_bending(d, unit(t0), unit(t1))
        check(f"{what}: state {row['state']}", row["state"] == ("would_loop" if found is None else "ok"))
        angle = math.degrees(math.acos(np.clip(unit(t0) @ unit(t1), -1, 1)))
        check(f"{what}: mouth to take-off {row['path']['mouth_to_takeoff_deg']}, {angle}", abs(row["path"]["mouth_to_takeoff_deg"] - angle) < 0.1)
        if found is None:
            continue
        length, _, radius = found
        for quantity, difference, limit, of in (
            ("path's length", apart(row["path"]["length_mm"], length), LENGTH_SHARE, "share"),
            ("path's least radius", apart(row["path"]["least_radius_mm"], radius), RADIUS_SHARE, "share"),
            ("mouth to take-off", abs(row["path"]["mouth_to_takeoff_deg"] - angle), 0.1, "°"),
        ):
            outside.compared("descent of a Bézier curve by scipy (tests/oracles/test_bridging_paths.py)", f"{what}: {quantity}", difference, limit, of)
        check(f"{what}: length {row['path']['length_mm']}, {length}", apart(row["path"]["length_mm"], length) < LENGTH_SHARE)
        check(f"{what}: radius {row['path']['least_radius_mm']}, {radius}", apart(row["path"]["least_radius_mm"], radius) < RADIUS_SHARE)
        check(f"{what}: at most {row['path']['largest_possible_radius_mm']}", row["path"]["largest_possible_radius_mm"] > radius * (1 - RADIUS_SHARE))
        stent = OVERLAP + length + vessel["healthy_from_mm"] + (LANDING_LSA if row["serves"] == "LSA" else LANDING)
        check(f"{what}: stent {row['path']['stent_length_mm']}, {stent}", abs(row["path"]["stent_length_mm"] - stent) < 0.2)


def main():
    """Checks, or writes the file."""
    if "--write" in sys.argv[1:]:
        rows = computed()
        FILE.write_text("[\n" + ",\n".join("  " + json.dumps(row) for row in rows) + "\n]\n", encoding="utf-8")
        print(f"{sum('length_mm' in row for row in rows)} with a path, {len(rows)} in all")
        return 0
    check_known()
    check_file()
    program = os.environ.get("EXTRADOS_BIN")
    if program is None:
        print("NOT RUN: paths of the demo reports, as EXTRADOS_BIN does not name the program.")
    else:
        for name in DEMOS:
            check_report(program, name)
    failed = RESULTS.count(False)
    print(f"{len(RESULTS) - failed} passed, {failed} failed")
    return 1 if failed or not RESULTS else 0


if __name__ == "__main__":
    sys.exit(main())
