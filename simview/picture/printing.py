"""From views to prints: all panels of one sheet exposed, adapted to together, developed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from simview.eye.glare import Veil
from simview.eye.retina import Exposure
from simview.picture import tone
from simview.view import View

Print = NDArray[np.uint8]
# Told how far the work is, 0 to 1, and what is being done.
Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One panel to print: a view, at a scale of apparent angle, so many pixels square (even).

    `star_px` is the least width of a star in the print, pixels.
    """

    view: View
    pixels_per_degree: float
    pixels: int
    star_px: float = 0.0

    def expose(self, veil: Veil | None = None) -> Exposure:
        """Let the light fall on the retina; `veil` from a wider panel of the same view."""
        return self.view.expose(
            pixels_per_degree=self.pixels_per_degree,
            pixels=self.pixels,
            star_px=self.star_px,
            veil=veil,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Prints:
    """The panels in the order in which they were wanted, and how they were toned."""

    panels: tuple[Print, ...]
    adaptation: tone.Adaptation


def develop_all(wanted: Sequence[Wanted], *, progress: Progress | None = None) -> Prints:
    """Expose all panels, set one adaptation for them, develop each as its view has it.

    Parameters
    ----------
    wanted
        All of them set the adaptation. A view and its close-ups, which share one `view`, are
        printed alike; the whole view comes before its close-ups.
    """
    exposures: list[Exposure] = []
    veils: dict[int, Veil | None] = {}
    for index, panel in enumerate(wanted):
        if progress is not None:
            progress(index / (len(wanted) + 1), f"{panel.view.beam.power:.0f} times")
        exposures.append(panel.expose(veils.get(id(panel.view))))
        veils[id(panel.view)] = exposures[-1].veil
    if progress is not None:
        progress(len(wanted) / (len(wanted) + 1), "printing")
    spots = np.concatenate([exposure.star_spots() for exposure in exposures])
    measured = [tone.levels(exposure) for exposure in exposures]
    adaptation = tone.adapt(measured, star_peaks_td=spots)
    brightest: dict[int, float] = {}
    for panel, level in zip(wanted, measured, strict=True):
        brightest[id(panel.view)] = max(level.white_td, brightest.get(id(panel.view), 0.0))
    panels = tuple(
        tone.develop(
            exposure.retina(_star_factors(exposure, adaptation)),
            adaptation.for_view(brightest[id(panel.view)]),
        )
        for panel, exposure in zip(wanted, exposures, strict=True)
    )
    if progress is not None:
        progress(1.0, "done")
    return Prints(panels=panels, adaptation=adaptation)


def _star_factors(exposure: Exposure, adaptation: tone.Adaptation) -> NDArray[np.float64]:
    """Return what each star's light is multiplied by, so that its print's middle fits its spot.

    The spot is the star's for the eye; so a star prints as bright in a wide view of large pixels
    as in a close-up.
    """
    spots = exposure.star_spots()
    return tone.star_factors(spots, adaptation) * spots / exposure.star_peaks()
