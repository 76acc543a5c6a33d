"""What the letters on an eyepiece mean: H20mm, SR4, K 25, Pl 10.

Common practice, no source. The letters tell the design as its maker claims it; cheap pieces do not
always keep the promise.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from simview.errors import ChoiceError, nearest
from simview.eyepiece.lensfile import LONGEST_MM, SHORTEST_MM
from simview.kit import Design


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """One meaning.

    Parameters
    ----------
    words
        How it is written, in small letters, the shortest first.
    design
        As the kit room calls it.
    layout
        The layout of the lens library that comes nearest; None where there is none.
    title
        In full.
    note
        How the piece differs from the layout; empty where it does not.
    """

    words: tuple[str, ...]
    design: Design
    layout: str | None
    title: str
    note: str = ""


MARKINGS: Final = (
    Marking(
        words=("h", "hw", "huygens", "huygenian", "huyghens"),
        design="huygens",
        layout="huygens",
        title="Huygens",
    ),
    Marking(
        words=("hm", "mittenzwey"),
        design="huygens",
        layout="huygens",
        title="Huygens-Mittenzwey",
        note="its field lens is a meniscus, which widens the field a little",
    ),
    Marking(
        words=("ah",),
        design="huygens",
        layout="huygens",
        title="achromatic Huygens",
        note="its eye lens is a cemented pair, which lessens the colour in the middle",
    ),
    Marking(words=("r", "ramsden"), design="ramsden", layout="ramsden", title="Ramsden"),
    Marking(
        words=("sr",),
        design="ramsden",
        layout="ramsden",
        title="Ramsden, two equal lenses",
        note="also sold as super Ramsden; nothing but the plain type",
    ),
    Marking(words=("k", "ke", "kellner"), design="kellner", layout="kellner", title="Kellner"),
    Marking(
        words=("ma", "modified achromat", "modified achromatic"),
        design="kellner",
        layout="kellner",
        title="modified achromat",
        note="three lenses like a Kellner's",
    ),
    Marking(
        words=("ar", "achromatic ramsden"),
        design="kellner",
        layout="kellner",
        title="achromatic Ramsden",
        note="three lenses like a Kellner's",
    ),
    Marking(
        words=("rk", "reversed kellner"),
        design="kellner",
        layout="kellner",
        title="reversed Kellner",
        note="the cemented pair is the field lens: longer eye relief than a Kellner",
    ),
    Marking(
        words=("or", "ortho", "orthoscopic"),
        design="orthoscopic",
        layout="orthoscopic",
        title="orthoscopic",
    ),
    Marking(
        words=("pl", "plossl", "plössl", "ploessl"),
        design="plossl",
        layout="plossl",
        title="Plössl",
    ),
    Marking(words=("er", "erfle"), design="erfle", layout="erfle", title="Erfle"),
    Marking(
        words=("wa", "uw", "swa", "uwa", "wide angle", "wide-angle", "wide field"),
        design="wide",
        layout=None,
        title="wide-angle",
    ),
)

# Every way to write a marking -> the kit room's design.
DESIGNS: Final[dict[str, Design]] = {
    word: meaning.design for meaning in MARKINGS for word in meaning.words
}

_BY_WORD: Final = {word: meaning for meaning in MARKINGS for word in meaning.words}
_LENGTH: Final = re.compile(r"(?<![\d.,])(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:mm)?(?![\d.,])")


def read_marking(text: str) -> tuple[Marking, float | None]:
    """Return what a barrel's lettering means, and the focal length in mm if it is there.

    Parameters
    ----------
    text
        As on the piece: ``"H20mm"``, ``"SR 4"``, ``"12.5 Or"``, ``"Plössl 32mm"``.

    Raises
    ------
    ChoiceError
        If no letters of it are known, or they could mean two designs.

    Notes
    -----
    Checked by: tests/unit/eyepiece/test_markings.py
    """
    plain = " ".join(text.casefold().replace("®", " ").replace("™", " ").split())
    found = list(dict.fromkeys(id(m) for m in _meanings(plain)))
    if len(found) != 1:
        words = sorted(_BY_WORD, key=lambda word: (len(word), word))
        near = nearest(re.sub(r"[^a-zäöü -]", "", plain).strip(), words)
        raise ChoiceError(
            "eyepiece marking",
            got=text,
            allowed=", ".join(word.upper() for word in words if len(word) < 3),
            remedy=f"did you mean {near!r}?" if near and not found else "",
        )
    meaning = next(m for m in MARKINGS if id(m) == found[0])
    return meaning, _focal_length(plain)


def _meanings(plain: str) -> Iterator[Marking]:
    """Give the meaning of each known word, long ones first; letters inside a word do not count."""
    left = plain
    for word in sorted(_BY_WORD, key=len, reverse=True):
        pattern = rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])"
        if re.search(pattern, left):
            left = re.sub(pattern, " ", left)
            yield _BY_WORD[word]


def _focal_length(plain: str) -> float | None:
    lengths = {float(part.replace(",", ".")) for part in _LENGTH.findall(plain)}
    fitting = [length for length in lengths if SHORTEST_MM <= length <= LONGEST_MM]
    return fitting[0] if len(fitting) == 1 else None
