"""An offer's verdict, its first list and the commands say the same of the same power."""

import pytest

import simview
from simview.advice.firstlist import first_list
from simview.advice.listing import Listing, OfferedEyepiece
from simview.advice.offerkit import offer_kit
from simview.advice.tonight import evening
from simview.advice.verdict import vet
from simview.picture.views.compose import ladder
from simview.power.marks import marks
from simview.power.pairs import pair_curve
from simview.scene.targets import target

OFFER = Listing(
    instrument="telescope",
    layout="newtonian",
    objective="mirror",
    mirror="parabolic",
    aperture_mm=200.0,
    focal_length_mm=1200.0,
    eyepieces=(OfferedEyepiece(focal_length_mm=25.0), OfferedEyepiece(focal_length_mm=5.0)),
)


def test_verdicts_figures_are_those_of_a_ladder_on_the_same_kit():
    numbers = vet(OFFER).numbers
    kit = offer_kit(OFFER).kit
    powers = [one["power"] for one in numbers["powers"]]
    told = ladder(kit, target("jupiter"), powers=powers, sky=simview.Sky(), size=(960, 540)).figures
    for mark in ("enough_from", "air_carries", "empty_above"):
        assert numbers[mark] == pytest.approx(told[mark], rel=1e-9)
    for one, step in zip(numbers["powers"], told["steps"], strict=True):
        assert (one["limited_by"], one["empty"]) == (step["limited_by"], step["empty"])


def first(aperture_mm, sizes, names, months):
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=1200.0),
        eyepieces=tuple(simview.Eyepiece(focal_length_mm=size) for size in sizes),
    )
    sky, observer = simview.Sky(), simview.Observer()
    for month in months:
        found = first_list(kit, evening(2027, month, 50.0), sky, observer)
        yield from ((kit, one) for one in found if one.sight.name in names)


def test_first_list_sends_nobody_past_what_the_air_carries():
    seen = list(first(200.0, (25.0, 10.0, 5.0, 3.0), ("jupiter", "saturn"), (2, 11)))
    assert seen
    for kit, one in seen:
        here = simview.Sky(altitude_deg=one.sight.altitude_deg)
        assert one.power <= marks(kit, target(one.sight.name), sky=here).air_carries


def test_first_list_names_a_double_only_where_it_is_split():
    seen = [
        (kit, one)
        for kit, one in first(60.0, (25.0, 10.0), {"gamma-leonis", "castor", "albireo"}, (4, 9))
        if one.sight.kind == "double"
    ]
    assert seen
    for kit, one in seen:
        magnitudes = (one.sight.magnitude, one.sight.magnitude_b)
        judged = pair_curve(
            kit,
            target("double", double=(one.sight.separation_arcsec, 0.0, *magnitudes)),
            separation_arcsec=one.sight.separation_arcsec,
            magnitudes=magnitudes,
            powers=[one.power],
            sky=simview.Sky(altitude_deg=one.sight.altitude_deg),
            closest=False,
        )
        assert judged.verdicts == ("split",)
