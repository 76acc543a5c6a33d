"""The page in a real browser: each question walked through, nothing fetched from elsewhere.

Needs the program `chromium` (Debian's package of that name); without it these tests are skipped.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.skipif(
        CHROMIUM is None, reason="the browser chromium is not installed; nothing was checked in it"
    ),
]

SIZES = {"laptop": (1280, 720), "hall": (1920, 1080), "telephone": (390, 844)}
DRAWN = "body[data-rest='true']"
WAIT = 90_000  # ms; a busy machine must not fail a test


@pytest.fixture(scope="module")
def link() -> Iterator[str]:
    command = [sys.executable, "-m", "simview", "live", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        yield server.stdout.readline().strip()
        server.send_signal(signal.SIGINT)
        assert server.wait(timeout=60) == 0
        assert server.stdout.read() == ""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


class Visit:
    """A page that takes note of every complaint and of every request off the machine."""

    def __init__(self, browser: Any, size: str, **more: Any) -> None:
        width, height = SIZES[size]
        self.page = browser.new_page(viewport={"width": width, "height": height}, **more)
        self.page.set_default_timeout(WAIT)
        self.complaints: list[str] = []
        self.page.on("console", lambda m: self.complaints.append(m.text))
        self.page.on("pageerror", lambda e: self.complaints.append(str(e)))
        self.page.on("request", self._note)

    def _note(self, request: Any) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "blob:", "data:")):
            self.complaints.append(request.url)

    def goto(self, link: str) -> Any:
        self.page.goto(link)
        self.page.wait_for_selector(DRAWN)
        return self.page

    def end(self) -> None:
        self.page.close()
        assert self.complaints == []


@pytest.fixture
def visit(browser: Any, request: pytest.FixtureRequest) -> Iterator[Visit]:
    opened = Visit(browser, getattr(request, "param", "laptop"))
    yield opened
    opened.end()


def faults(page: Any) -> list[str]:
    """What axe-core finds of WCAG 2.2 AA."""
    from axe_playwright_python.sync_playwright import Axe

    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": tags}})
    return [
        f"{one['id']}: {[node['target'] for node in one['nodes']]}"
        for one in found.response["violations"]
    ]


def test_power_is_dragged_into_the_empty_part(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
    assert "45×" in page.inner_text("#line")
    handle = page.locator(".scale input").bounding_box()
    y = handle["y"] + handle["height"] / 2
    page.mouse.move(handle["x"] + 0.4 * handle["width"], y)
    page.mouse.down()
    page.mouse.move(handle["x"] + 0.97 * handle["width"], y, steps=12)
    page.mouse.up()
    page.wait_for_selector("#line.empty")
    assert "empty magnification" in page.inner_text("#line")
    assert "object=jupiter" in page.url


def test_power_goes_by_keys_from_piece_to_piece(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=30")
    page.focus(".scale input")
    page.keyboard.press("PageUp")
    assert page.inner_text(".times") == "45×"
    page.keyboard.press("ArrowRight")
    assert page.inner_text(".times") != "45×"


def test_address_reproduces_the_view(visit: Visit, link: str) -> None:
    told = "#room=see&object=saturn&kit=demo%3Arocker-200&power=120&seeing=3.1&age=70&shown=object"
    page = visit.goto(f"{link}{told}")
    assert page.inner_text(".times") == "120×"
    assert page.input_value("#seeing") == "3.1"
    assert page.is_checked("input[value=object]")


def test_pasted_offer_leads_to_a_verdict_and_to_its_view(visit: Visit, link: str) -> None:
    page = visit.page
    page.goto(f"{link}#room=offer")
    page.fill("#advert", "Beginner telescope 50/600, 450x! Eyepieces H20mm, SR4mm, 3x Barlow.")
    page.click("#judge")
    page.wait_for_selector("#proof canvas")
    assert page.inner_text("#word").lower() == "leave it"
    assert page.locator("#marked mark").count() >= 3
    page.click("#seeit")
    page.wait_for_selector(DRAWN)
    assert "450×" in page.inner_text("#powers")


def test_hostile_offer_stays_text(visit: Visit, link: str) -> None:
    page = visit.page
    page.goto(f"{link}#room=offer")
    hostile = Path(__file__).parents[1] / "unit/advice/hostile_advert.txt"
    page.fill(
        "#advert", f"{hostile.read_text()}<img src=x onerror=alert(1)><script>alert(2)</script>"
    )
    page.click("#judge")
    page.wait_for_selector("#verdict:not([hidden])")
    assert page.locator("#offer script, #offer iframe, #offer img").count() == 0


def test_night_sends_red_alone(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=saturn")
    page.click("#night")
    page.mouse.move(5, 300)
    page.wait_for_timeout(400)
    shot = np.asarray(Image.open(BytesIO(page.screenshot())).convert("RGB"))
    assert shot[..., 0].max() > 200
    assert shot[..., 1:].max() == 0


def test_stage_shows_picture_and_line_and_steps_by_keys(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=30")
    page.click("#stage")
    assert not page.is_visible("#powers")
    page.keyboard.press("ArrowRight")
    page.locator("#line", has_text="45×").wait_for()
    page.keyboard.press("Escape")
    page.wait_for_selector("#powers", state="visible")


@pytest.mark.parametrize("visit", list(SIZES), indirect=True)
def test_page_fits_its_screen_and_has_no_fault_of_wcag(visit: Visit, link: str) -> None:
    page = visit.goto(link)
    width = page.viewport_size["width"]
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert faults(page) == []
    page.click("nav a[data-to=offer]")
    page.click("#sample")
    page.wait_for_selector("#proof canvas")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert faults(page) == []


def test_mirror_is_collimated_by_following_the_rule(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=star&scope=demo:tabletop-150")
    page.click("#crooked")
    page.click("#hint")
    line = page.locator("#starline")
    line.filter(has_text="Turn screw").wait_for()
    for _ in range(8):
        words = line.inner_text().split()
        if "Turn" not in words:
            break
        letter, turn = words[2], float(words[4])
        slider = page.locator(f"#screw{letter}")
        slider.fill(f"{min(0.5, max(-0.5, float(slider.input_value()) + turn)):.2f}")
        before = page.get_attribute("body", "data-drawn")
        page.wait_for_selector(f"body[data-rest='true']:not([data-drawn='{before}'])")
        page.wait_for_timeout(600)
    assert "rings are round" in line.inner_text()


def test_riddle_is_guessed(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=star")
    page.click("#riddle")
    page.locator("#guesses button").first.click()
    assert page.inner_text("#starline").startswith(("Yes", "No"))
    assert faults(page) == []


def test_kept_sheet_is_saved_with_its_command(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
    with page.expect_download(timeout=WAIT) as saved:
        page.click("#keep")
    assert saved.value.suggested_filename == "view-jupiter.png"
    page.wait_for_selector("#kept[open]")
    assert page.inner_text("#command").startswith("simview view demo:toy-refractor-50")
