"""The JSON Schemas against an outside validator, and against the program's own checking.

Needs the package `jsonschema`. Builds the example `schemas` of the core crate, or takes a built one
from the first argument.

1. Each schema is itself a good schema of draft 2020-12.
2. The reference cases fit; each of a list of known mistakes does not.
3. On thousands of mutated documents schema and program agree whether there is a fault of shape.
   What a schema cannot express is listed in `BEYOND_THE_SCHEMA`.
"""

import copy
import json
import pathlib
import random
import subprocess
import sys

import jsonschema

import outside

ROOT = pathlib.Path(__file__).resolve().parents[2]
MUTATIONS = 3000
# Days such as 30 February; how deep notes are nested.
BEYOND_THE_SCHEMA = {"not_a_date", "too_deep"}


def schemas_program():
    if len(sys.argv) > 1:
        return [sys.argv[1]]
    return ["cargo", "run", "--quiet", "--package", "extrados", "--example", "schemas", "--"]


def load_schemas(program):
    out = subprocess.run(program, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    return json.loads(out)


def judge(program, documents):
    """Codes of the faults of shape that the program finds in each (kind, document)."""
    lines = "".join(json.dumps(pair) + "\n" for pair in documents)
    run = subprocess.run(program + ["judge"], cwd=ROOT, check=True, capture_output=True, text=True, input=lines)
    answers = run.stdout.split("\n")[:-1]
    assert len(answers) == len(documents), (len(answers), len(documents))
    return [set(line.split()) for line in answers]


def good_documents():
    described = json.loads((ROOT / "tests/reference/case-as-described.json").read_text())
    every_key = json.loads((ROOT / "tests/reference/every-key.case.json").read_text())
    graft = {"format": "extrados-graft", "version": 1, **every_key["components"][0]["graft"]}
    rules = {"format": "extrados-rules", "version": 1, "name": "n", "sources": ["s"], "rules": every_key["rules"]}
    report = {
        "format": "extrados-report", "version": 1, "program": "p", "case_sha256": "0" * 64,
        "tunnels": [{"id": "t1", "lie": "middle", "length_kept_by": "axis", "offset_mm": None, "why": "no clock",
                     "mouth_lps_mm": [1, 2, 3], "state": "unknown", "path": None}],
        "room": None, "something_later": {"x": 1},
    }
    return [("case", {"format": "extrados-case", "version": 1}), ("case", described), ("case", every_key),
            ("graft", graft), ("rules", rules), ("report", report)]


def known_mistakes(every_key):
    """(path, value): each makes a good case a bad one."""
    return [
        (["format"], "extrados"), (["version"], 2), (["version"], "1"), (["lable"], ""), (["label"], 5),
        (["label"], "x" * 201), (["ct", "date"], "1.2.2026"), (["clock", "three_oclock_is"], "left"),
        (["anatomy", "ostia", 0, "station_mm"], "70"), (["anatomy", "ostia", 0, "station_mm"], 1001),
        (["anatomy", "ostia", 0, "station_mm"], None), (["anatomy", "ostia", 0, "id"], "a b"),
        (["anatomy", "ostia", 0, "clok_deg"], 1), (["anatomy", "ostia", 0], {"id": "o1"}),
        (["anatomy", "centreline", "points_lps_mm", 0], [0, 0]), (["anatomy", "lumen", 0, "kind"], "aera"),
        (["anatomy", "lumen", 0, "largest_mm"], 30), (["anatomy", "lumen", 3, "radii_mm"], []),
        (["components", 0, "in"], "LSA"), (["components", 0, "stage"], 1.5), (["components", 1, "graft"], {}),
        (["components", 0, "graft", "format"], "extrados-graft"), (["notes"], []),
        (["rules", 0, "line"], "middle"), (["carm", "primary_limit_deg"], [1, 2, 3]),
    ]


def put(document, path, value):
    target = document
    for step in path[:-1]:
        target = target[step]
    target[path[-1]] = value


def places(value, path=()):
    yield path
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from places(item, path + (key,))


def mutated(document, rng):
    document = copy.deepcopy(document)
    for _ in range(rng.randint(1, 3)):
        path = rng.choice([path for path in places(document) if path])
        parent = document
        for step in path[:-1]:
            parent = parent[step]
        what = rng.random()
        if what < 0.2:
            del parent[path[-1]]
        elif what < 0.35 and isinstance(parent, dict):
            parent[rng.choice(["x", "kind", "id", "station_mm", "in", "notes", "why"])] = parent[path[-1]]
        else:
            parent[path[-1]] = rng.choice(
                [None, True, 0, 1, -1, 2.5, 1e6, -400, 7.0, "", "IA", "area", "plug", "x" * 500, "2026-03-31", [], {}, [0, 0, 0], [1, 2]])
    return document


def main():
    program = schemas_program()
    schemas = load_schemas(program)
    validators = {}
    for kind, schema in schemas.items():
        jsonschema.Draft202012Validator.check_schema(schema)
        validators[kind] = jsonschema.Draft202012Validator(schema)
        assert schema["$id"].startswith("urn:extrados:"), kind
    good = good_documents()
    for kind, document in good:
        errors = [error.message for error in validators[kind].iter_errors(document)]
        assert not errors, (kind, errors)
    assert all(not codes for codes in judge(program, good)), "the program refuses a good document"

    every_key = good[2][1]
    bad = []
    for path, value in known_mistakes(every_key):
        document = copy.deepcopy(every_key)
        put(document, path, value)
        assert not validators["case"].is_valid(document), path
        bad.append(("case", document))
    assert all(judge(program, bad)), "the program passes a known mistake"

    rng = random.Random(20240229)
    documents = [(kind, mutated(document, rng)) for kind, document in (rng.choice(good[1:]) for _ in range(MUTATIONS))]
    fits = 0
    for (kind, document), codes in zip(documents, judge(program, documents)):
        valid = validators[kind].is_valid(document)
        fits += valid
        if codes and codes <= BEYOND_THE_SCHEMA:
            continue
        assert valid == (not codes), (kind, codes, [e.message[:200] for e in validators[kind].iter_errors(document)])
    assert MUTATIONS / 20 < fits < MUTATIONS * 19 / 20, "the mutations are all of one sort"
    outside.record("jsonschema, draft 2020-12 (tests/oracles/test_schema.py)", "documents on which schema and program disagree", f"{len(good)} good ones, {len(bad)} known mistakes, {MUTATIONS} mutations", 0, 0, 0, compared=len(good) + len(bad) + MUTATIONS)
    print(f"schemas: 4 good, {len(good)} documents fit, {len(bad)} mistakes refused, "
          f"{MUTATIONS} mutations agree ({fits} of them fit)")


if __name__ == "__main__":
    main()
