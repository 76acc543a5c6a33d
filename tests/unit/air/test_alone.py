"""The air by itself: how much it widens a star."""

import math

import numpy as np
import pytest

import simview
from simview.air import alone
from simview.air.ensemble import SAMPLES, transfer_of
from simview.air.moments import _place
from simview.air.seeing import FWHM_RATIO
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

UNIT = 550e-6 / 100.0 * ARCSEC_PER_RADIAN  # of 100 mm, arcsec


def test_short_exposure_widens_as_fried_found():
    # Full widths of a short exposure's image, in wavelength / D, for D / r0 of 1, 2 and 4: Fried's
    # integrals (1966), as in tests/truth/test_seeing_product.py; 1.0290 without air.
    for ratio, width in ((1.0, 1.0457), (2.0, 1.0892)):
        sky = Sky(
            seeing_arcsec=FWHM_RATIO * UNIT * (550.0 / 500.0) ** 0.2 * ratio,
            altitude_deg=90.0,
            outer_scale_m=math.inf,
            air="short",
        )
        wanted = math.sqrt(width**2 - 1.0290**2) * UNIT
        assert alone.width_arcsec(sky, 100.0) == pytest.approx(wanted, rel=0.03)


@pytest.mark.parametrize("air", ["best", "typical", "short", "long"])
@pytest.mark.parametrize("aperture_mm", [60.0, 150.0, 300.0])
def test_air_and_telescope_together_are_the_whole(air, aperture_mm):
    # At an exit pupil where the eye adds little: its share is taken off as a square too.
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=8 * aperture_mm),
        mount=simview.Mount(kind="fixed", driven=True, shake_arcsec=0.0),
    )
    sky = Sky(seeing_arcsec=2.0, air=air, altitude_deg=90.0)
    told = simview.look(kit, "jupiter", power=6.0 * aperture_mm, sky=sky).numbers
    own = 1.0290 / 1.21967 * told["resolution_aperture_arcsec"]
    parts = math.hypot(own, told["resolution_air_arcsec"], told["resolution_eye_arcsec"])
    # The long exposure's width is its own, without a telescope: squares overrate it in small ones.
    assert told["resolution_arcsec"] == pytest.approx(parts, rel=0.2 if air == "long" else 0.06)


def test_air_never_widens_more_than_the_average_of_all_moments_does():
    for aperture_mm in (50.0, 100.0, 200.0, 400.0):
        wide = [
            alone.width_arcsec(Sky(seeing_arcsec=2.0, air=air), aperture_mm)
            for air in ("none", "best", "typical", "long")
        ]
        assert wide == sorted(wide)


def test_wave_without_air_and_one_that_is_only_tilted_keep_all():
    # A tilt moves the image and takes nothing from it; it is taken out of each moment.
    x = (np.arange(SAMPLES) + 0.5) * 2.0 / SAMPLES - 1.0
    for phase in (np.zeros((SAMPLES, SAMPLES)), 1.5 * x[None, :] - 0.7 * x[:, None] + 0.3):
        np.testing.assert_allclose(transfer_of(phase), 1.0, atol=1e-6)


def test_place_in_a_table_is_its_step_and_the_share_of_it():
    step, share = _place(np.array([0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 9.0]), np.array([1.0, 2.0, 4.0]))
    assert np.array([1.0, 2.0])[step] + share * np.array([1.0, 2.0])[step] == pytest.approx(
        [1.0, 1.0, 1.5, 2.0, 3.0, 4.0, 4.0]
    )
    assert set(step) == {0, 1}
