"""The craters that have fallen on the Moon since its lavas froze: few, of all sizes, worn by creep.

A plain holds nothing else below the pixels of the map of heights. How many there are is published,
and so is how fast slopes creep; from both follows what is left of each, and how rough the plain is:
a few crisp pits, more soft hollows, and smooth ground between them.
"""

from __future__ import annotations

import itertools
import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j0
from simview.scene.moon_bumps import crater_image
from simview.scene.noise import Values

# Coefficients of log10 N(> D) per km2 and 1000 million years, in powers of log10 of D in km, and of
# N(> 1 km) after t thousand million years, a (exp(b t) - 1) + c t. Source: Neukum, Ivanov &
# Hartmann 2001, Space Sci. Rev. 96, 55, read as crater counters quote it; -3.0876 as printed there
# for the first does not agree with their own c, -3.0768 does.
_BY_SIZE: Final = (
    *(-3.0768, -3.557528, 0.781027, 1.021521, -0.156012, -0.444058),
    *(0.019977, 0.086850, -0.005874, -0.006809, 8.25e-4, 5.54e-5),
)
_BY_AGE: Final = (5.44e-14, 6.93, 8.38e-4)

# Age of the lavas, thousand million years. Source: most maria erupted 3.6 to 3.3 ago: Hiesinger et
# al. 2011, Geol. Soc. Am. Spec. Pap. 477, 1 (memory).
AGE: Final = 3.4

# How fast slopes creep, km2 a thousand million years. Source: 5.5 m2 a million years, mean of the
# last 3000 million, Fassett & Thomson 2014, J. Geophys. Res. 119, 2255 (abstract).
_CREEP: Final = 5.5e-3

# Diameters between which there is a class of craters, km: smaller ones have all but crept away on
# the tile's points (choice); larger ones are pressed in one by one. And how many classes of age.
DIAMETERS_KM: Final = (0.33, 0.45, 0.6, 0.8, 1.02, 1.3)
_AGES: Final = 5

# How far a crater is drawn, of its radius and of what creep has spread.
_REACH: Final = (2.2, 2.5)


class Kind(NamedTuple):
    """Craters of one size and age: diameter in km, age in 1000 million years, number per km2."""

    diameter_km: float
    age: float
    per_km2: float

    @property
    def crept_km(self) -> float:
        """Over how far its slopes have crept: a Gaussian's standard deviation."""
        return math.sqrt(2.0 * _CREEP * self.age)


def per_km2(diameter_km: float, age: float = AGE) -> float:
    """Return how many craters larger than that have fallen on a km2 in an age."""
    power = math.log10(diameter_km)
    yearly = 10.0 ** sum(part * power**k for k, part in enumerate(_BY_SIZE))
    return float(yearly * _since(np.array(age)) / _BY_AGE[2])


def _since(age: NDArray[np.float64]) -> NDArray[np.float64]:
    burst, rate, steady = _BY_AGE
    return np.asarray(burst * np.expm1(rate * age) + steady * age)


def kinds() -> list[Kind]:
    """Return the classes of craters: as many in each class of age, of one size."""
    ages = np.linspace(0.0, AGE, 500)
    shares = (np.arange(_AGES) + 0.5) / _AGES
    middles = np.interp(shares, _since(ages) / _since(ages[-1]), ages)
    return [
        Kind(math.sqrt(low * high), float(age), (per_km2(low) - per_km2(high)) / _AGES)
        for low, high in itertools.pairwise(DIAMETERS_KM)
        for age in middles
    ]


def tile(side: int, point_km: float, rng: np.random.Generator) -> Values:
    """Return ground that joins itself at its edges, heights in km.

    Parameters
    ----------
    side
        Of the tile, points.
    point_km
        Their spacing.
    rng
        Where the randomness comes from.

    Returns
    -------
    (side, side) float32

    Notes
    -----
    Checked by: tests/truth/test_moon_young.py
    """
    places, heights = [], []
    for kind in kinds():
        shape = _drawn(kind, point_km).astype(np.float32).ravel()
        half = math.isqrt(len(shape)) // 2
        around = np.arange(-half, half + 1)
        count = rng.poisson(kind.per_km2 * (side * point_km) ** 2)
        rows, columns = ((rng.integers(0, side, count)[:, None] + around) % side for _ in range(2))
        places.append(((rows * side)[:, :, None] + columns[:, None, :]).ravel())
        heights.append(np.tile(shape, count))
    ground = np.bincount(np.concatenate(places), np.concatenate(heights), side * side)
    return np.asarray((ground - ground.mean()).reshape(side, side), np.float32)


def _drawn(kind: Kind, point_km: float) -> NDArray[np.float64]:
    """Return a crater's heights on a grid around its middle, means over the grid's points."""
    radius = 0.5 * kind.diameter_km
    half = math.ceil((_REACH[0] * radius + _REACH[1] * kind.crept_km) / point_km)
    along = np.arange(-half, half + 1) * point_km
    away = np.hypot(along[:, None], along[None, :])
    reach = float(away.max())
    # So close that the sum over waves comes round again beyond the grid's corners.
    waves = np.arange(0.5, 2.0 * reach / point_km) / (4.0 * reach)
    image = crater_image(waves, kind.diameter_km)
    # A square point's mean is, but for its corners, a Gaussian's of as wide a spread.
    spread = kind.crept_km**2 + point_km**2 / 12.0
    image *= np.exp(-2.0 * math.pi**2 * waves**2 * spread) * waves
    image *= 2.0 * math.pi * (waves[1] - waves[0])
    steps = np.linspace(0.0, reach, 8 * half)
    profile = j0(2.0 * math.pi * waves * steps[:, None]) @ image
    return np.asarray(np.interp(away, steps, profile))
