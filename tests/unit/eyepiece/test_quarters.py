"""What is found for a quarter of a picture is what the whole of it has."""

from __future__ import annotations

import numpy as np
import pytest

from simview.eyepiece import quarters

SHAPES = [(1, 1), (1, 6), (2, 2), (5, 4), (8, 9), (31, 60)]


def away(shape: tuple[int, int]) -> np.ndarray:
    """Squares of the distances from pixel n // 2."""
    down, right = (np.arange(n) - n // 2 for n in shape)
    return (3 * down**2)[:, None] + right**2


def table(shape: tuple[int, int]) -> np.ndarray:
    down, right = (np.arange(n) for n in quarters.size(shape))
    return (3 * down**2)[:, None] + right**2


@pytest.mark.parametrize("shape", SHAPES)
def test_quarter_tells_the_whole_picture(shape: tuple[int, int]) -> None:
    assert np.array_equal(quarters.whole(table(shape), shape), away(shape))


@pytest.mark.parametrize("shape", SHAPES)
def test_planes_are_multiplied_by_the_whole_picture(shape: tuple[int, int]) -> None:
    planes = np.random.default_rng(1).integers(1, 9, (2, *shape))
    wanted = planes * away(shape)
    quarters.multiply(planes, np.stack([table(shape)] * 2))
    assert np.array_equal(planes, wanted)


@pytest.mark.parametrize("shape", SHAPES)
def test_each_pixel_belongs_to_one_quarter(shape: tuple[int, int]) -> None:
    counted = np.zeros(shape, int)
    for quarter in quarters.quarters(shape):
        counted[quarter.picture] += 1
        # Seen from the middle, the same pixels stand where the table has them.
        part = away(shape)[quarter.from_middle]
        assert np.array_equal(part[quarter.table], away(shape)[quarter.picture])
    assert np.array_equal(counted, np.ones(shape, int))
