"""An eyepiece as a slide: a square grid and stars as it shows them, and how far out it is sharp."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfigures import EyepieceFigures
from simview.kit import Kit
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import decimal, say
from simview.picture.eyepieces.eyepiece_contents import judge_eyepiece, read
from simview.picture.eyepieces.views import field_view
from simview.picture.finished import Told
from simview.picture.slides.plan import field_px, plan
from simview.picture.slides.printed import finished, footer_of
from simview.picture.slides.records import Figure, Panel, Size, Slide, SlideSheet, Wish

# Blur up to which a star still looks like one to most people who are not asked to look for it,
# arcmin: three times what sharp sight resolves. A choice.
_SHARP_ARCMIN: Final = 3.0


def eyepiece_slide(
    kit: Kit,
    layout: Lens,
    *,
    wish: Wish,
    apparent_field_deg: float | None = None,
    size: Size = (1920, 1080),
) -> SlideSheet:
    """Show what an eyepiece makes of a grid and stars, and three figures.

    Parameters
    ----------
    kit, layout, apparent_field_deg
        As in `judge_eyepiece`.
    wish
        The slide's own words, language and ground.
    size
        Pixels.

    Raises
    ------
    SimviewError
        As `simview.picture.eyepieces.eyepiece_contents.judge_eyepiece`.
    """
    contents = judge_eyepiece(kit, layout, apparent_field_deg=apparent_field_deg)
    figures, told = contents.figures, contents.told(size)
    sharp = sharp_part(figures)
    named = f"{figures.lens.title}, {decimal(f'{figures.focal_length_mm:.3g}')} mm"
    title = wish.title or _title(named, sharp)
    planned = plan(size, title, 1, insets=False)
    picture = field_view(figures, planned.side, field_px(planned.side) / contents.seen_deg)
    edge = float(figures.blur_arcmin[-1])
    slide = Slide(
        title=title,
        panels=(
            Panel(
                picture=picture,
                round=True,
                label=wish.labels[0] if wish.labels else captions.instrument(kit),
            ),
        ),
        figures=(
            Figure(value=text.times(contents.numbers["power"]), words=say("magnification")),
            Figure(
                value=f"{text.figure(figures.apparent_field_deg)}°",
                words=say("from edge to edge of the view"),
            ),
            _sharpness(figures, sharp),
        ),
        footer=footer_of(wish),
        small_print=say(
            "The eyepiece's own part only: no air, no diffraction, a telescope without faults."
            " Stars stay small where the circle that holds 80 % of their light is at most {limit}′"
            " wide at the eye; at the edge it is {edge}′.",
            limit=text.figure(_SHARP_ARCMIN),
            edge=text.figure(edge),
        ),
    )
    return finished(
        slide,
        planned,
        wish,
        Told(figures={**told.figures, "sharp_part": sharp}, recipe=told.recipe),
    )


def _sharpness(figures: EyepieceFigures, sharp: float) -> Figure:
    if sharp > 0.0:
        return Figure(value=f"{100.0 * sharp:.0f} %", words=say("of the way out, stars stay small"))
    blur = text.figure(float(figures.blur_arcmin[0]))
    return Figure(value=f"{blur}′", words=say("wide is a star even in the middle"))


def sharp_part(figures: EyepieceFigures) -> float:
    """Return how far out, in parts of the way from the middle to the edge, stars stay small."""
    blurred = np.flatnonzero(figures.blur_arcmin > _SHARP_ARCMIN)
    if len(blurred) == 0:
        return 1.0
    first = int(blurred[0])
    if first == 0:
        return 0.0
    low, high = (float(figures.blur_arcmin[k]) for k in (first - 1, first))
    part = (_SHARP_ARCMIN - low) / (high - low)
    angles = figures.angle_deg
    at = float(angles[first - 1]) + part * float(angles[first] - angles[first - 1])
    return at / float(angles[-1])


def _title(named: str, sharp: float) -> str:
    if sharp >= 1.0:
        return say("{eyepiece}: sharp to the edge", eyepiece=named)
    if sharp <= 0.0:
        return say("{eyepiece}: blurred everywhere", eyepiece=named)
    return say("{eyepiece}: sharp in the middle, blurred towards the edge", eyepiece=named)


def again(given: Mapping[str, Any], wish: Wish, size: Size | None) -> SlideSheet:
    """Make it again from its recipe."""
    told = read(given)
    return eyepiece_slide(**{**told, "size": size or told["size"], "wish": wish})
