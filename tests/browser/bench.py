"""Times plans and drags in both browsers; run by the build tool's `bench`, best on an idle machine.

`anew`: the report of a case from its text, as a script asks for it, with the room of the placement; the
build tool prints what the same plan takes natively, without the room.
Times of a step of a drag. `computed`: what the library took for the plan and the map's input; `drawn`: that, the
drawing of the map and the panels, as the page marks both on the browser's timeline. `input`: from the moment the browser stamped the input to after the frame was
painted, with the wait for the screen's next frame. `painted`: from the moment the page was told.
`work`: what of it was work, without the wait: the page's answer to the input, its drawing, layout
and paint; where moves follow each other closely a browser may tell of the painted frame late. `frame`: from one frame
to the next while the graft is dragged, a multiple of the screen's 16.7 ms.
"""

import json
import os

import page as use
from browser import ENGINES, browser

STEPS = 200
PX = 200
# A hand's mouse speaks about 60 times a second.
PAUSE_S = 0.016

PROBE = """() => {
  const times = [];
  globalThis.__times = times;
  globalThis.__frames = [];
  let last = null;
  const frame = (now) => {
    if (last !== null) globalThis.__frames.push(now - last);
    last = now;
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
  const painted = new MessageChannel();
  let step = null;
  painted.port1.onmessage = () => {
    const now = performance.now();
    const [from, to, shown] = ["step", "stepped", "shown"].map((name) => performance.getEntriesByName(name)[0].startTime);
    times.push([to - from, shown - from, now - step.input, now - step.told, step.answered + now - step.frame]);
    step = null;
  };
  addEventListener("pointermove", (event) => {
    if (event.buttons === 0 || step) return;
    step = { input: event.timeStamp, told: performance.now(), answered: 0 };
    // Asked for first, so it comes before the page's own drawing in the same frame.
    requestAnimationFrame(() => { step.frame = performance.now(); painted.port2.postMessage(null); });
  }, true);
  addEventListener("pointermove", () => {
    if (step && !step.answered) step.answered = performance.now() - step.told;
  });
}"""


ANEW = """(text) => Array.from({ length: 1 }, () => {
  const before = performance.now();
  extrados.report(text);
  return performance.now() - before;
})"""


def within(times, share):
    """The time that this share of the steps stays within."""
    return sorted(times)[min(len(times) - 1, int(share * len(times)))]


def note(what, of, ms):
    """Leaves one time for the build tool's tables, where it names a file for them."""
    if os.environ.get("EXTRADOS_TIMES"):
        with open(os.environ["EXTRADOS_TIMES"], "a", encoding="utf-8") as out:
            out.write(json.dumps({"what": what, "of": of, "ms": ms}) + "\n")


def main():
    for engine in ENGINES:
        for index in range(4):
            with browser(engine) as window:
                window.open()
                label = use.demos(window)[index]
                use.open_demo(window, index)
                window.ask(PROBE)
                use.drag_graft(window, PX, steps=STEPS, pause_s=PAUSE_S)
                use.drag_graft(window, -PX, steps=STEPS, pause_s=PAUSE_S)
                steps = window.ask("() => globalThis.__times")
                frames = window.ask("() => globalThis.__frames")
                anew = window.ask(ANEW, use.save(window).read_text(encoding="utf-8"))
            print(f"{engine}, {label}: {len(steps)} steps; half, 95 % and all of them within")
            columns = {name: [step[index] for step in steps] for index, name in enumerate(("computed", "drawn", "input", "painted", "work"))}
            for name, values in (*columns.items(), ("frame", frames), ("anew", anew)):
                print(f"  {name:8} {within(values, 0.5):6.1f} {within(values, 0.95):6.1f} {max(values):6.1f} ms")
                note(f"{engine}: {name}, half of them", label, within(values, 0.5))
                note(f"{engine}: {name}, 95 % of them", label, within(values, 0.95))


if __name__ == "__main__":
    main()
