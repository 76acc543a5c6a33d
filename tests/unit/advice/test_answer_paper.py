"""The answer as a PDF: two pages, the same words, whatever letters the offer brings."""

from __future__ import annotations

import re
import zlib
from dataclasses import replace

import pytest

from simview.advice.answer import Answer, answer
from simview.advice.paper import pdf
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
