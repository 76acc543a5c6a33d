"""From light on the retina to a print: one adaptation for a whole sheet, then 8-bit sRGB.

The eye answers light along a saturating curve, R = E^n / (E^n + s^n); rods and cones each have
their own. A sheet is printed with one such pair of curves, set once from all its panels, so that
a panel that sends less light to the eye also prints darker. How it works, and which numbers are
published and which are choices, stands in docs/models/tone.md.

Stars are printed apart from surfaces: each star's light is first multiplied by a factor <= 1
(`star_factors`), then its image is added in proportion, so that a bright star is brighter but
never broader than its blur.

Sources: Naka & Rushton 1966, J. Physiol. 185, 536 (the curve); Valeton & van Norren 1983, Vision
Res. 23, 1539 (n = 0.74 for primate cones); CIE 191:2010 (where colour vision ends); IEC 61966-2-1
(sRGB). The first two citations are from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from simview.picture import chroma, dither

Planes = NDArray[np.float32]
Floats = NDArray[np.float64]

# Exponent of the cones' curve: 1 is Naka & Rushton's own, 0.74 Valeton & van Norren's for
# primate cones. A sheet takes the steepest of this range that keeps its dimmest panel in print.
STEEPEST: Final = 1.0
SHALLOWEST: Final = 0.74

# Ratio of light between brightest and dimmest panel up to which the print stays steepest. Choice.
EASY_RANGE: Final = 20.0

# Cones are half saturated at this many times the sheet's brightest surface: leaves that surface
# on the part of the curve where its detail keeps most of its contrast. Choice.
HEADROOM: Final = 12.0

# Print luminance (display white = 1) of the sheet's brightest surface. Choice.
WHITE_PRINT: Final = 0.75

# Surfaces dimmer than this do not count as bright, troland: about what a 7 mm pupil takes from
# 0.1 cd/m2. Keeps a dark nebula from printing as bright as a planet. Choice.
LEAST_WHITE_TD: Final = 4.0

# Cones' own noise as light, troland: below it they fade out and leave the view to the rods.
# Choice, of the order of the absolute threshold of cone vision (0.005 cd/m2 in CIE 191).
CONE_DARK_TD: Final = 0.2

# Scotopic troland above which a background is left to the cones alone. Choice; the upper end of
# mesopic vision is some hundred troland.
ROD_LIMIT_TD: Final = 10.0

# Print luminance of a dark sky's background, the scotopic troland it belongs to (about 21.7
# mag/arcsec2 in a 7 mm pupil), and how it grows with light. Choices for a dark hall.
SKY_PRINT: Final = 0.010
SKY_TD: Final = 0.016
SKY_GROWTH: Final = 0.35
SKY_PRINT_RANGE: Final = (0.0015, 0.045)

# A bright object in view darkens the sky in print: by this power of how far its light surpasses
# 300 times the sky's. Choice; leaves the sky beside a planet a third of its print.
SKY_BESIDE_LIGHT: Final = -0.16

# A star whose image's middle is this many times the sky's light begins to stand out. Choice,
# from Crumey's (2014) threshold area of 16 arcmin against a blur of some 5 arcmin.
STAR_OVER_SKY: Final = 10.0

# Least ratio of star light that a sheet spreads from dark to white, so that a field of faint
# stars does not print as one of bright ones. Choice: 10 magnitudes.
LEAST_STAR_RANGE: Final = 1e4

# Power of the logarithm of a star's light that it prints with: above 1, so that bright stars lead
# and faint ones recede, as in the sky. Choice.
STAR_POWER: Final = 1.6

# Share of its colour that a surface keeps in print at most; the same for a star, and the print
# luminance at which a star's light keeps half of that. Choices: an eye at night sees colours pale,
# those of small points paler, and those of faint light hardly.
COLOUR_KEPT: Final = 0.85
STAR_COLOUR_KEPT: Final = 0.6
STAR_GREY: Final = 0.05

# Tint of light seen by rods alone, linear sRGB, luminance 1 after scaling: faintly blue. Choice,
# weaker than the blue of Thompson, Shirley & Ferwerda 2002, J. Graphics Tools 7, 1.
_ROD_TINT: Final = (0.90, 1.00, 1.22)

# Colour vision fades between these luminances, cd/m2. Source: CIE 191:2010.
SCOTOPIC_CD_M2: Final = 0.005
PHOTOPIC_CD_M2: Final = 5.0

# CIE XYZ to linear sRGB. Source: IEC 61966-2-1.
XYZ_TO_RGB: Final = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
LUMINANCE: Final = np.array([0.2126, 0.7152, 0.0722])


class Light(Protocol):
    """What `levels` reads: a Retina, or anything else with its surfaces in troland."""

    @property
    def extended(self) -> Planes:
        """(4, ny, nx) X, Y, Z and V' of surfaces, troland."""

    @property
    def pixels_per_degree(self) -> float:
        """Of apparent angle."""

    @property
    def eye_pupil_mm(self) -> float:
        """The eye's own pupil."""


class Printable(Light, Protocol):
    """What `develop` reads: a Retina."""

    @property
    def points(self) -> Planes:
        """(4, ny, nx) of stars, multiplied by their factors, troland."""


class Levels(NamedTuple):
    """How bright one view is: brightest surface, background, the eye's own pupil."""

    extent_deg: float
    white_td: float
    background_td: float
    background_scotopic_td: float
    eye_pupil_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Adaptation:
    """How one sheet turns light into print; the same for all its panels.

    Parameters
    ----------
    white_td
        Troland of the surface that prints at `WHITE_PRINT`.
    exponent
        Of the cones' curve, `SHALLOWEST` to `STEEPEST`.
    rod_half_td, rod_top
        Scotopic troland at half the rods' answer; print luminance of their full answer.
    star_td, star_range
        Troland of a star's middle from which stars stand out; natural logarithm of the ratio
        that is spread up to white, at least 1.
    eye_pupil_mm
        Turns troland into the luminance that decides about colour.
    surfaces, stars
        Whether the sheet shows any surface brighter than the sky, any star that stands out.
    """

    white_td: float
    exponent: float
    rod_half_td: float
    rod_top: float
    star_td: float
    star_range: float
    eye_pupil_mm: float
    surfaces: bool
    stars: bool

    def says(self) -> str:
        """Return a sentence for the caption: how strongly the print compresses light."""
        parts = []
        if self.surfaces or not self.stars:
            bright, dim = (float(cone_print(self.white_td * f, self)) for f in (1.0, 0.01))
            parts.append(f"a surface {_times_darker(bright / dim)}")
        if self.stars:
            top = self.star_td * math.expm1(self.star_range)
            bright, dim = (float(star_print(top * f, self)) for f in (1.0, 0.01))
            parts.append(f"a star {_times_darker(bright / dim)}")
        return f"One exposure for all views: with 100 times less light {' and '.join(parts)}."


def _times_darker(ratio: float) -> str:
    return (
        f"prints {ratio:.0f} times darker" if ratio >= 9.5 else f"prints {ratio:.1f} times darker"
    )


def levels(light: Light) -> Levels:
    """Measure how bright a view is, its stars left out.

    The brightest surface is the largest mean over 4 arcmin of apparent angle, about what an eye
    resolves in dim light; the background is the darker quarter of the view.

    Checked by: tests/unit/picture/test_tone.py
    """
    luminous, scotopic = light.extended[1], light.extended[3]
    block = max(1, round(light.pixels_per_degree * 4.0 / 60.0))
    ny, nx = (n // block * block for n in luminous.shape)
    means = luminous[:ny, :nx].reshape(ny // block, block, nx // block, block).mean(axis=(1, 3))
    step = max(1, min(luminous.shape) // 200)
    return Levels(
        extent_deg=max(luminous.shape) / light.pixels_per_degree,
        white_td=float(means.max(initial=0.0)),
        background_td=float(np.percentile(luminous[::step, ::step], 25.0)),
        background_scotopic_td=float(np.percentile(scotopic[::step, ::step], 25.0)),
        eye_pupil_mm=light.eye_pupil_mm,
    )


def adaptation(
    lights: Iterable[Light], *, star_peaks_td: Iterable[float] | Floats = ()
) -> Adaptation:
    """Set one adaptation for a sheet.

    Parameters
    ----------
    lights
        Every view of the sheet.
    star_peaks_td
        Troland (Y) in the middle of each star's image, of all panels together.

    Returns
    -------
    Adaptation
        Depends on the set of views, not on their order.
    """
    return adapt([levels(light) for light in lights], star_peaks_td=star_peaks_td)


def adapt(views: list[Levels], *, star_peaks_td: Iterable[float] | Floats = ()) -> Adaptation:
    """Set one adaptation from views already measured; see `adaptation`."""
    if not views:
        raise ValueError("an adaptation needs at least one view")
    sky = _background(views)
    brightest = max(view.white_td for view in views)
    # A surface hardly brighter than the sky is no bright object: leave it where skies print.
    white = max(brightest, 300.0 * sky.background_td, LEAST_WHITE_TD)
    rod_half, rod_top = _rods(sky.background_scotopic_td, brightest, sky.background_td)
    star_td = STAR_OVER_SKY * max(sky.background_td, 1e-5)
    peaks = np.asarray(list(star_peaks_td), dtype=float)
    # A star is not printed brighter than a surface of the same light would be, so planets count.
    top = max(float(peaks.max(initial=0.0)), 4.0 * brightest, LEAST_STAR_RANGE * star_td)
    return Adaptation(
        white_td=white,
        exponent=_exponent(views, white),
        rod_half_td=rod_half,
        rod_top=rod_top,
        star_td=star_td,
        star_range=max(1.0, math.log1p(top / star_td)),
        eye_pupil_mm=max(view.eye_pupil_mm for view in views),
        surfaces=brightest > 3.0 * sky.background_td,
        stars=bool(peaks.size and peaks.max() > star_td),
    )


def _background(views: list[Levels]) -> Levels:
    """Return the view with the brightest background that is still a night sky.

    Close-ups show the object's own glow where a wide view shows sky: they are not asked.
    """
    widest = max(v.extent_deg for v in views)
    wide = [v for v in views if v.extent_deg >= 0.5 * widest]
    dark = [v for v in wide if v.background_scotopic_td < ROD_LIMIT_TD]
    if dark:
        return max(dark, key=lambda v: v.background_scotopic_td)
    return min(wide, key=lambda v: v.background_scotopic_td)


def _rods(background_td: float, white_td: float, sky_td: float) -> tuple[float, float]:
    """Return the rods' half-saturation in scotopic troland and their full answer in print."""
    background = max(background_td, 1e-6)
    surpasses = white_td / (300.0 * max(sky_td, 1e-6))
    growth = (background / SKY_TD) ** SKY_GROWTH * max(1.0, surpasses) ** SKY_BESIDE_LIGHT
    sky_print = float(np.clip(SKY_PRINT * growth, *SKY_PRINT_RANGE))
    # With a bright object in view rods saturate just above the sky; alone with the night they
    # reach far above it, so that a nebula keeps its shades.
    reach = 1.0 + 19.0 / (1.0 + surpasses)
    daylight = 1.0 / (1.0 + (background / ROD_LIMIT_TD) ** 2)
    return reach * background, sky_print * (1.0 + reach) * daylight


def _exponent(views: list[Levels], white_td: float) -> float:
    """Choose the steepest exponent that keeps the dimmest panel's object in print."""
    objects = [v.white_td for v in views if v.white_td > 30.0 * v.background_td]
    spread = white_td / min(objects) if objects else 1.0
    if spread <= EASY_RANGE:
        return STEEPEST
    return max(SHALLOWEST, math.log(EASY_RANGE) / math.log(spread))


def cone_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance (display white = 1) of light seen by cones.

    Rises with light everywhere and never ends in a flat white; may pass 1 for light far above
    the sheet's brightest surface, which the last step before 8 bits bends back.
    """
    n, light = adaptation.exponent, np.asarray(light_td, float)
    top = 1.0 / (1.0 + HEADROOM**n)
    answer = light**n / (light**n + (HEADROOM * adaptation.white_td) ** n)
    awake = light / (light + CONE_DARK_TD)
    return np.asarray(WHITE_PRINT / top * answer * awake)


def rod_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance of light seen by rods; `light_td` is scotopic troland."""
    light = np.asarray(light_td, float)
    return np.asarray(adaptation.rod_top * light / (light + adaptation.rod_half_td))


def colourfulness(light_td: Floats | float, eye_pupil_mm: float) -> Floats:
    """Return the share of its colour that light keeps: 0 in rod vision, most in daylight.

    Linear in the logarithm of luminance as CIE 191's mesopic coefficient, with rounded ends.
    """
    area = math.pi / 4.0 * eye_pupil_mm**2
    luminance = np.maximum(np.asarray(light_td, float), 1e-12) / area
    low, high = math.log10(SCOTOPIC_CD_M2), math.log10(PHOTOPIC_CD_M2)
    t = np.clip((np.log10(luminance) - low) / (high - low), 0.0, 1.0)
    return np.asarray(COLOUR_KEPT * t * t * (3.0 - 2.0 * t))


def star_print(peaks_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance in the middle of a star: a power of the logarithm of its light.

    Rises with light everywhere; 1 for the brightest star of the sheet.
    """
    excess = np.maximum(np.asarray(peaks_td, float), 0.0) / adaptation.star_td
    return np.asarray((np.log1p(excess) / adaptation.star_range) ** STAR_POWER)


def star_factors(peaks_td: Floats, adaptation: Adaptation) -> Floats:
    """Return the factor by which each star's light is multiplied before printing.

    Parameters
    ----------
    peaks_td
        (N,) troland (Y) in the middle of each star's image.

    Returns
    -------
    (N,) 0 <= factor <= 1. The star's image keeps its shape; its middle prints at `star_print`.
    """
    excess = np.maximum(np.asarray(peaks_td, float), 0.0) / adaptation.star_td
    return np.asarray(star_print(peaks_td, adaptation) / np.maximum(excess, 1e-12))


def develop(retina: Printable, adaptation: Adaptation) -> NDArray[np.uint8]:
    """Print a view.

    Returns
    -------
    (ny, nx, 3) uint8 sRGB.
    """
    ny, nx = retina.extended.shape[1:]
    out = np.empty((ny, nx, 3), np.uint8)
    tables = _tables(adaptation)
    hue = chroma.hue(retina.extended, retina.pixels_per_degree)
    points = retina.points if retina.points.any() else None
    star_hue = None if points is None else chroma.hue(points, retina.pixels_per_degree)
    # Pieces small enough to stay in the processor's cache while they pass all steps.
    rows = max(1, 32768 // max(nx, 1))

    def piece(top: int) -> None:
        part = slice(top, min(top + rows, ny))
        surface, stars = retina.extended[:, part], None
        scotopic = surface[3]
        surface = surface if hue is None else hue.recolour(surface, top)
        if points is not None:
            stars = points[:, part]
            stars = stars if star_hue is None else star_hue.recolour(stars, top)
        shades = _print_rows(surface, scotopic, stars, tables)
        for channel, shade in enumerate(shades):
            out[part, :, channel] = encode(shade, top=top, channel=channel)

    if ny * nx < 200_000:
        for top in range(0, ny, rows):
            piece(top)
    else:
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(piece, range(0, ny, rows)))
    return out


class _Tables(NamedTuple):
    coloured: Planes  # per troland of Y: print of the coloured part
    grey: Planes  # print of the part that has lost its colour
    rods: Planes
    star: float  # print per troland of points


# Tables are indexed by the upper bits of a float32: exponent and 9 bits of mantissa, from 2^-24
# to 2^24 troland; a step is 0.2 %, well below one step of 8 bits.
_SHIFT: Final = 23 - 9
_FIRST: Final = (127 - 24) << 9
_COUNT: Final = 48 << 9


@lru_cache(maxsize=1)
def _table_light() -> Floats:
    index = (np.arange(_COUNT, dtype=np.int32) + _FIRST) << _SHIFT
    middle = index + (1 << (_SHIFT - 1))
    return np.asarray(middle.view(np.float32), float)


@lru_cache(maxsize=4)
def _tables(adaptation: Adaptation) -> _Tables:
    light = _table_light()
    cones = cone_print(light, adaptation)
    colour = colourfulness(light, adaptation.eye_pupil_mm)
    return _Tables(
        coloured=(cones * colour / light).astype(np.float32),
        grey=(cones * (1.0 - colour)).astype(np.float32),
        rods=rod_print(light, adaptation).astype(np.float32),
        star=1.0 / adaptation.star_td,
    )


def _place(light: Planes) -> NDArray[np.int32]:
    """Return where in the tables each value of light stands."""
    bits: NDArray[np.int32] = np.ascontiguousarray(light, np.float32).view(np.int32)
    index = bits >> _SHIFT
    index -= _FIRST
    np.clip(index, 0, _COUNT - 1, out=index)
    return index


def rod_tint() -> Floats:
    """Return the tint of rod light, linear sRGB of luminance 1."""
    tint = np.array(_ROD_TINT)
    return np.asarray(tint / (LUMINANCE @ tint))


def _print_rows(
    surface: Planes, scotopic: Planes, points: Planes | None, tables: _Tables
) -> list[Planes]:
    """Return the three channels of some rows, linear print luminance."""
    place = _place(surface[1])
    coloured = tables.coloured.take(place)
    plain = tables.grey.take(place)
    plain += tables.rods.take(_place(scotopic))
    tint = rod_tint().astype(np.float32)
    shades = []
    for c, row in enumerate(XYZ_TO_RGB.astype(np.float32)):
        shade = _mix(surface, row)
        shade *= coloured
        shade += tint[c] * plain
        shades.append(shade)
    if points is not None:
        _add_stars(shades, points, tables.star)
    return shades


def _mix(planes: Planes, row: Planes) -> Planes:
    mixed = np.multiply(planes[0], row[0])
    mixed += row[1] * planes[1]
    mixed += row[2] * planes[2]
    return np.asarray(mixed)


def _add_stars(shades: list[Planes], points: Planes, scale: float) -> None:
    """Add the stars' print: in proportion to light, colour fading with it."""
    printed = points[1] * np.float32(scale)
    kept = printed + np.float32(STAR_GREY)
    np.divide(printed, kept, out=kept)
    kept *= np.float32(STAR_COLOUR_KEPT)
    for c, row in enumerate(XYZ_TO_RGB.astype(np.float32)):
        colour = _mix(points, np.float32(scale) * row)
        colour -= printed
        colour *= kept
        colour += printed
        shades[c] += colour


# Steps of the last table for each unit of print luminance, and the largest it holds.
_CODE_STEPS: Final = 16384
_CODE_TOP: Final = 3


@lru_cache(maxsize=1)
def _codes() -> Planes:
    light = np.arange(_CODE_STEPS * _CODE_TOP) / _CODE_STEPS
    return (255.0 * srgb(shoulder(light))).astype(np.float32)


def shoulder(light: Floats, knee: float = 0.8) -> Floats:
    """Bend light above the knee smoothly towards, never onto, display white."""
    over = np.maximum(light - knee, 0.0) / (1.0 - knee)
    return np.asarray(np.where(light > knee, knee + (1.0 - knee) * (1.0 - np.exp(-over)), light))


def srgb(light: Floats) -> Floats:
    """Encode linear light 0 to 1 as sRGB 0 to 1. Source: IEC 61966-2-1."""
    light = np.clip(light, 0.0, 1.0)
    return np.asarray(
        np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    )


def encode(light: Planes, *, top: int = 0, channel: int = 0) -> NDArray[np.uint8]:
    """Turn print luminance of one channel into 8 bits, steps hidden by blue noise.

    Parameters
    ----------
    light
        (ny, nx) linear, display white = 1.
    top, channel
        Row of the first row in the whole picture; channels see shifted patterns.
    """
    scaled = light * np.float32(_CODE_STEPS)
    index = np.clip(scaled, 0.0, _CODE_STEPS * _CODE_TOP - 1, out=scaled).astype(np.int32)
    code = _codes().take(index)
    ny, nx = light.shape
    rows = (np.arange(top, top + ny) + 23 * channel) % dither.SIDE
    noise = np.tile(np.roll(dither.tile(), 29 * channel, axis=1), (1, nx // dither.SIDE + 1))
    code += noise[rows, :nx]
    # Truncation after noise in [0, 1) rounds evenly; 255 cannot pass since noise stays below 1.
    return np.minimum(code, 255.0, out=code).astype(np.uint8)
