"""Editing on the side view: a mouth and the graft are taken by hand, each one step of undo."""

import page as use

SIDE = "#side-view"
MOUTH = "input[data-field='/components/0/graft/tunnels/1/mouth_u_mm']"
STATION = "input[data-field='/components/0/placement/station_mm']"


def place_of(page, tie):
    """Middle of the smallest shape with a tie, the arrow in its mouth, from the middle of the side view."""
    return page.ask(
        f"() => {{ const frame = document.querySelector('{SIDE}').getBoundingClientRect();"
        f" const all = [...document.querySelectorAll('{SIDE} [data-tie=\"{tie}\"]')].map((e) => e.getBoundingClientRect());"
        " const r = all.filter((r) => r.width > 0).sort((a, b) => a.width * a.height - b.width * b.height)[0];"
        " return [Math.round(r.x + r.width / 2 - frame.x - frame.width / 2), Math.round(r.y + r.height / 2 - frame.y - frame.height / 2)]; }"
    )


def value(page, field):
    return page.find(field).get_attribute("value")


def test_a_mouth_is_dragged_on_the_side_view_as_one_step(page):
    use.open_demo(page)
    page.find("[data-do='stage:graft']").click()
    page.until(lambda: page.driver.find_elements("css selector", SIDE), "the side view")
    page.ask(f"() => document.querySelector('{SIDE}').scrollIntoView({{ block: 'start' }})")
    before = [value(page, MOUTH), value(page, STATION)]
    page.drag(page.find(SIDE), 14, -6, 6, place_of(page, "t2"))
    page.until(lambda: value(page, MOUTH) != before[0], "the mouth to follow the pointer")
    assert value(page, STATION) == before[1], "the graft stays where it was"
    page.screenshot("side-view-mouth")
    use.press(page, "undo")
    page.until(lambda: value(page, MOUTH) == before[0], "one undo to take it back")
