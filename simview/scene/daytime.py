"""A scene by day: a house with a sign, roof tiles, a tree and a bird, some hundred metres away.

It is invented, drawn in metres and seen from a distance; hazy air lies between.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from simview.errors import require_range
from simview.scene.noise import Values, cloudy, lookup
from simview.scene.photo import decoded
from simview.scene.scene import Scene, Target
from simview.units import ARCSEC_PER_RADIAN

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

Point = tuple[float, float]
Colour = tuple[int, int, int]

# Luminance of a perfectly white wall in sunshine, cd/m2: 60 000 lx over pi. Common practice,
# no source.
WHITE_CD_M2: Final = 19_000.0

# Luminance of the haze between, against the white: that of the sky at the horizon. Common
# practice, no source.
_AIRLIGHT: Final = 0.30

# Contrast left at the visibility distance is 2 %: ln(1 / 0.02) = 3.912. Source: Koschmieder 1924,
# Beitr. Phys. freien Atm. 12, 33.
_KOSCHMIEDER: Final = 3.912

# Points a pixel and axis, and most points a side of the drawing.
_FINE: Final = 3
_MOST: Final = 3000

# Marks what nothing covers: the sky. No other colour has a red of 1.
_EMPTY: Final = (1, 0, 0)

# Half the width of all that is drawn, m; beyond it sky and wall go on plain.
_HALF_M: Final = 3.0

_NOTE: Final = (
    "Day scene: invented; haze after Koschmieder 1924. Heat shimmer is the seeing of the air."
)

# Strokes of capital letters on a grid 4 wide and 6 high. Invented for this sign.
_STROKES: Final[dict[str, tuple[tuple[Point, ...], ...]]] = {
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pen:
    """Draws in metres (x right, y up from the sign's middle) onto a picture."""

    draw: ImageDraw
    per_m: float
    middle: Point

    def at(self, point: Point) -> Point:
        return self.middle[0] + point[0] * self.per_m, self.middle[1] - point[1] * self.per_m

    def polygon(self, points: list[Point], colour: Colour) -> None:
        """Fill a polygon."""
        self.draw.polygon([self.at(p) for p in points], fill=colour)

    def disc(self, centre: Point, half: Point, colour: Colour) -> None:
        """Fill an ellipse with these half-lengths."""
        x, y = self.at(centre)
        a, b = half[0] * self.per_m, half[1] * self.per_m
        self.draw.ellipse([x - a, y - b, x + a, y + b], fill=colour)

    def stroke(self, points: list[Point], width: float, colour: Colour) -> None:
        """Draw a line of that width with round joints and ends."""
        for start, end in pairwise(points):
            self.branch(start, end, (width, width), colour)
        for point in points:
            self.disc(point, (0.5 * width, 0.5 * width), colour)

    def branch(self, start: Point, end: Point, widths: Point, colour: Colour) -> None:
        """Draw a tapering piece."""
        long = max(math.hypot(end[0] - start[0], end[1] - start[1]), 1e-9)
        nx, ny = -(end[1] - start[1]) / long, (end[0] - start[0]) / long
        a, b = 0.5 * widths[0], 0.5 * widths[1]
        self.polygon(
            [
                (start[0] + nx * a, start[1] + ny * a),
                (end[0] + nx * b, end[1] + ny * b),
                (end[0] - nx * b, end[1] - ny * b),
                (start[0] - nx * a, start[1] - ny * a),
            ],
            colour,
        )


def _letters(pen: _Pen) -> None:
    """Write the sign: board, frame, lines of letters from large to small."""
    pen.polygon([(-0.62, -0.20), (0.62, -0.20), (0.62, 0.20), (-0.62, 0.20)], (92, 70, 48))
    pen.polygon([(-0.60, -0.18), (0.60, -0.18), (0.60, 0.18), (-0.60, 0.18)], (236, 232, 218))
    for words, height, foot in LINES:
        unit = height / 6.0
        x, y = -0.5 * len(words) * 5.6 * unit, foot - 0.175
        for letter in words:
            for line in _STROKES.get(letter, ()):
                points = [(x + u * unit, y + v * unit) for u, v in line]
                pen.stroke(points, 0.85 * unit, (28, 30, 38))
            x += 5.6 * unit


def _roof(pen: _Pen) -> None:
    """Lay tiles in rows, each row over the one below."""
    rng = np.random.default_rng(12)
    eaves, ridge, pitch = 0.52, 2.3, 0.145
    pen.polygon([(-1.15, eaves), (4.0, eaves), (4.0, ridge), (-0.3, ridge)], (96, 52, 40))
    rows = int((ridge - eaves) / pitch) + 1
    for row in range(rows):
        y = eaves + row * pitch
        left = -1.15 + 0.85 * (y - eaves) / (ridge - eaves)
        for k in range(int((4.0 - left) / 0.17) + 2):
            x = left + (k - 0.5 * (row % 2)) * 0.17
            red, shade = rng.normal(0.0, 9.0), rng.normal(1.0, 0.07)
            dark = (int(70 * shade), int(38 * shade), int(30 * shade))
            tile = (int((158 + red) * shade), int((84 + 0.5 * red) * shade), int(60 * shade))
            pen.disc((x + 0.085, y + 0.052), (0.086, 0.068), dark)
            pen.disc((x + 0.085, y + 0.062), (0.080, 0.062), tile)
            pen.polygon(
                [(x, y + 0.06), (x + 0.17, y + 0.06), (x + 0.17, y + 0.30), (x, y + 0.30)], dark
            )
            pen.polygon(
                [
                    (x + 0.006, y + 0.06),
                    (x + 0.164, y + 0.06),
                    (x + 0.164, y + 0.3),
                    (x + 0.006, y + 0.3),
                ],
                tile,
            )
    # Cut the rows along the verge, and lay its board.
    verge, top = (-1.17, eaves), (-0.30, ridge + 0.02)
    pen.polygon([(-3.0, eaves), verge, top, (-0.30, 3.4), (-3.0, 3.4)], _EMPTY)
    pen.polygon([(-3.0, ridge), (9.0, ridge), (9.0, 3.4), (-3.0, 3.4)], _EMPTY)
    pen.stroke([verge, top], 0.07, (132, 122, 112))
    pen.stroke([top, (9.0, ridge + 0.02)], 0.09, (112, 58, 42))
    pen.polygon(
        [(-1.25, eaves - 0.10), (4.0, eaves - 0.10), (4.0, eaves + 0.02), (-1.25, eaves + 0.02)],
        (120, 112, 104),
    )


def _house(pen: _Pen) -> None:
    pen.polygon([(-1.0, -9.0), (9.0, -9.0), (9.0, 0.5), (-1.0, 0.5)], (206, 190, 160))
    pen.polygon([(-1.0, 0.30), (9.0, 0.30), (9.0, 0.5), (-1.0, 0.5)], (150, 136, 112))
    for x in (0.95, 2.2):
        pen.polygon([(x, -1.3), (x + 0.75, -1.3), (x + 0.75, 0.1), (x, 0.1)], (240, 238, 230))
        for u in (0.06, 0.41):
            for v in (-1.24, -0.79, -0.34):
                pane = [(x + u, v), (x + u + 0.28, v), (x + u + 0.28, v + 0.38), (x + u, v + 0.38)]
                pen.polygon(pane, (62, 76, 92))
    _roof(pen)


def _bird(pen: _Pen) -> None:
    """Set a bird on the gutter."""
    x, y = 0.10, 0.54
    pen.stroke([(x - 0.01, y), (x - 0.015, y + 0.05)], 0.007, (60, 44, 30))
    pen.stroke([(x + 0.03, y), (x + 0.02, y + 0.05)], 0.007, (60, 44, 30))
    pen.polygon(
        [(x - 0.06, y + 0.08), (x - 0.26, y + 0.02), (x - 0.25, y + 0.055), (x - 0.05, y + 0.14)],
        (38, 36, 40),
    )
    pen.disc((x, y + 0.11), (0.105, 0.07), (46, 44, 50))
    pen.disc((x + 0.03, y + 0.095), (0.065, 0.05), (168, 84, 40))
    pen.disc((x + 0.105, y + 0.19), (0.05, 0.046), (44, 42, 48))
    pen.polygon(
        [(x + 0.145, y + 0.20), (x + 0.21, y + 0.185), (x + 0.147, y + 0.172)], (216, 150, 40)
    )
    pen.disc((x + 0.12, y + 0.20), (0.011, 0.011), (238, 236, 226))
    pen.disc((x + 0.121, y + 0.20), (0.006, 0.006), (10, 10, 10))
    for k in range(5):
        start = (x + 0.02 - 0.015 * k, y + 0.145 - 0.012 * k)
        pen.stroke([start, (x - 0.13 - 0.02 * k, y + 0.10 - 0.012 * k)], 0.005, (92, 88, 92))


@lru_cache(maxsize=1)
def _branches() -> tuple[tuple[Point, Point, Point, int], ...]:
    """Grow the tree: pieces as start, end, widths and generation."""
    rng = np.random.default_rng(32)
    pieces: list[tuple[Point, Point, Point, int]] = []
    tips = [((-2.75, -4.2), 1.60, 1.75, 0.26, 0)]
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


def _tree(pen: _Pen) -> None:
    rng = np.random.default_rng(5)
    for start, end, widths, age in _branches():
        shade = 1.0 + 0.10 * math.sin(9.0 * start[0] + 7.0 * start[1])
        bark = (int(66 * shade), int(56 * shade), int(46 * shade))
        pen.branch(start, end, widths, bark)
        pen.disc(end, (0.5 * widths[1], 0.5 * widths[1]), bark)
        if age >= 7 and rng.random() < 0.45:
            green = rng.uniform(0.75, 1.15)
            colour = (int(88 * green), int(116 * green), int(52 * green))
            x, y = end[0] + rng.normal(0.0, 0.02), end[1] + rng.normal(0.0, 0.02)
            pen.disc((x, y), (rng.uniform(0.010, 0.026), rng.uniform(0.007, 0.016)), colour)


def _hills(pen: _Pen) -> None:
    x = np.linspace(-12.0, 12.0, 200)
    for base, high, colour in ((-0.75, 0.5, (150, 168, 184)), (-1.35, 0.35, (122, 142, 132))):
        line = base + high * (np.sin(0.55 * x + base) + 0.35 * np.sin(1.7 * x + 3 * base))
        points = [(float(a), float(b)) for a, b in zip(x, line, strict=True)]
        pen.polygon([*points, (12.0, -20.0), (-12.0, -20.0)], colour)


@lru_cache(maxsize=1)
def _grain() -> Values:
    tile = cloudy((256, 256), np.random.default_rng(3), longest=24.0, finest=2.2, slope=1.2)
    return np.concatenate([tile, tile[:2]], axis=0)[..., None]


def _sky(rows_m: Values) -> Values:
    """Return the sky's colour by height, linear (3, ny, 1): paler towards the horizon."""
    up = np.clip((rows_m + 2.0) / 6.0, 0.0, 1.0)[None, :, None]
    low, high = np.array([0.34, 0.40, 0.47]), np.array([0.17, 0.27, 0.47])
    return np.asarray(low[:, None, None] + up * (high - low)[:, None, None], np.float32)


def _covered(pixels: int, fine: int, pixel_m: float) -> tuple[Values, Values]:
    """Draw all that is solid on a fine grid.

    Returns
    -------
    reflectance
        (3, pixels, pixels) linear, means over the pixels' areas.
    open_sky
        (pixels, pixels) share of each pixel that nothing covers.
    """
    from PIL import Image, ImageDraw

    points = pixels * fine
    middle = fine * (pixels // 2) + 0.5 * (fine - 1)
    picture = Image.new("RGB", (points, points), _EMPTY)
    pen = _Pen(draw=ImageDraw.Draw(picture), per_m=fine / pixel_m, middle=(middle, middle))
    for part in (_hills, _house, _letters, _bird, _tree):
        part(pen)
    codes = np.asarray(picture)
    reflectance = np.empty((3, pixels, pixels), np.float32)
    open_sky = np.empty((pixels, pixels), np.float32)
    for top in range(0, pixels, 64):
        bottom = min(top + 64, pixels)
        here = codes[top * fine : bottom * fine]
        shape = (bottom - top, fine, pixels, fine)
        light = decoded(here).reshape(*shape, 3).mean(axis=(1, 3))
        reflectance[:, top:bottom] = np.moveaxis(light, -1, 0)
        open_sky[top:bottom] = (here[..., 0] == _EMPTY[0]).reshape(shape).mean(axis=(1, 3))
    return reflectance, open_sky


def _shown(pixels: int, fine: int, pixel_m: float) -> Values:
    """Return the whole scene without haze, linear (3, pixels, pixels), white 1."""
    planes, open_sky = _covered(pixels, fine, pixel_m)
    axis = (np.arange(pixels, dtype=np.float32) - pixels // 2) * np.float32(pixel_m)
    shape = (pixels, pixels)
    grain = lookup(
        _grain(),
        np.broadcast_to((axis[:, None] * 64.0) % 256.0, shape),
        np.broadcast_to(axis[None, :] * 64.0, shape),
    )[..., 0]
    return np.asarray(planes * (1.0 + 0.05 * grain) + _sky(-axis) * open_sky)


def daytime(distance_m: float = 400.0, visibility_km: float = 20.0) -> Target:
    """Return a scene by day: a sign, roof tiles, twigs and a bird.

    Parameters
    ----------
    distance_m
        How far away it is, 20 to 5000 m. The sign is 1.2 m wide.
    visibility_km
        How clear the air is, 0.5 to 300 km.
    """
    distance = require_range("distance_m", distance_m, 20.0, 5000.0, unit="m")
    clear = require_range("visibility_km", visibility_km, 0.5, 300.0, unit="km")
    through = math.exp(-_KOSCHMIEDER * distance / 1000.0 / clear)
    per_m = ARCSEC_PER_RADIAN / distance

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        fine = max(1, min(_FINE, _MOST // pixels))
        planes = _shown(pixels, fine, pixel_arcsec / per_m)
        air = np.array([0.95, 1.0, 1.08], np.float32)[:, None, None] * _AIRLIGHT
        hazy = planes * through + air * (1.0 - through)
        return Scene(planes=(hazy * WHITE_CD_M2).astype(np.float32), pixel_arcsec=pixel_arcsec)

    return Target(
        name="daytime",
        title=f"House by day, {distance:g} m away",
        kind="daytime",
        size_arcsec=2.0 * _HALF_M * per_m,
        paint=paint,
        luminance_cd_m2=0.35 * WHITE_CD_M2,
        contrast=0.8 * through,
        notes=(_NOTE,),
        recipe={"name": "daytime", "distance_m": distance, "visibility_km": clear},
        by_day=True,
    )
