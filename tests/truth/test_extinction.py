"""Air mass and extinction against published values."""

import numpy as np
import pytest

from simview.air import extinction
from simview.kit import Sky


@pytest.mark.parametrize(
    ("altitude_deg", "expected"),
    # Kasten & Young 1989, Appl. Opt. 28, 4735, their formula evaluated to four digits.
    [
        (90.0, 0.9997),
        (60.0, 1.1540),
        (45.0, 1.4126),
        (30.0, 1.9943),
        (20.0, 2.9031),
        (10.0, 5.586),
        (5.0, 10.306),
        (0.0, 37.92),
    ],
)
def test_airmass_is_kasten_and_youngs(altitude_deg, expected):
    assert extinction.airmass(altitude_deg) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("altitude_deg", [15.0, 20.0, 30.0, 45.0, 60.0, 75.0])
def test_airmass_agrees_with_an_independent_formula(altitude_deg):
    # Pickering 2002, DIO 12, 1, 20: 1 / sin(h + 244 / (165 + 47 h^1.1)). The
    # two fit different tables of the air and differ by up to 0.13 % above 15 deg.
    bent = altitude_deg + 244.0 / (165.0 + 47.0 * altitude_deg**1.1)
    assert extinction.airmass(altitude_deg) == pytest.approx(
        1.0 / np.sin(np.radians(bent)), rel=2e-3
    )


def test_rayleigh_part_is_greens():
    # Green 1992, Int. Comet Quarterly 14, 55: 0.1451 mag at sea level for 510 nm, after Hayes &
    # Latham 1975.
    assert extinction.rayleigh_mag(510.0) == pytest.approx(0.1451, abs=1e-4)
    assert extinction.rayleigh_mag(510.0, 2000.0) == pytest.approx(
        0.1451 * np.exp(-2.0 / 7.996), abs=1e-4
    )


@pytest.mark.parametrize(
    ("wavelength_nm", "depth"),
    # Optical depth of Rayleigh scattering at sea level: Bodhaine et al. 1999, J. Atmos. Ocean.
    # Technol. 16, 1854, eq. 30 at 45 deg latitude, 1013.25 hPa, 360 ppm CO2, evaluated.
    [(400.0, 0.3602), (500.0, 0.1434), (600.0, 0.0682)],
)
def test_rayleigh_part_agrees_with_a_later_formula(wavelength_nm, depth):
    square = (wavelength_nm / 1000.0) ** 2
    bodhaine = (
        0.0021520
        * (1.0455996 - 341.29061 / square - 0.90230850 * square)
        / (1.0 + 0.0027059889 / square - 85.968563 * square)
    )
    assert bodhaine == pytest.approx(depth, abs=2e-4)
    # Magnitudes are 1.0857 depths; the two formulas differ by up to 2 %.
    assert extinction.rayleigh_mag(wavelength_nm) == pytest.approx(1.0857 * depth, rel=0.02)


def test_ozone_part_is_a_hump_in_the_orange():
    # Green 1992 takes 0.016 mag at 510 nm; the measured cross-sections with 300 Dobson units
    # give 0.0135 (his value is for an effective wavelength of the dark-adapted eye, from memory).
    assert extinction.ozone_mag(510.0) == pytest.approx(0.016, abs=0.003)
    wavelengths = np.arange(400.0, 701.0, 5.0)
    assert 590.0 <= wavelengths[np.argmax(extinction.ozone_mag(wavelengths))] <= 610.0


def test_ozone_takes_light_at_every_wavelength_in_one_hump_with_two_tops():
    # The Chappuis band (Serdyuchenko et al. 2014, Atmos. Meas. Tech. 7, 625; memory): it rises from
    # the violet to tops near 575 and 603 nm and falls to the near infrared, where the Wulf bands
    # ride on it, of a hundredth of its height.
    seen = extinction.ozone_mag(np.arange(375.0, 786.0, 10.0))
    wave = np.arange(375.0, 786.0, 10.0)
    assert seen.min() > 0.0
    assert np.diff(seen[wave <= 575.0]).min() > 0.0
    assert np.diff(seen[wave >= 605.0]).max() < 0.01 * seen.max()
    assert seen[(wave > 575.0) & (wave < 600.0)].min() < seen[wave == 575.0][0] < seen.max()


def test_clean_mountain_air_takes_as_much_as_measured():
    # King 1985, RGO/La Palma technical note 31: at 2369 m without dust, per air mass, U band to
    # I band; 450 nm 0.17, 550 nm 0.11, 700 nm 0.02 to 0.04 (from memory, 0.02).
    sky = Sky(elevation_m=2369.0, extinction_mag=0.11)
    found = extinction.extinction_mag(sky, np.array([450.0, 550.0, 700.0]))
    assert found == pytest.approx([0.18, 0.11, 0.035], abs=0.02)


def test_haze_is_angstroms():
    # Green 1992, Int. Comet Quarterly 14, 55, eq. 4, after Angstrom 1961: aerosol of 0.05 mag at
    # 1000 nm is 0.120 mag at 510 nm.
    hazy, clean = (
        extinction.extinction_mag(Sky(extinction_mag=k), np.array([510.0, 1000.0]))
        - extinction.rayleigh_mag(np.array([510.0, 1000.0]))
        - extinction.ozone_mag(np.array([510.0, 1000.0]))
        for k in (0.6, 0.3)
    )
    # Three digits of each.
    assert hazy[0] / hazy[1] == pytest.approx(0.120 / 0.05, rel=0.01)
    assert clean[0] / clean[1] == pytest.approx(0.120 / 0.05, rel=0.01)


def test_sum_of_the_parts_is_what_the_user_says_in_v():
    for stated in (0.0, 0.1, 0.12, 0.2, 0.28, 0.4, 1.5):
        found = extinction.extinction_mag(Sky(extinction_mag=stated), np.array([550.0]))
        assert found[0] == pytest.approx(stated, abs=1e-12)


@pytest.mark.parametrize(
    ("altitude_deg", "magnitudes"),
    # dm = k X with k = 0.28 and the air masses above.
    [(30.0, 0.558), (20.0, 0.813), (10.0, 1.564)],
)
def test_dimming_at_low_altitude_is_k_times_airmass(altitude_deg, magnitudes):
    sky = Sky(extinction_mag=0.28, altitude_deg=altitude_deg)
    kept = extinction.transmission(sky, np.array([550.0]))[0]
    assert -2.5 * np.log10(kept) == pytest.approx(magnitudes, abs=1e-3)
