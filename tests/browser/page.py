"""How a person uses the page: the one place where the tests name its elements."""

from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

MAP = "#map"
DEMOS = "select[data-do='demo']"
# What changes while the graft is dragged: verdict counts and what decides, tunnels, rules. What the placement
# forgives comes later.
RESULTS = ("#head h1", "#head .sentence", "#tunnels", "#verdicts")
STATION = "input[data-field$='/placement/station_mm']"


def demos(window):
    """The labels of the demo cases."""
    return [option.text for option in Select(window.find(DEMOS)).options[1:]]


def open_demo(window, index=0):
    """Opens a demo case and waits until its results are there."""
    label = demos(window)[index]
    Select(window.find(DEMOS)).select_by_index(index + 1)
    window.until(lambda: label in window.driver.title and window.text("#tunnels"), "the demo's results")


def results(window):
    """What is shown of the results, as text, once the page has drawn what it was told."""
    window.ask("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return [window.text(part) for part in RESULTS]


def press(window, does):
    """Presses one of the buttons of the bar: open, save, undo, redo, print, help."""
    window.find(f"button[data-do='{does}']").click()


def grip(window):
    """Puts the pointer where the map says that the graft can be taken; gives the place, from the middle of the map."""
    the_map = window.find(MAP)
    for share in (0.15, 0.25, 0.35, 0.45, 0.55, 0.65):
        place = (round((share - 0.5) * the_map.size["width"]), 0)
        ActionChains(window.driver, duration=0).move_to_element_with_offset(the_map, *place).perform()
        if the_map.get_attribute("data-cursor") == "grips":
            return place
    raise AssertionError("no place on the map's middle line says that the graft can be taken")


def drag_graft(window, dx, dy=0, steps=10, pause_s=0):
    """Drags the graft by real pointer input."""
    window.drag(window.find(MAP), dx, dy, steps, grip(window), pause_s)


def save(window):
    """Saves the case; gives the file."""
    return window.downloaded(lambda: press(window, "save"))


def open_file(window, file):
    """Opens a case from a file, as the file dialog would hand it over."""
    window.find("#file").send_keys(str(file))
    window.until(lambda: file.name in window.text("#bar"), "the file to open")


def type_station(window, text):
    """Types the station of the placement."""
    field = window.driver.find_element(By.CSS_SELECTOR, STATION)
    field.send_keys(Keys.CONTROL, "a")
    field.send_keys(text, Keys.ENTER)
