"""The lettering of a sheet: fonts, measuring, wrapping, and quantities in words.

The fonts are DejaVu Sans, regular and bold, cut down to what a sheet can need; they lie in
``data/`` with their licence. Kerning and line breaking are done here without system libraries, so
that a sheet looks the same on every machine.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from itertools import chain, repeat
from operator import concat
from pathlib import Path
from typing import Final, Literal

from PIL import ImageFont

from simview.picture.drawing import tongue

Weight = Literal["regular", "bold"]

_DATA: Final = Path(__file__).parents[1] / "data"
_FILES: Final = {"regular": "DejaVuSans-subset.ttf", "bold": "DejaVuSans-Bold-subset.ttf"}

# Distance of two baselines divided by the type size; a choice, for reading across a hall.
LEADING: Final = 1.3

# Stands for a character that the fonts do not hold.
UNKNOWN: Final = "?"

ELLIPSIS: Final = "…"


@lru_cache(maxsize=128)
def font(size_px: int, weight: Weight = "regular") -> ImageFont.FreeTypeFont:
    """Return the font at one size.

    Parameters
    ----------
    size_px
        Type size (em) in pixels, 4 or more.
    weight
        "regular" or "bold".
    """
    # The basic layout engine is always there and the same everywhere; raqm is not.
    return ImageFont.truetype(
        str(_DATA / _FILES[weight]), max(4, size_px), layout_engine=ImageFont.Layout.BASIC
    )


@lru_cache(maxsize=1)
def glyphs() -> frozenset[str]:
    """Return every character that both fonts hold.

    Checked by: tests/unit/picture/test_lettering.py
    """
    held: set[str] = set()
    for line in (_DATA / "glyphs.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            first, _, last = line.partition("-")
            held.update(map(chr, range(int(first, 16), int(last or first, 16) + 1)))
    return frozenset(held)


def printable(text: str) -> str:
    """Return `text` with every character that the fonts lack replaced, so that no box is printed.

    A letter with a mark that is missing loses the mark; anything else becomes a question mark.
    Line breaks and tabs become spaces.
    """
    text = unicodedata.normalize("NFC", " ".join(text.split()))
    if glyphs().issuperset(text):
        return text
    return "".join(c if c in glyphs() else _stand_in(c) for c in text)


def _stand_in(character: str) -> str:
    if unicodedata.category(character) in {"Mn", "Cf", "Cc"}:
        return ""
    plain = unicodedata.normalize("NFKD", character)
    kept = "".join(c for c in plain if c in glyphs() and not unicodedata.combining(c))
    return kept or UNKNOWN


def width_px(text: str, size_px: int, weight: Weight = "regular") -> float:
    """Return the length of one line of text in pixels.

    Summed up letter by letter, each as it stands behind the one before it: sheets measure the same
    words over and over.

    Checked by: tests/unit/picture/test_lettering.py
    """
    line = printable(text)
    steps = chain((line[:1],), map(concat, line, line[1:]))
    return sum(map(_step_px, steps, repeat(size_px), repeat(weight)))


@lru_cache(maxsize=16384)
def _step_px(letters: str, size_px: int, weight: Weight) -> float:
    """Return by how much the last of one or two letters makes a line longer."""
    used = font(size_px, weight)
    return float(used.getlength(letters)) - (used.getlength(letters[0]) if letters[1:] else 0.0)


def line_px(size_px: int) -> int:
    """Return the distance of two baselines in pixels."""
    return round(size_px * LEADING)


def wrap(text: str, room_px: float, size_px: int, weight: Weight = "regular") -> list[str]:
    """Break text into lines no longer than `room_px`.

    Breaks at spaces; a single word that is too long is broken inside. Never loses a character.

    Returns
    -------
    list of str
        At least one line, which is empty for empty text.
    """
    words, lines, count = printable(text).split(" "), list[str](), 1

    def fits(number: int) -> bool:
        return width_px(" ".join(words[:number]), size_px, weight) <= room_px

    while words:
        count = _most(len(words), fits, near=count)
        if count:
            lines.append(" ".join(words[:count]))
            words = words[count:]
            continue
        # One word too long: what is left of it may take others beside it.
        *full, rest = _chop(words[0], room_px, size_px, weight)
        lines.extend(full or [rest])
        words = [rest, *words[1:]] if full else words[1:]
    return lines


def _most(number: int, fits: Callable[[int], bool], *, near: int) -> int:
    """Return how many of so many words fit, 0 for none; lines hold about `near` each.

    More words are wider: each look halves the doubt, or widens the search from there.
    """
    most, too_many, step = 0, number + 1, 1
    look = near
    while too_many - most > 1:
        look = min(max(look, most + 1), too_many - 1)
        if fits(look):
            most, look = look, look + step
        else:
            too_many, look = look, look - step
        if most > 0 and too_many <= number:
            look = (most + too_many) // 2
        step *= 2
    return most


def _chop(word: str, room_px: float, size_px: int, weight: Weight) -> list[str]:
    pieces: list[str] = []
    piece = ""
    for character in word:
        if piece and width_px(piece + character, size_px, weight) > room_px:
            pieces.append(piece)
            piece = ""
        piece += character
    return [*pieces, piece]


def cut(text: str, room_px: float, size_px: int, weight: Weight = "regular") -> str:
    """Return `text`, shortened with an ellipsis where it is longer than `room_px`.

    It ends with a whole word, unless less than half of what fits would be left.
    """
    text = printable(text)
    if width_px(text, size_px, weight) <= room_px:
        return text
    # Longer beginnings are wider: halve the doubt until one length is left.
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        half = (fits + too_long) // 2
        if width_px(text[:half].rstrip() + ELLIPSIS, size_px, weight) <= room_px:
            fits = half
        else:
            too_long = half
    whole = text[: fits + 1].rpartition(" ")[0].rstrip()
    return (whole if 2 * len(whole) >= fits else text[:fits].rstrip()) + ELLIPSIS


def fitting_size(
    text: str, room_px: float, *, largest_px: int, smallest_px: int, weight: Weight = "regular"
) -> int:
    """Return the largest type size at which one line of text fits, within the limits given.

    Parameters
    ----------
    text
        One line.
    room_px
        Width that it may take.
    largest_px, smallest_px
        Sizes that are tried, and the one that is taken if none fits.
    weight
        Of the type.
    """
    size = largest_px
    while size > smallest_px and width_px(text, size, weight) > room_px:
        size -= 1
    return size


def block(
    text: str, room_px: float, height_px: float, *, largest_px: int, smallest_px: int
) -> tuple[int, list[str]]:
    """Set a paragraph into a box: the largest type size that fits, and its lines.

    Where even the smallest size does not fit, sentences are left out from the end, and an ellipsis
    says so; a first sentence that is too long by itself ends with one.

    Parameters
    ----------
    text
        A paragraph, broken as needed.
    room_px, height_px
        Width and height of the box.
    largest_px, smallest_px
        Type sizes that are tried.

    Returns
    -------
    size_px, lines
    """
    for size in range(largest_px, smallest_px - 1, -1):
        lines = wrap(text, room_px, size)
        if len(lines) * line_px(size) <= height_px:
            return size, lines
    kept = max(1, int(height_px // line_px(smallest_px)))
    sentences = [part.strip() for part in text.replace(". ", ".\n").split("\n")]
    for count in range(len(sentences) - 1, 0, -1):
        fewer = wrap(f"{' '.join(sentences[:count])} {ELLIPSIS}", room_px, smallest_px)
        if len(fewer) <= kept:
            return smallest_px, fewer
    lines = [*lines[: kept - 1], cut(" ".join(lines[kept - 1 :]), room_px, smallest_px)]
    return smallest_px, lines


def figure(value: float, digits: int = 2) -> str:
    """Return a number with `digits` significant figures, without exponent or needless zeros.

    From 10 ** digits upwards all figures before the point are kept.
    """
    if not math.isfinite(value):
        return "–"
    if value == 0.0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    # Rounding may carry into the next decade (9.96 -> 10), which takes one place away.
    places = digits - 1 - math.floor(math.log10(abs(round(value, places) or value)))
    return tongue.decimal(f"{value:.{max(0, places)}f}".replace("-", "−"))


def angle(arcsec: float, digits: int = 2) -> str:
    """Return an angle in the unit that reads best: 0.46″, 47″, 12′, 1.3°."""
    size = abs(arcsec)
    if not math.isfinite(size):
        return figure(size)
    if size < 100.0:
        return f"{figure(arcsec, digits)}″"
    if size < 100.0 * 60.0:
        return f"{figure(arcsec / 60.0, digits)}′"
    return f"{figure(arcsec / 3600.0, digits)}°"


def about(value: float) -> str:
    """Return a number with no more digits than anyone reads: from 1000 on two, then noughts."""
    if not math.isfinite(value) or abs(value) < 1000.0:
        return figure(value)
    return figure(round(value, 1 - math.floor(math.log10(abs(value)))))


def times(power: float) -> str:
    """Return a power: 150×, 7.5×."""
    return f"{figure(power, 2 if power < 100 else 3)}×"


def least_times(power: float) -> str:
    """Return a power from which on something is so, rounded up to one at which it is."""
    step = 0.1 if power < 9.9 else 1.0
    return times(step * math.ceil(power / step))


def share(ratio: float) -> str:
    """Return how bright something is against the first panel: 1, 1/12, 2.1.

    Parameters
    ----------
    ratio
        Light on each patch of the retina, first panel 1.
    """
    if not (math.isfinite(ratio) and ratio > 0.0):
        return "–"
    if ratio > 0.95:
        return figure(ratio) if ratio > 1.05 else "1"
    return f"1/{about(1.0 / ratio)}"
