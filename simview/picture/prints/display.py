"""The reader's display: how bright its white is, how far away it stands, what shows on it.

What is just visible at the eyepiece should be just visible on the sheet; so a print has to know
what is just visible on the display that shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_choice, require_range
from simview.eye.adaptation import just_noticeable
from simview.eye.thresholds import point_area_sr, threshold_contrast
from simview.picture.drawing.tongue import decimal, say

Floats = NDArray[np.float64]

# Whether a sheet has one adaptation for all its views or each view its own.
Adapt = Literal["sheet", "each"]
ADAPTS: Final = ("sheet", "each")

# Width of a faint star's image on a sheet, heights of the sheet: 3 of 1080 lines.
STAR_HEIGHTS: Final = 3.0 / 1080.0

# How much more light a reader needs than Blackwell's laboratory (Crumey 2014: 1.4 to 2.4).
READER_FACTOR: Final = 2.0

# A round Gaussian has the light of an even disc of this many squares of its full width at half
# maximum: pi / (4 ln 2).
_GAUSSIAN_AREA: Final = math.pi / (4.0 * math.log(2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """A screen in a dim room.

    Parameters
    ----------
    white_cd_m2
        Luminance of its white, 5 to 5000 cd/m2 (IEC 61966-2-1 takes 80; a projector in a hall
        gives 30 to 100, a desk's screen 100 to 400; common practice, no source).
    distance_heights
        Its distance from the reader in heights of the sheet, 0.5 to 20.
    adapt
        "sheet": one adaptation for all views, so that dimming shows; "each": one a view.
    flare
        Light that lies over all of it, of its white, 0 to 0.2: it hides faint stars and glows. 0.01
        is the reference viewing flare of IEC 61966-2-1.
    """

    white_cd_m2: float = 100.0
    distance_heights: float = 2.0
    adapt: Adapt = "sheet"
    flare: float = 0.01

    def __post_init__(self) -> None:
        require_choice("adapt", self.adapt, ADAPTS)
        require_range("display white", self.white_cd_m2, 5.0, 5000.0, unit="cd/m2")
        require_range("viewing distance", self.distance_heights, 0.5, 20.0, unit="sheet heights")
        require_range("flare", self.flare, 0.0, 0.2)

    def just_noticeable(self, print_: Floats | float) -> Floats:
        """Return the contrast that is just noticed on a print luminance (white = 1), flare upon it.

        Source: Ward Larson, Rushmeier & Piatko 1997, see `simview.eye.adaptation`.
        """
        ground = np.maximum(np.asarray(print_, float), 1e-6)
        step = just_noticeable(self.white_cd_m2 * (ground + self.flare))
        return np.asarray(step / (self.white_cd_m2 * ground))

    def over_flare(self, print_: float) -> float:
        """Return a contrast in print over what is seen of it, flare upon it, on this ground."""
        return (print_ + self.flare) / max(print_, 1e-6)

    def faintest_star(self, print_: Floats | float) -> Floats:
        """Return the print luminance that the faintest star adds in its middle to this ground.

        Source: Crumey 2014, the threshold of a small target; its light is that of its image.
        """
        ground = np.asarray(print_, float) + self.flare
        area = _GAUSSIAN_AREA * (STAR_HEIGHTS / self.distance_heights) ** 2
        contrast = READER_FACTOR * point_area_sr(self.white_cd_m2 * ground) / area
        return np.asarray(contrast * ground)

    def pixels_per_degree(self, star_px: float) -> float:
        """Return a sheet's pixels in a degree for its reader; `star_px`: of its faint stars' dots.

        Those are `STAR_HEIGHTS` wide on any sheet.
        """
        return star_px / math.degrees(STAR_HEIGHTS / self.distance_heights)

    def says(self) -> str:
        """Return a sentence for the caption."""
        return say(
            "Look from {heights} sheet heights away; white of {white} cd/m².",
            white=decimal(f"{self.white_cd_m2:g}"),
            heights=decimal(f"{self.distance_heights:g}"),
        )


# Diameter at the eye of the smallest patch for which a night's print matches threshold to
# threshold, deg. A choice: smaller ones show more in print than at the eyepiece. Larger: `patches`.
PATCH_DEG: Final = 1.0

# What a contrast has above so many thresholds is shown as it is (Kulikowski 1976: above one), and
# how gently print turns to that, in thresholds. Choices: what is just seen must not pass for clear.
CLEAR: Final = 1.4
TURN: Final = 0.1

# Contrast at which half of what the display's flare takes is given back in print: less of it for
# brighter things, or hazes would drown the stars in them. Choice.
FLARE_REACH: Final = 8.0


def patch_threshold(
    sky_cd_m2: float, threshold_factor: float, size_deg: float = PATCH_DEG
) -> float:
    """Return the contrast at which a round patch is just seen at the eyepiece.

    Parameters
    ----------
    sky_cd_m2
        Background at the eye.
    threshold_factor
        The observer's field factor, times sqrt(2) for one eye.
    size_deg
        Diameter at the eye.

    Notes
    -----
    Source: Crumey 2014, see `simview.eye.thresholds`.
    """
    return float(patch_thresholds(np.asarray(sky_cd_m2), threshold_factor, size_deg))


def patch_thresholds(skies_cd_m2: Floats, threshold_factor: float, size_deg: float) -> Floats:
    """Return `patch_threshold` on each of several backgrounds."""
    area = math.pi / 4.0 * math.radians(size_deg) ** 2
    return threshold_contrast(skies_cd_m2, area, field_factor=threshold_factor)


def shown_contrast(
    contrast: Floats, world: float, display: float, over_flare: float = 1.0
) -> Floats:
    """Return the contrast to print for a contrast at the eyepiece, against the same ground.

    Parameters
    ----------
    contrast
        (light - background) / background, -1 and more.
    world, display
        The contrast that is just seen at the eyepiece, and that on the display.
    over_flare
        How much larger a contrast has to print than it is to look, for the display's flare.

    Notes
    -----
    Below threshold a part of it is shown as that part of the display's own. From there on, what a
    contrast has above its threshold is shown as it is, flare upon it: contrasts that are as far
    above theirs look alike.
    Source: Georgeson & Sullivan 1975, J. Physiol. 252, 627 (contrast constancy); Kulikowski 1976,
    Vision Res. 16, 1419 (contrast less threshold). Citations from memory.
    Checked by: tests/truth/test_print_thresholds.py
    """
    if display >= world:
        return contrast
    slope = display / world
    many = np.abs(contrast) / world
    turned = TURN * (_softplus((many - CLEAR) / TURN) - _softplus(np.asarray(-CLEAR / TURN)))
    # What is darker than the sky cannot be darker than nothing.
    gain = 1.0 + (contrast > 0.0) * (over_flare - 1.0) / (1.0 + world * many / FLARE_REACH)
    return np.asarray(np.sign(contrast) * world * (slope * many + (gain - slope) * turned))


def _softplus(x: Floats) -> Floats:
    return np.asarray(np.logaddexp(0.0, x))
