"""One result on every engine: what a script of the packed file is told is what the command prints.

Every demo case, the whole report with its room: equal keys, equal words, numbers within 1e-6 mm and
1e-6 degrees. Engines differ by a unit in the last place of sine and cosine, and by nothing else.
"""

import copy
import json
import os
import subprocess
from functools import cache
from pathlib import Path

import pytest
from browser import ENGINES, PAGE, ROOT, browser
from webkit import missing, webkit

# Of every number, in its own unit: mm, degrees, and what follows from them.
LIMIT = 1e-6

COMMAND = Path(os.environ.get("EXTRADOS_BIN", ROOT / "target" / "debug" / "extrados"))
CASES = sorted(
    file for file in (ROOT / "demo-data").glob("*.json") if json.loads(file.read_text(encoding="utf-8"))["format"] == "extrados-case"
)


def printed(file):
    """What the command prints of a case, byte by byte."""
    done = subprocess.run([COMMAND, "report", file, "--json"], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


@cache
def native(file):
    return printed(file)


def differences(here, there, place=""):
    """Where two reports differ by more than the limit, each with both sides."""
    if isinstance(here, dict) and isinstance(there, dict):
        for key in sorted(here.keys() ^ there.keys()):
            yield f"{place}/{key}: only {'here' if key in here else 'there'}"
        for key in here.keys() & there.keys():
            yield from differences(here[key], there[key], f"{place}/{key}")
    elif isinstance(here, list) and isinstance(there, list):
        if len(here) != len(there):
            yield f"{place}: {len(here)} and {len(there)} entries"
        for index, pair in enumerate(zip(here, there)):
            yield from differences(*pair, f"{place}/{index}")
    elif is_number(here) and is_number(there):
        if not abs(here - there) <= LIMIT:
            yield f"{place}: {here!r} and {there!r}"
    elif type(here) is not type(there) or here != there:
        yield f"{place}: {here!r} and {there!r}"


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


@pytest.fixture(scope="module", params=[*ENGINES, "webkit"])
def opened(request):
    """The packed file, opened from the disk in one engine after the other."""
    if not PAGE.exists():
        pytest.fail(f"{PAGE} is not there: build it with `cargo start`.")
    if request.param == "webkit" and missing():
        pytest.skip(f"NOT RUN: one result on every engine: WebKit ({' and '.join(missing())} missing)")
    with webkit() if request.param == "webkit" else browser(request.param) as window:
        yield window.open()


def test_the_file_starts(opened):
    assert opened.state() == "ready", opened.text("#notice")


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_the_page_tells_scripts_what_the_command_prints(opened, file):
    told = opened.ask("(text) => extrados.report(text)", file.read_text(encoding="utf-8"))
    found = list(differences(told, json.loads(native(file))))
    assert not found, f"{len(found)} differences: " + "; ".join(found[:20])


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_two_native_runs_give_the_same_bytes(file):
    assert printed(file) == native(file)


def test_the_comparison_would_notice():
    report = json.loads(native(CASES[0]))
    assert report["tunnels"] and not list(differences(report, report))

    def spoilt(change):
        other = copy.deepcopy(report)
        change(other["tunnels"][0])
        return len(list(differences(other, report)))

    assert spoilt(lambda tunnel: tunnel.update(clearance_mm=tunnel["clearance_mm"] + 2e-6)) == 1
    assert spoilt(lambda tunnel: tunnel.update(clearance_mm=None)) == 1
    assert spoilt(lambda tunnel: tunnel.update(id="other")) == 1
    assert spoilt(lambda tunnel: tunnel.pop("clearance_mm")) == 1
    assert spoilt(lambda tunnel: tunnel.update(unheard_of=0)) == 1
