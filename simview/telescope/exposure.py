"""One exposure: a telescope at one setting, put onto one grid fine enough to sample it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.errors import SimviewError
from simview.glass import LINE_C, LINE_F, dispersion, index
from simview.kit import Telescope
from simview.telescope.opening import (
    LEAST_SAMPLES,
    REFERENCE_NM,
    Opening,
    Stop,
    defocus_by_colour,
    opening,
    samples_for,
    steepest,
)
from simview.telescope.terms import NO_EXTRAS, Extras
from simview.units import ARCSEC_PER_RADIAN

Engine = Literal["native", "poppy"]
ENGINES: Final = ("native", "poppy")
Vector = NDArray[np.float64]
Stack = NDArray[Any]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Setting:
    """All that decides a star's image before it falls on pixels.

    Parameters
    ----------
    waves
        (n,) wavelengths, nm.
    colour
        (n,) defocus of each in waves at that wavelength, at the opening's edge.
    extras
        What ails the telescope beyond its `Wavefront`.
    screen_nm
        (s, s) path error of the air over the opening, or None.
    least_samples
        Pupil samples across at least.
    """

    scope: Telescope
    stop: Stop
    waves: Vector
    colour: Vector
    extras: Extras = NO_EXTRAS
    screen_nm: NDArray[np.float64] | None = None
    precise: bool = False
    engine: Engine = "native"
    least_samples: int = LEAST_SAMPLES

    @property
    def unit_arcsec(self) -> Vector:
        """Wavelength / aperture for each wavelength."""
        return self.waves * (1e-6 / self.stop.aperture_mm * ARCSEC_PER_RADIAN)

    def slope(self) -> float:
        """Return the steepest slope in waves per diameter at the shortest wavelength.

        By geometry it is how far the wavefront throws light, in that wavelength / aperture.
        """
        slope = 2.0 * steepest(self.scope.wavefront, self.stop.crop, self.extras.terms)
        slope += _screen_slope(self.screen_nm)
        slope *= REFERENCE_NM / float(self.waves.min())
        slope += 2.0 * float(np.abs(self.tilt()).max())
        return slope + 4.0 * float(np.abs(self.colour).max())

    def tilt(self) -> Vector:
        """Return (n, 2): each colour's slope to the right and upwards, its own waves per radius.

        A wedge of crown glass turns light by (n - 1) times its angle; what all colours share is
        left out.
        """
        if not self.extras.wedge_arcmin:
            return np.zeros((len(self.waves), 2))
        wedge = self.extras.wedge_arcmin * 60.0 / ARCSEC_PER_RADIAN
        spread = index("BK7", LINE_F) - index("BK7", LINE_C)
        turn = wedge * spread * dispersion(self.waves)  # radians, towards the blue side
        waves = turn * self.stop.aperture_mm / 2.0 / (self.waves * 1e-6)
        angle = np.radians(self.extras.wedge_angle_deg)
        return np.stack((waves * np.cos(angle), waves * np.sin(angle)), axis=1)

    def front(self, half_arcsec: float) -> Opening:
        """Return the pupil, sampled as a grid of that half-width and the wavefront need."""
        reach = half_arcsec / float(self.unit_arcsec.min())
        samples = samples_for(reach, self.slope(), self.least_samples)
        return opening(
            self.stop,
            self.scope.wavefront,
            samples,
            terms=self.extras.terms,
            screen_nm=self.screen_nm,
            lopsided=self.extras.wedge_arcmin != 0.0,
        )

    def field(self, front: Opening, amplitude: Stack, k: int) -> Stack:
        """Return the field in the pupil at one wavelength; see `Opening.field`."""
        ratio = REFERENCE_NM / float(self.waves[k])
        if front.x is None:
            return front.field(amplitude, ratio, float(self.colour[k]))
        right, up = self.tilt()[k]
        return front.field(amplitude, ratio, float(self.colour[k]), (float(right), float(up)))


def exposure(
    scope: Telescope,
    stop: Stop,
    waves: Vector,
    defocus_waves: float,
    *,
    extras: Extras = NO_EXTRAS,
    **how: Any,
) -> Setting:
    """Return the exposure of a telescope focused for white light, moved by `defocus_waves`.

    Parameters
    ----------
    scope, stop
        The telescope, and what part of its opening is in effect.
    waves
        Wavelengths, nm.
    defocus_waves
        Of the eyepiece against the best focus for white light, 550 nm, over the full circle.
    extras
        Errors that are no polynomials.
    how
        As in `Setting`.
    """
    colour = defocus_by_colour(scope, stop, waves, defocus_waves, extras.colour_waves)
    return Setting(scope=scope, stop=stop, waves=waves, colour=colour, extras=extras, **how)


def checked_screen(screen_nm: NDArray[Any] | None) -> NDArray[np.float64] | None:
    """Return a screen as float64 if it is a square of finite numbers.

    Raises
    ------
    SimviewError
        When it is not.
    """
    if screen_nm is None:
        return None
    screen = np.asarray(screen_nm, dtype=np.float64)
    square = screen.ndim == 2 and screen.shape[0] == screen.shape[1] >= 8
    if not square or not np.isfinite(screen).all():
        raise SimviewError(
            "screen_nm",
            got=f"an array of shape {screen.shape}",
            allowed="a square of finite numbers, at least 8 x 8",
        )
    return screen


def _screen_slope(screen_nm: NDArray[np.float64] | None) -> float:
    """Return the steepest slope of a screen in waves at 550 nm per diameter."""
    if screen_nm is None:
        return 0.0
    steps = max(float(np.abs(np.diff(screen_nm, axis=a)).max()) for a in (0, 1))
    return steps * len(screen_nm) / REFERENCE_NM
