#!/usr/bin/env python3
"""Works out every value of tests/reference/check_values.json from first principles.

The table is what the library's own tests compare with; here it is shown to be right without the library.
Each value is computed by the function that carries its key; a key without a function, or a function
without a key, is a failure.

    python3 tests/oracles/test_check_values.py

Needs numpy and scipy. Units: mm and radians unless a key says otherwise.
"""
import json
import math
import pathlib
import sys

import numpy as np
from scipy import integrate, interpolate, optimize, special

import outside
from checks import roughness

TABLE = pathlib.Path(__file__).resolve().parent.parent / "reference" / "check_values.json"
VALUES = {}


def gives(prefix, found):
    """Notes computed values under `prefix.`."""
    for key, value in found.items():
        VALUES[f"{prefix}.{key}"] = float(value)


def wrap(a):
    """The same angle in (-pi, pi]."""
    return math.pi - (math.pi - a) % (2 * math.pi)


class Curve:
    """A curve whose coordinates are sums of amplitude * cos(frequency t + phase), plus drift * t."""

    def __init__(self, x, y, z, end, rise=0.0):
        self.terms, self.end, self.rise = (x, y, z), end, rise

    def __call__(self, t, k=0):
        """k-th derivative at t, (..., 3)."""
        t = np.asarray(t, float)
        out = np.stack([sum((a * f**k * np.cos(f * t + p + k * math.pi / 2) for a, f, p in c), np.zeros_like(t)) for c in self.terms], axis=-1)
        out[..., 2] += self.rise * t if k == 0 else self.rise if k == 1 else 0.0
        return out

    def bend(self, t):
        """Curvature, torsion and speed."""
        d1, d2, d3 = self(t, 1), self(t, 2), self(t, 3)
        c = np.cross(d1, d2)
        speed, area = np.linalg.norm(d1, axis=-1), np.linalg.norm(c, axis=-1)
        return area / speed**3, np.sum(c * d3, axis=-1) / area**2, speed

    def frenet(self, t):
        """Tangent, principal normal, binormal."""
        d1, d2 = self(t, 1), self(t, 2)
        tangent = d1 / np.linalg.norm(d1, axis=-1, keepdims=True)
        b = np.cross(d1, d2)
        b /= np.linalg.norm(b, axis=-1, keepdims=True)
        return tangent, np.cross(b, tangent), b

    def total(self, f, panels=400):
        """Integral of f(t) over the whole curve."""
        x, w = np.polynomial.legendre.leggauss(12)
        edge = np.linspace(0, self.end, panels + 1)
        half = (edge[1] - edge[0]) / 2
        return float(np.sum(f((edge[:-1, None] + half * (1 + x)).ravel()).reshape(panels, -1) * w) * half)

    def carried(self, start, rho=0.0):
        """The normal `start` carried to the end, and the length of the line rho along it."""
        def rate(t, y):
            d1, d2 = self(t, 1), self(t, 2)
            g = np.dot(d2, y[:3]) / np.dot(d1, d1)
            return np.concatenate([-g * d1, [np.linalg.norm(d1) * abs(1 - rho * np.dot(d2, y[:3]) / np.dot(d1, d1))]])
        y = integrate.solve_ivp(rate, (0, self.end), np.concatenate([start, [0.0]]), method="DOP853", rtol=1e-13, atol=1e-13, max_step=self.end / 200).y[:, -1]
        return y[:3], y[3]

    def double_reflection_error(self, steps, exact):
        """Error at the end of the double reflection (Wang et al., ACM TOG 27, 2008), from the Frenet normal."""
        t = np.linspace(0, self.end, steps + 1)
        x, tangent = self(t), self.frenet(t)[0]
        r = self.frenet(0.0)[1]
        for i in range(steps):
            v = x[i + 1] - x[i]
            rl = r - 2 / (v @ v) * (v @ r) * v
            tl = tangent[i] - 2 / (v @ v) * (v @ tangent[i]) * v
            v = tangent[i + 1] - tl
            r = rl - (2 / (v @ v) * (v @ rl) * v if v @ v > 0 else 0)
        _, n, b = self.frenet(self.end)
        return abs(wrap(math.atan2(r @ b, r @ n) - exact))


def cosine(a, f):
    return (a, f, 0.0)


def sine(a, f):
    return (a, f, -math.pi / 2)


def polyline(points):
    """Length of the curve through evenly sampled points: chords, Richardson's step."""
    def chords(p):
        return float(np.sum(np.linalg.norm(np.diff(p, axis=0), axis=1)))
    return (4 * chords(points) - chords(points[::2])) / 3


def helix():
    one, more = (Curve([cosine(20, 1)], [sine(20, 1)], [], 2 * math.pi * n, rise=5) for n in (1, 1.25))
    kappa, tau, _ = one.bend(0.7)
    n0 = more.frenet(0.0)[1]
    end, _ = more.carried(n0)
    _, n1, b1 = more.frenet(more.end)
    turn = math.atan2(end @ b1, end @ n1)
    exact = -tau * more.total(lambda t: more.bend(t)[2])
    found = {"curvature": kappa, "torsion": tau, "length_1_25_turns": more.total(lambda t: more.bend(t)[2]), "carried_normal_1_25_turns_rad": turn}
    # The tangent runs round a circle of latitude; the area of its cap.
    tz = one.frenet(0.0)[0][2]
    found["indicatrix_area_1_turn"] = 2 * math.pi * (1 - tz)
    back, _ = one.carried(one.frenet(0.0)[1])
    _, n, b = one.frenet(one.end)
    found["holonomy_1_turn_rad"] = math.atan2(back @ b, back @ n)
    t = np.linspace(0, one.end, 20001)
    normal = one.frenet(t)[1]
    found["wall_frenet_inner_1_turn"], found["wall_frenet_outer_1_turn"] = polyline(one(t) + 6 * normal), polyline(one(t) - 6 * normal)
    found["wall_carried_from_outer_1_turn"] = one.carried(-one.frenet(0.0)[1], 6.0)[1]
    errors = [more.double_reflection_error(k, exact) for k in (20, 40, 80, 160, 320)]
    found.update({f"double_reflection_error_{k}_steps_rad": e for k, e in zip((20, 40, 80, 160, 320), errors)})
    gives("helix", found)
    return [(f"helix: error falls {a / b:.2f}-fold when the step halves (at least 14)", a / b >= 14) for a, b in zip(errors, errors[1:])]


def arc():
    big, small = 40.0, 15.0
    u = np.linspace(0, math.pi, 20001)
    found = {}
    for deg in (0, 30, 60, 90, 120, 150, 180):
        rho = big + small * math.cos(math.radians(deg))
        found[f"wall_length_{deg}_deg"] = polyline(np.stack([rho * np.cos(u), rho * np.sin(u)], axis=-1))
    found["area"] = integrate.dblquad(lambda v, p: small * (big + small * math.cos(p)), 0, 2 * math.pi, 0, math.pi, epsabs=1e-8)[0]
    found["volume"] = integrate.dblquad(lambda q, p: math.pi * q * (big + q * math.cos(p)), 0, 2 * math.pi, 0, small, epsabs=1e-8)[0]
    found["gauss_curvature_outer"], found["gauss_curvature_inner"] = 1 / (small * (big + small)), -1 / (small * (big - small))
    for name, sign in (("outer", 1), ("inner", -1)):
        rho = big + sign * (16 - 4 * u / math.pi)
        found["taper_" + name] = polyline(np.stack([rho * np.cos(u), rho * np.sin(u)], axis=-1))
    # Geodesic by shooting: unit-speed start direction and length that hit the far point.
    u0, p0, u1, p1 = 0.0, math.radians(30), math.radians(25), math.radians(-40)

    def rate(_, y):
        a, da, p, dp = y
        q = big + small * math.cos(p)
        return [da, 2 * small * math.sin(p) / q * da * dp, dp, -q * math.sin(p) / small * da * da]

    def shoot(v):
        direction, length = v
        start = [u0, math.cos(direction) / (big + small * math.cos(p0)), p0, math.sin(direction) / small]
        return integrate.solve_ivp(rate, (0, length), start, rtol=1e-12, atol=1e-13, method="DOP853").y[:, -1]
    best = optimize.fsolve(lambda v: shoot(v)[[0, 2]] - [u1, p1], [-0.8, 30.0], xtol=1e-14)
    found["geodesic"], found["clairaut"] = best[1], (big + small * math.cos(p0)) * math.cos(best[0])
    found["midpoint_metric_line"] = math.hypot((big + small * math.cos((p0 + p1) / 2)) * (u1 - u0), small * (p1 - p0))
    ends = [np.array([(big + small * math.cos(p)) * math.cos(a), (big + small * math.cos(p)) * math.sin(a), small * math.sin(p)]) for a, p in ((u0, p0), (u1, p1))]
    found["chord"] = np.linalg.norm(ends[1] - ends[0])
    gives("arc", found)
    return []


def writhe(curve, outer=600, inner=600):
    """Gauss's double integral: even steps along the curve, Gauss points in the offset."""
    x, w = np.polynomial.legendre.leggauss(inner)
    off, w = (x + 1) * math.pi, w * math.pi
    t = np.arange(outer) * 2 * math.pi / outer
    a, da, total = curve(t), curve(t, 1), 0.0
    for o, weight in zip(off, w):
        d = a - curve(t + o)
        total += weight * np.sum(np.sum(d * np.cross(da, curve(t + o, 1)), axis=-1) / np.linalg.norm(d, axis=-1) ** 3)
    return total * 2 * math.pi / outer / (4 * math.pi)


def closed_curves():
    full, out = 2 * math.pi, []
    knot = Curve([cosine(40, 2), cosine(7.5, 5), cosine(7.5, 1)], [sine(40, 2), sine(7.5, 5), sine(-7.5, 1)], [sine(15, 3)], full)
    ring = Curve([cosine(40, 1)], [sine(40, 1)], [sine(12, 2), cosine(8, 3)], full)
    saddle = Curve([cosine(40, 1)], [sine(40, 1)], [cosine(12, 2)], full)
    for name, curve in (("trefoil", knot), ("ring", ring), ("saddle", saddle)):
        n0 = curve.frenet(0.0)[1]
        end, _ = curve.carried(n0)
        _, n, b = curve.frenet(full)
        kappa = curve.bend(np.linspace(0, full, 20001))[0]
        torsion = curve.total(lambda t: curve.bend(t)[1] * curve.bend(t)[2])
        wr = writhe(curve)
        gives(name, {"length": curve.total(lambda t: curve.bend(t)[2]), "total_curvature_rad": curve.total(lambda t: curve.bend(t)[0] * curve.bend(t)[2]),
                     "total_torsion_rad": torsion, "writhe": wr, "holonomy_rad": math.atan2(end @ b, end @ n), "curvature_max": kappa.max(), "curvature_min": kappa.min()})
        whole = wr + torsion / full
        out.append((f"{name}: writhe plus torsion over 2 pi is a whole number ({whole:.10f})", abs(whole - round(whole)) < 1e-8))
        if name == "trefoil":
            near = optimize.minimize(lambda q: np.sum((curve(q[0]) - curve(q[1])) ** 2), [math.pi / 6 - 0.02, math.pi / 6 + math.pi + 0.02], method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-18, "maxiter": 4000})
            errors = [curve.double_reflection_error(k, wrap(-torsion)) for k in (100, 200, 400)]
            gives(name, {"linking": whole, "strand_distance": math.sqrt(near.fun), **{f"double_reflection_error_{k}_steps_rad": e for k, e in zip((100, 200, 400), errors)}})
            out += [(f"trefoil: error falls {a / b:.2f}-fold when the step halves (at least 14)", a / b >= 14) for a, b in zip(errors, errors[1:])]
    return out


def open_arch():
    curve = Curve([cosine(-40, 1)], [sine(8, 2), cosine(5, 3)], [sine(42, 1), sine(4, 2)], math.pi)
    found = {"length": curve.total(lambda t: curve.bend(t)[2])}
    for deg in (0, 45, 90):
        found[f"curvature_{deg}_deg"], found[f"torsion_{deg}_deg"], _ = curve.bend(math.radians(deg))
    found["total_curvature_rad"] = curve.total(lambda t: curve.bend(t)[0] * curve.bend(t)[2])
    found["total_torsion_rad"] = curve.total(lambda t: curve.bend(t)[1] * curve.bend(t)[2])
    n0 = curve.frenet(0.0)[1]
    end, found["wall_carried_from_inner"] = curve.carried(n0, 15.0)
    _, found["wall_carried_from_outer"] = curve.carried(-n0, 15.0)
    _, n, b = curve.frenet(math.pi)
    found["carried_end_angle_rad"] = math.atan2(end @ b, end @ n)
    found.update({f"carried_end_{axis}": v for axis, v in zip("xyz", end)})
    t = np.linspace(0, math.pi, 40001)
    normal = curve.frenet(t)[1]
    found["wall_frenet_outer"], found["wall_frenet_inner"] = polyline(curve(t) - 15 * normal), polyline(curve(t) + 15 * normal)
    found["curvature_times_radius_max"] = 15 * curve.bend(np.linspace(0, math.pi, 2001))[0].max()
    gives("arch", found)
    return []


def footprints():
    tube, vessel, lean = 15.0, 5.0, math.radians(60)

    def rim(a):
        """Where the vessel's ruling at angle a meets the tube: station and clock."""
        x = np.sqrt(tube**2 - (vessel * np.sin(a)) ** 2)
        return (x * math.cos(lean) - vessel * np.cos(a)) / math.sin(lean), np.arctan2(vessel * np.sin(a), x)
    a = np.linspace(0, 2 * math.pi, 200001)
    z, phi = rim(a)
    m = (vessel / tube) ** 2
    closed = 4 * tube**2 / math.sin(lean) * (special.ellipe(m) - (1 - m) * special.ellipk(m))
    gives("footprint", {"clock_half_width_rad": phi.max(), "clock_half_width_hours": phi.max() * 6 / math.pi, "from": z.min(), "to": z.max(), "area": closed,
                        "rim": polyline(np.stack([z, tube * phi], axis=-1))})
    contour = 0.5 * abs(np.sum(tube * phi[:-1] * z[1:] - tube * phi[1:] * z[:-1]))
    out = [(f"footprint: area by polygon ({contour:.8f}) and by elliptic integrals agree", abs(contour - closed) < 1e-6)]

    big, small, rho = 40.0, 15.0, 5.0
    half = optimize.brentq(lambda q: (big + small) * math.sin(q) - rho, 0, 0.5, xtol=1e-15)
    side = optimize.brentq(lambda q: small * math.sin(q) - rho, 0, 1, xtol=1e-15)
    gives("footprint_torus", {"half_angle_rad": half, "half_length_centre": big * half, "half_length_outer": (big + small) * half, "clock_half_width_rad": side})

    tilt, rho = math.radians(30), 4.0
    along, across = np.array([math.cos(tilt), math.sin(tilt), 0]), np.array([-math.sin(tilt), math.cos(tilt), 0])

    def hit(q):
        start = np.array([big + small, 0, 0]) + rho * (math.cos(q) * across + math.sin(q) * np.array([0, 0, 1.0]))

        def outside(w):
            p = start + w * along
            return math.hypot(math.hypot(p[0], p[1]) - big, p[2]) - small
        p = start + optimize.brentq(outside, -6, 6, xtol=1e-14) * along
        return math.atan2(p[1], p[0]), math.atan2(p[2], math.hypot(p[0], p[1]) - big)

    def most(f, guess):
        return -optimize.minimize_scalar(lambda q: -f(q), bounds=(guess - 0.4, guess + 0.4), method="bounded", options={"xatol": 1e-10}).fun
    last, first = most(lambda q: hit(q)[0], 0.0), -most(lambda q: -hit(q)[0], math.pi)
    fifty = hit(math.radians(50))
    gives("footprint_leaning", {"from_rad": first, "to_rad": last, "span_centre": big * (last - first), "span_outer": (big + small) * (last - first),
                                "clock_half_width_rad": most(lambda q: hit(q)[1], math.pi / 2), "rim_50_deg_along_rad": fifty[0], "rim_50_deg_clock_rad": fifty[1]})
    return out


def clock():
    across, up = np.array([0.5, math.sqrt(3) / 2, 0]), np.array([0, 0, 1.0])

    def at(t):
        return 40 * (-math.cos(t) * across + math.sin(t) * up), math.sin(t) * across + math.cos(t) * up, -math.cos(t) * across + math.sin(t) * up
    c, tangent, outer = at(math.radians(100))
    side = np.cross(tangent, outer)
    p = c + 15 * (math.cos(math.radians(20)) * outer + math.sin(math.radians(20)) * side)
    place = optimize.minimize_scalar(lambda t: np.sum((at(t)[0] - p) ** 2), bounds=(1.2, 2.2), method="bounded", options={"xatol": 1e-12}).x
    place = optimize.brentq(lambda t: (p - at(t)[0]) @ at(t)[1], place - 0.1, place + 0.1, xtol=1e-15)
    c, tangent, outer = at(place)
    angle = math.degrees(math.atan2((p - c) @ np.cross(tangent, outer), (p - c) @ outer))
    gives("clock", {**{f"side_{k}": v for k, v in zip("xyz", side)}, **{f"ostium_{k}": v for k, v in zip("xyz", p)}, "station": 40 * place, "angle_deg": angle,
                    "hours": 12 + angle / 30, "second_hours": (-0.6 * 6 / math.pi) % 12})
    return []


def spline():
    x = np.array([0, 1, 2.5, 3, 4, 5.5, 6, 7, 8.5, 9, 10, 12.0])
    y = np.array([0.1, 0.9, 2.2, 2.1, 3.4, 3.9, 4.4, 4, 3.1, 3.3, 2, 0.4])
    # Dense form of Reinsch: fit = (I + lambda Q R^-1 Q')^-1 y.
    n, (q, r) = len(x), roughness(x)

    def influence(lam):
        return np.linalg.inv(np.eye(n) + lam * q @ np.linalg.solve(r, q.T))

    def score(lam):
        a = influence(lam)
        return float(n * np.sum((y - a @ y) ** 2) / (n - np.trace(a)) ** 2)
    f = interpolate.CubicSpline(x, influence(2.0) @ y, bc_type="natural")
    best = optimize.minimize_scalar(lambda k: score(math.exp(k)), bounds=(0.3, 1.1), method="bounded", options={"xatol": 1e-9})
    other = interpolate.make_smoothing_spline(x, y, lam=2.0)
    # Arc of radius 40 in 1 mm steps, far from the ends.
    s = np.arange(-250, 251.0)
    p = np.stack([40 * np.cos(s / 40), 40 * np.sin(s / 40)], axis=-1)
    middle = [float(interpolate.make_smoothing_spline(s, v, lam=6.0**4)(0.0)) for v in p.T]
    gives("spline", {"f_0": f(0), "f_4": f(4), "f_5": f(5), "df_5": f(5, 1), "f_8_5": f(8.5), "f_12": f(12), "ddf_4": f(4, 2), "ddf_8_5": f(8.5, 2), "gcv": score(2.0),
                     "trace": np.trace(influence(2.0)), "gcv_best_lambda": math.exp(best.x), "gcv_best_score": best.fun, "arc_radius": 40 / (1 + (6 / 40) ** 4)})
    return [("spline: dense form and scipy agree to 1e-12", max(abs(other(x) - f(x))) < 1e-12),
            (f"spline: radius found on the arc {math.hypot(*middle):.9f}", abs(math.hypot(*middle) - 40 / (1 + (6 / 40) ** 4)) < 1e-7)]


def worked_arch():
    """Straight to 30, then radius 40 over half a turn; lumen 34; graft edge at 8."""
    names, mouths, ostia, ways = ("ia", "lcca", "lsa"), (42, 58, 117), (70, 85, 103), (1, 1, -1)

    def outer_length(s):
        return s + 17 / 40 * min(max(s - 30, 0), math.pi * 40)
    for key, station in (("p1", lambda u: 8 + u), ("p2", lambda u: optimize.brentq(lambda s: outer_length(s) - outer_length(8) - u, 8, 300))):
        at = [station(u) for u in mouths]
        for name, s, o, way in zip(names, at, ostia, ways):
            gives(key, {f"mouth_station_{name}": s, f"clearance_centreline_{name}": way * (o - s)})
            if key == "p1":
                gives(key, {f"clearance_wall_{name}": way * (outer_length(o) - outer_length(s)), f"shifted_clearance_centreline_{name}": way * (o - s + 5)})
    gives("p1", {"third_called_antegrade": 103 - 125})
    gives("p3", {"half_hour_deg": 30 / 2, "wall_of_30_deg": 17 * math.pi / 6})
    lengths = {}
    for name, straight, radius, half, edge in (("first", 30, 40, 17, 63), ("second", 15, 30, 18, 55)):
        lengths[name + "_inner"] = straight + (edge - straight) * (radius - half) / radius
        lengths[name + "_outer"] = straight + (edge - straight) * (radius + half) / radius
    gives("p4", {**lengths, "first_ostium_centre": 63 + 7 * 40 / 57})
    gives("p5", {"oversize_percent": 100 * (42 - 37.2) / 37.2, **{f"margin_at_{str(d).replace('.', '_')}": 38 - d for d in (36.0, 37.2, 38.0, 38.4)}})
    return []


def published():
    def wall(deg, diameter):
        return math.radians(deg) * diameter / 2
    gives("published", {"clock_25_deg_34_2": wall(25, 34.2), "clock_2_5_deg_33_3": wall(2.5, 33.3), "clock_14_deg_34": wall(14, 34), "turn_15_deg_34": wall(15, 34), "turn_25_deg_34": wall(25, 34),
                        "curvature_times_diameter_a": 0.040 * 35.7, "curvature_times_diameter_b": 0.031 * 32.2, "equivalent_diameter": math.sqrt(4 * 1002 / math.pi),
                        "radius_inner": 1 / 0.040, "radius_middle": 1 / 0.040 + 35.7 / 2, "radius_outer": 1 / 0.040 + 35.7,
                        "oversize_38_on_34": 100 * 4 / 34, "taper_percent": 100 * (31.8 - 23.9) / 31.8})
    return []


def main():
    table = json.loads(TABLE.read_text(encoding="utf-8"))
    passed, missed = 0, []
    for part in (helix, arc, closed_curves, open_arch, footprints, clock, spline, worked_arch, published):
        for said, good in part():
            passed += bool(good)
            if not good:
                missed.append(said)
    for key, row in table.items():
        if set(row) != {"value", "unit", "source", "accuracy"}:
            missed.append(f"{key}: its fields are {sorted(row)}")
        elif key not in VALUES:
            missed.append(f"{key}: nothing here computes it")
        elif not abs(VALUES[key] - row["value"]) <= row["accuracy"]:
            missed.append(f"{key}: computed {VALUES[key]:.13g}, table {row['value']:.13g}, accuracy {row['accuracy']:g}")
        else:
            passed += 1
        if key in VALUES and "value" in row:
            outside.compared("the table of check values, worked out again (tests/oracles/test_check_values.py)", f"{key}: {key.partition('.')[0]}", abs(VALUES[key] - row["value"]), row["accuracy"], beside=True)
    missed += [f"{key}: computed {VALUES[key]:.13g} but not in the table" for key in VALUES if key not in table]
    for line in missed:
        print("MISS", line)
    print(f"{passed} passed, {len(missed)} failed")
    return 1 if missed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
