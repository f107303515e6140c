"""Nothing is sent.

Two counts, in the same run. A listener on the loopback address stands in for the whole world: the
browser sends everything to it that would leave it. And the browser tells each address that the page
asks for. Opening a case, dragging, saving and printing must leave both at zero; a page without a
policy must not, in the same browser, or they would prove nothing.
"""

import time

import page as use
from browser import browser
from listener import Listener

# What a page could try. Names under .invalid belong to nobody.
CONTROL = """<!doctype html><meta charset="utf-8"><title>control</title>
<link rel="preconnect" href="http://preconnect.invalid/">
<img src="http://image.invalid/">
<script>
  fetch("http://fetch.invalid/").catch(() => {});
  navigator.sendBeacon("http://beacon.invalid/", "x");
  new WebSocket("ws://socket.invalid/");
  fetch("http://127.0.0.1:PORT/loopback").catch(() => {});
</script>"""


# What browsers ask of their makers by themselves, page or no page, whatever they are told. The
# listener cannot tell whose connection it is; the second count can, and leaves nothing out.
MAKERS = ("google.com", "googleapis.com", "gstatic.com", "mozilla.com", "mozilla.net", "mozilla.org", "firefox.com")


def visitors(world):
    """What was said by all who connected, but for the browser's own business."""
    own = tuple(f".{maker}" for maker in MAKERS)

    def host(line):
        asked = line.split(" ")[1] if " " in line else ""
        return "." + asked.removeprefix("http://").split("/")[0].split(":")[0]

    return [line for line in world.said() if not host(line).endswith(own)]


def leaves(address):
    """Whether an address lies outside the page and the disk."""
    return not address.startswith(("file:", "data:", "blob:"))


def settle():
    """Connections may come late."""
    time.sleep(1.5)


def test_a_full_run_reaches_nobody(engine):
    with Listener() as world, browser(engine, proxy=world.port) as window:
        asked = window.watch_requests()
        window.open()
        use.open_demo(window)
        before = use.results(window)
        use.drag_graft(window, 60)
        assert use.results(window) != before, "the run is only full if the drag was one"
        use.save(window)
        window.print_pdf("no-network")
        settle()
        assert window.complaints() == []
        assert visitors(world) == []
        assert [address for address in asked if leaves(address)] == []


def test_both_counts_would_have_noticed(engine, tmp_path):
    with Listener() as world, browser(engine, proxy=world.port) as window:
        asked = window.watch_requests()
        file = tmp_path / "control.html"
        file.write_text(CONTROL.replace("PORT", str(world.port)), encoding="utf-8")
        window.open(file, wait=False)
        settle()
        for count in (visitors(world), asked):
            for word in ("image.invalid", "fetch.invalid", "beacon.invalid", "/loopback"):
                assert any(word in line for line in count), f"{word} was not noticed: {count}"
        # Firefox opens no socket through such a proxy.
        assert engine == "firefox" or any("socket.invalid" in line for line in visitors(world))
