"""Close-ups share what their powers do not change; stars out of reach have no kernels."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.eye import system
from simview.kit import Eyepiece, Kit, Telescope
from simview.view import View

KIT = Kit(
    telescope=Telescope(aperture_mm=50.0, focal_length_mm=600.0, objective="achromat"),
    eyepieces=(Eyepiece(focal_length_mm=20.0),),
)


def look(power: float, **sky: float) -> View:
    return simview.look(KIT, "jupiter", power=power, sky=simview.Sky(**sky))


def test_close_ups_at_several_powers_share_point_spreads_and_nothing_else(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made: list[int] = []
    spreads = system.LightPath.spreads

    def counted(self: system.LightPath, *how: object) -> object:
        made.append(1)
        return spreads(self, *how)  # type: ignore[arg-type]

    monkeypatch.setattr(system.LightPath, "spreads", counted)
    paths = [look(power).path for power in (30.0, 100.0, 450.0)]
    # A ladder's close-ups want the same pixel but for rounding.
    grids = [
        path.grid(0.3 * (1.0 + place * 1e-15)) for path, place in zip(paths, range(3), strict=True)
    ]
    system._shared.clear()
    shared = [path.kernels(grid) for path, grid in zip(paths, grids, strict=True)]
    assert made == [1]
    for path, grid, found in zip(paths, grids, shared, strict=True):
        system._shared.clear()
        alone = path.kernels(grid)
        np.testing.assert_allclose(found, alone, atol=1e-6 * alone.max())
    # The eye's blur differs, and so does the light.
    assert shared[0].sum() > 50.0 * shared[2].sum()
    other = look(100.0, seeing_arcsec=3.0).path
    made.clear()
    other.kernels(grids[1])
    assert made == [1]


@pytest.mark.parametrize(("pixels", "kinds"), [(60, 1), (600, 2)])
def test_stars_have_kernels_of_their_own_where_one_reaches_the_picture(
    pixels: int, kinds: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Jupiter's moons stand beside it.
    asked: list[int] = []
    kernels = system.Passed.kernels

    def counted(self: system.Passed, path: system.LightPath) -> object:
        asked.append(1)
        return kernels(self, path)

    monkeypatch.setattr(system.Passed, "kernels", counted)
    exposure = look(100.0).expose(pixels_per_degree=60.0, pixels=pixels)
    assert len(asked) == kinds
    assert (exposure.star_lens is exposure.lens) is (kinds == 1)
