"""What the oracles share: asking the program, spoiling a report, telling what failed. Knows no geometry."""
import copy
import json
import pathlib
import subprocess
import sys
import tempfile

import numpy as np

import outside


def run(program, *arguments):
    """Standard output of the program; the whole comparison fails if it fails."""
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{program} {' '.join(map(str, arguments))} ended with status {done.returncode}: {(done.stderr or done.stdout).strip()[:2000]}")
    return done.stdout


def report_of(program, path):
    """Report of a case file as an object."""
    text = run(program, "report", path, "--json")
    if not text.strip():
        raise RuntimeError(f"{program} report {path} --json wrote nothing")
    return json.loads(text)


def report_on(program, case):
    """Report of a case that is no file."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "case.json"
        path.write_text(json.dumps(case), encoding="utf-8")
        return report_of(program, path)


def changed(report, path, amount):
    """The same report with one number made wrong."""
    spoilt = copy.deepcopy(report)
    place = spoilt
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] += amount
    return spoilt


def told(results, source, unit=lambda what, limit: "", beside=False):
    """Leaves every (what, difference, limit, good) for the validation report, says what failed, and gives the exit status."""
    for what, difference, limit, good in results:
        outside.compared(source, what, difference, limit, unit(what, limit), beside=beside)
        if not good or "-v" in sys.argv:
            print(f"{'ok  ' if good else 'MISS'} {what}: {difference:.4g} (limit {limit:g})")
    failed = sum(not good for *_, good in results)
    print(f"{len(results) - failed} passed, {failed} failed")
    return 1 if failed or not results else 0


def roughness(x):
    """Reinsch's dense Q and R of the knots x: ∫ f'' squared is fᵀ Q R⁻¹ Qᵀ f of a natural cubic spline."""
    h, n = np.diff(x), len(x)
    q, r = np.zeros((n, n - 2)), np.zeros((n - 2, n - 2))
    for j in range(n - 2):
        q[j:j + 3, j] = 1 / h[j], -1 / h[j] - 1 / h[j + 1], 1 / h[j + 1]
        r[j, j] = (h[j] + h[j + 1]) / 3
        if j + 1 < n - 2:
            r[j, j + 1] = r[j + 1, j] = h[j + 1] / 6
    return q, r
