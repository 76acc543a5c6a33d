"""The Moon's night side is not built; nothing lit is missing for it."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene import moon as the_moon
from simview.scene.targets import target


# No ground of the near side stands higher than 9.5 km, whose top the Sun leaves 6 deg beyond the
# terminator; all of the picture is built when that is set to more than any place has.
@pytest.mark.parametrize("phase_deg", [50.0, 100.0, 150.0])
@pytest.mark.parametrize("waxing", [True, False])
def test_what_is_left_out_is_dark(
    phase_deg: float, waxing: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    moon = target("moon", phase_deg=phase_deg, waxing=waxing)
    quick = moon.paint(4.8, 400).planes
    monkeypatch.setattr(the_moon, "_DIP_DEG", 90.0)
    whole = moon.paint(4.8, 400).planes
    assert np.abs(quick - whole).max() < 1e-3 * whole.max()


def test_night_side_alone_has_its_earthshine() -> None:
    moon = target("moon", phase_deg=120.0)
    assert moon.paint_at is not None
    night = moon.paint_at(1.0, 60, (-500.0, 0.0)).planes[1]
    mean = the_moon.earthshine_cd_m2(120.0)
    assert 0.3 * mean < night.min() < night.max() < 3.0 * mean


# A close-up on a sheet, 560 pixels and what blur reaches beyond them, is drawn at two points a
# pixel: with one, its peaks and rims would be hit or missed by chance.
def test_close_up_of_a_sheet_is_averaged_not_sampled() -> None:
    moon = target("moon")
    assert moon.paint_at is not None
    pixel, pixels, half = 0.47, 690, 60
    whole = moon.paint_at(pixel, pixels, (-120.0, 0.0)).planes[1]
    part = moon.paint_at(pixel, 2 * half, (-120.0, 0.0)).planes[1]
    middle = slice(pixels // 2 - half, pixels // 2 + half)
    assert np.sqrt(np.mean((whole[middle, middle] - part) ** 2)) < 0.05 * part.mean()
