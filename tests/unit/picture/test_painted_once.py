"""What several panels of a sheet want painted is painted before any of them waits for another."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import simview
from simview.eye.retina import Exposure
from simview.kit import Eyepiece, Kit, Telescope
from simview.picture.prints import exposing
from simview.picture.prints.wanted import Wanted
from simview.scene.scene import Scene, Target
from simview.view import View

KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=900.0, objective="mirror"),
    eyepieces=(Eyepiece(focal_length_mm=9.0),),
)
POWERS = (50.0, 100.0, 150.0)


def panels(target: Target) -> list[Wanted]:
    """Each view whole, and one patch of the sky in the same pixels of each."""
    views = [simview.look(KIT, target, power=power) for power in POWERS]
    whole = [Wanted(view=view, pixels_per_degree=8.0, pixels=100) for view in views]
    close = [
        Wanted(view=view, pixels_per_degree=3600.0 / (0.5 * view.beam.power), pixels=100)
        for view in views
    ]
    return [*whole, *close]


def test_patch_of_several_views_is_painted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = panels(simview.target("mars").remembering())
    (paint,) = exposing._painted_once(wanted)
    most = max(panel.painted_pixels() for panel in wanted[3:])
    scenes: list[Scene] = []
    painted = View.alone

    def kept(self: View, *how: Any) -> Scene:
        scenes.append(painted(self, *how))
        return scenes[-1]

    monkeypatch.setattr(View, "alone", kept)
    assert paint() == []
    (scene,) = scenes
    assert scene.planes.shape[1] == most
    assert scene.pixel_arcsec == pytest.approx(0.5)
    # The widest is at hand for every other; who wants it elsewhere has nobody to share with.
    assert np.shares_memory(wanted[4].view.alone(0.5, most).planes, scene.planes)
    moved = [replace(panel, at_arcsec=(float(k), 0.0)) for k, panel in enumerate(wanted)]
    assert exposing._painted_once(moved) == []
    # Without a memory it would be painted for nothing.
    assert exposing._painted_once(panels(simview.target("mars"))) == []


def shown(_: Wanted, exposure: Exposure) -> Exposure:
    """Return what is made of an exposure: itself."""
    return exposure


@pytest.mark.parametrize("at_once", [1, 2, 8])
def test_exposures_are_the_same_however_many_are_made_at_once(at_once: int) -> None:
    told: list[float] = []
    wanted = panels(simview.target("mars").remembering())
    with simview.executor.pieces.used(jobs=2):
        found = exposing.expose_all(wanted, at_once, lambda share, _: told.append(share), shown)
    alone = [exposing._expose_one_view(shown, wanted[k::3]) for k in range(3)]
    for k, exposure in enumerate(found):
        assert np.array_equal(exposure.extended, alone[k % 3][k // 3].extended)
    assert told == sorted(told)
    assert len(told) == len(POWERS)


def test_nothing_is_painted_here_for_panels_that_are_exposed_elsewhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(exposing, "_painted_once", lambda _: pytest.fail("painted for nobody"))
    wanted = panels(simview.target("mars").remembering())
    with ThreadPoolExecutor(1) as other, simview.executor.pieces.used(other):
        assert len(exposing.expose_all(wanted, 8, None, shown)) == len(wanted)
