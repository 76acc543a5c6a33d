"""The letters of the answer on paper: its fonts, what stands in for a letter that none holds."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.advice.speech import Tongue

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN_MM: Final = 12.0
"""Margins of the page."""
FONT: Final = "answer"
"""Name of the font within the PDF."""


def drawn(words: str) -> str:
    """Return one run of words from right to left as it is drawn (Unicode Annex 9)."""
    from fpdf.bidi import BidiParagraph
    from fpdf.enums import TextDirection

    return str(BidiParagraph(words, base_direction=TextDirection.RTL).get_reordered_string())


def stand_in(letter: str) -> str:
    """Return what is printed for a letter that no font holds: its name, or its code point."""
    kind = unicodedata.category(letter)
    if kind in ("Mn", "Cf", "Me"):
        return ""  # joins or changes its neighbour, and is nothing by itself
    if kind == "So":
        return f"[{unicodedata.name(letter, f'U+{ord(letter):04X}').lower()}]"
    return f"[U+{ord(letter):04X}]"


def document(regular: Path, bold: Path, title: str, tongue: Tongue) -> FPDF:
    """Return an empty document with its fonts, margins, title and language."""
    from fpdf import FPDF

    doc = FPDF(format=tongue.paper)
    doc.set_margin(MARGIN_MM)
    doc.set_auto_page_break(auto=True, margin=10.0)
    doc.add_font(FONT, "", regular)
    doc.add_font(FONT, "B", bold)
    doc.set_title(title)
    doc.set_lang(tongue.code)
    doc.set_creator("simview")
    return doc


@lru_cache(maxsize=1)
def fonts() -> tuple[frozenset[int], Path, Path]:
    """Return the characters that the font holds, and its two files.

    The whole DejaVu Sans comes with matplotlib, which poppy needs; where it is not found, the cut
    that the pictures are lettered with serves.
    """
    from fontTools.ttLib import TTFont

    names = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
    spec = find_spec("matplotlib")
    home = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" if spec and spec.origin else None
    if home is None or not all((home / name).is_file() for name in names):
        home = Path(__file__).parents[1] / "picture" / "data"
        names = ("DejaVuSans-subset.ttf", "DejaVuSans-Bold-subset.ttf")
    held = []
    for name in names:
        with TTFont(home / name, lazy=True) as font:
            held.append(frozenset(font.getBestCmap()))
    return held[0] & held[1], home / names[0], home / names[1]


def rgb(colour: str) -> tuple[int, int, int]:
    """Return red, green and blue, 0 to 255, of a colour written `#rrggbb`."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
