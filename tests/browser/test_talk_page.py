"""The talk's page in a real browser: keys, notes, and what axe-core has against it.

Needs the program `chromium`; without it these tests are skipped.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from simview.cli.app import run

CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.skipif(
        CHROMIUM is None, reason="the browser chromium is not installed; nothing was checked in it"
    ),
]

TALK = """
title = "Three slides"
size = "960x540"
[[slide]]
title = "The first"
lines = ["One"]
notes = "Say one.\\n\\nThen pause."
[[slide]]
title = "The second"
command = "view"
kit = "demo:toy-refractor-50"
target = "mars"
power = 60
live = true
[[slide]]
title = "The third"
lines = ["Three"]
"""


@pytest.fixture(scope="module")
def visit(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = tmp_path_factory.mktemp("page")
    (home / "t.toml").write_text(TALK, encoding="utf-8")
    assert run(["talk", str(home / "t.toml"), "--out", str(home / "out"), "--quiet"]) == 0
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.complaints = []
    page.asked = []
    page.on("console", lambda message: page.complaints.append(message.text))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto((Path(home) / "out/talk.html").as_uri())
    return page


def shown(page: Any) -> str:
    return str(page.locator("section.shown h2").text_content())


def test_keys_turn_the_slides(visit: Any) -> None:
    assert shown(visit) == "The first"
    for key, title in (
        ("ArrowRight", "The second"),
        ("Space", "The third"),
        ("PageDown", "The third"),
        ("PageUp", "The second"),
        ("Home", "The first"),
        ("End", "The third"),
        ("Home", "The first"),
    ):
        visit.keyboard.press(key)
        assert shown(visit) == title


def test_notes_have_a_window_that_follows(visit: Any) -> None:
    visit.keyboard.press("Home")
    with visit.expect_popup() as opened:
        visit.keyboard.press("n")
    notes = opened.value
    assert "Say one." in notes.locator("body").inner_text()
    visit.keyboard.press("ArrowRight")
    assert "The second" in notes.locator("body").inner_text()
    notes.close()


def test_nothing_is_fetched_and_nothing_complains(visit: Any) -> None:
    assert visit.complaints == []
    assert all(url.startswith(("file:", "data:")) for url in visit.asked)


def test_axe_core_finds_nothing(visit: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(visit).response["violations"]
    assert [each["id"] for each in found] == []


def test_live_slide_leads_to_the_page_on_stage(visit: Any) -> None:
    visit.keyboard.press("Home")
    visit.keyboard.press("ArrowRight")
    link = visit.locator("section.shown a.live")
    assert link.is_visible()
    address = link.get_attribute("href")
    assert address.startswith("http://127.0.0.1:8467/?key=")
    for part in ("object=mars", "kit=demo%3Atoy-refractor-50", "power=60", "stage=1"):
        assert part in address
    # A key on the link is the link's own; anywhere else it turns the slides.
    assert visit.locator("section a.live").count() == 1
    visit.keyboard.press("Home")


def test_print_shows_every_slide_with_its_notes(visit: Any) -> None:
    visit.emulate_media(media="print")
    assert all(visit.locator("section").nth(n).is_visible() for n in range(3))
    assert visit.locator("section .notes").first.is_visible()
    assert not visit.locator("nav").is_visible()
    visit.emulate_media(media="screen")
