"""A mirror carried out of a warm room: how fast it cools, what its figure and its air do meanwhile.

The glass loses heat through both faces and the rim; the heat equation along the radius gives its
temperature, and so how far the surface stands up where it is still warm. Over warm glass the air
is thinner and unsteady: that is as bad seeing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.telescope.opening import REFERENCE_NM
from simview.telescope.wavefront import zernike

Vector = NDArray[np.float64]

# Warmth that goes over from glass to still air, W / (m2 K), natural convection and radiation
# together. Source: 2 to 25 for free convection of gases (Cengel, Heat Transfer, table of ranges); a
# black surface at 10 C radiates 4 s T^3 = 5.1. A choice within both.
TRANSFER_W: Final = 9.0

# Seeing of warm glass: 0.40 arcsec x (K)^(6/5). Source: Racine, Salmon, Cowley & Sovka 1991, PASP
# 103, 1020 (abstract), of a large mirror in its dome; the air's layer is much the same.
SEEING_ARCSEC: Final = 0.40
SEEING_POWER: Final = 1.2

# Rising warm air, path gained at the middle of the plume for each kelvin: 1e-6 of index a kelvin
# (air at 10 C and sea level, (n - 1) / T) over 10 mm. The thickness is a choice.
INDEX_A_KELVIN: Final = 0.98e-6
PLUME_MM: Final = 10.0

# A tube that is closed in front cools by so many times more slowly. Common practice, no source.
CLOSED: Final = 2.0

# A mirror's cell: sheet of aluminium, mm, and its heat, J / (m3 K). The thickness is a choice; 2700
# kg/m3 and 900 J / (kg K): tables of metals.
CELL_MM: Final = 3.0
CELL_HEAT: Final = 2700.0 * 900.0

# From a warm room to a cool night, K: a choice.
USUAL_DIFFERENCE_K: Final = 15.0

# A mirror whose mean is no warmer than this has cooled, K: its air is then 0.4 arcsec. A choice.
READY_K: Final = 1.0

# After so many minutes nobody waits any longer.
LONGEST_MINUTES: Final = 600.0

# Aperture over thickness of a usual mirror. Common practice, no source.
USUAL_THICKNESS: Final = 6.0

# Rings of the heat equation over the radius, and its steps a minute.
_RINGS: Final = 60
_STEPS_A_MINUTE: Final = 20

# Places along the radius at which a figure is taken apart into polynomials.
_FINE: Final = 4000

# Noll's indices of the round forms that stay after focusing.
_ROUND: Final = (11, 22, 37)


@dataclass(frozen=True, slots=True, kw_only=True)
class Glass:
    """What mirrors are made of.

    Parameters
    ----------
    density, heat, conductivity, expansion
        kg/m3, J/(kg K), W/(m K), 1/K.
    """

    density: float
    heat: float
    conductivity: float
    expansion: float


# Source: makers' sheets for borosilicate 3.3 (ISO 3585: 2.23 g/cm3, 830 J/(kg K), 3.3e-6; 1.14
# W/(m K) at 20 C, 1.2 at 90) and soda-lime float glass (2.4 to 2.5, 720 to 800, 8.6e-6 to 9e-6,
# 0.94 to 1.1).
GLASSES: Final = {
    "plate": Glass(density=2500.0, heat=800.0, conductivity=1.0, expansion=9.0e-6),
    "borosilicate": Glass(density=2230.0, heat=830.0, conductivity=1.14, expansion=3.3e-6),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mirror:
    """A round mirror of even thickness.

    Parameters
    ----------
    aperture_mm
        Its diameter.
    thickness_mm
        A sixth of it is usual (common practice, no source).
    glass
        A key of `GLASSES`.
    closed
        Whether it stands in a tube that is closed in front.
    """

    aperture_mm: float
    thickness_mm: float
    glass: str = "plate"
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooled:
    """The mirror some minutes after it was carried out.

    Parameters
    ----------
    warmer_k
        By how much its middle is still warmer than the air.
    noll
        What its figure is off, RMS waves at 550 nm by Noll's index, focused.
    seeing_arcsec
        Of the air over it.
    plume_waves
        Of the air that rises in the tube.
    """

    warmer_k: float
    noll: dict[int, float]
    seeing_arcsec: float
    plume_waves: float


def cooled(mirror: Mirror, minutes: float, difference_k: float = USUAL_DIFFERENCE_K) -> Cooled:
    """Return what a mirror does some minutes after it came out.

    Parameters
    ----------
    minutes
        0 to 600.
    difference_k
        By how much it was warmer than the night's air.

    Notes
    -----
    Checked by: tests/truth/test_cooling.py
    """
    share = profile(mirror, minutes)
    warm = difference_k * share
    mean = float(warm.mean())
    glass = GLASSES[mirror.glass]
    # Where it is warm the glass is thicker; the wavefront gains twice that.
    early_mm = 2.0 * glass.expansion * mirror.thickness_mm * warm
    waves = early_mm / (REFERENCE_NM * 1e-6)
    # Equal steps of r^2: the round polynomials are orthogonal in it. Many of them, or some of the
    # waves by which all of the glass is thicker would be taken for figure.
    r = np.sqrt((np.arange(_FINE) + 0.5) / _FINE)
    inner = np.interp(r, _places(), waves)
    noll = {j: float(np.mean(inner * zernike(j, r, np.zeros_like(r)))) for j in _ROUND}
    return Cooled(
        warmer_k=float(warm[0]),
        noll=noll,
        seeing_arcsec=SEEING_ARCSEC * max(mean, 0.0) ** SEEING_POWER,
        plume_waves=INDEX_A_KELVIN * mean * PLUME_MM / (REFERENCE_NM * 1e-6),
    )


def _places() -> Vector:
    """Return the rings' places, in radii of the mirror."""
    return np.asarray((np.arange(_RINGS) + 0.5) / _RINGS)


def profile(mirror: Mirror, minutes: float) -> Vector:
    """Return the share of its warmth that a mirror has kept, along its radius, (rings,).

    The heat equation in a disc: conduction along the radius, loss through both faces and the rim.
    Its thickness is taken to be of one temperature: (transfer x half thickness / conductivity) is
    some hundredths.

    Source: Carslaw & Jaeger, Conduction of Heat in Solids. Checked by: tests/truth/test_cooling.py
    """
    steps = round(minutes * _STEPS_A_MINUTE)
    return np.linalg.matrix_power(_step(mirror), steps) @ np.ones(_RINGS)


@lru_cache(maxsize=16)
def _step(mirror: Mirror) -> Vector:
    """Return the matrix of one step in time, implicit (Crank-Nicolson)."""
    glass = GLASSES[mirror.glass]
    transfer = TRANSFER_W / (CLOSED if mirror.closed else 1.0)
    radius, thick = mirror.aperture_mm / 2000.0, mirror.thickness_mm / 1000.0
    width = radius / _RINGS
    edges = width * np.arange(_RINGS + 1)
    area = math.pi * np.diff(edges**2)
    flow = glass.conductivity * 2.0 * math.pi * edges[1:-1] * thick / width
    loss = 2.0 * transfer * area
    # Half a ring of glass lies between the last ring's middle and the rim.
    series = 1.0 / (1.0 / transfer + 0.5 * width / glass.conductivity)
    loss[-1] += series * 2.0 * math.pi * radius * thick
    rate = np.diag(-loss)
    for k, each in enumerate(flow):
        rate[k, k] -= each
        rate[k + 1, k + 1] -= each
        rate[k, k + 1] += each
        rate[k + 1, k] += each
    rate /= (glass.density * glass.heat * thick * area)[:, None]
    half = 0.5 * 60.0 / _STEPS_A_MINUTE * rate
    one = np.eye(_RINGS)
    return np.asarray(np.linalg.solve(one - half, one + half))


def grip(mirror: Mirror, minutes: float) -> float:
    """Return how hard a cell grips glass that is still warm, against glass in a cold cell.

    The cell is thin metal and shrinks long before the glass does; then the glass follows and the
    grip loosens. 0 as it is carried out and when all is cold.

    Source: Newton's law of cooling for the cell. Checked by: tests/truth/test_cooling.py
    """
    seconds = CELL_MM / 1000.0 * CELL_HEAT / (2.0 * TRANSFER_W / (CLOSED if mirror.closed else 1.0))
    return float(profile(mirror, minutes)[-1]) - math.exp(-60.0 * minutes / seconds)


def mean_warmth_k(
    mirror: Mirror, minutes: float, difference_k: float = USUAL_DIFFERENCE_K
) -> float:
    """Return by how much the mirror's mean is warmer than the air."""
    return difference_k * float(profile(mirror, minutes).mean())


def minutes_until(
    mirror: Mirror, warmer_k: float, difference_k: float = USUAL_DIFFERENCE_K
) -> float:
    """Return after how many minutes, 600 at most, the mirror's mean is no more than so warm."""
    minutes = 0.0
    while minutes < LONGEST_MINUTES and mean_warmth_k(mirror, minutes, difference_k) > warmer_k:
        minutes += 1.0
    return minutes
