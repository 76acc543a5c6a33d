"""Which stars of a double or multiple are judged as pairs, and the verdict on each in one view."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from simview.memory import Memory
from simview.power.drawing_pairs import Drawn, drawn_pair
from simview.power.splitting import Split, split_in_view

if TYPE_CHECKING:
    from simview.eye.state import EyeState
    from simview.eye.system import LightPath
    from simview.kit import Observer
    from simview.scene.scene import Stars, Target

# Closest pair that is judged, arcsec: two at one place are one star to any eye.
LEAST_ARCSEC: Final = 0.01

# Two pairs this many times further from each other than their own stars are pairs in their own
# right: Epsilon Lyrae. A choice; nothing else in the table of doubles comes near it.
APART: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two stars that are judged together.

    Parameters
    ----------
    name
        "A-B", "C-D": by the order in the table; "" for the only pair.
    separation_arcsec
        Between the two.
    magnitudes
        Of both, above the air.
    middle_arcsec
        Half way between them, right and up of the target's middle.
    places
        Of both among the target's stars, the fainter one last.
    """

    name: str
    separation_arcsec: float
    magnitudes: tuple[float, float]
    middle_arcsec: tuple[float, float] = (0.0, 0.0)
    places: tuple[int, int] = (0, 1)


def pairs_of(target: Target) -> tuple[Pair, ...]:
    """Return the pairs of a double star that are judged; () for anything else.

    The two brightest stars; or, of two close pairs far from each other, each of the two.
    """
    if target.kind != "double":
        return ()
    # What is held keeps its target: no other one takes its place in memory meanwhile.
    return _held.get(id(target), lambda: (target, _pairs(target)))[1]


# Of the latest targets: marks, figures, captions and prints of a view all ask.
_held: Final[Memory[tuple[object, tuple[Pair, ...]]]] = Memory(16, lambda _: 1)


def _pairs(target: Target) -> tuple[Pair, ...]:
    stars = target.scene(pixel_arcsec=target.size_arcsec / 8.0, pixels=32).stars
    if len(stars) < 2:
        return ()
    close = _two_pairs(stars, target.size_arcsec)
    if close is not None:
        return tuple(
            _pair(stars, both, name) for both, name in zip(close, ("A-B", "C-D"), strict=True)
        )
    first, second = (int(index) for index in np.argsort(stars.magnitude)[:2])
    return (_pair(stars, (first, second), ""),)


def _pair(stars: Stars, both: tuple[int, int], name: str) -> Pair:
    where = list(both)
    x, y = stars.x_arcsec[where], stars.y_arcsec[where]
    first, second = (float(m) for m in stars.magnitude[where])
    return Pair(
        name=name,
        separation_arcsec=max(math.hypot(x[1] - x[0], y[1] - y[0]), LEAST_ARCSEC),
        magnitudes=(first, second),
        middle_arcsec=(float(x.mean()), float(y.mean())),
        places=both if first <= second else (both[1], both[0]),
    )


def _two_pairs(stars: Stars, size_arcsec: float) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Return the places of the double's own four stars in their pairs; None where it is no such."""
    # Its own stars come first in the scene; neighbours stand further out.
    if len(stars) < 4:
        return None
    x, y = stars.x_arcsec[:4], stars.y_arcsec[:4]
    away = np.hypot(x[:, None] - x, y[:, None] - y)
    np.fill_diagonal(away, np.inf)
    nearest = [int(index) for index in away.argmin(axis=1)]
    if any(nearest[nearest[k]] != k for k in range(4)):
        return None
    mate = nearest[0]
    rest = [k for k in range(1, 4) if k != mate]
    widest = max(float(away[0, mate]), float(away[rest[0], rest[1]]))
    if widest * APART > size_arcsec:
        return None
    return (0, mate), (rest[0], rest[1])


# A view's figures, its rows and its print all ask for it.
@lru_cache(maxsize=64)
def _judged(path: LightPath, eye: EyeState, observer: Observer, pair: Pair) -> Split:
    return split_in_view(
        path,
        eye,
        observer,
        separation_arcsec=pair.separation_arcsec,
        magnitudes=pair.magnitudes,
    )


def judged_pairs(
    path: LightPath, eye: EyeState, observer: Observer, target: Target
) -> tuple[tuple[Pair, Split], ...]:
    """Return each pair of a double with the verdict on it in one view; () for anything else."""
    return tuple((pair, _judged(path, eye, observer, pair)) for pair in pairs_of(target))


def drawn_pairs(
    path: LightPath, eye: EyeState, observer: Observer, target: Target
) -> tuple[Drawn, ...]:
    """Return how each pair of a double is drawn, as it is judged; () for anything else."""
    return tuple(
        drawn_pair(
            path,
            observer,
            separation_arcsec=pair.separation_arcsec,
            magnitudes=pair.magnitudes,
            verdict=split.verdict,
        )
        for pair, split in judged_pairs(path, eye, observer, target)
    )
