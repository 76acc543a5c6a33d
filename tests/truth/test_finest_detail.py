"""Where power turns empty: the whole light path against what practice says.

Common practice, no source, unless named. What is compared with a rule here is the model as it
stands; no constant in it was set by these rules.
"""

import math

import numpy as np
import pytest

from simview.kit import Binocular, Eyepiece, Kit, Observer, Sky, Telescope, Wavefront
from simview.power.finest import NO_SURFACE, detail_curve
from simview.scene.scene import Target
from simview.scene.targets import target

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)


def ball(contrast=0.3, luminance=800.0, size=46.9):
    """A planet of Jupiter's size and brightness at a mean opposition (Mallama & Hilton 2018)."""

    def paint(pixel_arcsec, pixels):
        raise AssertionError("the curve needs no picture")

    return Target(
        name="ball",
        title="Ball",
        kind="planet",
        size_arcsec=size,
        paint=paint,
        luminance_cd_m2=luminance,
        contrast=contrast,
    )


def kit(aperture, **more):
    scope = Telescope(
        **(
            {"aperture_mm": aperture, "focal_length_mm": 8.0 * aperture, "transmission": 0.85}
            | more
        )
    )
    return Kit(telescope=scope, eyepieces=(Eyepiece(focal_length_mm=10.0),))


def poor_refractor():
    """A 60 mm refractor with half a wave of astigmatism and some spherical aberration."""
    return kit(
        60.0,
        objective="achromat",
        focal_length_mm=700.0,
        wavefront=Wavefront(astigmatism=0.5, spherical=0.25),
    )


@pytest.mark.parametrize("aperture", [50.0, 60.0, 100.0, 150.0, 200.0])
def test_perfect_telescope_in_still_air_is_used_up_by_the_rule_of_thumb(aperture):
    # 50 to 60 times an inch: nothing more is gained past it. The model puts the power at which
    # the finest detail stands 4 arcmin wide at 45 to 52 an inch, and has 95 % of the detail from
    # 25 to 32 an inch on.
    marks = detail_curve(kit(aperture), ball(0.3), sky=SPACE)
    per_inch = 25.4 / aperture
    assert 40.0 < marks.carries * per_inch < 60.0
    assert 20.0 < marks.enough_from * per_inch < 40.0


@pytest.mark.parametrize("contrast", [0.3, 0.5, 0.9])
def test_poor_small_refractor_in_unsteady_air_is_used_up_at_fifty_to_sixty(contrast):
    marks = detail_curve(
        poor_refractor(), ball(contrast), sky=Sky(seeing_arcsec=3.5, altitude_deg=90.0, air="long")
    )
    assert 50.0 < marks.carries < 70.0
    assert 30.0 < marks.enough_from < marks.carries


@pytest.mark.parametrize("aperture", [150.0, 200.0, 300.0, 400.0])
def test_ordinary_air_lets_no_telescope_go_far_past_150_to_200(aperture):
    # Seeing of 2 arcsec, an object 45 deg up, in the average of all moments.
    scope = kit(aperture, obstruction=0.25, wavefront=Wavefront(spherical=0.125))
    marks = detail_curve(
        scope, ball(0.3), sky=Sky(seeing_arcsec=2.0, altitude_deg=45.0, air="long")
    )
    assert 85.0 < marks.carries < 160.0


def test_perfect_telescope_shows_the_rayleigh_limits_order_of_detail():
    # The finest period of a perfect 100 mm lies just above its cut-off, 1.13 arcsec at 550 nm.
    marks = detail_curve(kit(100.0), ball(0.9), sky=SPACE)
    assert 1.13 < marks.best_period_arcsec < 1.25


def test_curve_falls_flattens_and_rises_again():
    sky = Sky(seeing_arcsec=2.0, altitude_deg=60.0, air="long")
    marks = detail_curve(kit(200.0), ball(0.15, luminance=50.0), sky=sky)
    period = np.array(marks.finest_period_arcsec)
    best = int(period.argmin())
    assert 0 < best < len(period) - 1
    assert np.all(np.diff(period[: best - 1]) < 0.0)
    assert np.all(np.diff(period[best + 1 :]) > 0.0)
    assert period[-1] > 1.02 * period.min()


def test_curve_is_smooth_but_for_the_exit_pupils_own_step():
    # Where the exit pupil meets the eye's pupil the slope has a true corner; elsewhere the second
    # difference of log P over log power stays small.
    observer = Observer(pupil_mm=5.0)
    powers = np.geomspace(45.0, 700.0, 120)
    marks = detail_curve(kit(200.0), ball(0.3), powers=powers, sky=SPACE, observer=observer)
    bend = np.abs(np.diff(np.log(marks.finest_period_arcsec), 2))
    assert bend.max() < 0.003


def test_unsteady_air_and_faults_cost_detail():
    best = [
        detail_curve(k, ball(), sky=s).best_period_arcsec
        for k, s in (
            (kit(100.0), SPACE),
            (kit(100.0, wavefront=Wavefront(spherical=0.5)), SPACE),
            (kit(100.0), Sky(seeing_arcsec=3.0, air="long")),
        )
    ]
    assert best[0] < 0.95 * best[1]
    assert best[0] < 0.7 * best[2]


def test_dim_objects_show_coarser_detail_than_bright_ones():
    bright, dim = (
        detail_curve(kit(100.0), ball(luminance=light), sky=SPACE).best_period_arcsec
        for light in (800.0, 5.0)
    )
    assert dim > 1.1 * bright


def test_stars_have_no_curve_but_a_reason():
    marks = detail_curve(kit(100.0), target("double", double=(2.0, 0.0, 5.0, 6.0)))
    assert marks.reason == NO_SURFACE
    assert marks.carries is None
    assert set(marks.finest_period_arcsec) == {None}


def test_invisible_object_says_so_in_words():
    marks = detail_curve(kit(60.0), ball(0.02, luminance=1e-3), sky=Sky(sky_mag_arcsec2=17.0))
    assert marks.enough_from is None
    assert "can be made out" in marks.reason


def test_no_number_of_any_curve_is_nan():
    for contrast, light in ((0.02, 1e-3), (0.05, 1.0), (1.0, 5000.0)):
        marks = detail_curve(kit(114.0, obstruction=0.3), ball(contrast, light))
        numbers = [*marks.finest_period_arcsec, marks.enough_from, marks.carries]
        assert not any(n is not None and not math.isfinite(n) for n in numbers)


def test_binocular_and_naked_eye_have_curves_too():
    moon = ball(0.3, 4000.0, 1865.0)
    pair = detail_curve(Kit(binocular=Binocular(power=10.0, aperture_mm=50.0)), moon, powers=[10.0])
    eye = detail_curve(Kit(), moon)
    assert eye.powers == (1.0,)
    # The naked eye makes out bars of about an arcminute on the Moon, 10 x 50 about ten times finer.
    assert 20.0 < eye.finest_detail_arcsec[0] < 90.0
    assert 0.08 < pair.finest_detail_arcsec[0] / eye.finest_detail_arcsec[0] < 0.16


def test_tube_without_eyepieces_has_a_curve_too():
    bare = Kit(telescope=kit(100.0).telescope)
    marks = detail_curve(bare, ball(), sky=SPACE)
    # Only the imagined eyepiece's glass differs.
    assert marks.carries == pytest.approx(
        detail_curve(kit(100.0), ball(), sky=SPACE).carries, rel=0.02
    )


@pytest.mark.parametrize("powers", [[], [100.0, 50.0], [0.5], [math.nan], [50.0, 50.0]])
def test_impossible_powers_are_refused(powers):
    from simview.errors import SimviewError

    with pytest.raises(SimviewError, match="power"):
        detail_curve(kit(100.0), ball(), powers=powers)
