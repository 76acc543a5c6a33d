"""A picture from a stranger: its recipe opens no file, and asks for no absurd size."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run
from simview.demo import kit_path
from simview.kitfile import load_kit
from simview.picture.again import redo
from simview.picture.recipe import supply, target_of
from simview.picture.save import read_recipe, save_png
from simview.picture.views import compose
from simview.scene.targets import target

SIZE = (960, 540)


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "private-holiday.png"
    Image.linear_gradient("L").convert("RGB").resize((64, 48)).save(path)
    return path


@pytest.fixture
def sheet(photo: Path) -> compose.Sheet:
    shown = target("photo", image=str(photo), width_arcmin=10.0, mag_arcsec2=4.0)
    return compose.view(load_kit(kit_path("demo:tabletop-150")), shown, power=30.0, size=SIZE)


def test_recipe_tells_neither_name_nor_folder_of_a_photograph(
    sheet: compose.Sheet, photo: Path
) -> None:
    told = str(sheet.recipe)
    assert "private-holiday" not in told
    assert str(photo.parent) not in told


def test_photograph_is_drawn_again_when_the_same_one_is_given(
    sheet: compose.Sheet, photo: Path, tmp_path: Path
) -> None:
    picture = save_png(sheet.image, tmp_path / "sheet.png", recipe=sheet.recipe, figures={})
    (tmp_path / "moved").mkdir()
    moved = photo.rename(tmp_path / "moved" / photo.name)
    again = redo(supply(read_recipe(picture), moved))
    assert again.image.tobytes() == sheet.image.tobytes()


def test_another_photograph_is_refused(
    sheet: compose.Sheet, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.png"
    Image.new("RGB", (64, 48), "grey").save(other)
    picture = save_png(sheet.image, tmp_path / "sheet.png", recipe=sheet.recipe, figures={})
    assert run(["redo", str(picture), "--photo", str(other)]) == 2
    assert "another photograph" in capsys.readouterr().err
    assert run(["redo", str(picture), "--out", str(tmp_path / "again.png")]) == 2
    assert "--photo" in capsys.readouterr().err
    assert not (tmp_path / "again.png").exists()


@pytest.mark.parametrize("key", ["image", "file"])
def test_recipe_that_names_a_file_is_refused(
    key: str,
    sheet: compose.Sheet,
    photo: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = {"name": "photo", key: str(photo), "width_arcmin": 10.0, "mag_arcsec2": 4.0}
    with pytest.raises(ValueError, match="no names of files"):
        target_of(told)
    evil = {**sheet.recipe, "target": told}
    # Our own writer cuts folders off; a stranger's does not.
    page = {"command": "targets", "kits": evil["kits"], "conditions": evil["conditions"]}
    page |= {"targets": [{"target": told, "name": "a", "season": "b", "teaches": "c"}]}
    page |= {"look": "eye", "title": "x", "size": list(SIZE)}
    for recipe in (evil, page):
        with pytest.raises(ValueError, match="no names of files"):
            redo(recipe)


@pytest.mark.parametrize("size", [[40000, 30000], [10, 10], [1, 10**9], ["x", 2]])
def test_recipe_of_an_absurd_size_is_refused(size: list[object]) -> None:
    kit = load_kit(kit_path("demo:tabletop-150"))
    made = compose.view(kit, target("jupiter"), power=30.0, size=SIZE)
    with pytest.raises(ValueError, match="size"):
        redo({**made.recipe, "size": size})


@pytest.mark.parametrize("command", [["view"], {"a": 1}, 7, None])
def test_recipe_whose_command_is_no_word_is_refused(command: object) -> None:
    with pytest.raises(ValueError, match="recipe command"):
        redo({"command": command})
