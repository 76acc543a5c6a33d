"""Light on ground against every point's horizon found one by one: nothing is passed over."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from simview.scene.sunlit_terrain import open_to_light

Array = NDArray[np.float64]
STEP, SUN = 0.5, 4.65e-3


def ground(rows: int, columns: int) -> Array:
    """Two rough ranges of hills with a plain between them, falling away like a globe."""
    rough = np.random.default_rng(8).normal(0.0, 1.0, (rows, columns))
    rough = (rough + np.roll(rough, 1, 1) + np.roll(rough, 2, 1)) / 3.0
    along = np.arange(columns) * STEP
    hills = np.exp(-(((along - 30.0) / 12.0) ** 2)) + np.exp(-(((along - 150.0) / 12.0) ** 2))
    return np.asarray(0.6 * rough * hills - along**2 / (2.0 * 1737.4))


def one_by_one(height: Array, slope: float) -> Array:
    """Return the light of each point by the words of `open_to_light`: ray by ray."""
    lit = np.ones(height.shape)
    for row, line in enumerate(height):
        sinks = np.abs(np.diff(line) - STEP * slope)
        for at in range(len(line) - 1):
            half = 0.5 * min(sinks[max(at - 1, 0)], sinks[at])
            away = STEP * np.arange(1, len(line) - at)
            seen = []
            for part in (-SUN, 0.0, SUN):
                rises = line[at + 1 :] - line[at] - (slope + part) * away
                top = int(np.argmax(rises))
                seen.append((rises[top] / away[top] + part, half / away[top]))
            level, blur = max(seen)
            level = min(max(level / math.hypot(SUN, blur), -1.0), 1.0)
            above = level * math.sqrt(1.0 - level**2) + math.asin(level)
            lit[row, at] = 0.5 - above / math.pi
    return lit


# In single precision heights here are good to 1e-6 of the Sun's radius and step; a point whose two
# hills hide it alike to that may have its shadow's end from the other of them: few do.
@pytest.mark.parametrize("altitude_deg", [-1.0, 0.3, 2.0, 8.0, 40.0])
def test_light_is_that_of_each_point_by_itself(altitude_deg: float) -> None:
    height, slope = ground(7, 400), math.tan(math.radians(altitude_deg))
    found = open_to_light(height.astype(np.float32), STEP, slope, SUN)
    wanted = one_by_one(height, slope)
    differ = np.abs(found - wanted)
    assert np.percentile(differ, 99.8) < 2e-3
    assert differ.max() < 0.1
    # The hills do throw shadows, and not everywhere.
    if altitude_deg < 10.0:
        assert 0.0 < (wanted < 0.5).mean() < 1.0


def test_many_profiles_at_once_are_lit_as_each_alone() -> None:
    height = ground(300, 400).astype(np.float32)
    together = open_to_light(height, STEP, 0.03, SUN)
    alone = np.concatenate([open_to_light(row[None], STEP, 0.03, SUN) for row in height])
    np.testing.assert_array_equal(together, alone)


def test_where_there_is_no_ground_no_light_is_looked_for_and_none_changes() -> None:
    height = ground(20, 400).astype(np.float32)
    height[:, :100] = -9.1
    cut = open_to_light(height, STEP, 0.03, SUN, nothing_below=-9.0)
    np.testing.assert_array_equal(cut[:, 100:], open_to_light(height, STEP, 0.03, SUN)[:, 100:])
