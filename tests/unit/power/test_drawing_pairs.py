"""Gaps that are not seen are bridged with no more light than that takes."""

from __future__ import annotations

import numpy as np
import pytest

from simview.power.drawing_pairs import bridge, drawn_out, hollow


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


def test_outline_of_two_stars_far_apart_is_hollow_and_of_one_it_is_not():
    # 3 arcsec apart with an Airy disc 1.4 arcsec in radius: nothing but rings between them.
    assert hollow(image, 3.0, [(0.0, 1.0), (3.0, 1.0)]) > 0.9
    assert hollow(image, 0.5, [(0.0, 1.0), (0.5, 1.0)]) == pytest.approx(0.0, abs=0.01)


def test_elongated_pair_is_drawn_out_until_no_neck_is_left():
    separation, ratio = 1.5, 0.4
    bridged = bridge(image, 100.0, separation, ratio)
    lights = [(0.0, 1.0), (separation, ratio)]
    if bridged is not None:
        lights.append((bridged[0], bridged[1] * ratio))
    before = hollow(image, separation, lights)
    more = drawn_out(image, separation, ratio, bridged)
    assert more
    lights += [
        (part * separation, share * ratio)
        for part, share in zip((0.5, 0.65, 0.8), more, strict=True)
    ]
    # A notch of a twentieth of the width is within what an edge so soft hides.
    assert hollow(image, separation, lights) <= 0.05 < before
