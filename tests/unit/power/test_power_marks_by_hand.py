"""Marks and states of power from made-up curves, each worked out by hand beside its case."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from simview.eye.starimage import Blur
from simview.kit import Eyepiece, Kit, Telescope
from simview.power import rules
from simview.power.detail import DetailCurve, _last_crossings, curve
from simview.power.marks import _in_order, comfortable_arcmin, hardest, whole_power
from simview.power.records import Marks
from simview.power.splitting import _limit, _over_boiling
from simview.power.suits import suiting_power
from simview.scene.targets import target


def kit(*powers: float, field: float = 50.0) -> Kit:
    """A telescope of 1000 mm with a piece for each of these powers."""
    return Kit(
        telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
        eyepieces=tuple(
            Eyepiece(focal_length_mm=1000.0 / p, apparent_field_deg=field) for p in powers
        ),
    )


# The trade's rules (common practice, no source) in the units that they are said in.


def test_an_inch_carries_fifty_to_sixty_times() -> None:
    assert rules.per_inch(25.4) == pytest.approx((50.0, 60.0))
    assert rules.per_inch(101.6) == pytest.approx((200.0, 240.0))


def test_rule_of_the_mm_is_twice_to_two_and_four_tenths() -> None:
    assert rules.useful_powers(150.0) == pytest.approx((300.0, 360.0))
    assert rules.twice_the_mm(150.0) == 300.0


def test_lowest_power_fills_the_pupil_that_is_asked_about() -> None:
    assert rules.lowest_useful_power(210.0) == 30.0
    assert rules.lowest_useful_power(210.0, 5.0) == 42.0


@pytest.mark.parametrize(
    ("aperture", "focal", "powers"),
    [
        # 56 mm make 1200 / 56 = 21.4, 7 mm of pupil 28.6; 0.5 mm of pupil 400, 2.5 mm make 480.
        (200.0, 1200.0, (200.0 / 7.0, 400.0)),
        # 56 mm make 35.7, more than 100 / 7 = 14.3; 0.5 mm of pupil 200, 2.5 mm make 800.
        (100.0, 2000.0, (2000.0 / 56.0, 200.0)),
        # 2.5 mm make 160 only, where 0.5 mm of pupil would be 200.
        (100.0, 400.0, (100.0 / 7.0, 160.0)),
        # Four inches: half a millimetre of pupil is twice 101.6.
        (101.6, 1000.0, (1000.0 / 56.0, 203.2)),
        # So slow that even the longest eyepiece is past half a millimetre: one power is left.
        (10.0, 2000.0, (2000.0 / 56.0, 2000.0 / 56.0)),
    ],
)
def test_faint_glows_have_the_powers_of_pupils_and_of_eyepieces_that_are_made(
    aperture: float, focal: float, powers: tuple[float, float]
) -> None:
    assert rules.faint_powers(aperture, focal) == pytest.approx(powers)


# Curves of the finest detail.


@pytest.mark.parametrize(("sight", "wider"), [(0.5, 2.0), (1.0, 1.0), (2.0, 1.0)])
def test_best_period_is_magnified_to_the_pages_angles(sight: float, wider: float) -> None:
    # docs/models/power.md: 2.5, 4 and 4.6'; a period of 1.5" is 0.025', so 100, 160 and 184 times.
    told = DetailCurve(
        powers=(100.0,),
        finest_period_arcsec=(1.5,),
        best_period_arcsec=1.5,
        best_power=100.0,
        sight=sight,
    )
    assert told.enough_from == pytest.approx(100.0 * wider)
    assert told.carries == pytest.approx(160.0 * wider)
    assert told.empty_above == pytest.approx(184.0 * wider)


@pytest.mark.parametrize(
    ("periods", "worse"),
    [
        # Straight in logarithms from 1 to 2 over an octave: 100 x 2^(ln 1.05 / ln 2) = 105.
        ((2.0, 1.0, 2.0), 105.0),
        # From 1.02 to 2: 200 x 2^(ln(1.05 / 1.02) / ln(2 / 1.02)) = 206.1.
        ((1.0, 1.0, 1.02, 2.0), 206.06),
        # Lost from sight between two powers: nobody knows where, at the next one for certain.
        ((2.0, 1.0, None), 200.0),
        # What is coarse below the best power is none of its business; 4 % stay within.
        ((2.0, 1.0, 1.04), None),
    ],
)
def test_power_past_which_detail_is_a_twentieth_coarser(periods, worse: float | None) -> None:
    steps = (50.0, 100.0, 200.0, 400.0)[: len(periods)]
    told = DetailCurve(
        powers=steps, finest_period_arcsec=periods, best_period_arcsec=1.0, best_power=100.0
    )
    wanted = None if worse is None else pytest.approx(worse, rel=1e-4)
    assert told.worse_above == wanted


@pytest.mark.parametrize(("best", "floor"), [(90.0, 0.8), (100.0, 1.3), (112.0, 2.0)])
def test_best_of_a_parabola_is_its_vertex(best: float, floor: float) -> None:
    # ln(period) = ln(floor) + (ln(power / best))^2: its own parabola is found without a remainder.
    steps = tuple(100.0 * 1.5**k for k in range(-3, 4))
    told = curve(steps, [floor * math.exp(math.log(p / best) ** 2) for p in steps])
    assert told.best_power == pytest.approx(best)
    assert told.best_period_arcsec == pytest.approx(floor)
    assert told.reason == ""


def test_curve_says_why_its_best_is_not_to_be_trusted() -> None:
    assert "still falls" in curve((50.0, 100.0), (2.0, 1.0)).reason
    assert curve((50.0, 100.0), (1.0, 2.0)).reason == ""
    assert curve((50.0, 100.0), (1.0, 2.0)).best_power == 50.0
    assert "some of these" in curve((50.0, 100.0), (1.0, None)).reason
    assert curve((50.0,), (1.0,)).reason == ""


def test_last_of_three_crossings_is_the_one_that_counts_in_each_row() -> None:
    # Positive up to -4.5, negative to -3.5, positive to its zero: cubics with these three zeros.
    zeros = np.array([-2.7, 0.013, 3.99])

    def surplus(x):
        return -(x + 4.5) * (x + 3.5) * (x - zeros[:, None])

    assert _last_crossings(surplus, -5.0, 5.0, 3) == pytest.approx(zeros, abs=1e-4)


def test_curve_that_never_crosses_ends_at_its_end_or_has_none() -> None:
    # The last is just enough seen, its contrast at the threshold itself; neighbours do as they did.
    level = np.array([1.0, -1.0, 0.0])[:, None]

    def surplus(x):
        return np.vstack([level + 0.0 * x[:3], 0.5 - x[3:]])

    found = _last_crossings(surplus, -5.0, 5.0, 4)
    assert found == pytest.approx([5.0, np.nan, 5.0, 0.5], nan_ok=True)


# Marks in whole times: a power that is the mark when said so is at it.

SURFACE = Marks(
    enough_from=90.0, air_carries=140.0, full_above=180.0, empty_above=220.0, fades_above=300.0
)


@pytest.mark.parametrize(
    ("power", "state", "limit"),
    [
        (89.4, "low", "power"), (89.5, "enough", None),
        (140.5, "enough", None), (140.6, "air", "air"),
        (180.5, "air", "air"), (180.6, "full", "aperture"),
        (220.5, "full", "aperture"), (220.6, "empty", "aperture"),
    ],
)  # fmt: skip
def test_each_mark_holds_to_half_a_time(power: float, state: str, limit: str | None) -> None:
    assert SURFACE.state(power) == state
    assert SURFACE.limited_by(power) == limit
    assert SURFACE.at(power).empty is (state == "empty")


def test_light_goes_before_the_air_and_after_the_aperture() -> None:
    dim = replace(SURFACE, fades_above=120.0)
    assert [dim.state(p) for p in (120.5, 120.6, 200.0, 221.0)] == [
        "enough", "light", "light", "empty",
    ]  # fmt: skip
    assert dim.limited_by(130.0) == "light"


PAIR = Marks(
    enough_from=150.0,
    air_carries=200.0,
    empty_above=300.0,
    pair=True,
    split_from=150.0,
    better_night_from=120.0,
)


@pytest.mark.parametrize(
    ("power", "state"),
    [
        (99.4, "low"), (119.4, "low"),  # no night splits it
        (119.5, "hidden"), (149.9, "hidden"),  # a better night would
        (150.0, "enough"), (200.5, "enough"), (201.0, "air"), (301.0, "empty"),
    ],
)  # fmt: skip
def test_pair_passes_from_too_little_by_hidden_to_split(power: float, state: str) -> None:
    assert PAIR.state(power) == state


def test_pair_is_shown_where_it_is_both_wide_and_split() -> None:
    assert PAIR.shown_from == 150.0
    wide = replace(PAIR, split_from=60.0, better_night_from=60.0)
    assert wide.shown_from == 150.0
    assert [wide.state(power) for power in (59.9, 60.0, 149.4)] == ["hidden", "tight", "tight"]
    assert replace(PAIR, split_from=None).shown_from is None
    assert replace(PAIR, enough_from=None).shown_from is None
    # Said as a mark within half a time, and yet not split.
    assert not PAIR.is_enough(149.7)


def test_powers_at_which_the_answer_may_change_rise_and_are_all_there() -> None:
    assert SURFACE.breaks() == (90.0, 140.0, 180.0, 220.0, 300.0)
    assert PAIR.breaks() == (120.0, 150.0, 150.0, 200.0, 300.0)
    own = {"split_from", "split_without_air_from", "at_best"}
    assert set(PAIR.figures()) - set(SURFACE.figures()) == own
    assert PAIR.figures()["split_without_air_from"] == 120.0


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        # In order already: nothing moves.
        ((90.0, 140.0, 180.0, 220.0, 300.0), (90.0, 140.0, 180.0, 220.0, 300.0)),
        # Each is lifted to the one before it, never pulled down.
        ((150.0, 140.0, 145.0, 148.0, 100.0), (150.0, 150.0, 150.0, 150.0, 150.0)),
        ((90.0, 140.0, 120.0, 130.0, 300.0), (90.0, 140.0, 140.0, 140.0, 300.0)),
        ((None, 140.0, None, 130.0, 80.0), (None, 140.0, None, 140.0, 80.0)),
        ((90.0, None, 180.0, 80.0, None), (90.0, None, 180.0, 80.0, None)),
    ],
)
def test_marks_are_put_in_order_by_lifting(given, kept) -> None:
    enough, air, full, ever, fades = given
    found = _in_order(enough=enough, air=air, full=full, ever=ever, fades=fades, reason="")
    assert (
        found.enough_from,
        found.air_carries,
        found.full_above,
        found.empty_above,
        found.fades_above,
    ) == kept


def test_hardest_pair_of_a_multiple_star_stands_for_all() -> None:
    easy = Marks(pair=True, enough_from=130.0, split_from=60.0)
    tight = Marks(pair=True, enough_from=110.0, split_from=160.0)
    never = Marks(pair=True, enough_from=90.0, held_by="aperture")
    for order in ([easy, tight], [tight, easy]):
        assert hardest(order).split_from == 160.0
        assert hardest(order).enough_from == 130.0
    for order in ([easy, never, tight], [never, tight, easy]):
        assert hardest(order).split_from is None
        assert hardest(order).held_by == "aperture"
        assert hardest(order).enough_from == 130.0
    # Who stands in the way is told by name: all that no power splits, or the one that takes most.
    easy, tight, never, also = (
        replace(found, hard=(name,))
        for found, name in ((easy, "A-B"), (tight, "C-D"), (never, "E-F"), (never, "G-H"))
    )
    assert hardest([easy, tight]).hard == ("C-D",)
    assert hardest([easy, never, tight]).hard == ("E-F",)
    assert hardest([never, easy, also]).hard == ("E-F", "G-H")


def test_pair_is_looked_at_a_minute_wider_for_each_magnitude_whichever_comes_first() -> None:
    # docs/models/power.md: 4', and 1' more for each magnitude.
    assert comfortable_arcmin((5.0, 5.0)) == 4.0
    assert comfortable_arcmin((5.0, 7.5)) == comfortable_arcmin((7.5, 5.0)) == 6.5


def test_object_fills_the_field_where_its_width_is_magnified_to_it() -> None:
    # An object of 1800" is half a degree: 100 times make 50 degrees of it. Pieces of 20 mm
    # have a stop of 14 to 17.5 mm, which a barrel of 1.25 inches holds.
    for field in (40.0, 50.0):
        wide = replace(target("m13"), size_arcsec=1800.0)
        assert whole_power(kit(50.0, field=field), wide) == pytest.approx(2.0 * field)


# Which piece suits.


def test_middle_of_enough_and_carried_is_the_one_of_ratios() -> None:
    # sqrt(64 x 144) = 96; from 80 it is 1.2, from 120 1.25 times away: the sum's half, 104, would
    # choose 120.
    found = Marks(enough_from=64.0, air_carries=144.0, empty_above=300.0)
    assert suiting_power(kit(80.0, 120.0), found, "planet", 40.0) == 80.0
    # Carried no further than enough, or not known: what is enough.
    assert suiting_power(kit(64.0, 80.0), replace(found, air_carries=None), "planet", 40.0) == 64.0


def test_piece_is_named_only_where_it_comes_nearer() -> None:
    found = Marks(enough_from=100.0, air_carries=100.0, empty_above=300.0)
    # Enough is none: 70 is 1.43 times away. It is nearer than
    # 50 and 69, by more than 1 %; than 69.5 by less.
    assert suiting_power(kit(70.0), found, "planet", 50.0) == pytest.approx(70.0)
    assert suiting_power(kit(70.0), found, "planet", 69.0) == pytest.approx(70.0)
    assert suiting_power(kit(70.0), found, "planet", 69.5) is None
    assert suiting_power(kit(70.0), found, "planet", 80.0) is None


# A companion in boiling light.


def test_companion_stands_over_three_deviations_of_the_boiling_halo() -> None:
    # Barten 1999 takes a signal of three standard deviations for one that is seen: a peak of 2,
    # a twentieth of it, over 3 x 0.05 x exp(-1).
    blur = Blur(
        spread=lambda r: 2.0 * np.exp(-r),
        width_arcsec=1.0,
        aperture_mm=100.0,
        before_eye=lambda r: 2.0 * np.exp(-r),
        boiling=lambda r: 0.05 * np.exp(-r / 2.0),
    )
    assert _over_boiling(2.0, 0.05, blur) == pytest.approx(0.1 / (0.15 * math.exp(-1.0)))
    assert _over_boiling(2.0, 0.05, replace(blur, boiling=None)) == math.inf
    assert _over_boiling(2.0, 0.05, replace(blur, boiling=np.zeros_like)) == math.inf
    margins = [_over_boiling(apart, 0.05, blur) for apart in (1.0, 2.0, 4.0)]
    assert all(near < far for near, far in pairwise(margins))


@pytest.mark.parametrize(
    ("gap", "lit", "parted", "word"),
    [
        (0.05, 0.99, False, "too faint"), (0.2, 0.99, True, "too faint"),
        (0.05, 1.0, False, "run together"), (0.05, 1.0, True, "narrow or too dim"),
        (0.1, 1.0, False, ""), (0.1, 1.0, True, ""),
    ],
)  # fmt: skip
def test_what_stands_in_a_pairs_way_is_named_in_order(gap, lit, parted, word) -> None:
    told = _limit(gap, 0.1, lit, parted=parted)
    assert (word in told) if word else told == ""
