"""How a person uses the page: the one place where the tests name its elements."""

from selenium.webdriver.common.by import By

# The first demo case in the list.
DEMO = "#demo-0"
# What one takes hold of to move the graft.
HANDLE = "#graft"
# What changes while the graft is dragged.
RESULTS = "#station"
SAVE = "#save"


def open_demo(window):
    """Opens the first demo case."""
    window.find(DEMO).click()


def drag_graft(window, dx, dy=0, steps=10):
    """Drags the graft by its handle, by real pointer input."""
    window.drag(window.find(HANDLE), dx, dy, steps)


def results(window):
    """What is shown of the results, as text."""
    return window.text(RESULTS)


def save(window):
    """Saves the case; gives the file."""
    return window.downloaded(lambda: window.find(SAVE).click())
