"""What the light passes at one setting: open pupil, path error, colour defocus, sampling."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, RangeError, require_range
from simview.kit import Telescope, Wavefront
from simview.telescope.glass import best_visual_focus_mm, shifts_mm
from simview.telescope.pupil import axis, pupil
from simview.telescope.wavefront import path_at, path_waves

Plane = NDArray[np.float64]

# Wavelength of all wavefront coefficients, nm.
REFERENCE_NM: Final = 550.0

# Pupil samples across the diameter: what is used at least, what is allowed at most.
# 256 grey samples hold the pattern within 1e-6 of its peak (tests/truth/test_airy.py).
LEAST_SAMPLES: Final = 256
MOST_SAMPLES: Final = 2048


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A sampled pupil, ready for the transform.

    Parameters
    ----------
    amplitude
        (n, n) open fraction of each sample.
    path
        (n, n) path error in waves at 550 nm.
    even_y, even_x
        Whether both are mirror-symmetric up-down, left-right.
    """

    amplitude: Plane
    path: Plane
    even_y: bool
    even_x: bool

    @property
    def samples(self) -> int:
        """Samples across the diameter."""
        return int(self.amplitude.shape[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The effective opening of a telescope: its diameter and what hides in front of it."""

    aperture_mm: float
    obstruction: float
    vane_ratio: float
    crop: float

    @property
    def open_fraction(self) -> float:
        """Open area against the full circle of this diameter, vanes left in."""
        return 1.0 - self.obstruction**2


def stop_for(
    scope: Telescope, aperture_mm: float | None = None, obstruction: float | None = None
) -> Stop:
    """Return the opening that is in effect.

    Parameters
    ----------
    aperture_mm
        Effective aperture, when the eye stops the telescope down; None for the working one.
    obstruction
        Diameter of the secondary against *that* aperture; None computes it.

    Raises
    ------
    RangeError, FitError
        When the aperture is larger than the telescope's or all of it lies in the shadow.
    """
    full = scope.working_aperture_mm
    diameter = full if aperture_mm is None else float(aperture_mm)
    require_range("effective aperture_mm", diameter, 0.1, full * (1.0 + 1e-9), unit="mm")
    shadow = scope.obstruction * scope.aperture_mm / diameter
    shadow = shadow if obstruction is None else float(obstruction)
    if not 0.0 <= shadow <= 0.98:
        raise FitError(
            "effective aperture",
            got=f"{diameter:g} mm, {100 * shadow:.0f} % of its width in the secondary's shadow",
            allowed="a shadow up to 98 % of the width",
            remedy="use a higher power",
        )
    vane = min(scope.vane_mm / diameter, 0.5) if scope.vanes else 0.0
    crop = diameter / scope.aperture_mm
    return Stop(aperture_mm=diameter, obstruction=shadow, vane_ratio=vane, crop=crop)


@lru_cache(maxsize=8)
def opening(stop: Stop, vanes: int, wavefront: Wavefront, samples: int) -> Opening:
    """Return the sampled pupil and path error of a telescope, kept between calls."""
    mask = pupil(samples, obstruction=stop.obstruction, vanes=vanes, vane_ratio=stop.vane_ratio)
    path = path_waves(wavefront, samples, crop=stop.crop)
    path.setflags(write=False)
    return symmetric(mask, path)


def symmetric(amplitude: Plane, path: Plane) -> Opening:
    """Return the two maps with their mirror symmetries found out (within 1e-9 waves)."""

    def even(flip: slice | tuple[slice, slice]) -> bool:
        return bool(
            np.allclose(amplitude, amplitude[flip], rtol=0.0, atol=1e-9)
            and np.allclose(path, path[flip], rtol=0.0, atol=1e-9)
        )

    back = slice(None, None, -1)
    return Opening(
        amplitude=amplitude, path=path, even_y=even(back), even_x=even((slice(None), back))
    )


def radius_squared(samples: int) -> Plane:
    """Return r^2 of each sample, in radii of the effective opening."""
    x = axis(samples)
    return np.asarray(x[None, :] ** 2 + x[:, None] ** 2)


def defocus_by_colour(
    scope: Telescope, stop: Stop, wavelengths_nm: NDArray[np.float64], defocus_waves: float
) -> NDArray[np.float64]:
    """Return the defocus of each colour in waves *at that wavelength* at the effective edge.

    The eyepiece is where white light looks sharpest (`glass.best_visual_focus_mm`), moved by
    `defocus_waves` (550 nm, over the full circle). A colour whose focus lies farther out is
    seen from inside its focus: negative defocus.
    """
    own = shifts_mm(scope, wavelengths_nm) - best_visual_focus_mm(scope)
    ratio = scope.focal_length_mm / stop.aperture_mm
    colour = -own / (8.0 * ratio**2 * wavelengths_nm * 1e-6)
    travel = defocus_waves * stop.crop**2 * REFERENCE_NM / wavelengths_nm
    return np.asarray(colour + travel)


@lru_cache(maxsize=64)
def steepest(wavefront: Wavefront, crop: float) -> float:
    """Return the steepest slope of the path over the opening, waves at 550 nm per radius."""
    x = axis(96)[None, :] * crop
    path = path_at(wavefront, x, -x.T)
    up, right = (np.asarray(g) for g in np.gradient(path, 2.0 / 96))
    inside = x**2 + x.T**2 <= (1.02 * crop) ** 2
    return float(max(np.abs(up[inside]).max(), np.abs(right[inside]).max()))


def samples_for(half_extent: float, slope: float) -> int:
    """Return how many pupil samples a grid and a wavefront need.

    Parameters
    ----------
    half_extent
        From the grid's centre to its edge, in wavelength / diameter.
    slope
        Steepest wavefront slope in waves per *diameter*: how far from the centre, in
        wavelength / diameter, that slope throws light.

    Raises
    ------
    RangeError
        When it is more than `MOST_SAMPLES`: the pattern would fold back onto itself.
    """
    need = max(LEAST_SAMPLES, 2.6 * half_extent + 2.3 * slope)
    if need > MOST_SAMPLES:
        raise RangeError(
            "grid and wavefront",
            got=f"half-width {half_extent:.0f}, slope {slope:.0f} wavelengths/aperture",
            allowed=f"2.6 half-width + 2.3 slope up to {MOST_SAMPLES}",
            remedy="take a smaller grid or a weaker fault",
        )
    step = 64 if need <= 1024 else 256
    return int(-(-need // step) * step)
