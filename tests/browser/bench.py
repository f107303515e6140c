"""Times a drag, from input to painted frame, in both browsers; run by the build tool's `bench`.

Two times a step: `input` from the moment the browser stamped the input, which holds the wait for the
next frame; `work` from the moment the page was told, to after the frame was painted.
"""

import page as use
from browser import ENGINES, browser

STEPS = 200

PROBE = """() => {
  const times = [];
  globalThis.__times = times;
  const painted = new MessageChannel();
  const waiting = [];
  painted.port1.onmessage = () => {
    const now = performance.now();
    for (const [input, told] of waiting.splice(0)) times.push([now - input, now - told]);
  };
  addEventListener("pointermove", (event) => {
    if (event.buttons === 0) return;
    waiting.push([event.timeStamp, performance.now()]);
    if (waiting.length === 1) requestAnimationFrame(() => painted.port2.postMessage(null));
  }, true);
}"""


def share(times, part):
    """The time that this share of the steps stays within."""
    return sorted(times)[min(len(times) - 1, int(part * len(times)))]


def main():
    for engine in ENGINES:
        with browser(engine) as window:
            window.open()
            use.open_demo(window)
            window.ask(PROBE)
            use.drag_graft(window, 200, steps=STEPS)
            use.drag_graft(window, -200, steps=STEPS)
            times = window.ask("() => globalThis.__times")
        print(f"{engine}: {len(times)} steps")
        for name, column in (("input to painted frame", 0), ("work to painted frame", 1)):
            values = [row[column] for row in times]
            print(f"  {name}: half within {share(values, 0.5):.1f} ms, 95 % within {share(values, 0.95):.1f} ms, longest {max(values):.1f} ms")


if __name__ == "__main__":
    main()
