"""Recipes: what a picture carries so that it can be made again."""

from __future__ import annotations

import json

import numpy as np
import pytest

import simview
from simview.picture import recipe
from simview.picture.again import redo
from simview.picture.views import comparing, compose

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=70.0, focal_length_mm=700.0, objective="achromat"),
    eyepieces=(
        simview.Eyepiece(focal_length_mm=25.0, design="kellner"),
        simview.Eyepiece(focal_length_mm=10.0),
    ),
    diagonal=simview.Diagonal(),
    name="A kit",
)
SIZE = (960, 540)


def made(command):
    target = simview.target("jupiter")
    sky = simview.Sky(seeing_arcsec=1.7)
    if command == "ladder":
        return compose.ladder(KIT, target, powers=[28.0, 70.0], sky=sky, size=SIZE)
    if command == "compare":
        return comparing.compare([(KIT, 0, None), (KIT, None, 70.0)], target, sky=sky, size=SIZE)
    return compose.view(KIT, target, eyepiece=1, sky=sky, size=SIZE)


@pytest.mark.parametrize("command", ["ladder", "compare", "view"])
def test_redo_gives_the_same_picture_and_figures(command):
    sheet = made(command)
    again = redo(json.loads(json.dumps(sheet.recipe)))
    assert np.array_equal(np.asarray(sheet.image), np.asarray(again.image))
    assert sheet.figures == again.figures


def test_redo_takes_another_size():
    again = redo(made("view").recipe, size=(1280, 720))
    assert again.image.size == (1280, 720)


@pytest.mark.parametrize(
    ("key", "value"),
    [("kits", None), ("target", 3), ("command", "nonsense"), ("powers", "many"), ("size", [1])],
)
def test_redo_tells_what_is_wrong_when_a_recipe_is_broken(key, value):
    broken = {**made("ladder").recipe, key: value}
    with pytest.raises(simview.SimviewError) as caught:
        redo(broken)
    assert "recipe" in str(caught.value)


def test_recipe_holds_no_paths_and_is_plain_json():
    text = json.dumps(made("ladder").recipe)
    assert json.loads(text)["command"] == "ladder"
    assert recipe.read(json.loads(text)).kits[0] == KIT
