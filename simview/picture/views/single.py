"""One view, and a loupe on the part of it that is looked at most, at life size or larger."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, is_lying, unit_of
from simview.picture.drawing.palette import BLACK, LINE, SOFT, WARN
from simview.picture.drawing.sheet import Limit, SheetText
from simview.picture.drawing.tongue import decimal, say
from simview.picture.views import halves

# Distance of the reader from the sheet, in heights of the sheet, for which the loupe is made: a
# desk's usual distance from its screen, or a seat in the front rows of a hall. Choice.
READER_HEIGHTS: Final = 2.0

# A close pair's loupe is larger than life, since its gap would be finer than a star's least width
# in print: its stars stand this far apart, in units, through any telescope, so that discs compare;
# but it enlarges no more than so many times, enough for 2 arcsec at 120 times.
PAIR_PX: Final = 32.0
MOST_TIMES: Final = 12.0

# A planet's loupe is larger than life, too: a reader farther away than two heights has it smaller
# than at the eyepiece, and at life size Cassini's division is one and a half pixels wide. Its disc
# or rings fill this share of the loupe; but it enlarges no more than so many times: then it is life
# size from 10 sheet heights, the last row of a large hall, and a small disc stays small. Choices.
DISC_SHARE: Final = 0.7
MOST_TIMES_DISC: Final = 5.0

# In units: between view and words; width of the table of figures; least and largest loupe.
_GAP: Final = 70
_TABLE: Final = 340
_TABLE_GAP: Final = 56
_LOUPE: Final = (240, 560)

# The same on a sheet that is not lying: the least height below a view for loupe and figures, the
# height of the words around a loupe; and of a loupe beside which figures stand, its share.
_BELOW: Final = 640
_AROUND_LOUPE: Final = 140
_LOUPE_SHARE: Final = 0.33


Place = tuple[float, float]


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
    halves
        Of a loupe whose halves show two places: their names, and where they lie in the view.
    rows
        Figures: (name, value).
    limits
        What limits detail: aperture, air, eye.
    limits_say
        What these bars are.
    empty
        True where the power is empty magnification.
    worth
        What the power is worth, from the fullest wording down.
    """

    power: float
    label: str
    seen: NDArray[np.uint8]
    loupe: NDArray[np.uint8]
    rows: tuple[tuple[str, str], ...] = ()
    limits: tuple[Limit, ...] = ()
    limits_say: str = ""
    empty: bool = False
    worth: tuple[str, ...] = ()
    loupe_at_deg: tuple[float, float] = (0.0, 0.0)
    labels: tuple[tuple[str, float, float], ...] = ()
    halves: tuple[tuple[str, float, float], ...] = ()


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
    seen_at, loupe_at
        Where these centres are on the sheet.
    figures_at
        Top left of the column of figures.
    told_at, told_px, bar_at
        Left end of the last line that says what the loupe is, how long such a line may be; left
        end of its scale bar.
    """

    size: Size
    pixels_per_degree: float
    field_deg: float
    seen_px: int
    loupe_pixels_per_degree: float
    loupe_px: int
    seen_at: Place
    loupe_at: Place
    figures_at: Place
    told_at: Place
    told_px: float
    bar_at: Place
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
    disc_deg: float | None = None,
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
    disc_deg
        How wide a planet is at the eye, rings and all; None where the target is none.

    Raises
    ------
    RangeError
        For a size that sheets cannot have.
    """
    places = _Places.on(size)
    scale = (places.room - 2.0 * panel.ring_px(places.room) - 2.0) / field_deg
    alive = life_size(size, reader_heights)
    if apart_deg is not None:
        alive *= min(max(PAIR_PX * unit_of(size) / (apart_deg * alive), 1.0), MOST_TIMES)
    if disc_deg is not None:
        alive *= min(max(DISC_SHARE * places.loupe / (disc_deg * alive), 1.0), MOST_TIMES_DISC)
    return SingleGeometry(
        size=size,
        pixels_per_degree=scale,
        field_deg=field_deg,
        seen_px=panel.seen_px(field_deg, scale),
        # A small field is already larger than life: then the loupe enlarges nothing more.
        loupe_pixels_per_degree=max(alive, scale),
        loupe_px=places.loupe,
        reader_heights=reader_heights,
        seen_at=places.seen_at,
        loupe_at=places.loupe_at,
        figures_at=places.figures_at,
        told_at=places.told_at,
        told_px=places.told_px,
        bar_at=places.bar_at,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Places:
    """Where things go: the view and its room, the loupe and its side, words, figures."""

    room: float
    seen_at: Place
    loupe: int
    loupe_at: Place
    figures_at: Place
    told_at: Place
    told_px: float
    bar_at: Place

    @classmethod
    def on(cls, size: Size) -> _Places:
        """Lay out a sheet of this size."""
        area, unit = sheet.content_area(size), unit_of(size)
        if is_lying(size):
            return cls._lying(area, unit)
        if area.height - _BELOW * unit >= 0.62 * area.width:
            return cls._upright(area, unit)
        return cls._square(area, unit)

    @classmethod
    def _lying(cls, area: sheet.Area, unit: float) -> _Places:
        """View, loupe, figures, from left to right."""
        room = min(area.height, 0.55 * area.width)
        beside = area.width - room - (_GAP + _TABLE + _TABLE_GAP) * unit
        low, high = (limit * unit for limit in _LOUPE)
        loupe = panel.even_px(min(max(beside, low), high, area.height - 110 * unit))
        radius = loupe / 2.0 - 2.0
        x = round(area.left + room - 2.0 + round(_GAP * unit) + radius)
        y = round(area.top + round(36 * unit) + radius + (area.height - 2 * radius) / 3.0)
        return cls(
            room=room,
            seen_at=(round(area.left + room / 2.0 - 1.0), round(area.top + area.height / 2.0)),
            loupe=loupe,
            loupe_at=(x, y),
            figures_at=(x + radius + round(_TABLE_GAP * unit), area.top),
            told_at=(x - radius, y - radius - round(18 * unit)),
            told_px=loupe + round(30 * unit),
            bar_at=(x - radius, y - radius + loupe + round(40 * unit)),
        )

    @classmethod
    def _upright(cls, area: sheet.Area, unit: float) -> _Places:
        """The view on top, loupe and figures below it, the loupe's words below that."""
        room = min(area.width, area.height - _BELOW * unit)
        below = area.top + room + 24 * unit
        most = min(_LOUPE[1] * unit, area.bottom - below - _AROUND_LOUPE * unit)
        loupe = panel.even_px(min(most, area.width - (_TABLE + _TABLE_GAP) * unit))
        left = area.left + (area.width - loupe - (_TABLE + _TABLE_GAP) * unit) / 3.0
        y = round(below + 24 * unit + loupe / 2.0)
        under = y + loupe / 2.0
        return cls(
            room=room,
            seen_at=(round(area.left + area.width / 2.0), round(area.top + room / 2.0)),
            loupe=loupe,
            loupe_at=(round(left + loupe / 2.0), y),
            figures_at=(area.right - _TABLE * unit, below),
            told_at=(left, under + 104 * unit),
            told_px=loupe + 60 * unit,
            bar_at=(left, under + 40 * unit),
        )

    @classmethod
    def _square(cls, area: sheet.Area, unit: float) -> _Places:
        """The view on top at the left, the loupe below it and inwards, figures at the right."""
        wide = area.width - (_TABLE + _TABLE_GAP) * unit
        loupe = panel.even_px(max(_LOUPE_SHARE * area.height, _LOUPE[0] * unit))
        x, y = area.left + wide - loupe / 2.0, area.bottom - loupe / 2.0
        room = min(wide, area.height)
        while math.hypot(x - area.left - room / 2.0, y - area.top - room / 2.0) < (
            (room + loupe) / 2.0 + 16 * unit
        ):
            room -= 1.0
        return cls(
            room=room,
            seen_at=(round(area.left + room / 2.0), round(area.top + room / 2.0)),
            loupe=loupe,
            loupe_at=(round(x), round(y)),
            figures_at=(area.left + wide + _TABLE_GAP * unit, area.top),
            told_at=(area.left, area.bottom - 58 * unit),
            told_px=wide - loupe - 24 * unit,
            bar_at=(area.left, area.bottom - 14 * unit),
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
    diameter, middle, loupe = geometry.diameter_px, geometry.seen_at, geometry.loupe_at
    shown = ((view.seen, diameter, middle), (view.loupe, geometry.loupe_diameter_px, loupe))
    begun = [panel.begin_field(canvas, seen, wide) for seen, wide, _ in shown]
    sheet.draw_words(canvas, words)
    for placed, field in zip(shown, begun, strict=True):
        panel.place_field(canvas, *placed, field)
    radius = geometry.loupe_diameter_px / 2.0
    scale = geometry.pixels_per_degree
    _draw_labels(canvas, view.labels, middle, scale, 0.5 * diameter)
    part = tuple(m + scale * away for m, away in zip(middle, view.loupe_at_deg, strict=True))
    if view.halves:
        halves.draw(
            canvas,
            view.halves,
            seen_at=middle,
            loupe_at=loupe,
            radius_px=radius,
            scales=(scale, geometry.loupe_pixels_per_degree),
        )
    else:
        _draw_link(canvas, geometry, (part[0], part[1]), loupe)
    away = [
        (words, x - view.loupe_at_deg[0], y - view.loupe_at_deg[1]) for words, x, y in view.labels
    ]
    _draw_labels(canvas, away, loupe, geometry.loupe_pixels_per_degree, radius)
    canvas.ring(*loupe, radius + canvas.px(3), canvas.px(3), SOFT)
    _draw_view_scale(canvas, geometry)
    _draw_loupe_words(canvas, geometry)
    _draw_figures(canvas, view, geometry.figures_at)
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


def _larger(geometry: SingleGeometry, pixels_per_degree: float) -> str:
    """Return how many times as large as at the eyepiece a picture is for the sheet's reader."""
    times = pixels_per_degree / life_size(geometry.size, geometry.reader_heights)
    return f"{times:.2g}" if times >= 1.0 else f"{times:.1g}"


def _loupe_says(geometry: SingleGeometry) -> str:
    """Say how large the loupe is against what the eye has at the eyepiece."""
    times = _larger(geometry, geometry.loupe_pixels_per_degree)
    if times == "1":
        return say("Loupe: as large as at the eyepiece")
    return say("Loupe: {times}× as large as at the eyepiece", times=decimal(times))


def _draw_view_scale(canvas: Canvas, geometry: SingleGeometry) -> None:
    """Draw the view's own scale bar in the corner that its circle leaves free, left below."""
    size = canvas.px(sheet.SMALL)
    radius = geometry.diameter_px / 2.0
    x = geometry.seen_at[0] - radius
    y = geometry.seen_at[1] + radius
    bar = panel.scale_bar(geometry.pixels_per_degree / 3600.0, canvas.px(110))
    times = decimal(_larger(geometry, geometry.pixels_per_degree))
    # In two lines: a circle leaves its corner no room for a long one.
    for lines, words in ((2, say("whole view:")), (1, say("{times} of life size", times=times))):
        canvas.write((x, y - lines * text.line_px(size)), words, size, colour=SOFT)
    panel.draw_bar(canvas, bar, (x, y), size, words=say("at the eye"))


def _draw_loupe_words(canvas: Canvas, geometry: SingleGeometry) -> None:
    """Say how large the loupe is against the eyepiece, with its own scale bar."""
    size = canvas.px(sheet.SMALL)
    words = _loupe_says(geometry)
    lines = text.wrap(words, geometry.told_px, size)
    for index, line in enumerate(reversed(lines)):
        base = geometry.told_at[1] - index * text.line_px(size)
        canvas.write((geometry.told_at[0], base), line, size, colour=SOFT)
    bar = panel.scale_bar(geometry.loupe_pixels_per_degree / 3600.0, canvas.px(150))
    panel.draw_bar(canvas, bar, geometry.bar_at, size, words=say("at the eye, in the loupe"))


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
            say("empty magnification"),
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
        units = (sheet.HEADING, sheet.LEAST)
        canvas.write_within((x, y + canvas.px(16)), view.limits_say, room, units)
        y += canvas.px(36)
        scale = sheet.bar_scale(canvas, view.limits, room, stacked=False)
        y += sheet.draw_limits(canvas, view.limits, (x, y), scale)
    if not view.empty:
        _draw_worth(canvas, view.worth, (x, y + canvas.px(20)), room)


# Lines that what a power is worth may take below the figures.
_WORTH_LINES: Final = 4


def _draw_worth(canvas: Canvas, wordings: Sequence[str], corner: Place, room: float) -> None:
    """Say what the power is worth: the fullest wording that fits above the caption."""
    size = canvas.px(sheet.SMALL)
    step = text.line_px(size)
    left = sheet.content_area(canvas.size).bottom - corner[1]
    most = min(_WORTH_LINES, int(left / step))
    for words in wordings:
        lines = text.wrap(words[:1].upper() + words[1:], room, size)
        if len(lines) <= most:
            for index, line in enumerate(lines, start=1):
                canvas.write((corner[0], corner[1] + index * step), line, size)
            return
