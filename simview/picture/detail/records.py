"""What travels to the sheet of a curve over power: plain records, figures and words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from simview.picture.drawing.plot import Point

# How a stretch of powers, a mark or a figure is drawn: plain, good, past tonight's air, or as a
# warning.
Manner = Literal["low", "enough", "air", "empty"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of powers: how it is drawn, and what is said about it, longest wording first."""

    manner: Manner
    low: float
    high: float
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A thin curve that bounds or explains: points (power, value), and its name beside it."""

    points: tuple[Point, ...]
    label: str
    dashed: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RowMark:
    """Something on a row below the plot.

    Parameters
    ----------
    low, high
        Powers; equal for a single one.
    label
        Written beside it; left out where there is no room.
    manner
        "enough" and "empty" colour it, "low" leaves it plain.
    shape
        Of a single one: a dot, a tick on the scale, or a triangle that points at it.
    """

    low: float
    high: float
    label: str = ""
    manner: Manner = "low"
    shape: Literal["dot", "tick", "triangle"] = "dot"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row below the plot: its name at the left, its marks on the scale of powers."""

    name: str
    marks: tuple[RowMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A figure that counts, large, with a sentence or two; a mark and a colour by its manner."""

    figure: str
    words: str
    manner: Manner = "low"


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPlot:
    """All that stands on the sheet besides title and caption.

    Parameters
    ----------
    powers
        Ends of the scale of powers.
    values
        Ends of the other scale.
    scale
        "log" or "linear", for the values.
    downwards
        True where small values stand on top: finer detail is up.
    title
        What is plotted, a few words.
    unit
        Turns a value into words for the ticks.
    curve
        (power, value) of the curve.
    zones
        The band on top, without gaps; they colour the curve too.
    lines, rows, facts
        What bounds it, what stands below, what stands at the right.
    region
        Words for the two sides of the curve: the easy one, the one beyond it.
    absence
        Said instead of a curve without points.
    """

    powers: tuple[float, float]
    values: tuple[float, float]
    scale: Literal["log", "linear"] = "log"
    downwards: bool = False
    title: str
    unit: Callable[[float], str]
    curve: tuple[Point, ...]
    zones: tuple[Zone, ...] = ()
    lines: tuple[Line, ...] = ()
    rows: tuple[Row, ...] = ()
    facts: tuple[Fact, ...] = ()
    region: tuple[str, str] = ("", "")
    absence: str = ""
