"""The figures that thresholds and finest detail add to a view."""

import pytest

import simview
from simview.picture.views.judged import judge_ladder
from simview.power.faint import visibility_curve
from simview.power.finest import detail_curve
from simview.power.starfields import star_curve
from simview.scene.targets import target

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0, obstruction=0.2),
    eyepieces=(simview.Eyepiece(focal_length_mm=8.0),),
)


def limit(power, **sky):
    view = simview.look(KIT, target("epsilon1-lyrae"), power=power, sky=simview.Sky(**sky))
    return view.numbers["limiting_magnitude"]


def test_hundred_millimetres_reach_a_good_twelfth_magnitude():
    # Common practice: 100 mm shows stars of 12 to 12.5 under a dark sky, at high power.
    assert 11.5 < limit(120.0, sky_mag_arcsec2=21.5, altitude_deg=80.0) < 12.7


def test_power_brings_fainter_stars_under_a_bright_sky():
    low, high = (limit(p, sky_mag_arcsec2=18.5, seeing_arcsec=1.5) for p in (25.0, 120.0))
    assert high > low + 0.5


def test_air_takes_its_share_of_the_limit():
    # 0.28 mag at 90 deg against 0.28 * 1.994 at 30 deg (Kasten & Young 1989), and more glow.
    overhead, low = (limit(100.0, altitude_deg=a, seeing_arcsec=0.0) for a in (90.0, 30.0))
    assert overhead - low > 0.27


def test_finest_detail_of_a_view_lies_on_the_curve():
    jupiter = target("jupiter")
    view = simview.look(KIT, jupiter, power=100.0)
    on_curve = detail_curve(KIT, jupiter, powers=[100.0]).finest_detail_arcsec[0]
    assert view.numbers["finest_detail_arcsec"] == pytest.approx(on_curve, rel=0.01)


def test_stars_have_no_finest_detail():
    view = simview.look(KIT, target("epsilon1-lyrae"), power=100.0)
    assert view.numbers["finest_detail_arcsec"] is None


def test_powers_that_are_asked_for_have_the_glass_of_their_own_pieces():
    # A dim Barlow and an erecting prism (common practice: half of the light goes) before a second
    # eyepiece: what is said of their power is what a look through them shows.
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0),
        eyepieces=(
            simview.Eyepiece(focal_length_mm=20.0),
            simview.Eyepiece(focal_length_mm=6.0, design="huygens"),
        ),
        amplifiers=(simview.Amplifier(factor=3.0, transmission=0.5, kind="barlow"),),
    )
    powers = [30.0, 100.0, 300.0]
    for thing, of_curve, of_view in (
        (
            "m13",
            lambda t: visibility_curve(kit, t, powers=powers).above_threshold,
            "above_threshold",
        ),
        ("pleiades", lambda t: star_curve(kit, t, powers=powers).limits, "limiting_magnitude"),
        (
            "jupiter",
            lambda t: detail_curve(kit, t, powers=powers).finest_detail_arcsec,
            "finest_detail_arcsec",
        ),
    ):
        told = judge_ladder(kit, target(thing), powers=powers).figures["steps"]
        seen = [step[of_view] for step in told]
        assert of_curve(target(thing)) == pytest.approx(seen, rel=1e-6), thing


@pytest.mark.parametrize("power", [50.0, 200.0])
def test_eyes_part_of_the_resolution_is_its_critical_angle_over_the_power(power):
    # Schaefer 1993 in bright light: 40 x 10^(8.28 B^-0.29) arcsec, 42 to 45 from 200 to 5000 cd/m2
    # (B in nL); the Moon's surface is as bright at these powers.
    bright = simview.Telescope(aperture_mm=300.0, focal_length_mm=1500.0)
    kit = simview.Kit(telescope=bright, eyepieces=(simview.Eyepiece(focal_length_mm=8.0),))
    told = simview.look(kit, target("moon"), power=power).numbers["resolution_eye_arcsec"]
    assert 41.0 < told * power < 50.0
