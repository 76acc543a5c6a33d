"""How wide a star's image is: the aperture's width, the air's, the eye's, and all together."""

import itertools
import math

import numpy as np
import pytest

import simview
from simview.air import seeing
from simview.eye.clarity import airy_arcsec, blur_arcsec, width_arcsec
from simview.kit import Eyepiece, Kit, Mount, Observer, Sky, Telescope, Wavefront
from simview.scene.targets import target

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
STAR = target("castor")


def path(aperture=100.0, power=400.0, sky=SPACE, observer=None, mount=None, **scope):
    kit = Kit(
        telescope=Telescope(aperture_mm=aperture, focal_length_mm=10.0 * aperture, **scope),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
        mount=mount or Mount(kind="fixed"),
    )
    return simview.look(kit, STAR, power=power, sky=sky, observer=observer).path


@pytest.mark.parametrize("aperture", [50.0, 100.0, 300.0])
def test_without_air_a_star_is_as_wide_as_its_airy_disc(aperture):
    # Full width at half maximum of the Airy pattern: 1.0290 lambda / D (Born & Wolf, section 8.5),
    # lambda for white light as the cones weigh it between 555 and 570 nm; at 4 times the mm the eye
    # adds 2 % to it.
    view = path(aperture, power=4.0 * aperture)
    assert width_arcsec(view) == pytest.approx(1.029 * airy_arcsec(view), rel=0.05)
    assert airy_arcsec(view) == pytest.approx(206264.8 * 550e-6 / aperture, rel=1e-6)


def test_in_bad_air_a_star_is_as_wide_as_the_air_makes_it():
    sky = Sky(seeing_arcsec=5.0, altitude_deg=90.0, air="long")
    view = path(300.0, power=600.0, sky=sky)
    air = seeing.long_exposure_fwhm_arcsec(sky, 555.0)
    # Aperture and eye, 0.4 and 0.2 arcsec, add little to some 4.5.
    assert air < width_arcsec(view) < 1.05 * air


def test_air_and_aperture_add_about_in_squares():
    sky = Sky(seeing_arcsec=1.2, altitude_deg=90.0, air="long")
    alone, both = width_arcsec(path(power=600.0)), width_arcsec(path(power=600.0, sky=sky))
    air = seeing.long_exposure_fwhm_arcsec(sky, 555.0)
    # Widths of no Gaussians: 12 %.
    assert both == pytest.approx(math.hypot(alone, air), rel=0.12)
    assert both > max(alone, air)


def test_low_power_leaves_the_eyes_own_blur():
    # The width on the sky times power is the eye's own: hardly the telescope's.
    at_eye = [width_arcsec(path(a, power=20.0)) * 20.0 for a in (100.0, 200.0)]
    assert at_eye[0] == pytest.approx(at_eye[1], rel=0.15)
    assert 60.0 < at_eye[0] < 400.0


def test_width_falls_with_power_down_to_the_telescopes():
    widths = [width_arcsec(path(power=p)) for p in np.geomspace(20.0, 400.0, 8)]
    assert all(b <= 1.001 * a for a, b in itertools.pairwise(widths))


def test_shake_widens_a_star():
    still, shaken = (width_arcsec(path(mount=m)) for m in (None, Mount(shake_arcsec=2.0)))
    # A Gaussian of 2 arcsec RMS is 4.71 wide at half maximum.
    assert shaken == pytest.approx(math.hypot(still, 4.71), rel=0.05)


def test_sharper_eye_sees_a_narrower_star_at_low_power():
    dull, sharp = (width_arcsec(path(power=30.0, observer=Observer(acuity=a))) for a in (0.4, 1.5))
    assert sharp < 0.7 * dull


def test_blur_of_a_good_telescope_is_the_width_of_its_stars():
    for view in (path(), path(sky=Sky(seeing_arcsec=3.0))):
        assert blur_arcsec(view) == pytest.approx(width_arcsec(view))


@pytest.mark.parametrize(
    ("waves", "strehl"),
    # Spherical aberration at its best focus in one colour: a quarter of a wave leaves a middle of
    # 0.80 (Rayleigh's limit; Born & Wolf, section 9.3), half a wave 0.39 (its integral by hand).
    [(0.25, 0.80), (0.5, 0.39)],
)
def test_blur_grows_as_the_middle_of_a_faulty_telescopes_star_falls(waves, strehl):
    good, poor = (
        blur_arcsec(path(wavefront=Wavefront(spherical=amount))) for amount in (0.0, waves)
    )
    # White light: blue has more waves of it, red fewer.
    assert (good / poor) ** 2 == pytest.approx(strehl, abs=0.04)


def test_more_of_a_fault_makes_no_blur_less():
    # Past the first wave a star's middle rises again, in one fault after the other.
    for fault in ("spherical", "defocus", "coma"):
        blurs = [
            blur_arcsec(path(wavefront=Wavefront(**{fault: w}))) for w in np.linspace(0.0, 1.75, 8)
        ]
        assert all(b >= a for a, b in itertools.pairwise(blurs)), fault
