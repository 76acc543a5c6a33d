"""The point spread: where the light of a star goes.

`spread_stack` gives one plane a wavelength for the light path; `point_spread` gives a star as
it looks, with its figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, SimviewError, require_choice, require_range
from simview.kit import Telescope
from simview.telescope import fourier
from simview.telescope.opening import (
    REFERENCE_NM,
    Opening,
    Stop,
    defocus_by_colour,
    opening,
    samples_for,
    steepest,
    stop_for,
)
from simview.units import ARCSEC_PER_RADIAN

Engine = Literal["native", "poppy"]
Stack = NDArray[Any]

# Fine pixels across that are computed at most for one pattern; beyond them the far wing's
# mean is filled in. 2048 reach 340 wavelengths / aperture to each side.
MOST_FINE: Final = 2048


def spread_stack(  # noqa: PLR0913 (the settings of one exposure)
    scope: Telescope,
    *,
    wavelengths_nm: Sequence[float] | NDArray[np.float64],
    pixel_arcsec: float,
    pixels: int,
    aperture_mm: float | None = None,
    obstruction: float | None = None,
    defocus_waves: float = 0.0,
    screen_nm: NDArray[np.float64] | None = None,
    precise: bool = False,
    engine: Engine = "native",
) -> Stack:
    """Return the point spread at each wavelength.

    Parameters
    ----------
    wavelengths_nm
        (n,) 350 to 1000 nm.
    pixel_arcsec
        Side of a pixel on the sky.
    pixels
        Pixels across, 2 to 4096; the star stands on pixel ``pixels // 2``.
    aperture_mm, obstruction
        Effective aperture where the eye stops the telescope down, and the secondary's diameter
        against it. The wavefront stays that of the full aperture, cropped, not re-balanced.
    defocus_waves
        Eyepiece travel in waves (peak-to-valley over the full circle, 550 nm) added to the
        wavefront's own; positive is outside focus.
    screen_nm
        (s, s) path error of the air in nm over the effective aperture.
    precise
        Compute in float64 (error of the arithmetic 1e-14 of the peak instead of 1e-6).
    engine
        "native" or "poppy".

    Returns
    -------
    numpy.ndarray
        (n, pixels, pixels) float32, or float64 when `precise` or by poppy. Each plane sums to
        the fraction of the light through the pupil that falls on the grid. Pixels of half a
        wavelength / aperture or less hold the pattern at their centre times their area; larger
        ones hold the light that falls on their area.

    Raises
    ------
    SimviewError
        When a value is out of range or the pattern cannot be sampled.

    Source: Fraunhofer diffraction, Born & Wolf, Principles of Optics, section 8.3.
    Checked by: tests/truth/test_airy.py, tests/truth/test_annular_pattern.py
    """
    waves = _checked(wavelengths_nm, pixel_arcsec, pixels)
    require_choice("engine", engine, ("native", "poppy"))
    require_range("defocus_waves", defocus_waves, -60.0, 60.0, unit="waves")
    stop = stop_for(scope, aperture_mm, obstruction)
    colour = defocus_by_colour(scope, stop, waves, defocus_waves)
    unit = waves * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN  # wavelength / aperture, arcsec
    division = _division(pixel_arcsec, float(unit.min()))
    coarse = _computed(pixels, division)
    fine = coarse * division
    front = _front(scope, stop, waves, colour, fine * pixel_arcsec / division / 2.0, screen_nm)
    steps = pixel_arcsec / division / unit
    if engine == "poppy":
        from simview.telescope.poppy_bridge import poppy_stack

        stack = poppy_stack(front, stop, waves, colour, pixel_arcsec / division, fine)
    else:
        stack = _native_stack(front, colour, waves, steps, fine, precise)
    return _finish(stack, stop, unit, pixel_arcsec, pixels, division)


def _checked(
    wavelengths_nm: Sequence[float] | NDArray[np.float64], pixel_arcsec: float, pixels: int
) -> NDArray[np.float64]:
    waves = np.asarray(wavelengths_nm, dtype=np.float64)
    if waves.ndim != 1 or waves.size == 0:
        raise SimviewError("wavelengths_nm", got=wavelengths_nm, allowed="a list of wavelengths")
    for wave in waves:
        require_range("wavelength_nm", float(wave), 350.0, 1000.0, unit="nm")
    require_range("pixel_arcsec", pixel_arcsec, 1e-5, 36000.0, unit="arcsec")
    if isinstance(pixels, bool) or not isinstance(pixels, int | np.integer):
        raise RangeError("pixels", got=pixels, allowed="whole numbers 2 to 4096")
    require_range("pixels", int(pixels), 2, 4096)
    return waves


def _division(pixel_arcsec: float, unit_arcsec: float) -> int:
    """Return into how many (odd) parts a pixel's side is cut so that they sample the pattern."""
    if pixel_arcsec <= 0.5 * unit_arcsec * (1.0 + 1e-9):
        return 1
    parts = int(np.ceil(3.0 * pixel_arcsec / unit_arcsec))
    return parts + 1 - parts % 2


def _computed(pixels: int, division: int) -> int:
    """Return how many pixels across are computed; the rest lies in the far wing."""
    if pixels * division <= MOST_FINE or division == 1:
        return pixels
    inner = max(1, MOST_FINE // division)
    inner += 1 - inner % 2  # odd: it has a centre pixel
    return min(inner, pixels)


def _front(
    scope: Telescope,
    stop: Stop,
    waves: NDArray[np.float64],
    colour: NDArray[np.float64],
    half_arcsec: float,
    screen_nm: NDArray[np.float64] | None,
) -> Opening:
    """Return the sampled pupil that this grid and wavefront need."""
    unit = float(waves.min()) * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN
    slope = 2.0 * steepest(scope.wavefront, stop.crop) * stop.crop * REFERENCE_NM / waves.min()
    samples = samples_for(half_arcsec / unit, slope + 4.0 * float(np.abs(colour).max()))
    if screen_nm is not None:
        screen_nm = np.asarray(screen_nm, dtype=np.float64)
        square = screen_nm.ndim == 2 and screen_nm.shape[0] == screen_nm.shape[1] >= 8
        if not square or not np.isfinite(screen_nm).all():
            raise SimviewError(
                "screen_nm", got=screen_nm.shape, allowed="a square of at least 8 finite numbers"
            )
    return opening(stop, scope.vanes, scope.wavefront, samples, screen_nm)


def _native_stack(
    front: Opening,
    colour: NDArray[np.float64],
    waves: NDArray[np.float64],
    steps: NDArray[np.float64],
    fine: int,
    precise: bool,
) -> Stack:
    dtype = np.float64 if precise else np.float32
    n = front.samples
    stack = np.empty((len(waves), fine, fine), dtype)
    amplitude = front.amplitude.astype(dtype)

    def work(k: int) -> None:
        field = front.field(amplitude, REFERENCE_NM / waves[k], colour[k])
        folded = fourier.fold(field, even_y=front.even_y, even_x=front.even_x)
        scale = (float(steps[k]) / n) ** 2 / front.light
        fourier.intensity(folded, fine, float(steps[k]) / n, stack[k], scale)

    fourier.spread_work(work, range(len(waves)))
    return stack


def _finish(
    stack: Stack,
    stop: Stop,
    unit: NDArray[np.float64],
    pixel_arcsec: float,
    pixels: int,
    division: int,
) -> Stack:
    """Bin fine pixels and fill the far wing around what was computed."""
    if division == 1:
        return stack
    count, fine, _ = stack.shape
    inner = fine // division
    parts = stack.reshape(count, inner, division, inner, division)
    binned: Stack = parts.sum(axis=(2, 4))
    if inner == pixels:
        return binned
    whole = _wing(stop, unit, pixel_arcsec, pixels).astype(stack.dtype)
    first = pixels // 2 - inner // 2
    whole[:, first : first + inner, first : first + inner] = binned
    return whole


def _wing(
    stop: Stop, unit: NDArray[np.float64], pixel_arcsec: float, pixels: int
) -> NDArray[np.float64]:
    """Return the mean of the far wing over pixels hundreds of wavelengths / aperture out.

    The light beyond an angle t falls as wavelength x perimeter / (2 pi^2 area t).
    Source: Clark, Howard and Freniere 1984, Applied Optics 23, 353. Vanes are left out.
    """
    place = (np.arange(pixels) - pixels // 2) * pixel_arcsec
    radius = np.hypot(place[None, :], place[:, None])
    radius[pixels // 2, pixels // 2] = np.inf
    beyond = 2.0 / np.pi**2 / (1.0 - stop.obstruction) * unit
    return np.asarray(beyond[:, None, None] * pixel_arcsec**2 / (2.0 * np.pi * radius[None] ** 3))
