"""The list of targets, a user's own file, seasons."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.errors import SimviewError
from simview.scene.own import TEACHES
from simview.scene.target_list import listed, season
from simview.scene.targets import names, target

OWN = """
[[target]]
name = "club-double"
title = "The club's double"
double = [3.2, 120, 5.1, 7.4]
teaches = "splitting"

[[target]]
name = "big-jupiter"
like = "jupiter"
diameter_arcsec = 49.5

[[target]]
name = "my-field"
ra_deg = 84.0
dec_deg = -5.0
width_arcmin = 90

[[target]]
name = "my-picture"
image = "grey.png"
width_arcmin = 3
mag_arcsec2 = 18
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    Image.fromarray(np.full((8, 12), 120, np.uint8)).save(tmp_path / "grey.png")
    path = tmp_path / "own.toml"
    path.write_text(OWN)
    return path


def test_list_says_everything_of_every_target() -> None:
    lines = listed()
    assert len(lines) > 150
    for line in lines:
        assert line.size_arcsec > 0.0
        assert line.teaches in TEACHES
        assert line.season
        assert line.source


def test_list_holds_what_was_promised() -> None:
    lines = listed()
    kinds = [line.kind for line in lines]
    assert kinds.count("double") >= 40
    assert kinds.count("deep-sky") + kinds.count("stars") >= 60
    south = [x for x in lines if x.declination_deg is not None and x.declination_deg < -35.0]
    assert len(south) >= 10
    months = {line.season for line in lines if line.kind in ("deep-sky", "stars")}
    assert len(months) == 12


# Orion stands highest in the evenings of January, Lyra in August (every almanac; memory).
@pytest.mark.parametrize(
    ("ra_deg", "month"), [(83.8, "January"), (283.4, "August"), (250.4, "July"), (10.7, "November")]
)
def test_season_is_the_month_in_whose_evenings_it_culminates(ra_deg: float, month: str) -> None:
    assert season(ra_deg) == month


def test_own_targets_stand_beside_the_others(own: Path) -> None:
    assert names(own)[:4] == ["club-double", "big-jupiter", "my-field", "my-picture"]
    double = target("club-double", file=own)
    assert double.title == "The club's double"
    assert double.size_arcsec == pytest.approx(3.2)
    assert target("big-jupiter", file=own).size_arcsec == pytest.approx(49.5)
    assert target("my-picture", file=own).size_arcsec == pytest.approx(180.0)
    assert target("saturn", file=own).name == "saturn"


def test_recipe_of_an_own_target_needs_its_file_no_more(own: Path) -> None:
    first = target("my-field", file=own)
    again = target(**first.recipe)
    assert (again.title, again.size_arcsec) == (first.title, first.size_arcsec)


def test_own_targets_are_listed_first_with_their_season(own: Path) -> None:
    lines = listed(own)
    assert [line.name for line in lines[:4]] == [
        "club-double",
        "big-jupiter",
        "my-field",
        "my-picture",
    ]
    assert lines[2].season == "January"
    assert lines[0].teaches == "splitting"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[[target]]\nname='x'\nduble=[1,2,3,4]", "no name"),
        ("[[target]]\nname='x'\nlike='jupiter'\ndiametre_arcsec=40", "diameter_arcsec"),
        ("[[target]]\nname='x'\nlike='jupitre'", "jupiter"),
        ("[[target]]\nlike='jupiter'", "no name"),
        ("[[target]]\nname='x'\nlike='mars'\n[[target]]\nname='x'\nlike='mars'", "twice"),
        ("[[targets]]\nname='x'", "target"),
        ("target = 3", "target"),
        ("not toml at all", "TOML"),
        ("", "target"),
        ("[[target]]\nname='x'\ndouble=[nan,0,5,5]", "separation_arcsec"),
    ],
)
def test_wrong_file_of_targets_is_refused_with_its_name(
    tmp_path: Path, text: str, message: str
) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(SimviewError, match=message) as caught:
        target("x", file=path)
    assert "own.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_folder_or_missing_file_of_targets_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.toml"):
        with pytest.raises(SimviewError, match=r"folder; name a file|not found; check the name"):
            names(path)
