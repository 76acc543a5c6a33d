"""The point spread: where the light of a star goes.

`spread_stack` gives one plane a wavelength for the light path; `simview.telescope.star` makes
of them a star as it looks.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview.air import alone
from simview.errors import RangeError, SimviewError, require_choice, require_range
from simview.executor.threads import one_blas_thread
from simview.kit import AVERAGED_AIR, Sky, Telescope
from simview.telescope.blur import aired_planes
from simview.telescope.exposure import ENGINES, Engine, Setting, Stack, checked_screen, exposure
from simview.telescope.opening import stop_for
from simview.telescope.planes import planes_of
from simview.telescope.terms import NO_EXTRAS, Extras

# Fine pixels across that are computed at most for one pattern; beyond them the far wing's
# mean is filled in. 1024 reach 170 wavelengths / aperture to each side; a steep wavefront, which
# throws light farther, gets more.
MOST_FINE: Final = 1024


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
    extras: Extras = NO_EXTRAS,
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
    extras
        What ails the telescope beyond its `Wavefront`; `simview.telescope.faults` makes them.

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

    Notes
    -----
    Source: Fraunhofer diffraction, Born & Wolf, Principles of Optics, section 8.3.
    Checked by: tests/truth/test_airy.py, tests/truth/test_annular_pattern.py
    """
    waves = checked_waves(wavelengths_nm, pixel_arcsec, pixels)
    require_choice("engine", engine, ENGINES)
    require_range("defocus_waves", defocus_waves, -60.0, 60.0, unit="waves")
    taken = exposure(
        scope,
        stop_for(scope, aperture_mm, obstruction, extras),
        waves,
        defocus_waves,
        extras=extras,
        screen_nm=checked_screen(screen_nm),
        precise=precise,
        engine=engine,
    )
    return on_pixels(taken, pixel_arcsec, pixels)


def checked_waves(
    wavelengths_nm: Sequence[float] | NDArray[np.float64], pixel_arcsec: float, pixels: int
) -> NDArray[np.float64]:
    """Return the wavelengths as an array if they and the grid are usable.

    Raises
    ------
    SimviewError
        Names the value, its unit and the allowed range.
    """
    try:
        waves = np.asarray(wavelengths_nm, dtype=np.float64)
    except (TypeError, ValueError):
        waves = np.empty(0)
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


def _computed(pixels: int, division: int, slope: float) -> int:
    """Return how many pixels across are computed; the rest lies in the far wing.

    Fine pixels are a third of wavelength / aperture or less; the wavefront throws light
    `slope` wavelengths / aperture out.
    """
    most = max(MOST_FINE, int(8.0 * slope) + 400)
    if pixels * division <= most or division == 1:
        return pixels
    inner = max(1, most // division)
    inner += 1 - inner % 2  # odd: it has a centre pixel
    return min(inner, pixels)


@one_blas_thread()
def on_pixels(taken: Setting, pixel_arcsec: float, pixels: int, sky: Sky | None = None) -> Stack:
    """Return an exposure on a grid of any coarseness; see `spread_stack` for what pixels hold.

    With a `sky` of averaged air the star is seen through it.
    """
    division = _division(pixel_arcsec, float(taken.unit_arcsec.min()))
    inner = _computed(pixels, division, taken.slope())
    fine = inner * division
    # The star stands in the middle of its pixel: where an even number of pixels is cut into parts,
    # half a pixel less one part is computed besides, and left away again.
    more = 0 if inner % 2 else division - 1
    if sky is None or sky.air not in AVERAGED_AIR:
        stack = planes_of(taken, pixel_arcsec / division, fine + more)
    else:
        stack = aired_planes(taken, sky, pixel_arcsec / division, fine + more)
    if division == 1:
        return stack
    bins = _binning(inner, division, more, stack.dtype.char)
    binned = banded.down(bins, banded.across(stack, bins))
    if inner == pixels:
        return binned
    whole = _wing(taken, pixel_arcsec, pixels, stack.dtype)
    first = pixels // 2 - inner // 2
    whole[:, first : first + inner, first : first + inner] = binned
    return whole


@lru_cache(maxsize=16)
def _binning(inner: int, division: int, more: int, kind: str) -> Stack:
    """Return the matrix (inner, fine) that turns samples of a line into light on its pixels.

    The mean over a fine pixel is 1 + d/24 - 17 d^2/5760 of the samples, d the second difference,
    to the sixth order (Hildebrand, Introduction to Numerical Analysis, central differences); a
    pixel is the sum of its `division` fine ones. `more` samples at the end serve only as
    neighbours. At the edges the line is taken to go on evenly; no light is lost there.
    """
    light = np.zeros((inner, inner * division + more))
    light[:, : inner * division] = np.repeat(np.eye(inner), division, axis=1)
    bend = _second_difference(light)
    bend -= _second_difference(bend) * (17.0 / 240.0)
    return np.ascontiguousarray(light + bend / 24.0, dtype=kind)


def _second_difference(rows: Stack) -> Stack:
    """Return neighbours less twice the middle; at the ends as if the row went on evenly.

    The matrix that does this is symmetric: done to weights, it is done to what they weigh.
    """
    step = np.diff(rows, axis=1)
    bend = np.zeros_like(rows)
    bend[:, :-1] = step
    bend[:, 1:] -= step
    return bend


def _wing(taken: Setting, pixel_arcsec: float, pixels: int, kind: np.dtype[Any]) -> Stack:
    """Return the mean of the far wing over pixels hundreds of wavelengths / aperture out.

    The light beyond an angle t falls as wavelength x perimeter / (2 pi^2 area t).
    Source: Clark, Howard and Freniere 1984, Applied Optics 23, 353. Vanes are left out.
    Checked by: tests/unit/telescope/test_spread.py
    """
    beyond = 2.0 / np.pi**2 / (1.0 - taken.stop.obstruction) * taken.unit_arcsec / pixel_arcsec
    whole: Stack = np.empty((len(beyond), pixels, pixels), kind)
    # Worked out in double precision, a buffer at a time.
    np.multiply(
        beyond[:, None, None] / (2.0 * np.pi), _fall(pixels), out=whole, casting="same_kind"
    )
    return whole


@lru_cache(maxsize=4)
def _fall(pixels: int) -> NDArray[np.float64]:
    """Return 1 / distance^3, in pixels, as the mean over each pixel."""
    place = np.arange(pixels, dtype=np.float64) - pixels // 2
    near = np.abs(place) <= 10.0
    fall = 1.0 / np.maximum(np.hypot(place[None, :], place[:, None]), 0.5) ** 3
    # Close in, the mean over a pixel is larger than the value in its middle.
    fine = (place[near][:, None] + (np.arange(9) - 4.0) / 9.0).ravel()
    cubes = np.maximum(np.hypot(fine[None, :], fine[:, None]), 0.5) ** -3.0
    count = int(near.sum())
    fall[np.ix_(near, near)] = cubes.reshape(count, 9, count, 9).mean(axis=(1, 3))
    return fall


def moment(sky: Sky | None, aperture_mm: float) -> NDArray[np.float64] | None:
    """Return the screen of a sky whose air is one "moment", else None."""
    if sky is None or sky.air != "moment" or sky.seeing_arcsec == 0.0:
        return None
    return alone.moment_nm(sky, aperture_mm)


def shares_of(weights: Sequence[float] | None, count: int) -> NDArray[np.float64]:
    """Return each wavelength's share of the light; they sum to 1.

    Raises
    ------
    SimviewError
        When there are not `count` of them, or one is negative or not finite, or all are 0.
    """
    shares = np.ones(count) if weights is None else np.asarray(weights, dtype=np.float64)
    fine = shares.shape == (count,) and np.isfinite(shares).all() and (shares >= 0.0).all()
    if not fine or shares.sum() <= 0.0:
        raise SimviewError(
            "weights",
            got=weights,
            allowed=f"{count} finite numbers, one a wavelength, none below 0, not all 0",
        )
    return np.asarray(shares / shares.sum())
