"""Pictures for a person to look at; and what a machine can see of the fit."""

import pytest

import page as use


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_the_page_fits_the_window(page, size):
    page.fit(size)
    use.open_demo(page)
    page.screenshot(f"demo-{size[0]}x{size[1]}")
    assert page.ask("() => [innerWidth, innerHeight]") == list(size)
    assert page.ask("() => document.documentElement.scrollWidth <= innerWidth"), "it scrolls sideways"
