"""What goes wrong around the program: the user's work stays or is offered, and no number outlives its case."""

import json
import shutil
from pathlib import Path

import pytest
from selenium.common.exceptions import TimeoutException, UnexpectedAlertPresentException, WebDriverException
from selenium.webdriver.common.keys import Keys

import page as use
from browser import PAGE, browser

# Gives the module no more memory than a little beyond what it starts with: the limit is written into its
# memory section. What is allocated beyond that fails as it does where a machine has no more.
LITTLE_MEMORY = """() => {
  const compile = WebAssembly.compile;
  const number = (bytes, at) => {
    let value = 0, shift = 0, byte;
    do { byte = bytes[at++]; value += (byte & 127) * 2 ** shift; shift += 7; } while (byte & 128);
    return [value, at];
  };
  const written = (value) => {
    const out = [];
    do { out.push((value & 127) | (value > 127 ? 128 : 0)); value = Math.floor(value / 128); } while (value);
    return out;
  };
  WebAssembly.compile = (bytes) => {
    const out = [...bytes.subarray(0, 8)];
    for (let at = 8; at < bytes.length;) {
      const kind = bytes[at];
      const [length, from] = number(bytes, at + 1);
      let body = bytes.subarray(from, from + length);
      if (kind === 5) {
        const [least] = number(body, 2);
        body = [1, 1, ...written(least), ...written(least + 640)];
      }
      out.push(kind, ...written(body.length));
      for (const byte of body) out.push(byte);
      at = from + length;
    }
    return compile(new Uint8Array(out));
  };
}"""

# What is asked of the browser where WebAssembly is switched off.
NO_WEBASSEMBLY = "() => { delete globalThis.WebAssembly; }"


def case_shown(window):
    """The case as it would be saved, without saving it."""
    return json.loads(use.save(window).read_text(encoding="utf-8"))


def is_blank(window):
    """Whether no result stands in the document."""
    return window.ask("() => document.getElementById('page').childNodes.length") == 0


def saved_from_notice(window):
    """The case that a stopped page offers."""
    return json.loads(window.downloaded(lambda: window.find("#notice a").click()).read_text(encoding="utf-8"))


def station_of(case):
    """Station of the first placed component."""
    return next(c["placement"]["station_mm"] for c in case["components"] if c.get("placement"))


def edit(window, by=1.0):
    """Moves the graft by typing; gives the new station."""
    use.open_demo(window)
    before = use.results(window)
    station = float(window.find(use.STATION).get_attribute("value")) + by
    use.type_station(window, str(station))
    window.until(lambda: use.results(window) != before, "the edit to be computed")
    assert "not saved" in window.text("#bar")
    return station


def test_without_webassembly_nothing_is_shown(engine):
    with browser(engine, preload=[NO_WEBASSEMBLY]) as window:
        window.open()
        assert window.state() == "failed" and "WebAssembly" in window.text("#notice")
        assert is_blank(window)


def test_memory_that_ends_leaves_the_case(engine, tmp_path):
    with browser(engine, preload=[LITTLE_MEMORY]) as window:
        window.open()
        assert window.state() == "ready"
        station = edit(window)
        # More than the memory holds, in a file that is small enough to be taken.
        huge = tmp_path / "huge.csv"
        huge.write_bytes(b"x_mm,y_mm,z_mm\n" + b"0.001,0,0\n" * 6_000_000)
        window.find("#file").send_keys(str(huge))
        window.until(lambda: window.state() == "dead", "the memory to end")
        assert is_blank(window) and "No result is shown" in window.text("#notice")
        assert station_of(saved_from_notice(window)) == station


def test_a_panic_leaves_the_case(window):
    window.open()
    station = edit(window)
    window.ask("() => { try { extrados.panicForTest(); } catch (error) { return String(error); } }")
    assert window.state() == "dead" and is_blank(window)
    assert "asked for by a test" in window.text("#notice")
    assert station_of(saved_from_notice(window)) == station


def asks(window):
    """Whether leaving is objected to, as the browser would ask the page."""
    return window.ask("() => !dispatchEvent(new Event('beforeunload', { cancelable: true }))")


def test_a_dead_page_asks_until_its_case_is_saved(window):
    window.open()
    edit(window)
    window.ask("() => { try { extrados.panicForTest(); } catch { } }")
    assert asks(window)
    saved_from_notice(window)
    assert not asks(window)


def test_nothing_is_asked_where_nothing_is_lost(window):
    window.open()
    use.open_demo(window)
    assert not asks(window)
    window.ask("() => { try { extrados.panicForTest(); } catch { } }")
    assert not asks(window)


def test_reloading_with_unsaved_work_asks(engine):
    with browser(engine, prefs={"dom.disable_beforeunload": False}, prompts="ignore") as window:
        window.open()
        station = edit(window)
        try:
            window.driver.set_page_load_timeout(5)
            window.driver.refresh()
        except (TimeoutException, UnexpectedAlertPresentException):
            pass
        # To stay is to go on with what was there.
        window.driver.switch_to.alert.dismiss()
        assert "not saved" in window.text("#bar")
        assert station_of(case_shown(window)) == station
        window.until(lambda: "not saved" not in window.text("#bar"), "saving to be told")
        # Saved, it goes without a question.
        assert not asks(window)


def test_a_refused_download_leaves_the_case_to_be_saved_again(engine):
    with browser(engine) as window:
        window.open()
        station = edit(window)
        # A folder that is no more: the browser cannot write there.
        shutil.rmtree(window.downloads)
        window.downloads.write_text("no folder")
        use.press(window, "save")
        window.until(lambda: "handed to the browser" in window.text("#bar"), "what became of it to be told")
        window.downloads.unlink(missing_ok=True)
        window.downloads.mkdir(exist_ok=True)
        assert station_of(case_shown(window)) == station


def test_a_browser_that_takes_no_file_is_told(window):
    window.open()
    station = edit(window)
    window.ask("() => { globalThis.make = URL.createObjectURL; URL.createObjectURL = () => { throw new Error('refused'); }; }")
    use.press(window, "save")
    window.until(lambda: "was not saved" in window.text("#told"), "the refusal to be told")
    assert "not saved" in window.text("#bar")
    window.ask("() => { URL.createObjectURL = globalThis.make; }")
    assert station_of(case_shown(window)) == station


@pytest.mark.parametrize("share", [0.0, 0.3, 0.999])
def test_a_file_cut_short_replaces_nothing(window, tmp_path, share):
    window.open()
    station = edit(window)
    shown = use.results(window)
    whole = use.save(window).read_bytes()
    cut = tmp_path / "cut.json"
    cut.write_bytes(whole[: int(share * len(whole))])
    window.find("#file").send_keys(str(cut))
    window.until(lambda: "cut.json was not opened" in window.text("#told"), "the fault to be told")
    assert use.results(window) == shown
    assert station_of(case_shown(window)) == station


@pytest.mark.parametrize("within", ["id=\"styles\"", "id=\"demo-data\"", "id=\"module\"", "</html>"])
def test_a_page_cut_short_shows_no_number(window, tmp_path, within):
    """The file itself, cut in the midst of each of its parts, opened from the disk."""
    whole = PAGE.read_text(encoding="utf-8")
    place = whole.index(within) + (len(within) + 2000 if "id=" in within else -40)
    file = tmp_path / "short.html"
    file.write_text(whole[:place], encoding="utf-8")
    window.open(file, wait=False)
    window.until(lambda: window.ask("() => document.readyState") == "complete", "the file to be read", [WebDriverException])
    assert window.state() != "ready"
    assert "not whole" in window.text("#notice") or "damaged" in window.text("#notice")
    assert not window.find("#page").is_displayed()


def test_two_windows_of_one_file_do_not_meet(engine):
    with browser(engine) as window:
        window.open()
        first = edit(window, 1.0)
        one = window.driver.current_window_handle
        window.driver.switch_to.new_window("window")
        window.open()
        second = edit(window, -2.0)
        assert first != second
        assert station_of(case_shown(window)) == second
        window.driver.switch_to.window(one)
        assert "not saved" in window.text("#bar")
        assert station_of(case_shown(window)) == first
        # Two files, none in the other's place.
        files = [json.loads(file.read_text(encoding="utf-8")) for file in window.downloads.iterdir()]
        assert sorted(map(station_of, files)) == sorted([first, second])


def test_a_cancelled_print_changes_nothing(page):
    station = edit(page)
    shown = use.results(page)
    # What a browser tells a page around its print dialog, whichever way that ends.
    page.ask("() => { dispatchEvent(new Event('beforeprint')); }")
    assert page.ask("() => document.querySelectorAll('#sheet svg').length") > 0
    page.ask("() => { dispatchEvent(new Event('afterprint')); }")
    assert page.ask("() => document.querySelectorAll('#sheet svg').length") == 0
    assert use.results(page) == shown and "not saved" in page.text("#bar")
    page.find(use.MAP).send_keys(Keys.ARROW_RIGHT)
    page.until(lambda: use.results(page) != shown, "the page to go on")
    use.press(page, "undo")
    page.until(lambda: use.results(page) == shown, "undo to go on where it was")
    assert station_of(case_shown(page)) == station


def test_no_number_of_another_case_stays_in_sight(page):
    """From one demo to the next, frame by frame: results are those of the case in the title, or none."""
    use.open_demo(page, 0)
    frames = page.ask(
        """() => new Promise((done) => {
          const seen = [];
          const look = () => {
            const text = (id) => document.getElementById(id).textContent;
            seen.push([text('bar').split('Case')[0], text('tunnels'), text('verdicts')]);
            if (seen.length < 240) requestAnimationFrame(look); else done(seen);
          };
          const list = document.querySelector("select[data-do='demo']");
          list.selectedIndex = 2;
          list.dispatchEvent(new Event('change', { bubbles: true }));
          requestAnimationFrame(look);
        })"""
    )
    shown = {}
    for bar, tunnels, verdicts in frames:
        shown.setdefault(bar, []).append((tunnels, verdicts))
    assert len(shown) >= 1
    last_bar, *last = frames[-1]
    assert last[0], "the new case's results are there in the end"
    # Under the new case's name stand its own results, nothing, or what is said while they are computed.
    for tunnels, verdicts in shown[last_bar]:
        assert tunnels in ("", last[0]) and verdicts in ("", last[1])
