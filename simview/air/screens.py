"""What turbulent air does at a single moment: a screen of path errors over the aperture.

A screen is the sum of three parts, so that every scale of the turbulence is in it:

* a fast Fourier transform on a grid twice as wide as the aperture, for everything finer;
* plane waves on three nested frequency grids, each three times finer than the last, for what is
  too slow for that grid (subharmonics, after Lane, Glindemann & Dainty 1992, Waves in Random
  Media 2, 209, with 72 waves a level instead of 8);
* one random tilt for everything slower still, with the exact variance of that part.

Each frequency stands for a cell of the spectrum and carries the power of the cell, folded-back
power from beyond the sampling included, so that the structure function on the samples is the
theoretical one within 1 % at all separations, for outer scales of ten apertures and more (within
4 % down to two apertures). Path errors are the same in all colours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.air.seeing import SEEING_WAVELENGTH_NM, fried_r0_m
from simview.air.turbulence import SPECTRUM
from simview.kit import Sky

Single = NDArray[np.float32]
Real = TypeVar("Real", np.float32, np.float64)

# The transform's grid is this many times as wide as the aperture: its screens repeat, and
# opposite edges of the aperture must not see each other.
_OVERSIZE: Final = 2

# Places an axis at which slow waves are computed, see `places`.
_PLACES: Final = 12

# Cells of a nested grid from -4 to 4; the inner 3 x 3 belong to the next level.
_CELLS: Final = np.arange(-4.0, 5.0)

# For each nested grid, the power of the frequency that its cells keep exactly. Waves longer than
# the aperture act through their slope (2); those about as long lie between slope and power
# (1, chosen for the flattest structure function, see `expected` in tests/truth/test_screens.py).
# After three grids, what is left bends by less than 1/50 of its tilt over the aperture.
_MOMENTS: Final = (1, 2, 2)

# The same for a wider grid, whose nested waves are all much longer than the aperture.
_LONG_MOMENTS: Final = (2, 2, 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recipe:
    """Amplitudes for an aperture of 1 and r0 of 1, in rad.

    Parameters
    ----------
    samples
        Of the aperture's side.
    fine
        (n, n // 2 + 1) factor on the transform of white noise.
    waves
        For each level the frequencies (9,) and amplitudes (9, 9).
    tilt
        RMS of one axis in rad per aperture.
    """

    samples: int
    fine: Single
    waves: tuple[tuple[NDArray[np.float64], NDArray[np.float64]], ...]
    tilt: float


def screen_nm(
    samples: int, aperture_mm: float, sky: Sky, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Return the path error over a square around the aperture at one moment, in nm.

    The moment is drawn at random: typical, not lucky. Tilt is in it, piston is not.

    Parameters
    ----------
    samples
        Of a side; the side is the aperture.
    aperture_mm
        Diameter of the aperture.
    sky
        Seeing, altitude and outer scale count; its `air` and `seed` do not.
    rng
        Where the chance comes from.

    Returns
    -------
    array
        (samples, samples), mean 0.

    Notes
    -----
    Source: spectrum of von Karman with r0 after Fried 1966; method as in this module's head.
    Checked by: tests/truth/test_screens.py
    """
    r0_m = fried_r0_m(sky.seeing_arcsec, SEEING_WAVELENGTH_NM, sky.altitude_deg)
    if math.isinf(r0_m):
        return np.zeros((samples, samples))
    phase = unit_screen(samples, sky.outer_scale_m / (aperture_mm * 1e-3), rng)
    strength = (aperture_mm * 1e-3 / r0_m) ** (5.0 / 6.0)
    phase *= strength * SEEING_WAVELENGTH_NM / (2.0 * math.pi)
    return phase


def unit_screen(samples: int, outer_scale: float, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return a screen of phase in rad for an aperture of 1 and r0 of 1.

    Parameters
    ----------
    samples
        Of a side.
    outer_scale
        In apertures; may be infinite.
    rng
        Where the chance comes from.

    Returns
    -------
    array
        (samples, samples), mean 0.

    Notes
    -----
    Checked by: tests/truth/test_screens.py
    """
    recipe = _recipe(samples, outer_scale)
    phase = _fine(recipe, rng)[:samples, :samples].astype(np.float64)
    phase += spread_out(_slow(recipe, rng), samples)
    phase -= phase.mean()
    return phase


def _fine(recipe: Recipe, rng: np.random.Generator) -> Single:
    """Return the part that the transform carries, over the whole periodic grid."""
    n, half = recipe.fine.shape
    noise = rng.standard_normal((n, half, 2), dtype=np.float32).view(np.complex64)[:, :, 0]
    noise *= recipe.fine
    noise *= np.float32(n / math.sqrt(2.0))
    # Only the real part of what these two columns make is kept, so they must be as much larger.
    noise[:, [0, -1]] *= np.float32(math.sqrt(2.0))
    return np.fft.irfft2(noise, s=(n, n)).astype(np.float32, copy=False)


def _slow(recipe: Recipe, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return plane waves and tilt at the few places that are interpolated."""
    where = places()
    slope_y, slope_x = recipe.tilt * rng.standard_normal(2)
    answer: NDArray[np.float64] = slope_y * where[:, None] + slope_x * where
    for frequency, amplitude in recipe.waves:
        chance = rng.standard_normal((2, *amplitude.shape))
        turns = np.exp(2j * math.pi * np.outer(where, frequency))
        answer += (turns @ (amplitude * (chance[0] + 1j * chance[1])) @ turns.T).real
    return answer


def places() -> NDArray[np.float64]:
    """Return the places over an aperture, -1/2 to 1/2, at which slow waves are computed.

    The polynomial through 12 such places (Chebyshev's, where errors are least) follows a wave of
    which three quarters fit the aperture to 1e-6.
    """
    steps = (np.arange(_PLACES) + 0.5) / _PLACES
    return np.asarray(-0.5 * np.cos(math.pi * steps))


def spread_out(values: NDArray[np.float64], samples: int) -> Single:
    """Return (samples, samples) interpolated from values at `places` along both axes."""
    between = _interpolation(samples)
    # Not by matrix product: threads of a linear-algebra library would only wait on each other.
    half = between @ values.astype(np.float32)
    answer: Single = np.einsum("ik,jk->ij", half, between)
    return answer


@lru_cache(maxsize=8)
def _interpolation(samples: int) -> Single:
    """Return (samples, _PLACES) weights of Lagrange's polynomials through the places."""
    nodes = places()
    where = (np.arange(samples) - samples // 2) / samples
    weights = np.ones((samples, _PLACES))
    for k in range(_PLACES):
        for other in np.delete(nodes, k):
            weights[:, k] *= (where - other) / (nodes[k] - other)
    return weights.astype(np.float32)


def long_recipe(samples: int, outer_scale: float, oversize: int) -> Recipe:
    """Return the recipe of a screen that is `oversize` times as wide as the aperture.

    For windows that move over it (simview.air.flow).
    """
    return _recipe(samples, outer_scale, oversize)


@lru_cache(maxsize=8)
def _recipe(samples: int, outer_scale: float, oversize: int = _OVERSIZE) -> Recipe:
    n = _fast_size(oversize * samples)
    step = samples / n
    waves = []
    for moment in _MOMENTS if oversize == _OVERSIZE else _LONG_MOMENTS:
        step /= 3.0
        frequency: NDArray[np.float64] = _CELLS * step
        power = _cell_power(frequency, step, outer_scale, moment)
        power[3:6, 3:6] = 0.0
        waves.append((frequency, np.sqrt(power)))
    return Recipe(
        samples=samples,
        fine=_fine_amplitude(n, samples, outer_scale),
        waves=tuple(waves),
        tilt=math.sqrt(_tilt_power(1.5 * step, outer_scale)),
    )


def _fast_size(least: int) -> int:
    """Return the smallest even number from `least` on that has only the factors 2, 3 and 5."""
    n = least + least % 2
    while True:
        rest = n
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return n
        n += 2


def _spectrum(square: NDArray[Real], outer_scale: float) -> NDArray[Real]:
    """Return the power spectrum for r0 = 1 at the square of the frequency."""
    floor = square.dtype.type(outer_scale**-2.0)
    power: NDArray[Real] = SPECTRUM * (square + floor) ** square.dtype.type(-11.0 / 6.0)
    return power


def _cell_power(
    frequency: NDArray[np.float64], step: float, outer_scale: float, moment: int
) -> NDArray[np.float64]:
    """Return the power of square cells, such that power x frequency^moment is exact."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    inside = frequency[:, None] + nodes * step / 2.0
    square = inside[:, :, None, None] ** 2 + inside**2
    density = _spectrum(square, outer_scale) * square ** (moment / 2.0)
    power: NDArray[np.float64] = (
        np.einsum("iujv,u,v->ij", density, weights, weights) * step**2 / 4.0
    )
    centre = np.hypot(frequency[:, None], frequency) ** moment
    np.divide(power, centre, out=power, where=centre > 0.0)
    power[centre == 0.0] = 0.0
    return power


def _tilt_power(half_width: float, outer_scale: float) -> float:
    """Return the mean square slope, per axis, of all frequencies in a square around 0.

    In polar coordinates, with f = u^3, which makes the integrand smooth down to 0.
    """
    nodes, weights = np.polynomial.legendre.leggauss(24)
    angle = math.pi / 8.0 * (nodes + 1.0)
    reach = (half_width / np.cos(angle)) ** (1.0 / 3.0)
    u = reach[:, None] * (nodes + 1.0) / 2.0
    # Slope (2 pi f)^2 / 2 per axis, area f df dt = 3 u^5 du dt, eight equal octants.
    inner = _spectrum(u**6, outer_scale) * 2.0 * math.pi**2 * u**6 * 3.0 * u**5
    along = (inner @ weights) * reach / 2.0
    return float(8.0 * (along @ weights) * math.pi / 8.0)


def _fine_amplitude(n: int, samples: int, outer_scale: float) -> Single:
    """Return the factor on the transform of white noise on an n x n grid.

    Cells keep their mean square slope; the inner 3 x 3 belong to the nested grids.
    """
    fy = np.fft.fftfreq(n, 1.0 / samples).astype(np.float32)[:, None]
    fx = np.fft.rfftfreq(n, 1.0 / samples).astype(np.float32)[None, :]
    step = samples / n
    # The mean over each cell by two Gauss points an axis.
    offset = np.float32(step / math.sqrt(12.0))
    power = np.zeros((n, n // 2 + 1), dtype=np.float32)
    for v in (-offset, offset):
        for u in (-offset, offset):
            square = (fy + v) ** 2 + (fx + u) ** 2
            power += _spectrum(square, outer_scale) * square / 4.0
    power /= np.maximum(fy**2 + fx**2, np.float32(step**2))
    power += _folded(fy, fx, samples)
    power[:2, :2] = power[-1:, :2] = 0.0
    return (n * step * np.sqrt(power)).astype(np.float32)


def _folded(fy: Single, fx: Single, samples: int) -> Single:
    """Return the spectrum from beyond the sampling, folded back where samples see it.

    The eight neighbouring copies one by one, the rest as white noise of the same power. It is
    smooth, so it is computed on a coarse grid and interpolated.
    """
    coarse = np.linspace(0.0, samples / 2.0, 33)
    power = np.zeros((33, 33))
    for a in (-samples, 0, samples):
        for b in (-samples, 0, samples):
            if (a, b) != (0, 0):
                power += _spectrum((coarse[:, None] + a) ** 2 + (coarse + b) ** 2, math.inf)
    # All beyond a circle of the same area as the nine copies: 2 pi f f^(-11/3), integrated.
    edge = 3.0 * samples / math.sqrt(math.pi)
    power += SPECTRUM * 1.2 * math.pi * edge ** (-5.0 / 3.0) / samples**2
    rows, columns = _linear(fy.ravel(), coarse), _linear(fx.ravel(), coarse)
    folded: Single = (rows @ power.astype(np.float32)) @ columns.T
    return folded


def _linear(places: Single, knots: NDArray[np.float64]) -> Single:
    """Return the weights of evenly spaced knots at places of either sign, interpolating."""
    step = knots[1] - knots[0]
    distance = np.abs(np.abs(places)[:, None] - knots.astype(np.float32)) / np.float32(step)
    weights: Single = np.maximum(1.0 - distance, 0.0).astype(np.float32)
    return weights
