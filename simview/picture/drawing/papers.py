"""Papers by their names: how many pixels a sheet of them has at 300 dots an inch."""

from __future__ import annotations

from typing import Final

Size = tuple[int, int]

# Dots an inch: what a print needs that is read at arm's length (common practice, no source).
DPI: Final = 300.0

# Source of the lengths: ISO 216 (A3, A4: 420 x 297 mm, 297 x 210 mm); letter 11 x 8.5 in (ANSI A).
PAPERS: Final[dict[str, Size]] = {
    "a4": (3508, 2480),
    "a3": (4961, 3508),
    "letter": (3300, 2550),
    "a4-upright": (2480, 3508),
    "letter-upright": (2550, 3300),
    "square": (2160, 2160),
}


def dpi_of(size: Size) -> float | None:
    """Return the dots an inch of a size that is a paper's; None for any other."""
    papers = {paper for name, paper in PAPERS.items() if name != "square"}
    return DPI if size in papers else None
