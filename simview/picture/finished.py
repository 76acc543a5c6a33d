"""What every composed sheet is in the end, and what all of them do alike."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from PIL.Image import Image

from simview.picture.drawing import text
from simview.picture.drawing.canvas import unit_of
from simview.picture.drawing.tongue import N_, say
from simview.picture.prints.wanted import Wanted
from simview.scene.scene import Target
from simview.view import View

Size = tuple[int, int]
FOOTER: Final = N_("simview: computed, not photographed")
OWN_FOOTER: Final = N_("simview: computed from a photograph")

# Least width of a star on a 1920 x 1080 sheet, pixels. A choice: 1.6 arcmin from ten metres
# before a 3 m wide screen.
STAR_PX: Final = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said of looks whether or not they are drawn.

    Parameters
    ----------
    figures
        For JSON, for tables and for a picture's metadata.
    recipe
        What makes it again, see `redo`.
    remarks
        What the reader should be told besides, a sentence each.
    """

    figures: dict[str, Any]
    recipe: dict[str, Any]
    remarks: tuple[str, ...] = ()

    def drawn(self, image: Image) -> Sheet:
        """Return the sheet whose picture this is."""
        return Sheet(image=image, figures=self.figures, recipe=self.recipe, remarks=self.remarks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet(Told):
    """A finished sheet: what is said, and the picture.

    Parameters
    ----------
    image
        The picture.
    """

    image: Image

    def _repr_png_(self) -> bytes:
        """Return the picture, which notebooks show."""
        file = io.BytesIO()
        self.image.save(file, "PNG")
        return file.getvalue()


def star_px(size: Size) -> float:
    """Return the least width of a star in the print: what a hall still sees as a point."""
    return STAR_PX * unit_of(size)


def close_up(view: View, patch_arcsec: float, pixels: int, star: float) -> Wanted:
    """Return the part of a view that is looked at most, cut out and printed larger."""
    apparent_deg = patch_arcsec * view.beam.power / 3600.0
    return Wanted(
        view=view,
        pixels_per_degree=pixels / apparent_deg,
        pixels=pixels,
        star_px=star,
        at_arcsec=looked_at(view, patch_arcsec),
    )


def looked_at(view: View, patch_arcsec: float) -> tuple[float, float]:
    """Return where in its target a close-up of this width is cut: within the view's field.

    Where the close-up shows most of the target it is cut around its middle.
    """
    if view.target.paint_at is None or patch_arcsec > 0.9 * view.target.size_arcsec:
        return 0.0, 0.0
    x, y = _beside(view.target, _LIT_SIDE * patch_arcsec)
    away = math.hypot(x, y)
    if away == 0.0:
        return 0.0, 0.0
    room = 30.0 * view.beam.true_field_arcmin - 0.5 * patch_arcsec
    share = min(1.0, max(room, 0.0) / away)
    return x * share, y * share


# How far the middle of a close-up lies from the Moon's terminator towards the light, of its width:
# a third of it is night then, not a half. A choice.
_LIT_SIDE: Final = 0.17


def _beside(target: Target, most_arcsec: float) -> tuple[float, float]:
    """Return a target's place of interest, moved up to so far towards where a field is pointed."""
    x, y = target.interest_arcsec
    if target.aim_arcsec is None:
        return x, y
    over, rise = (a - m for a, m in zip(target.aim_arcsec, target.aimed_arcsec, strict=True))
    far = max(math.hypot(over - x, rise - y), 1e-9)
    share = min(most_arcsec / far, 1.0)
    return x + share * (over - x), y + share * (rise - y)


def footer(target: Target) -> str:
    """Return what stands below a sheet: a person's own photograph stays one."""
    own = target.kind == "photo"
    return say(OWN_FOOTER if own else FOOTER)


def missing(views: Sequence[View]) -> tuple[str, ...]:
    """Return a remark on powers that no piece in the box gives; empty where there are none."""
    absent = dict.fromkeys(text.times(v.beam.power) for v in views if not v.beam.in_the_box)
    if not absent:
        return ()
    return (f"no piece in the box gives {', '.join(absent)}: an eyepiece is imagined for it",)
