"""Retinal images drawn out beyond what an eye resolves, and views that need it."""

from __future__ import annotations

import numpy as np
import pytest

from simview.demo import kit_path
from simview.eye.retina import Retina, enlarged
from simview.kitfile import load_kit
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import FINEST_SCALE, Wanted
from simview.scene.targets import target
from simview.view import follow


def test_drawing_out_keeps_the_middle_and_the_light() -> None:
    x = np.arange(64) - 32
    bump = np.exp(-(x[None, :] ** 2 + x[:, None] ** 2) / 200.0).astype(np.float32)
    planes = np.stack([bump] * 4)
    small = Retina(extended=planes, points=0.0 * planes, pixels_per_degree=100.0, eye_pupil_mm=5.0)
    large = enlarged(small, 400.0, 160)
    # Sixteen times the pixels for the same square: the mean over the square stays, and the
    # Gaussian's own value is known at every place.
    y = (np.arange(160) - 80) / 4.0
    exact = np.exp(-(y[None, :] ** 2 + y[:, None] ** 2) / 200.0)
    np.testing.assert_allclose(large.extended[1], exact, atol=2e-4)
    assert not large.points.any()


def test_close_up_drawn_out_is_the_one_computed_at_full_scale() -> None:
    # At 1.5 times the finest scale both ways can be had. There a full computation's kernel is cut
    # at 768 samples and loses a few per cent of the light, so levels are compared within 5 % and
    # shapes, edges left out, within 1.5 % of the brightest.
    view = follow(load_kit(kit_path("demo:tabletop-150")), target("jupiter"), power=150.0)
    scale = 1.5 * FINEST_SCALE
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=400)
    drawn = wanted.shown(wanted.expose().retina())
    exact = view.expose(pixels_per_degree=scale, pixels=400).retina()
    assert drawn.extended.shape == exact.extended.shape
    one, other = (each.extended[1][20:-20, 20:-20] for each in (drawn, exact))
    level = float(one.mean() / other.mean())
    assert level == pytest.approx(1.0, abs=0.05)
    np.testing.assert_allclose(one / level, other, atol=0.015 * float(other.max()))


# Each of these passed 2 GB, or crashed, when the close-up's grid followed the smallest target.
@pytest.mark.parametrize("name", ["castor", "uranus", "neptune", "iota-cassiopeiae"])
def test_naked_eye_close_up_of_a_tiny_target_stays_small(name: str) -> None:
    view = follow(load_kit(kit_path("demo:naked-eye")), target(name))
    patch = 3.0 * max(view.target.size_arcsec, 1.0)
    scale = 410 / (patch * view.beam.power / 3600.0)
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=410, star_px=3.0)
    exposure = wanted.expose()
    assert exposure.extended.shape[-1] < 32
    assert exposure.star_lens.shape[-1] < 2048
    assert develop_all([wanted]).panels[0].shape == (410, 410, 3)
