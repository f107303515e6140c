#!/usr/bin/env python3
"""Published figures that the rule sets and the anatomy report lean on, worked out again by plain arithmetic.

    python3 tests/oracles/test_published.py

Nothing here uses the program. Cohort means test plausibility and no patient. The last block is a
CALIBRATION, not a validation: the criteria behind the published shares are not in the reachable
abstract and were inferred, so that agreement was arranged. Needs numpy.
"""
import math
import sys

import numpy as np

import outside

RESULTS = []


def check(what, got, want, limit):
    """Notes one check; not a number fails."""
    RESULTS.append((what, got, want, limit, bool(abs(got - want) <= limit)))


def normal(z):
    """Distribution function of the standard normal."""
    return 0.5 * (1 + math.erf(z / math.sqrt(2)))


def arithmetic():
    # JAHA 2020, PMC7763389: 59 of 153 measurable, of 377 in all. J Vasc Surg 2021: 13 of 41. PMID 29136140: 10 of 59.
    for part, whole, percent in ((59, 153, 38.6), (59, 377, 15.6), (13, 41, 31.7), (10, 59, 16.9)):
        check(f"{part} of {whole}, per cent", 100 * part / whole, percent, 0.1)
    # Rotation of 15 and 25 degrees on a diameter of 34 mm (EJVES 2023, J Vasc Surg 2018).
    check("15 degrees at 34 mm", math.radians(15) * 17, 4.45, 0.02)
    check("25 degrees at 34 mm", math.radians(25) * 17, 7.42, 0.02)
    # A torus that turns by theta: outer less inner length = theta D.
    check("outer less inner, 90 degrees at 34 mm", math.radians(90) * 34, 53.4, 0.05)
    check("outer less inner, 103.8 degrees at 34 mm", math.radians(103.8) * 34, 61.6, 0.05)


def ascending_length():
    # Int J Cardiol Heart Vasc 2026, 10.1016/j.ijcha.2026.101874: junction to innominate 70.7 (11.6) mm in men, 64.1 (11.4)
    # in women, n = 986. Share of at least 50 mm, the limit of registry listing 309374.
    check("at least 50 mm, men", 100 * (1 - normal((50 - 70.7) / 11.6)), 96.3, 0.2)
    check("at least 50 mm, women", 100 * (1 - normal((50 - 64.1) / 11.4)), 89.2, 0.2)
    # The registry's rules on mean anatomy: 33 mm between centres, half of 14.2 and half of 10.5 beyond.
    check("span of the arch vessels", 33 + 14.2 / 2 + 10.5 / 2, 45.4, 0.1)


def calibration():
    # J Endovasc Ther, 104 patients, three models with 110, 90 and 70 mm between the outer mouths: 73, 79 and 68 % suitable.
    # INFERRED criteria: LSA 8 to 13 mm, and 27 to 90 mm left to share between the two gaps; independent normals.
    rng = np.random.default_rng(2026)
    n = 400_000
    lsa = rng.normal(10.5, 2.0, n)
    apart = rng.normal(33.0, 9.4, n)
    for span, model, paper in ((110, 72.5, 73), (90, 79.0, 79), (70, 67.6, 68)):
        left = span - apart
        share = 100 * np.mean((lsa >= 8) & (lsa <= 13) & (left >= 27) & (left <= 90))
        check(f"CALIBRATION, {span} mm: inferred model", share, model, 0.5)
        check(f"CALIBRATION, {span} mm: paper, n = 104", share, paper, 8)


def main():
    for part in (arithmetic, ascending_length, calibration):
        part()
    for what, got, want, limit, good in RESULTS:
        outside.record("published figures by plain arithmetic, without the program (tests/oracles/test_published.py)", what, "", want, got, limit, beside=True)
        if not good or "-v" in sys.argv:
            print(f"{'ok  ' if good else 'MISS'} {what}: {got:.4g}, expected {want:g} (limit {limit:g})")
    failed = sum(not good for *_, good in RESULTS)
    print(f"{len(RESULTS) - failed} passed, {failed} failed")
    return 1 if failed or not RESULTS else 0


if __name__ == "__main__":
    sys.exit(main())
