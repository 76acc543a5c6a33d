"""Globular clusters: King's profile, a luminosity function, the published light.

Their brighter stars are drawn one by one, all others are a glow, and together they have the
published magnitude.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.noise import Values
from simview.scene.scene import Stars
from simview.scene.star_colour import temperature_of_bv

GLOBULAR_NOTE: Final = (
    "Cluster: light and profile published (Harris 1996; King 1962); its stars invented."
)

# Luminosity function of globular clusters, by absolute V: stars per magnitude against the one at
# M = 0, from giants' tip to turn-off. Source: shape after Sandage 1957 and Piotto et al. 2002, A&A
# 391, 945 (memory): giants grow as 10^0.32 M, horizontal branch at +0.6 with a fifth of them,
# steep rise at the turn-off, then flat.
_GIANT_GROWTH: Final = 0.32
_BRANCH_V: Final = 0.6
_BRANCH_WIDTH: Final = 0.22
_BRANCH_STARS: Final = 2.1
_TIP_V: Final = -2.6
_TURN_OFF_V: Final = 3.6
_FAINT_END_V: Final = 8.0

# Stars of a globular cluster are drawn one by one down to this V, but so many, and so much of its
# light, at the most: chance in the brightest is made good by the glow of the rest. Past the reach
# of 300 mm, for where some stand close together they show as one.
_DEEPEST_V: Final = 17.0
_MOST: Final = 15_000
_MOST_LIGHT: Final = 0.8


def seed_of(name: str) -> int:
    """Return a seed that belongs to a name, the same in every run."""
    return zlib.crc32(name.encode())


def placed(
    radius: NDArray[np.float64], rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return x and y of stars at distances from a middle, in every direction alike."""
    angle = rng.uniform(0.0, 2.0 * math.pi, len(radius))
    return radius * np.cos(angle), radius * np.sin(angle)


# Clusters that are no circles: minor over major axis, position angle of the major one, deg. Source:
# White & Shawl 1987, ApJ 317, 246 (ratios as in Harris 1996, edition 2010; angles from memory, to
# some 10 deg).
_OVAL: Final = {
    "omega-centauri": (0.83, 100.0),
    "m22": (0.86, 25.0),
    "m5": (0.86, 60.0),
    "m13": (0.89, 115.0),
    "m2": (0.89, 135.0),
    "m92": (0.90, 130.0),
    "47-tucanae": (0.91, 125.0),
    "m15": (0.95, 35.0),
    "m3": (0.96, 50.0),
}

# Rows of bright stars through the middle: position angle in deg, length in arcsec, how many, about
# of which V. Common descriptions of M 4 (no single source): a bar of 11th magnitude, 2.5 arcmin
# long.
_BARS: Final = {"m4": (168.0, 150.0, 11, 11.3)}


# Radius of half of the light, arcmin. Source: Harris 1996, AJ 112, 1487, edition 2010.
# Checked by: tests/truth/test_deep_sky_catalogue.py
_HALF_LIGHT: Final = {
    "m13": 1.69,
    "m92": 1.02,
    "m3": 2.31,
    "m5": 1.77,
    "m15": 1.00,
    "m2": 1.06,
    "m22": 3.36,
    "m4": 4.33,
    "m55": 2.83,
    "omega-centauri": 5.00,
    "47-tucanae": 3.17,
    "ngc-6397": 2.90,
    "ngc-6752": 1.91,
}

# Concentration from which a core counts as collapsed: Harris states 2.5 for it, which is no
# measured edge. The profile of such a cluster ends at this part of its visible diameter. Choice.
_COLLAPSED: Final = 2.2
_VISIBLE: Final = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Globular:
    """A globular cluster.

    Parameters
    ----------
    magnitude
        Integrated V.
    core_arcsec, edge_arcsec
        King's core and tidal radius.
    modulus
        Apparent distance modulus in V.
    """

    name: str
    magnitude: float
    core_arcsec: float
    edge_arcsec: float
    modulus: float

    @property
    def oval(self) -> tuple[float, float]:
        """Minor over major axis, and the major one's position angle in deg."""
        return _OVAL.get(self.name, (1.0, 0.0))

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Globular:
        """Return the cluster of a table's row; a collapsed core's profile is cut at its size."""
        core, concentration = float(row["first"]) * 60.0, float(row["second"])
        edge = core * 10.0**concentration
        if concentration > _COLLAPSED:
            edge = min(edge, float(row["major_arcmin"]) * 60.0 * _VISIBLE)
        return cls(
            name=row["name"],
            magnitude=float(row["magnitude"]),
            core_arcsec=core,
            edge_arcsec=edge,
            modulus=float(row["third"]),
        )

    def glow(self, radius_arcsec: Values) -> Values:
        """Return the surface brightness, 1 in the middle for a wide cluster.

        King's law falls as the square of distance outside the core; here it falls with the power
        that puts half of the light within the published radius: 2 for M 13, 0.8 for NGC 6397, whose
        core is collapsed.

        Source: King 1962, AJ 67, 471, eq. 14; the power is ours.
        Checked by: tests/truth/test_deep_sky.py (surface brightness in the middle)
        """
        power = np.float32(-0.25 * self.fall)
        rim = np.float32((1.0 + (self.edge_arcsec / self.core_arcsec) ** 2) ** float(power))
        here = (1.0 + (radius_arcsec / np.float32(self.core_arcsec)) ** 2) ** power
        inside = radius_arcsec < self.edge_arcsec
        return np.asarray(np.where(inside, (here - rim) ** 2, 0.0), np.float32)

    @property
    def fall(self) -> float:
        """The power of distance with which light falls outside the core."""
        half = _HALF_LIGHT.get(self.name)
        if half is None:
            return 2.0
        return _fall(self.core_arcsec, self.edge_arcsec, half * 60.0)


@remembered(32)
def _fall(core: float, edge: float, half: float) -> float:
    """Return the power at which half of the light lies within a radius, all in arcsec."""
    radius = np.concatenate([[0.0], np.geomspace(1e-4, 1.0, 3000)]) * edge
    x = 1.0 + (radius / core) ** 2
    low, high = 0.3, 4.0
    for _ in range(40):
        power = 0.5 * (low + high)
        light = (x ** (-0.25 * power) - x[-1] ** (-0.25 * power)) ** 2 * radius
        steps = 0.5 * (light[1:] + light[:-1]) * np.diff(radius)
        total = np.concatenate([[0.0], np.cumsum(steps)])
        if np.interp(0.5 * total[-1], total, radius) > half:
            low = power
        else:
            high = power
    return 0.5 * (low + high)


def flattened(
    cluster: Globular, x: NDArray[Any], y: NDArray[Any], *, back: bool = False
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return places of a round cluster where they stand in the oval one, area and light kept.

    `back` leads from the oval one to the round one.
    """
    axes, angle_deg = cluster.oval
    if axes == 1.0:
        return x, y
    kind, angle = np.asarray(x).dtype.type, math.radians(angle_deg)
    sin, cos = kind(math.sin(angle)), kind(math.cos(angle))
    longer = kind(math.sqrt(1.0 / axes) if not back else math.sqrt(axes))
    along, across = (y * cos - x * sin) * longer, (x * cos + y * sin) / longer
    return across * cos - along * sin, along * cos + across * sin


def _barred(cluster: Globular, stars: Stars, rng: np.random.Generator) -> Stars:
    """Return the stars with a row of bright ones through the middle, where reports have one."""
    if cluster.name not in _BARS:
        return stars
    angle_deg, length, count, magnitude = _BARS[cluster.name]
    row = np.argsort(np.abs(stars.magnitude - magnitude))[:count]
    along = np.linspace(-0.5, 0.5, count) * length + rng.normal(0.0, 0.03 * length, count)
    across, angle = rng.normal(0.0, 0.05 * length, count), math.radians(angle_deg)
    x, y = stars.x_arcsec.copy(), stars.y_arcsec.copy()
    x[row] = across * math.cos(angle) - along * math.sin(angle)
    y[row] = along * math.cos(angle) + across * math.sin(angle)
    return replace(stars, x_arcsec=x, y_arcsec=y)


def _counts(absolute: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the luminosity function at absolute magnitudes, stars per magnitude."""
    giants = 10.0 ** (_GIANT_GROWTH * absolute)
    dwarfs = 14.0 / (1.0 + np.exp(-(absolute - _TURN_OFF_V) / 0.25))
    height = _BRANCH_STARS / (_BRANCH_WIDTH * math.sqrt(2.0 * math.pi))
    branch = height * np.exp(-0.5 * ((absolute - _BRANCH_V) / _BRANCH_WIDTH) ** 2)
    held = np.minimum(giants, 10.0 ** (_GIANT_GROWTH * _TURN_OFF_V))
    return np.asarray(held + dwarfs + branch)


@remembered(16)
def globular_stars(cluster: Globular) -> tuple[Stars, float]:
    """Return a globular's single stars, and the share of its light that is left for the glow."""
    rng = np.random.default_rng(seed_of(cluster.name))
    edges = np.linspace(_TIP_V, _FAINT_END_V, 1061)
    middle, width = 0.5 * (edges[1:] + edges[:-1]), edges[1] - edges[0]
    per_bin = _counts(middle) * width
    light = per_bin * 10.0 ** (-0.4 * (middle + cluster.modulus))
    wanted = 10.0 ** (-0.4 * cluster.magnitude)
    scale = wanted / light.sum()
    total = np.cumsum(per_bin) * scale
    shares = np.cumsum(light) / light.sum()
    faintest = min(np.interp(_MOST, total, edges[1:]), np.interp(_MOST_LIGHT, shares, edges[1:]))
    deepest = min(_DEEPEST_V, float(faintest) + cluster.modulus)
    drawn = edges[1:] + cluster.modulus <= deepest
    numbers = rng.poisson(per_bin[drawn] * scale)
    absolute = np.repeat(middle[drawn], numbers) + rng.uniform(-0.5, 0.5, numbers.sum()) * width
    x, y = flattened(cluster, *placed(_king_radii(cluster, len(absolute), rng), rng))
    stars = Stars(
        x_arcsec=x,
        y_arcsec=y,
        magnitude=absolute + cluster.modulus,
        temperature_k=temperature_of_bv(_globular_bv(absolute, rng)),
    )
    left = 1.0 - float((10.0 ** (-0.4 * stars.magnitude)).sum()) / wanted
    return _barred(cluster, stars, rng), max(left, 0.02)


def _globular_bv(absolute: NDArray[np.float64], rng: np.random.Generator) -> NDArray[np.float64]:
    """Return B-V: giants redder the brighter, the horizontal branch from blue to yellow."""
    giants = np.clip(1.45 - 0.17 * (absolute - _TIP_V), 0.65, 1.5)
    giants = np.where(absolute > _TURN_OFF_V - 0.4, 0.45, giants)
    on_branch = np.abs(absolute - _BRANCH_V) < 2.0 * _BRANCH_WIDTH
    blue = on_branch & (rng.random(len(absolute)) < 0.7)
    return np.where(blue, rng.uniform(-0.1, 0.6, len(absolute)), giants)


def _king_radii(cluster: Globular, count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Draw distances from the middle by King's profile."""
    radius = np.concatenate([[0.0], np.geomspace(1e-3, 1.0, 4000)]) * cluster.edge_arcsec
    bright = cluster.glow(radius) * radius
    total = np.concatenate([[0.0], np.cumsum(0.5 * (bright[1:] + bright[:-1]) * np.diff(radius))])
    return np.asarray(np.interp(rng.random(count) * total[-1], total, radius), np.float64)
