"""Each question of the page answered by keyboard alone."""

from __future__ import annotations

from typing import Any

DRAWN = "body[data-rest='true']"


def tab_to(page: Any, selector: str, most: int = 60) -> None:
    """Press Tab until this is reached, as a person without a mouse must."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("(it) => document.activeElement?.matches(it)", selector):
            return
    raise AssertionError(f"{selector} is not reached in {most} presses of Tab")


def test_view_is_chosen_and_its_power_set_by_keys(visit: Any, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=30")
    tab_to(page, "#target")
    page.keyboard.type("Saturn")
    page.keyboard.press("Tab")
    page.locator("#line", has_text="Saturn").wait_for()
    tab_to(page, ".scale input")
    page.keyboard.press("PageUp")
    page.keyboard.press("PageUp")
    page.locator("#line", has_text="90×").wait_for()
    tab_to(page, "nav a[data-to=star]")
    page.keyboard.press("Enter")
    page.wait_for_selector("#star:not([hidden])")


def test_riddle_is_solved_by_keys(visit: Any, link: str) -> None:
    page = visit.goto(f"{link}#room=star")
    tab_to(page, "#riddle")
    page.keyboard.press("Enter")
    tab_to(page, "#guesses button")
    for _ in range(4):
        page.keyboard.press("Enter")
        if page.inner_text("#starline").startswith("Yes"):
            break
    assert page.inner_text("#starline").startswith("Yes")
    tab_to(page, "#focus")
    before = page.input_value("#focus")
    page.keyboard.press("ArrowLeft")
    assert page.input_value("#focus") != before


def test_offer_is_judged_by_keys(visit: Any, link: str) -> None:
    page = visit.page
    page.goto(f"{link}#room=offer")
    tab_to(page, "#advert")
    page.keyboard.type("Telescope 50/600, 450x, eyepieces H20mm SR4mm")
    tab_to(page, "#judge")
    page.keyboard.press("Enter")
    page.wait_for_selector("#proof canvas")
    assert page.inner_text("#word").lower() == "leave it"
    tab_to(page, "#seeit")
    page.keyboard.press("Enter")
    page.wait_for_selector(DRAWN)
    assert "450×" in page.inner_text("#powers")
