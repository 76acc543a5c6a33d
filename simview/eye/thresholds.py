"""The faintest star and the faintest patch of light that an eye makes out.

Crumey's model of human contrast threshold: B is the luminance of the background *at the eye* of
the observers with whom thresholds were measured, the target's contrast is its excess over that
background. Other eyes, and eyes behind instruments, are held against theirs by the light on the
retina (`simview.eye.reference`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError
from simview.eye import reference
from simview.eye.reference import DARKEST_CD_M2
from simview.units import LUX_AT_V0

# Crumey 2014, eq. 28: coefficients of R(B) (his eq. 25) in steradian, for B in cd/m2.
A: Final = (5.949e-8, -2.389e-7, 2.459e-7, 4.120e-4, -4.225e-4)

# Crumey 2014, eq. 40: coefficients of the threshold contrast of a very large target (his eq. 39).
C: Final = (9.606e-6, -4.112e-5, 5.019e-5, 4.837e-3, -4.884e-3)

# Between these backgrounds (cd/m2) the fit lets the faintest star's light on the retina fall as the
# sky brightens, by up to a quarter through the pupil that closes meanwhile; no eye does that, so
# it is held there. The lower end was found by scanning eq. 28; at the upper the fit itself has come
# up to what is held.
HELD_CD_M2: Final = (0.0125538, 0.1223)

# What one eye costs (Crumey 2014, section 4; Campbell & Green 1965).
ONE_EYE: Final = math.sqrt(2.0)

# Spread of the frequency-of-seeing curve in units of the threshold. Blackwell 1946, J. Opt. Soc.
# Am. 36, 624: 90 % are seen at 1.62 times the 50 % contrast. (From memory.)
SEEING_SPREAD: Final = 0.48


@dataclass(frozen=True, slots=True, kw_only=True)
class Aid:
    """What stands between sky and eye, as far as thresholds care.

    Parameters
    ----------
    power
        Times; 1 for the naked eye.
    exit_pupil_mm
        Of the instrument; larger than the eye's pupil where the eye stops it down. For the naked
        eye the eye's own pupil.
    eye_pupil_mm
        The eye's own pupil.
    transmission
        Light that comes through, with the obstruction's shadow taken off, 0 to 1.
    eyes
        1 at a telescope, 2 behind a binocular or without an instrument.
    field_factor
        How much more light this observer needs than Blackwell's laboratory.
    age_years
        Of the eye, for its lens: 20 to 83.
    """

    power: float
    exit_pupil_mm: float
    eye_pupil_mm: float
    transmission: float = 1.0
    eyes: Literal[1, 2] = 1
    field_factor: float = 2.0
    age_years: float = reference.AGE_YEARS

    @property
    def used_pupil_mm(self) -> float:
        """What the eye sees through, mm."""
        return min(self.exit_pupil_mm, self.eye_pupil_mm)

    @property
    def factor(self) -> float:
        """Field factor times what one eye costs."""
        return self.field_factor * (ONE_EYE if self.eyes == 1 else 1.0)

    def background(self, sky_cd_m2: ArrayLike) -> NDArray[np.float64]:
        """Return the luminance at which thresholds are read for a sky of that luminance.

        That with which the published observers' retinas had the light that this one has. Crumey
        2014, eq. 66 says the same for eyes with those observers' own pupil.
        """
        light = np.asarray(sky_cd_m2, float) * self.transmission
        return reference.as_seen_by(light, self.used_pupil_mm, self.age_years)

    def surface_gain(self, background_cd_m2: ArrayLike) -> NDArray[np.float64]:
        """Return a surface's light on the retina over what the published observers got of it.

        `background_cd_m2`: from `background`.
        """
        seen = reference.gain(background_cd_m2, self.used_pupil_mm, self.age_years)
        return np.asarray(self.transmission * seen)

    def star_gain(self, background_cd_m2: ArrayLike) -> NDArray[np.float64]:
        """Return a star's light on the retina over what the published observers got of it."""
        return np.asarray(self.surface_gain(background_cd_m2) * self.power**2)


def point_area_sr(luminance_cd_m2: ArrayLike) -> NDArray[np.float64]:
    """Return R(B): threshold contrast times area of a small target, in steradian.

    Source: Crumey 2014, "Human contrast threshold and astronomical visibility", MNRAS 442, 2600,
    eq. 25; held where his fit is not monotone (see HELD_CD_M2) and below 1e-5 cd/m2.
    Checked by: tests/truth/test_eye_thresholds.py
    """
    b = _background(luminance_cd_m2)
    low, high = HELD_CD_M2
    flux = b * _fit(b, A) ** 2
    peak = low * _fit(np.asarray(low), A) ** 2
    held = peak * (reference.pupil_mm(low) / reference.pupil_mm(b)) ** 2
    flux = np.where((b > low) & (b < high), np.maximum(flux, held), flux)
    return np.asarray(flux / b)


def large_contrast(luminance_cd_m2: ArrayLike) -> NDArray[np.float64]:
    """Return the threshold contrast of a very large target. Source: Crumey 2014, eq. 39."""
    return _fit(_background(luminance_cd_m2), C)


def threshold_contrast(
    luminance_cd_m2: ArrayLike, area_sr: ArrayLike, *, field_factor: float = 1.0
) -> NDArray[np.float64]:
    """Return the contrast (excess over background) at which a uniform disc is just seen.

    Parameters
    ----------
    luminance_cd_m2
        Background at the eye, not negative.
    area_sr
        Apparent area of the target, steradian, more than 0; broadcasts.
    field_factor
        1 for two trained eyes in the laboratory; see `Aid.factor`.

    Notes
    -----
    Source: Crumey 2014, eq. 41 to 44, from Blackwell 1946 and Taylor 1960. Half of the trials
    are seen at this contrast.
    Checked by: tests/truth/test_eye_thresholds.py
    """
    b = _background(luminance_cd_m2)
    area = np.asarray(area_sr, dtype=np.float64)
    if not np.all(area > 0.0):
        raise RangeError("area_sr", got=area_sr, allowed="more than 0 sr")
    q = _summation(b)
    both = (point_area_sr(b) / area) ** q + large_contrast(b) ** q
    return np.asarray(field_factor * both ** (1.0 / q))


def threshold_lux(
    luminance_cd_m2: ArrayLike, *, field_factor: float = 1.0, area_sr: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Return the illuminance at the eye of the faintest star on a background at the eye.

    `area_sr` is the apparent area over which blur spreads the star, 0 for a point.

    Source: Crumey 2014, eq. 34: dI = F B R(B); with blur C(A, B) B A.
    """
    b = _background(luminance_cd_m2)
    area = np.asarray(area_sr, dtype=np.float64)
    q = _summation(b)
    summed = (point_area_sr(b) ** q + (large_contrast(b) * area) ** q) ** (1.0 / q)
    return np.asarray(field_factor * b * summed)


def star_lux(sky_cd_m2: ArrayLike, aid: Aid, *, area_sr: ArrayLike = 0.0) -> NDArray[np.float64]:
    """Return the illuminance at the instrument's front of the faintest star that it shows.

    Parameters
    ----------
    sky_cd_m2
        Luminance behind the star, before the instrument, not negative; any shape.
    area_sr
        Apparent area over which blur spreads the star, 0 for a point.

    Notes
    -----
    Held from the lower end of `HELD_CD_M2` on for each eye by itself: where cones take over from
    rods an old lens, or a narrow beam, costs less, and still no eye gains stars as a sky brightens.
    """
    background = aid.background(sky_cd_m2)
    least = _needed(background, aid, area_sr)
    low = HELD_CD_M2[0]
    if not np.any(background > low):
        return least
    one = np.ndim(area_sr) == 0
    held = _held(aid, float(area_sr)) if one else _needed(np.asarray(low), aid, area_sr)  # type: ignore[arg-type]
    return np.where(background > low, np.maximum(least, held), least)


def _needed(b: NDArray[np.float64], aid: Aid, area_sr: ArrayLike) -> NDArray[np.float64]:
    least = threshold_lux(b, field_factor=aid.factor, area_sr=area_sr)
    return np.asarray(least / aid.star_gain(b))


# Pairs of all separations are held at the same light.
@lru_cache(maxsize=128)
def _held(aid: Aid, area_sr: float) -> float:
    return float(_needed(np.asarray(HELD_CD_M2[0]), aid, area_sr))


def naked_eye_limit(
    luminance_cd_m2: ArrayLike, *, field_factor: float = 2.0
) -> NDArray[np.float64]:
    """Return the magnitude of the faintest star for two eyes under a sky of that luminance."""
    return _magnitude(threshold_lux(luminance_cd_m2, field_factor=field_factor))


def limiting_magnitude(sky_cd_m2: float, aid: Aid, *, blur_arcsec: float = 0.0) -> float:
    """Return the magnitude of the faintest star in this view, as bright as it stands at the ground.

    Parameters
    ----------
    sky_cd_m2
        Luminance of the sky at the object's place, before the instrument, not negative.
    aid
        The instrument and the eye behind it.
    blur_arcsec
        Diameter on the sky that holds half of a star's light (air and diffraction); 0 for a
        point. Under high power it spreads the star past what the eye sums.

    Returns
    -------
    float
        V magnitude without extinction; the caller takes off what the air takes.

    Notes
    -----
    Source: Crumey 2014, section 4. Checked by: tests/truth/test_eye_thresholds.py
    """
    blur = math.radians(blur_arcsec * aid.power / 3600.0)
    return float(_magnitude(star_lux(sky_cd_m2, aid, area_sr=math.pi / 4.0 * blur**2)))


def patch_visibility(
    excess_cd_m2: float, sky_cd_m2: float, aid: Aid, *, size_arcmin: tuple[float, float]
) -> float:
    """Return how far a galaxy or nebula stands above threshold: contrast over threshold contrast.

    Parameters
    ----------
    excess_cd_m2
        Its mean luminance over its size, at the ground, without the sky's.
    sky_cd_m2
        The sky's, at the same place, more than 0.
    size_arcmin
        Its two diameters on the sky.

    Returns
    -------
    float
        1 is just seen half of the time; below 1 it is not seen.

    Notes
    -----
    Source: Crumey 2014, section 4.3: power spreads it (area times power squared) and dims both
    it and the sky; its contrast stays.
    """
    return float(patches_visibility(np.asarray(excess_cd_m2), sky_cd_m2, aid, size_arcmin))


def patches_visibility(
    excess_cd_m2: NDArray[np.float64],
    sky_cd_m2: float,
    aid: Aid,
    size_arcmin: tuple[ArrayLike, ArrayLike],
) -> NDArray[np.float64]:
    """Return `patch_visibility` of each of several lights, which have each a size or all one."""
    wide, high = (np.radians(np.multiply(side, aid.power / 60.0)) for side in size_arcmin)
    area = np.minimum(math.pi / 4.0 * wide * high, 2.0 * math.pi)
    # The dark-adapted eye adds a light of its own; below it contrast no longer counts.
    background = max(float(aid.background(sky_cd_m2)), DARKEST_CD_M2)
    contrast = excess_cd_m2 * (float(aid.surface_gain(background)) / background)
    return contrast / threshold_contrast(background, area, field_factor=aid.factor)


def seen_fraction(above_threshold: ArrayLike) -> NDArray[np.float64]:
    """Return how often a light is seen at `above_threshold` times its threshold, 0 to 1.

    A normal ogive through one half at 1, taken down to 0 for no light at all: it fades stars out
    near the limit instead of cutting them off.

    Source: Blackwell 1946 (see SEEING_SPREAD).
    """
    guess = _normal(np.array(-1.0 / SEEING_SPREAD))
    raw = _normal((np.asarray(above_threshold, dtype=np.float64) - 1.0) / SEEING_SPREAD)
    return np.asarray(np.clip((raw - guess) / (1.0 - guess), 0.0, 1.0))


def _normal(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return which share of a normal distribution lies below x."""
    share = [0.5 * math.erfc(-one) for one in (x / math.sqrt(2.0)).ravel().tolist()]
    return np.array(share).reshape(x.shape)


def _background(luminance_cd_m2: ArrayLike) -> NDArray[np.float64]:
    b = np.asarray(luminance_cd_m2, dtype=np.float64)
    if not (np.all(b >= 0.0) and np.all(np.isfinite(b))):
        raise RangeError("luminance_cd_m2", got=luminance_cd_m2, allowed="0 and more, in cd/m2")
    return np.maximum(b, DARKEST_CD_M2)


def _fit(b: NDArray[np.float64], k: tuple[float, ...]) -> NDArray[np.float64]:
    x = b**-0.25
    return np.asarray(np.sqrt(k[0] * x**2 + k[1] * x + k[2]) + k[3] * x + k[4])


def _summation(b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Crumey 2014, eq. 42 to 44: how the small-target and large-target laws join."""
    log = np.log10(b)
    middle = 0.8861 + 0.4 * log
    return np.where(b < 0.193, 0.6, np.where(b < 3.40, middle, 1.146 - 0.0885 * log))


def _magnitude(lux: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(-2.5 * np.log10(lux / LUX_AT_V0))
