#!/usr/bin/env python3
"""Checks the program's fabric results against polygons and nearest points found by other roads.

    python3 tests/oracles/test_fabric.py [--bin PATH]

Areas of fenestrations over their ostia by shapely's polygons in the tangent map, space to the wall by
trying every point of a fine axis, for the lie on the centreline with the axis keeping its length. Needs
numpy, scipy and shapely; imports nothing of the program. Exit status 0 all passed, 1 a difference.
"""
import argparse
import copy
import math
import os
import pathlib
import sys

import numpy as np
from shapely.affinity import scale, translate
from shapely.geometry import Point

import outside
from checks import report_on
from reference import Anatomy, Lie, fabric_radius, load, wrap_deg

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
CASES = [ROOT / "tests" / "reference" / "worked-arch.json", *(ROOT / "demo-data" / f"{name}.json" for name in ("plain-arch", "steep-arch"))]
# Allowed: 0.05 mm (mm² per mm of outline) and 1 %.
MM, SHARE = 0.05, 0.01
RESULTS = []


def check(what, theirs, ours, absolute=MM):
    """Notes one check; what is not a number fails."""
    limit = absolute + SHARE * abs(ours)
    bad = theirs is None or not abs(theirs - ours) <= limit
    outside.compared("polygons of shapely, every point of a fine axis (tests/oracles/test_fabric.py)", what, None if theirs is None else abs(theirs - ours), limit)
    RESULTS.append((what, theirs, ours, not bad))


def oval(along, across, x=0.0, y=0.0):
    """An ellipse as a polygon of a thousand points."""
    return translate(scale(Point(0, 0).buffer(1.0, quad_segs=256), along / 2, across / 2), x, y)


def axis_only(case):
    """The case with every graft keeping its length along the axis."""
    case = copy.deepcopy(case)
    for c in case["components"]:
        if c.get("graft"):
            c["graft"]["length_kept_by"] = "axis"
    return case


def openings(program, case, name):
    """Fenestrations of several sizes about the LSA."""
    for du, turn, along, across in ((0, 0, 12, 10), (3, 8, 10, 14), (-6, -15, 9, 9), (30, 0, 8, 8)):
        case = axis_only(case)
        a = Anatomy(case)
        ostium = a.ostium_of("LSA")
        component = case["components"][0]
        graft = component["graft"]
        graft["tunnels"] = [t for t in graft["tunnels"] if t["serves"] != "LSA"]
        # Steps may name a tunnel that is gone.
        case.pop("procedure", None)
        place = component["placement"]
        u = ostium["station_mm"] - place["station_mm"] + place["held_u_mm"] + du
        graft["fenestrations"] = [{"id": "f1", "serves": "LSA", "u_mm": u, "clock_deg": turn, "along_mm": along, "across_mm": across}]
        lie = Lie(a, component, "axis")
        so, th = ostium["station_mm"], ostium["clock_deg"]
        x = a.wall_length(so, lie.station(u), th)
        y = math.radians(float(wrap_deg(lie.clock(u, turn) - th))) * float(a.lumen.radius(so, th))
        ours = oval(ostium["along_mm"], ostium["across_mm"])
        hole = oval(along, across, x, y)
        row = next(q for q in report_on(program, case)["openings"] if q["id"] == "f1" and q["lie"] == "middle")
        area = ours.intersection(hole).area
        where = f"{name}, {du} mm, {turn} deg"
        check(where + ": overlap mm2", row["overlap_mm2"], area, MM * ours.length)
        check(where + ": uncovered share", row["uncovered_share"], area / ours.area, MM * ours.length / ours.area)
        rim = [Point(p) for p in ours.exterior.coords[::4]]
        depth = min((1 if hole.contains(p) else -1) * hole.exterior.distance(p) for p in rim)
        check(where + ": edge distance mm", row["edge_distance_mm"], depth)


def spaces(program, case, name):
    """Space at each ostium: every point of a fine axis is tried, over 2,000 points of the footprint."""
    case = axis_only(case)
    a = Anatomy(case)
    report = report_on(program, case)
    component = case["components"][0]
    graft, lie = component["graft"], Lie(a, component, "axis")
    us = np.arange(0, graft["length_mm"], 0.05)
    stations = np.array([lie.station(u) for u in us])
    inside = (stations >= a.line.start) & (stations <= a.line.end)
    us, stations = us[inside], stations[inside]
    axis = a.line.point(stations)

    def space(point):
        i = int(np.argmin(np.linalg.norm(axis - point, axis=1)))
        _, o, b = a.frame(stations[i])
        away = point - axis[i]
        clock = math.degrees(math.atan2(away @ b, away @ o)) - lie.clock(us[i], 0.0)
        return max(0.0, float(np.linalg.norm(away)) - fabric_radius(graft, us[i], clock))

    for ostium in a.ostia:
        rows = [q for q in report["space_to_wall"] if q["at"] == ostium["id"] and q["component"] == component["id"] and q["lie"] == "middle"]
        if not rows:
            RESULTS.append((f"{name}, {ostium['id']}: no row", None, math.nan, False))
            continue
        so, th = ostium["station_mm"], ostium["clock_deg"]
        r = float(a.lumen.radius(so, th))
        scale_mm = a.wall_length(so - 0.5, so + 0.5, th)
        half = (ostium["along_mm"] / 2 + 3, ostium["across_mm"] / 2 + 3)
        found = []
        for rho in np.sqrt((np.arange(16) + 0.5) / 16):
            for t in np.arange(48) * 2 * math.pi / 48:
                s = so + half[0] * rho * math.cos(t) / scale_mm
                found.append(space(a.wall_point(s, th + math.degrees(half[1] * rho * math.sin(t) / r))))
        where = f"{name}, {ostium['id']}"
        check(where + ": space at the centre", rows[0]["centre_mm"], space(a.wall_point(so, th)))
        check(where + ": mean space", rows[0]["mean_mm"], float(np.mean(found)))
        # The outermost ring lies 3 % further out than the last of these.
        check(where + ": least space", rows[0]["least_mm"], min(found), 2 * MM)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--bin", default=os.environ.get("EXTRADOS_BIN"))
    program = parser.parse_args().bin
    if not program:
        print("The program was not named: give --bin PATH or set EXTRADOS_BIN.", file=sys.stderr)
        return 2
    for path in CASES:
        case = load(path)
        openings(program, case, path.stem)
        spaces(program, case, path.stem)
    failed = [row for row in RESULTS if not row[3]]
    for what, theirs, ours, _ in failed:
        print(f"MISS {what}: {theirs} instead of {ours:.4f}")
    print(f"{len(RESULTS) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
