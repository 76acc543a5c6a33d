"""The numbers in a finding's words are those of its sum, worked here by hand."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from rule_cases import LENS, told

from simview.advice.listing import Listing, OfferedEyepiece, OfferedMount
from simview.kit import Eyepiece, Kit, Telescope

MIRROR = replace(
    LENS, layout="newtonian", objective="mirror", aperture_mm=114.0, focal_length_mm=1000.0
)
HUYGENS = tuple(OfferedEyepiece(focal_length_mm=f, design="huygens") for f in (20.0, 6.0))


@pytest.mark.parametrize(
    ("rule", "listing", "words", "sums"),
    [
        # (60 / 90)^2 = 0.444
        ("internal stop", replace(LENS, stop_mm=60.0), ["60 mm", "90 mm", "44 %"], ["0.44"]),
        # 48 / 100
        (
            "built-in corrector",
            replace(MIRROR, tube_length_mm=480.0),
            ["48 cm", "100 cm"],
            ["0.48"],
        ),
        ("built-in corrector", MIRROR, ["114 mm", "1000 mm", "100 cm"], []),
        # D / (2048 F^3 lambda): 150 / (2048 x 343 x 0.00055) = 0.388; / 0.25 = 1.55
        (
            "spherical mirror",
            replace(MIRROR, aperture_mm=150.0, focal_length_mm=1050.0),
            ["150 mm", "f/7", "1.6 times"],
            ["0.39"],
        ),
        # 900 / 4 = 225; 90 / 225 = 0.4
        (
            "power of the eyepieces",
            replace(LENS, eyepieces=(OfferedEyepiece(focal_length_mm=4.0, design="plossl"),)),
            ["225 times", "0.4 mm"],
            ["225×", "0.4 mm"],
        ),
        # 900 / 20 = 45; 32 / 45 = 0.711 degrees; the Moon's mean 31.1': 1.37 (Allen 1973)
        (
            "lowest power",
            replace(LENS, eyepieces=HUYGENS),
            ["45 times", "0.7°", "1.4 times the Moon"],
            ["45×", "2 mm", "0.71°"],
        ),
        # an arm of 60 cm: 2 x 60 x tan 16 = 34.4 cm
        ("narrow view", replace(LENS, eyepieces=HUYGENS), ["32 degrees"], ["34 cm"]),
        # 50 / 90 = 0.556 degrees, at 15.04 arcsec a second: 133 s
        (
            "slow motion",
            replace(LENS, mount=OfferedMount(kind="altazimuth", slow_motion=False)),
            ["90 times", "135 seconds"],
            ["0.56°", "133 s"],
        ),
        # focal length / 64.17, BK7 from C to F: 900 / 64.17 = 14.03; 2 x 0.00055 x 100 = 0.11
        (
            "single lens",
            replace(LENS, objective="singlet"),
            ["14 mm apart", "0.1 mm either way"],
            ["900 mm / 64 = 14.0 mm", "0.11 mm"],
        ),
        # play of 20' at 90 times: 20 x 90 / 60 = 30 degrees, in a view of 50
        (
            "free play",
            replace(
                LENS,
                mount=OfferedMount(kind="altazimuth", slow_motion=True, free_play_arcmin=20.0),
            ),
            ["90 times", "30 degrees", "50 degrees wide"],
            ["20′ × 36 / 60 = 12.0°", "20′ × 90 / 60 = 30.0°"],
        ),
        # 900 / 10 = 90, not 450
        (
            "power out of reach",
            replace(LENS, claimed_powers=(450.0,)),
            ["450 times", "90 times"],
            ["900 mm / 25 mm = 36×", "90 mm / 36 = 2.5 mm", "90 mm / 90 = 1 mm"],
        ),
    ],
)
def test_words_and_sum_hold_the_numbers_worked_by_hand(
    rule: str, listing: Listing, words: list[str], sums: list[str]
) -> None:
    says, arithmetic = told(rule, listing)
    assert [word for word in words if word not in says] == []
    assert [word for word in sums if word not in arithmetic] == []


@pytest.mark.parametrize(("aperture", "claim"), [(60.0, 525.0), (90.0, 450.0), (114.0, 675.0)])
def test_excess_of_a_promise_is_the_promise_over_what_the_aperture_carries(
    aperture: float, claim: float
) -> None:
    listing = replace(LENS, aperture_mm=aperture, claimed_powers=(claim,))
    says, _ = told("claimed power", listing)
    useful = float(re.search(r"about (\d+) times", says)[1])  # type: ignore[index]
    excess = float(re.search(r"promise is ([\d.]+) times", says)[1])  # type: ignore[index]
    # Common practice, no source: 50 to 60 an inch at most, here with the model's own margin.
    assert 1.2 * aperture < useful < 2.4 * aperture
    assert excess == pytest.approx(claim / useful, rel=0.04)  # both are rounded as people speak


def test_planet_of_the_pictures_is_shown_with_an_exit_pupil_of_planetary_observers() -> None:
    """Common practice, no source: planets are observed with exit pupils of 0.7 to 1 mm.

    The box gives 2, 0.8, 0.5 and 0.4 mm; where even its weakest gives less, that is taken.
    """
    from simview.advice.pictures import SUBJECTS, _way

    saturn = next(one for one in SUBJECTS if one.target == "saturn")
    moon = next(one for one in SUBJECTS if one.target == "moon")

    def box(*eyepieces_mm: float) -> Kit:
        return Kit(
            telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
            eyepieces=tuple(Eyepiece(focal_length_mm=each) for each in eyepieces_mm),
        )

    full = box(20.0, 8.0, 5.0, 4.0)
    assert full.eyepieces[_way(full, saturn).eyepiece].focal_length_mm == 8.0
    assert full.eyepieces[_way(full, moon).eyepiece].focal_length_mm == 20.0
    short = box(5.0, 4.0)
    assert short.eyepieces[_way(short, saturn).eyepiece].focal_length_mm == 5.0


@pytest.mark.parametrize(
    ("share", "words"),
    [
        # The nearest of the fractions that people say.
        (0.25, "a quarter"),
        (0.33, "a third"),
        (0.5, "half"),
        (0.75, "three quarters"),
        (1.0, "about the Moon's width"),
        (2.0, "2.0 times the Moon's width"),
    ],
)
def test_field_is_told_in_widths_of_the_moon(share: float, words: str) -> None:
    """The Moon is half a degree wide: 31.1 arcmin on average, 29.4 to 33.5 (any almanac)."""
    from simview.advice.rules.power_rules import _moons

    assert words in _moons(share).format()
