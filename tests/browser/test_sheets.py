"""The sheets as the browsers print them: measured like those of the command, and edited on their stage."""

import sys
from pathlib import Path

import pytest
from selenium.webdriver.common.keys import Keys

import page as use

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import printed  # noqa: E402

PAPERS = {"a4": (297, 210), "letter": (279.4, 215.9)}
# Allowed, mm: length of a check bar, and of the paper as printers round it.
BAR_MM, PAPER_MM = 0.3, 0.4


def sheets(page, *chosen):
    """Opens the stage of the sheets and chooses paper and pages."""
    page.find("[data-do='stage:sheets']").click()
    page.until(lambda: page.driver.find_elements("css selector", "#sheet svg"), "the pages")
    for what in chosen:
        page.find(f"[data-do='sheets:{what}']").click()


def longest(page):
    """The demo with the most to print."""
    labels = use.demos(page)
    use.open_demo(page, next(index for index, label in enumerate(labels) if "dissection" in label))


def take_back(page):
    """Undoes what was edited: a browser asks before it leaves a case that is not saved."""
    while "not saved" in page.text("#bar"):
        use.press(page, "undo")


@pytest.mark.parametrize("paper", PAPERS)
def test_printed_pages_hold_all_and_are_true_to_size(page, paper):
    longest(page)
    report = page.ask("(text) => extrados.report(text)", use.save(page).read_text(encoding="utf-8"))
    sheets(page, paper, "true-size")
    page.until(lambda: len(page.driver.find_elements("css selector", "#sheet svg")) > 4, "the pages at true size")
    shown = len(page.driver.find_elements("css selector", "#sheet svg"))
    pages = printed.pages(page.print_pdf(f"sheets-{paper}", PAPERS[paper]))
    assert len(pages) == shown, "as many pages as are shown, and none empty"
    for one in pages:
        assert one.size_mm == pytest.approx(PAPERS[paper], abs=PAPER_MM)
        assert one.margin_mm() >= 5.0
        assert "not a medical device" in one.text
    missing = [entry for entry in report["sheet"] if not any(one.holds(entry["text"]) for one in pages[:3])]
    assert missing == []
    true_size = [one for one in pages if "at true size" in one.text]
    assert true_size
    for one in true_size:
        assert one.bars_mm() == pytest.approx([50, 50], abs=BAR_MM)


def test_a_checklist_of_one_s_own_is_edited_and_printed(page):
    use.open_demo(page)
    sheets(page)
    page.find("#stage details summary").click()
    page.find("button[data-do='row-add:/procedure/checklist']").click()
    page.until(lambda: page.driver.find_elements("id", "field-procedure-checklist-0-text"), "its lines")
    line = page.find("#field-procedure-checklist-0-text")
    line.send_keys(Keys.CONTROL, "a")
    line.send_keys("Everybody knows the exits", Keys.ENTER)
    page.until(lambda: "Everybody knows the exits" in page.find("#sheet").get_attribute("textContent"), "the new line")
    pages = printed.pages(page.print_pdf("sheets-own"))
    assert any("Everybody knows the exits" in one.text for one in pages)
    take_back(page)


def test_what_was_done_is_filled_in_and_told_from_the_plan(page):
    use.open_demo(page)
    sheets(page)
    page.driver.find_elements("css selector", "#stage details summary")[1].click()
    field = page.find("#field-done-landing_station_mm")
    field.send_keys("9,5", Keys.ENTER)
    page.until(lambda: "from the plan" in page.text("#stage"), "the difference")
    page.until(lambda: "Landed at" in page.find("#sheet").get_attribute("textContent"), "the record on the sheet")
    take_back(page)


@pytest.mark.parametrize("form", ["svg", "csv", "json"])
def test_exports_are_saved(page, form):
    use.open_demo(page)
    sheets(page)
    file = page.downloaded(lambda: page.find(f"[data-do='export:{form}']").click())
    text = file.read_text(encoding="utf-8")
    assert file.suffix == f".{form}"
    assert {"svg": "</svg>", "csv": "part,id,lie", "json": '"extrados-report"'}[form] in text
