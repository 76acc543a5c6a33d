"""Two charts of a star test: brightness against radius, and the wavefront with its scale."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GOOD, INK, LINE, RING, SOFT
from simview.picture.drawing.plot import Axis, draw_curve
from simview.picture.drawing.sheet import Area
from simview.picture.drawing.tongue import decimal, say
from simview.picture.startest.wavemap import full_scale, shades, wave_map

Floats = NDArray[np.float64]

# The profile's brightness runs over this many powers of ten.
DECADES: Final = 4


def draw_profile(
    canvas: Canvas,
    area: Area,
    profiles: tuple[Floats, Floats, Floats],
    *,
    against: str = "",
) -> None:
    """Draw brightness against distance from the star's middle, beside another star's.

    Parameters
    ----------
    profiles
        Radius in arcsec; this star and the other one, against the other one's middle.
    against
        What the other one is.
    """
    place = (area.left, area.top + canvas.px(22))
    canvas.write_within(
        place, say("Brightness in focus"), area.width, (sheet.HEADING, 17), weight="bold"
    )
    size = canvas.px(sheet.SMALL)
    radius, own, best = profiles
    left, right = area.left + canvas.px(102), area.right - canvas.px(4)
    bottom = min(area.bottom, area.top + 1.1 * area.width) - canvas.px(34)
    top = area.top + canvas.px(52)
    along = Axis(low=0.0, high=float(radius[-1]), start_px=left, end_px=right, scale="linear")
    up = Axis(low=10.0**-DECADES, high=1.0, start_px=bottom, end_px=top)
    for power in range(DECADES + 1):
        y = up.at(10.0**-power)
        canvas.box((left, y, right, y + canvas.px(2)), RING)
        words = "1" if power == 0 else f"1/{10**power}"
        canvas.write(
            (left - canvas.px(8), y + 0.36 * size), words, size, colour=SOFT, align="right"
        )
    for value in along.labelled(canvas.px(90)):
        words = text.angle(value) if value else "0"
        canvas.write(
            (along.at(value), bottom + canvas.px(28)), words, size, colour=SOFT, align="middle"
        )
    pen = canvas.px(3)
    for curve, colour, dash in (
        (best, GOOD, (canvas.px(8), canvas.px(7))),
        (own, INK, None),
    ):
        draw_curve(canvas, _points(along, up, radius, curve), pen, colour, dash=dash)
    _legend(canvas, right, top, against)


def _points(along: Axis, up: Axis, radius: Floats, curve: Floats) -> list[tuple[float, float]]:
    return [
        (along.at(float(r)), up.at(max(float(v), up.low)))
        for r, v in zip(radius, curve, strict=True)
    ]


def _legend(canvas: Canvas, right: float, top: float, against: str) -> None:
    size, pen = canvas.px(sheet.SMALL), canvas.px(3)
    other = against or say("a perfect one")
    for row, (words, colour) in enumerate(((say("this telescope"), INK), (other, GOOD))):
        base = top + canvas.px(26) + row * text.line_px(size)
        start = right - canvas.px(6) - text.width_px(words, size)
        middle = base - 0.34 * size
        ends = [(start - canvas.px(52), middle), (start - canvas.px(12), middle)]
        dash = None if colour == INK else (canvas.px(8), canvas.px(7))
        draw_curve(canvas, ends, pen, colour, dash=dash)
        canvas.write((start, base), words, size, colour=SOFT)


def draw_map(canvas: Canvas, area: Area, waves: Floats, note: str) -> None:
    """Draw the wavefront, its scale of colours beside it and a note below."""
    place = (area.left, area.top + canvas.px(22))
    heading = say("Wavefront error")
    canvas.write_within(place, heading, area.width, (sheet.HEADING, 17), weight="bold")
    bar, label = canvas.px(20), canvas.px(76)
    side = int(min(area.width - bar - label, area.bottom - area.top - canvas.px(78)))
    top = round(area.top + canvas.px(44))
    scale = full_scale(waves)
    canvas.paste(wave_map(waves, scale, side), (round(area.left), top))
    x = round(area.left + side + canvas.px(16))
    height = min(side, canvas.px(220))
    ramp = shades(np.linspace(1.0, -1.0, height))[:, None, :].repeat(bar, axis=1)
    canvas.paste(ramp, (x, top))
    panel.draw_frame(canvas, (x, top, x + bar, top + height), canvas.px(1), LINE)
    size = canvas.px(sheet.SMALL)
    for part, words in (
        (1.0, f"+{wave_words(scale)}"),
        (0.0, "0"),
        (-1.0, f"−{wave_words(scale)}"),
    ):
        y = top + (1.0 - part) / 2.0 * height
        base = y + (0.72 - 0.36 * (1.0 - part)) * size
        canvas.write((x + bar + canvas.px(8), base), words, size, colour=SOFT)
    base = top + side + canvas.px(30)
    if base < area.bottom + canvas.px(4):
        canvas.write_within((area.left, base), note, area.width, (sheet.SMALL, 15), colour=SOFT)


def wave_words(waves: float) -> str:
    """Return a part of a wave as opticians write it: 1/4, 1/2, 2."""
    if waves >= 1.0 or not math.isclose(1.0 / waves, round(1.0 / waves)):
        return decimal(f"{waves:g}")
    return f"1/{round(1.0 / waves)}"
