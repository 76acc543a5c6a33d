"""What a curve of a pair tells of verdicts that are made up: runs, ends, gaps and the reason."""

from __future__ import annotations

import pytest

from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.power import pairs
from simview.power.pairs import _Judge, pair_curve
from simview.power.splitting import Split
from simview.scene.targets import target

KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
    eyepieces=(Eyepiece(focal_length_mm=10.0),),
)
POWERS = (50.0, 70.0, 100.0, 140.0, 200.0)


def verdict(word: str, gap: float = 0.1, needed: float = 0.05) -> Split:
    return Split(
        verdict=word,  # type: ignore[arg-type]
        limit="" if word == "split" else f"{word} at this power, by {gap:g}",
        rayleigh_arcsec=1.0,
        dawes_arcsec=1.0,
        image_arcsec=1.0,
        gap=gap,
        gap_needed=needed,
        companion_over_ring=1.0,
        companion_over_threshold=1.0,
        apparent_arcmin=4.0,
    )


@pytest.fixture
def told(monkeypatch):
    """A curve of verdicts that are given, and of the closest pair at each power."""

    def curve(found, closest=(2.0,) * 5, apart=2.0):
        by_power = dict(zip(POWERS, zip(found, closest, strict=True), strict=True))

        class Given:
            def __init__(self, place, observer, magnitudes, widest_arcsec) -> None:
                self.found, self.limit = by_power[place.power]

            def judge(self, separation_arcsec):
                return self.found

            def closest(self, *, near=None):
                return self.limit

        monkeypatch.setattr(pairs, "_Judge", Given)
        return pair_curve(
            KIT,
            target("castor"),
            separation_arcsec=apart,
            magnitudes=(2.0, 3.0),
            powers=POWERS,
            sky=Sky(air="none"),
            observer=Observer(),
        )

    return curve


@pytest.mark.parametrize(
    ("words", "first", "last"),
    # s: split, e: elongated. Open at the top is no end; one step is a run as well.
    [
        ("eesss", 100.0, None), ("esss" "e", 70.0, 140.0), ("essee", 70.0, 100.0),
        ("seeee", 50.0, 50.0), ("eeees", 200.0, None), ("sssss", 50.0, None),
        ("eeese", 140.0, 140.0), ("sesse", 100.0, 140.0), ("ssess", 50.0, 70.0),
        ("eeeee", None, None),
    ],
)  # fmt: skip
def test_run_of_powers_that_split_a_pair_has_its_ends(told, words, first, last) -> None:
    found = told([verdict("split" if one == "s" else "elongated") for one in words])
    assert found.splits_from == first
    assert found.splits_to == last
    assert (found.reason == "") is (first is not None)


def test_split_begins_where_the_closest_pair_comes_down_to_it(told) -> None:
    # Straight in logarithms: from 4" at 70 times to 1" at 100 it is 2" half way, at sqrt(7000).
    words = [verdict(word) for word in ("single", "elongated", "split", "split", "split")]
    found = told(words, closest=(None, 4.0, 1.0, 1.0, 1.0))
    assert found.splits_from == pytest.approx(7000.0**0.5)
    assert told(words, closest=(None, None, 1.0, 1.0, 1.0)).splits_from == 100.0


def test_power_that_comes_nearest_to_the_gap_says_why_none_splits_the_pair(told) -> None:
    # 0.02 of 0.05, 0.03 of 0.2, 0.09 of 0.1 and so on: nine tenths are the most.
    each = [(0.02, 0.05), (0.03, 0.2), (0.09, 0.1), (0.1, 0.2), (0.2, 0.9)]
    found = told([verdict("elongated", gap, needed) for gap, needed in each])
    assert found.reason == "no power splits the pair: elongated at any power, by 0.09"
    assert found.gaps == tuple(gap for gap, _ in each)


def test_contrast_past_all_there_is_would_do_nothing(told) -> None:
    found = told([verdict("single", 0.0, needed) for needed in (0.5, 1.0, 1.01, 20.0, 0.0005)])
    assert found.gaps_needed == (0.5, 1.0, None, None, 0.0005)
    assert found.verdicts == ("single",) * 5
    assert found.limits == ("single at this power, by 0",) * 5


class Known(_Judge):
    """A judge to whom all from a known distance on are split, and who counts."""

    def __init__(self, least: float, *, dark: bool = False) -> None:
        self._dark, self._first, self._last = dark, 0.5, 100.0
        self.least, self.asked = least, 0

    def splits(self, separation_arcsec: float) -> bool:
        self.asked += 1
        return not self._dark and separation_arcsec >= self.least


@pytest.mark.parametrize("least", [0.6, 1.7, 3.21, 40.0])
def test_closest_pair_is_found_from_above_within_four_thousandths(least: float) -> None:
    found = Known(least).closest()
    # A factor of 1.3 halved seven times: 1.3^(1 / 128) = 1.00205.
    assert least <= found <= 1.0021 * least
    for near in (0.8 * least, least, 1.25 * least, 0.5, 100.0, 5.0 * least):
        # Between 1.3 times less and 1.3 times more: 1.69^(1 / 128) = 1.0041.
        assert least <= Known(least).closest(near=near) <= 1.0042 * least


@pytest.mark.parametrize("near", [3.3, 2.6, 4.0])
def test_search_around_the_last_power_s_pair_takes_nine_judgements(near: float) -> None:
    # One wider, one closer, seven halvings; from the top it takes some twenty.
    judge = Known(3.21)
    judge.closest(near=near)
    assert judge.asked == 9
    judge.closest()
    assert judge.asked > 9 + 18


def test_no_pair_is_closest_in_the_dark_or_where_none_is_split() -> None:
    assert Known(2.0, dark=True).closest() is None
    assert Known(101.0).closest() is None
    assert Known(101.0).closest(near=2.0) is None
    # Down to half of Dawes' limit and one step on, all are split: no further.
    assert 0.5 / 1.3**2 < Known(0.0).closest() < 0.51
