"""What all tests share: property tests take the time they need and draw the same cases each run."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from tests.published import recorder
from tests.published.recorder import cells as cells
from tests.published.recorder import counted as counted

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PACKAGES = {
    "ngspice": "ngspice", "soffice": "libreoffice-calc", "pdftotext": "poppler-utils",
    **dict.fromkeys(("pdffonts", "pdfimages", "pdfinfo", "pdftocairo", "pdftoppm"), "poppler-utils"),
}  # fmt: skip
"""Programs that some tests call, and the Debian package of each; Chromium is the fixture `browser`."""

settings.register_profile("calm", deadline=None, derandomize=True)
settings.load_profile("calm")


@pytest.fixture(autouse=True)
def _one_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands called inside a test make everything themselves, so that many tests run side by side."""
    monkeypatch.setattr("harness.making.second.cores", lambda: 1)


@pytest.fixture
def blank_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Prints come out blank, which are most of the work of a build: for tests that never look into one.

    Which bytes a print has still depends on all that it is made of.
    """

    def blank(*asked: object, **named: object) -> bytes:
        made_of = repr((asked, sorted(named.items()))).encode("utf-8", "surrogatepass")
        return b"%PDF-1.7\n%" + hashlib.sha256(made_of).hexdigest().encode()

    monkeypatch.setattr("typst.compile", blank)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The one Chromium of a process: a second one cannot be driven beside it."""
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=30_000)  # a machine that is busy with other tests is slow, not wrong
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("needs the Debian package chromium")
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield started
        started.close()


@contextmanager
def _skipping() -> Iterator[None]:
    """A test whose program is not installed is skipped and says so; `.ci/run` counts that as a failure."""
    try:
        yield
    except FileNotFoundError as error:
        package = PACKAGES.get(str(error.filename))
        if package is None:
            raise
        pytest.skip(f"needs the Debian package {package}")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup() -> Iterator[None]:
    with _skipping():
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Iterator[None]:
    with _skipping():
        return (yield)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Where the published checks were asked for, what they counted."""
    if terminalreporter.config.getoption("markexpr") == "published":
        terminalreporter.section(recorder.HEAD)
        reports = [each for kind in terminalreporter.stats.values() for each in kind]
        recorder.summary(
            terminalreporter.write_line,
            [each for each in reports if hasattr(each, "when")],
            page=recorder.AS_PAGE in os.environ,
        )
