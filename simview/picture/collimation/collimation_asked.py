"""What is asked of a collimation: kit, screws and star; its pictures, figures and recipe."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, RangeError
from simview.kit import Kit, Telescope
from simview.kitfile import kit_text, parse_kit
from simview.picture.collimation.mirror_back import AnyScrews
from simview.picture.drawing.canvas import Size
from simview.picture.recipe import WHERE, reading
from simview.picture.startest.images import Star
from simview.picture.startest.patterns import telescope_of
from simview.picture.startest.starlight import printed, star_colour, white_level
from simview.telescope.faults import apply_faults
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.pupil import mask
from simview.telescope.quality import strehl
from simview.telescope.screws import Screws
from simview.telescope.stop import Stop, stop_for

Print = NDArray[np.uint8]

# Parts of a turn that a sheet may step by.
_STEPS: Final = (1 / 128, 1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0)

# The outermost panels stand this many tolerances off, about. A choice: a lean that is plain.
_STRONG: Final = 4.0

# How far off is near enough: panels at these tolerances.
MATTERS: Final = (0.0, 1.0, 2.0, 4.0)

# Coma and the moved shadow must not cancel: what is left of coma's lean at the least. A choice:
# below it nobody would see to which side the dark middle leans.
_LEAST_LEAN: Final = 0.35

# Where a star shows a dark middle and can still be drawn, waves. Choices.
_NEAREST: Final = 1.0
_FARTHEST: Final = 20.0

# Samples across a pupil whose light is counted; grey edges make it exact.
_LIGHT_SAMPLES: Final = 128


@dataclass(frozen=True, slots=True, kw_only=True)
class Collimation:
    """What is asked for.

    Parameters
    ----------
    kit
        With mirrors; its own faults stay in.
    screws
        Behind its primary, or before its secondary.
    travel_waves
        Where the star is looked at, waves of defocus; positive is outside focus, 1 to 20 to
        either side.
    colour
        Of the light.
    """

    kit: Kit
    screws: AnyScrews
    travel_waves: float = 5.0
    colour: str = "white"

    def __post_init__(self) -> None:
        if not _NEAREST <= abs(self.travel_waves) <= _FARTHEST:
            raise RangeError(
                "--travel",
                got=f"{self.travel_waves:g} waves",
                allowed=f"{_NEAREST:g} to {_FARTHEST:g} waves outside focus, or "
                f"-{_FARTHEST:g} to -{_NEAREST:g} inside",
            )
        star_colour(self.colour)
        if abs(self.lean) < _LEAST_LEAN:
            raise FitError(
                "--travel",
                got=f"{self.travel_waves:g} waves",
                allowed="distances at which the dark middle leans; so far inside focus coma and "
                "the moved shadow cancel in this telescope",
                remedy=f"look outside focus: --travel {abs(self.travel_waves):g}",
            )

    @property
    def lean(self) -> float:
        """How far the dark middle leans towards the mirror's axis, against what coma alone does.

        Negative inside focus in slow telescopes: there it leans to the other side. A flat's shadow
        alone leans to the side of the star's way outside focus, to the other one inside.
        """
        if isinstance(self.screws, FlatScrews):
            return -1.0 if self.travel_waves > 0.0 else 1.0
        return 1.0 + self.screws.shadow_against_coma(self.travel_waves)

    @property
    def scope(self) -> Telescope:
        """The kit's telescope."""
        return telescope_of(self.kit)

    def step_turns(self) -> float:
        """Return the part of a turn from panel to panel."""
        wanted = _STRONG / 2.0 * self.screws.tolerance_turns
        return min(_STEPS, key=lambda step: abs(np.log(step / wanted)))

    def first_turns(self) -> float:
        """Return the part of a turn to begin with: about twice the tolerance."""
        wanted = 2.0 * self.screws.tolerance_turns
        return min(_STEPS, key=lambda step: abs(np.log(step / wanted)))

    @property
    def way(self) -> str:
        """Where the right screw sends the star."""
        return "away from that side" if self.lean > 0.0 else "to that same side"

    def off_by(self, part: float) -> complex:
        """Return the tilt of the bottom row's picture at so many tolerances: the lean to the right.

        A flat's picture leans across the way to the focuser, where its edge cuts neither first
        nor last.
        """
        tilt = complex(-part * self.screws.tolerance_arcmin)
        if isinstance(self.screws, FlatScrews):
            tilt *= 1j * cmath.rect(1.0, math.radians(self.screws.focuser_deg))
        return tilt

    def star(self, tilt: complex) -> Star:
        """Return the star of a mirror that leans by `tilt` (arcmin), kept in the middle."""
        found = apply_faults(self.scope, (self.screws.fault(tilt),), layout=self.kit.layout)
        light = star_colour(self.colour, defocus_waves=self.travel_waves)
        return Star(scope=found.scope, extras=found.extras, light=light)

    def picture(self, tilt: complex, pixels: int, *, closer: float = 1.0) -> Print:
        """Return a star out of focus, printed; `closer` below 1 shows less around it."""
        star = self.star(tilt)
        width = closer * (8.0 * abs(self.travel_waves) + 16.0) * star.unit_arcsec
        image = star.images((self.travel_waves,), width / pixels, pixels)[0]
        return printed(image, white_level(image[..., 1]))


def collimation(
    kit: Kit,
    *,
    circle_mm: float | None = None,
    pitch_mm: float | None = None,
    first_deg: float = 90.0,
    travel_waves: float | None = None,
    colour: str = "white",
    focuser_deg: float | None = None,
) -> Collimation:
    """Return a collimation for a kit; what is left out is as usual.

    Parameters
    ----------
    focuser_deg
        Where a Newtonian's focuser stands, anticlockwise from the right: the screws are then its
        secondary's. None for the screws that collimate.
    travel_waves
        None for 5 outside focus; 10 for a secondary's shadow, which stands out farther off.
    """
    if travel_waves is None:
        travel_waves = 5.0 if focuser_deg is None else 10.0
    how: dict[str, Any] = {
        "scope": telescope_of(kit),
        "circle_mm": circle_mm,
        "pitch_mm": pitch_mm,
        "first_deg": first_deg,
        "layout": kit.layout,
    }
    screws: AnyScrews = (
        Screws(**how) if focuser_deg is None else FlatScrews(**how, focuser_deg=focuser_deg)
    )
    return Collimation(kit=kit, screws=screws, travel_waves=travel_waves, colour=colour)


def recipe(asked: Collimation, size: Size) -> dict[str, Any]:
    """Return what makes the sheet again."""
    screws = asked.screws
    flat = {"focuser_deg": screws.focuser_deg} if isinstance(screws, FlatScrews) else {}
    return {
        "command": "collimate",
        **flat,
        "kits": [kit_text(asked.kit)],
        "circle_mm": asked.screws.circle_mm,
        "pitch_mm": asked.screws.pitch_mm,
        "first_deg": asked.screws.first_deg,
        "travel_waves": asked.travel_waves,
        "colour": asked.colour,
        "size": list(size),
    }


def read(given: Mapping[str, Any]) -> tuple[Collimation, Size]:
    """Read a recipe.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    with reading():
        (words,) = given["kits"]
        width, height = (int(side) for side in given["size"])
        keys = ("circle_mm", "pitch_mm", "first_deg", "travel_waves")
        further = {key: given[key] for key in keys}
        if given.get("focuser_deg") is not None:
            further["focuser_deg"] = given["focuser_deg"]
        if not all(isinstance(value, int | float) for value in further.values()):
            raise TypeError("number")
        colour = str(given["colour"])
    kit = parse_kit(str(words), where=WHERE).kit
    return collimation(kit, colour=colour, **further), (width, height)


def figures(asked: Collimation) -> dict[str, Any]:
    """Return the figures for JSON."""
    screws = asked.screws
    rows = []
    for part in MATTERS:
        tilt = asked.off_by(part)
        found = apply_faults(asked.scope, (screws.fault(tilt),), layout=asked.kit.layout)
        rows.append(
            {
                "off_mm": screws.off_mm(tilt),
                "off_arcmin": abs(tilt),
                "turns": abs(tilt) / screws.turn_arcmin,
                "strehl": strehl(found.scope, extras=found.extras),
                "band_ratio": screws.band_ratio(tilt, asked.travel_waves),
                **_of_these(screws, tilt, stop_for(found.scope, extras=found.extras)),
            }
        )
    return {
        "mirror": "secondary" if screws.before_secondary else "primary",
        "focal_ratio": asked.scope.focal_ratio,
        "tolerance_mm": screws.tolerance_mm,
        "tolerance_arcmin": screws.tolerance_arcmin,
        "tolerance_turns": screws.tolerance_turns,
        "turn_arcmin": screws.turn_arcmin,
        "screw_circle_mm": screws.circle_mm,
        "screw_pitch_mm": screws.pitch_mm,
        "rows": rows,
    }


def _of_these(screws: AnyScrews, tilt: complex, stop: Stop) -> dict[str, float]:
    """Return what is told of the one kind of screws only."""
    if not isinstance(screws, FlatScrews):
        return {"coma_waves": screws.coma_waves(tilt)}
    whole = mask(replace(stop.shape, lit_radius=0.0), _LIGHT_SAMPLES).sum()
    return {"light_lost": float(1.0 - mask(stop.shape, _LIGHT_SAMPLES).sum() / whole)}
