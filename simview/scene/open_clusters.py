"""Open clusters: how much light the catalogue's stars give, and the faint members for the rest.

The stars to V 10.5 are real and stay as they are. What they lack of the published magnitude comes
from fainter members, which are invented: their number at least the published one, their
brightness after a luminosity function, their places after a published profile. Where the real stars
give more light than is published, nothing is taken from them, and faint members come on top.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.clusters import placed, seed_of
from simview.scene.faint_stars import DEEPEST_V
from simview.scene.scene import Stars
from simview.scene.star_catalogue import FAINTEST_V, separation_deg, stars_in
from simview.scene.star_colour import temperature_of_bv
from simview.scene.tables import records
from simview.units import illuminance_lux

NOTE: Final = "Faint members: invented, light and number published (Archinal & Hynes 2003)."

# Growth of an open cluster's star number with magnitude, log10 per mag: what is usual, and the
# steepest that is tried, which is the field's own. Source: typical of the main sequence between
# V 10 and 16, e.g. Phelps & Janes 1993, AJ 106, 1870 (memory).
_GROWTH: Final = 0.20
_STEEPEST: Final = 0.45

# Most members that are supplied, against the published number: lists count to about V 12.5
# (judged), and at the usual growth there are four times as many to V 15.5.
_MORE: Final = 4

# Field stars brighter than this are too few to be subtracted by their mean; those that are known
# to be none of the cluster's are named in cluster_strangers.csv. V; judged.
_FIELD_FROM_V: Final = 7.5

# The field is counted from this many radii out to the side of a square of this half-width at
# least, deg, and of this many radii.
_RING_INSIDE: Final = 1.5
_RING_DEG: Final = 2.0
_RING_OUTSIDE: Final = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCluster:
    """An open cluster.

    Parameters
    ----------
    magnitude
        Integrated V, published.
    count
        Published number of members.
    core_arcsec, edge_arcsec
        The number of faint members per area falls as 1 / (1 + (r / core)^2) to the edge, which is
        half of the published diameter. Source: King 1962, AJ 67, 471, eq. 13 (memory).
    """

    name: str
    ra_deg: float
    dec_deg: float
    magnitude: float
    count: int
    core_arcsec: float
    edge_arcsec: float

    @classmethod
    def of(cls, row: Mapping[str, str]) -> OpenCluster:
        """Return the cluster of a table's row."""
        return cls(
            name=row["name"],
            ra_deg=float(row["ra_deg"]),
            dec_deg=float(row["dec_deg"]),
            magnitude=float(row["magnitude"]),
            count=int(row["first"]),
            core_arcsec=60.0 * float(row["second"]),
            edge_arcsec=30.0 * float(row["major_arcmin"]),
        )


@remembered(64)
def _real_lux(cluster: OpenCluster) -> float:
    """Return the light of the catalogue's members, lux above the air.

    All stars within the published diameter, without the named strangers and without as much light
    as stars fainter than V 7.5 give on the same area further out.

    Checked by: tests/truth/test_open_clusters.py
    """
    half = max(_RING_OUTSIDE * cluster.edge_arcsec, 3600.0 * _RING_DEG)
    stars = stars_in(cluster.ra_deg, cluster.dec_deg, half_width_arcsec=half)
    light, away = illuminance_lux(stars.magnitude), np.hypot(stars.x_arcsec, stars.y_arcsec)
    inner = _RING_INSIDE * cluster.edge_arcsec
    field = light[(away > inner) & (stars.magnitude > _FIELD_FROM_V)].sum()
    area = 4.0 * half**2 - math.pi * inner**2
    inside = light[away < cluster.edge_arcsec].sum()
    return float(inside - field / area * math.pi * cluster.edge_arcsec**2 - _strange_lux(cluster))


def _strange_lux(cluster: OpenCluster) -> float:
    """Return the light of the named stars that only stand before or behind the cluster."""
    total = 0.0
    for row in records("cluster_strangers.csv"):
        if row["cluster"] == cluster.name:
            place = np.array([float(row["ra_deg"])]), np.array([float(row["dec_deg"])])
            apart = separation_deg(*place, (cluster.ra_deg, cluster.dec_deg))
            inside = bool(apart[0] * 3600.0 < cluster.edge_arcsec)
            total += float(illuminance_lux(float(row["magnitude"]))) if inside else 0.0
    return total


def _magnitudes(share: NDArray[np.float64], growth: float) -> NDArray[np.float64]:
    """Return V of members whose number grows as 10^(growth V) between catalogue and deepest."""
    power = growth * math.log(10.0)
    width = DEEPEST_V - FAINTEST_V
    return np.asarray(FAINTEST_V + np.log1p(share * math.expm1(power * width)) / power)


def _growth_of(share: NDArray[np.float64], wanted: float) -> float:
    """Return the growth at which the members' light is the wanted one, or the nearest to it.

    Where the real stars give more than the published light, faint ones are as usual: what is
    published leaves something out, and there are faint members all the same.
    """
    if wanted <= 0.0:
        return _GROWTH
    low, high = 0.9 * _GROWTH, _STEEPEST
    for _ in range(40):
        middle = 0.5 * (low + high)
        if illuminance_lux(_magnitudes(share, middle)).sum() > wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@remembered(32)
def faint_members(cluster: OpenCluster) -> Stars:
    """Return a cluster's invented members between V 10.5 and 15.5, around its middle.

    They give what the real stars lack of the published light, where they do lack any: by a greater
    number than the published one (up to fourfold), or by being fainter than usual, as far as that
    goes.

    Checked by: tests/truth/test_open_clusters.py
    """
    if cluster.count == 0:
        return Stars.none()
    rng = np.random.default_rng(seed_of(cluster.name))
    wanted = float(illuminance_lux(cluster.magnitude)) - max(_real_lux(cluster), 0.0)
    usual = illuminance_lux(_magnitudes((np.arange(1000) + 0.5) / 1000, _GROWTH)).mean()
    count = min(max(round(wanted / usual), cluster.count), _MORE * cluster.count)
    # One star from each step of the number, so that chance does not move the light.
    share = (np.arange(count) + rng.random(count)) / count
    magnitude = _magnitudes(share, _growth_of(share, wanted))
    span = math.log1p((cluster.edge_arcsec / cluster.core_arcsec) ** 2)
    x, y = placed(cluster.core_arcsec * np.sqrt(np.expm1(rng.random(count) * span)), rng)
    bv = np.clip(0.25 + 0.13 * (magnitude - FAINTEST_V) + rng.normal(0, 0.15, count), -0.2, 1.6)
    return Stars(x_arcsec=x, y_arcsec=y, magnitude=magnitude, temperature_k=temperature_of_bv(bv))
