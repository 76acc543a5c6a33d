"""One view on a sheet: field stop, ring, frame, scale bar and marks."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.executor.threads import beside
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Align, Canvas
from simview.picture.drawing.palette import GOOD, GROUND, INK, LINE, RING, SOFT, WARN, Colour

View = NDArray[np.uint8]

# Lengths of a scale bar are one of these times a power of ten in arcsec, or one of the lists of
# whole arcmin and degrees below.
_ROUND: Final = (1.0, 2.0, 5.0)
_ROUND_ARCSEC: Final = tuple(
    sorted(
        [m * 10.0**k for k in (-2, -1, 0) for m in _ROUND]
        + [10.0, 20.0, 30.0]
        + [60.0 * m for m in (1, 2, 5, 10, 20, 30)]
        + [3600.0 * m for m in (1, 2, 5, 10, 20, 30)]
    )
)


def even_px(length: float) -> int:
    """Return the smallest even whole number not below `length`."""
    return 2 * math.ceil(length / 2.0)


def seen_px(field_deg: float, pixels_per_degree: float) -> int:
    """Return the side in pixels of the square that holds a field and its edge."""
    return even_px(field_deg * pixels_per_degree) + 4


def ring_px(diameter_px: float) -> float:
    """Return the width of the ring drawn around a field stop of that diameter."""
    return max(1.5, 0.0055 * diameter_px)


def stopped(view: View, diameter_px: float) -> View:
    """Cut a view to its field: ground outside, a faint ring around the field stop.

    Parameters
    ----------
    view
        (n, n, 3) sRGB; the field's centre is the middle of pixel n // 2.
    diameter_px
        Of the field stop.

    Returns
    -------
    (n, n, 3); the field's edge is smooth, its inside untouched.
    """
    return field_stop(view.shape[0], diameter_px)(view)


def field_stop(side: int, diameter_px: float) -> Callable[[View], View]:
    """Return `stopped` for many views of one size: only what lies outside the field is drawn."""
    distance = _from_middle(side)
    radius = diameter_px / 2.0
    places = np.flatnonzero(distance > radius - 0.5)
    beyond = distance.ravel()[places, None]
    inside = np.clip(radius + 0.5 - beyond, 0.0, 1.0)
    in_ring = np.clip(radius + ring_px(diameter_px) + 0.5 - beyond, 0.0, 1.0)
    around = np.array(GROUND, np.float32) * (1.0 - in_ring) + np.array(RING, np.float32) * in_ring
    around *= 1.0 - inside

    def cut(view: View) -> View:
        answer = np.array(view, order="C")
        pixels = answer.reshape(-1, 3)
        pixels[places] = pixels[places] * inside + around + 0.5
        return answer

    return cut


def _from_middle(side: int) -> NDArray[np.float32]:
    """Return each pixel's distance from the middle of pixel side // 2."""
    along = np.arange(side, dtype=np.float32) - side // 2
    return np.asarray(np.sqrt(along[:, None] ** 2 + along**2))


class Field(NamedTuple):
    """A view cut to its field, with the ring around it: its pixels, and which of them show."""

    pixels: View
    shown: NDArray[np.bool_] | NDArray[np.uint8]


def begin_field(canvas: Canvas, view: View, diameter_px: float) -> Callable[[], Field]:
    """Begin to cut a view to its field while other things are drawn; return what waits for it."""
    return beside(partial(_field, view, diameter_px, dark=canvas.dark))


def _field(view: View, diameter_px: float, *, dark: bool) -> Field:
    ring = ring_px(diameter_px)
    pad = math.ceil(ring) + 2
    cut = stopped(np.pad(view, ((pad, pad), (pad, pad), (0, 0))), diameter_px)
    # What lies in the corners around the field stays as it is.
    away = _from_middle(cut.shape[0]) - (diameter_px / 2.0 + ring)
    if dark:
        return Field(cut, away <= 1.0)
    return Field(cut, np.asarray(255 * np.clip(0.5 - away, 0, 1), np.uint8))


def place_field(
    canvas: Canvas,
    view: View,
    diameter_px: float,
    centre: tuple[float, float],
    begun: Callable[[], Field] | None = None,
) -> None:
    """Draw a view with its field stop.

    Parameters
    ----------
    view, diameter_px
        As in `stopped`.
    centre
        Where the field's centre comes to lie, sheet pixels.
    begun
        What `begin_field` returned for the view, where it was asked before.
    """
    cut, covered = begun() if begun is not None else _field(view, diameter_px, dark=canvas.dark)
    half = cut.shape[0] // 2
    middle = (round(centre[0]), round(centre[1]))
    canvas.paste(cut, (middle[0] - half, middle[1] - half), covered)
    if canvas.keeps_shapes:
        # In print its edge is a line, sharp at any size.
        ring = ring_px(diameter_px)
        canvas.ring(middle[0] + 0.5, middle[1] + 0.5, diameter_px / 2.0 + ring, ring, RING)


class Bar(NamedTuple):
    """A scale bar: its length on the sheet and what it stands for."""

    length_px: float
    arcsec: float

    @property
    def label(self) -> str:
        """The length in words: 10″, 2′, 5°."""
        for unit, sign in ((3600.0, "°"), (60.0, "′")):
            if self.arcsec >= unit:
                return f"{self.arcsec / unit:g}{sign}"
        return f"{self.arcsec:g}″"


def scale_bar(pixels_per_arcsec: float, room_px: float) -> Bar:
    """Return the longest bar of a round length that fits into `room_px`.

    Checked by: tests/unit/picture/test_panel.py
    """
    fitting = [a for a in _ROUND_ARCSEC if a * pixels_per_arcsec <= room_px]
    arcsec = fitting[-1] if fitting else _ROUND_ARCSEC[0]
    return Bar(length_px=arcsec * pixels_per_arcsec, arcsec=arcsec)


def draw_bar(
    canvas: Canvas,
    bar: Bar,
    place: tuple[float, float],
    size_px: int,
    *,
    align: Align = "left",
    words: str = "",
) -> float:
    """Draw a scale bar with its label on one line of text.

    Parameters
    ----------
    place
        Baseline of the label; left or right end of the whole.
    words
        Follow the length: "of the view".

    Returns
    -------
    Its length in pixels.
    """
    label = f"{bar.label} {words}".strip()
    gap = 0.45 * size_px
    total = bar.length_px + gap + text.width_px(label, size_px)
    x, y = place[0] - (total if align == "right" else 0.0), place[1]
    thick = max(2, round(size_px / 9))
    middle, cap = round(y - 0.36 * size_px), round(0.32 * size_px)
    canvas.box((x, middle - thick / 2, x + bar.length_px, middle + thick / 2), INK)
    for end in (x, x + bar.length_px - thick):
        canvas.box((end, middle - cap, end + thick, middle + cap), INK)
    canvas.write((x + bar.length_px + gap, y), label, size_px, colour=SOFT)
    return total


def draw_frame(
    canvas: Canvas,
    corners: tuple[float, float, float, float],
    width_px: int,
    colour: Colour = LINE,
    *,
    dashed: bool = False,
) -> None:
    """Draw a frame just outside a rectangle, solid or in dashes.

    Parameters
    ----------
    corners
        Left, top, right, bottom of what it stands around, pixels.
    width_px
        Of its line.
    colour, dashed
        Of its line.
    """
    x0, y0, x1, y1 = corners
    w = width_px
    sides = (
        (x0 - w, y0 - w, x1 + w, y0),
        (x0 - w, y1, x1 + w, y1 + w),
        (x0 - w, y0, x0, y1),
        (x1, y0, x1 + w, y1),
    )
    for side in sides:
        if dashed:
            draw_dashes(canvas, side, colour)
        else:
            canvas.box(side, colour)


def draw_dashes(canvas: Canvas, corners: tuple[float, float, float, float], colour: Colour) -> None:
    """Fill a thin straight rectangle with dashes that begin and end at its ends."""
    x0, y0, x1, y1 = corners
    across = x1 - x0 >= y1 - y0
    length, width = (x1 - x0, y1 - y0) if across else (y1 - y0, x1 - x0)
    if width <= 0.0 or length <= 0.0:
        return  # no room for a dash
    count = max(1, round(length / (8.0 * width)))
    # `count` gaps of 3 and count + 1 dashes of 5 parts.
    part = length / (8.0 * count + 5.0)
    for k in range(count + 1):
        start, end = 8.0 * k * part, (8.0 * k + 5.0) * part
        if across:
            canvas.box((x0 + start, y0, x0 + end, y1), colour)
        else:
            canvas.box((x0, y0 + start, x1, y0 + end), colour)


def draw_empty_mark(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """Draw the mark of empty magnification: a ring struck through."""
    width = max(2.0, radius / 4.0)
    canvas.ring(x, y, radius, width, WARN)
    reach = 1.25 * radius / math.sqrt(2.0)
    canvas.stroke([(x - reach, y + reach), (x + reach, y - reach)], width, WARN)


def draw_air_mark(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """Draw the mark of power past tonight's air: two waves."""
    width = max(2.0, radius / 4.0)
    turns = np.linspace(-math.pi, math.pi, 25)
    for level in (-0.45, 0.45):
        wave = [
            (x + radius * turn / math.pi, y + radius * (level + 0.28 * math.sin(turn)))
            for turn in turns
        ]
        canvas.stroke(wave, width, SOFT)


def draw_enough_mark(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """Draw the mark of enough power: a full disc."""
    canvas.dot(x, y, radius, GOOD)


def draw_more_mark(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """Draw the mark of power that is still too low: an open ring."""
    canvas.ring(x, y, radius, max(2.0, radius / 4.0), SOFT)
