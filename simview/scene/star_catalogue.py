"""Star fields and open clusters from the Tycho-2 catalogue.

586,516 stars brighter than V = 10.5 lie in a memory-mapped file sorted by declination, so that a
field costs only its own zone. The very brightest, which saturated the survey, get the V and B-V
of a small table instead.
"""

from __future__ import annotations

import bisect
import math
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.scene import Stars
from simview.scene.star_colour import temperature_of_bv
from simview.scene.tables import DATA, records
from simview.units import ARCSEC_PER_RADIAN

# The catalogue's angle unit: 2**32 to a turn.
_TURN: Final = 2.0**32
_DEGREE: Final = _TURN / 360.0

# Marks an unknown B-V in the catalogue.
_UNKNOWN: Final = -32768

# Faintest V that the catalogue holds, by its cut.
FAINTEST_V: Final = 10.5

# Half-width beyond which the plane of the gnomonic projection is not drawn, deg: at 60 deg it
# already stretches by 1 / cos^2 = 4.
WIDEST_DEG: Final = 60.0

# Most stars that a frame is given: of a very wide one, the brightest.
MOST_STARS: Final = 40_000

# A bright star's own entry lies within this of the table's place, arcsec: proper motion and
# rounding stay well below it.
_SAME_STAR_ARCSEC: Final = 60.0

NOTE: Final = "Stars to V 10.5: real (Tycho-2, Høg et al. 2000)."


@remembered(1)
def catalogue() -> NDArray[Any]:
    """Return the catalogue, memory-mapped: ra, dec (2**-32 turns), v, bv (thousandths)."""
    return np.asanyarray(np.load(DATA / "stars" / "tycho2_v10.5.npy", mmap_mode="r"))


def zone(ra_deg: float, dec_deg: float, radius_deg: float) -> NDArray[Any]:
    """Return the catalogue's rows in a box that holds the circle around a place.

    The box is `radius_deg` high and as wide in right ascension as the circle needs; it crosses
    0 h and takes the whole turn when a pole is inside.
    """
    whole = np.asarray(catalogue())
    low = max(dec_deg - radius_deg, -90.0) * _DEGREE
    high = min(dec_deg + radius_deg, 90.0) * _DEGREE
    # A few places are looked up, so that the file need not be read as a whole.
    first, last = (bisect.bisect_left(whole["dec"], end) for end in (low, high))
    rows = whole[first:last]
    if abs(dec_deg) + radius_deg >= 90.0:
        return np.asarray(rows)
    half = math.asin(math.sin(math.radians(radius_deg)) / math.cos(math.radians(dec_deg)))
    start = np.uint32(int(ra_deg % 360.0 * _DEGREE) % 2**32)
    # Unsigned difference read as signed: the way round 0 h needs no case of its own.
    offset = np.subtract(rows["ra"], start, dtype=np.uint32).view(np.int32)
    return np.asarray(rows[np.abs(offset.astype(np.int64)) <= math.degrees(half) * _DEGREE + 1.0])


def project(
    ra_deg: NDArray[np.float64], dec_deg: NDArray[np.float64], centre: tuple[float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    """Project places onto the plane that touches the sky at `centre` (gnomonic).

    Returns
    -------
    x_arcsec, y_arcsec, front
        x to the right (west), y up (north); `front` is False on the far half of the sky.

    Notes
    -----
    Source: Calabretta & Greisen 2002, A&A 395, 1077, section 5.1.3.
    Checked by: tests/truth/test_star_catalogue.py
    """
    ra = np.radians(ra_deg - centre[0])
    dec = np.radians(dec_deg)
    dec0 = math.radians(centre[1])
    along = math.sin(dec0) * np.sin(dec) + math.cos(dec0) * np.cos(dec) * np.cos(ra)
    front = along > math.cos(math.radians(WIDEST_DEG + 15.0))
    safe = np.where(front, along, 1.0)
    east = np.cos(dec) * np.sin(ra) / safe
    north = (math.cos(dec0) * np.sin(dec) - math.sin(dec0) * np.cos(dec) * np.cos(ra)) / safe
    unit = ARCSEC_PER_RADIAN
    return -east * unit, north * unit, front


@lru_cache(maxsize=1)
def _bright() -> NDArray[np.float64]:
    rows = records("bright_stars.csv")
    keys = ("ra_deg", "dec_deg", "magnitude", "bv")
    return np.array([[float(row[key]) for key in keys] for row in rows])


def _with_bright(
    columns: NDArray[np.float64], centre: tuple[float, float], radius_deg: float
) -> NDArray[np.float64]:
    """Put the bright table's values in place of the survey's own; (4, N) ra, dec, v, bv."""
    bright = _bright()
    near = separation_deg(bright[:, 0], bright[:, 1], centre) <= radius_deg
    for ra, dec, magnitude, bv in bright[near]:
        apart = separation_deg(columns[0], columns[1], (ra, dec)) * 3600.0
        same = (apart < _SAME_STAR_ARCSEC) & (np.abs(columns[2] - magnitude) < 1.0)
        if same.any():
            best = int(np.argmin(np.where(same, apart, np.inf)))
            columns[2, best], columns[3, best] = magnitude, bv
        else:
            columns = np.column_stack([columns, [ra, dec, magnitude, bv]])
    return columns


def separation_deg(
    ra_deg: NDArray[np.float64], dec_deg: NDArray[np.float64], centre: tuple[float, float]
) -> NDArray[np.float64]:
    """Return the angle between places and a centre, deg."""
    ra, dec = np.radians(ra_deg - centre[0]), np.radians(dec_deg)
    dec0 = math.radians(centre[1])
    half = np.sin((dec - dec0) / 2) ** 2 + np.cos(dec) * math.cos(dec0) * np.sin(ra / 2) ** 2
    return np.asarray(np.degrees(2.0 * np.arcsin(np.sqrt(np.minimum(half, 1.0)))))


def stars_in(
    ra_deg: float, dec_deg: float, *, half_width_arcsec: float, faintest: float = FAINTEST_V
) -> Stars:
    """Return the stars in a square around a place, projected onto its plane.

    Parameters
    ----------
    ra_deg, dec_deg
        J2000.
    half_width_arcsec
        Half the side of the square on the sky's plane, at most 60 deg as an angle.
    faintest
        V magnitude down to which stars are wanted.
    """
    centre = (ra_deg % 360.0, dec_deg)
    tangent = math.sqrt(2.0) * half_width_arcsec / ARCSEC_PER_RADIAN
    radius = min(math.degrees(math.atan(tangent)), WIDEST_DEG + 10.0)
    rows = zone(*centre, radius)
    rows = rows[rows["v"] <= faintest * 1000.0]
    if len(rows) > 2 * MOST_STARS:
        # The zone is wider than the frame: keep twice as many.
        rows = rows[np.argpartition(rows["v"], 2 * MOST_STARS)[: 2 * MOST_STARS]]
    bv = np.where(rows["bv"] == _UNKNOWN, np.nan, rows["bv"] / 1000.0)
    columns = np.array(
        [rows["ra"] / _DEGREE, rows["dec"] / _DEGREE, rows["v"] / 1000.0, bv], dtype=np.float64
    )
    columns = _with_bright(columns, centre, radius)
    x, y, front = project(columns[0], columns[1], centre)
    inside = front & (np.abs(x) <= half_width_arcsec) & (np.abs(y) <= half_width_arcsec)
    return Stars(
        x_arcsec=x[inside],
        y_arcsec=y[inside],
        magnitude=columns[2][inside],
        temperature_k=temperature_of_bv(columns[3][inside]),
    )


def half_width_arcsec(pixel_arcsec: float, pixels: int) -> float:
    """Return half the side of a frame with a margin, so that stars just outside still glow in."""
    return 0.5 * pixel_arcsec * pixels * 1.05 + 2.0 * pixel_arcsec


def integrated_magnitude(magnitudes: NDArray[np.float64]) -> float | None:
    """Return the V magnitude of all the light together; None without stars."""
    if len(magnitudes) == 0:
        return None
    return float(-2.5 * np.log10(np.sum(10.0 ** (-0.4 * magnitudes))))
