"""The papers that the star-test poster is printed on: their size, what fits on them, colours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from simview.errors import require_choice
from simview.picture.drawing.canvas import Size, check_lying
from simview.picture.drawing.palette import GOOD, GROUND, INK, LINE, SOFT, Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """Colours of a poster; contrast of all on the paper is above 7 : 1."""

    paper: Colour
    ink: Colour
    soft: Colour
    line: Colour
    accent: Colour


WHITE: Final = Theme(
    paper=(252, 252, 250),
    ink=(16, 19, 26),
    soft=(74, 80, 92),
    line=(196, 200, 208),
    accent=(0, 84, 148),
)
DARK: Final = Theme(paper=GROUND, ink=INK, soft=SOFT, line=LINE, accent=GOOD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper, and how a poster is laid out on it.

    Parameters
    ----------
    size
        Pixels.
    dpi
        Pixels an inch.
    columns
        Of cells; None lets three rows decide.
    strengths
        How many of a fault's three strengths are shown.
    scale
        Of type and gaps, against the wall poster's; None for what the size gives.
    """

    size: Size
    dpi: float
    columns: int | None = None
    strengths: int = 3
    scale: float | None = None


# A2 across for a wall; A4 and letter upright for a desk: one strength of each fault, type of
# 3.2 mm (9 points), which is read at arm's length (common practice, no source).
PAPERS: Final = {
    "a2": Paper(size=(3508, 2480), dpi=150),
    "a4": Paper(size=(2480, 3508), dpi=300, columns=3, strengths=1, scale=1.46),
    "letter": Paper(size=(2550, 3300), dpi=300, columns=3, strengths=1, scale=1.4),
}


def paper_for(name: str, size: Size | None) -> Paper:
    """Return a paper by its name, or the wall poster at another size.

    Raises
    ------
    SimviewError
        For an unknown name, or a size that no poster has.
    """
    paper = PAPERS[require_choice("--paper", name, PAPERS)]
    if size is None or size == paper.size:
        return paper
    wall = PAPERS["a2"]
    check_lying(size)
    return Paper(size=size, dpi=wall.dpi * size[0] / wall.size[0])
