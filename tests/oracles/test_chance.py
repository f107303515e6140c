#!/usr/bin/env python3
"""Checks probabilities of polygons in the plane of placements against scipy.

    python3 tests/oracles/test_chance.py [--bin PATH] [--count N]

The program sums over edges; here each polygon is cut into strips at its corners, scipy integrates the normal
density across them and takes the normal distribution along them. Boxes also by scipy's multivariate normal. The
polygons are those of the geometry's check values and random ones, convex or not, with correlated errors. PATH is
the example `chances`; without it the example is built. Exit status 0 all passed, 1 a difference.
"""
import argparse
import json
import math
import os
import pathlib
import random
import subprocess
import sys

from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from outside import compared, record

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
LIMIT = 1e-6
BOX = [[-4, -12], [6, -12], [6, 10], [-4, 10]]
PENTAGON = [[-6, -20], [5, -25], [8, 5], [2, 22], [-7, 12]]
L_SHAPE = [[-5, -20], [6, -20], [6, -2], [1, -2], [1, 18], [-5, 18]]
# From the geometry's check values, "Probabilities".
KNOWN = [
    ("a box", BOX, [0.5, -2], [2.5, 6], 0.3, 0.886459624573),
    ("a box, errors apart", BOX, [0.5, -2], [2.5, 6], 0.0, 0.883141047181),
    ("a pentagon", PENTAGON, [0, 0], [3, 8], 0.0, 0.958445939678),
    ("a leaning pentagon", PENTAGON, [0, 0], [3, 8], 0.5, 0.951316537764),
    ("an L", L_SHAPE, [0, 0], [3, 8], 0.5, 0.650465949184),
    ("an edge through the mean", [[0, -20], [6, -20], [6, 20], [0, 20]], [0, 0], [3, 8], 0.0, 0.471322744137),
]


def by_strips(corners, mean, sd, correlation):
    """The same by strips across the first axis."""
    edges = list(zip(corners, corners[1:] + corners[:1]))
    left = sd[1] * math.sqrt(1 - correlation**2)

    def across(x):
        middle = mean[1] + correlation * sd[1] * (x - mean[0]) / sd[0]
        ends = sorted(a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1]) for a, b in edges if (a[0] > x) != (b[0] > x))
        pairs = zip(ends[::2], ends[1::2])
        return norm.pdf(x, mean[0], sd[0]) * sum(norm.cdf(high, middle, left) - norm.cdf(low, middle, left) for low, high in pairs)

    cuts = sorted({a[0] for a in corners})
    return sum(quad(across, low, high, epsabs=1e-10, epsrel=1e-10)[0] for low, high in zip(cuts, cuts[1:]))


def drawn(rng):
    """A random polygon around a point: its corners at growing angles, less than half a turn apart, at any distance."""
    count = rng.randrange(4, 12)
    at, size = [rng.uniform(-4, 4), rng.uniform(-15, 15)], [rng.uniform(1, 12), rng.uniform(5, 60)]
    corners = []
    for k in range(count):
        turn, far = 2 * math.pi * (k + rng.uniform(0, 0.9)) / count, rng.uniform(0.1, 1)
        corners.append([at[0] + far * size[0] * math.cos(turn), at[1] + far * size[1] * math.sin(turn)])
    return corners, [rng.uniform(-3, 3), rng.uniform(-10, 10)], [rng.uniform(0.5, 6), rng.uniform(2, 30)], rng.choice([0.0, rng.uniform(-0.8, 0.8)])


def main():
    words = argparse.ArgumentParser()
    words.add_argument("--bin", help="the example `chances`")
    words.add_argument("--count", type=int, default=300)
    wish = words.parse_args()
    rng = random.Random(8)
    random_ones = [("a random polygon", *drawn(rng), None) for _ in range(wish.count)]
    asked = KNOWN + random_ones
    lines = "".join(json.dumps({"corners": c, "mean": m, "sd": s, "correlation": r}) + "\n" for _, c, m, s, r, _ in asked)
    command = [wish.bin] if wish.bin else ["cargo", "run", "-q", "-p", "extrados", "--example", "chances"]
    done = subprocess.run(command, input=lines, capture_output=True, text=True, cwd=ROOT, env=os.environ, check=False)
    if done.returncode != 0:
        print(done.stderr)
        return 1
    told = [json.loads(line) for line in done.stdout.splitlines()]
    wrong, worst = [], 0.0
    for got, (name, corners, mean, sd, correlation, known) in zip(told, asked, strict=True):
        # Which way round the corners go is the polygon's sign.
        got = abs(got)
        expected = by_strips(corners, mean, sd, correlation)
        worst = max(worst, abs(got - expected))
        if not abs(got - expected) <= LIMIT:
            wrong.append(f"{name} {corners} {mean} {sd} {correlation}: {got} and by strips {expected}")
        if known is not None:
            record("scipy.integrate, scipy.stats", "probability of a polygon", name, expected, got, LIMIT)
            if not abs(got - known) <= 1e-9:
                wrong.append(f"{name}: {got} and known {known}")
        if corners is BOX:
            spread = [[sd[0] ** 2, correlation * sd[0] * sd[1]], [correlation * sd[0] * sd[1], sd[1] ** 2]]
            box = multivariate_normal(mean, spread).cdf(BOX[2], lower_limit=BOX[0])
            if not abs(got - box) <= LIMIT:
                wrong.append(f"{name}: {got} and by scipy's multivariate normal {box}")
    compared("scipy.integrate, scipy.stats", f"{wish.count} random polygons: probability of a polygon", worst, LIMIT)
    for line in wrong[:3]:
        print(f"FAILED {line}")
    print(f"{len(asked)} polygons, {len(wrong)} wrong, at most {worst:.1e} apart")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
