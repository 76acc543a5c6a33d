"""What each part of the light path alone would leave of detail."""

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.eye.stations import stations
from simview.kit import Eyepiece, Kit, Mount, Observer, Sky, Telescope
from simview.power.detail import COMFORTABLE_ARCMIN
from simview.power.finest import detail_curve, finest_detail_of
from simview.power.parts import _half_period, parts, star_steps, steps
from simview.scene.targets import target

MOON = target("moon")
SKY = Sky(seeing_arcsec=2.0, altitude_deg=60.0, air="long")


def kit(aperture=100.0, **mount):
    return Kit(
        telescope=Telescope(aperture_mm=aperture, focal_length_mm=8.0 * aperture),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
        mount=Mount(**mount) if mount else Mount(kind="fixed"),
    )


def bounds(instrument, sky=SKY, **more):
    places = stations(instrument, MOON, sky=sky, observer=Observer(), **more)
    return parts(places, MOON)


def test_no_part_alone_does_worse_than_all_together():
    for instrument in (kit(), kit(60.0, shake_arcsec=1.0), kit(300.0)):
        found = bounds(instrument)
        whole = detail_curve(instrument, MOON, sky=SKY)
        best = whole.best_period_arcsec / 2.0
        parts_ = (found.aperture_arcsec, found.air_arcsec, found.mount_arcsec)
        known = [part for part in parts_ if part is not None]
        assert len(known) >= 2
        assert max(known) <= best
        pairs = zip(found.eye_arcsec, whole.finest_detail_arcsec, strict=True)
        seen = [(alone, all_) for alone, all_ in pairs if all_ is not None]
        assert len(seen) > 10
        assert all(alone <= all_ for alone, all_ in seen)


def test_aperture_alone_stops_just_short_of_its_cutoff():
    # Half a period at the cut-off of 100 mm, lambda / 2D: 0.567 arcsec at 550 nm, 0.433 at the blue
    # end of the eye's band; an eye at its best needs a per cent or so of contrast, a little sooner.
    assert 0.433 < bounds(kit()).aperture_arcsec < 0.567 * 1.15


def test_air_alone_takes_its_share_in_proportion_to_its_seeing():
    one, two = (bounds(kit(), Sky(seeing_arcsec=s, air="long")).air_arcsec for s in (1.0, 2.0))
    # Outer scale and r0 do not scale alike: 10 %.
    assert two / one == pytest.approx(2.0, rel=0.1)


def test_absent_parts_bound_nothing():
    found = bounds(kit(), Sky(air="none"))
    assert (found.air_arcsec, found.mount_arcsec) == (None, None)


def test_eye_alone_gains_with_power():
    low, high = bounds(kit(), powers=[30.0, 60.0]).eye_arcsec
    # A little less than in proportion: 2.
    assert 1.6 < low / high <= 2.6


def test_points_of_light_have_no_bounds():
    places = stations(kit(), target("castor"), sky=SKY, observer=Observer())
    found = parts(places, target("castor"))
    assert found.aperture_arcsec is None
    assert set(found.eye_arcsec) == {None}


def test_curve_that_gets_worse_again_tells_where():
    curve = detail_curve(kit(200.0), target("saturn"), sky=SKY)
    far = detail_curve(kit(200.0), target("saturn"), sky=SKY, powers=[50, 100, 200, 400, 900, 2500])
    assert curve.carries == pytest.approx(COMFORTABLE_ARCMIN * 60.0 / curve.best_period_arcsec)
    assert far.worse_above is not None
    assert far.best_power < far.worse_above < 2500.0


@pytest.mark.parametrize("least", [0.95, 0.7, 0.3, 0.1])
def test_half_period_is_found_between_two_samples(least):
    # A transfer that falls as a straight line, 1 - f, comes down to `least` at f = 1 - least.
    found = _half_period(np.array([0.0, 0.25, 1.0]), np.array([1.0, 0.75, 0.0]), least)
    assert found == pytest.approx(0.5 / (1.0 - least), rel=1e-12)


def test_two_eyes_leave_finer_bounds_than_one():
    # Two eyes need the contrast of one over root 2 (Campbell & Green 1965, Nature 208, 191).
    def found(eyes):
        places = stations(kit(), MOON, sky=SKY, observer=Observer(eyes=eyes), powers=[60.0])
        return parts(places, MOON)

    one, two = found(1), found(2)
    assert two.aperture_arcsec < one.aperture_arcsec
    assert two.air_arcsec < one.air_arcsec
    assert two.eye_arcsec[0] < one.eye_arcsec[0]


def stepped(instrument, power=150.0, sky=SKY):
    (place,) = stations(instrument, MOON, sky=sky, observer=Observer(), powers=[power])
    whole = finest_detail_of(place.path, place.eye, MOON, Observer())
    return steps(place.path, place.eye, MOON), whole


@pytest.mark.parametrize("air", ["best", "typical", "long"])
def test_steps_grow_coarser_one_by_one_and_end_at_the_finest_detail(air):
    found, whole = stepped(kit(200.0, shake_arcsec=3.0), sky=replace(SKY, air=air))
    assert [part for part, _ in found] == ["eye", "aperture", "air", "mount"]
    told = [arcsec for _, arcsec in found]
    assert np.all(np.diff(told) > 0.0)
    assert told[-1] == pytest.approx(whole)


def test_steps_leave_out_what_takes_nothing():
    calm, whole = stepped(kit(), sky=replace(SKY, air="none"))
    assert [part for part, _ in calm] == ["eye", "aperture"]
    assert calm[-1][1] == pytest.approx(whole)


def test_aperture_in_its_step_goes_by_its_transfer_at_the_eye_s_own_need():
    # Behind a perfect lens without air a stripe is seen as far as contrast x transfer x the eye's
    # sensitivity is 1. So where the eye alone is far finer, the aperture's step stands a little
    # short of its cut-off, half a period of 0.567 arcsec for 100 mm at 550 nm: by some tenths.
    (_, (_, aperture)), _ = stepped(kit(), sky=replace(SKY, air="none"), power=200.0)
    assert 1.02 < aperture / 0.567 < 1.3


@pytest.mark.parametrize(
    ("periods", "expected"),
    # Half a period each; a mount that adds less than a hundredth is no step, and its figure stays.
    [
        ((1.0, 2.0, 3.0, 3.029), [("eye", 0.5), ("aperture", 1.0), ("air", 1.5145)]),
        (
            (1.0, 2.0, 3.0, 3.031),
            [("eye", 0.5), ("aperture", 1.0), ("air", 1.5), ("mount", 1.5155)],
        ),
        ((None, 2.0, 0.3, 0.302), [("aperture", 1.0), ("air", 0.151)]),
        ((None, 2.0, 3.0, None), [("aperture", 1.0), ("air", 1.5)]),
    ],
)
def test_step_of_the_mount_is_told_from_a_hundredth_on(monkeypatch, periods, expected):
    shaky = kit(shake_arcsec=1.0)
    (place,) = stations(shaky, MOON, sky=SKY, observer=Observer(), powers=[100.0])
    given = iter(periods)
    monkeypatch.setattr("simview.power.parts.period_at", lambda *_: next(given))
    found = steps(place.path, place.eye, MOON)
    assert [part for part, _ in found] == [part for part, _ in expected]
    assert [arcsec for _, arcsec in found] == pytest.approx([arcsec for _, arcsec in expected])


def test_a_star_grows_wider_from_the_aperture_to_the_eye() -> None:
    # Half of an Airy disc's height is 1.029 wavelength / D wide (Born & Wolf, Principles of Optics,
    # 8.5; memory); white light's is a little wider.
    star = simview.target("castor")
    for aperture_mm in (60.0, 150.0):
        scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=900.0)
        glass = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=5.0),))
        still = simview.Sky(air="none", altitude_deg=90.0)
        (aperture, eye) = star_steps(simview.look(glass, star, power=180.0, sky=still).path)
        airy = 1.029 * math.degrees(550e-6 / aperture_mm) * 3600.0
        assert aperture == ("aperture", pytest.approx(airy, rel=0.04))
        assert eye[0] == "eye"
        assert aperture[1] < eye[1] < 1.1 * aperture[1]
    widths = {}
    for air in ("best", "long"):
        looked = simview.look(glass, star, power=180.0, sky=simview.Sky(air=air, altitude_deg=40.0))
        told = star_steps(looked.path)
        widths[air] = dict(told)
        assert [part for part, _ in told] == ["aperture", "air", "prism", "eye"]
        assert [width for _, width in told] == sorted(width for _, width in told)
        assert told[-1][1] == pytest.approx(looked.numbers["resolution_arcsec"])
    assert widths["long"]["aperture"] == widths["best"]["aperture"]
    assert widths["long"]["air"] > 1.5 * widths["best"]["air"]
