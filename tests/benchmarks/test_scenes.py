"""How long scenes take at the sampling of a 1920 x 1080 sheet's panel; nothing is asserted."""

from __future__ import annotations

from typing import Any

import pytest

from simview.scene.targets import target

# Name, options, pixels across the object: a panel of a six-panel sheet is some 600 pixels wide.
SHOWN = [
    ("jupiter", {}),
    ("jupiter-transit", {}),
    ("saturn", {}),
    ("mars", {}),
    ("venus", {}),
    ("moon", {}),
    ("moon", {"date": "2026-11-17T18:00"}),
    ("copernicus", {}),
    ("clavius", {}),
    ("tycho", {}),
    ("albireo", {}),
    ("pleiades", {}),
    ("m37", {}),
    ("hyades", {}),
    ("m13", {}),
    ("omega-centauri", {}),
    ("andromeda", {}),
    ("whirlpool", {}),
    ("orion-nebula", {}),
    ("veil", {}),
    ("m57", {}),
    ("bars", {}),
    ("siemens", {}),
    ("daytime", {}),
]


@pytest.mark.parametrize(("name", "options"), SHOWN, ids=str)
def test_scene_is_painted(benchmark: Any, name: str, options: dict[str, Any]) -> None:
    shown = target(name, **options)
    pixel = max(shown.size_arcsec, 30.0) * 1.25 / 720.0
    shown.scene(pixel_arcsec=pixel, pixels=64)
    scene = benchmark.pedantic(
        lambda: shown.scene(pixel_arcsec=pixel, pixels=720), rounds=3, iterations=1, warmup_rounds=1
    )
    assert scene.planes.shape == (3, 720, 720)


def test_all_targets_are_listed(benchmark: Any) -> None:
    from simview.scene.target_list import listed

    lines = benchmark.pedantic(listed, rounds=3, iterations=1)
    assert len(lines) > 150
