"""The answer as a PDF: two pages, the same words, whatever letters the offer brings."""

from __future__ import annotations

import re
import zlib
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from fpdf.image_datastructures import ImageCache

from simview.advice import paper
from simview.advice.answer import Answer, answer
from simview.advice.otherletters import font_for
from simview.advice.paper import _Paper, pdf
from simview.advice.pictures import Picture, Row
from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet

LONG = """Super Reflector 114/1000, f/5, compact tube 48 cm, spherical mirror, plastic lenses
Eyepieces H25mm, H20mm, K15mm, H12.5mm, H6mm and SR4mm, 0.965", 3x Barlow, 1.5x erecting eyepiece
EQ1 mount without slow motion, 5x24 finder, sun filter for the eyepiece, telephone holder, 675x"""


def made(text: str) -> Answer:
    return answer(vet(read_advert(text)))


def pages(file: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", file))


@pytest.mark.parametrize("text", ["Refractor 90/900", LONG], ids=["short", "long"])
def test_paper_has_at_most_two_pages_and_one_of_sources(text: str) -> None:
    file = pdf(made(text))
    assert file.startswith(b"%PDF-")
    assert 1 <= pages(file) <= 3


def test_longer_answers_are_set_smaller() -> None:
    sizes = []
    for text in ("Refractor 90/900", LONG * 1):
        streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf(made(text)), re.DOTALL)
        # The first page's: small type for sources stands on the others.
        content = next(found for one in streams if b" Tf" in (found := _inflated(one)))
        sizes.append(min(float(size) for size in re.findall(rb"/F\d+ ([\d.]+) Tf", content)))
    assert sizes[0] > sizes[1]


def _inflated(stream: bytes) -> bytes:
    try:
        return zlib.decompress(stream)
    except zlib.error:
        return b""


def test_pictures_carry_their_alternative_texts() -> None:
    import io

    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (8, 8), "black").save(stream, format="PNG")
    one = Picture(png=stream.getvalue(), caption="c", figures="f", alt="Saturn, small")
    row = Row(title="Saturn", says="middle", pictures=(one,) * 4)
    file = pdf(replace(made("Refractor 90/900"), pictures=(row, row, row)))
    assert file.count(b"/Subtype /Image") >= 1
    assert b"/Alt" in file
    assert pages(file) <= 3


def test_letters_that_no_font_holds_become_marks_and_no_fault() -> None:
    assert pdf(made("望遠鏡 🔭 Телескоп \u202e Refractor 70/700")).startswith(b"%PDF-")


def _font(path: Path, letters: str, *, embedding: int = 0) -> Path:
    """Write a TrueType font whose letters are full squares."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    names = [".notdef", *(f"u{ord(one):04X}" for one in letters)]
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for corner in ((0, 800), (800, 800), (800, 0)):
        pen.lineTo(corner)
    pen.closePath()
    square = pen.glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(one): f"u{ord(one):04X}" for one in letters})
    builder.setupGlyf(dict.fromkeys(names, square))
    builder.setupHorizontalMetrics(dict.fromkeys(names, (1000, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": path.stem, "styleName": "Regular"})
    builder.setupOS2(fsType=embedding)
    builder.setupPost()
    builder.save(path)
    return path


@pytest.mark.parametrize(
    ("held", "embedding", "drawn"),
    [("望遠鏡", 0, True), ("鏡", 0, False), ("望遠鏡", 0x0002, False)],
    ids=["a font that holds it", "one that lacks it", "one that may not be embedded"],
)
def test_other_scripts_are_drawn_by_a_font_of_the_computer(
    held: str, embedding: int, drawn: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken.ttf"
    broken.write_bytes(b"no font")
    fonts = (broken, _font(tmp_path / "one.ttf", held, embedding=embedding))
    monkeypatch.setattr("simview.advice.otherletters._files", lambda: fonts)
    font_for.cache_clear()
    try:
        paper = _Paper(replace(made("Refractor 90/900"), name="望"), 9.0, ImageCache())
        assert paper._text("a望b") == ("a望b" if drawn else "a[U+671B]b")
        paper.write(most_pages=None)
        assert (b"+one" in paper.bytes()) is drawn
        paper.close()
    finally:
        font_for.cache_clear()


@pytest.mark.parametrize("helps", [False, True])
@pytest.mark.parametrize("fits", [*paper.SIZES, 5.0])
def test_type_is_the_largest_that_fits_found_in_few_attempts(
    fits: float, helps: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[float] = []

    def attempt(
        answer: object, size: float, pictures: object, most_pages: int | None = paper.PAGES
    ) -> bytes | None:
        tried.append(size)
        return str(size).encode() if size <= fits or most_pages is None else None

    monkeypatch.setattr(paper, "_attempt", attempt)
    answer: Any = SimpleNamespace(rescue=object() if helps else None)
    assert float(pdf(answer)) == max(fits, paper.SIZES[-1])
    # Seven sizes halved are three attempts; one before them where the largest usually fits; and
    # the smallest, which is taken as fitting, is written in the end.
    assert len(tried) <= 4 + (not helps)
    assert fits < paper.SIZES[0] or helps or tried == [fits]
