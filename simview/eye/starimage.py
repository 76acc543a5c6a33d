"""The image of a single star in a view, from which pairs and neighbours are judged."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.scatter import VALID_DEG, beam_pupil, veil_per_lux
from simview.units import ARCSEC_PER_RADIAN

if TYPE_CHECKING:
    from simview.eye.system import LightPath
    from simview.kit import Mount, Sky, Telescope

Array = NDArray[np.float64]
# Image of a star: share of its light per square arcsecond at a radius in arcsec.
Spread = Callable[[Array], Array]

# Independent patterns of speckles for each aperture that the usual wind goes; see `boiling_halo`.
PATTERNS_AN_APERTURE: Final = 3.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Blur:
    """The image of a single star in one view, from which any pair can be judged.

    Parameters
    ----------
    spread
        Its light per square arcsecond, the eye's scatter in it.
    width_arcsec
        Its full width at half maximum.
    aperture_mm
        Effective aperture.
    before_eye
        What telescope and air make of the star, before the eye's optics; None where not known.
    boiling
        Standard deviation of that light from moment to moment, in its unit; None without air.
    perceived
        The image as receptors and nerves pass it on, which blur it too; None where not known.
    perceived_arcsec
        Its full width at half maximum; None where it is not known.
    """

    spread: Spread
    width_arcsec: float
    aperture_mm: float
    before_eye: Spread | None = None
    boiling: Spread | None = None
    perceived: Spread | None = None
    perceived_arcsec: float | None = None


def blurred(
    spread: Spread,
    power: float,
    *,
    aperture_mm: float,
    age_years: float = 40.0,
    before_eye: Spread | None = None,
    boiling: Spread | None = None,
    perceived: Spread | None = None,
) -> Blur:
    """Return a star's image with the eye's scatter, measured once for many pairs.

    Parameters
    ----------
    spread
        A star's image by telescope, air and the eye's optics, without the eye's scatter.
    power
        Times.
    aperture_mm
        Of the telescope, as far as the eye uses it, mm.
    age_years
        Of the observer.
    before_eye
        The same before the eye's optics; None where it is not known.
    boiling
        How much of that differs from moment to moment; see `boiling_halo`.
    perceived
        The star's image as receptors and nerves pass it on, without the eye's scatter.
    """
    eye = (age_years, beam_pupil(aperture_mm / power))
    whole = _with_scatter(spread, power, eye, star_width(spread, aperture_mm))
    seen = perceived
    if seen is not None:
        seen = _with_scatter(seen, power, eye, star_width(seen, aperture_mm))
    return Blur(
        spread=whole,
        width_arcsec=star_width(whole, aperture_mm),
        aperture_mm=aperture_mm,
        before_eye=before_eye,
        boiling=boiling,
        perceived=seen,
        perceived_arcsec=None if seen is None else star_width(seen, aperture_mm),
    )


def boiling_halo(path: LightPath, reach_arcsec: float) -> Spread | None:
    """Return how much the light around a star differs from moment to moment.

    The air breaks the halo into speckles as large as the star's own disc, which come and go; a
    faint companion looks like one of them. In a moment as long as the eye's the wind carries n
    independent patterns past; what the air does not touch stands still. With I the mean light, C
    the perfect telescope's as far as the star's height is left of it,

        deviation = sqrt((I^2 - C^2) / n),   n = 1 + 3.7 apertures that the wind goes.

    Returns
    -------
    Standard deviation by radius in arcsec, 1/arcsec2; None where no moments are looked at.

    Notes
    -----
    Source: Goodman 1975, in Dainty (ed.), Laser Speckle, for speckles on a steady field; n fitted
    to moments drawn with 60 to 300 mm in 1 and 2 arcsec.
    Checked by: tests/truth/test_boiling_halo.py
    """
    from dataclasses import replace

    from simview.air.moments import travel_of

    if path.sky.air not in ("best", "typical", "short") or path.sky.seeing_arcsec == 0.0:
        return None
    seen = star_image(path, reach_arcsec, with_eye=False)
    still = star_image(
        replace(path, sky=replace(path.sky, air="none")), reach_arcsec, with_eye=False
    )
    left = float(seen(np.zeros(1))[0] / still(np.zeros(1))[0])
    patterns = 1.0 + PATTERNS_AN_APERTURE * travel_of(path.beam.aperture_mm * 1e-3)

    def deviation(radius_arcsec: Array) -> Array:
        light = seen(radius_arcsec)
        steady = np.minimum(left * still(radius_arcsec), light)
        return np.asarray(np.sqrt((light**2 - steady**2) / patterns))

    return deviation


def star_image(
    path: LightPath, reach_arcsec: float, *, with_eye: bool = True, nerves_arcmin: float = 0.0
) -> Spread:
    """Return the image of a star in one view, averaged over directions, as a function of radius.

    Telescope, air, mount and, unless `with_eye` is False, the eye's optics are in it; receptors
    and nerves only with `nerves_arcmin`, the standard deviation of their blur at the eye.
    """
    from simview.eye.optics import PERFECT_BELOW_MM

    beam = path.beam
    # Below that pupil the eye's optics take nothing, whatever the power: one image serves all.
    seen = with_eye and beam.used_pupil_mm > PERFECT_BELOW_MM
    at_the_eye = seen or nerves_arcmin > 0.0
    eye = (
        beam.used_pupil_mm if seen else 0.0,
        beam.power if at_the_eye else 1.0,
        nerves_arcmin,
    )
    radius, image = _radial(
        (path.scope, path.sky, path.mount), beam.aperture_mm, beam.obstruction, eye, reach_arcsec
    )
    reach = float(radius[-1])

    def spread(at: Array) -> Array:
        away = np.abs(at)
        inside = np.interp(away, radius, image)
        if away.max(initial=0.0) <= reach:
            return inside
        tail = image[-1] * (reach / np.maximum(away, reach)) ** 3
        return np.where(away <= reach, inside, tail)

    return spread


@lru_cache(maxsize=128)
def _radial(
    before: tuple[Telescope, Sky, Mount],
    aperture_mm: float,
    obstruction: float,
    eye: tuple[float, float, float],
    reach_arcsec: float,
) -> tuple[Array, Array]:
    """Return radii and a star's light there; `eye`: pupil in use (0: perfect), power, nerves."""
    from simview.eye.optics import star_transfer
    from simview.eye.transfer import transfer_curve

    kept = transfer_curve(*before, aperture_mm=aperture_mm, obstruction=obstruction)
    pupil_mm, power, nerves_arcmin = eye
    f = np.linspace(0.0, kept.cutoff_cycles_arcsec, len(kept.signed))
    optics = star_transfer(f * 3600.0 / power, pupil_mm) if pupil_mm else None
    if nerves_arcmin:
        blurred_by = np.exp(-2.0 * (np.pi * nerves_arcmin * 60.0 / power * f) ** 2)
        optics = blurred_by if optics is None else optics * blurred_by
    # Beyond 60 lambda/D the sampled curve no longer holds the pattern, and it is dark there.
    reach = min(max(reach_arcsec, 30.0 / kept.cutoff_cycles_arcsec), 60.0 / f[-1])
    radius, image = kept.spread(reach, 1501, with_eye=optics)
    image = np.maximum(image, 0.0)
    radius.setflags(write=False)
    image.setflags(write=False)
    return radius, image


def star_width(spread: Spread, aperture_mm: float) -> float:
    """Return the full width at half maximum of a star's image, arcsec."""
    reach = 1.03 * 550e-6 / aperture_mm * ARCSEC_PER_RADIAN
    for _ in range(20):
        r = np.linspace(0.0, reach, 801)
        image = spread(r)
        below = np.flatnonzero(image < image[0] / 2.0)
        if len(below):
            i = int(below[0])
            step = (image[i - 1] - image[0] / 2.0) / (image[i - 1] - image[i])
            return float(2.0 * (r[i - 1] + (r[i] - r[i - 1]) * step))
        reach *= 2.0
    return 2.0 * reach


def _with_scatter(
    spread: Spread, power: float, eye: tuple[float, float], width_arcsec: float
) -> Spread:
    """Add the light that the eye itself scatters around a star to its image.

    `eye`: its age in years, and the width in mm of the beam that enters it.

    The formula holds from 0.1 deg at the eye outwards, and only outside the image, which is no
    point for it; inside of both it levels off at its value there, faint beside any star's image.
    """
    first = math.hypot(VALID_DEG[0], width_arcsec * power / 3600.0)

    squares, veils = _veils(*eye)
    per_radius, inner = (power / 3600.0) ** 2, first**2
    on_the_sky = (power / ARCSEC_PER_RADIAN) ** 2

    def whole(radius_arcsec: Array) -> Array:
        held = radius_arcsec**2 * per_radius + inner
        return np.asarray(spread(radius_arcsec) + np.interp(held, squares, veils) * on_the_sky)

    return whole


# Angles of the table of scattered light: 0.34 % apart, so that what is read between two of them is
# within 3e-5 of the formula.
_ANGLES: Final = 2048


@lru_cache(maxsize=32)
def _veils(age_years: float, pupil_mm: float) -> tuple[Array, Array]:
    """Return squares of angles in deg, rising, and the veil that one lux spreads there, cd/m2.

    Each place along a pair is asked for many times, and the formula takes five times as long.
    """
    angles = np.geomspace(*VALID_DEG, _ANGLES)
    angles[[0, -1]] = VALID_DEG  # rounding must not leave the formula's range
    return angles**2, veil_per_lux(angles, age_years, pupil_mm=pupil_mm)
