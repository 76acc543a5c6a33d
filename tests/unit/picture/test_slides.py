"""Slides: large letters, large pictures, few figures, and the same again from the recipe."""

from __future__ import annotations

import contextlib
import io
import zlib
from pathlib import Path

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from simview.demo import kit_path
from simview.errors import SimviewError
from simview.kitfile import load_kit_file
from simview.picture.again import redo
from simview.picture.drawing import text
from simview.picture.slides.arrange import page
from simview.picture.slides.compare_slide import compare_slide
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import plan
from simview.picture.slides.records import (
    THEMES,
    Figure,
    Page,
    Panel,
    Picture,
    Slide,
    SlideSheet,
    Wish,
    Words,
)
from simview.picture.slides.vector import pdf_of
from simview.picture.slides.view_slide import ladder_slide, view_slide
from simview.picture.views.cases import Case
from simview.scene.targets import target

SMALL = (960, 540)
KIT = load_kit_file(kit_path("demo:tabletop-150"))
TOY = load_kit_file(kit_path("demo:toy-refractor-50"))

PLAIN = Wish()

# Height of a capital over the type size comes from the outline of the font's own H.
_FONT = Path(text.__file__).parents[1] / "data" / "DejaVuSans-subset.ttf"


def cap_share() -> float:
    with TTFont(_FONT) as font:
        return float(font["glyf"]["H"].yMax / font["head"].unitsPerEm)


def lettering(sheet: SlideSheet) -> list[Words]:
    return [shape for shape in sheet.page.shapes if isinstance(shape, Words)]


def grey(side: int) -> np.ndarray:
    return np.full((side, side, 3), 90, np.uint8)


def drawn(size: tuple[int, int], title: str, labels: list[str], wish: Wish = PLAIN) -> Page:
    planned = plan(size, title, len(labels), insets=True)
    inset = grey(planned.inset_px)
    panels = tuple(
        Panel(picture=grey(planned.side), label=label, note=f"{label} below", inset=inset)
        for label in labels
    )
    figures = (Figure(value="75×", words="magnification"),) * 3
    slide = Slide(title=title, panels=panels, figures=figures, inset_words="Small: the view")
    return page(slide, planned, wish)


@settings(max_examples=60, deadline=None)
@given(
    size=st.sampled_from([(1920, 1080), (960, 540), (1080, 1080), (1080, 1920), (1600, 1200)]),
    title=st.text(alphabet="abc deW", min_size=1, max_size=160),
    labels=st.lists(st.text(alphabet="ab cW", max_size=60), min_size=1, max_size=6),
)
def test_no_letter_is_too_small_and_nothing_leaves_the_slide(
    size: tuple[int, int], title: str, labels: list[str]
) -> None:
    """The least capital is 2.5 % of the slide's shorter side."""
    made = drawn(size, title, labels)
    share = cap_share()
    for shape in made.shapes:
        if isinstance(shape, Words):
            # A pixel's rounding is 0.1 % of the smallest slide.
            assert shape.size * share / min(size) >= 0.025 - 0.001
            length = text.width_px(shape.text, shape.size, "bold" if shape.bold else "regular")
            x = shape.place[0] - {"left": 0.0, "middle": 0.5, "right": 1.0}[shape.align] * length
            assert x >= -1.0
            assert x + length <= size[0] + 1.0
            assert 0.0 < shape.place[1] <= size[1]
        if isinstance(shape, Picture):
            assert shape.corner[0] >= 0
            assert shape.corner[1] >= 0
            assert shape.corner[0] + shape.pixels.shape[1] <= size[0]
            assert shape.corner[1] + shape.pixels.shape[0] <= size[1]


@pytest.mark.parametrize(("count", "share"), [(1, 0.70), (2, 0.62), (3, 0.50)])
def test_pictures_are_large(count: int, share: float) -> None:
    """Height of a picture over the slide's: one picture, a pair, three (issue's own aim)."""
    assert plan((1920, 1080), "A title", count, insets=False).side / 1080 >= share


def test_panels_do_not_overlap() -> None:
    for count in range(2, 7):
        planned = plan((1920, 1080), "A title", count, insets=False)
        for i, (x, y) in enumerate(planned.corners):
            for u, v in planned.corners[i + 1 :]:
                assert abs(x - u) >= planned.side or abs(y - v) >= planned.side


@pytest.fixture(scope="module")
def jupiter() -> SlideSheet:
    return view_slide(
        KIT.kit,
        target("jupiter"),
        power=75.0,
        sky=KIT.sky,
        observer=KIT.observer,
        size=SMALL,
        wish=Wish(),
    )


def test_view_shows_the_object_large_and_the_field_small(jupiter: SlideSheet) -> None:
    pictures = [shape for shape in jupiter.page.shapes if isinstance(shape, Picture)]
    large, whole = sorted(pictures, key=lambda shape: -shape.pixels.shape[0])
    assert large.pixels.shape[0] / SMALL[1] > 0.7
    assert whole.round > 0.0
    # Jupiter fills its close-up: what is bright is more than half as wide as the picture.
    light = large.pixels.sum(axis=2)
    row = light[light.shape[0] // 2]
    assert (row > 0.5 * row.max()).mean() > 0.5


def test_view_says_its_point_in_words_and_at_most_three_figures(jupiter: SlideSheet) -> None:
    title = " ".join(w.text for w in lettering(jupiter) if w.bold)
    assert "Jupiter at 75×" in title
    words = [w.text for w in lettering(jupiter)]
    assert "magnification" in words
    assert sum(any(c.isdigit() for c in w) for w in words) <= 5  # title, kit's name, three figures
    # What is assumed goes to the speaker, not onto the slide.
    assert "Seeing" in jupiter.small_print
    assert not any("seeing" in word for word in words)


def test_slide_is_made_again_from_its_recipe(jupiter: SlideSheet) -> None:
    assert np.array_equal(np.asarray(redo(jupiter.recipe).image), np.asarray(jupiter.image))


def test_ladder_says_where_power_turns_empty() -> None:
    made = ladder_slide(
        TOY.kit,
        target("jupiter"),
        powers=(45.0, 450.0),
        sky=TOY.sky,
        observer=TOY.observer,
        size=SMALL,
        wish=Wish(),
    )
    assert [step["empty"] for step in made.figures["steps"]] == [False, True]
    words = [w.text for w in lettering(made)]
    assert "empty magnification" in words
    assert any(f"{made.figures['empty_above']:.0f}×" in word for word in words)
    again = redo(made.recipe)
    assert np.array_equal(np.asarray(again.image), np.asarray(made.image))


def test_conditions_share_one_scale_and_one_light() -> None:
    """A city's sky prints brighter than a dark one beside it, and both panels are alike large."""
    from dataclasses import replace

    sky = KIT.sky
    assert sky is not None
    nebula = target("orion-nebula")
    cases = [
        Case(
            kit=KIT.kit,
            power=30.0,
            target=nebula,
            sky=replace(sky, sky_mag_arcsec2=mag),
            observer=KIT.observer,
            name=name,
        )
        for mag, name in ((18.0, "In a city"), (21.5, "Far from any town"))
    ]
    made = compare_slide(cases, wish=Wish(paper="white"), size=SMALL)
    city, dark = (s.pixels for s in made.page.shapes if isinstance(s, Picture))
    assert city.shape == dark.shape
    assert np.median(city) > np.median(dark) + 10
    assert made.page.ground == THEMES["white"].ground
    again = redo(made.recipe)
    assert np.array_equal(np.asarray(again.image), np.asarray(made.image))


def test_labels_and_panels_must_match() -> None:
    case = Case(kit=KIT.kit, power=50.0, target=target("mars"), sky=KIT.sky, observer=KIT.observer)
    with pytest.raises(SimviewError, match="one for each panel"):
        compare_slide([case, case], wish=Wish(labels=("one",)), size=SMALL)


def test_pdf_keeps_words_as_words(jupiter: SlideSheet) -> None:
    """The page's text operators (PDF 32000-1, 9.4.3) are there, and the pictures beside them."""
    data = pdf_of(jupiter)
    assert data.startswith(b"%PDF-")
    streams = []
    rest = data
    while (start := rest.find(b"stream\n")) >= 0:
        end = rest.find(b"\nendstream", start)
        chunk = rest[start + 7 : end]
        with contextlib.suppress(zlib.error):
            streams.append(zlib.decompress(chunk))
        rest = rest[end + 10 :]
    texts = sum(stream.count(b" Tj") + stream.count(b" TJ") for stream in streams)
    assert texts >= len(lettering(jupiter))
    assert data.count(b"/Subtype /Image") >= 2


def test_white_paper_keeps_its_contrast() -> None:
    """WCAG 2.1: 4.5 : 1 for text."""
    from simview.picture.drawing.palette import contrast

    for theme in THEMES.values():
        for colour in (theme.ink, theme.soft, theme.good, theme.warn):
            assert contrast(colour, theme.ground) >= 4.5


def test_paint_draws_every_shape() -> None:
    made = drawn((960, 540), "A title", ["one", "two"], Wish(footer="foot"))
    image = paint(made)
    assert image.size == (960, 540)
    stream = io.BytesIO()
    image.save(stream, "PNG")
    assert np.asarray(image).max() > 200


def test_ladder_of_two_close_pairs_looks_at_one_and_tells_of_both() -> None:
    made = ladder_slide(
        KIT.kit,
        target("epsilon-lyrae"),
        powers=(30.0, 75.0, 150.0),
        sky=KIT.sky,
        observer=KIT.observer,
        size=SMALL,
        wish=Wish(),
    )
    pictures = [shape for shape in made.page.shapes if isinstance(shape, Picture)]
    large = [np.asarray(each.pixels) for each in pictures]
    widest = max(each.shape[0] for each in large)
    close = [each for each in large if each.shape[0] == widest]
    # The two pairs stand 209 arcsec apart, and half way between them there is nothing.
    assert len(close) == 3
    assert all(
        each[widest // 4 : -widest // 4, widest // 4 : -widest // 4].max() > 150 for each in close
    )
    words = [each.text for each in lettering(made)]
    assert "neither pair split" in words
    assert "both pairs split" in words
