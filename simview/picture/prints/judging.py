"""Which stars of a view are seen: by the sky, by brighter stars, by the haze they stand before."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.air import glow
from simview.eye.beside import boiling_lux, halo_cd_m2, threshold_rise
from simview.eye.gathered import gathered
from simview.eye.retina import Exposure
from simview.eye.unseen import with_unseen
from simview.power.multiple import judged_pairs
from simview.view import View

# What is left in print of a companion that nearly stands out of its bright star's image, of its
# share of what is needed. A choice: half of it is hardly noticed.
_HINT: Final = 0.5


def judged(view: View, exposure: Exposure) -> Exposure:
    """Return the exposure with its stars judged; those that are not seen shine in its surfaces.

    The haze of a cluster's unseen stars hides some of its fainter ones, whose light then adds to
    it: two rounds settle that.

    Checked by: tests/unit/picture/test_stars_before_haze.py
    """
    limit, stars = view.numbers["limiting_magnitude"], exposure.scene.stars
    if limit is None or not len(stars):
        return exposure
    halo = halo_cd_m2(view.path, view.observer, stars, limit)
    boiling = boiling_lux(view.path, stars, limit)
    hazy, rounds = exposure, 3 if exposure.scene.crowds else 1
    for left in reversed(range(rounds)):
        alone = 10.0 ** (0.4 * (limit - exposure.scene.stars.magnitude))
        before = _glow_cd_m2(view, hazy)
        rise = threshold_rise(view.path, view.eye, view.observer, before)
        above = alone / threshold_rise(view.path, view.eye, view.observer, halo + before, boiling)
        above = _as_judged(view, above)
        # What is lost in a brighter star's image is part of that star, and no haze around it.
        hazy = with_unseen(exposure, limit, alone / rise, behind=left > 0)
        if left == 1:
            gathers = replace(exposure, extended=hazy.extended)
            exposure = replace(
                gathered(gathers, above, view.beam.power), extended=exposure.extended
            )
    return replace(hazy, above=above, rise=rise, halo_cd_m2=halo)


def _as_judged(view: View, above: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the same, a companion no plainer than it stands out of its bright star's image.

    Print brings out what lies beside a bright star, for the star's own light is printed with less
    contrast than it has. So a glimpse, whose gap is hardly what the eye needs, is drawn as often as
    it is seen.
    """
    for pair, split in judged_pairs(view.path, view.eye, view.observer, view.target):
        place = pair.places[1]
        if split.verdict != "elongated" and split.gap_needed > 0.0 and place < len(above):
            hint = _HINT if split.verdict == "single" else 1.0
            above[place] = min(above[place], hint * split.gap / split.gap_needed)
    return above


def _glow_cd_m2(view: View, exposure: Exposure) -> NDArray[np.float64]:
    """Return the light of surfaces at each star, less the sky's, as a luminance before the eye."""
    sky_td = float(exposure.lens[1].sum()) * glow.luminance_cd_m2(view.sky)
    over = np.maximum(exposure.behind_stars() - sky_td, 0.0)
    return np.asarray(over / view.path.troland_per_cd_m2())
