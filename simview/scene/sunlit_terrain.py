"""Light on a height field: true cast shadows and slopes, for parallel light."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.noise import Values, slices

# The Sun's radius seen from the Moon, as tangent of 0.2666 deg: its limb softens shadows.
# Source: IAU nominal solar radius over 1 au.
_SUN_RADIUS: Final = 4.652e-3


# Columns in full light between others for which it is worth while to take those apart. A choice.
_GAP: Final = 64


def open_to_light(
    height: Values,
    step: float,
    slope: float,
    softness: float = 0.0,
    *,
    nothing_below: float = -math.inf,
) -> Values:
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
    nothing_below
        At points lower than this there is no ground, and nobody asks for its light.

    Returns
    -------
    (rows, n) float32
        0 to 1: the share of the disc that stands above the ground.

    Notes
    -----
    Rays of the disc's lower edge, its middle and its upper edge each find what stands highest in
    their way; the highest of them, seen from the point, is its horizon, and the light that of the
    disc's segment above it. A shadow's end is spread over a point's own step of ground, by which
    its ray clears more or less there.

    The disc's width along the horizon is left out: it rounds a shadow's flanks by a hundredth of
    the shadow's length.

    Checked by: tests/truth/test_moon_relief.py (length = height / tan(altitude); the segment of a
    disc above its horizon), tests/truth/test_shadows_of_ground.py (ground between the points),
    tests/unit/scene/test_light_in_the_open.py (that nothing is left out).
    """
    lit = np.empty(height.shape, np.float32)
    for here in slices(height.shape):
        half = _half_step(height[here], step * slope)
        # All of the disc shines where its lowest ray comes through, some where its highest does.
        doubtful = _clearance(height[here], step, slope - softness) <= half
        some_light = _clearance(height[here], step, slope + softness) > -half
        lit[here] = some_light
        doubtful &= some_light
        doubtful &= height[here] >= nothing_below
        for some in _stretches(np.asarray(doubtful.any(axis=0))):
            lit[here, some] = _share(height[here], half[:, some], some, (step, slope, softness))
    return lit


def _stretches(wanted: NDArray[np.bool_]) -> list[slice]:
    """Return slices that hold all that is wanted, apart where `_GAP` and more between is not."""
    places = np.flatnonzero(wanted)
    if not len(places):
        return []
    ends = np.flatnonzero(np.diff(places) > _GAP)
    first, last = places[np.append(0, ends + 1)], places[np.append(ends, -1)]
    return [slice(int(a), int(b) + 1) for a, b in zip(first, last, strict=True)]


def _clearance(height: Values, step: float, slope: float) -> Values:
    """Return by how much each point's ray clears all ground to its right.

    Where the ray of the disc's lower edge clears it by more than half a step of ground (h), the
    whole disc shines: ground at a distance d lies at least h / d lower than that ray, so its
    level is below -(softness + h / d), and that is beyond -sqrt(softness^2 + (h / d)^2). Where
    ground rises by h or more above the ray of the upper edge, nothing shines: its level is above
    softness + h / d, and a lower ray meets what stands farther, and no lower as seen from here.
    """
    level = height - np.arange(height.shape[1], dtype=np.float32) * np.float32(step * slope)
    highest = np.maximum.accumulate(level[:, ::-1], axis=1)[:, ::-1]
    level[:, :-1] -= highest[:, 1:]
    # The last point of each row has nothing before it.
    level[:, -1] = np.inf
    return level


def _share(height: Values, half: Values, some: slice, light: tuple[float, float, float]) -> Values:
    """Return the share of the disc that is seen from some of the columns."""
    step, slope, softness = light
    level, far = _horizon(height, some, (step, slope, -softness))
    for part in (0.0, softness) if softness else ():
        horizon, away = _horizon(height, some, (step, slope, part))
        higher = horizon > level
        np.copyto(level, horizon, where=higher)
        np.copyto(far, away, where=higher)
    spread = np.divide(half, far, out=far)
    # How high the horizon stands, in radii of a disc as wide as both together.
    spread *= spread
    spread += np.float32(max(softness * softness, 1e-20))
    level /= np.sqrt(spread, out=spread)
    lit = (level < 0.0).astype(np.float32)
    partly = np.abs(level) < 1.0
    lit[partly] = _above(level[partly])
    return lit


def _half_step(height: Values, rise: float) -> Values:
    """Return half of what a ray clears more or less from point to point: the lesser of both ways.

    `rise` is the ray's from point to point. So a lone peak is no ramp for its neighbours.
    """
    sinks = height[:, 1:] - height[:, :-1]
    sinks -= np.float32(rise)
    np.abs(sinks, out=sinks)
    sinks *= np.float32(0.5)
    half = np.zeros_like(height)
    if sinks.shape[1]:
        half[:, 0], half[:, -1] = sinks[:, 0], sinks[:, -1]
        np.minimum(sinks[:, 1:], sinks[:, :-1], out=half[:, 1:-1])
    return half


def _horizon(height: Values, some: slice, ray: tuple[float, float, float]) -> tuple[Values, Values]:
    """Return how high what stands highest in a ray's way is seen from some columns, and how far.

    As a slope over the light's own, of which the ray's differs by the last of `ray`. There are
    columns to the right; of all that is there the highest stands for it.
    """
    step, slope, part = ray
    count = some.stop - some.start
    columns = np.arange(height.shape[1], dtype=np.float32)[some.start :]
    level = height[:, some.start :] - columns * np.float32(step * (slope + part))
    top = level[:, count:].argmax(axis=1) + count
    where = np.empty((len(level), count + 1), np.float32)
    where[:, :-1], where[:, -1] = columns[:count], columns[top]
    level[:, count] = level[np.arange(len(level)), top]
    level = level[:, : count + 1]
    # From the right: the highest so far, and where it stands.
    highest = np.maximum.accumulate(level[:, ::-1], axis=1)[:, ::-1]
    np.copyto(where, np.float32(np.inf), where=level < highest)
    where = np.minimum.accumulate(where[:, ::-1], axis=1)[:, ::-1]
    # The point itself does not block its own light.
    away = where[:, 1:] - columns[:count]
    away *= np.float32(step)
    clear = level[:, :-1] - highest[:, 1:]
    clear /= away
    return np.subtract(np.float32(part), clear, out=clear), away


def _above(horizon: Values) -> Values:
    """Return the share of a disc above a level in radii from its middle: a circle's segment."""
    chord = horizon * np.sqrt(1.0 - horizon * horizon) + np.arcsin(horizon)
    return np.asarray(0.5 - chord / np.float32(math.pi), np.float32)


def sun_softness(slope: float) -> float:
    """Return the Sun's radius as a change of that slope."""
    return float(_SUN_RADIUS * (1.0 + slope * slope))


def higher_part(share: Values) -> Values:
    """Return by how much a disc's part above the horizon stands higher than its middle, as a sine.

    So ground that the Sun's middle does not light has light of its upper edge: the terminator
    fades out, it does not end.

    Parameters
    ----------
    share
        0 to 1, of the Sun's disc (`open_to_light`).

    Notes
    -----
    Of a disc of radius 1 the part above a level t has its mean height 2 (1 - t^2)^(3/2) / (3 pi)
    over its share: 0 for the whole, 4 / (3 pi) for the half, 1 for the last of it. A straight line
    through the first two is within a seventh of it.

    Checked by: tests/truth/test_moon_relief.py
    """
    return np.float32(8.0 / (3.0 * math.pi) * _SUN_RADIUS) * (np.float32(1.0) - share)


def gradient(height: Values, step: float) -> tuple[Values, Values]:
    """Return how fast a field rises to the right and upwards, per unit of `step`."""
    down, right = np.gradient(height)
    return np.asarray(right / step, np.float32), np.asarray(-down / step, np.float32)
