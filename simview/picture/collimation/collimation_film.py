"""Collimation as an animation: screw after screw, until the rings stand round about the middle."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.picture import captions
from simview.picture.collimation.collimation_asked import Collimation, figures, recipe
from simview.picture.collimation.mirror_back import draw_arrow, draw_field, draw_mirror, turn_words
from simview.picture.drawing import panel, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN
from simview.picture.films.moving import Moving
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.screws import NAMES

Print = NDArray[np.uint8]
Turns = tuple[float, float, float]

# Seconds of standing still at the start, of one screw's turn, between turns, at the end, and frames
# a second. Choices: the words of a step can be read before the next one.
_START_S: Final = 0.8
_TURN_S: Final = 1.5
_BETWEEN_S: Final = 0.6
_END_S: Final = 1.7
FRAMES_PER_SECOND: Final = 12.0

# Where the animation begins when nothing is said: in tolerances, and deg.
USUAL_OFF: Final = 3.5
USUAL_TOWARDS_DEG: Final = 70.0

# Turns smaller than this are no turns.
_NOTHING: Final = 1e-6

SIZE: Final[Size] = (960, 540)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One frame's state.

    Parameters
    ----------
    tilt
        How far the mirror leans, arcmin; its axis stands on the other side of the star.
    turning
        Which screw is being turned, or None.
    turns
        By how much in all this screw is turned in this step.
    change
        By how much the mirror leans on in this step, arcmin.
    """

    tilt: complex
    turning: int | None = None
    turns: float = 0.0
    change: complex = 0j


def moments(asked: Collimation, tilt: complex, *, rate: float = FRAMES_PER_SECOND) -> list[Moment]:
    """Return the states of all frames, `rate` a second, from a tilt (arcmin) to none."""
    screws = asked.screws
    turns = screws.turns_for(-tilt)
    start, turn, between, end = (
        max(1, round(rate * seconds)) for seconds in (_START_S, _TURN_S, _BETWEEN_S, _END_S)
    )
    found = [Moment(tilt=tilt)] * start
    for index in sorted(range(3), key=lambda k: -abs(turns[k])):
        if abs(turns[index]) < _NOTHING:
            continue
        alone = [0.0, 0.0, 0.0]
        alone[index] = turns[index]
        change = screws.tilt((alone[0], alone[1], alone[2]))
        for k in range(1, turn + 1):
            part = 0.5 - 0.5 * math.cos(math.pi * k / turn)
            found.append(
                Moment(tilt=tilt + part * change, turning=index, turns=turns[index], change=change)
            )
        tilt += change
        found += [Moment(tilt=tilt)] * between
    return found + [Moment(tilt=0j)] * end


def animation(
    asked: Collimation,
    *,
    off_mm: float | None = None,
    towards_deg: float = USUAL_TOWARDS_DEG,
    size: Size = SIZE,
    frames_per_second: float = FRAMES_PER_SECOND,
) -> Moving:
    """Return the animation.

    Parameters
    ----------
    off_mm
        How far off the middle of the field the axis stands at the start; None for some
        tolerances.
    towards_deg
        In which direction from the star, anticlockwise from the right.

    Raises
    ------
    SimviewError
        For values out of range, or a size that sheets cannot have.
    """
    screws = asked.screws
    check_lying(size)
    most = asked.scope.focal_length_mm * math.tan(math.radians(2.0))
    start_mm = USUAL_OFF * screws.tolerance_mm if off_mm is None else off_mm
    require_range("--off", start_mm, 0.0, min(most, 200.0), unit="mm")
    require_range("--towards", towards_deg, -360.0, 360.0, unit="deg")
    rate = require_range("--fps", frames_per_second, 1.0, 60.0, unit="1/s")
    arcmin = start_mm / screws.tolerance_mm * screws.tolerance_arcmin
    # The axis stands towards the angle asked for: where the mirror must lean for that.
    way = cmath.rect(arcmin, math.radians(towards_deg))
    states = moments(asked, way * (screws.axis_from_star(1 + 0j)).real, rate=rate)
    return Moving(
        frames=_frames(asked, states, size),
        count=len(states),
        frames_per_second=rate,
        figures=figures(asked) | {"frames": len(states), "frames_per_second": rate},
        recipe=recipe(asked, size)
        | {
            "moving": True,
            "off_mm": start_mm,
            "towards_deg": towards_deg,
            "frames_per_second": rate,
        },
        title=f"Collimating {captions.instrument(asked.kit)}",
    )


def _frames(asked: Collimation, states: list[Moment], size: Size) -> Iterator[Print]:
    """Give the frames; one that is like the one before is not computed again."""
    full = max(1.25 * max(abs(state.tilt) for state in states), asked.screws.tolerance_arcmin * 1.5)
    view: tuple[complex, Print] | None = None
    last: tuple[Moment, Print] | None = None
    for state in states:
        if last is not None and last[0] == state:
            yield last[1]
            continue
        canvas = Canvas(size)
        side = _view_side(canvas)
        if view is None or view[0] != state.tilt:
            view = (state.tilt, asked.picture(state.tilt, side))
        frame = _drawn(canvas, asked, state, view[1], full)
        last = (state, frame)
        yield frame


def _view_side(canvas: Canvas) -> int:
    return int(canvas.size[1] - canvas.px(190)) // 2 * 2


def _drawn(
    canvas: Canvas, asked: Collimation, state: Moment, view: Print, full_arcmin: float
) -> Print:
    side = len(view)
    left, top = canvas.px(56), canvas.px(124)
    title = f"Collimating {captions.instrument(asked.kit)}"
    canvas.write_within(
        (left, canvas.px(78)), title, canvas.size[0] - 2 * left, (46, 30), weight="bold"
    )
    canvas.paste(view, (left, top))
    panel.draw_frame(canvas, (left, top, left + side, top + side), canvas.px(2), LINE)
    if state.turning is not None:
        way = asked.screws.star_moves(state.change)
        unit = way / abs(way)
        middle = (left + side / 2, top + side / 2)
        start = (middle[0] + 0.27 * side * unit.real, middle[1] - 0.27 * side * unit.imag)
        draw_arrow(canvas, start, way, 0.19 * side, WARN)
    below = top + side + canvas.px(44)
    words = "arrow: where the star goes; it is brought back to the middle"
    canvas.write_within((left, below), words, side, (30, 18), colour=SOFT)
    _draw_right(canvas, asked, state, left + side + canvas.px(70), full_arcmin)
    return np.asarray(canvas.image, np.uint8)


def _draw_right(
    canvas: Canvas, asked: Collimation, state: Moment, left: float, full_arcmin: float
) -> None:
    screws, right = asked.screws, canvas.size[0] - canvas.px(56)
    flat = isinstance(screws, FlatScrews)
    radius = 0.235 * (right - left)
    y = canvas.px(176) + radius
    for x, words in (
        (
            left + radius,
            "secondary from the front" if screws.before_secondary else "mirror from behind",
        ),
        (
            right - radius,
            "shadow, from the middle" if flat else "its axis, from the star",
        ),
    ):
        canvas.write((x, canvas.px(150)), words, canvas.px(30), colour=SOFT, align="middle")
    draw_mirror(canvas, (left + radius, y), radius, screws, turning=state.turning)
    off = screws.axis_from_star(state.tilt)
    draw_field(canvas, (right - radius, y), radius, off, screws, full_arcmin=full_arcmin)
    base = y + radius + canvas.px(110)
    words, colour = _action(asked, state)
    canvas.write_within((left, base), words, right - left, (60, 30), colour=colour, weight="bold")
    off_mm = screws.off_mm(state.tilt)
    rows = (
        (f"{'shadow' if flat else 'axis'} {text.figure(off_mm)} mm off the middle", INK),
        (f"fine below {text.figure(screws.tolerance_mm, 3)} mm (blue circle)", GOOD),
    )
    for line, (said, shade) in enumerate(rows):
        place = (left, base + canvas.px(70 + 58 * line))
        canvas.write_within(place, said, right - left, (42, 24), colour=shade)


def _action(asked: Collimation, state: Moment) -> tuple[str, Any]:
    if state.turning is not None:
        way = "back" if state.turns < 0 else "forward"
        return f"Screw {NAMES[state.turning]}: {turn_words(state.turns)} {way}", WARN
    if abs(state.tilt) <= asked.screws.tolerance_arcmin * 1e-6:
        return "Collimated: rings all round", GOOD
    if abs(state.tilt) <= asked.screws.tolerance_arcmin:
        return "Good enough", GOOD
    return "The dark middle leans", INK
