"""Light on a height field: true cast shadows and slopes, for parallel light."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

from simview.scene.noise import Values

# The Sun's radius seen from the Moon, as tangent of 0.2666 deg: its limb softens shadows.
# Source: IAU nominal solar radius over 1 au.
_SUN_RADIUS: Final = 4.652e-3

# Rays that stand for the Sun's disc. Under a low Sun the ends of a jagged crest's shadow lie in
# one penumbra, and wash out; three rays, with a hard edge each, drew them as a comb.
_RAYS: Final = 9


def open_to_light(height: Values, step: float, slope: float, softness: float = 0.0) -> Values:
    """Return how much of the light reaches each point of profiles along the light's way.

    The light comes from the right: a ray rises by `slope` for each unit to the right.
    A point lies in shadow when, anywhere to its right, the ground rises above its ray; with
    f(u) = height - slope u that is: when the running maximum of f from the right is above f.

    Parameters
    ----------
    height
        (rows, n) in the unit of `step`; each row is one profile. The values may hold the curve of
        the globe itself.
    step
        Distance between columns.
    slope
        Tangent of the light's angle above the horizontal; may be negative on a globe.
    softness
        Half-width of the light source, a disc, as a slope: 0 gives hard shadows.

    Returns
    -------
    (rows, n) float32
        0 to 1: the share of the disc that stands above the ground.

    Notes
    -----
    The disc's width along the horizon is left out: it rounds a shadow's flanks by a hundredth of
    the shadow's length.

    Checked by: tests/truth/test_moon_relief.py (length = height / tan(altitude); the segment of a
    disc above its horizon).
    """
    along = np.arange(height.shape[-1], dtype=np.float32) * np.float32(step)
    slopes = (slope,) if softness == 0.0 else tuple(slope + softness * k for k in _rays())
    total = np.zeros(height.shape, np.float32)
    for one in slopes:
        level = height - along * np.float32(one)
        # The highest of the others to the right; the point itself does not block its own light.
        right = np.full_like(level, -np.inf)
        right[..., :-1] = np.maximum.accumulate(level[..., :0:-1], axis=-1)[..., ::-1]
        edge = np.float32(max(step * abs(one), 1e-6))
        total += np.clip((level - right) / edge + 1.0, 0.0, 1.0)
    return total / np.float32(len(slopes))


@lru_cache(maxsize=1)
def _rays() -> tuple[float, ...]:
    """Return the heights, in radii from a disc's middle, of rays that carry equal light.

    The share of a disc below a chord is its segment's.
    """
    part = np.sin(np.linspace(-0.5, 0.5, 2001) * math.pi)
    below = 0.5 + (part * np.sqrt(1.0 - part * part) + np.arcsin(part)) / math.pi
    wanted = (np.arange(_RAYS) + 0.5) / _RAYS
    return tuple(float(v) for v in np.interp(wanted, below, part))


def sun_softness(slope: float) -> float:
    """Return the Sun's radius as a change of that slope."""
    return float(_SUN_RADIUS * (1.0 + slope * slope))


def gradient(height: Values, step: float) -> tuple[Values, Values]:
    """Return how fast a field rises to the right and upwards, per unit of `step`."""
    down, right = np.gradient(height)
    return np.asarray(right / step, np.float32), np.asarray(-down / step, np.float32)
