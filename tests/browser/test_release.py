"""A person plans the release step by step: by keyboard alone, entered, put in another order, read."""

import json

from selenium.webdriver.common.keys import Keys

import page as use
from test_entry import Hand

STAGE = "#stage"
KEY = "7"


def worked_out(page):
    """Waits until what each step leaves fed, and what a turn does, stand there."""
    waits = ("Working out", "Looking what a turn")
    page.until(lambda: "If it comes to lie turned" in page.text(STAGE) and not any(w in page.text(STAGE) for w in waits), "the release to be worked out")


def show_stage(page, demo):
    """A demo case with the stage of the release in the middle, by its key."""
    use.open_demo(page, next(i for i, label in enumerate(use.demos(page)) if demo in label))
    hand = Hand(page)
    hand.press(Keys.TAB)
    # A driver that chooses in a list leaves the focus on it in one engine and not in the other; in a list a
    # digit is a letter.
    while page.ask("() => document.activeElement.matches('select, input, textarea')"):
        hand.press(Keys.TAB)
    hand.press(KEY)
    return hand


def open_stage(page, demo):
    """The same once everything is worked out."""
    hand = show_stage(page, demo)
    worked_out(page)
    return hand


def table(page):
    """The steps with their cells, as they are read."""
    return page.ask("() => [...document.querySelectorAll('table.release tbody tr')].map((row) => [...row.children].map((cell) => cell.textContent))")


def saved_steps(page):
    """What is done on what, as a script reads it from the saved file."""
    steps = json.loads(use.save(page).read_text(encoding="utf-8"))["procedure"]["steps"]
    return [(step["do"], step.get("on")) for step in steps]


def test_steps_are_read_in_words_and_marks(page):
    open_stage(page, "dissection")
    rows = table(page)
    assert rows[0][0].startswith("1 Release the arch graft")
    # Bridged first, the LCCA feeds the LSA by its bypass; before, what hangs on it counts as lost.
    assert "⚠" not in rows[0][0] and rows[0][3].startswith(("○ not fed", "◐ doubtful"))
    assert rows[2][2] == "● fed by its stent" and rows[2][3] == "● fed by a bypass"
    assert rows[-1][-3] == "4 of 4"
    # The false lumen at the first step and at the last, as the stages have it.
    assert rows[0][-2].startswith("still flows: w1") and rows[-1][-2] == "no flow into the false lumen"
    page.until(lambda: "Trying the orders over the room" not in page.text(STAGE), "the orders over the room")
    text = page.text(STAGE)
    assert "Over the room, at" in text and "End of stage 2:" in text
    assert "Ends without LSA surely fed." in text and "common practice, no source" in text
    assert "no measured flow or pressure" in text
    # The chosen step is drawn on map and side view.
    pictures = "() => document.querySelectorAll('.pictures svg').length"
    page.until(lambda: page.ask(pictures) == 2, "both pictures of the step")


def test_steps_are_entered_reordered_and_taken_back_by_keyboard(page):
    hand = open_stage(page, "plain arch")
    before = saved_steps(page)
    hand.tab_to("step-add", 90)
    hand.press(Keys.ENTER)
    last = len(before)
    page.until(lambda: hand.focus() == f"step-{last}", "the new step to take the focus")
    # What is done, and on what: the first word that begins so.
    hand.tab_to(f"field-procedure-steps-{last}-do", 60)
    hand.press("b")
    hand.tab_to(f"field-procedure-steps-{last}-on", 60)
    hand.press("t")
    hand.tab_to(f"field-procedure-steps-{last}-minutes", 60)
    hand.type("4")
    hand.press(Keys.TAB)
    worked_out(page)
    assert saved_steps(page)[last:] == [("bridge", "t1")]
    assert table(page)[last][-1] == "4"
    # Two places earlier; the step keeps the focus and is moved on from there.
    for place in (last - 1, last - 2):
        hand.tab_to("step-up", 60)
        hand.press(Keys.ENTER)
        page.until(lambda place=place: hand.focus() == f"step-{place}", "the moved step to take the focus")
    assert saved_steps(page)[last - 2] == ("bridge", "t1")
    hand.tab_to("step-drop", 60)
    hand.press(Keys.ENTER)
    page.until(lambda: len(table(page)) == last, "the step to go")
    assert saved_steps(page) == before
    use.press(page, "undo")
    page.until(lambda: len(table(page)) == last + 1, "the step to be back")


def test_a_chosen_turn_names_what_is_lost_and_the_order_then(page):
    hand = open_stage(page, "dissection")
    hand.tab_to("step-lies", 120)
    hand.type("90")
    hand.press(Keys.TAB)
    page.until(lambda: "With all released and nothing bridged" in page.text(STAGE), "the turn to be worked out")
    assert "Then " in page.text(STAGE)


def test_a_template_gives_steps_to_begin_with(page):
    hand = show_stage(page, "common trunk")
    page.until(lambda: "No steps yet" in page.text(STAGE), "the stage without steps")
    hand.tab_to("step-template", 90)
    hand.press("t")
    worked_out(page)
    assert table(page)[0][0].startswith("1 Release")
