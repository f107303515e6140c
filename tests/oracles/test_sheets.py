#!/usr/bin/env python3
"""Checks the printed sheets as printed: PDFs of the command, read and drawn by PDFium.

    python3 tests/oracles/test_sheets.py [--bin PATH]

Of every demo, of cases made longer, of an open hand and of a measuring sheet, on both papers: every
entry of the report's sheet is there, nothing lies in the margin, no words run into others, no letter
of the first page is under 11 points, check bars are 50 mm within 0.3, two runs give the same bytes.
Needs numpy and pypdfium2. Exit status 0 all passed, 1 a difference.
"""
import argparse
import copy
import json
import os
import pathlib
import re
import sys
import tempfile

import printed
from checks import run

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
DEMOS = ["plain-arch", "steep-arch", "dissection", "common-trunk"]
PAPERS = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
# Allowed, mm: a check bar's length; room that the margin must leave free of ink.
BAR_MM, MARGIN_MM = 0.3, 5.0
RESULTS = []


def check(what, good, found=""):
    RESULTS.append((what, bool(good), found))


def load(name):
    return json.loads((ROOT / "demo-data" / f"{name}.json").read_text(encoding="utf-8"))


def cases():
    """Every demo, and what is harder to lay out."""
    yield from ((name, load(name)) for name in DEMOS)
    long = load("dissection")
    long["label"] = "A label as long as anybody would type it, with the words that somebody thought of on that day"
    long["procedure"] = {
        "planned_on": "2026-03-31",
        "fallback": "If the left carotid shuts while the innominate is wired: through the arm, then " * 4,
        "steps": [
            {"do": "release", "on": "arch", "from_access": "groin", "sheath_outer_mm": 8, "view": "o1", "wire": "in"},
            {"do": "catheterise", "on": "t1", "from_access": "right_arm", "sheath_outer_mm": 4, "view": "t1"},
            {"do": "bridge", "on": "t1", "from_access": "right_arm", "view": "LAO 51 / CRA 2"},
            {"do": "catheterise", "on": "t2", "from_access": "left_neck", "view": "t2"},
            {"do": "bridge", "on": "t2"},
            {"do": "balloon", "on": "arch"},
            {"do": "release", "on": "ext", "view": "ext"},
            {"do": "close", "on": "LSA"},
            {"do": "remove_wire"},
        ] * 3,
        "checklist": [{"text": f"Line {n} of a list of one's own, which goes on and on until it is done", "source": "own"} for n in range(30)],
    }
    long["ct"]["date"] = "2026-03-01"
    long["alternatives"] = [
        {"name": "further down", "changes": {"diagnosis": "another"}},
        {"name": "with another measuring", "changes": {"ct": {"measured_by": "somebody else"}}},
    ]
    long["done"] = {"landing_station_mm": 16.5, "turn_deg": -12, "stents": [{"serves": "IA", "length_mm": 60, "diameter_mm": 11}]}
    yield "long", long
    unanswered = load("steep-arch")
    unanswered["clock"]["three_oclock_is"] = None
    yield "open hand", unanswered
    rough = load("plain-arch")
    rough["anatomy"]["centreline"] = None
    rough["anatomy"]["sheet_arch"] = {
        "from_station_mm": 30, "to_station_mm": 130, "inner_mm": 60, "outer_mm": 140, "centre_mm": None, "width_mm": 80, "height_mm": None,
        "radius_mm": None, "diameter_mm": 34, "plane_from_sagittal_deg": None,
    }
    yield "rough", rough
    yield "empty", {"format": "extrados-case", "version": 1}


def meet(a, b):
    """Whether two boxes share more than a hair."""
    hair = 0.25
    return a[0] < b[2] - hair and b[0] < a[2] - hair and a[1] < b[3] - hair and b[1] < a[3] - hair


def collisions(page):
    """Pairs of letters that lie over each other; a letter drawn twice in one place is one."""
    letters = sorted(set((l[0], *(round(side, 2) for side in l[1:])) for l in page.letters_mm()), key=lambda l: l[1])
    found = []
    for index, one in enumerate(letters):
        for other in letters[index + 1 :]:
            if other[1] > one[3]:
                break
            if meet(one[1:], other[1:]):
                found.append(one[0] + other[0])
    return found


def days(first, last):
    from datetime import date

    return (date.fromisoformat(last) - date.fromisoformat(first)).days


def look(program, folder, name, case, paper):
    path, out, again = folder / "case.json", folder / "out.pdf", folder / "again.pdf"
    path.write_text(json.dumps(case), encoding="utf-8")
    report = json.loads(run(program, "report", path, "--json"))
    run(program, "sheet", path, "-o", out, "--paper", paper, "--true-size")
    run(program, "sheet", path, "-o", again, "--paper", paper, "--true-size")
    this = f"{name}, {paper}"
    check(f"{this}: two runs give the same bytes", out.read_bytes() == again.read_bytes())
    pages = printed.pages(out)
    wall, lists = pages[0], [page for page in pages[1:] if "at true size" not in page.text]
    true_size = [page for page in pages if "at true size" in page.text]
    check(f"{this}: paper", all(abs(a - b) < 0.02 for page in pages for a, b in zip(page.size_mm, PAPERS[paper])))
    missing = [entry["id"] for entry in report["sheet"] if not any(page.holds(entry["text"]) for page in [wall, *lists])]
    check(f"{this}: every entry of the report's sheet ({len(report['sheet'])})", not missing, missing)
    check(f"{this}: margins", min(page.margin_mm() for page in pages) >= MARGIN_MM, [round(float(page.margin_mm()), 1) for page in pages])
    check(f"{this}: letters of 11 points on the wall sheet", min(wall.sizes_pt()) >= 10.99, min(wall.sizes_pt()))
    check(f"{this}: cautions on every page", all("not a medical device" in page.text and "Licensed physicians decide" in page.text for page in pages))
    overlaps = {number + 1: found for number, page in enumerate(pages) if (found := collisions(page)) and page in lists}
    check(f"{this}: no words over others on the lists", not overlaps, overlaps)
    low = wall.text.lower()
    check(f"{this}: no probability and no hash on the wall sheet", not re.search(r"probab|chance|[0-9a-f]{12}", low))
    check(f"{this}: not to scale, and says so", "Not to scale" in wall.text or not report.get("centreline"))
    if name == "rough":
        check(f"{this}: ROUGH on every page", all("ROUGH" in page.text for page in pages))
    if name == "long":
        check(f"{this}: age of the CT", f"{days('2026-03-01', '2026-03-31')} days" in wall.text)
        check(f"{this}: every step", all(any(re.search(rf"\b{n} [A-Z]", page.text) for page in pages) for n in range(1, 28)))
        check(f"{this}: alternatives side by side on one page", sum("side by side" in page.text for page in pages) == 1)
    verdicts = [v for v in report["verdicts"] if v["required"] and v["verdict"] in ("unmet", "unknown")]
    for word in {v["verdict"] for v in verdicts}:
        check(f"{this}: {word} across the head", f"{word.capitalize()}:" in wall.text)
    graft = any(c.get("graft") for c in case.get("components", []))
    check(f"{this}: pages at true size", bool(true_size) or not graft)
    for page in true_size:
        bars = page.bars_mm()
        check(f"{this}: check bars", all(abs(bar - 50) <= BAR_MM for bar in bars), [round(bar, 2) for bar in bars])
        check(f"{this}: says to measure", "measure both bars" in page.text and "No template" in page.text)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bin", default=os.environ.get("EXTRADOS_BIN", str(ROOT / "target" / "debug" / "extrados")))
    program = parser.parse_args().bin
    with tempfile.TemporaryDirectory() as folder:
        for name, case in cases():
            for paper in PAPERS:
                look(program, pathlib.Path(folder), name, copy.deepcopy(case), paper)
    failed = [(what, found) for what, good, found in RESULTS if not good]
    for what, found in failed:
        print(f"FAILED {what}: {found}")
    print(f"{len(RESULTS) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
