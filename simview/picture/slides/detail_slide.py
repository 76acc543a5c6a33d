"""What an eye makes out against power, as a slide: the curve, and the stretches of power in words.

Drawn from the same record as the sheet (`simview.picture.detail.records`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from simview.picture.detail.records import Manner, PowerPlot, Zone
from simview.picture.drawing import text
from simview.picture.drawing.plot import Axis, clipped
from simview.picture.drawing.tongue import say
from simview.picture.slides.arrange import foot_shapes, title_shapes
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import LABEL, LEAST, MARGIN, Plan, plan
from simview.picture.slides.printed import footer_of
from simview.picture.slides.records import (
    THEMES,
    Box,
    Page,
    Shape,
    Size,
    Slide,
    SlideSheet,
    Stroke,
    Theme,
    Wish,
    Words,
)

# Room in units: above the plot for the stretches' words, below it for the powers.
_ABOVE: Final = 92
_BELOW: Final = 78


def curve_slide(
    plot: PowerPlot,
    *,
    wish: Wish,
    name: str,
    figures: Mapping[str, Any],
    recipe: Mapping[str, Any],
    small_print: str,
    size: Size,
) -> SlideSheet:
    """Draw the curve.

    Parameters
    ----------
    name
        Of the object, for a title of its own.
    figures
        With the marks "enough_from" and "empty_above".
    """
    title = wish.title or title_of(name, figures)
    planned = plan(size, title, 1, insets=False)
    theme = THEMES[wish.paper]
    slide = Slide(title=title, panels=(), footer=footer_of(wish), small_print=small_print)
    shapes = [*title_shapes(planned, theme), *_plot(plot, planned, theme)]
    shapes += foot_shapes(slide, planned, theme, wish)
    page = Page(size=size, ground=theme.ground, shapes=tuple(shapes))
    zones = ", ".join(
        f"{say(z.words[-1])} {z.low:.0f}–{z.high:.0f}×" for z in plot.zones if z.words
    )
    return SlideSheet(
        image=paint(page),
        figures=dict(figures),
        recipe={**recipe, "slide": wish.recipe()},
        page=page,
        tells=f"{title}. {say(plot.title)}: {zones}.",
        small_print=small_print,
    )


def title_of(name: str, figures: Mapping[str, Any]) -> str:
    """Return the point of a curve over power."""
    enough, empty = figures.get("enough_from"), figures.get("empty_above")
    # Of a double that no power splits none is enough.
    enough = enough if figures.get("split_from", enough) else None
    told = text.least_times if enough == figures.get("split_from") else text.times
    if enough and empty and enough >= empty:
        # A hard pair, that is split only where stars already swell.
        return say("{power} is enough for {object}", power=told(enough), object=name)
    if enough and empty:
        return say(
            "{object}: {enough} is enough, {empty} the very end",
            object=name,
            enough=told(enough),
            empty=text.times(empty),
        )
    if empty:
        return say(
            "{object}: beyond {empty} nothing new appears", object=name, empty=text.times(empty)
        )
    return say("{object}: how much power is enough?", object=name)


def _plot(plot: PowerPlot, planned: Plan, theme: Theme) -> list[Shape]:
    width, height = planned.size
    left, right = planned.px(MARGIN + 14), width - planned.px(MARGIN + 14)
    top = planned.px(MARGIN) + len(planned.title) * text.line_px(planned.title_px)
    top += planned.px(_ABOVE)
    bottom = height - planned.px(_BELOW + 78)
    ends = (top, bottom) if plot.downwards else (bottom, top)
    x = Axis(low=plot.powers[0], high=plot.powers[1], start_px=left, end_px=right)
    low, high = plot.values
    y = Axis(low=low, high=high, start_px=ends[0], end_px=ends[1], scale=plot.scale)
    shapes: list[Shape] = []
    for zone in plot.zones:
        shapes += _zone(zone, x, (top, bottom), planned, theme)
    thin = planned.px(3)
    shapes.append(Box(corners=(left, bottom, right, bottom + thin), colour=theme.line))
    size = planned.px(LEAST)
    for value in x.labelled(planned.px(190)):
        tick = x.at(value)
        shapes.append(
            Box(corners=(tick, bottom, tick + thin, bottom + planned.px(14)), colour=theme.soft)
        )
        shapes.append(
            Words(
                place=(tick, bottom + planned.px(58)),
                text=f"{value:g}×",
                size=size,
                colour=theme.soft,
                align="middle",
            )
        )
    curve = clipped(list(plot.curve), *plot.powers) if plot.curve else []
    points = tuple((x.at(p), y.at(v)) for p, v in curve)
    if len(points) > 1:
        shapes.append(Stroke(points=points, width=planned.px(9), colour=theme.ink))
    elif plot.absence:
        place = ((left + right) / 2.0, (top + bottom) / 2.0)
        words = text.cut(say("Nothing is made out at any power."), right - left, size)
        shapes.append(Words(place=place, text=words, size=size, colour=theme.ink, align="middle"))
    words = say("finer detail ↑") if plot.downwards else say(plot.title)
    words = text.cut(words, right - left, size)
    shapes.append(
        Words(place=(left, top + planned.px(44)), text=words, size=size, colour=theme.soft)
    )
    return shapes


def _zone(
    zone: Zone, x: Axis, ends: tuple[float, float], planned: Plan, theme: Theme
) -> list[Shape]:
    """Draw a stretch of powers: a bar on top, its words over it, where they fit."""
    colours: dict[Manner, Any] = {
        "low": theme.soft,
        "enough": theme.good,
        "air": theme.soft,
        "empty": theme.warn,
    }
    start, end = x.at(zone.low), x.at(zone.high)
    thick = planned.px(14)
    top = ends[0] - thick
    gap = planned.px(3)
    colour = colours[zone.manner]
    shapes: list[Shape] = [
        Box(corners=(start + gap, top, end - gap, top + thick), colour=colour),
        Box(corners=(end - gap, top, end, ends[1]), colour=theme.line),
    ]
    room = end - start - planned.px(16)
    for units in (LABEL, LEAST):
        size = planned.px(units)
        worded = map(say, zone.words)
        told = next((w for w in worded if text.width_px(w, size, "bold") <= room), "")
        if told:
            shapes.append(
                Words(
                    place=((start + end) / 2.0, top - planned.px(22)),
                    text=told,
                    size=size,
                    colour=colour,
                    bold=True,
                    align="middle",
                )
            )
            break
    return shapes
