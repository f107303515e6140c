"""A person types a measuring sheet: by keyboard alone, by pasting, with mistakes, and in alternatives."""

import json
from importlib.util import find_spec
from pathlib import Path

import pytest
from pypdf import PdfReader
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

import page as use

class Hand:
    """A hand on the keyboard that counts its strokes."""

    def __init__(self, window):
        self.window = window
        self.strokes = 0

    def press(self, *keys):
        for key in keys:
            self.window.keys(key)
            self.strokes += 1

    def type(self, letters):
        self.window.keys(letters)
        self.strokes += len(letters)

    def focus(self):
        return self.window.ask(
            "() => { const e = document.activeElement; return e.id || e.dataset.do || e.textContent.slice(0, 40) }"
        )

    def tab_to(self, wanted, most=40, key=Keys.TAB):
        """Tabs until the focus is on what is wanted."""
        seen = []
        for _ in range(most):
            if self.focus() == wanted:
                return
            self.press(key)
            seen.append(self.focus())
        raise AssertionError(f"{wanted} was not reached: {seen}")


def state(page):
    """What of the tables is in the case, as a script reads it from the saved file."""
    return json.loads(use.save(page).read_text(encoding="utf-8"))


def cells(page, table):
    """The letters of a table, row by row, without the empty row."""
    return page.ask(
        "(t) => [...document.querySelectorAll(`#section-${t} tbody tr:not(.blank)`)]"
        ".map((row) => [...row.querySelectorAll('[data-cell]')].map((cell) => cell.value))",
        table,
    )


def begin(page):
    use.press(page, "new")
    page.until(lambda: "case.json" in page.text("#bar"), "the empty case")


def cell(page, table, row, column):
    return page.find(f"#cell-{table}-{row}-{column}")


def paste(page, target, text):
    """Pastes as the browser would hand it over."""
    page.ask(
        "(id, text) => { const data = new DataTransfer(); data.setData('text/plain', text);"
        "const cell = document.getElementById(id); cell.focus();"
        "cell.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, data: text, dataType: 'text/plain', bubbles: true, cancelable: true })) }",
        target.get_attribute("id"),
        text,
    )


def test_twelve_values_by_keyboard_alone_to_a_printed_sheet(page):
    hand = Hand(page)
    # From a page on which nothing has the focus: New is the first stop.
    hand.press(Keys.TAB, Keys.ENTER)
    page.until(lambda: "case.json" in page.text("#bar") and hand.focus() == "hand:front_left", "the first question")
    hand.press(Keys.SPACE)
    page.until(lambda: "3:00 front-left" in page.text("#entry"), "the answer")
    # The steps of a first case lead to the arch.
    hand.tab_to("go:arch")
    hand.press(Keys.ENTER)
    page.until(lambda: hand.focus() == "arch:points", "the arch's choice")
    hand.press(Keys.ARROW_RIGHT)
    page.until(lambda: page.driver.find_elements(By.ID, "field-anatomy-sheet_arch-from_station_mm"), "the sheet's lengths")
    hand.tab_to("field-anatomy-sheet_arch-from_station_mm")
    for value in ("30", "130", "78", "122"):
        hand.type(value)
        hand.press(Keys.TAB)
    hand.press(Keys.TAB)
    hand.type("34")
    hand.tab_to("cell-lumen-0-station_mm")
    for station, diameter in (("0", "36"), ("99", "34")):
        hand.type(station)
        hand.press(Keys.TAB)
        hand.type(diameter)
        hand.press(Keys.ENTER)
    hand.press(Keys.TAB)
    assert hand.focus() == "cell-ostia-0-vessels"
    hand.type("IA")
    hand.press(Keys.TAB, Keys.TAB)
    hand.type("62")
    hand.press(Keys.TAB, Keys.TAB)
    hand.type("1:00")
    hand.press(Keys.ENTER)
    page.until(lambda: "computing" not in page.text("#head").lower(), "the results")
    case = state(page)
    assert case["anatomy"]["sheet_arch"]["outer_mm"] == 122
    assert [section["diameter_mm"] for section in case["anatomy"]["lumen"]] == [36, 34]
    assert case["anatomy"]["ostia"][0]["clock_deg"] == 30
    assert "ROUGH" in page.text("#head")
    hand.strokes += 1  # Ctrl + P, which a test cannot press: it would open the printer's own dialog.
    pages = PdfReader(page.print_pdf("sheet-typed")).pages
    assert all("ROUGH" in sheet.extract_text() for sheet in pages)
    print(f"{page.engine}: {hand.strokes} strokes")
    assert hand.strokes <= 120


def test_thirty_rows_are_pasted_and_a_bad_one_waits(page):
    begin(page)
    rows = "\r\n".join(f"{k * 5}\t{'broad' if k == 7 else f'3{k % 10},5'}" for k in range(30))
    paste(page, cell(page, "lumen", 0, "station_mm"), f"Station\tDiameter\r\n{rows}\r\n")
    page.until(lambda: "30 rows were pasted; 1 need" in page.text("#told"), "the paste")
    page.until(lambda: page.ask("() => document.activeElement.id") == "entry-faults", "the list of faults to take the focus")
    assert "“broad” is no number" in page.text("#entry-faults")
    shown = cells(page, "lumen")
    assert len(shown) == 30 and shown[1][:2] == ["5", "31.5"] and shown[29][:2] == ["35", "broad"]
    page.find("#entry-faults button").click()
    assert page.ask("() => document.activeElement.id") == "cell-lumen-29-area_mm"
    page.keys("33", Keys.ENTER)
    page.until(lambda: not page.driver.find_elements(By.ID, "entry-faults"), "the mended row")
    assert len(state(page)["anatomy"]["lumen"]) == 30


def test_fifty_edits_and_all_of_them_undone(page):
    use.open_demo(page)
    page.find("[data-do='stage:measurements']").click()
    page.until(lambda: page.driver.find_elements(By.ID, "cell-ostia-0-station_mm"), "the tables")
    # A file that is saved takes the focus from Firefox's window, so what was there is read from the tables.
    before = [cells(page, table) for table in ("lumen", "ostia", "vessels")]
    cell(page, "ostia", 0, "station_mm").click()
    cell(page, "ostia", 0, "station_mm").send_keys(Keys.CONTROL, "a")
    for k in range(50):
        page.keys(f"{60 + k / 10:.1f}".replace(".", ","), Keys.ENTER, Keys.ARROW_UP)
    page.until(lambda: cells(page, "ostia")[0][2] == "64.9", "the last of fifty edits")
    for _ in range(50):
        use.press(page, "undo")
    page.until(lambda: page.find("button[data-do='undo']").get_attribute("disabled"), "all to be undone")
    assert [cells(page, table) for table in ("lumen", "ostia", "vessels")] == before
    assert "not saved" not in page.text("#bar"), "the case is that of its file again"


def test_a_cell_behaves_as_in_a_spreadsheet(page):
    begin(page)
    cell(page, "lumen", 0, "station_mm").click()
    page.keys("10", Keys.TAB, "34", Keys.TAB)
    focus = lambda: page.ask("() => document.activeElement.id")
    assert focus() == "cell-lumen-0-largest_mm"
    page.keys(Keys.ARROW_LEFT, Keys.ARROW_DOWN)
    assert focus() == "cell-lumen-1-area_mm"
    page.keys("31", Keys.ARROW_LEFT)
    assert focus() == "cell-lumen-1-area_mm", "within the letters the arrow is the letters'"
    page.keys(Keys.HOME, Keys.ARROW_LEFT)
    page.keys("0", Keys.ENTER)
    assert [row[:2] for row in cells(page, "lumen")] == [["0", "31"], ["10", "34"]], "rows keep their order"
    cell(page, "lumen", 1, "area_mm").click()
    page.keys("99", Keys.ESCAPE)
    assert cells(page, "lumen")[1][1] == "34", "Escape puts back what stood there"
    page.keys("wide", Keys.ENTER)
    field = cell(page, "lumen", 1, "area_mm")
    assert field.get_attribute("aria-invalid") == "true" and field.get_attribute("value") == "wide"
    assert "no number" in page.text(f"#{field.get_attribute('aria-describedby')}")
    field.click()
    page.keys(Keys.ESCAPE)
    assert cells(page, "lumen")[1][1] == "34", "a bad value replaced nothing"
    cell(page, "lumen", 1, "area_mm").send_keys(Keys.CONTROL, Keys.DELETE)
    page.until(lambda: len(cells(page, "lumen")) == 1, "the row to be removed")


def test_two_alternatives_side_by_side(page):
    use.open_demo(page)
    before = use.results(page)
    page.find("[data-do='alternative-new']").click()
    page.until(lambda: "alternative: alternative 1" in page.text("#bar"), "the alternative")
    use.type_station(page, "15")
    page.until(lambda: use.results(page) != before, "the alternative's own results")
    page.find("[data-do='alternative:case']").click()
    page.until(lambda: use.results(page) == before, "the case's results")
    page.find("[data-do='compare:open']").click()
    page.until(lambda: "computing" not in page.text("#compare") and "Station" in page.text("#compare"), "both plans")
    shown = page.text("#compare")
    assert "the case itself" in shown and "alternative 1" in shown and "→ 15" in shown
    columns = page.ask(
        "() => [...document.querySelectorAll('.compared tbody tr')][1].querySelectorAll('td')[0].textContent"
        " !== [...document.querySelectorAll('.compared tbody tr')][1].querySelectorAll('td')[1].textContent"
    )
    assert columns, "the first tunnel's clearance differs"
    saved = state(page)
    assert saved["alternatives"][0]["changes"]["components"][0]["placement"]["station_mm"] == 15
    page.screenshot("alternatives")


def axe():
    """The text of axe-core, as the package of the test set-up brings it; it never comes near the page's file."""
    home = Path(find_spec("axe_core_python").submodule_search_locations[0])
    return (home / "axe.min.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("stage", ["map", "measurements", "new"])
def test_axe_finds_nothing_serious(page, stage):
    script = axe()
    use.open_demo(page)
    if stage == "new":
        begin(page)
    elif stage == "measurements":
        page.find("[data-do='stage:measurements']").click()
        page.until(lambda: page.driver.find_elements(By.ID, "cell-ostia-0-station_mm"), "the tables")
    found = page.ask(f"async () => {{ {script}; const all = await axe.run(document);"
                     "return all.violations.map((v) => [v.impact, v.id, v.nodes.map((n) => n.html.slice(0, 160))]) }")
    serious = [one for one in found if one[0] in ("serious", "critical")]
    assert serious == [], json.dumps(serious, indent=1)


@pytest.mark.parametrize("size", [(1366, 768), (683, 384)])
def test_nothing_scrolls_sideways(page, size):
    # 683 × 384 is 1366 × 768 at 200 %.
    page.fit(size)
    use.open_demo(page)
    page.find("[data-do='stage:measurements']").click()
    page.until(lambda: page.driver.find_elements(By.ID, "cell-ostia-0-station_mm"), "the tables")
    wide, room = page.ask("() => [document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room
    page.screenshot(f"measurements-{size[0]}")


def ostium_on_map(page):
    """Puts the pointer on something measured: where the map, told to move measurements, says it can be taken."""
    the_map = page.find(use.MAP)
    width, height = the_map.size["width"], the_map.size["height"]
    for down in (0.42, 0.38, 0.46, 0.34, 0.5):
        for across in range(20, 80, 2):
            place = (round((across / 100 - 0.5) * width), round((down - 0.5) * height))
            ActionChains(page.driver, duration=0).move_to_element_with_offset(the_map, *place).perform()
            if the_map.get_attribute("data-cursor") == "grips":
                return place
    raise AssertionError("nothing measured can be taken on the map")


def test_an_ostium_is_dragged_on_the_map_as_one_step(page):
    use.open_demo(page)
    tables = lambda: [cells(page, table) for table in ("ostia", "keep_clear", "wall")]

    def shown():
        page.find("[data-do='stage:measurements']").click()
        page.until(lambda: page.driver.find_elements(By.ID, "cell-ostia-0-station_mm"), "the tables")
        now = tables()
        page.find("[data-do='stage:map']").click()
        return now

    before = shown()
    page.find("[data-do='drags:measured']").click()
    place = ostium_on_map(page)
    page.drag(page.find(use.MAP), 24, 12, 6, place)
    page.until(lambda: "not saved" in page.text("#bar"), "the drag to change the case")
    after = shown()
    assert after != before, "the tables follow"
    use.press(page, "undo")
    page.until(lambda: "not saved" not in page.text("#bar"), "one undo to take it back")
    assert shown() == before
