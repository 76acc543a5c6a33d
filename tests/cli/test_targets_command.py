"""`simview targets`: pages of pictures, and a user's own targets in every picture."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run
from simview.picture.save import read_figures, read_recipe

TABLETOP = "demo:tabletop-150"
OWN = """
[[target]]
name = "Club pair"
double = [3.1, 40.0, 4.0, 5.0]

[[target]]
name = "large jupiter"
like = "jupiter"
diameter_arcsec = 49.0
teaches = "orientation"
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(OWN)
    return path


def page(folder: Path, *filters: str) -> Path:
    out = folder / "page.png"
    assert run(["targets", *filters, "--size", "960x540", "--out", str(out), "--quiet"]) == 0
    return out


def test_page_shows_each_chosen_target_with_its_figures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = page(tmp_path, "--kind", "chart", "--json")
    told = json.loads(capsys.readouterr().out)
    assert [each["name"] for each in told["targets"]] == ["bars", "siemens"]
    assert all(each["power"] == 150.0 for each in told["targets"])
    with Image.open(out) as image:
        assert image.size == (960, 540)
        light = np.asarray(image.convert("L"))
    # Two white charts on a dark sheet.
    assert 0.1 < np.mean(light > 150) < 0.6
    assert [each["name"] for each in read_figures(out)["targets"]] == ["bars", "siemens"]


def test_page_can_be_made_again_from_its_recipe(tmp_path: Path, own: Path) -> None:
    out = page(tmp_path, "--targets", str(own), "--named", "club")
    text = json.dumps(read_recipe(out))
    assert str(tmp_path) not in text
    assert "mine.toml" not in text
    own.unlink()
    again = tmp_path / "again.png"
    assert run(["redo", str(out), "--out", str(again), "--quiet"]) == 0
    with Image.open(out) as first, Image.open(again) as second:
        assert np.array_equal(np.asarray(first), np.asarray(second))


def test_long_lists_come_in_pages(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "page.png"
    words = ["targets", "--kind", "double", "--brighter", "3", "--size", "960x540"]
    assert run([*words, "--page", "2", "--json", "--out", str(out)]) == 0
    told = capsys.readouterr()
    listed = json.loads(told.out)["targets"]
    assert run([*words[:5], "--json"]) == 0
    everything = json.loads(capsys.readouterr().out)["targets"]
    assert [each["name"] for each in listed] == [each["name"] for each in everything[12:]]
    assert "page 2 of 2" in told.err


def test_photographs_and_views_of_a_page_differ(tmp_path: Path) -> None:
    eye = np.asarray(Image.open(page(tmp_path, "--named", "trifid")), float)
    photo_page = page(tmp_path, "--named", "trifid", "--as", "photo", "--force")
    photo = np.asarray(Image.open(photo_page), float)
    # The red of hydrogen shows in the photograph alone.
    redness = [np.mean(each[..., 0] - each[..., 2] > 40) for each in (eye, photo)]
    assert redness[0] < 0.001
    assert redness[1] > 0.02


def test_a_filter_before_the_eyepiece_is_in_the_pictures_and_in_their_recipe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # What observers report: the Veil needs a filter for oxygen's lines (docs/models/observed.md).
    # A filter dims the sky between the stars, all of whose light it takes but a few bands.
    plain = page(tmp_path, "--named", "veil", "--sky-mag", "21")
    through = tmp_path / "through.png"
    words = ["targets", "--named", "veil", "--sky-mag", "21", "--filter", "oxygen"]
    assert run([*words, "--size", "960x540", "--out", str(through), "--quiet"]) == 0
    assert 'filter = "oxygen"' in read_recipe(through)["conditions"]
    pictures = [np.asarray(Image.open(each), float) for each in (plain, through)]
    assert np.abs(pictures[0] - pictures[1]).max() > 10.0
    again = tmp_path / "again.png"
    assert run(["redo", str(through), "--out", str(again), "--quiet"]) == 0
    assert np.array_equal(pictures[1], np.asarray(Image.open(again), float))
    assert run(["targets", "--named", "veil", "--filter", "oxigen", "--out", "x.png"]) == 2
    assert "oxygen" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (["--page", "2", "--kind", "planet"], ["--page", "1 to 1"]),
        (["--as", "film", "--kind", "planet"], ["--as", "eye, photo"]),
        (["--kit", "demo:tabeltop", "--kind", "planet"], ["demo kit", "tabeltop"]),
        (["--size", "9x9", "--kind", "planet"], ["9x9"]),
        (["--sky-mag", "99", "--kind", "planet"], ["sky_mag_arcsec2"]),
        (["--named", "xyzzy"], ["none of"]),
        (["--season", "juli"], ["--season", "did you mean 'July'?"]),
        (["--teaches", "spliting"], ["--teaches", "did you mean 'splitting'?"]),
        (["--targets", "none.toml"], ["none.toml"]),
    ],
)
def test_wrong_wishes_for_a_page_get_one_line_and_no_file(
    wrong: list[str], words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "page.png"
    assert run(["targets", *wrong, "--out", str(out)]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 1)
    assert all(word in told.err for word in words)
    assert not out.exists()


def test_list_fits_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["targets", "--quiet"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 90
    # Columns are aligned: the kind begins at one place in all of the lines.
    kinds = {"planet", "moon", "double", "stars", "deep-sky", "chart", "daytime"}
    place = lines[0].index("planet")
    assert all(line[place:].split()[0] in kinds for line in lines)


@pytest.mark.parametrize(
    "command",
    [
        ["view", TABLETOP, "--power", "75"],
        ["ladder", TABLETOP, "--powers", "30,75"],
        ["compare", TABLETOP, "demo:tabletop-114"],
    ],
)
def test_own_target_stands_in_a_picture_and_in_its_recipe(
    command: list[str], own: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out.png"
    words = [*command, "--targets", str(own), "--target", "club-pair", "--size", "960x540"]
    assert run([*words, "--out", str(out), "--quiet"]) == 0
    recipe = read_recipe(out)
    assert recipe["target"]["title"] == "Club pair"
    assert list(recipe["target"]["double"]) == [3.1, 40.0, 4.0, 5.0]
    assert "mine" not in json.dumps(recipe)


def test_own_target_has_its_curve_of_detail(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "detail.png"
    words = ["detail", TABLETOP, "--targets", str(own), "--target", "large jupiter"]
    assert run([*words, "--size", "960x540", "--out", str(out), "--quiet"]) == 0
    assert read_recipe(out)["target"]["diameter_arcsec"] == 49.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            '[[target]]\nname = "x"\nlike = "mars"\ndiametre_arcsec = 9',
            ["mine.toml", "'x'", "diam"],
        ),
        ('[[target]]\nname = "x"\nlike = "mars"\ndiameter_arcsec = 0', ["diameter_arcsec", "'x'"]),
        ('[[target]]\nname = "x"\nlike = "mars"\nteaches = "sums"', ["teaches", "splitting"]),
        ('[[target]]\nname = "x"\nlike = 3', ["like", "text in quotes"]),
        ('[[target]]\nname = "x"\ndouble = [0, 0, "five", 5]', ["double", "'x'"]),
        ('[[target]]\nname = "x"\nra_deg = 5', ["dec_deg"]),
        ("[target]\nname = 'x'", ["mine.toml", "[[target]]"]),
        ("name = 'x'", ["mine.toml", "[[target]]"]),
        ('[[target]]\nname = "y"\nlike = "mars"', ["target", "'x'"]),
    ],
)
def test_wrong_file_of_own_targets_gets_one_line(
    text: str, words: list[str], own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own.write_text(text)
    assert run(["view", TABLETOP, "--targets", str(own), "--target", "x"]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 1)
    assert all(word in told.err for word in words), told.err


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (["--target", "orion"], ["orion-nebula"]),
        (["--target", "jupitre"], ["'jupiter'"]),
        (["--target", "jupiter", "--date", "2201-01-01"], ["date", "2201-01-01"]),
        (["--target", "jupiter", "--diameter-arcsec", "0"], ["diameter_arcsec"]),
        (["--ra", "10", "--dec", "20", "--set", "width_arcmin=0"], ["width_arcmin"]),
        (["--targets", "none.toml", "--target", "jupiter"], ["none.toml"]),
    ],
)
def test_wrong_targets_get_one_line(
    wrong: list[str], words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["view", TABLETOP, *wrong]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 1)
    assert all(word in told.err for word in words), told.err


def test_object_below_the_horizon_is_drawn_and_said_to_be_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Venus never strays more than 47 deg from the Sun: at midnight in March it has set.
    when = ["--date", "2027-03-14T00:00", "--lat", "52", "--lon", "0"]
    out = tmp_path / "low.png"
    words = ["view", TABLETOP, "--target", "venus", *when, "--size", "960x540"]
    assert run([*words, "--out", str(out)]) == 0
    assert "below the horizon" in capsys.readouterr().err
    assert out.exists()
