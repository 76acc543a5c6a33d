"""Wavefront errors that are no polynomials: edges, zones, roughness, warm air.

Each is a frozen record with its strength in waves at 550 nm and a `path` over the full circle.
Positive means a surface that stands too high on a mirror (its light arrives early); on a lens
the same wavefront.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float64]


class Term(Protocol):
    """A wavefront error over the full circle."""

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm at points in radii of the full circle."""
        ...

    def __hash__(self) -> int: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedEdge:
    """The rim bent down (negative) or up (positive): a parabola from where the bend begins.

    Parameters
    ----------
    waves
        At the very rim.
    width
        Of the bend, against the radius, 0.01 to 1.

    Notes
    -----
    Source of the form: common practice, no source; the bend begins without a kink.
    """

    waves: float
    width: float = 0.08

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm."""
        beyond = np.maximum((np.hypot(x, y) - (1.0 - self.width)) / self.width, 0.0)
        return np.asarray(self.waves * beyond**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A ring that stands too high (positive) or too low: a smooth hump across the radius.

    Parameters
    ----------
    waves
        Of its crest.
    radius
        Of the crest, against the full radius, 0 to 1.
    width
        Of the hump at half its height, 0.02 to 1.

    Notes
    -----
    Source of the form: common practice, no source (half a period of cosine squared).
    """

    waves: float
    radius: float = 0.6
    width: float = 0.15

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm."""
        off = np.minimum(np.abs(np.hypot(x, y) - self.radius) / self.width, 1.0)
        return np.asarray(self.waves * np.cos(0.5 * math.pi * off) ** 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plume:
    """Warm air that rises from a direction's middle to the rim: a ridge that fades in.

    Parameters
    ----------
    waves
        Of the ridge at the rim.
    angle_deg
        Where it leads, 90 is upwards.
    width
        Of the ridge at half its height, against the radius.

    Warm air is thinner and its light early: positive. Source of the form: common practice, no
    source.
    """

    waves: float
    angle_deg: float = 90.0
    width: float = 0.5

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm."""
        angle = math.radians(self.angle_deg)
        along = x * math.cos(angle) + y * math.sin(angle)
        across = y * math.cos(angle) - x * math.sin(angle)
        ridge = np.exp(-4.0 * math.log(2.0) * (across / self.width) ** 2)
        rise = np.clip((along + 0.2) / 1.2, 0.0, 1.0)
        return np.asarray(self.waves * ridge * rise**2 * (3.0 - 2.0 * rise))


@dataclass(frozen=True, slots=True, kw_only=True)
class Roughness:
    """Fine random error of the surface with a power law.

    Parameters
    ----------
    waves
        Peak-to-valley over the full circle, or RMS where `rms` is set; not negative.
    slope
        Power of the spectrum falls as frequency to minus this, 0 to 6; ground and polished
        glass lies near 2.5.
    finest, coarsest
        Ripples across the diameter.
    seed
        Which roughness.

    Notes
    -----
    Source: power laws of polished surfaces, Church 1988, Applied Optics 27, 1518. The band is
    ours.
    """

    waves: float
    slope: float = 2.5
    coarsest: float = 5.0
    finest: float = 40.0
    seed: int = 1
    rms: bool = False

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm."""
        from scipy.ndimage import map_coordinates

        height, peak_to_valley = _rough(self.slope, self.coarsest, self.finest, self.seed)
        x, y = np.broadcast_arrays(x, y)
        place = np.stack((y, x)) * (_ROUGH_GRID / _ROUGH_PERIOD)
        shape = map_coordinates(height, place, order=3, mode="grid-wrap", prefilter=False)
        return np.asarray(self.waves / (1.0 if self.rms else peak_to_valley) * shape)


# Roughness is drawn once on a periodic grid: its samples across, its period in pupil radii.
_ROUGH_GRID: Final = 512
_ROUGH_PERIOD: Final = 2.5


@lru_cache(maxsize=8)
def _rough(slope: float, coarsest: float, finest: float, seed: int) -> tuple[Plane, float]:
    """Return spline coefficients of a rough surface and its peak-to-valley over the unit disc.

    Its RMS over the disc is 1, its mean 0.
    """
    from scipy.ndimage import map_coordinates, spline_filter

    rng = np.random.default_rng(seed)
    white = np.fft.rfft2(rng.standard_normal((_ROUGH_GRID, _ROUGH_GRID)))
    fy = np.fft.fftfreq(_ROUGH_GRID, _ROUGH_PERIOD / _ROUGH_GRID)[:, None]
    fx = np.fft.rfftfreq(_ROUGH_GRID, _ROUGH_PERIOD / _ROUGH_GRID)[None, :]
    ripples = 2.0 * np.hypot(fx, fy)  # across the diameter
    band = (ripples >= coarsest) & (ripples <= finest)
    fall = np.where(band, np.maximum(ripples, coarsest) ** (-slope / 2.0), 0.0)
    height = np.fft.irfft2(white * fall, s=(_ROUGH_GRID, _ROUGH_GRID))
    smooth = spline_filter(height, order=3, mode="grid-wrap")
    x = (np.arange(400) + 0.5) / 200.0 - 1.0
    x, y = np.broadcast_arrays(x[None, :], x[:, None])
    inside = x * x + y * y <= 1.0
    place = np.stack((y[inside], x[inside])) * (_ROUGH_GRID / _ROUGH_PERIOD)
    seen = map_coordinates(smooth, place, order=3, mode="grid-wrap", prefilter=False)
    return (smooth - seen.mean()) / seen.std(), float(np.ptp(seen) / seen.std())


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """What ails a telescope beyond its `Wavefront`; all lengths against the full aperture.

    Parameters
    ----------
    terms
        Errors of the wavefront that are no polynomials.
    shadow_x, shadow_y
        Where the secondary's shadow stands off the centre, in radii, to the right and upwards.
    clips, clip_width, clip_depth
        Mirror clips at the rim: their number, width and reach against the aperture.
    lit_x, lit_y, lit_radius
        Middle and radius of the circle whose light the second mirror takes in, in radii; a radius
        of 0 is all of it.
    clear
        Share of the light that droplets on the glass leave on its way; the rest is lost or
        scattered farther than any picture of a star reaches.
    obstruction
        Diameter of an over-large secondary, or None for the telescope's own.
    wedge_arcmin, wedge_angle_deg
        Angle of a crown wedge in front of the aperture, and where it moves blue light.
    colour_waves
        Defocus of F (486 nm) against C (656 nm), waves at 550 nm, beyond the glasses' own;
        positive when blue focuses nearer the objective.
    """

    terms: tuple[Term, ...] = ()
    shadow_x: float = 0.0
    shadow_y: float = 0.0
    clips: int = 0
    clip_width: float = 0.0
    clip_depth: float = 0.0
    lit_x: float = 0.0
    lit_y: float = 0.0
    lit_radius: float = 0.0
    clear: float = 1.0
    obstruction: float | None = None
    wedge_arcmin: float = 0.0
    wedge_angle_deg: float = 0.0
    colour_waves: float = 0.0


# No extras: a telescope as its kit says.
NO_EXTRAS: Final = Extras()
