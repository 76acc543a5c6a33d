"""A wrong call from Python gets one line that names the argument in Python's words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import simview

KIT = simview.find_kit("demo:tabletop-150").kit
SCOPE = KIT.telescope

CALLS: dict[str, tuple[Callable[[], Any], str]] = {
    "no kit": (lambda: simview.look(None, "jupiter"), "kit; "),
    "a kit file's name for a kit": (lambda: simview.look("kit.toml", "jupiter"), "load_kit"),
    "a misspelt target": (lambda: simview.look(KIT, "jupitr"), "did you mean 'jupiter'"),
    "a number for a target": (lambda: simview.look(KIT, 5), "target; got 5"),
    "a word for an eyepiece": (lambda: simview.look(KIT, "moon", eyepiece="kellner"), "eyepiece"),
    "an eyepiece too many": (lambda: simview.look(KIT, "moon", eyepiece=9), "eyepiece"),
    "a power as text": (lambda: simview.look(KIT, "moon", power="75"), "power; got '75'"),
    "a sky as mapping": (lambda: simview.look(KIT, "moon", sky={"seeing": 2}), "a Sky"),
    "an age for an observer": (lambda: simview.look(KIT, "moon", observer=40), "an Observer"),
    "one amplifier": (lambda: simview.look(KIT, "moon", amplifiers=1), "amplifiers; got 1"),
    "an unknown engine": (lambda: simview.look(KIT, "moon", engine="fft"), "native, poppy"),
    "one power for a ladder": (lambda: simview.ladder(KIT, "moon", 75), "powers; got 75"),
    "no powers": (lambda: simview.ladder(KIT, "moon", []), "powers; got 'none'"),
    "a word among powers": (lambda: simview.ladder(KIT, "moon", ["a", 2]), "powers; got 'a'"),
    "a size of one number": (lambda: simview.ladder(KIT, "moon", [30, 60], size=1920), "size; "),
    "one kit to compare": (lambda: simview.compare(KIT, "moon"), "kits; "),
    "no kits to compare": (lambda: simview.compare([], "moon"), "kits; got 'none'"),
    "names of kits to compare": (lambda: simview.compare(["a"], "moon"), "a list of Kit"),
    "one power for a curve": (lambda: simview.detail(KIT, "moon", 75), "powers; got 75"),
    "falling powers": (lambda: simview.detail(KIT, "moon", [75, 40]), "rising"),
    "one power for looks": (lambda: list(simview.looks(KIT, "moon", 75)), "powers; got 75"),
    "one fault alone": (lambda: simview.star_test(KIT, "coma=0.5"), "faults; got 'coma=0.5'"),
    "an even strip": (lambda: simview.star_test(KIT, positions=4), "positions; got 4"),
    "a strip too long": (lambda: simview.star_test(KIT, travel_waves=99), "travel_waves; got"),
    "a kit for a telescope": (lambda: simview.point_spread(KIT), "kit.telescope"),
    "light by name": (lambda: simview.point_spread(SCOPE, wavelengths_nm="green"), "wavelengths"),
    "a telescope for a kit": (lambda: simview.collimation(SCOPE), "kit; "),
    "two screws": (lambda: simview.collimation(KIT, turns=(1, 2)), "three numbers"),
    "words for a listing": (lambda: simview.vet("70/700"), "load_listing"),
    "a number for a file": (lambda: simview.load_kit(5), "a file's name"),
    "a number for a listing": (lambda: simview.load_listing(5), "a file's name"),
    "a number for a kit": (lambda: simview.find_kit(7), "150/750"),
    "a name for a kit to save": (lambda: simview.save_kit("x", "x.toml"), "a Kit"),
    "an unknown kind": (lambda: simview.targets(kind="planets"), "did you mean 'planet'"),
    "a film without frames": (lambda: simview.film(KIT, "moon", frames=-1), "frames; got -1"),
    "an odd film": (lambda: simview.film(KIT, "moon", side=257), "side; got 257"),
    "an unknown figure": (lambda: simview.unit("foo"), "view.numbers"),
    "an aperture as text": (
        lambda: simview.Telescope(aperture_mm="150", focal_length_mm=750),
        "aperture_mm; got '150'",
    ),
}


@pytest.mark.parametrize("name", CALLS)
def test_wrong_call_is_told_in_words_of_python(name: str) -> None:
    call, says = CALLS[name]
    with pytest.raises(simview.SimviewError) as told:
        call()
    assert says in str(told.value)
    assert "\n" not in str(told.value)
    assert "--" not in str(told.value)


def test_numbers_of_numpy_are_numbers() -> None:
    view = simview.look(KIT, "saturn", eyepiece=np.int64(0), power=np.float32(75.0))
    assert view.numbers["power"] == 75.0
    row = list(simview.looks(KIT, "saturn", np.array([50.0, 100.0])))
    assert [round(view.numbers["power"]) for view in row] == [50, 100]
    shown = simview.detail(KIT, "saturn", np.array([50.0, 100.0]), size=(np.int64(960), 540))
    assert shown.image.size == (960, 540)
