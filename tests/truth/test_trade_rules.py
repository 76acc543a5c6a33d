"""Rules of the trade against figures from outside.

Facts of the trade are common practice, without a single source; they are marked so. Published
criteria were recalled from the named books.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.advice.delivered import powers_of
from simview.advice.masks import sphere_mask_mm
from simview.advice.reading.assemble import read_advert
from simview.advice.rules.optics_rules import CROWN_ABBE, colour_index, spherical_error_waves
from simview.eyepiece.barrels import LARGEST_STOP_MM
from simview.kit import Mount
from simview.power.rules import lowest_useful_power, per_inch, twice_the_mm, useful_powers
from simview.telescope.mount import settle_seconds


def test_power_is_the_ratio_of_the_focal_lengths() -> None:
    # Common practice, no source: 700 mm with 25, 12.5 and 4 mm gives 28, 56 and 175 times.
    listing = read_advert("Refractor 60/700 with eyepieces 25 mm, 12.5 mm and 4 mm")
    assert [one.power for one in powers_of(listing)] == pytest.approx([28.0, 56.0, 175.0])


def test_barlow_and_prism_multiply() -> None:
    # Common practice, no source: Barlow lenses of 2 and 3 times, erecting prisms of 1.5 times.
    listing = read_advert("Refractor 60/700, 20 mm eyepiece, 3x Barlow, 1.5x erecting prism")
    assert [one.power for one in powers_of(listing)] == pytest.approx([35.0, 52.5, 105.0, 157.5])
    one = powers_of(listing)[0]
    assert one.exit_pupil_mm == pytest.approx(60.0 / 35.0)


def test_highest_useful_power_is_50_to_60_times_per_inch() -> None:
    # Common practice, no source: 60 mm is 2.4 inches, so 120 to 144 times at the most.
    low, high = useful_powers(60.0)
    assert (low, high) == pytest.approx((120.0, 144.0))
    # 50 to 60 per inch exactly would be 118 to 142: the trade rounds to 2 to 2.4 per mm.
    assert low == pytest.approx(50.0 * 60.0 / 25.4, rel=0.02)
    assert high == pytest.approx(60.0 * 60.0 / 25.4, rel=0.02)
    # Unrounded, and as "twice the millimetres": 4 inches are 101.6 mm.
    assert per_inch(101.6) == pytest.approx((200.0, 240.0))
    assert twice_the_mm(101.6) == pytest.approx(203.2)


@pytest.mark.parametrize(("aperture", "power"), [(60.0, 8.6), (114.0, 16.3), (200.0, 28.6)])
def test_lowest_useful_power_fills_a_pupil_of_7_mm(aperture: float, power: float) -> None:
    # Common practice, no source; the figures as dealers' tables print them, to 0.1.
    assert lowest_useful_power(aperture) == pytest.approx(power, abs=0.05)


@pytest.mark.parametrize(
    ("marking", "design"),
    [
        ("H20", "huygens"),
        ("R12", "ramsden"),
        ("SR4", "ramsden"),
        ("HM6", "huygens"),
        ("K9", "kellner"),
    ],
)
def test_markings_mean_what_the_trade_means(marking: str, design: str) -> None:
    # Common practice, no source: H is Huygens, R and SR Ramsden, HM Huygens-Mittenzwey, K Kellner.
    (piece,) = read_advert(f"Refractor 60/700, eyepiece {marking}").eyepieces
    assert piece.design == design


def test_barrels_have_the_trades_sizes() -> None:
    # Common practice, no source: 0.965 in = 24.5 mm, 1.25 in = 31.75 mm, 2 in = 50.8 mm outside.
    for inch, mm in ((0.965, 24.5), (1.25, 31.75), (2.0, 50.8)):
        assert inch * 25.4 == pytest.approx(mm, rel=0.001)
    for barrel, mm in (("0.965in", 24.5), ("1.25in", 31.75), ("2in", 50.8)):
        # A field stop stands inside the barrel, less its wall and filter thread (2 to 5 mm).
        assert 2.0 < mm - LARGEST_STOP_MM[barrel] < 5.5  # type: ignore[index]


@pytest.mark.parametrize(
    ("aperture", "conrady", "sidgwick"),
    [(60.0, 11.8, 7.1), (80.0, 15.7, 9.4), (100.0, 19.7, 11.8), (150.0, 29.5, 17.7)],
)
def test_colour_criteria_ask_for_these_ratios(
    aperture: float, conrady: float, sidgwick: float
) -> None:
    # Conrady, Applied Optics and Optical Design: F >= 5 D (inches); Sidgwick, Amateur Astronomer's
    # Handbook: F >= 3 D (inches). Both from memory. (Sidgwick is also quoted as 0.122 D in mm,
    # which rounds 3 / 25.4 = 0.118 upwards by 3 %.)
    assert colour_index(aperture, conrady) == pytest.approx(5.0, rel=0.005)
    assert colour_index(aperture, sidgwick) == pytest.approx(3.0, rel=0.01)
    assert 0.122 * aperture == pytest.approx(sidgwick, rel=0.04)


@pytest.mark.parametrize(
    ("aperture", "ratio", "index"), [(102.0, 5.0, 1.25), (70.0, 10.0, 3.63), (60.0, 15.0, 6.35)]
)
def test_colour_index_as_enthusiasts_quote_it(aperture: float, ratio: float, index: float) -> None:
    # Common practice: focal ratio over aperture in inches, to two decimals.
    assert colour_index(aperture, ratio) == pytest.approx(index, abs=0.006)


@pytest.mark.parametrize(
    ("aperture", "ratio"), [(114.0, 4.0), (130.0, 5.0), (114.0, 7.9), (200.0, 6.0)]
)
def test_error_of_a_sphere_is_the_closed_form(aperture: float, ratio: float) -> None:
    """PV at best focus = D / (2048 F^3 lambda), derived here from the two surfaces.

    A paraboloid with the same curvature at its middle brings parallel light to one point. The
    sphere lies sag(r) = R - sqrt(R^2 - r^2) deep, the paraboloid r^2 / 2R; light passes the
    difference twice. Refocusing adds a term in r^2: the best one leaves the least peak-to-valley.
    """
    radius = 2.0 * aperture * ratio
    r = np.linspace(0.0, aperture / 2.0, 4001)
    sphere = radius - np.sqrt(radius**2 - r**2)
    error = 2.0 * (sphere - r**2 / (2.0 * radius))

    def peak_to_valley(focus: float) -> float:
        left = error - focus * r**2
        return float(left.max() - left.min())

    trial = error[-1] / r[-1] ** 2
    best = min(peak_to_valley(trial * share) for share in np.linspace(0.5, 1.5, 2001))
    # Third order only: at f/4 the next order adds 3 / (64 F^2) of the whole, 0.3 %.
    assert spherical_error_waves(aperture, ratio) == pytest.approx(best / 550e-6, rel=0.006)


def test_mask_for_a_sphere_leaves_a_quarter_wave() -> None:
    hole = sphere_mask_mm(650.0)
    assert spherical_error_waves(hole, 650.0 / hole) == pytest.approx(0.25)


def test_quarter_wave_sphere_is_the_old_rule_for_making_mirrors() -> None:
    # Common practice among telescope makers (e.g. Texereau, How to Make a Telescope; from memory):
    # a 114 mm mirror may be left spherical from about f/7.5, a 150 mm one from about f/8.
    ratio = {d: (d / (2048.0 * 0.25 * 550e-6)) ** (1 / 3) for d in (114.0, 150.0)}
    assert ratio[114.0] == pytest.approx(7.4, abs=0.15)
    assert ratio[150.0] == pytest.approx(8.1, abs=0.15)


def test_single_crown_lens_spreads_colour_by_its_abbe_number() -> None:
    # n of N-BK7 at F, d, C from Schott's data sheet: 1.52238, 1.51680, 1.51432.
    assert pytest.approx(CROWN_ABBE, rel=0.002) == (1.51680 - 1.0) / (1.52238 - 1.51432)


def test_settling_follows_the_damped_oscillator() -> None:
    # ln(A / A0) / (2 pi f zeta): 5 Hz, 0.03, ratio 20 gives 3.18 s.
    mount = Mount(tap_arcsec=20.0, frequency_hz=5.0, damping=0.03)
    assert settle_seconds(mount, 1.0) == pytest.approx(math.log(20.0) / (2 * math.pi * 0.15))
    assert settle_seconds(mount, 1.0) == pytest.approx(3.18, abs=0.005)
