"""Promised powers, money, mounts, finders, telephones, the kind of telescope, languages."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet
from simview.errors import SimviewError


@pytest.mark.parametrize(
    ("text", "claims"),
    [
        ("up to 525x magnification", (525.0,)),
        ("Magnification: 35x - 525x", (35.0, 525.0)),
        ("power range 20x to 180x", (20.0, 180.0)),
        ("28x, 56x and 175x", (28.0, 56.0, 175.0)),
        ("magnifies 28, 56 and 175 times", (28.0, 56.0, 175.0)),
        ("18X/60X/90X magnifying power", (18.0, 60.0, 90.0)),
        ("450 times magnification", (450.0,)),
        ("525 power telescope", (525.0,)),
        ("MAGNIFIES 675 TIMES", (675.0,)),
        ("magnification: 525", (525.0,)),
        ("power x150", (150.0,)),
        ("1,200x zoom power", (1200.0,)),
        ("Bis zu 150-fache Vergrößerung", (150.0,)),
        ("grossissement 525 fois", (525.0,)),
        ("48× and 120×", (48.0, 120.0)),
        ("from 35x up to 525x", (35.0, 525.0)),
    ],
)
def test_promised_powers_are_read(text: str, claims: tuple[float, ...]) -> None:
    assert read_advert(f"Refractor 60/700. {text}").claimed_powers == claims


@pytest.mark.parametrize(
    "text",
    [
        "2 x eyepieces",
        "comes with 2x AA batteries",
        "1x tripod, 1x finder",
        "5x24 finderscope",
        "3x Barlow lens",
        "1.5x erecting prism",
        "use no more than 50x per inch",
        "camera with 4x digital zoom, 10x digital zoom",
        "maximum useful magnification 120x",
        "highest useful power: 120 times",
        "gathers 73x more light than the eye",
    ],
)
def test_other_numbers_with_a_cross_are_no_promises(text: str) -> None:
    assert read_advert(f"Refractor 60/700 with eyepiece. {text}").claimed_powers == ()


def test_useful_power_stated_by_the_seller_is_noted() -> None:
    listing = read_advert("Refractor 60/700. Maximum useful magnification: 120x")
    assert [one.value for one in listing.readings if one.key == "stated_useful_power"] == [120.0]


@pytest.mark.parametrize(
    ("text", "price", "currency"),
    [
        ("£49.99", 49.99, "GBP"),
        ("only 49,99 €", 49.99, "EUR"),
        ("EUR 49", 49.0, "EUR"),
        ("49 euros", 49.0, "EUR"),
        ("1.299,00 €", 1299.0, "EUR"),
        ("£1,299.00", 1299.0, "GBP"),
        ("$59.95", 59.95, "USD"),
        ("US$ 60", 60.0, "USD"),
        ("AU$120", 120.0, "AUD"),
        ("CHF 89.-", 89.0, "CHF"),
        ("€ 1.299", 1299.0, "EUR"),
        ("was £129.99, now £49.99", 49.99, "GBP"),
        ("RRP £129.99. Our price £89.00", 89.0, "GBP"),
        ("£89, delivery £5", 89.0, "GBP"),
        ("save £80! £49", 49.0, "GBP"),
        ("Price: 85", 85.0, ""),
        ("asking 40", 40.0, ""),
    ],
)
def test_price_is_read(text: str, price: float, currency: str) -> None:
    listing = read_advert(f"Refractor 60/700. {text}")
    assert (listing.price, listing.currency) == (price, currency)


def test_sign_of_several_countries_is_marked_as_a_guess() -> None:
    listing = read_advert("Refractor 60/700, $59")
    (price,) = [one for one in listing.readings if one.key == "price"]
    assert price.guess
    assert any("taken for USD" in remark for remark in listing.remarks)


def test_several_prices_are_said() -> None:
    listing = read_advert("Refractor 60/700: £89 alone, £99 with case")
    assert listing.price == 89.0
    assert any("Several prices" in remark for remark in listing.remarks)


def test_price_without_currency_is_missing_its_currency() -> None:
    assert "currency" in read_advert("Refractor 60/700, price 85").missing


@pytest.mark.parametrize(
    ("text", "kind", "small"),
    [
        ("altazimuth mount on a tripod", "altazimuth", False),
        ("alt-az mount", "altazimuth", False),
        ("AZ3 mount", "altazimuth", False),
        ("EQ2 mount", "equatorial", False),
        ("German equatorial mount with aluminium tripod", "equatorial", False),
        ("Dobsonian", "rocker", False),
        ("sits on a rocker box", "rocker", False),
        ("table-top tripod", "tripod", True),
        ("desktop tripod", "tripod", True),
        ("mini tripod", "tripod", True),
        ("photo tripod with pan head", "tripod", True),
        ("Tischstativ", "tripod", True),
        ("tripod, 60 cm high", "tripod", True),
        ("sturdy tripod, 130 cm high", "tripod", False),
    ],
)
def test_mount_is_read(text: str, kind: str, small: bool) -> None:
    mount = read_advert(f"Telescope 70/700. {text}").mount
    assert mount is not None
    assert (mount.kind, mount.small) == (kind, small)


def test_grade_drive_and_slow_motion_are_read() -> None:
    mount = read_advert("130/650 on EQ-2 mount with motor drive and slow-motion cables").mount
    assert mount is not None
    assert (mount.grade, mount.driven, mount.slow_motion) == (2, True, True)


def test_denied_slow_motion_is_not_there() -> None:
    mount = read_advert("70/700 on an altazimuth mount without slow motion").mount
    assert mount is not None
    assert mount.slow_motion is False


@pytest.mark.parametrize(
    ("text", "finder"),
    [
        ("5x24 finderscope", "small optical"),
        ("finder 6x30", "optical"),
        ("8x50 finder scope", "optical"),
        ("red dot finder", "red dot"),
        ("optical finder", "optical"),
        ("no finder", "none"),
        ("the finder is missing", "none"),
    ],
)
def test_finder_is_read(text: str, finder: str) -> None:
    assert read_advert(f"Refractor 70/700. {text}").finder == finder


@pytest.mark.parametrize(
    ("text", "layout", "objective", "mirror"),
    [
        ("achromatic refractor", "refractor", "achromat", None),
        ("refracting telescope", "refractor", None, None),
        ("ED doublet refractor", "refractor", "apochromat", None),
        ("refractor with a single lens objective", "refractor", "singlet", None),
        ("Newtonian reflector", "newtonian", "mirror", None),
        ("Dobsonian with parabolic mirror", "newtonian", "mirror", "parabolic"),
        ("reflector with spherical mirror", "newtonian", "mirror", "spherical"),
        ("Maksutov-Cassegrain", "cassegrain", "mirror", None),
    ],
)
def test_kind_of_telescope_is_read(
    text: str, layout: str, objective: str | None, mirror: str | None
) -> None:
    listing = read_advert(f"{text}, aperture 100 mm, focal length 1000 mm")
    assert (listing.layout, listing.objective, listing.mirror) == (layout, objective, mirror)


def test_plastic_corrector_telephone_and_photographs_are_read() -> None:
    listing = read_advert(
        "Reflector 127/1000 with built-in corrector and plastic lenses. Smartphone adapter"
        " included: take photos of nebulae."
    )
    assert listing.plastic_optics
    assert listing.corrector
    assert listing.phone_holder
    assert listing.photography


@pytest.mark.parametrize(
    ("text", "instrument", "power", "aperture"),
    [
        ("Binoculars 10x50", "binocular", 10.0, 50.0),
        ("7 x 50 mm binoculars", "binocular", 7.0, 50.0),
        ("Monocular telescope 40x60", "monocular", 40.0, 60.0),
        ("spotting scope 20-60x80", "monocular", 20.0, 80.0),
        ("Fernglas 8x42", "binocular", 8.0, 42.0),
    ],
)
def test_hand_held_instruments_are_read(
    text: str, instrument: str, power: float, aperture: float
) -> None:
    listing = read_advert(text)
    assert (listing.instrument, listing.binocular_power, listing.aperture_mm) == (
        instrument,
        power,
        aperture,
    )


@pytest.mark.parametrize(("text", "field"), [("6.5° field", 6.5), ("114 m / 1000 m", 6.504)])
def test_field_of_binoculars_is_read(text: str, field: float) -> None:
    listing = read_advert(f"Binoculars 10x50, {text}")
    assert listing.true_field_deg == pytest.approx(field, abs=0.01)


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("Das Teleskop ist für die ganze Familie und wird mit einem Stativ geliefert", "German"),
        ("Le télescope est livré avec un trépied et des oculaires pour les enfants", "French"),
        ("El telescopio viene con un trípode y los oculares para los niños, es muy", "Spanish"),
        ("Il telescopio è per i bambini e gli adulti con una montatura della luna", "Italian"),
        ("Teleskop jest dla dzieci i dorosłych, w zestawie statyw oraz okulary", "Polish"),
        ("Dalekohled je pro děti i dospělé, se stativem a okuláry", "Czech"),
        ("De telescoop is voor kinderen en volwassenen, met een statief", "Dutch"),
        ("O telescópio é para crianças e adultos, com um tripé e não pesa", "Portuguese"),
        ("Teleskopet är för barn och vuxna, med ett stativ och okular", "Swedish"),
        ("The telescope is for children and adults, with a tripod", "English"),
    ],
)
def test_language_is_guessed(text: str, language: str) -> None:
    assert read_advert(text).languages[:1] == (language,)


def test_another_script_is_said() -> None:
    remarks = read_advert("Телескоп для детей и взрослых, апертура 70 мм").remarks
    assert any("another script" in remark for remark in remarks)


def test_english_is_not_remarked_on() -> None:
    text = "The telescope is for the whole family and comes with a tripod. 60/700 refractor."
    assert not any("seems to be" in remark for remark in read_advert(text).remarks)


def test_nothing_to_read_is_an_error() -> None:
    with pytest.raises(SimviewError, match="no words"):
        read_advert(" \n\t ")


def test_text_about_something_else_says_so() -> None:
    listing = read_advert("A bicycle, hardly used, with a basket.")
    assert any("Nothing in the text" in remark for remark in listing.remarks)
    assert not listing.about_telescope
    verdict = vet(listing)
    assert [one.rule for one in verdict.findings] == ["not a telescope"]
    assert verdict.verdict == "with care"


def test_title_is_the_first_line_without_mark_up() -> None:
    assert read_advert("\n<h1>Star <b>Tube</b></h1>\nRefractor 60/700").name == "Star Tube"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("60 mm refractor, focal length 700 mm, f/5", "f/5, but 700 mm"),
        ("60/700 refractor, 20 mm and 10 mm eyepieces, 525x", "cannot be reached"),
        ("60/700 refractor, 20 mm and 10 mm eyepieces, 50x", "No pieces in the box give"),
    ],
)
def test_contradictions_are_found(text: str, sentence: str) -> None:
    assert any(sentence in one for one in read_advert(text).contradictions)


@pytest.mark.parametrize(
    "text",
    [
        "60/700 refractor f/11.7, 20 mm and 4 mm eyepieces, 3x Barlow, 525x",
        "60/700 refractor f/12, 20 mm and 10 mm eyepieces, 35x and 70x",
        "80/400 refractor, 8-24mm zoom eyepiece, 30x",
        "60/700 refractor, 20 mm eyepiece and a Barlow, 105x",
    ],
)
def test_figures_that_agree_are_no_contradiction(text: str) -> None:
    assert read_advert(text).contradictions == ()


def test_reading_is_the_same_every_time() -> None:
    text = "Refractor 60700, H20, SR4, 3x Barlow, 0.965 in, 525x, tripod, £49"
    assert read_advert(text) == read_advert(text)


# Invented, in the manner of adverts as they are pasted: what must come out of each.
MARKET = [
    (
        "Telescope for Kids Adults Beginners, 70mm Aperture 400mm AZ Mount, Refracting Telescope\n"
        "[Optics] 400mm(f/5.7) focal length and 70mm aperture, coated glass.\n"
        "[Magnification] two replaceable eyepieces and one 3x Barlow lens. 3x Barlow lens trebles"
        " the magnifying power of each eyepiece (25mm and 10mm): 16x, 40x up to 120x. 5x24 finder"
        " scope. Height adjustable tripod 21.6in - 50.4in. $89.99",
        (70.0, 400.0, [25.0, 10.0], [3.0], 120.0, 89.99),
    ),
    (
        "Technical data\nObjective lens diameter: 60 mm\nFocal length: 700 mm\n"
        'Magnification: 35x-525x\nFinder: 5x24\nEyepieces: H20, H12.5, SR4 (0.965")\n'
        "Barlow lens: 3x\nErecting eyepiece: 1.5x\nTripod: aluminium, height 125 cm\nPrice 59,-€",
        (60.0, 700.0, [20.0, 12.5, 4.0], [3.0, 1.5], 525.0, 59.0),
    ),
    (
        "For sale 8 inch dob. f6, 1200mm fl. Comes with 25mm and 9mm super plossls, 2x barlow and"
        " 9x50 finder. Collimated last month. Collection only, £180.",
        (203.2, 1200.0, [25.0, 9.0], [2.0], None, 180.0),
    ),
    (
        "127mm Maksutov, 1500mm focal length, f/11.8, on motorised goto alt-az mount with tripod."
        ' 25mm & 10mm eyepieces (60x and 150x), 1.25" star diagonal. Maximum useful magnification'
        " 254x. EUR 399",
        (127.0, 1500.0, [25.0, 10.0], [], 150.0, 399.0),
    ),
    (
        "Newtonian. D=114mm. F=1000mm. Eyepieces PL 25mm, PL 10mm, Barlow 2x. Tube length 46cm."
        " Was 229 now 149 EUR",
        (114.0, 1000.0, [25.0, 10.0], [2.0], None, 149.0),
    ),
    (
        "Refractor 102/600 f5.9, eyepieces 20 & 10mm, 2x Barlow, 90° mirror diagonal, AZ mount,"
        " 5x20 finder. Limiting magnitude 12.5. Resolution 1.1 arc sec. Weight 4.5kg. 139€",
        (102.0, 600.0, [20.0, 10.0], [2.0], None, 139.0),
    ),
    (
        "76/700 reflecting telescope EQ1. Magnifications 28x, 56x, 175x. Eyepieces K25, K12.5, SR4."
        " Height of tripod: 71 - 115 cm. Highest practical power 152x. Age 8+. 99.00 EUR",
        (76.0, 700.0, [25.0, 12.5, 4.0], [], 175.0, 99.0),
    ),
    (
        "Telescope set 50mm 360mm F36050M, with 2 eyepieces (6mm, 20mm), 1.5X erecting eyepiece,"
        " 60X/18X, aluminium tabletop tripod (38cm). 35 EUR",
        (50.0, 360.0, [20.0, 6.0], [1.5], 60.0, 35.0),
    ),
]


@pytest.mark.parametrize(("text", "found"), MARKET, ids=range(len(MARKET)))
def test_whole_adverts_are_read(text: str, found: tuple[object, ...]) -> None:
    listing = read_advert(text)
    assert (
        pytest.approx(listing.aperture_mm),
        listing.focal_length_mm,
        [one.focal_length_mm for one in listing.eyepieces],
        [one.factor for one in listing.amplifiers],
        listing.claimed_power,
        listing.price,
    ) == found
    assert listing.contradictions == ()
    assert not any(one.guess for one in listing.readings if one.key.endswith("_mm"))
