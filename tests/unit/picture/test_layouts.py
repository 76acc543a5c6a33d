"""Layouts: everything on the sheet, one scale, the same look at any size."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview.errors import RangeError, SimviewError
from simview.picture.drawing import panel, sheet
from simview.picture.drawing.canvas import Canvas, check_size, unit_of
from simview.picture.drawing.palette import GOOD, GROUND, WARN
from simview.picture.views import compare, ladder, single

SIZES = [(960, 540), (1920, 1080), (3840, 2160), (1440, 1080), (1920, 800)]
WORDS = sheet.SheetText(
    title="A title", subtitle="a subtitle", caption="A caption. " * 20, footer="a footer"
)
LIMITS = tuple(
    sheet.Limit(name=name, arcsec=a) for name, a in (("aperture", 2.8), ("air", 2.0), ("eye", 1.0))
)

sizes = st.tuples(st.integers(960, 7680), st.integers(540, 4320)).filter(
    lambda s: 1.25 <= s[0] / s[1] <= 2.4
)
fields = st.floats(15.0, 100.0)


def steps(geometry, states):
    return [
        ladder.LadderStep(
            power=30.0 * (i + 1),
            label="an eyepiece",
            seen=np.full((n, n, 3), 30, np.uint8),
            patch=np.full((geometry.patch_px, geometry.patch_px, 3), 60, np.uint8),
            exit_pupil_mm=1.0,
            brightness=1.0 / (i + 1) ** 2,
            limits=LIMITS,
            state=state,
        )
        for i, (n, state) in enumerate(zip(geometry.seen_px, states, strict=True))
    ]


def items(geometry, *, empty=False):
    return [
        compare.CompareItem(
            power=30.0,
            name="A telescope of some name",
            label="an eyepiece",
            seen=np.full((n, n, 3), 30, np.uint8),
            rows=(("true field", "1.7°"), ("exit pupil", "5.0 mm")),
            empty=empty,
            patch=np.full((geometry.patch_px, geometry.patch_px, 3), 60, np.uint8),
        )
        for n in geometry.seen_px
    ]


def one(geometry, *, empty=False):
    return single.SingleView(
        power=150.0,
        label="an eyepiece",
        seen=np.full((geometry.seen_px, geometry.seen_px, 3), 30, np.uint8),
        loupe=np.full((geometry.loupe_px, geometry.loupe_px, 3), 60, np.uint8),
        rows=(("exit pupil", "1.0 mm"),),
        limits=LIMITS,
        limits_say="What each part alone would leave of the finest detail",
        empty=empty,
        worth=("enough power: all that this telescope shows tonight", "enough power"),
    )


def close_to(image, colour, tolerance=12):
    """Share of the sheet that has (nearly) this colour."""
    away = np.abs(np.asarray(image).astype(int) - np.array(colour)).max(axis=2)
    return float((away <= tolerance).mean())


def margins(image):
    """What is drawn in the outermost pixels of a sheet."""
    pixels = np.asarray(image)
    edge = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]])
    return edge[(edge != GROUND).any(axis=1)]


@given(size=sizes, wide=st.lists(fields, min_size=2, max_size=8))
def test_ladder_fits_its_sheet(size, wide):
    geometry = ladder.ladder_geometry(size, wide)
    area = sheet.content_area(size)
    tallest = max(geometry.diameters_px)
    assert tallest + 2 * panel.ring_px(tallest) <= geometry.column_px
    assert tallest + geometry.patch_px < area.height
    assert geometry.patch_px <= geometry.column_px
    assert len(wide) * geometry.column_px < area.width
    # Views and patches are large enough to show something: an eighth of the height at least.
    assert geometry.patch_px > 0.1 * size[1] * min(1.0, 1.5 * size[0] / size[1] / len(wide) * 2)


@given(size=sizes, wide=st.lists(fields, min_size=1, max_size=6), rows=st.integers(0, 6))
def test_comparison_fits_its_sheet(size, wide, rows):
    geometry = compare.compare_geometry(size, wide, rows=rows)
    tallest = max(geometry.diameters_px)
    assert geometry.columns * geometry.lines >= len(wide)
    assert tallest + 2 * panel.ring_px(tallest) <= min(geometry.cell_px)
    assert tallest > 0.15 * size[1]


@given(size=sizes, wide=st.lists(fields, min_size=1, max_size=6), rows=st.integers(0, 6))
def test_comparison_with_close_ups_fits_its_sheet(size, wide, rows):
    geometry = compare.compare_geometry(size, wide, rows=rows, close_ups=True)
    area, unit = sheet.content_area(size), unit_of(size)
    tallest, (width, height) = max(geometry.diameters_px), geometry.cell_px
    assert geometry.lines == 1
    assert geometry.columns * (width + 28 * unit) <= area.width + 29 * unit
    assert tallest + 2 * panel.ring_px(tallest) <= width
    # Words above, heading of the close-ups, a table of one type size and leading a row.
    words, table = (138 + 52) * unit, rows * 1.26 * 23 * unit
    beside, below = {
        "rows": (geometry.patch_px, tallest + geometry.patch_px + table),
        "rows beside": (geometry.patch_px + 236 * unit, tallest + geometry.patch_px),
        "pairs": (tallest + geometry.patch_px, max(tallest, geometry.patch_px) + table),
    }[geometry.way]
    assert beside <= width
    assert words + below <= height + 2
    assert geometry.patch_px > 0.12 * size[1]


def test_close_ups_are_larger_than_views_where_both_share_the_height():
    geometry = compare.compare_geometry((1920, 1080), [50.0] * 3, close_ups=True)
    assert geometry.patch_px > 1.05 * max(geometry.diameters_px)


@pytest.mark.parametrize("count", range(1, 7))
def test_comparison_draws_a_close_up_for_each_view(count):
    geometry = compare.compare_geometry((1920, 1080), [50.0] * count, close_ups=True)
    image = compare.draw_compare(geometry, WORDS, items(geometry), patch_arcsec=60.0)
    pixels = image.size[0] * image.size[1]
    # Ink of the words has such greys too: 2 %.
    patches = close_to(image, (60, 60, 60), 0) * pixels
    assert patches == pytest.approx(count * geometry.patch_px**2, rel=0.02)
    circle = np.pi / 4.0 * geometry.diameters_px[0] ** 2
    views = close_to(image, (30, 30, 30), 0) * pixels
    assert views == pytest.approx(count * circle, rel=0.02)


def test_comparison_refuses_a_missing_close_up():
    geometry = compare.compare_geometry((1920, 1080), [50.0] * 2, close_ups=True)
    bare = [replace(item, patch=None) for item in items(geometry)]
    with pytest.raises(SimviewError, match="patch"):
        compare.draw_compare(geometry, WORDS, bare, patch_arcsec=60.0)


@given(size=sizes, wide=fields)
def test_single_view_fits_its_sheet(size, wide):
    geometry = single.single_geometry(size, wide)
    area = sheet.content_area(size)
    assert geometry.diameter_px < area.height
    assert geometry.diameter_px + geometry.loupe_px < area.width
    assert geometry.loupe_px % 2 == 0
    assert geometry.loupe_pixels_per_degree >= geometry.pixels_per_degree


@given(wide=st.lists(fields, min_size=2, max_size=6))
def test_field_stops_compare_as_apparent_fields_do(wide):
    for geometry in (
        ladder.ladder_geometry((1920, 1080), wide),
        compare.compare_geometry((1920, 1080), wide),
    ):
        ratios = np.array(geometry.diameters_px) / np.array(wide)
        assert np.allclose(ratios, geometry.pixels_per_degree)
        assert all(n >= d + 2 for n, d in zip(geometry.seen_px, geometry.diameters_px, strict=True))


def test_sheet_twice_as_large_shows_twice_as_much():
    small = ladder.ladder_geometry((1920, 1080), [50.0] * 6)
    large = ladder.ladder_geometry((3840, 2160), [50.0] * 6)
    assert large.pixels_per_degree == pytest.approx(2.0 * small.pixels_per_degree, rel=0.01)
    assert large.patch_px == pytest.approx(2.0 * small.patch_px, rel=0.01)


def test_loupe_is_life_size_at_two_heights():
    # A sheet 1 m high seen from 2 m spans 2 atan(1/4) = 28.07 degrees.
    assert single.life_size((1920, 1080)) == pytest.approx(1080.0 / 28.0725, rel=1e-4)


def test_planet_fills_its_loupe_well_at_five_times_life_size_at_most():
    # Saturn at 200 times, 2.45 deg, fills 0.7 of the loupe; a small disc is life
    # size from ten heights of the sheet.
    alive = single.life_size((1920, 1080))
    most = single.single_geometry((1920, 1080), 42.0, disc_deg=0.2).loupe_pixels_per_degree
    assert most == pytest.approx(1080.0 / math.degrees(2.0 * math.atan(0.5 / 10.0)), rel=0.03)
    for wide in (2.1, 2.45, 4.0):
        g = single.single_geometry((1920, 1080), 42.0, disc_deg=wide)
        assert wide * g.loupe_pixels_per_degree == pytest.approx(0.7 * g.loupe_px, rel=0.01)
    g = single.single_geometry((1920, 1080), 42.0, disc_deg=11.0)
    assert g.loupe_pixels_per_degree == pytest.approx(alive, rel=1e-3)


@pytest.mark.parametrize("size", SIZES)
def test_sheets_leave_their_margins_empty(size):
    g = ladder.ladder_geometry(size, [50.0, 40.0, 60.0])
    made = [ladder.draw_ladder(g, WORDS, steps(g, ["low", "enough", "empty"]), patch_arcsec=60.0)]
    for close_ups in (False, True):
        c = compare.compare_geometry(size, [50.0] * 5, close_ups=close_ups)
        made.append(compare.draw_compare(c, WORDS, items(c), patch_arcsec=60.0))
    s = single.single_geometry(size, 50.0)
    made.append(single.draw_single(s, WORDS, one(s)))
    for image in made:
        assert image.size == size
        assert len(margins(image)) == 0


@pytest.mark.parametrize("count", range(2, 9))
def test_ladder_of_any_length_draws_all_its_views(count):
    geometry = ladder.ladder_geometry((1920, 1080), [50.0] * count)
    states = ["low"] * (count - 1) + ["empty"]
    image = ladder.draw_ladder(geometry, WORDS, steps(geometry, states), patch_arcsec=60.0)
    views = close_to(image, (30, 30, 30), 1) * image.size[0] * image.size[1]
    # Ink of the words has such greys too: 2 %.
    circle = np.pi / 4.0 * geometry.diameters_px[0] ** 2
    assert views == pytest.approx(count * circle, rel=0.02)


def test_warning_colour_only_where_power_is_empty():
    geometry = ladder.ladder_geometry((1920, 1080), [50.0] * 4)
    sober = ladder.draw_ladder(
        geometry, WORDS, steps(geometry, ["low", "low", "enough", "enough"]), patch_arcsec=60.0
    )
    warned = ladder.draw_ladder(
        geometry, WORDS, steps(geometry, ["low", "enough", "enough", "empty"]), patch_arcsec=60.0
    )
    assert close_to(sober, WARN) == 0.0
    assert close_to(warned, WARN) > 5e-4
    assert close_to(sober, GOOD) > close_to(warned, GOOD) > 0.0


def test_empty_power_is_marked_without_colour_too():
    # Turned to grey, the frame of an empty panel still differs: dashes instead of a line.
    geometry = ladder.ladder_geometry((1920, 1080), [50.0] * 2)
    image = ladder.draw_ladder(
        geometry, WORDS, steps(geometry, ["low", "empty"]), patch_arcsec=60.0
    )
    grey = np.asarray(image.convert("L")).astype(int)
    lines = []
    for half in (grey[:, :960], grey[:, 960:]):
        patch = np.flatnonzero((half == 60).sum(axis=1) > 0.8 * geometry.patch_px)
        columns = np.flatnonzero(half[patch[0]] == 60)
        frame = half[patch[0] - 2, columns[0] : columns[-1]]
        lines.append((frame > 80).mean())
    assert lines[0] > 0.98
    assert 0.5 < lines[1] < 0.8


def test_comparison_and_view_mark_empty_power():
    c = compare.compare_geometry((1920, 1080), [50.0] * 3)
    s = single.single_geometry((1920, 1080), 50.0)
    for draw in (
        lambda e: compare.draw_compare(c, WORDS, items(c, empty=e)),
        lambda e: single.draw_single(s, WORDS, one(s, empty=e)),
    ):
        assert close_to(draw(False), WARN) == 0.0
        assert close_to(draw(True), WARN) > 1e-4


def test_bars_of_limits_compare_across_panels():
    canvas = Canvas((1920, 1080))
    scale = sheet.bar_scale(canvas, LIMITS, 300.0, stacked=False)
    sheet.draw_limits(canvas, LIMITS, (100.0, 100.0), scale)
    pixels = np.asarray(canvas.image)[..., 1]
    lengths = []
    for index in range(3):
        base = 100 + 22 + index * 27
        row = pixels[round(base - 0.36 * 22), round(100 + scale.start_px) : 348]
        lengths.append(np.flatnonzero(row < 60)[0])
    assert lengths[0] / lengths[1] == pytest.approx(2.8 / 2.0, rel=0.03)
    assert lengths[0] / lengths[2] == pytest.approx(2.8 / 1.0, rel=0.05)


def test_a_very_long_text_stays_on_the_sheet():
    geometry = ladder.ladder_geometry((1280, 720), [50.0] * 6)
    long = sheet.SheetText(
        title="T" * 400, subtitle="s" * 400, caption="caption " * 900, footer="f" * 900
    )
    made = steps(geometry, ["low"] * 6)
    image = ladder.draw_ladder(geometry, long, made, patch_arcsec=60.0)
    assert len(margins(image)) == 0


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("letters", [40, 80, 150])
def test_a_long_title_is_shown_whole(monkeypatch, size, letters):
    written = []
    once = Canvas.write

    def write(self, place, words, size_px, **how):
        if how.get("weight") == "bold":
            written.append((words, size_px / self.unit))
        return once(self, place, words, size_px, **how)

    monkeypatch.setattr(Canvas, "write", write)
    title = ("Saturn, rings 44.1″, and more of it " * 5)[:letters].strip()
    sheet.draw_words(Canvas(size), sheet.SheetText(title=title, subtitle="under it"))
    assert " ".join(words for words, _ in written) == title
    assert all(units >= sheet.SMALL - 1 for _, units in written)


@pytest.mark.parametrize("size", SIZES)
def test_no_type_is_smaller_than_a_hall_reads(monkeypatch, size):
    sizes = set()
    once = Canvas.write

    def write(self, place, words, size_px, **how):
        sizes.add(size_px / self.unit)
        return once(self, place, words, size_px, **how)

    monkeypatch.setattr(Canvas, "write", write)
    many = ladder.ladder_geometry(size, [50.0] * 8)
    made = steps(many, ["low"] * 8)
    made = [replace(step, label="6 mm, and a Barlow of 3 times") for step in made]
    ladder.draw_ladder(many, WORDS, made, patch_arcsec=60.0)
    for close_ups in (False, True):
        six = compare.compare_geometry(size, [50.0] * 6, close_ups=close_ups)
        compare.draw_compare(six, WORDS, items(six), patch_arcsec=60.0)
    s = single.single_geometry(size, 50.0)
    single.draw_single(s, WORDS, one(s, empty=True))
    # A whole pixel's rounding on small sheets.
    assert min(sizes) >= sheet.LEAST - 1.0


@pytest.mark.parametrize("size", [(800, 600), (959, 540), (7681, 4320), (3840, 1080), (640, 640)])
def test_impossible_sizes_are_refused(size):
    with pytest.raises(RangeError, match="size"):
        check_size(size)
    with pytest.raises(RangeError, match="size"):
        ladder.ladder_geometry(size, [50.0, 50.0])


@pytest.mark.parametrize("count", [0, 1, 9])
def test_ladder_needs_two_to_eight_powers(count):
    with pytest.raises(RangeError, match="powers"):
        ladder.ladder_geometry((1920, 1080), [50.0] * count)


@pytest.mark.parametrize("count", [0, 7])
def test_comparison_takes_one_to_six_views(count):
    with pytest.raises(RangeError, match="views"):
        compare.compare_geometry((1920, 1080), [50.0] * count)


def test_a_view_of_the_wrong_size_is_refused():
    geometry = ladder.ladder_geometry((1920, 1080), [50.0, 50.0])
    other = ladder.ladder_geometry((960, 540), [50.0, 50.0])
    with pytest.raises(SimviewError, match="seen"):
        ladder.draw_ladder(geometry, WORDS, steps(other, ["low", "low"]), patch_arcsec=60.0)
    with pytest.raises(SimviewError, match="steps"):
        ladder.draw_ladder(geometry, WORDS, [], patch_arcsec=60.0)
