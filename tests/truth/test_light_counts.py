"""Light that is lost or reddened on the way counts where it should: each against a figure."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.air import extinction
from simview.eye import transfer
from simview.eye.reference import pupil_mm
from simview.eye.state import settle
from simview.eye.thresholds import point_area_sr
from simview.eyepiece.train import beam
from simview.scene.spectrum import band_centres_nm
from simview.scene.targets import target


def kit(obstruction):
    scope = simview.Telescope(aperture_mm=200.0, focal_length_mm=1200.0, obstruction=obstruction)
    return simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))


@pytest.mark.parametrize("name", ["jupiter", "m57"])
def test_secondary_takes_its_share_of_the_light_that_the_eye_settles_to(name):
    # A secondary of 0.4 covers 0.4^2 of the aperture: 0.84 of the light is left (geometry). Told is
    # the luminance that gives the published observers' retinas as much, through their own pupil.
    seen, sky = target(name), simview.Sky(sky_mag_arcsec2=19.0)
    eyes = simview.Observer(pupil_mm=6.0)
    clear, shaded = (
        settle(beam(kit(share), eye_pupil_mm=6.0), seen, sky, eyes, binocular=False)
        for share in (0.0, 0.4)
    )

    def retinal(luminance):
        return luminance * float(pupil_mm(luminance)) ** 2

    for part in ("object_cd_m2", "sky_cd_m2"):
        left = retinal(getattr(shaded, part)) / retinal(getattr(clear, part))
        assert left == pytest.approx(0.84, rel=0.02)


def test_low_air_reddens_the_light_that_a_transfer_is_weighed_by():
    # V(lambda) of the CIE times what ten air masses leave, computed here on its own; daylight is
    # even within 10 % over the band (ISO/CIE 11664-2), so it is left out.
    sky = simview.Sky(altitude_deg=5.0, extinction_mag=0.28)
    waves = band_centres_nm(transfer.BANDS)
    # CIE 1924, from memory, every 10 nm from 420 to 690.
    luminous = np.array([
        0.004, 0.0116, 0.023, 0.038, 0.060, 0.091, 0.139, 0.208, 0.323, 0.503, 0.710, 0.862, 0.954,
        0.995, 0.995, 0.952, 0.870, 0.757, 0.631, 0.503, 0.381, 0.265, 0.175, 0.107, 0.061, 0.032,
        0.017, 0.0082,
    ])  # fmt: skip
    fine = np.arange(420.0, 691.0, 10.0)
    passed = extinction.transmission(sky, fine) * luminous
    wanted = (passed * fine).sum() / passed.sum()
    white = (luminous * fine).sum() / luminous.sum()
    got = float((transfer._weights(sky, waves) * waves).sum())
    assert wanted - white > 8.0
    assert got == pytest.approx(wanted, abs=4.0)


def test_aerosols_exponent_is_angstroms():
    # Angstrom 1929, Geogr. Ann. 11, 156: haze dims as the wavelength to the power -1.3 on the
    # mean, 1.1 to 1.5 from clear to hazy places (memory). What a hazy sky takes more than a clear
    # one is aerosol alone.
    waves = np.array([450.0, 650.0])
    clear, hazy = (
        -2.5 * np.log10(extinction.transmission(
            simview.Sky(altitude_deg=90.0, extinction_mag=mag), waves
        ))
        for mag in (0.2, 0.9)
    )  # fmt: skip
    more = hazy - clear
    exponent = -np.log(more[1] / more[0]) / np.log(waves[1] / waves[0])
    assert exponent == pytest.approx(1.3, abs=0.1)
    # And it is what the stated extinction asks for in V, 550 nm.
    assert (hazy - clear)[0] > 0.7 > (hazy - clear)[1]


def test_saturns_contrast_is_that_of_its_rings():
    # Brightness of the rings at small phase, I/F: A some 0.45 to 0.5, B 0.5 to 0.65, C and
    # Cassini's division 0.1 to 0.15 (Cuzzi et al. 1984, in Planetary Rings; Dones et al. 1993,
    # Icarus 105, 184; memory): A and B against what lies beside them have 0.5 to 0.7 as Michelson
    # contrast, the mean of A and B against the gap 0.64; a typical detail keeps somewhat less.
    assert 0.45 <= target("saturn").contrast <= 0.65


# Crumey 2014, eq. 25 and 28, typed anew from the paper as cited in the module (memory).
CRUMEY = (5.949e-8, -2.389e-7, 2.459e-7, 4.120e-4, -4.225e-4)


def fitted(b):
    x = b**-0.25
    root = np.sqrt(CRUMEY[0] * x**2 + CRUMEY[1] * x + CRUMEY[2])
    return (root + CRUMEY[3] * x + CRUMEY[4]) ** 2


def test_stars_are_held_above_the_papers_fit_just_where_it_falls():
    # No eye sees fainter stars on a brighter sky: light on the retina at threshold never falls.
    grid = np.geomspace(1e-4, 3.0, 400)
    retinal = grid * point_area_sr(grid) * pupil_mm(grid) ** 2
    assert np.all(np.diff(retinal) > -1e-3 * retinal[:-1])
    # Outside the range where the fit would let it, the law is the fit.
    for outside in (0.005, 0.012, 0.124, 0.3, 1.0):
        assert point_area_sr(np.array([outside]))[0] == pytest.approx(fitted(outside), rel=1e-3)
    inside = np.array([0.015, 0.03, 0.1, 0.12])
    assert np.all(point_area_sr(inside) > 1.001 * fitted(inside))
