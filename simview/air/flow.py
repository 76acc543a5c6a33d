"""Turbulent air in motion: a fast stream of screens for films.

Each layer of air is a pattern that the wind carries past the telescope (frozen flow, Taylor 1938)
while it slowly turns into another (boiling). A layer is held as one large periodic screen whose
real and imaginary part are two independent patterns; a moment is a window of it at the place where
the wind has got to, the two parts mixed by an angle that grows with time:

    screen(r, t) = cos(t / boil) A(r - v t) + sin(t / boil) B(r - v t)

which has the same statistics at every moment, and loses its memory as cos(t / boil). What is too
slow for the large screen is carried by plane waves moved exactly. Any moment can be asked for, in
any order. Interpolation between samples smooths the finest scales: at worst 20 % of the structure
function at one sample is lost, 7 % at two, 2 % at four, where there is hardly any turbulence.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.air.screens import Recipe, long_recipe, places, spread_out
from simview.air.seeing import SEEING_WAVELENGTH_NM, fried_r0_m
from simview.air.wind import LAYERS, Layer, mean_wind_m_s
from simview.errors import RangeError, SimviewError, require_range
from simview.kit import Sky

Single = NDArray[np.float32]
Single2 = NDArray[np.complex64]

# Side of the large screen in samples, about, and in apertures at most. Its memory is 8 bytes a
# sample and layer.
_LARGE: Final = 2048
_WIDEST: Final = 16

# The wind's direction is turned by up to this much where the window would otherwise soon run over
# the same part of the periodic screen again, deg. A choice.
_TURN_DEG: Final = 6.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drift:
    """One layer set up for a telescope; lengths in apertures, phase in rad for r0 of 1.

    Parameters
    ----------
    large
        (n, n) complex64, periodic.
    velocity
        Apertures a second: to the right, and down.
    strength
        Factor from rad for r0 of 1 to nm of path.
    frequency
        (k,) of the plane waves along either axis, all levels.
    waves
        (k, k) complex weights, block by block.
    slope
        (2,) of the slowest part, per aperture: down, to the right; complex for its two patterns.
    """

    large: Single2
    velocity: tuple[float, float]
    boil_s: float
    strength: float
    frequency: NDArray[np.float64]
    waves: NDArray[np.complex128]
    slope: NDArray[np.complex128]

    @property
    def period(self) -> int:
        """Samples across the large screen."""
        return len(self.large)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flow:
    """Air in motion over a telescope.

    Made by `start`; gives screens for any moment. Nothing in it changes, so that moments may be
    computed side by side.

    Parameters
    ----------
    samples
        Of a screen's side.
    drifts
        The layers.
    """

    samples: int
    drifts: tuple[_Drift, ...]

    def screen_nm(self, seconds: float) -> Single:
        """Return the path error over a square around the aperture at a moment.

        Parameters
        ----------
        seconds
            Since the start; -0.5 to 1e6.

        Returns
        -------
        array
            (samples, samples) float32, nm, mean 0. Tilt is in it.

        Raises
        ------
        RangeError
            For a moment out of range.

        Notes
        -----
        Source: frozen flow: Taylor 1938, Proc. R. Soc. A 164, 476; Roddier 1981.
        Checked by: tests/truth/test_flow.py
        """
        seconds = require_range("seconds", seconds, -0.5, 1e6, unit="s")
        total = np.zeros((self.samples, self.samples), dtype=np.float32)
        slow = np.zeros((len(places()), len(places())))
        for drift in self.drifts:
            mixed = drift.strength * np.exp(-1j * ((seconds / drift.boil_s) % (2.0 * math.pi)))
            moved = (drift.velocity[0] * seconds, drift.velocity[1] * seconds)
            total += _window(drift, self.samples, moved, mixed)
            slow += _slow(drift, moved, mixed)
        total += spread_out(slow, self.samples)
        total -= total.mean()
        return total

    def frames(self, count: int, frames_per_second: float = 30.0) -> Iterator[Single]:
        """Give `count` screens, evenly spaced in time from 0 on.

        Raises
        ------
        RangeError
            For no frames at all, or a rate out of range.
        """
        if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= 100000:
            raise RangeError("frames", got=count, allowed="whole numbers 1 to 100000")
        rate = require_range("frames_per_second", frames_per_second, 0.1, 10000.0, unit="1/s")
        for number in range(count):
            yield self.screen_nm(number / rate)


def start(
    samples: int,
    aperture_mm: float,
    sky: Sky,
    rng: np.random.Generator,
    layers: Sequence[Layer] = LAYERS,
) -> Flow:
    """Set up air in motion over an aperture.

    Parameters
    ----------
    samples
        Of a screen's side, 8 to 1024.
    aperture_mm
        Diameter of the aperture, which is the side of a screen.
    sky
        Seeing, altitude and outer scale count.
    rng
        Where the chance comes from.
    layers
        At least one.

    Raises
    ------
    SimviewError
        For no layers, or samples out of range.

    Notes
    -----
    Checked by: tests/truth/test_flow.py
    """
    if isinstance(samples, bool) or not isinstance(samples, int) or not 8 <= samples <= 1024:
        raise RangeError("screen samples", got=samples, allowed="whole numbers 8 to 1024")
    aperture_m = require_range("aperture_mm", aperture_mm, 1.0, 20000.0, unit="mm") * 1e-3
    if not layers:
        raise SimviewError("layers", got="none", allowed="at least one")
    r0_m = fried_r0_m(sky.seeing_arcsec, SEEING_WAVELENGTH_NM, sky.altitude_deg)
    if math.isinf(r0_m):
        return Flow(samples=samples, drifts=())
    whole = (aperture_m / r0_m) ** (5.0 / 6.0) * SEEING_WAVELENGTH_NM / (2.0 * math.pi)
    oversize = max(2, min(_WIDEST, _LARGE // samples))
    recipe = long_recipe(samples, sky.outer_scale_m / aperture_m, oversize)
    shares = sum(layer.share for layer in layers)
    return Flow(
        samples=samples,
        drifts=tuple(
            _drift(recipe, layer, aperture_m, whole * math.sqrt(layer.share / shares), rng)
            for layer in layers
        ),
    )


def coherence_seconds(
    sky: Sky, wavelength_nm: float = SEEING_WAVELENGTH_NM, layers: Sequence[Layer] = LAYERS
) -> float:
    """Return how long the wavefront stays alike, in seconds; infinite without wind or seeing.

    Frozen flow alone: 0.314 r0 / v, with the wind averaged over the layers as the power 5/3.

    Source: Roddier 1981, Progress in Optics 19, 281.
    Checked by: tests/truth/test_flow.py
    """
    wind = mean_wind_m_s(layers)
    r0_m = fried_r0_m(sky.seeing_arcsec, wavelength_nm, sky.altitude_deg)
    return math.inf if wind == 0.0 else 0.314 * r0_m / wind


def _drift(
    recipe: Recipe, layer: Layer, aperture_m: float, strength: float, rng: np.random.Generator
) -> _Drift:
    period = len(recipe.fine)
    apertures = period / recipe.samples
    angle = math.radians(_long_way_deg(layer.direction_deg, apertures))
    speed = layer.wind_m_s / aperture_m
    size = len(recipe.waves) * 9
    weights = np.zeros((size, size), dtype=np.complex128)
    for level, (_, amplitude) in enumerate(recipe.waves):
        block = slice(9 * level, 9 * level + 9)
        chance = rng.standard_normal((2, 9, 9))
        weights[block, block] = amplitude * (chance[0] + 1j * chance[1])
    slope = rng.standard_normal((2, 2))
    return _Drift(
        large=_large(recipe, rng),
        velocity=(speed * math.cos(angle), -speed * math.sin(angle)),
        boil_s=layer.boil_s,
        strength=strength,
        frequency=np.concatenate([frequency for frequency, _ in recipe.waves]),
        waves=weights,
        slope=recipe.tilt * (slope[0] + 1j * slope[1]),
    )


def _large(recipe: Recipe, rng: np.random.Generator) -> Single2:
    """Return two independent large screens as one complex one."""
    n = len(recipe.fine)
    spectrum = np.empty((n, n), dtype=np.complex64)
    noise = np.empty((n, n), dtype=np.float32)
    spectrum.real = rng.standard_normal(out=noise, dtype=np.float32)
    spectrum.imag = rng.standard_normal(out=noise, dtype=np.float32)
    half = n // 2 + 1
    spectrum[:, :half] *= recipe.fine
    # The spectrum is even: column -k has the amplitudes of column k with the rows reversed.
    spectrum[:, half:] *= np.roll(recipe.fine[::-1, half - 2 : 0 : -1], 1, axis=0)
    spectrum *= np.float32(n)  # white noise of the samples, transformed, has n^2 a frequency
    screen: Single2 = fft.ifft2(spectrum, workers=2, overwrite_x=True)
    return screen


def _window(drift: _Drift, samples: int, moved: tuple[float, float], mixed: complex) -> Single:
    """Return what the aperture sees of the large screen when it has moved so far, in nm.

    Cubic interpolation between samples; all of a window's samples share one fraction.

    Parameters
    ----------
    moved
        Apertures to the right, and down.
    mixed
        Mixing angle of the two patterns, as a complex number with the strength as its length.
    """
    row, column = -moved[1] * samples, -moved[0] * samples
    top, left = math.floor(row), math.floor(column)
    first, start = (top - 1) % drift.period, (left - 1) % drift.period
    part = _part(drift.large, first, start, samples + 3)
    plane = part.real * np.float32(mixed.real)
    plane -= part.imag * np.float32(mixed.imag)
    return _between(_between(plane, row - top).T, column - left).T


def _part(large: Single2, first: int, start: int, side: int) -> Single2:
    """Return a square of a periodic screen; past its end it begins again."""
    n = len(large)
    if max(first, start) + side <= n:
        return large[first : first + side, start : start + side]
    rows, columns = ((np.arange(side) + at) % n for at in (first, start))
    return np.asarray(large[np.ix_(rows, columns)])


def _between(plane: Single, fraction: float) -> Single:
    """Return the rows of a plane moved by a fraction of a row; three rows fewer.

    Cubic through four neighbours (Lagrange).
    """
    f = fraction
    weights = (
        -f * (f - 1.0) * (f - 2.0) / 6.0,
        (f + 1.0) * (f - 1.0) * (f - 2.0) / 2.0,
        -(f + 1.0) * f * (f - 2.0) / 2.0,
        (f + 1.0) * f * (f - 1.0) / 6.0,
    )
    rows = len(plane) - 3
    answer = plane[:rows] * np.float32(weights[0])
    for k in (1, 2, 3):
        answer += plane[k : k + rows] * np.float32(weights[k])
    return answer


def _slow(drift: _Drift, moved: tuple[float, float], mixed: complex) -> NDArray[np.float64]:
    """Return the plane waves and the tilt at the places that are interpolated, in nm."""
    where = places()
    turns = 2j * math.pi * drift.frequency
    rows = np.exp(np.outer(where - moved[1], turns))
    columns = np.exp(np.outer(turns, where - moved[0]))
    # Each wave's weight holds a pair of patterns: turning it by the mixing angle mixes them.
    carried: NDArray[np.float64] = np.real(rows @ (drift.waves * mixed) @ columns)
    slope = (drift.slope * mixed).real
    # The constant that a moving tilt adds is piston, which nobody sees.
    carried += slope[0] * where[:, None] + slope[1] * where
    return carried


def _long_way_deg(direction_deg: float, apertures: float) -> float:
    """Return the direction near the wanted one that longest avoids its own track.

    On a periodic screen a window that moves along the grid comes back after one period; a few
    degrees make it cross the whole screen first.
    """
    turns = np.linspace(-_TURN_DEG, _TURN_DEG, 49)
    angles = np.radians(direction_deg + turns)
    way = np.arange(2.0, 40.0 * apertures, 0.25)
    x = np.outer(np.cos(angles), way) / apertures
    y = np.outer(np.sin(angles), way) / apertures
    distance = np.hypot(x - np.rint(x), y - np.rint(y)) * apertures
    back = distance < 1.0
    first = np.where(back.any(axis=1), way[back.argmax(axis=1)], way[-1])
    return direction_deg + float(turns[first.argmax()])
