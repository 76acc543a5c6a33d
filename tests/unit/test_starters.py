"""A telescope from its two numbers, and the starters of the demo."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from simview.demo import kit_names
from simview.errors import ChoiceError, FileError, RangeError
from simview.kitfile import save_kit
from simview.kitword import find_kit
from simview.starters import is_starter, secondary_mm, starter


@pytest.mark.parametrize(
    ("text", "aperture_mm", "focal_mm", "layout"),
    [
        ("150/750", 150.0, 750.0, "newtonian"),
        ("130/650", 130.0, 650.0, "newtonian"),
        ("114/900", 114.0, 900.0, "newtonian"),
        ("76/300", 76.0, 300.0, "newtonian"),
        ("200/1200", 200.0, 1200.0, "newtonian"),
        ("70/700", 70.0, 700.0, "refractor"),
        ("60/700", 60.0, 700.0, "refractor"),
        ("90/900", 90.0, 900.0, "refractor"),
        ("102/500", 102.0, 500.0, "refractor"),
        ("127/1500", 127.0, 1500.0, "maksutov"),
        ("90/1250", 90.0, 1250.0, "maksutov"),
        ("203/2032", 203.0, 2032.0, "schmidt-cassegrain"),
        ("mak 127/1500", 127.0, 1500.0, "maksutov"),
        ("Mak 127 / 1500 mm", 127.0, 1500.0, "maksutov"),
        ("refractor 150x750", 150.0, 750.0, "refractor"),
        ("SCT 8 inch f/10", 203.2, 2032.0, "schmidt-cassegrain"),
        ('8" f/6', 203.2, 1219.2, "newtonian"),
        ("150 mm f/5", 150.0, 750.0, "newtonian"),
        ("4,5 inch f/8", 114.3, 914.4, "newtonian"),
        ("apo 80/480", 80.0, 480.0, "refractor"),
    ],
)
def test_two_numbers_mean_the_telescope_that_is_sold_with_them(
    text: str, aperture_mm: float, focal_mm: float, layout: str
) -> None:
    kit, taken = starter(text)
    assert kit.telescope is not None
    assert kit.telescope.aperture_mm == pytest.approx(aperture_mm)
    assert kit.telescope.focal_length_mm == pytest.approx(focal_mm)
    assert kit.layout == layout
    assert "without a fault" in taken


def test_kind_taken_for_granted_is_said() -> None:
    assert "150/750 is taken for a Newtonian" in starter("150/750")[1]
    assert "taken for" not in starter("newtonian 150/750")[1]


@pytest.mark.parametrize(
    "text", ["kit.toml", "demo:tabletop-150", "150-750", "", "/", "a/b", "7/", "for sale 70/700"]
)
def test_other_words_are_no_telescope(text: str) -> None:
    assert not is_starter(text)


def test_nonsense_is_refused_with_what_is_allowed() -> None:
    with pytest.raises(RangeError, match=r"focal ratio; got '0.2'.*are the two numbers exchanged"):
        starter("750/150")
    for text in ("100/20000", "150 f/1", "150/200"):
        with pytest.raises(RangeError) as refused:
            starter(text)
        assert "exchanged" not in str(refused.value)
    with pytest.raises(ChoiceError, match="'maksutov'"):
        starter("maksutof 127/1500")
    with pytest.raises(FileError, match="150/750"):
        find_kit("nothing-there.toml")


def test_file_of_that_name_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "150").mkdir()
    save_kit(starter("mak 127/1500")[0], tmp_path / "150" / "750")
    monkeypatch.chdir(tmp_path)
    found = find_kit(os.path.join("150", "750"))
    assert found.kit.layout == "maksutov"
    assert found.remarks == ()


def test_secondary_is_as_large_as_the_cone_of_light_and_a_little_larger() -> None:
    # By hand: 150/750, the focus 90 mm above the tube's inner wall at 75 mm from the axis: the
    # cone is 165 / 5 = 33 mm wide there, and 8 mm of field add 8 (1 - 165 / 750) = 6.24 mm.
    assert secondary_mm(150.0, 750.0) == pytest.approx(39.24)


def test_spheres_of_the_starters_are_off_a_paraboloid_by_their_third_order() -> None:
    """A sphere's wavefront error is D / (512 N^3) at the edge, undercorrected.

    Source: Schroeder (2000, table 5.2, from memory), by hand from the sagittas: r^4 / (8 R^3) on
    the glass, twice that in the wavefront, R = 2 f. A quarter of it is left at best focus.
    """
    for name in ("tabletop-76", "reflector-114"):
        scope = find_kit(f"demo:{name}").kit.telescope
        assert scope is not None
        edge_mm = scope.aperture_mm / (512.0 * scope.focal_ratio**3)
        waves = edge_mm / 550e-6 / 4.0
        assert scope.wavefront.spherical == pytest.approx(waves, rel=0.03)


@pytest.mark.parametrize("name", kit_names())
def test_every_demo_kit_is_found_by_its_word(name: str) -> None:
    assert find_kit(f"demo:{name}").path.stem == name
