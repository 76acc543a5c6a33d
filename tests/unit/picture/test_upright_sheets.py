"""Sheets for study that are square or upright: all stands on them, nothing upon anything else."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview.cli.app import run
from simview.errors import RangeError
from simview.picture.drawing import panel, sheet
from simview.picture.drawing.canvas import Canvas, check_lying, check_size, unit_of
from simview.picture.drawing.palette import GROUND
from simview.picture.drawing.papers import PAPERS
from simview.picture.startest.star_layout import Layout
from simview.picture.views import abreast, compare, ladder, single
from simview.picture.views.contact_layout import grid_of

# Up to twice as high as wide; down to a hair below the shape from which on a sheet lies.
sizes = st.tuples(st.integers(720, 4320), st.integers(720, 7680)).filter(
    lambda s: 0.5 <= s[0] / s[1] < 1.249
)
fields = st.floats(15.0, 100.0)


def test_type_is_as_large_on_a4_either_way() -> None:
    lying, upright = unit_of(PAPERS["a4"]), unit_of(PAPERS["a4-upright"])
    assert upright == pytest.approx(lying, rel=0.01)


@pytest.mark.parametrize("size", [(700, 700), (720, 1500), (4400, 7680)])
def test_sizes_that_no_layout_is_made_for_are_refused(size: tuple[int, int]) -> None:
    with pytest.raises(RangeError, match="size"):
        check_size(size)


def test_sheets_made_for_lying_ones_alone_say_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert check_lying((1920, 1080)) == (1920, 1080)
    own = ["eyepiece", "kellner", "--focal-length", "20", "--telescope", "150/750"]
    for command in (["collimate", "150/750"], own):
        assert run([*command, "--size", "1080x1080", "--out", "never.png"]) == 2
        told = capsys.readouterr().err
        assert "--for slide" in told
        assert told.count("\n") == 1


@given(size=sizes, field=fields)
def test_view_and_loupe_stand_apart_on_the_sheet(size: tuple[int, int], field: float) -> None:
    plan = single.single_geometry(size, field)
    area, unit = sheet.content_area(size), plan_unit(size)
    ring = panel.ring_px(plan.diameter_px)
    circles = (
        (plan.seen_at, plan.diameter_px / 2.0 + ring),
        (plan.loupe_at, plan.loupe_diameter_px / 2.0 + 3 * unit),
    )
    for (x, y), radius in circles:
        assert area.left - 2 <= x - radius
        assert x + radius <= area.right + 4 * unit
        assert area.top - 2 <= y - radius
        assert y + radius <= area.bottom + 4 * unit
    (first, a), (second, b) = circles
    assert math.dist(first, second) > a + b
    # Figures are 340 units wide and begin at the right of whatever stands beside them.
    left, top = plan.figures_at
    assert left + 340 * unit <= area.right + 2
    for (x, y), radius in circles:
        assert x + radius <= left or y + radius <= top
    assert plan.told_at[1] <= area.bottom + 2
    assert plan.bar_at[1] <= area.bottom + 2
    assert plan.diameter_px > 0.4 * min(size)


def plan_unit(size: tuple[int, int]) -> float:
    return min(size) / 1350.0


@given(size=sizes, wide=st.lists(fields, min_size=2, max_size=6))
def test_rows_fit_their_sheet(size: tuple[int, int], wide: list[float]) -> None:
    area = sheet.content_area(size)
    for geometry in (
        ladder.ladder_geometry(size, wide),
        compare.compare_geometry(size, wide, close_ups=True),
    ):
        rows = geometry.rows if isinstance(geometry, ladder.LadderGeometry) else geometry.across
        assert rows is not None
        tallest = max(geometry.diameters_px)
        assert tallest + 2 * panel.ring_px(tallest) <= rows.side
        assert len(wide) * rows.pitch <= area.height
        # Two pictures and 330 units of words.
        assert 2 * rows.side + 330 * plan_unit(size) < area.width


def test_more_rows_than_a_square_sheet_holds_are_refused() -> None:
    with pytest.raises(RangeError, match="at most 6"):
        abreast.lay_out((1080, 1080), 8)
    assert abreast.lay_out((1080, 1920), 8).side > 100


@given(size=sizes, wide=st.lists(fields, min_size=1, max_size=6))
def test_views_without_close_ups_fit_too(size: tuple[int, int], wide: list[float]) -> None:
    geometry = compare.compare_geometry(size, wide)
    area = sheet.content_area(size)
    tallest = max(geometry.diameters_px)
    assert tallest + 2 * panel.ring_px(tallest) <= min(geometry.cell_px)
    assert geometry.lines * geometry.cell_px[1] <= area.height + 1
    assert geometry.columns * geometry.cell_px[0] <= area.width + 1


@pytest.mark.parametrize("count", range(1, 13))
@pytest.mark.parametrize("size", [(1080, 1080), (1080, 1920), (1240, 1754)])
def test_pages_of_targets_hold_their_cells(size: tuple[int, int], count: int) -> None:
    canvas = Canvas(size)
    grid = grid_of(canvas, [f"Object number {k}" for k in range(count)])
    area = sheet.content_area(size)
    x, y = grid.corner(count - 1)
    assert x + grid.side_px <= area.right
    assert y + grid.side_px <= area.bottom
    # No row and no column is left empty.
    assert (count - 1) // grid.columns * grid.height + grid.height > 0.6 * area.height
    assert grid.columns <= count


@pytest.mark.parametrize("size", [(1080, 1080), (1080, 1920)])
def test_star_tests_charts_stand_in_two_rows(size: tuple[int, int]) -> None:
    layout, unit = Layout.of(size, 7), plan_unit(size)
    first, second, third, fourth = layout.columns(unit)
    assert layout.panel > 120 * unit
    assert first.top == second.top > layout.cut_top + layout.cut_height
    assert third.top == fourth.top > first.bottom
    assert fourth.bottom <= layout.area.bottom + 1
    assert second.right == pytest.approx(layout.area.right)
    assert fourth.right == pytest.approx(layout.area.right)


def test_study_sheet_is_drawn_upright_and_its_margins_stay_empty() -> None:
    with_words = Canvas((1080, 1920))
    words = sheet.SheetText(title="A title " * 12, subtitle="b " * 60, caption="C d. " * 200)
    sheet.draw_words(with_words, words, pixels_per_degree=20.0)
    pixels = np.asarray(with_words.image)
    margin = round(40 * unit_of((1080, 1920)))
    edges = (pixels[:, :margin], pixels[:, -margin:], pixels[:8], pixels[-8:])
    assert all((edge == GROUND).all() for edge in edges)
