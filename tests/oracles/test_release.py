#!/usr/bin/env python3
"""Checks what the release leaves fed against graphs and meshes built by other roads.

    python3 tests/oracles/test_release.py [--bin PATH] [--feed PATH]

A thousand random states of sources, passages, vessels, bypasses, plugs, stents and sheaths: reachability
and widest ways by networkx, threshold by threshold. The narrowest place on the way to each vessel of fifty
random grafts in the worked arch: fabric as a trimesh, met by rays from the axis, widest way by networkx, for
the lie on the centreline with the axis keeping its length. Needs numpy, scipy, networkx, trimesh and rtree;
imports nothing of the program. Exit status 0 all passed, 1 a difference.
"""
import argparse
import copy
import json
import math
import os
import pathlib
import random
import subprocess
import sys

import networkx as nx
import numpy as np
import trimesh
from scipy.spatial import cKDTree

import outside
from checks import report_on
from reference import Anatomy, Lie, load

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
STATES, GRAFTS = 1000, 50
LIMIT_MM, CONTACT_MM, TOLERANCE_MM = 3.0, 0.1, 0.1
RESULTS = []


def note(what, good, more=""):
    """Notes one check."""
    RESULTS.append((what, good, more))


# ---------------------------------------------------------------- reachability

VESSELS = ["IA", "LCCA", "LSA"]
SITES = {"IA": "o1", "LCCA": "o2", "LSA": "o3"}


def random_state(base, rng):
    """A case, a chamber and what stands, all at random."""
    case = copy.deepcopy(base)
    for vessel in case["anatomy"]["vessels"]:
        vessel["diameters"] = [] if rng.random() < 0.1 else [{"at_mm": 10, "diameter_mm": rng.choice([5, 8, 12])}]
    case["anatomy"]["bypasses"] = []
    for _ in range(rng.choice([0, 0, 1, 2])):
        a, b = rng.sample(VESSELS, 2)
        state, stage = rng.choice([("done", None), ("planned", 1), ("planned", 3), ("planned", None)])
        case["anatomy"]["bypasses"].append({"from": a, "to": b, "kind": rng.choice(["bypass", "transposition", "ligation"]), "state": state, "stage": stage})
    sources = [["lumen", ""], ["mouth", "t1"], ["mouth", "t2"], ["mouth", "t3"]]
    passages = []
    for index in range(len(sources)):
        for site in SITES.values():
            if rng.random() < 0.7:
                mm = rng.choice([0.0, 0.05, 1.0, 2.9, 3.5, 4.0, 6.0, None, "open"] if index == 0 else [0.0, 1.0, 2.9, 3.5, 4.0, 5.0, 8.0, None])
                passages.append([index, site, mm, rng.choice([0.0, 0.5, 1.0])])
    standing = {"bridged": [t for t in ("t1", "t2", "t3") if rng.random() < 0.3], "closed": [v for v in VESSELS if rng.random() < 0.1] + [t for t in ("t1", "t2") if rng.random() < 0.1],
                "sheaths": [[[v], rng.choice([3, 5, 7])] for v in VESSELS if rng.random() < 0.2], "stage": rng.choice([None, 2])}
    return {"case": case, "chamber": {"sources": sources, "lumens": 1, "passages": passages}, "standing": standing}


def done(bypass, stage):
    """Whether a bypass is there; None where nobody said when."""
    if bypass["state"] == "done":
        return True
    if bypass["stage"] is None:
        return None
    return stage is None or bypass["stage"] <= stage


def expected(state, optimistic):
    """For each vessel every level it is reached at: (width less error exceeds the limit, not shut), and by what.

    Widths are thresholds: a joint belongs to the graph of a level if it is at least that good. Unknown joints
    belong to all graphs where optimistic, else to none.
    """
    case, standing, stage = state["case"], state["standing"], state["standing"]["stage"]
    serves = {"t1": "IA", "t2": "LCCA", "t3": "LSA"}
    shut = set(standing["bridged"]) | set(standing["closed"])

    def graph(level):
        """Joints that are at least as good as the level: 'sure', 'open' or 'any'."""
        g = nx.DiGraph()
        g.add_nodes_from(["heart", *VESSELS])
        for index, site, mm, error in state["chamber"]["passages"]:
            kind, own = state["chamber"]["sources"][index]
            if kind == "mouth" and own in shut:
                continue
            good = {"sure": mm == "open" or (mm is not None and mm != "open" and mm - error > LIMIT_MM + 1e-9),
                    "open": mm == "open" or (mm is not None and mm != "open" and mm > CONTACT_MM), "any": mm is not None}[level]
            if good or (mm is None and optimistic):
                g.add_edge("heart", site)
        for vessel in VESSELS:
            stent = any(serves[t] == vessel for t in standing["bridged"])
            gone = [b for b in case["anatomy"]["bypasses"] if b["to"] == vessel and b["kind"] != "bypass"]
            gone = [done(b, stage) for b in gone]
            gone = True in gone or (None in gone and not optimistic)
            if stent:
                g.add_edge("heart", vessel)
            elif not gone and vessel not in standing["closed"]:
                g.add_edge(SITES[vessel], vessel)
        for b in case["anatomy"]["bypasses"]:
            if b["kind"] == "ligation":
                continue
            there = done(b, stage)
            if there or (there is None and optimistic):
                g.add_edge(b["from"], b["to"])
                g.add_edge(b["to"], b["from"])
        return g

    return {level: graph(level) for level in ("sure", "open", "any")}


def filled(state, vessel):
    """Whether sheaths fill more than half of a vessel: True, False, or None without a diameter."""
    area = sum(outer**2 for vessels, outer in state["standing"]["sheaths"] if vessel in vessels)
    if not area:
        return False
    own = next(v for v in state["case"]["anatomy"]["vessels"] if v["id"] == vessel)["diameters"]
    return None if not own else area / min(d["diameter_mm"] for d in own) ** 2 > 0.5


def state_of(state, vessel):
    """Fed, doubtful, unknown or unfed, by reachability alone: vessels that a sheath fills are taken out of the graph of what is fed."""
    sure, may = expected(state, False), expected(state, True)
    full = [v for v in VESSELS if filled(state, v) is not False]

    def reaches(g, without=()):
        g = g.copy()
        g.remove_nodes_from(without)
        return vessel in g and "heart" in g and nx.has_path(g, "heart", vessel)

    if reaches(sure["sure"], full):
        return {"fed"}
    # Something is surely not shut: doubtful, unless only a sheath of unknown share stands in the way.
    known_full = [v for v in VESSELS if filled(state, v) is None]
    if reaches(sure["open"], known_full):
        return {"doubtful"}
    if reaches(may["open"]):
        return {"unknown"}
    return {"unfed"}


def states(program):
    """A thousand random states, answered by the example `feed`."""
    base = load(ROOT / "tests" / "reference" / "worked-arch.json")
    base["procedure"] = None
    base.pop("procedure")
    rng = random.Random(7)
    all_states = [random_state(base, rng) for _ in range(STATES)]
    told = subprocess.run(program, input="".join(json.dumps(s) + "\n" for s in all_states), capture_output=True, text=True, check=False)
    if told.returncode != 0:
        raise RuntimeError(told.stderr)
    answers = [json.loads(line) for line in told.stdout.splitlines()]
    note("every state is answered", len(answers) == STATES, len(answers))
    before = len(RESULTS)
    for index, (state, answer) in enumerate(zip(all_states, answers)):
        for feed in answer:
            want = state_of(state, feed["vessel"])
            note(f"state {index}, {feed['vessel']}", feed["state"] in want, f"{feed} instead of {want}")
            note(f"state {index}, {feed['vessel']}: unfed is fed by nothing", (feed["state"] == "unfed") == (feed["by"] == "none"), feed)
    wrong = sum(not good for _, good, _ in RESULTS[before:])
    outside.record("reachability by networkx (tests/oracles/test_release.py)", "vessels whose feed differs", f"{STATES} random states", 0, wrong, 0, compared=len(RESULTS) - before)


# ---------------------------------------------------------------- narrowest places


def random_graft(case, rng):
    """A graft that seals at both ends round a waist of any size, side and turn; two tunnels anywhere on it."""
    case = copy.deepcopy(case)
    radius = rng.uniform(9.0, 14.5)
    offset = rng.uniform(0.0, 16.5 - radius)
    part = {"covered": True, "seals": True, "offset_mm": 0, "offset_clock_deg": 0}
    sections = [{**part, "from_u_mm": 0, "to_u_mm": 32, "from_diameter_mm": 38, "to_diameter_mm": 38},
                {**part, "from_u_mm": 32, "to_u_mm": 122, "from_diameter_mm": 2 * radius, "to_diameter_mm": 2 * radius, "offset_mm": offset, "offset_clock_deg": rng.uniform(-180, 180), "seals": False},
                {**part, "from_u_mm": 122, "to_u_mm": 170, "from_diameter_mm": 38, "to_diameter_mm": 38}]
    tunnels = [{"id": f"t{k + 1}", "serves": v, "flow": "antegrade", "mouth_u_mm": rng.uniform(36, 80), "mouth_clock_deg": rng.uniform(-180, 180), "mouth_along_mm": 12, "mouth_across_mm": 11,
                "diameter_mm": 10, "length_mm": 10, "rise_deg": 0, "side_deg": 0, "wired_from": None} for k, v in enumerate(("IA", "LCCA"))]
    component = case["components"][0]
    component["graft"].update({"length_mm": 170, "length_kept_by": "axis", "sections": sections, "tunnels": tunnels, "fenestrations": [], "scallops": [], "markers": [], "barbs": []})
    component["placement"]["clock_deg"] = rng.uniform(-180, 180)
    for ostium in case["anatomy"]["ostia"]:
        ostium["clock_deg"] = rng.uniform(-60, 60)
    largest = rng.uniform(34, 36)
    case["anatomy"]["lumen"] = [{"station_mm": s, "kind": "max_min", "largest_mm": largest, "smallest_mm": 33.5, "largest_clock_deg": rng.uniform(-90, 90)} for s in (0,)]
    case["procedure"] = {"steps": [{"do": "release", "on": component["id"]}]}
    return case


def waist_mesh(a, lie, section):
    """The fabric of the waist, a quarter millimetre and two degrees apart."""
    us = np.arange(section["from_u_mm"], section["to_u_mm"] + 1e-9, 0.5)
    turns = np.radians(np.arange(0, 360, 2))
    points = []
    for u in us:
        s = lie.station(u)
        c = a.line.point(s)
        _, o, b = a.frame(s)
        zero = math.radians(float(lie.clock(u, 0.0)))
        r, d, e = section["from_diameter_mm"] / 2, section["offset_mm"], math.radians(section["offset_clock_deg"])
        # A circle of its own radius about a centre off the axis.
        own = np.array([d * math.cos(e), d * math.sin(e)]) + r * np.column_stack([np.cos(turns), np.sin(turns)])
        along, across = own[:, 0], own[:, 1]
        x = along * math.cos(zero) - across * math.sin(zero)
        y = along * math.sin(zero) + across * math.cos(zero)
        points.append(c + np.outer(x, o) + np.outer(y, b))
    n, faces = len(turns), []
    for i in range(len(us) - 1):
        for j in range(n):
            p, q, r, t = i * n + j, i * n + (j + 1) % n, (i + 1) * n + j, (i + 1) * n + (j + 1) % n
            faces += [[p, q, r], [q, t, r]]
    return trimesh.Trimesh(np.concatenate(points), faces, process=False)


def narrowest(case):
    """For each vessel the widest way's narrowest place, from either mouth to its ostium's centre."""
    a = Anatomy(case)
    component = case["components"][0]
    graft, lie = component["graft"], Lie(a, component, "axis")
    waist = graft["sections"][1]
    mesh = waist_mesh(a, lie, waist)
    us = np.arange(waist["from_u_mm"] - 5, waist["to_u_mm"] + 5, 0.02)
    axis = np.array([a.line.point(s) for s in np.array([lie.station(u) for u in us])])
    tree = cKDTree(axis)

    def spaces(points):
        """Rays from the nearest point of the axis outward to wall points: how far from the fabric they end."""
        i = tree.query(points)[1]
        away = points - axis[i]
        length = np.linalg.norm(away, axis=1)
        hits, ray, _ = mesh.ray.intersects_location(axis[i], away / length[:, None], multiple_hits=True)
        fabric = np.full(len(points), np.inf)
        for point, k in zip(hits, ray):
            fabric[k] = min(fabric[k], float(np.linalg.norm(point - axis[i[k]])))
        inside = (us[i] >= waist["from_u_mm"]) & (us[i] <= waist["to_u_mm"])
        # Beyond the waist the fabric is wider than the lumen.
        return np.where(inside & np.isfinite(fabric), np.maximum(0.0, length - fabric), 0.0)

    first, last = lie.station(waist["from_u_mm"] + 0.02), lie.station(waist["to_u_mm"] - 0.02)
    rows, around = np.linspace(first, last, 46), 50
    clocks = np.arange(around) * 360 / around
    cells = np.array([a.wall_point(s, c) for s in rows for c in clocks])
    width = spaces(cells)
    g = nx.Graph()
    for i in range(len(rows)):
        for j in range(around):
            here = i * around + j
            for other in (i * around + (j + 1) % around, (i + 1) * around + j if i + 1 < len(rows) else None):
                if other is not None:
                    g.add_edge(here, other, weight=min(width[here], width[other]))

    def attach(name, s, clock, most=math.inf):
        own = min(most, float(spaces(np.array([a.wall_point(s, clock)]))[0]))
        i = min(max(int(np.searchsorted(rows, s)) - 1, 0), len(rows) - 2)
        j = int(math.floor((clock % 360) / 360 * around))
        for row in (i, i + 1):
            for column in (j, (j + 1) % around):
                g.add_edge(name, row * around + column, weight=min(own, most))

    for t in graft["tunnels"]:
        s = lie.station(t["mouth_u_mm"])
        attach(t["id"], s, float(lie.clock(t["mouth_u_mm"], t["mouth_clock_deg"])), 10.0)
    for ostium in case["anatomy"]["ostia"]:
        attach(ostium["id"], ostium["station_mm"], ostium["clock_deg"])
    spanning = nx.maximum_spanning_tree(g)

    def widest(source, sink):
        way = nx.shortest_path(spanning, source, sink)
        return min(spanning[p][q]["weight"] for p, q in zip(way, way[1:]))

    return {v: max(widest(t["id"], o) for t in graft["tunnels"]) for v, o in SITES.items()}


def places(program):
    """Fifty random grafts."""
    base = load(ROOT / "tests" / "reference" / "worked-arch.json")
    rng = random.Random(11)
    worst = 0.0
    for index in range(GRAFTS):
        case = random_graft(base, rng)
        rows = [r for r in report_on(program, case)["steps"] if r["lie"] == "middle"]
        for vessel, ours in narrowest(case).items():
            theirs = next(r["narrowest_mm"] for r in rows if r["vessel"] == vessel)
            off = math.inf if theirs is None else abs(theirs - ours)
            worst = max(worst, off)
            outside.compared("rays on a mesh of trimesh, widest ways by networkx (tests/oracles/test_release.py)", f"graft {index}, {vessel}: narrowest place on the way", off, TOLERANCE_MM, "mm")
            note(f"graft {index}, {vessel}: narrowest mm", off <= TOLERANCE_MM, f"{theirs} instead of {ours:.3f}")
    print(f"largest difference of a narrowest place: {worst:.3f} mm")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--bin", default=os.environ.get("EXTRADOS_BIN"))
    parser.add_argument("--feed", default=os.environ.get("EXTRADOS_FEED"))
    given = parser.parse_args()
    if not given.bin:
        print("The program was not named: give --bin PATH or set EXTRADOS_BIN.", file=sys.stderr)
        return 2
    states([given.feed] if given.feed else ["cargo", "run", "--quiet", "--package", "extrados", "--example", "feed"])
    places(given.bin)
    failed = [row for row in RESULTS if not row[1]]
    for what, _, more in failed[:40]:
        print(f"MISS {what}: {more}")
    print(f"{len(RESULTS) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
