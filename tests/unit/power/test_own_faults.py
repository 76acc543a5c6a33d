"""An observer's own short sight and astigmatism, in pictures and in figures."""

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.kitfile import kit_text, parse_kit
from simview.power.faint import visibility_curve
from simview.power.finest import detail_curve
from simview.scene.scene import Scene, Target
from simview.scene.targets import target

CALM = Sky(seeing_arcsec=0.8, altitude_deg=80.0)
KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=800.0),
    eyepieces=(Eyepiece(focal_length_mm=8.0),),
)
GOOD, TWO_DIOPTRES = Observer(), Observer(cylinder_dioptre=2.0, cylinder_axis_deg=20.0)
OUT_OF_FOCUS = Observer(short_sight_dioptre=1.0)


def even(luminance, size_arcsec):
    """Return what paints an even disc."""

    def paint(pixel_arcsec, pixels):
        y, x = np.mgrid[:pixels, :pixels] - pixels // 2
        disc = np.hypot(x, y) * pixel_arcsec < size_arcsec / 2.0
        planes = np.tile(disc * luminance, (3, 1, 1)).astype(np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return paint


def finest(observer, powers=(20.0, 400.0)):
    curve = detail_curve(KIT, target("moon"), powers=powers, sky=CALM, observer=observer)
    return curve.finest_period_arcsec


@pytest.mark.parametrize("observer", [TWO_DIOPTRES, OUT_OF_FOCUS], ids=["cylinder", "focus"])
def test_faults_of_the_eye_vanish_at_a_small_exit_pupil(observer):
    # At 20 times the exit pupil is 5 mm, 11 waves of a 2 dioptre cylinder; at 400 times it is
    # 0.25 mm, 0.03 wave (Born & Wolf: D p^2 / 8). Marechal's limit is 0.37 wave.
    wide, narrow = finest(observer)
    good_wide, good_narrow = finest(GOOD)
    assert wide > 1.8 * good_wide
    assert narrow == pytest.approx(good_narrow, rel=0.005)


def test_star_is_as_sharp_for_any_eye_at_a_small_exit_pupil_and_wide_at_a_large_one():
    def width(observer, power):
        view = simview.look(KIT, target("castor"), power=power, sky=CALM, observer=observer)
        return view.numbers["resolution_arcsec"]

    assert width(TWO_DIOPTRES, 400.0) == pytest.approx(width(GOOD, 400.0), rel=0.01)
    assert width(TWO_DIOPTRES, 20.0) > 3.0 * width(GOOD, 20.0)


def test_picture_of_a_star_is_drawn_out_by_a_cylinder_and_keeps_its_light():
    def spot(observer):
        view = simview.look(
            KIT,
            target("double", double=(0.02, 0.0, 3.0, 3.0)),
            power=20.0,
            sky=CALM,
            observer=observer,
        )
        return view.retina(pixels_per_degree=60.0, pixels=128).points[1].astype(float)

    good, faulty = spot(GOOD), spot(TWO_DIOPTRES)
    # 2 dioptres over 5 mm leave 17 arcmin at best focus; the glow beyond the kernel is lost.
    assert faulty.sum() == pytest.approx(good.sum(), rel=0.05)
    assert faulty.max() < 0.1 * good.max()
    assert np.count_nonzero(faulty > 0.5 * faulty.max()) > 5 * np.count_nonzero(
        good > 0.5 * good.max()
    )


def test_small_nebula_fades_for_an_eye_without_spectacles_at_low_power_only():
    nebula = Target(
        name="n",
        title="N",
        kind="deep-sky",
        size_arcsec=60.0,
        paint=even(1e-3, 60.0),
        luminance_cd_m2=1e-3,
    )

    def above(observer):
        powers = (20.0, 200.0)
        curve = visibility_curve(KIT, nebula, powers=powers, sky=CALM, observer=observer)
        return curve.above_threshold

    faulty, good = above(TWO_DIOPTRES), above(GOOD)
    assert faulty[0] < 0.95 * good[0]
    assert faulty[1] == pytest.approx(good[1], rel=0.02)


def test_naked_short_sighted_eye_sees_the_moon_coarser():
    short = Observer(short_sight_dioptre=2.0)
    sharp, blurred = (
        detail_curve(Kit(), target("moon"), observer=o).finest_period_arcsec[0]
        for o in (GOOD, short)
    )
    assert blurred > 2.0 * sharp


def test_kit_file_carries_the_observers_faults():
    wanted = Observer(cylinder_dioptre=-1.5, cylinder_axis_deg=80.0, short_sight_dioptre=3.0)
    told = parse_kit(kit_text(Kit(name="k"), observer=wanted), where="k.toml")
    assert told.observer == wanted


@pytest.mark.parametrize(
    "fault",
    [
        {"cylinder_dioptre": 9.0},
        {"short_sight_dioptre": float("nan")},
        {"cylinder_axis_deg": 400.0},
    ],
)
def test_impossible_eyes_are_refused(fault):
    with pytest.raises(SimviewError, match=next(iter(fault))):
        Observer(**fault)
