"""Times the independent reference on every demo case, beside which the build tool's `bench` puts the program.

The reference works on the middle of the lumen alone and looks every nearest point up by brute force; it was written to
be right, not quick. No check, so `verify` does not run it.
"""
import json
import os
import pathlib
import statistics
import time

from reference import Reference, load

DEMOS = pathlib.Path(__file__).resolve().parent.parent.parent / "demo-data"
TIMES = 3


def main():
    for path in sorted(DEMOS.glob("*.json")):
        case = load(path)
        if case.get("format") != "extrados-case" or not case["anatomy"].get("centreline"):
            continue
        taken = []
        for _ in range(TIMES):
            before = time.perf_counter()
            Reference(case)
            taken.append(1000 * (time.perf_counter() - before))
        median = statistics.median(taken)
        print(f"{path.name:32} {median:10.1f} ms")
        if os.environ.get("EXTRADOS_TIMES"):
            with open(os.environ["EXTRADOS_TIMES"], "a", encoding="utf-8") as out:
                out.write(json.dumps({"what": "the Python reference", "of": path.name, "ms": median}) + "\n")


main()
