"""A person opens a demo, drags, saves and prints."""

from pypdf import PdfReader

import page as use


def test_a_drag_changes_the_results(page):
    use.open_demo(page)
    before = use.results(page)
    use.drag_graft(page, 60)
    assert use.results(page) != before


def test_saving_gives_a_file(page):
    use.open_demo(page)
    assert use.save(page).suffix == ".json"


def test_printing_gives_one_page(page):
    use.open_demo(page)
    for name, paper_mm in (("a4", (297, 210)), ("letter", (279.4, 215.9))):
        pages = PdfReader(page.print_pdf(f"sheet-{name}", paper_mm)).pages
        assert len(pages) == 1
        width, height = (float(side) * 25.4 / 72 for side in pages[0].mediabox[2:])
        assert abs(width - paper_mm[0]) < 1 and abs(height - paper_mm[1]) < 1
