"""A person types a dissection by table, plans it to no remaining flow, and takes a piece out again."""

import json
from pathlib import Path

import page as use
from test_entry import paste

DEMO = json.loads((Path(__file__).resolve().parents[2] / "demo-data" / "dissection.json").read_text(encoding="utf-8"))
KEPT = {"true_lumen": ["station_mm", "diameter_mm", "centre_clock_deg", "flap_clock_deg", "whole_diameter_mm"],
        "ways": ["kind", "station_mm", "clock_deg", "in_vessel", "at_mm", "along_mm", "across_mm", "closed_by", "stage", "left_on_purpose"]}
KINDS = {"suture_line": "suture line", "reentry": "re-entry", "ascending_tube": "ascending tube"}


def letters(value):
    """A cell as it stands on a sheet."""
    if value is None or value is False:
        return "" if value is None else "no"
    if value is True:
        return "yes"
    if isinstance(value, list):
        return ", ".join(value)
    return KINDS.get(value, str(value))


def put(page, table, rows):
    """Pastes rows into the empty row of a table."""
    target = page.find(f"#section-{table} tbody tr.blank [data-cell]")
    paste(page, target, "\n".join("\t".join(row) for row in rows))
    count = len(rows)
    page.until(
        lambda: page.ask("(t) => document.querySelectorAll(`#section-${t} tbody tr:not(.blank)`).length", table) >= count,
        f"the rows of {table}",
    )


def bare(folder):
    """The demo without what a dissection adds: centreline, lumen, ostia and vessels, and the arch graft."""
    case = json.loads(json.dumps(DEMO))
    case["anatomy"] |= {"true_lumen": [], "ways": [], "bypasses": [], "landmarks": []}
    case["components"] = case["components"][:1]
    case.pop("procedure")
    case["label"] = "typed dissection"
    file = folder / "bare.json"
    file.write_text(json.dumps(case), encoding="utf-8")
    return file


def degrees(row):
    """Clocks typed in degrees with their sign, as the sheet of this test has them."""
    return [f"{cell}°" if key.endswith("clock_deg") and cell else cell for key, cell in row]


def test_a_dissection_is_typed_and_planned_to_no_remaining_flow(page, tmp_path):
    use.open_file(page, bare(tmp_path))
    page.find("button[data-do='stage:measurements']").click()
    page.until(lambda: page.driver.find_elements("css selector", "#section-ways"), "the tables")
    page.ask("() => document.querySelectorAll('#stage details').forEach((d) => { d.open = true })")
    tubes = [c for c in DEMO["components"] if c["kind"] == "extension"]
    put(page, "tubes", [[letters(c["kind"]), str(c["placement"]["station_mm"]), str(c["graft"]["length_mm"]),
                         str(c["graft"]["sections"][0]["from_diameter_mm"]), str(c["graft"]["sections"][0]["to_diameter_mm"]), str(c["stage"])] for c in tubes])
    plugs = [c for c in DEMO["components"] if c["kind"] == "plug"]
    put(page, "plugs", [[c["in"], str(c["at_mm"]), str(c["length_mm"]), str(c["diameter_mm"]), str(c["stage"])] for c in plugs])
    put(page, "bypasses", [[b["kind"], b["from"], b["to"], b["state"], str(b["stage"])] for b in DEMO["anatomy"]["bypasses"]])
    put(page, "landmarks", [["coeliac", str(DEMO["anatomy"]["landmarks"][0]["station_mm"])]])
    for table, keys in KEPT.items():
        rows = []
        for item in DEMO["anatomy"][table]:
            # The pieces typed here are named by the page.
            item = {**item, "closed_by": [{"ext": "tube1", "ext2": "tube2"}.get(c, c) for c in item.get("closed_by", [])]}
            rows.append(degrees([(key, letters(item.get(key))) for key in keys]))
        put(page, table, rows)
    page.find("button[data-do='stage:extent']").click()
    page.until(lambda: "no flow into the false lumen" in page.text("#stage"), "the plan to close every way")
    said = page.text("#stage")
    assert "left on purpose: w5" in said and "still flows: w1, w2, w3, w4" in said
    saved = json.loads(use.save(page).read_text(encoding="utf-8"))
    for table, keys in KEPT.items():
        for typed, wanted in zip(saved["anatomy"][table], DEMO["anatomy"][table], strict=True):
            for key in keys:
                if key != "closed_by":
                    assert typed.get(key) == wanted.get(key) or (not typed.get(key) and not wanted.get(key)), (table, key)
    page.find("button[data-do='stage:measurements']").click()
    page.until(lambda: page.driver.find_elements("css selector", "#section-plugs"), "the tables")
    before = page.ask("() => document.querySelectorAll('#section-plugs tbody tr:not(.blank)').length")
    assert before == 1
    use.press(page, "undo")


def test_the_extent_of_the_demo_is_one_key_away_and_drawn(page):
    labels = use.demos(page)
    use.open_demo(page, next(i for i, label in enumerate(labels) if "dissection" in label))
    page.find("#map").send_keys("6")
    page.until(lambda: "What each act is needed for" in page.text("#stage"), "the stage of the extent")
    assert page.ask("() => document.querySelectorAll('#stage .lumens svg').length") == 5
    rows = page.ask("() => [...document.querySelectorAll('#stage table.extent tbody tr')].map((r) => r.textContent)")
    without_plug = next(row for row in rows if row.startswith("plug plug1"))
    assert "flows: w3" in without_plug
    assert "260.5 ± 40.9 mm" in page.text("#stage") and "no verdict" in page.text("#stage")
