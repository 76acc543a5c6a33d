"""What undescribed optics are taken for: a range, and never a fault that the offer rules out."""

from __future__ import annotations

import pytest

from simview.advice.likely import making, optics_of
from simview.advice.listing import Listing
from simview.advice.offerkit import offer_kit
from simview.advice.reading.assemble import read_advert

CHEAP = "Newtonian reflector 130/650, H20 and SR4 eyepieces, 675x, 89 EUR"


def test_honest_offer_counts_as_well_made_and_a_wild_one_as_cheap() -> None:
    assert making(read_advert("Achromatic refractor 90/900, Plössl 25 mm, 150 EUR")) == "good"
    assert making(read_advert(CHEAP)) == "cheap"


def test_cheap_short_reflector_likely_has_a_sphere_and_at_best_none() -> None:
    made = offer_kit(read_advert(CHEAP))
    assert made is not None
    assert made.kit.telescope is not None
    assert made.best.telescope is not None
    # PV = 130 mm / (2048 x 5^3 x 0.00055 mm) = 0.92 waves, by hand.
    assert made.kit.telescope.wavefront.spherical == pytest.approx(0.92, abs=0.01)
    assert made.best.telescope.wavefront.spherical == 0.0
    assert "pictures show" in made.optics


def test_named_parabola_rules_the_sphere_out() -> None:
    listing = read_advert(f"{CHEAP}, parabolic mirror")
    assert optics_of(listing).likely.spherical < 0.5


def test_plastic_is_a_single_lens() -> None:
    made = offer_kit(
        Listing(layout="refractor", plastic_optics=True, aperture_mm=40.0, focal_length_mm=400.0)
    )
    assert made is not None
    assert made.kit.telescope is not None
    assert made.kit.telescope.objective == "singlet"
    assert made.best.telescope == made.kit.telescope


def test_lens_in_the_focuser_leaves_part_of_its_fast_spheres_error() -> None:
    listing = Listing(
        layout="newtonian", corrector=True, aperture_mm=114.0, focal_length_mm=1000.0,
        tube_length_mm=480.0,
    )  # fmt: skip
    found = optics_of(listing)
    # The sphere alone, f = 480 mm: 114 / (2048 x 4.21^3 x 0.00055) = 1.36 waves, by hand.
    assert found.likely.spherical == pytest.approx(0.5 * 1.36, abs=0.02)
    assert 0.0 < found.best.spherical < found.likely.spherical


def test_measured_optics_leave_no_range() -> None:
    listing = Listing(aperture_mm=114.0, focal_length_mm=900.0, spherical_waves=0.3)
    assert optics_of(listing).best == optics_of(listing).likely
