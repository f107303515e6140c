#!/usr/bin/env python3
"""Checks where blood passes into the false lumen against networkx, on random anatomies.

    python3 tests/oracles/test_ways.py [--bin PATH] [--count N]

Each anatomy has spaces between fabric and wall with their leaks, vessels with plugs, ties, stents, grafts
and branches, bypasses, and ways of the false lumen. The program cuts a vessel into stretches; here it is a
chain of cells 1 mm long, and blood passes a way if a path of networkx leads to it that leaves the false
lumen out. What is not known is drawn once shut and once open. Needs networkx. PATH is the example `ways`;
without it the example is built. Exit status 0 all passed, 1 a difference.
"""
import argparse
import json
import os
import pathlib
import random
import subprocess
import sys

import networkx as nx

from outside import record

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
CELLS = 60


def outside(rng, spaces):
    kind = rng.choice(["blood", "blood", "space", "space", "both", "shut", "unknown"])
    if kind in ("space", "both") and not spaces:
        kind = "blood"
    return {"is": kind, "space": rng.randrange(spaces) if spaces and kind != "shut" else None}


def stretch(rng):
    start = rng.randrange(0, CELLS - 12)
    return [start, start + rng.randrange(1, 12)]


def anatomy(rng):
    """A random anatomy; what stands in it need not make a good plan."""
    spaces = [[{"name": f"leak {s}.{k}", "unknown": rng.random() < 0.3} for k in range(rng.choice([0, 0, 1, 2]))] for s in range(rng.randrange(0, 4))]
    vessels = []
    for i in range(rng.randrange(1, 6)):
        branch = i > 0 and rng.random() < 0.2
        blocks = [stretch(rng) for _ in range(rng.choice([0, 0, 1, 2]))]
        if rng.random() < 0.15:
            tie = rng.randrange(0, CELLS - 12)
            blocks.append([tie, tie])
        vessels.append({"id": f"v{i}", "parent": [rng.randrange(i), rng.randrange(0, 40) + 0.5] if branch else None, "outside": outside(rng, len(spaces)),
                        "from_true": rng.random() < 0.85, "from_false": rng.random() < 0.25, "stent": rng.randrange(1, 40) if rng.random() < 0.35 else None,
                        "blocks": blocks, "replaced": rng.randrange(0, 40) if rng.random() < 0.15 else None, "doubt": rng.random() < 0.1})
    ways = []
    for i in range(rng.randrange(1, 7)):
        way = {"id": f"w{i}", "doubt": rng.random() < 0.05}
        kind = rng.random()
        if kind < 0.5:
            way["outside"] = outside(rng, len(spaces))
        elif kind < 0.95:
            way["vessel"] = [rng.randrange(len(vessels)), *stretch(rng)]
        ways.append(way)
    pairs = [(a, b) for a in range(len(vessels)) for b in range(len(vessels)) if a != b]
    bypasses = rng.sample(pairs, min(len(pairs), rng.choice([0, 0, 1, 2])))
    return {"spaces": spaces, "vessels": vessels, "bypasses": bypasses, "ways": ways}


class Drawn:
    """An anatomy as a graph: `open_unknown` says whether what is not known is open, `asked` for what."""

    def __init__(self, given, open_unknown, asked):
        self.given, self.open_unknown = given, open_unknown
        self.graph = nx.Graph()
        self.graph.add_nodes_from(["blood", "false"])
        for s, leaks in enumerate(given["spaces"]):
            self.graph.add_node(("space", s))
            for leak in leaks:
                self.edge("blood", ("space", s), leak["unknown"])
        self.directed = []
        for i, vessel in enumerate(given["vessels"]):
            self.vessel(i, vessel, asked)
        for a, b in given["bypasses"]:
            self.edge((a, CELLS), (b, CELLS), False)
        self.ways = {}
        for way in given["ways"]:
            self.ways[way["id"]] = list(self.way(way))

    def edge(self, a, b, unknown):
        if self.open_unknown or not unknown:
            self.graph.add_edge(a, b)

    def before(self, place):
        """What lies in front of an opening, each with whether that is known."""
        space = ("space", place["space"]) if place["space"] is not None else None
        kind = place["is"]
        if kind in ("blood", "both", "unknown"):
            yield "blood", kind == "unknown"
        if kind in ("space", "both", "unknown") and space:
            yield space, kind == "unknown"

    @staticmethod
    def free(vessel):
        """Cells on whose wall nothing lies."""
        lined = set(range(vessel["stent"] or 0))
        for a, b in vessel["blocks"]:
            lined |= set(range(a, b))
        return [cell for cell in range(CELLS + 1) if cell not in lined]

    @staticmethod
    def tied(vessel):
        return {a for a, b in vessel["blocks"] if a == b}

    def vessel(self, i, vessel, asked):
        free, tied, doubt = self.free(vessel), self.tied(vessel), vessel["doubt"]
        self.graph.add_nodes_from((i, cell) for cell in free)
        for a, b in zip(free, free[1:]):
            if b == a + 1 and b not in tied:
                self.graph.add_edge((i, a), (i, b))
        mouth = free and free[0] == 0 and 0 not in tied
        if vessel["parent"] is None:
            if mouth and vessel["from_true"]:
                for place, unknown in self.before(vessel["outside"]):
                    self.edge((i, 0), place, unknown or doubt)
            if mouth and vessel["from_false"] and asked == "feed by false":
                self.directed.append(("false", (i, 0)))
        elif mouth:
            parent, at = vessel["parent"]
            if int(at) in self.free(self.given["vessels"][parent]):
                self.edge((i, 0), (parent, int(at)), doubt)
        stent = vessel["stent"]
        if stent is not None and all(a > stent for a, _ in vessel["blocks"]):
            self.edge("blood", (i, stent), doubt)
        if asked == "closing":
            self.graph.add_edge("blood", (i, CELLS))

    def way(self, way):
        """Places on the other side of a way, as far as it is open."""
        if way["doubt"] and self.open_unknown:
            yield "blood"
        if "vessel" in way:
            i, a, b = way["vessel"]
            vessel = self.given["vessels"][i]
            if vessel["replaced"] is not None:
                b = min(b, vessel["replaced"])
            if self.open_unknown or not vessel["doubt"]:
                yield from ((i, cell) for cell in self.free(vessel) if a <= cell < b)
        elif "outside" in way:
            yield from (place for place, unknown in self.before(way["outside"]) if self.open_unknown or not unknown)
        elif self.open_unknown:
            yield "blood"

    def reached(self, through_false):
        graph = self.graph.to_directed()
        if not through_false:
            graph.remove_node("false")
        else:
            for places in self.ways.values():
                graph.add_edges_from(pair for place in places for pair in (("false", place), (place, "false")))
            graph.add_edges_from(self.directed)
        return {"blood"} | nx.descendants(graph, "blood")


def expected(given):
    """What networkx says: state of every way and vessel."""
    def state(sure, perhaps):
        return "flows" if sure else "unknown" if perhaps else "shut"
    shut, wide = (Drawn(given, opened, "closing") for opened in (False, True))
    reached = [drawn.reached(False) for drawn in (shut, wide)]
    ways = [[way["id"], state(*(any(place in seen for place in drawn.ways[way["id"]]) for drawn, seen in zip((shut, wide), reached)))] for way in given["ways"]]
    own = [Drawn(given, opened, "feed").reached(False) for opened in (False, True)]
    false = [Drawn(given, opened, "feed by false").reached(True) for opened in (False, True)]
    vessels = []
    for i, vessel in enumerate(given["vessels"]):
        far = (i, CELLS)
        vessels.append([vessel["id"], state(far in own[0] or far in false[0], far in own[1] or far in false[1])])
    return {"ways": ways, "vessels": vessels}


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--bin", help="the example `ways`")
    parser.add_argument("--count", type=int, default=1000)
    given = parser.parse_args()
    rng = random.Random(20260)
    cases = [anatomy(rng) for _ in range(given.count)]
    command = [given.bin] if given.bin else ["cargo", "run", "-q", "-p", "extrados", "--example", "ways"]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    done = subprocess.run(command, input=lines, capture_output=True, text=True, cwd=ROOT, env=os.environ, check=False)
    if done.returncode != 0:
        print(done.stderr)
        return 1
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    wrong, seen = [], {"flows": 0, "shut": 0, "unknown": 0}
    for case, answer in zip(cases, answers, strict=True):
        wanted = expected(case)
        for _, state in wanted["ways"] + wanted["vessels"]:
            seen[state] += 1
        if answer != wanted:
            wrong.append((case, answer, wanted))
    for case, answer, wanted in wrong[:3]:
        print(json.dumps(case), "\n  program ", json.dumps(answer), "\n  networkx", json.dumps(wanted))
    record("networkx (tests/oracles/test_ways.py)", "anatomies whose ways or vessels differ", f"{len(cases)} random anatomies", 0, len(wrong), 0, compared=len(cases))
    # Anatomies of one kind only would prove nothing.
    even = min(seen.values()) >= len(cases) / 10
    print(f"Random anatomies against networkx; states met: {seen}")
    print(f"{len(cases) - len(wrong)} passed, {len(wrong) + (not even)} failed")
    return 1 if wrong or not even else 0


if __name__ == "__main__":
    sys.exit(main())
