"""The outline of two stars' light: whether it is drawn in between them, where no dark gap is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.starimage import Spread

Array = NDArray[np.float64]

# How far from the line through a pair its outline is looked for, of the distance of its stars; and
# at how many places along it.
_ACROSS: Final = np.linspace(0.0, 1.5, 121)
_ALONG: Final = 31

# From this depth on an outline is seen to be drawn in, arcsec at the eye on either side: twice the
# 5 arcsec by which a line's break is just seen (Westheimer 1975, Invest. Ophthalmol. 14, 570;
# memory), since the edge is soft. A choice.
DRAWN_IN_ARCSEC: Final = 10.0

# The light at which an eye is asked for the outline, of the fainter star's.
HALF_LIGHT: Final = 0.5


def hollows(
    image: Spread,
    separation_arcsec: float,
    lights: Sequence[tuple[float, float]],
    levels: Sequence[float],
) -> tuple[tuple[float, float], ...]:
    """Return how deep each outline is drawn in between two stars, and how wide it is at the second.

    Parameters
    ----------
    image
        A star's image.
    separation_arcsec
        Between the two.
    lights
        Places on the line through both, arcsec from the brighter one, and how bright they are.
    levels
        Of the outlines: shares of the light at the second star.

    Returns
    -------
    For each level the depth under the straight line from star to star, and half the width at the
    second star, arcsec.

    Notes
    -----
    Checked by: tests/unit/power/test_marks_of_curves_by_hand.py
    """
    along, across = np.linspace(0.0, separation_arcsec, _ALONG), separation_arcsec * _ACROSS
    light = np.zeros((len(across), len(along)))
    for place, share in lights:
        light += share * image(np.hypot(along[None, :] - place, across[:, None]))
    falling = -np.minimum.accumulate(light, axis=0)

    def hollow(level: float) -> tuple[float, float]:
        wide = np.array([np.interp(-level * light[0, -1], one, across) for one in falling.T])
        straight = np.interp(along, along[[0, -1]], wide[[0, -1]])
        return float((straight - wide).max()), float(wide[-1])

    return tuple(hollow(level) for level in levels)


def is_drawn_in(image: Spread, separation_arcsec: float, ratio: float, power: float) -> bool:
    """Return whether an eye sees that a pair without a gap is narrower between its stars.

    Unequal pairs closer than Rayleigh's limit have no dip along their line and look like a pear or
    a peanut all the same (Ferguson 2019, Sky & Telescope, June, 36).

    Parameters
    ----------
    image
        A star's image as receptors and nerves pass it on.
    separation_arcsec, ratio
        Between the two; the fainter one's light over the brighter one's.
    power
        Times.

    Notes
    -----
    Checked by: tests/truth/test_pairs_at_the_eye.py
    """
    lights = [(0.0, 1.0), (separation_arcsec, ratio)]
    ((depth, _),) = hollows(image, separation_arcsec, lights, [HALF_LIGHT])
    return depth * power >= DRAWN_IN_ARCSEC
