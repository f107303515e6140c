#!/usr/bin/env python3
"""The anatomy report of every demo case, worked out again on the independent reference's aorta.

    EXTRADOS_BIN=... python3 tests/oracles/test_anatomy_report.py

Arch type by both definitions, angle of the arch, turning, tortuosity, bends, turns and diameters of the
zones, lengths to the first ostium. Needs numpy and scipy.
"""
import math
import os
import pathlib
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from checks import changed, report_of, told
from reference import Anatomy, load

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
LIMIT_MM, LIMIT_DEG, LIMIT_RATIO = 0.05, 0.15, 0.005
RESULTS = []


def check(what, got, want, limit):
    """Notes one check; unknown against known is a miss."""
    if got is None and want is None:
        RESULTS.append((what, 0.0, limit, True))
        return
    difference = math.nan if got is None or want is None else abs(got - want)
    RESULTS.append((what, difference, limit, bool(difference <= limit)))


def area_diameter(q):
    """Diameter of the circle of equal area of a section; none for an inscribed sphere."""
    if q["kind"] == "area":
        return q["diameter_mm"]
    if q["kind"] == "max_min":
        return math.sqrt(q["largest_mm"] * q["smallest_mm"])
    return None


def arch_angle(line):
    """Angle at the highest point of the centreline between the lines to its two legs."""
    s = np.linspace(line.start, line.end, 60001)
    z = line.point(s)[:, 2]
    top = int(np.argmax(z))
    begin = int(np.argmin(np.abs(s - max(line.start, 0.0))))
    level = max(z[begin], z[top:].min())
    height = lambda q: float(line.point(np.array([q]))[0, 2]) - level
    def reach(indices):
        for i, j in zip(indices, indices[1:]):
            if z[j] <= level + 1e-9:
                return brentq(height, s[i], s[j]) if z[j] < level else s[j]
        return None
    up = reach(list(range(top, begin - 1, -1)))
    down = reach(list(range(top, len(s))))
    p, a, b = (line.point(np.array([q]))[0] for q in (s[top], up, down))
    return math.degrees(math.acos(np.dot(a - p, b - p) / np.linalg.norm(a - p) / np.linalg.norm(b - p)))


def own_type(drop, limits):
    """1 up to the first limit, 2 up to the second, 3 below."""
    return 1 + sum(drop > limit for limit in limits)


def compare(name, case, report):
    a = Anatomy(case)
    line, own = a.line, report["anatomy"]
    # The top of the wall along a clock over the stretch that fixes the arch plane.
    arch = np.linspace(a.arch_from, a.arch_to, 4001)
    tops = {clock: a.wall_point(arch, clock)[:, 2].max() for clock in (0, 180)}
    ostium = a.ostium_of("IA")
    if ostium is not None:
        drop = tops[0] - a.wall_point(ostium["station_mm"], ostium["clock_deg"])[2]
        check(f"{name}: drop of the innominate ostium", own["arch_type_by_planes"]["drop_mm"], drop, LIMIT_MM)
        first, second = ostium["along_mm"] / 2, tops[0] - tops[180]
        # On a limit itself two right answers may fall either way: the drop is compared, the type is not.
        kind = lambda limits: own_type(drop, limits)
        if min(abs(drop - first), abs(drop - second)) > LIMIT_MM:
            check(f"{name}: type by planes", own["arch_type_by_planes"]["type"], kind((first, second)), 0)
        check(f"{name}: plane of the inner curve", own["arch_type_by_planes"]["second_mm"], second, LIMIT_MM)
        widths = sorted(a.vessels.get("LCCA", {}).get("diameters", []), key=lambda q: abs(q["at_mm"] - 10))
        width = widths[0]["diameter_mm"] if widths else None
        check(f"{name}: type by widths", own["arch_type_by_widths"]["type"], None if width is None else kind((width, 2 * width)), 0)
    first, last = a.ostia[0]["station_mm"], a.ostia[-1]["station_mm"]
    s = np.linspace(first, last, 8001)
    turning = math.degrees(np.trapezoid(np.linalg.norm(line.curvature_vector(s), axis=1), s))
    check(f"{name}: turning", own["turning_deg"], turning, LIMIT_DEG)
    chord = lambda p, q: float(np.linalg.norm(line.point(np.array([q]))[0] - line.point(np.array([p]))[0]))
    if line.origin_marked:
        check(f"{name}: angle of the arch", own["arch_angle_deg"], arch_angle(line), LIMIT_DEG)
        check(f"{name}: tortuosity of the arch", own["tortuosity_arch"], last / chord(0, last), LIMIT_RATIO)
        for key in ("inner", "centre", "outer"):
            check(f"{name}: proximal length, {key}", own["proximal_length"][f"{key}_mm"], a.origin_to_edge(key), LIMIT_MM)
    check(f"{name}: tortuosity of the descending aorta", own["tortuosity_descending"], (line.end - last) / chord(last, line.end), LIMIT_RATIO)
    sections = case["anatomy"]["lumen"]
    areas = [area_diameter(q) for q in sections]
    at = [q["station_mm"] for q in sections]
    for zone in report["zones"]:
        low, high = zone["from_station_mm"], zone["to_station_mm"]
        s = np.linspace(low, high, 4001)
        r = np.mean([a.lumen.radius(s, clock) for clock in range(0, 360, 5)], axis=0)
        bend = np.linalg.norm(line.curvature_vector(s), axis=1) * r
        # 0.05 % coarser than the program's steps of 1 mm allow.
        expected = None if bend.max() >= 1 else float((2 * bend / (1 - bend)).max())
        check(f"{name}: zone {zone['zone']} bend", zone["inner_bend"], expected, 0.02)
        t = line.tangent(np.array([low, high]))
        check(f"{name}: zone {zone['zone']} turn", zone["turn_deg"], math.degrees(math.atan2(np.linalg.norm(np.cross(*t)), t[0] @ t[1])), LIMIT_DEG)
        if all(area is not None for area in areas) and len(areas) > 2:
            own_area = PchipInterpolator(at, areas)(np.clip(s, at[0], at[-1]))
            check(f"{name}: zone {zone['zone']} least area diameter", zone["area_least_mm"], own_area.min(), LIMIT_MM)
            check(f"{name}: zone {zone['zone']} largest area diameter", zone["area_most_mm"], own_area.max(), LIMIT_MM)


def main():
    program = os.environ.get("EXTRADOS_BIN")
    if not program:
        print("The program was not named: set EXTRADOS_BIN.", file=sys.stderr)
        return 2
    cases = sorted(q for q in (ROOT / "demo-data").glob("*.json") if load(q).get("format") == "extrados-case" and load(q)["anatomy"].get("centreline"))
    for path in cases:
        compare(path.stem, load(path), report_of(program, path))
    # The comparison must be able to fail.
    before = len(RESULTS)
    compare("spoilt", load(cases[0]), changed(report_of(program, cases[0]), ["anatomy", "turning_deg"], 1.0))
    noticed = not all(good for *_, good in RESULTS[before:])
    del RESULTS[before:]
    check("the comparison notices a wrong turning", 0.0 if noticed else 1.0, 0.0, 0)
    return told(RESULTS, "independent reference (tests/oracles/test_anatomy_report.py)", lambda _, limit: {LIMIT_MM: "mm", LIMIT_DEG: "°"}.get(limit, ""))


if __name__ == "__main__":
    sys.exit(main())
