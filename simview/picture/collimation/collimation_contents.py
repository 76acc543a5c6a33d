"""What a sheet on collimation says, settled before it is drawn.

The sheet, the slide, the film, a table and JSON each show these records and decide nothing of
their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.kit import Telescope
from simview.picture.collimation.collimation_asked import MATTERS, Collimation, figures, recipe
from simview.picture.collimation.mirror_back import turn_words
from simview.picture.collimation.words import (
    band_words,
    matters_heading,
    sentences_for,
    sheet_text,
    told_heading,
)
from simview.picture.drawing.canvas import Size
from simview.picture.drawing.sheet import SheetText
from simview.picture.finished import Told
from simview.telescope.coma import coma_tolerance_mm
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.screws import NAMES, Screws

Print = NDArray[np.uint8]

# Focal ratios whose tolerance is told besides.
ELSEWHERE: Final = (4, 5, 6, 8)

# Parts of `step_turns` by which a screw is turned, from panel to panel.
_TURNS: Final = (-2, -1, 0, 1, 2)


def sentences(asked: Collimation) -> tuple[tuple[str, str], ...]:
    """Return what to do, three sentences with the word that leads each."""
    return sentences_for(asked.screws, asked.way, asked.first_turns(), asked.travel_waves)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """One screw turned by so much: ``Turned(turns=0.25, tilt=..., label="1/4 turn forward")``.

    Parameters
    ----------
    turns
        Forward is positive; 0 at rest.
    tilt
        How the mirror leans then, arcmin.
    label
        What stands above the picture.
    """

    turns: float
    tilt: complex
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NearEnough:
    """A star so far out of line, and what that costs.

    Parameters
    ----------
    tilt
        How the mirror leans, arcmin.
    fine
        Whether it no longer matters.
    off, band, costs
        How far off it is, how wide the light is on either side of the dark middle, and what that
        does: "0.28 mm", "1.4 to 1", "Strehl 0.95".
    """

    tilt: complex
    fine: bool
    off: str
    band: str
    costs: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CollimationContents:
    """All that a sheet on collimation holds, before it is drawn.

    Parameters
    ----------
    asked
        What was asked for; it prints the stars.
    words
        Title, subtitle, caption, footer.
    mirror_heading, steps
        Above the drawing of the mirror; what to do, each sentence with the word that leads it.
    turns_heading, rows
        Above the stars of single screws; for each screw its letter and its stars.
    near_heading, near_names, near
        Above the row that says what is near enough; what its three lines of figures are; its
        stars.
    elsewhere
        Tolerances at other focal ratios: ("f/5", "1.5 mm"); empty where they do not follow one law.
    figures
        For JSON, for tables and for the picture's metadata.
    """

    asked: Collimation
    words: SheetText
    mirror_heading: str
    steps: tuple[tuple[str, str], ...]
    turns_heading: str
    rows: tuple[tuple[str, tuple[Turned, ...]], ...]
    near_heading: str
    near_names: tuple[str, str, str]
    near: tuple[NearEnough, ...]
    elsewhere: tuple[tuple[str, str], ...]
    figures: Mapping[str, Any]

    def told(self, size: Size = (1920, 1080)) -> Told:
        """Return what is said of it whether or not it is drawn: figures and recipe."""
        return Told(figures=dict(self.figures), recipe=recipe(self.asked, size))


def judge_collimation(asked: Collimation) -> CollimationContents:
    """Settle what a sheet on collimation says.

    Raises
    ------
    SimviewError
        Where a mirror so far out of line cannot be sampled.
    """
    screws = asked.screws
    flat = isinstance(screws, FlatScrews)
    found = figures(asked)
    seen = "as on the sky" if screws.before_secondary else "seen the same way"
    paraboloid = isinstance(screws, Screws) and screws.traced is None
    return CollimationContents(
        asked=asked,
        words=sheet_text(asked.kit, screws, asked.travel_waves),
        mirror_heading=told_heading(screws),
        steps=sentences(asked),
        turns_heading=f"One screw turned, from a collimated mirror: the star {seen}",
        rows=tuple((name, _turned(asked, index)) for index, name in enumerate(NAMES)),
        near_heading=matters_heading(screws),
        near_names=(
            "shadow off by" if flat else "axis off by",
            "band of light",
            "light" if flat else "",
        ),
        near=tuple(
            _near(asked, part, row) for part, row in zip(MATTERS, found["rows"], strict=True)
        ),
        elsewhere=_elsewhere() if paraboloid else (),
        figures=found,
    )


def _turned(asked: Collimation, index: int) -> tuple[Turned, ...]:
    step = asked.step_turns()
    found = []
    for part in _TURNS:
        turns = [0.0, 0.0, 0.0]
        turns[index] = part * step
        tilt = asked.screws.tilt((turns[0], turns[1], turns[2]))
        found.append(Turned(turns=turns[index], tilt=tilt, label=_label(turns[index])))
    return tuple(found)


def _label(turns: float) -> str:
    if not turns:
        return "at rest"
    way = "back" if turns < 0 else "forward"
    return f"{turn_words(turns)} {way}"


def _near(asked: Collimation, part: float, row: Mapping[str, float]) -> NearEnough:
    screws = asked.screws
    off = f"{row['off_mm']:.3g} mm" if part else "0"
    costs = f"Strehl {row['strehl']:.2f}"
    if isinstance(screws, FlatScrews):
        lost = row["light_lost"]
        costs = f"{100.0 * lost:.0f} % lost" if lost else "all of it"
    elif screws.traced is not None and part:
        off = f"{row['off_arcmin']:.2g}′"
    return NearEnough(
        tilt=asked.off_by(part),
        fine=part <= 1.0,
        off=off,
        band=band_words(row["band_ratio"]),
        costs=costs,
    )


def _elsewhere() -> tuple[tuple[str, str], ...]:
    """Return the tolerance of paraboloids of other focal ratios."""
    return tuple(
        (
            f"f/{ratio}",
            f"{coma_tolerance_mm(Telescope(aperture_mm=100.0, focal_length_mm=100.0 * ratio)):.3g}"
            " mm",
        )
        for ratio in ELSEWHERE
    )
