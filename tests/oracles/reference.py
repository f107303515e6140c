#!/usr/bin/env python3
"""An independent reference: what a plan should say, worked out from the case file alone.

It shares no code with the library and takes other roads on purpose: scipy's smoothing spline,
frames by a general differential-equation solver, wall lengths as sums of short chords, nearest points
by looking at every point. It knows the conventions of the case file and nothing else; it is slow and
plain, and it is not used by the program.

    python3 tests/oracles/reference.py CASE.json...     prints the values of each case

Lengths are in mm and angles in degrees wherever a name says so; arrays of points are (n, 3).
"""
import bisect
import json
import math
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline, PchipInterpolator, PPoly, make_smoothing_spline
from scipy.optimize import brentq

# A point nearer than this to the last kept one says nothing new about the curve, mm.
CLEAN_MM = 0.01
# Spacing of the points that are searched one by one and of the chords that are summed, mm.
SEARCH_STEP_MM = 0.02
CHORD_STEP_MM = 0.02
# Upstream of the first and downstream of the last ostium the arch plane takes in this much, mm.
PLANE_MARGIN_MM = 20.0
# Angles at which the lumen is looked at for its inscribed radius.
INSCRIBED_ANGLES = 720


def unit(v):
    """Vectors of length one."""
    v = np.asarray(v, float)
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def wrap_deg(angle):
    """The same angle in (-180, 180]."""
    return 180.0 - (180.0 - np.asarray(angle, float)) % 360.0


def dot(a, b):
    """Scalar product along the last axis."""
    return np.sum(np.asarray(a) * np.asarray(b), axis=-1)


# ---------------------------------------------------------------- centreline
def clean(points):
    """The points without those nearer than 0.01 mm to the last kept one."""
    kept = [np.asarray(points[0], float)]
    for p in points[1:]:
        p = np.asarray(p, float)
        if np.linalg.norm(p - kept[-1]) >= CLEAN_MM:
            kept.append(p)
    return np.array(kept)


def local_spacing(x):
    """Half of the gap before plus half of the gap after each value."""
    gap = np.diff(x)
    return 0.5 * (np.concatenate([[0.0], gap]) + np.concatenate([gap, [0.0]]))


def fit(x, points, smoothing_mm):
    """Natural cubic smoothing spline of the points over x, one penalty for the three coordinates."""
    if smoothing_mm == 0:
        return CubicSpline(x, points, bc_type="natural")
    w = local_spacing(x)
    each = [PPoly.from_spline(make_smoothing_spline(x, q, w=w, lam=smoothing_mm**4)) for q in points.T]
    return PPoly(np.stack([q.c for q in each], axis=-1), each[0].x)


def arc_lengths(spline, x):
    """Arc length of the spline from x[0] to each x, by Gauss quadrature on every interval."""
    nodes, weights = np.polynomial.legendre.leggauss(10)
    half = np.diff(x)[:, None] / 2
    at = x[:-1, None] + half * (1 + nodes)
    speed = np.linalg.norm(spline(at, 1), axis=-1)
    return np.concatenate([[0.0], np.cumsum(np.sum(speed * weights * half, axis=1))])


class Centreline:
    """Smoothed centreline, addressed by station (mm of true arc length from the origin)."""

    def __init__(self, entry):
        self.points = clean(entry["points_lps_mm"])
        b = entry.get("smoothing_length_mm", 7)
        chord = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(self.points, axis=0), axis=1))])
        self.input_length = chord[-1]
        first = fit(chord, self.points, b)
        x = arc_lengths(first, chord)
        self.spline = fit(x, self.points, b)
        self.residual = np.linalg.norm(self.spline(x) - self.points, axis=1)

        # Table of arc length on a fine subdivision of every interval between points.
        grid = np.concatenate([np.linspace(a, c, 9)[:-1] for a, c in zip(x[:-1], x[1:])] + [x[-1:]])
        self._x = grid
        self._s = arc_lengths(self.spline, grid)
        self.length = self._s[-1]

        # Station 0: the given length along the points, at the same place on the curve.
        at = entry.get("origin_at_mm")
        self.origin_marked = at is not None
        if at is None:
            self.zero = 0.0
        else:
            if not 0 <= at <= chord[-1]:
                raise ValueError(f"origin_at_mm {at} lies outside the {chord[-1]:.1f} mm of the points")
            i = max(1, int(np.searchsorted(chord, at)))
            part = np.array([chord[i - 1], at])
            x0 = x[i - 1] + (arc_lengths(first, part)[-1] if at > part[0] else 0.0)
            self.zero = self._arc_at(x0)
        self.start, self.end = -self.zero, self.length - self.zero

    def _arc_at(self, x):
        i = min(max(1, int(np.searchsorted(self._x, x))), len(self._x) - 1)
        a = self._x[i - 1]
        return self._s[i - 1] + (arc_lengths(self.spline, np.array([a, x]))[-1] if x > a else 0.0)

    def parameter(self, s):
        """Spline parameter of a station: table, then Newton with the exact arc length."""
        s = np.asarray(s, float)
        arc = np.clip(s + self.zero, 0.0, self.length)
        i = np.clip(np.searchsorted(self._s, arc) - 1, 0, len(self._s) - 2)
        a, x = self._x[i], np.interp(arc, self._s, self._x)
        nodes, weights = np.polynomial.legendre.leggauss(6)
        for _ in range(2):
            half = (x - a)[..., None] / 2
            speed = np.linalg.norm(self.spline(a[..., None] + half * (1 + nodes), 1), axis=-1)
            arc_x = self._s[i] + np.sum(speed * weights * half, axis=-1)
            x = x - (arc_x - arc) / np.linalg.norm(self.spline(x, 1), axis=-1)
        return x

    def point(self, s):
        """Point of the curve, LPS mm."""
        return self.spline(self.parameter(s))

    def tangent(self, s):
        """Unit tangent, downstream."""
        return unit(self.spline(self.parameter(s), 1))

    def curvature_vector(self, s):
        """Derivative of the unit tangent by arc length, per mm."""
        x = self.parameter(s)
        d1, d2 = self.spline(x, 1), self.spline(x, 2)
        t = unit(d1)
        return (d2 - t * dot(t, d2)[..., None]) / dot(d1, d1)[..., None]


# ---------------------------------------------------------------- lumen
class Lumen:
    """Radius of the lumen by station and clock."""

    def __init__(self, sections):
        self.sections = sorted(sections, key=lambda q: q["station_mm"])
        self.stations = np.array([q["station_mm"] for q in self.sections], float)

    @staticmethod
    def section_radius(q, theta):
        """Radius of one measured section at the angles theta, radians."""
        theta = np.asarray(theta, float)
        if q["kind"] in ("area", "inscribed"):
            return np.full(theta.shape, q["diameter_mm"] / 2)
        if q["kind"] == "max_min":
            a, b = q["largest_mm"] / 2, q["smallest_mm"] / 2
            clock = q.get("largest_clock_deg")
            if clock is None:
                if a != b:
                    raise ValueError("an oval section without the clock of its largest diameter")
                clock = 0.0
            turn = theta - math.radians(clock)
            return a * b / np.sqrt((b * np.cos(turn)) ** 2 + (a * np.sin(turn)) ** 2)
        if q["kind"] == "contour":
            radii = np.asarray(q["radii_mm"], float)
            if len(radii) == 1:
                return np.full(theta.shape, radii[0])
            at = np.linspace(0, 2 * math.pi, len(radii) + 1)
            ring = CubicSpline(at, np.concatenate([radii, radii[:1]]), bc_type="periodic")
            return ring(theta % (2 * math.pi))
        raise ValueError(f"unknown kind of section: {q['kind']}")

    def radius(self, s, theta_deg):
        """r(s, theta): shape-preserving in s at this clock, constant beyond the ends."""
        s = np.asarray(s, float)
        values = np.array([float(self.section_radius(q, math.radians(theta_deg))) for q in self.sections])
        if len(values) == 1:
            return np.full(s.shape, values[0])
        inside = np.clip(s, self.stations[0], self.stations[-1])
        if len(values) == 2:
            return np.interp(inside, self.stations, values)
        return PchipInterpolator(self.stations, values)(inside)

    def inscribed(self, s):
        """Least radius over the clock at each station."""
        s = np.asarray(s, float)
        theta = np.arange(INSCRIBED_ANGLES) * 2 * math.pi / INSCRIBED_ANGLES
        table = np.array([self.section_radius(q, theta) for q in self.sections])
        if len(table) == 1:
            return np.full(s.shape, table[0].min())
        inside = np.clip(s, self.stations[0], self.stations[-1])
        if len(table) == 2:
            f = (inside - self.stations[0]) / (self.stations[1] - self.stations[0])
            return ((1 - f)[..., None] * table[0] + f[..., None] * table[1]).min(axis=-1)
        return PchipInterpolator(self.stations, table, axis=0)(inside).min(axis=-1)


# ---------------------------------------------------------------- anatomy
class Anatomy:
    """Centreline, arch plane, outer curve, twist drift, lumen wall and ostia of one case."""

    def __init__(self, case):
        a = case["anatomy"]
        if a.get("centreline") is None:
            raise ValueError("this reference needs centreline points")
        if case.get("clock", {}).get("three_oclock_is") is None:
            raise ValueError("the hand of the clock is unanswered: every clock is unknown")
        self.line = Centreline(a["centreline"])
        self.lumen = Lumen(a["lumen"])
        self.ostia = sorted(a["ostia"], key=lambda o: o["station_mm"])
        self.vessels = {v["id"]: v for v in a.get("vessels", [])}
        self.keep_clear = a.get("keep_clear", [])
        self.first = self.ostia[0]["station_mm"]
        self.last = self.ostia[-1]["station_mm"]
        self._plane()
        self._carry()

    def _plane(self):
        line = self.line
        self.arch_from = max(self.first - PLANE_MARGIN_MM, line.start)
        self.arch_to = min(self.last + PLANE_MARGIN_MM, line.end)
        s = self.arch_from + np.arange(int(math.floor(self.arch_to - self.arch_from + 1e-9)) + 1)
        p = line.point(s)
        self.plane_point = p.mean(axis=0)
        _, spread, axes = np.linalg.svd(p - self.plane_point, full_matrices=False)
        self.normal = axes[2]
        self.plane_rms = spread[2] / math.sqrt(len(p))
        # One sign for the whole aorta: the curve bends away from its outer side over the arch.
        s = np.arange(self.arch_from, self.arch_to, 0.05)
        o = unit(np.cross(self.normal, line.tangent(s)))
        self.sign = -1.0 if np.trapezoid(dot(line.curvature_vector(s), o), s) > 0 else 1.0

    def frame(self, s):
        """Tangent, outer direction o and side direction b = T x o at stations s."""
        t = self.line.tangent(s)
        o = unit(self.sign * np.cross(self.normal, t))
        return t, o, np.cross(t, o)

    def _carry(self):
        """Carries a line without twist from the first ostium both ways."""
        _, o, _ = self.frame(self.first)
        at, c3, c2, c1, _ = self.line.spline.x.tolist(), *self.line.spline.c

        def rate(x, r):
            i = min(max(bisect.bisect(at, x) - 1, 0), len(c3) - 1)
            h = x - at[i]
            d1, d2 = (3 * h * c3[i] + 2 * c2[i]) * h + c1[i], 6 * h * c3[i] + 2 * c2[i]
            return -(d2 @ r) / (d1 @ d1) * d1  # T'.r = d2.r / |d1| while r is square to T

        self._carried = []
        x0 = float(self.line.parameter(self.first))
        for end in (self.line.start, self.line.end):
            x1 = float(self.line.parameter(end))
            if abs(x1 - x0) > 1e-9:
                run = solve_ivp(rate, (x0, x1), o, method="DOP853", rtol=1e-10, atol=1e-12, max_step=1.0, dense_output=True)
                self._carried.append((min(x0, x1), max(x0, x1), run.sol))

    def drift_deg(self, s):
        """Clock of the carried line less its clock at the first ostium."""
        x = self.line.parameter(s)
        r = np.zeros(np.shape(x) + (3,))
        for low, high, solution in self._carried:
            here = (x >= low - 1e-9) & (x <= high + 1e-9)
            r = np.where(here[..., None], np.moveaxis(solution(np.clip(x, low, high)), 0, -1), r)
        _, o, b = self.frame(s)
        return wrap_deg(np.degrees(np.arctan2(dot(r, b), dot(r, o))))

    def wall_point(self, s, clock_deg):
        """X(s, theta), LPS mm."""
        _, o, b = self.frame(s)
        th = math.radians(clock_deg)
        r = self.lumen.radius(s, clock_deg)
        return self.line.point(s) + np.asarray(r)[..., None] * (math.cos(th) * o + math.sin(th) * b)

    def wall_length(self, s_from, s_to, clock_deg):
        """Length along the wall at a fixed clock, signed: + if s_to lies downstream."""
        n = max(2, int(math.ceil(abs(s_to - s_from) / CHORD_STEP_MM)) + 1)
        x = self.wall_point(np.linspace(s_from, s_to, n), clock_deg)
        return math.copysign(float(np.sum(np.linalg.norm(np.diff(x, axis=0), axis=1))), s_to - s_from)

    def edge_station(self, ostium, downstream):
        """Station of an ostium's edge: where the wall length from its centre reaches half its length."""
        half = ostium["along_mm"] / 2
        s, clock = ostium["station_mm"], ostium["clock_deg"]
        way = 1 if downstream else -1
        return brentq(lambda d: abs(self.wall_length(s, s + way * d, clock)) - half, 1e-6, 6 * half, xtol=1e-6) * way + s

    def origin_to_edge(self, line, to_edge=True):
        """Length from station 0 to the first ostium's upstream edge (or centre) along a named line."""
        ostium = self.ostia[0]
        s = self.edge_station(ostium, False) if to_edge else ostium["station_mm"]
        return s if line == "centre" else self.wall_length(0.0, s, 0.0 if line == "outer" else 180.0)

    def ostium_of(self, vessel_id):
        """The ostium through which a vessel is fed."""
        by_id = {o["id"]: o for o in self.ostia}
        seen = set()
        while vessel_id in self.vessels and vessel_id not in seen:
            seen.add(vessel_id)
            vessel_id = self.vessels[vessel_id]["from"]
        return by_id.get(vessel_id)

    def takeoff(self, vessel_id):
        """Unit direction in which a vessel leaves the wall."""
        v, o = self.vessels[vessel_id], self.ostium_of(vessel_id)
        if v.get("takeoff_deg") is None or v.get("lean_deg") is None or v["from"] in self.vessels:
            return None
        t, out, side = self.frame(o["station_mm"])
        th, a, lean = (math.radians(q) for q in (o["clock_deg"], v["takeoff_deg"], v["lean_deg"]))
        e_r = math.cos(th) * out + math.sin(th) * side
        e_t = -math.sin(th) * out + math.cos(th) * side
        return math.cos(a) * t + math.sin(a) * (math.cos(lean) * e_r + math.sin(lean) * e_t)

    def nearest(self, p):
        """Station and clock of any point about the centreline, by looking at every point of it."""
        s = np.append(np.arange(self.line.start, self.line.end, SEARCH_STEP_MM), self.line.end)
        if not hasattr(self, "_cloud"):
            self._cloud = self.line.point(s)
        gap = np.linalg.norm(self._cloud - p, axis=1)
        i = int(np.argmin(gap))
        lo, hi = s[max(i - 1, 0)], s[min(i + 1, len(s) - 1)]
        for _ in range(40):  # ternary search between the neighbours
            a, b = lo + (hi - lo) / 3, hi - (hi - lo) / 3
            pa, pb = self.line.point(np.array([a, b]))
            lo, hi = (lo, b) if np.linalg.norm(pa - p) < np.linalg.norm(pb - p) else (a, hi)
        at = (lo + hi) / 2
        _, o, b = self.frame(at)
        d = np.asarray(p) - self.line.point(at)
        return at, math.degrees(math.atan2(dot(d, b), dot(d, o)))


# ---------------------------------------------------------------- graft and placement
def section_at(graft, u):
    """The section that holds u; at a border the upstream one."""
    for q in graft["sections"]:
        if q["from_u_mm"] <= u <= q["to_u_mm"]:
            return q
    return None


def diameter_at(graft, u):
    """Fabric diameter at u, linear along a section, held constant beyond the ends."""
    q = section_at(graft, min(max(u, graft["sections"][0]["from_u_mm"]), graft["sections"][-1]["to_u_mm"]))
    f = (u - q["from_u_mm"]) / (q["to_u_mm"] - q["from_u_mm"])
    f = min(max(f, 0.0), 1.0)
    return q["from_diameter_mm"] + f * (q["to_diameter_mm"] - q["from_diameter_mm"])


def fabric_radius(graft, u, clock_deg):
    """Distance of the fabric from the graft's axis at u and at the graft's own clock."""
    radius, q = diameter_at(graft, u) / 2, section_at(graft, u)
    off = q.get("offset_mm", 0) or 0
    turn = math.radians(clock_deg - (q.get("offset_clock_deg", 0) or 0))
    return off * math.cos(turn) + math.sqrt(radius**2 - (off * math.sin(turn)) ** 2)


class Lie:
    """A graft that lies on the centreline: which station each u has."""

    def __init__(self, anatomy, component, kept):
        self.anatomy, self.graft, self.kept = anatomy, component["graft"], kept
        place = component["placement"]
        held, s0 = place["held_u_mm"], place["station_mm"]
        length = self.graft["length_mm"]
        if kept == "axis":
            self.station = lambda u: s0 + (u - held)
        else:
            line = anatomy.line
            grid = np.arange(line.start, line.end, 0.02)
            kappa = np.linalg.norm(line.curvature_vector(grid), axis=-1)
            inscribed = anatomy.lumen.inscribed(grid)
            # Sections break the slope, so the solver never steps over their borders.
            borders = sorted({q[k] for q in self.graft["sections"] for k in ("from_u_mm", "to_u_mm")} | {0.0, length})

            def rate_in(middle):
                q = section_at(self.graft, middle)
                slope = (q["to_diameter_mm"] - q["from_diameter_mm"]) / (q["to_u_mm"] - q["from_u_mm"])

                def rate(u, s):
                    r = min((q["from_diameter_mm"] + slope * (u - q["from_u_mm"])) / 2, float(np.interp(s[0], grid, inscribed)))
                    return [1.0 / (1.0 + float(np.interp(s[0], grid, kappa)) * r)]

                return rate

            us, ss = [held], [s0]
            for stops in ([b for b in borders if b > held], [b for b in reversed(borders) if b < held]):
                u, s = held, s0
                for stop in stops:
                    out = np.linspace(u, stop, max(3, int(abs(stop - u) / 0.25)))
                    run = solve_ivp(rate_in((u + stop) / 2), (u, stop), [s], t_eval=out, rtol=1e-9, atol=1e-10, max_step=0.5)
                    us += list(run.t[1:])
                    ss += list(run.y[0][1:])
                    u, s = stop, run.y[0][-1]
            order = np.argsort(us)
            table = CubicSpline(np.array(us)[order], np.array(ss)[order])
            self.station = lambda u: float(table(u))
        self.edge, self.tail = self.station(0.0), self.station(length)
        # The placement's clock holds where the graft passes the first ostium; else at its held point.
        ref = anatomy.first if self.edge <= anatomy.first <= self.tail else s0
        self._turn = place["clock_deg"] - float(anatomy.drift_deg(ref))

    def clock(self, u, graft_clock_deg):
        """Clock about the centreline of a direction on the graft."""
        return float(wrap_deg(self._turn + float(self.anatomy.drift_deg(self.station(u))) + graft_clock_deg))

    def mouth(self, tunnel):
        """Point of a tunnel's mouth, LPS mm; None where the data do not reach."""
        s = self.station(tunnel["mouth_u_mm"])
        if not self.anatomy.line.start <= s <= self.anatomy.line.end:
            return None
        clock = self.clock(tunnel["mouth_u_mm"], tunnel["mouth_clock_deg"])
        r = min(fabric_radius(self.graft, tunnel["mouth_u_mm"], tunnel["mouth_clock_deg"]), float(self.anatomy.lumen.radius(s, clock)))
        _, o, b = self.anatomy.frame(s)
        th = math.radians(clock)
        return self.anatomy.line.point(s) + r * (math.cos(th) * o + math.sin(th) * b)


def tunnel_values(anatomy, component):
    """Everything asked of each tunnel, for each line that may keep its length."""
    kept = component["graft"].get("length_kept_by", "unknown")
    out = []
    for way in ("axis", "outer_line") if kept == "unknown" else (kept,):
        lie = Lie(anatomy, component, way)
        for t in component["graft"]["tunnels"]:
            row = {"component": component["id"], "id": t["id"], "serves": t["serves"], "lie": "middle", "length_kept_by": way}
            ostium, mouth = anatomy.ostium_of(t["serves"]), lie.mouth(t)
            if ostium is not None and mouth is not None:
                sign = 1 if t["flow"] == "antegrade" else -1
                so, th = ostium["station_mm"], ostium["clock_deg"]
                s, clock = anatomy.nearest(mouth)
                offset = anatomy.wall_length(s, so, th)
                row.update(
                    mouth_lps_mm=[float(q) for q in mouth], mouth_station_mm=s, mouth_clock_deg=clock,
                    offset_mm=offset, clearance_mm=sign * offset, clearance_centreline_mm=sign * (so - s),
                    clock_error_deg=float(wrap_deg(clock - th)))
                row["clock_error_wall_mm"] = float(anatomy.lumen.radius(so, th)) * math.radians(row["clock_error_deg"])
                row["straight_mm"] = float(np.linalg.norm(anatomy.wall_point(so, th) - mouth))
                if t.get("mouth_along_mm") is not None and ostium.get("along_mm") is not None:
                    row["edge_clearance_mm"] = row["clearance_mm"] - (t["mouth_along_mm"] + ostium["along_mm"]) / 2
            out.append(row)
    return out


def keep_clear_values(anatomy, component):
    """Wall length from the rim of each point that must stay free to the proximal fabric edge, at the point's clock; None where
    the edge lies upstream of it: fabric may cover it, and this reference does not look."""
    edge = Lie(anatomy, component, "axis").edge
    if component["placement"]["held_u_mm"] != 0 or edge < anatomy.line.start:
        return {}
    out = {}
    for q in anatomy.keep_clear:
        free = q["station_mm"] <= edge and q.get("radius_mm") is not None and q.get("clock_deg") is not None
        out[q["id"]] = anatomy.wall_length(q["station_mm"], edge, q["clock_deg"]) - q["radius_mm"] if free else None
    return out


class Reference:
    """All reference values of one case."""

    def __init__(self, case):
        self.case = case
        self.anatomy = Anatomy(case)
        placed = [c for c in case.get("components", []) if c.get("graft") and c.get("placement")]
        self.tunnels = [row for c in placed for row in tunnel_values(self.anatomy, c)]
        # The graft that reaches furthest upstream decides.
        self.keep_clear = keep_clear_values(self.anatomy, min(placed, key=lambda c: c["placement"]["station_mm"])) if placed else {}

    def text(self):
        """The values as a page of text."""
        a, line = self.anatomy, self.anatomy.line
        n = a.normal
        rows = [
            f"  centreline: length {line.length:.3f} (points {line.input_length:.3f}), stations {line.start:.3f} to {line.end:.3f}, "
            f"residual rms {math.sqrt(np.mean(line.residual**2)):.4f} max {line.residual.max():.4f}",
            f"  arch plane: normal ({n[0]:.4f}, {n[1]:.4f}, {n[2]:.4f}), rms {a.plane_rms:.3f}, stations {a.arch_from:.2f} to {a.arch_to:.2f}",
        ]
        if line.origin_marked and a.ostia[0].get("along_mm"):
            rows.append("  origin to first ostium's edge: " + ", ".join(f"{k} {a.origin_to_edge(k):.3f}" for k in ("inner", "centre", "outer")))
        for o in a.ostia:
            p = a.wall_point(o["station_mm"], o["clock_deg"])
            rows.append(f"  ostium {o['id']}: station {o['station_mm']:.2f} clock {o['clock_deg']:.1f} wall ({p[0]:.3f}, {p[1]:.3f}, {p[2]:.3f}) drift {a.drift_deg(o['station_mm']):.2f}")
        for t in self.tunnels:
            head = f"  {t['component']}/{t['id']} -> {t['serves']} {t['length_kept_by']:>10}: "
            if "mouth_station_mm" not in t:
                rows.append(head + "unknown")
                continue
            edge = f"{t['edge_clearance_mm']:8.3f}" if "edge_clearance_mm" in t else " unknown"
            rows.append(head + f"mouth s {t['mouth_station_mm']:8.3f} clock {t['mouth_clock_deg']:8.3f} | clearance {t['clearance_mm']:8.3f} edge {edge} "
                        f"centreline {t['clearance_centreline_mm']:8.3f} | clock error {t['clock_error_deg']:8.3f} deg {t['clock_error_wall_mm']:7.3f} mm | straight {t['straight_mm']:.3f}")
        for name, distance in self.keep_clear.items():
            rows.append(f"  keep clear {name}: {'not looked at' if distance is None else f'{distance:.3f} mm of wall to the fabric'}")
        return "\n".join(rows)


def load(path):
    """A case file as it stands."""
    with open(path, encoding="utf-8") as f:
        return json.load(f)


def main():
    for path in sys.argv[1:]:
        print(path)
        print(Reference(load(path)).text())


if __name__ == "__main__":
    main()
