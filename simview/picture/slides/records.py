"""What a slide is before it is drawn: words, pictures already printed, nothing computed later."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, Final, Literal

from PIL.Image import Image

from simview.picture.drawing.palette import (
    GOOD,
    GROUND,
    INK,
    LINE,
    ON_WHITE,
    RING,
    SOFT,
    WARN,
    Colour,
)
from simview.picture.drawing.shapes import (
    Box,
    Page,
    Picture,
    Print,
    Ring,
    Shape,
    Stroke,
    Words,
)
from simview.picture.drawing.tongue import N_, spoken
from simview.picture.finished import Sheet

__all__ = [
    "THEMES",
    "Box",
    "Figure",
    "Page",
    "Panel",
    "Picture",
    "Print",
    "Ring",
    "Shape",
    "Slide",
    "SlideSheet",
    "Stroke",
    "Wish",
    "Words",
]

Size = tuple[int, int]
Paper = Literal["dark", "white"]
PAPERS: Final = ("dark", "white")

# Said at the foot of every slide unless its maker writes a line of their own.
COMPUTED: Final = N_("Computed, not photographed")

# Most figures on one slide: more are not read in three seconds. A choice.
MOST_FIGURES: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """Colours by what they are for; the two accents keep their words and shapes on any ground."""

    ground: Colour
    ink: Colour
    soft: Colour
    line: Colour
    ring: Colour
    good: Colour
    warn: Colour


_DARK: Final = Theme(ground=GROUND, ink=INK, soft=SOFT, line=LINE, ring=RING, good=GOOD, warn=WARN)
THEMES: Final[dict[Paper, Theme]] = {
    "dark": _DARK,
    "white": Theme(**{each.name: ON_WHITE[getattr(_DARK, each.name)] for each in fields(Theme)}),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a slide's maker wants of it, besides its contents.

    Parameters
    ----------
    title
        Instead of the one that the contents suggest; empty for that one.
    footer
        One line at the foot; None for `COMPUTED`, empty for none.
    paper
        "dark" for a projector, "white" for printing.
    labels
        Words above the panels instead of their own, one for each; empty for their own.
    logo
        Drawn small at the foot; None for none.
    """

    title: str = ""
    footer: str | None = None
    paper: Paper = "dark"
    labels: tuple[str, ...] = ()
    logo: Image | None = None

    def recipe(self) -> dict[str, Any]:
        """Return all of it that a recipe can hold, and the language; a logo is a file."""
        return {
            "title": self.title,
            "footer": self.footer,
            "paper": self.paper,
            "labels": list(self.labels),
            "language": spoken(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One picture of a slide.

    Parameters
    ----------
    picture
        (n, n, 3) sRGB, n from the plan.
    label
        Above it: what is different here.
    note
        Below it, one line; empty for none.
    round
        True where the picture is a whole field, cut to its stop.
    field
        How wide that field, or the small one, is against the widest of the slide, up to 1.
    inset
        (m, m, 3): the whole field, drawn small; None for none.
    empty
        True for empty magnification: the note wears its mark.
    """

    picture: Print
    label: str = ""
    note: str = ""
    round: bool = False
    field: float = 1.0
    inset: Print | None = None
    empty: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure written large, with a few words below it: ("75×", "magnification")."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """All that a slide shows, and all that it leaves to the speaker.

    Parameters
    ----------
    title
        The point, in words.
    panels
        Pictures, from left to right.
    figures
        Beside a single picture; at most `MOST_FIGURES`.
    inset_words
        What the small pictures are.
    footer
        One line at the foot.
    small_print
        What is assumed, for the speaker's notes; sentences.
    """

    title: str
    panels: tuple[Panel, ...]
    figures: tuple[Figure, ...] = ()
    inset_words: str = ""
    footer: str = COMPUTED
    small_print: str = ""

    def tells(self) -> str:
        """Return the slide in words, for those who do not see it."""
        parts = [self.title]
        parts += [": ".join(part for part in (p.label, p.note) if part) for p in self.panels]
        parts += [f"{figure.value} {figure.words}" for figure in self.figures]
        return ". ".join(part.rstrip(".") for part in parts if part) + "."


@dataclass(frozen=True, slots=True, kw_only=True)
class SlideSheet(Sheet):
    """A finished slide: its picture, and what it was drawn from.

    Parameters
    ----------
    page
        Where everything stands, for drawing it again as PDF.
    tells
        The slide in words.
    small_print
        What is assumed.
    """

    page: Page
    tells: str = ""
    small_print: str = ""
