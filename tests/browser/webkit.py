"""WebKit, the engine of Safari, by Debian's driver for it.

It draws on a display only, so it gets one of its own that nobody sees. Its driver has no second way in
for scripts: nothing of ours stands in the page before its first script, and `ask` goes the plain way.
"""

import json
import os
import shutil
import subprocess
from contextlib import contextmanager

from browser import COMPUTING_S, Browser, program
from selenium import webdriver

DRIVER = ("EXTRADOS_WEBKITDRIVER", "WebKitWebDriver")
DISPLAY = ("EXTRADOS_DISPLAY", "Xvfb")

CALL = """
const done = arguments[arguments.length - 1], given = Array.prototype.slice.call(arguments, 0, -1);
Promise.resolve().then(() => (%s)(...given)).then(
  (answer) => done({ text: JSON.stringify(answer ?? null) }),
  (fault) => done({ fault: String(fault) }),
);"""


class WebKit(Browser):
    """One running WebKit."""

    def ask(self, function, *given):
        answer = self.driver.execute_async_script(CALL % function, *given)
        if "fault" in answer:
            raise AssertionError(f"the page threw: {answer['fault']}")
        return json.loads(answer["text"])


def missing():
    """What WebKit lacks here, or nothing."""
    return [name for variable, name in (DRIVER, DISPLAY) if not (os.environ.get(variable) or shutil.which(name))]


@contextmanager
def display():
    """A display that nobody sees; gives its name."""
    told, tell = os.pipe()
    server = subprocess.Popen(
        [program(*DISPLAY), "-displayfd", str(tell), "-screen", "0", "1400x1000x24", "-nolisten", "tcp"],
        pass_fds=[tell], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    os.close(tell)
    try:
        with os.fdopen(told) as answer:
            number = answer.readline().strip()
        if not number:
            raise RuntimeError("Xvfb gives no display.")
        yield f":{number}"
    finally:
        server.terminate()
        server.wait()


@contextmanager
def webkit():
    """A fresh WebKit."""
    with display() as name:
        service = webdriver.WebKitGTKService(program(*DRIVER), env={**os.environ, "DISPLAY": name})
        driver = webdriver.WebKitGTK(webdriver.WebKitGTKOptions(), service)
        driver.set_script_timeout(COMPUTING_S)
        try:
            yield WebKit("webkit", driver, None)
        finally:
            driver.quit()
