"""What the browser tests share: one browser an engine, in which each test opens the file anew."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from browser import ENGINES, PAGE, browser  # noqa: E402


@pytest.fixture(scope="session", params=ENGINES)
def engine(request):
    """Each test runs in each engine. Tests that need a browser of their own start one with it."""
    if not PAGE.exists():
        pytest.fail(f"{PAGE} is not there: build it with `cargo start`.")
    return request.param


@pytest.fixture(scope="session")
def window(engine):
    """A browser with a fresh profile, shared by the tests of an engine."""
    with browser(engine) as window:
        yield window


@pytest.fixture
def page(window):
    """The packed file, opened from the disk; whatever it complains of fails the test."""
    window.fit((1366, 768))
    window.open()
    yield window
    assert window.complaints() == []
