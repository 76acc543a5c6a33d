"""One kit on one object at many powers, and the answer: what travels between the modules here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from simview.eye.stations import Station
from simview.kit import Kit, Observer, Sky, Telescope
from simview.picture.detail.records import PowerPlot
from simview.power.records import Marks
from simview.scene.scene import Target


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One kit on one object, looked at at many powers.

    Parameters
    ----------
    places
        Where the curve is computed for the plot and, unless powers are asked for, for the figures.
    asked
        Powers that were asked for; None for all of the curve's.
    marks
        Where power is enough, carried by the air, empty.
    """

    kit: Kit
    target: Target
    sky: Sky
    observer: Observer
    scope: Telescope
    places: tuple[Station, ...]
    asked: tuple[float, ...] | None
    marks: Marks

    @property
    def powers(self) -> tuple[float, ...]:
        """Of the curve."""
        return tuple(place.power for place in self.places)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one sort of object makes of a case: figures for JSON, a plot, words.

    Parameters
    ----------
    figures
        "powers", "finest_detail_arcsec", "enough_from", "empty_above", "reason" and more.
    plot
        Without the rows and the facts that every sheet has.
    title, method
        What is asked, and how the answer is computed, for the sheet.
    """

    figures: dict[str, Any]
    plot: PowerPlot
    title: str
    method: str


def as_list(values: Sequence[float | None] | np.ndarray[Any, Any]) -> list[float | None]:
    """Return figures as plain numbers for JSON."""
    return [None if value is None else float(value) for value in values]
