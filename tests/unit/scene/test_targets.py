"""The one door to all targets."""

from __future__ import annotations

import json
import subprocess
import sys

import numpy as np
import pytest

from simview.errors import ChoiceError, SimviewError
from simview.scene.targets import entries, names, target

NAMED = [entry.name for entry in entries() if not entry.free]


def test_recipe_rebuilds_the_target_it_came_from() -> None:
    assert len(NAMED) > 150
    changed = []
    for name in NAMED:
        first = target(name)
        second = target(**json.loads(json.dumps(dict(first.recipe))))
        for part in ("recipe", "title", "size_arcsec", "magnitude"):
            if getattr(second, part) != getattr(first, part):
                changed.append(f"{name}: {part}")
    assert changed == []


# A tenth of the targets each, so that several processes can share them.
@pytest.mark.parametrize("part", range(10))
def test_target_says_what_it_is_and_paints_a_square_scene(part: int) -> None:
    wrong = {}
    for name in NAMED[part::10]:
        shown = target(name)
        scene = shown.scene(pixel_arcsec=shown.size_arcsec / 40.0, pixels=48)
        planes = scene.planes
        faults = {
            "no size": shown.size_arcsec <= 0.0,
            "no notes": not shown.notes,
            "shape": planes.shape != (3, 48, 48) or planes.dtype != np.float32,
            "no numbers": not np.isfinite(planes).all(),
            "less than no light": bool((planes < 0.0).any()),
            "nothing there": not planes.any() and not len(scene.stars),
        }
        if found := [fault for fault, is_so in faults.items() if is_so]:
            wrong[name] = found
    assert wrong == {}


def test_names_are_plain_and_each_stands_once() -> None:
    assert len(set(names())) == len(names())
    assert all(name == name.lower() and " " not in name for name in names())


@pytest.mark.parametrize(
    ("word", "name"),
    [("M45", "pleiades"), ("m 45", "pleiades"), ("Beta Cygni", "albireo"), ("JUPITER", "jupiter")],
)
def test_synonym_leads_to_its_target(word: str, name: str) -> None:
    assert target(word).name == name


def test_unknown_name_offers_the_nearest() -> None:
    with pytest.raises(ChoiceError, match="did you mean 'jupiter'"):
        target("jupitre")


def test_unknown_option_offers_the_nearest() -> None:
    with pytest.raises(ChoiceError, match="did you mean 'diameter_arcsec'"):
        target("jupiter", diametre_arcsec=40.0)


def test_missing_option_is_named() -> None:
    with pytest.raises(SimviewError, match="dec_deg"):
        target("field", ra_deg=10.0)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), 0.0, -3.0, 1e9])
def test_absurd_size_is_refused(bad: float) -> None:
    with pytest.raises(SimviewError, match="diameter_arcsec"):
        target("jupiter", diameter_arcsec=bad)


def test_option_alone_implies_its_target() -> None:
    assert target(double=(2.3, 45.0, 5.2, 6.1)).name == "double"
    assert target(ra_deg=10.0, dec_deg=20.0).name == "field"


def test_no_name_and_no_option_is_refused() -> None:
    with pytest.raises(SimviewError, match="no name"):
        target()


def test_same_target_is_drawn_the_same_twice() -> None:
    for name in ("jupiter", "saturn", "copernicus"):
        first, second = (target(name).scene(pixel_arcsec=1.0, pixels=64) for _ in range(2))
        np.testing.assert_array_equal(first.planes, second.planes)


def test_listing_targets_loads_nothing_heavy() -> None:
    code = (
        "import sys, simview.scene.targets as t; t.names();"
        "heavy = ('scipy', 'PIL', 'matplotlib', 'colour', 'astronomy');"
        "print([m for m in heavy if m in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
