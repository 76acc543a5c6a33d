"""Whatever stands in an advert: it is read, judged and printed, and nothing in it comes alive."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st

from simview.advice.answer import answer
from simview.advice.listingtoml import parse_listing
from simview.advice.page import html
from simview.advice.plaintext import explained_text, plain_text
from simview.advice.reading.assemble import read_advert
from simview.advice.reading.clean import Page, shown
from simview.advice.verdict import vet
from simview.errors import SimviewError

WORDS = st.sampled_from(
    [
        "aperture", "focal length", "60", "700", "mm", "inch", '"', "x", "×", "/", "f/", "eyepiece",
        "H20", "SR4", "Plössl", "Barlow", "3x", "1.5x", "erecting prism", "magnification", "525x",
        "£49", "EUR", "1,299.00", "sun filter", "tripod", "EQ2", "60700", "binoculars", "10x50",
        "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "&lt;", "&amp;", "{{ 7*7 }}",
        "{% x %}", "'", "\n", ",", ";", ".", "(", ")", "-----", "Ø", "½", "4 1/2", "\u202e",
        "\u0000", "0.965", "1.25", "2\"", "mirror", "spherical", "D=", "F=", "zoom", "8-24mm",
    ]
)  # fmt: skip
ADVERTS = st.one_of(
    st.text(min_size=1, max_size=300), st.lists(WORDS, min_size=1, max_size=40).map(" ".join)
)


class Tags(HTMLParser):
    """Collects what a browser would take for tags, attributes and text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes |= {name for name, _ in attrs}


@given(text=ADVERTS)
@settings(max_examples=150, deadline=None)
def test_every_place_lies_in_the_pasted_text(text: str) -> None:
    page = Page.of(text)
    assert all(
        0 <= low <= high <= len(text)
        for low, high in zip(page.source.starts, page.source.ends, strict=True)
    )


@given(text=ADVERTS.filter(lambda text: text.strip()))
@settings(max_examples=150, deadline=None)
def test_every_text_is_read_and_judged(text: str) -> None:
    listing = read_advert(text)
    verdict = vet(listing)
    assert verdict.verdict in ("leave it", "with care", "sound")
    assert json.loads(json.dumps(verdict.figures()))
    assert json.dumps(verdict.explained())
    for one in listing.readings:
        assert 0 <= one.start < one.end <= len(text)
        assert shown(text[one.start : one.end]) == one.words
    assert all(0.0 < power <= 1e5 for power in listing.claimed_powers)


@given(text=ADVERTS.filter(lambda text: text.strip()))
@settings(max_examples=60, deadline=None)
def test_nothing_from_an_advert_becomes_part_of_the_page(text: str) -> None:
    verdict = vet(read_advert(text))
    made = answer(verdict)
    page = html(made)
    tags = Tags()
    tags.feed(page)
    assert not set(tags.tags) & {"script", "img", "iframe", "object", "form", "a", "svg", "embed"}
    assert not any(name.startswith("on") for name in tags.attributes)
    assert "49" not in page if text.strip() == "{{ 7*7 }}" else True
    assert plain_text(made)
    assert explained_text(verdict)


KEYS = st.sampled_from(
    ["name", "price", "aperture_mm", "claimed_powers", "finder", "solar", "text", "kind", "factor"]
)
VALUES = st.sampled_from(
    [
        '"x"',
        "1",
        "-1",
        "1e9",
        "nan",
        "inf",
        "true",
        "[]",
        "[1.0]",
        '["x"]',
        "{}",
        '"red dot"',
        "80.0",
    ]
)
LINES = st.one_of(
    st.sampled_from(["[offer]", "[telescope]", "[[eyepieces]]", "[mount]", "[binocular]"]),
    st.builds("{} = {}".format, KEYS, VALUES),
)


@given(text=st.one_of(st.text(max_size=80), st.lists(LINES, max_size=8).map("\n".join)))
@settings(max_examples=150, deadline=None)
def test_every_toml_is_a_listing_or_told_in_one_line(text: str) -> None:
    told, listing = "", None
    try:
        listing = parse_listing(text, where="x.toml")
    except SimviewError as error:
        told = str(error)
    if listing is not None:
        assert json.dumps(vet(listing).figures())
    else:
        assert told.startswith("x.toml")
        assert "\n" not in told


def test_known_attacks_stand_as_words_on_the_page() -> None:
    attack = (
        "<script>alert('x')</script><img src=x onerror=alert(1)> Refractor \"60/700\" {{ 7*7 }}"
    )
    page = html(answer(vet(read_advert(f"'><b onmouseover=x>{attack}"))))
    assert "<script" not in page
    assert not re.search(r"<img", page)
    # What an attribute or a template would need stands nowhere; its words may stand as words.
    assert not re.search(r"<[^>]*onmouseover", page)
    assert page.count("onmouseover") == page.count("onmouseover=x&gt;")
    assert page.count("7*7") == page.count("{{ 7*7 }}")
    assert not re.search(r"\b49\b", page)
