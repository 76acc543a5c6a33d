"""Adverts as people write them, in every language read: the same words mean the same everywhere."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet

DANGEROUS = [
    "filter for the Sun that threads into the eyepiece",
    "put the eclipse glasses on and look at the Sun through your telescope",
    "zonne- en maanfilter",
    "ND5 filter for the eyepiece",
    "Sonnen- und Mondfilter",
    "sluneční filtr",
    "Sonnenfilter zum Einschrauben ins Okular",
    "Sofi-Brille liegt bei: einfach aufsetzen und durch das Teleskop in die Sonne schauen",
    "filtre solaire à visser sur l'oculaire",
    "mettez les lunettes d'éclipse et regardez le soleil dans le télescope",
    "filtro solar para el ocular",
    "gafas de eclipse para mirar el sol por el telescopio",
    "filtro solare da avvitare all'oculare",
    "occhialini per eclissi inclusi, guarda il sole nel telescopio",
    "zonnefilter voor het oculair",
    "zet het eclipsbrilletje op en kijk door de telescoop naar de zon",
    "filtr słoneczny wkręcany w okular",
    "okulary do zaćmienia w zestawie, patrz na słońce przez teleskop",
    "sluneční filtr do okuláru",
    "brýle na zatmění: podívejte se na slunce dalekohledem",
    "filtro solar de enroscar na ocular",
    "óculos de eclipse para olhar o sol pelo telescópio",
    "solfilter som skruvas i okularet",
    "solförmörkelseglasögon ingår, titta på solen genom teleskopet",
    "welding glass to watch the Sun",
    "FILTRE   SOLAIRE\ninclus",
    "SONNENFILTER",
    "sun-filter",
    "filtr na slunce",
    "filtry słoneczne",
]


@pytest.mark.parametrize("text", DANGEROUS)
def test_dangerous_sun_piece_is_a_stop_in_every_language(text: str) -> None:
    verdict = vet(read_advert(f"Telescope 70/700. {text}"))
    assert verdict.verdict == "leave it"
    assert verdict.findings[0].rule == "sun safety"
    assert verdict.findings[0].grade == "stop"


@pytest.mark.parametrize(
    "text",
    [
        "Schauen Sie niemals in die Sonne!",
        "Nicht in die Sonne schauen",
        "Ne regardez jamais le soleil",
        "No mirar nunca al sol",
        "Non guardare mai il sole",
        "Kijk nooit naar de zon",
        "Nigdy nie patrz na słońce",
        "Nikdy se nedívejte do slunce",
        "Nunca olhe para o sol",
        "Titta aldrig på solen",
    ],
)
def test_warning_of_the_sun_is_no_stop(text: str) -> None:
    assert read_advert(f"Telescope 70/700. {text}").solar == ("warning",)


@pytest.mark.parametrize(
    "text",
    [
        "das ganze Sonnensystem", "abzuholen am Sonntag", "le système solaire",
        "todo el sistema solar", "tutto il sistema solare", "het hele zonnestelsel",
        "cały układ słoneczny", "celá sluneční soustava", "todo o sistema solar",
        "hela solsystemet", "zondag ophalen", "hämtas på söndag",
    ],
)  # fmt: skip
def test_solar_system_and_sundays_are_no_mention_of_the_sun(text: str) -> None:
    assert read_advert(f"Telescope 70/700. {text}").solar == ()


@pytest.mark.parametrize(
    "words",
    [
        "spherical mirror", "spherical  mirror", "spherical\nmirror", "mirror: spherical",
        "sphärischer Spiegel", "miroir sphérique", "espejo esférico", "specchio sferico",
        "sferische spiegel", "zwierciadło sferyczne", "sférické zrcadlo", "espelho esférico",
        "sfärisk spegel", "SPHERICAL MIRROR", "spherical-mirror", "sherical miror",
    ],
)  # fmt: skip
def test_spherical_mirror_is_one_however_it_is_written(words: str) -> None:
    listing = read_advert(f"Telescope 114/900, {words}")
    assert (listing.mirror, listing.layout) == ("spherical", "newtonian")


@pytest.mark.parametrize(
    ("text", "aperture", "focal"),
    [
        ("Teleskop, Öffnung 70 mm, Brennweite 700 mm", 70.0, 700.0),
        ("Hauptspiegeldurchmesser 114 mm, Brennweite 900mm", 114.0, 900.0),
        ("Télescope, diamètre 76 mm, focale 700 mm", 76.0, 700.0),
        ("Telescoop, opening 60 mm, brandpuntsafstand 700 mm", 60.0, 700.0),
        ("Telescopio, apertura 70 mm, distancia focal 900 mm", 70.0, 900.0),
        ("Telescopio, diametro 90 mm, lunghezza focale 900 mm", 90.0, 900.0),
        ("Teleskop, średnica obiektywu 70 mm, ogniskowa 700 mm", 70.0, 700.0),
        ("Dalekohled, průměr objektivu 70 mm, ohnisková vzdálenost 700 mm", 70.0, 700.0),
        ("Telescópio, abertura 70 mm, distância focal 700 mm", 70.0, 700.0),
        ("Teleskop, öppning 70 mm, brännvidd 700 mm", 70.0, 700.0),
        ("focul length 1250mm, apperture 90mm", 90.0, 1250.0),
        ("<table><tr><td>Aperture</td><td>102&nbsp;mm</td></tr>"
         "<tr><td>Focal length</td><td>600&nbsp;mm</td></tr></table>", 102.0, 600.0),
    ],
)  # fmt: skip
def test_lengths_are_read_in_every_language(text: str, aperture: float, focal: float) -> None:
    listing = read_advert(text)
    assert (listing.aperture_mm, listing.focal_length_mm) == (aperture, focal)


def test_neighbours_and_struck_prices_of_a_page_are_left_out() -> None:
    listing = read_advert(
        "<html><body><nav>Reflectors</nav><h1>Lens telescope 70/700</h1><del>199 EUR</del>"
        " <b>99 EUR</b><div class='also-bought'>Customers also bought: reflector 114/900"
        " with sun filter</div><script>var x = 'reflector 525x'</script></body></html>"
    )
    assert (listing.layout, listing.price, listing.solar) == ("refractor", 99.0, ())
    assert listing.claimed_powers == ()


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("big binos 20x80", "binocular_power", 20.0),
        ("telescope with lens 30MM", "aperture_mm", 30.0),
        ("newt 130/650", "layout", "newtonian"),
        ("réflecteur 114/900", "layout", "newtonian"),
        ("rifrattore 70/700", "layout", "refractor"),
        ("reflector 114/900, tube assembly (560 mm)", "tube_length_mm", None),
        ("70/700 refractor with tripod adapter (no tripod)", "mount", None),
        ("like on the box. 60mm lens, 700mm focal length", "aperture_mm", 60.0),
        ("Catadioptric Newtonian 127/1000, tube 48 cm", "corrector", True),
        ("Catadioptric Newtonian 127/1000, tube 48 cm", "layout", "newtonian"),
        ("70/700. See galaxies in full colour", "promises", ("colour",)),
        ("70/700. You can see the flag on the Moon", "promises", ("flag",)),
        ("70/700, lens made of one piece of plastic", "objective", "singlet"),
        ("70/700 refractor, box 85 x 30", "claimed_powers", ()),
        ("70/700, 3-fach Barlow", "eyepieces", ()),
    ],
)  # fmt: skip
def test_what_was_once_misread_is_read(text: str, key: str, value: object) -> None:
    assert getattr(read_advert(text), key) == value


def test_bare_lengths_after_with_are_eyepieces_and_less_sure() -> None:
    listing = read_advert("70/700 with 20 and 6 mm, tripod")
    assert [piece.focal_length_mm for piece in listing.eyepieces] == [20.0, 6.0]
    assert [one.sure for one in listing.readings if one.key == "eyepiece"] == [0.7, 0.7]


def test_broken_encoding_and_unseen_marks_are_repaired() -> None:
    assert read_advert("FernglÃ¤ser 10x50, sehr schÃ¶n").binocular_power == 10.0
    assert read_advert("tele\u00adscope 70/700, eye\u200bpiece 20 mm").eyepieces
    assert "\u202e" not in read_advert("Refractor \u202e70/700").name
