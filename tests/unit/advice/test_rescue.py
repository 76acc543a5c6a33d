"""Rescue: pieces, mask, replacements, steadiness, the first list."""

from __future__ import annotations

import pytest

from simview.advice.firstlist import first_list
from simview.advice.listingfile import load_listing
from simview.advice.masks import best_mask
from simview.advice.reading.assemble import read_advert
from simview.advice.rescue import Rescue, rescue
from simview.advice.tonight import evening
from simview.demo import asset
from simview.errors import SimviewError
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope, Wavefront
from simview.kitfile import load_kit

# The average of all moments, which hides more of a fault than the best ones do.
SKY, EYE = Sky(seeing_arcsec=2.5, air="long"), Observer()


def helped(text: str, **place: float) -> Rescue:
    found = rescue(read_advert(text), year=2026, month=1, latitude_deg=place.get("latitude", 52.0))
    assert found is not None
    return found


@pytest.fixture(scope="module")
def toy() -> Rescue:
    found = rescue(
        load_listing(asset("adverts/present-450x.txt")), year=2026, month=1, latitude_deg=52.0
    )
    assert found is not None
    return found


def test_lowest_power_comes_first_and_trinkets_stay_in_the_box(toy: Rescue) -> None:
    assert toy.pieces[0].name == "20 mm (H 20)"
    assert toy.pieces[0].why.startswith("Begin with it, always: 30 times")
    left = [one.name for one in toy.pieces if not one.keep]
    # 100 times through a 50 mm lens as such toys are made: on Jupiter there is nothing more to see
    # past 60 to 90, on any night.
    names = ["6 mm (H 6)", "3× Barlow", "1.5× erecting prism", "Sun filter for the eyepiece"]
    assert left == names


def test_small_barrel_is_answered_with_an_adapter_and_one_good_eyepiece(toy: Rescue) -> None:
    words = " ".join(toy.replace)
    assert "0.965 to 1.25 inch" in words
    assert "Plössl" in words
    assert "star diagonal" in words


def test_useful_barlow_is_kept() -> None:
    found = helped("Refractor 90/900 achromat, 25 mm and 10 mm Plössl eyepieces, 2x Barlow")
    assert next(one for one in found.pieces if "Barlow" in one.name).keep


def test_finder_is_set_by_day_with_the_sun_out_of_reach(toy: Rescue) -> None:
    assert "with the Sun behind a building" in toy.finder[0]
    assert "Never look at the Sun" in toy.safety[0]


def test_star_test_names_a_piece_of_the_box(toy: Rescue) -> None:
    assert "6 mm (H 6), 100 times" in toy.star_test[0]
    assert "For this test alone" in toy.star_test[1]  # it stays in the box otherwise


def test_first_list_holds_the_moon_the_planets_and_ten_things(toy: Rescue) -> None:
    titles = [one.sight.title for one in toy.objects]
    assert len(titles) == 10
    assert titles[0] == "The Moon"
    assert {"Jupiter", "Saturn"} <= set(titles)
    assert all(one.sight.altitude_deg > 8.0 for one in toy.objects)
    assert not any("prism" in one.piece for one in toy.objects)


def test_rocker_base_has_no_legs_to_shorten() -> None:
    found = helped("114 mm f/4 Newtonian, 456 mm focal length, 25 mm eyepiece, rocker box")
    words = " ".join(found.steady)
    assert "tripod" not in words
    assert "legs" not in words
    assert "crate" in words


def test_binoculars_are_helped_too() -> None:
    found = helped("Binoculars 10x50, 6.5° field")
    assert found.mask is None
    assert "elbows" in found.steady[0]
    assert len(found.objects) >= 5


def test_too_little_said_gives_no_rescue() -> None:
    listing = read_advert("A telescope in a box")
    assert rescue(listing, year=2026, month=1, latitude_deg=50.0) is None


@pytest.mark.parametrize(("month", "latitude"), [(0, 50.0), (13, 50.0), (6, 91.0)])
def test_wrong_month_or_place_is_told(month: int, latitude: float) -> None:
    with pytest.raises(SimviewError):
        evening(2026, month, latitude)


def mirror(spherical: float) -> Kit:
    return Kit(
        telescope=Telescope(
            aperture_mm=114.0,
            focal_length_mm=456.0,
            obstruction=0.3,
            wavefront=Wavefront(spherical=spherical),
        ),
        eyepieces=(Eyepiece(focal_length_mm=25.0), Eyepiece(focal_length_mm=6.0)),
    )


def test_good_mirror_gains_nothing_from_a_mask() -> None:
    assert best_mask(mirror(0.05), SKY, EYE) is None


def test_sphere_gains_from_a_mask_near_the_quarter_wave() -> None:
    mask = best_mask(mirror(1.58), SKY, EYE)
    assert mask is not None
    # A quarter wave is left behind 72 mm (closed form); the eye's best lies near it.
    assert 62.0 <= mask.diameter_mm <= 86.0
    # A quarter wave or two are left of 1.6: the sum tells of twice as fine, so do the words.
    full, masked = (float(part.strip("″ ")) for part in mask.sum.split("→"))
    assert full / masked >= 1.8
    assert "about twice as fine" in mask.why


def test_short_achromat_is_offered_a_mask_against_colour() -> None:
    scope = Telescope(aperture_mm=102.0, focal_length_mm=500.0, objective="achromat")
    kit = Kit(telescope=scope, eyepieces=(Eyepiece(focal_length_mm=10.0),))
    mask = best_mask(kit, SKY, EYE)
    assert mask is not None
    # Sidgwick's criterion: F = 3 D (inches), D^2 = 500 x 25.4 / 3.
    assert mask.diameter_mm == pytest.approx(65.0, abs=0.6)
    assert "violet fringes" in mask.why


def test_brighter_sky_takes_faint_things_off_the_list() -> None:
    kit = load_kit(asset("kits/tabletop-114.toml"))
    when = evening(2026, 8, 45.0)
    dark = first_list(kit, when, Sky(sky_mag_arcsec2=21.5), EYE)
    town = first_list(kit, when, Sky(sky_mag_arcsec2=17.5), EYE)
    faint = ("globular", "nebula", "galaxy")
    count = [sum(one.sight.kind in faint for one in found) for found in (dark, town)]
    assert count[0] > count[1]


def test_southern_latitude_has_its_own_list() -> None:
    kit = load_kit(asset("kits/tabletop-114.toml"))
    titles = [one.sight.title for one in first_list(kit, evening(2026, 6, -34.0), SKY, EYE)]
    assert any("Jewel Box" in title for title in titles)
    assert not any("Hercules" in title for title in titles)


def test_first_list_uses_only_the_pieces_that_stay_in_use() -> None:
    found = helped("Refractor 50/600, H20 and SR4 eyepieces 0.965 in, 3x Barlow, tripod")
    left = {one.name for one in found.pieces if not one.keep}
    assert "4 mm (SR4)" in left
    assert not any(name in one.piece for one in found.objects for name in left)
    moon = next(one for one in found.objects if one.sight.kind == "moon")
    assert "150 times" not in moon.view


def test_table_top_gets_no_bag_hung_under_its_tripod() -> None:
    found = helped("Refractor 70/400, 20 mm eyepiece, table-top tripod")
    assert not any("bag" in line for line in found.steady)
    assert any("table" in line for line in found.steady)


def test_binoculars_have_no_pieces_and_no_finder_over_their_lists() -> None:
    found = helped("Binoculars 10x50, 6.5° field")
    assert found.heading("finder") == "eyes"
    assert found.heading("steady") == "steady"
    assert {str(one.pieces) for one in found.objects} == {"10×"}


def test_binoculars_have_no_finder_to_set() -> None:
    words = " ".join(helped("Binoculars 10x50, 6.5° field").finder)
    assert "screws" not in words
    assert "barrels" in words


@pytest.mark.parametrize(
    ("year", "month", "words"),
    # Tilt of the ring: below 1 degree at the end of November 2025, after Earth crossed its plane
    # in March; beyond 20 degrees in 2032 (Nautical Almanac; from memory).
    [(2025, 11, "edge-on"), (2032, 2, "ring stands free")],
)
def test_saturns_ring_is_true_to_the_date(year: int, month: int, words: str) -> None:
    kit = load_kit(asset("kits/tabletop-150.toml"))
    seen = first_list(kit, evening(year, month, 20.0), SKY, EYE)
    (view,) = [one.view for one in seen if one.sight.name == "saturn"]
    assert words in view


def test_kit_without_a_planets_power_is_told_which_eyepiece_it_lacks() -> None:
    found = helped("Refractor 70/700 achromat, 20 mm and 4 mm eyepieces, tripod, altazimuth")
    (line,) = [line for line in found.replace if "Moon and planets" in line]
    # 1.3 x 70 = 91 times at most: 700 / 91 = 7.7, and the next size that shops have is 8 mm.
    assert "about 8 mm gives 88 times" in line
    has = helped("Refractor 70/700 achromat, 20 mm and 10 mm eyepieces, tripod, altazimuth")
    assert not any("Moon and planets" in line for line in has.replace)


def test_star_test_says_so_where_it_needs_a_piece_that_was_left_in_the_box() -> None:
    found = helped("Refractor 70/700 achromat, 20 mm and 4 mm eyepieces, 3x Barlow, altazimuth")
    assert "with 3× Barlow, 105 times" in found.star_test[0]
    assert "may come out" in found.star_test[1]


def test_spotting_scope_is_not_spoken_to_as_binoculars() -> None:
    found = helped("Spotting scope 20-60x80, tripod, 130 EUR")
    words = " ".join((*found.finder, *found.star_test))
    assert found.heading("finder") == "aiming"
    assert "both eyes" not in words
    assert "barrels" not in words


def test_wider_eyepiece_is_named_only_where_it_is_wider() -> None:
    # 25 mm with 50 degrees shows 1.7 degrees through 750 mm; the 28 mm in the box shows 1.6.
    has = helped("Newtonian 150/750, parabolic, 28 mm and 10 mm eyepieces, EQ3 mount")
    assert not any("Plössl" in line for line in has.replace)
    lacks = helped("Newtonian 150/750, parabolic, 12 mm and 10 mm eyepieces, EQ3 mount")
    assert any("Plössl" in line for line in lacks.replace)
