"""A person opens a case, moves the graft, takes it back, saves, opens again and prints."""

import json

from pypdf import PdfReader
from selenium.webdriver.common.keys import Keys

import page as use


def test_every_demo_opens(page):
    labels = use.demos(page)
    assert len(labels) >= 4
    for index, label in enumerate(labels):
        assert "invented" in label
        use.open_demo(page, index)
        assert "mm" in page.text("#tunnels")


def test_a_drag_is_one_step_of_undo(page):
    use.open_demo(page)
    before = use.results(page)
    use.drag_graft(page, 60, 20)
    after = use.results(page)
    assert after != before
    use.press(page, "undo")
    page.until(lambda: use.results(page) == before, "the drag to be taken back by one undo")
    use.press(page, "redo")
    page.until(lambda: use.results(page) == after, "the drag to be done again")


def test_arrow_keys_and_typed_numbers_move_it_too(page):
    use.open_demo(page)
    before = use.results(page)
    page.find(use.MAP).send_keys(Keys.ARROW_RIGHT)
    page.until(lambda: use.results(page) != before, "the arrow key to move it")
    moved = use.results(page)
    page.find(use.MAP).send_keys(Keys.ARROW_LEFT)
    page.until(lambda: use.results(page) == before, "the arrow key to move it back")
    station = float(page.find(use.STATION).get_attribute("value"))
    use.type_station(page, str(station + 1))
    page.until(lambda: use.results(page) == moved, "1 mm typed to be the same as 1 mm by key")


def test_saved_and_opened_again_gives_the_same_numbers(page):
    use.open_demo(page)
    use.drag_graft(page, 37, 11)
    shown = use.results(page)
    file = use.save(page)
    page.open()
    use.open_file(page, file)
    page.until(lambda: use.results(page) == shown, "the same numbers")
    assert json.loads(file.read_text(encoding="utf-8"))["format"] == "extrados-case"


def test_scripts_get_the_numbers_that_are_shown(page):
    use.open_demo(page)
    report = page.ask("(text) => extrados.report(text)", use.save(page).read_text(encoding="utf-8"))
    clearances = [tunnel["edge_clearance_mm"] for tunnel in report["tunnels"]]
    assert clearances
    shown = page.text("#tunnels").replace("−", "-")
    assert any(f"{clearance:.1f} mm" in shown for clearance in clearances)


def test_printing_gives_the_wall_sheet_first(page):
    use.open_demo(page)
    pages = PdfReader(page.print_pdf("sheet")).pages
    text = " ".join(pages[0].extract_text().split())
    assert "not a medical device" in text and "Patient's label" in text, text
    assert "Checklist" in pages[1].extract_text()
    # Nothing of them stays behind on another stage.
    assert page.ask("() => document.querySelectorAll('#sheet svg').length") == 0


def test_every_button_that_asks_for_files_asks_once_and_breaks_nothing(page):
    use.open_demo(page)
    page.ask(
        "() => { globalThis.asked = 0; document.getElementById('file')"
        ".addEventListener('click', (event) => { globalThis.asked += 1; event.preventDefault() }) }"
    )
    page.ask("() => { for (const panel of document.querySelectorAll('#entry details')) panel.open = true }")
    for count, does in enumerate(("open", "records", "rank:files"), start=1):
        page.find(f"button[data-do='{does}']").click()
        page.until(lambda: page.ask("() => globalThis.asked") == count, f"{does} to ask for a file")
    assert page.complaints() == []


def test_tunnels_are_made_by_one_button_and_one_undo_brings_the_old_ones_back(page):
    # The dissection's maker names steps.
    index = next(index for index, label in enumerate(use.demos(page)) if "dissection" in label)
    use.open_demo(page, index)
    before = page.text("#verdicts")
    # A ranking that goes on does not make it wait.
    for does in ("rank:demos", "design"):
        page.find(f"button[data-do='{does}']").click()
    page.until(lambda: "tunnels were made" in page.text("#told"), "the tunnels")
    assert "→ IA: mouth at" in page.text("#told")
    made = page.text("#verdicts")
    assert made != before
    use.press(page, "undo")
    page.until(lambda: page.text("#verdicts") == before, "the old tunnels")
    assert page.complaints() == []


def test_the_head_says_what_is_forgiven_and_leads_to_the_best(page):
    index = next(index for index, label in enumerate(use.demos(page)) if "dissection" in label)
    use.open_demo(page, index)
    page.until(lambda: "Forgives" in page.text("#head") and "LSA is not surely fed" in page.text("#head"), "the head")
    station = page.find(use.STATION).get_attribute("value")
    page.find("#head button[data-do='place:best']").click()
    page.until(lambda: page.find(use.STATION).get_attribute("value") != station, "the graft to be moved")
    height = page.find(use.MAP).size["height"]
    use.drag_graft(page, 40, 10)
    assert page.find(use.MAP).size["height"] == height, "nothing that is said moves the map"
    assert page.complaints() == []


def test_a_limit_that_is_refused_says_why(page):
    use.open_demo(page)
    field = page.find("#verdicts input[data-field='/rules/0/at_least']")
    field.send_keys(Keys.CONTROL, "a")
    field.send_keys("60", Keys.ENTER)
    page.until(lambda: "lies below the lower one" in page.text("#verdicts"), "the reason")
