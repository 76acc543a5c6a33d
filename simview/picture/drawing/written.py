"""Words apart from the picture that they stand on, so that a PDF can hold them as words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from simview.picture.drawing.palette import Colour

if TYPE_CHECKING:
    from PIL.Image import Image

# Where a picture carries them, among what Pillow keeps beside it.
_KEY: Final = "simview-written"


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; `place` is its baseline's left end, middle or right end."""

    place: tuple[float, float]
    text: str
    size: int
    colour: Colour
    bold: bool = False
    align: Literal["left", "middle", "right"] = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A sheet without its words, and the words, in the order in which they were written."""

    bare: Image
    words: tuple[Words, ...]


def keep(image: Image, written: Written) -> None:
    """Let a finished picture carry its words."""
    image.info[_KEY] = written


def written_on(image: Image) -> Written | None:
    """Return the words that a picture carries; None where they were not kept apart."""
    found = image.info.get(_KEY)
    return found if isinstance(found, Written) else None
