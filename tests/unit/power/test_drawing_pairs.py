"""Gaps that are not seen are bridged with no more light than that takes."""

from __future__ import annotations

import numpy as np
import pytest

from simview.power.drawing_pairs import bridge


def image(r):
    """Return a perfect telescope's star of 100 mm at 550 nm (Born & Wolf, section 8.5)."""
    from scipy.special import j1

    x = np.pi * np.maximum(np.abs(r), 1e-9) / (550e-6 / 100.0 * 206264.8)
    return (2.0 * j1(x) / x) ** 2


@pytest.mark.parametrize(("separation", "ratio"), [(1.5, 1.0), (1.6, 0.6), (2.0, 0.3)])
def test_bridge_leaves_no_gap_and_no_hump(separation, ratio):
    x = np.linspace(0.0, separation, 501)
    line = image(x) + ratio * image(x - separation)
    assert line.min() < 0.9 * line[-1]
    place, share = bridge(image, 100.0, separation, ratio)
    line = line + share * ratio * image(x - place)
    assert line.min() > 0.96 * line[-1]
    # A bridge is no third star: light falls along it.
    assert line[x > 0.3 * separation].max() < 1.1 * max(line[x > 0.3 * separation][0], line[-1])


@pytest.mark.parametrize("separation", [0.8, 1.1])
def test_images_that_run_together_need_none(separation):
    assert bridge(image, 100.0, separation, 1.0) is None
