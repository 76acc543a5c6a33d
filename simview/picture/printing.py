"""From views to prints: all panels of one sheet exposed, and developed under one adaptation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from simview.eye.retina import Exposure
from simview.picture import tone
from simview.view import View

Print = NDArray[np.uint8]
# Told how far the work is, 0 to 1, and what is being done.
Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One panel to print: a view, at a scale of apparent angle, so many pixels square (even)."""

    view: View
    pixels_per_degree: float
    pixels: int

    def expose(self) -> Exposure:
        """Let the light fall on the retina."""
        return self.view.expose(pixels_per_degree=self.pixels_per_degree, pixels=self.pixels)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prints:
    """The panels in the order in which they were wanted, and how they were toned."""

    panels: tuple[Print, ...]
    adaptation: tone.Adaptation


def develop_all(wanted: Sequence[Wanted], *, progress: Progress | None = None) -> Prints:
    """Expose all panels, set one adaptation for them, develop them.

    Parameters
    ----------
    wanted
        Those that set the adaptation are all of them: a close-up shows no more light than the
        view it is cut from.
    """
    exposures = []
    for index, panel in enumerate(wanted):
        if progress is not None:
            progress(index / (len(wanted) + 1), f"{panel.view.beam.power:.0f} times")
        exposures.append(panel.expose())
    if progress is not None:
        progress(len(wanted) / (len(wanted) + 1), "printing")
    peaks = [exposure.star_peaks() for exposure in exposures]
    adaptation = tone.adaptation(exposures, star_peaks_td=np.concatenate(peaks))
    panels = tuple(
        tone.develop(exposure.retina(tone.star_factors(peak, adaptation)), adaptation)
        for exposure, peak in zip(exposures, peaks, strict=True)
    )
    if progress is not None:
        progress(1.0, "done")
    return Prints(panels=panels, adaptation=adaptation)
