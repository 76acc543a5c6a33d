"""Which kit, eyepiece and power stands in which panel of a comparison."""

from __future__ import annotations

import pytest

from simview.cli.commands.compare import panels
from simview.cli.kits import read
from simview.errors import SimviewError

TOY = read("demo:toy-refractor-50").kit
TABLE = read("demo:tabletop-150").kit
GLASSES = read("demo:binoculars-10x50").kit


def test_one_power_serves_all_telescopes_and_leaves_binoculars_alone() -> None:
    assert panels([TOY, GLASSES], "30", None) == [(TOY, None, 30.0), (GLASSES, None, None)]


def test_one_kit_is_shown_with_each_eyepiece() -> None:
    assert panels([TOY], None, "1,2") == [(TOY, 0, None), (TOY, 1, None)]


def test_kits_are_paired_with_powers() -> None:
    assert panels([TOY, TABLE], "30,75", None) == [(TOY, None, 30.0), (TABLE, None, 75.0)]


def test_without_choice_each_kit_shows_its_first_eyepiece() -> None:
    assert panels([TOY, TABLE], None, None) == [(TOY, None, None), (TABLE, None, None)]


@pytest.mark.parametrize(
    ("powers", "eyepieces", "part"),
    [
        ("30,75,90", None, "3 values"),
        (None, "1,2,1", "3 values"),
        (None, "3", "1 to 2, as the kit has 2"),
        ("30", "1", "one of them"),
    ],
)
def test_wrong_choice_of_panels_is_told(
    powers: str | None, eyepieces: str | None, part: str
) -> None:
    with pytest.raises(SimviewError) as caught:
        panels([TOY, TABLE], powers, eyepieces)
    assert part in str(caught.value)


def test_eyepiece_of_another_design_is_added_in_the_kits_own_barrel() -> None:
    (kit, index, power), (second, last, _) = panels([TOY], None, "huygens:20, Plössl:12.5")
    assert index is not None
    assert power is None
    assert kit.eyepieces[:-1] == TOY.eyepieces
    piece = kit.eyepieces[index]
    assert (piece.design, piece.focal_length_mm, piece.barrel) == ("huygens", 20.0, "0.965in")
    assert last is not None
    assert second.eyepieces[last].design == "plossl"


@pytest.mark.parametrize(
    ("word", "part"),
    [
        ("kelner:20", "'kellner'"),
        ("kellner:", "kellner:20"),
        ("kellner:nan", "nan"),
        ("kellner:500", "1 to 100 mm"),
        ("20mm", "as in --eyepieces kellner:20"),
        ("", "as in --eyepieces kellner:20"),
    ],
)
def test_eyepiece_that_cannot_be_is_told(word: str, part: str) -> None:
    with pytest.raises(SimviewError) as caught:
        panels([TABLE], None, word)
    assert part in str(caught.value)


def test_too_many_panels_are_refused() -> None:
    with pytest.raises(SimviewError, match="1 to 8"):
        panels([TOY] * 9, "30", None)


def test_one_panel_is_shown_in_each_way() -> None:
    from simview.cli.commands.compare import with_looks

    chosen, looks = with_looks(panels([TABLE], "30", None), "photo,eye")
    assert looks == ["photo", "eye"]
    assert [power for _, _, power in chosen] == [30.0, 30.0]


def test_unknown_way_of_showing_is_refused() -> None:
    from simview.cli.commands.compare import with_looks

    with pytest.raises(SimviewError, match="--as"):
        with_looks(panels([TABLE], "30", None), "photo,nose")
    with pytest.raises(SimviewError, match="--as"):
        with_looks(panels([TABLE], "30,60,90", None), "photo,eye")
