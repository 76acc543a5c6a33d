"""The Moon's maps are read once, by whoever comes first."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

import simview
from simview.scene import moon_map


def test_maps_are_read_once_whoever_fetches_them_first(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    whole = moon_map._picture

    def picture(name: str) -> NDArray[np.generic]:
        read.append(name)
        return whole(name)

    monkeypatch.setattr(moon_map, "_picture", picture)
    moon_map._height_steps.cache_clear()
    moon_map._colours.cache_clear()
    for name in ("moon", "clavius"):
        fetch = simview.target(name).fetch
        assert fetch is not None
        fetch()
    assert sorted(read) == ["brightness.png", "heights.png"]
    simview.target("moon").scene(pixel_arcsec=20.0, pixels=64)
    assert len(read) == 2
