"""One panel of a sheet that is to be printed, and how it is computed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from simview.eye.glare import Veil
from simview.eye.retina import Exposure, Retina, enlarged
from simview.picture.prints.judging import judged
from simview.view import View

# Finest scale that a view is computed at, pixels per degree of apparent angle: 0.05 arcmin, four
# samples across the smallest image that diffraction in an 8 mm pupil leaves (lambda / D = 14
# arcsec). A larger picture of less of the field is drawn out from it.
FINEST_SCALE: Final = 1200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One panel to print: a view, at a scale of apparent angle, so many pixels square (even).

    `star_px` is the least width of a star in the print, pixels; `at_arcsec` the place in the target
    that stands in the middle, right and up of the target's own middle; `finest` the finest scale
    that it is computed at, pixels per degree. `pair_px` is the width for the stars of a close pair
    where theirs is to be finer (`pair_patches`), `reader_px` the width that tells how large the
    print is for its reader; 0 for both takes `star_px`.
    """

    view: View
    pixels_per_degree: float
    pixels: int
    star_px: float = 0.0
    at_arcsec: tuple[float, float] = (0.0, 0.0)
    finest: float = FINEST_SCALE
    pair_px: float = 0.0
    reader_px: float = 0.0

    def expose(
        self,
        veil: Veil | Callable[[], Veil | None] | None = None,
        *,
        tell_veil: Callable[[Veil | None], None] | None = None,
    ) -> Exposure:
        """Let the light fall on the retina; `veil` and `tell_veil` as in `View.expose`.

        Stars that are not seen one by one are in its surfaces as a glow.
        """
        coarser = self.drawn_out()
        exposure = self.view.expose(
            pixels_per_degree=self.pixels_per_degree / coarser,
            pixels=self._computed_pixels(),
            star_px=self.star_px / coarser,
            veil=veil,
            at_arcsec=self.at_arcsec,
            tell_veil=tell_veil,
        )
        return judged(self.view, exposure)

    def drawn_out(self) -> float:
        """Return how many times coarser than its print this panel is computed; 1 for no more."""
        return max(1.0, self.pixels_per_degree / self.finest)

    def _computed_pixels(self) -> int:
        coarser = self.drawn_out()
        # A margin, so that what is drawn out has neighbours at its edges.
        return self.pixels if coarser == 1.0 else 2 * math.ceil(self.pixels / coarser / 2.0) + 8

    def pixel_arcsec(self) -> float:
        """Return the side of a pixel on the sky, as it is computed."""
        scale = self.pixels_per_degree / self.drawn_out()
        return 3600.0 / (scale * self.view.beam.power)

    def painted_pixels(self) -> int:
        """Return the side of the scene that is painted for this panel, pixels."""
        return self._computed_pixels() + self.view.path.grid(self.pixel_arcsec()).size

    def shown(self, retina: Retina) -> Retina:
        """Return the light on the retina at this panel's own scale."""
        if self.drawn_out() == 1.0:
            return retina
        return enlarged(retina, self.pixels_per_degree, self.pixels)
