"""A person looks for a C-arm view: by table, chart, key and typed angles."""

from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

import page as use

CHART = "#carm-chart"
VIEW = "#carm-at"


def at(page):
    """The view that is looked at, once the page has drawn what it was told."""
    use.results(page)
    return page.find(VIEW).get_attribute("value")


def typed(page, field, text):
    """Types into a field."""
    page.find(field).send_keys(Keys.CONTROL, "a")
    page.find(field).send_keys(text, Keys.ENTER)


def open_stage(page):
    """The stage of the C-arm, of the first demo case."""
    use.open_demo(page)
    page.find("button[data-do='stage:carm']").click()
    page.until(lambda: page.driver.find_elements("css selector", CHART + " svg"), "the chart of views")


def test_chart_key_and_typed_angles_show_a_view(page):
    open_stage(page)
    typed(page, VIEW, "lao 40 cra 10")
    assert at(page) == "LAO 40 / CRA 10"
    page.find(CHART).send_keys(Keys.ARROW_RIGHT, Keys.ARROW_DOWN)
    assert at(page) == "LAO 41 / CRA 9"
    picture = page.find(CHART + " svg")
    hand = ActionChains(page.driver, duration=0).move_to_element_with_offset(picture, 0, -10)
    hand.click_and_hold().move_by_offset(30, 10).move_by_offset(10, 10).release().perform()
    dragged = at(page)
    assert dragged != "LAO 41 / CRA 9"
    assert f"Simulated projection at {dragged}." in page.ask("() => document.querySelector('#projection-title').textContent")
    assert "ostia can move by up to 10 mm" in page.ask("() => document.querySelector('#projection-description').textContent")
    typed(page, VIEW, "sideways")
    page.until(lambda: "LAO 42 / CRA 8" in page.text("#told"), "what is no view to be refused")


def test_a_narrower_reach_is_kept_to_and_taken_back(page):
    open_stage(page)
    before = page.text("#stage")
    typed(page, "#field-carm-primary_limit_deg-1", "20")
    page.until(lambda: "best within reach" in page.text("#stage"), "the views to keep within reach")
    use.press(page, "undo")
    page.until(lambda: page.text("#stage") == before, "the reach to be taken back")
