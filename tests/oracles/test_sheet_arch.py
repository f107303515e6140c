#!/usr/bin/env python3
"""Arches rebuilt from measuring sheets, worked out again from the case files alone.

    EXTRADOS_BIN=... python3 tests/oracles/test_sheet_arch.py

Other roads on purpose: the perimeter of the half-ellipse by the complete elliptic integral, the bend by a
solver that follows its turning, wall lengths as sums of short chords, edges by bisection. Invented
sheets, drawn at random from a fixed seed. Needs numpy and scipy.
"""
import math
import os
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.special import ellipe

from checks import changed, report_on, told

LIMIT_MM, LIMIT_DEG = 0.01, 0.01
RESULTS = []


def check(what, difference, limit):
    """Notes one check; not a number fails."""
    RESULTS.append((what, float(difference), limit, bool(difference <= limit)))


def sheets():
    """Sheets of every kind with a few numbers that do not fit."""
    rng = np.random.default_rng(11)
    for k in range(4):
        width, height = rng.uniform(60, 95), rng.uniform(35, 55)
        yield f"half-ellipse {k}", {"from_station_mm": rng.uniform(10, 40), "width_mm": width, "height_mm": height,
                                    "centre_mm": rng.uniform(120, 150), "radius_mm": 38, "plane_from_sagittal_deg": rng.uniform(0, 90)}
    for k in range(4):
        turn, radius, d = rng.uniform(1.5, 3.3), rng.uniform(30, 50), rng.uniform(26, 36)
        yield f"two curves {k}", {"from_station_mm": rng.uniform(10, 40), "inner_mm": turn * (radius - d / 2), "outer_mm": turn * (radius + d / 2),
                                  "centre_mm": turn * radius + 1.5, "diameter_mm": d, "width_mm": 77, "plane_from_sagittal_deg": rng.uniform(-20, 100)}
    for k in range(3):
        begin, turn, radius = rng.uniform(10, 40), rng.uniform(1.2, 3.2), rng.uniform(30, 50)
        yield f"radius {k}", {"from_station_mm": begin, "to_station_mm": begin + turn * radius, "radius_mm": radius, "height_mm": 30}


def case_of(sheet, k):
    """A case with a narrowing lumen, three ostia and no graft."""
    begin = sheet["from_station_mm"]
    ostia = [{"id": f"o{i}", "station_mm": begin + at, "clock_deg": clock, "along_mm": size, "across_mm": size}
             for i, (at, clock, size) in enumerate(((35 + k, 12.0, 13.0), (52 + k, -8.0, 8.0), (68 + k, 5.0, 10.0)))]
    return {"format": "extrados-case", "version": 1, "invented": True, "clock": {"three_oclock_is": "front_left", "twelve_oclock_is": "arch_plane"},
            "anatomy": {"centreline": None, "sheet_arch": {**sheet, "origin": "sinotubular_junction"},
                        "lumen": [{"station_mm": s, "kind": "area", "diameter_mm": d} for s, d in ((-25, 34), (20, 35), (70, 31), (220, 26))],
                        "ostia": ostia, "vessels": [{"id": v, "from": o["id"]} for v, o in zip(("IA", "LCCA", "LSA"), ostia)]}}


class Rebuilt:
    """The arch of one sheet: flat, followed along its turning."""

    def __init__(self, case):
        sheet = case["anatomy"]["sheet_arch"]
        lumen = case["anatomy"]["lumen"]
        self.at, self.d = [q["station_mm"] for q in lumen], [q["diameter_mm"] for q in lumen]
        self.diameter = PchipInterpolator(self.at, self.d)
        self.begin = sheet["from_station_mm"]
        plane = math.radians(sheet.get("plane_from_sagittal_deg", 50.3))
        self.across = np.array([math.sin(plane), math.cos(plane), 0.0])
        if "width_mm" in sheet and "height_mm" in sheet:
            a, b = sheet["width_mm"] / 2, sheet["height_mm"]
            self.length = 2 * max(a, b) * ellipe(1 - (min(a, b) / max(a, b)) ** 2)
            # d(angle of the tangent)/ds of an ellipse by its eccentric angle, and of that angle by s.
            def rate(_, y):
                speed = math.hypot(a * math.sin(y[3]), b * math.cos(y[3]))
                return [math.sin(y[2]), math.cos(y[2]), a * b / speed**3, 1 / speed]
        else:
            if "inner_mm" in sheet:
                turn = (sheet["outer_mm"] - sheet["inner_mm"]) / sheet["diameter_mm"]
                self.length = (sheet["outer_mm"] + sheet["inner_mm"]) / 2
            else:
                self.length = sheet["to_station_mm"] - self.begin
                turn = self.length / sheet["radius_mm"]
            def rate(_, y):
                return [math.sin(y[2]), math.cos(y[2]), turn / self.length, 0.0]
        self.end = self.begin + self.length
        self.bend = solve_ivp(rate, (0, self.length), [0.0, 0.0, 0.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-12, dense_output=True).sol

    def at_station(self, s):
        """Point, tangent and outer direction: (n, 3) each."""
        s = np.atleast_1d(np.asarray(s, float))
        x, z, angle, _ = self.bend(np.clip(s - self.begin, 0, self.length))
        more = s - np.clip(s, self.begin, self.end)
        up = np.array([0.0, 0.0, 1.0])
        tangent = np.sin(angle)[:, None] * self.across + np.cos(angle)[:, None] * up
        outer = np.sin(angle)[:, None] * up - np.cos(angle)[:, None] * self.across
        return x[:, None] * self.across + z[:, None] * up + more[:, None] * tangent, tangent, outer

    def wall(self, s, clock_deg):
        """Points of the wall."""
        s = np.atleast_1d(np.asarray(s, float))
        p, t, o = self.at_station(s)
        r = self.diameter(np.clip(s, self.at[0], self.at[-1]))[:, None] / 2
        c = math.radians(clock_deg)
        return p + r * (math.cos(c) * o + math.sin(c) * np.cross(t, o))

    def wall_length(self, a, b, clock_deg):
        x = self.wall(np.linspace(a, b, max(3, int(abs(b - a) / 0.02))), clock_deg)
        return math.copysign(float(np.sum(np.linalg.norm(np.diff(x, axis=0), axis=1))), b - a)

    def edge(self, ostium, way):
        half = ostium["along_mm"] / 2
        s, clock = ostium["station_mm"], ostium["clock_deg"]
        return s + way * brentq(lambda d: abs(self.wall_length(s, s + way * d, clock)) - half, 1e-6, 6 * half, xtol=1e-7)


def compare(name, case, report):
    ours = Rebuilt(case)
    rough, sheet = report["rough"], case["anatomy"]["sheet_arch"]
    check(f"{name}: end of the bend", abs(rough["to_station_mm"] - ours.end), LIMIT_MM)
    rows = report["stations"]
    s = np.array([q["station_mm"] for q in rows])
    p, t, o = ours.at_station(s)
    moved = np.array([q["point_lps_mm"] for q in rows]) - np.array(rows[0]["point_lps_mm"]) + p[0]
    check(f"{name}: centreline points", np.linalg.norm(moved - p, axis=1).max(), LIMIT_MM)
    check(f"{name}: tangents", np.linalg.norm(np.array([q["tangent_lps"] for q in rows]) - t, axis=1).max(), 1e-4)
    check(f"{name}: outer curve", np.linalg.norm(np.array([q["outer_lps"] for q in rows]) - o, axis=1).max(), 1e-4)
    check(f"{name}: no twist drift is told", sum(q["twist_drift_deg"] is not None for q in rows), 0)
    shift = p[0] - np.array(rows[0]["point_lps_mm"])
    for q, ostium in zip(report["ostia"], case["anatomy"]["ostia"]):
        wall = ours.wall(ostium["station_mm"], ostium["clock_deg"])[0]
        check(f"{name}: wall point of {q['id']}", np.linalg.norm(np.array(q["wall_point_lps_mm"]) + shift - wall), LIMIT_MM)
    ends = [0.0] + [ours.edge(ostium, 1) for ostium in case["anatomy"]["ostia"]]
    for zone, a, b in zip(report["zones"], ends, ends[1:]):
        for key, expected in (("inner_mm", ours.wall_length(a, b, 180)), ("centre_mm", b - a), ("outer_mm", ours.wall_length(a, b, 0))):
            check(f"{name}: zone {zone['zone']} {key}", abs(zone[key] - expected), LIMIT_MM)
    ends = ours.at_station([ours.begin, ours.end])[0]
    # The farthest point of the bend from the line that joins its ends is its top, on a circle and an ellipse.
    along = np.linspace(ours.begin, ours.end, 200001)
    inside = ours.at_station(along)[0] - ends[0]
    chord = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    away = np.linalg.norm(inside - (inside @ chord)[:, None] * chord, axis=1)
    top = ours.at_station(along[away.argmax()])[0][0]
    to_ends = [(e - top) / np.linalg.norm(e - top) for e in ends]
    check(f"{name}: angle at the top", abs(rough["apex_deg"] - math.degrees(math.acos(to_ends[0] @ to_ends[1]))), LIMIT_DEG)
    grid = np.linspace(ours.begin, ours.end, 20001)
    expected = {
        "from_station_mm": ours.begin, "to_station_mm": ours.end, "inner_mm": ours.wall_length(ours.begin, ours.end, 180),
        "outer_mm": ours.wall_length(ours.begin, ours.end, 0), "centre_mm": ours.length, "width_mm": np.linalg.norm(ends[1] - ends[0]),
        "height_mm": away.max(), "diameter_mm": np.trapezoid(ours.diameter(grid), grid) / ours.length,
        "plane_from_sagittal_deg": sheet.get("plane_from_sagittal_deg"),
    }
    typed = {key: value for key, value in sheet.items() if key != "origin"}
    check(f"{name}: a residual for every typed number", len({q["key"] for q in rough["residuals"]} ^ set(typed)), 0)
    for q in rough["residuals"]:
        check(f"{name}: {q['key']} typed", abs(q["typed"] - typed[q["key"]]), 0)
        if q["key"] in expected:
            check(f"{name}: {q['key']} rebuilt", abs(q["rebuilt"] - expected[q["key"]]), LIMIT_MM)
        check(f"{name}: {q['key']} difference", abs(q["difference"] - (q["rebuilt"] - q["typed"])), 1e-9)
    return report


def notices(case, report):
    """The comparison must be able to fail: one number spoilt at a time."""
    middle = len(report["stations"]) // 2
    spoilt = (("a moved point", changed(report, ["stations", middle, "point_lps_mm", 2], 0.1)), ("a longer inner curve", changed(report, ["zones", 0, "inner_mm"], 0.1)),
              ("a moved ostium", changed(report, ["ostia", 0, "wall_point_lps_mm", 0], 0.1)), ("a wrong residual", changed(report, ["rough", "residuals", 0, "rebuilt"], 0.1)))
    for what, bad in spoilt:
        before = len(RESULTS)
        compare("spoilt", case, bad)
        noticed = not all(good for *_, good in RESULTS[before:])
        del RESULTS[before:]
        check(f"the comparison notices {what}", 0 if noticed else 1, 0)


def main():
    program = os.environ.get("EXTRADOS_BIN")
    if not program:
        print("The program was not named: set EXTRADOS_BIN.", file=sys.stderr)
        return 2
    for k, (name, sheet) in enumerate(sheets()):
        case = case_of(sheet, k)
        report = report_on(program, case)
        compare(name, case, report)
        if k == 0:
            notices(case, report)

    def unit(what, limit):
        return "°" if "angle" in what or "_deg" in what else "mm" if limit == LIMIT_MM else ""
    return told(RESULTS, "elliptic integrals and a solver (tests/oracles/test_sheet_arch.py)", unit)


if __name__ == "__main__":
    sys.exit(main())
