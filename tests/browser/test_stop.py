"""If the module dies, no result stays in sight and the last case can be saved."""

import base64
import hashlib

import pytest

from browser import PAGE

KEPT = '{"label": "ä </script>", "station_mm": 12.5}'

# The least WebAssembly module with a function that traps: (func (export "f") unreachable).
TRAP = """
const trap = new WebAssembly.Instance(new WebAssembly.Module(new Uint8Array([
  0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 7, 5, 1, 1, 102, 0, 0, 10, 5, 1, 3, 0, 0, 11]))).exports.f;
"""

DEATHS = {
    "a trap in a timer": "setTimeout(trap)",
    "a trap in an event": "addEventListener('resize', trap); dispatchEvent(new Event('resize'))",
    "a trap in a promise": "Promise.resolve().then(trap)",
    "a stack that ran over": "const f = () => f() + 1; setTimeout(f)",
    "a panic": "extradosDied('panicked')",
}


def open_with_fault(window, tmp_path, script):
    """Opens a copy of the file with one more script, which its policy allows, under `fault()`.

    A script that a driver runs in the page does not serve: browsers hide its errors from the page.
    """
    script = f"{TRAP} globalThis.fault = () => {{ {script}; }};"
    source = "'sha256-" + base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() + "'"
    html = PAGE.read_text(encoding="utf-8")
    html = html.replace("'wasm-unsafe-eval'", f"'wasm-unsafe-eval' {source}", 1)
    file = tmp_path / "fault.html"
    file.write_text(html.replace("</body>", f"<script>{script}</script></body>"), encoding="utf-8")
    window.open(file)
    assert window.state() == "ready"


@pytest.mark.parametrize("death", DEATHS)
def test_results_go_and_the_case_stays(window, tmp_path, death):
    open_with_fault(window, tmp_path, DEATHS[death])
    window.ask("(text) => extradosKeep(text, 'kept.json')", KEPT)
    window.ask("() => fault()")
    window.until(lambda: window.state() == "dead", "the page to notice")
    assert window.ask("() => document.getElementById('page').childNodes.length") == 0
    assert window.ask("() => document.body.classList.contains('dead')")
    assert "No result is shown" in window.text("#notice")
    file = window.downloaded(lambda: window.find("#notice a").click())
    assert file.read_text(encoding="utf-8") == KEPT
    # What the program offers to scripts answers no more.
    assert window.ask(
        "() => Object.values(extrados).every((f) => { try { f(); } catch (e) { return /stopped/.test(e.message); } })"
    )


def test_an_error_of_another_kind_is_not_the_end(window, tmp_path):
    open_with_fault(window, tmp_path, "setTimeout(() => { throw new TypeError('other'); })")
    window.ask("() => fault()")
    window.until(lambda: any("other" in line for line in window.complaints()), "the error")
    assert window.state() == "ready"
