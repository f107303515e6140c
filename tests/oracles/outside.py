"""Leaves a line for each check against something outside the project.

Where the environment variable EXTRADOS_OUTSIDE names a file, a line of JSON is added to it, from which
`cargo run -p extrados-pack -- validate` writes the validation report; without it nothing is written. The checks
themselves pass and fail where they stand. The Rust tests do the same in `crate/core/tests/outside`.
"""
import json
import math
import os


def record(source, check, input, expected, got, tolerance, unit="", compared=0, beside=False):
    """One check: what was expected and got, both in a unit, with the tolerance between them.

    `compared`: of a comparison with another computation, how many numbers it stands for; `got` is then
    the largest difference and `expected` 0. `beside`: it shows a reference right and asks nothing of the program.
    """
    file = os.environ.get("EXTRADOS_OUTSIDE")
    if not file:
        return
    line = {"source": source, "check": check, "input": input, "expected": plain(expected), "got": plain(got), "tolerance": plain(tolerance), "unit": unit}
    if compared:
        line["compared"] = compared
    if beside:
        line["beside"] = True
    with open(file, "a", encoding="utf-8") as out:
        out.write(json.dumps(line, ensure_ascii=False) + "\n")


def compared(source, what, difference, tolerance, unit="", beside=False):
    """A difference from an independent computation; `what` reads `input: quantity`."""
    input, _, check = what.rpartition(": ")
    record(source, check, input, 0, difference, tolerance, unit, compared=1, beside=beside)


def plain(number):
    """A number that JSON can hold; none where there is none."""
    if number is None or isinstance(number, str):
        return number
    number = float(number)
    return number if math.isfinite(number) else None
