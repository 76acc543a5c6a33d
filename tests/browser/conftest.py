"""The page's own server and a real browser, for all tests of this folder.

Needs the program `chromium` (Debian's package of that name); without it these tests are skipped.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium")
SIZES = {"laptop": (1280, 720), "hall": (1920, 1080), "telephone": (390, 844)}
DRAWN = "body[data-rest='true']"
WAIT = 90_000  # ms; a busy machine must not fail a test


@pytest.fixture(scope="session")
def link() -> Iterator[str]:
    command = [sys.executable, "-m", "simview", "live", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        yield server.stdout.readline().strip()
        server.send_signal(signal.SIGINT)
        assert server.wait(timeout=60) == 0
        assert server.stdout.read() == ""


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.skip("the browser chromium is not installed; nothing was checked in it")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


class Visit:
    """A page that takes note of every complaint and of every request off the machine."""

    drawn = DRAWN

    def __init__(self, browser: Any, size: str = "laptop", **more: Any) -> None:
        width, height = SIZES[size]
        self.browser = browser
        self.context = browser.new_context(viewport={"width": width, "height": height}, **more)
        self.context.set_default_timeout(WAIT)
        self.complaints: list[str] = []
        self.page = self.another()

    def another(self) -> Any:
        """Open a further tab of the same browser."""
        page = self.context.new_page()
        page.on("console", lambda m: self.complaints.append(m.text))
        page.on("pageerror", lambda e: self.complaints.append(str(e)))
        page.on("request", self._note)
        return page

    def _note(self, request: Any) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "blob:", "data:")):
            self.complaints.append(request.url)

    def goto(self, link: str) -> Any:
        self.page.goto(link)
        self.page.wait_for_selector(DRAWN)
        return self.page

    def end(self) -> None:
        self.context.close()
        assert self.complaints == []


@pytest.fixture
def visit(browser: Any, request: pytest.FixtureRequest) -> Iterator[Visit]:
    told = getattr(request, "param", "laptop")
    opened = Visit(browser, told) if isinstance(told, str) else Visit(browser, **told)
    yield opened
    opened.end()


@pytest.fixture(scope="session")
def faults() -> Callable[[Any], list[str]]:
    """What axe-core finds of WCAG 2.2 AA on a page."""
    from axe_playwright_python.sync_playwright import Axe

    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

    def found(page: Any) -> list[str]:
        told = Axe().run(page, options={"runOnly": {"type": "tag", "values": tags}})
        return [
            f"{one['id']}: {[node['target'] for node in one['nodes']]}"
            for one in told.response["violations"]
        ]

    return found
