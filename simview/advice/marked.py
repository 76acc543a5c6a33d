"""An offer's own text with every understood passage marked: for a terminal and for a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from simview.advice.listing import Listing, Reading
from simview.advice.reading.passages import spoken
from simview.terminal import visible

if TYPE_CHECKING:
    from rich.text import Text

# Longest text that is shown marked, characters: a choice.
LONGEST: Final = 6000

# How sure a reading is, as a style of the terminal: sure, unsure.
_STYLES: Final = ("black on green", "black on yellow")
SURE: Final = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A stretch of an offer's text, and what was read from it.

    Parameters
    ----------
    language
        Where another language begins than before, its English name; else empty.
    """

    text: str
    readings: tuple[Reading, ...] = ()
    language: str = ""

    @property
    def told(self) -> str:
        """What was read: "aperture 70 mm"."""
        return ", ".join(dict.fromkeys(_told(one) for one in self.readings))

    @property
    def sure(self) -> bool:
        """False where any of it is doubtful."""
        return all(one.sure >= SURE for one in self.readings)


def _told(one: Reading) -> str:
    name = one.key.removesuffix("_mm").replace("_", " ")
    value = "" if one.value is True else f" {one.value}"
    return f"{name}{value}{' mm' if one.key.endswith('_mm') else ''}"


def passages(listing: Listing) -> Iterator[Passage]:
    """Give the whole text in stretches, what was understood apart; overlaps are one stretch.

    Where a language begins, its name stands on the first stretch that begins there or after.
    """
    begins = [(one.start, one.language) for one in spoken(listing.text) if one.language]
    at = 0
    for one in _stretches(listing):
        end = at + len(one.text)
        inside = [start for start, _ in begins if at < start < end] if not one.readings else []
        cuts = [at, *inside, end]
        for low, high in pairwise(cuts):
            name = ""
            while begins and begins[0][0] <= low:
                name = begins.pop(0)[1]
            yield replace(one, text=listing.text[low:high], language=name)
        at = end


def _stretches(listing: Listing) -> Iterator[Passage]:
    found = sorted(
        (one for one in listing.readings if 0 <= one.start < one.end), key=lambda one: one.start
    )
    text, at = listing.text, 0
    group: list[Reading] = []
    for one in [*found, None]:
        if group and (one is None or one.start >= max(known.end for known in group)):
            start, end = group[0].start, max(known.end for known in group)
            if start > at:
                yield Passage(text=text[at:start])
            yield Passage(text=text[start:end], readings=tuple(group))
            at, group = end, []
        if one is not None:
            group.append(one)
    if at < len(text):
        yield Passage(text=text[at:])


def marked_plain(listing: Listing) -> str:
    """Return the text with "[70/700: aperture 70 mm]" for each understood passage."""
    parts = []
    for one in passages(listing):
        words = visible(one.text)
        parts.append(f"({one.language}) " if one.language else "")
        parts.append(f"[{words}: {one.told}{'' if one.sure else '?'}]" if one.readings else words)
    return _shortened("".join(parts))


def marked_rich(listing: Listing) -> Text:
    """Return the text for a terminal with colours: green what is sure, yellow what is not."""
    from rich.text import Text

    made = Text()
    for one in passages(listing):
        if one.language:
            made.append(f"({one.language}) ", "italic dim")
        made.append(visible(one.text), _STYLES[not one.sure] if one.readings else "")
        if one.readings:
            made.append(f" {one.told} ", "italic dim")
    return made


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[:LONGEST]} …"
