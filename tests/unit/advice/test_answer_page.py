"""The answer as a page: self-contained, escaped, readable, in a club's own words."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from simview.advice import pictures
from simview.advice.answer import Answer, answer
from simview.advice.letterhead import Letterhead, load_letterhead, own_words
from simview.advice.listingfile import load_listing
from simview.advice.page import PALETTE, html, viewing_distance_cm
from simview.advice.pictures import Picture, Row
from simview.advice.plaintext import plain_text
from simview.advice.reading.assemble import read_advert
from simview.advice.request import Evening, Wishes, prepare
from simview.advice.speech import Tongue
from simview.advice.stock import load_shelf
from simview.advice.verdict import vet
from simview.demo import asset
from simview.errors import SimviewError
from simview.scene.targets import target

PIXEL = b"\x89PNG any bytes"
ROW = Row(
    title="Saturn",
    says="the middle of the view",
    pictures=(
        Picture(png=PIXEL, caption="the offer, 45×", figures="detail 2″", alt="Saturn, small."),
        Picture(png=PIXEL, caption="another, 90×", figures="detail 1″", alt="Saturn, larger."),
    ),
)


@pytest.fixture(scope="module")
def buyer() -> Answer:
    listing = load_listing(asset("adverts/present-450x.txt"))
    wishes = Wishes(
        shelf=load_shelf(asset("shelf.toml")),
        budget=150.0,
        currency="EUR",
        head=load_letterhead(asset("letterhead.toml")),
        pictures=False,
    )
    return prepare(listing, wishes)[1]


@pytest.fixture(scope="module")
def owner() -> Answer:
    listing = load_listing(asset("adverts/present-450x.txt"))
    wishes = Wishes(pictures=False, rescue=Evening(year=2026, month=11, latitude_deg=52.0))
    return prepare(listing, wishes)[1]


class Outline(HTMLParser):
    """Collects tags with their attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.found if name == tag]


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_gives_the_standards_ends() -> None:
    # WCAG 2.1: black on white is 21 to 1, equal colours 1 to 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize("name", PALETTE)
def test_every_pair_of_colours_has_the_contrast_of_wcag_aa(name: str) -> None:
    assert contrast(*PALETTE[name]) >= 4.5


def test_page_uses_no_colours_but_the_checked_pairs(buyer: Answer) -> None:
    style = html(buyer).partition("<style>")[2].partition("</style>")[0]
    known = {colour for pair in PALETTE.values() for colour in pair} | {"#b9c4cb"}
    assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", style)) <= known
    # A colour is always set together with its ground.
    assert len(re.findall(r"(?<![-\w])color:", style)) == len(re.findall(r"background:", style))


def test_page_is_one_file_with_nothing_fetched(buyer: Answer) -> None:
    page = html(buyer)
    assert not re.findall(r"(?:src|href)=\"(?!data:)", page)
    assert "@import" not in page
    assert "url(" not in page
    assert "<script" not in page


def test_the_moons_maps_are_read_while_the_offer_is_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[object] = []
    monkeypatch.setattr(pictures, "beside", begun.append)
    pictures.fetch()
    assert [type(work) for work in begun] == [type(target("moon").fetch)]


def test_pictures_lie_inside_with_alternative_texts(buyer: Answer) -> None:
    from dataclasses import replace

    outline = Outline(html(replace(buyer, pictures=(ROW,))))
    images = outline.all("img")
    assert [one["alt"] for one in images] == ["Saturn, small.", "Saturn, larger."]
    assert all(str(one["src"]).startswith("data:image/png;base64,") for one in images)


def test_page_says_its_language_fits_a_telephone_and_has_one_main_heading(buyer: Answer) -> None:
    outline = Outline(html(buyer))
    assert outline.all("html")[0]["lang"] == "en"
    assert any("width=device-width" in str(one.get("content")) for one in outline.all("meta"))
    assert len(outline.all("h1")) == 1
    assert all(one.get("scope") == "col" for one in outline.all("th"))


def test_sun_stands_before_the_verdict(buyer: Answer) -> None:
    page = html(buyer)
    assert 0 < page.index("The Sun: read this first") < page.index("Our advice: leave it")


def test_sun_stands_on_every_answer_for_everything_can_be_pointed_at_it() -> None:
    page = html(answer(vet(load_listing(asset("adverts/lens-90-900.txt")))))
    assert page.index("The Sun: read this first") < page.index("Our advice: sound")
    assert "Our advice: sound" in page


def test_owners_answer_begins_with_the_sun_for_the_finder_is_set_by_day(owner: Answer) -> None:
    page = html(owner)
    assert page.index("The Sun: read this first") < page.index("Set the finder, by day")
    assert "Ten things to look at first" in page


def test_lengths_stand_in_both_units(buyer: Answer) -> None:
    assert "50 mm (2 in)" in html(buyer)


def test_shelf_is_ranked_with_what_could_not_be_ranked_below(buyer: Answer) -> None:
    page = html(buyer)
    assert "What our library has instead for €150" in page  # the letterhead's own words
    assert "Ask for the price of: Achromatic lens telescope 90/900." in page
    assert "Above the budget: Tabletop reflector 150/750 (€" in page


def test_letterhead_stands_at_head_and_foot(buyer: Answer) -> None:
    page = html(buyer)
    for words in ("Lending Library Astronomy Evening", "Dear star friend,", "Clear skies!"):
        assert words in page


def test_hostile_offer_stays_words_on_the_page() -> None:
    advert = Path(__file__).with_name("hostile_advert.txt").read_text(encoding="utf-8")
    listing = read_advert(advert)
    page = html(answer(vet(listing)))
    outline = Outline(page)
    assert listing.aperture_mm == 70.0
    assert not {"script", "img", "iframe", "a", "form", "input"} & {tag for tag, _ in outline.found}
    assert not [name for _, attributes in outline.found for name in attributes if name[:2] == "on"]
    assert "{{" not in page or "7*7" in page
    assert "49" not in re.findall(r"\b49\b", page)


def test_hostile_letterhead_stays_words_too() -> None:
    head = Letterhead(
        name="<b>Club</b>", closing="<script>x</script>", words={"footer": "<i>f</i>"}
    )
    page = html(answer(vet(read_advert("Refractor 60/700")), head=head))
    assert "&lt;b&gt;Club&lt;/b&gt;" in page
    assert "<script" not in page
    assert "&lt;i&gt;f&lt;/i&gt;" in page


def test_viewing_distance_makes_the_picture_as_large_as_the_view() -> None:
    # A picture 87.3 mm wide spans 5 degrees from one metre: 2 x 1000 mm x tan(2.5 deg).
    assert viewing_distance_cm(87.32) == pytest.approx(100.0, abs=0.01)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("nam = 'x'", ("unknown key nam", "did you mean 'name'?")),
        ("name = 5", ("name", "text in quotes")),
        ("words = 'x'", ("words", "[words]")),
        ("[words]\ntitel = 'x'", ("unknown word titel", "did you mean 'title'?")),
        ("[words]\ntitle = 5", ("title", "text in quotes")),
        ("[words]\ntitle = 'About {offer}'", ("title", "no curly brackets")),
        ("[words]\nbudget = 'for {money}'", ("budget", "only {budget}")),
        ("[words]\nbudget = 'for {budget.__class__}'", ("budget", "only {budget}")),
        ("[words]\nbudget = 'for {'", ("budget", "only {budget}")),
    ],
)
def test_wrong_letterhead_is_told(text: str, parts: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "head.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SimviewError) as caught:
        load_letterhead(path)
    for part in parts:
        assert part in str(caught.value)


def test_every_word_can_be_replaced(tmp_path: Path) -> None:
    lines = [f"{key} = {value.upper()!r}" for key, value in own_words().items() if "{" not in value]
    path = tmp_path / "head.toml"
    path.write_text("[words]\n" + "\n".join(lines), encoding="utf-8")
    head = load_letterhead(path)
    page = html(answer(vet(read_advert("Refractor 60/700, 525x")), head=head))
    assert "OUR ADVICE: LEAVE IT" in page
    assert "Our advice" not in page


def told(text: str, *, owner: bool = False, language: str = "en") -> Answer:
    when = Evening(year=2026, month=11, latitude_deg=52.0) if owner else None
    wishes = Wishes(
        shelf=load_shelf(asset("shelf.toml")),
        pictures=False,
        rescue=when,
        tongue=Tongue(language=language),
    )
    return prepare(read_advert(text), wishes)[1]


PROMISING = (
    "Refractor 70/700 achromat, 20 mm and 4 mm eyepieces, 3x Barlow, 525x, altazimuth, 60 EUR"
)


def test_owner_is_not_told_that_a_promise_on_the_box_is_a_weakness_of_the_telescope() -> None:
    assert told(PROMISING).headline == "Our advice: leave it"
    assert told(PROMISING, owner=True).headline == "It is a sound instrument"
    toy = told(f"{PROMISING}, Sun filter for the eyepiece", owner=True)
    assert "nothing in this box is safe for looking at the Sun" in toy.headline
    assert toy.verdict == "leave it"  # its colour: red


def test_binoculars_and_a_zooming_scope_have_their_powers_told() -> None:
    (row,) = told("Binoculars 10x50, 6.5° field, 45 EUR").powers
    assert (row.power, row.exit_pupil, row.field) == ("10×", "5.0 mm", "6.5°")
    low, high = told("Spotting scope 20-60x80, tripod, 130 EUR").powers
    assert (low.power, low.exit_pupil) == ("20×", "4.0 mm")
    assert (high.power, high.exit_pupil) == ("60×", "1.3 mm")
    page = html(told("Binoculars 10x50, 6.5° field, 45 EUR"))
    assert "What it really gives" in page
    assert "focal length of the eyepiece" not in page


def test_sound_offer_is_not_followed_by_what_to_do_instead() -> None:
    sound = told("Binoculars 10x50, 6.5° field, 45 EUR")
    assert sound.instead_title == "What else there is for €45"
    assert "No telescope and no binoculars on the list cost so little." in sound.instead_notes
    leave = told(PROMISING)
    assert leave.instead_title.startswith("What to do instead")
    assert any("because our advice is to leave it" in line for line in leave.instead_notes)
    assert leave.instead[-1].offer


def test_french_sets_a_hard_space_before_every_colon() -> None:
    for owner in (False, True):
        text = plain_text(told(PROMISING, owner=owner, language="fr"))
        assert re.findall(r".{0,20}(?<![\d\u00a0]):.{0,9}", text) == []


def test_german_nouns_keep_their_capitals_in_the_table_at_a_terminal() -> None:
    text = plain_text(told(PROMISING, language="de"))
    assert "Schwächster Stern" in text
    assert "schwächster stern" not in text


def test_page_about_something_else_says_so_first() -> None:
    page = told("Trekking bicycle, 28 inch wheels, 21 gears, 150 EUR")
    assert page.headline == "This is not about a telescope"
    assert "weak points" not in plain_text(page)


def test_offer_above_the_budget_is_told_so() -> None:
    shelf = load_shelf(asset("shelf.toml"))
    listing = read_advert("Binoculars 10x50, 6.5° field, 45 EUR")
    for budget, over in ((40.0, True), (50.0, False)):
        wishes = Wishes(shelf=shelf, pictures=False, budget=budget, currency="EUR")
        notes = prepare(listing, wishes)[1].instead_notes
        assert ("The offer itself costs more than this budget." in notes) is over


def test_owner_of_binoculars_is_told_of_binoculars_and_of_a_tripod_for_large_ones() -> None:
    large = told("Binoculars 25x100, 190 EUR", owner=True)
    assert large.rescue is not None
    assert "tripod" in large.rescue.steady[0]
    assert "elbows" not in " ".join(large.rescue.steady)
    small = told("Binoculars 10x50, 45 EUR", owner=True)
    assert small.rescue is not None
    assert "elbows" in small.rescue.steady[0]
