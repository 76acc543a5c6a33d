"""The light path as one transfer: kernels, their colours and their light."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

import simview
from simview.eye import system
from simview.kit import Eyepiece, Kit, Mount, Sky, Telescope, Wavefront
from simview.scene.targets import target

SKY = Sky(seeing_arcsec=1.0, altitude_deg=40.0)
JUPITER = target("jupiter")

# Standard deviation of a Gaussian that passes half of a grating of 4.5 cycles/deg, arcmin.
HUE_ARCMIN = 2.5


def path(power=100.0, sky=SKY, mount=None, **scope):
    kit = Kit(
        telescope=Telescope(
            **({"aperture_mm": 100.0, "focal_length_mm": 900.0, "objective": "achromat"} | scope)
        ),
        eyepieces=(Eyepiece(focal_length_mm=9.0),),
        mount=mount or Mount(kind="fixed"),
    )
    return simview.look(kit, JUPITER, power=power, sky=sky).path


def kernel(view, pixel_arcsec=0.4):
    return view.kernels(view.grid(pixel_arcsec))


@pytest.mark.parametrize("objective", ["mirror", "achromat"])
def test_ten_bands_agree_with_thirty(objective, monkeypatch):
    # What the choice of ten bands rests on: the image of a white point, channel by channel.
    view = path(objective=objective)
    ten = kernel(view).sum(axis=1)
    monkeypatch.setattr(system, "BANDS", 30)
    thirty = kernel(view).sum(axis=1)
    # Of the middle's light: 1 % for a mirror. An achromat's colours run apart, 2 % in X, Y and V'.
    # Blue is out of focus by waves and its image full of rings, which ten bands do not follow;
    # but no eye sees blue so fine: averaged over its resolution for colour (Mullen 1985, J.
    # Physiol. 359, 381: half of a colour grating of some 4.5 cycles/deg), as in print, 6 % are left
    # of the 23 at a point (7 and 30 against sixty bands); a surface has its light exactly.
    apart = np.abs(ten - thirty).max(axis=(1, 2)) / thirty.max(axis=(1, 2))
    sharp = [0, 1, 3]
    assert np.all(apart[sharp] < (0.01 if objective == "mirror" else 0.02))
    blue, wanted = (
        gaussian_filter(each[2], HUE_ARCMIN * 60.0 / view.beam.power / 0.4, mode="constant")
        for each in (ten, thirty)
    )
    assert np.abs(blue - wanted).max() < 0.07 * wanted.max()
    # The light in all is exact, whatever the number of bands, but for what the
    # kernel's edge cuts: 1.4 % of an achromat's blue.
    np.testing.assert_allclose(ten.sum(axis=(1, 2)), thirty.sum(axis=(1, 2)), rtol=0.02)


@pytest.mark.parametrize("power", [40.0, 250.0])
@pytest.mark.parametrize("objective", ["mirror", "achromat"])
def test_fewer_samples_than_pixels_give_the_same_kernel(objective, power):
    view = path(power=power, objective=objective)
    grid = view.grid(0.08)
    assert grid.fine_size < 0.5 * grid.size
    few = view.kernels(grid)
    all_of_them = view.kernels(replace(grid, enough=None))
    # Beyond the aperture's cut-off there is nothing to sample; float32 keeps 6e-8 of each sum.
    np.testing.assert_allclose(few, all_of_them, atol=1e-6 * all_of_them.max())


def test_kernel_holds_the_light_that_reaches_the_retina():
    view = path()
    # Y of a white surface of 1 cd/m2 above the air: troland per cd/m2 times what the air passes,
    # 10^(-0.4 k X) with k = 0.28 mag and X = 1.553 at 40 deg (Kasten & Young 1989).
    through = 10.0 ** (-0.4 * 0.28 * 1.553)
    light = float(kernel(view)[1].sum())
    # The kernel's edge and the colour of extinction: 4 %.
    assert light == pytest.approx(view.troland_per_cd_m2() * through, rel=0.04)


def test_troland_are_pupil_area_times_transmission():
    view = path()
    area = np.pi / 4.0 * view.beam.used_pupil_mm**2
    assert view.troland_per_cd_m2() == pytest.approx(area * view.beam.transmission)


def test_eyes_factor_falls_from_one_with_frequency():
    view = path(power=50.0)
    factor = view.eye_factor(np.linspace(0.0, 2.0, 50))
    assert factor[0] == 1.0
    assert np.all(np.diff(factor) <= 0.0)


def test_power_takes_the_eye_out_of_the_way():
    frequency = np.array([0.5])
    low, high = (float(path(power=p).eye_factor(frequency)[0]) for p in (30.0, 300.0))
    assert low < 0.9
    assert high > 0.95


def test_blur_grows_with_each_part():
    still = path().blur_arcsec()
    assert path(sky=Sky(seeing_arcsec=4.0)).blur_arcsec() > still
    assert path(mount=Mount(shake_arcsec=3.0)).blur_arcsec() > still
    assert path(power=40.0).blur_arcsec() > still


def test_single_moment_depends_on_its_seed_alone():
    moments = [
        kernel(path(sky=Sky(seeing_arcsec=3.0, air="moment", seed=seed)), 0.5)[1].sum(axis=0)
        for seed in (4, 4, 5)
    ]
    np.testing.assert_array_equal(moments[0], moments[1])
    assert np.abs(moments[0] - moments[2]).max() > 0.05 * moments[0].max()


def test_faulty_telescope_spreads_the_same_light():
    good, poor = (kernel(path(wavefront=Wavefront(spherical=s)))[1].sum(axis=0) for s in (0.0, 0.5))
    assert poor.max() < 0.8 * good.max()
    assert poor.sum() == pytest.approx(good.sum(), rel=0.02)


def test_nerves_blur_is_a_gaussian_as_wide_as_the_eyes_acuity():
    # A Gaussian of full width w passes exp(-(pi w f)^2 / (4 ln 2)) of a frequency f.
    view = replace(path(power=100.0), acuity_arcsec=60.0)
    f = np.array([0.1, 0.3, 0.6])
    alone = view.eye_factor(f) / replace(view, acuity_arcsec=0.0).eye_factor(f)
    on_sky = 60.0 / 100.0
    np.testing.assert_allclose(alone, np.exp(-((np.pi * on_sky * f) ** 2) / (4.0 * np.log(2.0))))


def test_shake_air_and_eye_widen_a_point_in_squares():
    # 2 arcsec RMS are 4.71 wide at half maximum; an eye's arcminute beside its nerves' 40", at
    # 100 times; air of 3".
    shaken = path(sky=replace(SKY, seeing_arcsec=3.0), mount=Mount(shake_arcsec=2.0))
    view = replace(shaken, acuity_arcsec=40.0, fault_arcsec=0.0)
    assert view.blur_arcsec() == pytest.approx(np.hypot(np.hypot(3.0, 4.7096), 1.0), rel=1e-4)


def test_blur_of_a_fault_is_as_wide_as_a_gaussian_of_its_discs_variance():
    # An even disc of diameter d has a variance of d^2 / 16 along a line: 2.3548 / 4 of d wide.
    view = replace(path(sky=Sky(air="none")), acuity_arcsec=0.0, fault_arcsec=400.0)
    eye = 60.0 / view.beam.power
    wanted = np.hypot(np.sqrt(8.0 * np.log(2.0)) / 4.0 * 400.0, eye)
    assert view.blur_arcsec() == pytest.approx(wanted, rel=0.003)
