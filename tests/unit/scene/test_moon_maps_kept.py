"""The Moon's maps are read once, by whoever comes first."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

import simview
from simview.scene import moon_map

# What every painting of the Moon is made from.
WANTED = ["blue", "brightness", "heights", "heights_wide", "red"]


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Forget the maps; return the list of what is read of them from now on."""
    names: list[str] = []
    for reader in ("_array", "_bytes"):
        whole = getattr(moon_map, reader)

        def noted(name: str, whole: Any = whole) -> Any:
            names.append(name)
            return whole(name)

        monkeypatch.setattr(moon_map, reader, noted)
    for kept in (moon_map._height_steps, moon_map._brightness, moon_map._hues, moon_map._plain):
        kept.cache_clear()
    return names


def test_maps_are_read_once_whoever_fetches_them_first(read: list[str]) -> None:
    for name in ("moon", "clavius"):
        fetch = simview.target(name).fetch
        assert fetch is not None
        fetch()
    assert sorted(read) == WANTED
    simview.target("moon").scene(pixel_arcsec=20.0, pixels=64)
    assert len(read) == len(WANTED)


def test_two_threads_that_paint_at_once_read_the_maps_once(read: list[str]) -> None:
    def painted(pixel_arcsec: float) -> float:
        scene = simview.target("moon").scene(pixel_arcsec=pixel_arcsec, pixels=100)
        return float(scene.planes.max())

    with ThreadPoolExecutor(2) as two:
        brightest = list(two.map(painted, (20.0, 21.0)))
    assert sorted(read) == WANTED
    assert brightest == [painted(20.0), painted(21.0)]
