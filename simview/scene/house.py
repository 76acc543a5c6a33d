"""A small lending library with a sign, a tree before it and a bird on its gutter. All invented.

Drawn in metres about the middle of the sign; the ground is `GROUND_M` below it.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from simview.memory import remembered
from simview.scene.lettering import sign
from simview.scene.pen import NOTHING, Colour, Pen, Point

# Height of the ground at the wall, m.
GROUND_M: Final = -3.2

# Walls and roof, m: left and right corner, eaves, ridge.
_LEFT: Final = -1.0
_RIGHT: Final = 8.2
_EAVES: Final = 0.52
_RIDGE: Final = 2.3

# A roof tile's width and the height of its row, m.
_TILE: Final = 0.17
_ROW: Final = 0.145


def draw(pen: Pen) -> None:
    """Draw all of it, from the back to the front."""
    _path(pen)
    _roof(pen)
    _walls(pen)
    sign(pen)
    _bird(pen)
    _shrubs(pen)
    _fence(pen)
    _tree(pen)


def _shaded(colour: Colour, factor: float) -> Colour:
    red, green, blue = (min(255, max(1, round(c * factor))) for c in colour)
    return red, green, blue


def _roof(pen: Pen) -> None:
    """Lay tiles in rows, each over the one below; cut the verges; set ridge, chimney, gutter."""
    if not pen.sees((_LEFT - 0.3, _EAVES - 0.15), (_RIGHT + 0.3, 3.6)):
        return
    pen.polygon(
        [(_LEFT - 0.3, _EAVES), (_RIGHT + 0.3, _EAVES), (7.6, _RIDGE), (-0.4, _RIDGE)], (96, 52, 40)
    )
    rows = int((_RIDGE - _EAVES) / _ROW) + 1
    for row in range(rows):
        _tiles(pen, row)
    verges = [
        ((-1.17, _EAVES), (-0.30, _RIDGE + 0.02), -3.0),
        ((8.37, _EAVES), (7.50, _RIDGE + 0.02), 11.0),
    ]
    for verge, top, out in verges:
        pen.polygon([(out, _EAVES), verge, top, (top[0], 3.0), (out, 3.0)], NOTHING)
    pen.polygon([(-3.0, _RIDGE + 0.02), (11.0, _RIDGE + 0.02), (11.0, 3.0), (-3.0, 3.0)], NOTHING)
    for verge, top, _ in verges:
        pen.stroke([verge, top], 0.07, (132, 122, 112))
    _ridge(pen)
    _chimney(pen)
    # Gutter: a half-round with its shine, and the board behind it.
    pen.box((-1.20, _EAVES - 0.16), (8.40, _EAVES - 0.02), (104, 92, 80))
    pen.box((-1.28, _EAVES - 0.09), (8.48, _EAVES + 0.02), (128, 124, 120))
    pen.box((-1.28, _EAVES - 0.03), (8.48, _EAVES + 0.005), (176, 174, 170))


def _tiles(pen: Pen, row: int) -> None:
    rng = np.random.default_rng([12, row])
    y = _EAVES + row * _ROW
    left = -1.15 + 0.85 * (y - _EAVES) / (_RIDGE - _EAVES)
    right = 7.2 - left
    count = int((right - left) / _TILE) + 2
    reds, shades = rng.normal(0.0, 8.0, count), rng.normal(1.0, 0.075, count)
    for k in range(count):
        x = left + (k - 0.5 * (row % 2)) * _TILE
        if not pen.sees((x, y - 0.02), (x + _TILE, y + 0.31)):
            continue
        red, shade = float(reds[k]), float(shades[k])
        tile = _shaded((int(164 + red), int(88 + 0.5 * red), 62), shade)
        dark = _shaded(tile, 0.42)
        pen.disc((x + 0.085, y + 0.050), (0.086, 0.068), dark)
        pen.polygon(
            [(x, y + 0.06), (x + _TILE, y + 0.06), (x + _TILE, y + 0.3), (x, y + 0.3)], dark
        )
        pen.disc((x + 0.085, y + 0.062), (0.080, 0.062), tile)
        pen.polygon(
            [
                (x + 0.006, y + 0.06),
                (x + 0.164, y + 0.06),
                (x + 0.164, y + 0.3),
                (x + 0.006, y + 0.3),
            ],
            tile,
        )
        # The light comes from the right: that flank of the tile is brighter.
        for u, v, shine in ((0.085, 0.150, 1.06), (0.105, 0.140, 1.12)):
            foot = [(x + u, y + 0.012), (x + v, y + 0.045)]
            pen.polygon([*foot, (x + v, y + 0.3), (x + u, y + 0.3)], _shaded(tile, shine))


def _ridge(pen: Pen) -> None:
    """Set half-round tiles along the ridge."""
    y = _RIDGE + 0.02
    pen.stroke([(-0.30, y), (7.50, y)], 0.11, (112, 58, 42))
    for k in range(24):
        x = -0.30 + 0.325 * k
        pen.polygon(
            [
                (x + 0.02, y - 0.05),
                (x + 0.315, y - 0.05),
                (x + 0.315, y + 0.05),
                (x + 0.02, y + 0.05),
            ],
            _shaded((150, 80, 58), 1.0 + 0.12 * math.sin(5.0 * k)),
        )


def _chimney(pen: Pen) -> None:
    if not pen.sees((5.1, 1.9), (6.2, 3.6)):
        return
    pen.box((5.2, 1.95), (6.0, 3.25), (150, 132, 118))
    rng = np.random.default_rng(8)
    for row in range(16):
        y = 1.95 + 0.08 * row
        for k in range(5):
            low = max(5.2, 5.2 + 0.2 * (k - 0.5 * (row % 2)))
            high = min(6.0, 5.2 + 0.2 * (k + 1 - 0.5 * (row % 2)) - 0.012)
            if high > low:
                colour = _shaded((148, 78, 58), float(rng.normal(1.0, 0.1)))
                pen.box((low, y), (high, y + 0.068), colour)
    pen.polygon([(5.2, 1.9), (5.42, 1.9), (5.42, 3.25), (5.2, 3.25)], (104, 58, 46))
    pen.box((5.1, 3.22), (6.1, 3.34), (168, 158, 146))
    for x in (5.4, 5.8):
        pen.box((x - 0.1, 3.34), (x + 0.1, 3.6), (158, 86, 62))
        pen.box((x - 0.1, 3.34), (x - 0.03, 3.6), (112, 62, 48))


def _walls(pen: Pen) -> None:
    pen.box((_LEFT, GROUND_M), (_RIGHT, 0.44), (222, 206, 172))
    # What the eaves throw: darkest right under them.
    for depth, grey in ((0.30, 0.74), (0.22, 0.66), (0.10, 0.56)):
        pen.box((_LEFT, 0.44 - depth), (_RIGHT, 0.44), _shaded((206, 196, 182), grey))
    pen.box((_LEFT, GROUND_M), (_RIGHT, GROUND_M + 0.42), (138, 132, 124))
    pen.box((_LEFT, GROUND_M + 0.40), (_RIGHT, GROUND_M + 0.42), (170, 164, 154))
    for x in (1.20, 2.75, 6.35):
        _window(pen, x)
    _door(pen)
    # Rain pipe at the corner.
    pen.box((_LEFT + 0.06, GROUND_M), (_LEFT + 0.14, 0.42), (120, 118, 116))
    pen.box((_LEFT + 0.11, GROUND_M), (_LEFT + 0.13, 0.42), (182, 180, 176))


def _window(pen: Pen, x: float) -> None:
    """Set a window with six panes, shutters and a box of flowers."""
    if not pen.sees((x - 0.45, -1.6), (x + 1.2, 0.15)):
        return
    for left in (x - 0.38, x + 0.77):
        pen.box((left, -1.30), (left + 0.36, 0.10), (66, 96, 84))
        for k in range(22):
            pen.box(
                (left + 0.04, -1.26 + 0.06 * k), (left + 0.32, -1.235 + 0.06 * k), (92, 126, 112)
            )
    pen.box((x, -1.30), (x + 0.75, 0.10), (240, 238, 230))
    pen.box((x, 0.02), (x + 0.75, 0.10), (186, 182, 172))
    for u in (0.06, 0.41):
        for v in (-1.24, -0.79, -0.34):
            _pane(pen, (x + u, v), (x + u + 0.28, v + 0.38))
    pen.box((x - 0.06, -1.37), (x + 0.81, -1.30), (204, 198, 186))
    _flowers(pen, x)


def _pane(pen: Pen, low: Point, high: Point) -> None:
    """Glaze: dark room behind, the sky in part of it, a shadow of the frame."""
    pen.box(low, high, (52, 62, 74))
    width = high[0] - low[0]
    pen.polygon(
        [
            low,
            (low[0] + 0.75 * width, low[1]),
            (high[0], high[1]),
            (low[0] + 0.35 * width, high[1]),
        ],
        (92, 112, 132),
    )
    pen.box((low[0], high[1] - 0.03), high, (34, 40, 48))


def _flowers(pen: Pen, x: float) -> None:
    rng = np.random.default_rng([31, round(100 * x)])
    pen.box((x + 0.02, -1.50), (x + 0.73, -1.34), (118, 70, 46))
    for _ in range(70):
        place = (x + float(rng.uniform(0.0, 0.75)), -1.33 + float(rng.normal(0.03, 0.035)))
        half = float(rng.uniform(0.012, 0.03))
        if rng.random() < 0.6:
            colour = _shaded((70, 112, 50), float(rng.uniform(0.7, 1.2)))
        else:
            colour = ((206, 44, 52), (226, 92, 120), (236, 214, 220))[int(rng.integers(3))]
        pen.disc(place, (half, half), colour)


def _door(pen: Pen) -> None:
    if not pen.sees((4.20, GROUND_M), (5.75, -0.4)):
        return
    pen.box((4.35, GROUND_M), (5.55, -0.72), (190, 182, 168))
    pen.box((4.47, GROUND_M + 0.12), (5.43, -0.84), (58, 84, 120))
    for u in (4.55, 4.99):
        for low, high in ((-2.9, -2.2), (-2.1, -1.5)):
            pen.box((u, low), (u + 0.36, high), (46, 68, 98))
            pen.box((u, low), (u + 0.36, low + 0.02), (92, 120, 156))
        _pane(pen, (u, -1.38), (u + 0.36, -0.94))
    pen.disc((4.95, -1.98), (0.028, 0.028), (214, 178, 92))
    pen.box((4.25, GROUND_M - 0.02), (5.65, GROUND_M + 0.12), (162, 158, 150))


def _path(pen: Pen) -> None:
    """Lead a trodden path from the door to the gate and past the beholder."""
    if pen.sees((-110.0, -4000.0), (611.0, GROUND_M)):
        for spread, colour in ((1.0, (150, 146, 92)), (0.82, (182, 162, 124))):
            left = [(4.95 - 0.62 * spread, GROUND_M), (3.9 - 0.95 * spread, -5.0)]
            right = [(3.9 + 0.95 * spread, -5.0), (4.95 + 0.62 * spread, GROUND_M)]
            near = [(2.2 - 2.4 * spread, -11.0), (2.2 + 2.4 * spread, -11.0)]
            pen.polygon(
                [*left, near[0], (-110.0, -4000.0), (611.0, -4000.0), near[1], *right], colour
            )


def _shrubs(pen: Pen) -> None:
    """Plant rounded bushes along the wall, with flowers in some."""
    for x, size in ((0.2, 0.42), (1.0, 0.30), (3.2, 0.36), (6.1, 0.40), (7.4, 0.55), (8.3, 0.75)):
        if not pen.sees((x - 1.6 * size, GROUND_M - 0.3), (x + 1.6 * size, GROUND_M + 2.2 * size)):
            continue
        rng = np.random.default_rng([17, round(100 * x)])
        for _ in range(260):
            angle, far = rng.uniform(0.0, 2.0 * math.pi), math.sqrt(rng.uniform())
            u, v = size * far * math.cos(angle), size * (0.9 + 0.95 * far * math.sin(angle))
            light = 0.62 + 0.45 * v / (1.9 * size) + 0.12 * u / size + rng.normal(0.0, 0.08)
            colour = _shaded((86, 122, 58), float(light))
            if rng.random() < 0.05 and size < 0.45:
                colour = (236, 222, 150)
            leaf = 0.05 + 0.03 * float(rng.uniform())
            pen.disc((x + u, GROUND_M - 0.08 + v), (leaf, 0.7 * leaf), colour)


def _bird(pen: Pen) -> None:
    """Set a bird on the gutter; it looks to the right."""
    x, y = 0.10, 0.52
    if not pen.sees((x - 0.3, y), (x + 0.3, y + 0.3)):
        return
    for foot in (-0.01, 0.03):
        pen.stroke([(x + foot, y), (x + foot - 0.006, y + 0.05)], 0.007, (70, 50, 34))
    pen.polygon(
        [(x - 0.06, y + 0.08), (x - 0.26, y + 0.02), (x - 0.25, y + 0.055), (x - 0.05, y + 0.14)],
        (46, 42, 44),
    )
    pen.disc((x, y + 0.11), (0.105, 0.07), (74, 66, 62))
    pen.disc((x + 0.035, y + 0.092), (0.068, 0.050), (196, 96, 44))
    pen.disc((x + 0.02, y + 0.065), (0.060, 0.024), (222, 204, 186))
    pen.disc((x + 0.105, y + 0.19), (0.05, 0.046), (70, 62, 60))
    pen.disc((x + 0.118, y + 0.172), (0.034, 0.026), (196, 96, 44))
    pen.polygon(
        [(x + 0.145, y + 0.20), (x + 0.20, y + 0.187), (x + 0.147, y + 0.176)], (206, 150, 52)
    )
    pen.disc((x + 0.12, y + 0.203), (0.011, 0.011), (236, 234, 224))
    pen.disc((x + 0.122, y + 0.203), (0.007, 0.007), (10, 10, 10))
    for k in range(5):
        start = (x + 0.02 - 0.015 * k, y + 0.145 - 0.012 * k)
        pen.stroke([start, (x - 0.13 - 0.02 * k, y + 0.10 - 0.012 * k)], 0.006, (118, 108, 102))


def _fence(pen: Pen) -> None:
    """Run a low fence through the meadow."""
    foot = GROUND_M - 1.25
    if not pen.sees((-30.0, foot), (30.0, foot + 1.0)):
        return
    for k in range(-110, 111):
        x = 0.22 * k
        grey = 1.0 + 0.08 * math.sin(7.3 * k)
        if not (-3.9 < x < -3.0 or 2.9 < x < 5.1):
            pen.box((x - 0.045, foot), (x + 0.045, foot + 0.72), _shaded((196, 190, 178), grey))
            pen.box((x - 0.045, foot), (x - 0.02, foot + 0.72), _shaded((140, 134, 126), grey))
    for y in (foot + 0.18, foot + 0.5):
        for left, right in ((-24.3, 2.95), (5.05, 24.3)):
            pen.box((left, y), (right, y + 0.07), (178, 172, 160))
            pen.box((left, y), (right, y + 0.018), (112, 106, 98))


@remembered(1)
def _branches() -> tuple[tuple[Point, Point, Point, int], ...]:
    """Grow the tree: pieces as start, end, widths and generation."""
    rng = np.random.default_rng(32)
    pieces: list[tuple[Point, Point, Point, int]] = []
    tips = [((-3.45, -4.3), 1.60, 1.80, 0.28, 0)]
    while tips:
        start, angle, length, width, age = tips.pop()
        end = (start[0] + length * math.cos(angle), start[1] + length * math.sin(angle))
        thin = max(0.78 * width, 0.002)
        pieces.append((start, end, (width, thin), age))
        if age >= 9:
            continue
        for side in (-1, 1, 0):
            if side == 0 and rng.random() > 0.35:
                continue
            turn = side * rng.uniform(0.20, 0.62) - 0.06 * (angle - 1.5)
            shrink = rng.uniform(0.60, 0.82)
            wide = thin * (rng.uniform(0.62, 0.8) if side < 0 else rng.uniform(0.72, 0.92))
            tips.append((end, angle + turn, length * shrink, wide, age + 1))
    return tuple(pieces)


def _tree(pen: Pen) -> None:
    if not pen.sees((-7.5, -4.4), (0.6, 4.5)):
        return
    for (start, end, widths, _), (kept, bark) in zip(_branches(), _bark(), strict=True):
        # Of twigs thinner than a point as many are drawn as keep their shade.
        if kept > widths[0] * pen.per_m or not _near(pen, start, end):
            continue
        pen.branch(start, end, widths, bark)
        pen.disc(end, (0.5 * widths[1], 0.5 * widths[1]), bark)
        if widths[0] * pen.per_m > 6.0:
            lit = (0.22 * widths[0], 0.22 * widths[1])
            aside = (0.25 * widths[0], 0.25 * widths[1])
            pen.branch(
                (start[0] + aside[0], start[1]), (end[0] + aside[1], end[1]), lit, (112, 98, 80)
            )
    _leaves(pen)


@remembered(1)
def _bark() -> tuple[tuple[float, Colour], ...]:
    """Return for each branch its lot, 0 to 1, and its colour."""
    lots = np.random.default_rng(5).random(len(_branches()))
    shades = [1.0 + 0.10 * math.sin(9.0 * x + 7.0 * y) for (x, y), _, _, _ in _branches()]
    colours = [_shaded((74, 62, 50), shade) for shade in shades]
    return tuple(zip(lots.tolist(), colours, strict=True))


def _leaves(pen: Pen) -> None:
    left, top = pen.size
    for x, y, size, colour in _foliage():
        u, v = pen.at((x, y))
        half = size * pen.per_m
        if half >= 0.4 and -half < u < left + half and -half < v < top + half:
            pen.disc((x, y), (size, 0.62 * size), colour)


@remembered(1)
def _foliage() -> tuple[tuple[float, float, float, Colour], ...]:
    """Hang leaves on the twigs: place, half-length, colour."""
    rng = np.random.default_rng(6)
    leaves = []
    for start, end, _, age in _branches():
        if age < 6:
            continue
        rolls = rng.random(8)
        if rolls[0] > 0.75:
            continue
        for leaf in range(2):
            along = rolls[1 + leaf]
            x = start[0] + along * (end[0] - start[0]) + 0.05 * (rolls[3 + leaf] - 0.5)
            y = start[1] + along * (end[1] - start[1]) + 0.05 * (rolls[5 + leaf] - 0.5)
            colour = _shaded((96, 134, 54), 0.7 + 0.55 * float(rolls[3 + leaf]))
            leaves.append((float(x), float(y), 0.014 + 0.016 * float(rolls[7]), colour))
    return tuple(leaves)


def _near(pen: Pen, start: Point, end: Point) -> bool:
    low = (min(start[0], end[0]) - 0.15, min(start[1], end[1]) - 0.15)
    return pen.sees(low, (max(start[0], end[0]) + 0.15, max(start[1], end[1]) + 0.15))
