"""The packed file starts from the disk, under any name, and says in plain words why it cannot."""

import pytest

from browser import PAGE, browser


def test_starts_without_a_complaint(page):
    assert page.state() == "ready"
    assert page.driver.current_url.startswith("file:")
    assert page.ask("() => document.characterSet") == "UTF-8"


def test_scripts_find_the_program_under_one_name(page):
    assert page.ask("() => Object.isFrozen(extrados) && Object.keys(extrados).length > 0")


@pytest.mark.parametrize("name", ["a b.html", "Bögen Ünö.html", "plan #2 100%.html"])
def test_starts_under_any_name(window, tmp_path, name):
    file = tmp_path / name
    file.write_bytes(PAGE.read_bytes())
    assert window.open(file).state() == "ready"


def test_starts_with_the_line_ends_of_another_system(window, tmp_path):
    file = tmp_path / "crlf.html"
    file.write_bytes(PAGE.read_bytes().replace(b"\n", b"\r\n"))
    assert window.open(file).state() == "ready"
    assert window.complaints() == []


def said(window):
    assert window.state() == "failed"
    assert window.ask("() => document.getElementById('page').childNodes.length") == 0
    return window.text("#notice")


def test_says_that_webassembly_is_switched_off(engine):
    with browser(engine, flags=["--js-flags=--jitless"], prefs={"javascript.options.wasm": False}) as window:
        text = said(window.open())
    assert "WebAssembly is switched off" in text


def test_says_that_the_browser_is_too_old(engine):
    with browser(engine, preload=["() => { delete globalThis.DecompressionStream; }"]) as window:
        text = said(window.open())
    assert "too old" in text


def test_says_that_the_file_is_damaged(window, tmp_path):
    html = PAGE.read_text(encoding="utf-8")
    at = html.index('id="module">') + 4000
    file = tmp_path / "damaged.html"
    file.write_text(html[:at] + html[at + 400 :], encoding="utf-8")
    assert "damaged" in said(window.open(file))


def test_a_script_from_elsewhere_is_blocked_and_seen(window, tmp_path):
    """The watcher works: a script that the policy does not name does not run, and is complained of."""
    html = PAGE.read_text(encoding="utf-8")
    file = tmp_path / "intruder.html"
    file.write_text(html.replace("</body>", "<script>document.title = 'in'</script></body>"), encoding="utf-8")
    window.open(file)
    assert window.driver.title != "in"
    assert any(line.startswith("policy: script-src") for line in window.complaints())
