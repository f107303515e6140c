#!/usr/bin/env python3
"""Writes the demo cases, the demo grafts and the worked arches of the tests.

Everything here is invented. No case is a person's anatomy and no graft is a maker's: the sizes were
chosen so that each case shows one thing. The curves follow published averages of the arch (length, width,
spacing and clock of the vessels), no single CT.

    python3 demo-data/make_demos.py            writes the files
    python3 demo-data/make_demos.py --check    says whether the files are as this script writes them

It needs Python alone. The noise on the points comes from a fixed seed, so two runs give the same bytes.
Axes: DICOM LPS, mm. The arch plane stands about 50 degrees from straight back towards the patient's left.
"""
import json
import math
import pathlib
import random
import sys

HERE = pathlib.Path(__file__).resolve().parent
REFERENCE = HERE.parent / "tests" / "reference"
SETS = HERE.parent / "crate" / "core" / "src" / "rules" / "sets"
UNSOURCED = "common practice, no source"
PLANE_DEG = 50.0


# ---------------------------------------------------------------- curves
def smooth(knots, s):
    """Value at s of a smooth curve through (s, value) knots: cubic pieces, slopes from the neighbours."""
    xs, ys = [k[0] for k in knots], [k[1] for k in knots]
    if s <= xs[0]:
        return ys[0]
    if s >= xs[-1]:
        return ys[-1]
    i = max(j for j in range(len(xs) - 1) if xs[j] <= s)
    slope = []
    for j in (i, i + 1):
        a, b = max(j - 1, 0), min(j + 1, len(xs) - 1)
        slope.append((ys[b] - ys[a]) / (xs[b] - xs[a]))
    h = xs[i + 1] - xs[i]
    f = (s - xs[i]) / h
    return ((2 * f**3 - 3 * f**2 + 1) * ys[i] + (f**3 - 2 * f**2 + f) * h * slope[0]
            + (3 * f**2 - 2 * f**3) * ys[i + 1] + (f**3 - f**2) * h * slope[1])


def trace(heading, lean, start, end, step=0.05):
    """Curve from its direction: `heading` turns from straight up (0) over back-left (90) to straight
    down (180) in the arch plane, `lean` out of that plane to the front-left; degrees by station."""
    p = math.radians(PLANE_DEG)
    across, aside = (math.sin(p), math.cos(p), 0.0), (math.cos(p), -math.sin(p), 0.0)

    def direction(s):
        a, b = math.radians(smooth(heading, s)), math.radians(smooth(lean, s))
        return tuple(math.cos(b) * (math.sin(a) * across[k] + (math.cos(a) if k == 2 else 0.0)) + math.sin(b) * aside[k] for k in range(3))

    n = round((end - start) / step)
    at, points = [0.0, 0.0, 0.0], []
    for i in range(n + 1):
        points.append((start + i * step, tuple(at)))
        d = direction(start + (i + 0.5) * step)
        at = [at[k] + step * d[k] for k in range(3)]
    # The junction (s = 0) is put where it lies in a patient whose isocentre is near the spine.
    zero = min(points, key=lambda q: abs(q[0]))[1]
    return [(s, tuple(q[k] - zero[k] + (-18.0, -42.0, -35.0)[k] for k in range(3))) for s, q in points]


def measured(curve, seed, spacing=2.0, jitter=0.3, noise=0.25):
    """Points as a CT gives them: a little uneven, a little noisy; and where along them s = 0 lies."""
    rng = random.Random(seed)
    wanted, s = [], curve[0][0]
    while s <= curve[-1][0]:
        wanted.append(s)
        s += spacing + rng.uniform(-jitter, jitter)
    step = curve[1][0] - curve[0][0]
    points, stations = [], []
    for s in wanted:
        i = min(round((s - curve[0][0]) / step), len(curve) - 1)
        stations.append(curve[i][0])
        points.append([round(c + rng.gauss(0, noise), 3) for c in curve[i][1]])
    return points, length_along(points, stations, 0.0)


def length_along(points, stations, s):
    """Arc length along the points at which a station lies."""
    total = 0.0
    for a, b, sa, sb in zip(points, points[1:], stations, stations[1:]):
        gap = math.dist(a, b)
        if sa <= s <= sb:
            return round(total + gap * (s - sa) / (sb - sa), 3)
        total += gap
    raise ValueError("the station lies outside the points")


# ---------------------------------------------------------------- parts of a case
def oval(station, largest, smallest, clock):
    return {"station_mm": station, "kind": "max_min", "largest_mm": largest, "smallest_mm": smallest, "largest_clock_deg": clock}


def area(station, diameter):
    return {"station_mm": station, "kind": "area", "diameter_mm": diameter}


def contour(station, radii):
    return {"station_mm": station, "kind": "contour", "radii_mm": radii}


def ostium(name, station, clock, across, takeoff):
    """An opening as long on the wall as a vessel of that width leaving at that angle makes it."""
    return {"id": name, "station_mm": station, "clock_deg": clock, "along_mm": round(across / math.sin(math.radians(takeoff)), 1), "across_mm": across}


def vessel(name, origin, takeoff, lean, widths, branch, carries, **more):
    return {"id": name, "from": origin, "at_mm": 0, "takeoff_deg": takeoff, "lean_deg": lean,
            "diameters": [{"at_mm": at, "diameter_mm": d} for at, d in widths],
            "to_first_branch_mm": branch, "healthy_from_mm": more.pop("healthy_from_mm", 0), "fed_from": more.pop("fed_from", "true_lumen"),
            "carries": carries, **more, "needs": more.pop("needs", "normal")}


RIGHT = ["right_carotid", "right_vertebral", "right_mammary"]
LEFT = ["left_vertebral", "left_mammary"]


def coronaries(right_station, left_station):
    return [{"id": "rca", "kind": "coronary", "side": "right", "station_mm": right_station, "clock_deg": 48, "radius_mm": 2},
            {"id": "lca", "kind": "coronary", "side": "left", "station_mm": left_station, "clock_deg": 152, "radius_mm": 2.5}]


def errors():
    return {"entered_by_user": False, "axial_mean_mm": 0, "axial_sd_mm": 4,
            "rotation": {"kind": "mixture", "mean_deg": 0, "small_sd_deg": 8, "large_sd_deg": 25, "large_share": 0.35},
            "diameter_sd_mm": 1.5, "station_sd_mm": 2, "clock_sd_deg": 5, "takeoff_sd_deg": 8, "source": "from memory"}


def rules(with_bend):
    def rule(name, measure, at_least, at_most, unit, line=None, to=None, of="each"):
        return {"id": name, "measure": measure, "of": of, "when": {}, "line": line, "to": to,
                "at_least": at_least, "at_most": at_most, "unit": unit, "required": True, "source": UNSOURCED}
    return [rule("r1", "tunnel.edge_clearance_mm", 5, 50, "mm", to="edge"),
            rule("r2", "tunnel.clock_error_deg", None, 45, "deg"),
            rule("r3", "graft.proximal_oversize_percent", 10, 20, "percent", of="arch"),
            rule("r4", "keep_clear.distance_mm", 0, None, "mm"),
            rule("r5", "anatomy.origin_to_first_ostium_mm", 40, None, "mm", line="inner", to="edge"),
            *([rule("r6", "tunnel.bend_over_limit_mm", 0, None, "mm")] if with_bend else [])]


def stock():
    """Invented sizes of bridging stents."""
    return {"stent_lengths_mm": [40, 60, 80, 100, 120], "stent_diameters_mm": [8, 9, 10, 11, 12, 13, 14, 15], "least_bend_radius_mm": 5}


def tunnel(name, serves, flow, u, clock, mouth, diameter, length, wired_from, rise=15):
    return {"id": name, "serves": serves, "flow": flow, "mouth_u_mm": u, "mouth_clock_deg": clock, "mouth_along_mm": mouth[0], "mouth_across_mm": mouth[1],
            "diameter_mm": diameter, "length_mm": length, "rise_deg": rise, "side_deg": 0, "wired_from": wired_from}


def graft(label, sections, tunnels, **more):
    """A graft from its sections (to_u, from_diameter, to_diameter, seals)."""
    parts, u = [], 0
    for to, a, b, seals in sections:
        parts.append({"from_u_mm": u, "to_u_mm": to, "from_diameter_mm": a, "to_diameter_mm": b, "offset_mm": 0, "offset_clock_deg": 0, "covered": True, "seals": seals})
        u = to
    return {"label": label, "length_mm": u, "length_kept_by": more.get("length_kept_by", "unknown"), "carrier_outer_mm": more.get("carrier", 7.7),
            "tip_length_mm": more.get("tip", 33), "turns_itself": more.get("turns_itself"), "sections": parts, "tunnels": tunnels, "fenestrations": [], "scallops": [],
            "markers": [{"name": "proximal edge, reference line", "u_mm": 0, "clock_deg": 0}] + [{"name": "mouth of " + t["id"], "u_mm": t["mouth_u_mm"], "clock_deg": t["mouth_clock_deg"]} for t in tunnels],
            "barbs": more.get("barbs", []), "maker_steps": {"u_mm": 1, "clock_deg": 7.5}}


def step(do, on=None, **more):
    """A step of the release."""
    return {"do": do, "on": on, **more}


def bridged(tunnel_id, access, sheath, minutes, view, **more):
    """A tunnel wired from an access through a sheath, then bridged."""
    return [step("catheterise", tunnel_id, from_access=access, sheath_outer_mm=sheath, minutes=minutes[0], view=view, **more), step("bridge", tunnel_id, minutes=minutes[1], view=view, **more)]


def procedure(*steps):
    return {"planned_on": None, "steps": list(steps)}


def component(name, kind, stage, piece, station, clock=0, held=0):
    return {"id": name, "kind": kind, "stage": stage, "graft": piece, "placement": {"held_u_mm": held, "station_mm": station, "clock_deg": clock}}


def plug(name, where, stage, at, diameter, length):
    return {"id": name, "kind": "plug", "stage": stage, "in": where, "at_mm": at, "diameter_mm": diameter, "length_mm": length}


def case(label, diagnosis, points, origin_at, anatomy, components, **more):
    return {"format": "extrados-case", "version": 1, "label": label, "diagnosis": diagnosis, "invented": True,
            "ct": {"date": None, "phase": "diastole", "slice_mm": 1, "measured_by": "nobody, invented", "checked_by": ""},
            "clock": {"three_oclock_is": "front_left", "twelve_oclock_is": "arch_plane"},
            "anatomy": {"centreline": {"points_lps_mm": points, "smoothing_length_mm": more.pop("smoothing", 7), "origin": "sinotubular_junction", "origin_at_mm": origin_at},
                        "sheet_arch": None, **anatomy},
            "components": components, "errors": errors(), **({"stock": stock()} if more.pop("with_stock", True) else {}), "rules": [r for r in rules(more.pop("with_bend", True)) if components or r["of"] == "each"], **more}


def rule_set(name):
    """A set that comes with the program, as a case carries it."""
    own = json.loads((SETS / f"{name}.json").read_text(encoding="utf-8"))
    return {key: value for key, value in own.items() if key not in ("format", "version")}


# ---------------------------------------------------------------- the grafts
# The bodies of two tunnels never share a stretch of graft, so that each could be sewn.
def two_tunnel():
    return graft("invented demo graft, two tunnels", [(38, 36.6, 36.6, True), (52, 36.6, 29, False), (84, 29, 29, False), (98, 29, 33, False), (176, 33, 31, True)],
                 [tunnel("t1", "IA", "antegrade", 47, 12, (13, 11), 11.5, 24, "right_arm"),
                  tunnel("t2", "LCCA", "antegrade", 66, 0, (10, 9), 8.5, 18, "left_carotid")])


def three_tunnel():
    return graft("invented demo graft, three tunnels", [(29, 35.4, 35.4, True), (40, 35.4, 26.5, False), (116, 26.5, 26.5, False), (127, 26.5, 30, False), (191, 30, 28.5, True)],
                 [tunnel("t1", "IA", "antegrade", 31, 0, (12, 10), 10.5, 22, "right_arm"),
                  tunnel("t2", "LCCA", "antegrade", 49, 0, (10, 8), 7.5, 17, "left_carotid"),
                  tunnel("t3", "LSA", "retrograde", 113, 0, (11, 9), 8.5, 26, "femoral")], length_kept_by="axis")


def dissection_graft():
    return graft("invented demo graft, two tunnels, for a surgical graft", [(31, 33.9, 33.9, True), (43, 33.9, 26, False), (78, 26, 26, False), (90, 26, 29.5, False), (185, 29.5, 27, True)],
                 [tunnel("t1", "IA", "antegrade", 40, 9, (12, 10), 10.5, 22, "right_arm"),
                  tunnel("t2", "LCCA", "antegrade", 59, -3, (9, 8), 7.5, 18, "left_carotid")])


def shelf_graft():
    return graft("invented demo graft from the shelf, three tunnels", [(36, 40.5, 40.5, True), (50, 40.5, 30.5, False), (93, 30.5, 30.5, False), (105, 30.5, 34.5, False), (171, 34.5, 33, True)],
                 [tunnel("t1", "IA", "antegrade", 42, 15, (13, 11), 11.5, 24, "right_arm"),
                  tunnel("t2", "LCCA", "antegrade", 61, -30, (11, 9), 8.5, 18, "left_carotid"),
                  tunnel("t3", "LSA", "retrograde", 84, 0, (11, 9), 9.5, 25, "femoral")])


def made_graft():
    """Made for the common trunk: its two antegrade tunnels side by side, both mouths upstream of the one opening."""
    return graft("invented demo graft, made for the common trunk", [(36, 39.5, 39.5, True), (50, 39.5, 30.5, False), (118, 30.5, 30.5, False), (130, 30.5, 34, False), (190, 34, 32.5, True)],
                 [tunnel("t1", "IA", "antegrade", 34, 30, (12, 10), 10.5, 22, "right_arm"),
                  tunnel("t2", "LCCA", "antegrade", 34, -7.5, (10, 8), 7.5, 17, "left_carotid"),
                  tunnel("t3", "LSA", "retrograde", 112, 0, (11, 9), 8.5, 26, "femoral")], length_kept_by="axis")


def extension(label, length, start, end):
    return graft(label, [(length, start, end, True)], [], carrier=7.3)


# ---------------------------------------------------------------- the cases
def plain_arch():
    heading = [(-25, -20), (0, -11), (25, 1), (45, 13), (60, 31), (75, 60), (90, 93), (105, 122), (120, 144), (140, 163), (165, 174), (200, 180), (250, 186), (306, 191)]
    lean = [(-25, -3), (0, 2), (30, 8), (52, 9), (72, -3), (92, -7), (112, 3), (140, 7), (190, 4), (306, -2)]
    points, zero = measured(trace(heading, lean, -25, 306), seed=11)
    anatomy = {
        "lumen": [oval(-20, 26.5, 23.0, 100), oval(-10, 35.5, 33.0, 60), oval(0, 32.6, 30.8, 75), oval(15, 32.9, 31.2, 80), oval(30, 33.2, 31.5, 95), oval(46, 33.0, 31.3, 100),
                  area(58, 32.4), contour(70, [16.4, 16.3, 16.0, 15.7, 15.5, 15.6, 15.9, 16.2, 16.3, 16.1, 16.0, 16.2]), oval(85, 31.2, 29.4, 20), oval(101, 29.8, 28.0, 10),
                  oval(122, 28.8, 27.2, 170), oval(150, 27.8, 26.6, 40), area(185, 26.4), oval(225, 25.8, 24.8, 60), area(262, 25.0), oval(298, 24.4, 23.4, 90)],
        "wall": [{"from_station_mm": -20, "to_station_mm": 300, "kind": "native", "signs": [], "diameter_measured": "outer_to_outer"}],
        "true_lumen": [],
        "ostia": [ostium("o1", 71, 12, 13, 72), ostium("o2", 85.5, 0, 8.5, 66), ostium("o3", 103, 7, 10, 60)],
        "vessels": [vessel("IA", "o1", 72, 4, [(10, 13), (25, 12.4)], 38, RIGHT), vessel("LCCA", "o2", 66, -6, [(10, 8.5), (25, 8)], 110, ["left_carotid"]),
                    vessel("LSA", "o3", 60, 8, [(10, 10), (25, 9.4)], 41, LEFT, mammary_at_mm=47, vertebral_at_mm=41, mammary_graft=False)],
        "keep_clear": coronaries(-11, -9), "ways": [],
        "bypasses": [{"from": "LCCA", "to": "LSA", "kind": "bypass", "state": "planned", "stage": 1}],
        "landmarks": [{"id": "coeliac", "station_mm": 296}], "lesion": {"from_station_mm": 92, "to_station_mm": 118, "side": "inner"},
        "valve": {"kind": "native", "annulus_station_mm": -20}, "access": {"least_diameter_mm": 8.2}, "cord": {"internal_iliac_open": True, "earlier_abdominal_repair": False}}
    parts = [component("arch", "arch_graft", 2, two_tunnel(), 6, 0), plug("plug1", "LSA", 2, 6, 12.5, 9)]
    steps = procedure(step("release", "arch", wire="in", minutes=2, view="arch", stage=2), *bridged("t1", "right_arm", 4.3, (8, 5), "o1", stage=2),
                      *bridged("t2", "left_carotid", 3.7, (7, 4), "o2", stage=2), step("close", "plug1", from_access="left_arm", minutes=6, stage=2), step("remove_wire", stage=2))
    whole = case("invented demo: plain arch, two tunnels", "penetrating ulcer of the arch", points, zero, anatomy, parts, procedure={**steps, "planned_on": "2026-03-17"},
                 rule_sets=[rule_set(name) for name in ("inner-branch", "fenestrated", "landing")], connective_tissue_disease=False,
                 wire={"annulus_tilt_deg": 0, "annulus_tilt_range_deg": 10, "annulus_towards_clock_deg": 0})
    whole["ct"]["date"] = "2026-02-03"
    return whole


def steep_arch():
    # A steep arch: the vessels leave before the top, the bend goes on beyond them and out of their plane.
    heading = [(-25, -26), (0, -18), (25, -8), (45, 2), (58, 12), (74, 30), (90, 60), (100, 86), (110, 112), (120, 136), (130, 155), (145, 172), (170, 180), (210, 183), (260, 187), (306, 192)]
    lean = [(-25, 0), (0, 3), (25, 22), (38, 36), (52, 35), (66, 6), (80, -22), (94, -20), (108, -2), (122, 17), (136, 12), (150, 4), (165, -1), (306, 0)]
    points, zero = measured(trace(heading, lean, -25, 306), seed=23)
    anatomy = {
        "lumen": [oval(-20, 25.5, 22.5, 95), oval(-10, 34.5, 32.5, 70), oval(0, 31.4, 29.9, 60), oval(14, 31.8, 30.4, 85), oval(28, 32.0, 30.6, 90), oval(42, 31.4, 30.0, 80),
                  oval(55, 30.2, 28.8, 30), contour(68, [14.8, 14.9, 14.7, 14.4, 14.1, 13.9, 14.0, 14.2, 14.3, 14.5, 14.6, 14.7]), oval(82, 28.4, 26.8, 15), area(97, 27.0),
                  oval(115, 26.8, 25.4, 160), oval(145, 26.2, 25.0, 50), area(185, 25.2), oval(230, 24.8, 23.6, 70), oval(296, 23.8, 22.8, 85)],
        "wall": [{"from_station_mm": -20, "to_station_mm": 300, "kind": "native", "signs": [], "diameter_measured": "outer_to_outer"}],
        "true_lumen": [],
        "ostia": [ostium("o1", 58, 12, 12, 58), ostium("o2", 73.5, 3, 8, 52), ostium("o3", 90, -11, 9.5, 50)],
        "vessels": [vessel("IA", "o1", 58, 3, [(10, 12), (25, 11.6)], 35, RIGHT), vessel("LCCA", "o2", 52, -8, [(10, 8), (25, 7.4)], 105, ["left_carotid"]),
                    vessel("LSA", "o3", 50, 10, [(10, 9.5), (25, 9)], 36, LEFT, mammary_at_mm=44, vertebral_at_mm=36, mammary_graft=False)],
        "keep_clear": coronaries(-12, -9), "ways": [], "bypasses": [],
        "landmarks": [{"id": "coeliac", "station_mm": 295}], "lesion": {"from_station_mm": 66, "to_station_mm": 110, "side": "outer"},
        "valve": {"kind": "native", "annulus_station_mm": -20}, "access": {"least_diameter_mm": 7.6}, "cord": {"internal_iliac_open": True, "earlier_abdominal_repair": False}}
    parts = [component("arch", "arch_graft", 1, three_tunnel(), 6, 12)]
    steps = procedure(step("release", "arch", open_to_mm=60, held_diameter_mm=21, wire="in", minutes=1, view="arch"), step("release", "arch", minutes=1, view="arch"),
                      *bridged("t1", "right_arm", 4.3, (9, 5), "o1"), *bridged("t2", "left_carotid", 3.7, (6, 4), "o2"), *bridged("t3", "femoral", 5, (12, 5), "o3"), step("remove_wire"))
    return case("invented demo: steep arch that leaves its plane", "aneurysm of the arch", points, zero, anatomy, parts, procedure=steps)


def dissection():
    heading = [(-25, -18), (0, -9), (25, 2), (48, 16), (62, 35), (77, 62), (93, 95), (110, 126), (126, 149), (146, 166), (175, 177), (215, 182), (260, 187), (306, 191)]
    lean = [(-25, -2), (0, 2), (30, 8), (56, 9), (76, -3), (96, -8), (116, -1), (150, 5), (200, 5), (306, -3)]
    points, zero = measured(trace(heading, lean, -25, 306), seed=37)
    anatomy = {
        "lumen": [oval(-20, 26.0, 23.5, 100), oval(-10, 36.5, 34.0, 60), area(2, 30.0), area(14, 29.4), area(30, 29.2), oval(46, 29.6, 29.0, 90), oval(58, 30.4, 28.6, 70),
                  oval(73, 29.8, 26.4, 25), oval(88, 28.6, 25.0, 30), oval(105, 27.2, 22.8, 35), contour(125, [12.6, 12.9, 13.2, 13.1, 12.4, 11.3, 10.5, 10.2, 10.4, 10.9, 11.6, 12.2]),
                  oval(150, 25.4, 19.2, 60), oval(185, 24.6, 17.8, 75), area(220, 20.4), oval(258, 23.2, 17.6, 95), oval(298, 22.8, 19.6, 100)],
        "wall": [{"from_station_mm": -20, "to_station_mm": 3, "kind": "native", "signs": [], "diameter_measured": "outer_to_outer"},
                 {"from_station_mm": 3, "to_station_mm": 58, "kind": "surgical_graft", "signs": [], "diameter_measured": "inner_to_inner"},
                 {"from_station_mm": 58, "to_station_mm": 300, "kind": "native", "signs": ["dissected"], "diameter_measured": "outer_to_outer"}],
        "true_lumen": [{"station_mm": 75, "diameter_mm": 28.1, "centre_clock_deg": -165, "flap_clock_deg": 104, "whole_diameter_mm": 39.5},
                       {"station_mm": 105, "diameter_mm": 24.9, "centre_clock_deg": -170, "flap_clock_deg": 115, "whole_diameter_mm": 43},
                       {"station_mm": 150, "diameter_mm": 22.1, "centre_clock_deg": 155, "flap_clock_deg": 91, "whole_diameter_mm": 46.5},
                       {"station_mm": 220, "diameter_mm": 20.4, "centre_clock_deg": 140, "flap_clock_deg": 73, "whole_diameter_mm": 40},
                       {"station_mm": 290, "diameter_mm": 21, "centre_clock_deg": 130, "flap_clock_deg": 45, "whole_diameter_mm": 31.5}],
        "ostia": [ostium("o1", 74, 14, 12.5, 70), ostium("o2", 88.5, -2, 8.5, 64), ostium("o3", 106.5, 9, 10.5, 62)],
        "vessels": [vessel("IA", "o1", 70, 6, [(10, 12.5), (25, 12)], 36, RIGHT, fed_from="true_lumen"), vessel("LCCA", "o2", 64, -5, [(10, 8.5), (25, 8)], 108, ["left_carotid"]),
                    vessel("LSA", "o3", 62, 9, [(10, 10.5), (25, 9.8)], 40, LEFT, healthy_from_mm=18, fed_from="both", mammary_at_mm=49, vertebral_at_mm=40, mammary_graft=True, needs="not_unfed_at_a_steps_end")],
        "keep_clear": coronaries(-11, -9) + [{"id": "vein1", "kind": "vein_graft", "side": "right", "station_mm": 5, "clock_deg": 62, "radius_mm": 2.5}],
        "ways": [{"id": "w1", "kind": "suture_line", "station_mm": 58, "clock_deg": -150, "in_vessel": None, "at_mm": None, "along_mm": 4, "across_mm": 9, "closed_by": ["arch"], "stage": 2, "left_on_purpose": False},
                 {"id": "w2", "kind": "entry", "station_mm": 121, "clock_deg": -20, "in_vessel": None, "at_mm": None, "along_mm": 11, "across_mm": 7, "closed_by": ["arch"], "stage": 2, "left_on_purpose": False},
                 {"id": "w3", "kind": "vessel", "station_mm": None, "clock_deg": None, "in_vessel": "LSA", "at_mm": 12, "along_mm": 6, "across_mm": 5, "closed_by": ["plug1"], "stage": 2, "left_on_purpose": False},
                 {"id": "w4", "kind": "reentry", "station_mm": 241, "clock_deg": -50, "in_vessel": None, "at_mm": None, "along_mm": 7, "across_mm": 6, "closed_by": ["ext"], "stage": 2, "left_on_purpose": False},
                 {"id": "w5", "kind": "reentry", "station_mm": 286, "clock_deg": -60, "in_vessel": None, "at_mm": None, "along_mm": 5, "across_mm": 5, "closed_by": ["ext2"], "stage": 3, "left_on_purpose": True}],
        "bypasses": [{"from": "LCCA", "to": "LSA", "kind": "bypass", "state": "planned", "stage": 1}],
        "landmarks": [{"id": "coeliac", "station_mm": 297}], "lesion": {"from_station_mm": 58, "to_station_mm": 270, "side": "outer"},
        "valve": {"kind": "native", "annulus_station_mm": -20}, "access": {"least_diameter_mm": 7.9}, "cord": {"internal_iliac_open": True, "earlier_abdominal_repair": False}}
    parts = [component("arch", "arch_graft", 2, dissection_graft(), 14, 5), component("ext", "extension", 2, extension("invented demo extension", 150, 30, 24.5), 118, 0),
             component("ext2", "extension", 3, extension("invented demo extension, distal", 46, 26.5, 23.5), 248, 0), plug("plug1", "LSA", 2, 6, 13, 12)]
    steps = procedure(step("release", "arch", wire="in", minutes=2, view="arch", stage=2), *bridged("t2", "left_carotid", 3.7, (7, 4), "o2", stage=2), *bridged("t1", "right_arm", 4.3, (8, 5), "o1", stage=2),
                      step("release", "ext", minutes=3, stage=2), step("close", "plug1", from_access="left_arm", minutes=6, stage=2), step("remove_wire", stage=2),
                      step("release", "ext2", minutes=3, stage=3))
    return case("invented demo: dissection after an ascending graft", "chronic dissection after open ascending repair", points, zero, anatomy, parts, procedure=steps)


def common_trunk():
    heading = [(-25, -22), (0, -12), (25, 0), (44, 14), (58, 33), (72, 64), (86, 98), (100, 127), (116, 149), (136, 166), (165, 176), (205, 181), (255, 186), (306, 190)]
    lean = [(-25, -4), (0, 0), (28, 7), (50, 9), (68, 1), (86, -9), (104, -5), (135, 4), (185, 5), (306, -2)]
    points, zero = measured(trace(heading, lean, -25, 306), seed=41)
    anatomy = {
        "lumen": [oval(-20, 27.5, 24.0, 100), oval(-10, 36.5, 34.5, 60), oval(0, 33.4, 31.6, 75), oval(14, 35.0, 33.2, 85), oval(28, 35.6, 33.6, 90), oval(44, 35.2, 33.2, 95),
                  area(56, 33.8), oval(68, 33.6, 31.2, 15), oval(80, 31.8, 30.0, 10), contour(94, [15.4, 15.2, 15.0, 14.8, 14.6, 14.6, 14.7, 14.9, 15.0, 15.2, 15.3, 15.4]),
                  oval(112, 29.4, 27.8, 165), oval(145, 28.4, 27.0, 40), area(185, 27.0), oval(230, 26.4, 25.2, 65), oval(297, 25.2, 24.2, 85)],
        "wall": [{"from_station_mm": -20, "to_station_mm": 300, "kind": "native", "signs": ["atheroma"], "diameter_measured": "outer_to_outer"}],
        "true_lumen": [],
        "ostia": [{"id": "o1", "station_mm": 67, "clock_deg": 13, "along_mm": 21.5, "across_mm": 14.5}, ostium("o2", 91, 6, 10, 64)],
        "vessels": [vessel("IA", "o1", 74, 12, [(10, 12.5), (25, 11.8)], 33, RIGHT), vessel("LCCA", "o1", 60, -14, [(10, 8), (25, 7.6)], 104, ["left_carotid"]),
                    vessel("LSA", "o2", 64, 7, [(10, 10), (25, 9.4)], 37, LEFT, mammary_at_mm=45, vertebral_at_mm=37, mammary_graft=False)],
        "keep_clear": coronaries(-12, -10), "ways": [], "bypasses": [],
        "landmarks": [{"id": "coeliac", "station_mm": 296}], "lesion": {"from_station_mm": 84, "to_station_mm": 120, "side": "inner"},
        "valve": {"kind": "native", "annulus_station_mm": -20}, "access": {"least_diameter_mm": 8.6}, "cord": {"internal_iliac_open": True, "earlier_abdominal_repair": True}}
    parts = [component("arch", "arch_graft", 1, shelf_graft(), 8, 0)]
    return case("invented demo: common trunk, graft from the shelf", "aneurysm of the arch, tonight", points, zero, anatomy, parts, with_stock=False)


# ---------------------------------------------------------------- the worked arches
def flat_arch(straight, radius, end, start=-60):
    """Points 1 mm apart of a flat arch: straight up, half a circle to the back-left, straight down."""
    p = math.radians(PLANE_DEG)
    across, points = (math.sin(p), math.cos(p)), []
    for s in range(start, end + 1):
        turn = (s - straight) / radius
        if turn <= 0:
            x, z = 0.0, float(s)
        elif turn <= math.pi:
            x, z = radius * (1 - math.cos(turn)), straight + radius * math.sin(turn)
        else:
            x, z = 2.0 * radius, straight - (s - straight - math.pi * radius)
        points.append([round(q, 6) + 0.0 for q in (x * across[0], x * across[1], z)])
    return points


def worked(label, straight, radius, diameter, ostia, end, components):
    anatomy = {"lumen": [area(0, diameter)], "wall": [], "true_lumen": [],
               "ostia": [{"id": o, "station_mm": s, "clock_deg": 0, "along_mm": w, "across_mm": w} for o, _, s, w in ostia],
               "vessels": [{"id": v, "from": o, "at_mm": 0, "takeoff_deg": None, "lean_deg": None, "diameters": [{"at_mm": 10, "diameter_mm": w}], "to_first_branch_mm": None,
                            "healthy_from_mm": None, "fed_from": None, "carries": [], "needs": "normal"} for o, v, _, w in ostia],
               "keep_clear": [{"id": i, "kind": "coronary", "side": i, "station_mm": -8, "clock_deg": c, "radius_mm": 2} for i, c in (("right", 48), ("left", 152))],
               "ways": [], "bypasses": [], "landmarks": []}
    return case(label, "", flat_arch(straight, radius, end), 60, anatomy, components, smoothing=0, with_stock=False, with_bend=False)


def worked_arch():
    tunnels = [tunnel("t1", "IA", "antegrade", 42, 0, (None, None), None, None, None, 0), tunnel("t2", "LCCA", "antegrade", 58, 0, (None, None), None, None, None, 0),
               tunnel("t3", "LSA", "retrograde", 117, 0, (None, None), None, None, None, 0)]
    piece = graft("worked arch, graft that fills the lumen", [(170, 34, 34, True)], tunnels)
    return worked("worked arch: straight to 30, then radius 40", 30, 40, 34, [("o1", "IA", 70, 14), ("o2", "LCCA", 85, 8), ("o3", "LSA", 103, 10)], 230, [component("arch", "arch_graft", 1, piece, 8)])


def worked_arch_short():
    # 59.375: on the outer wall (radius 48) half of a 14 mm opening reaches back to station 55.
    return worked("worked arch: straight to 15, then radius 30", 15, 30, 36, [("o1", "IA", 59.375, 14)], 230, [])


# ---------------------------------------------------------------- files
def text(value, indent=0, width=150):
    """JSON with one point, section or rule a line."""
    flat = json.dumps(value, ensure_ascii=False)
    simple = not isinstance(value, (dict, list)) or not value
    if simple or (indent and len(flat) + indent <= width and not (isinstance(value, list) and isinstance(value[0], list))):
        return flat
    if isinstance(value, list) and not any(isinstance(v, (dict, list)) for v in value):
        return flat
    if isinstance(value, dict) and indent >= 4 and not any(isinstance(v, (dict, list)) and v for v in value.values()):
        return flat
    pad = " " * (indent + 2)
    if isinstance(value, dict):
        rows = [f"{pad}{json.dumps(k)}: {text(v, indent + 2, width)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + "\n" + " " * indent + "}"
    return "[\n" + ",\n".join(pad + text(v, indent + 2, width) for v in value) + "\n" + " " * indent + "]"


def files():
    """Every file with its contents."""
    def graft_file(piece):
        return {"format": "extrados-graft", "version": 1, **piece}
    out = {HERE / "plain-arch.json": plain_arch(), HERE / "steep-arch.json": steep_arch(), HERE / "dissection.json": dissection(), HERE / "common-trunk.json": common_trunk(),
           HERE / "graft-two-tunnel.json": graft_file(two_tunnel()), HERE / "graft-three-tunnel.json": graft_file(three_tunnel()),
           HERE / "graft-two-tunnel-narrow.json": graft_file(dissection_graft()), HERE / "graft-three-tunnel-shelf.json": graft_file(shelf_graft()),
           HERE / "graft-three-tunnel-made.json": graft_file(made_graft()),
           REFERENCE / "worked-arch.json": worked_arch(), REFERENCE / "worked-arch-short.json": worked_arch_short()}
    return {path: text(value) + "\n" for path, value in out.items()}


def main():
    check, wrong = "--check" in sys.argv[1:], []
    for path, content in files().items():
        if not check:
            path.write_text(content, encoding="utf-8")
        elif not path.exists() or path.read_text(encoding="utf-8") != content:
            wrong.append(path.name)
    for name in wrong:
        print(f"{name} is not as make_demos.py writes it: run make_demos.py")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
