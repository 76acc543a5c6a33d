"""What is packed comes out again to the last bit."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from simview.scene.moon_packing import packed, unpacked


def ground(rise: float) -> NDArray[np.uint16]:
    """Rows that walk up and down at random, by so much a row, on the middle of the scale."""
    steps = np.random.default_rng(4).normal(0.0, rise, (64, 50)).cumsum(axis=0)
    return (30_000.0 + steps).astype(np.uint16)


@pytest.mark.parametrize("rise", [0.0, 3.0, 60.0, 2000.0])
def test_ground_is_the_same_after_packing(rise: float) -> None:
    np.testing.assert_array_equal(unpacked(*packed(ground(rise))), ground(rise))


def test_every_difference_between_two_rows_is_kept() -> None:
    # All that 16 bits can differ by, in both directions, and what a byte just holds and no more.
    steps = np.zeros((8, 65536), np.uint16)
    steps[1] = np.arange(65536)
    steps[3], steps[5] = 65535, steps[1][::-1]
    np.testing.assert_array_equal(unpacked(*packed(steps)), steps)


# Of the gentle walk nearly all differences (std 3) fit in a byte: only the first row, which is
# told from zero, does not. Of the wild one (std 2000) one in 20 does: P(|x| < 127.5 / 2000).
def test_what_a_byte_holds_takes_a_byte() -> None:
    assert len(packed(ground(3.0))[1]) == 50
    assert len(packed(ground(2000.0))[1]) == pytest.approx(0.95 * 64 * 50, rel=0.02)
