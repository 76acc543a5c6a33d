"""What an eye keeps of the air: the mean transfer of the best tenth of moments, or of usual ones.

A table over three figures, made by data/make_moments.py from many moments drawn one by one
(simview.air.ensemble): the air's strength D / r0, how far the wind goes while the eye takes in one
moment, in apertures, and frequency. Von Karman air of other outer scales differs by wander alone,
which the eye follows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.air.turbulence import STRUCTURE
from simview.air.wind import mean_wind_m_s

Values = NDArray[np.float64]
Real = TypeVar("Real", np.float32, np.float64)

TABLE: Final = Path(__file__).parent / "data" / "moments.npz"

# How long the eye takes in one moment, s. Light is summed over some 0.1 s in the dark and less in
# bright light (Watson 1986, "Temporal sensitivity", Handbook of Perception and Human Performance,
# ch. 6); stationary and slowly moving detail over about 0.1 s (Burr 1981, Proc. R. Soc. Lond. B
# 211, 321), fine gratings only while they hardly move. A bright planet lies between 0.03 (Roufs
# 1972, Vision Research 12, 261; from memory) and 0.1 s; the choice is the middle. What 0.03 and
# 0.1 s would change stands in docs/models/power.md.
EYE_SECONDS: Final = 0.05

# Quantiles of quality between which moments belong to each group.
GROUPS: Final = {"best": (0.9, 1.0), "typical": (0.4, 0.6)}

# -ln(kept) over (b / r0)^(5/3) at the smallest baselines, whose turbulence no choice of moments
# and no wander changes. Exact.
KOLMOGOROV: Final = STRUCTURE / 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Table:
    """The table as it is stored.

    Parameters
    ----------
    travels, strengths
        (t,) apertures that the mean wind goes in a moment; (s,) D / r0.
    depth
        (groups, t, s, f) how deep the air cuts: -ln(kept) over (b / r0)^(5/3), at frequencies
        even from 0 to the cut-off.
    doubt
        Like `depth`: standard error of what is kept, by chance.
    quality
        (t, s, 4) height of a star's middle against the perfect telescope's: mean, median, 0.9
        quantile and mean of the best tenth.
    moments
        How many were drawn for each of the travels.
    """

    travels: Values
    strengths: Values
    depth: Values
    doubt: Values
    quality: Values
    moments: int


@lru_cache(maxsize=1)
def table() -> Table:
    """Return the table, read once."""
    with np.load(TABLE) as stored:
        assert tuple(stored["groups"]) == tuple(GROUPS)
        return Table(
            travels=stored["travels"],
            strengths=stored["strengths"],
            depth=stored["depth"].astype(np.float64),
            doubt=stored["doubt"].astype(np.float64),
            quality=stored["quality"].astype(np.float64),
            moments=int(stored["moments"]),
        )


def travel_of(aperture_m: float) -> float:
    """Return how far the usual wind goes in the eye's moment, apertures."""
    return mean_wind_m_s() * EYE_SECONDS / aperture_m


def kept(group: str, *, baseline_m: NDArray[Real], aperture_m: float, r0_m: float) -> NDArray[Real]:
    """Return the factor that a group of moments leaves on the telescope's transfer function.

    Parameters
    ----------
    group
        "best" or "typical".
    baseline_m
        Any shape, wavelength times frequency, not negative; past the aperture the factor has no
        meaning and stays as it is there.
    r0_m
        At the wavelength, along the line of sight.

    Returns
    -------
    array
        Like `baseline_m`, 0 to 1.

    Notes
    -----
    Checked by: tests/truth/test_moments.py
    """
    curve = _curve(group, aperture_m / r0_m, travel_of(aperture_m))
    place = baseline_m * (_NODES / aperture_m)
    np.minimum(place, _NODES * (1.0 - 1e-6), out=place)
    step = place.astype(np.int32)
    place -= step
    place *= curve[1].astype(place.dtype)[step]
    place += curve[0].astype(place.dtype)[step]
    return place


def kept_by(group: str, *, baseline_m: Values, apertures_m: Values, r0_m: float) -> Values:
    """Return (apertures, baselines) what a group of moments leaves through each of many apertures.

    Parameters
    ----------
    baseline_m, apertures_m
        (b,) and (a,), as in `kept`; past an aperture the factor stays as it is at its edge.
    """
    places = _places_at(np.minimum(baseline_m / apertures_m[:, None], 1.0))
    strength = apertures_m / r0_m
    return _kept_at(group, strength, mean_wind_m_s() * EYE_SECONDS / apertures_m, places)


# Steps of a curve from frequency 0 to the cut-off.
_NODES: Final = 4096


@lru_cache(maxsize=256)
def _curve(group: str, strength: float, travel: float) -> Values:
    """Return (2, _NODES + 1) what is kept at even frequencies, and the rise to the next."""
    answer = _kept_at(group, np.array([strength]), np.array([travel]), _even_places())[0]
    return np.stack((answer, np.diff(answer, append=answer[-1])))


class _Places(NamedTuple):
    """Where frequencies lie among the table's: the step before each, how far on, nu^(5/3)."""

    step: NDArray[np.int32]
    share: Values
    power: Values


def _places_at(nu: Values) -> _Places:
    """Return where frequencies in cut-offs lie among the table's, even in the cube root between."""
    last = table().depth.shape[-1] - 1
    step = np.minimum((nu * last).astype(np.int32), last - 1)
    nodes = np.cbrt(np.arange(last + 1) / last)
    root = np.cbrt(nu)
    share = (root - nodes[step]) * (1.0 / np.diff(nodes))[step]
    square = root * root
    return _Places(step, share, square * square * root)


@lru_cache(maxsize=1)
def _even_places() -> _Places:
    return _places_at(np.arange(_NODES + 1)[None] / _NODES)


def _kept_at(group: str, strength: Values, travel: Values, places: _Places) -> Values:
    """Return (n, f) what is kept at n strengths and travels, between the table's nodes.

    Depth is linear in ln(D / r0), in the root of the travel and in the cube root of the frequency,
    in which it falls evenly from its exact value at 0 (Fried 1966).
    """
    known = table()
    depth = known.depth[list(GROUPS).index(group)]
    low, way = _place(np.sqrt(travel), np.sqrt(known.travels))
    first, air = _place(np.log(strength), np.log(known.strengths))
    way, air = way[:, None], air[:, None]
    slower, faster = (
        depth[row, first] * (1.0 - air) + depth[row, first + 1] * air for row in (low, low + 1)
    )
    curves = slower * (1.0 - way) + faster * way
    curves *= -(strength[:, None] ** (5.0 / 3.0))
    rises = np.diff(curves, append=0.0)
    at = places.step + curves.shape[1] * np.arange(len(curves), dtype=np.int32)[:, None]
    answer = rises.ravel()[at]
    answer *= places.share
    answer += curves.ravel()[at]
    answer *= places.power
    return np.asarray(np.exp(answer, out=answer))


def _place(wanted: Values, places: Values) -> tuple[NDArray[np.intp], Values]:
    """Return the step in which each value lies and how far on; an end where it lies past one."""
    held = np.clip(wanted, places[0], places[-1])
    step = np.clip(np.searchsorted(places, held) - 1, 0, len(places) - 2)
    return step, (held - places[step]) / (places[step + 1] - places[step])
