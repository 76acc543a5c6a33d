"""Figures of quality: Strehl, wavefront RMS and PV, encircled energy, contrast transfer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j1
from simview.errors import require_range
from simview.executor.threads import one_blas_thread
from simview.kit import AVERAGED_AIR, Sky, Telescope
from simview.telescope.blur import aired_planes
from simview.telescope.exposure import Setting, exposure
from simview.telescope.opening import (
    LEAST_SAMPLES,
    REFERENCE_NM,
    Opening,
    full_path,
    stop_for,
)
from simview.telescope.planes import planes_of
from simview.telescope.pupil import axis, mask
from simview.telescope.spread import checked_waves, moment, shares_of
from simview.telescope.terms import NO_EXTRAS, Extras
from simview.units import ARCSEC_PER_RADIAN

Plane = NDArray[np.float64]
Transfer = NDArray[np.complex128]

# The search for a star's peak: pixels across, first in thirds of wavelength / aperture, then in
# sixteenths around what was found.
_SEARCH_PIXELS: Final = 256
_NEAR_PIXELS: Final = 32


def strehl(
    scope: Telescope,
    *,
    wavelengths_nm: Sequence[float] = (REFERENCE_NM,),
    weights: Sequence[float] | None = None,
    defocus_waves: float = 0.0,
    sky: Sky | None = None,
    extras: Extras = NO_EXTRAS,
) -> float:
    """Return the peak of a star against the same pupil's without aberration, colour and air.

    The peak is the brightest place of the image, wherever it lies within 40 wavelengths /
    aperture of the star's true place.

    Parameters
    ----------
    wavelengths_nm, weights, defocus_waves, sky, extras
        As in `simview.point_spread`.

    Notes
    -----
    Source: definition; Born & Wolf, Principles of Optics, section 9.1.
    Checked by: tests/truth/test_strehl.py
    """
    waves = checked_waves(wavelengths_nm, 1.0, 2)
    shares = shares_of(weights, len(waves))
    colours = tuple(zip(waves.tolist(), shares.tolist(), strict=True))
    return _strehl(scope, colours, defocus_waves, sky, extras)


@lru_cache(maxsize=256)
def _strehl(
    scope: Telescope,
    colours: tuple[tuple[float, float], ...],
    defocus_waves: float,
    sky: Sky | None,
    extras: Extras,
) -> float:
    waves, shares = np.array(colours).T
    stop = stop_for(scope, extras=extras)
    how: dict[str, Any] = {"screen_nm": moment(sky, stop.aperture_mm), "precise": True}
    taken = exposure(scope, stop, waves, defocus_waves, extras=extras, **how)
    unit = float(taken.unit_arcsec.min())
    # Which of its pixels is brightest is found in single precision.
    wide = _seen(replace(taken, precise=False), sky, unit / 3.0, _SEARCH_PIXELS, shares)
    row, column = np.unravel_index(int(np.argmax(wide)), wide.shape)
    middle = _SEARCH_PIXELS // 2
    place = ((column - middle) * unit / 3.0, (middle - row) * unit / 3.0)
    if place != (0.0, 0.0):
        taken = _moved(taken, place)
    pixel = unit / 16.0
    peak = _top(_seen(taken, sky, pixel, _NEAR_PIXELS, shares))
    fraction = float(mask(stop.shape, LEAST_SAMPLES).mean())
    perfect = fraction * pixel**2 * float(shares @ taken.unit_arcsec**-2.0)
    return peak / perfect


@one_blas_thread()
def _seen(taken: Setting, sky: Sky | None, pixel: float, pixels: int, shares: Plane) -> Plane:
    if sky is None or sky.air not in AVERAGED_AIR:
        planes = planes_of(taken, pixel, pixels)
    else:
        planes = aired_planes(taken, sky, pixel, pixels)
    return np.tensordot(shares, planes.astype(np.float64), axes=1)


def _moved(taken: Setting, place: tuple[float, float]) -> Setting:
    """Return the exposure with the place (x, y in arcsec) moved onto the centre."""
    radius_nm = taken.stop.aperture_mm / 2.0 * 1e6
    x, y = (p / ARCSEC_PER_RADIAN * radius_nm for p in place)
    own = axis(LEAST_SAMPLES)
    tilt = -(x * own[None, :] - y * own[:, None])
    screen = tilt if taken.screen_nm is None else tilt + taken.screen_nm
    return replace(taken, screen_nm=screen)


def _top(image: Plane) -> float:
    """Return the height of the paraboloid through the brightest pixel and its eight neighbours."""
    row, column = np.unravel_index(int(np.argmax(image)), image.shape)
    if not (0 < row < len(image) - 1 and 0 < column < len(image) - 1):
        return float(image[row, column])
    near = image[row - 1 : row + 2, column - 1 : column + 2]
    gy, gx = (near[2, 1] - near[0, 1]) / 2.0, (near[1, 2] - near[1, 0]) / 2.0
    hyy = near[2, 1] + near[0, 1] - 2.0 * near[1, 1]
    hxx = near[1, 2] + near[1, 0] - 2.0 * near[1, 1]
    hxy = (near[2, 2] + near[0, 0] - near[0, 2] - near[2, 0]) / 4.0
    bent = hxx * hyy - hxy * hxy
    if bent <= 0.0:
        return float(near[1, 1])
    rise = -(hyy * gx * gx - 2.0 * hxy * gx * gy + hxx * gy * gy) / (2.0 * bent)
    return float(near[1, 1] + rise)


class Imaged(Protocol):
    """A star's image, and what it was computed for."""

    @property
    def image(self) -> Plane:
        """(n, n), the star on pixel n // 2."""
        ...

    @property
    def pixel_arcsec(self) -> float:
        """Side of a pixel."""
        ...

    @property
    def wavelengths_nm(self) -> tuple[float, ...]:
        """The colours in it."""
        ...

    @property
    def scope(self) -> Telescope:
        """What it was seen through."""
        ...


def encircled(star: Imaged, radius_arcsec: float) -> float:
    """Return the fraction of all the light inside a circle around the image's centre pixel.

    A sampled image is integrated exactly as the smooth pattern that it samples: its transform
    times the circle's, R J1(2 pi f R) / f. An image of coarse pixels is summed with each
    pixel's share inside the circle.

    Source: Goodman, Introduction to Fourier Optics, table of transforms (circle function).
    Checked by: tests/truth/test_encircled_energy.py
    """
    pixels = len(star.image)
    edge = (pixels - pixels // 2 - 0.5) * star.pixel_arcsec
    require_range("radius_arcsec", radius_arcsec, 0.0, edge, unit="arcsec")
    if radius_arcsec == 0.0:
        return 0.0
    stop = stop_for(star.scope)
    unit = min(star.wavelengths_nm) * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN
    if star.pixel_arcsec > 0.5 * unit * (1.0 + 1e-9):
        return _pixel_sum(star.image, radius_arcsec / star.pixel_arcsec)
    from scipy import fft

    spectrum = fft.rfft2(fft.ifftshift(star.image)).real
    fx = np.fft.rfftfreq(pixels)[None, :]
    f = np.hypot(fx, np.fft.fftfreq(pixels)[:, None])
    f[0, 0] = 1.0
    r = radius_arcsec / star.pixel_arcsec
    circle = r * j1(2.0 * np.pi * f * r) / f
    circle[0, 0] = np.pi * r * r
    twice = np.full(fx.shape[1], 2.0)
    twice[0] = 1.0
    if pixels % 2 == 0:
        twice[-1] = 1.0
    return float((spectrum * circle).sum(axis=0) @ twice / pixels**2)


def _pixel_sum(image: Plane, radius: float) -> float:
    """Return the sum of an image inside a circle of that radius in pixels, edge pixels shared."""
    pixels = len(image)
    sub = (np.arange(8) + 0.5) / 8.0 - 0.5
    place = np.arange(pixels) - pixels // 2
    fine = (place[:, None] + sub[None, :]).ravel() ** 2
    inside = (fine[:, None] + fine[None, :] <= radius * radius).reshape(pixels, 8, pixels, 8)
    return float((inside.mean(axis=(1, 3)) * image).sum())


def wavefront_map(
    scope: Telescope,
    *,
    defocus_waves: float = 0.0,
    samples: int = LEAST_SAMPLES,
    extras: Extras = NO_EXTRAS,
) -> Plane:
    """Return the path error over the open pupil in waves at 550 nm, NaN where it is closed.

    Piston and tilt are taken out (least squares over the open pupil). Longitudinal colour is
    not in it.

    Returns
    -------
    numpy.ndarray
        (samples, samples), row 0 at the top.
    """
    error = _Error(scope, defocus_waves, extras)
    return np.where(error.share(samples) > 0.5, error.levelled(samples), np.nan)


def rms_waves(scope: Telescope, *, defocus_waves: float = 0.0, extras: Extras = NO_EXTRAS) -> float:
    """Return the RMS of the wavefront over the open pupil, waves at 550 nm, tilt taken out.

    Checked by: tests/truth/test_strehl.py
    """
    error = _Error(scope, defocus_waves, extras)
    path, weight = error.levelled(LEAST_SAMPLES), error.share(LEAST_SAMPLES)
    return float(np.sqrt((path**2 * weight).sum() / weight.sum()))


def pv_waves(scope: Telescope, *, defocus_waves: float = 0.0, extras: Extras = NO_EXTRAS) -> float:
    """Return highest less lowest point of the wavefront, waves at 550 nm, tilt taken out.

    From the secondary's edge to the rim; vanes and clips are left out.

    Checked by: tests/truth/test_strehl.py
    """
    error = _Error(scope, defocus_waves, extras)
    angle = np.linspace(0.0, 2.0 * np.pi, 721)[None, :]
    radius = np.linspace(0.0, 1.0, 257)[:, None]
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    shape = error.stop.shape
    shadow = np.hypot(x - shape.shadow_x, y - shape.shadow_y) < shape.obstruction - 1e-9
    piston, right, up = error.plane()
    path = error.path(x, y) - piston - right * x - up * y
    return float(np.ptp(path[~shadow]))


class _Error:
    """The wavefront of one setting over its opening, and the plane that fits it best."""

    def __init__(self, scope: Telescope, defocus_waves: float, extras: Extras) -> None:
        self.stop = stop_for(scope, extras=extras)
        self._wavefront = scope.wavefront
        self._defocus = defocus_waves
        self._terms = extras.terms

    def path(self, x: Plane, y: Plane) -> Plane:
        x, y = x * self.stop.crop, y * self.stop.crop
        path = full_path(self._wavefront, self._terms, x, y)
        return np.asarray(path + self._defocus * (x * x + y * y))

    def share(self, samples: int) -> Plane:
        return np.asarray(mask(self.stop.shape, samples))

    def plane(self) -> Plane:
        """Return piston, slope to the right and slope upwards."""
        x = np.broadcast_to(axis(LEAST_SAMPLES)[None, :], (LEAST_SAMPLES, LEAST_SAMPLES))
        basis = np.stack((np.ones_like(x), x, -x.T))
        weight, path = self.share(LEAST_SAMPLES), self.path(x, -x.T)
        moments = np.einsum("ayx,byx,yx->ab", basis, basis, weight)
        answer = np.linalg.solve(moments, np.einsum("ayx,yx,yx->a", basis, path, weight))
        return np.asarray(answer)

    def levelled(self, samples: int) -> Plane:
        x = np.broadcast_to(axis(samples)[None, :], (samples, samples))
        piston, right, up = self.plane()
        return np.asarray(self.path(x, -x.T) - piston - right * x + up * x.T)


def transfer(
    scope: Telescope,
    frequency: NDArray[np.float64] | Sequence[float],
    *,
    wavelengths_nm: Sequence[float] = (REFERENCE_NM,),
    weights: Sequence[float] | None = None,
    defocus_waves: float = 0.0,
    angle_deg: float = 0.0,
    extras: Extras = NO_EXTRAS,
) -> Plane:
    """Return the contrast transfer (MTF) of the telescope along one direction, without air.

    Parameters
    ----------
    frequency
        (n,) cycles/arcsec, 0 upwards; 0 beyond the cut-off.
    wavelengths_nm, weights, defocus_waves, extras
        As in `simview.point_spread`.
    angle_deg
        Direction of the frequency, anticlockwise from the right.

    Returns
    -------
    numpy.ndarray
        (n,) modulus of the normalised transfer function, 1 at 0.

    The transfer function is the pupil's autocorrelation, computed by two transforms at shifts of
    whole samples and interpolated between them (bicubic).

    Notes
    -----
    Source: Goodman, Introduction to Fourier Optics, section 6.3.
    Checked by: tests/truth/test_mtf.py
    """
    wanted = np.abs(np.asarray(frequency, dtype=np.float64))
    waves = checked_waves(wavelengths_nm, 1.0, 2)
    shares = shares_of(weights, len(waves))
    stop = stop_for(scope, extras=extras)
    taken = exposure(scope, stop, waves, defocus_waves, extras=extras, precise=True)
    front = taken.front(0.0)
    total = np.zeros(wanted.shape, dtype=np.complex128)
    for k, share in enumerate(shares):
        shift = wanted * float(taken.unit_arcsec[k]) * front.samples  # in pupil samples
        total += share * _overlap(taken, front, k, shift, np.radians(angle_deg))
    return np.abs(total)


def _overlap(taken: Setting, front: Opening, k: int, shift: Plane, angle: float) -> Transfer:
    """Return the normalised autocorrelation of the pupil at shifts along one direction."""
    from scipy import fft
    from scipy.ndimage import map_coordinates

    n = front.samples
    field = taken.field(front, front.amplitude, k)
    whole = front.whole(field[0]) + (1j * front.whole(field[1]) if len(field) == 2 else 0.0)
    spectrum = fft.fft2(whole, s=(2 * n, 2 * n))
    lags = fft.fftshift(fft.ifft2(np.abs(spectrum) ** 2)) / front.light
    lags[n, n] = 1.0  # grey samples pass light in proportion to their area, not its square
    place = np.stack((n - shift * np.sin(angle), n + shift * np.cos(angle)))
    inside = shift < n
    real, imaginary = (
        map_coordinates(np.ascontiguousarray(part), place, order=3, mode="grid-wrap")
        for part in (lags.real, lags.imag)
    )
    return np.asarray(np.where(inside, real + 1j * imaginary, 0.0))
