"""Many moments of the air, as an eye has them: drawn one by one, each with its transfer function.

A moment is as long as the eye takes to see: the wind carries the air on while it lasts, and what
stands in the image is the mean. The eye follows the image's wander from one moment to the next, so
each moment's mean tilt is taken out, but not the tremble within it. The quality of a moment is
the height of a star's image at its middle against the perfect telescope's.

This is slow and draws by chance: it makes the table of `simview.air.moments` and checks it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.air.flow import start
from simview.air.seeing import FWHM_RATIO, SEEING_WAVELENGTH_NM
from simview.air.wind import LAYERS, mean_wind_m_s
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

Values = NDArray[np.float64]
Plane = NDArray[Any]

# Samples across the pupil. Lags of whole samples are exact whatever the sampling.
SAMPLES: Final = 32

# Moments that are taken from one stream of air, and the seconds from one to the next: the faster
# layer has gone on by 6 m then, and each layer boils in between.
_A_STREAM: Final = 10
_APART_S: Final = 0.37

# Steps of a moment: so many for each aperture that the mean wind goes on, and bounds.
_STEPS_A_WAY: Final = 8.0
_STEPS: Final = (8, 64)

# Aperture for moments without length, m: its outer scale is 25 m, as everywhere here.
_USUAL_M: Final = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moments:
    """Many moments, for each of several strengths of the air.

    Parameters
    ----------
    quality
        (moments, strengths) height of a star's middle against the perfect telescope's.
    kept
        (moments, strengths, SAMPLES + 1) mean over directions of the transfer function's real
        part at frequencies of k / SAMPLES of the cut-off.
    perfect
        (SAMPLES + 1,) of the same telescope without air and aberrations.
    """

    quality: Values
    kept: Values
    perfect: Values

    def group(self, strength: int, low: float, high: float) -> tuple[Values, Values]:
        """Return the mean transfer of the moments between two quantiles, and its standard error.

        Parameters
        ----------
        strength
            Index of the air's strength.
        low, high
            Quantiles of quality, 0 to 1: 0.9 and 1 for the best tenth.
        """
        order = np.argsort(self.quality[:, strength])
        first, last = (round(q * len(order)) for q in (low, high))
        kept = self.kept[order[first:last], strength]
        return kept.mean(axis=0), kept.std(axis=0, ddof=1) / math.sqrt(len(kept))


def round_pupil(obstruction: float = 0.0) -> Values:
    """Return (SAMPLES, SAMPLES) openness of a pupil with a round secondary, grey at its edges."""
    fine = 8
    place = (np.arange(SAMPLES * fine) + 0.5) / (SAMPLES * fine) * 2.0 - 1.0
    radius = np.hypot(place[:, None], place)
    clear = (radius <= 1.0) & (radius >= obstruction)
    return np.asarray(clear.reshape(SAMPLES, fine, SAMPLES, fine).mean(axis=(1, 3)))


def draw(
    strengths: Sequence[float],
    travel: float,
    count: int,
    seed: int,
    *,
    seconds: float,
    field: Plane | None = None,
) -> Moments:
    """Draw moments of Kolmogorov air with an outer scale of 25 m.

    Parameters
    ----------
    strengths
        D / r0, above 0.
    travel
        How far the mean wind goes in a moment, apertures; 0 for moments without length.
    count
        Of moments, rounded up to whole streams of air.
    seed
        0 upwards.
    seconds
        Length of a moment, which with `travel` gives the aperture.
    field
        (SAMPLES, SAMPLES) complex field of the telescope's pupil; clear and round if None.

    Notes
    -----
    Checked by: tests/truth/test_moments.py
    """
    open_ = round_pupil() if field is None else np.abs(field)
    own = open_ if field is None else field
    aperture_m = mean_wind_m_s() * seconds / travel if travel > 0.0 else _USUAL_M
    seeing = FWHM_RATIO * SEEING_WAVELENGTH_NM * 1e-9 / aperture_m * ARCSEC_PER_RADIAN
    sky = Sky(seeing_arcsec=seeing, altitude_deg=90.0)  # r0 is the aperture
    steps = 1 if travel == 0.0 else int(np.clip(math.ceil(_STEPS_A_WAY * travel), *_STEPS))
    times = seconds * (np.arange(steps) + 0.5) / steps if travel > 0.0 else np.zeros(1)
    rings = _rings()
    quality, kept = [], []
    for stream in range(math.ceil(count / _A_STREAM)):
        air = start(SAMPLES, aperture_m * 1e3, sky, np.random.default_rng([seed, stream]), LAYERS)
        for number in range(_A_STREAM):
            paths = np.stack([air.screen_nm(float(t + _APART_S * number)) for t in times])
            phase = paths.astype(np.float64) * (2.0 * math.pi / SEEING_WAVELENGTH_NM)
            transfer = _transfers(steadied(phase, open_), own, strengths)
            quality.append(transfer.sum(axis=(1, 2)))
            kept.append(transfer.reshape(len(strengths), -1) @ rings.T)
    perfect = _transfers(np.zeros((1, SAMPLES, SAMPLES)), open_, [1.0])[0]
    return Moments(
        quality=np.array(quality) / perfect.sum(),
        kept=np.array(kept),
        perfect=perfect.ravel() @ rings.T,
    )


def transfer_of(phase: Values) -> Values:
    """Return (SAMPLES + 1,) what one screen leaves of a clear pupil's transfer, tilt taken out.

    Parameters
    ----------
    phase
        (SAMPLES, SAMPLES) rad.

    Returns
    -------
    array
        Mean over directions of the real part, at even frequencies from 0 to the cut-off.
    """
    open_, rings = round_pupil(), _rings()
    flat = np.zeros((1, SAMPLES, SAMPLES))
    seen, clear = (
        _transfers(steadied(part, open_), open_, [1.0])[0].ravel() @ rings.T
        for part in (np.asarray(phase, dtype=np.float64)[None], flat)
    )
    answer = np.divide(seen, clear, out=np.zeros_like(seen), where=clear > 1e-6)
    answer[-1] = answer[-2]
    return np.asarray(answer)


def steadied(phase: Values, open_: Values) -> Values:
    """Return phases (steps, n, n) with the mean tilt over the opening and all steps taken out."""
    place = (np.arange(SAMPLES) - SAMPLES / 2.0 + 0.5) / (SAMPLES / 2.0)
    weight = open_ / open_.sum()
    mean = (phase * weight).sum(axis=(1, 2)).mean()
    square = float((weight * place**2).sum())
    right = (phase * weight * place).sum(axis=(1, 2)).mean() / square
    down = (phase * weight * place[:, None]).sum(axis=(1, 2)).mean() / square
    steadied: Values = phase - mean - right * place - down * place[:, None]
    return steadied


def _transfers(phase: Values, own: Plane, strengths: Sequence[float]) -> Values:
    """Return (strengths, 2n, 2n) real parts of a moment's transfer functions, 0 lag at [0, 0]."""
    size = (2 * SAMPLES, 2 * SAMPLES)
    power = []
    for strength in strengths:
        field = (own * np.exp(1j * strength ** (5.0 / 6.0) * phase)).astype(np.complex64)
        power.append((np.abs(fft.fft2(field, s=size)) ** 2).mean(axis=0))
    light = float((np.abs(own) ** 2).sum())
    return np.asarray(fft.ifft2(np.array(power)).real / light, dtype=np.float64)


def _rings() -> Values:
    """Return (SAMPLES + 1, lags) shares with which lags count for each frequency."""
    lag = np.fft.fftfreq(2 * SAMPLES, 1.0 / (2 * SAMPLES))
    radius = np.hypot(lag[:, None], lag).ravel()
    share = np.maximum(1.0 - np.abs(radius - np.arange(SAMPLES + 1)[:, None]), 0.0)
    return np.asarray(share / share.sum(axis=1, keepdims=True))
