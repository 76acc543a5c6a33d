"""How one sheet answers light: adaptation, and the curves from troland to print luminance.

The eye answers light along a saturating curve, R = E / (E + s); rods and cones each have their
own. A sheet has one such pair of curves, set once from all its views; the cones' then follows
each view's light in part, as an eye at the telescope does. So a view that sends less light to the
eye prints darker, but keeps its contrasts. Which numbers are published and which are choices
stands beside each, and in docs/models/tone.md.

Sources: Naka & Rushton 1966, J. Physiol. 185, 536 (the curve); Stevens 1957, Psychol. Rev. 64, 153
(brightness as a power of light); CIE 191:2010 (where colour vision ends). The first two citations
are from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

Planes = NDArray[np.float32]
Floats = NDArray[np.float64]

# Cones are half saturated at this many times a view's own white: leaves its brightest surface on
# the part of the curve where detail keeps three quarters of its contrast. Choice.
HEADROOM: Final = 3.0

# How far an eye adapts to each view: the view's white follows the light of its own brightest
# surface with this power, so that between views print goes about as light to the power 1 less
# this. A choice; Stevens found 0.33 (surfaces in the dark) to 0.5 (points, short looks).
ADAPTED: Final = 0.5

# Light below which cones adapt no further, troland: a view dimmer than that looks dim however
# long one looks. A choice of the order of the cones' "dark light" in work on adaptation.
ADAPTED_DARK_TD: Final = 20.0

# Print luminance (display white = 1) of the sheet's brightest surface. Choice: bright, but with
# room above for a coloured one, whose reddest light needs more than its luminance.
WHITE_PRINT: Final = 0.70

# Surfaces dimmer than this do not count as bright, troland: about what a 7 mm pupil takes from
# 0.1 cd/m2. Keeps a dark nebula from printing as bright as a planet. Choice.
LEAST_WHITE_TD: Final = 4.0

# Cones' own noise as light, troland: below it they fade out and leave the view to the rods.
# Choice, of the order of the absolute threshold of cone vision (0.005 cd/m2 in CIE 191).
CONE_DARK_TD: Final = 0.2

# Scotopic troland above which a background is no night sky any more: it is left to the cones
# alone. Choice; the glow of a bright city in a 7 mm pupil is half of that.
ROD_LIMIT_TD: Final = 4.0

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

# Colour vision fades between these luminances, cd/m2. Source: CIE 191:2010.
SCOTOPIC_CD_M2: Final = 0.005
PHOTOPIC_CD_M2: Final = 5.0


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


class Levels(NamedTuple):
    """How bright one view is: brightest surface, background, the eye's own pupil."""

    extent_deg: float
    white_td: float
    background_td: float
    background_scotopic_td: float
    eye_pupil_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Adaptation:
    """How one sheet turns light into print; for each of its views see `for_view`.

    Parameters
    ----------
    white_td
        Troland of the surface that prints at `WHITE_PRINT`.
    least_white_td
        Surfaces dimmer than this are no bright objects: no view adapts to them.
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
    least_white_td: float
    rod_half_td: float
    rod_top: float
    star_td: float
    star_range: float
    eye_pupil_mm: float
    surfaces: bool
    stars: bool

    def for_view(self, brightest_td: float) -> Adaptation:
        """Return the same for one view of the sheet: the eye adapts in part to each.

        Only surfaces seen by cones follow; night skies and stars print alike in every view.

        Parameters
        ----------
        brightest_td
            The view's own brightest surface, close-ups of it included.
        """
        own = min(max(brightest_td, self.least_white_td), self.white_td)
        dimmer = (own + ADAPTED_DARK_TD) / (self.white_td + ADAPTED_DARK_TD)
        return replace(self, white_td=self.white_td * dimmer**ADAPTED)

    def says(self, *, several: bool = True) -> str:
        """Return a sentence for the caption: how strongly the print compresses light.

        Parameters
        ----------
        several
            Whether the sheet shows views of different light.
        """
        parts = []
        if self.surfaces or not self.stars:
            top, dim = (float(surface_print(self.white_td * f, self)) for f in (1.0, 0.01))
            if several:
                dimmer = self.for_view(0.01 * self.white_td)
                between = top / float(surface_print(0.01 * self.white_td, dimmer))
                parts.append(f"{_times(between)} times darker between views, {_times(top / dim)}")
                parts.append("within one")
            else:
                parts.append(f"{_times(top / dim)} times darker")
        if self.stars:
            light = self.star_td * math.expm1(self.star_range)
            top, dim = (float(star_print(light * f, self)) for f in (1.0, 0.01))
            stars = f"{_times(top / dim)} between stars"
            parts.append(f"and {stars}" if parts else f"{_times(top / dim)} times darker as a star")
        return f"Print: 100 times less light comes out {' '.join(parts)}."


def _times(ratio: float) -> str:
    return f"{ratio:.0f}" if ratio >= 9.5 else f"{ratio:.1f}"


def levels(light: Light) -> Levels:
    """Measure how bright a view is, its stars left out.

    The brightest surface is the largest mean over 4 arcmin of apparent angle, about what an eye
    resolves in dim light; the background is the darker quarter of the view.

    Checked by: tests/unit/picture/test_toning.py
    """
    luminous, scotopic = light.extended[1], light.extended[3]
    block = max(1, min(round(light.pixels_per_degree * 4.0 / 60.0), *luminous.shape))
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
    night = 1.0 / (1.0 + (sky.background_scotopic_td / ROD_LIMIT_TD) ** 4)
    sky_td = max(night * sky.background_td, 1e-6)
    # A surface hardly brighter than a night sky is no bright object: leave it where skies print.
    white = max(brightest, 300.0 * sky_td, LEAST_WHITE_TD)
    rod_half, rod_top = _rods(sky.background_scotopic_td, night, brightest / (300.0 * sky_td))
    star_td = STAR_OVER_SKY * max(sky.background_td, 1e-5)
    peaks = np.asarray(list(star_peaks_td), dtype=float)
    # A star is not printed brighter than a surface of the same light would be, so planets count.
    top = max(float(peaks.max(initial=0.0)), 4.0 * brightest, LEAST_STAR_RANGE * star_td)
    return Adaptation(
        white_td=white,
        least_white_td=max(300.0 * sky_td, LEAST_WHITE_TD),
        rod_half_td=rod_half,
        rod_top=rod_top,
        star_td=star_td,
        star_range=max(1.0, math.log1p(top / star_td)),
        eye_pupil_mm=max(view.eye_pupil_mm for view in views),
        surfaces=brightest > 3.0 * sky_td,
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


def _rods(background_td: float, night: float, surpasses: float) -> tuple[float, float]:
    """Return the rods' half-saturation in scotopic troland and their full answer in print.

    Parameters
    ----------
    background_td
        Of the sky, scotopic troland.
    night
        1 for a night sky, 0 for daylight.
    surpasses
        The brightest surface against 300 times the sky.
    """
    background = max(background_td, 1e-6)
    # Beside a bright object the background is mostly that object's own glare: it prints no
    # lighter for being brighter.
    growth = (background / SKY_TD) ** (SKY_GROWTH / (1.0 + surpasses))
    growth *= max(1.0, surpasses) ** SKY_BESIDE_LIGHT
    sky_print = float(np.clip(SKY_PRINT * growth, *SKY_PRINT_RANGE))
    # With a bright object in view rods saturate just above the sky; alone with the night they
    # reach far above it, so that a nebula keeps its shades.
    reach = 1.0 + 19.0 / (1.0 + surpasses)
    return reach * background, sky_print * (1.0 + reach) * night


def cone_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance (display white = 1) of light seen by cones.

    Rises with light everywhere and never ends in a flat white; may pass 1 for light far above
    the sheet's brightest surface, which the last step before 8 bits bends back.
    """
    light = np.asarray(light_td, float)
    top = 1.0 / (1.0 + HEADROOM)
    answer = light / (light + HEADROOM * adaptation.white_td)
    awake = light / (light + CONE_DARK_TD)
    return np.asarray(WHITE_PRINT / top * answer * awake)


def rod_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance of light seen by rods; `light_td` is scotopic troland."""
    light = np.asarray(light_td, float)
    return np.asarray(adaptation.rod_top * light / (light + adaptation.rod_half_td))


def surface_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance of a white surface, rods and cones together.

    Its scotopic light is twice its photopic light, about that of sunlight (S/P 2.3) or moonlight.
    """
    light = np.asarray(light_td, float)
    return np.asarray(cone_print(light, adaptation) + rod_print(2.0 * light, adaptation))


def colourfulness(light_td: Floats | float, eye_pupil_mm: float) -> Floats:
    """Return how far colour vision is awake: 0 in rod vision, 1 in daylight.

    Linear in the logarithm of luminance as CIE 191's mesopic coefficient, with rounded ends.
    """
    area = math.pi / 4.0 * eye_pupil_mm**2
    luminance = np.maximum(np.asarray(light_td, float), 1e-12) / area
    low, high = math.log10(SCOTOPIC_CD_M2), math.log10(PHOTOPIC_CD_M2)
    t = np.clip((np.log10(luminance) - low) / (high - low), 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t))


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
