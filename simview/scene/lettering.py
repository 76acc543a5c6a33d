"""Lettering on a sign: strokes of invented capitals, lines of words from large to small."""

from __future__ import annotations

from typing import Final

from simview.scene.pen import Pen, Point

# Strokes of capital letters on a grid 4 wide and 6 high. Invented for this sign.
STROKES: Final[dict[str, tuple[tuple[Point, ...], ...]]] = {
    "A": (((0, 0), (2, 6), (4, 0)), ((0.8, 2.2), (3.2, 2.2))),
    "B": (
        ((0, 0), (0, 6), (2.6, 6), (3.7, 5.2), (3.7, 3.9), (2.6, 3.1), (0, 3.1)),
        ((2.6, 3.1), (4, 2.2), (4, 0.9), (2.8, 0), (0, 0)),
    ),
    "C": (((4, 4.8), (2.8, 6), (1.2, 6), (0, 4.6), (0, 1.4), (1.2, 0), (2.8, 0), (4, 1.2)),),
    "D": (((0, 0), (0, 6), (2.2, 6), (4, 4.4), (4, 1.6), (2.2, 0), (0, 0)),),
    "E": (((4, 0), (0, 0), (0, 6), (4, 6)), ((0, 3.1), (3, 3.1))),
    "G": (
        (
            (4, 4.8),
            (2.8, 6),
            (1.2, 6),
            (0, 4.6),
            (0, 1.4),
            (1.2, 0),
            (3, 0),
            (4, 1.2),
            (4, 2.8),
            (2.4, 2.8),
        ),
    ),
    "I": (((2, 0), (2, 6)),),
    "K": (((0, 0), (0, 6)), ((4, 6), (0, 2.4)), ((1.4, 3.6), (4, 0))),
    "L": (((0, 6), (0, 0), (4, 0)),),
    "M": (((0, 0), (0, 6), (2, 2.4), (4, 6), (4, 0)),),
    "N": (((0, 0), (0, 6), (4, 0), (4, 6)),),
    "O": (
        ((1.2, 0), (0, 1.4), (0, 4.6), (1.2, 6), (2.8, 6), (4, 4.6), (4, 1.4), (2.8, 0), (1.2, 0)),
    ),
    "P": (((0, 0), (0, 6), (2.8, 6), (4, 5.2), (4, 3.6), (2.8, 2.8), (0, 2.8)),),
    "R": (
        ((0, 0), (0, 6), (2.8, 6), (4, 5.2), (4, 3.6), (2.8, 2.8), (0, 2.8)),
        ((2, 2.8), (4, 0)),
    ),
    "S": (
        (
            (4, 5),
            (2.8, 6),
            (1.2, 6),
            (0, 4.9),
            (0.6, 3.6),
            (3.4, 2.5),
            (4, 1.2),
            (2.8, 0),
            (1.2, 0),
            (0, 1),
        ),
    ),
    "T": (((0, 6), (4, 6)), ((2, 6), (2, 0))),
    "U": (((0, 6), (0, 1.4), (1.2, 0), (2.8, 0), (4, 1.4), (4, 6)),),
}

# The sign's lines: words, height of the letters in m, height of their foot on the sign in m.
LINES: Final = (
    ("READING ROOM", 0.100, 0.225),
    ("TELESCOPES TO LEND", 0.050, 0.130),
    ("ASK AT DESK AND SIGN", 0.025, 0.075),
    ("OPEN TILL DUSK IN SUMMER", 0.0125, 0.045),
    ("MIND LENSES AND MIRRORS", 0.00625, 0.026),
)


# Stroke width in units of a sixth of the height, and the share of a line that letters ink: the
# strokes' area over that of the line's box, measured on the words below.
_STROKE: Final = 0.85
_INK: Final = 0.40

_BOARD: Final = (236, 232, 218)
_BLACK: Final = (28, 30, 38)


def sign(pen: Pen) -> None:
    """Write the sign about (0, 0): board, frame, lines of words.

    Letters whose strokes are thinner than a point become a line of even grey.
    """
    if not pen.sees((-0.66, -0.24), (0.66, 0.22)):
        return
    pen.box((-0.64, -0.235), (0.66, -0.19), (150, 138, 116))
    pen.box((-0.62, -0.20), (0.62, 0.20), (92, 70, 48))
    pen.box((-0.60, -0.18), (0.60, 0.18), _BOARD)
    for words, height, foot in LINES:
        unit = height / 6.0
        width, foot_m = len(words) * 5.6 * unit, foot - 0.175
        if _STROKE * unit * pen.per_m < 0.8:
            pen.box((-0.5 * width, foot_m), (0.5 * width - 1.6 * unit, foot_m + height), _GREY)
            continue
        for k, letter in enumerate(words):
            x = -0.5 * width + 5.6 * unit * k
            if pen.sees((x, foot_m), (x + 5.6 * unit, foot_m + height)):
                _letter(pen, letter, (x, foot_m), unit)


def _letter(pen: Pen, letter: str, foot: Point, unit: float) -> None:
    for line in STROKES.get(letter, ()):
        points = [(foot[0] + u * unit, foot[1] + v * unit) for u, v in line]
        pen.stroke(points, _STROKE * unit, _BLACK)


# Even grey of the same light as letters on the board, in code values.
_GREY: Final = tuple(
    round(255.0 * (_INK * (b / 255.0) ** 2.2 + (1.0 - _INK) * (w / 255.0) ** 2.2) ** (1.0 / 2.2))
    for b, w in zip(_BLACK, _BOARD, strict=True)
)
