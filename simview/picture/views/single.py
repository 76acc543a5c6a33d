"""One view, and a loupe on the part of it that is looked at most, at life size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, unit_of
from simview.picture.drawing.palette import BLACK, LINE, SOFT, WARN
from simview.picture.drawing.sheet import Limit, SheetText

# Distance of the reader from the sheet, in heights of the sheet, for which the loupe is made: a
# desk's usual distance from its screen, or a seat in the front rows of a hall. Choice.
READER_HEIGHTS: Final = 2.0

# A close pair's loupe is larger than life, since its gap would be finer than a star's least width
# in print: its stars stand this far apart, in units, but it enlarges no more than so many times.
PAIR_PX: Final = 24.0
MOST_TIMES: Final = 8.0

# Below this a loupe is said to be at life size.
LIFE_SIZE: Final = 1.1

# In units: between view and words; width of the table of figures; least and largest loupe.
_GAP: Final = 70
_TABLE: Final = 340
_TABLE_GAP: Final = 56
_LOUPE: Final = (240, 560)


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleView:
    """One view with everything told about it.

    Parameters
    ----------
    power
        Times.
    label
        What gives it: "10 mm eyepiece".
    seen
        (n, n, 3) sRGB of the whole field, n from the geometry.
    loupe
        (m, m, 3) sRGB of a part of it, m and its scale from the geometry.
    loupe_at_deg
        Where in the view that part's middle lies, right of and below the view's, at the eye.
    labels
        Names to write upon the view and the loupe, and where: deg right and below at the eye.
    rows
        Figures: (name, value).
    limits
        What limits detail: aperture, air, eye.
    limits_say
        What these bars are.
    empty
        True where the power is empty magnification.
    """

    power: float
    label: str
    seen: NDArray[np.uint8]
    loupe: NDArray[np.uint8]
    rows: tuple[tuple[str, str], ...] = ()
    limits: tuple[Limit, ...] = ()
    limits_say: str = "What blurs a point"
    empty: bool = False
    loupe_at_deg: tuple[float, float] = (0.0, 0.0)
    labels: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleGeometry:
    """How large everything on the sheet of one view is, in pixels.

    Parameters
    ----------
    pixels_per_degree, loupe_pixels_per_degree
        Of apparent angle, in the view and in the loupe.
    field_deg
        Apparent field of the view.
    seen_px, loupe_px
        Side of the view's and of the loupe's picture; centres are the middle of pixel n // 2.
    """

    size: Size
    pixels_per_degree: float
    field_deg: float
    seen_px: int
    loupe_pixels_per_degree: float
    loupe_px: int
    reader_heights: float = READER_HEIGHTS

    @property
    def diameter_px(self) -> float:
        """Diameter of the field stop."""
        return self.field_deg * self.pixels_per_degree

    @property
    def loupe_diameter_px(self) -> float:
        """Diameter of the loupe."""
        return self.loupe_px - 4.0


def life_size(size: Size, reader_heights: float = READER_HEIGHTS) -> float:
    """Return the pixels per degree at which a sheet shows apparent angles at life size.

    For a reader so many of the sheet's own heights away.
    """
    return size[1] / math.degrees(2.0 * math.atan(0.5 / reader_heights))


def single_geometry(
    size: Size,
    field_deg: float,
    reader_heights: float = READER_HEIGHTS,
    *,
    apart_deg: float | None = None,
) -> SingleGeometry:
    """Lay the sheet of one view out.

    Parameters
    ----------
    size
        Width and height of the sheet in pixels.
    field_deg
        Apparent field of the view.
    reader_heights
        How far away the reader of the loupe sits, in heights of the sheet.
    apart_deg
        How far apart two stars stand at the eye; None where the target is no pair.

    Raises
    ------
    RangeError
        For a size that sheets cannot have.
    """
    area, unit = sheet.content_area(size), unit_of(size)
    room = min(area.height, 0.55 * area.width)
    scale = (room - 2.0 * panel.ring_px(room) - 2.0) / field_deg
    beside = area.width - room - (_GAP + _TABLE + _TABLE_GAP) * unit
    low, high = (limit * unit for limit in _LOUPE)
    loupe = min(max(beside, low), high, area.height - 110 * unit)
    alive = life_size(size, reader_heights)
    if apart_deg is not None:
        alive *= min(max(PAIR_PX * unit / (apart_deg * alive), 1.0), MOST_TIMES)
    return SingleGeometry(
        size=size,
        pixels_per_degree=scale,
        field_deg=field_deg,
        seen_px=panel.seen_px(field_deg, scale),
        # A small field is already larger than life: then the loupe enlarges nothing more.
        loupe_pixels_per_degree=max(alive, scale),
        loupe_px=panel.even_px(loupe),
        reader_heights=reader_heights,
    )


def draw_single(geometry: SingleGeometry, words: SheetText, view: SingleView) -> Image:
    """Draw the sheet of one view.

    Raises
    ------
    SimviewError
        Where a picture has not the size that the geometry asks for.
    """
    sheet.check_view(view.seen, geometry.seen_px, "seen")
    sheet.check_view(view.loupe, geometry.loupe_px, "loupe")
    canvas = Canvas(geometry.size)
    sheet.draw_words(
        canvas,
        words,
        pixels_per_degree=geometry.pixels_per_degree,
        scale_words="at the eye, in the view",
    )
    area = sheet.content_area(geometry.size)
    diameter, ring = geometry.diameter_px, panel.ring_px(geometry.diameter_px)
    middle = (round(area.left + diameter / 2.0 + ring), round(area.top + area.height / 2.0))
    panel.place_field(canvas, view.seen, diameter, middle)
    radius = geometry.loupe_diameter_px / 2.0
    x = round(area.left + diameter + 2 * ring + canvas.px(_GAP) + radius)
    loupe = (x, round(area.top + canvas.px(36) + radius + (area.height - 2 * radius) / 3.0))
    panel.place_field(canvas, view.loupe, geometry.loupe_diameter_px, loupe)
    scale = geometry.pixels_per_degree
    _draw_labels(canvas, view.labels, middle, scale, 0.5 * diameter)
    part = tuple(m + scale * away for m, away in zip(middle, view.loupe_at_deg, strict=True))
    _draw_link(canvas, geometry, (part[0], part[1]), loupe)
    away = [
        (words, x - view.loupe_at_deg[0], y - view.loupe_at_deg[1]) for words, x, y in view.labels
    ]
    _draw_labels(canvas, away, loupe, geometry.loupe_pixels_per_degree, radius)
    canvas.ring(*loupe, radius + canvas.px(3), canvas.px(3), SOFT)
    _draw_loupe_words(canvas, geometry, (x - radius, loupe[1] - radius))
    _draw_figures(canvas, view, (x + radius + canvas.px(_TABLE_GAP), area.top))
    return canvas.image


def _draw_labels(
    canvas: Canvas,
    labels: Sequence[tuple[str, float, float]],
    middle: tuple[float, float],
    pixels_per_degree: float,
    radius_px: float,
) -> None:
    """Write names where they belong, light on a dark edge, as far as they lie within a circle."""
    size, edge = canvas.px(15), max(1, canvas.px(1))
    for words, right, below in labels:
        across, down = (pixels_per_degree * away for away in (right, below))
        if math.hypot(across, down) > 0.88 * radius_px:
            continue
        place = (middle[0] + across, middle[1] + down + 0.35 * size)
        for x, y in ((-edge, 0), (edge, 0), (0, -edge), (0, edge), (edge, edge), (-edge, -edge)):
            shifted = (place[0] + x, place[1] + y)
            canvas.write(shifted, words, size, colour=BLACK, align="middle", upon=True)
        canvas.write(place, words, size, align="middle", upon=True)


def _draw_link(
    canvas: Canvas,
    geometry: SingleGeometry,
    middle: tuple[float, float],
    loupe: tuple[float, float],
) -> None:
    """Mark in the view what the loupe shows, and lead from there to the loupe."""
    large = geometry.loupe_diameter_px / 2.0
    small = large * geometry.pixels_per_degree / geometry.loupe_pixels_per_degree
    canvas.ring(*middle, small, canvas.px(2), LINE)
    along, across = loupe[0] - middle[0], loupe[1] - middle[1]
    distance = math.hypot(along, across)
    heading = math.atan2(across, along)
    # Outer tangents of the two circles.
    lean = math.acos(max(-1.0, min(1.0, (small - large) / distance)))
    for side in (lean, -lean):
        reach = (math.cos(heading + side), math.sin(heading + side))
        ends = [
            (centre[0] + radius * reach[0], centre[1] + radius * reach[1])
            for centre, radius in ((middle, small), (loupe, large))
        ]
        canvas.stroke(ends, canvas.px(2), LINE)


def _draw_loupe_words(
    canvas: Canvas, geometry: SingleGeometry, corner: tuple[float, float]
) -> None:
    """Say what the loupe is, above it, with its own scale bar below it."""
    size, room = canvas.px(sheet.SMALL), geometry.loupe_px + canvas.px(30)
    times = geometry.loupe_pixels_per_degree / life_size(geometry.size, geometry.reader_heights)
    life = "Life size" if times < LIFE_SIZE else f"{times:.2g} times life size"
    words = f"{life}, seen from {geometry.reader_heights:g} sheet heights away"
    lines = text.wrap(words, room, size)
    for index, line in enumerate(reversed(lines)):
        base = corner[1] - canvas.px(18) - index * text.line_px(size)
        canvas.write((corner[0], base), line, size, colour=SOFT)
    bar = panel.scale_bar(geometry.loupe_pixels_per_degree / 3600.0, canvas.px(150))
    base = corner[1] + geometry.loupe_px + canvas.px(40)
    panel.draw_bar(canvas, bar, (corner[0], base), size, words="at the eye, in the loupe")


def _draw_figures(canvas: Canvas, view: SingleView, corner: tuple[float, float]) -> None:
    """Write power, label, figures and what limits detail, from top to bottom."""
    x, y = corner
    room = canvas.px(_TABLE)
    size = canvas.px(84)
    base = y + canvas.px(84)
    length = canvas.write((x, base), text.times(view.power), size, weight="bold")
    canvas.write_within(
        (x, base + canvas.px(40)), view.label, room, (sheet.HEADING, sheet.LEAST), colour=SOFT
    )
    y = base + canvas.px(62)
    if view.empty:
        radius = canvas.px(16)
        panel.draw_empty_mark(canvas, x + length + canvas.px(34), base - 0.36 * size, radius)
        place = (x, y + canvas.px(24))
        canvas.write_within(
            place,
            "empty magnification",
            room,
            (sheet.HEADING, sheet.LEAST),
            colour=WARN,
            weight="bold",
        )
        y += canvas.px(44)
    y += canvas.px(20)
    y += sheet.draw_rows(canvas, view.rows, (x, y), room, canvas.px(sheet.HEADING))
    if view.limits:
        y += canvas.px(44)
        canvas.write((x, y + canvas.px(16)), view.limits_say, canvas.px(sheet.HEADING))
        y += canvas.px(36)
        scale = sheet.bar_scale(canvas, view.limits, room, stacked=False)
        sheet.draw_limits(canvas, view.limits, (x, y), scale)
