"""The page in a real browser: each question by mouse, nothing fetched from elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run

SIZES = ("laptop", "hall", "telephone")
DRAWN = "body[data-rest='true']"
WAIT = 90_000  # ms; a busy machine must not fail a test

# Drag the power, and tell what is drawn at once, and what is drawn when the full picture has come:
# its mean light, and how wide its light lies about its middle.
DRAG_AND_REST = """async (power) => {
    const canvas = document.querySelector("#picture canvas");
    const seen = () => {
        const side = canvas.width;
        const copy = Object.assign(document.createElement("canvas"), { width: side, height: side });
        const brush = copy.getContext("2d", { willReadFrequently: true });
        brush.drawImage(canvas, 0, 0);
        const { data } = brush.getImageData(0, 0, side, side);
        let [light, lit, wide] = [0, 0, 0];
        for (let i = 0; i < data.length; i += 4) {
            const [x, y] = [(i / 4) % side - side / 2, Math.floor(i / 4 / side) - side / 2];
            // The field's soft edge is left out.
            if (Math.hypot(x, y) > 0.48 * side) continue;
            const here = Math.max(0, data[i + 1] - 40);
            light += data[i + 1];
            lit += here;
            wide += here * Math.hypot(x, y);
        }
        return { light: light / side ** 2, wide: wide / lit };
    };
    const range = document.querySelector(".scale input");
    const [least, most] = [Number(range.dataset.least), Number(range.dataset.most)];
    range.value = String((1000 * Math.log(power / least)) / Math.log(most / least));
    range.dispatchEvent(new Event("input"));
    const drawn = seen();
    if (document.body.dataset.rest !== "false") return [{ light: -1, wide: -1 }, seen()];
    range.dispatchEvent(new Event("change"));
    while (document.body.dataset.rest !== "true") await new Promise(requestAnimationFrame);
    return [drawn, seen()];
}"""

Visit = Any
Faults = Callable[[Any], list[str]]


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


def test_power_is_dragged_without_an_answer_and_without_a_jump(visit: Visit, link: str) -> None:
    told = "#room=see&object=saturn&kit=demo:toy-refractor-50&power=30"
    page = visit.goto(f"{link}{told}")
    # Enough is held around 40 times, which is none of the box's powers.
    page.wait_for_function("() => Number(document.body.dataset.held) >= 4")
    # The server is not asked for this picture: it could not send it before the next frame is drawn.
    drawn, rest = page.evaluate(DRAG_AND_REST, 40.0)
    assert "40×" in page.inner_text("#line")
    assert drawn["light"] == pytest.approx(rest["light"], abs=1.0)
    assert drawn["wide"] == pytest.approx(rest["wide"], rel=0.03)


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
    # As promised, at its best, and what could be had instead.
    page.locator("#proof canvas").nth(2).wait_for()
    assert page.inner_text("#word").lower() == "leave it"
    assert page.locator("#marked mark").count() >= 3
    first = page.inner_text("#instead li >> nth=0")
    page.fill("#budget", "a lot")
    page.keyboard.press("Tab")
    page.locator("#trouble", has_text="no amount").wait_for()
    page.fill("#budget", "150")
    page.keyboard.press("Tab")
    page.locator("#insteadtitle", has_text="150").wait_for()
    assert page.inner_text("#instead li >> nth=0") != first
    assert not page.is_visible("#trouble")
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


def test_night_sends_red_alone(visit: Visit, link: str, faults: Faults) -> None:
    page = visit.goto(f"{link}#room=see&object=saturn")
    page.click("#night")
    assert faults(page) == []
    page.click("#tonight summary")
    page.mouse.move(5, 300)
    page.wait_for_timeout(400)
    shot = np.asarray(Image.open(BytesIO(page.screenshot())).convert("RGB"))
    assert shot[..., 0].max() > 200
    assert shot[..., 1:].max() == 0


def test_stage_shows_picture_and_line_and_steps_by_keys(
    visit: Visit, link: str, faults: Faults
) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=30")
    page.click("#stage")
    assert not page.is_visible("#powers")
    assert faults(page) == []
    page.keyboard.press("ArrowRight")
    page.locator("#line", has_text="45×").wait_for()
    page.keyboard.press("Escape")
    page.wait_for_selector("#powers", state="visible")


@pytest.mark.parametrize("visit", SIZES, indirect=True)
def test_page_fits_its_screen_and_has_no_fault_of_wcag(
    visit: Visit, link: str, faults: Faults
) -> None:
    page = visit.goto(link)
    width = page.viewport_size["width"]
    page.click("#tonight summary")
    page.click("#talk summary")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert faults(page) == []
    page.click("nav a[data-to=star]")
    page.click("#riddle")
    page.wait_for_selector("#cone path")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert faults(page) == []
    page.click("nav a[data-to=offer]")
    page.click("#sample")
    page.wait_for_selector("#proof canvas")
    page.click("#values summary")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert faults(page) == []


def test_mirror_is_collimated_by_following_the_rule(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=star&scope=demo:tabletop-150")
    page.click("#crooked")
    page.click("#hint")
    line = page.locator("#starline")
    line.filter(has_text="Turn screw").wait_for()
    # How it is done at the tube stands beside it.
    page.click("#screws summary")
    assert "forward" in page.inner_text("#ways")
    assert "hand" in page.inner_text("#guide")
    for _ in range(8):
        words = line.inner_text().split()
        if "Turn" not in words:
            break
        letter, turn = words[2], float(words[5]) * (1 if words[3] == "forward" else -1)
        slider = page.locator(f"#screw{letter}")
        slider.fill(f"{min(0.5, max(-0.5, float(slider.input_value()) + turn)):.2f}")
        before = page.get_attribute("body", "data-drawn")
        page.wait_for_selector(f"body[data-rest='true']:not([data-drawn='{before}'])")
        page.wait_for_timeout(600)
    assert "Well done" in line.inner_text()


def test_riddle_is_guessed_or_told(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=star")
    page.click("#riddle")
    for _ in range(4):
        page.locator("#guesses button").first.click()
        if page.inner_text("#starline").startswith("Yes"):
            break
        assert page.inner_text("#starline").startswith("No, not")
    # The fault then stands on the controls.
    assert page.input_value("#fault") != ""
    page.click("#riddle")
    page.click("#reveal")
    assert page.inner_text("#starline").startswith("it is")


def test_kept_sheet_is_the_one_that_its_command_makes(
    visit: Visit, link: str, tmp_path: Path
) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
    with page.expect_download(timeout=WAIT) as saved:
        page.click("#keep")
    assert saved.value.suggested_filename == "view-jupiter.png"
    page.wait_for_selector("#kept[open]")
    words = page.inner_text("#command").split()
    assert words[:3] == ["simview", "view", "demo:toy-refractor-50"]
    out = tmp_path / "sheet.png"
    assert run([*words[1:], "--out", str(out), "--quiet"]) == 0
    kept = np.asarray(Image.open(saved.value.path()))
    assert np.array_equal(kept, np.asarray(Image.open(out)))


def test_two_tabs_keep_their_own_offers(visit: Visit, link: str) -> None:
    pages = [visit.page, visit.another()]
    for page, size in zip(pages, ("50/600", "60/700"), strict=True):
        page.goto(f"{link}#room=offer")
        page.fill("#advert", f"Beginner telescope {size}, 450x! Eyepieces 20mm, 4mm, 3x Barlow.")
        page.click("#judge")
        page.wait_for_selector("#proof canvas")
    for page, aperture in zip(pages, (50.0, 60.0), strict=True):
        page.click("#seeit")
        page.wait_for_selector(DRAWN)
        pupil = float(page.locator("#powers dd").first.inner_text().split()[0])
        power = float(page.locator(".times").first.inner_text().rstrip("×"))
        assert pupil == pytest.approx(aperture / power, rel=0.03)
        # The link reproduces it in a new tab while the server runs.
        page.reload()
        page.wait_for_selector(DRAWN)
        assert not page.is_visible("#trouble")


def test_value_read_wrong_is_put_right(visit: Visit, link: str) -> None:
    page = visit.page
    page.goto(f"{link}#room=offer")
    page.fill("#advert", "Reflector telescope 76/700 on a stand, eyepieces 20 mm and 4 mm.")
    page.click("#judge")
    page.wait_for_selector("#proof canvas")
    page.click("#values summary")
    page.fill("#right-aperture_mm", "wide")
    page.keyboard.press("Enter")
    assert "no number" in page.inner_text("#trouble")
    with page.expect_response(lambda answer: "/offer" in answer.url) as judged:
        page.fill("#right-aperture_mm", "114")
        page.keyboard.press("Enter")
    assert judged.value.json()["kit"]["aperture_mm"] == 114
    assert not page.is_visible("#trouble")


def test_evening_is_listed_and_an_object_of_it_shown(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter")
    page.click("#tonight summary")
    page.click("#evening")
    assert "place" in page.inner_text("#trouble")
    page.fill("#date", "2026-11-27")
    page.fill("#lat", "52")
    page.fill("#lon", "13")
    page.click("#evening")
    saturn = page.locator("#sights li", has_text="Saturn")
    height = saturn.locator("span").inner_text().split("°")[0]
    saturn.locator("button").click()
    page.locator("#line", has_text="Saturn").wait_for()
    assert page.input_value("#altitude") == height


def test_photograph_stands_beside_the_star_and_is_sent_nowhere(
    visit: Visit, link: str, tmp_path: Path
) -> None:
    page = visit.goto(f"{link}#room=star")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    wrong = tmp_path / "notes.jpg"
    wrong.write_text("no photograph")
    page.set_input_files("#photofile", wrong)
    page.locator("#trouble", has_text="no photograph").wait_for()
    right = tmp_path / "star.png"
    Image.new("RGB", (64, 48), (200, 30, 30)).save(right)
    page.set_input_files("#photofile", right)
    page.wait_for_selector("#photo canvas")
    assert not page.is_visible("#trouble")
    middle = """() => {
        const canvas = document.querySelector("#photo canvas");
        const [red, green] = canvas.getContext("2d").getImageData(canvas.width / 2, 40, 1, 1).data;
        return red === 200 && green === 30;
    }"""
    page.wait_for_function(middle)
    assert sent == []


def test_talk_steps_by_prepared_views_with_notes_in_a_second_window(
    visit: Visit, link: str, tmp_path: Path, faults: Faults
) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
    page.click("#talk summary")
    page.click("#addstep")
    page.fill("#steps textarea", "Look at the belts.")
    page.evaluate("location.hash = location.hash.replace('power=45', 'power=450')")
    page.locator("#line", has_text="450×").wait_for()
    page.click("#addstep")
    with page.expect_popup() as opened:
        page.click("#opennotes")
    notes = opened.value
    page.click("#stage")
    page.keyboard.press("PageDown")
    notes.locator("#notetext", has_text="belts").wait_for()
    assert faults(notes) == []
    assert notes.inner_text("#notestep") == "1 of 2: Jupiter, 45×"
    assert notes.inner_text("#notenext") == "Next: Jupiter, 450×"
    assert "Next: " in notes.inner_text("#notenext")
    notes.click("#forward")
    page.locator("#line", has_text="450×").wait_for()
    page.keyboard.press("b")
    assert (
        page.evaluate("() => getComputedStyle(document.querySelector('main')).visibility")
        == "hidden"
    )
    page.keyboard.press("Escape")
    # A second tab has the same steps, and what one changes the other has too.
    other = visit.another()
    other.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
    other.click("#talk summary")
    other.locator("#steps li button[aria-label='Remove step 2']").click()
    page.locator("#steps li").nth(1).wait_for(state="detached")
    # A file outlives the browser's memory; one that is none changes nothing.
    with page.expect_download() as saved:
        page.click("#savesteps")
    page.click("#steps button[aria-label='Remove step 1']")
    page.locator("#steps li").wait_for(state="detached")
    wrong = tmp_path / "wrong.json"
    wrong.write_text('{"steps": [{"hash": "#room=see"}]}')
    page.set_input_files("#opensteps", wrong)
    page.locator("#trouble", has_text="no steps").wait_for()
    page.set_input_files("#opensteps", saved.value.path())
    assert page.input_value("#steps textarea") == "Look at the belts."
    assert not page.is_visible("#trouble")


@pytest.mark.parametrize("visit", [{"reduced_motion": "reduce"}], indirect=True)
def test_flicking_waits_for_the_hand_where_motion_is_reduced(visit: Visit, link: str) -> None:
    kits = "kit=demo:toy-refractor-50&power=45&kit=demo:tabletop-150&power=75"
    page = visit.goto(f"{link}#room=see&object=jupiter&{kits}")
    page.click("#flick")
    page.wait_for_timeout(1800)
    assert page.inner_text("figure:not([hidden]) figcaption b") == "45×"
    page.click("#other")
    assert page.inner_text("figure:not([hidden]) figcaption b") == "75×"


LARGE_DROP = """([place, name]) => {
    const moved = new DataTransfer();
    moved.items.add(new File([new Uint8Array(200_000_000)], name));
    const drop = new DragEvent("drop", { dataTransfer: moved, bubbles: true, cancelable: true });
    document.querySelector(place).dispatchEvent(drop);
}"""


def test_two_hundred_megabytes_dropped_are_told_and_sent_nowhere(visit: Visit, link: str) -> None:
    page = visit.goto(link)
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    rooms = {"see": "kit.toml", "star": "star.jpg", "offer": "page.html"}
    for room, name in rooms.items():
        page.click(f"nav a[data-to={room}]")
        page.evaluate(LARGE_DROP, [f"#{room}", name])
        page.locator("#trouble", has_text=f"{name} has 200 MB; at most 20 MB").wait_for()
    assert not [url for url in sent if "/kit" in url or "/offer" in url or "/diagnose" in url]


def test_old_link_says_what_is_gone(visit: Visit, link: str) -> None:
    page = visit.goto(f"{link}#room=see&object=jupiter&kit=offer:gone&power=45")
    assert "not here any more" in page.inner_text("#trouble")
    page.fill("#target", "jupitre")
    page.keyboard.press("Tab")
    page.locator("#trouble", has_text="did you mean").wait_for()
