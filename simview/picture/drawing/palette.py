"""The few colours of a sheet.

A near-black ground, so that a projector's own black is all that surrounds a view; two greys for
words; two accents that colour-blind readers keep apart, and that never speak alone: every
accent comes with a word and a shape.

Source of the accents: Okabe & Ito 2008, "Color Universal Design": #56B4E9 and #E69F00.
Checked by: tests/unit/picture/test_palette.py
"""

from __future__ import annotations

from typing import Final

from simview import srgb

Colour = tuple[int, int, int]

# The sheet, and what surrounds a field stop.
GROUND: Final[Colour] = (5, 6, 9)

# The edge of words written upon a picture.
BLACK: Final[Colour] = (0, 0, 0)

# Words that matter; words that explain; hairlines and frames.
INK: Final[Colour] = (242, 244, 247)
SOFT: Final[Colour] = (176, 186, 200)
LINE: Final[Colour] = (92, 102, 118)

# The ring around a field stop: just enough for the field's edge to be seen in a hall.
RING: Final[Colour] = (64, 72, 86)

# Good: enough power, what limits.
GOOD: Final[Colour] = (86, 180, 233)

# Empty magnification, and any other warning.
WARN: Final[Colour] = (230, 159, 0)


# The same on white paper. The accents are darker, so that they keep 4.5 : 1 against it (WCAG 2.1).
ON_WHITE: Final[dict[Colour, Colour]] = {
    GROUND: (255, 255, 255),
    INK: (16, 20, 26),
    SOFT: (70, 78, 90),
    LINE: (150, 158, 170),
    RING: (150, 158, 170),
    GOOD: (0, 96, 150),
    WARN: (150, 84, 0),
}

# Colours darker than this fill areas of a dark sheet; brighter ones draw lines. A choice.
_FILLS_BELOW: Final = 0.1

# Least contrast of a line on white. WCAG 2.1, 1.4.11.
_LINE_CONTRAST: Final = 3.0


def on_white(colour: Colour) -> Colour:
    """Return what stands for a dark sheet's colour on a white one.

    Fills become as light as they were dark, lines dark enough to be seen; both keep their hue.
    """
    if colour in ON_WHITE:
        return ON_WHITE[colour]
    if relative_luminance(colour) < _FILLS_BELOW:
        top = max(colour)
        red, green, blue = (255 - (top - c) - max(0, top - 9) // 2 for c in colour)
        return red, green, blue
    part = 1.0
    while contrast(_darker(colour, part), ON_WHITE[GROUND]) < _LINE_CONTRAST:
        part -= 0.05
    return _darker(colour, part)


def _darker(colour: Colour, part: float) -> Colour:
    red, green, blue = (round(part * c) for c in colour)
    return red, green, blue


def relative_luminance(colour: Colour) -> float:
    """Return a colour's luminance between 0 and 1. Source: WCAG 2.1, relative luminance."""
    parts = [c / 255.0 for c in colour]
    linear = [float(part) for part in srgb.linear(parts)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: Colour, second: Colour) -> float:
    """Return the contrast ratio of two colours, 1 to 21. Source: WCAG 2.1, contrast ratio."""
    high, low = sorted((relative_luminance(first), relative_luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)
