"""The air before a terrestrial object: a level path instead of the way up to the sky.

No zenith distance, no dispersion, no extinction of starlight, no glow of the night sky: the haze
is in the scene, the shimmer takes the place of the seeing.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from simview.air import shimmer, warp
from simview.air.wind import Layer
from simview.errors import RangeError
from simview.kit import Air, Sky
from simview.scene.scene import Scene, Target, by_several

# Outer scale of the turbulence along the path, m: 0.4 of a height above the ground of 5 m.
# Source: von Karman's constant times the height; the constant is 0.40 in laboratories, 0.39 +- 0.01
# over ground (Frenzen & Vogel 1995, "On the magnitude and apparent range of variation of the von
# Karman constant in the atmospheric surface layer", abstract); the height is a choice.
OUTER_SCALE_M: Final = 2.0

# The most that shimmer may blur, arcsec: the most that a Sky takes.
MOST_ARCSEC: Final = 20.0

# The air in motion along the path, for films: a light wind across it. A choice.
LAYERS: Final = (Layer(share=1.0, wind_m_s=2.0, direction_deg=10.0, boil_s=0.3),)

# The darkest sky that a Sky takes, V mag/arcsec2: by day all light is in the scene.
_DARKEST: Final = 22.5

# What stands for the kinds of air that a level path has not.
_AIRS: Final[dict[Air, Air]] = {"moment": "short", "best": "long", "typical": "long"}

_BENT: Final = "One moment: each part of the picture is shifted its own way, its blur is average."


def sky_before(target: Target, sky: Sky) -> Sky:
    """Return the air that acts on an object: along a level path its own, otherwise `sky`.

    Parameters
    ----------
    sky
        Of a terrestrial object only `air`, `seed`, `elevation_m` and `temperature_c` count. A
        single "moment" becomes "short": what it does to the picture is `shown`'s part. The moments
        of the sky's winds say nothing of a level path: there "best" and "typical" are the average.

    Raises
    ------
    RangeError
        Where the shimmer would blur by more than `MOST_ARCSEC`.

    Notes
    -----
    Checked by: tests/unit/air/test_level.py
    """
    path = target.level
    if path is None:
        return sky
    seeing = shimmer.seeing_arcsec(path.cn2, path.distance_m)
    if seeing > MOST_ARCSEC:
        raise RangeError(
            "shimmer",
            got=f"Cn2 {path.cn2:g} over {path.distance_m:g} m, a blur of {seeing:.0f} arcsec",
            allowed=f"a blur of at most {MOST_ARCSEC:g} arcsec",
            remedy="take a shorter distance or weaker shimmer",
        )
    return replace(
        sky,
        seeing_arcsec=seeing,
        altitude_deg=90.0,
        extinction_mag=0.0,
        sky_mag_arcsec2=_DARKEST,
        outer_scale_m=shimmer.equal_outer_scale_m(OUTER_SCALE_M),
        air=_AIRS.get(sky.air, sky.air),
    )


def shown(target: Target, sky: Sky, aperture_mm: float) -> Target:
    """Return an object as the air lets it be seen: warped at one moment, clear without air.

    Parameters
    ----------
    sky
        As the user stated it, before `sky_before`.
    aperture_mm
        That the shifts are averaged over.

    Notes
    -----
    Checked by: tests/unit/air/test_level.py
    """
    path = target.level
    if path is None:
        return target
    if sky.air == "none":
        return replace(target, paint=path.clear)
    if sky.air != "moment" or path.cn2 == 0.0:
        return target
    way = warp.Path(
        cn2=path.cn2,
        distance_m=path.distance_m,
        aperture_m=aperture_mm * 1e-3,
        outer_scale_m=OUTER_SCALE_M,
    )

    paint = _Bent(target.paint, way, sky.seed)
    return replace(target, paint=paint, notes=(*target.notes, _BENT))


@dataclass(frozen=True, slots=True)
class _Bent:
    """Paints a scene as it stands bent at one moment; it can be pickled if the target can."""

    paint: Callable[[float, int], Scene]
    way: warp.Path
    seed: int

    def __call__(self, pixel_arcsec: float, pixels: int) -> Scene:
        margin = math.ceil(warp.most_arcsec(self.way, self.seed) / pixel_arcsec) + 4
        scene = self.paint(pixel_arcsec, pixels + 2 * margin)
        return warp.bent(scene, pixels, self.way, self.seed)

    @property
    def by_several(self) -> bool:
        """Whether several threads may paint at once."""
        return by_several(self.paint)
