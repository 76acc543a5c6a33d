"""The shelf, what each thing on it shows, and what the money buys instead."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from simview.advice.alternatives import alternatives, better_for_the_money
from simview.advice.listingfile import load_listing
from simview.advice.offerkit import offer_kit
from simview.advice.reading.assemble import read_advert
from simview.advice.sights import Shows, looks, naked_eye_mag, shows
from simview.advice.stock import Item, Shelf, load_shelf
from simview.advice.verdict import vet
from simview.demo import asset
from simview.errors import SimviewError
from simview.kit import Kit, Observer, Sky, Telescope
from simview.kitfile import load_kit

SHELF = load_shelf(asset("shelf.toml"))
TOY = load_listing(asset("adverts/present-450x.txt"))


def names(items: object) -> list[str]:
    return [one.item.name if hasattr(one, "item") else one.name for one in items]  # type: ignore[attr-defined]


def test_shelf_reads_kit_files_beside_it_and_takes_their_prices() -> None:
    binoculars = SHELF.items[0]
    assert binoculars.kit is not None
    assert (binoculars.price, binoculars.currency) == (79.0, "EUR")


def test_budget_ranks_what_it_buys_and_loses_nothing() -> None:
    found = alternatives(TOY, SHELF, budget=150.0, currency="eur")
    assert names(found.ranked) == [
        "Tabletop reflector 114/456",
        "Binoculars 10x50",
        TOY.name,  # the offer in its place: below what shows more, above nothing at all
        "Star wheel and a red torch",
        "No telescope yet",
    ]
    assert names(found.unpriced) == ["Achromatic lens telescope 90/900"]
    assert names(found.beyond) == ["Tabletop reflector 150/750", "Rocker-base reflector 200/1200"]
    everything = (
        *(one for one in found.ranked if not one.offer),
        *found.unpriced,
        *found.beyond,
        *found.other_currency,
    )
    assert len(everything) == len(SHELF.items)


def test_small_budget_still_has_advice() -> None:
    found = alternatives(TOY, SHELF, budget=10.0, currency="EUR")
    assert names(found.ranked) == [TOY.name, "No telescope yet"]


def test_without_budget_the_offers_own_price_counts() -> None:
    assert alternatives(TOY, SHELF).budget == TOY.price == 49.0


def test_other_currencies_are_not_converted_by_guess() -> None:
    found = alternatives(TOY, SHELF, budget=500.0, currency="GBP")
    assert names(found.ranked) == [TOY.name, "No telescope yet"]
    assert "Binoculars 10x50" in names(found.other_currency)


def test_weights_of_the_shelf_change_the_ranking() -> None:
    weights = replace(SHELF.weights, faint=0.0, fine=0.0, steady=0.0)
    found = alternatives(TOY, replace(SHELF, weights=weights), budget=1000.0, currency="EUR")
    assert names(found.ranked)[0] == "Binoculars 10x50"


def test_larger_aperture_shows_fainter_stars_and_finer_detail() -> None:
    sky, eye = Sky(seeing_arcsec=1.0), Observer()
    small = shows(load_kit(asset("kits/tabletop-114.toml")), sky, eye)
    large = shows(load_kit(asset("kits/rocker-200.toml")), sky, eye)
    assert large.faintest_mag > small.faintest_mag + 0.8
    assert (large.finest_arcsec or 99.0) < (small.finest_arcsec or 99.0)


def test_naked_eye_sees_to_about_sixth_magnitude_under_a_dark_sky() -> None:
    # Crumey 2014: 6.2 at 21.8 mag/arcsec2 for a field factor of 2, less extinction at 45 degrees.
    limit = naked_eye_mag(Sky(sky_mag_arcsec2=21.8, extinction_mag=0.2), Observer())
    assert 5.5 < limit < 6.4


def test_looks_leave_out_what_the_aperture_cannot_carry() -> None:
    kit = load_kit(asset("kits/toy-refractor-50.toml"))
    powers = [
        kit.telescope.focal_length_mm / kit.eyepieces[way.eyepiece].focal_length_mm  # type: ignore[union-attr]
        for way in looks(kit)
        if not way.amplifiers
    ]
    assert max(powers) <= 3.0 * 50.0


def test_steps_count_from_the_naked_eye_and_have_an_end() -> None:
    best = Shows(
        faintest_mag=12.0, finest_arcsec=1.0, widest_deg=50.0, motion_arcmin=0.0, power=100.0
    )
    steps = best.steps(6.0)
    assert steps["faint"] == pytest.approx(12.0)
    assert steps["wide"] == pytest.approx(replace(best, widest_deg=7.0).steps(6.0)["wide"])
    nothing = replace(
        best, faintest_mag=5.0, finest_arcsec=None, widest_deg=0.1, motion_arcmin=99.0
    )
    assert set(nothing.steps(6.0).values()) == {0.0}


def test_price_is_held_against_the_shelf_only_where_the_shelf_shows_more() -> None:
    dear = replace(load_listing(asset("adverts/lens-90-900.txt")), price=460.0)
    better = better_for_the_money(dear, SHELF)
    assert better is not None
    assert better.item.name == "Rocker-base reflector 200/1200"
    assert "fainter stars" in better.why
    cheap = replace(dear, price=60.0)
    assert better_for_the_money(cheap, SHELF) is None
    assert "price" not in [one.rule for one in vet(cheap, SHELF).findings]
    assert "price" in [one.rule for one in vet(dear, SHELF).findings]
    assert "price" not in [one.rule for one in vet(dear).findings]


def test_same_thing_for_the_same_money_is_not_better() -> None:
    kit = load_kit(asset("kits/tabletop-114.toml"))
    shelf = Shelf(currency="EUR", items=(Item(name="same", kit=kit, price=139.0, currency="EUR"),))
    listing = replace(load_listing(asset("kits/tabletop-114.toml")), price=139.0, currency="EUR")
    assert better_for_the_money(listing, shelf) is None


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("name = 'x'", ("no items",)),
        ("[[items]]\nname = 'x'\nsort = 'car'", ("sort", "telescope")),
        ("[[items]]\nname = 'x'", ("[[items]] 1", "kit", "kit_file")),
        ("[[items]]\nname = 'x'\nkit_file = 'none.toml'", ("none.toml", "not found")),
        ("[[items]]\nname = 'x'\nprice = -5\nsort = 'star wheel'", ("price", "0 to")),
        ("[[items]]\nprice = 5", ("name is missing",)),
        ("[weights]\nfaint = 99\n[[items]]\nname = 'x'\nsort = 'star wheel'", ("weight faint",)),
    ],
)
def test_wrong_shelf_is_told(text: str, parts: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "shelf.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SimviewError) as caught:
        load_shelf(path)
    for part in parts:
        assert part in str(caught.value)


def test_kit_of_an_offer_says_what_it_assumes() -> None:
    made = offer_kit(read_advert("Newtonian reflector 114/900"))
    assert made is not None
    assert made.kit.telescope is not None
    assert made.kit.telescope.obstruction > 0.0
    assumed = " ".join(made.assumed)
    for part in ("secondary mirror", "eyepiece", "mount"):
        assert part in assumed


def test_kit_of_an_offer_invents_no_telescope() -> None:
    assert offer_kit(read_advert("A fine telescope on a tripod, 525x")) is None


def test_kit_of_an_offer_carries_the_spherical_error() -> None:
    made = offer_kit(read_advert("Newtonian 130/650 with spherical mirror, 25 mm eyepiece"))
    assert made is not None
    assert made.kit.telescope is not None
    assert made.kit.telescope.wavefront.spherical == pytest.approx(0.92, abs=0.01)


def test_looking_through_a_kit_without_eyepieces_is_told() -> None:
    bare = Kit(telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0))
    with pytest.raises((SimviewError, IndexError)):
        shows(bare, Sky(), Observer())


def test_best_offer_leads_the_ranking_with_its_price() -> None:
    listing = read_advert(
        "Newtonian reflector 300/1500 with parabolic mirror on a rocker box. Plössl eyepieces 30 mm"
        ' and 10 mm, 1.25". Red dot finder. 420 EUR'
    )
    smaller = replace(SHELF, items=(SHELF.items[1], SHELF.items[-1]))
    found = alternatives(listing, smaller, budget=450.0)
    assert found.ranked[0].offer
    assert found.ranked[0].item.price == 420.0


def test_what_an_offer_leaves_unsaid_widens_its_range_and_is_no_fault() -> None:
    bare = read_advert("Newtonian reflector 150/1200, 139 EUR")
    found = alternatives(bare, SHELF)
    own = next(one for one in found.ranked if one.offer)
    assert own.shows is not None
    assert own.best is not None
    assert (own.best.finest_arcsec or 99.0) <= (own.shows.finest_arcsec or 99.0)
    # An eyepiece that nobody named cannot make its price a fault.
    assert better_for_the_money(bare, SHELF) is None


def test_offer_that_is_to_be_left_comes_last_whatever_it_shows() -> None:
    # As a buyer has it: what the verdict says to leave is no first advice.
    kept = alternatives(TOY, SHELF, budget=60.0, currency="EUR")
    left = alternatives(TOY, SHELF, budget=60.0, currency="EUR", leave=True)
    assert left.ranked[-1].offer
    assert left.offer == kept.offer
    rest = [one.item.name for one in kept.ranked if not one.offer]
    assert [one.item.name for one in left.ranked[:-1]] == rest


def test_same_aperture_for_less_is_no_caution_about_the_price() -> None:
    # The list's own 150/750 costs 229; it shows fainter stars by its eyepieces alone.
    twin = read_advert(
        "Newtonian 150/750, parabolic, EQ3 mount, 28 mm and 10 mm eyepieces, 320 EUR"
    )
    assert better_for_the_money(twin, SHELF) is None
    small = read_advert("Newtonian 114/900, EQ2 mount, 25 mm and 10 mm eyepieces, 320 EUR")
    assert better_for_the_money(small, SHELF) is not None
