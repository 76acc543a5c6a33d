"""Text on the command line to values."""

from __future__ import annotations

import pytest

from simview.cli import parsing
from simview.errors import SimviewError


def test_powers_may_carry_a_times_sign() -> None:
    assert parsing.powers("30, 75x,150×") == (30.0, 75.0, 150.0)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "as in --powers 30,75,150"),
        ("30,,75", "commas"),
        ("high", "commas"),
        ("nan", "finite"),
        ("inf", "finite"),
        ("0", "1 to 100000 times"),
        ("-30", "1 to 100000 times"),
        ("1e9", "1 to 100000 times"),
        ("1,2,3,4,5,6,7,8,9", "9 powers"),
    ],
)
def test_wrong_powers_are_told(text: str, part: str) -> None:
    with pytest.raises(SimviewError) as caught:
        parsing.powers(text)
    assert "--powers" in str(caught.value)
    assert part in str(caught.value)


def test_size_is_width_times_height() -> None:
    assert parsing.size("1920x1080") == (1920, 1080)
    assert parsing.size(" 3840 × 2160 ") == (3840, 2160)


@pytest.mark.parametrize("text", ["", "1920", "1920x", "ax b", "-1x5", "1e3x9", "1x2x3", "1e9x9"])
def test_wrong_size_is_told(text: str) -> None:
    with pytest.raises(SimviewError, match="--size"):
        parsing.size(text)


def test_double_star_takes_four_numbers() -> None:
    assert parsing.double("2.3,45,5.2,6.1") == (2.3, 45.0, 5.2, 6.1)
    with pytest.raises(SimviewError, match="two magnitudes"):
        parsing.double("2.3,45,5.2")


def test_settings_become_numbers_truths_and_texts() -> None:
    given = ["phase_deg=120", "seed = 3", "waxing=false", "place=plato"]
    assert parsing.settings(given, ()) == {
        "phase_deg": 120,
        "seed": 3,
        "waxing": False,
        "place": "plato",
    }


@pytest.mark.parametrize(
    ("texts", "part"),
    [
        (["phase"], "KEY=VALUE"),
        (["=3"], "KEY=VALUE"),
        (["phase_deg="], "KEY=VALUE"),
        (["seed=1", "seed=2"], "say it once"),
        (["ra_deg=2"], "an option of its own"),
    ],
)
def test_wrong_settings_are_told(texts: list[str], part: str) -> None:
    with pytest.raises(SimviewError) as caught:
        parsing.settings(texts, {"ra_deg"})
    assert "--set" in str(caught.value)
    assert part in str(caught.value)
