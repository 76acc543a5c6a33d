"""Drawings for collimation: the mirror seen from behind with its screws, the axis in the field."""

from __future__ import annotations

import cmath
import math
from typing import Final, TypeAlias

from simview.picture.drawing import text
from simview.picture.drawing.canvas import Align, Canvas
from simview.picture.drawing.palette import GOOD, GROUND, INK, LINE, SOFT, WARN, Colour
from simview.picture.drawing.plot import draw_curve
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.screws import NAMES, Screws

# Those that tilt a mirror that forms the image, or a Newtonian's flat.
AnyScrews: TypeAlias = Screws | FlatScrews

# Glass seen from behind. A choice.
GLASS: Final[Colour] = (28, 34, 44)

# Circle of the screws in the drawing, against the mirror.
_CIRCLE: Final = 0.68


def draw_mirror(
    canvas: Canvas,
    centre: tuple[float, float],
    radius: float,
    screws: AnyScrews,
    *,
    turning: int | None = None,
    lettered: bool = True,
) -> None:
    """Draw the mirror from where its screws are; the screw that is turned is orange.

    Parameters
    ----------
    centre, radius
        Where it stands, pixels.
    screws
        Whose they are, and where.
    turning
        Number of the screw that is turned, from 0; None for none.
    lettered
        True writes A, B, C beside the screws.
    """
    x, y = centre
    canvas.dot(x, y, radius, LINE)
    canvas.dot(x, y, radius - max(1.5, 0.03 * radius), GLASS)
    for index, angle in enumerate(screws.angles_deg()):
        at = cmath.rect(_CIRCLE * radius, math.radians(angle))
        # From the front, left and right are exchanged.
        sx, sy = x + (-at.real if screws.before_secondary else at.real), y - at.imag
        size = radius * (0.24 if lettered else 0.22)
        on = index == turning
        canvas.dot(sx, sy, size, WARN if on else SOFT)
        if lettered:
            type_px = round(1.25 * size)
            base = sy + 0.36 * type_px
            canvas.write(
                (sx, base), NAMES[index], type_px, colour=GROUND, weight="bold", align="middle"
            )


def draw_focuser(
    canvas: Canvas, centre: tuple[float, float], radius: float, screws: FlatScrews
) -> None:
    """Mark on which side of the drawing the focuser stands, seen from the front."""
    way = cmath.rect(1.0, math.radians(screws.focuser_deg))
    seen = complex(-way.real, way.imag)
    start, end = 1.04 * radius * seen, 1.2 * radius * seen
    x, y = centre
    ends = [(x + at.real, y - at.imag) for at in (start, end)]
    canvas.stroke(ends, canvas.px(26), SOFT)
    place = 1.26 * radius * seen
    align: Align = "middle"
    if abs(seen.real) >= 0.5:
        align = "right" if seen.real < 0.0 else "left"
    size = canvas.px(22)
    base = (x + place.real, y - place.imag + 0.36 * size)
    canvas.write(base, "focuser", size, colour=SOFT, align=align)


def draw_field(
    canvas: Canvas,
    centre: tuple[float, float],
    radius: float,
    off: complex,
    screws: AnyScrews,
    *,
    full_arcmin: float,
) -> None:
    """Draw where the mirror's axis lies from the star, and the circle within which it may be.

    Parameters
    ----------
    off
        To the right and upwards, arcmin.
    full_arcmin
        Tilt at the drawing's edge.
    """
    x, y = centre
    canvas.ring(x, y, radius, canvas.px(2), LINE)
    within = radius * screws.tolerance_arcmin / full_arcmin
    canvas.ring(x, y, within, canvas.px(3), GOOD)
    reach = canvas.px(9)
    for dx, dy in ((reach, 0), (0, reach)):
        canvas.stroke([(x - dx, y - dy), (x + dx, y + dy)], canvas.px(2), SOFT)
    at = off / full_arcmin * radius
    if abs(at) > radius:
        at *= radius / abs(at)
    inside = abs(off) <= screws.tolerance_arcmin * 1.001
    canvas.dot(x + at.real, y - at.imag, canvas.px(11), GOOD if inside else WARN)


def draw_arrow(
    canvas: Canvas, start: tuple[float, float], way: complex, length: float, colour: Colour = INK
) -> None:
    """Draw an arrow from `start` along `way` (to the right, imaginary part upwards).

    Parameters
    ----------
    start
        Where it begins, pixels.
    way
        To the right, imaginary part upwards; of any length.
    length
        Pixels.
    colour
        Of all of it.
    """
    unit = way / abs(way)
    tip = (start[0] + length * unit.real, start[1] - length * unit.imag)
    pen = max(2.0, length / 14.0)
    draw_curve(canvas, [start, tip], pen, colour)
    for side in (150.0, -150.0):
        barb = unit * cmath.rect(0.34 * length, math.radians(side))
        draw_curve(canvas, [tip, (tip[0] + barb.real, tip[1] - barb.imag)], pen, colour)


def turn_words(turn: float) -> str:
    """Return a part of a turn, all written alike: 1/8 turn, 1/12 turn, 2 turns."""
    size = abs(turn)
    if size >= 0.95:
        return f"{size:.2g} turn{'' if round(size, 1) == 1.0 else 's'}"
    return f"{turn_part(size)} turn"


def turn_part(turn: float) -> str:
    """Return the part itself: 1/8, 1/12, 2."""
    size = abs(turn)
    if size >= 0.95:
        return text.figure(size)
    parts = round(1.0 / size)
    if math.isclose(parts * size, 1.0, rel_tol=0.13):
        return f"1/{parts}"
    return text.figure(size)
