"""Drives the two browsers on the packed file as a person would, from the disk.

Every browser starts with a fresh profile and nothing in the background. A watcher stands in the page
before its first script and collects what goes wrong: violations of the policy, errors, refused
promises, lines on the error console. `ask` runs in the page's own world, so it sees what a script of
the page would see.
"""

import base64
import json
import os
import re
import shutil
import time
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.print_page_options import PrintOptions
from selenium.webdriver.support.ui import WebDriverWait

ROOT = Path(__file__).resolve().parents[2]
PAGE = Path(os.environ.get("EXTRADOS_PAGE", ROOT / "dist" / "extrados.html"))
OUTPUT = Path(os.environ.get("EXTRADOS_OUTPUT", ROOT / "target" / "screens"))

ENGINES = ("chromium", "firefox")

# How long a browser may take before a test gives up; no test asserts a time.
PATIENCE_S = 60

# How long a script of the page may compute: a whole report with its room, on a busy machine.
COMPUTING_S = 300

CHROMIUM_FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-quic", "--disable-default-apps",
    "--disable-features=OptimizationHints,MediaRouter", "--force-color-profile=srgb",
)

FIREFOX_PREFS = {
    # Automation switches this off, and a page would pass that a person's Firefox blocks.
    "security.fileuri.strict_origin_policy": True,
    # A test may leave a case that is not saved: the next one must not wait for an answer to the question.
    "dom.disable_beforeunload": True,
    "browser.download.folderList": 2,
    "browser.download.useDownloadDir": True,
    "browser.download.always_ask_before_handling_new_types": False,
    # The panel of a finished download takes the keyboard away from the page until it is put away.
    "browser.download.alwaysOpenPanel": False,
    "browser.helperApps.neverAsk.saveToDisk": "application/json,image/svg+xml,text/csv,application/octet-stream",
    # What Firefox itself would send.
    "app.normandy.enabled": False,
    "browser.region.network.url": "",
    "datareporting.healthreport.uploadEnabled": False,
    "dom.push.connection.enabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "toolkit.telemetry.server": "data:,",
}

WATCHER = """() => {
  const seen = [];
  Object.defineProperty(globalThis, "__seen", { value: seen });
  addEventListener("securitypolicyviolation", (e) => seen.push(`policy: ${e.violatedDirective} ${e.blockedURI} ${e.sample}`), true);
  addEventListener("error", (e) => seen.push(`error: ${e.message || e.target}`), true);
  addEventListener("unhandledrejection", (e) => seen.push(`promise: ${e.reason}`));
  const say = console.error.bind(console);
  console.error = (...words) => { seen.push(`console: ${words.join(" ")}`); say(...words); };
}"""


class Browser:
    """One running browser."""

    def __init__(self, engine, driver, downloads):
        self.engine = engine
        self.driver = driver
        self.downloads = downloads

    # Opening.

    def open(self, file=PAGE, wait=True):
        """Opens a file from the disk; waits until the page is up, or has said why it is not."""
        self.driver.get(Path(file).resolve().as_uri())
        if wait:
            # While one page goes and the next comes there is nobody to ask.
            self.until(lambda: self.state() in ("ready", "failed", "dead"), "the page to start", [WebDriverException])
        return self

    def state(self):
        """`starting`, `ready`, `failed` or `dead`."""
        return self.ask("() => document.documentElement.dataset.state")

    def ask(self, function, *given):
        """Calls a JavaScript function in the page and gives what it returns."""
        answer = self.driver.script.execute(
            f"async (...given) => JSON.stringify(await ({function})(...given) ?? null)", *given
        )
        return json.loads(answer["value"])

    def until(self, happens, what, overlook=()):
        """Waits until something is so; asks again where one of the faults to overlook comes instead."""
        WebDriverWait(self.driver, PATIENCE_S, poll_frequency=0.05, ignored_exceptions=overlook).until(
            lambda _: happens(), message=f"waited {PATIENCE_S} s for {what}"
        )

    def complaints(self):
        """What the watcher has seen. Violations of the policy arrive late, so it waits a little."""
        time.sleep(0.3)
        return self.ask("() => globalThis.__seen")

    def watch_requests(self):
        """A list that grows with the address of each thing the page asks for, blocked or not."""
        asked = []

        def on_request(event):
            # What the browser asks for itself belongs to no page.
            if event.get("context"):
                asked.append(event["request"]["url"])

        self.driver.network.add_event_handler("before_request", on_request)
        return asked

    # Using.

    def find(self, selector):
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def text(self, selector):
        """The text of an element as it is shown."""
        return self.find(selector).text

    def drag(self, element, dx, dy, steps=10, start=(0, 0), pause_s=0):
        """A drag by real pointer input, in equal steps, from a place given from the element's middle."""
        hand = ActionChains(self.driver, duration=0).move_to_element_with_offset(element, *start).click_and_hold()
        for step in range(1, steps + 1):
            hand.move_by_offset(
                dx * step // steps - dx * (step - 1) // steps, dy * step // steps - dy * (step - 1) // steps
            )
            if pause_s:
                hand.pause(pause_s)
        hand.release().perform()

    def keys(self, *keys):
        """Keys pressed where the focus is."""
        ActionChains(self.driver).send_keys(*keys).perform()

    def downloaded(self, act):
        """Does something that saves a file, and gives the file's path."""
        before = set(self.downloads.iterdir())

        def new():
            files = set(self.downloads.iterdir()) - before
            return [f for f in files if f.suffix not in (".part", ".crdownload", ".tmp") and f.stat().st_size > 0]

        act()
        self.until(new, "a file to be saved")
        return new()[0]

    # Looking.

    def fit(self, size):
        """Makes the page, not the window around it, exactly this large."""
        def inner():
            return self.driver.execute_script("return [innerWidth, innerHeight]")

        if inner() != list(size):
            self.driver.set_window_size(*size)
            width, height = inner()
            self.driver.set_window_size(2 * size[0] - width, 2 * size[1] - height)

    def screenshot(self, name):
        """Keeps a picture of the window for a person to look at."""
        return self._keep(f"{name}-{self.engine}.png", self.driver.get_screenshot_as_png())

    def print_pdf(self, name, paper_mm=(297, 210)):
        """Prints as a person would, with the margins that the page asks for; keeps the PDF."""
        options = PrintOptions()
        options.page_width, options.page_height = (side / 10 for side in paper_mm)
        options.margin_top = options.margin_bottom = options.margin_left = options.margin_right = 0
        options.background = False
        options.shrink_to_fit = False
        return self._keep(f"{name}-{self.engine}.pdf", base64.b64decode(self.driver.print_page(options)))

    @staticmethod
    def _keep(name, content):
        OUTPUT.mkdir(parents=True, exist_ok=True)
        file = OUTPUT / name
        file.write_bytes(content)
        return file


def program(variable, *names):
    """A program named in the environment, or found on the PATH."""
    found = os.environ.get(variable) or next(filter(None, map(shutil.which, names)), None)
    if not found:
        raise RuntimeError(f"{names[0]} is not on the PATH: install it, or name it in {variable}.")
    return found


@contextmanager
def browser(engine, size=(1366, 768), proxy=None, flags=(), prefs=None, preload=(), prompts=None):
    """A fresh browser.

    `proxy`: everything that would leave the browser goes to this port of 127.0.0.1 instead.
    `flags`, `prefs`: further settings, for Chromium and for Firefox.
    `preload`: functions that run in the page before its first script.
    `prompts`: what becomes of a question before a page goes; `ignore` leaves it to the test.
    """
    with TemporaryDirectory(prefix="extrados-", ignore_cleanup_errors=True) as folder:
        downloads = Path(folder) / "downloads"
        downloads.mkdir()
        make = {"chromium": _chromium, "firefox": _firefox}[engine]
        driver = make(Path(folder), downloads, size, proxy, flags, prefs or {}, prompts)
        driver.command_executor.client_config.websocket_timeout = COMPUTING_S
        try:
            for function in (WATCHER, *preload):
                driver.script.pin(function)
            window = Browser(engine, driver, downloads)
            window.fit(size)
            yield window
        finally:
            driver.quit()


def _chromium(folder, downloads, size, proxy, flags, _prefs, prompts):
    options = webdriver.ChromeOptions()
    options.binary_location = program("EXTRADOS_CHROMIUM", "chromium", "chromium-browser", "google-chrome")
    options.enable_bidi = True
    for flag in (*CHROMIUM_FLAGS, f"--user-data-dir={folder / 'profile'}", f"--window-size={size[0]},{size[1]}", *flags):
        options.add_argument(flag)
    if proxy:
        options.add_argument(f"--proxy-server=127.0.0.1:{proxy}")
        options.add_argument("--proxy-bypass-list=<-loopback>")
    options.add_experimental_option(
        "prefs", {"download.default_directory": str(downloads), "download.prompt_for_download": False}
    )
    if prompts:
        options.set_capability("unhandledPromptBehavior", {"beforeUnload": prompts})
    service = webdriver.ChromeService(program("EXTRADOS_CHROMEDRIVER", "chromedriver"))
    return webdriver.Chrome(options, service)


def _firefox(_folder, downloads, _size, proxy, _flags, prefs, prompts):
    options = webdriver.FirefoxOptions()
    options.binary_location = program("EXTRADOS_FIREFOX", "firefox-esr", "firefox")
    options.enable_bidi = True
    options.add_argument("-headless")
    everything = dict(FIREFOX_PREFS, **{"browser.download.dir": str(downloads)}, **prefs)
    if proxy:
        everything |= {"network.proxy.type": 1, "network.proxy.allow_hijacking_localhost": True, "network.proxy.no_proxies_on": ""}
        for kind in ("http", "ssl", "socks"):
            everything |= {f"network.proxy.{kind}": "127.0.0.1", f"network.proxy.{kind}_port": proxy}
    for name, value in everything.items():
        options.set_preference(name, value)
    if prompts:
        options.set_capability("unhandledPromptBehavior", {"beforeUnload": prompts})
    # The driver writes its profile where it is told, and takes it away again.
    service = webdriver.FirefoxService(program("EXTRADOS_GECKODRIVER", "geckodriver"))
    return webdriver.Firefox(options, service)


def numbers(text):
    """The numbers that stand in a text."""
    return [float(word.replace("−", "-")) for word in re.findall(r"[-−]?\d+(?:\.\d+)?", text)]
