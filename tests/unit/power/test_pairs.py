"""A double against power, and the closest pair that would be split."""

import itertools

import pytest

from simview.errors import RangeError
from simview.eye.stations import stations
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope, Wavefront
from simview.power.pairs import _first_split, _Judge, _longest_run, pair_curve
from simview.scene.targets import target

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)


def kit(aperture=100.0, **more):
    scope = Telescope(aperture_mm=aperture, focal_length_mm=8.0 * aperture, **more)
    return Kit(telescope=scope, eyepieces=(Eyepiece(focal_length_mm=10.0),))


def curve(separation, magnitudes=(5.0, 5.0), instrument=None, sky=SPACE, **more):
    return pair_curve(
        instrument or kit(),
        target("double", double=(separation, 90.0, *magnitudes)),
        separation_arcsec=separation,
        magnitudes=magnitudes,
        sky=sky,
        **more,
    )


def test_pair_is_split_from_some_power_on():
    found = curve(1.6)
    first = found.verdicts.index("split")
    assert set(found.verdicts[first:]) == {"split"}
    assert found.powers[first - 1] < found.splits_from <= found.powers[first]
    assert found.reason == ""


def test_closest_pair_of_good_optics_lies_near_dawes_limit():
    # Dawes 1867, 116 / D for equal stars of about the sixth magnitude.
    found = curve(2.0, (6.0, 6.0), powers=[100.0, 150.0, 200.0])
    closest = min(found.closest_arcsec)
    assert 1.16 < closest < 1.16 * 1.3


def test_closest_pair_is_found_below_a_second_of_arc_too():
    # 400 mm: Dawes' limit is 0.29 arcsec; perfect air shows pairs at 1.0 to 1.3 of it.
    found = curve(1.0, (6.0, 6.0), instrument=kit(400.0), powers=[800.0])
    assert 0.29 < found.closest_arcsec[0] < 1.3 * 0.29


def test_pair_wider_than_the_closest_is_split_and_a_closer_one_is_not():
    found = curve(2.0, powers=[100.0])
    limit = found.closest_arcsec[0]
    assert curve(1.02 * limit, powers=[100.0]).verdicts == ("split",)
    assert curve(0.98 * limit, powers=[100.0]).verdicts != ("split",)


def test_power_never_makes_a_bright_pair_much_harder():
    closest = [
        c
        for c in curve(2.0, sky=Sky(seeing_arcsec=2.0, air="long")).closest_arcsec
        if c is not None
    ]
    assert len(closest) > 10
    for low, high in itertools.pairwise(closest):
        assert high < 1.02 * low


def test_hopeless_pair_says_why_in_words():
    found = curve(0.3, powers=[20.0, 100.0, 300.0])
    assert found.splits_from is None
    assert "no power splits the pair" in found.reason
    assert set(found.verdicts) <= {"single", "elongated"}


def test_unresolved_unequal_pair_stays_drawn_out_when_power_grows():
    poor = kit(38.0, wavefront=Wavefront(astigmatism=0.2, spherical=0.15))
    verdicts = curve(
        4.6, (1.9, 3.0), poor, Sky(seeing_arcsec=2.0, air="long"), powers=[60.0, 100.0, 300.0]
    )
    assert set(verdicts.verdicts) == {"elongated"}


@pytest.mark.parametrize("separation", [0.0, -1.0, float("nan"), 1e9])
def test_impossible_separations_are_refused(separation):
    with pytest.raises(RangeError, match="separation"):
        pair_curve(kit(), target("castor"), separation_arcsec=separation, magnitudes=(2.0, 3.0))


@pytest.mark.parametrize(
    ("splits", "run"),
    [
        ("", (0, 0)),
        ("...", (0, 0)),
        ("s", (0, 0)),
        ("s.ss.", (2, 3)),
        ("ss.s", (0, 1)),
        ("s.s..sss", (5, 7)),
    ],
)
def test_a_pair_is_split_where_it_stays_so_longest(splits, run):
    assert _longest_run([each == "s" for each in splits]) == run


def test_power_that_begins_to_split_is_found_between_two_samples():
    # Where the closest pair halves as the power doubles, 1 / power: of 3 arcsec at 50 x 4 / 3.
    assert _first_split([50.0, 100.0], 1, [4.0, 2.0], 3.0) == pytest.approx(50.0 * 4.0 / 3.0)
    # Nothing is known before the first sample, or of a sample that splits nothing.
    assert _first_split([50.0, 100.0], 0, [4.0, 2.0], 5.0) == 50.0
    assert _first_split([50.0, 100.0], 1, [None, 2.0], 3.0) == 100.0


@pytest.mark.parametrize("magnitudes", [(5.0, 5.0), (2.0, 4.5), (4.0, 8.5), (9.5, 10.0)])
@pytest.mark.parametrize("air", ["none", "best"])
def test_verdict_that_is_had_sooner_is_the_same(magnitudes, air):
    # `judge` and `is_split` each tell what splits a pair: one rule in two places.
    sky, eye = Sky(air=air), Observer()
    thing = target("double", double=(3.0, 90.0, *magnitudes))
    said = []
    for place in stations(kit(), thing, powers=(40.0, 120.0), sky=sky, observer=eye):
        asked = _Judge(place, eye, magnitudes, 30.0)
        for apart in (0.4, 0.9, 1.2, 1.5, 1.9, 2.4, 3.1, 4.0, 6.5, 10.0, 20.0):
            said.append(asked.splits(apart))
            assert said[-1] == (asked.judge(apart).verdict == "split")
    assert {True, False} == set(said)
