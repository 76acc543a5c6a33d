"""What a sheet's maker adds: title, foot, logo; white paper; words apart for a PDF."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from simview.picture.drawing import dress, sheet
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GROUND, INK, ON_WHITE, SOFT, contrast, on_white
from simview.picture.drawing.papers import DPI, PAPERS, dpi_of
from simview.picture.drawing.shapes import Box, Page, page_of
from simview.picture.drawing.sheet import SheetText

WORDS = SheetText(title="Its own title", subtitle="Below", caption="Air and eye.", footer="Foot")


def drawn(own: dress.Dress) -> Canvas:
    with dress.wearing(own):
        canvas = Canvas((960, 540))
        sheet.draw_words(canvas, WORDS)
    return canvas


def texts(canvas: Canvas) -> list[str]:
    return [words.text for words in kept(canvas).words]


def kept(canvas: Canvas) -> Page:
    page = page_of(canvas.image)
    assert page is not None
    return page


def test_title_and_foot_are_the_makers_own() -> None:
    own = dress.Dress(title="Our evening", footer="Village library", vector=True)
    told = texts(drawn(own))
    assert "Our evening" in told
    assert "Village library" in told
    assert "Its own title" not in told
    assert "Foot" not in told
    assert "Foot" not in texts(drawn(replace(own, footer="")))


def test_shapes_kept_beside_a_sheet_change_nothing_of_its_picture() -> None:
    together, apart = drawn(dress.Dress()), drawn(dress.Dress(vector=True))
    assert together.image.tobytes() == apart.image.tobytes()
    # A sheet without contents has a hairline above its caption, its words, and nothing else.
    rest = [shape for shape in kept(apart).shapes if shape not in kept(apart).words]
    assert [type(shape) for shape in rest] == [Box]
    assert page_of(together.image) is None


def test_dress_is_worn_no_longer_than_the_command_runs() -> None:
    with dress.wearing(dress.Dress(title="x", ground="white")):
        assert dress.current().title == "x"
    assert dress.current() == dress.PLAIN


def test_white_paper_keeps_words_and_lines_legible() -> None:
    """WCAG 2.1: 4.5 : 1 for words (1.4.3), 3 : 1 for lines (1.4.11)."""
    white = on_white(GROUND)
    assert white == (255, 255, 255)
    for colour in (INK, SOFT):
        assert contrast(on_white(colour), white) >= 4.5
    for line in ((112, 124, 144), (136, 148, 166), (86, 180, 233), (240, 228, 66)):
        assert contrast(on_white(line), white) >= 3.0


@pytest.mark.parametrize("fill", [(17, 24, 36), (34, 41, 54), (28, 34, 44), (50, 52, 88)])
def test_dark_fills_become_light_ones_under_dark_words(fill: tuple[int, int, int]) -> None:
    assert contrast(ON_WHITE[INK], on_white(fill)) >= 7.0


def test_white_sheet_is_white() -> None:
    pixels = np.asarray(drawn(dress.Dress(ground="white")).image)
    assert (pixels[0, 0] == 255).all()
    assert np.median(pixels) == 255
    # A picture of the night stays as it is printed.
    with dress.wearing(dress.Dress(ground="white")):
        canvas = Canvas((960, 540))
        canvas.paste(np.full((10, 10, 3), 7, np.uint8), (100, 100))
    assert (np.asarray(canvas.image)[105, 105] == 7).all()


def test_logo_stands_in_the_corner_and_is_seen_through() -> None:
    logo = Image.new("RGBA", (200, 100), (255, 0, 0, 255))
    logo.paste((0, 0, 0, 0), (0, 0, 100, 100))
    pixels = np.asarray(drawn(dress.Dress(logo=logo)).image).astype(int)
    red = (pixels[..., 0] > 200) & (pixels[..., 1] < 30)
    rows, columns = np.nonzero(red)
    assert columns.min() > 0.85 * 960
    assert rows.max() < 0.1 * 540
    assert 0.3 < red.sum() / (33 * 66) < 0.7  # its left half lets the ground through


@pytest.mark.parametrize(
    ("name", "mm"), [("a4", (297.0, 210.0)), ("a3", (420.0, 297.0)), ("letter", (279.4, 215.9))]
)
def test_papers_have_their_size_at_300_dots_an_inch(name: str, mm: tuple[float, float]) -> None:
    """ISO 216; ANSI A."""
    size = PAPERS[name]
    for pixels, length in zip(size, mm, strict=True):
        assert pixels == pytest.approx(length / 25.4 * 300.0, abs=0.6)
    assert dpi_of(size) == DPI == 300.0
    assert dpi_of((1920, 1080)) is None


def test_recipe_holds_all_but_the_logo() -> None:
    own = dress.Dress(title="T", footer="", ground="white")
    told: dict[str, Any] = own.recipe()
    assert dress.of_recipe(told) == own
    assert dress.PLAIN.recipe() == {}
