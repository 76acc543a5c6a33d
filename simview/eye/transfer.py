"""What telescope, air and mount leave of a grating's contrast, averaged over its direction.

One curve over frequency for white light as the cones weigh it. The eye is not in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.air import extinction, refraction, stopping
from simview.bessel import j0
from simview.errors import FitError
from simview.eye.colour import response
from simview.eye.kernels import spectral_weights
from simview.kit import Mount, Sky, Telescope
from simview.memory import remembered
from simview.scene.spectrum import band_centres_nm, primaries
from simview.telescope.mount import shake_transfer
from simview.telescope.opening import REFERENCE_NM, Stop, defocus_by_colour, steepest, stop_for
from simview.telescope.phase_map import resampled
from simview.telescope.pupil import axis, pupil
from simview.telescope.spread import moment
from simview.telescope.wavefront import path_waves
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[np.float64]

# Colours, directions of the grating over half a turn, nodes of the curve, samples across the
# pupil: doubling each changes the finest period by less than 1 % (tests/unit/eye/test_transfer.py).
BANDS: Final = 7
DIRECTIONS: Final = 8
NODES: Final = 193
SAMPLES: Final = 96
MOST_SAMPLES: Final = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferCurve:
    """Contrast kept against frequency on the sky, on evenly spaced nodes.

    Parameters
    ----------
    cutoff_cycles_arcsec
        Frequency of the last node; nothing passes beyond it.
    signed
        (n,) mean over directions with its sign: negative where light and dark are exchanged.
    """

    cutoff_cycles_arcsec: float
    signed: Array

    def __call__(self, frequency_cycles_arcsec: Array) -> Array:
        """Return the contrast kept, 0 to 1, never rising with frequency.

        Past a dip or a change of sign a grating may show again, shifted or turned to its
        negative (spurious resolution): that is no detail, so the curve does not rise again.
        """
        falling = np.minimum.accumulate(np.maximum(self.signed, 0.0))
        place = np.linspace(0.0, self.cutoff_cycles_arcsec, len(falling))
        return np.interp(frequency_cycles_arcsec, place, falling, right=0.0)

    def spread(
        self, reach_arcsec: float, points: int, *, with_eye: Array | None = None
    ) -> tuple[Array, Array]:
        """Return radii up to a reach, and a star's image there, its light in all 1.

        Parameters
        ----------
        reach_arcsec
            The last radius, arcsec.
        points
            How many radii, evenly spaced from 0.
        with_eye
            A factor on each node, (n,), for the eye's part.

        Returns
        -------
        (points,) radii in arcsec, and (points,) light in 1/arcsec2.

        Notes
        -----
        Source: the Hankel transform, Goodman, Introduction to Fourier Optics, section 2.1.5.
        """
        f = np.linspace(0.0, self.cutoff_cycles_arcsec, len(self.signed))
        kept = self.signed if with_eye is None else self.signed * with_eye
        wave = _waves(round(reach_arcsec * self.cutoff_cycles_arcsec, 9), points, len(f))
        step = float(f[1] - f[0])
        weighed = kept * f * step  # the trapezoid's rule: half of it at both ends
        weighed[[0, -1]] /= 2.0
        # The integrand starts with slope kept[0]: the trapezoid's first correction at that end.
        start = kept[0] * step**2 / 12.0
        radius = np.linspace(0.0, reach_arcsec, points)
        return radius, np.asarray(2.0 * np.pi * (wave @ weighed + start))


# Reach and cutoff mostly come in one product, whatever the telescope: 30 or 60 (2.3 MB each).
@lru_cache(maxsize=4)
def _waves(cycles: float, points: int, nodes: int) -> Array:
    """Return J0 of each radius and frequency, (points, nodes); `cycles`: their last product."""
    radius, f = np.linspace(0.0, 2.0 * np.pi * cycles, points), np.linspace(0.0, 1.0, nodes)
    wave = np.asarray(j0(np.outer(radius, f)))
    wave.setflags(write=False)
    return wave


@remembered(256)  # a curve is 193 numbers; most powers of one kit share it
def transfer_curve(
    scope: Telescope,
    sky: Sky,
    mount: Mount,
    *,
    aperture_mm: float | None = None,
    obstruction: float | None = None,
) -> TransferCurve:
    """Return what telescope, air and mount leave of contrast.

    Parameters
    ----------
    scope, sky, mount
        From the kit.
    aperture_mm, obstruction
        Effective aperture where the eye stops the telescope down, and the secondary against it.

    Raises
    ------
    FitError
        When all of the effective aperture lies in the secondary's shadow.

    Notes
    -----
    Source: autocorrelation of the pupil, Goodman, Introduction to Fourier Optics, section 6.3;
    air: `simview.air.stopping`; colours weighed by V(lambda) and a daylight spectrum.
    Checked by: tests/unit/eye/test_transfer.py
    """
    stop = stop_for(scope, aperture_mm, obstruction)
    if stop.aperture_mm <= 0.0 or stop.obstruction >= 0.98:
        raise FitError("effective aperture", got=f"{stop.aperture_mm:g} mm")
    waves = band_centres_nm(BANDS)
    cutoff = stop.aperture_mm / (float(waves.min()) * 1e-6) / ARCSEC_PER_RADIAN
    frequency = np.linspace(0.0, cutoff, NODES)
    fx, fy = (np.outer(turn, frequency) for turn in _directions())
    weight = _weights(sky, waves)
    passed = _telescope(scope, stop, sky if sky.air == "moment" else None)
    shift = refraction.dispersion_arcsec(sky, waves)
    total = np.zeros(fx.shape, dtype=np.complex128)
    for k, wave in enumerate(waves):
        air = stopping.transfer(
            sky,
            wavelength_nm=float(wave),
            frequency=frequency,
            aperture_mm=stop.aperture_mm,
            obstruction=stop.obstruction,
        )
        colour = passed[k] * (weight[k] * air)
        total += colour if shift[k] == 0.0 else colour * np.exp(-2j * np.pi * fy * shift[k])
    signed = _unshifted(total * shake_transfer(mount, fx, fy), frequency)
    signed.setflags(write=False)
    return TransferCurve(cutoff_cycles_arcsec=cutoff, signed=signed)


def _directions() -> tuple[Array, Array]:
    """Return the directions of the grating, to the right and upwards."""
    angle = np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    return np.cos(angle), np.sin(angle)


def _weights(sky: Sky, waves: Array) -> Array:
    """Return how much each colour counts for the cones, summing to 1."""
    light = _daylight(len(waves)) * extinction.transmission(sky, waves)
    return np.asarray(light / light.sum())


@lru_cache(maxsize=4)
def _daylight(count: int) -> Array:
    return np.asarray(spectral_weights(primaries(), response(), count)[1].sum(axis=0))


@remembered(24)  # 173 KB each; with air and without, on any mount, it is the same
def _telescope(scope: Telescope, stop: Stop, sky: Sky | None) -> NDArray[np.complex128]:
    """Return what the telescope leaves of each colour in each direction, (n, directions, nodes).

    `sky`: where its one moment is part of the telescope.
    """
    waves = band_centres_nm(BANDS)
    found = _bilinear(_lags(scope, stop, waves, moment(sky, stop.aperture_mm)), *_places())
    found.setflags(write=False)
    return found


def _places() -> tuple[Array, Array]:
    """Return the lags of each colour's nodes, (n, directions, nodes) pupil diameters.

    They are the same for all apertures: the cut-off is that of the shortest wavelength.
    """
    waves = band_centres_nm(BANDS)
    lag = np.outer(waves / waves.min(), np.linspace(0.0, 1.0, NODES))
    x, y = (turn[None, :, None] * lag[:, None, :] for turn in _directions())
    return x, y


def _lags(
    scope: Telescope, stop: Stop, waves: Array, screen_nm: Array | None
) -> NDArray[np.complex64]:
    """Return each colour's autocorrelation of the pupil at lags to the right, (n, 2s, s + 1).

    Rows are lags downwards, those upwards after them; 1 at no lag. The other half are the
    conjugates at the opposite lags.
    """
    defocus = defocus_by_colour(scope, stop, waves, 0.0)
    shortest = float(waves.min())
    slope = steepest(scope.wavefront, stop.crop) * REFERENCE_NM / shortest
    slope += 2.0 * float(np.abs(defocus).max())
    # No more than a quarter of a wave from sample to sample.
    samples = min(max(SAMPLES, 16 * math.ceil(8.0 * slope / 16.0)), MOST_SAMPLES)
    open_ = pupil(
        samples, obstruction=stop.obstruction, vanes=scope.vanes, vane_ratio=stop.vane_ratio
    )
    path = path_waves(scope.wavefront, samples, crop=stop.crop)
    if screen_nm is not None:
        path = path + resampled(screen_nm, samples) / REFERENCE_NM
    x = axis(samples)
    square = x[None, :] ** 2 + x[:, None] ** 2
    # A perfect mirror's colours are all alike.
    alike = not (path.any() or defocus.any())
    size, told = 2 * samples, waves[:1] if alike else waves
    turns = path * (REFERENCE_NM / told)[:, None, None] + square * defocus[: len(told), None, None]
    turns -= np.rint(turns)
    angle = (2.0 * np.pi * turns).astype(np.float32)
    field = np.empty(turns.shape, np.complex64)
    field.real, field.imag = open_ * np.cos(angle), open_ * np.sin(angle)
    # The rows that only fill up are not transformed along x.
    # One thread does it, sooner than two that have to be called: 2 ms.
    far = fft.fft(fft.fft(field, n=size), n=size, axis=1, overwrite_x=True)
    lags = fft.rfft2(far.real**2 + far.imag**2).conj()
    # A grey edge counts with its area at every lag but 0, where its square would count.
    lags /= np.float32(size**2 * open_.sum())
    lags[:, 0, 0] = 1.0
    return np.broadcast_to(lags, (len(waves), *lags.shape[1:]))


def _bilinear(planes: NDArray[np.complex64], x: Array, y: Array) -> NDArray[np.complex128]:
    """Return the lags of half planes, one each for x[k], y[k]; 0 outside.

    x to the right, y upwards, pupil diameters.
    """
    size, half = planes.shape[1], planes.shape[1] // 2
    inside, left = np.hypot(x, y) < 1.0, x < 0.0
    column, row = np.abs(x) * half, np.where(left, y, -y) * half
    j = np.clip(np.floor(column).astype(int), 0, half - 1)
    i = np.floor(row).astype(int)
    s, t = column - j, row - i
    own = np.arange(len(planes)).reshape(-1, *(1,) * (x.ndim - 1))
    upper, lower = (
        planes[own, k % size, j] * (1.0 - s) + planes[own, k % size, j + 1] * s for k in (i, i + 1)
    )
    found = np.where(inside, upper * (1.0 - t) + lower * t, 0.0)
    return np.where(left, found.conj(), found)


def _unshifted(total: NDArray[np.complex128], frequency: Array) -> Array:
    """Return the signed mean over directions, each direction's own shift of the image removed."""
    step = frequency[1] - frequency[0]
    # Slope of the phase, weighed towards low frequencies where contrast is.
    strength = np.abs(total[:, 1:] * total[:, :-1])
    turn = np.angle(total[:, 1:] * np.conj(total[:, :-1]))
    slope = (strength * turn).sum(axis=1) / strength.sum(axis=1) / step
    straight = total * np.exp(-1j * slope[:, None] * frequency[None, :])
    return np.asarray(straight.real.mean(axis=0))
