"""The few colours of a sheet.

A near-black ground, so that a projector's own black is all that surrounds a view; two greys for
words; two accents that colour-blind readers keep apart, and that never speak alone: every
accent comes with a word and a shape.

Source of the accents: Okabe & Ito 2008, "Color Universal Design" (values from memory).
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


def relative_luminance(colour: Colour) -> float:
    """Return a colour's luminance between 0 and 1. Source: WCAG 2.1, relative luminance."""
    parts = [c / 255.0 for c in colour]
    linear = [float(part) for part in srgb.linear(parts)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: Colour, second: Colour) -> float:
    """Return the contrast ratio of two colours, 1 to 21. Source: WCAG 2.1, contrast ratio."""
    high, low = sorted((relative_luminance(first), relative_luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)
