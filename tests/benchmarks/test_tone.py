"""How long the picture room takes: toning, laying out, saving. No time is asserted.

Run with: python -m pytest tests/benchmarks/test_tone.py --benchmark-enable
"""

from __future__ import annotations

import numpy as np
import pytest

from simview.eye.retina import Retina
from simview.picture import save
from simview.picture.drawing.sheet import Limit, SheetText
from simview.picture.prints import tone
from simview.picture.views.ladder import LadderStep, draw_ladder, ladder_geometry

SIZES = {"1080p": (1920, 1080), "4k": (3840, 2160)}


def night(size, *, stars):
    """A retina of a whole sheet's size: six decades of light, stars on request."""
    rng = np.random.default_rng(0)
    shape = (4, size[1], size[0])
    light = 10.0 ** rng.uniform(-2.0, 4.0, shape[1:]).astype(np.float32)
    surface = np.array([0.95, 1.0, 1.09, 2.0], np.float32)[:, None, None] * light
    points = surface * np.float32(0.01) if stars else np.zeros(shape, np.float32)
    return Retina(extended=surface, points=points, pixels_per_degree=20.0, eye_pupil_mm=6.0)


@pytest.mark.parametrize("stars", [False, True], ids=["surface", "surface and stars"])
@pytest.mark.parametrize("size", SIZES)
def test_time_to_tone_a_whole_sheet(benchmark, size, stars):
    view = night(SIZES[size], stars=stars)
    adapted = tone.adaptation([view])
    printed = benchmark(tone.develop, view, adapted)
    assert printed.shape == (SIZES[size][1], SIZES[size][0], 3)


@pytest.mark.parametrize("size", SIZES)
def test_time_to_adapt_to_a_whole_sheet(benchmark, size):
    view = night(SIZES[size], stars=False)
    assert benchmark(tone.adaptation, [view]).white_td > 0.0


def six_steps(size):
    geometry = ladder_geometry(size, [50.0] * 6)
    rng = np.random.default_rng(1)
    steps = [
        LadderStep(
            power=30.0 * (i + 1),
            label="6 mm eyepiece, 3× Barlow",
            seen=rng.integers(0, 60, (n, n, 3), dtype=np.uint8),
            patch=rng.integers(0, 60, (geometry.patch_px, geometry.patch_px, 3), dtype=np.uint8),
            exit_pupil_mm=1.0,
            brightness=0.1,
            limits=(Limit(name="aperture", arcsec=2.8), Limit(name="air", arcsec=2.0)),
            state="low" if i < 3 else "empty",
        )
        for i, n in enumerate(geometry.seen_px)
    ]
    return geometry, steps


@pytest.mark.parametrize("size", SIZES)
def test_time_to_draw_a_ladder(benchmark, size):
    geometry, steps = six_steps(SIZES[size])
    words = SheetText(title="Jupiter", subtitle="a kit", caption="A caption of some length. " * 15)
    image = benchmark(draw_ladder, geometry, words, steps, patch_arcsec=60.0)
    assert image.size == SIZES[size]


@pytest.mark.parametrize("size", SIZES)
def test_time_to_save_a_sheet(benchmark, size, tmp_path):
    geometry, steps = six_steps(SIZES[size])
    image = draw_ladder(geometry, SheetText(title="Jupiter"), steps, patch_arcsec=60.0)
    recipe = {"command": "ladder", "kits": ["a kit file's text\n" * 60]}

    def write():
        return save.save_png(image, tmp_path / "a.png", recipe=recipe, figures={}, force=True)

    assert save.read_recipe(benchmark(write)) == recipe
