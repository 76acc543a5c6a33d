"""Prints for a power that changes under a hand: the same tone as at rest, quickly."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.eye.retina import Exposure
from simview.eye.unseen import with_unseen
from simview.glide import Glide
from simview.picture.prints import tone
from simview.picture.prints.judging import judged
from simview.picture.prints.printing import Exposed, measured
from simview.view import View

# Powers between which the light of the whole field is followed, parts of an octave.
_STEPS: Final = 3.0

# Powers at which stars are judged anew, parts of an octave.
_JUDGED: Final = 4.0
_MOST_JUDGED: Final = 80

# Scale of the coarse whole field that tells how bright a view is, pixels per degree.
FIELD_SCALE: Final = 6.0


def field_pixels(view: View) -> int:
    """Return the pixels across the whole field at that scale, and some room around it."""
    return 2 * round(view.beam.apparent_field_deg * FIELD_SCALE / 2.0) + 4


class _Judged(NamedTuple):
    """The faintest star that was seen, and what was judged of all; see `Exposure`.

    `magnitude` is the stars', those that an eye takes for one gathered.
    """

    limit: float
    magnitude: NDArray[np.float64]
    above: NDArray[np.float64]
    rise: NDArray[np.float64] | None
    halo_cd_m2: NDArray[np.float64] | None


class Gliding:
    """Expose one object through one kit at any power, ready to be developed.

    Parameters
    ----------
    key
        Tells this object, kit, sky and observer from all others.
    at
        Looks at a power.
    """

    def __init__(self, key: Hashable, at: Callable[[float], View]) -> None:
        self._glide, self._at = Glide(key), at
        self._levels: dict[int, tone.Levels] = {}
        self._judgements: dict[tuple[int, int, float], _Judged] = {}

    def family(
        self, view: View, *, pixels_per_degree: float, pixels: int, star_px: float
    ) -> list[Exposed]:
        """Return the whole field's light and the picture, as `printing.developed` wants them."""
        seen = self._glide.expose(
            view, pixels_per_degree=pixels_per_degree, pixels=pixels, star_px=star_px
        )
        shown = measured(view, self._judged(view, seen))
        whole, own = self._whole(view.beam.power), shown.levels
        if view.target.size_arcsec * view.beam.power / 3600.0 <= own.extent_deg:
            # Nothing brighter lies outside, and finer pixels tell the brightest surface better.
            vivid = {name: getattr(own, name) for name in ("vivid_td", "vivid_x", "vivid_z")}
            whole = whole._replace(white_td=own.white_td, **vivid)
        return [shown._replace(levels=whole), shown]

    def _judged(self, view: View, seen: Exposure) -> Exposure:
        """Return an exposure with its stars judged, as they were at a power close by.

        Only the view's faintest star changes much over such a step, and all stars with it.
        """
        stars, limit = seen.scene.stars, view.numbers["limiting_magnitude"]
        if limit is None or not len(stars):
            return seen
        step = round(_JUDGED * math.log2(view.beam.power))
        # Pictures of different width hold different stars.
        place = (step, len(stars), float(stars.x_arcsec.sum()))
        held = self._judgements.get(place)
        if held is None:
            known = judged(view, seen)
            if len(self._judgements) >= _MOST_JUDGED:
                self._judgements.clear()
            assert known.above is not None
            self._judgements[place] = _Judged(
                limit=limit,
                magnitude=known.scene.stars.magnitude,
                above=known.above,
                rise=known.rise,
                halo_cd_m2=known.halo_cd_m2,
            )
            return known
        above = held.above * 10.0 ** (0.4 * (limit - held.limit))
        gathered = replace(stars, magnitude=held.magnitude)
        seen = replace(seen, scene=replace(seen.scene, stars=gathered))
        lit = with_unseen(seen, limit, above)
        return replace(lit, above=above, rise=held.rise, halo_cd_m2=held.halo_cd_m2)

    def _whole(self, power: float) -> tone.Levels:
        """Return the levels of the whole field, between two powers where they are known."""
        place = _STEPS * math.log2(power)
        low = math.floor(place)
        here, there = self._whole_at(low), self._whole_at(low + 1)
        share = place - low
        return tone.Levels(
            **{
                name: getattr(here, name) ** (1.0 - share) * getattr(there, name) ** share
                for name in here._fields
            }
        )

    def _whole_at(self, step: int) -> tone.Levels:
        if step not in self._levels:
            view = self._at(2.0 ** (step / _STEPS))
            seen = self._glide.expose(
                view, pixels_per_degree=FIELD_SCALE, pixels=field_pixels(view)
            )
            self._levels[step] = measured(view, self._judged(view, seen)).levels
        return self._levels[step]
