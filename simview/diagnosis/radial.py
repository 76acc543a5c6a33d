"""Where to start: defocus, scale, blur and spherical aberration from the mean over rings.

Averaged over rings, a star out of focus is that of a round telescope, well enough to start from:
a line of numbers instead of a picture, so that the whole range of what may be can be tried. The
size of the disc ties scale and defocus together; which of them it is, the rings tell.

Source: Hankel transform of a round pupil, Born & Wolf, section 8.8.
Checked by: tests/unit/diagnosis/test_radial.py
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.model import Plate
from simview.kit import Telescope
from simview.telescope.opening import REFERENCE_NM, defocus_by_colour, stop_for
from simview.units import ARCSEC_PER_RADIAN

Vector = NDArray[np.float64]
Array = NDArray[Any]

# What is tried: waves of defocus; spherical aberration, waves RMS (Noll 11); blur against the
# disc's radius. Choices: as fine as a fit from the best of them needs.
_DEFOCUS: Final = tuple(np.geomspace(1.2, 18.0, 34))
_SPHERICAL: Final = tuple(np.linspace(-0.16, 0.16, 9))
_BLURS: Final = (0.02, 0.06, 0.12, 0.2, 0.32)

# Rings of the profile, samples across the pupil's radius.
_RINGS: Final = 56
_PUPIL: Final = 140


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """Numbers to start a fit from.

    Parameters
    ----------
    defocus
        Waves at 550 nm, always positive: `spherical` is that of a picture outside focus.
    spherical
        Noll 11, waves RMS.
    pixel_arcsec
        Of the working grid.
    blur
        As the model's, pixels.
    misfit
        Root mean square of what is left, against the disc's brightness.
    """

    defocus: float
    spherical: float
    pixel_arcsec: float
    blur: float
    misfit: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """A picture's mean over rings.

    Parameters
    ----------
    radius, value, weight
        (r,) pixels, light, and how many pixels are in it.
    spread
        Root mean square distance of the light from its middle, pixels.
    """

    radius: Vector
    value: Vector
    weight: Vector
    spread: float


def profile_of(plate: Plate) -> Profile:
    """Return the profile of a picture's middle channel around the middle of its light."""
    plane = plate.data[len(plate.data) // 2]
    use = plate.use[len(plate.data) // 2]
    light = np.where(use, np.maximum(plane, 0.0), 0.0)
    pixels = plate.pixels
    side = np.arange(pixels) - (pixels - 1) / 2.0
    total = float(light.sum())
    x = float((light.sum(axis=0) * side).sum()) / total
    y = float((light.sum(axis=1) * side).sum()) / total
    radius = np.hypot(side[None, :] - x, side[:, None] - y)
    spread = math.sqrt(float((light * radius**2).sum()) / total)
    edge = min(2.3 * spread, pixels / 2.0)
    ring = np.floor(radius / edge * _RINGS).astype(int)
    keep = use & (ring < _RINGS)
    count = np.bincount(ring[keep], minlength=_RINGS).astype(np.float64)
    safe = np.maximum(count, 1.0)
    value = np.bincount(ring[keep], weights=plane[keep], minlength=_RINGS) / safe
    middle = np.bincount(ring[keep], weights=radius[keep], minlength=_RINGS) / safe
    return Profile(radius=middle, value=value, weight=count, spread=spread)


def guesses(scope: Telescope, plate: Plate, sign: int, *, keep: int = 5) -> list[Guess]:
    """Return the best starts for a picture, best first, no two alike.

    Parameters
    ----------
    sign
        -1 inside focus, 1 outside.
    """
    profile = profile_of(plate)
    band = plate.bands[len(plate.bands) // 2]
    stop = stop_for(scope)
    waves = np.array(band.wavelengths_nm)
    glass = defocus_by_colour(scope, stop, waves, 0.0)
    light = [
        (REFERENCE_NM / wave, share, wave * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN, own)
        for wave, share, own in zip(waves, band.weights, glass, strict=True)
    ]
    unit = REFERENCE_NM * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN
    tried = _tried(profile, light, unit, stop.obstruction, sign)
    tried.sort(key=lambda guess: guess.misfit)
    kept: list[Guess] = []
    for guess in tried:
        if all(
            abs(math.log(guess.defocus / other.defocus)) > 0.17
            or abs(guess.spherical - other.spherical) > 0.05
            for other in kept
        ):
            kept.append(guess)
        if len(kept) == keep:
            break
    return kept


def ray_spread(defocus: float, spherical: float, obstruction: float) -> float:
    """Return the root mean square distance of light from the middle, wavelengths / diameter.

    By rays: each goes where the wavefront's slope sends it.
    """
    rho = np.sqrt(np.linspace(obstruction**2, 1.0, 200))
    slope = 2.0 * defocus * rho + spherical * math.sqrt(5.0) * (24.0 * rho**3 - 12.0 * rho)
    return float(np.sqrt((slope**2).mean()) * 2.0)


def _tried(
    profile: Profile,
    light: list[tuple[float, float, float, float]],
    unit: float,
    obstruction: float,
    sign: int,
) -> list[Guess]:
    """Return all that is tried, with what each leaves."""
    pairs = [(sign * w, s) for w in _DEFOCUS for s in _SPHERICAL]
    fields = [_fields(pairs, ratio, glass, obstruction) for ratio, _, _, glass in light]
    rays = np.array([ray_spread(w, s, obstruction) for w, s in pairs])
    good = profile.weight > 0
    fine = np.linspace(0.0, float(profile.radius.max()), 3 * _RINGS)
    root = np.sqrt(profile.weight[good])
    value = profile.value[good]
    power = float((value**2 * root**2).sum() / (value * root**2).sum())
    grid = _angles()
    answer = []
    for blur in _BLURS:
        width = blur * math.sqrt(2.0) * profile.spread
        # The blur widens the disc: 0.2 of the model's blur is the Gaussian width it comes to.
        own = max(profile.spread**2 - 2.0 * (0.2 * width) ** 2, 0.2 * profile.spread**2)
        pixels = unit * rays / math.sqrt(own)
        smooth = _smoothing(fine, profile.radius[good], max(0.2 * width, 0.3 * float(fine[1])))
        models = np.zeros((len(pairs), len(fine)))
        for (_, share, scale, _), field in zip(light, fields, strict=True):
            for k, pixel in enumerate(pixels):
                models[k] += share * np.interp(fine * (pixel / scale), grid, field[k])
        misfits = _misfits(models @ smooth.T * root, value * root, root, power)
        answer += [
            Guess(defocus=abs(w), spherical=s, pixel_arcsec=float(p), blur=width, misfit=float(m))
            for (w, s), p, m in zip(pairs, pixels, misfits, strict=True)
        ]
    return answer


def _misfits(models: Array, data: Vector, root: Vector, power: float) -> Vector:
    """Return what each model, at its best brightness and sky, leaves against the brightness."""
    count = float((root**2).sum())
    mm, mr, rr = (models**2).sum(axis=1), models @ root, count
    md, rd, dd = models @ data, float(root @ data), float(data @ data)
    det = np.maximum(mm * rr - mr**2, 1e-30)
    light = (md * rr - rd * mr) / det
    sky = (rd * mm - md * mr) / det
    left = dd - light * md - sky * rd
    misfit = np.sqrt(np.maximum(left, 0.0) / count) / max(power, 1e-9)
    return np.asarray(np.where(light > 0.0, misfit, math.inf))


def _smoothing(fine: Vector, places: Vector, sigma: float) -> Array:
    """Return the matrix (places, fine) that blurs a round pattern, near enough for a start.

    Weights of a Gaussian across the radius, each ring by its length.
    """
    off = (places[:, None] - fine[None, :]) / sigma
    back = (places[:, None] + fine[None, :]) / sigma
    weight = (np.exp(-0.5 * off**2) + np.exp(-0.5 * back**2)) * (fine[None, :] + fine[1])
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def _angles() -> Vector:
    """Return the fixed grid of angles, wavelength / diameter."""
    return np.linspace(0.0, 110.0, 440)


@lru_cache(maxsize=4)
def _transform(obstruction: float) -> tuple[Vector, Vector, Array]:
    """Return radii in the pupil, Noll 11 there, and the transform onto the grid of angles."""
    from scipy.special import j0

    edges = np.linspace(obstruction, 1.0, _PUPIL + 1)
    rho = 0.5 * (edges[1:] + edges[:-1])
    area = 2.0 * rho * np.diff(edges) / (1.0 - obstruction**2)
    shape = math.sqrt(5.0) * (6.0 * rho**4 - 6.0 * rho**2 + 1.0)
    matrix = (j0(np.pi * np.outer(_angles(), rho)) * area[None, :]).astype(np.float32)
    return rho, shape, matrix


def _fields(
    pairs: list[tuple[float, float]], ratio: float, glass: float, obstruction: float
) -> Array:
    """Return the pattern of each pair (defocus, spherical) on the grid of angles."""
    rho, shape, matrix = _transform(obstruction)
    defocus = np.array([ratio * w + glass for w, _ in pairs])
    spherical = np.array([ratio * s for _, s in pairs])
    path = np.outer(rho**2, defocus) + np.outer(shape, spherical)
    real = matrix @ np.cos(2.0 * np.pi * path).astype(np.float32)
    imaginary = matrix @ np.sin(2.0 * np.pi * path).astype(np.float32)
    return np.asarray((real**2 + imaginary**2).T)
