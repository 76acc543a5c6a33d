"""Where everything on a slide stands: a list of shapes, in the order in which they are drawn."""

from __future__ import annotations

import math
from collections.abc import Sequence

from simview.picture.drawing import text
from simview.picture.slides.plan import (
    FIGURE,
    FOOT,
    GAP,
    GUTTER,
    LABEL,
    LEAST,
    MARGIN,
    NOTE,
    Plan,
    ring_px,
)
from simview.picture.slides.records import (
    THEMES,
    Figure,
    Page,
    Panel,
    Picture,
    Print,
    Ring,
    Shape,
    Slide,
    Stroke,
    Theme,
    Wish,
    Words,
)


def page(slide: Slide, plan: Plan, wish: Wish) -> Page:
    """Return the shapes of a slide, in the order in which they are drawn."""
    theme = THEMES[wish.paper]
    shapes: list[Shape] = list(title_shapes(plan, theme))
    for panel, corner in zip(slide.panels, plan.corners, strict=True):
        shapes += _panel_shapes(panel, plan, theme, corner)
    if plan.single:
        shapes += _beside(slide, plan, theme)
    shapes += foot_shapes(slide, plan, theme, wish)
    return Page(size=plan.size, ground=theme.ground, shapes=tuple(shapes))


def title_shapes(plan: Plan, theme: Theme) -> list[Shape]:
    """Write the title."""
    base = plan.px(MARGIN - 8) + round(0.86 * plan.title_px)
    step = text.line_px(plan.title_px)
    return [
        Words(
            place=(plan.px(MARGIN), base + index * step),
            text=line,
            size=plan.title_px,
            colour=theme.ink,
            bold=True,
        )
        for index, line in enumerate(plan.title)
    ]


def _panel_shapes(panel: Panel, plan: Plan, theme: Theme, corner: tuple[int, int]) -> list[Shape]:
    x, y = corner
    side = plan.side
    shapes = _pictured(panel.picture, (x, y), theme, panel, round_=panel.round)
    if panel.inset is not None and (plan.upright or not plan.single):
        inset = panel.inset.shape[0]
        shapes += _pictured(panel.inset, (x + side - inset, y + side - inset), theme, panel)
    if plan.single:
        return shapes
    middle = x + side / 2.0
    if panel.label:
        shapes += _label(panel.label, plan, theme, (middle, y - plan.px(18)))
    if panel.note:
        shapes += _note(panel, plan, theme, (middle, y + side + plan.px(NOTE * 1.15)))
    return shapes


def _label(label: str, plan: Plan, theme: Theme, place: tuple[float, float]) -> list[Shape]:
    """Write the words above a panel on one line, or on two before any of them is left out."""
    room = _room(plan)
    size = _fitting(label, room, plan, LABEL)
    lines = text.wrap(label, room, size, "bold")
    lines = [*lines[:1], text.cut(" ".join(lines[1:]), room, size, "bold")][: len(lines)]
    x, base = place
    return [
        Words(
            place=(x, base - (len(lines) - 1 - number) * text.line_px(size)),
            text=line,
            size=size,
            colour=theme.ink,
            bold=True,
            align="middle",
        )
        for number, line in enumerate(lines)
    ]


def _room(plan: Plan) -> float:
    """Return how long words above and below a panel may be, some space to its neighbour's left."""
    return max(plan.pitch - plan.px(0.4 * GUTTER), plan.side + plan.px(0.6 * GUTTER))


def _note(panel: Panel, plan: Plan, theme: Theme, place: tuple[float, float]) -> list[Shape]:
    """Write the words below a panel; those of empty magnification with their mark."""
    room = _room(plan)
    radius = plan.px(15) if panel.empty else 0
    gap = plan.px(12) if panel.empty else 0
    size = _fitting(panel.note, room - 2 * radius - gap, plan, NOTE, bold=panel.empty)
    words = text.cut(
        panel.note, room - 2 * radius - gap, size, "bold" if panel.empty else "regular"
    )
    length = text.width_px(words, size, "bold" if panel.empty else "regular")
    x, base = place
    left = x - (length + 2 * radius + gap) / 2.0
    shapes: list[Shape] = [
        Words(
            place=(left + 2 * radius + gap, base),
            text=words,
            size=size,
            colour=theme.warn if panel.empty else theme.soft,
            bold=panel.empty,
        )
    ]
    if panel.empty:
        shapes += struck_ring((left + radius, base - 0.36 * size), radius, theme)
    return shapes


def struck_ring(centre: tuple[float, float], radius: float, theme: Theme) -> list[Shape]:
    """Return the mark of empty magnification: a ring struck through."""
    width, reach = max(2.0, radius / 4.0), 1.25 * radius / math.sqrt(2.0)
    x, y = centre
    return [
        Ring(centre=centre, radius=radius, width=width, colour=theme.warn),
        Stroke(
            points=((x - reach, y + reach), (x + reach, y - reach)), width=width, colour=theme.warn
        ),
    ]


def _pictured(
    pixels: Print, corner: tuple[int, int], theme: Theme, panel: Panel, *, round_: bool = True
) -> list[Shape]:
    """Return a picture with a thin edge: a ring around a field, nothing around a close-up."""
    side = pixels.shape[0]
    if not round_:
        return [Picture(corner=corner, pixels=pixels)]
    width = ring_px(side)
    diameter = panel.field * (side - 2.0 * width - 2.0)
    middle = (corner[0] + side // 2 + 0.5, corner[1] + side // 2 + 0.5)
    return [
        Picture(corner=corner, pixels=pixels, round=diameter),
        Ring(centre=middle, radius=diameter / 2.0 + width, width=width, colour=theme.ring),
    ]


def _beside(slide: Slide, plan: Plan, theme: Theme) -> list[Shape]:
    """Write label, figures and small picture beside a single panel, or below it."""
    panel = slide.panels[0]
    x, y = plan.corners[0]
    if plan.upright:
        left, top = plan.px(MARGIN), y + plan.side + plan.px(GAP)
        right, bottom = plan.size[0] - plan.px(MARGIN), plan.size[1] - plan.px(FOOT)
    else:
        left, top = x + plan.side + plan.px(1.6 * GUTTER), y
        right, bottom = plan.size[0] - plan.px(MARGIN), y + plan.side
    shapes: list[Shape] = []
    if panel.inset is not None and not plan.upright:
        side = panel.inset.shape[0]
        corner = (round(right - side), round(bottom - side))
        shapes += _pictured(panel.inset, corner, theme, panel)
        shapes += _inset_words(slide.inset_words, plan, theme, (left, corner[0], bottom))
        bottom = corner[1]
    words = [line for line in (panel.label, panel.note) if line]
    room = float(right - left)
    base = float(top)
    for index, line in enumerate(words):
        size = _fitting(line, room, plan, LABEL if index == 0 else NOTE, bold=index == 0)
        weight: text.Weight = "bold" if index == 0 else "regular"
        for part in text.wrap(line, room, size, weight)[:3]:
            base += text.line_px(size)
            shapes.append(
                Words(
                    place=(left, base - 0.2 * size),
                    text=part,
                    size=size,
                    colour=theme.ink if index == 0 else theme.soft,
                    bold=index == 0,
                )
            )
    box = (left, base, right, bottom)
    if plan.upright:
        return [*shapes, *_figures_abreast(slide.figures, plan, theme, box)]
    return [*shapes, *_figures(slide.figures, plan, theme, box)]


def _inset_words(
    words: str, plan: Plan, theme: Theme, place: tuple[float, float, float]
) -> list[Shape]:
    """Say what the small picture is, at its left; `place` is left, right and bottom of the room."""
    left, right, bottom = place
    size = plan.px(LEAST)
    lines = text.wrap(words, max(right - left - plan.px(30), plan.px(120)), size)
    base = bottom - plan.px(14) - (len(lines) - 1) * text.line_px(size)
    return [
        Words(
            place=(right - plan.px(18), base + n * text.line_px(size)),
            text=line,
            size=size,
            colour=theme.soft,
            align="right",
        )
        for n, line in enumerate(lines)
        if line
    ]


def _figures_abreast(
    figures: Sequence[Figure], plan: Plan, theme: Theme, box: tuple[float, float, float, float]
) -> list[Shape]:
    """Write figures side by side, below an upright slide's picture."""
    left, top, right, bottom = box
    shapes: list[Shape] = []
    small = plan.px(LEAST)
    room = (right - left) / max(1, len(figures)) - plan.px(GAP)
    large = min(plan.px(FIGURE), max(small, round(0.55 * (bottom - top - 2 * small))))
    for index, figure in enumerate(figures):
        x = left + index * (room + plan.px(GAP))
        size = text.fitting_size(
            figure.value, room, largest_px=large, smallest_px=small, weight="bold"
        )
        base = top + plan.px(14) + 0.78 * large
        value = text.cut(figure.value, room, size, "bold")
        shapes.append(Words(place=(x, base), text=value, size=size, colour=theme.ink, bold=True))
        for line in text.wrap(figure.words, room, small):
            base += text.line_px(small)
            if base < bottom:
                shapes.append(Words(place=(x, base), text=line, size=small, colour=theme.soft))
    return shapes


def _figures(
    figures: Sequence[Figure], plan: Plan, theme: Theme, box: tuple[float, float, float, float]
) -> list[Shape]:
    """Write figures one below the other, as large as the room allows."""
    left, top, right, bottom = box
    shapes: list[Shape] = []
    if not figures:
        return shapes
    room = right - left
    small = plan.px(LEAST)
    told = [text.wrap(figure.words, room, small)[:2] for figure in figures]
    lines = sum(len(words) for words in told) * text.line_px(small)
    each = (bottom - top - lines) / len(figures)
    large = min(plan.px(FIGURE), max(plan.px(LEAST + 14), round(0.62 * each)))
    gap = min(plan.px(80), max(plan.px(20), (each - 0.78 * large) * 0.8))
    base: float = top + min(plan.px(24), gap)
    for figure, words in zip(figures, told, strict=True):
        size = text.fitting_size(
            figure.value, room, largest_px=large, smallest_px=plan.px(LEAST), weight="bold"
        )
        base += 0.78 * large
        shapes.append(
            Words(place=(left, base), text=figure.value, size=size, colour=theme.ink, bold=True)
        )
        base += plan.px(6)
        for line in words:
            base += text.line_px(small)
            shapes.append(Words(place=(left, base), text=line, size=small, colour=theme.soft))
        base += gap
    return shapes


def foot_shapes(slide: Slide, plan: Plan, theme: Theme, wish: Wish) -> list[Shape]:
    """Write the line at the foot, what small pictures are, and the logo."""
    shapes: list[Shape] = []
    right = float(plan.size[0] - plan.px(MARGIN))
    base = plan.size[1] - plan.px(26)
    size = plan.px(LEAST)
    if wish.logo is not None:
        logo = _logo(plan, wish, right)
        shapes.append(logo)
        right -= logo.pixels.shape[1] + plan.px(GAP)
    left = float(plan.px(MARGIN))
    if slide.inset_words and (not plan.single or plan.upright) and _has_inset(slide):
        words = slide.inset_words
        if text.width_px(words, size) + text.width_px(slide.footer, size) < right - left - size:
            shapes.append(Words(place=(left, base), text=words, size=size, colour=theme.soft))
            left += text.width_px(words, size) + size
    footer = text.cut(slide.footer, right - left, size)
    if footer:
        shapes.append(
            Words(place=(right, base), text=footer, size=size, colour=theme.soft, align="right")
        )
    return shapes


def _has_inset(slide: Slide) -> bool:
    return any(panel.inset is not None for panel in slide.panels)


def _logo(plan: Plan, wish: Wish, right: float) -> Picture:
    import numpy as np
    from PIL import Image

    assert wish.logo is not None
    high = plan.px(FOOT - 22)
    logo = wish.logo.convert("RGBA")
    wide = max(1, min(round(logo.width * high / logo.height), round(0.3 * plan.size[0])))
    high = max(1, round(logo.height * wide / logo.width))
    ground = Image.new("RGBA", (wide, high), THEMES[wish.paper].ground)
    ground.alpha_composite(logo.resize((wide, high), Image.Resampling.LANCZOS))
    pixels = np.asarray(ground.convert("RGB"), np.uint8)
    top = plan.size[1] - plan.px(10) - high
    return Picture(corner=(round(right - wide), top), pixels=pixels)


def _fitting(words: str, room: float, plan: Plan, units: float, *, bold: bool = True) -> int:
    return text.fitting_size(
        words,
        room,
        largest_px=plan.px(units),
        smallest_px=plan.px(LEAST),
        weight="bold" if bold else "regular",
    )
